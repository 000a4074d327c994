package optimize_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
)

// A purchase is the search of every way to buy and cut what the boards take: steps of one lot after another, and then every way to cut.
// Money is in millionths, which is exact for invented seasons.
type purchase struct {
	s        *optimize.Season
	steps    []int
	need     []int
	ordered  []int   // lines by supplier
	goods    []int64 // by supplier
	best     int64
	work     int // left to do
	volume   int64
	fast     int64
	cert     int64
	capacity []int64 // by lot: parts not cut yet

	goodsOf, costOf [][]int64 // [lot][steps]
	freight         []int64   // by supplier, per order
}

// price reckons what any number of steps costs.
func (b *purchase) price() {
	for i := range b.s.Suppliers {
		b.freight = append(b.freight, millionths(b.s.Suppliers[i].Freight))
	}
	for i := range b.s.Lots {
		l := &b.s.Lots[i]
		goods, cost := make([]int64, l.MaxSteps+1), make([]int64, l.MaxSteps+1)
		for n := 1; n <= l.MaxSteps; n++ {
			each, base := l.Tiers[0].Each, decimal.Zero
			for _, t := range l.Tiers {
				if n >= t.From {
					each, base = t.Each, t.Base
				}
			}
			goods[n] = millionths(base) + int64(n)*millionths(each)
			cost[n] = goods[n] + int64(n)*millionths(l.StepFreight)
		}
		b.goodsOf, b.costOf = append(b.goodsOf, goods), append(b.costOf, cost)
	}
}

func millionths(d decimal.Decimal) int64 { return d.Shift(6).IntPart() }

func (b *purchase) buy(lot int, cost int64) {
	if b.work--; b.work < 0 || cost >= b.best {
		return
	}
	s := b.s
	if lot == len(s.Lots) {
		for i, n := range b.ordered {
			if n > 0 && b.goods[i] < millionths(s.Suppliers[i].MinOrder) {
				return
			}
		}
		if l := s.Limits.Budget; l.Set && cost > millionths(l.Value) || !b.fewSuppliers() {
			return
		}
		b.volume, b.fast, b.cert = 0, 0, 0
		for i := range s.Lots {
			b.capacity[i] = int64(b.steps[i]) * s.Lots[i].StepParts
		}
		if b.cut(0, 0) {
			b.best = cost
		}
		return
	}
	l := &s.Lots[lot]
	for n := 0; n <= l.MaxSteps; n++ {
		b.steps[lot] = n
		if n == 0 {
			b.buy(lot+1, cost)
			continue
		}
		if n < l.MinSteps {
			continue
		}
		goods, more := b.goodsOf[lot][n], b.costOf[lot][n]
		if l.Stock {
			b.buy(lot+1, cost+more)
			continue
		}
		if b.ordered[l.Supplier]++; b.ordered[l.Supplier] == 1 {
			more += b.freight[l.Supplier]
		}
		b.goods[l.Supplier] += goods
		b.buy(lot+1, cost+more)
		b.goods[l.Supplier] -= goods
		b.ordered[l.Supplier]--
	}
	b.steps[lot] = 0
}

func (b *purchase) fewSuppliers() bool {
	if !b.s.Limits.MaxSuppliers.Set {
		return true
	}
	from := map[string]map[int]bool{}
	for i, l := range b.s.Lots {
		if b.steps[i] > 0 && !l.Stock {
			if from[l.Offer.Wood] == nil {
				from[l.Offer.Wood] = map[int]bool{}
			}
			from[l.Offer.Wood][l.Supplier] = true
		}
	}
	for _, of := range from {
		if float64(len(of)) > b.s.Limits.MaxSuppliers.Value {
			return false
		}
	}
	return true
}

