package report

import (
	"fmt"
	"io"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// MatchTerminal writes what a match found: reference, best and trimmed side by side, what was saved, the layouts, the profile to
// mill, what replaces a wood that cannot be had, and cautions. A match without an answer says what clashes and what would help.
func MatchTerminal(w io.Writer, r *optimize.MatchResult, s Style) error {
	m, err := newMatching(r)
	if err != nil {
		return err
	}
	p := m.program
	t := newTerminal(s)
	t.title(clean(p.Model) + ": " + m.goalWords())
	t.line(m.asked())
	head, words, done := m.proof()
	if words = head + ": " + words; done {
		t.line(words)
	} else {
		t.alert(words)
	}
	for _, words := range m.warnings() {
		t.alert(words)
	}
	t.line(meaning(p))
	if r.Best == nil {
		if in := r.Infeasible; in != nil {
			t.clash(in)
		}
		t.leftOut(p.LeftOut)
		return t.writeTo(w)
	}
	t.gap()
	t.table(t.namesBroken(m.comparedColumns()))
	t.gap()
	for i := range m.columns[1:] {
		t.line(m.savedWords(&m.columns[1+i]))
	}
	if s := m.answer().strength; s != nil {
		t.line("Strength of " + m.answer().name + " under " + loadWords(p) + ". " + worstWords(p, s))
	}

	shown := m.layouts()
	marked, _ := woodMarks(p, p.Board, shown)
	read := newReading(marked)
	t.gap()
	t.heading("Layouts")
	t.runs("Reference", read, r.Reference.Runs)
	if name := "Best     "; m.unchanged() {
		t.item(name, "as the reference")
	} else {
		t.runs(name, read, r.Best.Runs)
	}
	t.line(layoutWords(p.Board))

	t.gap()
	t.heading(m.millTitle())
	t.table(t.fitting(m.millColumns()))
	if m.heldThin() {
		t.line(heldThinNote)
	}

	m.terminalSwaps(t, read)
	if len(r.ByFactor) > 1 {
		t.gap()
		t.heading("Best at each profile factor")
		t.table(m.factorColumns(read, t.width))
	}
	t.woods(p, marked, shownWoods(p.Board, shown), false)
	t.leftOut(p.LeftOut)
	t.gap()
	t.heading("How it is reckoned")
	for _, line := range reckoned(p) {
		t.item("-", line)
	}
	t.cautions()
	return t.writeTo(w)
}

// clash says which limits clash and what would help.
func (t *terminal) clash(in *optimize.Infeasible) {
	t.gap()
	t.heading("These limits clash")
	for _, c := range in.Clash {
		t.item("-", clean(c))
	}
	if len(in.Clash) == 0 {
		t.item("-", "which ones was not found out: looking for them ended early")
	}
	t.relaxations("What would help, each alone", in.Relaxations)
	t.relaxations("What would help, all of these together", in.Together)
	if len(in.Undecided) > 0 {
		t.heading(undecidedHead)
		for _, u := range in.Undecided {
			t.item("-", clean(u))
		}
	}
}

// runs writes a layout's letters on as many lines as they need, broken between positions.
func (t *terminal) runs(name string, read reading, runs []optimize.Run) {
	room := t.width - len(name) - 3
	for i, line := range strings.Split(join(read.strips(runs), room), "\n") {
		if i > 0 {
			name = strings.Repeat(" ", len(name))
		}
		t.item(name, line)
	}
}

// layouts are all that the match shows.
func (m *matching) layouts() []core.Layout {
	var out []core.Layout
	for _, c := range m.columns {
		out = append(out, c.point.Layout)
	}
	for _, s := range m.r.Swaps {
		if s.Point != nil {
			out = append(out, s.Point.Layout)
		}
	}
	for _, f := range m.r.ByFactor {
		if f.Best != nil {
			out = append(out, f.Best.Layout)
		}
	}
	return out
}

// terminalSkips are figures that the workbook and the page have besides.
var terminalSkips = map[string]bool{"glue": true, "otherei": true, "share": true, "axis": true, "beam": true, "shear": true, "certified": true}

// comparedColumns are the figures side by side.
func (m *matching) comparedColumns() []column {
	names, units := column{head: "Figure", left: true}, column{head: "Unit", left: true}
	var values []column
	for _, c := range m.columns {
		head := c.name
		if f := c.point.ProfileFactor; c.name == "Best" && f != 1 {
			head += "\n× " + m.factorText(f)
		}
		values = append(values, column{head: head})
	}
	change := column{head: "Change"}
	for _, f := range m.compared() {
		if terminalSkips[f.key] {
			continue
		}
		names.cells, units.cells = append(names.cells, clean(f.label)), append(units.cells, clean(f.unit))
		for i := range values {
			values[i].cells = append(values[i].cells, inTerminal.Replace(f.of[i].text()))
		}
		change.cells = append(change.cells, inTerminal.Replace(f.change()))
	}
	return append(append([]column{names, units}, values...), change)
}

// namesBroken are columns whose first holds names: long ones give way before the headings of the others do.
func (t *terminal) namesBroken(columns []column) []column {
	const least = 14
	names := &columns[0]
	for i, name := range names.cells {
		names.cells[i] = broken(name, max(t.width-tableWidth(columns[1:])-columnGap, least))
	}
	return columns
}

// inTerminal writes a page's figure as the other tables of a terminal do.
var inTerminal = strings.NewReplacer("−", "-", "–", "n/a")

// millColumns are the profile to mill, a row a station.
func (m *matching) millColumns() []column {
	c := []column{{head: "From\ntip mm"}, {head: "Core\nwidth mm", optional: true}, {head: "Today\nmm"}, {head: "Mill\nmm"}, {head: "Change\nmm"},
		{head: "Reference\nEI N·m²"}, {head: "Best\nEI N·m²", optional: true}}
	trimmed := m.r.Trimmed != nil
	if trimmed {
		c = append(c, column{head: "Trimmed\nEI N·m²"}, column{head: "Off\n%"}, column{head: "", left: true})
	}
	digits, stiff := m.millDecimals(), decimals(resolution(m.program).EINM2)
	for _, r := range m.mill() {
		cells := []string{size(r.fromTip), Fixed(r.width, 1), Fixed(r.today, digits), Fixed(r.mill, digits), signed(r.mill-r.today, digits), Fixed(r.target, stiff), Fixed(r.best, stiff)}
		if trimmed {
			held := ""
			if r.least {
				held = "*"
			}
			cells = append(cells, Fixed(r.trimmed, stiff), signed(r.off(), 2), held)
		}
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	if trimmed && !m.heldThin() {
		c = c[:len(c)-1]
	}
	return c
}

const heldThinNote = "* Held at the least thickness: EI is above the reference's there."

// heldThin reports whether the trimmed profile is held at the least thickness somewhere.
func (m *matching) heldThin() bool {
	for _, r := range m.mill() {
		if r.least {
			return true
		}
	}
	return false
}

func (m *matching) terminalSwaps(t *terminal, read reading) {
	if len(m.r.Swaps) == 0 {
		return
	}
	t.gap()
	t.heading("If a wood cannot be had")
	for _, s := range m.r.Swaps {
		wood := clean(s.Wood)
		if s.Point == nil {
			t.item("-", fmt.Sprintf("without %s: %s.", wood, m.swapWords(s)))
			continue
		}
		with := m.replacement(s)
		if with != moreOfOthers {
			with += " instead"
		}
		t.item("-", fmt.Sprintf("without %s: %s, with %s", wood, m.swapWords(s), with))
		t.runs(" ", read, s.Point.Runs)
	}
	t.line(m.swapNote())
}

// factorColumns are the best layouts by profile factor, in a table of a width.
func (m *matching) factorColumns(read reading, width int) []column {
	p, steps := m.program, resolution(m.program)
	c := []column{{head: "Profile\nfactor"}, {head: "Core\nmass g"}, {head: "EI\nN·m²"}}
	if m.priced() {
		c = append(c, column{head: "Cost\n" + clipped(clean(p.Currency), 8)})
	}
	layout := column{head: "Layout", left: true}
	letters := make([][]string, len(m.r.ByFactor))
	for i, f := range m.r.ByFactor {
		cells := []string{m.factorText(f.Factor), "n/a", "n/a", "n/a"}
		if f.Best != nil {
			cells[1], cells[2], cells[3] = Fixed(f.Best.CoreMassG, decimals(steps.MassG)), Fixed(f.Best.EINM2, decimals(steps.EINM2)), costWords(p, *f.Best)
			letters[i] = read.strips(f.Best.Runs)
		}
		for k := range c {
			c[k].cells = append(c[k].cells, cells[k])
			c[k].accent = append(c[k].accent, f.Best != nil && f.Best.ProfileFactor == m.r.Best.ProfileFactor)
		}
	}
	room := max(width-tableWidth(c)-columnGap, len(layout.head))
	for _, parts := range letters {
		if parts == nil {
			layout.cells = append(layout.cells, "nothing inside the window")
			continue
		}
		layout.cells = append(layout.cells, join(parts, room))
	}
	layout.accent = c[0].accent
	return append(c, layout)
}
