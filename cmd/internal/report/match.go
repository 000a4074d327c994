package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// A matched is one of the layouts that a match sets side by side, with the program whose board is its own.
type matched struct {
	name     string
	program  *optimize.Program
	point    *optimize.Point
	strength *core.Strength // nil without a design load
}

// A matching is a match as every output reads it.
type matching struct {
	r       *optimize.MatchResult
	program *optimize.Program // the reference's, with every window that an answer keeps to
	columns []matched         // reference, best and trimmed, as far as there are any
	broken  []string          // limits that the trimmed board breaks
}

func newMatching(r *optimize.MatchResult) (*matching, error) {
	m := &matching{r: r}
	q := *r.Program
	q.Limits.Windows = windowsOf(r)
	m.program = &q
	add := func(name string, p *optimize.Program, pt *optimize.Point) error {
		on := *p
		on.Limits.Windows = q.Limits.Windows
		s, err := strengthOf(&on, pt.Layout)
		m.columns = append(m.columns, matched{name, &on, pt, s})
		return err
	}
	if err := add("Reference", r.Program, &r.Reference); err != nil {
		return nil, err
	}
	if r.Best != nil {
		if err := add("Best", profiled(r.Program, r.Best), r.Best); err != nil {
			return nil, err
		}
	}
	if r.Trimmed != nil {
		if err := add("Trimmed", r.Board.Program, r.Trimmed); err != nil {
			return nil, err
		}
		c, err := optimize.Check(r.Board.Program, r.Trimmed.Layout)
		if err != nil {
			return nil, err
		}
		m.broken = c.Broken
	}
	return m, nil
}

// profiled is the program with the profile of a point.
func profiled(p *optimize.Program, pt *optimize.Point) *optimize.Program {
	if f := cmp.Or(pt.ProfileFactor, 1) / cmp.Or(p.ProfileFactor, 1); f != 1 {
		return p.Scaled(f)
	}
	return p
}

// reference is the first of the columns; answer the last: what the shop would build.
func (m *matching) reference() *matched { return &m.columns[0] }
func (m *matching) answer() *matched    { return &m.columns[len(m.columns)-1] }

// windowsOf are the windows that an answer keeps to, by place: those of the match and those of the book, the narrower of
// two ends at one place.
func windowsOf(r *optimize.MatchResult) []optimize.Window {
	var out []optimize.Window
	for _, w := range append(slices.Clone(r.Program.Limits.Windows), r.Windows...) {
		i := slices.IndexFunc(out, func(o optimize.Window) bool { return o.FromTipMM == w.FromTipMM })
		if i < 0 {
			out = append(out, w)
			continue
		}
		if o := &out[i]; w.Low.Set && (!o.Low.Set || w.Low.Value > o.Low.Value) {
			o.Low = w.Low
		}
		if o := &out[i]; w.High.Set && (!o.High.Set || w.High.Value < o.High.Value) {
			o.High = w.High
		}
	}
	slices.SortStableFunc(out, func(a, b optimize.Window) int { return cmp.Compare(a.FromTipMM, b.FromTipMM) })
	return out
}

// A comparedFigure is one figure of every column, and how far the last is from the first.
type comparedFigure struct {
	figure
	of []figure // by column
}

func (c comparedFigure) change() string { return c.of[len(c.of)-1].against(c.of[0]) }

// compared are the figures of the columns side by side.
func (m *matching) compared() []comparedFigure {
	var out []comparedFigure
	for i, c := range m.columns {
		for k, f := range m.figures(&c) {
			if i == 0 {
				out = append(out, comparedFigure{figure: f})
			}
			out[k].of = append(out[k].of, f)
		}
	}
	return out
}

