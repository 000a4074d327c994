package core_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	. "stavewright/optimize/core"
)

// strained is the board with some positions pre-strained by up to 5 per mille, either way.
func strained(rng *rand.Rand, b *Board) *Board {
	s := *b
	s.Positions = slices.Clone(b.Positions)
	for i := range s.Positions {
		if i == 0 || rng.IntN(2) == 0 {
			s.Positions[i].PreStrain = 0.01 * (rng.Float64() - 0.5)
		}
	}
	return &s
}

// Bare and prismatic, C = 60·10000 + 40·14000 = 1160000 N/mm; the two outer strips, 40 mm at 14 GPa, are stretched by 2 per
// mille when glued in. By hand: they pull with 40·14000·0.002 = 1120 N/mm, so everything shortens by 1120/1160000 = 0.000965517;
// what is left is −9.65517 MPa in the light strips and 14000·(0.002 − 0.000965517) = 14.48276 MPa in the outer ones, which
// balance: 60·9.65517 = 40·14.48276. Nothing bends.
func TestPreStressByHand(t *testing.T) {
	b := byHand()
	b.Section = Bare
	b.Positions = append(b.Positions[:1:1], Position{Name: "side", Strips: 1, StripWidthMM: 20},
		Position{Name: "edge", Strips: 1, StripWidthMM: 20, PreStrain: 0.002})
	l := Layout{0, 0, 1}
	s := evaluate(t, b, l).PreStress
	if !s.Known || len(s.ByPosition) != 3 || s.CamberPerM != 0 || s.CamberMM != 0 || math.Signbit(s.CamberMM) {
		t.Fatalf("%+v", s)
	}
	for i, want := range []float64{-9.6551724, -9.6551724, 14.4827586} {
		p := s.ByPosition[i]
		near(t, "stress", p.StressMPa, want, 1e-8)
		if p.Position != i || p.Wood != l[i] || p.TopMPa != p.StressMPa || p.BottomMPa != p.StressMPa {
			t.Errorf("%+v", p)
		}
	}
	// Under load the outer strips' lower face has both stresses, and their upper one the difference.
	plain := byHand()
	plain.Section = Bare
	const n = 100
	bending := row(t, strength(t, plain, l, Load{N: n}), 1, false, false).StressMPa
	near(t, "in all", row(t, strength(t, b, l, Load{N: n}), 1, false, false).StressMPa, bending+14.4827586, 1e-8)
	top := stresses(t, b, l, Load{N: n})[1].Strips
	near(t, "above", top[len(top)-1].TopMPa, 14.4827586-bending, 1e-7)
	if top[len(top)-1].PreStrain != 0.002 || len(top) != 2 { // light strips are of one kind, on the centre line or beside
		t.Errorf("%+v", top)
	}
	// Without a load it is at least what is locked in, wherever the bending takes from it.
	near(t, "hardly loaded", row(t, strength(t, b, l, Load{N: 1e-6}), 1, false, false).StressMPa, 14.4827586, 1e-7)
}

// A core that was stretched wants to shorten. Under the neutral axis it lifts the middle, above it sinks the middle;
// one that was pressed does the opposite; on the axis it does nothing.
func TestSignsOfCamber(t *testing.T) {
	skin := []Layer{{ModulusGPa: 20, ThicknessMM: 1}}
	for _, tt := range []struct {
		name         string
		above, below []Layer
		strain       float64
		sign         float64
	}{
		{"stretched, stiff layer above", skin, nil, 0.002, 1},
		{"stretched, stiff layer below", nil, skin, 0.002, -1},
		{"pressed, stiff layer above", skin, nil, -0.002, -1},
		{"stretched, alike above and below", skin, skin, 0.002, 0},
	} {
		b := beam(10, 100, 5, 1000, tt.above, tt.below)
		b.Positions[0].PreStrain = tt.strain
		s := evaluate(t, b, Layout{0}).PreStress
		sign := func(v float64) float64 {
			if math.Abs(v) < 1e-9 {
				return 0
			}
			return math.Copysign(1, v)
		}
		if sign(s.CamberMM) != tt.sign || sign(s.CamberPerM) != tt.sign {
			t.Errorf("%s: the middle rises by %g mm, curvature %g 1/m", tt.name, s.CamberMM, s.CamberPerM)
		}
		if got := s.ByPosition[0].StressMPa; sign(got) != sign(tt.strain) || math.Abs(got) >= 10e3*math.Abs(tt.strain) {
			t.Errorf("%s: %g MPa is left of %g", tt.name, got, 10e3*tt.strain)
		}
	}
}

