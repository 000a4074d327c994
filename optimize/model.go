package optimize

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// A solver solves one integer program. Tests put in one that counts or fails.
type solver interface {
	Solve(context.Context, *mip.Model, mip.Options) (mip.Result, error)
}

// glpk is the solver of the full build.
type glpk struct{}

func (glpk) Solve(ctx context.Context, m *mip.Model, o mip.Options) (mip.Result, error) {
	return mip.Solve(ctx, m, o)
}

// A classModel is a form as an integer program. Groups whose coefficients agree in every row but mass form a class; the
// class counts are the integers and the group counts stay continuous: for whole class counts what is left is a transportation problem,
// whose vertices are whole. Only mass may differ inside a class, and mass is only ever minimised or bounded from
// above, so a bound that a fractional split keeps is kept by the lightest whole one as well.
type classModel struct {
	f       *form
	active  func(*limit) bool
	scatter *scatterForm
	m       *mip.Model
	column  []int   // by variable: its group count
	class   []int   // by group
	members [][]int // by class: its groups
	count   [][]int // [class][candidate] → column of the class count, −1 where not allowed
	used    []int   // by candidate: column of "is used", or nil
	fill    int     // the first rows: every group full, classes the sums of their groups
	rows    map[string]int
}

// model builds the program over the active limits. key forms are further forms, by variable, that classes must agree in
// because the search bounds or minimises them.
func (f *form) model(active func(*limit) bool, s *scatterForm, cuts []*limit, key ...[]int64) *classModel {
	c := &classModel{f: f, active: active, scatter: s, m: &mip.Model{Name: f.p.Model}, rows: map[string]int{}}
	key = append(key, f.measure.coef)
	if s != nil {
		key = append(key, s.variance, s.dev)
	}
	for _, l := range f.limits {
		if active(l) && l.kind == linear && !l.mass {
			key = append(key, l.coef)
		}
	}
	for _, l := range cuts {
		key = append(key, l.coef)
	}
	banned := func(v variable) bool { return f.banned(v, active) }
	c.classify(key, banned)
	c.addCounts(banned)
	c.fill = len(c.m.Rows)
	c.addUsed()
	for _, l := range f.limits {
		if active(l) && l.kind == linear {
			c.bound(l)
		}
	}
	for _, l := range cuts {
		c.bound(l)
	}
	if s != nil {
		c.addScatter()
	}
	return c
}

// classify groups the groups by their coefficients.
func (c *classModel) classify(key [][]int64, banned func(variable) bool) {
	f := c.f
	seen := map[string]int{}
	c.class = make([]int, len(f.groups))
	for gi, g := range f.groups {
		k := binary.AppendVarint(nil, int64(g.PerSide))
		for ci := range f.p.Candidates {
			v := f.at[gi][ci]
			if v < 0 || banned(f.vars[v]) {
				k = append(k, 0)
				continue
			}
			k = append(k, 1)
			for _, coef := range key {
				k = binary.AppendVarint(k, coef[v])
			}
			if f.ride != nil {
				k = append(k, f.ride.profile(v)...)
			}
		}
		id, ok := seen[string(k)]
		if !ok || f.plain {
			id = len(c.members)
			seen[string(k)] = id
			c.members = append(c.members, nil)
		}
		c.class[gi] = id
		c.members[id] = append(c.members[id], gi)
	}
}

func (c *classModel) addColumn(col mip.Column) int {
	c.m.Columns = append(c.m.Columns, col)
	return len(c.m.Columns) - 1
}

func (c *classModel) addRow(r mip.Row) int {
	c.m.Rows = append(c.m.Rows, r)
	return len(c.m.Rows) - 1
}

