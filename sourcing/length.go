package sourcing

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A lengthUnit is what a bare figure of a column counts.
type lengthUnit string

const (
	inMM       lengthUnit = "mm"
	inCM       lengthUnit = "cm"
	inM        lengthUnit = "m"
	inInch     lengthUnit = "in"
	inFoot     lengthUnit = "ft"
	inQuarters lengthUnit = "quarters" // of an inch: 4 is 4/4, nominal
)

// Exact by definition.
var mmPer = map[lengthUnit]float64{inMM: 1, inCM: 10, inM: 1000, inInch: mmPerInch, inFoot: mmPerFoot, inQuarters: mmPerInch / 4}

// errNoUnit: a bare figure under a header without a unit.
var errNoUnit = errors.New("has no unit")

var (
	figure      = `\d+(?:[.,]\d+)*|\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?|[.,]\d+`
	feetInches  = regexp.MustCompile(`^(\d+) ?(?:'|ft\.?|feet) ?-? ?(.+)$`)
	fraction    = regexp.MustCompile(`^(?:(\d{1,3})(?: | ?- ?))?(\d{1,3})/(\d{1,3}) ?([a-z"'.]*)$`)
	quarterWord = regexp.MustCompile(`^(\d{1,2})[ -]?quarters?$`)
	withUnit    = regexp.MustCompile(`^(` + figure + `) ?([a-z"'.]*)$`)
	severalSize = regexp.MustCompile(`\d.*(?:-|/|\bto\b|\bbis\b|\.\.).*\d|\+$|\bup\b|\bab\b|\bfrom\b|\bfallend|^rw$|^rl$|random|wdr|wider|steigend`)
)

// parseLength reads a length: 26 mm · 26mm · 1" · 1 1/16" · 13/16 · 4/4 · 8' 6" · "2,5 m" · 2 500 mm. unit is the
// column's, for bare figures; "" when its header names none. n/4 is quarters of an inch under any header, other bare fractions
// are inches unless the header is metric. mark is the decimal mark where it is known, else 0. The length comes in mm,
// above 0, to the millionth.
func parseLength(text string, unit lengthUnit, mark rune) (mm float64, err error) {
	s := strings.ToLower(tidy(text))
	if s == "" {
		return 0, errors.New("is empty")
	}
	if len(s) > 100 {
		return 0, fmt.Errorf("%q is not a length", shorten(text))
	}
	switch metric := unit == inMM || unit == inCM || unit == inM; {
	case quarterWord.MatchString(s):
		mm, err = inQuarters.figure(quarterWord.FindStringSubmatch(s)[1], mark)
	case fraction.MatchString(s):
		mm, err = inches(fraction.FindStringSubmatch(s), metric)
	case feetInches.MatchString(s):
		m := feetInches.FindStringSubmatch(s)
		switch mm, err = parseLength(strings.TrimRight(m[2], `"`), inInch, mark); {
		case errors.Is(err, errAmbiguous):
			err = errAmbiguous
		case err != nil || mm >= mmPerFoot:
			err = errors.New("is not feet and inches")
		default:
			feet, _ := strconv.ParseFloat(m[1], 64)
			mm += feet * mmPerFoot
		}
	case withUnit.MatchString(s):
		m := withUnit.FindStringSubmatch(s)
		if named := strings.TrimSuffix(m[2], "."); named != "" {
			unit = lengthWords[named]
			if unit == "" {
				return 0, fmt.Errorf("%q: %q is no unit of length", shorten(text), shorten(m[2]))
			}
		}
		mm, err = unit.figure(m[1], mark)
	case severalSize.MatchString(s):
		return 0, fmt.Errorf("%q is not one length", shorten(text))
	default:
		return 0, fmt.Errorf("%q is not a length", shorten(text))
	}
	if err != nil {
		return 0, fmt.Errorf("%q %w", shorten(text), err)
	}
	return checkLength(text, mm)
}

