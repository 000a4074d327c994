package sourcing

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// A table is a head and the lines below it, in a range of columns.
type table struct {
	*sheetReader
	head      int // its lowest row
	heads     []line
	from, to  int // columns
	body      []line
	cols      []column
	at        map[meaning]*column // the column of each meaning, of those that have just one
	certs     []*column           // certificates can have several columns (FSC, PEFC)
	articles  []article           // price columns, those of one article together
	around    said                // what holds for all its lines
	now       said                // what the last title within it adds
	usable    bool
	unheaded  []int // columns without a header
	lastGoods int   // the row of the last line of more than one cell: what stands below is no title

	marks  map[int]rune     // decimal mark that a column's texts prove, 0 when none or both
	orders map[int]dayOrder // of days and months, so proved
	said   map[string]int   // problems told once a table, and how often they were met
	once   []Finding        // those, in order
	told   int              // how often any was met

	above     map[int]upper // what a blank cell of a block stands for, by column
	borrowed  []meaning     // what the line at hand takes from above
	aboveRow  int           // of the last line
	repeating map[int]int   // whether a column repeats itself from line to line: 1 yes, 2 no

	last    int             // the last line's only offer, for price steps in rows; −1: none
	upTo    decimal.Decimal // the quantity its line's price is said to end at
	seen    map[goods]int   // rows by what they offer
	twice   int             // lines that offer the same as another at another price; the first of them:
	twiceAt [2]int          // its row, and the other's
}

// An article is the price columns that differ only in their quantity.
type article struct {
	key  key
	cols []*column
}

// An upper is a cell above.
type upper struct {
	cell
	row int
}

// goods are what two lines must have in common to be the same thing.
type goods struct {
	wood, name, grade, moisture string
	plank                       Plank
	width, length               Span
	ready, certified            bool
	unit                        Unit
	currency                    string
	min                         string
}

func goodsOf(o *Offer) goods {
	return goods{o.Wood, fold(o.Name), o.Grade, o.Moisture, o.Plank, o.Width, o.Length, o.ReadyStrip, o.Certified, o.Unit, o.Currency, o.MinQuantity.String()}
}

func newTable(s *sheetReader, head int, cols []column, body []line, from, to int, around said) *table {
	lastGoods := 0
	for i := len(body) - 1; i >= 0 && lastGoods == 0; i-- {
		if len(body[i].filled(from, to)) > 1 {
			lastGoods = body[i].row
		}
	}
	return &table{sheetReader: s, lastGoods: lastGoods, head: head, cols: slices.Clone(cols), body: body, from: from, to: to, around: around, at: map[meaning]*column{},
		marks: map[int]rune{}, orders: map[int]dayOrder{}, said: map[string]int{}, above: map[int]upper{}, repeating: map[int]int{}, last: -1, seen: map[goods]int{}}
}

// What a line came to, the lesser first.
const (
	isTitle = iota
	gaveNone
	gaveOffer
)

// skip passes over a repeated head: it ends no block.
func (t *table) skip(row int) { t.aboveRow = row }

// tell warns once a table, at the place where it was first met, and says how often.
func (t *table) tell(row, col int, problem, advice string) {
	key := problem + "\n" + advice
	t.told++
	if t.said[key]++; t.said[key] == 1 {
		row, col = t.place(row, col)
		t.once = append(t.once, Finding{Sheet: t.part.name, Row: row, Col: col, Problem: problem, Advice: advice, Warning: true})
	}
}

// close says what was gathered over all lines.
func (t *table) close() {
	for _, f := range t.once {
		if n := t.said[f.Problem+"\n"+f.Advice]; n > 1 {
			f.Problem += fmt.Sprintf(" (%d lines, this the first)", n)
		}
		t.add(f)
	}
	if t.twice > 0 {
		problem := fmt.Sprintf("the line offers the same as row %d at another price, and both stand", t.twiceAt[1])
		if t.twice > 1 {
			problem += fmt.Sprintf("; so do %d other lines of the table", t.twice-1)
		}
		t.warn(t.twiceAt[0], 0, problem, "delete those that no longer hold, if they are not different goods")
	}
}

