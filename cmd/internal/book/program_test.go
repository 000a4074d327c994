package book

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// The small book's program by hand. Board 80 mm wide, 8 mm thick, 1 m long; reference from the centre line: Light 10 mm, Heavy
// 10 mm, Heavy 20 mm a side.
func TestProgramByHand(t *testing.T) {
	job := mustRead(t, workbook(t, small()))
	p, found := job.Program("plank", nil)
	if p == nil {
		t.Fatal(found)
	}
	if p.Currency != "" || len(p.LeftOut) != 0 {
		t.Errorf("currency %q, left out %v; want none without prices", p.Currency, p.LeftOut)
	}
	if want := (core.Layout{0, 1, 1}); !reflect.DeepEqual(p.Reference, want) {
		t.Fatalf("the reference is %v, want %v", p.Reference, want)
	}
	f, err := p.Board.Evaluate(p.Reference)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what, source string
		got, want    float64
	}{
		{"C, N/mm", "2 (10·10 + 15·30) GPa·mm · 1000", f.Measure.CNPerMM, 1_100_000},
		{"EI, N·m²", "C t³/12 = 1.1e6 · 512/12 N·mm² / 1e6", f.Measure.CoreEINM2, 46.933333},
		{"wood, g", "2 · 8 mm · 1000 mm · (10·400 + 30·700) kg/m³ · 1e-6", f.WoodMassG, 400},
		{"scatter of C, %", "√(2 (100² + 150² + 300²)) · 20 %/1100; one value per strip", f.Scatter.CPct, 20 * math.Sqrt(2*(100*100+150*150+300*300)) / 1100},
	} {
		if math.Abs(c.got-c.want) > 1e-6*math.Abs(c.want) {
			t.Errorf("%s is %.8g, want %.8g (%s)", c.what, c.got, c.want, c.source)
		}
	}
	if len(p.Candidates) != 2 || !p.Candidates[0].FastGrown || p.Candidates[1].FastGrown {
		t.Errorf("candidates are %+v; want Light, fast-grown at 12 years, and Heavy, not", p.Candidates)
	}
	for _, c := range p.Candidates {
		for k, u := range c.At {
			if !u.Allowed || u.Price != nil {
				t.Errorf("wood %d at position %d: %+v; want allowed, without a price", c.Wood, k, u)
			}
		}
	}
}

// Every limit of a book stands in its program, with its cell.
func TestProgramLimits(t *testing.T) {
	job := mustRead(t, workbook(t, withRows(map[string][][]any{
		"Limits": {{"Model", "Max core mass g", "Max woods", "Min strips when used", "Min fast-grown %", "Min certified %", "Max scatter %",
			"Flex low N/mm", "Flex high N/mm", "Max utilisation %", "Design load N"}, {"Plank", 500.0, 2.0, 1.0, 10.0, 20.0, 9.0, 3.0, 9.0, 90.0, 600.0}},
		"Models":  {{"Model", "Section", "Measure at mm", "Support span mm"}, {"Plank", "core", 500.0, 800.0}},
		"Targets": {{"From tip mm", "EI low N·m2", "EI high N·m2"}, {500.0, 40.0, nil}},
		"Counts":  {{"Position", "Wood", "Low strips per side", "High strips per side"}, {"edge", "Heavy", 1.0, nil}, {nil, "Light", nil, 2.0}},
		"Shares":  {{"Wood", "Low %", "High %"}, {"Heavy", 5.0, 80.0}},
		"Positions": {{"Model", "Position", "Strips per side", "Strip width mm", "Woods allowed", "Min hardness N", "Min screw holding %"},
			{"Plank", "inner", 2.0, 10.0, "Light; Heavy", nil, 110.0}, {"Plank", "edge", 1.0, 20.0, nil, 4000.0, nil}},
		"Pads": {{"Position", "From mm", "To mm", "Wood"}, {"inner", 400.0, 600.0, "beech-european"}},
	})))
	p, found := job.Program("Plank", nil)
	if p == nil {
		t.Fatal(found)
	}
	limit := func(v float64, where string) optimize.Limit { return optimize.Limit{Set: true, Value: v, Where: where} }
	index := woodIndex(p.Board)
	light, _ := index("light")
	heavy, _ := index("heavy")
	beech, ok := index("beech-european")
	if !ok {
		t.Fatal("the pad's wood is not on the board")
	}
	want := optimize.Limits{
		Windows:      []optimize.Window{{FromTipMM: 500, Low: limit(40, "Targets!B2")}},
		Counts:       []optimize.CountLimit{{Position: 1, Wood: heavy, Low: limit(1, "Counts!C2")}, {Position: -1, Wood: light, High: limit(2, "Counts!D3")}},
		Shares:       []optimize.ShareLimit{{Wood: heavy, Low: limit(5, "Shares!B2"), High: limit(80, "Shares!C2")}},
		Positions:    []optimize.PositionLimit{{MinHoldingPct: limit(110, "Positions!G2")}, {MinHardnessN: limit(4000, "Positions!F3")}},
		MaxCoreMassG: limit(500, "Limits!B2"), MaxWoods: limit(2, "Limits!C2"), MinStrips: limit(1, "Limits!D2"), MinFastPct: limit(10, "Limits!E2"),
		MinCertPct: limit(20, "Limits!F2"), MaxScatterPct: limit(9, "Limits!G2"), FlexLow: limit(3, "Limits!H2"), FlexHigh: limit(9, "Limits!I2"),
		MaxUtilPct: limit(90, "Limits!J2"), DesignLoadN: 600, SafetyFactor: 2, FastUpToYears: 15,
	}
	want.HoldingRef, _ = job.Woods.Wood("aspen-quaking")
	if !reflect.DeepEqual(p.Limits, want) {
		t.Errorf("limits are\n%+v\nwant\n%+v", p.Limits, want)
	}
	if pads := p.Board.Pads; len(pads) != 1 || pads[0] != (core.Pad{Position: 0, FromMM: 400, ToMM: 600, Wood: beech}) {
		t.Errorf("pads are %+v", pads)
	}
	for _, c := range p.Candidates {
		if c.Wood == beech {
			t.Error("the pad's wood is a candidate, though no position may take it")
		}
	}
}

