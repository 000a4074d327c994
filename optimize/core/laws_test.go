package core_test

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	. "stavewright/optimize/core"
	"stavewright/species"
)

// anyBoard is a random board without faults: outlines that cut positions, sometimes a centre-line position, layers of
// every place, some over part of the length or the width, sometimes pads.
func anyBoard(rng *rand.Rand) *Board {
	b := &Board{Name: "any", Section: Pressed, GlueGM2: 200 * rng.Float64(), Correlation: float64(rng.IntN(3)) / 4}
	if rng.IntN(2) == 0 {
		b.Section = Bare
	}
	var x, widest float64
	for range 2 + rng.IntN(6) {
		s := Station{x, 40 + 200*rng.Float64(), 1.5 + 7*rng.Float64()}
		if rng.IntN(4) == 0 && len(b.Stations) > 0 {
			s.WidthMM = b.Stations[len(b.Stations)-1].WidthMM // a parallel stretch
		}
		b.Stations = append(b.Stations, s)
		widest = max(widest, s.WidthMM/2)
		x += 50 + 300*rng.Float64()
	}
	for reach := 0.0; reach < widest; {
		p := Position{Name: fmt.Sprint("p", len(b.Positions)), Strips: 1 + rng.IntN(5), StripWidthMM: 5 + 20*rng.Float64()}
		p.OnCentreLine = reach == 0 && rng.IntN(2) == 0
		reach += float64(p.Strips) * p.StripWidthMM
		if p.OnCentreLine {
			reach /= 2
		}
		b.Positions = append(b.Positions, p)
	}
	for i := range 2 + rng.IntN(3) {
		b.Woods = append(b.Woods, wood(fmt.Sprint("w", i), 4+10*rng.Float64(), 250+500*rng.Float64(), 10+12*rng.Float64()))
	}
	length := b.LengthMM()
	for i := range rng.IntN(7) {
		l := Layer{Name: fmt.Sprint("l", i), Place: []Place{Above, Below, Beside}[rng.IntN(3)], Order: 1 + rng.IntN(3),
			ModulusGPa: 1 + 200*rng.Float64(), ThicknessMM: 0.3 + 2*rng.Float64(), DensityKgM3: 900 + 7000*rng.Float64()}
		if rng.IntN(2) == 0 || l.Place == Beside {
			l.WidthMM = 2 + 20*rng.Float64()
		}
		if l.Place == Beside && rng.IntN(2) == 0 {
			l.ThicknessMM = 0
		}
		if l.Place != Beside && rng.IntN(3) == 0 {
			l.LetInMM = l.ThicknessMM * rng.Float64()
		}
		if rng.IntN(2) == 0 {
			l.FromMM = length / 2 * rng.Float64()
			l.ToMM = length * (0.55 + 0.4*rng.Float64())
		}
		b.Layers = append(b.Layers, l)
	}
	for range rng.IntN(3) {
		p := Pad{Position: rng.IntN(len(b.Positions)), FromMM: length * (0.1 + 0.3*rng.Float64()), Wood: rng.IntN(len(b.Woods))}
		p.ToMM = p.FromMM + length*0.3*rng.Float64()
		if !slices.ContainsFunc(b.Pads, func(q Pad) bool { return q.Position == p.Position }) {
			b.Pads = append(b.Pads, p)
		}
	}
	b.SpanMM = length * (0.3 + 0.6*rng.Float64())
	b.MeasureAtMM = length * rng.Float64()
	return b
}

func anyLayout(rng *rand.Rand, b *Board) Layout {
	l := make(Layout, len(b.Strips()))
	for i := range l {
		l[i] = rng.IntN(len(b.Woods))
	}
	return l
}

// forBoards runs a law on random boards, each named by its seed.
func forBoards(t *testing.T, law func(t *testing.T, rng *rand.Rand, b *Board, l Layout)) {
	boards := uint64(150)
	if testing.Short() {
		boards = 40
	}
	for seed := range boards {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 7))
			b := anyBoard(rng)
			if problems := b.Check(); len(problems) > 0 {
				t.Fatalf("the generator makes faulty boards: %v", problems)
			}
			law(t, rng, b, anyLayout(rng, b))
		})
	}
}

