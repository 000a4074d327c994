package core

import "slices"

// PreStress is what pre-strained strips leave in the pressed board (or the bare core, if the board means that): stress,
// and a bend. EI does not change. Strips are held to be strained when section and layers come together, and to let go
// then; each part keeps E (e0 − κ (z − z_n) + P), with P its pre-strain, e0 the strain and κ the curvature by which
// the section finds its balance. Strips as deep as the core bend it only where the neutral axis is off the core's
// mid-plane.
type PreStress struct {
	Known      bool             // false: no position is pre-strained
	ByPosition []PositionStress // at the measuring station, from the centre line outward; none under a pad
	CamberPerM float64          // curvature there, 1/m, positive: the middle rises
	CamberMM   float64          // rise of the middle above the supports, positive upward; 0 without a span
}

// A PositionStress is the locked-in stress of a position's strips of one wood, tension positive.
type PositionStress struct {
	Position, Wood    int
	PreStrain         float64
	StressMPa         float64 // at the core's middle
	TopMPa, BottomMPa float64 // at its faces
}

func (p *Prepared) preStress(l Layout, moduli []float64) PreStress {
	if !p.strained {
		return PreStress{}
	}
	x := &p.measure
	s := p.bend(x, moduli)
	out := PreStress{Known: true, CamberPerM: 0 - s.curl*mmPerM} // from 0: no −0
	for i, strip := range p.strips {
		q := PositionStress{Position: strip.Position, Wood: l[i], PreStrain: p.board.Positions[strip.Position].PreStrain}
		if x.free[i] == 0 || slices.ContainsFunc(out.ByPosition, func(r PositionStress) bool {
			return r.Position == q.Position && r.Wood == q.Wood
		}) {
			continue
		}
		at := func(z float64) float64 { return moduli[i] * (s.strain(z, 0) + q.PreStrain) }
		q.StressMPa, q.TopMPa, q.BottomMPa = at(0), at(x.thickness/2), at(-x.thickness/2)
		out.ByPosition = append(out.ByPosition, q)
	}
	for i := range p.span { // the unit-load theorem: the middle sinks by ∫ m κ dx
		x := &p.span[i]
		out.CamberMM -= x.weight * x.arm * p.bend(x, moduli).curl
	}
	return out
}
