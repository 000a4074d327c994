//go:build cgo

package mip

import (
	"context"
	"math"
	"testing"
)

// TestDual: least 2x + 3y with x + y = 10, x ≤ 4 as a row. By hand: one more to be had costs 3; one more of x saves 1.
func TestDual(t *testing.T) {
	m := &Model{Columns: []Column{{High: math.Inf(1), Objective: 2}, {High: math.Inf(1), Objective: 3, Integer: true}}, Rows: []Row{
		{Low: 10, High: 10, Terms: []Term{{0, 1}, {1, 1}}},
		{Low: math.Inf(-1), High: 4, Terms: []Term{{0, 1}}}}}
	r, err := Solve(context.Background(), m, Options{RelaxIntegers: true})
	if err != nil || len(r.Dual) != 2 || math.Abs(r.Dual[0]-3) > 1e-9 || math.Abs(r.Dual[1]+1) > 1e-9 {
		t.Fatalf("duals %v, want 3 and −1 (%v)", r.Dual, err)
	}
	// A third column, cheaper than what a unit is worth: the old basis with it at zero is a start.
	m.Columns = append(m.Columns, Column{High: 2, Objective: 1})
	m.Rows[0].Terms = append(m.Rows[0].Terms, Term{2, 1})
	r.Basis.ColumnState = append(r.Basis.ColumnState, 2)
	more, err := Solve(context.Background(), m, Options{RelaxIntegers: true, Basis: r.Basis, ColumnsAdded: true})
	if err != nil || math.Abs(more.Objective-22) > 1e-9 {
		t.Errorf("with a cheaper column %v, want 2·1 + 4·2 + 4·3 = 22 (%v)", more.Objective, err)
	}
	if r, err := Solve(context.Background(), m, Options{}); err != nil || r.Dual != nil {
		t.Errorf("an integer program has duals %v (%v)", r.Dual, err)
	}
}
