package core_test

import (
	"math"
	"reflect"
	"testing"

	. "stavewright/optimize/core"
)

func TestOutline(t *testing.T) {
	b := &Board{Stations: []Station{{0, 80, 2}, {100, 120, 6}, {300, 100, 4}}}
	for _, tt := range []struct{ x, half, thickness float64 }{
		{-1, 0, 0}, {0, 40, 2}, {25, 45, 3}, {100, 60, 6}, {200, 55, 5}, {300, 50, 4}, {300.1, 0, 0},
	} {
		if h, th := b.HalfWidthMM(tt.x), b.ThicknessMM(tt.x); h != tt.half || th != tt.thickness {
			t.Errorf("at %g mm: half width %g, thickness %g; want %g, %g", tt.x, h, th, tt.half, tt.thickness)
		}
	}
	if b.LengthMM() != 300 || b.MiddleMM() != 150 {
		t.Errorf("length %g, middle %g; want 300, 150", b.LengthMM(), b.MiddleMM())
	}
	if b := (&Board{}); b.LengthMM() != 0 || b.HalfWidthMM(0) != 0 || len(b.Strips()) != 0 || len(b.Groups()) != 0 {
		t.Error("an empty board has a size")
	}
}

func TestStrips(t *testing.T) {
	for _, tt := range []struct {
		name      string
		positions []Position
		want      []Strip
	}{
		{"mirrored pairs", []Position{{Strips: 2, StripWidthMM: 10}, {Strips: 1, StripWidthMM: 15}},
			[]Strip{{0, 0, 10, 2, 1}, {0, 10, 20, 2, 1}, {1, 20, 35, 2, 1}}},
		{"three on the centre line", []Position{{Strips: 3, StripWidthMM: 10, OnCentreLine: true}, {Strips: 1, StripWidthMM: 20}},
			[]Strip{{0, 0, 5, 1, 1}, {0, 5, 15, 2, 2}, {1, 15, 35, 2, 1}}},
		{"one on the centre line", []Position{{Strips: 1, StripWidthMM: 10, OnCentreLine: true}, {Strips: 1, StripWidthMM: 20}},
			[]Strip{{0, 0, 5, 1, 1}, {1, 5, 25, 2, 1}}},
		{"four on the centre line", []Position{{Strips: 4, StripWidthMM: 10, OnCentreLine: true}, {Strips: 1, StripWidthMM: 20}},
			[]Strip{{0, 0, 10, 2, 2}, {0, 10, 20, 2, 2}, {1, 20, 40, 2, 1}}},
	} {
		if got := (&Board{Positions: tt.positions}).Strips(); !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %+v, want %+v", tt.name, got, tt.want)
		}
	}
}

