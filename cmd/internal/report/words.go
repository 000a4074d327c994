package report

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// marks says what a point is on its front: "knee", "cheapest", both or nothing.
func marks(p optimize.Point) string {
	var m []string
	if p.Knee {
		m = append(m, "knee")
	}
	if p.Cheapest {
		m = append(m, "cheapest")
	}
	return strings.Join(m, ", ")
}

// clean is text that others wrote, fit for one line: control characters and those that reorder a line become spaces, runs of
// space one space; what shows nothing, as a soft hyphen, goes, unless it joins or varies its neighbours.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case steers(r):
			return ' '
		case r == zeroWidthNonJoiner, r == zeroWidthJoiner, r >= firstTag && r <= lastTag:
			return r
		case unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// Format characters that a script or an emoji needs.
const (
	zeroWidthNonJoiner = '\u200c'
	zeroWidthJoiner    = '\u200d'
	firstTag, lastTag  = '\U000e0020', '\U000e007f' // letters of flags
)

func cleanAll(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = clean(w)
	}
	return out
}

// resolution is the program's resolution with its defaults filled in.
func resolution(p *optimize.Program) optimize.Resolution {
	r := p.Resolution
	return optimize.Resolution{MassG: cmp.Or(r.MassG, 0.01), EINM2: cmp.Or(r.EINM2, 0.01), Money: cmp.Or(r.Money, 0.01), SharePct: cmp.Or(r.SharePct, 0.1)}
}

// decimals is how many decimals a multiple of step needs, 9 at most.
func decimals(step float64) int {
	s := strconv.FormatFloat(step, 'f', -1, 64)
	_, fraction, _ := strings.Cut(s, ".")
	return min(len(fraction), 9)
}

// moneyDecimals is how many decimals a cost is shown with.
func moneyDecimals(p *optimize.Program) int { return max(2, decimals(resolution(p).Money)) }

// amount is money with fixed decimals, never "-0.00".
func amount(d decimal.Decimal, decimals int) string {
	d = d.Round(int32(decimals))
	if d.IsZero() {
		d = decimal.Zero
	}
	return d.StringFixed(int32(decimals))
}

// sectionWords says which section EI means.
func sectionWords(s core.Section) string {
	if s == core.Pressed {
		return "the pressed board (core and layers)"
	}
	return "the bare core"
}

// meaning says which section and which station EI belongs to, and what core mass is.
func meaning(p *optimize.Program) string {
	return fmt.Sprintf("EI is that of %s at %s mm from the tip; core mass is wood and glue.",
		sectionWords(p.Board.Section), size(p.Board.MeasureAtMM))
}

// objectives is what the front trades off, in words.
func objectives(r *optimize.FrontResult) string {
	var words []string
	for _, o := range r.Objectives {
		words = append(words, map[optimize.Objective]string{
			optimize.Mass: "core mass", optimize.EI: "EI", optimize.Cost: "cost of a core", optimize.Share: "fast-grown share",
		}[o])
	}
	return list(words, "and")
}

// proofWords says in one sentence how far the front is proven.
func proofWords(r *optimize.FrontResult) string {
	steps := resolution(r.Program)
	var at []string
	for _, o := range r.Objectives {
		switch o {
		case optimize.Mass:
			at = append(at, trimmed(steps.MassG)+" g")
		case optimize.EI:
			at = append(at, trimmed(steps.EINM2)+" N·m²")
		case optimize.Cost:
			at = append(at, trimmed(steps.Money)+" "+clean(r.Program.Currency))
		case optimize.Share:
			at = append(at, trimmed(steps.SharePct)+" % of share")
		}
	}
	if r.Complete {
		all := fmt.Sprintf("all %d best trade-offs", len(r.Points))
		if len(r.Points) == 1 {
			all = "the only best trade-off"
		}
		return fmt.Sprintf("Complete and proven (%s): %s of %s, told apart in steps of %s.",
			byMethod(r), all, objectives(r), list(at, "and"))
	}
	why := r.Why
	if why == "" {
		why = "stopped early"
	}
	stopped := fmt.Sprintf("(%s, %s)", why, byMethod(r))
	switch {
	case len(r.Points) == 0:
		return "NOT COMPLETE " + stopped + ": no layout found yet; there may be some."
	case r.Unproven:
		return "NOT PROVEN " + stopped + ": the layout shown keeps the limits; whether it is among the best is open."
	}
	s := fmt.Sprintf("NOT COMPLETE %s: %s of %s found so far", stopped, count(len(r.Points), "best trade-off"), objectives(r))
	if r.Unsearched != "" {
		s += "; " + clean(r.Unsearched)
	}
	return s + "."
}

