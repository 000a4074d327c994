package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
)

// bookTopic is the help topic on the job book as a whole; each of its sheets is a topic by its name.
const bookTopic = "jobbook"

// helpCommand is help on the program, on a command, on the job book or on a sheet of it.
func (a *app) helpCommand() *cobra.Command {
	manual := false
	c := &cobra.Command{
		Use:   "help [COMMAND | TOPIC]",
		Short: "Help on a command, on the job book, or on a sheet of it",
		Long: `help COMMAND is what COMMAND --help says. help jobbook says what a job book is; help and the name of a sheet, such as help
limits, says what each of its columns holds. A sheet that has the name of a command is found by help jobbook SHEET.

With --man, all of it is written as one page of the manual.`,
		Example: "  stavewright help front\n  stavewright help jobbook\n  stavewright help limits\n  stavewright help --man > stavewright.1",
		RunE: func(c *cobra.Command, args []string) error {
			if manual {
				return report.Manual(a.stdout, "stavewright", "choose the woods of a laminated board core, and prove the choice best", manualGuides(c.Root()))
			}
			g, err := topic(c.Root(), args)
			if err != nil {
				return err
			}
			return report.GuideTerminal(a.stdout, g, a.style())
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			return topicNames(c.Root(), args), cobra.ShellCompDirectiveNoFileComp
		},
	}
	c.Flags().BoolVar(&manual, "man", false, "everything as one page of the manual, for man -l or a folder man1")
	return c
}

// help is what --help writes.
func (a *app) help(c *cobra.Command, _ []string) {
	c.InitDefaultHelpFlag()
	g := rootGuide(c.Root())
	if c != c.Root() {
		g = commandGuide(c)
	}
	_ = report.GuideTerminal(a.stdout, g, a.style()) // cobra asks for no error here
}

// topic is the guide that a person asked for.
func topic(root *cobra.Command, args []string) (report.Guide, error) {
	if len(args) == 0 {
		return rootGuide(root), nil
	}
	if c, rest, err := root.Find(args); err == nil && c != root && len(rest) == 0 {
		return commandGuide(c), nil
	}
	name := args[len(args)-1]
	if args[0] == bookTopic || len(args) == 1 {
		if len(args) == 1 && name == bookTopic {
			return bookGuide(), nil
		}
		for _, s := range book.Guide() {
			if strings.EqualFold(s.Name, name) && len(args) <= 2 {
				return sheetGuide(s), nil
			}
		}
	}
	return report.Guide{}, usage("there is no help on %q; there is on: %s", strings.Join(args, " "), strings.Join(topicNames(root, nil), ", "))
}

