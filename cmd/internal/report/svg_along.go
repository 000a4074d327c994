package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// An alongDrawing is the board from tip to tail: the core from above, every strip to scale both ways, and under it,
// over the same lengths, EI with its windows.
type alongDrawing struct {
	W, H                     px
	Left, Right, Top, Bottom px // of the EI chart
	XTicks, YTicks           []tick
	Strips                   []stripPath
	Outline                  string
	PlanTop, PlanBottom      px
	Letters                  []letterMark
	Measure                  px
	MeasureMM                string
	Supports                 []tick // with the triangle's top at At
	Windows                  []windowMark
	Reference, Other         string // curves of EI besides
	Section                  core.Section
	places                   []place
	x, y                     axis
}

// A stripPath is a strip seen from above, both sides of it.
type stripPath struct {
	Strip, Slot int // Strip −1: a pad
	D           string
}

// A letterMark names the wood of a strip at the tail's end of the plan.
type letterMark struct {
	Strip          int
	Letter         string
	X1, Y, X2, At  px
	LetterBaseline px
}

// A windowMark is one window on EI: a bar from Low to High, open at an end without a limit.
type windowMark struct {
	X, Low, High     px
	HasLow, HasHigh  bool
	Name             string
	CapFrom, CapTo   px
	ArrowUp, ArrowDn bool
}

// A place is a distance from the tip, and the side from which a jump there is seen.
type place struct {
	x    float64
	side core.Side
}

const (
	alongLeft  px = 66
	alongRight px = 896
	planTop    px = 34
	eiHeight   px = 230
)

// newAlongDrawing draws a layout from above; the curves of EI come with [alongDrawing.scaled].
func newAlongDrawing(p *optimize.Program, b *core.Board, l core.Layout, marks []woodMark, slot []int) *alongDrawing {
	tip, tail := b.Stations[0].FromTipMM, b.LengthMM()
	d := &alongDrawing{W: sectionWidth, Left: alongLeft, Right: alongRight, Section: b.Section, PlanTop: planTop}
	d.x = axis{tip, tail, alongLeft, alongRight}
	scale := (alongRight - alongLeft) / px(tail-tip)
	widest := 0.0
	for _, s := range b.Stations {
		widest = max(widest, s.WidthMM)
	}
	middle := planTop + scale*px(widest/2)
	d.PlanBottom = middle + scale*px(widest/2)
	band := func(from, to, x0, x1 float64, astride bool) string {
		return bandPath(b, from, to, x0, x1, astride, d.x, middle, scale)
	}
	strips := b.Strips()
	for i, s := range strips {
		d.Strips = append(d.Strips, stripPath{i, slot[l[i]], band(s.FromMM, s.ToMM, tip, tail, s.Pieces == 1)})
	}
	for _, pad := range b.Pads {
		for _, s := range strips {
			if s.Position == pad.Position {
				d.Strips = append(d.Strips, stripPath{-1, slot[pad.Wood], band(s.FromMM, s.ToMM, pad.FromMM, pad.ToMM, s.Pieces == 1)})
			}
		}
	}
	d.Outline = band(0, math.Inf(1), tip, tail, true)
	d.letterStrips(b, strips, l, marks, slot, middle, scale)

	d.Measure, d.MeasureMM = d.x.at(b.MeasureAtMM), plainMM(b.MeasureAtMM)
	if b.SpanMM > 0 {
		for _, x := range []float64{b.MiddleMM() - b.SpanMM/2, b.MiddleMM() + b.SpanMM/2} {
			d.Supports = append(d.Supports, tick{d.x.at(x), plainMM(x)})
		}
	}
	d.Top = d.PlanBottom + 46
	d.Bottom = d.Top + eiHeight
	d.H = d.Bottom + 52
	d.places = alongPlaces(b, p.Limits.Windows)
	d.XTicks = d.x.ticks(9)
	return d
}

