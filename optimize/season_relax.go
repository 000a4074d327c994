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
	w       *master
	active  []pick // the totals it has columns for
	x       []float64
	strip   []float64 // prices by kind
	model   []float64 // by model: what its choice costs
	value   float64
	bound   float64 // proven: no plan of the branch costs less; +Inf: it has none
	basis   *mip.Basis
	settled bool // solved to the end
}

const (
	perRound     = 8    // totals a model adds to the relaxation at a time
	noGain       = 1e-9 // of the value: what a reduced cost may lack and still be none
	lacksNothing = 1e-5 // strips, or their like
)

// A branch is what a relaxation is taken of.
type branch struct {
	box    *box
	among  [][]int // by model: the totals to choose from; nil: every layout, generated as prices ask for them
	active []pick  // columns to begin with
	d      *demand
	basis  *mip.Basis
	upper  float64 // what a plan must cost less than; beyond it nobody needs to know
}

// relax solves the linear program of a branch. What cannot be had is lacking, at a high price at first, then at a far higher one. When
// something is lacking still, the least that must be lacking is found, whatever it costs: if that is nothing, the relaxation stands as it is, and
// its bound holds; else the branch holds no plan.
func (x *seasonSearch) relax(ctx context.Context, b branch) (*relaxation, error) {
	var r *relaxation
	for _, o := range []masterOptions{{dearer: 1}, {dearer: 1e4}, {onlyLacking: true}} {
		o.lacking, o.box = true, b.box
		if o.onlyLacking {
			b.upper = inf
		}
		now, err := x.generate(ctx, b, o)
		if err != nil || !now.settled || now.bound >= b.upper {
			return now, err
		}
		switch lacks := now.lacks(); {
		case o.onlyLacking && lacks:
			now.bound = inf
			return now, nil
		case o.onlyLacking:
			return r, nil
		case !lacks:
			return now, nil
		}
		r, b.active, b.basis = now, now.active, nil
	}
	return r, nil
}

// lacks reports whether a relaxation has anything lacking.
func (r *relaxation) lacks() bool {
	for _, c := range r.w.lacks {
		if r.x[c] > lacksNothing {
			return true
		}
	}
	return false
}

// generate solves the linear program of a branch and adds totals to it until none is of use.
func (x *seasonSearch) generate(ctx context.Context, b branch, o masterOptions) (*relaxation, error) {
	g := x.g
	r := &relaxation{bound: math.Inf(-1), basis: b.basis}
	among := make([][]int, len(g.forms))
	for i, f := range g.forms {
		among[i] = b.box.among(i, f, b.among[i])
		if among[i] != nil && len(among[i]) == 0 {
			r.bound, r.settled = inf, true
			return r, nil
		}
	}
	for _, p := range b.active {
		if b.box.allows(p.model, g.forms[p.model].totals[p.total]) {
			r.active = append(r.active, p)
		}
	}
	for added := false; ; added = true {
		r.w = g.master(r.active, b.d, o)
		r.basis = r.w.extend(r.basis)
		a, err := x.engine.Solve(ctx, r.w.m, mip.Options{RelaxIntegers: true, Basis: r.basis, ColumnsAdded: added})
		if err != nil {
			return nil, err
		}
		if a.Status == mip.Infeasible {
			// Only what has been decided can be at odds: everything else may be lacking.
			r.bound, r.settled = inf, true
			return r, nil
		}
		if a.Status != mip.Optimal {
			if a.Status == mip.Stopped || ctx.Err() != nil {
				return r, nil
			}
			return nil, errors.New("the season's relaxation has no answer: " + a.Message)
		}
		r.x, r.value, r.basis = a.X, a.Objective, a.Basis
		r.strip, r.model = r.w.prices(a.Dual)
		bound, fresh, err := x.price(ctx, r, among, b.box)
		if err != nil {
			return nil, err
		}
		r.bound = max(r.bound, bound)
		if !fresh || r.bound >= b.upper {
			r.settled = ctx.Err() == nil
			break
		}
		if ctx.Err() != nil {
			break
		}
	}
	return r, nil
}

