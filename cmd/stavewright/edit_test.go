package main

import (
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/xuri/excelize/v2"
)

// setcell BOOK SHEET CELL VALUE changes one cell of a workbook, as a number when it is one; an empty value clears it.
func setCell(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: setcell BOOK SHEET CELL VALUE")
	}
	edit(ts, args[0], func(f *excelize.File) error {
		if v, err := strconv.ParseFloat(args[3], 64); err == nil {
			return f.SetCellFloat(args[1], args[2], v, -1, 64)
		}
		if args[3] == "" {
			return f.SetCellValue(args[1], args[2], nil)
		}
		return f.SetCellStr(args[1], args[2], args[3])
	})
}

// sheetless BOOK SHEET takes a sheet out of a workbook.
func sheetless(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: sheetless BOOK SHEET")
	}
	edit(ts, args[0], func(f *excelize.File) error { return f.DeleteSheet(args[1]) })
}

func edit(ts *testscript.TestScript, path string, change func(*excelize.File) error) {
	path = ts.MkAbs(path)
	f, err := excelize.OpenFile(path)
	ts.Check(err)
	ts.Check(change(f))
	ts.Check(f.SaveAs(path))
	ts.Check(f.Close())
}
