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

	"github.com/xuri/excelize/v2"
	"golang.org/x/net/html"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// matchOf is a match of the sample, found by the search itself: it is small enough to be the same on every machine.
func matchOf(t testing.TB, p *optimize.Program, o optimize.MatchOptions) *optimize.MatchResult {
	t.Helper()
	r, err := optimize.Match(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// sampleMatchProgram is the sample's question with a design load and a demand on screw holding.
func sampleMatchProgram(t testing.TB) *optimize.Program {
	t.Helper()
	p := sampleProgram(t)
	p.Limits.DesignLoadN, p.Limits.SafetyFactor = 700, 2
	p.Limits.Positions[2].MinHoldingPct = optimize.Limit{Set: true, Value: 150, Where: "Positions!H5"}
	return p
}

var sampleFactors = []float64{0.98, 1, 1.02, 1.04, 1.1}

func sampleMatch(t testing.TB) *optimize.MatchResult {
	t.Helper()
	return matchOf(t, sampleMatchProgram(t), optimize.MatchOptions{WithinPct: 2.5, Factors: sampleFactors, RoundingMM: 0.01, LeastMM: 2.06})
}

// sampleMatches are matches with every turn that one can take.
func sampleMatches(t testing.TB) map[string]*optimize.MatchResult {
	t.Helper()
	out := map[string]*optimize.MatchResult{"lighter": sampleMatch(t)}
	out["stiffer"] = matchOf(t, sampleMatchProgram(t), optimize.MatchOptions{Goal: optimize.Stiffer})
	out["cheaper"] = matchOf(t, sampleMatchProgram(t), optimize.MatchOptions{Goal: optimize.Cheaper, Stations: []float64{780}})

	stopped := sampleMatch(t)
	stopped.Proven, stopped.Why, stopped.Swaps = false, "time limit", nil
	out["stopped"] = stopped
	nothing := sampleMatch(t)
	nothing.Proven, nothing.Why, nothing.Best, nothing.Trimmed, nothing.Board, nothing.Swaps = false, "interrupted", nil, nil, nil, nil
	out["stopped with nothing"] = nothing

	p := sampleMatchProgram(t)
	p.Limits.MaxCoreMassG = optimize.Limit{Set: true, Value: 600, Where: "Limits!D2"}
	out["infeasible"] = matchOf(t, p, optimize.MatchOptions{})

	// A reference whose wood is not allowed where it stands: it has a ride but no cost.
	p = sampleMatchProgram(t)
	p.Reference = slices.Clone(p.Reference)
	p.Reference[len(p.Reference)-1] = 0
	out["banned reference"] = matchOf(t, p, optimize.MatchOptions{WithinPct: 4, NoSwaps: true})

	bare := sampleBare(t).Program
	bare.Reference = sampleProgram(t).Reference
	out["bare"] = matchOf(t, bare, optimize.MatchOptions{})
	return out
}

func matchBook(t testing.TB, r *optimize.MatchResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return MatchWorkbook(b, r) })
}

func matchHTML(t testing.TB, r *optimize.MatchResult) []byte {
	t.Helper()
	return render(t, func(w io.Writer) error { return MatchPage(w, r) })
}

func matchDoc(t testing.TB, r *optimize.MatchResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return MatchJSON(b, r) })
}

