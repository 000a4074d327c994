package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
	"stavewright/species"
)

// board is an invented core of three woods and five positions with unlike layers: large enough for a front of some dozen
// points.
func board() *core.Board {
	b := &core.Board{Name: "test", Section: core.Pressed, MeasureAtMM: 780, SpanMM: 1000, GlueGM2: 180}
	for _, w := range []struct {
		id               string
		rho, e, hardness float64
	}{{"light", 280, 4.7, 1300}, {"even", 430, 9.0, 1700}, {"stiff", 680, 13.2, 5900}} {
		b.Woods = append(b.Woods, species.Wood{ID: w.id, CommonName: w.id, DensityKgM3: own(w.rho), SpecificGravity: own(w.rho / 1120),
			ModulusGPa: own(w.e), BendingStrengthMPa: own(w.rho / 6.5), ShearMPa: own(w.rho / 50), CrossGrainGPa: own(w.e / 18), HardnessN: own(w.hardness), ModulusCVPct: own(20), RotationHighYears: own(w.rho / 20)})
	}
	for i, n := range []int{2, 2, 2, 2, 1} {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%d", i+1), Strips: n, StripWidthMM: 15})
	}
	for _, s := range [][3]float64{{0, 90, 1.8}, {240, 262, 2.2}, {520, 248, 5.6}, {780, 238, 7.6}, {1040, 248, 5.6}, {1320, 262, 2.2}, {1560, 90, 1.8}} {
		b.Stations = append(b.Stations, core.Station{FromTipMM: s[0], WidthMM: s[1], ThicknessMM: s[2]})
	}
	b.Layers = []core.Layer{
		{Name: "skin above", Place: core.Above, Order: 1, ModulusGPa: 21.4, ThicknessMM: 0.6, DensityKgM3: 1800},
		{Name: "skin below", Place: core.Below, Order: 1, ModulusGPa: 23, ThicknessMM: 0.7, DensityKgM3: 1800},
		{Name: "base", Place: core.Below, Order: 2, ModulusGPa: 0.8, ThicknessMM: 1.2, DensityKgM3: 940},
	}
	return b
}

// program is that board with invented prices and no limits.
func program() *Program {
	p := &Program{Model: "test", Board: board(), Currency: "EUR"}
	p.Limits.FastUpToYears = 15
	p.Limits.Positions = make([]PositionLimit, 5)
	for i, cost := range []int64{2100, 1200, 1900} {
		c := Candidate{Wood: i, FastGrown: i == 0}
		for range p.Board.Positions {
			c.At = append(c.At, Use{Allowed: true, StripCost: decimal.New(cost, -4)})
		}
		p.Candidates = append(p.Candidates, c)
	}
	return p
}

func at(v float64, where string) Limit { return Limit{Set: true, Value: v, Where: where} }

