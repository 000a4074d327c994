package optimize

import (
	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// A Program is one model's question as data: the board, the woods that may be used and what they cost, the limits.
type Program struct {
	Model      string
	Board      *core.Board
	Candidates []Candidate // in the order of Board.Woods; only woods that may be used somewhere
	LeftOut    []LeftOut   // woods that were considered and cannot be used, and why
	Limits     Limits
	Currency   string      // of every cost; empty when the book names no suppliers and no stock
	Reference  core.Layout // nil: none given
	Resolution Resolution

	MoisturePct   float64 // of the woods as Board has them, of oven-dry mass; 0: not known
	ProfileFactor float64 // that Board has been scaled by ([Program.Scaled]); 0 means 1
}

// Resolution is the step in which a result's objectives are told apart. Zero fields take the defaults 0.01 g,
// 0.01 N·m², 0.01 money, and 0.1 % of fast-grown share. A share counts as the step that it reaches: 42.19 % is 42.1 %.
type Resolution struct{ MassG, EINM2, Money, SharePct float64 }

// A Candidate is a wood the search may use.
type Candidate struct {
	Wood      int   // index into Board.Woods
	FastGrown bool  // its longest usual rotation is known and within the Shop setting
	At        []Use // by position
}

// A Use says whether and at what price a wood may be used at a position.
type Use struct {
	Allowed   bool
	StripCost decimal.Decimal      // of one strip, yield included, in the job's currency; zero when there are no prices
	Price     *sourcing.StripPrice // where StripCost comes from; nil when there are no prices
	Certified bool                 // bought with a chain-of-custody certificate
}

// LeftOut says why a wood is no candidate at a position.
type LeftOut struct {
	Wood     string // id
	Position string // empty: nowhere on this board
	Why      string
}

// A Limit is one bound that the user may or may not have set. Where is the cell it came from ("Limits!F3").
type Limit struct {
	Set   bool
	Value float64
	Where string
}

// Limits are the bounds of a program. The zero value limits nothing.
type Limits struct {
	Windows       []Window
	Counts        []CountLimit
	Shares        []ShareLimit
	Positions     []PositionLimit // by position; nil: none
	MaxCost       MoneyLimit
	MaxCoreMassG  Limit
	MaxWoods      Limit
	MinStrips     Limit // strips per side of a wood, where it is used at all
	MinFastPct    Limit // by volume of the core
	MinCertPct    Limit // by volume of the core
	MaxScatterPct Limit // coefficient of variation of EI at the measuring station
	FlexLow       Limit // N/mm, of the section the board means
	FlexHigh      Limit
	MaxUtilPct    Limit   // of bending strength and core shear under the design load
	DesignLoadN   float64 // in the middle of the support span
	SafetyFactor  float64 // 0: 1
	FastUpToYears float64
	HoldingRef    species.Wood // 100 % of screw holding
}

// A MoneyLimit is a bound in the job's currency.
type MoneyLimit struct {
	Set   bool
	Value decimal.Decimal
	Where string
}

// A Window bounds EI, of the section the model means, at a station.
type Window struct {
	FromTipMM float64
	Low, High Limit // N·m²
}

// A CountLimit bounds the strips per side of a wood at a position (Position −1: over the whole core).
type CountLimit struct {
	Position  int
	Wood      int // index into Board.Woods
	Low, High Limit
}

// A ShareLimit bounds the share of a wood in the volume of the core.
type ShareLimit struct {
	Wood      int   // index into Board.Woods
	Low, High Limit // %
}

// A PositionLimit is what a position demands of its strips.
type PositionLimit struct {
	MinHardnessN  Limit // of every strip; an unknown hardness does not pass
	MinHoldingPct Limit // of the mean specific gravity, relative to Limits.HoldingRef
}
