package optimize

import (
	"context"
	"math"
	"slices"

	"stavewright/optimize/core"
)

// joint decides layouts and orders together.
func (x *seasonSearch) joint(ctx context.Context) error {
	if err := x.list(ctx); err != nil {
		return err
	}
	x.begin()
	cols, err := x.cheapestAlone(ctx)
	if err != nil || cols == nil {
		return err
	}
	active, err := x.starts(ctx, cols)
	if err != nil {
		return err
	}
	all := x.all()
	root := branch{box: x.g.wholeBox(), among: all, active: active, d: x.g.demand(all), upper: inf}
	r, err := x.relax(ctx, root)
	if err != nil {
		return err
	}
	if r.settled && math.IsInf(r.bound, 1) {
		return errInfeasibleSeason
	}
	x.prove(r.bound)
	x.root = r
	if !r.settled {
		return nil
	}
	if x.small(all) {
		b, err := x.buy(ctx, all, masterOptions{}, finishing)
		if err != nil {
			return err
		}
		if b.none {
			return errInfeasibleSeason
		}
		x.take(b.p)
		x.prove(b.bound)
		return nil
	}
	if err := x.dive(ctx, root, r); err != nil {
		return err
	}
	if err := x.complete(ctx, r); err != nil {
		return err
	}
	t := x.newTree(r, x.within(r, x.all(), x.upper()))
	if err := t.run(ctx); err != nil {
		return err
	}
	switch {
	case len(t.open) > 0 || ctx.Err() != nil:
	case x.best == nil && math.IsInf(t.stuck, 1):
		return errInfeasibleSeason
	default:
		x.prove(min(t.bound(), x.upper()))
	}
	return nil
}

// begin takes the plan given as it stands, where it is one of this very season: however soon the search ends, it gives nothing dearer.
func (x *seasonSearch) begin() {
	start := x.o.Start
	if start == nil || start.Season != x.s {
		return
	}
	p := &purchase{steps: make([]int, len(x.s.Lots)), cuts: make([][]Cut, len(x.s.Lots))}
	for i, f := range x.forms {
		t, ok := f.addLayout(start.Layouts[i])
		if !ok {
			return
		}
		p.totals = append(p.totals, t)
	}
	for _, l := range start.Lines {
		p.steps[l.Lot], p.cuts[l.Lot] = l.Steps, l.Cuts
	}
	x.take(p)
}

// small reports whether a season is little enough to be solved as it stands.
func (x *seasonSearch) small(all [][]int) bool {
	if x.o.divided {
		return false
	}
	n := 0
	for _, t := range all {
		if t == nil {
			return false
		}
		n += len(t)
	}
	return n <= 500
}

// starts buys for the layouts that are cheapest by themselves, for those kept and for those of a plan to start from: what joint gives is
// never dearer. It returns the totals that the relaxation begins with.
func (x *seasonSearch) starts(ctx context.Context, first [][]int) ([]pick, error) {
	var active []pick
	try := func(cols [][]int) error {
		b, err := x.buy(ctx, cols, masterOptions{}, finishing)
		if err != nil {
			return err
		}
		x.take(b.p)
		for _, p := range picks(cols) {
			if !slices.Contains(active, p) {
				active = append(active, p)
			}
		}
		return nil
	}
	if err := try(first); err != nil {
		return nil, err
	}
	// of returns the totals of layouts, the first choice standing in for a model whose layout is none any more.
	of := func(layout func(int) core.Layout) (cols [][]int, all bool) {
		all = true
		for i, f := range x.forms {
			t, ok := f.addLayout(layout(i))
			if !ok {
				t, all = first[i][0], false
			}
			cols = append(cols, []int{t})
		}
		return cols, all
	}
	if kept, all := of(func(i int) core.Layout { return x.s.Models[i].keptLayout() }); all {
		if err := try(kept); err != nil {
			return nil, err
		}
	}
	if p := x.o.Start; p != nil && len(p.Layouts) == len(x.forms) {
		begin, _ := of(func(i int) core.Layout { return p.Layouts[i] })
		if err := try(begin); err != nil {
			return nil, err
		}
	}
	return active, nil
}
