package core_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	. "stavewright/optimize/core"
	"stavewright/species"
)

func strength(t *testing.T, b *Board, l Layout, load Load) Strength {
	t.Helper()
	s, err := prepare(t, b).Strength(l, load)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func stresses(t *testing.T, b *Board, l Layout, load Load) []StationStress {
	t.Helper()
	s, err := prepare(t, b).Stresses(l, load)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// row is the rating of a wood.
func row(t *testing.T, s Strength, wood int, shear, across bool) WoodStrength {
	t.Helper()
	i := slices.IndexFunc(s.ByWood, func(w WoodStrength) bool { return w.Wood == wood && w.Shear == shear && w.Across == across })
	if i < 0 {
		t.Fatalf("no row of wood %d, shear %t, across %t: %+v", wood, shear, across, s.ByWood)
	}
	return s.ByWood[i]
}

// A bare rectangle: M t/2/I, 3/2 V/A.
func TestStrengthOfARectangle(t *testing.T) {
	b := beam(10, 100, 5, 1000, nil, nil)
	b.SpanMM, b.Section = 800, Bare
	m, i := 400*800./4, 100*125./12
	s := strength(t, b, Layout{0}, Load{N: 400})
	bending, shear := row(t, s, 0, false, false), row(t, s, 0, true, false)
	near(t, "bending", bending.StressMPa, m*2.5/i, 1e-12)
	near(t, "shear", shear.StressMPa, 1.5*200/500, 1e-12)
	near(t, "of 80 MPa", bending.UtilisationPct, 100*m*2.5/i/80, 1e-12)
	near(t, "of 500/60 MPa", shear.UtilisationPct, 100*0.6*60/500, 1e-12)
	if bending.AtMM != 500 || !bending.Known || !s.Known || s.Wood != 0 || s.Shear || s.AtMM != 500 || s.UtilisationPct != bending.UtilisationPct {
		t.Errorf("worst: %+v; want bending in the middle", s)
	}
	safe := strength(t, b, Layout{0}, Load{N: 400, SafetyFactor: 2})
	near(t, "with a safety factor", safe.UtilisationPct, 2*s.UtilisationPct, 1e-12)
	near(t, "stress is without it", row(t, safe, 0, false, false).StressMPa, bending.StressMPa, 1e-12)
	// Weak in shear, it is the shear.
	b.Woods[0].ShearMPa.Value = 0.1
	if s := strength(t, b, Layout{0}, Load{N: 400}); !s.Shear || s.AtMM != 100 {
		t.Errorf("worst: %+v; want the shear, from the first support on", s)
	}
	at := stresses(t, b, Layout{0}, Load{N: 400})
	if len(at) != 1 || at[0].FromTipMM != 500 { // both stations lie beyond the supports
		t.Fatalf("cross-sections %+v, want the one under the load", at)
	}
	near(t, "top", at[0].Strips[0].TopMPa, -m*2.5/i, 1e-12)
	near(t, "bottom", at[0].Strips[0].BottomMPa, m*2.5/i, 1e-12)
	near(t, "curvature", at[0].CurvaturePerM, 1e3*m/(10e3*i), 1e-12)
	near(t, "moment", at[0].MomentNM, m/1e3, 1e-12)
}

// Taper turns the worst place away from the load where the depth grows faster than the moment: with depth h0 at the support
// and more than 2 h0 under the load it is where the depth is 2 h0, M t/2/I = 6 M/(b (2 h0)²).
func TestWorstPlaceOfATaper(t *testing.T) {
	b := beam(10, 50, 3, 1000, nil, nil)
	b.Section = Bare
	b.Stations = []Station{{0, 50, 3}, {150, 50, 5.4}, {500, 50, 11}, {1000, 50, 3}}
	s := row(t, strength(t, b, Layout{0}, Load{N: 300}), 0, false, false)
	x := 500 * 3. / 8
	near(t, "stress", s.StressMPa, 6*150*x/(50*36), 1e-9)
	if math.Abs(s.AtMM-x) > 0.01 || s.Side != Closed {
		t.Errorf("at %g mm %d, want %g, of two alike the first from the tip", s.AtMM, s.Side, x)
	}
}

// Rated at thousands of places by the section's formulas as they stand in the text, nothing is above what Strength says,
// and something is near it.
func TestStrengthAgainstSampling(t *testing.T) {
	const n = 500
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		if rng.IntN(4) > 0 {
			return // a quarter of the boards
		}
		s := strength(t, b, l, Load{N: n, SafetyFactor: 1.5})
		got := map[string]float64{}
		for _, r := range s.ByWood {
			got[fmt.Sprint(r.Wood, r.Across)] += map[bool]float64{false: r.StressMPa}[r.Shear]
		}
		most := map[string]float64{}
		middle, strips := b.MiddleMM(), b.Strips()
		const steps = 4000
		for i := range steps + 1 {
			x := middle + b.SpanMM*(float64(i)/steps-0.5)
			x = min(max(x, 1e-9), b.LengthMM()-1e-9)
			k, c := b.SectionAt(x, b.Section), b.C(l, x)
			h, half := b.HalfWidthMM(x), k.ThicknessMM/2
			kappa := n / 2 * max(b.SpanMM/2-math.Abs(x-middle), 0) / (k.EI(c) * 1e6)
			arm := max(half-k.AxisMM(c), half+k.AxisMM(c))
			for j, strip := range strips {
				if h <= strip.FromMM {
					continue
				}
				key, e := fmt.Sprint(l[j], false), b.Woods[l[j]].ModulusGPa.Value
				for _, p := range b.Pads {
					if p.Position == strip.Position && p.FromMM <= x && x <= p.ToMM {
						key, e = fmt.Sprint(p.Wood, true), b.Woods[p.Wood].CrossGrainGPa.Value
					}
				}
				most[key] = max(most[key], 1e3*e*kappa*arm)
			}
		}
		for key, v := range most {
			if v > got[key]*(1+1e-9) {
				t.Errorf("wood %s is stressed by %g MPa somewhere, rated by %g", key, v, got[key])
			}
			if v < got[key]*(1-0.02) {
				t.Errorf("wood %s is rated by %g MPa, and nowhere stressed by more than %g", key, got[key], v)
			}
		}
	})
}

