package sourcing

import "testing"

func TestMostMoisturePct(t *testing.T) {
	for _, tt := range []struct {
		moisture string
		pct      float64
		typical  bool
		ok       bool
	}{
		{"KD 8-10 %", 10, false, true}, {"12 %", 12, false, true}, {"8 ± 2 %", 10, false, true}, {"8 +/- 1,5 %", 9.5, false, true}, {"AD 18 bis 20 %", 20, false, true}, {"8.5 %", 8.5, false, true},
		{"KD", 12, true, true}, {"AD", 20, true, true}, {"green", 100, true, true}, {"KD AD", 20, true, true}, {"KD 6-8 % KD 10 %", 10, false, true},
		{"", 0, false, false}, {"steamed", 0, false, false},
	} {
		if pct, typical, ok := MostMoisturePct(tt.moisture); pct != tt.pct || typical != tt.typical || ok != tt.ok {
			t.Errorf("%q: %v %%, typical %v, %v; want %v %%, %v, %v", tt.moisture, pct, typical, ok, tt.pct, tt.typical, tt.ok)
		}
	}
	// Every state that a sheet's words can come to has a figure.
	for words, state := range moistureStates {
		if _, typical, ok := MostMoisturePct(state); !typical || !ok {
			t.Errorf("%q is read as %q, which has no figure", words, state)
		}
	}
}
