package season_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// shortage solves a season that has no plan.
func shortage(t *testing.T, s *season.Season, how season.Mode) *season.Shortage {
	t.Helper()
	p, err := season.Solve(context.Background(), s, season.Options{Mode: how})
	var short *season.Shortage
	if !errors.As(err, &short) {
		t.Fatalf("%v, %v; want a shortage", p, err)
	}
	if len(short.Lacks) == 0 {
		t.Fatal("nothing is said to be short")
	}
	for _, l := range short.Lacks {
		if l.What == "limits" || l.Says == "" {
			t.Errorf("a lack of %q says %q", l.What, l.Says)
		}
	}
	return short
}

// TestShortageByHand: the season of [season.HandSeason] with its layout kept and one thing short at a time. Its least cost is 99.784: that of
// TestPlanByHand less one plank of stock at 1.255, since 3 packs and one plank of stock give 21 strips.
func TestShortageByHand(t *testing.T) {
	for _, tt := range []struct {
		name         string
		change       func(*season.Season)
		what, by     string
		says, remedy string
	}{
		// 99.784, rounded up.
		{"money", func(s *season.Season) {
			s.Limits.Budget = optimize.MoneyLimit{Set: true, Value: decimal.NewFromInt(90), Where: "Shop!B9"}
		}, "money", "9.79 EUR", "the budget of 90.00 EUR (Shop!B9) is 9.79 EUR short: the cheapest plan costs 99.79 EUR", "raise the budget by 9.79 EUR to 99.79 EUR"},
		// 20 strips of beech, 6 from 2 planks of stock and 12 from 2 packs: 2 strips are short, 1 pack of 2 planks.
		{"wood", func(s *season.Season) { s.Lots[0].MaxSteps = 2 }, "wood", "2 planks",
			"beech is short: it takes 2 planks of beech from A by 2027-03-15 more than there are", "2 planks more of beech from A by 2027-03-15"},
		// Kept: 20 of 40 strips are birch, which is fast-grown.
		{"fast-grown share", func(s *season.Season) { s.Limits.MinFastPct = optimize.Limit{Set: true, Value: 60, Where: "Shop!B8"} },
			"share", "10.0 %", "60 % of the strips are to be fast-grown (Shop!B8), and the most there can be is 50.0 %", "ask for 50.0 % of fast-grown strips"},
		// All beech from A is 20 of 40 strips.
		{"certified share", func(s *season.Season) { s.Limits.MinCertPct = optimize.Limit{Set: true, Value: 55} },
			"share", "5.0 %", "and the most there can be is 50.0 %", "ask for 50.0 % of certified strips"},
		// B sells 20 planks at most: 4 + 20 × 6 = 124.
		{"minimum order", func(s *season.Season) { s.Suppliers[1].MinOrder = decimal.NewFromInt(200) },
			"minimum", "166.00 EUR", "the order from B would be worth 34.00 EUR, 166.00 EUR less than its minimum of 200.00 EUR", "have B accept an order of 34.00 EUR"},
		// 5 planks of birch are needed, and there are 20.
		{"minimum of a line", func(s *season.Season) { s.Lots[2].MinSteps = 21 },
			"minimum", "16 planks", "birch from B is sold from 21 on, and a plan needs 5 planks of it", "have B sell 5 planks of birch from B"},
		{"suppliers", func(s *season.Season) {
			s.Limits.MaxSuppliers = optimize.Limit{Set: true, Value: 1}
			s.Lots[2].MaxSteps = 3 // 12 strips; 8 from A, 3 a plank
			s.Lots = append(s.Lots, season.Lot{Supplier: 0, StepQuantity: decimal.NewFromInt(1), StepParts: season.PlankParts, MaxSteps: 4,
				Tiers: []season.Tier{{From: 1, Each: decimal.NewFromInt(20)}}, Uses: []season.KindUse{{Kind: 1, Parts: season.PlankParts / 3}}})
		}, "suppliers", "1 more", "birch has to come from 2 suppliers; at most 1 are allowed", "allow 2 suppliers per wood"},
		{"layout", func(s *season.Season) {
			s.Models[0].Program.Limits.MaxCoreMassG = optimize.Limit{Set: true, Value: 1, Where: "Limits!D2"}
		}, "layout", "", `model "Hand": its layout cannot be kept: core mass at most 1 g`, ""},
	} {
		s := season.HandSeason()
		tt.change(s)
		short := shortage(t, s, season.Keep)
		found := false
		for _, l := range short.Lacks {
			found = found || l.What == tt.what && l.By == tt.by && strings.Contains(l.Says, tt.says)
		}
		if !found {
			t.Errorf("%s: %+v", tt.name, short.Lacks)
		}
		found = tt.remedy == ""
		for _, r := range short.Remedies {
			found = found || r == tt.remedy
		}
		if !found {
			t.Errorf("%s: remedies %q", tt.name, short.Remedies)
		}
	}
}

