package core

import "math"

// A draw is something that varies as one: the pieces of a strip, or of what a pad puts in its place, each with the
// same mean and coefficient of variation, each drawn by itself.
type draw struct{ pieces, sum float64 } // sum: Σ a c over the pieces

// deviation is the standard deviation of a sum of draws with a common correlation:
// Var = (1 − ρ) Σ (a c)² + ρ (Σ a c)².
func deviation(draws []draw, correlation float64) float64 {
	var squares, sum float64
	for _, d := range draws {
		squares += d.sum * d.sum / d.pieces
		sum += d.sum
	}
	return math.Sqrt((1-correlation)*squares + correlation*sum*sum)
}

// scatter is to first order, with one modulus for a strip along all its length.
func (p *Prepared) scatter(l Layout, moduli []float64, f Figures) Scatter {
	b := &p.board
	cv := make([]float64, len(l))
	for i, wood := range l {
		w := b.Woods[wood]
		if !w.ModulusCVPct.Known() {
			return Scatter{}
		}
		cv[i] = w.ModulusCVPct.Value / 100
	}
	padCV := make([]float64, len(b.Pads))
	for i, pad := range b.Pads {
		w := b.Woods[pad.Wood]
		if !w.ModulusCVPct.Known() {
			return Scatter{}
		}
		padCV[i] = w.ModulusCVPct.Value / 100
	}

	var all, paired []draw // of C at the measuring station
	at := func(strip int, sum float64) {
		d := draw{float64(p.strips[strip].Pieces), sum}
		all = append(all, d)
		if p.strips[strip].Pieces == 2 { // a strip astride the centre line is in both halves alike
			paired = append(paired, d)
		}
	}
	for i, width := range p.measure.free {
		at(i, cv[i]*moduli[i]*width)
	}
	for _, t := range p.measure.turned {
		at(t.strip, padCV[t.pad]*t.c)
	}
	s := Scatter{Known: true}
	c := f.Measure.CNPerMM
	k := p.measure.section(b.Section)
	ofC := deviation(all, b.Correlation)
	s.CPct = 100 * ofC / c
	s.EIPct = 100 * ofC * k.Slope(c) / k.EI(c)
	// What the halves have in common cancels in their difference.
	s.LeftRightPct = 100 * math.Sqrt(1-b.Correlation) * deviation(paired, 0) / c
	s.FlexPct = p.flexScatterPct(moduli, cv, padCV)
	return s
}

// flexScatterPct is the deviation of the flex: a strip's share in it is (1/f) ∫ m² dEI/dC E p/EI² dx.
func (p *Prepared) flexScatterPct(moduli, cv, padCV []float64) float64 {
	own := make([]float64, len(p.strips))
	turned := make([][]float64, len(p.board.Pads)) // by pad and strip
	for i := range turned {
		turned[i] = make([]float64, len(p.strips))
	}
	var compliance float64
	for _, x := range p.span {
		c := x.c(moduli)
		k := x.section(p.board.Section)
		ei := k.EI(c)
		compliance += x.moment2 / ei
		weight := x.moment2 * k.Slope(c) / (ei * ei)
		for i, width := range x.free {
			own[i] += weight * moduli[i] * width
		}
		for _, t := range x.turned {
			turned[t.pad][t.strip] += weight * t.c
		}
	}
	if compliance == 0 {
		return 0
	}
	var draws []draw
	for i, s := range p.strips {
		draws = append(draws, draw{float64(s.Pieces), cv[i] * own[i]})
		for pad := range turned {
			draws = append(draws, draw{float64(s.Pieces), padCV[pad] * turned[pad][i]})
		}
	}
	return 100 * deviation(draws, p.board.Correlation) / compliance
}