// byMethod says by what means a front was searched.
func byMethod(r *optimize.FrontResult) string {
	if r.Method == optimize.Enumeration {
		return "by enumeration"
	}
	return "by " + count(r.Solves, "integer program")
}

// undecidedHead stands above limits that could not be tried: a build without integer programs, or a limit that they cannot decide.
const undecidedHead = "Whether relaxing these helps is not known: there are too many layouts to go through one by one"

// kneeWords says what the knee is, or nothing when no point is marked.
func kneeWords(r *optimize.FrontResult) string {
	for _, p := range r.Points {
		if p.Knee {
			return fmt.Sprintf("Point %d is the knee, farthest from the straight line between the front's ends.", p.ID)
		}
	}
	return ""
}

// A reading writes layouts down shortly, with the letters of [woodMarks].
type reading struct{ letters map[string]string } // by wood id

func newReading(marks []woodMark) reading {
	r := reading{map[string]string{}}
	for _, m := range marks {
		r.letters[m.Wood.ID] = m.Letter
	}
	return r
}

// strips is one letter a strip of one side, from the centre line outward, by position.
func (r reading) strips(runs []optimize.Run) []string {
	return r.byPosition(runs, func(run optimize.Run) string { return strings.Repeat(r.letters[run.Wood], run.PerSide) }, "")
}

// counts is the number and letter of every run, from the centre line outward, by position.
func (r reading) counts(runs []optimize.Run) []string {
	return r.byPosition(runs, func(run optimize.Run) string { return fmt.Sprint(run.PerSide, r.letters[run.Wood]) }, "+")
}

func (r reading) byPosition(runs []optimize.Run, word func(optimize.Run) string, between string) []string {
	var parts []string
	for i, run := range runs {
		if i > 0 && runs[i-1].Position == run.Position {
			parts[len(parts)-1] += between + word(run)
		} else {
			parts = append(parts, word(run))
		}
	}
	return parts
}

// per says what a price is for one of.
func per(u sourcing.Unit) string { return "per " + cmp.Or(unitWords[u], clean(string(u))) }

// priceWords are what an offer asks, for one core: with breaks, its price for the smallest quantity.
func priceWords(o *sourcing.Offer) string {
	words := fmt.Sprintf("%s %s %s", sheetPrice(o.Price), clean(o.Currency), per(o.Unit))
	if len(o.Breaks) > 0 {
		words += " for the smallest quantity"
	}
	return words
}

// reckoning is how a strip's cost was reckoned, step by step: how the sheet was read, the yield, the price, and what larger
// quantities would pay.
func reckoning(p *sourcing.StripPrice) []string {
	return slices.Concat([]string{}, p.Steps) // not nil: a JSON list
}

// offerPlace is where an offer stands: file, sheet and cell or row, as far as there are any.
func offerPlace(o *sourcing.Offer) string {
	var parts []string
	if o.File != "" {
		parts = append(parts, clean(o.File))
	}
	if o.Sheet != "" {
		parts = append(parts, fmt.Sprintf("sheet %q", clean(o.Sheet)))
	}
	switch {
	case o.Row > 0 && o.Col > 0:
		parts = append(parts, "cell "+offerCell(o))
	case o.Row > 0:
		parts = append(parts, fmt.Sprint("row ", o.Row))
	}
	return strings.Join(parts, ", ")
}

