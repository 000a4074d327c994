package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// FrontWorkbook writes a front as an XLSX workbook: numbers as numbers with their units in the headings, charts the
// spreadsheet program draws itself, the same bytes for the same result.
func FrontWorkbook(w io.Writer, r *optimize.FrontResult) error {
	return writeWorkbook(w, "Front of "+clean(r.Program.Model), func(b *workbook) {
		p := r.Program
		b.marked, _ = woodMarks(p, p.Board, layoutsOf(r.Points, p.Reference))
		along := chosen(r.Points)
		b.frontSummary(r, along)
		if len(r.Points) > 0 {
			b.front(r)
			b.layouts(p, numbered(r.Points))
			b.along(p, along)
			b.stations(p, numbered(r.Points))
		}
		b.offers(p)
		b.leftOut(p)
		b.cautions()
	})
}

// CheckWorkbook writes one layout as an XLSX workbook in the manner of [FrontWorkbook].
func CheckWorkbook(w io.Writer, c *optimize.CheckResult) error {
	p, points := c.Program, []optimize.Point{c.Point}
	s, err := strengthOf(p, c.Point.Layout)
	if err != nil {
		return err
	}
	return writeWorkbook(w, "Layout of "+clean(p.Model), func(b *workbook) {
		b.marked, _ = woodMarks(p, p.Board, layoutsOf(points, p.Reference))
		b.checkSummary(c)
		b.strength(p, &c.Point, s)
		b.layouts(p, numbered(points))
		b.along(p, []chosenPoint{{"This layout", c.Point}})
		b.stations(p, numbered(points))
		b.offers(p)
		b.leftOut(p)
		b.cautions()
	})
}

// A chosenPoint is a point that a chart or a summary singles out; without a name its number stands for it.
type chosenPoint struct {
	name  string
	point optimize.Point
}

func numbered(points []optimize.Point) []chosenPoint {
	out := make([]chosenPoint, len(points))
	for i, pt := range points {
		out[i].point = pt
	}
	return out
}

// label is a point's name, or its number; a layout that is no point of a front has neither.
func (c chosenPoint) label() any {
	switch {
	case c.name != "":
		return c.name
	case c.point.ID == 0:
		return nil
	}
	return c.point.ID
}

// chosen are the ends of a front, its knee and its cheapest point, each once.
func chosen(points []optimize.Point) []chosenPoint {
	if len(points) == 0 {
		return nil
	}
	var out []chosenPoint
	add := func(name string, p optimize.Point) {
		for i := range out {
			if out[i].point.ID == p.ID {
				out[i].name += ", " + strings.ToLower(name)
				return
			}
		}
		out = append(out, chosenPoint{name, p})
	}
	stiffest := slices.MaxFunc(points, func(a, b optimize.Point) int { return cmp.Compare(a.EINM2, b.EINM2) })
	add("Lightest", points[0])
	for _, p := range points {
		if p.Knee {
			add("Knee", p)
		}
	}
	add("Stiffest", stiffest)
	for _, p := range points {
		if p.Cheapest {
			add("Cheapest", p)
			break
		}
	}
	return out
}

// Summary

