package sourcing

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/shopspring/decimal"
)

// corpus is the files that the fuzzing of whole sheets begins with.
func corpus(tb testing.TB, pattern string) (files [][]byte) {
	tb.Helper()
	for _, dir := range []string{"", "corpus"} {
		paths, err := filepath.Glob(filepath.Join("..", "testdata", "sheets", dir, pattern))
		if err != nil {
			tb.Fatal(err)
		}
		for _, p := range paths {
			data, err := os.ReadFile(p)
			if err != nil {
				tb.Fatal(err)
			}
			files = append(files, data)
		}
	}
	if len(files) == 0 {
		tb.Fatal("no files " + pattern)
	}
	return files
}

// FuzzWorkbook reads the workbooks of the corpus with bytes of their parts changed: which file, which of its XML parts, and edits of four bytes each,
// a place (two), what to do, and with what.
func FuzzWorkbook(f *testing.F) {
	files := corpus(f, "*.xls[xm]")
	for i := range files {
		f.Add(uint8(i), uint8(0), []byte{0, 200, 0, '9', 1, 44, 1, '<'})
		f.Add(uint8(i), uint8(1), []byte{3, 9, 2, 0})
	}
	f.Fuzz(func(t *testing.T, file, part uint8, edits []byte) {
		if len(edits) > 400 {
			return
		}
		data := files[int(file)%len(files)]
		r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			return // the corpus holds a locked workbook
		}
		var names []string
		for _, z := range r.File {
			if strings.HasPrefix(z.Name, "xl/worksheets/sheet") || z.Name == "xl/sharedStrings.xml" || z.Name == "xl/styles.xml" || z.Name == "xl/workbook.xml" {
				names = append(names, z.Name)
			}
		}
		name := names[int(part)%len(names)]
		data = rezip(t, data, func(n string, xml []byte) []byte {
			if n != name {
				return xml
			}
			return edited(xml, edits)
		})
		offers, rows, found := ReadOffers(bytes.NewReader(data), testSource)
		checkLaws(t, testSource, offers, rows, found)
	})
}

// edited changes, drops, repeats or inserts bytes.
func edited(data, edits []byte) []byte {
	data = bytes.Clone(data)
	for ; len(edits) >= 4 && len(data) > 0; edits = edits[4:] {
		at := (int(edits[0])<<8 | int(edits[1])) * 7 % len(data)
		switch edits[2] % 4 {
		case 0:
			data[at] = edits[3]
		case 1:
			data = append(data[:at:at], append([]byte{edits[3]}, data[at:]...)...)
		case 2:
			data = append(data[:at:at], data[min(len(data), at+int(edits[3])):]...)
		case 3:
			data = append(data[:at:at], append(bytes.Clone(data[at:min(len(data), at+int(edits[3]))]), data[at:]...)...)
		}
	}
	return data
}

func FuzzTextFile(f *testing.F) {
	for _, data := range corpus(f, "*.csv") {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 8192 || bytes.HasPrefix(data, []byte("PK")) {
			return
		}
		offers, rows, found := ReadOffers(bytes.NewReader(data), testSource)
		checkLaws(t, testSource, offers, rows, found)
	})
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"150", "100-180 mm", `6"+`, "8'-16'", "8/10/12'", "fallend ab 14 cm", `avg 7.2"`, "RW", "2,00 m steigend 10 cm", "100-180 mm (avg 140)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, unit := range []lengthUnit{"", inMM, inFoot} {
			z, err := parseSize(s, unit, '.')
			if err != nil {
				if !isPrintable(err.Error()) || len(err.Error()) > 2000 {
					t.Fatalf("%q: %q", s, err)
				}
				continue
			}
			if z.mm < 0 || z.span.LowMM < 0 || z.span.HighMM > 0 && z.span.HighMM < z.span.LowMM || z.mm > 0 && z.span != (Span{}) {
				t.Fatalf("%q is a size of %+v", s, z)
			}
			for _, m := range []meaning{isWidth, isLength} {
				if mm, _ := z.usable(m); mm < z.span.LowMM {
					t.Fatalf("%q counts as %v mm, less than its lower end", s, mm)
				}
			}
			if z.mm > 0 {
				if back, err := parseSize(formatLength(z.mm), "", '.'); err != nil || back.mm != z.mm {
					t.Fatalf("%q is %v mm, read back %v, %v", s, z.mm, back.mm, err)
				}
			}
		}
	})
}

