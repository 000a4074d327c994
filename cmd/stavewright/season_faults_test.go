//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// season puts a season of one model under the same faults as a front, and under those of its own.
func (b *bench) season(t *testing.T) {
	needSeasons(t)
	job := filepath.Join(b.dir, "season.xlsx")
	f, err := excelize.OpenFile(b.job)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("Models")
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows[1:] {
		if row[0] != faultModel {
			err = errors.Join(err, f.SetCellValue("Models", fmt.Sprintf("G%d", i+2), 0)) // Boards
		}
	}
	if err = errors.Join(err, f.SaveAs(job)); err != nil {
		t.Fatal(err)
	}
	of := &bench{program: b.program, dir: b.dir, job: job, args: []string{"season", job}}
	of.good(t, 3) // workbook, and the only supplier's order as workbook and page

	t.Run("standard output closed", of.closedOutput)
	t.Run("disk full", of.fullDisk)
	t.Run("paths", of.seasonPaths)
	t.Run("file open elsewhere", of.openElsewhere)
	t.Run("interrupted", of.seasonInterrupted)
	t.Run("interrupted at any moment", of.seasonAnyMoment)
	t.Run("killed while writing", of.killed)
	t.Run("solver at fault", of.seasonFault)
}

// seasonPaths: an order sheet that cannot be written is named, with what to do, and none of the others is written either.
func (b *bench) seasonPaths(t *testing.T) {
	dir := t.TempDir()
	if err := os.Chmod(filepath.Dir(dir), 0o755); err != nil {
		t.Fatal(err)
	}
	order := ""
	for name := range b.results {
		if strings.HasPrefix(name, "order-") && strings.HasSuffix(name, ".html") {
			order = name
		}
	}
	for _, tt := range []struct {
		name string
		make func(at string) error
		left map[string][]byte
		want []string
	}{
		{"order sheet read-only", func(at string) error {
			return errors.Join(os.Mkdir(at, 0o755), os.WriteFile(filepath.Join(at, order), []byte("keep"), 0o444), os.Chmod(at, 0o777))
		}, map[string][]byte{order: []byte("keep")}, []string{order + " cannot be written", "read-only"}},
		{"order sheet that is a folder", func(at string) error {
			return errors.Join(os.Mkdir(at, 0o755), os.Mkdir(filepath.Join(at, order), 0o755), os.Chmod(at, 0o777))
		}, nil, []string{order + " cannot be written", "folder of that name"}},
		{"results where one may not write", func(at string) error { return errors.Join(os.Mkdir(at, 0o755), os.Chmod(at, 0o555)) }, nil,
			[]string{"permission denied", "--out"}},
		{"results in a file", func(at string) error { return os.WriteFile(at, nil, 0o644) }, nil, []string{"not a folder", "--out"}},
	} {
		at := filepath.Join(dir, strings.ReplaceAll(tt.name, " ", "-"))
		if err := tt.make(at); err != nil {
			t.Fatal(err)
		}
		r := end(t, asUser(b.start(b.into(at)...)))
		if r.status != statusUsage {
			t.Errorf("%s: status %d", tt.name, r.status)
		}
		for _, want := range tt.want {
			if !strings.Contains(r.stderr, want) {
				t.Errorf("%s: %q is not in: %s", tt.name, want, r.stderr)
			}
		}
		if info, err := os.Stat(at); err == nil && info.IsDir() {
			same(t, tt.name, at, tt.left)
		}
	}
}

// fault is a run that ends in a fault, or is sent an interrupt, after so many solves.
func (b *bench) fault(t *testing.T, after int, kind string, args ...string) faultRun {
	t.Helper()
	c := b.start(args...)
	c.Env = append(c.Env, fmt.Sprint("STAVEWRIGHT_FAULT_AFTER=", after), "STAVEWRIGHT_FAULT="+kind)
	return end(t, c)
}

// partialSeason: the plan is said not to be proven, and why, on the terminal and in the workbook; every file is complete, and each order has both
// its sheets.
func partialSeason(t *testing.T, what, dir string, r faultRun, why string) {
	t.Helper()
	if !strings.Contains(r.stdout, "NOT PROVEN: "+why) {
		t.Errorf("%s: the table does not say %q: %s", what, why, r.stdout)
	}
	have := files(t, dir)
	for name, data := range have {
		complete(t, what, name, data)
		if base, ok := strings.CutSuffix(name, ".html"); ok && have[base+".xlsx"] == nil {
			t.Errorf("%s: %s has no workbook", what, name)
		}
	}
	if len(have) < 3 || have["season.xlsx"] == nil {
		t.Fatalf("%s: %d files", what, len(have))
	}
	f, err := excelize.OpenReader(bytes.NewReader(have["season.xlsx"]))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if found, err := f.SearchSheet("Summary", why, true); err != nil || len(found) == 0 {
		t.Errorf("%s: the workbook does not say %q: %v", what, why, err)
	}
}