// scaled sets the upward axis so that every one of the curves and windows has room, and draws the windows.
func (d *alongDrawing) scaled(curves [][]float64, windows []optimize.Window) {
	highest := 0.0
	for _, ei := range curves {
		highest = max(highest, slices.Max(ei))
	}
	for _, w := range windows {
		highest = max(highest, w.Low.Value, w.High.Value)
	}
	d.y = rounded(0, highest*1.02, 7, d.Bottom, d.Top)
	d.YTicks = d.y.ticks(8)
	for _, w := range windows {
		x := d.x.at(w.FromTipMM)
		m := windowMark{X: x, CapFrom: x - 6, CapTo: x + 6, HasLow: w.Low.Set, HasHigh: w.High.Set}
		name := fmt.Sprintf("window on EI at %s mm:", plainMM(w.FromTipMM))
		const open = 26 // length of the bar towards an end without a limit
		switch {
		case w.Low.Set && w.High.Set:
			m.Low, m.High = d.y.at(w.Low.Value), d.y.at(w.High.Value)
			m.Name = fmt.Sprintf("%s %s to %s N·m²", name, Fixed(w.Low.Value, 2), Fixed(w.High.Value, 2))
		case w.Low.Set:
			m.Low = d.y.at(w.Low.Value)
			m.High, m.ArrowUp = max(m.Low-open, d.Top), true
			m.Name = fmt.Sprintf("%s at least %s N·m²", name, Fixed(w.Low.Value, 2))
		case w.High.Set:
			m.High = d.y.at(w.High.Value)
			m.Low, m.ArrowDn = min(m.High+open, d.Bottom), true
			m.Name = fmt.Sprintf("%s at most %s N·m²", name, Fixed(w.High.Value, 2))
		default:
			continue
		}
		d.Windows = append(d.Windows, m)
	}
}

// heights are a curve's places in the drawing, in tenths of its unit: the page's data carries them so.
func (d *alongDrawing) heights(ei []float64) []int {
	out := make([]int, len(ei))
	for i, v := range ei {
		out[i] = int(math.Round(10 * float64(d.y.at(v))))
	}
	return out
}

// tenthsX are the places along the board of every curve, in tenths.
func (d *alongDrawing) tenthsX() []int {
	out := make([]int, len(d.places))
	for i, p := range d.places {
		out[i] = int(math.Round(10 * float64(d.x.at(p.x))))
	}
	return out
}

func polyline(xs, ys []int) string {
	var b strings.Builder
	for i := range xs {
		if i > 0 {
			b.WriteByte(' ')
		}
		fmt.Fprintf(&b, "%v,%v", px(float64(xs[i])/10), px(float64(ys[i])/10))
	}
	return b.String()
}

// letterStrips puts the letter of every strip's wood beyond the tail, on the lower side (the upper is its mirror
// image), in as many columns as it takes for them not to touch.
func (d *alongDrawing) letterStrips(b *core.Board, strips []core.Strip, l core.Layout, marks []woodMark, slot []int, middle, scale px) {
	const letterHeight, columnWidth = 11, 13
	narrowest := math.Inf(1)
	for _, s := range strips {
		narrowest = min(narrowest, s.ToMM-s.FromMM)
	}
	columns := min(4, max(1, int(math.Ceil(letterHeight/(float64(scale)*narrowest)))))
	for i, s := range strips {
		at := (s.FromMM + s.ToMM) / 2
		if s.Pieces == 1 {
			at = 0
		}
		end, ok := lastReach(b, at)
		if !ok {
			continue
		}
		y := middle + scale*px(at)
		x := alongRight + 14 + px(columnWidth*(i%columns))
		d.Letters = append(d.Letters, letterMark{Strip: i, Letter: marks[slot[l[i]]].Letter, X1: d.x.at(end), X2: x - 6, Y: y, At: x})
	}
}

// lastReach is the place nearest the tail where the half width is at least y.
func lastReach(b *core.Board, y float64) (x float64, ok bool) {
	for i := len(b.Stations) - 1; i >= 0; i-- {
		s := b.Stations[i]
		if s.WidthMM/2 < y {
			continue
		}
		if i == len(b.Stations)-1 {
			return s.FromTipMM, true
		}
		next := b.Stations[i+1]
		u := (s.WidthMM/2 - y) / (s.WidthMM/2 - next.WidthMM/2)
		return s.FromTipMM + u*(next.FromTipMM-s.FromTipMM), true
	}
	return 0, false
}