func TestMatchGolden(t *testing.T) {
	all := sampleMatches(t)
	var text bytes.Buffer
	for _, tt := range []struct {
		name  string
		style Style
	}{
		{"lighter", Style{}}, {"lighter", Style{Width: 100}}, {"lighter", Style{Width: 60, Colour: true}}, {"stiffer", Style{}}, {"cheaper", Style{}},
		{"stopped", Style{}}, {"stopped with nothing", Style{}}, {"infeasible", Style{}}, {"banned reference", Style{}}, {"bare", Style{}},
	} {
		fmt.Fprintf(&text, "=== %s, %d columns\n", tt.name, cmp.Or(tt.style.Width, 80))
		if err := MatchTerminal(&text, all[tt.name], tt.style); err != nil {
			t.Fatal(err)
		}
		text.WriteByte('\n')
	}
	golden(t, "match-terminal.txt", text.Bytes())
	golden(t, "match.json", matchDoc(t, all["lighter"]))
	golden(t, "match-infeasible.json", matchDoc(t, all["infeasible"]))
	golden(t, "match.xlsx.txt", dump(t, matchBook(t, all["lighter"])))
	golden(t, "match-stiffer.xlsx.txt", dump(t, matchBook(t, all["stiffer"])))
	golden(t, "match.html", matchHTML(t, all["lighter"]))
}

func TestMatchIsTheSameTwice(t *testing.T) {
	first, second := sampleMatches(t), sampleMatches(t)
	for name := range first {
		for what, of := range map[string]func(testing.TB, *optimize.MatchResult) []byte{"workbook": matchBook, "page": matchHTML, "document": matchDoc} {
			if !bytes.Equal(of(t, first[name]), of(t, second[name])) {
				t.Errorf("%s: two %ss of one match differ", name, what)
			}
		}
	}
}

func TestMatchTerminalFitsItsWidth(t *testing.T) {
	for name, r := range sampleMatches(t) {
		for width := minWidth; width <= 130; width += 10 {
			var b strings.Builder
			if err := MatchTerminal(&b, r, Style{Width: width}); err != nil {
				t.Fatal(err)
			}
			checkWidth(t, name, b.String(), width)
		}
	}
	for _, hostile := range hostileTexts {
		var b strings.Builder
		if err := MatchTerminal(&b, hostileMatch(t, hostile), Style{Width: 100}); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, fmt.Sprintf("%.20q", hostile), b.String(), 100)
	}
}

// hostileMatch is a match with one text wherever a user's or the program's words reach.
func hostileMatch(t testing.TB, text string) *optimize.MatchResult {
	t.Helper()
	front := sampleHostile(t, text)
	p := front.Program
	p.Limits.DesignLoadN = 500
	p.Board.Positions[1].PreStrain = 0.002
	r := matchOf(t, p, optimize.MatchOptions{Factors: sampleFactors})
	r.Why, r.Broken = text, []string{text}
	r.Swaps = append(r.Swaps, optimize.Swap{Wood: text, Why: text})
	return r
}

// A document begins as the design says, and its points are a front's.
func TestMatchJSONShape(t *testing.T) {
	r := sampleMatch(t)
	doc := matchDoc(t, r)
	if got := keys(t, doc); !slices.Equal(got[:5], []string{"model", "reference", "best", "trimmed", "proven"}) {
		t.Errorf("keys %v", got)
	}
	var of struct {
		Reference, Best, Trimmed json.RawMessage
		Proven                   bool
	}
	if err := json.Unmarshal(doc, &of); err != nil {
		t.Fatal(err)
	}
	var front struct{ Points []json.RawMessage }
	if err := json.Unmarshal(frontDoc(t, sampleFront(t)), &front); err != nil {
		t.Fatal(err)
	}
	want := append(keys(t, front.Points[0]), "strength")
	for name, point := range map[string]json.RawMessage{"reference": of.Reference, "best": of.Best, "trimmed": of.Trimmed} {
		if got := keys(t, point); !slices.Equal(got, want) {
			t.Errorf("%s has keys %v, want a front's and strength: %v", name, got, want)
		}
	}
	if !of.Proven {
		t.Error("not proven")
	}
	for name, r := range sampleMatches(t) {
		d := json.NewDecoder(bytes.NewReader(matchDoc(t, r)))
		d.UseNumber()
		for {
			token, err := d.Token()
			if err != nil {
				break
			}
			if n, ok := token.(json.Number); ok && !plainNumber.MatchString(n.String()) {
				t.Errorf("%s: %s is no plain number", name, n)
			}
		}
	}
	for name, nothing := range map[string]bool{"infeasible": true, "stopped with nothing": true, "stiffer": false} {
		doc := string(matchDoc(t, sampleMatches(t)[name]))
		if strings.Contains(doc, "\n \"best\": null") != nothing || !strings.Contains(doc, "\n \"trimmed\": null") {
			t.Errorf("%s: best or trimmed is not as it should be", name)
		}
	}
}

