package sourcing

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// brief is an offer on one line.
func brief(o Offer) string {
	s := fmt.Sprintf("%s %s %vx%vx%v %s %s/%s", cellName(o.Row, o.Col), o.Wood, o.Plank.ThicknessMM, o.Plank.WidthMM, o.Plank.LengthMM, o.Price, o.Currency, o.Unit)
	for _, f := range []struct {
		name string
		set  bool
		v    any
	}{{"grade", o.Grade != "", o.Grade}, {"moisture", o.Moisture != "", o.Moisture}, {"available", o.HasAvailable, o.Available}, {"min", !o.MinQuantity.IsZero(), o.MinQuantity}, {"pack", !o.PackSize.IsZero(), o.PackSize},
		{"steps", o.Breaks != nil, o.Breaks}, {"part by part", o.Incremental, ""}, {"certified", o.Certified, ""}, {"ready", o.ReadyStrip, ""},
		{"days", o.LeadTimeDays != 5, o.LeadTimeDays}, {"valid", !o.ValidUntil.IsZero(), o.ValidUntil.Format(time.DateOnly)}, {"on", !o.ReadyOn.IsZero(), o.ReadyOn.Format(time.DateOnly)}} {
		if f.set {
			s += strings.TrimRight(fmt.Sprintf(" %s %v", f.name, f.v), " ")
		}
	}
	return s
}

