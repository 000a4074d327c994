package book

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// What the demo's book says is what is read: the figures of one model, cell by cell.
func TestReadDemo(t *testing.T) {
	job := mustRead(t, starterFile(t, JobFile))
	m, err := job.Model("power 158")
	if err != nil {
		t.Fatal(err)
	}
	if m.Section != core.Pressed || m.BlankLengthMM != 1650 || m.BlankThicknessMM != 8.6 || m.SpanMM != 1000 || m.MeasureAtMM != 790 ||
		m.Boards != 270 || m.NeededBy != "2027-03-29" {
		t.Errorf("model row read as %+v", m)
	}
	if s := m.Stations[10]; s != (core.Station{FromTipMM: 790, WidthMM: 245, ThicknessMM: 7.6}) {
		t.Errorf("the middle station is %v", s)
	}
	if p := m.Positions[0]; p.Name != "stringer" || !p.OnCentreLine || p.Strips != 3 || p.StripWidthMM != 8 || len(p.Allowed) != 8 {
		t.Errorf("the first position is %+v", p)
	}
	if p := m.Positions[3]; p.MinHoldingPct != (optimize.Limit{Set: true, Value: 140, Where: "Positions!H30"}) {
		t.Errorf("screw holding at the binding is %+v", p.MinHoldingPct)
	}
	// the fabric's modulus, free to contract, lies where glass with half its fibres along does (mechanics checks, section 4)
	if l := m.Layers[0]; l.ThicknessMM < 0.579 || l.ThicknessMM > 0.581 || l.ModulusGPa < 21 || l.ModulusGPa > 26 || l.ShearGPa < 4 || math.Abs(l.DensityKgM3-1850) > 1e-6 {
		t.Errorf("the upper skin is %+v", l)
	}
	if l := m.Layers[4]; l != (core.Layer{Name: "steel edges", Place: core.Below, Order: 2, ModulusGPa: 205, ThicknessMM: 2, WidthMM: 6.6, LetInMM: 0.8,
		DensityKgM3: 7830, FromMM: 158, ToMM: 1422}) {
		t.Errorf("the steel edges are %+v", l)
	}
	if !reflect.DeepEqual(m.Reference[:2], []Run{{0, "ash-european", 3}, {1, "poplar-hybrid", 2}}) {
		t.Errorf("the reference begins %v", m.Reference[:2])
	}
	if w := m.Windows[2]; w.FromTipMM != 790 || w.Low != (optimize.Limit{Set: true, Value: 288.5, Where: "Targets!C29"}) || w.High.Value != 325.3 {
		t.Errorf("the window in the middle is %+v", w)
	}
	l := m.Limits
	if l.MaxCost.Value.String() != "6.5" || l.MaxCost.Where != "Limits!C8" || l.MaxWoods != (optimize.Limit{Set: true, Value: 4, Where: "Limits!E2"}) ||
		l.EqualFlexPct.Value != 2 || l.ProfileFactorHigh.Value != 1.1 || l.FlexLow.Set || l.SafetyFactor.Value != 2 {
		t.Errorf("limits are %+v", l)
	}
	if len(m.Counts) != 2 || m.Counts[0] != (Count{Position: -1, Wood: "bamboo-moso-laminated", High: optimize.Limit{Set: true, Value: 2, Where: "Counts!E2"}}) {
		t.Errorf("counts are %+v", m.Counts)
	}
	s := job.Suppliers[0]
	if s.Currency != "USD" || s.LeadTimeDays != 21 || !s.FreightPerOrder.Equal(decimal.NewFromInt(140)) || s.ValidUntil != "2027-02-28" || s.Certified ||
		!job.Suppliers[1].Certified {
		t.Errorf("the first supplier is %+v", s)
	}
	if st := job.Stock[1]; st.Wood != "ash-european" || st.Plank.LengthMM != 1700 || st.Planks != 90 || st.ValueEach.String() != "4.6" || st.Row != 3 {
		t.Errorf("the second stock line is %+v", st)
	}
	if sh := job.Shop; sh.KerfMM != 2.4 || sh.GlueGM2 != 180 || sh.FastUpToYears != 30 || sh.Rates["USD"].String() != "0.9" || sh.Rates["EUR"].String() != "1" ||
		sh.ScrapPct != 3 || sh.OrderingDay != "2027-01-25" || sh.Rates["CHF"].String() != "1.05" || sh.SeasonFastPct.Set || sh.Budget.Set || job.Conditions.MoisturePct != 9 {
		t.Errorf("the shop is %+v", sh)
	}
}

