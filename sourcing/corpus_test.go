package sourcing_test

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
	"stavewright/species"
)

// corpusDir holds price sheets as suppliers really send them, all invented; ../README.md there lists what each one shows.
// NAME.want says what a careful buyer expects of the file, written by hand before the reader had seen it; NAME.golden is
// all that the reader says, every word of it, written with -update and read by a person.
var corpusDir = filepath.Join("..", "testdata", "sheets", "corpus")

// A want is the hand-written answer to a file of the corpus. Its lines are
//
//	file NAME                       the file, where it is not named as the want is
//	currency EUR                    what the job book says of the supplier, as the next two
//	certified
//	column SHEET | HEADER | MEANING
//	offer SHEET!CELL | WOOD | TxWxL mm | PRICE CUR/UNIT | KEY VALUE | …
//	finding SHEET!PLACE WORDS       a finding at that cell (G5), row (5), column (G) or anywhere in the sheet (no place)
//	may SHEET!PLACE                 a finding that can be there or not
//
// Every offer must be there, in order, and no other. Of the keys min, pack, available, breaks, certified and ready those not
// named must be unset ("pack ?" leaves it open); others are compared where they are named. Every finding must be there, and
// every finding that is no mere warning must be called for.
type want struct {
	file     string
	src      sourcing.Source
	offers   []wantOffer
	findings []wantFinding
}

type wantOffer struct {
	cell, head string // SHEET!CELL; wood, size and price
	keys       map[string]string
}

type wantFinding struct {
	sheet, place, words string
	optional            bool
}

// strictKeys must be unset where a want does not name them.
var strictKeys = []string{"min", "pack", "available", "breaks", "certified", "ready"}

func readWant(t *testing.T, path string) want {
	t.Helper()
	data, err := os.ReadFile(path)
	check(t, err)
	w := want{src: sourcing.Source{Supplier: "Sample supplier", Woods: species.Default()}}
	for i, line := range strings.Split(string(data), "\n") {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		parts := strings.Split(rest, " | ")
		switch {
		case word == "" || strings.HasPrefix(word, "#"):
		case word == "file":
			w.file = rest
		case word == "currency":
			w.src.Currency = rest
		case word == "certified":
			w.src.Certified = true
		case word == "column" && len(parts) == 3:
			w.src.Columns = append(w.src.Columns, sourcing.ColumnMeaning{Sheet: parts[0], Header: parts[1], Meaning: parts[2]})
		case word == "offer" && len(parts) >= 4:
			o := wantOffer{cell: parts[0], head: strings.Join(parts[1:4], " | "), keys: map[string]string{}}
			for _, p := range parts[4:] {
				k, v, _ := strings.Cut(p, " ")
				o.keys[k] = v
			}
			w.offers = append(w.offers, o)
		case word == "finding" || word == "may":
			m := wantPlace.FindStringSubmatch(rest)
			if m == nil {
				t.Fatalf("%s:%d: a finding needs SHEET!PLACE", path, i+1)
			}
			w.findings = append(w.findings, wantFinding{sheet: m[1], place: m[2], words: m[3], optional: word == "may"})
		default:
			t.Fatalf("%s:%d: %q is not understood", path, i+1, line)
		}
	}
	if w.file == "" {
		base := strings.TrimSuffix(path, ".want")
		for _, ext := range []string{".xlsx", ".xlsm", ".csv", ".xls", ".ods", ".pdf"} {
			if _, err := os.Stat(base + ext); err == nil {
				w.file = filepath.Base(base + ext)
			}
		}
	}
	w.src.File = w.file
	return w
}

var wantPlace = regexp.MustCompile(`^([^!]*)!([A-Z]*\d*)(?: (.*))?$`)

// at reports whether a finding stands at the wanted place and says the wanted words.
func (w wantFinding) at(f sourcing.Finding) bool {
	if f.Sheet != w.sheet || !strings.Contains(f.Problem+"; "+f.Advice, w.words) {
		return false
	}
	cell := f.Cell()
	switch letters := strings.TrimRight(w.place, "0123456789"); {
	case w.place == "":
		return true
	case letters == "":
		return strconv.Itoa(f.Row) == w.place
	case letters == w.place:
		return strings.TrimRight(cell, "0123456789") == letters
	}
	return cell == w.place
}

