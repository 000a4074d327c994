package report

import (
	"math"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

func TestFixed(t *testing.T) {
	for _, tt := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 2, "0.00"}, {math.Copysign(0, -1), 2, "0.00"}, {-0.004, 2, "0.00"}, {-0.006, 2, "-0.01"}, {-0.4, 0, "0"}, {1e21, 0, "1000000000000000000000"},
		{1e-7, 3, "0.000"}, {790.625, 2, "790.62"}, {math.NaN(), 2, "n/a"}, {math.Inf(-1), 2, "n/a"}, {12, -1, "12"},
	} {
		if got := Fixed(tt.v, tt.decimals); got != tt.want {
			t.Errorf("Fixed(%v, %d) = %q, want %q", tt.v, tt.decimals, got, tt.want)
		}
	}
}

func TestDecimals(t *testing.T) {
	for step, want := range map[float64]int{0.01: 2, 0.5: 1, 1: 0, 10: 0, 0.001: 3, 2.5e-7: 8, 1e-12: 9} {
		if got := decimals(step); got != want {
			t.Errorf("a step of %v needs %d decimals, want %d", step, got, want)
		}
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"a\nb\t c": "a b c", "\x1b[31mred": "[31mred", "a\u202eb": "a b", "  生命 ": "生命", "\x00": "", "\xff": "", "é": "é",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestProofWords(t *testing.T) {
	for _, tt := range []struct {
		name   string
		change func(*optimize.FrontResult)
		want   string
	}{
		{"complete", func(*optimize.FrontResult) {}, "Complete and proven (by 7 integer programs): all 6 best trade-offs of core mass and EI, told apart in steps of 0.01 g and 0.01 N·m²."},
		{"one point, one solve, coarse", func(r *optimize.FrontResult) {
			r.Points, r.Solves, r.Program.Resolution = r.Points[:1], 1, optimize.Resolution{MassG: 1, EINM2: 0.5}
		}, "Complete and proven (by 1 integer program): the only best trade-off of core mass and EI, told apart in steps of 1 g and 0.5 N·m²."},
		{"by enumeration", func(r *optimize.FrontResult) { r.Method, r.Solves = optimize.Enumeration, 0 }, "Complete and proven (by enumeration): all 6 best trade-offs of core mass and EI, told apart in steps of 0.01 g and 0.01 N·m²."},
		{"three objectives", func(r *optimize.FrontResult) { r.Objectives = append(r.Objectives, optimize.Cost) },
			"all 6 best trade-offs of core mass, EI and cost of a core, told apart in steps of 0.01 g, 0.01 N·m² and 0.01 EUR."},
		{"stopped", func(r *optimize.FrontResult) {
			r.Complete, r.Why, r.Unsearched = false, "time limit", "EI above 251.30 N·m² was not searched"
		}, "NOT COMPLETE (time limit, by 7 integer programs): 6 best trade-offs of core mass and EI found so far; EI above 251.30 N·m² was not searched."},
		{"unproven", func(r *optimize.FrontResult) {
			r.Complete, r.Why, r.Unproven, r.Points = false, "interrupted", true, r.Points[:1]
		}, "NOT PROVEN (interrupted, by 7 integer programs): the layout shown keeps the limits; whether it is among the best is open."},
		{"nothing found", func(r *optimize.FrontResult) { r.Complete, r.Points = false, nil }, "NOT COMPLETE (stopped early, by 7 integer programs): no layout found yet; there may be some."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := sampleFront(t)
			tt.change(r)
			if got := proofWords(r); !strings.HasSuffix(got, tt.want) {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
}

func TestFoldLeftOut(t *testing.T) {
	got := foldLeftOut([]optimize.LeftOut{
		{Wood: "balsa", Why: "no offer"}, {Wood: "beech", Position: "Inner", Why: "too heavy"}, {Wood: "birch", Why: "no offer"},
		{Wood: "beech", Position: "Edge", Why: "too heavy"}, {Wood: "beech", Position: "Edge", Why: "no offer"},
	})
	for i, want := range []string{"balsa, birch and beech at Edge: no offer", "beech at Inner and Edge: too heavy"} {
		if i >= len(got) || list(got[i].woods, "and")+": "+got[i].why != want {
			t.Errorf("got %v, want %q in place %d", got, want, i)
		}
	}
	if len(got) != 2 {
		t.Errorf("%d groups, want 2", len(got))
	}
}

// EI between stations is that of the section interpolated there: at 690 mm, half way between stations, 253 mm wide and
// 7.1 mm thick.
func TestBetweenStations(t *testing.T) {
	p := sampleProgram(t)
	p.Board.Section, p.Board.Layers = core.Bare, nil
	p.Limits.Windows = []optimize.Window{{FromTipMM: 780, Low: optimize.Limit{Set: true, Value: 1}},
		{FromTipMM: 690, Low: optimize.Limit{Set: true, Value: 50}, High: optimize.Limit{Set: true, Value: 95.5}}}
	// Half width 126.5: poplar to 85 mm, beech to 126.5 mm. C = 2·10³ (9.7·85 + 15.7·41.5) = 2 952 100 N/mm, EI = C 7.1³/12 10⁻⁶.
	want := []string{"At 690 mm, between stations: core EI 88.05 N·m², window 50 to 95.5."}
	if got := betweenStations(p, samplePoint(t, p, p.Reference)); !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestAgainstReference(t *testing.T) {
	r := sampleFront(t)
	// 1057.24 and 265.52 are the reference's; point 4 has 1050.79 and 266.37
	if got, want := againstReference(r), "The reference has 1057.24 g and 265.52 N·m²; point 4 is 6.45 g lighter and 0.85 N·m² stiffer."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	r.Program.Reference = r.Points[1].Layout
	if got, want := againstReference(r), "The reference has 825.14 g and 232.88 N·m²: as point 2."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	r.Points = r.Points[:1]
	if got := againstReference(r); !strings.Contains(got, "no point is as light and as stiff") {
		t.Errorf("got %q", got)
	}
	r.Program.Reference = nil
	if got := againstReference(r); got != "" {
		t.Errorf("without a reference: %q", got)
	}
}

func TestReading(t *testing.T) {
	r := sampleFront(t)
	marked, _ := woodMarks(r.Program, r.Program.Board, layoutsOf(r.Points, r.Program.Reference))
	read := newReading(marked)
	for _, tt := range []struct{ got, want string }{
		{strings.Join(read.strips(r.Points[4].Runs), "|"), "BLL|LLLL|BBB|LBB"},
		{strings.Join(read.counts(r.Points[4].Runs), "|"), "1B+2L|4L|3B|1L+2B"},
		{join(read.counts(r.Points[4].Runs), 8), "1B+2L|\n4L|3B|\n1L+2B"},
	} {
		if tt.got != tt.want {
			t.Errorf("got %q, want %q", tt.got, tt.want)
		}
	}
}