// offerCell is the name of an offer's cell, or its row's.
func offerCell(o *sourcing.Offer) string { return sourcing.Finding{Row: o.Row, Col: o.Col}.Cell() }

// plank is a plank's size as thickness×width×length.
func plank(p sourcing.Plank) string {
	return size(p.ThicknessMM) + "×" + size(p.WidthMM) + "×" + size(p.LengthMM) + " mm"
}

// A woodPrice is one offer that prices a wood, and what a strip from it costs at the positions.
type woodPrice struct {
	offer *sourcing.Offer
	stock bool
	costs []stripCost
}

// A stripCost is what one strip costs at some positions.
type stripCost struct {
	price     *sourcing.StripPrice
	positions []string
}

// prices are the offers that price a candidate, in the order of the positions. A cost without an offer is left out.
func prices(b *core.Board, c optimize.Candidate) []woodPrice {
	var out []woodPrice
	for i, use := range c.At {
		if !use.Allowed || use.Price == nil || use.Price.Offer == nil {
			continue
		}
		at := slices.IndexFunc(out, func(w woodPrice) bool {
			return w.stock == use.Price.Stock && offerPlace(w.offer) == offerPlace(use.Price.Offer) && w.offer.Supplier == use.Price.Offer.Supplier
		})
		if at < 0 {
			at = len(out)
			out = append(out, woodPrice{offer: use.Price.Offer, stock: use.Price.Stock})
		}
		costs, name := &out[at].costs, b.Positions[i].Name
		same := slices.IndexFunc(*costs, func(s stripCost) bool { return s.price.Cost.Equal(use.Price.Cost) })
		if same < 0 {
			same = len(*costs)
			*costs = append(*costs, stripCost{price: use.Price})
		}
		(*costs)[same].positions = append((*costs)[same].positions, name)
	}
	return out
}

// costWords says what a strip costs at which positions: "0.4102 at Middle, 0.5641 at Inner and Edge".
func (w woodPrice) costWords() string {
	var words []string
	for _, c := range w.costs {
		words = append(words, stripMoney(c.price.Cost)+" at "+list(cleanAll(c.positions), "and"))
	}
	return strings.Join(words, ", ")
}

// stripMoney is the cost of a strip, to at least 4 decimals.
func stripMoney(d decimal.Decimal) string { return d.StringFixed(max(4, -d.Exponent())) }

// sheetPrice is a price as a sheet gives it, to at least 2 decimals.
func sheetPrice(d decimal.Decimal) string { return d.StringFixed(max(2, -d.Exponent())) }

// A leftOutGroup is woods that were left out for one reason.
type leftOutGroup struct {
	woods []string // "balsa", "beech at Inner and Edge"
	why   string
}

// foldLeftOut puts together what was left out for the same reason, in the order of first mention.
func foldLeftOut(left []optimize.LeftOut) []leftOutGroup {
	type leftWood struct {
		id        string
		positions []string // none: everywhere
	}
	var why []string
	woods := map[string][]leftWood{} // by reason
	for _, l := range left {
		id, position, reason := clean(l.Wood), clean(l.Position), clean(l.Why)
		group, known := woods[reason]
		if !known {
			why = append(why, reason)
		}
		same := slices.IndexFunc(group, func(w leftWood) bool { return w.id == id && len(w.positions) > 0 })
		switch {
		case position == "":
			group = append(group, leftWood{id: id})
		case same < 0:
			group = append(group, leftWood{id, []string{position}})
		default:
			group[same].positions = append(group[same].positions, position)
		}
		woods[reason] = group
	}
	var out []leftOutGroup
	for _, reason := range why {
		g := leftOutGroup{why: reason}
		for _, w := range woods[reason] {
			if len(w.positions) > 0 {
				w.id += " at " + list(w.positions, "and")
			}
			g.woods = append(g.woods, w.id)
		}
		out = append(out, g)
	}
	return out
}

