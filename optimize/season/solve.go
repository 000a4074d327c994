package season

import (
	"cmp"
	"context"
	"errors"
	"math"
	"slices"
	"sync"
	"sync/atomic"
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

// An elite is the cheapest plan that orders from a set of suppliers.
type elite struct {
	from []bool // by supplier
	plan *Plan
}

// A search is one run of [Solve].
type search struct {
	asked  *Season
	s      *Season // the same without a budget: that is a limit on what is minimised, so plans over it are steps towards one within it
	o      Options
	engine mip.Engine // for large programs
	d      *direct
	forest atomic.Pointer[forest] // nil: not yet

	mu      sync.Mutex
	best    *Plan
	elites  []elite // the cheapest plans of each set of suppliers
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
// ([direct.strengthen]) and divided by suppliers ([search.split]); it gives the bound. The other solves small parts of the program around the best plans
// ([search.neighbours]).
func Solve(ctx context.Context, s *Season, o Options) (*Plan, error) {
	o.Mode = cmp.Or(o.Mode, Joint)
	x := &search{asked: s, s: s, o: o, bound: math.Inf(-1)}
	if s.Limits.Budget.Set {
		open := *s
		open.Limits.Budget = optimize.MoneyLimit{}
		x.s = &open
	}
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
	case x.affords(x.best):
		return x.finish(ctx, err), err
	case x.dear() || x.best != nil && err == nil && ctx.Err() == nil:
		return nil, x.shortage(ctx)
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
	short, err := diagnoseSeason(ctx, x.asked, x.o.Mode)
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
			if err = x.begin(ctx, x.d.m); err == nil {
				_, err = x.d.strengthen(ctx, x.engine, x.prove)
			}
			if err != nil || ctx.Err() != nil {
				return solverFault(err)
			}
		}
		return solverFault(x.whole(ctx, x.d.m, nil, x.prove))
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
			var all []*branch
			if all, far = x.split(ctx, strong.m); far == nil {
				far = x.branches(ctx, all)
			}
		}
	})
	wg.Go(func() {
		if near = x.begin(ctx, plain); near == nil {
			near = x.neighbours(ctx, plain, func() []float64 {
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
	from := p.suppliers()
	i := slices.IndexFunc(x.elites, func(e elite) bool { return slices.Equal(e.from, from) })
	switch {
	case i < 0:
		x.elites = append(x.elites, elite{from, p})
	case p.Exact.LessThan(x.elites[i].plan.Exact):
		x.elites[i].plan = p
	}
	if x.best == nil || p.Exact.LessThan(x.best.Exact) {
		x.best = p
		x.tell()
	}
}

// suppliers says by supplier whether a plan orders from it.
func (p *Plan) suppliers() []bool {
	from := make([]bool, len(p.Season.Suppliers))
	for _, o := range p.Orders {
		from[o.Supplier] = true
	}
	return from
}

// known is the best plan; nil: there is none yet.
func (x *search) known() *Plan {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.best
}

// bestOf is the best plan of a branch, or of the season without one; nil: there is none yet.
func (x *search) bestOf(b *branch) (best *Plan) {
	if b == nil {
		return x.known()
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, e := range x.elites {
		if b.holds(e.from) && (best == nil || e.plan.Exact.LessThan(best.Exact)) {
			best = e.plan
		}
	}
	return best
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
	if x.within(x.best, x.o.GapPct) || x.dear() {
		x.stop()
	}
	if x.o.Progress == nil {
		return
	}
	p := Progress{HasCost: x.affords(x.best)}
	if p.HasCost {
		p.Cost = x.best.Cost
	}
	if !math.IsInf(x.bound, 0) {
		p.Bound = decimal.NewFromFloat(x.bound).RoundFloor(cents)
	}
	x.o.Progress(p)
}

// A bound within boundSlack of a cost, relative, proves it: solvers prove to about 1e-9 of the objective (see [mip.Solve]).
const boundSlack = 1e-8

// within reports whether p is a plan and none is cheaper by more than so many percent.
func (x *search) within(p *Plan, pct float64) bool {
	return x.affords(p) && x.bound >= p.Exact.InexactFloat64()*(1-max(boundSlack, pct/100))-1e-6
}

// affords reports whether p is a plan within the budget.
func (x *search) affords(p *Plan) bool {
	budget := x.asked.Limits.Budget
	return p != nil && (!budget.Set || p.Exact.LessThanOrEqual(budget.Value))
}

// dear reports whether every plan is over the budget.
func (x *search) dear() bool { return x.overBudget(x.bound) }

func (x *search) overBudget(cost float64) bool {
	budget := x.asked.Limits.Budget
	return budget.Set && cost > budget.Value.InexactFloat64()*(1+boundSlack)+1e-6
}

// beaten reports whether no plan of such a bound is within the budget, and cheaper than the best one by more than the gap.
func (x *search) beaten(bound float64) bool {
	p := x.known()
	return x.overBudget(bound) || x.affords(p) && bound >= p.Exact.InexactFloat64()*(1-max(boundSlack, x.o.GapPct/100))
}

// finish states the best plan with its bound.
func (x *search) finish(ctx context.Context, fault error) *Plan {
	p := x.lightest(ctx)
	if q, err := x.asked.restate(p, x.o.Mode); err == nil {
		p = q
	}
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

// whole solves a program with the columns of the direct one to the end, or until ctx ends: that of a branch, or of the season. It tells prove of each bound.
func (x *search) whole(ctx context.Context, m *mip.Model, b *branch, prove func(bound float64)) error {
	out := &bars{d: x.d, m: m}
	for {
		o := mip.Options{Engine: x.engine, RelativeGap: x.o.GapPct / 100, Set: solverTolerances, MIRCuts: true, GomoryCuts: true, Presolve: true}
		if x.engine != mip.HiGHS {
			o.Set = nil
		}
		if x.asked.Limits.Budget.Set { // the best plan within the gap may be over it
			o.RelativeGap = 0
		}
		var given *Plan
		if p := x.bestOf(b); p != nil {
			if o.Start = out.values(x.d.values(p)); o.Start != nil {
				given = p
			}
		}
		o.Better = func(int) []float64 {
			p := x.bestOf(b)
			if p == nil || given != nil && !p.Exact.LessThan(given.Exact) {
				return nil
			}
			given = p
			return out.values(x.d.complete(p))
		}
		o.Progress = func(p mip.Progress) { prove(p.Bound) }
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
		prove(r.Bound)
		if r.X != nil {
			_, err = x.offer(ctx, r.X)
		}
		if !errors.As(err, &broken) {
			return err
		}
		if ctx.Err() != nil { // whether that would have been the plan does not matter any more
			return ctx.Err()
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
