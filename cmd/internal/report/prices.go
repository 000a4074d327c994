package report

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/sourcing"
)

// Prices are a job's price sheets and yard as read, and the strips they are compared by.
type Prices struct {
	Job      string // file of the job book
	Model    string // the one asked for; empty: every model
	Currency string // the job's
	Shop     sourcing.Shop
	Rates    sourcing.Rates
	Files    []PriceFile
	Stock    []sourcing.StockLine
	Cuts     []Cut
}

// A PriceFile is what one supplier's price file gave.
type PriceFile struct {
	Supplier, File string
	Unreadable     bool // nothing could be read from it; Findings say why
	Offers         []sourcing.Offer
	Rows           sourcing.Rows
	Findings       sourcing.Findings
}

// A Cut is a strip that some models need, and so what lumber is compared by.
type Cut struct {
	Models          []string
	Blank           sourcing.Blank
	StripWidthMM    float64
	PreferCertified bool // the models hold a share of certified wood, so a front takes certified offers first
}

// A Comparison is every offer and stock line with what a strip of each cut costs from it.
type Comparison struct {
	*Prices
	lines []priceLine // by wood; in one wood the yard first, then the cheapest per m³
	found sourcing.Findings
	rows  sourcing.Rows
	read  int // files that were read
}

// A priceLine is an offer, or a line of the yard's stock shown as one.
type priceLine struct {
	offer         *sourcing.Offer
	stock         bool
	perM3         []decimal.Decimal // job money, of the price and then of its breaks; nil: no rate for the currency
	cheapestPerM3 bool              // of its wood, among offers that give a strip
	strips        []cutPrice        // by cut
}

// A cutPrice is what one strip costs from a line, or why there is none.
type cutPrice struct {
	perPlank decimal.Decimal // usable strips
	perUnit  decimal.Decimal // usable strips in one unit of the price
	cost     decimal.Decimal // of one, in job money
	why      string          // when there is none
	cheapest bool            // to buy, of its wood for this cut
	used     bool            // what a front reckons with for this cut
}

func (c cutPrice) ok() bool { return c.why == "" }

// Compare prices every line for every cut. Which line is cheapest is [sourcing.Cheapest]'s to say, so that a front and a price
// list never differ. The error is the context's, when that ends first.
func Compare(ctx context.Context, p *Prices) (*Comparison, error) {
	c := &Comparison{Prices: p}
	var offers []sourcing.Offer
	for _, f := range p.Files {
		offers = append(offers, f.Offers...)
		c.found = append(c.found, f.Findings...)
		c.rows.Data += f.Rows.Data
		c.rows.Offers += f.Rows.Offers
		c.rows.Findings += f.Rows.Findings
		if !f.Unreadable {
			c.read++
		}
	}
	c.found.Sort()
	slices.SortStableFunc(offers, func(a, b sourcing.Offer) int { return strings.Compare(a.Wood, b.Wood) })
	stock := slices.Clone(p.Stock)
	slices.SortStableFunc(stock, func(a, b sourcing.StockLine) int { return strings.Compare(a.Wood, b.Wood) })
	for len(offers) > 0 || len(stock) > 0 {
		wood := ""
		switch {
		case len(stock) == 0 || len(offers) > 0 && offers[0].Wood < stock[0].Wood:
			wood = offers[0].Wood
		default:
			wood = stock[0].Wood
		}
		n := 0
		for n < len(offers) && offers[n].Wood == wood {
			n++
		}
		k := 0
		for k < len(stock) && stock[k].Wood == wood {
			k++
		}
		lines, err := c.woodLines(ctx, wood, offers[:n], stock[:k])
		if err != nil {
			return nil, err
		}
		c.lines = append(c.lines, lines...)
		offers, stock = offers[n:], stock[k:]
	}
	return c, nil
}