// corpusKeys is what of an offer a want can name.
func corpusKeys(o sourcing.Offer) map[string]string {
	keys := map[string]string{}
	set := func(key string, is bool, v any) {
		if is {
			keys[key] = strings.TrimSpace(fmt.Sprint(v))
		}
	}
	set("grade", o.Grade != "", o.Grade)
	set("nominal", o.NominalMM != 0, o.NominalMM)
	set("min", !o.MinQuantity.IsZero(), o.MinQuantity)
	set("pack", !o.PackSize.IsZero(), o.PackSize)
	set("available", o.HasAvailable, o.Available)
	set("certified", o.Certified, "yes")
	set("ready", o.ReadyStrip, "yes")
	set("lead", o.LeadTimeDays != 0, o.LeadTimeDays)
	set("moisture", o.Moisture != "", o.Moisture)
	set("valid", !o.ValidUntil.IsZero(), o.ValidUntil.Format(time.DateOnly))
	set("on", !o.ReadyOn.IsZero(), o.ReadyOn.Format(time.DateOnly))
	set("width", o.Width != sourcing.Span{}, corpusSpan(o.Width))
	set("length", o.Length != sourcing.Span{}, corpusSpan(o.Length))
	var breaks []string
	for _, b := range o.Breaks {
		breaks = append(breaks, fmt.Sprintf("%s:%s", b.From, b.Price))
	}
	if o.Incremental {
		breaks = append(breaks, "incremental")
	}
	set("breaks", breaks != nil, strings.Join(breaks, " "))
	set("yield", o.YieldPct != 0, fmt.Sprintf("%.2f", o.YieldPct))
	return keys
}

// corpusSpan is a span as "100-180", "100-", "mean 182.88", with "random" behind where it is called so.
func corpusSpan(s sourcing.Span) string {
	var parts []string
	mm := func(v float64) string {
		if v == 0 {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	if s.LowMM != 0 || s.HighMM != 0 {
		parts = append(parts, mm(s.LowMM)+"-"+mm(s.HighMM))
	}
	if s.MeanMM != 0 {
		parts = append(parts, "mean "+mm(s.MeanMM))
	}
	if s.Random {
		parts = append(parts, "random")
	}
	return strings.Join(parts, " ")
}

func corpusHead(o sourcing.Offer) string {
	mm := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return fmt.Sprintf("%s | %sx%sx%s | %s %s/%s", o.Wood, mm(o.Plank.ThicknessMM), mm(o.Plank.WidthMM), mm(o.Plank.LengthMM), o.Price, o.Currency, o.Unit)
}

// corpusDump is all that a file gives, for the golden file.
func corpusDump(offers []sourcing.Offer, rows sourcing.Rows, found sourcing.Findings) string {
	var b strings.Builder
	for _, o := range offers {
		fmt.Fprintf(&b, "%s!%s | %s | %q", o.Sheet, placeName(o.Row, o.Col), corpusHead(o), o.Name)
		keys := corpusKeys(o)
		for _, k := range []string{"grade", "nominal", "width", "length", "moisture", "min", "pack", "available", "breaks", "certified", "ready", "lead", "on", "valid", "yield"} {
			if v, ok := keys[k]; ok {
				b.WriteString(" | " + strings.TrimSpace(k+" "+v))
			}
		}
		fmt.Fprintf(&b, " | %s %s/m3\n", o.PricePerM3().StringFixed(2), o.Currency)
		for _, n := range o.Notes {
			b.WriteString("    " + n + "\n")
		}
	}
	fmt.Fprintf(&b, "\n%d lines = %d offers + %d findings\n\n", rows.Data, rows.Offers, rows.Findings)
	if len(found) > 0 {
		b.WriteString(found.String() + "\n")
	}
	return b.String()
}

// update is the flag that the package's other golden files are written with.
func update() bool { return flag.Lookup("update").Value.(flag.Getter).Get().(bool) }

func placeName(row, col int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err)
	}
	return name
}

