package sourcing_test

import (
	"bytes"
	"encoding/binary"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"
)

var buildSheets = flag.Bool("build-sheets", false, "build the excelize files of testdata/sheets/corpus anew; those of other tools are built by testdata/sheets/build/foreign.py")

// A grid is a sheet to be built: its name and its rows from row 1. A nil row is blank.
type grid struct {
	name string
	rows [][]any
}

// An inFormat is a value under a number format of its own.
type inFormat struct {
	value  any
	format string
}

// A stored formula is one with the value that its file keeps, whatever it would really give.
type storedFormula struct {
	text   string
	stored any
}

// A builder makes one file; more adds what cells alone do not show.
type builder struct {
	name  string
	grids []grid
	more  func(t *testing.T, f *excelize.File)
}

// builders make the corpus files that come from excelize. Every supplier, price and address in here is invented.
var builders = []builder{
	{"letterhead.xlsx", []grid{{"Preisliste", [][]any{
		{"Holzhandel Musterau (erfunden)"},
		{"Sägestraße 12, 00000 Musterau"},
		{"Tel. 0000 / 123456"},
		nil,
		{"Preisliste Nr. 17 – gültig ab 15. März 2026"},
		{"Alle Preise in EUR je m³ netto, zzgl. MwSt., ab Werk"},
		nil,
		{"Ansprechpartner: Vertrieb"},
		{"Holzart", "Qualität", "Stärke (mm)", "Breite (mm)", "Länge (m)", "Trocknung", "Preis", "Bestand (m³)", "gültig bis"},
		{"Rotbuche (gedämpft)", "A", 26, 150, 2.5, "KD 8-10 %", 690, 12.5, "30.06.2026"},
		{"Rotbuche", "B", 26, 120, 2, "KD 8-10 %", 520, nil, "30.06.2026"},
		{"Esche", "A", 32, 160, 3, "lufttrocken", 880, 4, inFormat{46203, "dd.mm.yyyy"}}, // 30 June 2026
		{"Pappel", "A", 40, 140, 2.5, "KD 8 ± 2 %", 430, "ausverkauft", nil},
		{"Summe", nil, nil, nil, nil, nil, nil, 16.5},
		nil,
		{"Preise freibleibend, Zwischenverkauf vorbehalten."},
	}}}, func(t *testing.T, f *excelize.File) {
		check(t, f.MergeCell("Preisliste", "A1", "F1"))
		logo := image.NewRGBA(image.Rect(0, 0, 16, 16))
		for i := range 16 {
			logo.Set(i, i, color.RGBA{R: 120, G: 80, B: 20, A: 255})
		}
		var b bytes.Buffer
		check(t, png.Encode(&b, logo))
		check(t, f.AddPictureFromBytes("Preisliste", "H1", &excelize.Picture{Extension: ".png", File: b.Bytes()}))
		check(t, f.SetPanes("Preisliste", &excelize.Panes{Freeze: true, YSplit: 9, TopLeftCell: "A10", ActivePane: "bottomLeft"}))
		check(t, f.AutoFilter("Preisliste", "A9:I13", nil))
	}},
	{"one-sheet-per-thickness.xlsx", []grid{
		{"26 mm", [][]any{{"Sawn boards 26 mm, kiln dried 8 %"}, {"Species", "Grade", "Width mm", "Length mm", "Price EUR/m3"},
			{"European beech", "A", 150, 2500, 640}, {"Silver birch", "A", 120, 2000, 690}}},
		{"52 mm", [][]any{{"Species", "Grade", "Width mm", "Length mm", "Price EUR/m3"}, {"European ash", "A", 160, 3000, 990}}},
		{"Other", [][]any{{"Species", "Grade", "Width mm", "Length mm", "Price EUR/m3"}, {"European ash", "B", 100, 2000, 500}}},
	}, nil},
	{"wood-once-for-a-block.xlsx", []grid{{"List", [][]any{
		{"Species", "Thickness", "Grade", "Width in", "Length ft", "Price $/bf"},
		{"Hard maple", "4/4", "FAS", 6, 8, 4.1},
		{nil, "5/4", "FAS", 6, 8, 4.5},
		{nil, "8/4", "FAS", 6, 8, 5.6},
		{"Red oak", "4/4", "FAS", 6, 8, 3.1},
		{nil, "5/4", "No. 1 Common", 5, 8, 2.2},
		{"Unobtainium", "4/4", "FAS", 6, 8, 9},
		{nil, "5/4", "FAS", 6, 8, 9.5},
		{"White ash", "4/4", "FAS", 6, 8, 3.2},
	}}, {"ditto", [][]any{
		{"Species", "Thickness", "Grade", "Width in", "Length ft", "Price $/bf"},
		{"Hard maple", "4/4", "FAS", 6, 8, 4.1},
		{"dto.", "5/4", `"`, 6, 8, 4.5},
		{"idem", "8/4", "″", 6, 8, 5.6},
	}}, {"gaps", [][]any{
		{"Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
		{"European beech", 26, 150, 2500, 640},
		{"European ash", 26, 150, 2500, 880},
		{nil, 32, 150, 2500, 910},
		{"Silver birch", 26, 120, 2000, 700},
		{nil, nil, 120, 2000, 730}, // the plank of the line above at another price: a thickness is missing
		{"Black locust", 26, 100, 2000, nil},
	}}}, nil},
	{"matrix-grade-across.xlsx", []grid{{"Red alder", [][]any{
		{"Invented Alder Mill – price list 2026"},
		{"Red alder – kiln dried, 6–8 %"},
		{"Prices in USD per MBF"},
		{"Thickness", "Width", "Length", "FAS", "F1F", "No. 1 Common"},
		{"4/4", `4"+`, `6'+`, "2,400", "2,350", "1,650"},
		{"5/4", `4"+`, `6'+`, "2,550.00", "2,500.00", "1,750.00"},
		{"6/4", `4"+`, `6'+`, "call", "2,600", "1,850"},
	}}}, nil},
	{"price-breaks-bf.xlsx", []grid{{"Hardwood", [][]any{
		{"Prices USD per board foot"},
		{"Species", "Grade", "Thickness", "Width in", "Length ft", "1-99 bf", "100-249 bf", "250-499 bf", "500+ bf", "truckload"},
		{"White ash", "FAS", "4/4", 6, 8, 4.2, 3.8, 3.5, 3.2, 2.95},
		{"Hard maple", "FAS", "5/4", 6, 8, 5.4, 5, 4.75, 4.5, "call"},
		{"Basswood", "FAS", "4/4", 6, 8, nil, 2.1, 1.9, 1.75, nil},
	}}, {"Softwood", [][]any{
		{"Prices USD per board foot"},
		{"Species", "Thickness", "Width in", "Length ft", "Pack bf", "100+", ">= 500", "full pack"},
		{"Sitka spruce", "4/4", 6, 8, 800, 6.2, 5.9, 5.6},
		{"Western redcedar", "4/4", 6, 8, nil, 5.2, 4.9, 4.6}, // how much is its pack?
	}}}, nil},
	{"price-breaks-rows.xlsx", []grid{
		{"From", [][]any{
			{"Article", "Species", "Thickness mm", "Width mm", "Length mm", "From m3", "Price EUR/m3"},
			{"A-10", "European beech", 26, 150, 2500, 1, 640},
			{"A-10", "European beech", 26, 150, 2500, 3, 610},
			{"A-10", "European beech", 26, 150, 2500, 5, 590},
			{"A-11", "Silver birch", 26, 120, 2000, 0.5, 720},
			{"A-11", "Silver birch", 26, 120, 2000, 2, 680},
			{"A-12", "European ash", 32, 150, 2500, nil, 890},
		}},
		{"From to", [][]any{
			{"Species", "Thickness", "Width in", "Length ft", "From bf", "To bf", "Price USD/bf"},
			{"White ash", "4/4", 6, 8, 1, 100, 4.2},
			{"White ash", "4/4", 6, 8, 100, 250, 3.8}, // overlaps at 100
			{"White ash", "4/4", 6, 8, 300, nil, 3.5}, // a gap from 250 to 300
		}},
	}, nil},
	{"two-tables-below-each-other.xlsx", []grid{{"Liste", [][]any{
		{"Schnittholz"},
		{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
		{"Rotbuche", 26, 150, 2500, 640},
		{"Esche", 26, 150, 2500, 880},
		nil,
		{"Leimholzplatten"},
		{"Holzart", "Länge mm", "Breite mm", "Stärke mm", "Preis €/m²"},
		{"Paulownia", 2000, 400, 18, 24.5},
		{"Rotbuche", 2000, 600, 27, "auf Anfrage"},
		nil,
		{"Leisten"},
		{"Holzart", "Form", "Stärke mm", "Breite mm", "Länge mm", "€/Stk."},
		{"Bambus", "Leiste", 8, 14, 1850, 0.95},
		{"Balsa", "Leiste", 10, 14, 1850, 1.2},
	}}}, nil},
	{"hidden-rows-and-sheets.xlsx", []grid{
		{"Preise 2026", [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "EK intern", "Preis €/m³"},
			{"Rotbuche", 26, 150, 2500, 480, 640},
			{"Rotbuche", 32, 150, 2500, 500, 660},
			{"Esche", 26, 150, 2500, 700, 880},
		}},
		{"Preise 2024 ALT", [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
			{"Rotbuche", 26, 150, 2500, 570},
		}},
		{"Kalkulation", [][]any{{"Marge", 0.25}, {"Fracht", 45}}},
	}, func(t *testing.T, f *excelize.File) {
		check(t, f.SetRowVisible("Preise 2026", 3, false))
		check(t, f.SetColVisible("Preise 2026", "E", false))
		check(t, f.SetSheetVisible("Preise 2024 ALT", false))
		check(t, f.SetSheetVisible("Kalkulation", false, true))
	}},
	{"spanish.xlsx", []grid{{"Tarifa", [][]any{
		{"Maderas Inventadas – tarifa 2026, sin IVA"},
		{"Especie", "Calidad", "Espesor mm", "Ancho mm", "Largo m", "Humedad", "Precio €/m³", "Cantidad mínima m³", "Disponibilidad", "Plazo de entrega", "Certificado"},
		{"Haya", "A", 26, "120-180 mm", "2,5", "8-10 %", "645,00", "1", "en existencia", "2 semanas", "PEFC"},
		{"Fresno", "A", 32, 150, "3,0", "10 %", "1.090,00", nil, "agotado", nil, "no"},
		{"Chopo", "B", 40, 180, "2,5", "verde", "395,50", "2", nil, "5 días", nil},
		{"Abedul", "A", 26, 120, "2,0", "10 %", "bajo pedido", nil, nil, nil, nil},
		{"Arce", "A", 26, 120, "2,0", "10 %", "1.200,00", nil, nil, nil, nil},
	}}}, nil},
	{"header-notes.xlsx", []grid{
		{"notes", [][]any{
			{"Holzart 1)", "Stärke (mm)", "Breite [mm]", "Länge (m) *", "Preis (netto) €/m³ 2)", nil},
			{"Rotbuche", 26, 150, 2.5, 640, "✓"},
			{"Esche", 26, 150, 2.5, 880, nil},
			nil,
			{"1) auch auf Anfrage"},
			{"2) zzgl. Fracht"},
			{"* Fixlängen"},
		}},
		{"twice", [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis", "Preis"},
			{"Rotbuche", 26, 150, 2500, 640, 600},
		}},
	}, nil},
	{"formulas-with-stale-values.xlsx", []grid{{"Preise", [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
		{"Rotbuche", 26, 150, 2500, storedFormula{"600*1.07", 640}}, // would give 642: what the supplier last saw counts
		{"Esche", 26, 150, 2500, storedFormula{"ROUND(840*1.07,-1)", 900}},
		{"Birke", 26, 120, 2000, storedFormula{"'[gone.xlsx]Preise'!F9", 690}},
		{"Pappel", 40, 200, 2500, storedFormula{"E2-240", 0}},
	}}}, nil},
	{"on-request.xlsx", []grid{{"List", func() [][]any {
		rows := [][]any{{"Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}}
		for _, s := range []any{"on request", "call", "POA", "a. A.", "sold out", "ausverkauft", "–", "x", "n/a", 0, "0", "tbd", "ask Marie", nil, "Sur demande", "a richiesta", "NC", "bajo pedido", 640} {
			rows = append(rows, []any{"European beech", 26, 150, 2500, s})
		}
		return rows
	}()}}, nil},
	{"prices-that-are-not-firm.xlsx", []grid{{"List", func() [][]any {
		rows := [][]any{{"Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}}
		for _, s := range []any{"780–840", "from 780", "ab 780 €", "780 / 820 (long)", "820 KD\n700 AD", "~ 900", "ca. 900", "900*", "(900)", "900 +7 %", "Σ 900", "900 €/m³ or 880", "-640", 1e9, "895,-", "895.–"} {
			rows = append(rows, []any{"European beech", 26, 150, 2500, s})
		}
		return append(rows, nil, []any{"* until stock is sold"})
	}()}}, nil},
	{"struck-through-text.xlsx", []grid{{"Preise", [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
		{"Rotbuche", 26, 150, 2500, nil},
		{"Esche", 26, 150, 2500, nil},
		{"Birke", 26, 120, 2000, 690},
	}}}, func(t *testing.T, f *excelize.File) {
		old := &excelize.Font{Strike: true}
		check(t, f.SetCellRichText("Preise", "E2", []excelize.RichTextRun{{Text: "680,00", Font: old}, {Text: " 640,00", Font: &excelize.Font{Bold: true}}}))
		check(t, f.SetCellRichText("Preise", "E3", []excelize.RichTextRun{{Text: "880,00", Font: old}}))
	}},
	{"widths-and-lengths.xlsx", []grid{{"List", func() [][]any {
		rows := [][]any{{"Species", "Thickness mm", "Width", "Length", "Price EUR/m3"}}
		for _, s := range [][2]any{
			{"150 mm", "2500 mm"}, {`6"+`, `8'–16'`}, {`4"–12" RW`, "6–7'"}, {"100 mm +", "8/10/12'"}, {"12–30 cm", "2,0–4,0 m"}, {"fallend ab 14 cm", "2.00 m steigend 10 cm"},
			{`8" & wdr`, "2000/2500/3000 mm"}, {`avg 7.2"`, "2.5 m"}, {"RW", "2.5 m"}, {"150 mm", "RL"}, {"150 mm", "1/2 + 1/4 lengths"}, {"150", "2500"}, {"180-100 mm", "2.5 m"}, {"150 mm", "8' 6\""}, {"6 1/2 in", "2,50m"},
			{"fallende Breiten", "2.5 m"}, {"100-180 mm", "2-4 m"}, {"random 4\" and wider", "random 6' to 12'"},
		} {
			rows = append(rows, []any{"European beech", 26, s[0], s[1], 640})
		}
		return rows
	}()}}, nil},
	{"mbf-beside-bf.xlsx", []grid{
		{"both", [][]any{
			{"Species", "Thickness", "Width in", "Length ft", "Price", "Unit"},
			{"White ash", "4/4", 6, 8, 1350, "$/MBF"},
			{"White ash", "5/4", 6, 8, 1.45, "$/bf"},
			{"White ash", "6/4", 6, 8, "1,550", "$/MBF"},
			{"White ash", "8/4", 6, 8, "1.650/bf", nil},
			{"White ash", "10/4", 6, 8, "1,900/M", nil},
		}},
		{"thousands", [][]any{
			{"Species", "Thickness", "Width in", "Length ft", "Price USD/MBF"},
			{"White ash", "4/4", 6, 8, "1.350"}, // 1350 or 1.35: nothing proves which
			{"White ash", "5/4", 6, 8, 1450},
		}},
	}, nil},
	{"dates-and-errors.xlsx", []grid{{"List", [][]any{
		{"Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Lead time", "Valid until"},
		{"European beech", 26, 150, 2500, 640, "ca. 3–4 Wochen", inFormat{46112, "yyyy-mm-dd"}}, // 31 March 2026
		{"European beech", 32, 150, 2500, 660, "KW 37", "31.12.2026"},
		{"European ash", 26, 150, 2500, 880, "mid Sept.", "3/4/25"}, // day or month first
		{"European ash", 32, 150, 2500, 900, "ex stock", "2026-06-30"},
		{"Silver birch", 26, 120, 2000, "#N/A", "10 days", nil},
		{"Silver birch", 32, 120, 2000, "#DIV/0!", "10 days", nil},
		{"Silver birch", 40, 120, 2000, "NaN", "10 days", nil},
		{"Black locust", inFormat{46116, "d-mmm"}, 100, 2000, 1150, 14, "end of quarter"}, // a date where a thickness belongs
		{"Black locust", 26, 100, 2000, inFormat{46116, "d-mmm"}, 14, nil},
	}}}, nil},
	{"duplicates.xlsx", []grid{{"List", [][]any{
		{"Species", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "FSC", "Yard"},
		{"European beech", 26, 150, 2500, 640, "no", "North"},
		{"European beech", 26, 150, 2500, 620, "no", "South"},
		{"European beech", 26, 150, 2500, 690, "FSC 100%", "North"},
		{"European beech", 26, 150, 2500, 6400, "no", "samples up to 5 pieces"},
		{"PROMOTION while stocks last"},
		{"European beech", 26, 150, 2500, 590, "no", "South"},
	}}}, nil},
	{"length-graded.xlsx", []grid{{"Liste", [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³"},
		{"Rotbuche", 26, "100 +", "1,0–1,9", 380},
		{"Rotbuche", 26, "100 +", "2,0–2,9", 540},
		{"Rotbuche", 26, "100 +", "3,0 +", 640},
		{"Esche", 26, "ab 120", "ab 3", 900},
	}}}, nil},
	{"terms-at-the-foot.xlsx", []grid{{"List", [][]any{
		{"Species", "Thickness", "Width in", "Length ft", "Price USD/bf"},
		{"Hard maple", "4/4", 6, 8, 4.1},
		{"Red oak", "4/4", 6, 8, 3.1},
		nil,
		{"Minimum order 200 bf per species."},
		{"Invoiced on kiln-dried net tally."},
		{"Volume rounded up per board."},
	}}}, nil},
	{"density-and-colour-classes.xlsx", []grid{{"Classes", [][]any{
		{"Species", "Grade", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
		{"Balsa", "light 90–120 kg/m³", 26, 100, 1200, 1500},
		{"Balsa", "heavy 160+ kg/m³", 26, 100, 1200, 1100},
		{"Balsa (medium 120–160 kg/m³)", nil, 26, 100, 1200, 1300},
		{"Bamboo", "caramel, vertical", 26, 100, 1900, 1600},
		{"Bamboo (natural, horizontal)", nil, 26, 100, 1900, 1650},
		{"strand woven bamboo", nil, 26, 100, 1900, 2100},
		{"Red alder", "Superior", 26, 100, 1900, 1000},
		{"Hard maple", "#1/#2 white", 26, 100, 1900, 1400},
		{"European beech (unsteamed)", "A", 26, 100, 1900, 600},
	}}}, nil},
	{"macro-book.xlsm", []grid{{"Bretter", [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
		{"Rotbuche", 26, 150, 2500, 640},
	}}}, func(t *testing.T, f *excelize.File) {
		project := make([]byte, 512) // the mark of a compound file and nothing in it: no macro
		binary.LittleEndian.PutUint64(project, 0xE11AB1A1E011CFD0)
		check(t, f.AddVBAProject(project))
	}},
	{"locked-with-a-password.xlsx", []grid{{"Bretter", [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"},
		{"Rotbuche", 26, 150, 2500, 640},
	}}}, nil},
	{"text-that-looks-like-formulas.xlsx", []grid{{"=Liste", [][]any{
		{"Species", "Grade", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
		{`=HYPERLINK("http://example.invalid","Rotbuche")`, "A", 26, 150, 2500, 640},
		{"European beech", "=cmd|' /C calc'!A0", 26, 150, 2500, 640},
		{"European ash", "<script>alert(1)</script>", 26, 150, 2500, 880},
		{"+Silver birch", "A", 26, 120, 2000, 690},
		{"Silver birch", "@SUM(A1)", 26, 120, 2000, "+690"},
		{"Black locust", "-A", 26, 100, 2000, "-1150"},
	}}}, nil},
	{"codes-for-headers.xlsx", []grid{{"Lager Nord", [][]any{
		{"Bez.", "D", "Br", "Lg", "VK2", "VK3"},
		{"Rotbuche", 26, 150, 2500, 640, 610},
		{"Esche", 32, 160, 3000, 890, 860},
	}}}, nil},
	{"PL_2026-03_final_NEU(2).xlsx", []grid{{"Strips & feet", [][]any{
		{"Species", "Form", "Thickness", "Width", "Length", "Price", "Unit", "Pack"},
		{"Hickory", "board", "4/4", `6"`, `10'`, 2.4, "USD/lin ft", nil},
		{"Hickory", "strips", `5/8"`, `9/16"`, `6'`, 1.35, "USD/pc", "100 pcs"},
		{"White ash", "board", "4/4", `6"`, `10'`, 1500, "USD/pack", "500 bf"},
		{"White ash", "board", "4/4", `6"`, `10'`, 3.1, "USD/sq ft", nil},
		{"White ash", "board", "4/4", `6"`, `10'`, 12.5, "USD per board", nil},
		{"European beech", "board", "26 mm", "150 mm", "2.5 m", 2.6, "EUR/lfm", "50 Stk"},
		{"European beech", "board", "26 mm", "150 mm", "2.5 m", 2.6, "EUR/fm", nil},
	}}}, nil},
}

func check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// TestBuildSheets writes the excelize files of the corpus when asked to.
func TestBuildSheets(t *testing.T) {
	if !*buildSheets {
		t.Skip("the files are kept; -build-sheets writes them anew")
	}
	for _, b := range builders {
		f := excelize.NewFile()
		for i, g := range b.grids {
			if i == 0 {
				check(t, f.SetSheetName("Sheet1", g.name))
			} else {
				_, err := f.NewSheet(g.name)
				check(t, err)
			}
			for r, row := range g.rows {
				for c, v := range row {
					cell := placeName(r+1, c+1)
					switch v := v.(type) {
					case nil:
					case inFormat:
						id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &v.format})
						check(t, err)
						check(t, f.SetCellValue(g.name, cell, v.value))
						check(t, f.SetCellStyle(g.name, cell, cell, id))
					case storedFormula:
						check(t, f.SetCellValue(g.name, cell, v.stored))
						check(t, f.SetCellFormula(g.name, cell, v.text))
					case string:
						check(t, f.SetCellStr(g.name, cell, v))
					default:
						check(t, f.SetCellValue(g.name, cell, v))
					}
				}
			}
		}
		if b.more != nil {
			b.more(t, f)
		}
		var options excelize.Options
		if b.name == "locked-with-a-password.xlsx" {
			options.Password = "secret"
		}
		var file bytes.Buffer
		check(t, f.Write(&file, options))
		check(t, f.Close())
		check(t, os.WriteFile(filepath.Join(corpusDir, b.name), file.Bytes(), 0o644))
	}
}
