package report

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// sampleShop is the shop sheet of the sample's reference: 26 strips, its edges pre-strained, one limit broken.
func sampleShop(t testing.TB) *ShopJob {
	t.Helper()
	j := ShopOfCheck(sampleCheck(t), "the reference")
	j.Blank = sourcing.Blank{LengthMM: 1600, ThicknessMM: 8.5}
	j.MoisturePct, j.PlaningMM, j.Boards, j.ScrapPct, j.NeededBy = 8, 0.5, 120, 2.5, "2027-03-15"
	return j
}

func shopPage(t testing.TB, j *ShopJob) []byte {
	t.Helper()
	return render(t, func(w io.Writer) error { return ShopPage(w, j) })
}

func shopNamed(t testing.TB, name string) *ShopJob {
	t.Helper()
	c := sampleCheck(t)
	nameAll(c.Program, name)
	c.Broken = []string{name}
	j := ShopOfCheck(c, "point 1 of "+name)
	j.Blank, j.NeededBy = sourcing.Blank{LengthMM: 1600, ThicknessMM: 8.5}, name
	return j
}

// The strips to cut, the glue-up and the mirror of a shop sheet are counted here from the layout itself, by other means: a strip's
// place is found from its position alone.
func TestShopSheetOfSample(t *testing.T) {
	j := sampleShop(t)
	s, err := newShopSheet(j)
	if err != nil {
		t.Fatal(err)
	}
	// Middle: 3 strips of 10 mm on the centre line; a side has 4 and 3 of 14 mm and 3 of 10 mm: 3·10 + 2·(7·14 + 3·10) = 286 mm.
	if s.Strips != 23 || s.WidthMM != 286 || s.Cores != 123 {
		t.Errorf("%d strips, %v mm wide, %d cores; want 23, 286 and 123 (120 and 2.5 %% more)", s.Strips, s.WidthMM, s.Cores)
	}
	at := 0.0
	for i, p := range s.Pieces {
		mate := s.Pieces[s.Strips-1-i]
		if p.Letter != mate.Letter || p.Position != mate.Position || math.Abs(p.LeftMM-(s.WidthMM-mate.Right)) > 1e-9 {
			t.Errorf("strip %d (%s, %v mm) does not mirror strip %d (%s)", i+1, p.Letter, p.LeftMM, s.Strips-i, mate.Letter)
		}
		if width := j.Program.Board.Positions[p.Position].StripWidthMM; math.Abs(p.LeftMM-at) > 1e-9 || math.Abs(p.Right-p.LeftMM-width) > 1e-9 {
			t.Errorf("strip %d lies from %v to %v mm, want from %v and %v wide", i+1, p.LeftMM, p.Right, at, width)
		}
		at = p.Right
	}
	var cuts []string
	for _, c := range s.Cuts {
		cuts = append(cuts, fmt.Sprintf("%d of %s, %v mm, ripped at %v: %d", c.PerCore, c.Mark.Wood.ID, c.WidthMM, c.RipMM, c.All))
	}
	// Reference: poplar in the middle (3), inner (8) and one binding strip a side (2); beech in binding (4) and edge (6).
	want := []string{
		"10 of poplar-hybrid, 14 mm, ripped at 15: 1230", "3 of poplar-hybrid, 10 mm, ripped at 11: 369",
		"4 of beech-european, 14 mm, ripped at 15: 492", "6 of beech-european, 10 mm, ripped at 11: 738",
	}
	if !slices.Equal(cuts, want) {
		t.Errorf("cuts are %q, want %q", cuts, want)
	}
	// The blank of 1600 mm is 40 mm longer than the core: 20 mm at each end. Thickness at 780 mm is 7.4 of 8.5.
	if row := s.Mill[5]; row.FromEndMM != 800 || row.ThickMM != 7.4 || math.Abs(row.OffMM-1.1) > 1e-9 || !row.Measured {
		t.Errorf("the measuring station is %+v", row)
	}
	// 22 joints of 1.6 m by 8.5 mm at 180 g/m²: 53.856 g.
	if math.Abs(s.GlueG-53.856) > 1e-9 {
		t.Errorf("glue %v g", s.GlueG)
	}
	// Poplar 10·14 + 3·10 = 170 mm of 460 kg/m³, beech 4·14 + 6·10 = 116 mm of 680, times 8.5 by 1600 mm: 2136.288 g.
	if math.Abs(s.BlankG-2136.288) > 1e-6 {
		t.Errorf("the blank weighs %v g", s.BlankG)
	}
	// 2 per mille of 1600 mm.
	if first := s.Runs[0]; first.PreStrain != 0.002 || math.Abs(first.StretchMM-3.2) > 1e-9 || first.MirrorLast != 23 {
		t.Errorf("the left edge is %+v", first)
	}
}