// woodLines are the lines of one wood.
func (c *Comparison) woodLines(ctx context.Context, wood string, offers []sourcing.Offer, stock []sourcing.StockLine) ([]priceLine, error) {
	var lines []priceLine
	for i := range stock {
		lines = append(lines, c.line(stockOffer(stock[i]), true, nil, stock[i:i+1]))
	}
	for i := range offers {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		lines = append(lines, c.line(&offers[i], false, offers[i:i+1], nil))
	}
	slices.SortStableFunc(lines, func(a, b priceLine) int {
		if a.stock != b.stock {
			if a.stock {
				return -1
			}
			return 1
		}
		if d := cmp.Compare(len(b.perM3), len(a.perM3)); (len(a.perM3) == 0 || len(b.perM3) == 0) && d != 0 {
			return d // what has no price per m³ stands last
		}
		if len(a.perM3) > 0 {
			if d := a.perM3[0].Cmp(b.perM3[0]); d != 0 {
				return d
			}
		}
		x, y := a.offer, b.offer
		return cmp.Or(strings.Compare(x.Supplier, y.Supplier), strings.Compare(x.File, y.File), strings.Compare(x.Sheet, y.Sheet),
			cmp.Compare(x.Row, y.Row), cmp.Compare(x.Col, y.Col))
	})
	if i := slices.IndexFunc(lines, func(l priceLine) bool { return !l.stock && len(l.perM3) > 0 && l.gives() }); i >= 0 {
		lines[i].cheapestPerM3 = true
	}
	for k, cut := range c.Cuts {
		// A front takes one price among offers and stock; a buyer wants the best of the offers, whatever lies in the yard.
		able := contenders(lines, k)
		bought, _ := c.cheapest(able, nil, wood, cut, false)
		used, _ := c.cheapest(able, stock, wood, cut, cut.PreferCertified)
		for i := range lines {
			l := &lines[i]
			l.strips[k].cheapest = bought != nil && !l.stock && samePlace(bought.Offer, l.offer)
			l.strips[k].used = used != nil && used.Stock == l.stock && samePlace(used.Offer, l.offer)
		}
	}
	return lines, nil
}

// contenders are the offers that can be the cheapest for a cut, certified ones first or not: those of the least cost, and the
// certified ones of the least cost among these. Pricing all of them together once more would take as long as all before.
func contenders(lines []priceLine, cut int) []sourcing.Offer {
	var out []sourcing.Offer
	least := func(of func(*priceLine) bool) {
		var best *decimal.Decimal
		for _, write := range []bool{false, true} {
			for i := range lines {
				l := &lines[i]
				s := &l.strips[cut]
				switch {
				case l.stock || !s.ok() || !of(l):
				case !write && (best == nil || s.cost.LessThan(*best)):
					best = &s.cost
				case write && s.cost.Equal(*best):
					out = append(out, *l.offer)
				}
			}
		}
	}
	least(func(*priceLine) bool { return true })
	least(func(l *priceLine) bool { return l.offer.Certified })
	return out
}

// samePlace tells whether two lines are one: they stand in the same cell, for the same wood. A cell may name several woods.
func samePlace(a, b *sourcing.Offer) bool {
	return a.Supplier == b.Supplier && a.File == b.File && a.Sheet == b.Sheet && a.Row == b.Row && a.Col == b.Col && a.Wood == b.Wood
}

func (c *Comparison) cheapest(offers []sourcing.Offer, stock []sourcing.StockLine, wood string, cut Cut, certifiedFirst bool) (*sourcing.StripPrice, []sourcing.Rejection) {
	return sourcing.Cheapest(offers, stock, wood, cut.StripWidthMM, cut.Blank, c.Shop, c.Rates, certifiedFirst)
}

// line prices one line for every cut. Its steps are not kept: see [Comparison.steps].
func (c *Comparison) line(o *sourcing.Offer, inYard bool, offers []sourcing.Offer, stock []sourcing.StockLine) priceLine {
	l := priceLine{offer: o, stock: inYard, strips: make([]cutPrice, len(c.Cuts))}
	if rate, ok := c.rate(o, inYard); ok {
		l.perM3 = perM3(o, rate)
	}
	units := plankUnits(o)
	for k, cut := range c.Cuts {
		price, rejected := c.cheapest(offers, stock, o.Wood, cut, false)
		s := &l.strips[k]
		if price == nil {
			s.why = "it gives no strip"
			if len(rejected) > 0 {
				s.why = rejected[0].Why
			}
			continue
		}
		s.perPlank, s.cost = price.StripsPerUnit, price.Cost
		if units.Sign() > 0 {
			s.perUnit = s.perPlank.DivRound(units, 4)
		}
	}
	return l
}

// steps are how a strip's cost from a line was reckoned, for a pocket calculator; nothing when the line gives none.
func (c *Comparison) steps(l *priceLine, cut int) []string {
	if !l.strips[cut].ok() {
		return nil
	}
	var price *sourcing.StripPrice
	if l.stock {
		i := slices.IndexFunc(c.Stock, func(s sourcing.StockLine) bool { return s.Row == l.offer.Row && s.Sheet == l.offer.Sheet })
		price, _ = c.cheapest(nil, c.Stock[i:i+1], l.offer.Wood, c.Cuts[cut], false)
	} else {
		price, _ = c.cheapest([]sourcing.Offer{*l.offer}, nil, l.offer.Wood, c.Cuts[cut], false)
	}
	return reckoning(price)
}

