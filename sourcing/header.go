package sourcing

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

// A column is what a header says of the cells below it.
type column struct {
	meaning  meaning
	header   string
	row, col int          // of the header's lowest cell, from 1
	length   lengthUnit   // of lengths; empty: none named
	mean     bool         // of lengths: averages
	unit     Unit         // of prices and quantities; empty: none named
	currency string       // of prices: a code or a sign of several; empty: none named
	distance distanceUnit // of distances; empty: none named
	days     int          // of lead times: what a figure counts; 0: none named
	key      key          // of prices: what else the header fixes
	why      string       // why it is not understood, where it half is
	across   *column      // what the columns to the right count, where the header of the first says so: "Holzart / Stärke mm"
	mapped   bool         // settled by the job book
	hidden   bool
}

// footnote marks behind a header: "Price 2)", "Price*"; and the day a price list came out.
var footnote = regexp.MustCompile(`\s\d\)|\*|(?i:\b(?:ab|from|until|till|bis|per|stand|as of|vom|du|dal|desde|hasta|jusqu'au)?\s*\d{1,2}[./]\d{1,2}(?:[./]\d{2,4}\b|\.(?:\s|$)))`)

// isDayName are words that a column of days may add to its name.
var isDayName = phrases(nil, `date, day, week, cw, kw, datum, tag, woche, jour, semaine, data, giorno, settimana, fecha, día, semana`, true)

// averages before or behind the name of a size.
var averages = phrases(nil, `avg, average, mean, mittel, mittlere, mittlerer, durchschnitt, durchschn, moyenne, moyen, moy, media, medio, ø`, true)

// readHeader says what a header means; a zero meaning when it is not understood. A header is understood when one known name
// of a column stands in it and everything beside that is a unit, a currency or a word that changes no figure. What a price's
// header fixes beside (a quantity, a thickness) is read by [layouter.keyed].
func readHeader(text string) column {
	c := column{header: text}
	if len(text) > maxPhrase || utf8.RuneCountInString(text) > maxHeader {
		return c
	}
	ws := words(footnote.ReplaceAllString(text, " "))
	if len(ws) == 0 || len(ws) > 12 {
		return c
	}
	at, n := -1, 0
	for i := range ws {
		for k := min(longest, len(ws)-i); k > n; k-- {
			if _, ok := meaningOf[strings.Join(ws[i:i+k], " ")]; ok {
				at, n = i, k
			}
		}
	}
	var rest []string
	var a amount
	switch unit, joined := joinedPrices[ws[0]]; {
	case n > 0:
		c.meaning = meaningOf[strings.Join(ws[at:at+n], " ")]
		rest = append(append(rest, ws[:at]...), ws[at+n:]...)
	case joined:
		c.meaning, a.unit, rest = isPrice, unit, ws[1:]
	default: // "EUR/m³" alone is a price
		unknown := a.around(ws, nil)
		if a.currency == "" || vague(text) == "" && (unknown != nil || a.unit == "") {
			if isDiscount[ws[0]] {
				c.why = "it is a discount, and prices are taken without it"
			}
			return c
		}
		c.meaning = isPrice
	}
	var unknown []string
	switch c.meaning {
	case isPrice:
		unknown = a.around(rest, isNew)
		c.unit, c.currency = a.unit, a.currency
		switch why := vague(text); {
		case unknown != nil && isGross(text):
			c.meaning, c.why = "", "its prices include tax, and orders are reckoned without"
			return c
		case slices.ContainsFunc(unknown, func(w string) bool { return isOld[w] }):
			c.meaning, c.why = "", "it is a price that held before"
			return c
		case slices.ContainsFunc(ws, func(w string) bool { return isDiscount[w] }) && unknown != nil:
			c.meaning, c.why = "", "it is a discount, and prices are taken without it"
			return c
		case why != "":
			c.why, c.unit, unknown = why, "", nil
		}
	case isMinimum, isPack, isAvailable, isMaximum:
		unknown = a.around(rest, isAmountWord)
		c.unit = a.unit
		if a.currency != "" {
			unknown = append(unknown, a.currency)
		}
	case isThickness, isWidth, isLength, isSize:
		inch := false // "in" alone is the unit, in "Breite in mm" it is none
		unknown = spell(rest, func(p string) bool {
			if p == "in" {
				inch = true
				return true
			}
			if u, ok := lengthWords[p]; ok && (c.length == "" || c.length == u) {
				c.length = u
				return true
			}
			if averages[p] && c.meaning != isThickness && c.meaning != isSize {
				c.mean = true
				return true
			}
			return isFiller[p] || c.meaning == isThickness && (p == "nominal" || p == "rough") ||
				c.meaning == isSize && (meaningOf[p] == isThickness || meaningOf[p] == isWidth || meaningOf[p] == isLength || p == "x") ||
				(p == "random" || p == "rw" || p == "rl" || p == "fallend" || p == "fallende") && (c.meaning == isWidth || c.meaning == isLength)
		})
		switch {
		case c.length == "" && inch:
			c.length = inInch
		case c.length == "" && slices.Contains(ws, "quarters"):
			c.length = inQuarters
		}
	case isLead:
		unknown = spell(rest, func(p string) bool {
			if d := daysOf[p]; d != 0 && c.days == 0 {
				c.days = d
				return true
			}
			return isFiller[p]
		})
	case isReady:
		unknown = spell(rest, func(p string) bool { return isFiller[p] || isDayName[p] || meaningOf[p] == isReady })
	case isDistance:
		unknown = spell(rest, func(p string) bool {
			if u := distanceWords[p]; u != "" && c.distance == "" {
				c.distance = u
				return true
			}
			return isFiller[p]
		})
	case isGrade:
		unknown = spell(rest, func(p string) bool { return isFiller[p] || meaningOf[p] == isGrade || p == "nhla" })
	default:
		unknown = spell(rest, func(p string) bool { return isFiller[p] || meaningOf[p] == c.meaning })
	}
	if unknown != nil {
		c.why = fmt.Sprintf("it looks like %q, but %s in it is not understood", c.meaning, inQuotes(unknown))
		c.meaning = ""
	}
	return c
}

