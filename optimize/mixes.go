package optimize

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
)

// MixesOptions steer a search for mixes. The zero value is sensible: mass, EI and share, equal flex within 2 %, the profile as it is.
type MixesOptions struct {
	Objectives []Objective // of the three-way front; nil: mass, EI and share
	WithinPct  float64     // how far EI may be from the reference's at every target station; 0: 2 %
	Stations   []float64   // target stations, mm from the tip; nil: every station between the supports
	Factors    []float64   // profile factors that the steps are searched over; nil: 1 only
	Progress   func(Progress)
	Factored   func(done, factors int) // progress of the steps; may be nil, as Progress
	Method     Method
	solver     solver // nil: GLPK
}

// how are the options of a search below this one.
func (o MixesOptions) how() Options { return Options{Method: o.Method, solver: o.solver} }

// A MixesResult says how far a core can lean on fast-grown woods, and what each step costs.
type MixesResult struct {
	Program   *Program // of the profile as it is
	Options   MixesOptions
	Reference *Point // the current mix; nil: the book has none, and the steps keep the limits of the book alone
	Broken    []string
	Windows   []Window // EI around the reference, at the target stations

	// Breaks are all steps of the least core mass as a function of the least fast-grown share, at equal flex, over every profile factor, by
	// share. The share is told apart at 0.01 %.
	Breaks       []MixBreak
	Grid         []MixStep // 0, 10 … 100 %
	Alternatives []Alternative
	StepsProven  bool

	Greatest *Point       // the greatest share within the limits of the book, whatever the flex; nil: not proven, or nothing feasible
	Front    *FrontResult // of the three objectives, within the limits of the book, at the profile as it is
	Proven   bool         // all of it
	Why      string       // why not: "interrupted", "time limit", "the solver failed"

	Infeasible *Infeasible // why nothing keeps the limits of the book
	Unmatched  *Infeasible // why nothing is at equal flex, while layouts there are
}

// A MixBreak is one step: the lightest layout of every least share above the step before it and up to its own.
type MixBreak struct {
	SharePct float64 // its own fast-grown share by volume, a multiple of 0.01 %, never more than there is: above it, a wood has to go
	Point    Point
	Gone     []string // ids of the woods that the next step has fewer strips of
	Come     []string // and more of; both nil: the same strips at other places, or the last step
}

// A MixStep is one row of the grid.
type MixStep struct {
	MinPct float64
	Break  int // index into Breaks; −1: no layout has so much
}

// An Alternative is one of the layouts to set beside the current mix. All of them keep to the windows, and one may be no step.
type Alternative struct {
	Name  string
	How   string // how it is chosen
	Point *Point
}

// shareStepPct is how finely the steps of share are told apart.
const shareStepPct = 0.01

// Mixes finds how far a core can lean on fast-grown woods. The steps are the complete set of layouts at equal flex (the windows of
// [Match]) of which none is lighter with as much share; they are a front of two objectives at every profile factor, merged. The front
// is of three objectives, within the limits of the book alone. Both are proven complete unless ctx ends first. With a [SolverError] comes
// what was found before the fault, and by the searches that it does not touch.
func Mixes(ctx context.Context, p *Program, o MixesOptions) (*MixesResult, error) {
	o.WithinPct = cmp.Or(o.WithinPct, defaultWithinPct)
	if !(o.WithinPct > 0 && o.WithinPct <= 100) {
		return nil, fmt.Errorf("EI within %v %% of the reference's: the figure must be above 0 and at most 100", o.WithinPct)
	}
	if len(o.Factors) == 0 {
		o.Factors = []float64{1}
	}
	if o.Objectives == nil {
		o.Objectives = []Objective{Mass, EI, Share}
	}
	r := &MixesResult{Program: p, Options: o, StepsProven: true, Proven: true}
	m := &matcher{p: p, o: MatchOptions{Goal: Lighter, WithinPct: o.WithinPct, Stations: o.Stations, Factors: o.Factors, Method: o.Method, solver: o.solver},
		r: &MatchResult{Program: p, Proven: true}}
	if p.Reference != nil {
		if err := m.reference(); err != nil {
			return nil, err
		}
		m.windows()
		r.Reference, r.Broken, r.Windows = &m.r.Reference, m.r.Broken, m.r.Windows
		r.Reference.FastGrownPct = p.Mix(r.Reference).FastVolumePct
	}
	var fault error // of the solver, the first: the other searches are made all the same
	fatal := func(err error) bool {
		if !failed(err) {
			return err != nil
		}
		fault = cmp.Or(fault, err)
		return false
	}
	searched := r.steps(ctx, m)
	if fatal(searched) {
		return nil, searched
	}
	if len(r.Breaks) > 0 {
		if err := r.choose(ctx, m); fatal(err) {
			return nil, err
		}
	}
	if err := r.greatest(ctx); fatal(err) {
		return nil, err
	}
	var err error
	if r.Front, err = Front(ctx, p, Options{Objectives: o.Objectives, Method: o.Method, Progress: o.Progress, solver: o.solver}); fatal(err) {
		return nil, err
	}
	r.Program, r.Infeasible = r.Front.Program, r.Front.Infeasible
	if len(r.Breaks) == 0 && r.StepsProven && r.Infeasible == nil {
		if err := r.unmatched(ctx, m); fatal(err) {
			return nil, err
		}
	}
	if r.Proven = r.StepsProven && r.Front.Complete; !r.Proven {
		if r.Why = why(ctx); searched != nil || r.Front.Why == whyFault {
			r.Why = whyFault
		}
	}
	return r, fault
}

