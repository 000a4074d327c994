package report

import (
	"errors"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// seasonShop is how the sample's shop saws.
var seasonShop = sourcing.Shop{KerfMM: 3, PlaningMM: 0.5, EdgingMM: 5, EndTrimMM: 50, YieldPct: 70}

// sampleSeason is a plan for two boards of the sample, made by hand: four lots of three suppliers and one of the yard, a price that falls for
// the whole quantity, one that falls for the part above it, packs, two currencies, freight, and lots too late for the first board.
func sampleSeason(t testing.TB) *Season {
	t.Helper()
	a, b := sampleProgram(t), sampleProgram(t)
	b.Model, b.Board.Name = "Allround 156 soft", "Allround 156 soft"
	s := &season.Season{Currency: "EUR", OrderingDay: "2027-01-18",
		Models: []season.Model{{Program: a, Build: 42, Sold: 40, Recipe: "All-round", Ride: "EI held within 2 % of the reference, as the book has no targets for it"},
			{Program: b, Build: 63, Sold: 60, Recipe: "soft"}},
		Suppliers: []season.Supplier{
			{Name: "Kestrel Vale Timbers", Currency: "USD", Rate: money("0.9137"), Freight: money("109.644"), MinOrder: money("45.685")},
			{Name: "Holzhof Sonnmatt", Currency: "EUR", Rate: money("1"), Freight: money("80"), MinOrder: money("100")},
			{Name: "Segheria Valbruna Nuova", Currency: "EUR", Rate: money("1")},
		},
		Limits: season.Limits{Budget: optimize.MoneyLimit{Set: true, Value: money("4000"), Where: "Shop!B12"},
			MinFastPct: optimize.Limit{Set: true, Value: 5, Where: "Shop!B13"}},
	}
	needed := []string{"2027-03-15", "2027-04-01"}
	for _, w := range []int{0, 1, 2} {
		for _, width := range []float64{10, 14} {
			for _, day := range needed {
				s.Kinds = append(s.Kinds, season.StripKind{Wood: a.Board.Woods[w].ID, WidthMM: width, ThicknessMM: 8.5, LengthMM: 1600, NeededBy: day, FastGrown: w == 0,
					VolumeMM3: int64(width * 8.5 * 1600)})
			}
		}
	}
	kind := func(wood string, width float64, day string) int {
		return slices.IndexFunc(s.Kinds, func(k season.StripKind) bool { return k.Wood == wood && k.WidthMM == width && k.NeededBy == day })
	}
	for m := range s.Models {
		p := s.Models[m].Program
		for i, pos := range p.Board.Positions {
			row := slices.Repeat([]int{-1}, len(p.Candidates))
			for c, cand := range p.Candidates {
				if cand.At[i].Allowed {
					row[c] = kind(p.Board.Woods[cand.Wood].ID, pos.StripWidthMM, needed[m])
				}
			}
			s.Models[m].Kind = append(s.Models[m].Kind, row)
		}
	}
	offer := func(wood int) sourcing.Offer { return *a.Candidates[wood].At[0].Price.Offer }
	kiri, pappel, faggio := offer(0), offer(1), offer(2)
	kiri.Length, kiri.LeadTimeDays, kiri.MinQuantity = sourcing.Span{}, 60, money("60")
	kiri.Breaks = []sourcing.Break{{From: money("100"), Price: money("5.35")}}
	pappel.LeadTimeDays, pappel.Incremental = 10, true
	pappel.Breaks = []sourcing.Break{{From: money("0.4"), Price: money("495")}}
	faggio.LeadTimeDays, faggio.PackSize = 20, money("0.25")
	dear := offer(2)
	dear.Row, dear.Price, dear.LeadTimeDays = 8, money("1450"), 5
	stock := sourcing.StockLine{Wood: "poplar-hybrid", Plank: sourcing.Plank{ThicknessMM: 32, WidthMM: 120, LengthMM: 3300}, Planks: 30, ValueEach: money("4.35"),
		Currency: "EUR", File: "job.xlsx", Sheet: "Stock", Row: 2}
	s.Lots = []season.Lot{
		seasonLot(t, s, stock.Offer(), -1, "0", ""), seasonLot(t, s, &kiri, 0, "45", "2027-03-19"),
		seasonLot(t, s, &pappel, 1, "35", "2027-01-28"), seasonLot(t, s, &faggio, 2, "0", "2027-02-07"), seasonLot(t, s, &dear, 2, "0", "2027-01-23"),
	}
	for i := range s.Lots {
		s.Lots[i].ValidUntil = "2027-02-28"
	}
	s.Lots[0].ValidUntil = ""
	s.Lots[3].Conditioning, s.Lots[3].UsableFrom = 21, "2027-02-28"
	short := offer(2)
	short.Row, short.Plank.LengthMM = 9, 1500
	s.LeftOut = []season.LeftOutLot{
		{Offer: &kiri, Part: true, Why: "its planks are there on 2027-03-19, too late for what is needed by 2027-03-15"},
		{Offer: &short, Why: "the plank (27 × 160 × 1500 mm) is 150 mm too short: one strip needs a length of 1650 mm"},
	}
	const paulownia, poplar, beech = 0, 1, 2
	soft := core.Layout{poplar, poplar, paulownia, paulownia, paulownia, poplar, poplar, poplar, poplar, poplar, beech, beech}
	today := a.Reference
	s.Models[0].Program.Reference, s.Models[1].Program.Reference = today, today
	plan := seasonPlan(t, s, []core.Layout{today, soft})
	plan.Proven, plan.Done, plan.Bound = true, true, plan.Cost
	if err := plan.Verify(); err != nil {
		t.Fatal(err)
	}
	first := *plan
	first.Mode, first.Cost = season.First, plan.Cost.Add(money("31.07"))
	first.Bound = first.Cost
	// by is how much dearer a plan is; known, by how much less it could be: 0 of a proven one.
	dearer := func(by, known, why string) season.Answer {
		q := *plan
		q.Cost = plan.Cost.Add(money(by))
		q.Bound, q.Proven, q.Done, q.Why = q.Cost.Sub(money(known)), known == "0", why == "", why
		return season.Answer{Plan: &q, Dearer: season.Range{Known: true, Low: money(by).Sub(money(known)), High: money(by)}}
	}
	shortage := season.Answer{None: &season.Shortage{Lacks: []season.Lack{{What: "wood", Wood: "beech-european", Says: "nothing gives strips of beech-european"}}}}
	return &Season{Shop: seasonShop, Answers: &season.Answers{
		Plan:  plan,
		First: &season.Answer{Plan: &first, Dearer: season.Range{Known: true, Low: money("31.07"), High: money("31.07")}},
		Kept:  &season.Answer{None: errors.New("the reference of model \"Allround 156 soft\" is not within its limits")},
		WhatIfs: []season.WhatIf{
			{Change: season.Change{Kind: season.WithoutSupplier, Name: "Segheria Valbruna Nuova"}, Answer: dearer("84.20", "0", ""),
				Lots: []season.LotChange{{Lot: 2, Before: money("0.585"), After: money("0.7488")}}, Models: []int{0, 1}},
			{Change: season.Change{Kind: season.WithoutWood, Name: "beech-european"}, Answer: shortage},
			{Change: season.Change{Kind: season.PriceOf, Name: "poplar-hybrid", Pct: money("10")}, Answer: dearer("30.76", "9.40", "time limit")},
			{Change: season.Change{Kind: season.BoardsBy, Pct: money("-5")}, Answer: dearer("-92.07", "0.65", "")},
			{Change: season.Change{Kind: season.WithoutWood, Name: "paulownia-tomentosa"}, Answer: season.Answer{None: &season.NoPlanError{Why: "time limit"}}},
		},
		Steps: []season.Step{{MinFastPct: 0, Answer: dearer("-10.50", "0", "")}, {MinFastPct: 10, Answer: dearer("0", "2", "interrupted")}, {MinFastPct: 20, Answer: shortage}},
	}}
}

// seasonLot is an offer as a lot of the sample's season.
func seasonLot(t testing.TB, s *season.Season, o *sourcing.Offer, supplier int, perM3, ready string) season.Lot {
	t.Helper()
	order, err := sourcing.NewOrder(o)
	if err != nil {
		t.Fatal(err)
	}
	rate := decimal.NewFromInt(1)
	if supplier >= 0 {
		rate = s.Suppliers[supplier].Rate
	}
	l := season.Lot{Offer: o, Stock: supplier < 0, Supplier: supplier, Certified: o.Certified, StepQuantity: order.StepQuantity, StepM3: order.StepM3, MinSteps: order.MinSteps,
		MaxSteps: 500, StepFreight: order.StepM3.Mul(money(perM3)).Mul(rate), ReadyBy: ready}
	if order.MaxSteps >= 0 {
		l.MaxSteps = order.MaxSteps
	}
	if l.StepParts, err = order.StepParts(season.PlankParts); err != nil {
		t.Fatal(err)
	}
	for _, x := range order.Tiers {
		l.Tiers = append(l.Tiers, season.Tier{From: x.From, Base: x.Base.Mul(rate), Each: x.Each.Mul(rate)})
	}
	for k, kind := range s.Kinds {
		if kind.Wood != o.Wood || ready > kind.NeededBy {
			continue
		}
		y, err := sourcing.StripYield(o, kind.WidthMM, sourcing.Blank{LengthMM: kind.LengthMM, ThicknessMM: kind.ThicknessMM}, seasonShop)
		if err != nil {
			t.Fatal(err)
		}
		parts := decimal.NewFromInt(season.PlankParts).Div(y.Strips).Floor().IntPart()
		l.Uses = append(l.Uses, season.KindUse{Kind: k, Parts: parts, Strips: y.Strips, Steps: y.Steps})
	}
	return l
}

// seasonPlan cuts every strip from the first lot that still gives it, and adds everything up.
func seasonPlan(t testing.TB, s *season.Season, layouts []core.Layout) *season.Plan {
	t.Helper()
	p := &season.Plan{Season: s, Mode: season.Joint, Layouts: layouts}
	need := make([]int, len(s.Kinds))
	for m := range s.Models {
		p.Points = append(p.Points, samplePoint(t, s.Models[m].Program, layouts[m]))
		per, err := s.StripsPerBoard(m, layouts[m])
		if err != nil {
			t.Fatal(err)
		}
		for k, n := range per {
			need[k] += n * s.Models[m].Build
		}
	}
	orders := map[int]*season.Order{}
	for i := range s.Lots {
		l := &s.Lots[i]
		line := season.Line{Lot: i}
		used := int64(0)
		for _, u := range l.Uses {
			n := need[u.Kind]
			if l.Stock {
				n = min(n, int((int64(l.MaxSteps)*l.StepParts-used)/u.Parts))
			}
			if n > 0 {
				line.Cuts = append(line.Cuts, season.Cut{Kind: u.Kind, Strips: n})
				need[u.Kind] -= n
				used += int64(n) * u.Parts
			}
		}
		if used == 0 {
			continue
		}
		line.Steps = max(int((used+l.StepParts-1)/l.StepParts), l.MinSteps)
		goods, freight := l.Stepped(line.Steps)
		line.Quantity = l.StepQuantity.Mul(decimal.NewFromInt(int64(line.Steps)))
		line.Goods, line.Freight, line.LeftParts = goods.Round(2), freight.Round(2), int64(line.Steps)*l.StepParts-used
		p.Lines = append(p.Lines, line)
		p.Cost, p.Exact = p.Cost.Add(line.Goods).Add(line.Freight), p.Exact.Add(goods).Add(freight)
		if l.Stock {
			continue
		}
		if orders[l.Supplier] == nil {
			fixed := s.Suppliers[l.Supplier].Freight
			orders[l.Supplier] = &season.Order{Supplier: l.Supplier, Freight: fixed.Round(2)}
			p.Cost, p.Exact = p.Cost.Add(fixed.Round(2)), p.Exact.Add(fixed)
		}
		o := orders[l.Supplier]
		o.Goods, o.Freight = o.Goods.Add(line.Goods), o.Freight.Add(line.Freight)
		o.Total = o.Goods.Add(o.Freight)
	}
	for i := range s.Suppliers {
		if o := orders[i]; o != nil {
			p.Orders = append(p.Orders, *o)
		}
	}
	parts, err := p.Parts()
	if err != nil {
		t.Fatal(err)
	}
	for m, part := range parts {
		pt := &p.Points[m]
		pt.Cost, pt.FastGrownPct, pt.CertifiedPct = part.Cost.DivRound(decimal.NewFromInt(int64(s.Models[m].Build)), 2), part.FastGrownPct, part.CertifiedPct
	}
	return p
}
