package core_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	. "stavewright/optimize/core"
	"stavewright/species"
)

type plyIn struct {
	E1GPa    float64   `json:"E1_GPa"`
	E2GPa    float64   `json:"E2_GPa"`
	E1Psi    float64   `json:"E1_psi"`
	E2Psi    float64   `json:"E2_psi"`
	Nu12     float64   `json:"nu12"`
	G12GPa   float64   `json:"G12_GPa"`
	G12Psi   float64   `json:"G12_psi"`
	ThetaDeg float64   `json:"theta_deg"`
	AnglesIn []float64 `json:"angles_deg"`
	PlyMM    float64   `json:"ply_mm"`
	PlyIn    float64   `json:"ply_in"`
}

func (p plyIn) at(angle, thickness float64) Ply {
	return Ply{AngleDeg: angle, ThicknessMM: thickness, E1GPa: p.E1GPa, E2GPa: p.E2GPa, G12GPa: p.G12GPa, Nu12: p.Nu12}
}

func (p plyIn) stack(thickness float64, angles ...float64) []Ply {
	var plies []Ply
	for _, a := range angles {
		plies = append(plies, p.at(a, thickness))
	}
	return plies
}

func laminate(t *testing.T, plies []Ply) Laminate {
	t.Helper()
	l, err := LaminateModulus(plies)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func abd(t *testing.T, plies []Ply) ABD {
	t.Helper()
	m, err := LaminateABD(plies)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func plyReduced(t *testing.T, raw json.RawMessage) any {
	return map[string]any{"Q_GPa": read[plyIn](t, raw).at(0, 1).Reduced()}
}

func plyRotated(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	return map[string]any{"Qbar_GPa": p.at(p.ThetaDeg, 1).Rotated()}
}

func times(m [3][3]float64, factor float64) [3][3]float64 {
	for i := range m {
		for j := range m[i] {
			m[i][j] *= factor
		}
	}
	return m
}

func plyStack(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	m := abd(t, p.stack(p.PlyMM, p.AnglesIn...))
	// N/mm = 10³ Pa·m, N = Pa·m², N·mm = 10⁻³ Pa·m³
	return map[string]any{"A_Pa_m": times(m.A, 1e3), "B_Pa_m2": m.B, "D_Pa_m3": times(m.D, 1e-3)}
}

func quasiIsotropic(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	plies := p.stack(0.25, 0, 45, -45, 90, 90, -45, 45, 0)
	l, a := laminate(t, plies), abd(t, plies).A
	return map[string]any{"E_GPa": l.FreeGPa, "G_GPa": l.ShearGPa, "nu": a[0][1] / a[1][1]}
}

func crossAndAngle(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	return map[string]any{
		"Gxy_cross_GPa": laminate(t, p.stack(0.25, 0, 90, 0, 90, 90, 0, 90, 0)).ShearGPa,
		"Gxy_angle_GPa": laminate(t, p.stack(0.25, 45, -45, 45, -45, -45, 45, -45, 45)).ShearGPa,
	}
}

func inchLaminate(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	p.E1GPa, p.E2GPa, p.G12GPa = p.E1Psi/psiPerGPa, p.E2Psi/psiPerGPa, p.G12Psi/psiPerGPa
	m := abd(t, p.stack(p.PlyIn*mmPerIn, p.AnglesIn...))
	const lbfPerN = 1e3 / nPerKip
	for i, row := range m.B {
		for j, b := range row {
			if math.Abs(b) > 1e-9*m.A[0][0] {
				t.Errorf("B[%d][%d] = %g N, want 0: the stack is symmetric", i, j, b)
			}
		}
	}
	return map[string]any{"A": times(m.A, lbfPerN*mmPerIn), "D": times(m.D, lbfPerN/mmPerIn)}
}

func allAt45(t *testing.T, raw json.RawMessage) any {
	// The charts are of balanced laminates: as much at 45° as at −45°.
	return map[string]any{"Ex_MPa": 1e3 * laminate(t, read[plyIn](t, raw).stack(1, 45, -45, -45, 45)).FreeGPa}
}

func glassStacks(t *testing.T, raw json.RawMessage) any {
	p := read[plyIn](t, raw)
	out := map[string]any{}
	for name, plies := range map[string][]Ply{
		"0":                   {p.at(0, 1)},
		"0/90 half and half":  {p.at(0, 1), p.at(90, 2), p.at(0, 1)},
		"45/-45":              {p.at(45, 1), p.at(-45, 2), p.at(45, 1)},
		"0/45/-45 in thirds":  {p.at(0, 1), p.at(45, 1), p.at(-45, 2), p.at(45, 1), p.at(0, 1)},
		"half 0, half 45/-45": {p.at(0, 2), p.at(45, 1), p.at(-45, 2), p.at(45, 1), p.at(0, 2)},
		"0.8 of 0, 0.2 of 90": {p.at(0, 4), p.at(90, 2), p.at(0, 4)},
	} {
		turned := make([]Ply, len(plies)) // across: the same stack turned by 90°
		for i, ply := range plies {
			turned[i] = ply
			turned[i].AngleDeg += 90
		}
		l, a := laminate(t, plies), abd(t, plies).A
		out[name] = map[string]float64{
			"Ex_GPa": l.FreeGPa, "Ey_GPa": laminate(t, turned).FreeGPa, "Gxy_GPa": l.ShearGPa,
			"nuxy": a[0][1] / a[1][1], "Ex_held_GPa": l.HeldGPa,
		}
	}
	return out
}

func meanOfStrips(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		CV float64 `json:"cv"`
		N  []int   `json:"n"`
	}](t, raw)
	var out []float64
	for _, n := range in.N {
		b := beam(10, float64(n)*10, 8, 1000, nil, nil)
		b.Positions[0].Strips, b.Positions[0].StripWidthMM = n, 10
		b.Woods[0] = wood("w", 10, 500, 100*in.CV)
		f := evaluate(t, b, make(Layout, len(b.Strips())))
		for _, pct := range []float64{f.Scatter.EIPct, f.Scatter.FlexPct} { // a bare core: all alike
			if math.Abs(pct-f.Scatter.CPct) > 1e-9 {
				t.Errorf("%d strips: EI or flex vary by %g %%, C by %g %%", n, pct, f.Scatter.CPct)
			}
		}
		out = append(out, f.Scatter.CPct/100)
	}
	return map[string]any{"cv_mean": out}
}

