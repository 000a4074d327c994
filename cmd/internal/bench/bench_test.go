package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

// BenchmarkFront takes seed 1 of the generated cases, and the demo's all-round board, by either method.
func BenchmarkFront(b *testing.B) {
	for _, name := range []string{"S", "M", "L", "S3", "L3", "D"} {
		cases, err := casesOf(name, 1)
		if err != nil {
			b.Fatal(err)
		}
		c := cases[0]
		for _, m := range []optimize.Method{optimize.Enumeration, optimize.IntegerProgram} {
			if m == optimize.IntegerProgram && (!mip.Available || len(c.objectives) > 2) {
				continue
			}
			run := func(b *testing.B) {
				var r *optimize.FrontResult
				for b.Loop() {
					if r, err = optimize.Front(context.Background(), c.programs[0], optimize.Options{Method: m, Objectives: c.objectives}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(len(r.Points)), "points")
				if m == optimize.IntegerProgram {
					b.ReportMetric(float64(r.Solves), "solves")
				}
			}
			if m == optimize.Enumeration {
				b.Run(name, run)
			} else {
				b.Run(name+"/integer-programs", run)
			}
		}
	}
}

// BenchmarkMixes takes seed 1 of the generated cases with every third wood fast-grown, from the second lightest on: some are heavier than
// woods that are not, so that inside a class of strips cut by the outline mass and share trade off. Three objectives, and the steps alone.
func BenchmarkMixes(b *testing.B) {
	for _, name := range []string{"S", "M", "L"} {
		cases, err := casesOf(name, 1)
		if err != nil {
			b.Fatal(err)
		}
		p := *cases[0].programs[0]
		p.Candidates = slices.Clone(p.Candidates)
		for i := range p.Candidates {
			p.Candidates[i].FastGrown = i%3 == 1
		}
		for _, objectives := range [][]optimize.Objective{{optimize.Mass, optimize.EI, optimize.Share}, {optimize.Mass, optimize.Share}} {
			b.Run(fmt.Sprint(name, "/", objectives), func(b *testing.B) {
				var r *optimize.FrontResult
				for b.Loop() {
					if r, err = optimize.Front(context.Background(), &p, optimize.Options{Method: optimize.Enumeration, Objectives: objectives}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(float64(len(r.Points)), "points")
			})
		}
	}
}

// TestTiny runs the command on the smallest cores, by both methods, by brute force and by GLPK's plain loop: all fronts are equal.
func TestTiny(t *testing.T) {
	o, err := parse([]string{"-cases", "T", "-seeds", "4", "-runs", "1", "-peers", "glpk", "-chart", filepath.Join(t.TempDir(), "chart.svg")})
	if err != nil {
		t.Fatal(err)
	}
	var table, progress strings.Builder
	if err := measure(o, &table, &progress); err != nil {
		t.Errorf("%v\n%s", err, progress.String())
	}
	if n := strings.Count(table.String(), "| T |"); n != 4 {
		t.Errorf("%d rows, want 4:\n%s", n, table.String())
	}
	if n := strings.Count(progress.String(), "brute force"); n != 4 {
		t.Errorf("brute force was not tried on every core:\n%s", progress.String())
	}
}

// TestDiffer: what is not equal is seen.
func TestDiffer(t *testing.T) {
	front := run{complete: true, points: [][]int64{{10, -5, 0}, {12, -6, 0}, {13, -9, 0}}}
	for _, tt := range []struct {
		name string
		r    run
		same bool
	}{
		{"the same", front, true},
		{"one lost", run{complete: true, points: front.points[:2]}, false},
		{"another point", run{complete: true, points: [][]int64{{10, -5, 0}, {11, -6, 0}, {13, -9, 0}}}, false},
		{"stopped", run{points: front.points[:2]}, true},
		{"stopped at a point not known to be the best", run{points: [][]int64{{10, -5, 0}, {12, -5, 0}}}, true},
		{"stopped with a wrong point", run{points: [][]int64{{10, -4, 0}, {12, -6, 0}}}, false},
		{"a search stopped with a wrong last point", run{method: optimize.IntegerProgram, points: [][]int64{{10, -5, 0}, {12, -5, 0}}}, false},
	} {
		if got := differ(tt.r, front); (got == "") != tt.same {
			t.Errorf("%s: %q", tt.name, got)
		}
	}
}

// TestSeasonTable runs the table of seasons on the smallest, with CBC where it is installed: no answer contradicts another.
func TestSeasonTable(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	o, err := parse([]string{"-cases", "F40", "-seeds", "1", "-peers", "cbc", "-cap", "20"})
	if err != nil {
		t.Fatal(err)
	}
	var table, progress strings.Builder
	faults, err := measureSeasons(o, []string{"F2", "J1"}, &table, &progress)
	if err != nil || len(faults) > 0 {
		t.Errorf("%v %v\n%s", err, faults, progress.String())
	}
	for _, want := range []string{"| F2 | 1 |", "| J1 | 1 |", "| 0.000 |"} {
		if !strings.Contains(table.String(), want) {
			t.Errorf("no %q in\n%s", want, table.String())
		}
	}
}
