package core

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Load is the design load: a force in the middle of the support span, pressing the board down between its supports.
type Load struct {
	N            float64
	SafetyFactor float64 // on every stress; 0: 1
}

// Strength says how far a layout's woods are used under a design load, from no load to all of it, between the supports.
// The section is the one the board means: pressed, or the bare core.
//
// Bending stress E κ (z − z_n) at the core's two faces, with what pre-strained strips lock in, stands against the wood's
// bending strength; core shear against its shear strength along the grain. A wood turned across the board is not rated,
// and leaves Known as it is: it bears next to nothing along the board, and no strength across the grain is at hand. Its
// stress is given all the same.
type Strength struct {
	Known          bool    // every strength that counts is known; a limit is kept only then
	Why            string  // when not: no span, no load, or which strengths are not known
	UtilisationPct float64 // the largest of what is known: stress × safety factor / strength
	Wood           int     // where that is: an index into Board.Woods, −1 when nothing is rated
	AtMM           float64 // from the tip
	Shear          bool    // it is the shear, not the bending stress
	ByWood         []WoodStrength
}

// A WoodStrength is the worst of one wood in bending or in shear. The rows of [Strength] stand in the order of
// Board.Woods, bending before shear; woods turned across the board come last.
type WoodStrength struct {
	Wood           int
	Shear          bool
	Across         bool    // turned across the board (a pad); never rated
	StressMPa      float64 // in size, without the safety factor
	StrengthMPa    float64 // 0 when not known
	UtilisationPct float64 // 0 when not known
	AtMM           float64 // from the tip
	Side           Side    // of AtMM, where the section jumps there
	Known          bool    // the strength is
}

// A StationStress is one cross-section under the design load.
type StationStress struct {
	FromTipMM     float64
	MomentNM      float64
	CurvaturePerM float64 // M/EI, positive: sagging, compression above
	AxisMM        float64 // neutral axis above the core's mid-plane
	FlowNPerMM    float64 // shear flow at the place of the core that is nearest to the neutral axis
	MeanShearMPa  float64 // the flow over the width, where that is largest in the core
	Strips        []StripStress
}

// A StripStress is the stress of the strips of one wood, along or across, with one pre-strain.
type StripStress struct {
	Wood              int
	Across            bool
	PreStrain         float64
	TopMPa, BottomMPa float64 // at the core's faces, tension positive, with what is locked in
	ShearMPa          float64 // the larger of the mean and, by equal shear strain, the strip's own
}

// A stretch is a piece of the support span, with its ends as limits from within.
type stretch struct {
	piece
	points []crossing // from end to end
}

// A kind is what tells strips apart under stress.
type kind struct {
	wood   int
	across bool
	strain float64 // pre-strain
}

func (b *Board) modulus(k kind) float64 {
	if k.across {
		return b.Woods[k.wood].CrossGrainGPa.Value * mpaPerGPa
	}
	return b.Woods[k.wood].ModulusGPa.Value * mpaPerGPa
}

// kinds are those that the layout has in a cross-section, in the order of the strips. A pad holds no pre-strain: its
// wood is set in with the strips cut.
func (p *Prepared) kinds(l Layout, x *crossing) []kind {
	var ks []kind
	for i, s := range p.strips {
		if s.present(x.halfWidth) == 0 {
			continue
		}
		k := kind{wood: l[i], strain: p.board.Positions[s.Position].PreStrain}
		if n := slices.IndexFunc(x.turned, func(t turned) bool { return t.strip == i }); n >= 0 {
			k = kind{wood: p.board.Pads[x.turned[n].pad].Wood, across: true}
		}
		if !slices.Contains(ks, k) {
			ks = append(ks, k)
		}
	}
	return ks
}

// A bent cross-section stays plane: its strain is shrink − (M/EI + curl)(z − axis), tension positive.
type bent struct {
	c, axis, ei  float64 // N/mm, mm, N·mm²
	shrink, curl float64 // by what is locked in; curl is 1/mm, positive: sagging
}

