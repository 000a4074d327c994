package book

import (
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// smallSeason is the small job with boards to build, a supplier and stock. Strips are 10 mm wide inside and 20 mm at the edge, 9 mm thick, 1020 mm long.
func smallSeason(shop ...[]any) map[string][][]any {
	rows := [][]any{{"Setting", "Value", "Unit"}, {"glue spread", 0.0, "g/m2"}, {"rate USD", 0.9}, {"scrap boards", 4.0}}
	return withRows(map[string][][]any{
		"Positions": {{"Position", "Strips per side", "Strip width mm", "Woods allowed"}, {"inner", 2.0, 10.0, "Light; Heavy"}, {"edge", 1.0, 20.0, "Light; Heavy"}},
		"Models":    {{"Model", "Boards", "Needed by"}, {"Plank", 25.0, "2027-03-15"}},
		"Suppliers": {{"Supplier", "Price file", "Currency", "Lead time days", "Freight per order", "Freight per m3", "Min order value", "Valid until"}, {"A", "a.xlsx", "USD", 14.0, 50.0, 20.0, 100.0, "2027-02-10"}},
		"Stock":     {{"Wood", "Thickness mm", "Width mm", "Length mm", "Planks", "Value each"}, {"Light", 26.0, 100.0, 2500.0, 7.0, 3.0}},
		"Shop":      append(rows, shop...),
	})
}

func lightPlanks() sourcing.Offer {
	o := planksOf("light", "A", "10", 100)
	o.Currency, o.LeadTimeDays = "USD", 14
	return o
}

// A small season by hand: boards with scrap, kinds, a lot's steps and tiers in job money, the supplier's terms, what a strip takes.
func TestSeason(t *testing.T) {
	job := mustRead(t, workbook(t, smallSeason([]any{"ordering day", "2027-01-18"}, []any{"season fast-grown", 20.0}, []any{"suppliers per wood", 2.0}, []any{"budget", 900.0})))
	offer := lightPlanks()
	offer.MinQuantity, offer.PackSize = decimal.NewFromInt(8), decimal.NewFromInt(5)
	offer.Breaks = []sourcing.Break{{From: decimal.NewFromInt(12), Price: decimal.NewFromInt(8)}}
	heavy := planksOf("heavy", "A", "20", 100) // in EUR, though the supplier's terms are in USD
	s, found := job.Season([]sourcing.Offer{offer, heavy})
	if s == nil || len(found) > 0 {
		t.Fatal(found)
	}
	// 25 sold and 4 % scrap are 26.
	if m := s.Models[0]; m.Build != 26 || m.Sold != 25 {
		t.Errorf("boards: %d built, %d sold; want 26, 25", m.Build, m.Sold)
	}
	if len(s.Kinds) != 4 || s.Kinds[0].NeededBy != "2027-03-15" || s.Kinds[0].WidthMM != 10 || s.Kinds[0].ThicknessMM != 9 || s.Kinds[0].LengthMM != 1020 || s.Kinds[0].VolumeMM3 != 91800 {
		t.Errorf("kinds: %+v", s.Kinds)
	}
	if s.OrderingDay != "2027-01-18" || !s.Limits.Budget.Set || s.Limits.MinFastPct.Value != 20 || s.Limits.MinFastPct.Where != "Shop!B6" || s.Limits.MaxSuppliers.Value != 2 || s.Limits.MinCertPct.Set {
		t.Errorf("limits: %+v, ordering day %s", s.Limits, s.OrderingDay)
	}
	if sup := s.Suppliers[0]; sup.Freight.String() != "45" || sup.MinOrder.String() != "90" || sup.Rate.String() != "0.9" || sup.Currency != "USD" {
		t.Errorf("terms in job money: %+v; 50 and 100 USD at 0.9", sup)
	}
	if len(s.Lots) != 3 || len(s.LeftOut) != 0 {
		t.Fatalf("lots %+v, left out %+v", s.Lots, s.LeftOut)
	}
	stock, light, dear := s.Lots[0], s.Lots[1], s.Lots[2]
	if !stock.Stock || stock.Supplier != -1 || stock.MaxSteps != 7 || stock.Tiers[0].Each.String() != "3" || !stock.StepFreight.IsZero() || stock.ReadyBy != "" {
		t.Errorf("stock: %+v", stock)
	}
	// Packs of 5: at least 8 pieces are 2 packs; 10 USD × 5 × 0.9 = 45 a pack; from 12 pieces, that is from 3 packs on, 8 × 5 × 0.9 = 36. A plank is 0.0065 m³, a
	// pack 0.0325: freight 0.0325 × 20 × 0.9 = 0.585.
	if got := fmt.Sprint(light.Tiers); got != "[{1 0 45} {3 0 36}]" || light.MinSteps != 2 || light.StepParts != 5*season.PlankParts || light.StepFreight.String() != "0.585" ||
		light.ReadyBy != "2027-02-01" || light.ValidUntil != "2027-02-10" {
		t.Errorf("light: %+v", light)
	}
	if got := fmt.Sprint(dear.Tiers); got != "[{1 0 20}]" {
		t.Errorf("heavy, in EUR: tiers %s", got)
	}
	// 22.4 strips a plank ([TestProgramPrices] reckons it); a billion ÷ 22.4 = 44 642 857.1.
	if u := light.Uses; len(u) != 2 || u[0].Kind != 0 || u[0].Parts != 44_642_857 || u[0].Strips.String() != "22.4" || len(u[0].Steps) != 4 {
		t.Errorf("uses: %+v", u)
	}
	// Every strip light: 26 boards take 104 strips of 10 mm and 52 of 20 mm, 104 ÷ 22.4 + 52 ÷ 11.2 = 9.3 planks, so 2 packs; the break says 3.
	if light.MaxSteps != 3 {
		t.Errorf("at most %d packs are of use, want 3", light.MaxSteps)
	}
	if k := s.Models[0].Kind; len(k) != 2 || k[0][0] != 0 {
		t.Errorf("kinds by position: %v", k)
	}
}

// What comes too late or holds no longer is no lot, and says why; without an ordering day nothing is too late, and a finding says so.
func TestSeasonInTime(t *testing.T) {
	offers := func(change func(o *sourcing.Offer)) []sourcing.Offer {
		o := lightPlanks()
		change(&o)
		return []sourcing.Offer{o, planksOf("heavy", "A", "20", 100)}
	}
	for _, tt := range []struct {
		name, ordering string
		change         func(o *sourcing.Offer)
		why            string
	}{
		{"in time to the day", "2027-02-10", func(o *sourcing.Offer) { o.LeadTimeDays = 33 }, ""},
		{"a day late", "2027-02-10", func(o *sourcing.Offer) { o.LeadTimeDays = 34 }, "there on 2027-03-16, too late for what is needed by 2027-03-15; ordered by 2027-02-09 they are in time"},
		{"a day of its own, late", "2027-01-18", func(o *sourcing.Offer) { o.ReadyOn = time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC) }, "there on 2027-04-01"},
		{"a day of its own, past", "2027-01-18", func(o *sourcing.Offer) { o.ReadyOn = time.Date(2027, 1, 2, 0, 0, 0, 0, time.UTC) }, ""},
		{"the supplier's prices hold no longer", "2027-02-11", func(o *sourcing.Offer) {}, "holds until 2027-02-10"},
		{"but the sheet's do", "2027-02-11", func(o *sourcing.Offer) { o.ValidUntil = time.Date(2027, 2, 20, 0, 0, 0, 0, time.UTC) }, ""},
		{"no ordering day", "", func(o *sourcing.Offer) { o.LeadTimeDays = 400 }, ""},
		{"sold out", "2027-01-18", func(o *sourcing.Offer) { o.HasAvailable = true }, "none is available"},
		{"no wood of any model", "2027-01-18", func(o *sourcing.Offer) { o.Wood = "beech-european" }, "no model can use this wood"},
		{"too thin", "2027-01-18", func(o *sourcing.Offer) { o.Plank.ThicknessMM = 10 }, "too thin"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var shop [][]any
			if tt.ordering != "" {
				shop = append(shop, []any{"ordering day", tt.ordering})
			}
			job := mustRead(t, workbook(t, smallSeason(shop...)))
			s, found := job.Season(offers(tt.change))
			if s == nil {
				t.Fatal(found)
			}
			if warned := len(found) == 1 && found[0].Warning && strings.Contains(found[0].Problem, "no ordering day"); warned != (tt.ordering == "") || len(found) > 1 {
				t.Errorf("findings: %v", found)
			}
			why := ""
			for _, l := range s.LeftOut {
				if l.Offer.Price.Equal(decimal.NewFromInt(10)) && !l.Stock {
					why = l.Why
				}
			}
			if tt.why == "" && why != "" || !strings.Contains(why, tt.why) {
				t.Errorf("left out because %q; want %q", why, tt.why)
			}
		})
	}
}