// cut tries every way to cut kind k from lot i on.
func (b *purchase) cut(k, i int) bool {
	s := b.s
	if b.work--; b.work < 0 {
		return false
	}
	if k == len(s.Kinds) {
		lim := s.Limits
		return !(lim.MinFastPct.Set && 100*float64(b.fast) < lim.MinFastPct.Value*float64(b.volume)) &&
			!(lim.MinCertPct.Set && 100*float64(b.cert) < lim.MinCertPct.Value*float64(b.volume))
	}
	if b.need[k] == 0 {
		return b.cut(k+1, 0)
	}
	if i == len(s.Lots) {
		return false
	}
	var parts int64
	for _, u := range s.Lots[i].Uses {
		if u.Kind == k {
			parts = u.Parts
		}
	}
	if parts == 0 || b.capacity[i] < parts {
		return b.cut(k, i+1)
	}
	v := s.Kinds[k].VolumeMM3
	book := func(n int) {
		b.need[k] -= n
		b.capacity[i] -= int64(n) * parts
		b.volume += int64(n) * v
		if s.Kinds[k].FastGrown {
			b.fast += int64(n) * v
		}
		if s.Lots[i].Certified {
			b.cert += int64(n) * v
		}
	}
	for n := min(b.need[k], int(b.capacity[i]/parts)); n >= 0; n-- {
		book(n)
		done := b.cut(k, i+1)
		book(-n)
		if done {
			return true
		}
	}
	return false
}

// bruteForce is the least cost of a season by trying everything cheaper than a known cost; ok is false when that is too much.
func bruteForce(s *optimize.Season, d optimize.SeasonMode, above float64, work int) (cost float64, ok bool) {
	b := &purchase{s: s, steps: make([]int, len(s.Lots)), need: make([]int, len(s.Kinds)), ordered: make([]int, len(s.Suppliers)),
		goods: make([]int64, len(s.Suppliers)), best: math.MaxInt64, work: work, capacity: make([]int64, len(s.Lots))}
	b.price()
	if !math.IsInf(above, 1) {
		b.best = int64(math.Round(above*1e6)) + 1
	}
	totals := make([][]map[int]int, len(s.Models))
	combinations := 1
	for model := range s.Models {
		if d == optimize.SeasonJoint {
			if totals[model], ok = s.Totals(model, 1500); !ok {
				return 0, false
			}
		} else {
			layouts, err := s.Given(context.Background(), d)
			if err != nil {
				panic(err)
			}
			per, err := s.StripsPerBoard(model, layouts[model])
			if err != nil {
				panic(err)
			}
			totals[model] = []map[int]int{per}
		}
		if combinations *= len(totals[model]); combinations > work {
			return 0, false
		}
	}
	var choose func(model int)
	choose = func(model int) {
		if model == len(s.Models) {
			b.buy(0, 0)
			return
		}
		for _, t := range totals[model] {
			for k, n := range t {
				b.need[k] += n * s.Models[model].Build
			}
			choose(model + 1)
			for k, n := range t {
				b.need[k] -= n * s.Models[model].Build
			}
		}
	}
	choose(0)
	if b.best == math.MaxInt64 {
		return math.Inf(1), b.work >= 0
	}
	return float64(b.best) / 1e6, b.work >= 0
}

// TestDirectByBruteForce: of the smallest seasons nothing is cheaper than the direct program's answer, and something costs as much.
func TestDirectByBruteForce(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	held, infeasible := 0, 0
	for seed := range uint64(4 * *seasons) {
		s := invented.SmallSeason(seed)
		for _, how := range modes {
			d := mode(t, seed, s, how)
			if d == nil {
				continue
			}
			_, cost := byGLPK(t, d.Model)
			brute, ok := bruteForce(s, how, cost, 40_000)
			if !ok {
				continue
			}
			held++
			if math.IsInf(cost, 1) {
				infeasible++
			}
			if brute != cost && !(math.Abs(brute-cost) < 0.5e-6) {
				t.Errorf("seed %d, %s: the program says %.6f, brute force %s", seed, how, cost, fmt.Sprintf("%.6f", brute))
			}
		}
	}
	t.Logf("%d held, %d of them infeasible", held, infeasible)
	if held < *seasons/2 || infeasible == 0 {
		t.Errorf("only %d held, %d of them infeasible", held, infeasible)
	}
}
