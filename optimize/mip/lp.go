package mip

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"
)

// lpWidth is where a line of terms is broken; cbc's reader takes about 1000 characters.
const lpWidth = 100

// WriteLP writes m in the LP format, in the part of it that cbc, glpsol and HiGHS read alike, under the names of
// [Model.FileNames]. Equal models give equal bytes.
//
// A row bounded on both sides becomes two, "_low" and "_high"; a row that limits nothing is left out; the constant of
// the objective is a column fixed at 1. Comments at the top say which names were changed.
//
// Errors are those of [WriteMPS].
func WriteLP(w io.Writer, m *Model) error {
	f, err := m.file()
	if err != nil {
		return err
	}
	b := bufio.NewWriter(w)
	f.comments(b, `\ `)
	fmt.Fprintln(b, map[bool]string{true: "Maximize", false: "Minimize"}[m.Maximize])
	inRows := m.byColumn()
	var objective []lpTerm
	for j, c := range f.columns {
		if c.objective != 0 || len(inRows[j]) == 0 { // a column must occur somewhere
			objective = append(objective, lpTerm{c.objective, c.name})
		}
	}
	f.lpRow(b, objectiveName, objective, "")
	fmt.Fprintln(b, "Subject To")
	written := false
	for i, r := range m.Rows {
		var terms []lpTerm
		for _, t := range r.Terms {
			if t.Coefficient != 0 {
				terms = append(terms, lpTerm{t.Coefficient, f.columns[t.Column].name})
			}
		}
		low, high := !math.IsInf(r.Low, 0), !math.IsInf(r.High, 0)
		switch {
		case r.Low == r.High:
			f.lpRow(b, f.rows[i], terms, "= "+number(r.Low))
		case low && high:
			f.lpRow(b, unique(f.taken, f.rows[i]+"_low"), terms, ">= "+number(r.Low))
			f.lpRow(b, unique(f.taken, f.rows[i]+"_high"), terms, "<= "+number(r.High))
		case low:
			f.lpRow(b, f.rows[i], terms, ">= "+number(r.Low))
		case high:
			f.lpRow(b, f.rows[i], terms, "<= "+number(r.High))
		}
		written = written || low || high
	}
	if !written { // cbc does not read a file without rows
		f.lpRow(b, unique(f.taken, "nothing"), nil, "<= 0")
	}
	fmt.Fprintln(b, "Bounds")
	for _, c := range f.columns {
		c.lpBounds(b)
	}
	heading := "Generals\n"
	for _, c := range f.columns {
		if c.integer {
			fmt.Fprintf(b, "%s %s\n", heading, c.name)
			heading = ""
		}
	}
	fmt.Fprintln(b, "End")
	return b.Flush()
}

type lpTerm struct {
	coefficient float64
	column      string
}

// lpRow writes one row or the objective, broken over as many lines as it takes. Without terms it is 0 times some
// column, for the format knows no row without.
func (f *file) lpRow(b io.Writer, name string, terms []lpTerm, relation string) {
	if len(terms) == 0 {
		terms = []lpTerm{{0, f.columns[0].name}}
	}
	line := " " + name + ":"
	add := func(s string) {
		if len(line)+1+len(s) > lpWidth {
			fmt.Fprintln(b, line)
			line = " "
		}
		line += " " + s
	}
	for k, t := range terms {
		text := strings.TrimPrefix(number(t.coefficient), "-")
		switch {
		case t.coefficient < 0:
			text = "- " + text
		case k > 0:
			text = "+ " + text
		}
		add(text + " " + t.column)
	}
	if relation != "" {
		add(relation)
	}
	fmt.Fprintln(b, line)
}

// lpBounds writes both bounds of a column, so that nothing hangs on what a reader assumes.
func (c fileColumn) lpBounds(b io.Writer) {
	low, high := "-inf", "inf"
	if !math.IsInf(c.low, 0) {
		low = number(c.low)
	}
	if !math.IsInf(c.high, 0) {
		high = number(c.high)
	}
	switch {
	case c.low == c.high:
		fmt.Fprintf(b, " %s = %s\n", c.name, low)
	case low == "-inf" && high == "inf":
		fmt.Fprintf(b, " %s free\n", c.name)
	case high == "inf":
		fmt.Fprintf(b, " %s >= %s\n", c.name, low)
	default:
		fmt.Fprintf(b, " %s <= %s <= %s\n", low, c.name, high)
	}
}
