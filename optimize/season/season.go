package season

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// A Season is purchasing's question as data: the boards to build, the kinds of strip they may be made of, and where planks for
// those strips can be had. Everything that needs a calendar or an exchange rate has been settled before: a lot that comes too late
// for a kind of strip has no yield for it, and all money is the job's.
//
// Quantities are whole numbers: strips, steps of a lot, billionths of a plank. So a plan is feasible or not, without a tolerance.
type Season struct {
	Currency    string
	Models      []Model
	Kinds       []StripKind
	Lots        []Lot
	Suppliers   []Supplier
	Limits      Limits
	OrderingDay string       // 2027-01-18, the earliest day orders are placed; empty: not known, and neither lead times nor the validity of prices were looked at
	LeftOut     []LeftOutLot // what was considered and is in no lot, or gives less than it could; for show
}

// A LeftOutLot is an offer or a line of stock that a season cannot use, or for some kinds of strip only, and why.
type LeftOutLot struct {
	Offer *sourcing.Offer
	Stock bool
	Part  bool // it is a lot all the same: Why speaks of some strips only
	Why   string
}

// A Model is one model's part of a season.
type Model struct {
	Program *optimize.Program // the board with its candidates and limits; its Reference is the layout that keeping keeps, unless Kept is set
	Build   int               // boards to build, those expected to be scrapped included
	Sold    int               // of them
	Kept    core.Layout       // chosen before; nil: the reference
	Recipe  string            // models with the same recipe get the same layout; empty: none
	Ride    string            // what holds its ride where the book has no targets for it, for show; empty: its targets
	Kind    [][]int           // [position][index into Program.Candidates] → index into Season.Kinds; −1 where the wood is not allowed or no lot gives its strips
}

// A StripKind is a strip as the saw sees it: wood, size, and the day it is needed. Models share a kind when all of these agree.
type StripKind struct {
	Wood        string // species id
	WidthMM     float64
	ThicknessMM float64 // of the blank
	LengthMM    float64 // of the blank
	NeededBy    string  // 2027-03-15, or empty
	FastGrown   bool
	VolumeMM3   int64 // of one strip as cut
}

// PlankParts is what a plank counts for in a season: a billion parts.
const PlankParts = 1_000_000_000

// A Lot is one offer, or one line of yard stock, as a season can buy it: a whole number of steps, a step being a pack, or one plank
// where there is no pack.
//
// A plank's strips are an average over the lot (see [sourcing.Yield]), and its lanes and lengths may go to different kinds of strip. So the strips cut
// from a lot, each with the parts of a plank that it uses, must together fit into the planks bought.
type Lot struct {
	Offer        *sourcing.Offer // of stock: the line as an offer of pieces
	Stock        bool
	Supplier     int             // index into Season.Suppliers; −1 for stock
	Certified    bool            // stock never is
	StepQuantity decimal.Decimal // in the offer's unit
	StepParts    int64           // parts of a plank in a step; PlankParts where a step is one plank
	StepM3       decimal.Decimal
	MinSteps     int             // if any are bought
	MaxSteps     int             // what is available, or more than the season could use
	Tiers        []Tier          // rising; the first from 1
	StepFreight  decimal.Decimal // per step, by volume, in the job's money
	Uses         []KindUse       // the kinds it can give, by rising kind
	ReadyBy      string          // the day its planks are there when they are ordered on Season.OrderingDay; empty: not known
	UsableFrom   string          // the day its planks are dry enough to use; equals ReadyBy unless it needs conditioning; empty: not known
	Conditioning int             // days from ReadyBy to UsableFrom, known even where those are not; 0: dry enough as it comes
	ValidUntil   string          // the last day to order at its price; empty: not known
}

// A Tier is what steps cost from a number of them on: Base + n × Each for n steps, in the job's money. With all-units breaks Base is zero.
type Tier struct {
	From       int
	Base, Each decimal.Decimal
}

// A KindUse says how many parts of a plank one strip of a kind takes: PlankParts over the strips a plank gives, rounded down.
type KindUse struct {
	Kind   int
	Parts  int64
	Strips decimal.Decimal // that a plank gives, to the fourth decimal; for show
	Steps  []string        // how that was reckoned; for show
}

// A Supplier is what a supplier asks per order, in the job's money. A supplier gets one order a season.
type Supplier struct {
	Name     string
	Currency string          // the supplier's own
	Rate     decimal.Decimal // job money per unit of it
	Freight  decimal.Decimal // per order
	MinOrder decimal.Decimal // value of the goods, without freight, if anything is ordered
}

// Limits bound the whole season. Shares are of the volume of all strips cut.
type Limits struct {
	Budget       optimize.MoneyLimit // goods, freight and stock used
	MinFastPct   optimize.Limit      // strips of fast-grown woods
	MinCertPct   optimize.Limit      // strips cut from certified lots
	MaxSuppliers optimize.Limit      // per wood; stock does not count
}

