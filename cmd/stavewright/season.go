package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// seasonLimit is how long a season is searched where nothing else is said.
const seasonLimit = time.Minute

// seasonFile is the season workbook.
const seasonFile = "season.xlsx"

// seasonShares are the steps of fast-grown wood, %.
var seasonShares = []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100}

func (a *app) seasonCommand() *cobra.Command {
	var keep bool
	var points []string
	var gap float64
	var asked whatIfFlags
	c := &cobra.Command{
		Use:   "season JOB",
		Short: "Layouts and orders for all models: the cheapest way to buy the season",
		Long: `season says which lumber to order from whom for all boards of the season, and which layout to build each model with, at
the least landed cost: lumber, freight and stock used. Every strip of every board is there in time, and every limit of the book holds:
minimum orders, packs, price breaks, stock, delivery dates, budget, and the ride of every model.

The plan is compared with two other ways: choosing layouts first and buying after, and keeping every layout as it is. --keep decides the
orders only: every model keeps its reference, or the point of a front that --keep-point "MODEL=FILE#ID" names.

The search ends when no plan can be cheaper by more than --gap percent (0.05 unless given; 0 asks for full proof), at the latest after
--time-limit (60s unless given). After the limit or an interrupt the best plan found is written with what is proven of it, and the
status is 4.

Questions are answered one by one against the plan, which itself takes any cheaper plan found on the way: --without-supplier,
--without-wood, --price, --boards; each may be given several times. --steps says what each tenth more of fast-grown wood costs. All of
them together have as much time again as the season. Differences of plans that are not fully proven are given as ranges.

With --out there are a season workbook and for each supplier an order sheet, as a workbook and as a page to print. An order sheet says
nothing about boards or other suppliers.`,
		Example: "  stavewright season job.xlsx --out results\n  stavewright season job.xlsx --keep --keep-point \"Allround 157=front.json#12\"\n  stavewright season job.xlsx --without-wood beech-european --price poplar-hybrid=+10% --boards +5% --steps\n  stavewright season job.xlsx --gap 0 --time-limit 10m",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			if !(gap >= 0 && gap <= 100) {
				return usage("--gap %v: write a percentage from 0 (full proof) to 100, such as %v", gap, season.DefaultGapPct)
			}
			job, s, err := a.season(args[0])
			if err != nil {
				return err
			}
			if err := a.keepPoints(s, points); err != nil {
				return err
			}
			q := season.Questions{Mode: season.Joint, Compare: true, GapPct: gap, Limit: a.timeLimit}
			if keep {
				q.Mode = season.Keep
			}
			if asked.steps {
				q.Shares = seasonShares
			}
			if q.Changes, err = asked.changes(job, s); err != nil {
				return err
			}
			if a.out != "" { // not after the search only, which takes a minute
				if err := a.spares(filepath.Join(a.out, seasonFile)); err != nil {
					return err
				}
			}
			if err := a.seasonEngine(mip.HasHiGHS(), mip.HasGLPK()); err != nil {
				return err
			}
			answers, err := a.ask(c.Context(), s, q)
			if answers == nil {
				return a.showNoSeason(s, err)
			}
			return after(err, a.showSeason(&report.Season{Answers: answers, Shop: job.Shop.Shop}))
		},
	}
	c.Flags().BoolVar(&a.quiet, "quiet", false, "no progress and no warnings on standard error")
	c.Flags().StringVar(&a.out, "out", "", "folder for the season workbook and the order sheets (made when missing)")
	c.Flags().BoolVar(&a.json, "json", false, "one JSON document on standard output instead of a table")
	c.Flags().DurationVar(&a.timeLimit, "time-limit", seasonLimit, "stop after so long and write the best found (90s, 5m); 0: none")
	c.Flags().Float64Var(&gap, "gap", season.DefaultGapPct, "`PERCENT` by which a cheaper plan may still exist when the search ends; 0: full proof")
	c.Flags().BoolVar(&keep, "keep", false, "keep every model's layout, and decide the orders only")
	c.Flags().StringArrayVar(&points, "keep-point", nil, "the layout that a model keeps: MODEL=FILE#ID, a point of a JSON result; else its reference")
	c.Flags().StringArrayVar(&asked.suppliers, "without-supplier", nil, "what if this supplier drops out")
	c.Flags().StringArrayVar(&asked.woods, "without-wood", nil, "what if this wood cannot be had, not even from stock")
	c.Flags().StringArrayVar(&asked.prices, "price", nil, "what if suppliers ask more or less for a wood: WOOD=+10%; +10% alone is every wood")
	c.Flags().StringArrayVar(&asked.boards, "boards", nil, "what if more or fewer boards are built: +5%")
	c.Flags().BoolVar(&asked.steps, "steps", false, "what each tenth more of fast-grown wood costs")
	return c
}

