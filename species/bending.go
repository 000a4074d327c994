package species

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// A BendingTest is one three-point bending test of a small clear piece: a row of the job book's Tests sheet. The load
// stands in the middle of the span, the depth is in the direction of the load.
type BendingTest struct {
	Wood                     string
	SpanMM, WidthMM, DepthMM float64
	SlopeNPerMM              float64 // load over deflection, below the proportional limit
	MaxLoadN                 float64 // 0: not taken to failure
	DensityKgM3              float64 // 0: not weighed
}

// ratioEG is the modulus along the grain over the shear modulus when it is not known (Wood Handbook chapter 9).
const ratioEG = 16

// leastSpanDepths is the span, in depths, below which the test measures shear more than bending. Standards ask for 12 to 14.
const leastSpanDepths = 8

// check returns the first fault of the test.
func (b BendingTest) check() *RowError {
	for _, c := range []struct {
		column string
		v      float64
		need   bool
	}{
		{"Span mm", b.SpanMM, true}, {"Width mm", b.WidthMM, true}, {"Depth mm", b.DepthMM, true},
		{"Slope N/mm", b.SlopeNPerMM, true}, {"Max load N", b.MaxLoadN, false}, {"Density kg/m3", b.DensityKgM3, false},
	} {
		if math.IsNaN(c.v) || math.IsInf(c.v, 0) || c.v < 0 || (c.need && c.v == 0) {
			return &RowError{0, c.column, fmt.Sprintf("%s is not a number above 0", plain(c.v)), "write what was measured"}
		}
	}
	if b.SpanMM < leastSpanDepths*b.DepthMM {
		return &RowError{0, "Span mm", fmt.Sprintf("a span of %s mm is only %.1f times the depth", plain(b.SpanMM), b.SpanMM/b.DepthMM),
			"test on a span of 12 to 14 depths, or put depth and width the right way round"}
	}
	return nil
}

// Modulus is the modulus of elasticity, GPa, as the test shows it and with the shear deflection in it removed:
// P L³/(4 δ b h³), and that times 1 + 1.2 (E/G) (h/L)² with E/G = 16 (ASTM D143, Wood Handbook Eqs. 9-2 and 9-4).
// An error when a measure is missing, or the span is shorter than 8 depths.
func (b BendingTest) Modulus() (apparentGPa, trueGPa float64, err error) {
	if bad := b.check(); bad != nil {
		return 0, 0, fmt.Errorf("%s: %s; %s", bad.Column, bad.Problem, bad.Advice)
	}
	slender := b.DepthMM / b.SpanMM
	apparentGPa = b.SlopeNPerMM / (4 * b.WidthMM * slender * slender * slender) / 1000 // 1 GPa is 1000 N/mm²
	trueGPa = apparentGPa * (1 + 1.2*ratioEG*slender*slender)
	return apparentGPa, trueGPa, nil
}

// Strength is the bending strength 3 P L/(2 b h²), MPa; ok is false when the piece was not taken to failure or a measure
// is missing.
func (b BendingTest) Strength() (mpa float64, ok bool) {
	if b.MaxLoadN == 0 || b.check() != nil {
		return 0, false
	}
	return 3 * b.MaxLoadN * b.SpanMM / (2 * b.WidthMM * b.DepthMM * b.DepthMM), true
}

// scatterTests is how many pieces it takes before their scatter says something of the wood's.
const scatterTests = 5

// WithTests is the table with figures from the user's bending tests, taken as they are: not moved with moisture, the
// modulus the true one. Several tests of one wood count by their mean; from five on, their scatter is the wood's. A wood
// must be in the table or added by [Table.With] before. A figure given there and tested as well is an error: one must go;
// only a coefficient of variation given there stands. The error joins a [RowError] for every row at fault.
func (t *Table) WithTests(tests ...BendingTest) (*Table, error) {
	var errs []*RowError
	rows := map[string][]int{} // by wood id
	for row, b := range tests {
		id, err := t.names.lookup(b.Wood, dropNotes)
		var named interface{ Problem() string }
		if errors.As(err, &named) {
			errs = append(errs, &RowError{row, "Wood", named.Problem(),
				"write a wood of the table, or name it on the Woods sheet first"})
		}
		if bad := b.check(); bad != nil {
			bad.Row = row
			errs = append(errs, bad)
		} else if err == nil {
			rows[id] = append(rows[id], row)
		}
	}
	entries := slices.Clone(t.entries)
	for _, id := range slices.Sorted(maps.Keys(rows)) {
		w := &entries[indexOf(entries, id)].wood
		var moduli, strengths, densities []float64
		for _, row := range rows[id] {
			_, trueGPa, _ := tests[row].Modulus() // checked above
			moduli = append(moduli, trueGPa)
			if mpa, ok := tests[row].Strength(); ok {
				strengths = append(strengths, mpa)
			}
			if d := tests[row].DensityKgM3; d > 0 {
				densities = append(densities, d)
			}
		}
		tested := OwnWood{Wood: id}
		for _, f := range []struct {
			values []float64
			own    *Figure
			to     **float64
			column string
		}{
			{moduli, &w.ModulusGPa, &tested.ModulusGPa, "Slope N/mm"},
			{strengths, &w.BendingStrengthMPa, &tested.BendingStrengthMPa, "Max load N"},
			{densities, &w.DensityKgM3, &tested.DensityKgM3, "Density kg/m3"},
		} {
			if len(f.values) == 0 {
				continue
			}
			if f.own.Status == Own {
				errs = append(errs, &RowError{rows[id][0], f.column, fmt.Sprintf("%s has this figure both from tests and of its own (%s)",
					w.CommonName, plain(f.own.Value)), "clear the cell here or the one on the Woods sheet"})
				continue
			}
			m := stat.Mean(f.values, nil)
			*f.to = &m
		}
		if len(moduli) >= scatterTests && w.ModulusCVPct.Status != Own {
			cv := 100 * stat.StdDev(moduli, nil) / stat.Mean(moduli, nil)
			tested.ModulusCVPct = &cv
		}
		tested.Source = fmt.Sprintf("from %d bending tests, the mean of those that measured it; shear deflection removed with E/G %d", len(moduli), ratioEG)
		if len(moduli) == 1 {
			tested.Source = fmt.Sprintf("one bending test, shear deflection removed with E/G %d", ratioEG)
		}
		for _, bad := range tested.override(w) {
			column := "Slope N/mm"
			switch bad.Column {
			case "Density kg/m3":
				column = bad.Column
			case "Bending strength MPa":
				column = "Max load N"
			}
			errs = append(errs, &RowError{rows[id][0], column, fmt.Sprintf("the tests of %s come to %s that is not a wood's: %s",
				w.CommonName, bad.Column, bad.Problem), "check the measures and their units"})
		}
	}
	if len(errs) > 0 {
		slices.SortStableFunc(errs, func(a, b *RowError) int { return cmp.Compare(a.Row, b.Row) })
		return nil, joined(errs)
	}
	return newTable(t.lib, entries, t.names, t.cond), nil
}
