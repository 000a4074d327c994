package mip

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/tetratelabs/wazero/api"
)

// ErrNoHiGHS is what [Solve] returns when HiGHS is asked for in a program that was built without it. It is also [ErrNoSolver].
var ErrNoHiGHS error = noHiGHS{}

type noHiGHS struct{}

func (noHiGHS) Error() string {
	return "this program was built without HiGHS: run sh cmd/setup.sh and build it again"
}

func (noHiGHS) Unwrap() error { return ErrNoSolver }

// Numbers of the C API of HiGHS.
const (
	highsError = -1 // what a call returns
	byRow      = 2  // the order of a matrix
	minimize   = 1

	improvedEvent  = 4
	interruptEvent = 6 // comes often, to ask whether to stop
	userEvent      = 9 // asks for a solution that was found elsewhere

	feasiblePoint = 2 // of the status of a solution

	modelEmpty                 = 6 // of the status of a model
	modelOptimal               = 7
	modelInfeasible            = 8
	modelUnboundedOrInfeasible = 9
	modelUnbounded             = 10
	modelStopped               = 11 // and above: a limit or an interrupt, but
	modelUnknown               = 15
)

// runHiGHS hands p to HiGHS, in an instance of its own. The error is for what HiGHS refuses; whatever happens in its search is an
// outcome.
func runHiGHS(ctx context.Context, m *Model, p *problem, o Options, s settings) (answer, error) {
	if deadline, ok := ctx.Deadline(); ok { // a context may have a deadline and not end by it
		var cancel context.CancelFunc
		ctx, cancel = context.WithDeadline(ctx, deadline)
		defer cancel()
	}
	if ctx.Err() != nil {
		return answer{outcome: stopped, bound: math.Inf(-1)}, nil
	}
	if len(p.colLow) == 0 { // HiGHS does not test the rows of an empty model
		return p.empty(), nil
	}
	host, err := newHighsHost(ctx)
	if err != nil {
		return answer{}, err
	}
	defer host.close()

	host.limit = o.WorkLimit
	h := &highsRun{highsHost: host, model: m, problem: p, options: o}
	h.solver = h.call(fnCreate)
	if err := h.setOptions(s.presolve); err != nil {
		return answer{}, err
	}
	if s.fault {
		h.call(fnPassLp, h.solver, 1<<30, 0, 0, byRow, minimize, 0, 0, 0, 0, 0, 0, 0, 0, 0)
	}
	h.pass()
	h.start()
	h.listen()
	status := int32(h.call(fnRun, h.solver))
	if h.panicked != nil {
		panic(h.panicked)
	}
	a := h.answer()
	a.work, a.words = h.readings, strings.Join(h.words, "; ")
	if h.err != nil {
		return answer{outcome: faulted, words: strings.TrimSpace(h.err.Error() + ". " + a.words)}, nil
	}
	if status == highsError && a.outcome != stopped {
		a.outcome = failed
	}
	return a, nil
}

// empty is the answer to a problem without columns.
func (p *problem) empty() answer {
	for i := range p.rowLow {
		if p.rowLow[i] > 0 || p.rowHigh[i] < 0 {
			return answer{outcome: infeasible}
		}
	}
	return answer{outcome: optimal, x: []float64{}, dual: make([]float64, len(p.rowLow))}
}

// A highsRun is one solve by HiGHS.
type highsRun struct {
	*highsHost
	model   *Model
	problem *problem
	options Options
	solver  uint64 // its address

	best          []float64 // of the better solutions so far, the last
	bestObjective float64   // minimised
	report        int       // the reading of the clock for the next report of progress
}

// setOptions sets what the options ask for.
func (h *highsRun) setOptions(presolve bool) error {
	o := h.options
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	values := map[string]string{
		"threads": "1", "parallel": "off",
		"time_limit":                   number(time.Duration(clockLimit).Seconds()),
		"presolve":                     "off",
		"mip_rel_gap":                  number(o.RelativeGap),
		"mip_abs_gap":                  number(max(o.AbsoluteGap, pruning)),
		"mip_feasibility_tolerance":    number(integral),
		"primal_feasibility_tolerance": number(integral),
	}
	if presolve {
		values["presolve"] = "on"
	}
	if o.NodeLimit > 0 {
		values["mip_max_nodes"] = strconv.Itoa(min(o.NodeLimit, math.MaxInt32))
	}
	maps.Copy(values, o.Set)
	for _, name := range slices.Sorted(maps.Keys(values)) {
		if int32(h.call(fnSetOption, h.solver, h.putString(name), h.putString(values[name]))) == highsError {
			return fmt.Errorf("option %q of HiGHS cannot be %q: %s", name, values[name], strings.Join(h.words, "; "))
		}
	}
	return h.err
}

// pass hands over the problem, whose terms are ordered by row.
func (h *highsRun) pass() {
	p := h.problem
	starts, columns := make([]int32, len(p.rowLow)+1), make([]int32, len(p.col)-1)
	for k := range columns {
		starts[p.row[k+1]]++
		columns[k] = p.col[k+1] - 1
	}
	for i := range p.rowLow {
		starts[i+1] += starts[i]
	}
	call := fnPassLp
	args := []uint64{h.solver, uint64(len(p.colLow)), uint64(len(p.rowLow)), uint64(len(columns)), byRow, minimize,
		api.EncodeF64(p.constant), h.putDoubles(p.objective), h.putDoubles(p.colLow), h.putDoubles(p.colHigh),
		h.putDoubles(p.rowLow), h.putDoubles(p.rowHigh), h.putInts(starts), h.putInts(columns), h.putDoubles(p.coefficient[1:])}
	if p.integers > 0 {
		integer := make([]int32, len(p.integer))
		for j, whole := range p.integer {
			integer[j] = int32(whole)
		}
		call = fnPassMip
		args = append(args, h.putInts(integer))
	}
	if int32(h.call(call, args...)) == highsError {
		h.fail("HiGHS refuses the model")
	}
}

