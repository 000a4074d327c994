package species

// CarbonFraction is the part of oven-dry wood that is carbon, by mass: one figure for every wood. The standard was not seen itself, but
// public text that quotes its equation and its default.
var CarbonFraction = Figure{Value: 0.5, Status: Read,
	Source: "EN 16449:2014, its default, as quoted with the equation in EHDD, C.Scale documentation, page Stored Carbon"}

// co2OverCarbon is the mass of a molecule of CO2 over that of its atom of carbon, in the standard's whole numbers.
const co2OverCarbon = 44. / 12

// StoredCO2Kg is the carbon that wood holds, as kg of the CO2 that it would make: P = 44/12 · cf · m/(1 + ω/100), m its mass at the moisture
// ω in % of oven-dry mass, cf [CarbonFraction] (EN 16449:2014, where m is density times volume). It says nothing of how the wood was grown,
// sawn or carried. The standard is for wood, and bamboo is none: see [Wood.Woody].
func StoredCO2Kg(massKg, moisturePct float64) float64 {
	return co2OverCarbon * CarbonFraction.Value * massKg / (1 + moisturePct/100)
}

// Woody reports whether it is wood in a standard's meaning; bamboo is a grass.
func (w Wood) Woody() bool { return w.Growth.Stand != Bamboo }