// checkLength holds a length to what a length can be, and rounds it to the millionth of a mm.
func checkLength(text string, mm float64) (float64, error) {
	if mm = math.Round(mm*nmPerMM) / nmPerMM; !(mm > 0 && mm <= maxMM) {
		return 0, fmt.Errorf("%q is not above 0 and up to 1 km", shorten(text))
	}
	return mm, nil
}

// figure is a plain number of the unit in mm.
func (u lengthUnit) figure(text string, mark rune) (float64, error) {
	if u == "" {
		return 0, errNoUnit
	}
	v, _, err := parseNumber(text, mark)
	if errors.Is(err, errAmbiguous) {
		return 0, errAmbiguous
	}
	if err != nil {
		return 0, errors.New("is not a length")
	}
	return v.InexactFloat64() * mmPer[u], nil
}

// inches reads the parts of a fraction. Under a metric header "26/27" and "30/32" are pairs of sizes, so that there only
// quarters and fractions with an inch sign are taken.
func inches(m []string, metric bool) (float64, error) {
	whole, _ := strconv.Atoi("0" + m[1])
	num, _ := strconv.Atoi(m[2])
	den, _ := strconv.Atoi(m[3])
	named := lengthWords[strings.TrimSuffix(m[4], ".")]
	switch {
	case !slices.Contains([]int{2, 4, 8, 16, 32, 64}, den), metric && m[4] == "" && (den != 4 || m[1] != ""):
		return 0, errors.New("is two figures, or no fraction of an inch")
	case m[4] != "" && named != inInch:
		return 0, errors.New("is a fraction, and only inches are written so")
	case m[1] != "" && num >= den:
		return 0, errors.New("is not a whole number and a fraction")
	}
	return (float64(whole) + float64(num)/float64(den)) * mmPerInch, nil
}

// formatLength is a length as [parseLength] reads it back.
func formatLength(mm float64) string {
	return strconv.FormatFloat(mm, 'f', -1, 64) + " mm"
}

// surfaced is what quarters are planed to on two faces, mm: 9/16, 13/16, 1 1/16, 1 5/16, 1 3/4 and 2 3/4 in. It is the
// standard that North American hardwood lists agree on; yards that plane further must say so in the cell.
var surfaced = map[int]float64{3: 14.2875, 4: 20.6375, 5: 26.9875, 6: 33.3375, 8: 44.45, 12: 69.85}

var (
	quarterWords = regexp.MustCompile(`^(\d{1,2})[ -]?(?:quarters?\b|qtr\b)`)
	quarters     = regexp.MustCompile(`^(\d{1,2})/4 ?"?[ ,]*(.*)$`)
	planedWord   = regexp.MustCompile(`^(s2s|s4s|surfaced|planed|dressed|gehobelt|rabote|piallato|cepillado)\b[ ,:]*`)
	roughWord    = regexp.MustCompile(`^(rough|rgh|sagerau|roh|brut|grezzo|bruto)\b[ ,:]*`)
	planedLast   = regexp.MustCompile(`^(.*\d ?(?:"|in|mm)?) ?(?:s2s|s4s|planed|gehobelt)$`)
	nominalFirst = regexp.MustCompile(`^(.+?) ?(?:nominal|nom\.?)(?: ?[,;(/]? ?(.+?) ?(?:act\.?|actual)?\)?)?$`)
)

// A thickness is what a plank measures and what it is sold as.
type thickness struct {
	mm        float64 // real
	nominalMM float64 // of quarters and of what is called nominal; 0: none named
	quarters  int     // of quarters whose real thickness the cell does not give; they are rough unless said otherwise
}

// nominalInches are sizes before planing; a planed plank said to have one of them may have had it, or have it.
var nominalInches = []float64{0.75, 1, 1.25, 1.5, 2, 3}

