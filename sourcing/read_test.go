package sourcing

import (
	"archive/zip"
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"stavewright/species"
)

var update = flag.Bool("update", false, "write the golden files of testdata/sheets anew")

// A styled cell carries a number format of its own.
type styled struct {
	value  any
	format string
}

// A withFormula is a cell with a formula and perhaps a stored value.
type withFormula struct {
	text   string
	stored any
}

// A sheet of a test: its name and its rows from row 1. A nil row is blank.
type testSheet struct {
	name           string
	hidden         bool
	rows           [][]any
	hiddenFrom, to int // rows
}

// workbookOf builds an XLSX file.
func workbookOf(t testing.TB, sheets ...testSheet) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for i, s := range sheets {
		if i == 0 {
			must(f.SetSheetName("Sheet1", s.name))
		} else {
			_, err := f.NewSheet(s.name)
			must(err)
		}
		for r, row := range s.rows {
			for c, v := range row {
				cell := cellName(r+1, c+1)
				switch v := v.(type) {
				case nil:
				case styled:
					id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &v.format})
					must(err)
					must(f.SetCellValue(s.name, cell, v.value))
					must(f.SetCellStyle(s.name, cell, cell, id))
				case withFormula:
					must(f.SetCellValue(s.name, cell, v.stored))
					must(f.SetCellFormula(s.name, cell, v.text))
				case string:
					must(f.SetCellStr(s.name, cell, v))
				default:
					must(f.SetCellValue(s.name, cell, v))
				}
			}
		}
		for r := s.hiddenFrom; r > 0 && r <= s.to; r++ {
			must(f.SetRowVisible(s.name, r, false))
		}
		if s.hidden {
			must(f.SetSheetVisible(s.name, false))
		}
	}
	var b bytes.Buffer
	must(f.Write(&b))
	return b.Bytes()
}

// dump is what a file gives, as text.
func dump(offers []Offer, rows Rows, found Findings) string {
	var b strings.Builder
	for _, o := range offers {
		fmt.Fprintf(&b, "%s!%s: %s %q", o.Sheet, cellName(o.Row, o.Col), o.Wood, o.Name)
		if o.Grade != "" {
			fmt.Fprintf(&b, ", grade %q", o.Grade)
		}
		fmt.Fprintf(&b, ", %s, %s %s/%s", o.Plank, o.Price, o.Currency, o.Unit)
		fmt.Fprintf(&b, ", %s/m3", o.PricePerM3().StringFixed(2))
		for _, q := range []struct {
			what string
			set  bool
			v    any
		}{
			{"nominal", o.NominalMM != 0, o.NominalMM}, {"min", !o.MinQuantity.IsZero(), o.MinQuantity}, {"pack", !o.PackSize.IsZero(), o.PackSize},
			{"available", o.HasAvailable, o.Available}, {"yield", o.YieldPct != 0, fmt.Sprintf("%.2f", o.YieldPct)},
			{"certified", o.Certified, ""}, {"ready", o.ReadyStrip, ""}, {"days", o.LeadTimeDays != 0, o.LeadTimeDays},
		} {
			if q.set {
				fmt.Fprintf(&b, ", %s", strings.TrimSpace(fmt.Sprint(q.what, " ", q.v)))
			}
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "\n%d lines = %d offers + %d findings\n\n", rows.Data, rows.Offers, rows.Findings)
	if len(found) > 0 {
		b.WriteString(found.String() + "\n")
	}
	return b.String()
}

// checkLaws holds what is true of every file.
func checkLaws(t testing.TB, src Source, offers []Offer, rows Rows, found Findings) {
	t.Helper()
	if rows.Data != rows.Offers+rows.Findings || rows.Offers > 0 != (len(offers) > 0) {
		t.Errorf("%d lines, %d offers (%d counted), %d findings: something was dropped", rows.Data, len(offers), rows.Offers, rows.Findings)
	}
	if rows.Findings > 0 && len(found) == 0 {
		t.Errorf("%d lines gave no offer, and nothing says why", rows.Findings)
	}
	answered := map[string]bool{}
	for _, o := range offers {
		answered[fmt.Sprint(o.Sheet, "!", o.Row)] = true
		last := o.MinQuantity
		for _, b := range o.Breaks {
			if !b.From.GreaterThan(last) || b.Price.Sign() <= 0 {
				t.Errorf("the steps do not rise: %+v", o)
			}
			last = b.From
		}
		cost, err := o.PlankCost()
		if err != nil || cost.Sign() < 0 || o.Price.Sign() <= 0 || o.Currency == "" || o.Wood == "" || o.Supplier != src.Supplier || o.File != src.File || o.Row < 1 || o.Col < 1 || !isPrintable(o.Sheet) || !isPrintable(strings.Join(o.Notes, "")) || !isPrintable(o.Grade) {
			t.Errorf("an offer cannot be used: %+v, %v", o, err)
		}
	}
	if len(answered) > rows.Offers && !turnedSheet(offers) {
		t.Errorf("offers stand in %d rows, and %d lines are said to give any", len(answered), rows.Offers)
	}
	for _, f := range found {
		if f.File != src.File || f.Problem == "" || !isPrintable(f.String()) || !isPrintable(f.Problem) || !isPrintable(f.Advice) || len([]rune(f.String())) > 2*maxMessage+300 {
			t.Errorf("a finding is not fit to print: %+q", f)
		}
	}
}

// isPrintable reports whether a text is one line of valid UTF-8, without what steers a terminal or turns the order of letters about.
func isPrintable(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) })
}