// bend is the cross-section of the board's section. Strips with pre-strains P pull it together by −Σ E A P/(A0 + C t) and,
// off the neutral axis, bend it by −Σ E A P z_n/EI (mechanics of free strains ε = −P about the neutral axis).
func (p *Prepared) bend(x *crossing, moduli []float64) bent {
	k, c := x.section(p.board.Section), x.c(moduli)
	s := bent{c: c, axis: k.AxisMM(c), ei: k.EI(c) / nm2PerNMM2}
	if p.strained {
		var pull float64 // N
		for i, width := range x.free {
			pull += moduli[i] * width * x.thickness * p.board.Positions[p.strips[i].Position].PreStrain
		}
		s.shrink, s.curl = -pull/(k.A0N+c*x.thickness), -pull*s.axis/s.ei
	}
	return s
}

func (s bent) strain(z, moment float64) float64 { return s.shrink - (moment/s.ei+s.curl)*(z-s.axis) }

// worst is the largest stress in size at a face, MPa, of a strip of that modulus with that pre-strain, while the moment
// grows from 0.
func (s bent) worst(thickness, moment, modulus, strain float64) float64 {
	var most float64
	for _, z := range [2]float64{thickness / 2, -thickness / 2} {
		most = max(most, math.Abs(s.strain(z, 0)+strain), math.Abs(s.strain(z, moment)+strain))
	}
	return modulus * most
}

// shear is by the shear flow q = V ES/EI, per unit of shear force: the flow at the place of the core nearest to the
// neutral axis, 1/mm; where they are largest in the core, the flow over the width, 1/mm², and over Σ G b, 1/N.
func (p *Prepared) shear(x *crossing, s bent) (flow, mean, strain float64) {
	ss := x.slabs
	if p.board.Section == Bare {
		ss = []slab{{low: -x.thickness / 2, high: x.thickness / 2, core: true}}
	}
	nearest := math.Inf(1)
	var above float64 // ES at the slab's top
	for _, b := range ss {
		e := b.modulus
		if b.core {
			e += s.c
		}
		// Within a slab the flow has its largest value where it is nearest to the axis.
		z, d := b.high-s.axis, b.high-b.low
		if u := min(max(z, 0), d); b.core {
			q := math.Abs(above+e*(z*u-u*u/2)) / s.ei
			if off := math.Abs(z - u); off < nearest {
				nearest, flow = off, q
			}
			mean, strain = max(mean, q/(b.width+2*x.halfWidth)), max(strain, q/(b.shear+s.c*woodShear))
		}
		above += e * (z*d - d*d/2)
	}
	return flow, mean, strain
}

// rating rates a wood, in bending or shear, along or across, as an index into the rows of a Strength under way.
func (p *Prepared) rating(k kind, shear bool) int {
	n := 2 * k.wood
	if shear {
		n++
	}
	if k.across {
		n += 2 * len(p.board.Woods)
	}
	return n
}

// stresses visits the stress in size of each kind under the load, MPa, by its rating.
func (p *Prepared) stresses(x *crossing, kinds []kind, moduli []float64, n float64, visit func(rating int, mpa float64)) {
	s := p.bend(x, moduli)
	_, mean, strain := p.shear(x, s)
	for _, k := range kinds {
		e := p.board.modulus(k)
		visit(p.rating(k, false), s.worst(x.thickness, n*x.arm, e, k.strain))
		visit(p.rating(k, true), n/2*max(mean, strain*e*woodShear))
	}
}

// sameStress is what two stresses may differ by and be one. Mirrored halves have the same worst place twice; the first
// from the tip stands, whatever the last digits are.
const sameStress = 1e-9

