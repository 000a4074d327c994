package season

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sync"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

var errInfeasible = errors.New("no plan keeps every limit of the season")

// A NoPlanError says that a search was stopped before it had found any plan. Whether there is one is open.
type NoPlanError struct{ Why string }

func (e *NoPlanError) Error() string {
	return "no plan for the season was found before the search was stopped (" + e.Why + "); give it more time"
}

// A search is one run of [Solve].
type search struct {
	s      *Season
	o      Options
	engine mip.Engine // for large programs
	d      *direct

	mu      sync.Mutex
	best    *Plan
	bound   float64 // no plan costs less; −Inf: not known
	stop    context.CancelFunc
	refused error // why the last solution was refused as a plan
}

// Solve finds what to build and what to buy for a season: the plan of least exact cost, proven as far as Options.GapPct asks, or the best one found and a
// proven bound when ctx ends first. A season that no plan fits is a [*Shortage]. A [*NoPlanError] says that ctx ended before there was any plan.
// With a [*optimize.SolverError] comes the best plan found before the fault, if there was one.
//
// The bound holds for the whole season with every layout that the models' limits allow.
//
// Two searches run side by side. One is an integer programming solver on the season's program, strengthened by what is known of the models' layouts
// ([direct.strengthen]); it gives the bound. The other solves small parts of the program around the best plan ([search.neighbours]).
func Solve(ctx context.Context, s *Season, o Options) (*Plan, error) {
	o.Mode = cmp.Or(o.Mode, Joint)
	x := &search{s: s, o: o, bound: math.Inf(-1)}
	if mip.HasHiGHS() {
		x.engine = mip.HiGHS
	}
	if o.Bound.IsPositive() {
		x.bound = o.Bound.InexactFloat64()
	}
	inner, cancel := context.WithCancel(ctx)
	defer cancel()
	x.stop = cancel
	err := x.run(inner)
	if end, ok := ctx.Deadline(); ok && err == nil && !x.within(x.best, o.GapPct) && time.Until(end) < early {
		<-ctx.Done()
	}
	if x.within(x.best, o.GapPct) || ctx.Err() != nil && (errors.Is(err, ctx.Err()) || errors.Is(err, context.Cause(ctx))) {
		err = nil
	}
	var none *optimize.InfeasibleError
	var short *Shortage
	switch {
	case x.best != nil:
		return x.finish(ctx, err), err
	case errors.As(err, &short) && !o.undiagnosed:
		return nil, err
	case errors.As(err, &none), errors.As(err, &short), errors.Is(err, errInfeasible):
		return nil, x.shortage(ctx)
	case ctx.Err() != nil:
		return nil, &NoPlanError{Why: why(ctx)}
	case err != nil:
		return nil, err
	}
	return nil, cmp.Or(x.refused, errors.New("the season's search ended without a plan"))
}

// early is how long before ctx ends a solver may give up: GLPK counts whole milliseconds.
const early = 50 * time.Millisecond

// shortage says why there is no plan.
func (x *search) shortage(ctx context.Context) error {
	if x.o.undiagnosed {
		return errInfeasible
	}
	short, err := diagnoseSeason(ctx, x.s, x.o.Mode)
	if err != nil {
		return err
	}
	return short
}

// run searches until the plan is as good as was asked, or ctx ends.
func (x *search) run(ctx context.Context) (err error) {
	for _, p := range x.o.Starts {
		if q, err := x.s.restate(p, x.o.Mode); err == nil {
			x.take(q)
		}
	}
	if x.within(x.best, x.o.GapPct) {
		return nil
	}
	if x.d, err = newDirect(ctx, x.s, x.o.Mode, true); err != nil {
		return solverFault(err)
	}
	if x.o.Mode != Joint || len(x.d.m.Columns) <= smallProgram && !x.o.sideBySide {
		if len(x.d.m.Columns) > tinyProgram && x.o.Mode == Joint {
			if _, err = x.begin(ctx, x.d.m); err == nil {
				_, err = x.d.strengthen(ctx, x.engine, x.prove)
			}
			if err != nil || ctx.Err() != nil {
				return solverFault(err)
			}
		}
		return solverFault(x.whole(ctx, x.d.m))
	}
	return solverFault(x.joint(ctx))
}

