package mip

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew")

// awkward has every kind of bound, row and name that a file can stumble over.
func awkward() *Model {
	long := strings.Repeat("a very long name ", 20)
	return &Model{
		Name: "«Föhre» 1/2", Maximize: true, Constant: -12.5,
		Columns: []Column{
			{Name: "plain", High: inf, Objective: 2},
			{Name: "two words", High: 7, Objective: 3, Integer: true},
			{Name: "two_words", Low: 1.2, High: 6.9, Objective: -1, Integer: true},
			{Name: `"quoted'`, Low: -inf, High: inf, Objective: -0.1},
			{Name: "Größe", Low: -3, High: -1, Objective: 1e-7},
			{Name: "木", Low: -inf, High: -2, Objective: 1},
			{Name: long + "1", Low: 4, High: 4, Objective: 1000},
			{Name: long + "2", Low: -5, High: inf, Objective: -1, Integer: true},
			{Name: "e12", Low: -inf, High: 3, Integer: true, Objective: 0.25},
			{Name: "3rd", High: 1, Integer: true, Objective: 1},
			{Name: "Free", High: 1, Integer: true},
			{Name: "st", High: 2},
			{Name: "*star", High: 2},
			{Name: "$dollar\nand line", High: 2},
			{Name: "constant", High: 2},
			{Name: "", High: 9, Integer: true},
			{Name: "RHS", High: 1, Objective: 1},
			{Name: "MARKER", High: 1, Integer: true, Objective: 1},
			{Name: "-x", Low: -inf, High: inf, Integer: true, Objective: -1},
			{Name: "c16", High: inf, Integer: true, Objective: -1},
		},
		Rows: []Row{
			{Name: "obj", Low: -inf, High: 20, Terms: []Term{{0, 1}, {1, 2}, {2, 1}}},
			{Name: "both", Low: 1.5, High: 3.25, Terms: []Term{{1, 1}, {3, 1}, {4, -1}}},
			{Name: "both_low", Low: -7, High: inf, Terms: []Term{{5, -1}, {3, 1e-3}}},
			{Name: "equal", Low: -2.5, High: -2.5, Terms: []Term{{3, 1}, {8, -0.5}, {18, 1}}},
			{Name: "limits nothing", Low: -inf, High: inf, Terms: []Term{{0, 1}}},
			{Name: "empty", Low: -1, High: 1},
			{Name: "zeros", Low: -inf, High: 0, Terms: []Term{{0, 0}, {1, 0}}},
			{Name: "down", Low: -8, High: inf, Terms: []Term{{5, 1}, {8, 1}, {18, 1}}},
			{Name: "", Low: -inf, High: 123456789.125, Terms: []Term{{6, 1000000}, {19, 1}}},
		},
	}
}

func TestGolden(t *testing.T) {
	for name, write := range writers {
		var got, again bytes.Buffer
		if err := write(&got, awkward()); err != nil {
			t.Fatal(err)
		}
		if err := write(&again, awkward()); err != nil || !bytes.Equal(got.Bytes(), again.Bytes()) {
			t.Errorf("%s: two bytes for one model, %v", name, err)
		}
		path := filepath.Join("testdata", "awkward."+name)
		if *update {
			if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want) {
			t.Errorf("%s differs; see with -update:\n%s", path, got.String())
		}
	}
}

var writers = map[string]func(io.Writer, *Model) error{"mps": WriteMPS, "lp": WriteLP}

