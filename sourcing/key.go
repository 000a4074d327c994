package sourcing

import (
	"errors"
	"regexp"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// A key is what a price column's header fixes beside currency and unit: in a matrix a thickness, wood or grade, and in price breaks the
// quantity it holds from.
type key struct {
	wood          string // as named
	thick         thickness
	width, length size
	grade         string
	moisture      string
	certified     int // 1, −1; 0: not said
	isBreak       bool
	from, upTo    decimal.Decimal // of a break, in fromUnit; upTo zero: open
	other         decimal.Decimal // the other reading of from, where it has two: "1.000"
	fromUnit      Unit            // empty: as the price
	unusable      string          // why the break says no quantity: a full truck
	bare          string          // a figure whose unit nothing says
}

// kind is which of its fields a key has set, as a word; empty for none.
func (k key) kind() string {
	var kinds []string
	for _, f := range []struct {
		set  bool
		name string
	}{{k.wood != "", "wood"}, {k.thick.mm > 0, "thickness"}, {k.width.given(), "width"}, {k.length.given(), "length"}, {k.grade != "", "grade"},
		{k.moisture != "", "moisture"}, {k.certified != 0, "certificate"}, {k.isBreak, "quantity"}, {k.bare != "", "figure"}} {
		if f.set {
			kinds = append(kinds, f.name)
		}
	}
	return strings.Join(kinds, " and ")
}

// article is the key without its quantity: columns of one article are the steps of one price.
func (k key) article() key {
	k.isBreak, k.from, k.upTo, k.other, k.fromUnit, k.unusable = false, decimal.Decimal{}, decimal.Decimal{}, decimal.Decimal{}, "", ""
	return k
}

// merge joins two keys; false when they say the same thing twice.
func (k key) merge(o key) (key, bool) {
	if k.wood != "" && o.wood != "" || k.thick.mm > 0 && o.thick.mm > 0 || k.width.given() && o.width.given() || k.length.given() && o.length.given() ||
		k.grade != "" && o.grade != "" || k.moisture != "" && o.moisture != "" || k.certified != 0 && o.certified != 0 || k.isBreak && o.isBreak ||
		k.bare != "" && o.bare != "" {
		return key{}, false
	}
	if o.wood != "" {
		k.wood = o.wood
	}
	if o.thick.mm > 0 {
		k.thick = o.thick
	}
	if o.width.given() {
		k.width = o.width
	}
	if o.length.given() {
		k.length = o.length
	}
	if o.grade != "" {
		k.grade = o.grade
	}
	if o.moisture != "" {
		k.moisture = o.moisture
	}
	if o.certified != 0 {
		k.certified = o.certified
	}
	if o.isBreak {
		k.isBreak, k.from, k.upTo, k.other, k.fromUnit, k.unusable = true, o.from, o.upTo, o.other, o.fromUnit, o.unusable
	}
	if o.bare != "" {
		k.bare = o.bare
	}
	return k, true
}

const breakFigure = `(\d[\d.,']*(?: \d{3})*)`

var (
	breakUnit  = `(?: ?([a-z]+ ?ft|[a-z]+[23]?)\.?)?`
	breakFrom  = regexp.MustCompile(`^(.*?)\b(?:ab|from|over|above|da|desde|oltre|a partir de|a partire da|des|plus de|mas de|mehr als|uber|min|mind|mindestens)\b\.? ?` + breakFigure + breakUnit + ` ?\+?(.*)$`)
	breakSign  = regexp.MustCompile(`^(.*?)(?:>=|>|≥) ?` + breakFigure + breakUnit + `(.*)$`)
	breakPlus  = regexp.MustCompile(`^(.*?)` + breakFigure + breakUnit + ` ?(?:\+|(?:and|&) ?(?:up|more|over)\b|up\b|or more\b|(?:und|oder) mehr\b|et plus\b|e oltre\b|(?:y|o) mas\b|aufwarts\b)` + breakUnit + `(.*)$`)
	breakRange = regexp.MustCompile(`^(.*?)` + breakFigure + breakUnit + ` ?(?:-|\bto\b|\bbis\b|\ba\b|\bal\b) ?` + breakFigure + breakUnit + `(.*)$`)
	breakUpTo  = regexp.MustCompile(`^(.*?)(?:\b(?:bis|up to|to|jusqu'?a|fino a|hasta|under|unter|below|moins de|meno di|menos de)\b|<=|<|≤) ?` + breakFigure + breakUnit + `(.*)$`)
	onePack    = regexp.MustCompile(`^(?:full|whole|complete|ganze[sr]?|volle[sr]?|original) ?-?(?:packs?|pakete?|bundle)$|^(?:paquet|colis) (?:entier|complet)$|^pacco (?:intero|completo)$|^paquete (?:entero|completo)$|^(?:originalpaket|packweise|paketweise)$`)
	truck      = regexp.MustCompile(`^(?:full )?truck(?:load)?s?$|^ftl$|^(?:voller |ganzer )?lkw(?: ?-?ladung)?$|^camion(?: complet| completo)?$|^carico completo$|^(?:full )?container$|^komplettladung$`)
)

// parseBreak reads the quantity a price holds from: "from 5 m3", "1-99", "100+", ">= 500", "bis 5 m³", "full pack". left is what else the
// text says.
func parseBreak(text string) (k key, left string, ok bool) {
	s := strings.ReplaceAll(fold(tidy(text)), "≥", ">=")
	k.isBreak = true
	switch {
	case onePack.MatchString(s):
		k.from, k.fromUnit = decimal.NewFromInt(1), perPack
		return k, "", true
	case truck.MatchString(s):
		k.unusable = "a load has no set quantity"
		return k, "", true
	}
	number := func(figure string) (v, other decimal.Decimal, err error) {
		figure = strings.Trim(figure, ".,' ")
		v, _, err = parseNumber(figure, 0)
		if errors.Is(err, errAmbiguous) {
			if v, _, err = parseNumber(figure, '.'); err == nil {
				other, _, err = parseNumber(figure, ',')
			}
			if other.GreaterThan(v) { // the larger reading is the likelier step, and the smaller is kept beside it
				v, other = other, v
			}
		}
		return v, other, err
	}
	// A word behind the figure that is no unit belongs to the rest.
	unit := func(words ...string) (u Unit, rest string, ok bool) {
		for _, w := range words {
			if w == "" {
				continue
			}
			named, known := priceUnitOf[w]
			switch {
			case !known:
				rest += " " + w
			case u != "" && u != named:
				return "", "", false
			default:
				u = named
			}
		}
		return u, rest, true
	}
	var from, upTo, rest string
	var units []string
	over := false
	switch {
	case breakRange.MatchString(s):
		m := breakRange.FindStringSubmatch(s)
		from, upTo, units, rest = m[2], m[4], []string{m[3], m[5]}, m[1]+" "+m[6]
	case breakPlus.MatchString(s):
		m := breakPlus.FindStringSubmatch(s)
		from, units, rest = m[2], []string{m[3], m[4]}, m[1]+" "+m[5]
	case breakFrom.MatchString(s):
		m := breakFrom.FindStringSubmatch(s)
		from, units, rest = m[2], []string{m[3]}, m[1]+" "+m[4]
	case breakSign.MatchString(s):
		m := breakSign.FindStringSubmatch(s)
		from, units, rest = m[2], []string{m[3]}, m[1]+" "+m[4]
		over = !strings.Contains(s, ">=")
	case breakUpTo.MatchString(s):
		m := breakUpTo.FindStringSubmatch(s)
		upTo, units, rest = m[2], []string{m[3]}, m[1]+" "+m[4]
	default:
		return key{}, "", false
	}
	if dayAndMonth.MatchString(from) || dayAndMonth.MatchString(upTo) { // "from 1.4."
		return key{}, "", false
	}
	u, more, ok := unit(units...)
	if !ok || strings.ContainsAny(rest, "0123456789") && !unitDigits.MatchString(rest) {
		return key{}, "", false
	}
	k.fromUnit = u
	if from != "" {
		var err error
		if k.from, k.other, err = number(from); err != nil {
			return key{}, "", false
		}
		if over && u == PerPiece {
			k.from = k.from.Add(decimal.NewFromInt(1))
		}
	}
	if upTo != "" {
		var err error
		if k.upTo, _, err = number(upTo); err != nil {
			return key{}, "", false
		}
		if from != "" && k.upTo.LessThan(k.from) {
			return key{}, "", false
		}
	}
	return k, strings.TrimSpace(rest + " " + more), true
}

var dayAndMonth = regexp.MustCompile(`^\d{1,2}\.\d{1,2}\.`)

// unitDigits: the figures of "EUR/m3" are none.
var unitDigits = regexp.MustCompile(`^[^\d]*(?:\bm[23]\b[^\d]*)*$`)

// gradeLetters are grades that only stand alone.
var gradeLetters = regexp.MustCompile(`^(?:[abc](?:/[abc])?|i{1,3}|[123]\. ?(?:wahl|choix|scelta|sorte)|(?:1|2|3)(?:er|e|eme|ere) choix|(?:prima|seconda|terza)(?: scelta)?|(?:primera|segunda|tercera)(?: calidad)?|q-[abf][12x]?|f-[abf][12x]?)$`)

// bareFigure is a figure alone.
var bareFigure = regexp.MustCompile(`^\d{1,4}(?:[.,]\d{1,3})?$`)

// keyOf reads what a piece of a header fixes. label is what an upper header says that the pieces below it count.
func (lay *layouter) keyOf(text string, label column) (k key, ok bool) {
	s := tidy(text)
	if s == "" || len(s) > maxHeader || !lay.mayWork() {
		return key{}, false
	}
	switch label.meaning {
	case isThickness:
		if t, err := headThickness(s, label.length); err == nil {
			return key{thick: t}, true
		}
	case isWidth, isLength:
		z, err := parseSize(s, label.length, 0)
		mm, _ := z.usable(label.meaning)
		if err == nil && mm > 0 {
			if label.meaning == isWidth {
				return key{width: z}, z.within(widthLimits)
			}
			return key{length: z}, z.within(lengthLimits)
		}
	case isGrade:
		return key{grade: s}, true
	case isWood:
		if lay.isWoodName(s) {
			return key{wood: s}, true
		}
	case isMinimum, isAvailable:
		if bareFigure.MatchString(s) {
			if v, _, err := parseNumber(s, 0); err == nil {
				return key{isBreak: true, from: v, fromUnit: label.unit}, true
			}
		}
		if k, left, ok := parseBreak(s); ok && left == "" {
			if k.fromUnit == "" {
				k.fromUnit = label.unit
			}
			return k, true
		}
	}
	if state, ok := moistureOf(s); ok {
		return key{moisture: state}, true
	}
	if gradeYield(s) > 0 || gradeLetters.MatchString(fold(s)) {
		return key{grade: s}, true
	}
	if bareFigure.MatchString(s) {
		return key{bare: s}, true
	}
	if t, err := headThickness(s, ""); err == nil {
		return key{thick: t}, true
	}
	if longUnit.MatchString(fold(s)) { // "2 m", "8'": no plank is as thick or wide
		if z, err := parseSize(s, "", 0); err == nil && z.within(lengthLimits) {
			if mm, _ := z.usable(isLength); mm > 0 {
				return key{length: z}, true
			}
		}
	}
	ws := words(s)
	denied, named := false, false
	for _, w := range ws {
		denied = denied || isNo[w] || isWithout[w]
		named = named || strings.HasPrefix(w, "fsc") || strings.HasPrefix(w, "pefc")
	}
	switch {
	case named && denied:
		return key{certified: -1}, true
	case says(isYes, s) && named:
		return key{certified: 1}, true
	}
	if k, left, ok := parseBreak(s); ok && strings.Trim(left, " /()") == "" {
		if k.fromUnit == PerMetre && !k.upTo.IsZero() || k.fromUnit == PerFoot && !k.upTo.IsZero() { // "2,0-2,9 m" can be lengths
			if z, err := parseSize(s, "", 0); err == nil && z.within(lengthLimits) && z.span.LowMM > 0 {
				return key{length: z}, true
			}
		}
		return k, true
	}
	if lay.isWoodName(s) {
		return key{wood: s}, true
	}
	return key{}, false
}

// maxWork is how many pieces of headers and titles are looked into in a file. A price list has some hundreds; a file made to be slow has
// no end of them.
const maxWork = 150_000

func (lay *layouter) mayWork() bool {
	if lay.work == nil {
		lay.work = new(int)
	}
	*lay.work++
	return *lay.work <= maxWork
}

// longUnit is a figure in metres or feet.
var longUnit = regexp.MustCompile(`^\d[\d.,]* ?(?:m|ft|feet|')$`)

// headThickness reads a thickness that a header fixes.
func headThickness(s string, unit lengthUnit) (thickness, error) {
	var t thickness
	var err error
	if unit == inQuarters && quarterFigure.MatchString(s) {
		t, err = parseThickness(s+"/4", unit, 0)
	} else {
		t, err = parseThickness(s, unit, 0)
	}
	if err == nil && (t.mm < thicknessLimits[0] || t.mm > thicknessLimits[1]) {
		err = errors.New("is no plank's")
	}
	return t, err
}

// isWoodName reports whether a text names a wood, be it not clear which.
func (lay *layouter) isWoodName(s string) bool {
	if lay.wood == nil || bareFigure.MatchString(s) || strings.ContainsAny(s, "€$%=") {
		return false
	}
	ws := words(s)
	if len(ws) > 8 || !slices.ContainsFunc(ws, func(w string) bool { return lay.names[w] }) && !lay.names[strings.Join(ws, "")] {
		return false
	}
	_, err := lay.wood(s)
	return err == nil || isAmbiguous(err)
}

// keyed reads the texts above a price column, from the top: prices, what the figures below count, and what they are. spanning
// says that bare figures may be keys: they stand below a header that reaches over several columns, or below none.
func (lay *layouter) keyed(parts []string, spanning bool) (column, bool) {
	c := column{meaning: isPrice, header: strings.Join(parts, " ")}
	label := column{}
	priced, used := false, false
	inPieces := false // a bare figure is one only as a whole cell
	take := func(p string) bool {
		if len(p) > maxPhrase || !lay.mayWork() {
			return false
		}
		if h := lay.header(p); h.meaning == isPrice {
			if c.unit != "" && h.unit != "" && h.unit != c.unit || c.currency != "" && h.currency != "" && h.currency != c.currency {
				return false
			}
			if h.unit != "" {
				c.unit = h.unit
			}
			if h.currency != "" {
				c.currency = h.currency
			}
			if h.why != "" {
				c.why = h.why
			}
			priced = true
			return true
		} else if h.meaning != "" && h.meaning != isIgnored && h.meaning != isCertificate {
			switch h.meaning {
			case isThickness, isWidth, isLength, isGrade, isWood, isMinimum, isMoisture, isAvailable:
				label = h
				return true
			}
			return false
		}
		var a amount
		if unknown := a.around(words(p), nil); unknown == nil && (a.unit != "" || a.currency != "") && vague(p) == "" && !strings.ContainsAny(p, "0123456789+") {
			if c.unit == "" {
				c.unit = a.unit
			}
			if c.currency == "" {
				c.currency = a.currency
			}
			return a.currency != "" || priced
		}
		k, ok := lay.keyOf(p, label)
		if !ok || k.bare != "" && (inPieces || !spanning) && label.meaning == "" {
			return false
		}
		if c.key, ok = c.key.merge(k); !ok {
			return false
		}
		used, label = true, column{}
		return true
	}
	for _, p := range parts {
		if take(p) {
			continue
		}
		// "Preis ab 5 m³", "26 mm €/m³", "FAS $/BF", "Preis €/m³ / Stärke mm": two or three things in one cell.
		if len(p) > maxPhrase {
			return column{}, false
		}
		fields := strings.Fields(strings.NewReplacer("(", " ", ")", " ", ";", " ").Replace(p))
		inPieces = true
		if len(fields) < 2 || len(fields) > 10 || !lay.split(fields, take, 3, func() func() {
			saved, savedLabel, savedPriced, savedUsed := c, label, priced, used
			return func() { c, label, priced, used = saved, savedLabel, savedPriced, savedUsed }
		}) {
			return column{}, false
		}
		inPieces = false
	}
	if label.meaning != "" && !used {
		return column{}, false
	}
	return c, priced || used
}

// split cuts fields into at most n runs that take accepts in order.
func (lay *layouter) split(fields []string, take func(string) bool, n int, save func() func()) bool {
	for cut := len(fields); cut > 0; cut-- {
		if cut < len(fields) && n == 1 {
			return false
		}
		restore := save()
		run := strings.Trim(strings.Join(fields[:cut], " "), "/|:-– ")
		if (run == "" || take(run)) && (cut == len(fields) || lay.split(fields[cut:], take, n-1, save)) {
			return true
		}
		restore()
	}
	return false
}
