package sourcing

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// A meaning is what a column of a price sheet holds.
type meaning string

const (
	isWood        meaning = "wood"
	isGrade       meaning = "grade"
	isThickness   meaning = "thickness"
	isWidth       meaning = "width"
	isLength      meaning = "length"
	isPrice       meaning = "price"
	isCurrency    meaning = "currency"
	isUnit        meaning = "unit"
	isMinimum     meaning = "min quantity"
	isPack        meaning = "pack"
	isAvailable   meaning = "available"
	isCertificate meaning = "certificate"
	isLead        meaning = "lead time"
	isReady       meaning = "available from" // a day or a week
	isForm        meaning = "form"
	isSize        meaning = "size" // thickness, width and length in one cell
	isMoisture    meaning = "moisture"
	isValid       meaning = "valid until"
	isDistance    meaning = "distance"     // that the planks are carried
	isMaximum     meaning = "max quantity" // to which a price holds; only for what it says of the next one
	isPackNo      meaning = "pack no"      // its line is one pack, to be taken whole
	isRemark      meaning = "remark"
	isIgnored     meaning = "ignore"
)

// Meanings are the words that the Meaning column of a Columns sheet can hold, units and currencies apart.
func Meanings() []string {
	return []string{string(isWood), string(isGrade), string(isThickness), string(isWidth), string(isLength), string(isPrice),
		string(isCurrency), string(isUnit), string(isMinimum), string(isPack), string(isAvailable), string(isCertificate),
		string(isLead), string(isReady), string(isForm), string(isSize), string(isMoisture), string(isValid), string(isDistance), string(isMaximum), string(isPackNo),
		string(isRemark), string(isIgnored)}
}

