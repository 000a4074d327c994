package report

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/species"
)

// A Style says what a terminal can show.
type Style struct {
	Width  int  // columns; 0: 80
	Colour bool // ANSI colours
}

// The terminal's limits: narrower than minWidth nothing is legible; longer fronts than maxRows are shown in part.
const (
	minWidth = 60
	maxRows  = 40
	someRows = 25
)

// FrontTerminal writes a front as a table with its marks, where its prices come from, what was left out, and cautions.
func FrontTerminal(w io.Writer, r *optimize.FrontResult, s Style) error {
	if r.Infeasible != nil {
		return InfeasibleTerminal(w, r, s)
	}
	p := r.Program
	shown := layoutsOf(r.Points, p.Reference)
	marked, _ := woodMarks(p, p.Board, shown)
	t := newTerminal(s)
	t.title(fmt.Sprintf("%s: %s", clean(p.Model), objectives(r)))
	if r.Complete {
		t.line(proofWords(r))
	} else {
		t.alert(proofWords(r))
	}
	t.line(meaning(p))
	if len(r.Points) > 0 {
		t.gap()
		some := selection(r.Points)
		t.table(t.frontColumns(p, some, newReading(marked)))
		t.gap()
		if n := len(r.Points); len(some) < n {
			t.line(fmt.Sprintf("%d of %d points are shown; the results workbook, the page and --json hold them all.", len(some), n))
		}
		if knee := kneeWords(r); knee != "" {
			t.line(knee)
		}
		if words := againstReference(r); words != "" {
			t.line(words)
		}
		t.line(layoutWords(p.Board))
		t.woods(p, marked, shownWoods(p.Board, shown), true)
	}
	t.leftOut(p.LeftOut)
	t.cautions()
	return t.writeTo(w)
}

// InfeasibleTerminal says which limits clash and what would help.
func InfeasibleTerminal(w io.Writer, r *optimize.FrontResult, s Style) error {
	t := newTerminal(s)
	t.title(clean(r.Program.Model) + ": no layout keeps every limit")
	t.line("Proven " + byMethod(r) + ". " + meaning(r.Program))
	if in := r.Infeasible; in != nil {
		t.clash(in)
	}
	t.leftOut(r.Program.LeftOut)
	return t.writeTo(w)
}

// CheckTerminal writes everything about one layout.
func CheckTerminal(w io.Writer, c *optimize.CheckResult, s Style) error {
	p, pt := c.Program, c.Point
	strength, err := strengthOf(p, pt.Layout)
	if err != nil {
		return err
	}
	shown := []core.Layout{pt.Layout}
	marked, _ := woodMarks(p, p.Board, shown)
	t := newTerminal(s)
	t.title(clean(p.Model) + ": one layout, as calculated")
	if len(c.Broken) == 0 {
		t.line("It keeps every limit of the job book.")
	} else {
		t.alert(fmt.Sprintf("It breaks %s:", count(len(c.Broken), "limit")))
		for _, b := range c.Broken {
			t.item("-", clean(b))
		}
	}
	t.line(meaning(p))

	t.gap()
	rows := figureRows(p, pt)
	var names, values, units []string
	for _, f := range rows {
		names, values, units = append(names, f.name), append(values, f.value), append(units, f.unit)
	}
	t.table([]column{{head: "Figure", cells: names, left: true}, {head: "Value", cells: values}, {head: "Unit", cells: units, left: true}})

	t.gap()
	t.heading("Layout, from the centre line outward")
	t.table(layoutColumns(p, pt, newReading(marked)))

	if strength != nil {
		t.gap()
		t.heading("Strength under " + loadWords(p))
		t.table(strengthColumns(p, strength))
		t.line(worstWords(p, strength))
	}
	if pt.Figures.PreStress.Known {
		t.gap()
		t.heading("Pre-strained strips")
		t.table(preStressColumns(p.Board, pt.Figures.PreStress))
		t.line(camberWords(p, pt.Figures.PreStress))
	}

	t.gap()
	t.heading("Along the board")
	t.table(stationColumns(p, pt))
	for _, line := range betweenStations(p, pt) {
		t.line(line)
	}

	t.woods(usedIn(p, pt), marked, shownWoods(p.Board, shown), false)
	t.leftOut(usedIn(p, pt).LeftOut)
	t.gap()
	t.heading("How it is reckoned")
	for _, line := range reckoned(p) {
		t.item("-", line)
	}
	t.cautions()
	return t.writeTo(w)
}

