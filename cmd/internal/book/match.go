package book

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
)

// mostFactors is how many profile factors one match may search: far more than a mill can tell apart.
const mostFactors = 200

// ProfileFactors are low, low + step and so on up to high, reckoned in decimals, so that 0.95 and ten steps of 0.01 are 1.05.
// The error says what is wrong with the three, in words that go for a cell as for a flag.
func ProfileFactors(low, high, step float64) ([]float64, error) {
	for _, f := range []struct {
		name string
		v    float64
	}{{"lowest", low}, {"highest", high}} {
		if !(f.v >= leastFactor && f.v <= greatestFactor) {
			return nil, fmt.Errorf("the %s profile factor is %s; it must be from %s to %s", f.name, plain(f.v), plain(leastFactor), plain(greatestFactor))
		}
	}
	if low > high {
		return nil, fmt.Errorf("the lowest profile factor is %s, above the highest, which is %s", plain(low), plain(high))
	}
	if !(step > 0 && step <= greatestFactor) {
		return nil, fmt.Errorf("the step of the profile factors is %s; it must be above 0 and at most %s", plain(step), plain(greatestFactor))
	}
	if n := (high-low)/step + 1; n > mostFactors {
		return nil, fmt.Errorf("%s to %s in steps of %s are more than %d profile factors; take larger steps", plain(low), plain(high), plain(step), mostFactors)
	}
	var out []float64
	end, by := decimal.NewFromFloat(high), decimal.NewFromFloat(step)
	for f := decimal.NewFromFloat(low); f.LessThanOrEqual(end); f = f.Add(by) {
		out = append(out, f.InexactFloat64())
	}
	return out, nil
}

// MatchOptions is what the book asks of a match for a model: how near EI must come to the reference's, at the places of its
// targets, over its profile factors; the rounding and the least thickness are the shop's. What the book leaves open is left to
// [optimize.Match].
func (j *Job) MatchOptions(md *Model) optimize.MatchOptions {
	o := optimize.MatchOptions{WithinPct: md.Limits.EqualFlexPct.Value, Factors: md.factors, RoundingMM: j.Shop.ProfileRoundingMM, LeastMM: j.Shop.LeastThicknessMM}
	for _, w := range md.Windows {
		o.Stations = append(o.Stations, w.FromTipMM)
	}
	slices.Sort(o.Stations)
	o.Stations = slices.Compact(o.Stations)
	return o
}

// matchLimits checks what a model's limits say of flex, strength and profile factors, which may come from two rows. limit
// gives the row that a column's value is from.
func (m *modelReader) matchLimits(md *Model, row func(column string) *record) {
	l := &md.Limits
	fault := func(column, problem, advice string) {
		rec := row(column)
		m.fault("Limits", rec.row, rec.at(column).col, fmt.Sprintf("%s for %q, %s", column, md.Name, problem), advice)
	}
	for _, f := range []struct {
		limit  optimize.Limit
		column string
	}{{l.FlexLow, "Flex low"}, {l.FlexHigh, "Flex high"}, {l.MaxUtilisationPct, "Max utilisation"}, {l.DesignLoadN, "Design load"}} {
		switch {
		case !f.limit.Set || md.SpanMM == 0 && !m.spanless(md): // a faulty span has been reported
		case md.SpanMM == 0 && f.column == "Design load":
			rec := row(f.column)
			m.warn("Limits", rec.row, rec.at(f.column).col, fmt.Sprintf("model %q has no support span; its strength is not reckoned", md.Name),
				fmt.Sprintf("give its Support span (Models, row %d)", md.row))
		case md.SpanMM == 0:
			fault(f.column, "but the model has no support span", fmt.Sprintf("give its Support span (Models, row %d), or clear the cell", md.row))
		case f.column == "Max utilisation" && !l.DesignLoadN.Set && row("Design load").good("Design load"):
			fault(f.column, "but there is no design load", "give the Design load in N, or clear the cell")
		}
	}
	if l.FlexLow.Set && l.FlexHigh.Set && l.FlexLow.Value > l.FlexHigh.Value {
		fault("Flex high", fmt.Sprintf("%s N/mm, is below Flex low, %s N/mm (%s)", plain(l.FlexHigh.Value), plain(l.FlexLow.Value), l.FlexLow.Where), "the two must not cross")
	}
	low, high, step := l.ProfileFactorLow, l.ProfileFactorHigh, l.ProfileFactorStep
	if !low.Set && !high.Set {
		return
	}
	orElse := func(l optimize.Limit, v float64) float64 {
		if l.Set {
			return l.Value
		}
		return v
	}
	var err error
	if md.factors, err = ProfileFactors(orElse(low, 1), orElse(high, 1), orElse(step, 0.01)); err != nil {
		column := "Profile factor low"
		if !low.Set {
			column = "Profile factor high"
		}
		fault(column, sentence(err), "")
	}
}

// spanless tells whether the Models sheet gives no support span at all; a faulty one has been reported.
func (m *modelReader) spanless(md *Model) bool {
	t := m.t["Models"]
	at := slices.IndexFunc(t.records, func(o record) bool { return o.row == md.row })
	return !t.records[at].at("Support span").bad
}
