package sourcing_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stavewright/sourcing"
	"stavewright/species"
)

// Two folders of price sheets that measure the reader, each with its answers by hand, written before the reader was run on it. The lines of a want are those of a
// [want] with a price by m³, and
//
//	ask SHEET!CELL TOPIC | ANSWER | …   a line of goods that cannot be settled without asking
//	none SHEET!CELL WHY                 a line that looks like goods and is none
//	unknown SHEET!CELL NAME             a wood that the table of woods does not have
//
// The sheets of held are never looked at while the reader is worked on: of them only the score is told.
var scored = map[string]float64{"tuned": 3.5, "held": 5.5} // the least score, %

// A verdict is what became of a line of goods.
type verdict int

const (
	right   verdict = iota
	refused         // no offer, but a finding
	wrong           // another offer than a buyer would read, or one where there is none
	silent          // no word of it
)

var verdictNames = []string{"right", "refused", "wrong", "silent"}

// A scoreLine is a line of a want.
type scoreLine struct {
	word, sheet, cell, row, head string
	keys                         map[string]string
}

var scorePlace = regexp.MustCompile(`^([^!]*)!([A-Z]+)(\d+)\b *\|? ?(.*)$`)

func readScore(t *testing.T, path string) (src sourcing.Source, lines []scoreLine) {
	t.Helper()
	data, err := os.ReadFile(path)
	check(t, err)
	src = sourcing.Source{Supplier: "Sample supplier", Woods: species.Default()}
	for i, text := range strings.Split(string(data), "\n") {
		word, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
		switch word {
		case "", "#":
		case "currency":
			src.Currency = rest
		case "certified":
			src.Certified = true
		case "offer", "ask", "none", "unknown":
			m := scorePlace.FindStringSubmatch(rest)
			if m == nil {
				t.Fatalf("%s:%d: a line needs SHEET!CELL", path, i+1)
			}
			l := scoreLine{word: word, sheet: m[1], cell: m[2] + m[3], row: m[3], keys: map[string]string{}}
			parts := strings.Split(m[4], " | ")
			if word == "offer" {
				if len(parts) < 3 {
					t.Fatalf("%s:%d: an offer needs a wood, a size and a price", path, i+1)
				}
				l.head = strings.Join(parts[:3], " | ")
				for _, p := range parts[3:] {
					k, v, _ := strings.Cut(p, " ")
					l.keys[k] = strings.TrimSpace(v)
				}
			}
			lines = append(lines, l)
		default:
			if !strings.HasPrefix(word, "#") {
				t.Fatalf("%s:%d: %q is not understood", path, i+1, text)
			}
		}
	}
	return src, lines
}

// differs says in what an offer is not the one that a line wants; empty: in nothing that a purchase rests on.
func (l scoreLine) differs(o sourcing.Offer) string {
	var currency string
	var thick, wide, long, price float64
	parts := strings.Split(l.head, " | ")
	if _, err := fmt.Sscanf(parts[1], "%gx%gx%g", &thick, &wide, &long); err != nil {
		return "size " + parts[1] + ": " + err.Error()
	}
	if _, err := fmt.Sscanf(strings.Replace(parts[2], "/m3", "", 1), "%g %s", &price, &currency); err != nil {
		return "price " + parts[2] + ": " + err.Error()
	}
	off := func(a, b float64) bool { return math.Abs(a-b) > 0.6 }
	got := o.PricePerM3().InexactFloat64()
	keys := corpusKeys(o)
	switch {
	case o.Wood != parts[0]:
		return "wood " + o.Wood
	case off(o.Plank.ThicknessMM, thick):
		return fmt.Sprint("thickness ", o.Plank.ThicknessMM)
	case off(o.Plank.WidthMM, wide) && l.keys["width"] == "":
		return fmt.Sprint("width ", o.Plank.WidthMM)
	case off(o.Plank.LengthMM, long) && l.keys["length"] == "":
		return fmt.Sprint("length ", o.Plank.LengthMM)
	case o.Currency != currency:
		return "currency " + o.Currency
	case math.Abs(got-price) > 0.002*price:
		return fmt.Sprintf("price %.2f", got)
	case keys["certified"] != l.keys["certified"]:
		return "certified " + keys["certified"]
	}
	for _, k := range []string{"on", "valid"} {
		if v, named := l.keys[k]; named && keys[k] != v {
			return k + " " + keys[k]
		}
	}
	return ""
}

