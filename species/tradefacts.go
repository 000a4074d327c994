package species

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A TradeFact is something said of woods in the trade, held against a table's figures.
type TradeFact struct {
	Says   string
	Source string // of the saying
	Checks []TradeCheck
}

// A TradeCheck is one comparison that a saying implies.
type TradeCheck struct {
	Text    string // the figures compared
	Verdict Verdict
}

// Verdict is how a comparison comes out.
type Verdict string

// The verdicts. NotKnown: a figure is missing.
const (
	Holds    Verdict = "holds"
	Conflict Verdict = "conflict"
	NotKnown Verdict = "not known"
)

// Words of the trade in numbers. They are ours, chosen once and not to fit the figures.
const (
	nearlyTheSame = 0.15 // "nearly the same", "a little": within 15 %
	farAbove      = 1.30 // "far denser, harder, stronger": by 30 % or more
)

type comparison string

const (
	near    comparison = "nearly"  // within 15 %
	above   comparison = "above"   // above
	little  comparison = "little"  // above, by at most 15 %
	farOver comparison = "farOver" // above by 30 % or more
	below   comparison = "below"   // below
)

var words = map[comparison]string{near: "should be near", above: "should be above", little: "should be a little above",
	farOver: "should be far above", below: "should be below"}

func (c comparison) holds(a, b float64) bool {
	switch c {
	case near:
		return math.Abs(a/b-1) <= nearlyTheSame
	case above:
		return a > b
	case little:
		return a > b && a/b-1 <= nearlyTheSame
	case farOver:
		return a/b >= farAbove
	}
	return a < b
}

type claim struct {
	a, b   []string // ids; empty b: every other wood of the table but those in not
	not    []string
	figure []string
	is     comparison
}

var mechanical = []string{"density_kg_m3", "modulus_gpa", "bending_strength_mpa", "compression_mpa", "shear_mpa", "hardness_n"}

var sayings = []struct {
	says   string
	claims []claim
}{
	{"aspen and poplar are nearly the same in every figure, aspen bends at slightly higher stress", []claim{
		{a: []string{"aspen-quaking"}, b: []string{"poplar-hybrid"}, figure: mechanical, is: near},
		{a: []string{"aspen-quaking"}, b: []string{"poplar-hybrid"}, figure: []string{"bending_strength_mpa"}, is: little},
	}},
	{"beech and birch are nearly the same in every figure, birch's bending strength is a little higher", []claim{
		{a: []string{"birch-silver"}, b: []string{"beech-european"}, figure: mechanical, is: near},
		{a: []string{"birch-yellow", "birch-paper"}, b: []string{"beech-american"}, figure: mechanical, is: near},
		{a: []string{"birch-silver"}, b: []string{"beech-european"}, figure: []string{"bending_strength_mpa"}, is: little},
		{a: []string{"birch-yellow", "birch-paper"}, b: []string{"beech-american"}, figure: []string{"bending_strength_mpa"}, is: little},
	}},
	{"beech and birch are far denser, harder and stronger than aspen and poplar", []claim{
		{a: []string{"beech-european", "beech-american", "birch-silver", "birch-yellow", "birch-paper"}, b: []string{"aspen-quaking", "poplar-hybrid"},
			figure: []string{"density_kg_m3", "hardness_n", "bending_strength_mpa"}, is: farOver},
	}},
	{"bamboo is harder and stronger than beech and birch at lower weight", []claim{
		{a: []string{"bamboo-moso-laminated"}, b: []string{"beech-european", "beech-american", "birch-silver", "birch-yellow"},
			figure: []string{"hardness_n", "bending_strength_mpa"}, is: above},
		{a: []string{"bamboo-moso-laminated"}, b: []string{"beech-european", "beech-american", "birch-silver", "birch-yellow"},
			figure: []string{"density_kg_m3"}, is: below},
	}},
	{"paulownia is light: lighter than any other core wood but balsa and ceiba", []claim{
		{a: []string{"paulownia-tomentosa"}, not: []string{"balsa", "ceiba"}, figure: []string{"density_kg_m3"}, is: below},
	}},
	{"balsa is lighter and weaker than any other wood in every figure", []claim{
		{a: []string{"balsa"}, figure: mechanical, is: below},
	}},
}

// TradeFacts holds what is said in the trade against the embedded woods as they stand in the table. Nothing is
// bent to fit: where published figures disagree with a saying, the check says Conflict and shows both, with the range of
// other published samples beside them.
func TradeFacts(t *Table) []TradeFact {
	var out []TradeFact
	for _, s := range sayings {
		fact := TradeFact{Says: s.says, Source: "common practice"}
		for _, c := range s.claims {
			others := c.b
			if len(others) == 0 {
				for _, e := range t.lib.entries {
					if !slices.Contains(c.a, e.wood.ID) && !slices.Contains(c.not, e.wood.ID) {
						others = append(others, e.wood.ID)
					}
				}
			}
			for _, figure := range c.figure {
				for _, a := range c.a {
					for _, b := range others {
						fact.Checks = append(fact.Checks, t.compare(a, b, figure, c.is))
					}
				}
			}
		}
		out = append(out, fact)
	}
	return out
}

func (t *Table) compare(a, b, figure string, is comparison) TradeCheck {
	wa, _ := t.Wood(a)
	wb, _ := t.Wood(b)
	p, _ := propertyOf(figure)
	fa, fb := p.of(&wa), p.of(&wb)
	check := TradeCheck{Verdict: NotKnown, Text: fmt.Sprintf("%s of %s, %s, %s that of %s, %s", p.label, a, t.figureText(a, p, *fa),
		words[is], b, t.figureText(b, p, *fb))}
	switch {
	case !fa.Known() || !fb.Known():
	case is.holds(fa.Value, fb.Value):
		check.Verdict = Holds
	default:
		check.Verdict = Conflict
	}
	return check
}

// figureText is the figure with the span of the other samples found for it.
func (t *Table) figureText(id string, p property, f Figure) string {
	if !f.Known() {
		return "not known"
	}
	text := plain(f.Value) + " " + p.unit
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range t.Samples(id) {
		if s.Figure == p.name {
			low, high = min(low, s.Low), max(high, s.High)
		}
	}
	switch {
	case low > high:
	case low == high:
		text += fmt.Sprintf(" (another sample: %s)", plain(low))
	default:
		text += fmt.Sprintf(" (other samples: %s to %s)", plain(low), plain(high))
	}
	return text
}

// Conflicts are the comparisons of [TradeFacts] in which the table's figures contradict the trade, one a line with the
// saying they belong to.
func Conflicts(t *Table) []string {
	var out []string
	for _, fact := range TradeFacts(t) {
		var texts []string
		for _, c := range fact.Checks {
			if c.Verdict == Conflict {
				texts = append(texts, c.Text)
			}
		}
		if len(texts) > 0 {
			out = append(out, fmt.Sprintf("%q, but: %s", fact.Says, strings.Join(texts, "; ")))
		}
	}
	return out
}