// A day that a price sheet gives counts with and without an ordering day; a model without a day of need is warned of, once, and nothing is too late for it.
func TestSeasonReadyDays(t *testing.T) {
	for _, tt := range []struct {
		name, ordering, needed string
		ready                  string // of the offer, with 14 days to deliver
		readyBy                string // of its lot; empty: not known
		why                    string // why it is no lot
		warned                 string
	}{
		{"in three months", "2027-01-18", "2027-03-15", "2027-06-15", "", "there on 2027-06-15, too late for what is needed by 2027-03-15", ""},
		{"without an ordering day", "", "2027-03-15", "2027-06-15", "", "there on 2027-06-15, too late for what is needed by 2027-03-15", "no ordering day"},
		{"in time without an ordering day", "", "2027-03-15", "2027-03-15", "2027-03-15", "", "no ordering day"},
		{"there already: it still has to be delivered", "2027-01-18", "2027-03-15", "2026-12-01", "2027-02-01", "", ""},
		{"there already, but ordered too late", "2027-03-02", "2027-03-15", "2026-12-01", "", "there on 2027-03-16, too late for what is needed by 2027-03-15; ordered by 2027-03-01 they are in time", ""},
		{"no day of need", "2027-01-18", "", "2027-06-15", "2027-06-15", "", `cell C2: model "Plank" has no day by which it is needed`},
		{"neither day", "", "", "2027-06-15", "2027-06-15", "", `cell C2: model "Plank" has no day by which it is needed`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var shop [][]any
			if tt.ordering != "" {
				shop = append(shop, []any{"ordering day", tt.ordering})
			}
			rows := smallSeason(shop...)
			rows["Models"][1][2] = tt.needed
			rows["Suppliers"][1][7] = "2027-12-31"
			o := lightPlanks()
			o.ReadyOn, _ = time.Parse(time.DateOnly, tt.ready)
			s, found := mustRead(t, workbook(t, rows)).Season([]sourcing.Offer{o, planksOf("heavy", "A", "20", 100)})
			if s == nil {
				t.Fatal(found)
			}
			if len(found.Errors()) > 0 || tt.warned == "" && len(found) > 0 || !strings.Contains(found.String(), tt.warned) || strings.Count(found.String(), "has no day") > 1 {
				t.Errorf("findings %v; want %q", found, tt.warned)
			}
			l, why := lotAt(s, 10)
			switch {
			case tt.why == "" && (l == nil || l.ReadyBy != tt.readyBy || l.UsableFrom != tt.readyBy || len(l.Uses) != 2):
				t.Errorf("lot %+v (%s), want one that is ready by %q", l, why, tt.readyBy)
			case tt.why != "" && (l != nil || !strings.Contains(why, tt.why)):
				t.Errorf("lot %+v, left out for %q; want %q", l, why, tt.why)
			}
		})
	}
}

