package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// A publishedCheck is one line of testdata/published/README.md: a number that others have printed and a test holds ours to.
type publishedCheck struct {
	what      string
	source    string // work, edition, and page, table, example or equation
	status    string // read, memory, derived, or in words
	tolerance string // and why
	test      string // where it is held, from the top of the project
}

// The tests that hold the cases of the data files. TestPublishedPage looks that each is there and opens its file.
const (
	mechanicsTest = "optimize/core/mechanics_test.go: TestPublished"
	speciesTest   = "species/species_test.go: TestPublished"
	measureTest   = "sourcing/corpus_measure_test.go: TestMeasure"
	frontsTest    = "optimize/pareto_test.go: TestPublishedFronts"
	optimaTest    = "optimize/mip/engines_test.go: TestPublished"
)

// TestPublishedPage holds testdata/published/README.md to the checks themselves: the cases of the data files, and the marks
//
//	// published: WHAT | WORK, EDITION, PLACE | STATUS | TOLERANCE AND WHY
//
// that stand in a test beside a published number. A test that cites a work and has no mark fails here, and so does a case
// without source, status or tolerance. "// published: in FILE" says that the number is one of a data file's.
func TestPublishedPage(t *testing.T) {
	sections := []struct {
		title  string
		checks []publishedCheck
	}{
		{"Mechanics of the core (`mechanics.json`)", mechanicsChecks(t)},
		{"Woods and moisture (`species.json`)", speciesChecks(t)},
		{"Measure and grades of lumber (`lumber-measure.json`)", measureChecks(t)},
		{"Fronts and optima (`pareto/`)", paretoChecks(t)},
		{"In the tests themselves", markedChecks(t)},
	}
	var page strings.Builder
	page.WriteString(`# Published checks

Every number that others have published and a test holds this program to. This page is written from the data files and from the marks in
the tests, and a test fails when the two differ: ` + "`go test ./cmd/stavewright -run PublishedPage -update`" + ` writes it anew.

Status says how a number was come by. **read**: seen in the source, or in public text that quotes it. **memory**: not seen when it was
written down, so confirmed only in that our own computation gives it. **derived**: the formula or the definition is the source's, the number is
worked out from it. Where input and answer differ both are given. A tolerance is relative unless it has a unit; "exact" is exact.

`)
	total := 0
	for _, s := range sections {
		fmt.Fprintf(&page, "## %s\n\n| check | source | status | tolerance, and why | held by |\n|---|---|---|---|---|\n", s.title)
		for _, c := range s.checks {
			for name, v := range map[string]string{"name": c.what, "source": c.source, "status": c.status, "tolerance": c.tolerance} {
				if strings.TrimSpace(v) == "" {
					t.Errorf("%s, %s: no %s", s.title, cmp.Or(c.what, c.test), name)
				}
			}
			if !regexp.MustCompile(`read|memory|derived|common practice`).MatchString(c.status) {
				t.Errorf("%s, %s: status %q", s.title, c.what, c.status)
			}
			cells := []string{c.what, c.source, c.status, c.tolerance, "`" + c.test + "`"}
			for i := range cells {
				cells[i] = strings.ReplaceAll(cells[i], "|", "\\|")
			}
			fmt.Fprintf(&page, "| %s |\n", strings.Join(cells, " | "))
		}
		if len(s.checks) == 0 {
			t.Errorf("%s: no checks", s.title)
		}
		page.WriteString("\n")
		total += len(s.checks)
	}
	if total < 100 {
		t.Errorf("only %d checks", total)
	}
	entries, err := os.ReadDir("../../testdata/published")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if name := e.Name(); name != "README.md" && !strings.Contains(page.String(), "`"+name) {
			t.Errorf("testdata/published/%s has no section on the page", name)
		}
	}
	const file = "../../testdata/published/README.md"
	want := strings.TrimRight(page.String(), "\n") + "\n"
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != want {
		t.Errorf("%s is not what the tests hold; write it anew by -update and read the difference", file)
	}
}

func decodePublished(t *testing.T, name string, into any) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("../../testdata/published", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatal(name, err)
	}
}

// testThere fails unless a test "FILE: NAME" is there.
func testThere(t *testing.T, test string) string {
	t.Helper()
	file, name, _ := strings.Cut(test, ": ")
	text, err := os.ReadFile(filepath.Join("../..", filepath.FromSlash(file)))
	if err != nil || !strings.Contains(string(text), "func "+name+"(") {
		t.Errorf("the test %s is not there: %v", test, err)
	}
	return test
}

