package report

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"golang.org/x/net/html"

	"stavewright/optimize"
	"stavewright/species"
)

// mixesOf are the mixes of the sample, found by the search itself: it is small enough to be the same on every machine.
func mixesOf(t testing.TB, p *optimize.Program, o optimize.MixesOptions) *optimize.MixesResult {
	t.Helper()
	o.Method = optimize.Enumeration
	r, err := optimize.Mixes(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func sampleMixes(t testing.TB) *optimize.MixesResult {
	t.Helper()
	p := sampleMatchProgram(t)
	p.Board.Woods[0].Growth = species.Growth{Stand: species.Plantation, Status: species.Memory, Source: "invented for a test"}
	p.MoisturePct = 9
	for i, c := range p.Candidates {
		for _, u := range c.At {
			if u.Price != nil {
				u.Price.Offer.DistanceKM, u.Price.Offer.HasDistance = decimal.NewFromInt(int64(100*i)), true
			}
		}
	}
	p.Board.Woods[1].RotationLowYears = species.Figure{Value: 12, Status: species.Read, Source: "an invented text"}
	return mixesOf(t, p, optimize.MixesOptions{WithinPct: 4, Factors: []float64{1, 1.02}})
}

// sampleAllMixes are mixes with every turn that they can take.
func sampleAllMixes(t testing.TB) map[string]*optimize.MixesResult {
	t.Helper()
	out := map[string]*optimize.MixesResult{"mixes": sampleMixes(t)}

	stopped := sampleMixes(t)
	front := *stopped.Front
	front.Complete, front.Why, front.Unproven, front.Points, front.Unsearched = false, "time limit", true, front.Points[:1], "the layouts not searched may hold further points"
	stopped.Proven, stopped.StepsProven, stopped.Why, stopped.Greatest, stopped.Front = false, false, "time limit", nil, &front
	out["stopped"] = stopped
	nothing := sampleMixes(t)
	front.Points = nil
	nothing.Proven, nothing.StepsProven, nothing.Why, nothing.Greatest, nothing.Front = false, false, "interrupted", nil, &front
	nothing.Breaks, nothing.Grid, nothing.Alternatives = nil, nil, nil
	out["stopped with nothing"] = nothing

	p := sampleMatchProgram(t)
	p.Limits.MinFastPct = optimize.Limit{Set: true, Value: 99, Where: "Limits!G2"}
	out["infeasible"] = mixesOf(t, p, optimize.MixesOptions{})
	p = sampleMatchProgram(t)
	p.Limits.MinFastPct = optimize.Limit{Set: true, Value: 30, Where: "Limits!G2"}
	p.Limits.Positions[3].MinHoldingPct = optimize.Limit{Set: true, Value: 101, Where: "Positions!H6"}
	out["nothing at equal flex"] = mixesOf(t, p, optimize.MixesOptions{WithinPct: 0.01})

	// A core with bamboo in it, which holds no carbon of wood.
	p = sampleMatchProgram(t)
	p.MoisturePct = 12
	p.Board.Woods[1].Growth = species.Growth{Stand: species.Bamboo, Status: species.Read, Source: "an invented text"}
	out["bamboo"] = mixesOf(t, p, optimize.MixesOptions{WithinPct: 4})

	// A reference whose wood is not allowed where it stands, and of unknown rotation: it has a ride, but no cost and no mean rotation.
	p = sampleMatchProgram(t)
	p.Reference = slices.Clone(p.Reference)
	p.Reference[len(p.Reference)-1] = 0
	p.Board.Woods[2].RotationLowYears, p.Board.Woods[2].RotationHighYears = species.Figure{}, species.Figure{}
	out["banned reference"] = mixesOf(t, p, optimize.MixesOptions{WithinPct: 4})

	bare := sampleBare(t).Program
	bare.Reference = nil
	out["bare"] = mixesOf(t, bare, optimize.MixesOptions{Objectives: []optimize.Objective{optimize.Mass, optimize.EI, optimize.Share}})
	return out
}

func mixesBook(t testing.TB, r *optimize.MixesResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return MixesWorkbook(b, r) })
}

func mixesHTMLOf(t testing.TB, r *optimize.MixesResult) []byte {
	t.Helper()
	return render(t, func(w io.Writer) error { return MixesPage(w, r) })
}

func mixesDoc(t testing.TB, r *optimize.MixesResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return MixesJSON(b, r) })
}