// The profile to mill is the trimmed board's, and the trimmed point's stations say the same.
func TestMatchProfile(t *testing.T) {
	r := sampleMatch(t)
	var doc struct {
		Trimmed struct {
			Stations []struct {
				Thick float64 `json:"core_thickness_mm"`
				EI    float64 `json:"ei_nm2"`
			}
		}
		Profile []struct {
			Today  float64 `json:"reference_thickness_mm"`
			Scaled float64 `json:"scaled_thickness_mm"`
			Mill   float64 `json:"mill_thickness_mm"`
			EI     float64 `json:"ei_nm2"`
			Held   bool    `json:"at_least_thickness"`
		}
	}
	if err := json.Unmarshal(matchDoc(t, r), &doc); err != nil {
		t.Fatal(err)
	}
	f := open(t, matchBook(t, r))
	rows, err := f.GetRows("Profile")
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for i, s := range r.Board.Stations {
		p, at := doc.Profile[i], doc.Trimmed.Stations[i]
		if p.Mill != s.TrimmedMM || at.Thick != s.TrimmedMM || p.EI != at.EI || math.Abs(p.EI-s.EINM2) > 0.005001 {
			t.Errorf("station %d: mill %v, %v mm, EI %v, %v; want %v mm, %v", i, p.Mill, at.Thick, p.EI, at.EI, s.TrimmedMM, s.EINM2)
		}
		if math.Abs(p.Scaled-p.Today*r.Best.ProfileFactor) > 1e-6 {
			t.Errorf("station %d: %v mm times %v is %v", i, p.Today, r.Best.ProfileFactor, p.Scaled)
		}
		if got := rows[2+i][3]; got != Fixed(s.TrimmedMM, 2) {
			t.Errorf("station %d: the workbook mills %q, want %v", i, got, s.TrimmedMM)
		}
		if p.Held {
			held++
		}
	}
	if held == 0 || held == len(doc.Profile) {
		t.Errorf("%d stations held at the least thickness; the sample is to have some of both", held)
	}
}

// What is said to be saved is the reference less the answer, as both are shown.
func TestMatchSaved(t *testing.T) {
	r := sampleMatch(t)
	var doc struct {
		Reference, Best struct {
			Mass float64 `json:"core_mass_g"`
			Cost string
		}
		Saved struct {
			Mass float64 `json:"mass_g"`
			Cost string
		}
	}
	if err := json.Unmarshal(matchDoc(t, r), &doc); err != nil {
		t.Fatal(err)
	}
	if want := doc.Reference.Mass - doc.Best.Mass; math.Abs(doc.Saved.Mass-want) > 1e-9 || want <= 0 {
		t.Errorf("saved %v g, want %v, above 0", doc.Saved.Mass, want)
	}
	if want := money(doc.Reference.Cost).Sub(money(doc.Best.Cost)).StringFixed(2); doc.Saved.Cost != want {
		t.Errorf("saved %s, want %s", doc.Saved.Cost, want)
	}
	m, err := newMatching(r)
	if err != nil {
		t.Fatal(err)
	}
	ref := m.reference().point
	for _, tt := range []struct {
		mass float64
		cost string
		goal optimize.Goal
		ei   float64
		want string
	}{
		{ref.CoreMassG - 10, "12.19", "", 0, fmt.Sprintf("10.00 g (%s %%) lighter and 1.00 EUR (7.6 %%) cheaper", Fixed(1000/ref.CoreMassG, 1))},
		{ref.CoreMassG + 0.01, "13.29", "", 0, "0.01 g (0.0 %) heavier and 0.10 EUR (0.8 %) dearer"},
		{ref.CoreMassG, ref.Cost.String(), "", 0, "as heavy and as dear"},
		{ref.CoreMassG, ref.Cost.String(), optimize.Stiffer, 5, fmt.Sprintf("5.00 N·m² (%s %%) stiffer, as heavy and as dear", Fixed(500/ref.EINM2, 1))},
	} {
		pt := *ref
		pt.CoreMassG, pt.Cost, pt.EINM2 = tt.mass, money(tt.cost), ref.EINM2+tt.ei
		m.r.Options.Goal = tt.goal
		if got := m.savedWords(&matched{name: "It", point: &pt}); got != "It, against the reference: "+tt.want+"." {
			t.Errorf("%s; want %s", got, tt.want)
		}
	}
}

