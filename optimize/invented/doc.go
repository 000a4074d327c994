// Package invented makes up seasons for tests and benchmarks: woods, boards, suppliers and prices that exist nowhere. Equal seeds give
// equal seasons.
//
// The program itself does not import it.
package invented
