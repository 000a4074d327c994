package season_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

var seasons = flag.Int("seasons", 20, "how many small seasons to hold against CBC and brute force")

// sample is how many seeds a test tries that takes so many times as many as the flag says: half of them in a short run.
func sample(times int) uint64 {
	if testing.Short() {
		return uint64(times**seasons+1) / 2
	}
	return uint64(times * *seasons)
}

func needsGLPK(t *testing.T) {
	t.Helper()
	if !mip.HasGLPK() {
		t.Skip("this build has no GLPK")
	}
}

// needsSolver skips a test of the search itself in a build without any solver.
func needsSolver(t *testing.T) {
	t.Helper()
	if !mip.HasGLPK() && !mip.HasHiGHS() {
		t.Skip("this build has no solver")
	}
}

// externalSolver is the path of a solver, or skips the test.
func externalSolver(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") != "" {
			t.Fatalf("%s is missing", name)
		}
		t.Skipf("%s is missing", name)
	}
	return path
}

// byCBC solves a model with CBC at a gap of 0. x is nil when it is infeasible. CBC 2.10 as packaged is not always right: with its preprocessing
// it calls 80.638 optimal for a kept season (seed 56) that a plan verified in whole numbers does for 79.326, and without it one of some hundred runs ends
// in an assertion. So an answer above what is expected, or none, is asked for once more without preprocessing; one below never.
func byCBC(t *testing.T, m *mip.Model, expected float64) (x []float64, objective float64) {
	t.Helper()
	for _, how := range [][]string{nil, {"preprocess", "off"}, {"preprocess", "off", "cuts", "off"}} {
		var err error
		if x, objective, err = cbcOnce(t, m, how...); err == nil && objective <= expected+1e-4 {
			return x, objective
		}
		t.Logf("CBC %v: %.6f, expected %.6f %v", how, objective, expected, err)
	}
	return x, objective
}

// patience is how long a solver may take over a small season: a second or so, on a machine under load far longer.
const patience = 5 * time.Minute

func cbcOnce(t *testing.T, m *mip.Model, how ...string) (x []float64, objective float64, err error) {
	t.Helper()
	cbc := externalSolver(t, "cbc")
	var text bytes.Buffer
	if err := mip.WriteMPS(&text, m); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file, solution := filepath.Join(dir, "p.mps"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	args := append(append([]string{file, "ratioGap", "0", "allowableGap", "0"}, how...), "solve", "solution", solution)
	if out, err := exec.CommandContext(ctx, cbc, args...).CombinedOutput(); err != nil {
		return nil, math.Inf(1), fmt.Errorf("%w\n%s", err, out)
	}
	answer, err := os.ReadFile(solution)
	if err != nil {
		t.Fatal(err)
	}
	first, rest, _ := strings.Cut(string(answer), "\n")
	switch {
	case strings.Contains(first, "nfeasible"):
		return nil, math.Inf(1), nil
	case !strings.HasPrefix(first, "Optimal"):
		return nil, math.Inf(1), errors.New(first)
	}
	x = make([]float64, len(m.Columns))
	for line := range strings.Lines(rest) {
		f := strings.Fields(strings.TrimPrefix(strings.TrimSpace(line), "**"))
		if len(f) < 3 {
			continue
		}
		i, err := strconv.Atoi(f[0])
		if err != nil || i >= len(x) {
			continue
		}
		if x[i], err = strconv.ParseFloat(f[2], 64); err != nil {
			t.Fatal(err)
		}
	}
	objective = m.Constant
	for i, c := range m.Columns {
		objective += c.Objective * x[i]
	}
	return x, objective, nil
}

// byGlpsol is the least objective by GLPK's own program, which reads the file again.
func byGlpsol(t *testing.T, m *mip.Model) (objective float64) {
	t.Helper()
	glpsol := externalSolver(t, "glpsol")
	var text bytes.Buffer
	if err := mip.WriteLP(&text, m); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file, solution := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if out, err := exec.CommandContext(ctx, glpsol, "--lp", file, "--mir", "--write", solution).CombinedOutput(); err != nil {
		t.Fatalf("glpsol: %v\n%s", err, out)
	}
	answer, err := os.ReadFile(solution)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(answer)) {
		// s mip ROWS COLUMNS STATUS OBJECTIVE
		if f := strings.Fields(line); len(f) == 6 && f[0] == "s" && f[1] == "mip" {
			if f[4] != "o" {
				return math.Inf(1)
			}
			if objective, err = strconv.ParseFloat(f[5], 64); err != nil {
				t.Fatal(err)
			}
			return objective
		}
	}
	t.Fatalf("glpsol: no verdict in %q", answer)
	return 0
}

