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
	"stavewright/sourcing"
	"stavewright/species"
)

const (
	seasonWoods     = 8
	seasonSuppliers = 6
	blankThickness  = 12   // mm
	blankLength     = 1800 // mm
)

// Season is a season of many models for one plant. Each board has five positions of 4, 3, 2, 3 and 3 strips of 10 mm a side, of at most four of eight woods
// whose modulus and price rise with density; EI is held to ±3 % of a random layout's, the reference, at three stations, and the core to
// 1 % over its mass. Every model takes 100 to 500 boards.
//
// Six suppliers: each wood is offered by two to four of them, in packs of 24 to 60 strips, from a minimum of packs on, at three all-units
// prices. Every supplier asks a minimum order, freight per order and freight per m³.
func Season(models int, seed uint64) *season.Season {
	r := rand.New(rand.NewPCG(seed, 41))
	s := &season.Season{Currency: "EUR"}
	woods := inventedWoods(r, seasonWoods)
	for _, w := range woods {
		s.Kinds = append(s.Kinds, season.StripKind{Wood: w.ID, WidthMM: 10, ThicknessMM: blankThickness, LengthMM: blankLength,
			FastGrown: w.RotationHighYears.Value <= 30, VolumeMM3: 10 * blankThickness * blankLength})
	}
	for i := range seasonSuppliers {
		s.Suppliers = append(s.Suppliers, season.Supplier{Name: fmt.Sprintf("Invented supplier %d", i+1), Currency: "EUR",
			Rate: decimal.NewFromInt(1), Freight: decimal.NewFromInt(int64(60 + 10*r.IntN(20))), MinOrder: decimal.NewFromInt(int64(500 * r.IntN(7)))})
	}
	var build []int
	boards := 0
	for range models {
		build = append(build, 100+10*r.IntN(41))
		boards += build[len(build)-1]
	}
	strips := boards * 30 // of all woods together
	perStrip := make([]decimal.Decimal, seasonWoods)
	for w, wood := range woods {
		base := wood.DensityKgM3.Value / 1000 * (0.8 + 0.4*r.Float64()) // money a strip
		for _, sup := range r.Perm(seasonSuppliers)[:2+r.IntN(3)] {
			yield := 6 + r.IntN(7)                                     // strips a plank
			planks := (24+r.IntN(37))/yield + 1                        // in a pack
			pack := float64(yield * planks)                            // strips
			usual := float64(strips) / 6 / pack                        // packs, if this wood were used like others
			price := base * (0.92 + 0.16*r.Float64()) * float64(yield) // a plank
			m3 := decimal.New(int64(float64(planks)*float64(yield)*10*blankThickness*blankLength*(1.5+0.3*r.Float64())/1e3), -6)
			l := season.Lot{Supplier: sup, Certified: r.IntN(2) == 0, StepQuantity: decimal.NewFromInt(int64(planks)),
				StepParts: int64(planks) * season.PlankParts, StepM3: m3, MinSteps: 2 + r.IntN(5),
				StepFreight: m3.Mul(decimal.NewFromInt(int64(20 + r.IntN(26)))),
				Uses:        []season.KindUse{{Kind: w, Parts: season.PlankParts / int64(yield)}}}
			from := []int{1, int(usual*(0.15+0.15*r.Float64())) + l.MinSteps + 1, 0}
			from[2] = from[1] + int(usual*(0.3+0.3*r.Float64())) + 1
			for k, rebate := range []float64{1, 0.95 + 0.02*r.Float64(), 0.89 + 0.04*r.Float64()} {
				l.Tiers = append(l.Tiers, season.Tier{From: from[k], Each: money(price*rebate, 2).Mul(decimal.NewFromInt(int64(planks)))})
			}
			l.MaxSteps = max(strips/int(pack)+1, from[2])
			if r.IntN(5) == 0 {
				l.MaxSteps = max(int(usual*(0.4+0.4*r.Float64())), l.MinSteps) // a short supply
			}
			l.Offer = plankOffer(s, &l, woods[w].ID, l.Tiers[0].Each.Div(decimal.NewFromInt(int64(planks))), planks)
			if each := l.Tiers[0].Each.DivRound(decimal.NewFromInt(int64(yield*planks)), 4); perStrip[w].IsZero() || each.LessThan(perStrip[w]) {
				perStrip[w] = each
			}
			s.Lots = append(s.Lots, l)
		}
	}
	for i := range models {
		m := season.Model{Build: build[i], Sold: build[i], Program: seasonProgram(r, fmt.Sprintf("Model %02d", i+1), woods, perStrip)}
		for range m.Program.Board.Positions {
			kinds := make([]int, seasonWoods)
			for w := range kinds {
				kinds[w] = w
			}
			m.Kind = append(m.Kind, kinds)
		}
		s.Models = append(s.Models, m)
	}
	return s
}

