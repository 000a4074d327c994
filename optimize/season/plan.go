package season

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// errPlan is what a plan that breaks something of its season is refused with.
var errPlan = errors.New("this is no plan of the season")

func noPlan(format string, args ...any) error {
	return fmt.Errorf("%w: %s", errPlan, fmt.Sprintf(format, args...))
}

// cents is the resolution at which money is written on orders.
const cents = 2

// Stepped is what a number of steps costs before rounding, in the job's money: goods by the tier it reaches, and freight by volume.
// No steps cost nothing.
func (l *Lot) Stepped(steps int) (goods, freight decimal.Decimal) {
	if steps <= 0 {
		return decimal.Zero, decimal.Zero
	}
	n := decimal.NewFromInt(int64(steps))
	for _, t := range slices.Backward(l.Tiers) {
		if steps >= t.From {
			goods = t.Base.Add(n.Mul(t.Each))
			break
		}
	}
	return goods, n.Mul(l.StepFreight)
}

// partsOf is how many parts of a plank a strip of a kind takes from a lot; 0 where the lot does not give the kind.
func (l *Lot) partsOf(kind int) int64 {
	i, ok := slices.BinarySearchFunc(l.Uses, kind, func(u KindUse, k int) int { return cmp.Compare(u.Kind, k) })
	if !ok {
		return 0
	}
	return l.Uses[i].Parts
}

// wood is what a lot is of: its strips' wood.
func (s *Season) wood(lot int) string {
	l := &s.Lots[lot]
	if len(l.Uses) > 0 {
		return s.Kinds[l.Uses[0].Kind].Wood
	}
	if l.Offer != nil {
		return l.Offer.Wood
	}
	return ""
}

// KeptLayout is the layout that a model keeps: the one chosen before, or the reference; nil when there is neither.
func (m *Model) KeptLayout() core.Layout {
	if m.Kept != nil {
		return m.Kept
	}
	return m.Program.Reference
}

// keptLayouts are those that the models keep; nil for a model that has none.
func (s *Season) keptLayouts() []core.Layout {
	out := make([]core.Layout, len(s.Models))
	for i := range s.Models {
		out[i] = s.Models[i].KeptLayout()
	}
	return out
}

// KeptDiffer names two models of one recipe that keep different layouts; empty: there are none.
func (s *Season) KeptDiffer() (a, b string) {
	kept := s.keptLayouts()
	if slices.ContainsFunc(kept, func(l core.Layout) bool { return l == nil }) {
		return "", ""
	}
	return s.differs(kept)
}

// demand is how many strips of each kind all boards take with layouts, by kind.
func (s *Season) demand(layouts []core.Layout) ([]int, error) {
	need := make([]int, len(s.Kinds))
	for m := range s.Models {
		per, err := s.StripsPerBoard(m, layouts[m])
		if err != nil {
			return nil, err
		}
		for k, n := range per {
			need[k] += n * s.Models[m].Build
		}
	}
	return need, nil
}

