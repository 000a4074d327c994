package sourcing

import "testing"

func TestParsePrice(t *testing.T) {
	for _, tt := range []struct{ text, value, currency, unit string }{ // value empty: an error
		{"1350", "1350", "", ""},
		{"$1.35/bf", "1.35", "$", "bf"},
		{"US$ 1.35 / BF", "1.35", "USD", "bf"},
		{"1,350.00/MBF", "1350", "", "mbf"},
		{"1.350,00 €/m³", "1350", "EUR", "m3"},
		{"1 350,00 € HT / m3", "1350", "EUR", "m3"},
		{"EUR 895,-", "895", "EUR", ""},
		{"12.50 CHF/Stk.", "12.5", "CHF", "piece"},
		{"4,20 €/lfm", "4.2", "EUR", "m"},
		{"4,20 € al ml", "4.2", "EUR", "m"},
		{"780 €/mc", "780", "EUR", "m3"},
		{"38 €/mq", "38", "EUR", "m2"},
		{"38 €/qm netto", "38", "EUR", "m2"},
		{"3.10 USD per board foot", "3.1", "USD", "bf"},
		{"1350 USD per 1000 bf", "1350", "USD", "mbf"},
		{"£2.10 per ft", "2.1", "GBP", "ft"},
		{"1350/M", "", "", ""},
		{"450 €/fm", "", "", ""},
		{"ab 780 €", "", "", ""},
		{"~ 900", "", "", ""},
		{"1.10 - 1.25", "", "", ""},
		{"1.35*", "", "", ""},
		{"(1.35)", "", "", ""},
		{"1.35 +7 %", "", "", ""},
		{"780 / 820", "", "", ""},
		{"10 EUR 12 USD", "", "", ""},
		{"on request", "", "", ""},
		{"a. A.", "", "", ""},
		{"sur demande", "", "", ""},
		{"POA", "", "", ""},
		{"–", "", "", ""},
		{"0", "", "", ""},
		{"-5", "", "", ""},
		{"EUR -5", "", "", ""},
		{"5 kg", "", "", ""},
		{"#N/A", "", "", ""},
		{"", "", "", ""},
	} {
		a, err := parsePrice(tt.text, 0)
		switch {
		case tt.value == "" && err == nil:
			t.Errorf("%q reads as %+v, want an error", tt.text, a)
		case tt.value != "" && (err != nil || a.value.String() != tt.value || a.currency != tt.currency || string(a.unit) != tt.unit):
			t.Errorf("%q reads as %s %q per %q, %v; want %s %q per %q", tt.text, a.value, a.currency, a.unit, err, tt.value, tt.currency, tt.unit)
		}
	}
}

func TestParseQuantity(t *testing.T) {
	for _, tt := range []struct{ text, value, unit string }{
		{"200 bf", "200", "bf"},
		{"min. 2 m³", "2", "m3"},
		{"ab 1,5 cbm", "1.5", "m3"},
		{"50 Stk", "50", "piece"},
		{"0", "0", ""},
		{"2 packs", "2", "pack"}, {"2 loads", "", ""},
		{"500 EUR", "", ""},
		{"-1", "", ""},
	} {
		a, err := parseQuantity(tt.text, 0)
		if (err == nil) != (tt.value != "") || err == nil && (a.value.String() != tt.value || string(a.unit) != tt.unit) {
			t.Errorf("%q reads as %s %q, %v; want %s %q", tt.text, a.value, a.unit, err, tt.value, tt.unit)
		}
	}
}

func TestLeadTime(t *testing.T) {
	for _, tt := range []struct {
		text      string
		perFigure int
		want      int // −1: an error
	}{
		{"10 days", 0, 10}, {"10", 1, 10}, {"3", 7, 21}, {"ca. 3–4 Wochen", 0, 28}, {"2 semaines", 0, 14}, {"5 à 10 jours", 0, 10},
		{"ab Lager", 0, 0}, {"ex stock", 7, 0}, {"1 settimana", 0, 7}, {"10", 0, -1}, {"KW 37", 0, -1}, {"soon", 0, -1}, {"3 months", 0, -1},
	} {
		got, err := leadTime(tt.text, tt.perFigure)
		if (err != nil) != (tt.want < 0) || err == nil && got != tt.want {
			t.Errorf("%q is %d days, %v; want %d", tt.text, got, err, tt.want)
		}
	}
}

func FuzzParsePrice(f *testing.F) {
	for _, s := range []string{"1350", "$1.35/bf", "1.350,00 €/m³", "895,-", "1.10 - 1.25", "1.35*", "on request", "3 weeks", "min. 2 m3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		a, err := parsePrice(s, 0)
		if err == nil {
			if a.value.Sign() <= 0 {
				t.Fatalf("%q is a price of %s", s, a.value)
			}
			text := a.value.String() + " " + a.currency
			if a.unit != "" {
				text += "/" + string(a.unit)
			}
			if back, err := parsePrice(text, '.'); err != nil || !back.value.Equal(a.value) || back.currency != a.currency || back.unit != a.unit {
				t.Fatalf("%q printed as %q and read back %+v, %v", s, text, back, err)
			}
		}
		if q, err := parseQuantity(s, 0); err == nil && q.value.Sign() < 0 {
			t.Fatalf("%q is a quantity of %s", s, q.value)
		}
		if days, err := leadTime(s, 1); err == nil && days < 0 {
			t.Fatalf("%q is a lead time of %d days", s, days)
		}
	})
}
