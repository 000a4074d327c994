package sourcing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"github.com/shopspring/decimal"
)

// notRead ends the finding that answers for a whole sheet or table.
func notRead(lines int) string {
	if lines == 1 {
		return "its one line is not read"
	}
	return fmt.Sprintf("its %d lines are not read", lines)
}

// sampleMeaning shows how a needed column is named in full.
var sampleMeaning = map[meaning]string{isWood: "wood", isThickness: "thickness mm", isWidth: "width mm", isLength: "length mm", isPrice: "price EUR/m3"}

// sampleValue shows how the job book says of a whole sheet what none of its columns does.
var sampleValue = map[meaning]string{isWood: "wood beech-european", isThickness: "thickness 26 mm", isWidth: "width 120 mm", isLength: "length 2500 mm"}

// settle decides which column holds what, and says what stays open. It is false when no line can be read.
func (t *table) settle() bool {
	lines := notRead(len(t.body))
	by := map[meaning][]*column{}
	plain := slices.ContainsFunc(t.cols, func(c column) bool { return c.meaning == isPrice && c.key.kind() == "" })
	var unknown []*column
	headed := map[int]bool{}
	for i := range t.cols {
		c := &t.cols[i]
		headed[c.col] = true
		switch {
		case c.meaning == "":
			unknown = append(unknown, c)
			problem := fmt.Sprintf("the column %q is not understood and not used", shorten(c.header))
			if c.why != "" {
				problem = fmt.Sprintf("the column %q is not used: %s", shorten(c.header), c.why)
			}
			t.warn(c.row, c.col, problem, "with what it is, or ignore, "+t.mappingOf(c, "ignore"))
		case c.meaning == isPrice && c.key.bare != "" && !t.settleBare(c):
			tell := t.bad
			if plain {
				tell = t.warn
			}
			if v, err := strconv.Atoi(c.key.bare); err == nil && v >= 1990 && v <= 2100 {
				tell(c.row, c.col, fmt.Sprintf("%q heads a column of prices and looks like a year; they are not read", shorten(c.header)), "for the year that holds, "+t.mappingOf(c, "price EUR/m3"))
				continue
			}
			tell(c.row, c.col, fmt.Sprintf("%q heads a column of prices, and nothing says what the figure counts; they are not read", shorten(c.header)),
				fmt.Sprintf("write its unit (%s mm), or %s", c.key.bare, t.mappingOf(c, "price EUR/m3 "+c.key.bare+" mm")))
		case c.meaning == isPrice && c.key.isBreak && c.key.unusable != "":
			t.warn(c.row, c.col, fmt.Sprintf("the prices under %q are not used: %s", shorten(c.header), c.key.unusable), "ask the supplier from what quantity they hold, and write it as the header")
		default:
			by[c.meaning] = append(by[c.meaning], c)
		}
	}
	for i, l := range t.body {
		if i == 2000 { // a column that only begins further down is told of by its lines
			break
		}
		if filled := l.filled(t.from, t.to); len(filled) > 1 {
			for _, col := range filled {
				if !headed[col] {
					headed[col] = true
					t.unheaded = append(t.unheaded, col)
					t.warn(l.row, col, "the column has no header, and is not used but for what it says is sold out", "give it a header, if it says anything of the goods")
				}
			}
		}
	}
	ok := true
	for _, name := range Meanings() {
		m := meaning(name)
		cols := by[m]
		if mapped := slices.DeleteFunc(slices.Clone(cols), func(c *column) bool { return !c.mapped }); len(mapped) > 0 {
			if m == isPrice {
				mapped = withOthers(mapped, cols)
			}
			cols = mapped // what the job book says goes before what the headers seem to say
		}
		need := slices.Contains(needed, m)
		switch {
		case m == isIgnored:
		case m == isCertificate:
			t.certs = cols
		case m == isPrice:
			ok = t.settlePrices(cols, unknown) && ok
		case len(cols) == 1:
			t.at[m] = cols[0]
		case len(cols) > 1 && need:
			ok = false
			t.bad(cols[1].row, cols[1].col, fmt.Sprintf("%q and %q both name the %s; %s", shorten(cols[0].header), shorten(cols[1].header), m, lines),
				"keep one of them, or "+t.mappingOf(cols[1], "ignore"))
		case len(cols) > 1 && m == isAvailable && cols[0].unit != cols[1].unit:
			t.at[m] = cols[slices.IndexFunc(cols, func(c *column) bool { return c.unit != PerPiece })] // pieces beside their volume
		case len(cols) > 1 && m != isRemark:
			t.warn(cols[1].row, cols[1].col, fmt.Sprintf("%q and %q both name the %s, so that neither is used", shorten(cols[0].header), shorten(cols[1].header), m),
				"keep one of them, or "+t.mappingOf(cols[1], "ignore"))
		}
	}
	for _, m := range needed {
		if m == isPrice || t.at[m] != nil || len(by[m]) > 1 || t.elsewhere(m) {
			continue
		}
		ok = false
		advice := "add one"
		if len(unknown) > 0 {
			advice += ", or " + t.mappingOf(unknown[0], sampleMeaning[m])
		}
		if v := sampleValue[m]; v != "" {
			advice += ", or, if all lines have the same, " + t.mapping(wholeSheet, v)
		}
		t.bad(t.head, 0, fmt.Sprintf("no column names the %s, and nothing else does; %s", m, lines), advice)
	}
	for _, c := range by[isRemark] {
		if i := slices.IndexFunc(t.body, func(l line) bool { return l.text(c.col) != "" }); i >= 0 {
			t.warn(c.row, c.col, fmt.Sprintf("the remarks under %q are not read, but for what is sold out", shorten(c.header)), "see whether one of them concerns a price")
		}
	}
	for i := range t.cols {
		if c := &t.cols[i]; c.hidden && c.meaning != isIgnored && c.meaning != isRemark && t.uses(c.col) {
			t.warn(c.row, c.col, fmt.Sprintf("the column %q is hidden, and is used all the same", shorten(c.header)), "delete it from the file if it no longer holds, or "+t.mappingOf(c, "ignore"))
		}
	}
	return t.checkUnits() && ok
}