// near fails when got and want differ by more than tolerance times the larger.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*max(math.Abs(got), math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// rounding is what two ways to the same sum may differ by.
const rounding = 1e-11

// alike fails when two boards' figures differ anywhere.
func alike(t *testing.T, got, want Figures) {
	t.Helper()
	g, w := flat(reflect.ValueOf(got)), flat(reflect.ValueOf(want))
	if len(g) != len(w) {
		t.Fatalf("%d figures against %d", len(g), len(w))
	}
	for i := range g {
		if math.IsNaN(g[i].v) && math.IsNaN(w[i].v) {
			continue
		}
		// An axis near 0 is a difference of large numbers: hold it against the millimetre.
		if !(math.Abs(g[i].v-w[i].v) <= 1e-9*max(1, math.Abs(w[i].v))) {
			t.Errorf("%s = %.12g, want %.12g", g[i].name, g[i].v, w[i].v)
		}
	}
}

type figure struct {
	name string
	v    float64
}

func flat(v reflect.Value) []figure {
	var out []figure
	switch v.Kind() {
	case reflect.Int:
		return []figure{{"", float64(v.Int())}}
	case reflect.String:
	case reflect.Float64:
		return []figure{{"", v.Float()}}
	case reflect.Bool:
		if v.Bool() {
			return []figure{{"", 1}}
		}
		return []figure{{"", 0}}
	case reflect.Slice:
		for i := range v.Len() {
			for _, f := range flat(v.Index(i)) {
				out = append(out, figure{fmt.Sprintf("[%d]%s", i, f.name), f.v})
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			for _, f := range flat(v.Field(i)) {
				out = append(out, figure{v.Type().Field(i).Name + "." + f.name, f.v})
			}
		}
	default:
		panic(v.Kind())
	}
	return out
}

// mirrored is the board from tail to tip.
func mirrored(b *Board) *Board {
	m := *b
	length := b.LengthMM()
	m.Stations, m.Layers, m.Pads = nil, slices.Clone(b.Layers), slices.Clone(b.Pads)
	for _, s := range slices.Backward(b.Stations) {
		s.FromTipMM = length - s.FromTipMM
		m.Stations = append(m.Stations, s)
	}
	for i, y := range m.Layers {
		if y.ToMM > 0 {
			m.Layers[i].FromMM, m.Layers[i].ToMM = length-y.ToMM, length-y.FromMM
		}
	}
	for i, p := range m.Pads {
		m.Pads[i].FromMM, m.Pads[i].ToMM = length-p.ToMM, length-p.FromMM
	}
	m.MeasureAtMM = length - b.MeasureAtMM
	return &m
}

func TestMirroredFromTipToTail(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		got, want := evaluate(t, mirrored(b), l), evaluate(t, b, l)
		slices.Reverse(got.Stations)
		for i := range got.Stations {
			got.Stations[i].FromTipMM = want.Stations[i].FromTipMM
		}
		got.Measure.FromTipMM = want.Measure.FromTipMM
		alike(t, got, want)
	})
}

func TestLayerCutInTwo(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		want := evaluate(t, b, l)
		for i, y := range b.Layers {
			from, to := y.FromMM, y.ToMM
			if to == 0 {
				to = b.LengthMM()
			}
			cuts := map[string][2]Layer{}
			first, second := y, y
			at := from + (to-from)*rng.Float64()
			if !slices.ContainsFunc(b.Stations, func(s Station) bool { return s.FromTipMM == at }) && at != b.MeasureAtMM {
				first.FromMM, first.ToMM, second.FromMM, second.ToMM = from, at, at, to
				cuts["along"] = [2]Layer{first, second}
			}
			if y.WidthMM > 0 {
				first, second = y, y
				first.WidthMM *= 0.3
				second.WidthMM -= first.WidthMM
				cuts["across"] = [2]Layer{first, second}
			}
			for how, two := range cuts {
				c := *b
				c.Layers = append(slices.Delete(slices.Clone(b.Layers), i, i+1), two[0], two[1])
				t.Run(how, func(t *testing.T) { alike(t, evaluate(t, &c, l), want) })
			}
		}
	})
}