// plankOffer is a lot as a line of an invented price sheet.
func plankOffer(s *season.Season, l *season.Lot, wood string, each decimal.Decimal, pack int) *sourcing.Offer {
	o := &sourcing.Offer{File: "invented.xlsx", Sheet: "Prices", Row: len(s.Lots) + 2, Col: 5, Wood: wood, Name: wood,
		Plank: sourcing.Plank{ThicknessMM: 52, WidthMM: 150, LengthMM: 2 * blankLength}, Price: each, Currency: "EUR", Unit: sourcing.PerPiece,
		PackSize: decimal.NewFromInt(int64(pack)), Certified: l.Certified}
	if l.Supplier >= 0 {
		o.Supplier = s.Suppliers[l.Supplier].Name
	}
	return o
}

func money(v float64, places int32) decimal.Decimal { return decimal.NewFromFloat(v).Round(places) }

func own(v float64) species.Figure { return species.Figure{Value: v, Status: species.Own} }

func limit(v float64) optimize.Limit { return optimize.Limit{Set: true, Value: v} }

// inventedWoods are woods of 160 to 720 kg/m³ whose modulus, 3.4 to 14 GPa, rises with density, plus noise.
func inventedWoods(r *rand.Rand, n int) []species.Wood {
	var woods []species.Wood
	for i := range n {
		t := float64(i) / float64(max(1, n-1))
		rho := math.Round(160 + 560*t + 30*(r.Float64()-0.5))
		woods = append(woods, species.Wood{ID: fmt.Sprintf("wood-%02d", i+1), CommonName: fmt.Sprintf("Wood %d", i+1),
			DensityKgM3: own(rho), SpecificGravity: own(rho / 1120), ModulusGPa: own(math.Round(100*(3.4+10.6*t+1.6*(r.Float64()-0.5))) / 100),
			CrossGrainGPa: own(0.5), ModulusCVPct: own(20), HardnessN: own(rho * 8), RotationHighYears: own(math.Round(rho / 10))})
	}
	return woods
}

// seasonProgram is one model of [Season].
func seasonProgram(r *rand.Rand, name string, woods []species.Wood, perStrip []decimal.Decimal) *optimize.Program {
	b := &core.Board{Name: name, Section: core.Bare, Woods: woods}
	for i, n := range []int{4, 3, 2, 3, 3} {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%d", i+1), Strips: n, StripWidthMM: 10})
	}
	const reach = 150.0
	waist := 120 + 8*r.Float64() // into the third strip from outside
	scale := 0.9 + 0.2*r.Float64()
	b.Stations = append(b.Stations, core.Station{FromTipMM: 0, WidthMM: 1.1 * reach, ThicknessMM: 1.8})
	for i, t := range []float64{3.4, 4.6, 5.8, 6.9, 7.6, 7.0, 5.9, 4.7, 3.5} {
		u := math.Abs(float64(i)-4) / 4
		b.Stations = append(b.Stations, core.Station{FromTipMM: 220 + 140*float64(i), ThicknessMM: math.Round(100*t*scale) / 100,
			WidthMM: math.Round(2 * (waist + (reach-waist)*u*u))})
	}
	b.Stations = append(b.Stations, core.Station{FromTipMM: 1560, WidthMM: 1.1 * reach, ThicknessMM: 1.8})
	b.MeasureAtMM, b.SpanMM = 780, 1000

	p := &optimize.Program{Model: name, Board: b, Currency: "EUR"}
	for i := range woods {
		c := optimize.Candidate{Wood: i, FastGrown: woods[i].RotationHighYears.Value <= 30}
		for range b.Positions {
			c.At = append(c.At, optimize.Use{Allowed: true, StripCost: perStrip[i]})
		}
		p.Candidates = append(p.Candidates, c)
	}
	p.Limits.FastUpToYears = 30
	p.Limits.MaxWoods = limit(4)
	use := r.Perm(len(woods))[:3+r.IntN(2)]
	for range b.Strips() {
		p.Reference = append(p.Reference, use[r.IntN(len(use))])
	}
	fig, err := b.Evaluate(p.Reference)
	if err != nil {
		panic(err)
	}
	for _, k := range []int{3, 5, 7} {
		p.Limits.Windows = append(p.Limits.Windows, window(b, fig, k, 3))
	}
	p.Limits.MaxCoreMassG = limit(math.Round(fig.CoreMassG*101) / 100)
	return p
}

// window holds EI at a station to ±pct of a layout's.
func window(b *core.Board, fig core.Figures, station int, pct float64) optimize.Window {
	x := b.Stations[station].FromTipMM
	i := slices.IndexFunc(fig.Stations, func(s core.SectionFigures) bool { return s.FromTipMM == x })
	ei := fig.Stations[i].EINM2(b.Section)
	return optimize.Window{FromTipMM: x, Low: limit(math.Round(ei*(100-pct)) / 100), High: limit(math.Round(ei*(100+pct)) / 100)}
}
