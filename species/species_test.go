package species_test

import (
	"encoding/json"
	"errors"
	"maps"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"stavewright/species"
)

// check reports a value that is not within a relative tolerance of the one wanted.
func check(t *testing.T, what string, got, want, tolerance float64, source string) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Abs(want)) {
		t.Errorf("%s = %v, want %v (%s)", what, got, want, source)
	}
}

func as(t *testing.T, table *species.Table, moisturePct, raisePct float64) *species.Table {
	t.Helper()
	used, err := table.As(species.Conditions{MoisturePct: moisturePct, ModulusRaisePct: raisePct})
	if err != nil {
		t.Fatal(err)
	}
	return used
}

func wood(t *testing.T, table *species.Table, id string) species.Wood {
	t.Helper()
	w, ok := table.Wood(id)
	if !ok {
		t.Fatalf("the table has no %s", id)
	}
	return w
}

func with(t *testing.T, table *species.Table, own ...species.OwnWood) *species.Table {
	t.Helper()
	out, err := table.With(own...)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func v(x float64) *float64 { return &x }

// figures are a wood's by name, for tests that say something of each.
func figures(w species.Wood) map[string]species.Figure {
	return map[string]species.Figure{
		"specific_gravity": w.SpecificGravity, "density_kg_m3": w.DensityKgM3, "modulus_gpa": w.ModulusGPa,
		"cross_grain_gpa": w.CrossGrainGPa, "bending_strength_mpa": w.BendingStrengthMPa, "compression_mpa": w.CompressionMPa,
		"shear_mpa": w.ShearMPa, "hardness_n": w.HardnessN, "modulus_cv_pct": w.ModulusCVPct,
		"rotation_low_years": w.RotationLowYears, "rotation_high_years": w.RotationHighYears,
	}
}

// published: in species.json
func TestPublished(t *testing.T) {
	data, err := os.ReadFile("../testdata/published/species.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Name, Kind, Source string
		Input              struct {
			At12            float64
			Green           float64
			IntersectionPct float64 `json:"intersection_pct"`
			MoisturePct     float64 `json:"moisture_pct"`
			Gravity12       float64
			ShrinkagePct    float64 `json:"volume_shrinkage_pct"`
			Basic           float64
			SpanMM          float64 `json:"span_mm"`
			WidthMM         float64 `json:"width_mm"`
			DepthMM         float64 `json:"depth_mm"`
			Slope           float64 `json:"slope_n_per_mm"`
			MaxLoadN        float64 `json:"max_load_n"`
			Wood, Figure    string
		}
		Want      float64
		Tolerance float64 `json:"tolerance_rel"`
	}
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	if len(cases) < 20 {
		t.Fatalf("only %d published cases", len(cases))
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			in := c.Input
			piece := species.BendingTest{SpanMM: in.SpanMM, WidthMM: in.WidthMM, DepthMM: in.DepthMM, SlopeNPerMM: in.Slope, MaxLoadN: in.MaxLoadN}
			var got float64
			var err error
			switch c.Kind {
			case "drying":
				got = species.Drying{At12: in.At12, Green: in.Green, IntersectionPct: in.IntersectionPct}.At(in.MoisturePct)
			case "gravity":
				got = species.Swelling{Gravity12: in.Gravity12, VolumeShrinkagePct: in.ShrinkagePct}.GravityAt(in.MoisturePct)
			case "density":
				got = species.Swelling{Gravity12: in.Gravity12, VolumeShrinkagePct: in.ShrinkagePct}.DensityAt(in.MoisturePct)
			case "basic_gravity":
				got = species.GravityFromBasic(in.Basic, in.MoisturePct)
			case "basic_density": // by way of Eq. 4-12: no shrinkage given
				got = species.Swelling{Gravity12: species.GravityFromBasic(in.Basic, 12)}.DensityAt(in.MoisturePct)
			case "test_apparent":
				got, _, err = piece.Modulus()
			case "test_true":
				_, got, err = piece.Modulus()
			case "test_strength":
				got, _ = piece.Strength()
			case "table":
				got = figures(wood(t, as(t, species.Default(), in.MoisturePct, 10), in.Wood))[in.Figure].Value
			default:
				t.Fatalf("unknown kind %q", c.Kind)
			}
			if err != nil {
				t.Fatal(err)
			}
			check(t, c.Name, got, c.Want, c.Tolerance, c.Source)
		})
	}
}

