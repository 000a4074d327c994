package optimize

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"
)

// A Change is one what-if of a season.
type Change struct {
	Kind ChangeKind
	Name string          // WithoutSupplier: its name. WithoutWood, PriceOf: the wood's id; empty with PriceOf: every wood
	Pct  decimal.Decimal // PriceOf, BoardsBy: by how much, in %; −5 is five less
}

// A ChangeKind is what changes.
type ChangeKind string

// The kinds of what-if.
const (
	WithoutSupplier ChangeKind = "without supplier" // nothing is to be had from it
	WithoutWood     ChangeKind = "without wood"     // of no supplier, and not from stock
	PriceOf         ChangeKind = "price"            // what suppliers ask for a wood
	BoardsBy        ChangeKind = "boards"           // of every model
)

// A WhatIf is the answer to a change.
type WhatIf struct {
	Change Change
	Plan   *SeasonPlan     // of the changed season; nil: none
	Short  *Shortage       // why there is none
	Why    string          // why none was found, or none is proven: "interrupted", "time limit"
	Cost   decimal.Decimal // by how much the plan costs more than the one it is compared with; less than 0: it is cheaper
	Lots   []LotChange     // what is bought otherwise, in the order of Season.Lots
	Models []int           // models whose layout is another, as indices into Season.Models
}

// A LotChange is what a plan buys of a lot, before a change and after it, in the offer's unit.
type LotChange struct {
	Lot           int
	Before, After decimal.Decimal
}

// Changed is the season with a change. Lots, kinds and models keep their places; a lot that drops out stays, with nothing to be had. Prices in the limits of
// a program ("at most 6.20 a core") stay those of today.
func (s *Season) Changed(c Change) (*Season, error) {
	out := *s
	out.Lots, out.Models = slices.Clone(s.Lots), slices.Clone(s.Models)
	factor := decimal.NewFromInt(1).Add(c.Pct.Shift(-2))
	if factor.IsNegative() {
		return nil, fmt.Errorf("%s %% less than there is cannot be; give −100 or more", c.Pct.Neg())
	}
	found := c.Kind == BoardsBy || c.Kind == PriceOf && c.Name == ""
	switch c.Kind {
	case WithoutSupplier, WithoutWood:
		for i := range out.Lots {
			l := &out.Lots[i]
			if c.Kind == WithoutSupplier && !l.Stock && s.Suppliers[l.Supplier].Name == c.Name || c.Kind == WithoutWood && s.wood(i) == c.Name {
				l.MinSteps, l.MaxSteps, found = 0, 0, true
			}
		}
		found = found || c.Kind == WithoutSupplier && slices.ContainsFunc(s.Suppliers, func(s SeasonSupplier) bool { return s.Name == c.Name })
		out.dropKinds()
	case PriceOf:
		for i := range out.Lots {
			l := &out.Lots[i]
			if l.Stock || c.Name != "" && s.wood(i) != c.Name {
				continue
			}
			found = true
			l.Tiers = slices.Clone(l.Tiers)
			for k, t := range l.Tiers {
				l.Tiers[k].Base, l.Tiers[k].Each = t.Base.Mul(factor), t.Each.Mul(factor)
			}
		}
	case BoardsBy:
		more := func(n int) int { return int(decimal.NewFromInt(int64(n)).Mul(factor).RoundCeil(0).IntPart()) }
		for i := range out.Models {
			out.Models[i].Build, out.Models[i].Sold = more(s.Models[i].Build), more(s.Models[i].Sold)
		}
		for i := range out.Lots {
			// An offer without an end has as many steps as the season could use.
			if l := &out.Lots[i]; !l.Stock && (l.Offer == nil || !l.Offer.HasAvailable) {
				l.MaxSteps = max(l.MaxSteps, more(l.MaxSteps)+1)
			}
		}
	default:
		return nil, fmt.Errorf("there is no what-if %q", c.Kind)
	}
	if !found {
		what := "wood"
		if c.Kind == WithoutSupplier {
			what = "supplier"
		}
		return nil, fmt.Errorf("what-if: the season has no %s %q", what, c.Name)
	}
	return &out, nil
}

// dropKinds leaves out of the models the kinds of strip that no lot gives any more.
func (s *Season) dropKinds() {
	given := make([]bool, len(s.Kinds))
	for i := range s.Lots {
		for _, u := range s.Lots[i].Uses {
			given[u.Kind] = given[u.Kind] || s.Lots[i].MaxSteps > 0
		}
	}
	for i := range s.Models {
		m := &s.Models[i]
		m.Kind = slices.Clone(m.Kind)
		for pos := range m.Kind {
			m.Kind[pos] = slices.Clone(m.Kind[pos])
			for c, k := range m.Kind[pos] {
				if k >= 0 && !given[k] {
					m.Kind[pos][c] = -1
				}
			}
		}
	}
}