func TestMixesGolden(t *testing.T) {
	all := sampleAllMixes(t)
	var text bytes.Buffer
	for _, tt := range []struct {
		name  string
		style Style
	}{
		{"mixes", Style{}}, {"mixes", Style{Width: 100}}, {"stopped", Style{}}, {"stopped with nothing", Style{}}, {"infeasible", Style{}},
		{"nothing at equal flex", Style{}}, {"banned reference", Style{Width: 60}}, {"bare", Style{}}, {"bamboo", Style{Width: 100}},
	} {
		fmt.Fprintf(&text, "=== %s, %d columns\n", tt.name, cmp.Or(tt.style.Width, 80))
		if err := MixesTerminal(&text, all[tt.name], tt.style); err != nil {
			t.Fatal(err)
		}
		text.WriteByte('\n')
	}
	golden(t, "mixes-terminal.txt", text.Bytes())
	golden(t, "mixes.html", mixesHTMLOf(t, all["mixes"]))
	// Of the long lists the beginning is enough to read.
	short := sampleMixes(t)
	short.Front.Points = short.Front.Points[:2]
	short.Grid = []optimize.MixStep{short.Grid[0], short.Grid[5], short.Grid[9]}
	golden(t, "mixes.xlsx.txt", dump(t, mixesBook(t, short)))
	short.Breaks, short.Grid, short.Alternatives, short.Greatest = short.Breaks[:2], []optimize.MixStep{short.Grid[0], short.Grid[2]}, short.Alternatives[:1], nil
	golden(t, "mixes.json", mixesDoc(t, short))
}

// TestMixesEverywhere: whatever turn the search took, every output is written, the same twice, fits the terminal, and calls nothing by names
// that no figure supports.
func TestMixesEverywhere(t *testing.T) {
	first, second := sampleAllMixes(t), sampleAllMixes(t)
	for name, r := range first {
		for what, of := range map[string]func(testing.TB, *optimize.MixesResult) []byte{"workbook": mixesBook, "page": mixesHTMLOf, "document": mixesDoc} {
			out := of(t, r)
			if !bytes.Equal(out, of(t, second[name])) {
				t.Errorf("%s: two %ss of one search differ", name, what)
			}
			if what == "document" && !json.Valid(out) {
				t.Errorf("%s: no JSON", name)
			}
			if what == "page" {
				checkClaims(t, name, textOf(parse(t, out)))
			}
		}
		for width := minWidth; width <= 110; width += 10 {
			var b strings.Builder
			if err := MixesTerminal(&b, r, Style{Width: width}); err != nil {
				t.Fatal(err)
			}
			checkWidth(t, name, b.String(), width)
			checkClaims(t, name, b.String())
		}
	}
}

// checkClaims: words that no figure here supports.
func checkClaims(t *testing.T, name, text string) {
	t.Helper()
	for _, word := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return (r < 'a' || r > 'z') && r != '-' }) {
		if slices.Contains([]string{"green", "eco", "ecological", "sustainable", "renewable", "climate-neutral", "carbon-neutral"}, word) {
			t.Errorf("%s: it says %q", name, word)
		}
	}
}

// TestMixesShowTheirFigures: what the page and the document say of the steps is what the search found, and every wood has its source.
func TestMixesShowTheirFigures(t *testing.T) {
	r := sampleMixes(t)
	if len(r.Breaks) < 4 || len(r.Alternatives) != 3 {
		t.Fatalf("%d steps, %d alternatives: too few to test by", len(r.Breaks), len(r.Alternatives))
	}
	var doc struct {
		Steps []struct {
			Min   float64 `json:"min_fast_grown_pct"`
			Kept  float64 `json:"kept_up_to_pct"`
			Point *struct {
				Mass   float64 `json:"core_mass_g"`
				Share  float64 `json:"fast_grown_pct"`
				Factor float64 `json:"profile_factor"`
			}
		}
		Breaks       []struct{ Mix mixFigures }
		Alternatives []struct{ Name string }
		Points       []json.RawMessage
		Woods        []struct{ Source, Status string }
	}
	if err := json.Unmarshal(mixesDoc(t, r), &doc); err != nil {
		t.Fatal(err)
	}
	if len(doc.Steps) != 11 || len(doc.Breaks) != len(r.Breaks) || len(doc.Points) != len(r.Front.Points) || len(doc.Alternatives) != 3 {
		t.Fatalf("%d steps, %d breaks, %d points", len(doc.Steps), len(doc.Breaks), len(doc.Points))
	}
	for i, s := range doc.Steps {
		if s.Min != float64(10*i) {
			t.Errorf("step %d is of %v %%", i, s.Min)
		}
		switch k := r.Grid[i].Break; {
		case (k < 0) != (s.Point == nil):
			t.Errorf("at %v %%: %+v", s.Min, s)
		case k >= 0 && (s.Kept != r.Breaks[k].SharePct || s.Point.Mass != r.Breaks[k].Point.CoreMassG || s.Point.Share < s.Min-0.005):
			t.Errorf("at %v %%: %+v, want %v g kept up to %v %%", s.Min, s, r.Breaks[k].Point.CoreMassG, r.Breaks[k].SharePct)
		}
	}
	for i, b := range doc.Breaks {
		if m := b.Mix; math.Abs(m.Fast-r.Breaks[i].Point.FastGrownPct) > 0.006 || m.Lumber <= m.Volume {
			t.Errorf("break %d: %+v", i, m)
		}
	}
	for _, w := range doc.Woods {
		if w.Source == "" || w.Status == "" {
			t.Errorf("a wood without a source: %+v", w)
		}
	}
	root := parse(t, mixesHTMLOf(t, r))
	text := textOf(root)
	for _, b := range r.Alternatives {
		for _, want := range []string{b.Name, b.How, Fixed(b.Point.CoreMassG, 2)} {
			if !strings.Contains(text, want) {
				t.Errorf("the page does not say %q", want)
			}
		}
	}
	bars := elements(root, func(n *html.Node) bool { return n.Data == "svg" && attribute(n, "class") == "bar" })
	if len(bars) != 4 {
		t.Fatalf("%d bars", len(bars))
	}
	m, err := newMixing(r)
	if err != nil {
		t.Fatal(err)
	}
	_, slot := woodMarks(m.program, m.program.Board, m.layouts())
	for i, b := range bars {
		strips := m.program.Board.Strips()
		var end float64
		rects := elements(b, named("rect"))
		for k, s := range rects {
			if want := fmt.Sprintf("url(#wood%d)", slot[m.columns[i].point.Layout[k]]); attribute(s, "fill") != want {
				t.Errorf("bar %d, strip %d: %s, want %s", i, k, attribute(s, "fill"), want)
			}
			x, _ := strconv.ParseFloat(attribute(s, "x"), 64)
			w, _ := strconv.ParseFloat(attribute(s, "width"), 64)
			if math.Abs(x-end) > 0.15 {
				t.Errorf("bar %d, strip %d begins at %v, the one before it ends at %v", i, k, x, end)
			}
			end = x + w
		}
		if len(rects) != len(strips) || math.Abs(end-240) > 0.15 {
			t.Errorf("bar %d: %d of %d strips, to %v", i, len(rects), len(strips), end)
		}
	}
}

