package core_test

import (
	"fmt"
	"testing"

	. "stavewright/optimize/core"
	"stavewright/species"
)

// ofSize is a board of that many stations and strips a side, shaped like a real one, with layers.
func ofSize(stations, strips int) (*Board, Layout) {
	b := &Board{Name: "bench", Section: Pressed, SpanMM: 1000, MeasureAtMM: 780, GlueGM2: 180,
		Positions: []Position{{Name: "all", Strips: strips, StripWidthMM: 135 / float64(strips)}},
		Woods:     []species.Wood{wood("light", 9.5, 430, 18), wood("dense", 12, 680, 15)},
		Layers: []Layer{
			{Name: "skin above", Place: Above, Order: 1, ModulusGPa: 21, ThicknessMM: 0.6, DensityKgM3: 1800},
			{Name: "top", Place: Above, Order: 2, ModulusGPa: 2, ThicknessMM: 0.5, DensityKgM3: 1100},
			{Name: "skin below", Place: Below, Order: 1, ModulusGPa: 23, ThicknessMM: 0.7, DensityKgM3: 1800},
			{Name: "base", Place: Below, Order: 2, ModulusGPa: 0.8, ThicknessMM: 1.2, DensityKgM3: 940},
			{Name: "edge", Place: Below, Order: 2, ModulusGPa: 200, ThicknessMM: 2, WidthMM: 6.6, LetInMM: 0.8, DensityKgM3: 7850, FromMM: 200, ToMM: 1360},
			{Name: "wall", Place: Beside, Order: 1, ModulusGPa: 2.2, WidthMM: 8, DensityKgM3: 1050, FromMM: 240, ToMM: 1320},
		}}
	for i := range stations {
		u := float64(i)/float64(stations-1)*2 - 1
		b.Stations = append(b.Stations, Station{780 + 780*u, 240 + 120*u*u*(1-1.1*u*u), 7.6 - 5.6*u*u})
	}
	l := make(Layout, strips)
	for i := range l {
		l[i] = i % 2
	}
	return b, l
}

func BenchmarkEvaluate(b *testing.B) {
	for _, size := range []struct{ stations, strips int }{{13, 9}, {21, 20}, {41, 40}} {
		board, l := ofSize(size.stations, size.strips)
		b.Run(fmt.Sprintf("%d stations %d strips", size.stations, size.strips), func(b *testing.B) {
			p, err := board.Prepare()
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := p.Evaluate(l); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("unprepared %d stations %d strips", size.stations, size.strips), func(b *testing.B) {
			for b.Loop() {
				if _, err := board.Evaluate(l); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkStripC(b *testing.B) {
	board, _ := ofSize(21, 20)
	groups := board.Groups()
	for b.Loop() {
		for _, g := range groups {
			board.StripC(g, 0, 780)
		}
	}
}

func BenchmarkStripMassG(b *testing.B) {
	board, _ := ofSize(21, 20)
	groups := board.Groups()
	for b.Loop() {
		for _, g := range groups {
			board.StripMassG(g, 0)
		}
	}
}

func BenchmarkStrength(b *testing.B) {
	board, l := ofSize(21, 20)
	p, err := board.Prepare()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := p.Strength(l, Load{N: 600}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFlexForm(b *testing.B) {
	board, l := ofSize(21, 20)
	p, err := board.Prepare()
	if err != nil {
		b.Fatal(err)
	}
	form := p.FlexForm(Pressed)
	c, slope := spanC(board, p, l), make([]float64, len(p.FlexNodes()))
	for b.Loop() {
		form.Gradient(c, slope)
	}
}
