package report

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"

	"stavewright/optimize"
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
	stopped := sampleSeason(t)
	stopped.Plan.Proven, stopped.Plan.Why, stopped.Plan.Bound = false, "time limit", stopped.Plan.Cost.Sub(money("12.34"))
	stopped.Plan.Season.OrderingDay = ""
	fmt.Fprintf(&text, "##### stopped\n")
	text.Write(seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, stopped, Style{}) }))
	unknown := sampleSeason(t)
	unknown.Plan.Proven, unknown.Plan.Why, unknown.Plan.Bound = false, "interrupted", money("0")
	fmt.Fprintf(&text, "##### stopped before anything was proven\n")
	said := seasonBytes(t, func(w io.Writer) error { return SeasonTerminal(w, unknown, Style{}) })
	text.Write(said[:bytes.Index(said, []byte("\n\nOrders"))+1])
	short := &optimize.Shortage{Lacks: []optimize.Lack{{What: "wood", Wood: "beech-european", By: "12 planks", Says: "beech-european: 12 planks are short by 2027-03-15"}},
		Remedies: []string{"12 more planks of beech-european, 27×160×2000 mm, from Segheria Valbruna Nuova by 2027-03-15 cost 105.84 EUR."}}
	fmt.Fprintf(&text, "##### short\n")
	text.Write(seasonBytes(t, func(w io.Writer) error { return ShortageTerminal(w, r.Plan.Season, short, Style{}) }))
	golden(t, "season-terminal.txt", text.Bytes())

	doc := seasonBytes(t, func(w io.Writer) error { return SeasonJSON(w, r) })
	doc = append(doc, seasonBytes(t, func(w io.Writer) error { return ShortageJSON(w, r.Plan.Season, short) })...)
	doc = append(doc, seasonBytes(t, func(w io.Writer) error {
		return NoPlanJSON(w, r.Plan.Season, &optimize.NoPlanError{Why: "interrupted"})
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
		s.Currency, r.KeptWhy, s.Models[0].Program.Model = text, text, text
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
