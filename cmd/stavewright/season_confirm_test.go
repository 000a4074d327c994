package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// needSeasons skips a test that searches a season where nothing can.
func needSeasons(t testing.TB) {
	t.Helper()
	if !mip.HasHiGHS() && !mip.HasGLPK() {
		t.Skip("a season needs HiGHS or GLPK")
	}
}

// demoSeason is the demo's season, of its first models only where n is above 0.
func demoSeason(t testing.TB, n int) *season.Season {
	t.Helper()
	a := &app{stdout: io.Discard, stderr: io.Discard}
	_, s, err := a.season(demo)
	if err != nil {
		t.Fatal(err)
	}
	if n > 0 {
		s.Models = s.Models[:n]
	}
	return s
}

// cbcCheapest is the least cost that CBC finds for a season's direct program.
func cbcCheapest(t *testing.T, s *season.Season, mode season.Mode) float64 {
	t.Helper()
	m, notes, err := season.Direct(context.Background(), s, mode)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(notes)
	var buf bytes.Buffer
	if err := mip.WriteMPS(&buf, m); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file, solution := filepath.Join(dir, "s.mps"), filepath.Join(dir, "s.sol")
	if err := os.WriteFile(file, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(need(t, "cbc"), file, "ratioGap", "0", "allowableGap", "0", "solve", "solution", solution).CombinedOutput()
	if err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	text, err := os.ReadFile(solution)
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	var cost float64
	if _, err := fmt.Sscanf(first, "Optimal - objective value %f", &cost); err != nil {
		t.Fatalf("cbc says %q", first)
	}
	return cost
}

// TestSeasonByCBC: the demo's orders cost what CBC finds for the exported program: with layouts kept for all models, together for one. With -all-points
// together for all of them, which takes CBC minutes.
func TestSeasonByCBC(t *testing.T) {
	needSeasons(t)
	need(t, "cbc")
	for _, tt := range []struct {
		mode   season.Mode
		models int // 0: all
		long   bool
	}{{season.Keep, 0, false}, {season.First, 0, false}, {season.Joint, 1, false}, {season.Joint, 0, true}} {
		t.Run(fmt.Sprintf("%s %d", tt.mode, tt.models), func(t *testing.T) {
			if tt.long && !*all {
				t.Skip("-all-points")
			}
			s := demoSeason(t, tt.models)
			p, err := season.Solve(context.Background(), s, season.Options{Mode: tt.mode})
			if err != nil || !p.Proven {
				t.Fatalf("%+v, %v", p, err)
			}
			if cbc := cbcCheapest(t, s, tt.mode); math.Abs(cbc-p.Exact.InexactFloat64()) > 0.005 {
				t.Errorf("%s costs %s, and CBC finds %.4f", tt.mode, p.Exact, cbc)
			}
		})
	}
}

// TestSeasonTogetherIsNoDearer: deciding together never costs more than layouts first or layouts kept, however far it is proven, and on the demo less.
func TestSeasonTogetherIsNoDearer(t *testing.T) {
	needSeasons(t)
	for _, gap := range []float64{0, 5} {
		r, err := season.Ask(context.Background(), demoSeason(t, 1), season.Questions{Compare: true, GapPct: gap})
		if err != nil {
			t.Fatal(err)
		}
		if r.First.Plan == nil || r.Kept.Plan == nil || !r.Plan.Done {
			t.Fatalf("%+v", r)
		}
		if r.Plan.Exact.GreaterThan(r.First.Plan.Exact) || r.Plan.Exact.GreaterThan(r.Kept.Plan.Exact) || gap == 0 && !r.Plan.Exact.LessThan(r.First.Plan.Exact) {
			t.Errorf("gap %v: together %s, layouts first %s, layouts kept %s", gap, r.Plan.Exact, r.First.Plan.Exact, r.Kept.Plan.Exact)
		}
	}
}

// TestSeasonEngine: a build without HiGHS says that it is slower, one without both that it cannot, and what to do.
func TestSeasonEngine(t *testing.T) {
	for _, tt := range []struct {
		highs, glpk bool
		said        string
		status      int
	}{{true, true, "", statusDone}, {true, false, "", statusDone}, {false, true, "built without HiGHS: the season is searched with GLPK", statusDone}, {false, false, "sh cmd/setup.sh", statusUsage}} {
		var stderr strings.Builder
		err := (&app{stderr: &stderr}).seasonEngine(tt.highs, tt.glpk)
		said := stderr.String()
		if err != nil {
			said = err.Error()
		}
		if exitStatus(err) != tt.status || !strings.Contains(said, tt.said) || tt.said == "" && said != "" {
			t.Errorf("HiGHS %v, GLPK %v: status %d, %q", tt.highs, tt.glpk, exitStatus(err), said)
		}
	}
}

// TestSeasonProgress: progress names its phase, and what is known in it.
func TestSeasonProgress(t *testing.T) {
	d := decimal.RequireFromString
	for _, tt := range []struct {
		at   season.Progress
		want string
	}{
		{season.Progress{Phase: "layouts first"}, "layouts first: looking for a plan"},
		{season.Progress{Phase: "step 40 %", HasCost: true, Cost: d("120")}, "step 40 %: plan 120.00"},
		{season.Progress{Phase: "what-if 3 of 5: without Nord", HasCost: true, Cost: d("120"), Bound: d("119.4")}, "what-if 3 of 5: without Nord: plan 120.00, bound 119.40, gap 0.500 %"},
	} {
		p := &progress{}
		if p.showSeason(tt.at); p.words != tt.want {
			t.Errorf("%q, want %q", p.words, tt.want)
		}
	}
}
