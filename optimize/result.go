package optimize

import (
	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
)

// A Point is one layout with the figures it was chosen by.
type Point struct {
	ID            int // from 1, in order of mass
	CoreMassG     float64
	EINM2         float64         // at the measuring station, of the section the model means
	Cost          decimal.Decimal // per core; zero without prices
	HasCost       bool
	ProfileFactor float64
	FastGrownPct  float64 // by volume, pads included
	CertifiedPct  float64
	Layout        core.Layout
	Runs          []Run
	Figures       core.Figures // everything else about it
	Knee          bool         // the point farthest from the line between the front's ends
	Cheapest      bool
}

// A Run is a row of equal strips of a position, from the centre line outward.
type Run struct {
	Position string
	Wood     string // id
	PerSide  int
}

// A FrontResult is what [Front] found.
type FrontResult struct {
	Program    *Program
	Objectives []Objective
	Points     []Point // by mass, then EI, then cost
	Complete   bool    // every nondominated point, proven; false: stopped early
	Why        string  // why it is not complete: "interrupted", "time limit"
	Unsearched string  // what was not searched, in words: "EI above 251.30 N·m² was not searched"
	Unproven   bool    // stopped before anything was proven: the one point is a layout that keeps the limits, no more
	Method     Method
	Solves     int         // integer programs; none of an enumeration
	Infeasible *Infeasible // when there is no layout at all
}

// An Objective is one thing a front trades off.
type Objective string

// The objectives.
const (
	Mass  Objective = "mass"  // least core mass
	EI    Objective = "ei"    // greatest EI at the measuring station
	Cost  Objective = "cost"  // least cost of a core
	Share Objective = "share" // greatest share of fast-grown woods in the core's volume
)

// Infeasible says why no layout keeps every limit.
type Infeasible struct {
	Clash       []string     // the limits of a smallest clashing set, in the user's words with their cells
	Relaxations []Relaxation // each alone would help
	Together    []Relaxation // when none helps alone: these together
	Undecided   []string     // limits of which no method at hand can say whether relaxing them helps
}

// A Relaxation is the least change of one limit that, alone or together with others, makes a layout possible.
type Relaxation struct {
	Limit, Where string // "EI at 780 mm at least 265 N·m²", "Targets!C4"
	To           string // "258.31 N·m²"
	Sentence     string // the whole in plain words

	bound int64   // the bound as the form's integer
	level float64 // or, of hardness and scatter, as a figure
}

// A CheckResult is everything about one layout.
type CheckResult struct {
	Program *Program
	Point   Point
	Broken  []string // the limits it breaks, in words with their cells; empty: it keeps them all
}
