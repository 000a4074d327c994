package sourcing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
	"golang.org/x/net/html/charset"
)

// A cell is what stands in a cell.
type cell struct {
	text  string // tidied
	style int32
	kind  cellKind
}

type cellKind uint8

const (
	number     cellKind = 1 << iota // stored as one
	formula                         // has a formula; without text, one that has no value either
	reckoned                        // its value was reckoned here
	broken                          // its text runs over several lines
	struck                          // all of its text is struck through, within the text or by the cell's style
	partStruck                      // some of it was, and is left out
	merged                          // the text is that of the merged area it belongs to
)

func (c cell) is(k cellKind) bool { return c.kind&k != 0 }

// A line is a row of a sheet that holds anything.
type line struct {
	row    int // from 1
	hidden bool
	cells  []cell // from column A
}

// at is a cell; the zero cell beyond the row's end.
func (l line) at(col int) cell {
	if col < 1 || col > len(l.cells) {
		return cell{}
	}
	return l.cells[col-1]
}

// text is a cell's value; empty beyond the row's end.
func (l line) text(col int) string { return l.at(col).text }

// filled is the columns of a range that hold something of their own.
func (l line) filled(from, to int) (cols []int) {
	for c := from; c <= min(to, len(l.cells)); c++ {
		if k := &l.cells[c-1]; k.kind&merged == 0 && (k.text != "" || k.kind&formula != 0) {
			cols = append(cols, c)
		}
	}
	return cols
}

// A grid is a sheet as it stands.
type grid struct {
	lines              []line
	hiddenCols         []colRange
	merges             []area
	open               int // formulas without a stored value
	reckoned           int // those of them whose value was reckoned, and the first of these
	firstRow, firstCol int
	treeCells          int // what the spreadsheet library would hold of the sheet: every row as long as its last cell
}

// A colRange is a range of columns.
type colRange struct{ from, to int }

func (g *grid) isHiddenCol(col int) bool {
	for _, s := range g.hiddenCols {
		if col >= s.from && col <= s.to {
			return true
		}
	}
	return false
}

func newDecoder(data []byte) *xml.Decoder {
	d := xml.NewDecoder(bytes.NewReader(data))
	d.CharsetReader = charset.NewReaderLabel
	return d
}

// local and attr read a token without regard to namespaces, whose prefixes differ between programs.
func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

// A richText gathers the runs of a text, leaving out what is struck through beside what is not.
type richText struct {
	kept, gone strings.Builder
	inRun      bool
	strike     bool
}

func (r *richText) reset() { *r = richText{} }

func (r *richText) add(s []byte) {
	if r.inRun && r.strike {
		r.gone.Write(s)
		return
	}
	r.kept.Write(s)
}

// cell is the text as a cell's.
func (r *richText) cell() cell {
	kept, gone := r.kept.String(), r.gone.String()
	var c cell
	switch {
	case strings.TrimSpace(gone) == "":
	case strings.TrimSpace(kept) == "":
		kept, c.kind = gone, struck
	default:
		c.kind = partStruck
	}
	return c.with(kept)
}

// with is the cell with a raw text.
func (c cell) with(raw string) cell {
	if strings.Contains(raw, "_x") {
		raw = escaped.ReplaceAllStringFunc(raw, func(s string) string {
			n, err := strconv.ParseUint(s[2:6], 16, 16)
			if err != nil {
				return s
			}
			return string(rune(n))
		})
	}
	c.text = tidy(raw)
	if strings.ContainsAny(strings.TrimSpace(raw), "\n\r\v\f") {
		c.kind |= broken
	}
	if len(c.text) > 1 && c.text[0] == '\'' && strings.IndexByte("0123456789=+-@", c.text[1]) >= 0 {
		c.text = c.text[1:] // the mark by which a spreadsheet is told that a figure is text
	}
	return c
}