// keepPoints gives models the layouts that they keep.
func (a *app) keepPoints(s *season.Season, points []string) error {
	for _, point := range points {
		name, place, ok := strings.Cut(point, "=")
		if !ok {
			return usage("--keep-point %s: write MODEL=FILE#ID, such as \"Allround 157=front.json#12\"", point)
		}
		path, id, err := splitLayout(place)
		if err != nil {
			return usage("--keep-point %s: write MODEL=FILE#ID, the JSON result and the number of the point in it", point)
		}
		var model *season.Model
		var names []string
		for i := range s.Models {
			names = append(names, fmt.Sprintf("%q", s.Models[i].Program.Model))
			if strings.EqualFold(strings.TrimSpace(name), s.Models[i].Program.Model) {
				model = &s.Models[i]
			}
		}
		if model == nil {
			return usage("--keep-point %s: the season has no model %q; its models are %s", point, strings.TrimSpace(name), strings.Join(names, ", "))
		}
		data, err := a.readFile(path)
		if err != nil {
			return err
		}
		q, kept, err := book.ReadLayout(bytes.NewReader(data), id, model.Program)
		switch {
		case err != nil:
			return usage("%s: %w", path, err)
		case q != model.Program:
			return usage("%s: point %s has a profile of its own, and a season builds every board with the book's; write that profile to the sheet Stations, or keep another point", path, id)
		}
		model.Kept = kept
	}
	return nil
}

// seasonEngine says what a build without HiGHS does, or that it cannot.
func (a *app) seasonEngine(highs, glpk bool) error {
	switch {
	case highs:
	case glpk:
		a.say("built without HiGHS: the season is searched with GLPK, which is slower; run sh cmd/setup.sh and build again")
	default:
		return usage("built without HiGHS and GLPK, so no season can be searched: run sh cmd/setup.sh and build again, or write the program with \"export --season\" for another solver")
	}
	return nil
}

// ask searches a season and what is asked of it.
func (a *app) ask(ctx context.Context, s *season.Season, q season.Questions) (*season.Answers, error) {
	bar := a.progress()
	defer bar.done()
	q.Progress = bar.showSeason
	return season.Ask(ctx, s, q)
}

// showSeason writes a season wherever it was asked for, and gives it its status.
func (a *app) showSeason(r *report.Season) error {
	var err error
	if a.json {
		err = report.SeasonJSON(a.stdout, r)
	} else {
		err = report.SeasonTerminal(a.stdout, r, a.style())
	}
	if err != nil {
		return err
	}
	if a.out != "" {
		outputs := []output{{seasonFile, func(w io.Writer) error { return report.SeasonWorkbook(w, r) }}}
		for i, name := range fileNames(report.OrderNames(r)) {
			file := "order-" + name
			outputs = append(outputs,
				output{file + ".xlsx", func(w io.Writer) error { return report.OrderWorkbook(w, r, i) }},
				output{file + ".html", func(w io.Writer) error { return report.OrderPage(w, r, i) }})
		}
		if err := a.save(outputs...); err != nil {
			return err
		}
		a.warnOfOldOrders(outputs)
	}
	if !r.Plan.Done {
		return &outcome{statusStopped}
	}
	return nil
}

// warnOfOldOrders names the order sheets in the results folder that an earlier plan has left there: nobody should send them. They are left where they are.
func (a *app) warnOfOldOrders(written []output) {
	entries, err := os.ReadDir(a.out)
	if err != nil {
		return // the orders themselves have been written
	}
	for _, e := range entries {
		name := e.Name()
		if ext := filepath.Ext(name); !strings.HasPrefix(name, "order-") || ext != ".xlsx" && ext != ".html" ||
			slices.ContainsFunc(written, func(o output) bool { return o.name == name }) {
			continue
		}
		a.say("warning: %s was there before and is no order of this plan; do not send it", filepath.Join(a.out, name))
	}
}

// showNoSeason says why there is no plan.
func (a *app) showNoSeason(s *season.Season, err error) error {
	var short *season.Shortage
	var noPlan *season.NoPlanError
	switch {
	case errors.As(err, &short):
		if a.json {
			err = report.ShortageJSON(a.stdout, s, short)
		} else {
			err = report.ShortageTerminal(a.stdout, s, short, a.style())
		}
		if err != nil {
			return err
		}
		return &outcome{statusInfeasible}
	case errors.As(err, &noPlan) && a.json:
		if err := report.NoPlanJSON(a.stdout, s, noPlan); err != nil {
			return err
		}
		return &outcome{statusStopped}
	}
	return err
}

// showSeason says what the search of a season knows.
func (p *progress) showSeason(at season.Progress) {
	words := at.Phase + ": "
	switch {
	case !at.HasCost:
		words += "looking for a plan"
	case at.Bound.IsPositive() && at.Cost.IsPositive():
		words += fmt.Sprintf("plan %s, bound %s, gap %.3f %%", at.Cost.StringFixed(2), at.Bound.StringFixed(2), max(0, 100*at.Cost.Sub(at.Bound).Div(at.Cost).InexactFloat64()))
	default:
		words += "plan " + at.Cost.StringFixed(2)
	}
	p.show(words, 0)
}
