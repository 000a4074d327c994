package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync/atomic"

	"stavewright/optimize/mip"
)

// hole reports a position that no wood may fill, which no relaxed bound can mend.
func (f *form) hole() *Infeasible {
	var out *Infeasible
	seen := map[int]bool{}
	for gi, g := range f.groups {
		if seen[g.Position] || slices.ContainsFunc(f.at[gi], func(v int) bool { return v >= 0 }) {
			continue
		}
		seen[g.Position] = true
		if out == nil {
			out = &Infeasible{}
		}
		name := f.p.Board.Positions[g.Position].Name
		s := fmt.Sprintf("no wood may be used at %s", name)
		var why []string
		for _, l := range append(slices.Clone(f.p.LeftOut), f.leftOut...) {
			if l.Position == name || l.Position == "" {
				why = append(why, l.Wood+": "+l.Why)
			}
		}
		if len(why) > 0 {
			s += " (" + strings.Join(why, "; ") + ")"
		}
		out.Clash = append(out.Clash, s)
	}
	return out
}

// explain says why no layout keeps every limit: a smallest clashing set, found by leaving out one limit after another, and for
// each of its members the least relaxation that alone makes a layout possible. Only a member of every clashing set
// can help alone, so the members of one are enough to try. When ctx ends on the way, what is known by then is returned.
func (f *form) explain(ctx context.Context, how Options) (*Infeasible, error) {
	out := &Infeasible{}
	core, err := f.clash(ctx, how, everyLimit, true)
	if err != nil || core == nil {
		return out, stopIsFine(ctx, err)
	}
	for _, l := range core {
		out.Clash = append(out.Clash, l.named())
	}
	for _, l := range core {
		r, err := f.relax(ctx, how, l, func(o *limit) bool { return o != l })
		if undecided(err) {
			out.Undecided = append(out.Undecided, l.named())
			continue
		}
		if err != nil {
			return out, stopIsFine(ctx, err)
		}
		if r != nil {
			out.Relaxations = append(out.Relaxations, *r)
		}
	}
	if len(out.Relaxations) > 0 || len(core) == 0 || len(out.Undecided) > 0 {
		return out, nil
	}
	if out.Together, err = f.relaxTogether(ctx, how, core); undecided(err) {
		for _, l := range core {
			out.Undecided = append(out.Undecided, l.named())
		}
		return out, nil
	}
	return out, stopIsFine(ctx, err)
}

// stopIsFine drops an error that only says that ctx has ended.
func stopIsFine(ctx context.Context, err error) error {
	if endedBy(ctx, err) {
		return nil
	}
	return err
}

// endedBy reports whether err says that ctx has ended, and not that something failed meanwhile.
func endedBy(ctx context.Context, err error) bool {
	return err != nil && ctx.Err() != nil && (errors.Is(err, ctx.Err()) || errors.Is(err, context.Cause(ctx)))
}

// named is the limit with its cell.
func (l *limit) named() string {
	if l.where == "" {
		return l.name
	}
	return l.name + " (" + l.where + ")"
}

// asks is what the limit asks of its form, and its cell, for the inside of brackets.
func (l *limit) asks() string {
	s := l.name
	if l.form != "" {
		s = strings.TrimPrefix(s, l.form+" ")
	}
	if l.where == "" {
		return s
	}
	return s + ", " + l.where
}

// clash returns a smallest set of the active limits that no layout keeps; nil when a layout keeps them all. Where none of
// the methods at hand can say whether a limit can be left out, it stays in the set. none: it is known
// that no layout keeps them all.
func (f *form) clash(ctx context.Context, how Options, active func(*limit) bool, none bool) ([]*limit, error) {
	var set []*limit
	for _, l := range f.limits {
		if active(l) {
			set = append(set, l)
		}
	}
	if ok, err := f.feasible(ctx, how, in(set)); ok || err != nil && !(none && undecided(err)) {
		return nil, err
	}
	for i := 0; i < len(set); {
		rest := slices.Delete(slices.Clone(set), i, i+1)
		ok, err := f.feasible(ctx, how, in(rest))
		unknown := undecided(err)
		if err != nil && !unknown {
			return nil, err
		}
		if ok || unknown {
			i++
		} else {
			set = rest
		}
	}
	return set, nil
}

func in(set []*limit) func(*limit) bool {
	return func(l *limit) bool { return slices.Contains(set, l) }
}

// feasible reports whether some layout keeps the active limits.
func (f *form) feasible(ctx context.Context, how Options, active func(*limit) bool) (bool, error) {
	_, ok, err := f.best(ctx, how, active, objectiveForm{row: "nothing", coef: make([]int64, len(f.vars)), sign: 1,
		step: func(v int64) int64 { return v }, end: func(v int64) int64 { return v }})
	return ok, err
}

