package sourcing

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// number is a cell as a workbook stores numbers, or as text that can only be one; ok is false for other text.
func asNumber(c cell) (v float64, ok bool) {
	if !c.is(number) && (!machineNumber.MatchString(c.text) || looksGrouped.MatchString(c.text)) {
		return 0, false
	}
	v, err := strconv.ParseFloat(c.text, 64)
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
		for c := max(col, t.from); c <= min(t.to, len(l.cells)); c++ {
			if col != 0 && c != col {
				break
			}
			k := l.at(c)
			if k.text == "" || k.is(number) || len(k.text) > 60 {
				continue
			}
			m := aroundFigure.FindStringSubmatch(k.text)
			if m == nil {
				continue
			}
			if _, shown, err := parseNumber(m[2], 0); err == nil && shown != 0 && !looksDate.MatchString(strings.ToLower(k.text)) {
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

// quarterFigure is a bare number of quarters.
var quarterFigure = regexp.MustCompile(`^\d{1,2}$`)

// What a plank can measure, mm. A figure outside was read in the wrong unit, or is a date.
var (
	thicknessLimits = [2]float64{2, 320}
	widthLimits     = [2]float64{4, 2600}
	lengthLimits    = [2]float64{100, 20000}
)

func limitsOf(m meaning) [2]float64 {
	return map[meaning][2]float64{isThickness: thicknessLimits, isWidth: widthLimits, isLength: lengthLimits}[m]
}

var sizeAdvice = map[meaning]string{
	isThickness: `write one thickness: 26 mm, 1", 4/4, 1 1/16"`,
	isWidth:     `write a width or a range of them: 150 mm, 6", 100-180 mm, 4" +`,
	isLength:    `write a length or a range of them: 2500 mm, 2.5 m, 8', 2-4 m`,
}

// readSizes reads a line's thickness, width and length, from its cells or from what stands around.
func (t *table) readSizes(l line, o *Offer, around said, planed bool) {
	if c := t.at[isSize]; c != nil {
		t.readDimensions(l, o, around, planed, c)
		return
	}
	var thick thickness
	switch c := t.at[isThickness]; {
	case c != nil && (l.text(c.col) != "" || around.thick.mm == 0 || t.uncached(l, c.col)):
		thick = t.thickness(l.at(c.col), l, c)
	case around.thick.mm > 0:
		thick = around.thick
	case t.keysHave(func(k key) bool { return k.thick.mm > 0 }):
	default:
		t.bad(l.row, 0, "no thickness is given, and no title above gives one", "add a column for it, or "+t.mapping(wholeSheet, sampleValue[isThickness]))
	}
	t.setThickness(l, o, thick, planed)
	for _, m := range []meaning{isWidth, isLength} {
		if t.keysHave(func(k key) bool { return m == isWidth && k.width.given() || m == isLength && k.length.given() }) {
			continue
		}
		z, said := around.width, "width"
		if m == isLength {
			z, said = around.length, "length"
		}
		col, whole := 0, z
		if c := t.at[m]; c != nil && (l.text(c.col) != "" || !z.given() || t.uncached(l, c.col)) {
			col = c.col
			if l.text(c.col) == "" && t.mayRest(o, m) && !t.uncached(l, c.col) {
				z = size{}
			} else {
				var ok bool
				if z, ok = t.size(l.at(c.col), l, c, m); !ok {
					continue
				}
			}
		}
		t.setSize(l, o, m, z, whole, col, said)
	}
}

// mayRest reports whether a blank size can rest on the line's grade.
func (t *table) mayRest(o *Offer, m meaning) bool { return leastBoard(o.Grade, m) > 0 }

// setThickness gives an offer its thickness; planed quarters are what they are surfaced to.
func (t *table) setThickness(l line, o *Offer, thick thickness, planed bool) {
	if planed && thick.mm > 0 {
		var err error
		if thick, err = thick.planed(); err != nil {
			col := 0
			if c := t.at[isThickness]; c != nil {
				col = c.col
			}
			t.bad(l.row, col, err.Error(), "write the planed thickness in mm or inches beside it: 10/4 (57 mm)")
		}
	}
	o.Plank.ThicknessMM, o.NominalMM = thick.mm, thick.nominalMM
}

// setSize gives an offer a width or length, by the rule of [size.usable]; a size that is random or not said rests on the grade's least board, and
// one that is random, where the grade has none, on what goes for the whole sheet.
func (t *table) setSize(l line, o *Offer, m meaning, z, whole size, col int, name string) {
	mm, note := z.usable(m)
	if mm == 0 {
		// With keys of grade each article has its own; see keySizes.
		if t.keysHave(func(k key) bool { return leastBoard(k.grade, m) > 0 }) {
			return
		}
		if mm = leastBoard(o.Grade, m); mm > 0 {
			words := "not said"
			if z.span.Random {
				words = "given as " + shorten(z.said)
			}
			note = fmt.Sprintf("%s %s: NHLA boards of grade %s have at least %v mm, which counts", name, words, o.Grade, mm)
		}
	}
	if mm == 0 && z.span.Random {
		if mm, _ = whole.usable(m); mm > 0 {
			note = fmt.Sprintf("%s given as %s: %v mm counts, which goes for the whole sheet", name, shorten(z.said), mm)
		}
	}
	if mm == 0 {
		switch {
		case z.span.Random:
			t.bad(l.row, col, fmt.Sprintf("%s %q says no least figure", name, shorten(z.said)), sizeAdvice[m]+", or "+t.mapping(wholeSheet, sampleValue[m]))
		case col > 0:
			t.bad(l.row, col, fmt.Sprintf("no %s is given", name), "write a figure in this cell")
		default:
			t.bad(l.row, 0, fmt.Sprintf("no %s is given, and no title above gives one", name), "add a column for it, or "+t.mapping(wholeSheet, sampleValue[m]))
		}
		return
	}
	if note != "" {
		o.Notes = append(o.Notes, note)
	}
	if m == isWidth {
		o.Plank.WidthMM, o.Width = mm, z.span
		return
	}
	o.Plank.LengthMM, o.Length = mm, z.span
}

// keySizes gives an offer what the header of its price column fixes.
func (t *table) keySizes(l line, o *Offer, k key) bool {
	before := len(t.found)
	col := t.articles[0].cols[0].col
	if k.thick.mm > 0 {
		t.setThickness(l, o, k.thick, t.now.planed || t.around.planed)
	}
	for _, m := range []meaning{isWidth, isLength} {
		z, has := k.width, o.Plank.WidthMM > 0
		if m == isLength {
			z, has = k.length, o.Plank.LengthMM > 0
		}
		if z.given() || !has {
			c := 0
			if z.given() {
				c = col
			}
			t.setSize(l, o, m, z, size{}, c, string(m))
		}
	}
	return len(t.found[before:].Errors()) == 0 && o.Plank.ThicknessMM > 0 && o.Plank.WidthMM > 0 && o.Plank.LengthMM > 0
}

// readDimensions reads a cell with two or three sizes.
func (t *table) readDimensions(l line, o *Offer, around said, planed bool, c *column) {
	k := l.at(c.col)
	if k.text == "" {
		t.empty(l, c, "no size is given", "write thickness × width × length: 26 x 150 x 2500 mm")
		return
	}
	parts, unit, err := parseDimensions(k.text, c.length, 0)
	if err != nil {
		t.bad(l.row, c.col, err.Error(), "write thickness × width × length: 26 x 150 x 2500 mm")
		return
	}
	sub := *c
	sub.length = unit
	at := func(m meaning, text string) (column, cell) {
		sub.meaning = m
		return sub, cell{text: text, style: k.style}
	}
	tc, text := at(isThickness, parts[0])
	thick := t.thickness(text, l, &tc)
	wc, text := at(isWidth, parts[1])
	w, ok := t.size(text, l, &wc, isWidth)
	if thick.mm == 0 || !ok {
		return
	}
	if thick.mm > w.least() {
		t.bad(l.row, c.col, fmt.Sprintf("%q has a thickness above its width, so that the order of its sizes is not clear", shorten(k.text)), "write thickness × width × length")
		return
	}
	t.setThickness(l, o, thick, planed)
	t.setSize(l, o, isWidth, w, around.width, c.col, "width")
	length := around.length
	if len(parts) == 3 {
		lc, text := at(isLength, parts[2])
		if length, ok = t.size(text, l, &lc, isLength); !ok {
			return
		}
	} else if lc := t.at[isLength]; lc != nil {
		if length, ok = t.size(l.at(lc.col), l, lc, isLength); !ok {
			return
		}
	}
	if length.given() && length.least() < w.least() {
		t.bad(l.row, c.col, fmt.Sprintf("%q has a width above its length, so that the order of its sizes is not clear", shorten(k.text)), "write thickness × width × length")
		return
	}
	t.setSize(l, o, isLength, length, around.length, c.col, "length")
}

// least is the smallest figure of a size, mm.
func (s size) least() float64 { return cmp.Or(s.mm, s.span.LowMM, s.span.MeanMM) }

// thickness reads a thickness cell; zero when there is a finding.
func (t *table) thickness(k cell, l line, c *column) (out thickness) {
	if k.text == "" {
		t.empty(l, c, "no thickness is given", "write one figure in this cell")
		return thickness{}
	}
	t.readLength(k, l, c, isThickness, func(mark rune) (size, error) {
		var err error
		if c.length == inQuarters && quarterFigure.MatchString(k.text) {
			out, err = parseThickness(k.text+"/4", c.length, mark)
		} else {
			out, err = parseThickness(k.text, c.length, mark)
		}
		return size{mm: out.mm}, err
	}, func(z size, ok bool) {
		if !ok {
			out = thickness{}
		} else if out.mm != z.mm {
			out = thickness{mm: z.mm}
		}
	})
	return out
}

// size reads a width or length cell; ok is false when there is a finding.
func (t *table) size(k cell, l line, c *column, m meaning) (out size, ok bool) {
	if k.text == "" {
		t.empty(l, c, fmt.Sprintf("no %s is given", m), "write a figure in this cell")
		return size{}, false
	}
	t.readLength(k, l, c, m, func(mark rune) (size, error) { return parseSize(k.text, c.length, mark) }, func(z size, good bool) { out, ok = z, good })
	if ok && c.mean && out.mm > 0 {
		out = size{span: Span{MeanMM: out.mm}, said: "mean " + out.said}
	}
	return out, ok
}

// readLength reads a cell by a parser that needs to know the decimal mark, and hands the result on.
func (t *table) readLength(k cell, l line, c *column, m meaning, parse func(mark rune) (size, error), done func(size, bool)) {
	limits := limitsOf(m)
	text := k.text
	var z size
	var err error
	if _, isNumber := asNumber(k); isNumber {
		z, err = storedSize(text, c, parse)
	} else if z, err = parse(0); errors.Is(err, errAmbiguous) {
		if mark := t.mark(c.col); mark != 0 {
			z, err = parse(mark)
		} else {
			// Only one of 2.5 m and 2500 m is a plank.
			point, errPoint := parse('.')
			comma, errComma := parse(',')
			switch okPoint, okComma := errPoint == nil && point.within(limits), errComma == nil && comma.within(limits); {
			case okPoint && !okComma:
				z, err = parse('.')
			case okComma && !okPoint:
				z, err = parse(',')
			}
		}
	}
	switch {
	case isoDate.MatchString(text), err != nil && looksDate.MatchString(fold(text)), k.is(number) && t.book.look(k.style).date:
		t.bad(l.row, c.col, fmt.Sprintf("the cell holds a date, not a %s", m),
			"a spreadsheet made it from a fraction such as 4/4: format the cell as text and write it again")
	case errors.Is(err, errNoUnit):
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", m, err), fmt.Sprintf("write the unit in the cell (%s mm) or in the header (%s mm)", shorten(text), shorten(c.header)))
	case errors.Is(err, errAmbiguous):
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", m, err), "make the cell a number, or write it without a thousands mark")
	case err != nil && strings.HasPrefix(text, "#"):
		t.bad(l.row, c.col, fmt.Sprintf("the cell shows the error %s", shorten(text)), "mend its formula, or write the figure")
	case err != nil:
		t.bad(l.row, c.col, fmt.Sprintf("%s %v", m, err), sizeAdvice[m])
	case !z.within(limits):
		t.bad(l.row, c.col, fmt.Sprintf("%s %s is %v mm, and no plank's: those are %v to %v mm", m, shorten(text), z.least(), limits[0], limits[1]),
			fmt.Sprintf("check the unit in the header %q", shorten(c.header)))
	default:
		done(z, true)
		return
	}
	done(size{}, false)
}

// storedSize is a size from a number cell. Its text never means a thousands mark.
func storedSize(text string, c *column, parse func(rune) (size, error)) (size, error) {
	if c.length == inQuarters && quarterFigure.MatchString(text) {
		return parse('.')
	}
	if c.length == "" {
		return size{}, fmt.Errorf("%q %w", shorten(text), errNoUnit)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return size{}, fmt.Errorf("%q is not a number", shorten(text))
	}
	mm, err := checkLength(text, v*mmPer[c.length])
	return size{mm: mm, said: text}, err
}

// amount reads a price or quantity cell.
func (t *table) amount(k cell, col int, parse func(string, rune) (amount, error)) (amount, error) {
	if v, ok := asNumber(k); ok {
		// A stored 1.1 can be 1.1000000000000001: binary dust goes, no price is finer than a millionth.
		return parse(decimal.NewFromFloat(v).Round(places).String(), '.')
	}
	a, err := parse(k.text, 0)
	if errors.Is(err, errAmbiguous) {
		if mark := t.mark(col); mark != 0 {
			return parse(k.text, mark)
		}
	}
	return a, err
}

// A price is a figure with what it is in and per.
type price struct {
	value    decimal.Decimal
	currency string
	unit     Unit
}

// price reads one price of a line with its currency and unit. What is missing or contradicts itself becomes a finding.
func (t *table) price(l line, c *column) (p price, ok bool) {
	k := l.at(c.col)
	text := k.text
	if text == "" {
		t.empty(l, c, "no price is given", "write a price, or delete the line")
		return price{}, false
	}
	look := t.book.look(k.style)
	a, err := t.amount(k, c.col, parsePrice)
	switch {
	case k.is(struck):
		t.bad(l.row, c.col, fmt.Sprintf("the price %s is struck through", shorten(text)), "delete the line from the file, or undo the striking if it still holds")
		return price{}, false
	case k.is(broken) && len(severalFigures.FindAllString(text, 3)) > 1 && err == nil:
		t.bad(l.row, c.col, fmt.Sprintf("%q is two prices, one below the other", shorten(text)), "give each its own line")
		return price{}, false
	case errors.Is(err, errAmbiguous):
		t.bad(l.row, c.col, fmt.Sprintf("the price %v", err), "make the cell a number, or write it without a thousands mark")
		return price{}, false
	case err != nil && strings.HasPrefix(text, "#"):
		t.bad(l.row, c.col, fmt.Sprintf("the cell shows the error %s", shorten(text)), "mend its formula, or write the price as a number")
		return price{}, false
	case err != nil:
		t.bad(l.row, c.col, oneLine(err), "ask the supplier for one firm price and write it as a number")
		return price{}, false
	case isoDate.MatchString(text), k.is(number) && look.date:
		t.bad(l.row, c.col, "the cell holds a date, not a price", "write the price as a number")
		return price{}, false
	case k.is(number) && look.percent:
		t.bad(l.row, c.col, "the cell shows a percentage, not a price", "write the price as a number")
		return price{}, false
	}
	if k.is(partStruck) {
		t.warn(l.row, c.col, fmt.Sprintf("part of the cell is struck through; %s counts", shorten(text)), "delete what no longer holds")
	}
	shown := look.amount // around the figure by its number format
	p = price{a.value, t.currency(l, c, a.currency, shown.currency), t.unit(l, c, a.unit, shown.unit)}
	return p, p.unit != "" && p.currency != ""
}

// severalFigures finds the figures of a text.
var severalFigures = regexp.MustCompile(`\d+(?:[.,]\d+)*`)

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
			t.bad(l.row, u.col, fmt.Sprintf("%q is no unit of a price", shorten(text)), "write m3, bf, MBF, m, ft, piece or m2")
			return ""
		}
		column = a.unit
	}
	if inCell != "" && column != "" && inCell != column {
		t.bad(l.row, c.col, fmt.Sprintf("the price is per %s here and per %s in the unit column", inCell, column), "make them agree")
		return ""
	}
	for _, u := range []Unit{inCell, column, t.now.unit, c.unit, t.around.unit, inFormat} {
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
			t.bad(l.row, t.at[isCurrency].col, fmt.Sprintf("%q is no currency", shorten(text)), "write its code: EUR, USD, CHF")
			return ""
		}
		inColumn = a.currency
	} else if c := t.at[isUnit]; c != nil && l.text(c.col) != "" { // "USD/pc" in the unit column
		var a amount
		a.around(words(l.text(c.col)), nil)
		inColumn = a.currency
	}
	var stated []string
	for _, sign := range []string{inCell, inColumn} {
		if sign != "" {
			stated = append(stated, sign)
		}
	}
	header := cmp.Or(t.now.currency, c.currency, t.around.currency)
	if stated == nil && header != "" { // a line may be in another currency than its header says
		stated = append(stated, header)
	}
	if inFormat != "" {
		stated = append(stated, inFormat)
	}
	hint := t.src.Currency
	for _, sign := range append(stated, header) {
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
		t.warn(c.row, c.col, fmt.Sprintf("prices are in %s, though the job book gives the supplier %s; %s counts", code, t.src.Currency, code),
			"make the supplier's currency in the job book agree")
	}
	return code
}

