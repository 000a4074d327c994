package invented

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/season"
	"stavewright/species"
)

// SmallSeason is a season of one to three models with few strips, two to four woods and two or three suppliers, and some of everything: stock, packs
// and single planks, minimums, all-units and incremental prices, short supply, kinds of strip that some lots are too late or too small for,
// scrap, shares, a budget, suppliers per wood. Some have no plan.
func SmallSeason(seed uint64) *season.Season {
	r := rand.New(rand.NewPCG(seed, 43))
	s := &season.Season{Currency: "EUR"}
	woods := inventedWoods(r, 2+r.IntN(3))
	for i := range woods { // so that fast-grown is not always cheap
		woods[i].RotationHighYears = own(float64(20 + 40*((seed+uint64(i))%2)))
	}
	for i := range 2 + r.IntN(2) {
		s.Suppliers = append(s.Suppliers, season.Supplier{Name: fmt.Sprintf("Invented supplier %d", i+1), Currency: "EUR",
			Rate: decimal.NewFromInt(1), Freight: decimal.New(int64(r.IntN(3000)), -2), MinOrder: decimal.NewFromInt(int64(r.IntN(3) * r.IntN(40)))})
	}
	dates := []string{"", "2027-03-15", "2027-05-01"}[:1+r.IntN(3)]
	for i := range 1 + r.IntN(3) {
		m := season.Model{Sold: 1 + r.IntN(6)}
		m.Build = int(math.Ceil(float64(m.Sold) * []float64{1, 1, 1.05, 1.3}[r.IntN(4)]))
		m.Program = smallProgram(r, fmt.Sprintf("Model %d", i+1), woods)
		date := dates[r.IntN(len(dates))]
		length := []float64{blankLength, 1600}[r.IntN(2)]
		for _, pos := range m.Program.Board.Positions {
			kinds := make([]int, len(woods))
			for w := range woods {
				k := season.StripKind{Wood: woods[w].ID, WidthMM: pos.StripWidthMM, ThicknessMM: blankThickness, LengthMM: length, NeededBy: date,
					FastGrown: woods[w].RotationHighYears.Value <= 40, VolumeMM3: int64(pos.StripWidthMM * blankThickness * length)}
				kinds[w] = slices.Index(s.Kinds, k)
				if kinds[w] < 0 {
					kinds[w] = len(s.Kinds)
					s.Kinds = append(s.Kinds, k)
				}
			}
			m.Kind = append(m.Kind, kinds)
		}
		s.Models = append(s.Models, m)
	}
	strips := 0 // of all models together
	for _, m := range s.Models {
		for _, st := range m.Program.Board.Strips() {
			strips += m.Build * st.Pieces
		}
	}
	for w := range woods {
		base := woods[w].DensityKgM3.Value / 200 * (0.7 + 0.6*r.Float64()) // money a strip
		for _, sup := range r.Perm(len(s.Suppliers))[:1+r.IntN(2)] {
			addSmallLot(r, s, woods[w].ID, sup, base, strips)
		}
		if r.IntN(3) == 0 {
			addSmallLot(r, s, woods[w].ID, -1, base/2, strips)
		}
	}
	settle(s)
	for i := range s.Models {
		hold(r, s.Models[i].Program, s.Models[i].Kind)
	}
	smallLimits(r, s)
	return s
}

// smallProgram is a board of two or three positions with one to three strips each.
func smallProgram(r *rand.Rand, name string, woods []species.Wood) *optimize.Program {
	b := &core.Board{Name: name, Section: core.Bare, Woods: woods, MeasureAtMM: 780, SpanMM: 900}
	if r.IntN(4) == 0 {
		b.Positions = append(b.Positions, core.Position{Name: "Centre", Strips: 1 + r.IntN(2), StripWidthMM: float64(8 + 4*r.IntN(2)), OnCentreLine: true})
	}
	for i := range 2 {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%d", i+1), Strips: 1 + r.IntN(3), StripWidthMM: float64(8 + 4*r.IntN(2))})
	}
	strips := b.Strips()
	reach := strips[len(strips)-1].ToMM
	for i, t := range []float64{2, 6, 7, 5.5, 2} {
		b.Stations = append(b.Stations, core.Station{FromTipMM: 390 * float64(i), WidthMM: math.Round(2 * reach * (0.7 + 0.3*r.Float64())),
			ThicknessMM: math.Round(100*t*(0.9+0.2*r.Float64())) / 100})
	}
	p := &optimize.Program{Model: name, Board: b, Currency: "EUR"}
	p.Limits.FastUpToYears = 40
	for i := range woods {
		c := optimize.Candidate{Wood: i, FastGrown: woods[i].RotationHighYears.Value <= p.Limits.FastUpToYears}
		for range b.Positions {
			c.At = append(c.At, optimize.Use{Allowed: i == 0 || r.IntN(6) > 0})
		}
		p.Candidates = append(p.Candidates, c)
	}
	return p
}

