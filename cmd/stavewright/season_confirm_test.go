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

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

// demoSeason is the demo's season, of its first models only where n is above 0.
func demoSeason(t testing.TB, n int) *optimize.Season {
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
func cbcCheapest(t *testing.T, s *optimize.Season, mode optimize.SeasonMode) float64 {
	t.Helper()
	m, notes, err := optimize.DirectSeason(context.Background(), s, mode)
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
	if !mip.Available {
		t.Skip("the season's orders need GLPK")
	}
	need(t, "cbc")
	for _, tt := range []struct {
		mode   optimize.SeasonMode
		models int // 0: all
		long   bool
	}{{optimize.SeasonKeep, 0, false}, {optimize.SeasonFirst, 0, false}, {optimize.SeasonJoint, 1, false}, {optimize.SeasonJoint, 0, true}} {
		t.Run(fmt.Sprintf("%s %d", tt.mode, tt.models), func(t *testing.T) {
			if tt.long && !*all {
				t.Skip("-all-points")
			}
			s := demoSeason(t, tt.models)
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			o := optimize.SeasonOptions{Mode: tt.mode}
			if tt.long { // the plan is there long before the proof is whole: enough is a gap of 0.02 %
				o.Progress = func(at optimize.SeasonProgress) {
					if at.HasCost && at.Cost.Sub(at.Bound).LessThan(at.Cost.Mul(decimal.New(2, -4))) {
						cancel()
					}
				}
			}
			p, err := optimize.SolveSeason(ctx, s, o)
			if err != nil || !p.Proven && !tt.long || p.GapPct() > 0.1 {
				t.Fatalf("%+v, %v", p, err)
			}
			if cbc := cbcCheapest(t, s, tt.mode); math.Abs(cbc-p.Exact.InexactFloat64()) > 0.005 {
				t.Errorf("%s costs %s, and CBC finds %.4f", tt.mode, p.Exact, cbc)
			}
		})
	}
}

// TestSeasonTogetherIsNoDearer: deciding together never costs more than layouts first or layouts kept, and on the demo less, however soon it is stopped.
func TestSeasonTogetherIsNoDearer(t *testing.T) {
	if !mip.Available {
		t.Skip("the season's orders need GLPK")
	}
	a := &app{stdout: io.Discard, stderr: io.Discard, quiet: true}
	r, err := a.plans(context.Background(), demoSeason(t, 1), false)
	if err != nil {
		t.Fatal(err)
	}
	if r.First == nil || r.Kept == nil || !r.Plan.Proven {
		t.Fatalf("%+v", r)
	}
	if r.Plan.Exact.GreaterThan(r.First.Exact) || r.Plan.Exact.GreaterThan(r.Kept.Exact) || !r.Plan.Exact.LessThan(r.First.Exact) {
		t.Errorf("together %s, layouts first %s, layouts kept %s", r.Plan.Exact, r.First.Exact, r.Kept.Exact)
	}
}
