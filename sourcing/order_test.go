package sourcing

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

// Steps, packs and tiers, each by hand. 26 × 125 × 4000 mm is 0.013 m³; 1 in × 6 in × 10 ft is 5 bf and 0.01179868608 m³.
func TestOrder(t *testing.T) {
	metric, board := Plank{26, 125, 4000}, Plank{25.4, 152.4, 3048}
	for _, tt := range []struct {
		name     string
		offer    Offer
		step, m3 string
		planks   string // in 3 steps
		min, max int
		tiers    string // from:base:each
	}{
		{"a plank by the m3", Offer{Plank: metric, Unit: PerM3, Price: money("800"), MinQuantity: money("0.5")},
			"0.013", "0.013", "3", 39, -1, "1:0:10.4"}, // 0.5 ÷ 0.013 = 38.46
		{"a plank by the board foot", Offer{Plank: board, Unit: PerBoardFoot, Price: money("1.42"), MinQuantity: money("300"), Available: money("1003"), HasAvailable: true},
			"5", "0.011798686", "3", 60, 200, "1:0:7.1"},
		{"pieces", Offer{Plank: metric, Unit: PerPiece, Price: money("9.5"), Available: money("35"), HasAvailable: true},
			"1", "0.013", "3", 1, 35, "1:0:9.5"},
		{"packs of 40 pieces", Offer{Plank: metric, Unit: PerPiece, Price: money("9.5"), PackSize: money("40"), MinQuantity: money("50"), Available: money("135"), HasAvailable: true},
			"40", "0.52", "120", 2, 3, "1:0:380"},
		{"packs of 1.3 m3 hold 100 planks", Offer{Plank: metric, Unit: PerM3, Price: money("800"), PackSize: money("1.3")},
			"1.3", "1.3", "300", 1, -1, "1:0:1040"},
		{"packs of 1 m3 hold 76.92 planks", Offer{Plank: metric, Unit: PerM3, Price: money("800"), PackSize: money("1")},
			"1", "1", "230.77", 1, -1, "1:0:800"},
		// 1.3 m³ are 100 planks exactly; 2 m³ are 153.8, so from 154 on.
		{"all units", Offer{Plank: metric, Unit: PerM3, Price: money("800"), Breaks: []Break{{money("1.3"), money("750")}, {money("2"), money("700")}}},
			"0.013", "0.013", "3", 1, -1, "1:0:10.4 100:0:9.75 154:0:9.1"},
		// The first 1.3 m³ cost 1040, the next 0.7 cost 525: at 1.3 m³ 9.75 × 100 = 975, so 65 are added; at 2 m³ 1565 − 1400.
		{"incremental", Offer{Plank: metric, Unit: PerM3, Price: money("800"), Incremental: true, Breaks: []Break{{money("1.3"), money("750")}, {money("2"), money("700")}}},
			"0.013", "0.013", "3", 1, -1, "1:0:10.4 100:65:9.75 154:165:9.1"},
		{"a break inside the first pack", Offer{Plank: metric, Unit: PerPiece, Price: money("10"), PackSize: money("50"), Breaks: []Break{{money("20"), money("9")}, {money("100"), money("8")}}},
			"50", "0.65", "150", 1, -1, "1:0:450 2:0:400"},
		{"an incremental break inside the first pack", Offer{Plank: metric, Unit: PerPiece, Price: money("10"), PackSize: money("50"), Incremental: true, Breaks: []Break{{money("20"), money("9")}}},
			"50", "0.65", "150", 1, -1, "1:20:450"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r, err := NewOrder(&tt.offer)
			if err != nil {
				t.Fatal(err)
			}
			var tiers []string
			for _, x := range r.Tiers {
				tiers = append(tiers, decimal.NewFromInt(int64(x.From)).String()+":"+x.Base.String()+":"+x.Each.String())
			}
			if got := strings.Join(tiers, " "); got != tt.tiers || r.StepQuantity.String() != tt.step || r.StepM3.String() != tt.m3 || r.MinSteps != tt.min || r.MaxSteps != tt.max || r.Planks(3).String() != tt.planks {
				t.Errorf("step %s, %s m³, %s planks in 3, %d to %d, tiers %s; want %s, %s, %s, %d to %d, %s",
					r.StepQuantity, r.StepM3, r.Planks(3), r.MinSteps, r.MaxSteps, got, tt.step, tt.m3, tt.planks, tt.min, tt.max, tt.tiers)
			}
		})
	}
}

// What steps cost is what their quantity costs, breaks of both kinds and packs or none.
func TestOrderCostIsTheOffers(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	for i := range 300 {
		o := Offer{Plank: Plank{20 + float64(r.IntN(20)), 90 + float64(r.IntN(60)), 1700 + float64(r.IntN(2000))}, Price: decimal.New(int64(200+r.IntN(900)), -1),
			Unit: []Unit{PerM3, PerBoardFoot, PerMetre, PerPiece, PerSquareMetre, PerFoot}[r.IntN(6)], Incremental: r.IntN(2) == 0}
		from := decimal.Zero
		for range r.IntN(4) {
			from = from.Add(decimal.New(int64(1+r.IntN(4000)), -2))
			o.Breaks = append(o.Breaks, Break{from, o.Price.Mul(decimal.New(int64(98-5*len(o.Breaks)), -2))})
		}
		if r.IntN(2) == 0 {
			o.PackSize = decimal.New(int64(1+r.IntN(900)), -1)
		}
		order, err := NewOrder(&o)
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			n := 1 + r.IntN(3000)
			if got, want := order.Cost(n).Round(places), o.CostOf(order.Quantity(n)); !got.Equal(want) {
				t.Fatalf("case %d: %d steps of %s cost %s, their quantity %s: %+v", i, n, order.StepQuantity, got, want, o)
			}
		}
	}
}

func TestOrderRefused(t *testing.T) {
	metric := Plank{26, 125, 4000}
	for _, tt := range []struct {
		offer Offer
		why   string
	}{
		{Offer{Plank: Plank{26, 0, 4000}, Unit: PerM3}, "needs the plank's full size"},
		{Offer{Plank: metric, Unit: PerPiece, HasAvailable: true}, "none is available"},
		{Offer{Plank: metric, Unit: PerPiece, PackSize: money("40"), HasAvailable: true, Available: money("39")}, "39 piece are available, less than one step of 40"},
		{Offer{Plank: metric, Unit: PerPiece, MinQuantity: money("50"), HasAvailable: true, Available: money("49")}, "at least 50 must be ordered"},
		{Offer{Plank: metric, Unit: PerM3, MinQuantity: money("1e12")}, "a billion steps"},
		{Offer{Plank: metric, Unit: PerM3, Breaks: []Break{{money("1e12"), money("1")}}}, "a billion steps"},
	} {
		if r, err := NewOrder(&tt.offer); err == nil || !strings.Contains(err.Error(), tt.why) || r != nil {
			t.Errorf("%+v: %v, %v; want %q", tt.offer, r, err, tt.why)
		}
	}
}

func TestStepParts(t *testing.T) {
	o := Offer{Plank: Plank{26, 125, 4000}, Unit: PerM3, PackSize: money("1")}
	r, err := NewOrder(&o)
	if err != nil {
		t.Fatal(err)
	}
	// 1 ÷ 0.013 = 76.923076923…
	if n, err := r.StepParts(1_000_000_000); err != nil || n != 76_923_076_923 {
		t.Errorf("a pack is %d parts, %v", n, err)
	}
	if _, err := r.StepParts(1 << 60); err == nil {
		t.Error("more parts than can be reckoned with are accepted")
	}
}
