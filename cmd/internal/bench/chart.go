package main

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
)

// The chart's measures, in its own units.
const (
	chartWidth, chartHeight  = 760, 440
	left, right, top, bottom = 70, 600, 58, 372
)

// A series is one way to a front, over S, M and L.
type series struct {
	name, colour string
	of           func(row) (r run, ok bool)
}

// The colours keep apart for colour-blind eyes as well (Okabe and Ito's set, from memory); names stand beside the lines.
var allSeries = []series{
	{"as chosen (enumeration)", "#0072B2", func(r row) (run, bool) { return r.ours, true }},
	{"integer programs", "#009E73", func(r row) (run, bool) { return r.integer, r.integer.method != "" }},
	{"loop by GLPK", "#D55E00", ofPeer(0)},
	{"loop by CBC", "#CC79A7", ofPeer(1)},
	{"loop by HiGHS", "#8A6D00", ofPeer(2)},
}

func ofPeer(i int) func(row) (run, bool) {
	return func(r row) (run, bool) { return r.peers[i], r.asked[i] }
}

// A mark is the time of one seed, or of their median.
type mark struct {
	x, y   float64
	capped bool // it took longer
}

// chart draws how time grows from S to L, on a logarithmic axis: a dot for each seed, a line through the medians.
func chart(rows []row, o options) []byte {
	names := []string{"S", "M", "L"}
	under := []string{"15 strips a side, 8 woods", "15 strips a side, 12 woods", "25 strips a side, 12 woods"}
	lowest, highest := math.Inf(1), o.limit.Seconds()
	for _, s := range allSeries {
		for _, r := range rows {
			if n, ok := s.of(r); ok && slices.Contains(names, r.name) {
				lowest = min(lowest, n.seconds)
				highest = max(highest, n.seconds)
			}
		}
	}
	first, last := math.Floor(math.Log10(min(lowest, 1))), math.Ceil(math.Log10(highest))
	x := func(i int) float64 { return left + 50 + float64(i)*(right-left-100)/2 }
	y := func(seconds float64) float64 {
		return bottom - (math.Log10(seconds)-first)/(last-first)*(bottom-top)
	}

	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13" role="img">`+"\n", chartWidth, chartHeight)
	fmt.Fprintln(&b, `<title>Seconds for a complete front, by size of the core and method</title>`)
	fmt.Fprintf(&b, `<rect width="%d" height="%d" fill="#fff"/>`+"\n", chartWidth, chartHeight)
	fmt.Fprintf(&b, `<text x="%d" y="22" font-size="16" fill="#222">Seconds for a complete, proven front</text>`+"\n", left-50)
	fmt.Fprintf(&b, `<text x="%d" y="40" fill="#555">a dot for each generated core, a line through the medians; a triangle: not done after %v s</text>`+"\n", left-50, o.limit.Seconds())
	for k := first; k <= last; k++ {
		at := y(math.Pow(10, k))
		fmt.Fprintf(&b, `<path d="M%d %.1fH%d" stroke="#ddd"/><text x="%d" y="%.1f" text-anchor="end" fill="#555">%v</text>`+"\n", left, at, right, left-8, at+4, math.Pow(10, k))
	}
	for i, n := range names {
		fmt.Fprintf(&b, `<text x="%.1f" y="%d" text-anchor="middle" font-size="15" fill="#222">%s</text><text x="%.1f" y="%d" text-anchor="middle" font-size="11" fill="#555">%s</text>`+"\n",
			x(i), bottom+24, n, x(i), bottom+42, under[i])
	}

	type label struct {
		at           float64
		text, colour string
	}
	var labels []label
	for k, s := range allSeries {
		var line []mark
		shift := float64(k-2) * 7 // side by side
		for i, n := range names {
			var all []mark
			for _, r := range rows {
				if t, ok := s.of(r); ok && r.name == n {
					m := mark{x(i) + shift, y(t.seconds), !t.complete}
					if m.capped {
						m.y = y(o.limit.Seconds())
					}
					all = append(all, m)
				}
			}
			if len(all) == 0 {
				continue
			}
			slices.SortFunc(all, func(a, b mark) int { return cmp.Compare(b.y, a.y) }) // from the quickest
			for _, m := range all {
				b.WriteString(m.dot(s.colour, 2.5))
			}
			line = append(line, all[len(all)/2])
		}
		if len(line) == 0 {
			continue
		}
		fmt.Fprintf(&b, `<path fill="none" stroke="%s" stroke-width="2" d="`, s.colour)
		for i, m := range line {
			fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(i, 1)], m.x, m.y)
		}
		b.WriteString(`"/>` + "\n")
		for _, m := range line {
			b.WriteString(m.dot(s.colour, 4.5))
		}
		labels = append(labels, label{line[len(line)-1].y, s.name, s.colour})
	}
	// Names at the ends of their lines, none over another.
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(a.at, b.at) })
	next := math.Inf(-1)
	for _, l := range labels {
		next = max(next, l.at+4)
		fmt.Fprintf(&b, `<text x="%d" y="%.1f" fill="%s">%s</text>`+"\n", right-10, next, l.colour, l.text)
		next += 17
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

// dot is a mark's shape: a triangle upwards where it took longer.
func (m mark) dot(colour string, size float64) string {
	if m.capped {
		return fmt.Sprintf(`<path d="M%.1f %.1fl%.1f %.1fh%.1fz" fill="#fff" stroke="%s" stroke-width="1.5"/>`+"\n", m.x, m.y-1.3*size, 1.2*size, 2.2*size, -2.4*size, colour)
	}
	return fmt.Sprintf(`<circle cx="%.1f" cy="%.1f" r="%v" fill="%s"/>`+"\n", m.x, m.y, size, colour)
}