// unmatched says why nothing is at equal flex, at the profile factor nearest to 1.
func (r *MixesResult) unmatched(ctx context.Context, m *matcher) error {
	f, err := newForm(m.program(nearestToOne(m.o.Factors)))
	if err != nil {
		return err
	}
	if r.Unmatched = f.hole(); r.Unmatched == nil {
		r.Unmatched, err = f.explain(ctx, m.how()) // without a reason, that there is none still stands
	}
	return err
}

// finely is the program with its share told apart at the steps' resolution.
func finely(p *Program) *Program {
	q := *p
	q.Resolution.SharePct = shareStepPct
	return &q
}

// A mixed is a layout of the steps with its objectives, and the form of its profile factor.
type mixed struct {
	solution
	f      *form
	factor float64
}

// steps finds every break and the grid.
func (r *MixesResult) steps(ctx context.Context, m *matcher) error {
	byFactor := make([][]mixed, len(m.o.Factors))
	complete := make([]bool, len(m.o.Factors))
	err := m.over(len(byFactor), func(i int) error {
		f, err := newForm(finely(m.program(m.o.Factors[i])))
		if err != nil {
			return err
		}
		if f.hole() != nil {
			complete[i] = true
			return nil
		}
		how, err := f.method(m.how(), []Objective{Mass, Share})
		if err != nil {
			return err
		}
		got, err := how.front(ctx, nil)
		complete[i] = got.complete && err == nil
		if got.last != nil && len(got.points) == 0 {
			got.points = []solution{*got.last}
		}
		for _, s := range got.points {
			byFactor[i] = append(byFactor[i], mixed{s, f, m.o.Factors[i]})
		}
		return err
	}, r.Options.Factored)
	if err != nil && !failed(err) {
		return err
	}
	fault := err // at one profile factor: the answers at the others stand
	r.StepsProven = !slices.Contains(complete, false)
	all := slices.Concat(byFactor...)
	// By mass, then the greater share, then the profile nearest to the reference's, the thinner of two equally near.
	slices.SortStableFunc(all, func(a, b mixed) int {
		return cmp.Or(slices.Compare(a.values, b.values), cmp.Compare(math.Abs(a.factor-1), math.Abs(b.factor-1)), cmp.Compare(a.factor, b.factor))
	})
	share := int64(math.MinInt64)
	for _, s := range all {
		if -s.values[1] <= share {
			continue
		}
		share = -s.values[1]
		pt, err := s.f.point(s.n)
		if err != nil {
			return err
		}
		pt.ID = len(r.Breaks) + 1
		r.Breaks = append(r.Breaks, MixBreak{SharePct: inUnits(float64(share), shareStepPct), Point: pt})
	}
	for i := range len(r.Breaks) - 1 {
		r.Breaks[i].Gone, r.Breaks[i].Come = r.exchanged(&r.Breaks[i].Point, &r.Breaks[i+1].Point)
	}
	for pct := 0.0; pct <= 100; pct += 10 {
		r.Grid = append(r.Grid, MixStep{MinPct: pct, Break: slices.IndexFunc(r.Breaks, func(b MixBreak) bool { return b.SharePct >= pct })})
	}
	return fault
}

