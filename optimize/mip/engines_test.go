package mip

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"sync"
	"testing"
)

// engines are those of this build. A test that needs one of them is skipped without any, and fails where all are asked for by
// STAVEWRIGHT_REQUIRE_SOLVERS=1.
func engines(t testing.TB) []Engine {
	t.Helper()
	var all []Engine
	if HasGLPK() {
		all = append(all, GLPK)
	}
	if hasHiGHS(t) {
		all = append(all, HiGHS)
	}
	if len(all) == 0 {
		t.Skip("no solver in this build")
	}
	return all
}

func hasHiGHS(t testing.TB) bool {
	t.Helper()
	if !HasHiGHS() && os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") == "1" {
		t.Fatal(ErrNoHiGHS)
	}
	return HasHiGHS()
}

// ways are options that must not change an answer.
func ways(t testing.TB) (all []Options) {
	t.Helper()
	for _, e := range engines(t) {
		if e == GLPK {
			all = append(all,
				Options{Engine: e},
				Options{Engine: e, Presolve: true},
				Options{Engine: e, MIRCuts: true, CoverCuts: true, CliqueCuts: true},
				Options{Engine: e, GomoryCuts: true, FeasPump: true},
				Options{Engine: e, Presolve: true, MIRCuts: true, GomoryCuts: true, CoverCuts: true, CliqueCuts: true, FeasPump: true})
		} else {
			all = append(all,
				Options{Engine: e},
				Options{Engine: e, NoPresolve: true, Set: map[string]string{"random_seed": "7"}})
		}
	}
	return all
}

// coverFault is what GLPK 5.0 says when its presolver fixes every column and its cover cuts are on.
const coverFault = "glp_add_cols: ncs = 0; invalid number of columns"

// check solves k in every way and holds the result against it; X must keep every bound and row, the objective be X's.
func check(t *testing.T, k known) {
	t.Helper()
	for _, o := range ways(t) {
		pr := &probe{}
		r, err := solve(context.Background(), k.model, o, pr)
		if err != nil {
			t.Errorf("%s, %+v: %v", k.model.Name, o, err)
			continue
		}
		for n, a := range pr.attempts {
			if a.blocks != 0 || a.bytes != 0 {
				t.Errorf("%s, %+v: attempt %d left %d bytes of GLPK's in %d blocks", k.model.Name, o, n, a.bytes, a.blocks)
			}
		}
		if r.Status != k.status {
			t.Errorf("%s, %+v: status %v, want %v (%s)", k.model.Name, o, r.Status, k.status, k.source)
			continue
		}
		better := inf // the bound in the direction of better
		if k.model.Maximize {
			better = -inf
		}
		if r.Message != "" && k.status == Optimal && !(o.Presolve && o.CoverCuts && strings.HasPrefix(r.Message, coverFault)) {
			t.Errorf("%s, %+v: solved on the second attempt: %s", k.model.Name, o, r.Message)
		}
		switch k.status {
		case Optimal:
			checkSolution(t, k.model, r)
			if math.Abs(r.Objective-k.best) > 1e-7*(1+math.Abs(k.best)) || r.Bound != r.Objective {
				t.Errorf("%s, %+v: objective %v, bound %v, want %v (%s)", k.model.Name, o, r.Objective, r.Bound, k.best, k.source)
			}
		case Infeasible:
			if r.X != nil || r.Bound != better {
				t.Errorf("%s, %+v: infeasible with X %v, bound %v", k.model.Name, o, r.X, r.Bound)
			}
		case Unbounded:
			if r.X != nil || r.Bound != -better {
				t.Errorf("%s, %+v: unbounded with X %v, bound %v", k.model.Name, o, r.X, r.Bound)
			}
		}
	}
}

func checkSolution(t *testing.T, m *Model, r Result) {
	t.Helper()
	if len(r.X) != len(m.Columns) {
		t.Fatalf("%s: %d values for %d columns", m.Name, len(r.X), len(m.Columns))
	}
	objective := m.Constant
	for j, c := range m.Columns {
		x := r.X[j]
		if x < c.Low-1e-9 || x > c.High+1e-9 || (c.Integer && x != math.Round(x)) || (x == 0 && math.Signbit(x)) {
			t.Errorf("%s: column %d is %v, with bounds %v to %v, integer %v", m.Name, j+1, x, c.Low, c.High, c.Integer)
		}
		objective += c.Objective * x
	}
	if objective != r.Objective {
		t.Errorf("%s: objective %v of a solution worth %v", m.Name, r.Objective, objective)
	}
	for i, row := range m.Rows {
		sum, size := 0.0, 1.0
		for _, term := range row.Terms {
			sum += term.Coefficient * r.X[term.Column]
			size = max(size, math.Abs(term.Coefficient))
		}
		if sum < row.Low-1e-6*size || sum > row.High+1e-6*size {
			t.Errorf("%s: row %d is %v, with bounds %v to %v", m.Name, i+1, sum, row.Low, row.High)
		}
	}
}

