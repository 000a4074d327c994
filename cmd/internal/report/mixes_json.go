package report

import (
	"io"

	"stavewright/optimize"
	"stavewright/species"
)

type mixesJSON struct {
	Model        string            `json:"model"`
	Complete     bool              `json:"complete"` // front and steps
	Why          string            `json:"why,omitempty"`
	Resolution   mixResolutionJSON `json:"resolution"`
	Objectives   []string          `json:"objectives"` // of the points
	Points       []pointJSON       `json:"points"`     // the three-way front, within the limits of the book
	Steps        []mixStepJSON     `json:"steps"`      // at equal flex
	Breaks       []mixBreakJSON    `json:"breaks"`     // every step at equal flex, by share
	StepsProven  bool              `json:"steps_proven"`
	Reference    *mixColumnJSON    `json:"reference"` // the current mix; null: none
	Alternatives []mixColumnJSON   `json:"alternatives"`
	GreatestPct  number            `json:"greatest_fast_grown_pct"` // within the limits of the book, whatever the flex; null: not proven
	Greatest     *pointJSON        `json:"greatest"`
	FastUpTo     number            `json:"fast_grown_up_to_years"`
	Woods        []mixWoodJSON     `json:"woods"`
	Carbon       *mixCarbonJSON    `json:"stored_carbon"` // null: not known
	Method       string            `json:"method,omitempty"`
	Solves       int               `json:"solves"`
	Unsearched   string            `json:"unsearched,omitempty"`
	Infeasible   *infeasibleJSON   `json:"infeasible,omitempty"`
	Unmatched    *infeasibleJSON   `json:"nothing_at_equal_flex,omitempty"` // there are layouts, but none at equal flex
	Broken       []string          `json:"reference_breaks"`
	Section      string            `json:"section"`
	MeasureAtMM  number            `json:"measure_at_mm"`
	Currency     string            `json:"currency"`
	WithinPct    number            `json:"within_pct"`
	Factors      []number          `json:"profile_factors"`
	Windows      []windowJSON      `json:"windows"`
	Offers       []offerJSON       `json:"offers"`
	LeftOut      []leftOutJSON     `json:"left_out"`
	Reckoned     []string          `json:"reckoned"`
	Cautions     []string          `json:"cautions"`
}

type mixResolutionJSON struct {
	resolutionJSON
	FrontSharePct number `json:"front_fast_grown_pct"`
	StepSharePct  number `json:"step_fast_grown_pct"`
}

// A mixStepJSON is the lightest layout of a least share; null: no layout has so much.
type mixStepJSON struct {
	MinPct number     `json:"min_fast_grown_pct"`
	Point  *pointJSON `json:"point"`
	KeptTo number     `json:"kept_up_to_pct"` // the share that it has
}

type mixBreakJSON struct {
	SharePct number    `json:"fast_grown_pct"` // cut to 0.01 %
	Gone     []string  `json:"gone"`           // above it
	Come     []string  `json:"come"`
	Mix      mixJSON   `json:"mix"`
	Point    pointJSON `json:"point"`
}

type mixColumnJSON struct {
	Name     string    `json:"name"`
	How      string    `json:"how"`
	SharePct number    `json:"fast_grown_pct"`
	Mix      mixJSON   `json:"mix"`
	Point    pointJSON `json:"point"`
	Noticed  []string  `json:"noticed"`
}

