package species

import (
	"fmt"
	"math"
	"strconv"
)

// Conditions are those of the shop: the moisture of its wood, and the raise of table moduli to true ones. Every value
// means what it says: the zero value is 0 % moisture, which [Table.As] refuses.
type Conditions struct {
	MoisturePct     float64 // of oven-dry mass
	ModulusRaisePct float64
}

// Standard conditions: 12 % moisture, and moduli raised by 10 %, the Wood Handbook's allowance for the shear deflection
// hidden in its bending tests (centre load, span 14 depths; text beside Table 5-1).
var Standard = Conditions{MoisturePct: tableMoisturePct, ModulusRaisePct: 10}

const (
	tableMoisturePct = 12 // of every published figure
	saturationPct    = 30 // fibre saturation point when it is not known (Wood Handbook chapter 4)

	// Outside this range Eq. 5-3 does not hold: some properties pass a maximum below about 8 %, and wood near
	// saturation no longer changes.
	lowestMoisturePct, highestMoisturePct = 4, 25
	highestRaisePct                       = 25 // the shear left out at a span of 9 depths; more is a slip of the pen
)

func (c Conditions) check() error {
	if !(c.MoisturePct >= lowestMoisturePct && c.MoisturePct <= highestMoisturePct) {
		return fmt.Errorf("moisture %s %% is outside %d to %d %%, where the relations of the Wood Handbook hold; "+
			"write the moisture of the wood in the shop, usually 6 to 12", plain(c.MoisturePct), lowestMoisturePct, highestMoisturePct)
	}
	if !(c.ModulusRaisePct >= 0 && c.ModulusRaisePct <= highestRaisePct) {
		return fmt.Errorf("modulus raise %s %% is outside 0 to %d %%; write 10 for the Wood Handbook's allowance, 0 for none",
			plain(c.ModulusRaisePct), highestRaisePct)
	}
	return nil
}

// Drying is how a strength or modulus of one wood changes with moisture.
type Drying struct {
	At12, Green     float64 // the property at 12 % and green, in one unit
	IntersectionPct float64 // M_p: moisture below which drying changes it (Wood Handbook Table 5-13, else 25)
}

// At is the property at the moisture given, in the unit of its two values, by Wood Handbook FPL-GTR-282 (2021) Eq. 5-3:
// P = P12 (P12/Pg)^((12−M)/(Mp−12)); at Mp and above it is the green value. Not for work to maximum load, impact bending or
// tension across the grain.
func (d Drying) At(moisturePct float64) float64 {
	if moisturePct >= d.IntersectionPct {
		return d.Green
	}
	return d.At12 * math.Pow(d.At12/d.Green, (tableMoisturePct-moisturePct)/(d.IntersectionPct-tableMoisturePct))
}

// Swelling is how a wood's weight for its size changes with moisture.
type Swelling struct {
	Gravity12          float64 // oven-dry mass over volume at 12 %
	VolumeShrinkagePct float64 // from green to oven-dry; 0: not known, and Wood Handbook Eq. 4-12 stands in
}

// GravityAt is the specific gravity on the volume at that moisture (Wood Handbook FPL-GTR-282 Eqs. 4-9 and 4-10).
func (s Swelling) GravityAt(moisturePct float64) float64 {
	shrinkage := s.VolumeShrinkagePct
	if shrinkage == 0 {
		// Eq. 4-12 wants the basic gravity: Eq. 4-13 solved for it.
		shrinkage = 26.5 * s.Gravity12 / (1 + 0.265*s.Gravity12*(1-tableMoisturePct/float64(saturationPct)))
	}
	at := func(moisturePct float64) float64 {
		return shrinkage * (1 - math.Min(moisturePct, saturationPct)/saturationPct)
	}
	return s.Gravity12 * (100 - at(tableMoisturePct)) / (100 - at(moisturePct))
}

// DensityAt is the density at that moisture, kg/m³ (Wood Handbook FPL-GTR-282 Eq. 4-14).
func (s Swelling) DensityAt(moisturePct float64) float64 {
	return 1000 * s.GravityAt(moisturePct) * (1 + moisturePct/100)
}

// GravityFromBasic is the specific gravity on the volume at that moisture from basic, oven-dry mass over green volume
// (Wood Handbook FPL-GTR-282 Eq. 4-13).
func GravityFromBasic(basic, moisturePct float64) float64 {
	return basic / (1 - 0.265*basic*(1-math.Min(moisturePct, saturationPct)/saturationPct))
}

