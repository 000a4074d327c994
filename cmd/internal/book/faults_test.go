package book

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

// A planted fault: an edit of the starter's book, and the one finding it must lead to.
type planted struct {
	name        string
	edit        func(f *excelize.File)
	sheet, cell string
	words       string // of the finding, in order, … between them
}

func plantedFaults(t testing.TB) []planted {
	in := func(sheet, cell string, v any) func(*excelize.File) {
		return func(f *excelize.File) { set(t, f, sheet, cell, v) }
	}
	at := func(column string, row int) string { return fmt.Sprint(column, row) }
	station := rowOf(t, "Stations", "Park 155", 47.0)
	flank := rowOf(t, "Positions", "Power 163", "flank")
	return []planted{
		{"negative thickness", in("Stations", "D7", -2.2), "Stations", "D7", "Core thickness is -2.2 mm…must be above 0"},
		{"unsorted stations", func(f *excelize.File) {
			set(t, f, "Stations", at("B", station), 109.0, at("B", station+1), 47.0)
		}, "Stations", at("B", station+1), "Park 155…47 mm comes after…109 mm"},
		{"duplicate station", in("Stations", at("B", rowOf(t, "Stations", "Allround 152", 1034.0)), 942.0), "Stations",
			at("B", rowOf(t, "Stations", "Allround 152", 1034.0)), "Allround 152…942 mm is given twice"},
		{"unknown wood", in("Positions", at("F", rowOf(t, "Positions", "Allround 152", "inner")), "poplar-hybrid; popular"), "Positions",
			at("F", rowOf(t, "Positions", "Allround 152", "inner")), `"popular"`},
		{"positions too narrow", in("Positions", at("D", flank), 1.0), "Positions", at("C", flank), "Power 163…reach…missing on each side"},
		{"target outside the stations", in("Targets", at("B", rowOf(t, "Targets", "Park 150", 1200.0)), 1700.0), "Targets",
			at("B", rowOf(t, "Targets", "Park 150", 1200.0)), "1700 mm is outside the stations…0 to 1500 mm"},
		{"text in a number cell", in("Models", "D3", "7.5 mm"), "Models", "D3", `the text "7.5 mm", not a number…7.5`},
		{"decimal comma as text", in("Targets", at("C", rowOf(t, "Targets", "Park 155", 310.0)), "35,0"), "Targets",
			at("C", rowOf(t, "Targets", "Park 155", 310.0)), `"35,0"…35.0 is meant`},
		{"missing sheet", func(f *excelize.File) {
			if err := f.DeleteSheet("Fabrics"); err != nil {
				t.Fatal(err)
			}
		}, "Fabrics", "", `missing…"Glass 0/45/-45, light" in row 2`},
		{"duplicate model", in("Models", "A9", "allround  157"), "Models", "A9", "is there twice, first in row 5"},
		{"reference that does not fill", in("Reference", at("D", rowOf(t, "Reference", "Park 150", "inner")), 2.0), "Reference",
			at("D", rowOf(t, "Reference", "Park 150", "inner")), `2 strips at position "inner", which holds 3`},
		{"reference of a wood not allowed", in("Reference", at("C", rowOf(t, "Reference", "Power 158", "edge")), "poplar-hybrid"), "Reference",
			at("C", rowOf(t, "Reference", "Power 158", "edge")), `poplar-hybrid at position "edge", where it is not allowed`},
		{"windows that cross", in("Targets", at("D", rowOf(t, "Targets", "Allround 152", 304.0)), 40.0), "Targets",
			at("D", rowOf(t, "Targets", "Allround 152", 304.0)), "EI high is 40, below EI low, which is 46.7"},
		{"another unit", in("Models", "E1", "Support span cm"), "Models", "E1", "another unit than mm"},
		{"missing column", in("Stock", "E1", nil), "Stock", "1", `"Planks" is missing`},
		{"currency without rate", in("Suppliers", "C3", "SEK"), "Suppliers", "C3", "no rate for SEK"},
		{"unknown setting", in("Shop", "A4", "kerff"), "Shop", "A4", `"kerff" is not known…"kerf"`},
		{"pad outside", func(f *excelize.File) {
			set(t, f, "Pads", "A2", "Power 158", "B2", "binding", "C2", 500.0, "D2", 5000.0, "E2", "ash-european")
		}, "Pads", "D2", "5000 mm, outside the core"},
		{"place that is none", in("Layers", "B8", "on top"), "Layers", "B8", `Place is "on top"…above or below or beside`},
		{"unknown model", in("Limits", "A9", "Pwoer 163"), "Limits", "A9", `"Pwoer 163" is not on the Models sheet…"Power 163"`},
		{"share above the whole", in("Limits", "G2", 145.0), "Limits", "G2", "Min fast-grown is 145 %…at most 100"},
		{"unknown fabric", in("Layers", at("E", rowOf(t, "Layers", "Power 163", "above")), 0.0), "Layers",
			at("E", rowOf(t, "Layers", "Power 163", "above")), "Modulus is 0 GPa…above 0"},
		{"unknown position", in("Counts", "B3", "stinger"), "Counts", "B3", `no position "stinger"…"stringer"`},
		{"half a strip", in("Positions", "C2", 1.5), "Positions", "C2", "1.5, not a whole number"},
	}
}

