package report

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
)

func frontBook(t testing.TB, r *optimize.FrontResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return FrontWorkbook(b, r) })
}

func checkBook(t testing.TB, c *optimize.CheckResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return CheckWorkbook(b, c) })
}

func open(t testing.TB, book []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(book))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// eachCell calls visit for every cell that holds something, sheet by sheet, row by row.
func eachCell(t testing.TB, f *excelize.File, visit func(sheet, name, value string, kind excelize.CellType)) {
	t.Helper()
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, value := range row {
				if value == "" {
					continue
				}
				name := cellName(j+1, i+1)
				kind, err := f.GetCellType(sheet, name)
				if err != nil {
					t.Fatal(err)
				}
				visit(sheet, name, value, kind)
			}
		}
	}
}

var chartRange = regexp.MustCompile(`<(?:c:)?(tx|xVal|yVal)>.*?<(?:c:)?f>([^<]*)</`)

// dump is a workbook as text: cells with their number formats, tables, panes, and what the charts draw.
func dump(t testing.TB, book []byte) []byte {
	t.Helper()
	f := open(t, book)
	var b bytes.Buffer
	last := ""
	eachCell(t, f, func(sheet, name, value string, kind excelize.CellType) {
		if sheet != last {
			last = sheet
			fmt.Fprintf(&b, "=== %s\n", sheet)
			tables, err := f.GetTables(sheet)
			if err != nil {
				t.Fatal(err)
			}
			for _, table := range tables {
				fmt.Fprintf(&b, "table %s\n", table.Range)
			}
			panes, err := f.GetPanes(sheet)
			if err != nil {
				t.Fatal(err)
			}
			if panes.Freeze {
				fmt.Fprintf(&b, "frozen above and left of %s\n", panes.TopLeftCell)
			}
		}
		format := ""
		if kind != excelize.CellTypeSharedString {
			id, err := f.GetCellStyle(sheet, name)
			if err != nil {
				t.Fatal(err)
			}
			style, err := f.GetStyle(id)
			if err != nil {
				t.Fatal(err)
			}
			format = " number"
			if style.CustomNumFmt != nil {
				format += " as " + *style.CustomNumFmt
			}
		}
		fmt.Fprintf(&b, "%s%s: %s\n", name, format, strings.ReplaceAll(value, "\n", " / "))
	})
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range z.File {
		if strings.HasPrefix(part.Name, "xl/charts/") {
			fmt.Fprintf(&b, "=== %s\n", part.Name)
			for _, m := range chartRange.FindAllSubmatch(partOf(t, part), -1) {
				fmt.Fprintf(&b, "%s %s\n", m[1], m[2])
			}
		}
	}
	return b.Bytes()
}

// checkSelfContained holds a workbook to showing what it holds: no formula, no link, nothing from another file, nothing that runs.
func checkSelfContained(t testing.TB, what string, book []byte) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range z.File {
		if name := strings.ToLower(f.Name); strings.Contains(name, "externallink") || strings.HasSuffix(name, ".bin") {
			t.Errorf("%s holds %s", what, f.Name)
		}
		part := partOf(t, f)
		for _, not := range []string{`TargetMode="External"`, "<hyperlink", "<f>", "<f ", "<ddeLink", "<oleLink"} {
			if strings.HasPrefix(f.Name, "xl/charts/") && strings.HasPrefix(not, "<f") {
				continue // where a series' figures stand
			}
			if bytes.Contains(part, []byte(not)) {
				t.Errorf("%s: part %s has %s", what, f.Name, not)
			}
		}
	}
}

