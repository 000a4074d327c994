//go:build cgo

#include "call.h"

#include <float.h>
#include <glpk.h>
#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <string.h>

// After so many simplex iterations the root relaxation looks at the stop flag: GLPK calls nothing back from there.
enum { SLICE = 2000 };

// The bound is read off the tree at most this often: reading it walks the whole list of open nodes.
static const double bound_every_ms = 50;

typedef struct {
	const mip_problem *p;
	mip_watch *w;
	mip_answer *a;
	double deadline;   // on glp_time's clock (ms); +Inf: none
	double bound;      // best proven so far
	double bound_time; // when it was read, on glp_time's clock
	int64_t nodes;
	int ended;         // by this program: a flag, the node limit or the gap
} search;

static void publish(uint64_t *field, double value)
{
	uint64_t bits;
	memcpy(&bits, &value, sizeof bits);
	__atomic_store_n(field, bits, __ATOMIC_RELAXED);
}

static int stopped(const search *s)
{
	return __atomic_load_n(&s->w->stop, __ATOMIC_RELAXED) != 0;
}

// time_left is what is left before the deadline, in ms, at most INT_MAX, which to GLPK is no limit.
static int time_left(const search *s)
{
	if (isinf(s->deadline))
		return INT_MAX;
	double left = s->deadline - glp_time();
	return left <= 0 ? 0 : left >= INT_MAX ? INT_MAX - 1 : (int)left;
}

static int bound_type(double low, double high)
{
	if (low == high)
		return GLP_FX; // as GLP_DB GLPK refuses it
	if (isinf(low))
		return isinf(high) ? GLP_FR : GLP_UP;
	return isinf(high) ? GLP_LO : GLP_DB;
}

static glp_prob *build(const mip_problem *p)
{
	glp_prob *P = glp_create_prob();
	glp_set_obj_dir(P, GLP_MIN);
	if (p->rows > 0)
		glp_add_rows(P, p->rows);
	if (p->cols > 0)
		glp_add_cols(P, p->cols);
	for (int i = 0; i < p->rows; i++)
		glp_set_row_bnds(P, i + 1, bound_type(p->row_low[i], p->row_high[i]), p->row_low[i], p->row_high[i]);
	for (int j = 0; j < p->cols; j++) {
		glp_set_col_bnds(P, j + 1, bound_type(p->col_low[j], p->col_high[j]), p->col_low[j], p->col_high[j]);
		glp_set_obj_coef(P, j + 1, p->objective[j]);
		if (p->integers > 0 && p->integer[j])
			glp_set_col_kind(P, j + 1, GLP_IV);
	}
	glp_load_matrix(P, p->terms, p->ia, p->ja, p->ar);
	return P;
}

// scale and advanced_basis print whatever the message level is.
static void scale(glp_prob *P)
{
	glp_term_out(GLP_OFF);
	glp_scale_prob(P, GLP_SF_AUTO);
	glp_term_out(GLP_ON);
}

static void advanced_basis(glp_prob *P)
{
	glp_term_out(GLP_OFF);
	glp_adv_basis(P, 0);
	glp_term_out(GLP_ON);
}

static int simplex(search *s, glp_prob *P, int method)
{
	glp_smcp c;
	glp_init_smcp(&c);
	c.msg_lev = GLP_MSG_ERR;
	c.meth = method;
	c.it_lim = SLICE;
	for (;;) {
		if (stopped(s))
			return GLP_ESTOP;
		c.tm_lim = time_left(s);
		if (c.tm_lim == 0)
			return GLP_ETMLIM;
		int code = glp_simplex(P, &c);
		if (code != GLP_EITLIM)
			return code;
	}
}

// settled says that the simplex method has an answer, or was told to end.
static int settled(int code, glp_prob *P)
{
	if (code == GLP_ESTOP || code == GLP_ETMLIM)
		return 1;
	int status = glp_get_status(P);
	return code == 0 && (status == GLP_OPT || status == GLP_NOFEAS || status == GLP_UNBND);
}

