package species

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// An OwnWood is a row of the job book's Woods sheet: figures of the user's that override the table's, one by one, or a
// wood that the table does not hold. A nil figure is not given.
type OwnWood struct {
	Wood, Latin        string
	DensityKgM3        *float64
	ModulusGPa         *float64 // true modulus: neither raised nor moved with moisture
	BendingStrengthMPa *float64
	HardnessN          *float64
	ShearMPa           *float64
	ModulusCVPct       *float64
	RotationYears      *float64
	Source             string
}

// ownFigures are the columns of [OwnWood] with the range beyond which a value is a slip of the pen or of the unit.
var ownFigures = []struct {
	column    string
	low, high float64
	advice    string
	given     func(*OwnWood) *float64
	to        func(*Wood) []*Figure
}{
	{"Density kg/m3", 30, 1500, "write kg/m³, usually 100 to 1000", func(o *OwnWood) *float64 { return o.DensityKgM3 },
		func(w *Wood) []*Figure { return []*Figure{&w.DensityKgM3} }},
	{"Modulus GPa", 0.1, 60, "write GPa, usually 3 to 20 (1 GPa is 1000 MPa or N/mm²)", func(o *OwnWood) *float64 { return o.ModulusGPa },
		func(w *Wood) []*Figure { return []*Figure{&w.ModulusGPa} }},
	{"Bending strength MPa", 1, 500, "write MPa (N/mm²), usually 20 to 200", func(o *OwnWood) *float64 { return o.BendingStrengthMPa },
		func(w *Wood) []*Figure { return []*Figure{&w.BendingStrengthMPa} }},
	{"Hardness N", 50, 40000, "write the side hardness in N, usually 300 to 10000 (1 lbf is 4.448 N)", func(o *OwnWood) *float64 { return o.HardnessN },
		func(w *Wood) []*Figure { return []*Figure{&w.HardnessN} }},
	{"Shear MPa", 0.1, 60, "write MPa (N/mm²), usually 2 to 20", func(o *OwnWood) *float64 { return o.ShearMPa },
		func(w *Wood) []*Figure { return []*Figure{&w.ShearMPa} }},
	{"CV of modulus %", 0, 100, "write %, usually 10 to 30", func(o *OwnWood) *float64 { return o.ModulusCVPct },
		func(w *Wood) []*Figure { return []*Figure{&w.ModulusCVPct} }},
	{"Rotation years", 0.5, 500, "write the years from planting to harvest", func(o *OwnWood) *float64 { return o.RotationYears },
		func(w *Wood) []*Figure { return []*Figure{&w.RotationLowYears, &w.RotationHighYears} }},
}

// With is the table with the user's woods. A row's Wood says which wood it means:
//
//   - a name of the table (id, common or Latin name, clear alias): the figures given override that wood's, one by one;
//   - a name that is not clear ("poplar") with a Latin name of the table: that wood, which from then on goes by the name;
//   - a name not known, with a Latin name of the table and no figures: likewise another name for that wood;
//   - a name not known, or not clear with a Latin name not known: a new wood, its id made from the name. Its
//     density and modulus may follow from tests; [Wood.Missing] says what it still lacks.
//
// A figure of the user's is taken as it is: not moved with moisture, a modulus not raised. An own density is counted
// at the shop's moisture. The error joins a [RowError] for every row and cell at fault; the table is then nil.
func (t *Table) With(own ...OwnWood) (*Table, error) {
	entries, names := slices.Clone(t.entries), t.names.clone()
	var errs []*RowError
	rowOf := map[string]int{}
	for row, o := range own {
		at, isNew, err := meant(o, entries, names)
		if err != nil {
			err.Row = row
			errs = append(errs, err)
			continue
		}
		var wood Wood
		var e entry
		if isNew {
			if wood, err = newWood(o, entries, names); err != nil {
				err.Row = row
				errs = append(errs, err)
				continue
			}
			e = t.lib.unheardOf
			wood.ModulusCVPct = e.wood.ModulusCVPct
		} else {
			e = entries[at]
			wood = e.wood
		}
		if first, twice := rowOf[wood.ID]; twice {
			errs = append(errs, &RowError{row, "Wood", fmt.Sprintf("%q is the wood of row %d again", o.Wood, first+1),
				"keep one row a wood"})
			continue
		}
		rowOf[wood.ID] = row
		for _, err := range own[row].override(&wood) {
			err.Row = row
			errs = append(errs, err)
		}
		e.wood = wood
		if isNew {
			entries = append(entries, e)
		} else {
			entries[at] = e
		}
		names.own(o.Wood, wood)
	}
	if len(errs) > 0 {
		return nil, joined(errs)
	}
	return newTable(t.lib, entries, names, t.cond), nil
}

