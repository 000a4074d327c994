package species

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Criterion is what woods are ranked by.
type Criterion string

// The criteria. The first three are the usual indices of material selection: the higher, the lighter the part.
const (
	// SpecificStiffness is E/ρ: the mass of a strip of given thickness for the stiffness it adds.
	SpecificStiffness Criterion = "specific-stiffness"
	// SpecificStrength is bending strength over ρ.
	SpecificStrength Criterion = "specific-strength"
	// PanelStiffness is E^⅓/ρ: the mass of a panel whose thickness may grow until it is stiff enough.
	PanelStiffness Criterion = "panel-stiffness"
	ByModulus      Criterion = "modulus"
	ByStrength     Criterion = "strength"
	ByHardness     Criterion = "hardness"
	ByDensity      Criterion = "density"  // lightest first
	ByRotation     Criterion = "rotation" // fastest grown first, by the longest usual rotation
)

type criterion struct {
	name     Criterion
	meaning  string
	unit     string
	lowFirst bool
	needs    []string
	figures  func(Wood) []Figure
	value    func(v []float64) float64
}

var criteria = []criterion{
	{SpecificStiffness, "modulus over density: lightest for a given stiffness at a given thickness", "MN·m/kg", false,
		[]string{"modulus", "density"},
		func(w Wood) []Figure { return []Figure{w.ModulusGPa, w.DensityKgM3} },
		func(v []float64) float64 { return v[0] / v[1] * 1000 }}, // 1 GPa/(kg/m³) is 10⁹ N·m/kg
	{SpecificStrength, "bending strength over density: lightest for a given strength", "kN·m/kg", false,
		[]string{"bending strength", "density"},
		func(w Wood) []Figure { return []Figure{w.BendingStrengthMPa, w.DensityKgM3} },
		func(v []float64) float64 { return v[0] / v[1] * 1000 }}, // 1 MPa/(kg/m³) is 10⁶ N·m/kg
	{PanelStiffness, "cube root of modulus over density: lightest for a given stiffness when the thickness is free", "GPa^⅓·m³/Mg", false,
		[]string{"modulus", "density"},
		func(w Wood) []Figure { return []Figure{w.ModulusGPa, w.DensityKgM3} },
		func(v []float64) float64 { return math.Cbrt(v[0]) / v[1] * 1000 }}, // 1 Mg is 1000 kg
	{ByModulus, "modulus along the grain", "GPa", false, []string{"modulus"},
		func(w Wood) []Figure { return []Figure{w.ModulusGPa} }, first},
	{ByStrength, "bending strength", "MPa", false, []string{"bending strength"},
		func(w Wood) []Figure { return []Figure{w.BendingStrengthMPa} }, first},
	{ByHardness, "side hardness", "N", false, []string{"hardness"},
		func(w Wood) []Figure { return []Figure{w.HardnessN} }, first},
	{ByDensity, "density, lightest first", "kg/m³", true, []string{"density"},
		func(w Wood) []Figure { return []Figure{w.DensityKgM3} }, first},
	{ByRotation, "longest usual rotation, fastest grown first", "years", true, []string{"rotation"},
		func(w Wood) []Figure { return []Figure{w.RotationHighYears} }, first},
}

func first(v []float64) float64 { return v[0] }

// Criteria are the criteria there are, the most useful first.
func Criteria() []Criterion {
	var out []Criterion
	for _, c := range criteria {
		out = append(out, c.name)
	}
	return out
}

// ParseCriterion is the criterion of that name; the error lists them all.
func ParseCriterion(name string) (Criterion, error) {
	if c, ok := criterionOf(Criterion(strings.ToLower(strings.TrimSpace(name)))); ok {
		return c.name, nil
	}
	var names []string
	for _, c := range criteria {
		names = append(names, string(c.name))
	}
	return "", fmt.Errorf("woods cannot be ranked by %q; write one of %s", name, strings.Join(names, ", "))
}

func criterionOf(name Criterion) (criterion, bool) {
	if i := slices.IndexFunc(criteria, func(c criterion) bool { return c.name == name }); i >= 0 {
		return criteria[i], true
	}
	return criterion{}, false
}

// Unit is the unit of the criterion's values.
func (c Criterion) Unit() string { d, _ := criterionOf(c); return d.unit }

// Meaning is what the criterion says of a wood, in words.
func (c Criterion) Meaning() string { d, _ := criterionOf(c); return d.meaning }

// A Ranked is a wood in its place.
type Ranked struct {
	Wood    Wood
	Rank    int      // from 1, equal values share it; 0 when the value is not known
	Value   float64  // in the criterion's unit
	Missing []string // the figures for want of which the value is not known
}

// Known reports whether the wood could be ranked.
func (r Ranked) Known() bool { return r.Rank > 0 }

// Rank orders the woods by a criterion, best first; woods that lack a figure come last, in their order, and say which.
// Costs do not enter. An unknown criterion ranks by specific stiffness.
func Rank(woods []Wood, by Criterion) []Ranked {
	c, ok := criterionOf(by)
	if !ok {
		c = criteria[0]
	}
	out := make([]Ranked, len(woods))
	for i, w := range woods {
		r := Ranked{Wood: w}
		var v []float64
		for k, f := range c.figures(w) {
			if !f.Known() {
				r.Missing = append(r.Missing, c.needs[k])
			}
			v = append(v, f.Value)
		}
		if len(r.Missing) == 0 {
			r.Value = c.value(v)
		}
		out[i] = r
	}
	// Equal ratios of published figures must not differ by how they were divided.
	nine := func(v float64) float64 { return math.Round(v * 1e9) }
	slices.SortStableFunc(out, func(a, b Ranked) int {
		if d := cmp.Compare(min(len(a.Missing), 1), min(len(b.Missing), 1)); d != 0 {
			return d
		}
		if c.lowFirst {
			return cmp.Compare(nine(a.Value), nine(b.Value))
		}
		return cmp.Compare(nine(b.Value), nine(a.Value))
	})
	for i := range out {
		switch {
		case len(out[i].Missing) > 0:
		case i > 0 && nine(out[i].Value) == nine(out[i-1].Value):
			out[i].Rank = out[i-1].Rank
		default:
			out[i].Rank = i + 1
		}
	}
	return out
}
