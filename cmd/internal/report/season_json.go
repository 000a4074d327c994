package report

import (
	"io"

	"github.com/shopspring/decimal"

	"stavewright/optimize/season"
)

// Money in a season's document is decimal text; what is in the supplier's own currency says so by its name.
//
// A key that ends in _low or _high stands beside one without: that is the difference of two plans, these are what is known of the difference of the
// two least costs, by the proven bounds. They are equal when both plans are proven, and null when a bound is missing.
type seasonJSON struct {
	Proven           bool                `json:"proven"` // no plan costs less than cost
	Done             bool                `json:"done"`   // proven, or no plan costs less than cost by more than was asked
	Why              string              `json:"why,omitempty"`
	Mode             string              `json:"mode"`
	Currency         string              `json:"currency"`
	Cost             string              `json:"cost"`
	Bound            string              `json:"bound"`   // no plan costs less; 0.00: not known
	GapPct           number              `json:"gap_pct"` // how far cost is above bound, in % of cost
	GoodsCost        string              `json:"goods_cost"`
	FreightCost      string              `json:"freight_cost"`
	StockCost        string              `json:"stock_cost"`
	LayoutsFirstCost *string             `json:"layouts_first_cost"` // null: not asked for, or there is no such plan
	LayoutsFirst     *seasonAgainstJSON  `json:"layouts_first"`
	LayoutsKept      *seasonAgainstJSON  `json:"layouts_kept"`
	OrderingDay      *string             `json:"ordering_day"`
	FastGrownPct     number              `json:"fast_grown_pct"`
	FastBoughtPct    number              `json:"fast_grown_lumber_pct"`
	CertifiedPct     number              `json:"certified_pct"`
	Models           []seasonModelJSON   `json:"models"`
	Orders           []seasonOrderJSON   `json:"orders"`
	Stock            []seasonStockJSON   `json:"stock"`
	Strips           []seasonStripJSON   `json:"strips"`
	WhatIfs          []whatIfJSON        `json:"what_ifs"`
	Steps            []stepJSON          `json:"fast_grown_steps"`
	LeftOut          []seasonLeftOutJSON `json:"left_out"`
	Warnings         []string            `json:"warnings"`
	Cautions         []string            `json:"cautions"`
}

// A seasonAgainstJSON is a plan that the season's is compared with.
type seasonAgainstJSON struct {
	Cost      *string `json:"cost"` // null: there is none
	Bound     *string `json:"bound"`
	Proven    bool    `json:"proven"`
	Done      bool    `json:"done"`
	Saved     *string `json:"saved"` // by the season's plan
	SavedLow  *string `json:"saved_low"`
	SavedHigh *string `json:"saved_high"`
	SavedPct  number  `json:"saved_pct"`
	Why       string  `json:"why,omitempty"`
}

// A seasonModelJSON is a model's part of the plan. Its costs add up to the season's; cost and shares of its point are those of its part.
type seasonModelJSON struct {
	Model    string           `json:"model"`
	Recipe   string           `json:"recipe,omitempty"`
	Build    int              `json:"build"`
	Sold     int              `json:"sold"`
	NeededBy *string          `json:"needed_by"`
	Cost     string           `json:"cost"`           // of all its boards
	Ride     string           `json:"ride,omitempty"` // what holds its ride where the book has no targets
	Kept     bool             `json:"kept"`
	Today    *seasonTodayJSON `json:"today"` // of the layout it keeps; null: it has none
	Point    pointJSON        `json:"point"`
}

type seasonTodayJSON struct {
	CoreMassG  number `json:"core_mass_g"`
	EINM2      number `json:"ei_nm2"`
	FlexNPerMM number `json:"flex_n_per_mm"`
}

type seasonOrderJSON struct {
	Supplier   string           `json:"supplier"`
	Lines      []seasonLineJSON `json:"lines"`
	Goods      string           `json:"goods"`
	Freight    string           `json:"freight"`
	Total      string           `json:"total"`
	OrderBy    *string          `json:"order_by"`
	OwnMoney   string           `json:"supplier_currency"`
	Rate       number           `json:"rate"`
	OwnGoods   string           `json:"goods_supplier_currency"`
	OwnFreight string           `json:"freight_supplier_currency"`
	OwnTotal   string           `json:"total_supplier_currency"`
}

