package mip

import (
	"fmt"
	"math"
)

// Check says what is wrong with m, naming the row or column, before GLPK or another program sees it: a number that is
// none, bounds that cross, a term without a column or twice for one, a name used twice.
//
// Names may be empty. Bounds of an integer column between which there is no whole number are no fault: that is an
// infeasible model.
func (m *Model) Check() error {
	if !finite(m.Constant) {
		return fmt.Errorf("model %q: constant %v is not a finite number", m.Name, m.Constant)
	}
	names := make(map[string]int, len(m.Columns))
	for j, c := range m.Columns {
		if err := checkBounds(c.Low, c.High); err != nil {
			return fmt.Errorf("column %q: %w", m.columnName(j), err)
		}
		if !finite(c.Objective) {
			return fmt.Errorf("column %q: objective coefficient %v is not a finite number", m.columnName(j), c.Objective)
		}
		if err := checkName(names, c.Name, j); err != nil {
			return fmt.Errorf("column %w", err)
		}
	}
	names = make(map[string]int, len(m.Rows))
	seen := make([]int, len(m.Columns)) // the row, from 1, that last had a term for the column
	for i, r := range m.Rows {
		if err := checkBounds(r.Low, r.High); err != nil {
			return fmt.Errorf("row %q: %w", m.rowName(i), err)
		}
		if err := checkName(names, r.Name, i); err != nil {
			return fmt.Errorf("row %w", err)
		}
		for _, t := range r.Terms {
			if t.Column < 0 || t.Column >= len(m.Columns) {
				return fmt.Errorf("row %q: a term for column %d of %d", m.rowName(i), t.Column, len(m.Columns))
			}
			if !finite(t.Coefficient) {
				return fmt.Errorf("row %q: coefficient %v of column %q is not a finite number", m.rowName(i), t.Coefficient, m.columnName(t.Column))
			}
			if seen[t.Column] == i+1 {
				return fmt.Errorf("row %q: two terms for column %q", m.rowName(i), m.columnName(t.Column))
			}
			seen[t.Column] = i + 1
		}
	}
	return nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func checkBounds(low, high float64) error {
	switch {
	case math.IsNaN(low) || math.IsNaN(high):
		return fmt.Errorf("bounds %v to %v: not a number", low, high)
	case low > high:
		return fmt.Errorf("bounds cross: %v to %v", low, high)
	case math.IsInf(low, 1) || math.IsInf(high, -1):
		return fmt.Errorf("bounds %v to %v: nothing lies between", low, high)
	}
	return nil
}

func checkName(names map[string]int, name string, at int) error {
	if name == "" {
		return nil
	}
	if before, twice := names[name]; twice {
		return fmt.Errorf("%d has the name of %d, %q: names must differ", at+1, before+1, name)
	}
	names[name] = at
	return nil
}

// columnName is the name of column j, or its number from 1 where it has none.
func (m *Model) columnName(j int) string {
	if n := m.Columns[j].Name; n != "" {
		return n
	}
	return fmt.Sprint(j + 1)
}

// rowName is the name of row i, or its number from 1 where it has none.
func (m *Model) rowName(i int) string {
	if n := m.Rows[i].Name; n != "" {
		return n
	}
	return fmt.Sprint(i + 1)
}
