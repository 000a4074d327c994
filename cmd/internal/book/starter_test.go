package book

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stavewright/optimize"
)

// demoDir is where the starter stands as the repository's demo.
const demoDir = "../../../testdata/demo"

// The demo in testdata is what the starter writes, byte for byte; -update writes it.
func TestDemoIsStarter(t *testing.T) {
	files, err := starter()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		path := filepath.Join(demoDir, f.Name)
		if *update {
			if err := os.WriteFile(path, f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		have, err := os.ReadFile(path)
		if err != nil {
			t.Errorf("%v; run go test ./cmd/internal/book -update", err)
		} else if !bytes.Equal(have, f.Data) {
			t.Errorf("%s is not what Starter writes; run go test ./cmd/internal/book -update", path)
		}
	}
}

// Written twice, the starter is the same bytes.
func TestStarterTwice(t *testing.T) {
	first, err := starter()
	if err != nil {
		t.Fatal(err)
	}
	second, err := Starter()
	if err != nil {
		t.Fatal(err)
	}
	for i := range first {
		if first[i].Name != second[i].Name || !bytes.Equal(first[i].Data, second[i].Data) {
			t.Errorf("%s differs when written again", first[i].Name)
		}
	}
}

// The starter's book reads without a word, and its price sheets too.
func TestStarterIsClean(t *testing.T) {
	job, found := readBook(t, starterFile(t, JobFile))
	if len(found) > 0 {
		t.Fatalf("findings:\n%v", found)
	}
	if n := len(job.Models); n != 7 {
		t.Errorf("%d models, want 7", n)
	}
	if offers := demoOffers(t, job); len(offers) != 28 {
		t.Errorf("%d offers, want 28", len(offers))
	}
}

// The demo's figures lie in the magnitudes of a board of 150 to 160 cm.
func TestDemoMagnitudes(t *testing.T) {
	const source = "mechanics checks, section 4: plausible magnitudes, estimated from worked board K3"
	job := mustRead(t, starterFile(t, JobFile))
	offers := demoOffers(t, job)
	for _, m := range job.Models {
		t.Run(m.Name, func(t *testing.T) {
			p, found := job.Program(m.Name, offers)
			if p == nil {
				t.Fatal(found)
			}
			if len(m.Stations) != 21 {
				t.Errorf("%d stations, want 21", len(m.Stations))
			}
			f, err := p.Board.Evaluate(p.Reference)
			if err != nil {
				t.Fatal(err)
			}
			contact := f.Stations[5] // 20 % of the length
			for _, c := range []struct {
				what           string
				got, low, high float64
			}{
				{"EI in the middle, N·m²", f.Measure.PressedEINM2, 150, 330},
				{"EI of the bare core in the middle, N·m²", f.Measure.CoreEINM2, 55, 120}, // soft park board a little below the table's 60
				{"EI near the contact line, N·m²", contact.PressedEINM2, 20, 70},
				{"share of the core in EI", f.Measure.CoreShare, 0.3, 0.45},
				{"flex over 1000 mm, N/mm", f.Flex.PressedNPerMM, 5.5, 12},
				{"bare core flex over 1000 mm, N/mm", f.Flex.CoreNPerMM, 1.8, 3.8},
				{"core volume, cm³", f.VolumeCM3, 1300, 1900},
				{"core mass, g", f.CoreMassG, 550, 1100},
				{"total mass, g", f.PressedMassG, 2200, 3200}, // without inserts and tip filler
				{"CV of C, %", f.Scatter.CPct, 3.3, 5.8},
				{"CV of EI, %", f.Scatter.EIPct, 1.2, 2.5},
				{"shear part of deflection, %", f.Flex.ShearPct, 0.1, 0.4},
				{"neutral axis, mm (below the middle: the base side is stiffer)", f.Measure.AxisMM, -1, -0.1},
			} {
				if c.got < c.low || c.got > c.high {
					t.Errorf("%s is %.4g, want %g to %g (%s)", c.what, c.got, c.low, c.high, source)
				}
			}
			if !f.PressedMassKnown || !f.Flex.Known || !f.Scatter.Known {
				t.Error("a figure of the demo is not known")
			}
		})
	}
}

// Every reference of the demo keeps every limit, so that its front exists.
func TestDemoReferences(t *testing.T) {
	job := mustRead(t, starterFile(t, JobFile))
	offers := demoOffers(t, job)
	for _, m := range job.Models {
		p, found := job.Program(m.Name, offers)
		if p == nil {
			t.Fatal(found)
		}
		c, err := optimize.Check(p, p.Reference)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Broken) > 0 {
			t.Errorf("the reference of %s breaks %v", m.Name, c.Broken)
		}
		if len(p.Candidates) < 8 {
			t.Errorf("%s has %d candidates, want 8 or more", m.Name, len(p.Candidates))
		}
		for _, c := range p.Candidates {
			for k, u := range c.At {
				if u.Allowed && !u.StripCost.IsPositive() {
					t.Errorf("%s at %s of %s has no price", p.Board.Woods[c.Wood].ID, p.Board.Positions[k].Name, m.Name)
				}
			}
		}
	}
}

// The starter as a person sees it: every sheet with its frozen first row, notes, lists and cells.
func TestStarterGolden(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(starterFile(t, JobFile)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var b strings.Builder
	for _, name := range f.GetSheetList() {
		fmt.Fprintf(&b, "== %s\n", name)
		panes, err := f.GetPanes(name)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "frozen: %d columns, %d rows\n", panes.XSplit, panes.YSplit)
		lists, err := f.GetDataValidations(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range lists {
			fmt.Fprintf(&b, "list %s: %s\n", d.Sqref, d.Formula1)
		}
		notes, err := f.GetComments(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range notes {
			var text strings.Builder
			for _, r := range n.Paragraph {
				text.WriteString(r.Text)
			}
			fmt.Fprintf(&b, "note %s: %s\n", n.Cell, strings.ReplaceAll(text.String(), "\n", " / "))
		}
		rows, err := f.GetRows(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			if len(row) > 0 {
				fmt.Fprintf(&b, "%d\t%s\n", i+1, strings.Join(row, "\t"))
			}
		}
	}
	golden(t, "book-starter.txt", b.String())
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("../../../testdata/golden", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; run go test ./cmd/internal/book -update", err)
	}
	if string(want) != got {
		w, g := strings.Split(string(want), "\n"), strings.Split(got, "\n")
		for i := range g {
			if i >= len(w) || w[i] != g[i] {
				t.Fatalf("%s, line %d: %q is not what it was; run with -update and read the diff", path, i+1, g[i])
			}
		}
		t.Fatalf("%s has more lines than are written now", path)
	}
}

// Every header of the starter is one that the reader knows, so the two can never drift apart.
func TestHeadersAreKnown(t *testing.T) {
	for i := range sheets {
		for k, c := range sheets[i].Columns {
			if at, problem := match(&sheets[i], c.Header()); at != k || problem != "" {
				t.Errorf("%s: header %q is read as column %d (%s), want %d", sheets[i].Name, c.Header(), at, problem, k)
			}
		}
	}
}

// Every sheet and every column of the job book is written by the starter.
func TestStarterIsWhole(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(starterFile(t, JobFile)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, s := range sheets {
		for i, c := range s.Columns {
			if got, err := f.GetCellValue(s.Name, cellName(i+1, 1)); err != nil || got != c.Header() {
				t.Errorf("%s!%s is %q (%v), want %q", s.Name, cellName(i+1, 1), got, err, c.Header())
			}
		}
	}
}
