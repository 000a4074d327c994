package optimize

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// addPoints verifies each model's layout by its program's integers, and evaluates it.
func (p *SeasonPlan) addPoints() error {
	p.Points = make([]Point, len(p.Season.Models))
	for i := range p.Season.Models {
		m := &p.Season.Models[i]
		if kept := m.keptLayout(); p.Mode == SeasonKeep && !slices.Equal(kept, p.Layouts[i]) {
			return noPlan("model %q does not keep its layout", m.Program.Model)
		}
		f, err := newForm(m.Program)
		if err != nil {
			return fmt.Errorf("model %q: %w", m.Program.Model, err)
		}
		n, err := f.counts(p.Layouts[i])
		if err != nil {
			return noPlan("model %q: %v", m.Program.Model, err)
		}
		if broken := f.broken(n); broken != nil {
			return noPlan("model %q: %s", m.Program.Model, strings.Join(broken, "; "))
		}
		if p.Points[i], err = f.point(n); err != nil {
			return fmt.Errorf("model %q: %w", m.Program.Model, err)
		}
		// The layout as given: equal strips of a group may stand in any order.
		p.Points[i].ID = 1
		p.Points[i].Layout = p.Layouts[i]
		p.Points[i].Runs = runs(m.Program.Board, p.Layouts[i])
	}
	return nil
}

// broken names the limits that counts break, with what they have instead; nil: none.
func (f *form) broken(n []int64) []string {
	var out []string
	for _, b := range f.breaks(n, f.newScatter()) {
		s := b.name
		if has := f.reached(b, n); has != "" {
			s += ": it has " + has
		}
		if b.where != "" {
			s += " (" + b.where + ")"
		}
		out = append(out, s)
	}
	return out
}

// kindLimits are rows that hold what a model takes of each kind of strip to what a layout takes. The search that has them besides the
// program's own sees only layouts that are the same to purchasing.
func (s *Season) kindLimits(f *form, model int, per map[int]int) []*limit {
	m := &s.Models[model]
	coef := map[int][]int64{}
	for v, va := range f.vars {
		k := m.Kind[f.groups[va.group].Position][va.cand]
		if coef[k] == nil {
			coef[k] = make([]int64, len(f.vars))
		}
		coef[k][v] = int64(f.groups[va.group].Pieces)
	}
	var out []*limit
	for k := -1; k < len(s.Kinds); k++ { // −1: what no lot gives
		if coef[k] == nil {
			continue
		}
		n := int64(per[k])
		out = append(out, &limit{kind: linear, name: fmt.Sprintf("kind %d", k), form: fmt.Sprintf("kind %d", k), coef: coef[k], low: n, high: n,
			text: func(n int64) string { return fmt.Sprintf("%d strips", n) }})
	}
	return out
}

// lightest is the canonical one of the layouts that take the same strips as l: the least core mass, then the greatest EI, by the program's
// resolution. When ctx ends first, it is l itself.
func (s *Season) lightest(ctx context.Context, model int, l core.Layout) (core.Layout, error) {
	per, err := s.StripsPerBoard(model, l)
	if err != nil {
		return nil, err
	}
	f, err := newForm(s.program(model))
	if err != nil {
		return nil, err
	}
	f.limits = append(f.limits, s.kindLimits(f, model, per)...)
	n, complete, err := f.end(ctx, Options{}, []Objective{Mass, EI}, false)
	if err != nil || !complete || n == nil {
		return l, err
	}
	return f.layout(n), nil
}

// A NoLayoutError says that a model has no layout to keep.
type NoLayoutError struct{ Model string }

func (e *NoLayoutError) Error() string {
	return fmt.Sprintf("model %q has no layout to keep; fill in the sheet Reference, or choose a point of a front", e.Model)
}

// given are the layouts of a season whose layouts are not free: those kept, or by each model's strips alone the cheapest, the lightest of
// them. Models that have none within their limits are a [*Shortage].
func (s *Season) given(ctx context.Context, mode SeasonMode) ([]core.Layout, error) {
	out := make([]core.Layout, len(s.Models))
	var lacks []Lack
	for i := range s.Models {
		name := s.Models[i].Program.Model
		f, err := newForm(s.program(i))
		if err != nil {
			return nil, fmt.Errorf("model %q: %w", name, err)
		}
		if mode == SeasonKeep {
			if out[i] = s.Models[i].keptLayout(); out[i] == nil {
				return nil, &NoLayoutError{name}
			}
			n, err := f.counts(out[i])
			if err != nil {
				lacks = append(lacks, lackingLayout(name, "its layout cannot be kept: "+err.Error()))
			} else if broken := f.broken(n); broken != nil {
				lacks = append(lacks, lackingLayout(name, "its layout cannot be kept: "+strings.Join(broken, "; ")))
			}
			continue
		}
		var n []int64
		why, complete := f.hole(), true
		if why == nil {
			if n, complete, err = f.cheapest(ctx); err != nil {
				return nil, fmt.Errorf("model %q: %w", name, err)
			}
			if n == nil && complete {
				if why, err = f.explain(ctx, Options{}); err != nil {
					return nil, fmt.Errorf("model %q: %w", name, err)
				}
			}
		}
		switch {
		case !complete:
			return nil, context.Cause(ctx)
		case n == nil:
			lacks = append(lacks, lackingLayout(name, noLayout(why)))
		default:
			out[i] = f.layout(n)
		}
	}
	if lacks != nil {
		return nil, &Shortage{Lacks: lacks}
	}
	return out, nil
}

// cheapest is the layout whose strips cost least, the lightest of them. Two integer programs find it many times faster than enumeration,
// which has the whole front of both on the way; but they cannot decide every limit.
func (f *form) cheapest(ctx context.Context) (n []int64, complete bool, err error) {
	if mip.Available {
		n, complete, err = f.end(ctx, Options{Method: IntegerProgram}, []Objective{Cost, Mass}, false)
		if needs := (*NeedsEnumerationError)(nil); !errors.As(err, &needs) {
			return n, complete, err
		}
	}
	return f.end(ctx, Options{}, []Objective{Cost, Mass}, false)
}

func lackingLayout(model, why string) Lack {
	return Lack{What: "layout", Model: model, Says: fmt.Sprintf("model %q: %s", model, why)}
}

// noLayout is why a model has no layout, in a sentence.
func noLayout(why *Infeasible) string {
	out := "no layout keeps its limits"
	if len(why.Clash) > 0 {
		out += " (" + strings.Join(why.Clash, "; ") + ")"
	}
	for _, r := range append(slices.Clone(why.Relaxations), why.Together...) {
		out += "; " + r.Sentence
	}
	return out
}
