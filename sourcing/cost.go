package sourcing

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// Rates are job money per unit of a currency, by currency code; the job's own currency stands in it with 1.
type Rates map[string]decimal.Decimal

// A StockLine is lumber in the yard, from the job book.
type StockLine struct {
	Wood      string // species id
	Plank     Plank
	Planks    int
	ValueEach decimal.Decimal // of a plank, in the job's currency
	Currency  string          // the job's, for show
	File      string          // the job book
	Sheet     string
	Row       int
}

// YardStock stands for the supplier where a strip comes from stock.
const YardStock = "yard stock"

// offer is the stock line as an offer of pieces. It is always in the job's own money.
func (s StockLine) offer() *Offer {
	return &Offer{Supplier: YardStock, File: s.File, Sheet: s.Sheet, Row: s.Row, Wood: s.Wood, Name: s.Wood, Plank: s.Plank,
		Price: s.ValueEach, Currency: s.Currency, Unit: PerPiece,
		Available: decimal.NewFromInt(int64(s.Planks)), HasAvailable: true}
}

// A Rejection is an offer or stock line of the wood that cannot give the strip, and why.
type Rejection struct {
	Offer *Offer
	Why   string
}

// Cheapest is the cheapest way to one strip of a wood for a blank, among offers and stock, the stock at its value; nil when
// there is none. A strip's cost is the plank's price in job money over its usable strips, half up at the fourth decimal,
// and that rounded cost decides. Of equal costs stock comes first, then supplier, file, sheet, row and column decide. With
// preferCertified a certified offer goes before any other, however cheap.
//
// Every offer of the wood that cannot be used comes back with its reason, in that same order. Minimum quantities, packs
// and freight belong to orders and play no part in the price of one strip; what is sold out does.
func Cheapest(offers []Offer, stock []StockLine, wood string, stripWidthMM float64, b Blank, s Shop, rates Rates, preferCertified bool) (*StripPrice, []Rejection) {
	var lines []*StripPrice
	for i := range stock {
		if stock[i].Wood == wood {
			lines = append(lines, &StripPrice{Offer: stock[i].offer(), Stock: true})
		}
	}
	for i := range offers {
		if offers[i].Wood == wood {
			lines = append(lines, &StripPrice{Offer: &offers[i]})
		}
	}
	slices.SortStableFunc(lines, byPlace)
	var best *StripPrice
	var rejected []Rejection
	for _, l := range lines {
		if err := l.reckon(stripWidthMM, b, s, rates); err != nil {
			rejected = append(rejected, Rejection{l.Offer, err.Error()})
			continue
		}
		if best == nil || preferCertified && l.Offer.Certified && !best.Offer.Certified ||
			(!preferCertified || l.Offer.Certified == best.Offer.Certified) && l.Cost.LessThan(best.Cost) {
			best = l
		}
	}
	return best, rejected
}

// byPlace orders stock before offers, and both by where they stand.
func byPlace(a, b *StripPrice) int {
	if a.Stock != b.Stock {
		if a.Stock {
			return -1
		}
		return 1
	}
	x, y := a.Offer, b.Offer
	return cmp.Or(strings.Compare(x.Supplier, y.Supplier), strings.Compare(x.File, y.File), strings.Compare(x.Sheet, y.Sheet),
		cmp.Compare(x.Row, y.Row), cmp.Compare(x.Col, y.Col))
}

// reckon fills in the strips per plank, the cost of one and the steps, or says why the line cannot be used.
func (p *StripPrice) reckon(stripWidthMM float64, b Blank, s Shop, rates Rates) error {
	o := p.Offer
	if o.HasAvailable && o.Available.Sign() <= 0 {
		return errors.New("none is available")
	}
	rate := decimal.NewFromInt(1)
	if !p.Stock {
		var ok bool
		if rate, ok = rates[o.Currency]; !ok || rate.Sign() <= 0 {
			return fmt.Errorf("no rate for %s: write \"rate %s\" on the Shop sheet of the job book", o.Currency, o.Currency)
		}
	}
	y, err := StripYield(o, stripWidthMM, b, s)
	if err != nil {
		return err
	}
	plank, err := o.PlankCost()
	if err != nil {
		return err
	}
	job := plank.Mul(rate).Round(places)
	p.StripsPerUnit = y.Strips
	p.Cost = job.DivRound(y.Strips, 4)
	p.Steps = slices.Concat(o.Notes, y.Steps, o.plankSteps(plank))
	if !rate.Equal(decimal.NewFromInt(1)) {
		p.Steps = append(p.Steps, fmt.Sprintf("in job money: %s × %s = %s", plank, rate, job))
	}
	p.Steps = append(p.Steps, fmt.Sprintf("cost of a strip: %s ÷ %s = %s", job, y.Strips, p.Cost.StringFixed(4)))
	return nil
}

// plankSteps spells out a plank's price.
func (o *Offer) plankSteps(cost decimal.Decimal) []string {
	if o.Unit == PerPiece {
		return []string{strings.TrimSpace(fmt.Sprintf("price of a plank: %s %s", cost, o.Currency))}
	}
	n, err := o.Plank.in(o.Unit, o.NominalMM)
	if err != nil { // PlankCost has reckoned with the same figures
		panic(err)
	}
	quantity := decimal.NewFromBigRat(n, 9)
	size := o.Plank.String()
	if o.Unit == PerBoardFoot || o.Unit == PerMBF {
		counted := o.Plank
		counted.ThicknessMM = max(cmp.Or(o.NominalMM, o.Plank.ThicknessMM), mmPerInch)
		size = counted.String() + " (nominal thickness, at least 1 in)"
	}
	steps := []string{
		fmt.Sprintf("plank: %s = %s %s", size, quantity, o.Unit),
		fmt.Sprintf("price of a plank: %s %s per %s × %s = %s %s", o.Price, o.Currency, o.Unit, quantity, cost, o.Currency),
	}
	for _, b := range o.Breaks {
		steps = append(steps, fmt.Sprintf("not reckoned here: from %s %s on %s %s per %s", b.From, o.Unit, b.Price, o.Currency, o.Unit))
	}
	return steps
}
