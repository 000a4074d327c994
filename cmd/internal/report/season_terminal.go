package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize/season"
)

// SeasonTerminal writes a season: what it costs and how far that is proven, what deciding layouts and orders together saves, the orders by
// supplier, what is taken from stock, and every model's layout.
func SeasonTerminal(w io.Writer, r *Season, s Style) error {
	v, err := newSeasonView(r)
	if err != nil {
		return err
	}
	t := newTerminal(s)
	cur := clean(v.s.Currency)
	build, sold := v.boards()
	t.title(fmt.Sprintf("Season: %s of %s", count(build, "board"), count(len(v.s.Models), "model")))
	if build > sold {
		t.line(fmt.Sprintf("%d are sold; %d more are built for scrap.", sold, build-sold))
	}
	t.line(v.modeWords())
	head, words := v.proof()
	if v.p.Done {
		t.line(head + ": " + words)
	} else {
		t.alert(head + ": " + words)
	}
	t.gap()
	t.title(fmt.Sprintf("Cost %s %s", amount(v.p.Cost, 2), cur))
	totals := totalsOf(v.p)
	t.line(fmt.Sprintf("Lumber %s, freight %s, from the yard's stock %s.", amount(totals.goods, 2), amount(totals.freight, 2), amount(totals.stock, 2)))
	for _, c := range v.against() {
		t.line(v.savedWords(c))
	}
	for _, words := range v.limitWords() {
		t.line(words)
	}
	for _, words := range v.recipeWords() {
		t.alert(words)
	}
	sh := v.share()
	t.line(fmt.Sprintf("Fast-grown %s %% of the strips and %s %% of the lumber, certified %s %% of the strips, by volume.", Fixed(sh.fast, 1), Fixed(sh.fastBought, 1), Fixed(sh.cert, 1)))

	t.gap()
	t.heading("Orders, in " + cur)
	t.table(t.fitting(v.orderColumns()))
	for _, o := range v.orders {
		t.gap()
		t.heading(fmt.Sprintf("%s, in %s", clean(o.supplier.Name), clean(o.supplier.Currency)))
		t.table(t.fitting(orderLineColumns(o.lines)))
		t.line(fmt.Sprintf("Goods %s, freight %s an order and %s by volume: %s %s.", amount(o.own.goods, 2), amount(o.own.perOrder, 2), amount(o.own.byVolume, 2),
			amount(o.own.total, 2), clean(o.supplier.Currency)))
		if slices.ContainsFunc(o.lines, (*seasonLine).inParts) {
			t.line("+: the price of the first part; what is above a break costs that break's price.")
		}
		for _, l := range o.lines {
			if words := l.dryWords(); words != "" {
				t.line(fmt.Sprintf("%s, cell %s: %s.", clean(l.wood), clean(offerCell(l.lot.Offer)), words))
			}
		}
	}
	if len(v.stock) > 0 {
		t.gap()
		t.heading("From the yard, in " + cur)
		t.table(v.stockColumns())
	}

	read := newReading(v.marked)
	t.gap()
	t.heading("Layouts, from the centre line outward")
	t.table(narrowLayout(v.layoutColumns(read), t.width))
	t.line(v.keptNote())
	for _, m := range v.marked {
		t.item(m.Letter, clean(m.Wood.ID))
	}
	t.gap()
	t.heading("Ride, today and planned, and what a board costs in " + cur)
	t.table(t.fitting(v.modelColumns()))
	for _, words := range v.rideWords() {
		t.item("-", words)
	}
	t.seasonWhatIfs(v)
	if err := t.seasonSteps(v); err != nil {
		return err
	}
	t.leftOutLots(v)
	t.gap()
	t.heading("How it is computed")
	for _, line := range append(v.computedWords(), v.shortenedWords()...) {
		t.item("-", line)
	}
	t.cautions()
	return t.writeTo(w)
}

// leftOutLots lists offers and stock that are not used, or for some strips only, folded by reason.
func (t *terminal) leftOutLots(v *seasonView) {
	groups := v.leftOutWords()
	if len(groups) == 0 {
		return
	}
	t.gap()
	t.heading("Not used, or for some strips only")
	for _, g := range groups {
		t.item("-", list(g.woods, "and")+": "+g.why)
	}
}

