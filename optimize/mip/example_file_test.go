package mip_test

import (
	"fmt"
	"os"

	"stavewright/optimize/mip"
)

func ExampleWriteLP() {
	m := &mip.Model{
		Name: "two boards",
		Columns: []mip.Column{
			{Name: "strips, aspen", High: 9, Integer: true, Objective: 210},
			{Name: "strips, ash", High: 9, Integer: true, Objective: 340},
		},
		Rows: []mip.Row{{Name: "filled", Low: 12, High: 12, Terms: []mip.Term{{Column: 0, Coefficient: 1}, {Column: 1, Coefficient: 1}}}},
	}
	if err := mip.WriteLP(os.Stdout, m); err != nil {
		fmt.Println(err)
	}
	// Output:
	// \ model two_boards is "two boards"
	// \ column strips__aspen is "strips, aspen"
	// \ column strips__ash is "strips, ash"
	// Minimize
	//  obj: 210 strips__aspen + 340 strips__ash
	// Subject To
	//  filled: 1 strips__aspen + 1 strips__ash = 12
	// Bounds
	//  0 <= strips__aspen <= 9
	//  0 <= strips__ash <= 9
	// Generals
	//  strips__aspen
	//  strips__ash
	// End
}
