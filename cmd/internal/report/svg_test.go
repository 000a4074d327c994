package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

func TestTicks(t *testing.T) {
	for _, tt := range []struct {
		low, high float64
		most      int
		want      string
	}{
		{0, 100, 6, "0 20 40 60 80 100"},
		{0, 1560, 9, "0 200 400 600 800 1000 1200 1400"},
		{200.3, 204.9, 6, "201 202 203 204"},
		{0.11, 0.42, 5, "0.2 0.3 0.4"},
		{-130, 130, 7, "-100 -50 0 50 100"},
		{812.031, 812.038, 8, "812.031 812.032 812.033 812.034 812.035 812.036 812.037 812.038"},
		{5e6, 6e6, 3, "5000000 5500000 6000000"},
	} {
		var got []string
		for _, tick := range (axis{tt.low, tt.high, 0, 100}).ticks(tt.most) {
			got = append(got, tick.Text)
		}
		if s := strings.Join(got, " "); s != tt.want {
			t.Errorf("%v to %v, at most %d: %s, want %s", tt.low, tt.high, tt.most, s, tt.want)
		}
	}
}

// Over ranges of every size: never more marks than asked for, never fewer than a third of them, none outside, and
// rounding outward holds the range.
func TestTicksLaws(t *testing.T) {
	for i := range 2000 {
		length := math.Pow(10, float64(i%13)-4) * (1 + float64(i%97)/10)
		low := (float64(i%31) - 15) * length / 7
		for most := 4; most < 12; most++ {
			a := axis{low, low + length, 100, 0}
			marks := a.ticks(most)
			if len(marks) > most || len(marks) < most/3 {
				t.Fatalf("%v + %v: %d marks, at most %d", low, length, len(marks), most)
			}
			for _, m := range marks {
				if m.At < -1e-6 || m.At > 100+1e-6 {
					t.Fatalf("%v + %v: a mark at %v", low, length, m.At)
				}
			}
			r := rounded(low, low+length, most, 100, 0)
			slack := 1e-6 * length
			if r.low > low+slack || r.high < low+length-slack || len(r.ticks(most)) > most {
				t.Fatalf("%v + %v rounded to %v..%v with %d marks, at most %d", low, length, r.low, r.high, len(r.ticks(most)), most)
			}
		}
	}
	for _, v := range []float64{0, 5, -5} {
		if a := rounded(v, v, 6, 0, 100); !(a.low < v && v < a.high) {
			t.Errorf("a range of no length about %v became %v..%v", v, a.low, a.high)
		}
		if a := spread([]float64{v}, 0, 100); !(a.low < v && v < a.high) {
			t.Errorf("the room about %v is %v..%v", v, a.low, a.high)
		}
	}
}

func TestClipped(t *testing.T) {
	for _, tt := range []struct {
		text    string
		columns int
		want    string
	}{
		{"Binding", 7, "Binding"},
		{"Binding", 6, "Bindi…"},
		{"Binding", 1, "…"},
		{"", 3, ""},
		{"木材板", 5, "木材…"},
		{"👩‍🔬👩‍🔬👩‍🔬", 4, "👩‍🔬…"},
		{"e\u0301e\u0301e\u0301", 2, "e\u0301…"},
	} {
		if got := clipped(tt.text, tt.columns); got != tt.want {
			t.Errorf("clipped(%q, %d) = %q, want %q", tt.text, tt.columns, got, tt.want)
		}
	}
}