// rawQuantity reads a quantity as it stands: a figure and its unit, which is empty when nothing names one. given is false when the sheet says
// none; what is not understood is warned of and plays no part.
func (t *table) rawQuantity(l line, m meaning) (q decimal.Decimal, unit Unit, given bool) {
	c := t.at[m]
	if c == nil {
		return decimal.Zero, "", false
	}
	k := l.at(c.col)
	text := k.text
	if strings.Trim(text, "-. ") == "" {
		if t.uncached(l, c.col) {
			t.warn(l.row, c.col, "the formula has no stored value, and no "+string(m)+" is taken", "open the file in a spreadsheet program, let it calculate, and save it")
		}
		return decimal.Zero, "", false
	}
	switch {
	case m == isAvailable && says(isSoldOut, text):
		return decimal.Zero, c.unit, true
	case m == isAvailable && says(isInStock, text):
		return decimal.Zero, "", false
	case t.holdsDay(k, c.col):
		if m != isAvailable { // there it is the day that readReady takes
			t.warn(l.row, c.col, fmt.Sprintf("%s: the cell holds a date, and none is taken", m), "write a figure and its unit: 2 m3, 200 bf, 50 pieces")
		}
		return decimal.Zero, "", false
	}
	a, err := t.amount(k, c.col, parseQuantity)
	if err != nil {
		t.warn(l.row, c.col, fmt.Sprintf("%s: %s, and none is taken", m, oneLine(err)), "write a figure and its unit: 2 m3, 200 bf, 50 pieces")
		return decimal.Zero, "", false
	}
	return a.value, cmp.Or(a.unit, c.unit, t.now.quantities[m], t.around.quantities[m]), true
}

