package report

import (
	"fmt"
	"math"
)

// Fit is the class of a page that shrinks its print to two sheets, empty where it needs none. What a page takes is reckoned in
// points of height from what it holds: about what a browser makes of page.css, and a little more.
func (p *page) Fit() string {
	if p.Section == nil {
		return ""
	}
	rows := func(n int, high float64) float64 { return float64(n) * high }
	drawing := func(h, w px, width float64) float64 { return 535 * width * float64(h/w) }
	points := 150 + rows(len(p.Broken), 10) // titles, what is proven, cautions
	if p.Front {
		points += 205 * math.Ceil(float64(len(p.Charts)+1)/2)
	}
	points += 45 + drawing(p.Section.H, p.Section.W, 0.86) + rows(len(p.Woods), 3.5)
	if p.Other != nil {
		points += 20 + drawing(p.Other.H, p.Other.W, 0.86)
	}
	points += 40 + drawing(p.Along.H, p.Along.W, 0.8)
	parts := 35 + rows(len(p.Glued), 15)
	made := 35.0
	for _, w := range p.MadeOf {
		made += 14 + rows((len(w.Prices)+1)/2, 10)
	}
	for _, g := range p.Strength {
		points += 45 + rows(len(g.Rows), 11)
	}
	if m := p.Match; m != nil {
		points += 60 + rows(len(m.Warnings), 18) + 40 + rows(len(m.Compared.Rows), 9.6)
		points += max(parts+made+rows(len(p.MadeOf), 24), 60+rows(len(m.Mill.Rows), 10.2))
		if m.Swaps != nil {
			points += 50 + rows(len(m.Swaps.Rows), 19)
		}
	} else {
		points += max(parts, 35+rows(len(p.Windows), 10)) + made
		points += max(50+rows(len(p.Figures), 13), 55+rows(len(p.Profile), 10))
	}
	room := 1350.0 // of two sheets of US Letter, less what a break between them leaves empty
	if p.Match != nil {
		room = 1150 // more of a match stands side by side and cannot be broken
	}
	percent := 100 * math.Sqrt(room/points)
	if percent >= 100 {
		return ""
	}
	return fmt.Sprintf("fit%d", max(50, 5*int(percent/5)))
}
