package core

import (
	"cmp"
	"math"
	"slices"
)

const (
	mpaPerGPa     = 1e3  // 1 GPa = 1000 N/mm²
	nm2PerNMM2    = 1e-6 // 1 N·mm² = 10⁻⁶ N·m²
	mmPerM        = 1e3
	isotropicEToG = 2.6 // E/G = 2 (1 + ν) with ν = 0.3
)

// A Side says which value is meant at a place where the section jumps.
type Side int

// The sides: the closed section, in which a layer counts at its very ends; or the limit from the tip's or the tail's
// side.
const (
	Closed Side = iota
	FromTip
	FromTail
)

// spans reports whether a range reaches x as seen from side.
func (side Side) spans(from, to, x float64) bool {
	switch side {
	case FromTip:
		return from < x && x <= to
	case FromTail:
		return from <= x && x < to
	}
	return from <= x && x <= to
}

// A part is one rectangle of a cross-section that is not core.
type part struct {
	modulus, shear float64 // MPa
	width          float64 // mm, all of it
	low, high      float64 // mm, from the core's mid-plane
	density        float64 // kg/m³
}

func (p part) area() float64   { return p.width * (p.high - p.low) }
func (p part) middle() float64 { return (p.low + p.high) / 2 }

// rangeMM is where the layer lies along the board.
func (b *Board) rangeMM(l Layer) (from, to float64) {
	if l.FromMM == 0 && l.ToMM == 0 {
		return b.startMM(), b.LengthMM()
	}
	return l.FromMM, l.ToMM
}

// parts are the layers' rectangles at x, by index into Layers; those that do not reach x have no width.
//
// Above and below, the layers of an order start where the thickest of the order before ends, less what that one is
// let in. Layers of one order do not narrow each other: a full-width base keeps its width beside an edge, and nothing is
// cut away where one is let in.
func (b *Board) parts(x float64, side Side) []part {
	if x < b.startMM() || x > b.LengthMM() {
		return nil
	}
	core, thickness := 2*b.HalfWidthMM(x), b.ThicknessMM(x)
	var beside float64
	var here []int // the layers at x
	for i, l := range b.Layers {
		if from, to := b.rangeMM(l); !side.spans(from, to, x) {
			continue
		}
		here = append(here, i)
		if l.Place == Beside {
			beside += 2 * l.WidthMM
		}
	}
	slices.SortStableFunc(here, func(i, j int) int {
		return cmp.Or(cmp.Compare(b.Layers[i].Place, b.Layers[j].Place), cmp.Compare(b.Layers[i].Order, b.Layers[j].Order))
	})
	parts := make([]part, len(b.Layers))
	var under, height float64 // where the order begins, and how much it adds
	for n, i := range here {
		l := b.Layers[i]
		switch {
		case n == 0 || l.Place != b.Layers[here[n-1]].Place:
			under, height = thickness/2, 0
		case l.Order != b.Layers[here[n-1]].Order:
			under, height = under+height, 0
		}
		height = max(height, l.ThicknessMM-l.LetInMM)
		parts[i] = l.part(core, beside, thickness, under)
	}
	return parts
}

// part is the layer's rectangle on a core of that width and thickness, with that much beside it (both sides), and with
// its order beginning at under from the mid-plane.
func (l Layer) part(core, beside, thickness, under float64) part {
	p := part{modulus: l.ModulusGPa * mpaPerGPa, shear: l.ShearGPa * mpaPerGPa, width: l.WidthMM, density: l.DensityKgM3}
	if p.shear == 0 {
		p.shear = p.modulus / isotropicEToG
	}
	if l.Place == Beside {
		if l.ThicknessMM > 0 {
			thickness = l.ThicknessMM
		}
		p.width = 2 * l.WidthMM
		p.low, p.high = -thickness/2, thickness/2
		return p
	}
	if p.width == 0 {
		p.width = core
		if !l.CoreOnly {
			p.width += beside
		}
	}
	p.low = under - l.LetInMM
	p.high = p.low + l.ThicknessMM
	if l.Place == Below {
		p.low, p.high = -p.high, -p.low
	}
	return p
}

