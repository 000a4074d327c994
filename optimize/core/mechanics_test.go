package core_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	. "stavewright/optimize/core"
	"stavewright/species"
)

// A published case of testdata/published/mechanics.json.
type published struct {
	ID, Title       string
	Source          struct{ Work, Locator string }
	Input           json.RawMessage
	Published       any
	ToleranceRel    float64            `json:"tolerance_rel"`
	ToleranceRelFor map[string]float64 `json:"tolerance_rel_for"`
}

// numbers is a JSON value as its numbers by path: {"a": [1, {"b": 2}]} is a[0], a[1].b.
func numbers(v any) map[string]float64 {
	out := map[string]float64{}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, e := range v {
				walk(strings.TrimPrefix(path+"."+k, "."), e)
			}
		case []any:
			for i, e := range v {
				walk(fmt.Sprintf("%s[%d]", path, i), e)
			}
		case float64:
			out[path] = v
		default:
			panic(fmt.Sprintf("%s: %T is no number", path, v))
		}
	}
	walk("", v)
	return out
}

// elsewhere are the published numbers that this package has no business with, by case and path (or its beginning).
var elsewhere = map[string][]string{
	"MC-07": {"stress_MPa.face_thin"}, // the thin-face approximation, which the program does not use
	"MC-08": {"stress_psi.face_thin"},
	"MC-09": {"stress_MPa.face_thin"},
	"MC-48": {"fxy_per_M", "fy_per_M"},                                       // the slope of a core profile is 1 in 50 or less: they stay below 1/50 and 1/2500 of fx
	"K1":    {"shear_V250.q_top_interface", "shear_V250.q_bottom_interface"}, // the glue to the layers is not rated
	"K3": {
		"torsion_780",
	},
}

// ours computes what a case publishes, in its units, through the package's own form.
var ours = map[string]func(t *testing.T, input json.RawMessage) any{
	"MC-01": steelPlateBelow, "MC-02": steelStrapBelow, "MC-03": sideBySide, "MC-04": steelT, "MC-05": widerPlate,
	"MC-06": sevenLayers, "MC-07": sandwichMetric, "MC-08": sandwichInches, "MC-09": sandwichGlass,
	"MC-10": sandwichThreePoint, "MC-11": sandwichFourPoint,
	"MC-12": beamConstants, "MC-13": quarterPoints, "MC-14": twoLoads, "MC-16": steppedCantilever,
	"MC-17": steppedUniform, "MC-19": steppedCentre, "MC-20": taperedCantilever, "MC-21": triangularLeaf,
	"MC-22": doublyTapered, "MC-23": shearOfConstantDepth, "MC-24": shearOfSmallClear,
	"MC-25": plyReduced, "MC-26": plyRotated, "MC-27": plyStack, "MC-28": quasiIsotropic, "MC-29": crossAndAngle,
	"MC-30": inchLaminate, "MC-31": allAt45, "MC-32": glassStacks,
	"MC-35": meanOfStrips, "MC-37": weightedStrips, "MC-47": curlOfTwo, "MC-48": taperedEdge,
	"K1": prismaticBoard, "K2": homogeneousRectangle, "K3": referenceBoard,
}

