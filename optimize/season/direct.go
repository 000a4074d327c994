package season

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// Direct is a season as one integer program, in the job's money: the definition of what a season's least cost is. Layouts stand in it by
// their counts ([Joint]) or as the strips they take ([Keep], [First]); orders by steps in each price's range and by strips of each kind cut
// from each lot. Any solver can confirm a plan by it, at a gap of 0. notes say what a linear program cannot hold exactly.
//
// ctx ends the search for the cheapest layouts of [First]. A model that no wood can fill is an [*InfeasibleError].
func Direct(ctx context.Context, s *Season, mode Mode) (m *mip.Model, notes []string, err error) {
	d, err := newDirect(ctx, s, mode, false)
	if err != nil {
		return nil, nil, err
	}
	return d.m, d.notes, nil
}

// A direct is a season's program with what its columns mean.
type direct struct {
	s       *Season
	mode    Mode
	m       *mip.Model
	notes   []string
	layouts []core.Layout       // by model, when they are fixed
	models  []*optimize.Layouts // by model, when they are not
	first   []int               // by model: where the columns of its counts begin
	recipes []directRecipe
	most    []int        // by kind: strips that all boards take at most
	parts   []int64      // by lot: parts of its planks that all boards take at most, all kinds together; nil: not known
	need    [][]mip.Term // by kind: strips that all boards take, as terms
	fixed   []int        // by kind: or as a number
	lots    []directLot
	cover   []int // by kind: the row "as many are cut as the boards take", −1 where there is none
	order   []int // by supplier: column of "is ordered from", −1 where nothing depends on it
}

// A directLot is a lot's columns.
type directLot struct {
	ranges []directRange
	cuts   []int // by index into Lot.Uses: strips; −1 where no board can take any
	from   []int // columns of "this wood from this supplier"
}

// A directRange is the stretch of steps over which a price holds: low to high, if any.
type directRange struct {
	tier      Tier
	low, high int
	steps     int // column
	on        int // column of "bought in this range", −1 where the steps alone say it
}

