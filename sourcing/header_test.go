package sourcing

import (
	"strings"
	"testing"
)

func TestReadHeader(t *testing.T) {
	for _, tt := range []struct {
		header  string
		meaning meaning
		detail  string // length unit, price unit and currency, or days
	}{
		{"Wood", isWood, ""}, {"Species", isWood, ""}, {"HOLZART", isWood, ""}, {"Essence", isWood, ""}, {"Essenza", isWood, ""}, {"Especie", isWood, ""},
		{"Grade", isGrade, ""}, {"Qualität", isGrade, ""}, {"Guete", isGrade, ""}, {"Choix", isGrade, ""}, {"Scelta", isGrade, ""}, {"Calidad", isGrade, ""},
		{"Thickness (mm)", isThickness, "mm"}, {"Thickness, in.", isThickness, "in"}, {"Stärke mm", isThickness, "mm"}, {"Staerke [mm]", isThickness, "mm"}, {"Dicke", isThickness, ""},
		{"Épaisseur (mm)", isThickness, "mm"}, {"ép. mm", isThickness, "mm"}, {"Spessore mm", isThickness, "mm"}, {"Espesor", isThickness, ""}, {"T (in)", isThickness, "in"},
		{"Quarters", isThickness, "quarters"}, {"Nominal thickness", isThickness, ""}, {`Thickness "`, isThickness, "in"},
		{"Breite\ncm", isWidth, "cm"}, {"Larg. mm", isWidth, "mm"}, {"Larghezza", isWidth, ""}, {"Breite in mm", isWidth, "mm"}, {"Width in inches", isWidth, "in"}, {"Ancho (mm)", isWidth, "mm"}, {"W in", isWidth, "in"},
		{"Length ft", isLength, "ft"}, {"Länge m", isLength, "m"}, {"LÄNGE (M)", isLength, "m"}, {"Longueur (m)", isLength, "m"}, {"Lungh. cm", isLength, "cm"}, {"Largo mm", isLength, "mm"}, {"L mm", isLength, "mm"},
		{"Price", isPrice, ""}, {"Price USD/bf", isPrice, "bf USD"}, {"Price per MBF (US$)", isPrice, "mbf USD"}, {"Preis €/m³", isPrice, "m3 EUR"}, {"Nettopreis EUR je m3", isPrice, "m3 EUR"},
		{"Prix HT €/m³", isPrice, "m3 EUR"}, {"P.U. HT (€)", isPrice, "EUR"}, {"Prezzo €/mc", isPrice, "m3 EUR"}, {"Prezzo al m³", isPrice, "m3"}, {"Precio €/m2", isPrice, "m2 EUR"},
		{"€/m³", isPrice, "m3 EUR"}, {"$/BF", isPrice, "bf $"}, {"CHF/Stk.", isPrice, "piece CHF"}, {"Stückpreis EUR", isPrice, "piece EUR"}, {"Price 2)", isPrice, ""}, {"Price*", isPrice, ""},
		{"Preis €/lfm", isPrice, "m EUR"}, {"Prix au ml", isPrice, "m"},
		{"Currency", isCurrency, ""}, {"Währung", isCurrency, ""}, {"Devise", isCurrency, ""}, {"Valuta", isCurrency, ""},
		{"Unit", isUnit, ""}, {"Einheit", isUnit, ""}, {"Unité", isUnit, ""}, {"UM", isUnit, ""},
		{"Min. quantity", isMinimum, ""}, {"Min qty (bf)", isMinimum, "bf"}, {"Mindestmenge m³", isMinimum, "m3"}, {"Quantité mini (m³)", isMinimum, "m3"}, {"Quantità minima", isMinimum, ""},
		{"Pack", isPack, ""}, {"VE (Stk)", isPack, "piece"}, {"Colis m3", isPack, "m3"}, {"Pacco", isPack, ""},
		{"On hand", isAvailable, ""}, {"Bestand m³", isAvailable, "m3"}, {"Dispo", isAvailable, ""}, {"Giacenza", isAvailable, ""},
		{"FSC", isCertificate, ""}, {"FSC/PEFC", isCertificate, ""}, {"Zertifikat", isCertificate, ""}, {"Certificato", isCertificate, ""},
		{"Lead time (weeks)", isLead, "7"}, {"Lieferzeit Tage", isLead, "1"}, {"Délai de livraison", isLead, ""}, {"Consegna", isLead, ""},
		{"Available from", isReady, ""}, {"Available from (date)", isReady, ""}, {"Availability date", isReady, ""}, {"Ready", isReady, ""}, {"Ready by", isReady, ""}, {"Verfügbar ab", isReady, ""}, {"verfuegbar ab KW", isReady, ""},
		{"Lieferbar ab", isReady, ""}, {"Disponible dès", isReady, ""}, {"Disponible à partir du", isReady, ""}, {"Disponibile da", isReady, ""}, {"Disponibile dal", isReady, ""}, {"Disponible desde", isReady, ""},
		{"Available from m3", "", ""}, {"Verfügbar ab Lager", "", ""}, {"Verfügbar m³", isAvailable, "m3"}, {"Liefertermin", isLead, ""},
		{"Moisture %", isMoisture, ""}, {"MC", isMoisture, ""}, {"Holzfeuchte (%)", isMoisture, ""}, {"Trocknung", isMoisture, ""}, {"Humidité", isMoisture, ""}, {"Umidità %", isMoisture, ""}, {"Essiccazione", isMoisture, ""}, {"Drying", isMoisture, ""},
		{"Art.-Nr.", isIgnored, ""}, {"Réf.", isIgnored, ""}, {"Holzfeuchte", isMoisture, ""}, {"Gültig bis", isValid, ""}, {"Paket-Nr.", isPackNo, ""}, {"Dimensions mm", isSize, "mm"}, {"avg. width (in)", isWidth, "in"}, {"Preis €/Paket", isPrice, "pack EUR"}, {"Preis neu €/m³", isPrice, "m3 EUR"}, {"Preis alt €/m³", "", ""}, {"Preis ab 01.04.2025", isPrice, ""},
		{"Price from 5 m3", "", ""}, {"Price incl. VAT", "", ""}, {"Preis brutto", "", ""}, {"Length of contract", "", ""}, {"Freight", "", ""}, {"Bemerkung", isRemark, ""}, {"Rabatt %", "", ""},
		{"Price EUR USD", "", ""}, {"", "", ""}, {"EUR", "", ""}, {"Min price EUR", "", ""},
	} {
		c := readHeader(tt.header)
		var detail []string
		for _, s := range []string{string(c.length), string(c.unit), c.currency} {
			if s != "" {
				detail = append(detail, s)
			}
		}
		switch c.days {
		case 1:
			detail = append(detail, "1")
		case 7:
			detail = append(detail, "7")
		}
		if c.meaning != tt.meaning || c.meaning != "" && strings.Join(detail, " ") != tt.detail || c.why != "" && c.meaning != "" {
			t.Errorf("%q means %q with %q (%s); want %q with %q", tt.header, c.meaning, detail, c.why, tt.meaning, tt.detail)
		}
	}
	for _, header := range []string{"Price /M", "Preis €/fm", "€/fm"} {
		if c := readHeader(header); c.meaning != isPrice || c.why == "" || c.unit != "" {
			t.Errorf("%q is read as %+v; want a price whose unit is asked for", header, c)
		}
	}
}

