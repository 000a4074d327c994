package book

// priceSheets are the demo's four invented suppliers, each in the manner of its trade: American board feet and
// quarters, German cubic metres with decimal commas, Italian pieces and running metres.
var priceSheets = []priceSheet{
	{
		file: creekFile, sheet: "Hardwood", title: "Example Creek Lumber - price list (INVENTED)",
		lines:   []string{"Kiln dried 6-8 %, rough, net tally. Invented supplier, invented prices: USD per board foot.", "FOB mill."},
		headers: []string{"Species", "Grade", "Thickness", `Width in`, "Length ft", "Price USD/bf", "From 2000 bf USD/bf", "Min qty bf", "FSC"},
		formats: []string{"", "", "@", "0.0", "0", "0.00", "0.00", "0", ""},
		widths:  []float64{26, 18, 12, 10, 10, 13, 13, 11, 8},
		rows: [][]any{
			{"Yellow poplar", "FAS", "4/4", 6.5, 11.0, 1.42, 1.35, 300.0, nil},
			{"Yellow poplar", "FAS", "5/4", 6.5, 11.0, 1.55, 1.47, 300.0, nil},
			{"Yellow poplar", "No. 1 Common", "4/4", 5.5, 11.0, 0.98, 0.93, 300.0, nil},
			{"Quaking aspen", "No. 1 Common", "4/4", 5.0, 11.0, 1.08, 1.03, 200.0, nil},
			{"Quaking aspen", "FAS", "5/4", 5.5, 11.0, 1.38, 1.31, 200.0, nil},
			{"White ash", "FAS", "4/4", 6.0, 11.0, 1.85, 1.76, 200.0, nil},
			{"White ash", "No. 1 Common", "5/4", 5.0, 11.0, 1.34, 1.27, 200.0, nil},
			{"Hard maple", "No. 1 Common", "4/4", 5.5, 11.0, 1.72, 1.63, 200.0, nil},
			{"Yellow birch", "FAS", "4/4", 5.5, 11.0, 2.05, 1.95, 200.0, nil},
		},
	},
	{
		file: holzhofFile, sheet: "Schnittholz", title: "Holzhof Beispieltal - Preisliste Laubholz (ERFUNDEN)",
		lines:   []string{"Besäumt, künstlich getrocknet auf 8-10 %. Erfundener Lieferant, erfundene Preise, netto zzgl. MwSt.", "Staffelpreise gelten nur für die Mehrmenge. Preise freibleibend, ab Werk."},
		headers: []string{"Holzart", "Güteklasse", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³", "ab 3 m³ €/m³", "Mindestmenge m³", "Lieferzeit Tage", "Zertifikat"},
		formats: []string{"", "", "0", "0", "@", "@", "@", "@", "0", ""},
		widths:  []float64{24, 12, 11, 11, 11, 13, 13, 14, 13, 14},
		rows: [][]any{
			{"Kanadische Pappel", "A/B", 32.0, 140.0, "3,40", "435,00", "410,00", "0,5", 10.0, "PEFC"},
			{"Kanadische Pappel", "B", 26.0, 130.0, "3,40", "385,00", "360,00", "0,5", 10.0, "PEFC"},
			{"Rotbuche", "A/B", 26.0, 140.0, "3,40", "690,00", "650,00", "0,5", 10.0, "PEFC"},
			{"Rotbuche", "B", 32.0, 130.0, "1,70", "560,00", "525,00", "0,5", 10.0, "PEFC"},
			{"Esche", "A", 26.0, 140.0, "3,40", "980,00", "920,00", "0,5", 14.0, "FSC"},
			{"Esche", "B", 32.0, 130.0, "1,70", "790,00", "745,00", "0,5", 14.0, "FSC"},
			{"Birke", "A/B", 26.0, 120.0, "3,40", "815,00", "765,00", "0,5", 14.0, "PEFC"},
			{"Robinie", "B", 26.0, 100.0, "1,70", "905,00", "850,00", "0,5", 21.0, nil},
		},
	},
	{
		file: legnamiFile, sheet: "Listino", title: "Legnami Esempio - listino (INVENTATO)",
		lines:   []string{"Fornitore inventato, prezzi inventati, IVA esclusa. Essiccato 8-10 %."},
		headers: []string{"Essenza", "Scelta", "Spessore mm", "Larghezza mm", "Lunghezza mm", "Prezzo", "Valuta", "Unità", "Consegna giorni", "Certificato"},
		formats: []string{"", "", "0", "0", "0", "0.00", "", "", "0", ""},
		widths:  []float64{24, 10, 12, 13, 14, 10, 9, 12, 11, 12},
		rows: [][]any{
			{"Paulownia tomentosa", "prima", 30.0, 150.0, 3400.0, 2.55, "EUR", "m", 14.0, "FSC"},
			{"Dense paulownia", "prima", 30.0, 150.0, 1700.0, 6.2, "EUR", "pezzo", 14.0, "FSC"},
			{"Ayous", "prima", 27.0, 160.0, 3400.0, 3.4, "EUR", "m", 14.0, nil},
			{"Bambù", "prima", 20.0, 120.0, 2000.0, 9.8, "EUR", "pezzo", 14.0, "FSC"},
			{"Pioppo canadese", "seconda", 26.0, 140.0, 3400.0, 1.65, "EUR", "m", 14.0, nil},
			{"Robinia", "prima", 26.0, 90.0, 1700.0, 4.9, "EUR", "pezzo", 14.0, "FSC"},
			{"Frassino europeo", "seconda", 27.0, 120.0, 1700.0, 4.85, "EUR", "pezzo", 14.0, nil},
		},
	},
	{
		file: scierieFile, sheet: "Tarif", title: "Scierie Exemple - tarif (INVENTÉ)",
		lines:   []string{"Fournisseur inventé, prix inventés, hors TVA. Séché 8-10 %, avivé, vendu par paquets entiers."},
		headers: []string{"Essence", "Choix", "Épaisseur mm", "Largeur mm", "Longueur m", "Prix CHF/m³", "à partir de 4 m³ CHF/m³", "Paquet m³", "Délai jours", "Certificat"},
		formats: []string{"", "", "0", "0", "0.00", "0.00", "0.00", "0.00", "0", ""},
		widths:  []float64{24, 12, 13, 12, 12, 13, 14, 11, 9, 12},
		rows: [][]any{
			{"Peuplier du Canada", "choix 1", 32.0, 150.0, 3.40, 465.0, 375.0, 1.0, 50.0, "PEFC"},
			{"Hêtre commun", "choix 2", 27.0, 140.0, 3.40, 690.0, 585.0, 0.8, 50.0, "PEFC"},
			{"Frêne commun", "choix 2", 27.0, 140.0, 3.40, 895.0, 760.0, 0.8, 50.0, nil},
			{"Bouleau verruqueux", "choix 1", 27.0, 120.0, 3.40, 840.0, 720.0, 0.8, 50.0, "PEFC"},
		},
	},
}
