package report

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"
)

// Names of sheets, tables and headings made from anything are such as spreadsheet programs take (ECMA-376 part 1, 18.2.19, 18.5.1.2,
// and the limits that Excel documents), and differ.
func TestWorkbookNames(t *testing.T) {
	words := append([]string{"", "History", "'quoted'", "a/b:c*d?e[f]g\\h", "Sheet", "sheet", "SHEET", strings.Repeat("木", 40), strings.Repeat("👩‍🚒", 20), "R1C1", "A1", "_"}, hostileTexts...)
	words = append(words, words...) // each twice
	var book bytes.Buffer
	sheets, tables := map[string]bool{}, map[string]bool{}
	legal := regexp.MustCompile(`^Table_[A-Za-z0-9_]*$`)
	err := writeWorkbook(&book, "names", func(b *workbook) {
		for _, w := range words {
			sheet := b.sheetName(w)
			if n := len(utf16.Encode([]rune(sheet))); n == 0 || n > 31 || strings.ContainsAny(sheet, `[]:*?/\`) || strings.Trim(sheet, "'") != sheet || strings.EqualFold(sheet, "history") {
				t.Errorf("%.20q: a sheet must not be called %q", w, sheet)
			}
			if sheets[strings.ToLower(sheet)] {
				t.Errorf("%.20q: there is another sheet %q", w, sheet)
			}
			sheets[strings.ToLower(sheet)] = true
			b.sheet(sheet, false)
			b.table(sheet, 1, 1, []field{{head: w, width: 10}, {head: w, width: 10}, {head: strings.ToUpper(w), width: 10}}, [][]any{{w, 1, nil}}, nil)
			b.freeze(sheet, 1, 1)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	f := open(t, book.Bytes())
	if n := len(f.GetSheetList()); n != len(words) {
		t.Errorf("%d sheets, want %d", n, len(words))
	}
	for i, sheet := range f.GetSheetList() {
		got, err := f.GetTables(sheet)
		if err != nil || len(got) != 1 {
			t.Fatalf("%q: tables %v, %v", sheet, got, err)
		}
		name := got[0].Name
		if !legal.MatchString(name) || tables[strings.ToLower(name)] {
			t.Errorf("%q: a table must not be called %q", sheet, name)
		}
		tables[strings.ToLower(name)] = true
		heads := map[string]bool{}
		for col := 1; col <= 3; col++ {
			head, err := f.GetCellValue(sheet, cellName(col, 1))
			if err != nil || head == "" || heads[strings.ToLower(head)] || strings.Contains(head, "\n") {
				t.Errorf("%q: a heading must not be %q, %v", sheet, head, err)
			}
			heads[strings.ToLower(head)] = true
		}
		if got, err := f.GetCellValue(sheet, "A2", excelize.Options{RawCellValue: true}); err != nil || got != cellText(words[i]) {
			t.Errorf("the cell holds %q, want %q, %v", got, words[i], err)
		}
	}
}

// Text stands in its cell as it was written, if a cell can hold it.
func TestCellText(t *testing.T) {
	for _, text := range []string{"=1+1", "two  spaces ", " in\tfront", "line\nbreak", "a\u202eb", "_x0041_ _x000D_", "_x0041_x0042_", "_x005F_", "שלום", "👩‍🚒", "a&b<c>\"'", strings.Repeat("x", 32767), "'quoted"} {
		var book bytes.Buffer
		err := writeWorkbook(&book, "text", func(b *workbook) {
			b.sheet("Text", false)
			b.words("Text", 1, 1, text, b.textStyle(false, false))
		})
		if err != nil {
			t.Fatal(err)
		}
		f := open(t, book.Bytes())
		if got, err := f.GetCellValue("Text", "A1", excelize.Options{RawCellValue: true}); err != nil || got != text {
			t.Errorf("%.40q reads back as %.40q, %v", text, got, err)
		}
		if formula, err := f.GetCellFormula("Text", "A1"); err != nil || formula != "" {
			t.Errorf("%.40q is a formula %q, %v", text, formula, err)
		}
	}
	for text, want := range map[string]string{"nul\x00\x1b[31m": "nul  [31m", "\xff": " ", "a\r\nb": "a\nb", strings.Repeat("x", 40000): strings.Repeat("x", 32767),
		"x" + strings.Repeat("👩", 20000): "x" + strings.Repeat("👩", 16383)} {
		if got := cellText(text); got != want {
			t.Errorf("%.40q: %.40q, want %.40q", text, got, want)
		}
	}
}
