package report

import (
	"cmp"
	"fmt"
	"slices"

	"stavewright/optimize"
)

// A frontChart is the points of a front by mass and by EI or cost, in a drawing of W by H.
type frontChart struct {
	W, H                     px
	Left, Right, Top, Bottom px // of the frame
	Name, XLabel, YLabel     string
	XTicks, YTicks           []tick
	Steps                    string // the border of what can be reached; empty where it is not known
	Knee, Cheapest           bool   // there is one
	Dots                     []dot
	Reference                *dot
	Many                     bool // so many points that they are drawn small
}

// A dot is one point of the front in a chart.
type dot struct {
	Index, ID     int
	X, Y          px
	Knee          bool
	Cheapest      bool
	Picked        bool
	Name          string // for those who cannot see where it lies
	Tag           string // written beside it
	TagX, TagY    px
	TagEnd        bool // the tag ends at TagX
	ReferenceMark bool
}

// measure is what a chart shows upward, read from a point.
type measure struct {
	label, name string
	value       func(*optimize.Point) float64
}

// newFrontChart draws points, and the reference where there is one, over their core mass. picked is an index into points.
// name says which point one is, to those who cannot see it.
func newFrontChart(points []optimize.Point, reference *optimize.Point, up measure, picked int,
	name func(*optimize.Point) string) *frontChart {
	c := &frontChart{
		W: 640, H: 418, Left: 76, Right: 620, Top: 26, Bottom: 352,
		Name: up.name, XLabel: "core mass, g", YLabel: up.label, Many: len(points) > 60,
	}
	all := points
	if reference != nil {
		all = append(points[:len(points):len(points)], *reference)
	}
	xs, ys := make([]float64, len(all)), make([]float64, len(all))
	for i := range all {
		xs[i], ys[i] = all[i].CoreMassG, up.value(&all[i])
	}
	x, y := spread(xs, c.Left, c.Right), spread(ys, c.Bottom, c.Top)
	c.XTicks, c.YTicks = x.ticks(6), y.ticks(8)
	for i := range all {
		p := &all[i]
		d := dot{Index: i, ID: p.ID, X: x.at(xs[i]), Y: y.at(ys[i]), Knee: p.Knee, Cheapest: p.Cheapest, Picked: i == picked}
		switch {
		case i == len(points):
			d.Tag, d.ReferenceMark = "reference", true
		case p.Knee && p.Cheapest:
			d.Tag = "knee, cheapest"
		case p.Knee:
			d.Tag = "knee"
		case p.Cheapest:
			d.Tag = "cheapest"
		}
		// The front climbs to the right: above and left of it is free, and the reference lies below and right of it.
		d.TagX, d.TagY, d.TagEnd = d.X-10, d.Y-9, true
		if d.ReferenceMark {
			d.TagX, d.TagY, d.TagEnd = d.X+10, d.Y+18, false
		}
		const letter = 9 // of a tag at its largest
		if room := px(letter * len(d.Tag)); d.TagEnd && d.TagX-room < c.Left {
			d.TagX, d.TagY, d.TagEnd = d.X+10, d.Y+18, false
		} else if !d.TagEnd && d.TagX+room > c.Right {
			d.TagX, d.TagEnd = d.X-10, true
		}
		if d.ReferenceMark {
			c.Reference = &d
			continue
		}
		d.Name = name(p)
		c.Knee, c.Cheapest = c.Knee || p.Knee, c.Cheapest || p.Cheapest
		c.Dots = append(c.Dots, d)
	}
	return c
}

// withSteps draws the border between what some layout reaches and what none does: right for a complete front of mass and
// EI alone, in order of mass.
func (c *frontChart) withSteps() {
	for i, d := range c.Dots {
		if i > 0 {
			c.Steps += fmt.Sprintf(" %v,%v", d.X, c.Dots[i-1].Y)
		}
		c.Steps += fmt.Sprintf(" %v,%v", d.X, d.Y)
	}
}

// spread is an axis over values (at least one) with some room about them.
func spread(values []float64, from, to px) axis {
	low, high := slices.Min(values), slices.Max(values)
	room := cmp.Or((high-low)/14, about(low))
	return axis{low - room, high + room, from, to}
}
