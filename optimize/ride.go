package optimize

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"stavewright/optimize/core"
)

// A rideForm holds what the limits on flex and strength rest on. Neither is linear in the counts. The compliance f = 1/flex is
// convex in them (EI is concave in C), so "flex at least" is a convex set: the tangent of f at any layout cuts off no layout that
// keeps the limit, and makes rows that both methods prune by. "Flex at most" and strength are decided layout by layout, exactly,
// which enumeration does at its leaves; an integer program cannot, and says so if they bind.
type rideForm struct {
	f    *form
	flex *core.FlexForm
	c    [][]float64 // by variable: C at the nodes that one count adds

	nodes   []core.FlexNode
	moments []float64 // N·mm by node, under the design load; nil where a quick look at bending would not be exact
}

// flexStep is the resolution at which flex is shown and limited, N/mm.
const flexStep = 0.01

func (f *form) newRide() *rideForm {
	r := &rideForm{f: f, flex: f.board.FlexForm(f.p.Board.Section)}
	for _, v := range f.vars {
		r.c = append(r.c, f.board.FlexC(f.groups[v.group], f.woodOf(v)))
	}
	b := f.p.Board
	for _, p := range b.Positions {
		if p.PreStrain != 0 {
			return r
		}
	}
	if len(b.Pads) == 0 {
		r.nodes = f.board.FlexNodes()
		for _, n := range r.nodes {
			arm := b.SpanMM/2 - math.Abs(n.XMM-b.MiddleMM())
			r.moments = append(r.moments, f.p.Limits.DesignLoadN/2*max(arm, 0))
		}
	}
	return r
}

// overstressed reports that bending alone takes some wood beyond a utilisation, in %: a quick look before the whole strength is
// rated. Without pre-strain and pads, a wood keeps a bending stress where C is no less than a figure of its own.
func (r *rideForm) overstressed(n []int64, pct float64) bool {
	if r.moments == nil {
		return false
	}
	b := r.f.p.Board
	c := r.at(n)
	factor := r.f.p.Limits.SafetyFactor
	if factor == 0 {
		factor = 1
	}
	for v, k := range n {
		if k == 0 {
			continue
		}
		w := b.Woods[r.f.woodOf(r.f.vars[v])]
		allowed := w.BendingStrengthMPa.Value * pct / 100 / factor
		for i := 0; i < len(c); i += quickNodes {
			if r.c[v][i] > 0 && r.moments[i] > 0 &&
				c[i]*(1+1e-9) < r.nodes[i].Section(b.Section).LeastC(r.moments[i], w.ModulusGPa.Value, allowed) {
				return true
			}
		}
	}
	return false
}

// leastC is by candidate the C at the measuring station, in its units, that keeps the wood's bending stress there within a
// utilisation, in %, to the safe side; nil where that is not exact or there is no moment.
func (r *rideForm) leastC(pct float64) []int64 {
	f := r.f
	b, m := f.p.Board, f.measure
	moment := f.p.Limits.DesignLoadN / 2 * (b.SpanMM/2 - math.Abs(b.MeasureAtMM-b.MiddleMM()))
	if r.moments == nil || moment <= 0 {
		return nil
	}
	factor := f.p.Limits.SafetyFactor
	if factor == 0 {
		factor = 1
	}
	strips := 0
	for _, g := range f.groups {
		strips += len(g.Strips)
	}
	out := make([]int64, len(f.p.Candidates))
	for ci, c := range f.p.Candidates {
		w := b.Woods[c.Wood]
		if !w.BendingStrengthMPa.Known() {
			continue
		}
		least := m.at.LeastC(moment, w.ModulusGPa.Value, w.BendingStrengthMPa.Value*pct/100/factor)
		out[ci] = int64(min(math.Floor(least/m.unit), 1e15)) - int64(strips) // what rounding can add up to
	}
	return out
}

// quickNodes is the stride over the nodes of a quick look: what it misses the whole rating finds.
const quickNodes = 8

// profile is what strips must have in common to ride alike, as bytes: C at every node.
func (r *rideForm) profile(v int) []byte {
	var b []byte
	for _, c := range r.c[v] {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(c))
	}
	return b
}

// at is C by node.
func (r *rideForm) at(n []int64) []float64 {
	var c []float64
	for v, k := range n {
		if c == nil {
			c = make([]float64, len(r.c[v]))
		}
		if k != 0 {
			for i, x := range r.c[v] {
				c[i] += float64(k) * x
			}
		}
	}
	return c
}

// newtons is the flex of counts, N/mm.
func (r *rideForm) newtons(n []int64) float64 { return 1 / r.flex.Compliance(r.at(n)) }

