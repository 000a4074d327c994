package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"github.com/xuri/excelize/v2"
)

// An order sheet goes to a supplier as it is: it speaks of planks in the supplier's own words, units and money. Strips, boards, layouts, other
// suppliers and what the shop paid elsewhere are nobody's business there.

// OrderNames are the suppliers that get an order, by the index that [OrderWorkbook] and [OrderPage] take.
func OrderNames(r *Season) []string {
	var names []string
	for _, o := range r.Plan.Orders {
		names = append(names, r.Plan.Season.Suppliers[o.Supplier].Name)
	}
	return names
}

// An orderSheet is an order as its supplier reads it.
type orderSheet struct {
	Supplier, Currency string
	OrderBy            string
	Columns            []string
	Rows               []orderRow
	Totals             [][2]string // name and amount
	Notes              []string
}

type orderRow struct {
	No                             int
	Name, Grade, Moisture          string
	Thickness, Width, Length       float64
	Place                          string // of the price in their list
	Quantity                       string
	Unit                           string
	Packs                          int
	Planks                         string
	Price, Currency, PriceNote     string
	Amount                         string
	Certified                      bool
	NeededBy                       string
	quantity, planks, price, total float64
}

func newOrderSheet(v *seasonView, i int) *orderSheet {
	o := v.orders[i]
	s := &orderSheet{Supplier: clean(o.supplier.Name), Currency: clean(o.supplier.Currency), OrderBy: o.orderBy}
	for n, l := range o.lines {
		of := l.lot.Offer
		s.Rows = append(s.Rows, orderRow{No: n + 1, Name: l.itemName(), Grade: clean(of.Grade), Moisture: clean(of.Moisture), Thickness: of.Plank.ThicknessMM, Width: of.Plank.WidthMM,
			Length: of.Plank.LengthMM, Place: offerPlace(of), Quantity: l.quantity().String(), Unit: unitName(of.Unit), Packs: l.packs(), Planks: l.planks.String(),
			Price: sheetPrice(l.unitPrice()), Currency: clean(of.Currency), PriceNote: l.priceWords(), Amount: amount(l.own, 2), Certified: of.Certified, NeededBy: l.wanted,
			quantity: l.quantity().InexactFloat64(), planks: l.planks.InexactFloat64(), price: l.unitPrice().InexactFloat64(), total: l.own.InexactFloat64()})
	}
	s.Totals = [][2]string{{"Goods", amount(o.own.goods, 2)}}
	if o.own.perOrder.Sign() > 0 {
		s.Totals = append(s.Totals, [2]string{"Freight per order", amount(o.own.perOrder, 2)})
	}
	if o.own.byVolume.Sign() > 0 {
		s.Totals = append(s.Totals, [2]string{"Freight by volume", amount(o.own.byVolume, 2)})
	}
	s.Totals = append(s.Totals, [2]string{"Total", amount(o.own.total, 2)})
	s.Notes = []string{
		"Quantities are whole planks or whole packs of the sizes given; prices are those of your price list at the places given.",
		"Every amount is rounded to the cent. Please confirm prices, quantities and dates before delivery; tell us of any difference.",
	}
	if anyRow(s.Rows, func(r orderRow) bool { return r.Certified }) {
		s.Notes = append(s.Notes, "Certified lines: please state the certificate and the claim on delivery note and invoice.")
	}
	return s
}

func anyRow(rows []orderRow, is func(orderRow) bool) bool {
	for _, r := range rows {
		if is(r) {
			return true
		}
	}
	return false
}

// sizes is a plank's size as text.
func (r orderRow) Size() string {
	return size(r.Thickness) + " × " + size(r.Width) + " × " + size(r.Length)
}

// About is what the price list says of the goods besides their name.
func (r orderRow) About() []string {
	var about []string
	for _, s := range []string{r.Grade, r.Moisture} {
		if s != "" {
			about = append(about, s)
		}
	}
	if r.Certified {
		about = append(about, "certified")
	}
	return about
}

