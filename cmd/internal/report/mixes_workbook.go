package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
)

// MixesWorkbook writes the search for mixes as an XLSX workbook in the manner of [FrontWorkbook]: the current mix beside alternatives, the
// lightest layout by tenths of share and its native chart, every step, the three-way front, what each wood brings, and its sources.
func MixesWorkbook(w io.Writer, r *optimize.MixesResult) error {
	m, err := newMixing(r)
	if err != nil {
		return err
	}
	return writeWorkbook(w, "Mixes of "+clean(r.Program.Model), func(b *workbook) {
		p := m.program
		all := m.layouts()
		if r.Front != nil {
			for i := range r.Front.Points {
				all = append(all, r.Front.Points[i].Layout)
			}
		}
		b.marked, _ = woodMarks(p, p.Board, all)
		b.mixSummary(m)
		if len(r.Breaks) > 0 {
			b.mixGrid(m)
			b.mixBreaks(m)
		}
		if len(m.columns) > 0 {
			b.mixMadeOf(m)
			b.layouts(p, m.chosen())
			b.along(p, m.chosen())
		}
		if r.Front != nil && len(r.Front.Points) > 0 {
			b.front(r.Front)
		}
		b.mixWoods(m)
		b.offers(p)
		b.leftOut(p)
		b.cautions()
	})
}

func (m *mixing) chosen() []chosenPoint {
	var out []chosenPoint
	for _, c := range m.columns {
		pt := *c.point
		pt.ID, pt.Knee = 0, false // these have names
		out = append(out, chosenPoint{c.name, pt})
	}
	return out
}

func (b *workbook) mixSummary(m *mixing) {
	const sheet = "Summary"
	p, r := m.program, m.r
	b.sheet(sheet, true)
	b.words(sheet, 1, 1, clean(p.Model)+": fast-grown share against weight and cost", b.titleStyle())
	row := b.paragraph(sheet, 3, m.asked(), b.wrapStyle())
	row = b.paragraph(sheet, row, m.fastWords()+m.floorWords(), b.wrapStyle())
	head, words, done := m.proof()
	style := b.wrapStyle()
	if !done {
		style = b.alertStyle()
	}
	row = b.paragraph(sheet, row, head+": "+words, style)
	for _, s := range r.Broken {
		row = b.paragraph(sheet, row, "The current mix breaks a limit that the others keep: "+s, b.alertStyle())
	}
	for _, s := range []string{m.greatestWords(), m.frontWords(), meaning(p)} {
		if s != "" {
			row = b.paragraph(sheet, row, s, b.wrapStyle())
		}
	}
	b.do(b.f.SetColWidth(sheet, "A", "H", 15))
	if r.Infeasible != nil {
		b.clash(sheet, row, r.Infeasible)
		return
	}
	if in := r.Unmatched; in != nil {
		row = b.list(sheet, row+1, "These limits clash at equal flex", in.Clash)
		row = b.list(sheet, row, "What would help, each alone", sentences(in.Relaxations))
		row = b.list(sheet, row, "What would help, all of these together", sentences(in.Together))
	}
	if len(m.columns) > 0 {
		fields := []field{{head: "Figure", width: 44}, {head: "Unit", width: 9}}
		for _, c := range m.columns {
			fields = append(fields, field{head: c.name, width: 13})
		}
		if m.current {
			for _, c := range m.columns[1:] {
				fields = append(fields, field{head: c.name + ", less current", width: 13})
			}
		}
		var rows [][]any
		for _, f := range m.rows() {
			number := format(f.decimals)
			line := []any{f.label, f.unit}
			for _, of := range f.of {
				line = append(line, measured{value: value(of.known, roundTo(of.value, f.decimals)), format: number})
			}
			if m.current {
				for _, of := range f.of[1:] {
					d := value(of.known && f.of[0].known, roundTo(of.value, f.decimals)-roundTo(f.of[0].value, f.decimals))
					line = append(line, measured{value: d, format: "+" + number + ";-" + number + ";" + number})
				}
			}
			rows = append(rows, line)
		}
		row = b.table(sheet, 1, row+1, fields, rows, nil)
		var how []string
		for i, c := range m.columns {
			how = append(how, c.name+": "+c.how+". "+strings.Join(m.noticed(i), " "))
		}
		row = b.list(sheet, row+1, "How they are chosen, and what a rider would notice", append(how, m.same()))
	}
	b.list(sheet, row+1, "How it is reckoned", m.mixReckoned())
}