// figures are those of any layout, and what else a match compares; the same ones for every column.
func (m *matching) figures(c *matched) []figure {
	p := m.program
	out := figures(c.program, c.point)
	out = slices.DeleteFunc(out, func(f figure) bool { return f.key == "cost" && !m.priced() })
	if loaded(p) {
		label := fmt.Sprintf("Strength used under %s N, safety factor %s", trimmed(p.Limits.DesignLoadN), trimmed(safetyFactor(p)))
		if slices.ContainsFunc(m.columns, func(c matched) bool { return c.strength != nil && !c.strength.Known }) {
			label += ", as far as known"
		}
		s := c.strength
		f := figure{key: "strength", label: label, unit: "%", decimals: 1, brief: true}
		if s != nil && s.Wood >= 0 {
			f.value, f.known = s.UtilisationPct, true
		}
		out = append(out, f)
	}
	if holds(p) {
		for i, pos := range p.Board.Positions {
			pct, ok := holdingPct(p, c.point, i)
			demanded := i < len(p.Limits.Positions) && p.Limits.Positions[i].MinHoldingPct.Set
			out = append(out, figure{fmt.Sprintf("holding%d", i), "Screw holding at " + clean(pos.Name), "%", pct, 1, ok, demanded})
		}
	}
	at := c.program.Board.ThicknessMM(p.Board.MeasureAtMM)
	return append(out,
		figure{"thick", "Core thickness at " + plainMM(p.Board.MeasureAtMM) + " mm", "mm", at, 3, true, true},
		figure{"factor", "Profile factor on the thickness", "×", cmp.Or(c.point.ProfileFactor, 1), 3, c.name != "Trimmed", len(m.r.Options.Factors) > 1})
}

func (m *matching) priced() bool {
	return slices.ContainsFunc(m.columns, func(c matched) bool { return c.point.HasCost })
}

// goalWords is what was looked for, as a title.
func (m *matching) goalWords() string {
	switch m.goal() {
	case optimize.Stiffer:
		return "stiffer at equal mass"
	case optimize.Cheaper:
		return "cheaper at equal flex"
	}
	return "lighter at equal flex"
}

func (m *matching) goal() optimize.Goal { return cmp.Or(m.r.Options.Goal, optimize.Lighter) }

// asked is the question in a sentence.
func (m *matching) asked() string {
	p, r := m.program, m.r
	near := ""
	if n := len(r.Windows); n > 0 {
		where := "at " + size(r.Windows[0].FromTipMM) + " mm from the tip"
		if n > 1 {
			where = fmt.Sprintf("at %d stations, %s to %s mm from the tip", n, size(r.Windows[0].FromTipMM), size(r.Windows[n-1].FromTipMM))
		}
		near = fmt.Sprintf("EI of %s within %s %% of the reference's %s", sectionWords(p.Board.Section), trimmed(cmp.Or(r.Options.WithinPct, 2)), where)
	}
	var words string
	switch m.goal() {
	case optimize.Stiffer:
		words = fmt.Sprintf("the greatest EI of %s at %s mm from the tip with no more core mass than the reference's", sectionWords(p.Board.Section), size(p.Board.MeasureAtMM))
	case optimize.Cheaper:
		words = "the least cost of a core with " + near
	default:
		words = "the least core mass (wood and glue) with " + near
	}
	return fmt.Sprintf("Asked: %s, every limit of the job book kept, %s.", words, m.factorWords())
}

func (m *matching) factorWords() string {
	factors := m.r.Options.Factors
	switch n := len(factors); n {
	case 0:
		return "with the profile as it is"
	case 1:
		if factors[0] == 1 {
			return "with the profile as it is"
		}
		return "with the thickness times " + trimmed(factors[0])
	default:
		return fmt.Sprintf("over %d profile factors from %s to %s on the thickness", n, m.factorText(slices.Min(factors)), m.factorText(slices.Max(factors)))
	}
}

// better is the goal's comparative.
func (m *matching) better() string {
	return map[optimize.Goal]string{optimize.Lighter: "lighter", optimize.Stiffer: "stiffer", optimize.Cheaper: "cheaper"}[m.goal()]
}