// start hands over where the search begins. HiGHS refuses all of it for one value outside its bounds, so such a value is left open.
func (h *highsRun) start() {
	p := h.problem
	if p.integers == 0 {
		return
	}
	var columns []int32
	var values []float64
	for j, v := range h.options.Start {
		if p.integer[j] == 1 {
			v = math.Round(v)
		}
		if v >= p.colLow[j] && v <= p.colHigh[j] { // not so for NaN
			columns, values = append(columns, int32(j)), append(values, v)
		}
	}
	if len(columns) > 0 {
		h.call(fnSetSparse, h.solver, uint64(len(columns)), h.putInts(columns), h.putDoubles(values))
	}
}

// listen has HiGHS call back while it solves.
func (h *highsRun) listen() {
	if h.problem.integers == 0 {
		return
	}
	h.event = func(kind uint32, data, in uint64) {
		switch kind {
		case improvedEvent:
			h.improved(data)
		case interruptEvent:
			h.progress(data)
		case userEvent:
			h.better(in)
		}
	}
	h.call(fnSetCallback, h.solver, h.callback(), 0)
	h.call(fnStartCallback, h.solver, improvedEvent)
	if h.options.Progress != nil {
		h.call(fnStartCallback, h.solver, interruptEvent)
	}
	if h.options.Better != nil {
		h.call(fnStartCallback, h.solver, userEvent)
	}
}

// better hands over a solution that was found elsewhere.
func (h *highsRun) better(in uint64) {
	if h.completing || h.err != nil {
		return
	}
	if x := h.options.Better(h.readings); len(x) == len(h.problem.colLow) {
		h.call(fnSetCallbackSolution, in, uint64(len(x)), h.putDoubles(x))
	}
}

// item is the address of an item of an event's data.
func (h *highsRun) item(data uint64, name string) uint64 {
	return h.call(fnCallbackItem, data, h.putString(name))
}

// improved takes in a better solution.
func (h *highsRun) improved(data uint64) {
	x := h.doubles(h.item(data, "mip_solution"), len(h.problem.colLow))
	if x == nil {
		return
	}
	r, failure := h.model.solution(h.problem, answer{outcome: feasible, x: x, bound: math.Inf(-1)})
	objective := h.problem.sign * r.Objective
	if failure != "" || h.best != nil && objective >= h.bestObjective {
		return
	}
	h.best, h.bestObjective = r.X, objective
	if h.options.Improved != nil {
		h.options.Improved(slices.Clone(r.X), r.Objective)
	}
}

// reportEvery is how many readings of the clock lie between two reports of progress: some hundredths of a second.
const reportEvery = 100

// progress reports what HiGHS knows, not too often. While HiGHS completes a start, it solves a part of the problem, whose bound is not
// the problem's.
func (h *highsRun) progress(data uint64) {
	if h.completing || h.readings < h.report {
		return
	}
	h.report = h.readings + reportEvery
	sign := h.problem.sign
	t := Progress{Work: h.readings, Nodes: int(h.long(h.item(data, "mip_node_count"))), Bound: sign * h.double(h.item(data, "mip_dual_bound"))}
	if v := h.double(h.item(data, "mip_primal_bound")); !math.IsInf(v, 0) {
		t.HasIncumbent, t.Incumbent = true, sign*v
	}
	if h.err == nil {
		h.options.Progress(t)
	}
}

// answer reads how the solve ended.
func (h *highsRun) answer() answer {
	p := h.problem
	a := answer{bound: math.Inf(-1), code: int(int32(h.call(fnModelStatus, h.solver)))}
	info := func(call, name string) uint64 {
		at := h.put(make([]byte, 8))
		h.call(call, h.solver, h.putString(name), at)
		return at
	}
	if p.integers > 0 {
		a.nodes = int(max(h.long(info(fnInt64Info, "mip_node_count")), 0))
		a.bound = h.double(info(fnDoubleInfo, "mip_dual_bound")) - p.constant
	}
	switch a.code {
	case modelOptimal, modelEmpty:
		a.outcome = optimal
	case modelInfeasible:
		a.outcome = infeasible
	case modelUnbounded, modelUnboundedOrInfeasible:
		a.outcome = unbounded
	default:
		a.outcome = failed
		if a.code >= modelStopped && a.code != modelUnknown {
			a.outcome = stopped
			if p.integers > 0 && h.int(info(fnIntInfo, "primal_solution_status")) == feasiblePoint {
				a.outcome = feasible
			}
		}
	}
	if a.outcome == optimal || a.outcome == feasible {
		vector := func(n int) uint64 { return h.put(make([]byte, 8*n)) }
		x, rowDual := vector(len(p.colLow)), vector(len(p.rowLow))
		h.call(fnSolution, h.solver, x, vector(len(p.colLow)), vector(len(p.rowLow)), rowDual)
		a.x = h.doubles(x, len(p.colLow))
		if p.integers == 0 {
			a.dual = h.doubles(rowDual, len(p.rowLow))
			a.bound = h.double(info(fnDoubleInfo, "objective_function_value")) - p.constant
		}
	}
	if a.outcome == stopped && h.best != nil { // found while HiGHS completed a start
		a.outcome, a.x = feasible, h.best
	}
	return a
}
