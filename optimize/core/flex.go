package core

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

const (
	// The integrand of the deflection is rational in x. Gauss–Legendre converges geometrically in the number of points,
	// the faster the less thickness and C change within a piece: with no more than a doubling, 16 points reach rounding
	// whatever the board.
	gaussPoints = 16
	mostRatio   = 2
	anyWoodGPa  = 10.0

	// woodShear is G/E of wood, about 1/16 (Wood Handbook, FPL-GTR-190, section 9 on torsion). A pad is taken at the same
	// part of its modulus across the grain, which is of the order of the rolling shear modulus.
	woodShear = 1.0 / 16
)

// A node is one point of the quadrature along the board, mm, with its weight, mm.
type node struct{ x, weight float64 }

// nodes are the Gauss–Legendre points of the stretches between neighbouring kinks. None lies on a kink, so jumps there
// never meet a point.
func nodes(kinks []float64) []node {
	var ns []node
	var xs, weights [gaussPoints]float64
	for _, p := range pieces(kinks) {
		quad.Legendre{}.FixedLocations(xs[:], weights[:], p.from, p.to)
		for i, x := range xs {
			ns = append(ns, node{x, weights[i]})
		}
	}
	return ns
}

// spanKinks are the kinks within the supports, cut further where thickness or C change by more than mostRatio. Pads are
// what makes C change most, where the outline cuts the strips outside of them; for the others any wood's modulus does.
func (b *Board) spanKinks(strips []Strip) (xs []float64, from, middle, to float64) {
	middle = b.MiddleMM()
	from, to = middle-b.SpanMM/2, middle+b.SpanMM/2
	ends := append(b.layerEnds(), from, middle, to)
	for _, p := range b.Pads {
		ends = append(ends, p.FromMM, p.ToMM)
	}
	_, faces := joints(strips)
	all := b.kinks(faces, ends)
	xs = append(xs, all...)
	for _, p := range pieces(all) {
		xs = append(xs, doublings(p, b.ThicknessMM)...)
		xs = append(xs, doublings(p, func(x float64) (c float64) {
			for _, s := range strips {
				modulus := anyWoodGPa * mpaPerGPa
				if pad := b.turnedBy(s.Position, p.middle()); pad >= 0 {
					modulus = b.Woods[b.Pads[pad].Wood].CrossGrainGPa.Value * mpaPerGPa
				}
				c += modulus * s.present(b.HalfWidthMM(x))
			}
			return c
		})...)
		xs = append(xs, b.level(p)...)
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	return slices.DeleteFunc(xs, func(x float64) bool { return x < from || x > to }), from, middle, to
}

// doublings are the places within the piece where f, linear and above 0, is twice, four times … its smaller end.
func doublings(p piece, f func(float64) float64) []float64 {
	f0, f1 := f(p.from), f(p.to)
	least, most := min(f0, f1), max(f0, f1)
	if !(least > 0) {
		return nil
	}
	var xs []float64
	for v := least * mostRatio; v < most; v *= mostRatio {
		xs = append(xs, p.from+(v-f0)/(f1-f0)*(p.to-p.from))
	}
	return xs
}

// level are the places within the piece where two faces of the section that move apart with the core's thickness pass each
// other: those of something of its own thickness beside the core, or of layers let in from both sides. Bending does not
// notice; the flow of shear bends there.
func (b *Board) level(p piece) []float64 {
	type face struct{ slope, z float64 } // its height is slope·t + z
	t, t0, t1 := b.ThicknessMM(p.middle()), b.ThicknessMM(p.from), b.ThicknessMM(p.to)
	faces := []face{{0.5, 0}, {-0.5, 0}}
	for i, part := range b.parts(p.middle(), Closed) {
		if part.width == 0 {
			continue
		}
		slope := 0.0
		switch l := b.Layers[i]; {
		case l.Place == Above:
			slope = 0.5
		case l.Place == Below:
			slope = -0.5
		case l.ThicknessMM == 0:
			continue // as the core
		}
		faces = append(faces, face{slope, part.low - slope*t}, face{slope, part.high - slope*t})
	}
	var xs []float64
	for i, f := range faces {
		for _, g := range faces[:i] {
			// Where a face follows another, or t does not change, u is not finite.
			if u := ((g.z-f.z)/(f.slope-g.slope) - t0) / (t1 - t0); u > 0 && u < 1 {
				xs = append(xs, p.from+u*(p.to-p.from))
			}
		}
	}
	return xs
}

// A slab is what of a section's layers lies between two heights, with the core's presence there.
type slab struct {
	low, high float64 // mm from the mid-plane
	modulus   float64 // Σ E b of the layers, N/mm
	shear     float64 // Σ G b of the layers, N/mm
	width     float64 // Σ b of the layers, mm
	core      bool
}

// slabs cuts the section at every height where something begins or ends, from the top down.
func slabs(parts []part, thickness float64) []slab {
	all := append([]part{{low: -thickness / 2, high: thickness / 2, width: 1}}, parts...)
	var heights []float64
	for _, p := range all {
		if p.width > 0 {
			heights = append(heights, p.low, p.high)
		}
	}
	slices.Sort(heights)
	heights = slices.Compact(heights)
	var out []slab
	for i := len(heights) - 1; i > 0; i-- {
		s := slab{low: heights[i-1], high: heights[i]}
		middle := (s.low + s.high) / 2
		s.core = math.Abs(middle) < thickness/2
		for _, p := range parts {
			if p.width > 0 && p.low <= middle && middle <= p.high {
				s.modulus += p.modulus * p.width
				s.shear += p.shear * p.width
				s.width += p.width
			}
		}
		out = append(out, s)
	}
	return out
}

// shearCompliance is 1/S, 1/N: the shear deflection per length and per shear force, by the energy of the shear flow
// that bending calls for, ∫ (ES/EI)²/(G b) dz with ES(z) the moment of E above z about the neutral axis. The core has
// the stiffness c, N/mm, in tension and coreShear, N/mm, in shear. A homogeneous rectangle gives 6/(5 G A).
func shearCompliance(slabs []slab, k Constants, c, coreShear float64) float64 {
	axis, ei := k.AxisMM(c), k.EI(c)/nm2PerNMM2
	var above, sum float64 // above: ES at the slab's top
	for _, s := range slabs {
		e, g := s.modulus, s.shear
		if s.core {
			e, g = e+c, g+coreShear
		}
		d, z := s.high-s.low, s.high-axis
		if g > 0 {
			// ES a depth u below the slab's top is above + e (z u − u²/2); its square over the slab, in closed form.
			sum += (above*above*d + above*e*(z*d*d-d*d*d/3) + e*e*(z*z*d*d*d/3-z*d*d*d*d/4+d*d*d*d*d/20)) / g
		}
		above += e * (z*d - d*d/2)
	}
	return sum / (ei * ei)
}
