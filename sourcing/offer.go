package sourcing

import "github.com/shopspring/decimal"

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

// An Offer is one line of a price sheet, made comparable.
type Offer struct {
	Supplier, File, Sheet string
	Row, Col              int    // of the price cell, from 1
	Wood                  string // species id
	Name                  string // the wood as the sheet names it
	Grade                 string
	Plank                 Plank
	NominalMM             float64         // thickness that board feet are counted with, where the sheet names one (4/4); 0: as Plank
	ReadyStrip            bool            // already cut to strip size: yield 1 in its own direction
	Price                 decimal.Decimal // per Unit, in Currency
	Currency              string
	Unit                  Unit
	MinQuantity           decimal.Decimal // in Unit; zero: none
	PackSize              decimal.Decimal // in Unit; zero: none
	Available             decimal.Decimal // in Unit; HasAvailable says whether it is given
	HasAvailable          bool
	Certified             bool
	LeadTimeDays          int
	YieldPct              float64 // of the grade; 0: the Shop setting
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
