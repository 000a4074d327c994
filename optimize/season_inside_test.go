package optimize

import (
	"context"

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