func weightedStrips(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		E     []float64 `json:"E_MPa"`
		Width []float64 `json:"width_mm"`
		CV    []float64 `json:"cv"`
		Rho   []float64 `json:"rho"`
	}](t, raw)
	// Two mirrored pairs: the strips come in twos of a kind.
	b := &Board{
		Name: "pairs", Section: Bare,
		Stations:  []Station{{0, 50, 8}, {1000, 50, 8}},
		Positions: []Position{{Name: "inner", Strips: 1, StripWidthMM: in.Width[0]}, {Name: "outer", Strips: 1, StripWidthMM: in.Width[2]}},
		Woods: []species.Wood{wood("inner", in.E[0]/1e3, 500, 100*in.CV[0]),
			wood("outer", in.E[2]/1e3, 500, 100*in.CV[2])},
		MeasureAtMM: 500,
	}
	var out []float64
	for _, rho := range in.Rho {
		b.Correlation = rho
		out = append(out, evaluate(t, b, Layout{0, 1}).Scatter.CPct/100)
	}
	return map[string]any{"cv_C": out}
}

func prismaticBoard(t *testing.T, raw json.RawMessage) any {
	type layer struct{ E, T, G float64 }
	in := read[struct {
		T      float64 `json:"core_thickness"`
		Strips []struct {
			E, Width float64
			Count    int
		}
		Above, Below []layer
		Width        float64 `json:"layer_width"`
		CoreG        float64 `json:"core_G"`
		Span, Load   float64
	}](t, raw)
	b := beam(1, in.Width, in.T, in.Span, nil, nil)
	b.Woods, b.Positions = nil, nil
	var l Layout
	for i, s := range in.Strips {
		b.Woods = append(b.Woods, wood(fmt.Sprint(s.E), s.E/1e3, 500, 10))
		b.Positions = append(b.Positions, Position{Name: fmt.Sprint(i), Strips: s.Count / 2, StripWidthMM: s.Width})
		for range s.Count / 2 {
			l = append(l, i)
		}
	}
	for place, layers := range map[Place][]layer{Above: in.Above, Below: in.Below} {
		for i, y := range layers {
			b.Layers = append(b.Layers, Layer{Name: fmt.Sprint(place, i), Place: place, Order: i + 1,
				ModulusGPa: y.E / 1e3, ShearGPa: y.G / 1e3, ThicknessMM: y.T, WidthMM: in.Width})
		}
	}
	figures := evaluate(t, b, l)
	f := figures.Measure
	k := b.SectionAt(in.Span/2, Pressed)
	low, _ := k.C(0.95 * f.PressedEINM2)
	high, _ := k.C(1.05 * f.PressedEINM2)
	s := b.ShearStiffness(l, in.Span/2, in.CoreG*in.Width)
	x := stresses(t, b, l, Load{N: in.Load})[1]
	return map[string]any{
		"C": f.CNPerMM, "A0": k.A0N, "S0": k.S0NMM, "D0": k.D0NMM2, "zn": f.AxisMM,
		"EI_formula": f.PressedEINM2 * 1e6, "EI_numeric": figures.Flex.PressedEINM2 * 1e6, "EI_at_C_zero": k.EI(0) * 1e6,
		"core_share": f.CoreShare, "dEI_dC": k.Slope(f.CNPerMM) * 1e6,
		"C_for_EI_minus5pct": low, "C_for_EI_plus5pct": high, "flex_N_per_mm": figures.Flex.PressedNPerMM,
		"at_midspan": map[string]float64{
			"M": x.MomentNM * 1e3, "kappa": x.CurvaturePerM / 1e3,
			"sigma_9000_top": x.Strips[0].TopMPa, "sigma_9000_bottom": x.Strips[0].BottomMPa,
			"sigma_12000_top": x.Strips[1].TopMPa, "sigma_12000_bottom": x.Strips[1].BottomMPa,
		},
		"shear_V250":        map[string]float64{"q_axis": x.FlowNPerMM, "tau_axis": x.MeanShearMPa},
		"shear_stiffness_S": s, "shear_deflection_at_500N": in.Load * in.Span / (4 * s),
		"bending_deflection_at_500N": in.Load / figures.Flex.PressedNPerMM,
	}
}

