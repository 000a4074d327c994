package optimize

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// What tests of seasons see of the inside: invented seasons come from a package that imports this one, so their tests stand outside.

// NewPlan is newPlan.
func NewPlan(s *Season, mode SeasonMode, layouts []core.Layout, steps []int, cuts [][]Cut) (*SeasonPlan, error) {
	return newPlan(s, mode, layouts, steps, cuts)
}

// Given is given.
func (s *Season) Given(ctx context.Context, mode SeasonMode) ([]core.Layout, error) {
	return s.given(ctx, mode)
}

// Lightest is lightest.
func (s *Season) Lightest(ctx context.Context, model int, l core.Layout) (core.Layout, error) {
	return s.lightest(ctx, model, l)
}

// A Direct is a season's program and the way back.
type Direct struct {
	Model *mip.Model
	Plan  func(x []float64) (*SeasonPlan, error)
}

// NewDirect is newDirect.
func NewDirect(ctx context.Context, s *Season, mode SeasonMode) (*Direct, error) {
	d, err := newDirect(ctx, s, mode)
	if err != nil {
		return nil, err
	}
	return &Direct{d.m, func(x []float64) (*SeasonPlan, error) { return d.plan(ctx, glpk{}, x) }}, nil
}

// Totals tries every layout of a model and gives the strips by kind that those within its limits take, each set once. Limits are decided from
// the mechanics in floating point; next to a bound, by the program's integers.
// ok is false when there are more than most.
func (s *Season) Totals(model, most int) (totals []map[int]int, ok bool) {
	p := s.program(model)
	if countLayouts(p) > most {
		return nil, false
	}
	f, err := newForm(p)
	if err != nil {
		panic(err)
	}
	board, seen := mustPrepare(p.Board), map[string]bool{}
	layouts(p, func(l core.Layout) {
		fig, err := board.Evaluate(l)
		if err != nil {
			panic(err)
		}
		keeps, near := keepsLimits(p, board, l, fig)
		if near {
			n, err := f.counts(l)
			keeps = err == nil && f.broken(n) == nil
		}
		if !keeps {
			return
		}
		per, err := s.StripsPerBoard(model, l)
		if err != nil {
			panic(err)
		}
		if key := fmt.Sprint(per); !seen[key] {
			seen[key] = true
			totals = append(totals, per)
		}
	})
	return totals, true
}

// Weighed is the core mass of a model's layout, in the steps that its program tells apart; the least and the greatest of all layouts within its
// limits that take the same strips, tried one by one; and the heaviest of them.
func (s *Season) Weighed(t *testing.T, model int, l core.Layout) (has, light, heavy int64, heaviest core.Layout) {
	t.Helper()
	f, err := newForm(s.program(model))
	if err != nil {
		t.Fatal(err)
	}
	weigh := func(l core.Layout) (mass int64, keeps bool) {
		n, err := f.counts(l)
		if err != nil {
			return 0, false
		}
		return f.objectiveSteps(t, n, []Objective{Mass})[0], f.broken(n) == nil
	}
	strips := func(l core.Layout) map[int]int {
		per, err := s.StripsPerBoard(model, l)
		if err != nil {
			t.Fatal(err)
		}
		return per
	}
	has, keeps := weigh(l)
	if !keeps {
		t.Fatalf("model %d: its layout breaks a limit", model)
	}
	want := strips(l)
	light, heavy, heaviest = has, has, l
	layouts(s.program(model), func(o core.Layout) {
		mass, keeps := weigh(o)
		if !keeps || !maps.Equal(strips(o), want) {
			return
		}
		light = min(light, mass)
		if mass > heavy {
			heavy, heaviest = mass, slices.Clone(o)
		}
	})
	return has, light, heavy, heaviest
}

// Retold are the laws of laws_test.go by which the boards of a season can be told otherwise and cost the same.
var Retold = []string{"mirrored from tip to tail", "a station between two others", "other names for woods and positions", "the woods in another order", "the candidates in another order"}

// Retold is a season whose boards are told otherwise, by a law.
func (s *Season) Retold(r *rand.Rand, name string) *Season {
	out := *s
	out.Models = slices.Clone(s.Models)
	for _, l := range laws {
		if l.name != name {
			continue
		}
		for i := range out.Models {
			m := &out.Models[i]
			before := m.Program
			m.Program = l.change(r, before)
			last := len(before.Board.Woods) - 1
			turned := m.Program.Board.Woods[0].ID == before.Board.Woods[last].ID
			if turned {
				m.Kept = slices.Clone(m.Kept)
				for k := range m.Kept {
					m.Kept[k] = last - m.Kept[k]
				}
			}
			if turned || m.Program.Candidates[0].Wood == before.Candidates[len(before.Candidates)-1].Wood {
				kinds := make([][]int, len(m.Kind))
				for pos := range m.Kind {
					kinds[pos] = slices.Clone(m.Kind[pos])
					slices.Reverse(kinds[pos])
				}
				m.Kind = kinds
			}
		}
		return &out
	}
	panic("no law " + name)
}

// HandSeason is handSeason.
func HandSeason() *Season { return handSeason() }
