package optimize

import (
	"stavewright/optimize/core"
	"stavewright/species"
)

// A Mix says what a core is made of, wood by wood. Volume and mass are of the core as built, after outline and profile, pads included, glue
// left out. Lumber is what is bought for it, losses included.
type Mix struct {
	Woods []MixWood // those that the core holds, in the order of Board.Woods

	VolumeCM3, MassG, LumberCM3 float64
	LumberKnown                 bool // every strip has a price, and with it the planks it is cut from; pads have none and are left out

	FastVolumePct, FastMassPct, FastLumberPct float64 // of fast-grown woods; a wood of unknown rotation counts as not fast-grown
	UnknownPct                                float64 // by volume, of woods whose rotation is not known

	// RotationKnown: of every wood. The mean rotation is Σ V r / Σ V over the woods, V their volume in the core and r their shortest and
	// longest usual rotation, years.
	RotationKnown             bool
	RotationLow, RotationHigh float64

	// PerYearLow and High are the wood bought for one board over the mean rotation of that wood, cm³ per year of growth: V²/Σ V r, with V
	// the lumber (or the core's own volume, where the lumber is not known) and r the longest, then the shortest rotation. Known as the
	// rotation is. Fast-grown woods give a high figure: they need fewer years for as much wood.
	PerYearLow, PerYearHigh float64

	// TonneKM is the lumber times the distance that its price sheet says it is carried, with the density of its wood as used. CarriedKnown: of
	// all of it, and none of it stands in the yard already.
	CarriedKnown bool
	TonneKM      float64

	// CarbonKnown: of a core not all of bamboo, with the woods' moisture known. StoredCO2Kg is the carbon that its wood holds, as CO2
	// ([species.StoredCO2Kg]): of the core as built, losses left out. Bamboo is not in it.
	CarbonKnown bool
	StoredCO2Kg float64
	BambooPct   float64 // by volume
}

// A MixWood is one wood of a core.
type MixWood struct {
	Wood      int // index into Board.Woods
	Fast      bool
	VolumeCM3 float64
	MassG     float64
	LumberCM3 float64 // of the planks for its strips; 0 where not known
	Strips    int     // whole strips that a core takes, both sides
	Carried   bool    // all its lumber has a distance
	TonneKM   float64 // of its lumber that has one

	StoredCO2Kg float64 // as of the core; 0 for bamboo, or where not known
}

// fastWoods says which of the board's woods count as fast-grown: what the candidates say, and of other woods their rotation.
func (p *Program) fastWoods() []bool {
	fast := make([]bool, len(p.Board.Woods))
	for w := range fast {
		is, known := p.Board.Woods[w].FastGrown(p.Limits.FastUpToYears)
		fast[w] = is && known
	}
	for _, c := range p.Candidates {
		fast[c.Wood] = c.FastGrown
	}
	return fast
}

