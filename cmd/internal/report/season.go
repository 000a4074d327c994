package report

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// A Season is what the season's orders are shown from: the plan that was asked for, and what it is set against.
type Season struct {
	Plan     *optimize.SeasonPlan
	Shop     sourcing.Shop        // the sawing that yields rest on
	First    *optimize.SeasonPlan // layouts chosen first, bought for after; nil: not asked for, or FirstWhy says why there is none
	FirstWhy string
	Kept     *optimize.SeasonPlan // every layout kept; nil likewise
	KeptWhy  string
	WhatIfs  []optimize.WhatIf
	Steps    []optimize.SeasonStep // of the season's fast-grown share
}

// A seasonLine is a line of a plan as every output reads it.
type seasonLine struct {
	number   int // from 1, over the whole plan
	line     *optimize.SeasonLine
	lot      *optimize.Lot
	order    *sourcing.Order
	wood     string
	planks   decimal.Decimal
	m3       decimal.Decimal
	own      decimal.Decimal // goods in the supplier's currency, to the cent
	ownMoved decimal.Decimal // freight by volume in the supplier's currency, to the cent
	needed   string          // the earliest day that something cut from it is needed; empty: no model says
	orderBy  string          // the last day to order it; empty: not known
}

// An orderView is what one supplier gets.
type orderView struct {
	order    *optimize.SeasonOrder
	supplier *optimize.SeasonSupplier
	lines    []*seasonLine
	perOrder decimal.Decimal // freight per order, in the job's money
	orderBy  string
	own      ownTotals
}

// ownTotals are an order's amounts in the supplier's currency, each to the cent.
type ownTotals struct{ goods, perOrder, byVolume, total decimal.Decimal }

// A kindCount is a kind of strip that the plan needs.
type kindCount struct {
	kind   *optimize.StripKind
	index  int
	needed int
	models []string
}

// A seasonView is a season as every output reads it.
type seasonView struct {
	*Season
	p      *optimize.SeasonPlan
	s      *optimize.Season
	lines  []*seasonLine
	orders []orderView
	kinds  []kindCount
	stock  []*seasonLine
	marked []woodMark
}

func newSeasonView(r *Season) (*seasonView, error) {
	v := &seasonView{Season: r, p: r.Plan, s: r.Plan.Season}
	for i := range v.p.Lines {
		l, err := v.line(i)
		if err != nil {
			return nil, err
		}
		v.lines = append(v.lines, l)
		if l.lot.Stock {
			v.stock = append(v.stock, l)
		}
	}
	for i := range v.p.Orders {
		v.orders = append(v.orders, v.order(&v.p.Orders[i]))
	}
	if err := v.countKinds(); err != nil {
		return nil, err
	}
	v.mark()
	return v, nil
}

func (v *seasonView) line(i int) (*seasonLine, error) {
	l := &seasonLine{number: i + 1, line: &v.p.Lines[i], lot: &v.s.Lots[v.p.Lines[i].Lot]}
	var err error
	if l.order, err = sourcing.NewOrder(l.lot.Offer); err != nil {
		return nil, fmt.Errorf("%s: %w", offerPlace(l.lot.Offer), err)
	}
	l.wood = l.lot.Offer.Wood
	l.planks = l.order.Planks(l.line.Steps)
	l.m3 = l.lot.StepM3.Mul(decimal.NewFromInt(int64(l.line.Steps)))
	for _, c := range l.line.Cuts {
		if by := v.s.Kinds[c.Kind].NeededBy; by != "" && (l.needed == "" || by < l.needed) {
			l.needed = by
		}
	}
	if !l.lot.Stock {
		sup := &v.s.Suppliers[l.lot.Supplier]
		goods, freight := l.lot.Stepped(l.line.Steps)
		l.own, l.ownMoved = inCurrency(goods, sup.Rate), inCurrency(freight, sup.Rate)
		l.orderBy = l.lot.ValidUntil
		if last := lastDay(l.needed, l.lot.Offer); last != "" && (l.orderBy == "" || last < l.orderBy) {
			l.orderBy = last
		}
	}
	return l, nil
}

// lastDay is the last day to order an offer that is needed by a day; empty when its sheet promises a day of its own.
func lastDay(needed string, o *sourcing.Offer) string {
	t, err := time.Parse(time.DateOnly, needed)
	if err != nil || !o.ReadyOn.IsZero() {
		return ""
	}
	return t.AddDate(0, 0, -o.LeadTimeDays).Format(time.DateOnly)
}

// inCurrency is job money in a currency, to the cent, half up.
func inCurrency(job, rate decimal.Decimal) decimal.Decimal {
	return decimal.NewFromBigRat(new(big.Rat).Quo(job.Rat(), rate.Rat()), 2)
}

