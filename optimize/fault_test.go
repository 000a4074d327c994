package optimize

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"stavewright/optimize/mip"
)

// isFault fails unless err is a fault of the solver with advice in it.
func isFault(t *testing.T, what string, err error) {
	t.Helper()
	var fault *SolverError
	if !errors.As(err, &fault) || !strings.Contains(err.Error(), "is not complete") || !strings.Contains(err.Error(), "MPS") {
		t.Errorf("%s: %v, want a solver error that says what to do", what, err)
	}
}

// TestFaultKeepsWhatWasFound: whenever the solver fails, what was proven before is a part of the complete front, said to be
// incomplete, and what is missing lies in what is said not to be searched.
func TestFaultKeepsWhatWasFound(t *testing.T) {
	needsIntegerPrograms(t)
	p := program()
	for _, tt := range []struct {
		name string
		o    Options
		ks   []int64
	}{
		{"one sweep", Options{stretches: 1}, []int64{0, 1, 2, 3, 10, 30}},
		{"stretches", Options{stretches: 4}, []int64{0, 1, 2, 5, 20}},
		{"three objectives", Options{Objectives: three}, []int64{0, 1, 7, 25}},
	} {
		all := mustFront(t, p, Options{Method: Enumeration, Objectives: tt.o.Objectives})
		whole := vectors(all)
		most := 0
		for _, k := range tt.ks {
			o := tt.o
			o.solver = breaking{new(atomic.Int64), k}
			r, err := Front(context.Background(), p, o)
			isFault(t, tt.name, err)
			if !errors.Is(err, errBroken) || r == nil {
				t.Fatalf("%s, after %d solves: %v, %v", tt.name, k, r, err)
			}
			if r.Complete || r.Why != whyFault || r.Unsearched == "" || r.Infeasible != nil {
				t.Errorf("%s, after %d solves: complete %v, why %q, unsearched %q", tt.name, k, r.Complete, r.Why, r.Unsearched)
			}
			most = max(most, len(r.Points))
			if r.Unproven {
				if c, err := Check(p, r.Points[0].Layout); err != nil || len(c.Broken) > 0 || len(r.Points) != 1 {
					t.Errorf("%s, after %d solves: the one layout does not keep the limits: %v %v", tt.name, k, c, err)
				}
				continue
			}
			if len(tt.o.Objectives) == 0 {
				for _, v := range vectors(r) {
					if !slices.ContainsFunc(whole, func(w []int64) bool { return slices.Equal(v, w) }) {
						t.Errorf("%s, after %d solves: %v is not on the complete front", tt.name, k, v)
					}
				}
			}
			for _, pt := range r.Points {
				if c, err := Check(p, pt.Layout); err != nil || len(c.Broken) > 0 {
					t.Errorf("%s, after %d solves: point %d does not keep the limits: %v %v", tt.name, k, pt.ID, c, err)
				}
			}
		}
		if most < 5 {
			t.Errorf("%s: at most %d points were kept: nothing is tested", tt.name, most)
		}
	}
}

// TestMatchFault: a fault at one profile factor leaves the answers at the others, and one in the advice on swaps the answer itself.
func TestMatchFault(t *testing.T) {
	needsIntegerPrograms(t)
	p := program()
	p.Reference = slices.Repeat([]int{1}, len(p.Board.Strips()))
	o := MatchOptions{Method: IntegerProgram, Factors: []float64{0.98, 1, 1.02}, WithinPct: 5}
	whole := mustMatch(t, p, o)
	if whole.Best == nil || len(whole.Swaps) == 0 {
		t.Fatalf("best %v, %d swaps", whole.Best, len(whole.Swaps))
	}
	partly, advice := 0, 0
	for k := range int64(40) {
		o.solver = breaking{new(atomic.Int64), k}
		r, err := Match(context.Background(), p, o)
		if err == nil {
			break
		}
		isFault(t, "match", err)
		if r == nil {
			t.Fatalf("after %d solves: no result", k)
		}
		switch {
		case r.Proven: // the fault came later, in the advice
			advice++
			if r.Best == nil || r.Best.CoreMassG != whole.Best.CoreMassG || r.Trimmed == nil || len(r.Swaps) == 0 {
				t.Errorf("after %d solves: best %v, %d swaps", k, r.Best, len(r.Swaps))
			}
			if !slices.ContainsFunc(r.Swaps, func(s Swap) bool { return strings.Contains(s.Why, whyFault) }) {
				t.Errorf("after %d solves: no swap says that the solver failed: %+v", k, r.Swaps)
			}
		case r.Why != whyFault || r.Infeasible != nil:
			t.Errorf("after %d solves: why %q, infeasible %v", k, r.Why, r.Infeasible)
		case r.Best != nil:
			partly++
			if c, err := Check(p.Scaled(r.Best.ProfileFactor), r.Best.Layout); err != nil || len(c.Broken) > 0 {
				t.Errorf("after %d solves: the layout kept does not keep the limits: %v %v", k, c, err)
			}
		}
	}
	if partly == 0 || advice == 0 {
		t.Errorf("%d faults left an answer, %d came in the advice: one of the two is not tested", partly, advice)
	}
}

