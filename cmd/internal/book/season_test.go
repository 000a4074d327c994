package book

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
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
	if got := fmt.Sprint(light.Tiers); got != "[{1 0 45} {3 0 36}]" || light.MinSteps != 2 || light.StepParts != 5*optimize.PlankParts || light.StepFreight.String() != "0.585" ||
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
