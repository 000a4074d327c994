package invented

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/season"
	"stavewright/sourcing"
	"stavewright/species"
)

// A feature is something that a factory's season has in addition to whole packs, price breaks and freight.
type feature uint

const (
	yard         feature = 1 << iota // some planks in stock
	fullYard                         // stock of most woods
	incremental                      // at some suppliers a price break holds only for what is above it
	minimums                         // large minimum orders, and minimums per line
	dearFreight                      // a high fixed freight per order
	grades                           // the same plank in two grades: the cheaper one gives fewer strips
	sizes                            // each supplier has planks of two sizes, and short ones do not give every strip
	twoDates                         // two deliveries: some lots are too late for the first
	certifiedPct                     // a least certified share; certified planks cost more
	fastPct                          // a least fast-grown share; fast-grown woods cost more
	oneSupplier                      // per wood
	twoSuppliers                     // per wood
	shortSupply                      // of some woods the cheapest lot is not enough
)

// A factory is a row of the table of factories.
type factory struct {
	name                     string
	models, woods, suppliers int
	has                      feature
	budget                   int64 // EUR; 0: none. Each is 1 % to 3 % above a plan that was found without it.
}

// factories are the rows behind [Factory]. A row's place in the table is its seed, so new rows go to the end. Names that begin with A are
// for tuning, those with B are kept back.
var factories = []factory{
	{"A03", 3, 6, 2, yard | grades, 0},
	{"B03", 3, 7, 3, sizes | incremental, 0},
	{"A04", 4, 7, 3, twoDates | minimums | yard, 0},
	{"B04", 4, 6, 3, grades | dearFreight | twoDates, 0},
	{"A05", 5, 8, 3, sizes | dearFreight | incremental, 0},
	{"B05", 5, 8, 2, fullYard | certifiedPct, 0},
	{"A06", 6, 8, 4, certifiedPct | grades, 0},
	{"B06", 6, 7, 4, minimums | sizes | oneSupplier, 35000},
	{"A07", 7, 8, 3, fastPct | yard | shortSupply, 47500},
	{"B07", 7, 8, 4, fastPct | grades | minimums, 0},
	{"A08", 8, 6, 4, fullYard | incremental | twoSuppliers, 0},
	{"B08", 8, 9, 5, incremental | shortSupply | yard, 69500},
	{"A10", 10, 9, 5, dearFreight | minimums | sizes, 0},
	{"B10", 10, 8, 4, twoDates | grades | twoSuppliers, 0},
	{"A12", 12, 8, 4, grades | twoDates | oneSupplier, 0},
	{"B12", 12, 8, 6, dearFreight | certifiedPct | yard, 0},
	{"A12b", 12, 10, 6, yard | grades, 0},
	{"B12b", 12, 9, 5, sizes | incremental | minimums, 0},
	{"A14", 14, 8, 5, sizes | certifiedPct | fastPct, 0},
	{"B14", 14, 10, 5, fullYard | twoDates | fastPct, 0},
	{"A16", 16, 9, 4, shortSupply | incremental | fullYard, 135500},
	{"B16", 16, 8, 4, grades | shortSupply | dearFreight, 0},
	{"A20", 20, 8, 6, minimums | dearFreight | yard, 0},
	{"B20", 20, 9, 6, sizes | oneSupplier | yard, 156000},
	{"A24", 24, 10, 5, twoDates | sizes | grades, 0},
	{"B24", 24, 8, 5, grades | incremental | minimums, 0},
	{"A30", 30, 8, 6, incremental | certifiedPct | twoSuppliers, 250000},
	{"B30", 30, 10, 6, twoDates | certifiedPct | yard, 0},
	{"A40", 40, 9, 6, grades | yard | minimums, 0},
	{"B40", 40, 8, 6, sizes | fastPct | twoSuppliers, 0},
}

// FactoryNames are the names that [Factory] takes, small seasons first. Those held back are never looked at while a search is tuned.
func FactoryNames() (tuned, held []string) {
	for _, f := range factories {
		if f.name[0] == 'A' {
			tuned = append(tuned, f.name)
		} else {
			held = append(held, f.name)
		}
	}
	return tuned, held
}

const (
	orderingDay = "2027-01-18"
	earlyReady  = "2027-02-22"
	lateReady   = "2027-04-26" // too late for the first delivery

	bestYieldPct, secondYieldPct = 88, 62 // of the two grades
)

