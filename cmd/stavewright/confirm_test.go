package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

var all = flag.Bool("all-points", false, "confirm every point of every front of the demo by CBC (minutes to an hour)")

const demo = "../../testdata/demo/job.xlsx"

// demoProgram is the program of a model of the demo, as the commands state it.
func demoProgram(t testing.TB, model string) *optimize.Program {
	t.Helper()
	a := &app{stdout: io.Discard, stderr: io.Discard, model: model}
	_, p, err := a.program(demo)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// need finds a program that tests hold results against. Where it must be there (sh cmd/test.sh), its lack fails the test.
func need(t testing.TB, program string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") != "" {
			t.Fatal(err)
		}
		t.Skip(err)
	}
	return path
}

// cbcLeast is the least mass that CBC finds for the exported program; +Inf when it says infeasible.
func cbcLeast(t *testing.T, p *optimize.Program, minEI float64) float64 {
	t.Helper()
	m, notes, err := optimize.Model(p, minEI)
	if err != nil {
		t.Fatal(err)
	}
	if len(notes) > 0 {
		t.Log(notes)
	}
	var buf bytes.Buffer
	if err := mip.WriteMPS(&buf, m); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file, solution := filepath.Join(dir, "p.mps"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(file, buf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(need(t, "cbc"), file, "ratioGap", "0", "allowableGap", "0", "solve", "solution", solution).CombinedOutput()
	if err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	text, err := os.ReadFile(solution)
	if err != nil {
		t.Fatalf("cbc wrote no solution: %v\n%s", err, out)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	if strings.HasPrefix(first, "Infeasible") || strings.HasPrefix(first, "Integer infeasible") {
		return math.Inf(1)
	}
	var mass float64
	if _, err := fmt.Sscanf(first, "Optimal - objective value %f", &mass); err != nil {
		t.Fatalf("cbc: %q", first)
	}
	return mass
}

// TestFrontByCBC holds the demo's fronts against another solver: at a point's EI the least mass is the point's, and one step
// above it the next point's. A sample of points unless -all-points is given.
func TestFrontByCBC(t *testing.T) {
	models := []string{"Allround 157"}
	if *all {
		models = demoModels(t)
	}
	for _, model := range models {
		t.Run(model, func(t *testing.T) {
			p := demoProgram(t, model)
			r, err := optimize.Front(context.Background(), p, optimize.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if !r.Complete || len(r.Points) < 10 {
				t.Fatalf("complete %v, %d points", r.Complete, len(r.Points))
			}
			step := max(1, len(r.Points)/4)
			if *all {
				step = 1
			}
			for i := 0; i < len(r.Points); i += step {
				confirm(t, p, r.Points, i)
			}
			confirm(t, p, r.Points, len(r.Points)-1)
		})
	}
}

func confirm(t *testing.T, p *optimize.Program, points []optimize.Point, i int) {
	t.Helper()
	next := math.Inf(1)
	if i+1 < len(points) {
		next = points[i+1].CoreMassG
	}
	for _, want := range []struct{ ei, mass float64 }{{points[i].EINM2, points[i].CoreMassG}, {points[i].EINM2 + 0.01, next}} {
		got := cbcLeast(t, p, want.ei)
		// The export weighs by thousandths of a gram, the front tells hundredths apart.
		if math.Round(got*100) != math.Round(want.mass*100) && !(math.IsInf(got, 1) && math.IsInf(want.mass, 1)) {
			t.Errorf("point %d: CBC's least mass with EI at least %.2f is %v g, the front's %v g", points[i].ID, want.ei, got, want.mass)
		}
	}
}

// demoModels are the names of the demo's models.
func demoModels(t testing.TB) []string {
	t.Helper()
	a := &app{stdout: io.Discard, stderr: io.Discard}
	job, err := a.readBook(demo)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, m := range job.Models {
		names = append(names, m.Name)
	}
	return names
}
