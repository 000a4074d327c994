package sourcing

import (
	"regexp"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// A said is what stands around a table's lines and holds for them: in sheet names, titles, section titles and notes.
type said struct {
	wood        string // as named; [reader.wood] knows which it is
	thick       thickness
	width       size
	length      size
	grade       string
	moisture    string
	planed      bool
	strip       bool
	unit        Unit
	currency    string
	certified   int // 1, −1; 0: not said
	lead        int
	hasLead     bool
	distance    decimal.Decimal // km
	hasDistance bool
	valid       time.Time
	listed      time.Time  // the day the list came out
	lengths     lengthUnit // of all sizes
	perMeaning  map[meaning]lengthUnit
	quantities  map[meaning]Unit // of minimum, pack, available
	incremental bool
	gross       bool
	minimum     bool // speaks of a minimum order, a surcharge or freight, which is no offer's
	unknown     []string
	row, col    int // where; 0: in the sheet's name
	text        string
}

// any reports whether it says anything at all of the goods.
func (s said) any() bool {
	return s.wood != "" || s.thick.mm > 0 || s.width.given() || s.length.given() || s.grade != "" || s.moisture != "" || s.planed || s.strip ||
		s.unit != "" || s.currency != "" || s.certified != 0 || s.hasLead || s.hasDistance || !s.valid.IsZero() || s.lengths != "" || len(s.perMeaning) > 0 || len(s.quantities) > 0
}

// under is what holds where s is said within o: s goes before o.
func (s said) under(o said) said {
	out := s
	if out.wood == "" {
		out.wood, out.row, out.col = o.wood, o.row, o.col
	}
	if out.thick.mm == 0 {
		out.thick = o.thick
	}
	if !out.width.given() {
		out.width = o.width
	}
	if !out.length.given() {
		out.length = o.length
	}
	if out.grade == "" {
		out.grade = o.grade
	}
	if out.moisture == "" {
		out.moisture = o.moisture
	}
	out.planed, out.strip = out.planed || o.planed, out.strip || o.strip
	if out.unit == "" {
		out.unit = o.unit
	}
	if out.currency == "" {
		out.currency = o.currency
	}
	if out.certified == 0 {
		out.certified = o.certified
	}
	if !out.hasLead {
		out.lead, out.hasLead = o.lead, o.hasLead
	}
	if !out.hasDistance {
		out.distance, out.hasDistance = o.distance, o.hasDistance
	}
	if out.valid.IsZero() {
		out.valid = o.valid
	}
	if out.listed.IsZero() {
		out.listed = o.listed
	}
	if out.lengths == "" {
		out.lengths = o.lengths
	}
	if out.perMeaning == nil {
		out.perMeaning = o.perMeaning
	}
	if out.quantities == nil {
		out.quantities = o.quantities
	}
	out.incremental, out.gross = out.incremental || o.incremental, out.gross || o.gross
	return out
}

var (
	incrementalWords = regexp.MustCompile(`only (?:for )?the (?:quantity|part|amount|volume|units?) (?:above|over|beyond)|for the (?:part|quantity) above|\bincremental\b|fu?r die mehrmenge|fuer die mehrmenge|nur fue?r die menge ue?ber|nur (?:auf )?die mehrmenge|ubersteigende menge|uebersteigende menge|darubergehende menge|pour la (?:tranche|partie|quantite) (?:au-dela|superieure|excedentaire)|tarif par tranches|per la (?:sola )?(?:parte|quota|quantita) eccedente|(?:por|a) la parte que exced|solo la parte que exced|solo a la cantidad que exced`)
	grossWords       = regexp.MustCompile(`\b(?:incl(?:uding|usive|\.)?|inkl(?:usive|\.)?|inclus[aeo]?|incluid[oa]s?|compres[ao]|mit)\.? *(?:\d+(?:[.,]\d)? ?% ?)?(?:vat|mwst|mehrwertsteuer|ust|tva|iva|sales tax)\b|\b(?:vat|mwst|tva|iva)\.? (?:\d+ ?% )?(?:included|incl|incluse?|inclusa|incluido|comprise|inklusive|enthalten|compresa)\b|\bttc\b|\bbrutto(?:preise)?\b|\bgross prices?\b|\bprices? (?:are )?gross\b`)
	notGross         = regexp.MustCompile(`\b(?:not?|nicht|non|sans|pas|ohne|without|excl\w*|exkl\w*)\b`)
	validWords       = regexp.MustCompile(`(?:\bvalid (?:until|till|to|through)|\bgultig bis(?: zum)?|\bgueltig bis(?: zum)?|valables? jusqu'?au|valid[oaie] fino al|valid[oa]s? hasta(?: el)?|\bexpires(?: on)?|valid from .{6,20} (?:until|to)|gultig (?:ab|vom) .{6,12} bis(?: zum)?):? *(.+)$`)
	listedWords      = regexp.MustCompile(`(?:\beffective(?: from)?|\bas of|\bstand|\bgultig ab|\bgueltig ab|\bvom|\bab|\bfrom|\bdu|en vigueur (?:au|le|des le)|valid[oaie] dal|\bdal|\bdesde el|\bdate|\bdatum|\bvom)[: ]+(.+)$`)
	aDate            = regexp.MustCompile(`\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./-] ?\d{1,2}[./-] ?\d{2,4}|\d{1,2}\.? ?(?:de )?[a-z]{3,10}\.? ?(?:de |del )?\d{4}|[a-z]{3,10}\.? \d{1,2}(?:st|nd|rd|th)?,? \d{4}`)
	leadWords        = regexp.MustCompile(`(?:lead time|delivery(?: time)?|lieferzeit|lieferfrist|delai(?: de livraison)?|tempi di consegna|consegna|plazo de entrega|entrega)[: ]+((?:ca\.? ?|approx\.? ?|about |within |in |environ )?\d{1,3}(?: ?(?:-|to|bis|a) ?\d{1,3})? ?[a-z]+)`)
	minimumWords     = regexp.MustCompile(`\bmin(?:imum|\.|dest\w*|imo|ima|imale?)?\b.*\b(?:order|quantity|qty|value|menge|bestell\w*|abnahme|auftrag\w*|commande|quantite|ordine|quantita|pedido|cantidad)|mindest(?:bestell|abnahme|auftrags|menge)|minimum order|surcharge|zuschlag|aufpreis|aufschlag|supplement|sovrapprezzo|supplemento|maggiorazione|recargo|freight|fracht|porto|trasporto|discount|rabatt|skonto|remise|escompte|sconto|descuento`)
	moistureFigure   = regexp.MustCompile(`^(.*?)(\d{1,2}(?:[.,]\d)? ?(?:(?:-|±|\+/-|bis|to|a) ?\d{1,2}(?:[.,]\d)? ?)?)%(.*)$`)
)

var moistureStates = func() map[string]string {
	out := map[string]string{}
	phrases(out, `kd, kt, kiln dried, kiln dry, kammergetrocknet, kammertrocken, technisch getrocknet, künstlich getrocknet, getrocknet, séché, sec séchoir, séché au séchoir,
		séché artificiellement, essiccato, essiccato artificialmente, secado, secado en cámara, secado en horno, secado al horno, seco`, "KD")
	phrases(out, `ad, air dried, air dry, luftgetrocknet, lufttrocken, naturgetrocknet, lt, ressuyé, séché à l air, sec à l air, stagionato, essiccato all aria, secado al aire`, "AD")
	phrases(out, `green, fresh sawn, freshly sawn, undried, unseasoned, wet, frisch, sägefrisch, waldfrisch, frisch eingeschnitten, nass, ungetrocknet, vert, frais, non séché, fresco, non essiccato, verde, sin secar`, "green")
	return out
}()

var moistureNames = phrases(nil, `moisture, mc, moisture content, holzfeuchte, hf, feuchte, u, humidité, umidità, humedad, to, auf, à, al, h, max, maximum, maximal, up to, below, under, approx, ca, circa, unter, bis, environ, jusqu à, fino a, hasta`, true)

// moistureOf reads a state of drying: "KD", "kiln dried 8-10 %", "lufttrocken", "HF 8 ± 2 %".
func moistureOf(text string) (string, bool) {
	s := strings.TrimLeft(fold(tidy(text)), "<≤~ ")
	if strings.ContainsAny(s, ">≥") {
		return "", false // no upper figure
	}
	figure := ""
	if m := moistureFigure.FindStringSubmatch(s); m != nil {
		figure = strings.TrimSpace(m[2]) + " %"
		s = m[1] + " " + m[3]
	}
	state, named := "", false
	unknown := spell(words(s), func(p string) bool {
		if v, ok := moistureStates[p]; ok && (state == "" || state == v) {
			state = v
			return true
		}
		if treatments[p] {
			return true
		}
		if moistureNames[p] {
			named = true
			return true
		}
		return false
	})
	if unknown != nil || state == "" && (figure == "" || !named && strings.TrimSpace(s) != "") {
		return "", false
	}
	return strings.TrimSpace(state + " " + figure), true
}

// treatments are words that may stand beside a wood's name and leave it the same wood, without changing an offer.
var treatments = phrases(nil, `steamed, unsteamed, gedämpft, ungedämpft, étuvé, non étuvé, evaporato, non evaporato, vaporizado, rough, rough sawn, sawn, sägerau, sägerauh,
	brut de sciage, waney, waney edged, square edged, unbesäumt, besäumt, parallel besäumt, prismiert, blockware, plots, avivés, tavolame, refilato, non refilato, boules, lumber,
	timber, boards, bretter, bohlen, schnittholz, planches, sciages, tavole, tablas, tablones, hardwood, laubholz, feuillus, latifoglie, price list, preisliste, tarif, listino, lista de precios`, true)

var (
	sentenceEnds = regexp.MustCompile(`[.!] +\b`)
	pieceMarks   = regexp.MustCompile(`\s+[-–|•·]+\s+|[,;:|•·\n()]+(?:\s|$)|\s+/\s+|^\(|\(|\)`)
	// priceWords may stand in a sentence that says what all prices are per, beside fillers, unit and currency.
	priceSaid  = phrases(nil, `price, prices, list price, list prices, preis, preise, alle preise, listenpreise, prix, tous les prix, tarif, tarifs, listino, listino prezzi, staffelpreise, staffelpreis, prezzo, prezzi, tutti i prezzi, precio, precios, todos los precios, quoted, angaben`, true)
	priceExtra = phrases(nil, `all, alle, tous, tout, tutti, todos, i, los, les, are, sind, sont, sono, is, ist, verstehen sich, sich, verstehen, s entendent, s intendono, se entienden,
		frei, frei haus, delivered, ab, ab werk, ab lager, ex, ex works, ex yard, ex mill, ex stock, franco, départ, départ usine, port dû, netto, plus, zzgl, zuzüglich, gesetzlicher, gesetzl, mwst, vat, tva, iva, esclusa, excl, excluded, excluding,
		hors, taxe, ohne, sin, no incluido, más, and, freight, fracht, lieferung, quoted, unless, unless stated otherwise, stated, otherwise, if not stated, wenn nicht anders angegeben, sauf indication contraire, salvo diversa indicazione, salvo indicación contraria,
		kd, net tally, unverbindlich, freibleibend, subject to change, without notice, exw, fca, dap, cpt, nettopreise, werden, angegeben, given, shown, exprimés, espressi, expresados, a, pro, je, lumber, hardwood, hardwoods, list, lists, liste, currency, währung, devise, valuta, moneda`, true)
	sizesSaid = phrases(nil, `dimensions, dimension, sizes, maße, alle maße, abmessungen, alle abmessungen, dimensioni, misure, medidas, toutes les dimensions, all dimensions, all sizes, todas las medidas, dimensiones`, true)
)

// describe reads what a title or note says. What it does not understand comes back in unknown; a note is believed only where nothing is
// left over in its sentence.
func (lay *layouter) describe(text string) said {
	if s, ok := lay.titles[text]; ok {
		return s
	}
	s := lay.read(text)
	if lay.titles == nil {
		lay.titles = map[string]said{}
	}
	if len(lay.titles) < maxNames {
		lay.titles[text] = s
	}
	return s
}

func (lay *layouter) read(text string) (s said) {
	s.text = text
	if len(text) > 400 {
		s.unknown = []string{shorten(text)}
		return s
	}
	whole := fold(tidy(text))
	s.incremental = incrementalWords.MatchString(whole)
	s.gross = isGross(whole)
	s.minimum = minimumWords.MatchString(whole)
	if m := validWords.FindStringSubmatch(whole); m != nil {
		if d := aDate.FindString(m[1]); d != "" {
			s.valid, _ = parseDate(d, orderOf(m[0]))
		}
	}
	if m := listedWords.FindStringSubmatch(whole); m != nil && s.valid.IsZero() {
		if d := aDate.FindString(m[1]); d != "" {
			s.listed, _ = parseDate(d, orderOf(m[0]))
		}
	}
	if m := leadWords.FindStringSubmatch(whole); m != nil {
		if days, err := leadTime(strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(m[1], "within "), "in "), "environ "), 0); err == nil {
			s.lead, s.hasLead = days, true
		}
	}
	if !s.valid.IsZero() || s.hasLead || s.incremental || s.gross || s.minimum {
		// A sentence about terms. Of the goods it says nothing more, but perhaps what prices are per.
		for _, sentence := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(";|\n", r) }) {
			s.priceStatement(sentence)
		}
		return s
	}
	if k, ok := lay.keyOf(text, column{}); ok && k.inTitles() {
		s.takeKey(k)
		return s
	}
	for _, sentence := range sentenceEnds.Split(tidy(text), -1) {
		if s.priceStatement(sentence) {
			continue
		}
		for _, piece := range pieceMarks.Split(sentence, -1) {
			if piece = strings.Trim(piece, " .:-–*"); piece != "" && !s.statement(lay, piece) {
				s.unknown = append(s.unknown, piece)
			}
		}
	}
	return s
}