// Mix is what a point's core is made of.
func (p *Program) Mix(pt *Point) Mix {
	b := p.Board
	fast := p.fastWoods()
	bought, known := p.lumber(pt.Layout)
	m := Mix{LumberKnown: known, CarriedKnown: known, RotationKnown: true}
	for w, v := range pt.Figures.WoodVolumeCM3 {
		if v == 0 {
			continue
		}
		of := bought[w]
		m.Woods = append(m.Woods, MixWood{Wood: w, Fast: fast[w], VolumeCM3: v, MassG: pt.Figures.WoodMassByG[w], LumberCM3: of.cm3, Strips: of.strips,
			Carried: of.strips > 0 && !of.uncarried, TonneKM: of.tonneKM})
		m.VolumeCM3 += v
		m.MassG += pt.Figures.WoodMassByG[w]
		m.LumberCM3 += of.cm3
		m.TonneKM += of.tonneKM
		m.CarriedKnown = m.CarriedKnown && !of.uncarried
	}
	share := func(of func(MixWood) float64, which func(MixWood) bool) float64 {
		var part, all float64
		for _, w := range m.Woods {
			all += of(w)
			if which(w) {
				part += of(w)
			}
		}
		if all == 0 {
			return 0
		}
		return 100 * part / all
	}
	volume := func(w MixWood) float64 { return w.VolumeCM3 }
	planks := func(w MixWood) float64 { return w.LumberCM3 }
	isFast := func(w MixWood) bool { return w.Fast }
	m.FastVolumePct = share(volume, isFast)
	m.FastMassPct = share(func(w MixWood) float64 { return w.MassG }, isFast)
	if m.LumberKnown {
		m.FastLumberPct = share(planks, isFast)
	}
	m.BambooPct = share(volume, func(w MixWood) bool { return !b.Woods[w.Wood].Woody() })
	if m.CarbonKnown = p.MoisturePct > 0 && m.BambooPct < 100; m.CarbonKnown {
		for i := range m.Woods {
			if w := &m.Woods[i]; b.Woods[w.Wood].Woody() {
				w.StoredCO2Kg = species.StoredCO2Kg(w.MassG/gPerKg, p.MoisturePct)
				m.StoredCO2Kg += w.StoredCO2Kg
			}
		}
	}
	m.UnknownPct = share(volume, func(w MixWood) bool { return !rotates(&b.Woods[w.Wood]) })
	if m.RotationKnown = m.UnknownPct == 0 && m.VolumeCM3 > 0; !m.RotationKnown {
		return m
	}
	mean := func(of func(MixWood) float64, years func(*species.Wood) float64) (mean, all float64) {
		var sum float64
		for _, w := range m.Woods {
			sum += of(w) * years(&b.Woods[w.Wood])
			all += of(w)
		}
		return sum / all, all
	}
	m.RotationLow, _ = mean(volume, shortest)
	m.RotationHigh, _ = mean(volume, longest)
	of := volume
	if m.LumberKnown {
		of = planks
	}
	years, all := mean(of, longest)
	m.PerYearLow = all / years
	years, _ = mean(of, shortest)
	m.PerYearHigh = all / years
	return m
}

const gPerKg = 1000

// rotates reports whether a wood's rotation is known; the user may give one figure only, which is the longest.
func rotates(w *species.Wood) bool {
	return w.RotationHighYears.Known() && w.RotationHighYears.Value > 0
}

func longest(w *species.Wood) float64 { return w.RotationHighYears.Value }

func shortest(w *species.Wood) float64 {
	if low := w.RotationLowYears; low.Known() && low.Value > 0 {
		return low.Value
	}
	return w.RotationHighYears.Value
}

// A boughtWood is what is bought of one wood for a core.
type boughtWood struct {
	strips    int     // that a core takes, both sides
	cm3       float64 // of the planks they are cut from
	tonneKM   float64 // of those with a distance
	uncarried bool    // there are others
}

// tonnePerCM3 of a wood of 1 kg/m³: a cm³ is 10⁻⁶ m³, a kg 10⁻³ t.
const tonnePerCM3 = 1e-9

// lumber is how many strips of each wood a core takes and the planks they are cut from, by the yield that their price rests on. known is
// false when a strip has no price.
func (p *Program) lumber(l core.Layout) (woods []boughtWood, known bool) {
	b := p.Board
	woods, known = make([]boughtWood, len(b.Woods)), true
	use := map[int]*Candidate{}
	for i := range p.Candidates {
		use[p.Candidates[i].Wood] = &p.Candidates[i]
	}
	for _, g := range b.Groups() {
		for _, s := range g.Strips {
			w := &woods[l[s]]
			w.strips += g.Pieces
			c := use[l[s]]
			if c == nil || c.At[g.Position].Price == nil || !c.At[g.Position].Allowed {
				known, w.uncarried = false, true
				continue
			}
			price := c.At[g.Position].Price
			plank := price.Offer.Plank
			cm3 := float64(g.Pieces) * plank.ThicknessMM * plank.WidthMM * plank.LengthMM / 1000 / price.StripsPerUnit.InexactFloat64()
			w.cm3 += cm3
			if price.Stock || !price.Offer.HasDistance {
				w.uncarried = true
				continue
			}
			w.tonneKM += cm3 * b.Woods[l[s]].DensityKgM3.Value * tonnePerCM3 * price.Offer.DistanceKM.InexactFloat64()
		}
	}
	return woods, known
}
