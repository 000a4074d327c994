package sourcing

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/shopspring/decimal"
)

// An amount is a figure with what stands around it in its cell.
type amount struct {
	value    decimal.Decimal
	currency string // code, or a sign of several currencies; empty: none
	unit     Unit   // empty: none
	shown    rune   // the decimal mark that the figure proves; 0: none
}

var (
	aroundFigure = regexp.MustCompile(`^([^\d]*?)([-+]? ?(?:\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)(?:[.,]-+)?)(.*)$`)
	// perThousand: "$/M" is a thousand board feet in one trade and a running metre in another.
	perThousand = regexp.MustCompile(`/ ?M\b`)
)

// parsePrice reads a price as it stands in a cell: 1350 · $1.35/bf · 1.350,00 €/m³ · 895,- EUR. Ranges, "from" prices and
// footnoted ones are refused: they are no firm price. mark is as for [parseNumber].
func parsePrice(text string, mark rune) (amount, error) {
	if t := strings.Trim(tidy(text), "-. "); t == "" || says(isNotPriced, text) || says(isSoldOut, text) {
		return amount{}, fmt.Errorf("%q is not a price", shorten(text))
	}
	a, err := parseAmount(text, mark, nil)
	switch {
	case err != nil:
		return amount{}, err
	case a.value.Sign() <= 0:
		return amount{}, fmt.Errorf("%q is not a price above 0", shorten(text))
	case a.value.GreaterThan(maxPrice):
		return amount{}, fmt.Errorf("%q is no price of wood", shorten(text))
	}
	return a, nil
}

// maxPrice is above any price of a unit of wood, whatever the currency.
var maxPrice = decimal.NewFromInt(20_000_000)

// parseQuantity reads a quantity: 2 m3 · min. 200 bf · 50 Stk. It has no currency.
func parseQuantity(text string, mark rune) (amount, error) {
	a, err := parseAmount(text, mark, isAmountWord)
	switch {
	case err != nil:
		return amount{}, err
	case a.currency != "":
		return amount{}, fmt.Errorf("%q is money, not a quantity", shorten(text))
	case a.value.Sign() < 0:
		return amount{}, fmt.Errorf("%q is below 0", shorten(text))
	}
	return a, nil
}

func parseAmount(text string, mark rune, extra map[string]bool) (amount, error) {
	if len(text) > maxHeader {
		return amount{}, fmt.Errorf("%q is not one firm figure", shorten(text))
	}
	s := tidy(text)
	if vague := vague(s); vague != "" {
		return amount{}, fmt.Errorf("%q: %s", shorten(text), vague)
	}
	m := aroundFigure.FindStringSubmatch(s)
	if m == nil {
		return amount{}, fmt.Errorf("%q holds no figure", shorten(text))
	}
	if odd := strings.IndexAny(m[1]+m[3], "()[]*+~%<>=-"); odd >= 0 {
		return amount{}, fmt.Errorf("%q is not one firm figure", shorten(text))
	}
	var a amount
	var err error
	if a.value, a.shown, err = parseNumber(m[2], mark); err != nil {
		return amount{}, err
	}
	for _, part := range []string{m[1], m[3]} {
		if unknown := a.around(words(part), extra); unknown != nil {
			return amount{}, fmt.Errorf("%q: %s beside the figure is not understood", shorten(text), inQuotes(unknown))
		}
	}
	return a, nil
}

// around takes currency and unit out of the words beside a figure or in a header; a second one that differs is not
// understood.
func (a *amount) around(ws []string, extra map[string]bool) (unknown []string) {
	return spell(ws, func(p string) bool {
		if code, ok := currencyOf[p]; ok && (a.currency == "" || a.currency == code) {
			a.currency = code
			return true
		}
		if _, ok := dollarLike[p]; ok && (a.currency == "" || a.currency == p) {
			a.currency = p
			return true
		}
		if unit, ok := priceUnitOf[p]; ok && (a.unit == "" || a.unit == unit) {
			a.unit = unit
			return true
		}
		return isFiller[p] || extra[p]
	})
}

// vague says what a text leaves open that only its writer knows; "" when nothing.
func vague(s string) string {
	if s == "M" || perThousand.MatchString(s) {
		return `"M" is a thousand board feet to some and a running metre to others`
	}
	for _, w := range words(s) {
		if why, ok := vagueUnits[w]; ok {
			return why
		}
	}
	return ""
}

// settle turns a sign of several currencies into a code, by the currency that the job book gives the supplier.
func settle(sign, book string) (string, error) {
	codes, ok := dollarLike[sign]
	if !ok {
		return sign, nil
	}
	for _, code := range codes {
		if code == book {
			return code, nil
		}
	}
	return "", fmt.Errorf("%q can be %s", sign, strings.Join(codes, ", "))
}

// leadTime reads a lead time in days: 10 days · 3-4 Wochen (the longer) · ex stock (0). perFigure is the days of the
// header's unit, for bare figures; 0 when it names none.
func leadTime(text string, perFigure int) (int, error) {
	if says(isInStock, text) {
		return 0, nil
	}
	if len(text) > 60 {
		return 0, fmt.Errorf("%q is not a lead time", shorten(text))
	}
	m := lead.FindStringSubmatch(fold(tidy(text)))
	if m == nil {
		return 0, fmt.Errorf("%q is not a lead time", shorten(text))
	}
	if m[3] != "" {
		perFigure = daysOf[strings.Join(words(m[3]), " ")]
		if perFigure == 0 {
			return 0, fmt.Errorf("%q is not a lead time", shorten(text))
		}
	}
	if perFigure == 0 {
		return 0, errors.New("the lead time has no unit")
	}
	var days int
	for _, n := range m[1:3] {
		if n != "" {
			var v int
			if _, err := fmt.Sscan(n, &v); err != nil {
				return 0, fmt.Errorf("%q is not a lead time", shorten(text))
			}
			days = max(days, v*perFigure)
		}
	}
	return days, nil
}

var lead = regexp.MustCompile(`^(?:ca\.? ?|about |approx\.? ?)?(\d{1,3})(?: ?(?:-|to|bis|a) ?(\d{1,3}))? ?([a-z. ]*)$`)