// relax solves the linear relaxation. The dual simplex method is best from the basis of a neighbouring model, whose
// bounds alone differ; but when it finds no dual feasible solution it leaves open whether there is a primal one, so the
// primal method has the last word. So it has on infeasibility: from a worn basis GLPK has been seen to find none where
// there were solutions.
static int relax(search *s, glp_prob *P)
{
	const mip_problem *p = s->p;
	int code = GLP_EBADB;
	if (p->row_state != NULL || p->col_state != NULL) {
		for (int i = 0; i < p->rows; i++)
			glp_set_row_stat(P, i + 1, p->row_state[i]);
		for (int j = 0; j < p->cols; j++)
			glp_set_col_stat(P, j + 1, p->col_state[j]);
		code = simplex(s, P, GLP_DUALP);
		if (settled(code, P) && (code != 0 || glp_get_status(P) == GLP_OPT))
			return code;
	}
	glp_std_basis(P); // a start basis may be singular, or of the wrong size
	code = simplex(s, P, GLP_PRIMAL);
	if (settled(code, P))
		return code;
	advanced_basis(P);
	code = simplex(s, P, GLP_DUALP);
	if (settled(code, P))
		return code;
	return simplex(s, P, GLP_PRIMAL);
}

static void read_bound(search *s, glp_tree *T, double now)
{
	int best = glp_ios_best_node(T);
	if (best != 0) {
		double bound = glp_ios_node_bound(T, best); // −DBL_MAX before the root is solved
		if (bound > s->bound && bound < DBL_MAX) {
			s->bound = bound;
			publish(&s->w->bound, bound);
		}
	}
	s->bound_time = now;
}

// look is what GLPK calls back: it watches, and ends the search when told. It never enters Go.
static void look(glp_tree *T, void *info)
{
	search *s = info;
	const mip_problem *p = s->p;
	if (glp_ios_reason(T) == GLP_ISELECT) {
		s->nodes++;
		__atomic_store_n(&s->w->nodes, s->nodes, __ATOMIC_RELAXED);
	}
	glp_prob *P = glp_ios_get_prob(T);
	int has = glp_mip_status(P) == GLP_FEAS;
	double incumbent = has ? glp_mip_obj_val(P) : INFINITY;
	if (has) {
		publish(&s->w->incumbent, incumbent);
		__atomic_store_n(&s->w->has_incumbent, 1, __ATOMIC_RELEASE);
	}
	int end = stopped(s) || (p->node_limit > 0 && s->nodes > p->node_limit);
	double now = glp_time();
	if (end || (has && p->gap > 0) || now - s->bound_time >= bound_every_ms)
		read_bound(s, T, now);
	if (has && p->gap > 0 && incumbent - s->bound <= p->gap * fabs(incumbent + p->constant))
		end = 1;
	if (end) {
		s->ended = 1;
		glp_ios_terminate(T);
	}
}

static int branch(search *s, glp_prob *P)
{
	const mip_problem *p = s->p;
	glp_iocp c;
	glp_init_iocp(&c);
	c.msg_lev = GLP_MSG_ERR;
	c.tol_int = p->tol_int;
	c.tol_obj = p->tol_obj;
	c.cb_func = look;
	c.cb_info = s;
	c.presolve = p->presolve ? GLP_ON : GLP_OFF;
	c.mir_cuts = p->mir ? GLP_ON : GLP_OFF;
	c.gmi_cuts = p->gomory ? GLP_ON : GLP_OFF;
	c.cov_cuts = p->cover ? GLP_ON : GLP_OFF;
	c.clq_cuts = p->clique ? GLP_ON : GLP_OFF;
	c.fp_heur = p->pump ? GLP_ON : GLP_OFF;
	c.tm_lim = time_left(s);
	if (c.tm_lim == 0)
		return GLP_ETMLIM;
	s->bound_time = glp_time();
	return glp_intopt(P, &c);
}

// outcome_linear says what the relaxation's end means for a linear program; for an integer program it is the answer
// whenever it is not MIP_OPTIMAL.
static int outcome_linear(int code, glp_prob *P)
{
	if (code == GLP_ESTOP || code == GLP_ETMLIM)
		return MIP_STOPPED;
	if (code != 0)
		return MIP_FAILED;
	switch (glp_get_status(P)) {
	case GLP_OPT:
		return MIP_OPTIMAL;
	case GLP_NOFEAS:
		return MIP_INFEASIBLE;
	case GLP_UNBND:
		return MIP_UNBOUNDED;
	}
	return MIP_FAILED;
}

