package optimize_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
)

// leastCost is what a season costs, proven; ok is false when it has no plan.
func leastCost(t *testing.T, seed uint64, s *optimize.Season) (p *optimize.SeasonPlan, ok bool) {
	t.Helper()
	p, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{})
	var short *optimize.Shortage
	switch {
	case errors.As(err, &short):
		return nil, false
	case err != nil:
		t.Fatalf("seed %d: %v", seed, err)
	case !p.Proven:
		t.Fatalf("seed %d: not proven: %s", seed, p.Why)
	}
	return p, true
}

// doubled is a season with all money doubled.
func doubled(s *optimize.Season) *optimize.Season {
	two := decimal.NewFromInt(2)
	out := *s
	out.Lots, out.Suppliers = slices.Clone(s.Lots), slices.Clone(s.Suppliers)
	for i := range out.Lots {
		l := &out.Lots[i]
		l.StepFreight = l.StepFreight.Mul(two)
		l.Tiers = slices.Clone(l.Tiers)
		for k := range l.Tiers {
			l.Tiers[k].Base, l.Tiers[k].Each = l.Tiers[k].Base.Mul(two), l.Tiers[k].Each.Mul(two)
		}
	}
	for i := range out.Suppliers {
		out.Suppliers[i].Freight, out.Suppliers[i].MinOrder = out.Suppliers[i].Freight.Mul(two), out.Suppliers[i].MinOrder.Mul(two)
	}
	out.Limits.Budget.Value = s.Limits.Budget.Value.Mul(two)
	return &out
}

// shuffled is a season with lots, kinds, models and suppliers in another order.
func shuffled(r *rand.Rand, s *optimize.Season) *optimize.Season {
	out := &optimize.Season{Currency: s.Currency, Limits: s.Limits}
	kinds, suppliers := r.Perm(len(s.Kinds)), r.Perm(len(s.Suppliers)) // old place → new place
	out.Kinds, out.Suppliers = make([]optimize.StripKind, len(s.Kinds)), make([]optimize.SeasonSupplier, len(s.Suppliers))
	for i, k := range kinds {
		out.Kinds[k] = s.Kinds[i]
	}
	for i, k := range suppliers {
		out.Suppliers[k] = s.Suppliers[i]
	}
	for _, i := range r.Perm(len(s.Lots)) {
		l := s.Lots[i]
		if l.Supplier >= 0 {
			l.Supplier = suppliers[l.Supplier]
		}
		l.Uses = slices.Clone(l.Uses)
		for u := range l.Uses {
			l.Uses[u].Kind = kinds[l.Uses[u].Kind]
		}
		slices.SortFunc(l.Uses, func(a, b optimize.KindUse) int { return a.Kind - b.Kind })
		out.Lots = append(out.Lots, l)
	}
	for _, i := range r.Perm(len(s.Models)) {
		m := s.Models[i]
		m.Kind = nil
		for _, row := range s.Models[i].Kind {
			row = slices.Clone(row)
			for c, k := range row {
				if k >= 0 {
					row[c] = kinds[k]
				}
			}
			m.Kind = append(m.Kind, row)
		}
		out.Models = append(out.Models, m)
	}
	return out
}

// renamed is a season with other names for models, woods, suppliers and sheets.
func renamed(s *optimize.Season) *optimize.Season {
	out := *s
	out.Models, out.Kinds = slices.Clone(s.Models), slices.Clone(s.Kinds)
	out.Lots, out.Suppliers = slices.Clone(s.Lots), slices.Clone(s.Suppliers)
	names := map[string]string{} // so that what came first comes last
	for i := range out.Models {
		m := &out.Models[i]
		p, b := *m.Program, *m.Program.Board
		b.Woods, b.Positions = slices.Clone(b.Woods), slices.Clone(b.Positions)
		for w := range b.Woods {
			name := fmt.Sprintf("z%d", 9-w)
			names[b.Woods[w].ID] = name
			b.Woods[w].ID, b.Woods[w].CommonName = name, name
		}
		for k := range b.Positions {
			b.Positions[k].Name = fmt.Sprintf("place %d", 9-k)
		}
		p.Model, p.Board, m.Program = fmt.Sprintf("board %d", 9-i), &b, &p
	}
	for i := range out.Kinds {
		out.Kinds[i].Wood = names[out.Kinds[i].Wood]
	}
	for i := range out.Lots {
		o := *out.Lots[i].Offer
		o.Wood, o.Supplier, o.File, o.Sheet = names[o.Wood], "another "+o.Supplier, "another.xlsx", "another"
		out.Lots[i].Offer = &o
	}
	for i := range out.Suppliers {
		out.Suppliers[i].Name = fmt.Sprintf("supplier %d", 9-i)
	}
	return &out
}

