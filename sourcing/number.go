package sourcing

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"github.com/shopspring/decimal"
	"golang.org/x/text/unicode/norm"
)

// errAmbiguous: "1.350" is 1350 to one reader and 1.35 to another.
var errAmbiguous = errors.New("can be read with a decimal mark or with a thousands mark")

// machineNumber is how a workbook stores a number: a point, no groups, perhaps an exponent.
var machineNumber = regexp.MustCompile(`^-?\d+(\.\d+)?([eE][-+]?\d{1,3})?$`)

// looksGrouped is what of it could also be text with a thousands point.
var looksGrouped = regexp.MustCompile(`^-?[1-9]\d{0,2}\.\d{3}$`)

var (
	spaces = strings.NewReplacer("\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\t", " ", "\n", " ", "\r", " ",
		"’", "'", "‘", "'", "′", "'", "″", `"`, "”", `"`, "“", `"`, "„", `"`, "''", `"`, "’’", `"`, "−", "-", "–", "-", "—", "-", "‐", "-", "‑", "-",
		"¼", " 1/4", "½", " 1/2", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⁄", "/")
	manySpaces = regexp.MustCompile(` {2,}`)
	// "895,-" and "895.–" are whole amounts.
	wholeAmount = regexp.MustCompile(`(\d)[.,]-+`)
)

// tidy makes look-alike characters of a cell one: spaces, dashes, inch and foot signs, fractions, wide digits. What shows nothing goes.
func tidy(s string) string {
	if isPlain(s) {
		return strings.TrimSpace(s)
	}
	s = norm.NFKC.String(spaces.Replace(Printable(s)))
	return strings.TrimSpace(manySpaces.ReplaceAllString(spaces.Replace(s), " "))
}

// isPlain reports whether a text has nothing to tidy but its ends: most cells of a long sheet.
func isPlain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '\'' || c == ' ' && i > 0 && s[i-1] == ' ' {
			return false
		}
	}
	return true
}

// mostDigits is how long a number can be, with its marks.
const mostDigits = 40

// parseNumber reads a number as people write it: 1,234.50 · 1.234,50 · 1 234,50 · 1'234.50 · 895,-. mark is the decimal
// mark where it is known ('.' or ','), else 0; then "1.350" is errAmbiguous. shown is the decimal mark that the text
// proves, 0 when it proves none.
func parseNumber(text string, mark rune) (v decimal.Decimal, shown rune, err error) {
	s := wholeAmount.ReplaceAllString(tidy(text), "$1")
	isWhole := s != tidy(text) // it has no decimals, so that a mark within it parts thousands
	digits := strings.TrimPrefix(strings.TrimPrefix(s, "-"), "+")
	bad := func() (decimal.Decimal, rune, error) {
		return decimal.Zero, 0, fmt.Errorf("%q is not a number", shorten(text))
	}
	if len(digits) == 0 || len(digits) > mostDigits || len(s)-len(digits) > 1 || strings.Trim(digits, "0123456789.,' ") != "" {
		return bad()
	}
	points, commas := strings.Count(digits, "."), strings.Count(digits, ",")
	var group string // the marks between thousands
	switch {
	case points > 0 && commas > 0:
		if shown = '.'; strings.LastIndex(digits, ",") > strings.LastIndex(digits, ".") {
			shown = ','
		}
	case points > 1:
		shown = ','
	case commas > 1:
		shown = '.'
	case points+commas == 1:
		shown = '.'
		if commas == 1 {
			shown = ','
		}
		whole, part, _ := strings.Cut(digits, string(shown))
		if len(part) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole != "0" && !strings.ContainsAny(whole, " '") {
			switch {
			case isWhole && shown == '.':
				shown = ','
			case isWhole:
				shown = '.'
			case mark == 0:
				return decimal.Zero, 0, fmt.Errorf("%q %w", shorten(text), errAmbiguous)
			default:
				shown = mark
			}
		}
	}
	whole, part := digits, ""
	if shown != 0 {
		var found bool
		if whole, part, found = strings.Cut(digits, string(shown)); found && part == "" {
			return bad()
		}
		group = map[rune]string{'.': ",", ',': "."}[shown]
	}
	if strings.Trim(part, "0123456789") != "" {
		return bad()
	}
	if strings.ContainsAny(whole, " '"+group) {
		groups := strings.FieldsFunc(whole, func(r rune) bool { return strings.ContainsRune(" '"+group, r) })
		for i, g := range groups {
			if len(g) > 3 || i > 0 && len(g) != 3 {
				return bad()
			}
		}
		if joined := strings.Join(groups, ""); len(joined)+len(groups)-1 != len(whole) {
			return bad() // two marks in a row, or one at an end
		} else {
			whole = joined
		}
	}
	if strings.Trim(whole, "0123456789") != "" || whole+part == "" {
		return bad()
	}
	if whole == "" {
		whole = "0"
	}
	if part != "" && len(whole+part) >= mostDigits { // ".5" and "0.5" are one number, and both are read or neither
		return bad()
	}
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign = "-"
	}
	if part != "" {
		part = "." + part
	}
	v, err = decimal.NewFromString(sign + whole + part)
	if err != nil {
		return bad()
	}
	return v, shown, nil
}