// A supplier's sheet with a day and a state of drying in columns, from its cells to the season: no quantity is made of the day, and nothing late or wet is ordered.
func TestSeasonFromSheet(t *testing.T) {
	for _, tt := range []struct {
		name, headers, cells string
		columns              [][]any // of the Columns sheet
		shop                 [][]any
		available            string // of the offer; empty: not known
		why                  string // why it is left out; empty: it is a lot
	}{
		{"a day, late", "Quantity,Available from", "4.5,2027-06-15", nil, nil, "", "too late for what is needed by 2027-03-15"},
		{"in German", "Bestand m3,Verfügbar ab", "4.5,15.06.2027", nil, nil, "4.5", "too late for what is needed by 2027-03-15"},
		{"in French", "Stock m3,Disponible dès", "4.5,15.06.2027", nil, nil, "4.5", "too late for what is needed by 2027-03-15"},
		{"in Italian", "Giacenza m3,Disponibile da", "4.5,15.06.2027", nil, nil, "4.5", "too late for what is needed by 2027-03-15"},
		{"a day in a column of quantities", "Verfügbar", "15.06.2027", nil, nil, "", "too late for what is needed by 2027-03-15"},
		{"a week", "Ready", "CW 10/2027", nil, nil, "", ""},
		{"green", "Drying", "green", nil, [][]any{{"moisture at most", 10.0}}, "", "it is green, which counts as 100 % moisture"},
		{"dry", "Moisture %", "8", nil, [][]any{{"moisture at most", 10.0}}, "", ""},
		{"the whole sheet is dry", "Ready", "2027-02-01", [][]any{{"Supplier", "Sheet", "Header", "Meaning"}, {"A", nil, "*", "moisture KD 8 %"}}, [][]any{{"moisture at most", 10.0}}, "", ""},
		{"a column of the job book", "Termin X", "2027-06-15", [][]any{{"Supplier", "Sheet", "Header", "Meaning"}, {"A", nil, "Termin X", "available from"}}, nil, "", "too late for what is needed by 2027-03-15"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rows := smallSeason(append(tt.shop, []any{"ordering day", "2027-01-18"})...)
			if tt.columns != nil {
				rows["Columns"] = tt.columns
			}
			job := mustRead(t, workbook(t, rows))
			sheet := "Wood,Thickness mm,Width mm,Length mm,Price EUR/m3," + tt.headers + "\nLight,26,100,2500,10," + tt.cells + "\n"
			offers, _, found := sourcing.ReadOffers(strings.NewReader(sheet), job.Source(&job.Suppliers[0]))
			if len(offers) != 1 || len(found.Errors()) > 0 {
				t.Fatal(offers, found)
			}
			if o := offers[0]; o.HasAvailable != (tt.available != "") || o.HasAvailable && o.Available.String() != tt.available {
				t.Errorf("%v available (%v), want %q", o.Available, o.HasAvailable, tt.available)
			}
			heavy := planksOf("heavy", "A", "20", 100)
			heavy.Moisture = "KD 8 %"
			s, found := job.Season(append(offers, heavy))
			if s == nil {
				t.Fatal(found)
			}
			if l, why := lotAt(s, 10); (l == nil) != (tt.why != "") || !strings.Contains(why, tt.why) {
				t.Errorf("lot %v, left out for %q; want %q", l != nil, why, tt.why)
			}
		})
	}
}

