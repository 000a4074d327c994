package optimize

import (
	"math"

	"stavewright/optimize/mip"
)

// Model is the integer program "least core mass within every limit", with the mass in g, and with EI at the measuring
// station at least minEI (N·m², at the resolution; −Inf: not bounded). Its optimum at gap 0 is the mass of the front's point there.
// notes say what a linear program cannot hold exactly.
func Model(p *Program, minEI float64) (m *mip.Model, notes []string, err error) {
	return export(p, minEI, false)
}

// PlainModel is the same program without classes: every count of strips of a wood in a group a whole number, and nothing else. It is
// how one would write it down, and far harder for a solver where groups are alike.
func PlainModel(p *Program, minEI float64) (m *mip.Model, notes []string, err error) {
	return export(p, minEI, true)
}

func export(p *Program, minEI float64, plain bool) (m *mip.Model, notes []string, err error) {
	f, err := newForm(p)
	if err != nil {
		return nil, nil, err
	}
	f.plain = plain
	if hole := f.hole(); hole != nil {
		return nil, nil, &InfeasibleError{hole}
	}
	mass, err := f.objective(Mass)
	if err != nil {
		return nil, nil, err
	}
	ei, err := f.objective(EI)
	if err != nil {
		return nil, nil, err
	}
	q := f.newFormProblem(everyLimit, []objectiveForm{mass, ei}, nil)
	upper := []int64{openHigh, openHigh}
	if !math.IsInf(minEI, -1) {
		upper[1] = -int64(math.Round(minEI / f.res.EINM2))
	}
	q.prepare([]int64{1, 0}, upper)
	m = q.c.m
	m.Name = p.Model
	for i, r := range q.rows {
		if q.low[i] > q.high[i] || m.Rows[r].Low > m.Rows[r].High {
			// Crossed bounds are infeasible by themselves, but no file format can say so: two rows can.
			m.Rows = append(m.Rows, mip.Row{Name: m.Rows[r].Name + ", upper bound", Low: math.Inf(-1), High: m.Rows[r].High, Terms: m.Rows[r].Terms})
			m.Rows[r].High = math.Inf(1)
		}
	}
	// Rows that bound nothing are the search's own.
	kept := m.Rows[:0]
	for _, r := range m.Rows {
		if !math.IsInf(r.Low, -1) || !math.IsInf(r.High, 1) {
			kept = append(kept, r)
		}
	}
	m.Rows = kept
	perG := math.Round(1 / f.massUnit)
	for i := range m.Columns {
		m.Columns[i].Objective /= perG
	}
	m.Constant /= perG
	return m, f.notes(f.newScatter()), nil
}

// An InfeasibleError carries why a program has no layout.
type InfeasibleError struct{ Why *Infeasible }

func (e *InfeasibleError) Error() string {
	s := "no layout is possible"
	for _, c := range e.Why.Clash {
		s += ": " + c
	}
	return s
}