// text is a line's cell of a meaning, empty when there is no such column.
func (t *table) text(l line, m meaning) string { return t.cell(l, m).text }

func (t *table) cell(l line, m meaning) cell {
	if c := t.at[m]; c != nil {
		return l.at(c.col)
	}
	return cell{}
}

// line reads one line: an offer or several, a finding, or a title that holds for the lines below it.
func (t *table) line(l line) int {
	defer func() { t.aboveRow = l.row }()
	filled := l.filled(t.from, t.to)
	if len(filled) == 1 && l.row < t.lastGoods && t.section(l, filled[0]) {
		return isTitle
	}
	if !t.usable {
		return gaveNone
	}
	before, offers := len(t.found)+t.told, len(t.offers)
	if t.isNote(l, filled) {
		return gaveNone
	}
	stepped := t.goods(l)
	if len(t.offers) > offers || stepped {
		return gaveOffer
	}
	if len(t.found)+t.told == before {
		panic("a line was dropped without a finding")
	}
	return gaveNone
}

// section reads a line of one cell as a title within the table: a wood, thickness, grade, unit that holds for the lines below. A title that cannot
// be understood must not leave the lines below it to the wood above it.
func (t *table) section(l line, col int) bool {
	c := l.at(col)
	if c.is(number) || c.text == "" || says(isNotPriced, c.text) {
		return false
	}
	d := t.lay.describe(c.text)
	thickness := d.unknown == nil && d.thick.mm > 0 && t.at[isThickness] == nil && t.at[isSize] == nil
	for _, m := range []meaning{isPrice, isWidth, isLength, isSize} { // a lone size or price is a line with gaps
		if k := t.at[m]; k != nil && k.col == col && len(c.text) < 12 && strings.ContainsAny(c.text, "0123456789") && !thickness {
			return false
		}
	}
	d.row, d.col = l.row, col
	switch {
	case d.unknown == nil && (d.minimum || !d.any()):
		if d.incremental || d.gross || !d.listed.IsZero() {
			return true
		}
		return false
	case d.unknown == nil:
	case t.at[isWood] == nil && t.looksLikeTitle(c.text):
		d = said{wood: c.text, row: l.row, col: col} // whose look-up will say what is wrong with it
	case t.looksLikeTitle(c.text):
		t.now, t.above = said{}, map[int]upper{}
		return false
	default:
		return false
	}
	if d.wood != "" {
		t.now = d
	} else {
		t.now = d.under(t.now)
	}
	t.above, t.last = map[int]upper{}, -1
	return true
}

// looksLikeTitle tells a title from a remark: few words, no figures, none of the words of remarks.
func (t *table) looksLikeTitle(text string) bool {
	ws := words(text)
	if len(ws) == 0 || len(ws) > 6 || strings.ContainsAny(text, "0123456789%*") || strings.HasSuffix(text, ".") {
		return false
	}
	return !slices.ContainsFunc(ws, func(w string) bool { return remarkWords[w] || isTotal[w] })
}

