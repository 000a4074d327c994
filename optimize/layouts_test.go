package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"stavewright/optimize/core"
)

// TestLayouts: as a part of a larger program, a layout within the limits has values that keep every row, and comes back from them no heavier and otherwise the same;
// a layout that breaks a limit which is linear does not keep every row. A wood where none is allowed has no values.
func TestLayouts(t *testing.T) {
	needsIntegerPrograms(t)
	const n = 60
	kept, barred := 0, 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 20260408))
		p := exported(r, 3000)
		kind := func(position, candidate int) int { return position%2*len(p.Candidates) + candidate }
		l, err := NewLayouts(p, kind)
		if none := (*InfeasibleError)(nil); errors.As(err, &none) {
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		layouts(p, func(layout core.Layout) {
			n, err := f.counts(layout)
			if err != nil {
				t.Fatal(err)
			}
			keeps := f.broken(n) == nil
			x, err := l.Values(layout)
			if err != nil {
				if barred++; keeps {
					t.Errorf("seed %d: layout %v has no values: %v", seed, layout, err)
				}
				return
			}
			if slices.ContainsFunc(x, math.IsNaN) {
				t.Fatalf("seed %d: a column has no value: %v", seed, x)
			}
			if got := holds(l, x); got != keeps {
				t.Errorf("seed %d: layout %v keeps the limits: %v, the rows: %v", seed, layout, keeps, got)
			}
			if !keeps {
				barred++
				return
			}
			kept++
			if kept%7 > 0 { // a sample
				return
			}
			for i := range l.Columns() { // leaves the assignment inside classes open
				if !l.Columns()[i].Integer {
					x[i] += 0.25
				}
			}
			back, err := l.Layout(context.Background(), x)
			if err != nil {
				t.Fatalf("seed %d: layout %v: %v", seed, layout, err)
			}
			m, err := f.counts(back)
			if err != nil || f.broken(m) != nil || dot(f.mass, m) > dot(f.mass, n) || fmt.Sprint(byKind(p, back, kind)) != fmt.Sprint(byKind(p, layout, kind)) {
				t.Errorf("seed %d: layout %v comes back as %v: %v", seed, layout, back, err)
			}
		})
		for _, u := range l.Uses {
			if u.Strips < 1 || u.Pieces < 1 || !p.Candidates[u.Candidate].At[u.Position].Allowed {
				t.Errorf("seed %d: use %+v", seed, u)
			}
		}
	}
	t.Logf("%d layouts kept, %d barred", kept, barred)
	if kept < 20*n || barred < 20*n {
		t.Errorf("%d layouts kept, %d barred: too few to prove anything", kept, barred)
	}
}

// holds reports whether values keep the rows and the columns' bounds.
func holds(l *Layouts, x []float64) bool {
	for i, c := range l.Columns() {
		if x[i] < c.Low || x[i] > c.High {
			return false
		}
	}
	for _, row := range l.Rows() {
		var v float64
		for _, t := range row.Terms {
			v += t.Coefficient * x[t.Column]
		}
		if v < row.Low || v > row.High {
			return false
		}
	}
	return true
}

// byKind is how many strips of each kind a board takes with a layout.
func byKind(p *Program, l core.Layout, kind func(position, candidate int) int) map[int]int {
	out := map[int]int{}
	for i, s := range p.Board.Strips() {
		c := slices.IndexFunc(p.Candidates, func(c Candidate) bool { return c.Wood == l[i] })
		out[kind(s.Position, c)] += s.Pieces
	}
	return out
}

