// Package mip states an integer program as data, solves it, and writes it as MPS or LP.
//
// It is the only door to GLPK and the only cgo of the module. A model is plain data; one call solves it; no handle to
// anything in C outlives a call.
//
// It knows nothing of woods or boards. Units are the caller's; coefficients should be integers of modest size.
package mip
