package season

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
)

// A diagnosis looks for what keeps a season from having a plan: each limit is given up by itself, and then as few as possible together.
// Every answer is a plan of the season so changed, so that what is said to help does.
type diagnosis struct {
	s    *Season
	mode Mode
}

// A giving is one limit that a diagnosis gives up.
type giving struct {
	what string
	// up is the season without the limit.
	up func(*Season)
	// says is what is short, read from a plan of the changed season. Without a context nothing more is searched.
	says func(context.Context, *Plan) ([]Lack, []string)
}

// diagnoseSeason says why a season without a plan has none: what is short, by how much, and what would help, the cheapest first. When ctx ends
// on the way, what is known by then is returned.
func diagnoseSeason(ctx context.Context, s *Season, mode Mode) (*Shortage, error) {
	d := &diagnosis{s: s, mode: mode}
	if lacks, err := d.layouts(ctx); err != nil || lacks != nil {
		return &Shortage{Lacks: lacks}, err
	}
	givings := d.givings()
	type help struct {
		lacks    []Lack
		remedies []string
		cost     decimal.Decimal
	}
	var helps []help
	for _, g := range givings {
		p, err := d.try(ctx, g)
		if err != nil {
			return nil, err
		}
		if p == nil {
			continue
		}
		h := help{cost: d.cost(p)}
		h.lacks, h.remedies = g.says(ctx, p)
		helps = append(helps, h)
	}
	out := &Shortage{}
	slices.SortStableFunc(helps, func(a, b help) int { return a.cost.Cmp(b.cost) })
	for _, h := range helps {
		out.Lacks, out.Remedies = append(out.Lacks, h.lacks...), append(out.Remedies, h.remedies...)
	}
	if helps == nil && ctx.Err() == nil {
		var err error
		if out, err = d.together(ctx, givings); err != nil {
			return nil, err
		}
	}
	if len(out.Lacks) == 0 {
		out.Lacks = []Lack{{What: "limits", Says: "its limits clash, and there was no time to say which; give it more"}}
	}
	return out, nil
}

// together gives up every limit, and takes back one after another what a plan can do without.
func (d *diagnosis) together(ctx context.Context, givings []giving) (*Shortage, error) {
	p, err := d.try(ctx, givings...)
	if err != nil || p == nil {
		return &Shortage{}, err
	}
	needed := slices.Clone(givings)
	for i := len(needed) - 1; i >= 0; i-- {
		fewer := slices.Delete(slices.Clone(needed), i, i+1)
		q, err := d.try(ctx, fewer...)
		if err != nil {
			return nil, err
		}
		if q != nil {
			needed, p = fewer, q
		}
	}
	out := &Shortage{}
	var remedies []string
	for _, g := range needed {
		lacks, remedy := g.says(nil, p)
		out.Lacks, remedies = append(out.Lacks, lacks...), append(remedies, remedy...)
	}
	if len(remedies) > 0 {
		out.Remedies = []string{strings.Join(remedies, ", and ")}
	}
	return out, nil
}

// try solves the season with limits given up; nil: no plan, or none found in time.
func (d *diagnosis) try(ctx context.Context, givings ...giving) (*Plan, error) {
	s := *d.s
	s.Lots, s.Suppliers = slices.Clone(s.Lots), slices.Clone(s.Suppliers)
	for _, g := range givings {
		g.up(&s)
	}
	return d.solve(ctx, &s, DefaultGapPct)
}

func (d *diagnosis) solve(ctx context.Context, s *Season, gapPct float64) (*Plan, error) {
	p, err := Solve(ctx, s, Options{Mode: d.mode, GapPct: gapPct, undiagnosed: true})
	var none *NoPlanError
	switch {
	case p != nil:
		return p, nil // a fault on the way is not this plan's
	case errors.Is(err, errInfeasible), errors.As(err, &none):
		return nil, nil
	}
	return nil, err
}

// layouts are the models that have no layout at all, or none of strips that some lot gives in time.
func (d *diagnosis) layouts(ctx context.Context) ([]Lack, error) {
	mode := d.mode
	if mode == Joint {
		mode = First // a layout that is cheapest is one
	}
	_, err := d.s.given(ctx, mode)
	var short *Shortage
	switch {
	case errors.As(err, &short):
		return short.Lacks, nil
	case err != nil && ctx.Err() != nil:
		return nil, nil
	}
	return nil, err
}

func (d *diagnosis) money(v decimal.Decimal) string {
	return strings.TrimSpace(v.StringFixed(cents) + " " + d.s.Currency)
}

func inCell(where string) string {
	if where == "" {
		return ""
	}
	return " (" + where + ")"
}