// quantity is a minimum, a pack or what is available in the unit of the offer's price.
func (t *table) quantity(l line, m meaning, o *Offer) (q decimal.Decimal, given bool) {
	q, unit, given := t.rawQuantity(l, m)
	if !given || q.IsZero() {
		return decimal.Zero, given
	}
	c := t.at[m]
	if unit == "" {
		unit = o.Unit
		t.warn(c.row, c.col, fmt.Sprintf("%q names no unit; its figures are read in the unit of each line's price", shorten(c.header)), "write the unit in the header")
	}
	q, ok := t.inUnit(q, unit, o)
	if !ok {
		t.warn(l.row, c.col, fmt.Sprintf("%s: it counts packs, and nothing says how large one is; none is taken", m), "write the pack size into a column, with its unit")
		return decimal.Zero, false
	}
	return q, true
}

// inUnit turns a quantity into the unit of the offer's price. It is false for packs of no known size.
func (t *table) inUnit(q decimal.Decimal, unit Unit, o *Offer) (decimal.Decimal, bool) {
	switch unit {
	case o.Unit, "":
		return q, true
	case perPack:
		return q.Mul(o.PackSize), o.PackSize.Sign() > 0
	}
	from, err1 := o.Plank.in(unit, o.NominalMM)
	to, err2 := o.Plank.in(o.Unit, o.NominalMM)
	if err := errors.Join(err1, err2); err != nil {
		panic(err) // the line's sizes have been read
	}
	return decimal.NewFromBigRat(to.Mul(to.Quo(to, from), q.Rat()), places), true
}

