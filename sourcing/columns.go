package sourcing

import (
	"fmt"
	"slices"
)

// mapping is the advice to settle a column in the job book, ready to copy.
func (t *table) mapping(header, means string) string {
	return fmt.Sprintf("on the Columns sheet of the job book add: Supplier %q, Sheet %q, Header %q, Meaning %q", t.src.Supplier, t.sheet, header, means)
}

// settleColumns decides which column holds what, and says what stays open. It is false when a needed column is missing
// or named twice.
func (t *table) settleColumns() bool {
	lines := notRead(len(t.body))
	t.at = map[meaning]*column{}
	by := map[meaning][]*column{}
	var unknown []string
	headed := map[int]bool{}
	for i := range t.cols {
		c := &t.cols[i]
		headed[c.col] = true
		if c.meaning == "" {
			unknown = append(unknown, c.header)
			problem := fmt.Sprintf("the column %q is not understood and not used", c.header)
			if c.why != "" {
				problem = fmt.Sprintf("the column %q is not used: %s", c.header, c.why)
			}
			t.warn(t.head.row, c.col, problem, t.mapping(c.header, "ignore")+", or what it is")
			continue
		}
		by[c.meaning] = append(by[c.meaning], c)
	}
	for _, l := range t.body {
		filled := l.filled()
		for _, col := range filled {
			if len(filled) > 1 && !headed[col] {
				headed[col] = true
				t.warn(l.row, col, "the column has no header and is not used", "give it a header, if it says anything of the goods")
			}
		}
	}
	ok := true
	for _, name := range Meanings() {
		m := meaning(name)
		cols := by[m]
		if mapped := slices.DeleteFunc(slices.Clone(cols), func(c *column) bool { return !c.mapped }); len(mapped) > 0 {
			cols = mapped // what the job book says goes before what the headers seem to say
		}
		need := slices.Contains(needed, m)
		switch {
		case m == isIgnored:
		case m == isCertificate:
			t.certs = cols
		case len(cols) == 1:
			t.at[m] = cols[0]
		case len(cols) > 1 && need:
			ok = false
			t.bad(t.head.row, cols[1].col, fmt.Sprintf("%q and %q both name the %s; %s", cols[0].header, cols[1].header, m, lines),
				"keep one of them, or "+t.mapping(cols[1].header, "ignore"))
		case len(cols) > 1:
			t.warn(t.head.row, cols[1].col, fmt.Sprintf("%q and %q both name the %s, so that neither is used", cols[0].header, cols[1].header, m),
				"keep one of them, or "+t.mapping(cols[1].header, "ignore"))
		case need:
			ok = false
			header := "its header"
			if len(unknown) > 0 {
				header = unknown[0]
			}
			t.bad(t.head.row, 0, fmt.Sprintf("no column names the %s; %s", m, lines), "add one, or "+t.mapping(header, sampleMeaning[m]))
		}
	}
	return ok
}

// notRead ends the finding that answers for a whole sheet.
func notRead(lines int) string {
	if lines == 1 {
		return "the sheet's one line is not read"
	}
	return fmt.Sprintf("the sheet's %d lines are not read", lines)
}

// sampleMeaning shows how a needed column is named in full.
var sampleMeaning = map[meaning]string{isWood: "wood", isThickness: "thickness mm", isWidth: "width mm", isLength: "length mm", isPrice: "price EUR/m3"}

// checkUnits refuses a sheet on which a unit or the currency is named nowhere: one finding at the header, not one a line.
func (t *table) checkUnits() bool {
	ok := true
	for _, m := range []meaning{isThickness, isWidth, isLength} {
		if c := t.at[m]; c.length == "" && t.allBare(c.col) {
			ok = false
			t.bad(t.head.row, c.col, fmt.Sprintf("%q names no unit, and its cells do not either; %s", c.header, notRead(len(t.body))),
				fmt.Sprintf("write the unit in the header (%s mm), or %s", c.header, t.mapping(c.header, string(m)+" mm")))
		}
	}
	c := t.at[isPrice]
	if c.why != "" {
		t.bad(t.head.row, c.col, fmt.Sprintf("in %q %s; %s", c.header, c.why, notRead(len(t.body))),
			"write m3, bf, MBF, m, ft, piece or m2, or "+t.mapping(c.header, "price EUR/m3"))
		return false
	}
	if c.unit == "" && t.at[isUnit] == nil && !t.book.money && t.allBare(c.col) {
		ok = false
		t.bad(t.head.row, c.col, fmt.Sprintf("%q does not say what the price is per, and neither cells nor a unit column do; %s", c.header, notRead(len(t.body))),
			"write it in the header (price EUR/m3; also bf, MBF, m, ft, piece, m2), or "+t.mapping(c.header, "price EUR/m3"))
	}
	if c.currency == "" && t.at[isCurrency] == nil && t.src.Currency == "" && !t.book.money && t.allBare(c.col) {
		ok = false
		t.bad(t.head.row, c.col, fmt.Sprintf("%q names no currency, and nothing else does; %s", c.header, notRead(len(t.body))),
			"write its code in the header (price EUR/m3), or give the supplier's currency in the job book")
	}
	return ok
}

// allBare reports whether a column's cells are plain numbers throughout.
func (t *table) allBare(col int) bool {
	any := false
	for _, l := range t.body {
		s := l.text(col)
		if s == "" {
			continue
		}
		if _, _, err := parseNumber(s, '.'); err != nil {
			return false
		}
		any = true
	}
	return any
}

// repeatsHeader reports whether a line is the header row once more, as on every printed page.
func (t *table) repeatsHeader(l line) bool {
	filled := l.filled()
	if len(filled) != len(t.cols) {
		return false
	}
	for i, c := range t.cols {
		if filled[i] != c.col || !sameName(l.text(c.col), c.header) {
			return false
		}
	}
	return true
}
