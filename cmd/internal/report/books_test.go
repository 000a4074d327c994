package report

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// A resultBook is a workbook that the program writes, and how many charts it must have.
type resultBook struct {
	name   string
	write  func(testing.TB) []byte
	charts int
}

// resultBooks are workbooks of every kind: a command that writes another kind adds a line. What holds for all of them is tested here.
var resultBooks = []resultBook{
	{"front", func(t testing.TB) []byte { return frontBook(t, sampleFront(t)) }, 2},
	{"infeasible", func(t testing.TB) []byte { return frontBook(t, sampleInfeasible(t)) }, 0},
	{"hostile", func(t testing.TB) []byte {
		return frontBook(t, sampleHostile(t, "=1+1 _x0041_\t\"<b>\" 木 👩‍🚒 שלום"))
	}, 2},
	{"check", func(t testing.TB) []byte { return checkBook(t, sampleCheck(t)) }, 1},
	{"match", func(t testing.TB) []byte { return matchBook(t, sampleMatch(t)) }, 1},
	{"mixes", func(t testing.TB) []byte { return mixesBook(t, sampleMixes(t)) }, 2},
	{"season", func(t testing.TB) []byte {
		return seasonBytes(t, func(w io.Writer) error { return SeasonWorkbook(w, sampleSeason(t)) })
	}, 0},
	{"order", func(t testing.TB) []byte {
		return seasonBytes(t, func(w io.Writer) error { return OrderWorkbook(w, sampleSeason(t), 0) })
	}, 0},
	{"shop", func(t testing.TB) []byte { return shopBook(t, sampleShop(t)) }, 0},
	{"prices", func(t testing.TB) []byte { return pricesBook(t, sampleAllPrices()) }, 0},
}

// chartsIn counts the charts of a workbook.
func chartsIn(t testing.TB, book []byte) int {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(book), int64(len(book)))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, part := range z.File {
		if regexp.MustCompile(`^xl/charts/chart[0-9]+\.xml$`).MatchString(part.Name) {
			n++
		}
	}
	return n
}

// paper are the sheets that are read as a page: nobody scrolls through them.
var paper = map[string]bool{"Summary": true, "Order": true, "Shop sheet": true}

// Every workbook has its charts, numbers with formats, tables with names and headings of their own and headings that stay in view, no
// formula, and the same bytes a second time.
func TestEveryWorkbook(t *testing.T) {
	for _, kind := range resultBooks {
		t.Run(kind.name, func(t *testing.T) {
			book := kind.write(t)
			if !bytes.Equal(book, kind.write(t)) {
				t.Error("a second workbook of the same has other bytes")
			}
			if n := chartsIn(t, book); n != kind.charts {
				t.Errorf("%d charts, want %d", n, kind.charts)
			}
			f := open(t, book)
			tables := map[string]bool{}
			for _, sheet := range f.GetSheetList() {
				of, err := f.GetTables(sheet)
				if err != nil {
					t.Fatal(err)
				}
				for _, table := range of {
					if tables[table.Name] || !strings.HasPrefix(table.Name, "Table_") {
						t.Errorf("%s: a table is called %q", sheet, table.Name)
					}
					tables[table.Name] = true
				}
				if panes, err := f.GetPanes(sheet); len(of) == 1 && !paper[sheet] && (err != nil || !panes.Freeze) {
					t.Errorf("%s: its headings do not stay in view, %v", sheet, err)
				}
			}
			eachCell(t, f, func(sheet, at, value string, kind excelize.CellType) {
				if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
					t.Errorf("%s!%s is a formula %q, %v", sheet, at, formula, err)
				}
				number, err := strconv.ParseFloat(value, 64)
				if err != nil || kind == excelize.CellTypeSharedString || number == float64(int(number)) {
					return
				}
				id, err := f.GetCellStyle(sheet, at)
				if err != nil {
					t.Fatal(err)
				}
				if style, err := f.GetStyle(id); err != nil || style.CustomNumFmt == nil {
					t.Errorf("%s!%s holds %s without a number format, %v", sheet, at, value, err)
				}
			})
		})
	}
}

// LibreOffice opens every workbook, prints it, and writes it back with the same values and as many charts.
func TestWorkbooksElsewhere(t *testing.T) {
	if testing.Short() {
		t.Skip("LibreOffice opens every workbook, in full runs")
	}
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") == "1" {
			t.Fatal("soffice is required and not there")
		}
		t.Skip("soffice is not there: no second opinion on the workbooks")
	}
	dir := t.TempDir()
	books := map[string][]byte{}
	var paths []string
	for _, kind := range resultBooks {
		books[kind.name] = kind.write(t)
		path := filepath.Join(dir, kind.name+".xlsx")
		if err := os.WriteFile(path, books[kind.name], 0o644); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	// One run for each format: the last format named counts for all files of a run.
	for _, format := range []string{"xlsx:Calc MS Excel 2007 XML", "pdf"} {
		args := []string{"-env:UserInstallation=file://" + filepath.Join(dir, "profile"), "--headless", "--convert-to", format, "--outdir", filepath.Join(dir, "out")}
		if out, err := exec.Command(soffice, append(args, paths...)...).CombinedOutput(); err != nil {
			t.Fatalf("soffice: %v\n%s", err, out)
		}
	}
	for _, kind := range resultBooks {
		data, err := os.ReadFile(filepath.Join(dir, "out", kind.name+".xlsx"))
		if err != nil {
			t.Fatal(err)
		}
		if n := chartsIn(t, data); n != kind.charts {
			t.Errorf("%s: %d charts come back, want %d", kind.name, n, kind.charts)
		}
		ours, back := open(t, books[kind.name]), open(t, data)
		if got, want := back.GetSheetList(), ours.GetSheetList(); !slices.Equal(got, want) {
			t.Errorf("%s: sheets %q, want %q", kind.name, got, want)
		}
		cells := 0
		eachCell(t, ours, func(sheet, at, want string, _ excelize.CellType) {
			cells++
			got, err := back.GetCellValue(sheet, at, excelize.Options{RawCellValue: true})
			if err != nil {
				t.Fatal(err)
			}
			a, errA := strconv.ParseFloat(got, 64)
			b, errB := strconv.ParseFloat(want, 64)
			if got != want && (errA != nil || errB != nil || roundTo(a, 9) != roundTo(b, 9)) {
				t.Errorf("%s, %s!%s: %q, want %q", kind.name, sheet, at, got, want)
			}
		})
		if cells < 20 {
			t.Errorf("%s: only %d cells", kind.name, cells)
		}
		page, err := os.ReadFile(filepath.Join(dir, "out", kind.name+".pdf"))
		if err != nil {
			t.Fatal(err)
		}
		if n := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(page, -1)); !bytes.HasPrefix(page, []byte("%PDF-")) || n < len(ours.GetSheetList()) {
			t.Errorf("%s: %d printed pages of %d sheets", kind.name, n, len(ours.GetSheetList()))
		}
	}
}