func (b *workbook) frontSummary(r *optimize.FrontResult, along []chosenPoint) {
	const sheet = "Summary"
	p := r.Program
	b.sheet(sheet, true)
	b.words(sheet, 1, 1, clean(p.Model)+": "+objectives(r), b.titleStyle())
	row := 3
	if in := r.Infeasible; in != nil {
		row = b.paragraph(sheet, row, "No layout keeps every limit: proven "+byMethod(r)+".", b.alertStyle())
		row = b.paragraph(sheet, row, meaning(p), b.wrapStyle())
		b.clash(sheet, row, in)
		b.do(b.f.SetColWidth(sheet, "A", "H", 15))
		return
	}
	style := b.wrapStyle()
	if !r.Complete {
		style = b.alertStyle()
	}
	row = b.paragraph(sheet, row, proofWords(r), style)
	row = b.paragraph(sheet, row, meaning(p), b.wrapStyle())
	for _, s := range []string{kneeWords(r), againstReference(r)} {
		if s != "" {
			row = b.paragraph(sheet, row, s, b.wrapStyle())
		}
	}
	if len(r.Points) == 0 {
		b.do(b.f.SetColWidth(sheet, "A", "H", 15))
		return
	}
	steps := resolution(p)
	fields := []field{{head: "Point", width: 22}, {head: "No.", width: 8}, {head: "Core mass g", width: 13, format: format(decimals(steps.MassG))},
		{head: eiHead(p), width: 15, format: format(decimals(steps.EINM2))}, {head: flexHead(p), width: 15, format: "0.00"},
		{head: "Scatter of EI %", width: 12, format: "0.0"}, {head: "Fast-grown % of volume", width: 14, format: "0.0"}}
	var rows [][]any
	for _, c := range along {
		pt := c.point
		rows = append(rows, []any{c.name, pt.ID, value(true, pt.CoreMassG), value(true, pt.EINM2), value(pt.Figures.Flex.Known, flexOf(p.Board, &pt)),
			value(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct), value(true, pt.FastGrownPct)})
	}
	if priced(r.Points) {
		fields = append(fields, field{head: "Cost " + clean(p.Currency), width: 13, format: format(moneyDecimals(p))})
		for i, c := range along {
			rows[i] = append(rows[i], moneyValue(c.point))
		}
	} else {
		b.do(b.f.SetColWidth(sheet, "H", "H", 13))
	}
	knee := slices.IndexFunc(along, func(c chosenPoint) bool { return c.point.Knee })
	kneeRow := 0
	if knee >= 0 {
		kneeRow = row + 2 + knee
	}
	row = b.table(sheet, 1, row+1, fields, rows, func(i int) bool { return i == knee })
	b.frontChart(r, sheet, kneeRow, cellName(1, row+1))
}

func (b *workbook) checkSummary(c *optimize.CheckResult) {
	const sheet = "Summary"
	p := c.Program
	b.sheet(sheet, true)
	b.words(sheet, 1, 1, clean(p.Model)+": one layout, as calculated", b.titleStyle())
	row := 3
	if len(c.Broken) == 0 {
		row = b.paragraph(sheet, row, "It keeps every limit of the job book.", b.wrapStyle())
	} else {
		row = b.paragraph(sheet, row, fmt.Sprintf("It breaks %s:", count(len(c.Broken), "limit")), b.alertStyle())
		for _, s := range c.Broken {
			row = b.paragraph(sheet, row, s, b.wrapStyle())
		}
	}
	row = b.paragraph(sheet, row, meaning(p), b.wrapStyle())
	var rows [][]any
	for _, f := range figureRows(p, c.Point) {
		rows = append(rows, []any{f.name, f.measured(), f.unit})
	}
	rows = append(rows, holdingRows(p, c.Point)...)
	row = b.table(sheet, 1, row+1, []field{{head: "Figure", width: 48}, {head: "Value", width: 14}, {head: "Unit", width: 10}}, rows, nil)
	b.do(b.f.SetColWidth(sheet, "D", "H", 13))
	b.list(sheet, row+1, "How it is reckoned", reckoned(p))
}

// list writes a heading and a line for each entry, and returns the row after a gap; nothing for no entries.
func (b *workbook) list(sheet string, row int, heading string, entries []string) int {
	if len(entries) == 0 {
		return row
	}
	b.words(sheet, 1, row, heading, b.headingStyle())
	row++
	for _, e := range entries {
		row = b.paragraph(sheet, row, e, b.wrapStyle())
	}
	return row + 1
}

func sentences(rs []optimize.Relaxation) []string {
	var out []string
	for _, r := range rs {
		out = append(out, relaxationWords(r))
	}
	return out
}

func eiHead(p *optimize.Program) string {
	if p.Board.Section == core.Pressed {
		return "EI pressed N·m²"
	}
	return "EI core N·m²"
}

func flexHead(p *optimize.Program) string {
	if p.Board.Section == core.Pressed {
		return "Flex pressed N/mm"
	}
	return "Flex core N/mm"
}

func priced(points []optimize.Point) bool {
	return slices.ContainsFunc(points, func(p optimize.Point) bool { return p.HasCost })
}

// moneyValue is a cost as the number of a cell. It is shown, never reckoned with: totals are made in decimals before.
func moneyValue(pt optimize.Point) any {
	if !pt.HasCost {
		return nil
	}
	return pt.Cost.InexactFloat64()
}

// Front

