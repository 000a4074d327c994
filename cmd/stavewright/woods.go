package main

import (
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/report"
	"stavewright/species"
)

func (a *app) woodsCommand() *cobra.Command {
	var (
		by         string
		conditions = species.Standard
	)
	c := &cobra.Command{
		Use:   "woods [JOB]",
		Short: "The wood table, compared and ranked",
		Long: `woods lists the built-in woods, their figures as used (at the moisture given, table moduli raised to true ones) and where
they come from, ranked by one criterion. With a job book, the book's own woods, bending tests, moisture and modulus
raise count.

A figure that is not known stays empty, and its wood ranks last.`,
		Example: "  stavewright woods\n  stavewright woods --by panel-stiffness --moisture 8\n  stavewright woods job.xlsx --json",
		Args:    arguments(0, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			criterion, err := species.ParseCriterion(by)
			if err != nil {
				return usage("--by %s: %w", by, err)
			}
			published := species.Default()
			if len(args) > 0 {
				for _, f := range []string{"moisture", "modulus-raise"} {
					if c.Flags().Changed(f) {
						return usage("--%s and a job book: the book's sheet Shop says it; leave one of them out", f)
					}
				}
				job, err := a.readBook(args[0])
				if err != nil {
					return err
				}
				published, conditions = job.Published, job.Conditions
			}
			used, err := published.As(conditions)
			if err != nil {
				return &usageError{err}
			}
			if a.json {
				return report.WoodsJSON(a.stdout, used, published, conditions, criterion)
			}
			return report.WoodsTerminal(a.stdout, used, published, conditions, criterion, a.style())
		},
	}
	names := make([]string, 0, len(species.Criteria()))
	for _, k := range species.Criteria() {
		names = append(names, string(k))
	}
	c.Flags().StringVar(&by, "by", string(species.SpecificStiffness), "rank by: "+strings.Join(names, ", "))
	c.Flags().Float64Var(&conditions.MoisturePct, "moisture", conditions.MoisturePct, "moisture of the wood, % of oven-dry mass")
	c.Flags().Float64Var(&conditions.ModulusRaisePct, "modulus-raise", conditions.ModulusRaisePct, "raise of table moduli to true ones, %")
	c.Flags().BoolVar(&a.json, "json", false, "one JSON document on standard output instead of a table")
	c.Flags().BoolVar(&a.quiet, "quiet", false, "no warnings on standard error")
	return c
}
