package sourcing

import (
	"errors"
	"strings"
	"testing"
)

// The notations of the table are those of suppliers' sheets (common practice); the values follow from reading them.
func TestParseNumber(t *testing.T) {
	for _, tt := range []struct {
		text  string
		mark  rune
		want  string // empty: an error
		shown rune
	}{
		{"1350", 0, "1350", 0},
		{"1,234.50", 0, "1234.5", '.'},
		{"1.234,50", 0, "1234.5", ','},
		{"1 234,50", 0, "1234.5", ','},
		{"1\u00a0234,50", 0, "1234.5", ','},
		{"1\u202f234,50", 0, "1234.5", ','},
		{"1'234.50", 0, "1234.5", '.'},
		{"1’234.50", 0, "1234.5", '.'},
		{"1 234", 0, "1234", 0},
		{"1234.5", 0, "1234.5", '.'},
		{"26,5", 0, "26.5", ','},
		{"26,5", '.', "26.5", ','}, // nothing else can be meant
		{"0.125", 0, "0.125", '.'},
		{".5", 0, "0.5", '.'},
		{"1.234.567", 0, "1234567", ','},
		{"1,234,567.8", 0, "1234567.8", '.'},
		{"1234.567", 0, "1234.567", '.'}, // four digits are no group
		{"895,-", 0, "895", 0},
		{"895.–", 0, "895", 0},
		{"1.150,-", 0, "1150", ','},
		{"1.150.–", 0, "1150", ','},
		{"1'150.-", 0, "1150", 0},
		{"-3", 0, "-3", 0},
		{"−3,5", 0, "-3.5", ','},
		{"１２", 0, "12", 0},
		{"1.350", '.', "1.35", '.'},
		{"1.350", ',', "1350", ','},
		{"1,350", ',', "1.35", ','},
		{"1.350", 0, "", 0},
		{"1,350", 0, "", 0},
		{"", 0, "", 0},
		{"-", 0, "", 0},
		{"5.", 0, "", 0},
		{"1..5", 0, "", 0},
		{"1,23,456.5", 0, "", 0},
		{"12 34", 0, "", 0},
		{" 1 234 567 ", 0, "1234567", 0},
		{"1.2.3", 0, "", 0},
		{"1,5,", 0, "", 0},
		{"abc", 0, "", 0},
		{"1e3", 0, "", 0},
		{"12345678901234567890123456789012345678901", 0, "", 0},
	} {
		v, shown, err := parseNumber(tt.text, tt.mark)
		switch {
		case tt.want == "" && err == nil:
			t.Errorf("%q reads as %s, want an error", tt.text, v)
		case tt.want == "":
		case err != nil || v.String() != tt.want || shown != tt.shown:
			t.Errorf("%q reads as %s, mark %q, %v; want %s, mark %q", tt.text, v, shown, err, tt.want, tt.shown)
		}
	}
	for _, s := range []string{"1.350", "1,350", "-12.345"} {
		if _, _, err := parseNumber(s, 0); !errors.Is(err, errAmbiguous) {
			t.Errorf("%q gives %v, want %v", s, err, errAmbiguous)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"1350", "1,234.50", "1.234,50", "1 234,50", "895,-", "-3", "1.350", "", "½", "." + strings.Repeat("1", 39), "0." + strings.Repeat("1", 38)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, mark := range []rune{0, '.', ','} {
			v, _, err := parseNumber(s, mark)
			if err != nil {
				continue
			}
			if back, _, err := parseNumber(v.String(), '.'); err != nil || !back.Equal(v) {
				t.Fatalf("%q is %s, read back %s, %v", s, v, back, err)
			}
		}
	})
}
