package season_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/invented"
	"stavewright/optimize/season"
)

// twoSizes is a small season whose first model comes in two sizes of one recipe: another outline and thickness, limits of its own, the woods and candidates in another
// order. nil where the first model has no reference to hold its ride by.
func twoSizes(seed uint64) *season.Season {
	s := invented.SmallSeason(seed)
	if s.Models[0].Program.Reference == nil {
		return nil
	}
	r := rand.New(rand.NewPCG(seed, 11))
	for _, how := range retellings {
		if how.name == "the woods in another order" || how.name == "the candidates in another order" && seed%2 == 0 {
			turned := retold(r, s, how)
			if len(s.Models) > 1 && s.Models[0].Recipe == "R" {
				s.Models[1] = turned.Models[1]
				continue
			}
			s.Models[0].Recipe = "R"
			second := turned.Models[0]
			second.Recipe, second.Build = "R", 1+r.IntN(5)
			p, b := second.Program, second.Program.Board
			p.Model = "The same, longer"
			for i := range b.Stations {
				b.Stations[i].FromTipMM = math.Round(b.Stations[i].FromTipMM * 1.1)
				b.Stations[i].WidthMM = math.Round(b.Stations[i].WidthMM * (0.5 + 0.3*r.Float64()))
				b.Stations[i].ThicknessMM *= 0.9 + 0.1*r.Float64()
			}
			p.Limits.MaxCoreMassG = optimize.Limit{}
			if p.Limits.Windows, _ = p.EqualRide(optimize.MatchOptions{WithinPct: 6}); r.IntN(2) == 0 {
				p.Limits.Windows = nil
			}
			s.Models = slices.Insert(s.Models, 1, second)
		}
	}
	return s
}

// woodsOf are the woods of a model's layout, by strip.
func woodsOf(s *season.Season, model int, l core.Layout) (ids []string) {
	for _, w := range l {
		ids = append(ids, s.Models[model].Program.Board.Woods[w].ID)
	}
	return ids
}