// givings are the limits that may be given up, in the order in which they are tried.
func (d *diagnosis) givings() []giving {
	s, lim := d.s, &d.s.Limits
	var out []giving
	if lim.Budget.Set {
		out = append(out, giving{"money", func(s *Season) { s.Limits.Budget = optimize.MoneyLimit{} }, d.saysMoney})
	}
	if lim.MinFastPct.Set {
		out = append(out, giving{"share", func(s *Season) { s.Limits.MinFastPct = optimize.Limit{} },
			d.saysShare("fast-grown", lim.MinFastPct, func(s *Season) *optimize.Limit { return &s.Limits.MinFastPct }, (*Plan).FastGrownPct)})
	}
	if lim.MinCertPct.Set {
		out = append(out, giving{"share", func(s *Season) { s.Limits.MinCertPct = optimize.Limit{} },
			d.saysShare("certified", lim.MinCertPct, func(s *Season) *optimize.Limit { return &s.Limits.MinCertPct }, (*Plan).CertifiedPct)})
	}
	if lim.MaxSuppliers.Set {
		out = append(out, giving{"suppliers", func(s *Season) { s.Limits.MaxSuppliers = optimize.Limit{} }, d.saysSuppliers})
	}
	if slices.ContainsFunc(s.Suppliers, func(s Supplier) bool { return s.MinOrder.IsPositive() }) {
		out = append(out, giving{"minimum", func(s *Season) {
			for i := range s.Suppliers {
				s.Suppliers[i].MinOrder = decimal.Zero
			}
		}, d.saysMinOrder})
	}
	if slices.ContainsFunc(s.Lots, func(l Lot) bool { return l.MinSteps > 1 }) {
		out = append(out, giving{"minimum", func(s *Season) {
			for i := range s.Lots {
				s.Lots[i].MaxSteps = max(s.Lots[i].MaxSteps, 0)
				s.Lots[i].MinSteps = min(s.Lots[i].MinSteps, 1)
			}
		}, d.saysMinSteps})
	}
	return append(out, giving{"wood", d.plenty, d.saysWood})
}

// plenty adds to each lot, after all lots there are, as much again as the season could use, at a price that leaves it for the last; of stock,
// which cannot be ordered, at a price that leaves it for the very last.
func (d *diagnosis) plenty(s *Season) {
	strips := 0
	for i := range s.Models {
		for _, st := range s.Models[i].Program.Board.Strips() {
			strips += st.Pieces * s.Models[i].Build
		}
	}
	for i := range d.s.Lots {
		l := d.s.Lots[i]
		var most int64
		for _, u := range l.Uses {
			most = max(most, u.Parts)
		}
		l.MinSteps, l.MaxSteps = 0, int((most*int64(strips)+l.StepParts-1)/l.StepParts)
		l.Tiers = []Tier{{From: 1, Each: l.beyondPrice()}}
		s.Lots = append(s.Lots, l)
	}
}

// beyondPrice is what a step of a lot beyond what there is costs in a diagnosis: so many times its price that as little as possible is asked for.
func (l *Lot) beyondPrice() decimal.Decimal {
	factor := int64(100)
	if l.Stock {
		factor = 1000
	}
	return l.lastPrice().Add(decimal.NewFromInt(1)).Mul(decimal.NewFromInt(factor))
}

// lastPrice is what a step costs at a lot's last price.
func (l *Lot) lastPrice() decimal.Decimal { return l.Tiers[len(l.Tiers)-1].Each }

// cost is what a plan of a changed season costs, planks beyond what there is at their usual price.
func (d *diagnosis) cost(p *Plan) decimal.Decimal {
	c := p.Exact
	for i := range p.Lines {
		if k := p.Lines[i].Lot - len(d.s.Lots); k >= 0 {
			l := &d.s.Lots[k]
			c = c.Sub(l.beyondPrice().Sub(l.lastPrice()).Mul(decimal.NewFromInt(int64(p.Lines[i].Steps))))
		}
	}
	return c
}

func (d *diagnosis) saysMoney(_ context.Context, p *Plan) ([]Lack, []string) {
	lim := &d.s.Limits.Budget
	need := d.cost(p).RoundCeil(cents)
	by := Range{Known: true, High: need.Sub(lim.Value)}
	if !by.High.IsPositive() {
		return nil, nil
	}
	says, remedy := "the cheapest plan costs "+d.money(need), fmt.Sprintf("raise the budget by %s to %s", d.money(by.High), d.money(need))
	switch beyond := len(p.Lines) > 0 && p.Lines[len(p.Lines)-1].Lot >= len(d.s.Lots); { // then the plan is not the cheapest, but the one that lacks least wood
	case p.Proven && !beyond:
		by.Low = by.High
	case beyond || p.Bound.LessThanOrEqual(lim.Value): // that there is no plan within the budget is known
		says = "the cheapest plan found costs " + d.money(need)
	default:
		by.Low = p.Bound.Sub(lim.Value)
		says = fmt.Sprintf("the cheapest plan found costs %s, and none costs less than %s", d.money(need), d.money(p.Bound))
		remedy += fmt.Sprintf("; at least %s more are needed", d.money(by.Low))
	}
	words := by.Words(d.s.Currency)
	return []Lack{{What: "money", By: words, Money: by, Says: fmt.Sprintf("the budget of %s%s is %s short: %s", d.money(lim.Value), inCell(lim.Where), words, says)}}, []string{remedy}
}

