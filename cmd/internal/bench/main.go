// Command bench measures how long fronts take, on generated cores from small to large and on the demo: this program's two methods,
// and the plain loop "solve, raise the bound, solve again" with other solvers on the exported models. It holds all fronts equal, and
// ends with status 1 when they are not. Of seasons it shows the cost of the best plan after some seconds, by this program and by other solvers on
// the exported direct program.
//
// It is for contributors: go run ./cmd/internal/bench -help.
package main

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"stavewright/optimize"
	"stavewright/optimize/mip"
)

// options are the flags.
type options struct {
	cases   []string
	seasons []string
	seeds   int
	runs    int
	limit   time.Duration // per peer and front; of the integer programs too
	peers   []string
	chart   string

	// Of seasons:
	times              []float64 // s, rising
	oneRun             bool      // ours is one run of the longest time
	gapPct             float64   // at which ours is done
	peersOnly          bool
	peersFrom, peersTo string // files of timelines
	highs              string // folder of the npm package
	mps                string // folder to keep the exported programs in
}

func main() {
	o, err := parse(os.Args[1:])
	if err == nil {
		err = measure(o, os.Stdout, os.Stderr)
	}
	switch {
	case errors.Is(err, flag.ErrHelp):
	case err != nil:
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func parse(args []string) (options, error) {
	f := flag.NewFlagSet("bench", flag.ContinueOnError)
	cases := f.String("cases", "T,S,M,L,X,S3,L3,P,D", "which cases: T (tiny, by brute force too), S, M, L, X, with three objectives S3, L3; P (S over 16 profile factors); D (the demo); seasons: F40 (40 models, layouts kept), J10, J20, J40 (layouts free), demo, a factory's name, or all factories of a half: tuned, held")
	seeds := f.Int("seeds", 3, "how many cores of each generated case")
	runs := f.Int("runs", 3, "runs of each search; the median counts. A peer that takes more than a third of its time is run once")
	limit := f.Float64("cap", 60, "seconds that a peer's loop, or one by integer programs, may take for a front")
	names := f.String("peers", "plain,glpk,cbc,highs", "other solvers to run: plain (GLPK, no classes), glpk, cbc, highs; empty for none. Seasons have cbc and highs")
	chart := f.String("chart", "", "file for a chart of S, M and L, as SVG")
	var o options
	times := f.String("times", "10,60,300", "seasons: seconds after which costs are compared; the last one is the time limit")
	f.BoolVar(&o.oneRun, "one-run", false, "seasons: ours is one run of the longest time, not one for each time")
	f.Float64Var(&o.gapPct, "gap", 0, "seasons: the gap in % at which our search is done")
	f.BoolVar(&o.peersOnly, "peers-only", false, "seasons: run the other solvers only")
	f.StringVar(&o.peersFrom, "peers-from", "", "seasons: file with earlier results of the other solvers; those in it do not run again")
	f.StringVar(&o.peersTo, "peers-to", "", "seasons: file to add the other solvers' results to")
	f.StringVar(&o.highs, "highs", cmp.Or(os.Getenv("STAVEWRIGHT_HIGHS"), "node_modules/highs"), "seasons: folder of the npm package highs, which Node.js runs; or set STAVEWRIGHT_HIGHS")
	f.StringVar(&o.mps, "mps", "", "seasons: existing folder to keep the exported programs in")
	if err := f.Parse(args); err != nil {
		return options{}, err
	}
	o.seeds, o.runs, o.limit, o.chart = *seeds, *runs, time.Duration(*limit*float64(time.Second)), *chart
	for s := range strings.SplitSeq(*times, ",") {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil || v <= 0 || len(o.times) > 0 && v <= o.times[len(o.times)-1] {
			return o, fmt.Errorf("times are rising seconds separated by commas, not %q", *times)
		}
		o.times = append(o.times, v)
	}
	if f.NArg() > 0 || o.seeds < 1 || o.runs < 1 || o.limit <= 0 {
		return o, errors.New("seeds, runs and cap are above 0, and nothing but flags is taken")
	}
	for name := range strings.SplitSeq(*cases, ",") {
		if all := seasonsCalled(name); all != nil {
			o.seasons = append(o.seasons, all...)
			continue
		}
		if !slices.Contains(caseNames, name) {
			return o, fmt.Errorf("there is no case %q; there are %s, %s, tuned, held, factories", name, strings.Join(caseNames, ", "), strings.Join(seasonNames, ", "))
		}
		o.cases = append(o.cases, name)
	}
	for name := range strings.SplitSeq(*names, ",") {
		if name != "" && !slices.ContainsFunc(peers, func(r peer) bool { return r.name == name }) {
			return o, fmt.Errorf("there is no peer %q; there are glpk, cbc, highs", name)
		}
		o.peers = append(o.peers, name)
	}
	return o, nil
}

// A row is what is known about one case and seed.
type row struct {
	benchCase
	ours, integer run
	peers         []run // in the order of [peers]; no points and not complete where not run
	asked         []bool
}

func measure(o options, stdout, progress io.Writer) error {
	var rows []row
	var faults []string
	for _, name := range o.cases {
		cases, err := casesOf(name, o.seeds)
		if err != nil {
			return err
		}
		for _, c := range cases {
			r, wrong, err := c.run(o, progress)
			if err != nil {
				return fmt.Errorf("%s %s: %w", c.name, c.which, err)
			}
			rows = append(rows, r)
			faults = append(faults, wrong...)
		}
	}
	if len(o.cases) > 0 {
		write(stdout, rows, o)
	}
	if len(o.seasons) > 0 {
		wrong, err := measureSeasons(o, o.seasons, stdout, progress)
		if err != nil {
			return err
		}
		faults = append(faults, wrong...)
	}
	if o.chart != "" {
		if err := os.WriteFile(o.chart, chart(rows, o), 0o644); err != nil {
			return err
		}
	}
	if len(faults) > 0 {
		return errors.New("answers are missing or do not agree:\n  " + strings.Join(faults, "\n  "))
	}
	return nil
}

// run measures a case and holds its fronts against each other.
func (c benchCase) run(o options, progress io.Writer) (r row, faults []string, err error) {
	r = row{benchCase: c, peers: make([]run, len(peers)), asked: make([]bool, len(peers))}
	say := func(who string, n run) {
		fmt.Fprintf(progress, "%s %s: %s: %d points, %d solves, %.3f s, complete %v, %.0f MB\n", c.name, c.which, who, len(n.points), n.solves, n.seconds, n.complete, n.peakMB)
	}
	hold := func(who string, n run) {
		say(who, n)
		if n.fault != "" {
			faults = append(faults, fmt.Sprintf("%s %s: %s", c.name, c.which, n.fault))
		}
		if f := differ(n, r.ours); f != "" {
			faults = append(faults, fmt.Sprintf("%s %s: %s: %s", c.name, c.which, who, f))
		}
	}
	if r.ours, err = c.median(o, optimize.Options{}); err != nil {
		return r, nil, err
	}
	say("as chosen, by "+string(r.ours.method), r.ours)
	if !r.ours.complete {
		return r, nil, errors.New("the search as chosen did not end")
	}
	if mip.Available {
		if r.integer, err = c.median(o, optimize.Options{Method: optimize.IntegerProgram}); err != nil {
			return r, nil, err
		}
		hold("integer programs", r.integer)
	}
	if c.brute {
		all, err := c.bruteForce()
		if err != nil {
			return r, nil, err
		}
		hold("brute force", all)
	}
	if !c.peers {
		return r, faults, nil
	}
	for i, p := range peers {
		if !slices.Contains(o.peers, p.name) {
			continue
		}
		e, err := p.export(c.programs[0])
		if err != nil {
			return r, nil, err
		}
		r.peers[i], err = medianOf(o, func() (run, error) { return p.loop(e, o.limit) })
		if errors.Is(err, errMissing) {
			fmt.Fprintf(progress, "%s is not installed\n", p.name)
			continue
		}
		if err != nil {
			return r, nil, err
		}
		r.asked[i] = true
		hold(p.name, r.peers[i])
	}
	return r, faults, nil
}

// median searches every program of a case, o.runs times; a search that has been stopped is not tried again.
func (c benchCase) median(o options, how optimize.Options) (run, error) {
	how.Objectives = c.objectives
	return medianOf(o, func() (run, error) {
		out := run{complete: true}
		ctx, cancel := context.WithCancel(context.Background())
		if how.Method == optimize.IntegerProgram {
			ctx, cancel = context.WithTimeout(ctx, o.limit)
		}
		defer cancel()
		peak := watchHeap()
		begin := time.Now()
		for i, p := range c.programs {
			r, err := optimize.Front(ctx, p, how)
			if err != nil {
				return out, err
			}
			out.method = r.Method
			out.solves += r.Solves
			out.complete = out.complete && r.Complete
			for _, pt := range r.Points {
				if r.Unproven {
					break
				}
				out.points = append(out.points, append(steps(pt, r.Objectives), int64(i)))
			}
		}
		out.seconds = time.Since(begin).Seconds()
		out.peakMB = peak()
		return out, nil
	})
}

// medianOf runs f as often as o says, but a peer that needs long once, and gives the run of median time.
func medianOf(o options, f func() (run, error)) (run, error) {
	var all []run
	for range o.runs {
		r, err := f()
		if err != nil {
			return r, err
		}
		all = append(all, r)
		if !r.complete || r.seconds > o.limit.Seconds()/3 {
			break
		}
	}
	slices.SortStableFunc(all, func(a, b run) int { return cmp.Compare(a.seconds, b.seconds) })
	return all[len(all)/2], nil
}

// steps are a point's objectives as integers, all minimised.
func steps(p optimize.Point, objectives []optimize.Objective) []int64 {
	var v []int64
	for _, o := range objectives {
		switch o {
		case optimize.Mass:
			v = append(v, int64(math.Round(p.CoreMassG*100)))
		case optimize.EI:
			v = append(v, -int64(math.Round(p.EINM2*100)))
		case optimize.Cost:
			v = append(v, p.Cost.Shift(2).IntPart())
		}
	}
	return v
}

// differ says how a front differs from ours: it must be equal, or, when it was stopped, a part of it. The last point of a
// stopped loop may still be bettered by one as light.
func differ(r, ours run) string {
	points := r.points
	if !r.complete && len(points) > 0 && r.method == "" {
		points = points[:len(points)-1]
	}
	known := map[string]bool{}
	for _, v := range ours.points {
		known[key(v)] = true
	}
	for _, v := range points {
		if !known[key(v)] {
			return fmt.Sprintf("%v is not on the front", v)
		}
	}
	if r.complete && len(points) != len(ours.points) {
		return fmt.Sprintf("%d points, not %d", len(points), len(ours.points))
	}
	return ""
}

func key(v []int64) string { return fmt.Sprint(v) }

// write prints the table as Markdown.
func write(w io.Writer, rows []row, o options) {
	t := table.NewWriter()
	t.SetOutputMirror(w)
	head := table.Row{"case", "seed", "points", "seconds", "by", "integer programs s", "solves a point"}
	align := []table.ColumnConfig{{Number: 3, Align: text.AlignRight}, {Number: 4, Align: text.AlignRight}, {Number: 6, Align: text.AlignRight}, {Number: 7, Align: text.AlignRight}}
	for _, p := range peers {
		head = append(head, p.name+" s")
		align = append(align, table.ColumnConfig{Number: len(head), Align: text.AlignRight})
	}
	head = append(head, "best peer / ours", "peak heap MB")
	align = append(align, table.ColumnConfig{Number: len(head) - 1, Align: text.AlignRight}, table.ColumnConfig{Number: len(head), Align: text.AlignRight})
	t.AppendHeader(head)
	t.SetColumnConfigs(align)
	for _, r := range rows {
		line := table.Row{r.name, r.which, len(r.ours.points), seconds(r.ours.seconds), r.ours.method, "", ""}
		if mip.Available {
			line[5] = r.integer.shown(o)
			if r.integer.complete {
				line[6] = fmt.Sprintf("%.2f", float64(r.integer.solves)/float64(len(r.integer.points)))
			}
		}
		for i, p := range r.peers {
			cell := ""
			if r.asked[i] {
				cell = p.shown(o)
			}
			line = append(line, cell)
		}
		t.AppendRow(append(line, r.ratio(o), fmt.Sprintf("%.0f", r.ours.peakMB)))
	}
	t.RenderMarkdown()
	fmt.Fprintf(w, "\n%d cores, medians of %d, a cap of %v s; %s/%s.\n", runtime.GOMAXPROCS(0), o.runs, o.limit.Seconds(), runtime.GOOS, runtime.GOARCH)
}

// seconds has three figures, or two decimals less than a millisecond's.
func seconds(s float64) string {
	switch {
	case s >= 10:
		return fmt.Sprintf("%.1f", s)
	case s >= 1:
		return fmt.Sprintf("%.2f", s)
	}
	return fmt.Sprintf("%.3f", s)
}

// shown is a run's time, or that it ran out of it, with what it had.
func (r run) shown(o options) string {
	if r.complete {
		return seconds(r.seconds)
	}
	return fmt.Sprintf("> %v (%d points)", o.limit.Seconds(), len(r.points))
}

// best is the shortest time of a peer, or what it took at least.
func (r row) best(o options) (s float64, complete, any bool) {
	s = math.Inf(1)
	for i, p := range r.peers {
		if r.asked[i] && p.complete {
			s, complete, any = min(s, p.seconds), true, true
		}
		any = any || r.asked[i]
	}
	if !complete {
		s = o.limit.Seconds()
	}
	return s, complete, any
}

func (r row) ratio(o options) string {
	s, complete, any := r.best(o)
	if !any {
		return ""
	}
	word := strconv.FormatFloat(s/r.ours.seconds, 'f', 0, 64)
	if s/r.ours.seconds < 10 {
		word = strconv.FormatFloat(s/r.ours.seconds, 'f', 1, 64)
	}
	if !complete {
		return "> " + word
	}
	return word
}