type mixFigures struct {
	Fast   float64 `json:"fast_grown_volume_pct"`
	Volume float64 `json:"volume_cm3"`
	Lumber float64 `json:"lumber_cm3"`
}

// TestMixesTakeNoTextForMarkup: a user's words reach the page and the workbook as words.
func TestMixesTakeNoTextForMarkup(t *testing.T) {
	r := sampleMixes(t)
	for _, text := range hostileTexts {
		p := r.Program
		p.Model, p.Currency = text, text
		for i := range p.Board.Woods {
			w := &p.Board.Woods[i]
			w.CommonName, w.RotationHighYears.Source, w.Growth.Source = text, text, text
		}
		r.Broken = []string{text}
		page := mixesHTMLOf(t, r)
		root := parse(t, page)
		if n := len(elements(root, named("script"))); n != 0 {
			t.Errorf("%.20q: %d scripts", text, n)
		}
		if !strings.Contains(textOf(root), clean(text)) && !strings.Contains(text, "\xff") {
			t.Errorf("%.20q is not shown as written", text)
		}
		checkSelfContained(t, fmt.Sprintf("%.20q", text), mixesBook(t, r))
		var b strings.Builder
		if err := MixesTerminal(&b, r, Style{Width: 100}); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, fmt.Sprintf("%.20q", text), b.String(), 100)
	}
}

// TestMixTags holds the names in the chart of a mix to what its drawing has room for, at their largest, which they are on a narrow screen.
func TestMixTags(t *testing.T) {
	// The lightest and the most fast-grown lie low and as high as each other, the cheapest above the latter, the current mix at the top.
	c := &stairChart{W: 640, H: 340, Left: 76, Right: 620, Top: 26, Bottom: 278, Reference: &dot{X: 436, Y: 44, Tag: "current"},
		Dots: []dot{{X: 321, Y: 270, Tag: "lightest"}, {X: 489, Y: 265, Tag: "most fast-grown"}, {X: 489, Y: 109, Tag: "cheapest"}}}
	c.placeTags()
	var boxes []rect
	for _, d := range append(c.Dots, *c.Reference) {
		box := rect{d.TagX, d.TagY - 17, px(12 * len(d.Tag)), 21}
		if d.TagEnd {
			box.X -= box.W
		}
		if box.X < c.Left || box.X+box.W > c.W || box.Y < 0 || box.Y+box.H > c.Bottom {
			t.Errorf("%q reaches out of the chart: %v", d.Tag, box)
		}
		for i, other := range boxes {
			if box.X < other.X+other.W && other.X < box.X+box.W && box.Y < other.Y+other.H && other.Y < box.Y+box.H {
				t.Errorf("%q is written over %q", d.Tag, append(c.Dots, *c.Reference)[i].Tag)
			}
		}
		boxes = append(boxes, box)
	}
}
