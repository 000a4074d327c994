package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// A ShopJob is one layout as the shop is to build it. [ShopOfCheck], [ShopOfMatch] and [ShopOfFront] make one of a result; how
// many, of what blank and how dry is the job book's to say.
type ShopJob struct {
	Of      string            // which layout it is: "the reference"
	Program *optimize.Program // its board has the profile to mill
	Point   *optimize.Point
	Notes   []string // what to know first: limits that are broken, what is not proven

	Blank       sourcing.Blank
	MoisturePct float64 // of the wood when it is glued
	PlaningMM   float64 // off each face of a strip
	Boards      int     // to be sold; 0: not said
	ScrapPct    float64 // boards built beyond those sold
	NeededBy    string

	layouts  []core.Layout // that the result's other outputs letter, so that letters agree
	decimals int           // of a thickness to mill
}

// ShopOfCheck is the shop's job for a layout that was checked.
func ShopOfCheck(c *optimize.CheckResult, of string) *ShopJob {
	p := c.Program
	j := &ShopJob{Of: of, Program: profiled(p, &c.Point), Point: &c.Point, layouts: layoutsOf([]optimize.Point{c.Point}, p.Reference)}
	for _, b := range c.Broken {
		j.Notes = append(j.Notes, "Breaks a limit of the job book: "+b)
	}
	return j
}

// ShopOfMatch is the shop's job for what a match found: the trimmed board, or the best where nothing was trimmed; nil where
// nothing was found.
func ShopOfMatch(r *optimize.MatchResult) (*ShopJob, error) {
	m, err := newMatching(r)
	if err != nil || r.Best == nil {
		return nil, err
	}
	answer := m.answer()
	j := &ShopJob{Of: "the best layout, " + m.goalWords(), Program: answer.program, Point: answer.point, layouts: m.layouts(), decimals: m.millDecimals()}
	if r.Trimmed != nil {
		j.Of += ", with the profile trimmed to the reference’s EI"
	}
	if head, words, done := m.proof(); !done {
		j.Notes = append(j.Notes, head+": "+words)
	}
	for _, b := range m.broken {
		j.Notes = append(j.Notes, "Trimmed breaks a limit that Best keeps: "+b)
	}
	if m.heldThin() {
		j.Notes = append(j.Notes, heldThinNote)
	}
	return j, nil
}

// ShopOfFront is the shop's job for a front's knee, or for its lightest point where it has no knee; nil without points.
func ShopOfFront(r *optimize.FrontResult) *ShopJob {
	if len(r.Points) == 0 {
		return nil
	}
	i := max(0, slices.IndexFunc(r.Points, func(pt optimize.Point) bool { return pt.Knee }))
	pt := &r.Points[i]
	j := &ShopJob{Of: fmt.Sprintf("point %d of %d of the front", pt.ID, len(r.Points)), Program: profiled(r.Program, pt), Point: pt,
		layouts: layoutsOf(r.Points, r.Program.Reference)}
	if words := tags(r.Points, i); words != "" {
		j.Of += " (" + words + ")"
	}
	if p := proofOf(r); !p.Done {
		j.Notes = append(j.Notes, p.Head)
	}
	return j
}

// A shopSheet is a job as page and workbook show it.
type shopSheet struct {
	*ShopJob
	s       *subject
	Woods   []woodMark
	Cores   int // to be built
	Cuts    []shopCut
	Strips  int // of one core
	Pieces  []shopPiece
	Runs    []shopRun
	Stretch bool // strips are pre-strained
	Pads    []shopPad
	Mill    []shopStation
	WidthMM float64 // of the blank
	GlueG   float64 // on one blank's joints
	Joints  int
	BlankG  float64 // a blank weighs, without glue
	Minds   []string
}

// A shopCut is strips of one wood and one width, as high as the blank is thick and as long as it is long.
type shopCut struct {
	Mark    woodMark
	WidthMM float64
	RipMM   float64 // before planing
	PerCore int
	All     int
	From    []string // where the lumber was priced
}

// A shopPiece is one strip of the blank, counted from the left edge.
type shopPiece struct {
	Strip         int // of the board's strips
	Position      int
	Wood          int // index into the board's woods
	Slot          int
	Letter        string
	LeftMM, Right float64 // its faces from the left edge of the blank, mm
}

// A shopRun is neighbours of one wood, width and position.
type shopRun struct {
	First, Last     int // from the left edge, from 1
	MirrorFirst     int // of the strips that mirror it
	MirrorLast      int
	Position        string
	Mark            woodMark
	WidthMM         float64
	LeftMM, RightMM float64
	PreStrain       float64 // tension positive
	StretchMM       float64 // over the blank's length
}

// A shopPad is a stretch of a position that is filled with wood turned across the board.
type shopPad struct {
	Position       string
	Mark           woodMark
	FromMM, ToMM   float64 // from the tip
	InnerMM, Outer float64 // from the centre line
}