// turnedSheet: down the side of a sheet, several offers share a row.
func turnedSheet(offers []Offer) bool {
	cols := map[int]bool{}
	for _, o := range offers {
		cols[o.Col] = true
	}
	return len(cols) > 1
}

var testSource = Source{Supplier: "Testholz", File: "prices.xlsx", Currency: "EUR", LeadTimeDays: 5, Woods: species.Default()}

// Every supplier, sheet and price in here is invented.
var sheetCases = []struct {
	name   string
	source func(*Source)
	sheets []testSheet
}{
	{"english-board-feet", func(s *Source) { s.Currency = "USD" }, []testSheet{{name: "Hardwood", rows: [][]any{
		{"Invented Lumber Yard"}, {"Price list, kiln dried, rough"}, nil,
		{"Species", "Grade", "Thickness", "Width (in)", "Length (ft)", "Price $/BF", "Min. qty (BF)", "On hand BF", "FSC", "Lead time (weeks)", "Item no."},
		{"Quaking aspen", "FAS", "4/4", 6, 8, 1.35, 100, 2400, "FSC Mix 70%", 1, "A-1"},
		{"Yellow-poplar", "No. 1 Common", "5/4", `7"`, "8' 6\"", "$1.10", nil, "sold out", "no", "2-3", "A-2"},
		{"White ash", "F1F", "4/4 S2S", "6 1/2", 10, "2.35/bf", "1 MBF", "in stock", nil, "ex stock", "A-3"},
		{"Hard maple", "2A", "8/4", 6, 8, "2,350/MBF", "2 m3", nil, "yes", "3 weeks", "A-4"},
		{"Sitka spruce", "", `1 1/16"`, 6, 8, "3.10 per board foot", nil, nil, "-", nil, "A-5"},
	}}}},
	{"german-cubic-metres", nil, []testSheet{{name: "Bretter", rows: [][]any{
		{"Preisliste (erfunden)"}, {"alle Preise netto"},
		{"Holzart", "Güte", "Stärke mm", "Breite\nmm", "Länge m", "Preis €/m³", "Mindestmenge m³", "Bestand m³", "Paket (Stk)", "PEFC", "Lieferzeit Tage"},
		{"Rotbuche", "A", 26, 150, "2,5", "650,00", "0,5", "12,400", 120, "ja", 10},
		{"Birke", "A/B", "32", "120", "3,0", "1.050,-", nil, nil, nil, "PEFC", nil},
		{"ESCHE ", "A", "26 mm", 180, 2.5, "1.150", nil, nil, nil, nil, nil},
		{"Robinie (Robinia pseudoacacia)", "B", "27,5", "100", "2", "1 190,00 €", nil, nil, nil, "nein", nil},
		{"Pappel", "A", 40, 160, 3, 480, nil, nil, nil, nil, "KW 37"},
	}}}},
	{"french-units-in-a-column", nil, []testSheet{{name: "Tarif", rows: [][]any{
		{"Essence", "Choix", "Épaisseur (mm)", "Largeur (mm)", "Longueur (m)", "P.U. HT (€)", "Unité", "Délai"},
		{"Hêtre", "1er choix", 27, 160, 2, 980, "m3", "2 semaines"},
		{"Frêne", "", 27, 100, 2.5, "4,20", "ml", ""},
		{"Bouleau", "", 20, 120, 2, "7,50", "pièce", ""},
		{"Peuplier", "", 27, 100, 2, 18, "m²", ""},
		{"Hêtre", "", 27, 160, 2, 980, "colis", ""},
		{"Hêtre", "", 27, 160, 2, 980, "fm", ""},
		{"Hêtre", "", 27, 160, 2, 980, "M", ""},
		{"Hêtre", "", 27, 160, 2, styled{45386, "d/m/yyyy"}, "m3", ""},
	}}}},
	{"italian-currency-in-the-format", func(s *Source) { s.Currency = "" }, []testSheet{{name: "Listino", rows: [][]any{
		{"Essenza", "Spessore mm", "Larghezza mm", "Lunghezza mm", "Prezzo", "Giacenza"},
		{"Faggio", 26, 150, 2500, styled{900, `#,##0.00\ "€/m³"`}, 40},
		{"Frassino", 26, 150, 2500, styled{12.5, `[$CHF]\ #,##0.00" / pz"`}, nil},
		{"Betulla", 26, 150, 2500, 900, nil},
		{"Pioppo", 26, 150, 2500, styled{45000, "dd/mm/yyyy"}, nil},
	}}}},
	{"spanish-ready-strips", nil, []testSheet{{name: "Listones", rows: [][]any{
		{"Especie", "Forma", "Espesor mm", "Ancho mm", "Largo mm", "Precio EUR/pieza", "Certificado"},
		{"bamboo-strip", "listón", 8, 14, 1850, 0.95, "FSC"},
		{"balsa", "listones", 10, 14, 1850, 1.1, "sin FSC"},
		{"balsa", "tabla", 26, 100, 1900, 4, "quizás"},
	}}}},
	{"faults", nil, []testSheet{{name: "Bretter", rows: [][]any{
		{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Pack", "", "Remarks"},
		{"Beach", 26, 150, 2500, 650},                                         // a wood that is none
		{"", 26, 150, 2500, 650},                                              // no wood
		{"Rotbuche", styled{45386, "d/m/yyyy"}, 150, 2500, 650},               // 4/4 made a date
		{"Rotbuche", "5/4?", 150, 2500, 650},                                  // no thickness
		{"Rotbuche", "26-27", 150, 2500, 650},                                 // two thicknesses
		{"Rotbuche", 26, "100-180 mm", 2500, 650},                             // a range
		{"Rotbuche", 26, 150, 2.5, 650},                                       // metres under mm
		{"Rotbuche", 26, 150, 2500, "auf Anfrage"},                            // no price
		{"Rotbuche", 26, 150, 2500, nil},                                      // no price
		{"Rotbuche", 26, 150, 2500, -650},                                     // below 0
		{"Rotbuche", 26, 150, 2500, "650 USD"},                                // another currency, which is fine
		{"Rotbuche", 26, 150, 2500, "$650"},                                   // which dollar?
		{"Rotbuche", 26, 150, 2500, withFormula{"A1*2", nil}},                 // no stored value
		{"Rotbuche", 26, 150, 2500, withFormula{"600+50", 650}},               // a stored value
		{"Rotbuche", 26, 150, 2500, styled{650, `#,##0.00 "USD"`}},            // the format contradicts the header
		{"Rotbuche", 26, 150, 2500, "#N/A"},                                   // an error
		{"Rotbuche", "", "", "", "650"},                                       // no sizes
		{"Rotbuche", 26, 150, 2500, 650, "2 packs", "only this week", "nice"}, // a column without header, one unknown
		{"Preise freibleibend"},                                               // a note
		{"Summe", nil, nil, nil, 1300},                                        // a total
		{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Pack", "", "Remarks"},
		nil,
		{"Rotbuche", 26, 150, 2500, 650.10000000000002},
	}}}},
	{"which-mark", nil, []testSheet{
		{name: "open", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", 26, 150, "2.500", "1.350"}, // a length of 2.5 mm is none, but the price stays open
			{"Rotbuche", 26, 150, 2500, 1.125},      // a number cell is never grouped
		}},
		{name: "proven", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", 26, 150, 2500, "1.350"},
			{"Rotbuche", 26, 150, 2500, "1.350,50"},
		}},
		{name: "by another column", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", "26,5", 150, 2500, "1.350"},
		}},
		{name: "mixed", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", 26, 150, 2500, "1.350"},
			{"Rotbuche", 26, 150, 2500, "995,50"},
			{"Rotbuche", 26, 150, 2500, "995.50"},
		}},
	}},
	{"sheets-that-cannot-be-read", func(s *Source) { s.Currency = "" }, []testSheet{
		{name: "no width", rows: [][]any{{"Wood", "Thickness mm", "Maße", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 650}, {"Rotbuche", 26, 150, 2500, 650}}},
		{name: "two prices", rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Preis USD/bf"}, {"Rotbuche", 26, 150, 2500, 650, 1.5}}},
		{name: "no units", rows: [][]any{{"Wood", "Thickness", "Width", "Length", "Price"}, {"Rotbuche", 26, 150, 2500, 650}}},
		{name: "vague unit", rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Preis €/fm"}, {"Rotbuche", 26, 150, 2500, 650}}},
		{name: "Terms", rows: [][]any{{"Prices are subject to change"}, {"Payment 30 days net"}}},
		{name: "empty"},
	}},
	{"no-sheet-can-be-read", nil, []testSheet{{name: "Quote", rows: [][]any{{"Dear customer"}, {"beech 26 mm at 650"}}}}},
	{"settled-by-the-job-book", func(s *Source) {
		s.Columns = []ColumnMeaning{
			{Header: "maße", Meaning: "width mm"},
			{Sheet: "A", Header: "VK II", Meaning: "price EUR/m3"},
			{Header: "VK I", Meaning: "ignore"},
			{Header: "Bezeichnung", Meaning: "wood"},
			{Header: "nowhere", Meaning: "length mm"},
			{Header: "Preis", Meaning: "nonsense"},
		}
	}, []testSheet{
		{name: "A", rows: [][]any{{"Bezeichnung", "Stärke mm", "Maße", "Länge mm", "VK I", "VK II"}, {"Rotbuche", 26, 150, 2500, 700, 650}}},
	}},
	{"hidden", nil, []testSheet{
		{name: "shown", hiddenFrom: 3, to: 4, rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 650}, {"Rotbuche", 26, 150, 2500, 640}, {"Rotbuche", 26, 150, 2500, 630}}},
		{name: "old", hidden: true, rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 500}}},
	}},
}