// addCounts adds group counts, class counts and what ties them together.
func (c *classModel) addCounts(banned func(variable) bool) {
	f := c.f
	c.column = make([]int, len(f.vars))
	c.count = make([][]int, len(c.members))
	for id, members := range c.members {
		c.count[id] = make([]int, len(f.p.Candidates))
		strips := 0
		for _, gi := range members {
			strips += len(f.groups[gi].Strips)
		}
		for ci, cand := range f.p.Candidates {
			c.count[id][ci] = -1
			if v := f.at[members[0]][ci]; v >= 0 && !banned(f.vars[v]) && len(members) > 1 {
				c.count[id][ci] = c.addColumn(mip.Column{High: float64(strips), Integer: true,
					Name: fmt.Sprintf("strips of %s in class %d", f.p.Board.Woods[cand.Wood].ID, id+1)})
			}
		}
	}
	for v, va := range f.vars {
		c.column[v] = -1
		if banned(va) {
			continue
		}
		id, g := c.class[va.group], f.groups[va.group]
		single := len(c.members[id]) == 1
		first, last := g.Strips[0]+1, g.Strips[len(g.Strips)-1]+1
		c.column[v] = c.addColumn(mip.Column{High: float64(len(g.Strips)), Integer: single,
			Name: fmt.Sprintf("%s of strips %d-%d at %s", f.p.Board.Woods[f.woodOf(va)].ID, first, last, f.p.Board.Positions[g.Position].Name)})
		if single {
			c.count[id][va.cand] = c.column[v]
		}
	}
	for gi, g := range f.groups {
		r := mip.Row{Name: fmt.Sprintf("strips %d-%d", g.Strips[0]+1, g.Strips[len(g.Strips)-1]+1),
			Low: float64(len(g.Strips)), High: float64(len(g.Strips))}
		for _, v := range f.at[gi] {
			if v >= 0 && c.column[v] >= 0 {
				r.Terms = append(r.Terms, mip.Term{Column: c.column[v], Coefficient: 1})
			}
		}
		c.addRow(r)
	}
	for id, members := range c.members {
		if len(members) == 1 {
			continue
		}
		for ci, col := range c.count[id] {
			if col < 0 {
				continue
			}
			r := mip.Row{Name: fmt.Sprintf("class %d of %s", id+1, f.p.Board.Woods[f.p.Candidates[ci].Wood].ID)}
			for _, gi := range members {
				r.Terms = append(r.Terms, mip.Term{Column: c.column[f.at[gi][ci]], Coefficient: 1})
			}
			r.Terms = append(r.Terms, mip.Term{Column: col, Coefficient: -1})
			c.addRow(r)
		}
	}
}

// addUsed adds "is used" for each candidate where a limit asks for it. One row for all groups: a row per group is tighter
// and four times slower.
func (c *classModel) addUsed() {
	f := c.f
	var most, least *limit
	for _, l := range f.limits {
		if c.active(l) && l.kind == maxWoods {
			most = l
		}
		if c.active(l) && l.kind == minStrips {
			least = l
		}
	}
	if most == nil && least == nil {
		return
	}
	c.used = make([]int, len(f.p.Candidates))
	for ci, cand := range f.p.Candidates {
		name := f.p.Board.Woods[cand.Wood].ID
		c.used[ci] = c.addColumn(mip.Column{Name: name + " is used", High: 1, Integer: true})
		var terms []mip.Term
		var all float64
		for id, members := range c.members {
			if col := c.count[id][ci]; col >= 0 {
				for _, gi := range members {
					all += float64(f.groups[gi].PerSide * len(f.groups[gi].Strips))
				}
				terms = append(terms, mip.Term{Column: col, Coefficient: float64(f.groups[members[0]].PerSide)})
			}
		}
		row := func(word string, u, low, high float64) {
			t := append(slices.Clone(terms), mip.Term{Column: c.used[ci], Coefficient: -u})
			c.addRow(mip.Row{Name: name + word, Low: low, High: high, Terms: t})
		}
		row(" only when used", all, math.Inf(-1), 0)
		if least != nil {
			row(" enough when used", float64(least.value), 0, math.Inf(1))
		}
	}
	if most != nil {
		r := mip.Row{Name: "woods", Low: math.Inf(-1), High: float64(most.value)}
		for _, u := range c.used {
			r.Terms = append(r.Terms, mip.Term{Column: u, Coefficient: 1})
		}
		c.addRow(r)
	}
}

// terms are a form over the columns: class counts where the class agrees, group counts for mass.
func (c *classModel) terms(coef []int64, mass bool) []mip.Term {
	var t []mip.Term
	if mass {
		for v, col := range c.column {
			if col >= 0 && coef[v] != 0 {
				t = append(t, mip.Term{Column: col, Coefficient: float64(coef[v])})
			}
		}
		return t
	}
	for id, members := range c.members {
		for ci, col := range c.count[id] {
			if col < 0 {
				continue
			}
			if k := coef[c.f.at[members[0]][ci]]; k != 0 {
				t = append(t, mip.Term{Column: col, Coefficient: float64(k)})
			}
		}
	}
	return t
}

