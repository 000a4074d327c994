package season

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// beginWork is how long one purchase may take with which the search begins, and partNodes a part of the program at first.
const (
	beginWork = 2000
	partNodes = 400
	mostNodes = 5000

	wholeCuts = 400 // columns of strips cut from a lot: with more of them, parts are solved much faster when those need not be whole
	idleTries = 15  // in vain around one plan, before another one's turn
)

// begin buys for the layouts kept and for those that are cheapest by themselves: what joint gives is then never much dearer.
func (x *search) begin(ctx context.Context, m *mip.Model) error {
	for _, mode := range []Mode{Keep, First} {
		layouts, err := x.s.given(ctx, mode)
		if err != nil { // a model has none; what is found together may do without
			continue
		}
		part := copyOf(m)
		if !x.d.hold(part, layouts, func(int) bool { return false }) {
			continue
		}
		r, err := mip.Solve(ctx, part, x.quick(beginWork, partNodes))
		if err != nil {
			return err
		}
		if r.X != nil {
			_, _ = x.offer(ctx, r.X) // an error is a limit that rows do not hold exactly
		}
	}
	return nil
}

// quick are the options for a part of the program.
func (x *search) quick(work, nodes int) mip.Options {
	o := mip.Options{RelativeGap: 1e-4, NodeLimit: nodes, Presolve: true, MIRCuts: true, GomoryCuts: true}
	if work > 0 && x.engine == mip.HiGHS || !mip.HasGLPK() {
		o.Engine, o.WorkLimit, o.Set = mip.HiGHS, max(work, 20*nodes), solverTolerances
	}
	return o
}

// copy is the program with columns that may be bounded further.
func (d *direct) copy() *mip.Model { return copyOf(d.m) }

func copyOf(m *mip.Model) *mip.Model {
	c := *m
	c.Columns, c.Rows = slices.Clone(m.Columns), slices.Clip(m.Rows)
	return &c
}

func fix(m *mip.Model, column int, v float64) { m.Columns[column].Low, m.Columns[column].High = v, v }

// hold holds the layouts of all models that are not free. False: the program does not have one of them.
func (d *direct) hold(m *mip.Model, layouts []core.Layout, free func(model int) bool) bool {
	for i, l := range d.models {
		if free(i) {
			continue
		}
		v, err := l.Values(layouts[i])
		if err != nil {
			return false
		}
		for j, value := range v {
			if col := d.first[i] + j; m.Columns[col].Integer && !math.IsNaN(value) {
				fix(m, col, value)
			}
		}
	}
	return true
}

// closeLot has nothing bought of a lot.
func (d *direct) closeLot(m *mip.Model, lot int) {
	l := &d.lots[lot]
	for _, r := range l.ranges {
		fix(m, r.steps, 0)
		if r.on >= 0 && r.on != d.orderOf(lot) {
			fix(m, r.on, 0)
		}
	}
	for _, c := range l.cuts {
		if c >= 0 {
			fix(m, c, 0)
		}
	}
}

// A neighbourhood is a way to hold a part of the best plan and free the rest.
type neighbourhood struct {
	// open says which lots may be bought that the plan does not buy, and shut which may not although it does.
	open, shut func(lot int) bool
	// draw sets open and shut anew.
	draw func(h *neighbourhood, r *rand.Rand, p *Plan)
	// free is how many models' layouts are free, on average.
	free  float64
	worth float64 // what the last tries have brought, money by node
}

func none(int) bool  { return false }
func every(int) bool { return true }

func (x *search) neighbourhoods(relaxed func() []float64) []*neighbourhood {
	d, s := x.d, x.s
	var woods []string
	for i := range s.Lots {
		if w := s.wood(i); !slices.Contains(woods, w) {
			woods = append(woods, w)
		}
	}
	next := 0
	someWoods := func(n int) func(*neighbourhood, *rand.Rand, *Plan) {
		return func(h *neighbourhood, r *rand.Rand, _ *Plan) {
			free := map[string]bool{}
			if n == 1 { // in turn
				free[woods[next%len(woods)]] = true
				next++
			}
			for _, k := range r.Perm(len(woods)) {
				if len(free) < n {
					free[woods[k]] = true
				}
			}
			h.open = func(lot int) bool { return free[s.wood(lot)] }
		}
	}
	return []*neighbourhood{
		{draw: someWoods(1)},
		{draw: someWoods(3)},
		{open: none, free: 2},
		{open: every},
		{free: 1, draw: func(h *neighbourhood, _ *rand.Rand, _ *Plan) {
			values := relaxed() // nil while it is not known
			h.open = func(lot int) bool {
				return values != nil && slices.ContainsFunc(d.lots[lot].ranges, func(r directRange) bool { return values[r.steps] > 1e-6 })
			}
		}},
		{free: 1, draw: func(h *neighbourhood, r *rand.Rand, _ *Plan) {
			more := r.IntN(max(1, len(s.Suppliers)))
			h.open = func(lot int) bool { return s.Lots[lot].Supplier == more }
		}},
		{open: every, draw: func(h *neighbourhood, r *rand.Rand, p *Plan) {
			if h.shut = none; len(p.Orders) > 0 {
				less := p.Orders[r.IntN(len(p.Orders))].Supplier
				h.shut = func(lot int) bool { return s.Lots[lot].Supplier == less }
			}
		}},
	}
}

