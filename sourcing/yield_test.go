package sourcing

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Worked by hand from the formula of the doc comment of [Yield].
func TestYield(t *testing.T) {
	shop := Shop{KerfMM: 3, PlaningMM: 0.5, EdgingMM: 5, EndTrimMM: 50, YieldPct: 70}
	blank := Blank{LengthMM: 1850, ThicknessMM: 14}
	for _, tt := range []struct {
		name, source           string
		plank                  Plank
		ready                  bool
		width                  float64
		shop                   Shop
		grade                  float64
		through, across, along int
		strips                 string
	}{
		{"26 mm", "(26−1+3)/(8+3) = 2.5; (150−5+3)/(14+3) = 8.7; (3900−50)/1850 = 2.08; 2×8×2 × 0.7", Plank{26, 150, 3900}, false, 8, shop, 0, 2, 8, 2, "22.4"},
		{"FAS", "32 × 10/12 = 26.6667", Plank{26, 150, 3900}, false, 8, shop, 250. / 3, 2, 8, 2, "26.6667"},
		{"an exact fit", "(24−1+3)/(10+3) = 2; (56−5+3)/17 = 3.2; (1900−50)/1850 = 1", Plank{24, 56, 1900}, false, 10, shop, 100, 2, 3, 1, "6"},
		{"an exact fit in inches", "T = 2×5.1 + 2×0.3 + 1×2.2 = 13 exactly, which binary fractions miss", Plank{13, 56, 1900}, false, 5.1, Shop{2.2, 0.3, 5, 50, 70}, 100, 2, 3, 1, "6"},
		{"no kerf", "(26−1)/8 = 3.1; (150−5)/14 = 10.4; 1", Plank{26, 150, 1900}, false, 8, Shop{0, 0.5, 5, 50, 100}, 0, 3, 10, 1, "30"},
		{"ready", "cut to size: 1 × 1 × 1, all usable", Plank{8, 14, 1850}, true, 8, shop, 50, 1, 1, 1, "1"},
		{"ready, double length", "1 × 1 × (3800−50)/1850", Plank{8, 14, 3800}, true, 8, shop, 0, 1, 1, 2, "2"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			y, err := Yield(tt.plank, tt.ready, tt.width, blank, tt.shop, tt.grade)
			if err != nil {
				t.Fatal(err)
			}
			if y.Through != tt.through || y.Across != tt.across || y.Along != tt.along || y.Strips.String() != tt.strips {
				t.Errorf("%d × %d × %d, %s strips; want %d × %d × %d, %s (%s)", y.Through, y.Across, y.Along, y.Strips, tt.through, tt.across, tt.along, tt.strips, tt.source)
			}
			if len(y.Steps) != 4 {
				t.Errorf("%d steps, want 4: %s", len(y.Steps), strings.Join(y.Steps, "\n"))
			}
		})
	}
	for _, tt := range []struct {
		plank Plank
		ready bool
		want  string
	}{
		{Plank{8.5, 150, 3900}, false, "0.5 mm too thin: one strip needs a thickness of 9 mm"}, // 8 + 2 × 0.5
		{Plank{26, 18.2, 3900}, false, "0.8 mm too narrow: one strip needs a width of 19 mm"},  // 14 + 5
		{Plank{26, 150, 1899}, false, "1 mm too short: one strip needs a length of 1900 mm"},   // 1850 + 50
		{Plank{7.9, 13, 1800}, true, "0.1 mm too thin: one strip needs a thickness of 8 mm, and 1 mm too narrow: one strip needs a width of 14 mm, and 50 mm too short: one strip needs a length of 1850 mm"},
		{Plank{math.NaN(), 150, 3900}, false, "a plank thickness of NaN mm is not a length"},
		{Plank{26, math.Inf(1), 3900}, false, "a plank width of +Inf mm is not a length"},
		{Plank{26, -150, 3900}, false, "a plank width of -150 mm is not a length"},
	} {
		if y, err := Yield(tt.plank, tt.ready, 8, blank, shop, 0); err == nil || !strings.HasSuffix(err.Error(), tt.want) {
			t.Errorf("%s gives %s strips, %v; want %q", tt.plank, y.Strips, err, tt.want)
		}
	}
	for _, s := range []Shop{{YieldPct: 0}, {YieldPct: 101}, {YieldPct: math.NaN()}, {KerfMM: -1, YieldPct: 70}} {
		if y, err := Yield(Plank{26, 150, 3900}, false, 8, blank, s, 0); err == nil {
			t.Errorf("a shop of %+v gives %s strips; want an error", s, y.Strips)
		}
	}
	if y, err := Yield(Plank{26, 150, 3900}, false, 0, blank, shop, 0); err == nil {
		t.Errorf("strips without width: %s of them; want an error", y.Strips)
	}
}

// A bigger plank never gives fewer strips, a thicker kerf never more, and a ready strip never fewer than rough lumber.
func TestYieldIsMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	strips := func(p Plank, ready bool, w float64, b Blank, s Shop) float64 {
		y, err := Yield(p, ready, w, b, s, 0)
		if err != nil {
			return 0
		}
		return y.Strips.InexactFloat64()
	}
	some := 0
	for range 3000 {
		p := Plank{5 + 60*rng.Float64(), 20 + 200*rng.Float64(), 1500 + 3000*rng.Float64()}
		b := Blank{1200 + 700*rng.Float64(), 8 + 10*rng.Float64()}
		s := Shop{4 * rng.Float64(), rng.Float64(), 8 * rng.Float64(), 80 * rng.Float64(), 50 + 50*rng.Float64()}
		w := 5 + 15*rng.Float64()
		n := strips(p, false, w, b, s)
		if n > 0 {
			some++
		}
		bigger := Plank{p.ThicknessMM + 10*rng.Float64(), p.WidthMM + 50*rng.Float64(), p.LengthMM + 900*rng.Float64()}
		if m := strips(bigger, false, w, b, s); m < n {
			t.Fatalf("%s gives %v strips, the bigger %s %v", p, n, bigger, m)
		}
		wider := s
		wider.KerfMM += rng.Float64()
		if m := strips(p, false, w, b, wider); m > n {
			t.Fatalf("a kerf of %v mm gives %v strips, of %v mm %v", s.KerfMM, n, wider.KerfMM, m)
		}
		if m := strips(p, true, w, b, s); m < n {
			t.Fatalf("%s gives %v strips, but as ready strip %v", p, n, m)
		}
	}
	if some < 1000 {
		t.Fatalf("only %d planks gave strips: the law was hardly tried", some)
	}
}