// What models and planks are drawn from.
var (
	deliveries  = []string{"2027-03-15", "2027-06-01"}
	blanks      = []sourcing.Blank{{LengthMM: 1720, ThicknessMM: 12}, {LengthMM: 1560, ThicknessMM: 11}, {LengthMM: 1880, ThicknessMM: 13}}
	stripWidths = []float64{10, 8, 12, 15} // mm
	longPlanks  = []sourcing.Plank{{ThicknessMM: 52, WidthMM: 150, LengthMM: 4000}, {ThicknessMM: 40, WidthMM: 180, LengthMM: 3900},
		{ThicknessMM: 65, WidthMM: 130, LengthMM: 4100}, {ThicknessMM: 52, WidthMM: 200, LengthMM: 2050}}
	shortPlanks = []sourcing.Plank{{ThicknessMM: 52, WidthMM: 140, LengthMM: 1800}, {ThicknessMM: 27, WidthMM: 160, LengthMM: 1650}, {ThicknessMM: 40, WidthMM: 120, LengthMM: 3550}}
)

// Factory returns the season of a name from [FactoryNames], made like a factory's: boards narrow as skis and wide as snowboards, strips
// 8 to 15 mm wide, blanks of several lengths, woods of 800 to 4000 EUR/m³ sold in packs, and the features of its row. Every model's reference
// is within its limits. Each wood has one lot that gives every kind of strip in any number, so the references can be bought wherever there is
// no budget.
//
// It panics when there is no such name.
func Factory(name string) *season.Season {
	i := slices.IndexFunc(factories, func(f factory) bool { return f.name == name })
	if i < 0 {
		panic("no factory is called " + name)
	}
	f := factories[i]
	b := &factoryBuilder{factory: f, r: rand.New(rand.NewPCG(uint64(i+1), 47)), s: &season.Season{Currency: "EUR"}}
	if f.has&twoDates != 0 {
		b.s.OrderingDay = orderingDay
	}
	b.chooseWoods()
	for i := range f.models {
		b.addModel(fmt.Sprintf("Model %02d", i+1))
	}
	b.addSuppliers()
	for w := range b.woods {
		b.addLots(w)
	}
	settle(b.s)
	b.limitSeason()
	return b.s
}

// A factoryBuilder makes one season.
type factoryBuilder struct {
	factory
	r     *rand.Rand
	s     *season.Season
	woods []species.Wood
	price []float64 // by wood, EUR/m³ of planks
	used  []float64 // by wood, m³ of strips with every reference kept
	mean  float64   // of used. Lots are sized by both, because a joint plan also buys woods that no reference has
}

func (b *factoryBuilder) is(f feature) bool { return b.has&f != 0 }

func (b *factoryBuilder) between(low, high float64) float64 { return low + (high-low)*b.r.Float64() }

func (b *factoryBuilder) chooseWoods() {
	b.woods = inventedWoods(b.r, b.factory.woods)
	b.used = make([]float64, len(b.woods))
	for i := range b.woods {
		b.woods[i].RotationHighYears = own(60)
		price := 800 + 2*b.woods[i].DensityKgM3.Value + b.between(0, 1700)
		if i%3 == 1 {
			b.woods[i].RotationHighYears = own(25)
			if b.is(fastPct) {
				price *= 1.25
			}
		}
		b.price = append(b.price, min(math.Round(price), 3800))
	}
}

// addModel adds a model with its program, and the kinds of strip that it brings.
func (b *factoryBuilder) addModel(name string) {
	r := b.r
	// Small factories have two lengths and two strip widths, large ones three and four.
	blank := blanks[r.IntN(2+min(1, b.models/10))]
	widths := stripWidths[:2+min(2, b.models/10)]
	m := season.Model{Build: 50 + 10*r.IntN(56)}
	m.Sold = int(float64(m.Build) / []float64{1, 1, 1.03, 1.05}[r.IntN(4)])
	date := ""
	if b.is(twoDates) {
		date = deliveries[r.IntN(2)]
	}
	m.Program = b.program(name, blank, widths)
	board := m.Program.Board
	for pos := range board.Positions {
		kinds := make([]int, len(b.woods))
		for w := range b.woods {
			kinds[w] = -1
			if !m.Program.Candidates[w].At[pos].Allowed {
				continue
			}
			width := board.Positions[pos].StripWidthMM
			k := season.StripKind{Wood: b.woods[w].ID, WidthMM: width, ThicknessMM: blank.ThicknessMM, LengthMM: blank.LengthMM, NeededBy: date,
				FastGrown: m.Program.Candidates[w].FastGrown, VolumeMM3: int64(width * blank.ThicknessMM * blank.LengthMM)}
			kinds[w] = slices.Index(b.s.Kinds, k)
			if kinds[w] < 0 {
				kinds[w] = len(b.s.Kinds)
				b.s.Kinds = append(b.s.Kinds, k)
			}
		}
		m.Kind = append(m.Kind, kinds)
	}
	for i, st := range board.Strips() {
		w := m.Program.Reference[i]
		m3 := float64(m.Build*st.Pieces) * float64(b.s.Kinds[m.Kind[st.Position][w]].VolumeMM3) / 1e9
		b.used[w] += m3
		b.mean += m3 / float64(len(b.woods))
	}
	b.s.Models = append(b.s.Models, m)
}

