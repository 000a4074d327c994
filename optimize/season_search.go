package optimize

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

var inf = math.Inf(1)

// A seasonSearch is one run of [SolveSeason].
type seasonSearch struct {
	s      *Season
	o      SeasonOptions
	engine solver
	forms  []*modelForm
	g      *market

	best    *purchase
	cost    decimal.Decimal // of best, exactly
	bound   float64         // proven: no plan costs less
	layouts []core.Layout   // of best, where they are not those of its totals
	root    *relaxation     // of the whole season
	parts   int             // of the search, done
	open    int
}

// SolveSeason finds what to build and what to buy for a season: the plan of least exact cost, proven, or the best one found and a proven
// bound when ctx ends first. A season that no plan fits is a [*Shortage]. A [*NoPlanError] says that ctx ended before there was any plan. With
// a [*SolverError] comes the best plan found before the fault, if there was one.
//
// The bound holds for the whole season with every layout that the models' limits allow.
func SolveSeason(ctx context.Context, s *Season, o SeasonOptions) (*SeasonPlan, error) {
	x := &seasonSearch{s: s, o: o, engine: o.solver, bound: -inf}
	if x.engine == nil {
		if !mip.Available {
			return nil, errSeasonNeedsGLPK
		}
		x.engine = glpk{}
	}
	x.engine = faultTelling{x.engine}
	x.o.Mode = cmp.Or(o.Mode, SeasonJoint)
	if err := x.prepare(ctx); err != nil {
		return nil, err
	}
	var err error
	switch x.o.Mode {
	case SeasonKeep:
		err = x.keep(ctx)
	case SeasonFirst:
		err = x.first(ctx)
	case SeasonJoint:
		err = x.joint(ctx)
	default:
		return nil, fmt.Errorf("there is no season mode %q", x.o.Mode)
	}
	if x.best == nil {
		switch {
		case errors.Is(err, errInfeasibleSeason):
			return nil, x.shortage(ctx)
		case err != nil:
			return nil, err
		case ctx.Err() != nil:
			return nil, &NoPlanError{Why: why(ctx)}
		}
		return nil, errors.New("the season's search ended without a plan")
	}
	p, perr := x.plan(ctx)
	if p != nil && !p.Proven && failed(err) {
		p.Why = whyFault
	}
	if err == nil {
		err = perr
	}
	return p, err
}

// A faultTelling solver says of whatever it fails at that it is a [SolverError].
type faultTelling struct{ solver }

func (f faultTelling) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	r, err := f.solver.Solve(ctx, m, o)
	return r, solverFault(err)
}

// A NoPlanError says that a search was stopped before it had found any plan. Whether there is one is open.
type NoPlanError struct{ Why string }

func (e *NoPlanError) Error() string {
	return "no plan for the season was found before the search was stopped (" + e.Why + "); give it more time"
}

// prepare quantises every model.
func (x *seasonSearch) prepare(ctx context.Context) error {
	for i := range x.s.Models {
		f, err := x.s.newModelForm(i)
		if err != nil {
			return err
		}
		x.forms = append(x.forms, f)
	}
	x.g = x.s.newMarket(x.forms)
	return nil
}

// take makes a purchase the best plan if it is cheaper than what there is. Of equally cheap ones the first stays.
func (x *seasonSearch) take(p *purchase) bool {
	if p == nil {
		return false
	}
	cost := x.g.cost(p)
	if b := x.s.Limits.Budget; b.Set && cost.GreaterThan(b.Value) || x.best != nil && !cost.LessThan(x.cost) {
		return false
	}
	x.best, x.cost, x.layouts = p, cost, nil
	x.tell()
	return true
}

// prove raises the bound.
func (x *seasonSearch) prove(bound float64) {
	if bound > x.bound {
		x.bound = bound
		x.tell()
	}
}

func (x *seasonSearch) tell() {
	if x.o.Progress == nil {
		return
	}
	p := SeasonProgress{HasCost: x.best != nil, Cost: x.cost, Parts: x.parts, Open: x.open}
	if !math.IsInf(x.bound, 0) {
		p.Bound = decimal.NewFromFloat(x.bound).RoundFloor(2)
	}
	x.o.Progress(p)
}

// upper is what the best plan costs; +Inf when there is none.
func (x *seasonSearch) upper() float64 {
	if x.best == nil {
		return inf
	}
	return x.cost.InexactFloat64()
}

// enough is by how much a bound may stay below the cost of the best plan and still prove it: costs are sums of prices with at most a few
// decimals, and floats hold them to far better than this.
const enough = 1e-5