func TestReadOffers(t *testing.T) {
	for _, tt := range sheetCases {
		t.Run(tt.name, func(t *testing.T) {
			src := testSource
			if tt.source != nil {
				tt.source(&src)
			}
			data := workbookOf(t, tt.sheets...)
			offers, rows, found := ReadOffers(bytes.NewReader(data), src)
			checkLaws(t, src, offers, rows, found)
			golden(t, tt.name, dump(offers, rows, found))
			again, rows2, found2 := ReadOffers(bytes.NewReader(data), src)
			if dump(again, rows2, found2) != dump(offers, rows, found) {
				t.Error("read twice, the file gives two answers")
			}
		})
	}
}

// Files of other programs, in testdata/sheets beside their golden files.
func TestForeignFiles(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "sheets", "*.xlsx"))
	if err != nil || len(files) == 0 {
		t.Fatal("no files to read", err)
	}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			offers, rows, found := ReadOffers(bytes.NewReader(data), testSource)
			checkLaws(t, testSource, offers, rows, found)
			golden(t, filepath.Base(path), dump(offers, rows, found))
		})
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("..", "testdata", "sheets", name+".golden")
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs from\n%s\ngot\n%s", path, want, got)
	}
}

// The lines between header and end that hold anything are exactly those counted.
func TestEveryLineIsCounted(t *testing.T) {
	for _, tt := range sheetCases {
		filled := 0
		for _, s := range tt.sheets {
			head := slices.IndexFunc(s.rows, func(row []any) bool { return (&layouter{}).recognise([]line{lineOf(row)}).score > 0 })
			for _, row := range s.rows[head+1:] {
				texts := textsOf(row)
				if strings.Join(texts, "") != "" && (head < 0 || strings.Join(texts, "|") != strings.Join(textsOf(s.rows[head]), "|")) {
					filled++
				}
			}
		}
		if tt.name == "settled-by-the-job-book" {
			continue // its header row is found only with the job book's help
		}
		if _, rows, _ := ReadOffers(bytes.NewReader(workbookOf(t, tt.sheets...)), testSource); rows.Data != filled {
			t.Errorf("%s: %d lines counted, %d are there", tt.name, rows.Data, filled)
		}
	}
}

