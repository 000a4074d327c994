package sourcing

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// hostileTexts are what a cell should not hold: what breaks a line, steers a terminal, turns letters about, or is too long to repeat.
var hostileTexts = []string{
	"a\nb", "a\r\nb", "6'>Unit\n", `6'>Unit">unit`, "6' 1.250", "2.500\nm\nx", "\x1b[31mred\x1b[0m", "a\tb\vc\fd", "\u202e12 mm", "1\u200b2 \u2066mm\u2069", "\u2028", "a\u2029b", "\u0085x", "\ufeff26",
	"\u00ad", "_x0000_", "_x001B_[2J26 mm", "_x202E_26", "_xD83D_", "_x000D__x000A_", `"`, `"""" "`, `'"'`, "\\n", "%s%d%!q(x)", "&#10;", "<b>26</b>", `=HYPERLINK("http://example.org","26")`, "@SUM(1)", "#REF!\n#N/A",
	"1\n2", "895\n900", "FSC\nPEFC", "ab 5\nm³", "3/4/25\n", "KW 37\n38", "\U000e0041\U000e0042", "e\u0301\u0301\u0301\u0301", "ﷺ", "٢٦ mm", "１０ ｍｍ",
}

// longTexts are as long as a cell of a spreadsheet program can be, and longer.
var longTexts = []string{
	strings.Repeat("a", 32_767), strings.Repeat(`"`, 32_767), strings.Repeat("9", 32_767), strings.Repeat("1,", 16_000), strings.Repeat("€ ", 16_000), strings.Repeat("\n", 100) + "x" + strings.Repeat("\n", 30_000) + "y",
	strings.Repeat("Buche / ", 4_000), strings.Repeat("100-", 8_000) + "200 mm", strings.Repeat("(", 32_767), strings.Repeat("_x000A_", 4_000), strings.Repeat("ﷺ", 10_000), strings.Repeat("\u202e", 30_000),
}

// Whatever a cell holds, wherever it stands, what is said of it is fit to print, short, and nothing is dropped; one table has every kind of column.
func TestHostileTexts(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	rows := [][]any{
		{"Invented Lumber, prices valid 2027", "net"},
		{"Holzart", "Grade", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³", "ab 5 m³", "Mindestmenge m³", "Bestand m³", "Paket (Stk)", "FSC", "Lieferzeit", "gültig bis", "Feuchte", "Form", "Einheit", "Bemerkung", "Item no."},
		{"Rotbuche", "A", "26", "150", "2,5", "650,00", "600", "0,5", "12,4", "120", "ja", "10 Tage", "2027-03-15", "KD", "Bretter", "m³", "gesund", "A-1"},
		{"Esche", "B", "32", "100-180", "2-4", "1050,-", "990", "1", "3", "60", "nein", "KW 37/2027", "31.12.2027", "AD", "Bretter", "m³", "", "A-2"},
	}
	read := func(name string, rows [][]any, forms ...string) {
		for _, form := range forms {
			data := textOf(t, rows)
			if form == "xlsx" {
				data = workbookOf(t, testSheet{name: "Liste", rows: rows})
			}
			offers, counted, found := ReadOffers(bytes.NewReader(data), testSource)
			checkLaws(t, testSource, offers, counted, found)
			if t.Failed() {
				t.Fatalf("%s of a %s", name, form)
			}
		}
	}
	var mixed [][]any // every text somewhere
	for c := range rows[1] {
		var lines [][]any
		for i, s := range hostileTexts {
			alone, after := replaced(rows[2], c, s), replaced(rows[3], c, fmt.Sprint(rows[3][c], " ", s))
			if i%3 == c%3 { // every text in every kind of column would take long
				lines = append(lines, alone, after)
			}
			if i%len(rows[1]) == c {
				mixed = append(mixed, alone, after)
			}
		}
		read("column "+fmt.Sprint(rows[1][c]), slices.Concat(rows, lines), "csv")
	}
	for i, s := range longTexts {
		mixed = append(mixed, replaced(rows[2], i, s), replaced(rows[3], 5+i, fmt.Sprint(rows[3][5+i], " ", s)))
	}
	read("every line", slices.Concat(rows, mixed), "csv", "xlsx")
	titles := slices.Clone(rows)
	for i, s := range slices.Concat(hostileTexts, longTexts[:3]) {
		c := i % len(rows[1])
		header := s
		if i%2 == 0 {
			header = fmt.Sprint(rows[1][c], " ", s)
		}
		read(fmt.Sprintf("the header %.60q (%d bytes)", header, len(header)), [][]any{rows[0], replaced(rows[1], c, header), rows[2], rows[3]}, "csv")
		titles = slices.Concat([][]any{{s}}, titles, [][]any{{"Rotbuche " + s}, rows[3], {nil, s}, rows[3], {"Preise in EUR " + s}})
	}
	read("every title", titles, "csv", "xlsx")
}

// Every character there is comes out as its category in Unicode says.
func TestPrintable(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		want := string(r)
		switch {
		case unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp):
			want = " "
		case unicode.Is(unicode.Cf, r):
			want = ""
		}
		if got := Printable(string(r)); got != want {
			t.Fatalf("U+%04X becomes %q, want %q", r, got, want)
		}
	}
	if got := Printable("a\xffb\xc3"); got != "a\ufffdb\ufffd" {
		t.Errorf("bytes that are no letter become %q", got)
	}
}

// textOf is rows as a text file of fields.
func textOf(t *testing.T, rows [][]any) []byte {
	t.Helper()
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.Comma = ';'
	for _, row := range rows {
		fields := make([]string, len(row))
		for i, v := range row {
			if v != nil {
				fields[i] = fmt.Sprint(v)
			}
		}
		if err := w.Write(fields); err != nil {
			t.Fatal(err)
		}
	}
	w.Flush()
	return b.Bytes()
}

func replaced(row []any, col int, text string) []any {
	row = slices.Clone(row)
	row[col] = text
	return row
}
