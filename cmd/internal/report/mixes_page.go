package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"unicode/utf8"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

var (
	//go:embed mixes.html
	mixesHTML string
	//go:embed mixes.css
	mixesCSS string
)

// mixesTemplate has the parts of the other pages, and one of its own. It has no script.
var mixesTemplate = template.Must(template.Must(pageTemplate.Clone()).New("mixes").Parse(mixesHTML))

// A mixesView is all that the template shows.
type mixesView struct {
	Model, Head, Proof, Asked, Fast string
	Done, Current, Matched, Notices bool
	Warnings                        []string
	Infeasible                      *optimize.Infeasible
	Woods                           []woodMark
	Columns                         []mixView
	Rows                            []mixViewRow
	Unreckoned, Greatest            string
	Chart                           *stairChart
	Grid                            *grid
	Turns                           []string
	Growth                          []growthView
	Reckoned, Cautions              []string

	Style     template.CSS
	StyleHash string
}

type mixView struct {
	Name, How, Letters, Words string
	Bar                       []barStrip
	Noticed                   []string
}

// A barStrip is one strip of a layout drawn as a bar, 240 wide from the centre line to the edge.
type barStrip struct {
	X, W px
	Slot int
}

type mixViewRow struct {
	Label, Unit string
	Cells       []mixCell
}

type mixCell struct{ Text, Less string }

type growthView struct{ Letter, Name, Fast, Years, Source, Growth, Origin, Certified string }

// A stairChart is the least mass as a function of the least share, in a drawing of W by H.
type stairChart struct {
	W, H                     px
	Left, Right, Top, Bottom px
	XTicks, YTicks           []tick
	Stairs                   string
	Dots                     []dot
	Reference                *dot
	Beyond                   *rect // where no layout reaches
}

// MixesPage writes the search for mixes as one HTML page that needs nothing else: the current mix beside alternatives with what a rider
// would notice, what each step of share costs, and what is known of the woods. It prints on two pages.
func MixesPage(w io.Writer, r *optimize.MixesResult) error {
	v, err := newMixesView(r)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := mixesTemplate.ExecuteTemplate(&out, "mixes", v); err != nil {
		return err
	}
	_, err = w.Write(out.Bytes())
	return err
}

func newMixesView(r *optimize.MixesResult) (*mixesView, error) {
	m, err := newMixing(r)
	if err != nil {
		return nil, err
	}
	p := m.program
	style := pageCSS + mixesCSS
	v := &mixesView{Model: p.Model, Asked: m.asked(), Fast: m.fastWords() + m.floorWords(), Current: m.current, Matched: len(r.Windows) > 0, Infeasible: r.Infeasible, Unreckoned: m.same(), Greatest: m.greatestWords(),
		Reckoned: m.mixReckoned(), Cautions: Cautions, Style: template.CSS(style), StyleHash: contentHash(style)}
	if r.Unmatched != nil {
		v.Infeasible = r.Unmatched
	}
	v.Head, v.Proof, v.Done = m.proof()
	v.Proof = capital(v.Proof)
	if words := m.frontWords(); words != "" {
		v.Proof += " " + words
	}
	for _, b := range r.Broken {
		v.Warnings = append(v.Warnings, "The current mix breaks a limit that the others keep: "+clean(b))
	}
	marks, slot := woodMarks(p, p.Board, m.layouts())
	shown := shownWoods(p.Board, m.layouts())
	for _, mark := range marks {
		for w := range p.Board.Woods {
			if slot[w] == mark.Slot && shown[w] {
				v.Woods = append(v.Woods, mark)
			}
		}
	}
	read := newReading(marks)
	for i := range m.columns {
		c := &m.columns[i]
		if err := fits(c.program.Board, c.program.Board.Strips(), c.point); err != nil {
			return nil, err
		}
		col := mixView{Name: c.name, How: c.how, Letters: strings.Join(read.strips(c.point.Runs), " "), Bar: bar(c.program.Board, c.point.Layout, slot), Noticed: m.noticed(i)}
		var words []string
		for _, run := range c.point.Runs {
			words = append(words, fmt.Sprintf("%d %s at %s", run.PerSide, clean(run.Wood), clean(run.Position)))
		}
		col.Words = strings.Join(words, ", ")
		v.Notices = v.Notices || len(col.Noticed) > 0
		v.Columns = append(v.Columns, col)
	}
	for _, row := range m.rows() {
		line := mixViewRow{Label: row.label, Unit: row.unit}
		for i, f := range row.of {
			line.Cells = append(line.Cells, mixCell{f.text(), m.against(row, i)})
		}
		v.Rows = append(v.Rows, line)
	}
	if len(r.Breaks) > 0 {
		v.Chart = m.chart()
		const unlimited = 1 << 20
		v.Grid = newGrid("The lightest layout by least share", "Kept up to: the exact share that it has; above it, another is the lightest.", m.gridColumns(read, unlimited))
		v.Turns = m.turnWords()
	}
	for _, row := range m.woodRows(marks) {
		g := growthView{Letter: row.mark.Letter, Name: row.wood.CommonName, Fast: yesNo(row.fast), Years: row.years, Growth: row.growth, Origin: row.origin, Certified: row.certificate()}
		if row.source != "" {
			g.Source = capital(row.status) + ": " + row.source
		}
		v.Growth = append(v.Growth, g)
	}
	return v, nil
}