// headerWords are the words of price sheets in English, German, French, Italian and Spanish; common practice. What stands
// under isIgnored is known and plays no part in an offer.
var headerWords = map[meaning]string{
	isWood: `wood, species, wood species, timber, timber species, lumber, holzart, baumart, holz, sorte, holzsorte,
		essence, bois, essence de bois, espece, essenza, specie, legno, specie legnosa, specie di legno, especie, madera, especie de madera`,
	isGrade: `grade, quality, nhla, nhla grade, qualität, güte, güteklasse, sortierung, sortierklasse, klasse,
		qualité, choix, classement, classe, qualità, scelta, grado, calidad, clase`,
	isThickness: `thickness, thick, thk, nominal, nominal thickness, quarters, t, stärke, dicke, einschnittstärke, brettstärke, holzstärke, nennstärke,
		épaisseur, ép, epais, e, spessore, sp, spess, espesor, grosor, grueso`,
	isWidth:  `width, wide, w, breite, b, br, largeur, larg, larghezza, largh, anchura, ancho`,
	isLength: `length, long, l, länge, lg, longueur, lunghezza, lungh, longitud, largo`,
	isPrice: `price, prices, preise, prezzi, precios, staffelpreis, staffelpreise, unit price, list price, net price, list, preis, vk, ek, nettopreis, listenpreis, einzelpreis, prix, tarif, pu, p u,
		prix unitaire, prezzo, prezzo unitario, listino, precio, precio unitario, tarifa`,
	isCurrency: `currency, curr, ccy, währung, whg, devise, monnaie, valuta, divisa, moneda`,
	isUnit: `unit, uom, price unit, unit of measure, einheit, me, mengeneinheit, preiseinheit, pe, unité, unité de prix, unità, um, u m,
		unità di misura, unidad, ud, unidad de medida`,
	isMinimum: `min, minimum, moq, min qty, min quantity, minimum qty, minimum quantity, minimum order, min order, from qty, min menge, mindestmenge,
		mindestabnahme, mindestbestellmenge, from, ab, ab menge, menge ab, from quantity, qty from, à partir de, a partire da, da, desde, quantité minimum, quantité minimale, quantité mini, qté min, qté mini, mini, minimum de commande,
		quantità minima, quantità min, minimo, q tà min, ordine minimo, cantidad mínima, mínimo, pedido mínimo`,
	isPack: `pack, pack size, pack qty, package, bundle, bdl, paket, paketgröße, ve, verpackungseinheit, bund, gebinde, pak, paquet, colis, fardeau, pacco,
		confezione, paquete`,
	isAvailable: `volume, vol, inhalt, volumen, cubage, cubatura, pieces, stückzahl, available, avail, stock, on hand, in stock, availability, qty available, bestand, lager, lagerbestand, verfügbar, vorrat,
		disponible, dispo, disponibilité, giacenza, disponibile, disponibilità, existencias, disponibilidad`,
	isCertificate: `certificate, certified, certification, cert, fsc, pefc, fsc pefc, coc, chain of custody, zertifikat, zertifiziert, zertifizierung,
		certifié, certificat, certificato, certificazione, certificado, certificación`,
	isLead: `lead time, delivery, delivery time, eta, lieferzeit, lieferfrist, liefertermin, lz, délai, délai de livraison, livraison, consegna,
		tempi, tempi di consegna, termini di consegna, plazo, plazo de entrega, entrega`,
	isReady: `available from, available as from, available on, availability date, available date, date available, avail from, in stock from, ready, ready on, ready from, ready by, ready date,
		verfügbar ab, verfügbar am, verfügbarkeitsdatum, lieferbar ab, lieferbar am, abholbereit ab, disponible dès, disponible dès le, disponible à partir de, disponible à partir du,
		disponible à compter du, dispo dès, dispo à partir de, dispo à partir du, date de disponibilité, disponibile da, disponibile dal, disponibile a partire dal, data di disponibilità, pronto da, pronto dal,
		disponible desde, disponible desde el, disponible a partir del, fecha de disponibilidad`,
	isForm: `form, product form, surface, finish, edging, processing, ausführung, oberfläche, bearbeitung, zuschnitt, présentation, façonnage, usinage, forma,
		lavorazione, elaboración, acabado`,
	isIgnored: `ignore, item, item no, sku, code, article, article no, pos, no, artikel, artikel nr, artikelnummer, art nr, best nr, bestell nr, nr, réf, référence,
		code article, codice, cod art, rif, referencia, código, origin, herkunft, provenance, origine,
		provenienza, origen, latin, latin name, lateinisch, nom latin, nome latino, nombre latino`,
	isSize: `size, sizes, dimension, dimensions, dim, abmessung, abmessungen, maße, masse, querschnitt, format, section, sezione, misura, misure, formato,
		medida, medidas, dimensiones, dimensioni, section mm`,
	isMoisture: `moisture, mc, moisture content, holzfeuchte, hf, feuchte, trocknung, drying, humidité, taux d humidité, séchage, umidità, essiccazione, humedad,
		secado, treatment, behandlung, traitement, trattamento, tratamiento, condition, zustand`,
	isValid: `valid until, valid to, valid, validity, valid till, expires, gültig bis, gültig, gültigkeit, preis gültig bis, valable jusqu au, validité,
		valido fino al, validità, scadenza, válido hasta, validez, vigencia`,
	isDistance: `distance, dist, transport distance, haulage distance, hauling distance, delivery distance, entfernung, distanz, transportentfernung, transportdistanz, transportweg,
		lieferentfernung, distance de transport, distance de livraison, distanza, distanza di trasporto, distancia, distancia de transporte`,
	isMaximum: `max, maximum, to, to qty, max qty, bis, bis menge, menge bis, jusqu à, fino a, hasta, máximo`,
	isPackNo: `pack no, pack number, package no, bundle no, pack id, tag no, paket nr, paketnummer, pak nr, colis n, n colis, n° colis, numéro de colis, n pacco,
		num pacco, pacco n, n paquete, paquete n`,
	isRemark: `remark, remarks, note, notes, comment, comments, bemerkung, bemerkungen, hinweis, hinweise, anmerkung, anmerkungen, info, remarque, remarques,
		observation, observations, commentaire, osservazioni, annotazioni, observaciones, notas, comentarios, status`,
}

// perPack is a price by the pack, which the pack's size turns into one of the other units.
const perPack Unit = "pack"

