package optimize

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize/mip"
)

// A publishedCase is one file of testdata/published/pareto: a multi-objective integer program with its complete front.
type publishedCase struct {
	Name       string
	Variables  int
	Lower      []float64
	Upper      []float64
	Integer    []bool
	Objectives []struct {
		Sense string
		Coef  []int64
	}
	Rows []struct {
		Low, High *float64
		Vars      []int
		Coef      []float64
	}
	Front  [][]int64
	Source string
}

// A plainProblem is a published case as the searches see it: steps and fine values are one.
type plainProblem struct {
	c      publishedCase
	m      *mip.Model
	engine solver
	basis  *mip.Basis
}

func (p *plainProblem) sign(i int) int64 {
	if p.c.Objectives[i].Sense == "max" {
		return -1
	}
	return 1
}

func newPlain(c publishedCase, engine solver) *plainProblem {
	p := &plainProblem{c: c, engine: engine, m: &mip.Model{Name: c.Name}}
	for v := range c.Variables {
		p.m.Columns = append(p.m.Columns, mip.Column{Low: c.Lower[v], High: c.Upper[v], Integer: c.Integer[v]})
	}
	for _, r := range c.Rows {
		row := mip.Row{Low: math.Inf(-1), High: math.Inf(1)}
		if r.Low != nil {
			row.Low = *r.Low
		}
		if r.High != nil {
			row.High = *r.High
		}
		for i, v := range r.Vars {
			row.Terms = append(row.Terms, mip.Term{Column: v, Coefficient: r.Coef[i]})
		}
		p.m.Rows = append(p.m.Rows, row)
	}
	for i, o := range c.Objectives {
		row := mip.Row{Low: math.Inf(-1), High: math.Inf(1)}
		for v, k := range o.Coef {
			if k != 0 {
				row.Terms = append(row.Terms, mip.Term{Column: v, Coefficient: float64(p.sign(i) * k)})
			}
		}
		p.m.Rows = append(p.m.Rows, row)
	}
	return p
}

func (p *plainProblem) objectives() int { return len(p.c.Objectives) }

func (p *plainProblem) step(_ int, fine float64) int64 { return int64(math.Ceil(fine - 0.01)) }

func (p *plainProblem) best(ctx context.Context, objective int) (answer, error) {
	weights, upper := make([]int64, p.objectives()), make([]int64, p.objectives())
	for i := range upper {
		upper[i] = openHigh
	}
	weights[objective] = 1
	return p.least(ctx, weights, upper)
}

func (p *plainProblem) least(ctx context.Context, weights, upper []int64) (answer, error) {
	for v := range p.m.Columns {
		p.m.Columns[v].Objective = 0
		for i, o := range p.c.Objectives {
			p.m.Columns[v].Objective += float64(weights[i] * p.sign(i) * o.Coef[v])
		}
	}
	for i, u := range upper {
		r := &p.m.Rows[len(p.c.Rows)+i]
		r.High = math.Inf(1)
		if u != openHigh {
			r.High = float64(u) + 0.5
		}
	}
	r, err := p.engine.Solve(ctx, p.m, mip.Options{Basis: p.basis})
	if err != nil {
		return answer{}, err
	}
	if r.Basis != nil {
		p.basis = r.Basis
	}
	a := answer{status: r.Status, bound: r.Bound}
	if r.X != nil {
		for i, o := range p.c.Objectives {
			var s int64
			for v, k := range o.Coef {
				s += k * int64(math.Round(r.X[v]))
			}
			a.values = append(a.values, p.sign(i)*s)
		}
	}
	return a, nil
}

func publishedCases(t testing.TB) []publishedCase {
	files, err := filepath.Glob("../testdata/published/pareto/*.json")
	if err != nil {
		t.Fatal(err)
	}
	var out []publishedCase
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var c publishedCase
		if strings.HasPrefix(filepath.Base(file), "purchase") || strings.HasPrefix(filepath.Base(file), "single") {
			continue // one objective: package mip's
		}
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		out = append(out, c)
	}
	if len(out) != 13 {
		t.Fatalf("%d published fronts, want 13", len(out))
	}
	return out
}

// counted counts solves.
type counted struct {
	solver
	n int
}

func (c *counted) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	c.n++
	return c.solver.Solve(ctx, m, o)
}

// TestPublishedFronts runs the same searches as a core's front over published cases with complete answers; two objectives also
// go through the search for three. Sources stand in the files.
func TestPublishedFronts(t *testing.T) {
	needsIntegerPrograms(t)
	for _, c := range publishedCases(t) {
		methods := map[string]func(context.Context, problem, func(found)) (found, error){"boxes": boxes}
		if len(c.Objectives) == 2 {
			methods["sweep"] = sweep
			if c.Variables > 60 {
				delete(methods, "boxes") // minutes
			}
		}
		for name, search := range methods {
			if c.Name == "mkp-3obj-40" && !*long {
				continue
			}
			t.Run(c.Name+"/"+name, func(t *testing.T) {
				t.Parallel()
				engine := &counted{solver: glpk{}}
				p := newPlain(c, engine)
				got, err := search(context.Background(), p, nil)
				if err != nil {
					t.Fatal(err)
				}
				var have [][]int64
				for _, s := range got.points {
					v := slices.Clone(s.values)
					for i := range v {
						v[i] *= p.sign(i)
					}
					have = append(have, v)
				}
				slices.SortFunc(have, slices.Compare[[]int64])
				if !got.complete || !slices.EqualFunc(have, c.Front, slices.Equal[[]int64]) {
					t.Errorf("front of %d points %v, want %d %v (%s)", len(have), have, len(c.Front), c.Front, c.Source)
				}
				per := float64(engine.n) / float64(len(c.Front))
				t.Logf("%d points, %d solves, %.2f a point", len(have), engine.n, per)
				if most := map[string]float64{"sweep": 1.6, "boxes": 3.6}[name]; per > most && len(c.Front) > 3 {
					t.Errorf("%.2f solves a point, at most %.1f wanted", per, most)
				}
			})
		}
	}
}
