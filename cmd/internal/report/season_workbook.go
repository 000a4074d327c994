package report

import (
	"cmp"
	"fmt"
	"io"
	"math/big"
	"strings"

	"github.com/shopspring/decimal"
)

// SeasonWorkbook writes a season as an XLSX workbook: summary, every order line with the cell of its price, the strips cut from each line, the
// strips that the boards need, layouts by model, stock used, what is left over, and what was not used.
func SeasonWorkbook(w io.Writer, r *Season) error {
	v, err := newSeasonView(r)
	if err != nil {
		return err
	}
	return writeWorkbook(w, "Season", func(b *workbook) {
		b.marked = v.marked
		b.seasonSummary(v)
		b.seasonOrders(v)
		b.seasonLines(v)
		b.seasonCuts(v)
		b.seasonStrips(v)
		b.seasonModels(v)
		b.seasonLayouts(v)
		b.seasonStock(v)
		b.seasonYields(v)
		b.seasonWhatIfs(v)
		b.seasonSteps(v)
		b.seasonLeftOut(v)
		b.cautions()
	})
}

// exactValue is a decimal for a cell.
func exactValue(d decimal.Decimal) any { return d.InexactFloat64() }

// dayText is a day for a cell; nothing where there is none.
func dayText(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func (b *workbook) seasonSummary(v *seasonView) {
	const sheet = "Summary"
	b.sheet(sheet, true)
	cur := clean(v.s.Currency)
	build, sold := v.boards()
	b.words(sheet, 1, 1, fmt.Sprintf("Season: %s of %s", count(build, "board"), count(len(v.s.Models), "model")), b.titleStyle())
	b.do(b.f.SetColWidth(sheet, "A", "H", 15))
	row := 3
	if build > sold {
		row = b.paragraph(sheet, row, fmt.Sprintf("%d are sold; %d more are built for scrap.", sold, build-sold), b.wrapStyle())
	}
	row = b.paragraph(sheet, row, v.modeWords(), b.wrapStyle())
	head, words := v.proof()
	style := b.wrapStyle()
	if !v.p.Done {
		style = b.alertStyle()
	}
	row = b.paragraph(sheet, row, head+": "+words, style)
	for _, c := range v.against() {
		row = b.paragraph(sheet, row, v.savedWords(c), b.wrapStyle())
	}
	for _, words := range v.limitWords() {
		row = b.paragraph(sheet, row, words, b.wrapStyle())
	}
	for _, words := range v.recipeWords() {
		row = b.paragraph(sheet, row, words, b.alertStyle())
	}
	totals, sh := totalsOf(v.p), v.share()
	fields := []field{{head: "Figure", width: 48}, {head: "Value", width: 15}, {head: "Unit", width: 10}}
	money := func(name string, d decimal.Decimal) []any {
		return []any{name, measured{value: exactValue(d), format: "#,##0.00"}, cur}
	}
	rows := [][]any{
		money("Cost of the season", v.p.Cost), money("Lumber ordered", totals.goods), money("Freight", totals.freight), money("Taken from the yard's stock", totals.stock),
		money("Proven bound: no plan costs less", v.p.Bound), {"Gap", measured{value: value(true, v.p.GapPct()), format: "0.000"}, "%"},
		{"Boards to build", build, ""}, {"Boards sold", sold, ""},
		{"Fast-grown, of the strips' volume", measured{value: value(true, sh.fast), format: "0.00"}, "%"},
		{"Fast-grown, of the lumber bought and taken from stock", measured{value: value(true, sh.fastBought), format: "0.00"}, "%"},
		{"Certified, of the strips' volume", measured{value: value(true, sh.cert), format: "0.00"}, "%"},
	}
	for _, c := range v.against() {
		if c.Plan == nil {
			continue
		}
		rows = append(rows, money(c.name, c.Plan.Cost))
		if r := c.Dearer; r.Known && r.Low.Equal(r.High) {
			rows = append(rows, money("Saved against it", r.Low))
		} else if r.Known {
			rows = append(rows, money("Saved against it, at least", r.Low), money("Saved against it, at most", r.High))
		}
	}
	row = b.table(sheet, 1, row+1, fields, rows, func(i int) bool { return i == 0 })
	b.list(sheet, row+1, "How it is computed", v.computedWords())
}

// seasonOrders is a row for each supplier, and their sum.
func (b *workbook) seasonOrders(v *seasonView) {
	const sheet = "Orders"
	b.sheet(sheet, true)
	cur := clean(v.s.Currency)
	b.words(sheet, 1, 1, "Orders by supplier; lines on the sheet Lines", b.headingStyle())
	const cents = "#,##0.00"
	fields := []field{{head: "Supplier", width: 34}, {head: "Lines", width: 7}, {head: "m³", width: 9, format: "0.000"}, {head: "Goods " + cur, width: 13, format: cents},
		{head: "Freight by volume " + cur, width: 13, format: cents}, {head: "Freight per order " + cur, width: 13, format: cents}, {head: "Total " + cur, width: 13, format: cents},
		{head: "Order by", width: 12}, {head: "Currency", width: 10}, {head: "Rate " + cur, width: 9, format: "0.0#####"}, {head: "Goods, their currency", width: 13, format: cents},
		{head: "Freight by volume, their currency", width: 13, format: cents}, {head: "Freight per order, their currency", width: 13, format: cents}, {head: "Total, their currency", width: 13, format: cents},
		{head: "Min order, their currency", width: 13, format: cents}}
	var rows [][]any
	lines, m3 := 0, decimal.Zero
	volume, perOrder := decimal.Zero, decimal.Zero
	totals := totalsOf(v.p)
	for _, o := range v.orders {
		cubic, moved := decimal.Zero, decimal.Zero
		for _, l := range o.lines {
			cubic, moved = cubic.Add(l.m3), moved.Add(l.line.Freight)
		}
		lines, m3, volume, perOrder = lines+len(o.lines), m3.Add(cubic), volume.Add(moved), perOrder.Add(o.perOrder)
		rows = append(rows, []any{o.supplier.Name, len(o.lines), exactValue(cubic), exactValue(o.order.Goods), exactValue(moved), exactValue(o.perOrder), exactValue(o.order.Total),
			dayText(o.orderBy), o.supplier.Currency, exactValue(o.supplier.Rate), exactValue(o.own.goods), exactValue(o.own.byVolume), exactValue(o.own.perOrder), exactValue(o.own.total),
			exactValue(inCurrency(o.supplier.MinOrder, o.supplier.Rate))})
	}
	rows = append(rows, []any{"All orders", lines, exactValue(m3), exactValue(totals.goods), exactValue(volume), exactValue(perOrder), exactValue(totals.goods.Add(totals.freight)),
		nil, nil, nil, nil, nil, nil, nil, nil})
	b.table(sheet, 1, 2, fields, rows, func(i int) bool { return i == len(rows)-1 })
	b.freeze(sheet, 1, 2)
}

// seasonLines is a row for each line of an order and each line of stock used.
func (b *workbook) seasonLines(v *seasonView) {
	const sheet = "Lines"
	b.sheet(sheet, false)
	cur := clean(v.s.Currency)
	const cents = "#,##0.00"
	b.words(sheet, 1, 1, "What is bought and what is taken from stock, in each supplier's units; the cell is that of the price", b.headingStyle())
	fields := []field{{head: "Line", width: 6}, {head: "Supplier", width: 30}, {head: "Wood", width: 20}, {head: "Their name", width: 22}, {head: "Grade", width: 14},
		{head: "Thickness mm", width: 10, format: "0.##"}, {head: "Width mm", width: 9, format: "0.##"}, {head: "Length mm", width: 9, format: "0.##"}, {head: "File", width: 16}, {head: "Sheet", width: 14},
		{head: "Cell", width: 7}, {head: "Quantity", width: 12, format: "0.######"}, {head: "Unit", width: 7}, {head: "Packs", width: 7}, {head: "Planks", width: 9, format: "0.##"},
		{head: "Price per unit", width: 10, format: "0.00####"}, {head: "Currency", width: 9}, {head: "Price breaks", width: 34, wrap: true}, {head: "Goods, their currency", width: 13, format: cents},
		{head: "Goods " + cur, width: 13, format: cents}, {head: "m³", width: 10, format: "0.000000"}, {head: "Freight per m³, their currency", width: 12, format: "0.00####"}, {head: "Freight by volume " + cur, width: 12, format: cents},
		{head: "Certified", width: 9}, {head: "Fast-grown", width: 9}, {head: "Needed by", width: 12}, {head: "Order by", width: 12}, {head: "Conditioning days", width: 12}, {head: "Usable from", width: 12},
		{head: "Planks left over", width: 10, format: "0.00"}}
	var rows [][]any
	for _, l := range v.lines {
		o := l.lot.Offer
		var packs any
		if n := l.packs(); n > 0 {
			packs = n
		}
		fast := len(l.lot.Uses) > 0 && v.s.Kinds[l.lot.Uses[0].Kind].FastGrown
		var dry any
		if l.lot.Conditioning > 0 {
			dry = l.lot.Conditioning
		}
		own, cell := l.own, offerCell(o)
		if l.lot.Stock {
			own = l.line.Goods
		}
		rows = append(rows, []any{l.number, o.Supplier, l.wood, l.itemName(), o.Grade, value(true, o.Plank.ThicknessMM), value(true, o.Plank.WidthMM), value(true, o.Plank.LengthMM), o.File, o.Sheet,
			cell, exactValue(l.quantity()), unitName(o.Unit), packs, exactValue(l.planks), exactValue(l.unitPrice()), o.Currency, l.priceWords(), exactValue(own),
			exactValue(l.line.Goods), exactValue(l.m3), v.perM3(l), exactValue(l.line.Freight), yesText(l.lot.Certified), yesText(fast), dayText(l.needed), dayText(l.orderBy), dry, dayText(l.lot.UsableFrom), exactValue(l.leftPlanks())})
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 3, 2)
}

// perM3 is what a line's freight by volume is per m³, in the supplier's currency; nothing for stock.
func (v *seasonView) perM3(l *seasonLine) any {
	if l.lot.Stock {
		return nil
	}
	per := new(big.Rat).Mul(l.lot.StepM3.Rat(), v.s.Suppliers[l.lot.Supplier].Rate.Rat())
	return exactValue(decimal.NewFromBigRat(per.Quo(l.lot.StepFreight.Rat(), per), 6))
}

// yesText is yes for a cell, or nothing.
func yesText(v bool) any {
	if v {
		return "yes"
	}
	return nil
}

// seasonCuts is a row for each kind of strip cut from a line.
func (b *workbook) seasonCuts(v *seasonView) {
	const sheet = "Cuts"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "Strips to cut from each line of the sheet Lines", b.headingStyle())
	fields := []field{{head: "Line", width: 6}, {head: "Wood", width: 22}, {head: "Plank mm", width: 20}, {head: "Strip width mm", width: 10, format: "0.##"}, {head: "Strip thickness mm", width: 11, format: "0.##"},
		{head: "Strip length mm", width: 10, format: "0.##"}, {head: "Needed by", width: 12}, {head: "Strips", width: 9, format: "#,##0"}, {head: "Strips per plank", width: 10, format: "0.00##"},
		{head: "Planks for them", width: 11, format: "0.00"}}
	var rows [][]any
	for _, l := range v.lines {
		for _, c := range l.line.Cuts {
			k, use := &v.s.Kinds[c.Kind], l.use(c.Kind)
			planks := decimal.NewFromInt(int64(c.Strips)).DivRound(use.Strips, 6)
			rows = append(rows, []any{l.number, l.wood, plank(l.lot.Offer.Plank), value(true, k.WidthMM), value(true, k.ThicknessMM), value(true, k.LengthMM), dayText(k.NeededBy), c.Strips,
				exactValue(use.Strips), exactValue(planks)})
		}
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 2, 2)
}