// uses reports whether a column is among those that lines are read by.
func (t *table) uses(col int) bool {
	for _, c := range t.at {
		if c.col == col {
			return true
		}
	}
	return slices.ContainsFunc(t.articles, func(a article) bool { return slices.ContainsFunc(a.cols, func(c *column) bool { return c.col == col }) })
}

// elsewhere reports whether something besides a column of its own can say what a line needs.
func (t *table) elsewhere(m meaning) bool {
	has := func(said func(key) bool) bool { return t.keysHave(said) }
	switch m {
	case isWood:
		if t.around.wood != "" || has(func(k key) bool { return k.wood != "" }) {
			return true
		}
		for _, l := range t.body { // titles within the table
			if f := l.filled(t.from, t.to); len(f) == 1 {
				c := l.at(f[0])
				if d := t.lay.describe(c.text); d.wood != "" || !c.is(number) && t.looksLikeTitle(c.text) {
					return true
				}
			}
		}
	case isThickness:
		if t.at[isSize] != nil || t.around.thick.mm > 0 || has(func(k key) bool { return k.thick.mm > 0 }) {
			return true
		}
		return t.titleSays(func(d said) bool { return d.thick.mm > 0 })
	case isWidth:
		return t.at[isSize] != nil || t.around.width.given() || has(func(k key) bool { return k.width.given() }) || t.graded() || t.titleSays(func(d said) bool { return d.width.given() })
	case isLength:
		return t.at[isSize] != nil || t.around.length.given() || has(func(k key) bool { return k.length.given() }) || t.graded() || t.titleSays(func(d said) bool { return d.length.given() })
	}
	return false
}

// titleSays looks through the titles within a table, and through its wood cells, which can say more than the wood.
func (t *table) titleSays(says func(said) bool) bool {
	for _, l := range t.body {
		if f := l.filled(t.from, t.to); len(f) == 1 && says(t.lay.describe(l.text(f[0]))) {
			return true
		}
		if c := t.at[isWood]; c != nil && l.text(c.col) != "" && says(t.woodCell(l.text(c.col)).said) {
			return true
		}
	}
	return false
}