// In thickness only a layer that has its order to itself can be cut: the halves are two orders then.
func TestLayerCutInThickness(t *testing.T) {
	b := beam(10, 100, 6, 1000, []Layer{{Name: "inner", ModulusGPa: 20, ThicknessMM: 1}, {Name: "outer", ModulusGPa: 2, ThicknessMM: 0.5}}, nil)
	c := *b
	c.Layers = []Layer{b.Layers[0], b.Layers[0], b.Layers[1]}
	c.Layers[0].ThicknessMM, c.Layers[1].ThicknessMM = 0.3, 0.7
	c.Layers[1].Order, c.Layers[2].Order = 2, 3
	alike(t, evaluate(t, &c, Layout{0}), evaluate(t, b, Layout{0}))
}

func TestStationBetween(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		c := *b
		c.Stations = slices.Clone(b.Stations)
		i := rng.IntN(len(b.Stations)-1) + 1
		x := b.Stations[i-1].FromTipMM + (0.1+0.8*rng.Float64())*(b.Stations[i].FromTipMM-b.Stations[i-1].FromTipMM)
		c.Stations = slices.Insert(c.Stations, i, Station{x, 2 * b.HalfWidthMM(x), b.ThicknessMM(x)})
		got := evaluate(t, &c, l)
		got.Stations = slices.Delete(got.Stations, i, i+1)
		alike(t, got, evaluate(t, b, l))
	})
}

func TestEIGrowsAndBendsDownInC(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		x := b.LengthMM() * rng.Float64()
		for _, s := range []Section{Bare, Pressed} {
			k := b.SectionAt(x, s)
			c := math.Pow(10, 4+3*rng.Float64())
			less, more := k.EI(c/2), k.EI(c*2)
			if ei := k.EI(c); !(less < ei && ei < more) {
				t.Errorf("EI of half, once, twice C: %g, %g, %g", less, ei, more)
			}
			if chord := (k.EI(c/2) + k.EI(c*3/2)) / 2; !(k.EI(c) >= chord*(1-1e-13)) {
				t.Errorf("EI(C) = %g lies below its chord, %g", k.EI(c), chord)
			}
			if slope, chord := k.Slope(c), (more-less)/(c*3/2); !(k.Slope(2*c) <= chord*(1+1e-9) && chord <= k.Slope(c/2)*(1+1e-9) && slope > 0) {
				t.Errorf("slopes %g, %g do not enclose the chord's, %g", k.Slope(c/2), k.Slope(2*c), chord)
			}
			step := c * 1e-4
			near(t, "dEI/dC", (k.EI(c+step)-k.EI(c-step))/(2*step), k.Slope(c), 1e-6)
			back, ok := k.C(k.EI(c))
			if !ok {
				t.Fatalf("no C for EI(%g)", c)
			}
			near(t, "C(EI(C))", back, c, 1e-9)
		}
	})
}

func TestNoCBelowTheLayersOwnStiffness(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		k := b.SectionAt(b.MeasureAtMM, Pressed)
		if c, ok := k.C(k.EI(0)); !ok || c > 1e-3*k.A0N/k.ThicknessMM {
			t.Errorf("C(EI(0)) = %g, %v; want 0, true", c, ok)
		}
		if c, ok := k.C(k.EI(0) - 1e-3); ok || c != 0 {
			t.Errorf("C(EI(0) less a little) = %g, %v; want 0, false", c, ok)
		}
		for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1} {
			if c, ok := k.C(bad); ok || c != 0 {
				t.Errorf("C(%g) = %g, %v; want 0, false", bad, c, ok)
			}
		}
	})
}

