package optimize

import (
	"fmt"
	"math"
	"strconv"

	"stavewright/optimize/core"
)

// A kind is how a limit enters a model.
type kind int

const (
	linear    kind = iota // one row over the counts
	maxWoods              // a row over the "used" variables
	minStrips             // a coefficient of the "used" variables
	hardness              // leaves woods out of a position
	scatter               // a variance against a convex function of C
	flexLow               // see rideForm, as the two after it
	flexHigh
	strength
)

// open is the absent side of a row.
const (
	openLow  = math.MinInt64
	openHigh = math.MaxInt64
)

// A limit is one side of one bound, quantised. A window gives two of them.
type limit struct {
	kind  kind
	name  string // what is asked, in the user's words: "EI at 780 mm at least 265 N·m²"
	where string // its cell
	form  string // limits with equal form share coefficients, and become one row

	coef      []int64 // linear: by variable
	mass      bool    // linear: the coefficients are masses, and may differ inside a class
	offset    int64   // linear: what no layout changes
	low, high int64   // linear: openLow or openHigh where there is none
	value     int64   // maxWoods, minStrips: the bound
	position  int     // hardness
	asked     float64 // hardness in N, scatter and utilisation in %, flex in N/mm

	// text gives a reached value of the form in the user's unit: "258.31 N·m²".
	text func(reached int64) string
}

// isLow reports whether the limit asks for at least something.
func (l *limit) isLow() bool { return l.kind == minStrips || l.kind == hardness || l.low != openLow }