// usedIn is the program with the offers and the left-out woods that concern one layout only.
func usedIn(p *optimize.Program, pt optimize.Point) *optimize.Program {
	uses := func(wood, position string) bool {
		return slices.ContainsFunc(pt.Runs, func(r optimize.Run) bool { return r.Wood == wood && (position == "" || r.Position == position) })
	}
	q := *p
	q.Candidates = slices.Clone(p.Candidates)
	for i, c := range p.Candidates {
		q.Candidates[i].At = slices.Clone(c.At)
		for k := range c.At {
			if !uses(p.Board.Woods[c.Wood].ID, p.Board.Positions[k].Name) {
				q.Candidates[i].At[k] = optimize.Use{}
			}
		}
	}
	q.LeftOut = slices.DeleteFunc(slices.Clone(p.LeftOut), func(l optimize.LeftOut) bool { return !uses(l.Wood, l.Position) })
	return &q
}

// selection is what of a front is shown: everything, or the ends, what is marked and an even choice between.
func selection(points []optimize.Point) []optimize.Point {
	n := len(points)
	if n <= maxRows {
		return points
	}
	show := make([]bool, n)
	for i := range someRows {
		show[i*(n-1)/(someRows-1)] = true
	}
	var out []optimize.Point
	for i, p := range points {
		if show[i] || p.Knee || p.Cheapest {
			out = append(out, p)
		}
	}
	return out
}

// layoutWords says how a layout column reads.
func layoutWords(b *core.Board) string {
	var names []string
	for _, p := range b.Positions {
		names = append(names, clean(p.Name))
	}
	words := "Layout: one letter a strip, from the centre line outward, positions " + strings.Join(names, " | ")
	if len(b.Positions) > 0 && b.Positions[0].OnCentreLine {
		words += "; " + names[0] + " is on the centre line, with the strips of both sides"
	}
	return words + "."
}

// frontColumns are the columns of a front's table, as many as the width holds.
func (t *terminal) frontColumns(p *optimize.Program, points []optimize.Point, read reading) []column {
	steps := resolution(p)
	pressed := p.Board.Section == core.Pressed
	cells := func(cell func(optimize.Point) string) []string {
		out := make([]string, len(points))
		for i, pt := range points {
			out[i] = cell(pt)
		}
		return out
	}
	some := func(known func(optimize.Point) bool) bool { return slices.ContainsFunc(points, known) }
	ei, flex := "Core EI\nN·m²", "Core flex\nN/mm"
	if pressed {
		ei, flex = "Pressed EI\nN·m²", "Flex\nN/mm"
	}
	columns := []column{
		{head: "#", cells: cells(func(pt optimize.Point) string { return fmt.Sprint(pt.ID) })},
		{head: "Core\nmass g", cells: cells(func(pt optimize.Point) string { return Fixed(pt.CoreMassG, decimals(steps.MassG)) })},
		{head: ei, cells: cells(func(pt optimize.Point) string { return Fixed(pt.EINM2, decimals(steps.EINM2)) })},
	}
	if some(func(pt optimize.Point) bool { return pt.Figures.Flex.Known }) {
		columns = append(columns, column{head: flex, optional: true,
			cells: cells(func(pt optimize.Point) string { return known(pt.Figures.Flex.Known, flexOf(p.Board, &pt), 2) })})
	}
	if some(func(pt optimize.Point) bool { return pt.HasCost }) {
		columns = append(columns, column{head: "Cost\n" + clipped(clean(p.Currency), 8), cells: cells(func(pt optimize.Point) string { return costWords(p, pt) })})
	}
	if some(func(pt optimize.Point) bool { return pt.Figures.PressedMassKnown }) && len(p.Board.Layers) > 0 {
		columns = append(columns, column{head: "Pressed\nmass g", optional: true,
			cells: cells(func(pt optimize.Point) string { return known(pt.Figures.PressedMassKnown, pt.Figures.PressedMassG, 0) })})
	}
	if some(func(pt optimize.Point) bool { return pt.FastGrownPct > 0 }) {
		columns = append(columns, column{head: "Fast-\ngrown %", optional: true,
			cells: cells(func(pt optimize.Point) string { return Fixed(pt.FastGrownPct, 1) })})
	}
	if some(func(pt optimize.Point) bool { return pt.Figures.Scatter.Known }) {
		columns = append(columns, column{head: "Scatter\nEI %", optional: true,
			cells: cells(func(pt optimize.Point) string { return known(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct, 1) })})
	}
	accent := make([]bool, len(points))
	for i, pt := range points {
		accent[i] = pt.Knee
	}
	mark := column{head: "Mark", left: true, cells: cells(func(pt optimize.Point) string { return strings.ReplaceAll(marks(pt), ", ", "\n") }), accent: accent}
	layout := column{head: "Layout", left: true, accent: accent}
	write := func(parts func([]optimize.Run) []string, width int) column {
		layout.cells = cells(func(pt optimize.Point) string { return join(parts(pt.Runs), width) })
		return layout
	}
	const unlimited = 1 << 20
	all := func(layout column) []column { return append(slices.Clone(columns), layout, mark) }
	// First the optional columns go, then letters give way to counts, then these run over several lines.
	for {
		if c := all(write(read.strips, unlimited)); tableWidth(c) <= t.width {
			return c
		}
		fewer := withoutLast(columns)
		if len(fewer) == len(columns) {
			break
		}
		columns = fewer
	}
	if c := all(write(read.counts, unlimited)); tableWidth(c) <= t.width {
		return c
	}
	room := t.width - tableWidth(all(column{head: "Layout"})) + len("Layout")
	return all(write(read.counts, max(room, len("Layout"))))
}