// joinedPrices are headers that name the price and its unit in one word.
var joinedPrices = map[string]Unit{"stuckpreis": PerPiece, "paketpreis": perPack, "stueckpreis": PerPiece, "kubikmeterpreis": PerM3, "m3preis": PerM3, "meterpreis": PerMetre,
	"quadratmeterpreis": PerSquareMetre, "laufmeterpreis": PerMetre}

// unitWords are what a price or a quantity is per. "fm" is missing on purpose: it is a solid m³ to one yard and a running
// metre to the next; so is "M" for a thousand, which looks like a metre.
var unitWords = map[Unit]string{
	PerM3: `m3, cbm, cum, cu m, cubic metre, cubic metres, cubic meter, cubic meters, kubikmeter, mètre cube, mètres cubes, mc, metro cubo, metri cubi, metro cúbico,
		metros cúbicos`,
	PerBoardFoot: `bf, bft, bdft, bd ft, board foot, board feet, board ft, fbm`,
	PerMBF:       `mbf, mbm, mfbm, m bf, 1000 bf, 1000 board feet, thousand board feet`,
	PerMetre: `m, lm, lfm, lfdm, lfd m, ml, m l, rm, running metre, running meter, linear metre, linear meter, lin m, laufmeter, laufender meter, meter, metre,
		mètre, mètre linéaire, mètre courant, metro, metro lineare, metro lineal`,
	PerFoot:        `ft, lf, lft, lin ft, linear foot, linear feet, running foot, foot`,
	PerPiece:       `piece, pieces, pc, pcs, pce, pces, each, ea, stk, stck, st, stück, pièce, pièces, pz, pezzo, pezzi, pieza, piezas, pza, board, boards, plank, planks`,
	perPack:        `pack, packs, package, packages, bundle, bundles, bdl, paket, pakete, pak, bund, paquet, paquets, colis, fardeau, pacco, pacchi, paquete, paquetes`,
	PerSquareMetre: `m2, sqm, sq m, qm, square metre, square meter, quadratmeter, mètre carré, mq, metro quadro, metro quadrato, metro cuadrado`,
}

// vagueUnits need their reader to ask.
var vagueUnits = map[string]string{"fm": `"fm" is a solid m³ to some and a running metre to others`}

// lengthNames are the units of lengths.
var lengthNames = map[lengthUnit]string{
	inMM:       `mm, millimetre, millimeter, millimetres, millimeters`,
	inCM:       `cm, centimetre, centimeter, centimetres, centimeters`,
	inM:        `m, mtr, metre, metres, meter, meters, metro, metri, mètre, mètres, metros`,
	inInch:     `in, inch, inches, ", zoll, pouce, pouces, pollice, pollici, pulgada, pulgadas`,
	inFoot:     `ft, feet, foot, ', fuß, pied, pieds, piede, piedi, pie, pies`,
	inQuarters: `quarters, quarter`,
}

// distanceNames are the units of distances.
var distanceNames = map[distanceUnit]string{
	inKM:   `km, kms, kilometre, kilometres, kilometer, kilometers, kilomètre, kilomètres, chilometro, chilometri, kilómetro, kilómetros`,
	inMile: `mi, mile, miles`,
}

// currencyWords: signs that belong to several currencies ($, ¥, kr) are missing here; see [dollarLike].
var currencyWords = map[string]string{
	"EUR": `eur, €, euro, euros`, "USD": `usd, us $`, "CAD": `cad, c $, ca $`, "AUD": `aud, a $`, "NZD": `nzd, nz $`, "GBP": `gbp, £`,
	"CHF": `chf, sfr, fr`, "SEK": `sek`, "NOK": `nok`, "DKK": `dkk`, "PLN": `pln, zł, zl`, "CZK": `czk, kč, kc`, "HUF": `huf`, "JPY": `jpy`,
	"CNY": `cny, rmb`, "BRL": `brl, r $`, "MXN": `mxn`, "ZAR": `zar`, "RON": `ron`, "TRY": `try`, "UAH": `uah`, "INR": `inr`,
}

// dollarLike are signs of several currencies: the job book's currency of the supplier settles which.
var dollarLike = map[string][]string{
	"$":  {"USD", "CAD", "AUD", "NZD"},
	"¥":  {"JPY", "CNY"},
	"kr": {"SEK", "NOK", "DKK"},
}