// published: in species.json
// A swelling without a published shrinkage goes by Eq. 4-12, which is what Eq. 4-13 holds: back at green it must give the
// basic gravity.
func TestSwellingFromGreen(t *testing.T) {
	for _, basic := range []float64{0.16, 0.3, 0.55, 0.7} {
		s := species.Swelling{Gravity12: species.GravityFromBasic(basic, 12)}
		for _, m := range []float64{4, 8, 20, 30, 80} {
			check(t, "gravity", s.GravityAt(m), species.GravityFromBasic(basic, m), 1e-12, "Eqs. 4-10 and 4-13 agree")
		}
	}
}

// What the sources do not give. Everything else must be there.
func TestTableIsComplete(t *testing.T) {
	gaps := map[string][]string{
		"balsa": {"hardness_n"}, "ceiba": {"rotation_high_years", "rotation_low_years"}, "beech-european": {"shear_mpa"},
		"birch-silver": {"shear_mpa"}, "poplar-hybrid": {"shear_mpa"}, "paulownia-tomentosa": {"shear_mpa"},
	}
	woods := species.Default().Woods()
	if len(woods) != 25 {
		t.Errorf("%d woods, want 25", len(woods))
	}
	for _, w := range woods {
		var missing []string
		all := figures(w)
		for _, name := range slices.Sorted(maps.Keys(all)) {
			f := all[name]
			switch {
			case !f.Known():
				missing = append(missing, name)
			case !(f.Value > 0) || f.Source == "":
				t.Errorf("%s of %s is %v from %q", name, w.ID, f.Value, f.Source)
			}
		}
		if !slices.Equal(missing, gaps[w.ID]) {
			t.Errorf("%s lacks %v, want %v", w.ID, missing, gaps[w.ID])
		}
		if w.CommonName == "" || len(strings.Fields(w.LatinName)) < 2 || w.RotationLowYears.Value > w.RotationHighYears.Value {
			t.Errorf("%s: common name %q, Latin name %q, rotation %v to %v", w.ID, w.CommonName, w.LatinName,
				w.RotationLowYears.Value, w.RotationHighYears.Value)
		}
		// published: density of every wood against its gravity at 12 % | Wood Handbook FPL-GTR-282 (2021), Eq. 4-14 | derived | 3e-4: rounding of the two columns
		// Oven-dry mass over volume, to the rounding of the two columns.
		check(t, "density of "+w.ID, w.DensityKgM3.Value, 1120*w.SpecificGravity.Value, 3e-4, "Wood Handbook Eq. 4-14")
	}
}

// published: the source and status of single figures | Wood Handbook FPL-GTR-282 (2021) and the works named in species/woods.csv, Tables 5-1, 5-3a, 5-6; Eqs. 4-13, 4-14 | read, memory and derived: the status is what is tested | 1e-12: the table's own figures
func TestStatusPerValue(t *testing.T) {
	for _, tt := range []struct {
		wood, figure string
		value        float64
		status       species.Status
		source       string // part of it
	}{
		{"aspen-quaking", "modulus_gpa", 8.1, species.Read, "Table 5-3a"},
		{"aspen-quaking", "density_kg_m3", 425.6, species.Derived, "Eq. 4-14"},
		{"aspen-quaking", "rotation_high_years", 60, species.Memory, "80-90"},
		{"aspen-quaking", "modulus_cv_pct", 22, species.Assumed, "Table 5-6"},
		{"balsa", "specific_gravity", 0.1642, species.Derived, "Eq. 4-13"},
		{"balsa", "modulus_cv_pct", 33, species.Derived, "Lavers"},
		{"ash-european", "modulus_cv_pct", 18, species.Derived, "Lavers"},
		{"ash-white", "bending_strength_mpa", 106, species.Read, "CONFLICT"},
		{"beech-european", "rotation_low_years", 80, species.Read, "France"},
		{"beech-european", "rotation_high_years", 140, species.Memory, "German"},
		{"poplar-hybrid", "hardness_n", 1820, species.Assumed, "Populus alba"},
		{"bamboo-moso-laminated", "density_kg_m3", 686, species.Memory, "Sharma"},
		{"bamboo-moso-laminated", "specific_gravity", 0.6125, species.Memory, "1120"},
		{"bamboo-moso-laminated", "modulus_gpa", 9.6, species.Derived, "8.3-10.9"},
		{"bamboo-moso-laminated", "hardness_n", 6100, species.Memory, "flooring"},
		{"beech-american", "cross_grain_gpa", 11.9 * 1.1 * 0.394 / 7, species.Assumed, "mean of the 7 hardwoods"},
		{"balsa", "cross_grain_gpa", 3.4 * 1.1 * 0.015, species.Derived, "Table 5-1"},
	} {
		f := figures(wood(t, species.Default(), tt.wood))[tt.figure]
		check(t, tt.figure+" of "+tt.wood, f.Value, tt.value, 1e-12, tt.source)
		if source := strings.ReplaceAll(f.Source, "French", "France"); f.Status != tt.status || !strings.Contains(source, tt.source) {
			t.Errorf("%s of %s is %s from %q, want %s from …%s…", tt.figure, tt.wood, f.Status, f.Source, tt.status, tt.source)
		}
	}
}