// The 24 faults at once: every one is found in one run, each in its own place, and nothing else is.
func TestPlantedFaults(t *testing.T) {
	faults := plantedFaults(t)
	if len(faults) < 20 {
		t.Fatalf("only %d faults are planted", len(faults))
	}
	_, found := readBook(t, edited(t, func(f *excelize.File) {
		for _, p := range faults {
			p.edit(f)
		}
	}))
	expect(t, faults, found.Errors())
}

// Each fault alone leads to its one finding.
func TestPlantedFaultAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	for _, p := range plantedFaults(t) {
		t.Run(p.name, func(t *testing.T) {
			_, found := readBook(t, edited(t, p.edit))
			expect(t, []planted{p}, found.Errors())
		})
	}
}

func expect(t *testing.T, faults []planted, errors sourcing.Findings) {
	t.Helper()
	left := slices.Clone(errors)
	for _, p := range faults {
		i := slices.IndexFunc(left, func(f sourcing.Finding) bool {
			return f.Sheet == p.sheet && f.Cell() == p.cell && hasWords(f.Problem+"; "+f.Advice, p.words)
		})
		if i < 0 {
			t.Errorf("%s: no finding at %s!%s with the words %q", p.name, p.sheet, p.cell, p.words)
			continue
		}
		left = slices.Delete(left, i, i+1)
	}
	for _, f := range left {
		t.Errorf("not planted: %v", f)
	}
}

