package optimize

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

var agree = flag.Int("agree", 300, "how many random models to hold the methods against each other on")

// needsIntegerPrograms skips a test where the build has no GLPK.
func needsIntegerPrograms(t testing.TB) {
	t.Helper()
	if !mip.Available {
		t.Skip("needs integer programs: this build has no GLPK")
	}
}

var three = []Objective{Mass, EI, Cost}

// TestMethodsAgree holds enumeration, one sweep and stretches side by side (and, for three objectives, the search by local upper
// bounds) against each other on models beyond brute force.
func TestMethodsAgree(t *testing.T) {
	needsIntegerPrograms(t)
	if testing.Short() {
		*agree = min(*agree, 60)
	}
	points, empty := 0, 0
	for seed := range *agree {
		r := rand.New(rand.NewPCG(uint64(seed), 20260202))
		p, _ := randomProgram(r)
		p.Limits.FlexLow, p.Limits.FlexHigh, p.Limits.MaxUtilPct = Limit{}, Limit{}, Limit{} // the brute-force test has them
		ways := []Options{{Method: Enumeration}, {Method: IntegerProgram, stretches: 1}, {Method: IntegerProgram, stretches: 2 + r.IntN(4)}}
		if seed%8 == 0 {
			ways = []Options{{Method: Enumeration, Objectives: three}, {Method: IntegerProgram, Objectives: three}}
		}
		var want *FrontResult
		for _, o := range ways {
			got := mustFront(t, p, o)
			if want == nil {
				want = got
			}
			if !got.Complete || !slices.EqualFunc(vectors(got), vectors(want), slices.Equal[[]int64]) {
				t.Errorf("seed %d: by %s in %d stretches %v, by enumeration %v", seed, o.Method, o.stretches, vectors(got), vectors(want))
			}
			for _, pt := range got.Points {
				if c, err := Check(p, pt.Layout); err != nil || len(c.Broken) > 0 || c.Point.CoreMassG != pt.CoreMassG || c.Point.EINM2 != pt.EINM2 {
					t.Errorf("seed %d: by %s, point %d does not pass the check: %v %v", seed, o.Method, pt.ID, c, err)
				}
			}
		}
		points += len(want.Points)
		if len(want.Points) == 0 {
			empty++
		}
	}
	t.Logf("%d models, %d of them infeasible, %d points", *agree, empty, points)
	if empty == 0 || empty > *agree/2 || points < 2**agree {
		t.Errorf("%d of %d models infeasible, %d points: the models prove nothing", empty, *agree, points)
	}
}

// TestSameOnAnyMachine: the number of cores changes no byte of a front.
func TestSameOnAnyMachine(t *testing.T) {
	p := program()
	p.Limits.MaxWoods = at(2, "Limits!D2")
	for _, o := range []Options{{Method: Enumeration}, {Method: Enumeration, Objectives: three}, {Method: IntegerProgram, stretches: 5}} {
		if o.Method == IntegerProgram && !mip.Available {
			continue
		}
		var want *FrontResult
		for _, cores := range []int{1, 2, 2, 4} {
			old := runtime.GOMAXPROCS(cores)
			got := mustFront(t, p, o)
			runtime.GOMAXPROCS(old)
			if want == nil {
				want = got
			}
			if len(got.Points) < 20 || got.Solves != want.Solves || !reflect.DeepEqual(got.Points, want.Points) {
				t.Errorf("%s, %d objectives: %d points on %d cores differ from %d on one", o.Method, len(got.Objectives), len(got.Points), cores, len(want.Points))
			}
		}
	}
}

