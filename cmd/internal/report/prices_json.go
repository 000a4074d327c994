package report

import (
	"io"
	"time"

	"github.com/shopspring/decimal"
)

type pricesJSON struct {
	Offers      []priceOfferJSON `json:"offers"` // by wood, the cheapest per m³ first
	Findings    []findingJSON    `json:"findings"`
	Rows        rowsJSON         `json:"rows"`
	Job         string           `json:"job"`
	Model       string           `json:"model"` // empty: every model
	CurrencyJob string           `json:"currency_job"`
	Cuts        []cutJSON        `json:"cuts"`
	Stock       []priceOfferJSON `json:"stock"` // in the shape of offers; the price is its value
	Files       []priceFileJSON  `json:"files"`
}

// A priceOfferJSON is one offer. Quantities are in the unit of the price; price_per_m3 is in currency_job and null when that has
// no rate; strips_per_unit is of the document's first cut, strips has every cut.
type priceOfferJSON struct {
	Supplier      string           `json:"supplier"`
	File          string           `json:"file"`
	Sheet         string           `json:"sheet"`
	Cell          string           `json:"cell"`
	Wood          string           `json:"wood"`
	Grade         string           `json:"grade"`
	ThicknessMM   number           `json:"thickness_mm"`
	WidthMM       number           `json:"width_mm"`
	LengthMM      number           `json:"length_mm"`
	Price         string           `json:"price"`
	Currency      string           `json:"currency"`
	Unit          string           `json:"unit"`
	MinQuantity   number           `json:"min_quantity"` // null: none
	PricePerM3    *string          `json:"price_per_m3"`
	CurrencyJob   string           `json:"currency_job"`
	StripsPerUnit number           `json:"strips_per_unit"` // null: it gives no such strip
	Name          string           `json:"name"`            // as the sheet names the wood
	Moisture      string           `json:"moisture"`
	Breaks        []breakJSON      `json:"breaks"`      // prices of larger quantities
	Incremental   bool             `json:"incremental"` // a break's price is for the part above it
	PackSize      number           `json:"pack_size"`   // null: none
	Available     number           `json:"available"`   // null: not said
	Certified     bool             `json:"certified"`
	LeadTimeDays  int              `json:"lead_time_days"`
	ReadyOn       *string          `json:"ready_on"`    // 2027-03-15; null: lead_time_days counts
	ValidUntil    *string          `json:"valid_until"` // null: the sheet does not say
	DistanceKM    number           `json:"distance_km"` // null: not said
	ReadyStrip    bool             `json:"ready_strip"`
	NominalMM     number           `json:"nominal_thickness_mm"` // that board feet are counted with; null: as thickness_mm
	GradeYieldPct number           `json:"grade_yield_pct"`      // null: the shop's counts
	CheapestPerM3 bool             `json:"cheapest_per_m3"`      // of its wood
	Notes         []string         `json:"notes"`
	Strips        []priceStripJSON `json:"strips"`
}

type breakJSON struct {
	From       number  `json:"from"`
	Price      string  `json:"price"`
	PricePerM3 *string `json:"price_per_m3"`
}

// A priceStripJSON is one cut from one offer: its figures, or why it gives none.
type priceStripJSON struct {
	Cut            int      `json:"cut"`             // its number in the document's cuts
	StripsPerUnit  number   `json:"strips_per_unit"` // of the price
	StripsPerPlank number   `json:"strips_per_plank"`
	Cost           *string  `json:"cost"`          // of one strip, in currency_job
	Cheapest       bool     `json:"cheapest"`      // to buy, of its wood
	UsedByFront    bool     `json:"used_by_front"` // what front reckons with
	Why            string   `json:"why,omitempty"`
	Steps          []string `json:"steps,omitempty"`
}

type cutJSON struct {
	Cut              int      `json:"cut"`
	Models           []string `json:"models"`
	StripWidthMM     number   `json:"strip_width_mm"`
	BlankThicknessMM number   `json:"blank_thickness_mm"`
	BlankLengthMM    number   `json:"blank_length_mm"`
	PreferCertified  bool     `json:"prefer_certified"`
}

type findingJSON struct {
	File    string `json:"file"`
	Sheet   string `json:"sheet"`
	Cell    string `json:"cell"`
	Problem string `json:"problem"`
	Advice  string `json:"advice"`
	Warning bool   `json:"warning"`
}

type rowsJSON struct {
	Data     int `json:"data"`
	Offers   int `json:"offers"`
	Findings int `json:"findings"`
}

type priceFileJSON struct {
	Supplier string   `json:"supplier"`
	File     string   `json:"file"`
	Read     bool     `json:"read"`
	Rows     rowsJSON `json:"rows"`
}

