package book

import (
	"strings"
	"testing"

	"stavewright/sourcing"
)

// twoModels is the small season with a second model, whose positions are given, and a recipe for both.
func twoModels(recipes [2]any, positions ...[]any) map[string][][]any {
	rows := smallSeason([]any{"ordering day", "2027-01-18"})
	rows["Models"] = [][]any{{"Model", "Recipe", "Boards", "Needed by"}, {"Plank", recipes[0], 25.0, "2027-03-15"}, {"Long", recipes[1], 10.0, "2027-03-15"}}
	rows["Positions"] = [][]any{{"Model", "Position", "Strips per side", "Strip width mm", "On centre line", "Woods allowed"},
		{"Plank", "inner", 2.0, 10.0, nil, "Light; Heavy"}, {"Plank", "edge", 1.0, 20.0, nil, "Light; Heavy"}}
	for _, p := range positions {
		rows["Positions"] = append(rows["Positions"], append([]any{"Long"}, p...))
	}
	delete(rows, "Reference")
	return rows
}

// Models of one recipe must have the same positions; else the cell of the recipe says what differs. Spelling makes no difference to a recipe.
func TestRecipe(t *testing.T) {
	for _, tt := range []struct {
		name      string
		recipes   [2]any
		positions [][]any
		want      string // of the finding in Models!B3; empty: none
	}{
		{"the same", [2]any{"Cruise", " cruise  "}, [][]any{{"Inner", 2.0, 10.0}, {"edge", 1.0, 20.0}}, ""},
		{"other widths of strips", [2]any{"Cruise", "CRUISE"}, [][]any{{"inner", 2.0, 12.0}, {"edge", 1.0, 25.0}}, ""},
		{"other woods allowed", [2]any{"Cruise", "Cruise"}, [][]any{{"inner", 2.0, 10.0, nil, "Light"}, {"edge", 1.0, 20.0}}, ""},
		{"two recipes", [2]any{"Cruise", "Carve"}, [][]any{{"inner", 4.0, 10.0}}, ""},
		{"no recipe", [2]any{nil, nil}, [][]any{{"inner", 4.0, 10.0}}, ""},
		{"one with a recipe", [2]any{"Cruise", nil}, [][]any{{"inner", 4.0, 10.0}}, ""},
		{"other strips", [2]any{"Cruise", "cruise"}, [][]any{{"inner", 3.0, 10.0}, {"edge", 1.0, 20.0}},
			`model "Long" has the recipe "Cruise", as model "Plank" in row 2 has, but other positions: "inner" has 3 strips per side, not 2; make the positions the same`},
		{"another name", [2]any{"Cruise", "Cruise"}, [][]any{{"inner", 2.0, 10.0}, {"rim", 1.0, 20.0}}, `its position 2 is "rim", not "edge"`},
		{"another order", [2]any{"Cruise", "Cruise"}, [][]any{{"edge", 1.0, 20.0}, {"inner", 2.0, 10.0}}, `its position 1 is "edge", not "inner"`},
		{"a position more", [2]any{"Cruise", "Cruise"}, [][]any{{"inner", 2.0, 10.0}, {"edge", 1.0, 20.0}, {"flank", 1.0, 5.0}}, "it has 3 positions, not 2"},
		{"on the centre line", [2]any{"Cruise", "Cruise"}, [][]any{{"inner", 3.0, 20.0, "yes"}, {"edge", 1.0, 20.0}}, `"inner" has 3 strips per side, not 2; "inner" is on the centre line`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			job, found := readBook(t, workbook(t, twoModels(tt.recipes, tt.positions...)))
			if tt.want != "" {
				if len(found) != 1 || found[0].Sheet != "Models" || found[0].Cell() != "B3" || !strings.Contains(found[0].String(), tt.want) {
					t.Errorf("findings %v; want one in Models!B3: %s", found, tt.want)
				}
				return
			}
			if len(found) > 0 {
				t.Fatal(found)
			}
			s, found := job.Season([]sourcing.Offer{lightPlanks(), planksOf("heavy", "A", "20", 100)})
			if s == nil {
				t.Fatal(found)
			}
			want := tt.recipes // as the first model with it spells it
			if tt.recipes[1] != "Carve" && tt.recipes[1] != nil {
				want[1] = tt.recipes[0]
			}
			for i, m := range s.Models {
				if w, _ := want[i].(string); m.Recipe != w {
					t.Errorf("the recipe of %s is %q in the season, want %q", m.Program.Model, m.Recipe, w)
				}
			}
		})
	}
	// A model whose positions are faulty is reported for that alone.
	_, found := readBook(t, workbook(t, twoModels([2]any{"Cruise", "Cruise"}, []any{"inner", -2.0, 10.0}, []any{"edge", 1.0, 20.0})))
	if len(found) != 1 || found[0].Sheet != "Positions" {
		t.Errorf("with a faulty position: %v", found)
	}
}