// escaped is how a workbook writes a character that XML cannot hold: _x000D_.
var escaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// readShared reads the shared strings, each once, however many cells show it.
func (w *workbook) readShared() error {
	data := w.part("xl/sharedStrings.xml")
	if data == nil {
		return nil
	}
	d := newDecoder(data)
	var text richText
	var phonetic, inText bool
	bytes := 0
	for {
		token, err := d.RawToken()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("its shared strings are damaged: %w", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "si":
				text.reset()
			case "r":
				text.inRun, text.strike = true, false
			case "strike":
				text.strike = attr(e, "val") != "0" && attr(e, "val") != "false"
			case "rPh":
				phonetic = true
			case "t":
				inText = !phonetic
			}
		case xml.CharData:
			if inText {
				text.add(e)
			}
		case xml.EndElement:
			switch e.Name.Local {
			case "si":
				c := text.cell()
				if bytes += len(c.text); bytes > maxTextBytes || len(w.shared) >= maxSharedTexts {
					return errors.New("it holds more text than a price list can")
				}
				w.shared = append(w.shared, c)
			case "r":
				text.inRun = false
			case "rPh":
				phonetic = false
			case "t":
				inText = false
			}
		}
	}
}

// errTooMuch: the sheet holds more than any price sheet.
var errTooMuch = errors.New("it holds more than a price sheet can")

// grid reads a sheet in one pass over its XML. The spreadsheet library's own walk over rows tells neither a cell's style nor
// whether it is text, and asking it for those of single cells makes it hold the whole sheet as a tree.
func (w *workbook) grid(s sheetPart) (g *grid, err error) {
	if w.file == nil {
		return &grid{lines: w.plain}, nil
	}
	g = &grid{}
	data := w.part(s.path)
	if data == nil {
		return nil, errors.New("its part of the file is missing")
	}
	d := newDecoder(data)
	var (
		l                        line
		c                        cell
		col                      int
		kind                     string
		value                    []byte
		text                     richText
		inValue, inText, inPhone bool
		inRow                    bool
		inline, complete, stored bool
	)
	for {
		token, err := d.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "row":
				n := l.row + 1
				if r := attr(e, "r"); r != "" {
					if n, err = strconv.Atoi(r); err != nil || n <= l.row {
						return nil, fmt.Errorf("its row %q is out of order", r)
					}
				}
				h := attr(e, "hidden")
				inRow = true
				l, col = line{row: n, hidden: h == "1" || h == "true"}, 0
			case "c":
				if !inRow {
					return nil, errors.New("a cell stands in no row")
				}
				col++
				if r := attr(e, "r"); r != "" {
					if col, _, err = excelize.CellNameToCoordinates(r); err != nil {
						return nil, err
					}
				}
				style, _ := strconv.Atoi("0" + attr(e, "s"))
				c, kind, value, inline, stored = cell{style: int32(min(style, 1<<20))}, attr(e, "t"), value[:0], false, false
				text.reset()
			case "v":
				inValue, stored = true, true
			case "f":
				c.kind |= formula
			case "is":
				inline = true
			case "r":
				text.inRun, text.strike = true, false
			case "strike":
				text.strike = attr(e, "val") != "0" && attr(e, "val") != "false"
			case "rPh":
				inPhone = true
			case "t":
				inText = inline && !inPhone
			case "mergeCell":
				if a, ok := areaOf(attr(e, "ref")); ok && len(g.merges) < maxMerges {
					g.merges = append(g.merges, a)
				}
			case "col":
				if h := attr(e, "hidden"); h == "1" || h == "true" {
					from, err1 := strconv.Atoi(attr(e, "min"))
					to, err2 := strconv.Atoi(attr(e, "max"))
					if err1 == nil && err2 == nil && len(g.hiddenCols) < maxColumns {
						g.hiddenCols = append(g.hiddenCols, colRange{from, to})
					}
				}
			}
		case xml.CharData:
			switch {
			case inValue:
				value = append(value, e...)
			case inText:
				text.add(e)
			}
		case xml.EndElement:
			switch e.Name.Local {
			case "v":
				inValue = false
			case "t":
				inText = false
			case "r":
				text.inRun = false
			case "rPh":
				inPhone = false
			case "c":
				if c, err = w.value(c, kind, string(value), &text); err != nil {
					return nil, err
				}
				if c.text == "" && (!c.is(formula) || kind == "str" && stored) {
					break // a formula that gives no text has its value
				}
				if c.text == "" {
					g.open++
				}
				if c.text != "" && w.look(c.style).struck {
					c.kind |= struck
				}
				switch w.text += len(c.text); {
				case l.row > maxRows:
					return nil, fmt.Errorf("it has lines below row %d", maxRows)
				case col > maxColumns:
					return nil, fmt.Errorf("its row %d reaches beyond %d columns", l.row, maxColumns)
				case w.text > maxTextBytes:
					return nil, errTooMuch
				}
				if l.cells == nil && len(g.lines) > 0 {
					l.cells = make([]cell, 0, len(g.lines[len(g.lines)-1].cells))
				}
				for len(l.cells) < col {
					l.cells = append(l.cells, cell{})
					if w.cells++; w.cells > maxCells {
						return nil, errTooMuch
					}
				}
				l.cells[col-1] = c
			case "row":
				inRow = false
				g.treeCells += max(col, 1)
				if len(l.cells) > 0 {
					g.lines = append(g.lines, l)
				}
			case "worksheet":
				complete = true
			}
		}
	}
	if !complete {
		return nil, errors.New("it is cut short")
	}
	g.treeCells += l.row
	return g, nil
}

