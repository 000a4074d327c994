package season

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/species"
)

func own(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// handSeason is small enough to compute by hand: one model of four strips a board (two a side, 10 mm each), ten boards, two woods. Beech comes from
// supplier A in packs of two planks of 3 strips at 10.005 a plank, 9.005 from the third pack on (all units), and from stock; birch from B by the plank,
// 4 strips each, 8.00 each and 6.00 above two planks (incremental).
func handSeason() *Season {
	wood := func(id string, rho float64) species.Wood {
		return species.Wood{ID: id, CommonName: id, DensityKgM3: own(rho), SpecificGravity: own(rho / 1120), ModulusGPa: own(rho / 50),
			CrossGrainGPa: own(0.5), ModulusCVPct: own(20), HardnessN: own(rho * 8)}
	}
	b := &core.Board{Name: "Hand", Section: core.Bare, Woods: []species.Wood{wood("beech", 700), wood("birch", 600)}, MeasureAtMM: 500, SpanMM: 800,
		Positions: []core.Position{{Name: "All", Strips: 2, StripWidthMM: 10}},
		Stations:  []core.Station{{FromTipMM: 0, WidthMM: 40, ThicknessMM: 5}, {FromTipMM: 1000, WidthMM: 40, ThicknessMM: 5}}}
	use := []optimize.Use{{Allowed: true, StripCost: dec("3")}}
	p := &optimize.Program{Model: "Hand", Board: b, Currency: "EUR", Candidates: []optimize.Candidate{{Wood: 0, At: use}, {Wood: 1, At: use}}, Reference: core.Layout{0, 1}}
	return &Season{Currency: "EUR",
		Models: []Model{{Program: p, Build: 10, Sold: 10, Kind: [][]int{{0, 1}}}},
		Kinds: []StripKind{{Wood: "beech", WidthMM: 10, ThicknessMM: 12, LengthMM: 1000, NeededBy: "2027-03-15", VolumeMM3: 120_000},
			{Wood: "birch", WidthMM: 10, ThicknessMM: 12, LengthMM: 1000, VolumeMM3: 120_000, FastGrown: true}},
		Suppliers: []Supplier{{Name: "A", Freight: dec("7.50"), MinOrder: dec("50")}, {Name: "B", Freight: dec("2")}},
		Lots: []Lot{
			{Supplier: 0, Certified: true, StepQuantity: dec("2"), StepParts: 2 * PlankParts, MaxSteps: 20, MinSteps: 2, StepFreight: dec("0.333"),
				Tiers: []Tier{{From: 1, Each: dec("20.01")}, {From: 3, Each: dec("18.01")}}, Uses: []KindUse{{Kind: 0, Parts: PlankParts / 3}}},
			{Supplier: -1, Stock: true, StepQuantity: dec("1"), StepParts: PlankParts, MaxSteps: 2,
				Tiers: []Tier{{From: 1, Each: dec("1.255")}}, Uses: []KindUse{{Kind: 0, Parts: PlankParts / 3}}},
			{Supplier: 1, StepQuantity: dec("1"), StepParts: PlankParts, MaxSteps: 20,
				Tiers: []Tier{{From: 1, Each: dec("8")}, {From: 2, Base: dec("4"), Each: dec("6")}}, Uses: []KindUse{{Kind: 1, Parts: PlankParts / 4}}},
		}}
}

// TestPlanByHand: 20 strips of beech, of which 2 planks of stock give 6 and 14 take 3 packs (18 strips); 20 of birch take 5 planks.
//
//	stock  2 × 1.255 = 2.51
//	A      3 × 18.01 = 54.03, by volume 3 × 0.333 = 0.999 → 1.00, per order 7.50: 62.53
//	B      4 + 5 × 6 = 34, per order 2: 36
//
// 101.04 in all, exactly 101.039.
func TestPlanByHand(t *testing.T) {
	s := handSeason()
	cuts := [][]Cut{{{0, 14}}, {{0, 6}}, {{1, 20}}}
	p, err := newPlan(s, Keep, []core.Layout{{0, 1}}, []int{3, 2, 5}, cuts)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Verify(); err != nil {
		t.Error(err)
	}
	for _, m := range []struct {
		what string
		have decimal.Decimal
		want string
	}{
		{"cost", p.Cost, "101.04"}, {"exact cost", p.Exact, "101.039"}, {"goods of A", p.Orders[0].Goods, "54.03"},
		{"freight of A", p.Orders[0].Freight, "8.50"}, {"total of A", p.Orders[0].Total, "62.53"}, {"total of B", p.Orders[1].Total, "36"},
		{"stock", p.Lines[1].Goods, "2.51"}, {"quantity from A", p.Lines[0].Quantity, "6"},
	} {
		if !m.have.Equal(dec(m.want)) {
			t.Errorf("%s: %s, want %s", m.what, m.have, m.want)
		}
	}
	// 6 planks less 14 thirds, each rounded down to a billionth.
	if want := int64(6*PlankParts - 14*(PlankParts/3)); p.Lines[0].LeftParts != want {
		t.Errorf("%d parts are left, want %d", p.Lines[0].LeftParts, want)
	}
}

// TestPlanRefused: what does not hold is refused, and said.
func TestPlanRefused(t *testing.T) {
	type plan struct {
		s       *Season
		mode    Mode
		layouts []core.Layout
		steps   []int
		cuts    [][]Cut
	}
	for _, tt := range []struct {
		name, want string
		change     func(*plan)
	}{
		{"too few strips", "1 too few", func(p *plan) { p.cuts[0][0].Strips = 13 }},
		{"too many strips", "1 too many", func(p *plan) { p.cuts[0][0].Strips = 15 }},
		{"parts", "more than is bought", func(p *plan) { p.steps[1] = 1 }},
		{"more than there is", "there are 2", func(p *plan) { p.steps[1] = 3 }},
		{"minimum of the line", "the least is 2", func(p *plan) { p.steps[0] = 1; p.cuts[0][0].Strips = 6 }},
		{"minimum order", "its minimum is 60", func(p *plan) { p.s.Suppliers[0].MinOrder = dec("60") }},
		{"budget", "the budget is 101.038", func(p *plan) { p.s.Limits.Budget = optimize.MoneyLimit{Set: true, Value: dec("101.038")} }},
		{"fast-grown", "51 % is asked", func(p *plan) { p.s.Limits.MinFastPct = optimize.Limit{Set: true, Value: 51} }},
		{"certified", "36 % is asked", func(p *plan) { p.s.Limits.MinCertPct = optimize.Limit{Set: true, Value: 36} }},
		{"suppliers", "more than 0 suppliers", func(p *plan) { p.s.Limits.MaxSuppliers = optimize.Limit{Set: true} }},
		{"another kind", "gives no strips of kind 1", func(p *plan) { p.cuts[0][0].Kind = 1 }},
		{"twice", "cut twice", func(p *plan) { p.cuts[0] = []Cut{{0, 7}, {0, 7}} }},
		{"less than nothing", "-1 strips", func(p *plan) { p.cuts[0][0].Strips = -1 }},
		{"recipe", `models "Hand" and "Hand" have one recipe and different layouts`, func(p *plan) {
			p.mode, p.s.Models[0].Recipe = Joint, "R"
			p.s.Models, p.layouts = append(p.s.Models, p.s.Models[0]), append(p.layouts, core.Layout{1, 1})
		}},
		{"layout", "does not keep its layout", func(p *plan) { p.layouts[0] = core.Layout{1, 0} }},
		{"limits of the model", "EI at 500 mm", func(p *plan) {
			p.s.Models[0].Program.Limits.Windows = []optimize.Window{{FromTipMM: 500, Low: optimize.Limit{Set: true, Value: 1e6}}}
		}},
	} {
		p := plan{handSeason(), Keep, []core.Layout{{0, 1}}, []int{3, 2, 5}, [][]Cut{{{0, 14}}, {{0, 6}}, {{1, 20}}}}
		tt.change(&p)
		_, err := newPlan(p.s, p.mode, p.layouts, p.steps, p.cuts)
		if !errors.Is(err, errPlan) || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}

// TestVerifyFinds: a plan tampered with after it was made does not verify.
func TestVerifyFinds(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*Plan)
	}{
		{"cost", func(p *Plan) { p.Cost = p.Cost.Add(dec("0.01")) }},
		{"exact", func(p *Plan) { p.Exact = p.Exact.Sub(dec("0.001")) }},
		{"bound", func(p *Plan) { p.Bound = p.Cost.Add(dec("0.01")) }},
		{"goods", func(p *Plan) { p.Lines[0].Goods = dec("54.02") }},
		{"freight", func(p *Plan) { p.Lines[0].Freight = dec("0.99") }},
		{"quantity", func(p *Plan) { p.Lines[2].Quantity = dec("4") }},
		{"left", func(p *Plan) { p.Lines[0].LeftParts-- }},
		{"line gone", func(p *Plan) { p.Lines = p.Lines[1:] }},
		{"order", func(p *Plan) { p.Orders[1].Total = dec("35.99") }},
		{"order gone", func(p *Plan) { p.Orders = p.Orders[:1] }},
		{"lines out of order", func(p *Plan) { p.Lines[0], p.Lines[1] = p.Lines[1], p.Lines[0] }},
		{"mass", func(p *Plan) { p.Points[0].CoreMassG++ }},
		{"certified share", func(p *Plan) { p.Points[0].CertifiedPct++ }},
	} {
		p, err := newPlan(handSeason(), Keep, []core.Layout{{0, 1}}, []int{3, 2, 5}, [][]Cut{{{0, 14}}, {{0, 6}}, {{1, 20}}})
		if err != nil {
			t.Fatal(err)
		}
		if tt.change(p); p.Verify() == nil {
			t.Errorf("%s: the plan verifies", tt.name)
		}
	}
}

