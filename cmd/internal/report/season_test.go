package report

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"stavewright/optimize/season"
)

func seasonBytes(t testing.TB, write func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Every output of the sample's season, as a file; the workbooks as their cells.
func TestSeasonGolden(t *testing.T) {
	r := sampleSeason(t)
	var text bytes.Buffer
	for _, width := range []int{80, 100} {
		fmt.Fprintf(&text, "##### %d columns\n", width)
		text.Write(seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, r, Style{Width: width}) }))
	}
	// What is said of a plan that is not proven, above its orders.
	for _, tt := range []struct {
		what, below, why string // by how much a plan may be cheaper; 0: not known
	}{{"as near as was asked", "0.87", ""}, {"stopped", "12.34", "time limit"}, {"stopped before anything was proven", "0", "interrupted"}} {
		of := sampleSeason(t)
		of.Plan.Proven, of.Plan.Done, of.Plan.Why, of.Plan.Bound = false, tt.why == "", tt.why, of.Plan.Cost.Sub(money(tt.below))
		of.First.Dearer.High = of.First.Dearer.High.Add(money(tt.below))
		if of.Plan.Season.OrderingDay = ""; tt.below == "0" {
			of.Plan.Bound, of.First.Dearer = money("0"), season.Range{}
		}
		fmt.Fprintf(&text, "##### %s\n", tt.what)
		said := seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, of, Style{}) })
		text.Write(said[:bytes.Index(said, []byte("\n\nOrders"))+1])
	}
	fmt.Fprintf(&text, "##### layouts kept, one recipe\n")
	one := sampleSeason(t)
	one.First, one.Kept, one.WhatIfs, one.Steps, one.Plan.Mode = nil, nil, nil, nil, season.Keep
	models := one.Plan.Season.Models
	models[1].Kept, models[0].Recipe, models[1].Recipe = one.Plan.Layouts[1], "All-round", "All-round"
	said := seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, one, Style{}) })
	text.Write(said[:bytes.Index(said, []byte("\n\nOrders"))+1])
	short := &season.Shortage{Lacks: []season.Lack{{What: "wood", Wood: "beech-european", By: "12 planks", Says: "beech-european: 12 planks are short by 2027-03-15"},
		{What: "money", By: "9.79 to 12.10 EUR", Money: season.Range{Known: true, Low: money("9.79"), High: money("12.10")}, Says: "the budget of 90.00 EUR is 9.79 to 12.10 EUR short"}},
		Remedies: []string{"12 more planks of beech-european, 27×160×2000 mm, from Segheria Valbruna Nuova by 2027-03-15 cost 105.84 EUR."}}
	fmt.Fprintf(&text, "##### short\n")
	text.Write(seasonBytes(t, func(w io.Writer) error { return ShortageTerminal(w, r.Plan.Season, short, Style{}) }))
	golden(t, "season-terminal.txt", text.Bytes())

	doc := seasonBytes(t, func(w io.Writer) error { return SeasonJSON(w, r) })
	doc = append(doc, seasonBytes(t, func(w io.Writer) error { return ShortageJSON(w, r.Plan.Season, short) })...)
	doc = append(doc, seasonBytes(t, func(w io.Writer) error {
		return NoPlanJSON(w, r.Plan.Season, &season.NoPlanError{Why: "interrupted"})
	})...)
	golden(t, "season.json", doc)
	golden(t, "season.xlsx.txt", dump(t, seasonBytes(t, func(w io.Writer) error { return SeasonWorkbook(w, r) })))
	var orders bytes.Buffer
	for i := range OrderNames(r) {
		orders.Write(dump(t, seasonBytes(t, func(w io.Writer) error { return OrderWorkbook(w, r, i) })))
	}
	golden(t, "season-orders.xlsx.txt", orders.Bytes())
	golden(t, "season-order.html", seasonBytes(t, func(w io.Writer) error { return OrderPage(w, r, 0) }))
}

// Written twice, every output is the same bytes.
func TestSeasonTwice(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"terminal": func(w io.Writer) error { return SeasonTerminal(w, sampleSeason(t), Style{}) },
		"JSON":     func(w io.Writer) error { return SeasonJSON(w, sampleSeason(t)) },
		"workbook": func(w io.Writer) error { return SeasonWorkbook(w, sampleSeason(t)) },
		"order":    func(w io.Writer) error { return OrderWorkbook(w, sampleSeason(t), 1) },
		"page":     func(w io.Writer) error { return OrderPage(w, sampleSeason(t), 1) },
	} {
		if !bytes.Equal(seasonBytes(t, write), seasonBytes(t, write)) {
			t.Errorf("%s differs when written again", name)
		}
	}
}

