package optimize

import (
	"math"
	"slices"
)

// A scatterForm is the limit on the scatter of EI at the measuring station, in integers.
//
// To first order CV(EI) = EI'(C)·√Var(C)/EI(C), with Var(C) = (1−ρ) Σ (a c)² + ρ (Σ a c)² (mechanics of independent or
// correlated strips). So the limit s reads Var(C) ≤ G(C), G(C) = (s·EI/EI')². Both sums are linear in the counts; G is
// a convex function of C, so the limit is not. The model holds it as chords of G over stretches of C, one binary each, and as tangents
// of the square: an outer form. A layout that the outer form lets through and the exact one does not adds a break at its C and a
// tangent at its sum, where the outer form is then exact; integers make that end.
type scatterForm struct {
	f        *form
	limitPct float64
	rho      float64
	varUnit  float64 // (N/mm)² per unit of variance
	devUnit  float64 // N/mm per unit of deviation
	variance []int64 // by variable: Σ (a c)² of one count
	dev      []int64 // by variable: Σ a c of one count

	breaks   []int64 // of C, ascending; the first and last enclose every layout
	tangents []int64 // of the deviation
}

// chords is how many stretches the outer form starts with: a chord of a square over 1/12 of its range is within 0.2 % of it.
const chords = 12

// newScatter is nil when the program does not limit scatter.
func (f *form) newScatter() *scatterForm {
	lim := f.p.Limits.MaxScatterPct
	if !lim.Set {
		return nil
	}
	s := &scatterForm{f: f, limitPct: lim.Value, rho: f.p.Board.Correlation,
		variance: make([]int64, len(f.vars)), dev: make([]int64, len(f.vars))}
	b := f.p.Board
	x := b.MeasureAtMM
	v, d := make([]float64, len(f.vars)), make([]float64, len(f.vars))
	var vMost, dMost float64
	for i, va := range f.vars {
		g := f.groups[va.group]
		vi, known := b.StripVarC(g, f.woodOf(va), x)
		di, _ := b.StripDevC(g, f.woodOf(va), x)
		if !known {
			vi, di = math.Inf(1), math.Inf(1) // an unknown scatter passes no limit
		} else {
			vMost = max(vMost, vi*float64(len(g.Strips)))
			dMost = max(dMost, di*float64(len(g.Strips)))
		}
		v[i], d[i] = vi, di
	}
	n := float64(len(f.groups))
	s.varUnit, s.devUnit = niceUnit(vMost*n/widestC), niceUnit(dMost*n/widestC)
	for i := range v {
		if math.IsInf(v[i], 0) {
			s.variance[i], s.dev[i] = 2*widestC, 2*widestC
			continue
		}
		s.variance[i], s.dev[i] = int64(math.Round(v[i]/s.varUnit)), int64(math.Round(d[i]/s.devUnit))
	}
	low, high := f.rangeOf(f.measure.coef)
	for k := int64(0); k <= chords; k++ {
		s.breaks = append(s.breaks, low+(high-low)*k/chords)
	}
	s.breaks = slices.Compact(s.breaks)
	if s.rho > 0 {
		low, high = f.rangeOf(s.dev)
		for k := int64(0); k <= chords; k++ {
			s.tangents = append(s.tangents, low+(high-low)*k/chords)
		}
		s.tangents = slices.Compact(s.tangents)
	}
	return s
}

// allowance is G at a value of C, in units of variance.
func (s *scatterForm) allowance(c int64) float64 {
	m := s.f.measure
	x := float64(c) * m.unit
	g := s.limitPct / 100 * m.at.EI(x) / m.at.Slope(x)
	return g * g / s.varUnit
}

// variation is Var(C) of counts, in units of variance.
func (s *scatterForm) variation(v, d int64) float64 {
	dev := float64(d) * s.devUnit
	return (1-s.rho)*float64(v) + s.rho*dev*dev/s.varUnit
}

// keeps decides the limit: a scatter that prints as the limit keeps it, so 0.005 % of scatter are given way.
func (s *scatterForm) keeps(n []int64) bool {
	return s.allows(dot(s.variance, n), dot(s.dev, n), dot(s.f.measure.coef, n))
}

// allows decides it by the three sums that it rests on: variance, deviation and C.
func (s *scatterForm) allows(v, d, c int64) bool {
	return s.variation(v, d) <= s.allowance(c)*s.giveWay()
}

// giveWay is the factor on the allowance that lets what prints as the limit pass.
func (s *scatterForm) giveWay() float64 {
	r := (s.limitPct + 0.005) / s.limitPct
	return r * r
}

// refine makes the outer form exact at counts that it wrongly let through; false when it already was, which rounding
// at the last digit could cause.
func (s *scatterForm) refine(n []int64) bool {
	c, d := dot(s.f.measure.coef, n), dot(s.dev, n)
	changed := false
	if i, found := slices.BinarySearch(s.breaks, c); !found {
		s.breaks = slices.Insert(s.breaks, i, c)
		changed = true
	}
	if s.rho > 0 {
		if i, found := slices.BinarySearch(s.tangents, d); !found {
			s.tangents = slices.Insert(s.tangents, i, d)
			changed = true
		}
	}
	return changed
}

// rangeOf encloses the values that a form can take.
func (f *form) rangeOf(coef []int64) (low, high int64) {
	for gi, g := range f.groups {
		lo, hi := int64(math.MaxInt64), int64(math.MinInt64)
		for _, v := range f.at[gi] {
			if v >= 0 {
				lo, hi = min(lo, coef[v]), max(hi, coef[v])
			}
		}
		if lo > hi {
			continue // no wood is left here; the search says so
		}
		low += lo * int64(len(g.Strips))
		high += hi * int64(len(g.Strips))
	}
	return low, high
}