// goods reads a line of goods. stepped says that the line is a price step of the offer above it.
func (t *table) goods(l line) (stepped bool) {
	errorsBefore := len(t.found)
	bad := func() bool { return len(t.found[errorsBefore:].Errors()) > 0 }
	l = t.fillBlock(l)
	o, woods := t.describeLine(l)
	for _, m := range t.borrowed {
		c := t.at[m]
		o.Notes = append(o.Notes, fmt.Sprintf("%s from the cell %s above, since the line's own is blank", m, count(l.row-t.above[c.col].row, "line", "lines")))
	}
	if bad() {
		t.last = -1
		return false
	}
	any := false
	first, upTo := len(t.offers), t.upTo
	for i := range t.articles {
		a := &t.articles[i]
		offer, col, ok := t.offer(l, o, a)
		if !ok {
			continue
		}
		any = true
		of := woods
		if a.key.wood != "" {
			of = t.woodCell(a.key.wood)
			if of.err != nil {
				t.badWood(t.head, col.col, of)
				continue
			}
		}
		for _, id := range of.ids {
			offer.Wood = id
			t.offers = append(t.offers, offer)
		}
	}
	if row := t.contradicts(first); row > 0 {
		m := t.borrowed[len(t.borrowed)-1]
		t.offers = t.offers[:first]
		t.bad(l.row, t.at[m].col, fmt.Sprintf("no %s is given, and with that of the line above it the line offers the same as row %d at another price", m, row), "fill in the blank cells of the line")
		t.last = -1
		return false
	}
	switch {
	case !any && !bad():
		t.noPrice(l)
	case len(t.offers) == first+1 && len(t.articles) == 1:
		if t.step(l, upTo) {
			return true
		}
		t.last = first
	default:
		t.last = -1
	}
	for i := first; i < len(t.offers); i++ {
		t.notice(l, i)
	}
	return false
}

// contradicts is the row of a line that offers the same as one of the offers from first on, at another price, where those take something
// from the line above; 0 when there is none.
func (t *table) contradicts(first int) int {
	if len(t.borrowed) == 0 {
		return 0
	}
	for i := first; i < len(t.offers); i++ {
		if k, ok := t.seen[goodsOf(&t.offers[i])]; ok && !t.offers[k].Price.Equal(t.offers[i].Price) {
			row, _ := t.place(t.offers[k].Row, t.offers[k].Col)
			return row
		}
	}
	return 0
}

// noPrice is the finding for a line without any price.
func (t *table) noPrice(l line) {
	col := t.articles[0].cols[0]
	t.empty(l, col, "no price is given", "write a price, or delete the line")
}

// notice looks whether another line of the table offers the same at another price.
func (t *table) notice(l line, i int) {
	o := &t.offers[i]
	g := goodsOf(o)
	first, ok := t.seen[g]
	if !ok {
		t.seen[g] = i
		return
	}
	if other := &t.offers[first]; !other.Price.Equal(o.Price) {
		if t.twice++; t.twice == 1 {
			row, _ := t.place(other.Row, other.Col)
			t.twiceAt = [2]int{l.row, row}
		}
	}
}

// step makes the line's offer a price step of the one above it, where both are the same goods from rising quantities. upTo is where the line above
// says that its price ends; zero: nowhere.
func (t *table) step(l line, upTo decimal.Decimal) bool {
	n := len(t.offers) - 1
	if t.last < 0 || t.last != n-1 || t.at[isMinimum] == nil {
		return false
	}
	a, b := &t.offers[t.last], &t.offers[n]
	from := a.MinQuantity
	if k := len(a.Breaks); k > 0 {
		from = a.Breaks[k-1].From
	}
	same := a.Wood == b.Wood && fold(a.Name) == fold(b.Name) && a.Grade == b.Grade && a.Moisture == b.Moisture && a.Plank == b.Plank && a.Width == b.Width &&
		a.Length == b.Length && a.NominalMM == b.NominalMM && a.ReadyStrip == b.ReadyStrip && a.Currency == b.Currency && a.Unit == b.Unit && a.Certified == b.Certified &&
		a.PackSize.Equal(b.PackSize) && a.HasAvailable == b.HasAvailable && a.Available.Equal(b.Available) && a.LeadTimeDays == b.LeadTimeDays &&
		a.ReadyOn.Equal(b.ReadyOn) && a.ValidUntil.Equal(b.ValidUntil) &&
		a.HasDistance == b.HasDistance && a.DistanceKM.Equal(b.DistanceKM) && len(b.Breaks) == 0
	if !same || !b.MinQuantity.GreaterThan(from) {
		return false
	}
	t.checkStep(l.row, t.at[isMinimum].col, upTo, b.MinQuantity, a.PriceAt(from), b.Price)
	a.Breaks = append(a.Breaks, Break{b.MinQuantity, b.Price})
	t.offers = t.offers[:n]
	return true
}