// TestEnumerationStopped: an enumeration that was stopped has proven nothing, and says so.
func TestEnumerationStopped(t *testing.T) {
	p := program()
	p.Limits.MaxWoods = at(2, "Limits!D2")
	for _, sets := range []int{0, 1, 3} {
		ctx, cancel := context.WithCancel(context.Background())
		if sets == 0 {
			cancel()
		}
		seen := 0
		r, err := Front(ctx, p, Options{Method: Enumeration, Progress: func(p Progress) {
			if seen++; seen == sets {
				cancel()
			}
			if p.Share <= 0 || p.Share > 1 || p.Sets == 0 {
				t.Errorf("progress %+v", p)
			}
		}})
		cancel()
		if err != nil {
			t.Fatal(err)
		}
		if r.Complete || r.Infeasible != nil || r.Why != "interrupted" || r.Unsearched == "" || len(r.Points) > 1 {
			t.Errorf("stopped after %d sets: %+v", sets, r)
		}
		if want := min(sets, 1); len(r.Points) != want || r.Unproven != (want == 1) {
			t.Errorf("stopped after %d sets: %d points, unproven %v", sets, len(r.Points), r.Unproven)
		}
		for _, pt := range r.Points {
			if c, err := Check(p, pt.Layout); err != nil || len(c.Broken) > 0 {
				t.Errorf("stopped after %d sets: the layout does not keep the limits: %v %v", sets, c, err)
			}
		}
	}
}

// TestStretchesStopped: whatever stretches have found when they are stopped is part of the complete front, and the gaps say where it
// is not all of it.
func TestStretchesStopped(t *testing.T) {
	needsIntegerPrograms(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1)) // failing counts for one
	p := program()
	all := mustFront(t, p, Options{})
	whole := vectors(all)
	last := all.Points[len(all.Points)-1].EINM2
	solves := mustFront(t, p, Options{stretches: 4, Method: IntegerProgram}).Solves
	for k := 0; k < solves; k += 3 {
		ctx, cancel := context.WithCancel(context.Background())
		share := 0.0
		r, err := Front(ctx, p, Options{stretches: 4, solver: failing{after: k, n: new(int), stop: cancel}, Progress: func(p Progress) {
			if p.Share < share || p.Share > 1 {
				t.Errorf("the share done went from %v to %v", share, p.Share)
			}
			share = p.Share
		}})
		cancel()
		if err != nil {
			t.Fatalf("after %d solves: %v", k, err)
		}
		if r.Complete || r.Why != "interrupted" || r.Unsearched == "" {
			t.Fatalf("after %d solves: complete %v, why %q, %q", k, r.Complete, r.Why, r.Unsearched)
		}
		if r.Unproven {
			if len(r.Points) != 1 || k > 8 {
				t.Errorf("after %d solves: %d points, not proven", k, len(r.Points))
			}
			continue
		}
		found := vectors(r)
		for i, v := range found {
			if !slices.ContainsFunc(whole, func(w []int64) bool { return slices.Equal(v, w) }) {
				t.Errorf("after %d solves: %v is not on the complete front", k, v)
			}
			if i > 0 && v[0] <= found[i-1][0] {
				t.Errorf("after %d solves: point %d does not come after the one before it", k, i+1)
			}
		}
		// What is missing lies in a gap.
		var gaps [][2]float64
		for _, words := range strings.Split(strings.TrimSuffix(strings.TrimPrefix(r.Unsearched, "EI "), " was not searched"), ", ") {
			g := [2]float64{0, last}
			if n, _ := fmt.Sscanf(words, "from %f to %f N·m²", &g[0], &g[1]); n == 0 {
				if _, err := fmt.Sscanf(words, "below %f N·m²", &g[1]); err != nil && r.Unsearched != "nothing of the front has been searched" {
					t.Fatalf("after %d solves: %q", k, r.Unsearched)
				}
			}
			gaps = append(gaps, g)
		}
		for i, v := range whole {
			if slices.ContainsFunc(found, func(w []int64) bool { return slices.Equal(v, w) }) {
				continue
			}
			ei := all.Points[i].EINM2
			if !slices.ContainsFunc(gaps, func(g [2]float64) bool { return ei >= g[0]-1e-9 && ei <= g[1]+1e-9 }) {
				t.Errorf("after %d solves: the point at %.2f N·m² is missing, but not said to be: %q", k, ei, r.Unsearched)
			}
		}
	}
}

