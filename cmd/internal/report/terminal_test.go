package report

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/species"
)

// golden compares bytes with a file of testdata/golden, or writes it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("..", "..", "..", "testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs: run with -update and read the difference; got\n%s", path, got)
	}
}

func TestTerminalGolden(t *testing.T) {
	stopped := sampleFront(t)
	stopped.Complete, stopped.Why, stopped.Unsearched = false, "time limit", "EI above 269.34 N·m² was not searched"
	costly := sampleFront(t)
	costly.Objectives = append(costly.Objectives, optimize.Cost)
	var all bytes.Buffer
	published := species.Default()
	used, err := published.As(species.Standard)
	if err != nil {
		t.Fatal(err)
	}
	woods := func(s Style) error {
		return WoodsTerminal(&all, used, published, species.Standard, species.SpecificStiffness, s)
	}
	for _, tt := range []struct {
		name  string
		write func() error
	}{
		{"front, 80 columns", func() error { return FrontTerminal(&all, sampleFront(t), Style{}) }},
		{"front, 100 columns", func() error { return FrontTerminal(&all, sampleFront(t), Style{Width: 100}) }},
		{"front, 60 columns, stopped, with colour", func() error { return FrontTerminal(&all, stopped, Style{Width: 60, Colour: true}) }},
		{"front of three objectives, 100 columns", func() error { return FrontTerminal(&all, costly, Style{Width: 100}) }},
		{"front of a job without anything that may be missing", func() error { return FrontTerminal(&all, sampleBare(t), Style{}) }},
		{"nothing feasible", func() error { return FrontTerminal(&all, sampleInfeasible(t), Style{}) }},
		{"nothing feasible, 100 columns", func() error { return FrontTerminal(&all, sampleInfeasible(t), Style{Width: 100}) }},
		{"check, 80 columns", func() error { return CheckTerminal(&all, sampleCheck(t), Style{}) }},
		{"check, 100 columns", func() error { return CheckTerminal(&all, sampleCheck(t), Style{Width: 100}) }},
		{"woods, 80 columns", func() error { return woods(Style{}) }},
		{"woods, 100 columns", func() error { return woods(Style{Width: 100}) }},
	} {
		fmt.Fprintf(&all, "=== %s\n", tt.name)
		if err := tt.write(); err != nil {
			t.Fatal(err)
		}
		all.WriteByte('\n')
	}
	golden(t, "report-terminal.txt", all.Bytes())
}

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

// checkWidth complains of lines wider than the terminal, and of characters that steer one.
func checkWidth(t *testing.T, what, out string, width int) {
	t.Helper()
	for i, line := range strings.Split(out, "\n") {
		if n := columnsOf(escapes.ReplaceAllString(line, "")); n > width {
			t.Errorf("%s: line %d is %d wide of %d: %s", what, i+1, n, width, line)
		}
		if strings.ContainsAny(line, "\x00\x1b\r\t\u202e\ufffd") {
			t.Errorf("%s: line %d holds a character that steers the terminal: %q", what, i+1, line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("%s: line %d ends in a space: %q", what, i+1, line)
		}
	}
}

func TestTerminalFitsItsWidth(t *testing.T) {
	for width := minWidth; width <= 130; width += 5 {
		var b strings.Builder
		for _, err := range []error{FrontTerminal(&b, sampleFront(t), Style{Width: width}), CheckTerminal(&b, sampleCheck(t), Style{Width: width}),
			FrontTerminal(&b, sampleLong(t, 300), Style{Width: width}), InfeasibleTerminal(&b, sampleInfeasible(t), Style{Width: width})} {
			if err != nil {
				t.Fatal(err)
			}
		}
		checkWidth(t, "the sample", b.String(), width)
	}
	for _, hostile := range hostileTexts {
		var b strings.Builder
		r := sampleHostile(t, hostile)
		if err := FrontTerminal(&b, r, Style{Width: 100}); err != nil {
			t.Fatal(err)
		}
		if err := CheckTerminal(&b, &optimize.CheckResult{Program: r.Program, Point: r.Points[0], Broken: []string{hostile}}, Style{Width: 100}); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, fmt.Sprintf("%.20q", hostile), b.String(), 100)
	}
}

func TestLongFrontShowsItsMarks(t *testing.T) {
	const n = 300
	r := sampleLong(t, n)
	shown := selection(r.Points)
	if len(shown) < someRows || len(shown) > someRows+2 {
		t.Errorf("%d of %d points shown", len(shown), n)
	}
	ids := map[int]bool{}
	for i, p := range shown {
		ids[p.ID] = true
		if i > 0 && p.ID <= shown[i-1].ID {
			t.Errorf("point %d after %d", p.ID, shown[i-1].ID)
		}
	}
	for _, id := range []int{1, n, n/3 + 2, n/2 + 2} { // the ends, the knee, the cheapest
		if !ids[id] {
			t.Errorf("point %d is not shown", id)
		}
	}
	if got := len(selection(r.Points[:maxRows])); got != maxRows {
		t.Errorf("%d of %d points shown", got, maxRows)
	}
	var b strings.Builder
	if err := FrontTerminal(&b, r, Style{}); err != nil {
		t.Fatal(err)
	}
	if want := fmt.Sprintf("%d of %d points are shown", len(shown), n); !strings.Contains(b.String(), want) {
		t.Errorf("the table does not say %q", want)
	}
}

func TestWoodsTerminal(t *testing.T) {
	published := species.Default()
	used, err := published.As(species.Standard)
	if err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{80, 100} {
		for _, by := range species.Criteria() {
			var b strings.Builder
			if err := WoodsTerminal(&b, used, published, species.Standard, by, Style{Width: width}); err != nil {
				t.Fatal(err)
			}
			out := b.String()
			checkWidth(t, string(by), out, width)
			table, _, _ := strings.Cut(out, "m from memory")
			for _, w := range used.Woods() {
				if n := strings.Count(table, " "+w.ID+" "); n != 1 {
					t.Errorf("by %s, %d columns: %s stands %d times in the table", by, width, w.ID, n)
				}
			}
			if !strings.Contains(table, "at 12 % moisture, table moduli raised by 10 %") {
				t.Errorf("by %s: the conditions are not said", by)
			}
		}
	}
	// published: figures of quaking aspen, as shown | Wood Handbook FPL-GTR-282 (2021), Table 5-3b; density by Eq. 4-14 | read, density derived | exact as printed: the table shows whole figures
	// Read in Wood Handbook FPL-GTR-282 Table 5-3b: quaking aspen 0.38 (426 kg/m³ by Eq. 4-14), 8.1 GPa (8.91 raised), 58 MPa, 1600 N.
	var b strings.Builder
	if err := WoodsTerminal(&b, used, published, species.Standard, species.SpecificStiffness, Style{Width: 100}); err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(b.String()) {
		if f := strings.Fields(line); len(f) > 1 && f[1] == "aspen-quaking" {
			if got, want := strings.Join(f[3:8], " "), "426 8.91 8.1 58 1600"; got != want {
				t.Errorf("quaking aspen: %s, want %s", got, want)
			}
			return
		}
	}
	t.Error("no line of quaking aspen")
}