// minimum is a line's least quantity. One piece, foot or board foot is none: it says that single ones are sold.
func (t *table) minimum(l line, o *Offer) decimal.Decimal {
	raw, unit, given := t.rawQuantity(l, isMinimum)
	if !given || raw.Equal(decimal.NewFromInt(1)) && single(cmp.Or(unit, o.Unit)) {
		return decimal.Zero
	}
	q, _ := t.quantity(l, isMinimum, o)
	return q
}

// single reports whether one of a unit is next to nothing.
func single(u Unit) bool { return u != PerM3 && u != PerMBF && u != perPack }

// limit is the quantity up to which a line says that its price holds, in the unit of its price; zero: none.
func (t *table) limit(l line, o *Offer) decimal.Decimal {
	v, _ := t.quantity(l, isMaximum, o)
	return v
}

// checkStep warns of price steps that leave a gap, overlap, or rise.
func (t *table) checkStep(row, col int, upTo, from, price, next decimal.Decimal) {
	one := decimal.NewFromInt(1)
	switch {
	case !upTo.IsZero() && from.GreaterThan(upTo.Add(one)):
		t.tell(row, col, fmt.Sprintf("the price steps leave a gap between %s and %s, where the price of the lower step is taken", upTo, from), "ask the supplier what holds there")
	case !upTo.IsZero() && from.Equal(upTo):
		t.tell(row, col, fmt.Sprintf("two price steps name %s, where the price of the higher step is taken", from), "ask the supplier what holds there")
	case !upTo.IsZero() && from.LessThan(upTo):
		t.tell(row, col, fmt.Sprintf("the price steps overlap between %s and %s, where the price of the higher step is taken", from, upTo), "ask the supplier what holds there")
	}
	if next.GreaterThan(price) {
		t.tell(row, col, fmt.Sprintf("the price rises from %s to %s with the quantity", price, next), "ask the supplier whether that is meant")
	}
}

