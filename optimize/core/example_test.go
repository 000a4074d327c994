package core_test

import (
	"fmt"

	"stavewright/optimize/core"
	"stavewright/species"
)

// A small invented board: what it weighs and how it bends with dense strips at the edges, and without.
func Example() {
	figure := func(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }
	board := &core.Board{
		Name:    "Invented 152",
		Section: core.Pressed,
		Stations: []core.Station{
			{FromTipMM: 0, WidthMM: 180, ThicknessMM: 2}, {FromTipMM: 300, WidthMM: 250, ThicknessMM: 3},
			{FromTipMM: 760, WidthMM: 230, ThicknessMM: 7.5},
			{FromTipMM: 1220, WidthMM: 250, ThicknessMM: 3}, {FromTipMM: 1520, WidthMM: 180, ThicknessMM: 2},
		},
		Positions: []core.Position{
			{Name: "middle", Strips: 6, StripWidthMM: 15},
			{Name: "edge", Strips: 3, StripWidthMM: 12},
		},
		Layers: []core.Layer{
			{Name: "skin above", Place: core.Above, Order: 1, ModulusGPa: 21, ThicknessMM: 0.5, DensityKgM3: 1800},
			{Name: "skin below", Place: core.Below, Order: 1, ModulusGPa: 21, ThicknessMM: 0.6, DensityKgM3: 1800},
			{Name: "base", Place: core.Below, Order: 2, ModulusGPa: 0.8, ThicknessMM: 1.2, DensityKgM3: 940},
		},
		Woods: []species.Wood{
			{ID: "light", ModulusGPa: figure(9), DensityKgM3: figure(420)},
			{ID: "dense", ModulusGPa: figure(14), DensityKgM3: figure(700)},
		},
		SpanMM: 1000, MeasureAtMM: 760, GlueGM2: 180,
	}
	prepared, err := board.Prepare()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, layout := range []core.Layout{{0, 0, 0, 0, 0, 0, 0, 0, 0}, {0, 0, 0, 0, 0, 0, 1, 1, 1}} {
		f, err := prepared.Evaluate(layout)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("core %.2f g, EI %.2f N·m², flex %.3f N/mm\n", f.CoreMassG, f.Measure.PressedEINM2, f.Flex.PressedNPerMM)
	}
	// Output:
	// core 639.75 g, EI 164.04 N·m², flex 4.853 N/mm
	// core 734.64 g, EI 172.87 N·m², flex 5.093 N/mm
}

// An invented core of one wood, unpressed, under 100 N in the middle of 800 mm.
func ExamplePrepared_Strength() {
	figure := func(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }
	board := &core.Board{
		Name: "Invented core", Section: core.Bare,
		Stations:  []core.Station{{FromTipMM: 0, WidthMM: 240, ThicknessMM: 3}, {FromTipMM: 500, WidthMM: 240, ThicknessMM: 7}, {FromTipMM: 1000, WidthMM: 240, ThicknessMM: 3}},
		Positions: []core.Position{{Name: "all", Strips: 8, StripWidthMM: 15}},
		Woods: []species.Wood{{ID: "light", ModulusGPa: figure(9), DensityKgM3: figure(420), BendingStrengthMPa: figure(60),
			ShearMPa: figure(6)}},
		SpanMM: 800, MeasureAtMM: 500,
	}
	prepared, err := board.Prepare()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := prepared.Strength(make(core.Layout, 8), core.Load{N: 100, SafetyFactor: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, w := range s.ByWood {
		fmt.Printf("%.2f of %.0f MPa at %.0f mm: %.1f %%\n", w.StressMPa, w.StrengthMPa, w.AtMM, w.UtilisationPct)
	}
	// Output:
	// 10.20 of 60 MPa at 500 mm: 34.0 %
	// 0.08 of 6 MPa at 100 mm: 2.7 %
}