// TestRecipe: two sizes of one board get the same layout, strip by strip, at the least cost that there is: that of brute force, and of the exported program.
// Alone they are never dearer, and a plan in which they differ is refused.
func TestRecipe(t *testing.T) {
	needsGLPK(t)
	plans, mixed, outlines, dearer, refused, brutes, firsts := 0, 0, 0, 0, 0, 0, 0
	for seed := range sample(3) {
		s := twoSizes(seed)
		if s == nil {
			continue
		}
		d := program(t, s, season.Joint, false)
		cost := math.Inf(1)
		if d != nil {
			_, cost = byGLPK(t, d.Model)
		}
		if brute, ok := bruteForce(t, s, season.Joint, cost, 100_000); ok {
			if brutes++; brute != cost && !(math.Abs(brute-cost) < 0.5e-6) {
				t.Errorf("seed %d: brute force %.6f, the program %.6f", seed, brute, cost)
			}
		}
		p, err := season.Solve(context.Background(), s, season.Options{}.Undiagnosed())
		q, otherErr := season.Solve(context.Background(), s, season.Options{}.Undiagnosed().SideBySide())
		if math.IsInf(cost, 1) {
			if !noPlan(err) || !noPlan(otherErr) {
				t.Errorf("seed %d: %v, %v; %v, %v", seed, p, err, q, otherErr)
			}
			continue
		}
		if err != nil || otherErr != nil {
			t.Fatalf("seed %d: %v; side by side %v", seed, err, otherErr)
		}
		plans++
		for _, p := range []*season.Plan{p, q} {
			if bad := p.Verify(); bad != nil || !p.Proven || math.Abs(p.Exact.InexactFloat64()-cost) > 1e-5 {
				t.Errorf("seed %d: costs %s, proven %v; the program says %.6f: %v", seed, p.Exact, p.Proven, cost, bad)
			}
			if a, b := woodsOf(s, 0, p.Layouts[0]), woodsOf(s, 1, p.Layouts[1]); !slices.Equal(a, b) {
				t.Errorf("seed %d: layouts %v and %v of one recipe", seed, a, b)
			}
		}
		if ids := woodsOf(s, 0, p.Layouts[0]); slices.ContainsFunc(ids, func(id string) bool { return id != ids[0] }) {
			mixed++
		}
		if !reflect.DeepEqual(groupsOf(s, 0), groupsOf(s, 1)) {
			outlines++
		}
		free := *s
		free.Models = slices.Clone(s.Models)
		free.Models[0].Recipe, free.Models[1].Recipe = "", ""
		own, err := season.Solve(context.Background(), &free, season.Options{}.Undiagnosed())
		if err != nil || own.Exact.GreaterThan(p.Exact) {
			t.Fatalf("seed %d: without the recipe %v, %v; with it %s", seed, own, err, p.Exact)
		}
		if again, err := free.Restate(p, season.Joint); err != nil || !again.Exact.Equal(p.Exact) {
			t.Errorf("seed %d: without the recipe its plan is %v, %v", seed, again, err)
		}
		again, err := s.Restate(own, season.Joint)
		if same := slices.Equal(woodsOf(s, 0, own.Layouts[0]), woodsOf(s, 1, own.Layouts[1])); (err == nil) != same {
			t.Errorf("seed %d: of layouts that agree (%v), a plan of the recipe is %v, %v", seed, same, again, err)
		} else if a, b := s.Differs(own.Layouts); (a == "") != same || !same && b != s.Models[1].Program.Model {
			t.Errorf("seed %d: %q and %q are said to differ", seed, a, b)
		} else if !same {
			refused++
		}
		if own.Exact.LessThan(p.Exact) {
			dearer++
		}
		if first, err := season.Solve(context.Background(), s, season.Options{Mode: season.First}.Undiagnosed()); err == nil {
			if firsts++; first.Exact.LessThan(p.Exact) || first.Verify() != nil || !slices.Equal(woodsOf(s, 0, first.Layouts[0]), woodsOf(s, 1, first.Layouts[1])) {
				t.Errorf("seed %d: layouts first cost %s, together %s: %v", seed, first.Exact, p.Exact, first.Layouts)
			}
		} else if !noPlan(err) {
			t.Errorf("seed %d, layouts first: %v", seed, err)
		}
	}
	t.Logf("%d plans, %d of several woods, %d of unlike outlines, %d dearer for the recipe, %d refused, %d by brute force, %d layouts first", plans, mixed, outlines, dearer, refused, brutes, firsts)
	if n := int(sample(1)) / 2; min(plans, mixed, outlines, refused, dearer, firsts) < n || brutes < n/2 {
		t.Error("too few to prove anything")
	}
}

func groupsOf(s *season.Season, model int) (out [][]int) {
	for _, g := range s.Models[model].Program.Board.Groups() {
		out = append(out, g.Strips)
	}
	return out
}

// TestRecipeByCBC: CBC finds the cost of a plan with a recipe, by the exported program.
func TestRecipeByCBC(t *testing.T) {
	needsSolver(t)
	plans := 0
	for seed := range sample(1) {
		s := twoSizes(seed)
		if s == nil {
			continue
		}
		m, _, err := season.Direct(context.Background(), s, season.Joint)
		if noPlan(err) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		expected := math.Inf(1)
		p, err := season.Solve(context.Background(), s, season.Options{}.Undiagnosed())
		if err == nil {
			plans++
			expected = p.Exact.InexactFloat64()
		} else if !errors.Is(err, season.ErrInfeasible) && !noPlan(err) {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if _, cost := byCBC(t, m, expected); cost != expected && !(math.Abs(cost-expected) < 1e-4) {
			t.Errorf("seed %d: CBC says %.6f, the search %.6f", seed, cost, expected)
		}
	}
	if plans < 3 {
		t.Errorf("only %d plans", plans)
	}
}