// lotAt is the lot of the offer with a price, and why it or a part of it is left out.
func lotAt(s *season.Season, price int64) (lot *season.Lot, why string) {
	for i := range s.Lots {
		if o := s.Lots[i].Offer; !s.Lots[i].Stock && o.Price.Equal(decimal.NewFromInt(price)) {
			lot = &s.Lots[i]
		}
	}
	for _, l := range s.LeftOut {
		if !l.Stock && l.Offer.Price.Equal(decimal.NewFromInt(price)) {
			why = l.Why
		}
	}
	return lot, why
}

// Lumber that is too moist, or whose moisture nothing says, is conditioned before it is used, or left out where the book gives no days. The yard is dry.
func TestSeasonMoisture(t *testing.T) {
	const needed = "2027-03-15" // and the offer is there on 2027-02-01
	for _, tt := range []struct {
		name, moisture string
		most, days     any
		usable, why    string
	}{
		{"no rule", "green", nil, nil, "2027-02-01", ""},
		{"dry by its figure", "KD 8-10 %", 10.0, nil, "2027-02-01", ""},
		{"dry by its figure, days or not", "KD 8-10 %", 10.0, 90.0, "2027-02-01", ""},
		{"the upper figure counts", "KD 8-10 %", 9.0, nil, "", "its moisture is KD 8-10 %; at most 9 % is allowed (Shop!B6), and no conditioning days are set"},
		{"a tolerance counts", "8 ± 2 %", 9.5, nil, "", "its moisture is 8 ± 2 %; at most 9.5 %"},
		{"a decimal comma", "8,5 %", 8.0, nil, "", "its moisture is 8,5 %; at most 8 %"},
		{"kiln-dried without a figure", "KD", 10.0, nil, "", "it is KD, which counts as 12 % moisture; at most 10 %"},
		{"kiln-dried is dry enough", "KD", 12.0, nil, "2027-02-01", ""},
		{"air-dried", "AD", 12.0, nil, "", "it is AD, which counts as 20 % moisture"},
		{"air-dried to a figure", "AD 15 %", 15.0, nil, "2027-02-01", ""},
		{"green", "green", 25.0, nil, "", "it is green, which counts as 100 % moisture"},
		{"not stated", "", 12.0, nil, "", "its moisture is not stated; at most 12 % is allowed (Shop!B6), and no conditioning days are set"},
		{"conditioned in time", "green", 10.0, 42.0, needed, ""},
		{"conditioned a day too late", "green", 10.0, 43.0, "", "there on 2027-02-01 and need 43 days of conditioning, usable from 2027-03-16, too late for what is needed by 2027-03-15; ordered by 2027-01-17 they are in time"},
		{"not stated, conditioned", "", 10.0, 30.0, "2027-03-03", ""},
		{"no days at all", "green", 10.0, 0.0, "2027-02-01", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			shop := [][]any{{"ordering day", "2027-01-18"}}
			for _, s := range [][]any{{"moisture at most", tt.most, "%"}, {"conditioning days", tt.days, "days"}} {
				if s[1] != nil {
					shop = append(shop, s)
				}
			}
			o := lightPlanks()
			o.Moisture = tt.moisture
			heavy := planksOf("heavy", "A", "20", 100)
			heavy.Moisture = "KD 6-8 %"
			s, found := mustRead(t, workbook(t, smallSeason(shop...))).Season([]sourcing.Offer{o, heavy})
			if s == nil || len(found) > 0 {
				t.Fatal(found)
			}
			if !s.Lots[0].Stock || s.Lots[0].Conditioning != 0 {
				t.Errorf("the yard: %+v", s.Lots[0])
			}
			l, why := lotAt(s, 10)
			if tt.usable == "" {
				if l != nil || !strings.Contains(why, tt.why) {
					t.Errorf("lot %+v, left out for %q; want %q", l, why, tt.why)
				}
				return
			}
			if l == nil || l.ReadyBy != "2027-02-01" || l.UsableFrom != tt.usable || len(l.Uses) != 2 {
				t.Fatalf("lot %+v (%s), want one that is usable from %s", l, why, tt.usable)
			}
			noted := strings.Join(l.Uses[0].Steps, "\n")
			if want := fmt.Sprintf("needs %d days of conditioning, usable from %s", l.Conditioning, tt.usable); strings.Contains(noted, want) != (l.Conditioning > 0) {
				t.Errorf("steps %q; want %q if it is conditioned", noted, want)
			}
		})
	}
}