// isNote reports, with a warning, a line that offers nothing: a remark, a total, a surcharge.
func (t *table) isNote(l line, filled []int) bool {
	first := l.text(filled[0])
	if first == "" {
		for _, c := range filled {
			if first == "" {
				first = l.text(c)
			}
		}
	}
	if first == "" {
		t.bad(l.row, 0, "the row's formulas hold no stored values", "open the file in a spreadsheet program, let it calculate, and save it")
		return true
	}
	ws := words(first)
	if len(ws) > 0 && (isTotal[ws[0]] || isTotal[strings.Join(ws[:min(2, len(ws))], " ")]) {
		t.warn(l.row, filled[0], fmt.Sprintf("the line begins with %q and is taken for a total", shorten(first)), "")
		return true
	}
	if l.at(filled[0]).is(struck) && !l.at(filled[0]).is(number) {
		t.bad(l.row, filled[0], fmt.Sprintf("%q is struck through", shorten(first)), "delete the line from the file, or undo the striking if it still holds")
		return true
	}
	name, col := first, filled[0]
	if c := t.at[isWood]; c != nil && l.text(c.col) != "" && !l.at(c.col).is(merged) {
		name, col = l.text(c.col), c.col
	}
	if what := t.notGoods(name); what != "" {
		t.warn(l.row, col, fmt.Sprintf("%q is %s and no goods; nothing is added to any price", shorten(name), what), "add it to the prices it concerns, or to the freight of the supplier on the Suppliers sheet of the job book")
		return true
	}
	for _, m := range []meaning{isWood, isGrade, isForm, isRemark} {
		if text := t.text(l, m); text != "" && slices.ContainsFunc(words(text), func(w string) bool { return isSample[w] }) {
			t.warn(l.row, t.at[m].col, fmt.Sprintf("%q is a sample and no offer", shorten(text)), "")
			return true
		}
	}
	remarks := t.unheaded
	if c := t.at[isRemark]; c != nil {
		remarks = append(slices.Clip(remarks), c.col)
	}
	for _, col := range remarks {
		if text := l.text(col); says(isSoldOut, text) && !says(isNo, text) || says(isNotPriced, text) && len(words(text)) > 1 {
			t.bad(l.row, col, fmt.Sprintf("the line says %q", shorten(text)), "ask the supplier, and delete the line if there is none to be had")
			return true
		}
	}
	for _, a := range t.articles {
		for _, c := range a.cols {
			if l.text(c.col) != "" || t.uncached(l, c.col) {
				return false
			}
		}
	}
	lone := len(filled) == 1 && !strings.ContainsAny(first, "0123456789")
	for _, m := range []meaning{isThickness, isWidth, isLength, isSize} {
		if c := t.at[m]; c != nil && !lone && (l.text(c.col) != "" && !l.at(c.col).is(merged) || t.uncached(l, c.col)) {
			return false
		}
	}
	wood := t.at[isWood]
	if len(filled) == 1 || wood == nil || l.text(wood.col) == "" {
		advice := ""
		if d := t.lay.describe(first); d.minimum {
			advice = "enter a minimum order and freight on the Suppliers sheet of the job book; add a surcharge to the prices it concerns"
		}
		t.warn(l.row, filled[0], fmt.Sprintf("the line reads %q without size and price, and is taken for a note", shorten(first)), advice)
		return true
	}
	return false
}

// notGoods says what a line is that names no wood but a service; "" when it can be goods.
func (t *table) notGoods(name string) string {
	ws := words(name)
	found := false
	for i := range ws {
		for n := 1; n <= longest && i+n <= len(ws); n++ {
			found = found || isSurcharge[strings.Join(ws[i:i+n], " ")]
		}
	}
	if !found {
		return ""
	}
	if _, err := t.wood(name); err == nil || t.woodCell(name).err == nil {
		return ""
	}
	return "a surcharge or service"
}

// uncached reports whether a blank cell is a formula that has no value.
func (t *table) uncached(l line, col int) bool {
	c := l.at(col)
	return c.is(formula) && c.text == ""
}

// empty is the finding for a needed cell that is blank.
func (t *table) empty(l line, c *column, problem, advice string) {
	if t.uncached(l, c.col) {
		problem, advice = "the formula has no stored value, and is not reckoned here", "open the file in a spreadsheet program, let it calculate, and save it"
	}
	t.bad(l.row, c.col, problem, advice)
}

// blockMeanings are the columns in which a blank cell can stand for the one above.
var blockMeanings = []meaning{isWood, isGrade, isThickness, isWidth, isLength, isSize, isForm, isMoisture}

// fillBlock gives the blank cells that lead a line what stands above them: a wood named once for the lines below it. It does so only in columns that
// never repeat a value from line to line, where a blank may be a slip, and only without a blank row between.
func (t *table) fillBlock(l line) line {
	var cols []int
	of := map[int]meaning{}
	for _, m := range blockMeanings {
		if c := t.at[m]; c != nil {
			cols = append(cols, c.col)
			of[c.col] = m
		}
	}
	slices.Sort(cols)
	if len(t.above) > 0 && l.row > t.aboveRow+1 {
		t.above = map[int]upper{}
	}
	t.borrowed = nil
	leading := slices.ContainsFunc(cols, func(c int) bool { return l.text(c) != "" }) || t.text(l, isMinimum) != ""
	copied := false
	for _, col := range cols {
		c := l.at(col)
		switch {
		case isDitto(c.text):
		case c.text != "":
			leading = false
			t.above[col] = upper{c, l.row}
			continue
		case !leading || c.is(formula) || t.repeats(col):
			leading = false
			continue
		}
		up, ok := t.above[col]
		if !ok {
			leading = leading && c.text != ""
			continue
		}
		if !copied {
			l.cells, copied = slices.Clone(l.cells), true
		}
		for len(l.cells) < col {
			l.cells = append(l.cells, cell{})
		}
		if !isDitto(c.text) {
			t.borrowed = append(t.borrowed, of[col])
			t.tell(l.row, col, "blank cells that lead a line stand for the cells above them", "fill them in, if that is not meant")
		}
		up.kind |= merged
		l.cells[col-1] = up.cell
	}
	return l
}