// number prints a figure the way a person wrote it.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// limits quantises every limit of the program. A faulty combination (a window without a thickness to bend, say) is an
// error of the caller, which has checked its input.
func (f *form) addLimits() error {
	p, b, lim := f.p, f.p.Board, &f.p.Limits
	add := func(l limit) {
		f.limits = append(f.limits, &l)
	}
	side := func(l limit, low bool, at int64) {
		l.low, l.high = openLow, openHigh
		if low {
			l.low = at
		} else {
			l.high = at
		}
		add(l)
	}

	for _, w := range lim.Windows {
		st := f.stationAt(w.FromTipMM)
		for _, e := range []struct {
			Limit
			low  bool
			word string
		}{{w.Low, true, "at least"}, {w.High, false, "at most"}} {
			if !e.Set {
				continue
			}
			l := limit{
				name:  fmt.Sprintf("EI at %s mm %s %s N·m²", number(w.FromTipMM), e.word, number(math.Round(e.Value*1e3)/1e3)),
				where: e.Where, form: fmt.Sprintf("EI at %s mm", number(w.FromTipMM)), coef: st.coef,
				text: func(c int64) string { return fixed(inUnits(st.eiStep(c), f.res.EINM2), f.res.EINM2) + " N·m²" },
			}
			// A window is kept by what is shown: EI at the resolution, so the bound gives way by half a step.
			if e.low {
				side(l, true, st.leastC(e.Value-f.res.EINM2/2))
			} else {
				side(l, false, st.leastC(e.Value+f.res.EINM2/2)-1)
			}
		}
	}

	for _, c := range lim.Counts {
		coef := make([]int64, len(f.vars))
		for i, v := range f.vars {
			g := f.groups[v.group]
			if f.woodOf(v) == c.Wood && (c.Position < 0 || g.Position == c.Position) {
				coef[i] = int64(g.PerSide)
			}
		}
		place := "in the core"
		if c.Position >= 0 {
			place = fmt.Sprintf("at %s", b.Positions[c.Position].Name)
		}
		wood := b.Woods[c.Wood].CommonName
		l := limit{form: fmt.Sprintf("strips of %s %s", wood, place), coef: coef,
			text: func(n int64) string { return fmt.Sprintf("%d strips per side", n) }}
		if c.Low.Set {
			l.name, l.where = fmt.Sprintf("at least %s strips per side of %s %s", number(c.Low.Value), wood, place), c.Low.Where
			side(l, true, int64(math.Ceil(c.Low.Value-1e-9)))
		}
		if c.High.Set {
			l.name, l.where = fmt.Sprintf("at most %s strips per side of %s %s", number(c.High.Value), wood, place), c.High.Where
			side(l, false, int64(math.Floor(c.High.Value+1e-9)))
		}
	}

	share := func(form, name string, at Limit, low bool, of func(v variable) bool, pad func(wood int) bool) {
		if !at.Set {
			return
		}
		coef := make([]int64, len(f.vars))
		for i, v := range f.vars {
			if of(v) {
				coef[i] = f.volume[i]
			}
		}
		// What is shown must be true when it is written back as the bound: a floor where a floor is asked.
		outward := math.Ceil
		if low {
			outward = math.Floor
		}
		l := limit{name: name, where: at.Where, form: form, coef: coef,
			text: func(v int64) string { return fixed(outward(1e4*float64(v)/float64(f.volumeAll))/100, 0.01) + " %" }}
		for w, v := range f.padVolume {
			if v > 0 && pad(w) {
				l.offset += v
			}
		}
		bound := at.Value / 100 * float64(f.volumeAll)
		if low {
			side(l, true, int64(math.Ceil(bound-1e-6)))
		} else {
			side(l, false, int64(math.Floor(bound+1e-6)))
		}
	}
	for _, s := range lim.Shares {
		wood := b.Woods[s.Wood].CommonName
		of := func(v variable) bool { return f.woodOf(v) == s.Wood }
		pad := func(w int) bool { return w == s.Wood }
		form := "share of " + wood
		share(form, fmt.Sprintf("%s at least %s %% of the core's volume", wood, number(s.Low.Value)), s.Low, true, of, pad)
		share(form, fmt.Sprintf("%s at most %s %% of the core's volume", wood, number(s.High.Value)), s.High, false, of, pad)
	}
	share(fastShare, fmt.Sprintf("fast-grown woods at least %s %% of the core's volume", number(lim.MinFastPct.Value)),
		lim.MinFastPct, true, func(v variable) bool { return p.Candidates[v.cand].FastGrown },
		f.fastPad)
	share("certified share", fmt.Sprintf("certified wood at least %s %% of the core's volume", number(lim.MinCertPct.Value)),
		lim.MinCertPct, true, func(v variable) bool { return f.use(v).Certified },
		func(int) bool { return false }) // a pad's offer is not asked for

	if lim.MaxCoreMassG.Set {
		side(limit{
			name:  fmt.Sprintf("core mass at most %s g", number(lim.MaxCoreMassG.Value)),
			where: lim.MaxCoreMassG.Where, form: "core mass", coef: f.mass, mass: true, offset: f.glue,
			text: func(m int64) string { return fixed(inUnits(float64(f.massStep(m)), f.res.MassG), f.res.MassG) + " g" },
		}, false, f.massStepEnd(int64(math.Round(lim.MaxCoreMassG.Value/f.res.MassG))))
	}
	if lim.MaxCost.Set && f.priced {
		side(limit{
			name:  fmt.Sprintf("cost at most %s %s a core", lim.MaxCost.Value.StringFixed(2), p.Currency),
			where: lim.MaxCost.Where, form: "cost", coef: f.cost,
			text: func(c int64) string {
				return fixed(inUnits(float64(f.costStep(c)), f.res.Money), f.res.Money) + " " + p.Currency
			},
		}, false, f.costStepEnd(lim.MaxCost.Value.Div(f.moneyRes).Round(0).IntPart()))
	}

	for i, pl := range lim.Positions {
		name := b.Positions[i].Name
		if h := pl.MinHardnessN; h.Set {
			add(limit{kind: hardness, name: fmt.Sprintf("every strip at %s at least %s N hard", name, number(h.Value)),
				where: h.Where, position: i, asked: h.Value, low: openLow, high: openHigh})
		}
		if h := pl.MinHoldingPct; h.Set {
			ref := lim.HoldingRef.SpecificGravity
			if !ref.Known() {
				return fmt.Errorf("screw holding is limited, but the specific gravity of the reference wood %q is not known", lim.HoldingRef.CommonName)
			}
			coef := make([]int64, len(f.vars))
			for j, v := range f.vars {
				if g := f.groups[v.group]; g.Position == i {
					// An unknown gravity counts as none: it never helps to pass.
					coef[j] = int64(math.Round(b.Woods[f.woodOf(v)].SpecificGravity.Value*gravityFine)) * int64(g.PerSide)
				}
			}
			n := float64(b.Positions[i].Strips)
			need := ref.Value * math.Sqrt(h.Value/100) * n * gravityFine
			side(limit{
				name:  fmt.Sprintf("screw holding at %s at least %s %% of %s", name, number(h.Value), lim.HoldingRef.CommonName),
				where: h.Where, form: "screw holding at " + name, coef: coef,
				text: func(v int64) string {
					r := float64(v) / n / gravityFine / ref.Value
					return fixed(math.Floor(1000*r*r)/10, 0.1) + " %"
				},
			}, true, int64(math.Ceil(need-0.5*n)))
		}
	}

	if l := lim.MaxWoods; l.Set {
		add(limit{kind: maxWoods, name: fmt.Sprintf("at most %s woods", number(l.Value)), where: l.Where, value: int64(l.Value),
			low: openLow, high: openHigh, text: func(n int64) string { return fmt.Sprintf("%d woods", n) }})
	}
	if l := lim.MinStrips; l.Set {
		add(limit{kind: minStrips, name: fmt.Sprintf("at least %s strips per side of each wood used", number(l.Value)), where: l.Where,
			value: int64(math.Ceil(l.Value)), low: openLow, high: openHigh,
			text: func(n int64) string { return fmt.Sprintf("%d strips per side", n) }})
	}
	if l := lim.MaxScatterPct; l.Set {
		add(limit{kind: scatter, name: fmt.Sprintf("scatter of EI at the measuring station at most %s %%", number(l.Value)), where: l.Where,
			asked: l.Value, low: openLow, high: openHigh})
	}
	for _, e := range []struct {
		Limit
		kind kind
		word string
	}{{lim.FlexLow, flexLow, "at least"}, {lim.FlexHigh, flexHigh, "at most"}} {
		if !e.Set {
			continue
		}
		if b.SpanMM <= 0 {
			return fmt.Errorf("flex is limited (%s), but there is no support span", e.Where)
		}
		add(limit{kind: e.kind, name: fmt.Sprintf("flex over %s mm %s %s N/mm", number(b.SpanMM), e.word, number(e.Value)),
			form: fmt.Sprintf("flex over %s mm", number(b.SpanMM)), where: e.Where, asked: e.Value, low: openLow, high: openHigh})
	}
	if l := lim.MaxUtilPct; l.Set {
		switch {
		case b.SpanMM <= 0:
			return fmt.Errorf("utilisation is limited (%s), but there is no support span", l.Where)
		case !(lim.DesignLoadN > 0):
			return fmt.Errorf("utilisation is limited (%s), but there is no design load", l.Where)
		}
		add(limit{kind: strength, form: "utilisation", where: l.Where, asked: l.Value, low: openLow, high: openHigh,
			name: fmt.Sprintf("utilisation at most %s %% under %s N", number(l.Value), number(lim.DesignLoadN))})
	}
	for _, l := range f.limits {
		if l.leaf() {
			f.ride = f.newRide()
			break
		}
	}
	return nil
}

