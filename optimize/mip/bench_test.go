//go:build cgo

package mip

import (
	"context"
	"testing"
)

// BenchmarkOverhead solves next to nothing: what it takes is what a solve costs beyond GLPK's own work.
func BenchmarkOverhead(b *testing.B) {
	m := &Model{Columns: []Column{{High: 1, Integer: true, Objective: 1}}, Rows: []Row{{Low: 0.5, High: inf, Terms: []Term{{0, 1}}}}}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	for _, progress := range []func(Progress){nil, func(Progress) {}} {
		name := "plain"
		if progress != nil {
			name = "with progress"
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if r, err := Solve(ctx, m, Options{Progress: progress}); err != nil || r.Status != Optimal {
					b.Fatal(r.Status, err)
				}
			}
		})
	}
}

// BenchmarkPublished solves the published single-objective cases.
func BenchmarkPublished(b *testing.B) {
	for _, k := range published(b) {
		b.Run(k.model.Name, func(b *testing.B) {
			nodes := 0
			for b.Loop() {
				r, err := Solve(context.Background(), k.model, Options{})
				if err != nil {
					b.Fatal(err)
				}
				nodes = r.Nodes
			}
			b.ReportMetric(float64(nodes), "nodes/op")
		})
	}
}
