package sourcing

import (
	"math"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

var testRates = Rates{"EUR": money("1"), "USD": money("0.92"), "CHF": money("1.04")}

func TestCheapest(t *testing.T) {
	blank, shop := Blank{LengthMM: 1850, ThicknessMM: 14}, DefaultShop()
	plank := Plank{26, 150, 3900} // 2 × 8 × 2 strips of 8 mm, × 0.7 = 22.4
	offers := []Offer{
		{Supplier: "B", File: "b.xlsx", Sheet: "1", Row: 3, Wood: "ash-white", Plank: plank, Price: money("1000"), Currency: "EUR", Unit: PerM3},
		{Supplier: "A", File: "a.xlsx", Sheet: "1", Row: 9, Wood: "ash-white", Plank: plank, Price: money("1000"), Currency: "EUR", Unit: PerM3, Certified: true},
		{Supplier: "A", File: "a.xlsx", Sheet: "1", Row: 4, Wood: "ash-white", Plank: Plank{26, 150, 1500}, Price: money("1"), Currency: "EUR", Unit: PerM3},
		{Supplier: "A", File: "a.xlsx", Sheet: "1", Row: 5, Wood: "ash-white", Plank: plank, Price: money("1"), Currency: "PLN", Unit: PerM3},
		{Supplier: "A", File: "a.xlsx", Sheet: "1", Row: 6, Wood: "ash-white", Plank: plank, Price: money("1"), Currency: "EUR", Unit: PerM3, HasAvailable: true},
		{Supplier: "C", File: "c.xlsx", Sheet: "1", Row: 2, Wood: "ash-white", Plank: plank, Price: money("1050"), Currency: "USD", Unit: PerM3},
		{Supplier: "A", File: "a.xlsx", Sheet: "1", Row: 7, Wood: "balsa", Plank: plank, Price: money("1"), Currency: "EUR", Unit: PerM3},
	}
	best, rejected := Cheapest(offers, nil, "ash-white", 8, blank, shop, testRates, false)
	// 0.026 × 0.15 × 3.9 m³ × 1050 USD = 15.9705 USD × 0.92 = 14.69286 EUR ÷ 22.4 = 0.65593…
	if best == nil || best.Offer != &offers[5] || best.Cost.String() != "0.6559" || best.StripsPerUnit.String() != "22.4" {
		t.Fatalf("cheapest is %+v, want supplier C at 0.6559", best)
	}
	if got := strings.Join(best.Steps, "\n"); got != `thickness: (26 − 2 × 0.5 planing + 3 kerf) ÷ (8 + 3 kerf), rounded down: 2
width: (150 − 5 edging + 3 kerf) ÷ (14 + 3 kerf), rounded down: 8
length: (3900 − 50 end trim) ÷ 1850, rounded down: 2
strips per plank: 2 × 8 × 2 = 32, × 70 % (the shop's yield) = 22.4
plank: 26 × 150 × 3900 mm = 0.01521 m3
price of a plank: 1050 USD per m3 × 0.01521 = 15.9705 USD
in job money: 15.9705 × 0.92 = 14.69286
cost of a strip: 14.69286 ÷ 22.4 = 0.6559` {
		t.Errorf("steps:\n%s", got)
	}
	want := []string{"400 mm too short", "no rate for PLN", "none is available"}
	if len(rejected) != len(want) {
		t.Fatalf("%d rejections, want %d: %v", len(rejected), len(want), rejected)
	}
	for i, r := range rejected {
		if !strings.Contains(r.Why, want[i]) || r.Offer.Row != 4+i {
			t.Errorf("row %d rejected because %q; want row %d because %q", r.Offer.Row, r.Why, 4+i, want[i])
		}
	}

	// The certified offer is dearer, and preferred.
	if best, _ := Cheapest(offers, nil, "ash-white", 8, blank, shop, testRates, true); best == nil || best.Offer != &offers[1] {
		t.Errorf("preferring certified wood takes %+v", best)
	}
	// Of equal costs the supplier decides, not the order of the slice.
	if best, _ := Cheapest(offers[:2], nil, "ash-white", 8, blank, shop, testRates, false); best == nil || best.Offer != &offers[1] {
		t.Errorf("of equal costs %+v is taken, want supplier A", best)
	}
	// 14.69 for a plank in the yard is cheaper than 14.69286, and equal to it at 4 decimals of a strip it still goes first.
	stock := []StockLine{
		{Wood: "ash-white", Plank: plank, Planks: 10, ValueEach: money("14.692"), Currency: "EUR", Sheet: "Stock", Row: 2},
		{Wood: "ash-white", Plank: plank, Planks: 0, ValueEach: money("1"), Currency: "EUR", Sheet: "Stock", Row: 3},
	}
	best, rejected = Cheapest(offers, stock, "ash-white", 8, blank, shop, testRates, false)
	if best == nil || !best.Stock || best.Offer.Row != 2 || best.Cost.String() != "0.6559" {
		t.Errorf("with stock %+v is taken", best)
	}
	if len(rejected) != 4 || rejected[0].Offer.Supplier != YardStock || rejected[0].Offer.Row != 3 {
		t.Errorf("rejected with stock: %+v", rejected)
	}
	if best, rejected := Cheapest(offers, stock, "beech-european", 8, blank, shop, testRates, false); best != nil || rejected != nil {
		t.Errorf("a wood nobody offers is priced: %+v, %+v", best, rejected)
	}
	// Strips in the yard of the very size are ready strips.
	ready := []StockLine{{Wood: "ash-white", Plank: Plank{8, 14, 1850}, Planks: 10, ValueEach: money("0.5")}}
	if best, _ := Cheapest(nil, ready, "ash-white", 8, blank, shop, testRates, false); best == nil || best.Cost.String() != "0.5" {
		t.Errorf("a ready strip of 0.50 costs %+v", best)
	}
}

// Board feet in the steps count what the plank is sold as: 1 in × 6 in × 8 ft ÷ 12 = 4 bf, though it measures 13/16 in.
func TestStepsOfBoardFeet(t *testing.T) {
	o := []Offer{{Wood: "balsa", Plank: Plank{20.6375, 152.4, 2438.4}, NominalMM: 25.4, Price: money("1.35"), Currency: "EUR", Unit: PerBoardFoot, YieldPct: gradeYield("FAS")}}
	best, rejected := Cheapest(o, nil, "balsa", 8, Blank{1850, 14}, DefaultShop(), testRates, false)
	if best == nil {
		t.Fatal(rejected)
	}
	if got := strings.Join(best.Steps[3:], "\n"); got != `strips per plank: 2 × 8 × 1 = 16, × 83.333333 % (the grade's yield) = 13.3333
plank: 25.4 × 152.4 × 2438.4 mm (nominal thickness, at least 1 in) = 4 bf
price of a plank: 1.35 EUR per bf × 4 = 5.4 EUR
cost of a strip: 5.4 ÷ 13.3333 = 0.4050` {
		t.Errorf("steps:\n%s", got)
	}
}

// A dearer offer never makes a cheaper strip; one offer more never makes the cheapest dearer.
func TestCostIsMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	units := []Unit{PerM3, PerBoardFoot, PerMBF, PerMetre, PerFoot, PerPiece, PerSquareMetre}
	random := func() Offer {
		return Offer{Supplier: "S", Row: rng.IntN(100), Wood: "balsa", Plank: Plank{20 + 40*rng.Float64(), 80 + 150*rng.Float64(), 1950 + 3000*rng.Float64()},
			Price: decimal.New(1+rng.Int64N(200000), -2), Currency: []string{"EUR", "USD", "CHF"}[rng.IntN(3)], Unit: units[rng.IntN(len(units))]}
	}
	for range 1000 {
		blank := Blank{1500 + 400*rng.Float64(), 10 + 5*rng.Float64()}
		offers := []Offer{random(), random(), random()}
		cost := func(offers []Offer) decimal.Decimal {
			best, rejected := Cheapest(offers, nil, "balsa", 9, blank, DefaultShop(), testRates, false)
			if best == nil {
				t.Fatalf("nothing usable: %v", rejected)
			}
			return best.Cost
		}
		three := cost(offers)
		if two := cost(offers[:2]); two.LessThan(three) {
			t.Fatalf("two offers give %s, with a third %s", two, three)
		}
		one := cost(offers[:1])
		dearer := offers[0]
		dearer.Price = dearer.Price.Add(decimal.New(1+rng.Int64N(1000), -2))
		if got := cost([]Offer{dearer}); got.LessThan(one) {
			t.Fatalf("at %s a strip costs %s, at %s only %s", offers[0].Price, one, dearer.Price, got)
		}
	}
}

