package report

import (
	"flag"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The sample is an invented board of 1560 mm with a centre-line block, an outline that cuts through the outer strips,
// unequal layers, side walls and steel edges; three woods with rounded figures of our own; invented suppliers. Its six
// layouts put more and more beech in, so that mass and EI grow together as on a front.

// sampleFront is a complete front of mass against EI with prices, windows, a reference and woods left out.
func sampleFront(t testing.TB) *optimize.FrontResult {
	t.Helper()
	p := sampleProgram(t)
	r := &optimize.FrontResult{
		Program:    p,
		Objectives: []optimize.Objective{optimize.Mass, optimize.EI},
		Complete:   true,
		Solves:     7,
	}
	const paulownia, poplar, beech = 0, 1, 2
	for i, l := range []core.Layout{
		// Middle (the strip astride, then the pair), Inner 4, Binding 3, Edge 3
		{paulownia, paulownia, paulownia, paulownia, paulownia, poplar, poplar, poplar, poplar, poplar, poplar, poplar},
		{paulownia, paulownia, paulownia, paulownia, poplar, poplar, poplar, poplar, poplar, poplar, poplar, beech},
		{poplar, poplar, poplar, poplar, poplar, poplar, poplar, poplar, beech, poplar, poplar, beech},
		{poplar, poplar, poplar, poplar, poplar, poplar, beech, beech, beech, poplar, poplar, beech},
		{beech, poplar, poplar, poplar, poplar, poplar, beech, beech, beech, poplar, beech, beech},
		{beech, beech, poplar, poplar, poplar, beech, beech, beech, beech, beech, beech, beech},
	} {
		pt := samplePoint(t, p, l)
		pt.ID, pt.Knee, pt.Cheapest = i+1, i == 3, i == 2
		r.Points = append(r.Points, pt)
	}
	return r
}

// sampleCheck is the reference of the sample under a design load, with its edges pre-strained; it breaks one limit.
func sampleCheck(t testing.TB) *optimize.CheckResult {
	t.Helper()
	p := sampleProgram(t)
	p.Limits.MaxCost.Value = money("12.50")
	p.Limits.DesignLoadN, p.Limits.SafetyFactor = 700, 2
	p.Board.Positions[3].PreStrain = 0.002
	return &optimize.CheckResult{
		Program: p,
		Point:   samplePoint(t, p, p.Reference),
		Broken:  []string{"cost of a core at most 12.50 EUR (Limits!C2): it costs 13.19 EUR"},
	}
}

// sampleInfeasible is the sample with no layout at all.
func sampleInfeasible(t testing.TB) *optimize.FrontResult {
	t.Helper()
	p := sampleProgram(t)
	p.Limits.MaxCost.Value = money("12.50")
	p.Limits.Windows[1].Low.Value = 265
	return &optimize.FrontResult{
		Program:    p,
		Objectives: []optimize.Objective{optimize.Mass, optimize.EI},
		Complete:   true,
		Solves:     3,
		Infeasible: &optimize.Infeasible{
			Clash: []string{"EI at 780 mm at least 265.00 N·m² (Targets!C3)", "cost of a core at most 12.50 EUR (Limits!C2)"},
			Relaxations: []optimize.Relaxation{
				{Limit: "EI at 780 mm at least 265.00 N·m²", Where: "Targets!C3", To: "254.43 N·m²",
					Sentence: "With EI at 780 mm at least 254.43 N·m² there is a layout."},
				{Limit: "cost of a core at most 12.50 EUR", Where: "Limits!C2", To: "13.02 EUR",
					Sentence: "No layout reaches 265.00 N·m² at 780 mm for 12.50 EUR a core; the cheapest that does costs 13.02 EUR."},
			},
		},
	}
}

// sampleProgram is the question the sample answers.
func sampleProgram(t testing.TB) *optimize.Program {
	t.Helper()
	invented := func(v float64) species.Figure {
		return species.Figure{Value: v, Status: species.Own, Source: "invented for a test"}
	}
	wood := func(id, name, latin string, gravity, density, modulus, strength, hardness, rotation float64) species.Wood {
		return species.Wood{
			ID: id, CommonName: name, LatinName: latin,
			SpecificGravity: invented(gravity), DensityKgM3: invented(density), ModulusGPa: invented(modulus),
			CrossGrainGPa: invented(modulus / 20), BendingStrengthMPa: invented(strength), ShearMPa: invented(8),
			HardnessN: invented(hardness), ModulusCVPct: invented(22), RotationLowYears: invented(rotation / 2),
			RotationHighYears: invented(rotation),
		}
	}
	b := &core.Board{
		Name:    "Allround 156",
		Section: core.Pressed,
		Stations: []core.Station{
			{FromTipMM: 0, WidthMM: 150, ThicknessMM: 2}, {FromTipMM: 120, WidthMM: 268, ThicknessMM: 2},
			{FromTipMM: 240, WidthMM: 284, ThicknessMM: 3.2}, {FromTipMM: 400, WidthMM: 272, ThicknessMM: 4.9},
			{FromTipMM: 600, WidthMM: 256, ThicknessMM: 6.8}, {FromTipMM: 780, WidthMM: 250, ThicknessMM: 7.4},
			{FromTipMM: 960, WidthMM: 254, ThicknessMM: 7}, {FromTipMM: 1160, WidthMM: 270, ThicknessMM: 5.2},
			{FromTipMM: 1320, WidthMM: 282, ThicknessMM: 3.4}, {FromTipMM: 1440, WidthMM: 266, ThicknessMM: 2},
			{FromTipMM: 1560, WidthMM: 150, ThicknessMM: 2},
		},
		Positions: []core.Position{
			{Name: "Middle", Strips: 3, StripWidthMM: 10, OnCentreLine: true},
			{Name: "Inner", Strips: 4, StripWidthMM: 14},
			{Name: "Binding", Strips: 3, StripWidthMM: 14},
			{Name: "Edge", Strips: 3, StripWidthMM: 10},
		},
		Layers: []core.Layer{
			{Name: "Glass skin, top", Place: core.Above, Order: 1, ModulusGPa: 23, ThicknessMM: 0.5, DensityKgM3: 1850},
			{Name: "Top layer", Place: core.Above, Order: 2, ModulusGPa: 1.8, ThicknessMM: 0.5, DensityKgM3: 1150},
			{Name: "Glass skin, bottom", Place: core.Below, Order: 1, ModulusGPa: 23, ThicknessMM: 0.6, DensityKgM3: 1850},
			{Name: "Running base", Place: core.Below, Order: 2, ModulusGPa: 0.8, ThicknessMM: 1.2, DensityKgM3: 940},
			{Name: "Steel edge", Place: core.Below, Order: 2, ModulusGPa: 205, ThicknessMM: 2, WidthMM: 6.6, LetInMM: 0.8, DensityKgM3: 7850},
			{Name: "Side wall", Place: core.Beside, Order: 1, ModulusGPa: 2.3, WidthMM: 8, DensityKgM3: 1050},
		},
		Woods: []species.Wood{
			wood("paulownia-tomentosa", "Paulownia (kiri)", "Paulownia tomentosa", 0.28, 317, 4.7, 43, 1330, 15),
			wood("poplar-hybrid", "Poplar (European hybrid)", "Populus x canadensis", 0.41, 460, 9.7, 65, 1820, 30),
			wood("beech-european", "European beech", "Fagus sylvatica", 0.61, 680, 15.7, 107, 6460, 140),
		},
		SpanMM: 1000, MeasureAtMM: 780, GlueGM2: 180,
	}
	offer := func(supplier, file, sheet string, row int, wood, name, grade string, plank sourcing.Plank, price, currency string,
		unit sourcing.Unit, certified bool) *sourcing.Offer {
		return &sourcing.Offer{Supplier: supplier, File: file, Sheet: sheet, Row: row, Col: 6, Wood: wood, Name: name, Grade: grade,
			Plank: plank, Price: money(price), Currency: currency, Unit: unit, Certified: certified}
	}
	kiri := offer("Kestrel Vale Timbers", "kestrel.xlsx", "Stock list", 9, "paulownia-tomentosa", "Kiri, kiln dried", "A/B",
		sourcing.Plank{ThicknessMM: 25.4, WidthMM: 152.4, LengthMM: 2438.4}, "5.90", "USD", sourcing.PerBoardFoot, false)
	pappel := offer("Holzhof Sonnmatt", "sonnmatt.xlsx", "Bretter", 14, "poplar-hybrid", "Pappel", "I",
		sourcing.Plank{ThicknessMM: 26, WidthMM: 180, LengthMM: 2500}, "540", "EUR", sourcing.PerM3, true)
	faggio := offer("Segheria Valbruna Nuova", "valbruna.xlsx", "Listino", 7, "beech-european", "Faggio evaporato", "prima",
		sourcing.Plank{ThicknessMM: 27, WidthMM: 160, LengthMM: 2000}, "980", "EUR", sourcing.PerM3, true)
	cost := func(o *sourcing.Offer, strips, each string) *sourcing.StripPrice {
		return &sourcing.StripPrice{Offer: o, StripsPerUnit: money(strips), Cost: money(each), Steps: []string{
			"through the thickness 2 strips, across the width 12, along the length 1: 24, less the grade's yield",
			"the plank's price over its strips",
		}}
	}
	use := func(o *sourcing.Offer, narrow, wide string) []optimize.Use {
		n, w := cost(o, "15.4", narrow), cost(o, "11.2", wide)
		at := make([]optimize.Use, 4)
		for i, price := range []*sourcing.StripPrice{n, w, w, n} {
			at[i] = optimize.Use{Allowed: true, StripCost: price.Cost, Price: price, Certified: o.Certified}
		}
		return at
	}
	paulownia := optimize.Candidate{Wood: 0, FastGrown: true, At: use(kiri, "0.7912", "1.0879")}
	paulownia.At[2], paulownia.At[3] = optimize.Use{}, optimize.Use{}
	limit := func(v float64, where string) optimize.Limit { return optimize.Limit{Set: true, Value: v, Where: where} }
	const poplar, beech = 1, 2
	return &optimize.Program{
		Model: b.Name,
		Board: b,
		Candidates: []optimize.Candidate{
			paulownia,
			{Wood: poplar, At: use(pappel, "0.4102", "0.5641")},
			{Wood: beech, At: use(faggio, "0.5498", "0.7560")},
		},
		LeftOut: []optimize.LeftOut{
			{Wood: "paulownia-tomentosa", Position: "Binding", Why: "hardness 1330 N is below the 1500 N the position demands (Positions!G5)"},
			{Wood: "paulownia-tomentosa", Position: "Edge", Why: "hardness 1330 N is below the 1500 N the position demands (Positions!G6)"},
			{Wood: "balsa", Why: "no supplier offers it and there is none in the yard"},
			{Wood: "birch-silver", Why: "no supplier offers it and there is none in the yard"},
			{Wood: "ash-european", Why: `every offer is too short for a blank of 1600 mm (valbruna.xlsx, sheet "Listino", cell F9: 1500 mm)`},
		},
		Limits: optimize.Limits{
			Windows: []optimize.Window{
				{FromTipMM: 400, Low: limit(90, "Targets!C2"), High: limit(135, "Targets!D2")},
				{FromTipMM: 780, Low: limit(200, "Targets!C3"), High: limit(290, "Targets!D3")},
				{FromTipMM: 1160, Low: limit(95, "Targets!C4")},
			},
			MaxCost:       optimize.MoneyLimit{Set: true, Value: money("22.00"), Where: "Limits!C2"},
			MaxWoods:      limit(3, "Limits!E2"),
			FastUpToYears: 15,
			HoldingRef:    b.Woods[poplar],
			Positions: []optimize.PositionLimit{{}, {}, {MinHardnessN: limit(1500, "Positions!G5")},
				{MinHardnessN: limit(1500, "Positions!G6")}},
		},
		Currency:  "EUR",
		Reference: core.Layout{poplar, poplar, poplar, poplar, poplar, poplar, poplar, beech, beech, beech, beech, beech},
	}
}

// samplePoint is a layout of the sample with everything about it; its ID and marks are the caller's.
func samplePoint(t testing.TB, p *optimize.Program, l core.Layout) optimize.Point {
	t.Helper()
	b := p.Board
	f, err := b.Evaluate(l)
	if err != nil {
		t.Fatal(err)
	}
	pt := optimize.Point{
		CoreMassG: math.Round(100*f.CoreMassG) / 100,
		EINM2:     math.Round(100*f.Measure.EINM2(b.Section)) / 100,
		HasCost:   p.Currency != "", ProfileFactor: 1, Layout: l, Figures: f,
	}
	var fast, certified float64
	strips := b.Strips()
	for i, w := range l {
		use := p.Candidates[w].At[strips[i].Position]
		pt.Cost = pt.Cost.Add(use.StripCost.Mul(decimal.NewFromInt(int64(strips[i].Pieces))))
		name, id := b.Positions[strips[i].Position].Name, b.Woods[w].ID
		if n := len(pt.Runs); n > 0 && pt.Runs[n-1].Position == name && pt.Runs[n-1].Wood == id {
			pt.Runs[n-1].PerSide += strips[i].PerSide
		} else {
			pt.Runs = append(pt.Runs, optimize.Run{Position: name, Wood: id, PerSide: strips[i].PerSide})
		}
	}
	for i, c := range p.Candidates {
		if c.FastGrown {
			fast += f.WoodVolumeCM3[c.Wood]
		}
		if slices.ContainsFunc(c.At, func(u optimize.Use) bool { return u.Certified }) {
			certified += f.WoodVolumeCM3[i]
		}
	}
	pt.Cost = pt.Cost.Round(2)
	pt.FastGrownPct, pt.CertifiedPct = 100*fast/f.VolumeCM3, 100*certified/f.VolumeCM3
	return pt
}

func money(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// sampleLong is a complete front of n points, the sample's over and over with mass, EI and cost moved on.
func sampleLong(t testing.TB, n int) *optimize.FrontResult {
	t.Helper()
	r := sampleFront(t)
	six := r.Points
	r.Points = nil
	for i := range n {
		pt := six[i*len(six)/n]
		pt.ID, pt.Knee, pt.Cheapest = i+1, i == n/3+1, i == n/2+1
		pt.CoreMassG, pt.EINM2 = 790+1.37*float64(i), roundTo(227+20*math.Log1p(float64(i)), 2)
		r.Points = append(r.Points, pt)
	}
	r.Solves = n + 1
	return r
}

// sampleBare is the sample without anything that a job may lack: layers, span, prices, reference, limits, scatter.
func sampleBare(t testing.TB) *optimize.FrontResult {
	t.Helper()
	r := sampleFront(t)
	bareOf(t, r)
	for i := range r.Points {
		pt := &r.Points[i]
		pt.Cost, pt.Figures.Scatter = decimal.Zero, core.Scatter{}
	}
	return r
}

// hostileTexts are what people may have typed, or worse.
var hostileTexts = []string{
	"=1+1", "+41 44", "-5", "@SUM(A1)", "=HYPERLINK(\"http://x\")", "\x1b[31mred\x1b[0m", "line\nbreak\ttab", "a\u202ebidi", "nul\x00",
	"木の芯 生命", "ｆｕｌｌ", "é́́́", "👩‍🚒👩‍🚒", strings.Repeat("long ", 60), strings.Repeat("x", 300), "</script>", "a|b", "\xff\xfe",
}

// sampleHostile is the sample with one text in every place that a user's text can reach.
func sampleHostile(t testing.TB, text string) *optimize.FrontResult {
	t.Helper()
	r := sampleFront(t)
	p := r.Program
	p.Model, p.Board.Name, p.Currency = text, text, text
	old := map[string]string{}
	for i := range p.Board.Positions {
		name := &p.Board.Positions[i].Name
		old[*name] = text + string(rune('1'+i))
		*name = old[*name]
	}
	for i := range p.Board.Woods {
		w := &p.Board.Woods[i]
		old[w.ID] = text + string(rune('a'+i))
		w.ID, w.CommonName, w.LatinName = old[w.ID], text, text
	}
	for i := range r.Points {
		runs := slices.Clone(r.Points[i].Runs)
		for k := range runs {
			runs[k].Position, runs[k].Wood = old[runs[k].Position], old[runs[k].Wood]
		}
		r.Points[i].Runs = runs
	}
	for _, c := range p.Candidates {
		for _, u := range c.At {
			if u.Price != nil {
				o := u.Price.Offer
				o.Supplier, o.File, o.Sheet, o.Name, o.Grade, o.Currency, o.Unit = text, text, text, text, text, text, sourcing.Unit(text)
				u.Price.Steps = []string{text, text}
			}
		}
	}
	for i := range p.LeftOut {
		p.LeftOut[i] = optimize.LeftOut{Wood: text, Position: text, Why: text}
	}
	return r
}
