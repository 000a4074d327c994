package main

import (
	"cmp"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/sourcing"
)

func (a *app) pricesCommand() *cobra.Command {
	var steps bool
	c := &cobra.Command{
		Use:   "prices JOB",
		Short: "Every price sheet as comparable offers, with findings",
		Long: `prices reads every price file of the job book and shows each offer as money per m³ and per usable strip of the models' blanks,
the yard's stock through the same yield beside it, the cheapest of each wood marked. Every line of a sheet is an offer,
or a finding says which cell keeps it from being one and what to do.

Without --model all models count, and the table gives the range over their strips. A price that falls with the quantity
counts as that of the smallest one, as it does for one core in front. In JSON, strips_per_unit is of one unit of the price
and of the first of "cuts"; "strips" has every cut.

Findings about lines are part of the answer: status 0. A price file that cannot be read at all is an error: what the others
give is shown and written all the same, with status 2, since the list is then not complete.`,
		Example: "  stavewright prices job.xlsx\n  stavewright prices job.xlsx --model \"Allround 157\" --steps\n  stavewright prices job.xlsx --out results",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			job, err := a.readBook(args[0])
			if err != nil {
				return err
			}
			p := &report.Prices{Job: job.File, Currency: job.Shop.Currency, Shop: job.Shop.Shop, Rates: job.Shop.Rates, Stock: job.Stock}
			models, name := job.Models, "prices"
			if a.model != "" {
				m, err := a.named(job)
				if err != nil {
					return err
				}
				models, p.Model = []book.Model{*m}, m.Name
				name += "-" + modelFile(job, m.Name)
			}
			p.Cuts = cuts(models)
			p.Files = a.priceFiles(args[0], job)
			compared, err := report.Compare(c.Context(), p)
			if err != nil {
				a.say("interrupted: nothing is written")
				return &outcome{statusStopped}
			}
			if a.json {
				err = report.PricesJSON(a.stdout, compared, steps)
			} else {
				err = report.PricesTerminal(a.stdout, compared, a.style(), steps)
			}
			if err != nil {
				return err
			}
			if a.out != "" {
				if err := a.save(output{name + ".xlsx", func(w io.Writer) error { return report.PricesWorkbook(w, compared) }}); err != nil {
					return err
				}
			}
			var unread sourcing.Findings
			for _, f := range p.Files {
				if f.Unreadable {
					unread = append(unread, f.Findings.Errors()...)
				}
			}
			if len(unread) > 0 {
				return &findingsError{unread}
			}
			return nil
		},
	}
	c.Flags().StringVar(&a.model, "model", "", "strips of this model only, as named in the book's Models sheet")
	c.Flags().BoolVar(&a.quiet, "quiet", false, "no warnings on standard error")
	c.Flags().BoolVar(&steps, "steps", false, "spell out how each strip's cost was reckoned, for a pocket calculator")
	c.Flags().StringVar(&a.out, "out", "", "folder for the workbook of offers (made when missing)")
	c.Flags().BoolVar(&a.json, "json", false, "one JSON document on standard output instead of a table")
	return c
}

// cuts are the strips that models need, each once: models in the book's order, narrow strips first.
func cuts(models []book.Model) []report.Cut {
	var out []report.Cut
	for _, m := range models {
		positions := slices.Clone(m.Positions)
		slices.SortStableFunc(positions, func(a, b book.Position) int { return cmp.Compare(a.StripWidthMM, b.StripWidthMM) })
		for _, p := range positions {
			k := report.Cut{Models: []string{m.Name}, Blank: sourcing.Blank{LengthMM: m.BlankLengthMM, ThicknessMM: m.BlankThicknessMM},
				StripWidthMM: p.StripWidthMM, PreferCertified: m.Limits.MinCertPct.Set}
			same := slices.IndexFunc(out, func(o report.Cut) bool {
				return o.Blank == k.Blank && o.StripWidthMM == k.StripWidthMM && o.PreferCertified == k.PreferCertified
			})
			switch {
			case same < 0:
				out = append(out, k)
			case !slices.Contains(out[same].Models, m.Name):
				out[same].Models = append(out[same].Models, m.Name)
			}
		}
	}
	return out
}
