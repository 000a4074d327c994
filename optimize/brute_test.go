package optimize

import (
	"context"
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

var (
	many = flag.Int("models", 240, "how many random models to hold against brute force")
	long = flag.Bool("long", false, "run the cases that take minutes")
)

// steps are a point's objectives as integers.
func steps(pt Point, objectives []Objective) []int64 {
	var v []int64
	for _, o := range objectives {
		switch o {
		case Mass:
			v = append(v, int64(math.Round(pt.CoreMassG*100)))
		case EI:
			v = append(v, -int64(math.Round(pt.EINM2*100)))
		case Cost:
			v = append(v, pt.Cost.Shift(2).IntPart())
		}
	}
	return v
}

// objectiveSteps are the objectives of counts.
func (f *form) objectiveSteps(t *testing.T, n []int64, objectives []Objective) []int64 {
	t.Helper()
	var v []int64
	for _, o := range objectives {
		q, err := f.objective(o)
		if err != nil {
			t.Fatal(err)
		}
		v = append(v, q.step(q.sign*dot(q.coef, n)+q.offset))
	}
	return v
}

// TestFrontAgainstBruteForce tries every layout of random small models. Limits are decided from the mechanics in
// floating point, apart from layouts within rounding of a bound, where the program's integers decide.
func TestFrontAgainstBruteForce(t *testing.T) {
	if testing.Short() {
		*many = min(*many, 60)
	}
	feasible, points, near, refused := 0, 0, 0, 0
	for seed := range *many {
		r := rand.New(rand.NewPCG(uint64(seed), 20260101))
		p, _ := randomProgram(r)
		for countLayouts(p) > 4000 {
			p, _ = randomProgram(r)
		}
		objectives := []Objective{Mass, EI}
		if seed%6 == 0 {
			objectives = append(objectives, Cost)
		}
		f, err := newForm(p)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		board, err := p.Board.Prepare()
		if err != nil {
			t.Fatal(err)
		}
		sf := f.newScatter()
		var all []solution
		layouts(p, func(l core.Layout) {
			fig, err := board.Evaluate(l)
			if err != nil {
				t.Fatal(err)
			}
			keeps, close := keepsLimits(p, board, l, fig)
			if !keeps && !close {
				return
			}
			n, err := f.counts(l)
			if err != nil {
				if !close {
					t.Fatalf("seed %d: layout %v: %v", seed, l, err)
				}
				return
			}
			broken := f.breaks(n, sf)
			if close {
				near++
				keeps = len(broken) == 0
			} else if len(broken) > 0 {
				t.Fatalf("seed %d: layout %v keeps every limit, but the program says it breaks %v", seed, l, broken[0].name)
			}
			if keeps {
				// The objectives from the mechanics, but for the last digit, which quantising may turn.
				v := f.objectiveSteps(t, n, objectives)
				if d := math.Abs(fig.CoreMassG*100 - float64(v[0])); d > 1 {
					t.Fatalf("seed %d: layout %v weighs %v g, by the program %v", seed, l, fig.CoreMassG, v[0])
				}
				if d := math.Abs(fig.Measure.EINM2(p.Board.Section)*100 + float64(v[1])); d > 1 {
					t.Fatalf("seed %d: layout %v has EI %v, by the program %v", seed, l, fig.Measure.EINM2(p.Board.Section), v[1])
				}
				all = append(all, solution{values: v})
			}
		})
		var want [][]int64
		for _, s := range nondominated(all) {
			want = append(want, s.values)
		}
		for _, method := range []Method{IntegerProgram, Enumeration} {
			if method == IntegerProgram && !mip.Available {
				continue
			}
			got, err := Front(context.Background(), p, Options{Objectives: objectives, Method: method})
			var needs *NeedsEnumerationError
			if errors.As(err, &needs) && method == IntegerProgram && (p.Limits.FlexHigh.Set || p.Limits.MaxUtilPct.Set) {
				refused++
				continue // said honestly, and only where it binds
			}
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			if got.Method != method && got.Method != "" {
				t.Fatalf("seed %d: searched by %s", seed, got.Method)
			}
			have := vectors(got)
			if !got.Complete || !slices.EqualFunc(have, want, slices.Equal[[]int64]) {
				t.Errorf("seed %d: front by %s %v, brute force over %d feasible layouts %v", seed, method, have, len(all), want)
			}
			if (got.Infeasible != nil) != (len(all) == 0) {
				t.Errorf("seed %d: infeasible = %v with %d feasible layouts", seed, got.Infeasible, len(all))
			}
		}
		if len(all) > 0 {
			feasible++
		}
		points += len(want)
	}
	t.Logf("%d models, %d of them feasible, %d points, %d layouts within rounding of a bound, %d integer programs refused", *many, feasible, points, near, refused)
	if feasible < *many/2 || points < 2**many {
		t.Errorf("only %d feasible models and %d points: too tame to prove anything", feasible, points)
	}
}
