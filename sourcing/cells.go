package sourcing

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// number is a cell as a workbook stores numbers; ok is false for text.
func (t *table) number(l line, col int) (v float64, ok bool) {
	s := l.text(col)
	if !machineNumber.MatchString(s) || looksGrouped.MatchString(s) && t.book.isText(t.sheet, l.row, col) {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// mark is the decimal mark that the texts of a column prove, or if they are silent those of the whole table; 0 when they prove
// none, or both.
func (t *table) mark(col int) rune {
	if m, ok := t.marks[col]; ok {
		return m
	}
	seen := map[rune]bool{}
	for _, l := range t.body {
		for i := range l.cells {
			if col != 0 && i+1 != col || l.text(i+1) == "" {
				continue
			}
			s := l.text(i + 1)
			if machineNumber.MatchString(s) && !t.book.isText(t.sheet, l.row, i+1) {
				continue
			}
			m := aroundFigure.FindStringSubmatch(s)
			if m == nil {
				continue
			}
			if _, shown, err := parseNumber(m[2], 0); err == nil && shown != 0 {
				seen[shown] = true
			}
		}
	}
	var m rune
	switch {
	case seen['.'] != seen[',']:
		m = ','
		if seen['.'] {
			m = '.'
		}
	case len(seen) == 0 && col != 0:
		m = t.mark(0)
	}
	t.marks[col] = m
	return m
}

// size reads a length of the plank; zero when there is a finding.
func (t *table) size(l line, c *column, limits [2]float64) thickness {
	text := l.text(c.col)
	if text == "" {
		t.empty(l, c, fmt.Sprintf("no %s is given", c.meaning), "write one figure in this cell")
		return thickness{}
	}
	inLimits := func(mm float64) bool { return mm >= limits[0] && mm <= limits[1] }
	parse := func(mark rune) (thickness, error) {
		if c.meaning == isThickness {
			if c.length == inQuarters && quarterFigure.MatchString(text) {
				return parseThickness(text+"/4", c.length, mark)
			}
			return parseThickness(text, c.length, mark)
		}
		mm, err := parseLength(text, c.length, mark)
		return thickness{mm: mm}, err
	}
	var size thickness
	var err error
	if _, isNumber := t.number(l, c.col); isNumber {
		size, err = t.storedSize(text, c, parse)
	} else if size, err = parse(0); errors.Is(err, errAmbiguous) {
		if mark := t.mark(c.col); mark != 0 {
			size, err = parse(mark)
		} else {
			// Only one of 2.5 m and 2500 m is a plank.
			point, errPoint := parse('.')
			comma, errComma := parse(',')
			switch okPoint, okComma := errPoint == nil && inLimits(point.mm), errComma == nil && inLimits(comma.mm); {
			case okPoint && !okComma:
				size, err = point, nil
			case okComma && !okPoint:
				size, err = comma, nil
			}
		}
	}
	switch {
	case isoDate.MatchString(text) || err == nil && !inLimits(size.mm) && t.showsDate(l, c.col):
		t.bad(l.row, c.col, fmt.Sprintf("the cell holds a date, not a %s", c.meaning),
			"a spreadsheet made it from a fraction such as 4/4: format the cell as text and write it again")
	case errors.Is(err, errNoUnit):
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", c.meaning, err), fmt.Sprintf("write the unit in the cell (%s mm) or in the header (%s mm)", text, c.header))
	case errors.Is(err, errAmbiguous):
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", c.meaning, err), "make the cell a number, or write it without a thousands mark")
	case err != nil:
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", c.meaning, err), sizeAdvice[c.meaning])
	case !inLimits(size.mm):
		t.bad(l.row, c.col, fmt.Sprintf("%s %s is %v mm, and no plank's: those are %v to %v mm", c.meaning, text, size.mm, limits[0], limits[1]),
			fmt.Sprintf("check the unit in the header %q", c.header))
	default:
		return size
	}
	return thickness{}
}

// quarterFigure is a bare number of quarters.
var quarterFigure = regexp.MustCompile(`^\d{1,2}$`)

// What a plank can measure, mm. A figure outside was read in the wrong unit, or is a date.
var (
	thicknessLimits = [2]float64{2, 320}
	widthLimits     = [2]float64{4, 2600}
	lengthLimits    = [2]float64{100, 20000}
)

var sizeAdvice = map[meaning]string{
	isThickness: `write one thickness: 26 mm, 1", 4/4, 1 1/16"`,
	isWidth:     `write one width that every plank of the line has: 150 mm, 6"`,
	isLength:    `write one length that every plank of the line has: 2500 mm, 2.5 m, 8'`,
}

// storedSize is a size from a number cell. Its text never means a thousands mark.
func (t *table) storedSize(text string, c *column, parse func(rune) (thickness, error)) (thickness, error) {
	if c.length == inQuarters && quarterFigure.MatchString(text) {
		return parse('.')
	}
	if c.length == "" {
		return thickness{}, fmt.Errorf("%q %w", text, errNoUnit)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return thickness{}, fmt.Errorf("%q is not a number", text)
	}
	mm, err := checkLength(text, v*mmPer[c.length])
	return thickness{mm: mm}, err
}

// showsDate reports whether a cell's number format shows a date.
func (t *table) showsDate(l line, col int) bool {
	_, date := shownAround(t.book.format(t.sheet, l.row, col))
	return date
}

// amount reads a price or quantity cell.
func (t *table) amount(l line, col int, parse func(string, rune) (amount, error)) (amount, error) {
	text := l.text(col)
	if v, ok := t.number(l, col); ok {
		// A stored 1.1 can be 1.1000000000000001: binary dust goes, no price is finer than a millionth.
		return parse(decimal.NewFromFloat(v).Round(places).String(), '.')
	}
	a, err := parse(text, 0)
	if errors.Is(err, errAmbiguous) {
		if mark := t.mark(col); mark != 0 {
			return parse(text, mark)
		}
	}
	return a, err
}

// price reads a line's price with its currency and unit. What is missing or contradicts itself becomes a finding.
func (t *table) price(l line) (decimal.Decimal, string, Unit) {
	c := t.at[isPrice]
	text := l.text(c.col)
	if text == "" {
		t.empty(l, c, "no price is given", "write a price, or delete the line")
		return decimal.Zero, "", ""
	}
	a, err := t.amount(l, c.col, parsePrice)
	switch {
	case errors.Is(err, errAmbiguous):
		t.bad(l.row, c.col, fmt.Sprintf("the price %v", err), "make the cell a number, or write it without a thousands mark")
		return decimal.Zero, "", ""
	case err != nil && strings.HasPrefix(text, "#"):
		t.bad(l.row, c.col, fmt.Sprintf("the cell shows the error %s", text), "mend its formula, or write the price as a number")
		return decimal.Zero, "", ""
	case err != nil:
		t.bad(l.row, c.col, err.Error(), "ask the supplier for one firm price and write it as a number")
		return decimal.Zero, "", ""
	}
	if v, ok := t.number(l, c.col); ok && v > 20_000 && v < 80_000 && t.showsDate(l, c.col) { // the serials of 1954 to 2119
		t.bad(l.row, c.col, "the cell holds a date, not a price", "write the price as a number")
		return decimal.Zero, "", ""
	}
	var shown amount // around the figure by its number format
	if t.book.money {
		text, _ := shownAround(t.book.format(t.sheet, l.row, c.col))
		shown.around(words(text), nil)
	}
	unit := t.unit(l, c, a.unit, shown.unit)
	currency := t.currency(l, c, a.currency, shown.currency)
	if unit == "" || currency == "" {
		return decimal.Zero, "", ""
	}
	return a.value, currency, unit
}

// unit is what a line's price is per.
func (t *table) unit(l line, c *column, inCell, inFormat Unit) Unit {
	column := Unit("")
	if text := t.text(l, isUnit); text != "" {
		u := t.at[isUnit]
		var a amount
		switch unknown := a.around(words(text), nil); {
		case vague(text) != "":
			t.bad(l.row, u.col, vague(text), "write m3, bf, MBF, m, ft, piece or m2")
			return ""
		case unknown != nil || a.unit == "":
			t.bad(l.row, u.col, fmt.Sprintf("%q is no unit of a price", text), "write m3, bf, MBF, m, ft, piece or m2")
			return ""
		}
		column = a.unit
	}
	if inCell != "" && column != "" && inCell != column {
		t.bad(l.row, c.col, fmt.Sprintf("the price is per %s here and per %s in the unit column", inCell, column), "make them agree")
		return ""
	}
	for _, u := range []Unit{inCell, column, c.unit, inFormat} {
		if u != "" {
			if inFormat != "" && inFormat != u {
				t.bad(l.row, c.col, fmt.Sprintf("the cell shows its price per %s, and it is said to be per %s", inFormat, u), "make them agree")
				return ""
			}
			return u
		}
	}
	t.bad(l.row, c.col, "nothing says what the price is per", "write it behind the price or in the header: m3, bf, MBF, m, ft, piece or m2")
	return ""
}

// currency is a line's currency as a code.
func (t *table) currency(l line, c *column, inCell, inFormat string) string {
	inColumn := ""
	if text := t.text(l, isCurrency); text != "" {
		var a amount
		if unknown := a.around(words(text), nil); unknown != nil || a.currency == "" || a.unit != "" {
			t.bad(l.row, t.at[isCurrency].col, fmt.Sprintf("%q is no currency", text), "write its code: EUR, USD, CHF")
			return ""
		}
		inColumn = a.currency
	}
	var stated []string
	for _, sign := range []string{inCell, inColumn} {
		if sign != "" {
			stated = append(stated, sign)
		}
	}
	if stated == nil && c.currency != "" { // a line may be in another currency than its header says
		stated = append(stated, c.currency)
	}
	if inFormat != "" {
		stated = append(stated, inFormat)
	}
	hint := t.src.Currency
	for _, sign := range append(stated, c.currency) {
		if _, several := dollarLike[sign]; sign != "" && !several {
			hint = sign
			break
		}
	}
	code := ""
	for _, sign := range stated {
		settled, err := settle(sign, hint)
		if err != nil {
			t.bad(l.row, c.col, "the currency sign "+err.Error(), "write the currency's code in the header, or give the supplier's currency in the job book")
			return ""
		}
		if code != "" && settled != code {
			t.bad(l.row, c.col, fmt.Sprintf("the price is in %s and in %s at once: cell, columns and number format disagree", code, settled), "make them agree")
			return ""
		}
		code = settled
	}
	switch {
	case code == "" && t.src.Currency == "":
		t.bad(l.row, c.col, "nothing says what currency the price is in", "write its code in the header, or give the supplier's currency in the job book")
	case code == "":
		return t.src.Currency
	case t.src.Currency != "" && code != t.src.Currency:
		t.warn(t.head.row, c.col, fmt.Sprintf("prices are in %s, though the job book gives the supplier %s; %s counts", code, t.src.Currency, code),
			"make the supplier's currency in the job book agree")
	}
	return code
}

// quantity reads a minimum, a pack or what is available, in the unit of the offer's price. given is false when the sheet
// says none; what is not understood is warned of and plays no part.
func (t *table) quantity(l line, m meaning, o *Offer) (q decimal.Decimal, given bool) {
	text := t.text(l, m)
	if strings.Trim(text, "-. ") == "" {
		if c := t.at[m]; c != nil && t.uncached(l, c.col) {
			t.warn(l.row, c.col, "the formula has no stored value, and no "+string(m)+" is taken", "open the file in a spreadsheet program, let it calculate, and save it")
		}
		return decimal.Zero, false
	}
	c := t.at[m]
	if m == isAvailable && says(isSoldOut, text) {
		return decimal.Zero, true
	}
	if m == isAvailable && says(isInStock, text) {
		return decimal.Zero, false
	}
	a, err := t.amount(l, c.col, parseQuantity)
	if err != nil {
		t.warn(l.row, c.col, fmt.Sprintf("%s: %v, and none is taken", m, err), "write a figure and its unit: 2 m3, 200 bf, 50 pieces")
		return decimal.Zero, false
	}
	unit := a.unit
	if unit == "" {
		unit = c.unit
	}
	if unit == "" {
		unit = o.Unit
		t.warn(t.head.row, c.col, fmt.Sprintf("%q names no unit; its figures are read in the unit of each line's price", c.header), "write the unit in the header")
	}
	if unit == o.Unit {
		return a.value, true
	}
	from, err1 := o.Plank.in(unit, o.NominalMM)
	to, err2 := o.Plank.in(o.Unit, o.NominalMM)
	if err := errors.Join(err1, err2); err != nil {
		panic(err) // the line's price was read with the same plank
	}
	return decimal.NewFromBigRat(to.Mul(to.Quo(to, from), a.value.Rat()), places), true
}

// certificate reads whether the line's wood is certified.
func (t *table) certificate(l line, o *Offer) {
	if t.certs == nil {
		return
	}
	o.Certified = false
	for _, c := range t.certs {
		text := l.text(c.col)
		ws := words(text)
		denied := slices.ContainsFunc(ws, func(w string) bool { return isNo[w] || isWithout[w] })
		named := slices.ContainsFunc(ws, func(w string) bool { return strings.HasPrefix(w, "fsc") || strings.HasPrefix(w, "pefc") })
		switch {
		case says(isYes, text), named && !denied, text == "✓", text == "✔":
			o.Certified = true
		case strings.Trim(text, "-. ") == "", says(isNo, text), denied && named:
		default:
			t.warn(l.row, c.col, fmt.Sprintf("%q is not understood as a certificate, and the line counts as uncertified", text), "write FSC, PEFC, yes or no")
		}
	}
}

// leadTime reads a line's lead time, where the sheet gives one.
func (t *table) leadTime(l line, o *Offer) {
	text := t.text(l, isLead)
	if strings.Trim(text, "-. ") == "" {
		return
	}
	c := t.at[isLead]
	days, err := leadTime(text, c.days)
	if err != nil {
		t.warn(l.row, c.col, fmt.Sprintf("%v; the supplier's %d days count", err, t.src.LeadTimeDays), `write days or weeks: "10 days", "3-4 weeks"`)
		return
	}
	o.LeadTimeDays = days
}
