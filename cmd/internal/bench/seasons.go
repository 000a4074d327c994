package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"stavewright/optimize/invented"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// seasonNames are cases of seasons: F with layouts kept, J with everything free, and how many models; the demo's. Factories have names of
// their own.
var seasonNames = []string{"F40", "J10", "J20", "J40", demoSeason}

const demoSeason = "demo"

// seasonsCalled are the cases that a word of the flag -cases means; none when it means no season.
func seasonsCalled(word string) []string {
	tuned, held := invented.FactoryNames()
	switch {
	case word == "tuned":
		return tuned
	case word == "held":
		return held
	case slices.Contains(seasonNames, word), slices.Contains(tuned, word), slices.Contains(held, word):
		return []string{word}
	}
	return nil
}

// A seasonCase is a season to solve.
type seasonCase struct {
	name   string
	season *season.Season
	mode   season.Mode
}

// seasonCases are the cases of a name: one a seed, where there are seeds.
func seasonCases(name string, seeds int) ([]seasonCase, error) {
	models, err := strconv.Atoi(name[1:])
	switch {
	case name == demoSeason:
		job, offers, err := demo()
		if err != nil {
			return nil, err
		}
		s, findings := job.Season(offers)
		if s == nil {
			return nil, fmt.Errorf("the demo: %s", findings)
		}
		return []seasonCase{{name, s, season.Joint}}, nil
	case name[0] != 'F' && name[0] != 'J':
		return []seasonCase{{name, invented.Factory(name), season.Joint}}, nil
	case err != nil:
		return nil, err
	}
	var out []seasonCase
	for seed := 1; seed <= seeds; seed++ {
		c := seasonCase{name, invented.Season(models, uint64(seed)), season.Joint}
		if name[0] == 'F' {
			c.mode = season.Keep
		}
		if seed > 1 {
			c.name += fmt.Sprintf("-%d", seed)
		}
		out = append(out, c)
	}
	return out, nil
}

// A seasonRow is a line of the table.
type seasonRow struct {
	name               string
	models, rows, cols int
	ours               []moment // by time limit
	first              float64  // seconds to our first plan; NaN: none
	failed             error    // of our search
	solvers            []timeline
}

// measureSeasons runs season cases and prints their table. A fault is a plan or a bound that another answer proves wrong.
func measureSeasons(o options, names []string, stdout, progress io.Writer) (faults []string, err error) {
	known := map[solved]timeline{}
	if o.peersFrom != "" {
		f, err := os.Open(o.peersFrom)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		if known, err = readTimelines(f); err != nil {
			return nil, fmt.Errorf("%s: %w", o.peersFrom, err)
		}
	}
	var rows []seasonRow
	for _, name := range names {
		cases, err := seasonCases(name, o.seeds)
		if err != nil {
			return nil, err
		}
		for _, c := range cases {
			r, err := c.measure(o, known, progress)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", c.name, err)
			}
			rows, faults = append(rows, r), append(faults, r.faults()...)
		}
	}
	writeSeasons(stdout, rows, o)
	return faults, nil
}