// A program of up to smallProgram columns is solved as a whole, one step after another: equal input gives an equal plan. One of up to tinyProgram needs no start.
const (
	smallProgram = 400
	tinyProgram  = 120
)

// solverFault tells a solver's fault from other errors.
func solverFault(err error) error {
	var none *optimize.InfeasibleError
	var short *Shortage
	var keep *NoLayoutError
	var already *optimize.SolverError
	if err == nil || errors.As(err, &already) || errors.As(err, &none) || errors.As(err, &short) || errors.As(err, &keep) || errors.Is(err, errInfeasible) ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || errors.Is(err, mip.ErrNoSolver) {
		return err
	}
	return &optimize.SolverError{Err: err}
}

// joint decides layouts and orders together.
func (x *search) joint(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	plain := x.d.copy() // for the parts: without the rows that strengthen, which come while they are solved
	var relaxed []float64
	known := make(chan struct{}) // relaxed
	var wg sync.WaitGroup
	var far, near error
	wg.Go(func() {
		defer cancel()
		strong := *x.d
		strong.m = x.d.copy()
		values, err := strong.strengthen(ctx, x.engine, x.prove)
		relaxed = values
		close(known)
		if far = err; err == nil && values != nil {
			far = x.whole(ctx, strong.m)
		}
	})
	wg.Go(func() {
		var plans []*Plan
		if plans, near = x.begin(ctx, plain); near == nil {
			near = x.neighbours(ctx, plain, plans, func() []float64 {
				select {
				case <-known:
					return relaxed
				default:
					return nil
				}
			})
		}
	})
	wg.Wait()
	if far != nil && !errors.Is(far, context.Canceled) {
		return far
	}
	if near != nil && ctx.Err() == nil {
		return near
	}
	return nil
}

// restate is a plan's decisions as a plan of s, if they are one.
func (s *Season) restate(p *Plan, mode Mode) (*Plan, error) {
	if len(p.Season.Lots) != len(s.Lots) || len(p.Season.Models) != len(s.Models) {
		return nil, errPlan
	}
	steps, cuts := make([]int, len(s.Lots)), make([][]Cut, len(s.Lots))
	for _, l := range p.Lines {
		steps[l.Lot], cuts[l.Lot] = l.Steps, l.Cuts
	}
	return newPlan(s, mode, p.Layouts, steps, cuts)
}

// take makes p the best plan if it is cheaper than what there is; of equally cheap ones the first stays.
func (x *search) take(p *Plan) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.best == nil || p.Exact.LessThan(x.best.Exact) {
		x.best = p
		x.tell()
	}
}

// known is the best plan; nil: there is none yet.
func (x *search) known() *Plan {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.best
}

// prove raises the bound.
func (x *search) prove(bound float64) {
	x.mu.Lock()
	defer x.mu.Unlock()
	if bound > x.bound {
		x.bound = bound
		x.tell()
	}
}

// tell reports what is known, and ends the search when the plan is as good as was asked. The caller holds mu.
func (x *search) tell() {
	if x.within(x.best, x.o.GapPct) {
		x.stop()
	}
	if x.o.Progress == nil {
		return
	}
	p := Progress{HasCost: x.best != nil}
	if x.best != nil {
		p.Cost = x.best.Cost
	}
	if !math.IsInf(x.bound, 0) {
		p.Bound = decimal.NewFromFloat(x.bound).RoundFloor(cents)
	}
	x.o.Progress(p)
}

// A bound within boundSlack of a cost, relative, proves it: solvers prove to about 1e-9 of the objective (see [mip.Solve]).
const boundSlack = 1e-8

// within reports whether no plan is cheaper than p by more than so many percent.
func (x *search) within(p *Plan, pct float64) bool {
	return p != nil && x.bound >= p.Exact.InexactFloat64()*(1-max(boundSlack, pct/100))-1e-6
}

