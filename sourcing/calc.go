package sourcing

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/xuri/efp"
	"github.com/xuri/excelize/v2"
)

// What is reckoned at most. Formulas come from strangers as well: each is evaluated once, after everything it rests on, so that
// neither rings nor doublings can run away.
const (
	maxFormulas     = 3_000
	maxFormulaBytes = 300
	maxRangeCells   = 2_000
	maxFormulaDepth = 200
	maxReckonCells  = 300_000 // of a sheet, as the spreadsheet library would hold it
)

// plainFunctions need no clock, no chance, no other file, and no more room than their arguments.
var plainFunctions = map[string]bool{"ROUND": true, "ROUNDUP": true, "ROUNDDOWN": true, "MROUND": true, "CEILING": true, "FLOOR": true, "INT": true,
	"TRUNC": true, "ABS": true, "SUM": true, "PRODUCT": true, "AVERAGE": true, "MIN": true, "MAX": true, "IF": true, "AND": true, "OR": true, "NOT": true}

var reference = regexp.MustCompile(`^(?:('(?:[^'\[\]]|'')+'|[\p{L}\d_.]+)!)?\$?([A-Z]{1,3})\$?(\d{1,6})(?::\$?([A-Z]{1,3})\$?(\d{1,6}))?$`)

// A calculator gives formulas without a stored value their value.
type calculator struct {
	file   *excelize.File
	small  map[string]bool // sheets that may be held as trees
	state  map[place]int
	text   map[place]string // formulas to evaluate
	order  []place          // each after what it rests on
	ranged int
}

type place struct{ sheet, cell string }

// reckon gives the cells of a workbook's grids that have a formula and no stored value the value of that formula, where it is
// plain arithmetic within the file. Those left keep none.
func (w *workbook) reckon(sheets []sheetPart, grids []*grid) {
	c := &calculator{file: w.file, small: map[string]bool{}, state: map[place]int{}, text: map[place]string{}}
	open := 0
	for i, g := range grids {
		if g == nil {
			continue
		}
		c.small[strings.ToLower(sheets[i].raw)] = g.treeCells <= maxReckonCells
		open += g.open
	}
	if open == 0 || open > maxFormulas || w.file == nil || len(w.shared) > maxReckonCells {
		return
	}
	_ = guard(func() error { // what cannot be reckoned stays without a value, and its line says so
		for i, g := range grids {
			if g == nil || g.open == 0 {
				continue
			}
			g.eachOpen(func(row, col int, _ *cell) { _ = c.visit(place{sheets[i].raw, cellName(row, col)}, 0) })
		}
		value := map[place]string{}
		for _, p := range c.order {
			if v, err := c.evaluate(p); err == nil {
				value[p] = v
			}
		}
		for i, g := range grids {
			if g == nil || g.open == 0 {
				continue
			}
			g.eachOpen(func(row, col int, k *cell) {
				v, ok := value[place{sheets[i].raw, cellName(row, col)}]
				if !ok || !machineNumber.MatchString(v) {
					return
				}
				k.text, k.kind = v, k.kind|number|reckoned
				if g.reckoned++; g.reckoned == 1 {
					g.firstRow, g.firstCol = row, col
				}
			})
		}
		return nil
	})
}

// eachOpen visits the cells with a formula and no value.
func (g *grid) eachOpen(visit func(row, col int, c *cell)) {
	for _, l := range g.lines {
		for i := range l.cells {
			if c := &l.cells[i]; c.is(formula) && c.text == "" {
				visit(l.row, i+1, c)
			}
		}
	}
}

const (
	visiting = 1
	visited  = 2
	refused  = 3
)

var errNotPlain = errors.New("the formula is not plain arithmetic within the file")

