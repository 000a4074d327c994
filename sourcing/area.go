package sourcing

import (
	"fmt"
	"slices"
	"strings"
)

// A sheetReader reads the tables of one sheet.
type sheetReader struct {
	*reader
	lay    *layouter
	part   sheetPart
	grid   *grid
	turned bool // rows and columns have changed places
	fixed  said // by the job book
	around said // by the sheet's name, its titles, and notes below its last table

	outcomes    map[int]int // what each line came to, by row
	hidden      int         // lines of hidden rows
	firstHidden int
}

// place is where a cell of the lines stands in the sheet.
func (s *sheetReader) place(row, col int) (int, int) {
	if s.turned {
		return col, row
	}
	return row, col
}

func (s *sheetReader) bad(row, col int, problem, advice string) {
	row, col = s.place(row, col)
	s.add(Finding{Sheet: s.part.name, Row: row, Col: col, Problem: problem, Advice: advice})
}

func (s *sheetReader) warn(row, col int, problem, advice string) {
	row, col = s.place(row, col)
	s.add(Finding{Sheet: s.part.name, Row: row, Col: col, Problem: problem, Advice: advice, Warning: true})
}

// mapping is the advice to settle a column in the job book, ready to paste.
func (s *sheetReader) mapping(header, means string) string {
	return fmt.Sprintf("add to the Columns sheet of the job book: %s | %s | %s | %s", s.src.Supplier, s.part.name, header, means)
}

// read reads the tables of a sheet, whose first head is h.
func (s *sheetReader) read(lines []line, h head, at int) {
	titles := lines[:at]
	for {
		body, next, nextAt := s.body(lines, h, at+h.lines)
		end := at + h.lines + len(body)
		nextTitles := end
		if nextAt >= 0 {
			nextTitles = s.titlesOf(lines, at+h.lines, nextAt)
			end = nextTitles
		}
		s.readArea(titles, h, lines[at:at+h.lines], lines[at+h.lines:end])
		if nextAt < 0 {
			break
		}
		titles, h, at = lines[nextTitles:nextAt], next, nextAt
	}
}

// close counts a sheet's lines, and says what concerns it as a whole. Its offers begin at before.
func (s *sheetReader) close(before int) {
	for _, outcome := range s.outcomes {
		s.rows.Data++
		if outcome == gaveOffer {
			s.rows.Offers++
		} else {
			s.rows.Findings++
		}
	}
	if s.hidden > 0 {
		s.warn(s.firstHidden, 0, fmt.Sprintf("the sheet's hidden rows are used all the same: %d of them, this the first", s.hidden), "delete them from the file if they no longer hold")
	}
	if g := s.grid; g.reckoned > 0 {
		s.add(Finding{Sheet: s.part.name, Row: g.firstRow, Col: g.firstCol, Warning: true,
			Problem: fmt.Sprintf("the file stores no values for its formulas; %s reckoned here, this the first", count(g.reckoned, "was", "were")),
			Advice:  "open the file in a spreadsheet program, let it calculate, and save it"})
	}
	s.readRemarks(before)
}

// count is a number with its word.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// describeName is what the sheet's own name says.
func (s *sheetReader) describeName() said {
	d := s.lay.describe(s.part.name)
	if d.unknown != nil && d.wood != "" { // a name that says more than a wood may say another
		d.wood = ""
	}
	d.row, d.col = 0, 0
	return d
}

// readNotes gathers what notes below the last line of figures say of all prices: "Alle Preise in EUR/m³".
func (s *sheetReader) readNotes(lines []line) {
	for i := len(lines) - 1; i >= 0; i-- {
		cols := lines[i].filled(1, maxColumns)
		if len(cols) > 2 {
			break
		}
		for _, col := range cols {
			if d := s.lay.describe(lines[i].text(col)); d.unknown == nil {
				s.around = s.around.under(d.terms())
			}
		}
	}
}