// planksOf is an offer of planks 26 mm thick and 2.5 m long, EUR a piece.
func planksOf(wood, supplier string, price string, width float64) sourcing.Offer {
	return sourcing.Offer{Supplier: supplier, File: "a.xlsx", Sheet: "S", Row: 4, Col: 2, Wood: wood, Name: wood,
		Plank: sourcing.Plank{ThicknessMM: 26, WidthMM: width, LengthMM: 2500}, Price: decimal.RequireFromString(price), Currency: "EUR", Unit: sourcing.PerPiece}
}

// A wood without a usable offer is left out, with the offer's cell and the reason; a dear and a cheap offer give the cheap.
func TestProgramPrices(t *testing.T) {
	job := mustRead(t, workbook(t, withRows(map[string][][]any{"Suppliers": {{"Supplier", "Price file"}, {"A", "a.xlsx"}}})))
	offers := []sourcing.Offer{planksOf("light", "A", "12.00", 100), planksOf("light", "A", "9.00", 100), planksOf("heavy", "A", "20", 100), planksOf("balsa", "A", "1", 6)}
	p, found := job.Program("Plank", offers)
	if p == nil {
		t.Fatal(found)
	}
	if p.Currency != "EUR" || len(p.Candidates) != 2 {
		t.Fatalf("currency %q, candidates %+v", p.Currency, p.Candidates)
	}
	// 10 mm strips: (26 − 1 + 3)/(10 + 3) = 2 through, (100 − 5 + 3)/(9 + 3) = 8 across, (2500 − 50)/1020 = 2 along: 32, 70 % of it 22.4
	u := p.Candidates[0].At[0]
	if u.Price.StripsPerUnit.String() != "22.4" || u.StripCost.String() != "0.4018" {
		t.Errorf("a strip of Light: %s a plank at %s, want 22.4 at 9.00/22.4 = 0.4018", u.Price.StripsPerUnit, u.StripCost)
	}
	if len(p.LeftOut) != 1 || p.LeftOut[0].Wood != "balsa" || p.LeftOut[0].Position != "" || !hasWords(p.LeftOut[0].Why, "a.xlsx S!B4…narrow") {
		t.Errorf("left out: %+v", p.LeftOut)
	}
	// without any offer of Heavy and Light nothing can be put at the inner position
	p, found = job.Program("Plank", offers[3:])
	if p != nil || len(found) != 2 || found[0].Sheet != "Positions" || found[0].Cell() != "E2" || !hasWords(found[0].Problem, `"inner": light (no offer and no stock), heavy`) {
		t.Errorf("without offers: %v", found)
	}
}

