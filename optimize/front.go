package optimize

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"stavewright/optimize/mip"
)

// Options steer a search. The zero value is sensible: mass against EI, no progress.
type Options struct {
	Objectives []Objective    // nil: mass and EI
	Progress   func(Progress) // called after each point or set of woods, from one goroutine at a time; may be nil
	Method     Method         // empty: chosen by how many options there are
	solver     solver         // nil: GLPK
	stretches  int            // of EI that integer programs are swept in; 0: chosen by how many options there are
	most       int            // points that an enumeration may hold; 0: mostPoints
}

// A Method is an exact way to a front. Both give the same points; where several layouts are equal in every objective, each
// has its own written order of preference.
type Method string

// The methods.
const (
	IntegerProgram Method = "integer program"
	Enumeration    Method = "enumeration"
)

// Progress is how far a search has come.
type Progress struct {
	Points, Solves  int
	EINM2           float64 // of the newest point
	LowNM2, HighNM2 float64 // where EI starts and ends; both 0 when not known
	SetsDone, Sets  int     // of an enumeration: sets of woods gone through
	Stretches       int     // of EI, swept side by side; 0 or 1: EINM2 goes from LowNM2 to HighNM2
	Share           float64 // of the way that is done, 0 to 1; 0 when not known
}

func (o Options) engine() solver {
	if o.solver != nil {
		return o.solver
	}
	return glpk{}
}

// Front returns the complete set of layouts that cannot be bettered in one objective without losing in another, at the
// program's resolution. When ctx ends first, it returns what is proven by then and says so; when there is no layout, it
// says why. An error means a broken program or engine; with a [SolverError] comes what was proven before the fault.
func Front(ctx context.Context, p *Program, o Options) (*FrontResult, error) {
	r := &FrontResult{Program: p, Objectives: o.Objectives}
	if r.Objectives == nil {
		r.Objectives = []Objective{Mass, EI}
	}
	f, err := newForm(p)
	if err != nil {
		return nil, err
	}
	r.Program = f.told()
	if hole := f.hole(); hole != nil {
		r.Complete = true
		r.Infeasible = hole
		return r, nil
	}
	m, err := f.method(o, r.Objectives)
	if err != nil {
		return nil, err
	}
	got, err := m.front(ctx, o.Progress)
	if errors.Is(err, ErrTooManyPoints) && o.Method == "" && (mip.Available || o.solver != nil) {
		// Integer programs give the points one by one, and what there is of them when the user has seen enough.
		o.Method = IntegerProgram
		if m, err = f.method(o, r.Objectives); err == nil {
			got, err = m.front(ctx, o.Progress)
		}
	}
	if err != nil && !failed(err) {
		return nil, err
	}
	fault := err
	r.Method = m.name()
	r.Solves = got.solves
	r.Complete = got.complete && fault == nil
	if !r.Complete {
		r.Why = why(ctx)
		r.Unsearched = f.unsearched(got.gaps)
	}
	if fault != nil {
		r.Why = whyFault
	}
	points := got.points
	if len(points) == 0 && got.last != nil {
		points = []solution{*got.last}
		r.Unproven = true
	}
	if r.Points, err = f.points(points); err != nil {
		return nil, err
	}
	if r.Complete && len(points) == 0 {
		// Without a reason, that there is no layout still stands.
		if r.Infeasible, err = f.explain(ctx, o); err != nil {
			return r, err
		}
	}
	return r, fault
}

// A SolverError says that the solver failed. What was proven before comes with it, marked as incomplete.
type SolverError struct{ Err error }

func (e *SolverError) Error() string {
	return fmt.Sprintf("the solver failed: %v; what is shown beside this is not complete; "+
		"export the program as MPS to solve it by another solver, or change a limit a little and run again", e.Err)
}

func (e *SolverError) Unwrap() error { return e.Err }

// whyFault is why a search that ended with a [SolverError] is not complete.
const whyFault = "the solver failed"

// failed reports whether err is a fault of the solver.
func failed(err error) bool {
	var fault *SolverError
	return errors.As(err, &fault)
}

// A method finds the front of a form.
type method interface {
	name() Method
	front(context.Context, func(Progress)) (found, error)
}