// fixed prints v with the decimals of a resolution such as 0.01, and never as minus zero.
func fixed(v, resolution float64) string {
	d := decimals(resolution)
	s := strconv.FormatFloat(v, 'f', d, 64)
	if v < 0 && v > -resolution/2 {
		s = strconv.FormatFloat(0, 'f', d, 64)
	}
	return s
}

// decimals is how many decimals a resolution needs: 2 for 0.01, 0 for 1 or 5.
func decimals(resolution float64) int {
	s := strconv.FormatFloat(resolution, 'f', -1, 64)
	for i := range s {
		if s[i] == '.' {
			return len(s) - i - 1
		}
	}
	return 0
}

// breaks reports the limits that a layout breaks, by exact figures in the form's integers.
func (f *form) breaks(n []int64, s *scatterForm) []*limit {
	var out []*limit
	for _, l := range f.limits {
		if !f.keeps(l, n, s) {
			out = append(out, l)
		}
	}
	return out
}

func (f *form) keeps(l *limit, n []int64, s *scatterForm) bool {
	switch l.kind {
	case linear:
		v := dot(l.coef, n) + l.offset
		return (l.low == openLow || v >= l.low) && (l.high == openHigh || v <= l.high)
	case maxWoods:
		return f.woodsUsed(n) <= l.value
	case minStrips:
		for c := range f.p.Candidates {
			if u := f.strips(c, n); u > 0 && u < l.value {
				return false
			}
		}
	case hardness:
		for i, v := range f.vars {
			if n[i] > 0 && f.groups[v.group].Position == l.position && !f.p.Board.Woods[f.woodOf(v)].HardnessN.AtLeast(l.asked) {
				return false
			}
		}
	case scatter:
		return s.keeps(n)
	case flexLow:
		return f.ride.newtons(n) >= l.asked-flexStep/2
	case flexHigh:
		return f.ride.newtons(n) <= l.asked+flexStep/2
	case strength:
		if f.ride.overstressed(n, l.asked+utilisationStep/2) {
			return false
		}
		st, err := f.strength(n)
		// An unknown strength passes no limit.
		return err == nil && st.Known && st.UtilisationPct <= l.asked+utilisationStep/2
	}
	return true
}