func TestCorpus(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(corpusDir, "*.want"))
	check(t, err)
	used := map[string]bool{}
	for _, path := range paths {
		name := strings.TrimSuffix(filepath.Base(path), ".want")
		w := readWant(t, path)
		used[w.file] = true
		t.Run(name, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join(corpusDir, w.file))
			check(t, err)
			offers, rows, found := sourcing.ReadOffers(bytes.NewReader(data), w.src)
			w.laws(t, offers, rows, found)
			w.compare(t, offers, found)
			got := corpusDump(offers, rows, found)
			golden := strings.TrimSuffix(path, ".want") + ".golden"
			if update() {
				check(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			kept, err := os.ReadFile(golden)
			check(t, err)
			if got != string(kept) {
				t.Errorf("%s differs from\n%s\ngot\n%s", golden, kept, got)
			}
			again, rows2, found2 := sourcing.ReadOffers(bytes.NewReader(data), w.src)
			if corpusDump(again, rows2, found2) != got {
				t.Error("read twice, the file gives two answers")
			}
		})
	}
	// No sheet lies about unread, and the corpus is as large and as foreign as it is meant to be.
	entries, err := os.ReadDir(corpusDir)
	check(t, err)
	files, foreign := 0, 0
	for _, e := range entries {
		switch ext := filepath.Ext(e.Name()); {
		case ext == ".want", ext == ".golden":
			continue
		case !used[e.Name()]:
			t.Errorf("%s has no .want", e.Name())
		}
		files++
		if !slices.ContainsFunc(builders, func(b builder) bool { return b.name == e.Name() }) {
			foreign++
		}
	}
	if files < 40 || foreign < 12 {
		t.Errorf("%d files, %d of them by other tools than excelize: want at least 40 and 12", files, foreign)
	}
}

// TestCorpusShifted moves every sheet of the corpus down and to the right: where a table stands is no part of what it says.
func TestCorpusShifted(t *testing.T) {
	const down, right = 2, 1
	paths, err := filepath.Glob(filepath.Join(corpusDir, "*.want"))
	check(t, err)
	moved := 0
	for _, path := range paths {
		w := readWant(t, path)
		if filepath.Ext(w.file) != ".xlsx" {
			continue
		}
		data, err := os.ReadFile(filepath.Join(corpusDir, w.file))
		check(t, err)
		f, err := excelize.OpenReader(bytes.NewReader(data))
		if err != nil {
			continue // locked
		}
		for _, sheet := range f.GetSheetList() {
			check(t, f.InsertRows(sheet, 1, down))
			check(t, f.InsertCols(sheet, "A", right))
		}
		var b bytes.Buffer
		check(t, f.Write(&b))
		moved++
		t.Run(strings.TrimSuffix(filepath.Base(path), ".want"), func(t *testing.T) {
			want, rows, _ := sourcing.ReadOffers(bytes.NewReader(data), w.src)
			got, rows2, found := sourcing.ReadOffers(&b, w.src)
			for i := range got {
				got[i].Row -= down
				got[i].Col -= right
			}
			if a, b := corpusDump(want, rows, nil), corpusDump(got, rows2, nil); a != b {
				t.Errorf("moved, the sheets say\n%s\nand not\n%s\n%s", b, a, found)
			}
		})
	}
	if moved < 40 {
		t.Errorf("%d files were moved, want at least 40", moved)
	}
}

// TestCorpusBlanked empties cells of lines that gave an offer. Whatever the line then offers as another wood or size, its notes
// must say where that comes from.
func TestCorpusBlanked(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	const every = 14 // of so many cells one is emptied, to keep the test short; 1 takes all of them, in a minute
	paths, err := filepath.Glob(filepath.Join(corpusDir, "*.want"))
	check(t, err)
	cells, tried := 0, 0
	for _, path := range paths {
		w := readWant(t, path)
		if filepath.Ext(w.file) != ".xlsx" {
			continue
		}
		data, err := os.ReadFile(filepath.Join(corpusDir, w.file))
		check(t, err)
		before, _, _ := sourcing.ReadOffers(bytes.NewReader(data), w.src)
		goods := func(offers []sourcing.Offer, sheet string, row int) (out []string) {
			for _, o := range offers {
				if o.Sheet == sheet && o.Row == row {
					out = append(out, fmt.Sprint(o.Wood, " ", o.Plank))
				}
			}
			return out
		}
		if len(before) == 0 {
			continue
		}
		whole, err := excelize.OpenReader(bytes.NewReader(data))
		check(t, err)
		lines := map[string][][]string{}
		for _, sheet := range whole.GetSheetList() {
			lines[sheet], err = whole.GetRows(sheet)
			check(t, err)
		}
		for _, was := range before {
			for c, text := range lines[was.Sheet][was.Row-1] {
				if cells++; cells%every != 0 || strings.TrimSpace(text) == "" {
					continue
				}
				tried++
				cell := placeName(was.Row, c+1)
				f, err := excelize.OpenReader(bytes.NewReader(data))
				check(t, err)
				check(t, f.SetCellValue(was.Sheet, cell, nil))
				var b bytes.Buffer
				check(t, f.Write(&b))
				after, _, found := sourcing.ReadOffers(&b, w.src)
				known := goods(before, was.Sheet, was.Row)
				for _, o := range after {
					if o.Sheet == was.Sheet && o.Row == was.Row && !slices.Contains(known, fmt.Sprint(o.Wood, " ", o.Plank)) && o.Notes == nil {
						t.Errorf("%s, sheet %q without %s: %s, and nothing says why; it was %v\n%s", w.file, was.Sheet, cell, corpusHead(o), known, found)
					}
				}
			}
		}
	}
	if tried < 100 {
		t.Errorf("%d cells were emptied, want at least 100", tried)
	}
}