// addSmallLot adds what a supplier has of a wood; supplier −1 is the yard.
func addSmallLot(r *rand.Rand, s *season.Season, wood string, supplier int, base float64, strips int) {
	planks := []int{1, 1, 2, 3}[r.IntN(4)]
	if supplier < 0 {
		planks = 1
	}
	yield := 2 + r.IntN(6) // strips a plank, of the usual size
	grade := []int64{10000, 10000, 8500, 7000}[r.IntN(4)]
	m3 := decimal.New(int64(planks)*int64(12+r.IntN(20)), -3)
	l := season.Lot{Supplier: supplier, Stock: supplier < 0, StepQuantity: decimal.NewFromInt(int64(planks)), StepParts: int64(planks) * season.PlankParts, StepM3: m3}
	for k, kind := range s.Kinds {
		if kind.Wood != wood || supplier >= 0 && kind.NeededBy != "" && r.IntN(5) == 0 || r.IntN(16) == 0 {
			continue // another wood, too late, or too small
		}
		n := yield
		if kind.WidthMM > 10 {
			n = max(1, yield*2/3)
		}
		l.Uses = append(l.Uses, season.KindUse{Kind: k, Parts: season.PlankParts * 10000 / (int64(n) * grade)})
	}
	if l.Uses == nil {
		return
	}
	price := base * float64(yield) * (0.85 + 0.3*r.Float64()) // a plank
	each := func(rebate float64) decimal.Decimal {
		return money(price*rebate, int32(2+r.IntN(2))).Mul(decimal.NewFromInt(int64(planks)))
	}
	l.Tiers = []season.Tier{{From: 1, Each: each(1)}}
	l.MaxSteps = strips*5/(2*yield*planks) + 2
	if supplier < 0 {
		l.MaxSteps = 1 + r.IntN(4)
	} else {
		l.Certified = r.IntN(2) == 0
		l.StepFreight = m3.Mul(decimal.NewFromInt(int64(r.IntN(3) * r.IntN(60))))
		if r.IntN(3) == 0 {
			l.MinSteps = 2 + r.IntN(2)
		}
		switch first := l.Tiers[0].Each; r.IntN(3) {
		case 0: // all units
			l.Tiers = append(l.Tiers, season.Tier{From: l.MinSteps + 2, Each: each(0.9)}, season.Tier{From: l.MinSteps + 2 + 1 + r.IntN(3), Each: each(0.78)})
		case 1: // incremental: what is above the break has another price
			at, next := l.MinSteps+1+r.IntN(3), each(0.7)
			l.Tiers = append(l.Tiers, season.Tier{From: at, Base: first.Sub(next).Mul(decimal.NewFromInt(int64(at))), Each: next})
		}
		if r.IntN(5) == 0 {
			l.MaxSteps = max(l.MinSteps, l.MaxSteps/2)
		}
	}
	l.Offer = plankOffer(s, &l, wood, l.Tiers[0].Each.Div(decimal.NewFromInt(int64(planks))), planks)
	s.Lots = append(s.Lots, l)
}

// settle gives up the kinds that no lot gives, and prices strips by the cheapest lot for each.
func settle(s *season.Season) {
	for i := range s.Models {
		m := &s.Models[i]
		for pos := range m.Kind {
			for c, k := range m.Kind[pos] {
				best := decimal.Zero
				for j := range s.Lots {
					l := &s.Lots[j]
					for _, u := range l.Uses {
						if u.Kind != k {
							continue
						}
						goods, _ := l.Stepped(max(1, l.MinSteps))
						cost := goods.Mul(decimal.NewFromInt(u.Parts)).Div(decimal.NewFromInt(int64(max(1, l.MinSteps)) * l.StepParts)).Round(4)
						if best.IsZero() || cost.LessThan(best) {
							best = cost
						}
					}
				}
				m.Program.Candidates[c].At[pos].StripCost = best
				if best.IsZero() || !m.Program.Candidates[c].At[pos].Allowed {
					m.Kind[pos][c] = -1
				}
			}
		}
	}
}

// hold puts limits around a random layout, the reference; which is not always possible, and then there is none.
func hold(r *rand.Rand, p *optimize.Program, kind [][]int) {
	b := p.Board
	for _, st := range b.Strips() {
		var use []int
		for c := range p.Candidates {
			if kind[st.Position][c] >= 0 {
				use = append(use, p.Candidates[c].Wood)
			}
		}
		if use == nil {
			p.Reference = nil
			return
		}
		p.Reference = append(p.Reference, use[r.IntN(len(use))])
	}
	fig, err := b.Evaluate(p.Reference)
	if err != nil {
		panic(err)
	}
	for k := range r.IntN(3) {
		p.Limits.Windows = append(p.Limits.Windows, window(b, fig, k+1, float64(4+r.IntN(20))))
	}
	used := map[int]int{} // strips per side by wood
	for i, st := range b.Strips() {
		used[p.Reference[i]] += st.PerSide
	}
	least := math.MaxInt
	for _, n := range used {
		least = min(least, n)
	}
	if r.IntN(3) == 0 {
		p.Limits.MaxCoreMassG = limit(math.Round(fig.CoreMassG * (0.99 + 0.1*r.Float64())))
	}
	if r.IntN(3) == 0 {
		p.Limits.MaxWoods = limit(float64(len(used)))
	}
	if r.IntN(3) == 0 && least > 1 {
		p.Limits.MinStrips = limit(float64(least))
	}
	if r.IntN(5) == 0 {
		p.Limits.Counts = append(p.Limits.Counts, optimize.CountLimit{Position: -1, Wood: p.Reference[0], Low: limit(1)})
	}
}

// smallLimits bounds the season.
func smallLimits(r *rand.Rand, s *season.Season) {
	if r.IntN(4) == 0 {
		s.Limits.MinFastPct = limit(float64(10 * r.IntN(6)))
	}
	if r.IntN(4) == 0 {
		s.Limits.MinCertPct = limit(float64(10 * r.IntN(6)))
	}
	if r.IntN(4) == 0 {
		s.Limits.MaxSuppliers = limit(1)
	}
	if r.IntN(4) == 0 {
		strips := 0.0
		for _, m := range s.Models {
			strips += float64(m.Build * len(m.Program.Board.Strips()) * 2)
		}
		s.Limits.Budget = optimize.MoneyLimit{Set: true, Value: money(strips*(2+4*r.Float64()), 0)}
	}
}