// orderOf is the order of day and month in a language: words that are not English put the day first.
func orderOf(words string) dayOrder {
	if englishDate.MatchString(words) {
		return orderOpen
	}
	return dayFirst
}

var englishDate = regexp.MustCompile(`^(?:valid (?:until|till|to|through|from)|expires|effective|as of|from|date)\b`)

// isGross reports whether a text says that prices include tax.
func isGross(text string) bool {
	s := fold(tidy(text))
	return grossWords.MatchString(s) && !notGross.MatchString(s)
}

// priceStatement takes "all prices EUR per m3 net": a currency or unit beside words of no weight.
func (s *said) priceStatement(text string) bool {
	ws := words(text)
	if len(ws) > 30 {
		return false
	}
	var a amount
	about := false
	rest := spell(ws, func(p string) bool {
		about = about || priceSaid[p]
		return priceSaid[p] || priceExtra[p] || treatments[p]
	})
	unknown := a.around(rest, nil)
	if unknown != nil || a.unit == "" && a.currency == "" || !about && (a.currency == "" || a.unit == "") || vague(text) != "" {
		return false
	}
	if s.unit == "" {
		s.unit = a.unit
	}
	if s.currency == "" {
		s.currency = a.currency
	}
	return true
}

// statement takes one piece of a title.
func (s *said) statement(lay *layouter, piece string) bool {
	ws := words(piece)
	joined := strings.Join(ws, " ")
	if k, ok := lay.keyOf(piece, column{}); ok && k.inTitles() { // before the words of no weight: "KD", "FSC" may be among them
		return s.takeKey(k)
	}
	if treatments[joined] || s.priceStatement(piece) {
		return true
	}
	if _, isHeader := meaningOf[joined]; isHeader && len(piece) > 2 {
		return true // "Holzart:" before what is said of it
	}
	if spell(ws, func(p string) bool { return priceExtra[p] || isFiller[p] || priceSaid[p] || treatments[p] }) == nil {
		return true // "excl. VAT", "Preise Laubholz"
	}
	// "Stock in m³"
	if m, unit, ok := quantityStatement(ws); ok {
		if s.quantities == nil {
			s.quantities = map[meaning]Unit{}
		}
		s.quantities[m] = unit
		return true
	}
	// "alle Maße in mm", "thickness in mm"
	if unit, of, ok := sizeStatement(ws); ok {
		if of == isSize {
			s.lengths = unit
		} else {
			if s.perMeaning == nil {
				s.perMeaning = map[meaning]lengthUnit{}
			}
			s.perMeaning[of] = unit
		}
		return true
	}
	if d, _ := parseDate(piece, orderOpen); !d.IsZero() {
		s.listed = d
		return true
	}
	// "Qualität A", "Breite 100-180 mm", "random widths 6\" and up"
	for n := min(3, len(ws)-1); n > 0; n-- {
		m, ok := meaningOf[strings.Join(ws[:n], " ")]
		if !ok || len(strings.Join(ws[:n], "")) < 2 && m != isThickness {
			continue
		}
		rest := afterWords(piece, n)
		if rest != "" && s.labelled(m, rest) {
			return true
		}
	}
	if m, ok := sizeWords(piece); ok {
		if z, err := parseSize(piece, "", 0); err == nil && z.given() && s.labelledSize(m, z) {
			return true
		}
		if stripped := strings.TrimSpace(sizeNames.ReplaceAllString(fold(tidy(piece)), " ")); stripped != "" {
			if z, err := parseSize(stripped, "", 0); err == nil && s.labelledSize(m, z) {
				return true
			}
		}
	}
	strip, planed := false, false
	if unknown := spell(ws, func(p string) bool {
		strip, planed = strip || isStrip[p], planed || isPlaned[p]
		return isStrip[p] || isPlaned[p] || treatments[p]
	}); unknown == nil && (strip || planed) {
		s.strip, s.planed = s.strip || strip, s.planed || planed
		return true
	}
	// Several things without a mark between: "Rotbuche KD 26 mm".
	fields := strings.Fields(piece)
	if len(fields) < 2 || len(fields) > 8 {
		return false
	}
	take := func(p string) bool {
		pw := words(p)
		if len(pw) == 0 || treatments[strings.Join(pw, " ")] || says(isPlaned, p) || says(isStrip, p) {
			s.planed, s.strip = s.planed || says(isPlaned, p), s.strip || says(isStrip, p)
			return true
		}
		k, ok := lay.keyOf(p, column{})
		return ok && k.inTitles() && s.takeKey(k)
	}
	return lay.split(fields, take, 4, func() func() {
		saved := *s
		return func() { *s = saved }
	})
}