// byPack turns a price by the pack into one by what the pack holds, which is then its size and least quantity.
func (t *table) byPack(l line, o *Offer, c *column) bool {
	m := isPack
	size, unit, given := t.rawQuantity(l, m)
	if !given && t.at[isPackNo] != nil {
		m = isAvailable
		size, unit, given = t.rawQuantity(l, m)
	}
	if !given || size.Sign() <= 0 || unit == perPack || unit == "" {
		t.bad(l.row, c.col, "the price is per pack, and nothing says how much a pack holds", "add a column for the pack size, with its unit (Pack m3)")
		return false
	}
	const fine = 10 // decimals: a pack's price comes back from it to the cent
	pack := o.Price
	o.Price, o.Unit = pack.DivRound(size, fine), unit
	o.Notes = append(o.Notes, fmt.Sprintf("price: %s %s per pack ÷ %s %s = %s", pack, o.Currency, size, unit, o.Price))
	return true
}

// certificate reads whether the line's wood is certified.
func (t *table) certificate(l line, o *Offer, around said) {
	switch {
	case around.certified != 0:
		o.Certified = around.certified > 0
	case t.certs != nil:
		o.Certified = false
	}
	for _, c := range t.certs {
		text := l.text(c.col)
		ws := words(text)
		denied := slices.ContainsFunc(ws, func(w string) bool { return isNo[w] || isWithout[w] })
		named := slices.ContainsFunc(ws, func(w string) bool { return strings.HasPrefix(w, "fsc") || strings.HasPrefix(w, "pefc") })
		switch {
		case says(isYes, text), named && !denied, text == "✓", text == "✔":
			o.Certified = true
		case strings.Trim(text, "-. ") == "":
		case says(isNo, text), denied && named:
			o.Certified = false
		default:
			t.warn(l.row, c.col, fmt.Sprintf("%q is not understood as a certificate, and the line counts as uncertified", shorten(text)), "write FSC, PEFC, yes or no")
		}
	}
}