// newPlan states a plan: layouts by model, steps by lot, and by lot the strips cut from it. Everything is verified in whole numbers and
// decimals, and an error says what does not hold; nothing is proven about its cost, so Proven is false and Bound zero.
//
// Strips are cut exactly as many as the boards take. More would be waste, and would count in the season's shares. Minimum orders, budget and
// the cost that is minimised are exact sums; only what is written on a line, each amount by itself, is rounded to the cent.
func newPlan(s *Season, mode Mode, layouts []core.Layout, steps []int, cuts [][]Cut) (*Plan, error) {
	p := &Plan{Season: s, Mode: mode, Layouts: layouts}
	if len(layouts) != len(s.Models) || len(steps) != len(s.Lots) || len(cuts) != len(s.Lots) {
		return nil, noPlan("%d layouts for %d models, steps of %d and strips of %d for %d lots",
			len(layouts), len(s.Models), len(steps), len(cuts), len(s.Lots))
	}
	if mode != Keep {
		if a, b := s.differs(layouts); a != "" {
			return nil, noPlan("models %q and %q have one recipe and different layouts", a, b)
		}
	}
	if err := p.addPoints(); err != nil {
		return nil, err
	}
	need, err := s.demand(layouts)
	if err != nil {
		return nil, noPlan("%v", err)
	}
	goods := make([]decimal.Decimal, len(s.Suppliers)) // exact
	for i := range s.Lots {
		line, exact, err := s.line(i, steps[i], cuts[i])
		if err != nil {
			return nil, err
		}
		if line == nil {
			continue
		}
		for _, c := range line.Cuts {
			need[c.Kind] -= c.Strips
		}
		p.Lines = append(p.Lines, *line)
		p.Cost = p.Cost.Add(line.Goods).Add(line.Freight)
		p.Exact = p.Exact.Add(exact.goods).Add(exact.freight)
		if !s.Lots[i].Stock {
			goods[s.Lots[i].Supplier] = goods[s.Lots[i].Supplier].Add(exact.goods)
		}
	}
	for k, n := range need {
		if n != 0 {
			return nil, noPlan("strips of %s: %d too %s", s.Kinds[k].describe(), max(n, -n), map[bool]string{true: "few", false: "many"}[n > 0])
		}
	}
	p.addOrders()
	for i := range p.Orders {
		o := &p.Orders[i]
		if sup := &s.Suppliers[o.Supplier]; goods[o.Supplier].LessThan(sup.MinOrder) {
			return nil, noPlan("the order from %s is worth %s; its minimum is %s", sup.Name, goods[o.Supplier], sup.MinOrder)
		}
		p.Cost = p.Cost.Add(s.Suppliers[o.Supplier].Freight.Round(cents))
		p.Exact = p.Exact.Add(s.Suppliers[o.Supplier].Freight)
	}
	if err := p.keepsSeason(); err != nil {
		return nil, err
	}
	parts, err := p.Parts()
	if err != nil {
		return nil, err
	}
	for m, part := range parts {
		pt := &p.Points[m]
		pt.HasCost, pt.Cost = true, part.Cost.DivRound(decimal.NewFromInt(int64(max(1, s.Models[m].Build))), cents)
		pt.FastGrownPct, pt.CertifiedPct = part.FastGrownPct, part.CertifiedPct
	}
	return p, nil
}

// bounded states what is known of a plan when none of its season has an exact cost below least: how far it is proven, and, where that is not as near as
// gapPct asks, why not.
func (p *Plan) bounded(least decimal.Decimal, gapPct float64, why string) {
	within := func(share float64) bool {
		return least.GreaterThanOrEqual(p.Exact.Mul(decimal.NewFromFloat(1 - share)))
	}
	p.Proven = within(boundSlack)
	p.Why = ""
	if p.Done = p.Proven || within(gapPct/100); !p.Done {
		p.Why = why
	}
	if p.Proven {
		p.Bound = p.Cost
		return
	}
	// Lines are rounded to the cent one by one, which may take this much off the exact cost.
	round := decimal.New(int64(2*len(p.Lines)+len(p.Orders)), -cents)
	p.Bound = decimal.Max(p.Bound, decimal.Min(p.Cost, least.Sub(round).RoundFloor(cents)))
}

// describe names a kind of strip: "european-beech 10 × 26 × 1900 mm by 2027-03-15".
func (k *StripKind) describe() string {
	d := fmt.Sprintf("%s %s × %s × %s mm", k.Wood, number(k.WidthMM), number(k.ThicknessMM), number(k.LengthMM))
	if k.NeededBy != "" {
		d += " by " + k.NeededBy
	}
	return d
}

type exactCost struct{ goods, freight decimal.Decimal }

