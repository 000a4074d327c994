package season

import (
	"math/big"
	"slices"

	"github.com/shopspring/decimal"
)

// A Part is what one model has of a plan: of what is bought for it, not of what its strips cost at the cheapest offer.
//
// All boards take strips of a kind from the same pile. So the strips of a kind are shared over the lots they are cut from, in the proportions of the
// cuts. A lot's goods and its freight by volume are divided among its strips by the parts of a plank each takes, so that what is left of the planks is
// paid by those who use the rest; a lot that nothing is cut from is paid like freight per order: by all that the supplier's goods serve, in proportion to
// those goods. The parts of a plan add up to it: costs to the cent, shares by the volume of the strips.
type Part struct {
	Cost         decimal.Decimal // of all the model's boards, to the cent
	FastGrownPct float64         // of the volume of its strips as cut
	CertifiedPct float64         // likewise: what is cut from certified lots
}

// Parts are a plan's parts, by model.
func (p *Plan) Parts() ([]Part, error) {
	s := p.Season
	total, err := s.demand(p.Layouts)
	if err != nil {
		return nil, err
	}
	need := make([][]int64, len(s.Models)) // strips by model and kind
	volume := make([]*big.Rat, len(s.Models))
	for m := range s.Models {
		per, err := s.StripsPerBoard(m, p.Layouts[m])
		if err != nil {
			return nil, err
		}
		need[m], volume[m] = make([]int64, len(s.Kinds)), new(big.Rat)
		for k, n := range per {
			need[m][k] = int64(n) * int64(s.Models[m].Build)
			volume[m].Add(volume[m], new(big.Rat).SetInt64(need[m][k]*s.Kinds[k].VolumeMM3))
		}
	}
	zero := func() []*big.Rat {
		out := make([]*big.Rat, len(s.Models))
		for m := range out {
			out[m] = new(big.Rat)
		}
		return out
	}
	cost, fast, certified := zero(), zero(), zero()
	supplied := make([][]*big.Rat, len(s.Suppliers)) // goods by supplier and model
	for i := range supplied {
		supplied[i] = zero()
	}
	// serves adds to each model its share of n strips of a kind, each counting for so much.
	serves := func(to []*big.Rat, c Cut, each int64) {
		for m := range to {
			if need[m][c.Kind] > 0 {
				of := big.NewRat(need[m][c.Kind], int64(total[c.Kind]))
				to[m].Add(to[m], of.Mul(of, new(big.Rat).SetInt(new(big.Int).Mul(big.NewInt(int64(c.Strips)), big.NewInt(each)))))
			}
		}
	}
	for _, l := range p.Lines {
		lot := &s.Lots[l.Lot]
		weights := zero()
		for _, c := range l.Cuts {
			serves(weights, c, lot.partsOf(c.Kind))
			if s.Kinds[c.Kind].FastGrown {
				serves(fast, c, s.Kinds[c.Kind].VolumeMM3)
			}
			if lot.Certified {
				serves(certified, c, s.Kinds[c.Kind].VolumeMM3)
			}
		}
		if len(l.Cuts) > 0 {
			divide(cost, l.Goods.Add(l.Freight), weights, volume)
			if !lot.Stock {
				divide(supplied[lot.Supplier], l.Goods, weights, volume)
			}
		}
	}
	for _, l := range p.Lines {
		if lot := &s.Lots[l.Lot]; len(l.Cuts) == 0 && lot.Stock {
			divide(cost, l.Goods.Add(l.Freight), volume, volume)
		} else if len(l.Cuts) == 0 {
			divide(cost, l.Goods.Add(l.Freight), supplied[lot.Supplier], volume)
		}
	}
	for _, o := range p.Orders {
		divide(cost, s.Suppliers[o.Supplier].Freight.Round(cents), supplied[o.Supplier], volume)
	}
	out := make([]Part, len(s.Models))
	for m, c := range toTheCent(cost, p.Cost) {
		out[m].Cost = c
		if volume[m].Sign() > 0 {
			pct := func(of *big.Rat) float64 {
				f, _ := new(big.Rat).Quo(of.Mul(of, big.NewRat(100, 1)), volume[m]).Float64()
				return f
			}
			out[m].FastGrownPct, out[m].CertifiedPct = pct(fast[m]), pct(certified[m])
		}
	}
	return out, nil
}

// divide adds an amount to shares in proportion to weights, or to others where those are all zero.
func divide(to []*big.Rat, amount decimal.Decimal, weights, others []*big.Rat) {
	sum := new(big.Rat)
	for _, w := range weights {
		sum.Add(sum, w)
	}
	if sum.Sign() == 0 {
		if &weights[0] != &others[0] {
			divide(to, amount, others, others)
		}
		return
	}
	for m, w := range weights {
		part := new(big.Rat).Mul(amount.Rat(), w)
		to[m].Add(to[m], part.Quo(part, sum))
	}
}

// toTheCent rounds amounts so that they add up to total: each down to the cent, and a cent more for those that lost most, of equal ones the first.
func toTheCent(amounts []*big.Rat, total decimal.Decimal) []decimal.Decimal {
	out := make([]decimal.Decimal, len(amounts))
	lost, order := make([]*big.Rat, len(amounts)), make([]int, len(amounts))
	cent := decimal.New(1, -cents)
	for i, a := range amounts {
		in := new(big.Rat).Quo(a, cent.Rat())
		whole := new(big.Int).Div(in.Num(), in.Denom())
		out[i] = decimal.NewFromBigInt(whole, -cents)
		lost[i], order[i] = in.Sub(in, new(big.Rat).SetInt(whole)), i
		total = total.Sub(out[i])
	}
	slices.SortStableFunc(order, func(a, b int) int { return lost[b].Cmp(lost[a]) })
	for _, i := range order {
		if total.LessThan(cent) {
			break
		}
		out[i], total = out[i].Add(cent), total.Sub(cent)
	}
	return out
}