// What only one book at a time can show, on the small book.
func TestFaults(t *testing.T) {
	header := func(sheet string) []any {
		for _, s := range sheets {
			if s.Name == sheet {
				var row []any
				for _, c := range s.Columns {
					row = append(row, c.Header())
				}
				return row
			}
		}
		t.Fatalf("no sheet %s", sheet)
		return nil
	}
	for _, tt := range []struct {
		name        string
		change      map[string][][]any
		sheet, cell string
		words       string
		warning     bool
	}{
		{"no Models", map[string][][]any{"Models": nil}, "Models", "", "the sheet is missing…Model", false},
		{"no Stations", map[string][][]any{"Stations": nil}, "Stations", "", "the sheet is missing…From tip mm, Core width mm", false},
		{"no Positions", map[string][][]any{"Positions": nil}, "Positions", "", "the sheet is missing", false},
		{"Models empty", map[string][][]any{"Models": {header("Models")}}, "Models", "", "no rows", false},
		{"misspelt sheet", map[string][][]any{"Modells": {{"x"}}}, "Modells", "", `not known…"Models"`, true},
		{"notes beside", map[string][][]any{"Notes": {{"anything"}}}, "Notes", "", "not known and is not read", true},
		{"misspelt column", map[string][][]any{"Models": {{"Model", "Section", "Measured at mm"}, {"Plank", "core", 500.0}}}, "Models", "C1",
			`"Measured at mm" is not known…"Measure at mm"`, true},
		{"no unit", map[string][][]any{"Models": {{"Model", "Section", "Measure at"}, {"Plank", "core", 500.0}}}, "Models", "C1", "does not say its unit", false},
		{"column twice", map[string][][]any{"Models": {{"Model", "Section", "Model"}, {"Plank", "core", "Plank"}}}, "Models", "C1", "twice, first in A1", false},
		{"cells without header", map[string][][]any{"Models": {{"Model", "Section", nil}, {"Plank", "core", 3.0}}}, "Models", "C1", "no header", true},
		{"empty required cell", map[string][][]any{"Stations": {header("Stations"), {nil, 0.0, 80.0, 8.0}, {nil, 500.0, nil, 8.0}, {nil, 1000.0, 80.0, 8.0}}},
			"Stations", "C3", "Core width is empty", false},
		{"one station", map[string][][]any{"Stations": {header("Stations"), {nil, 0.0, 80.0, 8.0}}}, "Stations", "", "at least two stations", false},
		{"TRUE for a number", map[string][][]any{"Models": {{"Model", "Section", "Measure at mm"}, {"Plank", "core", true}}}, "Models", "C2", "TRUE or FALSE", false},
		{"beyond any board", map[string][][]any{"Models": {{"Model", "Section", "Measure at mm"}, {"Plank", "core", 1e9}}}, "Models", "C2", "at most 10000 mm", false},
		{"measured outside", map[string][][]any{"Models": {{"Model", "Section", "Measure at mm"}, {"Plank", "core", 1001.0}}}, "Models", "C2", "outside the core", false},
		{"blank too short", map[string][][]any{"Models": {{"Model", "Blank length mm"}, {"Plank", 990.0}}}, "Models", "B2", "990 mm long, the core 1000 mm", false},
		{"blank too thin", map[string][][]any{"Models": {{"Model", "Blank thickness mm"}, {"Plank", 7.0}}}, "Models", "B2", "7 mm thick, the core up to 8 mm", false},
		{"span too wide", map[string][][]any{"Models": {{"Model", "Support span mm"}, {"Plank", 1200.0}}}, "Models", "B2", "1200 mm apart", false},
		{"day that is none", map[string][][]any{"Models": {{"Model", "Needed by"}, {"Plank", "31.2.2027"}}}, "Models", "B2", "not a date…2027-03-15", false},
		{"centre line not first", map[string][][]any{"Positions": {header("Positions"), {nil, "inner", 2.0, 10.0, nil, "Light; Heavy"}, {nil, "edge", 1.0, 20.0, "yes"}}},
			"Positions", "B3", "on the centre line but not the first", false},
		{"yes misspelt", map[string][][]any{"Positions": {header("Positions"), {nil, "inner", 2.0, 10.0, "perhaps", "Light; Heavy"}, {nil, "edge", 1.0, 20.0}}},
			"Positions", "E2", `"perhaps"…write yes`, false},
		{"position twice", map[string][][]any{"Positions": {header("Positions"), {nil, "inner", 2.0, 10.0, nil, "Light; Heavy"}, {nil, "edge", 1.0, 20.0}, {nil, "Edge", 1.0, 20.0}}},
			"Positions", "B4", `"Edge" twice`, false},
		{"list of nothing", map[string][][]any{"Positions": {header("Positions"), {nil, "inner", 2.0, 10.0, nil, " ; ,"}, {nil, "edge", 1.0, 20.0}}},
			"Positions", "F2", "names no wood", false},
		{"reference not mirrored", map[string][][]any{
			"Positions": {header("Positions"), {nil, "inner", 3.0, 10.0, "yes"}, {nil, "edge", 2.0, 20.0}},
			"Reference": {{"Model", "Position", "Wood", "Strips per side"}, {nil, "inner", "Light", 2.0}, {nil, "inner", "Heavy", 1.0}, {nil, "edge", "Heavy", 2.0}}},
			"Reference", "D2", "cannot lie alike left and right", false},
		{"reference without a position", map[string][][]any{"Reference": {{"Model", "Position", "Wood", "Strips per side"}, {nil, "inner", "Light", 2.0}}},
			"Reference", "D2", `no strips at position "edge"`, false},
		{"two limits for all", map[string][][]any{"Limits": {{"Model", "Max woods"}, {nil, 2.0}, {nil, 3.0}}}, "Limits", "A3", "row 2 is for every model already", false},
		{"two limits for one", map[string][][]any{"Limits": {{"Model", "Max woods"}, {"Plank", 2.0}, {"PLANK", 3.0}}}, "Limits", "A3", "has a row already, row 2", false},
		{"cost without prices", map[string][][]any{"Limits": {{"Model", "Max cost"}, {nil, 5.0}}}, "Limits", "B2", "no suppliers and no stock", false},
		{"more strips than there are", map[string][][]any{"Counts": {{"Position", "Wood", "Low strips per side"}, {"inner", "Light", 3.0}}}, "Counts", "C2", "there are 2", false},
		{"targets that leave nothing", map[string][][]any{"Targets": {{"Model", "From tip mm", "EI low N·m2", "EI high N·m²"}, {nil, 500.0, 20.0, 30.0}, {"Plank", 500.0, 40.0, 50.0}}},
			"Targets", "B3", "leave nothing between them", false},
		{"a target twice", map[string][][]any{"Targets": {{"Model", "From tip mm", "EI low N·m2"}, {nil, 500.0, 20.0}, {nil, 500.0, 22.0}}}, "Targets", "B3", "already, in row 2", false},
		{"a target of nothing", map[string][][]any{"Targets": {{"Model", "From tip mm", "EI low N·m2"}, {nil, 500.0, nil}}}, "Targets", "C2", "neither a low nor a high", true},
		{"own wood out of range", map[string][][]any{"Woods": append(small()["Woods"], []any{"Odd", nil, 5.0, 10.0})}, "Woods", "C4", "5 is outside", false},
		{"own wood twice", map[string][][]any{"Woods": append(small()["Woods"], []any{"light", nil, 500.0, 10.0})}, "Woods", "A4", "twice, first in row 2", false},
		{"test of a short span", map[string][][]any{"Tests": {header("Tests"), {"Light", 60.0, 20.0, 20.0, 150.0}}}, "Tests", "B2", "only 3.0 times the depth", false},
		{"supplier twice", map[string][][]any{"Suppliers": {{"Supplier", "Price file"}, {"A", "a.xlsx"}, {"a", "b.xlsx"}}}, "Suppliers", "A3", "twice", false},
		{"price file elsewhere", map[string][][]any{"Suppliers": {{"Supplier", "Price file"}, {"A", "../a.xlsx"}}}, "Suppliers", "B2", "not beside this book", false},
		{"meaning for nobody", map[string][][]any{"Suppliers": {{"Supplier", "Price file"}, {"Adam", "a.xlsx"}}, "Columns": {{"Supplier", "Header", "Meaning"}, {"Adma", "P", "wood"}}},
			"Columns", "A2", `"Adma" is not on the Suppliers sheet…"Adam"`, false},
		{"meaning of nothing", map[string][][]any{"Suppliers": {{"Supplier", "Price file"}, {"Adam", "a.xlsx"}}, "Columns": {{"Supplier", "Header", "Meaning"}, {"Adam", "P", "colour"}}},
			"Columns", "C2", `"colour"`, false},
		{"setting twice", map[string][][]any{"Shop": {header("Shop"), {"kerf", 3.0}, {"Kerf", 2.0}}}, "Shop", "A3", "twice, first in row 2", false},
		{"setting out of range", map[string][][]any{"Shop": {header("Shop"), {"yield", 0.7, "%"}}}, "Shop", "B2", "yield is 0.7 %…at least 1", false},
		{"setting in another unit", map[string][][]any{"Shop": {header("Shop"), {"kerf", 0.1, "in"}}}, "Shop", "C2", "read in mm", false},
		{"setting as text", map[string][][]any{"Shop": {header("Shop"), {"kerf", "2,4"}}}, "Shop", "B2", `"2,4"…2.4 is meant`, false},
		{"money that is none", map[string][][]any{"Shop": {header("Shop"), {"money", "Euros"}}}, "Shop", "B2", "three letters", false},
		{"rate of nothing", map[string][][]any{"Shop": {header("Shop"), {"rate USD", 0.0}}}, "Shop", "B2", "rate of USD is 0", false},
		{"rate of the job's money", map[string][][]any{"Shop": {header("Shop"), {"rate EUR", 2.0}}}, "Shop", "B2", "its rate is 1", false},
		{"a day that is none", map[string][][]any{"Shop": {header("Shop"), {"ordering day", "soon"}}}, "Shop", "B2", `"soon", not a date…2027-01-18`, false},
		{"a day as a number", map[string][][]any{"Shop": {header("Shop"), {"ordering day", 46412.0}}}, "Shop", "B2", "not a date", false},
		{"a date for a number", map[string][][]any{"Shop": {header("Shop"), {"kerf", day(2027, 1, 18)}}}, "Shop", "B2", "kerf is a date…a number", false},
		{"a share above all", map[string][][]any{"Shop": {header("Shop"), {"season fast-grown", 110.0, "%"}}}, "Shop", "B2", "at most 100", false},
		{"no supplier at all", map[string][][]any{"Shop": {header("Shop"), {"suppliers per wood", 0.0}}}, "Shop", "B2", "at least 1", false},
		{"holding reference unknown", map[string][][]any{"Shop": {header("Shop"), {"holding reference", "aspenn"}}}, "Shop", "B2", `"aspenn"`, false},
		{"layer without thickness", map[string][][]any{"Layers": {header("Layers"), {nil, "above", 1.0, "skin", 22.0}}}, "Layers", "F2", "no thickness", false},
		{"wall without width", map[string][][]any{"Layers": {header("Layers"), {nil, "beside", 1.0, "wall", 2.2}}}, "Layers", "G2", "no width", false},
		{"layer beyond the tail", map[string][][]any{"Layers": {header("Layers"), {nil, "above", 1.0, "skin", 22.0, 0.5, nil, nil, nil, 100.0, 1200.0}}}, "Layers", "K2", "outside the core", false},
		{"layer let in too far", map[string][][]any{"Layers": {header("Layers"), {nil, "above", 1.0, "skin", 22.0, 0.5, nil, 0.8}}}, "Layers", "D2", "let in 0.8 mm", false},
		{"unknown fabric", map[string][][]any{"Layers": {header("Layers"), {nil, "above", 1.0, "skin", "Glas", 0.5}}, "Fabrics": {header("Fabrics"), {"Glass", 0.0, 0.3, 38.0, 9.0, 3.6, 0.28}}},
			"Layers", "E2", `"Glas" is not on the Fabrics sheet…"Glass"`, false},
		{"pads over each other", map[string][][]any{"Pads": {header("Pads"), {nil, "inner", 100.0, 300.0, "Light"}, {nil, "inner", 200.0, 400.0, "Light"}}}, "Pads", "C3", "overlaps", false},
		{"stock of an unknown wood", map[string][][]any{"Stock": {header("Stock"), {"Ligth", 30.0, 100.0, 2000.0, 5.0, 2.0}}}, "Stock", "A2", `"Ligth"`, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, found := readBook(t, workbook(t, withRows(tt.change)))
			if len(found) != 1 {
				t.Fatalf("%d findings, want one at %s!%s:\n%v", len(found), tt.sheet, tt.cell, found)
			}
			f := found[0]
			if f.Sheet != tt.sheet || f.Cell() != tt.cell || f.Warning != tt.warning || !hasWords(f.Problem+"; "+f.Advice, tt.words) {
				t.Errorf("%v\nwant %s!%s, warning %v, with the words %q", f, tt.sheet, tt.cell, tt.warning, tt.words)
			}
		})
	}
}

