package main

import (
	"context"
	"io"
	"math"
	"slices"
	"testing"

	"stavewright/optimize"
)

// demoMixes is the search for mixes of a model of the demo, as the command asks for it.
func demoMixes(t *testing.T, model string) *optimize.MixesResult {
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
	r, err := optimize.Mixes(context.Background(), p, optimize.MixesOptions{WithinPct: o.WithinPct, Stations: o.Stations, Factors: o.Factors})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Proven || len(r.Breaks) < 2 || r.Greatest == nil || len(r.Alternatives) != 3 {
		t.Fatalf("proven %v, %d steps, greatest %v, %d alternatives", r.Proven, len(r.Breaks), r.Greatest, len(r.Alternatives))
	}
	return r
}

// TestMixesDemo: on two models of the demo (every one with -all-points) the front without regard to the share is the plain front, the lightest step is the match's
// answer, and the figures of every step are those of a check of its layout.
func TestMixesDemo(t *testing.T) {
	models := []string{"Allround 157", "Power 158"}
	if *all {
		models = demoModels(t)
	}
	for _, model := range models {
		r := demoMixes(t, model)
		p := r.Program
		plain, err := optimize.Front(context.Background(), p, optimize.Options{})
		if err != nil {
			t.Fatal(err)
		}
		steps := func(pt optimize.Point) [2]int64 {
			return [2]int64{int64(math.Round(100 * pt.CoreMassG)), -int64(math.Round(100 * pt.EINM2))}
		}
		var flat [][2]int64
		for _, pt := range r.Front.Points {
			v := steps(pt)
			if !slices.ContainsFunc(r.Front.Points, func(o optimize.Point) bool {
				w := steps(o)
				return w != v && w[0] <= v[0] && w[1] <= v[1]
			}) && !slices.Contains(flat, v) {
				flat = append(flat, v)
			}
		}
		var want [][2]int64
		for _, pt := range plain.Points {
			want = append(want, steps(pt))
		}
		if !slices.Equal(flat, want) {
			t.Errorf("%s: with the share left out the front is %v, the plain one %v", model, flat, want)
		}
		if match := demoMatch(t, model); match.Best.CoreMassG != r.Breaks[0].Point.CoreMassG {
			t.Errorf("%s: the lightest step weighs %v g, the match %v g", model, r.Breaks[0].Point.CoreMassG, match.Best.CoreMassG)
		}
		for i := range r.Breaks {
			pt := &r.Breaks[i].Point
			on := p.Scaled(pt.ProfileFactor)
			c, err := optimize.Check(on, pt.Layout)
			if err != nil || len(c.Broken) > 0 {
				t.Fatalf("%s, step %d: %v %+v", model, i+1, err, c)
			}
			x := on.Mix(pt)
			var volume, mass float64
			for _, w := range x.Woods {
				volume += w.VolumeCM3
				mass += w.MassG
				if got := c.Point.Figures.WoodVolumeCM3[w.Wood]; got != w.VolumeCM3 {
					t.Errorf("%s, step %d: %v cm³ of wood %d, by the check %v", model, i+1, w.VolumeCM3, w.Wood, got)
				}
			}
			if math.Abs(volume-c.Point.Figures.VolumeCM3) > 1e-6 || math.Abs(mass-c.Point.Figures.WoodMassG) > 1e-6 {
				t.Errorf("%s, step %d: %v cm³ and %v g, by the check %v and %v", model, i+1, volume, mass, c.Point.Figures.VolumeCM3, c.Point.Figures.WoodMassG)
			}
			if d := x.FastVolumePct - r.Breaks[i].SharePct; d < -1e-3 || d > 0.011 || math.Abs(x.FastVolumePct-c.Point.FastGrownPct) > 1e-9 {
				t.Errorf("%s, step %d: share %v, by its woods %v, by the check %v", model, i+1, r.Breaks[i].SharePct, x.FastVolumePct, c.Point.FastGrownPct)
			}
			// What is bought is more than what is in the core, and no more than some times as much.
			if !x.LumberKnown || x.LumberCM3 < x.VolumeCM3 || x.LumberCM3 > 20*x.VolumeCM3 {
				t.Errorf("%s, step %d: %v cm³ of lumber for %v cm³ of wood", model, i+1, x.LumberCM3, x.VolumeCM3)
			}
		}
	}
}

// TestMixesByCBC: another solver, on the exported program with a least share, finds the greatest share feasible and a hundredth more not,
// within the limits of the book as at equal flex, and the mass of every step.
func TestMixesByCBC(t *testing.T) {
	const model = "Allround 157"
	r := demoMixes(t, model)
	lean := func(p *optimize.Program, pct float64) *optimize.Program {
		q := *p
		q.Limits.MinFastPct = optimize.Limit{Set: true, Value: pct, Where: "Limits!F2"}
		return &q
	}
	anything := math.Inf(-1)
	greatest, err := optimize.LeastShare(r.Program, r.Greatest)
	if err != nil {
		t.Fatal(err)
	}
	if got := cbcLeast(t, lean(r.Program, greatest), anything); math.Round(100*got) != math.Round(100*r.Greatest.CoreMassG) {
		t.Errorf("CBC's least mass with %v %% is %v g, ours %v g", greatest, got, r.Greatest.CoreMassG)
	}
	if got := cbcLeast(t, lean(r.Program, greatest+0.01), anything); !math.IsInf(got, 1) {
		t.Errorf("CBC finds %v g with %v %%, above the greatest share", got, greatest+0.01)
	}
	matched := *r.Program
	matched.Limits.Windows = append(slices.Clone(matched.Limits.Windows), r.Windows...)
	for i, b := range r.Breaks {
		if got := cbcLeast(t, lean(matched.Scaled(b.Point.ProfileFactor), b.SharePct), anything); math.Round(100*got) != math.Round(100*b.Point.CoreMassG) {
			t.Errorf("step %d: CBC's least mass with %v %% is %v g, ours %v g", i+1, b.SharePct, got, b.Point.CoreMassG)
		}
		// Just above it the next step is the least over all profile factors; beyond the last there is nothing.
		want := math.Inf(1)
		if i+1 < len(r.Breaks) {
			want = r.Breaks[i+1].Point.CoreMassG
		}
		least := math.Inf(1)
		for _, f := range r.Options.Factors {
			if i+1 < len(r.Breaks) && !*all && f != r.Breaks[i+1].Point.ProfileFactor {
				continue // every factor beyond the last step: it is another solve each
			}
			least = min(least, cbcLeast(t, lean(matched.Scaled(f), b.SharePct+0.01), anything))
		}
		if math.Round(100*least) != math.Round(100*want) && !(math.IsInf(least, 1) && math.IsInf(want, 1)) {
			t.Errorf("above step %d: CBC's least mass is %v g, ours %v g", i+1, least, want)
		}
	}
}
