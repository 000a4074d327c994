package sourcing

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"stavewright/species"
)

// A layouter recognises how a sheet is laid out.
type layouter struct {
	sheet   string
	mapping []mapped
	wood    func(string) (species.Wood, error) // nil: none is known
	names   map[string]bool                    // words of woods' names
	headers map[string]column                  // what header texts mean, kept since they are asked often
	titles  map[string]said                    // and what titles say
	work    *int                               // pieces of headers and titles looked into so far, in the whole file
}

// mapped is a row of the job book's Columns sheet that speaks of this sheet.
type mapped struct {
	header string // folded
	column column
	index  int
}

// header is [readHeader], remembered.
func (lay *layouter) header(text string) column {
	if c, ok := lay.headers[text]; ok {
		return c
	}
	c := readHeader(text)
	if lay.headers == nil {
		lay.headers = map[string]column{}
	}
	if len(lay.headers) < 10_000 {
		lay.headers[text] = c
	}
	return c
}

func isAmbiguous(err error) bool {
	_, ok := errors.AsType[*species.AmbiguousNameError](err)
	return ok
}

// A head is one to three lines that head a table.
type head struct {
	lines int
	cols  []column
	score float64 // 0: no head
}

// full reports whether a head names a plain price and two other things at least: only such a one is looked for down the side of a sheet.
func (h head) full() bool {
	named := map[meaning]bool{}
	for _, c := range h.cols {
		if c.meaning != "" && c.key.kind() == "" && c.meaning != isIgnored {
			named[c.meaning] = true
		}
	}
	return named[isPrice] && len(named) >= 4
}

// maxHeadLines is how many lines a head can have: a group, a name, a unit.
const maxHeadLines = 3

// findHead is the best head that begins at a line; its score is 0 when none does. Two heads are tried against each other by how
// much of their text they explain.
func findHead(lines []line, at int, lay *layouter) head {
	var best head
	for n := 1; n <= maxHeadLines && at+n <= len(lines); n++ {
		if n > 1 && lines[at+n-1].row != lines[at+n-2].row+1 {
			break
		}
		if h := lay.recognise(lines[at : at+n]); h.score > best.score {
			best = h
		}
	}
	return best
}

// nextHead is the head nearest below a line, up to a row or for ever (0), and where it begins; at −1 when there is none. Of heads that begin within
// one another's lines the best counts: a title above a head makes a worse one.
func (lay *layouter) nextHead(lines []line, from, untilRow int, may func(line) bool) (h head, at int) {
	for i := from; i < len(lines); i++ {
		if untilRow > 0 && lines[i].row > untilRow {
			break
		}
		if may != nil && !may(lines[i]) {
			continue
		}
		h = findHead(lines, i, lay)
		if h.score == 0 {
			continue
		}
		at = i
		for j := i + 1; j < min(i+maxHeadLines, len(lines)); j++ {
			if better := findHead(lines, j, lay); better.score > h.score {
				h, at = better, j
			}
		}
		return h, at
	}
	return head{}, -1
}

