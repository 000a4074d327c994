package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/species"
)

// A size is one row of the table: positions from the centre line outward.
type size struct {
	name   string
	strips []int     // of each position
	widths []float64 // mm, of its strips
	woods  int
}

var sizes = []size{
	{"S", []int{4, 3, 2, 3, 3}, repeat(10, 5), 8},
	{"M", ones(15), repeat(10, 15), 12},
	{"L", ones(25), repeat(6, 25), 12},
	{"X", ones(15), unlike(15), 6},
}

func ones(n int) []int {
	v := make([]int, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

func repeat(w float64, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = w
	}
	return v
}

// unlike is n different widths around 10 mm, so that no two strips are alike.
func unlike(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 6.5 + 0.5*float64((7*i)%n)
	}
	return v
}

// generate is an invented core of a size: woods whose modulus (3.4 to 14 GPa) and price rise with density (160 to 720 kg/m³), with
// noise; nine target stations with windows of ±15 % around a random layout, whose cost is the cost limit; at most four woods, at
// least two strips of each; hard woods only in the outermost position. The sidecut takes the three outermost strips in part.
func generate(s size, seed uint64) *optimize.Program {
	r := rand.New(rand.NewPCG(seed, 3))
	own := func(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }
	b := &core.Board{Name: fmt.Sprintf("%s-%d", s.name, seed), Section: core.Bare}
	for i := range s.woods {
		t := float64(i) / float64(s.woods-1)
		rho := math.Round(160 + 560*t + 30*(r.Float64()-0.5))
		b.Woods = append(b.Woods, species.Wood{ID: fmt.Sprintf("wood-%02d", i+1), CommonName: fmt.Sprintf("Wood %d", i+1),
			DensityKgM3: own(rho), SpecificGravity: own(rho / 1120), ModulusGPa: own(math.Round(100*(3.4+10.6*t+1.6*(r.Float64()-0.5))) / 100),
			CrossGrainGPa: own(0.5), ModulusCVPct: own(20), HardnessN: own(rho * 8), RotationHighYears: own(rho / 10)})
	}
	var reach float64
	var edges []float64 // outer faces of the strips
	for i, n := range s.strips {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%02d", i+1), Strips: n, StripWidthMM: s.widths[i]})
		for range n {
			reach += s.widths[i]
			edges = append(edges, reach)
		}
	}
	waist := edges[len(edges)-4] + 0.35*(edges[len(edges)-3]-edges[len(edges)-4]) // into the third strip from outside
	thickness := []float64{3.4, 4.6, 5.8, 6.9, 7.6, 7.0, 5.9, 4.7, 3.5}
	b.Stations = append(b.Stations, core.Station{FromTipMM: 0, WidthMM: 1.1 * reach, ThicknessMM: 1.8})
	for i, t := range thickness {
		u := math.Abs(float64(i)-4) / 4
		b.Stations = append(b.Stations, core.Station{FromTipMM: 220 + 140*float64(i), ThicknessMM: t, WidthMM: 2 * (waist + (reach-waist)*u*u)})
	}
	b.Stations = append(b.Stations, core.Station{FromTipMM: 1560, WidthMM: 1.1 * reach, ThicknessMM: 1.8})
	b.MeasureAtMM, b.SpanMM = 780, 1000

	p := &optimize.Program{Model: b.Name, Board: b, Currency: "EUR"}
	last := len(b.Positions) - 1
	for i, w := range b.Woods {
		price := decimal.NewFromFloat(math.Round(w.DensityKgM3.Value * (0.8 + 0.4*r.Float64()))).Shift(-3) // of a 10 mm strip
		c := optimize.Candidate{Wood: i}
		for k := range b.Positions {
			c.At = append(c.At, optimize.Use{Allowed: k != last || w.DensityKgM3.Value >= 480,
				StripCost: price.Mul(decimal.NewFromFloat(s.widths[k] / 10)).Round(4)})
		}
		p.Candidates = append(p.Candidates, c)
	}
	p.Limits.MaxWoods = optimize.Limit{Set: true, Value: 4}
	p.Limits.MinStrips = optimize.Limit{Set: true, Value: 2}

	// The reference: three or four woods, drawn until it keeps what is not drawn around it.
	for {
		woods := r.Perm(s.woods)[:3+r.IntN(2)]
		var layout core.Layout
		for _, st := range b.Strips() {
			w := woods[r.IntN(len(woods))]
			for range 50 {
				if p.Candidates[w].At[st.Position].Allowed {
					break
				}
				w = woods[r.IntN(len(woods))]
			}
			layout = append(layout, w)
		}
		c, err := optimize.Check(p, layout)
		if err != nil || len(c.Broken) > 0 {
			continue
		}
		p.Reference = layout
		p.Limits.MaxCost = optimize.MoneyLimit{Set: true, Value: c.Point.Cost}
		for _, st := range c.Point.Figures.Stations[1 : len(b.Stations)-1] {
			p.Limits.Windows = append(p.Limits.Windows, optimize.Window{FromTipMM: st.FromTipMM,
				Low:  optimize.Limit{Set: true, Value: math.Round(100*0.85*st.CoreEINM2) / 100},
				High: optimize.Limit{Set: true, Value: math.Round(100*1.15*st.CoreEINM2) / 100}})
		}
		return p
	}
}