// At 12 % and without a raise the figures as used are those published; with it, only the modulus changes.
func TestStandardConditions(t *testing.T) {
	used, bare := as(t, species.Default(), 12, 10), as(t, species.Default(), 12, 0)
	for _, p := range species.Default().Woods() {
		u, b := wood(t, used, p.ID), wood(t, bare, p.ID)
		check(t, "modulus of "+p.ID, u.ModulusGPa.Value, 1.10*p.ModulusGPa.Value, 1e-12, "raised 10 %")
		check(t, "modulus across of "+p.ID, u.CrossGrainGPa.Value, p.CrossGrainGPa.Value, 1e-12, "ratios are to the true modulus")
		u.ModulusGPa, u.CrossGrainGPa = p.ModulusGPa, p.CrossGrainGPa
		b.CrossGrainGPa = p.CrossGrainGPa
		if !reflect.DeepEqual(u, p) || !reflect.DeepEqual(b, p) {
			t.Errorf("%s at 12 %%: %+v and %+v, want %+v", p.ID, u, b, p)
		}
	}
}

// published: density and gravity of every wood from 4 to 25 % | Wood Handbook FPL-GTR-282 (2021), Eq. 4-14 | derived | 3e-4: rounding of the table's two columns
func TestMoistureLaws(t *testing.T) {
	table := species.Default()
	steps := []float64{4, 6, 8, 12, 15, 18, 21, 25}
	for i := 1; i < len(steps); i++ {
		dry, wet := as(t, table, steps[i-1], 10), as(t, table, steps[i], 10)
		for _, d := range dry.Woods() {
			w := wood(t, wet, d.ID)
			if !(d.DensityKgM3.Value < w.DensityKgM3.Value && d.SpecificGravity.Value > w.SpecificGravity.Value) {
				t.Errorf("%s: drier wood is not lighter, or its volume not smaller, from %v to %v %%", d.ID, steps[i-1], steps[i])
			}
			check(t, "density of "+d.ID, d.DensityKgM3.Value, 1000*d.SpecificGravity.Value*(1+steps[i-1]/100), 3e-4, "Eq. 4-14")
			for name, f := range figures(d) {
				wetter := figures(w)[name]
				switch name {
				case "modulus_gpa", "cross_grain_gpa", "bending_strength_mpa", "compression_mpa", "shear_mpa", "hardness_n":
					if f.Known() && !(f.Value > wetter.Value) {
						t.Errorf("%s of %s is not higher at %v than at %v %%: %v, %v", name, d.ID, steps[i-1], steps[i], f.Value, wetter.Value)
					}
				case "modulus_cv_pct", "rotation_low_years", "rotation_high_years":
					if f != wetter {
						t.Errorf("%s of %s changes with moisture", name, d.ID)
					}
				}
			}
		}
	}
	again := as(t, as(t, table, 20, 0), 8, 10)
	if !reflect.DeepEqual(again.Woods(), as(t, table, 8, 10).Woods()) {
		t.Error("adjusting an adjusted table does not start from the published figures")
	}
	// Without green values a mean stands in, and says so; what follows from memory is no better than memory.
	w := wood(t, as(t, table, 8, 10), "beech-european")
	check(t, "modulus of European beech at 8 %", w.ModulusGPa.Value, 1.1*14.3*math.Pow(1.28, 4./13), 2e-3, "mean ratio 1.28 over 14 hardwoods")
	check(t, "bending strength of European beech at 8 %", w.BendingStrengthMPa.Value, 107*math.Pow(1.71, 4./13), 2e-3, "mean ratio 1.71 over 14 hardwoods")
	if w.ModulusGPa.Status != species.Assumed || !strings.Contains(w.ModulusGPa.Source, "mean ratio 1.28") {
		t.Errorf("modulus of European beech at 8 %% is %s: %s", w.ModulusGPa.Status, w.ModulusGPa.Source)
	}
	if d := wood(t, as(t, table, 8, 10), "bamboo-moso-laminated").DensityKgM3; d.Status != species.Memory {
		t.Errorf("density of bamboo at 8 %% is %s", d.Status)
	}
}

