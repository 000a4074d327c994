package book

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
	"github.com/xuri/nfp"

	"stavewright/sourcing"
)

// What a job book may be at most. A book of forty models needs a hundredth of it; a file made to exhaust the machine
// is refused before it does.
const (
	maxFileBytes   = 32 << 20
	maxUnzipBytes  = 64 << 20
	maxRows        = 10_000 // of one sheet
	maxSheets      = 100
	maxGridColumns = 200
)

// A cellKind says what a cell of the file is, before anything is read into it.
type cellKind int

const (
	blank    cellKind = iota
	numeric           // a number, as stored, not as shown
	dated             // a number shown as a date
	textual           // text
	logical           // TRUE or FALSE
	faulty            // an error such as #REF!
	uncached          // a formula whose value the file does not hold
)

type cell struct {
	kind cellKind
	raw  string // trimmed
}

// A grid is a sheet's cells as they stand in the file; rows and columns count from 0.
type grid struct {
	name string
	rows [][]cell
}

func (g *grid) at(row, col int) cell { // from 1
	if row > len(g.rows) || col > len(g.rows[row-1]) || col < 1 {
		return cell{}
	}
	return g.rows[row-1][col-1]
}

// load reads the cells of every sheet. What makes the file unreadable as a whole comes back as the error.
func load(r io.Reader, file string) (grids []grid, date1904 bool, found sourcing.Findings, err error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, false, nil, err
	}
	if len(data) > maxFileBytes {
		return nil, false, nil, fmt.Errorf("it is larger than %d MB", maxFileBytes>>20)
	}
	// A damaged workbook can make the spreadsheet library panic; to its user that is a damaged workbook.
	defer func() {
		if p := recover(); p != nil {
			grids, err = nil, fmt.Errorf("the workbook is damaged (%v)", p)
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: maxUnzipBytes, UnzipXMLSizeLimit: maxUnzipBytes})
	if err != nil {
		return nil, false, nil, fmt.Errorf("it cannot be opened as a workbook (%w)", err)
	}
	defer f.Close()
	if p, err := f.GetWorkbookProps(); err == nil && p.Date1904 != nil {
		date1904 = *p.Date1904
	}
	names := f.GetSheetList()
	if len(names) > maxSheets {
		return nil, false, nil, fmt.Errorf("it has %d sheets, more than %d", len(names), maxSheets)
	}
	for _, name := range names {
		g := grid{name: name}
		if _, known := dataSheet(name); known {
			var cut *sourcing.Finding
			if g.rows, cut, err = cells(f, name); err != nil {
				return nil, false, nil, fmt.Errorf("sheet %q cannot be read (%w)", name, err)
			}
			if cut != nil {
				cut.File, cut.Sheet = file, name
				found = append(found, *cut)
			}
		}
		grids = append(grids, g)
	}
	return grids, date1904, found, nil
}

// cells reads one sheet, up to the limits; beyond them it says so in a finding.
func cells(f *excelize.File, name string) (out [][]cell, cut *sourcing.Finding, err error) {
	rows, err := f.Rows(name)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	shownAsDate := map[int]bool{} // by style
	for n := 1; rows.Next(); n++ {
		raw, err := rows.Columns()
		if err != nil {
			return nil, nil, err
		}
		if len(raw) == 0 {
			out = append(out, nil)
			if len(out) > 1_048_576 {
				break
			}
			continue
		}
		if n > maxRows {
			return out[:min(len(out), maxRows)], &sourcing.Finding{Row: n,
				Problem: fmt.Sprintf("the sheet has more than %d rows", maxRows), Advice: "delete what is not needed below the last row"}, nil
		}
		if len(raw) > maxGridColumns {
			return out, &sourcing.Finding{Row: n,
				Problem: fmt.Sprintf("the row has more than %d columns", maxGridColumns), Advice: "delete what is not needed right of the last column"}, nil
		}
		line := make([]cell, len(raw))
		for i, v := range raw {
			if line[i], err = classify(f, name, i+1, n, v, shownAsDate); err != nil {
				return nil, nil, err
			}
		}
		out = append(out, line)
	}
	return out, nil, rows.Error()
}

func classify(f *excelize.File, sheet string, col, row int, raw string, shownAsDate map[int]bool) (cell, error) {
	ref, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		return cell{}, err
	}
	c := cell{raw: strings.TrimSpace(raw)}
	if c.raw == "" {
		if formula, err := f.GetCellFormula(sheet, ref); err == nil && formula != "" && raw == "" {
			c.kind = uncached
		}
		return c, nil
	}
	t, err := f.GetCellType(sheet, ref)
	if err != nil {
		return cell{}, err
	}
	switch t {
	case excelize.CellTypeBool:
		c.kind = logical
	case excelize.CellTypeError:
		c.kind = faulty
	case excelize.CellTypeInlineString, excelize.CellTypeSharedString, excelize.CellTypeFormula: // a formula's cached text
		c.kind = textual
	case excelize.CellTypeDate:
		c.kind = dated
	default:
		if _, err := strconv.ParseFloat(c.raw, 64); err != nil {
			c.kind = textual
			break
		}
		c.kind = numeric
		style, err := f.GetCellStyle(sheet, ref)
		if err != nil {
			return cell{}, err
		}
		if _, seen := shownAsDate[style]; !seen {
			shownAsDate[style] = isDateStyle(f, style)
		}
		if shownAsDate[style] {
			c.kind = dated
		}
	}
	return c, nil
}

// isDateStyle tells whether a number format shows a number as a date.
func isDateStyle(f *excelize.File, style int) bool {
	s, err := f.GetStyle(style)
	if err != nil || s == nil {
		return false
	}
	if s.CustomNumFmt == nil {
		n := s.NumFmt // the built-in date formats: ECMA-376 Part 1, 18.8.30
		return n >= 14 && n <= 22 || n >= 27 && n <= 36 || n >= 45 && n <= 47 || n >= 50 && n <= 58
	}
	parser := nfp.NumberFormatParser()
	return slices.ContainsFunc(parser.Parse(*s.CustomNumFmt), func(sec nfp.Section) bool {
		return slices.ContainsFunc(sec.Items, func(t nfp.Token) bool {
			return t.TType == nfp.TokenTypeDateTimes || t.TType == nfp.TokenTypeElapsedDateTimes
		})
	})
}