// tangent is the cut of "flex at least asked" at counts, as a row: Σ coef·n ≥ low for every layout that keeps the limit. The
// coefficients are rounded to integers, and the bound gives way by what rounding can add up to, so that it stays true.
func (r *rideForm) tangent(l *limit, n []int64, index int) *limit {
	c := r.at(n)
	slope := make([]float64, len(c))
	value := r.flex.Gradient(c, slope)
	most := 1 / (l.asked - flexStep/2)
	// f(n) + g·(n' − n) ≤ most, with g ≤ 0: Σ −g n' ≥ f(n) − g·n − most.
	g := make([]float64, len(r.c))
	var all, here float64
	for v, cv := range r.c {
		for i, x := range cv {
			g[v] -= slope[i] * x
		}
		all = max(all, g[v])
		here += g[v] * float64(n[v])
	}
	strips := 0
	for _, gr := range r.f.groups {
		strips += len(gr.Strips)
	}
	unit := all * float64(strips) / widestCut
	if unit == 0 {
		unit = 1
	}
	cut := &limit{kind: linear, name: l.name, where: l.where, form: fmt.Sprintf("%s, tangent %d", l.name, index), high: openHigh,
		coef: make([]int64, len(g))}
	for v := range g {
		cut.coef[v] = int64(math.Round(g[v] / unit))
	}
	cut.low = int64(math.Floor((value+here-most)/unit - float64(strips)/2 - 1))
	return cut
}

// widestCut is how many units the form of a tangent takes at most. A layout nearer to the limit than a few units is one that tangents
// cannot decide; but at 5 million units GLPK (5.0, without presolve) has been seen to call a worse layout optimal.
const widestCut = 200_000

// chord is what "flex at most asked" asks at least, as a row: Σ coef·n ≤ high for every layout that keeps the limit. At each node 1/EI is
// convex in C, so that between the least and the greatest C of any layout its chord is nowhere below it. Rounding as in [rideForm.tangent].
func (r *rideForm) chord(l *limit) *limit {
	f := r.f
	g := make([]float64, len(r.c))
	var sum float64
	strips := 0
	for _, gr := range f.groups {
		strips += len(gr.Strips)
	}
	for i, node := range f.board.FlexNodes() {
		var low, high float64
		for gi, gr := range f.groups {
			least, most := math.Inf(1), 0.0
			for _, v := range f.at[gi] {
				if v >= 0 {
					least, most = min(least, r.c[v][i]), max(most, r.c[v][i])
				}
			}
			if most > 0 {
				low += least * float64(len(gr.Strips))
				high += most * float64(len(gr.Strips))
			}
		}
		k := node.Section(f.p.Board.Section)
		at := node.Weight / k.EI(low)
		slope := 0.0
		if high > low {
			slope = (at - node.Weight/k.EI(high)) / (high - low)
		}
		sum += at + slope*low
		for v := range g {
			g[v] += slope * r.c[v][i]
		}
	}
	// f ≤ sum − g·n, and f ≥ least: g·n ≤ sum − least.
	least := 1 / (l.asked + flexStep/2)
	unit := cmp.Or(slices.Max(g)*float64(strips)/widestCut, 1)
	cut := &limit{kind: linear, name: l.name, where: l.where, form: l.name + ", chord", low: openLow, coef: make([]int64, len(g))}
	for v := range g {
		cut.coef[v] = int64(math.Round(g[v] / unit))
	}
	cut.high = int64(math.Ceil((sum-least)/unit + float64(strips)/2 + 1))
	return cut
}

// cuts are what a limit on flex gives integer programs and an enumeration to prune by: of least flex tangents to begin with, at the reference and at the
// layouts that have as much as may be of one wood; of greatest flex its chord.
func (r *rideForm) cuts(l *limit) []*limit {
	f := r.f
	if l.kind == flexHigh {
		return []*limit{r.chord(l)}
	}
	var out []*limit
	if l.asked <= flexStep {
		return nil // every board has as much, and 1/0 has no tangent
	}
	add := func(n []int64) { out = append(out, r.tangent(l, n, len(out)+1)) }
	if f.p.Reference != nil {
		if n, err := f.counts(f.p.Reference); err == nil {
			add(n)
		}
	}
	for ci := range f.p.Candidates {
		n := make([]int64, len(f.vars))
		for gi, g := range f.groups {
			v := f.at[gi][ci]
			for k := 0; v < 0 && k < len(f.p.Candidates); k++ {
				v = f.at[gi][k]
			}
			if v >= 0 {
				n[v] = int64(len(g.Strips))
			}
		}
		add(n)
	}
	return out
}

// A NeedsEnumerationError says that a limit can only be decided layout by layout, and that there are too many layouts.
type NeedsEnumerationError struct{ Limit string }

func (e *NeedsEnumerationError) Error() string {
	return fmt.Sprintf("%s: this limit can only be decided layout by layout, and there are too many of them; "+
		"allow fewer woods at a position, or fewer woods at all (Max woods)", e.Limit)
}

// leaf reports whether a limit is decided layout by layout.
func (l *limit) leaf() bool { return l.kind == flexLow || l.kind == flexHigh || l.kind == strength }
