package optimize

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"stavewright/optimize/core"
	"stavewright/species"
)

// How finely a program is quantised. Steps are what a result is told apart by; forms are finer, so that the sum over the strips
// rounds to the step it should.
const (
	finePerStep  = 10    // mass: 0.001 g when the resolution is 0.01 g
	moneyFine    = 10000 // cost: 0.0001 money, as strip prices are kept
	volumeFine   = 1000  // 0.001 cm³
	gravityFine  = 100000
	widestC      = 1_000_000 // C of a section takes at most about so many units: 7 digits, well inside GLPK's tolerances
	defaultMassG = 0.01
	defaultEI    = 0.01
	defaultMoney = 0.01
	defaultShare = 0.1
)

// A variable counts the strips of one wood in one group.
type variable struct{ group, cand int }

// A form is a program in integers: what every method searches and what every answer is recomputed by.
type form struct {
	p      *Program
	board  *core.Prepared
	res    Resolution
	groups []core.Group
	vars   []variable
	at     [][]int // [group][candidate] → variable, −1 where the wood is not allowed

	mass       []int64 // by variable, of one count, in fine units
	glue       int64   // the mass that no layout changes
	massUnit   float64 // g per fine unit
	shareSteps int64   // in 100 % of fast-grown share
	volume     []int64 // by variable, of one count, without what a pad replaces
	volumeAll  int64   // of the whole core
	padVolume  []int64 // by index into Board.Woods: what pads hold of it, whatever the layout
	priced     bool
	cost       []int64 // by variable, in 1/moneyFine
	moneyRes   decimal.Decimal
	costPer    int64 // fine units of cost per step

	measure *station
	limits  []*limit
	ride    *rideForm // nil when neither flex nor strength is limited
	plain   bool      // models merge no groups into classes
	leftOut []LeftOut // woods of which a limited figure is not known
}

// newForm quantises a program. It is an error when the program contradicts itself; that no layout keeps the limits is not.
func newForm(p *Program) (*form, error) {
	f := &form{p: p, res: p.Resolution}
	for _, r := range []struct {
		v   *float64
		def float64
	}{{&f.res.MassG, defaultMassG}, {&f.res.EINM2, defaultEI}, {&f.res.Money, defaultMoney}, {&f.res.SharePct, defaultShare}} {
		if *r.v == 0 {
			*r.v = r.def
		}
		if !(*r.v > 0) || math.IsInf(*r.v, 0) {
			return nil, fmt.Errorf("a resolution of %v cannot be; give a positive step", *r.v)
		}
	}
	f.massUnit = f.res.MassG / finePerStep
	f.moneyRes = decimal.NewFromFloat(f.res.Money)
	if f.shareSteps = int64(math.Round(100 / f.res.SharePct)); math.Abs(float64(f.shareSteps)*f.res.SharePct-100) > 1e-6 {
		return nil, fmt.Errorf("a resolution of %v %% of share does not divide 100 %%", f.res.SharePct)
	}
	f.costPer = f.moneyRes.Mul(decimal.New(moneyFine, 0)).Round(0).IntPart()
	if f.costPer < 1 {
		return nil, fmt.Errorf("strip prices are kept to 0.0001; a resolution of %v money is finer than that", f.res.Money)
	}
	b := p.Board
	if len(p.Candidates) == 0 {
		return nil, errors.New("no wood may be used anywhere on this board")
	}
	if p.Limits.Positions != nil && len(p.Limits.Positions) != len(b.Positions) {
		return nil, fmt.Errorf("%d positions, but limits for %d", len(b.Positions), len(p.Limits.Positions))
	}

	var err error
	if f.board, err = b.Prepare(); err != nil {
		return nil, err
	}
	f.groups = b.Groups()
	f.padVolume = make([]int64, len(b.Woods))
	for w := range b.Woods {
		f.padVolume[w] = int64(math.Round(b.PadVolumeCM3(w) * volumeFine))
		f.volumeAll += f.padVolume[w]
	}
	f.at = make([][]int, len(f.groups))
	f.priced = p.Currency != ""
	f.glue = int64(math.Round(b.GlueMassG() / f.massUnit))
	for gi, g := range f.groups {
		volume := int64(math.Round(b.StripOwnVolumeCM3(g) * volumeFine))
		f.volumeAll += volume * int64(len(g.Strips))
		f.at[gi] = make([]int, len(p.Candidates))
		for ci, c := range p.Candidates {
			f.at[gi][ci] = -1
			u := c.At[g.Position]
			if !u.Allowed || !f.passable(g, c.Wood) {
				continue
			}
			f.at[gi][ci] = len(f.vars)
			f.vars = append(f.vars, variable{gi, ci})
			f.mass = append(f.mass, int64(math.Round(b.StripMassG(g, c.Wood)/f.massUnit)))
			f.volume = append(f.volume, volume)
			cost := u.StripCost.Mul(decimal.New(int64(g.Pieces)*moneyFine, 0)).Round(0)
			f.cost = append(f.cost, cost.IntPart())
		}
	}
	f.measure = f.stationAt(b.MeasureAtMM)
	if f.measure.at.ThicknessMM <= 0 {
		return nil, fmt.Errorf("the core has no thickness at the measuring station, %s mm", number(b.MeasureAtMM))
	}
	if err := f.addLimits(); err != nil {
		return nil, err
	}
	return f, nil
}

