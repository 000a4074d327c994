package optimize

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// A relaxation is the season's linear program solved to the end: over all layouts, not only those it has columns for.
type relaxation struct {
	w        *master
	x        []float64
	strip    []float64 // prices by kind
	model    []float64 // by model: what its choice costs
	value    float64
	bound    float64 // proven
	lacking  bool    // it cannot be had without lacking something
	complete bool    // the bound is that of all layouts
}

// errStopped says that ctx ended before there was anything to say.
var errStopped = errors.New("stopped before a plan was found")

const (
	pricingRounds = 400
	perRound      = 4    // totals a model adds to the relaxation at a time
	noGain        = 1e-7 // of the value: what a reduced cost may lack and still be none
)

// relax solves the linear program over the totals in among (nil: every layout of the model, generated as prices ask for them), starting
// with the columns in active, to which it adds.
func (x *seasonSearch) relax(ctx context.Context, among, active [][]int, d *demand) (*relaxation, error) {
	g := x.g
	r := &relaxation{bound: math.Inf(-1)}
	in := make([]map[int]bool, len(g.forms))
	for i := range g.forms {
		in[i] = map[int]bool{}
		for _, t := range active[i] {
			in[i][t] = true
		}
	}
	for range pricingRounds {
		r.w = g.master(active, d, masterOptions{lacking: true})
		a, err := x.engine.Solve(ctx, r.w.m, mip.Options{RelaxIntegers: true})
		if err != nil {
			return nil, err
		}
		if a.Status != mip.Optimal {
			if ctx.Err() != nil {
				return r, nil
			}
			return nil, errors.New("the season's relaxation has no answer: " + a.Message)
		}
		r.x, r.value = a.X, a.Objective
		r.strip, r.model = r.w.prices(a.Dual)
		bound, fresh, err := x.price(ctx, r, among, active, in)
		if err != nil {
			return nil, err
		}
		r.bound = max(r.bound, bound)
		if !fresh {
			r.complete = ctx.Err() == nil
			break
		}
		if ctx.Err() != nil {
			break
		}
	}
	for _, c := range r.w.lacks {
		r.lacking = r.lacking || r.x[c] > 1e-6
	}
	return r, nil
}

// price looks for totals that the relaxation lacks, adds them to active, and returns the bound of Lagrange at these prices: the value and, of each
// model, what its best layout is better than its price.
func (x *seasonSearch) price(ctx context.Context, r *relaxation, among, active [][]int, in []map[int]bool) (bound float64, fresh bool, err error) {
	g := x.g
	bound = r.value
	least := noGain * (1 + math.Abs(r.value)) / float64(len(g.forms))
	type found struct {
		t  int
		rc float64
	}
	for i, f := range g.forms {
		if r.w.convex[i] < 0 {
			continue
		}
		if among[i] == nil {
			n, per, err := f.pricer.least(ctx, r.strip)
			if err != nil {
				return 0, false, err
			}
			bound += min(0, per*float64(f.build)-r.model[i])
			if n != nil {
				t, _ := f.add(n)
				if rc := f.priced(f.totals[t], r.strip)*float64(f.build) - r.model[i]; rc < -least && !in[i][t] {
					in[i][t], fresh = true, true
					active[i] = append(active[i], t)
				}
			}
			continue
		}
		var best []found
		worst := 0.0
		for _, t := range among[i] {
			rc := f.priced(f.totals[t], r.strip)*float64(f.build) - r.model[i]
			worst = min(worst, rc)
			if rc < -least && !in[i][t] && (len(best) < perRound || rc < best[len(best)-1].rc) {
				at, _ := slices.BinarySearchFunc(best, rc, func(a found, rc float64) int { return cmp.Compare(a.rc, rc) })
				best = slices.Insert(best, at, found{t, rc})
				best = best[:min(len(best), perRound)]
			}
		}
		bound += worst
		for _, b := range best {
			in[i][b.t], fresh = true, true
			active[i] = append(active[i], b.t)
		}
	}
	return bound, fresh, nil
}

// reduced is by model and total, of those in among, how much dearer a plan with it is at least than the relaxation's bound.
func (r *relaxation) reduced(f *modelForm, i int, t int) float64 {
	return max(0, f.priced(f.totals[t], r.strip)*float64(f.build)-r.model[i])
}
