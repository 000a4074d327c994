package season_test

import (
	"context"
	"math"
	"testing"

	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// TestSplit: every choice of suppliers lies in one branch or in none that has a plan. A branch's bound is not above its least cost, and the least of all branches is
// the season's.
func TestSplit(t *testing.T) {
	needsGLPK(t)
	divided, raised := 0, 0
	for seed := range sample(2) {
		s := invented.SmallSeason(seed)
		p := program(t, s, season.Joint, true)
		if p == nil {
			continue
		}
		_, cost := byGLPK(t, p.Model)
		branches, err := p.Split()
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		least := math.Inf(1)
		for i, b := range branches {
			if i > 0 && b.Bound < branches[i-1].Bound {
				t.Errorf("seed %d: a bound of %.6f after one of %.6f", seed, b.Bound, branches[i-1].Bound)
			}
			_, of := byGLPK(t, b.Model)
			if b.Bound > of+1e-6 {
				t.Errorf("seed %d: a branch has the bound %.6f; its plan costs %.6f", seed, b.Bound, of)
			}
			least = min(least, of)
		}
		if least != cost && !(math.Abs(least-cost) < 1e-6) {
			t.Errorf("seed %d: %.6f in branches, %.6f in one program", seed, least, cost)
		}
		for choice := range 1 << len(s.Suppliers) {
			from := make([]bool, len(s.Suppliers))
			for k := range from {
				from[k] = choice>>k&1 == 1
			}
			in := 0
			for _, b := range branches {
				if b.Holds(from) {
					in++
				}
			}
			if in > 1 {
				t.Errorf("seed %d: suppliers %v lie in %d branches", seed, from, in)
			}
		}
		if len(branches) > 1 {
			divided++
			r, err := mip.Solve(context.Background(), p.Model, mip.Options{RelaxIntegers: true})
			if err != nil || r.Status != mip.Optimal {
				t.Fatalf("seed %d: %v, %v", seed, r.Status, err)
			}
			if branches[0].Bound > r.Objective+1e-3*math.Abs(r.Objective) {
				raised++
			}
		}
	}
	t.Logf("%d seasons divided, %d bounds raised", divided, raised)
	if divided < int(sample(1))/2 || raised < int(sample(1))/4 {
		t.Errorf("%d seasons divided, %d bounds raised: too few to prove anything", divided, raised)
	}
}