// bandPath is what the outline leaves, from x0 to x1, of the band from..to from the centre line: on both sides, or as
// one shape astride it.
func bandPath(b *core.Board, from, to, x0, x1 float64, astride bool, along axis, middle, scale px) string {
	xs := []float64{x0, x1}
	for i, s := range b.Stations {
		xs = append(xs, s.FromTipMM)
		if i == 0 {
			continue
		}
		before := b.Stations[i-1]
		for _, face := range []float64{from, to} {
			if u := (face - before.WidthMM/2) / (s.WidthMM/2 - before.WidthMM/2); u > 0 && u < 1 {
				xs = append(xs, before.FromTipMM+u*(s.FromTipMM-before.FromTipMM))
			}
		}
	}
	slices.Sort(xs)
	xs = slices.DeleteFunc(slices.Compact(xs), func(x float64) bool { return x < x0 || x > x1 })
	inner := from
	if astride {
		inner = 0
	}
	outer := func(x float64) float64 { return min(to, b.HalfWidthMM(x)) }

	var path strings.Builder
	shape := func(run []float64, sign px) {
		command := "M"
		put := func(x, y float64) {
			fmt.Fprintf(&path, "%s%v %v", command, along.at(x), middle+sign*scale*px(y))
			command = "L"
		}
		for _, x := range run {
			put(x, max(inner, outer(x)))
		}
		for _, x := range slices.Backward(run) {
			if astride {
				put(x, -outer(x))
			} else if x == run[0] || x == run[len(run)-1] {
				put(x, inner)
			}
		}
		path.WriteByte('Z')
	}
	for start := 0; start+1 < len(xs); {
		end := start
		for end+1 < len(xs) && outer((xs[end]+xs[end+1])/2) > inner {
			end++
		}
		if end > start {
			shape(xs[start:end+1], 1)
			if !astride {
				shape(xs[start:end+1], -1)
			}
			start = end
		} else {
			start++
		}
	}
	return path.String()
}

// alongPlaces are where curves of EI are reckoned: at every station, window and jump (there from both sides), and
// between them so closely that straight lines between look as the curve does.
func alongPlaces(b *core.Board, windows []optimize.Window) []place {
	tip, tail := b.Stations[0].FromTipMM, b.LengthMM()
	var out []place
	add := func(x float64, sides ...core.Side) {
		for _, side := range sides {
			if x >= tip && x <= tail {
				out = append(out, place{x, side})
			}
		}
	}
	xs := []float64{b.MeasureAtMM}
	for _, s := range b.Stations {
		xs = append(xs, s.FromTipMM)
	}
	for _, w := range windows {
		xs = append(xs, w.FromTipMM)
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	for i, x := range xs {
		add(x, core.Closed)
		if i+1 == len(xs) {
			break
		}
		const widestGap = 40 // mm
		parts := math.Ceil((xs[i+1] - x) / widestGap)
		for k := 1.0; k < parts; k++ {
			add(x+k*(xs[i+1]-x)/parts, core.Closed)
		}
	}
	for _, l := range b.Layers {
		for _, x := range []float64{l.FromMM, l.ToMM} {
			if x > tip && x < tail {
				add(x, core.FromTip, core.FromTail)
			}
		}
	}
	// C has no sides: a pad's end is seen from a hair before and after it.
	const hair = 1e-3 // mm
	for _, pad := range b.Pads {
		for _, x := range []float64{pad.FromMM, pad.ToMM} {
			add(x-hair, core.Closed)
			add(x+hair, core.Closed)
		}
	}
	slices.SortFunc(out, func(p, q place) int { return cmp.Or(cmp.Compare(p.x, q.x), cmp.Compare(p.side, q.side)) })
	// Where a jump is seen from both sides, the closed section would only add a spike.
	return slices.DeleteFunc(slices.Compact(out), func(p place) bool {
		return p.side == core.Closed && slices.Contains(out, place{p.x, core.FromTip})
	})
}

// stiffnessAlong is EI, N·m², of the section the board means, at the places.
func stiffnessAlong(b *core.Board, l core.Layout, places []place) []float64 {
	out := make([]float64, len(places))
	for i, p := range places {
		out[i] = b.SectionSide(p.x, b.Section, p.side).EI(b.C(l, p.x))
	}
	return out
}
