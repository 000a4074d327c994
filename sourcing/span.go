package sourcing

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
)

// A size is a width or length as a cell gives it: one figure, or a span of them.
type size struct {
	mm   float64 // one figure
	span Span    // else
	said string  // the words it was read from
}

func (s size) given() bool { return s.mm > 0 || s.span != Span{} }

// usable is the figure that a yield can rest on, and how it was chosen. A width counts by its mean, where the sheet gives
// one: over a lot, wide planks make up for narrow ones. A length never does so: a plank too short for a strip gives none, however
// long the next one is; so its lower end counts, and the mean only where it is all that is said. 0: nothing can be rested on.
func (s size) usable(m meaning) (mm float64, note string) {
	if s.mm > 0 {
		return s.mm, ""
	}
	low, mean := s.span.LowMM, s.span.MeanMM
	switch {
	case m == isWidth && mean > 0:
		return mean, fmt.Sprintf("width given as %s: the mean of %v mm counts", shorten(s.said), mean)
	case low > 0:
		return low, fmt.Sprintf("%s given as %s: the lower end of %v mm counts", m, shorten(s.said), low)
	case mean > 0:
		return mean, fmt.Sprintf("%s given as %s: the mean of %v mm counts, though some planks are shorter", m, shorten(s.said), mean)
	}
	return 0, ""
}

// lengthAtom is a figure with perhaps a fraction and a unit.
const lengthAtom = `(?:\d+ ?(?:'|ft|feet)[ -]?\d+ ?(?:"|in)|\d{1,3}(?: ?- ?| )\d{1,2}/\d{1,2} ?(?:"|in\b|inch(?:es)?)|\d{1,2}/\d{1,2} ?(?:"|in\b|inch(?:es)?)|(?:\d{1,3}(?:[ ']\d{3})+|\d[\d.,]*|[.,]\d+) ?(?:mm|cm|mtr|metres?|meters?|m|inch(?:es)?|in\b|zoll|pouces?|pollici|pulgadas?|feet|foot|ft|fuss|pieds?|piedi|pies?|"|')?)`

var (
	anyAtom   = regexp.MustCompile(lengthAtom)
	oneAtom   = regexp.MustCompile(`^` + lengthAtom + `$`)
	meanWord  = `(?:avg|average|mean|ø|mittel|im mittel|i\.? ?m\.?|durchschnittlich|durchschnitt|moyenne|moyen|moy|media|medio|promedio)\.?:?`
	meanSize  = regexp.MustCompile(`[(,;]? ?` + meanWord + ` ?(?:of |de |di |von )?(` + lengthAtom + `)\)?`)
	meanAfter = regexp.MustCompile(`[(,;]? ?(` + lengthAtom + `) ?` + meanWord + `\)?$`)
	rangeSize = regexp.MustCompile(`^(` + lengthAtom + `) ?(?:-|to|bis|a|al|\.\.\.?) ?(` + lengthAtom + `)$`)
	fromSize  = regexp.MustCompile(`^(?:ab|from|min\.?|mind\.?|mindestens|at least|over|uber|des|a partir de|da|desde|>=?|≥) ?(` + lengthAtom + `)$`)
	plusSize  = regexp.MustCompile(`^(` + lengthAtom + `) ?(?:\+|(?:and|&|und|et|e|y)? ?(?:up|wider|wdr|longer|lgr|over|mehr|breiter|langer|aufwarts|plus|oltre|mas)|steigend.*|increments? of.*|u\.? ?m\.?)$`)
	stepSize  = regexp.MustCompile(`^(` + lengthAtom + `) ?(?:-|to|bis|a) ?(` + lengthAtom + `),? ?(?:steigend|in steps of|en pas de|a passi di).*$`)
	randomOf  = regexp.MustCompile(`\b(?:rw ?[&/x]? ?rl|rw|rl|random(?: widths?| lengths?)?|r/w|r/l|fallende?n?(?: breiten?| langen?)?|mixed|div\.?|diverse?|versch\.?|verschieden|variable?s?|varie|varia|assortite?|largeurs? (?:variables?|de fil)|lungh\.? varie|anchos? variables?)\b\.?`)
	upToSize  = regexp.MustCompile(`^(?:bis|up to|max\.?|<=?|jusqu'?a|fino a|hasta) ?` + lengthAtom + `$`)
	unitOf    = regexp.MustCompile(`(mm|cm|mtr|metres?|meters?|m|inch(?:es)?|in|zoll|pouces?|pollici|pulgadas?|feet|foot|ft|fuss|pieds?|piedi|pies?|"|')\.?$`)
)

