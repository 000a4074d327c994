package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"stavewright/optimize/core"
)

type rect struct{ X, Y, W, H px }

// A sectionDrawing is the cross-section at one place, to scale, every thickness drawn Times as large.
type sectionDrawing struct {
	W, H      px
	AtMM      string
	Times     int
	Strips    []stripRect
	Narrow    []narrowLetter
	Layers    []layerRect
	Labels    []leader
	Positions []bracket
	Marks     []tick // mm from the centre line
	MarksY    px
	Left      px // of the core
	Right     px
	Axis      bool
	PartWidth bool // a layer is narrower than the section, and its place across is not known
	scale     px   // per mm across
	middle    px   // of the core's thickness
}

// A stripRect is what is seen of a strip on one side, or of one astride the centre line.
type stripRect struct {
	rect
	Strip            int // index into the board's strips; −1: under a pad, whose wood no layout changes
	Slot             int // of the wood, in the layout drawn first
	Letter           string
	LetterX, LetterY px
}

// A narrowLetter is the letter of a strip too narrow to hold it, above the left half, with a line down to the strip.
type narrowLetter struct {
	Strip               int // as of stripRect
	Letter              string
	X1, Y1, Y2, LetterY px
}

type layerRect struct {
	rect
	Place string
	layer int // index into the board's layers
}

// A leader is a name beside the drawing with a line to what it names.
type leader struct {
	X1, Y1, X2, Y2 px
	Text, Full     string
}

type bracket struct {
	X1, X2, Middle px
	Text, Full     string
}

// placed is where one rectangle of a layer lies: from the centre line (negative: left) and from the core's mid-plane, mm.
type placed struct {
	layer                 int // index into the board's layers
	left, right, low, top float64
}

const (
	sectionWidth  px = 960
	sectionMargin px = 12
	namesWidth    px = 196 // for the layers' names, right of the drawing
	sectionTop    px = 40  // for the positions' names
	aimedHeight      = 120 // of the section as drawn
	lineHeight    px = 15
	narrowTop     px = 8 // of the letters of strips that are too narrow for theirs
)

// newSectionDrawing draws the strips of a layout, and the layers, at x from the tip.
func newSectionDrawing(b *core.Board, x float64, l core.Layout, marks []woodMark, slot []int) *sectionDrawing {
	layers, half := placeLayers(b, x)
	h, t := b.HalfWidthMM(x), b.ThicknessMM(x)
	low, top := -t/2, t/2
	for _, p := range layers {
		low, top = min(low, p.low), max(top, p.top)
	}
	d := &sectionDrawing{W: sectionWidth, AtMM: plainMM(x), Axis: len(layers) > 0}
	d.scale = (d.W - sectionMargin - namesWidth) / px(2*half)
	d.Times = max(1, int(math.Round(aimedHeight/(float64(d.scale)*(top-low)))))
	up := d.scale * px(d.Times)
	centre := sectionMargin + d.scale*px(half)
	d.middle = sectionTop + up*px(top)
	box := func(left, right, low, top float64) rect {
		return rect{centre + d.scale*px(left), d.middle - up*px(top), d.scale * px(right-left), up * px(top-low)}
	}
	d.Left, d.Right = centre-d.scale*px(h), centre+d.scale*px(h)

	for i, s := range b.Strips() {
		right := min(h, s.ToMM)
		if right <= s.FromMM {
			continue
		}
		r := stripRect{Strip: i, Slot: slot[l[i]]}
		if pad := padAt(b, s.Position, x); pad >= 0 {
			r.Strip, r.Slot = -1, slot[b.Pads[pad].Wood]
		}
		spans := [][2]float64{{-right, -s.FromMM}, {s.FromMM, right}}
		if s.Pieces == 1 {
			spans = [][2]float64{{-right, right}}
		}
		for _, span := range spans {
			r.rect = box(span[0], span[1], -t/2, t/2)
			const narrowest = 8 // that a letter fits
			if r.Letter = ""; r.W >= narrowest {
				r.Letter, r.LetterX, r.LetterY = marks[r.Slot].Letter, r.X+r.W/2, r.Y+0.27*r.H // clear of the neutral axis
			} else if span[0] < 0 {
				y := narrowTop + lineHeight*px(len(d.Narrow)%2) // neighbours would touch on one line
				d.Narrow = append(d.Narrow, narrowLetter{Strip: r.Strip, Letter: marks[r.Slot].Letter, X1: r.X + r.W/2, Y1: y + 7, Y2: r.Y + r.H/4, LetterY: y})
			}
			d.Strips = append(d.Strips, r)
		}
	}
	for _, p := range layers {
		layer := b.Layers[p.layer]
		d.Layers = append(d.Layers, layerRect{box(p.left, p.right, p.low, p.top), string(layer.Place), p.layer})
		d.PartWidth = d.PartWidth || layer.Place != core.Beside && layer.WidthMM > 0
	}
	d.nameLayers(b)
	d.namePositions(b, h, centre)

	d.MarksY = d.middle - up*px(low) + 10
	across := axis{-half, half, sectionMargin, sectionMargin + d.scale*px(2*half)}
	for _, mark := range across.ticks(13) {
		d.Marks = append(d.Marks, tick{mark.At, strings.TrimPrefix(mark.Text, "-")}) // a distance, on either side
	}
	for _, label := range d.Labels {
		d.MarksY = max(d.MarksY, label.Y2)
	}
	d.H = d.MarksY + 26
	return d
}