// Thirty woods of one name have thirty letters, and no two share both pattern and colour.
func TestWoodMarksTellApart(t *testing.T) {
	b := &core.Board{}
	for i := range 60 {
		w := sampleProgram(t).Board.Woods[0]
		w.ID = fmt.Sprintf("aspen-%d", i)
		b.Woods = append(b.Woods, w)
	}
	layout := make(core.Layout, 60)
	for i := range layout {
		layout[i] = i
	}
	marks, slot := woodMarks(&optimize.Program{}, b, []core.Layout{layout})
	letters, looks := map[string]bool{}, map[string]bool{}
	for i, m := range marks {
		look := m.Colour + string(m.Lines)
		if letters[m.Letter] || looks[look] || slot[i] != i {
			t.Errorf("wood %d: letter %q or its look is taken", i, m.Letter)
		}
		letters[m.Letter], looks[look] = true, true
	}

	p := sampleProgram(t)
	p.Candidates = p.Candidates[:1] // the paulownia, which no layout has
	marks, slot = woodMarks(p, p.Board, []core.Layout{{2, 2}})
	if len(marks) != 2 || marks[0].Letter != "P" || marks[1].Letter != "B" || !slices.Equal(slot, []int{0, -1, 1}) {
		t.Errorf("marks %v, slots %v", marks, slot)
	}
}

// Dark letters must read on every colour: the contrast formula of WCAG 2, at least 4.5 for text. And lightness
// differs between neighbours, so that grey print keeps them apart.
func TestWoodColoursCarryLetters(t *testing.T) {
	luminance := func(c string) float64 {
		var rgb [3]int
		if _, err := fmt.Sscanf(c, "#%02x%02x%02x", &rgb[0], &rgb[1], &rgb[2]); err != nil {
			t.Fatal(err)
		}
		var out float64
		for i, weight := range []float64{.2126, .7152, .0722} {
			v := float64(rgb[i]) / 255
			if v <= .04045 {
				v /= 12.92
			} else {
				v = math.Pow((v+.055)/1.055, 2.4)
			}
			out += weight * v
		}
		return out
	}
	for i, c := range woodColours {
		if ratio := (luminance(c) + .05) / (luminance("#1c1a15") + .05); ratio < 4.5 {
			t.Errorf("letters on %s have contrast %.1f", c, ratio)
		}
		next := woodColours[(i+1)%len(woodColours)]
		a, b := luminance(c)+.05, luminance(next)+.05
		if ratio := max(a, b) / min(a, b); ratio < 1.15 {
			t.Errorf("%s and %s differ by %.2f in lightness", c, next, ratio)
		}
	}
}

// The rectangles drawn for the layers are those the stiffness is reckoned from: Σ E b t and Σ E b t z agree with
// core's own section, at every kind of place.
func TestLayersAreDrawnAsReckoned(t *testing.T) {
	b := sampleProgram(t).Board
	b.Layers = append(b.Layers,
		core.Layer{Name: "Stringer", Place: core.Above, Order: 1, ModulusGPa: 60, ThicknessMM: .9, WidthMM: 40, FromMM: 300, ToMM: 1200},
		core.Layer{Name: "Veneer", Place: core.Above, Order: 3, ModulusGPa: 9, ThicknessMM: .6, CoreOnly: true},
		core.Layer{Name: "Outer wall", Place: core.Beside, Order: 2, ModulusGPa: 3, ThicknessMM: 3, WidthMM: 2},
	)
	for _, x := range []float64{0, 50, 120, 299.9, 300, 777, 1200, 1200.1, 1560} {
		layers, half := placeLayers(b, x)
		var a, s, widest float64
		for _, p := range layers {
			ea := 1000 * b.Layers[p.layer].ModulusGPa * (p.right - p.left) * (p.top - p.low)
			a += ea
			s += ea * (p.top + p.low) / 2
			widest = max(widest, p.right, -p.left)
		}
		k := b.SectionAt(x, core.Pressed)
		if math.Abs(a-k.A0N) > 1e-9*k.A0N || math.Abs(s-k.S0NMM) > 1e-9*math.Abs(k.S0NMM) {
			t.Errorf("at %v mm: drawn Σ E b t %v, Σ E b t z %v; reckoned %v, %v", x, a, s, k.A0N, k.S0NMM)
		}
		if math.Abs(widest-half) > 1e-9 {
			t.Errorf("at %v mm: half width %v, drawn to %v", x, half, widest)
		}
	}
}