// Layouts that the corpus does not hold, or not alone. found are pieces that the findings must hold, in no order, and nothing else may be an error.
func TestLayouts(t *testing.T) {
	goods := []any{"Rotbuche", 26, 150, 2500, 650}
	for _, tt := range []struct {
		name    string
		sheet   string
		columns []ColumnMeaning
		rows    [][]any
		offers  []string
		found   []string
		errors  int
	}{
		{name: "headers down the side", rows: [][]any{
			{"Holzart", "Rotbuche", "Esche"}, {"Stärke mm", 26, 32}, {"Breite mm", 150, 160}, {"Länge mm", 2500, 3000}, {"Preis €/m³", 650, "auf Anfrage"}},
			offers: []string{"B5 beech-european 26x150x2500 650 EUR/m3"}, found: []string{`cell C5: "auf Anfrage"`}, errors: 1},
		{name: "blocks of two levels", rows: [][]any{
			{"Holzart", "Stärke mm", "Güte", "Breite mm", "Länge mm", "Preis €/m³"},
			{"Rotbuche", 26, "A", 150, 2500, 700}, {nil, nil, "B", 120, 2000, 520}, {nil, 32, "A", 150, 2500, 730},
			{"Esche", 26, "A", 150, 2500, 900}, {`"`, 32, "A", 160, 2500, 940}},
			offers: []string{"F2 beech-european 26x150x2500 700 EUR/m3 grade A", "F3 beech-european 26x120x2000 520 EUR/m3 grade B", "F4 beech-european 32x150x2500 730 EUR/m3 grade A",
				"F5 ash-european 26x150x2500 900 EUR/m3 grade A", "F6 ash-european 32x160x2500 940 EUR/m3 grade A"}},
		{name: "a blank row ends a block", rows: [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods, nil, {nil, 32, 150, 2500, 700}},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3"}, found: []string{"cell A4: no wood is named"}, errors: 1},
		{name: "a sum without a label is no offer", rows: [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods, {"Esche", 26, 150, 2500, 900}, {nil, nil, nil, nil, 1550}},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3", "E3 ash-european 26x150x2500 900 EUR/m3"}, found: []string{"cell A4: no wood is named"}, errors: 4},
		{name: "titles that change wood, then thickness", rows: [][]any{
			{"Breite mm", "Länge mm", "Preis €/m³"}, {"Rotbuche, KD 8-10 %"}, {"26 mm"}, {150, 2500, 700}, {"32 mm"}, {150, 2500, 730}, {"Esche"}, {"26 mm"}, {150, 2500, 900}},
			offers: []string{"C4 beech-european 26x150x2500 700 EUR/m3 moisture KD 8-10 %", "C6 beech-european 32x150x2500 730 EUR/m3 moisture KD 8-10 %", "C9 ash-european 26x150x2500 900 EUR/m3"}},
		{name: "an unclear title ends the wood above it", rows: [][]any{
			{"Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, {"Rotbuche"}, {26, 150, 2500, 700}, {"Ahorn"}, {26, 150, 2500, 900}, {"Zirbe"}, {26, 150, 2500, 950}},
			offers: []string{"D3 beech-european 26x150x2500 700 EUR/m3"}, found: []string{`row 5: wood "Ahorn" is not clear`, `row 7: wood "Zirbe" is not known`}, errors: 2},
		{name: "a matrix of bare thicknesses under a merged header", rows: [][]any{
			{"Holzart", "Breite mm", "Länge mm", "Preis €/m³", nil, nil}, {nil, nil, nil, "26 mm", "32 mm", "40 mm"}, {"Rotbuche", 150, 2500, 650, 680, "-"}, {"Esche", 150, 2500, nil, 900, 950}},
			offers: []string{"D3 beech-european 26x150x2500 650 EUR/m3", "E3 beech-european 32x150x2500 680 EUR/m3", "E4 ash-european 32x150x2500 900 EUR/m3", "F4 ash-european 40x150x2500 950 EUR/m3"}},
		{name: "a corner that says what its columns count", rows: [][]any{
			{"Preise EUR/m³"}, {"Holzart / Stärke mm", "Breite mm", "Länge mm", 26, 32}, {"Rotbuche", 150, 2500, 650, 680}},
			offers: []string{"D3 beech-european 26x150x2500 650 EUR/m3", "E3 beech-european 32x150x2500 680 EUR/m3"}},
		{name: "figures that count nobody knows what", rows: [][]any{
			{"Preise EUR/m³"}, {"Holzart", "Breite mm", "Länge mm", "26", "32"}, {"Rotbuche", 150, 2500, 650, 680}},
			found: []string{`"26" heads a column of prices, and nothing says what the figure counts`, `Testholz | S | 32 | price EUR/m3 32 mm`}, errors: 4},
		{name: "a base price and steps", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "from 3 m3", "from 5 m3"}, {"Rotbuche", 26, 150, 2500, 700, 680, 650}, {"Esche", 26, 150, 2500, 900, nil, 850}, {"Birke", 26, 150, 2500, 600, 610, nil}},
			offers: []string{"E2 beech-european 26x150x2500 700 EUR/m3 steps [{3 680} {5 650}]", "E3 ash-european 26x150x2500 900 EUR/m3 steps [{5 850}]", "E4 birch-silver 26x150x2500 600 EUR/m3 steps [{3 610}]"},
			found:  []string{"warning: prices.xlsx, sheet \"S\", cell F4: the price rises from 600 to 610 with the quantity"}},
		{name: "steps in packs", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "from 3 packs", "Pack m3"}, {"Rotbuche", 26, 150, 2500, 700, 650, 1.5}, {"Esche", 26, 150, 2500, 900, 850, nil}},
			offers: []string{"E2 beech-european 26x150x2500 700 EUR/m3 pack 1.5 steps [{4.5 650}]", "E3 ash-european 26x150x2500 900 EUR/m3"},
			found:  []string{`warning: prices.xlsx, sheet "S", cell F3: "from 3 packs" counts packs`}},
		{name: "a price by the pack", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/pack", "Pack m3"}, {"Rotbuche", 26, 150, 2500, 1234, "1,236"}, {"Esche", 26, 150, 2500, 900, nil}, {"Birke", 26, 150, 2500, 900, "2,5"}},
			offers: []string{"E2 beech-european 26x150x2500 998.3818770227 EUR/m3 pack 1.236", "E4 birch-silver 26x150x2500 360 EUR/m3 pack 2.5"}, found: []string{"cell E3: the price is per pack, and nothing says how much"}, errors: 1},
		{name: "random sizes rest on the grade", rows: [][]any{
			{"Wood", "Grade", "Thickness", "Width", "Length", "Price EUR/m3"}, {"White ash", "FAS", "4/4", "RW", "RL", 700}, {"White ash", "1C", "4/4", "", "", 500}, {"White ash", "rustic", "4/4", "RW", `8'`, 300}},
			offers: []string{"F2 ash-white 25.4x152.4x2438.4 700 EUR/m3 grade FAS", "F3 ash-white 25.4x76.2x1219.2 500 EUR/m3 grade 1C"}, found: []string{`width "RW" says no least figure`, "Testholz | S | * | width 120 mm"}, errors: 1},
		{name: "sizes in one cell", rows: [][]any{
			{"Wood", "Dimensions mm", "Price EUR/m3"}, {"Rotbuche", "26 x 150 x 2500", 650}, {"Esche", "32 × 100-180 × 2500-4000 mm", 900}, {"Birke", "150 x 26 x 2500", 600}, {"Birke", "26", 600}},
			offers: []string{"C2 beech-european 26x150x2500 650 EUR/m3", "C3 ash-european 32x100x2500 900 EUR/m3"}, found: []string{"cell B4: ", "cell B5: "}, errors: 2},
		{name: "what the job book says of the sheet", sheet: "Buche", columns: []ColumnMeaning{{"Buche", "*", "width 120 mm"}, {"", "*", "length 2-4 m"}, {"Buche", "*", "wood Rotbuche"}}, rows: [][]any{
			{"Stärke mm", "Preis €/m³"}, {26, 650}},
			offers: []string{"B2 beech-european 26x120x2000 650 EUR/m3"}},
		{name: "prices with tax", rows: [][]any{
			{"Preise inkl. 19 % MwSt."}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods},
			found: []string{"prices include tax"}, errors: 1},
		{name: "prices without tax", rows: [][]any{
			{"Preise zzgl. 19 % MwSt."}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods},
			offers: []string{"E3 beech-european 26x150x2500 650 EUR/m3"}},
		{name: "dates", rows: [][]any{
			{"Stand: 02.03.2027"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Liefertermin", "gültig bis"},
			{"Rotbuche", 26, 150, 2500, 650, "KW 37", "31.3.2027"}, {"Esche", 26, 150, 2500, 900, styled{46461, "dd.mm.yyyy"}, "31 mars 2027"}, {"Birke", 26, 150, 2500, 600, "3-4 Wochen", "13/4/27"}, {"Pappel", 26, 150, 2500, 400, nil, "3/4/27"}},
			offers: []string{"E3 beech-european 26x150x2500 650 EUR/m3 days 0 valid 2027-03-31 on 2027-09-17", "E4 ash-european 26x150x2500 900 EUR/m3 days 0 valid 2027-03-31 on 2027-03-15",
				"E5 birch-silver 26x150x2500 600 EUR/m3 days 28 valid 2027-04-13", "E6 poplar-hybrid 26x150x2500 400 EUR/m3 valid 2027-04-03"}},
		{name: "days from which goods are there", rows: [][]any{
			{"Stand: 02.03.2027"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Verfügbar ab"},
			{"Rotbuche", 26, 150, 2500, 650, styled{46553, "dd.mm.yyyy"}}, {"Esche", 26, 150, 2500, 900, "15.6.2027"}, {"Birke", 26, 150, 2500, 600, "KW 37"}, {"Pappel", 26, 150, 2500, 400, "sofort"},
			{"Balsa", 26, 150, 2500, 900, "Juni"}, {"Rotbuche", 28, 150, 2500, 800, 12}, {"Robinie", 26, 150, 2500, 800, nil}},
			offers: []string{"E3 beech-european 26x150x2500 650 EUR/m3 on 2027-06-15", "E4 ash-european 26x150x2500 900 EUR/m3 on 2027-06-15", "E5 birch-silver 26x150x2500 600 EUR/m3 on 2027-09-17",
				"E6 poplar-hybrid 26x150x2500 400 EUR/m3", "E7 balsa 26x150x2500 900 EUR/m3", "E8 beech-european 28x150x2500 800 EUR/m3", "E9 locust-black 26x150x2500 800 EUR/m3"},
			found: []string{`cell F7: "Juni" is not understood as a day or a week; the line counts as available at once, with 5 days to deliver; write the date as 2027-03-15`, `cell F8: "12" is not understood`}},
		{name: "days among quantities", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Available m3", "Min qty m3"},
			{"Rotbuche", 26, 150, 2500, 650, styled{46553, "yyyy-mm-dd"}, 1}, {"Esche", 26, 150, 2500, 900, "2027-06-15", 1}, {"Birke", 26, 150, 2500, 600, 4.5, styled{46553, "yyyy-mm-dd"}}, {"Pappel", 26, 150, 2500, 600, "3/4/27", 1}},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3 min 1 on 2027-06-15", "E3 ash-european 26x150x2500 900 EUR/m3 min 1 on 2027-06-15", "E4 birch-silver 26x150x2500 600 EUR/m3 available 4.5", "E5 poplar-hybrid 26x150x2500 600 EUR/m3 min 1"},
			found:  []string{"cell G4: min quantity: the cell holds a date, and none is taken", `cell F5: "3/4/27" does not say which figure is the month`}},
		{name: "a lead time and a day", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Lead time days", "Available from"}, {"Rotbuche", 26, 150, 2500, 650, 30, "2027-06-15"}, {"Esche", 26, 150, 2500, 900, "2027-07-01", "2027-06-15"}},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3 days 30 on 2027-06-15", "E3 ash-european 26x150x2500 900 EUR/m3 days 0 on 2027-07-01"}},
		{name: "states of drying", rows: [][]any{
			{"Kammergetrocknet 8-10 %"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³", "Trocknung"},
			{"Rotbuche", 26, 150, 2500, 650, nil}, {"Rotbuche", 27, 150, 2500, 650, "frisch eingeschnitten"}, {"Rotbuche", 28, 150, 2500, 650, "lufttrocken, max. 18 %"}, {"Rotbuche", 29, 150, 2500, 650, 12},
			{"Rotbuche", 30, 150, 2500, 650, "gedämpft"}, {"Rotbuche", 31, 150, 2500, 650, "handwarm"}, {"Rotbuche", 32, 150, 2500, 650, "> 20 %"}, {"Rotbuche", 33, 150, 2500, 650, styled{0.14, "0 %"}}, {"Rotbuche", 34, 150, 2500, 650, 0.45}},
			offers: []string{"E3 beech-european 26x150x2500 650 EUR/m3 moisture KD 8-10 %", "E4 beech-european 27x150x2500 650 EUR/m3 moisture green", "E5 beech-european 28x150x2500 650 EUR/m3 moisture AD 18 %",
				"E6 beech-european 29x150x2500 650 EUR/m3 moisture 12 %", "E7 beech-european 30x150x2500 650 EUR/m3 moisture KD 8-10 %", "E8 beech-european 31x150x2500 650 EUR/m3", "E9 beech-european 32x150x2500 650 EUR/m3",
				"E10 beech-european 33x150x2500 650 EUR/m3 moisture 14 %", "E11 beech-european 34x150x2500 650 EUR/m3 moisture 45 %"},
			found: []string{`cell F8: "handwarm" is not understood as a state of drying, and the line's moisture counts as not stated`, `cell F9: "> 20 %"`}},
		{name: "a block with its own unit", rows: [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods, {"Preise in EUR je m²"}, {"Balsa", 10, 600, 1200, 25}},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3", "E4 balsa 10x600x1200 25 EUR/m2"}},
		{name: "two prices in one cell", rows: [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, {"Rotbuche", 26, 150, 2500, "700\n650"}},
			found: []string{"two prices, one below the other"}, errors: 1},
		{name: "of two currencies the supplier's own", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "USD/m3", "EUR/m3"}, {"Rotbuche", 26, 150, 2500, 700, 650}},
			offers: []string{"F2 beech-european 26x150x2500 650 EUR/m3"}, found: []string{"warning: prices.xlsx, sheet \"S\", cell E1: the prices under \"USD/m3\" are not used"}},
		{name: "dates in headers", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3 until 31.3.", "Price EUR/m3 from 1.4."}, {"Rotbuche", 26, 150, 2500, 700, 650}},
			found: []string{"both name the price", "Testholz | S | Price EUR/m3 from 1.4. | ignore"}, errors: 1},
		{name: "headers of one name", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 700, 650}},
			found: []string{"Testholz | S | F1 | ignore"}, errors: 1},
		{name: "headers of one name, settled by the cell", columns: []ColumnMeaning{{"S", "F1", "ignore"}}, rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 700, 650}},
			offers: []string{"E2 beech-european 26x150x2500 700 EUR/m3"}},
		{name: "figures that count what the job book says", columns: []ColumnMeaning{{"S", "26", "price EUR/m3 26 mm"}, {"S", "32", "price EUR/m3 32 mm"}}, rows: [][]any{
			{"Holzart", "Breite mm", "Länge mm", "26", "32"}, {"Rotbuche", 150, 2500, 650, 680}},
			offers: []string{"D2 beech-european 26x150x2500 650 EUR/m3", "E2 beech-european 32x150x2500 680 EUR/m3"}},
		{name: "years", rows: [][]any{
			{"Preise EUR/m³"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", 2026, 2027}, {"Rotbuche", 26, 150, 2500, 650, 680}},
			found: []string{`"2026" heads a column of prices and looks like a year`}, errors: 3},
		{name: "grades of one letter", rows: [][]any{
			{"Preise EUR/m³"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "A", "B", "C"}, {"Rotbuche", 26, 150, 2500, 650, 600, 400}},
			offers: []string{"E3 beech-european 26x150x2500 650 EUR/m3 grade A", "F3 beech-european 26x150x2500 600 EUR/m3 grade B", "G3 beech-european 26x150x2500 400 EUR/m3 grade C"}},
		{name: "sold out in a column without a header", rows: [][]any{
			{"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, goods, append(slices.Clone(goods), "ausverkauft")},
			offers: []string{"E2 beech-european 26x150x2500 650 EUR/m3"}, found: []string{`cell F3: the line says "ausverkauft"`}, errors: 1},
		{name: "a lone text ends the wood", rows: [][]any{
			{"Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, {"Rotbuche"}, {26, 150, 2500, 700}, {"Restposten"}, {26, 150, 2500, 300}},
			offers: []string{"D3 beech-european 26x150x2500 700 EUR/m3"}, found: []string{`row 5: wood "Restposten" is not known, as the title in A4 says`}, errors: 1},
		{name: "an old list", rows: [][]any{
			{"UNGÜLTIG - ersetzt durch Liste 18"}, {"Holzart", "Stärke mm", "Breite mm", "Länge mm", "Preis €/m³"}, {"Rotbuche", 150, 26, 2500, 650}},
			offers: []string{"E3 beech-european 150x26x2500 650 EUR/m3"}, found: []string{"cell A1: the title", "row 3: the thickness exceeds the width"}},
		{name: "formulas", rows: [][]any{
			{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3", nil, 1.1}, {"Rotbuche", 26, 150, 2500, withFormula{"ROUND(600*$G$1,-1)", nil}}, {"Rotbuche", 27, 150, 2500, withFormula{"E2*2", nil}},
			{"Rotbuche", 28, 150, 2500, withFormula{"E5+1", nil}}, {"Rotbuche", 29, 150, 2500, withFormula{"E4+1", nil}}, {"Rotbuche", 30, 150, 2500, withFormula{"NOW()", nil}}, {"Rotbuche", 31, 150, 2500, withFormula{"[1]S!A1", nil}}},
			offers: []string{"E2 beech-european 26x150x2500 660 EUR/m3", "E3 beech-european 27x150x2500 1320 EUR/m3"}, found: []string{"2 were reckoned here", "cell E4: the formula", "cell E5: the formula", "cell E6: the formula", "cell E7: the formula"}, errors: 4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			src := testSource
			src.Columns = tt.columns
			if tt.sheet == "" {
				tt.sheet = "S"
			}
			offers, rows, found := ReadOffers(bytes.NewReader(workbookOf(t, testSheet{name: tt.sheet, rows: tt.rows})), src)
			checkLaws(t, src, offers, rows, found)
			var got []string
			for _, o := range offers {
				got = append(got, brief(o))
			}
			if !slices.Equal(got, tt.offers) || len(found.Errors()) != tt.errors {
				t.Errorf("offers\n%s\nwant\n%s\n%d errors, want %d, of\n%s", strings.Join(got, "\n"), strings.Join(tt.offers, "\n"), len(found.Errors()), tt.errors, found)
			}
			for _, f := range tt.found {
				if !strings.Contains(found.String(), f) {
					t.Errorf("no finding says %q:\n%s", f, found)
				}
			}
		})
	}
}

// A text file in the encodings and with the marks that programs use.
func TestTextFiles(t *testing.T) {
	lines := []string{"Preisliste (erfunden)", "", "Holzart;Stärke mm;Breite mm;Länge m;Preis €/m³", `"Weißbuche, nein";26;150;2,5;650,00`, `"Rotbuche
(gedämpft)";26;150;2,5;1.650,00`, "Esche;26;150;2,5;900,50"}
	want := []string{"E5 beech-european 26x150x2500 1650 EUR/m3", "E6 ash-european 26x150x2500 900.5 EUR/m3"}
	utf := strings.Join(lines, "\r\n") + "\r\n"
	windows := strings.NewReplacer("ä", "\xe4", "ß", "\xdf", "€", "\x80", "³", "\xb3").Replace(utf)
	var utf16 []byte
	for _, r := range "\ufeff" + strings.ReplaceAll(utf, ";", "\t") {
		utf16 = append(utf16, byte(r), byte(r>>8))
	}
	for name, data := range map[string][]byte{"UTF-8": []byte(utf), "with mark": []byte("\ufeff" + utf), "Windows-1252": []byte(windows), "UTF-16": utf16,
		"comma": []byte(strings.NewReplacer("2,5", `"2,5"`, ",00", ".00", "900,50", "900.50", "1.650", "1650", ";", ",").Replace(utf)), "named mark": []byte("sep=;\r\n" + utf)} {
		offers, rows, found := ReadOffers(bytes.NewReader(data), testSource)
		checkLaws(t, testSource, offers, rows, found)
		if len(offers) != 2 || brief(offers[0]) != want[0] || brief(offers[1]) != want[1] {
			t.Errorf("%s: %v\n%s", name, offers, found)
		}
	}
}

// rezip writes a workbook anew with one part changed.
func rezip(tb testing.TB, data []byte, change func(name string, part []byte) []byte) []byte {
	tb.Helper()
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		tb.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range r.File {
		in, err := f.Open()
		if err != nil {
			tb.Fatal(err)
		}
		part, err := io.ReadAll(in)
		if err != nil {
			tb.Fatal(err)
		}
		to, err := w.Create(f.Name)
		if err != nil {
			tb.Fatal(err)
		}
		if _, err := to.Write(change(f.Name, part)); err != nil {
			tb.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		tb.Fatal(err)
	}
	return out.Bytes()
}

// Files made to exhaust their reader are refused, or read in bounded time and memory; whatever happens, it is said.
func TestHostileFiles(t *testing.T) {
	good := workbookOf(t, testSheet{name: "S", rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 650}}})
	inSheet := func(xml string) []byte {
		return rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return []byte(strings.Replace(string(part), "</sheetData>", xml+"</sheetData>", 1))
			}
			return part
		})
	}
	long := workbookOf(t, testSheet{name: "S", rows: [][]any{{strings.Repeat("x", 32_000)}}})
	doubling := [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}, {"Rotbuche", 26, 150, 2500, 1}}
	for i := range 200 { // each formula twice the one above it: by value in no time, by descent in 2²⁰⁰ steps
		doubling = append(doubling, []any{"Rotbuche", 26, 150, 2500, withFormula{fmt.Sprintf("E%d+E%d", i+2, i+2), nil}})
	}
	for _, tt := range []struct {
		name string
		data []byte
		want string
	}{
		{"a part of styles too large", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/styles.xml" {
				return append(part, bytes.Repeat([]byte(" "), maxPartBytes)...)
			}
			return part
		}), "larger than"},
		{"millions of empty texts", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/sharedStrings.xml" {
				return []byte("<sst>" + strings.Repeat("<si/>", maxSharedTexts+1) + "</sst>")
			}
			return part
		}), "more text than a price list can"},
		{"one long text in every cell", rezip(t, long, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return []byte(`<worksheet><sheetData>` + strings.Repeat(`<row><c t="s"><v>0</v></c></row>`, 5000) + `</sheetData></worksheet>`)
			}
			return part
		}), "more than a price sheet can"},
		{"text that is not there", inSheet(`<row r="9"><c r="A9" t="s"><v>99</v></c></row>`), "text number"},
		{"rows out of order", inSheet(`<row r="1"><c r="A1"><v>1</v></c></row>`), "out of order"},
		{"cut short", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return part[:len(part)-30]
			}
			return part
		}), "cannot be read"},
		{"an entity of one's own", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return []byte(`<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&a;</v></c></row></sheetData></worksheet>`)
			}
			return part
		}), "cannot be read"},
		{"entities that double", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return []byte(`<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&b;</v></c></row></sheetData></worksheet>`)
			}
			return part
		}), "cannot be read"},
		{"an entity from a file", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/sharedStrings.xml" {
				return []byte(`<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><sst><si><t>&a;</t></si></sst>`)
			}
			return part
		}), "shared strings are damaged"},
		{"unpacked too large", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return bytes.Repeat([]byte(" "), maxUnzipBytes+1)
			}
			return part
		}), "larger than 128 MB"},
		{"larger than it says", claiming(inSheet(strings.Repeat(" ", 1<<20)), "xl/worksheets/sheet1.xml", 1000), "is damaged"},
		{"another checksum", changedChecksum(good, "xl/worksheets/sheet1.xml"), "checksum"},
		{"no end of relations", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/_rels/workbook.xml.rels" {
				return []byte("<Relationships>" + strings.Repeat("<Relationship/>", maxRelsBytes/15) + "</Relationships>")
			}
			return part
		}), "larger than 512 kB"},
		{"no end of sheets", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/workbook.xml" {
				return []byte(`<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheets>` + strings.Repeat(`<sheet name="x"/>`, maxSheets+1) + "</sheets></workbook>")
			}
			return part
		}), "more than 200"},
		{"a sheet with a name without end", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/workbook.xml" {
				return []byte(strings.Replace(string(part), `name="S"`, `name="`+strings.Repeat("S&#10;&#x202e;", 50_000)+`"`, 1))
			}
			return part
		}), "a sheet's name"},
		{"nested deeply", inSheet(strings.Repeat("<x>", 300_000) + strings.Repeat("</x>", 300_000) + `<row r="9"><c r="A9"><v>1</v></c></row>`), "cell A9"},
		{"formulas in a ring", workbookOf(t, testSheet{name: "S", rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", 26, 150, 2500, withFormula{"E3+1", nil}}, {"Rotbuche", 27, 150, 2500, withFormula{"E2+1", nil}}, {"Rotbuche", 28, 150, 2500, withFormula{"E4", nil}}}}), "no stored value"},
		{"formulas that reach out", workbookOf(t, testSheet{name: "S", rows: [][]any{{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"},
			{"Rotbuche", 26, 150, 2500, withFormula{`WEBSERVICE("http://example.org")`, nil}}, {"Rotbuche", 27, 150, 2500, withFormula{"[1]S!E2", nil}},
			{"Rotbuche", 28, 150, 2500, withFormula{`HYPERLINK("http://example.org",1)`, nil}}, {"Rotbuche", 29, 150, 2500, withFormula{`INDIRECT("E2")`, nil}}}}), "no stored value"},
		{"merged from end to end", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet1.xml" {
				return []byte(strings.Replace(string(part), "</sheetData>", `</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>`, 1))
			}
			return part
		}), ""},
		{"formulas that double", workbookOf(t, testSheet{name: "S", rows: doubling}), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			offers, rows, found := ReadOffers(bytes.NewReader(tt.data), testSource)
			checkLaws(t, testSource, offers, rows, found)
			if len(found) == 0 || !strings.Contains(found.String(), tt.want) {
				t.Errorf("no finding says %q: %v", tt.want, found)
			}
		})
	}
}

