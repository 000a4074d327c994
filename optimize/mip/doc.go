// Package mip states an integer program as data, solves it, and writes it as MPS or LP.
//
// Two engines solve: GLPK, by the only cgo of the module, and HiGHS, as a WebAssembly module that needs no cgo. A model is plain data; one
// call solves it; no handle to anything in an engine outlives a call.
//
// It touches no files, with one exception: the compiled code of HiGHS is kept in the user's cache directory, because compiling takes about
// two seconds. The module itself comes from the npm package highs; sh cmd/setup.sh fetches it.
//
// It knows nothing of woods or boards. Units are the caller's; coefficients should be integers of modest size.
package mip