// SectionAt is the cross-section at x from the tip as the bare core or pressed with its layers. At a layer's end the
// layer counts.
func (b *Board) SectionAt(x float64, s Section) Constants { return b.SectionSide(x, s, Closed) }

// SectionSide is SectionAt, or its limit from the tip's or the tail's side, which differs where a layer begins or ends.
func (b *Board) SectionSide(x float64, s Section, side Side) Constants {
	k := Constants{ThicknessMM: b.ThicknessMM(x)}
	if s == Pressed {
		k.add(b.parts(x, side))
	}
	return k
}

func (k *Constants) add(parts []part) {
	for _, p := range parts {
		ea, z, t := p.modulus*p.area(), p.middle(), p.high-p.low
		k.A0N += ea
		k.S0NMM += ea * z
		k.D0NMM2 += ea * (t*t/12 + z*z)
	}
}

// EI is the bending stiffness, N·m², of the section with strips of C = c N/mm:
// D0 + C t³/12 − S0²/(A0 + C t), about the neutral axis.
func (k Constants) EI(c float64) float64 {
	t := k.ThicknessMM
	ei := k.D0NMM2 + c*t*t*t/12
	if a := k.A0N + c*t; a > 0 {
		ei -= k.S0NMM * k.S0NMM / a
	}
	return ei * nm2PerNMM2
}

// C is the inverse of EI: the C, N/mm, of the strips that gives the section the stiffness ei, N·m². When the layers
// alone are stiffer than that, no C does, and ok is false.
func (k Constants) C(ei float64) (c float64, ok bool) {
	t := k.ThicknessMM
	if !(ei >= k.EI(0)) || !(t > 0) || math.IsInf(ei, 0) {
		return 0, false
	}
	// EI = D0 + C t³/12 − S0²/(A0 + C t) times (A0 + C t) is a C² + b C + c = 0; its larger root is the one with a
	// positive area. The discriminant is a sum of squares. Of the two forms of the root each branch takes the one in
	// which nothing cancels.
	u, v := k.D0NMM2-ei/nm2PerNMM2, k.A0N*t*t/12
	b := t * (u + v)
	root := t * math.Hypot(u-v, t*k.S0NMM/math.Sqrt(3))
	if b >= 0 {
		if b+root == 0 {
			return 0, true
		}
		c = -2 * (k.A0N*u - k.S0NMM*k.S0NMM) / (b + root)
	} else {
		c = 6 * (root - b) / (t * t * t * t)
	}
	return max(c, 0), true
}

// LeastC is the least C, N/mm, at which the bending moment stresses no strip of that modulus beyond mpa at the core's faces.
// The stress falls as C grows, so it is the whole of a limit on it, pre-strain aside:
// E M (t/2 + |S0|/(A0 + C t)) ≤ σ EI(C) is EI(C) ≥ 0 of a section with S0² + g |S0| for S0² and D0 − g t/2 for D0, g = E M/σ.
func (k Constants) LeastC(momentNMM, modulusGPa, mpa float64) float64 {
	g := modulusGPa * mpaPerGPa * momentNMM / mpa
	k.D0NMM2 -= g * k.ThicknessMM / 2
	k.S0NMM = math.Sqrt(k.S0NMM*k.S0NMM + g*math.Abs(k.S0NMM))
	c, _ := k.C(0) // none: the layers alone keep it
	return c
}

// Slope is dEI/dC = t (t²/12 + z²) at C = c, N·m² per N/mm, z the neutral axis. It falls as c grows.
func (k Constants) Slope(c float64) float64 {
	t, z := k.ThicknessMM, k.AxisMM(c)
	return t * (t*t/12 + z*z) * nm2PerNMM2
}

