package season

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// addPoints verifies each model's layout by its program's integers, and evaluates it.
func (p *Plan) addPoints() error {
	p.Points = make([]optimize.Point, len(p.Season.Models))
	for i := range p.Season.Models {
		m := &p.Season.Models[i]
		if kept := m.KeptLayout(); p.Mode == Keep && !slices.Equal(kept, p.Layouts[i]) {
			return noPlan("model %q does not keep its layout", m.Program.Model)
		}
		r, err := optimize.Check(m.Program, p.Layouts[i])
		if err != nil {
			return noPlan("model %q: %v", m.Program.Model, err)
		}
		if r.Broken != nil {
			return &brokenLayout{i, p.Layouts[i], noPlan("model %q: %s", m.Program.Model, strings.Join(r.Broken, "; "))}
		}
		p.Points[i] = r.Point
	}
	return nil
}

// A brokenLayout is a plan's refusal for one model's layout, which breaks a limit of its program.
type brokenLayout struct {
	model  int
	layout core.Layout
	error
}

func (e *brokenLayout) Unwrap() error { return e.error }

// A NoLayoutError says that a model has no layout to keep.
type NoLayoutError struct{ Model string }

func (e *NoLayoutError) Error() string {
	return fmt.Sprintf("model %q has no layout to keep; fill in the sheet Reference, or choose a point of a front", e.Model)
}

// given are the layouts of a season whose layouts are not free: those kept, or by each model's strips alone the cheapest, the lightest of
// them; models of one recipe get the one whose strips are cheapest for all of them. Models that have none within their limits are a [*Shortage].
func (s *Season) given(ctx context.Context, mode Mode) ([]core.Layout, error) {
	out := make([]core.Layout, len(s.Models))
	var lacks []Lack
	for i := range s.Models {
		p := s.program(i)
		if mode == Keep {
			if out[i] = s.Models[i].KeptLayout(); out[i] == nil {
				return nil, &NoLayoutError{p.Model}
			}
			r, err := optimize.Check(p, out[i])
			if err != nil {
				lacks = append(lacks, lackingLayout(p.Model, "its layout cannot be kept: "+err.Error()))
			} else if r.Broken != nil {
				lacks = append(lacks, lackingLayout(p.Model, "its layout cannot be kept: "+strings.Join(r.Broken, "; ")))
			}
			continue
		}
		l, err := optimize.Cheapest(ctx, p)
		var none *optimize.InfeasibleError
		var failed *optimize.SolverError
		switch {
		case errors.As(err, &none):
			lacks = append(lacks, lackingLayout(p.Model, noLayout(none.Why)))
		case errors.As(err, &failed):
			return nil, failed.Err // [Solve] says that the solver failed
		case err != nil:
			return nil, fmt.Errorf("model %q: %w", p.Model, err)
		case l == nil: // a solver may give up a moment before ctx ends
			return nil, cmp.Or(context.Cause(ctx), context.DeadlineExceeded)
		}
		out[i] = l
	}
	if mode == First && lacks == nil {
		for _, models := range s.recipes() {
			shared, err := s.cheapestShared(ctx, models)
			switch {
			case errors.Is(err, errInfeasible):
				lacks = append(lacks, lackingLayout(s.Models[models[0]].Program.Model, fmt.Sprintf("no layout found for all models of the recipe %q keeps the limits of each", s.Models[models[0]].Recipe)))
			case err != nil:
				return nil, err
			default:
				for k, i := range models {
					out[i] = shared[k]
				}
			}
		}
	}
	if lacks != nil {
		return nil, &Shortage{Lacks: lacks}
	}
	return out, nil
}

// cheapestShared is one layout for several models, by model: of those within the limits of each, the one whose strips cost least for all their boards.
func (s *Season) cheapestShared(ctx context.Context, models []int) ([]core.Layout, error) {
	part := *s
	part.Models = nil
	for _, i := range models {
		part.Models = append(part.Models, s.Models[i])
	}
	d := &direct{s: &part, m: &mip.Model{Name: "recipe"}, most: make([]int, len(s.Kinds)), need: make([][]mip.Term, len(s.Kinds))}
	for i := range part.Models {
		if err := d.addModel(i); err != nil {
			return nil, err
		}
		m := &part.Models[i]
		for _, u := range d.models[i].Uses {
			cost := m.Program.Candidates[u.Candidate].At[u.Position].StripCost.InexactFloat64()
			d.m.Columns[d.first[i]+u.Column].Objective = cost * float64(u.Pieces*m.Build)
		}
	}
	d.addRecipes()
	out := &bars{d: d, m: d.m}
	for {
		r, err := mip.Solve(ctx, d.m, mip.Options{})
		switch {
		case err != nil:
			return nil, err
		case r.Status == mip.Infeasible:
			return nil, errInfeasible
		case r.X == nil:
			return nil, cmp.Or(context.Cause(ctx), context.DeadlineExceeded)
		}
		layouts, err := d.read(ctx, r.X)
		if err != nil {
			return nil, err
		}
		cut := false
		for i, l := range layouts {
			c, err := optimize.Check(d.s.program(i), l)
			if err != nil {
				return nil, err
			}
			if c.Broken == nil {
				continue
			}
			// The rows do not hold a limit of this model exactly.
			if err := out.add(&brokenLayout{i, l, errInfeasible}); err != nil {
				return nil, err
			}
			cut = true
		}
		if !cut {
			return layouts, nil
		}
	}
}

// read are the layouts of a solution whose layouts are free.
func (d *direct) read(ctx context.Context, x []float64) ([]core.Layout, error) {
	var layouts []core.Layout
	for i, l := range d.models {
		layout, err := l.Layout(ctx, x[d.first[i]:d.first[i]+len(l.Columns())])
		if err != nil {
			return nil, fmt.Errorf("model %q: %w", d.s.Models[i].Program.Model, err)
		}
		layouts = append(layouts, layout)
	}
	for _, r := range d.recipes {
		r.read(x, layouts)
	}
	return layouts, nil
}

func lackingLayout(model, why string) Lack {
	return Lack{What: "layout", Model: model, Says: fmt.Sprintf("model %q: %s", model, why)}
}

// noLayout is why a model has no layout, in a sentence.
func noLayout(why *optimize.Infeasible) string {
	out := "no layout keeps its limits"
	if len(why.Clash) > 0 {
		out += " (" + strings.Join(why.Clash, "; ") + ")"
	}
	for _, r := range append(slices.Clone(why.Relaxations), why.Together...) {
		out += "; " + r.Sentence
	}
	return out
}