// A file that is no workbook is one finding, and no panic.
func TestReadNoWorkbook(t *testing.T) {
	for _, data := range []string{"", "PK\x03\x04", "Model;Section\nPark;core\n", strings.Repeat("x", 1<<16)} {
		job, found := readBook(t, []byte(data))
		if job == nil || len(found.Errors()) != 1 || !strings.Contains(found[0].Problem, "cannot be read") {
			t.Errorf("%.20q: %v", data, found)
		}
	}
}

// Numbers shown as dates and formulas without a value are told, not read.
func TestCellsThatLookRight(t *testing.T) {
	dated, shown := 14, "dd.mm.yyyy"
	for _, tt := range []struct {
		name, words string
		edit        func(f *excelize.File)
	}{
		{"built-in date format", "Blank thickness is a date", func(f *excelize.File) {
			id, err := f.NewStyle(&excelize.Style{NumFmt: dated})
			if err != nil {
				t.Fatal(err)
			}
			if err := f.SetCellStyle("Models", "D3", "D3", id); err != nil {
				t.Fatal(err)
			}
		}},
		{"own date format", "Blank thickness is a date", func(f *excelize.File) {
			id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &shown})
			if err != nil {
				t.Fatal(err)
			}
			if err := f.SetCellStyle("Models", "D3", "D3", id); err != nil {
				t.Fatal(err)
			}
		}},
		{"formula without a value", "formula has no value", func(f *excelize.File) {
			set(t, f, "Models", "D3", nil)
			if err := f.SetCellFormula("Models", "D3", "7+0.5"); err != nil {
				t.Fatal(err)
			}
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, found := readBook(t, edited(t, tt.edit))
			if e := found.Errors(); len(e) != 1 || e[0].Cell() != "D3" || !strings.Contains(e[0].Problem, tt.words) {
				t.Errorf("findings %v, want one in D3: %s", found, tt.words)
			}
		})
	}
}