// The flow of shear at any height is the moment of E above it: against slices of the section.
func TestShearAgainstSlices(t *testing.T) {
	const v, sliceMM = 150.0, 1e-3
	type rectangle struct{ e, g, b, low, high float64 } // MPa
	for _, tt := range []struct {
		name   string
		layers []Layer
		parts  []rectangle // by hand: core 100 wide and 6 thick
	}{
		{"bare", nil, nil},
		{"one skin: the axis moves up", []Layer{{Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1}}, []rectangle{{20e3, 20e3 / 2.6, 100, 3, 4}}},
		{"so stiff a layer that the axis leaves the core", []Layer{{Place: Below, Order: 1, ModulusGPa: 200, ThicknessMM: 3}},
			[]rectangle{{200e3, 200e3 / 2.6, 100, -6, -3}}},
		{"side walls lower than the core", []Layer{{Place: Beside, Order: 1, ModulusGPa: 2, ShearGPa: 0.8, WidthMM: 50, ThicknessMM: 2}},
			[]rectangle{{2e3, 0.8e3, 100, -1, 1}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := byHand()
			b.Stations = []Station{{0, 100, 6}, {1000, 100, 6}}
			b.Layers = tt.layers
			l := Layout{0, 1, 0}
			c := 60*10e3 + 40*14e3
			parts := append([]rectangle{{c / 100, c / 16 / 100, 100, -3, 3}}, tt.parts...)
			at := func(z float64, of func(r rectangle) float64) (sum float64) {
				for _, r := range parts {
					if r.low < z && z < r.high {
						sum += of(r)
					}
				}
				return sum
			}
			ea := func(r rectangle) float64 { return r.e * r.b }
			var a, s, d float64
			for z := -8 + sliceMM/2; z < 8; z += sliceMM {
				e := at(z, ea) * sliceMM
				a, s, d = a+e, s+e*z, d+e*z*z
			}
			axis, ei := s/a, d-s*s/a
			var es, mean, strain, flow float64
			nearest := math.Inf(1)
			for z := 8 - sliceMM/2; z > -8; z -= sliceMM {
				es += at(z, ea) * sliceMM * (z - axis)
				if q := v * es / ei; math.Abs(z) < 3 {
					mean = max(mean, q/at(z, func(r rectangle) float64 { return r.b }))
					strain = max(strain, q/at(z, func(r rectangle) float64 { return r.g * r.b }))
					if off := math.Abs(z - axis); off < nearest {
						nearest, flow = off, q
					}
				}
			}
			x := stresses(t, b, l, Load{N: 2 * v})[1]
			near(t, "flow", x.FlowNPerMM, flow, 2e-3)
			near(t, "mean", x.MeanShearMPa, mean, 2e-3)
			near(t, "light strip", x.Strips[0].ShearMPa, max(mean, strain*10e3/16), 2e-3)
			near(t, "dense strip", x.Strips[1].ShearMPa, max(mean, strain*14e3/16), 2e-3)
			near(t, "worst", row(t, strength(t, b, l, Load{N: 2 * v}), 1, true, false).StressMPa, x.Strips[1].ShearMPa, 1e-12)
		})
	}
}

