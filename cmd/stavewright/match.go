package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

func (a *app) matchCommand() *cobra.Command {
	var stiffer, cheaper bool
	var within, factors string
	c := &cobra.Command{
		Use:   "match JOB",
		Short: "Lighter at equal flex: other woods, the same ride",
		Long: `match looks for the layout that rides like the model's reference and is lighter: EI within Equal flex of the reference's at
the places of the Targets sheet (without any, at every station between the supports), every limit of the book kept,
over the book's profile factors. It is proven best. Then the profile is trimmed: at every station the thickness that
gives the reference's EI with the woods found, as a table to mill. For each wood of the answer it says what replaces it
if it cannot be had.

--cheaper asks for the least cost instead of the least mass, --stiffer for the greatest EI at the measuring station with no
more mass than the reference's.

An interrupt or the time limit ends it early: the best found is written, marked as unproven, with status 4.`,
		Example: "  stavewright match job.xlsx --model \"Allround 157\" --out results\n  stavewright match job.xlsx --model \"Allround 157\" --cheaper --within 3 --factors 0.95:1.10:0.01",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			asked, err := parseMatch(c, stiffer, cheaper, within, factors)
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
			o := job.MatchOptions(model)
			o.Goal = asked.Goal
			if asked.WithinPct > 0 {
				o.WithinPct = asked.WithinPct
			}
			if asked.Factors != nil {
				o.Factors = asked.Factors
			}
			bar := a.progress()
			o.Progress = bar.showFactors
			ctx, cancel := a.limited(c.Context())
			defer cancel()
			r, err := optimize.Match(ctx, p, o)
			bar.done()
			if r == nil {
				return err
			}
			return after(err, a.showMatch(job, model, r))
		},
	}
	a.jobFlags(c)
	a.resultFlags(c)
	c.Flags().DurationVar(&a.timeLimit, "time-limit", 0, "stop after so long and write the best found (90s, 5m); 0: none")
	c.Flags().BoolVar(&stiffer, "stiffer", false, "the stiffest at equal mass instead")
	c.Flags().BoolVar(&cheaper, "cheaper", false, "the cheapest at equal flex instead")
	c.Flags().StringVar(&within, "within", "", "how far EI may be from the reference's, % (else the book's Equal flex, else 2)")
	c.Flags().StringVar(&factors, "factors", "", "profile factors on the thickness, LOW:HIGH:STEP, or one (else the book's, else 1)")
	return c
}

// parseMatch reads the flags that say what is asked; what they leave open is zero.
func parseMatch(c *cobra.Command, stiffer, cheaper bool, within, factors string) (optimize.MatchOptions, error) {
	o := optimize.MatchOptions{}
	switch {
	case stiffer && cheaper:
		return o, usage("--stiffer and --cheaper ask two questions; give one of them")
	case stiffer:
		o.Goal = optimize.Stiffer
	case cheaper:
		o.Goal = optimize.Cheaper
	}
	if c.Flags().Changed("within") {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(within, "%")), 64)
		if err != nil || !(v > 0 && v <= 100) {
			return o, usage("--within %s: write a percentage above 0 and at most 100", within)
		}
		o.WithinPct = v
	}
	if c.Flags().Changed("factors") {
		var err error
		if o.Factors, err = parseFactors(factors); err != nil {
			return o, usage("--factors %s: %w; write LOW:HIGH:STEP, such as 0.95:1.10:0.01", factors, err)
		}
	}
	return o, nil
}

func parseFactors(s string) ([]float64, error) {
	parts := strings.Split(s, ":")
	if len(parts) != 3 && len(parts) != 1 {
		return nil, fmt.Errorf("these are %d figures", len(parts))
	}
	var v [3]float64
	for i, part := range parts {
		var err error
		if v[i], err = strconv.ParseFloat(strings.TrimSpace(part), 64); err != nil {
			return nil, fmt.Errorf("%q is no number", part)
		}
	}
	if len(parts) == 1 {
		v[1], v[2] = v[0], 1
	}
	return book.ProfileFactors(v[0], v[1], v[2])
}

// showMatch writes a match wherever it was asked for, and gives it its status.
func (a *app) showMatch(job *book.Job, model *book.Model, r *optimize.MatchResult) error {
	var err error
	if a.json {
		err = report.MatchJSON(a.stdout, r)
	} else {
		err = report.MatchTerminal(a.stdout, r, a.style())
	}
	if err != nil {
		return err
	}
	if a.out != "" && r.Best != nil {
		shop, err := report.ShopOfMatch(r)
		if err != nil {
			return err
		}
		name := "match-" + modelFile(job, model.Name)
		outputs := []output{
			{name + ".xlsx", func(w io.Writer) error { return report.MatchWorkbook(w, r) }},
			{name + ".html", func(w io.Writer) error { return report.MatchPage(w, r) }},
		}
		if err := a.save(append(outputs, shopSheet(job, model, "match", shop)...)...); err != nil {
			return err
		}
	}
	switch {
	case !r.Proven:
		return &outcome{statusStopped}
	case r.Best == nil:
		return &outcome{statusInfeasible}
	}
	return nil
}