// withoutLast are the columns without the last one that can be spared.
func withoutLast(columns []column) []column {
	for i, c := range slices.Backward(columns) {
		if c.optional {
			return slices.Delete(slices.Clone(columns), i, i+1)
		}
	}
	return columns
}

// join puts the positions of a layout together with bars, on lines of at most width where it must.
func join(parts []string, width int) string {
	var b strings.Builder
	used := 0
	for i, part := range parts {
		if i > 0 {
			b.WriteByte('|')
			if used++; used+len(part) >= width {
				b.WriteByte('\n')
				used = 0
			}
		}
		b.WriteString(part)
		used += len(part)
	}
	return b.String()
}

// A fact is one line of what is known of a layout.
type fact struct{ name, value, unit string }

// measured is the value as a number with the decimals it is shown with; nothing when it is not known.
func (f fact) measured() measured {
	v, err := strconv.ParseFloat(f.value, 64)
	if err != nil {
		return measured{}
	}
	_, fraction, _ := strings.Cut(f.value, ".")
	return measured{value: v, format: format(len(fraction))}
}

// figureRows are the figures of one layout that are not by station.
func figureRows(p *optimize.Program, pt optimize.Point) []fact {
	f, steps := pt.Figures, resolution(p)
	m := f.Measure
	at := " at " + size(p.Board.MeasureAtMM) + " mm"
	rows := []fact{
		{"Core mass (wood and glue)", Fixed(pt.CoreMassG, decimals(steps.MassG)), "g"},
		{"Wood in it", Fixed(f.WoodMassG, 1), "g"},
		{"Glue in it", Fixed(f.GlueMassG, 1), "g"},
		{"Pressed mass (core and layers)", known(f.PressedMassKnown, f.PressedMassG, 1), "g"},
		{"EI of the bare core" + at, Fixed(m.CoreEINM2, decimals(steps.EINM2)), "N·m²"},
		{"EI of the pressed board" + at, Fixed(m.PressedEINM2, decimals(steps.EINM2)), "N·m²"},
		{"Core's part in the pressed EI" + at, Fixed(100*m.CoreShare, 1), "%"},
		{"Neutral axis above the core's middle" + at, Fixed(m.AxisMM, 3), "mm"},
	}
	if x := f.Flex; x.Known {
		span := " over " + size(p.Board.SpanMM) + " mm"
		rows = append(rows,
			fact{"Flex of the bare core" + span, Fixed(x.CoreNPerMM, 2), "N/mm"},
			fact{"Flex of the pressed board" + span, Fixed(x.PressedNPerMM, 2), "N/mm"},
			fact{"EI of a uniform board of that flex", Fixed(x.PressedEINM2, 2), "N·m²"},
			fact{"Shear would add to the deflection", Fixed(x.ShearPct, 2), "%"},
		)
	}
	if pt.HasCost {
		rows = append(rows, fact{"Wood cost of a core", amount(pt.Cost, moneyDecimals(p)), clean(p.Currency)})
	}
	rows = append(rows,
		fact{"Fast-grown woods, by volume", Fixed(pt.FastGrownPct, 1), "%"},
		fact{"Certified woods, by volume", Fixed(pt.CertifiedPct, 1), "%"},
		fact{"Scatter of EI" + at, known(f.Scatter.Known, f.Scatter.EIPct, 2), "%"},
	)
	if f.Flex.Known {
		rows = append(rows, fact{"Scatter of flex", known(f.Scatter.Known, f.Scatter.FlexPct, 2), "%"})
	}
	rows = append(rows, fact{"Scatter between left and right", known(f.Scatter.Known, f.Scatter.LeftRightPct, 2), "%"})
	if f.PreStress.Known && p.Board.SpanMM > 0 {
		rows = append(rows, fact{"Camber by pre-strained strips, over " + size(p.Board.SpanMM) + " mm", Fixed(f.PreStress.CamberMM, 2), "mm"})
	}
	if pt.ProfileFactor != 0 && pt.ProfileFactor != 1 {
		rows = append(rows, fact{"Profile factor on the thickness", trimmed(pt.ProfileFactor), ""})
	}
	return rows
}