// Where a certified share is asked for, a certified offer goes before a cheaper one.
func TestProgramCertified(t *testing.T) {
	data := edited(t, func(f *excelize.File) { set(t, f, "Limits", "H2", 50.0) })
	job := mustRead(t, data)
	p, found := job.Program("Park 150", demoOffers(t, job))
	if p == nil {
		t.Fatal(found)
	}
	for _, c := range p.Candidates {
		for k, u := range c.At {
			if p.Board.Woods[c.Wood].ID == "poplar-hybrid" && u.Allowed && !u.Certified {
				t.Errorf("poplar at %s is bought from %s, though a certified offer is there", p.Board.Positions[k].Name, u.Price.Offer.Supplier)
			}
		}
	}
}

const frontJSON = `{"model": "Plank", "points": [
	{"id": 1, "profile_factor": 1, "strips": [{"position": "inner", "wood": "heavy", "per_side": 1}, {"position": "inner", "wood": "light", "per_side": 1},
		{"position": "edge", "wood": "light", "per_side": 1}]},
	{"id": 2, "profile_factor": 1.05, "strips": []},
	{"id": 3, "strips": [{"position": "inner", "wood": "heavy", "per_side": 2}]},
	{"id": 4, "strips": [{"position": "inner", "wood": "oak", "per_side": 2}]},
	{"id": 5, "strips": [{"position": "outer", "wood": "light", "per_side": 2}]},
	{"id": 6, "strips": [{"position": "inner", "wood": "heavy", "per_side": 3}]},
	{"id": 7, "strips": [{"position": "inner", "wood": "heavy", "per_side": -1}]},
	{"id": 8, "strips": []}, {"id": 8, "strips": []}]}`

// pointJSON is point 1 of a result, with the profile of the book times a factor.
func pointJSON(factor float64, more string) string {
	return fmt.Sprintf(`{"id": 1, "profile_factor": %v, "strips": [{"position": "inner", "wood": "heavy", "per_side": 1}, {"position": "inner", "wood": "light", "per_side": 1},
		{"position": "edge", "wood": "light", "per_side": 1}]%s}`, factor, more)
}

var matchJSON = `{"model": "Plank", "reference": ` + pointJSON(1, "") + `, "best": ` + pointJSON(1.05, "") + `, "trimmed": ` +
	pointJSON(1.05, `, "stations": [{"from_tip_mm": 0, "core_thickness_mm": 3.5}, {"from_tip_mm": 1000, "core_thickness_mm": 4.5}]`) + `}`

