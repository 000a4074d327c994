package optimize

import (
	"cmp"
	"context"
	"math"
	"runtime"
	"slices"
	"sync"

	"stavewright/optimize/mip"
)

// A node is a branch of the search that is still open.
type node struct {
	id     int
	bound  float64
	box    *box
	active []pick // columns to begin with
	basis  *mip.Basis
	depth  int
	tried  int // the depth at which it was last solved as a whole, without an end
}

// A done is what came of a node.
type done struct {
	r      *relaxation
	halves []*box    // to go on with; nil where the relaxation is a plan
	plan   *purchase // for the layouts that the relaxation mixes
	bought *bought   // the best plan of the branch, where it was solved as a whole
}

// A tree is a search by branch and bound: suppliers first, then where prices break, then whole steps, then layouts. Nodes are taken in
// batches, the least bound first; how many are taken at a time does not depend on the machine, so neither does what is found.
type tree struct {
	x     *seasonSearch
	among [][]int
	d     *demand
	open  []node // by bound
	ids   int
	stuck float64     // the least bound of what could be neither split nor solved
	turn  int         // of looking around the best plan
	idle  int         // turns since that gave a better one
	near  *relaxation // what totals are near by
	root  *relaxation // of the whole season
}

const (
	batch       = 4
	betterTurns = 2
	nearby      = 1e-6 // whole, for a column of the relaxation
)

func (x *seasonSearch) newTree(r *relaxation, among [][]int) *tree {
	t := &tree{x: x, among: among, d: x.g.demand(among), stuck: inf, root: r}
	t.open = []node{{bound: r.bound, box: x.g.wholeBox(), active: r.active, basis: r.basis, tried: -triedAgain}}
	return t
}

// bound is proven for everything that is still open.
func (t *tree) bound() float64 {
	if len(t.open) == 0 {
		return t.stuck
	}
	return min(t.stuck, t.open[0].bound)
}

// run searches until nothing is open, the best plan is proven, or ctx ends.
func (t *tree) run(ctx context.Context) error {
	x := t.x
	for len(t.open) > 0 && ctx.Err() == nil && !x.done() {
		n := min(batch, len(t.open))
		now := slices.Clone(t.open[:n])
		results, errs := make([]done, n), make([]error, n+betterTurns)
		around := make([]bought, betterTurns)
		upper := x.upper() - x.slack()
		var wg sync.WaitGroup
		room := make(chan struct{}, t.workers())
		for i := range now {
			room <- struct{}{}
			wg.Go(func() {
				defer func() { <-room }()
				results[i], errs[i] = t.look(ctx, now[i], upper)
			})
		}
		plan, known := x.best, slices.Clone(t.among)
		for k := range around {
			if plan == nil || t.near == nil || t.idle >= idleTurns {
				break
			}
			t.turn, t.idle = t.turn+1, t.idle+1
			turn := t.turn
			room <- struct{}{}
			wg.Go(func() {
				defer func() { <-room }()
				around[k], errs[n+k] = x.better(ctx, t.near, known, plan, upper, turn)
			})
		}
		wg.Wait()
		for _, b := range around {
			x.take(b.p)
		}
		if err := cmp.Or(errs...); err != nil {
			for _, d := range results {
				if d.bought != nil {
					x.take(d.bought.p)
				}
			}
			return err
		}
		t.open = t.open[n:]
		for i, r := range results {
			if err := t.digest(ctx, now[i], r); err != nil {
				return err
			}
		}
		x.parts += n
		if x.best != plan {
			t.idle = 0
			t.among = x.within(t.root, t.among, x.upper()-x.slack())
			t.d = x.g.demand(t.among)
		}
		t.prune()
		x.open = len(t.open)
		x.prove(min(t.bound(), x.upper()))
	}
	return nil
}

