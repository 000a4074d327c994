package optimize

import (
	"context"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// A solution is one answer of a search: where it lies, and whatever the problem needs to rebuild it.
type solution struct {
	values []int64 // by objective, in steps, all minimised
	n      []int64 // the counts, by variable
}

// An answer is what one solve proved.
type answer struct {
	status mip.Status
	solution
	bound float64 // on the weighted sum, in fine units; −Inf when nothing is proven
}

// A problem is a multi-objective integer program as the searches by integer program see it. Its objectives are integer
// forms ("fine"); steps are a coarser, monotone reading of them, and what points are told apart by.
type problem interface {
	objectives() int
	// least minimises the weighted sum of fine objectives with objective i at most upper[i] steps (openHigh: no bound).
	least(ctx context.Context, weights, upper []int64) (answer, error)
	// best finds the best step that an objective can reach by itself: a solution of that step, proven where optimal.
	best(ctx context.Context, objective int) (answer, error)
	// step is the step that a proven bound on the fine value of one objective amounts to.
	step(objective int, fine float64) int64
}

// A found is what a search has found so far.
type found struct {
	points   []solution // nondominated, by their first objective, then the second and third
	complete bool
	solves   int
	last     *solution // of a search stopped early: found, but not proven nondominated
	gaps     []gap     // of a sweep stopped early: what was not searched
}

// A gap is a range of the second objective: at most from (openHigh: from its worst value on), above to (openLow: to its best).
type gap struct{ from, to int64 }

// sweep finds the complete front of two objectives by one solve a point: least first objective with the second better than
// the last point's, until the second is the best there is. A point is dropped when the next one is as good in the first
// objective (filtered epsilon-constraint method; Chankong and Haimes 1983, from memory). A stopped sweep returns a part of the
// complete front.
//
// The best second objective comes first. To sweep on until nothing is left takes as many solves, but the last one, a range of the
// second objective too narrow for any layout, can take GLPK longer than all the others together: minutes instead of a second.
func sweep(ctx context.Context, p problem, each func(found)) (found, error) {
	end, err := p.best(ctx, 1)
	if err != nil || end.status != mip.Optimal {
		return end.only(), err
	}
	f, err := stretch(ctx, p, gap{openHigh, openLow}, end.values[1], each)
	f.solves++
	if f.last == nil && len(f.points) == 0 && !f.complete {
		f.last = &end.solution
	}
	return f, err
}

// only is what a search has found whose first solve did not end as hoped.
func (a answer) only() found {
	f := found{solves: 1, complete: a.status == mip.Infeasible}
	if !f.complete {
		f.gaps = []gap{{openHigh, openLow}}
	}
	if a.status == mip.Feasible {
		f.last = &a.solution
	}
	return f
}

// stretch sweeps the part of a front whose second objective lies in a range. The range's worse end bounds every solve, so that what is
// nondominated there is so in the whole front. Its better end bounds none: the sweep ends with the first solution beyond it, which
// (or an equal of which) is also the first of the range that begins there.
func stretch(ctx context.Context, p problem, within gap, best int64, each func(found)) (found, error) {
	var f found
	upper := []int64{openHigh, within.from}
	var open *solution // the last point: proven once the next first objective is known to be worse
	for {
		a, err := p.least(ctx, []int64{1, 0}, upper)
		if err != nil {
			a = answer{status: mip.Stopped, bound: math.Inf(-1)} // the last point was not proven, the rest not searched
		}
		f.solves++
		switch a.status {
		case mip.Infeasible: // not in a whole sweep: best has been reached by then
			if open != nil {
				f.points = append(f.points, *open)
			}
			f.complete = true
			return f, nil
		case mip.Optimal:
		default:
			left := gap{upper[1], within.to}
			if open != nil {
				if p.step(0, a.bound) > open.values[0] {
					f.points = append(f.points, *open)
				} else {
					f.last = open
					left.from = open.values[1]
				}
			} else if a.status == mip.Feasible {
				f.last = &a.solution
			}
			f.gaps = []gap{left}
			return f, err
		}
		s := a.solution
		if open != nil && s.values[0] > open.values[0] {
			f.points = append(f.points, *open)
		}
		if s.values[1] <= max(best, within.to) {
			if s.values[1] > within.to {
				f.points = append(f.points, s)
			}
			f.complete = true
			return f, nil
		}
		open = &s
		upper[1] = s.values[1] - 1
		if each != nil {
			now := f
			now.last = open
			each(now)
		}
	}
}

// boxes finds the complete front of three (or more) objectives by local upper bounds: each solve takes the sum of the
// objectives inside one zone, and either finds a new point or closes the zone (Klamroth, Lacour, Vanderpooten, "On the
// representation of the search region in multi-objective optimization", EJOR 2015; Dächert, Klamroth 2015).
func boxes(ctx context.Context, p problem, each func(found)) (found, error) {
	var f found
	k := p.objectives()
	weights := make([]int64, k)
	top := make([]int64, k)
	for i := range k {
		weights[i], top[i] = 1, openHigh
	}
	zones := [][]int64{top}
	for len(zones) > 0 {
		z := zones[0]
		upper := make([]int64, k)
		for i, u := range z {
			upper[i] = u
			if u != openHigh {
				upper[i] = u - 1
			}
		}
		a, err := p.least(ctx, weights, upper)
		if err != nil {
			a.status = mip.Stopped
		}
		f.solves++
		switch a.status {
		case mip.Infeasible:
			zones = zones[1:]
			continue
		case mip.Optimal:
		default:
			f.points = nondominated(f.points)
			return f, err
		}
		f.points = append(f.points, a.solution)
		zones = split(zones, a.values)
		if each != nil {
			each(f)
		}
	}
	f.points = nondominated(f.points)
	f.complete = true
	return f, nil
}

// split updates the local upper bounds for a new point: every zone strictly above it gives way to at most one zone
// per objective, of which those inside another are dropped.
func split(zones [][]int64, z []int64) [][]int64 {
	var keep, fresh [][]int64
	for _, u := range zones {
		if !below(z, u) {
			keep = append(keep, u)
			continue
		}
		for i := range z {
			c := slices.Clone(u)
			c[i] = z[i]
			fresh = append(fresh, c)
		}
	}
	for i, c := range fresh {
		inside := slices.ContainsFunc(keep, func(o []int64) bool { return within(c, o) })
		for j, o := range fresh {
			if inside {
				break
			}
			inside = j != i && within(c, o) && (!slices.Equal(c, o) || j < i)
		}
		if !inside {
			keep = append(keep, c)
		}
	}
	return keep
}

// below reports whether z is less than u in every objective.
func below(z, u []int64) bool {
	for i := range z {
		if z[i] >= u[i] {
			return false
		}
	}
	return true
}

// within reports whether a is at most b in every objective.
func within(a, b []int64) bool {
	for i := range a {
		if a[i] > b[i] {
			return false
		}
	}
	return true
}

// nondominated keeps what nothing else betters, one of each vector, sorted by the objectives in turn.
func nondominated(points []solution) []solution {
	points = slices.Clone(points)
	slices.SortStableFunc(points, func(a, b solution) int { return slices.Compare(a.values, b.values) })
	var out []solution
	for _, p := range points {
		// Whatever dominates p comes before it in the order, so one pass is enough.
		if !slices.ContainsFunc(out, func(o solution) bool { return within(o.values, p.values) }) {
			out = append(out, p)
		}
	}
	return out
}
