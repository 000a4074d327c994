package main

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/cmd/internal/book"
	"stavewright/optimize/season"
)

// whatIfFlags are what was asked of a season besides, as typed.
type whatIfFlags struct {
	suppliers, woods, prices, boards []string
	steps                            bool
}

// changes are the what-ifs, in the order of the flags.
func (f *whatIfFlags) changes(job *book.Job, s *season.Season) ([]season.Change, error) {
	var out []season.Change
	wood := func(flag, name string) (string, error) {
		w, err := job.Woods.Lookup(name)
		if err != nil {
			return "", usage("%s %s: %w", flag, name, err)
		}
		return w.ID, nil
	}
	for _, typed := range f.suppliers {
		name, err := supplierNamed(s, typed)
		if err != nil {
			return nil, err
		}
		out = append(out, season.Change{Kind: season.WithoutSupplier, Name: name})
	}
	for _, name := range f.woods {
		id, err := wood("--without-wood", name)
		if err != nil {
			return nil, err
		}
		out = append(out, season.Change{Kind: season.WithoutWood, Name: id})
	}
	for _, p := range f.prices {
		name, share := "", p
		if i := strings.LastIndexByte(p, '='); i >= 0 {
			name, share = strings.TrimSpace(p[:i]), p[i+1:]
		}
		pct, err := parsePct(share)
		if err != nil {
			return nil, usage("--price %s: %w; write WOOD=+10%%, or +10%% for every wood", p, err)
		}
		c := season.Change{Kind: season.PriceOf, Pct: pct}
		if name != "" {
			if c.Name, err = wood("--price", name); err != nil {
				return nil, err
			}
		}
		out = append(out, c)
	}
	for _, b := range f.boards {
		pct, err := parsePct(b)
		if err != nil {
			return nil, usage("--boards %s: %w; write +5%%", b, err)
		}
		out = append(out, season.Change{Kind: season.BoardsBy, Pct: pct})
	}
	for _, c := range out {
		if _, err := s.Changed(c); err != nil {
			return nil, &usageError{err}
		}
	}
	return out, nil
}

// supplierNamed is the supplier that a name or its beginning means.
func supplierNamed(s *season.Season, typed string) (string, error) {
	var found, all []string
	for _, sup := range s.Suppliers {
		all = append(all, fmt.Sprintf("%q", sup.Name))
		if strings.EqualFold(sup.Name, strings.TrimSpace(typed)) {
			return sup.Name, nil
		}
		if strings.HasPrefix(strings.ToLower(sup.Name), strings.ToLower(strings.TrimSpace(typed))) {
			found = append(found, sup.Name)
		}
	}
	if len(found) != 1 || strings.TrimSpace(typed) == "" {
		return "", usage("--without-supplier %s: write one of the book's suppliers, or how its name begins: %s", typed, strings.Join(all, ", "))
	}
	return found[0], nil
}

// parsePct reads a change such as +10%, -5 or 2.5 %.
func parsePct(typed string) (decimal.Decimal, error) {
	d, err := decimal.NewFromString(strings.TrimSpace(strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(typed), "+"), "%")))
	switch {
	case err != nil:
		return d, fmt.Errorf("%q is no percentage", strings.TrimSpace(typed))
	case d.LessThanOrEqual(decimal.NewFromInt(-100)) || d.GreaterThan(decimal.NewFromInt(1000)):
		return d, fmt.Errorf("%q is not above -100 %% and up to 1000 %%", strings.TrimSpace(typed)) // as typed: 1e400 has many digits
	}
	return d, nil
}