// program is a model's board with limits around a random layout, its reference.
func (b *factoryBuilder) program(name string, blank sourcing.Blank, widths []float64) *optimize.Program {
	r := b.r
	board := &core.Board{Name: name, Section: core.Bare, Woods: b.woods}
	strips := []int{3 + r.IntN(2), 2 + r.IntN(2), 2, 2 + r.IntN(2), 2 + r.IntN(2)} // a snowboard
	if r.IntN(2) == 0 {
		strips = []int{1 + r.IntN(2), 1, 1 + r.IntN(2), 2, 1 + r.IntN(2)} // a ski
	}
	inner := widths[r.IntN(len(widths))]
	outer := inner
	if r.IntN(3) == 0 {
		outer = widths[r.IntN(len(widths))]
	}
	reach := 0.0
	for i, n := range strips {
		p := core.Position{Name: fmt.Sprintf("P%d", i+1), Strips: n, StripWidthMM: inner}
		if i > 2 {
			p.StripWidthMM = outer
		}
		reach += float64(n) * p.StripWidthMM
		board.Positions = append(board.Positions, p)
	}
	waist := reach - outer*b.between(1.2, 2.4)
	at := func(x float64) float64 { return math.Round(x * blank.LengthMM / 1800) }
	board.Stations = append(board.Stations, core.Station{FromTipMM: 0, WidthMM: math.Round(1.6 * reach), ThicknessMM: 1.8})
	scale := b.between(0.85, 1.15)
	for i, t := range []float64{3.4, 4.6, 5.8, 6.9, 7.6, 7.0, 5.9, 4.7, 3.5} {
		u := math.Abs(float64(i)-4) / 4
		board.Stations = append(board.Stations, core.Station{FromTipMM: at(220 + 140*float64(i)), ThicknessMM: math.Round(100*t*scale) / 100,
			WidthMM: math.Floor(2 * (waist + (reach-waist)*u*u))})
	}
	board.Stations = append(board.Stations, core.Station{FromTipMM: at(1560), WidthMM: math.Round(1.6 * reach), ThicknessMM: 1.8})
	board.MeasureAtMM, board.SpanMM = at(780), at(1000)

	p := &optimize.Program{Model: name, Board: board, Currency: "EUR"}
	p.Limits.FastUpToYears = 30
	for i, w := range b.woods {
		c := optimize.Candidate{Wood: i, FastGrown: w.RotationHighYears.Value <= 30}
		inside := r.IntN(6) > 0 || i == len(b.woods)/2
		for pos := range board.Positions {
			edge := pos == len(board.Positions)-1
			c.At = append(c.At, optimize.Use{Allowed: edge && w.DensityKgM3.Value >= 380 || !edge && inside})
		}
		p.Candidates = append(p.Candidates, c)
	}
	p.Limits.MaxWoods = limit(float64(3 + r.IntN(2)))
	if r.IntN(2) == 0 {
		p.Limits.MinStrips = limit(2)
	}
	p.Reference = b.reference(p)
	fig, err := board.Evaluate(p.Reference)
	if err != nil {
		panic(err)
	}
	for _, k := range []int{3, 5, 7} {
		p.Limits.Windows = append(p.Limits.Windows, window(board, fig, k, float64(2+r.IntN(3))))
	}
	p.Limits.MaxCoreMassG = limit(math.Ceil(fig.CoreMassG * b.between(1, 1.03)))
	return p
}