// AxisMM is the neutral axis above the core's mid-plane, S0/(A0 + C t).
func (k Constants) AxisMM(c float64) float64 {
	a := k.A0N + c*k.ThicknessMM
	if a == 0 {
		return 0
	}
	return k.S0NMM / a
}

// turnedBy is the pad that replaces the strips of a position at x, or −1.
func (b *Board) turnedBy(position int, x float64) int { return b.turnedFrom(position, x, Closed) }

// turnedFrom is turnedBy as seen from a side.
func (b *Board) turnedFrom(position int, x float64, side Side) int {
	return slices.IndexFunc(b.Pads, func(p Pad) bool {
		return p.Position == position && side.spans(p.FromMM, p.ToMM, x)
	})
}

// stiffness is E in MPa and the coefficient of variation of the strip's wood at x, that of the pad's wood turned
// across the board where there is one.
func (b *Board) stiffness(position, wood int, x float64) (modulus, cv float64, known bool) {
	if pad := b.turnedBy(position, x); pad >= 0 {
		w := b.Woods[b.Pads[pad].Wood]
		return w.CrossGrainGPa.Value * mpaPerGPa, w.ModulusCVPct.Value / 100, w.ModulusCVPct.Known()
	}
	w := b.Woods[wood]
	return w.ModulusGPa.Value * mpaPerGPa, w.ModulusCVPct.Value / 100, w.ModulusCVPct.Known()
}

// StripC is what one strip of the group, all its pieces, adds to C at x if it is of that wood (an index into Woods),
// N/mm. Under a pad it is the pad's, whatever the wood; at a pad's very end the pad counts.
func (b *Board) StripC(g Group, wood int, x float64) float64 {
	modulus, _, _ := b.stiffness(g.Position, wood, x)
	return modulus * 2 * b.first(g).present(b.HalfWidthMM(x))
}

// StripCSide is StripC, or its limit from the tip's or the tail's side, which differs where a pad begins or ends.
func (b *Board) StripCSide(g Group, wood int, x float64, side Side) float64 {
	modulus := b.Woods[wood].ModulusGPa.Value * mpaPerGPa
	if pad := b.turnedFrom(g.Position, x, side); pad >= 0 {
		modulus = b.Woods[b.Pads[pad].Wood].CrossGrainGPa.Value * mpaPerGPa
	}
	return modulus * 2 * b.first(g).present(b.HalfWidthMM(x))
}

// StripVarC is what one strip of the group adds to the variance of C at x when all strips vary independently:
// Σ over its pieces of (a c)², N²/mm², a the stiffness of a piece and c its coefficient of variation. known is false,
// and v 0, when the wood has none.
func (b *Board) StripVarC(g Group, wood int, x float64) (v float64, known bool) {
	dev, known := b.StripDevC(g, wood, x)
	return dev * dev / float64(g.Pieces), known
}

// StripDevC is Σ over the pieces of one strip of the group of a c, N/mm: what it adds to the standard deviation of C
// at x when all strips vary together. known is false, and dev 0, when the wood has no coefficient of variation.
func (b *Board) StripDevC(g Group, wood int, x float64) (dev float64, known bool) {
	modulus, cv, known := b.stiffness(g.Position, wood, x)
	if !known {
		return 0, false
	}
	return cv * modulus * 2 * b.first(g).present(b.HalfWidthMM(x)), true
}

// first is the strip that stands for its group.
func (b *Board) first(g Group) Strip { return b.Strips()[g.Strips[0]] }

// C is the stiffness of the layout's strips across the width at x, both sides, N/mm. The layout must fit the board.
func (b *Board) C(l Layout, x float64) float64 {
	h := b.HalfWidthMM(x)
	var c float64
	for i, s := range b.Strips() {
		modulus, _, _ := b.stiffness(s.Position, l[i], x)
		c += modulus * 2 * s.present(h)
	}
	return c
}