func (c seasonCase) measure(o options, known map[solved]timeline, progress io.Writer) (seasonRow, error) {
	m, _, err := season.Direct(context.Background(), c.season, c.mode)
	if err != nil {
		return seasonRow{}, err
	}
	r := seasonRow{name: c.name, models: len(c.season.Models), rows: len(m.Rows), cols: len(m.Columns), first: math.NaN(), solvers: make([]timeline, len(seasonSolvers))}
	say := func(who string, t timeline) {
		end := t.end()
		fmt.Fprintf(progress, "%s: %s: %s after %.2f s, cost %.2f, bound %.2f\n", c.name, who, t.status, end.seconds, end.cost, end.bound)
	}
	for i, s := range seasonSolvers {
		of := solved{c.name, s.name}
		if t, ok := known[of]; ok {
			if t.rows != r.rows || t.cols != r.cols {
				fmt.Fprintf(progress, "%s: %s had %d rows and %d columns, now there are %d and %d\n", c.name, s.name, t.rows, t.cols, r.rows, r.cols)
			}
			r.solvers[i] = t
			continue
		}
		if !slices.Contains(o.peers, s.name) {
			continue
		}
		t, err := runExported(o, s, c.name, m)
		if errors.Is(err, errMissing) {
			fmt.Fprintf(progress, "%s is not installed\n", s.name)
			continue
		}
		if err != nil {
			return r, err
		}
		t.rows, t.cols = r.rows, r.cols
		say(s.name, t)
		r.solvers[i] = t
		if o.peersTo != "" {
			if err := appendTimeline(o.peersTo, of, t); err != nil {
				return r, err
			}
		}
	}
	if o.peersOnly {
		return r, nil
	}
	var t timeline
	for i, limit := range o.times {
		if !o.oneRun || i == 0 {
			seconds := limit
			if o.oneRun {
				seconds = o.longest()
			}
			if t, err = c.ours(o.gapPct, seconds); err != nil {
				r.failed = err
			}
			say("ours", t)
		}
		at := t.end()
		if o.oneRun && t.status != "optimal" {
			at, _ = t.at(limit)
		}
		r.ours = append(r.ours, at)
	}
	if i := slices.IndexFunc(t.moments, func(m moment) bool { return !math.IsNaN(m.cost) }); i >= 0 {
		r.first = t.moments[i].seconds
	}
	return r, nil
}

// runExported writes the program as MPS and has a solver run on it.
func runExported(o options, s seasonSolver, name string, m *mip.Model) (timeline, error) {
	dir := o.mps
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "bench"); err != nil {
			return timeline{}, err
		}
		defer os.RemoveAll(dir)
	}
	var text bytes.Buffer
	if err := mip.WriteMPS(&text, m); err != nil {
		return timeline{}, err
	}
	file := filepath.Join(dir, name+".mps")
	if err := os.WriteFile(file, text.Bytes(), 0o644); err != nil {
		return timeline{}, err
	}
	return s.run(o, file)
}

// ours is this program's search with a time limit. The last moment is the plan that it returns.
func (c seasonCase) ours(gapPct, seconds float64) (timeline, error) {
	t := timeline{status: "stopped"}
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration(seconds*float64(time.Second)))
	defer cancel()
	begin := time.Now()
	p, err := season.Solve(ctx, c.season, season.Options{Mode: c.mode, GapPct: gapPct, Progress: func(p season.Progress) {
		m := moment{time.Since(begin).Seconds(), math.NaN(), math.NaN()}
		if p.HasCost {
			m.cost = p.Cost.InexactFloat64()
		}
		if p.Bound.IsPositive() {
			m.bound = p.Bound.InexactFloat64()
		}
		t.add(m)
	}})
	end := moment{time.Since(begin).Seconds(), math.NaN(), math.NaN()}
	if none := (*season.NoPlanError)(nil); errors.As(err, &none) {
		err = nil
	} else if err == nil {
		err = p.Verify()
	}
	if p == nil || err != nil {
		t.moments = append(t.moments, end)
		return t, err
	}
	if p.Proven || p.Done {
		t.status = "optimal"
	}
	end.cost, end.bound = p.Cost.InexactFloat64(), p.Bound.InexactFloat64()
	t.moments = append(t.moments, end)
	return t, nil
}

// faults are our last answer and the solvers' where they cannot both be right, and a search of ours that failed.
func (r seasonRow) faults() (faults []string) {
	if r.failed != nil {
		faults = append(faults, fmt.Sprintf("%s: %v", r.name, r.failed))
	}
	if len(r.ours) == 0 {
		return faults
	}
	ours := r.ours[len(r.ours)-1]
	slack := 1 + 1e-5*ours.cost // our costs are sums of rounded lines; solvers keep rows to a tolerance only
	for i, t := range r.solvers {
		name := seasonSolvers[i].name
		switch {
		case t.status == "":
		case t.status == "infeasible" && !math.IsNaN(ours.cost):
			faults = append(faults, fmt.Sprintf("%s: we have a plan for %.2f, %s says there is none", r.name, ours.cost, name))
		case ours.bound > t.end().cost+slack:
			faults = append(faults, fmt.Sprintf("%s: %s has a plan for %.2f, our bound is %.2f", r.name, name, t.end().cost, ours.bound))
		case t.end().bound > ours.cost+slack:
			faults = append(faults, fmt.Sprintf("%s: we have a plan for %.2f, the bound of %s is %.2f", r.name, ours.cost, name, t.end().bound))
		}
	}
	return faults
}

