package optimize

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
)

// A law is something that must hold between a program and the same program said otherwise. A kind of program that is added gets its laws
// as rows here, or in a table of its own beside it, run by the same holds.
type law struct {
	name string
	// change says the program otherwise; nil where the law says nothing of it.
	change func(r *rand.Rand, p *Program) *Program
	// holds compares the fronts before and after.
	holds func(before, after [][]int64) string
	three bool // with cost as an objective
}

var laws = []law{
	{"mirrored from tip to tail", mirroredProgram, equalFronts, false},
	{"a layer cut in two along the board", layerCut, equalFronts, false},
	{"a station between two others", stationBetween, equalFronts, false},
	{"other names for woods and positions", renamed, equalFronts, true},
	{"the woods in another order", woodsTurned, equalFronts, true},
	{"the candidates in another order", candidatesTurned, equalFronts, true},
	{"limits looser", loosened, neverWorse, false},
	{"one limit gone", withoutOne, neverWorse, true},
	{"one wood more", woodAdded, neverWorse, false},
	{"all prices doubled", pricesDoubled, costsDoubled, true},
}

// TestLaws holds each law on random programs, by enumeration; that the methods agree is another test's business.
func TestLaws(t *testing.T) {
	n := 40
	if testing.Short() {
		n = 12
	}
	for _, l := range laws {
		t.Run(l.name, func(t *testing.T) {
			told, points := 0, 0
			for seed := range n {
				r := rand.New(rand.NewPCG(uint64(seed), 20260404))
				p, _ := randomProgram(r)
				for countLayouts(p) > 6000 {
					p, _ = randomProgram(r)
				}
				whole(p) // cost in whole hundredths, so that its resolution rounds nothing
				q := l.change(r, p)
				if q == nil {
					continue
				}
				o := Options{Method: Enumeration}
				if l.three {
					o.Objectives = three
				}
				before, after := vectors(mustFront(t, p, o)), vectors(mustFront(t, q, o))
				told++
				points += len(before)
				if wrong := l.holds(before, after); wrong != "" {
					t.Errorf("seed %d: %s\nbefore %v\nafter  %v", seed, wrong, before, after)
				}
			}
			if told < n/4 || points < n {
				t.Errorf("the law was tried on %d of %d programs and %d points: nothing is tested", told, n, points)
			}
		})
	}
}

// equalFronts: the same points, but for the last digit of mass and EI, which another order of additions may turn.
func equalFronts(before, after [][]int64) string {
	if len(before) != len(after) {
		return fmt.Sprintf("%d points, then %d", len(before), len(after))
	}
	for i, v := range before {
		for k := range v {
			if d := v[k] - after[i][k]; d < -1 || d > 1 || d != 0 && k == 2 {
				return fmt.Sprintf("point %d is %v, then %v", i+1, v, after[i])
			}
		}
	}
	return ""
}

// neverWorse: whatever was possible before still is, or something better.
func neverWorse(before, after [][]int64) string {
	for _, v := range before {
		if !slices.ContainsFunc(after, func(w []int64) bool { return within(w, v) }) {
			return fmt.Sprintf("nothing is as good as %v any more", v)
		}
	}
	return ""
}

func costsDoubled(before, after [][]int64) string {
	doubled := make([][]int64, len(before))
	for i, v := range before {
		doubled[i] = []int64{v[0], v[1], 2 * v[2]}
	}
	if !slices.EqualFunc(doubled, after, slices.Equal[[]int64]) {
		return "the costs are not twice what they were"
	}
	return ""
}

// whole rounds the price of every strip to hundredths.
func whole(p *Program) {
	for i := range p.Candidates {
		for k := range p.Candidates[i].At {
			u := &p.Candidates[i].At[k]
			u.StripCost = u.StripCost.Round(2)
		}
	}
}