// A shopStation is one row of the profile to mill.
type shopStation struct {
	FromTipMM, FromEndMM float64 // from the core's tip, and from the blank's end
	WidthMM, ThickMM     float64
	OffMM                float64 // to mill off the blank
	Measured             bool
}

// cores are how many are to be built for boards to be sold, with so many percent more for scrap.
func cores(boards int, scrapPct float64) int {
	more := decimal.NewFromFloat(100 + scrapPct).Div(decimal.NewFromInt(100))
	return int(decimal.NewFromInt(int64(boards)).Mul(more).Ceil().IntPart())
}

func newShopSheet(j *ShopJob) (*shopSheet, error) {
	p, b := j.Program, j.Program.Board
	s := &subject{program: p, strips: b.Strips(), points: []optimize.Point{*j.Point}}
	if err := fits(b, s.strips, j.Point); err != nil {
		return nil, err
	}
	s.marks, s.slot = woodMarks(p, b, j.layouts)
	sheet := &shopSheet{ShopJob: j, s: s, Cores: max(1, cores(j.Boards, j.ScrapPct))}
	for w, shown := range shownWoods(b, []core.Layout{j.Point.Layout}) {
		if shown {
			sheet.Woods = append(sheet.Woods, s.marks[s.slot[w]])
		}
	}
	sheet.glueUp()
	sheet.cut()
	sheet.mill()
	sheet.mind()
	return sheet, nil
}

// glueUp lays the strips of the blank from its left edge to its right one.
func (s *shopSheet) glueUp() {
	b := s.Program.Board
	strips, layout := s.s.strips, s.Point.Layout
	var left, middle, right []shopPiece
	half := 0.0
	for i, strip := range strips {
		half = max(half, strip.ToMM)
		w := layout[i]
		piece := shopPiece{Strip: i, Position: strip.Position, Wood: w, Slot: s.s.slot[w], Letter: s.s.marks[s.s.slot[w]].Letter}
		if strip.Pieces == 1 {
			piece.LeftMM, piece.Right = -strip.ToMM, strip.ToMM
			middle = append(middle, piece)
			continue
		}
		piece.LeftMM, piece.Right = strip.FromMM, strip.ToMM
		right = append(right, piece)
		piece.LeftMM, piece.Right = -strip.ToMM, -strip.FromMM
		left = append(left, piece)
	}
	slices.Reverse(left)
	s.Pieces = slices.Concat(left, middle, right)
	s.Strips, s.WidthMM = len(s.Pieces), 2*half
	for i := range s.Pieces {
		s.Pieces[i].LeftMM += half
		s.Pieces[i].Right += half
	}
	for i := 0; i < s.Strips; {
		first, last := s.Pieces[i], i
		for last+1 < s.Strips && s.Pieces[last+1].Wood == first.Wood && s.Pieces[last+1].Position == first.Position {
			last++
		}
		pos := b.Positions[first.Position]
		s.Runs = append(s.Runs, shopRun{First: i + 1, Last: last + 1, MirrorFirst: s.Strips - last, MirrorLast: s.Strips - i, Position: pos.Name,
			Mark: s.s.marks[first.Slot], WidthMM: pos.StripWidthMM, LeftMM: first.LeftMM, RightMM: s.Pieces[last].Right,
			PreStrain: pos.PreStrain, StretchMM: pos.PreStrain * s.Blank.LengthMM})
		s.Stretch = s.Stretch || pos.PreStrain != 0
		i = last + 1
	}
	s.Joints = s.Strips - 1
	s.GlueG = float64(s.Joints) * s.Blank.LengthMM * s.Blank.ThicknessMM * 1e-6 * b.GlueGM2 // mm² to m²
	for _, piece := range s.Pieces {
		// kg/m³ times mm³ is 10⁻⁶ g.
		s.BlankG += b.Woods[piece.Wood].DensityKgM3.Value * (piece.Right - piece.LeftMM) * s.Blank.ThicknessMM * s.Blank.LengthMM * 1e-6
	}
	for _, pad := range b.Pads {
		p := shopPad{Position: b.Positions[pad.Position].Name, Mark: s.s.marks[s.s.slot[pad.Wood]], FromMM: pad.FromMM, ToMM: pad.ToMM, InnerMM: math.Inf(1)}
		for _, strip := range strips {
			if strip.Position == pad.Position {
				p.InnerMM, p.Outer = min(p.InnerMM, strip.FromMM), max(p.Outer, strip.ToMM)
			}
		}
		s.Pads = append(s.Pads, p)
	}
}