// byGLPK solves a model in process.
func byGLPK(t *testing.T, m *mip.Model) (x []float64, objective float64) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	r, err := mip.Solve(ctx, m, mip.Options{Presolve: true, MIRCuts: true, GomoryCuts: true})
	if err != nil {
		t.Fatal(err)
	}
	switch r.Status {
	case mip.Optimal:
		return r.X, r.Objective
	case mip.Infeasible:
		return nil, math.Inf(1)
	}
	t.Fatalf("GLPK ended with status %d", r.Status)
	return nil, 0
}

var modes = []season.Mode{season.Joint, season.Keep, season.First}

// program is a season's program; nil where it is known without it that there is no plan.
func program(t *testing.T, s *season.Season, mode season.Mode, tight bool) *season.Program {
	t.Helper()
	d, err := season.NewProgram(context.Background(), s, mode, tight)
	if noPlan(err) {
		return nil
	}
	if err != nil {
		t.Fatalf("%s: %v", mode, err)
	}
	return d
}

// noPlan reports whether an error says that a season has no plan.
func noPlan(err error) bool {
	var short *season.Shortage
	var none *season.NoLayoutError
	var hole *optimize.InfeasibleError
	return errors.As(err, &short) || errors.As(err, &none) || errors.As(err, &hole) || errors.Is(err, season.ErrInfeasible)
}

// TestSeasonByCBC: of small seasons the search finds the cost of CBC's answer to the exported program. That answer is a plan that keeps everything in
// whole numbers, and costs what the program says. GLPK finds the same cost, and so does glpsol of every eighth, from another file format.
func TestSeasonByCBC(t *testing.T) {
	needsGLPK(t)
	feasible, infeasible := 0, 0
	for seed := range sample(1) {
		s := invented.SmallSeason(seed)
		for _, how := range modes {
			d := program(t, s, how, false)
			if d == nil {
				infeasible++
				continue
			}
			what := fmt.Sprintf("seed %d, %s", seed, how)
			_, other := byGLPK(t, d.Model)
			x, cost := byCBC(t, d.Model, other)
			if seed%8 == 0 {
				if third := byGlpsol(t, d.Model); third != cost && !(math.Abs(third-cost) < 1e-4) {
					t.Errorf("%s: CBC says %.6f, glpsol %.6f", what, cost, third)
				}
			}
			ours, err := season.Solve(context.Background(), s, season.Options{Mode: how})
			switch {
			case x == nil:
				if short := (*season.Shortage)(nil); !errors.As(err, &short) {
					t.Errorf("%s: infeasible to CBC; the search says %v, %v", what, ours, err)
				}
			case err != nil:
				t.Errorf("%s: CBC says %.6f, the search %v", what, cost, err)
			case !ours.Proven || math.Abs(ours.Exact.InexactFloat64()-cost) > 1e-4:
				t.Errorf("%s: CBC says %.6f, the search %s, proven %v", what, cost, ours.Exact, ours.Proven)
			case ours.Verify() != nil:
				t.Errorf("%s: %v", what, ours.Verify())
			}
			if x == nil {
				infeasible++
				if !math.IsInf(other, 1) {
					t.Errorf("%s: infeasible to CBC, %.6f to GLPK", what, other)
				}
				continue
			}
			feasible++
			if !(math.Abs(cost-other) < 1e-4) {
				t.Errorf("%s: CBC says %.6f, GLPK %.6f", what, cost, other)
			}
			p, err := d.Plan(x)
			if err != nil {
				t.Errorf("%s: %v", what, err)
				continue
			}
			if math.Abs(p.Exact.InexactFloat64()-cost) > 1e-5 {
				t.Errorf("%s: CBC says %.6f, the plan costs %s", what, cost, p.Exact)
			}
			if err := p.Verify(); err != nil {
				t.Errorf("%s: %v", what, err)
			}
		}
	}
	t.Logf("%d with a plan, %d without", feasible, infeasible)
	if feasible < int(sample(1))/2 || infeasible < int(sample(1))/20 {
		t.Errorf("%d with a plan, %d without: the sample is one-sided", feasible, infeasible)
	}
}
