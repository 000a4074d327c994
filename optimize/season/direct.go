package optimize

import (
	"context"
	"fmt"
	"math"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// DirectSeason is a season as one integer program, in the job's money: the definition of what a season's least cost is. Layouts stand in it by
// their counts ([SeasonJoint]) or as the strips they take ([SeasonKeep], [SeasonFirst]); orders by steps in each price's range and by strips of each kind cut
// from each lot. Any solver can confirm a plan by it, at a gap of 0. notes say what a linear program cannot hold exactly.
//
// ctx ends the search for the cheapest layouts of [SeasonFirst]. A model that no wood can fill is an [*InfeasibleError].
func DirectSeason(ctx context.Context, s *Season, mode SeasonMode) (m *mip.Model, notes []string, err error) {
	d, err := newDirect(ctx, s, mode)
	if err != nil {
		return nil, nil, err
	}
	return d.m, d.notes, nil
}

// A direct is a season's program with what its columns mean.
type direct struct {
	s       *Season
	mode    SeasonMode
	m       *mip.Model
	notes   []string
	layouts []core.Layout // by model, when they are fixed
	counts  []*classModel // by model, when they are not
	first   []int         // by model: where the columns of its counts begin
	most    []int         // by kind: strips that all boards take at most
	need    [][]mip.Term  // by kind: strips that all boards take, as terms
	fixed   []int         // by kind: or as a number
	lots    []directLot
	order   []int // by supplier: column of "is ordered from", −1 where nothing depends on it
}

// A directLot is a lot's columns.
type directLot struct {
	ranges []directRange
	cuts   []int // by index into Lot.Uses: strips; −1 where no board can take any
}

// A directRange is the stretch of steps over which a price holds: low to high, if any.
type directRange struct {
	tier      Tier
	low, high int
	steps     int // column
	on        int // column of "bought in this range", −1 where the steps alone say it
}

func newDirect(ctx context.Context, s *Season, mode SeasonMode) (*direct, error) {
	d := &direct{s: s, mode: mode, m: &mip.Model{Name: "season"}, most: make([]int, len(s.Kinds)), need: make([][]mip.Term, len(s.Kinds)), fixed: make([]int, len(s.Kinds))}
	switch mode {
	case SeasonJoint:
		for i := range s.Models {
			if err := d.addModel(i); err != nil {
				return nil, err
			}
		}
	case SeasonKeep, SeasonFirst:
		var err error
		if d.layouts, err = s.given(ctx, mode); err != nil {
			return nil, err
		}
		if d.fixed, err = s.demand(d.layouts); err != nil {
			return nil, err
		}
		copy(d.most, d.fixed)
	default:
		return nil, fmt.Errorf("there is no season mode %q", mode)
	}
	d.addOrders()
	for i := range s.Lots {
		d.addLot(i)
	}
	d.addCoverage()
	d.addSuppliers()
	d.addLimits()
	return d, d.m.Check()
}

// program is a model's program with only the woods that some lot gives strips of.
func (s *Season) program(model int) *Program {
	m := &s.Models[model]
	p := *m.Program
	p.Candidates = make([]Candidate, len(m.Program.Candidates))
	for c := range p.Candidates {
		p.Candidates[c] = m.Program.Candidates[c]
		p.Candidates[c].At = make([]Use, len(m.Program.Candidates[c].At))
		for pos, u := range m.Program.Candidates[c].At {
			u.Allowed = u.Allowed && m.Kind[pos][c] >= 0
			p.Candidates[c].At[pos] = u
		}
	}
	return &p
}

// addModel adds the counts of a model within its limits. Classes are those of a front, and agree in the kind of strip besides.
func (d *direct) addModel(i int) error {
	m := &d.s.Models[i]
	f, err := newForm(d.s.program(i))
	if err != nil {
		return fmt.Errorf("model %q: %w", m.Program.Model, err)
	}
	if hole := f.hole(); hole != nil {
		return fmt.Errorf("model %q: %w", m.Program.Model, &InfeasibleError{hole})
	}
	kind := make([]int64, len(f.vars))
	for v, va := range f.vars {
		kind[v] = int64(m.Kind[f.groups[va.group].Position][va.cand])*2 + int64(f.groups[va.group].Pieces-1)
	}
	scatter := f.newScatter()
	var cuts []*limit
	for _, l := range f.limits {
		if l.kind == flexLow {
			cuts = append(cuts, f.ride.cuts(l)...)
		}
	}
	for _, n := range f.notes(scatter) {
		d.notes = append(d.notes, m.Program.Model+": "+n)
	}
	c := f.model(everyLimit, scatter, cuts, kind)
	from := len(d.m.Columns)
	d.counts, d.first = append(d.counts, c), append(d.first, from)
	for _, col := range c.m.Columns {
		col.Name, col.Objective = m.Program.Model+": "+col.Name, 0
		d.m.Columns = append(d.m.Columns, col)
	}
	for _, r := range c.m.Rows {
		r.Name = m.Program.Model + ": " + r.Name
		for k := range r.Terms {
			r.Terms[k].Column += from
		}
		d.m.Rows = append(d.m.Rows, r)
	}
	most := map[int]int{}
	for id, members := range c.members {
		strips := 0
		for _, g := range members {
			strips += len(f.groups[g].Strips)
		}
		seen := map[int]bool{} // two woods of a class never share a kind, but nothing here rests on it
		for ci, col := range c.count[id] {
			if col < 0 {
				continue
			}
			g := f.groups[members[0]]
			k := m.Kind[g.Position][ci]
			d.need[k] = append(d.need[k], mip.Term{Column: from + col, Coefficient: float64(g.Pieces * m.Build)})
			if !seen[k] {
				most[k] += strips * g.Pieces * m.Build
				seen[k] = true
			}
		}
	}
	for k, n := range most {
		d.most[k] += n
	}
	return nil
}

// notes say what a linear program of a form cannot hold exactly.
func (f *form) notes(s *scatterForm) (notes []string) {
	if s != nil {
		notes = append(notes, fmt.Sprintf("the scatter limit is not linear: it is written as %d chords, which let through at most a few thousandths more than the limit", chords))
	}
	for _, l := range f.limits {
		switch l.kind {
		case flexLow:
			notes = append(notes, l.named()+": written as tangents, which let through layouts a little below it")
		case flexHigh, strength:
			notes = append(notes, l.named()+": not linear, and not in the program")
		}
	}
	return notes
}

func (d *direct) column(c mip.Column) int {
	d.m.Columns = append(d.m.Columns, c)
	return len(d.m.Columns) - 1
}

func (d *direct) row(name string, low, high float64, terms ...mip.Term) {
	d.m.Rows = append(d.m.Rows, mip.Row{Name: name, Low: low, High: high, Terms: terms})
}

// lotName is a lot as names give it.
func (s *Season) lotName(i int) string {
	from := "stock"
	if l := &s.Lots[i]; !l.Stock {
		from = s.Suppliers[l.Supplier].Name
	}
	return fmt.Sprintf("lot %d, %s from %s", i+1, s.wood(i), from)
}

// usefulSteps is how many steps of a lot any plan of least cost buys at most, when no board takes more strips than most, by kind: what its strips could
// need, or what reaches its last price, its minimum or its supplier's.
func (s *Season) usefulSteps(lot int, most []int) int {
	l := &s.Lots[lot]
	var parts int64
	for _, u := range l.Uses {
		parts += u.Parts * int64(most[u.Kind])
	}
	steps := int((parts + l.StepParts - 1) / l.StepParts)
	if l.Stock {
		return min(steps, l.MaxSteps)
	}
	steps = max(steps, l.MinSteps)
	for _, t := range l.Tiers {
		steps = max(steps, t.From)
	}
	if least := s.Suppliers[l.Supplier].MinOrder; least.IsPositive() {
		for steps < l.MaxSteps {
			goods, _ := l.Stepped(steps)
			if goods.GreaterThanOrEqual(least) {
				break
			}
			steps += max(1, steps/16)
		}
	}
	return min(steps, l.MaxSteps)
}

// ranges are the stretches of steps with a price each, from what is bought at least to high.
func (l *Lot) ranges(high int) []directRange {
	var out []directRange
	for i, t := range l.Tiers {
		r := directRange{tier: t, low: max(t.From, l.MinSteps, 1), high: high, on: -1}
		if i+1 < len(l.Tiers) {
			r.high = min(high, l.Tiers[i+1].From-1)
		}
		if r.low <= r.high {
			out = append(out, r)
		}
	}
	return out
}

// addOrders adds "is ordered from" for each supplier.
func (d *direct) addOrders() {
	for i := range d.s.Suppliers {
		sup := &d.s.Suppliers[i]
		d.order = append(d.order, -1)
		if sup.Freight.IsPositive() || sup.MinOrder.IsPositive() {
			d.order[i] = d.column(mip.Column{Name: "ordered from " + sup.Name, High: 1, Integer: true, Objective: sup.Freight.InexactFloat64()})
		}
	}
}

// addLot adds what is bought and cut of a lot. Everything bought hangs on the range it is bought in, and that on the order.
func (d *direct) addLot(i int) {
	s, l, name := d.s, &d.s.Lots[i], d.s.lotName(i)
	var lot directLot
	high := s.usefulSteps(i, d.most)
	lot.ranges = l.ranges(high)
	order := -1
	if !l.Stock {
		order = d.order[l.Supplier]
	}
	single := len(lot.ranges) == 1 && lot.ranges[0].low <= 1 && lot.ranges[0].tier.Base.IsZero()
	for k := range lot.ranges {
		r := &lot.ranges[k]
		in := name
		if len(lot.ranges) > 1 {
			in = fmt.Sprintf("%s, %d to %d", name, r.low, r.high)
		}
		r.steps = d.column(mip.Column{Name: "steps of " + in, High: float64(r.high), Integer: true,
			Objective: r.tier.Each.Add(l.StepFreight).InexactFloat64()})
		if single {
			r.on = order
		} else {
			r.on = d.column(mip.Column{Name: "bought: " + in, High: 1, Integer: true, Objective: r.tier.Base.InexactFloat64()})
			d.row("at least, of "+in, 0, math.Inf(1), mip.Term{Column: r.steps, Coefficient: 1}, mip.Term{Column: r.on, Coefficient: -float64(r.low)})
		}
		if r.on >= 0 {
			d.row("at most, of "+in, math.Inf(-1), 0, mip.Term{Column: r.steps, Coefficient: 1}, mip.Term{Column: r.on, Coefficient: -float64(r.high)})
		}
	}
	if !single && len(lot.ranges) > 0 {
		one := mip.Row{Name: "one price of " + name, Low: math.Inf(-1), High: 1}
		for _, r := range lot.ranges {
			one.Terms = append(one.Terms, mip.Term{Column: r.on, Coefficient: 1})
		}
		if order >= 0 {
			one.Terms, one.High = append(one.Terms, mip.Term{Column: order, Coefficient: -1}), 0
		}
		d.m.Rows = append(d.m.Rows, one)
	}
	fit := mip.Row{Name: "planks of " + name, Low: math.Inf(-1)}
	for _, u := range l.Uses {
		most := min(int64(d.most[u.Kind]), l.StepParts*int64(high)/u.Parts)
		if most == 0 {
			lot.cuts = append(lot.cuts, -1)
			continue
		}
		x := d.column(mip.Column{Name: fmt.Sprintf("strips of kind %d from %s", u.Kind+1, name), High: float64(most), Integer: true})
		lot.cuts = append(lot.cuts, x)
		fit.Terms = append(fit.Terms, mip.Term{Column: x, Coefficient: float64(u.Parts) / PlankParts})
		// By itself the row of planks leaves the order as open as its steps are; this one does not.
		on := mip.Row{Name: fmt.Sprintf("strips of kind %d only when bought: %s", u.Kind+1, name), Low: math.Inf(-1),
			Terms: []mip.Term{{Column: x, Coefficient: 1}}}
		for _, r := range lot.ranges {
			if r.on >= 0 {
				on.Terms = append(on.Terms, mip.Term{Column: r.on, Coefficient: -float64(min(most, l.StepParts*int64(r.high)/u.Parts))})
			}
		}
		if len(on.Terms) > 1 {
			d.m.Rows = append(d.m.Rows, on)
		}
	}
	for _, r := range lot.ranges {
		fit.Terms = append(fit.Terms, mip.Term{Column: r.steps, Coefficient: -float64(l.StepParts) / PlankParts})
	}
	if len(fit.Terms) > 0 {
		d.m.Rows = append(d.m.Rows, fit)
	}
	d.lots = append(d.lots, lot)
}

// addCoverage has as many strips of each kind cut as the boards take.
func (d *direct) addCoverage() {
	for k := range d.s.Kinds {
		r := mip.Row{Name: fmt.Sprintf("kind %d, %s", k+1, d.s.Kinds[k].describe()), Low: float64(d.fixed[k]), High: float64(d.fixed[k])}
		for i := range d.lots {
			for u, x := range d.lots[i].cuts {
				if x >= 0 && d.s.Lots[i].Uses[u].Kind == k {
					r.Terms = append(r.Terms, mip.Term{Column: x, Coefficient: 1})
				}
			}
		}
		for _, t := range d.need[k] {
			r.Terms = append(r.Terms, mip.Term{Column: t.Column, Coefficient: -t.Coefficient})
		}
		if r.Low != 0 || len(r.Terms) > 0 {
			d.m.Rows = append(d.m.Rows, r)
		}
	}
}

// spent are the terms of what lots cost; freight besides when asked.
func (d *direct) spent(freight bool, of func(l *Lot) bool) []mip.Term {
	var out []mip.Term
	for i := range d.lots {
		l := &d.s.Lots[i]
		if !of(l) {
			continue
		}
		for _, r := range d.lots[i].ranges {
			each := r.tier.Each
			if freight {
				each = each.Add(l.StepFreight)
			}
			if !each.IsZero() {
				out = append(out, mip.Term{Column: r.steps, Coefficient: each.InexactFloat64()})
			}
			if !r.tier.Base.IsZero() {
				out = append(out, mip.Term{Column: r.on, Coefficient: r.tier.Base.InexactFloat64()})
			}
		}
	}
	return out
}

// addSuppliers adds minimum orders, and how many suppliers a wood may come from.
func (d *direct) addSuppliers() {
	s := d.s
	for i := range s.Suppliers {
		if least := s.Suppliers[i].MinOrder; least.IsPositive() {
			terms := d.spent(false, func(l *Lot) bool { return !l.Stock && l.Supplier == i })
			d.row("minimum order from "+s.Suppliers[i].Name, 0, math.Inf(1), append(terms, mip.Term{Column: d.order[i], Coefficient: -least.InexactFloat64()})...)
		}
	}
	if !s.Limits.MaxSuppliers.Set {
		return
	}
	var woods []string
	from := map[string]map[int][]int{} // wood → supplier → lots
	for i := range s.Lots {
		w := s.wood(i)
		if s.Lots[i].Stock {
			continue
		}
		if from[w] == nil {
			woods, from[w] = append(woods, w), map[int][]int{}
		}
		from[w][s.Lots[i].Supplier] = append(from[w][s.Lots[i].Supplier], i)
	}
	for _, w := range woods {
		most := math.Floor(s.Limits.MaxSuppliers.Value)
		if float64(len(from[w])) <= most {
			continue
		}
		all := mip.Row{Name: "suppliers of " + w, Low: math.Inf(-1), High: most}
		for sup := range s.Suppliers {
			if from[w][sup] == nil {
				continue
			}
			v := d.column(mip.Column{Name: w + " from " + s.Suppliers[sup].Name, High: 1, Integer: true})
			all.Terms = append(all.Terms, mip.Term{Column: v, Coefficient: 1})
			for _, i := range from[w][sup] {
				for k, r := range d.lots[i].ranges {
					name := fmt.Sprintf("price %d of lot %d only from a supplier of %s", k+1, i+1, w)
					if r.on >= 0 && r.on != d.order[sup] {
						d.row(name, math.Inf(-1), 0, mip.Term{Column: r.on, Coefficient: 1}, mip.Term{Column: v, Coefficient: -1})
					} else {
						d.row(name, math.Inf(-1), 0, mip.Term{Column: r.steps, Coefficient: 1}, mip.Term{Column: v, Coefficient: -float64(r.high)})
					}
				}
			}
		}
		d.m.Rows = append(d.m.Rows, all)
	}
}

// addLimits adds the budget and the shares of the season.
func (d *direct) addLimits() {
	s, lim := d.s, &d.s.Limits
	if lim.Budget.Set {
		terms := d.spent(true, func(*Lot) bool { return true })
		for i, o := range d.order {
			if o >= 0 && s.Suppliers[i].Freight.IsPositive() {
				terms = append(terms, mip.Term{Column: o, Coefficient: s.Suppliers[i].Freight.InexactFloat64()})
			}
		}
		d.row("budget", math.Inf(-1), lim.Budget.Value.InexactFloat64(), terms...)
	}
	var widest int64 = 1
	for _, k := range s.Kinds {
		widest = max(widest, k.VolumeMM3)
	}
	for _, e := range []struct {
		Limit
		name string
		of   func(lot, kind int) bool
	}{
		{lim.MinFastPct, "fast-grown share of the season", func(_, kind int) bool { return s.Kinds[kind].FastGrown }},
		{lim.MinCertPct, "certified share of the season", func(lot, _ int) bool { return s.Lots[lot].Certified }},
	} {
		if !e.Set {
			continue
		}
		r := mip.Row{Name: e.name, High: math.Inf(1)}
		for i := range d.lots {
			for u, x := range d.lots[i].cuts {
				k := s.Lots[i].Uses[u].Kind
				of := decimal.NewFromFloat(-e.Value)
				if e.of(i, k) {
					of = of.Add(decimal.NewFromInt(100))
				}
				if x >= 0 && !of.IsZero() {
					r.Terms = append(r.Terms, mip.Term{Column: x, Coefficient: of.InexactFloat64() * float64(s.Kinds[k].VolumeMM3) / float64(widest)})
				}
			}
		}
		d.m.Rows = append(d.m.Rows, r)
	}
}

// plan reads a solution of the program: whole columns rounded, layouts rebuilt, everything verified by [newPlan].
func (d *direct) plan(ctx context.Context, engine solver, x []float64) (*SeasonPlan, error) {
	s := d.s
	layouts := d.layouts
	if d.mode == SeasonJoint {
		for i, c := range d.counts {
			n, err := c.recover(ctx, engine, x[d.first[i]:d.first[i]+len(c.m.Columns)])
			if err != nil {
				return nil, fmt.Errorf("model %q: %w", s.Models[i].Program.Model, err)
			}
			layouts = append(layouts, c.f.layout(n))
		}
	}
	steps, cuts := make([]int, len(s.Lots)), make([][]Cut, len(s.Lots))
	for i := range d.lots {
		for _, r := range d.lots[i].ranges {
			steps[i] += int(math.Round(x[r.steps]))
		}
		for u, col := range d.lots[i].cuts {
			if col >= 0 {
				cuts[i] = append(cuts[i], Cut{s.Lots[i].Uses[u].Kind, int(math.Round(x[col]))})
			}
		}
	}
	return newPlan(s, d.mode, layouts, steps, cuts)
}
