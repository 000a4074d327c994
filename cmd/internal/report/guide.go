package report

import (
	"fmt"
	"io"
	"strings"
)

// A Guide is a page of help: for the terminal, or as a part of the manual.
type Guide struct {
	Title  string
	Blocks []GuideBlock
}

// A GuideBlock is a part of a guide under its heading, if it has one.
type GuideBlock struct {
	Heading  string
	Words    []string // paragraphs
	Commands []string // to be typed
	Terms    []Term
}

// A Term is a word or a flag and what it means.
type Term struct{ Name, Words string }

// GuideTerminal writes a guide, as wide as the terminal.
func GuideTerminal(w io.Writer, g Guide, s Style) error {
	t := newTerminal(s)
	t.title(g.Title)
	for _, b := range g.Blocks {
		t.gap()
		if b.Heading != "" {
			t.heading(b.Heading)
		}
		for i, words := range b.Words {
			if i > 0 {
				t.gap()
			}
			t.line(words)
		}
		for _, c := range b.Commands {
			t.command(c)
		}
		t.terms(b.Terms)
	}
	return t.writeTo(w)
}

// command writes what is to be typed; where it is too long, with backslashes, as shells take it. What stands in quotes is one word: a
// line that broke in it would put its indent into the word.
func (t *terminal) command(c string) {
	const hard = "\u00a0" // a space that no line breaks at
	lead, more := "  ", " \\"
	parts := strings.Split(c, `"`)
	for i := 1; i < len(parts); i += 2 {
		parts[i] = strings.ReplaceAll(parts[i], " ", hard)
	}
	lines := folded(strings.Join(parts, `"`), t.width-len(lead)-len(more)-2)
	for i, line := range lines {
		if i == len(lines)-1 {
			more = ""
		}
		t.put(lead + strings.ReplaceAll(line, hard, " ") + more)
		lead = "    "
	}
}

// terms writes words in a column and what they mean beside it; a word too long for its column has a line of its own.
func (t *terminal) terms(terms []Term) {
	const widest = 26
	column := 0
	for _, term := range terms {
		if n := columnsOf(term.Name); n <= widest {
			column = max(column, n)
		}
	}
	for _, term := range terms {
		lead := "  " + padded(term.Name, column, true) + "  "
		if columnsOf(term.Name) > column {
			t.put("  " + term.Name)
			lead = strings.Repeat(" ", column+4)
		}
		t.fill(lead, term.Words, "")
	}
}

// Manual writes guides as one page of the manual (groff's man macros), the first one saying what the program is. It carries no
// date: equal programs give equal pages.
func Manual(w io.Writer, name, what string, guides []Guide) error {
	var b strings.Builder
	fmt.Fprintf(&b, ".TH %s 1 \"\" \"%s\" \"User commands\"\n.SH NAME\n%s \\- %s\n", roff(strings.ToUpper(name)), roff(name), roff(name), roff(what))
	for _, g := range guides {
		fmt.Fprintf(&b, ".SH %s\n", roff(strings.ToUpper(g.Title)))
		for _, block := range g.Blocks {
			if block.Heading != "" {
				fmt.Fprintf(&b, ".SS %s\n", roff(block.Heading))
			}
			for i, words := range block.Words {
				if i > 0 || block.Heading == "" {
					b.WriteString(".PP\n")
				}
				b.WriteString(roff(words) + "\n")
			}
			for _, c := range block.Commands {
				fmt.Fprintf(&b, ".PP\n.RS 4\n.nf\n%s\n.fi\n.RE\n", roff(c))
			}
			for _, term := range block.Terms {
				fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(term.Name), roff(term.Words))
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// roff is text that the typesetter shows as it stands: nothing in it is a request or an escape, and hyphens can be copied into a shell.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, `"`, `\(dq`, "\n", " ", "'", `\(aq`).Replace(s)
	if strings.HasPrefix(s, ".") {
		s = `\&` + s
	}
	return s
}
