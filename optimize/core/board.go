package core

import "stavewright/species"

// A Section says which cross-section a figure means.
type Section string

// The two sections: the bare core, or the core pressed with its layers.
const (
	Bare    Section = "core"
	Pressed Section = "pressed"
)

// A Station gives the core at a distance from the tip. Between stations width and thickness are linear.
type Station struct{ FromTipMM, WidthMM, ThicknessMM float64 }

// A Position is a named place across the half width, from the centre line outward, holding equal strips.
type Position struct {
	Name         string
	Strips       int // per side; on the centre line, the strips of the block that straddles it
	StripWidthMM float64
	OnCentreLine bool    // only the first position can be
	PreStrain    float64 // of its strips when glued in, tension positive, no unit; pads hold none
}

// Place is where a layer lies.
type Place string

// The places of a layer.
const (
	Above  Place = "above"
	Below  Place = "below"
	Beside Place = "beside"
)

// A Layer is anything pressed with the core: skin, reinforcement, base, top layer, veneer, side wall, edge.
type Layer struct {
	Name         string
	Place        Place
	Order        int     // 1 is next to the core; layers of one order lie side by side
	ModulusGPa   float64 // along the board
	ShearGPa     float64 // shear modulus, for the shear deflection only; 0: modulus/2.6, an isotropic material of Poisson's ratio 0.3
	ThicknessMM  float64 // 0 beside: as thick as the core
	WidthMM      float64 // both sides together above and below, per side beside; 0 above and below: full width
	CoreOnly     bool    // full width: spans the core alone, not what stands beside it (a veneer of the blank)
	LetInMM      float64 // how far it is let into what lies under it, towards the core (a steel edge flush with the base)
	DensityKgM3  float64 // 0: not known, and then the pressed mass leaves it out
	FromMM, ToMM float64 // from the tip; both 0: the whole length
}

// A Pad is a stretch over which the strips of one position are of wood turned across the board.
type Pad struct {
	Position     int // index into Board.Positions
	FromMM, ToMM float64
	Wood         int // index into Board.Woods; its cross-grain modulus counts
}

// A Board is everything about a model but the choice of woods.
type Board struct {
	Name        string
	Section     Section // what EI means where nothing else is said
	Stations    []Station
	Positions   []Position
	Layers      []Layer
	Pads        []Pad
	Woods       []species.Wood // as used; layouts refer to them by index
	SpanMM      float64        // support span of the flex test, centred on the middle of the core; 0: none
	MeasureAtMM float64        // the measuring station
	GlueGM2     float64        // glue spread, g/m², once per joint
	Correlation float64        // between the strips' moduli, 0..1
}

// A Layout is the wood of every strip from the centre line outward, as indices into Board.Woods: one entry per strip
// of one side, in the order of [Board.Strips].
type Layout []int

// A Strip is one lamination of one side (or on the centre line) before the outline is cut.
type Strip struct {
	Position int
	FromMM   float64 // a: inner face from the centre line; a strip that straddles the centre line starts at 0
	ToMM     float64 // b: outer face from the centre line
	Pieces   int     // physical strips this stands for: 2 for a mirrored pair, 1 for the one on the centre line
	PerSide  int     // what it counts in "strips per side" of its position: 1, or 2 for a pair of a centre-line block
}

// A Group is the set of strips of one position whose present width agrees everywhere. Only the number of strips of each wood
// in a group matters.
type Group struct {
	Position int
	Strips   []int // indices into Board.Strips, from the centre line outward
	PerSide  int   // of each of its strips
	Pieces   int   // of each of its strips
}