func FuzzParseBreak(f *testing.F) {
	for _, s := range []string{"ab 5 m³", "from 5 m3", "1-99", "100+", ">= 500 bf", "bis 5 m³", "full pack", "truckload", "1.000+", "from 1.4."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, _, ok := parseBreak(s)
		if ok && (!k.isBreak || k.from.Sign() < 0 || !k.upTo.IsZero() && k.upTo.LessThan(k.from) && k.other.IsZero()) {
			t.Fatalf("%q is a step of %+v", s, k)
		}
	})
}

func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2027-03-15", "15.3.2027", "3/4/25", "13/4/25", "15 March 2027", "15. März 2027", "KW 37/2027", "week 53 2020", "mid Sept."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, order := range []dayOrder{orderOpen, dayFirst, monthFirst} {
			d, open := parseDate(s, order)
			if open && (order != orderOpen || !d.IsZero()) {
				t.Fatalf("%q stays open under %v, %v", s, order, d)
			}
			if !d.IsZero() {
				if back, _ := parseDate(d.Format("2006-01-02"), orderOpen); !back.Equal(d) {
					t.Fatalf("%q is %v, read back %v", s, d, back)
				}
			}
		}
		if d, known := parseWeek(s, 2027); !d.IsZero() && (!known || d.Weekday().String() != "Friday") {
			t.Fatalf("%q is the week of %v", s, d)
		}
	})
}

// What a name is said to be, it is: every wood of a cell is one of the table, and a cell that names none says why.
func FuzzWoodName(f *testing.F) {
	for _, s := range []string{"Rotbuche", "Rotbuche, KD", "Birch / Alder / Aspen", "Esche und Robinie 26 mm", "Ahorn", "Beach", "=1+1", "Eschе", "HARD MAPLE - kiln dried, 6-8 %"} {
		f.Add(s)
	}
	rd := &reader{src: testSource, woods: map[string]lookup{}, named: map[string]woodCell{}, names: nameWords(testSource.Woods)}
	lay := &layouter{wood: rd.wood, names: rd.names}
	f.Fuzz(func(t *testing.T, s string) {
		rd.unknown, rd.work = 0, 0
		w := rd.readWood(s)
		if (w.err == nil) != (len(w.ids) > 0) {
			t.Fatalf("%q is %+v", s, w)
		}
		for _, id := range w.ids {
			if _, ok := testSource.Woods.Wood(id); !ok {
				t.Fatalf("%q is %q, which the table does not hold", s, id)
			}
		}
		if d := lay.read(s); d.thick.mm < 0 || d.wood != "" && !lay.isWoodName(d.wood) {
			t.Fatalf("%q says %+v", s, d)
		}
		_, _ = lay.keyed([]string{s}, true)
	})
}

// What the Meaning cell of a Columns sheet is taken for, it is again however it is written: in other case, with other spaces. One that is refused says why in
// one short line.
func FuzzMeaning(f *testing.F) {
	for _, s := range []string{"price EUR/m3", "width mm", "width 120 mm", "ignore", "thickness quarters", "lead time days", "valid until", "price per MBF", "ab 5 m³", "wood Rotbuche", "price", "price\nEUR", "preis €", "min quantity m3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 2000 {
			return
		}
		err := CheckMeaning(s)
		if err == nil && len(s) > 60 { // with more spaces it could be too long for a header
			return
		}
		if err == nil {
			if again := CheckMeaning("  " + strings.ReplaceAll(s, " ", "  ") + "\t"); again != nil {
				t.Fatalf("%q is a meaning, but not with more spaces: %v", s, again)
			}
			return
		}
		if !isPrintable(err.Error()) || len(err.Error()) > 3000 {
			t.Fatalf("%q: %q", s, err)
		}
	})
}