// look solves a node's relaxation, and says how to go on. Once prices are as the relaxation has them, what is left are whole steps and whole
// layouts, and the branch is tried as a whole: cuts close such a program far sooner than more branches would.
func (t *tree) look(ctx context.Context, n node, upper float64) (done, error) {
	x := t.x
	b := branch{box: n.box, among: t.among, active: n.active, d: t.d, basis: n.basis, upper: upper}
	r, err := x.relax(ctx, b)
	d := done{r: r}
	if err != nil || !r.settled || r.bound >= upper {
		return d, err
	}
	var steps bool
	d.halves, steps = t.branch(n.box, r)
	if d.halves != nil && n.depth%plunge == 0 {
		if err := t.plunge(ctx, n, &d, upper); err != nil {
			return d, err
		}
	}
	if d.halves == nil || !steps || n.depth < n.tried+triedAgain {
		return d, nil
	}
	for _, list := range t.among {
		if list == nil {
			return d, nil
		}
	}
	err = t.whole(ctx, n, &d, upper)
	return d, err
}

// plunge looks for a plan among the layouts that a relaxation mixes, whatever is bought for them.
func (t *tree) plunge(ctx context.Context, n node, d *done, upper float64) error {
	x, r := t.x, d.r
	cols := make([][]int, len(x.forms))
	for j, p := range r.w.picks {
		if r.x[r.w.chosen[j]] > nearby {
			cols[p.model] = append(cols[p.model], p.total)
		}
	}
	how, o := finishing, masterOptions{}
	how.NodeLimit = planNodes
	b, err := x.buy(ctx, cols, o, how)
	if b.p != nil && b.cost.InexactFloat64() < upper {
		d.plan = b.p
	}
	return err
}

const plunge = 4 // levels between branches whose layouts are tried

// whole solves a branch as a whole program: over few totals first, for a plan; then over all totals up to a reduced cost, for a bound. A plan
// with any other total costs at least as much more than the relaxation.
func (t *tree) whole(ctx context.Context, n node, d *done, upper float64) error {
	x, r := t.x, d.r
	d.bought = &bought{bound: -inf}
	cols := make([][]int, len(x.forms))
	for i, f := range x.forms {
		cols[i] = n.box.among(i, f, t.among[i])
	}
	buy := func(cols [][]int, cutoff float64, nodes int) (bought, error) {
		how, o := finishing, masterOptions{box: n.box}
		how.NodeLimit = nodes
		if cutoff < inf {
			o.cutoff = cutoff
		}
		b, err := x.buy(ctx, cols, o, how)
		if b.p != nil && b.cost.InexactFloat64() < upper {
			d.bought.p, d.bought.cost = b.p, b.cost
			upper = b.cost.InexactFloat64()
		}
		return b, err
	}
	for _, few := range []int{1, 2, 4, min(60, wholeTotals/len(x.forms))} {
		if _, err := buy(x.nearest(r, cols, r.mixed(len(x.forms), few)), upper, planNodes); err != nil {
			return err
		}
	}
	reach := x.reach(r, cols, upper-r.bound, wholeTotals)
	if reach < noGain*(1+math.Abs(r.bound)) {
		return nil // every layout is as good as any other here
	}
	near := x.within(r, cols, r.bound+reach)
	cutoff := min(upper, r.bound+reach)
	b, err := buy(near, cutoff, wholeNodes)
	if err != nil {
		return err
	}
	switch {
	case b.none:
		d.bought.bound = cutoff
	case b.optimal:
		d.bought.bound = min(b.cost.InexactFloat64(), cutoff)
	default:
		d.bought.bound = min(b.bound, cutoff)
	}
	return nil
}

const (
	wholeTotals = 800 // totals in a program that gives a bound
	wholeNodes  = 200
	triedAgain  = 5 // levels further down, where that came to no end
)

// reach is the greatest reduced cost, up to most, below which there are no more than so many totals.
func (x *seasonSearch) reach(r *relaxation, among [][]int, most float64, size int) float64 {
	var all []float64
	for i, f := range x.forms {
		for _, rc := range r.reduced(f, i, among[i]) {
			if rc <= most {
				all = append(all, rc)
			}
		}
	}
	if len(all) <= size {
		return most
	}
	slices.Sort(all)
	return all[size] * (1 - 1e-12)
}

// workers is how many relaxations may be solved at once: those that generate layouts share the lists of totals.
func (t *tree) workers() int {
	for _, list := range t.among {
		if list == nil {
			return 1
		}
	}
	return min(batch, runtime.GOMAXPROCS(0))
}