// Own figures and tests reach both tables; a row's own modulus is taken as it is.
func TestOwnWoods(t *testing.T) {
	job := mustRead(t, starterFile(t, JobFile))
	w, err := job.Woods.Lookup("dense paulownia")
	if err != nil || w.ModulusGPa.Value != 5.6 || w.DensityKgM3.Value != 330 {
		t.Errorf("dense paulownia is %+v (%v)", w, err)
	}
	if w, _ := job.Woods.Wood("poplar-hybrid"); w.ModulusGPa.Value != 9.4 {
		t.Errorf("the own modulus of poplar is %v GPa, want 9.4 as written", w.ModulusGPa)
	}
	// (175 + 183)/2 N/mm · 280³/(4·20·20³) = 6139.7 MPa; times 1 + 1.2·16·(20/280)² = 1.09796
	if w, _ := job.Woods.Wood("obeche"); w.ModulusGPa.Value < 6.740 || w.ModulusGPa.Value > 6.742 {
		t.Errorf("the tests of obeche give %v GPa, want 6.741", w.ModulusGPa.Value)
	}
}

// What is not said takes its stated default.
func TestDefaults(t *testing.T) {
	job := mustRead(t, workbook(t, withRows(map[string][][]any{
		"Models": {{"Model"}, {"Plank"}}, "Shop": nil, "Reference": nil, "Woods": nil,
		"Positions": {{"Position", "Strips per side", "Strip width mm"}, {"all", 4.0, 10.0}},
	})))
	m := job.Models[0]
	if m.Section != core.Bare || m.BlankLengthMM != 1020 || m.BlankThicknessMM != 9 || m.SpanMM != 0 || m.MeasureAtMM != 500 || m.Boards != 0 {
		t.Errorf("model defaults are %+v", m)
	}
	s := job.Shop
	if s.GlueGM2 != 200 || s.FastUpToYears != 15 || s.HoldingRef != "aspen-quaking" || s.Correlation != 0 || s.Currency != "EUR" || s.ScrapPct != 0 ||
		s.YieldPct != 70 || job.Conditions.MoisturePct != 12 || job.Conditions.ModulusRaisePct != 10 {
		t.Errorf("shop defaults are %+v, %+v", s, job.Conditions)
	}
	p, found := job.Program("Plank", nil)
	if p == nil {
		t.Fatal(found)
	}
	if n := len(job.Woods.Woods()); len(p.Candidates) != n {
		t.Errorf("%d candidates, want all %d woods of the table where nothing says otherwise", len(p.Candidates), n)
	}
	with := workbook(t, withRows(map[string][][]any{"Models": {{"Model"}, {"Plank"}},
		"Layers": {{"Place", "Order", "Layer", "Modulus GPa", "Thickness mm"}, {"above", 1.0, "skin", 22.0, 0.5}}}))
	if m := mustRead(t, with).Models[0]; m.Section != core.Pressed {
		t.Errorf("a model with layers means %q, want pressed", m.Section)
	}
}