// recognise reads some lines as the head of a table.
func (lay *layouter) recognise(win []line) head {
	width := 0
	for _, l := range win {
		width = max(width, len(l.cells))
	}
	h := head{lines: len(win)}
	above := make([]string, len(win)) // the text that reaches over the columns to its right, by line
	last := win[len(win)-1]
	keyedCols, priced, explained := 0, 0, make([]int, len(win))
	kinds := map[string]bool{}
	named := map[meaning]bool{}
	for col := 1; col <= width; col++ {
		var parts, upper []string
		var partLine, upperLine []int
		spanning := true // a figure stands below nothing, or below what reaches over several columns
		own := 0
		lowest := 0
		for r, l := range win {
			c := l.at(col)
			if c.text != "" && c.is(merged) && r > 0 && win[r-1].at(col).text == c.text {
				continue // the area reaches down
			}
			if c.text == "" {
				if r < len(win)-1 && above[r] != "" {
					upper, upperLine = append(upper, above[r]), append(upperLine, r)
				}
				continue
			}
			if r < len(win)-1 && !c.is(merged) && (l.at(col+1).text != "" || last.at(col+1).text == "") {
				spanning = false
			}
			above[r] = c.text
			parts, partLine = append(parts, c.text), append(partLine, r)
			if !c.is(merged) {
				own++
			}
			lowest = l.row
		}
		if len(parts) == 0 {
			for r := range above {
				above[r] = "" // a blank column ends what reaches over
			}
			continue
		}
		if len(parts) == 1 && len(win) > 1 && last.text(col) == "" && len(upper) == 0 {
			spanning = false
		}
		c, used, upperUsed := lay.column(parts, upper, spanning)
		for k, r := range partLine {
			if m := lay.byCell(win[r].row, col); m != nil {
				header := c.header
				c, used, upperUsed = m.column, make([]bool, len(parts)), false
				c.header, c.mapped, used[k] = header, true, true
			}
		}
		c.col, c.row = col, lowest
		switch {
		case c.meaning == "":
			h.score -= 3 * float64(max(own, 1))
			if len(last.at(col).text) > 0 && last.at(col).is(number) {
				h.score -= 8 // a line of figures is no head
			}
		default:
			h.score += 6
			for i, r := range partLine {
				switch k := win[r].at(col); {
				case used[i]:
					explained[r]++
					h.score++
				case k.is(number) && !k.is(merged):
					h.score -= 8
				case !k.is(merged):
					h.score--
				}
			}
			for _, r := range upperLine {
				if upperUsed {
					explained[r]++
				}
			}
			if c.length != "" || c.unit != "" {
				h.score++
			}
			if c.currency != "" {
				h.score++
			}
			if k := c.key.kind(); k != "" {
				keyedCols++
				h.score += 2
				kinds[k] = true
				if c.unit != "" || c.currency != "" {
					priced++
				}
			} else if c.meaning != isIgnored && c.meaning != isRemark {
				if !named[c.meaning] {
					h.score += 4
				}
				named[c.meaning] = true
			}
		}
		h.cols = append(h.cols, c)
	}
	if kinds["figure"] && !figuresRise(h.cols, kinds) { // figures beside a wood's name, or that are no thicknesses, head nothing
		for i := range h.cols {
			if c := &h.cols[i]; c.key.bare != "" {
				*c = column{header: c.header, row: c.row, col: c.col}
				h.score -= 16
				keyedCols--
			}
		}
	}
	for i := range h.cols { // "B" beside "Breite mm" is a grade
		c := &h.cols[i]
		if k := fold(c.header); len(k) == 1 && gradeLetters.MatchString(k) && slices.ContainsFunc(h.cols, func(o column) bool { return o.meaning == c.meaning && len(o.header) > 1 }) {
			*c = column{meaning: isPrice, header: c.header, row: c.row, col: c.col, key: key{grade: c.header}}
			keyedCols++
			kinds[c.key.kind()] = true
		}
	}
	for _, n := range explained {
		if n == 0 {
			return head{} // a line of the head that says nothing is no line of it
		}
	}
	if !named[isPrice] && keyedCols == 0 {
		h.score /= 2 // a head without prices is the last resort
	}
	goods := named[isWood] || named[isThickness] || named[isGrade] || named[isSize] || named[isWidth] || named[isLength]
	switch {
	case named[isPrice] && len(named) >= 3, named[isPrice] && goods, named[isWood] && len(named) >= 3:
	case goods && keyedCols >= 2 && len(kinds) == 1, goods && keyedCols >= 1 && priced == keyedCols:
	default:
		return head{}
	}
	h.score = max(h.score, 0)
	return h
}

// figuresRise reports whether the bare figures among headers can be keys: nothing else heads a price, and they rise, as thicknesses or years do.
func figuresRise(cols []column, kinds map[string]bool) bool {
	if len(kinds) > 1 {
		return false
	}
	last := 0.0
	for _, c := range cols {
		if c.key.bare == "" {
			continue
		}
		v, _, err := parseNumber(c.key.bare, '.')
		f := v.InexactFloat64()
		if err != nil || f <= last || f > thicknessLimits[1] && (f < 1990 || f > 2100) {
			return false
		}
		last = f
	}
	return true
}