// above is by how many % our plan at a time costs more than the solvers' cheapest: infinite without a plan of ours, NaN without one of theirs.
func (r seasonRow) above(o options, time int) float64 {
	best := math.NaN()
	for _, t := range r.solvers {
		if m, ok := t.at(o.times[time]); ok && !math.IsNaN(m.cost) && !(m.cost >= best) {
			best = m.cost
		}
	}
	switch {
	case math.IsNaN(best) || len(r.ours) == 0:
		return math.NaN()
	case math.IsNaN(r.ours[time].cost):
		return math.Inf(1)
	}
	return 100 * (r.ours[time].cost - best) / best
}

// money is a cost, or a word where there is none.
func money(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

// percent is a share to the third decimal, or nothing where there is none.
func percent(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(math.Round(v*1e3)/1e3+0, 'f', 3, 64) // + 0: no −0
}

// writeSeasons prints the table as Markdown.
func writeSeasons(w io.Writer, rows []seasonRow, o options) {
	t := table.NewWriter()
	t.SetOutputMirror(w)
	head := table.Row{"season", "models", "rows × columns", "first plan s"}
	for _, limit := range o.times {
		head = append(head, fmt.Sprintf("ours at %v s", limit), "gap %")
		for _, s := range seasonSolvers {
			head = append(head, fmt.Sprintf("%s at %v s", s.name, limit))
		}
		head = append(head, "above %")
	}
	var align []table.ColumnConfig
	for i := 2; i <= len(head); i++ {
		align = append(align, table.ColumnConfig{Number: i, Align: text.AlignRight})
	}
	t.AppendHeader(head)
	t.SetColumnConfigs(align)
	for _, r := range rows {
		line := table.Row{r.name, r.models, fmt.Sprintf("%d × %d", r.rows, r.cols), ""}
		if !math.IsNaN(r.first) {
			line[3] = seconds(r.first)
		}
		for i, limit := range o.times {
			if r.ours == nil {
				line = append(line, "", "")
			} else {
				m := r.ours[i]
				line = append(line, money(m.cost), percent(100*(m.cost-m.bound)/m.cost))
			}
			for _, t := range r.solvers {
				cell := ""
				if m, ok := t.at(limit); ok {
					cell = money(m.cost)
				}
				line = append(line, cell)
			}
			line = append(line, percent(r.above(o, i)))
		}
		t.AppendRow(line)
	}
	t.RenderMarkdown()
	how := "one run for each time limit"
	if o.oneRun {
		how = fmt.Sprintf("one run of %v s", o.longest())
	}
	fmt.Fprintf(w, "\nOurs: wall clock, %s, done at a gap of %v %%. The other solvers: processor time on one thread, one run each. %d cores; %s/%s.\n",
		how, o.gapPct, runtime.GOMAXPROCS(0), runtime.GOOS, runtime.GOARCH)
	if o.peersOnly {
		return
	}
	for i, limit := range o.times {
		fmt.Fprintln(w, summary(rows, o, i, limit))
	}
}

// summary says how our plans at a time compare with the cheapest of the other solvers.
func summary(rows []seasonRow, o options, time int, limit float64) string {
	const same = 0.01 // %
	compared, above, worst, which := 0, 0, 0.0, ""
	for _, r := range rows {
		a := r.above(o, time)
		if math.IsNaN(a) {
			continue
		}
		compared++
		if a > same {
			above++
		}
		if a > worst {
			worst, which = a, r.name
		}
	}
	line := fmt.Sprintf("At %v s: %d of %d above the cheapest other plan by more than %v %%", limit, above, compared, same)
	switch {
	case math.IsInf(worst, 1):
		line += fmt.Sprintf("; no plan for %s", which)
	case above > 0:
		line += fmt.Sprintf(", at most by %.3f %% (%s)", worst, which)
	}
	return line + "."
}