// PricesJSON writes every offer, stock line and finding as one JSON document; with steps, how each strip was reckoned.
func PricesJSON(w io.Writer, c *Comparison, steps bool) error {
	p := c.Prices
	doc := pricesJSON{Offers: []priceOfferJSON{}, Findings: []findingJSON{}, Rows: rowsJSON(c.rows), Job: p.Job, Model: p.Model,
		CurrencyJob: p.Currency, Cuts: []cutJSON{}, Stock: []priceOfferJSON{}, Files: []priceFileJSON{}}
	for i := range c.lines {
		if l := &c.lines[i]; l.stock {
			doc.Stock = append(doc.Stock, c.offerDoc(l, steps))
		} else {
			doc.Offers = append(doc.Offers, c.offerDoc(l, steps))
		}
	}
	for _, f := range c.found {
		doc.Findings = append(doc.Findings, findingJSON{f.File, f.Sheet, f.Cell(), f.Problem, f.Advice, f.Warning})
	}
	for i, k := range p.Cuts {
		doc.Cuts = append(doc.Cuts, cutJSON{i + 1, append([]string{}, k.Models...), short(k.StripWidthMM), short(k.Blank.ThicknessMM),
			short(k.Blank.LengthMM), k.PreferCertified})
	}
	for _, f := range p.Files {
		doc.Files = append(doc.Files, priceFileJSON{f.Supplier, f.File, !f.Unreadable, rowsJSON(f.Rows)})
	}
	return writeJSON(w, doc)
}

func (c *Comparison) offerDoc(l *priceLine, steps bool) priceOfferJSON {
	o := l.offer
	doc := priceOfferJSON{
		Supplier: o.Supplier, File: o.File, Sheet: o.Sheet, Cell: offerCell(o), Wood: o.Wood, Grade: o.Grade,
		ThicknessMM: short(o.Plank.ThicknessMM), WidthMM: short(o.Plank.WidthMM), LengthMM: short(o.Plank.LengthMM),
		Price: sheetPrice(o.Price), Currency: o.Currency, Unit: string(o.Unit), MinQuantity: quantity(o.MinQuantity), PricePerM3: l.perM3Doc(0),
		CurrencyJob: c.Currency, Name: o.Name, Moisture: o.Moisture, Breaks: []breakJSON{}, Incremental: o.Incremental,
		PackSize: quantity(o.PackSize), Certified: o.Certified, LeadTimeDays: o.LeadTimeDays, ReadyOn: dayDoc(o.ReadyOn),
		ValidUntil: dayDoc(o.ValidUntil), ReadyStrip: o.ReadyStrip, NominalMM: shortIf(o.NominalMM), GradeYieldPct: shortIf(o.YieldPct),
		CheapestPerM3: l.cheapestPerM3, Notes: append([]string{}, o.Notes...), Strips: []priceStripJSON{},
	}
	if o.HasDistance {
		doc.DistanceKM = number(o.DistanceKM.String())
	}
	if o.HasAvailable {
		doc.Available = number(o.Available.String())
	}
	for i, b := range o.Breaks {
		doc.Breaks = append(doc.Breaks, breakJSON{number(b.From.String()), sheetPrice(b.Price), l.perM3Doc(i + 1)})
	}
	for k, s := range l.strips {
		strip := priceStripJSON{Cut: k + 1, Cheapest: s.cheapest, UsedByFront: s.used, Why: s.why}
		if s.ok() {
			cost := stripMoney(s.cost)
			strip.StripsPerUnit, strip.StripsPerPlank, strip.Cost = quantity(s.perUnit), quantity(s.perPlank), &cost
			if steps {
				strip.Steps = c.steps(l, k)
			}
		}
		doc.Strips = append(doc.Strips, strip)
	}
	if len(doc.Strips) > 0 {
		doc.StripsPerUnit = doc.Strips[0].StripsPerUnit
	}
	return doc
}

// perM3Doc is the price of a m³ in job money, of the price (0) or of a break; nil when there is none.
func (l *priceLine) perM3Doc(tier int) *string {
	if tier >= len(l.perM3) {
		return nil
	}
	s := amount(l.perM3[tier], 2)
	return &s
}

// quantity is a quantity in plain notation; null when it is 0, which stands for none.
func quantity(d decimal.Decimal) number {
	if d.IsZero() {
		return ""
	}
	return number(d.String())
}

// shortIf is v as people typed it; null when it is 0, which stands for not given.
func shortIf(v float64) number {
	if v == 0 {
		return ""
	}
	return short(v)
}

// dayDoc is a day as 2027-03-15; nil when there is none.
func dayDoc(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	s := t.Format(time.DateOnly)
	return &s
}
