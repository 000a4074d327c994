package core

import (
	"slices"
	"sort"
)

// nearMM is the distance below which two places are one: a thousandth of a micrometre, far below any tool and far
// above the rounding of a sum of strip widths. Without it 3 × 12.1 mm and 36.3 mm would be two outlines.
const nearMM = 1e-6

// LengthMM is where the core ends: the last station's distance from the tip, 0 without stations.
func (b *Board) LengthMM() float64 {
	if len(b.Stations) == 0 {
		return 0
	}
	return b.Stations[len(b.Stations)-1].FromTipMM
}

// startMM is where the core begins.
func (b *Board) startMM() float64 {
	if len(b.Stations) == 0 {
		return 0
	}
	return b.Stations[0].FromTipMM
}

// MiddleMM is the middle of the core, from the tip; half of LengthMM when the core begins at the tip.
func (b *Board) MiddleMM() float64 { return (b.startMM() + b.LengthMM()) / 2 }

// HalfWidthMM is h(x), from the centre line to the outline at x from the tip: linear between stations, 0 outside.
func (b *Board) HalfWidthMM(x float64) float64 {
	return b.between(x, func(s Station) float64 { return s.WidthMM }) / 2
}

// ThicknessMM is t(x) of the core at x from the tip: linear between stations, 0 outside.
func (b *Board) ThicknessMM(x float64) float64 {
	return b.between(x, func(s Station) float64 { return s.ThicknessMM })
}

func (b *Board) between(x float64, value func(Station) float64) float64 {
	i := sort.Search(len(b.Stations), func(i int) bool { return b.Stations[i].FromTipMM >= x })
	if i == len(b.Stations) {
		return 0
	}
	right := b.Stations[i]
	if right.FromTipMM == x {
		return value(right)
	}
	if i == 0 {
		return 0
	}
	left := b.Stations[i-1]
	u := (x - left.FromTipMM) / (right.FromTipMM - left.FromTipMM)
	return (1-u)*value(left) + u*value(right)
}

// Strips are the laminations of one side from the centre line outward, before the outline is cut.
//
// The strips of a centre-line position are centred on the centre line: of an odd number one lies astride it and the
// others are mirrored pairs; of an even number all are pairs. The next position starts where the block ends.
func (b *Board) Strips() []Strip {
	var strips []Strip
	var start float64
	for i, p := range b.Positions {
		n, pieces, perSide, offset := p.Strips, 2, 1, 0.0
		if p.OnCentreLine {
			perSide = 2
			if n%2 == 1 {
				offset = p.StripWidthMM / 2
				strips = append(strips, Strip{Position: i, FromMM: start, ToMM: start + offset, Pieces: 1, PerSide: 1})
			}
			n /= 2
		}
		for k := range n {
			strips = append(strips, Strip{
				Position: i,
				FromMM:   start + offset + float64(k)*p.StripWidthMM,
				ToMM:     start + offset + float64(k+1)*p.StripWidthMM,
				Pieces:   pieces,
				PerSide:  perSide,
			})
		}
		start += offset + float64(n)*p.StripWidthMM
	}
	return strips
}

// present is p(x), the width of the strip that the outline leaves where the half width is h, on one side.
func (s Strip) present(h float64) float64 { return min(max(h-s.FromMM, 0), s.ToMM-s.FromMM) }

// Groups partitions the strips: those of one position whose present width agrees everywhere, counted alike.
//
// Of two equal strips the inner one is wider where the half width lies between the inner face of the inner and the
// outer face of the outer, and nowhere else. So they agree when the outline never enters that stretch, and because
// the outline is continuous its narrowest and widest half width decide, without sampling.
func (b *Board) Groups() []Group {
	narrowest, widest := b.halfWidthRange()
	strips := b.Strips()
	alike := func(i, j int) bool { // i inside of j
		in, out := strips[i], strips[j]
		return in.Position == out.Position && in.Pieces == out.Pieces && in.PerSide == out.PerSide &&
			(narrowest >= out.ToMM-nearMM || widest <= in.FromMM+nearMM)
	}
	var groups []Group
	for i, s := range strips {
		g := slices.IndexFunc(groups, func(g Group) bool { return alike(g.Strips[0], i) })
		if g < 0 {
			groups = append(groups, Group{Position: s.Position, Strips: []int{i}, PerSide: s.PerSide, Pieces: s.Pieces})
			continue
		}
		groups[g].Strips = append(groups[g].Strips, i)
	}
	return groups
}

func (b *Board) halfWidthRange() (narrowest, widest float64) {
	for i, s := range b.Stations {
		if i == 0 {
			narrowest = s.WidthMM / 2
		}
		narrowest, widest = min(narrowest, s.WidthMM/2), max(widest, s.WidthMM/2)
	}
	return narrowest, widest
}

// Scaled is the board with every thickness of the core times factor; everything else is shared with b.
func (b *Board) Scaled(factor float64) *Board {
	scaled := *b
	scaled.Stations = slices.Clone(b.Stations)
	for i := range scaled.Stations {
		scaled.Stations[i].ThicknessMM *= factor
	}
	return &scaled
}

// joints are the distances from the centre line at which strips are glued to each other, on one side. The centre
// line itself is the first when no strip lies astride it; it is one joint, every other has its mirror image.
func joints(strips []Strip) (centre bool, faces []float64) {
	for i, s := range strips {
		if i == 0 {
			centre = s.Pieces == 2
		}
		faces = append(faces, s.ToMM)
	}
	return centre, faces
}

// kinks are the places where anything about the board stops being smooth: its stations, the places where the outline
// meets one of the faces, and the ends given, sorted, without repeats, inside the core.
func (b *Board) kinks(faces, ends []float64) []float64 {
	var xs []float64
	for i, right := range b.Stations {
		xs = append(xs, right.FromTipMM)
		if i == 0 {
			continue
		}
		left := b.Stations[i-1]
		h0, h1 := left.WidthMM/2, right.WidthMM/2
		for _, face := range faces {
			if u := (face - h0) / (h1 - h0); u > 0 && u < 1 { // false for a parallel outline, where u is not finite
				xs = append(xs, left.FromTipMM+u*(right.FromTipMM-left.FromTipMM))
			}
		}
	}
	for _, x := range ends {
		if x > b.startMM() && x < b.LengthMM() {
			xs = append(xs, x)
		}
	}
	slices.Sort(xs)
	return slices.Compact(xs)
}

// A piece is a stretch of the board between neighbouring kinks. Half width, thickness and what is left of each strip
// are linear in it, and what lies at its middle lies everywhere in it.
type piece struct{ from, to float64 }

func pieces(kinks []float64) []piece {
	var ps []piece
	for i := 1; i < len(kinks); i++ {
		ps = append(ps, piece{kinks[i-1], kinks[i]})
	}
	return ps
}

func (p piece) middle() float64 { return (p.from + p.to) / 2 }

// product is the exact integral over the piece of f·g, where both are linear in it: Simpson's rule.
func (p piece) product(f, g func(float64) float64) float64 {
	m := p.middle()
	return (p.to - p.from) / 6 * (f(p.from)*g(p.from) + 4*f(m)*g(m) + f(p.to)*g(p.to))
}
