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
	"stavewright/optimize/season"
	"stavewright/sourcing"
	"stavewright/species"
)

// A Season is what the season's orders are shown from: the plan that was asked for, and what it is compared with.
type Season struct {
	*season.Answers
	Shop sourcing.Shop // the sawing that yields rest on
}

// A seasonLine is a line of a plan as every output reads it.
type seasonLine struct {
	number   int // from 1, over the whole plan
	line     *season.Line
	lot      *season.Lot
	order    *sourcing.Order
	wood     string
	planks   decimal.Decimal
	m3       decimal.Decimal
	own      decimal.Decimal // goods in the supplier's currency, to the cent
	ownMoved decimal.Decimal // freight by volume in the supplier's currency, to the cent
	needed   string          // the earliest day that something cut from it is needed; empty: no model says
	wanted   string          // the day the supplier has to have delivered it: needed, less the days of conditioning
	orderBy  string          // the last day to order it; empty: not known
}

// An orderView is what one supplier gets.
type orderView struct {
	order    *season.Order
	supplier *season.Supplier
	lines    []*seasonLine
	perOrder decimal.Decimal // freight per order, in the job's money
	orderBy  string
	own      ownTotals
}

// ownTotals are an order's amounts in the supplier's currency, each to the cent.
type ownTotals struct{ goods, perOrder, byVolume, total decimal.Decimal }

// A kindCount is a kind of strip that the plan needs.
type kindCount struct {
	kind   *season.StripKind
	index  int
	needed int
	models []string
}

// A seasonView is a season as every output reads it.
type seasonView struct {
	*Season
	p      *season.Plan
	s      *season.Season
	lines  []*seasonLine
	orders []orderView
	kinds  []kindCount
	stock  []*seasonLine
	parts  []season.Part     // by model
	today  []*optimize.Point // by model: the layout it keeps; nil: it has none
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
	var err error
	if v.parts, err = v.p.Parts(); err != nil {
		return nil, err
	}
	v.today = make([]*optimize.Point, len(v.s.Models))
	for m, model := range v.s.Models {
		p := *model.Program
		p.Reference = model.KeptLayout()
		if v.today[m], err = referencePoint(&p, p.Board); err != nil {
			return nil, err
		}
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
	l.wanted = daysBefore(l.needed, l.lot.Conditioning)
	if !l.lot.Stock {
		sup := &v.s.Suppliers[l.lot.Supplier]
		goods, freight := l.lot.Stepped(l.line.Steps)
		l.own, l.ownMoved = inCurrency(goods, sup.Rate), inCurrency(freight, sup.Rate)
		l.orderBy = l.lot.ValidUntil
		if last := daysBefore(l.wanted, l.lot.Offer.LeadTimeDays); last != "" && (l.orderBy == "" || last < l.orderBy) {
			l.orderBy = last
		}
	}
	return l, nil
}

// daysBefore is the day that is so many days before another; empty when that is.
func daysBefore(day string, days int) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return ""
	}
	return t.AddDate(0, 0, -days).Format(time.DateOnly)
}

// inCurrency is job money in a currency, to the cent, half up.
func inCurrency(job, rate decimal.Decimal) decimal.Decimal {
	return decimal.NewFromBigRat(new(big.Rat).Quo(job.Rat(), rate.Rat()), 2)
}