// prune closes what no better plan can come of.
func (t *tree) prune() {
	upper := t.x.upper() - t.x.slack()
	t.open = slices.DeleteFunc(t.open, func(n node) bool { return n.bound >= upper })
}

// digest branches on a node, or takes the plan that it comes to.
func (t *tree) digest(ctx context.Context, n node, d done) error {
	x, r := t.x, d.r
	n.bound = max(n.bound, r.bound)
	if !r.settled {
		t.put(n)
		return nil
	}
	if n.bound >= x.upper()-x.slack() {
		return nil
	}
	x.take(d.plan)
	if t.near == nil {
		t.near = r
	}
	if b := d.bought; b != nil {
		x.take(b.p)
		n.bound = max(n.bound, b.bound)
		if n.bound >= x.upper()-x.slack() {
			return nil
		}
		t.near, n.tried = r, n.depth
	}
	halves := d.halves
	if halves == nil {
		return t.leaf(ctx, n, r)
	}
	active, basis := r.trim(x.forms)
	for _, b := range halves {
		t.put(node{bound: n.bound, box: b, active: active, basis: basis, depth: n.depth + 1, tried: n.tried})
	}
	return nil
}

// put opens a node.
func (t *tree) put(n node) {
	t.ids++
	n.id = t.ids
	at, _ := slices.BinarySearchFunc(t.open, n, func(a, b node) int { return cmp.Or(cmp.Compare(a.bound, b.bound), -cmp.Compare(a.id, b.id)) })
	t.open = slices.Insert(t.open, at, n)
}

// leaf takes the plan of a relaxation that came out whole. Where its strips are not whole, the branch is solved as a whole program.
func (t *tree) leaf(ctx context.Context, n node, r *relaxation) error {
	x := t.x
	if p, err := r.w.read(r.x); p != nil && !r.lacks() {
		if err != nil {
			if p, err = x.whole(ctx, p); err != nil {
				return err
			}
		}
		if p != nil {
			x.take(p)
			return nil
		}
	}
	cols := make([][]int, len(x.forms))
	for i, f := range x.forms {
		if cols[i] = n.box.among(i, f, t.among[i]); cols[i] == nil {
			cols[i] = f.known()
		}
	}
	b, err := x.buy(ctx, x.within(r, cols, x.upper()), masterOptions{box: n.box}, finishing)
	if err != nil {
		return err
	}
	x.take(b.p)
	if n.bound = max(n.bound, b.bound); !b.optimal && !b.none && n.bound < x.upper()-x.slack() {
		t.stuck = min(t.stuck, n.bound)
	}
	return nil
}

// known are all totals known so far.
func (o *modelForm) known() []int {
	out := make([]int, len(o.totals))
	for t := range out {
		out[t] = t
	}
	return out
}

// branch splits a box where its relaxation is not a plan; nil where it is one.
func (t *tree) branch(b *box, r *relaxation) (halves []*box, steps bool) {
	g := t.x.g
	// A supplier that gets part of an order.
	best, at := nearby, -1
	for i, c := range r.w.order {
		if c < 0 || b.order[i] != 0 {
			continue
		}
		if part := min(r.x[c], 1-r.x[c]); part > best {
			best, at = part, i
		}
	}
	if at >= 0 {
		no, yes := b.clone(), b.clone()
		no.order[at], yes.order[at] = -1, 1
		return []*box{yes, no}, false
	}
	if halves, steps = g.splitLot(b, r); halves != nil {
		return halves, steps
	}
	return t.x.splitLayouts(b, t.among, r), true
}