// done reports whether the best plan is proven.
func (x *seasonSearch) done() bool { return x.best != nil && x.bound >= x.upper()-x.slack() }

func (x *seasonSearch) slack() float64 {
	if x.best == nil {
		return 0
	}
	return enough + 1e-9*math.Abs(x.upper())
}

// plan states the best plan.
func (x *seasonSearch) plan(ctx context.Context) (*SeasonPlan, error) {
	var fault error // the plan stands without it
	layouts := x.layouts
	if layouts == nil {
		for i, f := range x.forms {
			l := f.f.layout(f.totals[x.best.totals[i]].counts())
			if !f.listed && ctx.Err() == nil { // a listed total has its lightest layout; a generated one the first that was found
				light, err := x.s.lightest(ctx, i, l)
				if fault = errors.Join(fault, err); err == nil {
					l = light
				}
			}
			layouts = append(layouts, l)
		}
	}
	p, err := newPlan(x.s, x.o.Mode, layouts, x.best.steps, x.best.cuts)
	if err != nil {
		return nil, err
	}
	if p.Proven = x.done(); p.Proven {
		p.Bound = p.Cost
		return p, fault
	}
	if p.Why = why(ctx); ctx.Err() == nil {
		p.Why = "the search came to its end without a proof"
	}
	if !math.IsInf(x.bound, 0) {
		// Lines are rounded to the cent one by one, which may take this much off what is minimised.
		round := decimal.New(int64(2*len(p.Lines)+len(p.Orders)), -2)
		p.Bound = decimal.Min(p.Cost, decimal.NewFromFloat(x.bound).Sub(round).RoundFloor(2))
		p.Bound = decimal.Max(p.Bound, decimal.Zero)
	}
	return p, fault
}

// keep buys for the layouts that the models keep.
func (x *seasonSearch) keep(ctx context.Context) error {
	cols, layouts, err := x.kept()
	if err != nil {
		return err
	}
	return x.fixed(ctx, cols, layouts)
}

// kept are the totals of the layouts that models keep.
func (x *seasonSearch) kept() (cols [][]int, layouts []core.Layout, err error) {
	for i, f := range x.forms {
		l := x.s.Models[i].keptLayout()
		if l == nil {
			return nil, nil, &NoLayoutError{x.s.Models[i].Program.Model}
		}
		n, err := f.f.counts(l)
		if err != nil {
			return nil, nil, &Shortage{Lacks: []Lack{lackingLayout(x.s.Models[i].Program.Model, "its layout cannot be kept: "+err.Error())}}
		}
		if broken := f.f.broken(n); broken != nil {
			return nil, nil, &Shortage{Lacks: []Lack{lackingLayout(x.s.Models[i].Program.Model, "its layout cannot be kept: "+strings.Join(broken, "; "))}}
		}
		t, _ := f.add(n)
		cols = append(cols, []int{t})
		layouts = append(layouts, l)
	}
	return cols, layouts, nil
}

// fixed finds the best purchase for one total of each model.
func (x *seasonSearch) fixed(ctx context.Context, cols [][]int, layouts []core.Layout) error {
	b, err := x.buy(ctx, cols, masterOptions{}, finishing)
	if b.none {
		return errors.Join(err, errInfeasibleSeason)
	}
	x.prove(b.bound)
	if x.take(b.p) {
		x.layouts = layouts
		if b.optimal {
			x.prove(x.upper())
		}
	}
	return err
}

// first chooses each model's layout by the cost of its strips alone, and buys for those.
func (x *seasonSearch) first(ctx context.Context) error {
	cols, err := x.cheapestAlone(ctx)
	if err != nil || cols == nil { // stopped
		return err
	}
	return x.fixed(ctx, cols, nil)
}

// cheapestAlone is by model the total whose strips cost least by themselves, each at its cheapest usable offer; of equally cheap ones the
// one with the lightest layout. Nil when ctx ended before that was known.
func (x *seasonSearch) cheapestAlone(ctx context.Context) ([][]int, error) {
	cols := make([][]int, len(x.forms))
	for i, f := range x.forms {
		best := -1
		if f.listed {
			var cost int64
			for t, total := range f.totals {
				c := f.f.costStep(dot(f.f.cost, total.counts()))
				if best < 0 || cmp.Or(cmp.Compare(c, cost), cmp.Compare(total.mass, f.totals[best].mass)) < 0 {
					best, cost = t, c
				}
			}
		} else {
			objectives := []Objective{Cost, Mass}
			if !f.f.priced {
				objectives = []Objective{Mass, EI}
			}
			n, complete, err := f.f.end(ctx, Options{solver: x.o.solver}, objectives, false)
			if err != nil {
				return nil, err
			}
			if n == nil {
				if complete {
					return nil, errInfeasibleSeason
				}
				return nil, nil
			}
			best, _ = f.add(n)
		}
		if best < 0 {
			return nil, errInfeasibleSeason
		}
		cols[i] = []int{best}
	}
	return cols, nil
}

