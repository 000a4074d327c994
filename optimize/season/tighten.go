package season

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

// each does n jobs on all cores. The first error by number counts.
func each(n int, job func(i int) error) error {
	errs := make([]error, n)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				errs[i] = job(i)
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// tighten finds how many strips of each kind, and how many parts of each lot's planks, all boards together can take at most: by model the greatest of its linear
// relaxation, in whole strips. The rows "only when bought" rest on these. The smaller they are, the nearer the season's relaxation is to its plans.
func (d *direct) tighten(ctx context.Context) error {
	s := d.s
	type greatest struct {
		kinds []int
		parts []int64
	}
	all := make([]greatest, len(d.models))
	err := each(len(d.models), func(i int) error {
		l, m := d.models[i], &s.Models[i]
		g := greatest{make([]int, len(s.Kinds)), make([]int64, len(s.Lots))}
		p := &mip.Model{Name: m.Program.Model, Maximize: true, Columns: slices.Clone(l.Columns()), Rows: l.Rows()}
		var basis *mip.Basis
		most := func(worth func(kind int) float64) (float64, error) {
			var any, all float64
			for _, u := range l.Uses {
				c := worth(m.Kind[u.Position][u.Candidate]) * float64(u.Pieces)
				p.Columns[u.Column].Objective = c
				any, all = max(any, c), all+c*float64(u.Strips)
			}
			if any == 0 {
				return 0, nil
			}
			a, err := mip.Solve(ctx, p, mip.Options{RelaxIntegers: true, Basis: basis})
			switch {
			case err != nil:
				return 0, err
			case a.Status == mip.Infeasible:
				return 0, errInfeasible
			case a.Status != mip.Optimal:
				return all, nil
			}
			basis = a.Basis
			return min(a.Objective+1e-6, all), nil
		}
		for k := range s.Kinds {
			v, err := most(func(kind int) float64 {
				if kind == k {
					return 1
				}
				return 0
			})
			if err != nil {
				return err
			}
			g.kinds[k] = int(math.Floor(v)) * m.Build
		}
		for lot := range s.Lots {
			if uses := s.Lots[lot].Uses; len(uses) == 1 {
				g.parts[lot] = uses[0].Parts * int64(g.kinds[uses[0].Kind])
				continue
			}
			v, err := most(func(kind int) float64 { return float64(s.Lots[lot].partsOf(kind)) / PlankParts })
			if err != nil {
				return err
			}
			g.parts[lot] = int64(math.Ceil(v*PlankParts)) * int64(m.Build)
		}
		all[i] = g
		return nil
	})
	if err != nil {
		return err
	}
	most := make([]int, len(s.Kinds))
	d.parts = make([]int64, len(s.Lots))
	for _, g := range all {
		for k, n := range g.kinds {
			most[k] += n
		}
		for lot, n := range g.parts {
			d.parts[lot] += n
		}
	}
	for k := range most {
		d.most[k] = min(d.most[k], most[k])
	}
	return nil
}

// A separator finds rows that every layout of a model keeps and a mix of strips does not.
type separator struct {
	l      *optimize.Layouts
	name   string
	kinds  []int       // of the season that its layouts can take
	of     []int       // by use: index into kinds
	totals [][]float64 // strips of each kind in a board, of the layouts known
}

func (d *direct) newSeparator(model int) *separator {
	m := &d.s.Models[model]
	p := &separator{l: d.models[model], name: m.Program.Model}
	for _, u := range p.l.Uses {
		p.kinds = append(p.kinds, m.Kind[u.Position][u.Candidate])
	}
	slices.Sort(p.kinds)
	p.kinds = slices.Compact(p.kinds)
	for _, u := range p.l.Uses {
		k, _ := slices.BinarySearch(p.kinds, m.Kind[u.Position][u.Candidate])
		p.of = append(p.of, k)
	}
	return p
}

// total is the strips of each kind in one board, at values of the model's columns.
func (p *separator) total(x []float64) []float64 {
	t := make([]float64, len(p.kinds))
	for i, u := range p.l.Uses {
		t[p.of[i]] += float64(u.Pieces) * x[u.Column]
	}
	return t
}

// priceUnits is how many units the dearest strip takes in whole prices.
const priceUnits = 100_000

// inUnits are prices as whole numbers, the dearest being priceUnits.
func inUnits(prices []float64) []float64 {
	var most float64
	for _, v := range prices {
		most = max(most, math.Abs(v))
	}
	out := make([]float64, len(prices))
	for i, v := range prices {
		if most > 0 {
			out[i] = math.Round(v / most * priceUnits)
		}
	}
	return out
}

func dot(a, b []float64) (v float64) {
	for i := range a {
		v += a[i] * b[i]
	}
	return v
}

// least is the least worth of any layout at whole prices, and the total of one that has it. The worth is −Inf when that is not known.
func (p *separator) least(ctx context.Context, prices []float64) (float64, []float64, error) {
	m := &mip.Model{Name: p.name, Columns: slices.Clone(p.l.Columns()), Rows: p.l.Rows()}
	for i, u := range p.l.Uses {
		m.Columns[u.Column].Objective = prices[p.of[i]] * float64(u.Pieces)
	}
	a, err := mip.Solve(ctx, m, mip.Options{NodeLimit: 20_000})
	switch {
	case err != nil:
		return 0, nil, err
	case a.Status == mip.Infeasible:
		return 0, nil, errInfeasible
	case a.X == nil:
		return math.Inf(-1), nil, nil
	}
	return math.Ceil(a.Bound - 1e-6*(1+math.Abs(a.Bound))), p.total(a.X), nil
}

// deep is by how many strips of the dearest kind a row has to cut a mix off, to be worth adding.
const deep = 1e-4

// separate looks for prices at which a mix of strips is worth less than every layout, beginning with those given. Where the layouts known do not
// tell, it takes the prices that part the mix farthest from them, and learns the layout that is worth least there. nil: none were found.
func (p *separator) separate(ctx context.Context, mix, prices []float64) (*mip.Row, error) {
	prices = inUnits(prices)
	for range 40 {
		worth, total, err := p.least(ctx, prices)
		if err != nil || math.IsInf(worth, -1) {
			return nil, err
		}
		if worth-dot(prices, mix) > deep*priceUnits {
			// Half a unit keeps the row away from the solver's tolerance: worth is whole at every layout.
			row := &mip.Row{Low: (worth - 0.5) / priceUnits, High: math.Inf(1)}
			for i, u := range p.l.Uses {
				if c := prices[p.of[i]] * float64(u.Pieces); c != 0 {
					row.Terms = append(row.Terms, mip.Term{Column: u.Column, Coefficient: c / priceUnits})
				}
			}
			return row, nil
		}
		p.totals = append(p.totals, total)
		// The greatest v − prices·mix with prices·total ≥ v for every total known.
		m := &mip.Model{Name: p.name, Maximize: true}
		for k := range p.kinds {
			m.Columns = append(m.Columns, mip.Column{Low: -1, High: 1, Objective: -mix[k]})
		}
		m.Columns = append(m.Columns, mip.Column{Low: math.Inf(-1), High: math.Inf(1), Objective: 1})
		for _, t := range p.totals {
			r := mip.Row{High: math.Inf(1), Terms: []mip.Term{{Column: len(p.kinds), Coefficient: -1}}}
			for k, c := range t {
				r.Terms = append(r.Terms, mip.Term{Column: k, Coefficient: c})
			}
			m.Rows = append(m.Rows, r)
		}
		a, err := mip.Solve(ctx, m, mip.Options{RelaxIntegers: true})
		if err != nil || a.Status != mip.Optimal || a.Objective < deep {
			return nil, err
		}
		prices = inUnits(a.X[:len(p.kinds)])
	}
	return nil, nil
}

// Rounds of separation end when two in a row have raised the relaxation by less than enough, relative, or at mostRounds.
const (
	mostRounds = 40
	enough     = 1e-4
)

// strengthen adds rows to the program until its linear relaxation takes of every model, as far as can be told, a mix of layouts: the bound of the Dantzig–Wolfe
// decomposition by models, in a program that any solver takes. The rows are Fenchel cuts (E. A. Boyd, Mathematical Programming 64, 1994), each from a small integer
// program of one model. x are the relaxation's values; nil when ctx ended first.
func (d *direct) strengthen(ctx context.Context, engine mip.Engine, prove func(bound float64)) (x []float64, err error) {
	separators := make([]*separator, len(d.models))
	for i := range d.models {
		separators[i] = d.newSeparator(i)
	}
	last, slow := math.Inf(-1), 0
	for range mostRounds {
		r, err := mip.Solve(ctx, d.m, mip.Options{RelaxIntegers: true, Engine: engine})
		switch {
		case err != nil:
			return nil, err
		case r.Status == mip.Infeasible:
			return nil, errInfeasible
		case r.Status != mip.Optimal:
			return nil, nil
		}
		x = r.X
		prove(r.Objective - relaxationSlack*math.Abs(r.Objective))
		if slow++; r.Objective > last+enough*math.Abs(last) || math.IsInf(last, -1) {
			slow = 0
		}
		last = r.Objective
		rows := make([]*mip.Row, len(d.models))
		if err := each(len(d.models), func(i int) (err error) {
			p := separators[i]
			prices := make([]float64, len(p.kinds))
			for k, kind := range p.kinds {
				if row := d.cover[kind]; row >= 0 {
					prices[k] = r.Dual[row]
				}
			}
			rows[i], err = p.separate(ctx, p.total(x[d.first[i]:d.first[i]+len(p.l.Columns())]), prices)
			return err
		}); err != nil {
			return nil, err
		}
		fresh := false
		for i, row := range rows {
			if row != nil {
				fresh = true
				d.m.Rows = append(d.m.Rows, d.modelRow(i, *row, fmt.Sprintf("least worth, row %d", len(d.m.Rows)+1)))
			}
		}
		if !fresh || slow >= 2 || ctx.Err() != nil {
			break
		}
	}
	return x, nil
}

// relaxationSlack is what a linear relaxation's objective may be off, relative: solvers keep rows to 1e-7.
const relaxationSlack = 1e-7
