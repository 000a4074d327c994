package season

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// why says in a word what ended a search.
func why(ctx context.Context) string {
	if errors.Is(ctx.Err(), context.DeadlineExceeded) {
		return "time limit"
	}
	return "interrupted"
}

// number prints a figure the way a person wrote it.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// fixed prints v with the decimals of a resolution such as 0.1, and never as minus zero.
func fixed(v, resolution float64) string {
	decimals := 0
	if _, after, ok := strings.Cut(number(resolution), "."); ok {
		decimals = len(after)
	}
	if v < 0 && v > -resolution/2 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', decimals, 64)
}

// Words are an amount that is not below 0: "120.00 EUR", "120.00 to 150.00 EUR", "up to 150.00 EUR", "an unknown amount".
func (r Range) Words(currency string) string {
	low, high := r.Low.StringFixed(cents), strings.TrimSpace(r.High.StringFixed(cents)+" "+currency)
	switch {
	case !r.Known:
		return "an unknown amount"
	case r.Low.Equal(r.High):
		return high
	case !r.Low.IsPositive():
		return "up to " + high
	}
	return low + " to " + high
}

// Neg is the range of the amounts with the other sign.
func (r Range) Neg() Range { return Range{r.Known, r.High.Neg(), r.Low.Neg()} }

// Dearer says how an amount compares when it is by so much more: "dearer by 120.00 to 150.00 EUR", "cheaper by up to 4.12 EUR".
func (r Range) Dearer(currency string) string {
	switch {
	case !r.Known:
		return "by how much it is dearer is not known"
	case r.Low.IsZero() && r.High.IsZero():
		return "as dear"
	case !r.Low.IsNegative():
		return "dearer by " + r.Words(currency)
	case !r.High.IsPositive():
		return "cheaper by " + r.Neg().Words(currency)
	}
	to := func(d decimal.Decimal) string { return Range{true, decimal.Zero, d}.Words(currency) }
	return to(r.Low.Neg()) + " cheaper or " + to(r.High) + " dearer"
}