// A Mode says what is free.
type Mode string

// The ways of running a season.
const (
	Joint Mode = "joint" // layouts and orders decided together
	Keep  Mode = "keep"  // every model keeps its Kept layout, or its reference
	First Mode = "first" // every model takes the layout whose strips are cheapest by themselves (the cheapest usable offer for each), then the orders are decided
)

// DefaultGapPct is how near to its bound a plan is for most purposes done: a season of 20 000 is within 10 of the least.
const DefaultGapPct = 0.05

// Options steer [Solve]. The zero value decides layouts and orders together and asks for a full proof.
type Options struct {
	Mode     Mode
	GapPct   float64         // a plan is done when no plan is cheaper by more than so many percent of its cost
	Starts   []*Plan         // plans of this season, or of one with the same models and lots; used as far as they are plans of this one
	Bound    decimal.Decimal // what no plan of this season can cost less than, where that is known; else zero
	Progress func(Progress)  // called now and then, from one goroutine at a time; may be nil

	undiagnosed bool // a season without a plan is errInfeasible, and not looked into
	sideBySide  bool // both searches run, however small the program; for tests
}

// Progress is what a running search knows.
type Progress struct {
	Phase       string          // which of the questions of [Ask] is searched, in words
	Cost, Bound decimal.Decimal // of the best plan; what no plan costs less than, zero: not known
	HasCost     bool
}

// A Plan is what to build of what, and what to buy.
type Plan struct {
	Season  *Season
	Mode    Mode
	Proven  bool             // Cost is least
	Done    bool             // Proven, or as near to Bound as was asked
	Why     string           // why it is not done: "interrupted", "time limit"
	Cost    decimal.Decimal  // the sum of every line and freight, each to the cent
	Bound   decimal.Decimal  // proven: no plan costs less; not above Cost
	Exact   decimal.Decimal  // the cost before lines are rounded to the cent, which is what is minimised
	Layouts []core.Layout    // by model
	Points  []optimize.Point // by model: the same with its figures; cost (of one board) and shares are those of its [Part]
	Lines   []Line           // what is bought and what is taken from stock, in the order of Season.Lots
	Orders  []Order          // by supplier, those that get an order
}

// A Line is what is bought of one lot and what is cut from it.
type Line struct {
	Lot       int // index into Season.Lots
	Steps     int
	Quantity  decimal.Decimal // in the offer's unit
	Goods     decimal.Decimal // in the job's money, to the cent
	Freight   decimal.Decimal // by volume, in the job's money, to the cent
	Cuts      []Cut           // by kind
	LeftParts int64           // parts of planks that nothing is cut from
}

// A Cut is how many strips of a kind are cut from a line's planks.
type Cut struct{ Kind, Strips int }

// A Order is what one supplier gets.
type Order struct {
	Supplier int             // index into Season.Suppliers
	Goods    decimal.Decimal // of its lines
	Freight  decimal.Decimal // fixed, and by volume
	Total    decimal.Decimal
}

// GapPct is how far above the bound the cost may be, in % of the cost; 0 when proven.
func (p *Plan) GapPct() float64 {
	if p.Proven || p.Cost.IsZero() {
		return 0
	}
	return 100 * p.Cost.Sub(p.Bound).Div(p.Cost).InexactFloat64()
}

// A Shortage is an error: no plan keeps every limit of the season. It says what is short, by how much, and what would help.
type Shortage struct {
	Lacks    []Lack
	Remedies []string // each a sentence; the cheapest first
}

// A Lack is one thing that is short.
type Lack struct {
	What  string // "wood", "money", "share", "minimum", "layout"
	Wood  string // id, where it is one
	Model string // where it is one
	By    string // by how much, with its unit
	Money Range  // of money: the same as a figure
	Says  string // the whole in a sentence
}

func (s *Shortage) Error() string {
	says := make([]string, len(s.Lacks))
	for i, l := range s.Lacks {
		says[i] = l.Says
	}
	return "no plan for this season: " + strings.Join(says, "; ")
}

// StripsPerBoard are the strips of each kind in one board of a model with a layout, by kind: both sides counted, those on the centre line once.
func (s *Season) StripsPerBoard(model int, l core.Layout) (map[int]int, error) {
	m := &s.Models[model]
	cand := map[int]int{}
	for i, c := range m.Program.Candidates {
		cand[c.Wood] = i
	}
	out := map[int]int{}
	for i, strip := range m.Program.Board.Strips() {
		c, ok := cand[l[i]]
		if !ok || m.Kind[strip.Position][c] < 0 {
			return nil, fmt.Errorf("model %q: no lot gives strips of %s at position %q", m.Program.Model, m.Program.Board.Woods[l[i]].ID, m.Program.Board.Positions[strip.Position].Name)
		}
		out[m.Kind[strip.Position][c]] += strip.Pieces
	}
	return out, nil
}
