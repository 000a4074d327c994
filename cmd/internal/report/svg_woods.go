package report

import (
	"html/template"
	"strconv"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/species"
)

// A woodMark is how a wood is told apart in every drawing of a page: by letter, by pattern and by colour, each alone enough.
type woodMark struct {
	Slot   int // from 0, over the woods of the page; the JSON and the pattern's id speak of it
	Wood   species.Wood
	Letter string
	Colour string
	Lines  template.HTML // of the pattern's tile, 8 by 8
}

// The colours differ in lightness as well as in hue, so that no two neighbours in the list look alike in grey or to
// the colour-blind, and all are light enough for dark letters.
var woodColours = [...]string{
	"#f4e6bd", "#d99a5b", "#a9c6d8", "#b9b05a", "#e8beb4", "#86b5a2",
	"#d9d4c8", "#c4829c", "#d6e3b4", "#9c9ecb", "#f0c95c", "#b39a82",
}

// The patterns are ours, and hold no text of a user's.
var woodLines = [...]template.HTML{
	``,
	`<path d="M-2 2 2-2M0 8 8 0M6 10 10 6"/>`,
	`<circle cx="2" cy="2" r=".9" class="full"/><circle cx="6" cy="6" r=".9" class="full"/>`,
	`<path d="M0 2H8M0 6H8"/>`,
	`<path d="M-2 6 2 10M0 0 8 8M6-2 10 2"/>`,
	`<path d="M2 0V8M6 0V8"/>`,
	`<path d="M0 0 8 8M0 8 8 0"/>`,
	`<circle cx="4" cy="4" r="2.2"/>`,
	`<path d="M0 4H8M4 0V8"/>`,
	`<path d="M0 2H4M4 6H8"/>`,
	`<path d="M0 5 2 3 4 5 6 3 8 5"/>`,
	`<path d="M2 0V4M6 4V8"/>`,
}

// woodMarks gives each wood that the program may use or a drawing can show its mark, in the order of the board's woods,
// and the slot of each by its index there (−1: none). All candidates have one, used or not, so that every result of a
// model marks its woods alike. A letter is the first free one of the wood's id.
func woodMarks(p *optimize.Program, b *core.Board, layouts []core.Layout) (marks []woodMark, slot []int) {
	marked := shownWoods(b, layouts)
	for _, c := range p.Candidates {
		marked[c.Wood] = true
	}
	slot = make([]int, len(b.Woods))
	taken := map[string]bool{}
	for w, wood := range b.Woods {
		if slot[w] = -1; !marked[w] {
			continue
		}
		n := len(marks)
		slot[w] = n
		letter := freeLetter(wood.ID, taken)
		taken[letter] = true
		marks = append(marks, woodMark{
			Slot: n, Wood: wood, Letter: letter,
			// A second round over the patterns meets other colours.
			Colour: woodColours[(n+5*(n/len(woodLines)))%len(woodColours)],
			Lines:  woodLines[n%len(woodLines)],
		})
	}
	return marks, slot
}

// shownWoods says by index into the board's woods which of them the layouts or a pad show.
func shownWoods(b *core.Board, layouts []core.Layout) []bool {
	shown := make([]bool, len(b.Woods))
	for _, l := range layouts {
		for _, w := range l {
			shown[w] = true
		}
	}
	for _, p := range b.Pads {
		shown[p.Wood] = true
	}
	return shown
}

// layoutsOf are the layouts of the points and, where there is one, of the reference.
func layoutsOf(points []optimize.Point, reference core.Layout) []core.Layout {
	out := make([]core.Layout, 0, len(points)+1)
	for i := range points {
		out = append(out, points[i].Layout)
	}
	if reference != nil {
		out = append(out, reference)
	}
	return out
}

func freeLetter(id string, taken map[string]bool) string {
	const alphabet = "ABCDEFGHJKLMNPQRSTUVWXYZ" // no I and O, which read as figures
	for _, r := range strings.ToUpper(id) + alphabet + strings.ToLower(alphabet) {
		if s := string(r); !taken[s] && strings.Contains(alphabet+strings.ToLower(alphabet), s) {
			return s
		}
	}
	return strconv.Itoa(len(taken) + 1)
}

// letters is a layout as the letters of its strips from the centre line outward, a space between positions.
func (s *subject) letters(l core.Layout) string {
	var out strings.Builder
	for i, strip := range s.strips {
		if i > 0 && strip.Position != s.strips[i-1].Position {
			out.WriteByte(' ')
		}
		out.WriteString(s.marks[s.slot[l[i]]].Letter)
	}
	return out.String()
}