// half keeps an integer bound half a unit away from the solver's tolerance.
func half(low, high int64) (float64, float64) {
	l, h := math.Inf(-1), math.Inf(1)
	if low != openLow {
		l = float64(low) - 0.5
	}
	if high != openHigh {
		h = float64(high) + 0.5
	}
	return l, h
}

// bound adds a limit to the row of its form.
func (c *classModel) bound(l *limit) {
	i := c.row(l.form, l.coef, l.mass)
	k := l.offset
	low, high := l.low, l.high
	if low != openLow {
		low -= k
	}
	if high != openHigh {
		high -= k
	}
	lo, hi := half(low, high)
	c.m.Rows[i].Low = max(c.m.Rows[i].Low, lo)
	c.m.Rows[i].High = min(c.m.Rows[i].High, hi)
	if c.m.Rows[i].Low > c.m.Rows[i].High {
		// Crossed by themselves: nothing fits, which a solver is told by a row that nothing keeps.
		c.m.Rows[i].High = math.Inf(1)
		c.addRow(mip.Row{Name: l.form + " crossed", Low: 1, High: 1})
	}
}

// row is the row of a form, added open when it is not there yet.
func (c *classModel) row(form string, coef []int64, mass bool) int {
	i, ok := c.rows[form]
	if !ok {
		i = c.addRow(mip.Row{Name: form, Low: math.Inf(-1), High: math.Inf(1), Terms: c.terms(coef, mass)})
		c.rows[form] = i
	}
	return i
}

// addScatter adds the outer form of the scatter limit: see [scatterForm].
func (c *classModel) addScatter() {
	s, f := c.scatter, c.f
	n := len(s.breaks) - 1
	if n < 1 { // C is the same for every layout
		v := int64(math.Floor(s.allowance(s.breaks[0]) * s.giveWay()))
		c.addVariation(math.Inf(-1), float64(v)+0.5, nil)
		return
	}
	one := mip.Row{Name: "one stretch of C", Low: 1, High: 1}
	sum := mip.Row{Name: "C in its stretch", Terms: c.terms(f.measure.coef, false)}
	var chordTerms []mip.Term
	for k := range n {
		a, b := s.breaks[k], s.breaks[k+1]
		z := c.addColumn(mip.Column{Name: fmt.Sprintf("stretch %d of C", k+1), High: 1, Integer: true})
		d := c.addColumn(mip.Column{Name: fmt.Sprintf("C within stretch %d", k+1), High: float64(b - a)})
		one.Terms = append(one.Terms, mip.Term{Column: z, Coefficient: 1})
		sum.Terms = append(sum.Terms, mip.Term{Column: z, Coefficient: -float64(a)}, mip.Term{Column: d, Coefficient: -1})
		c.addRow(mip.Row{Name: fmt.Sprintf("C only within stretch %d", k+1), Low: math.Inf(-1), High: 0,
			Terms: []mip.Term{{Column: d, Coefficient: 1}, {Column: z, Coefficient: -float64(b - a)}}})
		at, slope := s.chord(a, b)
		chordTerms = append(chordTerms, mip.Term{Column: z, Coefficient: -at}, mip.Term{Column: d, Coefficient: -slope})
	}
	c.addRow(one)
	c.addRow(sum)
	c.addVariation(math.Inf(-1), 0.5, chordTerms)
}