// AxisY is where a neutral axis z above the mid-plane, mm, stands in the drawing.
func (d *sectionDrawing) AxisY(z float64) px { return d.middle - d.scale*px(d.Times)*px(z) }

// nameLayers writes each layer's name once, beside its rightmost rectangle, from the top down without overlap.
func (d *sectionDrawing) nameLayers(b *core.Board) {
	rightmost := map[int]int{} // rectangle by layer
	for i, r := range d.Layers {
		if at, seen := rightmost[r.layer]; !seen || r.X > d.Layers[at].X {
			rightmost[r.layer] = i
		}
	}
	for i, r := range d.Layers {
		if rightmost[r.layer] != i {
			continue
		}
		y := r.Y + r.H/2
		name := b.Layers[r.layer].Name
		d.Labels = append(d.Labels, leader{r.X + r.W - min(4, r.W/2), y, sectionWidth - namesWidth + 22, y, clipped(name, 20), name})
	}
	slices.SortStableFunc(d.Labels, func(a, b leader) int { return cmp.Compare(a.Y1, b.Y1) })
	var moved px
	for i := range d.Labels {
		if i > 0 {
			d.Labels[i].Y2 = max(d.Labels[i].Y2, d.Labels[i-1].Y2+lineHeight)
		}
		moved += d.Labels[i].Y2 - d.Labels[i].Y1
	}
	for i := range d.Labels { // about as much upward as downward, but not out of the drawing
		d.Labels[i].Y2 -= min(moved/px(len(d.Labels)), d.Labels[0].Y2-lineHeight)
	}
}

// namePositions brackets the positions of the right half (the left is its mirror image).
func (d *sectionDrawing) namePositions(b *core.Board, h float64, centre px) {
	for i, p := range b.Positions {
		from, to := math.Inf(1), 0.0
		for _, s := range b.Strips() {
			if s.Position == i {
				from, to = min(from, s.FromMM), max(to, min(h, s.ToMM))
			}
		}
		if to <= from {
			continue
		}
		if p.OnCentreLine {
			from = -to
		}
		const letter = 7.8 // of the names, about, in the widest of the usual typefaces
		x1, x2 := centre+d.scale*px(from)+1, centre+d.scale*px(to)-1
		d.Positions = append(d.Positions, bracket{x1, x2, (x1 + x2) / 2, clipped(p.Name, max(1, int((x2-x1)/letter))), p.Name})
	}
}

// placeLayers lays out the layers that reach x, as core's section does: above and below stack outward by order, beside
// stands next to the core. half is the half width of all of it, mm. Where across the board a part-width layer lies no
// job book says: one let in (an edge) is placed at both sides, half of it on each, any other in the middle.
func placeLayers(b *core.Board, x float64) (layers []placed, half float64) {
	h, t := b.HalfWidthMM(x), b.ThicknessMM(x)
	var here []int
	type height struct {
		place core.Place
		order int
	}
	heights := map[height]float64{}
	for i, l := range b.Layers {
		if l.FromMM != 0 || l.ToMM != 0 {
			if x < l.FromMM || x > l.ToMM {
				continue
			}
		}
		here = append(here, i)
		at := height{l.Place, l.Order}
		heights[at] = max(heights[at], l.ThicknessMM-l.LetInMM)
	}
	slices.SortStableFunc(here, func(i, j int) int { return cmp.Compare(b.Layers[i].Order, b.Layers[j].Order) })
	half = h
	for _, i := range here {
		if l := b.Layers[i]; l.Place == core.Beside {
			tall := cmp.Or(l.ThicknessMM, t)
			layers = append(layers,
				placed{i, -half - l.WidthMM, -half, -tall / 2, tall / 2},
				placed{i, half, half + l.WidthMM, -tall / 2, tall / 2})
			half += l.WidthMM
		}
	}
	sides := half
	for _, i := range here {
		l := b.Layers[i]
		if l.Place == core.Beside {
			continue
		}
		from := t / 2
		for order := range l.Order {
			from += heights[height{l.Place, order}]
		}
		low, top := from-l.LetInMM, from-l.LetInMM+l.ThicknessMM
		if l.Place == core.Below {
			low, top = -top, -low
		}
		wide := l.WidthMM
		if wide == 0 {
			if wide = 2 * sides; l.CoreOnly {
				wide = 2 * h
			}
		}
		half = max(half, wide/2)
		if l.LetInMM > 0 && wide < 2*sides {
			layers = append(layers,
				placed{i, -sides, -sides + wide/2, low, top},
				placed{i, sides - wide/2, sides, low, top})
			continue
		}
		layers = append(layers, placed{i, -wide / 2, wide / 2, low, top})
	}
	// What is let in is drawn over what it is let into.
	slices.SortStableFunc(layers, func(p, q placed) int {
		return cmp.Compare(b.Layers[p.layer].LetInMM, b.Layers[q.layer].LetInMM)
	})
	return layers, half
}

// padAt is the pad that fills a position at x, or −1.
func padAt(b *core.Board, position int, x float64) int {
	return slices.IndexFunc(b.Pads, func(p core.Pad) bool {
		return p.Position == position && p.FromMM <= x && x <= p.ToMM
	})
}
