package season_test

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// TestStrengthen: the rows that strengthen a program bar no layout of a model, so its least cost stays; what its relaxation proves on the way rises and is
// never above the least cost.
func TestStrengthen(t *testing.T) {
	needsGLPK(t)
	rows, barred, raised := 0, 0, 0
	for seed := range sample(2) {
		s := invented.SmallSeason(seed)
		plain, strong := program(t, s, season.Joint, true), program(t, s, season.Joint, true)
		if plain == nil || strong == nil {
			continue
		}
		_, cost := byGLPK(t, plain.Model)
		before := len(strong.Model.Rows)
		var proven []float64
		err := strong.Strengthen(func(bound float64) { proven = append(proven, bound) })
		if noPlan(err) {
			if !math.IsInf(cost, 1) {
				t.Errorf("seed %d: strengthened it has no plan; it costs %.6f", seed, cost)
			}
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if _, same := byGLPK(t, strong.Model); same != cost && !(math.Abs(same-cost) < 0.5e-6) {
			t.Errorf("seed %d: %.6f with the rows, %.6f without", seed, same, cost)
		}
		if len(proven) == 0 || proven[len(proven)-1] > cost+1e-6 {
			t.Errorf("seed %d: proven %v; it costs %.6f", seed, proven, cost)
		}
		if last := len(proven) - 1; proven[last] > proven[0]+1e-6 {
			raised++
		}
		relaxed, err := mip.Solve(context.Background(), plain.Model, mip.Options{RelaxIntegers: true})
		if err != nil || relaxed.X == nil {
			t.Fatalf("seed %d: %v, %v", seed, relaxed.Status, err)
		}
		for _, row := range strong.Model.Rows[before:] {
			rows++
			if sum(row, relaxed.X) < row.Low {
				barred++
			}
			model := slices.IndexFunc(s.Models, func(m season.Model) bool { return strings.HasPrefix(row.Name, m.Program.Model+": ") })
			layouts(s.Bare(model), func(l core.Layout) {
				if c, err := optimize.Check(s.Bare(model), l); err != nil || c.Broken != nil {
					return
				}
				x, err := strong.Values(model, l)
				if err != nil {
					t.Fatal(err)
				}
				if v := sum(row, x); !(v >= row.Low) {
					t.Errorf("seed %d, %s: the layout %v has %v, which must be at least %v", seed, row.Name, l, v, row.Low)
				}
			})
		}
	}
	t.Logf("%d rows, %d of which bar the relaxation; %d relaxations raised", rows, barred, raised)
	if rows < int(sample(1)) || barred == 0 || raised < int(sample(1))/4 {
		t.Errorf("%d rows, %d of which bar the relaxation; %d relaxations raised: too few to prove anything", rows, barred, raised)
	}
}

func sum(row mip.Row, x []float64) (v float64) {
	for _, t := range row.Terms {
		v += t.Coefficient * x[t.Column]
	}
	return v
}
