package invented

import (
	"reflect"
	"testing"

	"stavewright/optimize"
)

// TestSeasons: equal seeds give equal seasons, and every model of a large one has a reference that keeps its limits.
func TestSeasons(t *testing.T) {
	if a, b := SmallSeason(7), SmallSeason(7); !reflect.DeepEqual(a, b) {
		t.Error("the same seed gives two seasons")
	}
	s := Season(10, 1)
	if !reflect.DeepEqual(s, Season(10, 1)) {
		t.Error("the same seed gives two seasons")
	}
	for _, m := range s.Models {
		c, err := optimize.Check(m.Program, m.Program.Reference)
		if err != nil || len(c.Broken) > 0 {
			t.Errorf("%s: %v %v", m.Program.Model, c, err)
		}
	}
	if len(s.Kinds) != 8 || len(s.Suppliers) != 6 || len(s.Lots) < 16 || len(s.Lots) > 32 {
		t.Errorf("%d kinds, %d suppliers, %d lots", len(s.Kinds), len(s.Suppliers), len(s.Lots))
	}
	for i, l := range s.Lots {
		if len(l.Tiers) != 3 || l.Tiers[1].From <= l.MinSteps || l.Tiers[2].From <= l.Tiers[1].From {
			t.Errorf("lot %d: tiers from %d, %d, %d with a minimum of %d", i+1, l.Tiers[0].From, l.Tiers[1].From, l.Tiers[2].From, l.MinSteps)
		}
	}
	kinds := map[string]int{}
	for seed := range uint64(300) {
		s := SmallSeason(seed)
		for i := range s.Lots {
			l := &s.Lots[i]
			switch {
			case l.Stock:
				kinds["stock"]++
			case len(l.Tiers) == 2:
				kinds["incremental"]++
			case len(l.Tiers) == 3:
				kinds["all units"]++
			}
			if l.MinSteps > l.MaxSteps {
				t.Errorf("seed %d, lot %d: at least %d steps, at most %d", seed, i+1, l.MinSteps, l.MaxSteps)
			}
		}
		for what, set := range map[string]bool{"budget": s.Limits.Budget.Set, "fast": s.Limits.MinFastPct.Set, "certified": s.Limits.MinCertPct.Set, "suppliers": s.Limits.MaxSuppliers.Set} {
			if set {
				kinds[what]++
			}
		}
	}
	for _, what := range []string{"stock", "incremental", "all units", "budget", "fast", "certified", "suppliers"} {
		if kinds[what] < 30 {
			t.Errorf("only %d with %s among 300 small seasons", kinds[what], what)
		}
	}
}
