package report

import (
	"fmt"
	"io"
	"slices"

	"stavewright/species"
)

// A woodFigure is one figure of a wood as it is shown: its key in JSON, its heading, and its decimals.
type woodFigure struct {
	key, head string
	decimals  int
	of        func(species.Wood) species.Figure
}

var woodFigures = []woodFigure{
	{"density_kg_m3", "Density\nkg/m³", 0, func(w species.Wood) species.Figure { return w.DensityKgM3 }},
	{"modulus_gpa", "Modulus\nGPa", 2, func(w species.Wood) species.Figure { return w.ModulusGPa }},
	{"bending_strength_mpa", "Strength\nMPa", 0, func(w species.Wood) species.Figure { return w.BendingStrengthMPa }},
	{"hardness_n", "Hard-\nness N", 0, func(w species.Wood) species.Figure { return w.HardnessN }},
	{"rotation_years_low", "", 0, func(w species.Wood) species.Figure { return w.RotationLowYears }},
	{"rotation_years_high", "", 0, func(w species.Wood) species.Figure { return w.RotationHighYears }},
	{"specific_gravity", "", 3, func(w species.Wood) species.Figure { return w.SpecificGravity }},
	{"cross_grain_modulus_gpa", "", 3, func(w species.Wood) species.Figure { return w.CrossGrainGPa }},
	{"compression_mpa", "", 1, func(w species.Wood) species.Figure { return w.CompressionMPa }},
	{"shear_mpa", "", 1, func(w species.Wood) species.Figure { return w.ShearMPa }},
	{"modulus_cv_pct", "", 1, func(w species.Wood) species.Figure { return w.ModulusCVPct }},
}

// WoodsTerminal writes the woods ranked by a criterion, best first: figures as used under the shop's conditions, and the
// modulus as published beside them.
func WoodsTerminal(w io.Writer, used, published *species.Table, c species.Conditions, by species.Criterion, s Style) error {
	t := newTerminal(s)
	t.title("Woods by " + by.Meaning())
	ranked := species.Rank(used.Woods(), by)
	cells := func(cell func(species.Ranked) string) []string {
		out := make([]string, len(ranked))
		for i, r := range ranked {
			out[i] = cell(r)
		}
		return out
	}
	columns := []column{
		{head: "#", cells: cells(func(r species.Ranked) string {
			if !r.Known() {
				return "-"
			}
			return fmt.Sprint(r.Rank)
		})},
		{head: "Wood", left: true, cells: cells(func(r species.Ranked) string { return clean(r.Wood.ID) })},
	}
	// Every other criterion is one of the figures shown.
	if slices.Contains([]species.Criterion{species.SpecificStiffness, species.SpecificStrength, species.PanelStiffness}, by) {
		columns = append(columns, column{head: "Ratio\n" + by.Unit(), cells: cells(func(r species.Ranked) string { return known(r.Known(), r.Value, 2) })})
	}
	for i, f := range woodFigures[:4] {
		columns = append(columns, column{head: f.head, cells: cells(func(r species.Ranked) string { return marked(f.of(r.Wood), f.decimals) })})
		if i == 1 {
			columns = append(columns, column{head: "pub-\nlished", optional: true, cells: cells(func(r species.Ranked) string {
				p, _ := published.Wood(r.Wood.ID)
				return known(p.ModulusGPa.Known(), p.ModulusGPa.Value, 1)
			})})
		}
	}
	columns = append(columns, column{head: "Rotation\nyears", cells: cells(func(r species.Ranked) string { return years(r.Wood) })})
	conditions := fmt.Sprintf("Figures as used: at %s %% moisture, table moduli raised by %s %% to true ones",
		trimmed(c.MoisturePct), trimmed(c.ModulusRaisePct))
	if tableWidth(columns) > t.width {
		columns = withoutLast(columns)
		t.line(conditions + ".")
	} else {
		t.line(conditions + "; beside it the modulus as published.")
	}
	t.gap()
	t.table(columns)
	t.gap()
	t.line("m from memory, a assumed, o your own; what has no mark was read in its source or derived from what was. n/a: not known. --json names the source of every figure.")
	t.gap()
	t.heading("What a wood is not")
	for _, r := range ranked {
		if r.Wood.NotToConfuse != "" {
			t.item("-", clean(r.Wood.ID)+": "+clean(r.Wood.NotToConfuse))
		}
	}
	return t.writeTo(w)
}

// marked is a figure with the letter of how far it can be trusted, or a blank.
func marked(f species.Figure, decimals int) string {
	letter := " "
	switch f.Status {
	case species.Memory:
		letter = "m"
	case species.Assumed:
		letter = "a"
	case species.Own:
		letter = "o"
	}
	return known(f.Known(), f.Value, decimals) + letter
}

