//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"stavewright/cmd/internal/book"
	"stavewright/optimize/mip"
)

// A bench is where runs of the program itself are put under faults: the program as built, a starter job, the command that is run, and what it
// gives without faults.
type bench struct {
	program string
	dir     string
	job     string
	args    []string          // of the command, without the folder for its results
	results map[string][]byte // by name
	stdout  []byte
}

const faultModel = "Park 150"

// into are the arguments of a run with its results in a folder.
func (b *bench) into(out string, more ...string) []string {
	return slices.Concat(b.args, []string{"--out", out}, more)
}

// good runs the command without a fault, for what it gives.
func (b *bench) good(t *testing.T, want int) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "good")
	r := end(t, b.start(b.into(dir)...))
	b.results, b.stdout = files(t, dir), []byte(r.stdout)
	if r.status != statusDone || len(b.results) != want {
		t.Fatalf("without a fault: status %d, %d files: %s", r.status, len(b.results), r.stderr)
	}
}

// A run is how one run ended.
type faultRun struct {
	status         int // −1: by a signal
	stdout, stderr string
}

// start prepares a run. Nothing of the environment that steers Go reaches it.
func (b *bench) start(args ...string) *exec.Cmd {
	c := exec.Command(b.program, args...)
	c.Dir = b.dir
	for _, v := range os.Environ() {
		if !strings.HasPrefix(v, "GOTRACEBACK=") && !strings.HasPrefix(v, "GOMEMLIMIT=") && !strings.HasPrefix(v, "STAVEWRIGHT_") {
			c.Env = append(c.Env, v)
		}
	}
	return c
}

func end(t *testing.T, c *exec.Cmd) faultRun {
	t.Helper()
	var stdout, stderr bytes.Buffer
	if c.Stdout == nil {
		c.Stdout = &stdout
	}
	c.Stderr = &stderr
	err := c.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return faultRun{c.ProcessState.ExitCode(), stdout.String(), stderr.String()}
}

// by runs the command through a shell that sets limits first.
func by(shell string, c *exec.Cmd) *exec.Cmd {
	sh := exec.Command("sh", append([]string{"-c", shell + ` && exec "$0" "$@"`}, c.Args...)...)
	sh.Dir, sh.Env = c.Dir, c.Env
	return sh
}

