package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
)

// A moment is what a search knew after some seconds.
type moment struct{ seconds, cost, bound float64 } // NaN: not known

// A timeline is the course of a search: moments in order of time. The zero timeline is a search that did not run.
type timeline struct {
	moments    []moment
	status     string // at the end: "optimal", "infeasible", "stopped"
	rows, cols int    // of the program that a solver had
}

func (t timeline) end() moment { return t.moments[len(t.moments)-1] }

// at is what the search knew after so many seconds; ok is false when it was stopped before that. Searches end a little after their limit, so 2 % more
// still counts.
func (t timeline) at(seconds float64) (m moment, ok bool) {
	const late = 1.02
	if t.status == "" || t.status == "stopped" && t.end().seconds*late < seconds {
		return moment{}, false
	}
	m = moment{seconds, math.NaN(), math.NaN()}
	for _, next := range t.moments {
		if next.seconds <= seconds*late {
			m = next
		}
	}
	return m, true
}

// add adds what is known now; what is NaN stays as it was.
func (t *timeline) add(m moment) {
	if n := len(t.moments); n > 0 {
		last := t.moments[n-1]
		if math.IsNaN(m.cost) {
			m.cost = last.cost
		}
		if math.IsNaN(m.bound) {
			m.bound = last.bound
		}
	}
	t.moments = append(t.moments, m)
}

// A solved names a search.
type solved struct{ season, solver string }

var timelineHead = []string{"season", "rows", "columns", "solver", "seconds", "cost", "bound", "status"}

// readTimelines reads what [writeTimeline] wrote. Of the same search the last one counts.
func readTimelines(r io.Reader) (map[solved]timeline, error) {
	c := csv.NewReader(r)
	c.Comma, c.FieldsPerRecord = '\t', len(timelineHead)
	lines, err := c.ReadAll()
	if err != nil {
		return nil, err
	}
	out := map[solved]timeline{}
	for i, line := range lines {
		if slices.Equal(line, timelineHead) {
			continue
		}
		number := func(s string) float64 {
			if s == "" {
				return math.NaN()
			}
			v, wrong := strconv.ParseFloat(s, 64)
			err = errors.Join(err, wrong)
			return v
		}
		of := solved{line[0], line[3]}
		t := out[of]
		if t.status != "" {
			t = timeline{}
		}
		t.rows, t.cols, t.status = int(number(line[1])), int(number(line[2])), line[7]
		t.moments = append(t.moments, moment{number(line[4]), number(line[5]), number(line[6])})
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		out[of] = t
	}
	return out, nil
}

// writeTimeline writes a line for each moment; the last line has the status.
func writeTimeline(w io.Writer, of solved, t timeline) error {
	c := csv.NewWriter(w)
	c.Comma = '\t'
	number := func(v float64) string {
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'f', 3, 64)
	}
	for i, m := range t.moments {
		status := ""
		if i == len(t.moments)-1 {
			status = t.status
		}
		_ = c.Write([]string{of.season, strconv.Itoa(t.rows), strconv.Itoa(t.cols), of.solver, number(m.seconds), number(m.cost), number(m.bound), status})
	}
	c.Flush()
	return c.Error()
}

// appendTimeline puts a timeline at the end of a file.
func appendTimeline(file string, of solved, t timeline) error {
	f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	return errors.Join(writeTimeline(f, of, t), f.Close())
}