// passable reports whether what is limited of a wood at a position is known: an unknown figure passes no limit. Hardness, which
// may be the limit to give way, is a limit of its own.
func (f *form) passable(g core.Group, wood int) bool {
	lim, w := &f.p.Limits, &f.p.Board.Woods[wood]
	if lim.Positions != nil && lim.Positions[g.Position].MinHoldingPct.Set && !w.SpecificGravity.Known() {
		f.unknown(g.Position, w, "its specific gravity is not known, and screw holding is limited")
		return false
	}
	if lim.MaxUtilPct.Set && (!w.BendingStrengthMPa.Known() || !w.ShearMPa.Known()) && f.rated(g) {
		what := "bending strength"
		if w.BendingStrengthMPa.Known() {
			what = "shear strength"
		}
		f.unknown(g.Position, w, "its "+what+" is not known, and utilisation is limited; give it on the sheet Woods")
		return false
	}
	return true
}

// rated reports whether strength is asked of a strip of the group: where the outline leaves some of it between the supports.
// A pad in its place is not looked at, to the safe side.
func (f *form) rated(g core.Group) bool {
	b := f.p.Board
	from, to := b.MiddleMM()-b.SpanMM/2, b.MiddleMM()+b.SpanMM/2
	widest := max(b.HalfWidthMM(from), b.HalfWidthMM(to))
	for _, s := range b.Stations {
		if s.FromTipMM > from && s.FromTipMM < to {
			widest = max(widest, s.WidthMM/2)
		}
	}
	return widest > b.Strips()[g.Strips[0]].FromMM
}

// told is the program with the woods that the form had to leave out besides.
func (f *form) told() *Program {
	if len(f.leftOut) == 0 {
		return f.p
	}
	p := *f.p
	p.LeftOut = append(slices.Clone(p.LeftOut), f.leftOut...)
	return &p
}

// unknown notes why a wood cannot be used at a position.
func (f *form) unknown(position int, w *species.Wood, why string) {
	l := LeftOut{Wood: w.ID, Position: f.p.Board.Positions[position].Name, Why: why}
	if !slices.Contains(f.leftOut, l) {
		f.leftOut = append(f.leftOut, l)
	}
}

func (f *form) woodOf(v variable) int { return f.p.Candidates[v.cand].Wood }

func (f *form) use(v variable) Use { return f.p.Candidates[v.cand].At[f.groups[v.group].Position] }

// stationAt quantises C at a station.
func (f *form) stationAt(x float64) *station {
	b := f.p.Board
	s := &station{at: b.SectionAt(x, b.Section), res: f.res.EINM2, coef: make([]int64, len(f.vars))}
	exact := make([]float64, len(f.vars))
	most := make([]float64, len(f.groups))
	for i, v := range f.vars {
		exact[i] = b.StripC(f.groups[v.group], f.woodOf(v), x)
		most[v.group] = max(most[v.group], exact[i]*float64(len(f.groups[v.group].Strips)))
	}
	var all float64
	for _, m := range most {
		all += m
	}
	s.unit = niceUnit(all / widestC)
	for i, e := range exact {
		s.coef[i] = int64(math.Round(e / s.unit))
	}
	return s
}

