package optimize

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/species"
)

// own is a figure as a user gives it.
func own(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }

// randomProgram is a small invented model with some of everything: outlines that cut through positions, centre-line blocks,
// unsymmetrical and partial layers, pads, prices, and limits around a random layout of it, which is returned too.
func randomProgram(r *rand.Rand) (*Program, core.Layout) {
	between := func(lo, hi float64) float64 { return math.Round((lo+(hi-lo)*r.Float64())*100) / 100 }
	b := &core.Board{Name: "random", Section: core.Bare, GlueGM2: between(0, 250), Correlation: 0}
	if r.IntN(3) > 0 {
		b.Section = core.Pressed
	}
	if r.IntN(4) == 0 {
		b.Correlation = between(0, 0.6)
	}
	woods := 2 + r.IntN(3)
	for i := range woods {
		rho := between(160, 720)
		w := species.Wood{ID: fmt.Sprintf("wood-%d", i), CommonName: fmt.Sprintf("Wood %d", i), DensityKgM3: own(rho),
			SpecificGravity: own(rho / 1120), ModulusGPa: own(3.4 + rho/75 + between(-1, 1)), CrossGrainGPa: own(0.5),
			ModulusCVPct: own(between(10, 30)), RotationHighYears: own(float64(5 + r.IntN(60)))}
		if r.IntN(8) > 0 {
			w.BendingStrengthMPa, w.ShearMPa = own(20+rho/7), own(2+rho/60)
		}
		if r.IntN(6) > 0 {
			w.HardnessN = own(between(500, 6500))
		}
		b.Woods = append(b.Woods, w)
	}
	if r.IntN(3) == 0 {
		b.Positions = append(b.Positions, core.Position{Name: "Centre", Strips: 1 + r.IntN(3), StripWidthMM: between(8, 20), OnCentreLine: true})
	}
	for i := range 2 + r.IntN(2) {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%d", i+1), Strips: 1 + r.IntN(3), StripWidthMM: between(8, 25)})
	}
	strips := b.Strips()
	reach := strips[len(strips)-1].ToMM
	stations := 4 + r.IntN(4)
	step := between(150, 300)
	for i := range stations {
		b.Stations = append(b.Stations, core.Station{FromTipMM: float64(i) * step,
			WidthMM: 2 * reach * between(0.55, 1), ThicknessMM: between(2, 9)})
	}
	length := b.LengthMM()
	b.MeasureAtMM = math.Round(length / 2)
	b.SpanMM = math.Round(length * 0.7)
	for range r.IntN(4) {
		l := core.Layer{Name: "layer", Place: []core.Place{core.Above, core.Below, core.Beside}[r.IntN(3)], Order: 1 + r.IntN(2),
			ModulusGPa: between(0.8, 30), ThicknessMM: between(0.3, 1.4), DensityKgM3: between(900, 1900)}
		if l.Place == core.Beside {
			l.WidthMM = between(3, 12)
			l.ThicknessMM = 0
		} else if r.IntN(3) == 0 {
			l.WidthMM = between(20, 150)
		}
		if r.IntN(3) == 0 {
			l.FromMM = between(0, length/2)
			l.ToMM = between(length/2+1, length)
		}
		b.Layers = append(b.Layers, l)
	}
	if r.IntN(5) == 0 {
		b.Pads = append(b.Pads, core.Pad{Position: r.IntN(len(b.Positions)), FromMM: length * 0.3, ToMM: length * 0.4, Wood: r.IntN(woods)})
	}

	p := &Program{Model: "random", Board: b, Currency: "EUR"}
	p.Limits.HoldingRef = species.Wood{CommonName: "reference", SpecificGravity: own(0.38)}
	p.Limits.FastUpToYears = 25
	p.Limits.Positions = make([]PositionLimit, len(b.Positions))
	for i, w := range b.Woods {
		c := Candidate{Wood: i, FastGrown: w.RotationHighYears.Value <= p.Limits.FastUpToYears}
		for range b.Positions {
			c.At = append(c.At, Use{Allowed: r.IntN(8) > 0 || i == 0, Certified: r.IntN(2) == 0,
				StripCost: decimal.New(int64(500+r.IntN(9000)), -4)})
		}
		p.Candidates = append(p.Candidates, c)
	}
	// A layout of allowed woods, the middle of the limits that follow.
	layout := make(core.Layout, len(strips))
	for i, s := range strips {
		for {
			layout[i] = r.IntN(woods)
			if p.Candidates[layout[i]].At[s.Position].Allowed {
				break
			}
		}
	}
	fig, err := b.Evaluate(layout)
	if err != nil {
		panic(err)
	}
	set := func(v float64) Limit { return Limit{Set: true, Value: v, Where: "Limits!A2"} }
	l := &p.Limits
	for range r.IntN(3) {
		s := fig.Stations[r.IntN(len(fig.Stations))]
		w := Window{FromTipMM: s.FromTipMM}
		ei := s.EINM2(b.Section)
		if r.IntN(4) > 0 {
			w.Low = set(math.Round(ei*between(80, 99)) / 100)
		}
		if r.IntN(4) > 0 {
			w.High = set(math.Round(ei*between(101, 125)) / 100)
		}
		l.Windows = append(l.Windows, w)
	}
	if r.IntN(2) == 0 {
		i := r.IntN(len(b.Positions))
		c := CountLimit{Position: i, Wood: r.IntN(woods), High: set(float64(r.IntN(b.Positions[i].Strips + 1)))}
		if r.IntN(2) == 0 {
			c = CountLimit{Position: -1, Wood: r.IntN(woods), Low: set(float64(r.IntN(3)))}
		}
		l.Counts = append(l.Counts, c)
	}
	if r.IntN(3) == 0 {
		l.Shares = append(l.Shares, ShareLimit{Wood: r.IntN(woods), Low: set(between(0, 20)), High: set(between(40, 100))})
	}
	if r.IntN(3) == 0 {
		l.MaxWoods = set(float64(1 + r.IntN(3)))
	}
	if r.IntN(3) == 0 {
		l.MinStrips = set(float64(1 + r.IntN(3)))
	}
	if r.IntN(4) == 0 {
		l.MinFastPct = set(between(0, 50))
	}
	if r.IntN(4) == 0 {
		l.MinCertPct = set(between(0, 50))
	}
	if r.IntN(4) == 0 {
		l.MaxCoreMassG = set(math.Round(fig.CoreMassG*between(95, 130)) / 100)
	}
	if r.IntN(3) == 0 {
		l.MaxCost = MoneyLimit{Set: true, Value: decimal.New(int64(300+r.IntN(1500)), -2), Where: "Limits!C2"}
	}
	if r.IntN(4) == 0 && fig.Scatter.Known {
		l.MaxScatterPct = set(math.Round(fig.Scatter.EIPct*between(85, 120)) / 100)
	}
	if r.IntN(4) == 0 {
		l.Positions[r.IntN(len(b.Positions))].MinHardnessN = set(between(500, 3000))
	}
	if r.IntN(4) == 0 {
		l.Positions[r.IntN(len(b.Positions))].MinHoldingPct = set(between(20, 200))
	}
	flex := fig.Flex.CoreNPerMM
	if b.Section == core.Pressed {
		flex = fig.Flex.PressedNPerMM
	}
	if r.IntN(5) == 0 {
		l.FlexLow = set(math.Round(flex*between(85, 104)) / 100)
	}
	if r.IntN(6) == 0 {
		l.FlexHigh = set(math.Round(flex*between(96, 115)) / 100)
	}
	l.DesignLoadN, l.SafetyFactor = 500, 1.5
	if st, err := mustPrepare(b).Strength(layout, core.Load{N: l.DesignLoadN, SafetyFactor: l.SafetyFactor}); err == nil && st.Known && r.IntN(5) == 0 {
		l.MaxUtilPct = set(math.Round(st.UtilisationPct*between(80, 130)) / 100)
	}
	return p, layout
}

