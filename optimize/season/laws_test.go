package season_test

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/optimize/invented"
	"stavewright/optimize/season"
)

// leastCost is what a season costs, proven; ok is false when it has no plan.
func leastCost(t *testing.T, seed uint64, s *season.Season) (p *season.Plan, ok bool) {
	t.Helper()
	p, err := season.Solve(context.Background(), s, season.Options{}.Undiagnosed())
	switch {
	case noPlan(err):
		return nil, false
	case err != nil:
		t.Fatalf("seed %d: %v", seed, err)
	case !p.Proven:
		t.Fatalf("seed %d: not proven: %s", seed, p.Why)
	}
	return p, true
}

// doubled is a season with all money doubled.
func doubled(s *season.Season) *season.Season {
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
func shuffled(r *rand.Rand, s *season.Season) *season.Season {
	out := &season.Season{Currency: s.Currency, Limits: s.Limits}
	kinds, suppliers := r.Perm(len(s.Kinds)), r.Perm(len(s.Suppliers)) // old place → new place
	out.Kinds, out.Suppliers = make([]season.StripKind, len(s.Kinds)), make([]season.Supplier, len(s.Suppliers))
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
		slices.SortFunc(l.Uses, func(a, b season.KindUse) int { return a.Kind - b.Kind })
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
func renamed(s *season.Season) *season.Season {
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

// A retelling is a board described in another way, of which nothing may depend.
type retelling struct {
	name   string
	change func(r *rand.Rand, m *season.Model) // m is a copy down to its program's board and candidates
}

var retellings = []retelling{
	{"mirrored from tip to tail", func(_ *rand.Rand, m *season.Model) {
		b := m.Program.Board
		length := b.LengthMM()
		slices.Reverse(b.Stations)
		for i := range b.Stations {
			b.Stations[i].FromTipMM = length - b.Stations[i].FromTipMM
		}
		b.MeasureAtMM = length - b.MeasureAtMM
		for i := range m.Program.Limits.Windows {
			m.Program.Limits.Windows[i].FromTipMM = length - m.Program.Limits.Windows[i].FromTipMM
		}
	}},
	{"a station between two others", func(r *rand.Rand, m *season.Model) {
		b := m.Program.Board
		i := 1 + r.IntN(len(b.Stations)-1)
		x := b.Stations[i-1].FromTipMM + 0.381*(b.Stations[i].FromTipMM-b.Stations[i-1].FromTipMM)
		b.Stations = slices.Insert(b.Stations, i, core.Station{FromTipMM: x, WidthMM: 2 * b.HalfWidthMM(x), ThicknessMM: b.ThicknessMM(x)})
	}},
	{"the woods in another order", func(_ *rand.Rand, m *season.Model) {
		p := m.Program
		last := len(p.Board.Woods) - 1
		slices.Reverse(p.Board.Woods)
		for i := range p.Candidates {
			p.Candidates[i].Wood = last - p.Candidates[i].Wood
		}
		for i := range p.Limits.Counts {
			p.Limits.Counts[i].Wood = last - p.Limits.Counts[i].Wood
		}
		p.Reference = slices.Clone(p.Reference)
		for i := range p.Reference {
			p.Reference[i] = last - p.Reference[i]
		}
	}},
	{"the candidates in another order", func(_ *rand.Rand, m *season.Model) {
		slices.Reverse(m.Program.Candidates)
		m.Kind = slices.Clone(m.Kind)
		for pos := range m.Kind {
			m.Kind[pos] = slices.Clone(m.Kind[pos])
			slices.Reverse(m.Kind[pos])
		}
	}},
}

// retold is a season whose boards are described in another way.
func retold(r *rand.Rand, s *season.Season, how retelling) *season.Season {
	out := *s
	out.Models = slices.Clone(s.Models)
	for i := range out.Models {
		p, b := *s.Models[i].Program, *s.Models[i].Program.Board
		b.Woods, b.Stations = slices.Clone(b.Woods), slices.Clone(b.Stations)
		p.Board, p.Candidates = &b, slices.Clone(p.Candidates)
		p.Limits.Windows, p.Limits.Counts = slices.Clone(p.Limits.Windows), slices.Clone(p.Limits.Counts)
		out.Models[i].Program = &p
		how.change(r, &out.Models[i])
	}
	return &out
}

// TestSeasonLaws: doubling all money doubles the cost; other names, another order of lots, kinds, suppliers and models, and boards told otherwise (mirrored, a station
// more, other names, woods in another order) change nothing; a larger budget, a smaller share, looser limits of the boards, one more
// supplier per wood, no freight or minimum, or one more lot never cost more; more boards never cost less
// where no share is asked.
func TestSeasonLaws(t *testing.T) {
	needsSolver(t)
	plans, told := 0, map[string]int{}
	for seed := range sample(1) {
		s := invented.SmallSeason(seed)
		r := rand.New(rand.NewPCG(seed, 5))
		p, ok := leastCost(t, seed, s)
		if q, twice := leastCost(t, seed, doubled(s)); twice != ok || ok && !q.Exact.Equal(p.Exact.Add(p.Exact)) {
			t.Errorf("seed %d: %v, with all money doubled %v", seed, p, q)
		}
		if q, has := leastCost(t, seed, shuffled(r, s)); has != ok || ok && !q.Exact.Equal(p.Exact) {
			t.Errorf("seed %d: in another order it has a plan: %v, %v", seed, has, ok)
		}
		same := map[string]*season.Season{"other names": renamed(s)}
		for i, how := range retellings {
			if (int(seed)+i)%2 == 0 || *seasons > 20 { // half of them, in a sample
				same[how.name] = retold(r, s, how)
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
			change func(*season.Season)
		}{
			{"a larger budget", false, func(s *season.Season) { s.Limits.Budget.Value = s.Limits.Budget.Value.Mul(decimal.NewFromInt(2)) }},
			{"smaller shares", false, func(s *season.Season) { s.Limits.MinFastPct.Value /= 2; s.Limits.MinCertPct.Value /= 2 }},
			{"one more supplier per wood", false, func(s *season.Season) { s.Limits.MaxSuppliers.Value++ }},
			{"no freight and no minimum", false, func(s *season.Season) { s.Suppliers[0].Freight, s.Suppliers[0].MinOrder = decimal.Zero, decimal.Zero }},
			{"one more lot", false, func(s *season.Season) {
				l := s.Lots[r.IntN(len(s.Lots))]
				l.Tiers = []season.Tier{{From: 1, Each: l.Tiers[0].Each.Mul(decimal.New(int64(70+r.IntN(60)), -2)).Round(3)}}
				l.MinSteps = 0
				s.Lots = append(s.Lots, l)
			}},
			{"looser limits of the boards", false, func(s *season.Season) {
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
			{"more boards", true, func(s *season.Season) { s.Models[0].Build++ }},
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
		first, err := season.Solve(context.Background(), s, season.Options{Mode: season.First})
		if err == nil && first.Exact.LessThan(p.Exact) {
			t.Errorf("seed %d: layouts first cost %s, together %s", seed, first.Exact, p.Exact)
		}
		keep, err := season.Solve(context.Background(), s, season.Options{Mode: season.Keep})
		if err == nil && keep.Exact.LessThan(p.Exact) {
			t.Errorf("seed %d: layouts kept cost %s, together %s", seed, keep.Exact, p.Exact)
		}
	}
	t.Log(told)
	if plans < int(sample(1))/2 {
		t.Errorf("only %d have a plan", plans)
	}
}

func exactly(p *season.Plan) string {
	if p == nil {
		return "no cost"
	}
	return p.Exact.String()
}