func mustFront(t *testing.T, p *Program, o Options) *FrontResult {
	t.Helper()
	r, err := Front(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func vectors(r *FrontResult) (v [][]int64) {
	for _, p := range r.Points {
		v = append(v, steps(p, r.Objectives))
	}
	return v
}

// TestFrontLaws: what must hold of any front.
func TestFrontLaws(t *testing.T) {
	for _, method := range []Method{Enumeration, IntegerProgram} {
		if method == IntegerProgram && !mip.Available {
			continue
		}
		t.Run(string(method), func(t *testing.T) { testFrontLaws(t, Options{Method: method}) })
	}
}

func testFrontLaws(t *testing.T, o Options) {
	p := program()
	p.Limits.MaxWoods = at(2, "Limits!D2")
	r := mustFront(t, p, o)
	if len(r.Points) < 20 || !r.Complete {
		t.Fatalf("%d points, complete %v: too few to test by", len(r.Points), r.Complete)
	}
	if per := float64(r.Solves) / float64(len(r.Points)); per > 1.1 || (per == 0) != (o.Method == Enumeration) {
		t.Errorf("%.3f solves a point", per)
	}
	knees := 0
	for i, pt := range r.Points {
		if pt.ID != i+1 {
			t.Errorf("point %d has id %d", i+1, pt.ID)
		}
		if i > 0 && (pt.CoreMassG <= r.Points[i-1].CoreMassG || pt.EINM2 <= r.Points[i-1].EINM2) {
			t.Errorf("point %d does not trade mass for EI", pt.ID)
		}
		if d := math.Abs(pt.CoreMassG - pt.Figures.CoreMassG); d > 0.011 {
			t.Errorf("point %d: mass %v, by the mechanics %v", pt.ID, pt.CoreMassG, pt.Figures.CoreMassG)
		}
		if d := math.Abs(pt.EINM2 - pt.Figures.Measure.PressedEINM2); d > 0.011 {
			t.Errorf("point %d: EI %v, by the mechanics %v", pt.ID, pt.EINM2, pt.Figures.Measure.PressedEINM2)
		}
		if pt.Knee {
			knees++
		}
		c, err := Check(p, pt.Layout)
		if err != nil || len(c.Broken) > 0 {
			t.Errorf("point %d: %v %v", pt.ID, err, c)
		}
		if c.Point.CoreMassG != pt.CoreMassG || c.Point.EINM2 != pt.EINM2 || !c.Point.Cost.Equal(pt.Cost) {
			t.Errorf("point %d: check gives other figures than the front", pt.ID)
		}
	}
	if knees != 1 {
		t.Errorf("%d knees", knees)
	}

	again := mustFront(t, p, o)
	if !reflect.DeepEqual(again.Points, r.Points) {
		t.Error("the same program gave another result")
	}

	// The order of woods must not matter.
	q := program()
	q.Limits.MaxWoods = p.Limits.MaxWoods
	slices.Reverse(q.Candidates)
	if got := vectors(mustFront(t, q, o)); !slices.EqualFunc(got, vectors(r), slices.Equal[[]int64]) {
		t.Error("another order of the woods gave another front")
	}

	// Nor may a looser limit make any point worse.
	p.Limits.MaxWoods = Limit{}
	loose := vectors(mustFront(t, p, o))
	for _, pt := range vectors(r) {
		if !slices.ContainsFunc(loose, func(o []int64) bool { return within(o, pt) }) {
			t.Fatalf("without the limit on woods, nothing is as good as %v", pt)
		}
	}
}

// TestClasses: the class form against the plain one, where every group count is whole and no group is merged.
func TestClasses(t *testing.T) {
	needsIntegerPrograms(t)
	for seed := range 40 {
		p, _ := randomProgram(rand.New(rand.NewPCG(uint64(seed), 7)))
		p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{} // which only enumeration decides
		want := mustFront(t, p, Options{Method: IntegerProgram})
		got := mustFront(t, p, Options{solver: unmerged{}})
		if !slices.EqualFunc(vectors(got), vectors(want), slices.Equal[[]int64]) {
			t.Errorf("seed %d: %v with every count whole, %v by classes", seed, vectors(got), vectors(want))
		}
	}
}

// unmerged makes every column whole before it solves, but for those of the scatter limit.
type unmerged struct{}

func (unmerged) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	q := *m
	q.Columns = slices.Clone(m.Columns)
	for i, c := range q.Columns {
		if strings.Contains(c.Name, "of strips") {
			q.Columns[i].Integer = true
		}
	}
	o.Basis = nil
	return mip.Solve(ctx, &q, o)
}

// failing answers as told after k solves.
type failing struct {
	after int
	n     *int
	err   error
	stop  context.CancelFunc
}

func (f failing) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	*f.n++
	if *f.n > f.after {
		if f.err != nil {
			return mip.Result{}, f.err
		}
		f.stop()
		return mip.Result{Status: mip.Stopped, Bound: math.Inf(-1)}, nil
	}
	return mip.Solve(ctx, m, o)
}