// TestCuts: the row that bars a layout which is too soft is kept by every layout that is stiff enough.
func TestCuts(t *testing.T) {
	needsIntegerPrograms(t)
	cuts, open := 0, 0
	for seed := range 40 {
		r := rand.New(rand.NewPCG(uint64(seed), 20260409))
		p := exported(r, 2000)
		p.Limits = Limits{Positions: make([]PositionLimit, len(p.Board.Positions)), FastUpToYears: p.Limits.FastUpToYears}
		fig, err := p.Board.Evaluate(p.Reference)
		if err != nil {
			t.Fatal(err)
		}
		flex := fig.Flex.CoreNPerMM
		if p.Board.Section == core.Pressed {
			flex = fig.Flex.PressedNPerMM
		}
		p.Limits.FlexLow = at(math.Round(100*flex)/100, "Limits!K2")
		p.Reference = nil // else most are barred by its tangent
		l, err := NewLayouts(p, func(_, candidate int) int { return candidate })
		if none := (*InfeasibleError)(nil); errors.As(err, &none) {
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if len(l.Notes) != 1 {
			t.Errorf("seed %d: notes %q", seed, l.Notes)
		}
		var stiff [][]float64
		var soft []core.Layout
		layouts(p, func(layout core.Layout) {
			c, err := Check(p, layout)
			if err != nil {
				t.Fatal(err)
			}
			x, err := l.Values(layout)
			if err != nil {
				t.Fatal(err)
			}
			if c.Broken == nil {
				if stiff = append(stiff, x); !holds(l, x) {
					t.Errorf("seed %d: layout %v keeps the limits and not the rows", seed, layout)
				}
			} else if holds(l, x) {
				soft = append(soft, slices.Clone(layout))
			}
		})
		for _, layout := range soft {
			rows, err := l.Cuts(layout)
			if err != nil || len(rows) != 1 {
				t.Fatalf("seed %d: %d rows, %v", seed, len(rows), err)
			}
			value := func(x []float64) (v float64) {
				for _, t := range rows[0].Terms {
					v += t.Coefficient * x[t.Column]
				}
				return v
			}
			x, err := l.Values(layout)
			if err != nil {
				t.Fatal(err)
			}
			if cuts++; value(x) >= rows[0].Low {
				open++
			}
			for _, x := range stiff {
				if value(x) < rows[0].Low {
					t.Errorf("seed %d: the row that bars %v bars a layout within the limits", seed, layout)
				}
			}
		}
	}
	t.Logf("%d rows, %d of which are too near to bar the layout itself", cuts, open)
	if cuts < 50 || open > cuts/10 {
		t.Errorf("%d rows, %d of which do not bar the layout", cuts, open)
	}
}

// TestCheapestAndLightest: of all layouts, tried one by one.
func TestCheapestAndLightest(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 15
	}
	found, none, lighter := 0, 0, 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 20260410))
		p := exported(r, 3000)
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		kind := func(position, candidate int) int { return position%2*len(p.Candidates) + candidate }
		best, cheap := []int64(nil), core.Layout(nil) // cost, then mass
		light := map[string]int64{}                   // by strips of each kind
		layouts(p, func(l core.Layout) {
			n, err := f.counts(l)
			if err != nil || f.broken(n) != nil {
				return
			}
			v := f.objectiveSteps(t, n, []Objective{Cost, Mass})
			if best == nil || slices.Compare(v, best) < 0 {
				best = v
			}
			if strips := fmt.Sprint(byKind(p, l, kind)); light[strips] == 0 || v[1] < light[strips] {
				light[strips] = v[1]
			}
			cheap = l
		})
		got, err := Cheapest(context.Background(), p)
		if no := (*InfeasibleError)(nil); cheap == nil {
			if none++; !errors.As(err, &no) || len(no.Why.Clash) == 0 {
				t.Errorf("seed %d: %v, %v; there is no layout", seed, got, err)
			}
			continue
		}
		if err != nil || got == nil {
			t.Fatalf("seed %d: %v, %v", seed, got, err)
		}
		found++
		m, err := f.counts(got)
		if err != nil || f.broken(m) != nil || !slices.Equal(f.objectiveSteps(t, m, []Objective{Cost, Mass}), best) {
			t.Errorf("seed %d: cheapest is %v, of %v; the least is %v (%v)", seed, got, f.objectiveSteps(t, m, []Objective{Cost, Mass}), best, err)
		}
		tried := 0
		layouts(p, func(l core.Layout) {
			n, err := f.counts(l)
			if err != nil || f.broken(n) != nil || tried > 20 {
				return
			}
			tried++
			got, err := Lightest(context.Background(), p, l, kind)
			if err != nil {
				t.Fatal(err)
			}
			m, err := f.counts(got)
			if err != nil || f.broken(m) != nil || fmt.Sprint(byKind(p, got, kind)) != fmt.Sprint(byKind(p, l, kind)) {
				t.Fatalf("seed %d: %v instead of %v: %v", seed, got, l, err)
			}
			if has, was := f.objectiveSteps(t, m, []Objective{Mass})[0], f.objectiveSteps(t, n, []Objective{Mass})[0]; has != light[fmt.Sprint(byKind(p, l, kind))] {
				t.Errorf("seed %d: the lightest like %v is %v, of %d; the least is %d", seed, l, got, has, light[fmt.Sprint(byKind(p, l, kind))])
			} else if has < was {
				lighter++
			}
		})
	}
	t.Logf("%d with a layout, %d without; %d lighter ones", found, none, lighter)
	if found < n/3 || none == 0 || lighter == 0 {
		t.Errorf("%d with a layout, %d without; %d lighter ones", found, none, lighter)
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	p := program()
	if l, err := Cheapest(ended, p); l != nil || err != nil {
		t.Errorf("with no time: %v, %v", l, err)
	}
	if l, err := Lightest(ended, p, slices.Repeat([]int{1}, len(p.Board.Strips())), func(_, c int) int { return c }); err != nil || l == nil {
		t.Errorf("with no time: %v, %v", l, err)
	}
}