type seasonLineJSON struct {
	Wood        string          `json:"wood"`
	File        string          `json:"file"`
	Sheet       string          `json:"sheet"`
	Cell        string          `json:"cell"`
	Name        string          `json:"name"` // the supplier's
	Grade       string          `json:"grade"`
	ThicknessMM number          `json:"thickness_mm"`
	WidthMM     number          `json:"width_mm"`
	LengthMM    number          `json:"length_mm"`
	Quantity    number          `json:"quantity"`
	Unit        string          `json:"unit"`
	Planks      number          `json:"planks"`
	M3          number          `json:"m3"`
	Price       string          `json:"price"` // per unit; of the first unit where breaks hold for the part above them
	PriceNote   string          `json:"price_note,omitempty"`
	Cost        string          `json:"cost"`
	Freight     string          `json:"freight"` // by volume
	OwnCost     string          `json:"cost_supplier_currency"`
	Certified   bool            `json:"certified"`
	NeededBy    *string         `json:"needed_by"`
	OrderBy     *string         `json:"order_by"`
	Dry         int             `json:"conditioning_days"`
	UsableFrom  *string         `json:"usable_from"` // when it is ordered on ordering_day
	Cuts        []seasonCutJSON `json:"cuts"`
	LeftPlanks  number          `json:"left_planks"` // that nothing is cut from
}

type seasonCutJSON struct {
	WidthMM        number  `json:"width_mm"`
	ThicknessMM    number  `json:"thickness_mm"`
	LengthMM       number  `json:"length_mm"`
	NeededBy       *string `json:"needed_by"`
	Strips         int     `json:"strips"`
	StripsPerPlank number  `json:"strips_per_plank"`
}

type seasonStockJSON struct {
	Wood       string          `json:"wood"`
	Row        int             `json:"row"` // of the Stock sheet
	Planks     number          `json:"planks"`
	Left       number          `json:"left"`
	Cost       string          `json:"cost"`
	Cuts       []seasonCutJSON `json:"cuts"`
	LeftPlanks number          `json:"left_planks"`
}

type seasonStripJSON struct {
	Wood        string   `json:"wood"`
	WidthMM     number   `json:"width_mm"`
	ThicknessMM number   `json:"thickness_mm"`
	LengthMM    number   `json:"length_mm"`
	NeededBy    *string  `json:"needed_by"`
	Strips      int      `json:"strips"`
	Models      []string `json:"models"`
}

type seasonLeftOutJSON struct {
	Supplier string `json:"supplier"`
	Wood     string `json:"wood"`
	File     string `json:"file"`
	Sheet    string `json:"sheet"`
	Cell     string `json:"cell"`
	Part     bool   `json:"part"` // it is used, or could be, for other strips
	Why      string `json:"why"`
}

// SeasonJSON writes a season as one JSON document, its points as [FrontJSON] writes them.
func SeasonJSON(w io.Writer, r *Season) error {
	v, err := newSeasonView(r)
	if err != nil {
		return err
	}
	p, sh, totals := v.p, v.share(), totalsOf(v.p)
	doc := seasonJSON{
		Proven: p.Proven, Done: p.Done, Why: p.Why, Mode: string(p.Mode), Currency: v.s.Currency, Cost: amount(p.Cost, 2), Bound: amount(p.Bound, 2), GapPct: fixed(p.GapPct(), 4),
		GoodsCost: amount(totals.goods, 2), FreightCost: amount(totals.freight, 2), StockCost: amount(totals.stock, 2),
		LayoutsFirst: againstDoc(p, v.First), LayoutsKept: againstDoc(p, v.Kept), OrderingDay: textIf(v.s.OrderingDay),
		FastGrownPct: fixed(sh.fast, 2), FastBoughtPct: fixed(sh.fastBought, 2), CertifiedPct: fixed(sh.cert, 2),
		Models: []seasonModelJSON{}, Orders: []seasonOrderJSON{}, Stock: []seasonStockJSON{}, Strips: []seasonStripJSON{}, LeftOut: []seasonLeftOutJSON{},
		Warnings: append([]string{}, v.recipeWords()...), Cautions: Cautions,
	}
	if doc.LayoutsFirst != nil {
		doc.LayoutsFirstCost = doc.LayoutsFirst.Cost
	}
	for m, model := range v.s.Models {
		d := seasonModelJSON{Model: model.Program.Model, Recipe: model.Recipe, Build: model.Build, Sold: model.Sold, NeededBy: textIf(neededBy(v.s, m)),
			Cost: amount(v.parts[m].Cost, 2), Ride: model.Ride, Kept: v.isKept(m), Point: pointDoc(model.Program, p.Points[m])}
		if v.today[m] != nil {
			is := pointDoc(model.Program, *v.today[m])
			d.Today = &seasonTodayJSON{is.CoreMassG, is.EINM2, is.FlexNPerMM}
		}
		doc.Models = append(doc.Models, d)
	}
	for _, o := range v.orders {
		order := seasonOrderJSON{Supplier: o.supplier.Name, Lines: []seasonLineJSON{}, Goods: amount(o.order.Goods, 2), Freight: amount(o.order.Freight, 2), Total: amount(o.order.Total, 2),
			OrderBy: textIf(o.orderBy), OwnMoney: o.supplier.Currency, Rate: number(o.supplier.Rate.String()), OwnGoods: amount(o.own.goods, 2),
			OwnFreight: amount(o.own.perOrder.Add(o.own.byVolume), 2), OwnTotal: amount(o.own.total, 2)}
		for _, l := range o.lines {
			order.Lines = append(order.Lines, v.lineDoc(l))
		}
		doc.Orders = append(doc.Orders, order)
	}
	for _, l := range v.stock {
		doc.Stock = append(doc.Stock, seasonStockJSON{l.wood, l.lot.Offer.Row, exactly(l.line.Quantity), exactly(l.lot.Offer.Available.Sub(l.line.Quantity)), amount(l.line.Goods, 2),
			v.cutDocs(l), exactly(l.leftPlanks())})
	}
	for _, k := range v.kinds {
		doc.Strips = append(doc.Strips, seasonStripJSON{k.kind.Wood, short(k.kind.WidthMM), short(k.kind.ThicknessMM), short(k.kind.LengthMM), textIf(k.kind.NeededBy), k.needed, k.models})
	}
	for _, l := range v.s.LeftOut {
		doc.LeftOut = append(doc.LeftOut, seasonLeftOutJSON{l.Offer.Supplier, l.Offer.Wood, l.Offer.File, l.Offer.Sheet, offerCell(l.Offer), l.Part, l.Why})
	}
	doc.WhatIfs = v.whatIfDocs()
	if doc.Steps, err = v.stepDocs(); err != nil {
		return err
	}
	return writeJSON(w, doc)
}

