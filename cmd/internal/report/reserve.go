package report

import (
	"cmp"
	"fmt"
	"math"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// What a layout holds in reserve: strength under the design load, screw holding, and what pre-strained strips take of it.

// loaded reports whether a program gives what strength is reckoned under: a design load and a support span.
func loaded(p *optimize.Program) bool { return p.Limits.DesignLoadN > 0 && p.Board.SpanMM > 0 }

// strengthOf rates a layout on its program's own board under the design load; nil without one. The rating takes
// milliseconds, so whole fronts go without.
func strengthOf(p *optimize.Program, l core.Layout) (*core.Strength, error) {
	if !loaded(p) {
		return nil, nil
	}
	b, err := p.Board.Prepare()
	if err != nil {
		return nil, err
	}
	s, err := b.Strength(l, core.Load{N: p.Limits.DesignLoadN, SafetyFactor: safetyFactor(p)})
	return &s, err
}

func safetyFactor(p *optimize.Program) float64 { return cmp.Or(p.Limits.SafetyFactor, 1) }

// loadWords says what strength is rated under.
func loadWords(p *optimize.Program) string {
	return fmt.Sprintf("%s N on the middle of %s mm, safety factor %s", trimmed(p.Limits.DesignLoadN), size(p.Board.SpanMM), trimmed(safetyFactor(p)))
}

// worstWords says where a layout is used most, and what that leaves out.
func worstWords(p *optimize.Program, s *core.Strength) string {
	missing := ""
	if !s.Known {
		missing = clean(s.Why)
	}
	if s.Wood < 0 {
		return "Not rated: " + missing + "."
	}
	words := fmt.Sprintf("Used most: %s in %s, %s %% at %s mm from the tip.", clean(p.Board.Woods[s.Wood].ID), stressKind(core.WoodStrength{Shear: s.Shear}),
		Fixed(s.UtilisationPct, 1), size(s.AtMM))
	if missing != "" {
		words += " As far as known; " + missing + "."
	}
	return words
}

func stressKind(w core.WoodStrength) string {
	kind := "bending"
	if w.Shear {
		kind = "shear"
	}
	if w.Across {
		kind += ", across the grain"
	}
	return kind
}

// strengthColumns are the worst of every wood under the design load.
func strengthColumns(p *optimize.Program, s *core.Strength) []column {
	c := []column{{head: "Wood", left: true}, {head: "Stress in", left: true}, {head: "Stress\nMPa"}, {head: "Strength\nMPa"}, {head: "Used\n%"},
		{head: "At mm\nfrom tip"}}
	for _, w := range s.ByWood {
		for i, cell := range []string{clean(p.Board.Woods[w.Wood].ID), stressKind(w), Fixed(w.StressMPa, 2), known(w.Known, w.StrengthMPa, 1),
			known(w.Known, w.UtilisationPct, 1), size(w.AtMM)} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

// preStrained reports whether a position's strips are glued in under strain.
func preStrained(b *core.Board) bool {
	for _, p := range b.Positions {
		if p.PreStrain != 0 {
			return true
		}
	}
	return false
}

// preStressColumns are what the pre-strained strips lock in at the measuring station.
func preStressColumns(b *core.Board, s core.PreStress) []column {
	c := []column{{head: "Position", left: true}, {head: "Wood", left: true}, {head: "Pre-strain\nper mille"}, {head: "Stress\nmiddle MPa"},
		{head: "Upper\nface MPa"}, {head: "Lower\nface MPa"}}
	for _, r := range s.ByPosition {
		for i, cell := range []string{clean(b.Positions[r.Position].Name), clean(b.Woods[r.Wood].ID), Fixed(1000*r.PreStrain, 2), Fixed(r.StressMPa, 2),
			Fixed(r.TopMPa, 2), Fixed(r.BottomMPa, 2)} {
			c[i].cells = append(c[i].cells, cell)
		}
	}
	return c
}

// camberWords says what pre-strain does to the board's shape.
func camberWords(p *optimize.Program, s core.PreStress) string {
	words := fmt.Sprintf("Tension is positive, locked in at %s mm from the tip before any load; EI stays as it is. Curvature there %s 1/km",
		size(p.Board.MeasureAtMM), Fixed(1000*s.CamberPerM, 2))
	if p.Board.SpanMM > 0 {
		way := "rises"
		if s.CamberMM < 0 {
			way = "sinks"
		}
		words += fmt.Sprintf(" (positive: the middle up); the middle %s by %s mm between supports %s mm apart", way, Fixed(math.Abs(s.CamberMM), 2), size(p.Board.SpanMM))
	}
	return words + "."
}

// holdingPct is the screw holding of a position relative to the reference wood: (G/Gref)².
func holdingPct(p *optimize.Program, pt *optimize.Point, position int) (pct float64, ok bool) {
	ref := p.Limits.HoldingRef.SpecificGravity
	if !ref.Known() || position >= len(pt.Figures.MeanGravity) || math.IsNaN(pt.Figures.MeanGravity[position]) {
		return 0, false
	}
	r := pt.Figures.MeanGravity[position] / ref.Value
	return 100 * r * r, true
}

// holds reports whether there is a reference for screw holding.
func holds(p *optimize.Program) bool { return p.Limits.HoldingRef.SpecificGravity.Known() }

// reckoned says how the figures of a layout come about and where the formulas stand.
func reckoned(p *optimize.Program) []string {
	out := []string{"Stiffness: plane sections about the neutral axis of all layers and strips (the transformed section of any text on the strength of materials)."}
	if p.Board.SpanMM > 0 {
		out = append(out, "Flex: unit-load integral of M·m/EI between the supports; shear is shown apart from it.")
	}
	if loaded(p) {
		out = append(out, "Strength: bending stress E·κ·z at the core's two faces with κ = M/EI, core shear from the shear flow V·ES/EI; "+
			"times the safety factor over the wood's strength (stavewright woods).")
	}
	out = append(out, "Scatter: variance of the sum over strips, each with its wood's own coefficient of variation"+correlationWords(p.Board.Correlation)+".")
	if holds(p) {
		out = append(out, fmt.Sprintf("Screw holding: (mean specific gravity / that of %s)², after Wood Handbook FPL-GTR-282, eq. 8-10.", clean(p.Limits.HoldingRef.ID)))
	}
	return out
}

func correlationWords(rho float64) string {
	if rho == 0 {
		return ", strips independent"
	}
	return ", correlation between strips " + trimmed(rho)
}