// body is the lines below a head up to the next one that differs. next is that head; nextAt −1 when there is none.
func (s *sheetReader) body(lines []line, h head, from int) (body []line, next head, nextAt int) {
	for start := from; ; {
		if s.heads > maxTables {
			return lines[from:], head{}, -1
		}
		next, nextAt = s.lay.nextHead(lines, start, 0, func(l line) bool { return s.mayHead(l, h) })
		if nextAt < 0 {
			return lines[from:], head{}, -1
		}
		if !sameHead(h, next) {
			return lines[from:nextAt], next, nextAt
		}
		start = nextAt + next.lines
	}
}

// maxTables is how many tables are looked for in a file; what stands below the last of them is read as its lines.
const maxTables = 1_000

// sameHead reports whether a head is another printed page's.
func sameHead(a, b head) bool {
	return slices.EqualFunc(a.cols, b.cols, func(x, y column) bool { return x.col == y.col && sameName(x.header, y.header) })
}

// mayHead is a quick look whether a line within a table can be a head: most lines hold a figure where the table's prices stand.
func (s *sheetReader) mayHead(l line, h head) bool {
	for _, c := range h.cols {
		if c.meaning == isPrice {
			if k := l.at(c.col); k.is(number) || k.text != "" && k.text[0] >= '0' && k.text[0] <= '9' && strings.Trim(k.text, "0123456789.,") == "" {
				if k := l.at(1); k.is(number) || k.text == "" || !s.isHeadWord(k.text) {
					return false
				}
			}
			break
		}
	}
	for i := range l.cells {
		if c := &l.cells[i]; c.text != "" && !c.is(number) && s.isHeadWord(c.text) {
			return true
		}
	}
	return false
}

// isHeadWord reports whether a text heads goods or prices.
func (s *sheetReader) isHeadWord(text string) bool {
	if len(text) > maxHeader {
		return false
	}
	switch s.lay.header(text).meaning {
	case isWood, isThickness, isWidth, isLength, isGrade, isSize, isPrice:
		return true
	}
	return slices.ContainsFunc(s.lay.mapping, func(m mapped) bool { return m.header == fold(text) })
}

// titlesOf is where the titles of a head begin: the lines of few words above it, back to a blank row, or to the last line of goods.
func (s *sheetReader) titlesOf(lines []line, from, at int) int {
	first := at
	for first > from && len(lines[first-1].filled(1, maxColumns)) <= 1 {
		first--
	}
	for i := at; i > first; i-- {
		if i < len(lines) && lines[i].row > lines[i-1].row+1 && i < at {
			return i
		}
	}
	return first
}

// readArea reads the tables under one head, which may stand side by side.
func (s *sheetReader) readArea(titles []line, h head, headLines, body []line) {
	s.heads++
	if len(body) == 0 {
		return
	}
	for i := range h.cols {
		h.cols[i].hidden = !s.turned && s.grid.isHiddenCol(h.cols[i].col)
		for _, m := range s.lay.mapping {
			s.met[m.index] = s.met[m.index] || h.cols[i].mapped && s.mapsTo(m, h.cols[i], headLines)
		}
	}
	groups := groupsOf(h.cols)
	var tables []*table
	for i, cols := range groups {
		from, to := 1, maxColumns
		if i > 0 {
			from = cols[0].col
		}
		if i+1 < len(groups) {
			to = groups[i+1][0].col - 1
		}
		around := s.titlesSay(titles, groups, from, to)
		for _, l := range headLines { // a title over one of several tables: "FAS" above its columns
			for col := from; col <= to && len(groups) > 1; col++ {
				if c := l.at(col); c.text != "" && s.lay.header(c.text).meaning == "" {
					if d := s.lay.describe(c.text); d.unknown == nil {
						around = d.under(around)
					}
					break
				}
			}
		}
		t := newTable(s, headLines[len(headLines)-1].row, cols, body, from, to, s.fixed.under(around.under(s.around)))
		t.heads = headLines
		tables = append(tables, t)
	}
	for _, t := range tables {
		t.usable = t.settle()
	}
	for i := 0; i < len(body); i++ {
		l := body[i]
		if n := repeats(body[i:], headLines); n > 0 {
			for _, t := range tables {
				t.skip(body[i+n-1].row)
			}
			i += n - 1
			continue
		}
		outcome := isTitle
		for _, t := range tables {
			if len(l.filled(t.from, t.to)) > 0 {
				outcome = max(outcome, t.line(l))
			}
		}
		if outcome == isTitle {
			continue
		}
		if _, counted := s.outcomes[l.row]; l.hidden && !counted {
			if s.hidden++; s.hidden == 1 {
				s.firstHidden = l.row
			}
		}
		s.outcomes[l.row] = max(s.outcomes[l.row], outcome)
	}
	for _, t := range tables {
		t.close()
	}
}

