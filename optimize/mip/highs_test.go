package mip

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"
)

func needHiGHS(t testing.TB) {
	t.Helper()
	if !hasHiGHS(t) {
		t.Skip(ErrNoHiGHS)
	}
}

// TestBuiltWithoutHiGHS: a build without the module says so, also to those who ask for any solver.
func TestBuiltWithoutHiGHS(t *testing.T) {
	if !strings.Contains(ErrNoHiGHS.Error(), "sh cmd/setup.sh") || !errors.Is(ErrNoHiGHS, ErrNoSolver) {
		t.Error(ErrNoHiGHS)
	}
	if HasHiGHS() {
		return
	}
	if _, err := Solve(context.Background(), small()[0].model, Options{Engine: HiGHS}); !errors.Is(err, ErrNoHiGHS) {
		t.Errorf("error %v", err)
	}
}

// TestImproved: solutions come in order, each feasible, the last one the best; the callback may keep or change what it is given.
func TestImproved(t *testing.T) {
	needHiGHS(t)
	for _, maximize := range []bool{false, true} {
		m := marketSplit(3, 30)
		m.Constant = 1000
		if maximize {
			m.Maximize = true
			for j := range m.Columns {
				m.Columns[j].Objective *= -1
			}
		}
		sign := m.sign()
		var found []float64
		r, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 200, Improved: func(x []float64, objective float64) {
			checkSolution(t, m, Result{X: x, Objective: objective})
			if n := len(found); n > 0 && sign*objective >= sign*found[n-1] {
				t.Errorf("solution of %v after one of %v", objective, found[n-1])
			}
			found = append(found, objective)
			clear(x)
		}})
		if err != nil || len(found) < 2 || r.Objective != found[len(found)-1] || r.Status != Feasible {
			t.Errorf("%v %v, found %v; %v", r.Status, r.Objective, found, err)
		}
		checkSolution(t, m, r)
	}
}

// TestStart begins with a solution, whole, in part or spoilt, that HiGHS does not find by itself before its first node.
func TestStart(t *testing.T) {
	needHiGHS(t)
	m := marketSplit(3, 40)
	long, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 400})
	if err != nil {
		t.Fatal(err)
	}
	short, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 1})
	if err != nil || short.Objective <= long.Objective {
		t.Fatalf("%v after one node, %v after 400; %v", short.Objective, long.Objective, err)
	}
	for name, change := range map[string]func(x []float64){
		"whole":                   func([]float64) {},
		"without the misses":      func(x []float64) { fill(x[40:], math.NaN()) },
		"misses out of bounds":    func(x []float64) { fill(x[40:], -5) },
		"some choices left open":  func(x []float64) { fill(x[:5], math.NaN()); fill(x[40:], math.NaN()) },
		"some choices impossible": func(x []float64) { fill(x[:5], 3); fill(x[40:], math.NaN()) },
		"nearly whole":            func(x []float64) { x[0] += 1e-7 },
	} {
		start := append([]float64(nil), long.X...)
		change(start)
		first := math.NaN()
		r, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 1, Start: start, Improved: func(_ []float64, objective float64) {
			if math.IsNaN(first) {
				first = objective
			}
		}})
		if err != nil || r.Objective > long.Objective || first > long.Objective {
			t.Errorf("%s: %v, begun with %v; the start has %v; %v", name, r.Objective, first, long.Objective, err)
		}
		checkSolution(t, m, r)
	}
	// A start that says nothing, and one that is wrong throughout, do no harm.
	for _, v := range []float64{math.NaN(), 1e9, 1} {
		start := make([]float64, len(m.Columns))
		fill(start, v)
		r, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 1, Start: start})
		if err != nil || r.Status != Feasible {
			t.Errorf("start of %v throughout: %v, %v", v, r.Status, err)
		}
	}
}

func fill(x []float64, v float64) {
	for j := range x {
		x[j] = v
	}
}