func mustPrepare(b *core.Board) *core.Prepared {
	p, err := b.Prepare()
	if err != nil {
		panic(err)
	}
	return p
}

// layouts calls f with every layout that is different to the mechanics: woods chosen per group without regard to order.
func layouts(p *Program, f func(core.Layout)) {
	b := p.Board
	groups := b.Groups()
	l := make(core.Layout, len(b.Strips()))
	var fill func(g, k, from int)
	fill = func(g, k, from int) {
		if g == len(groups) {
			f(l)
			return
		}
		if k == len(groups[g].Strips) {
			fill(g+1, 0, 0)
			return
		}
		for c := from; c < len(p.Candidates); c++ {
			if p.Candidates[c].At[groups[g].Position].Allowed {
				l[groups[g].Strips[k]] = p.Candidates[c].Wood
				fill(g, k+1, c)
			}
		}
	}
	fill(0, 0, 0)
}

// countLayouts is how many layouts [layouts] would try.
func countLayouts(p *Program) int {
	all := 1
	for _, g := range p.Board.Groups() {
		woods, n := 0, len(g.Strips)
		for _, c := range p.Candidates {
			if c.At[g.Position].Allowed {
				woods++
			}
		}
		ways := 1 // of n equal strips over the woods: C(n + woods − 1, n)
		for k := 1; k <= n; k++ {
			ways = ways * (woods - 1 + k) / k
		}
		all *= ways
	}
	return all
}