// The order of sheets and columns, and the case of names, change nothing.
func TestOrderIsFree(t *testing.T) {
	want := mustRead(t, workbook(t, small()))
	turned := map[string][][]any{}
	for name, rows := range small() {
		var out [][]any
		for _, row := range rows {
			back := make([]any, len(rows[0]))
			for i, v := range row {
				if s, ok := v.(string); ok && (name != "Models" && name != "Woods" || i > 0) {
					v = strings.ToUpper(s)
				}
				back[len(rows[0])-1-i] = v
			}
			out = append(out, back)
		}
		turned[name] = out
	}
	got := mustRead(t, workbook(t, turned))
	a, b := want.Models[0], got.Models[0]
	for _, m := range []*Model{&a, &b} { // where a cell stands is all that may differ
		m.cols = modelColumns{}
		for i := range m.Positions {
			m.Positions[i].row, m.Positions[i].col = 0, 0
			m.Positions[i].Name = strings.ToLower(m.Positions[i].Name)
		}
	}
	if !reflect.DeepEqual(a, b) {
		t.Errorf("read back to front:\n%+v\nwant\n%+v", b, a)
	}
}

// A row whose Model is empty means every model; in Limits the model's own row goes first, cell by cell.
func TestEveryModel(t *testing.T) {
	job := mustRead(t, workbook(t, withRows(map[string][][]any{
		"Models":    {{"Model"}, {"Plank"}, {"Stave"}},
		"Positions": {{"Position", "Strips per side", "Strip width mm"}, {"inner", 2.0, 10.0}, {"edge", 1.0, 20.0}},
		"Limits":    {{"Model", "Max woods", "Max core mass g"}, {nil, 3.0, 900.0}, {"Stave", 2.0, nil}},
		"Targets":   {{"Model", "From tip mm", "EI low N·m2"}, {nil, 500.0, 20.0}, {"Stave", 300.0, 10.0}},
	})))
	a, b := job.Models[0], job.Models[1]
	if a.Limits.MaxWoods.Value != 3 || b.Limits.MaxWoods.Value != 2 || b.Limits.MaxCoreMassG.Value != 900 || b.Limits.MaxCoreMassG.Where != "Limits!C2" {
		t.Errorf("limits %+v and %+v", a.Limits, b.Limits)
	}
	if len(a.Windows) != 1 || len(b.Windows) != 2 || len(b.Positions) != 2 || len(b.Reference) != 3 {
		t.Errorf("windows %v and %v", a.Windows, b.Windows)
	}
}

func TestModel(t *testing.T) {
	job := mustRead(t, starterFile(t, JobFile))
	if m, err := job.Model("  ALLROUND   157 "); err != nil || m.Name != "Allround 157" {
		t.Errorf("got %v, %v", m, err)
	}
	for _, tt := range []struct{ name, words string }{
		{"Alround 157", `no model "Alround 157"…did you mean "Allround 157"?…"Park 150", "Park 155"…"Power 163"`},
		{"", `no model is given…"Park 150"`},
	} {
		if _, err := job.Model(tt.name); err == nil || !hasWords(err.Error(), tt.words) {
			t.Errorf("%q: %v, want %s", tt.name, err, tt.words)
		}
	}
}

// A date may be a date cell or text.
func TestDates(t *testing.T) {
	for _, v := range []any{day(2027, 3, 15), "2027-03-15"} {
		data := workbook(t, withRows(map[string][][]any{"Models": {{"Model", "Needed by"}, {"Plank", v}}}))
		if m := mustRead(t, data).Models[0]; m.NeededBy != "2027-03-15" {
			t.Errorf("%v is read as %q", v, m.NeededBy)
		}
	}
}

// A book of forty boards reads within a second (performance cases).
func BenchmarkReadForty(b *testing.B) {
	data := fortyModels(b)
	for b.Loop() {
		if _, found := Read(bytes.NewReader(data), "forty.xlsx"); len(found) > 0 {
			b.Fatal(found[0])
		}
	}
}

func fortyModels(t testing.TB) []byte {
	names := make([]string, 40)
	for i := range names {
		names[i] = "Board " + plain(float64(i+1))
	}
	// the sheets of models of one demo board, for every name
	content := map[string][][]any{}
	for _, s := range sheets {
		var head []any
		for _, c := range s.Columns {
			head = append(head, c.Header())
		}
		content[s.Name] = [][]any{head}
		rows := demoRows()[s.Name]
		if s.Columns[0].Kind != modelName && s.Name != "Models" {
			content[s.Name] = append(content[s.Name], rows...)
			continue
		}
		for _, name := range names {
			for _, row := range rows {
				if row[0] == "Allround 157" {
					content[s.Name] = append(content[s.Name], append([]any{name}, row[1:]...))
				}
			}
		}
	}
	return workbook(t, content)
}

