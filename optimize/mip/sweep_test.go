//go:build cgo

package mip

import (
	"context"
	"fmt"
	"testing"
)

// sweep enumerates the front of m's objective against its last row, one solve a point, and says how many solves and
// nodes it took.
func sweep(t testing.TB, m *Model, o Options, warm bool) (masses, values []float64, solves, nodes int) {
	t.Helper()
	last := &m.Rows[len(m.Rows)-1]
	for {
		r, err := Solve(context.Background(), m, o)
		if err != nil {
			t.Fatal(err)
		}
		solves++
		nodes += r.Nodes
		if r.Status == Infeasible {
			return masses, values, solves, nodes
		}
		if r.Status != Optimal {
			t.Fatalf("%s: status %v", m.Name, r.Status)
		}
		at := 0.0
		for _, term := range last.Terms {
			at += term.Coefficient * r.X[term.Column]
		}
		if n := len(masses); n > 0 && masses[n-1] == r.Objective {
			values[n-1] = at
		} else {
			masses, values = append(masses, r.Objective), append(values, at)
		}
		last.Low = at + 0.5
		if warm {
			o.Basis = r.Basis
		}
	}
}

var boardSizes = []struct {
	name   string
	strips []int
	woods  int
}{
	{"4 classes, 6 woods", []int{4, 3, 2, 3}, 6},
	{"3 classes, 10 woods", []int{8, 1, 1}, 10},
}

// BenchmarkSweep compares a cold with a warm start of the root relaxation over a whole front.
func BenchmarkSweep(b *testing.B) {
	for _, size := range boardSizes {
		for _, warm := range []bool{false, true} {
			b.Run(fmt.Sprintf("%s/warm=%v", size.name, warm), func(b *testing.B) {
				for b.Loop() {
					solves, nodes := 0, 0
					for seed := range uint64(2) {
						_, _, s, n := sweep(b, boardLike(seed, size.strips, size.woods), Options{}, warm)
						solves += s
						nodes += n
					}
					b.ReportMetric(float64(solves), "solves/op")
					b.ReportMetric(float64(nodes), "nodes/op")
				}
			})
		}
	}
}
