package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

func (a *app) mixesCommand() *cobra.Command {
	var objectives []string
	c := &cobra.Command{
		Use:   "mixes JOB",
		Short: "Fast-grown share against weight, stiffness and cost",
		Long: `mixes says how far a core can lean on fast-grown woods (those whose longest usual rotation is at most "fast-grown up to" of the
Shop sheet), and what each step costs. At equal flex with the model's reference, as match holds it, it finds the lightest
layout for every share, with the exact share at which the next wood has to go, and sets the current mix beside three
alternatives, with rotation, lumber (and, where the price sheets have a column Distance km, how far it is carried) and the
carbon in the wood of each. Within the limits of the book alone it finds the three-way front of core mass, EI and share,
complete and proven at a resolution of 0.01 g, 0.01 N·m² and 0.1 %; the steps are told apart at 0.01 %.

--objectives mass,cost,share or mass,ei,cost trades another three off in that front; a cost limit is the book's (Max cost).

An interrupt or the time limit ends it early: what is found is written, marked as not proven, with status 4.`,
		Example: "  stavewright mixes job.xlsx --model \"Allround 157\" --out results\n  stavewright mixes job.xlsx --model \"Allround 157\" --objectives mass,cost,share --json",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			asked, err := parseMixObjectives(objectives)
			if err != nil {
				return err
			}
			job, p, err := a.program(args[0])
			if err != nil {
				return err
			}
			model, err := job.Model(p.Model)
			if err != nil {
				return err
			}
			m := job.MatchOptions(model)
			o := optimize.MixesOptions{Objectives: asked, WithinPct: m.WithinPct, Stations: m.Stations, Factors: m.Factors}
			bar := a.progress()
			o.Factored, o.Progress = bar.showFactors, bar.showFront
			ctx, cancel := a.limited(c.Context())
			defer cancel()
			r, err := optimize.Mixes(ctx, p, o)
			bar.done()
			if r == nil {
				return err
			}
			return after(err, a.showMixes(job, r))
		},
	}
	a.jobFlags(c)
	a.resultFlags(c)
	c.Flags().DurationVar(&a.timeLimit, "time-limit", 0, "stop after so long and write what is found (90s, 5m); 0: none")
	c.Flags().StringSliceVar(&objectives, "objectives", []string{"mass", "ei", "share"}, "mass,ei,share or mass,cost,share or mass,ei,cost")
	return c
}

// parseMixObjectives reads the flag: mass and two of the others, in a written order.
func parseMixObjectives(words []string) ([]optimize.Objective, error) {
	bad := usage("--objectives %s: write mass,ei,share or mass,cost,share or mass,ei,cost", strings.Join(words, ","))
	want := map[optimize.Objective]bool{}
	for _, w := range words {
		o := optimize.Objective(strings.ToLower(strings.TrimSpace(w)))
		if want[o] {
			return nil, bad
		}
		want[o] = true
	}
	var out []optimize.Objective
	for _, o := range []optimize.Objective{optimize.Mass, optimize.EI, optimize.Cost, optimize.Share} {
		if want[o] {
			out = append(out, o)
		}
	}
	if len(out) != 3 || len(want) != 3 || !want[optimize.Mass] {
		return nil, bad
	}
	return out, nil
}

// showMixes writes the mixes wherever they were asked for, and gives them their status.
func (a *app) showMixes(job *book.Job, r *optimize.MixesResult) error {
	var err error
	if a.json {
		err = report.MixesJSON(a.stdout, r)
	} else {
		err = report.MixesTerminal(a.stdout, r, a.style())
	}
	if err != nil {
		return err
	}
	if a.out != "" && r.Infeasible == nil && (len(r.Breaks) > 0 || len(r.Front.Points) > 0) {
		name := "mixes-" + modelFile(job, r.Program.Model)
		err := a.save(
			output{name + ".xlsx", func(w io.Writer) error { return report.MixesWorkbook(w, r) }},
			output{name + ".html", func(w io.Writer) error { return report.MixesPage(w, r) }},
		)
		if err != nil {
			return err
		}
	}
	switch {
	case !r.Proven:
		return &outcome{statusStopped}
	case r.Infeasible != nil, len(r.Breaks) == 0:
		return &outcome{statusInfeasible}
	}
	return nil
}
