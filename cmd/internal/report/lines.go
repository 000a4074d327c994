package report

import (
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
	"golang.org/x/text/unicode/bidi"
)

// Lines of a terminal: how wide text is, where it is broken, how columns stand beside each other. Width is counted by what a
// person sees as one character (grapheme clusters, UAX #29): East Asian wide characters and emoji take two columns whatever they are
// made of, combining marks none. The locale has no say in it.

// columnsOf is how many columns of a terminal text takes; of several lines, the longest.
func columnsOf(s string) int {
	most := 0
	for line := range strings.SplitSeq(s, "\n") {
		most = max(most, uniseg.StringWidth(line))
	}
	return most
}

// folded is text on lines of at most a width, broken between words, and inside a word only where it is longer than a line. Lines that
// it has already stay.
func folded(s string, width int) []string {
	var out []string
	for line := range strings.SplitSeq(s, "\n") {
		out = append(out, foldedLine(line, max(width, 2))...)
	}
	return out
}

func foldedLine(s string, width int) []string {
	if !strings.Contains(s, "  ") && uniseg.StringWidth(s) <= width {
		return []string{s}
	}
	var out []string
	var line strings.Builder
	used := 0
	end := func() {
		out = append(out, line.String())
		line.Reset()
		used = 0
	}
	for word := range strings.SplitSeq(s, " ") {
		n := uniseg.StringWidth(word)
		switch {
		case n == 0:
			continue
		case used > 0 && used+1+n <= width:
			line.WriteByte(' ')
			used++
		case used > 0:
			end()
		}
		for n > width {
			var part string
			part, word = cut(word, width)
			line.WriteString(part)
			end()
			n = uniseg.StringWidth(word)
		}
		line.WriteString(word)
		used += n
	}
	if used > 0 || len(out) == 0 {
		end()
	}
	return out
}

// cut is what of a word fits a width, one character at least, and the rest.
func cut(word string, width int) (part, rest string) {
	used, rest := 0, word
	for state := -1; rest != ""; {
		_, after, n, next := uniseg.FirstGraphemeClusterInString(rest, state)
		if used > 0 && used+n > width {
			break
		}
		used, rest, state = used+n, after, next
	}
	return word[:len(word)-len(rest)], rest
}

// padded is one line of text in a column of a width.
func padded(s string, width int, left bool) string {
	fill := strings.Repeat(" ", max(width-uniseg.StringWidth(s), 0))
	if left {
		return s + fill
	}
	return fill + s
}

// isolated keeps right-to-left words from reordering what stands beside them on the same line: each run of them stands in an isolate
// (UAX #9), which takes no column. A line's own direction stays left to right.
func isolated(line string) string {
	const begin, end = "\u2067", "\u2069"
	type span struct{ from, to int }
	var runs []span
	open := false
	for i, r := range line {
		p, size := bidi.LookupString(line[i:])
		switch p.Class() {
		case bidi.R, bidi.AL:
			if !open {
				runs = append(runs, span{from: i})
			}
			open = true
			runs[len(runs)-1].to = i + max(size, len(string(r)))
		case bidi.NSM:
			if open && runs[len(runs)-1].to == i { // a mark belongs to its letter
				runs[len(runs)-1].to = i + size
			}
		case bidi.L:
			open = false
		}
	}
	if len(runs) == 0 {
		return line
	}
	var b strings.Builder
	at := 0
	for _, s := range runs {
		b.WriteString(line[at:s.from] + begin + line[s.from:s.to] + end)
		at = s.to
	}
	return b.String() + line[at:]
}

// Plain is text for a terminal as others wrote it: nothing in it steers the terminal or reorders a line, and its lines stay lines.
func Plain(s string) string {
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		lines[i] = isolated(strings.Map(func(r rune) rune {
			if steers(r) {
				return ' '
			}
			return r
		}, line))
	}
	return strings.Join(lines, "\n")
}

// steers reports whether a character does something to a terminal or to the order of a line, instead of showing.
func steers(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar
}

// Clipped is text cut to as many columns of a terminal, with a mark where something is missing.
func Clipped(s string, columns int) string { return clipped(Plain(s), max(columns, 1)) }

