package invented

import (
	"context"
	"reflect"
	"testing"

	"stavewright/optimize"
	"stavewright/optimize/season"
)

// TestFactories: equal names give equal seasons, both halves are large enough and have every feature, every reference keeps its model's
// limits, and both direct programs, with layouts free and kept, are well formed.
func TestFactories(t *testing.T) {
	tuned, held := FactoryNames()
	var features [2]feature
	for _, f := range factories {
		half := 0
		if f.name[0] == 'B' {
			half = 1
		}
		features[half] |= f.has
		if f.budget > 0 {
			features[half] |= shortSupply << 1
		}
	}
	if all := shortSupply<<2 - 1; len(tuned) < 12 || len(held) < 12 || features[0] != all || features[1] != all {
		t.Errorf("%d factories to tune with, %d held back; features %b and %b, want %b", len(tuned), len(held), features[0], features[1], all)
	}
	for _, name := range append(tuned, held...) {
		s := Factory(name)
		if !reflect.DeepEqual(s, Factory(name)) {
			t.Errorf("%s: the same name gives two seasons", name)
		}
		for _, m := range s.Models {
			c, err := optimize.Check(m.Program, m.Program.Reference)
			if err != nil || len(c.Broken) > 0 {
				t.Errorf("%s, %s: %v %v", name, m.Program.Model, err, c)
			}
		}
		for _, mode := range []season.Mode{season.Joint, season.Keep} {
			m, _, err := season.Direct(context.Background(), s, mode)
			if err == nil {
				err = m.Check()
			}
			if err != nil {
				t.Errorf("%s, %s: %v", name, mode, err)
			}
		}
	}
}
