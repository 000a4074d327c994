package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

func (a *app) checkCommand() *cobra.Command {
	var layout string
	c := &cobra.Command{
		Use:   "check JOB",
		Short: "Everything about one layout; no search",
		Long: `check computes one layout: mass, stiffness along the board, flex, scatter, screw holding, cost and shares, and names every
limit of the book that it breaks. The layout is the model's reference unless --layout takes a point from a JSON
result: FILE#ID is point ID of FILE. The result may be that of front, mixes, check or season, whose points have numbers, or
of match, whose layouts are called reference, best and trimmed; each is checked with the profile it was found for.

A layout that breaks a limit is shown all the same, with status 3.`,
		Example: "  stavewright check job.xlsx --model \"Allround 157\"\n  stavewright front job.xlsx --model \"Allround 157\" --json > front.json\n  stavewright check job.xlsx --model \"Allround 157\" --layout front.json#12\n  stavewright match job.xlsx --model \"Allround 157\" --json > match.json\n  stavewright check job.xlsx --model \"Allround 157\" --layout match.json#trimmed",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			job, p, err := a.program(args[0])
			if err != nil {
				return err
			}
			l, of, what := p.Reference, "the reference", "check"
			if layout != "" {
				path, id, err := splitLayout(layout)
				if err != nil {
					return err
				}
				data, err := a.readFile(path)
				if err != nil {
					return err
				}
				of = fmt.Sprintf("point %s of %s", id, filepath.Base(path))
				what = "check-point-" + id // beside the reference's files, and other points'
				if p, l, err = book.ReadLayout(bytes.NewReader(data), id, p); err != nil {
					return usage("%s: %w", path, err)
				}
			}
			if l == nil {
				return usage("the book gives no reference for model %q; fill its rows in the sheet Reference, or name a layout: --layout FILE#ID", p.Model)
			}
			r, err := optimize.Check(p, l)
			var banned *optimize.NotAllowedError
			if errors.As(err, &banned) {
				advice := "mend that"
				if banned.Why == "" {
					advice = "allow it there on the sheet Positions"
				}
				return usage("%s: %s of model %q cannot be checked: %w; %s, or check another layout", job.File, of, p.Model, err, advice)
			}
			if err != nil {
				return err
			}
			if a.json {
				err = report.CheckJSON(a.stdout, r)
			} else {
				err = report.CheckTerminal(a.stdout, r, a.style())
			}
			if err != nil {
				return err
			}
			if a.out != "" {
				model, err := job.Model(p.Model)
				if err != nil {
					return err
				}
				name := what + "-" + modelFile(job, model.Name)
				outputs := []output{
					{name + ".xlsx", func(w io.Writer) error { return report.CheckWorkbook(w, r) }},
					{name + ".html", func(w io.Writer) error { return report.CheckPage(w, r) }},
				}
				if err := a.save(append(outputs, shopSheet(job, model, what, report.ShopOfCheck(r, of))...)...); err != nil {
					return err
				}
			}
			if len(r.Broken) > 0 {
				return &outcome{statusInfeasible}
			}
			return nil
		},
	}
	a.jobFlags(c)
	a.resultFlags(c)
	c.Flags().StringVar(&layout, "layout", "", "a point of a JSON result, FILE#ID; without it, the reference of the book")
	return c
}

// splitLayout reads FILE#ID. The file's name may hold a # of its own.
func splitLayout(s string) (path, id string, err error) {
	i := strings.LastIndexByte(s, '#')
	if i <= 0 {
		return "", "", usage("--layout %s: write FILE#ID, the JSON result and the number of the point in it", s)
	}
	id = strings.ToLower(s[i+1:])
	if n, err := strconv.Atoi(id); err == nil && n >= 1 {
		return s[:i], strconv.Itoa(n), nil
	}
	if !slices.Contains(book.NamedLayouts(), id) {
		return "", "", usage("--layout %s: %q is no number of a point and no layout of a match (%s); write FILE#ID", s, s[i+1:], strings.Join(book.NamedLayouts(), ", "))
	}
	return s[:i], id, nil
}
