package optimize

import (
	"context"
	"errors"
	"fmt"
	"math"

	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// Layouts are the layouts of a program as a part of a larger integer program: columns that count strips, and rows that hold every limit that is linear
// in them. The objective is left to the larger program.
type Layouts struct {
	c *classModel
	// Uses are the columns of which a purchase depends.
	Uses []LayoutUse
	// Groups are the strips that are alike all along the board, with the columns that count them.
	Groups []LayoutGroup
	// Notes say what the rows cannot hold exactly. A layout read back has to be checked for it ([Check]).
	Notes []string
}

// A LayoutUse is a column that counts strips of one wood, as one side of the board has them.
type LayoutUse struct {
	Column              int // index into the part's columns
	Position, Candidate int // of Board.Positions, of Program.Candidates
	Pieces              int // strips of the whole board for each that is counted: 2, or 1 on the centre line
	Strips              int // the column's greatest value
}

// A LayoutGroup counts strips of the same shape.
type LayoutGroup struct {
	Strips  []int // indices into Board.Strips()
	Columns []int // by candidate; −1: not allowed
}

// NewLayouts states the layouts of p. kind tells apart woods at positions that the larger program treats differently: strips of one wood are counted
// together only where it agrees. A program that no wood can fill is an [*InfeasibleError].
func NewLayouts(p *Program, kind func(position, candidate int) int) (*Layouts, error) {
	f, err := newForm(p)
	if err != nil {
		return nil, err
	}
	if hole := f.hole(); hole != nil {
		return nil, &InfeasibleError{hole}
	}
	scatter := f.newScatter()
	var cuts []*limit
	for _, l := range f.limits {
		if l.kind == flexLow || l.kind == flexHigh {
			cuts = append(cuts, f.ride.cuts(l)...)
		}
	}
	l := &Layouts{c: f.model(everyLimit, scatter, cuts, f.kindForm(kind)), Notes: f.notes(scatter)}
	for id, members := range l.c.members {
		strips := 0
		for _, g := range members {
			strips += len(f.groups[g].Strips)
		}
		g := f.groups[members[0]]
		for ci, col := range l.c.count[id] {
			if col >= 0 {
				l.Uses = append(l.Uses, LayoutUse{Column: col, Position: g.Position, Candidate: ci, Pieces: g.Pieces, Strips: strips})
			}
		}
	}
	for gi, g := range f.groups {
		lg := LayoutGroup{Strips: g.Strips}
		for _, v := range f.at[gi] {
			col := -1
			if v >= 0 {
				col = l.c.column[v]
			}
			lg.Columns = append(lg.Columns, col)
		}
		l.Groups = append(l.Groups, lg)
	}
	return l, nil
}

// kindForm is a form over the variables that differs where the kind of strip or the pieces of a board do.
func (f *form) kindForm(kind func(position, candidate int) int) []int64 {
	out := make([]int64, len(f.vars))
	for v, va := range f.vars {
		g := f.groups[va.group]
		out[v] = int64(kind(g.Position, va.cand))*2 + int64(g.Pieces-1)
	}
	return out
}

// Columns are the part's columns.
func (l *Layouts) Columns() []mip.Column { return l.c.m.Columns }

// Rows are the part's rows, over its own columns.
func (l *Layouts) Rows() []mip.Row { return l.c.m.Rows }

// Layout reads values of the part's columns: counts rounded, strips that only differ in mass put where the core is lightest. An error
// says what the rounded counts break; limits that the rows cannot hold exactly are left to [Check].
func (l *Layouts) Layout(ctx context.Context, x []float64) (core.Layout, error) {
	n, err := l.c.recover(ctx, glpk{}, x)
	if err != nil {
		return nil, err
	}
	return l.c.f.layout(n), nil
}

// Values are the values of the part's columns at a layout; NaN for columns that follow from the others. A layout with a wood where the program does
// not allow it is an error.
func (l *Layouts) Values(layout core.Layout) ([]float64, error) {
	f, c := l.c.f, l.c
	n, err := f.counts(layout)
	if err != nil {
		return nil, err
	}
	x := make([]float64, len(c.m.Columns))
	for i := range x {
		x[i] = math.NaN()
	}
	for _, cols := range c.count {
		for _, col := range cols {
			if col >= 0 {
				x[col] = 0
			}
		}
	}
	used := make([]bool, len(f.p.Candidates))
	for v, va := range f.vars {
		k := float64(n[v])
		if c.column[v] < 0 {
			if k > 0 {
				return nil, errors.New("the layout has a wood that a limit rules out")
			}
			continue
		}
		used[va.cand] = used[va.cand] || k > 0
		x[c.column[v]] = k
		if col := c.count[c.class[va.group]][va.cand]; col != c.column[v] {
			x[col] += k
		}
	}
	for ci, col := range c.used {
		x[col] = 0
		if used[ci] {
			x[col] = 1
		}
	}
	return x, nil
}

// Cuts are rows that every layout within the limits keeps and this one, which breaks a limit that the part's rows do not hold exactly, does not; none where
// no such row is known.
func (l *Layouts) Cuts(layout core.Layout) ([]mip.Row, error) {
	f := l.c.f
	n, err := f.counts(layout)
	if err != nil {
		return nil, err
	}
	var out []mip.Row
	for _, b := range f.breaks(n, l.c.scatter) {
		if b.kind == flexLow {
			cut := f.ride.tangent(b, n, 0)
			low, high := half(cut.low, cut.high)
			out = append(out, mip.Row{Low: low, High: high, Terms: l.c.terms(cut.coef, false)})
		}
	}
	return out, nil
}

// Cheapest is the layout whose strips cost least by themselves, of equally cheap ones the lightest. It is nil when ctx ended before that was known.
// When no layout keeps the limits the error is an [*InfeasibleError].
func Cheapest(ctx context.Context, p *Program) (core.Layout, error) {
	f, err := newForm(p)
	if err != nil {
		return nil, err
	}
	why, complete := f.hole(), true
	var n []int64
	if why == nil {
		if n, complete, err = f.cheapest(ctx); err != nil {
			return nil, err
		}
		if n == nil && complete {
			if why, err = f.explain(ctx, Options{}); err != nil {
				return nil, err
			}
		}
	}
	switch {
	case !complete:
		return nil, nil
	case n == nil:
		return nil, &InfeasibleError{why}
	}
	return f.layout(n), nil
}

// cheapest finds the layout whose strips cost least, the lightest of them. Two integer programs find it many times faster than enumeration,
// which has the whole front of both on the way; but they cannot decide every limit.
func (f *form) cheapest(ctx context.Context) (n []int64, complete bool, err error) {
	objectives := []Objective{Cost, Mass}
	if !f.priced {
		objectives = []Objective{Mass, EI}
	}
	if mip.Available {
		n, complete, err = f.end(ctx, Options{Method: IntegerProgram}, objectives, false)
		if needs := (*NeedsEnumerationError)(nil); !errors.As(err, &needs) {
			return n, complete, err
		}
	}
	return f.end(ctx, Options{}, objectives, false)
}

// Lightest is the canonical one of the layouts that take the same strips as l, as kind tells strips apart: the least core mass, then the greatest EI, by the
// program's resolution. When ctx ends first, it is l itself.
func Lightest(ctx context.Context, p *Program, l core.Layout, kind func(position, candidate int) int) (core.Layout, error) {
	f, err := newForm(p)
	if err != nil {
		return nil, err
	}
	like, err := f.counts(l)
	if err != nil {
		return nil, err
	}
	coef, most := map[int][]int64{}, 0
	for v, va := range f.vars {
		k := kind(f.groups[va.group].Position, va.cand)
		if coef[k] == nil {
			coef[k] = make([]int64, len(f.vars))
		}
		coef[k][v] = int64(f.groups[va.group].Pieces)
		most = max(most, k)
	}
	for k := -1; k <= most; k++ {
		if coef[k] != nil {
			n := dot(coef[k], like)
			f.limits = append(f.limits, &limit{kind: linear, name: fmt.Sprintf("kind %d", k), form: fmt.Sprintf("kind %d", k), coef: coef[k], low: n, high: n,
				text: func(n int64) string { return fmt.Sprintf("%d strips", n) }})
		}
	}
	n, complete, err := f.end(ctx, Options{}, []Objective{Mass, EI}, false)
	if err != nil || !complete || n == nil {
		return l, err
	}
	return f.layout(n), nil
}

// notes say what a linear program of a form cannot hold exactly.
func (f *form) notes(s *scatterForm) (notes []string) {
	if s != nil {
		notes = append(notes, fmt.Sprintf("the scatter limit is not linear: it is written as %d chords, which let through at most a few thousandths more than the limit", chords))
	}
	for _, l := range f.limits {
		switch l.kind {
		case flexLow:
			notes = append(notes, l.named()+": written as tangents, which let through layouts a little below it")
		case flexHigh:
			notes = append(notes, l.named()+": written as a chord, which lets through layouts a little above it")
		case strength:
			notes = append(notes, l.named()+": not linear, and not in the program")
		}
	}
	return notes
}

// broken names the limits that counts break, with what they have instead; nil: none.
func (f *form) broken(n []int64) []string {
	var out []string
	for _, b := range f.breaks(n, f.newScatter()) {
		s := b.name
		if has := f.reached(b, n); has != "" {
			s += ": it has " + has
		}
		if b.where != "" {
			s += " (" + b.where + ")"
		}
		out = append(out, s)
	}
	return out
}