// isDitto is a mark for "as above".
func isDitto(s string) bool {
	switch fold(s) {
	case `"`, "do.", "do", "dto.", "dto", "idem", "id.", "ditto", "dito", "dgl.", `""`, "-\"-", "-''-", `- " -`:
		return true
	}
	return false
}

// repeats reports whether a column says the same in two lines that follow one another: its author leaves nothing out.
func (t *table) repeats(col int) bool {
	if r := t.repeating[col]; r != 0 {
		return r == 1
	}
	t.repeating[col] = 2
	prev := ""
	for _, l := range t.body {
		c := l.at(col)
		if c.text != "" && c.text == prev && !c.is(merged) {
			t.repeating[col] = 1
			break
		}
		prev = c.text
	}
	return t.repeating[col] == 1
}

// groupMarks part woods that share a line.
var groupMarks = regexp.MustCompile(`\s*[/,&+]\s*|\s+(?:and|und|et|e|y|or|oder|ou|o)\s+`)

// A woodCell is what a cell of the wood column says: one wood, or several at one price.
type woodCell struct {
	ids  []string
	said said
	err  error
}

// An unknownWood is either error of a look-up in the table of woods.
type unknownWood interface {
	error
	Problem() string // what is there
	Advice() string  // what to write
}

// woodCell reads a wood's name with what stands beside it: "Rotbuche, KD", "Birch / Alder / Aspen".
func (rd *reader) woodCell(name string) woodCell {
	if w, ok := rd.named[name]; ok {
		return w
	}
	w := rd.readWood(name)
	if len(rd.named) < maxNames {
		rd.named[name] = w
	}
	return w
}

func (rd *reader) readWood(name string) woodCell {
	wood, err := rd.wood(name)
	if err == nil {
		return woodCell{ids: []string{wood.ID}}
	}
	if len(name) > maxHeader {
		return woodCell{err: err}
	}
	if !isAmbiguous(err) {
		lay := &layouter{wood: rd.wood, names: rd.names, work: &rd.work}
		if d := lay.describe(name); d.unknown == nil && d.wood != "" && d.wood != name {
			wood, inner := rd.wood(d.wood)
			if inner == nil {
				return woodCell{ids: []string{wood.ID}, said: d}
			}
			return woodCell{err: inner}
		}
	}
	parts := groupMarks.Split(name, 10)
	if len(parts) < 2 || !slices.ContainsFunc(words(name), func(w string) bool { return rd.names[w] }) {
		return woodCell{err: err}
	}
	var ids []string
	for _, p := range parts {
		wood, inner := rd.wood(strings.TrimSpace(p))
		if inner != nil {
			if len(ids) > 0 || isAmbiguous(inner) {
				return woodCell{err: inner}
			}
			return woodCell{err: err}
		}
		if !slices.Contains(ids, wood.ID) {
			ids = append(ids, wood.ID)
		}
	}
	return woodCell{ids: ids}
}

// badWood is the finding for a name that is no wood, or not clear.
func (t *table) badWood(row, col int, w woodCell) {
	problem, advice := w.err.Error(), ""
	if e, ok := errors.AsType[unknownWood](w.err); ok {
		problem, advice = e.Problem(), e.Advice()
	}
	t.bad(row, col, problem, advice)
}