// Without an ordering day nobody knows when a lot is dry, but that it needs its days is said.
func TestSeasonMoistureWithoutDay(t *testing.T) {
	s, _ := mustRead(t, workbook(t, smallSeason([]any{"moisture at most", 10.0}, []any{"conditioning days", 30.0}))).Season([]sourcing.Offer{lightPlanks(), planksOf("heavy", "A", "20", 100)})
	l, why := lotAt(s, 10)
	if l == nil || l.ReadyBy != "" || l.UsableFrom != "" || l.Conditioning != 30 || !strings.HasSuffix(strings.Join(l.Uses[0].Steps, "\n"), "needs 30 days of conditioning") {
		t.Errorf("%+v, %s", l, why)
	}
}

// The settings of moisture: what cannot be is said in its cell.
func TestMoistureSettings(t *testing.T) {
	for _, tt := range []struct {
		rows    [][]any
		cell    string
		words   string
		warning bool
	}{
		{[][]any{{"moisture at most", 10.0, "%"}, {"conditioning days", 21.0, "days"}}, "", "", false},
		{[][]any{{"moisture at most", 2.0}}, "B3", "must be at least 4 %", false},
		{[][]any{{"moisture at most", "dry"}}, "B3", "not a number", false},
		{[][]any{{"moisture at most", 10.0}, {"conditioning days", 2.5}}, "B4", "not a whole number", false},
		{[][]any{{"moisture at most", 10.0}, {"conditioning days", -1.0}}, "B4", "must be at least 0 days", false},
		{[][]any{{"conditioning days", 3.0, "weeks"}}, "C3", "read in days", false},
		{[][]any{{"Conditioning-days", 21.0}}, "A3", `"conditioning days" has no effect without "moisture at most"`, true},
	} {
		rows := append([][]any{{"Setting", "Value", "Unit"}, {"glue spread", 0.0, "g/m2"}}, tt.rows...)
		_, found := readBook(t, workbook(t, withRows(map[string][][]any{"Shop": rows})))
		if tt.cell == "" {
			if len(found) > 0 {
				t.Errorf("%v: %v", tt.rows, found)
			}
			continue
		}
		if len(found) != 1 || found[0].Sheet != "Shop" || found[0].Cell() != tt.cell || found[0].Warning != tt.warning || !strings.Contains(found[0].String(), tt.words) {
			t.Errorf("%v: %v; want %s: %s", tt.rows, found, tt.cell, tt.words)
		}
	}
}

