package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/rivo/uniseg"
	"github.com/xuri/excelize/v2"

	"stavewright/cmd/internal/book"
	"stavewright/optimize/mip"
)

// hostileNames are what a person may call a thing, or what may come out of a damaged or a malicious workbook.
var hostileNames = []struct {
	what, name string
	all        bool   // through every command; else through those that show most, and the rest has seen worse
	read       string // as the book is read, where that is not the name: what steers a terminal is nobody's name
}{
	{"a formula", "=1+1", false, ""},
	{"markup", `<script>alert(1)</script> "q" 'a' & \ %s {{.}} $(id)`, true, ""},
	{"letters of every width and direction", "👩\u200d🚒 木の芯 e\u0301\u0301 שלום עולם 🇨🇭", false, ""},
	{"180 characters", strings.Repeat("long name ", 18) + ".", false, ""},
	{"what steers a terminal", "tab\there \x1b[31mred\a \u009b2J \u202eevil\u2066 \u200b\u00ad.", true, "tab here  [31mred   2J evil ."},
}

// hostileBook writes the starter job with a name in every place where people name things, and returns the path of the book.
func hostileBook(t *testing.T, name string) string {
	t.Helper()
	dir := t.TempDir()
	files, err := book.Starter()
	if err != nil {
		t.Fatal(err)
	}
	const creek = "=1+1 & 'שלום' 👩\u200d🚒.xlsx"
	var f *excelize.File
	for _, file := range files {
		if file.Name == "job.xlsx" {
			if f, err = excelize.OpenReader(bytes.NewReader(file.Data)); err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			continue
		}
		if file.Name == "creek.xlsx" {
			file.Name = creek
		}
		if err := os.WriteFile(filepath.Join(dir, file.Name), file.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const wood = "Dense paulownia" // the starter's own
	names := map[string]string{"Park 150": name, "creek.xlsx": creek, wood: name + " wood"}
	for sheet, column := range map[string]int{"Positions": 1, "Suppliers": 0, "Fabrics": 0, "Layers": 3} {
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range rows[1:] {
			if old := row[column]; names[old] == "" {
				names[old] = fmt.Sprint(name, " ", len(names))
			}
		}
	}
	changed := 0
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, cell := range row {
				to := names[cell]
				if to == "" && strings.Contains(cell, wood) { // in a list of woods
					to = strings.ReplaceAll(cell, wood, names[wood])
				}
				if i == 0 || to == "" || sheet == "Lists" || sheet == "Start" {
					continue
				}
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				if err != nil {
					t.Fatal(err)
				}
				// What XML cannot hold, a workbook has as _x and digits.
				held := strings.NewReplacer("\x1b", "_x001B_", "\a", "_x0007_").Replace(to)
				if err := f.SetCellStr(sheet, at, held); err != nil {
					t.Fatal(err)
				}
				changed++
			}
		}
	}
	if changed < 100 {
		t.Fatalf("only %d names were changed", changed)
	}
	path := filepath.Join(dir, "job.xlsx")
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	return path
}

// Names may hold anything: every command takes them, shows them, and nothing breaks, runs or steers the terminal.
func TestHostileNames(t *testing.T) {
	for _, h := range hostileNames {
		t.Run(h.what, func(t *testing.T) {
			path := hostileBook(t, h.name)
			read := cmp.Or(h.read, h.name)
			out := filepath.Join(t.TempDir(), "out")
			commands := [][]string{
				{"prices", path, "--model", h.name, "--out", out},
				{"check", path, "--model", h.name, "--out", out},
				{"front", path, "--model", h.name, "--json"},
			}
			want := 5 // files
			if h.all {
				commands = append(commands, [][]string{
					{"woods", path},
					{"prices", path, "--model", h.name, "--json"},
					{"check", path, "--model", h.name, "--json"},
					{"front", path, "--model", h.name, "--out", out},
					{"match", path, "--model", h.name, "--factors", "1", "--out", out},
					{"mixes", path, "--model", h.name, "--out", out},
					{"season", path, "--keep", "--out", out},
					{"export", path, "--model", h.name},
					{"export", path, "--model", h.name, "--format", "lp"},
				}...)
				want += 13
			}
			for _, args := range commands {
				if args[0] == "season" && !mip.HasHiGHS() && !mip.HasGLPK() {
					want -= 3
					continue
				}
				stdout, stderr := ran(t, statusDone, args...)
				steersNothing(t, args[0], stdout)
				steersNothing(t, args[0]+" on standard error", stderr)
				if args[len(args)-1] == "--json" {
					holdsName(t, args[0], stdout, read)
				} else if args[0] != "export" && args[0] != "prices" {
					for i, line := range strings.Split(stdout, "\n") {
						if n := uniseg.StringWidth(line); n > 80 {
							t.Errorf("%s: line %d is %d columns wide: %s", args[0], i+1, n, line)
						}
					}
				}
			}
			files, err := os.ReadDir(out)
			if err != nil || len(files) < want {
				t.Fatalf("%d files, want %d or more: %v", len(files), want, err)
			}
			for _, f := range files {
				data, err := os.ReadFile(filepath.Join(out, f.Name()))
				if err != nil {
					t.Fatal(err)
				}
				if strings.ContainsFunc(f.Name(), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '.' }) {
					t.Errorf("a file is called %q", f.Name())
				}
				if filepath.Ext(f.Name()) == ".html" {
					if bytes.Contains(data, []byte("<script>alert")) {
						t.Errorf("%s: a name runs as a script", f.Name())
					}
					continue
				}
				holdsText(t, f.Name(), data, read)
			}
		})
	}
}

func steersNothing(t *testing.T, what, out string) {
	t.Helper()
	for i, line := range strings.Split(out, "\n") {
		open := 0
		for _, r := range line {
			switch {
			case r == '\u2067': // the program's own isolates are closed on their line
				open++
			case r == '\u2069':
				open--
			case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
				t.Errorf("%s: line %d holds %q: %q", what, i+1, r, line)
			}
		}
		if open != 0 {
			t.Errorf("%s: line %d leaves an isolate open: %q", what, i+1, line)
		}
	}
}

// holdsName wants a JSON document in which a name stands as it was written.
func holdsName(t *testing.T, what, doc, name string) {
	t.Helper()
	var v any
	if err := json.Unmarshal([]byte(doc), &v); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	var in func(any) bool
	in = func(v any) bool {
		switch v := v.(type) {
		case string:
			return strings.HasPrefix(v, name)
		case []any:
			for _, e := range v {
				if in(e) {
					return true
				}
			}
		case map[string]any:
			for _, e := range v {
				if in(e) {
					return true
				}
			}
		}
		return false
	}
	if !in(v) {
		t.Errorf("%s: no value is the name %q", what, name)
	}
}

// holdsText wants a workbook without formulas in which a name stands as it was written.
func holdsText(t *testing.T, what string, data []byte, name string) {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	defer f.Close()
	found := 0
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for j, cell := range row {
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				if err != nil {
					t.Fatal(err)
				}
				if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
					t.Errorf("%s, %s!%s is a formula %q, %v", what, sheet, at, formula, err)
				}
				if strings.HasPrefix(cell, name) || strings.HasPrefix(cell, "To: "+strings.Join(strings.Fields(name), " ")) { // an order has a line with its address
					found++
				}
			}
		}
	}
	if found == 0 {
		t.Errorf("%s: no cell is the name %q", what, name)
	}
}