// SeasonWhatIfs answers changes of a season, each by itself, against a plan of it, from which every search starts. When ctx has an end, the
// changes share the time to it.
func SeasonWhatIfs(ctx context.Context, s *Season, plan *SeasonPlan, changes []Change) ([]WhatIf, error) {
	out := make([]WhatIf, len(changes))
	for i, c := range changes {
		changed, err := s.Changed(c)
		if err != nil {
			return nil, err
		}
		out[i].Change = c
		err = inTurn(ctx, len(changes)-i, func(ctx context.Context) (err error) {
			out[i].Plan, out[i].Short, out[i].Why, err = planOr(ctx, changed, SeasonOptions{Mode: plan.Mode, Start: plan})
			return err
		})
		if err != nil {
			return nil, fmt.Errorf("what-if %s %s: %w", c.Kind, c.Name, err)
		}
		if p := out[i].Plan; p != nil {
			out[i].Cost = p.Cost.Sub(plan.Cost)
			out[i].Lots, out[i].Models = plan.difference(p)
		}
	}
	return out, nil
}

// inTurn gives f its share of the time that is left, the rest being for others after it.
func inTurn(ctx context.Context, turns int, f func(context.Context) error) error {
	if end, ok := ctx.Deadline(); ok {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeoutCause(ctx, time.Until(end)/time.Duration(turns), context.Cause(ctx))
		defer cancel()
	}
	return f(ctx)
}

// planOr is a plan, or why there is none.
func planOr(ctx context.Context, s *Season, o SeasonOptions) (*SeasonPlan, *Shortage, string, error) {
	p, err := SolveSeason(ctx, s, o)
	var short *Shortage
	var none *NoPlanError
	switch {
	case p != nil:
		return p, nil, p.Why, nil
	case errors.As(err, &short):
		return nil, short, "", nil
	case errors.As(err, &none):
		return nil, nil, none.Why, nil
	}
	return nil, nil, "", err
}

// difference is what q buys and builds otherwise than p.
func (p *SeasonPlan) difference(q *SeasonPlan) (lots []LotChange, models []int) {
	bought := func(p *SeasonPlan) []decimal.Decimal {
		out := make([]decimal.Decimal, len(p.Season.Lots))
		for i := range p.Lines {
			out[p.Lines[i].Lot] = p.Lines[i].Quantity
		}
		return out
	}
	a, b := bought(p), bought(q)
	for i := range a {
		if !a[i].Equal(b[i]) {
			lots = append(lots, LotChange{i, a[i], b[i]})
		}
	}
	for m := range p.Layouts {
		if !slices.Equal(p.Layouts[m], q.Layouts[m]) {
			models = append(models, m)
		}
	}
	return lots, models
}

// A SeasonStep is a season at a least share of fast-grown woods.
type SeasonStep struct {
	MinFastPct float64
	Plan       *SeasonPlan // nil: none
	Short      *Shortage   // why there is none; it says the greatest share there can be
	Why        string      // why none was found, or none is proven
}

// SeasonSteps is what a season costs at each of some least shares of fast-grown woods, %, rising; the season's own such limit gives way to them. The first
// share that cannot be had is the last step. plan is a plan of the season, from which the search starts.
//
// A proven plan that has more than the next share is the answer there as well, and is not searched for again.
func SeasonSteps(ctx context.Context, s *Season, plan *SeasonPlan, shares []float64) ([]SeasonStep, error) {
	var out []SeasonStep
	var last *SeasonPlan // proven at a lower share, or of the season without such a limit
	start := plan
	if !s.Limits.MinFastPct.Set && plan.Proven {
		last = plan
	}
	shares = slices.Sorted(slices.Values(shares))
	for i, share := range shares {
		changed := *s
		changed.Limits.MinFastPct = Limit{Set: true, Value: share}
		step := SeasonStep{MinFastPct: share}
		if last != nil {
			again := *last
			again.Season = &changed
			if again.keepsSeason() == nil {
				step.Plan = &again
				out = append(out, step)
				continue
			}
		}
		err := inTurn(ctx, len(shares)-i, func(ctx context.Context) error {
			p, err := SolveSeason(ctx, &changed, SeasonOptions{Mode: plan.Mode, Start: start, undiagnosed: true})
			var none *NoPlanError
			switch {
			case p != nil:
				step.Plan, step.Why, start = p, p.Why, p
				if p.Proven {
					last = p
				}
				return nil
			case errors.As(err, &none):
				step.Why = none.Why
				return nil
			case !errors.Is(err, errInfeasibleSeason):
				return err
			}
			d := &diagnosis{s: &changed, mode: plan.Mode}
			step.Short = &Shortage{}
			lim := changed.Limits.MinFastPct
			step.Short.Lacks, step.Short.Remedies = d.saysShare("fast-grown", lim, func(s *Season) *Limit { return &s.Limits.MinFastPct }, (*SeasonPlan).FastGrownPct)(ctx, start)
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("fast-grown share of %s %%: %w", number(share), err)
		}
		out = append(out, step)
		if step.Short != nil {
			break
		}
	}
	return out, nil
}
