package optimize

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"stavewright/optimize/mip"
)

var opinions = flag.Int("opinions", 0, "how many random programs of each kind to have solved by CBC and glpsol as well; 0: a sample")

// An outsider is another solver, from a file to its optimum; NaN where it finds that there is none. One that is known to err in one way of
// solving is told what is expected, and asks again in another way before it contradicts that from above.
type outsider struct {
	name  string
	solve func(t *testing.T, file string, expected question) float64
}

// outsiders are CBC and glpsol. STAVEWRIGHT_REQUIRE_SOLVERS=1 demands them.
func outsiders(t *testing.T) (out []outsider) {
	t.Helper()
	for _, o := range []outsider{{"cbc", byCBC}, {"glpsol", byGlpsol}} {
		if _, err := exec.LookPath(o.name); err == nil {
			out = append(out, o)
		} else if os.Getenv("STAVEWRIGHT_REQUIRE_SOLVERS") != "" {
			t.Fatal(err)
		}
	}
	if len(out) == 0 {
		t.Skip("needs cbc or glpsol (Debian: coinor-cbc, glpk-utils)")
	}
	return out
}

// byCBC asks CBC. With its preprocessing CBC 2.10 has called answers optimal that are not quite, and ended in an assertion without it; an answer that is
// better than expected stands at once.
func byCBC(t *testing.T, file string, expected question) (v float64) {
	t.Helper()
	var err error
	for _, how := range [][]string{nil, {"preprocess", "off"}, {"preprocess", "off", "cuts", "off"}} {
		if v, err = cbcOnce(file, how...); err == nil && (v <= expected.least+expected.within || math.IsNaN(v) && math.IsNaN(expected.least)) {
			return v
		}
		t.Logf("CBC %v: %v, expected %v %v", how, v, expected.least, err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func cbcOnce(file string, how ...string) (float64, error) {
	solution := file + ".cbc"
	args := append([]string{file, "ratio", "0", "allow", "0", "integerT", "1e-9", "primalT", "1e-9"}, how...)
	out, err := exec.Command("cbc", append(args, "solve", "solu", solution, "quit")...).CombinedOutput()
	text, _ := os.ReadFile(solution)
	first, _, _ := strings.Cut(string(text), "\n")
	if err != nil || strings.Contains(string(out), "errors on input") {
		return 0, fmt.Errorf("cbc: %v\n%s", err, out)
	}
	status, value, _ := strings.Cut(first, " - objective value ")
	if strings.Contains(status, "nfeasible") {
		return math.NaN(), nil
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
	if err != nil || status != "Optimal" {
		return 0, fmt.Errorf("cbc: %q", first)
	}
	return v, nil
}

func byGlpsol(t *testing.T, file string, _ question) float64 {
	t.Helper()
	solution := file + ".glpsol"
	format := map[string]string{".mps": "--freemps", ".lp": "--lp"}[filepath.Ext(file)]
	out, err := exec.Command("glpsol", format, file, "--tmlim", "60", "-w", solution).CombinedOutput()
	text, _ := os.ReadFile(solution)
	if err != nil || strings.Contains(string(out), "TIME LIMIT") {
		t.Fatalf("glpsol: %v\n%s", err, out)
	}
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		if f[0] != "s" { // "s mip rows columns o objective", "s bas rows columns f f objective"
			continue
		}
		for _, flag := range f[4 : len(f)-1] {
			if flag != "o" && flag != "f" {
				return math.NaN()
			}
		}
		v, err := strconv.ParseFloat(f[len(f)-1], 64)
		if err != nil {
			t.Fatalf("glpsol: %q", line)
		}
		return v
	}
	t.Fatalf("glpsol wrote no solution: %s", out)
	return 0
}

// A question is an integer program and what this package says its least objective is; NaN where it says that nothing is feasible.
type question struct {
	model  *mip.Model
	least  float64
	within float64 // how far the two may be apart, and why: see where it is made
}

// A kind of program makes questions from a random model; none where the model has nothing to ask. A kind that is added is a row here.
type opinionKind struct {
	name string
	ask  func(t *testing.T, r *rand.Rand) []question
}

var opinionKinds = []opinionKind{
	{"front step", frontStep},
	{"front step, without classes", plainStep},
	{"least cost", leastCost},
	{"greatest EI", greatestEI},
	{"match", matchStep},
	{"mixes", mixesStep},
}

// exported is a random program with limits that are linear, or exactly so: what a file can hold. The rest has brute force.
func exported(r *rand.Rand, most int) *Program {
	for {
		p, ref := randomProgram(r)
		l := &p.Limits
		l.FlexLow, l.FlexHigh, l.MaxUtilPct, l.MaxScatterPct = Limit{}, Limit{}, Limit{}, Limit{}
		if countLayouts(p) <= most {
			p.Reference = ref
			return p
		}
	}
}

// massHalf is half a step of mass, in g: the file weighs by thousandths, a front tells hundredths apart, rounded.
const massHalf = 0.00501

// frontStep asks for the least mass with EI at least that of a point of the front, and one step above it.
func frontStep(t *testing.T, r *rand.Rand) []question { return eitherSide(t, r, Model) }

func plainStep(t *testing.T, r *rand.Rand) []question { return eitherSide(t, r, PlainModel) }

func eitherSide(t *testing.T, r *rand.Rand, export func(*Program, float64) (*mip.Model, []string, error)) (out []question) {
	p := exported(r, 200000)
	front := mustFront(t, p, Options{Method: Enumeration})
	ask := func(minEI, least float64) {
		m, _, err := export(p, minEI)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, question{model: m, least: least, within: massHalf})
	}
	if front.Infeasible != nil {
		if f, err := newForm(p); err != nil || f.hole() != nil {
			return nil // a position that no wood may fill: there is no program to write
		}
		ask(math.Inf(-1), math.NaN())
		return out
	}
	i := r.IntN(len(front.Points))
	next := math.NaN()
	if i+1 < len(front.Points) {
		next = front.Points[i+1].CoreMassG
	}
	ask(front.Points[i].EINM2, front.Points[i].CoreMassG)
	ask(front.Points[i].EINM2+0.01, next)
	return out
}

// single is the program "least of one objective within every limit", and what enumeration says of it.
func single(t *testing.T, p *Program, o Objective) []question {
	f, err := newForm(p)
	if err != nil {
		t.Fatal(err)
	}
	if f.hole() != nil {
		return nil
	}
	of, err := f.objective(o)
	if err != nil {
		t.Fatal(err)
	}
	v, ok, err := f.best(context.Background(), Options{Method: Enumeration}, everyLimit, of)
	if err != nil {
		t.Fatal(err)
	}
	q := f.newFormProblem(everyLimit, []objectiveForm{of}, nil)
	q.prepare([]int64{1}, []int64{openHigh})
	q.c.m.Name = string(o)
	if q.crossed() {
		return nil
	}
	least := math.NaN()
	if ok {
		least = float64(v)
	}
	return []question{{model: q.c.m, least: least, within: 0.01}} // whole numbers
}

func leastCost(t *testing.T, r *rand.Rand) []question { return single(t, exported(r, 200000), Cost) }

func greatestEI(t *testing.T, r *rand.Rand) []question { return single(t, exported(r, 200000), EI) }

// matchStep asks for the least mass inside the windows of a match, at a profile factor.
func matchStep(t *testing.T, r *rand.Rand) []question {
	p := exported(r, 50000)
	if r.IntN(3) > 0 { // with the limits of the model besides, hardly a match finds anything
		p.Limits = Limits{Positions: make([]PositionLimit, len(p.Board.Positions)), FastUpToYears: p.Limits.FastUpToYears}
	}
	factor := 0.96 + 0.01*float64(r.IntN(9))
	o := MatchOptions{Method: Enumeration, WithinPct: 1 + 5*r.Float64(), Factors: []float64{factor}, NoSwaps: true}
	got := mustMatch(t, p, o)
	m := &matcher{p: p, o: got.Options, r: got}
	q := m.program(factor)
	if f, err := newForm(q); err != nil || f.hole() != nil {
		return nil
	}
	model, _, err := Model(q, math.Inf(-1))
	if err != nil {
		t.Fatal(err)
	}
	least := math.NaN()
	if got.Best != nil {
		least = got.Best.CoreMassG
	}
	return []question{{model: model, least: least, within: massHalf}}
}

// mixesStep asks for the greatest share of fast-grown woods, and for the least mass inside the windows of mixes with the share of one of its steps; and with
// more than the last step has, which nothing has.
func mixesStep(t *testing.T, r *rand.Rand) []question {
	p := exported(r, 20000)
	if r.IntN(3) > 0 {
		p.Limits = Limits{Positions: make([]PositionLimit, len(p.Board.Positions)), FastUpToYears: p.Limits.FastUpToYears}
	}
	out := single(t, p, Share)
	factor := 0.96 + 0.01*float64(r.IntN(9))
	got, err := Mixes(context.Background(), p, MixesOptions{Method: Enumeration, WithinPct: 1 + 5*r.Float64(), Factors: []float64{factor}, Objectives: []Objective{Mass, Share}})
	if err != nil {
		t.Fatal(err)
	}
	m := &matcher{p: p, r: &MatchResult{Windows: got.Windows}}
	ask := func(share, least float64) {
		q := m.program(factor)
		if f, err := newForm(q); err != nil || f.hole() != nil {
			return
		}
		q.Limits.MinFastPct = at(max(share, p.Limits.MinFastPct.Value), "Limits!F2")
		model, _, err := Model(q, math.Inf(-1))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, question{model: model, least: least, within: massHalf})
	}
	if len(got.Breaks) == 0 {
		if r.IntN(4) > 0 {
			return nil // most random models hold nothing at equal flex
		}
		ask(0, math.NaN())
		return out
	}
	for _, i := range []int{0, r.IntN(len(got.Breaks))} {
		ask(got.Breaks[i].SharePct, got.Breaks[i].Point.CoreMassG)
	}
	if last := got.Breaks[len(got.Breaks)-1].SharePct; last < 99.99 {
		ask(last+shareStepPct, math.NaN())
	}
	return out
}

// TestSecondOpinions has other solvers solve what this package answers by enumeration, in both file formats: the objective must be equal, and
// what is infeasible must be so to all. By our own integer programs as well, where there are any.
func TestSecondOpinions(t *testing.T) {
	n := *opinions
	if n == 0 {
		n = 6
		if testing.Short() {
			n = 2
		}
	}
	others := outsiders(t)
	dir := t.TempDir()
	for _, kind := range opinionKinds {
		t.Run(kind.name, func(t *testing.T) {
			optima, none := 0, 0
			for seed := 0; optima+none < n || optima == 0; seed++ {
				if seed > 20*n+20 {
					t.Fatalf("%d questions from %d random models", optima+none, seed)
				}
				for k, q := range kind.ask(t, rand.New(rand.NewPCG(uint64(seed), 20260407))) {
					if math.IsNaN(q.least) {
						none++
					} else {
						optima++
					}
					if mip.Available {
						r, err := mip.Solve(context.Background(), q.model, mip.Options{})
						if err != nil {
							t.Fatal(err)
						}
						v := r.Objective
						if r.Status == mip.Infeasible {
							v = math.NaN()
						}
						compare(t, fmt.Sprintf("seed %d.%d by GLPK in process", seed, k), v, q)
					}
					for _, format := range []struct {
						ext   string
						write func(*bytes.Buffer) error
					}{
						{".mps", func(b *bytes.Buffer) error { return mip.WriteMPS(b, q.model) }},
						{".lp", func(b *bytes.Buffer) error { return mip.WriteLP(b, q.model) }},
					} {
						var b bytes.Buffer
						if err := format.write(&b); err != nil {
							t.Fatal(err)
						}
						file := filepath.Join(dir, "question"+format.ext)
						if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
							t.Fatal(err)
						}
						for _, o := range others {
							compare(t, fmt.Sprintf("seed %d.%d by %s from %s", seed, k, o.name, format.ext), o.solve(t, file, q), q)
						}
					}
				}
			}
			t.Logf("%d optima, %d infeasible", optima, none)
			if optima == 0 {
				t.Error("every question was infeasible: nothing is tested")
			}
		})
	}
}

func compare(t *testing.T, who string, got float64, q question) {
	t.Helper()
	if math.IsNaN(got) && math.IsNaN(q.least) {
		return
	}
	if !(math.Abs(got-q.least) <= q.within) {
		t.Errorf("%s: %v, want %v", who, got, q.least)
	}
}
