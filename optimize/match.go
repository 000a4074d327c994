package optimize

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"stavewright/optimize/mip"
)

// defaultWithinPct is how far EI may be from the reference's where nothing is said: less than a rider would notice (common
// practice, no source).
const defaultWithinPct = 2

// A NoReferenceError says that a match has nothing to match.
type NoReferenceError struct{ Model string }

func (e *NoReferenceError) Error() string {
	return fmt.Sprintf("model %q has no reference layout to match; fill its rows in the sheet Reference", e.Model)
}

// Match finds the layout that rides like the reference and is lighter (or stiffer at equal mass, or cheaper): EI inside a
// window around the reference's at every target station, every limit of the program kept, over all profile factors asked for. Then
// the profile is trimmed to the reference's EI station by station. The layout is proven best over those factors; trimming
// changes its mass a little afterwards, and is not searched over. With a [SolverError] comes what was found before the fault.
func Match(ctx context.Context, p *Program, o MatchOptions) (*MatchResult, error) {
	if p.Reference == nil {
		return nil, &NoReferenceError{p.Model}
	}
	o.Goal = cmp.Or(o.Goal, Lighter)
	o.WithinPct = cmp.Or(o.WithinPct, defaultWithinPct)
	if !(o.WithinPct > 0 && o.WithinPct <= 100) {
		return nil, fmt.Errorf("EI within %v %% of the reference's: the figure must be above 0 and at most 100", o.WithinPct)
	}
	if len(o.Factors) == 0 {
		o.Factors = []float64{1}
	}
	m := &matcher{p: p, o: o, r: &MatchResult{Program: p, Options: o, Proven: true}}
	if err := m.reference(); err != nil {
		return nil, err
	}
	m.windows()
	err := m.search(ctx)
	if err != nil && !failed(err) {
		return nil, err
	}
	r := m.r
	if r.Best == nil {
		if r.Proven {
			f, err := newForm(m.program(nearestToOne(o.Factors)))
			if err != nil {
				return nil, err
			}
			r.Program = f.told()
			if r.Infeasible = f.hole(); r.Infeasible == nil {
				// Without a reason, that there is no layout still stands.
				if r.Infeasible, err = f.explain(ctx, m.how()); err != nil {
					return r, err
				}
			}
		}
		return r, err
	}
	if o.Goal != Stiffer {
		if err := m.trim(); err != nil {
			return nil, err
		}
	}
	if !o.NoSwaps && ctx.Err() == nil && err == nil {
		return r, m.swaps(ctx)
	}
	return r, err
}

// how are the options of a search below this one.
func (m *matcher) how() Options { return Options{Method: m.o.Method, solver: m.o.solver} }

// A matcher is one run of Match.
type matcher struct {
	p *Program
	o MatchOptions
	r *MatchResult
}

// reference evaluates the reference, and names what it breaks. A reference of woods that cannot be had today still has a
// ride to match, but no cost.
func (m *matcher) reference() error {
	c, err := Check(m.p, m.p.Reference)
	var banned *NotAllowedError
	switch {
	case err == nil:
		m.r.Reference, m.r.Broken = c.Point, c.Broken
		return nil
	case !errors.As(err, &banned):
		return err
	}
	fig, err := m.p.Board.Evaluate(m.p.Reference)
	if err != nil {
		return err
	}
	m.r.Broken = []string{banned.Error()}
	m.r.Reference = Point{ID: 1, CoreMassG: math.Round(fig.CoreMassG*100) / 100, EINM2: math.Round(fig.Measure.EINM2(m.p.Board.Section)*100) / 100,
		FastGrownPct: math.NaN(), ProfileFactor: 1, Layout: m.p.Reference, Runs: runs(m.p.Board, m.p.Reference), Figures: fig}
	return nil
}

// windows sets the windows around the reference's EI. At equal mass there are none.
func (m *matcher) windows() {
	if m.o.Goal != Stiffer {
		m.r.Windows, _ = m.p.EqualRide(m.o)
	}
}