// method chooses how to search.
func (f *form) method(o Options, objectives []Objective) (method, error) {
	var objs []objectiveForm
	for i, name := range objectives {
		if slices.Contains(objectives[:i], name) {
			return nil, fmt.Errorf("objective %q is named twice", name)
		}
		of, err := f.objective(name)
		if err != nil {
			return nil, err
		}
		objs = append(objs, of)
	}
	e := f.newEnumeration(everyLimit, objs, f.newScatter())
	e.most = cmp.Or(o.most, mostPoints)
	enumerates, err := o.enumerates(e)
	if err != nil {
		return nil, err
	}
	if enumerates {
		return e, nil
	}
	q := f.newFormProblem(everyLimit, objs, o.engine())
	q.stretches = o.stretches
	if options, _ := e.options(); q.stretches == 0 && options > hardOptions && len(objs) > 1 && objs[1].form == EI {
		q.stretches = hardStretches
	}
	return q, nil
}

// A core with so many options is hard on integer programs as well, and worth the one more solve that a stretch of EI costs. How
// many stretches there are must not depend on the machine: what they find first decides which of equal layouts stands for a point.
const (
	hardOptions   = 1e9
	hardStretches = 8
)

// enumerates reports whether a search by these options is to be an enumeration. It is an error when it would have to be, and cannot.
func (o Options) enumerates(e *enumeration) (bool, error) {
	solves := mip.Available || o.solver != nil
	if o.Method == IntegerProgram || o.solver != nil {
		if !solves {
			return false, &NeedsSolverError{}
		}
		return false, nil
	}
	options, _ := e.options()
	switch {
	case o.Method == Enumeration || !solves:
		if math.IsInf(options, 1) {
			return false, &NeedsSolverError{TooMany: true}
		}
		return true, nil
	case len(e.objs) == 1:
		return options <= mostOptionsOne, nil
	case len(e.objs) > 2:
		return options <= mostOptionsThree, nil
	}
	return options <= mostOptions, nil
}

// A NeedsSolverError says that a search cannot be an enumeration, and must be one by integer programs. It wraps
// [mip.ErrNoSolver].
type NeedsSolverError struct {
	TooMany bool // too many options to enumerate; else integer programs were asked for
}

func (e *NeedsSolverError) Error() string {
	ways := "use the full build, with cgo and GLPK, or export the program as MPS for another solver"
	switch {
	case !e.TooMany:
		return "this build has no GLPK to solve integer programs by; " + ways
	case mip.Available:
		return "there are too many ways to combine the strips for an enumeration; let integer programs search"
	}
	return "there are too many ways to combine the strips for an enumeration, and this build has no GLPK to solve integer programs by; " + ways
}

func (e *NeedsSolverError) Unwrap() error { return mip.ErrNoSolver }

// unsearched says in words what a stopped search left out.
func (f *form) unsearched(gaps []gap) string {
	if len(gaps) == 0 {
		return "the layouts not searched may hold further points"
	}
	ei := func(v int64) string { return fixed(inUnits(float64(-v), f.res.EINM2), f.res.EINM2) }
	var words []string
	for _, g := range gaps {
		switch {
		case g.from == openHigh && g.to == openLow:
			return "nothing of the front has been searched"
		case g.from == openHigh:
			words = append(words, fmt.Sprintf("below %s N·m²", ei(g.to)))
		case g.to == openLow:
			words = append(words, fmt.Sprintf("from %s N·m² up", ei(g.from)))
		default:
			words = append(words, fmt.Sprintf("from %s to %s N·m²", ei(g.from), ei(g.to+1)))
		}
	}
	return "EI " + strings.Join(words, ", ") + " was not searched"
}

// why says in a word what ended a search.
func why(ctx context.Context) string {
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return "time limit"
	}
	return "interrupted"
}

// An objectiveForm is one objective of a form, minimised.
type objectiveForm struct {
	form   Objective // empty: another form, of a relaxation
	row    string    // shared with a limit on the same form
	coef   []int64
	sign   int64 // of coef in the objective: −1 maximises
	mass   bool
	offset int64                         // what no layout changes
	step   func(fine int64) int64        // fine is the minimised value, sign and offset in
	end    func(step int64) (fine int64) // the greatest fine value that counts as step
}