// files are the files of a folder, by name.
func files(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !e.Type().IsRegular() {
			continue
		}
		if out[e.Name()], err = os.ReadFile(filepath.Join(dir, e.Name())); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// same fails unless the folder holds just these files.
func same(t *testing.T, what, dir string, want map[string][]byte) {
	t.Helper()
	have := files(t, dir)
	for name, data := range have {
		if !bytes.Equal(data, want[name]) {
			t.Errorf("%s: %s is not as it should be (%d bytes, want %d)", what, name, len(data), len(want[name]))
		}
	}
	for name := range want {
		if have[name] == nil {
			t.Errorf("%s: %s is missing", what, name)
		}
	}
}

// old is a folder with results of before, in every name that a front writes.
func (b *bench) old(t *testing.T) (dir string, before map[string][]byte) {
	t.Helper()
	dir = t.TempDir()
	before = map[string][]byte{}
	for name := range b.results {
		before[name] = []byte("the old " + name)
		if err := os.WriteFile(filepath.Join(dir, name), before[name], 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir, before
}

// whole fails unless every result in the folder is the old or the new one, and both are there; how many are new. After an interrupt a result may
// also be that of a search cut short, which is whole and says so.
func (b *bench) whole(t *testing.T, what, dir string, before map[string][]byte, interrupted bool) (fresh int) {
	t.Helper()
	for name, data := range files(t, dir) {
		switch {
		case bytes.Equal(data, b.results[name]) && b.results[name] != nil:
			fresh++
		case interrupted && before[name] != nil && cutShort(name, data):
		case before[name] == nil && strings.HasPrefix(name, "."): // what a killed run was writing has no result's name
		case !bytes.Equal(data, before[name]) || before[name] == nil:
			t.Errorf("%s: %s is neither the old file nor the new one: %d bytes", what, name, len(data))
		}
	}
	for name := range before {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	return fresh
}

// cutShort tells whether a result is whole and, where it is a page, says that its search was interrupted.
func cutShort(name string, data []byte) bool {
	if strings.HasSuffix(name, ".html") {
		return bytes.Contains(data, []byte("interrupted")) && bytes.HasSuffix(bytes.TrimSpace(data), []byte("</html>"))
	}
	f, err := excelize.OpenReader(bytes.NewReader(data))
	if err != nil {
		return false
	}
	f.Close()
	return true
}

// TestFaults puts the program, as users run it, under the faults of the machine around it.
func TestFaults(t *testing.T) {
	if testing.Short() {
		t.Skip("runs programs built apart from this one, in full runs")
	}
	b := &bench{dir: t.TempDir()}
	if err := os.Chmod(filepath.Dir(b.dir), 0o755); err != nil { // for the runs of another user
		t.Fatal(err)
	}
	b.program = filepath.Join(b.dir, "stavewright")
	// The tag only adds a door by which solves can be made to fail.
	if out, err := exec.Command("go", "build", "-tags", "glpkfault", "-o", b.program, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	starter, err := book.Starter()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range starter {
		if err := os.WriteFile(filepath.Join(b.dir, f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b.job = filepath.Join(b.dir, starter[0].Name)
	b.args = []string{"front", b.job, "--model", faultModel}
	b.good(t, 4) // workbook and page, of the front and of the shop sheet

	t.Run("standard output full", b.fullOutput)
	t.Run("standard output closed", b.closedOutput)
	t.Run("disk full", b.fullDisk)
	t.Run("paths", b.paths)
	t.Run("file open elsewhere", b.openElsewhere)
	t.Run("links and pipes", b.linksAndPipes)
	t.Run("interrupted", b.interrupted)
	t.Run("interrupted at any moment", b.anyMoment)
	t.Run("killed while writing", b.killed)
	t.Run("solver at fault", b.solverFault)
	t.Run("memory", b.memory)
	t.Run("season", b.season)
}

// fullOutput: what cannot be printed is said, and the files are written all the same.
func (b *bench) fullOutput(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	out := filepath.Join(t.TempDir(), "out")
	for _, args := range [][]string{
		{"woods"}, {"woods", "--json"}, {"prices", b.job}, {"check", b.job, "--model", faultModel, "--json"}, {"export", b.job, "--model", faultModel},
		{"new", filepath.Join(t.TempDir(), "fresh")}, {"--help"}, b.into(out, "--json"), b.into(out),
	} {
		c := b.start(args...)
		c.Stdout = full
		r := end(t, c)
		if r.status != statusUsage || !strings.Contains(r.stderr, "standard output cannot be written: no space left on device") {
			t.Errorf("%v: status %d: %s", args[:1], r.status, r.stderr)
		}
	}
	same(t, "results", out, b.results)
}

// closedOutput: a reader that has had enough is no fault, and costs no file.
func (b *bench) closedOutput(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	for _, args := range [][]string{{"woods"}, b.into(out)} {
		reader, writer, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		reader.Close()
		c := b.start(args...)
		c.Stdout = writer
		r := end(t, c)
		writer.Close()
		if r.status != statusDone || strings.Contains(r.stderr, "pipe") {
			t.Errorf("%v: status %d: %s", args[:1], r.status, r.stderr)
		}
	}
	same(t, "results", out, b.results)
}

// fullDisk: old results stay as they were, nothing half written is left, and the message says what to do.
func (b *bench) fullDisk(t *testing.T) {
	check := func(r faultRun) {
		t.Helper()
		if r.status != statusUsage || !strings.Contains(r.stderr, "make room") || strings.Contains(r.stderr, "goroutine") {
			t.Errorf("status %d: %s", r.status, r.stderr)
		}
		if !bytes.Equal([]byte(r.stdout), b.stdout) {
			t.Errorf("the table is not printed: %s", r.stdout)
		}
	}
	dir, before := b.old(t)
	// A limit on the size of a file stands in for the disk; standard output is a pipe, which it does not touch.
	check(end(t, by("ulimit -f 8", b.start(b.into(dir)...))))
	same(t, "limited", dir, before)

	t.Run("tmpfs", func(t *testing.T) {
		if err := exec.Command("unshare", "-rm", "sh", "-c", "mount -t tmpfs -o size=16k none "+t.TempDir()).Run(); err != nil {
			t.Skip("no file system of our own: ", err)
		}
		at := t.TempDir()
		name := slices.Sorted(maps.Keys(b.results))[0]
		left := filepath.Join(t.TempDir(), "left")
		c := b.start(b.into(at)...)
		c.Args = append([]string{"unshare", "-rm", "sh", "-c",
			"mount -t tmpfs -o size=16k none " + at + " && echo old > " + at + "/" + name + "; \"$0\" \"$@\"; s=$?; ls -A " + at + " > " + left + "; cat " + at + "/* >> " + left + "; exit $s"}, c.Args...)
		c.Path, _ = exec.LookPath("unshare")
		check(end(t, c))
		if text, err := os.ReadFile(left); err != nil || string(text) != name+"\nold\n" {
			t.Errorf("left on the disk: %q, %v", text, err)
		}
	})
}

// asUser makes the run that of a user without rights where the tests run as root, who may do anything.
func asUser(c *exec.Cmd) *exec.Cmd {
	if os.Geteuid() == 0 {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	return c
}

// paths: each wrong path is named, with what to do; nothing is searched first, nothing written.
func (b *bench) paths(t *testing.T) {
	dir := t.TempDir()
	if err := os.Chmod(filepath.Dir(dir), 0o755); err != nil {
		t.Fatal(err)
	}
	put := func(name string, data []byte, mode os.FileMode) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		return path
	}
	folder := func(name string, mode os.FileMode) string {
		path := filepath.Join(dir, name)
		if err := os.Mkdir(path, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		return path
	}
	job, err := os.ReadFile(b.job)
	if err != nil {
		t.Fatal(err)
	}
	locked := put("locked.xlsx", job, 0)
	put("job.xlsx", job, 0o644) // without its price sheets, but for one that may not be read
	put("holzhof.xlsx", job, 0)
	shut := folder("shut", 0o555)
	file := put("file", nil, 0o644)
	protected := folder("protected", 0o777)
	taken := folder("taken", 0o777)
	for name := range b.results {
		if err := os.WriteFile(filepath.Join(protected, name), []byte("keep"), 0o444); err != nil {
			t.Fatal(err)
		}
		if err := os.Mkdir(filepath.Join(taken, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	front := func(job, out string) []string { return []string{"front", job, "--model", faultModel, "--out", out} }
	for _, tt := range []struct {
		name string
		args []string
		want []string
	}{
		{"job that may not be read", []string{"check", locked, "--model", faultModel}, []string{"locked.xlsx", "check its permissions"}},
		{"job that is a folder", []string{"check", dir, "--model", faultModel}, []string{dir, "this is a folder", "name a file"}},
		{"price sheet that may not be read", []string{"front", filepath.Join(dir, "job.xlsx"), "--model", faultModel}, []string{`job.xlsx, sheet "Suppliers"`, "holzhof.xlsx", "check its permissions"}},
		{"results where one may not write", front(b.job, shut), []string{shut, "permission denied", "--out"}},
		{"results under where one may not write", front(b.job, filepath.Join(shut, "a", "b")), []string{shut, "permission denied", "--out"}},
		{"results in a file", front(b.job, file), []string{file, "not a folder", "--out"}},
		{"results under a file", front(b.job, filepath.Join(file, "a")), []string{file, "--out"}},
		{"results read-only", front(b.job, protected), []string{"front-park-150.xlsx cannot be written", "read-only"}},
		{"results that are folders", front(b.job, taken), []string{"front-park-150.xlsx cannot be written", "folder of that name"}},
		{"layout that may not be read", []string{"check", b.job, "--model", faultModel, "--layout", locked + "#1"}, []string{"locked.xlsx", "check its permissions"}},
		{"export where one may not write", []string{"export", b.job, "--model", faultModel, "--out", filepath.Join(shut, "p.mps")}, []string{"p.mps cannot be written", "where you may"}},
		{"starter where one may not write", []string{"new", filepath.Join(shut, "job")}, []string{shut, "permission denied"}},
	} {
		r := end(t, asUser(b.start(tt.args...)))
		if r.status != statusUsage {
			t.Errorf("%s: status %d", tt.name, r.status)
		}
		for _, want := range tt.want {
			if !strings.Contains(r.stderr, want) {
				t.Errorf("%s: %q is not in: %s", tt.name, want, r.stderr)
			}
		}
	}
	for name, data := range files(t, protected) {
		if string(data) != "keep" {
			t.Errorf("%s was read-only and has been written", name)
		}
	}
	for _, d := range []string{shut, taken} {
		if left := files(t, d); len(left) > 0 {
			t.Errorf("%d files are left in %s", len(left), d)
		}
	}
}

// openElsewhere: whoever has the old file open goes on reading the old file.
func (b *bench) openElsewhere(t *testing.T) {
	dir, before := b.old(t)
	for name := range before {
		f, err := os.Open(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		defer func() {
			if data, err := io.ReadAll(f); err != nil || !bytes.Equal(data, before[name]) {
				t.Errorf("%s: the open file changed: %q, %v", name, data, err)
			}
		}()
	}
	if r := end(t, b.start(b.into(dir)...)); r.status != statusDone {
		t.Errorf("status %d: %s", r.status, r.stderr)
	}
	same(t, "open", dir, b.results)
}

// linksAndPipes: a link stays a link, and a pipe is written into.
func (b *bench) linksAndPipes(t *testing.T) {
	dir := t.TempDir()
	want := end(t, b.start("export", b.job, "--model", faultModel)).stdout
	link, target, pipe := filepath.Join(dir, "link.mps"), filepath.Join(dir, "target.mps"), filepath.Join(dir, "pipe.mps")
	if err := errors.Join(os.WriteFile(target, []byte("old"), 0o644), os.Symlink("target.mps", link), syscall.Mkfifo(pipe, 0o644)); err != nil {
		t.Fatal(err)
	}
	if r := end(t, b.start("export", b.job, "--model", faultModel, "--out", link)); r.status != statusDone {
		t.Errorf("status %d: %s", r.status, r.stderr)
	}
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is no longer one: %v %v", info, err)
	}
	if data, err := os.ReadFile(target); err != nil || string(data) != want {
		t.Errorf("what the link leads to holds %d bytes, want %d: %v", len(data), len(want), err)
	}
	read := make(chan string)
	go func() {
		data, _ := os.ReadFile(pipe)
		read <- string(data)
	}()
	if r := end(t, b.start("export", b.job, "--model", faultModel, "--out", pipe)); r.status != statusDone {
		t.Errorf("status %d: %s", r.status, r.stderr)
	}
	if got := <-read; got != want {
		t.Errorf("through the pipe came %d bytes, want %d", len(got), len(want))
	}
	if info, err := os.Lstat(pipe); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe is no longer one: %v %v", info, err)
	}
}

// hard writes a job whose front takes integer programs, and long: many narrow strips, every wood allowed.
func (b *bench) hard(t *testing.T) string {
	t.Helper()
	path := filepath.Join(b.dir, "hard.xlsx")
	f, err := excelize.OpenFile(b.job)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := f.GetRows("Positions", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	set := func(cell string, v any) {
		if err := f.SetCellValue("Positions", cell, v); err != nil {
			t.Fatal(err)
		}
	}
	changed := 0
	for i, row := range rows {
		if len(row) < 4 || row[0] != faultModel {
			continue
		}
		var strips, width float64
		if _, err := fmt.Sscan(row[2]+" "+row[3], &strips, &width); err != nil {
			t.Fatal(err)
		}
		set(fmt.Sprintf("C%d", i+1), 6*strips)
		set(fmt.Sprintf("D%d", i+1), width/6)
		for _, column := range "FGH" { // woods allowed, hardness, screw holding
			set(fmt.Sprintf("%c%d", column, i+1), nil)
		}
		changed++
	}
	if changed < 3 {
		t.Fatalf("%d positions of %s", changed, faultModel)
	}
	for _, sheet := range []string{"Reference", "Targets", "Limits", "Counts", "Shares"} {
		if err := f.DeleteSheet(sheet); err != nil {
			t.Fatal(err)
		}
	}
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	return path
}

// A partial result says that it is one, in every form.
func partial(t *testing.T, what, dir string, r faultRun, why string) {
	t.Helper()
	if !strings.Contains(r.stdout, why) {
		t.Errorf("%s: the table does not say %q: %s", what, why, r.stdout)
	}
	have := files(t, dir)
	if len(have) != 4 {
		t.Errorf("%s: %d files", what, len(have))
	}
	for name, data := range have {
		if strings.HasSuffix(name, ".html") && !bytes.Contains(data, []byte(why)) {
			t.Errorf("%s: the page does not say %q", what, why)
		}
		complete(t, what, name, data)
	}
}

// complete fails unless a workbook opens and a page goes on to its end.
func complete(t *testing.T, what, name string, data []byte) {
	t.Helper()
	switch filepath.Ext(name) {
	case ".xlsx":
		f, err := excelize.OpenReader(bytes.NewReader(data))
		if err != nil {
			t.Errorf("%s: %s: %v", what, name, err)
			return
		}
		f.Close()
	case ".html":
		if !bytes.HasSuffix(bytes.TrimSpace(data), []byte("</html>")) {
			t.Errorf("%s: %s has no end", what, name)
		}
	}
}

// interrupted: at any solve, an interrupt ends the search; what is found is written and the status says so.
func (b *bench) interrupted(t *testing.T) {
	if !mip.Available {
		t.Skip("needs integer programs")
	}
	job := b.hard(t)
	for _, after := range []int{3, 12} {
		dir := filepath.Join(t.TempDir(), "out")
		c := b.start("front", job, "--model", faultModel, "--out", dir)
		c.Env = append(c.Env, fmt.Sprint("STAVEWRIGHT_FAULT_AFTER=", after), "STAVEWRIGHT_FAULT=interrupt")
		r := end(t, c)
		if r.status != statusStopped {
			t.Errorf("after %d solves: status %d: %s", after, r.status, r.stderr)
		}
		partial(t, fmt.Sprint("after ", after), dir, r, "interrupted")
	}
	// Before anything is found nothing is written, and that is said.
	dir := filepath.Join(t.TempDir(), "out")
	c := b.start("front", job, "--model", faultModel, "--out", dir)
	c.Env = append(c.Env, "STAVEWRIGHT_FAULT_AFTER=0", "STAVEWRIGHT_FAULT=interrupt")
	if r := end(t, c); r.status != statusStopped || !strings.Contains(r.stdout, "interrupted") || len(files(t, dir)) > 0 {
		t.Errorf("at once: status %d, %d files: %s", r.status, len(files(t, dir)), r.stdout)
	}
}

// anyMoment sends interrupts, one or two, and kills, at moments all over a run: whatever the moment, each result is the old or the
// new one, whole, and the status tells which.
func (b *bench) anyMoment(t *testing.T) {
	begin := time.Now()
	end(t, b.start(b.into(filepath.Join(t.TempDir(), "out"))...))
	long := time.Since(begin)
	const moments = 6
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
			fresh := b.whole(t, what, dir, before, signals[0] == os.Interrupt)
			switch {
			case status == statusDone && fresh == len(before):
			case status == statusStopped && fresh == 0: // found nothing yet, or only something: the demo's front is an enumeration of milliseconds
			case status == -1: // by the signal: old or new, each whole
			default:
				t.Errorf("%s: %d new files", what, fresh)
			}
			if status != -1 && len(files(t, dir)) != len(before) {
				t.Errorf("%s: something is left besides the results", what)
			}
		}
	}
}

// killed: in the middle of a file, however hard the end, the old file is there and whole.
func (b *bench) killed(t *testing.T) {
	dir, before := b.old(t)
	for name := range before {
		c := exec.Command(os.Args[0], "-test.run=^TestHalfWritten$")
		c.Env = append(os.Environ(), "STAVEWRIGHT_TEST_HALF="+filepath.Join(dir, name))
		stdout, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		said := make([]byte, 4)
		if _, err := io.ReadFull(stdout, said); err != nil || string(said) != "half" {
			t.Errorf("%q, %v", said, err)
		}
		if err := c.Process.Kill(); err != nil {
			t.Error(err)
		}
		_ = c.Wait()
	}
	if fresh := b.whole(t, "killed", dir, before, false); fresh != 0 {
		t.Errorf("%d files are new", fresh)
	}
	if left := len(files(t, dir)); left != 2*len(before) {
		t.Errorf("%d files: nothing was half written", left)
	}
	// The next run is none the worse for it.
	if r := end(t, b.start(b.into(dir)...)); r.status != statusDone || b.whole(t, "after", dir, before, false) != len(before) {
		t.Errorf("status %d: %s", r.status, r.stderr)
	}
}

// TestHalfWritten is the process that is killed in the middle of a file.
func TestHalfWritten(t *testing.T) {
	path := os.Getenv("STAVEWRIGHT_TEST_HALF")
	if path == "" {
		t.Skip("runs inside TestFaults")
	}
	f, err := newWhole(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(bytes.Repeat([]byte("half"), 5000)); err != nil {
		t.Fatal(err)
	}
	fmt.Print("half")
	select {}
}

// solverFault: whatever GLPK fails at, what was found before is printed and written, marked as incomplete; the message has GLPK's words and says
// what to do; the status is that of a fault.
func (b *bench) solverFault(t *testing.T) {
	if !mip.Available {
		t.Skip("needs integer programs")
	}
	job := b.hard(t)
	for _, tt := range []struct{ kind, words string }{{"", "glp_add_cols"}, {"numbers", "GLPK gave up"}} {
		dir := filepath.Join(t.TempDir(), "out")
		c := b.start("front", job, "--model", faultModel, "--out", dir)
		c.Env = append(c.Env, "STAVEWRIGHT_FAULT_AFTER=12", "STAVEWRIGHT_FAULT="+tt.kind)
		r := end(t, c)
		if r.status != statusFault || !strings.Contains(r.stderr, tt.words) || !strings.Contains(r.stderr, "export the program as MPS") || strings.Contains(r.stderr, "goroutine") {
			t.Errorf("%q: status %d: %s", tt.kind, r.status, r.stderr)
		}
		partial(t, tt.kind, dir, r, "the solver failed")
		c = b.start("front", job, "--model", faultModel, "--json")
		c.Env = append(c.Env, "STAVEWRIGHT_FAULT_AFTER=12", "STAVEWRIGHT_FAULT="+tt.kind)
		r = end(t, c)
		var doc struct {
			Complete bool
			Points   []any
		}
		if err := json.Unmarshal([]byte(r.stdout), &doc); err != nil || doc.Complete || len(doc.Points) == 0 || r.status != statusFault {
			t.Errorf("%q: status %d, complete %v, %d points: %v", tt.kind, r.status, doc.Complete, len(doc.Points), err)
		}
		dir = filepath.Join(t.TempDir(), "out")
		c = b.start("mixes", job, "--model", faultModel, "--json", "--out", dir)
		c.Env = append(c.Env, "STAVEWRIGHT_FAULT_AFTER=12", "STAVEWRIGHT_FAULT="+tt.kind)
		r = end(t, c)
		var mixes struct {
			Complete bool
			Why      string
			Breaks   []any
		}
		if err := json.Unmarshal([]byte(r.stdout), &mixes); err != nil || mixes.Complete || mixes.Why != "the solver failed" || len(mixes.Breaks) == 0 || r.status != statusFault {
			t.Errorf("mixes, %q: status %d, complete %v, why %q, %d steps: %v", tt.kind, r.status, mixes.Complete, mixes.Why, len(mixes.Breaks), err)
		}
		if have := files(t, dir); len(have) != 2 || !strings.Contains(r.stderr, tt.words) {
			t.Errorf("mixes, %q: %d files: %s", tt.kind, len(have), r.stderr)
		}
	}
}

// memory: a limit that only asks for thrift changes nothing. Against a hard limit (ulimit -v) nothing in a Go program can act: its runtime ends
// the process with words of its own, about memory or about a thread that cannot be had. What the program owes then is that no file is harmed,
// and that the status is no success.
func (b *bench) memory(t *testing.T) {
	c := b.start(b.into(filepath.Join(t.TempDir(), "out"))...)
	c.Env = append(c.Env, "GOMEMLIMIT=4MiB")
	if r := end(t, c); r.status != statusDone || r.stdout != string(b.stdout) {
		t.Errorf("GOMEMLIMIT: status %d: %s", r.status, r.stderr)
	}
	if exec.Command("sh", "-c", "ulimit -v 4000000").Run() != nil {
		t.Skip("no limit on memory can be set here")
	}
	failed := 0
	for _, mb := range []int{500, 900, 4000} {
		dir, before := b.old(t)
		r := end(t, by(fmt.Sprint("ulimit -v ", mb*1000), b.start(b.into(dir)...)))
		fresh := b.whole(t, fmt.Sprint(mb, " MB"), dir, before, false)
		if r.status == statusDone {
			if fresh != len(before) || r.stdout != string(b.stdout) {
				t.Errorf("%d MB: %d new files", mb, fresh)
			}
			continue
		}
		failed++
		if !strings.Contains(r.stderr, "memory") && !strings.Contains(r.stderr, "pthread_create failed") || mb == 4000 {
			t.Errorf("%d MB: status %d, %d new files: %s", mb, r.status, fresh, r.stderr)
		}
	}
	if failed == 0 {
		t.Error("no limit was too low: nothing is tested")
	}
}

// TestSteady: a file that changes while it is read is read again, and refused when it goes on changing; one put in its place does no
// harm.
func TestSteady(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.xlsx")
	write := func(s string) {
		if err := os.WriteFile(path, []byte(s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		name    string
		between func(read int)
		want    string
		reads   int
	}{
		{"at rest", func(int) {}, "first", 1},
		{"written once more", func(n int) {
			if n == 1 {
				write("second, longer")
			}
		}, "second, longer", 2},
		{"written for ever", func(n int) { write(strings.Repeat("x", 10+n)) }, "", readTries},
		{"same length, other time", func(n int) {
			if n == 1 {
				write("later")
				if err := os.Chtimes(path, time.Time{}, time.Now().Add(time.Hour)); err != nil {
					t.Fatal(err)
				}
			}
		}, "later", 2},
		{"another in its place", func(n int) {
			other := path + ".new"
			if err := errors.Join(os.WriteFile(other, []byte("replaced"), 0o644), os.Rename(other, path)); err != nil {
				t.Fatal(err)
			}
		}, "first", 1},
	} {
		write("first")
		reads := 0
		data, err := readSteady(path, func(f *os.File) ([]byte, error) {
			reads++
			half := make([]byte, 2)
			if _, err := io.ReadFull(f, half); err != nil {
				return nil, err
			}
			tt.between(reads)
			rest, err := io.ReadAll(f)
			return slices.Concat(half, rest), err
		})
		if string(data) != tt.want || reads != tt.reads || (tt.want == "") != errors.Is(err, errUnsteady) {
			t.Errorf("%s: %q after %d reads, %v; want %q after %d", tt.name, data, reads, err, tt.want, tt.reads)
		}
	}
}