// cut counts the strips by wood and width.
func (s *shopSheet) cut() {
	b := s.Program.Board
	prices := s.s.sources()
	for _, piece := range s.Pieces {
		width := b.Positions[piece.Position].StripWidthMM
		i := slices.IndexFunc(s.Cuts, func(c shopCut) bool { return c.Mark.Slot == piece.Slot && c.WidthMM == width })
		if i < 0 {
			i = len(s.Cuts)
			s.Cuts = append(s.Cuts, shopCut{Mark: s.s.marks[piece.Slot], WidthMM: width, RipMM: width + 2*s.PlaningMM})
		}
		c := &s.Cuts[i]
		c.PerCore++
		c.All += s.Cores
		for _, price := range prices {
			if price.Mark.Slot == piece.Slot && slices.Contains(price.positions, piece.Position) && !slices.Contains(c.From, price.place()) {
				c.From = append(c.From, price.place())
			}
		}
	}
	slices.SortStableFunc(s.Cuts, func(a, b shopCut) int {
		return cmp.Or(cmp.Compare(a.Mark.Slot, b.Mark.Slot), cmp.Compare(b.WidthMM, a.WidthMM))
	})
}

// place is where the lumber of a price lies or comes from, in short.
func (s *source) place() string {
	if s.Stock {
		return "the yard"
	}
	return s.Supplier
}

// mill is the profile, from the tip and from the blank's end: the blank is longer by as much at both ends.
func (s *shopSheet) mill() {
	b := s.Program.Board
	before := (s.Blank.LengthMM - (b.LengthMM() - b.Stations[0].FromTipMM)) / 2
	for _, at := range b.Stations {
		s.Mill = append(s.Mill, shopStation{FromTipMM: at.FromTipMM, FromEndMM: before + at.FromTipMM - b.Stations[0].FromTipMM, WidthMM: at.WidthMM,
			ThickMM: at.ThicknessMM, OffMM: s.Blank.ThicknessMM - at.ThicknessMM, Measured: at.FromTipMM == b.MeasureAtMM})
	}
	s.decimals = max(2, s.decimals)
	for _, row := range s.Mill {
		s.decimals = max(s.decimals, min(3, decimals(row.ThickMM)))
	}
}

// mind is what must be put right before anyone saws.
func (s *shopSheet) mind() {
	b := s.Program.Board
	s.Minds = slices.Clone(s.Notes)
	if length := b.LengthMM() - b.Stations[0].FromTipMM; s.Blank.LengthMM < length {
		s.Minds = append(s.Minds, fmt.Sprintf("The blank is %s mm long and the core %s mm: give a longer Blank length in the sheet Models.", plainMM(s.Blank.LengthMM), plainMM(length)))
	}
	thickest := slices.MaxFunc(s.Mill, func(a, b shopStation) int { return cmp.Compare(a.ThickMM, b.ThickMM) })
	if thickest.OffMM < 0 {
		s.Minds = append(s.Minds, fmt.Sprintf("The blank is %s mm thick and the core is to be %s mm at %s mm from the tip: give a thicker Blank thickness in the sheet Models.",
			plainMM(s.Blank.ThicknessMM), Fixed(thickest.ThickMM, s.decimals), plainMM(thickest.FromTipMM)))
	}
	if s.Stretch {
		s.Minds = append(s.Minds, "Some strips are glued in under strain: clamp their ends until the glue has cured, and stand clear when they are released.")
	}
}

// Order are the letters of the blank from left to right, "|" at the centre line where it is a joint.
func (s *shopSheet) Order() string {
	var letters []string
	for i, piece := range s.Pieces {
		if 2*i == s.Strips {
			letters = append(letters, "|")
		}
		letters = append(letters, piece.Letter)
	}
	return strings.Join(letters, " ")
}

// numbers are those of the strips of a run: "4" or "4–6".
func numbers(first, last int) string {
	if first == last {
		return fmt.Sprint(first)
	}
	return fmt.Sprintf("%d–%d", first, last)
}

// Many says how many cores are built and why.
func (s *shopSheet) Many() string {
	switch {
	case s.Boards == 0:
		return "One core; the job book does not say how many boards."
	case s.Cores == s.Boards:
		return count(s.Cores, "core") + " for as many boards; no scrap is reckoned."
	}
	return fmt.Sprintf("%s: %s to be sold and %s %% more for scrap.", count(s.Cores, "core"), count(s.Boards, "board"), trimmed(s.ScrapPct))
}

// Checks are what the shop can hold the work against.
func (s *shopSheet) Checks() []string {
	out := []string{
		fmt.Sprintf("Lay the strips out dry and read their letters from the left edge and from the right one: both give the same row. The centre line is %s mm from either edge.", plainMM(s.WidthMM/2)),
		fmt.Sprintf("A blank weighs about %s g before milling, without its glue; a finished core %s g with it.", Fixed(s.BlankG, 0), Fixed(s.Point.CoreMassG, 0)),
	}
	if b := s.Program.Board; b.GlueGM2 > 0 {
		out = append(out, fmt.Sprintf("Glue: %s, %s g/m², %s g for a blank, one spread a joint.", count(s.Joints, "joint"), trimmed(b.GlueGM2), Fixed(s.GlueG, 0)))
	}
	return out
}