// fillers say nothing that changes a figure. "incl. VAT" and "gross" are no fillers: those prices are other prices.
const fillers = `per, je, pro, par, le, la, les, l, al, alla, au, a, por, por el, el, the, in, en, of, de, di, der, pro stück, und, and, net, netto, nettopreis, nett,
	neto, ht, hors taxe, hors taxes, excl vat, ex vat, excl mwst, ohne mwst, zzgl mwst, exkl mwst, excl tva, iva esclusa, sin iva, ex works, exw, ab werk,
	qty, quantity, menge, quantité, quantità, cantidad, order, size, approx`

// newWords and oldWords tell a price that holds from one that did.
const (
	newWords = `new, neu, nouveau, nouveaux, nuovo, nuevo, aktuell, current, today, heute, actuel, attuale, actual`
	oldWords = `old, alt, alter, ancien, ancienne, vecchio, anterior, previous, prev, bisher, vorjahr, last year, before, was`
)

// voidWords are said of lists that hold no longer.
const voidWords = `ungültig, ersetzt, superseded, obsolete, void, annulé, annulée, remplacé, remplacée, annullato, sostituito, anulado, sustituido, veraltet, überholt, outdated, expired, abgelaufen, archiv, archive`

// discountWords head columns of discounts, which are not reckoned with.
const discountWords = `discount, disc, less, rabatt, skonto, nachlass, remise, ristourne, escompte, sconto, descuento`

// surchargeWords are of services and charges that stand among goods and are none.
const surchargeWords = `planing, surfacing, hobeln, hobelzuschlag, rabotage, piallatura, cut to length, cutting, cutting fee, ablängen, zuschnittkosten, broken pack, anbruch, anbruchzuschlag,
	pallet, pallets, palette, paletten, bancale, bancali, palet, palets, fuel, fuel surcharge, diesel, dieselzuschlag, surcharge, surcharges, zuschlag, aufpreis, aufschlag, mindermengenzuschlag, supplément,
	supplemento, sovrapprezzo, maggiorazione, recargo, freight, fracht, frachtkosten, delivery, delivery charge, lieferung, transport, transportkosten, transporte, trasporto, maut, toll, handling, steaming,
	dämpfen, kiln drying, drying charge, trocknen, trocknung, ripping, straight line rip, slr1e, small order, packing, verpackung, emballage, imballo, embalaje, loading, verladung, port, livraison, consegna,
	séchage, essiccazione, grading fee, certification fee, fsc surcharge, fsc zuschlag, pefc zuschlag, minimum charge, service, sägen, sawing, profiling`

// remarkWords are of remarks, not of titles.
const remarkWordList = `price, prices, preis, preise, prix, prezzo, prezzi, precio, precios, please, bitte, freight, fracht, net, netto, vat, mwst, tva, iva, delivery, lieferung, request, anfrage, demande, richiesta,
	subject, freibleibend, unverbindlich, terms, payment, zahlung, paiement, pagamento, pago, continued, fortsetzung, suite, segue, page, seite, pagina, página, surcharge, zuschlag, see, siehe, voir, vedi, note, hinweis,
	nota, add, tel, phone, fax, email, e mail, valid, gültig, valable, valido, thank, thanks, danke, merci, grazie, gracias, regards, quality, qualität, end, ende, fin, fine`

// sampleWords are of pieces to look at.
const sampleWords = `sample, samples, muster, handmuster, musterstück, échantillon, échantillons, campione, campioni, muestra, muestras`

// fillersOfAmounts may stand before a quantity.
const fillersOfAmounts = `min, minimum, mind, mindestens, ab, from, da, desde, at least, au moins, almeno, per, je`

// notPriced are what stands where a price should, when there is none to be had without asking.
const notPriced = `on request, poa, price on application, call, ask, tbd, auf anfrage, a a, a anfr, anfrage, sur demande, nous consulter, nc, n c, a richiesta,
	su richiesta, by quotation, upon request, ask for price, please ask, please call, price on request, preis auf anfrage, prix sur demande, tbc, n v, bajo peticion, bajo demanda, consultar, a consultar, bajo pedido, su ordinazione, n a, na, x`

