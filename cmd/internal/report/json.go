package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"unicode/utf8"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// A number is a JSON number in plain notation with fixed decimals; empty, it is null: not known.
type number string

// MarshalJSON writes the number as it stands.
func (n number) MarshalJSON() ([]byte, error) {
	if n == "" {
		return []byte("null"), nil
	}
	return []byte(n), nil
}

// fixed is v with fixed decimals; null when it is not finite.
func fixed(v float64, decimals int) number { return fixedIf(true, v, decimals) }

// fixedIf is v with fixed decimals; null when it is not known or not finite.
func fixedIf(ok bool, v float64, decimals int) number {
	s := known(ok, v, decimals)
	if s == "n/a" {
		return ""
	}
	return number(s)
}

// short is v with as many decimals as it needs, 6 at most: for what people typed.
func short(v float64) number { return fixed(roundTo(v, 6), decimals(roundTo(v, 6))) }

type frontJSON struct {
	Model       string          `json:"model"`
	Complete    bool            `json:"complete"`
	Resolution  resolutionJSON  `json:"resolution"`
	Points      []pointJSON     `json:"points"`
	Solves      int             `json:"solves"` // integer programs; none of an enumeration
	Method      string          `json:"method,omitempty"`
	Why         string          `json:"why,omitempty"`
	Unsearched  string          `json:"unsearched,omitempty"`
	Unproven    bool            `json:"unproven,omitempty"` // the one point keeps the limits, no more is known of it
	Infeasible  *infeasibleJSON `json:"infeasible,omitempty"`
	Objectives  []string        `json:"objectives"`
	Section     string          `json:"section"` // what EI and flex mean: core or pressed
	MeasureAtMM number          `json:"measure_at_mm"`
	Currency    string          `json:"currency"` // empty: no prices
	Reference   []runJSON       `json:"reference,omitempty"`
	Windows     []windowJSON    `json:"windows"`
	Offers      []offerJSON     `json:"offers"`
	LeftOut     []leftOutJSON   `json:"left_out"`
	Cautions    []string        `json:"cautions"`
}

type checkJSON struct {
	Model       string         `json:"model"`
	KeepsLimits bool           `json:"keeps_limits"`
	Broken      []string       `json:"broken"`
	Resolution  resolutionJSON `json:"resolution"`
	Point       pointJSON      `json:"point"`
	Section     string         `json:"section"`
	MeasureAtMM number         `json:"measure_at_mm"`
	Currency    string         `json:"currency"`
	Windows     []windowJSON   `json:"windows"`
	Offers      []offerJSON    `json:"offers"`
	LeftOut     []leftOutJSON  `json:"left_out"`
	Cautions    []string       `json:"cautions"`
}

type resolutionJSON struct {
	MassG number `json:"mass_g"`
	EINM2 number `json:"ei_nm2"`
	Money number `json:"money"`
}

// A pointJSON is a layout with its figures. Flex, scatter and EI are of the section the model means unless they say otherwise.
type pointJSON struct {
	ID                int           `json:"id"`
	CoreMassG         number        `json:"core_mass_g"`
	PressedMassG      number        `json:"pressed_mass_g"` // null: a layer has no density
	EINM2             number        `json:"ei_nm2"`
	FlexNPerMM        number        `json:"flex_n_per_mm"` // null: no support span
	Cost              *string       `json:"cost"`          // decimal; null: no prices
	ProfileFactor     number        `json:"profile_factor"`
	ScatterPct        number        `json:"scatter_pct"` // of EI at the measuring station; null: a wood's is not known
	FastGrownPct      number        `json:"fast_grown_pct"`
	Strips            []runJSON     `json:"strips"`
	Stations          []stationJSON `json:"stations"`
	Knee              bool          `json:"knee"`
	Cheapest          bool          `json:"cheapest"`
	CertifiedPct      number        `json:"certified_pct"`
	WoodMassG         number        `json:"wood_mass_g"`
	GlueMassG         number        `json:"glue_mass_g"`
	CoreEINM2         number        `json:"core_ei_nm2"`
	PressedEINM2      number        `json:"pressed_ei_nm2"`
	CoreFlexNPerMM    number        `json:"core_flex_n_per_mm"`
	PressedFlexNPerMM number        `json:"pressed_flex_n_per_mm"`
	ShearPct          number        `json:"shear_pct"`
	FlexScatterPct    number        `json:"flex_scatter_pct"`
	LeftRightPct      number        `json:"left_right_pct"`

	Holding   []holdingJSON  `json:"holding"`              // by position
	PreStress *preStressJSON `json:"pre_stress,omitempty"` // where strips are pre-strained
	Strength  *strengthJSON  `json:"strength,omitempty"`   // of a layout shown for itself, under a design load
}