// readMoisture reads a line's state of drying. What the column says beside (steamed, for one) changes no offer.
func (t *table) readMoisture(l line, o *Offer, around said) {
	o.Moisture = around.moisture
	c := t.at[isMoisture]
	if c == nil || l.text(c.col) == "" {
		return
	}
	text := l.text(c.col)
	if v, ok := asNumber(l.at(c.col)); ok {
		if v > 0 && v < 1 { // a share: no wood is so dry
			v = math.Round(v*1e4) / 100
		}
		o.Moisture = strconv.FormatFloat(v, 'f', -1, 64) + " %"
		return
	}
	if state, ok := moistureOf(text); ok {
		o.Moisture = state
	} else if state, ok := moistureOf(text + " %"); ok && strings.ContainsAny(text, "0123456789") {
		o.Moisture = state
	} else if spell(words(text), func(p string) bool { return treatments[p] || isPlaned[p] || isStrip[p] }) != nil {
		o.Moisture = "" // it may deny what the titles say
		t.tell(l.row, c.col, fmt.Sprintf("%q is not understood as a state of drying, and the line's moisture counts as not stated", shorten(text)), "write KD, AD or green, with the moisture where it is known: KD 8 %")
	}
}

// readDelivery reads a line's certificate, lead time, distance and validity.
func (t *table) readDelivery(l line, o *Offer, around said) {
	t.certificate(l, o, around)
	if around.hasLead {
		o.LeadTimeDays = around.lead
	}
	o.ValidUntil = around.valid
	if c := t.at[isValid]; c != nil && strings.Trim(l.text(c.col), "-. ") != "" {
		switch d, open := t.dateCell(l.at(c.col), t.order(c.col)); {
		case !d.IsZero():
			o.ValidUntil = d
		case open:
			t.warn(l.row, c.col, fmt.Sprintf("%q does not say which figure is the month, and no validity is taken", shorten(l.text(c.col))), "write the date as 2027-03-15")
		default:
			t.warn(l.row, c.col, fmt.Sprintf("%q is not understood as a date, and no validity is taken", shorten(l.text(c.col))), "write the date as 2027-03-15")
		}
	}
	t.leadTime(l, o, around)
	t.readReady(l, o, around)
	t.readDistance(l, o, around)
}

