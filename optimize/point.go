package optimize

import (
	"errors"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
)

// point is everything about counts: the figures that decide from the form's integers, the rest from the mechanics.
func (f *form) point(n []int64) (Point, error) {
	b := f.p.Board
	l := f.layout(n)
	fig, err := f.board.Evaluate(l)
	if err != nil {
		return Point{}, err
	}
	p := Point{
		CoreMassG:     inUnits(float64(f.massStep(dot(f.mass, n)+f.glue)), f.res.MassG),
		EINM2:         inUnits(f.measure.eiStep(dot(f.measure.coef, n)), f.res.EINM2),
		HasCost:       f.priced,
		ProfileFactor: f.p.profileFactor(),
		Layout:        l,
		Runs:          runs(b, l),
		Figures:       fig,
	}
	if f.priced {
		p.Cost = decimal.NewFromInt(f.costStep(dot(f.cost, n))).Mul(f.moneyRes)
	}
	fast := f.p.fastWoods()
	var fastCM3 float64
	for w, v := range fig.WoodVolumeCM3 {
		if fast[w] {
			fastCM3 += v
		}
	}
	var certified int64
	for i, v := range f.vars {
		if f.use(v).Certified {
			certified += n[i] * f.volume[i]
		}
	}
	if fig.VolumeCM3 > 0 {
		p.FastGrownPct = 100 * fastCM3 / fig.VolumeCM3
		p.CertifiedPct = 100 * float64(certified) / float64(f.volumeAll)
	}
	return p, nil
}

// points are the points of a front, numbered and marked, evaluated on all cores.
func (f *form) points(all []solution) ([]Point, error) {
	if len(all) == 0 {
		return nil, nil
	}
	points, errs := make([]Point, len(all)), make([]error, len(all))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(all)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(all); i = int(next.Add(1)) - 1 {
				points[i], errs[i] = f.point(all[i].n)
				points[i].ID = i + 1
			}
		})
	}
	wg.Wait()
	mark(points)
	return points, errors.Join(errs...)
}

// inUnits is steps of a resolution as the float nearest to the decimal it prints as: 12345 steps of 0.01 are 123.45.
func inUnits(steps, resolution float64) float64 {
	if per := math.Round(1 / resolution); math.Abs(per*resolution-1) < 1e-9 {
		return steps / per
	}
	return steps * resolution
}

// runs reads a layout as rows of equal strips.
func runs(b *core.Board, l core.Layout) []Run {
	var out []Run
	last := [2]int{-1, -1}
	for i, s := range b.Strips() {
		if at := [2]int{s.Position, l[i]}; at != last {
			out = append(out, Run{Position: b.Positions[s.Position].Name, Wood: b.Woods[l[i]].ID})
			last = at
		}
		out[len(out)-1].PerSide += s.PerSide
	}
	return out
}

// mark finds the knee and the cheapest of a front. The knee is the point farthest below the line between the lightest and the
// stiffest, both axes scaled to their range; a front of fewer than three points has none.
func mark(points []Point) {
	if len(points) == 0 {
		return
	}
	cheapest := 0
	stiff, light := 0, 0
	for i, p := range points {
		if p.HasCost && p.Cost.LessThan(points[cheapest].Cost) {
			cheapest = i
		}
		if p.EINM2 > points[stiff].EINM2 {
			stiff = i
		}
		if p.CoreMassG < points[light].CoreMassG {
			light = i
		}
	}
	points[cheapest].Cheapest = points[cheapest].HasCost
	dm := points[stiff].CoreMassG - points[light].CoreMassG
	de := points[stiff].EINM2 - points[light].EINM2
	if dm <= 0 || de <= 0 {
		return
	}
	knee, best := -1, 1e-9
	for i, p := range points {
		d := (p.EINM2-points[light].EINM2)/de - (p.CoreMassG-points[light].CoreMassG)/dm
		if d > best {
			knee, best = i, d
		}
	}
	if knee >= 0 {
		points[knee].Knee = true
	}
}

// Check evaluates one layout by the same integers as a front, and names the limits that it breaks. A wood where the program does
// not allow it is a [*NotAllowedError].
func Check(p *Program, l core.Layout) (*CheckResult, error) {
	f, err := newForm(p)
	if err != nil {
		return nil, err
	}
	n, err := f.counts(l)
	if err != nil {
		return nil, err
	}
	r := &CheckResult{Program: f.told()}
	if r.Point, err = f.point(n); err != nil {
		return nil, err
	}
	// The layout as given: equal strips of a group may stand in any order.
	r.Point.Layout = l
	r.Point.Runs = runs(p.Board, l)
	r.Point.ID = 1
	r.Broken = f.broken(n)
	return r, nil
}

// Scaled is the program with every core thickness times factor.
func (p *Program) Scaled(factor float64) *Program {
	q := *p
	q.Board = p.Board.Scaled(factor)
	q.ProfileFactor = factor
	return &q
}

func (p *Program) profileFactor() float64 {
	if p.ProfileFactor == 0 {
		return 1
	}
	return p.ProfileFactor
}