// TestStepped: all-units and incremental prices, against sums done plank by plank.
func TestStepped(t *testing.T) {
	s := handSeason()
	for n := 1; n <= 6; n++ {
		each := 20.01
		if n >= 3 {
			each = 18.01
		}
		goods, freight := s.Lots[0].Stepped(n)
		if math.Abs(goods.InexactFloat64()-each*float64(n)) > 1e-9 || math.Abs(freight.InexactFloat64()-0.333*float64(n)) > 1e-9 {
			t.Errorf("%d packs: %s and %s", n, goods, freight)
		}
		sum := 0.0
		for k := 1; k <= n; k++ {
			if k <= 2 {
				sum += 8
			} else {
				sum += 6
			}
		}
		if goods, _ := s.Lots[2].Stepped(n); math.Abs(goods.InexactFloat64()-sum) > 1e-9 {
			t.Errorf("%d planks: %s, want %v", n, goods, sum)
		}
	}
	if goods, freight := s.Lots[0].Stepped(0); !goods.IsZero() || !freight.IsZero() {
		t.Error("nothing costs something")
	}
}

// TestPartsByHand: beside the model of [TestPlanByHand] there is one of five boards, all of birch: 20 strips more, so 10 planks at 4 + 60, which both share
// half and half. The first pays all of the beech, 2.51 + 62.53, of whose 20 strips 14 are certified.
func TestPartsByHand(t *testing.T) {
	for _, tt := range []struct {
		name          string
		change        func(s *Season)
		steps         int // of a lot of birch from B, at 5.00, that nothing is cut from
		first, second string
	}{
		{"half and half", func(*Season) {}, 0, "98.04", "33.00"},
		{"an odd cent goes to the first", func(s *Season) { s.Suppliers[1].Freight = dec("2.01") }, 0, "98.05", "33.00"},
		{"what nothing is cut from", func(*Season) {}, 2, "103.04", "38.00"},
	} {
		s := handSeason()
		second := s.Models[0]
		second.Build, second.Sold = 5, 5
		s.Models = append(s.Models, second)
		s.Lots = append(s.Lots, Lot{Supplier: 1, StepQuantity: dec("1"), StepParts: PlankParts, MaxSteps: 5, Tiers: []Tier{{From: 1, Each: dec("5")}}, Uses: []KindUse{{Kind: 1, Parts: PlankParts}}})
		tt.change(s)
		p, err := newPlan(s, Joint, []core.Layout{{0, 1}, {1, 1}}, []int{3, 2, 10, tt.steps}, [][]Cut{{{0, 14}}, {{0, 6}}, {{1, 40}}, nil})
		if err != nil {
			t.Fatal(err)
		}
		parts, err := p.Parts()
		if err != nil {
			t.Fatal(err)
		}
		if !parts[0].Cost.Equal(dec(tt.first)) || !parts[1].Cost.Equal(dec(tt.second)) || !p.Cost.Equal(dec(tt.first).Add(dec(tt.second))) {
			t.Errorf("%s: %s and %s of %s, want %s and %s", tt.name, parts[0].Cost, parts[1].Cost, p.Cost, tt.first, tt.second)
		}
		if a, b := parts[0], parts[1]; a.FastGrownPct != 50 || a.CertifiedPct != 35 || b.FastGrownPct != 100 || b.CertifiedPct != 0 {
			t.Errorf("%s: shares %+v", tt.name, parts)
		}
		if pt := p.Points[1]; !pt.HasCost || !pt.Cost.Equal(parts[1].Cost.Div(dec("5"))) || pt.FastGrownPct != 100 {
			t.Errorf("%s: the second model's point has %s and %v %%", tt.name, pt.Cost, pt.FastGrownPct)
		}
	}
}

