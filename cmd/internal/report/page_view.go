package report

import (
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// A page is all that the template shows. What changes from point to point is either a text with a key, a mark that is
// shown or not, the wood of a strip or a curve of EI; all four are in Data for every point, and the template writes
// them for the point drawn first. The script only puts another point's in their place.
type page struct {
	Title, Model string
	Front        bool
	Match        *matchView // nil: not a match
	Currency     string
	Proof        proof
	Meaning      []string // what mass, EI and flex are of
	Broken       []string
	Infeasible   *optimize.Infeasible

	Charts    []*frontChart
	Cheapest  int // index of the point, −1: none
	HasKnee   bool
	Section   *sectionDrawing // nil without points, and then all below it is empty
	Along     *alongDrawing
	Curve     string          // of EI, of the point drawn first
	AxisY     string          // of its neutral axis in the section
	Other     *sectionDrawing // of what the point is compared with; nil: a page that never compares
	OtherY    string          // of its neutral axis
	Woods     []woodMark      // that a point, the reference or a pad has
	Figures   []figureRow
	Brief     []figureRow // those of Figures that stand beside the chart
	Compared  bool        // there is a reference to compare with; a front's script can compare any two points besides
	Comparing bool        // columns to compare in are there, hidden while there is nothing to compare with
	Worst     bool        // strength is rated, and where it is used most is among the texts
	Glued     []gluedRow
	MadeOf    []madeOfRow
	Centre    bool // a position lies on the centre line
	Layered   bool
	Profile   []profileRow
	Windows   []windowRow
	Points    []pointRow
	Holding   string // the wood whose screw holding is 100 %; empty: none
	Strength  []*grid
	Sources   []*source
	LeftOut   []leftOutRow
	Reckoned  []string
	Cautions  []string
	Data      *pageData

	Style  template.CSS
	Script template.JS

	texts   map[string]string // of the point drawn first
	against map[string]string // of the reference, by the same keys
	differs map[string]string // the first less the second
	shown   map[string]bool
}

// A proof is how far a result is proven.
type proof struct {
	Done       bool
	Head, Text string
}

// CurrencyShort is the currency where there is little room.
func (p *page) CurrencyShort() string { return clipped(p.Currency, 12) }

// MadeOfColumns are how many columns the table of woods has.
func (p *page) MadeOfColumns() int {
	n := 4
	for _, has := range []bool{p.Centre, p.Comparing} {
		if has {
			n++
		}
	}
	return n
}

type cell struct{ Key, Text string }

// Text is the text of a key for the point drawn first.
func (p *page) Text(key string) (cell, error) {
	text, ok := p.texts[key]
	if !ok {
		return cell{}, fmt.Errorf("the page has no text %q", key)
	}
	return cell{key, text}, nil
}

// A comparison is what a key's text is compared with, and the difference where there is one to take.
type comparison struct {
	cell
	Difference string
	Hidden     bool
}

// Against is what the text of a key is compared with on the page as written.
func (p *page) Against(key string) (comparison, error) {
	if _, ok := p.texts[key]; !ok {
		return comparison{}, fmt.Errorf("the page has no text %q", key)
	}
	return comparison{cell{key, cmp.Or(p.against[key], "–")}, cmp.Or(p.differs[key], "–"), !p.Compared}, nil
}

// Hidden reports whether a mark is not shown for the point drawn first.
func (p *page) Hidden(key string) (bool, error) {
	shown, ok := p.shown[key]
	if !ok {
		return false, fmt.Errorf("the page has no mark %q", key)
	}
	return !shown, nil
}

// pageData is what the script reads.
type pageData struct {
	Start   int         `json:"start"`   // index of the point drawn first
	Keys    []string    `json:"keys"`    // of the texts
	Marks   []string    `json:"marks"`   // keys of what is shown or not
	Letters []string    `json:"letters"` // by slot
	Along   []int       `json:"along"`   // where the curves' places lie, tenths
	Points  []pointData `json:"points"`
	// Reference is what points are compared with at first; null without one.
	Reference *pointData `json:"reference"`
	// Figures are the indexes into Keys of texts that are numbers with a difference to take.
	Figures []int `json:"figures"`
}

type pointData struct {
	ID     int      `json:"id"`
	Texts  []string `json:"texts"`  // by key
	Shown  string   `json:"shown"`  // "1" or "0" by mark
	Strips []int    `json:"strips"` // slot of the wood, by strip
	EI     []int    `json:"ei"`     // heights of the curve, tenths
	Axis   string   `json:"axis"`   // height of the neutral axis in the section
}

type figureRow struct{ Label, Unit, Key string }

type gluedRow struct {
	Name, WidthMM string
	Strips        int
	OnCentreLine  bool
	Key           string
	HoldingKey    string
}

type madeOfRow struct {
	woodMark
	Prices []*source
}

type profileRow struct {
	FromTip, Width, Thick string
	CoreKey, PressedKey   string
	AgainstKey            string // of the section that the board means
	Measured              bool
}

type windowRow struct{ AtMM, Low, High, Key string }

type pointRow struct {
	Index, ID                                int
	Mass, EI, Flex, Cost, Scatter, FastGrown string
	Used                                     string // of its strength, %
	Layout                                   string
	Tags                                     string
	Picked                                   bool
}

// A leftOutRow is woods that were left out for one reason.
type leftOutRow struct {
	Why   string
	Woods []string
}

// frontView is the page of a front.
func frontView(r *optimize.FrontResult) (*page, error) {
	p := newPage(r.Program, "Weight against stiffness: ")
	p.Front, p.Infeasible, p.Comparing = true, r.Infeasible, true
	p.Proof = proofOf(r)
	if len(r.Points) == 0 {
		return p, nil
	}
	s, err := newSubject(r.Program, r.Points)
	if err != nil {
		return nil, err
	}
	knee := slices.IndexFunc(r.Points, func(pt optimize.Point) bool { return pt.Knee })
	start := max(0, knee)
	p.HasKnee = knee >= 0
	p.Cheapest = slices.IndexFunc(r.Points, func(pt optimize.Point) bool { return pt.Cheapest })
	if err := p.show(s, start); err != nil {
		return nil, err
	}

	name := func(pt *optimize.Point) string {
		words := fmt.Sprintf("point %d: %s g, %s N·m²", pt.ID, Fixed(pt.CoreMassG, 2), Fixed(pt.EINM2, 2))
		if pt.HasCost {
			words += ", " + pt.Cost.StringFixed(2) + " " + r.Program.Currency
		}
		return words
	}
	chart := newFrontChart(r.Points, s.reference, measure{
		label: "EI at " + plainMM(r.Program.Board.MeasureAtMM) + " mm, N·m²", name: "Stiffness over weight",
		value: func(pt *optimize.Point) float64 { return pt.EINM2 },
	}, start, name)
	p.Charts = append(p.Charts, chart)
	if !slices.Contains(r.Objectives, optimize.Cost) {
		if r.Complete {
			chart.withSteps()
		}
		return p, nil
	}
	priced := s.reference
	if priced != nil && !priced.HasCost {
		priced = nil
	}
	p.Charts = append(p.Charts, newFrontChart(r.Points, priced, measure{
		label: "cost of a core, " + clipped(r.Program.Currency, 12), name: "Cost over weight",
		value: func(pt *optimize.Point) float64 { return pt.Cost.InexactFloat64() },
	}, start, name))
	return p, nil
}

// checkView is the page of one layout.
func checkView(c *optimize.CheckResult) (*page, error) {
	p := newPage(c.Program, "One layout: ")
	p.Broken = c.Broken
	p.Proof = proof{Done: len(c.Broken) == 0, Head: "Keeps every limit", Text: "Every limit of the job book was checked for this layout."}
	if len(c.Broken) > 0 {
		p.Proof.Head, p.Proof.Text = "Breaks limits of the job book", ""
	}
	s, err := newSubject(c.Program, []optimize.Point{c.Point})
	if err != nil {
		return nil, err
	}
	if s.reference != nil && slices.Equal(s.reference.Layout, c.Point.Layout) {
		s.reference = nil
	}
	p.Comparing = s.reference != nil
	if err := p.show(s, 0); err != nil {
		return nil, err
	}
	p.Data = nil // there is no other point to pick
	p.Strength, err = strengthGrids(c)
	return p, err
}

// newPage is what a page says of the question, whatever the answer.
func newPage(p *optimize.Program, kind string) *page {
	b := p.Board
	pg := &page{Title: kind + p.Model, Model: p.Model, Currency: p.Currency, Cautions: Cautions, Layered: len(b.Layers) > 0}
	meant := "the pressed section: the core with its layers"
	if b.Section == core.Bare {
		meant = "the bare core, without layers"
	}
	pg.Meaning = append(pg.Meaning,
		"EI is bending stiffness, N·m², of "+meant+"; it is measured at "+plainMM(b.MeasureAtMM)+" mm from the tip.",
		"Core mass is wood and glue after outline and profile are cut, before pressing.")
	if b.SpanMM > 0 {
		pg.Meaning = append(pg.Meaning, "Flex is force per deflection on two supports "+plainMM(b.SpanMM)+" mm apart, loaded in the middle.")
	}
	for _, g := range foldLeftOut(p.LeftOut) {
		pg.LeftOut = append(pg.LeftOut, leftOutRow{g.why, g.woods})
	}
	if holds(p) {
		pg.Holding = p.Limits.HoldingRef.CommonName
	}
	pg.Reckoned = reckoned(p)
	return pg
}

func proofOf(r *optimize.FrontResult) proof {
	step := resolution(r.Program)
	steps := fmt.Sprintf("%s g and %s N·m²", trimmed(step.MassG), trimmed(step.EINM2))
	better := "lighter at equal stiffness or stiffer at equal weight"
	if slices.Contains(r.Objectives, optimize.Cost) {
		steps = fmt.Sprintf("%s g, %s N·m² and %s %s", trimmed(step.MassG), trimmed(step.EINM2), trimmed(step.Money), r.Program.Currency)
		better = "better in weight, stiffness or cost without being worse in another"
	}
	searched := "Searched " + byMethod(r) + "."
	switch {
	case len(r.Points) == 0 && (r.Complete || r.Infeasible != nil):
		return proof{Head: "No layout keeps every limit", Text: "This is proven. " + searched}
	case len(r.Points) == 0:
		return proof{Head: "Stopped early, nothing found yet: " + r.Why, Text: notSearched(r) + searched}
	case r.Unproven:
		return proof{Head: "Nothing proven, stopped early: " + r.Why,
			Text: "The layout below keeps every limit; whether it is among the best is open. " + searched}
	case r.Complete:
		all := fmt.Sprintf("These %d points are all there are", len(r.Points))
		if len(r.Points) == 1 {
			all = "This point is all there is"
		}
		return proof{true, "Complete and proven", all + ": no other layout within the limits is " + better +
			", told apart in steps of " + steps + ". " + searched}
	}
	return proof{Head: "Not complete, stopped early: " + r.Why,
		Text: notSearched(r) + "Points may be missing. Points are told apart in steps of " + steps + ". " + searched}
}

// relaxationSentence is what a relaxation does, as written, and the cell it changes where the sentence does not name it.
func relaxationSentence(r optimize.Relaxation) string {
	if r.Where == "" || strings.Contains(r.Sentence, r.Where) {
		return r.Sentence
	}
	return r.Sentence + " (" + r.Where + ")"
}

func notSearched(r *optimize.FrontResult) string {
	if r.Unsearched == "" {
		return ""
	}
	return r.Unsearched + ". "
}

// A subject is what a page draws: points of one profile on their program's board, and the reference to compare with.
type subject struct {
	program   *optimize.Program
	strips    []core.Strip
	points    []optimize.Point
	reference *optimize.Point // nil: none, or the only point itself
	marks     []woodMark      // by slot
	slot      []int           // by index into the board's woods; −1: none

	strength          []*core.Strength // by point; nil without a design load
	referenceStrength *core.Strength
	referenceProgram  *optimize.Program // its board is the reference's, whose profile may be another one
	other             *matched          // whose EI is drawn along the board besides; nil: none
}

func newSubject(program *optimize.Program, points []optimize.Point) (*subject, error) {
	factor := cmp.Or(points[0].ProfileFactor, 1)
	if at := cmp.Or(program.ProfileFactor, 1); factor != at {
		program = program.Scaled(factor / at)
	}
	s := &subject{program: program, referenceProgram: program, strips: program.Board.Strips(), points: points}
	for i := range points {
		if cmp.Or(points[i].ProfileFactor, 1) != factor {
			return nil, errors.New("the points of a page must share one profile factor")
		}
		if err := fits(program.Board, s.strips, &points[i]); err != nil {
			return nil, err
		}
	}
	var err error
	if s.reference, err = referencePoint(program, program.Board); err != nil {
		return nil, err
	}
	s.marks, s.slot = woodMarks(program, program.Board, s.layouts())
	return s, nil
}

// rate reckons the strength of every point and of the reference where there is a design load. Each takes milliseconds, so the
// processors share them; what comes back stands in the points' order.
func (s *subject) rate() error {
	if !loaded(s.program) {
		return nil
	}
	board, err := s.program.Board.Prepare()
	if err != nil {
		return err
	}
	load := core.Load{N: s.program.Limits.DesignLoadN, SafetyFactor: safetyFactor(s.program)}
	s.strength = make([]*core.Strength, len(s.points))
	faults := make([]error, len(s.points))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(s.points)) {
		workers.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(s.points); i = int(next.Add(1)) - 1 {
				var st core.Strength
				st, faults[i] = board.Strength(s.points[i].Layout, load)
				s.strength[i] = &st
			}
		})
	}
	workers.Wait()
	if err := errors.Join(faults...); err != nil || s.reference == nil {
		return err
	}
	s.referenceStrength, err = strengthOf(s.referenceProgram, s.reference.Layout)
	return err
}

