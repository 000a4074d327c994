package season

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
)

// Questions are what is asked of a season by [Ask]. The zero value asks for its plan alone.
type Questions struct {
	Mode     Mode           // of the season's plan and of every change and share
	Compare  bool           // with Joint: also layouts first and layouts kept
	Changes  []Change       // each by itself
	Shares   []float64      // least shares of fast-grown woods, %, each in place of the season's own; beyond the first that cannot be had none is asked
	GapPct   float64        // as in Options
	Limit    time.Duration  // for the season's plan and what it is compared with; changes and shares have as much again together; 0: none
	Progress func(Progress) // as in Options, with its phase
}

// Answers are the plan of a season and what it is compared with.
type Answers struct {
	Plan        *Plan
	First, Kept *Answer // nil: not asked
	WhatIfs     []WhatIf
	Steps       []Step
}

// An Answer is the plan of one question, or why there is none.
type Answer struct {
	Plan   *Plan
	None   error // without a plan: a *Shortage, *NoPlanError or *NoLayoutError
	Dearer Range // by how much the question's least cost is above the season's; below 0: it is cheaper
}

// A Range is what is known of an amount of money: not less than Low and not more than High, which are equal when it is known exactly.
type Range struct {
	Known     bool
	Low, High decimal.Decimal
}

// A WhatIf is the answer to a change.
type WhatIf struct {
	Change Change
	Answer
	Lots   []LotChange // what is bought otherwise than by the season's plan, in the order of Season.Lots
	Models []int       // models whose layout is another, as indices into Season.Models
}

// A Step is the answer to a least share of fast-grown woods. The Shortage of one that cannot be had says the greatest share there can be.
type Step struct {
	MinFastPct float64
	Answer
}

// A question is one season to solve among others that are like it.
type question struct {
	phase string
	s     *Season
	mode  Mode
	exact bool        // a full proof is asked for in the time there is: it mostly costs little, and a single figure is easier to compare with
	step  bool        // it asks for a share; without a plan only the greatest share that can be had is wanted
	wider []*question // each has every plan of this one, at no higher cost: what none of its plans costs less than, none of this one does

	plan  *Plan           // the cheapest known; nil: none
	least decimal.Decimal // no plan's Exact is less; zero: not known
	why   string          // why the search ended before it was done
	none  error           // why there is no plan
}

// A study solves questions one after another. A plan found for one serves all that it is a plan of, and a bound all that it holds for.
type study struct {
	Questions
	asked []*question
}

// Ask finds the plan of a season and answers questions about it, each as far as [Solve] would, but together: no answer is dearer than a plan found for another
// question that fits it, and bounds hold across. So a season that only takes away is never cheaper, and steps of a share never fall.
//
// Without a plan for the season itself the error says why: see [Solve]. With a fault beside it, the answers are those found before the fault.
// Every plan has been verified.
func Ask(ctx context.Context, s *Season, q Questions) (*Answers, error) {
	q.Mode = cmp.Or(q.Mode, Joint)
	x := &study{Questions: q}
	base := &question{phase: "this season", s: s, mode: q.Mode}
	limited, cancel := x.limited(ctx)
	defer cancel()
	var first, kept *question
	var fault error
	if q.Compare && q.Mode == Joint {
		first = &question{phase: "layouts first", s: s, mode: First, exact: true, wider: []*question{base}}
		kept = &question{phase: "layouts kept", s: s, mode: Keep, exact: true}
		if a, _ := s.KeptDiffer(); a == "" {
			kept.wider = []*question{base}
		}
		for _, c := range []*question{first, kept} {
			err := inTurn(limited, 8, func(ctx context.Context) error { return x.ask(ctx, c) })
			if fault = cmp.Or(fault, err); fault != nil && first.plan == nil {
				return nil, fault
			}
		}
	}
	err := x.ask(limited, base)
	cancel()
	if base.plan == nil {
		return nil, cmp.Or(err, base.none)
	}
	out := &Answers{}
	var whatIfs, steps []*question
	if err = cmp.Or(err, fault); err == nil {
		limited, cancel = x.limited(ctx)
		defer cancel()
		if whatIfs, err = x.changes(limited, base); err == nil {
			steps, err = x.shares(limited, base)
		}
	}
	for again := true; again; {
		again = false
		for _, c := range x.asked {
			again = x.learn(c) || again
		}
	}
	for _, c := range x.asked {
		if c.plan != nil {
			if wrong := c.plan.Verify(); wrong != nil {
				return nil, fmt.Errorf("%s: %w", c.phase, wrong)
			}
		}
	}
	out.Plan = base.plan
	if first != nil {
		out.First, out.Kept = first.answer(base), kept.answer(base)
	}
	for i, c := range whatIfs {
		w := WhatIf{Change: q.Changes[i], Answer: *c.answer(base)}
		if c.plan != nil {
			w.Lots, w.Models = base.plan.difference(c.plan)
		}
		out.WhatIfs = append(out.WhatIfs, w)
	}
	for _, c := range steps {
		out.Steps = append(out.Steps, Step{MinFastPct: c.s.Limits.MinFastPct.Value, Answer: *c.answer(base)})
	}
	return out, err
}

