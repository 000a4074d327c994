package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

// What the terminal shows of long price lists; the workbook and JSON hold them whole.
const (
	maxPriceLines   = 60
	somePriceLines  = 3 // of each wood, besides what is marked
	maxFindingLines = 40
	maxWhyLines     = 15
)

// PricesTerminal writes what each file gave, every offer and stock line beside what a strip costs from it, why some give
// none, and the findings; with steps, how each strip was reckoned.
func PricesTerminal(w io.Writer, c *Comparison, s Style, steps bool) error {
	p := c.Prices
	t := newTerminal(s)
	title := "Prices of " + clean(p.Job)
	if p.Model != "" {
		title += " for " + clean(p.Model)
	}
	t.title(title)
	t.line(c.readWords())
	if c.unreadable() > 0 {
		t.alert(fmt.Sprintf("NOT COMPLETE: %s could not be read; see the findings.", count(c.unreadable(), "price file")))
	}
	if len(p.Files) > 0 {
		t.gap()
		t.table(c.fileColumns())
	}
	if len(c.lines) > 0 {
		shown := c.selection()
		t.gap()
		t.priceTables(c, shown)
		t.gap()
		if len(shown) < len(c.lines) {
			t.line(fmt.Sprintf("%d of %d lines are shown, the cheapest of each wood; the results workbook and --json hold them all.", len(shown), len(c.lines)))
		}
		t.line(c.legend())
		t.noStrips(c, shown)
		if steps {
			t.steps(c, shown)
		}
	}
	t.findings("Findings", c.found.Errors())
	t.findings("Warnings", slices.DeleteFunc(slices.Clone(c.found), func(f sourcing.Finding) bool { return !f.Warning }))
	return t.writeTo(w)
}

// findings lists findings of one kind, as many as a terminal should show.
func (t *terminal) findings(heading string, found sourcing.Findings) {
	if len(found) == 0 {
		return
	}
	t.gap()
	t.heading(heading)
	for i, f := range found {
		if i == maxFindingLines && len(found) > maxFindingLines+1 {
			t.line(fmt.Sprintf("%d more: the results workbook and --json hold them all.", len(found)-i))
			return
		}
		t.item("-", clean(strings.TrimPrefix(f.String(), "warning: ")))
	}
}

// unreadable counts the files from which nothing could be read.
func (c *Comparison) unreadable() int {
	n := 0
	for _, f := range c.Files {
		if f.Unreadable {
			n++
		}
	}
	return n
}

// fileMark is the letters that stand for a price file in tables: A to Z, AA and so on, as a sheet's columns are named.
func fileMark(i int) string {
	name, err := excelize.ColumnNumberToName(i + 1)
	if err != nil {
		return fmt.Sprint(i + 1) // more suppliers than a sheet has columns
	}
	return name
}

func (c *Comparison) fileColumns() []column {
	mark, supplier, file := column{left: true}, column{head: "Supplier", left: true}, column{head: "Price file", left: true}
	lines, offers, without := column{head: "Lines\nof goods"}, column{head: "Offers"}, column{head: "Lines with-\nout an offer"}
	for i, f := range c.Files {
		mark.cells, supplier.cells = append(mark.cells, fileMark(i)), append(supplier.cells, clean(f.Supplier))
		read := []string{fmt.Sprint(f.Rows.Data), fmt.Sprint(len(f.Offers)), fmt.Sprint(f.Rows.Findings)}
		if f.Unreadable {
			read = []string{"not read", "", ""}
		}
		file.cells = append(file.cells, clean(f.File))
		lines.cells, offers.cells, without.cells = append(lines.cells, read[0]), append(offers.cells, read[1]), append(without.cells, read[2])
	}
	return []column{mark, supplier, file, lines, offers, without}
}

// selection is what is shown of the lines, as indices: everything, or of each wood the yard, the cheapest few and what is marked.
func (c *Comparison) selection() []int {
	var out []int
	for i, n := 0, 0; i < len(c.lines); i++ {
		l := &c.lines[i]
		if i > 0 && c.lines[i-1].offer.Wood != l.offer.Wood {
			n = 0
		}
		if !l.stock {
			n++
		}
		if len(c.lines) <= maxPriceLines || l.stock || n <= somePriceLines || l.marked(isCheapest) > 0 || l.marked(isUsed) > 0 {
			out = append(out, i)
		}
	}
	return out
}