// describeLine reads what a line says of its goods, its price apart.
func (t *table) describeLine(l line) (o Offer, woods woodCell) {
	around := t.now.under(t.around)
	o = Offer{Supplier: t.src.Supplier, File: t.src.File, Sheet: t.part.name, Row: l.row, Certified: t.src.Certified, LeadTimeDays: t.src.LeadTimeDays,
		Grade: t.text(l, isGrade), Incremental: around.incremental}
	t.readName(l, &o, &around, &woods)
	if o.Grade == "" || strings.Trim(o.Grade, "-. ") == "" {
		o.Grade = around.grade
	}
	t.readMoisture(l, &o, around)
	planed := around.planed
	o.ReadyStrip = around.strip
	if form := t.text(l, isForm); form != "" {
		o.ReadyStrip, planed = false, false // the line's own form, not the title's
		spell(words(form), func(p string) bool {
			o.ReadyStrip = o.ReadyStrip || isStrip[p]
			planed = planed || isPlaned[p]
			return true
		})
	}
	t.readSizes(l, &o, around, planed)
	if p := o.Plank; p.ThicknessMM > p.WidthMM && p.WidthMM > 0 && !o.ReadyStrip {
		t.tell(l.row, 0, "the thickness exceeds the width", "see whether the headers of the two have changed places")
	}
	t.readDelivery(l, &o, around)
	return o, woods
}

// readName reads a line's wood.
func (t *table) readName(l line, o *Offer, around *said, woods *woodCell) {
	col := t.at[isWood]
	if col != nil {
		o.Name = l.text(col.col)
		if isDitto(o.Name) {
			o.Name = ""
		}
	}
	row := l.row
	switch {
	case o.Name != "":
	case t.keysHave(func(k key) bool { return k.wood != "" }):
		return
	case around.wood != "" && (col == nil || t.now.wood != "" && !t.uncached(l, col.col)):
		o.Name = around.wood
		if row = around.row; row == 0 {
			row = l.row
		}
	case col != nil:
		t.empty(l, col, "no wood is named", "write the wood in this cell")
		return
	default: // a table without a wood is not usable, unless titles name them
		t.bad(l.row, 0, "no wood is named, and no title above names one", "add a column for the wood, or "+t.mapping(wholeSheet, "wood beech-european"))
		return
	}
	*woods = t.woodCell(o.Name)
	if woods.err != nil {
		at := 0
		if col != nil && l.text(col.col) == o.Name {
			at = col.col
		} else if around.col > 0 {
			problem := woods.err.Error()
			advice := ""
			if e, ok := errors.AsType[unknownWood](woods.err); ok {
				problem, advice = e.Problem(), e.Advice()
			}
			r, c := t.place(around.row, around.col)
			t.bad(l.row, 0, fmt.Sprintf("%s, as the title in %s says", problem, cellName(r, c)), advice)
			return
		}
		t.badWood(row, at, *woods)
		return
	}
	*around = woods.said.under(*around)
}

// keysHave reports whether every article's key says something.
func (t *table) keysHave(says func(key) bool) bool {
	return len(t.articles) > 0 && !slices.ContainsFunc(t.articles, func(a article) bool { return !says(a.key) })
}

