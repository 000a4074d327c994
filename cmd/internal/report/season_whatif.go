package report

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
)

// A whatIfView is a what-if as every output reads it.
type whatIfView struct {
	what    string // "without beech-european"
	plan    *optimize.SeasonPlan
	cost    decimal.Decimal // more than the season's plan
	pct     float64
	status  string   // "proven", "not proven: time limit", "none: …"
	bought  []string // what is bought otherwise
	layouts []string // models whose layout is another
}

// changeWords says what a what-if changes.
func changeWords(c optimize.Change) string {
	pct := c.Pct.String() + " %"
	if c.Pct.Sign() > 0 {
		pct = "+" + pct
	}
	switch c.Kind {
	case optimize.PriceOf:
		if c.Name == "" {
			return "all prices " + pct
		}
		return "price of " + clean(c.Name) + " " + pct
	case optimize.BoardsBy:
		return "boards " + pct
	}
	return "without " + clean(c.Name)
}

func (v *seasonView) whatIfs() []whatIfView {
	var out []whatIfView
	for _, w := range v.WhatIfs {
		x := whatIfView{what: changeWords(w.Change), plan: w.Plan, cost: w.Cost, status: planStatus(w.Plan, w.Short, w.Why)}
		if w.Plan != nil {
			x.pct = percent(w.Cost.InexactFloat64(), v.p.Cost.InexactFloat64())
		}
		for _, l := range w.Lots {
			o := v.s.Lots[l.Lot].Offer
			x.bought = append(x.bought, fmt.Sprintf("%s %s %s instead of %s (%s)", clean(o.Wood), l.After.Round(3), unitName(o.Unit), l.Before.Round(3), offerPlace(o)))
		}
		for _, m := range w.Models {
			x.layouts = append(x.layouts, clean(v.s.Models[m].Program.Model))
		}
		out = append(out, x)
	}
	return out
}

// planStatus says how far a plan is proven, or why there is none.
func planStatus(p *optimize.SeasonPlan, short *optimize.Shortage, why string) string {
	switch {
	case p != nil && p.Proven:
		return "proven"
	case p != nil:
		return "not proven: " + clean(why)
	case short != nil:
		return "none: " + shortWords(short)
	}
	return "none found: " + clean(why)
}

func shortWords(short *optimize.Shortage) string {
	var says []string
	for _, l := range short.Lacks {
		says = append(says, clean(l.Says))
	}
	return strings.Join(says, "; ")
}

// difference is a what-if's other plan in a sentence.
func (x *whatIfView) difference() string {
	if x.plan == nil {
		return x.status
	}
	var parts []string
	if len(x.bought) > 0 {
		parts = append(parts, strings.Join(x.bought, ", "))
	}
	if len(x.layouts) > 0 {
		parts = append(parts, "other layouts for "+list(x.layouts, "and"))
	}
	if len(parts) == 0 {
		return "the same plan"
	}
	return strings.Join(parts, "; ")
}

// A stepView is a step of the season's fast-grown share.
type stepView struct {
	step   optimize.SeasonStep
	more   decimal.Decimal // cost above the season's plan
	shares shares
	mass   float64 // mean core mass of a board, g
	status string
}

func (v *seasonView) steps() ([]stepView, error) {
	var out []stepView
	for _, s := range v.Steps {
		x := stepView{step: s, status: planStatus(s.Plan, s.Short, s.Why)}
		if s.Plan != nil {
			of, err := newSeasonView(&Season{Plan: s.Plan})
			if err != nil {
				return nil, err
			}
			x.more, x.shares, x.mass = s.Plan.Cost.Sub(v.p.Cost), of.share(), of.meanMass()
		}
		out = append(out, x)
	}
	return out, nil
}

// meanMass is the mean core mass of the boards to build, g.
func (v *seasonView) meanMass() float64 {
	sum, boards := 0.0, 0
	for m, model := range v.s.Models {
		sum += v.p.Points[m].CoreMassG * float64(model.Build)
		boards += model.Build
	}
	if boards == 0 {
		return 0
	}
	return sum / float64(boards)
}

