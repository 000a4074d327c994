package sourcing

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"github.com/xuri/excelize/v2"
)

// A Finding is one thing wrong or doubtful in a workbook, placed so that its reader can go to the cell.
type Finding struct {
	File, Sheet string
	Row, Col    int    // from 1; 0 when the whole sheet (or file) is meant
	Problem     string // what is there and why it cannot stand
	Advice      string // what to write instead
	Warning     bool   // worth knowing, but the file can be used
}

// Cell is the cell's name ("D14"), a row's ("14"), or empty when the whole sheet is meant.
func (f Finding) Cell() string {
	switch {
	case f.Row > 0 && f.Col > 0:
		name, err := excelize.CoordinatesToCellName(f.Col, f.Row)
		if err != nil {
			return ""
		}
		return name
	case f.Row > 0:
		return fmt.Sprint(f.Row)
	}
	return ""
}

// String is the finding on one line: place, problem, advice.
func (f Finding) String() string {
	var b strings.Builder
	if f.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(f.File)
	if f.Sheet != "" {
		fmt.Fprintf(&b, ", sheet %q", f.Sheet)
	}
	switch {
	case f.Row > 0 && f.Col > 0:
		fmt.Fprintf(&b, ", cell %s", f.Cell())
	case f.Row > 0:
		fmt.Fprintf(&b, ", row %d", f.Row)
	}
	fmt.Fprintf(&b, ": %s", f.Problem)
	if f.Advice != "" {
		fmt.Fprintf(&b, "; %s", f.Advice)
	}
	return b.String()
}

// What of a finding can be how long, in letters: a file can hold a text as long as itself.
const (
	maxMessage   = 2000
	maxSheetName = 100 // no spreadsheet program makes one longer than 31
)

// Printable is the finding fit to print, whatever a file put into it: see [Printable]. Of what is too long the middle is left out.
func (f Finding) Printable() Finding {
	f.Sheet, f.Problem, f.Advice = middle(f.Sheet, maxSheetName), middle(f.Problem, maxMessage), middle(f.Advice, maxMessage)
	return f
}

// middle is a text of at most so many letters, printable: a longer one without its middle, since a message ends with what is wrong.
func middle(s string, most int) string {
	if len(s) > most {
		if r := []rune(s); len(r) > most {
			s = string(r[:most/2]) + "…" + string(r[len(r)-(most-most/2-1):])
		}
	}
	return Printable(s)
}

// Printable is a text without what steers a terminal, breaks a line or turns the order of letters about: control characters and breaks become
// spaces, marks that show nothing go, and bytes that are no letter become U+FFFD.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch { // the first cases are what nearly every letter is, and looked up in no table
		case r < ' ', r >= 0x7f && r < 0xa0, r == '\u2028', r == '\u2029':
			return ' '
		case r < 0x300 && r != '\u00ad':
			return r
		case unicode.Is(unicode.Cf, r):
			return -1
		}
		return r
	}, s)
}

// Findings are findings in the order a reader works through them.
type Findings []Finding

// Sort orders by file, sheet, row and column as numbers, then by text, and drops exact repeats.
func (fs *Findings) Sort() {
	slices.SortStableFunc(*fs, func(a, b Finding) int {
		return cmp.Or(strings.Compare(a.File, b.File), strings.Compare(a.Sheet, b.Sheet), cmp.Compare(a.Row, b.Row),
			cmp.Compare(a.Col, b.Col), strings.Compare(a.Problem, b.Problem), strings.Compare(a.Advice, b.Advice))
	})
	*fs = slices.Compact(*fs)
}

// Errors returns those findings that are not mere warnings.
func (fs Findings) Errors() Findings {
	var out Findings
	for _, f := range fs {
		if !f.Warning {
			out = append(out, f)
		}
	}
	return out
}

// String is one finding per line.
func (fs Findings) String() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.String()
	}
	return strings.Join(lines, "\n")
}