func (v *seasonView) order(o *optimize.SeasonOrder) orderView {
	out := orderView{order: o, supplier: &v.s.Suppliers[o.Supplier]}
	out.perOrder = out.supplier.Freight.Round(2)
	out.own.perOrder = inCurrency(out.supplier.Freight, out.supplier.Rate)
	for _, l := range v.lines {
		if l.lot.Stock || l.lot.Supplier != o.Supplier {
			continue
		}
		out.lines = append(out.lines, l)
		out.own.goods = out.own.goods.Add(l.own)
		out.own.byVolume = out.own.byVolume.Add(l.ownMoved)
		if l.orderBy != "" && (out.orderBy == "" || l.orderBy < out.orderBy) {
			out.orderBy = l.orderBy
		}
	}
	out.own.total = out.own.goods.Add(out.own.perOrder).Add(out.own.byVolume)
	return out
}

func (v *seasonView) countKinds() error {
	counts := make([]kindCount, len(v.s.Kinds))
	for m := range v.s.Models {
		per, err := v.s.StripsPerBoard(m, v.p.Layouts[m])
		if err != nil {
			return err
		}
		for k, n := range per {
			counts[k].needed += n * v.s.Models[m].Build
			counts[k].models = append(counts[k].models, v.s.Models[m].Program.Model)
		}
	}
	for k := range counts {
		if counts[k].needed > 0 {
			counts[k].kind, counts[k].index = &v.s.Kinds[k], k
			v.kinds = append(v.kinds, counts[k])
		}
	}
	return nil
}

// mark gives every wood of the plan one letter and one colour, the same in every model.
func (v *seasonView) mark() {
	used := map[string]species.Wood{}
	var order []string
	for m := range v.s.Models {
		b := v.s.Models[m].Program.Board
		shown := shownWoods(b, []core.Layout{v.p.Layouts[m]})
		for i, w := range b.Woods {
			if _, have := used[w.ID]; shown[i] && !have {
				used[w.ID] = w
				order = append(order, w.ID)
			}
		}
	}
	slices.Sort(order)
	b := &core.Board{}
	all := core.Layout{}
	for i, id := range order {
		b.Woods = append(b.Woods, used[id])
		all = append(all, i)
	}
	v.marked, _ = woodMarks(&optimize.Program{}, b, []core.Layout{all})
}

// boards are those to build, and of them those sold.
func (v *seasonView) boards() (build, sold int) {
	for _, m := range v.s.Models {
		build, sold = build+m.Build, sold+m.Sold
	}
	return build, sold
}

// shares are the fast-grown and certified parts of the season, %.
type shares struct{ fast, cert, fastBought float64 }

// share reckons them by the volume of the strips as cut, and the fast-grown one by the lumber bought and taken from stock besides.
func (v *seasonView) share() shares {
	var all, fast, cert int64
	bought, boughtFast := decimal.Zero, decimal.Zero
	for _, l := range v.lines {
		bought = bought.Add(l.m3)
		for i, c := range l.line.Cuts {
			k := &v.s.Kinds[c.Kind]
			volume := k.VolumeMM3 * int64(c.Strips)
			all += volume
			if k.FastGrown {
				fast += volume
				if i == 0 { // a lot is of one wood
					boughtFast = boughtFast.Add(l.m3)
				}
			}
			if l.lot.Certified {
				cert += volume
			}
		}
	}
	return shares{percent(float64(fast), float64(all)), percent(float64(cert), float64(all)), percent(boughtFast.InexactFloat64(), bought.InexactFloat64())}
}

// planTotals are a plan's amounts by what they are for; they add up to its cost.
type planTotals struct{ goods, freight, stock decimal.Decimal }

func totalsOf(p *optimize.SeasonPlan) planTotals {
	var t planTotals
	for _, o := range p.Orders {
		t.goods, t.freight = t.goods.Add(o.Goods), t.freight.Add(o.Freight)
	}
	for _, l := range p.Lines {
		if p.Season.Lots[l.Lot].Stock {
			t.stock = t.stock.Add(l.Goods).Add(l.Freight)
		}
	}
	return t
}

// leftPlanks is what of a line's planks nothing is cut from, in planks.
func (l *seasonLine) leftPlanks() decimal.Decimal {
	return decimal.NewFromInt(l.line.LeftParts).Div(decimal.NewFromInt(optimize.PlankParts)).Round(2)
}

// use is how a line's lot gives a kind.
func (l *seasonLine) use(kind int) *optimize.KindUse {
	i := slices.IndexFunc(l.lot.Uses, func(u optimize.KindUse) bool { return u.Kind == kind })
	return &l.lot.Uses[i] // a plan cuts nothing else
}