// The section's constants against a sum of thin slices about an axis found by bisection on the axial force.
func TestSectionAgainstSlices(t *testing.T) {
	type rectangle struct{ e, b, low, high float64 }
	for _, tt := range []struct {
		name   string
		layers []Layer
		parts  []rectangle // by hand: core 100 wide and 6 thick, modulus 10
	}{
		{"bare", nil, nil},
		{"one skin above", []Layer{{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1}}, []rectangle{{20, 100, 3, 4}}},
		{"orders stack outward whatever their order in the list", []Layer{
			{Place: Below, Order: 5, ModulusGPa: 1, ThicknessMM: 2},
			{Place: Below, Order: 2, ModulusGPa: 20, ThicknessMM: 0.5},
		}, []rectangle{{20, 100, -3.5, -3}, {1, 100, -5.5, -3.5}}},
		{"side by side: the thickest carries the next", []Layer{
			{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 0.5},
			{Place: Above, Order: 1, ModulusGPa: 70, ThicknessMM: 0.8, WidthMM: 30},
			{Place: Above, Order: 2, ModulusGPa: 2, ThicknessMM: 0.4},
		}, []rectangle{{20, 100, 3, 3.5}, {70, 30, 3, 3.8}, {2, 100, 3.8, 4.2}}},
		{"an edge let in flush with the base", []Layer{
			{Place: Below, Order: 1, ModulusGPa: 20, ThicknessMM: 0.6},
			{Place: Below, Order: 2, ModulusGPa: 0.8, ThicknessMM: 1.2},
			{Place: Below, Order: 2, ModulusGPa: 200, ThicknessMM: 2, WidthMM: 6.6, LetInMM: 0.8},
			{Place: Below, Order: 3, ModulusGPa: 5, ThicknessMM: 0.1},
		}, []rectangle{{20, 100, -3.6, -3}, {0.8, 100, -4.8, -3.6}, {200, 6.6, -4.8, -2.8}, {5, 100, -4.9, -4.8}}},
		{"full width spans the side walls, the blank's veneer does not", []Layer{
			{Place: Beside, Order: 1, ModulusGPa: 2, WidthMM: 8},
			{Place: Beside, Order: 2, ModulusGPa: 3, WidthMM: 2, ThicknessMM: 4},
			{Place: Above, Order: 1, ModulusGPa: 12, ThicknessMM: 0.6, CoreOnly: true},
			{Place: Above, Order: 2, ModulusGPa: 20, ThicknessMM: 0.5},
		}, []rectangle{{2, 16, -3, 3}, {3, 4, -2, 2}, {12, 100, 3, 3.6}, {20, 120, 3.6, 4.1}}},
		{"wider than the core", []Layer{{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1, WidthMM: 150}}, []rectangle{{20, 150, 3, 4}}},
		{"part of the length, elsewhere", []Layer{{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1, FromMM: 600, ToMM: 700}}, nil},
		{"an order that is not here carries nothing", []Layer{
			{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1, FromMM: 600, ToMM: 700},
			{Place: Above, Order: 2, ModulusGPa: 2, ThicknessMM: 0.5},
		}, []rectangle{{2, 100, 3, 3.5}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := beam(10, 100, 6, 1000, nil, nil)
			b.Layers = tt.layers
			got := evaluate(t, b, Layout{0}).Measure
			parts := append([]rectangle{{10, 100, -3, 3}}, tt.parts...)
			const slices = 20000
			sum := func(f func(e, z float64) float64) (s float64) {
				for _, p := range parts {
					d := (p.high - p.low) / slices
					for i := range slices {
						s += f(p.e*p.b*d, p.low+(float64(i)+0.5)*d)
					}
				}
				return s
			}
			low, high := -10.0, 10.0
			for range 60 {
				axis := (low + high) / 2
				if sum(func(ea, z float64) float64 { return ea * (z - axis) }) > 0 {
					low = axis
				} else {
					high = axis
				}
			}
			ei := sum(func(ea, z float64) float64 { return ea * (z - low) * (z - low) }) * 1e-3 // GPa·mm⁴ to N·m²
			near(t, "EI", got.PressedEINM2, ei, 1e-7)
			if math.Abs(got.AxisMM-low) > 1e-7 {
				t.Errorf("axis at %.9f mm, want %.9f", got.AxisMM, low)
			}
		})
	}
}