// FuzzRead changes cells of a good book: it must be read or refused with findings, never a panic, and every finding of a cell
// names a cell that exists.
func FuzzRead(f *testing.F) {
	f.Add("Stations", uint8(3), uint8(2), "-8")
	f.Add("Positions", uint8(2), uint8(5), "Light; ; Heavy (x, y), aspen")
	f.Add("Models", uint8(2), uint8(3), "7,5 mm")
	f.Add("Reference", uint8(2), uint8(4), "1e309")
	f.Add("Shop", uint8(2), uint8(1), "rate \u20ac")
	f.Add("Woods", uint8(2), uint8(1), "Lіght")
	f.Add("Layers", uint8(1), uint8(1), "Place")
	f.Add("Models", uint8(1), uint8(1), "Model mm")
	f.Add("Positions", uint8(2), uint8(3), "=1/0")
	f.Fuzz(func(t *testing.T, sheet string, row, col uint8, value string) {
		i, ok := dataSheet(sheet)
		if !ok || row == 0 || col == 0 || row > 60 || col > 60 || len(value) > 2000 {
			t.Skip()
		}
		content := small()
		name := sheets[i].Name
		rows := content[name]
		for len(rows) < int(row) {
			rows = append(rows, nil)
		}
		for len(rows[row-1]) < int(col) {
			rows[row-1] = append(rows[row-1], nil)
		}
		var v any = value
		if looksLikeNumber(value) {
			if d, err := decimal.NewFromString(value); err == nil && d.Exponent() > -400 && d.Exponent() < 400 {
				v = d.InexactFloat64()
			}
		}
		rows[row-1][col-1] = v
		content[name] = rows
		job, found := readBook(t, workbook(t, content))
		checkFindings(t, found)
		// A cell that is filled is read, or something is said of its row, its column, or its sheet.
		if header := textOf(content[name][0], int(col)); row > 1 && strings.TrimSpace(sourcing.Printable(value)) != "" && header == "" {
			if !slices.ContainsFunc(found, func(f sourcing.Finding) bool {
				return f.Sheet == name && (f.Row == int(row) || f.Col == int(col) || f.Row == 0)
			}) {
				t.Errorf("%q in row %d, column %d of %s, without a header, is dropped in silence", value, row, col, name)
			}
		}
		if len(found.Errors()) > 0 {
			return
		}
		for _, m := range job.Models {
			p, found := job.Program(m.Name, nil)
			if p == nil && len(found.Errors()) == 0 {
				t.Error("no program and no finding")
			}
			if p != nil {
				if problems := p.Board.Check(); len(problems) > 0 {
					t.Errorf("a board with faults: %v", problems)
				}
			}
		}
	})
}

// textOf is the text of a cell of a row, from 1; empty beyond its end.
func textOf(row []any, col int) string {
	if col > len(row) || row[col-1] == nil {
		return ""
	}
	return strings.TrimSpace(fmt.Sprint(row[col-1]))
}

// FuzzReadFile reads bytes that may be no workbook at all.
func FuzzReadFile(f *testing.F) {
	f.Add([]byte("PK\x03\x04"))
	f.Add(workbook(f, small()))
	f.Fuzz(func(t *testing.T, data []byte) {
		job, found := readBook(t, data)
		if job == nil {
			t.Error("no job")
		}
		checkFindings(t, found)
	})
}