func TestGroups(t *testing.T) {
	for _, tt := range []struct {
		name      string
		stations  []Station
		positions []Position
		want      [][]int // strips by group
	}{
		{"never cut", []Station{{0, 60, 2}, {100, 60, 2}}, []Position{{Strips: 3, StripWidthMM: 10}}, [][]int{{0, 1, 2}}},
		{"outline on a joint, in binary fractions that do not add up", []Station{{0, 72.6, 2}, {100, 72.6, 2}}, []Position{{Strips: 4, StripWidthMM: 12.1}},
			[][]int{{0, 1, 2}, {3}}},
		{"outer strips cut", []Station{{0, 30, 2}, {100, 60, 2}}, []Position{{Strips: 3, StripWidthMM: 10}}, [][]int{{0}, {1}, {2}}},
		{"a straight cut through one strip", []Station{{0, 50, 2}, {100, 50, 2}}, []Position{{Strips: 4, StripWidthMM: 10}},
			[][]int{{0, 1}, {2}, {3}}},
		{"beyond the outline", []Station{{0, 40, 2}, {100, 40, 2}}, []Position{{Strips: 4, StripWidthMM: 10}}, [][]int{{0, 1}, {2, 3}}},
		{"positions stay apart", []Station{{0, 40, 2}, {100, 40, 2}}, []Position{{Strips: 1, StripWidthMM: 10}, {Strips: 1, StripWidthMM: 10}},
			[][]int{{0}, {1}}},
		{"astride the centre line stays apart", []Station{{0, 50, 2}, {100, 50, 2}}, []Position{{Strips: 5, StripWidthMM: 10, OnCentreLine: true}},
			[][]int{{0}, {1, 2}}},
	} {
		var got [][]int
		for _, g := range (&Board{Stations: tt.stations, Positions: tt.positions}).Groups() {
			got = append(got, g.Strips)
		}
		if !reflect.DeepEqual(got, tt.want) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// byHand is a board whose figures fit on a sheet of paper: 1000 mm long, 100 mm wide, 5 mm thick.
func byHand() *Board {
	b := beam(10, 100, 5, 1000, nil, nil)
	b.Positions = []Position{{Name: "centre", Strips: 1, StripWidthMM: 20, OnCentreLine: true}, {Name: "side", Strips: 2, StripWidthMM: 20}}
	b.Woods = append(b.Woods, wood("dense", 14, 700, 20))
	b.GlueGM2 = 200
	return b
}

func TestMassByHand(t *testing.T) {
	b := byHand()
	f := evaluate(t, b, Layout{0, 0, 1})
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"wood: 20 + 40 mm at 500, 40 mm at 700 kg/m³", f.WoodMassG, 1000 * 5 * (60*500 + 40*700) * 1e-6},
		{"glue: 4 joints of 5000 mm² at 200 g/m²", f.GlueMassG, 4},
		{"core", f.CoreMassG, 290 + 4},
		{"volume", f.VolumeCM3, 500},
		{"volume of the dense wood", f.WoodVolumeCM3[1], 200},
		{"mass of the dense wood", f.WoodMassByG[1], 140},
		{"C", f.Measure.CNPerMM, 60*10e3 + 40*14e3},
		{"gravity on the centre line", f.MeanGravity[0], 500. / 1100},
		{"gravity beside", f.MeanGravity[1], 600. / 1100},
	} {
		near(t, tt.what, tt.got, tt.want, 1e-12)
	}

	b.Positions[0] = Position{Name: "centre", Strips: 2, StripWidthMM: 10, OnCentreLine: true}
	near(t, "glue with a joint on the centre line: 5", evaluate(t, b, Layout{0, 0, 1}).GlueMassG, 5, 1e-12)
	b.Positions[1].Strips = 3 // reaches beyond the outline: its joint lies where no core is
	near(t, "glue where the outline meets a joint: 5", evaluate(t, b, Layout{0, 0, 1, 1}).GlueMassG, 5, 1e-12)
	b.Woods[1].SpecificGravity.Status = ""
	if f := evaluate(t, b, Layout{0, 0, 1, 1}); !math.IsNaN(f.MeanGravity[1]) || math.IsNaN(f.MeanGravity[0]) {
		t.Errorf("mean gravity %v; want a number and, of a wood without one, NaN", f.MeanGravity)
	}
}

func TestJointsEndWithTheOutline(t *testing.T) {
	b := byHand()
	b.Stations = []Station{{0, 20, 4}, {500, 100, 4}, {1000, 100, 4}}
	// Half width 10 + x/12.5 to 500 mm: the joint at 10 is everywhere, the one at 30 from 250 mm on; two of each.
	near(t, "glue", b.GlueMassG(), 2*(1000+750)*4*200*1e-6, 1e-12)
}

func TestLayersMass(t *testing.T) {
	b := byHand()
	b.Layers = []Layer{
		{Name: "base", Place: Below, Order: 1, ModulusGPa: 1, ThicknessMM: 1, DensityKgM3: 1000},
		{Name: "wall", Place: Beside, Order: 1, ModulusGPa: 2, WidthMM: 10, DensityKgM3: 1000, FromMM: 200, ToMM: 700},
		{Name: "rail", Place: Beside, Order: 2, ModulusGPa: 2, WidthMM: 1, ThicknessMM: 2, DensityKgM3: 1000, FromMM: 200, ToMM: 700},
		{Name: "edge", Place: Below, Order: 2, ModulusGPa: 200, WidthMM: 4, ThicknessMM: 2, DensityKgM3: 8000},
	}
	// The base spans the wall and the rail on both sides where they are.
	want := 100. + 22*500*1e-3 + 20*5*500*1e-3 + 2*2*500*1e-3 + 8*8
	g, known := b.LayersMassG()
	near(t, "layers", g, want, 1e-12)
	if !known {
		t.Error("every density is known")
	}
	b.Layers[3].DensityKgM3 = 0
	if g, known = b.LayersMassG(); known {
		t.Error("the edge has no density")
	}
	near(t, "layers but the edge", g, want-64, 1e-12)
	if f := evaluate(t, b, Layout{0, 0, 1}); f.PressedMassKnown {
		t.Error("the pressed mass leaves the edge out and does not say so")
	}
}

