package optimize

// A Goal is what a match looks for.
type Goal string

// The goals of a match.
const (
	Lighter Goal = "lighter" // least core mass at equal flex
	Stiffer Goal = "stiffer" // greatest EI at the measuring station at no more mass
	Cheaper Goal = "cheaper" // least cost at equal flex
)

// Match asks for another layout than the reference: the same ride from other woods.
type MatchOptions struct {
	Goal       Goal                    // empty: Lighter
	WithinPct  float64                 // how far EI may be from the reference's at every target station; 0: 2 %
	Stations   []float64               // target stations, mm from the tip; nil: every station between the supports
	Factors    []float64               // profile factors to search; nil: 1 only
	RoundingMM float64                 // of the trimmed thickness; 0: 0.001 mm
	LeastMM    float64                 // thinnest the trimmed profile may be; 0: the thinnest of the board's profile
	NoSwaps    bool                    // leave the swap advice out
	Progress   func(done, factors int) // may be nil
	Method     Method
	solver     solver // nil: GLPK
}

// A MatchResult is what [Match] found.
type MatchResult struct {
	Program    *Program // of the reference: profile factor 1
	Options    MatchOptions
	Reference  Point
	Best       *Point         // nil: nothing inside the window; with its own ProfileFactor
	Trimmed    *Point         // Best with its profile trimmed to the reference's EI station by station; nil for Stiffer
	Board      *TrimmedBoard  // of Trimmed
	Windows    []Window       // EI around the reference, at the target stations
	ByFactor   []FactorResult // in the order of Options.Factors
	Swaps      []Swap
	Broken     []string // limits that the reference itself breaks, in words with their cells
	Proven     bool
	Why        string // why it is not proven: "interrupted", "time limit"
	Infeasible *Infeasible
}

// A FactorResult is the best layout at one profile factor.
type FactorResult struct {
	Factor float64
	Best   *Point // nil: nothing inside the window
}

// A TrimmedBoard says what trimming did to the profile.
type TrimmedBoard struct {
	Program  *Program // with the trimmed profile
	Stations []TrimmedStation
}

// A TrimmedStation is one row of the profile to mill.
type TrimmedStation struct {
	FromTipMM             float64
	ReferenceMM, ScaledMM float64 // thickness of the reference's profile, and of Best's
	TrimmedMM             float64 // rounded
	TargetNM2, EINM2      float64 // the reference's EI, and what the trimmed profile gives
	AtLeastThickness      bool    // held at the least thickness: EI is above the target
}

// A Swap is what replaces one wood of Best if it cannot be had.
type Swap struct {
	Wood  string // id
	Point *Point // the best without it, by the same goal and window; nil: nothing
	Why   string // when nothing: what clashes, in a sentence
}
