package sourcing

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"
	"github.com/xuri/nfp"
)

// What a price sheet may be at most. Sheets come from strangers: what would exhaust the machine is refused before it
// does. Text and cells are counted as read, since a small file can repeat one long text in every cell.
const (
	maxFileBytes  = 64 << 20
	maxUnzipBytes = 128 << 20
	maxSheets     = 200
	maxRows       = 200_000
	maxColumns    = 256
	maxCells      = 2_000_000 // of one sheet, blanks between cells counted
	maxTextBytes  = 128 << 20 // of one sheet
)

// A workbook is a price file, open.
type workbook struct {
	file     *excelize.File
	formats  map[int]string // number format by style
	formulas bool           // some cell holds a formula
	money    bool           // some number format of its own shows text, which may be a currency
}

// open opens a price file. The error says what the file is, if it is no workbook, and what to do.
func open(r io.Reader) (*workbook, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	switch {
	case err != nil:
		return nil, err
	case len(data) > maxFileBytes:
		return nil, fmt.Errorf("the file is larger than %d MB", maxFileBytes>>20)
	case len(data) == 0:
		return nil, errors.New("the file is empty")
	case bytes.HasPrefix(data, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		return nil, errors.New("the file is an old .xls workbook, or one locked with a password")
	case !bytes.HasPrefix(data, []byte("PK")):
		return nil, errors.New("the file is not an .xlsx workbook")
	}
	w := &workbook{formats: map[int]string{}}
	err = guard(func() error {
		w.file, err = excelize.OpenReader(bytes.NewReader(data), excelize.Options{
			RawCellValue: true, UnzipSizeLimit: maxUnzipBytes, UnzipXMLSizeLimit: maxUnzipBytes})
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("the file cannot be opened as a workbook (%w)", err)
	}
	if n := len(w.file.GetSheetList()); n > maxSheets {
		return nil, fmt.Errorf("the file has %d sheets, more than %d", n, maxSheets)
	}
	// Styles and formulas of single cells cost a second reading of the sheet: it is made only where they can matter.
	w.file.Pkg.Range(func(name, part any) bool {
		xml, ok := part.([]byte)
		w.formulas = w.formulas || ok && strings.HasPrefix(name.(string), "xl/worksheets/") &&
			slices.ContainsFunc([]string{"<f>", "<f ", ":f>", ":f "}, func(tag string) bool { return bytes.Contains(xml, []byte(tag)) })
		return !w.formulas
	})
	if w.file.Styles != nil && w.file.Styles.NumFmts != nil {
		for _, f := range w.file.Styles.NumFmts.NumFmt {
			if f != nil {
				text, _ := shownAround(f.FormatCode)
				w.money = w.money || text != ""
			}
		}
	}
	return w, nil
}

// guard runs one call of the spreadsheet library. A damaged file can make it panic; to its reader that is a damaged
// file, and no fault of this program.
func guard(call func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the workbook is damaged: %v", p)
		}
	}()
	return call()
}

// A line is a row of a sheet that holds anything.
type line struct {
	row    int // from 1
	hidden bool
	cells  []string // tidied, from column A
}

// text is a cell's value; empty beyond the row's end.
func (l line) text(col int) string {
	if col < 1 || col > len(l.cells) {
		return ""
	}
	return l.cells[col-1]
}

// filled is the columns that hold something.
func (l line) filled() (cols []int) {
	for i := range l.cells {
		if l.text(i+1) != "" {
			cols = append(cols, i+1)
		}
	}
	return cols
}