// reference draws layouts of two to four woods until one keeps the limits that do not depend on it.
func (b *factoryBuilder) reference(p *optimize.Program) core.Layout {
	most := int(p.Limits.MaxWoods.Value)
	for {
		use := b.r.Perm(len(b.woods))[:2+b.r.IntN(most-1)]
		var l core.Layout
		for _, st := range p.Board.Strips() {
			w := use[b.r.IntN(len(use))]
			if !p.Candidates[w].At[st.Position].Allowed {
				break
			}
			l = append(l, w)
		}
		if len(l) < len(p.Board.Strips()) {
			continue
		}
		c, err := optimize.Check(p, l)
		if err != nil {
			panic(err)
		}
		if len(c.Broken) == 0 {
			return l
		}
	}
}

// spend estimates what all planks cost, EUR.
func (b *factoryBuilder) spend() float64 {
	sum := 0.0
	for w, m3 := range b.used {
		sum += m3 * b.price[w] * 1.9 // sawing takes about half
	}
	return sum
}

func (b *factoryBuilder) addSuppliers() {
	for i := range b.suppliers {
		freight, least := b.between(60, 250), 0.0
		if b.is(dearFreight) {
			freight = b.spend() * b.between(0.015, 0.04)
		}
		if b.is(minimums) {
			least = b.spend() * b.between(0.03, 0.16)
		} else if b.r.IntN(3) == 0 {
			least = b.between(300, 1500)
		}
		b.s.Suppliers = append(b.s.Suppliers, season.Supplier{Name: fmt.Sprintf("Invented supplier %d", i+1), Currency: "EUR", Rate: decimal.NewFromInt(1),
			Freight: money(freight, 0), MinOrder: money(least/50, 0).Mul(decimal.NewFromInt(50))})
	}
}

// addLots adds what suppliers and the yard have of a wood. The first lot is long, early and large, and certified where a share is asked.
func (b *factoryBuilder) addLots(w int) {
	r := b.r
	offers := min(b.suppliers, 2+r.IntN(3))
	for i, sup := range r.Perm(b.suppliers)[:offers] {
		planks := []sourcing.Plank{longPlanks[r.IntN(len(longPlanks))]}
		if b.is(sizes) && r.IntN(3) > 0 {
			planks = append(planks, shortPlanks[r.IntN(len(shortPlanks))])
		}
		price := b.price[w] * b.between(0.93, 1.07)
		seal := i == 0 && b.is(certifiedPct) || r.IntN(2) == 0
		if seal {
			price *= b.between(1.03, 1.1)
		}
		late := i > 0 && b.is(twoDates) && r.IntN(2) == 0
		if late {
			price *= 0.93
		}
		for k, plank := range planks {
			here := price * (1 - 0.08*float64(k))
			lot := lotSpec{wood: w, supplier: sup, plank: plank, yieldPct: bestYieldPct, price: here, certified: seal, late: late, grade: "A"}
			if b.is(shortSupply) && i > 0 && r.IntN(2) == 0 {
				lot.short, lot.price = true, 0.9*here
			}
			b.addLot(lot)
			if b.is(grades) && r.IntN(4) > 0 {
				lot.grade, lot.yieldPct, lot.price = "B", secondYieldPct, here*b.between(0.66, 0.76)
				b.addLot(lot)
			}
		}
	}
	if b.is(fullYard) && r.IntN(4) > 0 || b.is(yard) && r.IntN(2) == 0 {
		plank := longPlanks[r.IntN(len(longPlanks))]
		if r.IntN(3) == 0 {
			plank = shortPlanks[r.IntN(len(shortPlanks))]
		}
		b.addLot(lotSpec{wood: w, supplier: -1, plank: plank, yieldPct: b.between(60, 85), price: b.price[w] * b.between(0.5, 0.9)})
	}
}

// A lotSpec is what is drawn of a lot before its steps are counted.
type lotSpec struct {
	wood, supplier         int // supplier −1: stock
	plank                  sourcing.Plank
	yieldPct, price        float64 // EUR/m³
	grade                  string
	certified, late, short bool
}