// utilisationStep is the resolution at which utilisation is shown and limited, %.
const utilisationStep = 0.1

// strength rates counts under the design load.
func (f *form) strength(n []int64) (core.Strength, error) {
	return f.board.Strength(f.layout(n), core.Load{N: f.p.Limits.DesignLoadN, SafetyFactor: f.p.Limits.SafetyFactor})
}

// reached is what counts have of a limit's form, in words; empty where that says nothing.
func (f *form) reached(l *limit, n []int64) string {
	switch {
	case l.kind == linear:
		return l.text(dot(l.coef, n) + l.offset)
	case l.kind == flexLow || l.kind == flexHigh:
		return fixed(f.ride.newtons(n), flexStep) + " N/mm"
	case l.kind == strength:
		st, err := f.strength(n)
		switch {
		case err != nil:
			return ""
		case !st.Known:
			return "a wood of unknown strength: " + st.Why
		}
		return fixed(st.UtilisationPct, utilisationStep) + " %"
	}
	return ""
}

// woodsUsed counts the woods of a layout.
func (f *form) woodsUsed(n []int64) int64 {
	var k int64
	for c := range f.p.Candidates {
		if f.strips(c, n) > 0 {
			k++
		}
	}
	return k
}

// strips counts the strips per side of a candidate.
func (f *form) strips(cand int, n []int64) int64 {
	var k int64
	for i, v := range f.vars {
		if v.cand == cand {
			k += n[i] * int64(f.groups[v.group].PerSide)
		}
	}
	return k
}

func dot(a, b []int64) int64 {
	var s int64
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// A station is a cross-section whose C is an integer form of the counts.
type station struct {
	at   core.Constants
	unit float64 // N/mm per unit of the form
	coef []int64 // by variable
	res  float64 // N·m², the step of eiStep
}

// eiStep is EI at the resolution, in steps, for a value of the form.
func (s *station) eiStep(c int64) float64 { return math.Round(s.at.EI(float64(c)*s.unit) / s.res) }

// leastC is the least value of the form at which EI reaches ei.
func (s *station) leastC(ei float64) int64 {
	c, ok := s.at.C(ei)
	if !ok {
		return 0 // even without strips the section is stiffer
	}
	k := int64(math.Ceil(c / s.unit))
	for k > 0 && s.at.EI(float64(k-1)*s.unit) >= ei {
		k--
	}
	for s.at.EI(float64(k)*s.unit) < ei {
		k++
	}
	return k
}
