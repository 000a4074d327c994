// Package optimize decides which woods go where across a core, and proves it: complete fronts of mass against
// stiffness (and cost), and, when nothing is feasible, which limits clash and what the least relaxation is.
//
// Mass is g, EI N·m², money decimal in the job's currency. What decides is an integer: every coefficient is quantised
// once ([Program] says how finely), every answer recomputed in integers.
//
// It reads and writes no files and knows no spreadsheet: a program in, a result out.
package optimize