// layoutColumns are the strips of one layout, a row a position.
func layoutColumns(p *optimize.Program, pt optimize.Point, read reading) []column {
	name := column{head: "Position", left: true}
	strips := column{head: "Strips\nper side"}
	width := column{head: "Strip\nwidth mm"}
	letters := column{head: "Strips", left: true}
	woods := column{head: "Woods", left: true}
	gravity := column{head: "Mean\ngravity"}
	holding := column{head: "Holding\n%"}
	byName := map[string]string{}
	byWoods := map[string][]string{}
	for i, part := range read.strips(pt.Runs) {
		byName[partNames(pt.Runs)[i]] = part
	}
	for _, run := range pt.Runs {
		byWoods[run.Position] = append(byWoods[run.Position], fmt.Sprint(run.PerSide, " ", clean(run.Wood)))
	}
	for i, pos := range p.Board.Positions {
		n := fmt.Sprint(pos.Strips)
		if pos.OnCentreLine {
			n += " in all"
		}
		name.cells = append(name.cells, clean(pos.Name))
		strips.cells = append(strips.cells, n)
		width.cells = append(width.cells, trimmed(pos.StripWidthMM))
		letters.cells = append(letters.cells, byName[pos.Name])
		woods.cells = append(woods.cells, strings.Join(byWoods[pos.Name], "\n"))
		g := "n/a"
		if i < len(pt.Figures.MeanGravity) {
			g = Fixed(pt.Figures.MeanGravity[i], 3)
		}
		gravity.cells = append(gravity.cells, g)
		pct, ok := holdingPct(p, &pt, i)
		holding.cells = append(holding.cells, known(ok, pct, 1))
	}
	c := []column{name, strips, width, letters, woods, gravity}
	if holds(p) {
		c = append(c, holding)
	}
	return c
}

func partNames(runs []optimize.Run) []string {
	var names []string
	for i, run := range runs {
		if i == 0 || runs[i-1].Position != run.Position {
			names = append(names, run.Position)
		}
	}
	return names
}