// laws holds what is true of every file: no line is lost, every offer can be bought from, every finding can be printed.
func (w want) laws(t *testing.T, offers []sourcing.Offer, rows sourcing.Rows, found sourcing.Findings) {
	t.Helper()
	if rows.Data != rows.Offers+rows.Findings {
		t.Errorf("%d lines are not %d offers + %d findings: something was dropped", rows.Data, rows.Offers, rows.Findings)
	}
	if rows.Findings > 0 && len(found) == 0 {
		t.Errorf("%d lines gave no offer, and nothing says why", rows.Findings)
	}
	for _, o := range offers {
		cost, err := o.PlankCost()
		if err != nil || cost.Sign() <= 0 || o.PricePerM3().Sign() <= 0 || o.Currency == "" || o.Supplier != w.src.Supplier || o.File != w.file || o.Row < 1 || o.Col < 1 {
			t.Errorf("an offer cannot be used: %+v, %v", o, err)
		}
	}
	for _, o := range offers {
		at := o.MinQuantity
		for _, b := range o.Breaks {
			if !b.From.GreaterThan(at) || b.Price.Sign() <= 0 {
				t.Errorf("the breaks of %s do not rise: %v", placeName(o.Row, o.Col), o.Breaks)
			}
			at = b.From
		}
		for _, s := range []struct {
			span sourcing.Span
			mm   float64
		}{{o.Width, o.Plank.WidthMM}, {o.Length, o.Plank.LengthMM}} {
			if high := s.span.HighMM; s.span.LowMM > s.mm || high != 0 && s.mm > high {
				t.Errorf("a plank of %v mm is not within its span %s", s.mm, corpusSpan(s.span))
			}
		}
	}
	for _, f := range found {
		if f.File != w.file || f.Problem == "" || strings.ContainsAny(f.String(), "\n\r") {
			t.Errorf("a finding is not fit to print: %+v", f)
		}
		if !f.Warning && f.Advice == "" {
			t.Errorf("a finding advises nothing: %s", f)
		}
	}
}

// compare holds what was read against what a careful buyer expects.
func (w want) compare(t *testing.T, offers []sourcing.Offer, found sourcing.Findings) {
	t.Helper()
	var wanted, got []string
	for _, o := range offers {
		got = append(got, o.Sheet+"!"+placeName(o.Row, o.Col)+" | "+corpusHead(o))
	}
	next := 0 // wanted offers come in order, and two of one cell can be equal but for their keys
	for _, o := range w.offers {
		line := o.cell + " | " + o.head
		wanted = append(wanted, line)
		i := slices.Index(got[next:], line)
		if i < 0 {
			t.Errorf("missing offer   %s", line)
			continue
		}
		keys := corpusKeys(offers[next+i])
		next += i + 1
		for _, k := range slices.Sorted(maps.Keys(o.keys)) {
			if v := o.keys[k]; v != "?" && keys[k] != v {
				t.Errorf("offer %s: %s is %q, want %q", o.cell, k, keys[k], v)
			}
		}
		for _, k := range strictKeys {
			if _, named := o.keys[k]; !named && keys[k] != "" {
				t.Errorf("offer %s: %s is %q, want none", o.cell, k, keys[k])
			}
		}
	}
	for _, s := range got {
		if i := slices.Index(wanted, s); i >= 0 {
			wanted = slices.Delete(wanted, i, i+1)
		} else {
			t.Errorf("unwanted offer  %s", s)
		}
	}
	for _, f := range w.findings {
		if !f.optional && !slices.ContainsFunc(found, f.at) {
			t.Errorf("missing finding %s!%s %s", f.sheet, f.place, f.words)
		}
	}
	for _, f := range found.Errors() {
		if !slices.ContainsFunc(w.findings, func(w wantFinding) bool { return w.at(f) }) {
			t.Errorf("unwanted finding %s", f)
		}
	}
}