type mixJSON struct {
	VolumeCM3     number        `json:"volume_cm3"`
	WoodMassG     number        `json:"wood_mass_g"`
	LumberCM3     number        `json:"lumber_cm3"`      // null: a strip has no price
	TonneKM       number        `json:"lumber_tonne_km"` // null: a plank has no distance
	FastVolumePct number        `json:"fast_grown_volume_pct"`
	FastMassPct   number        `json:"fast_grown_mass_pct"`
	FastLumberPct number        `json:"fast_grown_lumber_pct"`
	UnknownPct    number        `json:"unknown_rotation_pct"`
	RotationLow   number        `json:"mean_rotation_years_low"`
	RotationHigh  number        `json:"mean_rotation_years_high"`
	PerYearLow    number        `json:"cm3_per_year_of_growth_low"`
	PerYearHigh   number        `json:"cm3_per_year_of_growth_high"`
	StoredCO2Kg   number        `json:"stored_co2_kg"` // in the wood of the core as built, bamboo left out; null: not known
	BambooPct     number        `json:"bamboo_volume_pct"`
	Woods         []mixPartJSON `json:"woods"`
}

type mixPartJSON struct {
	Wood      string `json:"wood"`
	Fast      bool   `json:"fast_grown"`
	Strips    int    `json:"strips"` // a core, both sides
	VolumeCM3 number `json:"volume_cm3"`
	MassG     number `json:"mass_g"`
	LumberCM3 number `json:"lumber_cm3"`
	TonneKM   number `json:"lumber_tonne_km"`
	CO2Kg     number `json:"stored_co2_kg"` // null: bamboo, or not known
}

type mixWoodJSON struct {
	ID           string      `json:"id"`
	Fast         bool        `json:"fast_grown"`
	RotationLow  number      `json:"rotation_years_low"`
	RotationHigh number      `json:"rotation_years_high"`
	Status       string      `json:"status"`
	Source       string      `json:"source"`
	Growth       *growthJSON `json:"growth"`
	Certified    string      `json:"certified"`
	CO2KgM3      number      `json:"stored_co2_kg_per_m3"` // at the shop's moisture; null: bamboo
}

// A mixCarbonJSON is what the stored carbon rests on.
type mixCarbonJSON struct {
	Fraction    number `json:"carbon_of_dry_wood"`
	MoisturePct number `json:"moisture_pct"`
	Status      string `json:"status"`
	Source      string `json:"source"`
}

