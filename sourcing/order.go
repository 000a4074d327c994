package sourcing

import (
	"errors"
	"fmt"
	"math/big"
	"slices"

	"github.com/shopspring/decimal"
)

// An Order is an offer as it is ordered: in whole steps, each a pack, or one plank where the sheet names no pack.
type Order struct {
	Offer         *Offer
	StepQuantity  decimal.Decimal // of a step, in the offer's Unit, half up at the ninth decimal
	PlanksPerStep *big.Rat        // 1 where a step is one plank; a pack by measure may hold a broken number
	StepM3        decimal.Decimal // m³ of wood in a step, half up at the ninth decimal
	MinSteps      int             // if any are ordered, at least 1
	MaxSteps      int             // that are available; -1: as many as wanted
	Tiers         []OrderTier     // by rising From; the first from 1
}

// An OrderTier is what n steps cost from From steps on: Base + n × Each, in the offer's Currency and exact. Base is zero but for
// incremental breaks.
type OrderTier struct {
	From       int
	Base, Each decimal.Decimal
}

// maxSteps is more than anyone orders; it keeps what is reckoned with steps inside whole numbers.
const maxSteps = 1_000_000_000

// NewOrder is how an offer is ordered. The error says what its sheet leaves open, or why nothing of it can be ordered.
func NewOrder(o *Offer) (*Order, error) {
	perPlank, err := o.Plank.in(o.Unit, o.NominalMM)
	if err != nil {
		return nil, err
	}
	m3, err := o.Plank.in(PerM3, 0)
	if err != nil {
		return nil, err
	}
	order := &Order{Offer: o, MaxSteps: -1, PlanksPerStep: big.NewRat(1, 1)}
	order.StepQuantity = decimal.NewFromBigRat(perPlank, 9)
	if o.PackSize.Sign() > 0 {
		order.StepQuantity = o.PackSize
		order.PlanksPerStep.Quo(o.PackSize.Rat(), perPlank)
	}
	if order.StepQuantity.Sign() <= 0 {
		return nil, fmt.Errorf("a plank is less than a billionth of a %s", o.Unit)
	}
	order.StepM3 = decimal.NewFromBigRat(m3.Mul(m3, order.PlanksPerStep), 9)
	if order.MinSteps, err = order.stepsFor(o.MinQuantity); err != nil {
		return nil, err
	}
	order.MinSteps = max(order.MinSteps, 1)
	if o.HasAvailable {
		whole := new(big.Rat).Quo(o.Available.Rat(), order.StepQuantity.Rat())
		n := new(big.Int).Quo(whole.Num(), whole.Denom())
		order.MaxSteps = maxSteps
		if n.IsInt64() {
			order.MaxSteps = int(min(n.Int64(), maxSteps))
		}
		switch {
		case o.Available.Sign() <= 0:
			return nil, errors.New("none is available")
		case order.MaxSteps == 0:
			return nil, fmt.Errorf("%s %s are available, less than one step of %s", o.Available, o.Unit, order.StepQuantity)
		case order.MaxSteps < order.MinSteps:
			return nil, fmt.Errorf("%s %s are available, and at least %s must be ordered", o.Available, o.Unit, o.MinQuantity)
		}
	}
	if err := order.tiers(); err != nil {
		return nil, err
	}
	return order, nil
}

// stepsFor is the least number of steps that are at least a quantity.
func (r *Order) stepsFor(quantity decimal.Decimal) (int, error) {
	if quantity.Sign() <= 0 {
		return 0, nil
	}
	n, rest := new(big.Int), new(big.Int)
	q := new(big.Rat).Quo(quantity.Rat(), r.StepQuantity.Rat())
	n.QuoRem(q.Num(), q.Denom(), rest)
	if rest.Sign() > 0 {
		n.Add(n, big.NewInt(1))
	}
	if !n.IsInt64() || n.Int64() > maxSteps {
		return 0, fmt.Errorf("a quantity of %s %s is more than a billion steps of %s", quantity, r.Offer.Unit, r.StepQuantity)
	}
	return int(n.Int64()), nil
}

// tiers puts the offer's breaks into steps.
func (r *Order) tiers() error {
	o := r.Offer
	r.Tiers = []OrderTier{{1, decimal.Zero, r.StepQuantity.Mul(o.Price)}}
	paid, from, price := decimal.Zero, decimal.Zero, o.Price // incremental: for all below from
	for _, b := range o.Breaks {
		n, err := r.stepsFor(b.From)
		if err != nil {
			return err
		}
		t := OrderTier{From: max(n, 1), Each: r.StepQuantity.Mul(b.Price)}
		if o.Incremental {
			paid = paid.Add(b.From.Sub(from).Mul(price))
			from, price = b.From, b.Price
			t.Base = paid.Sub(from.Mul(price))
		}
		r.Tiers = slices.DeleteFunc(r.Tiers, func(old OrderTier) bool { return old.From >= t.From })
		r.Tiers = append(r.Tiers, t)
	}
	return nil
}

// Quantity is what steps come to, in the offer's Unit.
func (r *Order) Quantity(steps int) decimal.Decimal {
	return r.StepQuantity.Mul(decimal.NewFromInt(int64(steps)))
}

// Cost is what steps cost, in the offer's Currency and exact. It is [Offer.CostOf] of their quantity before rounding.
func (r *Order) Cost(steps int) decimal.Decimal {
	cost := decimal.Zero
	for _, t := range r.Tiers {
		if steps >= t.From {
			cost = t.Base.Add(t.Each.Mul(decimal.NewFromInt(int64(steps))))
		}
	}
	return cost
}

// Planks is how many planks steps hold, half up at the second decimal: packs by measure may hold broken numbers of the
// mean plank.
func (r *Order) Planks(steps int) decimal.Decimal {
	return decimal.NewFromBigRat(new(big.Rat).Mul(r.PlanksPerStep, big.NewRat(int64(steps), 1)), 2)
}

// StepParts is a step in parts of a plank, parts to a plank, rounded down.
func (r *Order) StepParts(parts int64) (int64, error) {
	p := new(big.Rat).Mul(r.PlanksPerStep, new(big.Rat).SetInt64(parts))
	n := new(big.Int).Quo(p.Num(), p.Denom())
	switch {
	case n.Sign() == 0:
		return 0, errors.New("a pack holds next to nothing of a plank")
	case n.BitLen() > 53:
		return 0, errors.New("a pack holds more planks than can be reckoned with")
	}
	return n.Int64(), nil
}

// StripYield is how many strips of a width a plank of an offer gives for a blank: [Yield] with the offer's grade, and 1 in its own
// direction where the offer is already cut to the strip's size.
func StripYield(o *Offer, stripWidthMM float64, b Blank, s Shop) (YieldSteps, error) {
	return Yield(o.Plank, o.ReadyStrip || cutToSize(o.Plank, stripWidthMM, b), stripWidthMM, b, s, o.YieldPct)
}

// Offer is the stock line as an offer of pieces, in the job's money.
func (s StockLine) Offer() *Offer { return s.offer() }