// soldOut is said of what is not available.
const soldOut = `sold out, sold, out of stock, not available, currently unavailable, verkauft, derzeit ausverkauft, nicht lieferbar, indisponible, non disponibile, no disponible, none, no, ausverkauft, nicht verfügbar, vergriffen, nein, épuisé, rupture, rupture de stock, non, esaurito, agotado`

// inStock is said of what is there in an unnamed quantity, or at once.
const inStock = `yes, in stock, stock, ex stock, available, ok, ja, ab lager, lager, lagernd, auf lager, verfügbar, sofort, oui, en stock, disponible, sur stock, sì, si, pronto,
	disponibile, a magazzino, immediate, immédiat, en existencia`

const (
	yesWords = `yes, y, x, ja, j, oui, o, sì, si, s, true, certified, zertifiziert, certifié, certificato, certificado, fsc, pefc, fsc pefc, pefc fsc, fsc 100, fsc mix,
		fsc mix credit, fsc mix 70, fsc certified, pefc certified, 100 pefc, 70 pefc, pefc 100, pefc 70, pefc zertifiziert, fsc zertifiziert`
	noWords    = `no, n, nein, non, false, none, not certified, nicht zertifiziert, 0`
	stripWords = `strip, strips, ready strip, ready strips, cut strips, leiste, leisten, lamelle, lamellen, lamelles, lamella, lamelle grezze, latte, lattes, liteau,
		liteaux, listello, listelli, listón, listones, tira, tiras`
	planedWords  = `s2s, s4s, planed, surfaced, dressed, gehobelt, raboté, rabotés, piallato, cepillado`
	withoutWords = `not, without, ohne, kein, keine, sans, pas, senza, sin, nicht`
	totalWords   = `total, subtotal, sum, totals, average, avg, durchschnitt, mittelwert, moyenne, media, promedio, summe, gesamt, zwischensumme, übertrag, sous total, report, totale, riporto, subtotale, suma`
	dayWords     = `d, day, days, working days, tag, tage, tagen, werktage, arbeitstage, jour, jours, jours ouvrables, giorno, giorni, día, días`
	weekWords    = `wk, wks, week, weeks, wo, woche, wochen, semaine, semaines, settimana, settimane, semana, semanas`
)

// words cuts a text into folded words, each currency, inch or foot sign a word of its own. Punctuation falls away.
func words(s string) []string {
	var out []string
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out = append(out, word.String())
			word.Reset()
		}
	}
	runes := []rune(fold(tidy(s)))
	for i, r := range runes {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			word.WriteRune(r)
		case unicode.Is(unicode.Sc, r), r == '"', r == '\'' && (i+1 == len(runes) || !unicode.IsLetter(runes[i+1])):
			flush()
			out = append(out, string(r))
		default:
			flush()
		}
	}
	flush()
	return out
}