// addVariation adds (1−ρ) V + ρ q ≤ high + chords, with q above every tangent of the square of the deviation.
func (c *classModel) addVariation(low, high float64, chords []mip.Term) {
	s := c.scatter
	r := mip.Row{Name: "scatter", Low: low, High: high, Terms: chords}
	for _, t := range c.terms(s.variance, false) {
		r.Terms = append(r.Terms, mip.Term{Column: t.Column, Coefficient: t.Coefficient * (1 - s.rho)})
	}
	if s.rho > 0 {
		q := c.addColumn(mip.Column{Name: "square of the deviation", High: math.Inf(1)})
		r.Terms = append(r.Terms, mip.Term{Column: q, Coefficient: s.rho})
		scale := s.devUnit * s.devUnit / s.varUnit
		for i, d := range s.tangents {
			x := float64(d)
			t := mip.Row{Name: fmt.Sprintf("tangent %d of the square", i+1), Low: math.Inf(-1), High: x * x * scale}
			for _, k := range c.terms(s.dev, false) {
				t.Terms = append(t.Terms, mip.Term{Column: k.Column, Coefficient: 2 * x * scale * k.Coefficient})
			}
			t.Terms = append(t.Terms, mip.Term{Column: q, Coefficient: -1})
			c.addRow(t)
		}
	}
	c.addRow(r)
}

// chord is the line over a stretch of C that lies above the allowance: its value at a and its slope.
func (s *scatterForm) chord(a, b int64) (at, slope float64) {
	w := s.giveWay()
	ga, gb := s.allowance(a)*w, s.allowance(b)*w
	slope = (gb - ga) / float64(b-a)
	// G is convex wherever the layers do not outweigh the core by far; where it is not, the chord is raised above it.
	var over float64
	const probes = 16
	for k := 1; k < probes; k++ {
		x := a + (b-a)*int64(k)/probes
		over = max(over, s.allowance(x)*w-ga-slope*float64(x-a))
	}
	if over < 1e-6*ga {
		over = 0
	}
	return ga + 2*over, slope
}

var errRound = errors.New("the solver's answer does not survive exact recomputation")

// recover turns a solver's answer into counts: class counts rounded, group counts as found when they are whole, else the
// lightest assignment by one more (linear) solve; then everything is checked in integers.
func (c *classModel) recover(ctx context.Context, s solver, x []float64) ([]int64, error) {
	f := c.f
	n := make([]int64, len(f.vars))
	whole := true
	for v, col := range c.column {
		if col < 0 {
			continue
		}
		n[v] = int64(math.Round(x[col]))
		if math.Abs(x[col]-float64(n[v])) > 1e-6 {
			whole = false
		}
	}
	if !whole {
		if err := c.lightest(ctx, s, x, n); err != nil {
			return nil, err
		}
	}
	for gi, g := range f.groups {
		var k int64
		for _, v := range f.at[gi] {
			if v >= 0 {
				k += n[v]
			}
		}
		if k != int64(len(g.Strips)) {
			return nil, fmt.Errorf("%w: group %d holds %d strips, not %d", errRound, gi+1, k, len(g.Strips))
		}
	}
	for _, l := range f.limits {
		if l.kind != scatter && !l.leaf() && c.active(l) && !f.keeps(l, n, c.scatter) {
			return nil, fmt.Errorf("%w: it breaks %q", errRound, l.name)
		}
	}
	return n, nil
}

// lightest fills n with the lightest assignment for the class counts of x: a transportation problem.
func (c *classModel) lightest(ctx context.Context, s solver, x []float64, n []int64) error {
	m := &mip.Model{Name: c.m.Name, Columns: slices.Clone(c.m.Columns), Rows: c.m.Rows[:c.fill]}
	for i := range m.Columns {
		m.Columns[i].Objective = 0
	}
	for v, col := range c.column {
		if col >= 0 {
			m.Columns[col].Objective = float64(c.f.mass[v])
		}
	}
	for _, cols := range c.count {
		for _, col := range cols {
			if col >= 0 && c.m.Columns[col].Integer {
				k := math.Round(x[col])
				m.Columns[col].Low, m.Columns[col].High = k, k
			}
		}
	}
	for i := range m.Columns {
		m.Columns[i].Integer = false
	}
	r, err := s.Solve(ctx, m, mip.Options{})
	if err != nil {
		return err
	}
	if r.Status != mip.Optimal {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fmt.Errorf("%w: the assignment inside the classes has no solution", errRound)
	}
	for v, col := range c.column {
		if col >= 0 {
			n[v] = int64(math.Round(r.X[col]))
			if math.Abs(r.X[col]-float64(n[v])) > 1e-6 {
				return fmt.Errorf("%w: the assignment inside the classes is not whole", errRound)
			}
		}
	}
	return nil
}