// clone is a program that can be changed without touching p.
func clone(p *Program) *Program {
	q, b := *p, *p.Board
	b.Woods, b.Positions, b.Stations = slices.Clone(b.Woods), slices.Clone(b.Positions), slices.Clone(b.Stations)
	b.Layers, b.Pads = slices.Clone(b.Layers), slices.Clone(b.Pads)
	q.Board = &b
	q.Candidates = slices.Clone(p.Candidates)
	for i := range q.Candidates {
		q.Candidates[i].At = slices.Clone(q.Candidates[i].At)
	}
	q.Limits.Windows, q.Limits.Counts = slices.Clone(p.Limits.Windows), slices.Clone(p.Limits.Counts)
	q.Limits.Shares, q.Limits.Positions = slices.Clone(p.Limits.Shares), slices.Clone(p.Limits.Positions)
	return &q
}

func mirroredProgram(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	b := q.Board
	length := b.LengthMM()
	slices.Reverse(b.Stations)
	for i := range b.Stations {
		b.Stations[i].FromTipMM = length - b.Stations[i].FromTipMM
	}
	for i, y := range b.Layers {
		if y.ToMM > 0 {
			b.Layers[i].FromMM, b.Layers[i].ToMM = length-y.ToMM, length-y.FromMM
		}
	}
	for i, y := range b.Pads {
		b.Pads[i].FromMM, b.Pads[i].ToMM = length-y.ToMM, length-y.FromMM
	}
	b.MeasureAtMM = length - b.MeasureAtMM
	for i, w := range q.Limits.Windows {
		at := length - w.FromTipMM
		for _, s := range b.Stations { // the station's own figure, to the last bit
			if d := s.FromTipMM - at; d > -1e-6 && d < 1e-6 {
				at = s.FromTipMM
			}
		}
		q.Limits.Windows[i].FromTipMM = at
	}
	return q
}

func layerCut(_ *rand.Rand, p *Program) *Program {
	if len(p.Board.Layers) == 0 {
		return nil
	}
	q := clone(p)
	first := q.Board.Layers[0]
	if first.ToMM == 0 {
		first.ToMM = q.Board.LengthMM()
	}
	second := first
	first.ToMM = first.FromMM + 0.381*(first.ToMM-first.FromMM)
	second.FromMM = first.ToMM
	q.Board.Layers = append(q.Board.Layers[1:], first, second)
	return q
}

func stationBetween(r *rand.Rand, p *Program) *Program {
	q := clone(p)
	b := q.Board
	i := 1 + r.IntN(len(b.Stations)-1)
	x := b.Stations[i-1].FromTipMM + 0.381*(b.Stations[i].FromTipMM-b.Stations[i-1].FromTipMM)
	b.Stations = slices.Insert(b.Stations, i, core.Station{FromTipMM: x, WidthMM: 2 * p.Board.HalfWidthMM(x), ThicknessMM: p.Board.ThicknessMM(x)})
	return q
}

func renamed(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	q.Model = "another"
	for i := range q.Board.Woods {
		w := &q.Board.Woods[i]
		w.ID, w.CommonName = fmt.Sprintf("z%d", 9-i), fmt.Sprintf("name %d", 9-i)
	}
	for i := range q.Board.Positions {
		q.Board.Positions[i].Name = fmt.Sprintf("place %d", 9-i)
	}
	return q
}

// woodsTurned numbers the woods of the board the other way round.
func woodsTurned(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	last := len(q.Board.Woods) - 1
	slices.Reverse(q.Board.Woods)
	slices.Reverse(q.Candidates)
	for i := range q.Candidates {
		q.Candidates[i].Wood = last - q.Candidates[i].Wood
	}
	for i := range q.Board.Pads {
		q.Board.Pads[i].Wood = last - q.Board.Pads[i].Wood
	}
	for i := range q.Limits.Counts {
		q.Limits.Counts[i].Wood = last - q.Limits.Counts[i].Wood
	}
	for i := range q.Limits.Shares {
		q.Limits.Shares[i].Wood = last - q.Limits.Shares[i].Wood
	}
	q.Reference = slices.Clone(p.Reference)
	for i := range q.Reference {
		q.Reference[i] = last - q.Reference[i]
	}
	return q
}

func candidatesTurned(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	slices.Reverse(q.Candidates)
	return q
}