// FuzzParts reads the small book and the demo with bytes of their parts changed: which file, which of its XML parts, and edits of four bytes each, a place
// (two), what to do, and with what. A book that is read although its XML was changed has as many models as it says, or a finding.
func FuzzParts(f *testing.F) {
	files := [][]byte{workbook(f, small()), starterFile(f, JobFile)}
	for i := range files {
		for part := range uint8(6) {
			f.Add(uint8(i), part, []byte{0, 200, 0, '9', 1, 44, 1, '<'})
			f.Add(uint8(i), part, []byte{3, 9, 2, 0})
			f.Add(uint8(i), part, []byte{0, 90, 3, 40})
		}
	}
	f.Fuzz(func(t *testing.T, file, part uint8, edits []byte) {
		if len(edits) > 400 {
			return
		}
		data := files[int(file)%len(files)]
		in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, z := range in.File {
			if strings.HasSuffix(z.Name, ".xml") || strings.HasSuffix(z.Name, ".rels") {
				names = append(names, z.Name)
			}
		}
		name := names[int(part)%len(names)]
		job, found := readBook(t, rezip(t, data, func(n string, xml []byte) []byte {
			if n != name {
				return xml
			}
			xml = bytes.Clone(xml)
			for e := edits; len(e) >= 4 && len(xml) > 0; e = e[4:] {
				at := (int(e[0])<<8 | int(e[1])) * 7 % len(xml)
				end := min(len(xml), at+int(e[3]))
				switch e[2] % 4 {
				case 0:
					xml[at] = e[3]
				case 1:
					xml = slices.Insert(xml, at, e[3])
				case 2:
					xml = slices.Delete(xml, at, end)
				case 3:
					xml = slices.Insert(xml, at, bytes.Clone(xml[at:end])...)
				}
			}
			return xml
		}))
		checkFindings(t, found)
		if len(found.Errors()) > 0 {
			return
		}
		if len(job.Models) == 0 {
			t.Error("no model, and nothing wrong")
		}
		for _, m := range job.Models {
			if p, found := job.Program(m.Name, nil); p == nil && len(found.Errors()) == 0 {
				t.Error("no program and no finding")
			} else if p != nil {
				if problems := p.Board.Check(); len(problems) > 0 {
					t.Errorf("a board with faults: %v", problems)
				}
			}
		}
	})
}

// A workbook whose parts unpack to more than a book can hold is refused.
func TestZipBomb(t *testing.T) {
	good := workbook(t, small())
	in, err := zip.NewReader(bytes.NewReader(good), int64(len(good)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range in.File {
		if f.Name != "xl/worksheets/sheet2.xml" {
			if err := out.Copy(f); err != nil {
				t.Fatal(err)
			}
			continue
		}
		w, err := out.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		for range maxUnzipBytes>>20 + 1 {
			if _, err := w.Write(make([]byte, 1<<20)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	if b.Len() > maxFileBytes/100 {
		t.Fatalf("the bomb is %d bytes packed, no bomb", b.Len())
	}
	_, found := readBook(t, b.Bytes())
	if len(found.Errors()) != 1 || !strings.Contains(found[0].Problem, "cannot be opened") {
		t.Errorf("findings %v", found)
	}
}

// TestPastedRow: a row for the Columns sheet may be pasted into one cell as a finding of a price sheet gives it.
func TestPastedRow(t *testing.T) {
	const supplier = "Holzhof Beispieltal (invented)"
	job := mustRead(t, edited(t, func(f *excelize.File) {
		set(t, f, "Columns", "A2", supplier+" | Lager | * | width 120 mm", "A3", supplier, "B3", "Lager", "C3", "Preis | netto", "D3", "price EUR/m3",
			"A4", supplier+" |  | Bez. | wood")
	}))
	want := []sourcing.ColumnMeaning{{Sheet: "Lager", Header: "*", Meaning: "width 120 mm"}, {Sheet: "Lager", Header: "Preis | netto", Meaning: "price EUR/m3"},
		{Header: "Bez.", Meaning: "wood"}}
	for _, s := range job.Suppliers {
		if s.Name == supplier && !slices.Equal(s.Columns, want) {
			t.Errorf("%+v", s.Columns)
		}
	}
	// What is no whole row is a name like any other.
	_, found := readBook(t, edited(t, func(f *excelize.File) { set(t, f, "Columns", "A2", "Holzhof | Lager | *") }))
	if len(found.Errors()) != 2 || found[0].Cell() != "C2" && found[0].Cell() != "A2" {
		t.Errorf("%s", found)
	}
}
