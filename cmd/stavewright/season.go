package main

import (
	"bytes"
	"cmp"
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
	"stavewright/optimize"
)

// seasonLimit is how long a season is searched where nothing else is said: most of what can be proven is proven by then, and the
// bound says how far the rest is from it.
const seasonLimit = time.Minute

// seasonFile is the season workbook.
const seasonFile = "season.xlsx"

func (a *app) seasonCommand() *cobra.Command {
	var keep bool
	var points []string
	var asked whatIfFlags
	c := &cobra.Command{
		Use:   "season JOB",
		Short: "Layouts and orders for all models: the cheapest way to buy the season",
		Long: `season decides which layout every model is built with and what is bought for all of them, together: from whom, which planks, how
many, so that every strip of every board is there in time, inside every limit of the book, minimum orders, packs, price breaks, stock,
freight and budget. The cost is landed cost: lumber, freight and stock used. It is set against two other ways: choosing layouts first
and buying after, and keeping every layout as it is.

--keep keeps every model's reference and decides the orders only; --keep-point "MODEL=FILE#ID" keeps a point of a front instead.

The search ends when the plan is proven cheapest, at the latest after --time-limit (60s unless given). An interrupt or the limit ends
it early: the best plan found is written with the bound that is proven, and the status is 4.

What-ifs are answered each by itself against the plan: --without-supplier, --without-wood, --price, --boards; each may be given several
times. --steps says what each tenth more of fast-grown wood costs. Both have as much time again as the season. With --out there are a season workbook
and for each supplier an order sheet, as a workbook and as a page to print, which say nothing of boards or other suppliers.`,
		Example: "  stavewright season job.xlsx --out results\n  stavewright season job.xlsx --keep --keep-point \"Allround 157=front.json#12\"\n  stavewright season job.xlsx --without-wood beech-european --price poplar-hybrid=+10% --boards +5% --steps",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			job, s, err := a.season(args[0])
			if err != nil {
				return err
			}
			if err := a.keepPoints(s, points); err != nil {
				return err
			}
			changes, err := asked.changes(job, s)
			if err != nil {
				return err
			}
			if a.out != "" { // not after the search only, which takes a minute
				if err := a.spares(filepath.Join(a.out, seasonFile)); err != nil {
					return err
				}
			}
			ctx, cancel := a.limited(c.Context())
			defer cancel()
			r, err := a.plans(ctx, s, keep)
			if r == nil {
				return a.showNoSeason(s, err)
			}
			r.Shop = job.Shop.Shop
			if err == nil {
				err = a.whatIfs(c.Context(), r, changes, asked.steps)
			}
			return after(err, a.showSeason(r))
		},
	}
	c.Flags().BoolVar(&a.quiet, "quiet", false, "no progress and no warnings on standard error")
	c.Flags().StringVar(&a.out, "out", "", "folder for the season workbook and the order sheets (made when missing)")
	c.Flags().BoolVar(&a.json, "json", false, "one JSON document on standard output instead of a table")
	c.Flags().DurationVar(&a.timeLimit, "time-limit", seasonLimit, "stop after so long and write the best found (90s, 5m); 0: none")
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
func (a *app) keepPoints(s *optimize.Season, points []string) error {
	for _, point := range points {
		name, place, ok := strings.Cut(point, "=")
		if !ok {
			return usage("--keep-point %s: write MODEL=FILE#ID, such as \"Allround 157=front.json#12\"", point)
		}
		path, id, err := splitLayout(place)
		if err != nil {
			return usage("--keep-point %s: write MODEL=FILE#ID, the JSON result and the number of the point in it", point)
		}
		var model *optimize.SeasonModel
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

// plans searches the season, and the ways it is set against. Without a plan the error says why; with one it says what went wrong beside it.
func (a *app) plans(ctx context.Context, s *optimize.Season, keep bool) (*report.Season, error) {
	bar := a.progress()
	defer bar.done()
	if keep {
		p, err := optimize.SolveSeason(ctx, s, optimize.SeasonOptions{Mode: optimize.SeasonKeep, Progress: bar.showSeason})
		if p == nil {
			return nil, err
		}
		return &report.Season{Plan: p}, err
	}
	r := &report.Season{}
	var start *optimize.SeasonPlan
	var fault error // of a way that the season is set against: what was found stands
	for _, way := range []struct {
		mode optimize.SeasonMode
		plan **optimize.SeasonPlan
		why  *string
	}{{optimize.SeasonFirst, &r.First, &r.FirstWhy}, {optimize.SeasonKeep, &r.Kept, &r.KeptWhy}} {
		part, cancel := a.part(ctx)
		p, err := optimize.SolveSeason(part, s, optimize.SeasonOptions{Mode: way.mode, Progress: bar.showSeason})
		cancel()
		if err != nil && exitStatus(err) == statusFault {
			fault = err
		}
		switch {
		case p != nil:
			*way.plan = p
			if start == nil || p.Exact.LessThan(start.Exact) {
				start = p
			}
		case fault != nil && start == nil:
			return nil, fault
		default:
			*way.why = err.Error()
		}
	}
	p, err := optimize.SolveSeason(ctx, s, optimize.SeasonOptions{Mode: optimize.SeasonJoint, Start: start, Progress: bar.showSeason})
	if p == nil {
		return nil, err
	}
	r.Plan = p
	return r, cmp.Or(err, fault)
}

// whatIfs answers what-ifs and steps against a season's plan, in as much time again as the season has.
func (a *app) whatIfs(ctx context.Context, r *report.Season, changes []optimize.Change, steps bool) (err error) {
	ctx, cancel := a.limited(ctx)
	defer cancel()
	if len(changes) > 0 {
		if r.WhatIfs, err = optimize.SeasonWhatIfs(ctx, r.Plan.Season, r.Plan, changes); err != nil {
			return err
		}
	}
	if steps {
		r.Steps, err = optimize.SeasonSteps(ctx, r.Plan.Season, r.Plan, []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100})
	}
	return err
}

// part is a share of the time for what the season's plan is only set against.
func (a *app) part(ctx context.Context) (context.Context, context.CancelFunc) {
	if a.timeLimit <= 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeout(ctx, a.timeLimit/8)
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
	if !r.Plan.Proven {
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
func (a *app) showNoSeason(s *optimize.Season, err error) error {
	var short *optimize.Shortage
	var noPlan *optimize.NoPlanError
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
func (p *progress) showSeason(at optimize.SeasonProgress) {
	words := "looking for a plan"
	if at.HasCost {
		words = "best plan " + at.Cost.StringFixed(2)
		if at.Bound.Sign() > 0 && at.Cost.Sign() > 0 {
			words += fmt.Sprintf(", bound %s, gap %.3f %%", at.Bound.StringFixed(2), 100*at.Cost.Sub(at.Bound).Div(at.Cost).InexactFloat64())
		}
	}
	share := 0.0
	if at.Open > 0 {
		share = float64(at.Parts) / float64(at.Parts+at.Open)
	}
	p.show(words, share)
}