// Strength rates the layout under the load. An unusable layout, as in [Prepared.Evaluate], and a load or safety factor
// that is none are errors; no span or no load is an answer that is not Known.
func (p *Prepared) Strength(l Layout, load Load) (Strength, error) {
	moduli, factor, err := p.loaded(l, load)
	if err != nil {
		return Strength{}, err
	}
	out := Strength{Wood: -1}
	switch {
	case p.spanMM == 0:
		out.Why = "no support span is given"
		return out, nil
	case load.N == 0:
		out.Why = "no design load is given"
		return out, nil
	}
	rows := p.worstPlaces(l, moduli, load.N)
	out.Known = true
	var missing []string
	for i, r := range rows {
		if r.StressMPa == 0 {
			continue // not there
		}
		n := len(p.board.Woods)
		r.Wood, r.Shear, r.Across = i/2%n, i%2 == 1, i >= 2*n
		w := p.board.Woods[r.Wood]
		strength, what := w.BendingStrengthMPa, "bending"
		if r.Shear {
			strength, what = w.ShearMPa, "shear"
		}
		switch {
		case r.Across:
		case usable(strength):
			r.Known, r.StrengthMPa = true, strength.Value
			r.UtilisationPct = 100 * factor * r.StressMPa / strength.Value
			if out.Wood < 0 || r.UtilisationPct > out.UtilisationPct {
				out.UtilisationPct, out.Wood, out.AtMM, out.Shear = r.UtilisationPct, r.Wood, r.AtMM, r.Shear
			}
		default:
			missing = append(missing, fmt.Sprintf("the %s strength of %s", what, nameOf(w)))
		}
		out.ByWood = append(out.ByWood, r)
	}
	if len(missing) > 0 {
		out.Known, out.Why = false, "not known: "+strings.Join(missing, ", ")
	}
	return out, nil
}

// worstPlaces are stress and place by rating, with no stress where nothing is rated.
//
// Within a stretch a stress is smooth, so its worst place lies between the neighbours of the worst point. That is sought
// only in the stretches which, by the parabola through the three points, can hold the worst place of the board.
func (p *Prepared) worstPlaces(l Layout, moduli []float64, n float64) []WoodStrength {
	type candidate struct {
		stretch  *stretch
		kinds    []kind
		rating   int
		at       int // the worst point
		estimate float64
		inside   bool // the peak is no point
	}
	var found []candidate
	most := make([]float64, 4*len(p.board.Woods)) // by rating
	for i := range p.stretches {
		s := &p.stretches[i]
		kinds := p.kinds(l, &s.points[len(s.points)/2]) // an end may cut a strip to nothing
		at := make([][]float64, len(most))              // by rating and point
		for i := range s.points {
			p.stresses(&s.points[i], kinds, moduli, n, func(rating int, mpa float64) {
				if at[rating] == nil {
					at[rating] = make([]float64, len(s.points))
				}
				at[rating][i] = max(at[rating][i], mpa)
			})
		}
		for rating, mpa := range at {
			if mpa == nil {
				continue
			}
			c := candidate{stretch: s, kinds: kinds, rating: rating}
			for i, v := range mpa {
				if v > mpa[c.at]*(1+sameStress) {
					c.at = i
				}
			}
			c.estimate, c.inside = s.vertex(mpa, c.at)
			most[rating] = max(most[rating], c.estimate)
			found = append(found, c)
		}
	}
	rows := make([]WoodStrength, len(most))
	for _, c := range found {
		if c.estimate < most[c.rating]*(1-parabolaOff) {
			continue
		}
		worst := func(x *crossing) (mpa float64) {
			p.stresses(x, c.kinds, moduli, n, func(rating int, v float64) {
				if rating == c.rating {
					mpa = max(mpa, v)
				}
			})
			return mpa
		}
		points, last := c.stretch.points, len(c.stretch.points)-1
		place := WoodStrength{AtMM: points[c.at].x, StressMPa: worst(&points[c.at])}
		switch c.at {
		case 0:
			place.Side = FromTail
		case last:
			place.Side = FromTip
		}
		if c.inside {
			x, mpa := peak(points[max(c.at-1, 0)].x, points[min(c.at+1, last)].x, func(x float64) float64 {
				at := p.loadedCrossing(x, c.stretch.piece)
				return worst(&at)
			})
			if mpa > place.StressMPa*(1+sameStress) {
				place = WoodStrength{AtMM: x, StressMPa: mpa}
			}
		}
		if place.StressMPa > rows[c.rating].StressMPa*(1+sameStress) {
			rows[c.rating] = place
		}
	}
	return rows
}