func homogeneousRectangle(t *testing.T, raw json.RawMessage) any {
	in := read[struct{ B, H, G float64 }](t, raw)
	b := beam(10, in.B, in.H, 1000, nil, nil)
	s := b.ShearStiffness(Layout{0}, 500, in.G*in.B)
	ratio := s / (in.G * in.B * in.H)
	return map[string]any{"S": s, "S_over_GA": ratio, "expected": ratio}
}

// reference is K3 of mechanics.json with its layout.
func reference(t testing.TB, raw json.RawMessage) (*Board, Layout) {
	t.Helper()
	var in struct {
		Stations [][3]float64
		Width    float64  `json:"strip_width_mm"`
		Strips   []string `json:"strips_per_side_from_centre"`
		Woods    map[string]struct {
			E, Rho, CV float64
		}
		Layers []struct {
			Place, Name string
			Order       int
			E           float64 `json:"E_MPa"`
			Thickness   float64 `json:"thickness_mm"`
			Density     float64
		}
		Edges struct{ E, W, H, Rho, X0, X1 float64 } `json:"steel_edges"`
		Walls struct{ E, W, Rho, X0, X1 float64 }    `json:"side_walls"`
		At    float64                                `json:"load_at_mm"`
	}
	if err := json.Unmarshal(raw, &in); err != nil {
		t.Fatal(err)
	}
	b := &Board{Name: "reference", Section: Pressed, SpanMM: 1000, MeasureAtMM: in.At}
	for _, s := range in.Stations {
		b.Stations = append(b.Stations, Station{s[0], s[1], s[2]})
	}
	names := []string{"poplar", "ash"}
	for _, n := range names {
		w := in.Woods[n]
		b.Woods = append(b.Woods, wood(n, w.E/1e3, w.Rho, 100*w.CV))
	}
	var l Layout
	for _, n := range in.Strips {
		l = append(l, map[string]int{"poplar": 0, "ash": 1}[n])
	}
	b.Positions = []Position{{Name: "all", Strips: len(l), StripWidthMM: in.Width}}
	for _, y := range in.Layers {
		b.Layers = append(b.Layers, Layer{Name: y.Name, Place: Place(y.Place), Order: y.Order, ModulusGPa: y.E / 1e3,
			ThicknessMM: y.Thickness, DensityKgM3: y.Density, CoreOnly: true})
	}
	e, w := in.Edges, in.Walls
	b.Layers = append(b.Layers,
		// Flush with the base: as deep in it as it is thicker than the base.
		Layer{Name: "steel_edges", Place: Below, Order: 2, ModulusGPa: e.E / 1e3, ThicknessMM: e.H, WidthMM: 2 * e.W,
			LetInMM: e.H - 1.2, DensityKgM3: e.Rho, FromMM: e.X0, ToMM: e.X1},
		Layer{Name: "side_walls", Place: Beside, Order: 1, ModulusGPa: w.E / 1e3, WidthMM: w.W, DensityKgM3: w.Rho, FromMM: w.X0, ToMM: w.X1})
	return b, l
}

