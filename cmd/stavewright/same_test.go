package main

import (
	"bytes"
	"errors"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"stavewright/cmd/internal/book"
)

// sameRuns are runs of every command and of every kind of output there is; one that is added takes a line. Each runs in a folder with
// the starter job, and writes its files, if any, into the folder out.
var sameRuns = []struct {
	name  string
	args  []string
	files int // written into out
}{
	{"new", []string{"new", "out"}, 5},
	{"woods", []string{"woods"}, 0},
	{"woods as JSON", []string{"woods", "job.xlsx", "--json"}, 0},
	{"prices", []string{"prices", "job.xlsx", "--model", "Park 150", "--steps", "--out", "out"}, 1},
	{"prices as JSON", []string{"prices", "job.xlsx", "--json"}, 0},
	{"check", []string{"check", "job.xlsx", "--model", "Park 150", "--out", "out"}, 4},
	{"check as JSON", []string{"check", "job.xlsx", "--model", "Park 150", "--json"}, 0},
	{"front", []string{"front", "job.xlsx", "--model", "Park 150", "--out", "out"}, 4},
	{"front as JSON, with cost", []string{"front", "job.xlsx", "--model", "Park 150", "--objectives", "mass,ei,cost", "--json"}, 0},
	{"match", []string{"match", "job.xlsx", "--model", "Park 150", "--factors", "0.99:1.01:0.01", "--out", "out"}, 4},
	{"match as JSON", []string{"match", "job.xlsx", "--model", "Park 150", "--factors", "0.99:1.01:0.01", "--json"}, 0},
	{"mixes", []string{"mixes", "job.xlsx", "--model", "Park 150", "--out", "out"}, 2},
	{"mixes as JSON", []string{"mixes", "job.xlsx", "--model", "Park 150", "--json"}, 0},
	{"season", []string{"season", "job.xlsx", "--keep", "--out", "out"}, 5},
	{"season as JSON", []string{"season", "job.xlsx", "--keep", "--json"}, 0},
	{"export as MPS", []string{"export", "job.xlsx", "--model", "Park 150", "--min-ei", "150"}, 0},
	{"export as LP", []string{"export", "job.xlsx", "--model", "Park 150", "--format", "lp"}, 0},
	{"help", []string{"help", "jobbook"}, 0},
	{"the manual", []string{"help", "--man"}, 0},
}

// Equal input gives equal bytes: at once and again, on one core and on several, wherever on the earth and in whatever language.
func TestSameBytes(t *testing.T) {
	files, err := book.Starter()
	if err != nil {
		t.Fatal(err)
	}
	environments := [][]string{
		{"TZ=UTC", "LC_ALL=C", "LANG=C", "GOMAXPROCS=2"},
		{"TZ=Pacific/Apia", "LC_ALL=ja_JP.UTF-8", "LANG=tr_TR.UTF-8", "RUNEWIDTH_EASTASIAN=1", "GOMAXPROCS=1", "NO_COLOR=1", "COLUMNS=132", "TERM=xterm-256color"},
	}
	shown := map[string]bool{}
	for _, r := range sameRuns {
		t.Run(r.name, func(t *testing.T) {
			if r.args[0] == "season" {
				needSeasons(t)
			}
			var first map[string][]byte
			for _, env := range environments {
				got := outputs(t, files, env, r.args)
				if first == nil {
					first = got
					if n := len(got) - 1; n != r.files {
						t.Errorf("%d files, want %d: %q", n, r.files, slices.Sorted(maps.Keys(got)))
					}
					continue
				}
				for name := range maps.Keys(first) {
					if !bytes.Equal(first[name], got[name]) {
						t.Errorf("%v: %s has other bytes", env, name)
					}
				}
				if len(got) != len(first) {
					t.Errorf("%v: %d files, want %d", env, len(got)-1, len(first)-1)
				}
			}
		})
		shown[r.args[0]] = true
	}
	for _, c := range newRoot().Commands() {
		if c.IsAvailableCommand() && c.Name() != "completion" && !shown[c.Name()] {
			t.Errorf("no run of %s is among them", c.Name())
		}
	}
}

// outputs are what a run writes: its standard output, and its files by name.
func outputs(t *testing.T, job []book.File, env, args []string) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	for _, f := range job {
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	c := exec.Command("stavewright", args...)
	c.Dir = dir
	c.Env = append(os.Environ(), env...)
	var stderr bytes.Buffer
	c.Stderr = &stderr
	out, err := c.Output()
	if err != nil || len(out) == 0 {
		t.Fatalf("%q: %v, %d bytes\n%s", args, err, len(out), stderr.String())
	}
	got := map[string][]byte{"standard output": out}
	written, err := os.ReadDir(filepath.Join(dir, "out"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	for _, f := range written {
		if got[f.Name()], err = os.ReadFile(filepath.Join(dir, "out", f.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return got
}

// BenchmarkStart is what a run takes that has nothing to compute.
func BenchmarkStart(b *testing.B) {
	for b.Loop() {
		if err := exec.Command("stavewright", "woods").Run(); err != nil {
			b.Fatal(err)
		}
	}
}