// value completes a cell by the type that the file gives it.
func (w *workbook) value(c cell, kind, value string, text *richText) (cell, error) {
	switch kind {
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(value))
		if value == "" {
			return c, nil
		}
		if err != nil || n < 0 || n >= len(w.shared) {
			return c, fmt.Errorf("a cell shows text number %q, and the file has none", shorten(value))
		}
		c.text, c.kind = w.shared[n].text, c.kind|w.shared[n].kind
	case "inlineStr":
		t := text.cell()
		c.text, c.kind = t.text, c.kind|t.kind
	case "b":
		c.text = map[string]string{"0": "FALSE", "1": "TRUE"}[strings.TrimSpace(value)]
	case "str", "e", "d":
		c = c.with(value)
	default:
		if c.text = strings.TrimSpace(value); machineNumber.MatchString(c.text) {
			c.kind |= number
		} else {
			c.text = tidy(c.text)
		}
	}
	return c, nil
}

// An area is a rectangle of cells.
type area struct{ row, col, toRow, toCol int }

func areaOf(ref string) (area, bool) {
	from, to, ok := strings.Cut(ref, ":")
	if !ok {
		return area{}, false
	}
	c1, r1, err1 := excelize.CellNameToCoordinates(from)
	c2, r2, err2 := excelize.CellNameToCoordinates(to)
	a := area{r1, c1, r2, min(c2, maxColumns)}
	return a, err1 == nil && err2 == nil && r1 <= r2 && c1 <= a.toCol
}

// spread gives every cell of a merged area the area's text. Lines that hold nothing else stay away.
func (g *grid) spread() error {
	if len(g.merges) == 0 {
		return nil
	}
	at := make(map[int]int, len(g.lines))
	for i, l := range g.lines {
		at[l.row] = i
	}
	total := 0
	for _, a := range g.merges {
		i, ok := at[a.row]
		if !ok {
			continue
		}
		c := g.lines[i].at(a.col)
		if c.text == "" {
			continue
		}
		c.kind |= merged
		for ; i < len(g.lines) && g.lines[i].row <= a.toRow; i++ {
			l := &g.lines[i]
			for col := a.col; col <= a.toCol; col++ {
				if l.row == a.row && col == a.col {
					continue
				}
				if total++; total > maxMergedCells {
					return errTooMuch
				}
				for len(l.cells) < col {
					l.cells = append(l.cells, cell{})
				}
				if l.cells[col-1].text == "" {
					l.cells[col-1] = c
				}
			}
		}
	}
	return nil
}
