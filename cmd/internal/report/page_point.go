package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
)

// tags are what is worth saying of a point among its fellows.
func tags(points []optimize.Point, i int) string {
	var out []string
	if points[i].Knee {
		out = append(out, "knee")
	}
	if points[i].Cheapest {
		out = append(out, "cheapest")
	}
	lightest, stiffest := 0, 0
	for k := range points {
		if points[k].CoreMassG < points[lightest].CoreMassG {
			lightest = k
		}
		if points[k].EINM2 > points[stiffest].EINM2 {
			stiffest = k
		}
	}
	if len(points) > 1 && i == lightest {
		out = append(out, "lightest")
	}
	if len(points) > 1 && i == stiffest {
		out = append(out, "stiffest")
	}
	return strings.Join(out, ", ")
}

// A figure is one number about a layout.
type figure struct {
	key, label, unit string
	value            float64
	decimals         int
	known            bool
	brief            bool // stands beside the chart
}

func (f figure) text() string {
	if !f.known {
		return "–"
	}
	return strings.Replace(Fixed(f.value, f.decimals), "-", "−", 1)
}

// against is the figure less another of its kind, as the texts of both would give it, with its sign.
func (f figure) against(other figure) string {
	if !f.known || !other.known {
		return "–"
	}
	scale := math.Pow(10, float64(f.decimals))
	d := (math.Round(f.value*scale) - math.Round(other.value*scale)) / scale
	switch {
	case d > 0:
		return "+" + Fixed(d, f.decimals)
	case d < 0:
		return "−" + Fixed(-d, f.decimals)
	}
	return Fixed(0, f.decimals)
}

// figures are the numbers about a layout, the same ones for every layout of a program.
func figures(program *optimize.Program, pt *optimize.Point) []figure {
	b := program.Board
	f := &pt.Figures
	layered, priced := len(b.Layers) > 0, program.Currency != ""
	at := " at " + plainMM(b.MeasureAtMM) + " mm"
	pressedMass := "Pressed mass"
	if !f.PressedMassKnown {
		pressedMass = "Pressed mass, without layers of unknown density"
	}
	meant, other, otherEI := "EI"+at+", pressed", "EI"+at+", bare core", f.Measure.CoreEINM2
	if b.Section == core.Bare {
		meant, other, otherEI = other, meant, f.Measure.PressedEINM2
	}
	var out []figure
	add := func(when bool, f figure) {
		if when {
			out = append(out, f)
		}
	}
	flexed := b.SpanMM > 0
	bare := b.Section == core.Bare
	add(true, figure{"mass", "Core mass", "g", pt.CoreMassG, 2, true, true})
	add(true, figure{"glue", "of it glue", "g", f.GlueMassG, 2, true, false})
	add(layered, figure{"pressed", pressedMass, "g", f.PressedMassG, 2, true, false})
	add(true, figure{"ei", meant, "N·m²", pt.EINM2, 2, true, true})
	add(layered, figure{"otherei", other, "N·m²", otherEI, 2, true, false})
	add(layered, figure{"share", "the core’s part of the pressed EI", "%", 100 * f.Measure.CoreShare, 1, true, false})
	add(layered, figure{"axis", "neutral axis above the core’s middle", "mm", f.Measure.AxisMM, 2, true, false})
	add(flexed && layered, figure{"flex", "Flex, pressed", "N/mm", f.Flex.PressedNPerMM, 3, f.Flex.Known, !bare})
	add(flexed && layered, figure{"beam", "the same flex as a uniform beam of EI", "N·m²", f.Flex.PressedEINM2, 2, f.Flex.Known, false})
	add(flexed, figure{"coreflex", "Flex, bare core", "N/mm", f.Flex.CoreNPerMM, 3, f.Flex.Known, bare})
	add(flexed, figure{"shear", "shear would add to the deflection", "%", f.Flex.ShearPct, 2, f.Flex.Known, false})
	add(priced, figure{"cost", "Cost of a core", clipped(program.Currency, 12), pt.Cost.InexactFloat64(), 2, pt.HasCost, true})
	add(true, figure{"scatter", "Scatter of EI" + at, "%", f.Scatter.EIPct, 2, f.Scatter.Known, true})
	add(flexed, figure{"flexscatter", "Scatter of flex", "%", f.Scatter.FlexPct, 2, f.Scatter.Known, false})
	add(true, figure{"leftright", "Left against right, of the strips’ stiffness", "%", f.Scatter.LeftRightPct, 2, f.Scatter.Known, false})
	add(flexed && preStrained(b), figure{"camber", "Camber by pre-strained strips", "mm", f.PreStress.CamberMM, 2, f.PreStress.Known, false})
	add(true, figure{"fast", "Fast-grown, by volume", "%", pt.FastGrownPct, 1, !math.IsNaN(pt.FastGrownPct), true})
	add(priced, figure{"certified", "Certified, by volume", "%", pt.CertifiedPct, 1, !math.IsNaN(pt.CertifiedPct), false})
	return out
}

