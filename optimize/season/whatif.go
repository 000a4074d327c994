package season

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
)

// A Change is one what-if of a season.
type Change struct {
	Kind ChangeKind
	Name string          // WithoutSupplier: its name. WithoutWood, PriceOf: the wood's id; empty with PriceOf: every wood
	Pct  decimal.Decimal // PriceOf, BoardsBy: by how much, in %; −5 is five less
}

// A ChangeKind is what changes.
type ChangeKind string

// The kinds of what-if.
const (
	WithoutSupplier ChangeKind = "without supplier" // nothing is to be had from it
	WithoutWood     ChangeKind = "without wood"     // of no supplier, and not from stock
	PriceOf         ChangeKind = "price"            // what suppliers ask for a wood
	BoardsBy        ChangeKind = "boards"           // of every model
)

// String says what changes: "without Nord", "price of beech +10 %".
func (c Change) String() string {
	pct := c.Pct.String() + " %"
	if c.Pct.IsPositive() {
		pct = "+" + pct
	}
	switch {
	case c.Kind == BoardsBy:
		return "boards " + pct
	case c.Kind == PriceOf && c.Name == "":
		return "all prices " + pct
	case c.Kind == PriceOf:
		return "price of " + c.Name + " " + pct
	}
	return "without " + c.Name
}

// A LotChange is what a plan buys of a lot, before a change and after it, in the offer's unit.
type LotChange struct {
	Lot           int
	Before, After decimal.Decimal
}

// Changed is the season with a change. Lots, kinds and models keep their places; a lot that drops out stays, with nothing to be had. Prices in the limits of
// a program ("at most 6.20 a core") stay those of today.
func (s *Season) Changed(c Change) (*Season, error) {
	out := *s
	out.Lots, out.Models = slices.Clone(s.Lots), slices.Clone(s.Models)
	factor := decimal.NewFromInt(1).Add(c.Pct.Shift(-2))
	if factor.IsNegative() {
		return nil, fmt.Errorf("%s %% less than there is cannot be; give −100 or more", c.Pct.Neg())
	}
	found := c.Kind == BoardsBy || c.Kind == PriceOf && c.Name == ""
	switch c.Kind {
	case WithoutSupplier, WithoutWood:
		for i := range out.Lots {
			l := &out.Lots[i]
			if c.Kind == WithoutSupplier && !l.Stock && s.Suppliers[l.Supplier].Name == c.Name || c.Kind == WithoutWood && s.wood(i) == c.Name {
				l.MinSteps, l.MaxSteps, found = 0, 0, true
			}
		}
		found = found || c.Kind == WithoutSupplier && slices.ContainsFunc(s.Suppliers, func(s Supplier) bool { return s.Name == c.Name })
		out.dropKinds()
	case PriceOf:
		for i := range out.Lots {
			l := &out.Lots[i]
			if l.Stock || c.Name != "" && s.wood(i) != c.Name {
				continue
			}
			found = true
			l.Tiers = slices.Clone(l.Tiers)
			for k, t := range l.Tiers {
				l.Tiers[k].Base, l.Tiers[k].Each = t.Base.Mul(factor), t.Each.Mul(factor)
			}
		}
	case BoardsBy:
		more := func(n int) int { return int(decimal.NewFromInt(int64(n)).Mul(factor).RoundCeil(0).IntPart()) }
		for i := range out.Models {
			out.Models[i].Build, out.Models[i].Sold = more(s.Models[i].Build), more(s.Models[i].Sold)
		}
		for i := range out.Lots {
			// An offer without an end has as many steps as the season could use.
			if l := &out.Lots[i]; !l.Stock && (l.Offer == nil || !l.Offer.HasAvailable) {
				l.MaxSteps = max(l.MaxSteps, more(l.MaxSteps)+1)
			}
		}
	default:
		return nil, fmt.Errorf("there is no what-if %q", c.Kind)
	}
	if !found {
		what := "wood"
		if c.Kind == WithoutSupplier {
			what = "supplier"
		}
		return nil, fmt.Errorf("what-if: the season has no %s %q", what, c.Name)
	}
	return &out, nil
}

// dropKinds leaves out of the models the kinds of strip that no lot gives any more.
func (s *Season) dropKinds() {
	given := make([]bool, len(s.Kinds))
	for i := range s.Lots {
		for _, u := range s.Lots[i].Uses {
			given[u.Kind] = given[u.Kind] || s.Lots[i].MaxSteps > 0
		}
	}
	for i := range s.Models {
		m := &s.Models[i]
		m.Kind = slices.Clone(m.Kind)
		for pos := range m.Kind {
			m.Kind[pos] = slices.Clone(m.Kind[pos])
			for c, k := range m.Kind[pos] {
				if k >= 0 && !given[k] {
					m.Kind[pos][c] = -1
				}
			}
		}
	}
}

// difference is what q buys and builds otherwise than p.
func (p *Plan) difference(q *Plan) (lots []LotChange, models []int) {
	bought := func(p *Plan) []decimal.Decimal {
		out := make([]decimal.Decimal, len(p.Season.Lots))
		for i := range p.Lines {
			out[p.Lines[i].Lot] = p.Lines[i].Quantity
		}
		return out
	}
	a, b := bought(p), bought(q)
	for i := range a {
		if !a[i].Equal(b[i]) {
			lots = append(lots, LotChange{i, a[i], b[i]})
		}
	}
	for m := range p.Layouts {
		if !slices.Equal(p.Layouts[m], q.Layouts[m]) {
			models = append(models, m)
		}
	}
	return lots, models
}
