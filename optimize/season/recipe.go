package season

import (
	"fmt"
	"math"
	"slices"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/optimize/mip"
)

// A directRecipe holds the layouts of several models to each other. The outlines of their boards may cut strips differently, so the strips are counted by cell:
// strips that are alike in each of the models.
type directRecipe struct {
	d      *direct
	models []int
	cells  []recipeCell
}

type recipeCell struct {
	strips  []int
	woods   []string // ids
	columns []int    // by wood
}

// recipes are the models that share a recipe, by recipe, in the order of the season.
func (s *Season) recipes() [][]int {
	var out [][]int
	at := map[string]int{}
	for i := range s.Models {
		r := s.Models[i].Recipe
		if r == "" {
			continue
		}
		k, ok := at[r]
		if !ok {
			k = len(out)
			at[r] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return slices.DeleteFunc(out, func(models []int) bool { return len(models) < 2 })
}

// addRecipes ties the layouts of models with the same recipe together.
func (d *direct) addRecipes() {
	for _, models := range d.s.recipes() {
		r := directRecipe{d: d, models: models}
		cell := map[string]int{}
		for strip := range d.s.Models[models[0]].Program.Board.Strips() {
			var key []byte
			for _, i := range models {
				key = fmt.Append(key, slices.IndexFunc(d.models[i].Groups, contains(strip)), " ")
			}
			k, ok := cell[string(key)]
			if !ok {
				k = len(r.cells)
				cell[string(key)] = k
				r.cells = append(r.cells, recipeCell{})
			}
			r.cells[k].strips = append(r.cells[k].strips, strip)
		}
		r.addCells()
		for _, i := range models {
			r.tie(i)
		}
		d.recipes = append(d.recipes, r)
	}
}

func contains(strip int) func(g optimize.LayoutGroup) bool {
	return func(g optimize.LayoutGroup) bool { return slices.Contains(g.Strips, strip) }
}

// addCells adds a column for each wood of a cell that every model may have there.
func (r *directRecipe) addCells() {
	d := r.d
	for k := range r.cells {
		c := &r.cells[k]
		for _, id := range d.woodsAt(r.models[0], c.strips[0]) {
			if slices.ContainsFunc(r.models, func(i int) bool { return !slices.Contains(d.woodsAt(i, c.strips[0]), id) }) {
				continue
			}
			c.woods = append(c.woods, id)
			c.columns = append(c.columns, d.column(mip.Column{High: float64(len(c.strips)), Integer: true,
				Name: fmt.Sprintf("recipe %d: %s of strips %d to %d", len(d.recipes)+1, id, c.strips[0]+1, c.strips[len(c.strips)-1]+1)}))
		}
	}
}

// woodsAt are the ids of the woods that a model's program has at a strip.
func (d *direct) woodsAt(model, strip int) []string {
	p := d.s.Models[model].Program
	g := d.models[model].Groups[slices.IndexFunc(d.models[model].Groups, contains(strip))]
	var out []string
	for ci, col := range g.Columns {
		if col >= 0 {
			out = append(out, p.Board.Woods[p.Candidates[ci].Wood].ID)
		}
	}
	return out
}

// tie makes a model's counts those of the cells.
func (r *directRecipe) tie(model int) {
	d := r.d
	p := d.s.Models[model].Program
	for gi, g := range d.models[model].Groups {
		for ci, col := range g.Columns {
			if col < 0 {
				continue
			}
			col += d.first[model]
			d.m.Columns[col].Integer = true
			id := p.Board.Woods[p.Candidates[ci].Wood].ID
			terms := []mip.Term{{Column: col, Coefficient: -1}}
			for _, c := range r.cells {
				if k := slices.Index(c.woods, id); k >= 0 && slices.Contains(g.Strips, c.strips[0]) {
					terms = append(terms, mip.Term{Column: c.columns[k], Coefficient: 1})
				}
			}
			d.row(fmt.Sprintf("recipe %d: %s of group %d of %s", len(d.recipes)+1, id, gi+1, p.Model), 0, 0, terms...)
		}
	}
}

// read gives the models the layout that a solution has.
func (r *directRecipe) read(x []float64, layouts []core.Layout) {
	for _, i := range r.models {
		wood := map[string]int{}
		for w := range r.d.s.Models[i].Program.Board.Woods {
			wood[r.d.s.Models[i].Program.Board.Woods[w].ID] = w
		}
		layouts[i] = slices.Clone(layouts[i])
		for _, c := range r.cells {
			at := 0
			for k, col := range c.columns {
				for range int(math.Round(x[col])) {
					if at < len(c.strips) {
						layouts[i][c.strips[at]] = wood[c.woods[k]]
						at++
					}
				}
			}
		}
	}
}

// write sets the cells' columns to a plan's layout.
func (r *directRecipe) write(x []float64, layouts []core.Layout) {
	woods := r.d.s.Models[r.models[0]].Program.Board.Woods
	for _, c := range r.cells {
		for _, strip := range c.strips {
			if k := slices.Index(c.woods, woods[layouts[r.models[0]][strip]].ID); k >= 0 {
				x[c.columns[k]]++
			}
		}
	}
}

// differs names two models of one recipe whose layouts are not the same; empty: there are none.
func (s *Season) differs(layouts []core.Layout) (a, b string) {
	for _, models := range s.recipes() {
		first := s.Models[models[0]].Program
		for _, i := range models[1:] {
			p := s.Models[i].Program
			if !slices.EqualFunc(layouts[models[0]], layouts[i], func(v, w int) bool { return first.Board.Woods[v].ID == p.Board.Woods[w].ID }) {
				return first.Model, p.Model
			}
		}
	}
	return "", ""
}