// mixGrid is the lightest layout by tenths of share, and the chart of every step of mass over share.
func (b *workbook) mixGrid(m *mixing) {
	const sheet = "Steps"
	b.sheet(sheet, true)
	p, steps := m.program, resolution(m.program)
	mass := format(decimals(steps.MassG))
	read := newReading(b.marked)
	fields := []field{{head: "At least % fast-grown", width: 11, format: "0"}, {head: "Core mass g", width: 11, format: mass},
		{head: "More than the lightest g", width: 12, format: "+" + mass + ";-" + mass + ";" + mass}, {head: eiHead(p), width: 12, format: format(decimals(steps.EINM2))},
		{head: flexHead(p), width: 11, format: "0.00"}, {head: "Scatter of EI %", width: 10, format: "0.00"}, {head: "Kept up to %", width: 10, format: "0.00"},
		{head: "Layout, centre line | edge", width: 34}}
	if m.priced() {
		fields = append(fields, field{head: "Cost " + clean(p.Currency), width: 11, format: format(moneyDecimals(p))})
	}
	var rows [][]any
	for _, g := range m.r.Grid {
		if g.Break < 0 {
			row := make([]any, len(fields))
			row[0], row[7] = value(true, g.MinPct), m.noneWords()
			rows = append(rows, row)
			continue
		}
		k := &m.r.Breaks[g.Break]
		pt := &k.Point
		row := []any{value(true, g.MinPct), value(true, pt.CoreMassG), value(true, pt.CoreMassG-m.r.Breaks[0].Point.CoreMassG), value(true, pt.EINM2),
			value(pt.Figures.Flex.Known, flexOf(p.Board, pt)), value(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct), value(true, k.SharePct), strings.Join(read.strips(pt.Runs), "|")}
		if m.priced() {
			row = append(row, moneyValue(*pt))
		}
		rows = append(rows, row)
	}
	next := b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 1, 1)
	b.mixChart(m, sheet, cellName(1, next+1))
}

// mixChart draws the least mass over the least share as the stairs that it is, from the table "Every step", and the current mix beside it.
func (b *workbook) mixChart(m *mixing, sheet, at string) {
	n := len(m.stairs())
	series := []excelize.ChartSeries{{Name: quoted(everyStep) + "!$B$1", Categories: span(everyStep, 1, 2, n+1), Values: span(everyStep, 2, 2, n+1),
		Line: excelize.LineOptions{Type: excelize.LineSolid, Width: 1.75}, Fill: solid("2F5D50"), Marker: excelize.ChartMarker{Symbol: "none"}}}
	if m.current {
		series = append(series, excelize.ChartSeries{Name: quoted(everyStep) + "!$E$1", Categories: span(everyStep, 4, 2, 2), Values: span(everyStep, 5, 2, 2),
			Line: excelize.LineOptions{Type: excelize.LineNone}, Marker: marker("x", 10, "B00020")})
	}
	var y []float64
	for _, s := range m.stairs() {
		y = append(y, s[1])
	}
	if m.current {
		y = append(y, m.r.Reference.CoreMassG)
	}
	x, up := axis{low: 0, high: 100}, rounded(slices.Min(y), slices.Max(y), 9, 0, 1)
	b.chart(sheet, at, "Least core mass g "+m.riding()+", by least fast-grown share %", "Stairs of the least mass; the current mix is marked.", &excelize.Chart{
		Type: excelize.Scatter, Series: series, Dimension: excelize.ChartDimension{Width: 860, Height: 420}, Legend: excelize.ChartLegend{Position: "bottom"},
		XAxis: chartAxis("Fast-grown share by volume, at least %", &x), YAxis: chartAxis("Core mass g", &up),
	})
}