func (f *form) objective(o Objective) (objectiveForm, error) {
	switch o {
	case Mass:
		return objectiveForm{form: Mass, row: "core mass", coef: f.mass, sign: 1, mass: true, offset: f.glue, step: f.massStep, end: f.massStepEnd}, nil
	case EI:
		return objectiveForm{form: EI, row: fmt.Sprintf("EI at %s mm", number(f.p.Board.MeasureAtMM)), coef: f.measure.coef, sign: -1,
			step: func(fine int64) int64 { return -int64(f.measure.eiStep(-fine)) },
			end:  func(step int64) int64 { return -f.eiLeastC(-step) }}, nil
	case Cost:
		if !f.priced {
			return objectiveForm{}, &NoPricesError{}
		}
		return objectiveForm{form: Cost, row: "cost", coef: f.cost, sign: 1, step: f.costStep, end: f.costStepEnd}, nil
	}
	if o == Share {
		return f.shareObjective(), nil
	}
	return objectiveForm{}, fmt.Errorf("there is no objective %q", o)
}

// A NoPricesError says that cost was asked for, but the program has no prices.
type NoPricesError struct{}

func (*NoPricesError) Error() string {
	return "cost cannot be an objective: the book names no suppliers and no stock"
}

// A formProblem is a form with its objectives, solved by integer programs of class form.
type formProblem struct {
	f       *form
	engine  solver
	objs    []objectiveForm
	scatter *scatterForm
	c       *classModel
	rows    []int     // by objective: its row
	low     []float64 // by objective: that row's bounds without the search's
	high    []float64
	solves  int
	active  func(*limit) bool
	cuts    []*limit // of limits on flex
	cutOff  []int64  // the counts last held against the limits decided layout by layout

	stretches int     // of EI, swept side by side; 0 or 1: one sweep
	mostEI    float64 // the greatest EI within the limits, N·m², once known
	known     []solution
}

func everyLimit(*limit) bool { return true }

func (f *form) newFormProblem(active func(*limit) bool, objs []objectiveForm, engine solver) *formProblem {
	q := &formProblem{f: f, engine: engine, active: active, objs: objs}
	for _, l := range f.limits {
		if l.kind == scatter && active(l) {
			q.scatter = f.newScatter()
			q.scatter.limitPct = l.asked
		}
		if (l.kind == flexLow || l.kind == flexHigh) && active(l) {
			q.cuts = append(q.cuts, f.ride.cuts(l)...)
		}
	}
	q.build()
	return q
}

func (q *formProblem) name() Method { return IntegerProgram }

// front implements [method].
func (q *formProblem) front(ctx context.Context, progress func(Progress)) (found, error) {
	if progress == nil {
		progress = func(Progress) {}
	}
	if len(q.objs) > 2 { // a search for three does not go along EI
		got, err := boxes(ctx, q, func(now found) {
			progress(Progress{Points: len(now.points), Solves: q.solves, EINM2: q.ei(&now.points[len(now.points)-1])})
		})
		got.solves = q.solves
		return got, err
	}
	if q.stretches > 1 {
		return q.side(ctx, progress)
	}
	var low float64
	got, err := sweep(ctx, q, func(now found) {
		at := q.ei(now.last)
		if low == 0 {
			low = at
		}
		progress(Progress{Points: len(now.points) + 1, Solves: q.solves, EINM2: at, LowNM2: low, HighNM2: q.mostEI, Share: share(at-low, q.mostEI-low)})
	})
	got.solves = q.solves
	return got, err
}

// share is a part of a whole, 0 when there is none.
func share(part, whole float64) float64 {
	if !(whole > 0) {
		return 0
	}
	return min(1, max(0, part/whole))
}

// ei is EI of a solution, N·m².
func (q *formProblem) ei(s *solution) float64 {
	m := q.f.measure
	return inUnits(m.eiStep(dot(m.coef, s.n)), q.f.res.EINM2)
}

// build makes the model anew: at the start, and when the scatter limit has been refined.
func (q *formProblem) build() {
	var key [][]int64 // forms that classes must agree in
	for _, o := range q.objs {
		if !o.mass {
			key = append(key, o.coef)
		}
	}
	q.c = q.f.model(q.active, q.scatter, q.cuts, key...)
	q.rows, q.low, q.high = nil, nil, nil
	for _, o := range q.objs {
		r := q.c.row(o.row, o.coef, o.mass)
		q.rows = append(q.rows, r)
		q.low = append(q.low, q.c.m.Rows[r].Low)
		q.high = append(q.high, q.c.m.Rows[r].High)
	}
}

