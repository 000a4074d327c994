package optimize

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"stavewright/optimize/mip"
)

// How long a list of totals may grow, and how many leaves of the enumeration may be looked at for it.
const (
	mostTotals = 400_000 // over all models of a season; a model may have its share, or fewTotals
	fewTotals  = 20_000
	mostLooks  = 2_000_000_000 // over all models
)

// list finds every total that the model's layouts can have, each with its least mass; with prices, only those worth at most a limit per
// board. It is the enumeration without what prunes by dominance. False, when there are too many to list, or ctx ended first.
func (o *modelForm) list(ctx context.Context, room int, looks int64, price []float64, most float64) (totals []*total, ok bool, err error) {
	f := o.f
	obj := objectiveForm{form: "price", row: "price", coef: make([]int64, len(f.vars)), sign: 1,
		step: func(v int64) int64 { return v }, end: func(v int64) int64 { return v }}
	limit := int64(openHigh)
	if price != nil {
		unit, slack := o.quantise(price, 1e11, obj.coef)
		if v := math.Ceil(most/unit+slack) + 1; v < 1e17 {
			limit = int64(v)
		}
	}
	e := f.newEnumeration(everyLimit, []objectiveForm{obj}, f.newScatter(), o.words...)
	options, held := e.options()
	if math.IsInf(options, 1) {
		return nil, false, nil
	}
	var left atomic.Int64
	left.Store(looks)
	e.looks = &left
	for _, c := range e.classes {
		if len(c.density) == 0 {
			return nil, true, nil
		}
	}
	sets := e.sets()
	var next atomic.Int64
	var stopped atomic.Bool
	a := e.newArchive(&stopped)
	if limit != openHigh {
		a.table[0].Store(limit + 1)
	}
	defer context.AfterFunc(ctx, func() { stopped.Store(true) })()
	workers := min(runtime.GOMAXPROCS(0), len(sets), max(1, int(heldBudgetMB/max(held, 1))))
	found := make([]map[string]*total, workers)
	var crowded atomic.Bool
	var wg sync.WaitGroup
	for k := range workers {
		found[k] = map[string]*total{}
		wg.Go(func() {
			mine := found[k]
			key := make([]byte, 8*len(o.words))
			w := e.newWalker(a, &stopped)
			// The walkers share e, so each has a copy with its own visitor.
			own := *e
			w.e = &own
			own.visit = func(w *walker) {
				i := len(w.levels) - 1
				for j := range o.words {
					binary.LittleEndian.PutUint64(key[8*j:], uint64(w.part[i][e.key+j]+w.leaf.forms[e.key+j]))
				}
				mass := w.mass[i] + w.leaf.mass
				t, ok := mine[string(key)]
				if ok && cmp.Or(cmp.Compare(t.mass, mass), cmp.Compare(t.set, w.set), slices.Compare(t.choice, w.choice)) <= 0 {
					return
				}
				if !ok {
					t = &total{}
					mine[string(key)] = t
					if len(mine) > room {
						crowded.Store(true)
						stopped.Store(true)
					}
				}
				t.mass, t.set, t.choice = mass, w.set, append(t.choice[:0], w.choice...)
			}
			for {
				i := int(next.Add(1)) - 1
				if i >= len(sets) || stopped.Load() {
					return
				}
				w.walk(i, sets[i])
			}
		})
	}
	wg.Wait()
	if crowded.Load() || left.Load() < 0 || ctx.Err() != nil {
		return nil, false, nil
	}
	return o.merge(e, a, sets, found, room)
}

// merge puts what the walkers found together, in the order of the totals' strips, with the counts of each.
func (o *modelForm) merge(e *enumeration, a *archive, sets []uint64, found []map[string]*total, room int) ([]*total, bool, error) {
	all := found[0]
	for _, more := range found[1:] {
		for key, t := range more {
			was, ok := all[key]
			if !ok || cmp.Or(cmp.Compare(t.mass, was.mass), cmp.Compare(t.set, was.set), slices.Compare(t.choice, was.choice)) < 0 {
				all[key] = t
			}
		}
	}
	if len(all) > room {
		return nil, false, nil
	}
	keys := make([]string, 0, len(all))
	for key := range all {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int {
		return cmp.Or(cmp.Compare(all[a].set, all[b].set), bytes.Compare([]byte(a), []byte(b)))
	})
	var stopped atomic.Bool
	w := e.newWalker(a, &stopped)
	w.set = -1
	totals := make([]*total, len(keys))
	for i, key := range keys {
		t := all[key]
		if w.set != t.set {
			w.set = t.set
			w.prepare(sets[t.set])
			w.list()
		}
		n := w.chosen(t.choice, 0)
		t.n, t.strips = packed(n), o.strips(n)
		t.choice = nil
		totals[i] = t
	}
	slices.SortFunc(totals, func(a, b *total) int { return slices.Compare(a.strips, b.strips) })
	return totals, true, nil
}

// quantise turns prices by kind into a form over the variables, the dearest count being about so many units, and returns the unit and, in
// units, what rounding can add up to over a board.
func (o *modelForm) quantise(price []float64, widest float64, coef []int64) (unit, slack float64) {
	exact := make([]float64, len(coef))
	var most float64
	for v := range coef {
		exact[v] = price[o.kinds[o.of[v]]] * float64(o.f.groups[o.f.vars[v].group].Pieces)
		most = max(most, math.Abs(exact[v]))
	}
	unit = most / widest
	if unit == 0 {
		unit = 1
	}
	for v := range coef {
		coef[v] = int64(math.Round(exact[v] / unit))
	}
	for _, g := range o.f.groups {
		slack += float64(len(g.Strips)) / 2
	}
	return unit, slack
}

// A pricer finds the layout whose strips are worth least at given prices, by the model's own integer program.
type pricer struct {
	o *modelForm
	q *formProblem
}

func (o *modelForm) newPricer(engine solver) *pricer {
	obj := objectiveForm{form: "price", row: "price", coef: make([]int64, len(o.f.vars)), sign: 1,
		step: func(v int64) int64 { return v }, end: func(v int64) int64 { return v }}
	q := o.f.newFormProblem(everyLimit, []objectiveForm{obj}, engine)
	q.keys = o.words
	q.build()
	return &pricer{o: o, q: q}
}

// widestPrice is how many units the dearest strip's price takes in a pricing program.
const widestPrice = 1e7

// least is the cheapest layout at prices by kind, and a proven bound on what any layout's strips are worth, for one board; counts are nil
// when none was found, and the bound +Inf when there is none.
func (p *pricer) least(ctx context.Context, price []float64) (n []int64, bound float64, err error) {
	unit, slack := p.o.quantise(price, widestPrice, p.q.objs[0].coef)
	p.q.build()
	a, err := p.q.least(ctx, []int64{1}, []int64{openHigh})
	if err != nil {
		return nil, math.Inf(-1), fmt.Errorf("model %q: %w", p.o.f.p.Model, err)
	}
	if a.status == mip.Infeasible {
		return nil, math.Inf(1), nil
	}
	bound = a.bound
	if a.status == mip.Optimal {
		bound = float64(p.q.sum([]int64{1}, a.n))
	}
	return a.n, (bound - slack) * unit, nil
}
