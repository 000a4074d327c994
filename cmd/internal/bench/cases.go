package main

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/cmd/internal/book"
	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// A size is a kind of generated core: positions from the centre line outward.
type size struct {
	name   string
	strips []int     // of each position
	widths []float64 // mm, of its strips
	woods  int
}

var sizes = []size{
	{"T", []int{2, 1, 2}, repeat(10, 3), 4},
	{"S", []int{4, 3, 2, 3, 3}, repeat(10, 5), 8},
	{"M", ones(15), repeat(10, 15), 12},
	{"L", ones(25), repeat(6, 25), 12},
	{"X", ones(15), unlike(15), 6},
}

// caseNames are the cases in the order of the table.
var caseNames = []string{"T", "S", "M", "L", "X", "S3", "L3", "P", "D"}

// A benchCase is one line of the table.
type benchCase struct {
	name, which string // the case; its seed or model
	programs    []*optimize.Program
	objectives  []optimize.Objective
	peers       bool // there is a plain loop for it
	brute       bool // small enough to try every layout
}

var (
	two   = []optimize.Objective{optimize.Mass, optimize.EI}
	three = append(two[:2:2], optimize.Cost)
)

// casesOf are the cases of a name: one a seed, or one a model of the demo.
func casesOf(name string, seeds int) ([]benchCase, error) {
	if name == "D" {
		return demoCases()
	}
	from := name[:1]
	if name == "P" {
		from = "S"
	}
	s := sizes[slices.IndexFunc(sizes, func(s size) bool { return s.name == from })]
	var out []benchCase
	for seed := range seeds {
		c := benchCase{name: name, which: fmt.Sprint(seed + 1), objectives: two, programs: []*optimize.Program{generate(s, uint64(seed+1))},
			peers: len(name) == 1, brute: name == "T"}
		switch name {
		case "S3", "L3":
			c.objectives = three
		case "P":
			c.peers = false
			p := c.programs[0]
			c.programs = nil
			for k := range 16 {
				c.programs = append(c.programs, p.Scaled(0.95+0.01*float64(k)))
			}
		}
		out = append(out, c)
	}
	return out, nil
}

// demo is the starter job with its offers.
func demo() (*book.Job, []sourcing.Offer, error) {
	files, err := book.Starter()
	if err != nil {
		return nil, nil, err
	}
	data := map[string][]byte{}
	for _, f := range files {
		data[f.Name] = f.Data
	}
	job, findings := book.Read(bytes.NewReader(data[book.JobFile]), book.JobFile)
	if e := findings.Errors(); len(e) > 0 {
		return nil, nil, fmt.Errorf("the demo: %s", e)
	}
	var offers []sourcing.Offer
	for i := range job.Suppliers {
		o, _, _ := sourcing.ReadOffers(bytes.NewReader(data[job.Suppliers[i].PriceFile]), job.Source(&job.Suppliers[i]))
		offers = append(offers, o...)
	}
	return job, offers, nil
}

// demoCases are the models of the starter job, with every limit of its book.
func demoCases() ([]benchCase, error) {
	job, offers, err := demo()
	if err != nil {
		return nil, err
	}
	var out []benchCase
	for _, m := range job.Models {
		p, findings := job.Program(m.Name, offers)
		if p == nil {
			return nil, fmt.Errorf("%s: %s", m.Name, findings)
		}
		out = append(out, benchCase{name: "D", which: m.Name, programs: []*optimize.Program{p}, objectives: two, peers: true})
	}
	return out, nil
}

// bruteForce weighs every layout of a small core: no search, and no class.
func (c benchCase) bruteForce() (run, error) {
	out := run{complete: true}
	for i, p := range c.programs {
		strips := p.Board.Strips()
		layout := make(core.Layout, len(strips))
		var all [][]int64
		var fill func(k int) error
		fill = func(k int) error {
			if k < len(strips) {
				for _, w := range p.Candidates {
					if !w.At[strips[k].Position].Allowed {
						continue
					}
					layout[k] = w.Wood
					if err := fill(k + 1); err != nil {
						return err
					}
				}
				return nil
			}
			r, err := optimize.Check(p, layout)
			if err != nil {
				return err
			}
			if len(r.Broken) == 0 {
				all = append(all, steps(r.Point, c.objectives))
			}
			return nil
		}
		if err := fill(0); err != nil {
			return out, err
		}
		slices.SortFunc(all, slices.Compare[[]int64])
		all = slices.CompactFunc(all, slices.Equal[[]int64])
		for _, v := range all {
			if !slices.ContainsFunc(all, func(o []int64) bool { return betters(o, v) }) {
				out.points = append(out.points, append(v, int64(i)))
			}
		}
	}
	return out, nil
}

// betters reports whether a dominates b: no worse in any objective, and not equal.
func betters(a, b []int64) bool {
	for i := range a {
		if a[i] > b[i] {
			return false
		}
	}
	return !slices.Equal(a, b)
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
