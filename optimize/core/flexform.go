package core

// A FlexNode is one point of the quadrature of the three-point test. The deflection per force is a sum over the nodes,
//
//	f = Σ Weight / EI(C)   mm/N, EI in N·m²,
//
// and C at a node is linear in the counts ([Prepared.FlexC]). EI is concave in C, so f is convex in the counts; the flex
// is 1/f.
type FlexNode struct {
	XMM           float64 // from the tip
	Weight        float64 // of the quadrature times the square of the moment of a unit load, N·m² mm/N
	Bare, Pressed Constants
}

// Section is the cross-section at the node.
func (n FlexNode) Section(s Section) Constants {
	if s == Pressed {
		return n.Pressed
	}
	return n.Bare
}

// FlexNodes are the nodes between the supports; nil without a support span. No node lies where the section jumps.
func (p *Prepared) FlexNodes() []FlexNode {
	var nodes []FlexNode
	for _, x := range p.span {
		nodes = append(nodes, FlexNode{XMM: x.x, Weight: x.moment2 * nm2PerNMM2, Bare: x.bare(), Pressed: x.pressed})
	}
	return nodes
}

// FlexC is by node what one strip of the group, all its pieces, adds to C if it is of that wood (an index into Woods),
// N/mm: [Board.StripC] at the nodes. Where a pad is it is the pad's, whatever the wood.
func (p *Prepared) FlexC(g Group, wood int) []float64 {
	strip := g.Strips[0]
	modulus := p.board.Woods[wood].ModulusGPa.Value * mpaPerGPa
	c := make([]float64, len(p.span))
	for i, x := range p.span {
		c[i] = modulus * x.free[strip]
		for _, t := range x.turned {
			if t.strip == strip {
				c[i] += t.c
			}
		}
	}
	return c
}

// A FlexForm is the three-point test of one section as a function of C at the nodes. It may be used by many goroutines
// at once.
type FlexForm struct {
	weights  []float64
	sections []Constants
}

// FlexForm is the test of that section. Without a support span it has no nodes, and the compliance is 0.
func (p *Prepared) FlexForm(s Section) *FlexForm {
	f := new(FlexForm)
	for _, x := range p.span {
		f.weights = append(f.weights, x.moment2*nm2PerNMM2)
		f.sections = append(f.sections, x.section(s))
	}
	return f
}

// Compliance is the deflection per force, mm/N, at C by node, N/mm.
func (f *FlexForm) Compliance(c []float64) float64 {
	var sum float64
	for i, k := range f.sections {
		sum += f.weights[i] / k.EI(c[i])
	}
	return sum
}

// Gradient is Compliance, and fills slope with its derivative by C at each node, mm/N per N/mm: −Weight EI'(C)/EI². None
// is above 0. Because the compliance is convex, for every other C
//
//	f(C') ≥ f(C) + Σ slope·(C' − C).
func (f *FlexForm) Gradient(c, slope []float64) float64 {
	var sum float64
	for i, k := range f.sections {
		ei := k.EI(c[i])
		share := f.weights[i] / ei
		sum += share
		slope[i] = -share * k.Slope(c[i]) / ei
	}
	return sum
}