// rated is the strength of a point, nil where there is none.
func (s *subject) rated(i int) *core.Strength {
	if s.strength == nil {
		return nil
	}
	return s.strength[i]
}

// figures are the numbers about a layout, with how much of its strength the design load uses where that is rated.
func (s *subject) figures(program *optimize.Program, pt *optimize.Point, st *core.Strength) []figure {
	out := figures(program, pt)
	if s.strength == nil {
		return out
	}
	f := figure{key: "strength", label: fmt.Sprintf("Strength used under %s N, safety factor %s",
		trimmed(program.Limits.DesignLoadN), trimmed(safetyFactor(program))), unit: "%", decimals: 1, brief: true}
	if st != nil && st.Wood >= 0 {
		f.value, f.known = st.UtilisationPct, true
	}
	return append(out, f)
}

// layouts are all that the page can show.
func (s *subject) layouts() []core.Layout {
	if s.reference == nil {
		return layoutsOf(s.points, nil)
	}
	return layoutsOf(s.points, s.reference.Layout)
}

// show fills in the drawings and tables of s, drawing its point `start` first.
func (p *page) show(s *subject, start int) error {
	if p.Match == nil { // a match rates its own columns
		if err := s.rate(); err != nil {
			return err
		}
	}
	b, first := s.program.Board, &s.points[start]
	for w, shown := range shownWoods(b, s.layouts()) {
		if shown {
			p.Woods = append(p.Woods, s.marks[s.slot[w]])
		}
	}
	p.Compared, p.Worst = s.reference != nil, s.strength != nil
	other := first
	if s.reference != nil {
		other = s.reference
	}
	if p.Comparing {
		b := s.referenceProgram.Board
		p.Other = newSectionDrawing(b, b.MeasureAtMM, other.Layout, s.marks, s.slot)
		p.OtherY = p.Other.AxisY(other.Figures.Measure.AxisMM).String()
	}
	p.Section = newSectionDrawing(b, b.MeasureAtMM, first.Layout, s.marks, s.slot)
	p.Along = newAlongDrawing(s.program, b, first.Layout, s.marks, s.slot)
	p.Sources = s.sources()
	p.rows(s, start)
	p.Data = p.data(s, start)

	drawn := p.Data.Points[start]
	p.Curve, p.AxisY = polyline(p.Data.Along, drawn.EI), drawn.Axis
	p.texts, p.shown = map[string]string{}, map[string]bool{}
	for i, key := range p.Data.Keys {
		p.texts[key] = drawn.Texts[i]
	}
	for i, key := range p.Data.Marks {
		p.shown[key] = drawn.Shown[i] == '1' || p.Data.Reference != nil && p.Data.Reference.Shown[i] == '1'
	}
	if s.reference == nil {
		return nil
	}
	p.against, p.differs = map[string]string{}, map[string]string{}
	for i, key := range p.Data.Keys {
		p.against[key] = p.Data.Reference.Texts[i]
	}
	ofReference := s.figures(s.referenceProgram, s.reference, s.referenceStrength)
	for i, f := range s.figures(s.program, first, s.rated(start)) {
		p.differs[f.key] = f.against(ofReference[i])
	}
	return nil
}