// offer reads an article's prices in a line. ok is false when the line does not offer it.
func (t *table) offer(l line, o Offer, a *article) (_ Offer, first *column, ok bool) {
	k := a.key
	o.Notes = slices.Clip(o.Notes)
	if k.wood != "" {
		o.Name = k.wood
	}
	if k.grade != "" {
		o.Grade = k.grade
	}
	if k.moisture != "" {
		o.Moisture = k.moisture
	}
	if k.certified != 0 {
		o.Certified = k.certified > 0
	}
	o.YieldPct = gradeYield(o.Grade)
	type step struct {
		price
		col *column
	}
	var steps []step
	matrix := len(t.articles) > 1 || len(a.cols) > 1
	for _, c := range a.cols {
		cell := l.at(c.col)
		if matrix && !t.uncached(l, c.col) && strings.Trim(cell.text, "-. x") == "" {
			continue // not offered so
		}
		if cell.text == "" && !t.uncached(l, c.col) {
			continue
		}
		p, good := t.price(l, c)
		if !good {
			continue
		}
		steps = append(steps, step{p, c})
	}
	if len(steps) == 0 {
		return Offer{}, nil, false
	}
	before := len(t.found)
	if !t.keySizes(l, &o, k) {
		return Offer{}, nil, false
	}
	p := steps[0]
	o.Row, o.Col = t.place(l.row, p.col.col)
	o.Price, o.Currency, o.Unit = p.value, p.currency, p.unit
	if o.Unit == perPack && !t.byPack(l, &o, p.col) {
		return Offer{}, nil, false
	}
	o.PackSize, _ = t.quantity(l, isPack, &o)
	o.MinQuantity = t.minimum(l, &o)
	o.Available, o.HasAvailable = t.quantity(l, isAvailable, &o)
	if t.at[isPackNo] != nil && o.HasAvailable && o.Available.Sign() > 0 { // a pack is taken whole
		o.PackSize = o.Available
	}
	t.upTo = decimal.Zero
	if t.at[isMaximum] != nil {
		t.upTo = t.limit(l, &o)
	}
	for i, s := range steps {
		if s.unit != p.unit || s.currency != p.currency {
			t.bad(l.row, s.col.col, fmt.Sprintf("the step's price is in %s per %s, the first one's in %s per %s", s.currency, s.unit, p.currency, p.unit), "make them agree")
			return Offer{}, nil, false
		}
		if !s.col.key.isBreak {
			continue
		}
		from, good := t.inUnit(s.col.key.from, cmp.Or(s.col.key.fromUnit, o.Unit), &o)
		if !good {
			t.tell(l.row, s.col.col, fmt.Sprintf("%q counts packs, and nothing says how large one is; its price is not used", shorten(s.col.header)), "write the pack size into a column, with its unit")
			if i == 0 {
				return Offer{}, nil, false
			}
			continue
		}
		counted := cmp.Or(s.col.key.fromUnit, o.Unit)
		switch one := s.col.key.from.Equal(decimal.NewFromInt(1)) && single(counted); {
		case i == 0 && !one: // "1-99 pieces" sets no minimum
			o.MinQuantity = decimal.Max(o.MinQuantity, from)
		case i > 0:
			last := o.MinQuantity
			if n := len(o.Breaks); n > 0 {
				last = o.Breaks[n-1].From
			}
			if !from.GreaterThan(last) {
				t.tell(l.row, s.col.col, fmt.Sprintf("the price under %q would hold from %s %s on, which is no more than the step before it; it is not used", shorten(s.col.header), from, o.Unit), "ask the supplier from what quantity it holds")
				continue
			}
			if s.value.Equal(o.PriceAt(from)) {
				continue
			}
			upTo := decimal.Zero
			if prev := steps[i-1].col.key; prev.isBreak && !prev.upTo.IsZero() {
				upTo, _ = t.inUnit(prev.upTo, cmp.Or(prev.fromUnit, o.Unit), &o)
			}
			t.checkStep(l.row, s.col.col, upTo, from, o.PriceAt(from), s.value)
			o.Breaks = append(o.Breaks, Break{from, s.value})
		}
	}
	if k := steps[len(steps)-1].col.key; k.isBreak && !k.upTo.IsZero() {
		t.tell(l.row, steps[len(steps)-1].col.col, fmt.Sprintf("no price is given beyond %s; the last one is taken on", k.upTo), "ask the supplier what holds there")
	}
	return o, p.col, len(t.found[before:].Errors()) == 0
}