func TestReadLayout(t *testing.T) {
	job := mustRead(t, workbook(t, small()))
	p, _ := job.Program("Plank", nil)
	q, l, err := ReadLayout(strings.NewReader(frontJSON), "1", p)
	want := core.Layout{1, 0, 0}
	if err != nil || !reflect.DeepEqual(l, want) || q != p {
		t.Fatalf("got %v, %v; want %v", l, err, want)
	}
	for id, factor := range map[string]float64{"reference": 1, "best": 1.05, "trimmed": 1.05} {
		q, l, err := ReadLayout(strings.NewReader(matchJSON), id, p)
		if err != nil || !reflect.DeepEqual(l, want) {
			t.Fatalf("%s: %v, %v; want %v", id, l, err, want)
		}
		if got := cmp.Or(q.ProfileFactor, 1); got != factor {
			t.Errorf("%s: the profile times %v, want %v", id, got, factor)
		}
		for i, s := range q.Board.Stations {
			thickness := p.Board.Stations[i].ThicknessMM * factor
			if id == "trimmed" {
				thickness = 3.5 + float64(i)
			}
			if s.ThicknessMM != thickness {
				t.Errorf("%s: %v mm at station %d, want %v mm", id, s.ThicknessMM, i, thickness)
			}
		}
	}
	if p.ProfileFactor > 1 || p.Board.Stations[0].ThicknessMM == 3.5 {
		t.Error("the book's own board is changed")
	}
	for _, doc := range []string{`{"model": "Plank", "point": POINT}`, `{"models": [{"model": "Other", "point": {"id": 1}}, {"model": "Plank", "point": POINT}]}`} {
		if _, l, err := ReadLayout(strings.NewReader(strings.Replace(doc, "POINT", pointJSON(1, ""), 1)), "1", p); err != nil || !reflect.DeepEqual(l, want) {
			t.Errorf("%s: %v, %v", doc, l, err)
		}
	}
	for _, tt := range []struct {
		doc   string
		id    any
		words string
	}{
		{frontJSON, 2, `"inner" holds 2 strips, but 0 are given`},
		{`{"model": "Plank", "points": [` + pointJSON(40, "") + `]}`, 1, "profile factor is 40; it must be from"},
		{matchJSON, 1, "no point 1; its points are reference, best, trimmed"},
		{frontJSON, "best", "no point best"},
		{strings.Replace(matchJSON, `"from_tip_mm": 0,`, `"from_tip_mm": 1,`, 1), "trimmed", "a station at 1 mm where this board has one at 0 mm"},
		{strings.Replace(matchJSON, `{"from_tip_mm": 0, "core_thickness_mm": 3.5}, `, "", 1), "trimmed", "its profile has"},
		{strings.Replace(matchJSON, `"core_thickness_mm": 3.5`, `"core_thickness_mm": -3.5`, 1), "trimmed", "thick"},
		{`{"models": [{"model": "Other", "point": {"id": 1}}]}`, 1, `of "Other", not of "Plank"`},
		{`{"models": [{"model": "Plank", "point": {"id": 1}}, {"model": "plank", "point": {"id": 1}}]}`, 1, "point 1 twice"},
		{frontJSON, 3, `"edge" holds 1 strips, but 0 are given`},
		{frontJSON, 4, `"oak" is not one of this board's`},
		{frontJSON, 5, `no position "outer"`},
		{frontJSON, 6, `"inner" holds 2 strips, but 3`},
		{frontJSON, 7, "a row of -1 strips"},
		{frontJSON, 8, "point 8 twice"},
		{frontJSON, 99, "no point 99; its points are 1, 2, 3, 4, 5, 6, 7, 8, 8"},
		{strings.Replace(frontJSON, "Plank", "Stave", 1), 1, `model "Stave", not "Plank"`},
		{`{"model": "Plank"}`, 1, "no points"},
		{`[1, 2]`, 1, "no result that --json writes"},
		{``, 1, "no result that --json writes"},
	} {
		if _, _, err := ReadLayout(strings.NewReader(tt.doc), fmt.Sprint(tt.id), p); err == nil || !hasWords(err.Error(), tt.words) {
			t.Errorf("point %v of %.30q: %v, want %s", tt.id, tt.doc, err, tt.words)
		}
	}
}

// A centre-line block counts the strip astride the centre line once and a pair twice.
func TestLayoutCentreLine(t *testing.T) {
	b := &core.Board{Positions: []core.Position{{Name: "stringer", Strips: 5, StripWidthMM: 8, OnCentreLine: true}, {Name: "edge", Strips: 2, StripWidthMM: 10}}}
	index := func(id string) (int, bool) { return map[string]int{"a": 0, "b": 1}[id], true }
	for _, tt := range []struct {
		runs []Run
		want core.Layout
	}{
		{[]Run{{0, "a", 1}, {0, "b", 4}, {1, "a", 2}}, core.Layout{0, 1, 1, 0, 0}},
		{[]Run{{0, "a", 3}, {0, "b", 2}, {1, "a", 1}, {1, "b", 1}}, core.Layout{0, 0, 1, 0, 1}},
		{[]Run{{0, "a", 2}, {0, "b", 3}, {1, "a", 2}}, nil},
		{[]Run{{0, "a", 5}, {1, "a", 1}}, nil},
	} {
		if got, err := layout(b, tt.runs, index); !reflect.DeepEqual(got, tt.want) || (err == nil) != (tt.want != nil) {
			t.Errorf("%v: %v, %v; want %v", tt.runs, got, err, tt.want)
		}
	}
}