// No phrase may stand for two things in one list: map order would decide.
func TestNoPhraseTwice(t *testing.T) {
	seen := map[string]string{}
	check := func(kind, name, list string) {
		own := phrases(nil, list, true)
		for p := range own {
			if p == "" {
				t.Errorf("%s %q holds an empty phrase", kind, name)
			}
			if n := len(strings.Fields(p)); n > longest {
				t.Errorf("%s %q: %q has %d words, more than are looked at", kind, name, p, n)
			}
			key := kind + " " + p
			if other, ok := seen[key]; ok {
				t.Errorf("%s: %q means %q and %q", kind, p, other, name)
			}
			seen[key] = name
		}
	}
	for m, list := range headerWords {
		check("header", string(m), list)
	}
	for u, list := range unitWords {
		check("unit", string(u), list)
	}
	for u, list := range lengthNames {
		check("length", string(u), list)
	}
	for c, list := range currencyWords {
		check("currency", c, list)
	}
	check("lead time", "days", dayWords)
	check("lead time", "weeks", weekWords)
	check("certificate", "yes", yesWords)
	check("certificate", "no", noWords)
	check("stock", "sold out", soldOut)
	check("stock", "in stock", inStock)
}

func TestEveryMeaningIsAMeaning(t *testing.T) {
	for _, m := range Meanings() {
		if err := CheckMeaning(m); err != nil {
			t.Error(err)
		}
		if c := readHeader(m); string(c.meaning) != m {
			t.Errorf("meaning %q reads as %q", m, c.meaning)
		}
	}
	for _, m := range []string{"", "nonsense", "price EUR/fm", "price 5", "width wide"} {
		if CheckMeaning(m) == nil {
			t.Errorf("%q passes as a meaning", m)
		}
	}
}

// Minimum clear-face yields of the NHLA rules, as three published lists agree: FAS 83 1/3 %, No. 1 Common 66 2/3 %, No. 2A
// Common 50 %, No. 3A Common 33 1/3 %.
//
// published: minimum yields by grade, under every name | Hardwood Lumber Grades, American Hardwood Export Council, 16 March 2004, and the NHLA grade chart, "minimum yield"; surface measure times 4 for No. 3A | read | 1e-9 %: thirds have no last digit
func TestGradeYield(t *testing.T) {
	for grade, want := range map[string]float64{
		"FAS": 250. / 3, "fas": 250. / 3, "NHLA FAS": 250. / 3, "1s & 2s": 250. / 3,
		"No. 1 Common": 200. / 3, "#1 Common": 200. / 3, "1C": 200. / 3, "No.1C": 200. / 3, "F1F": 200. / 3, "FAS/1F": 200. / 3, "Selects": 200. / 3, "Sel & Btr": 200. / 3, "Prime": 200. / 3,
		"2A": 50, "No. 2A Common": 50, "3A Common": 100. / 3,
		"A/B": 0, "Güteklasse A": 0, "": 0, "Q-BA": 0,
	} {
		if got := gradeYield(grade); got < want-1e-9 || got > want+1e-9 {
			t.Errorf("grade %q yields %v %%, want %v", grade, got, want)
		}
	}
}

func FuzzReadHeader(f *testing.F) {
	for _, s := range []string{"Price USD/bf", "Stärke mm", "€/fm", "Price from 5 m3", "L", "", "Lead time (weeks)", "Min. Menge", "Price\u0345"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c := readHeader(s)
		capitals := strings.ToUpper(strings.ToLower(s))
		same := strings.EqualFold(capitals, s) && !strings.ContainsRune(s, '\u0345') // of this accent the capital is a letter
		if d := readHeader(capitals); same && c.why == "" && d.why == "" && c.meaning != d.meaning {
			t.Fatalf("%q means %q, in capitals %q", s, c.meaning, d.meaning)
		}
		if (c.length != "" || c.unit != "" || c.days != 0) && c.meaning == "" && c.why == "" {
			t.Fatalf("%q has a unit and no meaning: %+v", s, c)
		}
	})
}
