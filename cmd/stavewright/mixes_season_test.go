package main

import (
	"context"
	"math"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// TestMixesAgreeWithSeason: what mixes says of a core, strips and lumber by wood, is what a season reckons for the same layout: the strips of its
// kinds, and of each the planks of the lot that the strip's price rests on, by the yield the season cuts with.
func TestMixesAgreeWithSeason(t *testing.T) {
	needSeasons(t)
	s := demoSeason(t, 1)
	plan, err := season.Solve(context.Background(), s, season.Options{GapPct: 1})
	if err != nil {
		t.Fatal(err)
	}
	model := &s.Models[0]
	p := model.Program
	mix := p.Mix(&plan.Points[0])
	perBoard, err := s.StripsPerBoard(0, plan.Layouts[0])
	if err != nil {
		t.Fatal(err)
	}
	cut := map[int]int{}
	for _, l := range plan.Lines {
		for _, c := range l.Cuts {
			cut[c.Kind] += c.Strips
		}
	}
	strips, lumber := map[string]int{}, map[string]float64{}
	for k, n := range perBoard {
		if cut[k] != n*model.Build {
			t.Errorf("%d strips of kind %d are cut for %d boards of %d", cut[k], k, model.Build, n)
		}
		kind := s.Kinds[k]
		strips[kind.Wood] += n
		lumber[kind.Wood] += float64(n) * lumberOf(t, s, p, model, k)
	}
	if !mix.LumberKnown || len(mix.Woods) != len(strips) || len(strips) < 2 {
		t.Fatalf("%+v for %v", mix, strips)
	}
	for _, w := range mix.Woods {
		id := p.Board.Woods[w.Wood].ID
		if w.Strips != strips[id] {
			t.Errorf("%s: mixes count %d strips, the season %d", id, w.Strips, strips[id])
		}
		// The season's yield is written to four decimals of a strip, as the price's.
		if math.Abs(w.LumberCM3-lumber[id]) > 1e-6*lumber[id] {
			t.Errorf("%s: mixes reckon %.3f cm³ of lumber, the season %.3f", id, w.LumberCM3, lumber[id])
		}
	}
}

// lumberOf is the cm³ of planks for one strip of a kind, from the season's lot that the model's price of it rests on.
func lumberOf(t *testing.T, s *season.Season, p *optimize.Program, model *season.Model, kind int) float64 {
	t.Helper()
	var price *sourcing.StripPrice
	for pos, kinds := range model.Kind {
		for c, k := range kinds {
			if k == kind {
				price = p.Candidates[c].At[pos].Price
			}
		}
	}
	if price == nil {
		t.Fatalf("kind %d has no price", kind)
	}
	for i := range s.Lots {
		l := &s.Lots[i]
		if l.Stock != price.Stock || l.Offer.File != price.Offer.File || l.Offer.Sheet != price.Offer.Sheet || l.Offer.Row != price.Offer.Row || l.Offer.Col != price.Offer.Col {
			continue
		}
		for _, u := range l.Uses {
			if u.Kind == kind {
				plank := l.Offer.Plank
				return plank.ThicknessMM * plank.WidthMM * plank.LengthMM / 1000 / u.Strips.InexactFloat64()
			}
		}
	}
	t.Fatalf("no lot of the season is the offer that kind %d is priced by: %+v", kind, price.Offer)
	return 0
}