// lines reads a sheet's rows that hold anything, a formula without a value included.
func (w *workbook) lines(sheet string) (out []line, err error) {
	err = guard(func() error {
		rows, err := w.file.Rows(sheet)
		if err != nil {
			return err
		}
		defer rows.Close()
		var cells, text int
		for n := 1; rows.Next(); n++ {
			cols, err := rows.Columns()
			if err != nil {
				return err
			}
			if len(cols) == 0 {
				continue
			}
			cells += len(cols)
			for i, c := range cols {
				text += len(c)
				cols[i] = tidy(c)
			}
			switch {
			case n > maxRows:
				return fmt.Errorf("it has lines below row %d", maxRows)
			case len(cols) > maxColumns:
				return fmt.Errorf("its row %d reaches beyond %d columns", n, maxColumns)
			case cells > maxCells || text > maxTextBytes:
				return errors.New("it holds more than a price sheet can")
			}
			out = append(out, line{row: n, hidden: rows.GetRowOpts().Hidden, cells: cols})
		}
		return rows.Error()
	})
	// What is left of blank lines are cells with mere spaces, and formulas without a value, which must not vanish.
	out = slices.DeleteFunc(out, func(l line) bool {
		if len(l.filled()) > 0 {
			return false
		}
		for i := range l.cells {
			if w.formulas && w.hasFormula(sheet, l.row, i+1) {
				return false
			}
		}
		return true
	})
	return out, err
}

// isText reports whether a cell holds text rather than a number.
func (w *workbook) isText(sheet string, row, col int) bool {
	var t excelize.CellType
	err := guard(func() (err error) {
		t, err = w.file.GetCellType(sheet, cellName(row, col))
		return err
	})
	return err != nil || t != excelize.CellTypeUnset && t != excelize.CellTypeNumber
}

// hasFormula reports whether a cell holds a formula.
func (w *workbook) hasFormula(sheet string, row, col int) bool {
	var formula string
	err := guard(func() (err error) {
		formula, err = w.file.GetCellFormula(sheet, cellName(row, col))
		return err
	})
	return err == nil && formula != ""
}

// format is the number format of a cell's style as its author wrote it, or a date's for a built-in date format. The built-in
// currency formats are none: they show whatever currency the reader's own machine is set to.
func (w *workbook) format(sheet string, row, col int) string {
	var code string
	err := guard(func() error {
		id, err := w.file.GetCellStyle(sheet, cellName(row, col))
		if err != nil {
			return err
		}
		if known, ok := w.formats[id]; ok {
			code = known
			return nil
		}
		style, err := w.file.GetStyle(id)
		if err != nil {
			return err
		}
		switch n := style.NumFmt; { // built-in numbers: ECMA-376 Part 1, 18.8.30
		case style.CustomNumFmt != nil:
			code = *style.CustomNumFmt
		case n >= 14 && n <= 22, n >= 27 && n <= 36, n >= 45 && n <= 47, n >= 50 && n <= 58:
			code = "yyyy-mm-dd"
		}
		w.formats[id] = code
		return nil
	})
	if err != nil {
		return ""
	}
	return code
}

// shownAround is the literal text of a number format: `#,##0.00 "€/m³"` shows €/m³ beside its figures. date is set
// when the format shows a date.
func shownAround(format string) (text string, date bool) {
	if format == "" {
		return "", false
	}
	parser := nfp.NumberFormatParser()
	var b strings.Builder
	for i, section := range parser.Parse(format) {
		for _, t := range section.Items {
			switch t.TType {
			case nfp.TokenTypeDateTimes, nfp.TokenTypeElapsedDateTimes:
				date = true
			case nfp.TokenTypeLiteral:
				if i == 0 { // the other sections are for negative amounts, zero and text
					b.WriteString(t.TValue)
				}
			case nfp.TokenTypeCurrencyLanguage:
				for _, p := range t.Parts {
					if i == 0 && p.Token.TType == nfp.TokenSubTypeCurrencyString {
						b.WriteString(" " + p.Token.TValue + " ")
					}
				}
			}
		}
	}
	return strings.TrimSpace(b.String()), date
}

// isoDate is how a workbook can store a date other than as a number.
var isoDate = regexp.MustCompile(`^\d{4}-\d\d-\d\d(?:T[\d:.]+Z?)?$`)

func cellName(row, col int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err) // rows and columns come from a sheet
	}
	return name
}