// Plausible magnitudes: the reference board under 600 N over 1000 mm stresses its woods by 19 to 30 MPa and its core by 0.15
// to 0.2 MPa in shear (constructed with the board).
func TestStrengthOfTheReferenceBoard(t *testing.T) {
	b, l := reference(t, caseOf(t, "K3").Input)
	s := strength(t, b, l, Load{N: 600})
	for wood := range b.Woods {
		bending := row(t, s, wood, false, false)
		if bending.StressMPa < 19 || bending.StressMPa > 30 || bending.AtMM < 280 || bending.AtMM > 780 {
			t.Errorf("%s: %+v", b.Woods[wood].ID, bending)
		}
	}
	for _, x := range stresses(t, b, l, Load{N: 600}) {
		if x.FromTipMM == 780 && (x.MeanShearMPa < 0.15 || x.MeanShearMPa > 0.2) {
			t.Errorf("%+v", x)
		}
	}
}

func TestStrengthThatIsNotKnown(t *testing.T) {
	unknown := species.Figure{}
	for _, tt := range []struct {
		name  string
		spoil func(b *Board)
		why   string
	}{
		{"bending", func(b *Board) { b.Woods[0].BendingStrengthMPa = unknown }, "not known: the bending strength of core"},
		{"shear", func(b *Board) { b.Woods[1].ShearMPa = unknown; b.Woods[1].CommonName = "Oak" }, "not known: the shear strength of Oak"},
		{"both", func(b *Board) { b.Woods[0].BendingStrengthMPa, b.Woods[1].ShearMPa = unknown, unknown },
			"not known: the bending strength of core, the shear strength of dense"},
		{"span", func(b *Board) { b.SpanMM = 0 }, "no support span is given"},
		{"a wood that is nowhere", func(b *Board) { b.Woods = append(b.Woods, species.Wood{ID: "none"}) }, ""},
		{"a pad's, which is not rated", func(b *Board) {
			b.Woods = append(b.Woods, wood("pad", 10, 500, 0))
			b.Woods[2].BendingStrengthMPa, b.Woods[2].ShearMPa = unknown, unknown
			b.Pads = []Pad{{Position: 0, FromMM: 450, ToMM: 550, Wood: 2}}
		}, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := byHand()
			tt.spoil(b)
			s := strength(t, b, Layout{0, 1, 0}, Load{N: 500})
			if s.Known != (tt.why == "") || s.Why != tt.why {
				t.Errorf("known %t, why %q; want %q", s.Known, s.Why, tt.why)
			}
		})
	}
	b := byHand()
	if s := strength(t, b, Layout{0, 0, 0}, Load{}); s.Known || s.Why != "no design load is given" || s.Wood != -1 {
		t.Errorf("without a load: %+v", s)
	}
	p := prepare(t, b)
	for _, tt := range []struct {
		l    Layout
		load Load
		want string
	}{
		{Layout{0, 0, 0}, Load{N: -5}, "the design load is -5 N; it must not be below 0"},
		{Layout{0, 0, 0}, Load{N: math.NaN()}, "the design load is NaN N; it must be above 0"},
		{Layout{0, 0, 0}, Load{N: 500, SafetyFactor: -1}, "the safety factor is -1; it must not be below 0"},
		{Layout{0}, Load{N: 500}, "layout has 1 strips"},
	} {
		_, err := p.Strength(tt.l, tt.load)
		_, also := p.Stresses(tt.l, tt.load)
		if err == nil || also == nil || !strings.Contains(err.Error(), tt.want) || err.Error() != also.Error() {
			t.Errorf("errors %v and %v, want … %s …", err, also, tt.want)
		}
	}
}