// shortage says why there is no plan.
func (x *seasonSearch) shortage(ctx context.Context) error {
	if x.o.undiagnosed {
		return errInfeasibleSeason
	}
	short, err := diagnoseSeason(ctx, x.s, x.o.Mode, x.o.solver)
	if err != nil {
		return err
	}
	return short
}

// list lists the totals of every model, as far as that is short.
func (x *seasonSearch) list(ctx context.Context) error {
	room, looks := max(fewTotals, mostTotals/len(x.forms)), int64(mostLooks/len(x.forms))
	for _, f := range x.forms {
		if x.o.generated {
			f.pricer = f.newPricer(x.engine)
			continue
		}
		totals, ok, err := f.list(ctx, room, looks, nil, 0)
		if err != nil {
			return err
		}
		if ctx.Err() != nil {
			return nil
		}
		if ok {
			f.totals, f.listed = totals, true
			f.seen = make(map[string]int, len(totals))
			f.flat = f.flat[:0]
			for i, t := range totals {
				f.seen[totalKey(t.strips)] = i
				f.flat = append(f.flat, t.strips...)
			}
			if len(totals) == 0 {
				return errInfeasibleSeason
			}
			continue
		}
		f.pricer = f.newPricer(x.engine)
	}
	return nil
}

// all are the totals that a model can have, by model; nil where they are not listed.
func (x *seasonSearch) all() [][]int {
	among := make([][]int, len(x.forms))
	for i, f := range x.forms {
		if f.listed {
			if among[i] = f.within; among[i] == nil {
				among[i] = f.known()
			}
		}
	}
	return among
}

// within are the totals that a plan cheaper than the best one can have, by the reduced costs of a relaxation. What is left out is proven
// to be of no use.
func (x *seasonSearch) within(r *relaxation, among [][]int, most float64) [][]int {
	out := make([][]int, len(x.forms))
	for i, f := range x.forms {
		if len(among[i]) <= 1 {
			out[i] = among[i]
			continue
		}
		out[i] = []int{}
		for j, rc := range r.reduced(f, i, among[i]) {
			if r.bound+rc <= most {
				out[i] = append(out[i], among[i][j])
			}
		}
	}
	return out
}

// rootWeight is what a total's reduced cost in the whole season's relaxation counts beside that in a branch's: in a branch whose lots are
// settled, strips of what is bought anyway cost nothing more, and very many totals are equally near.
const rootWeight = 0.05

// nearest are by model so many of the totals in a list, those of least reduced cost.
func (x *seasonSearch) nearest(r *relaxation, among [][]int, n func(model int) int) [][]int {
	out := make([][]int, len(x.forms))
	for i, f := range x.forms {
		if len(among[i]) <= n(i) {
			out[i] = among[i]
			continue
		}
		type ranked struct {
			t  int
			rc float64
		}
		order := make([]ranked, len(among[i]))
		for j, rc := range r.reduced(f, i, among[i]) {
			order[j] = ranked{among[i][j], rc}
		}
		if x.root != nil {
			for j, rc := range x.root.reduced(f, i, among[i]) {
				order[j].rc += rootWeight * rc
			}
		}
		slices.SortFunc(order, func(a, b ranked) int { return cmp.Or(cmp.Compare(a.rc, b.rc), cmp.Compare(a.t, b.t)) })
		for _, o := range order[:n(i)] {
			out[i] = append(out[i], o.t)
		}
	}
	return out
}

// complete lists, of the models whose totals are too many to list, those that a plan cheaper than the best one can have, by a relaxation's
// prices. Where those are too many as well, layouts go on being generated.
func (x *seasonSearch) complete(ctx context.Context, r *relaxation) error {
	for i, f := range x.forms {
		if f.listed || r.w.convex[i] < 0 {
			continue
		}
		most := (r.model[i] + x.upper() - r.bound) / float64(f.build)
		totals, ok, err := f.list(ctx, mostTotals, mostLooks, r.strip, most)
		if err != nil || ctx.Err() != nil {
			return err
		}
		if !ok {
			continue
		}
		f.within = f.within[:0]
		for _, t := range totals {
			at, _ := f.add(t.counts())
			f.within = append(f.within, at)
		}
		f.listed = true
	}
	return nil
}
