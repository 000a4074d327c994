package book

import (
	"fmt"
	"slices"
	"strings"
)

// recipes checks that the models of a recipe have the same positions, so that one layout can be laid on all of them. Each is compared with the first of its
// recipe; a model whose positions are faulty is not compared.
func (m *modelReader) recipes() {
	first := map[string]int{} // models, by recipe
	for i := range m.job.Models {
		md := &m.job.Models[i]
		k := key(md.Recipe)
		if k == "" || m.broken[i] || len(md.Positions) == 0 {
			continue
		}
		f, known := first[k]
		if !known {
			first[k] = i
			continue
		}
		of := &m.job.Models[f]
		md.Recipe = of.Recipe // however it is spelled
		if other := otherPositions(md.Positions, of.Positions); other != "" {
			m.fault("Models", md.row, md.cols.recipe, fmt.Sprintf("model %q has the recipe %q, as model %q in row %d has, but other positions: %s",
				brief(md.Name), brief(md.Recipe), brief(of.Name), of.row, other), "make the positions the same (sheet Positions), or write another recipe")
		}
	}
}

// otherPositions says what keeps a layout on positions b from being one on positions a: the first few differences. Empty: nothing.
func otherPositions(a, b []Position) string {
	names := func(ps []Position) []string {
		var out []string
		for _, p := range ps {
			out = append(out, key(p.Name))
		}
		return out
	}
	if na, nb := names(a), names(b); !slices.Equal(na, nb) {
		for i := range min(len(a), len(b)) {
			if na[i] != nb[i] {
				return fmt.Sprintf("its position %d is %q, not %q", i+1, brief(a[i].Name), brief(b[i].Name))
			}
		}
		return fmt.Sprintf("it has %d positions, not %d", len(a), len(b))
	}
	var out []string
	for i := range a {
		if a[i].Strips != b[i].Strips {
			out = append(out, fmt.Sprintf("%q has %d strips per side, not %d", brief(a[i].Name), a[i].Strips, b[i].Strips))
		}
		switch {
		case a[i].OnCentreLine && !b[i].OnCentreLine:
			out = append(out, fmt.Sprintf("%q is on the centre line", brief(a[i].Name)))
		case !a[i].OnCentreLine && b[i].OnCentreLine:
			out = append(out, fmt.Sprintf("%q is not on the centre line", brief(a[i].Name)))
		}
	}
	const most = 3
	if n := len(out) - most; n > 0 {
		return fmt.Sprintf("%s; %d further differences", strings.Join(out[:most], "; "), n)
	}
	return strings.Join(out, "; ")
}
