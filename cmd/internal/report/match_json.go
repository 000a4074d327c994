package report

import (
	"cmp"
	"io"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

type matchJSON struct {
	Model           string          `json:"model"`
	Reference       pointJSON       `json:"reference"`
	Best            *pointJSON      `json:"best"`    // null: nothing inside the window
	Trimmed         *pointJSON      `json:"trimmed"` // null: none, as with the goal stiffer
	Proven          bool            `json:"proven"`
	Why             string          `json:"why,omitempty"`
	Goal            string          `json:"goal"`
	WithinPct       number          `json:"within_pct"`
	ProfileFactors  []number        `json:"profile_factors"`
	Saved           *savedJSON      `json:"saved"` // best against the reference
	SavedTrimmed    *savedJSON      `json:"saved_trimmed"`
	ReferenceBreaks []string        `json:"reference_breaks"`
	TrimmedBreaks   []string        `json:"trimmed_breaks"`
	Profile         []millJSON      `json:"profile"` // to mill
	ByFactor        []factorJSON    `json:"by_factor"`
	Swaps           []swapJSON      `json:"swaps"`
	Infeasible      *infeasibleJSON `json:"infeasible,omitempty"`
	Resolution      resolutionJSON  `json:"resolution"`
	Section         string          `json:"section"`
	MeasureAtMM     number          `json:"measure_at_mm"`
	Currency        string          `json:"currency"`
	Windows         []windowJSON    `json:"windows"` // the match's and the book's, the narrower where both are
	Offers          []offerJSON     `json:"offers"`
	LeftOut         []leftOutJSON   `json:"left_out"`
	Cautions        []string        `json:"cautions"`
}

// A savedJSON is what a layout has less than the reference; negative: more.
type savedJSON struct {
	MassG   number  `json:"mass_g"`
	MassPct number  `json:"mass_pct"`
	Cost    *string `json:"cost"` // decimal; null: not known
}

type millJSON struct {
	FromTipMM        number `json:"from_tip_mm"`
	ReferenceMM      number `json:"reference_thickness_mm"`
	ScaledMM         number `json:"scaled_thickness_mm"` // of the best
	MillMM           number `json:"mill_thickness_mm"`
	TargetNM2        number `json:"target_ei_nm2"` // the reference's
	EINM2            number `json:"ei_nm2"`        // of the profile to mill
	AtLeastThickness bool   `json:"at_least_thickness"`
}

type factorJSON struct {
	Factor number     `json:"profile_factor"`
	Best   *pointJSON `json:"best"` // null: nothing inside the window
}

type swapJSON struct {
	Wood  string     `json:"wood"`
	Point *pointJSON `json:"point"` // null: nothing
	Why   string     `json:"why,omitempty"`
}

// A strengthJSON is a layout's strength under the design load.
type strengthJSON struct {
	LoadN          number             `json:"load_n"` // in the middle of the support span
	SafetyFactor   number             `json:"safety_factor"`
	Known          bool               `json:"known"` // every strength needed is
	Why            string             `json:"why,omitempty"`
	UtilisationPct number             `json:"utilisation_pct"` // the largest known; null: none is
	Wood           string             `json:"wood,omitempty"`
	AtMM           number             `json:"at_mm"`
	Shear          bool               `json:"shear"`
	ByWood         []woodStrengthJSON `json:"by_wood"`
}

type woodStrengthJSON struct {
	Wood           string `json:"wood"`
	Shear          bool   `json:"shear"`
	Across         bool   `json:"across"` // a pad's; not rated
	StressMPa      number `json:"stress_mpa"`
	StrengthMPa    number `json:"strength_mpa"`
	UtilisationPct number `json:"utilisation_pct"`
	AtMM           number `json:"at_mm"`
}

type preStressJSON struct {
	CamberPerM number               `json:"camber_per_m"` // curvature at the measuring station
	CamberMM   number               `json:"camber_mm"`    // null: no support span
	ByPosition []positionStressJSON `json:"by_position"`
}

type positionStressJSON struct {
	Position  string `json:"position"`
	Wood      string `json:"wood"`
	PreStrain number `json:"pre_strain_per_mille"`
	StressMPa number `json:"stress_mpa"`
	TopMPa    number `json:"top_mpa"`
	BottomMPa number `json:"bottom_mpa"`
}

type holdingJSON struct {
	Position string `json:"position"`
	Pct      number `json:"pct"` // of the holding reference; null: not known
}

// MatchJSON writes what a match found as one JSON document, its points as [FrontJSON] writes them, with their strength besides.
func MatchJSON(w io.Writer, r *optimize.MatchResult) error {
	m, err := newMatching(r)
	if err != nil {
		return err
	}
	p := m.program
	doc := matchJSON{
		Model: p.Model, Proven: r.Proven, Why: r.Why, Goal: string(m.goal()), WithinPct: short(cmp.Or(r.Options.WithinPct, 2)), ProfileFactors: []number{},
		ReferenceBreaks: append([]string{}, r.Broken...), TrimmedBreaks: append([]string{}, m.broken...), Profile: []millJSON{}, ByFactor: []factorJSON{},
		Swaps: []swapJSON{}, Resolution: resolutionDoc(p), Section: string(p.Board.Section), MeasureAtMM: short(p.Board.MeasureAtMM),
		Currency: p.Currency, Windows: windowDocs(p), Offers: offerDocs(p), LeftOut: leftOutDocs(p), Cautions: Cautions,
	}
	for _, f := range r.Options.Factors {
		doc.ProfileFactors = append(doc.ProfileFactors, short(f))
	}
	for i := range m.columns {
		c := &m.columns[i]
		pt := pointDoc(c.program, *c.point)
		pt.Strength = strengthDoc(c.program, c.strength)
		switch c.point {
		case &r.Reference:
			doc.Reference = pt
		case r.Best:
			doc.Best, doc.Saved = &pt, m.savedDoc(c)
		case r.Trimmed:
			doc.Trimmed, doc.SavedTrimmed = &pt, m.savedDoc(c)
		}
	}
	digits := m.millDecimals()
	for _, row := range m.mill() {
		ei := row.best
		if row.hasTrimmed {
			ei = row.trimmed
		}
		stiff := decimals(resolution(p).EINM2)
		doc.Profile = append(doc.Profile, millJSON{short(row.fromTip), short(row.today), short(row.scaled), fixed(row.mill, digits), fixed(row.target, stiff),
			fixed(ei, stiff), row.least})
	}
	for _, f := range r.ByFactor {
		doc.ByFactor = append(doc.ByFactor, factorJSON{short(f.Factor), otherDoc(r.Program, f.Best)})
	}
	for _, s := range r.Swaps {
		doc.Swaps = append(doc.Swaps, swapJSON{s.Wood, otherDoc(r.Program, s.Point), s.Why})
	}
	if r.Infeasible != nil {
		doc.Infeasible = infeasibleDoc(r.Infeasible)
	}
	return writeJSON(w, doc)
}

// otherDoc is a point on the program's board with the point's own profile factor.
func otherDoc(p *optimize.Program, pt *optimize.Point) *pointJSON {
	if pt == nil {
		return nil
	}
	doc := pointDoc(profiled(p, pt), *pt)
	return &doc
}

func (m *matching) savedDoc(c *matched) *savedJSON {
	s := m.saving(c)
	doc := &savedJSON{MassG: fixed(s.massG, decimals(resolution(m.program).MassG)), MassPct: fixed(s.massPct, 2)}
	if s.priced {
		cost := amount(s.cost, moneyDecimals(m.program))
		doc.Cost = &cost
	}
	return doc
}

func infeasibleDoc(in *optimize.Infeasible) *infeasibleJSON {
	return &infeasibleJSON{Clash: append([]string{}, in.Clash...), Relaxations: relaxationDocs(in.Relaxations), Together: relaxationDocs(in.Together),
		Undecided: in.Undecided}
}

func strengthDoc(p *optimize.Program, s *core.Strength) *strengthJSON {
	if s == nil {
		return nil
	}
	rated := s.Wood >= 0
	doc := &strengthJSON{LoadN: short(p.Limits.DesignLoadN), SafetyFactor: short(safetyFactor(p)), Known: s.Known, Why: s.Why,
		UtilisationPct: fixedIf(rated, s.UtilisationPct, 2), AtMM: fixedIf(rated, s.AtMM, 1), Shear: s.Shear, ByWood: []woodStrengthJSON{}}
	if rated {
		doc.Wood = p.Board.Woods[s.Wood].ID
	}
	for _, w := range s.ByWood {
		doc.ByWood = append(doc.ByWood, woodStrengthJSON{p.Board.Woods[w.Wood].ID, w.Shear, w.Across, fixed(w.StressMPa, 3),
			fixedIf(w.Known, w.StrengthMPa, 2), fixedIf(w.Known, w.UtilisationPct, 2), fixed(w.AtMM, 1)})
	}
	return doc
}

func preStressDoc(b *core.Board, s core.PreStress) *preStressJSON {
	if !s.Known {
		return nil
	}
	doc := &preStressJSON{CamberPerM: fixed(s.CamberPerM, 6), CamberMM: fixedIf(b.SpanMM > 0, s.CamberMM, 3), ByPosition: []positionStressJSON{}}
	for _, r := range s.ByPosition {
		doc.ByPosition = append(doc.ByPosition, positionStressJSON{b.Positions[r.Position].Name, b.Woods[r.Wood].ID, short(1000 * r.PreStrain),
			fixed(r.StressMPa, 3), fixed(r.TopMPa, 3), fixed(r.BottomMPa, 3)})
	}
	return doc
}

func holdingDocs(p *optimize.Program, pt *optimize.Point) []holdingJSON {
	docs := []holdingJSON{}
	for i, pos := range p.Board.Positions {
		pct, ok := holdingPct(p, pt, i)
		docs = append(docs, holdingJSON{pos.Name, fixedIf(ok, pct, 1)})
	}
	return docs
}
