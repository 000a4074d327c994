package core

import (
	"fmt"
	"math"
)

// A Ply is one unidirectional layer of a fabric: its fibres' angle to the length of the board, its thickness, and its
// elastic constants along (1) and across (2) the fibres.
type Ply struct {
	AngleDeg             float64
	ThicknessMM          float64
	E1GPa, E2GPa, G12GPa float64
	Nu12                 float64 // no unit
	DensityKgM3          float64 // 0: not known
}

// A Laminate is what a stack of plies amounts to as one layer.
type Laminate struct {
	FreeGPa     float64 // modulus along the board, free to contract sideways: 1/(h (A⁻¹)₁₁)
	HeldGPa     float64 // the same held sideways, as by a stiff wide core: A₁₁/h
	ShearGPa    float64 // in-plane shear modulus: 1/(h (A⁻¹)₆₆)
	ThicknessMM float64
	DensityKgM3 float64 // 0 when that of a ply is not known
}

// LaminateModulus is a stack of plies as one layer, by classical lamination theory (Kaw, Mechanics of Composite
// Materials, 2nd ed., chapter 4). Only the in-plane stiffness A counts: a thin skin glued to a board cannot curl. The
// order of the plies does not matter. A ply that cannot exist is an error that names it, counted from 1.
func LaminateModulus(plies []Ply) (Laminate, error) {
	abd, err := LaminateABD(plies)
	if err != nil {
		return Laminate{}, err
	}
	var l Laminate
	known := true
	for _, p := range plies {
		l.ThicknessMM += p.ThicknessMM
		l.DensityKgM3 += p.ThicknessMM * p.DensityKgM3
		known = known && p.DensityKgM3 > 0
	}
	l.DensityKgM3 /= l.ThicknessMM
	if !known {
		l.DensityKgM3 = 0
	}
	a := abd.A
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[1][2]) -
		a[0][1]*(a[0][1]*a[2][2]-a[1][2]*a[0][2]) +
		a[0][2]*(a[0][1]*a[1][2]-a[1][1]*a[0][2])
	h := l.ThicknessMM * mpaPerGPa // A is in N/mm
	l.FreeGPa = det / (a[1][1]*a[2][2] - a[1][2]*a[1][2]) / h
	l.HeldGPa = a[0][0] / h
	l.ShearGPa = det / (a[0][0]*a[1][1] - a[0][1]*a[0][1]) / h
	return l, nil
}

// ABD is the stiffness of a laminate about its mid-plane: forces per width from strains (A, N/mm) and curvatures (B, N),
// moments per width from curvatures (D, N·mm). Rows and columns are 1, 2 and 6.
type ABD struct{ A, B, D [3][3]float64 }

// LaminateABD is the stiffness of a stack of plies, the first at the bottom (Kaw, 2nd ed., eqs 4.28). A ply that cannot
// exist is an error that names it, counted from 1.
func LaminateABD(plies []Ply) (ABD, error) {
	if len(plies) == 0 {
		return ABD{}, fmt.Errorf("a laminate needs at least one ply")
	}
	var height float64
	for i, p := range plies {
		if err := p.check(); err != nil {
			return ABD{}, fmt.Errorf("ply %d: %w", i+1, err)
		}
		height += p.ThicknessMM
	}
	var abd ABD
	low := -height / 2
	for _, p := range plies {
		high := low + p.ThicknessMM
		q := p.rotated()
		for i := range q {
			for j := range q[i] {
				abd.A[i][j] += q[i][j] * (high - low)
				abd.B[i][j] += q[i][j] * (high*high - low*low) / 2
				abd.D[i][j] += q[i][j] * (high*high*high - low*low*low) / 3
			}
		}
		low = high
	}
	return abd, nil
}

func (p Ply) check() error {
	for _, v := range []struct {
		name  string
		value float64
	}{{"thickness", p.ThicknessMM}, {"E1", p.E1GPa}, {"E2", p.E2GPa}, {"G12", p.G12GPa}} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("%s is %v and must be above 0", v.name, v.value)
		}
	}
	if math.IsNaN(p.AngleDeg) || math.IsInf(p.AngleDeg, 0) {
		return fmt.Errorf("angle is %v and must be a number of degrees", p.AngleDeg)
	}
	if !(p.DensityKgM3 >= 0) || math.IsInf(p.DensityKgM3, 0) {
		return fmt.Errorf("density is %v and must not be below 0", p.DensityKgM3)
	}
	if limit := math.Sqrt(p.E1GPa / p.E2GPa); !(math.Abs(p.Nu12) < limit) {
		return fmt.Errorf("nu12 is %v and must lie between ±√(E1/E2) = ±%.3f", p.Nu12, limit)
	}
	return nil
}

// reduced is Q of the ply in its own axes, MPa (Kaw, 2nd ed., eqs 2.93).
func (p Ply) reduced() (q11, q12, q22, q66 float64) {
	nu21 := p.Nu12 * p.E2GPa / p.E1GPa
	d := (1 - p.Nu12*nu21) / mpaPerGPa
	return p.E1GPa / d, p.Nu12 * p.E2GPa / d, p.E2GPa / d, p.G12GPa * mpaPerGPa
}

// rotated is Q̄ of the ply in the board's axes, MPa (Kaw, 2nd ed., eqs 2.104).
func (p Ply) rotated() [3][3]float64 {
	q11, q12, q22, q66 := p.reduced()
	s, c := math.Sincos(p.AngleDeg * math.Pi / 180)
	s2, c2, sc := s*s, c*c, s*c
	r11 := q11*c2*c2 + 2*(q12+2*q66)*s2*c2 + q22*s2*s2
	r12 := (q11+q22-4*q66)*s2*c2 + q12*(s2*s2+c2*c2)
	r22 := q11*s2*s2 + 2*(q12+2*q66)*s2*c2 + q22*c2*c2
	r16 := (q11-q12-2*q66)*c2*sc - (q22-q12-2*q66)*s2*sc
	r26 := (q11-q12-2*q66)*s2*sc - (q22-q12-2*q66)*c2*sc
	r66 := (q11+q22-2*q12-2*q66)*s2*c2 + q66*(s2*s2+c2*c2)
	return [3][3]float64{{r11, r12, r16}, {r12, r22, r26}, {r16, r26, r66}}
}
