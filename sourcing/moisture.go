package sourcing

import (
	"regexp"
	"strconv"
	"strings"
)

// typicalMoisturePct is how moist lumber of a state is taken to be at most where its sheet gives no figure, in % of oven-dry mass. Common practice, no
// source, and on the wet side: hardwood is usually kiln-dried to 6-10 %, and a load sold as kiln-dried can be at 12 %; air-dried lumber is at 12-20 %, by
// season and climate; green wood is above 30 %, light woods often near 100 %.
var typicalMoisturePct = map[string]float64{"KD": 12, "AD": 20, "green": 100}

// moistureRange is a figure, perhaps with its tolerance.
var moistureRange = regexp.MustCompile(`(\d{1,3}(?:[.,]\d+)?)(?: ?(?:±|\+/-) ?(\d{1,2}(?:[.,]\d+)?))?`)

// MostMoisturePct is the highest moisture that an offer's Moisture stands for, in % of oven-dry mass: of its figures the upper one, and without a figure
// what is common practice for its state; typical tells the two apart. ok is false when neither a figure nor a known state is given.
func MostMoisturePct(moisture string) (pct float64, typical, ok bool) {
	figure := func(s string) float64 {
		v, _ := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64) // empty: 0
		return v
	}
	for _, m := range moistureRange.FindAllStringSubmatch(moisture, -1) {
		pct, ok = max(pct, figure(m[1])+figure(m[2])), true
	}
	if ok {
		return pct, false, true
	}
	for _, state := range strings.Fields(moisture) {
		if v, known := typicalMoisturePct[state]; known {
			pct, typical, ok = max(pct, v), true, true
		}
	}
	return pct, typical, ok
}