func (x *study) limited(ctx context.Context) (context.Context, context.CancelFunc) {
	if x.Limit <= 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, x.Limit)
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

// changes asks the what-ifs. The error is a fault; what was asked before it is returned.
func (x *study) changes(ctx context.Context, base *question) (out []*question, err error) {
	for i, c := range x.Changes {
		changed, err := base.s.Changed(c)
		if err != nil {
			return out, err
		}
		q := &question{phase: fmt.Sprintf("what-if %d of %d: %s", i+1, len(x.Changes), c), s: changed, mode: x.Mode}
		switch {
		case c.Kind == WithoutSupplier || c.Kind == WithoutWood || c.Kind == PriceOf && !c.Pct.IsNegative() && !base.s.minimumsOn(c.Name):
			q.wider = append(q.wider, base)
		case c.Kind == PriceOf && c.Pct.IsNegative() && !base.s.minimumsOn(c.Name):
			base.wider = append(base.wider, q)
		}
		err = inTurn(ctx, len(x.Changes)-i+min(1, len(x.Shares)), func(ctx context.Context) error { return x.ask(ctx, q) })
		if err != nil {
			return out, fmt.Errorf("what-if %s: %w", c, err)
		}
		out = append(out, q)
	}
	return out, nil
}

// minimumsOn reports whether the price of a wood, or of any when none is named, decides if some minimum order is met: at a higher price there are plans then
// that there are not at a lower one.
func (s *Season) minimumsOn(wood string) bool {
	for i := range s.Lots {
		if l := &s.Lots[i]; !l.Stock && (wood == "" || s.wood(i) == wood) && s.Suppliers[l.Supplier].MinOrder.IsPositive() {
			return true
		}
	}
	return false
}

// shares asks the steps, as [study.changes] does the what-ifs.
func (x *study) shares(ctx context.Context, base *question) (out []*question, err error) {
	shares, own := slices.Sorted(slices.Values(x.Shares)), base.s.Limits.MinFastPct
	most := base
	for i, share := range shares {
		changed := *base.s
		changed.Limits.MinFastPct = optimize.Limit{Set: true, Value: share}
		q := &question{phase: "step " + number(share) + " %", s: &changed, mode: x.Mode, step: true}
		if i > 0 {
			q.wider = append(q.wider, out[i-1])
		}
		if !own.Set || share >= own.Value {
			q.wider = append(q.wider, base)
		}
		if share <= 0 || own.Set && share <= own.Value {
			base.wider = append(base.wider, q)
		}
		if err := inTurn(ctx, len(shares)-i, func(ctx context.Context) error { return x.ask(ctx, q) }); err != nil {
			return out, fmt.Errorf("fast-grown share of %s %%: %w", number(share), err)
		}
		out = append(out, q)
		if errors.Is(q.none, errInfeasible) { // so are all beyond it
			d, short := &diagnosis{s: &changed, mode: x.Mode}, &Shortage{}
			short.Lacks, short.Remedies = d.saysShare("fast-grown", changed.Limits.MinFastPct, func(s *Season) *optimize.Limit { return &s.Limits.MinFastPct },
				(*Plan).FastGrownPct)(ctx, most.plan)
			q.none = short
			break
		}
		if q.plan != nil {
			most = q
		}
	}
	return out, nil
}