// claiming is a workbook whose directory says another size of a part, and changedChecksum one with another checksum there.
func claiming(data []byte, part string, size uint32) []byte {
	return inDirectory(data, part, 24, binary.LittleEndian.AppendUint32(nil, size))
}

func changedChecksum(data []byte, part string) []byte {
	return inDirectory(data, part, 16, []byte{1, 2, 3, 4})
}

// inDirectory writes into the entry of a part in a zip file's central directory (APPNOTE 4.3.12: checksum at 16, size at 24, name at 46).
func inDirectory(data []byte, part string, at int, b []byte) []byte {
	data = bytes.Clone(data)
	for i := range len(data) - 46 {
		if bytes.HasPrefix(data[i:], []byte("PK\x01\x02")) && bytes.HasPrefix(data[i+46:], []byte(part)) {
			copy(data[i+at:], b)
		}
	}
	return data
}

// junk is what fills long sheets of nothing but junk. Every limit on the work that one file can ask for has a sheet that goes beyond it;
// data is how many of so many lines are read as goods, and want what a finding says then.
var junk = []struct {
	name  string
	lines int
	row   func(i int) []any
	data  func(lines int) int
	want  string
}{
	{"unknown woods", maxUnknown + 100, func(i int) []any { return []any{fmt.Sprintf("Holz der Sorte %d", i), 26, 150, 2500, 650} },
		func(lines int) int { return lines }, fmt.Sprintf("more than %d names", maxUnknown)},
	{"titles", 500, func(i int) []any { return []any{fmt.Sprintf("maple birch %d ash hard beech white red %d", i, i)} },
		func(lines int) int { return lines }, "taken for a note"},
	// The first line below the sheet's own head is read as goods, and all below the last table that is looked for.
	{"headers", maxTables + 200, func(i int) []any {
		return []any{"Wood", fmt.Sprintf("Thickness %d", i), "Width mm", "Length mm", fmt.Sprintf("Price from %d m3 of this and that", i)}
	}, func(lines int) int { return lines - maxTables - 1 }, "lines are not read"},
}