// terms is what s says that is no matter of single goods: units, currency, dates, delivery.
func (s said) terms() said {
	return said{unit: s.unit, currency: s.currency, lengths: s.lengths, perMeaning: s.perMeaning, quantities: s.quantities, valid: s.valid, listed: s.listed,
		lead: s.lead, hasLead: s.hasLead, incremental: s.incremental, gross: s.gross}
}

// inTitles reports whether a title can say it so: not a bare figure, a quantity, or a grade of one letter, which names many other things.
func (k key) inTitles() bool {
	return !k.isBreak && k.bare == "" && (k.grade == "" || gradeYield(k.grade) > 0 || len(k.grade) > 3)
}

func (s *said) takeKey(k key) bool {
	switch {
	case k.wood != "" && s.wood != "" && fold(k.wood) != fold(s.wood), k.thick.mm > 0 && s.thick.mm > 0, k.grade != "" && s.grade != "":
		return false
	}
	if k.wood != "" {
		s.wood = k.wood
	}
	if k.thick.mm > 0 {
		s.thick = k.thick
	}
	if k.grade != "" {
		s.grade = k.grade
	}
	if k.moisture != "" {
		s.moisture = strings.TrimSpace(s.moisture + " " + k.moisture)
	}
	if k.certified != 0 {
		s.certified = k.certified
	}
	if k.length.given() {
		s.length = k.length
	}
	return true
}