func TestGroupsPartitionTheStrips(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		strips := b.Strips()
		in := make([]int, len(strips))
		groups := b.Groups()
		profiles := make([][]float64, len(groups)) // sampled
		for i, g := range groups {
			for j := range 201 {
				profiles[i] = append(profiles[i], b.StripC(g, 0, b.LengthMM()*float64(j)/200))
			}
		}
		for gi, g := range groups {
			for _, s := range g.Strips {
				in[s]++
				if strips[s].Position != g.Position || strips[s].Pieces != g.Pieces || strips[s].PerSide != g.PerSide {
					t.Errorf("strip %d does not count as its group does", s)
				}
			}
			for gj, other := range groups {
				// Strips of two groups that could be one differ somewhere.
				same := true
				for i, c := range profiles[gi] {
					same = same && math.Abs(c-profiles[gj][i]) <= 1e-6
				}
				if gi < gj && same && g.Position == other.Position && g.Pieces == other.Pieces && g.PerSide == other.PerSide {
					if cut := strips[other.Strips[0]]; !touched(b, strips[g.Strips[0]], cut) {
						t.Errorf("groups %d and %d are one", gi, gj)
					}
				}
			}
			for _, s := range g.Strips {
				alone := Group{Position: g.Position, Strips: []int{s}, PerSide: g.PerSide, Pieces: g.Pieces}
				for i, want := range profiles[gi] {
					x := b.LengthMM() * float64(i) / 200
					if got := b.StripC(alone, 0, x); math.Abs(got-want) > 1e-6 {
						t.Errorf("strip %d has %g N/mm at %g mm, its group %g", s, got, x, want)
					}
				}
			}
		}
		for s, n := range in {
			if n != 1 {
				t.Errorf("strip %d is in %d groups", s, n)
			}
		}
	})
}

// touched reports whether a station's half width lies between the strips' inner and outer faces: they differ in a
// stretch that sampling may miss.
func touched(b *Board, in, out Strip) bool {
	return slices.ContainsFunc(b.Stations, func(s Station) bool { return s.WidthMM/2 > in.FromMM && s.WidthMM/2 < out.ToMM })
}

func TestSumsOverGroups(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		f := evaluate(t, b, l)
		x := b.LengthMM() * rng.Float64()
		var mass, own, volume, c, variance, deviation float64
		for _, g := range b.Groups() {
			for _, s := range g.Strips { // Σ n over the woods of the group
				mass += b.StripMassG(g, l[s])
				volume += b.StripVolumeCM3(g)
				own += b.StripOwnVolumeCM3(g)
				c += b.StripC(g, l[s], x)
				v, known := b.StripVarC(g, l[s], b.MeasureAtMM)
				d, knownToo := b.StripDevC(g, l[s], b.MeasureAtMM)
				if !known || !knownToo {
					t.Fatal("the variation of every wood is known")
				}
				variance += v
				deviation += d
			}
		}
		near(t, "C", c, b.C(l, x), rounding)
		near(t, "core mass", mass+b.GlueMassG(), f.CoreMassG, rounding)
		near(t, "volume", volume, f.VolumeCM3, rounding)
		var pads float64
		for wood := range b.Woods {
			pads += b.PadVolumeCM3(wood)
		}
		near(t, "volume of strips and pads", own+pads, f.VolumeCM3, rounding)
		layers, known := b.LayersMassG()
		if !known || !f.PressedMassKnown {
			t.Error("the density of every layer is known")
		}
		near(t, "pressed mass", f.CoreMassG+layers, f.PressedMassG, rounding)
		var byWood float64
		for _, g := range f.WoodMassByG {
			byWood += g
		}
		near(t, "mass by wood", byWood, f.WoodMassG, rounding)
		sd := math.Sqrt((1-b.Correlation)*variance + b.Correlation*deviation*deviation)
		near(t, "scatter of C", 100*sd/f.Measure.CNPerMM, f.Scatter.CPct, rounding)
	})
}

