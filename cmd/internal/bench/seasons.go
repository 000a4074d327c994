package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"stavewright/optimize"
	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
)

// seasonNames are the cases of seasons: F with layouts kept, J with everything free, and how many models; the demo's.
var seasonNames = []string{"F40", "J10", "J20", "J40", demoSeason}

const demoSeason = "DS"

// seasonPeers are the other solvers for the exported direct program.
var seasonPeers = []string{"cbc", "highs"}

// A seasonRun is what a search of a season brought back in its time.
type seasonRun struct {
	cost, bound float64 // NaN: none
	first       float64 // seconds to the first plan; NaN: not told
	seconds     float64
	proven      bool
	asked       bool
}

func (r seasonRun) gapPct() float64 {
	if r.proven {
		return 0
	}
	return 100 * (r.cost - r.bound) / r.cost
}

// A seasonRow is a line of the table.
type seasonRow struct {
	name       string
	seed       int
	ours       seasonRun
	firstCost  float64     // of layouts first, proven; NaN with layouts kept
	peers      []seasonRun // in the order of seasonPeers
	rows, cols int
}

// measureSeasons runs season cases and prints their table. A fault is a plan or a bound that another answer proves wrong.
func measureSeasons(o options, names []string, stdout, progress io.Writer) (faults []string, err error) {
	var rows []seasonRow
	for _, name := range names {
		seeds := o.seeds
		if name == demoSeason {
			seeds = 1
		}
		for seed := 1; seed <= seeds; seed++ {
			r, wrong, err := runSeason(o, name, seed, progress)
			if err != nil {
				return nil, fmt.Errorf("%s %d: %w", name, seed, err)
			}
			rows, faults = append(rows, r), append(faults, wrong...)
		}
	}
	writeSeasons(stdout, rows, o)
	return faults, nil
}

func runSeason(o options, name string, seed int, progress io.Writer) (r seasonRow, faults []string, err error) {
	r = seasonRow{name: name, seed: seed, firstCost: math.NaN(), peers: make([]seasonRun, len(seasonPeers))}
	mode := optimize.SeasonJoint
	if name[0] == 'F' {
		mode = optimize.SeasonKeep
	}
	s, err := seasonOf(name, uint64(seed))
	if err != nil {
		return r, nil, err
	}
	say := func(who string, n seasonRun) {
		fmt.Fprintf(progress, "%s %d: %s: cost %.2f, bound %.2f, gap %.3f %%, first plan after %.2f s, %.2f s in all\n", name, seed, who, n.cost, n.bound, n.gapPct(), n.first, n.seconds)
	}
	if r.ours, err = ourSeason(s, mode, o.limit); err != nil {
		return r, nil, err
	}
	say("ours", r.ours)
	if mode == optimize.SeasonJoint {
		first, err := ourSeason(s, optimize.SeasonFirst, o.limit)
		if err != nil {
			return r, nil, err
		}
		r.firstCost = first.cost
		if r.ours.cost > first.cost+0.01 {
			faults = append(faults, fmt.Sprintf("%s %d: together %.2f, layouts first %.2f", name, seed, r.ours.cost, first.cost))
		}
	}
	m, _, err := optimize.DirectSeason(context.Background(), s, mode)
	if err != nil {
		return r, nil, err
	}
	r.rows, r.cols = len(m.Rows), len(m.Columns)
	for i, who := range seasonPeers {
		if !slices.Contains(o.peers, who) {
			continue
		}
		solve := cbcSeason
		if who == "highs" {
			solve = highsSeason
		}
		if r.peers[i], err = solve(m, o.limit); errors.Is(err, errMissing) {
			fmt.Fprintf(progress, "%s is not installed\n", who)
			continue
		}
		if err != nil {
			return r, nil, err
		}
		r.peers[i].asked = true
		say(who, r.peers[i])
		// Costs are sums of rounded lines with us, and exact with them.
		const cent = 1.0
		if p := r.peers[i]; r.ours.bound > p.cost+cent {
			faults = append(faults, fmt.Sprintf("%s %d: %s has a plan for %.2f, our bound is %.2f", name, seed, who, p.cost, r.ours.bound))
		} else if p.bound > r.ours.cost+cent {
			faults = append(faults, fmt.Sprintf("%s %d: we have a plan for %.2f, the bound of %s is %.2f", name, seed, r.ours.cost, who, p.bound))
		}
	}
	return r, faults, nil
}

// seasonOf is the season of a case.
func seasonOf(name string, seed uint64) (*optimize.Season, error) {
	if name == demoSeason {
		job, offers, err := demo()
		if err != nil {
			return nil, err
		}
		s, findings := job.Season(offers)
		if s == nil {
			return nil, fmt.Errorf("the demo: %s", findings)
		}
		return s, nil
	}
	models, err := strconv.Atoi(name[1:])
	if err != nil {
		return nil, err
	}
	return invented.Season(models, seed), nil
}

