package sourcing

import (
	"errors"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// kmPer are the units of a distance. A mile is 1760 yards of 0.9144 m, exactly.
var kmPer = map[distanceUnit]decimal.Decimal{inKM: decimal.NewFromInt(1), inMile: decimal.RequireFromString("1.609344")}

// A distanceUnit is what a bare figure of a column of distances counts.
type distanceUnit string

const (
	inKM   distanceUnit = "km"
	inMile distanceUnit = "mi"
)

// maxKM is more than once around the earth: no wood comes from farther.
var maxKM = decimal.NewFromInt(50_000)

// parseDistance reads how far a plank is carried: 120 km · 75 mi · "1.250,5 km" · 0. unit is the column's, for bare figures; "" when its header
// names none. mark is the decimal mark where it is known, else 0. The distance comes in km, to the millimetre.
func parseDistance(text string, unit distanceUnit, mark rune) (km decimal.Decimal, err error) {
	m := withUnit.FindStringSubmatch(fold(tidy(text)))
	if m == nil || len(text) > 100 {
		return decimal.Zero, fmt.Errorf("%q is not a distance", shorten(text))
	}
	if named := strings.TrimSuffix(m[2], "."); named != "" {
		if unit = distanceWords[named]; unit == "" {
			return decimal.Zero, fmt.Errorf("%q: %q is no unit of a distance", shorten(text), shorten(m[2]))
		}
	}
	if unit == "" {
		return decimal.Zero, fmt.Errorf("%q %w", shorten(text), errNoUnit)
	}
	v, _, err := parseNumber(m[1], mark)
	if errors.Is(err, errAmbiguous) {
		return decimal.Zero, fmt.Errorf("%q %w", shorten(text), errAmbiguous)
	}
	if err != nil {
		return decimal.Zero, fmt.Errorf("%q is not a distance", shorten(text))
	}
	return unit.inKM(text, v)
}

// inKM is a figure of the unit in km.
func (u distanceUnit) inKM(text string, v decimal.Decimal) (decimal.Decimal, error) {
	if v.IsNegative() || v.GreaterThan(maxKM) {
		return decimal.Zero, fmt.Errorf("%q is not a distance of 0 to %s km", shorten(text), maxKM)
	}
	return v.Mul(kmPer[u]).Round(places), nil
}

// readDistance reads how far a line's planks are carried, where the sheet says it. What is not understood is warned of, and none is taken.
func (t *table) readDistance(l line, o *Offer, around said) {
	o.DistanceKM, o.HasDistance = around.distance, around.hasDistance
	c := t.at[isDistance]
	if c == nil || strings.Trim(l.text(c.col), "-. ") == "" {
		return
	}
	k := l.at(c.col)
	var km decimal.Decimal
	var err error
	if _, ok := asNumber(k); ok && c.distance != "" {
		var v decimal.Decimal
		if v, err = decimal.NewFromString(k.text); err == nil {
			km, err = c.distance.inKM(k.text, v)
		}
	} else {
		km, err = parseDistance(k.text, c.distance, t.mark(c.col))
	}
	if o.DistanceKM, o.HasDistance = km, err == nil; err != nil {
		t.warn(l.row, c.col, fmt.Sprintf("distance: %s, and none is taken", oneLine(err)), `write a figure and its unit, or the unit in the header: "Distance km"`)
	}
}
