package optimize

import "context"

const (
	diveTotals = 30  // of each model, by reduced cost
	diveNodes  = 300 // of the program that gives the plan
)

// dive makes a plan of a relaxation: every lot stays in the range of steps over which the price that it came out with holds, and what is
// left, whole steps and whole layouts, is a program that is soon solved.
func (x *seasonSearch) dive(ctx context.Context, b branch, r *relaxation) error {
	g := x.g
	in := b.box.clone()
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
	b.box, b.active, b.basis = in, r.active, nil
	near, err := x.relax(ctx, b)
	if err != nil || !near.settled || near.bound >= b.upper {
		return err
	}
	how := finishing
	how.NodeLimit = diveNodes
	for _, k := range []int{10} {
		p, err := x.buy(ctx, x.nearest(near, b.among, near.mixed(len(x.forms), 2)), masterOptions{box: in}, how)
		if err != nil {
			return err
		}
		dbg("  dive %d relax %v bought %v bound %v %v", k, near.bound, p.cost, p.bound, p.optimal)
		x.take(p.p)
	}
	return nil
}
