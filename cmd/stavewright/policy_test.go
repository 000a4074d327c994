package main

import (
	"bytes"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mayImport is policy: what else of this module each package may import. Widen it only on purpose.
var mayImport = map[string][]string{
	"species":             {},
	"sourcing":            {"species"},
	"optimize/core":       {"species"},
	"optimize/mip":        {}, // and nothing but optimize solves by it: the only cgo in the module
	"optimize":            {"species", "sourcing", "optimize/core", "optimize/mip"},
	"optimize/season":     {"species", "sourcing", "optimize", "optimize/core", "optimize/mip"},
	"optimize/invented":   {"species", "sourcing", "optimize", "optimize/core", "optimize/season"}, // for tests and benchmarks
	"cmd/internal/book":   {"species", "sourcing", "optimize", "optimize/core", "optimize/season"},
	"cmd/internal/report": {"species", "sourcing", "optimize", "optimize/core", "optimize/season"},
	"cmd/internal/bench":  {"species", "sourcing", "optimize", "optimize/core", "optimize/mip", "optimize/season", "optimize/invented", "cmd/internal/book"},
	"cmd/stavewright":     {"species", "sourcing", "optimize", "optimize/core", "optimize/mip", "optimize/season", "cmd/internal/book", "cmd/internal/report"},
}

// cgoFiles is policy too: the files that may say import "C".
var cgoFiles = map[string]string{"optimize/mip": "glpk.go"}

func goList(t *testing.T, format string) []string {
	t.Helper()
	c := exec.Command("go", "list", "-f", format, "stavewright/...")
	c.Env = append(os.Environ(), "CGO_ENABLED=1") // the full build is what is looked at, whatever is tested
	var stderr bytes.Buffer
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go list: %v\n%s", err, stderr.String())
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

func TestImports(t *testing.T) {
	seen := map[string]bool{}
	for _, line := range goList(t, `{{.ImportPath}}:{{join .Imports " "}}`) {
		pkg, imports, _ := strings.Cut(strings.TrimPrefix(line, "stavewright/"), ":")
		allowed, ok := mayImport[pkg]
		if !ok {
			t.Errorf("package %s is not in the policy", pkg)
		}
		seen[pkg] = true
		for _, i := range strings.Fields(imports) {
			if own, ok := strings.CutPrefix(i, "stavewright/"); ok && !slices.Contains(allowed, own) {
				t.Errorf("%s imports %s", pkg, own)
			}
		}
	}
	if len(seen) != len(mayImport) {
		t.Errorf("%d packages, %d in the policy", len(seen), len(mayImport))
	}
}

func TestOneDoorToC(t *testing.T) {
	for _, line := range goList(t, `{{.ImportPath}}:{{join .CgoFiles " "}}`) {
		pkg, files, _ := strings.Cut(strings.TrimPrefix(line, "stavewright/"), ":")
		if files != cgoFiles[pkg] {
			t.Errorf("cgo files of %s: %q, want %q", pkg, files, cgoFiles[pkg])
		}
	}
}

func TestFormatted(t *testing.T) {
	out, err := exec.Command("gofmt", "-l", "../..").CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("not formatted: %s %v", out, err)
	}
}

// TestTopLevel: the top level of the project is fixed; what git ignores does not count.
func TestTopLevel(t *testing.T) {
	want := []string{"DEVELOPERS.md", "README.md", "cmd", "go.mod", "go.sum", "optimize", "sourcing", "species", "testdata"}
	out, err := exec.Command("git", "-C", "../..", "ls-files").Output()
	if err != nil {
		t.Skip("no git checkout: ", err)
	}
	var have []string
	for _, f := range strings.Fields(string(out)) {
		top, _, _ := strings.Cut(f, "/")
		if !strings.HasPrefix(top, ".") && !slices.Contains(have, top) {
			have = append(have, top)
		}
	}
	slices.Sort(have)
	if !slices.Equal(have, want) {
		t.Errorf("top level: %v, want %v", have, want)
	}
}

// TestDocuments: what README and DEVELOPERS.md link to is there, and so are the scripts and commands that they give.
func TestDocuments(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:]+)\)`)
	script := regexp.MustCompile(`sh (cmd/\w+\.sh)`)
	command := regexp.MustCompile(`(?m)^\s*(?:out/)?stavewright (\w+)`)
	known := map[string]bool{}
	for _, c := range (&app{}).root().Commands() {
		known[c.Name()] = true
	}
	for _, doc := range []string{"README.md", "DEVELOPERS.md"} {
		text, err := os.ReadFile("../../" + doc)
		if err != nil {
			t.Fatal(err)
		}
		paths := append(link.FindAllStringSubmatch(string(text), -1), script.FindAllStringSubmatch(string(text), -1)...)
		if len(paths) == 0 {
			t.Errorf("%s links to nothing", doc)
		}
		for _, m := range paths {
			if _, err := os.Stat("../../" + m[1]); err != nil {
				t.Errorf("%s names %s: %v", doc, m[1], err)
			}
		}
		for _, m := range command.FindAllStringSubmatch(string(text), -1) {
			if !known[m[1]] {
				t.Errorf("%s gives the command %q, which there is not", doc, m[1])
			}
		}
	}
}