// mapsTo reports whether a row of the Columns sheet settled a column.
func (s *sheetReader) mapsTo(m mapped, c column, headLines []line) bool {
	if m.header == fold(c.header) {
		return true
	}
	for _, l := range headLines {
		if m.header == strings.ToLower(cellName(s.place(l.row, c.col))) {
			return true
		}
	}
	return slices.ContainsFunc(headLines, func(l line) bool { return fold(l.text(c.col)) == m.header })
}

// titlesSay is what the lines above a head say of the table in a range of columns. A wood is taken only from a title that is understood as a
// whole; the letterhead of "Linden & Son" lists no lime.
func (s *sheetReader) titlesSay(titles []line, groups [][]column, from, to int) said {
	var out said
	for i := len(titles) - 1; i >= 0; i-- {
		l := titles[i]
		cols := l.filled(1, maxColumns)
		apart := false // the title has words over several of the tables, each for its own
		if len(groups) > 1 {
			first := groups[1][0].col
			apart = slices.ContainsFunc(cols, func(c int) bool { return c < first }) && slices.ContainsFunc(cols, func(c int) bool { return c >= first })
		}
		for _, col := range cols {
			if apart && (col < from || col > to) {
				continue
			}
			d := s.lay.describe(l.text(col))
			d.row, d.col = l.row, col
			if d.minimum && !s.src.HasTerms {
				s.warn(l.row, col, fmt.Sprintf("%q concerns whole orders or adds to prices, and is not reckoned with", shorten(d.text)),
					"enter a minimum order and freight on the Suppliers sheet of the job book; add a surcharge to the prices it concerns")
			}
			if d.unknown != nil {
				d = d.terms()
			}
			out = out.under(d)
		}
	}
	return out
}

// repeats is how many lines are the head once more, as on every printed page; 0 when they are none.
func repeats(lines, headLines []line) int {
	for n := len(headLines); n > 0; n-- { // of a head of several lines perhaps only the last is repeated
		if len(lines) < n {
			continue
		}
		same := true
		for i := range n {
			if !sameLine(lines[i], headLines[len(headLines)-n+i]) {
				same = false
				break
			}
		}
		if same {
			return n
		}
	}
	return 0
}

func sameLine(a, b line) bool {
	for i := range max(len(a.cells), len(b.cells)) {
		if x, y := a.text(i+1), b.text(i+1); x != y && !sameName(x, y) {
			return false
		}
	}
	return true
}

// readRemarks warns of the notes that hang on cells, which often hold a condition.
func (s *sheetReader) readRemarks(from int) {
	for _, r := range s.book.remarks(s.part.raw) {
		s.add(Finding{Sheet: s.part.name, Row: r.row, Col: r.col, Warning: true, Problem: fmt.Sprintf("the cell's note says %q, and is not reckoned with", r.text),
			Advice: "put what it says into a column of its own, if it concerns the price"})
	}
}