func lineOf(row []any) (l line) {
	for _, s := range textsOf(row) {
		l.cells = append(l.cells, cell{}.with(s))
	}
	return l
}

func textsOf(row []any) (out []string) {
	for _, v := range row {
		if v == nil {
			v = ""
		}
		out = append(out, fmt.Sprint(v))
	}
	return out
}

func TestFilesThatAreNoWorkbook(t *testing.T) {
	var bomb bytes.Buffer
	z := zip.NewWriter(&bomb)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	chunk := bytes.Repeat([]byte(" "), 1<<20)
	for range maxUnzipBytes>>20 + 1 {
		if _, err := w.Write(chunk); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	good := workbookOf(t, sheetCases[0].sheets...)
	for _, tt := range []struct {
		name string
		data []byte
		want string
	}{
		{"empty", nil, "is empty"},
		{"old workbook", []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1 and so on"), "old .xls"},
		{"pdf", []byte("%PDF-1.7 and so on"), "is a PDF"},
		{"web page", []byte("\n <html><table><tr><td>Buche</td></tr></table></html>"), "is a web page"},
		{"binary", []byte("Buche\x00\x01\x02"), "no text either"},
		{"locked", []byte("\xD0\xCF\x11\xE0 E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00"), "locked with a password"},
		{"cut short", good[:len(good)/2], "cannot be opened"},
		{"zip of nothing", []byte("PK\x05\x06" + strings.Repeat("\x00", 18)), "cannot be opened"},
		{"bomb", bomb.Bytes(), "cannot be opened"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			offers, rows, found := ReadOffers(bytes.NewReader(tt.data), testSource)
			if len(offers) != 0 || rows != (Rows{}) || len(found) != 1 || found[0].Warning || !strings.Contains(found[0].Problem, tt.want) || found[0].Advice == "" {
				t.Errorf("%d offers, %+v, findings %v; want one that holds %q", len(offers), rows, found, tt.want)
			}
		})
	}
}

// A sheet that reaches too far is refused with a finding, not read in part.
func TestSheetsThatReachTooFar(t *testing.T) {
	far := [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 650}}
	for _, cell := range []string{"XFD3", "A1048576"} {
		f := excelize.NewFile()
		stream, err := f.NewStreamWriter("Sheet1")
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range append(far, []any{"x"}) {
			at := []string{"A1", "A2", cell}[i]
			if err := stream.SetRow(at, row); err != nil {
				t.Fatal(err)
			}
		}
		if err := stream.Flush(); err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			t.Fatal(err)
		}
		offers, rows, found := ReadOffers(&b, testSource)
		if len(offers) != 0 || rows.Data != 0 || len(found) != 1 || found[0].Sheet != "Sheet1" || found[0].Warning {
			t.Errorf("with a cell %s: %d offers, %+v, %v", cell, len(offers), rows, found)
		}
	}
}