// rate is the job's money for one of a line's currency; stock is valued in the job's own.
func (c *Comparison) rate(o *sourcing.Offer, inYard bool) (decimal.Decimal, bool) {
	if inYard {
		return decimal.NewFromInt(1), true
	}
	rate, ok := c.Rates[o.Currency]
	return rate, ok && rate.Sign() > 0
}

// perM3 are the prices of one m³ of an offer's wood in job money, its breaks' after its first, half up at the fourth decimal;
// nil when the plank has no full size.
func perM3(o *sourcing.Offer, rate decimal.Decimal) []decimal.Decimal {
	if _, err := (&sourcing.Offer{Plank: o.Plank, Unit: sourcing.PerM3}).PlankCost(); err != nil {
		return nil
	}
	out := []decimal.Decimal{o.PricePerM3().Mul(rate).Round(4)}
	for _, b := range o.Breaks {
		tier := *o
		tier.Price = b.Price
		out = append(out, tier.PricePerM3().Mul(rate).Round(4))
	}
	return out
}

// plankUnits is how many units of an offer's price one plank of it is, to twelve decimals: what a plank costs at a million per
// unit, which is reckoned to six. Zero when the plank's size does not tell.
func plankUnits(o *sourcing.Offer) decimal.Decimal {
	million := *o
	million.Price = decimal.New(1, 6)
	units, err := million.PlankCost()
	if err != nil {
		return decimal.Zero
	}
	return units.Shift(-6)
}

// stockOffer shows a line of the yard's stock as an offer of pieces, at its value.
func stockOffer(s sourcing.StockLine) *sourcing.Offer {
	return &sourcing.Offer{Supplier: sourcing.YardStock, File: s.File, Sheet: s.Sheet, Row: s.Row, Wood: s.Wood, Name: s.Wood, Plank: s.Plank,
		Price: s.ValueEach, Currency: s.Currency, Unit: sourcing.PerPiece, Available: decimal.NewFromInt(int64(s.Planks)), HasAvailable: true}
}

// oneBlank tells whether every cut is for the same blank, so that a strip's width alone names it.
func (c *Comparison) oneBlank() bool {
	return !slices.ContainsFunc(c.Cuts, func(k Cut) bool { return k.Blank != c.Cuts[0].Blank || k.PreferCertified != c.Cuts[0].PreferCertified })
}

// cutName is a strip as its width, height and length.
func cutName(k Cut) string {
	return plank(sourcing.Plank{ThicknessMM: k.StripWidthMM, WidthMM: k.Blank.ThicknessMM, LengthMM: k.Blank.LengthMM})
}

// spread is the least and the most that a strip of any cut costs from a line, and for how many cuts it gives none.
func (l *priceLine) spread() (low, high decimal.Decimal, none int) {
	first := true
	for _, s := range l.strips {
		switch {
		case !s.ok():
			none++
		case first:
			low, high, first = s.cost, s.cost, false
		default:
			low, high = decimal.Min(low, s.cost), decimal.Max(high, s.cost)
		}
	}
	return low, high, none
}

// marked counts the cuts for which a line is marked.
func (l *priceLine) marked(mark func(cutPrice) bool) int {
	n := 0
	for _, s := range l.strips {
		if mark(s) {
			n++
		}
	}
	return n
}

// gives tells whether a line gives a strip of any cut.
func (l *priceLine) gives() bool { return slices.ContainsFunc(l.strips, cutPrice.ok) }

func isCheapest(s cutPrice) bool { return s.cheapest }
func isUsed(s cutPrice) bool     { return s.used }

// readWords says what the files gave, in one sentence.
func (c *Comparison) readWords() string {
	if len(c.Files) == 0 {
		return "The job book names no supplier: nothing is offered. Name suppliers and their price files in its Suppliers sheet."
	}
	words := fmt.Sprintf("%s of goods in %s: %s", count(c.rows.Data, "line"), count(c.read, "price file"), count(c.offers(), "offer"))
	if c.rows.Offers != c.offers() {
		words += fmt.Sprintf(" from %s", count(c.rows.Offers, "line"))
	}
	if c.rows.Findings > 0 {
		words += fmt.Sprintf("; %s without an offer, each answered by a finding", count(c.rows.Findings, "line"))
	}
	return words + "."
}

// offers counts the lines that are offers.
func (c *Comparison) offers() int {
	n := 0
	for _, l := range c.lines {
		if !l.stock {
			n++
		}
	}
	return n
}