func referenceBoard(t *testing.T, raw json.RawMessage) any {
	b, l := reference(t, raw)
	f := evaluate(t, b, l)
	var stations []map[string]float64
	for _, s := range f.Stations {
		stations = append(stations, map[string]float64{
			"from_tip_mm": s.FromTipMM, "core_width_mm": s.WidthMM, "core_thickness_mm": s.ThicknessMM, "C_N_per_mm": s.CNPerMM,
			"zn_mm": s.AxisMM, "EI_N_m2": s.PressedEINM2, "core_share": s.CoreShare, "EI_bare_core_N_m2": s.CoreEINM2,
		})
	}
	spans := map[string]any{}
	for _, span := range []float64{800, 900, 1000, 1100, 1200} {
		c := *b
		c.SpanMM = span
		flex := evaluate(t, &c, l).Flex
		spans[fmt.Sprint(span)] = map[string]float64{"flex_N_per_mm": flex.PressedNPerMM, "EI_effective_N_m2": flex.PressedEINM2}
	}
	mass := map[string]any{
		"core_by_wood": map[string]float64{"poplar": f.WoodMassByG[0], "ash": f.WoodMassByG[1]},
		"core":         f.CoreMassG, "total_without_glue_inserts": f.PressedMassG,
	}
	for _, layer := range b.Layers {
		c := *b
		c.Layers = []Layer{layer}
		mass[layer.Name], _ = c.LayersMassG()
	}
	plan := *b // the area is the mass of a layer of unit density and thickness
	plan.Layers = []Layer{{Name: "plan", Place: Above, Order: 1, ModulusGPa: 1, ThicknessMM: 1, DensityKgM3: 1}}
	area, _ := plan.LayersMassG()
	k := b.SectionAt(b.MeasureAtMM, Pressed)
	low, _ := k.C(0.95 * f.Measure.PressedEINM2)
	high, _ := k.C(1.05 * f.Measure.PressedEINM2)
	sensitivity := map[string]any{}
	p := prepare(t, b)
	form, c := p.FlexForm(Pressed), spanC(b, p, l)
	slope := make([]float64, len(c))
	compliance := form.Gradient(c, slope)
	// along is the tangent's change of the compliance when a share of what the strip has in C is added.
	along := func(strip int, of func(g Group) []float64) (sum float64) {
		for _, g := range b.Groups() {
			if slices.Contains(g.Strips, strip) {
				for i, add := range of(g) {
					sum += slope[i] * add
				}
			}
		}
		return sum
	}
	var weights []float64 // of one of a strip's two pieces
	var weightSum float64
	for strip, wood := range l {
		w := -along(strip, func(g Group) []float64 { return p.FlexC(g, wood) }) / compliance
		weights, weightSum = append(weights, w/2), weightSum+w
	}
	for _, strip := range []int{1, 6, 9} {
		changed := append(Layout(nil), l...)
		changed[strip-1] = 1
		flex := evaluate(t, b, changed).Flex
		sensitivity[fmt.Sprintf("strip %d both sides, poplar to ash", strip)] = map[string]float64{
			"d_compliance_tangent": along(strip-1, func(g Group) []float64 { return p.FlexC(g, 1) }) -
				along(strip-1, func(g Group) []float64 { return p.FlexC(g, 0) }),
			"d_compliance_exact": 1/flex.PressedNPerMM - 1/f.Flex.PressedNPerMM,
			"flex_change_pct":    100 * (flex.PressedNPerMM/f.Flex.PressedNPerMM - 1),
		}
	}
	return map[string]any{
		"stations": stations, "kinks_mm": b.Kinks(), "flex_by_span_mm": spans,
		"flex_finite_elements_span_1000": f.Flex.PressedNPerMM, "bare_core_flex_span_1000": f.Flex.CoreNPerMM,
		"mass_g": mass, "core_volume_cm3": f.VolumeCM3, "plan_area_m2": area, // 1 kg/m³ × 1 mm is 1 g/m²
		"window_780_pm5pct": map[string]float64{"C_low": low, "C": f.Measure.CNPerMM, "C_high": high},
		"sensitivity":       sensitivity,
		"scatter_independent": map[string]any{
			"cv_C_780": f.Scatter.CPct / 100, "core_share_780": f.Measure.CoreShare, "cv_EI_780": f.Scatter.EIPct / 100,
			"cv_flex_first_order": f.Scatter.FlexPct / 100, "cv_flex_simulated_40000": f.Scatter.FlexPct / 100,
			"weight_per_strip": weights, "weight_sum": weightSum,
			"left_right_sd_over_C": f.Scatter.LeftRightPct / 100,
		},
	}
}

