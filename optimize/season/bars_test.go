package season_test

import (
	"context"
	"math"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/season"
)

// TestRideLimits: limits on flex, which no row holds exactly, are kept at the least cost that there is: that of brute force.
func TestRideLimits(t *testing.T) {
	needsSolver(t)
	for _, tt := range []struct {
		name      string
		low, high float64 // of the reference's flex; 0: no limit
		plans     int     // at least so many, in 100 seeds
	}{
		{"at least", 1.01, 0, 4}, {"at most", 0, 0.99, 5}, {"about the same", 0.98, 1.02, 12},
	} {
		plans, infeasible := 0, 0
		n := min(5*sample(1), 100)
		for seed := range n {
			s := invented.SmallSeason(seed)
			for i := range s.Models {
				p := s.Models[i].Program
				if p.Reference == nil {
					continue
				}
				fig, err := p.Board.Evaluate(p.Reference)
				if err != nil {
					t.Fatal(err)
				}
				p.Limits.FlexLow = optimize.Limit{Set: tt.low > 0, Value: math.Round(100*tt.low*fig.Flex.CoreNPerMM) / 100}
				p.Limits.FlexHigh = optimize.Limit{Set: tt.high > 0, Value: math.Round(100*tt.high*fig.Flex.CoreNPerMM) / 100}
			}
			brute, ok := bruteForce(t, s, season.Joint, math.Inf(1), 40_000)
			if !ok {
				continue
			}
			for _, o := range []season.Options{{}, season.Options{}.SideBySide()} {
				p, err := season.Solve(context.Background(), s, o.Undiagnosed())
				switch {
				case noPlan(err) && math.IsInf(brute, 1):
					infeasible++
				case err != nil:
					t.Errorf("%s, seed %d: %v; brute force finds %.6f", tt.name, seed, err, brute)
				case !p.Proven || p.Verify() != nil || math.Abs(p.Exact.InexactFloat64()-brute) > 1e-5:
					t.Errorf("%s, seed %d: costs %s, proven %v (%s); brute force finds %.6f: %v", tt.name, seed, p.Exact, p.Proven, p.Why, brute, p.Verify())
				default:
					plans++
				}
			}
		}
		t.Logf("%s: %d plans, %d times none", tt.name, plans, infeasible)
		if plans < tt.plans*int(n)/100 || infeasible == 0 {
			t.Errorf("%s: %d plans, %d times none: too few to prove anything", tt.name, plans, infeasible)
		}
	}
}