// proof says how far the answer is proven; done says whether it is all that was asked for.
func (m *matching) proof() (head, text string, done bool) {
	r := m.r
	why := cmp.Or(clean(r.Why), "stopped early")
	switch {
	case r.Best == nil && !r.Proven:
		return "NOT PROVEN", why + "; no layout found yet, there may be one.", false
	case r.Best == nil:
		return "Nothing inside the window", "no layout keeps every limit; this is proven.", false
	case !r.Proven:
		return "NOT PROVEN", why + "; the best found keeps every limit, but a " + m.better() + " one may exist.", false
	case m.unchanged():
		return "Proven", "the reference is the best there is: no layout within these limits is " + m.better() + ".", true
	}
	text = "no layout within these limits is " + m.better() + " than Best"
	if len(r.Options.Factors) > 1 {
		text += ", at any of the profile factors searched"
	}
	text += "."
	if r.Trimmed != nil {
		text += " Trimmed is Best with its profile brought to the reference's EI station by station; that is not searched over."
	}
	return "Proven", text, true
}

// unchanged reports whether the best is the reference itself.
func (m *matching) unchanged() bool {
	r := m.r
	return r.Best != nil && slices.Equal(r.Best.Layout, r.Reference.Layout) && r.Best.ProfileFactor == r.Reference.ProfileFactor
}

// A saving is what a layout has less than the reference: negative where it has more.
type saving struct {
	massG, massPct float64
	priced         bool
	cost           decimal.Decimal
	costPct        float64
	stifferNM2     float64
	stifferPct     float64
}

func (m *matching) saving(c *matched) saving {
	ref, steps := m.reference().point, resolution(m.program)
	was, is := roundTo(ref.CoreMassG, decimals(steps.MassG)), roundTo(c.point.CoreMassG, decimals(steps.MassG))
	ei, had := roundTo(c.point.EINM2, decimals(steps.EINM2)), roundTo(ref.EINM2, decimals(steps.EINM2))
	s := saving{massG: was - is, massPct: percent(was-is, was), stifferNM2: ei - had, stifferPct: percent(ei-had, had)}
	if s.priced = ref.HasCost && c.point.HasCost; s.priced {
		s.cost = ref.Cost.Sub(c.point.Cost)
		s.costPct = percent(s.cost.InexactFloat64(), ref.Cost.InexactFloat64())
	}
	return s
}

func percent(part, whole float64) float64 {
	if whole == 0 {
		return 0
	}
	return 100 * part / whole
}

// savedWords says what a layout saves against the reference in mass and money, and for a stiffer one how much.
func (m *matching) savedWords(c *matched) string {
	s, p := m.saving(c), m.program
	steps := resolution(p)
	side := func(v, pct float64, digits int, unit, less, more, same string) string {
		switch text := Fixed(math.Abs(v), digits); {
		case Fixed(v, digits) == Fixed(0, digits):
			return same
		case v > 0:
			return fmt.Sprintf("%s %s (%s %%) %s", text, unit, Fixed(math.Abs(pct), 1), less)
		default:
			return fmt.Sprintf("%s %s (%s %%) %s", text, unit, Fixed(math.Abs(pct), 1), more)
		}
	}
	var parts []string
	if m.goal() == optimize.Stiffer {
		parts = append(parts, side(s.stifferNM2, s.stifferPct, decimals(steps.EINM2), "N·m²", "stiffer", "less stiff", "as stiff"))
	}
	parts = append(parts, side(s.massG, s.massPct, decimals(steps.MassG), "g", "lighter", "heavier", "as heavy"))
	if s.priced {
		parts = append(parts, side(s.cost.InexactFloat64(), s.costPct, moneyDecimals(p), clean(p.Currency), "cheaper", "dearer", "as dear"))
	}
	return fmt.Sprintf("%s, against the reference: %s.", c.name, list(parts, "and"))
}

// warnings are what a reader must know before the figures: a reference or a trimmed board that breaks limits.
func (m *matching) warnings() []string {
	var out []string
	for _, b := range m.r.Broken {
		out = append(out, "The reference breaks a limit that the answer keeps: "+clean(b))
	}
	for _, b := range m.broken {
		out = append(out, "Trimmed breaks a limit that Best keeps: "+clean(b))
	}
	return out
}

// A millRow is one station of the profile to mill.
type millRow struct {
	fromTip, width, today, scaled, mill float64
	target, best, trimmed               float64 // EI, N·m²
	hasTrimmed, least                   bool
}

