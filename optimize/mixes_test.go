package optimize

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
	"stavewright/sourcing"
	"stavewright/species"
)

// shareAlone is the fast-grown volume of a layout and of the core, in 0.001 cm³, strip by strip from the board: no form of the program.
func shareAlone(p *Program, l core.Layout) (fast, all int64) {
	b := p.Board
	grown := func(w int) bool {
		return b.Woods[w].RotationHighYears.Known() && b.Woods[w].RotationHighYears.Value <= p.Limits.FastUpToYears
	}
	for _, g := range b.Groups() {
		v := int64(math.Round(b.StripOwnVolumeCM3(g) * 1000))
		for _, s := range g.Strips {
			all += v
			if grown(l[s]) {
				fast += v
			}
		}
	}
	for w := range b.Woods {
		v := int64(math.Round(b.PadVolumeCM3(w) * 1000))
		all += v
		if grown(w) {
			fast += v
		}
	}
	return fast, all
}

// search is a front by one method, as vectors; every point is found again by its counts.
func (f *form) search(t *testing.T, m Method, objectives []Objective) (v [][]int64) {
	t.Helper()
	how, err := f.method(Options{Method: m}, objectives)
	if err != nil {
		t.Fatal(err)
	}
	got, err := how.front(context.Background(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if !got.complete {
		t.Fatal("not complete")
	}
	for _, s := range got.points {
		if want := f.objectiveSteps(t, s.n, objectives); !slices.Equal(s.values, want) {
			t.Errorf("by %s: a point of %v, but its layout has %v", m, s.values, want)
		}
		if broken := f.breaks(s.n, f.newScatter()); len(broken) > 0 {
			t.Errorf("by %s: a point breaks %s", m, broken[0].name)
		}
		v = append(v, s.values)
	}
	return v
}

// TestMixesAgainstBruteForce: three-way fronts with the share among the objectives equal those of every layout tried, on random small
// models. Which layouts keep the limits is decided by the program's integers, which TestFrontAgainstBruteForce holds to the mechanics; the
// share is reckoned anew, strip by strip.
func TestMixesAgainstBruteForce(t *testing.T) {
	feasible, points := 0, 0
	models := 100
	for seed := range models {
		r := rand.New(rand.NewPCG(uint64(seed), 20260707))
		p, _ := randomProgram(r)
		for countLayouts(p) > 1500 {
			p, _ = randomProgram(r)
		}
		p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{} // an integer program may refuse them
		p.Resolution.SharePct = []float64{0.01, 0.1, 1}[seed%3]
		objectives := [][]Objective{{Mass, EI, Share}, {Mass, Share}, {Mass, Cost, Share}}[max(0, seed%5-2)]
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		sf := f.newScatter()
		var all []solution
		layouts(p, func(l core.Layout) {
			n, err := f.counts(l)
			if err != nil || len(f.breaks(n, sf)) > 0 {
				return
			}
			v := f.objectiveSteps(t, n, objectives)
			fast, whole := shareAlone(p, l)
			v[len(v)-1] = -int64(math.Floor(float64(fast) * math.Round(100/p.Resolution.SharePct) / float64(whole)))
			all = append(all, solution{values: v})
		})
		var want [][]int64
		for _, s := range nondominated(all) {
			want = append(want, s.values)
		}
		for _, m := range []Method{Enumeration, IntegerProgram} {
			if m == IntegerProgram && (!mip.Available || seed%4 != 0 && !*long) {
				continue
			}
			if have := f.search(t, m, objectives); !slices.EqualFunc(have, want, slices.Equal[[]int64]) {
				t.Errorf("seed %d: front of %v by %s %v, brute force over %d layouts %v", seed, objectives, m, have, len(all), want)
			}
		}
		if len(all) > 0 {
			feasible++
		}
		points += len(want)
	}
	t.Logf("%d models, %d feasible, %d points", models, feasible, points)
	if feasible < models/2 || points < 3*models {
		t.Errorf("%d of %d models feasible, %d points: too tame to prove anything", feasible, models, points)
	}
}

// cutBoard is a core of single strips that the outline cuts, one after another, only beyond the measuring station: one class of strips with
// unlike volumes. Fast-grown woods are the lightest and the heaviest, so that share and mass are at odds inside the class.
func cutBoard(strips int) *Program {
	b := &core.Board{Name: "cut", Section: core.Bare, MeasureAtMM: 800, SpanMM: 700}
	for i := range strips {
		b.Positions = append(b.Positions, core.Position{Name: fmt.Sprintf("P%d", i), Strips: 1, StripWidthMM: 10})
	}
	wide := float64(20 * strips)
	b.Stations = []core.Station{{FromTipMM: 0, WidthMM: wide / 4, ThicknessMM: 2}, {FromTipMM: 350, WidthMM: wide, ThicknessMM: 6},
		{FromTipMM: 1250, WidthMM: wide, ThicknessMM: 6}, {FromTipMM: 1600, WidthMM: wide / 3, ThicknessMM: 2}}
	p := &Program{Model: "cut", Board: b}
	p.Limits.FastUpToYears = 10
	for i, w := range []struct{ rho, e, years float64 }{{250, 4, 8}, {400, 8, 60}, {430, 9, 70}, {660, 11, 5}} {
		b.Woods = append(b.Woods, species.Wood{ID: fmt.Sprintf("w%d", i), CommonName: fmt.Sprintf("W%d", i), DensityKgM3: own(w.rho), ModulusGPa: own(w.e),
			SpecificGravity: own(w.rho / 1120), RotationHighYears: own(w.years), ModulusCVPct: own(20)})
		c := Candidate{Wood: i, FastGrown: w.years <= 10}
		for range b.Positions {
			c.At = append(c.At, Use{Allowed: true})
		}
		p.Candidates = append(p.Candidates, c)
	}
	return p
}

// TestShareInsideAClass: where strips of one class differ in volume, the assignments that trade mass for share are all found: by listing
// them in the last class and in others, as by trying every layout. The test has such assignments, or it would prove nothing.
func TestShareInsideAClass(t *testing.T) {
	for _, tt := range []struct {
		strips int
		limit  func(p *Program)
	}{
		{5, func(*Program) {}},
		{6, func(p *Program) { p.Limits.MaxWoods = at(3, "Limits!A2") }},
		{6, func(p *Program) { p.Limits.MaxWoods, p.Limits.MinStrips = at(3, "Limits!A2"), at(2, "Limits!B2") }},
		{6, func(p *Program) { p.Limits.MinFastPct = at(50, "Limits!A2") }},
		{6, func(p *Program) { p.Limits.MaxCoreMassG = at(750, "Limits!A2") }},
		{6, func(p *Program) { // two classes: a strip may not be of the first wood
			p.Candidates[0].At[0].Allowed, p.Candidates[0].At[1].Allowed, p.Candidates[0].At[2].Allowed = false, false, false
		}},
	} {
		p := cutBoard(tt.strips)
		tt.limit(p)
		p.Resolution.SharePct = 0.01
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		objs := make([]objectiveForm, 0, 3)
		for _, o := range []Objective{Mass, EI, Share} {
			q, err := f.objective(o)
			if err != nil {
				t.Fatal(err)
			}
			objs = append(objs, q)
		}
		e := f.newEnumeration(everyLimit, objs, nil)
		loose := 0
		for i := range e.classes {
			c := &e.classes[i]
			for _, o := range c.list([]int{0, 1, 2, 3}, e.forms, &page{}) {
				if o.loose {
					loose += len(c.splits([]int{0, 1, 2, 3}, o.counts)) - 1
				}
			}
		}
		if len(e.classes) > 2 || loose == 0 {
			t.Fatalf("%d classes, %d assignments at odds: nothing to test", len(e.classes), loose)
		}
		for _, objectives := range [][]Objective{{Mass, EI, Share}, {Mass, Share}, {Share, Mass}} {
			var all []solution
			layouts(p, func(l core.Layout) {
				n, err := f.counts(l)
				if err == nil && len(f.breaks(n, nil)) == 0 {
					all = append(all, solution{values: f.objectiveSteps(t, n, objectives)})
				}
			})
			var want [][]int64
			for _, s := range nondominated(all) {
				want = append(want, s.values)
			}
			if have := f.search(t, Enumeration, objectives); !slices.EqualFunc(have, want, slices.Equal[[]int64]) {
				t.Errorf("%d strips, %v: %v, brute force over %d layouts %v", tt.strips, objectives, have, len(all), want)
			}
		}
	}
}

// TestManySplits: a class of so many unlike strips that its assignments cannot be listed is taken apart, and gives the same front.
func TestManySplits(t *testing.T) {
	p := cutBoard(20)
	p.Candidates = p.Candidates[1:] // a slow light wood, a slow one, a fast heavy one
	p.Limits.MaxWoods = at(2, "Limits!A2")
	p.Resolution.SharePct = 1
	f, err := newForm(p)
	if err != nil {
		t.Fatal(err)
	}
	mass, _ := f.objective(Mass)
	share, _ := f.objective(Share)
	e := f.newEnumeration(everyLimit, []objectiveForm{mass, share}, nil)
	units := 0
	for i := range e.classes {
		units += len(e.classes[i].units)
	}
	if len(e.classes) < 2 || units != 20 {
		t.Fatalf("%d classes of %d strips", len(e.classes), units)
	}
	got := f.search(t, Enumeration, []Objective{Mass, Share})
	// The lightest is the light slow wood alone; each further percent of share costs the difference in density times the volume, and no
	// more than a strip's worth above it.
	if len(got) < 50 {
		t.Fatalf("%d points", len(got))
	}
	perPct := (660.0 - 400) / 400 * float64(got[0][0]) / 100
	for _, v := range got {
		over := float64(v[0]-got[0][0]) + perPct*float64(v[1])
		if over < -perPct || over > 2*perPct {
			t.Errorf("at %d %%: %d above the lightest, %.0f a percent", -v[1], v[0]-got[0][0], perPct)
		}
	}
}

// TestMixesSteps: the steps at equal flex on an invented core, and what must hold of them.
func TestMixesSteps(t *testing.T) {
	p := program()
	p.Candidates[0].FastGrown, p.Candidates[2].FastGrown = false, true // "stiff" is the fast-grown one, of 34 years
	p.Limits.FastUpToYears = 34
	p.Board.Woods[0].RotationHighYears, p.Board.Woods[1].RotationHighYears = own(60), own(80)
	p.Reference = core.Layout{2, 1, 1, 1, 1, 0, 1, 1, 2}
	o := MixesOptions{WithinPct: 3, Factors: []float64{0.97, 1, 1.03}}
	r, err := Mixes(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Proven || len(r.Breaks) < 4 || len(r.Grid) != 11 || len(r.Front.Points) < 10 {
		t.Fatalf("proven %t, %d steps, %d rows, %d points", r.Proven, len(r.Breaks), len(r.Grid), len(r.Front.Points))
	}
	match, err := Match(context.Background(), p, MatchOptions{WithinPct: 3, Factors: o.Factors, NoSwaps: true})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := r.Breaks[0].Point.CoreMassG, match.Best.CoreMassG; got != want {
		t.Errorf("the lightest step weighs %v g, the match %v g", got, want)
	}
	moved := 0
	for i, b := range r.Breaks {
		if pct, err := LeastShare(p, &b.Point); err != nil || pct != b.SharePct || pct > b.Point.FastGrownPct+1e-3 || pct < b.Point.FastGrownPct-0.011 {
			t.Errorf("step %d: share %v, by its layout %v (%v), by the mechanics %v", i, b.SharePct, pct, err, b.Point.FastGrownPct)
		}
		if i == 0 {
			continue
		}
		moved += len(r.Breaks[i-1].Gone)
		if b.SharePct <= r.Breaks[i-1].SharePct || b.Point.CoreMassG <= r.Breaks[i-1].Point.CoreMassG {
			t.Errorf("step %d does not trade mass for share", i)
		}
		if i > 12 && i < len(r.Breaks)-3 {
			continue
		}
		if before := r.Breaks[i-1]; b.SharePct <= before.SharePct || b.Point.CoreMassG <= before.Point.CoreMassG || (len(before.Gone) == 0) != (len(before.Come) == 0) {
			t.Errorf("step %d: %v %% and %v g after %v %% and %v g, gone %v, come %v", i, b.SharePct, b.Point.CoreMassG, before.SharePct, before.Point.CoreMassG, before.Gone, before.Come)
		}
		// Just above the step before it nothing is lighter, by a match under that limit.
		q := *p
		q.Limits.MinFastPct = at(r.Breaks[i-1].SharePct+0.01, "Limits!F2")
		m, err := Match(context.Background(), &q, MatchOptions{WithinPct: 3, Factors: o.Factors, NoSwaps: true})
		if err != nil {
			t.Fatal(err)
		}
		if m.Best == nil || m.Best.CoreMassG != b.Point.CoreMassG {
			t.Errorf("step %d: %v g, a match with so much share %+v", i, b.Point.CoreMassG, m.Best)
		}
	}
	if moved == 0 {
		t.Error("no step changes a wood")
	}
	last := r.Breaks[len(r.Breaks)-1]
	q := *p
	q.Limits.MinFastPct = at(last.SharePct+0.01, "Limits!F2")
	if m, err := Match(context.Background(), &q, MatchOptions{WithinPct: 3, Factors: o.Factors, NoSwaps: true}); err != nil || m.Best != nil {
		t.Errorf("beyond the last step there is %+v (%v)", m.Best, err)
	}
	for _, g := range r.Grid {
		if (g.Break < 0) != (g.MinPct > last.SharePct) {
			t.Errorf("at %v %%: step %d", g.MinPct, g.Break)
		}
		if g.Break > 0 && (r.Breaks[g.Break].SharePct < g.MinPct || r.Breaks[g.Break-1].SharePct >= g.MinPct) {
			t.Errorf("at %v %%: step %d, of %v %%", g.MinPct, g.Break, r.Breaks[g.Break].SharePct)
		}
	}
	cheaper, err := Match(context.Background(), p, MatchOptions{Goal: Cheaper, WithinPct: 3, Factors: o.Factors, NoSwaps: true})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for i, a := range r.Alternatives {
		names = append(names, a.Name)
		if i > 0 && a.Point.FastGrownPct < r.Alternatives[i-1].Point.FastGrownPct {
			t.Errorf("%s has less than the one before it", a.Name)
		}
		want := map[string]*Point{"Lightest": &r.Breaks[0].Point, "Most fast-grown": &last.Point, "Cheapest": cheaper.Best}[a.Name]
		if want != nil && !slices.Equal(want.Layout, a.Point.Layout) {
			t.Errorf("%s is %v, want %v", a.Name, a.Point.Layout, want.Layout)
		}
	}
	if len(names) != 3 || !slices.Contains(names, "Lightest") || !slices.Contains(names, "Most fast-grown") {
		t.Errorf("alternatives %v", names)
	}
	// The front's share 0 is the plain front: what betters a layout there does so whatever the share.
	plain := mustFront(t, p, Options{})
	var flat [][]int64
	for _, v := range r.Front.Points {
		if s := steps(v, []Objective{Mass, EI}); !slices.ContainsFunc(r.Front.Points, func(o Point) bool {
			w := steps(o, []Objective{Mass, EI})
			return within(w, s) && !slices.Equal(w, s)
		}) {
			flat = append(flat, s)
		}
	}
	if flat = slices.CompactFunc(flat, slices.Equal[[]int64]); !slices.EqualFunc(flat, vectors(plain), slices.Equal[[]int64]) {
		t.Errorf("without the share the front is %v, the plain one %v", flat, vectors(plain))
	}
	// The greatest share: every strip in the fast-grown wood.
	if pct, _ := LeastShare(p, r.Greatest); pct != 100 {
		t.Errorf("the greatest share is %v %%", pct)
	}
	again, err := Mixes(context.Background(), p, o)
	if err != nil || !reflect.DeepEqual(again.Breaks, r.Breaks) || !reflect.DeepEqual(again.Front.Points, r.Front.Points) {
		t.Errorf("the same program gave another result (%v)", err)
	}
}

// TestMixesStopped: a search that was stopped says so.
func TestMixesStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := program()
	p.Reference = core.Layout{2, 1, 1, 1, 1, 0, 1, 1, 2}
	r, err := Mixes(ctx, p, MixesOptions{})
	if err != nil || r.Proven || r.StepsProven || r.Why != "interrupted" || r.Greatest != nil {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestMix: shares, rotation and wood a year by hand.
func TestMix(t *testing.T) {
	// A rectangle of 4 strips a side, 1000 mm long, 10 mm thick, strips of 25 mm: each pair of strips is 2 · 1000 · 25 · 10 mm³ = 500 cm³.
	b := &core.Board{Name: "hand", Section: core.Bare, MeasureAtMM: 500, SpanMM: 800,
		Positions: []core.Position{{Name: "P1", Strips: 4, StripWidthMM: 25}},
		Stations:  []core.Station{{FromTipMM: 0, WidthMM: 200, ThicknessMM: 10}, {FromTipMM: 1000, WidthMM: 200, ThicknessMM: 10}}}
	p := &Program{Model: "hand", Board: b, Currency: "EUR", MoisturePct: 12}
	p.Limits.FastUpToYears = 30
	for i, w := range []struct{ rho, low, high float64 }{{400, 12, 30}, {700, 80, 120}} {
		wood := species.Wood{ID: fmt.Sprintf("w%d", i), CommonName: fmt.Sprintf("W%d", i), DensityKgM3: own(w.rho), ModulusGPa: own(10),
			RotationLowYears: own(w.low), RotationHighYears: own(w.high)}
		b.Woods = append(b.Woods, wood)
		// A plank of 30 × 100 × 2000 mm is 6000 cm³. It gives 8 strips of the first wood and 5 of the second.
		price := &sourcing.StripPrice{Offer: &sourcing.Offer{Plank: sourcing.Plank{ThicknessMM: 30, WidthMM: 100, LengthMM: 2000},
			DistanceKM: decimal.NewFromInt([]int64{500, 100}[i]), HasDistance: true},
			StripsPerUnit: decimal.NewFromInt([]int64{8, 5}[i]), Cost: decimal.NewFromInt(1)}
		p.Candidates = append(p.Candidates, Candidate{Wood: i, FastGrown: i == 0, At: []Use{{Allowed: true, StripCost: decimal.NewFromInt(1), Price: price}}})
	}
	c, err := Check(p, core.Layout{0, 1, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	m := p.Mix(&c.Point)
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"volume, cm³: 4 pairs of 500", m.VolumeCM3, 2000},
		{"mass, g: 500 · 0.4 + 1500 · 0.7", m.MassG, 1250},
		{"share by volume, %: 500 of 2000", m.FastVolumePct, 25},
		{"share by mass, %: 200 g of 1250 g", m.FastMassPct, 16},
		{"lumber, cm³: 2 strips · 6000/8 + 6 strips · 6000/5 = 1500 + 7200", m.LumberCM3, 8700},
		{"share by lumber, %: 1500 of 8700", m.FastLumberPct, 100 * 1500.0 / 8700},
		{"mean rotation, shortest: (500 · 12 + 1500 · 80)/2000", m.RotationLow, 63},
		{"mean rotation, longest: (500 · 30 + 1500 · 120)/2000", m.RotationHigh, 97.5},
		// The lumber's mean rotation is (1500 · 30 + 7200 · 120)/8700 = 104.48 years at the longest, (1500 · 12 + 7200 · 80)/8700 = 68.28
		// at the shortest: 8700/104.48 and 8700/68.28 cm³ a year.
		{"wood a year, least: 8700²/909000", m.PerYearLow, 8700.0 * 8700 / 909000},
		{"wood a year, most: 8700²/594000", m.PerYearHigh, 8700.0 * 8700 / 594000},
		// 1500 cm³ of 400 kg/m³ are 0.6 kg, carried 500 km; 7200 cm³ of 700 kg/m³ are 5.04 kg, carried 100 km.
		{"lumber carried, t·km: 0.0006 · 500 + 0.00504 · 100", m.TonneKM, 0.804},
		{"of the first wood", m.Woods[0].TonneKM, 0.3},
		// 1250 g at 12 % are 1250/1.12 g of dry wood, half of it carbon, and 12 parts of carbon make 44 of CO2.
		{"stored carbon as CO2, kg: 44/12 · 0.5 · 1.250/1.12", m.StoredCO2Kg, 44.0 / 12 * 0.5 * 1.250 / 1.12},
		{"of the first wood, kg: 44/12 · 0.5 · 0.200/1.12", m.Woods[0].StoredCO2Kg, 44.0 / 12 * 0.5 * 0.200 / 1.12},
		{"strips of the first wood", float64(m.Woods[0].Strips), 2},
		{"share of the point", c.Point.FastGrownPct, 25},
	} {
		if math.Abs(tt.got-tt.want) > 1e-6*max(1, tt.want) {
			t.Errorf("%s: %v, want %v", tt.what, tt.got, tt.want)
		}
	}
	if !m.LumberKnown || !m.RotationKnown || m.UnknownPct != 0 || !m.Woods[0].Fast || m.Woods[1].Fast {
		t.Errorf("%+v", m)
	}
	first := p.Candidates[0].At[0].Price
	if !m.CarriedKnown || !m.Woods[0].Carried {
		t.Errorf("distances are given, and not known: %+v", m)
	}
	for name, change := range map[string]func(){"without a distance": func() { first.Offer.HasDistance = false }, "from the yard": func() { first.Offer.HasDistance, first.Stock = true, true }} {
		if change(); p.Mix(&c.Point).CarriedKnown || p.Mix(&c.Point).Woods[0].Carried || !p.Mix(&c.Point).Woods[1].Carried {
			t.Errorf("%s: %+v", name, p.Mix(&c.Point))
		}
		first.Offer.HasDistance, first.Stock = true, false
	}
	if !m.CarbonKnown || m.BambooPct != 0 {
		t.Errorf("carbon known %v, bamboo %v %%", m.CarbonKnown, m.BambooPct)
	}
	// Bamboo is no wood: its 200 g are not counted.
	b.Woods[0].Growth = species.Growth{Stand: species.Bamboo, Status: species.Read}
	if m := p.Mix(&c.Point); !m.CarbonKnown || math.Abs(m.StoredCO2Kg-44.0/12*0.5*1.050/1.12) > 1e-9 || m.BambooPct != 25 || m.Woods[0].StoredCO2Kg != 0 {
		t.Errorf("with bamboo: %+v", m)
	}
	p.MoisturePct = 0
	if m := p.Mix(&c.Point); m.CarbonKnown || m.StoredCO2Kg != 0 {
		t.Errorf("without a moisture: %+v", m)
	}
	// A wood of unknown rotation: no mean, and its part is said. Without a price the lumber is not known.
	b.Woods[1].RotationHighYears = species.Figure{}
	p.Candidates[1].At[0].Price = nil
	if m := p.Mix(&c.Point); m.RotationKnown || math.Abs(m.UnknownPct-75) > 1e-9 || m.LumberKnown || m.FastLumberPct != 0 {
		t.Errorf("with a wood of unknown rotation and price: %+v", m)
	}
}

// TestLostLayout: GLPK (5.0) calls a program empty that bounds mass, cost and share at once and has a layout. The search asks again with the
// presolver, and both methods agree.
func TestLostLayout(t *testing.T) {
	needsIntegerPrograms(t)
	p, _ := randomProgram(rand.New(rand.NewPCG(160, 20260202)))
	p.Limits.FlexLow, p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{}, Limit{}
	p.Resolution.SharePct = 0.01
	f, err := newForm(p)
	if err != nil {
		t.Fatal(err)
	}
	objectives := []Objective{Mass, Cost, Share}
	want := f.search(t, Enumeration, objectives)
	if have := f.search(t, IntegerProgram, objectives); len(want) != 15 || !slices.EqualFunc(have, want, slices.Equal[[]int64]) {
		t.Errorf("by integer programs %v, by enumeration %d points %v", have, len(want), want)
	}
}