// best minimises one form over the active limits; false when nothing keeps them. A stop is an error.
func (f *form) best(ctx context.Context, how Options, active func(*limit) bool, o objectiveForm) (int64, bool, error) {
	var sc *scatterForm
	for _, l := range f.limits {
		if l.kind == scatter && active(l) {
			sc = f.newScatter()
			sc.limitPct = l.asked
		}
	}
	e := f.newEnumeration(active, []objectiveForm{o}, sc)
	enumerates, err := how.enumerates(e)
	if err != nil {
		return 0, false, err
	}
	if enumerates {
		return e.leastOf(ctx, o)
	}
	var needs *NeedsEnumerationError
	a, err := f.newFormProblem(active, []objectiveForm{o}, how.engine()).least(ctx, []int64{1}, []int64{openHigh})
	if errors.As(err, &needs) && how.Method == "" {
		if options, _ := e.options(); options <= mostOptions {
			v, ok, stop := e.patient().leastOf(ctx, o)
			if stop == nil || ctx.Err() != nil {
				return v, ok, stop
			}
		}
	}
	switch {
	case err != nil:
		return 0, false, err
	case a.status == mip.Infeasible:
		return 0, false, nil
	case a.status != mip.Optimal:
		if err := context.Cause(ctx); err != nil {
			return 0, false, err
		}
		return 0, false, &SolverError{errors.New("it stopped without an answer while looking for the least relaxation")}
	}
	return o.sign*dot(o.coef, a.n) + o.offset, true, nil
}

// What an enumeration may go through in place of an integer program that cannot decide a limit: some seconds' worth.
const (
	patientLooks = 100_000_000 // layouts held against the limits in integers
	patientRides = 5_000       // of those, by flex and strength
)

// patient is the enumeration with an end.
func (e *enumeration) patient() *enumeration {
	e.alone, e.looks, e.rides = true, new(atomic.Int64), new(atomic.Int64)
	e.looks.Store(patientLooks)
	e.rides.Store(patientRides)
	return e
}

// errPatience says that a patient enumeration has come to its end.
var errPatience = errors.New("too many layouts to go through")

// leastOf is the least value of the enumeration's one objective; false when nothing keeps the limits. A stop is an error.
func (e *enumeration) leastOf(ctx context.Context, o objectiveForm) (int64, bool, error) {
	e.any = !slices.ContainsFunc(o.coef, func(k int64) bool { return k != 0 })
	points, complete, err := e.search(ctx, nil)
	switch {
	case err != nil:
		return 0, false, err
	case len(points) > 0 && (complete || e.any):
		return o.sign*dot(o.coef, points[0].n) + o.offset, true, nil
	case complete:
		return 0, false, nil
	case ctx.Err() == nil:
		return 0, false, errPatience
	}
	return 0, false, context.Cause(ctx)
}

// undecided reports whether err says that no method at hand can tell: this build has no integer programs, or they cannot decide a limit
// and there are too many layouts to enumerate.
func undecided(err error) bool {
	var needs *NeedsEnumerationError
	return errors.Is(err, mip.ErrNoSolver) || errors.As(err, &needs)
}

