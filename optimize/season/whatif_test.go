package season_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

func asked(t *testing.T, s *season.Season, q season.Questions) *season.Answers {
	t.Helper()
	got, err := season.Ask(context.Background(), s, q)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// leastByGLPK is the least cost of a season's direct program by GLPK, which must be there.
func leastByGLPK(t *testing.T, s *season.Season, mode season.Mode) (cost float64, feasible bool) {
	t.Helper()
	m, _, err := season.Direct(context.Background(), s, mode)
	var short *season.Shortage
	var none *optimize.InfeasibleError
	if errors.As(err, &short) || errors.As(err, &none) {
		return 0, false
	}
	if err != nil {
		t.Fatal(err)
	}
	r, err := mip.Solve(context.Background(), m, mip.Options{Engine: mip.GLPK})
	if err != nil || r.Status != mip.Optimal && r.Status != mip.Infeasible {
		t.Fatalf("%v, %v", r.Status, err)
	}
	return r.Objective, r.Status == mip.Optimal
}

// TestWhatIfsByHand: changes of [season.HandSeason], whose plan with the layout kept is 3 packs of beech (54.03 + 1.00 + 7.50), a plank of stock (1.26), and
// 5 planks of birch (4 + 30, and 2.00): 99.79.
func TestWhatIfsByHand(t *testing.T) {
	s := season.HandSeason()
	changes := []struct {
		season.Change
		cost string // "": no plan
		lots int
	}{
		// Nothing else gives birch.
		{season.Change{Kind: season.WithoutSupplier, Name: "B"}, "", 0},
		{season.Change{Kind: season.WithoutWood, Name: "beech"}, "", 0},
		// 54.03 × 1.1 = 59.433; another plank of stock would save nothing: 2 packs and 2 planks give 18 strips.
		{season.Change{Kind: season.PriceOf, Name: "beech", Pct: decimal.NewFromInt(10)}, "5.40", 0},
		// 54.03 × 1.05 = 56.7315 and 34 × 1.05 = 35.7: 56.73 − 54.03 + 1.70. Stock does not rise.
		{season.Change{Kind: season.PriceOf, Pct: decimal.NewFromInt(5)}, "4.40", 0},
		// 22 strips of each: 3 packs and 2 planks of stock give 24 (1.26 → 2.51), and 6 planks of birch 24 (+6): 7.25.
		{season.Change{Kind: season.BoardsBy, Pct: decimal.NewFromInt(10)}, "7.25", 2},
		// 18 strips of each: 3 packs alone (−1.26), 5 planks of birch.
		{season.Change{Kind: season.BoardsBy, Pct: decimal.NewFromInt(-10)}, "-1.26", 1},
	}
	var ask []season.Change
	for _, c := range changes {
		ask = append(ask, c.Change)
	}
	got := asked(t, s, season.Questions{Mode: season.Keep, Changes: ask})
	for i, w := range got.WhatIfs {
		want := changes[i]
		switch {
		case want.cost == "":
			if short := (*season.Shortage)(nil); w.Plan != nil || !errors.As(w.None, &short) || len(short.Lacks) == 0 {
				t.Errorf("%+v: %+v, want no plan", w.Change, w)
			}
		case w.Plan == nil || !w.Plan.Proven || w.Dearer.Words("EUR") != want.cost+" EUR" || len(w.Lots) != want.lots || len(w.Models) != 0:
			t.Errorf("%+v: dearer by %+v, lots %+v, models %v, %v; want %s and %d lots", w.Change, w.Dearer, w.Lots, w.Models, w.None, want.cost, want.lots)
		}
	}
	for _, c := range []season.Change{{Kind: season.WithoutSupplier, Name: "C"}, {Kind: season.WithoutWood, Name: "oak"}, {Kind: season.PriceOf, Name: "oak"},
		{Kind: "weather"}, {Kind: season.BoardsBy, Pct: decimal.NewFromInt(-101)}} {
		if _, err := season.Ask(context.Background(), s, season.Questions{Mode: season.Keep, Changes: []season.Change{c}}); err == nil || strings.Contains(err.Error(), "no plan") {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if again := asked(t, s, season.Questions{Mode: season.Keep}); !again.Plan.Cost.Equal(got.Plan.Cost) || s.Models[0].Build != 10 || s.Lots[0].MaxSteps != 20 {
		t.Error("asking has changed the season")
	}
}

// TestAskPhases: progress comes from one question after another, and says of which.
func TestAskPhases(t *testing.T) {
	s := season.HandSeason()
	var phases []string
	asked(t, s, season.Questions{Compare: true, Changes: []season.Change{{Kind: season.PriceOf, Name: "beech", Pct: decimal.NewFromInt(10)}, {Kind: season.BoardsBy, Pct: decimal.NewFromInt(10)}},
		Shares: []float64{0, 40, 90}, Progress: func(p season.Progress) {
			if len(phases) == 0 || phases[len(phases)-1] != p.Phase {
				phases = append(phases, p.Phase)
			}
		}})
	all := []string{"layouts first", "layouts kept", "this season", "what-if 1 of 2: price of beech +10 %", "what-if 2 of 2: boards +10 %", "step 0 %", "step 40 %", "step 90 %"}
	last := -1
	for _, p := range phases { // what is known already is not searched for
		i := slices.Index(all, p)
		if i <= last {
			t.Errorf("phases %q", phases)
		}
		last = i
	}
	for _, p := range all[:5] {
		if !slices.Contains(phases, p) {
			t.Errorf("no %q among %q", p, phases)
		}
	}
}

// changesOf are some changes of an invented season.
func changesOf(s *season.Season) []season.Change {
	pct := decimal.NewFromInt
	return []season.Change{{Kind: season.WithoutSupplier, Name: s.Suppliers[0].Name}, {Kind: season.WithoutWood, Name: s.Kinds[0].Wood},
		{Kind: season.PriceOf, Name: s.Kinds[0].Wood, Pct: pct(12)}, {Kind: season.PriceOf, Pct: pct(-8)}, {Kind: season.BoardsBy, Pct: pct(25)}}
}

var tenths = []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}

// TestAsk: whatever is asked together, and however far it is proven, the least costs that another solver finds lie between bounds and plans, and their
// differences within the ranges. What only takes away is never cheaper, a step never cheaper than one before, and a model's parts add up.
func TestAsk(t *testing.T) {
	if !mip.HasGLPK() {
		t.Skip("no GLPK in this build")
	}
	plans, ended, apart, ranges := 0, 0, 0, 0
	for seed := range uint64(*seasons / 2) {
		s := invented.SmallSeason(seed)
		q := season.Questions{Compare: seed%2 == 0, Changes: changesOf(s), Shares: tenths, GapPct: []float64{0, 0.05, 4, 30}[seed%4]}
		got, err := season.Ask(context.Background(), s, q)
		if _, feasible := leastByGLPK(t, s, season.Joint); err != nil {
			if feasible {
				t.Errorf("seed %d: %v", seed, err)
			}
			continue
		}
		base, _ := leastByGLPK(t, s, season.Joint)
		answers := map[string]*season.Answer{"season": {Plan: got.Plan, Dearer: season.Range{Known: true}}}
		if q.Compare {
			answers["first"], answers["kept"] = got.First, got.Kept
		}
		for i := range got.WhatIfs {
			w := &got.WhatIfs[i]
			answers[w.Change.String()] = &w.Answer
			if k := w.Change.Kind; w.Plan != nil && (k == season.WithoutSupplier || k == season.WithoutWood) && (w.Plan.Exact.LessThan(got.Plan.Exact) || w.Dearer.Low.IsNegative()) {
				t.Errorf("seed %d, %s: costs %s, the season %s; dearer by %+v", seed, w.Change, w.Plan.Exact, got.Plan.Exact, w.Dearer)
			}
		}
		for i := range got.Steps {
			st := &got.Steps[i]
			answers[fmt.Sprint("step ", st.MinFastPct)] = &st.Answer
			if st.MinFastPct != tenths[i] {
				t.Errorf("seed %d: step %d is at %v", seed, i, st.MinFastPct)
			}
			if short := (*season.Shortage)(nil); st.Plan == nil {
				if ended++; i != len(got.Steps)-1 || !errors.As(st.None, &short) {
					t.Errorf("seed %d: no plan at %v, and %d steps: %v", seed, st.MinFastPct, len(got.Steps), st.None)
				}
				continue
			}
			if st.Plan.FastGrownPct() < st.MinFastPct-1e-9 {
				t.Errorf("seed %d: at %v it has %v %%", seed, st.MinFastPct, st.Plan.FastGrownPct())
			}
			if i > 0 && st.Plan.Exact.LessThan(got.Steps[i-1].Plan.Exact) {
				t.Errorf("seed %d: at %v it costs %s, at %v %s", seed, st.MinFastPct, st.Plan.Exact, tenths[i-1], got.Steps[i-1].Plan.Exact)
			}
			if i > 0 && !st.Plan.Exact.Equal(got.Steps[i-1].Plan.Exact) {
				apart++
			}
		}
		for name, a := range answers {
			if a.Plan == nil {
				if name == "kept" {
					continue
				}
				for _, w := range got.WhatIfs {
					if changed, _ := s.Changed(w.Change); name == w.Change.String() {
						if _, feasible := leastByGLPK(t, changed, season.Joint); feasible {
							t.Errorf("seed %d, %s: %v", seed, name, a.None)
						}
					}
				}
				continue
			}
			plans++
			p := a.Plan
			least, feasible := leastByGLPK(t, p.Season, p.Mode)
			cents := float64(2*len(p.Lines)+2*len(got.Plan.Lines)+10) / 100 // what rounding to the cent may add
			switch {
			case !feasible, !p.Done, p.Verify() != nil:
				t.Errorf("seed %d, %s: feasible %v, done %v, %v", seed, name, feasible, p.Done, p.Verify())
			case p.Exact.InexactFloat64() < least-1e-4, p.Bound.InexactFloat64() > least+cents, p.Proven && p.Exact.InexactFloat64() > least+1e-4,
				p.Exact.InexactFloat64()*(1-q.GapPct/100) > least+cents:
				t.Errorf("seed %d, %s: costs %s, bound %s, proven %v; the direct program %.4f", seed, name, p.Exact, p.Bound, p.Proven, least)
			case a.Dearer.Known && (a.Dearer.Low.InexactFloat64() > least-base+cents || a.Dearer.High.InexactFloat64() < least-base-cents):
				t.Errorf("seed %d, %s: dearer by %+v; the direct programs %.4f", seed, name, a.Dearer, least-base)
			case p.Proven && got.Plan.Proven && !a.Dearer.Low.Equal(a.Dearer.High):
				t.Errorf("seed %d, %s: %+v between proven plans", seed, name, a.Dearer)
			}
			if !a.Dearer.Low.Equal(a.Dearer.High) {
				ranges++
			}
			checkParts(t, fmt.Sprintf("seed %d, %s", seed, name), p)
		}
	}
	t.Logf("%d plans, %d ranges, %d series of steps ended, %d steps at another cost", plans, ranges, ended, apart)
	if plans < 3**seasons || ranges == 0 || ended == 0 || apart < *seasons/4 {
		t.Errorf("%d plans, %d ranges, %d series of steps ended, %d steps at another cost", plans, ranges, ended, apart)
	}
}

// TestAskInTime: however soon time is up, nothing that only takes away is cheaper, no step cheaper than one before, and every plan verifies.
func TestAskInTime(t *testing.T) {
	s := invented.Season(4, 1)
	for _, limit := range []time.Duration{time.Millisecond, 300 * time.Millisecond, 3 * time.Second} {
		got, err := season.Ask(context.Background(), s, season.Questions{Compare: true, Changes: changesOf(s), Shares: tenths, Limit: limit})
		if none := (*season.NoPlanError)(nil); errors.As(err, &none) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		last := got.Plan
		for _, a := range []*season.Answer{got.First, &got.WhatIfs[0].Answer, &got.WhatIfs[1].Answer} {
			if a.Plan == nil {
				continue
			}
			// A bound is lower by what rounding each line of its plan to the cent may take off.
			rounding := decimal.New(int64(2*len(a.Plan.Lines)+len(a.Plan.Orders)), -2)
			if a.Plan.Exact.LessThan(got.Plan.Exact) || a.Plan.Bound.Add(rounding).LessThan(got.Plan.Bound) && a.Plan.Bound.IsPositive() || a.Dearer.Low.IsNegative() {
				t.Errorf("%v: %s, bound %s, dearer by %+v; the season %s, %s", limit, a.Plan.Exact, a.Plan.Bound, a.Dearer, got.Plan.Exact, got.Plan.Bound)
			}
		}
		for _, st := range got.Steps {
			if st.Plan == nil {
				continue
			}
			if st.Plan.Exact.LessThan(last.Exact) || st.Plan.Verify() != nil || st.Plan.Done == (st.Plan.Why != "") {
				t.Errorf("%v: at %v it costs %s, before %s; done %v, %q, %v", limit, st.MinFastPct, st.Plan.Exact, last.Exact, st.Plan.Done, st.Plan.Why, st.Plan.Verify())
			}
			last = st.Plan
		}
	}
}

// checkParts: the parts of a plan add up to its cost and its shares.
func checkParts(t *testing.T, what string, p *season.Plan) {
	t.Helper()
	parts, err := p.Parts()
	if err != nil {
		t.Fatal(err)
	}
	var cost decimal.Decimal
	var volume, fast, certified float64
	for m, part := range parts {
		per, err := p.Season.StripsPerBoard(m, p.Layouts[m])
		if err != nil {
			t.Fatal(err)
		}
		own := 0.0
		for k, n := range per {
			own += float64(n*p.Season.Models[m].Build) * float64(p.Season.Kinds[k].VolumeMM3)
		}
		cost = cost.Add(part.Cost)
		volume, fast, certified = volume+own, fast+own*part.FastGrownPct, certified+own*part.CertifiedPct
	}
	if !cost.Equal(p.Cost) || math.Abs(fast/volume-p.FastGrownPct()) > 1e-9 || math.Abs(certified/volume-p.CertifiedPct()) > 1e-9 {
		t.Errorf("%s: its parts cost %s of %s, %.4f and %.4f %%, want %.4f and %.4f", what, cost, p.Cost, fast/volume, certified/volume, p.FastGrownPct(), p.CertifiedPct())
	}
}