// asUsed is the entry's wood under the conditions. The user's own figures stay.
func (e *entry) asUsed(c Conditions, lib *library) Wood {
	w := e.wood
	if c.MoisturePct != tableMoisturePct {
		for _, name := range dryingFigures {
			e.dry(figureOf(&w, name), name, c.MoisturePct, lib)
		}
		e.swell(&w, c.MoisturePct)
	}
	if f := &w.ModulusGPa; f.Known() && f.Status != Own && c.ModulusRaisePct != 0 {
		*f = derived(*f, f.Value*(1+c.ModulusRaisePct/100),
			fmt.Sprintf("raised %s %% to the true modulus (Wood Handbook)", plain(c.ModulusRaisePct)), Derived)
	}
	return w
}

// dry moves one figure from 12 % to the moisture given.
func (e *entry) dry(f *Figure, name string, moisturePct float64, lib *library) {
	if !f.Known() || f.Status == Own {
		return
	}
	ratio, ok := e.dryOverGreen[name]
	how, status := fmt.Sprintf("moved to %s %% moisture (Wood Handbook Eq. 5-3)", plain(moisturePct)), Derived
	if !ok {
		ratio, status = lib.meanDryOverGreen[name], Assumed
		how += fmt.Sprintf(", with the mean ratio %.2f of dry to green of 14 North American hardwoods for want of a green value", ratio)
	}
	d := Drying{At12: f.Value, Green: f.Value / ratio, IntersectionPct: e.intersectionPct.Value}
	*f = derived(*f, d.At(moisturePct), how, status)
}

// swell moves specific gravity and density from 12 % to the moisture given.
func (e *entry) swell(w *Wood, moisturePct float64) {
	g := w.SpecificGravity
	if !g.Known() || w.DensityKgM3.Status == Own {
		return
	}
	s := Swelling{Gravity12: g.Value, VolumeShrinkagePct: e.volumeShrinkage.Value}
	how := fmt.Sprintf("moved to %s %% moisture (Wood Handbook Eqs. 4-10 and 4-14)", plain(moisturePct))
	if !e.volumeShrinkage.Known() {
		how += ", shrinkage by Eq. 4-12"
	}
	moved := s.GravityAt(moisturePct)
	w.SpecificGravity = derived(g, moved, how, Derived)
	// By ratio, so that a density published without a gravity is moved from its own value.
	d := w.DensityKgM3
	w.DensityKgM3 = derived(d, d.Value*moved/g.Value*(1+moisturePct/100)/(1+tableMoisturePct/100.), how, Derived)
}

// crossGrain is the modulus of wood turned across the board: E_T/E_L times the true modulus along the grain. The
// smaller of the two cross directions, because lumber is bought without regard to how it was sawn: a pad taken as too
// soft never makes a board stiffer on paper than it is.
func (e *entry) crossGrain(w Wood, asPublished bool, c Conditions, lib *library) Figure {
	along := w.ModulusGPa
	if !along.Known() {
		return Figure{}
	}
	ratio, tabulated := e.crossRatio, e.crossRatio.Known()
	if !tabulated {
		ratio = lib.meanCrossRatio
	}
	value := ratio.Value * along.Value
	if asPublished && along.Status != Own {
		value *= 1 + c.ModulusRaisePct/100 // the ratios are to the true modulus
	}
	status := lessTrusted(Derived, ratio.Status)
	if along.Status != Own {
		status = lessTrusted(status, along.Status)
	}
	return Figure{value, status, fmt.Sprintf("%s × the true modulus along the grain: tangential ratio, %s",
		strconv.FormatFloat(ratio.Value, 'f', 3, 64), ratio.Source)}
}

// ownGravity is the specific gravity that follows from a density of the user's, counted at the conditions' moisture.
func ownGravity(w Wood, c Conditions) Figure {
	if w.DensityKgM3.Status != Own {
		return w.SpecificGravity
	}
	return Figure{w.DensityKgM3.Value / (1000 * (1 + c.MoisturePct/100)), Derived,
		fmt.Sprintf("own density / (1000 × %s) (Wood Handbook Eq. 4-14)", plain(1+c.MoisturePct/100))}
}

// derived is a figure that follows from another: never more trustworthy than that one.
func derived(from Figure, value float64, how string, status Status) Figure {
	return Figure{value, lessTrusted(from.Status, status), from.Source + ", " + how}
}

// plain is a number as a person writes it, to six significant digits.
func plain(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