// stationColumns are the sections of one layout, a row a station, windows where the book sets them.
func stationColumns(p *optimize.Program, pt optimize.Point) []column {
	c := []column{
		{head: "From\ntip mm"}, {head: "Core\nwidth mm"}, {head: "Core\nthick mm"},
		{head: "Core EI\nN·m²"}, {head: "Pressed EI\nN·m²"}, {head: "Window on\n" + string(p.Board.Section) + " EI", left: true},
	}
	for _, row := range alongRows(p, pt) {
		s := row.section
		for i, cell := range []string{size(s.FromTipMM), Fixed(s.WidthMM, 1), Fixed(s.ThicknessMM, 2), Fixed(s.CoreEINM2, 2),
			Fixed(s.PressedEINM2, 2), windowWords(row.window)} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

// windowWords says what a window demands.
func windowWords(w *optimize.Window) string {
	switch {
	case w == nil || !w.Low.Set && !w.High.Set:
		return ""
	case w.Low.Set && w.High.Set:
		return trimmed(w.Low.Value) + " to " + trimmed(w.High.Value)
	case w.Low.Set:
		return "at least " + trimmed(w.Low.Value)
	}
	return "at most " + trimmed(w.High.Value)
}

// known is a figure with fixed decimals, or "n/a" when it is not known.
func known(ok bool, v float64, decimals int) string {
	if !ok {
		return "n/a"
	}
	return Fixed(v, decimals)
}

func costWords(p *optimize.Program, pt optimize.Point) string {
	if !pt.HasCost {
		return "n/a"
	}
	return amount(pt.Cost, moneyDecimals(p))
}

// A terminal gathers lines of at most its width.
type terminal struct {
	b      bytes.Buffer
	width  int
	colour bool
}

func newTerminal(s Style) *terminal {
	return &terminal{width: max(cmp.Or(s.Width, 80), minWidth), colour: s.Colour}
}

func (t *terminal) writeTo(w io.Writer) error {
	_, err := w.Write(t.b.Bytes())
	return err
}

// ANSI select graphic rendition.
const (
	bold  = "\x1b[1m"
	red   = "\x1b[1;31m"
	green = "\x1b[32m"
	reset = "\x1b[0m"
)

func (t *terminal) paint(s, colour string) string {
	if !t.colour || colour == "" || s == "" {
		return s
	}
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		lines[i] = colour + l + reset
	}
	return strings.Join(lines, "\n")
}

func (t *terminal) gap() { t.b.WriteByte('\n') }

// fill writes words on lines of the terminal's width; the first begins with lead, the others as far in.
func (t *terminal) fill(lead, words, colour string) {
	in := columnsOf(lead)
	for i, line := range folded(words, t.width-in) {
		if i > 0 {
			lead = strings.Repeat(" ", in)
		}
		t.put(lead + t.paint(line, colour))
	}
}

func (t *terminal) title(words string)      { t.fill("", words, bold) }
func (t *terminal) heading(words string)    { t.fill("", words+":", bold) }
func (t *terminal) line(words string)       { t.fill("", words, "") }
func (t *terminal) alert(words string)      { t.fill("", words, red) }
func (t *terminal) item(lead, words string) { t.fill("  "+lead+" ", words, "") }

// woods says what the letters mean, what each wood's strips cost and which offer that price is from. Woods that
// could be used but are in no layout are listed with all.
func (t *terminal) woods(p *optimize.Program, marked []woodMark, shown []bool, all bool) {
	t.gap()
	t.heading("Woods")
	for _, m := range marked {
		wood := slices.IndexFunc(p.Board.Woods, func(w species.Wood) bool { return w.ID == m.Wood.ID })
		if !shown[wood] && !all {
			continue
		}
		c := slices.IndexFunc(p.Candidates, func(c optimize.Candidate) bool { return c.Wood == wood })
		if c < 0 { // the reference may use a wood that is no candidate
			t.wood(p, m, shown[wood], false, nil)
			continue
		}
		t.wood(p, m, shown[wood], p.Candidates[c].FastGrown, prices(p.Board, p.Candidates[c]))
	}
}

func (t *terminal) wood(p *optimize.Program, m woodMark, shown, fast bool, prices []woodPrice) {
	words := clean(m.Wood.ID)
	if name := clean(m.Wood.CommonName); name != "" && name != words {
		words += ", " + name
	}
	if fast {
		words += "; fast-grown"
	}
	if !shown {
		words += "; in no layout here"
	}
	t.item(m.Letter, words)
	for _, pr := range prices {
		t.item(" ", fmt.Sprintf("%s a strip %s: %s", clean(p.Currency), pr.costWords(), offerWords(pr)))
	}
}

// offerWords says which offer a price is from: who, what for how much, where it stands.
func offerWords(pr woodPrice) string {
	o := pr.offer
	if pr.stock {
		return fmt.Sprintf("from the yard, %s (%s)", plank(o.Plank), offerPlace(o))
	}
	words := fmt.Sprintf("%s, %s, %s", clean(o.Supplier), priceWords(o), plank(o.Plank))
	if o.Grade != "" {
		words += ", grade " + clean(o.Grade)
	}
	if o.Certified {
		words += ", certified"
	}
	return words + " (" + offerPlace(o) + ")"
}

// leftOut lists what was left out and why, folded by reason.
func (t *terminal) leftOut(left []optimize.LeftOut) {
	groups := foldLeftOut(left)
	if len(groups) == 0 {
		return
	}
	t.gap()
	t.heading("Left out")
	for _, g := range groups {
		t.item("-", list(g.woods, "and")+": "+g.why)
	}
}

func (t *terminal) relaxations(heading string, rs []optimize.Relaxation) {
	if len(rs) == 0 {
		return
	}
	t.gap()
	t.heading(heading)
	for _, r := range rs {
		t.item("-", relaxationWords(r))
	}
}

func (t *terminal) cautions() {
	t.gap()
	t.heading("Cautions")
	for _, c := range Cautions {
		t.item("!", c)
	}
}

// fitting are the columns without those that can be spared, the last first, until they fit.
func (t *terminal) fitting(columns []column) []column {
	for tableWidth(columns) > t.width {
		fewer := withoutLast(columns)
		if len(fewer) == len(columns) {
			break
		}
		columns = fewer
	}
	return columns
}