// computedWords are what a reader of the figures should know.
func (v *seasonView) computedWords() []string {
	out := []string{
		"A lot's strips are an average over its planks: what is cut from it, each strip with its part of a plank, fits into the planks bought.",
		"Every line and every freight is rounded to the cent, half up; totals add up those amounts.",
		"Shares are of the volume of the strips as cut, glued width times blank thickness times blank length.",
		"A model's cost and shares are those of what is bought for it. Equal strips of several models come from one pile; a plank is paid by the strips cut from it, waste included; freight per order is divided by the value of the goods.",
	}
	if v.s.OrderingDay == "" {
		return append(out, "No ordering day is given in the book: lead times and the validity of prices are not checked.")
	}
	return append(out, fmt.Sprintf("Orders are placed from %s on; a lot is used only while its price holds, and only for strips needed once its planks are there.", v.s.OrderingDay))
}

// shortenedWords say what the terminal's tables of orders leave to the workbook and the order sheets: who multiplies a rounded quantity by its
// price comes to another amount.
func (v *seasonView) shortenedWords() []string {
	for _, o := range v.orders {
		for _, l := range o.lines {
			if !l.quantity().Equal(l.quantity().Round(shownDecimals)) {
				return []string{fmt.Sprintf("Quantities are shown to %d decimals; amounts are those of the whole quantity, which the workbook and the order sheets have.", shownDecimals)}
			}
		}
	}
	return nil
}

// shownDecimals are those of a quantity on the terminal.
const shownDecimals = 3

// keptNote says what the mark in the table of layouts means.
func (v *seasonView) keptNote() string {
	for m := range v.s.Models {
		if v.isKept(m) {
			return "kept: at every position the woods that the model has today."
		}
	}
	return "No model keeps the woods that it has today."
}