func cases(t *testing.T) []published {
	t.Helper()
	raw, err := os.ReadFile("../../testdata/published/mechanics.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []published }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	return file.Cases
}

func caseOf(t *testing.T, id string) published {
	t.Helper()
	for _, c := range cases(t) {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("there is no case %s", id)
	return published{}
}

func TestPublished(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range cases(t) {
		seen[c.ID] = true
		t.Run(c.ID, func(t *testing.T) {
			compute := ours[c.ID]
			if compute == nil {
				t.Fatalf("%s: nothing computes it", c.Title)
			}
			raw, err := json.Marshal(compute(t, c.Input))
			if err != nil {
				t.Fatal(err)
			}
			var v any
			if err := json.Unmarshal(raw, &v); err != nil {
				t.Fatal(err)
			}
			got := numbers(v)
			for path, want := range numbers(c.Published) {
				if isElsewhere(c.ID, path) {
					continue
				}
				tolerance := c.ToleranceRel
				if tol, ok := c.ToleranceRelFor[path]; ok {
					tolerance = tol
				}
				have, ok := got[path]
				if !ok {
					t.Errorf("%s is published and not computed (%s, %s)", path, c.Source.Work, c.Source.Locator)
				}
				// A published 0 (a coupling that vanishes) is held to the tolerance times the case's other figures, which
				// are never below 1.
				if math.Abs(have-want) > tolerance*max(math.Abs(want), zeroScale(want)) {
					t.Errorf("%s = %.10g, published %.10g, relative tolerance %g (%s, %s)", path, have, want, tolerance,
						c.Source.Work, c.Source.Locator)
				}
			}
		})
	}
	for id := range ours {
		if !seen[id] {
			t.Errorf("%s is computed but not in the file", id)
		}
	}
}

func zeroScale(want float64) float64 {
	if want == 0 {
		return 1
	}
	return 0
}

func isElsewhere(id, path string) bool {
	for _, p := range elsewhere[id] {
		if strings.HasPrefix(path, p) {
			return true
		}
	}
	return false
}

func read[T any](t *testing.T, raw json.RawMessage) T {
	t.Helper()
	var v T
	if err := json.Unmarshal(raw, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

const (
	gpaPerKsi = 6.894757293168e-3 // 1000 lbf/in² with 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm
	mmPerIn   = 25.4
	nPerKip   = 4448.2216152605
	psiPerGPa = 1e3 / gpaPerKsi
)

// wood is a wood of a test, with nothing but what counts there.
func wood(id string, modulusGPa, density, cvPct float64) species.Wood {
	read := func(v float64) species.Figure { return species.Figure{Value: v, Status: species.Read} }
	w := species.Wood{ID: id, ModulusGPa: read(modulusGPa), DensityKgM3: read(density), CrossGrainGPa: read(modulusGPa / 20),
		SpecificGravity: read(density / 1100), BendingStrengthMPa: read(8 * modulusGPa), ShearMPa: read(density / 60)}
	if cvPct > 0 {
		w.ModulusCVPct = read(cvPct)
	}
	return w
}

// beam is a prismatic board of one strip of wood: a core of modulus E GPa, b wide and t thick, between layers given
// from the core outward.
func beam(e, b, t, length float64, above, below []Layer) *Board {
	board := &Board{
		Name:        "beam",
		Section:     Pressed,
		Stations:    []Station{{0, b, t}, {length, b, t}},
		Positions:   []Position{{Name: "core", Strips: 1, StripWidthMM: b, OnCentreLine: true}},
		Woods:       []species.Wood{wood("core", e, 500, 10)},
		SpanMM:      length,
		MeasureAtMM: length / 2,
	}
	for place, layers := range map[Place][]Layer{Above: above, Below: below} {
		for i, l := range layers {
			l.Place, l.Order, l.DensityKgM3 = place, i+1, 1000
			board.Layers = append(board.Layers, l)
		}
	}
	return board
}

func evaluate(t *testing.T, b *Board, l Layout) Figures {
	t.Helper()
	f, err := b.Evaluate(l)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// strips are the stresses of the woods under the load that bends the middle of the span by m N·mm.
func strips(t *testing.T, b *Board, l Layout, m float64) []StripStress {
	t.Helper()
	for _, x := range stresses(t, b, l, Load{N: 4 * m / b.SpanMM}) {
		if x.FromTipMM == b.MiddleMM() {
			return x.Strips
		}
	}
	t.Fatal("no cross-section in the middle")
	return nil
}

// stress of a layer in GPa at z mm from the core's mid-plane, tension positive, of modulus e GPa in a section of f under
// m N·mm: the program rates no layer.
func stress(f SectionFigures, e, m, z float64) float64 {
	kappa := m / (f.PressedEINM2 * 1e6)
	return -e * kappa * (z - f.AxisMM)
}

type layerIn struct {
	EKsi    float64 `json:"E_ksi"`
	WidthIn float64 `json:"width_in"`
	ThickIn float64 `json:"thickness_in"`
	EGPa    float64 `json:"E_GPa"`
	WidthMM float64 `json:"width_mm"`
	ThickMM float64 `json:"thickness_mm"`
}

func steelPlateBelow(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Layers []layerIn `json:"layers_bottom_to_top"`
		M      float64   `json:"M_kip_in"`
	}](t, raw)
	steel, timber := in.Layers[0], in.Layers[1]
	ts, tw := steel.ThickIn*mmPerIn, timber.ThickIn*mmPerIn
	b := beam(timber.EKsi*gpaPerKsi, timber.WidthIn*mmPerIn, tw, 1000, nil,
		[]Layer{{ModulusGPa: steel.EKsi * gpaPerKsi, ThicknessMM: ts, WidthMM: steel.WidthIn * mmPerIn}})
	f := evaluate(t, b, Layout{0}).Measure
	m := in.M * nPerKip * mmPerIn
	eWood, eSteel := timber.EKsi*gpaPerKsi, steel.EKsi*gpaPerKsi
	at := func(e, z float64) float64 { return stress(f, e, m, z) * psiPerGPa }
	w := strips(t, b, Layout{0}, m)[0]
	// Each part's own I about the common axis: the core's is what of EI it carries, over its modulus.
	iWood := f.CoreShare * f.PressedEINM2 * 1e3 / eWood / math.Pow(mmPerIn, 4)
	return map[string]any{
		"h1_top_to_axis_in":    (tw/2 - f.AxisMM) / mmPerIn,
		"h2_axis_to_bottom_in": (tw/2 + ts + f.AxisMM) / mmPerIn,
		"I_wood_in4":           iWood,
		"I_steel_in4":          (1 - f.CoreShare) * f.PressedEINM2 * 1e3 / eSteel / math.Pow(mmPerIn, 4),
		"stress_psi": map[string]float64{
			"wood_top": w.TopMPa / 1e3 * psiPerGPa, "wood_bottom": w.BottomMPa / 1e3 * psiPerGPa,
			"steel_bottom": at(eSteel, -tw/2-ts), "steel_top": at(eSteel, -tw/2),
		},
	}
}

func steelStrapBelow(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Layers []layerIn `json:"layers_bottom_to_top"`
		M      float64   `json:"M_kN_m"`
	}](t, raw)
	steel, timber := in.Layers[0], in.Layers[1]
	b := beam(timber.EGPa, timber.WidthMM, timber.ThickMM, 1000, nil,
		[]Layer{{ModulusGPa: steel.EGPa, ThicknessMM: steel.ThickMM, WidthMM: steel.WidthMM}})
	f := evaluate(t, b, Layout{0}).Measure
	bottom := -timber.ThickMM/2 - steel.ThickMM
	return map[string]any{
		"axis_from_bottom_m": (f.AxisMM - bottom) / 1e3,
		"I_steel_units_m4":   f.PressedEINM2 / (steel.EGPa * 1e9),
		"stress_MPa": map[string]float64{
			"steel_bottom": 1e3 * stress(f, steel.EGPa, in.M*1e6, bottom),
			"wood_top":     -strips(t, b, Layout{0}, in.M*1e6)[0].TopMPa, // printed as a size
		},
	}
}

func sideBySide(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Strips []layerIn
		Height float64 `json:"height_in"`
		M      float64 `json:"M_kip_in"`
	}](t, raw)
	brass, steel := in.Strips[0], in.Strips[1]
	h := in.Height * mmPerIn
	b := &Board{
		Name: "three strips", Section: Bare,
		Stations: []Station{{0, 1.55 * mmPerIn, h}, {1000, 1.55 * mmPerIn, h}},
		Positions: []Position{
			{Name: "steel", Strips: 1, StripWidthMM: steel.WidthIn * mmPerIn, OnCentreLine: true},
			{Name: "brass", Strips: 1, StripWidthMM: brass.WidthIn * mmPerIn},
		},
		Woods:       []species.Wood{wood("steel", steel.EKsi*gpaPerKsi, 7850, 0), wood("brass", brass.EKsi*gpaPerKsi, 8500, 0)},
		MeasureAtMM: 500, SpanMM: 1000,
	}
	f := evaluate(t, b, Layout{0, 1}).Measure
	s := strips(t, b, Layout{0, 1}, in.M*nPerKip*mmPerIn)
	return map[string]any{
		"I_brass_units_in4": f.CoreEINM2 * 1e3 / (brass.EKsi * gpaPerKsi) / math.Pow(mmPerIn, 4),
		"stress_ksi":        map[string]float64{"brass": s[1].BottomMPa / 1e3 / gpaPerKsi, "steel": s[0].BottomMPa / 1e3 / gpaPerKsi},
	}
}