func (v *seasonView) order(o *season.Order) orderView {
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

// share computes them from the volume of the strips as cut, and the fast-grown one also from the lumber bought and taken from stock.
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

func totalsOf(p *season.Plan) planTotals {
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
	return decimal.NewFromInt(l.line.LeftParts).Div(decimal.NewFromInt(season.PlankParts)).Round(2)
}

// use is how a line's lot gives a kind.
func (l *seasonLine) use(kind int) *season.KindUse {
	i := slices.IndexFunc(l.lot.Uses, func(u season.KindUse) bool { return u.Kind == kind })
	return &l.lot.Uses[i] // a plan cuts nothing else
}

// kindOf is the kind of strip that a model takes of a wood at a position.
func (v *seasonView) kindOf(m, position int, wood string) *season.StripKind {
	p := v.s.Models[m].Program
	i := slices.IndexFunc(p.Candidates, func(c optimize.Candidate) bool { return p.Board.Woods[c.Wood].ID == wood })
	return &v.s.Kinds[v.s.Models[m].Kind[position][i]] // counting the strips has looked at all of them
}

// dryWords say from when on a line can be used that has to be conditioned first; empty for others.
func (l *seasonLine) dryWords() string {
	if l.lot.Conditioning == 0 {
		return ""
	}
	words := "needs " + count(l.lot.Conditioning, "day") + " of conditioning"
	if l.lot.UsableFrom != "" {
		words += ", usable from " + l.lot.UsableFrom
	}
	return words
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
func kindSize(k *season.StripKind) string {
	return trimmed(k.WidthMM) + "×" + trimmed(k.ThicknessMM) + "×" + size(k.LengthMM) + " mm"
}

// proof says how far the plan is proven.
func (v *seasonView) proof() (head, text string) {
	what := "no plan for these layouts is cheaper"
	if v.p.Mode == season.Joint {
		what = "no plan is cheaper"
	}
	within := fmt.Sprintf("%s by more than %s %s (%s %%).", what, amount(v.p.Cost.Sub(v.p.Bound), 2), clean(v.s.Currency), Fixed(v.p.GapPct(), 3))
	why := cmp.Or(clean(v.p.Why), "stopped early") + "; the plan keeps every limit, "
	switch {
	case v.p.Proven:
		return "Proven", what + "."
	case v.p.Done:
		return "Done", within
	case v.p.Bound.IsZero():
		return "NOT PROVEN", why + "but how much cheaper another could be is not known."
	}
	return "NOT PROVEN", why + "and " + within
}

// modeWords says what was free.
func (v *seasonView) modeWords() string {
	switch v.p.Mode {
	case season.Keep:
		return "Every layout is kept; the orders are decided."
	case season.First:
		return "Every model takes the layout whose strips are cheapest by themselves; the orders are decided after."
	}
	return "Layouts of all models and orders are decided together, for the least landed cost."
}

// A comparedPlan is another way that the season's plan is compared with. What deciding together saves is by how much that way is dearer.
type comparedPlan struct {
	name string
	*season.Answer
}

// against are the ways that the season's plan is compared with, as far as they were asked for.
func (v *seasonView) against() []comparedPlan {
	var out []comparedPlan
	for _, c := range []comparedPlan{{"Layouts first, orders after", v.First}, {"Layouts kept", v.Kept}} {
		if c.Answer != nil {
			out = append(out, c)
		}
	}
	return out
}

// savedWords says what deciding together saves against another way.
func (v *seasonView) savedWords(c comparedPlan) string {
	cur := clean(v.s.Currency)
	if c.Plan == nil {
		return c.name + ": " + strings.TrimSuffix(clean(c.None.Error()), ".") + "."
	}
	words := fmt.Sprintf("%s: %s %s", c.name, amount(c.Plan.Cost, 2), cur)
	switch {
	case c.Plan.Proven:
	case c.Plan.Bound.IsZero():
		words += " (not proven)"
	default:
		words += fmt.Sprintf(" (not proven; at least %s)", amount(c.Plan.Bound, 2))
	}
	switch r := c.Dearer; {
	case !r.Known:
		return words + "; what deciding together saves is not known."
	case r.Low.IsZero() && r.High.IsZero():
		return words + "; the same."
	case r.Low.IsNegative(): // layouts kept may differ where a recipe asks for one
		return words + "; " + r.Dearer(cur) + "."
	default:
		return words + fmt.Sprintf("; deciding together saves %s (%s).", r.Words(cur), pctWords(r, c.Plan.Cost))
	}
}

// pctWords is an amount that is not below 0 in percent of another.
func pctWords(r season.Range, of decimal.Decimal) string {
	low, high := Fixed(pctOf(r.Low, of), 2), Fixed(pctOf(r.High, of), 2)+" %"
	switch {
	case r.Low.Equal(r.High):
		return high
	case !r.Low.IsPositive():
		return "up to " + high
	}
	return low + " to " + high
}

func pctOf(part, whole decimal.Decimal) float64 {
	return percent(part.InexactFloat64(), whole.InexactFloat64())
}

// recipeWords warns of models that are to get one layout and have several today.
func (v *seasonView) recipeWords() []string {
	a, b := v.s.KeptDiffer()
	if a == "" {
		return nil
	}
	then := "this plan gives them one"
	if v.p.Mode == season.Keep {
		then = "each keeps its own"
	}
	return []string{fmt.Sprintf("%s and %s have one recipe and different layouts today; %s.", clean(a), clean(b), then)}
}

// rideWords say what holds the ride of models without targets, those with equal words together.
func (v *seasonView) rideWords() []string {
	var out, rides []string
	for _, model := range v.s.Models {
		if model.Ride == "" || slices.Contains(rides, model.Ride) {
			continue
		}
		rides = append(rides, model.Ride)
		var names []string
		for _, other := range v.s.Models {
			if other.Ride == model.Ride {
				names = append(names, clean(other.Program.Model))
			}
		}
		out = append(out, list(names, "and")+": "+clean(model.Ride)+".")
	}
	return out
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
	keep := model.KeptLayout()
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
