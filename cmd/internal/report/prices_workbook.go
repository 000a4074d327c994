package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/sourcing"
)

// What the sheets hold of large jobs. A yield of every offer for every strip is what a buyer checks; of thousands, those that
// count.
const (
	maxYieldRows  = 20_000
	maxTierColumn = 8
	maxCutColumns = 60
)

// PricesWorkbook writes the comparison as an XLSX workbook: every offer beside the cell it stands in, the cheapest of each wood
// for each strip, how each strip was reckoned, the yard's stock, and every finding. The same bytes for the same input.
func PricesWorkbook(w io.Writer, c *Comparison) error {
	return writeWorkbook(w, "Prices of "+clean(c.Job), func(b *workbook) {
		b.priceOffers(c)
		b.cheapest(c)
		b.yields(c)
		b.stock(c)
		b.findings(c)
		b.priceFiles(c)
	})
}

// A priceField is a column of the offers: its heading and what it says of a line.
type priceField struct {
	field
	of   func(*priceLine) any
	keep bool // it stays when no line fills it
}

// quantityValue is a quantity as a number; nothing when it is 0, which stands for none.
func quantityValue(d decimal.Decimal) any {
	if d.IsZero() {
		return nil
	}
	return d.InexactFloat64()
}

func textValue(s string) any {
	if s == "" {
		return nil
	}
	return s
}

func yesValue(v bool) any {
	if v {
		return "yes"
	}
	return nil
}

func dayValue(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t.Format(time.DateOnly)
}

// whereFields say which wood a line is and where it stands.
var whereFields = []priceField{
	{field: field{head: "Wood", width: 24}, of: func(l *priceLine) any { return l.offer.Wood }},
	{field: field{head: "Supplier", width: 30}, of: func(l *priceLine) any { return l.offer.Supplier }},
	{field: field{head: "File", width: 18}, of: func(l *priceLine) any { return l.offer.File }},
	{field: field{head: "Sheet", width: 14}, of: func(l *priceLine) any { return l.offer.Sheet }},
	{field: field{head: "Cell", width: 7}, of: func(l *priceLine) any { return offerCell(l.offer) }},
}

var plankFields = []priceField{
	{field: field{head: "Thickness mm", width: 10, format: "0.0##"}, of: func(l *priceLine) any { return value(true, l.offer.Plank.ThicknessMM) }},
	{field: field{head: "Width mm", width: 9, format: "0.0##"}, of: func(l *priceLine) any { return value(true, l.offer.Plank.WidthMM) }},
	{field: field{head: "Length mm", width: 9, format: "0.0##"}, of: func(l *priceLine) any { return value(true, l.offer.Plank.LengthMM) }},
}

// perM3Field is the price of a m³ in job money, of the price (0) or of a break.
func (c *Comparison) perM3Field(head string, tier int) priceField {
	return priceField{field: field{head: head, width: 11, format: "0.00"}, of: func(l *priceLine) any {
		if tier >= len(l.perM3) {
			return nil
		}
		v := l.perM3[tier].InexactFloat64()
		if tier == 0 && l.cheapestPerM3 {
			return measured{v, "0.00", true}
		}
		return v
	}}
}

// stripFields are a column for each cut with a strip's cost, the cheapest to buy of a wood set off; with few cuts also the
// strips in a unit of the price.
func (c *Comparison) stripFields() []priceField {
	var out []priceField
	if len(c.Cuts) > maxCutColumns {
		return nil
	}
	for k := range c.Cuts {
		out = append(out, priceField{field: field{head: c.stripHead(k), width: 14, format: "0.0000"}, of: func(l *priceLine) any {
			s := l.strips[k]
			if !s.ok() {
				return nil
			}
			return measured{s.cost.InexactFloat64(), "0.0000", s.cheapest}
		}, keep: true})
		if len(c.Cuts) <= maxTierColumn {
			out = append(out, priceField{field: field{head: fmt.Sprintf("Strips per unit of the price, no. %d", k+1), width: 14, format: "0.00"}, of: func(l *priceLine) any {
				if !l.strips[k].ok() {
					return nil
				}
				return quantityValue(l.strips[k].perUnit)
			}, keep: true})
		}
	}
	return out
}

// stripHead is the heading of a cut's costs, with the cut's number, by which other sheets speak of it.
func (c *Comparison) stripHead(k int) string {
	return fmt.Sprintf("%s a strip %s (no. %d)", clean(c.Currency), cutName(c.Cuts[k]), k+1)
}