func steelT(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Strips []layerIn
		Height float64   `json:"strip_height_mm"`
		Above  []layerIn `json:"layers_above"`
		M      float64   `json:"M_kN_m"`
	}](t, raw)
	web, timber, plate := in.Strips[0], in.Strips[1], in.Above[0]
	width := web.WidthMM + timber.WidthMM // timber is the width of both together
	b := &Board{
		Name: "steel T", Section: Pressed,
		Stations: []Station{{0, width, in.Height}, {1000, width, in.Height}},
		Positions: []Position{
			{Name: "web", Strips: 1, StripWidthMM: web.WidthMM, OnCentreLine: true},
			{Name: "timber", Strips: 1, StripWidthMM: timber.WidthMM / 2},
		},
		Layers:      []Layer{{Name: "plate", Place: Above, Order: 1, ModulusGPa: plate.EGPa, ThicknessMM: plate.ThickMM, WidthMM: plate.WidthMM}},
		Woods:       []species.Wood{wood("steel", web.EGPa, 7850, 0), wood("timber", timber.EGPa, 500, 0)},
		MeasureAtMM: 500, SpanMM: 1000,
	}
	f := evaluate(t, b, Layout{0, 1}).Measure
	m := in.M * 1e6
	top := in.Height/2 + plate.ThickMM
	return map[string]any{
		"axis_above_strip_midplane_m": f.AxisMM / 1e3,
		"I_wood_units_m4":             f.PressedEINM2 / (timber.EGPa * 1e9),
		"stress_MPa": map[string]float64{
			"wood_max":  strips(t, b, Layout{0, 1}, m)[1].BottomMPa,
			"steel_top": -1e3 * stress(f, plate.EGPa, m, top),
		},
	}
}