// limitsOf are the limits of a program that can be loosened, with the way that looser lies.
func limitsOf(l *Limits) map[*Limit]float64 {
	out := map[*Limit]float64{&l.MaxCoreMassG: 1, &l.MaxWoods: 1, &l.MinStrips: -1, &l.MinFastPct: -1, &l.MinCertPct: -1, &l.MaxScatterPct: 1,
		&l.FlexLow: -1, &l.FlexHigh: 1, &l.MaxUtilPct: 1}
	for i := range l.Windows {
		out[&l.Windows[i].Low], out[&l.Windows[i].High] = -1, 1
	}
	for i := range l.Counts {
		out[&l.Counts[i].Low], out[&l.Counts[i].High] = -1, 1
	}
	for i := range l.Shares {
		out[&l.Shares[i].Low], out[&l.Shares[i].High] = -1, 1
	}
	for i := range l.Positions {
		out[&l.Positions[i].MinHardnessN], out[&l.Positions[i].MinHoldingPct] = -1, -1
	}
	return out
}

func loosened(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	counts := map[*Limit]bool{&q.Limits.MaxWoods: true, &q.Limits.MinStrips: true}
	for i := range q.Limits.Counts {
		counts[&q.Limits.Counts[i].Low], counts[&q.Limits.Counts[i].High] = true, true
	}
	set := q.Limits.MaxCost.Set
	for l, looser := range limitsOf(&q.Limits) {
		if !l.Set {
			continue
		}
		set = true
		if counts[l] {
			l.Value = max(0, l.Value+looser)
		} else {
			l.Value *= 1 + looser*0.02
		}
	}
	q.Limits.MaxCost.Value = q.Limits.MaxCost.Value.Add(decimal.New(25, -2))
	if !set {
		return nil
	}
	return q
}

func withoutOne(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	// The first that is set, in the order they are written down here.
	l := &q.Limits
	for _, one := range []*Limit{&l.MinStrips, &l.MaxWoods, &l.MaxScatterPct, &l.MinFastPct, &l.MinCertPct, &l.MaxCoreMassG, &l.MaxUtilPct, &l.FlexLow, &l.FlexHigh} {
		if one.Set {
			*one = Limit{}
			return q
		}
	}
	if len(l.Windows) > 0 {
		l.Windows = l.Windows[1:]
		return q
	}
	return nil
}

// woodAdded adds a wood between the first two, allowed everywhere.
func woodAdded(_ *rand.Rand, p *Program) *Program {
	q := clone(p)
	w := q.Board.Woods[0]
	w.ID, w.CommonName = "added", "Added"
	w.DensityKgM3.Value = (w.DensityKgM3.Value + q.Board.Woods[1].DensityKgM3.Value) / 2
	w.ModulusGPa.Value = (w.ModulusGPa.Value + q.Board.Woods[1].ModulusGPa.Value) / 2
	q.Board.Woods = append(q.Board.Woods, w)
	c := q.Candidates[0]
	c.Wood = len(q.Board.Woods) - 1
	c.At = slices.Clone(c.At)
	for i := range c.At {
		c.At[i].Allowed = true
	}
	q.Candidates = append(q.Candidates, c)
	return q
}

func pricesDoubled(_ *rand.Rand, p *Program) *Program {
	if p.Limits.MaxCost.Set {
		p.Limits.MaxCost.Value = p.Limits.MaxCost.Value.Round(2)
	}
	q := clone(p)
	for i := range q.Candidates {
		for k := range q.Candidates[i].At {
			u := &q.Candidates[i].At[k]
			u.StripCost = u.StripCost.Add(u.StripCost)
		}
	}
	q.Limits.MaxCost.Value = q.Limits.MaxCost.Value.Add(q.Limits.MaxCost.Value)
	return q
}