// TestHiGHSStops ends solves from within, so that no test waits for a clock.
func TestHiGHSStops(t *testing.T) {
	needHiGHS(t)
	m := marketSplit(4, 40) // has no end within a test
	over := func(name string, ctx context.Context, o Options, want Status) Result {
		t.Helper()
		o.Engine = HiGHS
		r, err := Solve(ctx, m, o)
		if err != nil || r.Status != want {
			t.Errorf("%s: %v, %v; want %v", name, r.Status, err, want)
		}
		if r.Status == Feasible {
			checkSolution(t, m, r)
			if r.Bound > r.Objective || r.Bound < 0 {
				t.Errorf("%s: objective %v, bound %v", name, r.Objective, r.Bound)
			}
		}
		return r
	}
	cancelled, cancel := context.WithCancel(context.Background())
	cancel()
	over("cancelled before", cancelled, Options{}, Stopped)
	over("relaxation, cancelled before", cancelled, Options{RelaxIntegers: true}, Stopped)

	ctx, cancel := context.WithCancel(context.Background())
	last := math.NaN()
	r := over("cancelled at a solution", ctx, Options{Improved: func(_ []float64, objective float64) {
		last = objective
		cancel()
	}}, Feasible)
	if r.Objective != last {
		t.Errorf("cancelled at a solution of %v, ended with %v", last, r.Objective)
	}
	ctx, cancel = context.WithCancel(context.Background())
	over("cancelled at a report", ctx, Options{Progress: func(p Progress) {
		if p.HasIncumbent && p.Nodes > 10 {
			cancel()
		}
	}}, Feasible)
	over("a deadline that tells nobody", quietDeadline{context.Background(), time.Now().Add(5 * time.Second)}, Options{}, Feasible)
}

// TestWorkLimit stops after the same amount of work each time.
func TestWorkLimit(t *testing.T) {
	needHiGHS(t)
	m := marketSplit(4, 40)
	for _, limit := range []int{1, 300, 1000} {
		first, err := Solve(context.Background(), m, Options{Engine: HiGHS, WorkLimit: limit})
		if err != nil || first.Work < limit || first.Work > limit+500 || limit == 1000 && first.Status != Feasible {
			t.Errorf("limit %d: %v after %d, %v", limit, first.Status, first.Work, err)
		}
		second, _ := Solve(context.Background(), m, Options{Engine: HiGHS, WorkLimit: limit})
		if !reflect.DeepEqual(first, second) {
			t.Errorf("limit %d: %+v and %+v", limit, first, second)
		}
	}
}

// A quietDeadline has a deadline but does not end by it.
type quietDeadline struct {
	context.Context
	at time.Time
}

func (c quietDeadline) Deadline() (time.Time, bool) { return c.at, true }

// TestHiGHSStopsAnywhere ends solves of known optimum when HiGHS has read its clock so many times: what it then says must be true.
func TestHiGHSStopsAnywhere(t *testing.T) {
	needHiGHS(t)
	seen := map[Status]int{}
	for seed := range uint64(3) {
		m := boardLike(seed, []int{4, 3, 2, 3}, 6)
		m.Constant = -1e6
		if seed == 1 {
			m.Maximize = true
		}
		left := math.MaxInt
		best, err := Solve(countdown{context.Background(), &left}, m, Options{Engine: HiGHS})
		if err != nil || best.Status != Optimal {
			t.Fatal(best.Status, err)
		}
		asked := math.MaxInt - left
		for k := 0; k < asked; k += 1 + asked/20 {
			left := k
			r, err := Solve(countdown{context.Background(), &left}, m, Options{Engine: HiGHS})
			seen[r.Status]++
			sign := m.sign()
			if err != nil || sign*(r.Bound-best.Objective) > 1e-6 || r.X != nil && sign*(r.Objective-best.Objective) < -1e-6 {
				t.Errorf("ended after %d questions: %v %v, bound %v, best %v; %v", k, r.Status, r.Objective, r.Bound, best.Objective, err)
			}
			if r.X != nil {
				checkSolution(t, m, r)
			}
		}
	}
	if seen[Feasible] == 0 || seen[Stopped] == 0 || seen[Infeasible]+seen[Unbounded] > 0 {
		t.Errorf("statuses %v", seen)
	}
}