func widerPlate(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Wood struct {
			EGPa    float64 `json:"E_GPa"`
			WidthMM float64 `json:"width_mm"`
			Height  float64 `json:"height_mm"`
		}
		Steel layerIn `json:"steel_above"`
		M     float64 `json:"M_kN_m"`
	}](t, raw)
	b := beam(in.Wood.EGPa, in.Wood.WidthMM, in.Wood.Height, 1000,
		[]Layer{{ModulusGPa: in.Steel.EGPa, ThicknessMM: in.Steel.ThickMM, WidthMM: in.Steel.WidthMM}}, nil)
	f := evaluate(t, b, Layout{0}).Measure
	at := func(e, z float64) float64 { return 1e3 * stress(f, e, in.M*1e6, z) }
	w := strips(t, b, Layout{0}, in.M*1e6)[0]
	return map[string]any{"stress_MPa": map[string]float64{
		"wood_compression":  -w.TopMPa,
		"wood_tension":      w.BottomMPa,
		"steel_compression": -at(in.Steel.EGPa, in.Wood.Height/2+in.Steel.ThickMM),
	}}
}

func sevenLayers(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Layers []layerIn `json:"layers_bottom_to_top"`
		M      float64   `json:"M_kN_m"`
	}](t, raw)
	layer := func(i int) Layer {
		l := in.Layers[i]
		return Layer{ModulusGPa: l.EGPa, ThicknessMM: l.ThickMM, WidthMM: l.WidthMM}
	}
	middle := in.Layers[3]
	b := beam(middle.EGPa, middle.WidthMM, middle.ThickMM, 1000,
		[]Layer{layer(4), layer(5), layer(6)}, []Layer{layer(2), layer(1), layer(0)})
	f := evaluate(t, b, Layout{0}).Measure
	face := middle.ThickMM/2 + 3 + 40 + 3
	return map[string]any{
		"I_plastic_units_mm4": f.PressedEINM2 * 1e3 / middle.EGPa,
		"stress_MPa": map[string]float64{
			"aluminium": 1e3 * stress(f, 75, in.M*1e6, -face),
			"plastic":   1e3 * stress(f, 3, in.M*1e6, -face+3),
		},
	}
}

