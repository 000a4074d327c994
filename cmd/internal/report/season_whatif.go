package report

import (
	"errors"
	"fmt"
	"strings"

	"stavewright/optimize/season"
)

// A whatIfView is a what-if as every output reads it.
type whatIfView struct {
	*season.WhatIf
	what    string   // "without beech-european"
	status  string   // see answerStatus
	dearer  string   // "dearer by 120.00 to 150.00 EUR (0.79 to 0.99 %)"
	bought  []string // what is bought otherwise
	layouts []string // models whose layout is another
}

func (v *seasonView) whatIfs() []whatIfView {
	var out []whatIfView
	for i := range v.WhatIfs {
		w := &v.WhatIfs[i]
		x := whatIfView{WhatIf: w, what: clean(w.Change.String()), status: answerStatus(&w.Answer), dearer: w.Dearer.Dearer(clean(v.s.Currency))}
		switch r := w.Dearer; {
		case r.Known && r.High.IsPositive() && !r.Low.IsNegative():
			x.dearer += " (" + pctWords(r, v.p.Cost) + ")"
		case r.Known && r.Low.IsNegative() && !r.High.IsPositive():
			x.dearer += " (" + pctWords(r.Neg(), v.p.Cost) + ")"
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

// answerStatus says how far a plan is proven, or why there is none.
func answerStatus(a *season.Answer) string {
	var none *season.NoPlanError
	switch p := a.Plan; {
	case p == nil && errors.As(a.None, &none):
		return "none found: " + clean(none.Why)
	case p == nil:
		return "none: " + clean(noneWords(a.None))
	case p.Proven:
		return "proven"
	case p.Done:
		return "within " + Fixed(p.GapPct(), 3) + " %"
	default:
		return "not proven: " + clean(p.Why)
	}
}

// noneWords says why there is no plan, without saying that there is none.
func noneWords(err error) string {
	var short *season.Shortage
	if !errors.As(err, &short) {
		return err.Error()
	}
	var says []string
	for _, l := range short.Lacks {
		says = append(says, l.Says)
	}
	return strings.Join(says, "; ")
}

// moreWords is what is known of a difference, for a table: "+195.58", "+195.58 to +203.11".
func moreWords(r season.Range) string {
	low, high := signed(r.Low.InexactFloat64(), 2), signed(r.High.InexactFloat64(), 2)
	switch {
	case !r.Known:
		return "n/a"
	case low == high:
		return low
	}
	return low + " to " + high
}

// moreValues is what is known of a difference, for two cells.
func moreValues(r season.Range) (low, high any) {
	if !r.Known {
		return nil, nil
	}
	return exactValue(r.Low), exactValue(r.High)
}

// difference is a what-if's other plan in a sentence.
func (x *whatIfView) difference() string {
	if x.Plan == nil {
		return x.status
	}
	parts := []string{x.dearer}
	if len(x.bought) > 0 {
		parts = append(parts, strings.Join(x.bought, ", "))
	}
	if len(x.layouts) > 0 {
		parts = append(parts, "other layouts for "+list(x.layouts, "and"))
	}
	if len(parts) == 1 {
		parts = append(parts, "the same plan")
	}
	return strings.Join(parts, "; ")
}

// A stepView is a step of the season's fast-grown share.
type stepView struct {
	*season.Step
	shares shares
	mass   float64 // mean core mass of a board, g
	status string
}

func (v *seasonView) steps() ([]stepView, error) {
	var out []stepView
	for i := range v.Steps {
		s := &v.Steps[i]
		x := stepView{Step: s, status: answerStatus(&s.Answer)}
		if s.Plan != nil {
			of, err := newSeasonView(&Season{Answers: &season.Answers{Plan: s.Plan}})
			if err != nil {
				return nil, err
			}
			x.shares, x.mass = of.share(), of.meanMass()
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
	c := []column{{head: "What", left: true}, {head: "Cost"}, {head: "More"}, {head: "", left: true}}
	for _, x := range rows {
		cells := []string{x.what, "n/a", "n/a", x.status}
		if x.Plan != nil {
			cells[1], cells[2] = amount(x.Plan.Cost, 2), moreWords(x.Dearer)
		}
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	t.table(c)
	for _, x := range rows {
		if x.Plan != nil {
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
		cells := []string{trimmed(x.MinFastPct), "n/a", "n/a", "n/a", "n/a", "n/a", x.status}
		if x.Plan != nil {
			cells = []string{cells[0], amount(x.Plan.Cost, 2), moreWords(x.Dearer), Fixed(x.shares.fast, 1), Fixed(x.shares.fastBought, 1), Fixed(x.mass, 1), x.status}
		}
		for i, cell := range cells {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	t.table(c)
	t.line(stepsNote)
	return nil
}

// differenceFormat writes a difference in a cell.
const differenceFormat = "+#,##0.00;-#,##0.00;#,##0.00"

func (b *workbook) seasonWhatIfs(v *seasonView) {
	rows := v.whatIfs()
	if len(rows) == 0 {
		return
	}
	const sheet = "What if"
	b.sheet(sheet, false)
	cur := clean(v.s.Currency)
	b.words(sheet, 1, 1, "What if: each by itself, against the season's plan", b.headingStyle())
	fields := []field{{head: "What", width: 34}, {head: "Cost " + cur, width: 13, format: "#,##0.00"}, {head: "More " + cur + ", at least", width: 13, format: differenceFormat},
		{head: "More " + cur + ", at most", width: 13, format: differenceFormat}, {head: "How far proven", width: 30, wrap: true}, {head: "What is different", width: 110, wrap: true}}
	var cells [][]any
	for _, x := range rows {
		row := []any{x.what, nil, nil, nil, x.status, x.difference()}
		if x.Plan != nil {
			row[1] = exactValue(x.Plan.Cost)
			row[2], row[3] = moreValues(x.Dearer)
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
	b.words(sheet, 1, 1, "What each step of fast-grown share costs. "+stepsNote, b.headingStyle())
	fields := []field{{head: "At least %", width: 10, format: "0.##"}, {head: "Cost " + cur, width: 13, format: "#,##0.00"}, {head: "More " + cur + ", at least", width: 13, format: differenceFormat},
		{head: "More " + cur + ", at most", width: 13, format: differenceFormat}, {head: "Fast-grown of the strips %", width: 12, format: "0.00"}, {head: "Fast-grown of the lumber %", width: 12, format: "0.00"},
		{head: "Mean core mass g", width: 11, format: "0.0"}, {head: "How far proven", width: 80, wrap: true}}
	var cells [][]any
	for _, x := range rows {
		row := []any{value(true, x.MinFastPct), nil, nil, nil, nil, nil, nil, x.status}
		if x.Plan != nil {
			low, high := moreValues(x.Dearer)
			row = []any{row[0], exactValue(x.Plan.Cost), low, high, value(true, x.shares.fast), value(true, x.shares.fastBought), value(true, x.mass), x.status}
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
	Low     *string         `json:"change_low"`
	High    *string         `json:"change_high"`
	Proven  bool            `json:"proven"`
	Done    bool            `json:"done"`
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
	Low           *string `json:"change_low"`
	High          *string `json:"change_high"`
	Proven        bool    `json:"proven"`
	Done          bool    `json:"done"`
	Why           string  `json:"why,omitempty"`
	FastPct       number  `json:"fast_grown_pct"`
	FastBoughtPct number  `json:"fast_grown_lumber_pct"`
	MeanMassG     number  `json:"mean_core_mass_g"`
}

// answerWhy is why an answer's plan is not done, or why there is none.
func answerWhy(a *season.Answer) string {
	var none *season.NoPlanError
	switch {
	case a.Plan != nil:
		return a.Plan.Why
	case errors.As(a.None, &none):
		return none.Why
	}
	return noneWords(a.None)
}

func (v *seasonView) whatIfDocs() []whatIfJSON {
	docs := []whatIfJSON{}
	for _, w := range v.WhatIfs {
		d := whatIfJSON{What: string(w.Change.Kind), Name: w.Change.Name, Pct: exactly(w.Change.Pct), Why: answerWhy(&w.Answer), Lots: []lotChangeJSON{}, Layouts: []string{}}
		if d.Cost, d.Bound, d.Change, d.Low, d.High = answerDoc(v.p, &w.Answer); w.Plan != nil {
			d.Proven, d.Done = w.Plan.Proven, w.Plan.Done
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
		d := stepJSON{MinFastPct: short(x.MinFastPct), Why: answerWhy(&x.Answer)}
		if d.Cost, d.Bound, d.Change, d.Low, d.High = answerDoc(v.p, &x.Answer); x.Plan != nil {
			d.Proven, d.Done = x.Plan.Proven, x.Plan.Done
			d.FastPct, d.FastBoughtPct, d.MeanMassG = fixed(x.shares.fast, 2), fixed(x.shares.fastBought, 2), fixed(x.mass, 2)
		}
		docs = append(docs, d)
	}
	return docs, err
}