// line is what is bought of a lot; nil when nothing is.
func (s *Season) line(lot, steps int, cuts []Cut) (*Line, exactCost, error) {
	l := &s.Lots[lot]
	name := fmt.Sprintf("lot %d (%s)", lot+1, s.wood(lot))
	var used int64
	cuts = slices.DeleteFunc(slices.Clone(cuts), func(c Cut) bool { return c.Strips == 0 })
	slices.SortFunc(cuts, func(a, b Cut) int { return cmp.Compare(a.Kind, b.Kind) })
	for i, c := range cuts {
		parts := l.partsOf(c.Kind)
		switch {
		case c.Strips < 0:
			return nil, exactCost{}, noPlan("%s: %d strips", name, c.Strips)
		case c.Kind < 0 || c.Kind >= len(s.Kinds) || parts == 0:
			return nil, exactCost{}, noPlan("%s gives no strips of kind %d", name, c.Kind)
		case i > 0 && cuts[i-1].Kind == c.Kind:
			return nil, exactCost{}, noPlan("%s: kind %d is cut twice", name, c.Kind)
		}
		used += parts * int64(c.Strips)
	}
	left := int64(steps)*l.StepParts - used
	switch {
	case steps == 0 && used == 0:
		return nil, exactCost{}, nil
	case steps < 0 || steps > l.MaxSteps:
		return nil, exactCost{}, noPlan("%s: %d steps; there are %d", name, steps, l.MaxSteps)
	case steps < l.MinSteps:
		return nil, exactCost{}, noPlan("%s: %d steps; the least is %d", name, steps, l.MinSteps)
	case left < 0:
		return nil, exactCost{}, noPlan("%s: the strips take %d parts of a plank more than is bought", name, -left)
	case len(l.Tiers) == 0 || l.Tiers[0].From > max(1, l.MinSteps):
		return nil, exactCost{}, noPlan("%s has no price for %d steps", name, steps)
	case !l.Stock && (l.Supplier < 0 || l.Supplier >= len(s.Suppliers)):
		return nil, exactCost{}, noPlan("%s is neither stock nor from a supplier", name)
	}
	goods, freight := l.Stepped(steps)
	return &Line{Lot: lot, Steps: steps, Quantity: l.StepQuantity.Mul(decimal.NewFromInt(int64(steps))),
		Goods: goods.Round(cents), Freight: freight.Round(cents), Cuts: cuts, LeftParts: left}, exactCost{goods, freight}, nil
}

// addOrders gathers the lines by supplier, each amount to the cent.
func (p *Plan) addOrders() {
	s := p.Season
	for sup := range s.Suppliers {
		o := Order{Supplier: sup, Freight: s.Suppliers[sup].Freight.Round(cents)}
		ordered := false
		for i := range p.Lines {
			if l := &s.Lots[p.Lines[i].Lot]; !l.Stock && l.Supplier == sup {
				ordered = true
				o.Goods = o.Goods.Add(p.Lines[i].Goods)
				o.Freight = o.Freight.Add(p.Lines[i].Freight)
			}
		}
		if ordered {
			o.Total = o.Goods.Add(o.Freight)
			p.Orders = append(p.Orders, o)
		}
	}
}

// keepsSeason verifies the limits of the whole season.
func (p *Plan) keepsSeason() error {
	s, lim := p.Season, &p.Season.Limits
	if lim.Budget.Set && p.Exact.GreaterThan(lim.Budget.Value) {
		return noPlan("it costs %s; the budget is %s", p.Exact, lim.Budget.Value)
	}
	var all, fast, cert int64
	suppliers := map[string][]int{}
	for i := range p.Lines {
		l := &s.Lots[p.Lines[i].Lot]
		for _, c := range p.Lines[i].Cuts {
			v := s.Kinds[c.Kind].VolumeMM3 * int64(c.Strips)
			all += v
			if s.Kinds[c.Kind].FastGrown {
				fast += v
			}
			if l.Certified {
				cert += v
			}
		}
		if w := s.wood(p.Lines[i].Lot); !l.Stock && !slices.Contains(suppliers[w], l.Supplier) {
			suppliers[w] = append(suppliers[w], l.Supplier)
			if m := lim.MaxSuppliers; m.Set && float64(len(suppliers[w])) > m.Value {
				return noPlan("%s comes from more than %s suppliers", w, number(m.Value))
			}
		}
	}
	for _, e := range []struct {
		optimize.Limit
		volume int64
		what   string
	}{{lim.MinFastPct, fast, "fast-grown"}, {lim.MinCertPct, cert, "certified"}} {
		if e.Set && decimal.NewFromInt(e.volume).Shift(2).LessThan(decimal.NewFromFloat(e.Value).Mul(decimal.NewFromInt(all))) {
			return noPlan("%d of %d mm³ is %s; %s %% is asked", e.volume, all, e.what, number(e.Value))
		}
	}
	return nil
}

