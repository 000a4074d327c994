package optimize

import (
	"context"
	"errors"
	"runtime"
	"sync"
	"sync/atomic"

	"stavewright/optimize/mip"
)

// side sweeps stretches of EI side by side, on all cores: equal shares of the way from the lightest layout's EI to the
// greatest. A stretch costs one solve more than a single sweep. How many there are does not depend on the machine, and each has a
// model of its own, so that equal input gives equal output.
func (q *formProblem) side(ctx context.Context, progress func(Progress)) (found, error) {
	end, err := q.best(ctx, 1)
	if err != nil || end.status != mip.Optimal {
		f := end.only()
		f.solves = q.solves
		return f, err
	}
	begin, err := q.least(ctx, []int64{1, 0}, []int64{openHigh, openHigh})
	if err != nil || begin.status != mip.Optimal {
		f := begin.only()
		f.solves = q.solves
		if f.last == nil {
			f.last = &end.solution
		}
		return f, err
	}
	t := newTrack(q, begin.values[1], end.values[1], progress)
	errs := make([]error, len(t.stretches)) // a fault in one stretch does not end the others
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(t.stretches)) {
		wg.Go(func() {
			for {
				k := int(next.Add(1)) - 1
				if k >= len(t.stretches) {
					return
				}
				own := q.f.newFormProblem(q.active, q.objs, q.engine)
				own.known = q.known
				report := func(now found) {
					now.solves = own.solves
					t.report(k, now)
				}
				now, err := stretch(ctx, own, t.stretches[k], end.values[1], report)
				report(now)
				errs[k] = err
			}
		})
	}
	wg.Wait()
	return t.merged(&begin.solution), errors.Join(errs...)
}

// A track is how far stretches have come.
type track struct {
	q         *formProblem
	stretches []gap // of the second objective, which is EI, negated
	best      int64
	show      func(Progress)
	mu        sync.Mutex
	now       []found // by stretch
}

func newTrack(q *formProblem, worst, best int64, show func(Progress)) *track {
	t := &track{q: q, best: best, show: show}
	parts := int64(q.stretches)
	border := func(k int64) int64 { return worst - (worst-best+1)*k/parts }
	for k := range parts {
		if g := (gap{border(k), border(k + 1)}); g.from > g.to {
			t.stretches = append(t.stretches, g)
		}
	}
	t.now = make([]found, len(t.stretches))
	return t
}

// report takes note of what a stretch has found so far, and shows it.
func (t *track) report(k int, now found) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.now[k] = now
	worst := t.stretches[0].from
	p := Progress{Solves: t.q.solves, Stretches: len(t.stretches), LowNM2: t.nm2(worst), HighNM2: t.nm2(t.best), EINM2: t.nm2(t.stretches[k].to + 1)}
	if now.last != nil {
		p.EINM2 = t.q.ei(now.last)
	}
	var gone int64
	for i, f := range t.now {
		p.Points += len(f.points)
		p.Solves += f.solves
		switch g := t.stretches[i]; {
		case f.complete:
			gone += g.from - g.to
		case f.last != nil:
			gone += g.from - f.last.values[1]
		}
	}
	p.Share = share(float64(gone), float64(worst-t.best+1))
	t.show(p)
}

// nm2 is EI of a second objective, N·m².
func (t *track) nm2(value int64) float64 { return inUnits(float64(-value), t.q.f.res.EINM2) }

// merged puts the stretches together. begin is a layout, at least.
func (t *track) merged(begin *solution) found {
	f := found{complete: true, solves: t.q.solves}
	for _, now := range t.now {
		f.points = append(f.points, now.points...)
		f.solves += now.solves
		f.complete = f.complete && now.complete
		for _, g := range now.gaps {
			if n := len(f.gaps); n > 0 && f.gaps[n-1].to == g.from {
				f.gaps[n-1].to = g.to
				continue
			}
			f.gaps = append(f.gaps, g)
		}
	}
	if n := len(f.gaps); n > 0 && f.gaps[n-1].to < t.best {
		f.gaps[n-1].to = openLow
	}
	if len(f.points) == 0 && !f.complete {
		f.last = begin
	}
	return f
}