type runJSON struct {
	Position string `json:"position"`
	Wood     string `json:"wood"`
	PerSide  int    `json:"per_side"`
}

type stationJSON struct {
	FromTipMM       number `json:"from_tip_mm"`
	CoreWidthMM     number `json:"core_width_mm"`
	CoreThicknessMM number `json:"core_thickness_mm"`
	EINM2           number `json:"ei_nm2"`
	CoreEINM2       number `json:"core_ei_nm2"`
	PressedEINM2    number `json:"pressed_ei_nm2"`
}

type windowJSON struct {
	FromTipMM number `json:"from_tip_mm"`
	LowNM2    number `json:"ei_low_nm2"`  // null: open
	HighNM2   number `json:"ei_high_nm2"` // null: open
}

type offerJSON struct {
	Wood          string          `json:"wood"`
	Stock         bool            `json:"stock"` // from the yard
	Supplier      string          `json:"supplier"`
	File          string          `json:"file"`
	Sheet         string          `json:"sheet"`
	Cell          string          `json:"cell"`
	Name          string          `json:"name"` // as the sheet names the wood
	Grade         string          `json:"grade"`
	ThicknessMM   number          `json:"thickness_mm"`
	WidthMM       number          `json:"width_mm"`
	LengthMM      number          `json:"length_mm"`
	Price         string          `json:"price"`
	PriceCurrency string          `json:"price_currency"`
	Unit          string          `json:"unit"`
	Certified     bool            `json:"certified"`
	DistanceKM    number          `json:"distance_km,omitempty"` // where its sheet gives it
	Strips        []stripCostJSON `json:"strips"`
}

type stripCostJSON struct {
	Positions     []string `json:"positions"`
	Cost          string   `json:"cost"` // of one strip, in the document's currency
	StripsPerUnit string   `json:"strips_per_unit"`
	Steps         []string `json:"steps"`
}

type leftOutJSON struct {
	Wood     string `json:"wood"`
	Position string `json:"position"` // empty: everywhere
	Why      string `json:"why"`
}

type infeasibleJSON struct {
	Clash       []string         `json:"clash"`
	Relaxations []relaxationJSON `json:"relaxations"` // each alone helps
	Together    []relaxationJSON `json:"together"`
	Undecided   []string         `json:"undecided,omitempty"` // whether relaxing these helps could not be found out
}

type relaxationJSON struct {
	Limit    string `json:"limit"`
	Where    string `json:"where"`
	To       string `json:"to"`
	Sentence string `json:"sentence"`
}

// FrontJSON writes a front, or why there is none, as one JSON document. Numbers stand in plain notation at the
// result's resolution, money as decimal text, what is not known as null.
func FrontJSON(w io.Writer, r *optimize.FrontResult) error {
	p := r.Program
	doc := frontJSON{
		Model: p.Model, Complete: r.Complete, Resolution: resolutionDoc(p), Points: []pointJSON{}, Solves: r.Solves, Method: string(r.Method),
		Why: r.Why, Unsearched: r.Unsearched, Unproven: r.Unproven, Objectives: []string{}, Section: string(p.Board.Section),
		MeasureAtMM: short(p.Board.MeasureAtMM), Currency: p.Currency, Windows: windowDocs(p), Offers: offerDocs(p),
		LeftOut: leftOutDocs(p), Cautions: Cautions,
	}
	for _, o := range r.Objectives {
		doc.Objectives = append(doc.Objectives, string(o))
	}
	for _, pt := range r.Points {
		doc.Points = append(doc.Points, pointDoc(p, pt))
	}
	if p.Reference != nil {
		doc.Reference = runDocs(layoutRuns(p.Board, p.Reference))
	}
	if in := r.Infeasible; in != nil {
		doc.Infeasible = infeasibleDoc(in)
	}
	return writeJSON(w, doc)
}

