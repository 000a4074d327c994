package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"github.com/spf13/cobra"
	"github.com/xuri/excelize/v2"

	"stavewright/cmd/internal/book"
	"stavewright/cmd/internal/report"
	"stavewright/optimize/mip"
)

var update = flag.Bool("update", false, "write the golden files and testdata/published/README.md anew")

// ran runs the program in this process, and wants a status.
func ran(t *testing.T, want int, args ...string) (stdout, stderr string) {
	t.Helper()
	var out, say strings.Builder
	if got := run(context.Background(), args, &out, &say); got != want {
		t.Fatalf("stavewright %q: status %d, want %d\n%s%s", args, got, want, out.String(), say.String())
	}
	return out.String(), say.String()
}

func newRoot() *cobra.Command { return (&app{stdout: &bytes.Buffer{}, stderr: &bytes.Buffer{}}).root() }

// All help, as it stands on terminals of 80 and of 100 columns.
func TestHelpGolden(t *testing.T) {
	root := newRoot()
	for _, width := range []int{80, 100} {
		var all bytes.Buffer
		for _, name := range append([]string{""}, append(topicNames(root, nil), "jobbook woods")...) {
			g, err := topic(root, strings.Fields(name))
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprintf(&all, "=== help %s\n", name)
			if err := report.GuideTerminal(&all, g, report.Style{Width: width}); err != nil {
				t.Fatal(err)
			}
			all.WriteByte('\n')
		}
		for i, line := range strings.Split(all.String(), "\n") {
			if n := uniseg.StringWidth(line); n > width {
				t.Errorf("line %d is %d wide of %d: %s", i+1, n, width, line)
			}
			if strings.HasSuffix(line, " \\") && strings.Count(line, `"`)%2 != 0 {
				t.Errorf("line %d breaks in quotes: %s", i+1, line)
			}
		}
		path := filepath.Join("..", "..", "testdata", "golden", fmt.Sprintf("help-%d.txt", width))
		if *update {
			if err := os.WriteFile(path, all.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(all.Bytes(), want) {
			t.Errorf("%s differs: run with -update and read the difference", path)
		}
	}
}

// What help says of the job book is what the starter's own sheets have: every header, in their order.
func TestHelpKnowsTheJobBook(t *testing.T) {
	files, err := book.Starter()
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(files[slices.IndexFunc(files, func(f book.File) bool { return f.Name == "job.xlsx" })].Data))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sheets, columns := 0, 0
	for _, sheet := range f.GetSheetList() {
		if sheet == "Start" || sheet == "Lists" {
			continue
		}
		sheets++
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		out, _ := ran(t, statusDone, "help", "jobbook", strings.ToLower(sheet))
		for _, header := range rows[0] {
			columns++
			at := regexp.MustCompile(`(?m)^  ` + regexp.QuoteMeta(header) + `( \*)?( |$)`).FindStringIndex(out)
			if at == nil {
				t.Fatalf("help on %s has no column %q after the last one:\n%s", sheet, header, out)
			}
			out = out[at[1]:]
		}
		if again := regexp.MustCompile(`\n  \S`).FindAllString(out, -1); sheet != "Shop" && len(again) > 0 {
			t.Errorf("help on %s has columns that the sheet has not:\n%s", sheet, out)
		}
	}
	if sheets != len(book.Guide()) || columns < 80 {
		t.Errorf("%d sheets and %d columns in the starter, %d sheets in help", sheets, columns, len(book.Guide()))
	}
}

// Every command says what it does at length and by examples, and each of these is a line that the program takes.
func TestExamplesAreTaken(t *testing.T) {
	for _, c := range newRoot().Commands() {
		if c.Name() == "completion" {
			continue // its own examples are for shells
		}
		if c.Short == "" || c.Long == "" || c.Example == "" {
			t.Errorf("%s has no short help, no long help or no example", c.Name())
		}
		mine := 0
		for line := range strings.SplitSeq(c.Example, "\n") {
			words := shellWords(line)
			if len(words) == 0 || words[0] != "stavewright" {
				continue
			}
			root := newRoot()
			found, rest, err := root.Find(words[1:])
			if err != nil || found == root {
				t.Errorf("%s: no command in %q", c.Name(), line)
				continue
			}
			if found.Name() == c.Name() {
				mine++
			}
			if err := found.ParseFlags(rest); err != nil {
				t.Errorf("%s: %q: %v", c.Name(), line, err)
				continue
			}
			if args := found.Flags().Args(); found.Args != nil {
				if err := found.Args(found, args); err != nil {
					t.Errorf("%s: %q: %v", c.Name(), line, err)
				}
			}
		}
		if mine == 0 {
			t.Errorf("%s: no example shows it", c.Name())
		}
	}
}

// Every example of help, and every command that README gives for a job of one's own, works on the starter job as it is written. A season
// keeps its layouts here: its search would take a minute.
func TestExamplesWork(t *testing.T) {
	if testing.Short() {
		t.Skip("a front, a match and mixes, several times")
	}
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, m := range regexp.MustCompile(`(?m)^    (stavewright .*?)(?:   .*)?$`).FindAllStringSubmatch(string(readme), -1) {
		lines = append(lines, m[1])
	}
	if len(lines) < 6 {
		t.Fatalf("README gives only %q", lines)
	}
	lines = append(lines, "rm winter")
	for _, c := range newRoot().Commands() { // by name: check writes the front.json that season reads
		if c.Name() != "completion" {
			lines = append(lines, strings.Split(c.Example, "\n")...)
		}
	}
	dir := t.TempDir()
	t.Chdir(dir)
	ran(t, statusDone, "new", dir)
	for _, line := range lines {
		if line == "rm winter" {
			if err := os.RemoveAll("winter"); err != nil {
				t.Fatal(err)
			}
		}
		words := shellWords(line)
		if len(words) == 0 || words[0] != "stavewright" || words[1] == "season" && !mip.HasHiGHS() && !mip.HasGLPK() {
			continue
		}
		if words[1] == "season" {
			words = append(words, "--keep")
		}
		out, _ := ran(t, statusDone, words[1:]...)
		if _, path, ok := strings.Cut(line, " > "); ok {
			if err := os.WriteFile(path, []byte(out), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if i := slices.Index(words, "--out"); i > 0 {
			if _, err := os.Stat(words[i+1]); err != nil {
				t.Errorf("%s: nothing is written: %v", line, err)
			}
		}
	}
}

// shellWords splits a line as a shell does where there are double quotes and redirections.
func shellWords(line string) []string {
	line, _, _ = strings.Cut(line, " > ")
	line, _, _ = strings.Cut(line, " | ")
	var out []string
	for _, m := range regexp.MustCompile(`"([^"]*)"|\S+`).FindAllStringSubmatch(line, -1) {
		if strings.HasPrefix(m[0], `"`) {
			out = append(out, m[1])
		} else {
			out = append(out, m[0])
		}
	}
	return out
}

func TestHelpOnNothing(t *testing.T) {
	_, stderr := ran(t, statusUsage, "help", "limit")
	if !strings.Contains(stderr, `no help on "limit"`) || !strings.Contains(stderr, "limits") {
		t.Errorf("said %q", stderr)
	}
	for _, args := range [][]string{{"help"}, {"--help"}, {}} {
		if out, _ := ran(t, statusDone, args...); !strings.Contains(out, "Commands:") {
			t.Errorf("%q says %q", args, out)
		}
	}
}

// The page of the manual has every command, flag, sheet and column, and the typesetter finds nothing wrong with it.
func TestManual(t *testing.T) {
	out, _ := ran(t, statusDone, "help", "--man")
	for _, want := range []string{".TH STAVEWRIGHT 1", ".SH STAVEWRIGHT FRONT", `.B \-\-time\-limit TIME`, ".SH SHEET LIMITS OF THE JOB BOOK", ".B Max core mass g", `stavewright front job.xlsx \-\-model \(dqAllround 157\(dq`} {
		if !strings.Contains(out, want) {
			t.Errorf("it has no %q", want)
		}
	}
	for line := range strings.Lines(out) {
		if strings.HasPrefix(line, ".") && !regexp.MustCompile(`^\.(TH|SH|SS|PP|TP|B|RS|RE|nf|fi)\b`).MatchString(line) || strings.HasPrefix(line, "'") {
			t.Errorf("this line is taken for a request: %q", line)
		}
	}
	groff, err := exec.LookPath("groff")
	if err != nil {
		t.Skip("groff is not there: the page is not set")
	}
	page := exec.Command(groff, "-man", "-Kutf8", "-Tutf8", "-ww", "-rLL=100n")
	page.Stdin = strings.NewReader(out)
	var complaints bytes.Buffer
	page.Stderr = &complaints
	set, err := page.Output()
	if err != nil || complaints.Len() > 0 {
		t.Errorf("groff: %v %s", err, complaints.String())
	}
	if !bytes.Contains(set, []byte("N·m²")) {
		t.Error("the page lost its letters")
	}
}

// A shell is offered what fits: models of the book on the line, or of the book in the folder; topics; words of a flag.
func TestCompletion(t *testing.T) {
	t.Chdir(filepath.Join("..", "..", "testdata", "demo"))
	for _, tt := range []struct {
		args      []string
		want      string // a line of the answer
		directive string // cobra's: 4 no files, 8 by extension, 16 folders, 32 keep the order; their sum
	}{
		{[]string{"front", "job.xlsx", "--model", ""}, "Allround 157", ":36"},
		{[]string{"front", "--model", ""}, "Allround 157", ":36"},
		{[]string{"prices", "job.xlsx", "--model", "All"}, "Allround 157", ":36"},
		{[]string{"front", ""}, "xlsx", ":8"},
		{[]string{"woods", ""}, "xlsx", ":8"},
		{[]string{"front", "job.xlsx", ""}, ":4", ":4"},
		{[]string{"new", ""}, ":16", ":16"},
		{[]string{"front", "job.xlsx", "--out", ""}, ":16", ":16"},
		{[]string{"woods", "--by", ""}, "panel-stiffness\t", ":4"},
		{[]string{"front", "job.xlsx", "--objectives", ""}, "mass,ei,cost", ":4"},
		{[]string{"help", ""}, "limits", ":4"},
		{[]string{"help", "jobbook", "wo"}, "woods", ":4"},
		{[]string{"front", "nowhere.xlsx", "--model", ""}, ":4", ":4"},
	} {
		out, _ := ran(t, statusDone, append([]string{"__complete"}, tt.args...)...)
		lines := strings.Split(strings.TrimSpace(out), "\n")
		if !slices.ContainsFunc(lines, func(l string) bool {
			return l == tt.want || strings.HasSuffix(tt.want, "\t") && strings.HasPrefix(l, tt.want)
		}) {
			t.Errorf("%q: no %q in %q", tt.args, tt.want, lines)
		}
		if last := lines[len(lines)-1]; last != tt.directive {
			t.Errorf("%q: directive %s, want %s", tt.args, last, tt.directive)
		}
	}
}