func newDirect(ctx context.Context, s *Season, mode Mode, tight bool) (*direct, error) {
	d := &direct{s: s, mode: mode, m: &mip.Model{Name: "season"}, most: make([]int, len(s.Kinds)), need: make([][]mip.Term, len(s.Kinds)), fixed: make([]int, len(s.Kinds))}
	switch mode {
	case Joint:
		for i := range s.Models {
			if err := d.addModel(i); err != nil {
				return nil, err
			}
		}
		d.addRecipes()
	case Keep, First:
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
	if tight && mode == Joint {
		if err := d.tighten(ctx); err != nil {
			return nil, err
		}
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
func (s *Season) program(model int) *optimize.Program {
	m := &s.Models[model]
	p := *m.Program
	p.Candidates = make([]optimize.Candidate, len(m.Program.Candidates))
	for c := range p.Candidates {
		p.Candidates[c] = m.Program.Candidates[c]
		p.Candidates[c].At = make([]optimize.Use, len(m.Program.Candidates[c].At))
		for pos, u := range m.Program.Candidates[c].At {
			u.Allowed = u.Allowed && m.Kind[pos][c] >= 0
			p.Candidates[c].At[pos] = u
		}
	}
	return &p
}

// layouts are a model's layouts as part of a program.
func (s *Season) layouts(model int) (*optimize.Layouts, error) {
	m := &s.Models[model]
	l, err := optimize.NewLayouts(s.program(model), func(position, candidate int) int { return m.Kind[position][candidate] })
	if err != nil {
		return nil, fmt.Errorf("model %q: %w", m.Program.Model, err)
	}
	return l, nil
}

// addModel adds the counts of a model within its limits.
func (d *direct) addModel(i int) error {
	m := &d.s.Models[i]
	l, err := d.s.layouts(i)
	if err != nil {
		return err
	}
	for _, n := range l.Notes {
		d.notes = append(d.notes, m.Program.Model+": "+n)
	}
	from := len(d.m.Columns)
	d.models, d.first = append(d.models, l), append(d.first, from)
	for _, col := range l.Columns() {
		col.Name = m.Program.Model + ": " + col.Name
		d.m.Columns = append(d.m.Columns, col)
	}
	for _, r := range l.Rows() {
		d.m.Rows = append(d.m.Rows, d.modelRow(i, r, r.Name))
	}
	most := map[int]int{}
	for _, u := range l.Uses {
		k := m.Kind[u.Position][u.Candidate]
		d.need[k] = append(d.need[k], mip.Term{Column: from + u.Column, Coefficient: float64(u.Pieces * m.Build)})
		most[k] += u.Strips * u.Pieces * m.Build
	}
	for k, n := range most {
		d.most[k] += n
	}
	return nil
}

// modelRow is a row over a model's columns as a row of the season.
func (d *direct) modelRow(model int, r mip.Row, name string) mip.Row {
	out := mip.Row{Name: d.s.Models[model].Program.Model + ": " + name, Low: r.Low, High: r.High}
	for _, t := range r.Terms {
		out.Terms = append(out.Terms, mip.Term{Column: t.Column + d.first[model], Coefficient: t.Coefficient})
	}
	return out
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
func (s *Season) usefulSteps(lot int, parts int64) int {
	l := &s.Lots[lot]
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
	var parts int64
	for _, u := range l.Uses {
		parts += u.Parts * int64(d.most[u.Kind])
	}
	if d.parts != nil {
		parts = min(parts, d.parts[i])
	}
	high := s.usefulSteps(i, parts)
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
		d.cover = append(d.cover, -1)
		if r.Low != 0 || len(r.Terms) > 0 {
			d.cover[k] = len(d.m.Rows)
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
				d.lots[i].from = append(d.lots[i].from, v)
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
		optimize.Limit
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
func (d *direct) plan(ctx context.Context, x []float64) (*Plan, error) {
	s := d.s
	layouts := slices.Clone(d.layouts)
	for i, l := range d.models {
		layout, err := l.Layout(ctx, x[d.first[i]:d.first[i]+len(l.Columns())])
		if err != nil {
			return nil, fmt.Errorf("model %q: %w", s.Models[i].Program.Model, err)
		}
		layouts = append(layouts, layout)
	}
	for _, r := range d.recipes {
		r.read(x, layouts)
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

// values are a plan's decisions as values of the program's columns, NaN where they follow from the others; nil where the program does not have them.
func (d *direct) values(p *Plan) []float64 {
	x := make([]float64, len(d.m.Columns))
	for i, l := range d.models {
		v, err := l.Values(p.Layouts[i])
		if err != nil {
			return nil
		}
		copy(x[d.first[i]:], v)
	}
	for _, r := range d.recipes {
		r.write(x, p.Layouts)
	}
	for _, line := range p.Lines {
		lot := &d.lots[line.Lot]
		k := slices.IndexFunc(lot.ranges, func(r directRange) bool { return r.low <= line.Steps && line.Steps <= r.high })
		if k < 0 {
			return nil
		}
		x[lot.ranges[k].steps] = float64(line.Steps)
		if on := lot.ranges[k].on; on >= 0 {
			x[on] = 1
		}
		if o := d.orderOf(line.Lot); o >= 0 {
			x[o] = 1
		}
		for _, v := range lot.from {
			x[v] = 1
		}
		for _, c := range line.Cuts {
			u := slices.IndexFunc(d.s.Lots[line.Lot].Uses, func(u KindUse) bool { return u.Kind == c.Kind })
			if u < 0 || lot.cuts[u] < 0 {
				return nil
			}
			x[lot.cuts[u]] = float64(c.Strips)
		}
	}
	return x
}

// orderOf is the column of "is ordered from" of a lot's supplier; −1: none.
func (d *direct) orderOf(lot int) int {
	if l := &d.s.Lots[lot]; !l.Stock {
		return d.order[l.Supplier]
	}
	return -1
}
