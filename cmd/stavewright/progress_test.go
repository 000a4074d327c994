package main

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/rivo/uniseg"

	"stavewright/optimize"
)

// clocked is a progress whose seconds are the test's.
func clocked(width int) (*progress, *bytes.Buffer, *time.Time) {
	var b bytes.Buffer
	now := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC)
	p := &progress{w: &b, width: width, now: func() time.Time { return now }}
	p.begin()
	return p, &b, &now
}

// Where there is no terminal, a line every ten seconds says how far it is; a short run says nothing.
func TestProgressInPlainLines(t *testing.T) {
	p, out, now := clocked(0)
	for range 25 {
		p.showFront(optimize.Progress{Points: 12, EINM2: 240.1, HighNM2: 263.96, Share: 0.45})
		*now = now.Add(time.Second)
		p.tick()
	}
	p.done()
	want := "10s, 12 points, EI 240.10 of at most 263.96 N·m² (45 %)\n20s, 12 points, EI 240.10 of at most 263.96 N·m² (45 %)\n"
	if got := out.String(); got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

var steering = regexp.MustCompile("\x1b\\[[0-9;]*[A-Za-z]")

// On a terminal a bar keeps to one line of its width, with time, points and bound, and goes in the end.
func TestProgressBar(t *testing.T) {
	for _, width := range []int{60, 80, 100} {
		p, out, now := clocked(width)
		p.tick() // before anything is known
		for _, at := range []optimize.Progress{
			{Points: 1, Solves: 2},
			{Points: 1234, SetsDone: 3000, Sets: 4096, Share: 0.7},
			{Points: 1234, EINM2: 12345.67, HighNM2: 23456.78, Share: 0.5},
			{Points: 1234, LowNM2: 12345.67, HighNM2: 23456.78, Stretches: 8, Share: 0.5},
		} {
			*now = now.Add(83 * time.Second)
			p.showFront(at)
		}
		p.done()
		lines := strings.FieldsFunc(steering.ReplaceAllString(out.String(), ""), func(r rune) bool { return r == '\r' })
		for _, line := range lines {
			if n := uniseg.StringWidth(line); n > width {
				t.Errorf("%d columns: %d are drawn: %q", width, n, line)
			}
		}
		if strings.Contains(out.String(), "\n") {
			t.Errorf("%d columns: the bar takes a second line: %q", width, out.String())
		}
		if last := lines[len(lines)-1]; strings.TrimSpace(last) != "" {
			t.Errorf("%d columns: %q is left behind", width, last)
		}
		if all := out.String(); !strings.Contains(all, "1m23s, 1 point, 2 programs solved") || !strings.Contains(all, "2m46s, 1234 points") {
			t.Errorf("%d columns: time and points are not said: %q", width, all)
		}
	}
}

func TestProgressIsQuiet(t *testing.T) {
	var stderr bytes.Buffer
	p := (&app{stderr: &stderr, quiet: true}).progress()
	p.showFactors(1, 2)
	p.tick()
	p.done()
	if stderr.Len() > 0 {
		t.Errorf("said %q", stderr.String())
	}
}
