package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/species"
)

// A mixColumn is one of the layouts that stand side by side: the current mix, or an alternative to it.
type mixColumn struct {
	name, how string
	program   *optimize.Program // with the profile of its point
	point     *optimize.Point
	mix       optimize.Mix
	share     float64        // fast-grown by volume, %, never more than there is
	strength  *core.Strength // nil without a design load
}

// A mixing is a result of the search for mixes as every output reads it.
type mixing struct {
	r       *optimize.MixesResult
	program *optimize.Program // with every window that the steps keep to
	columns []mixColumn       // the current mix, where there is one, and the alternatives
	current bool              // the first column is the current mix
}

func newMixing(r *optimize.MixesResult) (*mixing, error) {
	m := &mixing{r: r}
	q := *r.Program
	q.Limits.Windows = windowsOf(&optimize.MatchResult{Program: r.Program, Windows: r.Windows})
	m.program = &q
	add := func(name, how string, pt *optimize.Point) error {
		c := mixColumn{name: name, how: how, program: profiled(&q, pt), point: pt}
		c.mix = c.program.Mix(pt)
		var err error
		if c.share, err = optimize.LeastShare(c.program, pt); err != nil {
			return err
		}
		c.strength, err = strengthOf(c.program, pt.Layout)
		m.columns = append(m.columns, c)
		return err
	}
	if m.current = r.Reference != nil; m.current {
		if err := add("Current", "the reference layout of the job book", r.Reference); err != nil {
			return nil, err
		}
	}
	for _, a := range r.Alternatives {
		if err := add(a.Name, a.How, a.Point); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// layouts are all that the comparison and the steps show.
func (m *mixing) layouts() []core.Layout {
	var out []core.Layout
	for _, c := range m.columns {
		out = append(out, c.point.Layout)
	}
	for i := range m.r.Breaks {
		out = append(out, m.r.Breaks[i].Point.Layout)
	}
	return out
}

// asked is the question in a sentence.
func (m *mixing) asked() string {
	p := m.program
	near := "inside every limit of the job book (it gives no reference to ride like)"
	if n := len(m.r.Windows); n > 0 {
		w := m.r.Windows
		where := "at " + size(w[0].FromTipMM) + " mm from the tip"
		if n > 1 {
			where = fmt.Sprintf("at %d stations, %s to %s mm from the tip", n, size(w[0].FromTipMM), size(w[n-1].FromTipMM))
		}
		near = fmt.Sprintf("with EI of %s within %s %% of the current mix's %s and every limit of the job book kept", sectionWords(p.Board.Section), trimmed(m.within()), where)
	}
	words := fmt.Sprintf("Asked: for every share of fast-grown woods, the least core mass %s", near)
	if f := m.r.Options.Factors; len(f) > 1 {
		words += fmt.Sprintf(", over %d profile factors from %s to %s on the thickness", len(f), m.factorText(slices.Min(f)), m.factorText(slices.Max(f)))
	}
	return words + "."
}

func (m *mixing) within() float64 { return cmp.Or(m.r.Options.WithinPct, 2) }

func (m *mixing) factorText(f float64) string {
	return (&matching{r: &optimize.MatchResult{Options: optimize.MatchOptions{Factors: m.r.Options.Factors}}}).factorText(f)
}

// fastWords says what counts as fast-grown.
func (m *mixing) fastWords() string {
	return fmt.Sprintf("Fast-grown: woods whose longest usual rotation is known and at most %s years (sheet Shop).", trimmed(m.program.Limits.FastUpToYears))
}

// floorWords say that the book has a least share of its own, which the search keeps; nothing when it has none.
func (m *mixing) floorWords() string {
	l := m.program.Limits.MinFastPct
	if !l.Set {
		return ""
	}
	where := clean(l.Where)
	if where != "" {
		where = " (" + where + ")"
	}
	return fmt.Sprintf(" The job book asks for at least %s %%%s: mixes with less are not looked at; clear the cell to see them.", trimmed(l.Value), where)
}

// proof says how far the steps are proven.
func (m *mixing) proof() (head, text string, done bool) {
	r := m.r
	why := cmp.Or(clean(r.Why), "stopped early")
	switch {
	case r.Infeasible != nil:
		return "No layout keeps every limit", "this is proven.", false
	case len(r.Breaks) == 0 && !r.StepsProven:
		return "NOT PROVEN", why + "; no layout " + m.riding() + " found yet, there may be some.", false
	case len(r.Breaks) == 0:
		return "Nothing at equal flex", "no layout keeps the limits and the current mix's EI; this is proven.", false
	case !r.StepsProven:
		return "NOT PROVEN", why + "; the layouts shown keep every limit, but lighter ones of as much share may exist.", false
	}
	all := fmt.Sprintf("these %d steps are all there are", len(r.Breaks))
	if len(r.Breaks) == 1 {
		all = "this step is all there is"
	}
	return "Complete and proven", fmt.Sprintf("%s: no layout %s is lighter with as much fast-grown wood, told apart in steps of 0.01 %% and %s g.",
		all, m.riding(), trimmed(resolution(m.program).MassG)), true
}

// noneWords says that a share is not reached, or has not been found.
func (m *mixing) noneWords() string {
	if m.r.StepsProven {
		return "none has so much"
	}
	return "none found yet"
}

// riding is what every layout of the steps has in common.
func (m *mixing) riding() string {
	if len(m.r.Windows) > 0 {
		return "at equal flex"
	}
	return "within the limits"
}

// greatestWords says how far the share can go at all.
func (m *mixing) greatestWords() string {
	r := m.r
	var words string
	if n := len(r.Breaks); n > 0 && r.StepsProven {
		words = fmt.Sprintf("%s the core can be at most %s %% fast-grown.", capital(m.riding()), Fixed(r.Breaks[n-1].SharePct, 2))
	}
	if r.Greatest != nil && len(r.Windows) > 0 {
		if share, err := optimize.LeastShare(r.Program, r.Greatest); err == nil {
			words += fmt.Sprintf(" Within the limits of the job book alone, whatever the flex: %s %%.", Fixed(share, 2))
		}
	}
	return strings.TrimSpace(words)
}

// frontWords says what the front of three objectives is and how far it is proven.
func (m *mixing) frontWords() string {
	if m.r.Front == nil || m.r.Infeasible != nil {
		return ""
	}
	return "The three-way front, within the limits of the job book at the profile as it is. " + proofWords(m.r.Front)
}

// mixFigures are the figures of a column, the same ones for every column.
func (m *mixing) mixFigures(c *mixColumn) []figure {
	keep := []string{"mass", "ei", "flex", "coreflex", "cost", "scatter"}
	var out []figure
	for _, f := range figures(c.program, c.point) {
		if f.key == "flex" && m.program.Board.Section == core.Bare || f.key == "coreflex" && m.program.Board.Section == core.Pressed && len(m.program.Board.Layers) > 0 {
			continue
		}
		if slices.Contains(keep, f.key) {
			out = append(out, f)
		}
	}
	x := c.mix
	out = append(out, figure{"fast", "Fast-grown, by volume", "%", c.share, 2, true, true},
		figure{"fastmass", "Fast-grown, by mass of the wood", "%", x.FastMassPct, 2, true, true},
		figure{"fastlumber", "Fast-grown, by lumber bought", "%", x.FastLumberPct, 2, x.LumberKnown, true},
		figure{"certified", "Certified, by volume", "%", c.point.CertifiedPct, 1, m.program.Currency != "" && !math.IsNaN(c.point.CertifiedPct) && !m.banned(c), true},
		figure{"volume", "Wood in the core", "dm³", x.VolumeCM3 / 1000, 3, true, false},
		figure{"lumber", "Lumber bought for a core", "dm³", x.LumberCM3 / 1000, 3, x.LumberKnown, true},
		figure{"rotationlow", "Mean rotation, shortest usual", "years", x.RotationLow, 1, x.RotationKnown, true},
		figure{"rotationhigh", "Mean rotation, longest usual", "years", x.RotationHigh, 1, x.RotationKnown, true},
		figure{"yearlow", "Wood a board per year of growth, least", "cm³", x.PerYearLow, 1, x.RotationKnown, true},
		figure{"yearhigh", "Wood a board per year of growth, most", "cm³", x.PerYearHigh, 1, x.RotationKnown, true},
		figure{"carried", "Lumber of a core, carried", "t·km", x.TonneKM, 3, x.CarriedKnown, true},
		figure{"carbon", "Carbon stored in the wood, as CO2", "kg", x.StoredCO2Kg, 2, x.CarbonKnown, true})
	if slices.ContainsFunc(m.columns, func(c mixColumn) bool { return m.carbon() && c.mix.BambooPct > 0 }) {
		out = append(out, figure{"bamboo", "Bamboo, which that carbon leaves out, by volume", "%", x.BambooPct, 1, true, true})
	}
	if x := "unknown"; slices.ContainsFunc(m.columns, func(c mixColumn) bool { return c.mix.UnknownPct > 0 }) {
		out = append(out, figure{x, "Woods of unknown rotation, by volume", "%", c.mix.UnknownPct, 1, true, true})
	}
	if loaded(m.program) {
		f := figure{key: "strength", label: "Strength used under " + trimmed(m.program.Limits.DesignLoadN) + " N", unit: "%", decimals: 1, brief: true}
		if s := c.strength; s != nil && s.Wood >= 0 {
			f.value, f.known = s.UtilisationPct, true
		}
		out = append(out, f)
	}
	for i, pos := range m.program.Board.Positions {
		if demanded := i < len(m.program.Limits.Positions) && m.program.Limits.Positions[i].MinHoldingPct.Set; demanded {
			pct, ok := holdingPct(m.program, c.point, i)
			out = append(out, figure{fmt.Sprint("holding", i), "Screw holding at " + clean(pos.Name), "%", pct, 1, ok, true})
		}
	}
	if len(m.r.Options.Factors) > 1 {
		out = append(out, figure{"factor", "Profile factor on the thickness", "×", cmp.Or(c.point.ProfileFactor, 1), 3, true, true})
	}
	return out
}

// banned reports whether a column's layout has woods that cannot be had today; its cost and certificates are not known then.
func (m *mixing) banned(c *mixColumn) bool { return m.program.Currency != "" && !c.point.HasCost }

// A mixRow is one figure of every column.
type mixRow struct {
	figure
	of []figure
}

func (m *mixing) rows() []mixRow {
	var out []mixRow
	for i := range m.columns {
		for k, f := range m.mixFigures(&m.columns[i]) {
			if i == 0 {
				out = append(out, mixRow{figure: f})
			}
			out[k].of = append(out[k].of, f)
		}
	}
	return slices.DeleteFunc(out, func(r mixRow) bool { return !slices.ContainsFunc(r.of, func(f figure) bool { return f.known }) })
}

// against is how far a column's figure is from the current mix's; empty for the current mix, or without one.
func (m *mixing) against(r mixRow, i int) string {
	if !m.current || i == 0 {
		return ""
	}
	return r.of[i].against(r.of[0])
}

// noticed is what a rider would notice of an alternative, as far as the figures say.
func (m *mixing) noticed(i int) []string {
	if !m.current || i == 0 {
		return nil
	}
	was, is := &m.columns[0], &m.columns[i]
	steps := resolution(m.program)
	var out []string
	grams := decimals(steps.MassG)
	d := roundTo(is.point.CoreMassG, grams) - roundTo(was.point.CoreMassG, grams)
	switch pct := percent(math.Abs(d), was.point.CoreMassG); {
	case Fixed(d, grams) == Fixed(0, grams):
		out = append(out, "As heavy as today.")
	case d < 0:
		out = append(out, fmt.Sprintf("Lighter by %s g a core (%s %%).", Fixed(-d, 0), Fixed(pct, 1)))
	default:
		out = append(out, fmt.Sprintf("Heavier by %s g a core (%s %%).", Fixed(d, 0), Fixed(pct, 1)))
	}
	if was.point.Figures.Flex.Known && is.point.Figures.Flex.Known {
		a, b := flexOf(was.program.Board, was.point), flexOf(is.program.Board, is.point)
		out = append(out, fmt.Sprintf("Flex %s %%.", signedPct(percent(b-a, a), 1)))
	}
	if a, b := was.point.Figures.Scatter, is.point.Figures.Scatter; a.Known && b.Known {
		const heard = 0.1 // %
		switch d := b.EIPct - a.EIPct; {
		case d > heard:
			out = append(out, fmt.Sprintf("Boards of one batch differ more from each other: EI scatters by %s %% instead of %s %%.", Fixed(b.EIPct, 1), Fixed(a.EIPct, 1)))
		case d < -heard:
			out = append(out, fmt.Sprintf("Boards of one batch differ less from each other: EI scatters by %s %% instead of %s %%.", Fixed(b.EIPct, 1), Fixed(a.EIPct, 1)))
		}
	}
	for k, pos := range m.program.Board.Positions {
		a, known := holdingPct(m.program, was.point, k)
		b, ok := holdingPct(m.program, is.point, k)
		if demanded := k < len(m.program.Limits.Positions) && m.program.Limits.Positions[k].MinHoldingPct.Set; demanded && known && ok && b < a-0.05 {
			out = append(out, fmt.Sprintf("Screws hold less at %s: %s %% of %s, today %s %%.", clean(pos.Name), Fixed(b, 0), clean(m.program.Limits.HoldingRef.CommonName), Fixed(a, 0)))
		}
	}
	if a, b := was.strength, is.strength; a != nil && b != nil && a.Wood >= 0 && b.Wood >= 0 && b.UtilisationPct > a.UtilisationPct+0.05 {
		out = append(out, fmt.Sprintf("More of the strength is used under the design load: %s %%, today %s %%.", Fixed(b.UtilisationPct, 1), Fixed(a.UtilisationPct, 1)))
	}
	return out
}

// same says what counts as the same ride here, and what the figures do not say.
func (m *mixing) same() string {
	words := ""
	if len(m.r.Windows) > 0 {
		words = fmt.Sprintf("Each keeps EI within %s %% of today's at every target station, which counts here as the same ride (common practice, no source). ", trimmed(m.within()))
	}
	return words + "How the woods damp, and how they feel in other ways, is not reckoned."
}

func signedPct(v float64, decimals int) string {
	return strings.Replace(signed(v, decimals), "-", "−", 1)
}

// A mixWoodRow is what is known of how one wood grew.
type mixWoodRow struct {
	mark                   woodMark
	fast                   bool
	wood                   species.Wood
	years                  string // "12–30", "not known"
	status                 string // of the rotation, worst of the two
	source                 string
	growth                 string // "plantation (from memory)", "not known: ask the supplier"
	origin                 string // source of the growth
	certified, uncertified bool   // of the offers that price it
}

// woodRows are the woods of the layouts shown.
func (m *mixing) woodRows(marks []woodMark) []mixWoodRow {
	p := m.program
	shown := shownWoods(p.Board, m.layouts())
	var out []mixWoodRow
	for _, mark := range marks {
		w := slices.IndexFunc(p.Board.Woods, func(o species.Wood) bool { return o.ID == mark.Wood.ID })
		if !shown[w] {
			continue
		}
		row := mixWoodRow{mark: mark, wood: mark.Wood, years: "not known", growth: "not known", source: "", status: ""}
		low, high := mark.Wood.RotationLowYears, mark.Wood.RotationHighYears
		if high.Known() {
			row.years, row.status, row.source = trimmed(high.Value), statusWords(high.Status), clean(high.Source)
			if low.Known() && low.Value != high.Value {
				row.years = trimmed(low.Value) + "–" + row.years
				if statusWords(low.Status) != row.status {
					row.status = statusWords(low.Status) + "; " + row.status
				}
				if clean(low.Source) != row.source {
					row.source = clean(low.Source) + "; " + row.source
				}
			}
		}
		if g := mark.Wood.Growth; g.Known() {
			row.growth, row.origin = string(g.Stand)+", "+statusWords(g.Status), clean(g.Source)
		}
		if c := slices.IndexFunc(p.Candidates, func(c optimize.Candidate) bool { return c.Wood == w }); c >= 0 {
			row.fast = p.Candidates[c].FastGrown
			for _, u := range p.Candidates[c].At {
				row.certified = row.certified || u.Allowed && u.Certified
				row.uncertified = row.uncertified || u.Allowed && u.Price != nil && !u.Certified
			}
		} else {
			fast, known := mark.Wood.FastGrown(p.Limits.FastUpToYears)
			row.fast = fast && known
		}
		out = append(out, row)
	}
	return out
}

func (r mixWoodRow) certificate() string {
	switch {
	case r.certified && r.uncertified:
		return "in part"
	case r.certified:
		return "yes"
	case r.uncertified:
		return "no"
	}
	return "n/a"
}

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// statusWords says where a figure comes from, in a word or two.
func statusWords(s species.Status) string {
	switch s {
	case species.Own:
		return "your own"
	case species.Read:
		return "read"
	case species.Memory:
		return "from memory"
	case species.Derived:
		return "derived"
	case species.Assumed:
		return "assumed"
	}
	return "not known"
}

// mixReckoned says how the figures of a mix come about.
func (m *mixing) mixReckoned() []string {
	out := []string{
		m.fastWords() + " A wood of unknown rotation counts as not fast-grown.",
		"Shares by volume and by mass are of the core as built: strips and pads after outline and profile, without glue. A share by volume is cut to 0.01 %, never rounded up.",
		"Lumber is what the strips are cut from, losses included: planks over usable strips, by the offer that prices each strip. Pads are not in it.",
		"Mean rotation: Σ V·r / Σ V over the woods of the core, V their volume, r their rotation; once with the shortest usual rotations and once with the longest.",
		"Wood per year of growth: the lumber bought for a board over the mean rotation of that lumber (of the core's own wood, where the lumber is not known). Fast-grown wood gives a high figure.",
		"A rotation says how long the wood grew, not how its forest is kept. Where growth is not known, the supplier may know; certificates are the suppliers' own words.",
	}
	if slices.ContainsFunc(m.columns, func(c mixColumn) bool { return c.mix.CarriedKnown }) {
		out = append(out, "Lumber carried: what is bought for a core, at the density of its wood as used, times the distance that its price sheet gives; n/a where a plank has none, or stands in the yard. It is a way and a weight, and no emission.")
	}
	if !m.carbon() {
		return append(out, "Carbon is left out: the moisture of the wood is not known.")
	}
	return append(out, fmt.Sprintf("Stored carbon, as CO2: 44/12 · c · m/(1 + ω/100), m the mass of the wood in the core as built, ω its moisture, %s %%, and c the carbon in dry wood, %s (%s: %s). "+
		"It is the carbon in the wood itself, while the board lasts: no footprint of growing, sawing, carrying or pressing it, and no claim. The standard is for wood; bamboo is left out.",
		trimmed(m.program.MoisturePct), trimmed(species.CarbonFraction.Value), statusWords(species.CarbonFraction.Status), species.CarbonFraction.Source))
}

// carbon reports whether the carbon in the wood can be reckoned.
func (m *mixing) carbon() bool { return m.program.MoisturePct > 0 }

// carbonPerM3 is the carbon that a m³ of a wood holds, as kg of CO2; known is false for bamboo.
func (m *mixing) carbonPerM3(w *species.Wood) (kg float64, known bool) {
	if !m.carbon() || !w.Woody() || !w.DensityKgM3.Known() {
		return 0, false
	}
	return species.StoredCO2Kg(w.DensityKgM3.Value, m.program.MoisturePct), true
}

// wentWords says what goes and comes above a step.
func wentWords(b *optimize.MixBreak) string {
	if len(b.Gone) == 0 {
		return "the same strips at other places"
	}
	return fmt.Sprintf("fewer strips of %s, more of %s", list(cleanAll(b.Gone), "and"), list(cleanAll(b.Come), "and"))
}

// turns are the breaks above which a wood has fewer strips, the last excepted: not those where strips change places.
func (m *mixing) turns() []int {
	var out []int
	for i := range m.r.Breaks {
		if len(m.r.Breaks[i].Gone) > 0 {
			out = append(out, i)
		}
	}
	return out
}