// curlOfTwo takes the strip that wants to shrink as the core, glued in under tension, and the other layer on top.
func curlOfTwo(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Layer  float64 `json:"layer_mm"`
		Strain float64 `json:"free_strain_bottom"`
	}](t, raw)
	b := beam(10, 10, in.Layer, 100, []Layer{{ModulusGPa: 10, ThicknessMM: in.Layer}}, nil)
	b.Positions[0].PreStrain = -in.Strain
	s := evaluate(t, b, Layout{0}).PreStress
	near(t, "camber of a uniform curvature", s.CamberMM, s.CamberPerM/1e3*100*100/8, 1e-12)
	return map[string]any{"kappa_per_m": s.CamberPerM} // hogging: the middle rises
}

func taperedEdge(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		B   float64 `json:"b_m"`
		H   float64 `json:"h0_m"`
		Tan float64
	}](t, raw)
	// From h0 at the ends to 3 h0 in the middle: twice h0 at a quarter.
	half := 2 * in.H / in.Tan * 1e3
	b := beam(10, in.B*1e3, in.H*1e3, 2*half, nil, nil)
	b.Stations = []Station{{0, in.B * 1e3, in.H * 1e3}, {half / 2, in.B * 1e3, 2 * in.H * 1e3}, {half, in.B * 1e3, 3 * in.H * 1e3},
		{2 * half, in.B * 1e3, in.H * 1e3}}
	x := stresses(t, b, Layout{0}, Load{N: 1000})[1]
	if x.FromTipMM != half/2 {
		t.Fatalf("the cross-section is at %g mm", x.FromTipMM)
	}
	return map[string]any{"fx_per_M": x.Strips[0].BottomMPa * 1e6 / x.MomentNM} // Pa per N·m
}
