package mip

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// ErrNoSolver is what [Solve] returns in a program that was built without cgo, and so without GLPK, and without HiGHS too.
var ErrNoSolver = errors.New("this program was built without GLPK and HiGHS, so it cannot solve integer programs")

// progressEvery is how often a running solve tells what it knows.
const progressEvery = 100 * time.Millisecond

const (
	// integral is how far from a whole number an engine may leave an integer column and still call it whole. GLPK's default, 1e-5, and that
	// of HiGHS, 1e-6, times a coefficient of 10⁶ are whole units of a row; this keeps such a row within a thousandth.
	integral = 1e-9

	// pruning is how much better than the incumbent, relative to 1 + |incumbent|, a node must promise to be searched.
	// GLPK's default, 1e-7, is 4 cents on 400 000 euros counted in cents; this loses no whole unit below 5·10⁹.
	pruning = 1e-10

	// nearly is how far off a whole number, relative to 1 + |bound|, the bound of an integer column may be and still
	// stand for it: 2.9999999999 is a 3 that came out of a division, 2.5 is not.
	nearly = 1e-9
)

// numericalTrouble is GLP_EFAIL, the code by which GLPK's simplex method gives up.
const numericalTrouble = 5

// settings are how one attempt differs from another.
type settings struct {
	presolve, cuts, scale bool
	fault                 bool // provoke a fault inside the engine
}

// An outcome says how an attempt ended.
type outcome int

// The outcomes, numbered as in call.h.
const (
	optimal outcome = iota + 1
	infeasible
	unbounded // the linear relaxation is
	feasible  // stopped early, with a solution
	stopped   // stopped early, without one
	failed    // the engine gave up on numbers
	faulted   // the engine reported a fault
)

// An answer is what one attempt brought back, in terms of a problem.
type answer struct {
	outcome       outcome
	code          int // what the engine returned
	x             []float64
	dual          []float64 // by row; nil unless a linear program was solved
	bound         float64   // −Inf: none
	nodes, work   int
	basis         *Basis
	words         string // the engine's
	blocks, bytes int    // of GLPK's memory, still in use when all was deleted
}

// A probe is how tests look into a solve; nil otherwise.
type probe struct {
	faults   int // so many first attempts end in a fault provoked inside the engine
	giveUps  int // so many first attempts end as when the engine gives up on numbers
	attempts []answer
}

// provoke makes the probe of every [Solve]; nil in every build but the one with the tag glpkfault, by which tests of the whole program
// see what becomes of a fault in GLPK.
var provoke func() *probe

// Solve finds the best x of m and says how far it is proven.
//
// A solve that ends early, by ctx or by a limit in o, is a [Result] and no error; context.Cause(ctx) has the reason.
// An error means that m or o is broken, or that the engine failed, twice and in two ways; then it carries the engine's own words.
// Equal input gives an equal result, unless time ended it.
//
// X holds whole numbers for integer columns, and every row has been checked again outside the engine. Proven means proven in
// floating point, to about 1e-9 of the objective and 1e-7 of a row: give a front whole coefficients and right-hand
// sides at half integers, recompute, and nothing is left to a tolerance.
//
// Bound is −Inf while nothing is proven and for an unbounded model, and +Inf for an infeasible one; when maximising,
// the other way round. When the linear relaxation of an integer program is unbounded, the program is unbounded if it
// has any solution at all (for rational data: R. R. Meyer, Mathematical Programming 7, 1974), so one is looked for.
//
// Any number of solves may run at once.
func Solve(ctx context.Context, m *Model, o Options) (Result, error) {
	var pr *probe
	if provoke != nil {
		pr = provoke()
	}
	return solve(ctx, m, o, pr)
}

func solve(ctx context.Context, m *Model, o Options, pr *probe) (Result, error) {
	if err := m.Check(); err != nil {
		return Result{}, err
	}
	if err := o.check(m); err != nil {
		return Result{}, err
	}
	if o.Engine == Auto {
		o.Engine = GLPK
		if !HasGLPK() && HasHiGHS() {
			o.Engine = HiGHS
		}
	}
	p, possible := m.problem(o.RelaxIntegers)
	if !possible {
		return m.verdict(Infeasible, math.Inf(1)), nil
	}
	r, err := attempt(ctx, m, p, o, pr)
	if err != nil || r.Status != Unbounded || p.integers == 0 && o.Engine == GLPK {
		return r, err // HiGHS may leave open whether a linear program is unbounded or infeasible
	}
	feasibility := *m
	feasibility.Columns = append([]Column(nil), m.Columns...)
	for j := range feasibility.Columns {
		feasibility.Columns[j].Objective = 0
	}
	o.Improved = nil
	any, err := solve(ctx, &feasibility, o, pr)
	switch {
	case err != nil:
		return Result{}, err
	case any.X != nil:
		return r, nil
	case any.Status == Infeasible:
		return m.verdict(Infeasible, math.Inf(1)), nil
	}
	return m.verdict(Stopped, math.Inf(-1)), nil
}