// sandwich is a beam of two equal faces on a core; moduli in GPa, lengths in mm, moment in N·mm.
func sandwich(eFace, eCore, b, face, core, length float64) *Board {
	l := []Layer{{ModulusGPa: eFace, ThicknessMM: face}}
	return beam(eCore, b, core, length, l, l)
}

func sandwichMetric(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		B     float64 `json:"b_mm"`
		Face  float64 `json:"t_face_mm"`
		Core  float64 `json:"h_core_mm"`
		EFace float64 `json:"E_face_GPa"`
		ECore float64 `json:"E_core_MPa"`
		M     float64 `json:"M_kN_m"`
	}](t, raw)
	b := sandwich(in.EFace, in.ECore/1e3, in.B, in.Face, in.Core, 1000)
	f := evaluate(t, b, Layout{0}).Measure
	return map[string]any{
		"I_faces_mm4": (1 - f.CoreShare) * f.PressedEINM2 * 1e3 / in.EFace,
		"I_core_mm4":  f.CoreShare * f.PressedEINM2 * 1e6 / in.ECore,
		"EI_N_m2":     f.PressedEINM2,
		"stress_MPa": map[string]float64{
			"face": 1e3 * stress(f, in.EFace, in.M*1e6, -in.Core/2-in.Face),
			"core": strips(t, b, Layout{0}, in.M*1e6)[0].BottomMPa,
		},
	}
}

func sandwichInches(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		B     float64 `json:"b_in"`
		Face  float64 `json:"t_face_in"`
		Core  float64 `json:"h_core_in"`
		EFace float64 `json:"E_face_psi"`
		ECore float64 `json:"E_core_psi"`
		M     float64 `json:"M_kip_in"`
	}](t, raw)
	b := sandwich(in.EFace/psiPerGPa, in.ECore/psiPerGPa, in.B*mmPerIn, in.Face*mmPerIn, in.Core*mmPerIn, 1000)
	f := evaluate(t, b, Layout{0}).Measure
	ei := f.PressedEINM2 * 1e6 / (nPerKip / 1e3) / (mmPerIn * mmPerIn) // lb·in²
	m := in.M * nPerKip * mmPerIn
	return map[string]any{
		"I_faces_in4": (1 - f.CoreShare) * ei / in.EFace,
		"I_core_in4":  f.CoreShare * ei / in.ECore,
		"EI_lb_in2":   ei,
		"stress_psi": map[string]float64{
			"face": stress(f, in.EFace, m, -(in.Core/2+in.Face)*mmPerIn),
			"core": strips(t, b, Layout{0}, m)[0].BottomMPa / 1e3 * psiPerGPa,
		},
	}
}

