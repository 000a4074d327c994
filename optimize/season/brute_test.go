package season_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/invented"
	"stavewright/optimize/season"
	"stavewright/species"
)

// A purchase is the search of every way to buy and cut what the boards take: steps of one lot after another, and then every way to cut.
// Money is in millionths, which is exact for invented seasons.
type purchase struct {
	s        *season.Season
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

// price computes what any number of steps costs.
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

// A choice is what the boards of some models may take together: strips of each kind, by kind.
type choice []int

// choices are what the models that share one layout, or a single model, may take within their limits, each once. Layouts are tried one by one, and [optimize.Check]
// decides them. ok is false when there are more than most.
func choices(t *testing.T, s *season.Season, models []int, most int) (out []choice, ok bool) {
	t.Helper()
	p := s.Bare(models[0])
	groups := p.Board.Groups()
	if len(models) > 1 { // outlines may cut strips differently: every strip by itself
		groups = nil
		for i, strip := range p.Board.Strips() {
			groups = append(groups, core.Group{Position: strip.Position, Strips: []int{i}})
		}
	}
	tried, seen := 0, map[string]bool{}
	fill(p, groups, func(first core.Layout) bool {
		if tried++; tried > most {
			return false
		}
		take := make(choice, len(s.Kinds))
		for _, m := range models {
			q := s.Bare(m)
			l := slices.Clone(first)
			for i, w := range l {
				if l[i] = slices.IndexFunc(q.Board.Woods, func(o species.Wood) bool { return o.ID == p.Board.Woods[w].ID }); l[i] < 0 {
					return true
				}
			}
			c, err := optimize.Check(q, l)
			if err != nil || c.Broken != nil {
				return true
			}
			per, err := s.StripsPerBoard(m, l)
			if err != nil {
				t.Fatal(err)
			}
			for k, n := range per {
				take[k] += n * s.Models[m].Build
			}
		}
		if key := fmt.Sprint(take); !seen[key] {
			seen[key] = true
			out = append(out, take)
		}
		return true
	})
	return out, tried <= most
}

// layouts calls f with every layout that is different to the mechanics: woods chosen by group without regard to order.
func layouts(p *optimize.Program, f func(core.Layout)) {
	fill(p, p.Board.Groups(), func(l core.Layout) bool {
		f(l)
		return true
	})
}

// fill calls f with every layout that differs in how many strips of a group have each wood, until f says false.
func fill(p *optimize.Program, groups []core.Group, f func(core.Layout) bool) {
	l := make(core.Layout, len(p.Board.Strips()))
	var from func(g, k, c int) bool
	from = func(g, k, c int) bool {
		if g == len(groups) {
			return f(l)
		}
		if k == len(groups[g].Strips) {
			return from(g+1, 0, 0)
		}
		for ; c < len(p.Candidates); c++ {
			if p.Candidates[c].At[groups[g].Position].Allowed {
				l[groups[g].Strips[k]] = p.Candidates[c].Wood
				if !from(g, k+1, c) {
					return false
				}
			}
		}
		return true
	}
	from(0, 0, 0)
}

// together are the models that share a layout, the others by themselves.
func together(s *season.Season) (out [][]int) {
	at := map[string]int{}
	for i, m := range s.Models {
		if k, ok := at[m.Recipe]; ok && m.Recipe != "" {
			out[k] = append(out[k], i)
			continue
		}
		at[m.Recipe] = len(out)
		out = append(out, []int{i})
	}
	return out
}

// bruteForce is the least cost of a season by trying everything cheaper than a known cost; ok is false when that is too much.
func bruteForce(t *testing.T, s *season.Season, how season.Mode, above float64, work int) (cost float64, ok bool) {
	t.Helper()
	b := &purchase{s: s, steps: make([]int, len(s.Lots)), need: make([]int, len(s.Kinds)), ordered: make([]int, len(s.Suppliers)),
		goods: make([]int64, len(s.Suppliers)), best: math.MaxInt64, work: work, capacity: make([]int64, len(s.Lots))}
	b.price()
	if !math.IsInf(above, 1) {
		b.best = int64(math.Round(above*1e6)) + 1
	}
	var takes [][]choice
	combinations := 1
	if how == season.Joint {
		for _, models := range together(s) {
			take, ok := choices(t, s, models, 1500)
			if !ok {
				return 0, false
			}
			takes = append(takes, take)
			if combinations *= len(take); combinations > work {
				return 0, false
			}
		}
	} else {
		layouts, err := s.Given(context.Background(), how)
		if err != nil {
			t.Fatal(err)
		}
		take := make(choice, len(s.Kinds))
		for m := range s.Models {
			per, err := s.StripsPerBoard(m, layouts[m])
			if err != nil {
				t.Fatal(err)
			}
			for k, n := range per {
				take[k] += n * s.Models[m].Build
			}
		}
		takes = [][]choice{{take}}
	}
	var choose func(i int)
	choose = func(i int) {
		if i == len(takes) {
			b.buy(0, 0)
			return
		}
		for _, take := range takes[i] {
			for k, n := range take {
				b.need[k] += n
			}
			choose(i + 1)
			for k, n := range take {
				b.need[k] -= n
			}
		}
	}
	choose(0)
	if b.best == math.MaxInt64 {
		return math.Inf(1), b.work >= 0
	}
	return float64(b.best) / 1e6, b.work >= 0
}

// TestDirectByBruteForce: of the smallest seasons nothing is cheaper than the direct program's answer, and something costs as much. The program with
// tighter bounds has the same answer.
func TestDirectByBruteForce(t *testing.T) {
	needsGLPK(t)
	held, infeasible, tighter := 0, 0, 0
	for seed := range sample(4) {
		s := invented.SmallSeason(seed)
		for _, how := range modes {
			d := program(t, s, how, false)
			if d == nil {
				continue
			}
			_, cost := byGLPK(t, d.Model)
			if how == season.Joint {
				tight := program(t, s, how, true)
				if tight == nil {
					if !math.IsInf(cost, 1) {
						t.Errorf("seed %d: tightening finds no plan, the program says %.6f", seed, cost)
					}
				} else if _, same := byGLPK(t, tight.Model); same != cost && !(math.Abs(same-cost) < 0.5e-6) {
					t.Errorf("seed %d: %.6f with tight bounds, %.6f without", seed, same, cost)
				} else if !slices.Equal(d.Model.Columns, tight.Model.Columns) {
					tighter++
				}
			}
			brute, ok := bruteForce(t, s, how, cost, 40_000)
			if !ok {
				continue
			}
			held++
			if math.IsInf(cost, 1) {
				infeasible++
			}
			if brute != cost && !(math.Abs(brute-cost) < 0.5e-6) {
				t.Errorf("seed %d, %s: the program says %.6f, brute force %.6f", seed, how, cost, brute)
			}
		}
	}
	t.Logf("%d held, %d of them infeasible; %d tighter", held, infeasible, tighter)
	if held < int(sample(1))/2 || infeasible == 0 || tighter < int(sample(1)) {
		t.Errorf("only %d held, %d of them infeasible; %d tighter", held, infeasible, tighter)
	}
}