func TestSidesOfAJump(t *testing.T) {
	b := byHand()
	b.Layers = []Layer{{Name: "skin", Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1, FromMM: 200, ToMM: 700}}
	with := 20e3 * 100.0
	for _, tt := range []struct {
		x    float64
		side Side
		want float64
	}{
		{199, Closed, 0}, {200, Closed, with}, {200, FromTip, 0}, {200, FromTail, with}, {300, Closed, with},
		{700, Closed, with}, {700, FromTip, with}, {700, FromTail, 0}, {701, Closed, 0}, {-1, Closed, 0}, {1001, Closed, 0},
	} {
		if got := b.SectionSide(tt.x, Pressed, tt.side).A0N; got != tt.want {
			t.Errorf("A0 at %g mm, side %d: %g N, want %g", tt.x, tt.side, got, tt.want)
		}
		if got := b.SectionSide(tt.x, Bare, tt.side).A0N; got != 0 {
			t.Errorf("the bare core has layers: A0 = %g", got)
		}
	}
}

func TestPads(t *testing.T) {
	b := byHand()
	b.Pads = []Pad{{Position: 1, FromMM: 400, ToMM: 600, Wood: 1}}
	g := b.Groups()
	side := g[1]
	for _, tt := range []struct{ x, modulus float64 }{{399, 10}, {400, 0.7}, {500, 0.7}, {600, 0.7}, {601, 10}} {
		near(t, "strip beside", b.StripC(side, 0, tt.x), 40*1e3*tt.modulus, 1e-12)
	}
	near(t, "strip on the centre line", b.StripC(g[0], 0, 500), 20*10e3, 1e-12)
	near(t, "mass of a strip beside", b.StripMassG(side, 0), 40*5*(800*500+200*700)*1e-6, 1e-12)
	near(t, "its volume", b.StripVolumeCM3(side), 200, 1e-12)
	near(t, "its own volume", b.StripOwnVolumeCM3(side), 160, 1e-12)
	near(t, "the pads", b.PadVolumeCM3(1), 80, 1e-12)
	if b.PadVolumeCM3(0) != 0 {
		t.Error("there is no pad of the first wood")
	}
	f := evaluate(t, b, Layout{0, 0, 0})
	near(t, "C in the middle", f.Measure.CNPerMM, 20*10e3+80*0.7e3, 1e-12)
	near(t, "volume of the pads' wood", f.WoodVolumeCM3[1], 80, 1e-12)
	if softer, plain := f.Flex.CoreNPerMM, evaluate(t, byHand(), Layout{0, 0, 0}).Flex.CoreNPerMM; softer >= plain {
		t.Errorf("flex with pads %g, without %g N/mm", softer, plain)
	}
	// The pads vary by their own wood.
	v, _ := b.StripVarC(side, 0, 500)
	near(t, "variance under the pad", v, 2*math.Pow(0.2*20*0.7e3, 2), 1e-12)
	b.Woods[1].ModulusCVPct.Status = ""
	if _, known := b.StripVarC(side, 0, 500); known {
		t.Error("the pads' wood has no coefficient of variation")
	}
	if _, known := b.StripDevC(side, 0, 100); !known {
		t.Error("the strip's wood has one")
	}
	if evaluate(t, b, Layout{0, 0, 0}).Scatter.Known {
		t.Error("the scatter is known without that of the pads")
	}
}

func TestScatterByHand(t *testing.T) {
	b := byHand()
	b.Section = Bare
	s := evaluate(t, b, Layout{1, 1, 0}).Scatter
	// One piece of 20 mm and two of 20 mm at 14 GPa and 20 %, two of 20 mm at 10 GPa and 10 %.
	c, dense, light := 60*14e3+40*10e3, 0.2*20*14e3, 0.1*20*10e3
	sd := math.Sqrt(3*dense*dense + 2*light*light)
	near(t, "C", s.CPct, 100*sd/c, 1e-12)
	near(t, "EI of a bare core", s.EIPct, 100*sd/c, 1e-12)
	near(t, "flex of a bare prismatic core", s.FlexPct, 100*sd/c, 1e-9)
	near(t, "left less right", s.LeftRightPct, 100*math.Sqrt(2*dense*dense+2*light*light)/c, 1e-12)
	b.Correlation = 1
	s = evaluate(t, b, Layout{1, 1, 0}).Scatter
	near(t, "C of one plank", s.CPct, 100*(3*dense+2*light)/c, 1e-12)
	if s.LeftRightPct != 0 {
		t.Errorf("halves from one plank differ by %g %%", s.LeftRightPct)
	}
}
