package core

// Nodes are the points and weights of the quadrature along a board.
func Nodes(kinks []float64) (xs, weights []float64) {
	for _, n := range nodes(kinks) {
		xs, weights = append(xs, n.x), append(weights, n.weight)
	}
	return xs, weights
}

// Kinks are the places that split the integrals of mass.
func (b *Board) Kinks() []float64 {
	_, faces := joints(b.Strips())
	return b.kinks(faces, b.layerEnds())
}

// ShearStiffness is S at x, N, for a core of that shear stiffness Σ G b, N/mm, in place of the woods' own.
func (b *Board) ShearStiffness(l Layout, x, coreShear float64) float64 {
	return 1 / shearCompliance(slabs(b.parts(x, Closed), b.ThicknessMM(x)), b.SectionAt(x, Pressed), b.C(l, x), coreShear)
}

// Reduced is Q, GPa, and Rotated Q̄, GPa.
func (p Ply) Reduced() [3][3]float64 {
	q11, q12, q22, q66 := p.reduced()
	return [3][3]float64{{q11 / mpaPerGPa, q12 / mpaPerGPa, 0}, {q12 / mpaPerGPa, q22 / mpaPerGPa, 0}, {0, 0, q66 / mpaPerGPa}}
}

func (p Ply) Rotated() [3][3]float64 {
	q := p.rotated()
	for i := range q {
		for j := range q[i] {
			q[i][j] /= mpaPerGPa
		}
	}
	return q
}

// WoodShear is G/E of wood.
const WoodShear = woodShear
