package sourcing

import (
	"errors"
	"fmt"
	"strings"
)

// A table is a header row and the lines below it.
type table struct {
	*reader
	sheet string
	head  line
	body  []line
	cols  []column            // as the header row has them
	at    map[meaning]*column // the column of each meaning, of those that have just one
	certs []*column           // certificates can have several columns (FSC, PEFC)
	marks map[int]rune        // decimal mark that a column's texts prove, 0 when none or both
}

// read settles the columns and reads every line.
func (t *table) read() {
	usable := t.settleColumns() && t.checkUnits()
	hidden, firstHidden := 0, 0
	for _, l := range t.body {
		if t.repeatsHeader(l) {
			continue
		}
		t.rows.Data++
		if l.hidden {
			if hidden++; hidden == 1 {
				firstHidden = l.row
			}
		}
		if !usable {
			t.rows.Findings++
			continue
		}
		before := len(t.found)
		if o, ok := t.readLine(l); ok {
			t.offers = append(t.offers, o)
			t.rows.Offers++
		} else {
			t.rows.Findings++
			if len(t.found) == before {
				panic("a line was dropped without a finding")
			}
		}
	}
	if hidden > 0 {
		t.warn(firstHidden, 0, fmt.Sprintf("the sheet's hidden rows are used all the same: %d of them, this the first", hidden), "delete them from the file if they no longer hold")
	}
}

func (t *table) bad(row, col int, problem, advice string) {
	t.add(Finding{Sheet: t.sheet, Row: row, Col: col, Problem: problem, Advice: advice})
}

func (t *table) warn(row, col int, problem, advice string) {
	t.add(Finding{Sheet: t.sheet, Row: row, Col: col, Problem: problem, Advice: advice, Warning: true})
}

// text is a line's cell of a meaning, empty when there is no such column.
func (t *table) text(l line, m meaning) string {
	if c := t.at[m]; c != nil {
		return l.text(c.col)
	}
	return ""
}

// readLine makes an offer of a line. ok is false when it is none, and then a finding says why.
func (t *table) readLine(l line) (o Offer, ok bool) {
	if t.isNote(l) {
		return Offer{}, false
	}
	before := len(t.found.Errors())
	price := t.at[isPrice]
	o = Offer{Supplier: t.src.Supplier, File: t.src.File, Sheet: t.sheet, Row: l.row, Col: price.col, Grade: t.text(l, isGrade),
		Certified: t.src.Certified, LeadTimeDays: t.src.LeadTimeDays}
	if o.Name = t.text(l, isWood); o.Name == "" {
		t.empty(l, t.at[isWood], "no wood is named", "write the wood in this cell")
	} else if w, err := t.wood(o.Name); err != nil {
		problem, advice := err.Error(), ""
		if e, ok := errors.AsType[unknownWood](err); ok {
			problem, advice = e.Problem(), e.Advice()
		}
		t.bad(l.row, t.at[isWood].col, problem, advice)
	} else {
		o.Wood = w.ID
	}
	o.YieldPct = gradeYield(o.Grade)
	planed := false
	if form := t.text(l, isForm); form != "" {
		spell(words(form), func(p string) bool {
			o.ReadyStrip = o.ReadyStrip || isStrip[p]
			planed = planed || isPlaned[p]
			return true
		})
	}
	thick := t.size(l, t.at[isThickness], thicknessLimits)
	if planed && thick.mm > 0 {
		var err error
		if thick, err = thick.planed(); err != nil {
			t.bad(l.row, t.at[isThickness].col, err.Error(), "write the planed thickness in mm or inches beside it: 10/4 (57 mm)")
		}
	}
	o.NominalMM = thick.nominalMM
	o.Plank = Plank{thick.mm, t.size(l, t.at[isWidth], widthLimits).mm, t.size(l, t.at[isLength], lengthLimits).mm}
	o.Price, o.Currency, o.Unit = t.price(l)
	if len(t.found.Errors()) > before {
		return Offer{}, false
	}
	o.MinQuantity, _ = t.quantity(l, isMinimum, &o)
	o.PackSize, _ = t.quantity(l, isPack, &o)
	o.Available, o.HasAvailable = t.quantity(l, isAvailable, &o)
	t.certificate(l, &o)
	t.leadTime(l, &o)
	return o, true
}

// An unknownWood is either error of a look-up in the table of woods.
type unknownWood interface {
	error
	Problem() string // what is there
	Advice() string  // what to write
}

// isNote reports, with a warning, a line that offers nothing: a remark, a title within the list, a total.
func (t *table) isNote(l line) bool {
	filled := l.filled()
	if len(filled) == 0 {
		t.bad(l.row, 0, "the row's formulas hold no stored values", "open the file in a spreadsheet program, let it calculate, and save it")
		return true
	}
	first := l.text(filled[0])
	if ws := words(first); len(ws) > 0 && (isTotal[ws[0]] || isTotal[strings.Join(ws[:min(2, len(ws))], " ")]) {
		t.warn(l.row, filled[0], fmt.Sprintf("the line begins with %q and is taken for a total", first), "")
		return true
	}
	for _, m := range []meaning{isPrice, isThickness, isWidth, isLength} {
		c := t.at[m]
		if l.text(c.col) != "" || t.uncached(l, c.col) {
			return false
		}
	}
	if len(filled) == 1 || l.text(t.at[isWood].col) == "" {
		t.warn(l.row, filled[0], fmt.Sprintf("the line reads %q without size and price, and is taken for a note", first), "")
		return true
	}
	return false
}

// uncached reports whether a blank cell is a formula that the file stores no value for.
func (t *table) uncached(l line, col int) bool {
	return t.book.formulas && l.text(col) == "" && t.book.hasFormula(t.sheet, l.row, col)
}

// empty is the finding for a needed cell that is blank.
func (t *table) empty(l line, c *column, problem, advice string) {
	if t.uncached(l, c.col) {
		problem, advice = "the formula has no stored value", "open the file in a spreadsheet program, let it calculate, and save it"
	}
	t.bad(l.row, c.col, problem, advice)
}
