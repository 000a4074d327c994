package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize"
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// An app is one run of the program: where it writes, and the flags that commands share.
type app struct {
	stdout, stderr io.Writer
	running        bool     // a command has begun: what goes wrong from here on is not cobra's usage
	inputs         []string // the files that were read

	model     string
	out       string
	json      bool
	quiet     bool
	timeLimit time.Duration
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "stavewright",
		Short: "Choose the woods of a laminated board core, and prove the choice best",
		Long: `stavewright takes a job book (one XLSX workbook: models, stations, layers, positions, limits) and suppliers' price
sheets, and finds which wood goes at which place across a laminated board core. What it calls best is proven, by
enumeration or by integer programs.

Exit status: 0 done and proven (a season: within --gap of its bound); 2 bad usage or input; 3 nothing feasible; 4 stopped early, best found written;
1 a fault of the program.`,
		SilenceUsage:  true,
		SilenceErrors: true,
		PersistentPreRunE: func(c *cobra.Command, _ []string) error {
			a.running = true
			return a.checkFlags(c)
		},
	}
	root.SetFlagErrorFunc(flagError)
	root.AddCommand(a.newCommand(), a.woodsCommand(), a.pricesCommand(), a.checkCommand(), a.frontCommand(), a.matchCommand(), a.mixesCommand(), a.seasonCommand(), a.exportCommand())
	root.SetHelpCommand(a.helpCommand())
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	a.complete(root)
	root.SetHelpFunc(a.help)
	return root
}

// job adds the flags of a command that works on a job book.
func (a *app) jobFlags(c *cobra.Command) {
	c.Flags().StringVar(&a.model, "model", "", "the model, as named in the book's Models sheet (may be left out when there is one)")
	c.Flags().BoolVar(&a.quiet, "quiet", false, "no progress and no warnings on standard error")
}

func (a *app) resultFlags(c *cobra.Command) {
	c.Flags().StringVar(&a.out, "out", "", "folder for the results workbook and the HTML page (made when missing)")
	c.Flags().BoolVar(&a.json, "json", false, "one JSON document on standard output instead of a table")
}

// say writes a line for people to standard error, unless told to be quiet.
func (a *app) say(format string, args ...any) {
	if !a.quiet {
		fmt.Fprintln(a.stderr, report.Plain(fmt.Sprintf(format, args...)))
	}
}

// style is how the terminal looks: tables fit 100 columns, a narrower terminal, or 80 when there is none.
func (a *app) style() report.Style {
	s := report.Style{Width: 80}
	out := a.stdout
	if o, ok := out.(*tolerant); ok {
		out = o.Writer
	}
	f, ok := out.(*os.File)
	if ok && term.IsTerminal(int(f.Fd())) {
		s.Colour = colourWanted(os.Getenv)
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
			s.Width = min(w, 100)
		}
	}
	return s
}

// colourWanted says whether a terminal gets colour: not where NO_COLOR holds anything (no-color.org), nor on one that knows none.
func colourWanted(env func(string) string) bool {
	return env("NO_COLOR") == "" && env("TERM") != "dumb"
}

// readBook reads the job book alone. Its warnings go to standard error.
func (a *app) readBook(path string) (*book.Job, error) {
	if err := a.room(); err != nil {
		return nil, err
	}
	data, err := a.readFile(path)
	if err != nil {
		return nil, err
	}
	job, findings := book.Read(bytes.NewReader(data), filepath.Base(path))
	return job, a.settle(findings)
}

// settle turns findings with an error among them into that error, and says the others.
func (a *app) settle(findings sourcing.Findings) error {
	findings.Sort()
	if len(findings.Errors()) > 0 {
		return &findingsError{findings}
	}
	for _, f := range findings {
		a.say("%s", f)
	}
	return nil
}

// priceFiles reads the price file of every supplier of a job. What is wrong with one is among its findings; a file from
// which nothing can be read at all is marked, and has an error among them.
func (a *app) priceFiles(path string, job *book.Job) []report.PriceFile {
	var files []report.PriceFile
	for i := range job.Suppliers {
		s := &job.Suppliers[i]
		f := report.PriceFile{Supplier: s.Name, File: s.PriceFile}
		file := filepath.Join(filepath.Dir(path), filepath.FromSlash(s.PriceFile))
		bad := func(problem, advice string) {
			f.Unreadable = true
			f.Findings = sourcing.Findings{{File: filepath.Base(path), Sheet: "Suppliers", Row: s.Row, Col: s.Col, Problem: problem, Advice: advice}}
		}
		data, err := a.readFile(file)
		if err != nil {
			bad(fmt.Sprintf("the price file of %s cannot be read (%v)", s.Name, err), "give its path from the folder of the job book, or delete the supplier's row")
		} else if sameFile(file, path) { // its Stock sheet would go for prices
			bad(fmt.Sprintf("the price file of %s is this job book", s.Name), "name the file that the supplier sent")
		} else {
			f.Offers, f.Rows, f.Findings = sourcing.ReadOffers(bytes.NewReader(data), job.Source(s))
			f.Unreadable = len(f.Offers) == 0 && slices.ContainsFunc(f.Findings, wholeFile)
		}
		files = append(files, f)
	}
	return files
}