// TestStopped: after any number of solves, a stopped front is a part of the complete one and says that it is not all of it.
func TestStopped(t *testing.T) {
	needsIntegerPrograms(t)
	p := program()
	whole := vectors(mustFront(t, p, Options{}))
	for k := range 8 {
		ctx, cancel := context.WithCancel(context.Background())
		r, err := Front(ctx, p, Options{solver: failing{after: k, n: new(int), stop: cancel}})
		if err != nil {
			t.Fatalf("after %d solves: %v", k, err)
		}
		if r.Complete || r.Infeasible != nil || r.Why != "interrupted" || r.Unsearched == "" {
			t.Errorf("after %d solves: complete %v, infeasible %v, why %q, %q", k, r.Complete, r.Infeasible, r.Why, r.Unsearched)
		}
		for _, v := range vectors(r) {
			if !r.Unproven && !slices.ContainsFunc(whole, func(w []int64) bool { return slices.Equal(v, w) }) {
				t.Errorf("after %d solves: %v is not on the complete front", k, v)
			}
		}
		// The first solve gives the greatest EI, the second a point that the third proves.
		if want := max(k-2, min(k, 1)); len(r.Points) != want {
			t.Errorf("after %d solves: %d points, want %d", k, len(r.Points), want)
		}
		if want := k == 1 || k == 2; r.Unproven != want {
			t.Errorf("after %d solves: marked as not proven: %v", k, r.Unproven)
		}
	}
	for k := range 3 {
		_, err := Front(context.Background(), p, Options{solver: failing{after: k, n: new(int), err: errBroken}})
		if !errors.Is(err, errBroken) {
			t.Errorf("a solver at fault after %d solves gave %v", k, err)
		}
	}
}

var errBroken = errors.New("the engine is broken")

// TestInfeasible: the clash is named, and each relaxation said to help does help, by no less than it says.
func TestInfeasible(t *testing.T) {
	p := program()
	p.Limits.Windows = []Window{{FromTipMM: 780, Low: at(222, "Targets!C4")}}
	p.Limits.MaxCost = MoneyLimit{Set: true, Value: decimal.RequireFromString("2.70"), Where: "Limits!C2"}
	p.Limits.MaxCoreMassG = at(2000, "Limits!D2") // no part of it
	r := mustFront(t, p, Options{})
	if r.Infeasible == nil || !r.Complete {
		t.Fatalf("feasible: %v", vectors(r))
	}
	if got := strings.Join(r.Infeasible.Clash, "; "); got != "EI at 780 mm at least 222 N·m² (Targets!C4); cost at most 2.70 EUR a core (Limits!C2)" {
		t.Errorf("clash: %s", got)
	}
	if len(r.Infeasible.Relaxations) != 2 {
		t.Fatalf("relaxations: %+v", r.Infeasible.Relaxations)
	}
	for _, x := range r.Infeasible.Relaxations {
		t.Log(x.Sentence)
		var v float64
		if _, err := fmt.Sscanf(x.To, "%f", &v); err != nil {
			t.Fatal(err)
		}
		for _, more := range []struct {
			by   float64
			want bool
		}{{0, true}, {0.01, false}} {
			q := *p
			if x.Where == "Limits!C2" {
				q.Limits.MaxCost.Value = decimal.NewFromFloat(v - more.by)
			} else {
				q.Limits.Windows = []Window{{FromTipMM: 780, Low: at(v+more.by, "")}}
			}
			if got := mustFront(t, &q, Options{}).Infeasible == nil; got != more.want {
				t.Errorf("%s, tightened by %v: feasible %v", x.Sentence, more.by, got)
			}
		}
	}
}