// Where the book and the match both set a window, the narrower counts, end by end.
func TestMatchWindows(t *testing.T) {
	r := sampleMatch(t)
	for _, w := range windowsOf(r) {
		for _, one := range append(slices.Clone(r.Windows), r.Program.Limits.Windows...) {
			if one.FromTipMM == w.FromTipMM && (one.Low.Set && w.Low.Value < one.Low.Value || one.High.Set && w.High.Value > one.High.Value) {
				t.Errorf("at %v mm %+v is wider than %+v", w.FromTipMM, w, one)
			}
		}
		if ei := eiAt(profiled(r.Program, r.Best).Board, r.Best.Layout, w.FromTipMM); ei < w.Low.Value-0.01 || w.High.Set && ei > w.High.Value+0.01 {
			t.Errorf("EI of Best at %v mm is %v, outside %v to %v", w.FromTipMM, ei, w.Low.Value, w.High.Value)
		}
	}
	if n := len(windowsOf(r)); n != 5 { // the stations from 280 to 1280 mm; the book's three are among them
		t.Errorf("%d windows", n)
	}
}

func TestMatchProof(t *testing.T) {
	all := sampleMatches(t)
	same := sampleMatch(t)
	same.Best = &same.Reference
	all["unchanged"] = same
	for name, want := range map[string]string{
		"lighter": "Proven: no layout within these limits is lighter than Best, at any of the profile factors", "stiffer": "Proven: no layout within these limits is stiffer than Best.",
		"stopped": "NOT PROVEN: time limit; the best found keeps every limit, but a lighter one may exist.", "stopped with nothing": "NOT PROVEN: interrupted; no layout found yet",
		"infeasible": "Nothing inside the window: no layout keeps every limit; this is proven.", "unchanged": "Proven: the reference is the best there is",
	} {
		m, err := newMatching(all[name])
		if err != nil {
			t.Fatal(err)
		}
		head, text, done := m.proof()
		if got := head + ": " + text; !strings.HasPrefix(got, want) || done != strings.HasPrefix(want, "Proven") {
			t.Errorf("%s: %s; want %s", name, got, want)
		}
	}
}

// A trimmed board that a limit of the book forbids is said to.
func TestMatchWarnsOfTheTrimmed(t *testing.T) {
	r := sampleMatch(t)
	r.Board.Program.Limits.MaxCoreMassG = optimize.Limit{Set: true, Value: r.Trimmed.CoreMassG - 1, Where: "Limits!D2"}
	var b strings.Builder
	if err := MatchTerminal(&b, r, Style{Width: 200}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "Trimmed breaks a limit that Best keeps: core mass at most") || !strings.Contains(b.String(), "(Limits!D2)") {
		t.Errorf("nothing warns of it:\n%s", b.String())
	}
}