func againstDoc(p *season.Plan, a *season.Answer) *seasonAgainstJSON {
	switch {
	case a == nil:
		return nil
	case a.Plan == nil:
		return &seasonAgainstJSON{Why: a.None.Error()}
	}
	d := &seasonAgainstJSON{Proven: a.Plan.Proven, Done: a.Plan.Done, Why: a.Plan.Why, SavedPct: fixed(pctOf(a.Plan.Cost.Sub(p.Cost), a.Plan.Cost), 4)}
	d.Cost, d.Bound, d.Saved, d.SavedLow, d.SavedHigh = answerDoc(p, a)
	return d
}

// answerDoc are an answer's cost and bound, its plan's cost above p's, and what is known of the difference.
func answerDoc(p *season.Plan, a *season.Answer) (cost, bound, more, low, high *string) {
	text := func(d decimal.Decimal) *string {
		s := amount(d, 2)
		return &s
	}
	if a.Plan == nil {
		return nil, nil, nil, nil, nil
	}
	if a.Dearer.Known {
		low, high = text(a.Dearer.Low), text(a.Dearer.High)
	}
	return text(a.Plan.Cost), text(a.Plan.Bound), text(a.Plan.Cost.Sub(p.Cost)), low, high
}

func (v *seasonView) lineDoc(l *seasonLine) seasonLineJSON {
	o := l.lot.Offer
	return seasonLineJSON{Wood: l.wood, File: o.File, Sheet: o.Sheet, Cell: offerCell(o), Name: o.Name, Grade: o.Grade, ThicknessMM: short(o.Plank.ThicknessMM),
		WidthMM: short(o.Plank.WidthMM), LengthMM: short(o.Plank.LengthMM), Quantity: exactly(l.quantity()), Unit: string(o.Unit), Planks: exactly(l.planks), M3: exactly(l.m3),
		Price: sheetPrice(l.unitPrice()), PriceNote: l.priceWords(), Cost: amount(l.line.Goods, 2), Freight: amount(l.line.Freight, 2), OwnCost: amount(l.own, 2),
		Certified: o.Certified, NeededBy: textIf(l.needed), OrderBy: textIf(l.orderBy), Dry: l.lot.Conditioning, UsableFrom: textIf(l.lot.UsableFrom), Cuts: v.cutDocs(l), LeftPlanks: exactly(l.leftPlanks())}
}

func (v *seasonView) cutDocs(l *seasonLine) []seasonCutJSON {
	docs := []seasonCutJSON{}
	for _, c := range l.line.Cuts {
		k := &v.s.Kinds[c.Kind]
		docs = append(docs, seasonCutJSON{short(k.WidthMM), short(k.ThicknessMM), short(k.LengthMM), textIf(k.NeededBy), c.Strips, exactly(l.use(c.Kind).Strips)})
	}
	return docs
}

// exactly is a decimal as a JSON number.
func exactly(d decimal.Decimal) number { return number(d.String()) }

// textIf is a text; nil for none.
func textIf(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}
