package main

import (
	"context"
	"fmt"
	"math"
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

// TestSeasonTable runs the table of seasons on the smallest, with CBC where it is installed: no answer contradicts another, and what CBC found
// can be read again.
func TestSeasonTable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "peers.tsv")
	args := []string{"-cases", "F40", "-seeds", "1", "-peers", "cbc", "-times", "10,20", "-peers-to", file, "-one-run"}
	var tables [2]string
	for i := range tables {
		o, err := parse(args)
		if err != nil {
			t.Fatal(err)
		}
		var table, progress strings.Builder
		faults, err := measureSeasons(o, []string{"F2", "J1"}, &table, &progress)
		if err != nil || len(faults) > 0 {
			t.Errorf("%v %v\n%s", err, faults, progress.String())
		}
		for _, want := range []string{"| F2 | 2 |", "| J1 | 1 |", "| 0.000 |", "At 20 s: 0 of "} {
			if !strings.Contains(table.String(), want) {
				t.Errorf("no %q in\n%s", want, table.String())
			}
		}
		if strings.Contains(progress.String(), "cbc is not installed") {
			t.Skip("no CBC here")
		}
		if ran := strings.Contains(progress.String(), "cbc: optimal"); ran != (i == 0) {
			t.Errorf("run %d: CBC ran is %v\n%s", i+1, ran, progress.String())
		}
		args = append(args, "-peers-from", file)
	}
}

// TestTimeline: what is known at a time, and that a file gives back what was written.
func TestTimeline(t *testing.T) {
	nan := math.NaN()
	x := timeline{rows: 7, cols: 9, status: "stopped"}
	x.add(moment{1, nan, 50})
	x.add(moment{3, 90, nan})
	x.add(moment{20.1, nan, 60})
	proven := timeline{moments: []moment{{2, 80, 80}}, status: "optimal"}
	for _, tt := range []struct {
		name    string
		t       timeline
		seconds float64
		want    string // cost and bound; empty: not known
	}{
		{"before anything", x, 0.5, "NaN NaN"},
		{"a bound only", x, 2, "NaN 50"},
		{"a plan, and the bound as before", x, 10, "90 50"},
		{"a little late", x, 20, "90 60"},
		{"after it was stopped", x, 60, ""},
		{"after a proof", proven, 60, "80 80"},
		{"did not run", timeline{}, 10, ""},
	} {
		got := ""
		if m, ok := tt.t.at(tt.seconds); ok {
			got = fmt.Sprint(m.cost, " ", m.bound)
		}
		if got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	var file strings.Builder
	want := map[solved]timeline{{"A", "cbc"}: x, {"A", "highs"}: proven, {"B", "cbc"}: proven}
	for _, of := range []solved{{"A", "cbc"}, {"A", "highs"}, {"B", "cbc"}, {"A", "cbc"}} { // one is run again
		if err := writeTimeline(&file, of, want[of]); err != nil {
			t.Fatal(err)
		}
	}
	got, err := readTimelines(strings.NewReader(file.String()))
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%v, want %v; %v\n%s", got, want, err, file.String())
	}
	if _, err := readTimelines(strings.NewReader("A\t7\t9\tcbc\tsoon\t\t\t\n")); err == nil || !strings.Contains(err.Error(), "line 1") {
		t.Errorf("a bad time: %v", err)
	}
}