// A model without targets keeps the ride of its reference as a match keeps it; one with neither is warned of.
func TestSeasonRide(t *testing.T) {
	targets := [][]any{{"Model", "From tip mm", "EI low N·m2"}, {nil, 500.0, 40.0}}
	limits := [][]any{{"Model", "Equal flex %"}, {"Plank", 3.5}}
	for _, tt := range []struct {
		name              string
		targets, limits   [][]any
		reference, warned bool
		ride              string
	}{
		{"no targets", nil, nil, true, false, "EI held within 2 % of the reference, as the book has no targets for it"},
		{"no targets, a percentage", nil, limits, true, false, "EI held within 3.5 % of the reference, as the book has no targets for it"},
		{"targets", targets, limits, true, false, ""},
		{"targets, no reference", targets, nil, false, false, ""},
		{"neither", nil, limits, false, true, "not held: the book has neither targets nor a reference for it"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rows := smallSeason([]any{"ordering day", "2027-01-18"})
			rows["Models"] = [][]any{{"Boards", "Model", "Needed by", "Support span mm"}, {25.0, "Plank", "2027-03-15", 800.0}}
			rows["Stations"] = [][]any{{"From tip mm", "Core width mm", "Core thickness mm"}, {0.0, 80.0, 8.0}, {100.0, 80.0, 8.0}, {500.0, 80.0, 9.0}, {900.0, 80.0, 8.0}, {1000.0, 80.0, 8.0}}
			for sheet, r := range map[string][][]any{"Targets": tt.targets, "Limits": tt.limits} {
				if r != nil {
					rows[sheet] = r
				}
			}
			if !tt.reference {
				delete(rows, "Reference")
			}
			job := mustRead(t, workbook(t, rows))
			offers := []sourcing.Offer{lightPlanks(), planksOf("heavy", "A", "20", 100)}
			s, found := job.Season(offers)
			if s == nil {
				t.Fatal(found)
			}
			if warned := len(found) == 1 && found[0].Warning && found[0].Sheet == "Models" && found[0].Cell() == "B2" && strings.Contains(found[0].String(), `nothing holds the ride of model "Plank"`); warned != tt.warned || len(found) > 1 {
				t.Errorf("findings: %v", found)
			}
			m := s.Models[0]
			if m.Ride != tt.ride {
				t.Errorf("ride %q, want %q", m.Ride, tt.ride)
			}
			p, _ := job.Program("Plank", offers)
			if tt.ride == "" || !tt.reference {
				if !reflect.DeepEqual(m.Program.Limits.Windows, p.Limits.Windows) {
					t.Errorf("windows %+v, want the book's %+v", m.Program.Limits.Windows, p.Limits.Windows)
				}
				return
			}
			r, err := optimize.Match(t.Context(), p, job.MatchOptions(&job.Models[0]))
			if err != nil {
				t.Fatal(err)
			}
			if got := m.Program.Limits.Windows; len(got) != 3 || !reflect.DeepEqual(got, r.Windows) || len(p.Limits.Windows) > 0 {
				t.Errorf("windows %+v, want those of a match, %+v, at 100, 500 and 900 mm", got, r.Windows)
			}
		})
	}
}

