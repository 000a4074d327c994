package season

import (
	"fmt"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// Bars keep layouts out of a program that its rows let through although they break a limit of their model which is not linear.
type bars struct {
	d    *direct
	m    *mip.Model
	cut  map[string]bool // layouts that a row of the limit should keep out
	bars []bar
}

// A bar keeps one layout out: of some wood, in some class of strips, every other one has fewer.
type bar struct {
	layout  string
	columns []int     // that count strips
	counts  []float64 // of the layout
	fewer   int       // the first column of "has fewer"; one for each of columns
}

// add keeps a layout out, by a row of its limit where one is known. An error says why it cannot.
func (b *bars) add(broken *brokenLayout) error {
	d, l := b.d, b.d.models[broken.model]
	values, err := l.Values(broken.layout)
	if err != nil {
		return err
	}
	out := bar{layout: fmt.Sprint(broken.model), fewer: len(b.m.Columns)}
	var strips []float64
	for _, u := range l.Uses {
		n := values[u.Column]
		if out.layout += fmt.Sprint(" ", n); n > 0 {
			out.columns, out.counts, strips = append(out.columns, d.first[broken.model]+u.Column), append(out.counts, n), append(strips, float64(u.Strips))
		}
	}
	if b.cut == nil {
		b.cut = map[string]bool{}
	}
	if !b.cut[out.layout] {
		b.cut[out.layout] = true
		rows, err := l.Cuts(broken.layout)
		for _, row := range rows {
			b.m.Rows = append(b.m.Rows, d.modelRow(broken.model, row, fmt.Sprintf("cut %d", len(b.m.Rows)+1)))
		}
		if err != nil || len(rows) > 0 {
			return err
		}
	}
	if slices.ContainsFunc(b.bars, func(o bar) bool { return o.layout == out.layout }) {
		return broken
	}
	name := fmt.Sprintf("bar %d", len(b.bars)+1)
	some := mip.Row{Name: name, Low: 1, High: math.Inf(1)}
	for k, c := range out.columns {
		b.m.Columns = append(b.m.Columns, mip.Column{Name: fmt.Sprintf("%s, fewer %d", name, k+1), High: 1, Integer: true})
		some.Terms = append(some.Terms, mip.Term{Column: out.fewer + k, Coefficient: 1})
		b.m.Rows = append(b.m.Rows, mip.Row{Name: fmt.Sprintf("%s, %d", name, k+1), Low: math.Inf(-1), High: strips[k],
			Terms: []mip.Term{{Column: c, Coefficient: 1}, {Column: out.fewer + k, Coefficient: strips[k] - out.counts[k] + 1}}})
	}
	b.m.Rows = append(b.m.Rows, some)
	b.bars = append(b.bars, out)
	return nil
}

// values adds those of the bars' columns to a plan's; nil stays nil.
func (b *bars) values(x []float64) []float64 {
	if x == nil {
		return nil
	}
	x = append(x, make([]float64, len(b.m.Columns)-len(x))...)
	for _, bar := range b.bars {
		for k, c := range bar.columns {
			if x[c] < bar.counts[k]-0.5 {
				x[bar.fewer+k] = 1
			}
		}
	}
	return x
}