// kindOf is the kind of strip that a model takes of a wood at a position.
func (v *seasonView) kindOf(m, position int, wood string) *optimize.StripKind {
	p := v.s.Models[m].Program
	i := slices.IndexFunc(p.Candidates, func(c optimize.Candidate) bool { return p.Board.Woods[c.Wood].ID == wood })
	return &v.s.Kinds[v.s.Models[m].Kind[position][i]] // counting the strips has looked at all of them
}

// itemName is what a supplier calls the wood.
func (l *seasonLine) itemName() string { return clean(cmp.Or(l.lot.Offer.Name, l.wood)) }

// packs is the number of packs of a line that is sold by the pack; 0 otherwise.
func (l *seasonLine) packs() int {
	if l.lot.Offer.PackSize.Sign() > 0 {
		return l.line.Steps
	}
	return 0
}

// quantity is what is ordered, in the offer's unit, at most 6 decimals.
func (l *seasonLine) quantity() decimal.Decimal { return l.line.Quantity.Round(6) }

// unitPrice is the price per unit of the first unit, or with breaks for all units of those ordered.
func (l *seasonLine) unitPrice() decimal.Decimal {
	if l.lot.Offer.Incremental {
		return l.lot.Offer.Price
	}
	price, n := l.lot.Offer.Price, l.line.Quantity
	for _, b := range l.lot.Offer.Breaks {
		if n.GreaterThanOrEqual(b.From) {
			price = b.Price
		}
	}
	return price
}

// inParts reports whether parts of a line's quantity have different prices.
func (l *seasonLine) inParts() bool { return l.lot.Offer.Incremental && l.priceWords() != "" }

// priceWords says which of several prices hold for a line; empty where there is one.
func (l *seasonLine) priceWords() string {
	o, n := l.lot.Offer, l.line.Quantity
	if len(o.Breaks) == 0 {
		return ""
	}
	unit := unitName(o.Unit)
	if !o.Incremental {
		words := ""
		for _, b := range o.Breaks {
			if n.GreaterThanOrEqual(b.From) {
				words = fmt.Sprintf("price from %s %s, for the whole quantity", b.From, unit)
			}
		}
		return words
	}
	words := ""
	for _, b := range o.Breaks {
		if n.GreaterThan(b.From) {
			words += fmt.Sprintf("; above %s %s %s", b.From, unit, sheetPrice(b.Price))
		}
	}
	if words == "" {
		return ""
	}
	return sheetPrice(o.Price) + words
}

// unitName is a unit as an order writes it.
func unitName(u sourcing.Unit) string {
	short := map[sourcing.Unit]string{sourcing.PerM3: "m³", sourcing.PerBoardFoot: "bf", sourcing.PerMBF: "MBF", sourcing.PerMetre: "m", sourcing.PerFoot: "ft",
		sourcing.PerPiece: "pcs", sourcing.PerSquareMetre: "m²"}
	return cmp.Or(short[u], clean(string(u)))
}

// kindSize is the size of a kind of strip.
func kindSize(k *optimize.StripKind) string {
	return trimmed(k.WidthMM) + "×" + trimmed(k.ThicknessMM) + "×" + size(k.LengthMM) + " mm"
}

// proof says how far the plan is proven.
func (v *seasonView) proof() (head, text string) {
	cur := clean(v.s.Currency)
	what := map[optimize.SeasonMode]string{optimize.SeasonJoint: "no choice of layouts and orders within these limits costs less",
		optimize.SeasonKeep: "no orders for these layouts cost less", optimize.SeasonFirst: "no orders for these layouts cost less"}[v.p.Mode]
	if v.p.Proven {
		return "Proven", what + "."
	}
	if v.p.Bound.Sign() == 0 {
		return "NOT PROVEN", cmp.Or(clean(v.p.Why), "stopped early") + "; the plan keeps every limit; how much less another could cost was not found out."
	}
	return "NOT PROVEN", fmt.Sprintf("%s; the plan keeps every limit, and no plan costs less than %s %s, %s %% below it.", cmp.Or(clean(v.p.Why), "stopped early"),
		amount(v.p.Bound, 2), cur, Fixed(v.p.GapPct(), 3))
}

// modeWords says what was free.
func (v *seasonView) modeWords() string {
	switch v.p.Mode {
	case optimize.SeasonKeep:
		return "Every layout is kept; the orders are decided."
	case optimize.SeasonFirst:
		return "Every model takes the layout whose strips are cheapest by themselves; the orders are decided after."
	}
	return "Layouts of all models and orders are decided together, for the least landed cost."
}