// run hands p to the engine. The error is for what no other attempt can better; whatever happens in the engine is an outcome.
func run(ctx context.Context, m *Model, p *problem, o Options, s settings) (answer, error) {
	if o.Engine == HiGHS {
		return runHiGHS(ctx, m, p, o, s)
	}
	return runGLPK(ctx, p, o, s)
}

// attempt runs the engine as o asks and, should that fail, once more in another way.
func attempt(ctx context.Context, m *Model, p *problem, o Options, pr *probe) (Result, error) {
	var failures []string
	presolve := o.Presolve
	if o.Engine == HiGHS {
		presolve = !o.NoPresolve
	}
	for n, s := range []settings{
		{presolve: presolve, cuts: true},
		{presolve: !presolve, scale: true},
	} {
		s.fault = pr != nil && n < pr.faults
		a, err := run(ctx, m, p, o, s)
		if err != nil {
			return Result{}, err
		}
		if pr != nil {
			if n < pr.giveUps {
				a = answer{outcome: failed, code: numericalTrouble, bound: math.Inf(-1), words: a.words}
			}
			pr.attempts = append(pr.attempts, a)
		}
		r, failure := m.result(p, o.Engine, a)
		if failure != "" && a.x != nil && p.integers < len(p.colLow) && !slices.ContainsFunc(a.x, math.IsNaN) {
			// Rounding the integer columns may have left the others out of step: fit them again.
			if fitted, err := run(ctx, m, p.fixed(a.x), Options{Engine: o.Engine}, settings{}); err == nil && fitted.outcome == optimal {
				a.x = fitted.x
				r, failure = m.result(p, o.Engine, a)
			}
		}
		if failure == "" {
			r.Message = strings.Join(failures, "; ")
			return r, nil
		}
		failures = append(failures, failure)
		o.Basis = nil
	}
	return Result{}, fmt.Errorf("model %q: %v found no answer that holds: %s", m.Name, o.Engine, strings.Join(failures, "; tried otherwise: "))
}

// HasGLPK reports whether this build has GLPK.
func HasGLPK() bool { return Available }

// String is the engine's name.
func (e Engine) String() string { return [...]string{"auto", "GLPK", "HiGHS"}[e] }

// check says what is wrong with o for m.
func (o Options) check(m *Model) error {
	if o.Engine < Auto || o.Engine > HiGHS {
		return fmt.Errorf("engine %d: there is none", int(o.Engine))
	}
	if !(o.RelativeGap >= 0) || math.IsInf(o.RelativeGap, 0) {
		return fmt.Errorf("relative gap %v: must be a number, 0 or above", o.RelativeGap)
	}
	if o.NodeLimit < 0 {
		return fmt.Errorf("node limit %d: must be 0 (none) or above", o.NodeLimit)
	}
	if o.WorkLimit < 0 {
		return fmt.Errorf("work limit %d: must be 0 (none) or above", o.WorkLimit)
	}
	if !(o.AbsoluteGap >= 0) || math.IsInf(o.AbsoluteGap, 0) {
		return fmt.Errorf("absolute gap %v: must be a number, 0 or above", o.AbsoluteGap)
	}
	if _, ok := o.Set["time_limit"]; ok {
		return errors.New("option \"time_limit\" of HiGHS: give the context a deadline instead")
	}
	if o.Start != nil && len(o.Start) != len(m.Columns) {
		return fmt.Errorf("start of %d columns for a model of %d", len(o.Start), len(m.Columns))
	}
	for j, v := range o.Start {
		if math.IsInf(v, 0) {
			return fmt.Errorf("start: column %q is %v; write a number, or NaN to leave it open", m.columnName(j), v)
		}
	}
	b := o.Basis
	if b == nil {
		return nil
	}
	if len(b.RowState) != len(m.Rows) || len(b.ColumnState) != len(m.Columns) {
		return fmt.Errorf("basis of %d rows and %d columns for a model of %d and %d: it must come from a model of the same shape",
			len(b.RowState), len(b.ColumnState), len(m.Rows), len(m.Columns))
	}
	for _, states := range [][]int8{b.RowState, b.ColumnState} {
		for _, s := range states {
			if s < 1 || s > 5 { // GLP_BS … GLP_NS
				return fmt.Errorf("basis holds the state %d: take one from a Result", s)
			}
		}
	}
	return nil
}

// A problem is a model as the engines take it: minimised, without the constant, the bounds of integer columns whole.
type problem struct {
	rowLow, rowHigh, colLow, colHigh []float64
	objective                        []float64
	integer                          []byte
	integers                         int
	row, col                         []int32 // of each term, from 1; element 0 is unused
	coefficient                      []float64
	sign, constant                   float64 // the model's objective is sign·(what is minimised + constant)
}

// sign turns the objective of m into one to be minimised, and back. Multiplying by ±1 keeps whole coefficients whole,
// by which GLPK rounds bounds up.
func (m *Model) sign() float64 {
	if m.Maximize {
		return -1
	}
	return 1
}