// Verify does everything anew that a plan rests on: strips, planks, limits, and all money. An error says what does not hold. What it
// cannot look into is whether a cheaper plan exists.
func (p *Plan) Verify() error {
	s := p.Season
	steps, cuts := make([]int, len(s.Lots)), make([][]Cut, len(s.Lots))
	for i := range p.Lines {
		lot := p.Lines[i].Lot
		if lot < 0 || lot >= len(s.Lots) || i > 0 && lot <= p.Lines[i-1].Lot {
			return noPlan("line %d is of lot %d, out of order", i+1, lot+1)
		}
		steps[lot], cuts[lot] = p.Lines[i].Steps, p.Lines[i].Cuts
	}
	q, err := newPlan(s, p.Mode, p.Layouts, steps, cuts)
	if err != nil {
		return err
	}
	money := func(what string, have, want decimal.Decimal) error {
		if !have.Equal(want) {
			return noPlan("%s is given as %s; it is %s", what, have, want)
		}
		return nil
	}
	err = errors.Join(money("the cost", p.Cost, q.Cost), money("the exact cost", p.Exact, q.Exact))
	if len(p.Lines) != len(q.Lines) || len(p.Orders) != len(q.Orders) || len(p.Points) != len(q.Points) {
		return noPlan("%d lines, %d orders, %d points; it has %d, %d, %d", len(p.Lines), len(p.Orders), len(p.Points), len(q.Lines), len(q.Orders), len(q.Points))
	}
	for i, l := range q.Lines {
		err = errors.Join(err, money(fmt.Sprintf("the quantity of line %d", i+1), p.Lines[i].Quantity, l.Quantity),
			money(fmt.Sprintf("the goods of line %d", i+1), p.Lines[i].Goods, l.Goods),
			money(fmt.Sprintf("the freight of line %d", i+1), p.Lines[i].Freight, l.Freight))
		if p.Lines[i].LeftParts != l.LeftParts {
			err = errors.Join(err, noPlan("line %d leaves %d parts; it is given as %d", i+1, l.LeftParts, p.Lines[i].LeftParts))
		}
	}
	for i, o := range q.Orders {
		if p.Orders[i].Supplier != o.Supplier {
			return noPlan("order %d is from supplier %d; it is %d", i+1, p.Orders[i].Supplier, o.Supplier)
		}
		err = errors.Join(err, money(fmt.Sprintf("the goods of order %d", i+1), p.Orders[i].Goods, o.Goods),
			money(fmt.Sprintf("the freight of order %d", i+1), p.Orders[i].Freight, o.Freight),
			money(fmt.Sprintf("the total of order %d", i+1), p.Orders[i].Total, o.Total))
	}
	for m, pt := range q.Points {
		if have := p.Points[m]; have.CoreMassG != pt.CoreMassG || have.EINM2 != pt.EINM2 || !have.Cost.Equal(pt.Cost) || have.FastGrownPct != pt.FastGrownPct || have.CertifiedPct != pt.CertifiedPct || !slices.Equal(have.Layout, pt.Layout) {
			err = errors.Join(err, noPlan("model %q: its figures are not those of its layout", s.Models[m].Program.Model))
		}
	}
	if p.Bound.GreaterThan(p.Cost) {
		err = errors.Join(err, noPlan("the bound, %s, is above the cost, %s", p.Bound, p.Cost))
	}
	return err
}
