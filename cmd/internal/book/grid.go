package book

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
	"github.com/xuri/nfp"
	"golang.org/x/net/html/charset"

	"stavewright/sourcing"
)

// What a job book may be at most. A book of forty models needs a hundredth of it; a file made to exhaust the machine
// is refused before it does.
const (
	maxFileBytes   = 32 << 20
	maxUnzipBytes  = 64 << 20
	maxPartBytes   = 4 << 20   // of a part other than a sheet or a picture: those are held as trees many times their size
	maxRelsBytes   = 512 << 10 // of a list of relations: the spreadsheet library holds each sheet against each of them
	maxParts       = 2_000
	maxTextBytes   = 32 << 20  // of all cells
	maxTreeCells   = 1_000_000 // of all sheets as the spreadsheet library holds them: every row from A to its last cell
	maxRows        = 10_000    // of one sheet
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
	if err := checkParts(data); err != nil {
		return nil, false, nil, err
	}
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
				found = append(found, cut.Printable())
			}
		}
		grids = append(grids, g)
	}
	return grids, date1904, found, nil
}

// checkParts refuses a workbook that would take far more memory than its size says. Sizes are those the file states; a part that is
// larger is refused as well.
func checkParts(data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil // the spreadsheet library says what is wrong with it
	}
	if len(z.File) > maxParts {
		return fmt.Errorf("it has more than %d parts", maxParts)
	}
	total := uint64(0)
	var texts []int
	for _, f := range z.File {
		if total += f.UncompressedSize64; total > maxUnzipBytes || f.UncompressedSize64 > maxUnzipBytes {
			return fmt.Errorf("it cannot be opened: unpacked it is larger than %d MB", maxUnzipBytes>>20)
		}
		if partName(f) == "xl/sharedstrings.xml" {
			if err := scan(f, func(d *xml.Decoder) { texts = textSizes(d) }); err != nil {
				return err
			}
		}
	}
	sum := sheetSize{texts: texts}
	for _, f := range z.File {
		name := partName(f)
		isXML := strings.HasSuffix(name, ".xml") || strings.HasSuffix(name, ".rels")
		if strings.HasSuffix(name, ".rels") && f.UncompressedSize64 > maxRelsBytes {
			return fmt.Errorf("its part %q is larger than %d kB", sourcing.Printable(f.Name), maxRelsBytes>>10)
		}
		isSheet, damage := false, error(nil)
		if err := scan(f, func(d *xml.Decoder) { isSheet, damage = sum.add(d) }); err != nil {
			return err
		}
		switch {
		case damage != nil:
			return fmt.Errorf("its part %q is damaged (%w)", sourcing.Printable(f.Name), damage)
		case isXML && !isSheet && f.UncompressedSize64 > maxPartBytes:
			return fmt.Errorf("its part %q is larger than %d MB", sourcing.Printable(f.Name), maxPartBytes>>20)
		case sum.cells > maxTreeCells:
			return fmt.Errorf("its sheets reach over more than %d cells: delete the empty rows and columns below and beside what is filled in", maxTreeCells)
		case sum.text > maxTextBytes:
			return fmt.Errorf("its cells hold more than %d MB of text", maxTextBytes>>20)
		}
	}
	return nil
}

func partName(f *zip.File) string { return strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/")) }

// scan hands the XML of a part to a function that reads it token by token, and reads the rest. The error is a part that is not what its file says of
// it, by size or checksum: the spreadsheet library takes what there is of it.
func scan(f *zip.File, read func(*xml.Decoder)) error {
	r, err := f.Open()
	if err == nil {
		d := xml.NewDecoder(r)
		d.CharsetReader = charset.NewReaderLabel
		read(d)
		_, err = io.Copy(io.Discard, r)
		r.Close()
	}
	if err != nil {
		return fmt.Errorf("its part %q is damaged (%w)", sourcing.Printable(f.Name), err)
	}
	return nil
}

// textSizes is how long each of the shared strings is, in bytes.
func textSizes(d *xml.Decoder) (sizes []int) {
	n := 0
	for {
		token, err := d.RawToken()
		if err != nil {
			return sizes // opening the file says what is wrong with it
		}
		switch e := token.(type) {
		case xml.CharData:
			n += len(e)
		case xml.EndElement:
			if e.Name.Local == "si" {
				sizes, n = append(sizes, n), 0
			}
		}
	}
}

// A sheetSize is how much the sheets of a file come to, once they are read.
type sheetSize struct {
	texts []int // sizes of the shared strings
	cells int   // as the spreadsheet library holds them
	text  int   // bytes, of shared strings as often as a cell shows them
}

// add counts one part, until there is too much; isSheet is false for another part. The error is what is wrong with a sheet: the spreadsheet
// library reads a sheet up to there, and says nothing.
func (s *sheetSize) add(d *xml.Decoder) (isSheet bool, err error) {
	row, col, widest := 0, 0, 0
	shared, inValue := false, false
	var value []byte
	for s.cells <= maxTreeCells && s.text <= maxTextBytes {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil && !isSheet {
			return false, nil // opening the file says what is wrong with other parts
		}
		if err != nil {
			return true, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			if !isSheet && e.Name.Local != "worksheet" {
				return false, nil
			}
			isSheet = true
			attr := func(name string) string {
				for _, a := range e.Attr {
					if a.Name.Local == name && a.Name.Space == "" {
						return a.Value
					}
				}
				return ""
			}
			switch e.Name.Local {
			case "row":
				n, err := strconv.Atoi(attr("r"))
				if err != nil {
					n = row + 1
				}
				s.cells += widest + max(0, n-row) // rows without cells are held as well
				row, col, widest = max(row, n), 0, 0
			case "c":
				if col++; attr("r") != "" {
					if c, _, err := excelize.CellNameToCoordinates(attr("r")); err == nil {
						col = c
					}
				}
				widest, shared = max(widest, col), attr("t") == "s"
			case "v":
				inValue, value = true, value[:0]
			}
		case xml.CharData:
			if s.text += len(e); inValue && len(value) < 20 {
				value = append(value, e...)
			}
		case xml.EndElement:
			if e.Name.Local == "v" {
				inValue = false
				if n, err := strconv.Atoi(strings.TrimSpace(string(value))); err == nil && shared && n >= 0 && n < len(s.texts) {
					s.text += s.texts[n]
				}
			}
		}
	}
	s.cells += widest
	return isSheet, nil
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
	if strings.TrimSpace(sourcing.Printable(c.raw)) == "" {
		c.raw = "" // nothing shows
	}
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