// ask solves a question, unless what is known already answers it. The error is a fault.
func (x *study) ask(ctx context.Context, q *question) error {
	x.asked = append(x.asked, q)
	if x.learn(q); q.plan != nil && (q.plan.Done || q.searched(x.GapPct)) {
		return nil
	}
	tell := func(p Progress) {
		q.least = decimal.Max(q.least, p.Bound)
		if p.Phase = q.phase; x.Progress != nil {
			x.Progress(p)
		}
	}
	if q.plan == nil {
		x.keepLayouts(ctx, q)
	}
	o := Options{Mode: q.mode, GapPct: x.GapPct, Bound: q.least, Progress: tell, undiagnosed: q.step}
	if q.plan != nil {
		o.Starts = []*Plan{q.plan}
	}
	if _, ends := ctx.Deadline(); q.exact && ends {
		o.GapPct = 0
	}
	p, err := Solve(ctx, q.s, o)
	timeOut := errors.Is(err, context.DeadlineExceeded)
	if p != nil {
		q.plan, q.why = p, p.Why
		switch {
		case timeOut, errors.Is(err, context.Canceled):
			err = nil
		case err != nil:
			q.why = "the solver failed"
		}
		q.least = decimal.Max(q.least, p.Bound)
		if p.Proven {
			q.least = p.Exact
		}
		p.bounded(q.least, x.GapPct, q.why)
		return err
	}
	var short *Shortage
	var none *NoPlanError
	var noLayout *NoLayoutError
	fault := false
	switch {
	case timeOut:
		q.why, err = "time limit", &NoPlanError{Why: "time limit"}
	case errors.As(err, &none):
		q.why = none.Why
	case errors.As(err, &short), errors.As(err, &noLayout), errors.Is(err, errInfeasible):
	default:
		fault = true
	}
	if q.none = err; fault {
		return err
	}
	return nil
}

// searched reports whether a step's plan is that of a wider question whose time is up: the step's share bars nothing that was found, and its time is better
// spent on steps that need another plan.
func (q *question) searched(gapPct float64) bool {
	for _, w := range q.wider {
		if q.step && w.plan != nil && w.why != "" && w.plan.Exact.Equal(q.plan.Exact) {
			q.why = w.why
			q.plan.bounded(q.least, gapPct, q.why)
			return true
		}
	}
	return false
}

// keepLayouts looks for a first plan of a question that no known plan fits: orders for layouts of the season's plan.
func (x *study) keepLayouts(ctx context.Context, q *question) {
	i := slices.IndexFunc(x.asked, func(o *question) bool { return o.mode == Joint && o.plan != nil })
	if i < 0 || q.mode != Joint {
		return
	}
	kept := *q.s
	kept.Models = slices.Clone(kept.Models)
	for m := range kept.Models {
		kept.Models[m].Kept = x.asked[i].plan.Layouts[m]
	}
	_ = inTurn(ctx, 4, func(ctx context.Context) error {
		p, err := Solve(ctx, &kept, Options{Mode: Keep, GapPct: max(x.GapPct, 0.1), undiagnosed: true})
		if p != nil {
			q.plan, _ = q.s.restate(p, Joint)
		}
		return err
	})
}

// learn takes what others know: the cheapest plan that is one of the question's season, and bounds of those that are wider. It reports whether there was anything.
func (x *study) learn(q *question) (learnt bool) {
	for _, w := range q.wider {
		if w.least.GreaterThan(q.least) {
			q.least, learnt = w.least, true
		}
	}
	for _, o := range x.asked {
		// A plan of layouts first has the layouts that are cheapest by themselves, and no others.
		if o == q || o.plan == nil || q.mode == First || q.plan != nil && !q.s.costs(o.plan).LessThan(q.plan.Exact) {
			continue
		}
		if p, err := q.s.restate(o.plan, q.mode); err == nil && (q.plan == nil || p.Exact.LessThan(q.plan.Exact)) {
			q.plan, q.none, learnt = p, nil, true
		}
	}
	if q.plan != nil && learnt {
		q.plan.bounded(q.least, x.GapPct, q.why)
	}
	return learnt
}

// costs is what a plan's lines cost in a season, exactly, whether or not it is a plan of it.
func (s *Season) costs(p *Plan) decimal.Decimal {
	var sum decimal.Decimal
	for _, l := range p.Lines {
		goods, freight := s.Lots[l.Lot].Stepped(l.Steps)
		sum = sum.Add(goods).Add(freight)
	}
	for _, o := range p.Orders {
		sum = sum.Add(s.Suppliers[o.Supplier].Freight)
	}
	return sum
}

// answer is what came of a question.
func (q *question) answer(base *question) *Answer {
	a := &Answer{Plan: q.plan, None: q.none}
	if q.plan == nil || !q.plan.Bound.IsPositive() || !base.plan.Bound.IsPositive() {
		return a
	}
	a.Dearer = Range{Known: true, Low: q.plan.Bound.Sub(base.plan.Cost), High: q.plan.Cost.Sub(base.plan.Bound)}
	if slices.Contains(q.wider, base) {
		a.Dearer.Low = decimal.Max(a.Dearer.Low, decimal.Zero)
	}
	if slices.Contains(base.wider, q) {
		a.Dearer.High = decimal.Min(a.Dearer.High, decimal.Zero)
	}
	a.Dearer.High = decimal.Max(a.Dearer.High, a.Dearer.Low)
	return a
}