// shareStep is the step in which a share that can be had is told, %.
const shareStep = 0.1

// saysShare looks for the greatest share that can be had with everything else kept.
func (d *diagnosis) saysShare(what string, lim optimize.Limit, of func(*Season) *optimize.Limit, has func(*Plan) float64) func(context.Context, *Plan) ([]Lack, []string) {
	return func(ctx context.Context, p *Plan) ([]Lack, []string) {
		steps := func(pct float64) int { return int(math.Floor(pct/shareStep + 1e-6)) }
		low, high := steps(has(p)), int(math.Ceil(lim.Value/shareStep-1e-6))
		most := "the most there can be is"
		if ctx == nil {
			most = "the plan has"
		}
		for ctx != nil && high-low > 1 {
			s := *d.s
			mid := (low + high) / 2
			of(&s).Value = float64(mid) * shareStep
			q, err := d.solve(ctx, &s, 100) // any plan will do
			if err != nil || ctx.Err() != nil {
				most = "the most that was found in the time is"
				break
			}
			if q == nil {
				high = mid
			} else {
				low = max(mid, min(steps(has(q)), high-1))
			}
		}
		can := float64(low) * shareStep
		if can >= lim.Value {
			return nil, nil
		}
		by := fixed(lim.Value-can, shareStep) + " %"
		return []Lack{{What: "share", By: by, Says: fmt.Sprintf("%s %% of the strips are to be %s%s, and %s %s %%", number(lim.Value), what, inCell(lim.Where), most, fixed(can, shareStep))}},
			[]string{fmt.Sprintf("ask for %s %% of %s strips", fixed(can, shareStep), what)}
	}
}

// FastGrownPct is the share of fast-grown woods in the strips cut, by volume.
func (p *Plan) FastGrownPct() float64 {
	return p.sharePct(func(_ int, k *StripKind) bool { return k.FastGrown })
}

// CertifiedPct is the share of strips cut from certified lots, by volume.
func (p *Plan) CertifiedPct() float64 {
	return p.sharePct(func(lot int, _ *StripKind) bool { return p.Season.Lots[lot].Certified })
}

func (p *Plan) sharePct(of func(lot int, k *StripKind) bool) float64 {
	var all, part int64
	for i := range p.Lines {
		for _, c := range p.Lines[i].Cuts {
			k := &p.Season.Kinds[c.Kind]
			v := k.VolumeMM3 * int64(c.Strips)
			all += v
			if of(p.Lines[i].Lot, k) {
				part += v
			}
		}
	}
	if all == 0 {
		return 0
	}
	return 100 * float64(part) / float64(all)
}

// suppliersOf counts, by wood in the order of the lots, the suppliers that a plan buys it from.
func (d *diagnosis) suppliersOf(p *Plan) (woods []string, count map[string]int) {
	from := map[string]map[int]bool{}
	count = map[string]int{}
	for i := range p.Lines {
		l, w := &p.Season.Lots[p.Lines[i].Lot], p.Season.wood(p.Lines[i].Lot)
		if l.Stock {
			continue
		}
		if from[w] == nil {
			woods, from[w] = append(woods, w), map[int]bool{}
		}
		from[w][l.Supplier] = true
		count[w] = len(from[w])
	}
	return woods, count
}

func (d *diagnosis) saysSuppliers(ctx context.Context, p *Plan) ([]Lack, []string) {
	lim := d.s.Limits.MaxSuppliers
	for n := math.Floor(lim.Value) + 1; ctx != nil; n++ { // the least number that has a plan
		if int(n) >= len(d.s.Suppliers) {
			break
		}
		s := *d.s
		s.Limits.MaxSuppliers.Value = n
		q, err := d.solve(ctx, &s, DefaultGapPct)
		if err != nil || ctx.Err() != nil {
			break
		}
		if q != nil {
			p = q
			break
		}
	}
	var lacks []Lack
	most := 0
	woods, count := d.suppliersOf(p)
	for _, w := range woods {
		if n := count[w]; float64(n) > lim.Value {
			lacks = append(lacks, Lack{What: "suppliers", Wood: w, By: fmt.Sprintf("%d more", n-int(lim.Value)),
				Says: fmt.Sprintf("%s has to come from %d suppliers; at most %s are allowed%s", d.s.woodName(w), n, number(lim.Value), inCell(lim.Where))})
			most = max(most, n)
		}
	}
	if lacks == nil {
		return nil, nil
	}
	return lacks, []string{fmt.Sprintf("allow %d suppliers per wood", most)}
}

