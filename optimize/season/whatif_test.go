package optimize_test

import (
	"context"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
)

func solved(t *testing.T, s *optimize.Season, how optimize.SeasonMode) *optimize.SeasonPlan {
	t.Helper()
	p, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{Mode: how})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestWhatIfsByHand: changes of [optimize.HandSeason], whose plan with the layout kept is 3 packs of beech (54.03 + 1.00 + 7.50), a plank of stock (1.26), and
// 5 planks of birch (4 + 30, and 2.00): 99.79.
func TestWhatIfsByHand(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	s := optimize.HandSeason()
	plan := solved(t, s, optimize.SeasonKeep)
	changes := []struct {
		optimize.Change
		cost string // "": no plan
		lots int
	}{
		// Nothing else gives birch.
		{optimize.Change{Kind: optimize.WithoutSupplier, Name: "B"}, "", 0},
		{optimize.Change{Kind: optimize.WithoutWood, Name: "beech"}, "", 0},
		// 54.03 × 1.1 = 59.433; another plank of stock would save nothing: 2 packs and 2 planks give 18 strips.
		{optimize.Change{Kind: optimize.PriceOf, Name: "beech", Pct: decimal.NewFromInt(10)}, "5.40", 0},
		// 54.03 × 1.05 = 56.7315 and 34 × 1.05 = 35.7: 56.73 − 54.03 + 1.70. Stock does not rise.
		{optimize.Change{Kind: optimize.PriceOf, Pct: decimal.NewFromInt(5)}, "4.40", 0},
		// 22 strips of each: 3 packs and 2 planks of stock give 24 (1.26 → 2.51), and 6 planks of birch 24 (+6): 7.25.
		{optimize.Change{Kind: optimize.BoardsBy, Pct: decimal.NewFromInt(10)}, "7.25", 2},
		// 18 strips of each: 3 packs alone (−1.26), 5 planks of birch.
		{optimize.Change{Kind: optimize.BoardsBy, Pct: decimal.NewFromInt(-10)}, "-1.26", 1},
	}
	var ask []optimize.Change
	for _, c := range changes {
		ask = append(ask, c.Change)
	}
	got, err := optimize.SeasonWhatIfs(context.Background(), s, plan, ask)
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range got {
		want := changes[i]
		switch {
		case want.cost == "":
			if w.Plan != nil || w.Short == nil || len(w.Short.Lacks) == 0 {
				t.Errorf("%+v: %+v, want no plan", w.Change, w)
			}
		case w.Plan == nil || !w.Plan.Proven || !w.Cost.Equal(decimal.RequireFromString(want.cost)) || len(w.Lots) != want.lots || len(w.Models) != 0:
			t.Errorf("%+v: cost %s, lots %+v, models %v, %v %v; want %s and %d lots", w.Change, w.Cost, w.Lots, w.Models, w.Short, w.Why, want.cost, want.lots)
		default:
			if err := w.Plan.Verify(); err != nil {
				t.Errorf("%+v: %v", w.Change, err)
			}
		}
	}
	for _, c := range []optimize.Change{{Kind: optimize.WithoutSupplier, Name: "C"}, {Kind: optimize.WithoutWood, Name: "oak"}, {Kind: optimize.PriceOf, Name: "oak"},
		{Kind: "weather"}, {Kind: optimize.BoardsBy, Pct: decimal.NewFromInt(-101)}} {
		if _, err := optimize.SeasonWhatIfs(context.Background(), s, plan, []optimize.Change{c}); err == nil || strings.Contains(err.Error(), "no plan") {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if again := solved(t, s, optimize.SeasonKeep); !again.Cost.Equal(plan.Cost) || s.Models[0].Build != 10 || s.Lots[0].MaxSteps != 20 {
		t.Error("asking has changed the season")
	}
}

// TestWhatIfsAnew: a what-if that starts from a plan costs what the changed season does by itself.
func TestWhatIfsAnew(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	plans := 0
	for seed := range uint64(*seasons / 2) {
		s := invented.SmallSeason(seed)
		plan, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{})
		if err != nil {
			continue
		}
		changes := []optimize.Change{{Kind: optimize.WithoutSupplier, Name: s.Suppliers[0].Name}, {Kind: optimize.WithoutWood, Name: s.Kinds[0].Wood},
			{Kind: optimize.PriceOf, Name: s.Kinds[0].Wood, Pct: decimal.NewFromInt(12)}, {Kind: optimize.BoardsBy, Pct: decimal.NewFromInt(25)}}
		got, err := optimize.SeasonWhatIfs(context.Background(), s, plan, changes)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for _, w := range got {
			changed, err := s.Changed(w.Change)
			if err != nil {
				t.Fatal(err)
			}
			d := mode(t, seed, changed, optimize.SeasonJoint)
			var x []float64
			var cost float64
			if d != nil {
				x, cost = byGLPK(t, d.Model)
			}
			if (x == nil) != (w.Plan == nil) {
				t.Errorf("seed %d, %+v: %v %v; the direct program costs %.4f", seed, w.Change, w.Plan, w.Short, cost)
				continue
			}
			if w.Plan == nil {
				continue
			}
			plans++
			if d := w.Plan.Exact.InexactFloat64() - cost; d > 1e-4 || d < -1e-4 {
				t.Errorf("seed %d, %+v: costs %s, the direct program %.4f", seed, w.Change, w.Plan.Exact, cost)
			}
			if !w.Cost.Equal(w.Plan.Cost.Sub(plan.Cost)) || (w.Change.Kind == optimize.WithoutSupplier || w.Change.Kind == optimize.WithoutWood) && w.Plan.Exact.LessThan(plan.Exact) {
				t.Errorf("seed %d, %+v: costs %s, %s more than %s", seed, w.Change, w.Plan.Cost, w.Cost, plan.Cost)
			}
		}
	}
	if plans < *seasons {
		t.Errorf("only %d changes have a plan", plans)
	}
}

// TestSeasonSteps: the cost never falls as the share rises, each step has its share, and what follows the last cannot be had.
func TestSeasonSteps(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	shares := []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}
	ended, solvedAnew := 0, 0
	for seed := range uint64(*seasons / 2) {
		s := invented.SmallSeason(seed)
		plan, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{})
		if err != nil {
			continue
		}
		steps, err := optimize.SeasonSteps(context.Background(), s, plan, shares)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for i, st := range steps {
			if st.MinFastPct != shares[i] {
				t.Errorf("seed %d: step %d is at %v", seed, i, st.MinFastPct)
			}
			if st.Plan == nil {
				ended++
				if i != len(steps)-1 || st.Short == nil {
					t.Errorf("seed %d: no plan at %v, and %d steps: %v", seed, st.MinFastPct, len(steps), st.Short)
				}
				continue
			}
			if !st.Plan.Proven || st.Plan.Verify() != nil || st.Plan.FastGrownPct() < st.MinFastPct-1e-9 {
				t.Errorf("seed %d: at %v: proven %v, %v, %v %%", seed, st.MinFastPct, st.Plan.Proven, st.Plan.Verify(), st.Plan.FastGrownPct())
			}
			if i > 0 && st.Plan.Exact.LessThan(steps[i-1].Plan.Exact) {
				t.Errorf("seed %d: at %v it costs %s, at %v %s", seed, st.MinFastPct, st.Plan.Exact, steps[i-1].MinFastPct, steps[i-1].Plan.Exact)
			}
			if i > 0 && !st.Plan.Exact.Equal(steps[i-1].Plan.Exact) {
				solvedAnew++
				changed := *s
				changed.Limits.MinFastPct = optimize.Limit{Set: true, Value: st.MinFastPct}
				_, cost := byGLPK(t, mode(t, seed, &changed, optimize.SeasonJoint).Model)
				if d := st.Plan.Exact.InexactFloat64() - cost; d > 1e-4 || d < -1e-4 {
					t.Errorf("seed %d: at %v it costs %s, by the direct program %.4f", seed, st.MinFastPct, st.Plan.Exact, cost)
				}
			}
		}
	}
	t.Logf("%d ended early, %d steps at another cost", ended, solvedAnew)
	if ended == 0 || solvedAnew < *seasons/4 {
		t.Errorf("%d ended early, %d steps at another cost", ended, solvedAnew)
	}
}