// finish states the best plan with its bound.
func (x *search) finish(ctx context.Context, fault error) *Plan {
	p := x.lightest(ctx)
	because := "the search came to its end without a proof"
	switch {
	case ctx.Err() != nil:
		because = why(ctx)
	case fault != nil:
		because = "the solver failed"
	}
	least := decimal.Zero
	if !math.IsInf(x.bound, 0) {
		least = decimal.NewFromFloat(x.bound)
	}
	p.bounded(least, x.o.GapPct, because)
	return p
}

// lightest is the best plan with, of the layouts that take the same strips, the lightest of each model, as long as ctx lasts.
func (x *search) lightest(ctx context.Context) *Plan {
	p, s := x.best, x.s
	if x.o.Mode != Joint || ctx.Err() != nil {
		return p
	}
	layouts := slices.Clone(p.Layouts)
	if err := each(len(layouts), func(i int) (err error) {
		if m := &s.Models[i]; m.Recipe == "" {
			layouts[i], err = optimize.Lightest(ctx, s.program(i), layouts[i], func(position, candidate int) int { return m.Kind[position][candidate] })
		}
		return err
	}); err != nil {
		return p // it is a plan as it stands
	}
	light := *p
	light.Layouts = layouts
	if q, err := s.restate(&light, p.Mode); err == nil {
		return q
	}
	return p
}

// solverTolerances are those that HiGHS has by itself. Tighter ones have made it call a plan optimal that was not.
var solverTolerances = map[string]string{"mip_feasibility_tolerance": "1e-6", "primal_feasibility_tolerance": "1e-7"}

// whole solves a program with the columns of the direct one to the end, or until ctx ends.
func (x *search) whole(ctx context.Context, m *mip.Model) error {
	out := &bars{d: x.d, m: m}
	for {
		o := mip.Options{Engine: x.engine, RelativeGap: x.o.GapPct / 100, Set: solverTolerances, MIRCuts: true, GomoryCuts: true, Presolve: true}
		if x.engine != mip.HiGHS {
			o.Set = nil
		}
		var given *Plan
		if p := x.known(); p != nil {
			if o.Start = out.values(x.d.values(p)); o.Start != nil {
				given = p
			}
		}
		o.Better = func(int) []float64 {
			p := x.known()
			if p == nil || given != nil && !p.Exact.LessThan(given.Exact) {
				return nil
			}
			given = p
			return out.values(x.d.complete(p))
		}
		o.Progress = func(p mip.Progress) { x.prove(p.Bound) }
		var refused []*brokenLayout
		var broken *brokenLayout
		o.Improved = func(values []float64, _ float64) {
			if _, err := x.offer(ctx, values); errors.As(err, &broken) {
				refused = append(refused, broken)
			}
		}
		r, err := mip.Solve(ctx, m, o)
		if err != nil {
			return err
		}
		if r.Status == mip.Infeasible {
			return errInfeasible
		}
		x.prove(r.Bound)
		if r.X != nil {
			_, err = x.offer(ctx, r.X)
		}
		if !errors.As(err, &broken) || ctx.Err() != nil {
			return err
		}
		// The rows hold a limit of this layout not exactly: the solver goes on without it.
		if err := out.add(broken); err != nil {
			return err
		}
		for _, b := range refused {
			if b.model != broken.model || !slices.Equal(b.layout, broken.layout) {
				_ = out.add(b) // one that was refused twice is out
			}
		}
	}
}

// offer takes a solution of the direct program as a plan.
func (x *search) offer(ctx context.Context, values []float64) (*Plan, error) {
	p, err := x.d.plan(ctx, values)
	if err != nil {
		x.mu.Lock()
		x.refused = err
		x.mu.Unlock()
		return nil, err
	}
	x.take(p)
	return p, nil
}

// complete are the values of a plan where all of them are known; else nil.
func (d *direct) complete(p *Plan) []float64 {
	values := d.values(p)
	if slices.ContainsFunc(values, math.IsNaN) {
		return nil
	}
	return values
}