// errOpenSize: the size is said to vary, and nothing says within what.
var errOpenSize = errors.New("says no least figure")

// parseSize reads a width or length: one figure, a range ("100-180 mm", "6'-12'"), a lower end ("100 mm +", "fallend ab 14 cm"),
// a list ("8/10/12'"), a mean ("avg 7.2\""), or random. unit and mark are as for [parseLength]; every figure of a cell without a unit of
// its own takes that of the last which has one.
func parseSize(text string, unit lengthUnit, mark rune) (size, error) {
	s := tidy(text)
	if len(s) > 100 {
		return size{}, fmt.Errorf("%q is not a length", shorten(s))
	}
	mm, err := parseLength(s, unit, mark)
	if err == nil {
		return size{mm: mm, said: s}, nil
	}
	if errors.Is(err, errAmbiguous) || errors.Is(err, errNoUnit) {
		return size{}, err
	}
	out := size{said: s}
	rest := strings.TrimSpace(fold(s))
	last := unit
	if m := unitOf.FindStringSubmatch(rest); m != nil {
		last = lengthWords[m[1]]
	} else if all := anyAtom.FindAllString(rest, -1); len(all) > 0 {
		if m := unitOf.FindStringSubmatch(all[len(all)-1]); m != nil {
			last = lengthWords[m[1]]
		}
	}
	atom := func(a string) (float64, error) { return parseLength(a, last, mark) }
	for _, re := range []*regexp.Regexp{meanSize, meanAfter} {
		if m := re.FindStringSubmatchIndex(rest); m != nil {
			v, err := atom(rest[m[2]:m[3]])
			if err != nil {
				return size{}, err
			}
			out.span.MeanMM = v
			rest = strings.TrimSpace(rest[:m[0]] + " " + rest[m[1]:])
			break
		}
	}
	if randomOf.MatchString(rest) {
		out.span.Random = true
		rest = strings.TrimSpace(randomOf.ReplaceAllString(rest, " "))
	}
	rest = strings.Trim(rest, " ,;:()")
	switch m := rangeSize.FindStringSubmatch(rest); {
	case rest == "":
	case m != nil || stepSize.MatchString(rest):
		if m == nil {
			m = stepSize.FindStringSubmatch(rest)
		}
		low, err1 := atom(m[1])
		high, err2 := atom(m[2])
		if err := errors.Join(err1, err2); err != nil {
			if errors.Is(err, errAmbiguous) || errors.Is(err, errNoUnit) {
				return size{}, fmt.Errorf("%q %w", shorten(text), cause(err))
			}
			return size{}, fmt.Errorf("%q is not a range of lengths", shorten(text))
		}
		if low >= high {
			return size{}, fmt.Errorf("%q is not a range from less to more", shorten(text))
		}
		out.span.LowMM, out.span.HighMM = low, high
	case fromSize.MatchString(rest), plusSize.MatchString(rest):
		m := fromSize.FindStringSubmatch(rest)
		if m == nil {
			m = plusSize.FindStringSubmatch(rest)
		}
		low, err := atom(m[1])
		if err != nil {
			return size{}, err
		}
		out.span.LowMM = low
	case upToSize.MatchString(rest):
		return size{}, fmt.Errorf("%q %w", shorten(text), errOpenSize)
	default:
		// A list; its least counts, like the lower end of a range.
		parts := strings.FieldsFunc(rest, func(r rune) bool { return r == '/' || r == ';' || r == '|' })
		if len(parts) < 2 && out.span.Random {
			// "random 150 mm": one figure beside the word is a lower end to one and a mean to another
			return size{}, fmt.Errorf("%q is not clear", shorten(text))
		}
		if len(parts) < 2 {
			return size{}, err
		}
		for _, p := range parts {
			if !oneAtom.MatchString(strings.TrimSpace(p)) {
				return size{}, fmt.Errorf("%q is not one length, nor a range or list of them", shorten(text))
			}
			v, err := atom(strings.TrimSpace(p))
			if err != nil {
				if errors.Is(err, errAmbiguous) || errors.Is(err, errNoUnit) {
					return size{}, fmt.Errorf("%q %w", shorten(text), cause(err))
				}
				return size{}, fmt.Errorf("%q is not one length, nor a range or list of them", shorten(text))
			}
			if out.span.LowMM == 0 || v < out.span.LowMM {
				out.span.LowMM = v
			}
			out.span.HighMM = max(out.span.HighMM, v)
		}
		if out.span.LowMM == out.span.HighMM {
			return size{}, fmt.Errorf("%q is not one length, nor a range or list of them", shorten(text))
		}
	}
	if m := out.span.MeanMM; m > 0 && (m < out.span.LowMM || out.span.HighMM > 0 && m > out.span.HighMM) {
		return size{}, fmt.Errorf("%q: the mean lies outside the range", shorten(text))
	}
	return out, nil
}