func (q *formProblem) objectives() int { return len(q.objs) }

func (q *formProblem) step(objective int, fine float64) int64 {
	if math.IsInf(fine, -1) {
		return math.MinInt64
	}
	return q.objs[objective].step(int64(math.Ceil(fine - boundNoise)))
}

// boundNoise is far outside the noise of a proven bound on an integer, which is a float near an integer or above one.
const boundNoise = 0.01

// prepare writes weights and bounds into the model.
func (q *formProblem) prepare(weights, upper []int64) {
	m := q.c.m
	for i := range m.Columns {
		m.Columns[i].Objective = 0
	}
	m.Constant = 0
	for i, o := range q.objs {
		if w := float64(weights[i] * o.sign); w != 0 {
			for _, t := range q.c.terms(o.coef, o.mass) {
				m.Columns[t.Column].Objective += w * t.Coefficient
			}
			m.Constant += float64(weights[i] * o.offset)
		}
		r := &m.Rows[q.rows[i]]
		r.Low, r.High = q.low[i], q.high[i]
		if upper[i] == openHigh {
			continue
		}
		end := o.end(upper[i]) - o.offset
		if o.sign > 0 {
			r.High = min(r.High, float64(end)+0.5)
		} else {
			r.Low = max(r.Low, float64(-end)-0.5)
		}
	}
}

// crossed reports whether the search's bounds and the limits leave an objective's row no room.
func (q *formProblem) crossed() bool {
	for _, r := range q.rows {
		if q.c.m.Rows[r].Low > q.c.m.Rows[r].High {
			return true
		}
	}
	return false
}

// least implements [problem].
func (q *formProblem) least(ctx context.Context, weights, upper []int64) (answer, error) {
	return q.solve(ctx, weights, upper, mip.Options{})
}

// best implements [problem]. It may stop once bound and solution are of one step. No cuts: Gomory's close the last of the gap to the
// greatest EI several times faster, but with the scatter limit's continuous columns they have been seen to cut off every
// layout there was (GLPK 5.0).
func (q *formProblem) best(ctx context.Context, objective int) (answer, error) {
	o := q.objs[objective]
	weights, upper := make([]int64, len(q.objs)), make([]int64, len(q.objs))
	for i := range upper {
		upper[i] = openHigh
	}
	weights[objective] = 1
	var a answer
	for _, gap := range []float64{q.stepGap(o), 0} {
		next, err := q.solve(ctx, weights, upper, mip.Options{RelativeGap: gap})
		if err != nil {
			return a, err // with what the first solve found
		}
		a = next
		if a.status == mip.Feasible && q.step(objective, a.bound) >= a.values[objective] {
			a.status = mip.Optimal
		}
		if a.status != mip.Feasible || ctx.Err() != nil {
			break
		}
	}
	if a.status == mip.Optimal {
		q.known = append(q.known, a.solution)
		if o.form == EI {
			q.mostEI = q.ei(&a.solution)
		}
	}
	return a, nil
}

// refutes reports whether a known layout keeps the bounds, so that they cannot be infeasible.
func (q *formProblem) refutes(upper []int64) bool {
	return slices.ContainsFunc(q.known, func(s solution) bool { return within(s.values, upper) })
}

// stepGap is a gap, relative to the greatest value of an objective, that is a quarter of one of its steps.
func (q *formProblem) stepGap(o objectiveForm) float64 {
	low, high := q.f.rangeOf(o.coef)
	low, high = o.sign*low+o.offset, o.sign*high+o.offset
	least := min(low, high) // the objective is minimised
	k := o.step(least)
	return float64(o.end(k)-o.end(k-1)) / 4 / max(1, math.Abs(float64(low)), math.Abs(float64(high)))
}

// solve minimises the weighted sum within the bounds and every limit. Whatever the solver fails at is a [SolverError].
func (q *formProblem) solve(ctx context.Context, weights, upper []int64, how mip.Options) (answer, error) {
	a, err := q.solved(ctx, weights, upper, how)
	var needs *NeedsEnumerationError
	if err != nil && !errors.As(err, &needs) {
		err = solverFault(err)
	}
	return a, err
}