// place is where a line stands, shortly: the file's letter, the sheet where the file has offers from several, the cell.
func (c *Comparison) place(l *priceLine) string {
	if l.stock {
		return fmt.Sprint("yard ", offerCell(l.offer))
	}
	for i, f := range c.Files {
		if f.Supplier != l.offer.Supplier || f.File != l.offer.File {
			continue
		}
		where := offerCell(l.offer)
		if slices.ContainsFunc(f.Offers, func(o sourcing.Offer) bool { return o.Sheet != f.Offers[0].Sheet }) {
			where = clipped(clean(l.offer.Sheet), 12) + "!" + where
		}
		return fileMark(i) + " " + where
	}
	return offerCell(l.offer)
}

// priceTables writes the lines with a column for every strip width, in as many tables as the terminal's width asks for; with
// strips for several blanks, with the range of costs.
func (t *terminal) priceTables(c *Comparison, shown []int) {
	cells := func(cell func(*priceLine) string) []string {
		out := make([]string, len(shown))
		for i, k := range shown {
			out[i] = cell(&c.lines[k])
		}
		return out
	}
	last := ""
	wood := column{head: "Wood", left: true, cells: cells(func(l *priceLine) string {
		if l.offer.Wood == last {
			return ""
		}
		last = l.offer.Wood
		return clean(last)
	})}
	from := column{head: "From", left: true, cells: cells(c.place)}
	size := column{head: "Plank mm", left: true, optional: true, cells: cells(func(l *priceLine) string { return strings.TrimSuffix(plank(l.offer.Plank), " mm") })}
	price := column{head: "Price", optional: true, cells: cells(func(l *priceLine) string { return strings.Join(tierLines(l.offer), "\n") })}
	least := column{head: "Least\norder", optional: true, cells: cells(func(l *priceLine) string {
		if l.offer.MinQuantity.IsZero() {
			return ""
		}
		return fmt.Sprint(l.offer.MinQuantity, " ", clean(string(l.offer.Unit)))
	})}
	perM3 := column{head: clipped(clean(c.Currency), 8) + "\nper m³", cells: cells(func(l *priceLine) string {
		var tiers []string
		for _, d := range l.perM3 {
			tiers = append(tiers, amount(d, 2))
		}
		if tiers == nil {
			return "n/a"
		}
		return strings.Join(tiers, "\n")
	})}
	accent := func(mark func(*priceLine) bool) []bool {
		out := make([]bool, len(shown))
		for i, k := range shown {
			out[i] = mark(&c.lines[k])
		}
		return out
	}
	perM3.accent = accent(func(l *priceLine) bool { return l.cheapestPerM3 })

	if !c.oneBlank() {
		low, high := column{head: "A strip\nfrom"}, column{head: "\nto"}
		low.cells = cells(func(l *priceLine) string { return rangeEnd(l, false) })
		high.cells = cells(func(l *priceLine) string { return rangeEnd(l, true) })
		best := column{head: "Cheapest\nfor strips", cells: cells(func(l *priceLine) string { return countOf(l.marked(isCheapest), len(l.strips)) }),
			accent: accent(func(l *priceLine) bool { return l.marked(isCheapest) > 0 })}
		used := column{head: "Front\ntakes it", cells: cells(func(l *priceLine) string { return countOf(l.marked(isUsed), len(l.strips)) })}
		columns := t.fitting([]column{wood, from, size, price, perM3, low, high, best, used, least})
		if tableWidth(columns) > t.width { // what front takes goes last of all that can be spared
			columns = columns[:len(columns)-1]
		}
		t.table(columns)
		return
	}
	var strips []column
	for k, cut := range c.Cuts {
		strips = append(strips, column{head: trimmed(cut.StripWidthMM) + " mm\nstrip", cells: cells(func(l *priceLine) string { return stripCell(l.strips[k]) }),
			accent: accent(func(l *priceLine) bool { return l.strips[k].cheapest })})
	}
	for len(strips) > 0 {
		// At least one strip a table, else as many as fit beside what cannot be spared.
		n := 1
		for n < len(strips) && tableWidth(slices.Concat([]column{wood, from, perM3}, strips[:n+1])) <= t.width {
			n++
		}
		t.table(t.fitting(slices.Concat([]column{wood, from, size, price, perM3}, strips[:n], []column{least})))
		if strips = strips[n:]; len(strips) > 0 {
			t.gap()
		}
	}
}