// A document that is read gives a layout that the board can have, and says of it what the document says: every strip of every row, no more. One that is
// refused says why in one short line.
func FuzzReadLayout(f *testing.F) {
	f.Add(frontJSON, 1)
	f.Add(`{"model":"Plank","points":[{"id":1,"strips":null}]}`, 1)
	f.Add(frontJSON+frontJSON, 1)
	f.Add(strings.Repeat("[", 20_000), 1)
	f.Add(`{"model":"Plank","points":[{"id":1,"strips":[{"position":"\u202e`+strings.Repeat("x", 3000)+`","wood":"a","per_side":9223372036854775807}]}]}`, 1)
	f.Add(`{"model":"Plank","points":[{"id":`+strings.Repeat("1", 3000)+`}]}`, 1)
	f.Add(`{"model":"Plank","points":[{"id":1,"strips":[{"position":"inner`+strings.Repeat(" ", 3000)+`","wood":"light","per_side":0}]}]}`, 1)
	job, _ := Read(bytes.NewReader(workbook(f, small())), JobFile)
	p, found := job.Program("Plank", nil)
	if p == nil {
		f.Fatal(found)
	}
	f.Add(matchJSON, -1)
	f.Add(matchJSON, -3)
	f.Add(`{"model":"Plank","reference":[`+pointJSON(1, "")+`],"best":null,"trimmed":{"stations":[{"core_thickness_mm":1e999}]}}`, -3)
	f.Add(`{"models":[{"model":"Plank","point":`+pointJSON(0.5, "")+`},{"model":"Stave"}]}`, 1)
	f.Add(`{"model":"Plank","point":`+pointJSON(1, "")+`}`, 1)
	f.Fuzz(func(t *testing.T, doc string, id int) {
		name := strconv.Itoa(id)
		if id < 0 && id >= -3 {
			name = NamedLayouts()[-id-1]
		}
		q, l, err := ReadLayout(strings.NewReader(doc), name, p)
		if err != nil {
			if text := err.Error(); !isPrintable(text) || len(text) > 2000 {
				t.Errorf("an error is not fit to print: %.300q", text)
			}
			return
		}
		if _, err := q.Board.Evaluate(l); err != nil {
			t.Errorf("a layout that was read cannot be computed: %v", err)
		}
		type point struct {
			ID     int `json:"id"`
			Strips []struct {
				Wood    string `json:"wood"`
				PerSide int    `json:"per_side"`
			} `json:"strips"`
		}
		var said struct {
			Points    []point         `json:"points"`
			Point     *point          `json:"point"`
			Reference json.RawMessage `json:"reference"`
			Best      *point          `json:"best"`
			Trimmed   *point          `json:"trimmed"`
			Models    []struct {
				Model string `json:"model"`
				Point *point `json:"point"`
			} `json:"models"`
		}
		if err := json.Unmarshal([]byte(doc), &said); err != nil {
			t.Fatalf("what was read is no document: %v", err)
		}
		var at *point
		switch id {
		case -1:
			at = new(point)
			if err := json.Unmarshal(said.Reference, at); err != nil {
				t.Fatalf("what was read is no point: %v", err)
			}
		case -2:
			at = said.Best
		case -3:
			at = said.Trimmed
		default:
			for i := range said.Points {
				if said.Points[i].ID == id {
					at = &said.Points[i]
				}
			}
			if at == nil && said.Point != nil && said.Point.ID == id {
				at = said.Point
			}
			for _, m := range said.Models {
				if at == nil && key(m.Model) == key(p.Model) && m.Point != nil && m.Point.ID == id {
					at = m.Point
				}
			}
		}
		want, got := map[string]int{}, map[string]int{}
		for _, s := range at.Strips {
			want[s.Wood] += s.PerSide
		}
		for i, s := range p.Board.Strips() {
			got[p.Board.Woods[l[i]].ID] += s.PerSide
		}
		if !maps.Equal(want, got) {
			t.Errorf("the document has %v, the layout %v", want, got)
		}
	})
}

func ExampleRead() {
	files, err := Starter()
	if err != nil {
		panic(err)
	}
	job, found := Read(bytes.NewReader(files[0].Data), files[0].Name)
	if errs := found.Errors(); len(errs) > 0 {
		fmt.Println(errs)
		return
	}
	m, err := job.Model("allround 157")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Name, len(m.Stations), "stations,", len(m.Positions), "positions, blank", m.BlankLengthMM, "mm")
	// Output: Allround 157 21 stations, 5 positions, blank 1640 mm
}
