package book

// priceSheets are the demo's three invented suppliers, each in the manner of its trade: American board feet and
// quarters, German cubic metres with decimal commas, Italian pieces and running metres.
var priceSheets = []priceSheet{
	{
		file: creekFile, sheet: "Hardwood", title: "Example Creek Lumber - price list (INVENTED)",
		lines:   []string{"Kiln dried 6-8 %, rough, net tally. Invented supplier, invented prices: USD per board foot.", "FOB mill."},
		headers: []string{"Species", "Grade", "Thickness", `Width in`, "Length ft", "Price USD/bf", "Min qty bf", "FSC"},
		formats: []string{"", "", "@", "0.0", "0", "0.00", "0", ""},
		widths:  []float64{26, 18, 12, 10, 10, 13, 11, 8},
		rows: [][]any{
			{"Yellow poplar", "FAS", "4/4", 6.5, 11.0, 1.42, 300.0, nil},
			{"Yellow poplar", "FAS", "5/4", 6.5, 11.0, 1.55, 300.0, nil},
			{"Yellow poplar", "No. 1 Common", "4/4", 5.5, 11.0, 0.98, 300.0, nil},
			{"Quaking aspen", "No. 1 Common", "4/4", 5.0, 11.0, 1.08, 200.0, nil},
			{"Quaking aspen", "FAS", "5/4", 5.5, 11.0, 1.38, 200.0, nil},
			{"White ash", "FAS", "4/4", 6.0, 11.0, 1.85, 200.0, nil},
			{"White ash", "No. 1 Common", "5/4", 5.0, 11.0, 1.34, 200.0, nil},
			{"Hard maple", "No. 1 Common", "4/4", 5.5, 11.0, 1.72, 200.0, nil},
			{"Yellow birch", "FAS", "4/4", 5.5, 11.0, 2.05, 200.0, nil},
		},
	},
	{
		file: holzhofFile, sheet: "Schnittholz", title: "Holzhof Beispieltal - Preisliste Laubholz (ERFUNDEN)",
		lines:   []string{"Besäumt, künstlich getrocknet auf 8-10 %. Erfundener Lieferant, erfundene Preise, netto zzgl. MwSt.", "Preise freibleibend, ab Werk."},
		headers: []string{"Holzart", "Güteklasse", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³", "Mindestmenge m³", "Lieferzeit Tage", "Zertifikat"},
		formats: []string{"", "", "0", "0", "@", "@", "@", "0", ""},
		widths:  []float64{24, 12, 11, 11, 11, 13, 14, 13, 14},
		rows: [][]any{
			{"Kanadische Pappel", "A/B", 32.0, 140.0, "3,30", "435,00", "0,5", 10.0, "PEFC"},
			{"Kanadische Pappel", "B", 26.0, 130.0, "3,30", "385,00", "0,5", 10.0, "PEFC"},
			{"Rotbuche", "A/B", 26.0, 140.0, "3,30", "690,00", "0,5", 10.0, "PEFC"},
			{"Rotbuche", "B", 32.0, 130.0, "1,70", "560,00", "0,5", 10.0, "PEFC"},
			{"Esche", "A", 26.0, 140.0, "3,30", "980,00", "0,5", 14.0, "FSC"},
			{"Esche", "B", 32.0, 130.0, "1,70", "790,00", "0,5", 14.0, "FSC"},
			{"Birke", "A/B", 26.0, 120.0, "3,30", "815,00", "0,5", 14.0, "PEFC"},
			{"Robinie", "B", 26.0, 100.0, "1,70", "905,00", "0,5", 21.0, nil},
		},
	},
	{
		file: legnamiFile, sheet: "Listino", title: "Legnami Esempio - listino (INVENTATO)",
		lines:   []string{"Fornitore inventato, prezzi inventati, IVA esclusa. Essiccato 8-10 %."},
		headers: []string{"Essenza", "Scelta", "Spessore mm", "Larghezza mm", "Lunghezza mm", "Prezzo", "Valuta", "Unità", "Consegna giorni", "Certificato"},
		formats: []string{"", "", "0", "0", "0", "0.00", "", "", "0", ""},
		widths:  []float64{24, 10, 12, 13, 14, 10, 9, 12, 11, 12},
		rows: [][]any{
			{"Paulownia tomentosa", "prima", 30.0, 150.0, 3300.0, 2.55, "EUR", "m", 14.0, "FSC"},
			{"Dense paulownia", "prima", 30.0, 150.0, 1700.0, 6.2, "EUR", "pezzo", 14.0, "FSC"},
			{"Ayous", "prima", 27.0, 160.0, 3300.0, 3.4, "EUR", "m", 14.0, nil},
			{"Bambù", "prima", 20.0, 120.0, 2000.0, 9.8, "EUR", "pezzo", 14.0, "FSC"},
			{"Pioppo canadese", "seconda", 26.0, 140.0, 3300.0, 1.65, "EUR", "m", 14.0, nil},
			{"Robinia", "prima", 26.0, 90.0, 1700.0, 4.9, "EUR", "pezzo", 14.0, "FSC"},
			{"Frassino europeo", "seconda", 27.0, 120.0, 1700.0, 4.85, "EUR", "pezzo", 14.0, nil},
		},
	},
}