// TestMatchLaws: a wider window is never heavier, more factors never either, and names and order change nothing.
func TestMatchLaws(t *testing.T) {
	n := 40
	if testing.Short() {
		n = 10
	}
	found := 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 20260405))
		p, ref := randomProgram(r)
		for countLayouts(p) > 5000 {
			p, ref = randomProgram(r)
		}
		p.Reference = ref
		o := MatchOptions{Method: Enumeration, WithinPct: 2, Factors: []float64{1, 1.02}, NoSwaps: true}
		base := mustMatch(t, p, o)
		wider, more := o, o
		wider.WithinPct, more.Factors = 4, []float64{0.98, 1, 1.02}
		for what, m := range map[string]*MatchResult{"a wider window": mustMatch(t, p, wider), "more factors": mustMatch(t, p, more)} {
			if base.Best != nil && (m.Best == nil || m.Best.CoreMassG > base.Best.CoreMassG) {
				t.Errorf("seed %d: %s made it worse: %v, then %v", seed, what, base.Best, m.Best)
			}
		}
		for what, q := range map[string]*Program{"mirrored": mirroredProgram(r, p), "renamed": renamed(r, p), "candidates turned": candidatesTurned(r, p)} {
			m := mustMatch(t, q, o)
			if (m.Best == nil) != (base.Best == nil) {
				t.Errorf("seed %d, %s: %v, then %v", seed, what, base.Best, m.Best)
			} else if m.Best != nil && !(m.Best.CoreMassG-base.Best.CoreMassG < 0.0101 && base.Best.CoreMassG-m.Best.CoreMassG < 0.0101) {
				t.Errorf("seed %d, %s: %v g, then %v g", seed, what, base.Best.CoreMassG, m.Best.CoreMassG)
			}
		}
		if base.Best != nil {
			found++
		}
	}
	if found < n/5 {
		t.Errorf("%d of %d matches found anything: nothing is tested", found, n)
	}
}

// TestMixesLaws holds the laws of programs on the steps of mixes, of share against mass at equal flex; a wider window and more factors never take a step away.
func TestMixesLaws(t *testing.T) {
	n := 40
	if testing.Short() {
		n = 12
	}
	steps := func(p *Program, o MixesOptions) (v [][]int64) {
		t.Helper()
		r, err := Mixes(context.Background(), p, o)
		if err != nil || !r.Proven {
			t.Fatal(r, err)
		}
		for _, b := range r.Breaks {
			v = append(v, []int64{int64(math.Round(100 * b.Point.CoreMassG)), -int64(math.Round(100 * b.SharePct))})
		}
		return v
	}
	told := map[string]int{}
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 20260406))
		p, ref := randomProgram(r)
		for countLayouts(p) > 3000 {
			p, ref = randomProgram(r)
		}
		p.Reference = ref
		if seed%2 == 0 { // with all its limits besides, hardly a mix has many steps
			p.Limits = Limits{Positions: make([]PositionLimit, len(p.Board.Positions)), FastUpToYears: p.Limits.FastUpToYears, MaxWoods: p.Limits.MaxWoods}
		}
		o := MixesOptions{Method: Enumeration, WithinPct: 4, Factors: []float64{1, 1.02}, Objectives: []Objective{Mass, Share}}
		o.Stations = stationsBetween(p)
		before := steps(p, o)
		if before == nil {
			continue
		}
		hold := func(name string, q *Program, o MixesOptions, holds func(before, after [][]int64) string) {
			t.Helper()
			told[name]++
			after := steps(q, o)
			if wrong := holds(before, after); wrong != "" {
				t.Errorf("seed %d, %s: %s\nbefore %v\nafter  %v", seed, name, wrong, before, after)
			}
		}
		for _, l := range laws {
			q := l.change(r, p)
			if q == nil {
				continue
			}
			holds, how := l.holds, o
			switch l.name {
			case "all prices doubled": // money is none of a step's objectives, but a limit on it is doubled as well
				holds = equalFronts
			case "mirrored from tip to tail":
				how.Stations = stationsBetween(q)
			}
			hold(l.name, q, how, holds)
		}
		wider, more := o, o
		wider.WithinPct, more.Factors = 6, []float64{0.98, 1, 1.02}
		hold("a wider window", p, wider, neverWorse)
		hold("more factors", p, more, neverWorse)
	}
	for _, l := range laws {
		if told[l.name] < n/8 {
			t.Errorf("%s: tried on %d of %d mixes: nothing is tested", l.name, told[l.name], n)
		}
	}
	t.Log(told)
}

// stationsBetween are the stations between the supports of a board, where mixes keep EI: said, so that a station more brings no window more.
func stationsBetween(p *Program) (at []float64) {
	b := p.Board
	for _, s := range b.Stations {
		if margin := (b.LengthMM() - b.SpanMM) / 2; s.FromTipMM >= margin && s.FromTipMM <= b.LengthMM()-margin {
			at = append(at, s.FromTipMM)
		}
	}
	return at
}