// Random rows from a store of good and bad cells: nothing is dropped, whatever they hold.
func TestNothingIsDropped(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	store := [][]any{
		{"Rotbuche", "Birke", "Beach", "", nil, "Summe", "Eschе", 5, "=1+1"},
		{26, "26 mm", "4/4", `1"`, "x", nil, -3, "26-27", styled{45386, "d/m/yyyy"}, "1.250"},
		{150, `6"`, "RW", nil, 0, "1,5 m"},
		{2500, "8'", "2,5 m", nil, "lang", 2.5, "2.500"},
		{650, "650,00", "1.350", "on request", nil, 0, "650 USD", "$5", styled{650, `0.00 "CHF/Stk"`}, withFormula{"1+1", nil}, withFormula{"1+1", 2}},
		{"m3", "bf", "fm", "", nil, "Stk"},
		{"5", "2 m3", "x", nil, "sold out"},
		{"FSC", "no", nil, "maybe"},
	}
	for n := range 60 {
		rows := [][]any{{"title"}, {"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR", "Unit", "Min", "FSC"}}
		filled := 0
		for range 20 {
			row := make([]any, len(store))
			some := false
			for i, s := range store {
				row[i] = s[rng.IntN(len(s))]
				some = some || row[i] != nil && row[i] != ""
			}
			if some {
				filled++
			}
			rows = append(rows, row)
		}
		offers, got, found := ReadOffers(bytes.NewReader(workbookOf(t, testSheet{name: "S", rows: rows})), testSource)
		checkLaws(t, testSource, offers, got, found)
		if got.Data != filled {
			t.Fatalf("try %d: %d lines counted, %d are there", n, got.Data, filled)
		}
		answered := map[int]bool{}
		for _, o := range offers {
			answered[o.Row] = true
		}
		for _, f := range found {
			answered[f.Row] = true
		}
		for r, row := range rows[2:] {
			if strings.Join(textsOf(row), "") != "" && !answered[r+3] && got.Offers > 0 {
				t.Fatalf("try %d: row %d %v is neither offer nor finding", n, r+3, row)
			}
		}
	}
}