func sandwichGlass(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		B     float64 `json:"b_mm"`
		Face  float64 `json:"t_face_mm"`
		Core  float64 `json:"h_core_mm"`
		EFace float64 `json:"E_face_GPa"`
		ECore float64 `json:"E_core_GPa"`
		M     float64 `json:"M_N_m"`
	}](t, raw)
	b := sandwich(in.EFace, in.ECore, in.B, in.Face, in.Core, 1000)
	return map[string]any{"stress_MPa": map[string]float64{
		"face": 1e3 * stress(evaluate(t, b, Layout{0}).Measure, in.EFace, in.M*1e3, -in.Core/2-in.Face),
		"core": strips(t, b, Layout{0}, in.M*1e3)[0].BottomMPa,
	}}
}

type foamSandwich struct {
	B     float64 `json:"b_mm"`
	Face  float64 `json:"t_mm"`
	Core  float64 `json:"c_mm"`
	EFace float64 `json:"E_face_MPa"`
	ECore float64 `json:"E_core_MPa"`
	GCore float64 `json:"G_core_MPa"`
	Span  float64 `json:"span_mm"`
	Inner float64 `json:"inner_span_mm"`
	F     float64 `json:"F_N"`
	FAll  float64 `json:"F_total_N"`
}

// board with faces that do not give in shear, as the source has them.
func (s foamSandwich) board() *Board {
	b := sandwich(s.EFace/1e3, s.ECore/1e3, s.B, s.Face, s.Core, s.Span)
	for i := range b.Layers {
		b.Layers[i].ShearGPa = 1e5
	}
	return b
}

func sandwichThreePoint(t *testing.T, raw json.RawMessage) any {
	in := read[foamSandwich](t, raw)
	b := in.board()
	f := evaluate(t, b, Layout{0})
	s := b.ShearStiffness(Layout{0}, in.Span/2, in.GCore*in.B)
	return map[string]any{
		"EI_N_mm2":   f.Measure.PressedEINM2 * 1e6,
		"AG_N":       s,
		"bending_mm": in.F / f.Flex.PressedNPerMM,
		"shear_mm":   in.F * in.Span / (4 * s),
	}
}

func sandwichFourPoint(t *testing.T, raw json.RawMessage) any {
	in := read[foamSandwich](t, raw)
	b := in.board()
	k := b.SectionAt(in.Span/2, Pressed)
	a := (in.Span - in.Inner) / 2
	load := in.FAll / 2
	ei := func(x float64) float64 { return k.EI(b.C(Layout{0}, x)) * 1e6 }
	s := b.ShearStiffness(Layout{0}, in.Span/2, in.GCore*in.B)
	return map[string]any{
		"bending_mm": deflection([]float64{0, a, in.Span - a, in.Span}, ei, func(x float64) float64 {
			return load * (onTwo(in.Span, a, x) + onTwo(in.Span, in.Span-a, x))
		}, func(x float64) float64 { return onTwo(in.Span, a, x) }),
		"shear_mm": load * a / s, // the shear force is half the load outside the inner span, none within
	}
}

// deflection is ∫ M m/EI dx by the package's quadrature.
func deflection(kinks []float64, ei, moment, unit func(float64) float64) float64 {
	xs, weights := Nodes(kinks)
	var sum float64
	for i, x := range xs {
		sum += weights[i] * moment(x) * unit(x) / ei(x)
	}
	return sum
}

// onTwo is the moment at x of a unit load at a on supports at 0 and l.
func onTwo(l, a, x float64) float64 { return min(x*(l-a), a*(l-x)) / l }

// shearOnTwo is the shear force at x of a unit load at a on supports at 0 and l.
func shearOnTwo(l, a, x float64) float64 {
	if x < a {
		return (l - a) / l
	}
	return -a / l
}

func constant(v float64) func(float64) float64 { return func(float64) float64 { return v } }