// TestScore measures how many lines of goods are read as a competent buyer reads them.
func TestScore(t *testing.T) {
	for folder, least := range scored {
		dir := filepath.Join("..", "testdata", "sheets", folder)
		paths := glob(t, filepath.Join(dir, "*.want"))
		var all [4]int
		for _, path := range paths {
			base := strings.TrimSuffix(path, ".want")
			files := slices.DeleteFunc(glob(t, base+".*"), func(f string) bool { return f == path })
			if len(files) != 1 {
				t.Errorf("%s belongs to %v, want one file", path, files)
				continue
			}
			src, lines := readScore(t, path)
			src.File = filepath.Base(files[0])
			data, err := os.ReadFile(files[0])
			check(t, err)
			offers, _, found := sourcing.ReadOffers(bytes.NewReader(data), src)
			var of [4]int
			for _, v := range judge(lines, offers, found) {
				of[v.verdict]++
				if folder == "tuned" && v.verdict != right {
					t.Logf("%s %s: %s %s", filepath.Base(base), v.place, verdictNames[v.verdict], v.why)
				}
			}
			for v := range of {
				all[v] += of[v]
			}
		}
		score := 100 * float64(all[right]) / float64(max(1, all[right]+all[refused]+all[wrong]+all[silent]))
		t.Logf("%s: %d sheets, %d lines right, %d refused, %d wrong, %d silent: %.1f %%", folder, len(paths), all[right], all[refused], all[wrong], all[silent], score)
		if score < least {
			t.Errorf("%s: %.1f %% of the lines are right, want at least %v", folder, score, least)
		}
	}
}

func glob(t *testing.T, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(pattern)
	check(t, err)
	return files
}

type judged struct {
	verdict    verdict
	place, why string
}

// judge holds what the reader makes of a file against the lines of its want.
func judge(lines []scoreLine, offers []sourcing.Offer, found sourcing.Findings) (out []judged) {
	used := make([]bool, len(offers))
	// The sheet of a text file has no name in a want.
	sheetIs := func(l scoreLine, sheet string) bool { return l.sheet == "" || l.sheet == sheet }
	at := func(l scoreLine) int {
		return slices.IndexFunc(offers, func(o sourcing.Offer) bool { return sheetIs(l, o.Sheet) && placeName(o.Row, o.Col) == l.cell })
	}
	said := func(l scoreLine) string {
		for _, f := range found {
			if cell := f.Cell(); f.Sheet == "" || sheetIs(l, f.Sheet) && (cell == "" || strings.TrimLeft(cell, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == l.row) {
				return f.Problem
			}
		}
		return ""
	}
	for _, l := range lines {
		j := judged{place: l.sheet + "!" + l.cell}
		i := at(l)
		if i >= 0 {
			used[i] = true
		}
		switch {
		case l.word == "none" && i < 0:
			continue // no line of goods
		case l.word != "offer" && i >= 0:
			j.verdict, j.why = wrong, fmt.Sprintf("%s, but %s", l.word, corpusHead(offers[i]))
		case i >= 0:
			if why := l.differs(offers[i]); why != "" {
				j.verdict, j.why = wrong, why+", want "+l.head
			}
		default:
			j.why = said(l)
			switch {
			case j.why == "":
				j.verdict = silent
			case l.word == "offer":
				j.verdict = refused
			}
		}
		out = append(out, j)
	}
	for i, o := range offers {
		if !used[i] {
			out = append(out, judged{wrong, o.Sheet + "!" + placeName(o.Row, o.Col), "not wanted: " + corpusHead(o)})
		}
	}
	return out
}