// pointTexts are the texts of a point, with the same keys in the same order for every point of a page.
func (p *page) pointTexts(s *subject, i int) []cell {
	title := fmt.Sprintf("Point %d of %d", s.points[i].ID, len(s.points))
	if !p.Front {
		title = "The layout"
	}
	return p.texted(s, s.program, &s.points[i], s.rated(i), title, tags(s.points, i))
}

// texted are the texts of a layout on its program's board: a point's, or the reference's.
func (p *page) texted(s *subject, program *optimize.Program, pt *optimize.Point, st *core.Strength, title, tags string) []cell {
	b := program.Board
	out := []cell{{"title", title}, {"tags", tags}}
	for _, f := range s.figures(program, pt, st) {
		out = append(out, cell{f.key, f.text()})
	}
	if s.strength != nil {
		out = append(out, cell{"worst", worstWords(program, st)})
	}
	for k := range b.Positions {
		out = append(out, cell{fmt.Sprintf("glued%d", k), s.gluedText(pt.Layout, k)})
		if p.Holding != "" {
			pct, ok := holdingPct(program, pt, k)
			out = append(out, cell{fmt.Sprintf("holding%d", k), figure{value: pct, decimals: 1, known: ok}.text()})
		}
	}
	for _, row := range p.MadeOf {
		w := slices.Index(s.slot, row.Slot)
		side, centre := 0, 0
		for k, strip := range s.strips {
			if pt.Layout[k] != w {
				continue
			}
			if b.Positions[strip.Position].OnCentreLine {
				centre += strip.PerSide
			} else {
				side += strip.PerSide
			}
		}
		key := fmt.Sprintf("wood%d", row.Slot)
		out = append(out, cell{key + "-side", fmt.Sprint(side)}, cell{key + "-centre", fmt.Sprint(centre)},
			cell{key + "-share", Fixed(100*pt.Figures.WoodVolumeCM3[w]/pt.Figures.VolumeCM3, 1)},
			cell{key + "-mass", Fixed(pt.Figures.WoodMassByG[w], 1)})
	}
	for k, at := range pt.Figures.Stations {
		out = append(out, cell{fmt.Sprintf("core%d", k), Fixed(at.CoreEINM2, 1)})
		if p.Layered {
			out = append(out, cell{fmt.Sprintf("pressed%d", k), Fixed(at.PressedEINM2, 1)})
		}
	}
	for k, w := range s.program.Limits.Windows {
		out = append(out, cell{fmt.Sprintf("window%d", k), Fixed(eiAt(b, pt.Layout, w.FromTipMM), 2)})
	}
	return out
}

// gluedText reads a position's strips from the centre line outward: "1 B, 2 P", number and letter kept on one line.
func (s *subject) gluedText(l core.Layout, position int) string {
	var runs []string
	last, count := -1, 0
	flush := func() {
		if count > 0 {
			runs = append(runs, fmt.Sprintf("%d\u00a0%s", count, s.marks[last].Letter))
		}
	}
	for k, strip := range s.strips {
		if strip.Position != position {
			continue
		}
		if n := s.slot[l[k]]; n != last {
			flush()
			last, count = n, 0
		}
		count += strip.PerSide
	}
	flush()
	return strings.Join(runs, ", ")
}