func junkSheet(tb testing.TB, lines int, row func(i int) []any) []byte {
	tb.Helper()
	f := excelize.NewFile()
	defer f.Close()
	return fill(tb, f, lines+1, func(i int) []any {
		if i == 0 {
			return []any{"Wood", "Thickness mm", "Width mm", "Length mm", "Price EUR/m3"}
		}
		return row(i - 1)
	})
}

// A long sheet of junk gives no offer, every line of goods in it is answered by a finding, and the work on it ends where a file of
// goods would never come.
func TestLongJunk(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	for _, j := range junk {
		t.Run(j.name, func(t *testing.T) {
			offers, rows, found := ReadOffers(bytes.NewReader(junkSheet(t, j.lines, j.row)), testSource)
			checkLaws(t, testSource, offers, rows, found)
			if n := j.data(j.lines); len(offers) != 0 || rows != (Rows{Data: n, Findings: n}) {
				t.Errorf("%d offers, %+v; want %d lines that are findings", len(offers), rows, n)
			}
			if !strings.Contains(found.String(), j.want) {
				t.Errorf("none of %d findings says %q", len(found), j.want)
			}
		})
	}
}

// BenchmarkLongJunk reads junk of 1000 and of 8000 lines: the time for a line (us/line) must not grow with the sheet.
func BenchmarkLongJunk(b *testing.B) {
	for _, j := range junk {
		for _, lines := range []int{1000, 8000} {
			b.Run(fmt.Sprintf("%s/%d", j.name, lines), func(b *testing.B) {
				data := junkSheet(b, lines, j.row)
				for b.Loop() {
					ReadOffers(bytes.NewReader(data), testSource)
				}
				b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(lines), "us/line")
			})
		}
	}
}
