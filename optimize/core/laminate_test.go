package core_test

import (
	"math"
	"strings"
	"testing"

	. "stavewright/optimize/core"
)

func TestPliesThatCannotBe(t *testing.T) {
	good := Ply{ThicknessMM: 0.2, E1GPa: 38.6, E2GPa: 8.27, G12GPa: 4.14, Nu12: 0.26, DensityKgM3: 1800}
	for _, tt := range []struct {
		name  string
		spoil func(p *Ply)
		want  string
	}{
		{"thickness", func(p *Ply) { p.ThicknessMM = 0 }, "ply 2: thickness is 0 and must be above 0"},
		{"E1", func(p *Ply) { p.E1GPa = -1 }, "ply 2: E1 is -1"},
		{"E2", func(p *Ply) { p.E2GPa = math.NaN() }, "ply 2: E2 is NaN"},
		{"G12", func(p *Ply) { p.G12GPa = math.Inf(1) }, "ply 2: G12 is +Inf"},
		{"nu12", func(p *Ply) { p.Nu12 = 2.2 }, "ply 2: nu12 is 2.2 and must lie between ±√(E1/E2) = ±2.160"},
		{"angle", func(p *Ply) { p.AngleDeg = math.NaN() }, "ply 2: angle is NaN"},
		{"density", func(p *Ply) { p.DensityKgM3 = -1 }, "ply 2: density is -1"},
	} {
		bad := good
		tt.spoil(&bad)
		if _, err := LaminateModulus([]Ply{good, bad}); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: error %v, want … %s …", tt.name, err, tt.want)
		}
	}
	if _, err := LaminateModulus(nil); err == nil {
		t.Error("a laminate of no plies")
	}
}

func TestLaminateAsOneLayer(t *testing.T) {
	plies := []Ply{
		{0, 0.3, 38.6, 8.27, 4.14, 0.26, 1900},
		{45, 0.1, 38.6, 8.27, 4.14, 0.26, 1700},
		{-45, 0.1, 38.6, 8.27, 4.14, 0.26, 1700},
	}
	l := laminate(t, plies)
	near(t, "thickness", l.ThicknessMM, 0.5, 1e-12)
	near(t, "density", l.DensityKgM3, 0.6*1900+0.4*1700, 1e-12)
	if l.FreeGPa >= l.HeldGPa {
		t.Errorf("free to contract %g GPa, held %g: holding cannot soften", l.FreeGPa, l.HeldGPa)
	}
	turned := laminate(t, []Ply{plies[2], plies[0], plies[1]})
	near(t, "free, other order", turned.FreeGPa, l.FreeGPa, 1e-12)
	near(t, "shear, other order", turned.ShearGPa, l.ShearGPa, 1e-12)
	plies[1].DensityKgM3 = 0
	if l := laminate(t, plies); l.DensityKgM3 != 0 {
		t.Errorf("density %g of a laminate with a ply of unknown density", l.DensityKgM3)
	}
}

// A plate of one isotropic material keeps its modulus whatever the angles.
func TestIsotropicPlies(t *testing.T) {
	ply := Ply{ThicknessMM: 1, E1GPa: 70, E2GPa: 70, G12GPa: 70 / 2.6, Nu12: 0.3}
	var plies []Ply
	for _, a := range []float64{0, 17, 45, 90, -60, 180, 720} {
		ply.AngleDeg = a
		plies = append(plies, ply)
	}
	l := laminate(t, plies)
	near(t, "free", l.FreeGPa, 70, 1e-12)
	near(t, "held", l.HeldGPa, 70/(1-0.09), 1e-12)
	near(t, "shear", l.ShearGPa, 70/2.6, 1e-12)
}