// cause is the bare error that a joined or wrapped one stands for.
func cause(err error) error {
	for _, e := range []error{errAmbiguous, errNoUnit} {
		if errors.Is(err, e) {
			return e
		}
	}
	return err
}

// within reports whether all figures of a size lie between limits.
func (s size) within(limits [2]float64) bool {
	for _, mm := range []float64{s.mm, s.span.LowMM, s.span.HighMM, s.span.MeanMM} {
		if mm != 0 && (mm < limits[0] || mm > limits[1]) {
			return false
		}
	}
	return true
}

// leastBoard is the least board of the NHLA grades, mm: FAS and FAS one face 6 in × 8 ft, Selects 4 in × 6 ft, the Common grades 3 in ×
// 4 ft, as three published lists of the rules agree. Where widths or lengths are random, this is what the grade promises of them.
func leastBoard(grade string, m meaning) float64 {
	b, ok := gradeBoards[strings.Join(gradeWords(grade), " ")]
	switch {
	case !ok:
		return 0
	case m == isWidth:
		return math.Round(b[0]*mmPerInch*nmPerMM) / nmPerMM
	}
	return math.Round(b[1]*mmPerFoot*nmPerMM) / nmPerMM
}

var gradeBoards = func() map[string][2]float64 {
	out := map[string][2]float64{}
	phrases(out, fasWords, [2]float64{6, 8})
	phrases(out, faceWords, [2]float64{6, 8})
	phrases(out, selectWords, [2]float64{4, 6})
	phrases(out, common1Words+","+common2Words+","+common3Words, [2]float64{3, 4})
	return out
}()

// parseDimensions reads thickness × width × length or thickness × width in one cell: "26 x 150 x 2500 mm". A unit behind the last
// figure counts for all.
func parseDimensions(text string, unit lengthUnit, mark rune) (parts []string, ownUnit lengthUnit, err error) {
	s := fold(tidy(text))
	s = strings.ReplaceAll(s, "×", "x")
	parts = strings.FieldsFunc(s, func(r rune) bool { return r == 'x' || r == '*' })
	if len(parts) < 2 || len(parts) > 3 {
		return nil, "", fmt.Errorf("%q is not thickness × width × length", shorten(text))
	}
	for i := range parts {
		if parts[i] = strings.TrimSpace(parts[i]); parts[i] == "" {
			return nil, "", fmt.Errorf("%q is not thickness × width × length", shorten(text))
		}
	}
	if m := unitOf.FindStringSubmatch(parts[len(parts)-1]); m != nil {
		bare := true
		for _, p := range parts[:len(parts)-1] {
			bare = bare && !unitOf.MatchString(p)
		}
		if bare {
			unit = lengthWords[m[1]]
		}
	}
	return parts, unit, nil
}