// splitLot branches on the lot whose price the relaxation understates most, where it breaks; where none is, on steps that are not whole.
func (g *market) splitLot(b *box, r *relaxation) (halves []*box, steps bool) {
	best, at, from := 1e-6, -1, 0
	for i := range g.lots {
		low, high := b.lot(g, i)
		n, paid := r.w.amount(i, r.x)
		if n <= nearby && paid <= 1e-9 || low == high {
			continue
		}
		if short := g.price(i, n) - paid; short > best {
			if f := g.breakAt(i, n, low, high); f > 0 {
				best, at, from = short, i, f
			}
		}
	}
	if at < 0 {
		steps = true
		best = 0
		for i := range g.lots {
			low, high := b.lot(g, i)
			n, _ := r.w.amount(i, r.x)
			n = min(max(n, float64(low)), float64(high))
			part := n - math.Floor(n)
			if part = min(part, 1-part); part <= 10*nearby || low == high {
				continue
			}
			if worth := part * g.stepPrice(i, n); at < 0 || worth > best {
				best, at, from = worth, i, int(math.Floor(n))+1
			}
		}
	}
	if at < 0 {
		return nil, steps
	}
	less, more := b.clone(), b.clone()
	less.high[at], more.low[at] = min(less.high[at], from-1), max(more.low[at], from)
	return []*box{less, more}, steps
}

// amount is how much of a lot a relaxation buys, in steps, and what it pays for that.
func (w *master) amount(lot int, x []float64) (n, paid float64) {
	for t, c := range w.steps[lot] {
		if c < 0 {
			continue
		}
		n += x[c]
		paid += x[c] * w.m.Columns[c].Objective
		if z := w.picked[lot][t]; z >= 0 {
			paid += x[z] * w.m.Columns[z].Objective
		}
	}
	return n, paid
}

// price is what a number of steps, not always whole, costs of a lot; below the least that can be bought, the least.
func (g *market) price(lot int, n float64) float64 {
	l := &g.lots[lot]
	if len(l.tiers) == 0 {
		return 0
	}
	n = max(n, float64(l.tiers[0].from))
	for i := len(l.tiers) - 1; i >= 0; i-- {
		if t := &l.tiers[i]; n >= float64(t.from)-nearby {
			return t.base + n*(t.each+l.freight)
		}
	}
	return 0
}

// stepPrice is what one step more costs.
func (g *market) stepPrice(lot int, n float64) float64 {
	return max(1e-3, g.price(lot, n+1)-g.price(lot, n))
}

// breakAt is where to split the steps of a lot of which n are bought: at the next break of its price above n, else at the last below; 0
// where its range holds none.
func (g *market) breakAt(lot int, n float64, low, high int) int {
	below := 0
	for _, t := range g.lots[lot].tiers {
		if t.from <= low || t.from > high {
			continue
		}
		if float64(t.from) > n+nearby {
			return t.from
		}
		below = t.from
	}
	return below
}

// splitLayouts branches on how many strips of a kind a model takes, where the relaxation mixes its layouts.
func (x *seasonSearch) splitLayouts(b *box, among [][]int, r *relaxation) []*box {
	parts := make([][]int, len(x.forms)) // picks of a model that have a part
	for j, p := range r.w.picks {
		if v := r.x[r.w.chosen[j]]; v > nearby {
			parts[p.model] = append(parts[p.model], j)
		}
	}
	best, at := 0.0, take{}
	for i, js := range parts {
		f := x.forms[i]
		if len(js) < 2 || among[i] == nil {
			continue // layouts that are not listed cannot be told apart in advance
		}
		for k := range f.kinds {
			var mean, spread float64
			for _, j := range js {
				mean += r.x[r.w.chosen[j]] * float64(f.totals[r.w.picks[j].total].strips[k])
			}
			low, high := int32(math.MaxInt32), int32(0)
			for _, j := range js {
				n := f.totals[r.w.picks[j].total].strips[k]
				spread += r.x[r.w.chosen[j]] * math.Abs(float64(n)-mean)
				low, high = min(low, n), max(high, n)
			}
			if worth := spread * float64(f.build) * max(1e-3, r.strip[f.kinds[k]]); low < high && worth > best {
				cut := int32(math.Floor(mean + nearby))
				best, at = worth, take{model: i, kind: k, high: min(max(cut, low), high-1)}
			}
		}
	}
	if best == 0 {
		return nil
	}
	less, more := b.clone(), b.clone()
	less.takes = append(less.takes, at)
	more.takes = append(more.takes, take{model: at.model, kind: at.kind, low: at.high + 1, high: math.MaxInt32})
	return []*box{less, more}
}