// data is what changes from point to point.
func (p *page) data(s *subject, start int) *pageData {
	b, along := s.program.Board, p.Along
	var curves [][]float64
	for _, pt := range s.points {
		curves = append(curves, stiffnessAlong(b, pt.Layout, along.places))
	}
	if s.reference != nil {
		curves = append(curves, stiffnessAlong(s.referenceProgram.Board, s.reference.Layout, along.places))
	}
	if s.other != nil {
		curves = append(curves, stiffnessAlong(s.other.program.Board, s.other.point.Layout, along.places))
	}
	along.scaled(curves, s.program.Limits.Windows)
	out := &pageData{Start: start, Along: along.tenthsX()}
	if s.reference != nil {
		along.Reference = polyline(out.Along, along.heights(curves[len(s.points)]))
	}
	if s.other != nil {
		along.Other = polyline(out.Along, along.heights(curves[len(curves)-1]))
	}
	for _, m := range s.marks {
		out.Letters = append(out.Letters, m.Letter)
	}
	put := func(d pointData, pt *optimize.Point, texts []cell) pointData {
		for _, w := range pt.Layout {
			d.Strips = append(d.Strips, s.slot[w])
		}
		for _, c := range texts {
			d.Texts = append(d.Texts, c.Text)
		}
		for _, m := range p.pointMarks(s, pt) {
			bit := "0"
			if m.on {
				bit = "1"
			}
			d.Shown += bit
		}
		return d
	}
	for i := range s.points {
		pt := &s.points[i]
		texts := p.pointTexts(s, i)
		if i == 0 {
			for _, c := range texts {
				out.Keys = append(out.Keys, c.Key)
			}
			for _, m := range p.pointMarks(s, pt) {
				out.Marks = append(out.Marks, m.key)
			}
			for _, f := range s.figures(s.program, pt, s.rated(i)) {
				out.Figures = append(out.Figures, slices.Index(out.Keys, f.key))
			}
		}
		d := pointData{ID: pt.ID, EI: along.heights(curves[i]), Axis: p.Section.AxisY(pt.Figures.Measure.AxisMM).String()}
		out.Points = append(out.Points, put(d, pt, texts))
	}
	if s.reference != nil {
		d := pointData{EI: along.heights(curves[len(s.points)]), Axis: p.OtherY}
		d = put(d, s.reference, p.texted(s, s.referenceProgram, s.reference, s.referenceStrength, "Reference", ""))
		out.Reference = &d
	}
	return out
}