// TestStretchesFail: a fault of the engine in one stretch is a fault of the search.
func TestStretchesFail(t *testing.T) {
	for _, k := range []int{0, 1, 2, 9} {
		if k > 0 && !mip.Available {
			continue
		}
		var n atomic.Int64
		_, err := Front(context.Background(), program(), Options{stretches: 4, solver: breaking{&n, int64(k)}})
		if !errors.Is(err, errBroken) {
			t.Errorf("a solver at fault after %d solves gave %v", k, err)
		}
	}
}

// breaking fails after k solves, whichever goroutine asks.
type breaking struct {
	n     *atomic.Int64
	after int64
}

func (b breaking) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	if b.n.Add(1) > b.after {
		return mip.Result{}, errBroken
	}
	return mip.Solve(ctx, m, o)
}

// TestTooManyPoints: an enumeration that would hold too much gives way to integer programs, or says so.
func TestTooManyPoints(t *testing.T) {
	p := program()
	whole := mustFront(t, p, Options{Method: Enumeration})
	if _, err := Front(context.Background(), p, Options{Method: Enumeration, most: 5}); !errors.Is(err, ErrTooManyPoints) {
		t.Errorf("%d points where 5 may be held: %v", len(whole.Points), err)
	}
	if !mip.Available {
		return
	}
	got := mustFront(t, p, Options{most: 5})
	if got.Method != IntegerProgram || !slices.EqualFunc(vectors(got), vectors(whole), slices.Equal[[]int64]) {
		t.Errorf("by %s: %d points, want %d", got.Method, len(got.Points), len(whole.Points))
	}
}

// crowded is a core of so many equal strips and woods that their combinations cannot be listed, unless few woods are used.
func crowded(strips int) *Program {
	p := program()
	b := p.Board
	b.Woods = nil
	b.Positions = []core.Position{{Name: "P1", Strips: strips, StripWidthMM: 140 / float64(strips)}}
	p.Candidates, p.Limits.Positions = nil, nil
	for i := range 12 {
		w := board().Woods[i%3]
		w.ID = fmt.Sprintf("wood-%d", i)
		w.CommonName = w.ID
		w.DensityKgM3.Value += 7 * float64(i*i)
		b.Woods = append(b.Woods, w)
		p.Candidates = append(p.Candidates, Candidate{Wood: i, At: []Use{program().Candidates[i%3].At[0]}})
	}
	return p
}

// TestChoice: the method follows from how many options there are, and what cannot be searched is said to be so.
func TestChoice(t *testing.T) {
	e := func(p *Program) *enumeration {
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		var objs []objectiveForm
		for _, o := range []Objective{Mass, EI} {
			of, err := f.objective(o)
			if err != nil {
				t.Fatal(err)
			}
			objs = append(objs, of)
		}
		return f.newEnumeration(everyLimit, objs, nil)
	}
	if n, held := e(program()).options(); n != 36*3*3 || held <= 0 || held > 1 {
		t.Errorf("7 strips alike in all but mass and 2 cut by the outline, 3 woods: %v options, %v MB", n, held)
	}
	p := program()
	p.Limits.MaxWoods = at(1, "")
	if n, _ := e(p).options(); n != 3 {
		t.Errorf("one wood of three: %v options", n)
	}
	large := crowded(60)
	if n, _ := e(large).options(); !math.IsInf(n, 1) {
		t.Errorf("60 strips of 12 woods: %v options", n)
	}
	var no *NeedsSolverError
	if _, err := Front(context.Background(), large, Options{Method: Enumeration}); !errors.As(err, &no) || !no.TooMany || !errors.Is(err, mip.ErrNoSolver) {
		t.Errorf("60 strips of 12 woods by enumeration: %v", err)
	}
	large.Limits.MaxWoods = at(2, "")
	if r := mustFront(t, large, Options{Method: Enumeration}); r.Method != Enumeration || len(r.Points) == 0 {
		t.Errorf("60 strips of at most 2 of 12 woods: %d points by %s", len(r.Points), r.Method)
	}
	if mip.Available {
		if got := mustFront(t, program(), Options{}).Method; got != Enumeration {
			t.Errorf("a small core is searched by %s", got)
		}
		if got := mustFront(t, crowded(20), Options{}).Method; got != IntegerProgram {
			t.Errorf("20 strips of 12 woods are searched by %s", got)
		}
		return
	}
	if _, err := Front(context.Background(), program(), Options{Method: IntegerProgram}); !errors.As(err, &no) || no.TooMany {
		t.Errorf("integer programs without GLPK: %v", err)
	}
	if _, err := Front(context.Background(), crowded(60), Options{}); !errors.As(err, &no) || !strings.Contains(err.Error(), "MPS") || !strings.Contains(err.Error(), "full build") {
		t.Errorf("60 strips of 12 woods without GLPK: %v", err)
	}
}