// problem prepares m, which has passed Check. It is not possible when no whole number lies between the bounds of an
// integer column.
func (m *Model) problem(relax bool) (p *problem, possible bool) {
	p = &problem{row: []int32{0}, col: []int32{0}, coefficient: []float64{0}, sign: m.sign(), constant: m.sign() * m.Constant}
	possible = true
	for _, c := range m.Columns {
		whole := byte(0)
		if c.Integer && !relax {
			whole = 1
			p.integers++
		} else {
			c.Integer = false
		}
		low, high := c.limits()
		possible = possible && low <= high
		p.integer = append(p.integer, whole)
		p.colLow = append(p.colLow, low)
		p.colHigh = append(p.colHigh, high)
		p.objective = append(p.objective, m.sign()*c.Objective)
	}
	for i, r := range m.Rows {
		p.rowLow = append(p.rowLow, r.Low)
		p.rowHigh = append(p.rowHigh, r.High)
		for _, t := range r.Terms {
			if t.Coefficient == 0 {
				continue
			}
			p.row = append(p.row, int32(i+1))
			p.col = append(p.col, int32(t.Column+1))
			p.coefficient = append(p.coefficient, t.Coefficient)
		}
	}
	return p, possible
}

// limits are the bounds of c; of an integer column the whole numbers between, because GLPK refuses bounds that are
// not whole. When there is none, they cross.
func (c Column) limits() (low, high float64) {
	if !c.Integer {
		return c.Low, c.High
	}
	return math.Ceil(c.Low - nearly*(1+math.Abs(c.Low))), math.Floor(c.High + nearly*(1+math.Abs(c.High)))
}

// fixed is the linear program in the columns that are not integer, the others fixed at x.
func (p *problem) fixed(x []float64) *problem {
	q := *p
	q.integers = 0
	q.colLow = append([]float64(nil), p.colLow...)
	q.colHigh = append([]float64(nil), p.colHigh...)
	for j, whole := range p.integer {
		if whole == 1 {
			v := math.Round(x[j])
			q.colLow[j], q.colHigh[j] = v, v
		}
	}
	return &q
}

// verdict is a result without a solution. bound is that of the minimised objective.
func (m *Model) verdict(s Status, bound float64) Result {
	return Result{Status: s, Bound: m.sign() * bound}
}

// result reads an answer in terms of m. A failure says why it cannot stand.
func (m *Model) result(p *problem, e Engine, a answer) (r Result, failure string) {
	switch a.outcome {
	case infeasible:
		r = m.verdict(Infeasible, math.Inf(1))
	case unbounded:
		r = m.verdict(Unbounded, math.Inf(-1))
	case stopped:
		r = m.verdict(Stopped, a.bound)
		r.Bound += m.Constant
	case optimal, feasible:
		r, failure = m.solution(p, a)
	case faulted:
		failure = a.words
	default:
		failure = strings.TrimSpace(fmt.Sprintf("%v gave up (code %d). %s", e, a.code, a.words))
	}
	r.Nodes, r.Work, r.Basis = a.nodes, a.work, a.basis
	for _, y := range a.dual {
		r.Dual = append(r.Dual, m.sign()*y+0)
	}
	return r, failure
}

// solution checks a.x against m, rounded where it must be whole.
func (m *Model) solution(p *problem, a answer) (r Result, failure string) {
	r.X = make([]float64, len(a.x))
	for j, v := range a.x {
		if p.integer[j] == 1 {
			whole := math.Round(v)
			if !(math.Abs(v-whole) <= 1e-5) { // in this form NaN is caught too
				return Result{}, fmt.Sprintf("column %q came out as %v, which is not whole", m.columnName(j), v)
			}
			v = whole
		}
		r.X[j] = min(max(v, p.colLow[j]), p.colHigh[j]) + 0 // never −0
		if !(math.Abs(r.X[j]-v) <= 1e-6*(1+math.Abs(v))) {
			return Result{}, fmt.Sprintf("column %q came out as %v, outside its bounds", m.columnName(j), v)
		}
	}
	for i, row := range m.Rows {
		sum, tolerance := 0.0, 1e-6 // GLPK's own is 1e-7, on rows as it scales them
		for _, t := range row.Terms {
			sum += t.Coefficient * r.X[t.Column]
			tolerance += integral * math.Abs(t.Coefficient) * (1 + math.Abs(r.X[t.Column]))
		}
		if !(sum >= row.Low-tolerance && sum <= row.High+tolerance) {
			return Result{}, fmt.Sprintf("row %q came out as %v, outside %v to %v", m.rowName(i), sum, row.Low, row.High)
		}
	}
	r.Objective = m.Constant
	for j, c := range m.Columns {
		r.Objective += c.Objective * r.X[j]
	}
	r.Objective += 0

	bound := m.sign()*a.bound + m.Constant
	short := m.sign() * (r.Objective - bound)
	switch {
	case a.outcome == optimal && short <= 1e-6*(1+math.Abs(r.Objective)),
		short <= 0: // stopped when no open node could better it
		r.Status, r.Bound = Optimal, r.Objective
	default:
		r.Status, r.Bound = Feasible, bound
	}
	return r, ""
}