func TestConditionsRefused(t *testing.T) {
	for _, c := range []species.Conditions{{}, {3.9, 10}, {25.1, 10}, {math.NaN(), 10}, {math.Inf(1), 10}, {12, -1}, {12, 26}, {12, math.NaN()}} {
		if _, err := species.Default().As(c); err == nil || !strings.Contains(err.Error(), "; write ") {
			t.Errorf("%+v: error %v does not say what to write", c, err)
		}
	}
	if c, used := species.Default().Conditions(); used || c != (species.Conditions{MoisturePct: 12}) {
		t.Errorf("the published table stands for %+v, used %v", c, used)
	}
	if c, used := as(t, species.Default(), 8, 5).Conditions(); !used || c != (species.Conditions{MoisturePct: 8, ModulusRaisePct: 5}) {
		t.Errorf("the used table stands for %+v, used %v", c, used)
	}
}

// published: gravity from a user's own density | Wood Handbook FPL-GTR-282 (2021), Eq. 4-14 | derived | 1e-12: a closed form
func TestOwnFiguresAreTakenAsTheyAre(t *testing.T) {
	before := species.Default().Woods()
	own := with(t, species.Default(),
		species.OwnWood{Wood: "Quaking aspen", ModulusGPa: v(9.7), DensityKgM3: v(448), Source: "own tests, spring"},
		species.OwnWood{Wood: "Lightwood of Nowhere", Latin: "Nusquamia levis", DensityKgM3: v(336), ModulusGPa: v(6), RotationYears: v(9), HardnessN: v(900)})
	for _, m := range []float64{8, 12, 15} {
		used := as(t, own, m, 10)
		aspen, table := wood(t, used, "aspen-quaking"), wood(t, as(t, species.Default(), m, 10), "aspen-quaking")
		if aspen.ModulusGPa != (species.Figure{Value: 9.7, Status: species.Own, Source: "own figure: own tests, spring"}) || aspen.DensityKgM3.Value != 448 {
			t.Errorf("own figures at %v %%: %+v, %+v", m, aspen.ModulusGPa, aspen.DensityKgM3)
		}
		check(t, "own gravity", aspen.SpecificGravity.Value, 448/(1000*(1+m/100)), 1e-12, "Eq. 4-14")
		check(t, "own modulus across", aspen.CrossGrainGPa.Value, 0.034*9.7, 1e-12, "the ratio of the table")
		if aspen.BendingStrengthMPa != table.BendingStrengthMPa || aspen.HardnessN != table.HardnessN {
			t.Errorf("figures that were not overridden differ from the table's at %v %%", m)
		}
		light := wood(t, used, "lightwood-of-nowhere")
		check(t, "modulus across of an own wood", light.CrossGrainGPa.Value, 6*0.394/7, 1e-12, "mean of hardwoods")
		if light.CrossGrainGPa.Status != species.Assumed || light.ModulusCVPct.Status != species.Assumed || light.ModulusCVPct.Value != 22 ||
			light.HardnessN.Value != 900 || light.BendingStrengthMPa.Known() || light.RotationLowYears.Value != 9 || light.RotationHighYears.Value != 9 {
			t.Errorf("own wood at %v %%: %+v", m, light)
		}
		for _, name := range []string{"LIGHTWOOD  of nowhere", "Nusquamia levis", "lightwood-of-nowhere"} {
			if w, err := used.Lookup(name); err != nil || w.ID != light.ID {
				t.Errorf("%q is %q, %v", name, w.ID, err)
			}
		}
	}
	if g := wood(t, own, "aspen-quaking").SpecificGravity; g.Value != 448/1120. || g.Status != species.Derived {
		t.Errorf("own gravity in the published table: %+v", g)
	}
	if woods := own.Woods(); woods[len(woods)-1].ID != "lightwood-of-nowhere" || len(woods) != 26 {
		t.Error("own woods do not come last")
	}
	if !reflect.DeepEqual(before, species.Default().Woods()) {
		t.Error("the embedded table changed")
	}
}