func TestShopCores(t *testing.T) {
	for _, tt := range []struct {
		boards int
		scrap  float64
		want   int
	}{{0, 5, 0}, {100, 0, 100}, {100, 7, 107}, {10, 5, 11}, {240, 3, 248}, {1000, 0.1, 1001}} {
		if got := cores(tt.boards, tt.scrap); got != tt.want {
			t.Errorf("%d boards and %v %% scrap: %d cores, want %d", tt.boards, tt.scrap, got, tt.want)
		}
	}
}

// A blank that is too small for the core is said before anything else.
func TestShopWarnsOfSmallBlank(t *testing.T) {
	j := sampleShop(t)
	j.Blank = sourcing.Blank{LengthMM: 1500, ThicknessMM: 7}
	s, err := newShopSheet(j)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(s.Minds, "\n")
	for _, want := range []string{"1500 mm long and the core 1560 mm", "7 mm thick and the core is to be 7.40 mm at 780 mm", "Breaks a limit", "glued in under strain"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said in %q", want, all)
		}
	}
}

func TestShopOfMatchHasTheTrimmedProfile(t *testing.T) {
	r := sampleMatch(t)
	j, err := ShopOfMatch(r)
	if err != nil {
		t.Fatal(err)
	}
	j.Blank = sourcing.Blank{LengthMM: 1600, ThicknessMM: 12}
	s, err := newShopSheet(j)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range s.Mill {
		if want := r.Board.Stations[i].TrimmedMM; row.ThickMM != want {
			t.Errorf("at %v mm the core is %v mm thick, want %v", row.FromTipMM, row.ThickMM, want)
		}
	}
	none := sampleMatches(t)["infeasible"]
	if j, err := ShopOfMatch(none); j != nil || err != nil {
		t.Errorf("a shop sheet of nothing: %v, %v", j, err)
	}
}

func TestShopOfFrontIsTheKnee(t *testing.T) {
	r := sampleFront(t)
	if j := ShopOfFront(r); j.Point.ID != 4 || !strings.Contains(j.Of, "knee") {
		t.Errorf("point %d: %s", j.Point.ID, j.Of)
	}
	r.Points[3].Knee = false
	if j := ShopOfFront(r); j.Point.ID != 1 {
		t.Errorf("without a knee, point %d", j.Point.ID)
	}
	r.Points = nil
	if ShopOfFront(r) != nil {
		t.Error("a shop sheet of no point")
	}
}

func TestShopPads(t *testing.T) {
	j := sampleShop(t)
	j.Program.Board.Pads = []core.Pad{{Position: 2, FromMM: 700, ToMM: 850, Wood: 2}}
	f, err := j.Program.Board.Evaluate(j.Point.Layout)
	if err != nil {
		t.Fatal(err)
	}
	j.Point.Figures = f
	s, err := newShopSheet(j)
	if err != nil {
		t.Fatal(err)
	}
	// Binding lies beyond half the middle (15 mm) and the inner 4·14.
	if len(s.Pads) != 1 || s.Pads[0].InnerMM != 71 || s.Pads[0].Outer != 113 {
		t.Errorf("pads are %+v", s.Pads)
	}
	if page := string(shopPage(t, j)); !strings.Contains(page, "Pads, wood turned across the board") || !strings.Contains(page, "71–113") {
		t.Error("the page does not show the pad")
	}
}

func TestShopGolden(t *testing.T) {
	path := filepath.Join("..", "..", "..", "testdata", "golden", "shop.html")
	got := shopPage(t, sampleShop(t))
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
		t.Errorf("the shop sheet differs from %s: run with -update and read the difference", path)
	}
}

func shopBook(t testing.TB, j *ShopJob) []byte {
	t.Helper()
	return render(t, func(w io.Writer) error { return ShopWorkbook(w, j) })
}

func TestShopWorkbook(t *testing.T) {
	first, second := shopBook(t, sampleShop(t)), shopBook(t, sampleShop(t))
	if !bytes.Equal(first, second) || !bytes.Equal(shopPage(t, sampleShop(t)), shopPage(t, sampleShop(t))) {
		t.Error("two shop sheets of one layout differ")
	}
	f, err := excelize.OpenReader(bytes.NewReader(first))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got := f.GetSheetList(); !slices.Equal(got, []string{"Shop sheet", "Strips to cut", "Glue-up", "Profile to mill", "Cautions"}) {
		t.Fatalf("sheets %q", got)
	}
	for _, tt := range []struct{ sheet, cell, want string }{
		{"Strips to cut", "C2", "14"}, {"Strips to cut", "G2", "10"}, {"Strips to cut", "H2", "1230"}, {"Strips to cut", "H1", "For 123 cores"},
		{"Glue-up", "A2", "1–3"}, {"Glue-up", "G2", "21–23"}, {"Glue-up", "C2", "European beech"},
		{"Profile to mill", "B7", "800"}, {"Profile to mill", "D7", "7.4"},
	} {
		got, err := f.GetCellValue(tt.sheet, tt.cell, excelize.Options{RawCellValue: true})
		if err != nil || got != tt.want {
			t.Errorf("%s!%s is %q, %v; want %q", tt.sheet, tt.cell, got, err, tt.want)
		}
	}
}