// OrderWorkbook writes the order to one supplier as an XLSX workbook.
func OrderWorkbook(w io.Writer, r *Season, i int) error {
	v, err := newSeasonView(r)
	if err != nil {
		return err
	}
	s := newOrderSheet(v, i)
	return writeWorkbook(w, "Order", func(b *workbook) {
		const sheet = "Order"
		b.sheet(sheet, true)
		b.words(sheet, 1, 1, "Order", b.titleStyle())
		b.words(sheet, 1, 2, "To: "+s.Supplier, b.headingStyle())
		row := 3
		for _, blank := range []string{"From:", "Order number:", "Date:", "Deliver to:"} {
			b.words(sheet, 1, row, blank, b.wrapStyle())
			row++
		}
		if s.OrderBy != "" {
			b.words(sheet, 1, row, "To be placed by "+s.OrderBy, b.headingStyle())
			row++
		}
		const cents = "#,##0.00"
		fields := []field{{head: "No.", width: 14}, {head: "Wood", width: 24}, {head: "Grade", width: 14}, {head: "Thickness mm", width: 10, format: "0.##"}, {head: "Width mm", width: 9, format: "0.##"},
			{head: "Length mm", width: 9, format: "0.##"}, {head: "In your price list", width: 36, wrap: true}, {head: "Quantity", width: 11, format: "0.######"}, {head: "Unit", width: 6},
			{head: "Packs", width: 7}, {head: "Planks", width: 9, format: "0.##"}, {head: "Price per unit", width: 10, format: "0.00####"}, {head: "Currency", width: 9}, {head: "Price breaks", width: 30, wrap: true},
			{head: "Amount " + s.Currency, width: 13, format: cents}, {head: "Certified", width: 9}, {head: "Needed by", width: 12}}
		var rows [][]any
		for _, l := range s.Rows {
			var packs any
			if l.Packs > 0 {
				packs = l.Packs
			}
			rows = append(rows, []any{l.No, l.Name, l.Grade, value(true, l.Thickness), value(true, l.Width), value(true, l.Length), l.Place, l.quantity, l.Unit, packs, l.planks, l.price, l.Currency,
				l.PriceNote, l.total, yesText(l.Certified), dayText(l.NeededBy)})
		}
		row = b.table(sheet, 1, row+1, fields, rows, nil)
		o := v.orders[i]
		for k, t := range s.Totals {
			b.words(sheet, 14, row, t[0], b.textStyle(false, k == len(s.Totals)-1))
			at := cellName(15, row)
			total := map[string]float64{"Goods": o.own.goods.InexactFloat64(), "Freight per order": o.own.perOrder.InexactFloat64(), "Freight by volume": o.own.byVolume.InexactFloat64(),
				"Total": o.own.total.InexactFloat64()}[t[0]]
			b.do(b.f.SetCellValue(sheet, at, total))
			b.do(b.f.SetCellStyle(sheet, at, at, b.numberStyle(cents, k == len(s.Totals)-1)))
			row++
		}
		row++
		for _, n := range s.Notes {
			row = b.paragraph(sheet, row, n, b.wrapStyle())
		}
		row++
		b.words(sheet, 1, row, "Ordered by: ______________________    Signature: ______________________", b.style("sign", &excelize.Style{Font: &excelize.Font{Family: typeface}}))
	})
}

//go:embed order.html
var orderHTML string

var orderTemplate = template.Must(template.New("order").Parse(orderHTML))

// OrderPage writes the order to one supplier as an HTML page to print: one file, no network, no script.
func OrderPage(w io.Writer, r *Season, i int) error {
	v, err := newSeasonView(r)
	if err != nil {
		return err
	}
	s := newOrderSheet(v, i)
	if err := orderTemplate.Execute(w, s); err != nil {
		return fmt.Errorf("order page: %w", err)
	}
	return nil
}