// around is the part of the program m that a neighbourhood frees around a plan, for less than it costs. In a large
// season strips cut from a lot need not be whole; [search.repair] sees to that.
func (x *search) around(m *mip.Model, h *neighbourhood, r *rand.Rand, p *Plan) *mip.Model {
	d, s := x.d, x.s
	m = copyOf(m)
	if h.draw != nil {
		h.draw(h, r, p)
	}
	cuts := 0
	for i := range d.lots {
		cuts += len(d.lots[i].cuts)
	}
	whole := cuts <= wholeCuts
	bought := make([]bool, len(s.Lots))
	for _, l := range p.Lines {
		bought[l.Lot] = true
	}
	for i := range s.Lots {
		if h.shut != nil && h.shut(i) || !bought[i] && !h.open(i) {
			d.closeLot(m, i)
		}
		for _, c := range d.lots[i].cuts {
			if c >= 0 {
				m.Columns[c].Integer = whole
			}
		}
	}
	n := int(h.free)
	if r.Float64() < h.free-float64(n) {
		n++
	}
	free := r.Perm(len(s.Models))[:min(n, len(s.Models))]
	d.hold(m, p.Layouts, func(model int) bool {
		return slices.ContainsFunc(free, func(f int) bool {
			return f == model || s.Models[model].Recipe != "" && s.Models[f].Recipe == s.Models[model].Recipe
		})
	})
	cost := mip.Row{Name: "cheaper", Low: math.Inf(-1), High: p.Exact.InexactFloat64() - 0.01}
	for j := range m.Columns {
		if c := m.Columns[j].Objective; c != 0 {
			cost.Terms = append(cost.Terms, mip.Term{Column: j, Coefficient: c})
		}
	}
	m.Rows = append(m.Rows, cost)
	return m
}

// repair makes a plan of a solution of a part in which strips cut from lots need not be whole: with its layouts and lots. nil: there is none.
func (x *search) repair(ctx context.Context, m *mip.Model, values []float64) (*Plan, error) {
	d := x.d
	m = copyOf(m)
	for i, l := range d.models {
		for j := range l.Columns() {
			if c := d.first[i] + j; m.Columns[c].Integer {
				fix(m, c, math.Round(values[c]))
			}
		}
	}
	for i := range d.lots {
		if !slices.ContainsFunc(d.lots[i].ranges, func(r directRange) bool { return values[r.steps] > 0.5 }) {
			d.closeLot(m, i)
		}
	}
	r, err := mip.Solve(ctx, m, x.quick(0, partNodes))
	if err != nil || r.X == nil {
		return nil, err
	}
	p, err := x.offer(ctx, r.X)
	if err != nil {
		return nil, nil // a limit that rows do not hold exactly
	}
	return p, nil
}

// mostElites is how many plans are improved in turn.
const mostElites = 4

// cheapest are the cheapest plans of different sets of suppliers, the best first.
func (x *search) cheapest() (plans []*Plan) {
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, e := range x.elites {
		plans = append(plans, e.plan)
	}
	slices.SortStableFunc(plans, func(a, b *Plan) int { return a.Exact.Cmp(b.Exact) })
	return plans[:min(len(plans), mostElites)]
}

// lend leaves this search's core to the branches for a while, or until there is a better plan than best.
func (x *search) lend(ctx context.Context, best *Plan, d time.Duration) {
	f := x.forest.Load()
	if f == nil || !f.waits() {
		return
	}
	f.more(1)
	defer f.more(-1)
	for end := time.Now().Add(d); time.Now().Before(end) && ctx.Err() == nil && x.known() == best; {
		time.Sleep(20 * time.Millisecond)
	}
}

// neighbours improves plans by solving parts of the program around them (large neighbourhood search: P. Shaw, CP 1998), until ctx ends: around the best one and those
// of other sets of suppliers, in turn, each until nothing has been found for a while. What a kind of part has brought of late decides how often it is tried, and whether it was
// solved to its end how much of it is free.
func (x *search) neighbours(ctx context.Context, m *mip.Model, relaxed func() []float64) error {
	r := rand.New(rand.NewPCG(1, 7))
	all := x.neighbourhoods(relaxed)
	var best, at *Plan                                      // at is the one that is improved
	turn, idle, nodes, round := 0, 0, partNodes, time.Now() // round is when the one around all plans began
	for try := 1; ctx.Err() == nil; try++ {
		plans := x.cheapest()
		if len(plans) == 0 { // only the whole program may find one
			select {
			case <-ctx.Done():
			case <-time.After(100 * time.Millisecond):
			}
			continue
		}
		if plans[0] != best {
			best, at, turn, idle, round = plans[0], plans[0], 0, 0, time.Now()
		}
		p := at
		h := all[try%len(all)]
		if try >= 2*len(all) && r.IntN(3) > 0 {
			h = slices.MaxFunc(all, func(a, b *neighbourhood) int { return cmp.Compare(a.worth, b.worth) })
		}
		part, err := mip.Solve(ctx, x.around(m, h, r, p), x.quick(0, nodes))
		var q *Plan
		if err == nil && part.X != nil {
			q, err = x.repair(ctx, m, part.X)
		}
		if err != nil {
			if ctx.Err() != nil {
				return nil
			}
			return err
		}
		gain := 0.0
		if q != nil && q.Exact.LessThan(p.Exact) {
			gain, idle, at = p.Exact.Sub(q.Exact).InexactFloat64(), 0, q
		} else if idle++; idle >= idleTries {
			if idle, turn = 0, (turn+1)%len(plans); turn == 0 { // in vain around every plan
				nodes = min(nodes*3/2, mostNodes)
				x.lend(ctx, best, time.Since(round))
				round = time.Now()
			}
			at = plans[turn]
		}
		h.worth = 0.7*h.worth + 0.3*gain/float64(part.Nodes+20)
		switch {
		case part.Status == mip.Optimal || part.Status == mip.Infeasible:
			h.free = min(float64(len(x.s.Models)), 1.1*h.free+0.25)
		case gain == 0:
			h.free *= 0.8
		}
	}
	return nil
}