// EqualRide are the windows around the EI of the program's reference that a match keeps to, and how far they reach, in %: within o.WithinPct at
// o.Stations, else 2 % at every station between the supports. A bound gives way by half a step of the resolution, which is taken off here: the windows
// hold the percentage itself.
func (p *Program) EqualRide(o MatchOptions) (windows []Window, withinPct float64) {
	b := p.Board
	stations := o.Stations
	if stations == nil {
		low, high := math.Inf(-1), math.Inf(1)
		if b.SpanMM > 0 {
			low, high = b.MiddleMM()-b.SpanMM/2, b.MiddleMM()+b.SpanMM/2
		}
		for _, s := range b.Stations {
			if s.FromTipMM >= low && s.FromTipMM <= high {
				stations = append(stations, s.FromTipMM)
			}
		}
	}
	withinPct = cmp.Or(o.WithinPct, defaultWithinPct)
	half := cmp.Or(p.Resolution.EINM2, defaultEI) / 2
	where := fmt.Sprintf("equal flex within %s %%", number(withinPct))
	for _, x := range stations {
		ei := b.SectionAt(x, b.Section).EI(b.C(p.Reference, x))
		off := ei * withinPct / 100
		windows = append(windows, Window{FromTipMM: x,
			Low:  Limit{Set: true, Value: ei - off + half, Where: where},
			High: Limit{Set: true, Value: ei + off - half, Where: where}})
	}
	return windows, withinPct
}

// program is the program of one profile factor, with the match's own limits.
func (m *matcher) program(factor float64) *Program {
	q := m.p.Scaled(factor)
	q.Limits.Windows = append(slices.Clone(m.p.Limits.Windows), m.r.Windows...)
	if m.o.Goal == Stiffer {
		most := m.r.Reference.CoreMassG
		if l := m.p.Limits.MaxCoreMassG; !l.Set || l.Value > most {
			q.Limits.MaxCoreMassG = Limit{Set: true, Value: most, Where: "equal mass"}
		}
	}
	return q
}

// search looks at every factor, on all cores, and picks the best.
func (m *matcher) search(ctx context.Context) error {
	results := make([]FactorResult, len(m.o.Factors))
	complete := make([]bool, len(m.o.Factors))
	err := m.over(len(results), func(i int) (err error) {
		results[i].Factor = m.o.Factors[i]
		results[i].Best, complete[i], err = m.bestOf(ctx, m.program(m.o.Factors[i]))
		return err
	}, m.o.Progress)
	if err != nil && !failed(err) {
		return err
	}
	m.r.ByFactor = results
	for i := range results {
		if !complete[i] {
			m.r.Proven, m.r.Why = false, why(ctx)
		}
		if results[i].Best != nil && (m.r.Best == nil || m.better(results[i].Best, m.r.Best)) {
			m.r.Best = results[i].Best
		}
	}
	if err != nil {
		m.r.Proven, m.r.Why = false, whyFault
	}
	return err
}

// over runs n jobs on all cores; the first error in their order is returned.
func (m *matcher) over(n int, job func(i int) error, progress func(done, of int)) error {
	errs := make([]error, n)
	room := make(chan struct{}, runtime.GOMAXPROCS(0))
	var wg sync.WaitGroup
	var mu sync.Mutex
	done := 0
	for i := range n {
		room <- struct{}{}
		wg.Go(func() {
			defer func() { <-room }()
			errs[i] = job(i)
			if progress != nil {
				mu.Lock()
				defer mu.Unlock()
				done++
				progress(done, n)
			}
		})
	}
	wg.Wait()
	return cmp.Or(errs...)
}

