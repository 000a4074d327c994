package core_test

import (
	"encoding/binary"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	. "stavewright/optimize/core"
	"stavewright/species"
)

func TestCheck(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spoil func(b *Board)
		kind  ProblemKind
		index int
		at    float64
		text  string // part of it
	}{
		{"negative thickness", func(b *Board) { b.Stations[1].ThicknessMM = -3 }, AtStation, 1, 1000, "thickness at 1000 mm is -3 mm; it must be above 0"},
		{"no width", func(b *Board) { b.Stations[0].WidthMM = 0 }, AtStation, 0, 0, "width at 0 mm is 0 mm; it must be above 0"},
		{"width not a number", func(b *Board) { b.Stations[0].WidthMM = math.NaN() }, AtStation, 0, 0, "must be above 0"},
		{"infinite width", func(b *Board) { b.Stations[0].WidthMM = math.Inf(1) }, AtStation, 0, 0, "must be below 1000000"},
		{"hardly any thickness", func(b *Board) { b.Stations[0].ThicknessMM = 1e-9 }, AtStation, 0, 0, "is 1e-09 mm; it must be at least 0.000001"},
		{"before the tip", func(b *Board) { b.Stations[0].FromTipMM = -5 }, AtStation, 0, -5, "must not be below 0"},
		{"station twice", func(b *Board) { b.Stations = append(b.Stations, b.Stations[1]) }, AtStation, 2, 1000, "given twice"},
		{"stations backwards", func(b *Board) { slices.Reverse(b.Stations) }, AtStation, 1, 0, "tip to tail"},
		{"one station", func(b *Board) { b.Stations = b.Stations[:1]; b.SpanMM, b.MeasureAtMM = 0, 0 }, AtStation, -1, 0, "at least two stations, and has 1"},
		{"too narrow", func(b *Board) { b.Stations[1].WidthMM = 112.5 }, AtPosition, -1, 1000,
			"reach 50 mm from the centre line, but the core is 112.5 mm wide at 1000 mm from the tip, 56.25 mm to each side: 6.25 mm are missing"},
		{"no positions", func(b *Board) { b.Positions = nil }, AtPosition, -1, 0, "at least one position"},
		{"no strips", func(b *Board) { b.Positions[1].Strips = 0 }, AtPosition, 1, 0, "0 strips; it must have 1 to 1000"},
		{"very many strips", func(b *Board) { b.Positions[1].Strips = 1 << 40 }, AtPosition, 1, 0, "must have 1 to 1000"},
		{"no strip width", func(b *Board) { b.Positions[0].StripWidthMM = 0 }, AtPosition, 0, 0, `strip width of position "centre" is 0 mm; it must be above 0`},
		{"centre line not first", func(b *Board) { b.Positions[1].OnCentreLine = true }, AtPosition, 1, 0, "not the first"},
		{"layer nowhere", func(b *Board) { b.Layers[0].Place = "inside" }, AtLayer, 0, 0, "must be above, below or beside"},
		{"layer order", func(b *Board) { b.Layers[0].Order = 0 }, AtLayer, 0, 0, "1 is next to the core"},
		{"layer modulus", func(b *Board) { b.Layers[0].ModulusGPa = 0 }, AtLayer, 0, 0, `layer "skin": the modulus is 0 GPa; it must be above 0`},
		{"layer shear modulus", func(b *Board) { b.Layers[0].ShearGPa = -1 }, AtLayer, 0, 0, "shear modulus is -1 GPa"},
		{"layer density", func(b *Board) { b.Layers[0].DensityKgM3 = -1 }, AtLayer, 0, 0, "density is -1 kg/m3; it must be above 0, or be left out"},
		{"layer thickness", func(b *Board) { b.Layers[0].ThicknessMM = 0 }, AtLayer, 0, 0, "thickness is 0 mm; it must be above 0"},
		{"layer width", func(b *Board) { b.Layers[0].WidthMM = -1 }, AtLayer, 0, 0, "or be left out for the full width"},
		{"beside width", func(b *Board) { b.Layers[1].WidthMM = 0 }, AtLayer, 1, 100, "width is 0 mm; it must be above 0"},
		{"beside thickness", func(b *Board) { b.Layers[1].ThicknessMM = -1 }, AtLayer, 1, 100, "or be left out for the core's"},
		{"beside let in", func(b *Board) { b.Layers[1].LetInMM = 1 }, AtLayer, 1, 100, "only a layer above or below"},
		{"let in too deep", func(b *Board) { b.Layers[0].LetInMM = 1.5 }, AtLayer, 0, 0, "let in 1.5 mm; that must lie between 0 and its thickness, 1 mm"},
		{"layer beyond the tail", func(b *Board) { b.Layers[1].ToMM = 1001 }, AtLayer, 1, 100, "from 100 to 1001 mm, but the core from 0 to 1000 mm"},
		{"layer backwards", func(b *Board) { b.Layers[1].ToMM = 50 }, AtLayer, 1, 100, "the end must lie beyond the start"},
		{"pad position", func(b *Board) { b.Pads[0].Position = 2 }, AtPad, 0, 400, "no position 2"},
		{"pad wood", func(b *Board) { b.Pads[0].Wood = -1 }, AtPad, 0, 400, "no wood -1"},
		{"pad outside", func(b *Board) { b.Pads[0].FromMM = -1 }, AtPad, 0, -1, "reaches from -1 to 500 mm"},
		{"pads overlap", func(b *Board) { b.Pads = append(b.Pads, Pad{1, 450, 600, 0}) }, AtPad, 1, 450, "overlaps the one from 400 to 500 mm"},
		{"pad across the grain", func(b *Board) { b.Woods[1].CrossGrainGPa = species.Figure{} }, AtPad, 0, 400, "no modulus across the grain"},
		{"pad density", func(b *Board) { b.Woods[1].DensityKgM3 = species.Figure{} }, AtPad, 0, 400, "no density"},
		{"span too long", func(b *Board) { b.SpanMM = 1100 }, AtSpan, -1, 0, "support span is 1100 mm, but the core is only 1000 mm long"},
		{"span negative", func(b *Board) { b.SpanMM = -1 }, AtSpan, -1, 0, "support span is -1 mm; it must be above 0"},
		{"measured outside", func(b *Board) { b.MeasureAtMM = 1200 }, AtMeasure, -1, 1200, "at 1200 mm lies outside the core"},
		{"pre-strain", func(b *Board) { b.Positions[1].PreStrain = 0.03 }, AtPosition, 1, 0, `"side" is 30 per mille; it must lie between -20 and 20`},
		{"no pre-strain", func(b *Board) { b.Positions[1].PreStrain = math.NaN() }, AtPosition, 1, 0, "is NaN per mille"},
		{"glue", func(b *Board) { b.GlueGM2 = -1 }, AtShop, -1, 0, "glue spread is -1 g/m2"},
		{"correlation", func(b *Board) { b.Correlation = 1.01 }, AtShop, -1, 0, "must lie between 0 and 1"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := byHand()
			b.Layers = []Layer{{Name: "skin", Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1},
				{Name: "wall", Place: Beside, Order: 1, ModulusGPa: 2, WidthMM: 8, FromMM: 100, ToMM: 900}}
			b.Pads = []Pad{{Position: 1, FromMM: 400, ToMM: 500, Wood: 1}}
			if ps := b.Check(); len(ps) != 0 {
				t.Fatalf("at fault before it is spoilt: %v", ps)
			}
			tt.spoil(b)
			ps := b.Check()
			if !slices.ContainsFunc(ps, func(p Problem) bool {
				return p.Kind == tt.kind && p.Index == tt.index && p.FromTipMM == tt.at && strings.Contains(p.Text, tt.text)
			}) {
				t.Errorf("%+v; want %s %d at %g mm: … %s …", ps, tt.kind, tt.index, tt.at, tt.text)
			}
			if _, err := b.Evaluate(Layout{0, 0, 1}); err == nil {
				t.Error("a faulty board is evaluated")
			}
		})
	}
}