// A supplier's word can be given a wood in the Woods sheet.
func TestOwnNames(t *testing.T) {
	table := with(t, species.Default(),
		species.OwnWood{Wood: "Poplar", Latin: "Liriodendron tulipifera"},
		species.OwnWood{Wood: "Kernholz 7", Latin: "Robinia pseudoacacia"},
		species.OwnWood{Wood: "Espe", Latin: "Populus tremula", DensityKgM3: v(450), ModulusGPa: v(10)},
		species.OwnWood{Wood: "Balsa (light)", DensityKgM3: v(110), ModulusGPa: v(2)},
	)
	for name, id := range map[string]string{"poplar": "yellow-poplar", "KERNHOLZ 7": "locust-black", "Espe": "espe", "espe (KD)": "espe",
		"Populus tremula": "espe", "Balsa (light)": "balsa-light", "Balsa": "balsa", "Balsa (KD)": "balsa"} {
		if w, err := table.Lookup(name); err != nil || w.ID != id {
			t.Errorf("%q is %q, %v, want %q", name, w.ID, err, id)
		}
	}
	if len(table.Woods()) != 27 {
		t.Errorf("%d woods, want the 25 and 2 new ones", len(table.Woods()))
	}
	bare := with(t, species.Default(), species.OwnWood{Wood: "Untested"})
	if m := wood(t, bare, "untested").Missing(); !slices.Equal(m, []string{"density", "modulus"}) {
		t.Errorf("a wood without figures misses %v", m)
	}
}

func TestOwnWoodsRefused(t *testing.T) {
	for _, tt := range []struct {
		name    string
		own     []species.OwnWood
		row     int
		column  string
		problem string // part of it
	}{
		{"not clear", []species.OwnWood{{Wood: "Poplar", DensityKgM3: v(400)}}, 0, "Wood", "not clear"},
		{"name and Latin name differ", []species.OwnWood{{Wood: "Balsa"}, {Wood: "White ash", Latin: "Fagus sylvatica"}}, 1, "Latin name", "ash-white"},
		{"twice", []species.OwnWood{{Wood: "Balsa"}, {Wood: "ochroma pyramidale"}}, 1, "Wood", "row 1 again"},
		{"new wood twice", []species.OwnWood{{Wood: "Mine", ModulusGPa: v(5)}, {Wood: "MINE"}}, 1, "Wood", "row 1 again"},
		{"no name", []species.OwnWood{{Wood: " ", DensityKgM3: v(400)}}, 0, "Wood", "no letters"},
		{"letters of another script", []species.OwnWood{{Wood: "Bаlsa", DensityKgM3: v(400)}}, 0, "Wood", "Cyrillic"},
		{"MPa for GPa", []species.OwnWood{{Wood: "Balsa", ModulusGPa: v(3400)}}, 0, "Modulus GPa", "3400 is outside"},
		{"g/cm³ for kg/m³", []species.OwnWood{{Wood: "Balsa", DensityKgM3: v(0.16)}}, 0, "Density kg/m3", "0.16 is outside"},
		{"negative", []species.OwnWood{{Wood: "Balsa", BendingStrengthMPa: v(-3)}}, 0, "Bending strength MPa", "-3 is outside"},
		{"not a number", []species.OwnWood{{Wood: "Balsa", HardnessN: v(math.NaN())}}, 0, "Hardness N", "NaN is outside"},
		{"shear", []species.OwnWood{{Wood: "Balsa", ShearMPa: v(0)}}, 0, "Shear MPa", "0 is outside"},
		{"scatter", []species.OwnWood{{Wood: "Balsa", ModulusCVPct: v(101)}}, 0, "CV of modulus %", "101 is outside"},
		{"rotation", []species.OwnWood{{Wood: "Balsa", RotationYears: v(math.Inf(1))}}, 0, "Rotation years", "+Inf is outside"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			table, err := species.Default().With(tt.own...)
			rows := species.RowErrors(err)
			if table != nil || len(rows) != 1 || rows[0].Row != tt.row || rows[0].Column != tt.column ||
				!strings.Contains(rows[0].Problem, tt.problem) || rows[0].Advice == "" {
				t.Errorf("error %v, want one in row %d, %s: …%s…", err, tt.row+1, tt.column, tt.problem)
			}
		})
	}
	_, err := species.Default().With(species.OwnWood{Wood: "Ash"}, species.OwnWood{Wood: "Balsa", ModulusGPa: v(-1), ShearMPa: v(-1)})
	if rows := species.RowErrors(err); len(rows) != 3 {
		t.Errorf("%d errors, want all 3: %v", len(rows), err)
	}
	if species.RowErrors(nil) != nil || species.RowErrors(errors.New("other")) != nil {
		t.Error("RowErrors finds rows where there are none")
	}
}