// byCell is the row of the Columns sheet that names a header by its cell: "F1".
func (lay *layouter) byCell(row, col int) *mapped {
	for i := range lay.mapping {
		if m := &lay.mapping[i]; len(m.header) < 8 && m.header == strings.ToLower(cellName(row, col)) {
			return m
		}
	}
	return nil
}

// column says what the texts above a column mean: first by the job book's mapping, then by itself. upper are texts of lines above that
// reach over from the left. used says which of the texts count, and upperUsed whether those from the left do.
func (lay *layouter) column(parts, upper []string, spanning bool) (_ column, used []bool, upperUsed bool) {
	whole := strings.Join(parts, " ")
	used = make([]bool, len(parts))
	all := func() []bool {
		for i := range used {
			used[i] = true
		}
		return used
	}
	for i := len(lay.mapping) - 1; i >= 0; i-- {
		m := &lay.mapping[i]
		c := m.column
		c.header, c.mapped = whole, true
		if fold(whole) == m.header {
			return c, all(), false
		}
		for k, text := range parts {
			if fold(text) == m.header {
				c.header = text
				used[k] = true
				return c, used, false
			}
		}
	}
	short := shorten(whole)
	last := len(parts) - 1
	low := lay.header(parts[last])
	c := lay.header(whole)
	if c.meaning != "" && !(c.meaning == isSize && (low.meaning == isThickness || low.meaning == isWidth || low.meaning == isLength)) {
		c.header = short
		return c, all(), false
	}
	if corner, ok := lay.corner(whole); ok {
		return corner, all(), false
	}
	if k, ok := lay.keyed(parts, spanning); ok {
		k.header = short
		return k, all(), false
	}
	if len(upper) > 0 {
		if k, ok := lay.keyed(append(slices.Clone(upper), parts...), true); ok {
			k.header = short
			return k, all(), true
		}
	}
	if low.meaning != "" {
		low.header = short
		used[last] = true
		for i, g := range parts[:last] {
			used[i] = lay.supplement(&low, g)
		}
		for _, g := range upper {
			upperUsed = lay.supplement(&low, g) || upperUsed
		}
		return low, used, upperUsed
	}
	return column{header: short, why: c.why}, used, false
}

// corner reads the header in the corner of a matrix: what its lines are, and what its columns count.
func (lay *layouter) corner(text string) (column, bool) {
	for _, mark := range []string{" \\ ", "\\", " / ", "/", " | ", " x ", " → ", ", "} {
		down, across, ok := strings.Cut(text, mark)
		if !ok {
			continue
		}
		d, a := lay.header(strings.Trim(down, " ↓")), lay.header(strings.Trim(across, " →"))
		goods := func(m meaning) bool {
			return m == isWood || m == isThickness || m == isGrade || m == isWidth || m == isLength
		}
		if goods(d.meaning) && goods(a.meaning) && d.meaning != a.meaning {
			d.header, d.across = text, &a
			return d, true
		}
	}
	return column{}, false
}

// supplement gives a column the unit or key that a header above a group of columns names. It is false when that says nothing of the column.
func (lay *layouter) supplement(c *column, group string) bool {
	if len(group) > maxPhrase {
		return false
	}
	g := lay.header(group)
	switch c.meaning {
	case isThickness, isWidth, isLength, isSize:
		if g.meaning == isSize {
			c.length = cmp.Or(c.length, g.length)
			return true
		}
		if u, ok := lengthWords[strings.Join(words(group), " ")]; ok && c.length == "" {
			c.length = u
			return true
		}
	case isPrice:
		if g.meaning == isPrice || g.meaning == "" {
			if k, ok := lay.keyed([]string{group}, false); ok {
				both, ok := c.key.merge(k.key)
				if !ok {
					return false
				}
				c.key = both
				c.unit, c.currency = cmp.Or(c.unit, k.unit), cmp.Or(c.currency, k.currency)
				return true
			}
		}
	}
	return false
}

