package report

import (
	"cmp"
	"math"
	"strings"

	"github.com/rivo/uniseg"
)

// px is a length or a place in a drawing, in the drawing's own units, written with at most one decimal.
type px float64

func (p px) String() string { return strings.TrimSuffix(Fixed(float64(p), 1), ".0") }

// An axis carries values to places in a drawing, linearly: low stands at from, high at to.
type axis struct {
	low, high float64
	from, to  px
}

func (a axis) at(v float64) px {
	return a.from + px((v-a.low)/(a.high-a.low))*(a.to-a.from)
}

// A tick is a marked value of an axis.
type tick struct {
	At   px
	Text string
}

// ticks are the marks of an axis, at whole multiples of a round step, at most `most` of them.
func (a axis) ticks(most int) []tick {
	step, decimals := roundStep(a.high-a.low, most)
	var out []tick
	// The slack lets an end that is a multiple but for rounding keep its mark.
	const slack = 1e-9
	for n := math.Ceil(a.low/step - slack); n <= math.Floor(a.high/step+slack); n++ {
		out = append(out, tick{a.at(n * step), Fixed(n*step, decimals)})
	}
	return out
}

// roundStep is the least of …, 1, 2, 5, 10, 20, 50, … that marks a range of that length at most `most` times (2 or more), and the
// decimals its multiples need.
func roundStep(length float64, most int) (step float64, decimals int) {
	gaps := float64(max(most, 2) - 1)
	for power := math.Floor(math.Log10(length / gaps)); ; power++ {
		for _, digit := range []float64{1, 2, 5} {
			if step = digit * math.Pow(10, power); length/step <= gaps*(1+1e-9) {
				return step, int(max(0, -power))
			}
		}
	}
}

// rounded is the axis from low to high, both moved outward to the next mark. A range of no length gets some.
func rounded(low, high float64, most int, from, to px) axis {
	if !(high > low) {
		low, high = low-about(low), low+about(low)
	}
	step, _ := roundStep(high-low, most-1) // moving the ends outward adds at most one mark
	return axis{step * math.Floor(low/step+1e-9), step * math.Ceil(high/step-1e-9), from, to}
}

// about is some room about a value that stands alone.
func about(v float64) float64 { return cmp.Or(math.Abs(v)/100, 1) }

// clipped is text cut to a number of columns, at the border of what a reader sees as one character, with "…" in place of the rest.
func clipped(text string, columns int) string {
	if uniseg.StringWidth(text) <= columns {
		return text
	}
	var b strings.Builder
	for used, state := 0, -1; text != ""; {
		var seen string
		var width int
		seen, text, width, state = uniseg.FirstGraphemeClusterInString(text, state)
		if used += width; used > columns-1 {
			break
		}
		b.WriteString(seen)
	}
	return b.String() + "…"
}