func TestEveryProblemIsReported(t *testing.T) {
	b := byHand()
	b.Stations[0].WidthMM, b.Stations[1].ThicknessMM, b.GlueGM2, b.Positions[0].Strips = -1, 0, -1, 0
	if ps := b.Check(); len(ps) != 4 {
		t.Errorf("%d problems, want 4: %v", len(ps), ps)
	}
}

func TestLayoutsThatDoNotFit(t *testing.T) {
	for _, tt := range []struct {
		name string
		l    Layout
		want string
	}{
		{"short", Layout{0, 0}, "layout has 2 strips"},
		{"long", Layout{0, 0, 0, 0}, "layout has 4 strips"},
		{"negative", Layout{0, -1, 0}, "strip 2 from the centre line: wood -1"},
		{"beyond", Layout{0, 0, 3}, "strip 3 from the centre line: wood 3"},
		{"without modulus", Layout{0, 0, 2}, `wood "unknown" has no modulus or no density`},
	} {
		b := byHand()
		b.Woods = append(b.Woods, species.Wood{ID: "unknown"})
		if _, err := b.Evaluate(tt.l); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want … %s …", tt.name, err, tt.want)
		}
	}
}

func TestPreparedStandsForTheBoardAsItWas(t *testing.T) {
	b := byHand()
	p, err := b.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	want := evaluate(t, b, Layout{0, 1, 0})
	b.Stations[0].ThicknessMM = 9
	b.Woods[0].ModulusGPa.Value = 1
	got, err := p.Evaluate(Layout{0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	alike(t, got, want)
	done := make(chan Figures)
	for range 8 {
		go func() {
			f, _ := p.Evaluate(Layout{0, 1, 0})
			done <- f
		}()
	}
	for range 8 {
		alike(t, <-done, want)
	}
}

func TestWithoutSpanOrScatter(t *testing.T) {
	b := byHand()
	b.SpanMM = 0
	b.Woods[0].ModulusCVPct = species.Figure{}
	f := evaluate(t, b, Layout{0, 0, 0})
	if f.Flex != (Flex{}) || f.Scatter != (Scatter{}) {
		t.Errorf("flex %+v and scatter %+v of nothing", f.Flex, f.Scatter)
	}
	if f = evaluate(t, b, Layout{1, 1, 1}); !f.Scatter.Known || f.Scatter.FlexPct != 0 {
		t.Errorf("scatter %+v, want known, and none of a flex that is not", f.Scatter)
	}
}

// FuzzBoard makes boards of any numbers: Check never panics, and what it lets pass has finite figures.
func FuzzBoard(f *testing.F) {
	seed := func(vs ...float64) {
		var raw []byte
		for _, v := range vs {
			raw = binary.LittleEndian.AppendUint64(raw, math.Float64bits(v))
		}
		f.Add(raw, 2, 3, uint8(1))
	}
	seed(0, 80, 2, 500, 100, 6, 1000, 60, 3, 10, 20, 15, 20, 1, 0.5, 0, 1800, 0, 0, 800, 500, 200, 0.2)
	seed(0, 80, 2, 500, 80, 6, 1000, 80, 3, 40, 20, 15, 20, 1, 10, 0.5, 0, 200, 300, 1000, 0, 0, 1)
	seed(0, 1e-6, 1e-6, 1, 9e5, 9e5, 2, 1, 1, 5e5, 1, 9e5, 9e5, 9e5, 9e5, 9e5, 9e5, 0, 0, 2, 1, 9e5, 1)
	seed(-1, math.NaN(), math.Inf(1))
	f.Fuzz(func(t *testing.T, raw []byte, strips, order int, bits uint8) {
		next := func() float64 {
			if len(raw) < 8 {
				return 0
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(raw))
			raw = raw[8:]
			return v
		}
		b := &Board{Section: Pressed}
		for range 3 {
			b.Stations = append(b.Stations, Station{next(), next(), next()})
		}
		b.Positions = []Position{{Strips: strips, StripWidthMM: next(), OnCentreLine: bits&1 != 0}, {Strips: strips, StripWidthMM: next()}}
		b.Woods = []species.Wood{wood("w", next(), 500, 10)}
		place := []Place{Above, Below, Beside, "elsewhere"}[bits>>1&3]
		b.Layers = []Layer{{Place: place, Order: order, ModulusGPa: next(), ThicknessMM: next(), WidthMM: next(), LetInMM: next(),
			DensityKgM3: next(), FromMM: next(), ToMM: next(), CoreOnly: bits&8 != 0}}
		b.SpanMM, b.MeasureAtMM, b.GlueGM2, b.Correlation = next(), next(), next(), next()
		load := Load{N: next(), SafetyFactor: next()}
		b.Positions[1].PreStrain = next()
		if bits&16 != 0 {
			b.Pads = []Pad{{Position: int(bits >> 5), FromMM: next(), ToMM: next()}}
		}
		if len(b.Check()) > 0 || strips > 100 { // the time goes with their square: seconds for two thousand that the outline cuts
			return
		}
		got, err := b.Evaluate(make(Layout, len(b.Strips())))
		if err != nil {
			if w := b.Woods[0].ModulusGPa.Value; w >= 1e-6 && w < 1e6 {
				t.Fatal(err)
			}
			return
		}
		for _, f := range []float64{got.CoreMassG, got.PressedMassG, got.VolumeCM3, got.Measure.CNPerMM, got.Measure.CoreEINM2,
			got.Measure.PressedEINM2, got.Flex.CoreEINM2, got.Flex.PressedEINM2, got.Flex.ShearPct, got.Scatter.EIPct, got.Scatter.FlexPct} {
			if math.IsNaN(f) || math.IsInf(f, 0) || f < 0 {
				t.Fatalf("%+v", got)
			}
		}
		p, err := b.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		s, err := p.Strength(make(Layout, len(b.Strips())), load)
		for _, f := range append(flat(reflect.ValueOf(s)), flat(reflect.ValueOf(got.PreStress))...) {
			if err == nil && (math.IsNaN(f.v) || math.IsInf(f.v, 0)) {
				t.Fatalf("%+v %+v", s, got.PreStress)
			}
		}
	})
}