// What is locked in balances: no force and no moment over strips, pads and layers.
func TestPreStressBalances(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		b = strained(rng, b)
		f := evaluate(t, b, l)
		k, c := b.SectionAt(b.MeasureAtMM, b.Section), f.Measure.CNPerMM
		if len(f.PreStress.ByPosition) == 0 {
			return // all of it under pads
		}
		// The plane that the strain lies in, from one strip; every other must agree.
		plane := func(p PositionStress) (at0, perMM float64) {
			e := b.Woods[p.Wood].ModulusGPa.Value * 1e3
			return (p.TopMPa+p.BottomMPa)/2/e - p.PreStrain, (p.TopMPa - p.BottomMPa) / e / k.ThicknessMM
		}
		at0, perMM := plane(f.PreStress.ByPosition[0])
		for _, p := range f.PreStress.ByPosition {
			if a, d := plane(p); math.Abs(a-at0) > 1e-12 || math.Abs(d-perMM) > 1e-12 {
				t.Errorf("strains %g %g and %g %g lie in two planes", a, d, at0, perMM)
			}
		}
		var pull float64
		h := b.HalfWidthMM(b.MeasureAtMM)
		for i, s := range b.Strips() {
			if !slices.ContainsFunc(b.Pads, func(p Pad) bool {
				return p.Position == s.Position && p.FromMM <= b.MeasureAtMM && b.MeasureAtMM <= p.ToMM
			}) {
				width := min(max(h-s.FromMM, 0), s.ToMM-s.FromMM)
				pull += b.Woods[l[i]].ModulusGPa.Value * 1e3 * 2 * width * k.ThicknessMM * b.Positions[s.Position].PreStrain
			}
		}
		a, s0, d := k.A0N+c*k.ThicknessMM, k.S0NMM, k.D0NMM2+c*math.Pow(k.ThicknessMM, 3)/12
		if force := a*at0 + s0*perMM + pull; math.Abs(force) > 1e-9*(a*math.Abs(at0)+math.Abs(pull)) {
			t.Errorf("a force of %g N is left of %g", force, pull)
		}
		if moment := s0*at0 + d*perMM; math.Abs(moment) > 1e-9*(math.Abs(s0*at0)+d*math.Abs(perMM)+1) {
			t.Errorf("a moment of %g N·mm is left", moment)
		}
		near(t, "camber", f.PreStress.CamberPerM, 1e3*perMM, 1e-6)
	})
}

// Pre-strain changes no other figure, and camber and stress turn with its sign.
func TestPreStrainChangesNothingElse(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		s := strained(rng, b)
		turned := *s
		turned.Positions = slices.Clone(s.Positions)
		for i := range turned.Positions {
			turned.Positions[i].PreStrain *= -1
		}
		plain, got, other := evaluate(t, b, l), evaluate(t, s, l), evaluate(t, &turned, l)
		if plain.PreStress.Known || !got.PreStress.Known {
			t.Fatal("it is not known which boards are pre-strained")
		}
		if got.PreStress.CamberMM != -other.PreStress.CamberMM || got.PreStress.CamberPerM != -other.PreStress.CamberPerM {
			t.Errorf("camber %+v and %+v", got.PreStress, other.PreStress)
		}
		for i, p := range got.PreStress.ByPosition {
			if q := other.PreStress.ByPosition[i]; q.StressMPa != -p.StressMPa || q.TopMPa != -p.TopMPa {
				t.Errorf("stress %+v and %+v", p, q)
			}
		}
		got.PreStress = PreStress{}
		if !reflect.DeepEqual(plain, got) {
			t.Errorf("%+v\n%+v", plain, got)
		}
	})
}

// The rise of the middle is that of the curvature integrated twice in small steps, with no rise at the supports.
func TestCamberAgainstSmallSteps(t *testing.T) {
	b, l := ofSize(13, 9)
	b.Positions = []Position{{Name: "middle", Strips: 5, StripWidthMM: 15}, {Name: "edge", Strips: 4, StripWidthMM: 15, PreStrain: 0.003}}
	want := evaluate(t, b, l).PreStress.CamberMM
	const steps = 1000
	d := b.SpanMM / steps
	slope, rise := 0.0, make([]float64, steps+1)
	at := *b
	for i := range steps {
		at.MeasureAtMM = b.MiddleMM() - b.SpanMM/2 + (float64(i)+0.5)*d
		curvature := -evaluate(t, &at, l).PreStress.CamberPerM / 1e3
		rise[i+1] = rise[i] + slope*d + curvature*d*d/2
		slope += curvature * d
	}
	near(t, "rise", rise[steps/2]-rise[steps]/2, want, 1e-5)
	if want == 0 {
		t.Error("nothing rises")
	}
}

// Where so stiff a layer lies below that all of the core is above the neutral axis, the load takes from what is locked in,
// and the worst is before it comes.
func TestStrengthBeforeTheLoad(t *testing.T) {
	b := beam(10, 100, 5, 1000, nil, []Layer{{ModulusGPa: 200, ThicknessMM: 3}})
	b.Layers[0].FromMM, b.Layers[0].ToMM = 300, 700 // elsewhere nothing holds the core back, and nothing is locked in
	b.Positions[0].PreStrain = 0.002
	locked := evaluate(t, b, Layout{0}).PreStress.ByPosition[0]
	const n = 20
	if x := stresses(t, b, Layout{0}, Load{N: n})[1].Strips[0]; x.BottomMPa >= locked.BottomMPa || math.Abs(x.TopMPa) >= x.BottomMPa {
		t.Fatalf("the load does not take from what is locked in: %+v of %+v", x, locked)
	}
	near(t, "worst", row(t, strength(t, b, Layout{0}, Load{N: n}), 0, false, false).StressMPa, locked.BottomMPa, 1e-9)
}
