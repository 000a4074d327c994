//go:build !cgo

package mip

import "context"

// runGLPK stands in for GLPK where there is none.
func runGLPK(context.Context, *problem, Options, settings) (answer, error) {
	return answer{}, ErrNoSolver
}

// Available reports whether this build has GLPK.
const Available = false
