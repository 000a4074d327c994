package report

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"stavewright/optimize"
)

// mixesOf are the mixes of the sample's question, found by the search itself: it is small enough to be the same on every machine.
func mixesOf(t testing.TB, p *optimize.Program) *optimize.MixesResult {
	t.Helper()
	r, err := optimize.Mixes(context.Background(), p, optimize.MixesOptions{WithinPct: 4, Factors: sampleFactors})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func sampleMixes(t testing.TB) *optimize.MixesResult {
	t.Helper()
	return mixesOf(t, sampleMatchProgram(t))
}

func mixesBook(t testing.TB, r *optimize.MixesResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return MixesWorkbook(b, r) })
}

func TestMixesTerminal(t *testing.T) {
	r := sampleMixes(t)
	var all bytes.Buffer
	for _, width := range []int{80, 100} {
		fmt.Fprintf(&all, "=== %d columns\n", width)
		if err := MixesTerminal(&all, r, Style{Width: width}); err != nil {
			t.Fatal(err)
		}
		all.WriteByte('\n')
	}
	golden(t, "mixes-terminal.txt", all.Bytes())
	for width := minWidth; width <= 130; width += 10 {
		var b strings.Builder
		if err := MixesTerminal(&b, r, Style{Width: width}); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, "the sample", b.String(), width)
	}
	for _, hostile := range hostileTexts {
		p := sampleHostile(t, hostile).Program
		p.Limits.DesignLoadN = 500
		var b strings.Builder
		if err := MixesTerminal(&b, mixesOf(t, p), Style{Width: 100}); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, fmt.Sprintf("%.20q", hostile), b.String(), 100)
	}
}