// why is the reason of a tolerance where a case gives none of its own.
func why(tolerance float64, status, is string) string {
	switch {
	case strings.Contains(is, "ours"):
		return "the number is ours: rounding of its last digit"
	case tolerance <= 1e-8:
		return "a closed form: rounding of floating point"
	case strings.Contains(status, "derived"):
		return "the last digit written down"
	}
	return "rounding of the printed figures"
}

func relative(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

func mechanicsChecks(t *testing.T) (out []publishedCheck) {
	var file struct {
		Cases []struct {
			ID, Title string
			Source    struct{ Work, Locator string }
			Status    struct{ Input, Answer string }
			SeenIn    string             `json:"seen_in"`
			Is        string             `json:"published_is"`
			Tolerance float64            `json:"tolerance_rel"`
			For       map[string]float64 `json:"tolerance_rel_for"`
			Note      string
		}
	}
	decodePublished(t, "mechanics.json", &file)
	test := testThere(t, mechanicsTest)
	for _, c := range file.Cases {
		status := c.Status.Answer
		if c.Status.Input != c.Status.Answer {
			status = "input " + c.Status.Input + ", answer " + c.Status.Answer
		}
		if c.SeenIn != "" {
			status += " (" + c.SeenIn + ")"
		}
		tolerance := relative(c.Tolerance) + ": " + why(c.Tolerance, status, c.Is)
		var fields []string
		for name := range c.For {
			fields = append(fields, name)
		}
		slices.Sort(fields)
		for _, name := range fields {
			tolerance += fmt.Sprintf("; %s %s", name, relative(c.For[name]))
		}
		if c.Note != "" {
			tolerance += ". " + c.Note
		}
		if c.Tolerance == 0 {
			tolerance = ""
		}
		out = append(out, publishedCheck{c.ID + " " + c.Title, c.Source.Work + ", " + c.Source.Locator, status, tolerance, test})
	}
	return out
}

func speciesChecks(t *testing.T) (out []publishedCheck) {
	var cases []struct {
		Name, Source, Status string
		Tolerance            float64 `json:"tolerance_rel"`
	}
	decodePublished(t, "species.json", &cases)
	test := testThere(t, speciesTest)
	for _, c := range cases {
		tolerance := ""
		if c.Tolerance > 0 {
			tolerance = relative(c.Tolerance) + ": " + why(c.Tolerance, c.Status, "")
		}
		out = append(out, publishedCheck{c.Name, c.Source, c.Status, tolerance, test})
	}
	return out
}

func measureChecks(t *testing.T) (out []publishedCheck) {
	var cases []struct{ Name, Source, Status string }
	decodePublished(t, "lumber-measure.json", &cases)
	test := testThere(t, measureTest)
	for _, c := range cases {
		out = append(out, publishedCheck{c.Name, c.Source, c.Status, "exact in mm and money; yield 1e-8 %: thirds have no last digit", test})
	}
	return out
}

func paretoChecks(t *testing.T) (out []publishedCheck) {
	files, err := filepath.Glob("../../testdata/published/pareto/*.json")
	if err != nil || len(files) == 0 {
		t.Fatal("no cases", err)
	}
	table, err := os.ReadFile("../../testdata/published/pareto/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		if !strings.Contains(string(table), name) {
			t.Errorf("pareto/README.md does not speak of %s", name)
		}
		var c struct{ Source, Published, Checked string }
		decodePublished(t, filepath.Join("pareto", name+".json"), &c)
		check := publishedCheck{what: name, source: c.Source + ". Published: " + c.Published, status: "read",
			tolerance: "exact: integers. Checked by " + c.Checked, test: frontsTest}
		if strings.HasPrefix(name, "single") || strings.HasPrefix(name, "purchase") {
			check.tolerance = "1e-7: a floating-point solver's own. Checked by " + c.Checked
			check.test = optimaTest
		}
		if strings.Contains(c.Published, "memory") {
			check.status = "data read, optimum from memory"
		}
		testThere(t, check.test)
		out = append(out, check)
	}
	return out
}

