//go:build !cgo

package mip

import "context"

// run stands in for GLPK where there is none.
func run(context.Context, *problem, Options, settings) (answer, error) {
	return answer{}, ErrNoSolver
}

// Available reports whether this build has GLPK.
const Available = false