// parabolaOff is far above what a parabola through neighbouring points of a stretch is off at its vertex.
const parabolaOff = 1e-3

// vertex is the height of the parabola through the largest value and its neighbours at the points, and whether its vertex
// lies between them. At an end, where it does not, the end is the peak.
func (s *stretch) vertex(values []float64, largest int) (height float64, inside bool) {
	i := min(max(largest, 1), len(values)-2)
	x := func(k int) float64 { return s.points[k].x - s.points[largest].x }
	first := (values[i] - values[i-1]) / (x(i) - x(i-1))
	second := ((values[i+1]-values[i])/(x(i+1)-x(i)) - first) / (x(i+1) - x(i-1))
	if second >= 0 {
		return values[largest], false
	}
	at := (x(i)+x(i-1))/2 - first/(2*second)
	if at <= x(max(largest-1, 0)) || at >= x(min(largest+1, len(values)-1)) {
		return values[largest], false
	}
	return values[largest] - second*at*at, true // the largest value lies at −at from the vertex
}

// peak is where f is largest between two places, and what it is there, by golden sections.
func peak(from, to float64, f func(float64) float64) (x, most float64) {
	const golden = 0.6180339887498949
	a, b := to-golden*(to-from), from+golden*(to-from)
	fa, fb := f(a), f(b)
	for range 40 { // to 4·10⁻⁹ of the distance, where f is flat to the last digit
		if fa >= fb {
			to, b, fb = b, a, fa
			a = to - golden*(to-from)
			fa = f(a)
		} else {
			from, a, fa = a, b, fb
			b = from + golden*(to-from)
			fb = f(b)
		}
	}
	return a, fa
}

// Stresses are the cross-sections at the stations between the supports and under the load, from tip to tail. At a layer's
// or pad's very end that counts. Errors are those of [Prepared.Strength]; without a span there are none.
func (p *Prepared) Stresses(l Layout, load Load) ([]StationStress, error) {
	moduli, _, err := p.loaded(l, load)
	if err != nil {
		return nil, err
	}
	var out []StationStress
	for i := range p.loadedAt {
		x := &p.loadedAt[i]
		s := p.bend(x, moduli)
		flow, mean, strain := p.shear(x, s)
		v, moment := load.N/2, load.N*x.arm
		st := StationStress{
			FromTipMM: x.x, MomentNM: moment / mmPerM, CurvaturePerM: moment / s.ei * mmPerM, AxisMM: s.axis,
			FlowNPerMM: v * flow, MeanShearMPa: v * mean,
		}
		for _, k := range p.kinds(l, x) {
			e := p.board.modulus(k)
			st.Strips = append(st.Strips, StripStress{
				Wood: k.wood, Across: k.across, PreStrain: k.strain,
				TopMPa:    e * (s.strain(x.thickness/2, moment) + k.strain),
				BottomMPa: e * (s.strain(-x.thickness/2, moment) + k.strain),
				ShearMPa:  v * max(mean, strain*e*woodShear),
			})
		}
		out = append(out, st)
	}
	return out, nil
}

// loaded checks layout and load.
func (p *Prepared) loaded(l Layout, load Load) (moduli []float64, factor float64, err error) {
	if err := p.board.fits(l, len(p.strips)); err != nil {
		return nil, 0, err
	}
	if why := wrongOr0(load.N); why != "" {
		return nil, 0, fmt.Errorf("the design load is %s N; it %s", num(load.N), why)
	}
	factor = load.SafetyFactor
	if why := wrongOr0(factor); why != "" {
		return nil, 0, fmt.Errorf("the safety factor is %s; it %s", num(factor), why)
	}
	if factor == 0 {
		factor = 1
	}
	return p.moduli(l), factor, nil
}

// loadedCrossing is the cross-section at x, at the ends of the piece as seen from within, with the arm of the load there.
func (p *Prepared) loadedCrossing(x float64, within piece) crossing {
	c := p.board.crossingWithin(p.strips, x, within)
	middle := p.board.MiddleMM()
	c.arm = (p.spanMM/2 - math.Abs(x-middle)) / 2
	c.slabs = slabs(c.parts, c.thickness)
	return c
}