// graded reports whether some line can name an NHLA grade, which promises a least board.
func (t *table) graded() bool {
	if leastBoard(t.around.grade, isWidth) > 0 || slices.ContainsFunc(t.articles, func(a article) bool { return leastBoard(a.key.grade, isWidth) > 0 }) {
		return true
	}
	if c := t.at[isGrade]; c != nil {
		return slices.ContainsFunc(t.body, func(l line) bool { return leastBoard(l.text(c.col), isWidth) > 0 })
	}
	return t.titleSays(func(d said) bool { return leastBoard(d.grade, isWidth) > 0 })
}

// mappingOf is the advice to settle a column in the job book. A header that is not the only one of its name is named by its cell.
func (t *table) mappingOf(c *column, means string) string {
	header := c.header
	same := 0
	for _, o := range t.cols {
		if sameName(o.header, header) {
			same++
		}
	}
	if same > 1 || len(header) > 60 {
		header = cellName(t.place(c.row, c.col))
	}
	return t.mapping(header, means)
}

// settleBare gives a bare figure above prices its meaning: a thickness in the unit that a corner header, a title or the sheet names for sizes.
func (t *table) settleBare(c *column) bool {
	unit := t.unitOf(isThickness)
	for i := range t.cols {
		if a := t.cols[i].across; a != nil && a.meaning == isThickness && a.length != "" {
			unit = a.length
		}
	}
	if unit == "" {
		return false
	}
	th, err := headThickness(c.key.bare, unit)
	if err != nil {
		return false
	}
	c.key.bare, c.key.thick = "", th
	return true
}

// unitOf is the unit that titles and notes name for a size.
func (t *table) unitOf(m meaning) lengthUnit {
	return cmp.Or(t.around.perMeaning[m], t.around.lengths)
}

// settlePrices gathers the price columns into articles. It is false when there are none, or when two name the same price.
func (t *table) settlePrices(cols []*column, unknown []*column) bool {
	lines := notRead(len(t.body))
	var plain, keyed []*column
	for _, c := range cols {
		if c.key.kind() == "" {
			plain = append(plain, c)
		} else {
			keyed = append(keyed, c)
		}
	}
	if len(plain) > 1 {
		plain = t.choosePrice(plain)
	}
	switch {
	case len(plain) > 1:
		advice := ""
		if plain[0].currency != plain[1].currency && t.src.Currency == "" {
			advice = "give the supplier's currency in the job book, which then decides, or "
		}
		t.bad(plain[1].row, plain[1].col, fmt.Sprintf("%q and %q both name the price; %s", shorten(plain[0].header), shorten(plain[1].header), lines),
			advice+"keep one of them, or "+t.mappingOf(plain[1], "ignore"))
		return false
	case len(plain)+len(keyed) == 0:
		advice := "add one"
		if i := slices.IndexFunc(unknown, func(c *column) bool { return isGross(c.header) }); i >= 0 {
			advice = "ask for net prices, or, if those with tax are meant to count as they are, " + t.mappingOf(unknown[i], sampleMeaning[isPrice])
		} else if len(unknown) > 0 {
			advice += ", or " + t.mappingOf(unknown[0], sampleMeaning[isPrice])
		}
		t.bad(t.head, 0, fmt.Sprintf("no column names the price; %s", lines), advice)
		return false
	}
	// A unit or currency that one header names holds for those beside it that name none.
	var unit Unit
	var currency string
	for _, c := range slices.Concat(plain, keyed) {
		unit, currency = cmp.Or(unit, c.unit), cmp.Or(currency, c.currency)
	}
	for _, c := range slices.Concat(plain, keyed) {
		c.unit, c.currency = cmp.Or(c.unit, unit), cmp.Or(c.currency, currency)
	}
	all := slices.Concat(plain, keyed)
	slices.SortFunc(all, func(a, b *column) int { return cmp.Compare(a.col, b.col) })
	for _, c := range all {
		k := c.key.article()
		i := slices.IndexFunc(t.articles, func(a article) bool { return sameArticle(a.key, k) })
		if i < 0 {
			t.articles = append(t.articles, article{key: k})
			i = len(t.articles) - 1
		}
		t.articles[i].cols = append(t.articles[i].cols, c)
	}
	for i := range t.articles {
		if !t.settleSteps(&t.articles[i]) {
			return false
		}
	}
	return true
}