// TestSharedLayout: layouts first gives models of one recipe one layout. Alone both would be of birch, at 2 a strip; of beech, at 3, the second may have none,
// or nothing else.
func TestSharedLayout(t *testing.T) {
	only := func(beech, birch bool) []optimize.Candidate {
		return []optimize.Candidate{{Wood: 0, At: []optimize.Use{{Allowed: beech, StripCost: dec("3")}}}, {Wood: 1, At: []optimize.Use{{Allowed: birch, StripCost: dec("2")}}}}
	}
	for _, tt := range []struct {
		recipe        string
		beech, birch  bool // of the second
		first, second core.Layout
	}{
		{"R", true, true, core.Layout{1, 1}, core.Layout{1, 1}},
		{"R", true, false, core.Layout{0, 0}, core.Layout{0, 0}},
		{"", true, false, core.Layout{1, 1}, core.Layout{0, 0}},
		{"R", false, true, nil, nil},
	} {
		s := handSeason()
		s.Models[0].Recipe, s.Models[0].Program.Candidates = tt.recipe, only(true, tt.first != nil)
		second, p := s.Models[0], *s.Models[0].Program
		p.Candidates, p.Model, second.Program = only(tt.beech, tt.birch), "Second", &p
		s.Models = append(s.Models, second)
		got, err := s.given(context.Background(), First)
		if short := (*Shortage)(nil); tt.first == nil && !errors.As(err, &short) || tt.first != nil && err != nil {
			t.Errorf("%+v: %v", tt, err)
		} else if tt.first != nil && (!slices.Equal(got[0], tt.first) || !slices.Equal(got[1], tt.second)) {
			t.Errorf("%+v: %v", tt, got)
		}
	}
}

// TestRangeWords: what is known of an amount, in words.
func TestRangeWords(t *testing.T) {
	for _, tt := range []struct{ low, high, want string }{
		{"120", "150", "dearer by 120.00 to 150.00 EUR"}, {"120", "120", "dearer by 120.00 EUR"}, {"0", "4.12", "dearer by up to 4.12 EUR"}, {"0", "0", "as dear"},
		{"-150", "-120", "cheaper by 120.00 to 150.00 EUR"}, {"-4.12", "0", "cheaper by up to 4.12 EUR"}, {"-30", "20", "up to 30.00 EUR cheaper or up to 20.00 EUR dearer"},
	} {
		if got := (Range{true, dec(tt.low), dec(tt.high)}).Dearer("EUR"); got != tt.want {
			t.Errorf("%s to %s: %q, want %q", tt.low, tt.high, got, tt.want)
		}
	}
	if got := (Range{}).Dearer("EUR"); got != "by how much it is dearer is not known" {
		t.Error(got)
	}
}