// TestSeasonLaws: doubling all money doubles the cost; other names, another order of lots, kinds, suppliers and models, and boards told otherwise (mirrored, a station
// more, other names, woods in another order) change nothing; a larger budget, a smaller share, looser limits of the boards, one more
// supplier per wood, no freight or minimum, or one more lot never cost more; more boards never cost less
// where no share is asked.
func TestSeasonLaws(t *testing.T) {
	if !mip.Available {
		t.Skip("no GLPK in this build")
	}
	plans, told := 0, map[string]int{}
	for seed := range uint64(*seasons) {
		s := invented.SmallSeason(seed)
		r := rand.New(rand.NewPCG(seed, 5))
		p, ok := leastCost(t, seed, s)
		if q, twice := leastCost(t, seed, doubled(s)); twice != ok || ok && !q.Exact.Equal(p.Exact.Add(p.Exact)) {
			t.Errorf("seed %d: %v, with all money doubled %v", seed, p, q)
		}
		if q, has := leastCost(t, seed, shuffled(r, s)); has != ok || ok && !q.Exact.Equal(p.Exact) {
			t.Errorf("seed %d: in another order it has a plan: %v, %v", seed, has, ok)
		}
		same := map[string]*optimize.Season{"other names": renamed(s)}
		for i, law := range optimize.Retold {
			if (int(seed)+i)%2 == 0 || *seasons > 20 { // half of them, in a sample
				same[law] = s.Retold(r, law)
			}
		}
		for _, name := range slices.Sorted(maps.Keys(same)) {
			told[name]++
			if q, has := leastCost(t, seed, same[name]); has != ok || ok && !q.Exact.Equal(p.Exact) {
				t.Errorf("seed %d, %s: a plan %v, then %v, of %s, then %s", seed, name, ok, has, exactly(p), exactly(q))
			}
		}
		if !ok {
			continue
		}
		plans++
		for _, law := range []struct {
			name   string
			dearer bool // never cheaper; else never dearer
			change func(*optimize.Season)
		}{
			{"a larger budget", false, func(s *optimize.Season) { s.Limits.Budget.Value = s.Limits.Budget.Value.Mul(decimal.NewFromInt(2)) }},
			{"smaller shares", false, func(s *optimize.Season) { s.Limits.MinFastPct.Value /= 2; s.Limits.MinCertPct.Value /= 2 }},
			{"one more supplier per wood", false, func(s *optimize.Season) { s.Limits.MaxSuppliers.Value++ }},
			{"no freight and no minimum", false, func(s *optimize.Season) { s.Suppliers[0].Freight, s.Suppliers[0].MinOrder = decimal.Zero, decimal.Zero }},
			{"one more lot", false, func(s *optimize.Season) {
				l := s.Lots[r.IntN(len(s.Lots))]
				l.Tiers = []optimize.Tier{{From: 1, Each: l.Tiers[0].Each.Mul(decimal.New(int64(70+r.IntN(60)), -2)).Round(3)}}
				l.MinSteps = 0
				s.Lots = append(s.Lots, l)
			}},
			{"looser limits of the boards", false, func(s *optimize.Season) {
				for i := range s.Models {
					p := *s.Models[i].Program
					p.Limits.Windows = slices.Clone(p.Limits.Windows)
					for k := range p.Limits.Windows {
						p.Limits.Windows[k].Low.Value *= 0.98
						p.Limits.Windows[k].High.Value *= 1.02
					}
					p.Limits.MaxCoreMassG.Value *= 1.02
					p.Limits.MaxWoods.Value++
					s.Models[i].Program = &p
				}
			}},
			{"more boards", true, func(s *optimize.Season) { s.Models[0].Build++ }},
		} {
			if law.dearer && (s.Limits.MinFastPct.Set || s.Limits.MinCertPct.Set) {
				continue // a board more may bring the share that a board less lacks
			}
			changed := *s
			changed.Lots, changed.Suppliers, changed.Models = slices.Clone(s.Lots), slices.Clone(s.Suppliers), slices.Clone(s.Models)
			law.change(&changed)
			q, has := leastCost(t, seed, &changed)
			switch {
			case !has && !law.dearer:
				t.Errorf("seed %d: with %s there is no plan", seed, law.name)
			case !has:
			case law.dearer == q.Exact.LessThan(p.Exact) && !q.Exact.Equal(p.Exact):
				t.Errorf("seed %d: with %s it costs %s instead of %s", seed, law.name, q.Exact, p.Exact)
			}
		}
		first, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{Mode: optimize.SeasonFirst})
		if err == nil && first.Exact.LessThan(p.Exact) {
			t.Errorf("seed %d: layouts first cost %s, together %s", seed, first.Exact, p.Exact)
		}
		keep, err := optimize.SolveSeason(context.Background(), s, optimize.SeasonOptions{Mode: optimize.SeasonKeep})
		if err == nil && keep.Exact.LessThan(p.Exact) {
			t.Errorf("seed %d: layouts kept cost %s, together %s", seed, keep.Exact, p.Exact)
		}
		for m := range s.Models {
			l, err := s.Lightest(context.Background(), m, p.Layouts[m])
			if err != nil {
				t.Fatal(err)
			}
			a, _ := s.StripsPerBoard(m, p.Layouts[m])
			b, _ := s.StripsPerBoard(m, l)
			c, err := optimize.Check(s.Models[m].Program, l)
			if err != nil || len(c.Broken) > 0 || c.Point.CoreMassG > p.Points[m].CoreMassG || !equalStrips(a, b) {
				t.Errorf("seed %d: the lightest of equal strips weighs %v g, the plan's %v g; %v %v", seed, c.Point.CoreMassG, p.Points[m].CoreMassG, a, b)
			}
		}
	}
	t.Log(told)
	if plans < *seasons/2 {
		t.Errorf("only %d have a plan", plans)
	}
}

func exactly(p *optimize.SeasonPlan) string {
	if p == nil {
		return "no cost"
	}
	return p.Exact.String()
}

func equalStrips(a, b map[int]int) bool {
	if len(a) != len(b) {
		return false
	}
	for k, n := range a {
		if b[k] != n {
			return false
		}
	}
	return true
}