// visit puts a cell into the order of evaluation, after all it refers to.
func (c *calculator) visit(p place, depth int) (err error) {
	switch c.state[p] {
	case visited:
		return nil
	case refused, visiting: // a ring
		return errNotPlain
	}
	if depth > maxFormulaDepth || len(c.order) >= maxFormulas {
		return errNotPlain
	}
	c.state[p] = visiting
	defer func() {
		c.state[p] = visited
		if err != nil {
			c.state[p] = refused
		}
	}()
	if !c.small[strings.ToLower(p.sheet)] {
		return errNotPlain
	}
	text, err := c.file.GetCellFormula(p.sheet, p.cell)
	if err != nil {
		return err
	}
	if text == "" {
		return nil
	}
	if depth > 0 { // a stored value counts as it is, whatever its formula
		if v, err := c.file.GetCellValue(p.sheet, p.cell); err == nil && v != "" {
			c.text[p] = ""
			c.order = append(c.order, p)
			return nil
		}
	}
	if len(text) > maxFormulaBytes {
		return errNotPlain
	}
	parser := efp.ExcelParser()
	for _, t := range parser.Parse(text) {
		switch {
		case t.TType == efp.TokenTypeFunction && t.TSubType == efp.TokenSubTypeStart:
			if !plainFunctions[strings.ToUpper(t.TValue)] {
				return errNotPlain
			}
		case t.TType == efp.TokenTypeOperand && t.TSubType == efp.TokenSubTypeRange:
			if err := c.visitRange(p.sheet, t.TValue, depth); err != nil {
				return err
			}
		case t.TType == efp.TokenTypeOperand && t.TSubType == efp.TokenSubTypeError, t.TType == efp.TokenTypeUnknown,
			t.TType == efp.TokenTypeOperatorInfix && t.TValue == "&":
			return errNotPlain
		}
	}
	c.text[p] = text
	c.order = append(c.order, p)
	return nil
}

func (c *calculator) visitRange(sheet, ref string, depth int) error {
	m := reference.FindStringSubmatch(strings.ToUpper(ref))
	if m == nil {
		return errNotPlain
	}
	if m[1] != "" { // the sheet's name as it is written, not in capitals
		name, _, _ := strings.Cut(ref, "!")
		if i := strings.LastIndex(ref, "!"); i >= 0 {
			name = ref[:i]
		}
		if strings.HasPrefix(name, "'") {
			name = strings.ReplaceAll(strings.Trim(name, "'"), "''", "'")
		}
		sheet = name
	}
	fromCol, err1 := excelize.ColumnNameToNumber(m[2])
	fromRow, err2 := strconv.Atoi(m[3])
	toCol, toRow := fromCol, fromRow
	var err3, err4 error
	if m[4] != "" {
		toCol, err3 = excelize.ColumnNameToNumber(m[4])
		toRow, err4 = strconv.Atoi(m[5])
	}
	if err := errors.Join(err1, err2, err3, err4); err != nil {
		return err
	}
	cells := (toRow - fromRow + 1) * (toCol - fromCol + 1)
	if toRow < fromRow || toCol < fromCol || cells > maxRangeCells || fromRow < 1 || toRow > maxRows || toCol > maxColumns {
		return errNotPlain
	}
	if c.ranged += cells; c.ranged > 100*maxRangeCells {
		return errNotPlain
	}
	for row := fromRow; row <= toRow; row++ {
		for col := fromCol; col <= toCol; col++ {
			if err := c.visit(place{sheet, cellName(row, col)}, depth+1); err != nil {
				return err
			}
		}
	}
	return nil
}

// evaluate is a formula's value, and puts it in the place of the formula: what rests on it sees a plain figure.
func (c *calculator) evaluate(p place) (string, error) {
	if c.text[p] == "" {
		v, err := c.file.GetCellValue(p.sheet, p.cell)
		if err != nil {
			return "", err
		}
		return v, c.set(p, v)
	}
	if err := c.file.SetCellFormula(p.sheet, p.cell, c.text[p]); err != nil {
		return "", err
	}
	v, err := c.file.CalcCellValue(p.sheet, p.cell, excelize.Options{RawCellValue: true})
	if err != nil {
		return "", err
	}
	if strings.HasPrefix(v, "#") {
		return "", fmt.Errorf("the formula gives %s", v)
	}
	return v, c.set(p, v)
}

func (c *calculator) set(p place, v string) error {
	if f, err := strconv.ParseFloat(v, 64); err == nil {
		return c.file.SetCellFloat(p.sheet, p.cell, f, -1, 64)
	}
	return c.file.SetCellStr(p.sheet, p.cell, v)
}
