package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// A seasonSolver is another solver for the exported direct program. It runs once, on an MPS file, on one thread and to a gap of 0. Its clock is
// processor time.
type seasonSolver struct {
	name string
	run  func(o options, mps string) (timeline, error)
}

var seasonSolvers = []seasonSolver{{"highs", runHiGHS}, {"cbc", runCBC}}

// longest is the time that solvers get, in seconds.
func (o options) longest() float64 { return o.times[len(o.times)-1] }

// command runs a solver's program. Should it not end by itself, it is killed: a shared machine may give it a fraction of a core only.
func (o options) command(name string, args ...string) ([]byte, error) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration((20*o.longest()+60)*float64(time.Second)))
	defer cancel()
	var out, wrong bytes.Buffer
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Stdout, cmd.Stderr = &out, &wrong
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("%s: %w\n%s", filepath.Base(name), err, wrong.Bytes())
	}
	return out.Bytes(), nil
}

//go:embed highs.mjs
var highsScript []byte

// runHiGHS runs HiGHS as WebAssembly in Node.js.
func runHiGHS(o options, mps string) (timeline, error) {
	node, err := exec.LookPath("node")
	if err != nil {
		return timeline{}, errMissing
	}
	if _, err := os.Stat(o.highs); err != nil {
		return timeline{}, errMissing
	}
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return timeline{}, err
	}
	defer os.RemoveAll(dir)
	script := filepath.Join(dir, "highs.mjs")
	if err := os.WriteFile(script, highsScript, 0o600); err != nil {
		return timeline{}, err
	}
	marks := make([]string, len(o.times))
	for i, t := range o.times {
		marks[i] = strconv.FormatFloat(t, 'f', -1, 64)
	}
	out, err := o.command(node, script, o.highs, mps, marks[len(marks)-1], strings.Join(marks, ","))
	if err != nil {
		return timeline{}, err
	}
	return parseHiGHS(bytes.NewReader(out))
}

// parseHiGHS reads the lines of highs.mjs.
func parseHiGHS(r io.Reader) (timeline, error) {
	var t timeline
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		var line struct {
			T           float64
			Cost, Bound *float64
			Status      string
		}
		if err := json.Unmarshal(lines.Bytes(), &line); err != nil {
			return t, fmt.Errorf("HiGHS wrote %q: %w", lines.Text(), err)
		}
		nan := math.NaN()
		t.add(moment{line.T, *cmp.Or(line.Cost, &nan), *cmp.Or(line.Bound, &nan)})
		t.status = line.Status
	}
	if t.status == "" {
		return t, fmt.Errorf("HiGHS did not say how it ended")
	}
	return t, lines.Err()
}

// runCBC runs CBC's command.
func runCBC(o options, mps string) (timeline, error) {
	path, err := exec.LookPath("cbc")
	if err != nil {
		return timeline{}, errMissing
	}
	out, err := o.command(path, mps, "timeMode", "cpu", "sec", strconv.FormatFloat(o.longest(), 'f', 1, 64), "ratioGap", "0", "allowableGap", "0", "solve")
	if err != nil {
		return timeline{}, err
	}
	return parseCBC(string(out))
}

var (
	cbcFound    = regexp.MustCompile(`^Cbc00\d\dI Integer solution of (\S+) found .*\((\S+) seconds\)`)
	cbcProgress = regexp.MustCompile(`^Cbc0010I After .*, best possible (\S+) \((\S+) seconds\)`)
	cbcEnd      = regexp.MustCompile(`^(Result -|Objective value:|Lower bound:|Time \(CPU seconds\):)\s*(.*)`)
)

// parseCBC reads CBC's log.
func parseCBC(log string) (timeline, error) {
	var t timeline
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
		if err != nil || math.Abs(v) >= 1e49 { // its infinity
			return math.NaN()
		}
		return v
	}
	last := moment{0, math.NaN(), math.NaN()}
	for line := range strings.Lines(log) {
		if m := cbcFound.FindStringSubmatch(line); m != nil {
			t.add(moment{number(m[2]), number(m[1]), math.NaN()})
		} else if m := cbcProgress.FindStringSubmatch(line); m != nil {
			t.add(moment{number(m[2]), math.NaN(), number(m[1])})
		} else if m := cbcEnd.FindStringSubmatch(line); m != nil {
			switch m[1] {
			case "Result -":
				t.status = "stopped"
				if strings.HasPrefix(m[2], "Optimal solution found") {
					t.status = "optimal"
				} else if strings.Contains(m[2], "infeasible") {
					t.status = "infeasible"
				}
			case "Objective value:":
				last.cost = number(m[2])
			case "Lower bound:":
				last.bound = number(m[2])
			default:
				last.seconds = number(m[2])
			}
		}
	}
	if t.status == "" {
		return t, fmt.Errorf("CBC did not say how it ended:\n%s", log)
	}
	if t.status == "optimal" {
		last.bound = last.cost
	}
	t.add(last)
	return t, nil
}
