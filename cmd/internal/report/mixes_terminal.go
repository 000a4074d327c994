package report

import (
	"fmt"
	"io"
	"strings"

	"stavewright/optimize"
	"stavewright/species"
)

// mostTurns is how many of the shares at which a wood has to go a terminal shows.
const mostTurns = 10

// MixesTerminal writes how far a core can lean on fast-grown woods: the lightest layout for every tenth of share, the exact shares at
// which a wood has to go, the current mix beside alternatives, what is known of the woods, and cautions.
func MixesTerminal(w io.Writer, r *optimize.MixesResult, s Style) error {
	m, err := newMixing(r)
	if err != nil {
		return err
	}
	p := m.program
	t := newTerminal(s)
	t.title(clean(p.Model) + ": fast-grown share against weight and cost")
	t.line(m.asked())
	t.line(m.fastWords() + m.floorWords())
	head, words, done := m.proof()
	if words = head + ": " + words; done {
		t.line(words)
	} else {
		t.alert(words)
	}
	for _, b := range r.Broken {
		t.alert("The current mix breaks a limit that the others keep: " + clean(b))
	}
	t.line(meaning(p))
	if in := r.Infeasible; in != nil {
		t.clash(in)
		t.leftOut(p.LeftOut)
		return t.writeTo(w)
	}
	if in := r.Unmatched; in != nil {
		t.clash(in)
	}
	marks, _ := woodMarks(p, p.Board, m.layouts())
	read := newReading(marks)
	if len(r.Breaks) > 0 {
		t.gap()
		t.heading("The lightest layout by least share of fast-grown woods")
		t.table(m.gridColumns(read, t.width))
		t.line("Kept up to: the exact share that the layout has; above it, another is the lightest.")
		if words := m.greatestWords(); words != "" {
			t.line(words)
		}
		m.terminalTurns(t)
	}
	if len(m.columns) > 0 {
		t.gap()
		t.heading("Side by side")
		t.table(t.namesBroken(m.sideColumns()))
		for i, c := range m.columns {
			t.item("-", c.name+": "+c.how+".")
			t.runs(" ", read, c.point.Runs)
			if words := m.noticed(i); len(words) > 0 {
				t.item(" ", "Noticed: "+strings.Join(words, " "))
			}
		}
		if m.current && len(m.columns) > 1 {
			t.line(m.same())
		}
		t.line(layoutWords(p.Board))
	}
	if words := m.frontWords(); words != "" {
		t.gap()
		if r.Front.Complete {
			t.line(words + " The results workbook and --json hold it.")
		} else {
			t.alert(words)
		}
	}
	if len(m.columns) > 0 {
		t.gap()
		t.heading("Woods and how they grow")
		t.table(m.growthColumns(marks))
		t.line("Rotation is years from planting to harvest, shortest and longest usual; m: from memory. The workbook, the page and --json name every source.")
	}
	t.leftOut(p.LeftOut)
	t.gap()
	t.heading("How it is reckoned")
	for _, line := range m.mixReckoned() {
		t.item("-", line)
	}
	t.cautions()
	return t.writeTo(w)
}

