package book

import (
	"math"
	"time"
)

// The demo job: an invented small factory with three boards in two or three lengths each. Every name, measure, price and
// date is invented; the magnitudes are those of boards of 150 to 160 cm in general (common practice).

const invented = "INVENTED demo figure"

// Strips run straight, so the outline cuts the outermost away at the waist: the edge beams lie just inside the waist's half
// width, and the flank beyond them only fills nose and tail.

// A family is one board of the demo in its lengths.
type family struct {
	name      string
	lengths   []int // mm, of the core
	blankLong int   // mm, of every blank of the family: one length, so that its boards share strips
	boards    []int
	widths    [21]float64 // mm, of the core at each of demoStations
	thickness [21]float64 // mm
	blankMM   float64     // thickness of the blank
	topSkin   any         // modulus GPa, or a fabric
	topMM     any         // nil: from the fabric
	lowSkin   any
	lowMM     any
	sideMM    float64
	positions []demoPosition
	maxCost   []any         // by length
	windows   [5][2]float64 // at demoTargets, EI low and high, N·m²: the reference's ±6 %, ±8 % at the ends
}

type demoPosition struct {
	name      string
	strips    int
	widthMM   float64
	centre    bool
	allowed   string
	hardnessN any
	holding   any
	reference []demoRun
}

type demoRun struct {
	wood   string
	strips int
}

// demoStations are the places of the stations in % of the length.
var demoStations = [21]float64{0, 3, 7, 11, 15, 20, 26, 32, 38, 44, 50, 56, 62, 68, 74, 80, 85, 89, 93, 97, 100}

// demoTargets are the places of the stiffness windows in % of the length; all of them are stations.
var demoTargets = [5]float64{20, 32, 50, 68, 80}

const (
	lightWoods  = "poplar-hybrid, aspen-quaking, paulownia-tomentosa, Dense paulownia, obeche, yellow-poplar"
	middleWoods = "poplar-hybrid, aspen-quaking, yellow-poplar, obeche, birch-silver, ash-european, beech-european, bamboo-moso-laminated"
	hardWoods   = "beech-european, birch-silver, ash-european, bamboo-moso-laminated, locust-black"
)