// TestStepsByCalculator reckons every step of a strip's price again from the figures that it shows, as a buyer would.
func TestStepsByCalculator(t *testing.T) {
	var (
		sawing = regexp.MustCompile(`^(?:thickness|width|length): \((\S+) − (?:(2) × )?(\S+) (?:planing|edging|end trim)(?: \+ (\S+) kerf)?\) ÷ \(?(\S+?)(?: \+ (\S+) kerf\))?, rounded down: (\d+)$`)
		strips = regexp.MustCompile(`^strips per plank: (\d+) × (\d+) × (\d+) = (\d+), × (\S+) % \(.*\) = (\S+)$`)
		plank  = regexp.MustCompile(`^price of a plank: (\S+) \S+ per \S+ × (\S+) = (\S+) \S+$`)
		inJob  = regexp.MustCompile(`^in job money: (\S+) × (\S+) = (\S+)$`)
		strip  = regexp.MustCompile(`^cost of a strip: (\S+) ÷ (\S+) = (\S+)$`)
	)
	num := func(s string) float64 {
		if s == "" {
			return 0
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	rng := rand.New(rand.NewPCG(3, 14))
	rates := Rates{"EUR": decimal.NewFromInt(1), "USD": decimal.New(913, -3)}
	shop := Shop{KerfMM: 2.4, PlaningMM: 0.5, EdgingMM: 5, EndTrimMM: 50, YieldPct: 70}
	seen := map[string]int{}
	for range 400 {
		o := Offer{Wood: "ash-white", Currency: []string{"EUR", "USD"}[rng.IntN(2)], Unit: []Unit{PerM3, PerBoardFoot, PerMBF, PerMetre, PerFoot, PerSquareMetre}[rng.IntN(6)],
			YieldPct: []float64{0, 250. / 3, 200. / 3, 50, 100. / 3}[rng.IntN(5)], Price: decimal.New(rng.Int64N(99_999)+1, -2),
			Plank: Plank{float64(20 + rng.IntN(40)), 25.4 * float64(4+rng.IntN(8)), float64(1800 + 10*rng.IntN(300))}}
		p, rejected := Cheapest([]Offer{o}, nil, o.Wood, float64(6+rng.IntN(9)), Blank{LengthMM: 1640, ThicknessMM: 8.2}, shop, rates, false)
		if p == nil {
			t.Fatalf("%+v: %+v", o, rejected)
		}
		for _, s := range p.Steps {
			for _, c := range []struct {
				name  string
				of    *regexp.Regexp
				reach func(m []string) (got, want, off float64)
			}{
				{"sawing", sawing, func(m []string) (got, want, off float64) {
					return math.Floor((num(m[1])-max(1, num(m[2]))*num(m[3])+num(m[4]))/(num(m[5])+num(m[6])) + 1e-9), num(m[7]), 0
				}},
				{"strips", strips, func(m []string) (got, want, off float64) {
					if num(m[1])*num(m[2])*num(m[3]) != num(m[4]) {
						t.Error(s)
					}
					return math.Round(num(m[4])*num(m[5])*100) / 1e4, num(m[6]), 1e-9
				}},
				{"plank", plank, func(m []string) (got, want, off float64) { return num(m[1]) * num(m[2]), num(m[3]), 1e-5 }},
				{"money", inJob, func(m []string) (got, want, off float64) { return num(m[1]) * num(m[2]), num(m[3]), 0.6e-6 }},
				{"strip", strip, func(m []string) (got, want, off float64) { return num(m[1]) / num(m[2]), num(m[3]), 0.51e-4 }},
			} {
				if m := c.of.FindStringSubmatch(s); m != nil {
					seen[c.name]++
					if got, want, off := c.reach(m); math.Abs(got-want) > off {
						t.Errorf("%s: a calculator has %v", s, got)
					}
				}
			}
		}
	}
	if seen["sawing"] != 1200 || seen["strips"] != 400 || seen["plank"] != 400 || seen["money"] < 100 || seen["strip"] != 400 {
		t.Errorf("steps reckoned: %v", seen)
	}
}