// mill is the profile to mill by station; nothing without an answer. Without trimming it is the scaled profile.
func (m *matching) mill() []millRow {
	r := m.r
	if r.Best == nil {
		return nil
	}
	b := r.Program.Board
	section := b.Section
	best := m.columns[1]
	var out []millRow
	for i, s := range b.Stations {
		row := millRow{fromTip: s.FromTipMM, width: s.WidthMM, today: s.ThicknessMM, scaled: best.program.Board.Stations[i].ThicknessMM,
			target: r.Reference.Figures.Stations[i].EINM2(section), best: r.Best.Figures.Stations[i].EINM2(section)}
		row.mill = row.scaled
		if r.Trimmed != nil {
			t := r.Board.Stations[i]
			row.mill, row.trimmed, row.hasTrimmed, row.least = t.TrimmedMM, t.EINM2, true, t.AtLeastThickness
		}
		out = append(out, row)
	}
	return out
}

// off is how far the trimmed EI is from the reference's, %.
func (r millRow) off() float64 { return percent(r.trimmed-r.target, r.target) }

// millDecimals is how many decimals a thickness to mill needs: those of the rounding.
func (m *matching) millDecimals() int {
	return max(2, decimals(cmp.Or(m.r.Options.RoundingMM, 0.001)))
}

// swapWords says what is to be had instead of a wood, or why nothing is.
func (m *matching) swapWords(s optimize.Swap) string {
	if s.Point == nil {
		return clean(cmp.Or(s.Why, "no layout keeps every limit"))
	}
	p, steps := m.program, resolution(m.program)
	best := m.r.Best
	words := Fixed(s.Point.CoreMassG, decimals(steps.MassG)) + " g (" + signed(s.Point.CoreMassG-best.CoreMassG, decimals(steps.MassG)) + ")"
	if m.goal() == optimize.Stiffer {
		words += ", " + Fixed(s.Point.EINM2, decimals(steps.EINM2)) + " N·m² (" + signed(s.Point.EINM2-best.EINM2, decimals(steps.EINM2)) + ")"
	}
	if s.Point.HasCost {
		words += ", " + amount(s.Point.Cost, moneyDecimals(p)) + " " + clean(p.Currency)
		if best.HasCost {
			words += " (" + signed(s.Point.Cost.Sub(best.Cost).InexactFloat64(), moneyDecimals(p)) + ")"
		}
	}
	if len(m.r.Options.Factors) > 1 {
		words += ", thickness × " + m.factorText(s.Point.ProfileFactor)
	}
	return words
}

// swapNote says what a swap is and what it is set against.
func (m *matching) swapNote() string {
	note := "Each is the best without that wood, by the same search; figures in brackets are against Best"
	if m.r.Trimmed != nil {
		note += ", before trimming"
	}
	return note + "."
}

// millTitle says what the table of thicknesses is: there is something to mill where the profile is another one.
func (m *matching) millTitle() string {
	if m.r.Trimmed == nil && cmp.Or(m.r.Best.ProfileFactor, 1) == cmp.Or(m.r.Reference.ProfileFactor, 1) {
		return "Along the board, the profile as it is"
	}
	return "Profile to mill"
}

// factorText is a profile factor with the decimals that the finest of the factors searched has.
func (m *matching) factorText(f float64) string {
	digits := decimals(f)
	for _, o := range m.r.Options.Factors {
		digits = max(digits, decimals(o))
	}
	return Fixed(f, digits)
}

const moreOfOthers = "more of the others"

// replacement names the woods that a swap's layout has and the best has not.
func (m *matching) replacement(s optimize.Swap) string {
	has := func(runs []optimize.Run, wood string) bool {
		return slices.ContainsFunc(runs, func(r optimize.Run) bool { return r.Wood == wood })
	}
	var new []string
	for _, run := range s.Point.Runs {
		if id := clean(run.Wood); !has(m.r.Best.Runs, run.Wood) && !slices.Contains(new, id) {
			new = append(new, id)
		}
	}
	if len(new) == 0 {
		return moreOfOthers
	}
	return list(new, "and")
}

// signed is v with its sign, "0.00" for nothing.
func signed(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if s != Fixed(0, decimals) && v > 0 {
		return "+" + s
	}
	return s
}