// groupsOf parts the columns of a head where several tables stand side by side: where a column that every table has comes again behind a
// price, a new table begins.
func groupsOf(cols []column) [][]column {
	var out [][]column
	start := 0
	seen := map[meaning]bool{}
	price := false
	for i, c := range cols {
		again := seen[c.meaning] && c.key.kind() == "" && (c.meaning == isWood || c.meaning == isThickness || c.meaning == isSize || c.meaning == isWidth || c.meaning == isLength)
		if again && price && hasPriceAndGoods(cols[i:]) {
			out = append(out, cols[start:i])
			start, price = i, false
			seen = map[meaning]bool{}
		}
		seen[c.meaning] = true
		price = price || c.meaning == isPrice
	}
	return append(out, cols[start:])
}

func hasPriceAndGoods(cols []column) bool {
	price := slices.ContainsFunc(cols, func(c column) bool { return c.meaning == isPrice })
	return price && slices.ContainsFunc(cols, func(c column) bool { return c.meaning == isThickness || c.meaning == isSize })
}

// turned is a sheet with rows and columns changed: some price lists have their headers down the left side. Only short sheets are turned.
func turned(lines []line) []line {
	const most = 80
	if len(lines) == 0 || len(lines) > most {
		return nil
	}
	width := 0
	for _, l := range lines {
		width = max(width, len(l.cells))
	}
	lastRow := lines[len(lines)-1].row
	if lastRow > 4*most || width < 2 {
		return nil
	}
	var out []line
	for col := 1; col <= width; col++ {
		l := line{row: col, cells: make([]cell, lastRow)}
		for _, src := range lines {
			l.cells[src.row-1] = src.at(col)
		}
		if len(l.filled(1, lastRow)) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// strips parts a sheet at its blank columns, where tables stand side by side whose heads are not in one row; nil when they do not.
func (lay *layouter) strips(lines []line) []colRange {
	var used [maxColumns + 2]bool
	for _, l := range lines {
		for i := range min(len(l.cells), maxColumns) {
			if c := &l.cells[i]; c.kind&merged == 0 && (c.text != "" || c.kind&formula != 0) {
				used[i+1] = true
			}
		}
	}
	var out []colRange
	for col := 1; col <= maxColumns; col++ {
		if used[col] && !used[col-1] {
			out = append(out, colRange{col, col})
		}
		if used[col] {
			out[len(out)-1].to = col
		}
	}
	if len(out) < 2 || len(out) > 10 {
		return nil
	}
	rows := map[int]bool{}
	var heads []colRange
	for _, s := range out {
		h, at := lay.nextHead(within(lines, s), 0, headerWithin, nil)
		if at >= 0 && h.full() {
			heads = append(heads, s)
			rows[h.cols[0].row] = true
		} else if len(heads) > 0 { // a strip without a head belongs to the table on its left
			heads[len(heads)-1].to = s.to
		}
	}
	if len(heads) < 2 || len(rows) < 2 {
		return nil
	}
	heads[0].from = 1
	return heads
}

// within is the lines of some columns, at their places.
func within(lines []line, s colRange) []line {
	var out []line
	for _, l := range lines {
		if len(l.filled(s.from, s.to)) == 0 {
			continue
		}
		cells := make([]cell, min(s.to, len(l.cells)))
		copy(cells[s.from-1:], l.cells[s.from-1:min(s.to, len(l.cells))])
		out = append(out, line{row: l.row, hidden: l.hidden, cells: cells})
	}
	return out
}

// saysNothing is a line of dashes.
func (l line) saysNothing() bool {
	for _, c := range l.cells {
		if strings.Trim(c.text, "-_=.~*# ") != "" || c.is(formula) && c.text == "" {
			return false
		}
	}
	return true
}