func TestMassAgainstSampling(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		f := evaluate(t, b, l)
		strips := b.Strips()
		ends := []float64{0, b.LengthMM()}
		for _, y := range b.Layers {
			ends = append(ends, y.FromMM, y.ToMM)
		}
		for _, p := range b.Pads {
			ends = append(ends, p.FromMM, p.ToMM)
		}
		slices.Sort(ends)
		var wood, glue, layers float64
		for i := 1; i < len(ends); i++ {
			const n = 4000
			d := (ends[i] - ends[i-1]) / n
			for j := range n {
				if d == 0 {
					break
				}
				x := ends[i-1] + (float64(j)+0.5)*d
				h, thick := b.HalfWidthMM(x), b.ThicknessMM(x)
				if strips[0].Pieces == 2 {
					glue += thick * d
				}
				for k, s := range strips {
					w := b.Woods[l[k]]
					for _, p := range b.Pads {
						if p.Position == s.Position && p.FromMM < x && x < p.ToMM {
							w = b.Woods[p.Wood]
						}
					}
					wood += w.DensityKgM3.Value * 2 * min(max(h-s.FromMM, 0), s.ToMM-s.FromMM) * thick * d * 1e-6
					if h > s.ToMM {
						glue += 2 * thick * d
					}
				}
				var beside float64
				here := func(y Layer) bool { return y.ToMM == 0 || y.FromMM < x && x < y.ToMM }
				for _, y := range b.Layers {
					if y.Place == Beside && here(y) {
						beside += 2 * y.WidthMM
						layers += y.DensityKgM3 * 2 * y.WidthMM * cmp.Or(y.ThicknessMM, thick) * d * 1e-6
					}
				}
				for _, y := range b.Layers {
					if y.Place != Beside && here(y) {
						layers += y.DensityKgM3 * cmp.Or(y.WidthMM, 2*h+beside) * y.ThicknessMM * d * 1e-6
					}
				}
			}
		}
		near(t, "wood", f.WoodMassG, wood, 1e-6)
		// A joint ends where the outline crosses it, so the sampled glue steps: half a sample's step for each crossing.
		near(t, "glue", f.GlueMassG, glue*1e-6*b.GlueGM2, 1e-3)
		near(t, "layers", f.PressedMassG-f.CoreMassG, layers, 1e-6)
	})
}

// The flex against many small steps between the stations and the places where EI jumps; where a step's half widths lie
// on either side of a strip's face, so that its integrand has a kink somewhere, the step is cut a hundred times finer.
func TestFlexAgainstSmallSteps(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		middle := b.MiddleMM()
		from, to := middle-b.SpanMM/2, middle+b.SpanMM/2
		ends := []float64{from, middle, to}
		for _, s := range b.Stations {
			ends = append(ends, s.FromTipMM)
		}
		for _, y := range b.Layers {
			ends = append(ends, y.FromMM, y.ToMM)
		}
		for _, p := range b.Pads {
			ends = append(ends, p.FromMM, p.ToMM)
		}
		ends = slices.DeleteFunc(ends, func(x float64) bool { return x < from || x > to })
		slices.Sort(ends)
		ends = slices.Compact(ends)
		strips := b.Strips()
		f := evaluate(t, b, l).Flex
		for _, s := range []Section{Bare, Pressed} {
			got, effective := f.CoreNPerMM, f.CoreEINM2
			if s == Pressed {
				got, effective = f.PressedNPerMM, f.PressedEINM2
			}
			integrand := func(x float64) float64 {
				m := min(x-from, to-x) / 2
				return m * m / (b.SectionAt(x, s).EI(b.C(l, x)) * 1e6)
			}
			var compliance float64
			for i := 1; i < len(ends); i++ {
				const steps, finer = 50, 100
				d := (ends[i] - ends[i-1]) / steps
				for j := range steps {
					x := ends[i-1] + float64(j)*d
					h0, h1 := b.HalfWidthMM(x), b.HalfWidthMM(x+d)
					n := 1
					if slices.ContainsFunc(strips, func(s Strip) bool { return (s.ToMM-h0)*(s.ToMM-h1) <= 0 }) {
						n = finer
					}
					for k := range n {
						e := d / float64(n)
						compliance += quad.Fixed(integrand, x+float64(k)*e, x+float64(k+1)*e, 5, quad.Legendre{}, 0)
					}
				}
			}
			near(t, string(s)+" flex", got, 1/compliance, 1e-8)
			near(t, string(s)+" effective EI", effective, got*math.Pow(b.SpanMM, 3)/48*1e-6, rounding)
		}
	})
}

