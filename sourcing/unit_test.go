package sourcing

import (
	"math/big"
	"testing"

	"github.com/shopspring/decimal"
)

func money(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// A board foot is 144 in³ = 0.002359737216 m³ exactly, from 1 in = 25.4 mm.
func TestBoardFoot(t *testing.T) {
	plank := Plank{25.4, 304.8, 304.8} // 1 in × 12 in × 12 in
	for unit, want := range map[Unit]string{PerM3: "0.002359737216", PerBoardFoot: "1", PerMBF: "0.001", PerSquareMetre: "0.09290304", PerMetre: "0.3048", PerFoot: "1", PerPiece: "1"} {
		n, err := plank.in(unit, 0)
		exact, _ := new(big.Rat).SetString(want)
		if err != nil || n.Cmp(exact) != 0 {
			t.Errorf("one board foot is %v %s, %v; want exactly %s", n, unit, err, want)
		}
	}
}

func TestPlankCost(t *testing.T) {
	foot8 := Plank{25.4, 152.4, 2438.4} // 4/4 × 6 in × 8 ft: 1 × 6 × 8/12 = 4 bf
	for _, tt := range []struct {
		name, source string
		offer        Offer
		plank, perM3 string
	}{
		{"bf", "4 bf × 1.35", Offer{Plank: foot8, Price: money("1.35"), Unit: PerBoardFoot}, "5.4", "572.097601"}, // 1.35 ÷ 0.002359737216
		{"MBF", "4/1000 MBF × 1350", Offer{Plank: foot8, Price: money("1350"), Unit: PerMBF}, "5.4", "572.097601"},
		{"planed, on nominal", "counted 1 in: 4 bf; 1.35 ÷ (0.002359737216 × 13/16)", Offer{Plank: Plank{20.6375, 152.4, 2438.4}, NominalMM: 25.4, Price: money("1.35"), Unit: PerBoardFoot}, "5.4", "704.120124"},
		{"thin counts 1 in", "as planed", Offer{Plank: Plank{20.6375, 152.4, 2438.4}, Price: money("1.35"), Unit: PerBoardFoot}, "5.4", "704.120124"},
		{"5/4", "1.25 × 6 × 8/12 = 5 bf", Offer{Plank: Plank{31.75, 152.4, 2438.4}, Price: money("2"), Unit: PerBoardFoot}, "10", "847.552001"},
		{"m³", "0.026 × 0.15 × 2.5 = 0.00975 m³", Offer{Plank: Plank{26, 150, 2500}, Price: money("600"), Unit: PerM3}, "5.85", "600"},
		{"m²", "0.15 × 2.5 = 0.375 m²", Offer{Plank: Plank{26, 150, 2500}, Price: money("20"), Unit: PerSquareMetre}, "7.5", "769.230769"},
		{"running metre", "2.5 m", Offer{Plank: Plank{26, 150, 2500}, Price: money("3.10"), Unit: PerMetre}, "7.75", "794.871795"},
		{"running foot", "2438.4 ÷ 304.8 = 8 ft", Offer{Plank: foot8, Price: money("0.9"), Unit: PerFoot}, "7.2", "762.796801"}, // 7.2 ÷ 0.009438948864
		{"piece", "", Offer{Plank: Plank{26, 150, 2500}, Price: money("7.80"), Unit: PerPiece}, "7.8", "800"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.offer.PlankCost()
			if err != nil || !got.Equal(money(tt.plank)) {
				t.Errorf("a plank costs %s, %v; want %s (%s)", got, err, tt.plank, tt.source)
			}
			if got := tt.offer.PricePerM3(); !got.Equal(money(tt.perM3)) {
				t.Errorf("a m³ costs %s; want %s (%s)", got, tt.perM3, tt.source)
			}
		})
	}
	for _, o := range []Offer{
		{Plank: Plank{26, 0, 2500}, Price: money("600"), Unit: PerM3},
		{Plank: Plank{26, 150, -1}, Price: money("600"), Unit: PerMetre},
		{Plank: Plank{26, 150, 2500}, Price: money("600"), Unit: "pack"},
	} {
		if got, err := o.PlankCost(); err == nil {
			t.Errorf("%s per %s costs %s; want an error", o.Plank, o.Unit, got)
		}
	}
}