var demo = []family{
	{
		name: "Park", lengths: []int{1500, 1550}, blankLong: 1570, boards: []int{420, 540},
		widths:    [21]float64{208, 228, 247, 259, 264, 263, 257, 251, 247, 245, 244, 245, 247, 251, 257, 263, 264, 259, 247, 228, 208},
		thickness: [21]float64{1.8, 1.8, 1.8, 1.9, 2.2, 2.9, 3.9, 4.9, 5.8, 6.4, 6.6, 6.4, 5.8, 4.9, 3.9, 2.9, 2.2, 1.9, 1.8, 1.8, 1.8},
		blankMM:   7.5, topSkin: "Glass 0/45/-45, light", lowSkin: 22.0, lowMM: 0.5, sideMM: 8,
		maxCost: []any{5.0, 5.0},
		windows: [5][2]float64{{35.1, 41.1}, {94.4, 106.4}, {174.8, 197.1}, {94.4, 106.4}, {35.1, 41.1}},
		positions: []demoPosition{
			{"middle", 2, 15, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 2}}},
			{"inner", 3, 12, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 3}}},
			{"binding", 3, 12, false, middleWoods, nil, 115, []demoRun{{"beech-european", 1}, {"poplar-hybrid", 2}}},
			{"edge", 2, 8, false, hardWoods, 4000, nil, []demoRun{{"beech-european", 2}}},
			{"flank", 2, 7, false, lightWoods + ", birch-silver", nil, nil, []demoRun{{"poplar-hybrid", 2}}},
		},
	},
	{
		name: "Allround", lengths: []int{1520, 1570, 1620}, blankLong: 1640, boards: []int{480, 720, 450},
		widths:    [21]float64{206, 227, 246, 259, 264, 262, 254, 247, 243, 241, 240, 241, 243, 247, 253, 260, 261, 256, 244, 225, 204},
		thickness: [21]float64{1.8, 1.8, 1.9, 2.0, 2.4, 3.1, 4.2, 5.3, 6.3, 7.0, 7.2, 7.0, 6.3, 5.3, 4.2, 3.1, 2.4, 2.0, 1.9, 1.8, 1.8},
		blankMM:   8.2, topSkin: "Glass 0/45/-45", lowSkin: 22.5, lowMM: 0.6, sideMM: 8,
		maxCost: []any{5.5, 5.5, 5.8},
		windows: [5][2]float64{{46.7, 54.8}, {125.9, 142.0}, {236.0, 266.1}, {125.9, 142.0}, {46.4, 54.5}},
		positions: []demoPosition{
			{"middle", 2, 14, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 2}}},
			{"inner", 3, 12, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 3}}},
			{"binding", 3, 12, false, middleWoods, nil, 130, []demoRun{{"ash-european", 1}, {"poplar-hybrid", 1}, {"ash-european", 1}}},
			{"edge", 2, 9, false, hardWoods, 4000, nil, []demoRun{{"beech-european", 2}}},
			{"flank", 2, 7, false, lightWoods + ", birch-silver, ash-european", nil, nil, []demoRun{{"poplar-hybrid", 2}}},
		},
	},
	{
		name: "Power", lengths: []int{1580, 1630}, blankLong: 1650, boards: []int{270, 210},
		widths:    [21]float64{208, 230, 250, 263, 268, 266, 258, 252, 248, 246, 245, 246, 248, 251, 256, 262, 263, 258, 246, 226, 205},
		thickness: [21]float64{1.9, 1.9, 2.0, 2.1, 2.6, 3.4, 4.6, 5.7, 6.7, 7.4, 7.6, 7.4, 6.7, 5.7, 4.6, 3.4, 2.6, 2.1, 2.0, 1.9, 1.9},
		blankMM:   8.6, topSkin: "Glass 0/45/-45", lowSkin: 23.0, lowMM: 0.7, sideMM: 9,
		maxCost: []any{6.5, 6.8},
		windows: [5][2]float64{{60.0, 70.5}, {159.1, 179.4}, {288.5, 325.3}, {158.7, 178.9}, {59.4, 69.7}},
		positions: []demoPosition{
			{"stringer", 3, 8, true, middleWoods, nil, nil, []demoRun{{"ash-european", 3}}},
			{"middle", 2, 13, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 2}}},
			{"inner", 2, 13, false, middleWoods, nil, nil, []demoRun{{"poplar-hybrid", 2}}},
			{"binding", 3, 12, false, middleWoods, nil, 140, []demoRun{{"ash-european", 2}, {"poplar-hybrid", 1}}},
			{"edge", 2, 10, false, hardWoods, 5000, nil, []demoRun{{"beech-european", 2}}},
			{"flank", 2, 7, false, lightWoods, nil, nil, []demoRun{{"poplar-hybrid", 2}}},
		},
	},
}

// modelNames are the demo's models in their order.
func (f *family) modelName(i int) string { return f.name + " " + plain(float64(f.lengths[i])/10) }

// place is a share of a length in whole millimetres.
func place(pct float64, length int) float64 { return math.Round(pct * float64(length) / 100) }

// demoRows is the content of every sheet of the starter, in the order of its columns.
func demoRows() map[string][][]any {
	rows := map[string][][]any{}
	add := func(sheet string, row ...any) { rows[sheet] = append(rows[sheet], row) }
	add("Limits", nil, 2.0, nil, nil, 4.0, 2.0, 45.0, nil, 2.0, nil, nil, nil, 600.0, nil, 0.95, 1.1, 0.01)
	for k := range demo {
		f := &demo[k]
		for i, length := range f.lengths {
			name := f.modelName(i)
			add("Models", name, "pressed", float64(f.blankLong), f.blankMM, 1000.0, float64(length)/2, float64(f.boards[i]), day(2027, 3, 15+7*k), nil)
			for s, pct := range demoStations {
				add("Stations", name, place(pct, length), f.widths[s], f.thickness[s])
			}
			f.layerRows(add, name, length)
			for _, p := range f.positions {
				var centre any
				if p.centre {
					centre = "yes"
				}
				add("Positions", name, p.name, float64(p.strips), p.widthMM, centre, p.allowed, p.hardnessN, p.holding, nil)
				for _, r := range p.reference {
					add("Reference", name, p.name, r.wood, float64(r.strips))
				}
			}
			for k, w := range f.windows {
				add("Targets", name, place(demoTargets[k], length), w[0], w[1])
			}
			add("Limits", name, nil, f.maxCost[i], nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil, nil)
		}
	}
	add("Counts", nil, nil, "bamboo-moso-laminated", nil, 2.0)
	add("Counts", "Power 158", "stringer", "ash-european", 1.0, nil)
	add("Shares", nil, "beech-european", nil, 25.0)
	shopRows(add)
	return rows
}

