package book

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// A Job is a job book, read. It may be used only when the findings it came with hold no error.
type Job struct {
	File       string
	Models     []Model
	Woods      *species.Table // with the book's own woods and tests, as used at the shop's moisture
	Published  *species.Table // with the book's own woods and tests, as published
	Conditions species.Conditions
	Suppliers  []Supplier
	Stock      []sourcing.StockLine
	Shop       Shop
	listed     []string // ids of the woods of the Woods sheet, in its order
}

// HasPrices tells whether the job has anything to reckon costs by: suppliers or stock.
func (j *Job) HasPrices() bool { return len(j.Suppliers) > 0 || len(j.Stock) > 0 }

// Model is the board of that name; case and runs of space make no difference. The error lists the models there are.
func (j *Job) Model(name string) (*Model, error) {
	names := make([]string, len(j.Models))
	for i := range j.Models {
		if key(j.Models[i].Name) == key(name) {
			return &j.Models[i], nil
		}
		names[i] = fmt.Sprintf("%q", j.Models[i].Name)
	}
	if strings.TrimSpace(name) == "" {
		return nil, fmt.Errorf("no model is given; the models of %s are %s", j.File, strings.Join(names, ", "))
	}
	hint := ""
	bare := make([]string, len(j.Models))
	for i := range j.Models {
		bare[i] = j.Models[i].Name
	}
	if n, ok := nearest(name, bare); ok {
		hint = fmt.Sprintf("did you mean %q? ", n)
	}
	return nil, fmt.Errorf("%s has no model %q; %sits models are %s", j.File, name, hint, strings.Join(names, ", "))
}

// A Model is one board: its geometry, what it must keep, and the core that rides right today.
type Model struct {
	Name             string
	Section          core.Section // pressed when it has layers and nothing else is said
	BlankLengthMM    float64      // unless given, the core's length and 20 mm
	BlankThicknessMM float64      // unless given, the thickest point of the core and 1 mm
	SpanMM           float64      // 0: no flex test
	MeasureAtMM      float64      // unless given, the middle of the core
	Boards           int
	NeededBy         string // 2027-03-15, or empty
	Stations         []core.Station
	Positions        []Position
	Layers           []core.Layer
	Pads             []Pad
	Counts           []Count
	Shares           []Share
	Reference        []Run // in the order of the positions; empty: none
	Windows          []optimize.Window
	Limits           Limits
	factors          []float64 // of the profile, for match; nil: 1 only
	Recipe           string    // models of one recipe get one layout in a season: its name as the first of them has it; empty: none
	row              int       // of the Models sheet
	cols             modelColumns
}

// modelColumns are the columns of a model's cells in the Models sheet; 0 for one that is not there.
type modelColumns struct{ name, boards, neededBy, recipe int }

// A Position is one position of a model with what it demands.
type Position struct {
	core.Position
	Allowed       []string // wood ids; nil: every wood
	MinHardnessN  optimize.Limit
	MinHoldingPct optimize.Limit
	row, col      int // of its woods in the Positions sheet
}

// A Pad is a stretch of a position whose strips are turned across the board.
type Pad struct {
	Position     int // index into Model.Positions
	FromMM, ToMM float64
	Wood         string // id
}

// A Count bounds the strips per side of a wood at a position (−1: in the whole core).
type Count struct {
	Position  int
	Wood      string // id
	Low, High optimize.Limit
}

// A Share bounds the volume share of a wood in the core, %.
type Share struct {
	Wood      string // id
	Low, High optimize.Limit
}

// A Run is a row of equal strips of the reference, from the centre line outward.
type Run struct {
	Position int    // index into Model.Positions
	Wood     string // id
	Strips   int    // per side; on the centre line, of the block
}

// Limits are one model's row of the Limits sheet, with what the row for every model adds to it.
type Limits struct {
	EqualFlexPct      optimize.Limit // match only
	MaxCost           optimize.MoneyLimit
	MaxCoreMassG      optimize.Limit
	MaxWoods          optimize.Limit
	MinStrips         optimize.Limit
	MinFastPct        optimize.Limit
	MinCertPct        optimize.Limit
	MaxScatterPct     optimize.Limit
	FlexLow           optimize.Limit // N/mm
	FlexHigh          optimize.Limit // N/mm
	MaxUtilisationPct optimize.Limit
	DesignLoadN       optimize.Limit
	SafetyFactor      optimize.Limit // 2 unless given
	ProfileFactorLow  optimize.Limit // match only
	ProfileFactorHigh optimize.Limit // match only
	ProfileFactorStep optimize.Limit // match only
}

// A Supplier is one row of the Suppliers sheet.
type Supplier struct {
	Name            string
	PriceFile       string // relative to the book
	Currency        string // of prices that do not say; the job's money unless given
	Certified       bool
	LeadTimeDays    int
	FreightPerOrder decimal.Decimal // in Currency
	FreightPerM3    decimal.Decimal // in Currency
	MinOrderValue   decimal.Decimal // in Currency
	ValidUntil      string          // 2027-03-15, or empty
	Columns         []sourcing.ColumnMeaning
	Row, Col        int // of the price file in the Suppliers sheet, so that a missing file can be placed
}

// Shop is the Shop sheet. Unless given there: the sawing allowances of [sourcing.DefaultShop], 12 % moisture, 10 %
// raise of table moduli (Wood Handbook), 200 g/m² of glue (common practice), fast-grown up to 15 years, quaking aspen as
// 100 % of screw holding, independent strips, no scrap, profiles rounded to 0.001 mm, EUR.
type Shop struct {
	sourcing.Shop
	GlueGM2       float64
	FastUpToYears float64
	HoldingRef    string // wood id
	Correlation   float64
	ScrapPct      float64
	Currency      string
	Rates         sourcing.Rates // job money per unit of a currency
	Budget        optimize.MoneyLimit
	OrderingDay   string // 2027-01-18: the earliest day that the season's orders are placed; empty: not said
	SeasonFastPct optimize.Limit
	SeasonCertPct optimize.Limit
	MaxSuppliers  optimize.Limit // per wood

	MoistureAtMostPct optimize.Limit // of lumber when it is used for the season
	ConditioningDays  optimize.Limit // that moister lumber needs first

	ProfileRoundingMM float64 // of a trimmed profile's thickness
	LeastThicknessMM  float64 // that a trimmed profile may have; 0: the thinnest of the profile
}

// Source is what [sourcing.ReadOffers] needs to know of a supplier.
func (j *Job) Source(s *Supplier) sourcing.Source {
	return sourcing.Source{
		Supplier: s.Name, File: s.PriceFile, Currency: s.Currency, Certified: s.Certified, LeadTimeDays: s.LeadTimeDays,
		Woods: j.Published, Columns: s.Columns,
		HasTerms: !s.MinOrderValue.IsZero() || !s.FreightPerOrder.IsZero() || !s.FreightPerM3.IsZero(),
	}
}
