package season

import (
	"cmp"
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"stavewright/optimize/mip"
)

// A branch is the part of a season's program in which it is decided of some suppliers whether anything is ordered from them.
type branch struct {
	m       *mip.Model
	decided []bool // by supplier
	ordered []bool // by supplier that is decided
	basis   *mip.Basis
	bound   float64 // no plan in it costs less

	turn chan struct{}
	got  time.Time // the turn
	used time.Duration
}

func byBound(a, b *branch) int { return cmp.Compare(a.bound, b.bound) }

// holds reports whether plans that order from these suppliers lie in the branch.
func (b *branch) holds(from []bool) bool {
	for k, decided := range b.decided {
		if decided && b.ordered[k] != from[k] {
			return false
		}
	}
	return true
}

const (
	mostBranches  = 16
	worthSplit    = 1e-3        // a supplier is decided where that raises a bound by so much, relative
	worthBranches = 3e-3        // with less of the season's bound raised by all branches, one solver is faster alone
	liveBranches  = 6           // branches that are solved at once: each has a solver's memory
	branchTurn    = time.Second // the least time for which a branch goes on
)

// split divides the program by suppliers, as long as that raises a bound by enough: what the relaxation does not see of a season's cost is for the most part
// fixed freight and minimum orders, and a solver's own branching comes to them late. Which supplier is decided next is found by trying each (strong branching:
// D. Applegate et al., The Traveling Salesman Problem, 2006). The branches together have every plan; the least bound comes first.
func (x *search) split(ctx context.Context, m *mip.Model) ([]*branch, error) {
	d := x.d
	root := &branch{m: m, decided: make([]bool, len(d.order)), ordered: make([]bool, len(d.order)), bound: math.Inf(-1)}
	if err := root.relax(ctx); err != nil {
		return nil, err
	}
	decide := func(b *branch, supplier int, ordered bool) (*branch, error) {
		c := &branch{m: copyOf(b.m), decided: slices.Clone(b.decided), ordered: slices.Clone(b.ordered), basis: b.basis, bound: b.bound}
		c.decided[supplier], c.ordered[supplier] = true, ordered
		if ordered {
			fix(c.m, d.order[supplier], 1)
		} else {
			fix(c.m, d.order[supplier], 0)
			for i := range x.s.Lots {
				if l := &x.s.Lots[i]; !l.Stock && l.Supplier == supplier {
					d.closeLot(c.m, i)
				}
			}
		}
		return c, c.relax(ctx)
	}
	open, whole := []*branch{root}, []*branch(nil)
	for len(open) > 0 && len(open)+len(whole) < mostBranches && ctx.Err() == nil {
		b := slices.MinFunc(open, byBound)
		open = slices.DeleteFunc(open, func(o *branch) bool { return o == b })
		var parts [2]*branch
		most := 0.0
		for k, order := range d.order {
			if order < 0 || b.decided[k] || x.beaten(b.bound) {
				continue
			}
			var try [2]*branch
			var rise [2]float64 // relative, at most 1
			for i := range try {
				c, err := decide(b, k, i == 1)
				if err != nil {
					return nil, err
				}
				try[i], rise[i] = c, min(1, (c.bound-b.bound)/math.Abs(b.bound))
			}
			if score := 5*min(rise[0], rise[1]) + max(rise[0], rise[1]); score > most && max(rise[0], rise[1]) > worthSplit {
				parts, most = try, score
			}
		}
		if parts[0] == nil {
			whole = append(whole, b)
			continue
		}
		for _, c := range parts {
			if !math.IsInf(c.bound, 1) {
				open = append(open, c)
			}
		}
	}
	whole = append(whole, open...)
	slices.SortStableFunc(whole, byBound)
	if len(whole) > 0 && whole[0].bound < root.bound+worthBranches*math.Abs(root.bound) {
		return []*branch{root}, nil
	}
	return whole, nil
}

// relax raises the bound to that of the linear relaxation; infinite: there is no plan.
func (b *branch) relax(ctx context.Context) error {
	r, err := mip.Solve(ctx, b.m, mip.Options{RelaxIntegers: true, Basis: b.basis})
	switch {
	case err != nil:
		return err
	case r.Status == mip.Infeasible:
		b.bound = math.Inf(1)
	case r.Status == mip.Optimal:
		b.bound, b.basis = max(b.bound, r.Objective-relaxationSlack*math.Abs(r.Objective)), r.Basis
	}
	return nil
}