// tierLines are an offer's price and breaks as the sheet gives them, one a line.
func tierLines(o *sourcing.Offer) []string {
	out := []string{fmt.Sprintf("%s %s/%s", sheetPrice(o.Price), clipped(clean(o.Currency), 8), clipped(clean(string(o.Unit)), 8))}
	for _, b := range o.Breaks {
		from := "from"
		if o.Incremental {
			from = "above"
		}
		out = append(out, fmt.Sprintf("%s %s: %s", from, b.From, sheetPrice(b.Price)))
	}
	return out
}

// stripCell is a strip's cost with its marks; the marks' places are kept, so that the figures stand below each other.
func stripCell(s cutPrice) string {
	if !s.ok() {
		return "-  "
	}
	cheapest, used := " ", " "
	if s.cheapest {
		cheapest = "*"
	}
	if s.used {
		used = "f"
	}
	return stripMoney(s.cost) + cheapest + used
}

func rangeEnd(l *priceLine, most bool) string {
	low, high, none := l.spread()
	switch {
	case none == len(l.strips):
		return "-"
	case most:
		return stripMoney(high)
	}
	return stripMoney(low)
}

func countOf(n, all int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d", n, all)
}

// legend says what the table's figures mean.
func (c *Comparison) legend() string {
	words := "From: a price file's letter and the cell, or yard and the row of the Stock sheet; of each wood the yard first, then the cheapest per m³. "
	costs := "A strip's cost is in " + clean(c.Currency) + ", its share of the plank after sawing and yield, without freight"
	if slices.ContainsFunc(c.lines, func(l priceLine) bool { return len(l.offer.Breaks) > 0 }) {
		costs += ", at the price of the smallest quantity"
	}
	if !c.oneBlank() {
		return words + costs + fmt.Sprintf(", over %s; --model M shows each.", count(len(c.Cuts), "different strip"))
	}
	if len(c.Cuts) == 0 {
		return words
	}
	b := c.Cuts[0].Blank
	words += fmt.Sprintf("Strips are %s mm high and %s mm long. ", size(b.ThicknessMM), size(b.LengthMM)) + costs
	words += ". * the cheapest to buy of its wood; f what front reckons with"
	if c.Cuts[0].PreferCertified {
		words += ", certified offers first, since the job book asks for a share of them"
	}
	return words + "; - gives no such strip."
}

// noStrips says why lines give no strip of any cut.
func (t *terminal) noStrips(c *Comparison, shown []int) {
	var why []string
	for _, k := range shown {
		l := &c.lines[k]
		if _, _, none := l.spread(); none == 0 || none < len(l.strips) && !c.oneBlank() {
			continue
		}
		for k, s := range l.strips {
			if s.ok() {
				continue
			}
			words := c.place(l) + ", " + clean(l.offer.Wood)
			if _, _, none := l.spread(); none < len(l.strips) {
				words += ", " + trimmed(c.Cuts[k].StripWidthMM) + " mm"
			}
			why = append(why, words+": "+clean(s.why))
			if _, _, none := l.spread(); none == len(l.strips) {
				break // the first width's reason stands for all
			}
		}
	}
	if len(why) == 0 {
		return
	}
	t.gap()
	t.heading("Why some give no strip")
	for i, words := range why {
		if i == maxWhyLines && len(why) > maxWhyLines+1 {
			t.line(fmt.Sprintf("%d more: the results workbook and --json hold them all.", len(why)-i))
			return
		}
		t.item("-", words)
	}
}

// steps spells out how the strips of the lines shown were reckoned.
func (t *terminal) steps(c *Comparison, shown []int) {
	for _, i := range shown {
		l := &c.lines[i]
		for k, s := range l.strips {
			if !s.ok() {
				continue
			}
			t.gap()
			t.heading(fmt.Sprintf("A strip of %s, %s, from %s", clean(l.offer.Wood), cutName(c.Cuts[k]), c.place(l)))
			for _, step := range c.steps(l, k) {
				t.item(" ", clean(step))
			}
		}
	}
}