// labelled takes what stands behind the name of a column.
func (s *said) labelled(m meaning, rest string) bool {
	switch m {
	case isWidth, isLength:
		z, err := parseSize(rest, "", 0)
		return err == nil && s.labelledSize(m, z)
	case isGrade:
		if s.grade != "" || len(rest) > 20 {
			return false
		}
		s.grade = rest
		return true
	case isMoisture:
		state, ok := moistureOf(rest)
		if ok {
			s.moisture = state
		}
		return ok
	case isThickness:
		t, err := headThickness(rest, "")
		if err == nil {
			s.thick = t
		}
		return err == nil
	case isPrice:
		return s.priceStatement("price " + rest)
	case isCurrency:
		return s.priceStatement("price " + rest)
	}
	return false
}

func (s *said) labelledSize(m meaning, z size) bool {
	limits := widthLimits
	if m == isLength {
		limits = lengthLimits
	}
	if !z.within(limits) {
		return false
	}
	if m == isWidth {
		s.width = z
	} else {
		s.length = z
	}
	return true
}

var (
	widthNamed  = regexp.MustCompile(`\b(?:widths?|wide|wider|rw|breiten?|breit|largeurs?|larghezz[ae]|anchos?|anchuras?)\b`)
	lengthNamed = regexp.MustCompile(`\b(?:lengths?|long|longer|rl|langen?|lang|longueurs?|lunghezz[ae]|largos?|longitud(?:es)?)\b`)
	sizeNames   = regexp.MustCompile(`\b(?:widths?|wide|lengths?|long|breiten?|breit|largeurs?|larghezz[ae]|anchos?|anchuras?|langen?|lang|longueurs?|lunghezz[ae]|largos?|longitud(?:es)?)\b`)
)

