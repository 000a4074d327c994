package book

import (
	"bytes"
	"flag"
	"strings"
	"sync"
	"testing"

	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

var update = flag.Bool("update", false, "write the golden files and testdata/demo anew")

// starter is the starter job, written once for all tests.
var starter = sync.OnceValues(Starter)

func starterFile(t testing.TB, name string) []byte {
	t.Helper()
	files, err := starter()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if f.Name == name {
			return f.Data
		}
	}
	t.Fatalf("the starter has no file %s", name)
	return nil
}

// edited is the starter's job book after an edit.
func edited(t testing.TB, edit func(f *excelize.File)) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(starterFile(t, JobFile)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	edit(f)
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// set writes cells of a workbook: pairs of name and value.
func set(t testing.TB, f *excelize.File, sheet string, pairs ...any) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if err := f.SetCellValue(sheet, pairs[i].(string), pairs[i+1]); err != nil {
			t.Fatal(err)
		}
	}
}

// rowOf is the row of the demo's sheet whose first cells are those.
func rowOf(t testing.TB, sheet string, cells ...any) int {
	t.Helper()
	for i, row := range demoRows()[sheet] {
		match := true
		for k, c := range cells {
			match = match && row[k] == c
		}
		if match {
			return i + 2
		}
	}
	t.Fatalf("the demo's sheet %s has no row %v", sheet, cells)
	return 0
}

func readBook(t testing.TB, data []byte) (*Job, sourcing.Findings) {
	t.Helper()
	return Read(bytes.NewReader(data), JobFile)
}

// mustRead is the job of a book without errors.
func mustRead(t testing.TB, data []byte) *Job {
	t.Helper()
	job, found := readBook(t, data)
	if e := found.Errors(); len(e) > 0 {
		t.Fatalf("findings in a good book:\n%v", e)
	}
	return job
}

// demoOffers are the offers of the starter's price sheets.
func demoOffers(t testing.TB, job *Job) []sourcing.Offer {
	t.Helper()
	var all []sourcing.Offer
	for i := range job.Suppliers {
		s := &job.Suppliers[i]
		offers, _, found := sourcing.ReadOffers(bytes.NewReader(starterFile(t, s.PriceFile)), job.Source(s))
		if len(found) > 0 {
			t.Errorf("%s: %v", s.PriceFile, found)
		}
		all = append(all, offers...)
	}
	return all
}

// workbook makes a small workbook: rows of cells by sheet.
func workbook(t testing.TB, content map[string][][]any) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for _, s := range append(sheets, sheet{Name: "Notes"}, sheet{Name: "Modells"}) {
		rows, ok := content[s.Name]
		if !ok {
			continue
		}
		if _, err := f.NewSheet(s.Name); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for k, v := range row {
				if v != nil {
					set(t, f, s.Name, cellName(k+1, i+1), v)
				}
			}
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// small is a book of one board, two positions, no prices, whose figures can be had by hand.
func small() map[string][][]any {
	return map[string][][]any{
		"Models": {{"Model", "Section", "Measure at mm"}, {"Plank", "core", 500.0}},
		"Stations": {{"Model", "From tip mm", "Core width mm", "Core thickness mm"},
			{nil, 0.0, 80.0, 8.0}, {nil, 1000.0, 80.0, 8.0}},
		"Positions": {{"Model", "Position", "Strips per side", "Strip width mm", "Woods allowed"},
			{"Plank", "inner", 2.0, 10.0, "Light; Heavy"}, {"Plank", "edge", 1.0, 20.0, nil}},
		"Woods": {{"Wood", "Latin name", "Density kg/m3", "Modulus GPa", "Hardness N", "CV of modulus %", "Rotation years", "Source"},
			{"Light", nil, 400.0, 10.0, 1500.0, 20.0, 12.0, "made up"}, {"Heavy", nil, 700.0, 15.0, 6000.0, 20.0, 90.0, "made up"}},
		"Reference": {{"Model", "Position", "Wood", "Strips per side"},
			{nil, "edge", "Heavy", 1.0}, {nil, "inner", "Light", 1.0}, {nil, "inner", "Heavy", 1.0}},
		"Shop": {{"Setting", "Value", "Unit"}, {"glue spread", 0.0, "g/m2"}},
	}
}

// withRows is the small book with sheets replaced or added.
func withRows(change map[string][][]any) map[string][][]any {
	c := small()
	for name, rows := range change {
		if rows == nil {
			delete(c, name)
			continue
		}
		c[name] = rows
	}
	return c
}

func hasWords(text, words string) bool {
	for _, w := range strings.Split(words, "…") {
		at := strings.Index(text, w)
		if at < 0 {
			return false
		}
		text = text[at+len(w):]
	}
	return true
}