// An order sheet says nothing of boards, positions, layouts, strips, other suppliers or their prices.
func TestOrderKeepsQuiet(t *testing.T) {
	r := sampleSeason(t)
	s := r.Plan.Season
	names := OrderNames(r)
	if len(names) != 3 {
		t.Fatalf("orders to %v", names)
	}
	for i, name := range names {
		page := string(seasonBytes(t, func(w io.Writer) error { return OrderPage(w, r, i) }))
		book := string(dump(t, seasonBytes(t, func(w io.Writer) error { return OrderWorkbook(w, r, i) })))
		var secret []string
		for _, m := range s.Models {
			secret = append(secret, m.Program.Model)
			for _, p := range m.Program.Board.Positions {
				secret = append(secret, p.Name)
			}
		}
		for k, other := range names {
			if k != i {
				secret = append(secret, other)
			}
		}
		for _, l := range s.Lots {
			if l.Stock || s.Suppliers[l.Supplier].Name != name {
				secret = append(secret, l.Offer.File)
			}
		}
		secret = append(secret, "strip", "board", "core", "layout", "Stock", r.Plan.Cost.StringFixed(2))
		for _, text := range []string{page, book} {
			for _, word := range secret {
				if name == "Kestrel Vale Timbers" && word == "Stock" { // their own sheet's name
					continue
				}
				if strings.Contains(strings.ToLower(text), strings.ToLower(word)) {
					t.Errorf("the order to %s says %q", name, word)
				}
			}
			if !strings.Contains(text, name) {
				t.Errorf("the order to %s does not name them", name)
			}
		}
	}
}

// No output is broken by what people may have typed, and none takes it for markup, formula or control codes.
func TestSeasonHostile(t *testing.T) {
	for _, text := range hostileTexts {
		r := sampleSeason(t)
		s := r.Plan.Season
		for i := range s.Suppliers {
			s.Suppliers[i].Name, s.Suppliers[i].Currency = text+string(rune('A'+i)), text
		}
		for i := range s.Lots {
			o := *s.Lots[i].Offer
			o.Supplier, o.File, o.Sheet, o.Name, o.Grade, o.Currency, o.Moisture = text, text, text, text, text, text, text
			s.Lots[i].Offer = &o
		}
		for i := range s.LeftOut {
			s.LeftOut[i].Why = text
		}
		s.Currency, r.Kept.None, s.Models[0].Program.Model, s.Models[0].Recipe, s.Models[1].Ride = text, errors.New(text), text, text, text
		terminal := string(seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, r, Style{Width: 80}) }))
		if strings.ContainsAny(terminal, "\x1b\x00\u202e") {
			t.Errorf("%q reaches the terminal", text)
		}
		seasonBytes(t, func(w io.Writer) error { return SeasonJSON(w, r) })
		for _, write := range []func(io.Writer) error{func(w io.Writer) error { return SeasonWorkbook(w, r) }, func(w io.Writer) error { return OrderWorkbook(w, r, 0) }} {
			book := seasonBytes(t, write)
			checkSelfContained(t, fmt.Sprintf("%.20q", text), book)
			dump(t, book)
		}
		if page := string(seasonBytes(t, func(w io.Writer) error { return OrderPage(w, r, 0) })); strings.Count(strings.ToLower(page), "<script") > 0 || strings.Count(page, "</body>") != 1 {
			t.Errorf("%q is taken for markup", text)
		}
	}
}

// The last day to order counts lead time and conditioning back from the day of need, also where the sheet gives a day of its own, and is no later than the price holds.
func TestOrderBy(t *testing.T) {
	for _, tt := range []struct {
		lead, dry      int
		ready          bool
		wanted, before string
	}{
		{20, 0, false, "2027-03-15", "2027-02-23"}, {20, 21, false, "2027-02-22", "2027-02-02"}, {20, 21, true, "2027-02-22", "2027-02-02"}, {0, 0, true, "2027-03-15", "2027-02-28"},
	} {
		r := sampleSeason(t)
		lot := &r.Plan.Season.Lots[3]
		o := *lot.Offer
		o.LeadTimeDays, lot.Conditioning, lot.Offer = tt.lead, tt.dry, &o
		if tt.ready {
			o.ReadyOn = time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC)
		}
		v, err := newSeasonView(r)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range v.lines {
			if l.lot == lot && (l.wanted != tt.wanted || l.orderBy != tt.before) {
				t.Errorf("%+v: wanted by %s, order by %s", tt, l.wanted, l.orderBy)
			}
		}
	}
}
