package sourcing_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stavewright/sourcing"
	"stavewright/species"
)

// pasted is the row of the Columns sheet that an advice holds; ok is false where it holds none.
func pasted(advice, supplier string) (m sourcing.ColumnMeaning, ok bool) {
	_, row, ok := strings.Cut(advice, "add to the Columns sheet of the job book: ")
	if !ok {
		return m, false
	}
	parts := strings.Split(row, " | ")
	if len(parts) != 4 || parts[0] != supplier {
		return m, false
	}
	return sourcing.ColumnMeaning{Sheet: parts[1], Header: parts[2], Meaning: parts[3]}, true
}

// TestRowsReadyToPaste pastes every row that a finding of the corpus says to add to the Columns sheet, as it stands: it is understood, its header is
// met, and the finding is gone.
func TestRowsReadyToPaste(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(corpusDir, "*.want"))
	check(t, err)
	rows := 0
	for _, path := range paths {
		w := readWant(t, path)
		data, err := os.ReadFile(filepath.Join(corpusDir, w.file))
		check(t, err)
		_, _, found := sourcing.ReadOffers(bytes.NewReader(data), w.src)
		t.Run(strings.TrimSuffix(filepath.Base(path), ".want"), func(t *testing.T) {
			for _, f := range found {
				if !strings.Contains(f.Advice, "Columns sheet of the job book:") {
					continue
				}
				m, ok := pasted(f.Advice, w.src.Supplier)
				if !ok {
					t.Errorf("no row of four fields: %s", f)
					continue
				}
				rows++
				if err := sourcing.CheckMeaning(m.Meaning); err != nil {
					t.Errorf("%s\npasted: %v", f, err)
					continue
				}
				src := w.src
				src.Columns = append(append([]sourcing.ColumnMeaning(nil), w.src.Columns...), m)
				_, _, after := sourcing.ReadOffers(bytes.NewReader(data), src)
				for _, g := range after {
					if g.Sheet == f.Sheet && g.Row == f.Row && g.Col == f.Col && g.Problem == f.Problem {
						t.Errorf("%s\nis still there after pasting %+v", f, m)
					}
					if strings.Contains(g.Problem, "Columns sheet of the job book") && !strings.Contains(found.String(), g.Problem) {
						t.Errorf("%s\nafter pasting %+v: %s", f, m, g)
					}
				}
			}
		})
	}
	if rows < 12 {
		t.Errorf("%d rows: too few to prove anything", rows)
	}
}

// TestPasteKeepsTheRest: a row that settles one price column leaves what its header, and the other price columns, say of thickness and quantity.
func TestPasteKeepsTheRest(t *testing.T) {
	const breaks, matrix, random = "Wood;Thickness;Width;Length;from 1 m3;from 5 m3\nBalsa;25 mm;100 mm;2 m;1500;1400\n",
		"Wood;Width;Length;26 mm;32 mm\nBalsa;100 mm;2 m;1500;1400\n", "Wood;Thickness;Width;Length;EUR/m3\nBalsa;25 mm;RW;2 m;1500\n"
	for _, tt := range []struct {
		name, sheet string
		row         *sourcing.ColumnMeaning // nil: that of the one finding
		want        []string
	}{
		{"breaks", breaks, nil, []string{"25x100 1500 EUR/m3 from 1, 1400 from 5"}},
		{"matrix", matrix, nil, []string{"26x100 1500 EUR/m3 from 0", "32x100 1400 EUR/m3 from 0"}},
		{"random width", random, nil, []string{"25x120 1500 EUR/m3 from 0"}},
		{"one break", breaks, &sourcing.ColumnMeaning{Header: "from 1 m3", Meaning: "price EUR/m3 from 1 m3"}, []string{"25x100 1500 EUR/m3 from 1, 1400 from 5"}},
		{"one of a matrix", matrix, &sourcing.ColumnMeaning{Header: "26 mm", Meaning: "price EUR/m3 26 mm"}, []string{"26x100 1500 EUR/m3 from 0", "32x100 1400 EUR/m3 from 0"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			src := sourcing.Source{Supplier: "Nord", File: "nord.csv", Currency: "EUR", Woods: species.Default()}
			_, _, found := sourcing.ReadOffers(strings.NewReader(tt.sheet), src)
			if len(found.Errors()) != 1 {
				t.Fatalf("want one finding: %s", found)
			}
			if tt.row == nil {
				row, ok := pasted(found.Errors()[0].Advice, "Nord")
				if !ok {
					t.Fatalf("no row to paste: %s", found)
				}
				tt.row = &row
			}
			src.Columns = []sourcing.ColumnMeaning{*tt.row}
			offers, _, found := sourcing.ReadOffers(strings.NewReader(tt.sheet), src)
			var got []string
			for _, o := range offers {
				s := fmt.Sprintf("%vx%v %s %s/%s from %s", o.Plank.ThicknessMM, o.Plank.WidthMM, o.Price, o.Currency, o.Unit, o.MinQuantity)
				for _, b := range o.Breaks {
					s += fmt.Sprintf(", %s from %s", b.Price, b.From)
				}
				got = append(got, s)
			}
			if !slices.Equal(got, tt.want) || len(found) > 0 {
				t.Errorf("after %+v: %q, want %q\n%s", *tt.row, got, tt.want, found)
			}
		})
	}
}
