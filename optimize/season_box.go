package optimize

import "slices"

// A box is what a branch of the search has decided: how many steps of each lot are bought, from low to high, which suppliers get an
// order, and what models may take of a kind of strip.
type box struct {
	low, high []int  // by lot
	order     []int8 // by supplier: 0 open, 1 yes, −1 no
	takes     []take
}

// A take bounds what a board of a model takes of a kind, by modelForm.kinds.
type take struct {
	model, kind int
	low, high   int32
}

func (g *market) wholeBox() *box {
	b := &box{low: make([]int, len(g.lots)), high: make([]int, len(g.lots)), order: make([]int8, len(g.s.Suppliers))}
	for i := range g.lots {
		b.high[i] = g.s.Lots[i].MaxSteps
	}
	return b
}

func (b *box) clone() *box {
	return &box{slices.Clone(b.low), slices.Clone(b.high), slices.Clone(b.order), slices.Clone(b.takes)}
}

// lot is how many steps of a lot may be bought.
func (b *box) lot(g *market, i int) (low, high int) {
	if b == nil {
		return 0, g.s.Lots[i].MaxSteps
	}
	if sup := g.lots[i].supplier; sup >= 0 && b.order[sup] < 0 {
		return 0, 0
	}
	return b.low[i], b.high[i]
}

// supplier bounds the binary of a supplier.
func (b *box) supplier(i int) (low, high float64) {
	if b == nil {
		return 0, 1
	}
	switch b.order[i] {
	case 1:
		return 1, 1
	case -1:
		return 0, 0
	}
	return 0, 1
}

// allows reports whether a model may choose a total.
func (b *box) allows(model int, t *total) bool {
	if b == nil {
		return true
	}
	for _, k := range b.takes {
		if n := t.strips[min(k.kind, len(t.strips)-1)]; k.model == model && (n < k.low || n > k.high) {
			return false
		}
	}
	return true
}

// among are the totals that the box leaves of a list; nil stays nil.
func (b *box) among(model int, f *modelForm, list []int) []int {
	if list == nil || b == nil || !slices.ContainsFunc(b.takes, func(k take) bool { return k.model == model }) {
		return list
	}
	out := []int{}
	for _, t := range list {
		if b.allows(model, f.totals[t]) {
			out = append(out, t)
		}
	}
	return out
}
