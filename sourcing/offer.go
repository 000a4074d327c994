package sourcing

import (
	"time"

	"github.com/shopspring/decimal"
)

// Unit is what a price is per.
type Unit string

// The units of price sheets. A piece is a plank or strip of the offer's size.
const (
	PerM3          Unit = "m3"
	PerBoardFoot   Unit = "bf"
	PerMBF         Unit = "mbf" // thousand board feet
	PerMetre       Unit = "m"
	PerFoot        Unit = "ft"
	PerPiece       Unit = "piece"
	PerSquareMetre Unit = "m2"
)

// A Plank is the size of what is bought, mm.
type Plank struct{ ThicknessMM, WidthMM, LengthMM float64 }

// A Break is a price that holds from a quantity on.
type Break struct {
	From  decimal.Decimal // in the offer's Unit
	Price decimal.Decimal // per Unit
}

// A Span is a width or length that is not the same for every plank of an offer. The zero Span is one figure, that of the
// offer's Plank. Of a Span the Plank takes what a yield can rest on: see [Offer.Notes].
type Span struct {
	LowMM, HighMM float64 // 0: not said
	MeanMM        float64 // 0: not said
	Random        bool    // called random, falling, mixed
}

// An Offer is one line of a price sheet, made comparable.
type Offer struct {
	Supplier, File, Sheet string
	Row, Col              int    // of the price cell, from 1; of the first price, where there are breaks
	Wood                  string // species id
	Name                  string // the wood as the sheet names it
	Grade                 string
	Moisture              string // state and figure as far as they are said: "KD", "AD", "green", "KD 8-10 %"; empty: not said
	Plank                 Plank
	Width, Length         Span            // as the sheet gives them, where planks differ
	NominalMM             float64         // thickness that board feet are counted with, where the sheet names one (4/4); 0: as Plank
	ReadyStrip            bool            // already cut to strip size: yield 1 in its own direction
	Price                 decimal.Decimal // per Unit, in Currency; from MinQuantity up to the first of Breaks
	Breaks                []Break         // other prices from larger quantities on, rising; empty: one price
	Incremental           bool            // a break's price holds for the part above it only; false: for all units once it is reached
	Currency              string
	Unit                  Unit
	MinQuantity           decimal.Decimal // in Unit; zero: none
	PackSize              decimal.Decimal // in Unit; zero: none
	Available             decimal.Decimal // in Unit; HasAvailable says whether it is given
	HasAvailable          bool
	Certified             bool
	LeadTimeDays          int             // from order to delivery: of the line, or else the supplier's; 0 where the sheet gives a day of delivery instead
	ReadyOn               time.Time       // the day from which it can be delivered, where the sheet gives a day or a week; zero: not said
	ValidUntil            time.Time       // zero: not said in the sheet
	DistanceKM            decimal.Decimal // that it is carried; HasDistance says whether it is given
	HasDistance           bool
	YieldPct              float64  // of the grade; 0: the Shop setting
	Notes                 []string // how the plank's size and price were taken from what the sheet says, where it takes words
}

// PriceAt is the price per Unit that a quantity (in Unit) reaches. With incremental breaks it is the price of the last unit.
func (o *Offer) PriceAt(quantity decimal.Decimal) decimal.Decimal {
	p := o.Price
	for _, b := range o.Breaks {
		if quantity.GreaterThanOrEqual(b.From) {
			p = b.Price
		}
	}
	return p
}

// CostOf is what a quantity (in Unit, at least 0) costs in Currency, breaks counted, half up at the sixth decimal. Minimum and
// packs are not looked at.
func (o *Offer) CostOf(quantity decimal.Decimal) decimal.Decimal {
	if !o.Incremental {
		return quantity.Mul(o.PriceAt(quantity)).Round(places)
	}
	cost, from, price := decimal.Zero, decimal.Zero, o.Price
	for _, b := range o.Breaks {
		if quantity.LessThanOrEqual(b.From) {
			break
		}
		cost = cost.Add(b.From.Sub(from).Mul(price))
		from, price = b.From, b.Price
	}
	return cost.Add(quantity.Sub(from).Mul(price)).Round(places)
}

// places is how many decimals a plank's price and a price per m³ keep, half up.
const places = 6

// PlankCost is what one plank of the offer's size costs, in the offer's currency, half up at the sixth decimal. The
// error says which size a conversion lacks.
func (o *Offer) PlankCost() (decimal.Decimal, error) {
	n, err := o.Plank.in(o.Unit, o.NominalMM)
	if err != nil {
		return decimal.Zero, err
	}
	return decimal.NewFromBigRat(n.Mul(n, o.Price.Rat()), places), nil
}

// PricePerM3 is the price of one m³ of the wood really there, in the offer's currency, half up at the sixth decimal;
// zero when the plank has no full size. Sold by the board foot, a planed plank is dearer by the m³ than its board feet
// say, since those count the nominal thickness.
func (o *Offer) PricePerM3() decimal.Decimal {
	n, err := o.Plank.in(o.Unit, o.NominalMM)
	if err != nil {
		return decimal.Zero
	}
	m3, err := o.Plank.in(PerM3, 0)
	if err != nil {
		return decimal.Zero
	}
	return decimal.NewFromBigRat(n.Mul(n.Quo(n, m3), o.Price.Rat()), places)
}

// A StripPrice is what one strip costs from one offer, and how that was reckoned.
type StripPrice struct {
	Offer         *Offer
	Stock         bool            // from the yard; Offer then describes the stock line
	StripsPerUnit decimal.Decimal // usable strips per plank, after the grade's yield
	Cost          decimal.Decimal // of one strip, in the job's currency
	Steps         []string        // the yield and the price, step by step, for a pocket calculator
}
