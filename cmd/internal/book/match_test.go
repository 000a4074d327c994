package book

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
)

func TestProfileFactors(t *testing.T) {
	for _, tt := range []struct {
		low, high, step float64
		want            []float64
		words           string
	}{
		{1, 1, 0.01, []float64{1}, ""},
		{0.98, 1.03, 0.01, []float64{0.98, 0.99, 1, 1.01, 1.02, 1.03}, ""}, // as decimals: in binary the last would be above 1.03
		{0.9, 1, 0.04, []float64{0.9, 0.94, 0.98}, ""},
		{0.1, 1, 0.01, nil, "lowest profile factor is 0.1; it must be from 0.2"},
		{1, 6, 0.01, nil, "highest profile factor is 6"},
		{1.1, 0.9, 0.01, nil, "lowest profile factor is 1.1, above the highest, which is 0.9"},
		{0.9, 1.1, 0, nil, "step of the profile factors is 0; it must be above 0"},
		{0.9, 1.1, 1e-9, nil, "more than 200 profile factors"},
	} {
		got, err := ProfileFactors(tt.low, tt.high, tt.step)
		if !reflect.DeepEqual(got, tt.want) || (err == nil) != (tt.want != nil) || err != nil && !hasWords(err.Error(), tt.words) {
			t.Errorf("%v to %v by %v: %v, %v; want %v %s", tt.low, tt.high, tt.step, got, err, tt.want, tt.words)
		}
	}
}

// limitsOf is a small book with one row of limits for its model and, where all is given, one for every model.
func limitsOf(headers string, own, all []any) map[string][][]any {
	head := []any{"Model"}
	for h := range strings.SplitSeq(headers, "; ") {
		head = append(head, h)
	}
	rows := [][]any{head, append([]any{"Plank"}, own...)}
	if all != nil {
		rows = append(rows, append([]any{nil}, all...))
	}
	return map[string][][]any{"Limits": rows}
}

func TestMatchOptions(t *testing.T) {
	change := limitsOf("Equal flex %; Profile factor low; Profile factor high; Profile factor step", []any{1.5, 0.99, nil, nil}, []any{4.0, nil, 1.01, 0.005})
	change["Targets"] = [][]any{{"Model", "From tip mm", "EI low N·m2"}, {"Plank", 700.0, 20.0}, {"Plank", 500.0, 40.0}, {nil, 500.0, 30.0}}
	change["Shop"] = [][]any{{"Setting", "Value", "Unit"}, {"profile rounding", 0.01, "mm"}, {"least thickness", 1.6, "mm"}}
	job := mustRead(t, workbook(t, withRows(change)))
	want := optimize.MatchOptions{WithinPct: 1.5, Stations: []float64{500, 700}, Factors: []float64{0.99, 0.995, 1, 1.005, 1.01}, RoundingMM: 0.01, LeastMM: 1.6}
	if got := job.MatchOptions(&job.Models[0]); !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	// What the book leaves open is the match's to fill, but for the rounding.
	job = mustRead(t, workbook(t, small()))
	if got := job.MatchOptions(&job.Models[0]); !reflect.DeepEqual(got, optimize.MatchOptions{RoundingMM: 0.001}) {
		t.Errorf("without limits: %+v", got)
	}
	// One end of the factors alone: the other is 1.
	job = mustRead(t, workbook(t, withRows(limitsOf("Profile factor high", []any{1.02}, nil))))
	if got := job.MatchOptions(&job.Models[0]).Factors; !reflect.DeepEqual(got, []float64{1, 1.01, 1.02}) {
		t.Errorf("with the highest factor alone: %v", got)
	}
}

// What limits on flex, strength and profile need is asked for in the cell that needs it.
func TestMatchFaults(t *testing.T) {
	models := [][]any{{"Model", "Section", "Measure at mm", "Support span mm"}, {"Plank", "core", 500.0, 800.0}}
	for _, tt := range []struct {
		headers  string
		own, all []any
		span     bool
		cell     string
		words    string
		warning  bool
	}{
		{"Flex low N/mm", []any{3.0}, nil, true, "", "", false},
		{"Max utilisation %; Design load N; Safety factor", []any{90.0, 600.0, 3.0}, nil, true, "", "", false},
		{"Flex low N/mm", []any{3.0}, nil, false, "B2", `"Plank", but the model has no support span…give its Support span (Models, row 2)`, false},
		{"Flex high N/mm", []any{nil}, []any{9.0}, false, "B3", "no support span", false},
		{"Design load N", []any{600.0}, nil, false, "B2", "its strength is not reckoned", true},
		{"Max utilisation %", []any{90.0}, nil, true, "B2", "there is no design load…give the Design load", false},
		{"Flex low N/mm; Flex high N/mm", []any{9.0, nil}, []any{nil, 3.0}, true, "C3", "3 N/mm, is below Flex low, 9 N/mm (Limits!B2)", false},
		{"Profile factor low; Profile factor high", []any{1.05, nil}, []any{nil, 0.98}, true, "B2", "1.05, above the highest, which is 0.98", false},
		{"Profile factor low", []any{1.05}, nil, true, "B2", "1.05, above the highest, which is 1", false},
		{"Profile factor high; Profile factor step", []any{1.05, 0.00001}, nil, true, "B2", "more than 200", false},
	} {
		change := limitsOf(tt.headers, tt.own, tt.all)
		if tt.span {
			change["Models"] = models
		}
		_, found := readBook(t, workbook(t, withRows(change)))
		switch {
		case tt.cell == "":
			if len(found) > 0 {
				t.Errorf("%s: %v", tt.headers, found)
			}
		case len(found) != 1 || found[0].Sheet != "Limits" || found[0].Cell() != tt.cell || found[0].Warning != tt.warning || !hasWords(found[0].String(), tt.words):
			t.Errorf("%s: %v; want %s: %s", tt.headers, found, tt.cell, tt.words)
		}
	}
}

// Profile factors are some between the bounds, rising by the step; whatever the three are, one is given or an error, of one short line.
func FuzzProfileFactors(f *testing.F) {
	f.Add(0.95, 1.1, 0.01)
	f.Add(1.0, 1.0, math.Inf(1))
	f.Add(math.NaN(), 1.0, 0.1)
	f.Add(0.2, 5.0, 5e-324)
	f.Add(1.0, 1.0, math.MaxFloat64)
	f.Fuzz(func(t *testing.T, low, high, step float64) {
		factors, err := ProfileFactors(low, high, step)
		if err != nil {
			if !isPrintable(err.Error()) || len(err.Error()) > 1500 {
				t.Fatalf("%v, %v, %v: %q", low, high, step, err)
			}
			return
		}
		if len(factors) == 0 || len(factors) > mostFactors || factors[0] != low || slices.Max(factors) > high || !slices.IsSorted(factors) {
			t.Fatalf("%v to %v by %v: %v", low, high, step, factors)
		}
	})
}