func FuzzReadOffers(f *testing.F) {
	for _, tt := range sheetCases {
		var b strings.Builder
		for _, s := range tt.sheets {
			for _, row := range s.rows {
				b.WriteString(strings.Join(textsOf(row), "\t") + "\n")
			}
		}
		f.Add(b.String(), 3)
	}
	f.Fuzz(func(t *testing.T, text string, numbers int) {
		if len(text) > 4096 {
			return
		}
		var rows [][]any
		for i, line := range strings.Split(text, "\n") {
			var row []any
			for j, cell := range strings.Split(line, "\t") {
				var v float64
				if _, err := fmt.Sscan(cell, &v); err == nil && (i+j+numbers)%3 != 0 {
					row = append(row, v)
				} else {
					row = append(row, cell)
				}
			}
			rows = append(rows, row)
		}
		if len(rows) > 200 {
			return
		}
		offers, got, found := ReadOffers(bytes.NewReader(workbookOf(t, testSheet{name: "S", rows: rows})), testSource)
		checkLaws(t, testSource, offers, got, found)
	})
}

// fill writes so many rows into Sheet1, one after another, and is the workbook then.
func fill(tb testing.TB, f *excelize.File, rows int, row func(i int) []any) []byte {
	tb.Helper()
	stream, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		tb.Fatal(err)
	}
	for i := range rows {
		if err := stream.SetRow(cellName(i+1, 1), row(i)); err != nil {
			tb.Fatal(err)
		}
	}
	if err := stream.Flush(); err != nil {
		tb.Fatal(err)
	}
	var file bytes.Buffer
	if err := f.Write(&file); err != nil {
		tb.Fatal(err)
	}
	return file.Bytes()
}

