package core

// Figures are everything computed for one layout on one board.
type Figures struct {
	WoodMassG        float64          // strips (and pads), after outline and profile
	GlueMassG        float64          // between strips
	CoreMassG        float64          // wood and glue
	PressedMassG     float64          // core and layers
	PressedMassKnown bool             // false: a layer has no density, and PressedMassG leaves it out
	VolumeCM3        float64          // of the wood
	WoodVolumeCM3    []float64        // by index into Board.Woods; pads count for the pad's wood
	WoodMassByG      []float64        // by index into Board.Woods
	Measure          SectionFigures   // at the measuring station
	Stations         []SectionFigures // at every station
	Flex             Flex
	Scatter          Scatter
	MeanGravity      []float64 // by position: mean specific gravity of its strips; NaN when one is not known
	PreStress        PreStress
}

// SectionFigures are one cross-section.
type SectionFigures struct {
	FromTipMM, WidthMM, ThicknessMM float64
	CNPerMM                         float64 // Σ E b of the strips
	CoreEINM2                       float64 // bare core
	PressedEINM2                    float64 // with layers
	AxisMM                          float64 // neutral axis of the pressed section above the core's mid-plane
	CoreShare                       float64 // part of the pressed EI that the core carries, 0..1
}

// EINM2 is the stiffness of the section meant.
func (s SectionFigures) EINM2(section Section) float64 {
	if section == Pressed {
		return s.PressedEINM2
	}
	return s.CoreEINM2
}

// Flex is the three-point test on the support span: force per deflection, and the EI of the uniform beam that deflects alike.
// Shear deflection is not in the figures; ShearPct says what it would add to the pressed deflection.
type Flex struct {
	Known                     bool // false: no span given
	CoreNPerMM, PressedNPerMM float64
	CoreEINM2, PressedEINM2   float64 // effective
	ShearPct                  float64
}

// Scatter is the coefficient of variation, in %, that follows from the strips' own variation of modulus.
type Scatter struct {
	Known        bool    // false: a wood has no coefficient of variation
	CPct         float64 // of C at the measuring station
	EIPct        float64 // of EI at the measuring station, of the section the board means
	FlexPct      float64 // of the pressed (or bare) flex, of the section the board means; 0 without a span
	LeftRightPct float64 // standard deviation of C left less C right, relative to C
}