var (
	// mark is a published check in a test's source.
	mark = regexp.MustCompile(`(?m)^// published: (.*)$`)
	// citation is what a published number is known by where it stands.
	citation = regexp.MustCompile(`Wood Handbook|FPL-GTR|\bEqs?\. ?\(?\d|\beqs? \d|\bTable [\dA-Z]|ASTM|NHLA (rules|grade)|\bExample \d|\bProblem \d|\bISO \d|\bEN \d{3}|\bet al\b|\b(1[89]|20)\d\d\)|, p\. \d`)
)

// markedChecks gathers the marks of every test of the project, and looks for citations without one.
func markedChecks(t *testing.T) (out []publishedCheck) {
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && strings.HasPrefix(d.Name(), ".") && len(d.Name()) > 2 {
			return cmp.Or(err, fs.SkipDir)
		}
		if !strings.HasSuffix(path, "_test.go") || d.Name() == "published_test.go" {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		short := filepath.ToSlash(strings.TrimPrefix(path, filepath.Join("..", "..")+string(filepath.Separator)))
		for _, decl := range file.Decls {
			checks, cited := marksOf(t, short, file, decl)
			if cited != "" && checks == nil {
				t.Errorf("%s, %s cites %q; say beside it // published: WHAT | WORK, EDITION, PLACE | STATUS | TOLERANCE AND WHY", short, nameOf(decl), cited)
			}
			out = append(out, checks...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	out = slices.DeleteFunc(out, func(c publishedCheck) bool { return c.what == "" })
	return out
}

// marksOf are the marks in a declaration, and the first citation in it. A mark "in FILE" is an empty check.
func marksOf(t *testing.T, path string, file *ast.File, decl ast.Decl) (checks []publishedCheck, cited string) {
	start := decl.Pos()
	if f, ok := decl.(*ast.FuncDecl); ok && f.Doc != nil {
		start = f.Doc.Pos()
	}
	if g, ok := decl.(*ast.GenDecl); ok && g.Doc != nil {
		start = g.Doc.Pos()
	}
	note := func(text string) {
		if cited == "" {
			cited = citation.FindString(text)
		}
	}
	for _, c := range file.Comments {
		if c.Pos() < start || c.End() > decl.End() {
			continue
		}
		for _, line := range c.List {
			m := mark.FindStringSubmatch(line.Text)
			if m == nil {
				note(line.Text)
				continue
			}
			if in, ok := strings.CutPrefix(m[1], "in "); ok {
				if _, err := os.Stat(filepath.Join("../../testdata/published", in)); err != nil {
					t.Errorf("%s: %s: %v", path, line.Text, err)
				}
				checks = append(checks, publishedCheck{})
				continue
			}
			f := strings.Split(m[1], " | ")
			if len(f) != 4 {
				t.Errorf("%s: %q has %d parts, want 4", path, line.Text, len(f))
				continue
			}
			checks = append(checks, publishedCheck{f[0], f[1], f[2], f[3], path + ": " + nameOf(decl)})
		}
	}
	ast.Inspect(decl, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
			note(l.Value)
		}
		return true
	})
	return checks, cited
}

func nameOf(decl ast.Decl) string {
	switch d := decl.(type) {
	case *ast.FuncDecl:
		return d.Name.Name
	case *ast.GenDecl:
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.ValueSpec:
				return s.Names[0].Name
			case *ast.TypeSpec:
				return s.Name.Name
			}
		}
	}
	return "?"
}

// TestCitationsAreSeen: a citation without a mark is noticed, in a comment and in a string, and a mark is read.
func TestCitationsAreSeen(t *testing.T) {
	for _, tt := range []struct {
		source, cited string
		marks         int
	}{
		{"package a\n// By Eq. 4-14.\nfunc a() {}", "Eq. 4", 0},
		{"package a\nfunc a() { _ = \"Wood Handbook\" }", "Wood Handbook", 0},
		{"package a\nfunc a() {\n\t// (after A. Author, 1924)\n}", "1924)", 0},
		{"package a\n// published: a | b, c | read | exact: counts\n// By Table 5-1.\nvar a = 1", "Table 5", 1},
		{"package a\nfunc a() { _ = \"24 boards\" }", "", 0},
	} {
		file, err := parser.ParseFile(token.NewFileSet(), "a_test.go", tt.source, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		if marks, cited := marksOf(t, "a_test.go", file, file.Decls[0]); cited != tt.cited || len(marks) != tt.marks {
			t.Errorf("%q: cites %q with %d marks, want %q with %d", tt.source, cited, len(marks), tt.cited, tt.marks)
		}
	}
}