// keepsLimits decides every limit anew, in floating point, from the mechanics alone. near reports a value so close to a bound that
// rounding may decide either way.
func keepsLimits(p *Program, board *core.Prepared, l core.Layout, fig core.Figures) (keeps, near bool) {
	b, lim := p.Board, p.Limits
	strips := b.Strips()
	keeps = true
	// The slack is the half step of print that a bound gives way by, the noise what quantising may add to it.
	atMost := func(v, bound, slack, noise float64) {
		keeps = keeps && v <= bound+slack
		near = near || math.Abs(v-bound-slack) <= noise
	}
	atLeast := func(v, bound, slack, noise float64) { atMost(-v, -bound, slack, noise) }
	ei := map[float64]float64{}
	for _, s := range fig.Stations {
		ei[s.FromTipMM] = s.EINM2(b.Section)
	}
	for _, w := range lim.Windows {
		v := ei[w.FromTipMM]
		if w.Low.Set {
			atLeast(v, w.Low.Value, 0.005, 1e-4*v)
		}
		if w.High.Set {
			atMost(v, w.High.Value, 0.005, 1e-4*v)
		}
	}
	perSide := func(pos, wood int) (n float64) {
		for i, s := range strips {
			if (pos < 0 || s.Position == pos) && l[i] == wood {
				n += float64(s.PerSide)
			}
		}
		return n
	}
	for _, c := range lim.Counts {
		n := perSide(c.Position, c.Wood)
		keeps = keeps && (!c.Low.Set || n >= c.Low.Value) && (!c.High.Set || n <= c.High.Value)
	}
	for _, s := range lim.Shares {
		v := 100 * fig.WoodVolumeCM3[s.Wood] / fig.VolumeCM3
		atLeast(v, s.Low.Value, 0, 1e-3)
		atMost(v, s.High.Value, 0, 1e-3)
	}
	var used float64
	for w := range b.Woods {
		if n := perSide(-1, w); n > 0 {
			used++
			keeps = keeps && (!lim.MinStrips.Set || n >= lim.MinStrips.Value)
		}
	}
	keeps = keeps && (!lim.MaxWoods.Set || used <= lim.MaxWoods.Value)
	if lim.MinFastPct.Set {
		var v float64
		for w, cm3 := range fig.WoodVolumeCM3 {
			if b.Woods[w].RotationHighYears.Value <= lim.FastUpToYears {
				v += 100 * cm3 / fig.VolumeCM3
			}
		}
		atLeast(v, lim.MinFastPct.Value, 0, 1e-3)
	}
	var certified, cost float64
	for _, g := range b.Groups() {
		for _, s := range g.Strips {
			u := p.Candidates[l[s]].At[g.Position]
			if u.Certified {
				certified += 100 * b.StripOwnVolumeCM3(g) / fig.VolumeCM3
			}
			cost += u.StripCost.InexactFloat64() * float64(g.Pieces)
		}
	}
	if lim.MinCertPct.Set {
		atLeast(certified, lim.MinCertPct.Value, 0, 1e-3)
	}
	if lim.MaxCoreMassG.Set {
		atMost(fig.CoreMassG, lim.MaxCoreMassG.Value, 0.005, 0.01)
	}
	if lim.MaxCost.Set {
		atMost(cost, lim.MaxCost.Value.InexactFloat64(), 0.005, 1e-4)
	}
	if lim.MaxScatterPct.Set {
		atMost(fig.Scatter.EIPct, lim.MaxScatterPct.Value, 0.005, 1e-3)
	}
	flex := fig.Flex.CoreNPerMM
	if b.Section == core.Pressed {
		flex = fig.Flex.PressedNPerMM
	}
	if lim.FlexLow.Set {
		atLeast(flex, lim.FlexLow.Value, 0.005, 1e-9)
	}
	if lim.FlexHigh.Set {
		atMost(flex, lim.FlexHigh.Value, 0.005, 1e-9)
	}
	if lim.MaxUtilPct.Set {
		st, err := board.Strength(l, core.Load{N: lim.DesignLoadN, SafetyFactor: lim.SafetyFactor})
		keeps = keeps && err == nil && st.Known
		atMost(st.UtilisationPct, lim.MaxUtilPct.Value, 0.05, 1e-9)
	}
	for i, pl := range lim.Positions {
		var gravity, n float64
		for k, s := range strips {
			if s.Position != i {
				continue
			}
			w := b.Woods[l[k]]
			keeps = keeps && (!pl.MinHardnessN.Set || w.HardnessN.AtLeast(pl.MinHardnessN.Value))
			gravity += w.SpecificGravity.Value * float64(s.PerSide)
			n += float64(s.PerSide)
		}
		if pl.MinHoldingPct.Set {
			r := gravity / n / lim.HoldingRef.SpecificGravity.Value
			atLeast(100*r*r, pl.MinHoldingPct.Value, 0, 1e-2)
		}
	}
	return keeps, near
}