// TestInfeasibleKinds: every kind of limit can be the one to give way.
func TestInfeasibleKinds(t *testing.T) {
	for _, tt := range []struct {
		name  string
		limit func(*Limits)
		want  []string // parts of the sentences, in order
	}{
		{"woods", func(l *Limits) {
			l.MaxWoods = at(1, "Limits!D2")
			l.Counts = []CountLimit{{Position: 0, Wood: 0, Low: at(1, "Counts!D2")}, {Position: 1, Wood: 2, Low: at(1, "Counts!D3")}}
		}, []string{"strips of light at P1 reaches at most 0 strips per side", "strips of stiff at P2 reaches at most 0", "2 woods are enough"}},
		{"strips when used", func(l *Limits) {
			l.MinStrips = at(4, "Limits!E2")
			l.Counts = []CountLimit{{Position: -1, Wood: 2, Low: at(1, "Counts!D2"), High: at(3, "Counts!E2")}}
		}, []string{"strips of stiff in the core reaches at most 0", "strips of stiff in the core comes down to 4", "3 strips per side of each wood used can be held"}},
		{"hardness", func(l *Limits) {
			l.Positions[4].MinHardnessN = at(2000, "Positions!G6")
			l.Counts = []CountLimit{{Position: 4, Wood: 1, Low: at(1, "Counts!D2")}}
		}, []string{"strips of even at P5 reaches at most 0", "a hardness of 1700 N is enough"}},
		{"scatter", func(l *Limits) {
			l.MaxScatterPct = at(1.9, "Limits!H2")
			l.Windows = []Window{{FromTipMM: 780, Low: at(222, "Targets!C2")}}
		}, []string{"EI at 780 mm reaches at most", "scatter comes down to"}},
		{"holding", func(l *Limits) {
			l.HoldingRef = species.Wood{CommonName: "even", SpecificGravity: own(430. / 1120)}
			l.Positions[0].MinHoldingPct = at(150, "Positions!H2")
			l.Shares = []ShareLimit{{Wood: 2, High: at(0, "Shares!D2")}}
		}, []string{"share of stiff comes down to", "screw holding at P1 reaches at most 100.0 %"}},
		{"flex", func(l *Limits) {
			l.FlexLow, l.FlexHigh = at(7, "Limits!J2"), at(7.3, "Limits!K2")
			l.MaxCoreMassG = at(500, "Limits!D2")
		}, []string{"core mass comes down to", "flex over 1000 mm reaches at most"}},
		{"strength", func(l *Limits) {
			l.DesignLoadN, l.SafetyFactor, l.MaxUtilPct = 600, 2, at(80, "Limits!L2")
			l.MaxCoreMassG = at(480, "Limits!D2")
		}, []string{"core mass comes down to", "utilisation comes down to"}},
		{"two clashes at once", func(l *Limits) {
			l.Counts = []CountLimit{{Position: 0, Wood: 0, Low: at(2, "Counts!D2")}, {Position: 0, Wood: 1, Low: at(1, "Counts!D3")},
				{Position: 1, Wood: 0, Low: at(2, "Counts!D4")}, {Position: 1, Wood: 1, Low: at(1, "Counts!D5")}}
		}, []string{"strips of even at P1 reaches at most 0", "strips of even at P2 reaches at most 0"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := program()
			tt.limit(&p.Limits)
			r := mustFront(t, p, Options{})
			if r.Infeasible == nil {
				t.Fatalf("feasible: %d points", len(r.Points))
			}
			all := r.Infeasible.Relaxations
			if tt.name == "two clashes at once" {
				if len(all) > 0 {
					t.Fatalf("one relaxation cannot be enough: %+v", all)
				}
				all = r.Infeasible.Together
			}
			if len(all) != len(tt.want) {
				t.Fatalf("clash %q, relaxations %+v", r.Infeasible.Clash, all)
			}
			for i, x := range all {
				if !strings.Contains(x.Sentence, tt.want[i]) {
					t.Errorf("relaxation %d: %q, want %q in it", i+1, x.Sentence, tt.want[i])
				}
			}
		})
	}
}

// TestHole: a position without any wood is said to be so, with the reasons.
func TestHole(t *testing.T) {
	p := program()
	for i := range p.Candidates {
		p.Candidates[i].At[4].Allowed = false
	}
	p.LeftOut = []LeftOut{{Wood: "stiff", Position: "P5", Why: "no offer is thick enough"}}
	r := mustFront(t, p, Options{})
	if r.Infeasible == nil || len(r.Infeasible.Clash) != 1 || r.Infeasible.Clash[0] != "no wood may be used at P5 (stiff: no offer is thick enough)" {
		t.Errorf("%+v", r.Infeasible)
	}
}

// TestNoPrices: without prices there is no cost, and asking for it is an error of its own kind.
func TestNoPrices(t *testing.T) {
	p := program()
	p.Currency = ""
	if r := mustFront(t, p, Options{}); r.Points[0].HasCost {
		t.Error("a cost without prices")
	}
	var none *NoPricesError
	if _, err := Front(context.Background(), p, Options{Objectives: []Objective{Mass, EI, Cost}}); !errors.As(err, &none) {
		t.Errorf("%v", err)
	}
}