// better compares answers at different factors by the goal; equal ones by how near their profile is to the reference's, the
// thinner of two equally near.
func (m *matcher) better(a, b *Point) bool {
	var by int
	switch m.o.Goal {
	case Stiffer:
		by = cmp.Or(cmp.Compare(b.EINM2, a.EINM2), cmp.Compare(a.CoreMassG, b.CoreMassG))
	case Cheaper:
		by = cmp.Or(a.Cost.Cmp(b.Cost), cmp.Compare(a.CoreMassG, b.CoreMassG))
	default:
		by = cmp.Or(cmp.Compare(a.CoreMassG, b.CoreMassG), cmp.Compare(b.EINM2, a.EINM2))
	}
	by = cmp.Or(by, cmp.Compare(math.Abs(a.ProfileFactor-1), math.Abs(b.ProfileFactor-1)), cmp.Compare(a.ProfileFactor, b.ProfileFactor))
	return by < 0
}

// bestOf is the best layout of one program by the goal; complete says whether it is proven (nil: that there is none).
func (m *matcher) bestOf(ctx context.Context, p *Program) (best *Point, complete bool, err error) {
	f, err := newForm(p)
	if err != nil {
		return nil, false, err
	}
	if f.hole() != nil {
		return nil, true, nil
	}
	// One end of a front of two objectives: the second settles ties of the first.
	objectives := []Objective{Mass, EI}
	if m.o.Goal == Cheaper {
		objectives = []Objective{Cost, Mass}
	}
	n, complete, err := f.end(ctx, m.how(), objectives, m.o.Goal == Stiffer)
	if n == nil {
		return nil, complete, err
	}
	pt, broken := f.point(n)
	if broken != nil {
		return nil, false, broken
	}
	pt.ID = 1
	return &pt, complete, err // a fault of the solver leaves what was found before it
}

// end is the first point of a front of two objectives, or its last.
func (f *form) end(ctx context.Context, o Options, objectives []Objective, last bool) (n []int64, complete bool, err error) {
	if last {
		slices.Reverse(objectives)
	}
	how, err := f.method(o, objectives)
	if err != nil {
		return nil, false, err
	}
	if q, ok := how.(*formProblem); ok {
		return q.first(ctx)
	}
	got, err := how.front(ctx, nil)
	if err != nil {
		return nil, false, err
	}
	switch {
	case len(got.points) > 0:
		return got.points[0].n, got.complete, nil
	case got.last != nil:
		return got.last.n, false, nil
	}
	return nil, got.complete, nil
}

// first is the first point of the front in two solves: the least first objective, and with it the least second.
func (q *formProblem) first(ctx context.Context) (n []int64, complete bool, err error) {
	upper := []int64{openHigh, openHigh}
	for _, w := range [][]int64{{1, 0}, {0, 1}} {
		a, err := q.least(ctx, w, upper)
		if err != nil {
			return n, false, err
		}
		if a.status == mip.Infeasible {
			return nil, true, nil
		}
		if a.status != mip.Optimal {
			if n == nil {
				n = a.n // perhaps nil: nothing found either
			}
			return n, false, nil
		}
		n, upper[0] = a.n, a.values[0]
	}
	return n, true, nil
}

func nearestToOne(factors []float64) float64 {
	return slices.MinFunc(factors, func(a, b float64) int { return cmp.Compare(math.Abs(a-1), math.Abs(b-1)) })
}

