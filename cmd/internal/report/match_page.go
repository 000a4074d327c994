package report

import (
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"stavewright/optimize"
)

// A matchView is what a match's page has besides what the page of a layout has.
type matchView struct {
	Title                         string
	MillTitle                     string
	Asked                         string
	Warnings                      []string
	Saved                         []string
	Strength                      string
	Trimmed                       bool // the layout drawn is Trimmed, not Best
	Compared, Mill, Swaps, Factor *grid
}

// MatchPage writes what a match found as one HTML page in the manner of [FrontPage]: figures side by side, the cross-sections of
// reference and answer, EI along the board inside its windows, the profile to mill, and what replaces a wood that cannot be had.
// Without an answer it says what clashes.
func MatchPage(w io.Writer, r *optimize.MatchResult) error {
	p, err := matchPage(r)
	if err != nil {
		return err
	}
	return p.write(w)
}

func matchPage(r *optimize.MatchResult) (*page, error) {
	m, err := newMatching(r)
	if err != nil {
		return nil, err
	}
	pg := newPage(m.program, capital(m.goalWords())+": ")
	v := &matchView{Title: capital(m.goalWords()), Asked: m.asked(), Warnings: m.warnings()}
	pg.Match, pg.Infeasible = v, r.Infeasible
	head, text, done := m.proof()
	pg.Proof = proof{Done: done, Head: head, Text: capital(text)}
	if r.Best == nil {
		return pg, nil
	}
	answer, reference := m.answer(), m.reference()
	s := &subject{program: answer.program, strips: answer.program.Board.Strips(), points: []optimize.Point{*answer.point},
		reference: reference.point, referenceProgram: reference.program}
	for _, c := range m.columns {
		if err := fits(c.program.Board, s.strips, c.point); err != nil {
			return nil, err
		}
	}
	s.marks, s.slot = woodMarks(m.program, m.program.Board, m.layouts())
	if v.Trimmed = r.Trimmed != nil; v.Trimmed {
		s.other = &m.columns[1]
	}
	pg.Comparing = true
	if err := pg.show(s, 0); err != nil {
		return nil, err
	}
	pg.Data = nil // there is no other point to pick
	pg.texts["title"], pg.texts["tags"] = answer.name, ""
	for i := range m.columns[1:] {
		v.Saved = append(v.Saved, m.savedWords(&m.columns[1+i]))
	}
	if answer.strength != nil {
		v.Strength = "Strength of " + answer.name + " under " + loadWords(m.program) + ". " + worstWords(m.program, answer.strength)
	}
	v.MillTitle = m.millTitle()
	read := newReading(s.marks)
	v.Compared = newGrid("Side by side", "", m.comparedColumns())
	v.Mill = newGrid("Thickness of the core by station, straight between stations", "", m.millColumns())
	if m.heldThin() {
		v.Mill.Note = heldThinNote
	}
	if len(r.Swaps) > 0 {
		v.Swaps = newGrid("The best without a wood", m.swapNote(), m.swapColumns(read))
	}
	if len(r.ByFactor) > 1 {
		const unlimited = 1 << 20
		v.Factor = newGrid("The best at each profile factor", "", m.factorColumns(read, unlimited))
	}
	return pg, nil
}

// swapColumns are what replaces each wood.
func (m *matching) swapColumns(read reading) []column {
	c := []column{{head: "Without", left: true}, {head: "Instead", left: true}, {head: "Found", left: true}, {head: "Layout", left: true}}
	for _, s := range m.r.Swaps {
		instead, layout := "–", "–"
		if s.Point != nil {
			instead, layout = m.replacement(s), strings.Join(read.strips(s.Point.Runs), " ")
		}
		for i, cell := range []string{clean(s.Wood), instead, strings.ReplaceAll(m.swapWords(s), "(-", "(−"), layout} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

// A grid is a table of a page whose cells do not change from point to point.
type grid struct {
	Caption, Note string
	Heads         []gridHead
	Rows          []gridRow
}

type gridHead struct {
	Text  string
	Words bool
}

type gridRow struct {
	Cells  []string
	Marked bool
}

// newGrid is a terminal's table for a page: headings on one line, what is marked there marked here, numbers with the page's
// minus and dash.
func newGrid(caption, note string, columns []column) *grid {
	g := &grid{Caption: caption, Note: note}
	for _, c := range columns {
		g.Heads = append(g.Heads, gridHead{strings.ReplaceAll(c.head, "\n", " "), c.left})
	}
	for i := range columns[0].cells {
		row := gridRow{Marked: columns[0].accent != nil && columns[0].accent[i]}
		for _, c := range columns {
			cell := c.cells[i]
			if !c.left {
				cell = onPage.Replace(cell)
			}
			row.Cells = append(row.Cells, cell)
		}
		g.Rows = append(g.Rows, row)
	}
	return g
}

// onPage writes a terminal's number as a page does.
var onPage = strings.NewReplacer("-", "−", "n/a", "–")

// capital is a sentence with its first letter large.
func capital(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[n:]
}

// strengthGrids are a layout's strength and what its pre-strained strips lock in, as far as there is any.
func strengthGrids(c *optimize.CheckResult) ([]*grid, error) {
	p, pre := c.Program, c.Point.Figures.PreStress
	s, err := strengthOf(p, c.Point.Layout)
	var out []*grid
	if err == nil && s != nil {
		out = append(out, newGrid("Strength under "+loadWords(p), worstWords(p, s), strengthColumns(p, s)))
	}
	if pre.Known {
		out = append(out, newGrid("Pre-strained strips", camberWords(p, pre), preStressColumns(p.Board, pre)))
	}
	return out, err
}