// solverFault says of what a solver failed at that it is a [SolverError], once; that there is no solver is none.
func solverFault(err error) error {
	if err == nil || failed(err) || errors.Is(err, mip.ErrNoSolver) {
		return err
	}
	return &SolverError{err}
}

func (q *formProblem) solved(ctx context.Context, weights, upper []int64, how mip.Options) (answer, error) {
	for {
		q.prepare(weights, upper)
		if q.crossed() {
			return answer{status: mip.Infeasible}, nil
		}
		// Every solve starts cold. The last solve's basis brings nothing measurable here, and beside the columns of the scatter limit
		// GLPK (5.0) has been seen to lose a layout to it.
		r, err := q.engine.Solve(ctx, q.c.m, how)
		q.solves++
		if err != nil {
			return answer{}, err
		}
		// A search for three objectives closes a zone on every such answer; bounds on mass, cost and share at once have been seen to
		// make GLPK (5.0) lose a layout that it finds with its presolver.
		if known := q.refutes(upper); r.Status == mip.Infeasible && (known || len(q.objs) > 2) {
			if r, err = q.engine.Solve(ctx, q.c.m, mip.Options{Presolve: true}); err != nil {
				return answer{}, err
			}
			q.solves++
			if r.Status == mip.Infeasible && known {
				return answer{}, fmt.Errorf("%w: it finds no layout where one is known", errRound)
			}
		}
		if r.X == nil {
			return answer{status: r.Status, bound: r.Bound}, nil
		}
		n, err := q.c.recover(ctx, q.engine, r.X)
		if errors.Is(err, errRound) {
			// Once more, by another road.
			if r, err = q.engine.Solve(ctx, q.c.m, mip.Options{Presolve: true}); err != nil {
				return answer{}, err
			}
			q.solves++
			if r.Status == mip.Infeasible {
				return answer{}, fmt.Errorf("%w: tried otherwise, it finds no layout at all", errRound)
			}
			if r.X == nil {
				return answer{status: r.Status, bound: r.Bound}, nil
			}
			n, err = q.c.recover(ctx, q.engine, r.X)
		}
		if err != nil {
			if endedBy(ctx, err) {
				return answer{status: mip.Stopped, bound: r.Bound}, nil
			}
			return answer{}, err
		}
		if q.scatter != nil && !q.scatter.keeps(n) {
			if !q.scatter.refine(n) {
				return answer{}, fmt.Errorf("%w: the scatter limit", errRound)
			}
			q.build()
			continue
		}
		again, err := q.cut(n)
		if err != nil {
			return answer{}, err
		}
		if again {
			q.build()
			continue
		}
		if r.Status == mip.Feasible && math.Ceil(r.Bound-boundNoise) >= float64(q.sum(weights, n)) {
			r.Status = mip.Optimal // the gap that is left holds no integer
		}
		return answer{status: r.Status, solution: solution{n: n, values: q.values(n)}, bound: r.Bound}, nil
	}
}

// cut holds counts against the limits that are decided layout by layout. Against one on least flex it adds the tangent there, which
// cuts them off; the others it cannot.
func (q *formProblem) cut(n []int64) (again bool, err error) {
	for _, l := range q.f.limits {
		if !l.leaf() || !q.active(l) || q.f.keeps(l, n, nil) {
			continue
		}
		if l.kind != flexLow {
			return false, &NeedsEnumerationError{l.named()}
		}
		c := q.f.ride.tangent(l, n, len(q.cuts)+1)
		if dot(c.coef, n) >= c.low || slices.Equal(n, q.cutOff) {
			return false, &NeedsEnumerationError{l.named()} // nearer to the limit than whole coefficients can tell
		}
		q.cuts = append(q.cuts, c)
		again = true
	}
	q.cutOff = n
	return again, nil
}

// sum is the weighted sum of the objectives of counts, fine.
func (q *formProblem) sum(weights, n []int64) (v int64) {
	for i, o := range q.objs {
		if weights[i] != 0 {
			v += weights[i] * (o.sign*dot(o.coef, n) + o.offset)
		}
	}
	return v
}

// values are the objectives of counts, in steps.
func (q *formProblem) values(n []int64) []int64 {
	v := make([]int64, len(q.objs))
	for i, o := range q.objs {
		v[i] = o.step(o.sign*dot(o.coef, n) + o.offset)
	}
	return v
}