func (f *family) layerRows(add func(string, ...any), name string, length int) {
	wall0, wall1 := place(13, length), place(87, length)
	edge0, edge1 := place(10, length), place(90, length)
	add("Layers", name, "above", 1.0, "upper skin", f.topSkin, f.topMM, nil, nil, densityOf(f.topSkin), nil, nil)
	add("Layers", name, "above", 2.0, "top layer", 2.0, 0.5, nil, nil, 1150.0, nil, nil)
	add("Layers", name, "below", 1.0, "lower skin", f.lowSkin, f.lowMM, nil, nil, densityOf(f.lowSkin), nil, nil)
	add("Layers", name, "below", 2.0, "base", 0.8, 1.2, nil, nil, 940.0, nil, nil)
	add("Layers", name, "below", 2.0, "steel edges", 205.0, 2.0, 6.6, 0.8, 7830.0, edge0, edge1)
	add("Layers", name, "beside", 1.0, "side wall", 2.2, nil, f.sideMM, nil, 1050.0, wall0, wall1)
}

// densityOf leaves the density of a fabric to its plies.
func densityOf(modulus any) any {
	if _, fabric := modulus.(string); fabric {
		return nil
	}
	return 1850.0
}

func shopRows(add func(string, ...any)) {
	for _, f := range []struct {
		name        string
		along, bias float64 // mm of the plies
	}{{"Glass 0/45/-45", 0.26, 0.16}, {"Glass 0/45/-45, light", 0.2, 0.14}} {
		for _, ply := range [][2]float64{{0, f.along}, {45, f.bias}, {-45, f.bias}} {
			add("Fabrics", f.name, ply[0], ply[1], 38.0, 9.0, 3.6, 0.28, 1850.0)
		}
	}
	add("Woods", "poplar-hybrid", nil, 440.0, 9.4, nil, nil, nil, 15.0, nil, invented+": mean of one yard's lots")
	add("Woods", "Dense paulownia", "Paulownia elongata", 330.0, 5.6, 45.0, 1500.0, 5.0, 18.0, 12.0, invented)
	add("Tests", "obeche", 280.0, 20.0, 20.0, 175.0, 1050.0, 372.0)
	add("Tests", "obeche", 280.0, 20.0, 20.0, 183.0, 1120.0, 380.0)
	add("Suppliers", "Example Creek Lumber (invented)", creekFile, "USD", nil, 21.0, 140.0, 45.0, 500.0, day(2027, 2, 28))
	add("Suppliers", "Holzhof Beispieltal (invented)", holzhofFile, "EUR", "yes", 10.0, 90.0, 35.0, 300.0, day(2027, 3, 31))
	add("Suppliers", "Legnami Esempio (invented)", legnamiFile, "EUR", nil, 14.0, 110.0, 40.0, 250.0, day(2027, 2, 15))
	add("Suppliers", "Scierie Exemple (invented)", scierieFile, "CHF", nil, 50.0, 120.0, 38.0, 600.0, day(2027, 3, 15))
	add("Stock", "poplar-hybrid", 32.0, 140.0, 3400.0, 160.0, 5.2)
	add("Stock", "ash-european", 27.0, 120.0, 1700.0, 90.0, 4.6)
	for _, s := range []struct {
		name  string
		value any
		unit  string
	}{
		{"money", "EUR", "currency"}, {"rate USD", 0.9, "EUR for one USD; invented, write today's"},
		{"kerf", 2.4, "mm"}, {"planing per face", 0.5, "mm"}, {"edging loss", 5.0, "mm"}, {"end trim", 50.0, "mm"}, {"yield", 70.0, "%"},
		{"moisture", 9.0, "%"}, {"modulus raise", 10.0, "%"}, {"glue spread", 180.0, "g/m2"}, {"fast-grown up to", 30.0, "years"},
		{"holding reference", "aspen-quaking", "wood"}, {"strip correlation", 0.0, ""}, {"scrap boards", 3.0, "%"},
		{"rate CHF", 1.05, "EUR for one CHF; invented, write today's"}, {"ordering day", "2027-01-25", "date"},
	} {
		var unit any
		if s.unit != "" {
			unit = s.unit
		}
		add("Shop", s.name, s.value, unit)
	}
}

func day(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }
