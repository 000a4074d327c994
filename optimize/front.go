package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// Options steer a search. The zero value is sensible: mass against EI, no progress.
type Options struct {
	Objectives []Objective    // nil: mass and EI
	Progress   func(Progress) // called after each point or set of woods, from one goroutine at a time; may be nil
	Method     Method         // empty: chosen by how many options there are
	solver     solver         // nil: GLPK
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
	LowNM2, HighNM2 float64 // where EI starts, and a proven bound on where it ends; equal when not known
	SetsDone, Sets  int     // of an enumeration: sets of woods gone through
}

func (o Options) engine() solver {
	if o.solver != nil {
		return o.solver
	}
	return glpk{}
}

// Front returns the complete set of layouts that cannot be bettered in one objective without losing in another, at the
// program's resolution. When ctx ends first, it returns what is proven by then and says so; when there is no layout, it
// says why. An error means a broken program or engine.
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
	r.Method = m.name()
	got, err := m.front(ctx, o.Progress)
	if err != nil {
		return nil, err
	}
	r.Solves = got.solves
	r.Complete = got.complete
	if !got.complete {
		r.Why = why(ctx)
		r.Unsearched = "the layouts not searched may hold further points"
		if len(r.Objectives) == 2 && r.Method == IntegerProgram {
			switch {
			case got.last != nil:
				r.Unsearched = fmt.Sprintf("EI from %s N·m² up was not searched", fixed(inUnits(f.measure.eiStep(dot(f.measure.coef, got.last.n)), f.res.EINM2), f.res.EINM2))
			case len(got.points) > 0:
				last := got.points[len(got.points)-1]
				r.Unsearched = fmt.Sprintf("EI above %s N·m² was not searched", fixed(inUnits(f.measure.eiStep(dot(f.measure.coef, last.n)), f.res.EINM2), f.res.EINM2))
			}
		}
	}
	points := got.points
	if len(points) == 0 && got.last != nil {
		points = []solution{*got.last}
		r.Unproven = true
	}
	for i, s := range points {
		pt, err := f.point(s.n)
		if err != nil {
			return nil, err
		}
		pt.ID = i + 1
		r.Points = append(r.Points, pt)
	}
	mark(r.Points)
	if got.complete && len(points) == 0 {
		if r.Infeasible, err = f.explain(ctx, o); err != nil {
			return nil, err
		}
	}
	return r, nil
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
	if o.enumerates(e) {
		return e, nil
	}
	return f.newFormProblem(everyLimit, objs, o.engine()), nil
}

// enumerates reports whether a search by these options is to be an enumeration.
func (o Options) enumerates(e *enumeration) bool {
	switch {
	case o.Method == Enumeration || o.Method == "" && o.solver == nil && !mip.Available:
		return !math.IsInf(e.options(), 1)
	case o.Method == IntegerProgram || o.solver != nil:
		return false
	case len(e.objs) > 2:
		return e.options() <= mostOptionsThree
	}
	return e.options() <= mostOptions
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
	row    string // shared with a limit on the same form
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
		return objectiveForm{row: "core mass", coef: f.mass, sign: 1, mass: true, offset: f.glue, step: f.massStep, end: f.massStepEnd}, nil
	case EI:
		return objectiveForm{row: fmt.Sprintf("EI at %s mm", number(f.p.Board.MeasureAtMM)), coef: f.measure.coef, sign: -1,
			step: func(fine int64) int64 { return -int64(f.measure.eiStep(-fine)) },
			end:  func(step int64) int64 { return -f.eiLeastC(-step) }}, nil
	case Cost:
		if !f.priced {
			return objectiveForm{}, &NoPricesError{}
		}
		return objectiveForm{row: "cost", coef: f.cost, sign: 1, step: f.costStep, end: f.costStepEnd}, nil
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
	basis   *mip.Basis
	solves  int
	active  func(*limit) bool
	cuts    []*limit // of limits on least flex
	cutOff  []int64  // the counts last held against the limits decided layout by layout
}

func everyLimit(*limit) bool { return true }

func (f *form) newFormProblem(active func(*limit) bool, objs []objectiveForm, engine solver) *formProblem {
	q := &formProblem{f: f, engine: engine, active: active, objs: objs}
	for _, l := range f.limits {
		if l.kind == scatter && active(l) {
			q.scatter = f.newScatter()
			q.scatter.limitPct = l.asked
		}
		if l.kind == flexLow && active(l) {
			q.cuts = append(q.cuts, f.ride.cuts(l)...)
		}
	}
	q.build()
	return q
}

func (q *formProblem) name() Method { return IntegerProgram }

// front implements [method].
func (q *formProblem) front(ctx context.Context, progress func(Progress)) (found, error) {
	var each func(found)
	if progress != nil {
		var low, high float64
		if len(q.objs) == 2 { // a search for three does not go along EI
			low, high = q.eiRange(ctx)
		}
		each = func(now found) {
			newest := now.last
			if newest == nil {
				newest = &now.points[len(now.points)-1]
			}
			m := q.f.measure
			progress(Progress{Points: len(now.points) + 1, Solves: q.solves, LowNM2: low, HighNM2: high,
				EINM2: inUnits(m.eiStep(dot(m.coef, newest.n)), q.f.res.EINM2)})
		}
	}
	search := sweep
	if len(q.objs) > 2 {
		search = boxes
	}
	got, err := search(ctx, q, each)
	got.solves = q.solves
	return got, err
}

// build makes the model anew: at the start, and when the scatter limit has been refined.
func (q *formProblem) build() {
	var key [][]int64
	for _, o := range q.objs {
		if !o.mass {
			key = append(key, o.coef)
		}
	}
	q.c = q.f.model(q.active, q.scatter, q.cuts, key...)
	q.rows, q.low, q.high, q.basis = nil, nil, nil, nil
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
	// The proven bound is a float near an integer or above one; a hundredth of a unit is far outside its noise.
	return q.objs[objective].step(int64(math.Ceil(fine - 0.01)))
}

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
	for {
		q.prepare(weights, upper)
		if q.crossed() {
			return answer{status: mip.Infeasible}, nil
		}
		r, err := q.engine.Solve(ctx, q.c.m, mip.Options{Basis: q.basis})
		q.solves++
		if err != nil {
			return answer{}, err
		}
		if r.Basis != nil {
			q.basis = r.Basis
		}
		if r.X == nil {
			return answer{status: r.Status, bound: r.Bound}, nil
		}
		n, err := q.c.recover(ctx, q.engine, r.X)
		if errors.Is(err, errRound) {
			// Seen only with a worn basis: once more from scratch, by another road.
			if r, err = q.engine.Solve(ctx, q.c.m, mip.Options{Presolve: true}); err != nil {
				return answer{}, err
			}
			q.solves++
			if r.X == nil {
				return answer{status: r.Status, bound: r.Bound}, nil
			}
			n, err = q.c.recover(ctx, q.engine, r.X)
		}
		if err != nil {
			if ctx.Err() != nil {
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

// values are the objectives of counts, in steps.
func (q *formProblem) values(n []int64) []int64 {
	v := make([]int64, len(q.objs))
	for i, o := range q.objs {
		v[i] = o.step(o.sign*dot(o.coef, n) + o.offset)
	}
	return v
}

// eiRange encloses EI over all layouts by two linear relaxations; equal values when they cannot be had.
func (q *formProblem) eiRange(ctx context.Context) (low, high float64) {
	var out [2]float64
	for i, sign := range []float64{1, -1} {
		open := make([]int64, len(q.objs))
		for j := range open {
			open[j] = openHigh
		}
		q.prepare(make([]int64, len(q.objs)), open)
		for _, t := range q.c.terms(q.f.measure.coef, false) {
			q.c.m.Columns[t.Column].Objective = sign * t.Coefficient
		}
		r, err := q.engine.Solve(ctx, q.c.m, mip.Options{RelaxIntegers: true})
		if err != nil || r.Status != mip.Optimal {
			return 0, 0
		}
		out[i] = q.f.measure.eiStep(int64(math.Round(sign*r.Objective))) * q.f.res.EINM2
	}
	return out[0], out[1]
}