func TestBendingTests(t *testing.T) {
	piece := species.BendingTest{Wood: "Balsa", SpanMM: 360, WidthMM: 25, DepthMM: 25, SlopeNPerMM: 250, MaxLoadN: 1500, DensityKgM3: 190}
	softer, unbroken := piece, piece
	softer.SlopeNPerMM, softer.MaxLoadN, softer.DensityKgM3 = 150, 1000, 170
	unbroken.SlopeNPerMM, unbroken.MaxLoadN, unbroken.DensityKgM3 = 200, 0, 0

	table, err := species.Default().WithTests(piece, softer, unbroken)
	if err != nil {
		t.Fatal(err)
	}
	balsa := wood(t, as(t, table, 8, 10), "balsa")
	check(t, "mean modulus", balsa.ModulusGPa.Value, 8.15616*(250+150+200)/3/250, 1e-9, "mean of three, taken as it is")
	check(t, "mean strength", balsa.BendingStrengthMPa.Value, 51.84*2500/2/1500, 1e-9, "mean of the two taken to failure")
	check(t, "mean density", balsa.DensityKgM3.Value, 180, 1e-12, "mean of the two weighed")
	if balsa.ModulusGPa.Status != species.Own || !strings.Contains(balsa.ModulusGPa.Source, "3 bending tests") || balsa.ModulusCVPct.Value != 33 {
		t.Errorf("modulus %+v, scatter %+v", balsa.ModulusGPa, balsa.ModulusCVPct)
	}

	var five []species.BendingTest
	for _, slope := range []float64{80, 90, 100, 110, 120} {
		five = append(five, species.BendingTest{Wood: "Mine", SpanMM: 280, WidthMM: 20, DepthMM: 20, SlopeNPerMM: slope})
	}
	mine, err := with(t, species.Default(), species.OwnWood{Wood: "Mine", DensityKgM3: v(400)}).WithTests(five...)
	if err != nil {
		t.Fatal(err)
	}
	w := wood(t, mine, "mine")
	check(t, "scatter of five", w.ModulusCVPct.Value, 100*math.Sqrt(1000./4)/100, 1e-9, "sample standard deviation over mean")
	if w.ModulusCVPct.Status != species.Own || w.Missing() != nil || w.BendingStrengthMPa.Known() {
		t.Errorf("tested wood %+v", w)
	}

	bad := func(change func(*species.BendingTest)) species.BendingTest {
		b := piece
		change(&b)
		return b
	}
	for _, tt := range []struct {
		column, problem string
		test            species.BendingTest
	}{
		{"Wood", "not known", bad(func(b *species.BendingTest) { b.Wood = "Nowhere" })},
		{"Wood", "not clear", bad(func(b *species.BendingTest) { b.Wood = "ash" })},
		{"Span mm", "0 is not", bad(func(b *species.BendingTest) { b.SpanMM = 0 })},
		{"Span mm", "7.2 times", bad(func(b *species.BendingTest) { b.SpanMM = 180 })},
		{"Width mm", "-1 is not", bad(func(b *species.BendingTest) { b.WidthMM = -1 })},
		{"Depth mm", "NaN is not", bad(func(b *species.BendingTest) { b.DepthMM = math.NaN() })},
		{"Slope N/mm", "+Inf is not", bad(func(b *species.BendingTest) { b.SlopeNPerMM = math.Inf(1) })},
		{"Slope N/mm", "not a wood's", bad(func(b *species.BendingTest) { b.SlopeNPerMM = 250000 })},
		{"Max load N", "-5 is not", bad(func(b *species.BendingTest) { b.MaxLoadN = -5 })},
		{"Max load N", "not a wood's", bad(func(b *species.BendingTest) { b.MaxLoadN = 1 })},
		{"Density kg/m3", "not a wood's", bad(func(b *species.BendingTest) { b.DensityKgM3 = 0.2 })},
	} {
		_, err := species.Default().WithTests(unbroken, tt.test)
		rows := species.RowErrors(err)
		if len(rows) != 1 || rows[0].Column != tt.column || !strings.Contains(rows[0].Problem, tt.problem) || rows[0].Advice == "" {
			t.Errorf("error %v, want %s: …%s…", err, tt.column, tt.problem)
		}
	}
	_, err = with(t, species.Default(), species.OwnWood{Wood: "Balsa", ModulusGPa: v(3)}).WithTests(piece)
	if rows := species.RowErrors(err); len(rows) != 1 || !strings.Contains(rows[0].Problem, "both from tests and of its own") {
		t.Errorf("a modulus given twice: %v", err)
	}
	if _, _, err := (species.BendingTest{}).Modulus(); err == nil {
		t.Error("an empty test has a modulus")
	}
	if _, ok := (species.BendingTest{MaxLoadN: 3}).Strength(); ok {
		t.Error("an empty test has a strength")
	}
}

