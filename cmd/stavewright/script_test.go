package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"stavewright/cmd/internal/book"
	"stavewright/optimize/mip"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"stavewright": main})
}

// TestScripts runs the program as users run it: see testdata/script. Each script has the starter job in its folder "job".
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			files, err := book.Starter()
			if err != nil {
				return err
			}
			dir := filepath.Join(e.WorkDir, "job")
			if err := os.Mkdir(dir, 0o755); err != nil {
				return err
			}
			for _, f := range files {
				if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
					return err
				}
			}
			return nil
		},
		Condition: func(word string) (bool, error) {
			switch word {
			case "glpk":
				return mip.HasGLPK(), nil
			case "seasons":
				return mip.HasHiGHS() || mip.HasGLPK(), nil
			}
			return false, fmt.Errorf("no condition %q", word)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits, "setcell": setCell, "sheetless": sheetless,
		},
	})
}

// exits N COMMAND: the command must end with status N, where "! exec" would take any failure for the right one.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits N COMMAND [ARGUMENT...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// TestInterrupted: a run whose context has ended writes what it has and says so.
func TestInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var stdout, stderr strings.Builder
	if got := run(ctx, []string{"front", demo, "--model", "Allround 157"}, &stdout, &stderr); got != statusStopped {
		t.Errorf("status %d, want %d: %s %s", got, statusStopped, stdout.String(), stderr.String())
	}
	if !strings.Contains(stdout.String()+stderr.String(), "interrupted") {
		t.Errorf("nothing says that it was interrupted: %s %s", stdout.String(), stderr.String())
	}
}

// TestPricesInterrupted: a comparison that has not ended shows nothing, and the status says so.
func TestPricesInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var stdout, stderr strings.Builder
	if got := run(ctx, []string{"prices", demo}, &stdout, &stderr); got != statusStopped || stdout.Len() > 0 || !strings.Contains(stderr.String(), "interrupted") {
		t.Errorf("status %d, want %d: %s %s", got, statusStopped, stdout.String(), stderr.String())
	}
}

// TestFault: a panic does not reach the user as a stack trace.
func TestFault(t *testing.T) {
	var stderr strings.Builder
	//nolint:staticcheck // a nil writer is the fault wanted here
	if got := run(context.Background(), []string{"woods"}, nil, &stderr); got != statusFault {
		t.Errorf("status %d, want %d", got, statusFault)
	}
	if s := stderr.String(); !strings.Contains(s, "fault of the program") || strings.Contains(s, "goroutine") {
		t.Errorf("said: %s", s)
	}
}