// A countdown ends when it has been asked so many times.
type countdown struct {
	context.Context
	left *int
}

func (c countdown) Err() error {
	*c.left--
	if *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestHiGHSProgress holds what is reported while solving against what comes out.
func TestHiGHSProgress(t *testing.T) {
	needHiGHS(t)
	m := marketSplit(3, 40)
	m.Constant = 1000
	start := make([]float64, len(m.Columns))
	fill(start[5:], math.NaN()) // HiGHS solves a smaller problem first, to complete it
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var reports []Progress
	r, err := Solve(ctx, m, Options{Engine: HiGHS, Start: start, Progress: func(p Progress) {
		reports = append(reports, p)
		if len(reports) == 4 {
			cancel()
		}
	}})
	if err != nil || r.Status != Feasible || len(reports) < 4 {
		t.Fatalf("%v, %v, %d reports", r.Status, err, len(reports))
	}
	for k, p := range reports {
		if p.HasIncumbent && p.Incumbent < r.Objective-1e-6 || p.Bound > r.Bound+1e-6 || p.Nodes > r.Nodes || k > 0 && p.Nodes < reports[k-1].Nodes {
			t.Errorf("report %+v before %v, bound %v, %d nodes", p, r.Objective, r.Bound, r.Nodes)
		}
	}
	if last := reports[3]; !last.HasIncumbent || last.Bound < 1000 {
		t.Errorf("last report %+v", last)
	}
}

// TestHiGHSFaults provokes exceptions inside HiGHS, side by side with good solves, which they must not touch.
func TestHiGHSFaults(t *testing.T) {
	needHiGHS(t)
	leak := goleak.IgnoreCurrent()
	k := published(t)[1]
	var all sync.WaitGroup
	for g := range 2 {
		all.Go(func() {
			for n := range 5 {
				_, err := solve(context.Background(), k.model, Options{Engine: HiGHS}, &probe{faults: 2})
				if err == nil || !strings.Contains(err.Error(), "HiGHS found no answer that holds: HiGHS met an exception") {
					t.Errorf("goroutine %d, fault %d: error %v", g, n, err)
				}
				r, err := solve(context.Background(), k.model, Options{Engine: HiGHS}, &probe{faults: 1})
				if err != nil || r.Status != Optimal || r.Objective != k.best || !strings.Contains(r.Message, "HiGHS met an exception") {
					t.Errorf("goroutine %d, after fault %d: %+v, %v", g, n, r, err)
				}
			}
		})
	}
	all.Wait()
	if err := goleak.Find(leak); err != nil {
		t.Error(err)
	}
}

// TestPanicOfACallback comes through to the caller.
func TestPanicOfACallback(t *testing.T) {
	needHiGHS(t)
	defer func() {
		if v := recover(); v != "mine" {
			t.Errorf("recovered %v", v)
		}
	}()
	r, err := Solve(context.Background(), marketSplit(3, 30), Options{Engine: HiGHS, Improved: func([]float64, float64) { panic("mine") }})
	t.Errorf("returned %v, %v", r.Status, err)
}

// TestGaps stops at a gap, absolute or relative.
func TestGaps(t *testing.T) {
	needHiGHS(t)
	k := published(t)[6]
	early := 0
	for _, gap := range []float64{500, 50, 0.5} {
		for _, o := range []Options{{AbsoluteGap: gap}, {RelativeGap: gap / k.best}} {
			o.Engine = HiGHS
			r, err := Solve(context.Background(), k.model, o)
			if err != nil || math.Abs(r.Objective-r.Bound) > gap*1.1 || r.Objective < k.best-gap || r.Bound < k.best {
				t.Errorf("%+v: %v %v, bound %v, best %v; %v", o, r.Status, r.Objective, r.Bound, k.best, err)
			}
			if r.Status == Feasible {
				early++
			}
		}
	}
	if early == 0 {
		t.Error("no gap stopped the search early")
	}
}

// TestOptionsOfHiGHS: values of every type are taken, and what HiGHS does not take is an error with its words.
func TestOptionsOfHiGHS(t *testing.T) {
	needHiGHS(t)
	k := published(t)[1]
	good := map[string]string{"mip_heuristic_effort": "0.2", "random_seed": "3", "mip_detect_symmetry": "false", "solver": "simplex"}
	if r, err := Solve(context.Background(), k.model, Options{Engine: HiGHS, Set: good}); err != nil || r.Objective != k.best {
		t.Errorf("%v %v, %v", r.Status, r.Objective, err)
	}
	for want, set := range map[string]map[string]string{
		`option "no_such_option" of HiGHS cannot be "1": ERROR: getOptionIndex: Option "no_such_option" is unknown`: {"no_such_option": "1"},
		`option "mip_heuristic_effort" of HiGHS cannot be "7"`:                                                      {"mip_heuristic_effort": "7"},
		`option "random_seed" of HiGHS cannot be "many"`:                                                            {"random_seed": "many"},
	} {
		if _, err := Solve(context.Background(), k.model, Options{Engine: HiGHS, Set: set}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %s", err, want)
		}
	}
}

// TestLargeCounts: rounding an integer column keeps a row with a large coefficient, or the others are fitted again.
func TestLargeCounts(t *testing.T) {
	needHiGHS(t)
	m := &Model{Columns: []Column{{High: 9, Integer: true, Objective: 1}, {High: 1e6, Objective: 1e-6}},
		Rows: []Row{{Low: 5e5 + 0.25, High: inf, Terms: []Term{{0, 1e5}, {1, 1}}}}}
	r, err := Solve(context.Background(), m, Options{Engine: HiGHS})
	if err != nil || r.Status != Optimal || r.X[0] != 0 || math.Abs(r.X[1]-500000.25) > 1e-6 {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestCompilationCache: compiled code is kept; where it cannot be, or is damaged, HiGHS is compiled again.
func TestCompilationCache(t *testing.T) {
	needHiGHS(t)
	program, err := highsFiles.ReadFile(highsFile)
	if err != nil {
		t.Fatal(err)
	}
	load := func(dir string) {
		t.Helper()
		m, err := loadHighs(program, dir)
		if err != nil {
			t.Fatal(err)
		}
		_ = m.runtime.Close(context.Background())
	}
	kept := func(dir string) (files []string) {
		_ = filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				files = append(files, path)
			}
			return nil
		})
		return files
	}
	dir := filepath.Join(t.TempDir(), "stavewright")
	load(dir)
	files := kept(dir)
	if len(files) == 0 {
		t.Fatal("nothing is kept")
	}
	for _, f := range files {
		if err := os.Truncate(f, 100); err != nil {
			t.Fatal(err)
		}
	}
	load(dir)
	if files := kept(dir); len(files) != 0 {
		t.Errorf("damaged files are still there: %q", files)
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	load(filepath.Join(file, "stavewright"))
}

// TestExportedNames reads the short names of what HiGHS exports from the script that comes with the module, where that is at hand:
// STAVEWRIGHT_HIGHS_JS is its path.
func TestExportedNames(t *testing.T) {
	script, err := os.ReadFile(os.Getenv("STAVEWRIGHT_HIGHS_JS"))
	if err != nil {
		t.Skip("needs the package's highs.js")
	}
	for name, short := range map[string]string{
		"_malloc": fnMalloc, "_Highs_create": fnCreate, "_Highs_run": fnRun, "_Highs_passLp": fnPassLp, "_Highs_passMip": fnPassMip,
		"_Highs_setStringOptionValue": fnSetOption, "_Highs_getIntInfoValue": fnIntInfo, "_Highs_getInt64InfoValue": fnInt64Info,
		"_Highs_getDoubleInfoValue": fnDoubleInfo, "_Highs_getSolution": fnSolution, "_Highs_getModelStatus": fnModelStatus,
		"_Highs_setSparseSolution": fnSetSparse, "_Highs_js_setCallback": fnSetCallback, "_Highs_startCallback": fnStartCallback,
		"_Highs_getCallbackDataOutItem": fnCallbackItem, "wasmTable": "sc",
	} {
		if !regexp.MustCompile(`\b` + name + `=(Module\["` + name + `"\]=)?wasmExports\["` + short + `"\]`).Match(script) {
			t.Errorf("%s is not %q", name, short)
		}
	}
	if imports := regexp.MustCompile(`wasmImports=\{([^}]*)\}`).FindSubmatch(script); imports == nil || string(imports[1]) != "a:___cxa_throw,e:___syscall_fcntl64,"+
		"h:___syscall_ioctl,i:___syscall_openat,k:__abort_js,s:__emscripten_runtime_keepalive_clear,l:__setitimer_js,m:__tzset_js,p:_clock_time_get,"+
		"j:_emscripten_date_now,c:_emscripten_get_now,q:_emscripten_resize_heap,n:_environ_get,o:_environ_sizes_get,b:_exit,d:_fd_close,g:_fd_read,"+
		"t:_fd_seek,f:_fd_write,r:_proc_exit" {
		t.Errorf("imports %s", imports)
	}
}

// TestHiGHSTwice solves twice to a limit, with everything asked for, and beside another solve.
func TestHiGHSTwice(t *testing.T) {
	needHiGHS(t)
	m := marketSplit(3, 40)
	type trace struct {
		Result Result
		Found  []float64
	}
	traces := make([]trace, 3)
	var all sync.WaitGroup
	for k := range traces {
		all.Go(func() {
			if k == 2 {
				_, _ = Solve(context.Background(), marketSplit(2, 30), Options{Engine: HiGHS, NodeLimit: 200})
			}
			r, err := Solve(context.Background(), m, Options{Engine: HiGHS, NodeLimit: 300, Progress: func(Progress) {},
				Improved: func(_ []float64, objective float64) { traces[k].Found = append(traces[k].Found, objective) }})
			if err != nil {
				t.Error(err)
			}
			traces[k].Result = r
		})
	}
	all.Wait()
	for k := range traces {
		if !reflect.DeepEqual(traces[k], traces[0]) {
			t.Errorf("not the same: %s and %s", fmt.Sprint(traces[0]), fmt.Sprint(traces[k]))
		}
	}
}

// TestMemoryOfHiGHSIsGivenBack: an instance takes 20 MB and more.
func TestMemoryOfHiGHSIsGivenBack(t *testing.T) {
	needHiGHS(t)
	k := published(t)[1]
	heap := func() int {
		var s runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&s)
		return int(s.HeapAlloc >> 20)
	}
	round := func() {
		for faults := range 2 {
			if _, err := solve(context.Background(), k.model, Options{Engine: HiGHS}, &probe{faults: faults}); err != nil {
				t.Fatal(err)
			}
		}
	}
	round()
	before := heap()
	for range 20 {
		round()
	}
	if after := heap(); after > before+20 {
		t.Errorf("%d MB in use before 40 solves, %d after", before, after)
	}
}

// BenchmarkHiGHSOverhead solves next to nothing: what it takes is what an instance costs.
func BenchmarkHiGHSOverhead(b *testing.B) {
	needHiGHS(b)
	for b.Loop() {
		if r, err := Solve(context.Background(), small()[0].model, Options{Engine: HiGHS}); err != nil || r.Status != Optimal {
			b.Fatal(r.Status, err)
		}
	}
}