// thin is a core of equal strips of two woods.
func thin(strips int) *Program {
	p := crowded(strips)
	p.Candidates = p.Candidates[:2]
	for i := range p.Board.Stations {
		p.Board.Stations[i].WidthMM = 280 // nothing is cut: one class
	}
	return p
}

// TestThinStrips: as many strips in a class as a byte counts are enumerated rightly, and more are not.
func TestThinStrips(t *testing.T) {
	const most = 255
	r := mustFront(t, thin(most), Options{Method: Enumeration})
	if len(r.Points) != most+1 || !r.Complete {
		t.Fatalf("%d points of %d strips of two woods, complete %v", len(r.Points), most, r.Complete)
	}
	for i, pt := range r.Points {
		dense := 0
		for _, w := range pt.Layout {
			dense += w
		}
		if dense != i {
			t.Fatalf("point %d has %d strips of the denser wood", i+1, dense)
		}
	}
	var no *NeedsSolverError
	if _, err := Front(context.Background(), thin(most+1), Options{Method: Enumeration}); !errors.As(err, &no) || !no.TooMany {
		t.Errorf("%d strips: %v", most+1, err)
	}
}

// TestUndecided: a build without integer programs says of which limits it does not know whether relaxing them helps, and names a clash that
// is one.
func TestUndecided(t *testing.T) {
	p := crowded(60)
	p.Limits.MaxWoods = at(2, "Limits!D2")
	for w := range 3 {
		p.Limits.Counts = append(p.Limits.Counts, CountLimit{Position: 0, Wood: w, Low: at(1, fmt.Sprintf("Counts!D%d", w+2))})
	}
	r := mustFront(t, p, Options{})
	if r.Infeasible == nil || !r.Complete {
		t.Fatalf("feasible: %v", vectors(r))
	}
	const woods = "at most 2 woods (Limits!D2)"
	if !slices.Contains(r.Infeasible.Clash, woods) || len(r.Infeasible.Clash) != 4 {
		t.Errorf("clash %q", r.Infeasible.Clash)
	}
	helps := slices.ContainsFunc(r.Infeasible.Relaxations, func(x Relaxation) bool { return x.Where == "Limits!D2" && x.To == "3 woods" })
	undecided := slices.Contains(r.Infeasible.Undecided, woods)
	if !helps && !undecided || undecided && mip.Available {
		t.Errorf("relaxations %+v, undecided %q", r.Infeasible.Relaxations, r.Infeasible.Undecided)
	}
}