// sizeWords tells of which size a piece speaks.
func sizeWords(piece string) (meaning, bool) {
	s := fold(tidy(piece))
	switch w, l := widthNamed.MatchString(s), lengthNamed.MatchString(s); {
	case w && !l:
		return isWidth, true
	case l && !w:
		return isLength, true
	}
	return "", false
}

// sizeStatement is "all sizes in mm" or "thickness in mm".
func sizeStatement(ws []string) (unit lengthUnit, of meaning, ok bool) {
	if len(ws) < 2 || len(ws) > 8 {
		return "", "", false
	}
	for _, w := range ws {
		if strings.ContainsAny(w, "0123456789") {
			return "", "", false
		}
	}
	of = ""
	unknown := spell(ws, func(p string) bool {
		if u, isUnit := lengthWords[p]; isUnit && p != "in" && p != "e" && unit == "" {
			unit = u
			return true
		}
		if sizesSaid[p] && of == "" {
			of = isSize
			return true
		}
		if m := meaningOf[p]; (m == isThickness || m == isWidth || m == isLength) && of == "" && len(p) > 2 {
			of = m
			return true
		}
		return isFiller[p] || priceExtra[p]
	})
	return unit, of, unknown == nil && unit != "" && of != ""
}

// quantityStatement is "stock in m³".
func quantityStatement(ws []string) (m meaning, unit Unit, ok bool) {
	if len(ws) < 2 || len(ws) > 6 {
		return "", "", false
	}
	var a amount
	unknown := spell(ws, func(p string) bool {
		if h := meaningOf[p]; (h == isAvailable || h == isMinimum || h == isPack) && m == "" && len(p) > 2 {
			m = h
			return true
		}
		return a.around(strings.Fields(p), nil) == nil
	})
	return m, a.unit, unknown == nil && m != "" && a.unit != "" && a.currency == ""
}

// afterWords is a text behind its first n words.
func afterWords(text string, n int) string {
	fields := strings.Fields(text)
	for cut := 1; cut <= len(fields); cut++ {
		if len(words(strings.Join(fields[:cut], " "))) >= n {
			return strings.TrimSpace(strings.Join(fields[cut:], " "))
		}
	}
	return ""
}
