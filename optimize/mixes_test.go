package optimize

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"stavewright/optimize/mip"
)

func TestX(t *testing.T) {
	for seed := range 300 {
		r := rand.New(rand.NewPCG(uint64(seed), 20260202))
		p, _ := randomProgram(r)
		p.Limits.FlexLow, p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{}, Limit{}
		objs := []Objective{Mass, EI, Share}
		if seed%3 == 0 {
			objs = []Objective{Mass, Share}
		}
		if seed%3 == 1 {
			objs = []Objective{Mass, Cost, Share}
		}
		if seed%2 == 0 {
			p.Resolution.SharePct = 0.01
		}
		var v [][][]int64
		for _, m := range []Method{Enumeration, IntegerProgram} {
			if m == IntegerProgram && !mip.Available {
				continue
			}
			f, _ := newForm(p)
			how, err := f.method(Options{Method: m}, objs)
			if err != nil {
				t.Fatal(err)
			}
			got, err := how.front(context.Background(), nil)
			if err != nil {
				t.Fatal(err)
			}
			var w [][]int64
			for _, s := range got.points {
				for i, o := range objs {
					q, _ := f.objective(o)
					if s.values[i] != q.step(q.sign*dot(q.coef, s.n)+q.offset) {
						t.Errorf("seed %d %s values", seed, m)
					}
				}
				w = append(w, s.values)
			}
			v = append(v, w)
		}
		if len(v) == 2 && !slices.EqualFunc(v[0], v[1], slices.Equal[[]int64]) {
			t.Errorf("seed %d %v: enum %v mip %v", seed, objs, v[0], v[1])
		}
	}
}