// swaps says for each wood of the answer what replaces it if it cannot be had, by the same search without it.
func (m *matcher) swaps(ctx context.Context) error {
	used := map[int]bool{}
	for _, w := range m.r.Best.Layout {
		used[w] = true
	}
	var woods []int
	for ci, c := range m.p.Candidates {
		if used[c.Wood] {
			woods = append(woods, ci)
		}
	}
	out := make([]Swap, len(woods))
	var fault error // the first: the other woods are gone through all the same
	for i, ci := range woods {
		without := *m.p
		without.Candidates = slices.Delete(slices.Clone(m.p.Candidates), ci, ci+1)
		wood := m.p.Board.Woods[m.p.Candidates[ci].Wood]
		out[i].Wood = wood.ID
		s := &matcher{p: &without, o: m.o, r: &MatchResult{Program: &without, Reference: m.r.Reference, Windows: m.r.Windows, Proven: true}}
		s.o.Progress = nil
		if len(without.Candidates) == 0 {
			out[i].Why = "there is no other wood"
			continue
		}
		if err := s.search(ctx); err != nil {
			if !failed(err) {
				return err
			}
			fault = cmp.Or(fault, err)
		}
		switch {
		case !s.r.Proven:
			out[i].Why = "not searched to the end: " + s.r.Why
		case s.r.Best != nil:
			out[i].Point = s.r.Best
		default:
			f, err := newForm(s.program(m.r.Best.ProfileFactor))
			if err != nil {
				return err
			}
			no := f.hole()
			if no == nil {
				if no, err = f.explain(ctx, m.how()); err != nil {
					if !failed(err) {
						return err
					}
					fault = cmp.Or(fault, err)
				}
			}
			what := "equal flex"
			if m.o.Goal == Stiffer {
				what = "equal mass"
			}
			out[i].Why = "nothing at " + what
			if len(no.Clash) > 0 { // else it is not known: stopped, or the solver failed
				out[i].Why += ": these clash: " + strings.Join(no.Clash, "; ")
			}
		}
	}
	m.r.Swaps = out
	return fault
}

// trim sets the thickness at every station to what gives the reference's EI with the answer's woods.
func (m *matcher) trim() error {
	best := m.r.Best
	rounding := cmp.Or(m.o.RoundingMM, 0.001)
	ref := m.p.Board
	b := *ref.Scaled(best.ProfileFactor)
	b.Stations = slices.Clone(b.Stations)
	least := m.o.LeastMM
	if least == 0 {
		least = math.Inf(1)
		for _, s := range ref.Stations {
			least = min(least, s.ThicknessMM)
		}
	}
	t := &TrimmedBoard{}
	for i, s := range b.Stations {
		x := s.FromTipMM
		row := TrimmedStation{FromTipMM: x, ReferenceMM: ref.Stations[i].ThicknessMM, ScaledMM: s.ThicknessMM,
			TargetNM2: ref.SectionAt(x, ref.Section).EI(ref.C(m.p.Reference, x))}
		c := b.C(best.Layout, x)
		at := func(mm float64) float64 {
			b.Stations[i].ThicknessMM = mm
			return b.SectionAt(x, b.Section).EI(c)
		}
		mm, err := thicknessFor(row.TargetNM2, s.ThicknessMM, at)
		if err != nil {
			return fmt.Errorf("trimming the profile at %s mm: %w", number(x), err)
		}
		mm = math.Round(mm/rounding) * rounding
		// The nearest float to the decimal that is printed.
		mm = math.Round(mm*1e6) / 1e6
		if mm < least {
			mm, row.AtLeastThickness = least, true
		}
		row.TrimmedMM, row.EINM2 = mm, at(mm)
		t.Stations = append(t.Stations, row)
	}
	q := *m.p
	q.Board, q.ProfileFactor = &b, best.ProfileFactor
	t.Program = &q
	c, err := Check(&q, best.Layout)
	if err != nil {
		return err
	}
	m.r.Board, m.r.Trimmed = t, &c.Point
	return nil
}

// thicknessFor is the thickness at which EI is the target. EI grows with thickness wherever the neutral axis lies in the core;
// the root is bracketed before it is closed in on, so where it does not that is an error and not a wrong answer.
func thicknessFor(target, start float64, at func(mm float64) float64) (float64, error) {
	low, high := start, start
	for n := 0; at(low) > target; n++ {
		if low /= 1.25; n > 40 {
			return 0, fmt.Errorf("the layers alone are stiffer than the %.2f N·m² of the reference", target)
		}
	}
	for n := 0; at(high) < target; n++ {
		if high *= 1.25; n > 40 {
			return 0, fmt.Errorf("no thickness reaches the %.2f N·m² of the reference", target)
		}
	}
	for range 200 {
		mid := (low + high) / 2
		if mid <= low || mid >= high {
			break
		}
		if at(mid) < target {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2, nil
}