// TestShortageTogether: no single change helps when money and wood are both short.
func TestShortageTogether(t *testing.T) {
	s := season.HandSeason()
	s.Lots[0].MaxSteps = 2
	s.Limits.Budget = optimize.MoneyLimit{Set: true, Value: decimal.NewFromInt(60)}
	short := shortage(t, s, season.Keep)
	if len(short.Lacks) != 2 || short.Lacks[0].What != "money" || short.Lacks[1].What != "wood" || len(short.Remedies) != 1 || !strings.Contains(short.Remedies[0], ", and ") {
		t.Errorf("%+v\n%q", short.Lacks, short.Remedies)
	}
}

// TestShortagesHelp: of small seasons without a plan, the cheapest remedy that is a figure to change gives one when it is changed, and a hair less does not.
func TestShortagesHelp(t *testing.T) {
	if !mip.HasGLPK() {
		t.Skip("no GLPK in this build")
	}
	short, money := 0, 0
	for seed := range uint64(3 * *seasons) {
		s := invented.SmallSeason(seed)
		_, err := season.Solve(context.Background(), s, season.Options{})
		var why *season.Shortage
		if err == nil || !errors.As(err, &why) {
			if err != nil {
				t.Errorf("seed %d: %v", seed, err)
			}
			continue
		}
		short++
		if cost, feasible := leastByGLPK(t, s, season.Joint); feasible {
			t.Errorf("seed %d: the direct program costs %.4f", seed, cost)
		}
		if len(why.Lacks) == 0 || why.Lacks[0].What == "limits" || why.Lacks[0].What != "layout" && len(why.Remedies) == 0 {
			t.Errorf("seed %d: %+v %q", seed, why.Lacks, why.Remedies)
		}
		for _, l := range why.Lacks {
			if l.What != "money" || len(why.Remedies) == 1 && len(why.Lacks) > 1 {
				continue
			}
			money++
			for _, e := range []struct {
				by   decimal.Decimal
				plan bool
			}{{l.Money.High, true}, {l.Money.Low.Sub(decimal.New(2, -2)), false}} {
				r := *s
				r.Limits.Budget.Value = s.Limits.Budget.Value.Add(e.by)
				if p, err := season.Solve(context.Background(), &r, season.Options{}); (p != nil) != e.plan {
					t.Errorf("seed %d: with a budget of %s: %v, %v", seed, r.Limits.Budget.Value, p, err)
				}
			}
		}
	}
	t.Logf("%d without a plan, %d for lack of money", short, money)
	if short < *seasons/10 || money == 0 {
		t.Errorf("%d without a plan, %d for lack of money", short, money)
	}
}

// TestBuysMoreForLess: 20 strips of beech are 4 packs of 18.01, and 5 packs cost 5.00 each: 25 + 5 × 0.333 + 7.50, and birch as ever, 34 + 2. By hand.
func TestBuysMoreForLess(t *testing.T) {
	if !mip.HasGLPK() {
		t.Skip("no GLPK in this build")
	}
	s := season.HandSeason()
	s.Suppliers[0].MinOrder = decimal.Zero
	s.Lots[0].Tiers = append(s.Lots[0].Tiers, season.Tier{From: 5, Each: decimal.NewFromInt(5)})
	cost, _ := leastByGLPK(t, s, season.Keep)
	if p := asked(t, s, season.Questions{Mode: season.Keep}).Plan; !p.Exact.Equal(decimal.RequireFromString("70.165")) || math.Abs(cost-70.165) > 1e-9 {
		t.Errorf("costs %s, by the direct program %v, want 70.165", p.Exact, cost)
	}
}

// TestSharesByHand: half the strips are beech. 40 % certified takes 16 of them from A, which is certified; from stock come 4 at most: 3 packs (18), 1 plank of
// stock. 50 % takes all 20: 4 packs, 72.04 + 1.332 + 7.50 + 36.
func TestSharesByHand(t *testing.T) {
	if !mip.HasGLPK() {
		t.Skip("no GLPK in this build")
	}
	for _, tt := range []struct {
		pct  float64
		cost string
	}{{40, "99.784"}, {50, "116.872"}} {
		s := season.HandSeason()
		s.Limits.MinCertPct = optimize.Limit{Set: true, Value: tt.pct}
		want := decimal.RequireFromString(tt.cost)
		cost, _ := leastByGLPK(t, s, season.Keep)
		if p := asked(t, s, season.Questions{Mode: season.Keep}).Plan; !p.Exact.Equal(want) || math.Abs(cost-want.InexactFloat64()) > 1e-9 {
			t.Errorf("%v %%: costs %s, by the direct program %v, want %s", tt.pct, p.Exact, cost, want)
		}
	}
}