// A forest is branches that are solved side by side. As many as there are cores but one have a turn; the others' solvers wait in the middle of what they do.
type forest struct {
	x   *search
	all []*branch

	mu      sync.Mutex
	free    int // turns
	waiting []*branch
	given   int // turns so far
}

// branches solves branches until none can have a better plan.
func (x *search) branches(ctx context.Context, all []*branch) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	f := &forest{x: x, all: all, free: max(1, runtime.GOMAXPROCS(0)-1)}
	x.forest.Store(f)
	live := make(chan struct{}, max(liveBranches, f.free))
	errs := make([]error, len(all))
	var wg sync.WaitGroup
	for i, b := range all {
		select {
		case live <- struct{}{}:
		case <-ctx.Done():
		}
		if ctx.Err() != nil {
			break
		}
		wg.Go(func() {
			defer func() { <-live }()
			if errs[i] = f.solve(ctx, b); errs[i] != nil {
				cancel()
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil && !errors.Is(err, context.Canceled) {
			return err
		}
	}
	if x.known() == nil && ctx.Err() == nil {
		return errInfeasible
	}
	return nil
}

func (f *forest) solve(outer context.Context, b *branch) error {
	ctx, cancel := context.WithCancel(outer)
	defer cancel()
	f.raise(b, b.bound)
	if f.x.beaten(b.bound) {
		return nil
	}
	b.turn = make(chan struct{}, 1)
	f.wait(ctx, b)
	defer f.give(b)
	err := f.x.whole(ctx, b.m, b, func(bound float64) {
		if f.raise(b, bound); f.x.beaten(b.bound) {
			cancel()
		} else if time.Since(b.got) > branchTurn {
			f.give(b)
			f.wait(ctx, b)
		}
	})
	switch {
	case errors.Is(err, errInfeasible):
		f.raise(b, math.Inf(1))
		return nil
	case outer.Err() == nil && ctx.Err() != nil && errors.Is(err, context.Canceled): // beaten
		return nil
	}
	return err
}

// raise raises a branch's bound, and with it the season's: the least of all.
func (f *forest) raise(b *branch, bound float64) {
	f.mu.Lock()
	b.bound = max(b.bound, bound)
	least := slices.MinFunc(f.all, byBound).bound
	f.mu.Unlock()
	if p := f.x.known(); math.IsInf(least, 1) && p != nil {
		least = p.Exact.InexactFloat64()
	}
	if !math.IsInf(least, 1) {
		f.x.prove(least)
	}
}

// wait waits for a turn, or until ctx ends: then the branch does without one.
func (f *forest) wait(ctx context.Context, b *branch) {
	defer func() { b.got = time.Now() }()
	f.mu.Lock()
	if f.free > 0 {
		f.free--
		f.mu.Unlock()
		return
	}
	f.waiting = append(f.waiting, b)
	f.mu.Unlock()
	select {
	case <-b.turn:
	case <-ctx.Done():
		f.mu.Lock()
		if slices.Contains(f.waiting, b) {
			f.leave(b)
			f.free--
		}
		f.mu.Unlock()
	}
}

// leave takes a branch out of those that wait. The caller holds mu.
func (f *forest) leave(b *branch) {
	f.waiting = slices.DeleteFunc(f.waiting, func(o *branch) bool { return o == b })
}

// give passes a turn on: every other time to the branch of the least bound, else by turns to the one of the best plan and to the one that has had the least time.
func (f *forest) give(b *branch) {
	f.mu.Lock()
	defer f.mu.Unlock()
	b.used += time.Since(b.got)
	f.free++
	f.pass()
}

// pass passes free turns on. The caller holds mu.
func (f *forest) pass() {
	for f.free > 0 && len(f.waiting) > 0 {
		next := slices.MinFunc(f.waiting, byBound)
		switch f.given++; f.given % 4 {
		case 1:
			best := f.x.known()
			if i := slices.IndexFunc(f.waiting, func(b *branch) bool { return best != nil && b.holds(best.suppliers()) }); i >= 0 {
				next = f.waiting[i]
			}
		case 3:
			next = slices.MinFunc(f.waiting, func(a, b *branch) int { return cmp.Compare(a.used, b.used) })
		}
		f.leave(next)
		f.free--
		next.turn <- struct{}{}
	}
}

// more gives n turns more; fewer when n is negative.
func (f *forest) more(n int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.free += n
	f.pass()
}

// waits reports whether a branch waits for a turn.
func (f *forest) waits() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return len(f.waiting) > 0
}