// fits refuses a point that the drawings could only misread: a fault of whoever made it.
func fits(b *core.Board, strips []core.Strip, pt *optimize.Point) error {
	if len(pt.Layout) != len(strips) {
		return fmt.Errorf("point %d has %d strips, its board %d", pt.ID, len(pt.Layout), len(strips))
	}
	f := &pt.Figures
	if len(f.Stations) != len(b.Stations) || len(f.WoodVolumeCM3) != len(b.Woods) || len(f.WoodMassByG) != len(b.Woods) {
		return fmt.Errorf("point %d has no complete figures", pt.ID)
	}
	for _, w := range pt.Layout {
		if w < 0 || w >= len(b.Woods) {
			return fmt.Errorf("point %d has a wood that is not on its board", pt.ID)
		}
	}
	return nil
}

// rows are the tables' unchanging parts.
func (p *page) rows(s *subject, start int) {
	b, points, reference := s.program.Board, s.points, s.reference
	for _, f := range s.figures(s.program, &points[0], s.rated(0)) {
		row := figureRow{f.label, f.unit, f.key}
		p.Figures = append(p.Figures, row)
		if f.brief {
			p.Brief = append(p.Brief, row)
		}
	}
	for i, pos := range b.Positions {
		row := gluedRow{Name: pos.Name, WidthMM: plainMM(pos.StripWidthMM), Strips: pos.Strips, OnCentreLine: pos.OnCentreLine,
			Key: fmt.Sprintf("glued%d", i), HoldingKey: fmt.Sprintf("holding%d", i)}
		p.Glued = append(p.Glued, row)
		p.Centre = p.Centre || pos.OnCentreLine
	}
	for w, n := range s.slot {
		has := func(pt optimize.Point) bool { return slices.Contains(pt.Layout, w) || pt.Figures.WoodVolumeCM3[w] > 0 }
		inAPoint := slices.ContainsFunc(points, has) || p.Comparing && reference != nil && has(*reference)
		if n < 0 || !inAPoint {
			continue
		}
		row := madeOfRow{woodMark: s.marks[n]}
		for _, price := range p.Sources {
			if price.Mark.Slot == n {
				row.Prices = append(row.Prices, price)
			}
		}
		p.MadeOf = append(p.MadeOf, row)
	}
	for i, at := range b.Stations {
		row := profileRow{FromTip: plainMM(at.FromTipMM), Width: Fixed(at.WidthMM, 1), Thick: Fixed(at.ThicknessMM, 2),
			CoreKey: fmt.Sprintf("core%d", i), PressedKey: fmt.Sprintf("pressed%d", i), Measured: at.FromTipMM == b.MeasureAtMM}
		row.AgainstKey = row.CoreKey
		if b.Section == core.Pressed && p.Layered {
			row.AgainstKey = row.PressedKey
		}
		p.Profile = append(p.Profile, row)
	}
	for i, w := range s.program.Limits.Windows {
		row := windowRow{AtMM: plainMM(w.FromTipMM), Low: limitText(w.Low, 2), High: limitText(w.High, 2), Key: fmt.Sprintf("window%d", i)}
		p.Windows = append(p.Windows, row)
	}
	for i := range points {
		pt := &points[i]
		row := pointRow{Index: i, ID: pt.ID, Mass: Fixed(pt.CoreMassG, 2), EI: Fixed(pt.EINM2, 2), Flex: "–", Cost: "–", Scatter: "–", Used: "–",
			FastGrown: Fixed(pt.FastGrownPct, 1), Layout: s.letters(pt.Layout), Tags: tags(points, i), Picked: i == start}
		if pt.Figures.Flex.Known {
			row.Flex = Fixed(flexOf(b, pt), 3)
		}
		if pt.HasCost {
			row.Cost = pt.Cost.StringFixed(2)
		}
		if pt.Figures.Scatter.Known {
			row.Scatter = Fixed(pt.Figures.Scatter.EIPct, 2)
		}
		if st := s.rated(i); st != nil && st.Wood >= 0 {
			row.Used = Fixed(st.UtilisationPct, 1)
		}
		p.Points = append(p.Points, row)
	}
}