func (b *workbook) priceTable(sheet string, fields []priceField, lines []*priceLine) {
	// What no line says takes no room.
	fields = slices.DeleteFunc(fields, func(f priceField) bool {
		return !f.keep && !slices.ContainsFunc(lines, func(l *priceLine) bool { return f.of(l) != nil })
	})
	heads := make([]field, len(fields))
	for i, f := range fields {
		heads[i] = f.field
	}
	rows := make([][]any, len(lines))
	for i, l := range lines {
		for _, f := range fields {
			rows[i] = append(rows[i], f.of(l))
		}
	}
	b.table(sheet, 1, 1, heads, rows, nil)
	b.freeze(sheet, 1, 1)
}

func (c *Comparison) linesOf(stock bool) []*priceLine {
	var out []*priceLine
	for i := range c.lines {
		if c.lines[i].stock == stock {
			out = append(out, &c.lines[i])
		}
	}
	return out
}

// cheapestFor says in words what a line is the cheapest of its wood for.
func (c *Comparison) cheapestFor(l *priceLine) any {
	var words []string
	if l.cheapestPerM3 {
		words = append(words, "per m³")
	}
	switch n := l.marked(isCheapest); {
	case n == 0:
	case n == len(l.strips):
		words = append(words, "every strip")
	case !c.oneBlank():
		words = append(words, fmt.Sprintf("%d of %d strips", n, len(l.strips)))
	default:
		var widths []string
		for k, s := range l.strips {
			if s.cheapest {
				widths = append(widths, trimmed(c.Cuts[k].StripWidthMM))
			}
		}
		words = append(words, list(widths, "and")+" mm strips")
	}
	return textValue(strings.Join(words, "; "))
}

func (b *workbook) priceOffers(c *Comparison) {
	const sheet = "Offers"
	b.sheet(sheet, false)
	lines := c.linesOf(false)
	if len(lines) == 0 {
		b.words(sheet, 1, 1, "No price file gave an offer.", b.headingStyle())
		return
	}
	money := clean(c.Currency)
	fields := slices.Concat(whereFields, []priceField{
		{field: field{head: "Cheapest of its wood", width: 32}, of: c.cheapestFor},
		c.perM3Field(money+" per m³", 0),
	}, c.stripFields(), []priceField{
		{field: field{head: "Wood as named there", width: 22}, of: func(l *priceLine) any { return l.offer.Name }},
		{field: field{head: "Grade", width: 12}, of: func(l *priceLine) any { return textValue(l.offer.Grade) }},
		{field: field{head: "Moisture", width: 11}, of: func(l *priceLine) any { return textValue(l.offer.Moisture) }},
	}, plankFields, []priceField{
		{field: field{head: "Price", width: 10, format: "0.00##"}, of: func(l *priceLine) any { return l.offer.Price.InexactFloat64() }},
		{field: field{head: "Currency", width: 9}, of: func(l *priceLine) any { return textValue(l.offer.Currency) }},
		{field: field{head: "Price is per", width: 14}, of: func(l *priceLine) any { return strings.TrimPrefix(per(l.offer.Unit), "per ") }},
		{field: field{head: "Least quantity", width: 10, format: "0.###"}, of: func(l *priceLine) any { return quantityValue(l.offer.MinQuantity) }},
	})
	for tier := range tiers(lines) {
		n := fmt.Sprintf("Price %d", tier+2)
		of := func(cell func(sourcing.Break) any) func(*priceLine) any {
			return func(l *priceLine) any {
				if tier >= len(l.offer.Breaks) {
					return nil
				}
				return cell(l.offer.Breaks[tier])
			}
		}
		fields = append(fields,
			priceField{field: field{head: n + " from quantity", width: 10, format: "0.###"}, of: of(func(b sourcing.Break) any { return b.From.InexactFloat64() })},
			priceField{field: field{head: n, width: 10, format: "0.00##"}, of: of(func(b sourcing.Break) any { return b.Price.InexactFloat64() })},
			c.perM3Field(n+", "+money+" per m³", tier+1))
	}
	fields = append(fields, []priceField{
		{field: field{head: "Prices hold for", width: 16}, of: func(l *priceLine) any {
			switch {
			case len(l.offer.Breaks) == 0:
				return nil
			case l.offer.Incremental:
				return "the part above"
			}
			return "the whole order"
		}},
		{field: field{head: "Pack size", width: 9, format: "0.###"}, of: func(l *priceLine) any { return quantityValue(l.offer.PackSize) }},
		{field: field{head: "Available", width: 10, format: "0.###"}, of: func(l *priceLine) any {
			if !l.offer.HasAvailable {
				return nil
			}
			return l.offer.Available.InexactFloat64()
		}},
		{field: field{head: "Certified", width: 9}, of: func(l *priceLine) any { return yesValue(l.offer.Certified) }},
		{field: field{head: "Lead time days", width: 9}, of: func(l *priceLine) any { return l.offer.LeadTimeDays }},
		{field: field{head: "Ready on", width: 11}, of: func(l *priceLine) any { return dayValue(l.offer.ReadyOn) }},
		{field: field{head: "Valid until", width: 11}, of: func(l *priceLine) any { return dayValue(l.offer.ValidUntil) }},
		{field: field{head: "Distance km", width: 9, format: "0.###"}, of: func(l *priceLine) any {
			return value(l.offer.HasDistance, l.offer.DistanceKM.InexactFloat64())
		}},
		{field: field{head: "Yield of the grade %", width: 10, format: "0.0"}, of: func(l *priceLine) any { return value(l.offer.YieldPct > 0, l.offer.YieldPct) }},
		{field: field{head: "How the sheet was read", width: 60, wrap: true}, of: func(l *priceLine) any { return textValue(strings.Join(l.offer.Notes, "\n")) }},
	}...)
	b.priceTable(sheet, fields, lines)
}