func TestPublished(t *testing.T) {
	for _, k := range published(t) {
		check(t, k)
	}
}

func TestSmall(t *testing.T) {
	for _, k := range append(small(), known{awkward(), Optimal, awkwardBest, "by hand"}) {
		check(t, k)
	}
}

func TestRandomAgainstBruteForce(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 1))
	tally := map[Status]int{}
	for n := range 400 {
		m := random(rnd)
		m.Name = fmt.Sprint("random ", n)
		status, best := bruteForce(m)
		tally[status]++
		check(t, known{m, status, best, "brute force"})
		if t.Failed() {
			t.Fatalf("%+v", *m)
		}
	}
	if tally[Infeasible] < 100 || tally[Optimal] < 100 {
		t.Errorf("random models are one-sided: %v", tally)
	}
}

// TestLaws changes a model in ways that change its optimum in a known way.
func TestLaws(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 1))
	for n := range 60 {
		m := random(rnd)
		status, best := bruteForce(m)

		permuted := *m
		order := rnd.Perm(len(m.Columns))
		place := make([]int, len(order)) // old to new
		permuted.Columns = nil
		for to, from := range order {
			place[from] = to
			permuted.Columns = append(permuted.Columns, m.Columns[from])
		}
		permuted.Rows = nil
		for _, i := range rnd.Perm(len(m.Rows)) {
			r := m.Rows[i]
			r.Terms = append([]Term(nil), r.Terms...)
			for k := range r.Terms {
				r.Terms[k].Column = place[r.Terms[k].Column]
			}
			permuted.Rows = append(permuted.Rows, r)
		}
		permuted.Name = fmt.Sprint("permuted ", n)
		check(t, known{&permuted, status, best, "law"})

		with := func(name string, factor, constant float64, maximize bool) {
			c := *m
			c.Name, c.Maximize, c.Constant = fmt.Sprint(name, " ", n), maximize, factor*m.Constant+constant
			c.Columns = append([]Column(nil), m.Columns...)
			for j := range c.Columns {
				c.Columns[j].Objective *= factor
			}
			check(t, known{&c, status, factor*best + constant, "law"})
		}
		with("scaled", 3, 0, m.Maximize)
		with("shifted", 1, 1e6, m.Maximize)
		with("negated", -1, 0, !m.Maximize)
	}
}