// size is a length without needless decimals, to 0.1 mm.
func size(mm float64) string { return trimmed(roundTo(mm, 1)) }

// trimmed is v with as many decimals as it needs, in plain notation.
func trimmed(v float64) string { return Fixed(v, decimals(v)) }

// count is a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprint(n, " ", noun, "s")
}

// list joins words with commas and a last word between.
func list(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}

// An alongRow is a layout's section at a station, with the window on it where one is set.
type alongRow struct {
	section core.SectionFigures
	window  *optimize.Window
}

// alongRows are the sections of a layout at every station. A window between stations is at none of
// them: see [betweenStations].
func alongRows(p *optimize.Program, pt optimize.Point) []alongRow {
	rows := make([]alongRow, len(pt.Figures.Stations))
	for i, s := range pt.Figures.Stations {
		rows[i].section = s
		for j, w := range p.Limits.Windows {
			if w.FromTipMM == s.FromTipMM {
				rows[i].window = &p.Limits.Windows[j]
			}
		}
	}
	return rows
}

// againstReference compares the front with the reference layout: the first point that is no heavier and no less stiff, or
// says that no point is. Nothing when there is no reference or its figures cannot be had.
func againstReference(r *optimize.FrontResult) string {
	p := r.Program
	reference, err := referencePoint(p, p.Board)
	if err != nil || reference == nil || len(r.Points) == 0 {
		return ""
	}
	steps := resolution(p)
	grams := func(v float64) string { return Fixed(v, decimals(steps.MassG)) + " g" }
	stiffness := func(v float64) string { return Fixed(v, decimals(steps.EINM2)) + " N·m²" }
	mass, ei := roundTo(reference.CoreMassG, decimals(steps.MassG)), roundTo(reference.EINM2, decimals(steps.EINM2))
	words := fmt.Sprintf("The reference has %s and %s", grams(mass), stiffness(ei))
	var lighter *optimize.Point
	for i, pt := range r.Points {
		if pt.EINM2 >= ei && pt.CoreMassG <= mass && (lighter == nil || pt.CoreMassG < lighter.CoreMassG) {
			lighter = &r.Points[i]
		}
	}
	switch {
	case lighter == nil:
		return words + "; no point is as light and as stiff, so it keeps other limits or is a best trade-off itself."
	case lighter.CoreMassG == mass && lighter.EINM2 == ei:
		return words + fmt.Sprintf(": as point %d.", lighter.ID)
	}
	return words + fmt.Sprintf("; point %d is %s lighter and %s stiffer.", lighter.ID, grams(mass-lighter.CoreMassG), stiffness(lighter.EINM2-ei))
}

// relaxationWords are what a relaxation does and the cell it changes.
func relaxationWords(r optimize.Relaxation) string {
	words := clean(r.Sentence)
	if where := clean(r.Where); where != "" && !strings.Contains(words, where) {
		words += " (" + where + ")"
	}
	return words
}

// betweenStations says how a layout meets the windows that are at no station, a line each.
func betweenStations(p *optimize.Program, pt optimize.Point) []string {
	b := p.Board
	if f := pt.ProfileFactor; f != 0 && f != 1 {
		b = b.Scaled(f)
	}
	var out []string
	for _, w := range p.Limits.Windows {
		if !slices.ContainsFunc(pt.Figures.Stations, func(s core.SectionFigures) bool { return s.FromTipMM == w.FromTipMM }) {
			out = append(out, fmt.Sprintf("At %s mm, between stations: %s EI %s N·m², window %s.", size(w.FromTipMM), b.Section,
				Fixed(eiAt(b, pt.Layout, w.FromTipMM), decimals(resolution(p).EINM2)), windowWords(&w)))
		}
	}
	return out
}
