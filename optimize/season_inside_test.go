package optimize

import (
	"context"
	"fmt"

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

// HandSeason is handSeason.
func HandSeason() *Season { return handSeason() }