func (b *workbook) front(r *optimize.FrontResult) {
	const sheet = "Front"
	p := r.Program
	b.sheet(sheet, false)
	steps := resolution(p)
	mass, ei := format(decimals(steps.MassG)), format(decimals(steps.EINM2))
	type column struct {
		field
		value func(optimize.Point) any
	}
	read := newReading(b.marked)
	columns := []column{
		{field{head: "Point", width: 7}, func(pt optimize.Point) any { return pt.ID }},
		{field{head: "Core mass g", width: 11, format: mass}, func(pt optimize.Point) any { return value(true, pt.CoreMassG) }},
		{field{head: eiHead(p), width: 12, format: ei}, func(pt optimize.Point) any { return value(true, pt.EINM2) }},
		{field{head: "Mark", width: 16}, func(pt optimize.Point) any { return marks(pt) }},
		{field{head: "Layout, centre line | edge", width: 34}, func(pt optimize.Point) any { return strings.Join(read.strips(pt.Runs), "|") }},
		{field{head: "Cost " + clean(p.Currency), width: 11, format: format(moneyDecimals(p))}, moneyValue},
		{field{head: "Pressed mass g", width: 11, format: mass}, func(pt optimize.Point) any {
			return value(pt.Figures.PressedMassKnown, pt.Figures.PressedMassG)
		}},
		{field{head: "Glue g", width: 9, format: mass}, func(pt optimize.Point) any { return value(true, pt.Figures.GlueMassG) }},
		{field{head: "Bare core EI N·m²", width: 12, format: ei}, func(pt optimize.Point) any { return value(true, pt.Figures.Measure.CoreEINM2) }},
		{field{head: "Pressed board EI N·m²", width: 12, format: ei}, func(pt optimize.Point) any { return value(true, pt.Figures.Measure.PressedEINM2) }},
		{field{head: "Flex core N/mm", width: 10, format: "0.000"}, func(pt optimize.Point) any { return value(pt.Figures.Flex.Known, pt.Figures.Flex.CoreNPerMM) }},
		{field{head: "Flex pressed N/mm", width: 10, format: "0.000"}, func(pt optimize.Point) any {
			return value(pt.Figures.Flex.Known, pt.Figures.Flex.PressedNPerMM)
		}},
		{field{head: "Scatter of EI %", width: 10, format: "0.00"}, func(pt optimize.Point) any { return value(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct) }},
		{field{head: "Left against right %", width: 10, format: "0.00"}, func(pt optimize.Point) any {
			return value(pt.Figures.Scatter.Known, pt.Figures.Scatter.LeftRightPct)
		}},
		{field{head: "Fast-grown % of volume", width: 11, format: "0.0"}, func(pt optimize.Point) any { return value(true, pt.FastGrownPct) }},
		{field{head: "Certified % of volume", width: 11, format: "0.0"}, func(pt optimize.Point) any { return value(true, pt.CertifiedPct) }},
	}
	if !priced(r.Points) {
		columns = slices.DeleteFunc(columns, func(c column) bool { return strings.HasPrefix(c.head, "Cost ") })
	}
	var fields []field
	for _, c := range columns {
		fields = append(fields, c.field)
	}
	var rows [][]any
	for _, pt := range r.Points {
		var row []any
		for _, c := range columns {
			row = append(row, c.value(pt))
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 1, fields, rows, func(i int) bool { return r.Points[i].Knee })
	b.freeze(sheet, 1, 1)
}

// frontChart draws EI over core mass from the Front sheet, and the knee from a row of the summary's own table, which stays
// where it is when someone sorts the front.
func (b *workbook) frontChart(r *optimize.FrontResult, sheet string, kneeRow int, at string) {
	n := len(r.Points)
	series := []excelize.ChartSeries{{
		Name: "Front!$A$1", Categories: span("Front", 2, 2, n+1), Values: span("Front", 3, 2, n+1),
		Line: excelize.LineOptions{Type: excelize.LineNone}, Marker: marker("circle", 6, "8A6D3B"),
	}}
	if kneeRow > 0 {
		series = append(series, excelize.ChartSeries{
			Name: quoted(sheet) + "!" + absolute(1, kneeRow), Categories: span(sheet, 3, kneeRow, kneeRow), Values: span(sheet, 4, kneeRow, kneeRow),
			Line: excelize.LineOptions{Type: excelize.LineNone}, Marker: marker("diamond", 11, "B00020"),
		})
	}
	var mass, ei []float64
	for _, pt := range r.Points {
		mass, ei = append(mass, pt.CoreMassG), append(ei, pt.EINM2)
	}
	x, y := rounded(slices.Min(mass), slices.Max(mass), 9, 0, 1), rounded(slices.Min(ei), slices.Max(ei), 9, 0, 1)
	b.chart(sheet, at, eiHead(r.Program)+" at "+size(r.Program.Board.MeasureAtMM)+" mm over core mass g", "The points of the front; the knee is marked.", &excelize.Chart{
		Type: excelize.Scatter, Series: series, Dimension: excelize.ChartDimension{Width: 860, Height: 420}, Legend: excelize.ChartLegend{Position: "bottom"},
		XAxis: chartAxis("Core mass g", &x), YAxis: chartAxis(eiHead(r.Program), &y),
	})
}

// Layouts

// layouts shows every strip of every layout as a cell in its wood's colour, from the centre line outward.
func (b *workbook) layouts(p *optimize.Program, points []chosenPoint) {
	const sheet = "Layouts"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "Strips of one side, from the centre line outward; a centre-line position with all its strips", b.headingStyle())
	upright := b.style("upright", &excelize.Style{Font: &excelize.Font{Family: typeface, Bold: true, Color: "FFFFFF"}, Fill: headFill,
		Alignment: &excelize.Alignment{TextRotation: 90, Horizontal: "center"}})
	const head = 2
	b.words(sheet, 1, head, "Point", b.headStyle())
	b.words(sheet, 2, head, "Core mass g", b.headStyle())
	b.words(sheet, 3, head, eiHead(p), b.headStyle())
	const first = 4
	col, longest := first, 0
	start := map[string]int{} // column of a position's first strip
	for _, pos := range p.Board.Positions {
		start[pos.Name] = col
		for i := range pos.Strips {
			b.words(sheet, col, head, fmt.Sprint(clipped(clean(pos.Name), 18), " ", i+1), upright)
			longest = max(longest, min(len([]rune(clean(pos.Name))), 18)+3)
			col++
		}
		col++ // a gap between positions
	}
	b.height(sheet, head, float64(min(max(7*longest, 40), 160)))
	look, letter := b.key(sheet, col, head)
	steps := resolution(p)
	widest := 7
	for i, c := range points {
		row, pt := head+1+i, c.point
		widest = max(widest, len(c.name)+2)
		for i, v := range []any{c.label(), value(true, pt.CoreMassG), value(true, pt.EINM2)} {
			at := cellName(1+i, row)
			b.do(b.f.SetCellValue(sheet, at, v))
			b.do(b.f.SetCellStyle(sheet, at, at, b.numberStyle([]string{"", format(decimals(steps.MassG)), format(decimals(steps.EINM2))}[i], pt.Knee)))
		}
		used := map[string]int{}
		for _, run := range pt.Runs {
			for range run.PerSide {
				b.words(sheet, start[run.Position]+used[run.Position], row, letter[run.Wood], look[run.Wood])
				used[run.Position]++
			}
		}
	}
	b.do(b.f.SetColWidth(sheet, "A", "A", float64(widest)))
	b.do(b.f.SetColWidth(sheet, "B", "C", 12))
	for c := first; c <= col; c++ {
		name, err := excelize.ColumnNumberToName(c)
		b.do(err)
		b.do(b.f.SetColWidth(sheet, name, name, 3.6))
	}
	b.freeze(sheet, 3, head)
}