// TestMixesFault: whenever the solver fails, the steps and points found before it stand, and what is not proven says so; a fault of one
// search leaves the others.
func TestMixesFault(t *testing.T) {
	needsIntegerPrograms(t)
	p := program()
	p.Reference = slices.Repeat([]int{1}, len(p.Board.Strips()))
	p.Candidates[0].FastGrown, p.Candidates[2].FastGrown = false, true
	o := MixesOptions{Method: IntegerProgram, Objectives: []Objective{Mass, EI}, Factors: []float64{1, 1.02}, WithinPct: 2}
	counts := breaking{new(atomic.Int64), math.MaxInt64}
	o.solver = counts
	whole, err := Mixes(context.Background(), p, o)
	if err != nil || !whole.Proven || len(whole.Breaks) < 3 || whole.Greatest == nil {
		t.Fatalf("%+v, %v", whole, err)
	}
	all := counts.n.Load()
	inSteps, inFront := 0, 0
	for _, k := range []int64{0, all / 5, all * 9 / 10} {
		o.solver = breaking{new(atomic.Int64), k}
		r, err := Mixes(context.Background(), p, o)
		isFault(t, "mixes", err)
		if r == nil || r.Front == nil {
			t.Fatalf("after %d of %d solves: %+v", k, all, r)
		}
		if r.Infeasible != nil || r.Unmatched != nil || r.Proven != (r.StepsProven && r.Front.Complete) || !r.Proven && r.Why != whyFault || r.Proven && r.Why != "" {
			t.Errorf("after %d of %d solves: %+v", k, all, r)
		}
		switch {
		case !r.StepsProven && len(r.Breaks) > 0:
			inSteps++
		case r.StepsProven && !r.Front.Complete && len(r.Front.Points) > 0:
			inFront++
		}
		if r.StepsProven && len(r.Breaks) != len(whole.Breaks) {
			t.Errorf("after %d of %d solves: %d steps said to be all, of %d", k, all, len(r.Breaks), len(whole.Breaks))
		}
		for _, b := range r.Breaks {
			c, err := Check(p.Scaled(b.Point.ProfileFactor), b.Point.Layout)
			if err != nil || len(c.Broken) > 0 {
				t.Errorf("after %d of %d solves: a step does not keep the limits: %v %v", k, all, c, err)
			}
			if least := slices.IndexFunc(whole.Breaks, func(w MixBreak) bool { return w.SharePct >= b.SharePct }); least < 0 || whole.Breaks[least].Point.CoreMassG > b.Point.CoreMassG {
				t.Errorf("after %d of %d solves: %v g with %v %% is not to be had", k, all, b.Point.CoreMassG, b.SharePct)
			}
		}
	}
	if inSteps == 0 || inFront == 0 {
		t.Errorf("%d faults in the steps left some, %d in the front left points: one is not tested", inSteps, inFront)
	}
}

// TestFaultWhileExplaining: that nothing is feasible still stands when the solver fails at finding out why.
func TestFaultWhileExplaining(t *testing.T) {
	needsIntegerPrograms(t)
	p := program()
	p.Limits.MaxCoreMassG = at(1, "Limits!C2")
	p.Reference = slices.Repeat([]int{1}, len(p.Board.Strips()))
	for k := range int64(3) {
		r, err := Front(context.Background(), p, Options{Method: IntegerProgram, solver: breaking{new(atomic.Int64), k}})
		isFault(t, "front", err)
		if r == nil || (r.Infeasible != nil) != (k > 0) || r.Complete != (k > 0) {
			t.Errorf("front, after %d solves: %+v", k, r)
		}
		m, err := Match(context.Background(), p, MatchOptions{Method: IntegerProgram, solver: breaking{new(atomic.Int64), k}})
		isFault(t, "match", err)
		if m == nil || (m.Infeasible != nil) != (k > 0) || m.Proven != (k > 0) {
			t.Errorf("match, after %d solves: %+v", k, m)
		}
	}
}

// A wrong solver answers as told.
type wrong struct {
	answer func(solve int, m *mip.Model, r mip.Result) (mip.Result, error)
	n      *atomic.Int64
}

func (w wrong) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	r, err := mip.Solve(ctx, m, o)
	if err != nil {
		return r, err
	}
	return w.answer(int(w.n.Add(1)), m, r)
}

// TestWrongAnswers: what a solver answers in rounding errors or in contradiction to itself is a fault, and never ends up in a front; nor
// is a fault at the moment of an interrupt taken for the interrupt.
func TestWrongAnswers(t *testing.T) {
	needsIntegerPrograms(t)
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	none := mip.Result{Status: mip.Infeasible, Bound: math.Inf(1)}
	spoilt := func(r mip.Result) mip.Result {
		r.X = slices.Clone(r.X)
		for j := range r.X {
			r.X[j] = 0
		}
		return r
	}
	for name, answer := range map[string]func(int, *mip.Model, mip.Result) (mip.Result, error){
		"strips that are not there": func(n int, _ *mip.Model, r mip.Result) (mip.Result, error) {
			if n > 5 && r.X != nil {
				r = spoilt(r)
			}
			return r, nil
		},
		"a layout, then none": func(n int, _ *mip.Model, r mip.Result) (mip.Result, error) {
			if n == 6 && r.X != nil {
				return spoilt(r), nil
			}
			if n == 7 {
				return none, nil
			}
			return r, nil
		},
		"nothing where a layout is known": func(n int, _ *mip.Model, r mip.Result) (mip.Result, error) {
			if n > 5 {
				return none, nil
			}
			return r, nil
		},
		"a fault and an interrupt": func(n int, _ *mip.Model, r mip.Result) (mip.Result, error) {
			if n > 5 {
				cancel()
				return mip.Result{}, errBroken
			}
			return r, nil
		},
	} {
		use := context.Background()
		if strings.Contains(name, "interrupt") {
			use = ctx
		}
		r, err := Front(use, program(), Options{stretches: 1, solver: wrong{answer, new(atomic.Int64)}})
		isFault(t, name, err)
		if r == nil || r.Complete || r.Why != whyFault || len(r.Points) == 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}