// fold is lower case without accents; ß is ss.
func fold(s string) string {
	if isASCII(s) { // most cells
		return strings.ToLower(s)
	}
	var b strings.Builder
	for _, r := range norm.NFKD.String(cases.Fold().String(s)) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == 'ł':
			b.WriteByte('l')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// phrases maps the comma-separated phrases of a list, folded, to a value. German umlauts count as ae, oe, ue as well.
func phrases[V any](into map[string]V, list string, v V) map[string]V {
	if into == nil {
		into = map[string]V{}
	}
	for _, p := range strings.Split(list, ",") {
		into[strings.Join(words(p), " ")] = v
		into[strings.Join(words(umlauts.Replace(p)), " ")] = v
	}
	return into
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue")

func allPhrases[K comparable](lists map[K]string) map[string]K {
	out := map[string]K{}
	for k, list := range lists { // no phrase stands in two lists: a test holds it
		phrases(out, list, k)
	}
	return out
}

// The lists above, by phrase.
var (
	meaningOf   = allPhrases(headerWords)
	priceUnitOf = allPhrases(unitWords)
	lengthWords = allPhrases(lengthNames)

	distanceWords = allPhrases(distanceNames)

	currencyOf   = allPhrases(currencyWords)
	isFiller     = phrases(nil, fillers, true)
	isAmountWord = phrases(nil, fillersOfAmounts, true)
	isNotPriced  = phrases(nil, notPriced, true)
	isSoldOut    = phrases(nil, soldOut, true)
	isInStock    = phrases(nil, inStock, true)
	isYes        = phrases(nil, yesWords, true)
	isNo         = phrases(nil, noWords, true)
	isWithout    = phrases(nil, withoutWords, true)
	isStrip      = phrases(nil, stripWords, true)
	isPlaned     = phrases(nil, planedWords, true)
	isTotal      = phrases(nil, totalWords, true)
	isNew        = phrases(nil, newWords, true)
	isSurcharge  = phrases(nil, surchargeWords, true)
	remarkWords  = phrases(nil, remarkWordList, true)
	isSample     = phrases(nil, sampleWords, true)
	isOld        = phrases(nil, oldWords, true)
	isVoid       = phrases(nil, voidWords, true)
	isDiscount   = phrases(nil, discountWords, true)
	daysOf       = phrases(phrases(nil, dayWords, 1), weekWords, 7)
)

// longest is the number of words in the longest phrase.
const longest = 4

// spell walks over words and hands every longest phrase that take accepts to it; words no phrase covers come back.
func spell(ws []string, take func(phrase string) bool) (unknown []string) {
	for i := 0; i < len(ws); {
		n := min(longest, len(ws)-i)
		for n > 0 && !take(strings.Join(ws[i:i+n], " ")) {
			n--
		}
		if n == 0 {
			unknown = append(unknown, ws[i])
			n = 1
		}
		i += n
	}
	return unknown
}

// maxPhrase is the length beyond which a text, in bytes, is no phrase and heads no column: it is not taken apart. A file can repeat a long one often.
const maxPhrase = 4 * maxHeader

// says reports whether a whole text is one phrase of a list.
func says(list map[string]bool, text string) bool {
	if len(text) > maxPhrase {
		return false
	}
	return list[strings.Join(words(text), " ")]
}

// gradeYields are the minimum clear-face yields of the NHLA grades, %, as three published lists of the rules agree on them:
// FAS 10/12, No. 1 Common 8/12, No. 2A 6/12, No. 3A 4/12 of the poorer face. F1F and Selects are FAS on their better face
// only; a strip needs both, so that they count as the No. 1 Common of the other. Prime and Comsel are the export names of
// FAS or F1F and of No. 1 Common.
var gradeYields = func() map[string]float64 {
	out := map[string]float64{}
	for list, twelfths := range map[string]float64{
		fasWords: 10,
		faceWords + "," + selectWords + "," + common1Words + ", prime, comsel": 8,
		common2Words: 6,
		common3Words: 4,
	} {
		phrases(out, list, twelfths/12*100)
	}
	return out
}()

// The names of the NHLA grades.
const (
	fasWords     = `fas, firsts and seconds, 1s 2s, 1s and 2s`
	faceWords    = `f1f, fas 1f, fas1f, fas one face, fas 1 face`
	selectWords  = `selects, select, sel, select and better, sel and btr, sel btr`
	common1Words = `1 common, no 1 common, no 1c, 1c, 1 com, no 1 com, no1c, no 1, number 1 common, 1 common and better`
	common2Words = `2a common, no 2a common, no 2a, 2a, 2ac, 2 a common, no 2ac, 2a com`
	common3Words = `3a common, no 3a common, no 3a, 3a, 3ac, no 3ac, 3a com`
)

// gradeYield is the usable part that a grade's name promises, %, or 0 when it is none of those known.
func gradeYield(grade string) float64 { return gradeYields[strings.Join(gradeWords(grade), " ")] }

func gradeWords(grade string) []string {
	ws := words(grade)
	if len(ws) > 0 && ws[0] == "nhla" {
		ws = ws[1:]
	}
	return ws
}

// inQuotes lists words for a message.
func inQuotes(ws []string) string {
	out := make([]string, len(ws))
	for i, w := range ws {
		out[i] = `"` + shorten(w) + `"`
	}
	return strings.Join(slices.Compact(out), ", ")
}
