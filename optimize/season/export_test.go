package season

import (
	"context"
	"math"
	"slices"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// What tests see of the inside: invented seasons come from a package that imports this one, so their tests are outside.

// NewPlan is newPlan.
func NewPlan(s *Season, mode Mode, layouts []core.Layout, steps []int, cuts [][]Cut) (*Plan, error) {
	return newPlan(s, mode, layouts, steps, cuts)
}

// Given is given.
func (s *Season) Given(ctx context.Context, mode Mode) ([]core.Layout, error) {
	return s.given(ctx, mode)
}

// Differs is differs.
func (s *Season) Differs(layouts []core.Layout) (a, b string) { return s.differs(layouts) }

// Restate is restate.
func (s *Season) Restate(p *Plan, mode Mode) (*Plan, error) { return s.restate(p, mode) }

// Bare is a model's program with only the woods that some lot gives strips of.
func (s *Season) Bare(model int) *optimize.Program { return s.program(model) }

// HandSeason is handSeason.
func HandSeason() *Season { return handSeason() }

// A Program is a season's program and the way back.
type Program struct {
	Model      *mip.Model
	Plan       func(x []float64) (*Plan, error)
	Strengthen func(prove func(bound float64)) error             // adds rows to Model
	Values     func(model int, l core.Layout) ([]float64, error) // of Model's columns, but NaN for those that do not count the model's strips
	Split      func() ([]Branch, error)
}

// A Branch is a branch.
type Branch struct {
	Model *mip.Model
	Bound float64
	Holds func(from []bool) bool
}

// NewProgram is newDirect.
func NewProgram(ctx context.Context, s *Season, mode Mode, tight bool) (*Program, error) {
	d, err := newDirect(ctx, s, mode, tight)
	if err != nil {
		return nil, err
	}
	p := &Program{Model: d.m, Plan: func(x []float64) (*Plan, error) { return d.plan(ctx, x) }}
	p.Strengthen = func(prove func(bound float64)) error {
		_, err := d.strengthen(ctx, mip.Auto, prove)
		return err
	}
	p.Split = func() (all []Branch, err error) {
		x := &search{asked: s, s: s, d: d}
		branches, err := x.split(ctx, d.m)
		for _, b := range branches {
			all = append(all, Branch{b.m, b.bound, b.holds})
		}
		return all, err
	}
	p.Values = func(model int, l core.Layout) ([]float64, error) {
		v, err := d.models[model].Values(l)
		x := slices.Repeat([]float64{math.NaN()}, len(d.m.Columns))
		copy(x[d.first[model]:], v)
		return x, err
	}
	return p, nil
}

// Undiagnosed leaves out why there is no plan.
func (o Options) Undiagnosed() Options {
	o.undiagnosed = true
	return o
}

// ErrInfeasible is what there is instead of a diagnosis.
var ErrInfeasible = errInfeasible

// SideBySide has both searches run, however small the program.
func (o Options) SideBySide() Options {
	o.sideBySide = true
	return o
}
