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