// A pad in the middle of a bare core 100 wide and 5 thick: strips of 10 GPa on the centre line, 20 mm, and beside, 80 mm,
// the latter turned over there, at 0.7 GPa. By hand:
//
//	C = 20·10000 + 80·700 = 256000 N/mm, EI = C·5³/12 = 2666666.7 N·mm² = 2.667 N·m²
//	with 1 mm of 20 GPa above: A0 = 2000000 N, S0 = 3·A0 = 6000000 N·mm, D0 = A0 (1/12 + 9) = 18166666.7 N·mm²,
//	EI = D0 + 2666666.7 − S0²/(A0 + 5·256000) = 20833333.3 − 10975609.8 = 9857723.6 N·mm²
//	under 60 N over 1000 mm: M = 15000 N·mm, κ = M/EI = 0.005625 1/mm
//	strip 10000·κ·2.5 = 140.625 MPa, pad 700·κ·2.5 = 9.84375 MPa
//	beside the pad, at 400 mm: M = 12000 N·mm, EI = 100·10000·125/12 = 10416666.7 N·mm², strip 28.8 MPa
func TestUnderAPadByHand(t *testing.T) {
	b := byHand()
	b.Section = Bare
	b.Pads = []Pad{{Position: 1, FromMM: 400, ToMM: 600, Wood: 1}}
	l := Layout{0, 0, 0}
	near(t, "EI under the pad", evaluate(t, b, l).Measure.CoreEINM2, 256000*125./12*1e-6, 1e-12)
	pressed := *b
	pressed.Layers = []Layer{{Name: "skin", Place: Above, Order: 1, ModulusGPa: 20, ThicknessMM: 1}}
	near(t, "pressed", evaluate(t, &pressed, l).Measure.PressedEINM2, 9.8577236, 1e-8)
	s := strength(t, b, l, Load{N: 60})
	near(t, "strip", row(t, s, 0, false, false).StressMPa, 140.625, 1e-12)
	pad := row(t, s, 1, false, true)
	near(t, "pad", pad.StressMPa, 9.84375, 1e-12)
	if pad.Known || pad.UtilisationPct != 0 || !s.Known || s.Wood != 0 {
		t.Errorf("a pad is rated: %+v", s)
	}
	// Of the strip that the pad cuts, what is left is worst at the pad's end, as seen from outside of it.
	b.Woods = append(b.Woods, wood("beside", 10, 500, 0))
	s = strength(t, b, Layout{0, 2, 2}, Load{N: 60})
	beside := row(t, s, 2, false, false)
	near(t, "beside the pad", beside.StressMPa, 28.8, 1e-12)
	if beside.AtMM != 400 || beside.Side != FromTip {
		t.Errorf("at %g mm from side %d, want 400 from the tip's", beside.AtMM, beside.Side)
	}
	// That is what a cut on C is to be made from.
	g := b.Groups()[1]
	near(t, "C of a strip outside", b.StripCSide(g, 2, 400, beside.Side), 400e3, 1e-12)
	near(t, "at the pad", b.StripCSide(g, 2, 400, Closed), 28e3, 1e-12)
}

// At LeastC the stress is the one allowed; more C lowers it, less raises it.
func TestLeastC(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	for range 2000 {
		e := 4 + 10*rng.Float64()
		b := beam(e, 50+100*rng.Float64(), 2+6*rng.Float64(), 1000,
			[]Layer{{ModulusGPa: 1 + 60*rng.Float64(), ThicknessMM: 0.2 + rng.Float64()}},
			[]Layer{{ModulusGPa: 1 + 60*rng.Float64(), ThicknessMM: 0.2 + rng.Float64()}})
		k := b.SectionAt(500, []Section{Bare, Pressed}[rng.IntN(2)])
		m, mpa := 1e5*rng.Float64(), 5+60*rng.Float64()
		stress := func(c float64) float64 {
			z := math.Abs(k.AxisMM(c)) + k.ThicknessMM/2
			return e * 1e3 * m / (k.EI(c) * 1e6) * z
		}
		c := k.LeastC(m, e, mpa)
		if c == 0 {
			if k.A0N == 0 || stress(0) > mpa*(1+rounding) {
				t.Fatalf("no C is needed, and without any the stress is %g of %g MPa", stress(0), mpa)
			}
			continue
		}
		near(t, "stress", stress(c), mpa, 1e-9)
		if stress(1.01*c) >= stress(c) || stress(0.99*c) <= stress(c) {
			t.Fatalf("stress %g, %g, %g MPa as C grows", stress(0.99*c), stress(c), stress(1.01*c))
		}
	}
}

func TestStrengthLaws(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		if rng.IntN(3) > 0 {
			return
		}
		once, twice := strength(t, b, l, Load{N: 300}), strength(t, b, l, Load{N: 600})
		m, back := mirrored(b), slices.Clone(l)
		other := strength(t, m, back, Load{N: 300})
		if len(once.ByWood) != len(twice.ByWood) || len(once.ByWood) != len(other.ByWood) {
			t.Fatalf("rows %d, %d, %d", len(once.ByWood), len(twice.ByWood), len(other.ByWood))
		}
		for i, r := range once.ByWood {
			near(t, "twice the load", twice.ByWood[i].StressMPa, 2*r.StressMPa, 1e-9)
			near(t, "from the tail", other.ByWood[i].StressMPa, r.StressMPa, 1e-7)
			if r.Across && (r.Known || r.UtilisationPct != 0) {
				t.Errorf("across the board is rated: %+v", r)
			}
		}
		for _, x := range stresses(t, b, l, Load{N: 300}) {
			for _, s := range x.Strips {
				bending, shear := row(t, once, s.Wood, false, s.Across), row(t, once, s.Wood, true, s.Across)
				if most := max(math.Abs(s.TopMPa), math.Abs(s.BottomMPa)); most > bending.StressMPa*(1+1e-9) || s.ShearMPa > shear.StressMPa*(1+1e-9) {
					t.Errorf("at %g mm %g and %g MPa, rated by %g and %g", x.FromTipMM, most, s.ShearMPa, bending.StressMPa, shear.StressMPa)
				}
			}
		}
	})
}
