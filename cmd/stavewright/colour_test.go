package main

import (
	"bytes"
	"strings"
	"testing"

	"stavewright/cmd/internal/report"
	"stavewright/optimize"
)

// Colour is for terminals only, and not for those who set NO_COLOR to anything at all, as no-color.org has it.
func TestColour(t *testing.T) {
	for _, tt := range []struct {
		noColor, term string
		want          bool
	}{{"", "xterm-256color", true}, {"", "", true}, {"1", "xterm-256color", false}, {"0", "xterm", false}, {"", "dumb", false}} {
		env := map[string]string{"NO_COLOR": tt.noColor, "TERM": tt.term}
		if got := colourWanted(func(k string) string { return env[k] }); got != tt.want {
			t.Errorf("NO_COLOR=%q TERM=%q: %v", tt.noColor, tt.term, got)
		}
	}
	a := &app{stdout: &bytes.Buffer{}}
	if s := a.style(); s.Colour || s.Width != 80 {
		t.Errorf("what is no terminal gets %+v", s)
	}
	// The style is what decides: the same table with and without.
	for _, colour := range []bool{false, true} {
		stdout := &bytes.Buffer{}
		program := demoProgram(t, "Park 150")
		c, err := optimize.Check(program, program.Reference)
		if err != nil {
			t.Fatal(err)
		}
		if err := report.CheckTerminal(stdout, c, report.Style{Width: 100, Colour: colour}); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(stdout.String(), "\x1b[") != colour {
			t.Errorf("colour %v, and the table has escapes: %v", colour, !colour)
		}
	}
}