// TestUnreachedRide: where no layout keeps a limit that is decided layout by layout, the clash is named, and what helps, although integer programs
// cannot tell and one objective has too many layouts to be enumerated for as a rule.
func TestUnreachedRide(t *testing.T) {
	if !mip.Available {
		t.Skip("without integer programs everything is enumerated")
	}
	p := crowded(8)
	p.Board.SpanMM = 900
	f, err := newForm(p)
	if err != nil {
		t.Fatal(err)
	}
	o, err := f.objective(Mass)
	if err != nil {
		t.Fatal(err)
	}
	least, ok, err := f.best(context.Background(), Options{}, everyLimit, o)
	if !ok || err != nil {
		t.Fatal(ok, err)
	}
	most := at(math.Ceil(100*float64(least)*f.massUnit)/100+0.5, "Limits!D2")
	for _, tt := range []struct {
		name  string
		where string
		set   func(*Limits, float64)
		asked float64
		step  float64
	}{
		{"flex at most", "Limits!K2", func(l *Limits, v float64) { l.FlexHigh = at(v, "Limits!K2") }, 0.5, 0.01},
		{"utilisation", "Limits!L2", func(l *Limits, v float64) { l.MaxUtilPct, l.DesignLoadN, l.SafetyFactor = at(v, "Limits!L2"), 600, 2 }, 5, 0.01},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := *p
			q.Limits.MaxCoreMassG = most
			tt.set(&q.Limits, tt.asked)
			r := mustFront(t, &q, Options{})
			in := r.Infeasible
			if in == nil || !r.Complete {
				t.Fatalf("feasible: %v", vectors(r))
			}
			if n := len(in.Clash); n == 0 || !strings.Contains(in.Clash[n-1], tt.where) {
				t.Errorf("clash %q", in.Clash)
			}
			i := slices.IndexFunc(in.Relaxations, func(x Relaxation) bool { return x.Where == tt.where })
			if i < 0 {
				t.Fatalf("relaxations %+v, undecided %q", in.Relaxations, in.Undecided)
			}
			// What is said to help does, and a step less does not.
			for _, by := range []float64{0, -tt.step} {
				tt.set(&q.Limits, in.Relaxations[i].level+by)
				if got := mustFront(t, &q, Options{}); (got.Infeasible == nil) != (by == 0) {
					t.Errorf("at %v: %d points", in.Relaxations[i].level+by, len(got.Points))
				}
			}
		})
	}
}

// TestChord: the chord of a limit on greatest flex cuts off no layout that keeps it, and does cut off some that do not.
func TestChord(t *testing.T) {
	kept, cut := 0, 0
	for seed := range 60 {
		r := rand.New(rand.NewPCG(uint64(seed), 4711))
		p, _ := randomProgram(r)
		p.Limits = Limits{}
		p.Limits.FlexHigh = at(100, "Limits!K2")
		if p.Board.SpanMM == 0 || countLayouts(p) > 3000 {
			continue
		}
		f, err := newForm(p)
		if err != nil {
			t.Fatal(err)
		}
		var all [][]int64
		low, high := math.Inf(1), 0.0
		layouts(p, func(l core.Layout) {
			if n, err := f.counts(l); err == nil {
				all = append(all, n)
				low, high = min(low, f.ride.newtons(n)), max(high, f.ride.newtons(n))
			}
		})
		for _, l := range f.limits {
			if l.kind != flexHigh {
				continue
			}
			l.asked = low + (high-low)*r.Float64()
			chord := f.ride.chord(l)
			for _, n := range all {
				keeps, inside := f.keeps(l, n, nil), dot(chord.coef, n) <= chord.high
				if keeps && !inside {
					t.Errorf("seed %d: a layout of %v N/mm is cut off, at most %v are asked", seed, f.ride.newtons(n), l.asked)
				}
				if keeps {
					kept++
				} else if !inside {
					cut++
				}
			}
		}
	}
	t.Logf("%d layouts kept, %d cut off", kept, cut)
	if kept < 500 || cut < 500 {
		t.Errorf("%d layouts kept, %d cut off: too few to prove anything", kept, cut)
	}
}

