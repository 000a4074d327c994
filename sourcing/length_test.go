package sourcing

import (
	"errors"
	"testing"
)

// An inch is 25.4 mm and a foot 304.8 mm by definition (international yard and pound agreement, 1959).
//
// published: inch and foot in mm | US Federal Register 24 FR 5348, 1 July 1959, the definition | derived | exact: 25.4 and 304.8 are definitions
func TestParseLength(t *testing.T) {
	for _, tt := range []struct {
		text string
		unit lengthUnit
		want float64 // mm; 0: an error
	}{
		{"26 mm", "", 26},
		{"26mm", "", 26},
		{"26", inMM, 26},
		{"26,5", inMM, 26.5},
		{"2,6 cm", inMM, 26},
		{"2.5 m", inMM, 2500},
		{"2500", inMM, 2500},
		{"2 500 mm", "", 2500},
		{"2.5", inM, 2500},
		{`1"`, "", 25.4},
		{"1 in.", "", 25.4},
		{"1 inch", inMM, 25.4},
		{"1 Zoll", "", 25.4},
		{"2 pouces", "", 50.8},
		{"1”", "", 25.4},
		{"1″", "", 25.4},
		{"4/4", "", 25.4},
		{"4/4", inMM, 25.4},
		{`5/4"`, inMM, 31.75},
		{"6/4", inInch, 38.1},
		{"4-Quarter", "", 25.4},
		{"8 quarters", "", 50.8},
		{"13/16", inInch, 20.6375},
		{"13/16", "", 20.6375},
		{"1/2", "", 12.7},
		{`1 1/16"`, "", 26.9875},
		{"1-1/8", inInch, 28.575},
		{"1½\"", "", 38.1},
		{"1 1/64 in", inMM, 25.796875},
		{"8'", "", 2438.4},
		{"8 ft", "", 2438.4},
		{"8", inFoot, 2438.4},
		{`8' 6"`, "", 2590.8},
		{"8' 6 1/2\"", "", 2603.5},
		{"8ft 6in", "", 2590.8},
		{"6′", "", 1828.8},
		{"26", "", 0},
		{"26/27", inMM, 0},
		{"30/32", inMM, 0},
		{"26/27", "", 0},
		{"13/16 mm", "", 0},
		{"1/0", "", 0},
		{"1 5/4", "", 0},
		{"26-27", inMM, 0},
		{"26 mm +", inMM, 0},
		{"8/10/12'", inFoot, 0},
		{"8'-16'", inFoot, 0},
		{`8' 14"`, "", 0},
		{"RW", inInch, 0},
		{"fallend ab 14", inCM, 0},
		{"-3", inMM, 0},
		{"0", inMM, 0},
		{"", inMM, 0},
		{"26 kg", inMM, 0},
		{"9999999 m", "", 0},
	} {
		got, err := parseLength(tt.text, tt.unit, 0)
		switch {
		case tt.want == 0 && err == nil:
			t.Errorf("%q under %q reads as %v mm, want an error", tt.text, tt.unit, got)
		case tt.want != 0 && (err != nil || got != tt.want):
			t.Errorf("%q under %q reads as %v mm, %v; want %v mm", tt.text, tt.unit, got, err, tt.want)
		}
	}
	if _, err := parseLength("26", "", 0); !errors.Is(err, errNoUnit) {
		t.Errorf("a bare figure gives %v, want %v", err, errNoUnit)
	}
	if _, err := parseLength("1.250 m", "", 0); !errors.Is(err, errAmbiguous) {
		t.Errorf("1.250 m gives %v, want %v", err, errAmbiguous)
	}
	if got, err := parseLength("1.250 m", "", '.'); got != 1250 || err != nil {
		t.Errorf("1.250 m with a decimal point is %v mm, %v; want 1250 mm", got, err)
	}
}

// Planed thicknesses: three North American hardwood lists that agree (S2S 9/16, 13/16, 1 1/16, 1 5/16, 1 3/4, 2 3/4 in).
func TestParseThickness(t *testing.T) {
	for _, tt := range []struct {
		text        string
		unit        lengthUnit
		mm, nominal float64 // mm 0: an error
	}{
		{"26", inMM, 26, 0},
		{"4/4", inInch, 25.4, 25.4},
		{"4/4 rough", "", 25.4, 25.4},
		{"4/4 S2S", "", 20.6375, 25.4},
		{"3/4 S2S", "", 14.2875, 19.05},
		{"5/4 S2S 1-1/16", inInch, 26.9875, 31.75},
		{"5/4 S2S", "", 26.9875, 31.75},
		{"6/4 S2S", "", 33.3375, 38.1},
		{"8/4 gehobelt", "", 44.45, 50.8},
		{"12/4 S2S", "", 69.85, 76.2},
		{"10/4 S2S", "", 0, 0},
		{"4/4 (26 mm)", "", 26, 25.4},
		{"4/4 26 mm", "", 26, 25.4},
		{"13/16 S2S", inInch, 20.6375, 0},
		{`1" nom.`, "", 25.4, 25.4},
		{"25 mm nom., 23 act.", inMM, 23, 25},
		{`1" nominal (23 mm actual)`, "", 23, 25.4},
		{"4/4 (260 mm)", "", 0, 0},
		{"4/4/5", "", 0, 0},
		{"25 (26)", inMM, 0, 0},
		{"0/4", "", 0, 0},
	} {
		got, err := parseThickness(tt.text, tt.unit, 0)
		switch {
		case tt.mm == 0 && err == nil:
			t.Errorf("%q reads as %+v, want an error", tt.text, got)
		case tt.mm != 0 && (err != nil || got.mm != tt.mm || got.nominalMM != tt.nominal):
			t.Errorf("%q reads as %v mm, nominal %v mm, %v; want %v, %v", tt.text, got.mm, got.nominalMM, err, tt.mm, tt.nominal)
		}
	}
}

func FuzzParseLength(f *testing.F) {
	for _, s := range []string{"26 mm", `1"`, "4/4", "1 1/16 in", "26,5", "-3", "", "8' 6\"", "4/4 S2S", "25 mm nom., 23 act.", "1½", "13/16"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, unit := range []lengthUnit{"", inMM, inInch, inFoot, inQuarters} {
			for _, mark := range []rune{0, '.', ','} {
				mm, err := parseLength(s, unit, mark)
				if err != nil && (!isPrintable(err.Error()) || len(err.Error()) > 2000) {
					t.Fatalf("%q: %q", s, err)
				}
				if err == nil {
					if back, err := parseLength(formatLength(mm), "", '.'); err != nil || back != mm {
						t.Fatalf("%q is %v mm, printed and read back %v, %v", s, mm, back, err)
					}
				}
				if size, err := parseThickness(s, unit, mark); err == nil && !(size.mm > 0 && size.mm <= maxMM && size.nominalMM >= 0) {
					t.Fatalf("%q is a thickness of %+v", s, size)
				}
			}
		}
	})
}

// What is said of a length is one line: a finding takes it over as it is.
func TestLengthErrorIsOneLine(t *testing.T) {
	for _, s := range []string{"6'>Unit", `6'>Unit">unit`, "6' 1.250", "6' 13", "6'x\n", "2.500", "", "1 2 3 4", "4/4 (6'x)"} {
		_, err := parseLength(s, inMM, 0)
		_, errThick := parseThickness(s, inMM, 0)
		_, errSize := parseSize(s, inMM, 0)
		for _, err := range []error{err, errThick, errSize} {
			if err != nil && !isPrintable(err.Error()) {
				t.Errorf("%q: %q", s, err)
			}
		}
	}
}