// extend makes a basis good for a master that has more totals; nil when it is of another shape altogether.
func (w *master) extend(b *mip.Basis) *mip.Basis {
	if b == nil || len(b.RowState) != len(w.m.Rows) || len(b.ColumnState) > len(w.m.Columns) {
		return nil
	}
	const atLow = 2 // GLP_NL
	out := &mip.Basis{RowState: b.RowState, ColumnState: slices.Clone(b.ColumnState)}
	for len(out.ColumnState) < len(w.m.Columns) {
		out.ColumnState = append(out.ColumnState, atLow)
	}
	return out
}

// price looks for totals that the relaxation lacks, adds them, and returns the bound of Lagrange at these prices: the value and, of each
// model, what its best layout is better than its price.
func (x *seasonSearch) price(ctx context.Context, r *relaxation, among [][]int, in *box) (bound float64, fresh bool, err error) {
	g := x.g
	bound = r.value
	least := noGain * (1 + math.Abs(r.value))
	type found struct {
		t  int
		rc float64
	}
	for i, f := range g.forms {
		if r.w.convex[i] < 0 {
			continue
		}
		prices := f.prices(r.strip)
		if among[i] == nil {
			n, per, err := f.pricer.least(ctx, r.strip)
			if err != nil {
				return 0, false, err
			}
			bound += min(0, per*float64(f.build)-r.model[i])
			if n != nil {
				t, _ := f.add(n)
				if rc := f.priced(t, prices) - r.model[i]; rc < -least && in.allows(i, f.totals[t]) && !slices.Contains(r.active, pick{i, t}) {
					fresh = true
					r.active = append(r.active, pick{i, t})
				}
			}
			continue
		}
		var best []found
		worst := 0.0
		for _, t := range among[i] {
			rc := f.priced(t, prices) - r.model[i]
			worst = min(worst, rc)
			if rc < -least && (len(best) < perRound || rc < best[len(best)-1].rc) {
				at, _ := slices.BinarySearchFunc(best, rc, func(a found, rc float64) int { return cmp.Compare(a.rc, rc) })
				best = slices.Insert(best, at, found{t, rc})
				best = best[:min(len(best), perRound)]
			}
		}
		bound += worst
		for _, b := range best {
			if p := (pick{i, b.t}); !slices.Contains(r.active, p) {
				fresh = true
				r.active = append(r.active, p)
			}
		}
	}
	return bound, fresh, nil
}

// reduced is how much dearer than the bound a plan is at least with each of a list of a model's totals.
func (r *relaxation) reduced(f *modelForm, i int, list []int) []float64 {
	out := make([]float64, len(list))
	if r.model == nil || r.w.convex[i] < 0 {
		return out
	}
	prices := f.prices(r.strip)
	for j, t := range list {
		out[j] = max(0, f.priced(t, prices)-r.model[i])
	}
	return out
}

// spareTotals is how many totals of a model a branch hands on to its halves besides those it uses: more make every program slower, and what is
// lacking is soon found again.
const spareTotals = 10

// trim is the columns that a relaxation used, with the nearest of the others, and its basis over those.
func (r *relaxation) trim(forms []*modelForm) ([]pick, *mip.Basis) {
	if r.basis == nil || len(r.w.chosen) == 0 {
		return r.active, r.basis
	}
	const basic = 1 // GLP_BS
	type ranked struct {
		at int
		rc float64
	}
	spare := make([][]ranked, len(forms))
	keep := make([]bool, len(r.w.picks))
	for j, p := range r.w.picks {
		if keep[j] = r.basis.ColumnState[r.w.chosen[j]] == basic; !keep[j] {
			f := forms[p.model]
			spare[p.model] = append(spare[p.model], ranked{j, f.priced(p.total, f.prices(r.strip)) - r.model[p.model]})
		}
	}
	for _, list := range spare {
		slices.SortFunc(list, func(a, b ranked) int { return cmp.Or(cmp.Compare(a.rc, b.rc), cmp.Compare(a.at, b.at)) })
		for _, s := range list[:min(len(list), spareTotals)] {
			keep[s.at] = true
		}
	}
	var active []pick
	first := r.w.chosen[0]
	basis := &mip.Basis{RowState: r.basis.RowState, ColumnState: slices.Clone(r.basis.ColumnState[:first])}
	for j, p := range r.w.picks {
		if keep[j] {
			active = append(active, p)
			basis.ColumnState = append(basis.ColumnState, r.basis.ColumnState[r.w.chosen[j]])
		}
	}
	return active, basis
}