// A column of a terminal table: a heading of one line or several and its cells.
type column struct {
	head     string
	cells    []string
	left     bool
	optional bool // goes first when the terminal is narrow; the last such column first
	accent   []bool
}

func (c column) width() int {
	w := columnsOf(c.head)
	for _, cell := range c.cells {
		w = max(w, columnsOf(cell))
	}
	return w
}

const columnGap = 2

func tableWidth(columns []column) int {
	w := -columnGap
	for _, c := range columns {
		w += c.width() + columnGap
	}
	return w
}

// table writes columns with their headings, two spaces apart. What is too wide for the terminal is broken in the widest
// columns of words.
func (t *terminal) table(columns []column) {
	columns = narrowed(columns, t.width)
	widths := make([]int, len(columns))
	for i, c := range columns {
		widths[i] = c.width()
	}
	// row writes one row, as high as its highest cell; cells shorter than that stand above, headings below.
	row := func(cell func(column) (string, bool), below bool) {
		cells, high := make([][]string, len(columns)), 0
		for i, c := range columns {
			s, _ := cell(c)
			cells[i] = strings.Split(s, "\n")
			high = max(high, len(cells[i]))
		}
		for n := range high {
			var b strings.Builder
			for i, c := range columns {
				k := n
				if below {
					k -= high - len(cells[i])
				}
				s := ""
				if k >= 0 && k < len(cells[i]) {
					s = cells[i][k]
				}
				line := padded(s, widths[i], c.left)
				if _, accent := cell(c); accent {
					line = strings.Replace(line, s, t.paint(s, green), 1)
				}
				b.WriteString(line + strings.Repeat(" ", columnGap))
			}
			t.put(b.String())
		}
	}
	row(func(c column) (string, bool) { return c.head, false }, true)
	t.put(strings.Repeat("─", tableWidth(columns)))
	for i := range columns[0].cells {
		row(func(c column) (string, bool) { return c.cells[i], c.accent != nil && c.accent[i] }, false)
	}
}

// put writes a line without the spaces at its end.
func (t *terminal) put(line string) { t.b.WriteString(isolated(strings.TrimRight(line, " ")) + "\n") }

// narrowed are the columns with words broken so that they fit a width, as far as they can: first between words, the headings of
// numbers before the widest columns of words; where that does not do, inside words in the same order.
func narrowed(columns []column, width int) []column {
	columns = append([]column(nil), columns...)
	for _, least := range []func(...string) int{longestWord, func(...string) int { return 0 }} {
		narrowHeads(columns, width, least)
		narrowCells(columns, width, least)
	}
	return columns
}

// narrowHeads breaks the headings of numbers, none further than least says of it.
func narrowHeads(columns []column, width int, least func(...string) int) {
	const leastHead = 6
	for i, c := range columns {
		if over := tableWidth(columns) - width; over > 0 && !c.left {
			columns[i].head = broken(c.head, max(column{cells: c.cells}.width(), c.width()-over, least(c.head), leastHead))
		}
	}
}

// narrowCells breaks the widest columns of words, none further than least says of what is in it.
func narrowCells(columns []column, width int, least func(...string) int) {
	const leastCell = 8
	floor := make([]int, len(columns))
	for i, c := range columns {
		floor[i] = max(least(append([]string{c.head}, c.cells...)...), leastCell)
	}
	for over := tableWidth(columns) - width; over > 0; over = tableWidth(columns) - width {
		widest := -1
		for i, c := range columns {
			if c.left && c.width() > floor[i] && (widest < 0 || c.width() > columns[widest].width()) {
				widest = i
			}
		}
		if widest < 0 {
			return
		}
		c := &columns[widest]
		to := max(c.width()-over, floor[widest])
		c.head, c.cells = broken(c.head, to), append([]string(nil), c.cells...)
		for i := range c.cells {
			c.cells[i] = broken(c.cells[i], to)
		}
	}
}

// longestWord is the width of the longest word of texts.
func longestWord(texts ...string) int {
	most := 0
	for _, s := range texts {
		for _, word := range strings.Fields(s) {
			most = max(most, columnsOf(word))
		}
	}
	return most
}

// broken is text on lines of at most a width.
func broken(s string, width int) string { return strings.Join(folded(s, width), "\n") }