// longSheet is a price sheet of many lines, with some of everything: texts, numbers with a currency in their format, numbers as text.
func longSheet(tb testing.TB, lines int) []byte {
	tb.Helper()
	f := excelize.NewFile()
	defer f.Close()
	format := `#,##0.00 "EUR"`
	money, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
	if err != nil {
		tb.Fatal(err)
	}
	return fill(tb, f, lines+1, func(i int) []any {
		if i == 0 {
			return []any{"Holzart", "Güte", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Zertifikat", "Art.-Nr.", "Bestand m³"}
		}
		row := []any{[]string{"Rotbuche", "Esche", "Birke, KD"}[i/1000%3], "A", 20 + i%60, 100 + i%80, 2500 + 10*(i/5000), excelize.Cell{StyleID: money, Value: 600.5 + float64(i%90)}, "FSC", fmt.Sprintf("A-%d", i), i % 40}
		if i%10 == 0 {
			row[3] = "100-180 mm"
		}
		return row
	})
}

// walk opens a workbook and walks the rows of its first sheet, as the least that reading it can be.
func walk(tb testing.TB, data []byte) {
	tb.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true})
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	rows, err := f.Rows("Sheet1")
	if err != nil {
		tb.Fatal(err)
	}
	for rows.Next() {
		if _, err := rows.Columns(); err != nil {
			tb.Fatal(err)
		}
	}
}

// BenchmarkReadLarge reads 100 000 lines, and walks their rows in the same run: times-walk is the one over the other, to stay below 2.
// peak-MB is the most memory that the process held while reading, to stay below 500.
func BenchmarkReadLarge(b *testing.B) {
	const lines = 100_000
	data := longSheet(b, lines)
	b.ReportAllocs()
	var reading, walking time.Duration
	var most uint64
	for b.Loop() {
		runtime.GC()
		start := time.Now()
		walk(b, data)
		walking += time.Since(start)
		debug.FreeOSMemory()
		stop, peak := make(chan struct{}), make(chan uint64)
		go func() { peak <- peakMemory(stop) }()
		start = time.Now()
		if offers, _, found := ReadOffers(bytes.NewReader(data), testSource); len(offers) != lines {
			b.Fatal(len(offers), found)
		}
		reading += time.Since(start)
		close(stop)
		most = max(most, <-peak)
	}
	b.ReportMetric(float64(reading)/float64(walking), "times-walk")
	b.ReportMetric(float64(most)/(1<<20), "peak-MB")
	b.ReportMetric(reading.Seconds()/float64(b.N), "read-s")
}

// peakMemory is the most memory that the process held until it is stopped, bytes.
func peakMemory(stop <-chan struct{}) (most uint64) {
	sample := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	for {
		metrics.Read(sample)
		most = max(most, sample[0].Value.Uint64()-sample[1].Value.Uint64())
		select {
		case <-stop:
			return most
		case <-time.After(5 * time.Millisecond):
		}
	}
}