func TestFastGrown(t *testing.T) {
	for _, tt := range []struct {
		wood        string
		upTo        float64
		fast, known bool
	}{
		{"bamboo-moso-laminated", 15, true, true}, {"paulownia-tomentosa", 15, true, true}, {"paulownia-tomentosa", 14.9, false, true},
		{"poplar-hybrid", 15, false, true}, {"poplar-hybrid", 30, true, true}, {"ceiba", 500, false, false},
	} {
		if fast, known := wood(t, species.Default(), tt.wood).FastGrown(tt.upTo); fast != tt.fast || known != tt.known {
			t.Errorf("%s up to %v years: fast-grown %v, known %v", tt.wood, tt.upTo, fast, known)
		}
	}
}

// TestGrowth: how a wood grows is said with its status and source where the table knows, and nowhere else; every bamboo is told apart.
func TestGrowth(t *testing.T) {
	known := map[species.Stand]int{}
	for _, w := range species.Default().Woods() {
		g := w.Growth
		if !g.Known() {
			if (g != species.Growth{}) {
				t.Errorf("%s: %+v without a status", w.ID, g)
			}
			continue
		}
		known[g.Stand]++
		if g.Source == "" || g.Status != species.Read && g.Status != species.Memory {
			t.Errorf("%s: %+v", w.ID, g)
		}
		if !w.RotationHighYears.Known() || w.RotationHighYears.Source == "" {
			t.Errorf("%s: its growth is known and its rotation is not", w.ID)
		}
	}
	if known[species.Plantation] != 4 || known[species.NaturalStand] != 1 || known[species.Bamboo] != 1 {
		t.Errorf("%v", known)
	}
}

func TestProvenance(t *testing.T) {
	source, status := wood(t, species.Default(), "bamboo-moso-laminated").Provenance()
	if status != species.Memory || strings.Count(source, "Sharma") != 1 {
		t.Errorf("bamboo: %s, %q", status, source)
	}
	if _, status := wood(t, species.Default(), "poplar-hybrid").Provenance(); status != species.Assumed {
		t.Errorf("hybrid poplar: %s", status)
	}
	if source, status := (species.Wood{}).Provenance(); source != "" || status != species.Unknown {
		t.Errorf("no wood: %q, %q", source, status)
	}
}