// years is the usual rotation of a wood as a range.
func years(w species.Wood) string {
	low, high := w.RotationLowYears, w.RotationHighYears
	if !low.Known() && !high.Known() {
		return "n/a "
	}
	if !low.Known() || low.Value == high.Value {
		return marked(high, 0)
	}
	if !high.Known() {
		return "from " + marked(low, 0)
	}
	return Fixed(low.Value, 0) + "-" + marked(high, 0)
}

type woodsJSON struct {
	Woods           []woodJSON `json:"woods"` // best first
	MoisturePct     number     `json:"moisture_pct"`
	ModulusRaisePct number     `json:"modulus_raise_pct"`
	RankedBy        string     `json:"ranked_by"`
	RankUnit        string     `json:"rank_unit"`
}

// A woodJSON is a wood with its figures as used; source and status sum them up, Figures tell them apart.
type woodJSON struct {
	ID                 string           `json:"id"`
	CommonName         string           `json:"common_name"`
	LatinName          string           `json:"latin_name"`
	DensityKgM3        number           `json:"density_kg_m3"`
	ModulusGPa         number           `json:"modulus_gpa"`
	BendingStrengthMPa number           `json:"bending_strength_mpa"`
	HardnessN          number           `json:"hardness_n"`
	RotationLowYears   number           `json:"rotation_years_low"`
	RotationHighYears  number           `json:"rotation_years_high"`
	Source             string           `json:"source"`
	Status             string           `json:"status"` // of the least trustworthy of the figures above
	Growth             *growthJSON      `json:"growth"` // plantation, natural stand, bamboo; null: not known
	Rank               *int             `json:"rank"`   // null: a figure for it is not known
	RankValue          number           `json:"rank_value"`
	NotToConfuse       string           `json:"not_to_confuse,omitempty"`
	Notes              string           `json:"notes,omitempty"`
	Figures            []woodFigureJSON `json:"figures"`
}

type growthJSON struct {
	Stand  string `json:"stand"`
	Status string `json:"status"`
	Source string `json:"source"`
}

func growthDoc(g species.Growth) *growthJSON {
	if !g.Known() {
		return nil
	}
	return &growthJSON{string(g.Stand), string(g.Status), g.Source}
}

type woodFigureJSON struct {
	Figure    string `json:"figure"`
	Used      number `json:"used"`
	Status    string `json:"status"`
	Source    string `json:"source"`
	Published number `json:"published"`
}

// WoodsJSON writes the woods ranked by a criterion as one JSON document, every figure with its source and status.
func WoodsJSON(w io.Writer, used, published *species.Table, c species.Conditions, by species.Criterion) error {
	doc := woodsJSON{Woods: []woodJSON{}, MoisturePct: short(c.MoisturePct), ModulusRaisePct: short(c.ModulusRaisePct),
		RankedBy: string(by), RankUnit: by.Unit()}
	for _, r := range species.Rank(used.Woods(), by) {
		before, _ := published.Wood(r.Wood.ID)
		source, status := r.Wood.Provenance()
		wood := woodJSON{ID: r.Wood.ID, CommonName: r.Wood.CommonName, LatinName: r.Wood.LatinName, Source: source, Status: string(status),
			RankValue: fixedIf(r.Known(), r.Value, 3), NotToConfuse: r.Wood.NotToConfuse, Notes: r.Wood.Notes, Growth: growthDoc(r.Wood.Growth), Figures: []woodFigureJSON{}}
		if r.Known() {
			wood.Rank = &r.Rank
		}
		for _, f := range woodFigures {
			now, then := f.of(r.Wood), f.of(before)
			figure := woodFigureJSON{f.key, shortFigure(now), string(now.Status), now.Source, shortFigure(then)}
			if to := map[string]*number{
				"density_kg_m3": &wood.DensityKgM3, "modulus_gpa": &wood.ModulusGPa, "bending_strength_mpa": &wood.BendingStrengthMPa,
				"hardness_n": &wood.HardnessN, "rotation_years_low": &wood.RotationLowYears, "rotation_years_high": &wood.RotationHighYears,
			}[f.key]; to != nil {
				*to = figure.Used
			}
			wood.Figures = append(wood.Figures, figure)
		}
		doc.Woods = append(doc.Woods, wood)
	}
	return writeJSON(w, doc)
}

// shortFigure is a wood's figure to 4 decimals at most; null when it is not known.
func shortFigure(f species.Figure) number {
	if !f.Known() {
		return ""
	}
	v := roundTo(f.Value, 4)
	return fixed(v, decimals(v))
}