func (v *seasonView) orderColumns() []column {
	c := []column{{head: "Supplier", left: true}, {head: "Lines"}, {head: "Planks", optional: true}, {head: "m³", optional: true}, {head: "Goods"}, {head: "Freight"}, {head: "Total"}, {head: "Order by", left: true}}
	lines, planks, m3 := 0, decimal.Zero, decimal.Zero
	add := func(cells ...string) {
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	totals := totalsOf(v.p)
	for _, o := range v.orders {
		n, cubic := decimal.Zero, decimal.Zero
		for _, l := range o.lines {
			n, cubic = n.Add(l.planks), cubic.Add(l.m3)
		}
		lines, planks, m3 = lines+len(o.lines), planks.Add(n), m3.Add(cubic)
		by := o.orderBy
		if by == "" {
			by = "n/a"
		}
		add(clean(o.supplier.Name), fmt.Sprint(len(o.lines)), n.Round(1).String(), amount(cubic, 2), amount(o.order.Goods, 2), amount(o.order.Freight, 2), amount(o.order.Total, 2), by)
	}
	add("All orders", fmt.Sprint(lines), planks.Round(1).String(), amount(m3, 2), amount(totals.goods, 2), amount(totals.freight, 2), amount(totals.goods.Add(totals.freight), 2), "")
	return c
}

// orderLineColumns are an order's lines in the supplier's units and money.
func orderLineColumns(lines []*seasonLine) []column {
	c := []column{{head: "Wood", left: true}, {head: "Plank mm", left: true}, {head: "Planks"}, {head: "Quantity"}, {head: "Price"},
		{head: "Goods"}, {head: "Cell", left: true}, {head: "Needed by", left: true, optional: true}}
	for _, l := range lines {
		p := l.lot.Offer.Plank
		by := l.needed
		if by == "" {
			by = "n/a"
		}
		price := sheetPrice(l.unitPrice())
		if l.inParts() {
			price += " +"
		}
		for i, cell := range []string{clean(l.wood), size(p.ThicknessMM) + "×" + size(p.WidthMM) + "×" + size(p.LengthMM), l.planks.Round(1).String(),
			l.quantity().Round(shownDecimals).String() + " " + unitName(l.lot.Offer.Unit), price, amount(l.own, 2), clean(offerCell(l.lot.Offer)), by} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

func (v *seasonView) stockColumns() []column {
	c := []column{{head: "Wood", left: true}, {head: "Plank mm", left: true}, {head: "Planks\nused"}, {head: "Planks\nleft"}, {head: "Value"}, {head: "Stock\nrow"}}
	for _, l := range v.stock {
		p := l.lot.Offer.Plank
		left := l.lot.Offer.Available.Sub(l.line.Quantity)
		for i, cell := range []string{clean(l.wood), size(p.ThicknessMM) + "×" + size(p.WidthMM) + "×" + size(p.LengthMM), l.line.Quantity.String(), left.String(),
			amount(l.line.Goods, 2), fmt.Sprint(l.lot.Offer.Row)} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

func (v *seasonView) layoutColumns(read reading) []column {
	c := []column{{head: "Model", left: true}, {head: "Boards"}, {head: "Needed by", left: true, optional: true}, {head: "Core\nmass g"}, {head: "EI\nN·m²"}, {head: "Layout", left: true}, {head: "", left: true}}
	any := false
	for m, model := range v.s.Models {
		p, pt := model.Program, v.p.Points[m]
		note := ""
		if v.isKept(m) {
			note, any = "kept", true
		}
		by := neededBy(v.s, m)
		if by == "" {
			by = "n/a"
		}
		for i, cell := range []string{clean(p.Model), fmt.Sprint(model.Build), by, Fixed(pt.CoreMassG, decimals(resolution(p).MassG)), Fixed(pt.EINM2, decimals(resolution(p).EINM2)),
			v.modelLayout(m, read), note} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	if !any {
		c = c[:len(c)-1]
	}
	return c
}

// modelColumns are each model's ride, today and planned, and its part of the plan.
func (v *seasonView) modelColumns() []column {
	c := []column{{head: "Model", left: true}, {head: "Recipe", left: true}, {head: "EI N·m²\ntoday"}, {head: "\nplanned"}, {head: "Flex N/mm\ntoday"}, {head: "\nplanned"},
		{head: "Cost of\na board"}, {head: "Fast-\ngrown %", optional: true}, {head: "Certi-\nfied %", optional: true}}
	recipes := false
	for m, model := range v.s.Models {
		p, pt := model.Program, &v.p.Points[m]
		ei := decimals(resolution(p).EINM2)
		cells := []string{clean(p.Model), clean(model.Recipe), "n/a", Fixed(pt.EINM2, ei), "n/a", known(pt.Figures.Flex.Known, flexOf(p.Board, pt), 2),
			amount(pt.Cost, 2), Fixed(v.parts[m].FastGrownPct, 1), Fixed(v.parts[m].CertifiedPct, 1)}
		if is := v.today[m]; is != nil {
			cells[2], cells[4] = Fixed(is.EINM2, ei), known(is.Figures.Flex.Known, flexOf(p.Board, is), 2)
		}
		recipes = recipes || model.Recipe != ""
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	if !recipes {
		c = slices.Delete(c, 1, 2)
	}
	return c
}

// narrowLayout breaks layouts between positions where the terminal is too narrow for them.
func narrowLayout(columns []column, width int) []column {
	for tableWidth(columns) > width {
		fewer := withoutLast(columns)
		if len(fewer) == len(columns) {
			break
		}
		columns = fewer
	}
	if tableWidth(columns) <= width {
		return columns
	}
	i := slices.IndexFunc(columns, func(c column) bool { return c.head == "Layout" })
	room := max(width-(tableWidth(columns)-columns[i].width()), len("Layout"))
	columns = slices.Clone(columns)
	columns[i].cells = slices.Clone(columns[i].cells)
	for k, cell := range columns[i].cells {
		columns[i].cells[k] = join(strings.Split(cell, "|"), room)
	}
	return columns
}

// neededBy is the day a model's lumber is needed.
func neededBy(s *season.Season, m int) string {
	for _, row := range s.Models[m].Kind {
		for _, k := range row {
			if k >= 0 {
				return s.Kinds[k].NeededBy
			}
		}
	}
	return ""
}
