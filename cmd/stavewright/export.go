package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"stavewright/cmd/internal/book"
	"stavewright/optimize"
	"stavewright/optimize/mip"
	"stavewright/optimize/season"
)

// mostEI is an EI, N·m², beyond every board: a bridge has it.
const mostEI = 1_000_000

func (a *app) exportCommand() *cobra.Command {
	var (
		minEI  float64
		lean   float64
		factor float64
		out    string
		format string
		whole  bool
		keep   bool
	)
	c := &cobra.Command{
		Use:   "export JOB",
		Short: "The integer program as MPS or LP, for any solver",
		Long: `export writes the integer program "least core mass inside every limit of the book" in an open format. With --min-ei V the EI
at the measuring station is at least V as well, so any solver confirms any point of a front: at the point's EI it gives
the point's mass, and one hundredth of a N·m² above it the next point's. With --min-fast-grown V at least V % of the core's
volume is fast-grown wood, so any solver confirms the steps of mixes. Solve it with a gap of 0.

With --season it is the season's program: layouts of all models and orders together, least landed cost in the job's money; with --keep as
well, the orders for the layouts of the Reference sheet.`,
		Example: "  stavewright export job.xlsx --model \"Allround 157\" --min-ei 248.5 --out point.mps\n  cbc point.mps solve solution point.txt\n  stavewright export job.xlsx --season --out season.mps",
		Args:    arguments(1, 1, "job book"),
		RunE: func(c *cobra.Command, args []string) error {
			write, err := writer(format, out)
			if err != nil {
				return err
			}
			if err := roomForFile(out); err != nil {
				return err
			}
			var m *mip.Model
			var notes []string
			if whole {
				if a.model != "" || c.Flags().Changed("min-ei") || c.Flags().Changed("min-fast-grown") || c.Flags().Changed("profile-factor") {
					return usage("--season speaks of every model; leave out --model, --min-ei, --min-fast-grown and --profile-factor")
				}
				m, notes, err = a.seasonProgram(c.Context(), args[0], keep)
			} else {
				if keep {
					return usage("--keep goes with --season")
				}
				m, notes, err = a.modelProgram(c, args[0], minEI, lean, factor)
			}
			if err != nil {
				return err
			}
			for _, n := range notes {
				a.say("note: %s", n)
			}
			if out == "" {
				return write(a.stdout, m)
			}
			if err := a.spares(out); err != nil {
				return err
			}
			f, err := newWhole(out)
			if err != nil {
				return unwritten(out, err)
			}
			defer f.discard()
			if err := write(f, m); err != nil {
				return unwritten(out, err)
			}
			if err := f.commit(); err != nil {
				return unwritten(out, err)
			}
			a.say("written: %s", out)
			return nil
		},
	}
	a.jobFlags(c)
	c.Flags().StringVar(&out, "out", "", "`FILE` to write; without it, standard output")
	c.Flags().Float64Var(&minEI, "min-ei", 0, "least EI at the measuring station, N·m², at a resolution of 0.01")
	c.Flags().Float64Var(&lean, "min-fast-grown", 0, "least share of fast-grown woods in the core's volume, %")
	c.Flags().Float64Var(&factor, "profile-factor", 1, "factor on the core's thickness")
	c.Flags().BoolVar(&whole, "season", false, "the season's program: every model's layout and all orders")
	c.Flags().BoolVar(&keep, "keep", false, "with --season: keep every model's reference, and decide the orders only")
	c.Flags().StringVar(&format, "format", "", "mps or lp; by the name of the file unless given, else mps")
	return c
}

// modelProgram is one model's integer program.
func (a *app) modelProgram(c *cobra.Command, path string, minEI, lean, factor float64) (*mip.Model, []string, error) {
	switch {
	case c.Flags().Changed("min-ei") && !(minEI >= 0 && minEI <= mostEI):
		return nil, nil, usage("--min-ei %v: write an EI in N·m², from 0 to %v", minEI, mostEI)
	case c.Flags().Changed("min-fast-grown") && !(lean >= 0 && lean <= 100):
		return nil, nil, usage("--min-fast-grown %v: write a share from 0 to 100 %%", lean)
	}
	if _, err := book.ProfileFactors(factor, factor, 1); err != nil { // the same that match and the book take
		return nil, nil, usage("--profile-factor %v: %w; write a factor on the core's thickness such as 1.05", factor, err)
	}
	if !c.Flags().Changed("min-ei") {
		minEI = math.Inf(-1)
	}
	_, p, err := a.program(path)
	if err != nil {
		return nil, nil, err
	}
	if factor != 1 {
		p = p.Scaled(factor)
	}
	if l := p.Limits.MinFastPct; c.Flags().Changed("min-fast-grown") && (!l.Set || lean > l.Value) {
		q := *p
		q.Limits.MinFastPct = optimize.Limit{Set: true, Value: lean, Where: "--min-fast-grown"}
		p = &q
	}
	return optimize.Model(p, minEI)
}

// seasonProgram is the season's direct program.
func (a *app) seasonProgram(ctx context.Context, path string, keep bool) (*mip.Model, []string, error) {
	_, s, err := a.season(path)
	if err != nil {
		return nil, nil, err
	}
	mode := season.Joint
	if keep {
		mode = season.Keep
	}
	return season.Direct(ctx, s, mode)
}

// writer picks the format.
func writer(format, out string) (func(io.Writer, *mip.Model) error, error) {
	if format == "" {
		switch strings.ToLower(filepath.Ext(out)) {
		case ".lp":
			format = "lp"
		default:
			format = "mps"
		}
	}
	switch format {
	case "mps":
		return mip.WriteMPS, nil
	case "lp":
		return mip.WriteLP, nil
	}
	return nil, &usageError{fmt.Errorf("--format %s: write mps or lp", format)}
}