// seasonInterrupted: at any solve an interrupt ends the search, and the best plan found is written, which is none dearer than one of the plans it
// is set against. Before there is any, nothing is written, and that is said.
func (b *bench) seasonInterrupted(t *testing.T) {
	for _, after := range []int{8, 20} {
		dir := filepath.Join(t.TempDir(), "out")
		r := b.fault(t, after, "interrupt", b.into(dir)...)
		what := fmt.Sprintf("after %d solves", after)
		if r.status != statusStopped || strings.Contains(r.stdout, "less than this plan") {
			t.Errorf("%s: status %d: %s%s", what, r.status, r.stderr, r.stdout)
		}
		partialSeason(t, what, dir, r, "interrupted")
	}
	dir := filepath.Join(t.TempDir(), "out")
	r := b.fault(t, 0, "interrupt", b.into(dir)...)
	if r.status != statusStopped || !strings.Contains(r.stderr, "no plan for the season was found") || len(files(t, dir)) > 0 {
		t.Errorf("at once: status %d, %d files: %s", r.status, len(files(t, dir)), r.stderr)
	}
}

// seasonAnyMoment: whatever the moment of an interrupt, of two, or of a kill, each file is the old one or a complete one.
func (b *bench) seasonAnyMoment(t *testing.T) {
	begin := time.Now()
	end(t, b.start(b.into(filepath.Join(t.TempDir(), "out"))...))
	long := time.Since(begin)
	const moments = 4
	for _, signals := range [][]os.Signal{{os.Interrupt}, {os.Interrupt, os.Interrupt}, {os.Kill}} {
		for k := range moments {
			dir, before := b.old(t)
			c := b.start(b.into(dir)...)
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(long * time.Duration(k) / moments) // any moment will do
			for _, s := range signals {
				_ = c.Process.Signal(s) // it may have ended
			}
			_ = c.Wait()
			status := c.ProcessState.ExitCode()
			what := fmt.Sprintf("%v, moment %d, status %d", signals, k, status)
			if status != statusDone && status != statusStopped && status != -1 {
				t.Error(what)
			}
			fresh := 0
			have := files(t, dir)
			for name, data := range have {
				if strings.HasPrefix(name, ".") && status == -1 { // what a killed run was writing has no result's name
					continue
				}
				if !bytes.Equal(data, before[name]) {
					fresh++
					complete(t, what, name, data)
					if filepath.Ext(name) != ".xlsx" && filepath.Ext(name) != ".html" {
						t.Errorf("%s: %s is left", what, name)
					}
				}
			}
			for name := range before {
				if have[name] == nil {
					t.Errorf("%s: %s is gone", what, name)
				}
			}
			if status == statusDone && fresh != len(b.results) || status == statusStopped && fresh != 0 && bytes.Equal(have["season.xlsx"], before["season.xlsx"]) {
				t.Errorf("%s: %d new files", what, fresh)
			}
		}
	}
}

// seasonFault: whatever a solver fails at, the best plan found before is printed and written, marked as not proven unless the fault came after its proof; the
// message has the solver's words, says what to do, and the status is that of a fault. Before there is any plan nothing is written.
func (b *bench) seasonFault(t *testing.T) {
	for _, tt := range []struct{ kind, words string }{{"", "found no answer that holds"}, {"numbers", "gave up"}} {
		partial, none := 0, 0
		for _, after := range []int{0, 1, 4, 8, 20} {
			what := fmt.Sprintf("%q after %d solves", tt.kind, after)
			dir := filepath.Join(t.TempDir(), "out")
			r := b.fault(t, after, tt.kind, b.into(dir, "--gap", "0", "--json")...)
			if r.status == statusDone { // it was done before
				same(t, what, dir, b.results)
				continue
			}
			if r.status != statusFault || !strings.Contains(r.stderr, tt.words) || strings.Count(r.stderr, "the solver failed: ") != 1 ||
				!strings.Contains(r.stderr, "export the program as MPS") || strings.Contains(r.stderr, "goroutine") {
				t.Errorf("%s: status %d: %s", what, r.status, r.stderr)
			}
			have := files(t, dir)
			if r.stdout == "" {
				if none++; len(have) > 0 {
					t.Errorf("%s: %d files", what, len(have))
				}
				continue
			}
			partial++
			var doc struct {
				Proven bool
				Why    string
				Orders []any
			}
			if err := json.Unmarshal([]byte(r.stdout), &doc); err != nil || doc.Proven != (doc.Why == "") || !doc.Proven && doc.Why != "the solver failed" || len(doc.Orders) == 0 {
				t.Errorf("%s: %+v, %v", what, doc, err)
			}
			if len(have) < 3 {
				t.Errorf("%s: %d files", what, len(have))
			}
			for name, data := range have {
				complete(t, what, name, data)
			}
		}
		if partial == 0 || none == 0 {
			t.Errorf("%q: %d runs had a plan, %d had none", tt.kind, partial, none)
		}
	}
	// The next run is none the worse for it.
	dir, _ := b.old(t)
	if r := end(t, b.start(b.into(dir)...)); r.status != statusDone {
		t.Errorf("status %d: %s", r.status, r.stderr)
	}
	same(t, "after", dir, b.results)
}
