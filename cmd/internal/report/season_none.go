package report

import (
	"io"

	"stavewright/optimize/season"
)

// A seasonNoneJSON is what there is to say of a season without a plan.
type seasonNoneJSON struct {
	Proven   bool       `json:"proven"` // that there is none
	Why      string     `json:"why,omitempty"`
	Currency string     `json:"currency"`
	Cost     *string    `json:"cost"` // null
	Lacks    []lackJSON `json:"lacks"`
	Remedies []string   `json:"remedies"`
}

type lackJSON struct {
	What  string `json:"what"`
	Wood  string `json:"wood,omitempty"`
	Model string `json:"model,omitempty"`
	By    string `json:"by,omitempty"`
	Low   string `json:"by_low,omitempty"` // of money: what is missing is not less, and not more than by_high
	High  string `json:"by_high,omitempty"`
	Says  string `json:"says"`
}

// ShortageTerminal says what a season lacks, by how much, and what would help, the cheapest first.
func ShortageTerminal(w io.Writer, s *season.Season, short *season.Shortage, style Style) error {
	t := newTerminal(style)
	t.title("Season: there is no plan that keeps every limit")
	t.gap()
	t.heading("What is short")
	for _, l := range short.Lacks {
		t.item("-", clean(l.Says))
	}
	if len(short.Remedies) > 0 {
		t.gap()
		t.heading("What would help, the cheapest first")
		for _, r := range short.Remedies {
			t.item("-", clean(r))
		}
	}
	t.leftOutLots(&seasonView{s: s})
	return t.writeTo(w)
}

// ShortageJSON writes what [ShortageTerminal] does as one JSON document.
func ShortageJSON(w io.Writer, s *season.Season, short *season.Shortage) error {
	doc := seasonNoneJSON{Proven: true, Currency: s.Currency, Lacks: []lackJSON{}, Remedies: append([]string{}, short.Remedies...)}
	for _, l := range short.Lacks {
		d := lackJSON{What: l.What, Wood: l.Wood, Model: l.Model, By: l.By, Says: l.Says}
		if l.Money.Known {
			d.Low, d.High = amount(l.Money.Low, 2), amount(l.Money.High, 2)
		}
		doc.Lacks = append(doc.Lacks, d)
	}
	return writeJSON(w, doc)
}

// NoPlanJSON writes that a search was stopped before it had a plan.
func NoPlanJSON(w io.Writer, s *season.Season, e *season.NoPlanError) error {
	return writeJSON(w, seasonNoneJSON{Why: e.Why, Currency: s.Currency, Lacks: []lackJSON{}, Remedies: []string{}})
}
