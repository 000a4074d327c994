package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

func (a *app) frontCommand() *cobra.Command {
	var objectives []string
	c := &cobra.Command{
		Use:   "front JOB",
		Short: "Weight against stiffness: every layout that nothing betters",
		Long: `front finds the complete set of layouts that cannot be made lighter without losing stiffness at the measuring station, nor
stiffer without gaining weight, inside every limit of the book. It is complete and proven at a resolution of 0.01 g and
0.01 N·m² (and 0.01 of the job's money, with cost as the third objective).

An interrupt or the time limit ends it early: what is proven by then is written, marked as incomplete, with status 4.`,
		Example: "  stavewright front job.xlsx --model \"Allround 157\"\n  stavewright front job.xlsx --model \"Allround 157\" --objectives mass,ei,cost --out results",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			o := optimize.Options{}
			var err error
			if o.Objectives, err = parseObjectives(objectives); err != nil {
				return err
			}
			job, p, err := a.program(args[0])
			if err != nil {
				return err
			}
			bar := a.progress()
			o.Progress = bar.showFront
			ctx, cancel := a.limited(c.Context())
			defer cancel()
			r, err := optimize.Front(ctx, p, o)
			bar.done()
			if r == nil {
				return err
			}
			return after(err, a.showFront(job, r))
		},
	}
	a.jobFlags(c)
	a.resultFlags(c)
	c.Flags().DurationVar(&a.timeLimit, "time-limit", 0, "stop after so long and write what is proven (90s, 5m); 0: none")
	c.Flags().StringSliceVar(&objectives, "objectives", []string{"mass", "ei"}, "mass,ei or mass,ei,cost")
	return c
}

// parseObjectives reads the flag: mass and ei, and cost on request.
func parseObjectives(words []string) ([]optimize.Objective, error) {
	want := map[optimize.Objective]bool{}
	for _, w := range words {
		o := optimize.Objective(strings.ToLower(strings.TrimSpace(w)))
		if (o != optimize.Mass && o != optimize.EI && o != optimize.Cost) || want[o] {
			return nil, usage("--objectives %s: write mass,ei or mass,ei,cost", strings.Join(words, ","))
		}
		want[o] = true
	}
	if !want[optimize.Mass] || !want[optimize.EI] {
		return nil, usage("--objectives %s: mass and ei are always among them; write mass,ei or mass,ei,cost", strings.Join(words, ","))
	}
	out := []optimize.Objective{optimize.Mass, optimize.EI}
	if want[optimize.Cost] {
		out = append(out, optimize.Cost)
	}
	return out, nil
}

// showFront writes a front wherever it was asked for, and gives it its status.
func (a *app) showFront(job *book.Job, r *optimize.FrontResult) error {
	var err error
	switch {
	case a.json:
		err = report.FrontJSON(a.stdout, r)
	case r.Infeasible != nil:
		err = report.InfeasibleTerminal(a.stdout, r, a.style())
	default:
		err = report.FrontTerminal(a.stdout, r, a.style())
	}
	if err != nil {
		return err
	}
	if r.Infeasible != nil {
		return &outcome{statusInfeasible}
	}
	if a.out != "" && len(r.Points) > 0 {
		model, err := job.Model(r.Program.Model)
		if err != nil {
			return err
		}
		name := "front-" + modelFile(job, model.Name)
		outputs := []output{
			{name + ".xlsx", func(w io.Writer) error { return report.FrontWorkbook(w, r) }},
			{name + ".html", func(w io.Writer) error { return report.FrontPage(w, r) }},
		}
		if err := a.save(append(outputs, shopSheet(job, model, "front", report.ShopOfFront(r))...)...); err != nil {
			return err
		}
	}
	if !r.Complete {
		return &outcome{statusStopped}
	}
	return nil
}
