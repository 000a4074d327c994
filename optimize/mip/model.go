package mip

// A Model is a linear program with integer variables: least (or greatest) Objective·x subject to rows and bounds.
type Model struct {
	Name     string
	Maximize bool
	Constant float64 // added to the objective
	Columns  []Column
	Rows     []Row
}

// A Column is one variable. An infinite bound is math.Inf.
type Column struct {
	Name      string
	Low, High float64
	Integer   bool
	Objective float64
}

// A Row is Low <= Σ terms <= High; equal bounds make it an equation, an infinite bound opens a side.
type Row struct {
	Name      string
	Low, High float64
	Terms     []Term // one per column at most
}

// A Term is one coefficient of a row.
type Term struct {
	Column      int // index into Model.Columns
	Coefficient float64
}

// Status says what a solve has proven.
type Status int

// The statuses of a solve.
const (
	Unsolved   Status = iota // nothing known
	Optimal                  // X is optimal, proven
	Infeasible               // proven that no X exists
	Unbounded                // proven that the objective has no bound
	Feasible                 // stopped early: X is feasible, Bound is proven
	Stopped                  // stopped early without a solution; Bound may still be proven
)

// An Engine is a solver.
type Engine int

// The engines. GLPK is quick on small models; HiGHS is far stronger on large ones.
const (
	Auto  Engine = iota // GLPK where this build has it, else HiGHS
	GLPK                // by cgo
	HiGHS               // as WebAssembly
)

// Options steer a solve. The zero value is right for a front: GLPK, no cuts, no presolve, gap 0.
type Options struct {
	Engine        Engine
	RelativeGap   float64        // stop when the proven gap is no larger; 0: solve to the end
	NodeLimit     int            // stop after so many nodes of the search tree; 0: no limit
	RelaxIntegers bool           // solve the linear relaxation only
	Progress      func(Progress) // called now and then while solving; may be nil. GLPK calls from another goroutine; HiGHS waits for it

	// Of GLPK.
	Presolve   bool
	MIRCuts    bool
	GomoryCuts bool
	CoverCuts  bool
	CliqueCuts bool
	FeasPump   bool
	Basis      *Basis // start of the root relaxation; nil: GLPK's own. With Presolve it is not used

	// Of HiGHS, which always presolves and chooses its cuts.
	NoPresolve  bool
	WorkLimit   int                                  // stop when HiGHS has read its clock so often: a time limit that is the same on every machine; 0: none
	AbsoluteGap float64                              // stop when |objective − bound| is no larger
	Start       []float64                            // a solution to begin with, by column; NaN where it says nothing, which HiGHS then completes. nil: none
	Improved    func(x []float64, objective float64) // called at each better solution, checked as a Result's, from the goroutine that solves; may be nil
	Better      func(work int) []float64             // asked now and then, from the goroutine that solves, for a better solution that was found elsewhere, every column given; nil when there is none. work is the solve's so far
	Set         map[string]string                    // further options of HiGHS, by the names in its manual; not time_limit
}

// A Basis is where a linear relaxation ended: the state of every row and column. It is data, good for any model of
// the same shape.
type Basis struct {
	RowState, ColumnState []int8
}

// Progress is what a running solve knows.
type Progress struct {
	Nodes, Work  int
	Bound        float64
	Incumbent    float64
	HasIncumbent bool
}

// Result is what a solve found and how far it is proven.
type Result struct {
	Status    Status
	X         []float64 // by column; nil unless Optimal or Feasible
	Objective float64   // of X
	Bound     float64   // proven bound on the objective; ±Inf when nothing is proven
	Dual      []float64 // by row, what a unit more on its bounds adds to the objective; of a linear program or relaxation solved to the end, else nil
	Nodes     int
	Work      int    // how often HiGHS read its clock; 0 with GLPK
	Basis     *Basis // of the root relaxation, when it was solved; with Presolve there is none
	Message   string // the engine's own words, when something was unusual
}

// Gap is |Objective − Bound| relative to |Objective|, 0 when optimal.
func (r Result) Gap() float64 {
	if r.Status == Optimal {
		return 0
	}
	d := r.Objective - r.Bound
	if d < 0 {
		d = -d
	}
	if o := r.Objective; o < 0 {
		return d / -o
	} else if o > 0 {
		return d / o
	}
	return d
}
