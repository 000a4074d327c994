package core

const (
	gPerKgM3MM3 = 1e-6 // 1 kg/m³ × 1 mm³ = 10⁻⁹ kg = 10⁻⁶ g
	m2PerMM2    = 1e-6
	cm3PerMM3   = 1e-3
)

// A volume is a strip's volume, all pieces: its own wood, and what pads put in its place.
type volume struct {
	own    float64   // mm³
	turned []float64 // mm³ by pad
}

func (v volume) all() float64 {
	sum := v.own
	for _, t := range v.turned {
		sum += t
	}
	return sum
}

// volume is ∫ 2 p t dx, exact.
func (b *Board) volume(s Strip) volume {
	v := volume{turned: make([]float64, len(b.Pads))}
	var ends []float64
	for _, p := range b.Pads {
		if p.Position == s.Position {
			ends = append(ends, p.FromMM, p.ToMM)
		}
	}
	for _, p := range pieces(b.kinks([]float64{s.FromMM, s.ToMM}, ends)) {
		mm3 := p.product(func(x float64) float64 { return 2 * s.present(b.HalfWidthMM(x)) }, b.ThicknessMM)
		if pad := b.turnedBy(s.Position, p.middle()); pad >= 0 {
			v.turned[pad] += mm3
		} else {
			v.own += mm3
		}
	}
	return v
}

// StripVolumeCM3 is the volume of one strip of the group, all its pieces, after outline and profile, cm³. What pads put
// in its place is in it.
func (b *Board) StripVolumeCM3(g Group) float64 { return b.volume(b.first(g)).all() * cm3PerMM3 }

// StripOwnVolumeCM3 is StripVolumeCM3 without what pads put in the strip's place.
func (b *Board) StripOwnVolumeCM3(g Group) float64 { return b.volume(b.first(g)).own * cm3PerMM3 }

// PadVolumeCM3 is the volume of that wood (an index into Woods) in the pads of the whole core, cm³. It does not depend
// on the layout.
func (b *Board) PadVolumeCM3(wood int) float64 {
	var mm3 float64
	for _, s := range b.Strips() {
		for pad, v := range b.volume(s).turned {
			if b.Pads[pad].Wood == wood {
				mm3 += v
			}
		}
	}
	return mm3 * cm3PerMM3
}

// StripMassG is the mass of one strip of the group, all its pieces, if it is of that wood (an index into Woods), after
// outline and profile, g. Over a pad's stretch the pad's wood weighs.
func (b *Board) StripMassG(g Group, wood int) float64 { return b.massG(b.volume(b.first(g)), wood) }

func (b *Board) massG(v volume, wood int) float64 {
	sum := v.own * b.Woods[wood].DensityKgM3.Value
	for pad, mm3 := range v.turned {
		sum += mm3 * b.Woods[b.Pads[pad].Wood].DensityKgM3.Value
	}
	return sum * gPerKgM3MM3
}

// GlueMassG is the mass of the glue between strips, g: the spread over ∫ t dx of each joint as far as the outline
// leaves wood on both its sides. It does not depend on the layout.
func (b *Board) GlueMassG() float64 {
	centre, faces := joints(b.Strips())
	var mm2 float64
	for _, p := range pieces(b.kinks(faces, nil)) {
		h := b.HalfWidthMM(p.middle())
		n := 0
		if centre && h > nearMM {
			n++
		}
		for _, face := range faces {
			if h > face+nearMM {
				n += 2
			}
		}
		mm2 += float64(n) * (p.to - p.from) * b.ThicknessMM(p.middle()) // t is linear
	}
	return mm2 * m2PerMM2 * b.GlueGM2
}

// LayersMassG is the mass of everything pressed with the core, g. known is false when a layer has no density; g then
// leaves that layer out.
func (b *Board) LayersMassG() (g float64, known bool) {
	known = true
	for _, l := range b.Layers {
		known = known && l.DensityKgM3 > 0
	}
	for _, p := range pieces(b.kinks(nil, b.layerEnds())) {
		// Width and height of a rectangle are linear in the piece, so Simpson's rule is exact for each; its ends are
		// taken as limits from within.
		at := func(x float64, side Side) (sum float64) {
			for _, part := range b.parts(x, side) {
				sum += part.density * part.area()
			}
			return sum
		}
		g += (p.to - p.from) / 6 * (at(p.from, FromTail) + 4*at(p.middle(), Closed) + at(p.to, FromTip))
	}
	return g * gPerKgM3MM3, known
}

func (b *Board) layerEnds() []float64 {
	var ends []float64
	for _, l := range b.Layers {
		from, to := b.rangeMM(l)
		ends = append(ends, from, to)
	}
	return ends
}