func (d *diagnosis) saysMinOrder(_ context.Context, p *Plan) (lacks []Lack, remedies []string) {
	goods := map[int]decimal.Decimal{}
	for i := range p.Lines {
		if l := &p.Season.Lots[p.Lines[i].Lot]; !l.Stock {
			g, _ := l.Stepped(p.Lines[i].Steps)
			goods[l.Supplier] = goods[l.Supplier].Add(g)
		}
	}
	for i := range d.s.Suppliers {
		sup := &d.s.Suppliers[i]
		g, ordered := goods[i]
		if by := sup.MinOrder.Sub(g); ordered && by.IsPositive() {
			lacks = append(lacks, Lack{What: "minimum", By: d.money(by),
				Says: fmt.Sprintf("the order from %s would be worth %s, %s less than its minimum of %s", sup.Name, d.money(g), d.money(by), d.money(sup.MinOrder))})
			remedies = append(remedies, fmt.Sprintf("have %s accept an order of %s", sup.Name, d.money(g)))
		}
	}
	return lacks, asOne(remedies)
}

func (d *diagnosis) saysMinSteps(_ context.Context, p *Plan) (lacks []Lack, remedies []string) {
	for i := range p.Lines {
		k := p.Lines[i].Lot
		if k >= len(d.s.Lots) {
			continue
		}
		l := &d.s.Lots[k]
		if n := p.Lines[i].Steps; n < l.MinSteps {
			least := l.StepQuantity.Mul(decimal.NewFromInt(int64(l.MinSteps)))
			lacks = append(lacks, Lack{What: "minimum", Wood: d.s.wood(k), By: d.s.quantity(k, l.MinSteps-n),
				Says: fmt.Sprintf("%s is sold from %s on, and a plan needs %s of it", d.s.goods(k), least, d.s.quantity(k, n))})
			remedies = append(remedies, fmt.Sprintf("have %s sell %s of %s", d.s.Suppliers[l.Supplier].Name, d.s.quantity(k, n), d.s.goods(k)))
		}
	}
	return lacks, asOne(remedies)
}

func (d *diagnosis) saysWood(_ context.Context, p *Plan) (lacks []Lack, remedies []string) {
	for i := range p.Lines {
		k := p.Lines[i].Lot - len(d.s.Lots)
		if k < 0 {
			continue
		}
		n, by := d.s.quantity(k, p.Lines[i].Steps), ""
		for _, c := range p.Lines[i].Cuts {
			if need := d.s.Kinds[c.Kind].NeededBy; need != "" && (by == "" || need < by) {
				by = need
			}
		}
		if by != "" {
			by = " by " + by
		}
		w := d.s.wood(k)
		lacks = append(lacks, Lack{What: "wood", Wood: w, By: n,
			Says: fmt.Sprintf("%s is short: it takes %s of %s%s more than there are", d.s.woodName(w), n, d.s.goods(k), by)})
		if d.s.Lots[k].Stock {
			remedies = append(remedies, fmt.Sprintf("%s more%s like those in stock, of %s", n, by, d.s.woodName(w)))
		} else {
			remedies = append(remedies, fmt.Sprintf("%s more of %s%s", n, d.s.goods(k), by))
		}
	}
	return lacks, asOne(remedies)
}

// asOne makes one remedy of what has to be done together.
func asOne(remedies []string) []string {
	if len(remedies) < 2 {
		return remedies
	}
	return []string{strings.Join(remedies, ", and ")}
}

// woodName is a wood's common name, or its id.
func (s *Season) woodName(id string) string {
	for i := range s.Models {
		for _, w := range s.Models[i].Program.Board.Woods {
			if w.ID == id && w.CommonName != "" {
				return w.CommonName
			}
		}
	}
	return id
}

// goods names what a lot is: "European beech 26 mm from Invented supplier 1".
func (s *Season) goods(lot int) string {
	l := &s.Lots[lot]
	name := s.woodName(s.wood(lot))
	if l.Offer != nil && l.Offer.Plank.ThicknessMM > 0 {
		name += " " + number(l.Offer.Plank.ThicknessMM) + " mm"
	}
	if l.Stock {
		return name + " from stock"
	}
	return name + " from " + s.Suppliers[l.Supplier].Name
}

// quantity is a number of steps as planks.
func (s *Season) quantity(lot, steps int) string {
	planks := decimal.NewFromInt(s.Lots[lot].StepParts).Mul(decimal.NewFromInt(int64(steps))).DivRound(decimal.NewFromInt(PlankParts), 1)
	if planks.Equal(decimal.NewFromInt(1)) {
		return "1 plank"
	}
	return planks.String() + " planks"
}