// planed is the thickness of a plank that is said elsewhere to be planed: quarters become what they are surfaced to, a
// thickness in mm or inches stands as it is.
func (t thickness) planed() (thickness, error) {
	if t.quarters == 0 {
		for _, in := range nominalInches {
			if math.Abs(t.mm-in*mmPerInch) < 0.001 {
				return thickness{}, fmt.Errorf("planed, %v in can be the thickness before or after", in)
			}
		}
		return t, nil
	}
	mm, ok := surfaced[t.quarters]
	if !ok {
		return thickness{}, fmt.Errorf("%d/4 has no standard planed thickness", t.quarters)
	}
	return thickness{mm: mm, nominalMM: t.nominalMM}, nil
}

// parseThickness reads a thickness like [parseLength], and what is sold under a nominal one: 4/4 S2S · 5/4 S2S 1-1/16 · 4/4 (26 mm) ·
// 25 mm nom., 23 act.
func parseThickness(text string, unit lengthUnit, mark rune) (thickness, error) {
	if len(text) > 200 {
		return thickness{}, fmt.Errorf("%q is not a length", shorten(text))
	}
	s := quarterWords.ReplaceAllString(fold(tidy(text)), "$1/4")
	if m := quarters.FindStringSubmatch(s); m != nil {
		n, _ := strconv.Atoi(m[1])
		t := thickness{nominalMM: math.Round(float64(n)*nmPerInch/4) / nmPerMM, quarters: n}
		t.mm = t.nominalMM
		rest := strings.TrimPrefix(m[2], "in")
		rest = roughWord.ReplaceAllString(strings.TrimSpace(rest), "")
		bare := planedWord.ReplaceAllString(rest, "")
		if bare == "" && rest != "" {
			t, err := t.planed()
			if err != nil {
				return thickness{}, fmt.Errorf("%q: %w", shorten(text), err)
			}
			return t, nil
		}
		if bare = strings.Trim(bare, "() "); bare != "" {
			actual, err := parseLength(bare, unit, mark)
			if err != nil {
				return thickness{}, fmt.Errorf("%q: beside %d/4, %w", shorten(text), n, err)
			}
			t.mm, t.quarters = actual, 0
		}
		return t.check(text)
	}
	if mm, err := parseLength(text, unit, mark); err == nil {
		return thickness{mm: mm}, nil
	} else if m := planedLast.FindStringSubmatch(s); m != nil {
		mm, err := parseLength(m[1], unit, mark)
		if err != nil {
			return thickness{}, err
		}
		t, err := thickness{mm: mm}.planed()
		if err != nil {
			return thickness{}, fmt.Errorf("%q: %w", shorten(text), err)
		}
		return t, nil
	} else if m := nominalFirst.FindStringSubmatch(s); m != nil {
		nominal, err := parseLength(m[1], unit, mark)
		if err != nil {
			return thickness{}, err
		}
		t := thickness{mm: nominal, nominalMM: nominal}
		if m[2] != "" {
			if own := unitOf.FindStringSubmatch(strings.TrimSpace(m[1])); own != nil { // "25 mm nom., 23 act.": both are mm
				unit = lengthWords[own[1]]
			}
			if t.mm, err = parseLength(m[2], unit, mark); err != nil {
				return thickness{}, err
			}
		}
		return t.check(text)
	} else {
		return thickness{}, err
	}
}

// check refuses a pair of nominal and real thickness that cannot belong together: wood is planed to less, and sawn with
// some millimetres to spare.
func (t thickness) check(text string) (thickness, error) {
	mm, err := checkLength(text, t.mm)
	if err != nil {
		return thickness{}, err
	}
	t.mm = mm
	if t.mm < 0.5*t.nominalMM || t.mm > 1.25*t.nominalMM {
		return thickness{}, fmt.Errorf("%q: %v mm cannot be a nominal %v mm", shorten(text), t.mm, t.nominalMM)
	}
	return t, nil
}