// ourSeason is this program's search.
func ourSeason(s *optimize.Season, mode optimize.SeasonMode, limit time.Duration) (seasonRun, error) {
	r := seasonRun{first: math.NaN(), asked: true}
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	begin := time.Now()
	p, err := optimize.SolveSeason(ctx, s, optimize.SeasonOptions{Mode: mode, Progress: func(now optimize.SeasonProgress) {
		if now.HasCost && math.IsNaN(r.first) {
			r.first = time.Since(begin).Seconds()
		}
	}})
	r.seconds = time.Since(begin).Seconds()
	if none := (*optimize.NoPlanError)(nil); errors.As(err, &none) {
		r.cost, r.bound = math.NaN(), math.NaN()
		return r, nil
	}
	if p == nil {
		return r, err
	}
	if err := p.Verify(); err != nil {
		return r, err
	}
	if math.IsNaN(r.first) {
		r.first = r.seconds
	}
	r.cost, r.bound, r.proven = p.Cost.InexactFloat64(), p.Bound.InexactFloat64(), p.Proven
	return r, nil
}

var cbcSays = regexp.MustCompile(`(?m)^(Objective value|Lower bound|Result - )[:\s]*(.*)$`)

// cbcSeason is CBC's command on the exported MPS.
func cbcSeason(m *mip.Model, limit time.Duration) (seasonRun, error) {
	r := seasonRun{cost: math.NaN(), bound: math.NaN(), first: math.NaN()}
	path, err := exec.LookPath("cbc")
	if err != nil {
		return r, errMissing
	}
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return r, err
	}
	defer os.RemoveAll(dir)
	var text bytes.Buffer
	if err := mip.WriteMPS(&text, m); err != nil {
		return r, err
	}
	file := filepath.Join(dir, "p.mps")
	if err := os.WriteFile(file, text.Bytes(), 0o600); err != nil {
		return r, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*limit+time.Minute) // should it not look at its own clock
	defer cancel()
	begin := time.Now()
	out, err := exec.CommandContext(ctx, path, file, "timeMode", "elapsed", "sec", strconv.FormatFloat(limit.Seconds(), 'f', 1, 64), "threads", strconv.Itoa(runtime.GOMAXPROCS(0)),
		"ratioGap", "0", "allowableGap", "0", "solve").CombinedOutput()
	r.seconds = time.Since(begin).Seconds()
	if err != nil {
		return r, fmt.Errorf("cbc: %w\n%s", err, out)
	}
	for _, line := range cbcSays.FindAllStringSubmatch(string(out), -1) {
		v, err := strconv.ParseFloat(strings.TrimSpace(line[2]), 64)
		switch line[1] {
		case "Objective value":
			if err == nil && v < 1e49 {
				r.cost = v
			}
		case "Lower bound":
			if err == nil {
				r.bound = v
			}
		default:
			r.proven = strings.HasPrefix(line[2], "Optimal solution found")
		}
	}
	if r.proven {
		r.bound = r.cost
	}
	return r, nil
}

// highsSeason is HiGHS on the same program.
func highsSeason(m *mip.Model, limit time.Duration) (seasonRun, error) {
	r := seasonRun{cost: math.NaN(), bound: math.NaN(), first: math.NaN()}
	s, err := startHiGHS(&exported{model: m, ei: -1})
	if err != nil {
		return r, err
	}
	defer s.close()
	begin := time.Now()
	a, err := s.(*highsLoop).ask(map[string]float64{"seconds": limit.Seconds()})
	r.seconds = time.Since(begin).Seconds()
	if err != nil {
		return r, err
	}
	if a.Objective != nil {
		r.cost = *a.Objective
	}
	if a.Bound != nil {
		r.bound = *a.Bound
	}
	r.proven = a.Status == "optimal"
	return r, nil
}

// money is a figure, or nothing where there is none.
func money(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

func firstPlan(s float64) string {
	if math.IsNaN(s) {
		return "none"
	}
	return seconds(s)
}

// writeSeasons prints the table as Markdown.
func writeSeasons(w io.Writer, rows []seasonRow, o options) {
	t := table.NewWriter()
	t.SetOutputMirror(w)
	head := table.Row{"case", "seed", "rows × columns", "layouts first", "first plan s", "cost", "bound", "gap %", "s"}
	for _, p := range seasonPeers {
		head = append(head, p+" cost", p+" bound", p+" gap %", p+" s")
	}
	var align []table.ColumnConfig
	for i := 3; i <= len(head); i++ {
		align = append(align, table.ColumnConfig{Number: i, Align: text.AlignRight})
	}
	t.AppendHeader(head)
	t.SetColumnConfigs(align)
	gap := func(r seasonRun) string {
		if g := r.gapPct(); !math.IsNaN(g) {
			return strconv.FormatFloat(g, 'f', 3, 64)
		}
		return ""
	}
	for _, r := range rows {
		line := table.Row{r.name, r.seed, fmt.Sprintf("%d × %d", r.rows, r.cols), "", firstPlan(r.ours.first), money(r.ours.cost), money(r.ours.bound), gap(r.ours), seconds(r.ours.seconds)}
		if !math.IsNaN(r.firstCost) {
			line[3] = money(r.firstCost)
		}
		for _, p := range r.peers {
			if !p.asked {
				line = append(line, "", "", "", "")
				continue
			}
			line = append(line, money(p.cost), money(p.bound), gap(p), seconds(p.seconds))
		}
		t.AppendRow(line)
	}
	t.RenderMarkdown()
	fmt.Fprintf(w, "\nSeasons: %d cores, one run each, a cap of %v s; %s/%s. A gap of 0 is a proof.\n", runtime.GOMAXPROCS(0), o.limit.Seconds(), runtime.GOOS, runtime.GOARCH)
}
