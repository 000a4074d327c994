package optimize

import (
	"fmt"
	"slices"

	"stavewright/optimize/core"
)

// A modelForm is a model's part of a season in integers. Purchasing sees a layout only through its strips of each kind: its total.
type modelForm struct {
	index int // into Season.Models
	build int64
	f     *form
	kinds []int     // of the season that its layouts can take, rising
	of    []int     // by variable: index into kinds
	words [][]int64 // forms that hold the strips of each kind, kindBits bits each: what the enumeration tells totals apart by

	totals []*total // known, in the order they came
	seen   map[string]int
	flat   []int32 // strips of all totals in a row: what prices go over
	listed bool    // totals are all there are, or within all that are of use
	within []int
	pricer *pricer
}

// A total is what a board of one layout takes, with the lightest layout known to take it.
type total struct {
	strips []int32  // per board, by modelForm.kinds
	n      []uint16 // counts of the layout, by variable
	mass   int64
	set    int // where an enumeration found it: of equal layouts the first stands for all
	choice []int32
}

// Strips of a kind in one board take so many bits of a word.
const (
	kindBits     = 12
	kindsPerWord = 63 / kindBits
)

// newModelForm quantises a model. Woods of which no lot gives the strips are left out.
func (s *Season) newModelForm(index int) (*modelForm, error) {
	m := &s.Models[index]
	p := *m.Program
	p.Candidates = slices.Clone(p.Candidates)
	for ci := range p.Candidates {
		at := slices.Clone(p.Candidates[ci].At)
		for pos := range at {
			if at[pos].Allowed && m.Kind[pos][ci] < 0 {
				at[pos].Allowed = false
			}
		}
		p.Candidates[ci].At = at
	}
	f, err := newForm(&p)
	if err != nil {
		return nil, fmt.Errorf("model %q: %w", p.Model, err)
	}
	o := &modelForm{index: index, build: int64(m.Build), f: f, seen: map[string]int{}}
	kindOf := func(v variable) int { return m.Kind[f.groups[v.group].Position][v.cand] }
	for _, v := range f.vars {
		o.kinds = append(o.kinds, kindOf(v))
	}
	slices.Sort(o.kinds)
	o.kinds = slices.Compact(o.kinds)
	o.words = make([][]int64, (len(o.kinds)+kindsPerWord-1)/kindsPerWord)
	for w := range o.words {
		o.words[w] = make([]int64, len(f.vars))
	}
	for i, v := range f.vars {
		k, _ := slices.BinarySearch(o.kinds, kindOf(v))
		o.of = append(o.of, k)
		o.words[k/kindsPerWord][i] = int64(f.groups[v.group].Pieces) << (kindBits * (k % kindsPerWord))
	}
	pieces := 0
	for _, g := range f.groups {
		pieces += g.Pieces * len(g.Strips)
	}
	if pieces >= 1<<kindBits {
		return nil, &TooManyStripsError{Model: p.Model, Strips: pieces, Most: 1<<kindBits - 1}
	}
	return o, nil
}

// A TooManyStripsError says that a board has more strips than a season counts.
type TooManyStripsError struct {
	Model        string
	Strips, Most int
}

func (e *TooManyStripsError) Error() string {
	return fmt.Sprintf("model %q: a core of %d strips is more than the %d that a season counts; let its positions have fewer, wider strips, or leave its Boards empty", e.Model, e.Strips, e.Most)
}

// strips are the strips of each kind that counts take, by modelForm.kinds.
func (o *modelForm) strips(n []int64) []int32 {
	out := make([]int32, len(o.kinds))
	for v, k := range n {
		out[o.of[v]] += int32(k) * int32(o.f.groups[o.f.vars[v].group].Pieces)
	}
	return out
}

// packed are counts in little room: seasons hold a hundred thousand layouts.
func packed(n []int64) []uint16 {
	out := make([]uint16, len(n))
	for i, k := range n {
		out[i] = uint16(k)
	}
	return out
}

// counts are the counts of a total's layout.
func (t *total) counts() []int64 {
	out := make([]int64, len(t.n))
	for i, k := range t.n {
		out[i] = int64(k)
	}
	return out
}

// totalKey is what totals are told apart by.
func totalKey(strips []int32) string {
	b := make([]byte, 2*len(strips))
	for i, n := range strips {
		b[2*i], b[2*i+1] = byte(n), byte(n>>8)
	}
	return string(b)
}

// add takes counts in, and says which total they are.
func (o *modelForm) add(n []int64) (at int, fresh bool) {
	t := &total{strips: o.strips(n), n: packed(n), mass: dot(o.f.mass, n)}
	key := totalKey(t.strips)
	if at, ok := o.seen[key]; ok {
		if t.mass < o.totals[at].mass {
			o.totals[at].n, o.totals[at].mass = t.n, t.mass
		}
		return at, false
	}
	o.seen[key] = len(o.totals)
	o.totals = append(o.totals, t)
	o.flat = append(o.flat, t.strips...)
	return len(o.totals) - 1, true
}

// addLayout takes a layout in, if it keeps every limit and can be bought at all.
func (o *modelForm) addLayout(l core.Layout) (at int, ok bool) {
	if l == nil {
		return 0, false
	}
	n, err := o.f.counts(l)
	if err != nil || len(o.f.breaks(n, o.f.newScatter())) > 0 {
		return 0, false
	}
	at, _ = o.add(n)
	return at, true
}

// prices are the prices of a season's kinds for one board each, for all boards of the model, by modelForm.kinds.
func (o *modelForm) prices(strip []float64) []float64 {
	out := make([]float64, len(o.kinds))
	for k, kind := range o.kinds {
		out[k] = strip[kind] * float64(o.build)
	}
	return out
}

// priced is what the strips of a total are worth at such prices.
func (o *modelForm) priced(t int, prices []float64) float64 {
	var v float64
	for k, n := range o.flat[t*len(prices) : (t+1)*len(prices)] {
		v += float64(n) * prices[k]
	}
	return v
}