func TestBrokenOptions(t *testing.T) {
	m := small()[0].model
	for want, o := range map[string]Options{
		"relative gap -1: must be": {RelativeGap: -1}, "relative gap NaN: must be": {RelativeGap: math.NaN()},
		"node limit -1: must be": {NodeLimit: -1}, "engine 3: there is none": {Engine: 3},
		"work limit -1: must be": {WorkLimit: -1}, "absolute gap -1: must be": {AbsoluteGap: -1}, "start of 1 columns for a model of 3": {Start: []float64{1}},
		`start: column "2" is +Inf`: {Start: []float64{1, inf, 1}}, "give the context a deadline": {Set: map[string]string{"time_limit": "5"}},
	} {
		if _, err := Solve(context.Background(), m, o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
	if _, err := Solve(context.Background(), &Model{Columns: []Column{{Low: 1}}}, Options{}); err == nil {
		t.Error("crossed bounds went through")
	}
}

// TestNodeLimit stops a solve of known optimum at every early node: what it then says must be true, and the same twice.
func TestNodeLimit(t *testing.T) {
	seen := map[Status]bool{}
	closer := 0 // how often the bound was better than the relaxation's
	for _, k := range published(t)[6:] {
		k.model.Constant = 1000
		k.best += 1000
		for _, o := range ways(t) {
			relaxed, err := Solve(context.Background(), k.model, Options{Engine: o.Engine, RelaxIntegers: true})
			if err != nil {
				t.Fatal(err)
			}
			for limit := 1; limit <= 36; limit += 5 {
				o.NodeLimit = limit
				r, err := Solve(context.Background(), k.model, o)
				if err != nil {
					t.Fatal(err)
				}
				again, _ := Solve(context.Background(), k.model, o)
				if !reflect.DeepEqual(r, again) {
					t.Errorf("%+v: not the same twice: %+v, %+v", o, r, again)
				}
				seen[r.Status] = true
				sign := k.model.sign()
				slack := 1e-9 * k.best
				switch r.Status {
				case Optimal:
					if math.Abs(r.Objective-k.best) > slack {
						t.Errorf("%+v: optimal at %v, want %v", o, r.Objective, k.best)
					}
				case Feasible:
					checkSolution(t, k.model, r)
					if sign*(r.Bound-relaxed.Objective) > 1e-4*k.best {
						closer++
					}
					if sign*(r.Objective-k.best) < -slack || sign*(r.Bound-k.best) > slack || r.Gap()*r.Objective < math.Abs(r.Objective-k.best)-slack {
						t.Errorf("%+v: %v, proven %v; the optimum is %v", o, r.Objective, r.Bound, k.best)
					}
				case Stopped:
					if r.X != nil || sign*(r.Bound-k.best) > slack {
						t.Errorf("%+v: stopped, proven %v; the optimum is %v", o, r.Bound, k.best)
					}
				default:
					t.Errorf("%+v: status %v", o, r.Status)
				}
			}
		}
	}
	if !seen[Feasible] || !seen[Optimal] || HasGLPK() && !seen[Stopped] || closer == 0 { // HiGHS has a solution before its first node
		t.Errorf("statuses seen: %v; %d bounds better than the relaxation's", seen, closer)
	}
}

// TestManyAtOnce solves different models at once; under -race it watches the shared struct too.
func TestManyAtOnce(t *testing.T) {
	cases := append(published(t), small()...)
	var all sync.WaitGroup
	engines := engines(t)
	for g := range 8 {
		all.Go(func() {
			for n := range cases {
				k := cases[(n+5*g)%len(cases)]
				ctx, cancel := context.WithCancel(context.Background())
				r, err := Solve(ctx, k.model, Options{Engine: engines[(n+g)%len(engines)], Progress: func(Progress) {}})
				cancel()
				if err != nil || r.Status != k.status || r.Status == Optimal && math.Abs(r.Objective-k.best) > 1e-7*(1+math.Abs(k.best)) {
					t.Errorf("%s: %v %v, %v; want %v %v", k.model.Name, r.Status, r.Objective, err, k.status, k.best)
				}
			}
		})
	}
	all.Wait()
}

// TestEqualInputEqualResult solves twice, each time from a fresh start.
func TestEqualInputEqualResult(t *testing.T) {
	for _, k := range published(t) {
		for _, o := range ways(t) {
			first, err := Solve(context.Background(), k.model, o)
			if err != nil {
				t.Fatal(err)
			}
			if second, _ := Solve(context.Background(), k.model, o); !reflect.DeepEqual(first, second) {
				t.Errorf("%s: %+v and %+v", k.model.Name, first, second)
			}
		}
	}
}

// TestRowDual: least 2x + 3y with x + y = 10, x ≤ 4 as a row. By hand: one more to be had costs 3; one more of x saves 1.
func TestRowDual(t *testing.T) {
	for _, e := range engines(t) {
		for _, maximize := range []bool{false, true} {
			m := &Model{Maximize: maximize, Columns: []Column{{High: inf, Objective: 2}, {High: inf, Objective: 3, Integer: true}}, Rows: []Row{
				{Low: 10, High: 10, Terms: []Term{{0, 1}, {1, 1}}}, {Low: -inf, High: 4, Terms: []Term{{0, 1}}}}}
			want := []float64{3, -1}
			if maximize { // greatest −2x − 3y
				m.Columns[0].Objective, m.Columns[1].Objective = -2, -3
				want = []float64{-3, 1}
			}
			r, err := Solve(context.Background(), m, Options{Engine: e, RelaxIntegers: true})
			if err != nil || len(r.Dual) != 2 || math.Abs(r.Dual[0]-want[0]) > 1e-9 || math.Abs(r.Dual[1]-want[1]) > 1e-9 {
				t.Errorf("%v: duals %v, want %v (%v)", e, r.Dual, want, err)
			}
			if r, err := Solve(context.Background(), m, Options{Engine: e}); err != nil || r.Dual != nil {
				t.Errorf("%v: an integer program has duals %v (%v)", e, r.Dual, err)
			}
		}
	}
}