// key writes what the letters mean, below a cell, and returns each wood's look and letter by its id.
func (b *workbook) key(sheet string, col, row int) (look map[string]int, letter map[string]string) {
	look, letter = map[string]int{}, map[string]string{}
	b.words(sheet, col+1, row, "Woods", b.headStyle())
	for _, m := range b.marked {
		row++
		look[m.Wood.ID] = b.style("wood "+m.Colour+m.Letter, &excelize.Style{
			Fill:      solid(strings.TrimPrefix(m.Colour, "#")),
			Font:      &excelize.Font{Family: typeface, Bold: true, Color: "1F1B16"},
			Alignment: &excelize.Alignment{Horizontal: "center"},
			Border:    []excelize.Border{{Type: "left", Color: "FFFFFF", Style: 1}, {Type: "bottom", Color: "FFFFFF", Style: 1}},
		})
		letter[m.Wood.ID] = m.Letter
		b.words(sheet, col, row, m.Letter, look[m.Wood.ID])
		words := m.Wood.ID
		if m.Wood.CommonName != "" && m.Wood.CommonName != m.Wood.ID {
			words += ", " + m.Wood.CommonName
		}
		b.words(sheet, col+1, row, words, b.textStyle(false, false))
	}
	name, err := excelize.ColumnNumberToName(col + 1)
	b.do(err)
	b.do(b.f.SetColWidth(sheet, name, name, 44))
	return look, letter
}