// A cell of two or three sizes comes apart into as many, each with something in it, and nothing but the marks between them is lost.
func FuzzParseDimensions(f *testing.F) {
	for _, s := range []string{"26 x 150 x 2500 mm", "26×150", "1\" x 6\" x 8'", "26*150*2500", "x", "26 x", "a x b x c x d", "26xx150", "４×４"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		parts, _, err := parseDimensions(s, inMM, '.')
		if err != nil {
			if !isPrintable(err.Error()) || len(err.Error()) > 1000 {
				t.Fatalf("%q: %q", s, err)
			}
			return
		}
		bare := func(s string) string {
			return strings.Map(func(r rune) rune {
				if unicode.IsSpace(r) || r == 'x' || r == '*' {
					return -1
				}
				return r
			}, s)
		}
		if len(parts) < 2 || len(parts) > 3 || slices.Contains(parts, "") || bare(strings.Join(parts, "")) != bare(strings.ReplaceAll(fold(tidy(s)), "×", "x")) {
			t.Fatalf("%q comes apart into %q", s, parts)
		}
	})
}

// A lead time is some days, and as many when it is written in days.
func FuzzLeadTime(f *testing.F) {
	for _, s := range []string{"10 days", "3-4 Wochen", "ex stock", "ca. 2 weeks", "999 months", "1-2", "", "2 bis 3 Wochen"} {
		f.Add(s, 7)
	}
	f.Fuzz(func(t *testing.T, s string, perFigure int) {
		if perFigure < 0 || perFigure > 366 {
			return
		}
		days, err := leadTime(s, perFigure)
		if err != nil {
			if !isPrintable(err.Error()) || len(err.Error()) > 1000 {
				t.Fatalf("%q: %q", s, err)
			}
			return
		}
		if days < 0 || days > 999*366 {
			t.Fatalf("%q is %d days", s, days)
		}
		if again, err := leadTime(fmt.Sprint(days, " days"), 0); days < 1000 && (err != nil || again != days) {
			t.Fatalf("%q is %d days, read back %d, %v", s, days, again, err)
		}
	})
}

// A price in steps costs what a buyer would add up, and with steps that fall never less for more.
func TestCostOfSteps(t *testing.T) {
	d := decimal.RequireFromString
	o := Offer{Price: d("640"), Breaks: []Break{{d("3"), d("610")}, {d("5"), d("590")}}}
	for _, tt := range []struct {
		quantity, all, above string // all: for all units once it is reached; above: for the part above only
	}{
		{"0", "0", "0"}, {"1", "640", "640"}, {"3", "1830", "1920"}, {"4", "2440", "2530"}, {"5", "2950", "3140"}, {"6.5", "3835", "4025"},
	} {
		o.Incremental = false
		if got := o.CostOf(d(tt.quantity)); !got.Equal(d(tt.all)) {
			t.Errorf("%s cost %s for all units, want %s", tt.quantity, got, tt.all)
		}
		o.Incremental = true
		if got := o.CostOf(d(tt.quantity)); !got.Equal(d(tt.above)) {
			t.Errorf("%s cost %s part by part, want %s", tt.quantity, got, tt.above)
		}
	}
}

// A reader that fails is told of, not taken for an empty file.
func TestReaderThatFails(t *testing.T) {
	_, _, found := ReadOffers(io.MultiReader(strings.NewReader("Holz"), failing{}), testSource)
	if len(found) != 1 || !strings.Contains(found[0].Problem, os.ErrDeadlineExceeded.Error()) {
		t.Errorf("found %v", found)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, os.ErrDeadlineExceeded }