// wholeFile tells whether a finding is an error that speaks of a file, not of a sheet or a line of it.
func wholeFile(f sourcing.Finding) bool { return !f.Warning && f.Sheet == "" && f.Row == 0 }

// job reads the book and the offers of every price sheet it names.
func (a *app) job(path string) (*book.Job, []sourcing.Offer, error) {
	job, err := a.readBook(path)
	if err != nil {
		return nil, nil, err
	}
	var findings sourcing.Findings
	var offers []sourcing.Offer
	for _, f := range a.priceFiles(path, job) {
		offers = append(offers, f.Offers...)
		for _, found := range f.Findings {
			// A line of a price sheet that gives no offer costs that offer, not the run; a file that gives nothing might hold
			// the cheapest wood there is.
			found.Warning = found.Warning || !f.Unreadable
			findings = append(findings, found)
		}
	}
	return job, offers, a.settle(findings)
}

// named is the model asked for: the only one there is, when none is named.
func (a *app) named(job *book.Job) (*book.Model, error) {
	name := a.model
	if name == "" && len(job.Models) == 1 {
		name = job.Models[0].Name
	}
	m, err := job.Model(name)
	if err != nil {
		return nil, &usageError{err}
	}
	return m, nil
}

// program reads the job and states the model's program.
func (a *app) program(path string) (*book.Job, *optimize.Program, error) {
	job, offers, err := a.job(path)
	if err != nil {
		return nil, nil, err
	}
	m, err := a.named(job)
	if err != nil {
		return nil, nil, err
	}
	p, findings := job.Program(m.Name, offers)
	return job, p, a.settle(findings)
}

// season reads the job and states the season.
func (a *app) season(path string) (*book.Job, *season.Season, error) {
	job, offers, err := a.job(path)
	if err != nil {
		return nil, nil, err
	}
	s, findings := job.Season(offers)
	return job, s, a.settle(findings)
}

// limited is the command's context under the time limit, if there is one.
func (a *app) limited(ctx context.Context) (context.Context, context.CancelFunc) {
	if a.timeLimit <= 0 {
		return ctx, func() {}
	}
	return context.WithTimeout(ctx, a.timeLimit)
}

// An output is one file of a result: written into memory first, so that nothing is half written.
type output struct {
	name  string
	write func(io.Writer) error
}

// save writes the outputs into the folder: each is made whole, and only when all are made do they take their names.
func (a *app) save(outputs ...output) error {
	if err := os.MkdirAll(a.out, 0o755); err != nil {
		return usage("the results folder %s cannot be made: %w; name another by --out", a.out, err)
	}
	for _, o := range outputs {
		if err := a.spares(filepath.Join(a.out, o.name)); err != nil {
			return err
		}
	}
	var pending []*whole
	defer func() {
		for _, f := range pending {
			f.discard() // what has not taken its name
		}
	}()
	for _, o := range outputs {
		f, err := newWhole(filepath.Join(a.out, o.name))
		if err != nil {
			return unwritten(filepath.Join(a.out, o.name), err)
		}
		pending = append(pending, f)
		if err := o.write(f); err != nil {
			return unwritten(filepath.Join(a.out, o.name), err)
		}
	}
	for i, f := range pending {
		if err := f.commit(); err != nil {
			return unwritten(filepath.Join(a.out, outputs[i].name), err)
		}
	}
	for _, o := range outputs {
		a.say("written: %s", filepath.Join(a.out, o.name))
	}
	return nil
}

// fileName makes a model's name fit for a file: letters and digits stay, all else becomes a hyphen.
func fileName(model string) string {
	s := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, model)
	for strings.Contains(s, "--") {
		s = strings.ReplaceAll(s, "--", "-")
	}
	s = strings.Trim(s, "-")
	if r := []rune(s); len(r) > 60 {
		s = strings.Trim(string(r[:60]), "-")
	}
	if s == "" {
		return "model"
	}
	return s
}