// withOthers adds to the price columns of the job book those that say another thickness, wood, grade or quantity than any of them: prices of goods, or
// from a quantity on, that the book's row does not speak of.
func withOthers(mapped, all []*column) []*column {
	out := slices.Clone(mapped)
	for _, c := range all {
		if !c.mapped && c.key.kind() != "" && !slices.ContainsFunc(mapped, func(o *column) bool {
			return sameArticle(o.key, c.key) && o.key.fromUnit == c.key.fromUnit && o.key.from.Equal(c.key.from)
		}) {
			out = append(out, c)
		}
	}
	return out
}

func sameArticle(a, b key) bool {
	return fold(a.wood) == fold(b.wood) && a.thick == b.thick && a.width.span == b.width.span && a.width.mm == b.width.mm && a.length.span == b.length.span &&
		a.length.mm == b.length.mm && fold(a.grade) == fold(b.grade) && a.moisture == b.moisture && a.certified == b.certified
}

// choosePrice picks among columns that all name a plain price: not one that is struck through from end to end, not a hidden one beside a shown one,
// and of several currencies the supplier's own.
func (t *table) choosePrice(cols []*column) []*column {
	drop := func(why string, gone func(*column) bool) {
		var kept []*column
		for _, c := range cols {
			if !gone(c) {
				kept = append(kept, c)
			}
		}
		if len(kept) == 0 || len(kept) == len(cols) {
			return
		}
		for _, c := range cols {
			if gone(c) {
				t.warn(c.row, c.col, fmt.Sprintf("the prices under %q are not used: %s", shorten(c.header), why), "delete the column, or "+t.mappingOf(c, "ignore"))
			}
		}
		cols = kept
	}
	drop("they are struck through", func(c *column) bool {
		any := false
		for _, l := range t.body {
			if k := l.at(c.col); k.text != "" && !k.is(merged) && len(l.filled(t.from, t.to)) > 1 {
				if any = true; !k.is(struck) {
					return false
				}
			}
		}
		return any
	})
	drop("the column is hidden, and another one of prices is not", func(c *column) bool { return c.hidden })
	if own := t.src.Currency; own != "" {
		drop("the supplier's currency in the job book is "+own, func(c *column) bool {
			code, err := settle(c.currency, own)
			return c.currency != "" && (err != nil || code != own)
		})
	}
	return cols
}

// settleSteps orders an article's quantity columns. Where a step can be read in two ways ("1.000") the one that makes the steps rise counts.
func (t *table) settleSteps(a *article) bool {
	var prev *column
	for _, c := range a.cols {
		if c.key.isBreak && !c.key.other.IsZero() {
			if prev != nil && prev.key.isBreak && !c.key.from.GreaterThan(prev.key.from) && c.key.other.GreaterThan(prev.key.from) {
				c.key.from = c.key.other
			}
		}
		prev = c
	}
	from := func(c *column) decimal.Decimal { return c.key.from }
	slices.SortStableFunc(a.cols, func(x, y *column) int {
		if x.key.fromUnit != y.key.fromUnit { // other units cannot be compared before a line's sizes are known: they stay as they stand
			return 0
		}
		return from(x).Cmp(from(y))
	})
	for i := 1; i < len(a.cols); i++ {
		x, y := a.cols[i-1], a.cols[i]
		if x.key.fromUnit == y.key.fromUnit && from(x).Equal(from(y)) && (x.key.isBreak == y.key.isBreak || from(y).IsZero()) {
			t.bad(y.row, y.col, fmt.Sprintf("%q and %q both name the price from the same quantity; %s", shorten(x.header), shorten(y.header), notRead(len(t.body))),
				"keep one of them, or "+t.mappingOf(y, "ignore"))
			return false
		}
		if x.key.isBreak && y.key.isBreak && x.key.fromUnit == "" && y.key.fromUnit != "" && y.key.fromUnit != perPack {
			x.key.fromUnit = y.key.fromUnit // "1-99 / 100+ bf"
		}
	}
	return true
}

