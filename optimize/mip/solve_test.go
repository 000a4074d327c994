//go:build cgo

package mip

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestRelaxation(t *testing.T) {
	m := published(t)[0].model
	linear := *m
	linear.Columns = append([]Column(nil), m.Columns...)
	for j := range linear.Columns {
		linear.Columns[j].Integer = false
	}
	want, err := Solve(context.Background(), &linear, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Solve(context.Background(), m, Options{RelaxIntegers: true})
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("relaxed: %+v, %v; as a linear program: %+v", got, err, want)
	}
	if got.Status != Optimal || got.Objective < 3800 || got.Bound != got.Objective || got.Nodes != 0 || got.Basis == nil {
		t.Errorf("relaxed: %+v", got)
	}
	// Bounds of a relaxed integer are not rounded.
	r, err := Solve(context.Background(), &Model{Columns: []Column{{Low: 0.4, High: 0.6, Integer: true, Objective: 1}}}, Options{RelaxIntegers: true})
	if err != nil || r.Objective != 0.4 {
		t.Errorf("0.4 to 0.6, relaxed: %+v, %v", r, err)
	}
}

// TestBasis starts from a neighbour's basis, and from bases that are none.
func TestBasis(t *testing.T) {
	m := boardLike(1, []int{4, 3, 2, 3}, 6)
	cold, err := Solve(context.Background(), m, Options{})
	if err != nil || cold.Status != Optimal || cold.Basis == nil {
		t.Fatal(cold, err)
	}
	fill := func(state int8) *Basis {
		b := &Basis{RowState: make([]int8, len(m.Rows)), ColumnState: make([]int8, len(m.Columns))}
		for i := range b.RowState {
			b.RowState[i] = state
		}
		for j := range b.ColumnState {
			b.ColumnState[j] = state
		}
		return b
	}
	singular := fill(3)
	for i := range m.Rows { // the columns "used" and some counts: more rows than they can span
		singular.ColumnState[i%len(m.Columns)] = 1
		if i >= len(m.Columns) {
			singular.RowState[i] = 1
		}
	}
	for name, b := range map[string]*Basis{"own": cold.Basis, "all basic": fill(1), "none basic": fill(2), "singular": singular} {
		for _, presolve := range []bool{false, true} {
			r, err := Solve(context.Background(), m, Options{Basis: b, Presolve: presolve})
			if err != nil || r.Status != Optimal || r.Objective != cold.Objective {
				t.Errorf("basis %s, presolve %v: %v %v, %v; want %v", name, presolve, r.Status, r.Objective, err, cold.Objective)
			}
		}
	}
	// A basis after which the dual simplex method finds no dual feasible solution, and so no answer of its own.
	for _, k := range small() {
		first, err := Solve(context.Background(), k.model, Options{RelaxIntegers: true})
		if err != nil {
			t.Fatal(err)
		}
		if first.Basis == nil {
			rows, columns := make([]int8, len(k.model.Rows)), make([]int8, len(k.model.Columns))
			for i := range rows {
				rows[i] = 1
			}
			for j := range columns {
				columns[j] = 2
			}
			first.Basis = &Basis{rows, columns}
		}
		r, err := Solve(context.Background(), k.model, Options{Basis: first.Basis})
		if err != nil || r.Status != k.status {
			t.Errorf("%s from a basis: %v, %v; want %v", k.model.Name, r.Status, err, k.status)
		}
	}
	for want, b := range map[string]*Basis{
		"same shape": {RowState: []int8{1}}, "state 0": fill(0), "state 6": fill(6),
	} {
		if _, err := Solve(context.Background(), m, Options{Basis: b}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}

// TestSweepWarmAndCold finds the same front either way.
func TestSweepWarmAndCold(t *testing.T) {
	points := 0
	for seed := range uint64(4) {
		m, n := boardLike(seed, []int{3, 2, 2}, 5), boardLike(seed, []int{3, 2, 2}, 5)
		coldMass, coldEI, _, _ := sweep(t, m, Options{}, false)
		warmMass, warmEI, _, _ := sweep(t, n, Options{}, true)
		points += len(coldMass)
		if !reflect.DeepEqual(coldMass, warmMass) || !reflect.DeepEqual(coldEI, warmEI) {
			t.Errorf("seed %d: cold %v %v, warm %v %v", seed, coldMass, coldEI, warmMass, warmEI)
		}
	}
	if points < 20 {
		t.Errorf("only %d points", points)
	}
}

func TestRelativeGap(t *testing.T) {
	k := published(t)[6]
	early := 0
	for _, gap := range []float64{0.5, 0.05, 0.01, 0.001} {
		r, err := Solve(context.Background(), k.model, Options{RelativeGap: gap})
		if err != nil {
			t.Fatal(err)
		}
		if r.Status == Feasible {
			early++
			checkSolution(t, k.model, r)
		}
		if r.Gap() > gap || r.Objective < k.best/(1+gap) || r.Bound < k.best {
			t.Errorf("gap %v: %v %v, bound %v", gap, r.Status, r.Objective, r.Bound)
		}
	}
	if early == 0 {
		t.Error("no gap stopped the search early")
	}
	// The gap is that of the objective with its constant: here 1 in 10⁶ at once.
	shifted := *k.model
	shifted.Constant = 1e10
	r, err := Solve(context.Background(), &shifted, Options{RelativeGap: 1e-5})
	if err != nil || r.Status != Feasible || r.Nodes > 10 {
		t.Errorf("with a large constant: %v after %d nodes, %v", r.Status, r.Nodes, err)
	}
}

func TestStops(t *testing.T) {
	const either = Status(-1) // whatever it is: the caller looks
	m := marketSplit(4, 40)
	over := func(name string, ctx context.Context, o Options, want Status) Status {
		t.Helper()
		started := time.Now()
		r, err := Solve(ctx, m, o)
		if err != nil || r.Status != want && want != either {
			t.Errorf("%s: %v, %v; want %v", name, r.Status, err, want)
		}
		if took := time.Since(started); took > 2*time.Minute { // the search itself has no end within a test
			t.Errorf("%s: took %v", name, took)
		}
		if r.Status == Feasible {
			checkSolution(t, m, r)
			if r.Bound > r.Objective || r.Bound < 0 {
				t.Errorf("%s: objective %v, bound %v", name, r.Objective, r.Bound)
			}
		}
		return r.Status
	}
	// limited stops by a limit that is short at first, and longer until it is long enough for a solution on this machine under its load.
	limited := func(name string, end func(time.Duration) (context.Context, context.CancelFunc), o Options) {
		t.Helper()
		for limit := 100 * time.Millisecond; limit < time.Minute; limit *= 2 {
			ctx, cancel := end(limit)
			status := over(name, ctx, o, either)
			cancel()
			if status == Feasible {
				return
			}
			if status != Stopped {
				t.Errorf("%s: %v", name, status)
				return
			}
		}
		t.Errorf("%s: no solution within any limit", name)
	}
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	past, cancel := context.WithDeadline(context.Background(), time.Now().Add(-time.Second))
	defer cancel()
	for _, presolve := range []bool{false, true} {
		over("cancelled before", cancelled, Options{Presolve: presolve}, Stopped)
		over("deadline before", past, Options{Presolve: presolve}, Stopped)
		over("relaxation, cancelled before", cancelled, Options{Presolve: presolve, RelaxIntegers: true}, Stopped)

		limited("deadline", func(d time.Duration) (context.Context, context.CancelFunc) {
			return context.WithTimeout(context.Background(), d)
		}, Options{Presolve: presolve})
		limited("GLPK's clock", func(d time.Duration) (context.Context, context.CancelFunc) {
			return deadlineOnly{context.Background(), time.Now().Add(d)}, func() {}
		}, Options{Presolve: presolve})

		ctx, end := context.WithCancelCause(context.Background())
		reports := 0
		over("cancelled within", ctx, Options{Presolve: presolve, Progress: func(p Progress) {
			reports++
			if p.HasIncumbent && p.Nodes > 10 {
				end(errors.New("enough"))
			}
		}}, Feasible)
		if context.Cause(ctx) == nil || reports == 0 {
			t.Errorf("%d reports, cause %v", reports, context.Cause(ctx))
		}
		end(nil)
	}
	r, err := Solve(cancelled, m, Options{})
	if err != nil || r.Bound != -inf || r.X != nil || r.Basis != nil {
		t.Errorf("cancelled before: %+v, %v", r, err)
	}
	up := *m
	up.Maximize = true
	if r, err := Solve(cancelled, &up, Options{}); err != nil || r.Bound != inf {
		t.Errorf("cancelled before, maximising: %+v, %v", r, err)
	}
}

// A late context has ended, but did not say so when first asked.
type late struct {
	context.Context
	asked *bool
}

func (l late) Err() error {
	if !*l.asked {
		*l.asked = true
		return nil
	}
	return l.Context.Err()
}

// A deadlineOnly context has a deadline but tells nobody when it comes: GLPK itself must keep it.
type deadlineOnly struct {
	context.Context
	at time.Time
}

func (c deadlineOnly) Deadline() (time.Time, bool) { return c.at, true }

// TestStopsInTheSimplexMethod ends a linear program, in which GLPK calls nothing back.
func TestStopsInTheSimplexMethod(t *testing.T) {
	m := assignment(150)
	whole, err := Solve(context.Background(), m, Options{})
	if err != nil || whole.Status != Optimal {
		t.Fatal(whole.Status, err)
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	for name, ctx := range map[string]func() context.Context{
		"cancelled": func() context.Context { return late{ended, new(bool)} },
		"GLPK's clock": func() context.Context {
			return deadlineOnly{context.Background(), time.Now().Add(15 * time.Millisecond)}
		},
	} {
		started := time.Now()
		r, err := Solve(ctx(), m, Options{})
		if err != nil || r.Status != Stopped || r.Bound != -inf || r.X != nil {
			t.Errorf("%s: %v, bound %v, %v, after %v", name, r.Status, r.Bound, err, time.Since(started))
		}
	}
}

// TestProgress holds what is reported while solving against what comes out.
func TestProgress(t *testing.T) {
	for _, maximize := range []bool{false, true} {
		m := marketSplit(3, 40)
		m.Constant = 1000
		sign := 1.0
		if maximize {
			sign = -1
			m.Maximize = true
			for j := range m.Columns {
				m.Columns[j].Objective *= -1
			}
		}
		ctx, cancel := context.WithCancel(context.Background())
		var reports []Progress
		r, err := Solve(ctx, m, Options{Progress: func(p Progress) {
			reports = append(reports, p)
			if len(reports) == 3 {
				cancel()
			}
		}})
		n := len(reports)
		if err != nil || r.Status != Feasible || n < 3 {
			t.Fatalf("%v, %v, %d reports", r.Status, err, n)
		}
		cancel()
		for k, p := range reports {
			if p.HasIncumbent && sign*(p.Incumbent-r.Objective) < -1e-6 || sign*(p.Bound-r.Bound) > 1e-6 || p.Nodes > r.Nodes ||
				k > 0 && p.Nodes < reports[k-1].Nodes {
				t.Errorf("report %+v before %v, bound %v, %d nodes", p, r.Objective, r.Bound, r.Nodes)
			}
		}
		if last := reports[n-1]; !last.HasIncumbent || last.Nodes == 0 || math.Abs(last.Bound-1000) > 100 {
			t.Errorf("last report %+v", last)
		}
	}
}

// TestFaults provokes faults inside GLPK, which would end the process, from many goroutines, between good solves.
func TestFaults(t *testing.T) {
	k := published(t)[1]
	var all sync.WaitGroup
	for g := range 8 {
		all.Go(func() {
			for n := range 25 {
				_, err := solve(context.Background(), k.model, Options{}, &probe{faults: 2})
				if err == nil || !strings.Contains(err.Error(), "glp_add_cols: ncs = -5; invalid number of columns") {
					t.Errorf("goroutine %d, fault %d: error %v", g, n, err)
				}
				r, err := solve(context.Background(), k.model, Options{}, &probe{faults: 1})
				if err != nil || r.Status != Optimal || r.Objective != k.best || !strings.Contains(r.Message, "glp_add_cols") {
					t.Errorf("goroutine %d, after fault %d: %+v, %v", g, n, r, err)
				}
			}
		})
	}
	all.Wait()
	check(t, k)
}

// TestFaultOfGLPK meets a fault that is GLPK's own. A build of GLPK that has mended it has nothing to say.
func TestFaultOfGLPK(t *testing.T) {
	m := &Model{Name: "all fixed by the presolver", Columns: []Column{{Low: -2, Integer: true, Objective: -7}, {Low: -1, Integer: true, Objective: -9}},
		Rows: []Row{{Low: 3.5, High: inf, Terms: []Term{{0, -2}, {1, 5}}}}}
	r, err := Solve(context.Background(), m, Options{Presolve: true, CoverCuts: true})
	if err != nil || r.Status != Optimal || r.Objective != 14 || r.Message != "" && !strings.HasPrefix(r.Message, coverFault) {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestSilence runs this test again as a child, which solves and faults, and looks at all that the child prints: GLPK
// writes to the terminal past Go's os.Stdout.
func TestSilence(t *testing.T) {
	const child = "STAVEWRIGHT_TEST_SILENCE"
	if os.Getenv(child) == "" {
		c := exec.Command(os.Args[0], "-test.run=^TestSilence$")
		c.Env = append(os.Environ(), child+"=1")
		out, err := c.CombinedOutput()
		said, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\ncoverage: ") // which a test binary says when it measures that
		if err != nil || said != "PASS" {
			t.Errorf("%v, printed %q", err, out)
		}
		return
	}
	for _, k := range append(published(t), small()...) {
		check(t, k)
		for faults := 1; faults <= 2; faults++ {
			solve(context.Background(), k.model, Options{}, &probe{faults: faults})
		}
	}
}

// TestMemoryIsGivenBack watches the process's size while solves and faults come and go: each holds some megabytes.
func TestMemoryIsGivenBack(t *testing.T) {
	if sanitized {
		t.Skip("AddressSanitizer keeps what is freed, hundreds of megabytes of it, and looks for leaks itself")
	}
	resident := func() (pages int) {
		text, err := os.ReadFile("/proc/self/statm")
		if err != nil {
			t.Skip("needs /proc/self/statm")
		}
		if _, err := fmt.Sscan(string(text), new(int), &pages); err != nil {
			t.Fatal(err)
		}
		return pages
	}
	m := &Model{}
	for range 20000 {
		m.Columns = append(m.Columns, Column{High: 1, Objective: -1})
		m.Rows = append(m.Rows, Row{Low: -inf, High: 1, Terms: []Term{{len(m.Rows), 1}}})
	}
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	round := func() {
		solve(context.Background(), m, Options{}, &probe{faults: 2})
		solve(cancelled, m, Options{}, nil)
	}
	for range 5 {
		round()
	}
	runtime.GC()
	before := resident()
	for range 40 {
		round()
	}
	runtime.GC()
	if grown := (resident() - before) * os.Getpagesize() >> 20; grown > 60 {
		t.Errorf("grew by %d MB over 80 faults of some megabytes each", grown)
	}
}

// TestInfeasibleForThePresolver takes the presolver's word (ENOPFS) at the first attempt.
func TestInfeasibleForThePresolver(t *testing.T) {
	for _, k := range small() {
		if k.model.Name != "infeasible for the presolver" {
			continue
		}
		pr := &probe{}
		r, err := solve(context.Background(), k.model, Options{Presolve: true}, pr)
		if err != nil || r.Status != Infeasible || len(pr.attempts) != 1 || pr.attempts[0].code != 10 {
			t.Errorf("%+v, %v, attempts %+v", r, err, pr.attempts)
		}
		return
	}
	t.Error("no such case")
}

// TestProgressIsOverBeforeSolveReturns has a report that takes longer than the rest of the solve, which it ends itself.
func TestProgressIsOverBeforeSolveReturns(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	over := false
	_, err := Solve(ctx, marketSplit(4, 40), Options{Progress: func(Progress) {
		over = false
		cancel()
		time.Sleep(300 * time.Millisecond)
		over = true
	}})
	if err != nil || !over {
		t.Errorf("Solve returned within a report; %v", err)
	}
}

// TestSlowReportHoldsUpNoStop cancels within a report that returns only after eight times as long as the search had run by then. A machine under load
// may wake the goroutine that passes the stop on late, but hardly every time; a stop that waits for the report is late every time.
func TestSlowReportHoldsUpNoStop(t *testing.T) {
	var told []string
	for range 10 {
		ctx, cancel := context.WithCancel(context.Background())
		then := 0 // nodes
		began := time.Now()
		r, err := Solve(ctx, marketSplit(4, 40), Options{Progress: func(p Progress) {
			if then == 0 && p.HasIncumbent {
				then = p.Nodes
				cancel()
				time.Sleep(8 * time.Since(began))
			}
		}})
		cancel()
		if err != nil || r.Status != Feasible || then == 0 {
			t.Fatalf("%v, %v, %d nodes", r.Status, err, then)
		}
		if r.Nodes <= 3*then+100 {
			return
		}
		told = append(told, fmt.Sprintf("stopped after %d nodes, ended after %d", then, r.Nodes))
	}
	t.Errorf("every time: %q", told)
}

func TestNoGoroutineIsLeft(t *testing.T) {
	before := runtime.NumGoroutine()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	for range 20 {
		if _, err := Solve(ctx, marketSplit(3, 30), Options{Progress: func(Progress) {}}); err != nil {
			t.Fatal(err)
		}
	}
	// What context.AfterFunc starts has told us that it is done a moment before it is gone.
	for wait := 0; runtime.NumGoroutine() > before; wait++ {
		if wait == 3000 {
			t.Fatalf("%d goroutines before, %d after", before, runtime.NumGoroutine())
		}
		time.Sleep(10 * time.Millisecond)
	}
}

// TestAnswersAreChecked feeds answers that GLPK should never give.
func TestAnswersAreChecked(t *testing.T) {
	m := &Model{Columns: []Column{{Name: "x", High: 9, Integer: true, Objective: 1}, {Name: "y", High: 9, Objective: 1}},
		Rows: []Row{{Name: "sum", Low: 3, High: 4, Terms: []Term{{0, 1}, {1, 1}}}}}
	p, _ := m.problem(false)
	for _, tt := range []struct {
		name string
		a    answer
		want string // failure
		is   Status
	}{
		{"holds", answer{outcome: optimal, x: []float64{1, 2}, bound: 3}, "", Optimal},
		{"nearly holds", answer{outcome: optimal, x: []float64{1 + 1e-10, 2 - 1e-10}, bound: 3}, "", Optimal},
		{"row", answer{outcome: optimal, x: []float64{1, 1}, bound: 2}, `row "sum" came out as 2, outside 3 to 4`, 0},
		{"row, above", answer{outcome: feasible, x: []float64{1, 3.1}}, `row "sum" came out as 4.1, outside 3 to 4`, 0},
		{"not whole", answer{outcome: optimal, x: []float64{1.5, 2}}, `column "x" came out as 1.5, which is not whole`, 0},
		{"bound", answer{outcome: optimal, x: []float64{-1, 4}}, `column "x" came out as -1, outside its bounds`, 0},
		{"no number", answer{outcome: optimal, x: []float64{math.NaN(), 4}}, `column "x" came out as NaN, which is not whole`, 0},
		{"no number either", answer{outcome: optimal, x: []float64{1, math.NaN()}}, `column "y" came out as NaN, outside its bounds`, 0},
		{"worse than said", answer{outcome: optimal, x: []float64{1, 3}, bound: 3.5}, "", Feasible},
		{"gave up", answer{outcome: failed, code: 5, words: "cannot"}, "GLPK gave up (code 5). cannot", 0},
		{"fault", answer{outcome: faulted, words: "Assertion failed"}, "Assertion failed", 0},
		{"nothing", answer{}, "GLPK gave up (code 0).", 0},
	} {
		r, failure := m.result(p, GLPK, tt.a)
		if failure != tt.want || r.Status != tt.is {
			t.Errorf("%s: %v, failure %q; want %v, %q", tt.name, r.Status, failure, tt.is, tt.want)
		}
		if tt.is == Feasible && r.Bound != 3.5 {
			t.Errorf("%s: bound %v", tt.name, r.Bound)
		}
	}
}

// TestFittedAgain fits the columns that are not integer to the integer ones as rounded.
func TestFittedAgain(t *testing.T) {
	m := &Model{Columns: []Column{{High: 9, Integer: true, Objective: 1}, {High: 1e6, Objective: 1}},
		Rows: []Row{{Low: 5e5, High: inf, Terms: []Term{{0, 1e5}, {1, 1}}}}}
	p, _ := m.problem(false)
	a, err := runGLPK(context.Background(), p.fixed([]float64{3 - 1e-7, 2e5}), Options{}, settings{})
	if err != nil || a.outcome != optimal || a.x[0] != 3 || a.x[1] != 2e5 {
		t.Errorf("%+v, %v", a, err)
	}
	if p.integers != 1 || p.colHigh[0] != 9 {
		t.Errorf("the problem itself was changed: %+v", p)
	}
}