type mark struct {
	key string
	on  bool
}

// pointMarks say which rows and prices a point has, with the same keys in the same order for every point of a page.
func (p *page) pointMarks(s *subject, pt *optimize.Point) []mark {
	var out []mark
	for _, row := range p.MadeOf {
		w := slices.Index(s.slot, row.Slot)
		out = append(out, mark{fmt.Sprintf("wood%d", row.Slot), slices.Contains(pt.Layout, w) || pt.Figures.WoodVolumeCM3[w] > 0})
		for _, price := range row.Prices {
			out = append(out, mark{price.Key, price.usedBy(s.strips, pt.Layout, w)})
		}
	}
	return out
}

func (s *source) usedBy(strips []core.Strip, l core.Layout, wood int) bool {
	for k, strip := range strips {
		if l[k] == wood && slices.Contains(s.positions, strip.Position) {
			return true
		}
	}
	return false
}

// A source is where the price of a wood's strips comes from, for the positions that share it.
type source struct {
	Key                                 string
	Mark                                woodMark
	WidthMM, Cost                       string
	Stock                               bool
	Supplier, File, Sheet, Cell         string
	Name, Grade, Plank, Price, PerPlank string
	Certified                           bool
	Steps                               []string
	positions                           []int
}

// sources are the prices that any of the points rests on, by wood and then by position.
func (s *subject) sources() []*source {
	type same struct {
		wood  int
		offer *sourcing.Offer
		stock bool
		width float64
		cost  string
	}
	var out []*source
	seen := map[same]*source{}
	for _, c := range s.program.Candidates {
		if s.slot[c.Wood] < 0 {
			continue
		}
		for position, use := range c.At {
			if !use.Allowed || use.Price == nil || use.Price.Offer == nil {
				continue
			}
			here := source{positions: []int{position}}
			if !slices.ContainsFunc(s.points, func(pt optimize.Point) bool { return here.usedBy(s.strips, pt.Layout, c.Wood) }) {
				continue
			}
			width := s.program.Board.Positions[position].StripWidthMM
			id := same{c.Wood, use.Price.Offer, use.Price.Stock, width, use.StripCost.String()}
			if known := seen[id]; known != nil {
				known.positions = append(known.positions, position)
				continue
			}
			o := use.Price.Offer
			found := &source{
				Key: fmt.Sprintf("price%d", len(out)), Mark: s.marks[s.slot[c.Wood]],
				WidthMM: plainMM(width), Cost: stripMoney(use.StripCost), Stock: use.Price.Stock,
				Supplier: o.Supplier, File: o.File, Sheet: o.Sheet, Cell: cellWords(o),
				Name: o.Name, Grade: o.Grade, Plank: plank(o.Plank), Certified: o.Certified,
				PerPlank: use.Price.StripsPerUnit.String(), Steps: reckoning(use.Price), positions: here.positions,
			}
			if !o.Price.IsZero() {
				found.Price = priceWords(o)
			}
			seen[id] = found
			out = append(out, found)
		}
	}
	return out
}

var unitWords = map[sourcing.Unit]string{
	sourcing.PerM3: "m³", sourcing.PerBoardFoot: "board foot", sourcing.PerMBF: "thousand board feet", sourcing.PerMetre: "running metre",
	sourcing.PerFoot: "running foot", sourcing.PerPiece: "piece", sourcing.PerSquareMetre: "m²",
}

// cellWords is where on its sheet an offer stands: "cell F14", or "row 7" of the yard's stock.
func cellWords(o *sourcing.Offer) string {
	switch cell := offerCell(o); {
	case cell == "":
		return ""
	case o.Col == 0:
		return "row " + cell
	default:
		return "cell " + cell
	}
}
