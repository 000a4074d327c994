package report

import (
	"fmt"
	"io"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// MatchWorkbook writes what a match found as an XLSX workbook in the manner of [FrontWorkbook]: reference, best and trimmed side
// by side, the profile to mill, EI along the board as a native chart, layouts, and what replaces a wood that cannot be had.
func MatchWorkbook(w io.Writer, r *optimize.MatchResult) error {
	m, err := newMatching(r)
	if err != nil {
		return err
	}
	return writeWorkbook(w, "Match of "+clean(r.Program.Model), func(b *workbook) {
		p := m.program
		b.marked, _ = woodMarks(p, p.Board, m.layouts())
		b.matchSummary(m)
		if r.Best != nil {
			b.profile(m)
			b.along(p, m.chosen())
			b.layouts(p, m.chosen())
			b.stations(p, m.chosen())
			b.swaps(m)
			b.factors(m)
		}
		b.offers(p)
		b.leftOut(p)
		b.cautions()
	})
}

// chosen are the columns by name.
func (m *matching) chosen() []chosenPoint {
	var out []chosenPoint
	for _, c := range m.columns {
		pt := *c.point
		pt.ID, pt.Knee = 0, false // a match's points have names
		out = append(out, chosenPoint{c.name, pt})
	}
	return out
}

func (b *workbook) matchSummary(m *matching) {
	const sheet = "Summary"
	p, r := m.program, m.r
	b.sheet(sheet, true)
	b.words(sheet, 1, 1, clean(p.Model)+": "+m.goalWords(), b.titleStyle())
	row := b.paragraph(sheet, 3, m.asked(), b.wrapStyle())
	head, words, done := m.proof()
	style := b.wrapStyle()
	if !done {
		style = b.alertStyle()
	}
	row = b.paragraph(sheet, row, head+": "+words, style)
	for _, s := range m.warnings() {
		row = b.paragraph(sheet, row, s, b.alertStyle())
	}
	row = b.paragraph(sheet, row, meaning(p), b.wrapStyle())
	b.do(b.f.SetColWidth(sheet, "A", "H", 15))
	if r.Best == nil {
		if in := r.Infeasible; in != nil {
			b.clash(sheet, row, in)
		}
		return
	}
	for i := range m.columns[1:] {
		row = b.paragraph(sheet, row, m.savedWords(&m.columns[1+i]), b.wrapStyle())
	}
	if s := m.answer().strength; s != nil {
		row = b.paragraph(sheet, row, "Strength of "+m.answer().name+" under "+loadWords(p)+". "+worstWords(p, s), b.wrapStyle())
	}
	fields := []field{{head: "Figure", width: 48}, {head: "Unit", width: 10}}
	for _, c := range m.columns {
		fields = append(fields, field{head: c.name, width: 14})
	}
	fields = append(fields, field{head: "Change", width: 14})
	var rows [][]any
	for _, f := range m.compared() {
		line := []any{f.label, f.unit}
		number := format(f.decimals)
		for _, of := range f.of {
			line = append(line, measured{value: value(of.known, roundTo(of.value, f.decimals)), format: number})
		}
		first, last := f.of[0], f.of[len(f.of)-1]
		change := value(first.known && last.known, roundTo(last.value, f.decimals)-roundTo(first.value, f.decimals))
		rows = append(rows, append(line, measured{value: change, format: "+" + number + ";-" + number + ";" + number}))
	}
	row = b.table(sheet, 1, row+1, fields, rows, nil)
	b.list(sheet, row+1, "How it is reckoned", reckoned(p))
}

func (b *workbook) profile(m *matching) {
	const sheet = "Profile"
	b.sheet(sheet, true)
	mm, ei := format(m.millDecimals()), format(decimals(resolution(m.program).EINM2))
	trimmed := m.r.Trimmed != nil
	head := m.millTitle() + ": thickness of the core, straight between stations"
	if trimmed {
		head += "; trimmed to the reference's EI"
	}
	b.words(sheet, 1, 1, head, b.headingStyle())
	fields := []field{{head: "From tip mm", width: 10}, {head: "Core width mm", width: 11, format: "0.0"}, {head: "Thickness today mm", width: 12, format: mm},
		{head: "Thickness to mill mm", width: 12, format: mm}, {head: "Change mm", width: 11, format: "+" + mm + ";-" + mm + ";" + mm},
		{head: "Thickness of Best mm", width: 12, format: mm + "##"}, {head: "Reference EI N·m²", width: 12, format: ei}, {head: "Best EI N·m²", width: 12, format: ei}}
	if trimmed {
		fields = append(fields, field{head: "Trimmed EI N·m²", width: 12, format: ei}, field{head: "Off the reference %", width: 12, format: "+0.00;-0.00;0.00"},
			field{head: "Note", width: 28})
	}
	var rows [][]any
	for _, r := range m.mill() {
		row := []any{value(true, r.fromTip), value(true, r.width), value(true, r.today), value(true, r.mill), value(true, r.mill-r.today), value(true, r.scaled),
			value(true, r.target), value(true, r.best)}
		if trimmed {
			note := ""
			if r.least {
				note = "held at the least thickness"
			}
			row = append(row, value(true, r.trimmed), value(true, roundTo(r.off(), 4)), note)
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 1, 2)
}

func (b *workbook) swaps(m *matching) {
	const sheet = "Swaps"
	b.sheet(sheet, false)
	if len(m.r.Swaps) == 0 {
		b.words(sheet, 1, 1, "Swaps were not searched.", b.headingStyle())
		return
	}
	p, best := m.program, m.r.Best
	mass, ei := format(decimals(resolution(p).MassG)), format(decimals(resolution(p).EINM2))
	money := format(moneyDecimals(p))
	plus := func(number string) string { return "+" + number + ";-" + number + ";" + number }
	b.words(sheet, 1, 1, "If a wood cannot be had. "+m.swapNote(), b.headingStyle())
	fields := []field{{head: "Without", width: 24}, {head: "Instead", width: 30, wrap: true}, {head: "Core mass g", width: 11, format: mass},
		{head: "More mass g", width: 11, format: plus(mass)}, {head: eiHead(p), width: 12, format: ei}, {head: flexHead(p), width: 12, format: "0.00"},
		{head: "Profile factor", width: 10, format: "0.00##"}, {head: "Layout, centre line | edge", width: 34}, {head: "Why nothing", width: 60, wrap: true}}
	priced := m.priced()
	if priced {
		fields = append(fields, field{head: "Cost " + clean(p.Currency), width: 11, format: money}, field{head: "More cost " + clean(p.Currency), width: 11, format: plus(money)})
	}
	read := newReading(b.marked)
	var rows [][]any
	for _, s := range m.r.Swaps {
		row := make([]any, len(fields))
		row[0] = s.Wood
		if pt := s.Point; pt == nil {
			row[8] = m.swapWords(s)
		} else {
			copy(row[1:], []any{m.replacement(s), value(true, pt.CoreMassG), value(true, pt.CoreMassG-best.CoreMassG), value(true, pt.EINM2),
				value(pt.Figures.Flex.Known, flexOf(p.Board, pt)), value(true, pt.ProfileFactor), strings.Join(read.strips(pt.Runs), "|"), nil})
			if priced {
				row[9] = moneyValue(*pt)
				if pt.HasCost && best.HasCost {
					row[10] = pt.Cost.Sub(best.Cost).InexactFloat64()
				}
			}
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 1, 2)
}

// factors are the best layouts by profile factor, where more than one was searched.
func (b *workbook) factors(m *matching) {
	if len(m.r.ByFactor) < 2 {
		return
	}
	const sheet = "Factors"
	b.sheet(sheet, false)
	p, steps := m.program, resolution(m.program)
	fields := []field{{head: "Profile factor", width: 10, format: "0.00##"}, {head: "Core mass g", width: 11, format: format(decimals(steps.MassG))},
		{head: eiHead(p), width: 12, format: format(decimals(steps.EINM2))}, {head: flexHead(p), width: 12, format: "0.00"},
		{head: "Cost " + clean(p.Currency), width: 11, format: format(moneyDecimals(p))}, {head: "Layout, centre line | edge", width: 40}}
	read := newReading(b.marked)
	var rows [][]any
	for _, f := range m.r.ByFactor {
		row := []any{value(true, f.Factor), nil, nil, nil, nil, "nothing inside the window"}
		if pt := f.Best; pt != nil {
			row = []any{value(true, f.Factor), value(true, pt.CoreMassG), value(true, pt.EINM2), value(pt.Figures.Flex.Known, flexOf(p.Board, pt)), moneyValue(*pt),
				strings.Join(read.strips(pt.Runs), "|")}
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 1, fields, rows, func(i int) bool {
		return m.r.ByFactor[i].Best != nil && m.r.ByFactor[i].Factor == m.r.Best.ProfileFactor
	})
	b.freeze(sheet, 1, 1)
}

// clash says which limits clash and what would help.
func (b *workbook) clash(sheet string, row int, in *optimize.Infeasible) {
	row = b.list(sheet, row+1, "These limits clash", in.Clash)
	row = b.list(sheet, row, "What would help, each alone", sentences(in.Relaxations))
	row = b.list(sheet, row, "What would help, all of these together", sentences(in.Together))
	b.list(sheet, row, undecidedHead, in.Undecided)
}

// strength is the worst of every wood under the design load, and what pre-strained strips lock in; no sheet without either.
func (b *workbook) strength(p *optimize.Program, pt *optimize.Point, s *core.Strength) {
	if s == nil && !pt.Figures.PreStress.Known {
		return
	}
	const sheet = "Strength"
	b.sheet(sheet, true)
	row := 1
	if s != nil {
		b.words(sheet, 1, row, "Under "+loadWords(p), b.headingStyle())
		row = b.paragraph(sheet, row+1, worstWords(p, s), b.wrapStyle())
		fields := []field{{head: "Wood", width: 26}, {head: "Stress in", width: 26}, {head: "Stress MPa", width: 11, format: "0.00"},
			{head: "Strength MPa", width: 11, format: "0.0"}, {head: "Used %", width: 11, format: "0.0"}, {head: "At mm from tip", width: 11, format: "0.0"}}
		var rows [][]any
		for _, w := range s.ByWood {
			rows = append(rows, []any{p.Board.Woods[w.Wood].ID, stressKind(w), value(true, w.StressMPa), value(w.Known, w.StrengthMPa),
				value(w.Known, w.UtilisationPct), value(true, w.AtMM)})
		}
		head := row
		row = b.table(sheet, 1, head, fields, rows, nil) + 1
		if !pt.Figures.PreStress.Known { // else two tables share the sheet
			b.freeze(sheet, 0, head)
		}
	}
	if pre := pt.Figures.PreStress; pre.Known {
		b.words(sheet, 1, row, "Pre-strained strips", b.headingStyle())
		row = b.paragraph(sheet, row+1, camberWords(p, pre), b.wrapStyle())
		fields := []field{{head: "Position", width: 26}, {head: "Wood", width: 26}, {head: "Pre-strain per mille", width: 11, format: "0.00"},
			{head: "Stress middle MPa", width: 11, format: "0.00"}, {head: "Upper face MPa", width: 11, format: "0.00"}, {head: "Lower face MPa", width: 11, format: "0.00"}}
		var rows [][]any
		for _, r := range pre.ByPosition {
			rows = append(rows, []any{p.Board.Positions[r.Position].Name, p.Board.Woods[r.Wood].ID, value(true, 1000*r.PreStrain), value(true, r.StressMPa),
				value(true, r.TopMPa), value(true, r.BottomMPa)})
		}
		b.table(sheet, 1, row, fields, rows, nil)
	}
}

// holdingRows are the screw holding by position, as the rows of a summary.
func holdingRows(p *optimize.Program, pt optimize.Point) [][]any {
	var rows [][]any
	for i, pos := range p.Board.Positions {
		if pct, ok := holdingPct(p, &pt, i); holds(p) {
			rows = append(rows, []any{fmt.Sprintf("Screw holding at %s, %s 100 %%", clean(pos.Name), clean(p.Limits.HoldingRef.ID)), measured{value: value(ok, pct), format: "0.0"}, "%"})
		}
	}
	return rows
}