// relax finds the least relaxation of l that makes a layout possible while the others limits are kept; nil when none does.
func (f *form) relax(ctx context.Context, how Options, l *limit, others func(*limit) bool) (*Relaxation, error) {
	out := &Relaxation{Limit: l.name, Where: l.where}
	// try asks whether a copy of l with another bound leaves a layout.
	try := func(change func(*limit)) (bool, error) {
		old := *l
		change(l)
		defer func() { *l = old }()
		return f.feasible(ctx, how, func(o *limit) bool { return o == l || others(o) })
	}
	switch l.kind {
	case linear:
		o := objectiveForm{row: l.form, coef: l.coef, sign: 1, mass: l.mass, offset: l.offset,
			step: func(v int64) int64 { return v }, end: func(v int64) int64 { return v }}
		if l.isLow() {
			o.sign, o.offset = -1, -o.offset
		}
		v, ok, err := f.best(ctx, how, others, o)
		if !ok || err != nil {
			return nil, err
		}
		out.To = l.text(o.sign * v)
		if l.isLow() {
			out.Sentence = fmt.Sprintf("with every other limit kept, %s reaches at most %s (asked: %s)", l.form, out.To, l.asks())
		} else {
			out.Sentence = fmt.Sprintf("with every other limit kept, %s comes down to %s (asked: %s)", l.form, out.To, l.asks())
		}
		out.bound = o.sign * v
		return out, nil
	case maxWoods:
		for k := l.value + 1; k <= int64(len(f.p.Candidates)); k++ {
			if ok, err := try(func(l *limit) { l.value = k }); err != nil || ok {
				out.To, out.bound = l.text(k), k
				out.Sentence = fmt.Sprintf("with every other limit kept, %s are enough (asked: %s)", out.To, l.asks())
				return out, err
			}
		}
	case minStrips:
		for k := l.value - 1; k >= 0; k-- {
			if ok, err := try(func(l *limit) { l.value = k }); err != nil || ok {
				out.To, out.bound = l.text(k), k
				out.Sentence = fmt.Sprintf("with every other limit kept, %s of each wood used can be held (asked: %s)", out.To, l.asks())
				return out, err
			}
		}
	case hardness:
		var levels []float64
		for _, c := range f.p.Candidates {
			if h := f.p.Board.Woods[c.Wood].HardnessN; h.Known() && h.Value < l.asked {
				levels = append(levels, h.Value)
			}
		}
		slices.Sort(levels)
		for _, h := range slices.Backward(slices.Compact(levels)) {
			if ok, err := try(func(l *limit) { l.asked = h }); err != nil || ok {
				out.To, out.level = fixed(math.Floor(h), 1)+" N", math.Floor(h)
				out.Sentence = fmt.Sprintf("with every other limit kept, a hardness of %s is enough (asked: %s)", out.To, l.asks())
				return out, err
			}
		}
	case scatter:
		return f.relaxLevel(out, l, try, math.Round(l.asked*100), 20000, "scatter comes down to", "%")
	case flexHigh:
		return f.relaxLevel(out, l, try, math.Round(l.asked*100), 1e7, l.form+" comes down to", "N/mm")
	case strength:
		return f.relaxLevel(out, l, try, math.Round(l.asked*100), 1e6, "utilisation comes down to", "%")
	case flexLow:
		return f.relaxLevel(out, l, try, math.Round(l.asked*100), 0, l.form+" reaches at most", "N/mm")
	}
	return nil, nil
}

// relaxLevel finds the least relaxation of a limit that is no row, between its own level and a far one, in hundredths, by
// halving: whatever is possible at one level is possible at every looser one.
func (f *form) relaxLevel(out *Relaxation, l *limit, try func(func(*limit)) (bool, error), tight, loose float64, words, unit string) (*Relaxation, error) {
	at := func(level float64) (bool, error) { return try(func(l *limit) { l.asked = level / 100 }) }
	if ok, err := at(loose); !ok || err != nil {
		return nil, err
	}
	for math.Abs(loose-tight) > 1 {
		mid := math.Floor((tight + loose) / 2)
		ok, err := at(mid)
		if err != nil {
			return nil, err
		}
		if ok {
			loose = mid
		} else {
			tight = mid
		}
	}
	out.level = loose / 100
	out.To = fixed(out.level, 0.01) + " " + unit
	out.Sentence = fmt.Sprintf("with every other limit kept, %s %s (asked: %s)", words, out.To, l.asks())
	return out, nil
}

// relaxTogether relaxes several limits at once where none is enough alone: first the limits of clashing sets are let go one by
// one until a layout is possible, then each is drawn back as far as the ones before it allow.
func (f *form) relaxTogether(ctx context.Context, how Options, first []*limit) ([]Relaxation, error) {
	loose := map[*limit]bool{}
	for set := first; set != nil; {
		// The last of a set: windows and counts come before money, woods and scatter, and people give those up more easily.
		loose[set[len(set)-1]] = true
		var err error
		if set, err = f.clash(ctx, how, func(l *limit) bool { return !loose[l] }, false); err != nil {
			return nil, err
		}
	}
	var out []Relaxation
	for _, l := range f.limits {
		if !loose[l] {
			continue
		}
		r, err := f.relax(ctx, how, l, func(o *limit) bool { return !loose[o] })
		if err != nil {
			return nil, err
		}
		if r == nil {
			return out, nil
		}
		r.Sentence = strings.Replace(r.Sentence, "with every other limit kept", "with the rest relaxed as said here", 1)
		out = append(out, *r)
		old := *l
		defer func() { *l = old }()
		switch {
		case l.kind == linear && l.isLow():
			l.low = r.bound
		case l.kind == linear:
			l.high = r.bound
		case l.kind == maxWoods || l.kind == minStrips:
			l.value = r.bound
		default:
			l.asked = r.level
		}
		delete(loose, l)
	}
	return out, nil
}