// turnWords are the exact shares at which a wood has to go, the ends and evenly between where there are many.
func (m *mixing) turnWords() []string {
	turns := m.turns()
	digits := decimals(resolution(m.program).MassG)
	var out []string
	for k, i := range turns {
		if n := len(turns); n > mostTurns && k != 0 && k*(mostTurns-1)/(n-1) == (k-1)*(mostTurns-1)/(n-1) {
			continue
		}
		b, next := &m.r.Breaks[i], &m.r.Breaks[i+1]
		out = append(out, fmt.Sprintf("above %s %%: %s; %s g", Fixed(b.SharePct, 2), wentWords(b), signed(next.Point.CoreMassG-b.Point.CoreMassG, digits)))
	}
	return out
}

// bar is a layout's strips side by side, to the scale of their widths.
func bar(b *core.Board, l core.Layout, slot []int) []barStrip {
	strips := b.Strips()
	reach := 0.0
	for _, s := range strips {
		reach = max(reach, s.ToMM)
	}
	at := axis{0, reach, 0, 240}
	var out []barStrip
	for i, s := range strips {
		from := max(s.FromMM, 0)
		out = append(out, barStrip{X: at.at(from), W: at.at(s.ToMM) - at.at(from), Slot: slot[l[i]]})
	}
	return out
}

// chart draws the stairs, the alternatives on them and the current mix.
func (m *mixing) chart() *stairChart {
	c := &stairChart{W: 640, H: 340, Left: 76, Right: 620, Top: 26, Bottom: 278}
	var masses []float64
	stairs := m.stairs()
	for _, s := range stairs {
		masses = append(masses, s[1])
	}
	if m.current {
		masses = append(masses, m.r.Reference.CoreMassG)
	}
	x, y := axis{0, 100, c.Left, c.Right}, spread(masses, c.Bottom, c.Top)
	c.XTicks, c.YTicks = x.ticks(11), y.ticks(7)
	var points []string
	for _, s := range stairs {
		points = append(points, fmt.Sprintf("%v,%v", x.at(s[0]), y.at(s[1])))
	}
	c.Stairs = strings.Join(points, " ")
	if end := stairs[len(stairs)-1][0]; end < 100 && m.r.StepsProven {
		c.Beyond = &rect{x.at(end), c.Top, c.Right - x.at(end), c.Bottom - c.Top}
	}
	place := func(share, mass float64, tag string) dot { return dot{X: x.at(share), Y: y.at(mass), Tag: tag} }
	for i := range m.columns {
		col := &m.columns[i]
		if m.current && i == 0 {
			d := place(col.share, col.point.CoreMassG, "current")
			c.Reference = &d
			continue
		}
		c.Dots = append(c.Dots, place(col.share, col.point.CoreMassG, strings.ToLower(col.name)))
	}
	c.placeTags()
	return c
}

// placeTags puts each dot's tag beside it, where the chart, the other dots and the tags before leave room: below if it can, else above, else higher.
func (c *stairChart) placeTags() {
	const letter, high = 12, 21 // of a tag at its largest
	var all []*dot
	for i := range c.Dots {
		all = append(all, &c.Dots[i])
	}
	if c.Reference != nil {
		all = append(all, c.Reference)
	}
	var taken []rect
	for _, d := range all {
		taken = append(taken, rect{d.X - 6, d.Y - 6, 12, 12})
	}
	for _, d := range all {
		wide := px(letter * utf8.RuneCountInString(d.Tag))
		best := -1
		for _, to := range []struct {
			down px
			end  bool
		}{{20, false}, {20, true}, {-10, false}, {-10, true}, {-34, false}, {-34, true}, {-58, false}, {-58, true}} {
			r := rect{d.X + 9, d.Y + to.down - high + 4, wide, high}
			if to.end {
				r.X = d.X - 9 - wide
			}
			crossed := 0
			for _, t := range taken {
				if r.X < t.X+t.W && t.X < r.X+r.W && r.Y < t.Y+t.H && t.Y < r.Y+r.H {
					crossed++
				}
			}
			if r.X < c.Left || r.X+r.W > c.W || r.Y < 0 || r.Y+r.H > c.Bottom {
				crossed += len(taken) // outside is worse than over another
			}
			if best >= 0 && crossed >= best {
				continue
			}
			best, d.TagY, d.TagX, d.TagEnd = crossed, d.Y+to.down, d.X+9, to.end
			if to.end {
				d.TagX = d.X - 9
			}
		}
		r := rect{d.TagX, d.TagY - high + 4, wide, high}
		if d.TagEnd {
			r.X -= wide
		}
		taken = append(taken, r)
	}
}
