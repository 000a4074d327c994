package species

import (
	"slices"
	"strings"
)

// Status says how far a figure can be trusted.
type Status string

// The statuses a figure can have. The zero value means that the figure is not known.
const (
	Unknown Status = ""
	Read    Status = "read"    // seen in the published source named
	Memory  Status = "memory"  // recalled from the source named, not seen
	Derived Status = "derived" // computed from other figures by the relation named in Source
	Assumed Status = "assumed" // a stated general value standing in for a missing one
	Own     Status = "own"     // the user's: from the job book or from a bending test in it
)

// A Figure is one property of one wood: its value, how far it can be trusted and where it stands.
// The zero Figure is an unknown one; an unknown figure never passes a limit on it.
type Figure struct {
	Value  float64
	Status Status
	Source string
}

// Known reports whether the figure has a value.
func (f Figure) Known() bool { return f.Status != Unknown }

// AtLeast reports whether the figure is known and not below limit.
func (f Figure) AtLeast(limit float64) bool { return f.Known() && f.Value >= limit }

// A Wood is one species as bought. In the table its figures stand as published; [Table.As] gives them as used, at
// the shop's moisture and with table moduli raised to true ones.
type Wood struct {
	ID         string // lower case, words joined by hyphens: "aspen-quaking"
	CommonName string
	LatinName  string

	SpecificGravity    Figure // oven-dry mass over volume at the table's moisture, no unit
	DensityKgM3        Figure // at the table's moisture
	ModulusGPa         Figure // along the grain, from bending
	CrossGrainGPa      Figure // across the grain, as used for wood turned across the board
	BendingStrengthMPa Figure
	CompressionMPa     Figure // parallel to the grain
	ShearMPa           Figure // parallel to the grain
	HardnessN          Figure // side hardness
	ModulusCVPct       Figure // coefficient of variation of the modulus between pieces
	RotationLowYears   Figure // years from planting to harvest, shortest usual
	RotationHighYears  Figure // longest usual

	Growth Growth // how it is grown, where the table's sources know

	NotToConfuse string // what it is not, where trade names mislead
	Notes        string // conflicts between samples, conventions, cautions
}

// Growth says where wood of a species, as traded for cores, usually grows. The zero Growth is not known: most species come from both
// plantations and natural stands, and only the supplier can say.
type Growth struct {
	Stand  Stand
	Status Status
	Source string
}

// A Stand is a way of growing.
type Stand string

// The ways of growing. Bamboo, a grass, is neither of the others.
const (
	Plantation   Stand = "plantation"
	NaturalStand Stand = "natural stand"
	Bamboo       Stand = "bamboo"
)

// Known reports whether the way of growing is known.
func (g Growth) Known() bool { return g.Status != Unknown }

// FastGrown reports whether the wood's longest usual rotation is within upToYears. When the rotation is not known,
// known is false, and the wood must not be counted as fast-grown.
func (w Wood) FastGrown(upToYears float64) (fast, known bool) {
	if !w.RotationHighYears.Known() {
		return false, false
	}
	return w.RotationHighYears.Value <= upToYears, true
}

// Missing names the figures without which no core of this wood can be weighed or bent: density and modulus. A wood of the
// table misses none; a wood the user adds may.
func (w Wood) Missing() []string {
	var missing []string
	if !w.DensityKgM3.Known() {
		missing = append(missing, "density")
	}
	if !w.ModulusGPa.Known() {
		missing = append(missing, "modulus")
	}
	return missing
}

// Provenance sums up where the wood's main figures (density, modulus, bending strength, hardness, rotation) stand: their
// sources, each once, and the status of the least trustworthy of them.
func (w Wood) Provenance() (source string, status Status) {
	var sources []string
	for _, f := range []Figure{w.DensityKgM3, w.ModulusGPa, w.BendingStrengthMPa, w.HardnessN, w.RotationLowYears,
		w.RotationHighYears} {
		if !f.Known() {
			continue
		}
		if !slices.Contains(sources, f.Source) {
			sources = append(sources, f.Source)
		}
		status = lessTrusted(status, f.Status)
	}
	return strings.Join(sources, "; "), status
}

// trust orders the statuses from the most to the least trustworthy. The user's own figures come first: the user answers
// for them.
var trust = []Status{Unknown, Own, Read, Derived, Memory, Assumed}

func lessTrusted(a, b Status) Status {
	if slices.Index(trust, a) > slices.Index(trust, b) {
		return a
	}
	return b
}