// gridColumns are the lightest layouts by tenths of share, in a table of a width.
func (m *mixing) gridColumns(read reading, width int) []column {
	p, steps := m.program, resolution(m.program)
	c := []column{{head: "At\nleast %"}, {head: "Core\nmass g"}, {head: "More\ng"}, {head: "Flex\nN/mm", optional: true}}
	if m.priced() {
		c = append(c, column{head: "Cost\n" + clipped(clean(p.Currency), 8)})
	}
	c = append(c, column{head: "Scatter\nEI %", optional: true}, column{head: "Kept\nup to %"})
	layout := column{head: "Layout", left: true}
	var parts [][]string
	for _, g := range m.r.Grid {
		if g.Break < 0 {
			// One row says that there is no more.
			cells := map[string]string{"At\nleast %": Fixed(g.MinPct, 0)}
			for i := range c {
				cell := "n/a"
				if v, ok := cells[c[i].head]; ok {
					cell = v
				}
				c[i].cells = append(c[i].cells, cell)
			}
			parts = append(parts, nil)
			break
		}
		b := &m.r.Breaks[g.Break]
		pt := &b.Point
		cells := []string{Fixed(g.MinPct, 0), Fixed(pt.CoreMassG, decimals(steps.MassG)), signed(pt.CoreMassG-m.r.Breaks[0].Point.CoreMassG, decimals(steps.MassG)),
			known(pt.Figures.Flex.Known, flexOf(p.Board, pt), 2)}
		if m.priced() {
			cells = append(cells, costWords(p, *pt))
		}
		cells = append(cells, known(pt.Figures.Scatter.Known, pt.Figures.Scatter.EIPct, 1), Fixed(b.SharePct, 2))
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
		parts = append(parts, read.strips(pt.Runs))
	}
	longest := 0
	for _, part := range parts {
		longest = max(longest, len(strings.Join(part, "|")))
	}
	for tableWidth(c)+columnGap+longest > width {
		fewer := withoutLast(c)
		if len(fewer) == len(c) {
			break
		}
		c = fewer
	}
	room := max(width-tableWidth(c)-columnGap, len("Layout"))
	for _, part := range parts {
		if part == nil {
			layout.cells = append(layout.cells, m.noneWords())
			continue
		}
		layout.cells = append(layout.cells, join(part, room))
	}
	return append(c, layout)
}

func (m *mixing) priced() bool { return m.program.Currency != "" }

// terminalTurns are the exact shares at which a wood has to go.
func (m *mixing) terminalTurns(t *terminal) {
	if len(m.turns()) == 0 {
		return
	}
	t.gap()
	t.heading("Where a wood has to go")
	words := m.turnWords()
	for _, w := range words {
		t.item("-", w)
	}
	if n := len(m.r.Breaks) - 1; n > len(words) {
		t.line(fmt.Sprintf("%d of %s are shown; the others, and those where the same strips change places, are in the results workbook and in --json.", len(words), count(n, "step")))
	}
}

// sideColumns are the figures side by side; under each, how far it is from the current mix.
func (m *mixing) sideColumns() []column {
	names, units := column{head: "Figure", left: true}, column{head: "Unit", left: true}
	values := make([]column, len(m.columns))
	for i, c := range m.columns {
		values[i].head = strings.Replace(c.name, " ", "\n", 1)
	}
	for _, r := range m.rows() {
		if !r.brief {
			continue
		}
		names.cells, units.cells = append(names.cells, clean(r.label)), append(units.cells, clean(r.unit))
		for i := range values {
			cell := inTerminal.Replace(r.of[i].text())
			if d := m.against(r, i); d != "" {
				cell += "\n" + inTerminal.Replace(d)
			}
			values[i].cells = append(values[i].cells, cell)
		}
	}
	return append([]column{names, units}, values...)
}

// growthColumns are what is known of how the woods grow.
func (m *mixing) growthColumns(marks []woodMark) []column {
	c := []column{{head: "", left: true}, {head: "Wood", left: true}, {head: "Fast-\ngrown", left: true}, {head: "Rotation\nyears"}, {head: "From", left: true},
		{head: "Growth", left: true}, {head: "Certi-\nfied", left: true}}
	for _, r := range m.woodRows(marks) {
		growth := "not known"
		if g := r.wood.Growth; g.Known() {
			growth = strings.TrimSpace(string(g.Stand) + map[species.Status]string{species.Memory: " m"}[g.Status])
		}
		for i, cell := range []string{r.mark.Letter, clean(r.wood.ID), yesNo(r.fast), strings.ReplaceAll(r.years, "–", "-"), r.status, growth, r.certificate()} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}