// maxHeader is how long a header can be, in letters; what is longer is a sentence.
const maxHeader = 160

// wholeSheet is the Header of a row of the Columns sheet that speaks of a sheet itself.
const wholeSheet = "*"

// readMeaning is the column or the fixed value that the Meaning cell of a Columns sheet gives. wood looks names up; nil: none
// is known.
func readMeaning(text string, wood func(string) error) (c column, fixed said, err error) {
	c = readHeader(text)
	if c.meaning != "" && c.why == "" {
		return c, said{}, nil
	}
	lay := &layouter{}
	if k, ok := lay.keyed([]string{text}, true); ok && k.why == "" && k.key.bare == "" && namesPrice(text) {
		return k, said{}, nil
	}
	first, rest, _ := strings.Cut(tidy(text), " ")
	rest = strings.TrimSpace(rest)
	for _, two := range []string{string(isLead), string(isValid)} { // names of two words
		if after, ok := strings.CutPrefix(fold(tidy(text)), two+" "); ok {
			first, rest = two, after
		}
	}
	if m := meaning(fold(first)); rest != "" && slices.Contains(Meanings(), string(m)) {
		if fixed, ok := fixedValue(m, rest, wood); ok {
			return column{meaning: m, header: text}, fixed, nil
		}
	}
	if c.why != "" {
		return column{}, said{}, fmt.Errorf("%q: %s", shorten(text), c.why)
	}
	return column{}, said{}, fmt.Errorf("%q is no meaning of a column: write one of %s, with its unit and currency where it has one (price EUR/m3)",
		shorten(text), strings.Join(Meanings(), ", "))
}

// namesPrice: a Meaning names its price.
func namesPrice(text string) bool {
	return slices.ContainsFunc(words(text), func(w string) bool { return meaningOf[w] == isPrice })
}

// fixedValue is a value that a row of the Columns sheet gives a whole sheet: "width 120 mm", "wood beech-european".
func fixedValue(m meaning, text string, wood func(string) error) (s said, ok bool) {
	switch m {
	case isWood:
		if wood != nil && wood(text) != nil {
			return said{}, false
		}
		s.wood = text
	case isThickness:
		t, err := parseThickness(text, "", '.')
		if err != nil {
			return said{}, false
		}
		s.thick = t
	case isWidth, isLength:
		z, err := parseSize(text, "", '.')
		if mm, _ := z.usable(m); err != nil || mm == 0 {
			return said{}, false
		}
		if m == isWidth {
			s.width = z
		} else {
			s.length = z
		}
	case isGrade:
		s.grade = text
	case isMoisture:
		if s.moisture, ok = moistureOf(text); !ok {
			return said{}, false
		}
	case isLead:
		days, err := leadTime(text, 0)
		if err != nil {
			return said{}, false
		}
		s.lead, s.hasLead = days, true
	case isDistance:
		km, err := parseDistance(text, "", '.')
		if err != nil {
			return said{}, false
		}
		s.distance, s.hasDistance = km, true
	case isValid:
		if s.valid, _ = parseDate(text, orderOpen); s.valid.IsZero() {
			return said{}, false
		}
	default:
		return said{}, false
	}
	return s, true
}

// CheckMeaning says what is wrong with the Meaning cell of a Columns sheet; nil when it is understood. A Meaning is one of [Meanings]
// with its unit and currency ("price EUR/m3", "width mm"), a price with what its column fixes ("price EUR/m3 from 5 m3", "price 26 mm"),
// or, under the Header *, a value for the whole sheet ("width 120 mm", "wood beech-european").
func CheckMeaning(text string) error {
	_, _, err := readMeaning(text, nil)
	return err
}

// sameName compares names of sheets and headers without regard to case, accents and spacing.
func sameName(a, b string) bool { return fold(tidy(a)) == fold(tidy(b)) }

// needed are the columns without which a line is no offer, unless what stands around them says it.
var needed = []meaning{isWood, isThickness, isWidth, isLength, isPrice}
