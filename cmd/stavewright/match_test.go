package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"stavewright/cmd/internal/book"
	"stavewright/optimize"
	"stavewright/optimize/core"
)

// demoMatch is the match of a model of the demo, as the command asks for it.
func demoMatch(t *testing.T, model string) *optimize.MatchResult {
	t.Helper()
	a := &app{stdout: io.Discard, stderr: io.Discard, model: model}
	job, p, err := a.program(demo)
	if err != nil {
		t.Fatal(err)
	}
	m, err := job.Model(model)
	if err != nil {
		t.Fatal(err)
	}
	o := job.MatchOptions(m)
	o.NoSwaps = true
	r, err := optimize.Match(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestMatchDemo holds the match of the demo's all-round board against an evaluation of its sections that shares no code with
// the program's: EI by thin slices about the axis that force balance gives.
func TestMatchDemo(t *testing.T) {
	r := demoMatch(t, "Allround 157")
	if !r.Proven || r.Best == nil || r.Trimmed == nil || len(r.ByFactor) != 16 {
		t.Fatalf("proven %v, best %v, %d factors", r.Proven, r.Best, len(r.ByFactor))
	}
	if r.Best.CoreMassG >= r.Reference.CoreMassG {
		t.Errorf("%v g is no lighter than the reference's %v g", r.Best.CoreMassG, r.Reference.CoreMassG)
	}
	ref, best := r.Program.Board, r.Program.Board.Scaled(r.Best.ProfileFactor)
	trimmed := r.Board.Program.Board
	targets := 0
	for i, s := range ref.Stations {
		want := sliced(ref, r.Program.Reference, s.FromTipMM)
		if d := math.Abs(sliced(trimmed, r.Best.Layout, s.FromTipMM)-want) / want; d > 0.002 {
			t.Errorf("at %v mm the trimmed board's EI is %.2f %% off the reference's", s.FromTipMM, 100*d)
		}
		if got := r.Board.Stations[i].TrimmedMM; trimmed.Stations[i].ThicknessMM != got {
			t.Errorf("at %v mm the board is %v mm thick, the profile to mill %v", s.FromTipMM, trimmed.Stations[i].ThicknessMM, got)
		}
		for _, w := range r.Windows {
			if w.FromTipMM == s.FromTipMM {
				targets++
				if d := math.Abs(sliced(best, r.Best.Layout, s.FromTipMM)-want) / want; d > 0.02+1e-5 {
					t.Errorf("at %v mm the best layout's EI is %.3f %% off the reference's", s.FromTipMM, 100*d)
				}
			}
		}
	}
	if targets != 5 || targets != len(r.Windows) {
		t.Errorf("%d of %d targets are stations, want 5", targets, len(r.Windows))
	}
}

// sliced is the pressed EI at x, N·m², by slices of a hundredth of a millimetre.
func sliced(b *core.Board, l core.Layout, x float64) float64 {
	type slab struct{ e, width, low, high float64 } // GPa, mm
	half, t := b.HalfWidthMM(x), b.ThicknessMM(x)
	var slabs []slab
	for i, s := range b.Strips() {
		width := max(0, min(half, s.ToMM)-s.FromMM) * 2 // astride the centre line too: half of it is on either side
		slabs = append(slabs, slab{b.Woods[l[i]].ModulusGPa.Value, width, -t / 2, t / 2})
	}
	here := func(l core.Layer) bool {
		return l.FromMM == 0 && l.ToMM == 0 || l.FromMM <= x && x <= l.ToMM
	}
	full := 2 * half
	for _, l := range b.Layers {
		if l.Place == core.Beside && here(l) {
			full += 2 * l.WidthMM
			slabs = append(slabs, slab{l.ModulusGPa, 2 * l.WidthMM, -t / 2, t / 2})
		}
	}
	for _, side := range []core.Place{core.Above, core.Below} {
		at := t / 2
		for order := 1; order <= 3; order++ {
			var next float64
			for _, l := range b.Layers {
				if l.Place != side || l.Order != order || !here(l) {
					continue
				}
				width := l.WidthMM
				if width == 0 {
					width = full
				}
				low := at - l.LetInMM
				high := low + l.ThicknessMM
				next = max(next, l.ThicknessMM-l.LetInMM)
				if side == core.Below {
					low, high = -high, -low
				}
				slabs = append(slabs, slab{l.ModulusGPa, width, low, high})
			}
			at += next
		}
	}
	const dz = 0.01
	var a, s, d float64
	for _, k := range slabs {
		n := math.Ceil((k.high - k.low) / dz)
		h := (k.high - k.low) / n
		for i := 0.0; i < n; i++ {
			z := k.low + (i+0.5)*h
			f := k.e * k.width * h
			a, s, d = a+f, s+f*z, d+f*z*z
		}
	}
	return (d - s*s/a) * 1e-3 // GPa·mm⁴ to N·m²
}

// TestMatchByCBC: at every profile factor, another solver finds the same least mass inside the same windows, or none.
func TestMatchByCBC(t *testing.T) {
	r := demoMatch(t, "Allround 157")
	for _, f := range r.ByFactor {
		p := *r.Program
		p.Limits.Windows = append(append([]optimize.Window{}, p.Limits.Windows...), r.Windows...)
		got := cbcLeast(t, p.Scaled(f.Factor), math.Inf(-1))
		switch {
		case f.Best == nil && math.IsInf(got, 1):
		case f.Best == nil || math.Round(got*100) != math.Round(f.Best.CoreMassG*100):
			t.Errorf("profile factor %v: CBC's least mass is %v g, the match's answer %+v", f.Factor, got, f.Best)
		}
	}
}

// TestCheckOfMatch: every layout of a match's document, checked, is what the match says of it, on the profile that it was found for.
func TestCheckOfMatch(t *testing.T) {
	if testing.Short() {
		t.Skip("a match of the demo, in full runs")
	}
	out, _ := ran(t, statusDone, "match", demo, "--model", "Allround 157", "--json", "--quiet")
	path := filepath.Join(t.TempDir(), "match.json")
	if err := os.WriteFile(path, []byte(out), 0o600); err != nil {
		t.Fatal(err)
	}
	var match map[string]json.RawMessage
	if err := json.Unmarshal([]byte(out), &match); err != nil {
		t.Fatal(err)
	}
	thickness := map[string]bool{}
	for _, name := range book.NamedLayouts() {
		out, _ := ran(t, statusDone, "check", demo, "--model", "Allround 157", "--json", "--layout", path+"#"+name)
		type point struct {
			Mass     json.Number      `json:"core_mass_g"`
			EI       json.Number      `json:"ei_nm2"`
			Flex     json.Number      `json:"flex_n_per_mm"`
			Cost     string           `json:"cost"`
			Factor   json.Number      `json:"profile_factor"`
			Stations []map[string]any `json:"stations"`
		}
		var want point
		var got struct {
			Point point `json:"point"`
		}
		if err := errors.Join(json.Unmarshal(match[name], &want), json.Unmarshal([]byte(out), &got)); err != nil {
			t.Fatal(err)
		}
		if want.Mass == "" || !reflect.DeepEqual(got.Point, want) {
			t.Errorf("%s: checked %+v, in the match %+v", name, got.Point, want)
		}
		thickness[fmt.Sprint(want.Stations)] = true
	}
	if len(thickness) != 3 {
		t.Errorf("%d profiles, want three: nothing is shown", len(thickness))
	}
}