// exchanged are the woods, by id in the order of the board's woods, of which b has fewer strips than a, and of which it has more.
func (r *MixesResult) exchanged(a, b *Point) (gone, come []string) {
	n := make([]int, len(r.Program.Board.Woods))
	for i, s := range r.Program.Board.Strips() {
		n[a.Layout[i]] -= s.PerSide
		n[b.Layout[i]] += s.PerSide
	}
	for w, k := range n {
		switch id := r.Program.Board.Woods[w].ID; {
		case k < 0:
			gone = append(gone, id)
		case k > 0:
			come = append(come, id)
		}
	}
	return gone, come
}

// choose picks up to three layouts to set beside the current mix, in a written order of interest, and puts them by share.
func (r *MixesResult) choose(ctx context.Context, m *matcher) error {
	last := len(r.Breaks) - 1
	add := func(name, how string, pt *Point) {
		if len(r.Alternatives) < 3 && !slices.ContainsFunc(r.Alternatives, func(a Alternative) bool {
			return a.Name == name || slices.Equal(a.Point.Layout, pt.Layout) && a.Point.ProfileFactor == pt.ProfileFactor
		}) {
			r.Alternatives = append(r.Alternatives, Alternative{name, how, pt})
		}
	}
	add("Lightest", "the least core mass, whatever the share", &r.Breaks[0].Point)
	add("Most fast-grown", "the greatest share of fast-grown woods", &r.Breaks[last].Point)
	var fault error // leaves the cheapest unknown, and the others as they are
	noMore := func(name, how string, keeps func(pt *Point) bool) {
		for i := last; i >= 0; i-- {
			if pt := &r.Breaks[i].Point; keeps(pt) {
				add(name, how, pt)
				return
			}
		}
	}
	if ref := r.Reference; ref != nil {
		if ref.HasCost {
			noMore("No heavier, no dearer", "the greatest share among the steps no heavier and no dearer than the current mix",
				func(pt *Point) bool { return pt.CoreMassG <= ref.CoreMassG && pt.HasCost && pt.Cost.Cmp(ref.Cost) <= 0 })
		}
		noMore("No heavier", "the greatest share among the steps no heavier than the current mix", func(pt *Point) bool { return pt.CoreMassG <= ref.CoreMassG })
	}
	if r.Program.Currency != "" && len(r.Alternatives) < 3 && ctx.Err() == nil {
		c := &matcher{p: m.p, o: m.o, r: &MatchResult{Program: m.p, Windows: m.r.Windows, Proven: true}}
		c.o.Goal = Cheaper
		if fault = c.search(ctx); fault != nil && !failed(fault) {
			return fault
		}
		if ref := r.Reference; c.r.Proven && c.r.Best != nil && (ref == nil || !slices.Equal(ref.Layout, c.r.Best.Layout)) {
			add("Cheapest", "the least cost of a core, and of those the lightest", c.r.Best)
		}
	}
	half := (r.Breaks[0].SharePct + r.Breaks[last].SharePct) / 2
	between := make([]int, last+1)
	for i := range between {
		between[i] = i
	}
	slices.SortStableFunc(between, func(i, j int) int {
		return cmp.Compare(math.Abs(r.Breaks[i].SharePct-half), math.Abs(r.Breaks[j].SharePct-half))
	})
	for _, i := range between { // the nearest that is not there yet
		add("Between", "the step nearest to half way between the share of the lightest and the greatest share", &r.Breaks[i].Point)
	}
	slices.SortStableFunc(r.Alternatives, func(a, b Alternative) int { return cmp.Compare(a.Point.FastGrownPct, b.Point.FastGrownPct) })
	return fault
}

// greatest finds the greatest share within the limits of the book, and the lightest layout that has it.
func (r *MixesResult) greatest(ctx context.Context) error {
	f, err := newForm(finely(r.Program))
	if err != nil || f.hole() != nil {
		return err
	}
	n, complete, err := f.end(ctx, r.Options.how(), []Objective{Share, Mass}, false)
	if err != nil || n == nil || !complete {
		return err
	}
	pt, err := f.point(n)
	pt.ID = 1
	r.Greatest = &pt
	return err
}

// LeastShare is the share of a point as a claim that holds: a multiple of 0.01 %, never more than there is.
func LeastShare(p *Program, pt *Point) (pct float64, err error) {
	f, err := newForm(finely(p))
	if err != nil {
		return 0, err
	}
	n, err := f.counts(pt.Layout)
	var banned *NotAllowedError
	if errors.As(err, &banned) { // a layout of woods that cannot be had today
		return math.Floor(p.Mix(pt).FastVolumePct*100) / 100, nil
	}
	if err != nil {
		return 0, err
	}
	return inUnits(float64(f.shareStep(f.fastVolume(n))), shareStepPct), nil
}