// stairs are the corners of the least mass as a function of the least share: share and mass.
func (m *mixing) stairs() [][2]float64 {
	var out [][2]float64
	from := 0.0
	for i := range m.r.Breaks {
		k := &m.r.Breaks[i]
		out = append(out, [2]float64{from, k.Point.CoreMassG}, [2]float64{k.SharePct, k.Point.CoreMassG})
		from = k.SharePct
	}
	return out
}

// everyStep is the sheet of the steps, from which a chart on another is drawn.
const everyStep = "Every step"

// mixBreaks is every step: the stairs that the chart is drawn from, and the steps themselves beside them.
func (b *workbook) mixBreaks(m *mixing) {
	p, steps := m.program, resolution(m.program)
	mass := format(decimals(steps.MassG))
	const stairs = everyStep
	b.sheet(stairs, false)
	var rows [][]any
	for _, s := range m.stairs() {
		rows = append(rows, []any{value(true, s[0]), value(true, s[1])})
	}
	b.table(stairs, 1, 1, []field{{head: "Least share %", width: 11, format: "0.00"}, {head: "Least core mass g", width: 12, format: mass}}, rows, nil)
	if m.current {
		b.table(stairs, 4, 1, []field{{head: "Current share %", width: 11, format: "0.00"}, {head: "Current core mass g", width: 12, format: mass}},
			[][]any{{value(true, m.columns[0].share), value(true, m.r.Reference.CoreMassG)}}, nil)
	}
	b.freeze(stairs, 0, 1)

	const sheet = "Breaks"
	b.sheet(sheet, false)
	read := newReading(b.marked)
	fields := []field{{head: "Step", width: 7}, {head: "Kept up to %", width: 10, format: "0.00"}, {head: "Core mass g", width: 11, format: mass}, {head: eiHead(p), width: 12, format: format(decimals(steps.EINM2))},
		{head: flexHead(p), width: 11, format: "0.00"}, {head: "Scatter of EI %", width: 10, format: "0.00"}, {head: "Fast-grown % of mass", width: 11, format: "0.00"},
		{head: "Fast-grown % of lumber", width: 11, format: "0.00"}, {head: "Mean rotation shortest years", width: 12, format: "0.0"}, {head: "Mean rotation longest years", width: 12, format: "0.0"},
		{head: "Wood per year of growth least cm³", width: 13, format: "0.0"}, {head: "Wood per year of growth most cm³", width: 13, format: "0.0"},
		{head: "Stored carbon as CO2 kg", width: 11, format: "0.000"},
		{head: "Profile factor", width: 9, format: "0.00##"}, {head: "Layout, centre line | edge", width: 34}, {head: "Above it", width: 60, wrap: true}}
	if m.priced() {
		fields = append(fields, field{head: "Cost " + clean(p.Currency), width: 11, format: format(moneyDecimals(p))})
	}
	rows = nil
	for i := range m.r.Breaks {
		k := &m.r.Breaks[i]
		pt := &k.Point
		x := profiled(p, pt).Mix(pt)
		above := m.noneWords()
		if i+1 < len(m.r.Breaks) {
			above = wentWords(k)
		}
		row := []any{i + 1, value(true, k.SharePct), value(true, pt.CoreMassG), value(true, pt.EINM2), value(pt.Figures.Flex.Known, flexOf(p.Board, pt)),
			value(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct), value(true, x.FastMassPct), value(x.LumberKnown, x.FastLumberPct), value(x.RotationKnown, x.RotationLow),
			value(x.RotationKnown, x.RotationHigh), value(x.RotationKnown, x.PerYearLow), value(x.RotationKnown, x.PerYearHigh), value(x.CarbonKnown, x.StoredCO2Kg), value(true, pt.ProfileFactor),
			strings.Join(read.strips(pt.Runs), "|"), above}
		if m.priced() {
			row = append(row, moneyValue(*pt))
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 2, 1)
}

// mixMadeOf is what each wood brings to each of the layouts side by side.
func (b *workbook) mixMadeOf(m *mixing) {
	const sheet = "Made of"
	b.sheet(sheet, false)
	fields := []field{{head: "Layout", width: 20}, {head: "Wood", width: 26}, {head: "Fast-grown", width: 9}, {head: "Strips a core", width: 9}, {head: "Volume cm³", width: 11, format: "0.0"},
		{head: "Volume %", width: 10, format: "0.00"}, {head: "Mass g", width: 10, format: "0.0"}, {head: "Mass %", width: 10, format: "0.00"}, {head: "Lumber bought cm³", width: 11, format: "0.0"},
		{head: "Lumber %", width: 10, format: "0.00"}, {head: "Lumber carried t·km", width: 11, format: "0.000"}, {head: "Stored carbon as CO2 kg", width: 11, format: "0.000"}}
	var rows [][]any
	for _, c := range m.columns {
		x := c.mix
		for _, w := range x.Woods {
			rows = append(rows, []any{c.name, c.program.Board.Woods[w.Wood].ID, yesNo(w.Fast), w.Strips, value(true, w.VolumeCM3), value(x.VolumeCM3 > 0, percent(w.VolumeCM3, x.VolumeCM3)),
				value(true, w.MassG), value(x.MassG > 0, percent(w.MassG, x.MassG)), value(x.LumberKnown, w.LumberCM3), value(x.LumberKnown && x.LumberCM3 > 0, percent(w.LumberCM3, x.LumberCM3)), value(w.Carried, w.TonneKM),
				value(x.CarbonKnown && c.program.Board.Woods[w.Wood].Woody(), w.StoredCO2Kg)})
		}
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 2, 1)
}

// mixWoods is what is known of how the woods grow, with its sources.
func (b *workbook) mixWoods(m *mixing) {
	const sheet = "Woods"
	b.sheet(sheet, false)
	fields := []field{{head: "Letter", width: 7}, {head: "Wood", width: 26}, {head: "Latin name", width: 24}, {head: "Fast-grown", width: 9}, {head: "Rotation shortest years", width: 11, format: "0"},
		{head: "Rotation longest years", width: 11, format: "0"}, {head: "Status", width: 14, wrap: true}, {head: "Source of the rotation", width: 50, wrap: true}, {head: "Growth", width: 26, wrap: true},
		{head: "Source of the growth", width: 40, wrap: true}, {head: "Certified", width: 9},
		{head: "Stored carbon as CO2 kg/m³", width: 12, format: "0"}}
	var rows [][]any
	for _, r := range m.woodRows(b.marked) {
		perM3, known := m.carbonPerM3(&r.wood)
		low, high := r.wood.RotationLowYears, r.wood.RotationHighYears
		rows = append(rows, []any{r.mark.Letter, r.wood.ID, r.wood.LatinName, yesNo(r.fast), value(low.Known(), low.Value), value(high.Known(), high.Value), r.status, r.source, r.growth, r.origin, r.certificate(), value(known, perM3)})
	}
	if len(rows) == 0 {
		b.words(sheet, 1, 1, "No layout, no woods.", b.headingStyle())
		return
	}
	b.words(sheet, 1, 1, fmt.Sprintf("Fast-grown is at most %s years, the longest usual rotation (sheet Shop).", trimmed(m.program.Limits.FastUpToYears)), b.headingStyle())
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 2, 2)
}