// topicNames are what there is help on: commands, the job book, its sheets; after jobbook only these.
func topicNames(root *cobra.Command, args []string) []string {
	var out []string
	if len(args) == 0 {
		for _, c := range root.Commands() {
			if c.IsAvailableCommand() {
				out = append(out, c.Name())
			}
		}
		out = append(out, bookTopic)
	}
	if len(args) == 0 || len(args) == 1 && args[0] == bookTopic {
		for _, s := range book.Guide() {
			if name := strings.ToLower(s.Name); !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// prose is paragraphs from text with lines broken by hand; what is indented is to be typed.
func prose(long string) []report.GuideBlock {
	var out []report.GuideBlock
	for _, part := range strings.Split(strings.TrimSpace(long), "\n\n") {
		var b report.GuideBlock
		var words []string
		for line := range strings.SplitSeq(part, "\n") {
			if strings.TrimLeft(line, " \t") != line {
				b.Commands = append(b.Commands, strings.TrimSpace(line))
			} else {
				words = append(words, line)
			}
		}
		if len(words) > 0 {
			b.Words = []string{strings.Join(words, " ")}
		}
		out = append(out, b)
	}
	return out
}

func rootGuide(root *cobra.Command) report.Guide {
	g := report.Guide{Title: root.Short, Blocks: prose(root.Long)}
	commands := report.GuideBlock{Heading: "Commands"}
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			commands.Terms = append(commands.Terms, report.Term{Name: c.Name(), Words: c.Short})
		}
	}
	begin := report.GuideBlock{Heading: "To begin", Commands: []string{"stavewright new winter", "stavewright help jobbook", "stavewright COMMAND --help"}}
	return report.Guide{Title: g.Title, Blocks: append(g.Blocks, commands, begin)}
}

func commandGuide(c *cobra.Command) report.Guide {
	g := report.Guide{Title: c.Short, Blocks: prose(c.Long)}
	g.Blocks = append(g.Blocks, report.GuideBlock{Heading: "Usage", Commands: []string{c.UseLine()}})
	if c.Example != "" {
		b := report.GuideBlock{Heading: "Examples"}
		for line := range strings.SplitSeq(c.Example, "\n") {
			b.Commands = append(b.Commands, strings.TrimSpace(line))
		}
		g.Blocks = append(g.Blocks, b)
	}
	if c.HasAvailableSubCommands() {
		b := report.GuideBlock{Heading: "Commands"}
		for _, sub := range c.Commands() {
			b.Terms = append(b.Terms, report.Term{Name: sub.Name(), Words: sub.Short})
		}
		g.Blocks = append(g.Blocks, b)
	}
	if flags := flagTerms(c); len(flags) > 0 {
		g.Blocks = append(g.Blocks, report.GuideBlock{Heading: "Flags", Terms: flags})
	}
	if c.Name() == "woods" {
		g.Blocks = append(g.Blocks, report.GuideBlock{Words: []string{"The sheet Woods of the job book: stavewright help jobbook woods."}})
	}
	return g
}

// holders stand for what is written behind a flag, by the flag's name or by the kind of its value.
var holders = map[string]string{
	"model": "NAME", "out": "FOLDER", "layout": "FILE#ID", "by": "WORD", "format": "FORMAT", "within": "PERCENT", "keep-point": "MODEL=FILE#ID", "without-supplier": "NAME", "without-wood": "WOOD", "price": "WOOD=PERCENT", "boards": "PERCENT", "factors": "LOW:HIGH:STEP",
	"string": "TEXT", "strings": "LIST", "duration": "TIME", "float": "NUMBER", "int": "N",
}

// holder stands for what is written behind a flag: what its help has in backquotes, else what its name or the kind of its value has
// among the holders. It is empty for a flag that takes nothing.
func holder(f *pflag.Flag) string {
	kind, _ := pflag.UnquoteUsage(f)
	switch {
	case kind == "":
		return ""
	case strings.Contains(f.Usage, "`"):
		return kind
	}
	return cmp.Or(holders[f.Name], holders[kind], strings.ToUpper(kind))
}

// unquoted is a flag's help without backquotes.
func unquoted(f *pflag.Flag) string {
	_, words := pflag.UnquoteUsage(f)
	return words
}

func flagTerms(c *cobra.Command) []report.Term {
	var out []report.Term
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		name, words := "--"+f.Name, unquoted(f)
		if h := holder(f); h != "" {
			name += " " + h
		}
		if f.Name == "help" {
			words = "this help"
		}
		if !slices.Contains([]string{"", "false", "0", "0s", "[]"}, f.DefValue) {
			words += fmt.Sprintf(" (else %s)", strings.Trim(f.DefValue, "[]"))
		}
		out = append(out, report.Term{Name: name, Words: words})
	})
	return out
}

// bookGuide is what holds for the whole job book, and which sheets it has.
func bookGuide() report.Guide {
	b := report.GuideBlock{Heading: "Sheets (* must be there)"}
	for _, s := range book.Guide() {
		b.Terms = append(b.Terms, report.Term{Name: starred(s.Name, s.Required), Words: s.Intro})
	}
	hints := report.GuideBlock{Heading: "Good to know"}
	for _, h := range book.Hints() {
		hints.Terms = append(hints.Terms, report.Term{Name: h[0], Words: h[1]})
	}
	return report.Guide{Title: "The job book", Blocks: []report.GuideBlock{
		{Words: []string{"One XLSX workbook says what you build, which core rides right today and what it must keep. stavewright new writes one that works as it stands; every sheet that is not marked may be missing, and then sets no limit or takes what counts without it."}},
		b, hints,
		{Heading: "What a sheet holds", Commands: []string{"stavewright help limits", "stavewright help jobbook woods"}},
	}}
}

func sheetGuide(s book.SheetGuide) report.Guide {
	words := "The sheet may be missing."
	if s.Required {
		words = "The sheet must be there."
	}
	g := report.Guide{Title: "Sheet " + s.Name + " of the job book", Blocks: []report.GuideBlock{
		{Words: []string{s.Intro + " " + words}},
		{Heading: "Columns (* must be filled in every row)", Terms: terms(s.Columns)},
	}}
	if len(s.Settings) > 0 {
		g.Blocks = append(g.Blocks, report.GuideBlock{Heading: "Settings", Terms: terms(s.Settings)})
	}
	return g
}

func terms(notes []book.Note) []report.Term {
	out := make([]report.Term, len(notes))
	for i, n := range notes {
		out[i] = report.Term{Name: starred(n.Name, n.Required), Words: n.Words}
	}
	return out
}

func starred(name string, must bool) string {
	if must {
		return name + " *"
	}
	return name
}

// manualGuides is everything there is help on.
func manualGuides(root *cobra.Command) []report.Guide {
	about := rootGuide(root)
	about.Title = "Description"
	out := []report.Guide{about}
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			g := commandGuide(c)
			g.Blocks = slices.Insert(g.Blocks, 0, report.GuideBlock{Words: []string{g.Title + "."}})
			g.Title = "stavewright " + c.Name()
			out = append(out, g)
		}
	}
	out = append(out, bookGuide())
	for _, s := range book.Guide() {
		out = append(out, sheetGuide(s))
	}
	return out
}