// What there is no season from is a finding with its place.
func TestSeasonFaults(t *testing.T) {
	job := mustRead(t, workbook(t, small()))
	if s, found := job.Season(nil); s != nil || len(found) != 1 || found[0].Sheet != "Suppliers" {
		t.Errorf("without suppliers and stock: %v, %v", s, found)
	}
	rows := smallSeason([]any{"ordering day", "2027-01-18"})
	rows["Models"] = [][]any{{"Model", "Boards"}, {"Plank", 0.0}}
	job = mustRead(t, workbook(t, rows))
	if s, found := job.Season([]sourcing.Offer{lightPlanks()}); s != nil || len(found.Errors()) != 1 || !strings.Contains(found.String(), "Boards") {
		t.Errorf("without boards: %v, %v", s, found)
	}
	job = mustRead(t, workbook(t, smallSeason([]any{"ordering day", "2027-01-18"})))
	o := lightPlanks()
	o.Currency = "SEK"
	s, found := job.Season([]sourcing.Offer{lightPlanks(), o, planksOf("heavy", "A", "20", 100)})
	if s == nil || len(found) != 1 || !found[0].Warning || found[0].Cell() != "B4" || !strings.Contains(found[0].String(), "rate SEK") || len(s.LeftOut) != 1 || s.LeftOut[0].Why != "there is no rate for SEK" {
		t.Errorf("without a rate: %v, left out %+v", found, s.LeftOut)
	}
}

// The demo's season: seven models that share kinds within a family, four suppliers, stock, and one supplier too late for the first family.
func TestSeasonDemo(t *testing.T) {
	job := mustRead(t, starterFile(t, JobFile))
	s, found := job.Season(demoOffers(t, job))
	if s == nil || len(found) > 0 {
		t.Fatal(found)
	}
	if len(s.Models) != 7 || len(s.Suppliers) != 4 || s.Models[0].Build != 433 {
		t.Errorf("%d models, %d suppliers, %d boards of the first", len(s.Models), len(s.Suppliers), s.Models[0].Build)
	}
	late, breaks, packs := 0, 0, 0
	for _, l := range s.LeftOut {
		if l.Part && strings.Contains(l.Why, "too late") && strings.HasPrefix(l.Offer.Supplier, "Scierie") {
			late++
		}
	}
	for _, l := range s.Lots {
		if len(l.Tiers) > 1 {
			breaks++
		}
		if l.Offer.PackSize.Sign() > 0 {
			packs++
		}
	}
	if late != 4 || breaks < 10 || packs != 4 || !s.Lots[0].Stock {
		t.Errorf("%d lots late for some, %d with breaks, %d in packs", late, breaks, packs)
	}
	// Models of a family take the same kinds at each position.
	if a, b := s.Models[0].Kind, s.Models[1].Kind; fmt.Sprint(a) != fmt.Sprint(b) {
		t.Errorf("Park 150 and Park 155 have the kinds\n%v\n%v", a, b)
	}
}