func TestScaled(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		before := slices.Clone(b.Stations)
		s := b.Scaled(1.1)
		if !slices.Equal(b.Stations, before) {
			t.Fatal("scaling changed the board itself")
		}
		got, want := evaluate(t, s, l), evaluate(t, b, l)
		near(t, "wood", got.WoodMassG, 1.1*want.WoodMassG, rounding)
		near(t, "glue", got.GlueMassG, 1.1*want.GlueMassG, rounding)
		near(t, "bare EI", got.Measure.CoreEINM2, 1.1*1.1*1.1*want.Measure.CoreEINM2, rounding)
		near(t, "bare flex", got.Flex.CoreNPerMM, 1.1*1.1*1.1*want.Flex.CoreNPerMM, rounding)
		near(t, "C", got.Measure.CNPerMM, want.Measure.CNPerMM, rounding)
	})
}

// What EI varies by in draws of the strips' moduli, each piece by itself but for the common part.
func TestScatterAgainstDraws(t *testing.T) {
	for _, rho := range []float64{0, 0.4} {
		for _, section := range []Section{Bare, Pressed} {
			t.Run(fmt.Sprint(section, " correlation ", rho), func(t *testing.T) {
				b := &Board{
					Name: "drawn", Section: section, Correlation: rho, SpanMM: 800, MeasureAtMM: 400,
					Stations:  []Station{{0, 60, 2}, {300, 100, 6}, {700, 100, 7}, {1000, 60, 2}},
					Positions: []Position{{Name: "centre", Strips: 3, StripWidthMM: 12, OnCentreLine: true}, {Name: "side", Strips: 2, StripWidthMM: 17}},
					Layers: []Layer{{Name: "skin", Place: Below, Order: 1, ModulusGPa: 20, ThicknessMM: 0.6},
						{Name: "steel", Place: Below, Order: 2, ModulusGPa: 200, ThicknessMM: 1, WidthMM: 6, FromMM: 200, ToMM: 800}},
					Woods: []species.Wood{wood("a", 9, 400, 18), wood("b", 13, 650, 12)},
				}
				l := Layout{0, 1, 0, 1}
				strips := b.Strips()
				want := evaluate(t, b, l).Scatter

				drawn := *b
				drawn.Woods = make([]species.Wood, len(strips)) // one for each strip: the mean of its pieces
				each := make(Layout, len(strips))
				for i := range each {
					each[i] = i
				}
				rng := rand.New(rand.NewPCG(11, 3))
				var ei, flex, c, leftRight sample
				half := b.HalfWidthMM(b.MeasureAtMM)
				for range 2500 {
					common := rng.NormFloat64()
					var difference float64
					for i, s := range strips {
						w := b.Woods[l[i]]
						var mean float64
						for piece := range s.Pieces {
							e := w.ModulusGPa.Value * (1 + w.ModulusCVPct.Value/100*(math.Sqrt(rho)*common+math.Sqrt(1-rho)*rng.NormFloat64()))
							mean += e / float64(s.Pieces)
							if s.Pieces == 2 {
								difference += float64(1-2*piece) * e * 1e3 * min(max(half-s.FromMM, 0), s.ToMM-s.FromMM)
							}
						}
						w.ModulusGPa.Value = mean
						drawn.Woods[i] = w
					}
					f := evaluate(t, &drawn, each)
					ei.add(f.Measure.EINM2(section))
					c.add(f.Measure.CNPerMM)
					leftRight.add(difference)
					if section == Pressed {
						flex.add(f.Flex.PressedNPerMM)
					} else {
						flex.add(f.Flex.CoreNPerMM)
					}
				}
				// The deviation of 2500 draws is itself uncertain by 1/√(2·2500) = 1.4 %; three times that is allowed.
				const sampling = 0.043
				near(t, "C", want.CPct, 100*c.deviation()/c.mean(), sampling)
				near(t, "EI", want.EIPct, 100*ei.deviation()/ei.mean(), sampling)
				near(t, "flex", want.FlexPct, 100*flex.deviation()/flex.mean(), sampling)
				near(t, "left less right", want.LeftRightPct, 100*leftRight.deviation()/c.mean(), sampling)
			})
		}
	}
}

type sample struct{ n, sum, squares float64 }

func (s *sample) add(v float64)      { s.n, s.sum, s.squares = s.n+1, s.sum+v, s.squares+v*v }
func (s *sample) mean() float64      { return s.sum / s.n }
func (s *sample) deviation() float64 { return math.Sqrt(s.squares/s.n - s.mean()*s.mean()) }