func TestRank(t *testing.T) {
	woods := species.Default().Woods()
	for _, c := range species.Criteria() {
		if parsed, err := species.ParseCriterion(" " + strings.ToUpper(string(c))); err != nil || parsed != c {
			t.Errorf("%q parses to %q, %v", c, parsed, err)
		}
		if c.Unit() == "" || c.Meaning() == "" {
			t.Errorf("%s says neither unit nor meaning", c)
		}
		ranked := species.Rank(woods, c)
		if len(ranked) != len(woods) {
			t.Fatalf("%s ranks %d of %d woods", c, len(ranked), len(woods))
		}
		down := c != species.ByDensity && c != species.ByRotation
		for i, r := range ranked[1:] {
			last := ranked[i]
			switch {
			case !last.Known() && r.Known():
				t.Errorf("%s: %s, not known, comes before %s", c, last.Wood.ID, r.Wood.ID)
			case !r.Known():
				if len(r.Missing) == 0 {
					t.Errorf("%s: %s does not say what it lacks", c, r.Wood.ID)
				}
			case r.Value != last.Value && (r.Value < last.Value) != down, (r.Value == last.Value) != (r.Rank == last.Rank), r.Rank > i+2:
				t.Errorf("%s: %s (%d, %v) after %s (%d, %v)", c, r.Wood.ID, r.Rank, r.Value, last.Wood.ID, last.Rank, last.Value)
			}
		}
	}
	value := map[species.Criterion]float64{}
	for _, c := range species.Criteria() {
		value[c] = species.Rank([]species.Wood{wood(t, species.Default(), "beech-european")}, c)[0].Value
	}
	check(t, "E/ρ of European beech", value[species.SpecificStiffness], 14.3e9/680/1e6, 1e-12, "MN·m/kg, by hand")
	check(t, "σ/ρ of European beech", value[species.SpecificStrength], 107e6/680/1e3, 1e-12, "kN·m/kg, by hand")
	check(t, "∛E/ρ of European beech", value[species.PanelStiffness], math.Cbrt(14.3)/0.680, 1e-12, "density in Mg/m³, by hand")
	if last := species.Rank(woods, species.ByHardness)[24]; last.Wood.ID != "balsa" || last.Known() || !slices.Equal(last.Missing, []string{"hardness"}) {
		t.Errorf("the hardness of balsa is not known, but last is %+v", last)
	}
	if _, err := species.ParseCriterion("price"); err == nil || !strings.Contains(err.Error(), "specific-stiffness, ") {
		t.Errorf("error %v does not list the criteria", err)
	}
}

// Which sayings of the trade the published figures bear out, and where the two part. The data are never bent: when a figure
// changes, this list is looked at again.
func TestTradeFacts(t *testing.T) {
	want := map[string][]string{ // parts of the conflicts, by the beginning of the saying
		"aspen and poplar are nearly": {"bending strength of aspen-quaking"},
		"beech and birch are nearly": {"hardness of birch-silver", "modulus of birch-yellow", "bending strength of birch-paper",
			"compression strength of birch-paper", "shear strength of birch-paper", "hardness of birch-paper", "bending strength of birch-paper"},
		"beech and birch are far": nil,
		"bamboo is harder": {"6100 N, should be above that of beech-european", "107 MPa", "103 MPa", "114 MPa", "114 MPa",
			"should be below that of beech-european", "should be below that of birch-silver"},
		"paulownia is light": nil,
		"balsa is lighter":   nil,
	}
	facts := species.TradeFacts(species.Default())
	if len(facts) != len(want) {
		t.Errorf("%d sayings, want %d", len(facts), len(want))
	}
	total := 0
	for start, parts := range want {
		i := slices.IndexFunc(facts, func(f species.TradeFact) bool { return strings.HasPrefix(f.Says, start) })
		if i < 0 {
			t.Errorf("no saying %q…", start)
			continue
		}
		holds := 0
		var conflicts []string
		for _, c := range facts[i].Checks {
			switch c.Verdict {
			case species.Holds:
				holds++
			case species.Conflict:
				conflicts = append(conflicts, c.Text)
			}
		}
		if holds == 0 {
			t.Errorf("%q: nothing bears it out", facts[i].Says)
		}
		if len(conflicts) != len(parts) {
			t.Errorf("%q: conflicts\n%s\nwant %d", facts[i].Says, strings.Join(conflicts, "\n"), len(parts))
		} else {
			for k, part := range parts {
				if !strings.Contains(conflicts[k], part) {
					t.Errorf("%q: conflict %q, want …%s…", facts[i].Says, conflicts[k], part)
				}
			}
		}
		if len(parts) > 0 {
			total++
		}
	}
	lines := species.Conflicts(species.Default())
	if len(lines) != total || !strings.Contains(lines[0], "58 MPa (another sample: 68), should be a little above that of poplar-hybrid, 65 MPa (other samples: 54 to 87)") {
		t.Errorf("conflicts:\n%s", strings.Join(lines, "\n"))
	}
}