func beamConstants(t *testing.T, raw json.RawMessage) any {
	// Length, whole load, EI and G A' are 1. Each load is its moment and its shear force.
	type load struct{ moment, shear func(float64) float64 }
	middle := func(f func(l, a, x float64) float64, a float64) func(float64) float64 {
		return func(x float64) float64 { return f(1, a, x) }
	}
	both := func(f func(l, a, x float64) float64) func(float64) float64 {
		return func(x float64) float64 { return (f(1, 0.25, x) + f(1, 0.75, x)) / 2 }
	}
	uniform := load{func(x float64) float64 { return x * (1 - x) / 2 }, func(x float64) float64 { return 0.5 - x }}
	centre := load{middle(onTwo, 0.5), middle(shearOnTwo, 0.5)}
	quarters := load{both(onTwo), both(shearOnTwo)}
	outer := load{middle(onTwo, 0.25), middle(shearOnTwo, 0.25)}
	// Cantilevers are clamped at 1.
	ownWeight := load{func(x float64) float64 { return x * x / 2 }, func(x float64) float64 { return x }}
	end := load{func(x float64) float64 { return x }, constant(1)}
	var kb, ks []float64
	for _, c := range []struct{ is, unit load }{
		{uniform, centre}, {centre, centre}, {quarters, centre}, {quarters, outer}, {ownWeight, end}, {end, end},
	} {
		kinks := []float64{0, 0.25, 0.5, 0.75, 1}
		kb = append(kb, deflection(kinks, constant(1), c.is.moment, c.unit.moment))
		ks = append(ks, deflection(kinks, constant(1), c.is.shear, c.unit.shear))
	}
	return map[string]any{"kb": kb, "ks": ks}
}

// shearOfConstantDepth is the shear deflection by the program's own shear stiffness, in units of P L/(G b h).
func shearOfConstantDepth(t *testing.T, raw json.RawMessage) any {
	const width, depth, g = 20, 8, 500
	b := beam(10, width, depth, 1000, nil, nil)
	compliance := g * width * depth / b.ShearStiffness(Layout{0}, 500, g*width)
	by := func(shear func(float64) float64) float64 {
		return deflection([]float64{0, 0.5, 1}, constant(1), shear, func(x float64) float64 { return shearOnTwo(1, 0.5, x) }) * compliance
	}
	return map[string]any{
		"uniform": by(func(x float64) float64 { return 0.5 - x }),
		"centre":  by(func(x float64) float64 { return shearOnTwo(1, 0.5, x) }),
	}
}

// shearOfSmallClear is what shear adds to the deflection of a bare piece in the three-point test.
func shearOfSmallClear(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Slender float64 `json:"span_over_depth"`
		EOverG  float64 `json:"E_over_G"`
	}](t, raw)
	if in.EOverG*WoodShear != 1 {
		t.Fatalf("wood is taken to have E/G %v, the case has %v", 1/WoodShear, in.EOverG)
	}
	const depth = 25
	return map[string]any{"increase": evaluate(t, beam(10, 25, depth, in.Slender*depth, nil, nil), Layout{0}).Flex.ShearPct / 100}
}

func quarterPoints(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Gap float64 `json:"gap_mm"`
		L   float64 `json:"L_m"`
		E   float64 `json:"E_GPa"`
		I   float64 `json:"I_mm4"`
	}](t, raw)
	coef := deflection([]float64{0, 0.25, 0.5, 0.75, 1}, constant(1),
		func(x float64) float64 { return onTwo(1, 0.25, x) + onTwo(1, 0.75, x) },
		func(x float64) float64 { return onTwo(1, 0.5, x) })
	return map[string]any{
		"coef_PL3_over_EI": coef,
		"P_kN":             in.Gap * in.E * in.I / (coef * math.Pow(in.L*1e3, 3)),
	}
}