// Stations

func (b *workbook) stations(p *optimize.Program, points []chosenPoint) {
	const sheet = "Stations"
	b.sheet(sheet, false)
	ei := format(decimals(resolution(p).EINM2))
	meant := "pressed"
	if p.Board.Section != core.Pressed {
		meant = "core"
	}
	fields := []field{
		{head: "Point", width: 11}, {head: "From tip mm", width: 9}, {head: "Core width mm", width: 9, format: "0.0"},
		{head: "Core thickness mm", width: 10, format: "0.00#"}, {head: "Bare core EI N·m²", width: 11, format: ei},
		{head: "Pressed board EI N·m²", width: 12, format: ei}, {head: "Low limit on " + meant + " EI N·m²", width: 13, format: ei},
		{head: "High limit on " + meant + " EI N·m²", width: 13, format: ei}, {head: "Neutral axis above mid-core mm", width: 13, format: "0.000"},
		{head: "Core's part in pressed EI %", width: 12, format: "0.0"},
	}
	var rows [][]any
	for _, c := range points {
		for _, a := range alongRows(p, c.point) {
			s := a.section
			low, high := windowValues(a.window)
			rows = append(rows, []any{c.label(), value(true, s.FromTipMM), value(true, s.WidthMM), value(true, s.ThicknessMM),
				value(true, s.CoreEINM2), value(true, s.PressedEINM2), low, high, value(true, s.AxisMM), value(true, 100*s.CoreShare)})
		}
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 2, 1)
}

// along draws EI along the board, of the chosen layouts, with the windows on it, from tables of its own: a filter on the
// Stations sheet would take the chart's rows away.
func (b *workbook) along(p *optimize.Program, along []chosenPoint) {
	const sheet = "Along"
	b.sheet(sheet, true)
	ei := format(decimals(resolution(p).EINM2))
	fields := []field{{head: "From tip mm", width: 10}}
	name := func(c chosenPoint) string {
		if c.point.ID == 0 {
			return c.name
		}
		return fmt.Sprintf("%s (point %d)", c.name, c.point.ID)
	}
	for _, c := range along {
		fields = append(fields, field{head: name(c) + " EI N·m²", width: 16, format: ei})
	}
	var rows [][]any
	for i, s := range along[0].point.Figures.Stations {
		row := []any{value(true, s.FromTipMM)}
		for _, c := range along {
			row = append(row, value(true, c.point.Figures.Stations[i].EINM2(p.Board.Section)))
		}
		rows = append(rows, row)
	}
	below := b.table(sheet, 1, 1, fields, rows, nil)
	colours := []string{"8A6D3B", "B00020", "2F5D50", "5B4B8A"}
	var series []excelize.ChartSeries
	for i := range along {
		series = append(series, excelize.ChartSeries{
			Name: fmt.Sprintf("%s!%s", quoted(sheet), absolute(2+i, 1)), Categories: span(sheet, 1, 2, len(rows)+1), Values: span(sheet, 2+i, 2, len(rows)+1),
			Marker: excelize.ChartMarker{Symbol: "none"},
			Fill:   solid(colours[i%len(colours)]), // a scatter's line takes the series' fill, not the line's
			Line:   excelize.LineOptions{Type: excelize.LineSolid, Width: 1.75},
		})
	}
	if windows := p.Limits.Windows; len(windows) > 0 {
		at := below + 1
		var rows [][]any
		for _, w := range windows {
			low, high := windowValues(&w)
			rows = append(rows, []any{value(true, w.FromTipMM), low, high})
		}
		b.table(sheet, 1, at, []field{{head: "Window at mm", width: 10}, {head: "Low limit, " + eiHead(p), width: 16, format: ei},
			{head: "High limit, " + eiHead(p), width: 16, format: ei}}, rows, nil)
		for i, symbol := range []string{"triangle", "diamond"} {
			series = append(series, excelize.ChartSeries{
				Name: fmt.Sprintf("%s!%s", quoted(sheet), absolute(2+i, at)), Categories: span(sheet, 1, at+1, at+len(windows)), Values: span(sheet, 2+i, at+1, at+len(windows)),
				Line: excelize.LineOptions{Type: excelize.LineNone}, Marker: marker(symbol, 8, "1F1B16"),
			})
		}
	}
	b.freeze(sheet, 1, 1)
	length := rounded(0, p.Board.LengthMM(), 10, 0, 1)
	b.chart(sheet, cellName(max(len(fields), 3)+2, 2), eiHead(p)+" along the board", "A line for each layout; the windows of the job book are marked.", &excelize.Chart{
		Type: excelize.Scatter, Series: series, Dimension: excelize.ChartDimension{Width: 860, Height: 440}, Legend: excelize.ChartLegend{Position: "bottom"}, ShowBlanksAs: "gap",
		XAxis: chartAxis("From tip mm", &length), YAxis: chartAxis(eiHead(p), nil),
	})
}

