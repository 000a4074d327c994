package sourcing_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"stavewright/sourcing"
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