// seasonStrips is a row for each kind of strip that the boards need.
func (b *workbook) seasonStrips(v *seasonView) {
	const sheet = "Strips"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "Strips by wood and size, for all boards of the season, scrap included", b.headingStyle())
	fields := []field{{head: "Wood", width: 22}, {head: "Strip width mm", width: 10, format: "0.##"}, {head: "Strip thickness mm", width: 11, format: "0.##"}, {head: "Strip length mm", width: 10, format: "0.##"},
		{head: "Needed by", width: 12}, {head: "Strips", width: 10, format: "#,##0"}, {head: "m³", width: 10, format: "0.000"}, {head: "Fast-grown", width: 9}, {head: "For", width: 50, wrap: true}}
	var rows [][]any
	for _, k := range v.kinds {
		rows = append(rows, []any{k.kind.Wood, value(true, k.kind.WidthMM), value(true, k.kind.ThicknessMM), value(true, k.kind.LengthMM), dayText(k.kind.NeededBy), k.needed,
			value(true, float64(k.kind.VolumeMM3)*float64(k.needed)/1e9), yesText(k.kind.FastGrown), strings.Join(cleanAll(k.models), ", ")})
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 1, 2)
}

// seasonModels is a row for each model: its ride, today and planned, and its part of the plan.
func (b *workbook) seasonModels(v *seasonView) {
	const sheet, cents = "Models", "#,##0.00"
	b.sheet(sheet, true)
	cur := clean(v.s.Currency)
	b.words(sheet, 1, 1, "Each model today (the layout it keeps) and as planned; cost and shares are those of what is bought for it", b.headingStyle())
	fields := []field{{head: "Model", width: 20}, {head: "Recipe", width: 14}, {head: "Boards to build", width: 9}, {head: "Needed by", width: 12}, {head: "As today", width: 8},
		{head: "Core mass today g", width: 10, format: "0.00"}, {head: "Core mass g", width: 10, format: "0.00"}, {head: "EI today N·m²", width: 10, format: "0.00"}, {head: "EI N·m²", width: 10, format: "0.00"},
		{head: "Flex today N/mm", width: 10, format: "0.000"}, {head: "Flex N/mm", width: 10, format: "0.000"}, {head: "Cost of all boards " + cur, width: 13, format: cents},
		{head: "Cost of a board " + cur, width: 11, format: cents}, {head: "Fast-grown of the strips %", width: 12, format: "0.00"}, {head: "Certified of the strips %", width: 12, format: "0.00"},
		{head: "Ride held by", width: 60, wrap: true}}
	var rows [][]any
	for m, model := range v.s.Models {
		p, pt, part := model.Program, &v.p.Points[m], v.parts[m]
		row := []any{p.Model, dayText(model.Recipe), model.Build, dayText(neededBy(v.s, m)), yesText(v.isKept(m)), nil, value(true, pt.CoreMassG), nil, value(true, pt.EINM2), nil,
			value(pt.Figures.Flex.Known, flexOf(p.Board, pt)), exactValue(part.Cost), exactValue(pt.Cost), value(true, part.FastGrownPct), value(true, part.CertifiedPct), cmp.Or(model.Ride, "its targets")}
		if is := v.today[m]; is != nil {
			row[5], row[7], row[9] = value(true, is.CoreMassG), value(true, is.EINM2), value(is.Figures.Flex.Known, flexOf(p.Board, is))
		}
		rows = append(rows, row)
	}
	build, _ := v.boards()
	rows = append(rows, []any{"All models", nil, build, nil, nil, nil, nil, nil, nil, nil, nil, exactValue(v.p.Cost), nil, nil, nil, nil})
	b.table(sheet, 1, 2, fields, rows, func(i int) bool { return i == len(rows)-1 })
	b.freeze(sheet, 1, 2)
}