// TestLeastInClass: inside a class, every option has the least mass of all ways to spread its woods over the units, and the units
// get them so, whether greedy is exact or not.
func TestLeastInClass(t *testing.T) {
	monge := 0
	for seed := range 300 {
		r := rand.New(rand.NewPCG(uint64(seed), 5))
		units, woods := 1+r.IntN(5), 1+r.IntN(3)
		c := enumClass{perSide: 1}
		mass := make([][]int64, units)
		for u := range units {
			c.units = append(c.units, u)
			for k := range woods {
				// Volume times density, and noise in every other class.
				m := int64((units - u + 1) * (k + 2) * 10)
				if seed%2 == 0 {
					m += int64(r.IntN(60))
				}
				mass[u] = append(mass[u], m)
			}
		}
		var all []int
		for k := range woods {
			c.density = append(c.density, k)
			c.coef = append(c.coef, []int64{int64(k)})
			prefix := []int64{0}
			for u := range units {
				prefix = append(prefix, prefix[u]+mass[u][k])
			}
			c.prefix = append(c.prefix, prefix)
			all = append(all, k)
		}
		c.monge = c.isMonge()
		if c.monge {
			monge++
		}
		least := map[string]int64{}
		var spread func(u int, counts []byte, m int64)
		spread = func(u int, counts []byte, m int64) {
			if u == units {
				if old, ok := least[string(counts)]; !ok || m < old {
					least[string(counts)] = m
				}
				return
			}
			for k := range woods {
				counts[k]++
				spread(u+1, counts, m+mass[u][k])
				counts[k]--
			}
		}
		spread(0, make([]byte, woods), 0)
		options := c.list(all, 1, &page{})
		if len(options) != len(least) {
			t.Fatalf("seed %d: %d options, want %d", seed, len(options), len(least))
		}
		for _, o := range options {
			if want := least[string(o.counts)]; o.mass != want {
				t.Errorf("seed %d, greedy exact %v: %v weighs %d, want %d", seed, c.monge, o.counts, o.mass, want)
			}
			var m int64
			have := make([]byte, woods)
			for u, k := range c.spread(all, o) {
				m += mass[u][k]
				have[k]++
			}
			if m != o.mass || !slices.Equal(have, o.counts) {
				t.Errorf("seed %d, greedy exact %v: %v spread as %v, which weighs %d, not %d", seed, c.monge, o.counts, have, m, o.mass)
			}
		}
	}
	if monge < 100 || monge > 250 {
		t.Errorf("greedy is exact in %d of 300 classes: one of the two ways is not tried", monge)
	}
}

// TestArchive holds the archive against a plain filter: what it keeps is what nothing dominates, the first in order of each vector, and
// what its table calls dominated is.
func TestArchive(t *testing.T) {
	f, err := newForm(program())
	if err != nil {
		t.Fatal(err)
	}
	for k := 1; k <= 3; k++ {
		var objs []objectiveForm
		for _, o := range three[:k] {
			of, err := f.objective(o)
			if err != nil {
				t.Fatal(err)
			}
			objs = append(objs, of)
		}
		e := f.newEnumeration(everyLimit, objs, nil)
		r := rand.New(rand.NewPCG(uint64(k), 11))
		a := e.newArchive(new(atomic.Bool))
		a.dirty = -100 // filter at odd moments
		var all []leaf
		caught, dominated := 0, 0
		for i := range 6000 {
			// A random layout, or one that only few strips tell from the one before.
			n := make([]int64, len(f.vars))
			for gi, g := range f.groups {
				for range g.Strips {
					n[f.at[gi][r.IntN(3)]]++
				}
			}
			l := leaf{set: i % 7, choice: []int32{int32(i)}}
			for _, o := range objs {
				v := o.sign*dot(o.coef, n) + o.offset
				l.fine = append(l.fine, v)
				l.steps = append(l.steps, o.step(v))
			}
			worse := slices.ContainsFunc(all, func(o leaf) bool { return within(o.steps, l.steps) && !slices.Equal(o.steps, l.steps) })
			if worse {
				dominated++
			}
			if a.dominated(l.fine) {
				caught++
				if !worse && k > 1 || k == 1 && !worse && !slices.ContainsFunc(all, func(o leaf) bool { return o.steps[0] == l.steps[0] }) {
					t.Fatalf("%d objectives: %v is not dominated", k, l.steps)
				}
				continue
			}
			a.add(l.fine, l.set, l.choice, 0)
			all = append(all, l)
		}
		if dominated < 1000 || caught < dominated*3/4 {
			t.Errorf("%d objectives: the table catches %d of %d dominated vectors", k, caught, dominated)
		}
		var want []leaf
		for i := range all {
			l := &all[i]
			if !slices.ContainsFunc(all, func(o leaf) bool {
				return within(o.steps, l.steps) && (!slices.Equal(o.steps, l.steps) || o.order(l) < 0)
			}) {
				want = append(want, *l)
			}
		}
		slices.SortFunc(want, func(x, y leaf) int { return x.order(&y) })
		if got := a.sorted(); !reflect.DeepEqual(got, want) {
			t.Errorf("%d objectives: %d kept, want %d", k, len(got), len(want))
		}
	}
}
