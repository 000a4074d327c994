package core

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"stavewright/species"
)

// ProblemKind says what of a board is at fault.
type ProblemKind string

// The kinds of problems.
const (
	AtStation  ProblemKind = "station"  // Index into Board.Stations
	AtPosition ProblemKind = "position" // Index into Board.Positions
	AtLayer    ProblemKind = "layer"    // Index into Board.Layers
	AtPad      ProblemKind = "pad"      // Index into Board.Pads
	AtSpan     ProblemKind = "span"     // the support span
	AtMeasure  ProblemKind = "measure"  // the measuring station
	AtShop     ProblemKind = "shop"     // the glue spread or the correlation
)

// A Problem is one reason why a board cannot be computed.
type Problem struct {
	Kind      ProblemKind
	Index     int     // of the first element at fault; −1 when the whole is meant
	FromTipMM float64 // where along the board, when Kind alone does not say; else 0
	Text      string  // what is wrong and what would be right, in a user's words
}

// mostStrips bounds the strips of a position. No core is glued from more, and a slip of the keyboard shall not fill
// the memory.
const mostStrips = 1000

// mostPreStrain is above the bending strength over the modulus of any wood of the table, about 0.012.
const mostPreStrain = 0.02

// Check reports every fault of the board's geometry, in the order of stations, positions, layers, pads, span, measuring
// station and shop. Every other function but Check is meant for a board without faults.
func (b *Board) Check() []Problem {
	var ps []Problem
	add := func(kind ProblemKind, index int, x float64, format string, args ...any) {
		ps = append(ps, Problem{kind, index, x, fmt.Sprintf(format, args...)})
	}
	b.checkStations(add)
	stationsStand := len(ps) == 0
	b.checkPositions(add, stationsStand)
	b.checkLayers(add, stationsStand)
	b.checkPads(add, stationsStand)
	if why := wrong(b.SpanMM); b.SpanMM != 0 && why != "" {
		add(AtSpan, -1, 0, "the support span is %s mm; it %s", num(b.SpanMM), why)
	} else if length := b.LengthMM() - b.startMM(); stationsStand && b.SpanMM > length {
		add(AtSpan, -1, 0, "the support span is %s mm, but the core is only %s mm long", num(b.SpanMM), num(length))
	}
	if stationsStand && !(b.MeasureAtMM >= b.startMM() && b.MeasureAtMM <= b.LengthMM()) {
		add(AtMeasure, -1, b.MeasureAtMM, "the measuring station at %s mm lies outside the core, which reaches from %s to %s mm",
			num(b.MeasureAtMM), num(b.startMM()), num(b.LengthMM()))
	}
	if why := wrongOr0(b.GlueGM2); why != "" {
		add(AtShop, -1, 0, "the glue spread is %s g/m2; it %s", num(b.GlueGM2), why)
	}
	if !(b.Correlation >= 0 && b.Correlation <= 1) {
		add(AtShop, -1, 0, "the strip correlation is %s and must lie between 0 and 1", num(b.Correlation))
	}
	return ps
}

type addProblem func(kind ProblemKind, index int, x float64, format string, args ...any)

func (b *Board) checkStations(add addProblem) {
	if len(b.Stations) < 2 {
		add(AtStation, -1, 0, "a board needs at least two stations, and has %d", len(b.Stations))
	}
	for i, s := range b.Stations {
		if why := wrongOr0(s.FromTipMM); why != "" {
			add(AtStation, i, s.FromTipMM, "the station is %s mm from the tip; the distance %s", num(s.FromTipMM), why)
		}
		if why := wrong(s.WidthMM); why != "" {
			add(AtStation, i, s.FromTipMM, "the core width at %s mm is %s mm; it %s", num(s.FromTipMM), num(s.WidthMM), why)
		}
		if why := wrong(s.ThicknessMM); why != "" {
			add(AtStation, i, s.FromTipMM, "the core thickness at %s mm is %s mm; it %s", num(s.FromTipMM), num(s.ThicknessMM), why)
		}
		if i == 0 {
			continue
		}
		switch before := b.Stations[i-1].FromTipMM; {
		case s.FromTipMM == before:
			add(AtStation, i, s.FromTipMM, "the station at %s mm is given twice", num(s.FromTipMM))
		case s.FromTipMM < before:
			add(AtStation, i, s.FromTipMM, "the station at %s mm comes after the one at %s mm; stations must run from tip to tail",
				num(s.FromTipMM), num(before))
		}
	}
}

func (b *Board) checkPositions(add addProblem, stationsStand bool) {
	if len(b.Positions) == 0 {
		add(AtPosition, -1, 0, "a board needs at least one position")
		return
	}
	stand := true
	for i, p := range b.Positions {
		if p.Strips < 1 || p.Strips > mostStrips {
			stand = false
			add(AtPosition, i, 0, "position %q has %d strips; it must have 1 to %d", p.Name, p.Strips, mostStrips)
		}
		if why := wrong(p.StripWidthMM); why != "" {
			stand = false
			add(AtPosition, i, 0, "the strip width of position %q is %s mm; it %s", p.Name, num(p.StripWidthMM), why)
		}
		if !(math.Abs(p.PreStrain) <= mostPreStrain) {
			add(AtPosition, i, 0, "the pre-strain of position %q is %s per mille; it must lie between %s and %s, which is more than any wood bears",
				p.Name, num(1000*p.PreStrain), num(-1000*mostPreStrain), num(1000*mostPreStrain))
		}
		if p.OnCentreLine && i > 0 {
			stand = false
			add(AtPosition, i, 0, "position %q is on the centre line but not the first; positions run from the centre line outward", p.Name)
		}
	}
	if !stand || !stationsStand {
		return
	}
	strips := b.Strips()
	reach := strips[len(strips)-1].ToMM
	widest := slices.MaxFunc(b.Stations, func(s, t Station) int {
		switch {
		case s.WidthMM < t.WidthMM:
			return -1
		case s.WidthMM > t.WidthMM:
			return 1
		}
		return 0
	})
	if half := widest.WidthMM / 2; reach < half-nearMM {
		add(AtPosition, -1, widest.FromTipMM,
			"the positions reach %s mm from the centre line, but the core is %s mm wide at %s mm from the tip, %s mm to each side: %s mm are missing on each side",
			num(reach), num(widest.WidthMM), num(widest.FromTipMM), num(half), num(half-reach))
	}
}