// The page draws both cross-sections, each as its own layout and thickness have it, and the tables that the shop needs.
func TestMatchPage(t *testing.T) {
	r := sampleMatch(t)
	root := parse(t, matchHTML(t, r))
	drawings := elements(root, func(n *html.Node) bool { return n.Data == "svg" && attribute(n, "class") == "drawing" })
	if len(drawings) != 3 {
		t.Fatalf("%d drawings, want two sections and the board along", len(drawings))
	}
	m, err := newMatching(r)
	if err != nil {
		t.Fatal(err)
	}
	_, slot := woodMarks(m.program, m.program.Board, m.layouts())
	for i, l := range []core.Layout{r.Reference.Layout, r.Trimmed.Layout} {
		for _, n := range elements(drawings[i], func(n *html.Node) bool { return n.Data == "rect" && has(n, "data-strip") }) {
			k, err := strconv.Atoi(attribute(n, "data-strip"))
			if err != nil {
				t.Fatal(err)
			}
			if got, want := attribute(n, "fill"), fmt.Sprintf("url(#wood%d)", slot[l[k]]); got != want {
				t.Errorf("section %d, strip %d is filled with %s, want %s", i, k, got, want)
			}
		}
	}
	for _, class := range []string{"ei", "ei-other", "ei-reference"} {
		if n := len(elements(drawings[2], func(n *html.Node) bool { return attribute(n, "class") == class })); n != 1 {
			t.Errorf("%d curves %s", n, class)
		}
	}
	text := textOf(root)
	for _, want := range append([]string{"Lighter at equal flex", "Profile to mill", "If a wood cannot be had", "Held at the least thickness", "Strength used under 700 N"}, Cautions...) {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, s := range r.Board.Stations {
		if !strings.Contains(text, Fixed(s.TrimmedMM, 2)) {
			t.Errorf("the page does not mill %v mm", s.TrimmedMM)
		}
	}
}

func TestMatchTakesNoTextForAFormulaOrMarkup(t *testing.T) {
	tame := matchHTML(t, hostileMatch(t, "plain"))
	for _, text := range append(slices.Clone(hostileTexts), `<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`) {
		r := hostileMatch(t, text)
		checkSelfContained(t, fmt.Sprintf("%.20q", text), matchBook(t, r))
		f := open(t, matchBook(t, r))
		eachCell(t, f, func(sheet, at, value string, _ excelize.CellType) {
			if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
				t.Errorf("%.20q: %s!%s is a formula %q, %v", text, sheet, at, formula, err)
			}
		})
		checkHostile(t, clean(text), matchHTML(t, r), tame, 1)
	}
}

// TestHolding holds the holding of a position, times the published withdrawal of a screw from the reference wood, against worked examples of other woods.
//
// published: a No. 8 screw in red oak holds 1262 lb | Wood Handbook FPL-GTR-190 (2010) and FPL-GTR-282 (2021), Eq. 8-10 in inches, 15 700 G² D L, example on a woodworking reference page: G 0.70, D 0.164 in, L 1 in | read | 0.1 %: rounding of the printed figure
//
// published: a No. 10 screw in spruce may bear 109 lb an inch | NDS-type allowable, 2850 G² D, example on an engineering reference page: G 0.45, D 0.190 in | read | 0.7 %: rounding of the printed figure
func TestHolding(t *testing.T) {
	p := sampleProgram(t)
	ref := p.Limits.HoldingRef.SpecificGravity.Value
	b := *p.Board
	p.Board = &b
	for _, tt := range []struct{ gravity, constant, diameter, want, off float64 }{{0.70, 15_700, 0.164, 1262, 0.001}, {0.45, 2850, 0.190, 109, 0.007}} {
		b.Woods = slices.Clone(b.Woods)
		b.Woods[0].SpecificGravity.Value = tt.gravity
		pt := samplePoint(t, p, make(core.Layout, len(b.Strips())))
		pct, ok := holdingPct(p, &pt, 0)
		if got := tt.constant * ref * ref * tt.diameter * pct / 100; !ok || math.Abs(got/tt.want-1) > tt.off {
			t.Errorf("G %v holds %.1f lb, published %v", tt.gravity, got, tt.want)
		}
	}
}