// CheckJSON writes one layout as one JSON document, in the same terms as [FrontJSON].
func CheckJSON(w io.Writer, c *optimize.CheckResult) error {
	p := c.Program
	s, err := strengthOf(p, c.Point.Layout)
	if err != nil {
		return err
	}
	pt := pointDoc(p, c.Point)
	pt.Strength = strengthDoc(p, s)
	return writeJSON(w, checkJSON{
		Model: p.Model, KeepsLimits: len(c.Broken) == 0, Broken: append([]string{}, c.Broken...), Resolution: resolutionDoc(p),
		Point: pt, Section: string(p.Board.Section), MeasureAtMM: short(p.Board.MeasureAtMM),
		Currency: p.Currency, Windows: windowDocs(p), Offers: offerDocs(p), LeftOut: leftOutDocs(p), Cautions: Cautions,
	})
}

func writeJSON(w io.Writer, doc any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(doc); err != nil {
		return err
	}
	_, err := w.Write(escaped(b.Bytes()))
	return err
}

// escaped is JSON in which what would steer a terminal is written as \u and digits. Outside of strings there is no such
// character but the line break.
func escaped(doc []byte) []byte {
	if !bytes.ContainsFunc(doc, steersInJSON) {
		return doc
	}
	out := make([]byte, 0, len(doc)+64)
	for _, r := range string(doc) {
		if steersInJSON(r) {
			out = fmt.Appendf(out, "\\u%04x", r)
			continue
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}

func steersInJSON(r rune) bool { return steers(r) && r != '\n' && r != utf8.RuneError }

func resolutionDoc(p *optimize.Program) resolutionJSON {
	r := resolution(p)
	return resolutionJSON{short(r.MassG), short(r.EINM2), short(r.Money)}
}

func pointDoc(p *optimize.Program, pt optimize.Point) pointJSON {
	f, steps := pt.Figures, resolution(p)
	gram, stiff := decimals(steps.MassG), decimals(steps.EINM2)
	doc := pointJSON{
		ID: pt.ID, CoreMassG: fixed(pt.CoreMassG, gram), PressedMassG: fixedIf(f.PressedMassKnown, f.PressedMassG, gram),
		EINM2: fixed(pt.EINM2, stiff), FlexNPerMM: fixedIf(f.Flex.Known, flexOf(p.Board, &pt), 3), ProfileFactor: short(pt.ProfileFactor),
		ScatterPct: fixedIf(f.Scatter.Known, f.Scatter.EIPct, 2), FastGrownPct: fixed(pt.FastGrownPct, 2),
		Strips: runDocs(pt.Runs), Stations: []stationJSON{}, Knee: pt.Knee, Cheapest: pt.Cheapest,
		CertifiedPct: fixed(pt.CertifiedPct, 2), WoodMassG: fixed(f.WoodMassG, gram), GlueMassG: fixed(f.GlueMassG, gram),
		CoreEINM2: fixed(f.Measure.CoreEINM2, stiff), PressedEINM2: fixed(f.Measure.PressedEINM2, stiff),
		CoreFlexNPerMM:    fixedIf(f.Flex.Known, f.Flex.CoreNPerMM, 3),
		PressedFlexNPerMM: fixedIf(f.Flex.Known, f.Flex.PressedNPerMM, 3), ShearPct: fixedIf(f.Flex.Known, f.Flex.ShearPct, 3),
		FlexScatterPct: fixedIf(f.Scatter.Known && f.Flex.Known, f.Scatter.FlexPct, 2),
		LeftRightPct:   fixedIf(f.Scatter.Known, f.Scatter.LeftRightPct, 2),
		Holding:        holdingDocs(p, &pt), PreStress: preStressDoc(p.Board, f.PreStress),
	}
	if pt.HasCost {
		cost := amount(pt.Cost, moneyDecimals(p))
		doc.Cost = &cost
	}
	for _, s := range f.Stations {
		doc.Stations = append(doc.Stations, stationJSON{
			FromTipMM: short(s.FromTipMM), CoreWidthMM: short(s.WidthMM), CoreThicknessMM: short(s.ThicknessMM),
			EINM2: fixed(s.EINM2(p.Board.Section), stiff), CoreEINM2: fixed(s.CoreEINM2, stiff), PressedEINM2: fixed(s.PressedEINM2, stiff),
		})
	}
	return doc
}

func runDocs(runs []optimize.Run) []runJSON {
	docs := []runJSON{}
	for _, r := range runs {
		docs = append(docs, runJSON(r))
	}
	return docs
}

// layoutRuns are a layout's runs of equal strips, from the centre line outward; nothing when it is not one of the board's.
func layoutRuns(b *core.Board, l core.Layout) []optimize.Run {
	strips := b.Strips()
	if len(l) != len(strips) {
		return nil
	}
	var runs []optimize.Run
	for i, s := range strips {
		position, wood := b.Positions[s.Position].Name, b.Woods[l[i]].ID
		if n := len(runs); n > 0 && strips[i-1].Position == s.Position && runs[n-1].Wood == wood {
			runs[n-1].PerSide += s.PerSide
		} else {
			runs = append(runs, optimize.Run{Position: position, Wood: wood, PerSide: s.PerSide})
		}
	}
	return runs
}

func windowDocs(p *optimize.Program) []windowJSON {
	docs := []windowJSON{}
	for _, w := range p.Limits.Windows {
		end := func(l optimize.Limit) number {
			if !l.Set {
				return ""
			}
			return short(l.Value)
		}
		docs = append(docs, windowJSON{short(w.FromTipMM), end(w.Low), end(w.High)})
	}
	return docs
}

func offerDocs(p *optimize.Program) []offerJSON {
	docs := []offerJSON{}
	for _, c := range p.Candidates {
		for _, pr := range prices(p.Board, c) {
			o := pr.offer
			doc := offerJSON{
				Wood: p.Board.Woods[c.Wood].ID, Stock: pr.stock, Supplier: o.Supplier, File: o.File, Sheet: o.Sheet, Cell: offerCell(o),
				Name: o.Name, Grade: o.Grade, ThicknessMM: short(o.Plank.ThicknessMM), WidthMM: short(o.Plank.WidthMM),
				LengthMM: short(o.Plank.LengthMM), Price: sheetPrice(o.Price), PriceCurrency: o.Currency, Unit: string(o.Unit),
				Certified: o.Certified,
			}
			if o.HasDistance {
				doc.DistanceKM = number(o.DistanceKM.String())
			}
			for _, s := range pr.costs {
				doc.Strips = append(doc.Strips, stripCostJSON{slices.Clone(s.positions), stripMoney(s.price.Cost),
					s.price.StripsPerUnit.String(), reckoning(s.price)})
			}
			docs = append(docs, doc)
		}
	}
	return docs
}

func leftOutDocs(p *optimize.Program) []leftOutJSON {
	docs := []leftOutJSON{}
	for _, l := range p.LeftOut {
		docs = append(docs, leftOutJSON(l))
	}
	return docs
}

func relaxationDocs(rs []optimize.Relaxation) []relaxationJSON {
	docs := []relaxationJSON{}
	for _, r := range rs {
		docs = append(docs, relaxationJSON{r.Limit, r.Where, r.To, r.Sentence})
	}
	return docs
}