// seasonLayouts is a row for each run of equal strips of each model, from the centre line outward.
func (b *workbook) seasonLayouts(v *seasonView) {
	const sheet = "Layouts"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "The layout of each model, from the centre line outward; a centre-line position counts all its strips", b.headingStyle())
	fields := []field{{head: "Model", width: 20}, {head: "Boards to build", width: 9}, {head: "Needed by", width: 12}, {head: "Core mass g", width: 10, format: "0.00"}, {head: "EI N·m²", width: 10, format: "0.00"}, {head: "As today", width: 8},
		{head: "Position", width: 16}, {head: "Wood", width: 22}, {head: "Strips per side", width: 9}, {head: "Strips per board", width: 9}, {head: "Strip width mm", width: 9, format: "0.##"},
		{head: "Strip thickness mm", width: 10, format: "0.##"}, {head: "Strip length mm", width: 10, format: "0.##"}, {head: "Strips for all boards", width: 11, format: "#,##0"}}
	var rows [][]any
	first := map[int]bool{}
	for m, model := range v.s.Models {
		board := model.Program.Board
		pt := &v.p.Points[m]
		first[len(rows)] = true
		strips, i := board.Strips(), 0
		for _, run := range pt.Runs {
			pieces, position := 0, strips[i].Position
			for left := run.PerSide; left > 0; i++ {
				pieces += strips[i].Pieces
				left -= strips[i].PerSide
			}
			kind := v.kindOf(m, position, run.Wood)
			rows = append(rows, []any{model.Program.Model, model.Build, dayText(neededBy(v.s, m)), value(true, pt.CoreMassG), value(true, pt.EINM2), yesText(v.isKept(m)), run.Position, run.Wood, run.PerSide, pieces,
				value(true, kind.WidthMM), value(true, kind.ThicknessMM), value(true, kind.LengthMM), pieces * model.Build})
		}
	}
	b.table(sheet, 1, 2, fields, rows, func(i int) bool { return first[i] })
	b.freeze(sheet, 1, 2)
}

