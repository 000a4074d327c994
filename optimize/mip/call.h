// One whole solve by GLPK in one C call: build, simplex, branch and bound, copy out, delete.
//
// Nothing of GLPK outlives mip_run, so its memory, which belongs to a thread, never meets another one. This file cannot
// be called glpk.h: cgo looks for headers here first, so it would hide GLPK's own.

#ifndef STAVEWRIGHT_MIP_CALL_H
#define STAVEWRIGHT_MIP_CALL_H

#include <stdint.h>

// What a run ended with.
enum {
	MIP_OPTIMAL = 1,
	MIP_INFEASIBLE,
	MIP_UNBOUNDED, // the linear relaxation has no bound
	MIP_FEASIBLE,  // stopped with a solution
	MIP_STOPPED,   // stopped without one
	MIP_FAILED,    // GLPK gave up on numbers; other settings may do better
	MIP_FAULT,     // GLPK reported a fault of its caller or of its own; its words are in mip_answer
};

// A model to be minimised. Arrays count from 0, but ia, ja and ar from 1, as GLPK takes them.
typedef struct {
	int rows, cols, terms;
	const double *row_low, *row_high; // infinite: open
	const double *col_low, *col_high;
	const double *objective;
	const unsigned char *integer;
	int integers; // how many columns are integer; 0: solve as a linear program
	const int *ia, *ja;
	const double *ar;
	const signed char *row_state, *col_state; // where the simplex method starts; NULL: the standard basis
	double constant;                          // of the objective; only the relative gap needs it
	double gap;                               // stop at this relative gap; 0: never
	int64_t node_limit;                       // stop after so many nodes; 0: never
	int time_limit_ms;                        // INT_MAX: none
	int presolve, mir, gomory, cover, clique, pump, scale;
	double tol_int, tol_obj;
	int fault; // for tests: ask GLPK for −5 columns, which it answers by a fault
} mip_problem;

// What Go and the search share while it runs. Every field is read and written atomically.
typedef struct {
	int32_t stop;              // set by Go: end the search
	int32_t has_incumbent;     // set after incumbent
	int64_t nodes;             // begun
	uint64_t bound, incumbent; // the bits of doubles
} mip_watch;

typedef struct {
	int outcome;
	int code;           // GLPK's return code of the last step
	int has_basis;      // row_state and col_state hold the optimal basis of the root relaxation
	double *x;          // by column; filled when optimal or feasible
	double *dual;       // by row, of a linear program; filled when optimal
	signed char *row_state, *col_state;
	int blocks_left;    // GLPK's memory still in use when all was deleted
	uint64_t bytes_left;
	int words_used;
	char words[2048];   // what GLPK said
} mip_answer;

void mip_run(const mip_problem *p, mip_watch *w, mip_answer *a);

#endif