func (b *Board) checkLayers(add addProblem, stationsStand bool) {
	for i, l := range b.Layers {
		bad := func(format string, args ...any) {
			add(AtLayer, i, l.FromMM, "layer %q: %s", l.Name, fmt.Sprintf(format, args...))
		}
		if l.Place != Above && l.Place != Below && l.Place != Beside {
			bad("the place is %q and must be above, below or beside", l.Place)
		}
		if l.Order < 1 {
			bad("the order is %d; 1 is next to the core", l.Order)
		}
		for _, v := range []struct {
			value      float64
			what, unit string
			mayBe0     bool
			orElse     string
		}{
			{l.ModulusGPa, "modulus", "GPa", false, ""},
			{l.ShearGPa, "shear modulus", "GPa", true, ", or be left out for an estimate"},
			{l.DensityKgM3, "density", "kg/m3", true, ", or be left out if it is not known"},
			{l.WidthMM, "width", "mm", l.Place != Beside, ", or be left out for the full width"},
			{l.ThicknessMM, "thickness", "mm", l.Place == Beside, ", or be left out for the core's"},
		} {
			why := wrong(v.value)
			switch {
			case why == "" || v.mayBe0 && v.value == 0:
			case v.mayBe0:
				bad("the %s is %s %s; it %s%s", v.what, num(v.value), v.unit, why, v.orElse)
			default:
				bad("the %s is %s %s; it %s", v.what, num(v.value), v.unit, why)
			}
		}
		switch {
		case l.Place == Beside && l.LetInMM != 0:
			bad("only a layer above or below can be let in")
		case l.Place != Beside && wrong(l.ThicknessMM) == "" && !(l.LetInMM >= 0 && l.LetInMM <= l.ThicknessMM):
			bad("it is let in %s mm; that must lie between 0 and its thickness, %s mm", num(l.LetInMM), num(l.ThicknessMM))
		}
		if from, to := b.rangeMM(l); stationsStand {
			b.checkRange(bad, from, to)
		}
	}
}

func (b *Board) checkRange(bad func(string, ...any), from, to float64) {
	switch {
	case !(from < to):
		bad("it reaches from %s to %s mm; the end must lie beyond the start", num(from), num(to))
	case from < b.startMM() || to > b.LengthMM():
		bad("it reaches from %s to %s mm, but the core from %s to %s mm", num(from), num(to), num(b.startMM()), num(b.LengthMM()))
	}
}

func (b *Board) checkPads(add addProblem, stationsStand bool) {
	for i, p := range b.Pads {
		bad := func(format string, args ...any) {
			add(AtPad, i, p.FromMM, "cross-grain pad: %s", fmt.Sprintf(format, args...))
		}
		if p.Position < 0 || p.Position >= len(b.Positions) {
			bad("there is no position %d", p.Position)
		}
		if p.Wood < 0 || p.Wood >= len(b.Woods) {
			bad("there is no wood %d", p.Wood)
		} else {
			w := b.Woods[p.Wood]
			if !usable(w.CrossGrainGPa) {
				bad("wood %q has no modulus across the grain", w.ID)
			}
			if !usable(w.DensityKgM3) {
				bad("wood %q has no density", w.ID)
			}
		}
		if stationsStand {
			b.checkRange(bad, p.FromMM, p.ToMM)
		}
		for _, q := range b.Pads[:i] {
			if p.Position == q.Position && p.FromMM < q.ToMM && q.FromMM < p.ToMM {
				bad("from %s to %s mm it overlaps the one from %s to %s mm of the same position",
					num(p.FromMM), num(p.ToMM), num(q.FromMM), num(q.ToMM))
			}
		}
	}
}

// Figures of a board lie between these, whatever their unit; beyond them nothing is a board, and arithmetic overflows.
const (
	least = 1e-6
	most  = 1e6
)

// wrong says what a figure must be instead; it is empty for one that can stand.
func wrong(v float64) string {
	switch {
	case !(v > 0):
		return "must be above 0"
	case v < least:
		return "must be at least 0.000001"
	case !(v < most):
		return "must be below 1000000"
	}
	return ""
}

func wrongOr0(v float64) string {
	if v == 0 {
		return ""
	}
	if v < 0 {
		return "must not be below 0"
	}
	return wrong(v)
}

func usable(f species.Figure) bool { return f.Known() && wrong(f.Value) == "" }

// num prints a number as a user would write it, to a thousandth.
func num(v float64) string {
	r := math.Round(v*1000) / 1000
	if r == 0 {
		r = 0 // no "-0"
		if v != 0 {
			return strconv.FormatFloat(v, 'g', 3, 64) // too small for three decimals: show that it is not 0
		}
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// nameOf is what a message calls a wood.
func nameOf(w species.Wood) string {
	if w.CommonName != "" {
		return w.CommonName
	}
	return w.ID
}