// The strips of a section add up to the core's width, and those under a pad show the pad's wood whatever the layout.
func TestSectionStripsAreToScale(t *testing.T) {
	p := sampleProgram(t)
	b := p.Board
	b.Pads = []core.Pad{{Position: 2, FromMM: 700, ToMM: 850, Wood: 0}}
	marks, slot := woodMarks(p, b, []core.Layout{p.Reference})
	for _, x := range []float64{0, 90, 400, 780, 1560} {
		d := newSectionDrawing(b, x, p.Reference, marks, slot)
		var area px
		for _, r := range d.Strips {
			area += r.W * r.H
			if pad := x == 780 && r.Slot == 0; pad != (r.Strip < 0) {
				t.Errorf("at %v mm: strip %d has wood %d", x, r.Strip, r.Slot)
			}
		}
		want := d.scale * d.scale * px(float64(d.Times)*2*b.HalfWidthMM(x)*b.ThicknessMM(x))
		if math.Abs(float64(area/want-1)) > 1e-9 {
			t.Errorf("at %v mm: strips cover %v, want %v", x, area, want)
		}
	}
}

// The strips seen from above cover just what the outline encloses: their areas, by the shoelace formula, add up to
// the trapezoids between stations.
func TestPlanIsToScale(t *testing.T) {
	p := sampleProgram(t)
	b := p.Board
	marks, slot := woodMarks(p, b, []core.Layout{p.Reference})
	d := newAlongDrawing(p, b, p.Reference, marks, slot)
	var drawn float64
	for _, s := range d.Strips {
		drawn += pathArea(t, s.D)
	}
	var want float64
	for i, s := range b.Stations[1:] {
		want += (s.WidthMM + b.Stations[i].WidthMM) / 2 * (s.FromTipMM - b.Stations[i].FromTipMM)
	}
	scale := float64(alongRight-alongLeft) / b.LengthMM()
	want *= scale * scale
	// Places are written to a tenth: 830 units along, 26 shapes of two long sides each.
	if tolerance := 0.002 * want; math.Abs(drawn-want) > tolerance {
		t.Errorf("strips cover %v, the outline %v", drawn, want)
	}
	if outline := pathArea(t, d.Outline); math.Abs(outline-want) > 0.002*want {
		t.Errorf("the outline encloses %v, want %v", outline, want)
	}
}

func pathArea(t *testing.T, d string) float64 {
	t.Helper()
	var total float64
	for shape := range strings.SplitSeq(strings.TrimSuffix(d, "Z"), "Z") {
		var xs, ys []float64
		for point := range strings.SplitSeq(strings.TrimPrefix(shape, "M"), "L") {
			var x, y float64
			if _, err := fmt.Sscan(point, &x, &y); err != nil {
				t.Fatalf("path %q: %v", d, err)
			}
			xs, ys = append(xs, x), append(ys, y)
		}
		var area float64
		for i := range xs {
			k := (i + 1) % len(xs)
			area += (xs[i]*ys[k] - xs[k]*ys[i]) / 2
		}
		total += math.Abs(area)
	}
	return total
}

// A layer's end is seen from both sides, and the curve there jumps upright.
func TestCurveJumpsAtLayerEnds(t *testing.T) {
	p := sampleProgram(t)
	b := p.Board
	b.Layers[0].FromMM, b.Layers[0].ToMM = 333, 1111
	places := alongPlaces(b, p.Limits.Windows)
	ei := stiffnessAlong(b, p.Reference, places)
	jumps := 0
	for i := 1; i < len(places); i++ {
		if places[i].x < places[i-1].x {
			t.Fatalf("places run back at %v mm", places[i].x)
		}
		if places[i].x-places[i-1].x > 40 {
			t.Errorf("a gap of %v mm", places[i].x-places[i-1].x)
		}
		if places[i].x == places[i-1].x {
			jumps++
			if math.Abs(ei[i]-ei[i-1]) < 1 {
				t.Errorf("no jump at %v mm: %v, %v", places[i].x, ei[i-1], ei[i])
			}
		}
	}
	if jumps != 2 {
		t.Errorf("%d jumps, want 2", jumps)
	}
}