// niceUnit is the least of 1, 2, 5 × 10^k that is not below u; 1 N/mm where there is nothing to measure.
func niceUnit(u float64) float64 {
	if !(u > 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(u)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*p >= u {
			return m * p
		}
	}
	return 10 * p
}

// Steps of the objectives: what a front tells apart. Halves go up, as in print.

func (f *form) massStep(fine int64) int64 { return floorDiv(fine+finePerStep/2, finePerStep) }

// massStepEnd is the greatest mass that still counts as step k.
func (f *form) massStepEnd(k int64) int64 { return k*finePerStep + finePerStep - finePerStep/2 - 1 }

func (f *form) costStep(fine int64) int64 { return floorDiv(fine+f.costPer/2, f.costPer) }

func (f *form) costStepEnd(k int64) int64 { return k*f.costPer + f.costPer - f.costPer/2 - 1 }

// eiLeastC is the least C, in units of the measuring station, that counts as EI step k.
func (f *form) eiLeastC(k int64) int64 { return f.measure.leastC((float64(k) - 0.5) * f.res.EINM2) }

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// counts turns a layout into counts; a wood that is not allowed where it lies is an error.
func (f *form) counts(l core.Layout) ([]int64, error) {
	b := f.p.Board
	if strips := b.Strips(); len(l) != len(strips) {
		return nil, fmt.Errorf("the layout has %d strips a side, the board %d", len(l), len(strips))
	}
	cand := map[int]int{}
	for ci, c := range f.p.Candidates {
		cand[c.Wood] = ci
	}
	n := make([]int64, len(f.vars))
	for gi, g := range f.groups {
		for _, s := range g.Strips {
			if l[s] < 0 || l[s] >= len(b.Woods) {
				return nil, fmt.Errorf("strip %d: there is no wood %d", s+1, l[s])
			}
			ci, ok := cand[l[s]]
			if !ok || f.at[gi][ci] < 0 {
				w, at := b.Woods[l[s]], b.Positions[g.Position].Name
				return nil, &NotAllowedError{Wood: w.CommonName, Position: at, Why: f.told().whyLeftOut(w.ID, at)}
			}
			n[f.at[gi][ci]]++
		}
	}
	return n, nil
}

// A NotAllowedError says that a layout uses a wood where the program does not allow it.
type NotAllowedError struct {
	Wood, Position string
	Why            string // empty: the position does not list it
}

func (e *NotAllowedError) Error() string {
	s := fmt.Sprintf("%s may not be used at %s", e.Wood, e.Position)
	if e.Why != "" {
		s += fmt.Sprintf(" (%s)", e.Why)
	}
	return s
}

// whyLeftOut is why a wood is no candidate at a position, empty where the program does not say.
func (p *Program) whyLeftOut(wood, position string) string {
	for _, o := range p.LeftOut {
		if o.Wood == wood && (o.Position == "" || o.Position == position) {
			return o.Why
		}
	}
	return ""
}

// layout is the canonical layout of counts: inside a group, the wood of the strip before it goes on first and the rest
// follow in the order of the candidates, which gives long runs and the same layout for the same counts.
func (f *form) layout(n []int64) core.Layout {
	l := make(core.Layout, len(f.p.Board.Strips()))
	last := -1
	for gi, g := range f.groups {
		var order []int
		for ci := range f.p.Candidates {
			if v := f.at[gi][ci]; v >= 0 && n[v] > 0 {
				if ci == last {
					order = append([]int{ci}, order...)
				} else {
					order = append(order, ci)
				}
			}
		}
		k := 0
		for _, ci := range order {
			for range n[f.at[gi][ci]] {
				l[g.Strips[k]] = f.p.Candidates[ci].Wood
				k++
			}
			last = ci
		}
	}
	return l
}