// leadTime reads a line's lead time. A day or week of delivery in its place is [Offer.ReadyOn], and no lead time is added to it.
func (t *table) leadTime(l line, o *Offer, around said) {
	c := t.at[isLead]
	if c == nil || strings.Trim(l.text(c.col), "-. ") == "" {
		return
	}
	counts := fmt.Sprintf("the supplier's %d days count", o.LeadTimeDays)
	day, is := t.day(l, c, around, counts)
	switch {
	case !day.IsZero():
		o.ReadyOn, o.LeadTimeDays = day, 0
		return
	case is:
		return
	}
	days, err := leadTime(l.text(c.col), c.days)
	if err != nil {
		t.warn(l.row, c.col, fmt.Sprintf("%s; %s", oneLine(err), counts), `write days or weeks: "10 days", "3-4 weeks"`)
		return
	}
	o.LeadTimeDays = days
}

// readReady reads the day or week from which a line can be had. A day under a header of quantities ("Available") is one too.
func (t *table) readReady(l line, o *Offer, around said) {
	for _, m := range []meaning{isReady, isAvailable} {
		c := t.at[m]
		if c == nil || strings.Trim(l.text(c.col), "-. ") == "" || says(isInStock, l.text(c.col)) || m == isAvailable && !t.holdsDay(l.at(c.col), c.col) {
			continue
		}
		counts := fmt.Sprintf("the line counts as available at once, with %d days to deliver", o.LeadTimeDays)
		switch day, is := t.day(l, c, around, counts); {
		case day.After(o.ReadyOn):
			o.ReadyOn = day
		case !is:
			t.warn(l.row, c.col, fmt.Sprintf("%q is not understood as a day or a week; %s", shorten(l.text(c.col)), counts), "write the date as 2027-03-15, or a week as KW 37/2027")
		}
	}
}

// holdsDay reports whether a cell holds a date, or a calendar week.
func (t *table) holdsDay(k cell, col int) bool {
	day, open := t.dateCell(k, t.order(col))
	_, week := parseWeek(k.text, 0)
	return open || !day.IsZero() || week
}

// day reads a cell as a date, or as a calendar week: its Friday. is reports whether it is one; one that leaves its month or year open is warned of, and zero:
// counts says what holds instead.
func (t *table) day(l line, c *column, around said, counts string) (day time.Time, is bool) {
	k := l.at(c.col)
	day, open := t.dateCell(k, t.order(c.col))
	if open {
		t.warn(l.row, c.col, fmt.Sprintf("%q does not say which figure is the month; %s", shorten(k.text), counts), "write the date as 2027-03-15")
		return time.Time{}, true
	}
	if !day.IsZero() {
		return day, true
	}
	year := 0
	if !around.listed.IsZero() {
		year = around.listed.Year()
	}
	if day, is = parseWeek(k.text, year); is && day.IsZero() {
		t.warn(l.row, c.col, fmt.Sprintf("%q is a week of no known year; %s", shorten(k.text), counts), `write the year behind it (KW 37/2027), or days or weeks: "10 days"`)
	}
	return day, is
}