// MixesJSON writes the search for mixes as one JSON document, its points as [FrontJSON] writes them.
func MixesJSON(w io.Writer, r *optimize.MixesResult) error {
	m, err := newMixing(r)
	if err != nil {
		return err
	}
	p := m.program
	doc := mixesJSON{Model: p.Model, Complete: r.Proven, Why: r.Why, Resolution: mixResolutionJSON{resolutionDoc(p), short(resolution(p).SharePct), "0.01"},
		Objectives: []string{}, Points: []pointJSON{}, Steps: []mixStepJSON{}, Breaks: []mixBreakJSON{}, StepsProven: r.StepsProven, Alternatives: []mixColumnJSON{},
		FastUpTo: short(p.Limits.FastUpToYears), Woods: []mixWoodJSON{}, Broken: append([]string{}, r.Broken...), Section: string(p.Board.Section),
		MeasureAtMM: short(p.Board.MeasureAtMM), Currency: p.Currency, WithinPct: short(m.within()), Factors: []number{}, Windows: windowDocs(p),
		Offers: offerDocs(p), LeftOut: leftOutDocs(p), Reckoned: m.mixReckoned(), Cautions: Cautions}
	for _, o := range r.Options.Objectives {
		doc.Objectives = append(doc.Objectives, string(o))
	}
	for _, f := range r.Options.Factors {
		doc.Factors = append(doc.Factors, short(f))
	}
	if f := r.Front; f != nil {
		doc.Method, doc.Solves, doc.Unsearched = string(f.Method), f.Solves, f.Unsearched
		for _, pt := range f.Points {
			doc.Points = append(doc.Points, pointDoc(r.Program, pt))
		}
	}
	for _, g := range r.Grid {
		s := mixStepJSON{MinPct: short(g.MinPct)}
		if g.Break >= 0 {
			b := &r.Breaks[g.Break]
			s.Point, s.KeptTo = otherDoc(p, &b.Point), fixed(b.SharePct, 2)
		}
		doc.Steps = append(doc.Steps, s)
	}
	for i := range r.Breaks {
		b := &r.Breaks[i]
		on := profiled(p, &b.Point)
		doc.Breaks = append(doc.Breaks, mixBreakJSON{fixed(b.SharePct, 2), append([]string{}, b.Gone...), append([]string{}, b.Come...),
			mixDoc(on, on.Mix(&b.Point)), *otherDoc(p, &b.Point)})
	}
	for i := range m.columns {
		c := &m.columns[i]
		col := mixColumnJSON{c.name, c.how, fixed(c.share, 2), mixDoc(c.program, c.mix), pointDoc(c.program, *c.point), append([]string{}, m.noticed(i)...)}
		col.Point.Strength = strengthDoc(c.program, c.strength)
		if m.current && i == 0 {
			doc.Reference = &col
			continue
		}
		doc.Alternatives = append(doc.Alternatives, col)
	}
	if r.Greatest != nil {
		share, err := optimize.LeastShare(r.Program, r.Greatest)
		if err != nil {
			return err
		}
		doc.GreatestPct, doc.Greatest = fixed(share, 2), otherDoc(r.Program, r.Greatest)
	}
	marks, _ := woodMarks(p, p.Board, m.layouts())
	for _, row := range m.woodRows(marks) {
		low, high := row.wood.RotationLowYears, row.wood.RotationHighYears
		perM3, known := m.carbonPerM3(&row.wood)
		doc.Woods = append(doc.Woods, mixWoodJSON{row.wood.ID, row.fast, shortFigure(low), shortFigure(high), row.status, row.source, growthDoc(row.wood.Growth), row.certificate(),
			fixedIf(known, perM3, 1)})
	}
	if f := species.CarbonFraction; m.carbon() {
		doc.Carbon = &mixCarbonJSON{short(f.Value), short(p.MoisturePct), string(f.Status), f.Source}
	}
	if r.Infeasible != nil {
		doc.Infeasible = infeasibleDoc(r.Infeasible)
	}
	if r.Unmatched != nil {
		doc.Unmatched = infeasibleDoc(r.Unmatched)
	}
	return writeJSON(w, doc)
}

func mixDoc(p *optimize.Program, x optimize.Mix) mixJSON {
	doc := mixJSON{VolumeCM3: fixed(x.VolumeCM3, 3), WoodMassG: fixed(x.MassG, 2), LumberCM3: fixedIf(x.LumberKnown, x.LumberCM3, 1), TonneKM: fixedIf(x.CarriedKnown, x.TonneKM, 4),
		FastVolumePct: fixed(x.FastVolumePct, 2), FastMassPct: fixed(x.FastMassPct, 2), FastLumberPct: fixedIf(x.LumberKnown, x.FastLumberPct, 2),
		UnknownPct: fixed(x.UnknownPct, 2), RotationLow: fixedIf(x.RotationKnown, x.RotationLow, 2), RotationHigh: fixedIf(x.RotationKnown, x.RotationHigh, 2),
		PerYearLow: fixedIf(x.RotationKnown, x.PerYearLow, 2), PerYearHigh: fixedIf(x.RotationKnown, x.PerYearHigh, 2),
		StoredCO2Kg: fixedIf(x.CarbonKnown, x.StoredCO2Kg, 4), BambooPct: fixed(x.BambooPct, 2), Woods: []mixPartJSON{}}
	for _, w := range x.Woods {
		doc.Woods = append(doc.Woods, mixPartJSON{p.Board.Woods[w.Wood].ID, w.Fast, w.Strips, fixed(w.VolumeCM3, 3), fixed(w.MassG, 2), fixedIf(x.LumberKnown, w.LumberCM3, 1),
			fixedIf(w.Carried, w.TonneKM, 4), fixedIf(x.CarbonKnown && p.Board.Woods[w.Wood].Woody(), w.StoredCO2Kg, 4)})
	}
	return doc
}