func twoLoads(t *testing.T, raw json.RawMessage) any {
	in := read[struct{ A float64 }](t, raw)
	moment := func(x float64) float64 { return onTwo(1, in.A, x) + onTwo(1, 1-in.A, x) }
	kinks := []float64{0, in.A, 0.5, 1 - in.A, 1}
	return map[string]any{
		"centre":  deflection(kinks, constant(1), moment, func(x float64) float64 { return onTwo(1, 0.5, x) }),
		"at_load": deflection(kinks, constant(1), moment, func(x float64) float64 { return onTwo(1, in.A, x) }),
	}
}

func steppedCantilever(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		Ratios []float64 `json:"I_fixed_half_over_I_free_half"`
	}](t, raw)
	var out []float64
	for _, r := range in.Ratios {
		ei := func(x float64) float64 { // free at 0
			if x > 0.5 {
				return r
			}
			return 1
		}
		d := deflection([]float64{0, 0.5, 1}, ei, func(x float64) float64 { return x * x / 2 }, func(x float64) float64 { return x })
		out = append(out, d*8)
	}
	return map[string]any{"ratio_to_uniform": out}
}

func twiceInTheMiddle(x float64) float64 {
	if x > 0.25 && x < 0.75 {
		return 2
	}
	return 1
}

func steppedUniform(t *testing.T, raw json.RawMessage) any {
	kinks := []float64{0, 0.25, 0.5, 0.75, 1}
	moment := func(x float64) float64 { return x * (1 - x) / 2 }
	return map[string]any{
		"theta_A":   deflection(kinks, twiceInTheMiddle, moment, func(x float64) float64 { return 1 - x }),
		"delta_mid": deflection(kinks, twiceInTheMiddle, moment, func(x float64) float64 { return onTwo(1, 0.5, x) }),
	}
}

// steppedCentre gives a real board's middle half twice the stiffness, by as much again beside the core.
func steppedCentre(t *testing.T, raw json.RawMessage) any {
	const length = 1000.0
	b := beam(10, 100, 10, length, nil, nil)
	b.Layers = []Layer{{Name: "as much again", Place: Beside, Order: 1, ModulusGPa: 10, WidthMM: 50, FromMM: length / 4, ToMM: 3 * length / 4}}
	f := evaluate(t, b, Layout{0})
	ei := f.Stations[0].CoreEINM2 * 1e6
	return map[string]any{
		"delta_mid": ei / f.Flex.PressedNPerMM / math.Pow(length, 3),
		"theta_A": deflection([]float64{0, 0.25, 0.5, 0.75, 1}, twiceInTheMiddle,
			func(x float64) float64 { return onTwo(1, 0.5, x) }, func(x float64) float64 { return 1 - x }),
	}
}

func taperedCantilever(t *testing.T, raw json.RawMessage) any {
	x := func(x float64) float64 { return x }
	return map[string]any{"delta": deflection([]float64{0, 1}, func(x float64) float64 { return 1 + x }, x, x)}
}

func triangularLeaf(t *testing.T, raw json.RawMessage) any {
	x := func(x float64) float64 { return x }
	return map[string]any{"delta": deflection([]float64{0, 1}, x, x, x)}
}

func doublyTapered(t *testing.T, raw json.RawMessage) any {
	in := read[struct {
		End float64 `json:"depth_end_mm"`
		Mid float64 `json:"depth_mid_mm"`
		B   float64 `json:"b_mm"`
		E   float64 `json:"E_MPa"`
		L   float64 `json:"L_mm"`
		P   float64 `json:"P_N"`
	}](t, raw)
	b := beam(in.E/1e3, in.B, in.End, in.L, nil, nil)
	b.Stations = []Station{{0, in.B, in.End}, {in.L / 2, in.B, in.Mid}, {in.L, in.B, in.End}}
	return map[string]any{"delta_mm": in.P / evaluate(t, b, Layout{0}).Flex.CoreNPerMM}
}