// meant is the index of the wood that a row means, or isNew.
func meant(o OwnWood, entries []entry, names *index) (at int, isNew bool, bad *RowError) {
	if len(o.Wood) > longestOwn || len(slug(o.Wood)) > longestText { // few letters can fold to many
		return 0, false, &RowError{0, "Wood", fmt.Sprintf("%q is too long a name", shown(o.Wood)), "give the wood a shorter one"}
	}
	latin := -1
	if strings.TrimSpace(o.Latin) != "" {
		if id, err := names.lookup(o.Latin, keepNotes); err == nil {
			latin = indexOf(entries, id)
		}
	}
	// A note in brackets is part of an own wood's name: "Balsa (light)" is another wood than balsa.
	id, err := names.lookup(o.Wood, keepNotes)
	var unclear *AmbiguousNameError
	switch {
	case err == nil:
		if at = indexOf(entries, id); latin >= 0 && latin != at {
			return 0, false, &RowError{0, "Latin name", fmt.Sprintf("%q is %s, but %q is %s",
				o.Wood, id, o.Latin, entries[latin].wood.ID), "correct one of the two, or give the wood a name of its own"}
		}
		return at, false, nil
	case errors.As(err, &unclear):
		if latin >= 0 {
			return latin, false, nil
		}
		if strings.TrimSpace(o.Latin) == "" {
			return 0, false, &RowError{0, "Wood", unclear.Problem(), unclear.Advice() +
				", or fill in the Latin name to say which wood this name means here"}
		}
		return 0, true, nil
	}
	var unknown *UnknownNameError
	if errors.As(err, &unknown) && unknown.malformed && (slug(o.Wood) == "" || disguised(o.Wood)) {
		return 0, false, &RowError{0, "Wood", unknown.Problem(), unknown.Advice()}
	}
	if latin >= 0 && !o.hasFigures() {
		return latin, false, nil
	}
	return 0, true, nil
}

func (o *OwnWood) hasFigures() bool {
	for _, f := range ownFigures {
		if f.given(o) != nil {
			return true
		}
	}
	return false
}

// newWood is a wood of the user's without figures. Its id, which leaves out what is neither letter nor digit, must find it as its name does.
func newWood(o OwnWood, entries []entry, names *index) (Wood, *RowError) {
	id := slug(o.Wood)
	if id == "" {
		return Wood{}, &RowError{0, "Wood", fmt.Sprintf("%q has no letters to make a name of", o.Wood), "give the wood a name"}
	}
	if slices.ContainsFunc(entries, func(e entry) bool { return e.wood.ID == id }) {
		return Wood{}, &RowError{0, "Wood", fmt.Sprintf("%q cannot be told from the wood %q", o.Wood, id), "give it another name"}
	}
	if t, taken := names.targets[key(id)]; taken && t.meaning != Absent && key(id) != key(visible(o.Wood)) {
		return Wood{}, &RowError{0, "Wood", fmt.Sprintf("%q cannot be told from %q, which is a name of %s", o.Wood, id, strings.Join(t.ids, " or ")), "give it another name"}
	}
	return Wood{ID: id, CommonName: strings.TrimSpace(o.Wood), LatinName: strings.TrimSpace(o.Latin)}, nil
}

// override puts the figures that are given into the wood.
func (o *OwnWood) override(w *Wood) (bad []*RowError) {
	if latin := strings.TrimSpace(o.Latin); latin != "" && w.LatinName == "" {
		w.LatinName = latin
	}
	source := "own figure"
	if s := strings.TrimSpace(o.Source); s != "" {
		source += ": " + s
	}
	for _, f := range ownFigures {
		v := f.given(o)
		if v == nil {
			continue
		}
		if !(*v >= f.low && *v <= f.high) {
			bad = append(bad, &RowError{0, f.column, fmt.Sprintf("%s is outside %s to %s", plain(*v), plain(f.low), plain(f.high)),
				f.advice})
			continue
		}
		for _, to := range f.to(w) {
			*to = Figure{*v, Own, source}
		}
	}
	return bad
}

// slug makes an id of a name: folded letters and digits, words joined by hyphens.
func slug(name string) string {
	words := strings.FieldsFunc(folded(name), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return strings.Join(words, "-")
}
