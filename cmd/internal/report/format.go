package report

import (
	"math"
	"strconv"
	"strings"
)

// Fixed is v with a fixed number of decimals, in plain notation, rounded to nearest and never "-0.00". A figure that
// is not a number or infinite is "n/a".
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "n/a"
	}
	s := strconv.FormatFloat(v, 'f', max(decimals, 0), 64)
	if strings.HasPrefix(s, "-") && !strings.ContainsAny(s, "123456789") {
		return s[1:]
	}
	return s
}

// roundTo is v rounded to decimals, halves away from zero; what is not finite stays.
func roundTo(v float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	if r := math.Round(v*scale) / scale; !math.IsNaN(r) && !math.IsInf(r, 0) {
		return r
	}
	return v
}