// TestSolverLogs: what HiGHS's script and CBC write is read; invented logs in their form.
func TestSolverLogs(t *testing.T) {
	const highs = `{"t":1.5,"cost":null,"bound":40}
{"t":2,"cost":120.5,"bound":41}
{"t":10.2,"cost":120.5,"bound":44,"mark":10}
{"t":12,"cost":100,"bound":100,"status":"optimal"}
`
	const cbc = `Cbc0038I Solution found of 130
Cbc0012I Integer solution of 120.5 found by rounding after 9 iterations and 0 nodes (0.70 seconds)
Cbc0010I After 0 nodes, 1 on tree, 1e+50 best solution, best possible 41.5 (0.82 seconds)
Cbc0004I Integer solution of 110 found after 12 iterations and 3 nodes (1.06 seconds)
Result - Stopped on time limit
Objective value:                110.00000000
Lower bound:                    44.000
Time (CPU seconds):             20.02
`
	type read func(string) (timeline, error)
	readHiGHS := func(s string) (timeline, error) { return parseHiGHS(strings.NewReader(s)) }
	for _, tt := range []struct {
		name string
		read read
		log  string
		want string
	}{
		{"HiGHS", readHiGHS, highs, "{[{1.5 NaN 40} {2 120.5 41} {10.2 120.5 44} {12 100 100}] optimal 0 0}"},
		{"CBC", parseCBC, cbc, "{[{0.7 120.5 NaN} {0.82 120.5 41.5} {1.06 110 41.5} {20.02 110 44}] stopped 0 0}"},
		{"CBC without a plan", parseCBC, "Result - Problem proven infeasible\nTime (CPU seconds): 0.5\n", "{[{0.5 NaN NaN}] infeasible 0 0}"},
		{"CBC with a proof", parseCBC, "Result - Optimal solution found\nObjective value: 7\nTime (CPU seconds): 0.5\n", "{[{0.5 7 7}] optimal 0 0}"},
	} {
		got, err := tt.read(tt.log)
		if err != nil || fmt.Sprint(got) != tt.want {
			t.Errorf("%s: %v %v, want %s", tt.name, got, err, tt.want)
		}
	}
	if _, err := parseCBC("Killed\n"); err == nil {
		t.Error("CBC's log without an end is taken")
	}
	if _, err := readHiGHS("{}\n"); err == nil {
		t.Error("HiGHS's lines without an end are taken")
	}
}

// TestSummary: plans above, alone and missing.
func TestSummary(t *testing.T) {
	o := options{times: []float64{10}}
	none := math.NaN()
	row := func(name string, ours float64, theirs ...float64) seasonRow {
		r := seasonRow{name: name, ours: []moment{{10, ours, 90}}}
		for _, c := range theirs {
			r.solvers = append(r.solvers, timeline{moments: []moment{{10, c, 90}}, status: "stopped"})
		}
		return r
	}
	level := []seasonRow{row("A", 100, none, 100), row("B", 100, none, none), row("C", 99, 100, 101), row("D", 100.009, 100, 120)}
	above := append(level[:4:4], row("E", 101, 102, 100), row("F", 100.02, 100, none))
	missing := append(above[:6:6], row("G", none, none, 100))
	for _, tt := range []struct {
		rows []seasonRow
		want string
	}{
		{level, "At 10 s: 0 of 3 above the cheapest other plan by more than 0.01 %."},
		{above, "At 10 s: 2 of 5 above the cheapest other plan by more than 0.01 %, at most by 1.000 % (E)."},
		{missing, "At 10 s: 3 of 6 above the cheapest other plan by more than 0.01 %; no plan for G."},
	} {
		if got := summary(tt.rows, o, 0, 10); got != tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
	faulty := row("H", 100, 80, 130)
	faulty.solvers[1].moments[0].bound = 110
	// our bound of 90 against a plan for 80; a bound of 110 against our plan
	if f := faulty.faults(); len(f) != 2 {
		t.Errorf("faults: %q", f)
	}
}

// TestParse: flags of seasons.
func TestParse(t *testing.T) {
	o, err := parse([]string{"-cases", "demo,tuned,B03", "-times", "5,60"})
	if err != nil || len(o.cases) != 0 || len(o.seasons) < 14 || o.longest() != 60 {
		t.Errorf("%v %v", o, err)
	}
	for _, args := range [][]string{{"-times", "60,10"}, {"-times", "0"}, {"-times", "soon"}, {"-cases", "Z9"}} {
		if _, err := parse(args); err == nil {
			t.Errorf("%v is taken", args)
		}
	}
}