func flexOf(b *core.Board, pt *optimize.Point) float64 {
	if b.Section == core.Bare {
		return pt.Figures.Flex.CoreNPerMM
	}
	return pt.Figures.Flex.PressedNPerMM
}

func eiAt(b *core.Board, l core.Layout, x float64) float64 {
	return b.SectionAt(x, b.Section).EI(b.C(l, x))
}

// referencePoint is the reference on b, the program's board, nil without one. Where the program does not allow one of its
// woods, its cost and its shares are not known.
func referencePoint(program *optimize.Program, b *core.Board) (*optimize.Point, error) {
	if program.Reference == nil {
		return nil, nil
	}
	c, err := optimize.Check(program, program.Reference)
	if err == nil {
		return &c.Point, nil
	}
	if not := (*optimize.NotAllowedError)(nil); !errors.As(err, &not) {
		return nil, fmt.Errorf("the reference: %w", err)
	}
	f, err := b.Evaluate(program.Reference)
	if err != nil {
		return nil, fmt.Errorf("the reference: %w", err)
	}
	return &optimize.Point{Layout: program.Reference, Figures: f, CoreMassG: f.CoreMassG, EINM2: f.Measure.EINM2(b.Section),
		FastGrownPct: math.NaN(), CertifiedPct: math.NaN()}, nil
}

func limitText(l optimize.Limit, decimals int) string {
	if !l.Set {
		return "–"
	}
	return Fixed(l.Value, decimals)
}

// plainMM is a length with the decimals it needs, up to two.
func plainMM(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(Fixed(v, 2), "0"), ".")
}
