package sourcing

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// A column is what a header says of the cells below it.
type column struct {
	meaning  meaning
	header   string
	col      int        // from 1
	length   lengthUnit // of lengths; empty: none named
	unit     Unit       // of prices and quantities; empty: none named
	currency string     // of prices: a code or a sign of several; empty: none named
	days     int        // of lead times: what a figure counts; 0: none named
	why      string     // why it is not understood, where it half is
	mapped   bool       // settled by the job book
}

// footnote marks behind a header: "Price 2)", "Price*".
var footnote = regexp.MustCompile(`\s\d\)|\*`)

// readHeader says what a header means; a zero meaning when it is not understood. A header is understood when one known name
// of a column stands in it and everything beside that is a unit, a currency or a word that changes no figure: "Price from 5 m3"
// is not a plain price.
func readHeader(text string) column {
	c := column{header: text}
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
			return c
		}
		c.meaning = isPrice
	}
	var unknown []string
	switch c.meaning {
	case isPrice:
		unknown = a.around(rest, nil)
		c.unit, c.currency = a.unit, a.currency
		if c.why = vague(text); c.why != "" {
			c.unit, unknown = "", nil
		}
	case isMinimum, isPack, isAvailable:
		unknown = a.around(rest, isAmountWord)
		c.unit = a.unit
		if a.currency != "" {
			unknown = append(unknown, a.currency)
		}
	case isThickness, isWidth, isLength:
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
			return isFiller[p] || c.meaning == isThickness && (p == "nominal" || p == "rough")
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
	default:
		unknown = spell(rest, func(p string) bool { return isFiller[p] || meaningOf[p] == c.meaning })
	}
	if unknown != nil {
		c.why = fmt.Sprintf("it looks like %q, but %s in it is not understood", c.meaning, inQuotes(unknown))
		c.meaning = ""
	}
	return c
}

// CheckMeaning says what is wrong with the Meaning cell of a Columns sheet; nil when it is understood.
func CheckMeaning(text string) error {
	c := readHeader(text)
	switch {
	case c.meaning == "" && c.why != "":
		return fmt.Errorf("%q: %s", text, c.why)
	case c.meaning == "" || c.why != "":
		return fmt.Errorf("%q is no meaning of a column: write one of %s, with its unit and currency where it has one (price EUR/m3)",
			text, strings.Join(Meanings(), ", "))
	}
	return nil
}

// recognise reads the headers of a row, first by the job book's mapping, then by itself.
func recognise(cells []string, sheet string, mapping []ColumnMeaning) []column {
	var out []column
	for i, text := range cells {
		if tidy(text) == "" {
			continue
		}
		c := readHeader(text)
		for _, m := range mapping {
			if (m.Sheet == "" || sameName(m.Sheet, sheet)) && sameName(m.Header, text) {
				c = readHeader(m.Meaning)
				c.header, c.mapped = text, true
			}
		}
		c.col = i + 1
		out = append(out, c)
	}
	return out
}

// sameName compares names of sheets and headers without regard to case, accents and spacing.
func sameName(a, b string) bool { return fold(tidy(a)) == fold(tidy(b)) }

// needed are the columns without which a line is no offer.
var needed = []meaning{isWood, isThickness, isWidth, isLength, isPrice}

// score is how many different columns a row of headers names; 0 when it can be no header row.
func score(cols []column) int {
	seen := map[meaning]bool{}
	for _, c := range cols {
		if c.meaning != "" {
			seen[c.meaning] = true
		}
	}
	n := len(seen)
	if n < 3 || !seen[isPrice] && !seen[isWood] {
		return 0
	}
	return n
}
