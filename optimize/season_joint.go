package optimize

import (
	"context"
	"fmt"
	"math"
	"os"
	"time"
)

var t0 time.Time

func dbg(f string, a ...any) {
	if os.Getenv("SDBG") != "" {
		fmt.Printf("%8.3f ", time.Since(t0).Seconds())
		fmt.Printf(f+"\n", a...)
	}
}

// joint decides layouts and orders together.
func (x *seasonSearch) joint(ctx context.Context) error {
	t0 = time.Now()
	if err := x.list(ctx); err != nil {
		return err
	}
	for i, f := range x.forms {
		dbg("listed %d %v %v", i, f.listed, len(f.totals))
	}
	cols, err := x.cheapestAlone(ctx)
	if err != nil || cols == nil {
		return err
	}
	active := picks(cols)
	for i, f := range x.forms {
		if t, ok := f.addLayout(x.s.Models[i].keptLayout()); ok && t != cols[i][0] {
			active = append(active, pick{i, t})
		}
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
	dbg("relaxed %v bound %v rows %d cols %d", r.value, r.bound, len(r.w.m.Rows), len(r.w.m.Columns))
	if err := x.starts(ctx, cols); err != nil {
		return err
	}
	how := finishing
	if x.small(all) {
		b, err := x.buy(ctx, all, masterOptions{}, how)
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
	dbg("dive %v", x.cost)
	if err := x.complete(ctx, r); err != nil {
		return err
	}
	all = x.all()
	among := x.within(r, all, x.upper())
	t := x.newTree(r, among)
	for len(t.open) > 0 && ctx.Err() == nil && !x.done() {
		if err := t.run(ctx, 200); err != nil {
			return err
		}
		dbg("tree %v %v open %d parts %d pool %d gap %.4f%%", x.cost, x.bound, len(t.open), x.parts, len(t.pool), 100*(x.upper()-x.bound)/x.upper())
	}
	if ctx.Err() == nil && len(t.open) == 0 {
		x.prove(min(t.bound(), x.upper()))
	}
	return nil
}

// small reports whether a season is little enough to be solved as it stands.
func (x *seasonSearch) small(all [][]int) bool {
	n := 0
	for _, t := range all {
		if t == nil {
			return false
		}
		n += len(t)
	}
	return n <= 500
}

// starts buys for the layouts that are cheapest by themselves, and for those kept: what joint gives is never dearer.
func (x *seasonSearch) starts(ctx context.Context, first [][]int) error {
	if b, err := x.buy(ctx, first, masterOptions{}, finishing); err != nil {
		x.fault = err
	} else {
		x.take(b.p)
	}
	var kept [][]int
	for i, f := range x.forms {
		if t, ok := f.addLayout(x.s.Models[i].keptLayout()); ok {
			kept = append(kept, []int{t})
		}
	}
	if len(kept) == len(x.forms) {
		if b, err := x.buy(ctx, kept, masterOptions{}, finishing); err != nil {
			x.fault = err
		} else {
			x.take(b.p)
		}
	}
	return nil
}