// A comparedPlan is a plan that the season's is set against.
type comparedPlan struct {
	name  string
	plan  *optimize.SeasonPlan
	saved decimal.Decimal
	pct   float64
	why   string
}

// against are the plans that the season's is set against, as far as they were asked for.
func (v *seasonView) against() []comparedPlan {
	var out []comparedPlan
	for _, c := range []comparedPlan{{name: "Layouts first, orders after", plan: v.First, why: v.FirstWhy}, {name: "Layouts kept", plan: v.Kept, why: v.KeptWhy}} {
		if c.plan == nil && c.why == "" {
			continue
		}
		if c.plan != nil {
			c.saved = c.plan.Cost.Sub(v.p.Cost)
			c.pct = percent(c.saved.InexactFloat64(), c.plan.Cost.InexactFloat64())
		}
		out = append(out, c)
	}
	return out
}

// savedWords says what deciding together saves against another way.
func (v *seasonView) savedWords(c comparedPlan) string {
	cur := clean(v.s.Currency)
	if c.plan == nil {
		return c.name + ": " + strings.TrimSuffix(clean(c.why), ".") + "."
	}
	words := fmt.Sprintf("%s: %s %s", c.name, amount(c.plan.Cost, 2), cur)
	switch {
	case c.plan.Proven:
	case c.plan.Bound.Sign() == 0:
		words += " (not proven)"
	default:
		words += fmt.Sprintf(" (not proven; at least %s)", amount(c.plan.Bound, 2))
	}
	switch c.saved.Sign() {
	case 0:
		return words + "; the same."
	case 1:
		return words + fmt.Sprintf("; deciding together saves %s %s (%s %%).", amount(c.saved, 2), cur, Fixed(c.pct, 2))
	}
	return words + fmt.Sprintf("; %s %s less than this plan, which is not proven.", amount(c.saved.Neg(), 2), cur)
}

// limitWords are the season's own limits and how the plan stands to them.
func (v *seasonView) limitWords() []string {
	var out []string
	l, sh := v.s.Limits, v.share()
	if l.Budget.Set {
		out = append(out, fmt.Sprintf("Budget %s %s (%s): %s are left.", amount(l.Budget.Value, 2), clean(v.s.Currency), clean(l.Budget.Where), amount(l.Budget.Value.Sub(v.p.Cost), 2)))
	}
	if l.MinFastPct.Set {
		out = append(out, fmt.Sprintf("Fast-grown at least %s %% (%s): %s %%.", trimmed(l.MinFastPct.Value), clean(l.MinFastPct.Where), Fixed(sh.fast, 2)))
	}
	if l.MinCertPct.Set {
		out = append(out, fmt.Sprintf("Certified at least %s %% (%s): %s %%.", trimmed(l.MinCertPct.Value), clean(l.MinCertPct.Where), Fixed(sh.cert, 2)))
	}
	if l.MaxSuppliers.Set {
		out = append(out, fmt.Sprintf("At most %s suppliers per wood (%s).", trimmed(l.MaxSuppliers.Value), clean(l.MaxSuppliers.Where)))
	}
	return out
}

// leftOutWords are the offers that give nothing to this season, or less than they could, by reason.
func (v *seasonView) leftOutWords() []leftOutGroup {
	var out []leftOutGroup
	for _, l := range v.s.LeftOut {
		name := clean(l.Offer.Wood) + " (" + offerPlace(l.Offer) + ")"
		why := clean(l.Why)
		if l.Part {
			why = "for some strips only: " + why
		}
		i := slices.IndexFunc(out, func(g leftOutGroup) bool { return g.why == why })
		if i < 0 {
			i = len(out)
			out = append(out, leftOutGroup{why: why})
		}
		out[i].woods = append(out[i].woods, name)
	}
	return out
}

// modelLayout is a model's layout in letters.
func (v *seasonView) modelLayout(m int, read reading) string {
	return strings.Join(read.strips(v.p.Points[m].Runs), "|")
}

// isKept reports whether a model has the woods that it would keep, position by position: those chosen before, or the reference's. Which of a
// position's strips stands where is not looked at.
func (v *seasonView) isKept(m int) bool {
	model := &v.s.Models[m]
	keep := model.Kept
	if keep == nil {
		keep = model.Program.Reference
	}
	if keep == nil || len(keep) != len(v.p.Layouts[m]) {
		return false
	}
	change := map[[2]int]int{} // by position and wood
	for i, strip := range model.Program.Board.Strips() {
		change[[2]int{strip.Position, keep[i]}] += strip.Pieces
		change[[2]int{strip.Position, v.p.Layouts[m][i]}] -= strip.Pieces
	}
	for _, n := range change {
		if n != 0 {
			return false
		}
	}
	return true
}
