package mip

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// WriteMPS writes m as free MPS, under the names of [Model.FileNames]. Equal models give equal bytes.
//
// It keeps to what cbc, glpsol and HiGHS read alike. A model to be maximised is written as its negative, to be
// minimised, because not every reader knows OBJSENSE. The constant of the objective is a column fixed at 1, because
// readers differ about the sign of a right-hand side of the objective. Rows that limit nothing are left out. Comments
// at the top say which of this was done, and which names were changed.
//
// Errors are those of [Model.Check] and of w, and an integer column without a whole number between its bounds.
func WriteMPS(w io.Writer, m *Model) error {
	f, err := m.file()
	if err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	f.comments(b, "* ")
	if m.Maximize {
		fmt.Fprintln(b, "* to be maximised; written as its negative, to be minimised")
	}
	fmt.Fprintf(b, "NAME %s FREE\nROWS\n N %s\n", f.name, objectiveName)
	for i, r := range m.Rows {
		if kind := mpsKind(r); kind != "" {
			fmt.Fprintf(b, " %s %s\n", kind, f.rows[i])
		}
	}
	fmt.Fprintln(b, "COLUMNS")
	byColumn := m.byColumn()
	whole := false
	for j, c := range f.columns {
		if c.integer != whole {
			whole = c.integer
			fmt.Fprintf(b, " MARKER 'MARKER' %s\n", map[bool]string{true: "'INTORG'", false: "'INTEND'"}[whole])
		}
		if c.objective != 0 || len(byColumn[j]) == 0 {
			fmt.Fprintf(b, " %s %s %s\n", c.name, objectiveName, number(m.sign()*c.objective))
		}
		for _, e := range byColumn[j] {
			fmt.Fprintf(b, " %s %s %s\n", c.name, f.rows[e.row], number(e.coefficient))
		}
	}
	if whole {
		fmt.Fprintln(b, " MARKER 'MARKER' 'INTEND'")
	}
	fmt.Fprintln(b, "RHS")
	for i, r := range m.Rows {
		if rhs := mpsRHS(r); mpsKind(r) != "" && rhs != 0 {
			fmt.Fprintf(b, " RHS %s %s\n", f.rows[i], number(rhs))
		}
	}
	heading := "RANGES\n"
	for i, r := range m.Rows {
		if r.Low < r.High && !math.IsInf(r.High-r.Low, 0) {
			fmt.Fprintf(b, "%s RANGE %s %s\n", heading, f.rows[i], number(r.High-r.Low))
			heading = ""
		}
	}
	fmt.Fprintln(b, "BOUNDS")
	for _, c := range f.columns {
		c.mpsBounds(b)
	}
	fmt.Fprintln(b, "ENDATA")
	return b.Flush()
}

// mpsKind is G for a row with a lower bound (and, with a range, an upper one), "" for one that limits nothing.
func mpsKind(r Row) string {
	switch {
	case r.Low == r.High:
		return "E"
	case !math.IsInf(r.Low, 0):
		return "G"
	case !math.IsInf(r.High, 0):
		return "L"
	}
	return ""
}

func mpsRHS(r Row) float64 {
	if math.IsInf(r.Low, 0) {
		return r.High
	}
	return r.Low
}

// mpsBounds writes both bounds of an integer column whatever they are, because readers differ about what it has
// without them; and never an upper bound alone, which gives some a lower bound of −∞.
func (c fileColumn) mpsBounds(b io.Writer) {
	switch {
	case c.low == c.high:
		fmt.Fprintf(b, " FX BOUND %s %s\n", c.name, number(c.low))
		return
	case math.IsInf(c.low, 0) && math.IsInf(c.high, 0):
		fmt.Fprintf(b, " FR BOUND %s\n", c.name)
		return
	case c.low == 0 && math.IsInf(c.high, 0) && !c.integer:
		return // as without
	case math.IsInf(c.low, 0):
		fmt.Fprintf(b, " MI BOUND %s\n", c.name)
	default:
		fmt.Fprintf(b, " LO BOUND %s %s\n", c.name, number(c.low))
	}
	if math.IsInf(c.high, 0) {
		fmt.Fprintf(b, " PL BOUND %s\n", c.name)
	} else {
		fmt.Fprintf(b, " UP BOUND %s %s\n", c.name, number(c.high))
	}
}

// An entry is a term seen from its column.
type entry struct {
	row         int
	coefficient float64
}

// byColumn is the matrix by column, in the order of rows, without zeros and rows that limit nothing. It has one more
// column, empty, for the constant.
func (m *Model) byColumn() [][]entry {
	cols := make([][]entry, len(m.Columns)+1)
	for i, r := range m.Rows {
		if mpsKind(r) == "" {
			continue
		}
		for _, t := range r.Terms {
			if t.Coefficient != 0 {
				cols[t.Column] = append(cols[t.Column], entry{i, t.Coefficient})
			}
		}
	}
	return cols
}

// A file is a model as both formats write it.
type file struct {
	model   *Model
	name    string
	columns []fileColumn    // of the model, then the constant's if there is one
	rows    []string        // names
	taken   map[string]bool // names of rows and the objective
}

type fileColumn struct {
	name                 string
	low, high, objective float64
	integer              bool
}

// file prepares m. The constant becomes a column when it is not 0, and when there is no column at all, which readers
// refuse.
func (m *Model) file() (*file, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	names, rows := m.FileNames()
	f := &file{model: m, name: fileName(map[string]bool{}, m.Name, "model", 0), rows: rows, taken: map[string]bool{objectiveName: true}}
	for _, r := range rows {
		f.taken[r] = true
	}
	for j, c := range m.Columns {
		low, high := c.limits()
		if low > high {
			return nil, fmt.Errorf("column %q: there is no whole number from %v to %v, so the model has no solution", m.columnName(j), c.Low, c.High)
		}
		f.columns = append(f.columns, fileColumn{names[j], low, high, c.Objective, c.Integer})
	}
	if m.Constant != 0 || len(m.Columns) == 0 {
		f.columns = append(f.columns, fileColumn{name: constantName, low: 1, high: 1, objective: m.Constant})
	}
	return f, nil
}

// comments say which names were changed, each on a line that begins with mark.
func (f *file) comments(b io.Writer, mark string) {
	changed := func(what, was, is string) {
		if was != "" && was != is {
			fmt.Fprintf(b, "%s%s %s is %s\n", mark, what, is, strconv.QuoteToASCII(was))
		}
	}
	changed("model", f.model.Name, f.name)
	for j, c := range f.model.Columns {
		changed("column", c.Name, f.columns[j].name)
	}
	for i, r := range f.model.Rows {
		changed("row", r.Name, f.rows[i])
	}
	if len(f.columns) > len(f.model.Columns) {
		fmt.Fprintf(b, "%scolumn %s is fixed at 1 and carries the constant of the objective\n", mark, constantName)
	}
}

// number is the shortest text that reads back as v, without an exponent where that is short too.
func number(v float64) string {
	if v == 0 {
		return "0" // and not -0
	}
	if a := math.Abs(v); a >= 1e-6 && a < 1e15 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strings.Replace(strconv.FormatFloat(v, 'e', -1, 64), "e+", "e", 1)
}