func (b *factoryBuilder) addLot(d lotSpec) {
	r := b.r
	plankM3 := d.plank.ThicknessMM * d.plank.WidthMM * d.plank.LengthMM / 1e9
	usual := (b.used[d.wood] + b.mean) / 2 * 1.9 / plankM3 // planks: an estimate of what a plan buys of this wood
	l := season.Lot{Supplier: d.supplier, Stock: d.supplier < 0, Certified: d.certified, ReadyBy: earlyReady}
	if !b.is(twoDates) || l.Stock {
		l.ReadyBy = ""
	} else if d.late {
		l.ReadyBy = lateReady
	}
	for k, kind := range b.s.Kinds {
		if kind.Wood != b.woods[d.wood].ID || d.late && kind.NeededBy == deliveries[0] {
			continue
		}
		y, err := sourcing.Yield(d.plank, false, kind.WidthMM, sourcing.Blank{LengthMM: kind.LengthMM, ThicknessMM: kind.ThicknessMM}, sourcing.DefaultShop(), d.yieldPct)
		if err != nil {
			continue // the plank is too short
		}
		l.Uses = append(l.Uses, season.KindUse{Kind: k, Parts: decimal.NewFromInt(season.PlankParts).Div(y.Strips).IntPart(), Strips: y.Strips, Steps: y.Steps})
	}
	if l.Uses == nil {
		return
	}
	pack := 1
	if !l.Stock {
		pack = min(max(1, int(usual/b.between(4, 14))), 48)
	}
	planks := decimal.NewFromInt(int64(pack))
	steps := usual / float64(pack)
	l.StepQuantity, l.StepParts = planks, int64(pack)*season.PlankParts
	l.StepM3 = decimal.NewFromFloat(plankM3).Round(6).Mul(planks)
	each := func(rebate float64) decimal.Decimal { return money(d.price*plankM3*rebate, 2).Mul(planks) }
	l.Tiers = []season.Tier{{From: 1, Each: each(1)}}
	if l.Stock {
		l.MaxSteps = 2 + int(usual*b.between(0.05, 0.25))
		if b.is(fullYard) {
			l.MaxSteps = 2 + int(usual*b.between(0.3, 0.9))
		}
	} else {
		l.StepFreight = money(b.between(15, 60), 0).Mul(l.StepM3).Round(2)
		if b.is(minimums) || r.IntN(4) == 0 {
			l.MinSteps = 2 + int(steps*b.between(0.05, 0.2))
		}
		b.addBreaks(&l, steps, each)
		l.MaxSteps = max(l.Tiers[len(l.Tiers)-1].From, l.MinSteps) + int(6*float64(len(b.woods))*steps)
		if d.short {
			l.MaxSteps = max(1, l.MinSteps, int(steps*b.between(0.3, 0.8)))
			l.Tiers = slices.DeleteFunc(l.Tiers, func(t season.Tier) bool { return t.From > l.MaxSteps })
		}
	}
	l.Offer = plankOffer(b.s, &l, b.woods[d.wood].ID, each(1).Div(planks), pack)
	l.Offer.Plank, l.Offer.Grade, l.Offer.YieldPct = d.plank, d.grade, d.yieldPct
	if d.short {
		l.Offer.Available, l.Offer.HasAvailable = planks.Mul(decimal.NewFromInt(int64(l.MaxSteps))), true
	}
	b.s.Lots = append(b.s.Lots, l)
}

// addBreaks adds two or three prices for larger numbers of steps.
func (b *factoryBuilder) addBreaks(l *season.Lot, usual float64, each func(rebate float64) decimal.Decimal) {
	part := b.is(incremental) && b.r.IntN(2) == 0
	from := l.MinSteps + 1
	rebate := 1.0
	for range 2 + b.r.IntN(2) {
		from += 1 + int(usual*b.between(0.15, 0.5))
		rebate -= b.between(0.025, 0.06)
		t := season.Tier{From: from, Each: each(rebate)}
		if part { // the step at the break still has the old price
			paid, _ := l.Stepped(from)
			t.Base = paid.Sub(t.Each.Mul(decimal.NewFromInt(int64(from))))
		}
		l.Tiers = append(l.Tiers, t)
	}
}

// limitSeason bounds the season.
func (b *factoryBuilder) limitSeason() {
	lim := &b.s.Limits
	if b.is(certifiedPct) {
		lim.MinCertPct = limit(float64(45 + b.r.IntN(30)))
	}
	if b.is(fastPct) {
		all, fast := 0.0, 0.0
		for w, m3 := range b.used {
			all += m3
			if b.woods[w].RotationHighYears.Value <= 30 {
				fast += m3
			}
		}
		lim.MinFastPct = limit(math.Floor(100 * fast / all))
	}
	switch {
	case b.is(oneSupplier):
		lim.MaxSuppliers = limit(1)
	case b.is(twoSuppliers):
		lim.MaxSuppliers = limit(2)
	}
	if b.budget > 0 {
		lim.Budget = optimize.MoneyLimit{Set: true, Value: decimal.NewFromInt(b.budget)}
	}
}