const stepsNote = "Each is the cheapest plan with at least that share of fast-grown wood in all strips cut; more is against the plan above."

func (t *terminal) seasonWhatIfs(v *seasonView) {
	rows := v.whatIfs()
	if len(rows) == 0 {
		return
	}
	t.gap()
	t.heading("What if, in " + clean(v.s.Currency))
	c := []column{{head: "What", left: true}, {head: "Cost"}, {head: "More"}, {head: "%"}, {head: "", left: true}}
	for _, x := range rows {
		cells := []string{x.what, "n/a", "n/a", "n/a", x.status}
		if x.plan != nil {
			cells[1], cells[2], cells[3] = amount(x.plan.Cost, 2), signed(x.cost.InexactFloat64(), 2), signed(x.pct, 2)
		}
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	t.table(c)
	for _, x := range rows {
		if x.plan != nil {
			t.item("-", x.what+": "+x.difference()+".")
		}
	}
}

func (t *terminal) seasonSteps(v *seasonView) error {
	rows, err := v.steps()
	if err != nil || len(rows) == 0 {
		return err
	}
	t.gap()
	t.heading("What each step of fast-grown share costs, in " + clean(v.s.Currency))
	c := []column{{head: "At least\n%"}, {head: "Cost"}, {head: "More"}, {head: "Strips\n%"}, {head: "Lumber\n%"}, {head: "Mean core\nmass g"}, {head: "", left: true}}
	for _, x := range rows {
		cells := []string{trimmed(x.step.MinFastPct), "n/a", "n/a", "n/a", "n/a", "n/a", x.status}
		if p := x.step.Plan; p != nil {
			cells = []string{cells[0], amount(p.Cost, 2), signed(x.more.InexactFloat64(), 2), Fixed(x.shares.fast, 1), Fixed(x.shares.fastBought, 1), Fixed(x.mass, 1), x.status}
		}
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	t.table(c)
	t.line(stepsNote)
	return nil
}

func (b *workbook) seasonWhatIfs(v *seasonView) {
	rows := v.whatIfs()
	if len(rows) == 0 {
		return
	}
	const sheet = "What if"
	b.sheet(sheet, false)
	cur := clean(v.s.Currency)
	const cents = "#,##0.00"
	b.words(sheet, 1, 1, "What if: each by itself, against the season's plan", b.headingStyle())
	fields := []field{{head: "What", width: 34}, {head: "Cost " + cur, width: 13, format: cents}, {head: "More " + cur, width: 13, format: "+" + cents + ";-" + cents + ";" + cents},
		{head: "More %", width: 9, format: "+0.00;-0.00;0.00"}, {head: "How far proven", width: 30, wrap: true}, {head: "What is different", width: 110, wrap: true}}
	var cells [][]any
	for _, x := range rows {
		row := []any{x.what, nil, nil, nil, x.status, x.difference()}
		if x.plan != nil {
			row[1], row[2], row[3] = exactValue(x.plan.Cost), exactValue(x.cost), value(true, x.pct)
		}
		cells = append(cells, row)
	}
	b.table(sheet, 1, 2, fields, cells, nil)
	b.freeze(sheet, 1, 2)
}

func (b *workbook) seasonSteps(v *seasonView) {
	rows, err := v.steps()
	b.do(err)
	if len(rows) == 0 {
		return
	}
	const sheet = "Fast-grown steps"
	b.sheet(sheet, false)
	cur := clean(v.s.Currency)
	const cents = "#,##0.00"
	b.words(sheet, 1, 1, "What each step of fast-grown share costs. "+stepsNote, b.headingStyle())
	fields := []field{{head: "At least %", width: 10, format: "0.##"}, {head: "Cost " + cur, width: 13, format: cents}, {head: "More " + cur, width: 13, format: "+" + cents + ";-" + cents + ";" + cents},
		{head: "Fast-grown of the strips %", width: 12, format: "0.00"}, {head: "Fast-grown of the lumber %", width: 12, format: "0.00"}, {head: "Mean core mass g", width: 11, format: "0.0"},
		{head: "How far proven", width: 80, wrap: true}}
	var cells [][]any
	for _, x := range rows {
		row := []any{value(true, x.step.MinFastPct), nil, nil, nil, nil, nil, x.status}
		if p := x.step.Plan; p != nil {
			row = []any{row[0], exactValue(p.Cost), exactValue(x.more), value(true, x.shares.fast), value(true, x.shares.fastBought), value(true, x.mass), x.status}
		}
		cells = append(cells, row)
	}
	b.table(sheet, 1, 2, fields, cells, nil)
	b.freeze(sheet, 1, 2)
}

type whatIfJSON struct {
	What    string          `json:"what"`
	Name    string          `json:"name,omitempty"`
	Pct     number          `json:"pct"`
	Cost    *string         `json:"cost"` // null: there is no plan
	Bound   *string         `json:"bound"`
	Change  *string         `json:"change"`
	Proven  bool            `json:"proven"`
	Why     string          `json:"why,omitempty"`
	Lots    []lotChangeJSON `json:"lots"`
	Layouts []string        `json:"other_layouts"`
}

type lotChangeJSON struct {
	Supplier string `json:"supplier"`
	Wood     string `json:"wood"`
	File     string `json:"file"`
	Sheet    string `json:"sheet"`
	Cell     string `json:"cell"`
	Unit     string `json:"unit"`
	Before   number `json:"before"`
	After    number `json:"after"`
}

type stepJSON struct {
	MinFastPct    number  `json:"min_fast_grown_pct"`
	Cost          *string `json:"cost"`
	Bound         *string `json:"bound"`
	Change        *string `json:"change"`
	Proven        bool    `json:"proven"`
	Why           string  `json:"why,omitempty"`
	FastPct       number  `json:"fast_grown_pct"`
	FastBoughtPct number  `json:"fast_grown_lumber_pct"`
	MeanMassG     number  `json:"mean_core_mass_g"`
}

func (v *seasonView) whatIfDocs() []whatIfJSON {
	docs := []whatIfJSON{}
	for _, w := range v.WhatIfs {
		d := whatIfJSON{What: string(w.Change.Kind), Name: w.Change.Name, Pct: exactly(w.Change.Pct), Why: w.Why, Lots: []lotChangeJSON{}, Layouts: []string{}}
		if w.Short != nil {
			d.Why = shortWords(w.Short)
		}
		if p := w.Plan; p != nil {
			cost, bound, change := amount(p.Cost, 2), amount(p.Bound, 2), amount(w.Cost, 2)
			d.Cost, d.Bound, d.Change, d.Proven = &cost, &bound, &change, p.Proven
		}
		for _, l := range w.Lots {
			o := v.s.Lots[l.Lot].Offer
			d.Lots = append(d.Lots, lotChangeJSON{o.Supplier, o.Wood, o.File, o.Sheet, offerCell(o), string(o.Unit), exactly(l.Before), exactly(l.After)})
		}
		for _, m := range w.Models {
			d.Layouts = append(d.Layouts, v.s.Models[m].Program.Model)
		}
		docs = append(docs, d)
	}
	return docs
}

func (v *seasonView) stepDocs() ([]stepJSON, error) {
	rows, err := v.steps()
	docs := []stepJSON{}
	for _, x := range rows {
		d := stepJSON{MinFastPct: short(x.step.MinFastPct), Why: x.step.Why}
		if x.step.Short != nil {
			d.Why = shortWords(x.step.Short)
		}
		if p := x.step.Plan; p != nil {
			cost, bound, change := amount(p.Cost, 2), amount(p.Bound, 2), amount(x.more, 2)
			d.Cost, d.Bound, d.Change, d.Proven = &cost, &bound, &change, p.Proven
			d.FastPct, d.FastBoughtPct, d.MeanMassG = fixed(x.shares.fast, 2), fixed(x.shares.fastBought, 2), fixed(x.mass, 2)
		}
		docs = append(docs, d)
	}
	return docs, err
}
