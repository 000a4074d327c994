//go:build cgo

package mip_test

import (
	"context"
	"fmt"
	"math"

	"stavewright/optimize/mip"
)

// The most valuable choice of three things, of weight 5, 4 and 3, that weighs no more than 8.
func ExampleSolve() {
	m := &mip.Model{
		Name:     "sack",
		Maximize: true,
		Columns: []mip.Column{
			{Name: "lamp", High: 1, Integer: true, Objective: 10},
			{Name: "rope", High: 1, Integer: true, Objective: 7},
			{Name: "stove", High: 1, Integer: true, Objective: 6},
		},
		Rows: []mip.Row{{Name: "weight", Low: math.Inf(-1), High: 8, Terms: []mip.Term{{Column: 0, Coefficient: 5}, {Column: 1, Coefficient: 4}, {Column: 2, Coefficient: 3}}}},
	}
	r, err := mip.Solve(context.Background(), m, mip.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(r.Status == mip.Optimal, r.X, r.Objective)
	// Output: true [1 0 1] 16
}
