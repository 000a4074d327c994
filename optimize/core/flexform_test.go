package core_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "stavewright/optimize/core"
)

func prepare(t testing.TB, b *Board) *Prepared {
	t.Helper()
	p, err := b.Prepare()
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// spanC is C of the layout by node of the flex, summed over groups and woods as a search sums it.
func spanC(b *Board, p *Prepared, l Layout) []float64 {
	c := make([]float64, len(p.FlexNodes()))
	for _, g := range b.Groups() {
		for _, strip := range g.Strips {
			for i, add := range p.FlexC(g, l[strip]) {
				c[i] += add
			}
		}
	}
	return c
}

func TestFlexFormAgainstEvaluate(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		p := prepare(t, b)
		c := spanC(b, p, l)
		flex := evaluate(t, b, l).Flex
		near(t, "bare", 1/p.FlexForm(Bare).Compliance(c), flex.CoreNPerMM, rounding)
		near(t, "pressed", 1/p.FlexForm(Pressed).Compliance(c), flex.PressedNPerMM, rounding)
		var f float64
		for i, n := range p.FlexNodes() {
			f += n.Weight / n.Section(Pressed).EI(c[i])
			if n.Section(Bare) != n.Bare || n.Bare.A0N != 0 {
				t.Fatal("the bare section is not bare")
			}
		}
		near(t, "by its nodes", 1/f, flex.PressedNPerMM, rounding)
		g := b.Groups()[rng.IntN(len(b.Groups()))]
		wood := rng.IntN(len(b.Woods))
		for i, add := range p.FlexC(g, wood) {
			near(t, "one strip", add, b.StripC(g, wood, p.FlexNodes()[i].XMM), rounding)
		}
	})
}

func TestFlexGradientAgainstDifferences(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		p := prepare(t, b)
		c := spanC(b, p, l)
		for _, s := range []Section{Bare, Pressed} {
			form := p.FlexForm(s)
			slope := make([]float64, len(c))
			if f := form.Gradient(c, slope); f != form.Compliance(c) {
				t.Errorf("%s: compliance %g and %g", s, f, form.Compliance(c))
			}
			// Along a direction, by central differences; at one node the sum would drown its change.
			up, down := slices.Clone(c), slices.Clone(c)
			var want float64
			for i := range c {
				d := 1e-4 * c[i] * rng.Float64()
				up[i], down[i] = c[i]+d, c[i]-d
				want += 2 * d * slope[i]
				if !(slope[i] <= 0) {
					t.Fatalf("%s: slope %g at node %d", s, slope[i], i)
				}
			}
			near(t, string(s), form.Compliance(up)-form.Compliance(down), want, 1e-6)
		}
	})
}

// The deflection is convex in C, so no tangent cuts off anything, and its middle is never above its chord.
func TestFlexIsConvex(t *testing.T) {
	forBoards(t, func(t *testing.T, rng *rand.Rand, b *Board, l Layout) {
		p := prepare(t, b)
		from, to := spanC(b, p, l), spanC(b, p, anyLayout(rng, b))
		for _, s := range []Section{Bare, Pressed} {
			form := p.FlexForm(s)
			slope, between := make([]float64, len(from)), make([]float64, len(from))
			f, u := form.Gradient(from, slope), rng.Float64()
			tangent := f
			for i := range from {
				tangent += slope[i] * (to[i] - from[i])
				between[i] = (1-u)*from[i] + u*to[i]
			}
			g := form.Compliance(to)
			if give := rounding * max(f, g); g < tangent-give || form.Compliance(between) > (1-u)*f+u*g+give {
				t.Errorf("%s: at the ends %g and %g, between %g, tangent %g", s, f, g, form.Compliance(between), tangent)
			}
		}
	})
}

func TestFlexWithoutSpan(t *testing.T) {
	b := byHand()
	b.SpanMM = 0
	p := prepare(t, b)
	if f := p.FlexForm(Pressed).Compliance(nil); len(p.FlexNodes()) != 0 || len(p.FlexC(b.Groups()[0], 0)) != 0 || f != 0 || math.Signbit(f) {
		t.Errorf("%d nodes and compliance %g of nothing", len(p.FlexNodes()), f)
	}
}