func windowValues(w *optimize.Window) (low, high any) {
	if w == nil {
		return nil, nil
	}
	return value(w.Low.Set, w.Low.Value), value(w.High.Set, w.High.Value)
}

// Offers, what was left out, cautions

func (b *workbook) offers(p *optimize.Program) {
	const sheet = "Offers"
	b.sheet(sheet, false)
	fields := []field{
		{head: "Wood", width: 22}, {head: "Positions", width: 22, wrap: true}, {head: "Cost of a strip " + clean(p.Currency), width: 12, format: "0.0000"},
		{head: "Supplier", width: 24}, {head: "File", width: 18}, {head: "Sheet", width: 14}, {head: "Cell", width: 7}, {head: "Wood as named there", width: 22},
		{head: "Grade", width: 12}, {head: "Thickness mm", width: 10, format: "0.0##"}, {head: "Width mm", width: 9, format: "0.0##"},
		{head: "Length mm", width: 9, format: "0.0##"}, {head: "Price", width: 10, format: "0.00##"}, {head: "Currency", width: 9}, {head: "Price is", width: 22},
		{head: "Strips from a plank", width: 10, format: "0.0##"}, {head: "Certified", width: 9}, {head: "From the yard", width: 9},
		{head: "How it was reckoned", width: 60, wrap: true},
	}
	yes := func(v bool) any {
		if v {
			return "yes"
		}
		return nil
	}
	var rows [][]any
	for _, c := range p.Candidates {
		for _, pr := range prices(p.Board, c) {
			for _, cost := range pr.costs {
				o := pr.offer
				rows = append(rows, []any{p.Board.Woods[c.Wood].ID, list(cleanAll(cost.positions), "and"), cost.price.Cost.InexactFloat64(),
					o.Supplier, o.File, o.Sheet, offerCell(o), o.Name, o.Grade, value(true, o.Plank.ThicknessMM), value(true, o.Plank.WidthMM),
					value(true, o.Plank.LengthMM), o.Price.InexactFloat64(), o.Currency, per(o.Unit), cost.price.StripsPerUnit.InexactFloat64(),
					yes(o.Certified), yes(pr.stock), strings.Join(reckoning(cost.price), "\n")})
			}
		}
	}
	if len(rows) == 0 {
		b.words(sheet, 1, 1, "The job book names no suppliers and no stock: nothing is priced.", b.headingStyle())
		return
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 1, 1)
}

func (b *workbook) leftOut(p *optimize.Program) {
	const sheet = "Left out"
	b.sheet(sheet, false)
	if len(p.LeftOut) == 0 {
		b.words(sheet, 1, 1, "No wood was left out.", b.headingStyle())
		return
	}
	var rows [][]any
	for _, l := range p.LeftOut {
		position := cmp.Or(l.Position, "everywhere")
		rows = append(rows, []any{l.Wood, position, l.Why})
	}
	b.table(sheet, 1, 1, []field{{head: "Wood", width: 26}, {head: "Position", width: 20}, {head: "Why", width: 110, wrap: true}}, rows, nil)
	b.freeze(sheet, 0, 1)
}

func (b *workbook) cautions() {
	const sheet = "Cautions"
	b.sheet(sheet, false)
	b.do(b.f.SetColWidth(sheet, "A", "A", summaryWidth))
	b.words(sheet, 1, 1, "Before anyone relies on this", b.headingStyle())
	for i, c := range Cautions {
		b.words(sheet, 1, i+2, c, b.wrapStyle())
	}
}