// checkUnits refuses a table in which a unit or the currency is named nowhere: one finding at the header, not one a line.
func (t *table) checkUnits() bool {
	ok := true
	for _, m := range []meaning{isThickness, isWidth, isLength, isSize} {
		c := t.at[m]
		if c == nil {
			continue
		}
		if c.length == "" && !c.mapped {
			c.length = t.unitOf(m)
		}
		if c.length == "" && t.allBare(c.col) {
			ok = false
			t.bad(c.row, c.col, fmt.Sprintf("%q names no unit, and its cells do not either; %s", shorten(c.header), notRead(len(t.body))),
				fmt.Sprintf("write the unit in the header (%s mm), or %s", shorten(c.header), t.mappingOf(c, string(m)+" mm")))
		}
	}
	mapped := slices.ContainsFunc(t.articles, func(a article) bool { return a.cols[0].mapped }) || t.fixed.unit != "" || t.fixed.currency != ""
	if t.around.gross && !mapped && len(t.articles) > 0 {
		c := t.articles[0].cols[0]
		t.bad(c.row, c.col, "a title or note says that prices include tax, and orders are reckoned without; "+notRead(len(t.body)),
			"write net prices into the sheet, or, if they are meant to count as they are, "+t.unitOfAll(c))
		return false
	}
	for _, a := range t.articles {
		for _, c := range a.cols {
			if c.why != "" {
				t.bad(c.row, c.col, fmt.Sprintf("in %q %s; %s", shorten(c.header), c.why, notRead(len(t.body))),
					"write m3, bf, MBF, m, ft, piece or m2, or "+t.mappingOf(c, "price EUR/m3"))
				return false
			}
		}
	}
	if len(t.articles) == 0 {
		return false
	}
	c := t.articles[0].cols[0]
	if c.unit == "" && t.at[isUnit] == nil && t.around.unit == "" && t.barePrices() && !t.titleSays(func(d said) bool { return d.unit != "" }) {
		ok = false
		t.bad(c.row, c.col, fmt.Sprintf("%q does not say what the price is per, and neither cells, titles nor a unit column do; %s", shorten(c.header), notRead(len(t.body))),
			"write it in the header (price EUR/m3; also bf, MBF, m, ft, piece, m2), or "+t.unitOfAll(c))
	}
	if c.currency == "" && t.at[isCurrency] == nil && !t.unitsNameCurrency() && t.around.currency == "" && t.src.Currency == "" && t.barePrices() && !t.titleSays(func(d said) bool { return d.currency != "" }) {
		ok = false
		t.bad(c.row, c.col, fmt.Sprintf("%q names no currency, and nothing else does; %s", shorten(c.header), notRead(len(t.body))),
			"write its code in the header (price EUR/m3), or give the supplier's currency in the job book")
	}
	return ok
}

// unitOfAll is the advice to settle what prices are per. Where a header says a thickness or a quantity as well, the row speaks of the whole sheet, so
// that all such headers keep what they say.
func (t *table) unitOfAll(c *column) string {
	if c.key.kind() != "" {
		return t.mapping(wholeSheet, "price EUR/m3")
	}
	return t.mappingOf(c, "price EUR/m3")
}

// unitsNameCurrency reports whether the unit column says the currency as well: "USD/pc".
func (t *table) unitsNameCurrency() bool {
	c := t.at[isUnit]
	return c != nil && slices.ContainsFunc(t.body, func(l line) bool {
		var a amount
		a.around(words(l.text(c.col)), nil)
		return a.currency != ""
	})
}

// allBare reports whether a column's cells are plain numbers throughout.
func (t *table) allBare(col int) bool {
	any := false
	for _, l := range t.body {
		c := l.at(col)
		if c.text == "" || len(l.filled(t.from, t.to)) == 1 {
			continue
		}
		if !c.is(number) {
			if _, _, err := parseNumber(c.text, '.'); err != nil {
				return false
			}
		}
		any = true
	}
	return any
}

// barePrices reports whether all prices are plain numbers without anything shown around them.
func (t *table) barePrices() bool {
	any := false
	for _, a := range t.articles {
		for _, c := range a.cols {
			for _, l := range t.body {
				k := l.at(c.col)
				if k.text == "" || len(l.filled(t.from, t.to)) == 1 {
					continue
				}
				if a := t.book.look(k.style).amount; a.unit != "" || a.currency != "" {
					return false
				}
				if !k.is(number) {
					if _, _, err := parseNumber(k.text, '.'); err != nil && !says(isNotPriced, k.text) {
						return false
					}
				}
				any = true
			}
		}
	}
	return any
}