func (b *workbook) seasonStock(v *seasonView) {
	const sheet = "Stock"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "The yard's stock: used and left", b.headingStyle())
	cur := clean(v.s.Currency)
	fields := []field{{head: "Row of the Stock sheet", width: 10}, {head: "Wood", width: 24}, {head: "Plank mm", width: 22}, {head: "Planks used", width: 9}, {head: "Planks left", width: 9},
		{head: "Value each " + cur, width: 11, format: "0.00####"}, {head: "Value used " + cur, width: 12, format: "#,##0.00"}}
	var rows [][]any
	for i := range v.s.Lots {
		lot := &v.s.Lots[i]
		if !lot.Stock {
			continue
		}
		used, cost := decimal.Zero, decimal.Zero
		for _, l := range v.stock {
			if l.lot == lot {
				used, cost = l.line.Quantity, l.line.Goods
			}
		}
		rows = append(rows, []any{lot.Offer.Row, lot.Offer.Wood, plank(lot.Offer.Plank), exactValue(used), exactValue(lot.Offer.Available.Sub(used)), exactValue(lot.Offer.Price), exactValue(cost)})
	}
	b.table(sheet, 1, 2, fields, rows, nil)
	b.freeze(sheet, 2, 2)
}

// seasonYields spells out how many strips a plank gives, and with which figures of the shop.
func (b *workbook) seasonYields(v *seasonView) {
	const sheet = "Yields"
	b.sheet(sheet, false)
	b.words(sheet, 1, 1, "How many strips a plank gives, for each strip cut", b.headingStyle())
	row := b.table(sheet, 1, 2, []field{{head: "Shop setting", width: 18}, {head: "Value", width: 12, format: "0.##"}, {head: "Unit", width: 20}}, [][]any{
		{"kerf", value(true, v.Shop.KerfMM), "mm"}, {"planing per face", value(true, v.Shop.PlaningMM), "mm"}, {"edging loss", value(true, v.Shop.EdgingMM), "mm"},
		{"end trim", value(true, v.Shop.EndTrimMM), "mm"}, {"yield", value(true, v.Shop.YieldPct), "%"}}, nil)
	fields := []field{{head: "Line", width: 18}, {head: "Strip width mm", width: 12, format: "0.##"}, {head: "Strip", width: 20}, {head: "Strips per plank", width: 10, format: "0.00##"},
		{head: "How", width: 100, wrap: true}}
	var rows [][]any
	for _, l := range v.lines {
		for _, c := range l.line.Cuts {
			k, use := &v.s.Kinds[c.Kind], l.use(c.Kind)
			rows = append(rows, []any{l.number, value(true, k.WidthMM), kindSize(k), exactValue(use.Strips), strings.Join(append(append([]string{}, l.lot.Offer.Notes...), use.Steps...), "\n")})
		}
	}
	b.table(sheet, 1, row+1, fields, rows, nil)
}

func (b *workbook) seasonLeftOut(v *seasonView) {
	const sheet = "Not used"
	b.sheet(sheet, false)
	if len(v.s.LeftOut) == 0 {
		b.words(sheet, 1, 1, "Every offer and every line of stock could be used.", b.headingStyle())
		return
	}
	fields := []field{{head: "Supplier", width: 32}, {head: "Wood", width: 24}, {head: "File", width: 18}, {head: "Sheet", width: 14}, {head: "Cell", width: 7}, {head: "Could not be used", width: 20}, {head: "Why", width: 90, wrap: true}}
	var rows [][]any
	for _, l := range v.s.LeftOut {
		what := "at all"
		if l.Part {
			what = "for some strips"
		}
		rows = append(rows, []any{l.Offer.Supplier, l.Offer.Wood, l.Offer.File, l.Offer.Sheet, offerCell(l.Offer), what, l.Why})
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 0, 1)
}