// tiers is the most breaks of any line, as many as have columns.
func tiers(lines []*priceLine) int {
	n := 0
	for _, l := range lines {
		n = max(n, len(l.offer.Breaks))
	}
	return min(n, maxTierColumn)
}

// cheapest is a row for each wood and strip: the cheapest to buy, and what a front reckons with.
func (b *workbook) cheapest(c *Comparison) {
	const sheet = "Cheapest"
	b.sheet(sheet, false)
	fields := []field{{head: "Strip no.", width: 7}, {head: "Strip width mm", width: 9, format: "0.0##"}, {head: "Blank thickness mm", width: 10, format: "0.0##"},
		{head: "Blank length mm", width: 10, format: "0.0##"}, {head: "Wood", width: 24}, {head: "Cheapest to buy, " + clean(c.Currency) + " a strip", width: 14, format: "0.0000"},
		{head: "Supplier", width: 30}, {head: "File", width: 18}, {head: "Sheet", width: 14}, {head: "Cell", width: 7},
		{head: "Front reckons with, " + clean(c.Currency) + " a strip", width: 14, format: "0.0000"}, {head: "which is from", width: 40},
		{head: "Models", width: 60, wrap: true}}
	var rows [][]any
	for k, cut := range c.Cuts {
		for i := 0; i < len(c.lines); {
			wood := c.lines[i].offer.Wood
			var bought, used *priceLine
			for ; i < len(c.lines) && c.lines[i].offer.Wood == wood; i++ {
				if c.lines[i].strips[k].cheapest {
					bought = &c.lines[i]
				}
				if c.lines[i].strips[k].used {
					used = &c.lines[i]
				}
			}
			if used == nil { // nothing gives this strip
				continue
			}
			row := []any{k + 1, value(true, cut.StripWidthMM), value(true, cut.Blank.ThicknessMM), value(true, cut.Blank.LengthMM), wood,
				nil, nil, nil, nil, nil, used.strips[k].cost.InexactFloat64(), used.offer.Supplier + ": " + offerPlace(used.offer), list(cleanAll(cut.Models), "and")}
			if used == bought {
				row[11] = "the same"
			}
			if bought != nil {
				row[5] = bought.strips[k].cost.InexactFloat64()
				for j, f := range whereFields[1:] {
					row[6+j] = f.of(bought)
				}
			}
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		b.words(sheet, 1, 1, "No offer and no stock gives a strip of any model.", b.headingStyle())
		return
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 2, 1)
}

// yields spell out how each line gives each strip, or why it does not.
func (b *workbook) yields(c *Comparison) {
	const sheet = "Yield"
	b.sheet(sheet, false)
	row := 1
	some := len(c.lines)*len(c.Cuts) > maxYieldRows
	if some {
		b.words(sheet, 1, 1, "Only the cheapest of each wood for each strip: all would be too many rows for a sheet. One model alone (--model) has more.", b.headingStyle())
		row = 3
	}
	fields := []field{}
	for _, f := range whereFields {
		fields = append(fields, f.field)
	}
	fields = append(fields, field{head: "Strip no.", width: 7}, field{head: "Strip", width: 20}, field{head: "Strips from a plank", width: 10, format: "0.0###"},
		field{head: "Strips per unit of the price", width: 11, format: "0.00##"}, field{head: clean(c.Currency) + " a strip", width: 10, format: "0.0000"},
		field{head: "Mark", width: 16}, field{head: "How it is reckoned, or why there is none", width: 74, wrap: true})
	var rows [][]any
	for i := range c.lines {
		l := &c.lines[i]
		for k, s := range l.strips {
			if some && !s.cheapest && !s.used {
				continue
			}
			var r []any
			for _, f := range whereFields {
				r = append(r, f.of(l))
			}
			r = append(r, k+1, cutName(c.Cuts[k]))
			if !s.ok() {
				r = append(r, nil, nil, nil, nil, s.why)
			} else {
				var marks []string
				if s.cheapest {
					marks = append(marks, "cheapest")
				}
				if s.used {
					marks = append(marks, "front")
				}
				r = append(r, s.perPlank.InexactFloat64(), quantityValue(s.perUnit), measured{s.cost.InexactFloat64(), "0.0000", s.cheapest}, textValue(strings.Join(marks, ", ")),
					strings.Join(c.steps(l, k), "\n"))
			}
			rows = append(rows, r)
		}
	}
	if len(rows) == 0 {
		b.words(sheet, 1, row, "There is no offer and no stock.", b.headingStyle())
		return
	}
	b.table(sheet, 1, row, fields, rows, nil)
	b.freeze(sheet, 1, row)
}

func (b *workbook) stock(c *Comparison) {
	const sheet = "Stock"
	b.sheet(sheet, false)
	lines := c.linesOf(true)
	if len(lines) == 0 {
		b.words(sheet, 1, 1, "The job book names no stock.", b.headingStyle())
		return
	}
	money := clean(c.Currency)
	b.priceTable(sheet, slices.Concat([]priceField{
		whereFields[0],
		{field: field{head: "Row of the Stock sheet", width: 9}, of: func(l *priceLine) any { return l.offer.Row }},
	}, plankFields, []priceField{
		{field: field{head: "Planks", width: 9}, of: func(l *priceLine) any { return l.offer.Available.InexactFloat64() }},
		{field: field{head: "Value each " + money, width: 10, format: "0.00##"}, of: func(l *priceLine) any { return l.offer.Price.InexactFloat64() }},
		{field: field{head: "Front takes it for strips", width: 14}, of: func(l *priceLine) any { return textValue(countOf(l.marked(isUsed), len(l.strips))) }},
		c.perM3Field(money+" per m³", 0),
	}, c.stripFields()), lines)
}

func (b *workbook) findings(c *Comparison) {
	const sheet = "Findings"
	b.sheet(sheet, false)
	if len(c.found) == 0 {
		b.words(sheet, 1, 1, "No price file has a finding.", b.headingStyle())
		return
	}
	var rows [][]any
	for _, f := range c.found {
		kind := "no offer"
		if f.Warning {
			kind = "warning"
		}
		rows = append(rows, []any{f.File, textValue(f.Sheet), textValue(f.Cell()), kind, f.Problem, textValue(f.Advice)})
	}
	b.table(sheet, 1, 1, []field{{head: "File", width: 20}, {head: "Sheet", width: 16}, {head: "Cell", width: 8}, {head: "Kind", width: 10},
		{head: "What is there", width: 70, wrap: true}, {head: "What to do", width: 60, wrap: true}}, rows, nil)
	b.freeze(sheet, 0, 1)
}

func (b *workbook) priceFiles(c *Comparison) {
	const sheet = "Files"
	b.sheet(sheet, false)
	if len(c.Files) == 0 {
		b.words(sheet, 1, 1, "The job book names no suppliers.", b.headingStyle())
		return
	}
	var rows [][]any
	for _, f := range c.Files {
		row := []any{f.Supplier, f.File, "read", f.Rows.Data, len(f.Offers), f.Rows.Offers, f.Rows.Findings}
		if f.Unreadable {
			row = []any{f.Supplier, f.File, "could not be read: see Findings", nil, nil, nil, nil}
		}
		rows = append(rows, row)
	}
	b.table(sheet, 1, 1, []field{{head: "Supplier", width: 32}, {head: "Price file", width: 24}, {head: "State", width: 28}, {head: "Lines of goods", width: 10},
		{head: "Offers", width: 10}, {head: "Lines with an offer", width: 10}, {head: "Lines with a finding instead", width: 12}}, rows, nil)
	b.freeze(sheet, 1, 1)
}