func partOf(t testing.TB, part *zip.File) []byte {
	t.Helper()
	r, err := part.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	data, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func TestWorkbookGolden(t *testing.T) {
	golden(t, "report-front.xlsx.txt", dump(t, frontBook(t, sampleFront(t))))
	golden(t, "report-check.xlsx.txt", dump(t, checkBook(t, sampleCheck(t))))
	golden(t, "report-infeasible.xlsx.txt", dump(t, frontBook(t, sampleInfeasible(t))))
}

func TestWorkbookIsTheSameTwice(t *testing.T) {
	for range 5 { // map order shows in one of a few tries
		if !bytes.Equal(frontBook(t, sampleFront(t)), frontBook(t, sampleFront(t))) {
			t.Fatal("equal fronts, different workbooks")
		}
		if !bytes.Equal(checkBook(t, sampleCheck(t)), checkBook(t, sampleCheck(t))) {
			t.Fatal("equal layouts, different workbooks")
		}
	}
	z, err := zip.NewReader(bytes.NewReader(frontBook(t, sampleFront(t))), int64(len(frontBook(t, sampleFront(t)))))
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range z.File {
		if !part.Modified.IsZero() && part.Modified.Year() > 1980 {
			t.Errorf("%s carries a time: %v", part.Name, part.Modified)
		}
	}
}

// Charts draw cells that hold numbers, and are named by cells that hold text.
func TestChartsDrawWhatIsThere(t *testing.T) {
	for name, book := range map[string][]byte{"sample": frontBook(t, sampleFront(t)), "bare": frontBook(t, sampleBare(t)), "long": frontBook(t, sampleLong(t, 300)),
		"match": matchBook(t, sampleMatch(t))} {
		f := open(t, book)
		ranges := 0
		for line := range strings.Lines(string(dump(t, book))) {
			what, where, _ := strings.Cut(strings.TrimSpace(line), " ")
			sheet, cells, ok := strings.Cut(where, "!")
			if !slices.Contains([]string{"tx", "xVal", "yVal"}, what) || !ok {
				continue
			}
			ranges++
			from, to, _ := strings.Cut(strings.ReplaceAll(cells, "$", ""), ":")
			if to == "" {
				to = from
			}
			col, row, err := excelize.CellNameToCoordinates(from)
			if err != nil {
				t.Fatal(err)
			}
			_, last, err := excelize.CellNameToCoordinates(to)
			if err != nil {
				t.Fatal(err)
			}
			filled := 0
			for ; row <= last; row++ {
				v, err := f.GetCellValue(sheet, cellName(col, row), excelize.Options{RawCellValue: true})
				if err != nil {
					t.Fatal(err)
				}
				if _, err := strconv.ParseFloat(v, 64); (err == nil) == (what == "tx") && v != "" {
					t.Errorf("%s: %s of %s holds %q", name, what, where, v)
				}
				if v != "" {
					filled++
				}
			}
			if filled == 0 {
				t.Errorf("%s: %s draws empty cells %s", name, what, where)
			}
		}
		if ranges < 12 {
			t.Errorf("%s: only %d ranges drawn", name, ranges)
		}
	}
}

// The numbers of the Front sheet are the result's.
func TestWorkbookNumbers(t *testing.T) {
	r := sampleLong(t, 300)
	f := open(t, frontBook(t, r))
	rows, err := f.GetRows("Front", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 301 {
		t.Fatalf("%d rows", len(rows))
	}
	for i, pt := range r.Points {
		for j, want := range map[int]float64{0: float64(pt.ID), 1: pt.CoreMassG, 2: pt.EINM2, 5: pt.Cost.InexactFloat64()} {
			if got, err := strconv.ParseFloat(rows[i+1][j], 64); err != nil || roundTo(got, 6) != roundTo(want, 6) {
				t.Errorf("row %d, %s: %q, want %v", i+2, rows[0][j], rows[i+1][j], want)
			}
		}
	}
	stations, err := f.GetRows("Stations")
	if err != nil {
		t.Fatal(err)
	}
	if want := 1 + 300*len(r.Program.Board.Stations); len(stations) != want {
		t.Errorf("%d rows of stations, want %d", len(stations), want)
	}
}

// What a user typed is text, whatever it begins with, and no cell is a formula.
func TestWorkbookTakesNoTextForAFormula(t *testing.T) {
	for _, text := range hostileTexts {
		r := sampleHostile(t, text)
		for name, book := range map[string][]byte{
			"front": frontBook(t, r),
			"check": checkBook(t, &optimize.CheckResult{Program: r.Program, Point: r.Points[0], Broken: []string{text}}),
		} {
			checkSelfContained(t, fmt.Sprintf("%s of %.20q", name, text), book)
			f := open(t, book)
			found := 0
			eachCell(t, f, func(sheet, at, value string, kind excelize.CellType) {
				if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
					t.Errorf("%s of %.20q: %s!%s is a formula %q, %v", name, text, sheet, at, formula, err)
				}
				if kind == excelize.CellTypeSharedString && clean(value) == clean(text) {
					found++
				}
			})
			if clean(text) != "" && found < 10 {
				t.Errorf("%s: %.20q stands as it is in %d cells only", name, text, found)
			}
		}
	}
}

func TestWorkbookOfAFrontWithoutPoints(t *testing.T) {
	r := sampleFront(t)
	r.Points, r.Complete, r.Why = nil, false, "time limit"
	f := open(t, frontBook(t, r))
	if got := f.GetSheetList(); !slices.Equal(got, []string{"Summary", "Offers", "Left out", "Cautions"}) {
		t.Errorf("sheets %v", got)
	}
}

func BenchmarkFrontWorkbook(b *testing.B) {
	for _, n := range []int{30, 300} {
		b.Run(fmt.Sprint(n, " points"), func(b *testing.B) {
			r := sampleLong(b, n)
			for b.Loop() {
				if err := FrontWorkbook(io.Discard, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