// outcome_integer reads what glp_intopt left. Code 0 alone proves nothing: it stands for "optimal" and for "no integer
// solution" alike. ENODFS (from the presolver) leaves open whether there is any solution, so it counts as failed, and
// is tried again without the presolver.
static int outcome_integer(int code, glp_prob *P)
{
	int status = glp_mip_status(P);
	switch (code) {
	case 0:
		return status == GLP_OPT ? MIP_OPTIMAL : status == GLP_NOFEAS ? MIP_INFEASIBLE : MIP_FAILED;
	case GLP_ENOPFS:
		return MIP_INFEASIBLE;
	case GLP_ETMLIM:
	case GLP_ESTOP:
	case GLP_EMIPGAP:
		return status == GLP_FEAS || status == GLP_OPT ? MIP_FEASIBLE : MIP_STOPPED;
	}
	return MIP_FAILED;
}

static void keep_basis(const mip_problem *p, glp_prob *P, mip_answer *a)
{
	for (int i = 0; i < p->rows; i++)
		a->row_state[i] = (signed char)glp_get_row_stat(P, i + 1);
	for (int j = 0; j < p->cols; j++)
		a->col_state[j] = (signed char)glp_get_col_stat(P, j + 1);
	a->has_basis = 1;
}

static void solve(search *s)
{
	const mip_problem *p = s->p;
	mip_answer *a = s->a;
	glp_prob *P = build(p);
	if (p->fault)
		glp_add_cols(P, -5);
	if (p->scale)
		scale(P);
	int own_root = p->integers == 0 || !p->presolve; // the presolver solves its own root
	a->outcome = MIP_OPTIMAL;
	if (own_root) {
		a->code = relax(s, P);
		a->outcome = outcome_linear(a->code, P);
		if (a->outcome == MIP_OPTIMAL) {
			keep_basis(p, P, a);
			s->bound = glp_get_obj_val(P);
			publish(&s->w->bound, s->bound);
		}
	}
	if (a->outcome == MIP_OPTIMAL && p->integers > 0) {
		a->code = branch(s, P);
		a->outcome = outcome_integer(a->code, P);
		if (a->outcome == MIP_OPTIMAL)
			publish(&s->w->bound, glp_mip_obj_val(P));
	}
	if (a->outcome == MIP_OPTIMAL || a->outcome == MIP_FEASIBLE)
		for (int j = 0; j < p->cols; j++)
			a->x[j] = p->integers > 0 ? glp_mip_col_val(P, j + 1) : glp_get_col_prim(P, j + 1);
	if (a->outcome == MIP_OPTIMAL && p->integers == 0)
		for (int i = 0; i < p->rows; i++)
			a->dual[i] = glp_get_row_dual(P, i + 1);
	glp_delete_prob(P);
}

static int on_words(void *info, const char *s)
{
	mip_answer *a = info;
	const int size = sizeof a->words;
	for (; *s != 0; s++) {
		if (a->words_used == size - 1) { // a fault comes last: keep the end
			memmove(a->words, a->words + size / 2, size / 2);
			a->words_used -= size / 2;
		}
		a->words[a->words_used++] = *s;
	}
	a->words[a->words_used] = 0;
	return 1; // nothing reaches the terminal
}

static void on_error(void *info)
{
	longjmp(*(jmp_buf *)info, 1);
}

void mip_run(const mip_problem *p, mip_watch *w, mip_answer *a)
{
	// The jump stays within this call: no Go frame lies between, because GLPK calls back only the C functions above.
	// After it no local variable is read but a and the buffer itself, which nothing has changed.
	jmp_buf fault;
	search s = {.p = p, .w = w, .a = a, .bound = -INFINITY};

	glp_init_env();
	glp_term_hook(on_words, a);
	glp_error_hook(on_error, &fault);
	if (setjmp(fault) == 0) {
		s.deadline = p->time_limit_ms == INT_MAX ? INFINITY : glp_time() + p->time_limit_ms;
		solve(&s);
		size_t bytes;
		glp_mem_usage(&a->blocks_left, NULL, &bytes, NULL);
		a->bytes_left = bytes;
	} else {
		a->outcome = MIP_FAULT;
	}
	glp_free_env(); // after a fault GLPK demands it; otherwise it leaves the thread as it was found
}
