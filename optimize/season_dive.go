package optimize

import (
	"context"
	"math/rand/v2"
	"slices"
)

const (
	manyTotals = 20  // of a model that a relaxation mixes: those of least reduced cost
	planNodes  = 100 // of a program that is to give a plan
	freeModels = 6   // of a plan that is to be bettered
	freeTotals = 30  // of each
	idleTurns  = 16  // without a better plan, after which others are left to find one
)

// mixed says how many totals of each model a plan near the relaxation may choose from: many of those that it mixes, few of the others.
func (r *relaxation) mixed(models, few int) func(int) int {
	parts := make([]int, models)
	for j, p := range r.w.picks {
		if r.x[r.w.chosen[j]] > nearby {
			parts[p.model]++
		}
	}
	return func(i int) int {
		if parts[i] > 1 {
			return manyTotals
		}
		return few
	}
}

// narrow is a box in which every lot stays in the range of steps over which the price holds that a relaxation came out with.
func (g *market) narrow(b *box, r *relaxation) *box {
	in := b.clone()
	for i := range g.lots {
		n, _ := r.w.amount(i, r.x)
		low, high := in.lot(g, i)
		if n <= nearby {
			in.high[i] = max(low, 0)
			continue
		}
		for _, t := range g.lots[i].tiers {
			if float64(t.from) <= max(n, float64(g.lots[i].tiers[0].from))+nearby {
				in.high[i] = min(high, t.to)
				in.low[i] = max(low, min(t.from, high))
			}
		}
	}
	return in
}

// dive makes a plan of a relaxation: prices are settled as it has them, and what is left, whole steps and whole layouts, is a program that is
// soon solved.
func (x *seasonSearch) dive(ctx context.Context, b branch, r *relaxation) error {
	b.box, b.active, b.basis = x.g.narrow(b.box, r), r.active, nil
	near, err := x.relax(ctx, b)
	if err != nil || !near.settled || near.bound >= b.upper {
		return err
	}
	b.among = slices.Clone(b.among)
	for i, f := range x.forms {
		if b.among[i] = b.box.among(i, f, b.among[i]); b.among[i] == nil {
			b.among[i] = f.known()
		}
	}
	for _, few := range []int{1, 4} {
		how := finishing
		how.NodeLimit = planNodes
		p, err := x.buy(ctx, x.nearest(near, b.among, near.mixed(len(x.forms), few)), masterOptions{box: b.box}, how)
		if err != nil {
			return err
		}
		x.take(p.p)
	}
	return nil
}

// better looks for a better plan around a plan: some models may choose anew, among totals near a relaxation's prices, the others stay; the
// suppliers stay, and everything bought is open. turn says which models.
func (x *seasonSearch) better(ctx context.Context, r *relaxation, among [][]int, plan *purchase, upper float64, turn int) (bought, error) {
	cols := make([][]int, len(x.forms))
	free := make([]bool, len(x.forms))
	for _, i := range rand.New(rand.NewPCG(uint64(turn), 7)).Perm(len(x.forms))[:min(freeModels, len(x.forms))] {
		free[i] = true
	}
	near := x.nearest(r, among, func(i int) int {
		if free[i] {
			return freeTotals
		}
		return 1
	})
	for i := range cols {
		cols[i] = []int{plan.totals[i]}
		if free[i] {
			for _, t := range near[i] {
				if t != plan.totals[i] {
					cols[i] = append(cols[i], t)
				}
			}
		}
	}
	in := x.g.wholeBox()
	for s := range in.order {
		in.order[s] = -1
	}
	for i, n := range plan.steps {
		if s := x.g.lots[i].supplier; s >= 0 && n > 0 {
			in.order[s] = 1
		}
	}
	how := finishing
	how.NodeLimit = planNodes
	b, err := x.buy(ctx, cols, masterOptions{box: in, cutoff: upper}, how)
	return b, err
}