var safe = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_.]*$`)

func TestFileNames(t *testing.T) {
	m := awkward()
	columns, rows := m.FileNames()
	for at, want := range map[int]string{0: "plain", 1: "two_words", 2: "two_words_2", 4: "Gr__e", 5: "c6", 8: "_e12", 9: "_3rd", 10: "_Free", 14: "constant_2", 15: "c16", 19: "c16_2"} {
		if columns[at] != want {
			t.Errorf("column %q is %q, want %q", m.Columns[at].Name, columns[at], want)
		}
	}
	if rows[0] != "obj_2" || rows[8] != "r9" {
		t.Errorf("rows %q", rows)
	}
	// What has a safe name keeps it.
	k := boardLike(1, []int{2}, 2)
	for j := range k.Columns {
		k.Columns[j].Name = strings.ReplaceAll(k.Columns[j].Name, " ", ".")
	}
	columns, _ = k.FileNames()
	for j, c := range k.Columns {
		if columns[j] != c.Name {
			t.Errorf("%q became %q", c.Name, columns[j])
		}
	}
}

func FuzzFileNames(f *testing.F) {
	for _, c := range awkward().Columns {
		f.Add(c.Name, "st", "x\x00y")
	}
	f.Add("a", "a_2", "a\n")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		m := &Model{Columns: []Column{{Name: a}, {Name: b}, {Name: c}}, Rows: []Row{{Name: c}, {Name: b}, {Name: a}}}
		columns, rows := m.FileNames()
		for _, names := range [][]string{columns, rows} {
			for i, n := range names {
				if !safe.MatchString(n) || len(n) > maxFileName+5 || reserved[strings.ToLower(n)] || exponent.MatchString(n) {
					t.Errorf("%q is not a safe name", n)
				}
				if n == names[(i+1)%3] {
					t.Errorf("%q twice", n)
				}
			}
		}
		for name, write := range writers {
			var text bytes.Buffer
			if err := write(&text, m); err != nil {
				if m.Check() == nil {
					t.Errorf("%s: %v", name, err)
				}
				continue
			}
			for _, r := range text.String() {
				if r > 126 || r < 32 && r != '\n' {
					t.Errorf("%s: character %q", name, r)
				}
			}
		}
	})
}

func TestWritersRefuse(t *testing.T) {
	for name, write := range writers {
		if err := write(io.Discard, &Model{Constant: math.NaN()}); err == nil {
			t.Errorf("%s: a broken model was written", name)
		}
		none := &Model{Columns: []Column{{Name: "x", Low: 1.2, High: 1.8, Integer: true}}}
		if err := write(io.Discard, none); err == nil || !strings.Contains(err.Error(), `column "x": there is no whole number from 1.2 to 1.8`) {
			t.Errorf("%s: %v", name, err)
		}
		if err := write(full{}, awkward()); !errors.Is(err, errFull) {
			t.Errorf("%s: the writer's error became %v", name, err)
		}
	}
}

var errFull = errors.New("no space")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{0: "0", math.Copysign(0, -1): "0", 1: "1", -2.5: "-2.5", 1e-7: "1e-07",
		123456789.125: "123456789.125", 1e20: "1e20", 0.1: "0.1", -1e-300: "-1e-300"} {
		if got := number(v); got != want {
			t.Errorf("%v is written %s, want %s", v, got, want)
		}
	}
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 10000 {
		v := math.Float64frombits(rnd.Uint64())
		if !finite(v) {
			continue
		}
		if back, err := strconv.ParseFloat(number(v), 64); err != nil || back != v {
			t.Errorf("%v is written %s and read %v, %v", v, number(v), back, err)
		}
	}
}

// A reader is another program that solves a file; its answer is NaN when there is none.
type reader struct {
	name string
	run  func(t *testing.T, file string) float64
}

// readers finds the other programs. They are asked for by STAVEWRIGHT_REQUIRE_SOLVERS=1, and may be missing otherwise.
func readers(t *testing.T) []reader {
	var found []reader
	for _, r := range []reader{{"cbc", cbc}, {"glpsol", glpsol}} {
		if _, err := exec.LookPath(r.name); err == nil {
			found = append(found, r)
		} else if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") == "1" {
			t.Fatalf("%s is not installed", r.name)
		}
	}
	if len(found) < 2 {
		t.Skip("needs cbc and glpsol (Debian: coinor-cbc, glpk-utils)")
	}
	return found
}

func cbc(t *testing.T, file string) float64 {
	solution := file + ".cbc"
	out, err := exec.Command("cbc", file, "ratio", "0", "allow", "0", "solve", "solu", solution, "quit").CombinedOutput()
	text, _ := os.ReadFile(solution)
	first, _, _ := strings.Cut(string(text), "\n")
	if err != nil || first == "" || strings.Contains(string(out), "errors on input") {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	status, value, ok := strings.Cut(first, " - objective value ")
	if !ok || strings.Contains(status, "nfeasible") || strings.Contains(status, "nbounded") {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil || status != "Optimal" {
		t.Fatalf("cbc: %s", first)
	}
	return v
}

func glpsol(t *testing.T, file string) float64 {
	format := map[string]string{".mps": "--freemps", ".lp": "--lp"}[filepath.Ext(file)]
	solution := file + ".glpsol"
	out, err := exec.Command("glpsol", format, file, "-w", solution).CombinedOutput()
	text, _ := os.ReadFile(solution)
	if err != nil || strings.Contains(string(out), "error") {
		t.Fatalf("glpsol: %v\n%s", err, out)
	}
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		if f[0] != "s" {
			continue
		}
		// "s mip rows columns o objective", "s bas rows columns f f objective"
		v, err := strconv.ParseFloat(f[len(f)-1], 64)
		if err != nil {
			t.Fatal(line)
		}
		if flags := f[4 : len(f)-1]; strings.Join(flags, "") != map[int]string{1: "o", 2: "ff"}[len(flags)] {
			return math.NaN()
		}
		return v
	}
	t.Fatalf("glpsol wrote no solution: %s", out)
	return 0
}

// TestReaders has other programs solve what the writers write.
func TestReaders(t *testing.T) {
	programs := readers(t)
	dir := t.TempDir()
	cases := append(published(t), small()...)
	rnd := rand.New(rand.NewPCG(9, 1))
	for n := range 20 {
		m := random(rnd)
		m.Name = fmt.Sprint("random ", n)
		status, best := bruteForce(m)
		cases = append(cases, known{m, status, best, "brute force"})
	}
	cases = append(cases, known{awkward(), Optimal, awkwardBest, "by hand"})
	for n, k := range cases {
		for format, write := range writers {
			if k.model.Name == "no whole number between bounds" {
				continue // refused; see TestWritersRefuse
			}
			file := filepath.Join(dir, fmt.Sprint(n, ".", format))
			var text bytes.Buffer
			if err := write(&text, k.model); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, text.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			want := k.best
			if format == "mps" {
				want *= k.model.sign() // written to be minimised
			}
			for _, r := range programs {
				got := r.run(t, file)
				if k.status != Optimal && math.IsNaN(got) {
					continue
				}
				if !(math.Abs(got-want) <= 1e-8*(1+math.Abs(want))) {
					t.Errorf("%s, %s by %s: %v, want %v (%s)\n%s", k.model.Name, format, r.name, got, want, k.source, text.String())
				}
			}
		}
	}
}

// awkwardBest is by hand: constant −12.5; plain 18, two_words 0 and two_words_2 2 give 34; the fixed one 4000; 3rd, RHS
// and MARKER 3; long 2 at −5 gives 5; 木 −2; "e12" −1, "-x" −5 and "quoted' 2 give 4.55; Größe −1 takes 10⁻⁷.
const awkwardBest = 4032.05 - 1e-7
