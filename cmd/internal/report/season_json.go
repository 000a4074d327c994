package report

import (
	"io"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
)

// Money in a season's document is decimal text; what is in the supplier's own currency says so by its name.
type seasonJSON struct {
	Proven           bool                `json:"proven"`
	Why              string              `json:"why,omitempty"`
	Mode             string              `json:"mode"`
	Currency         string              `json:"currency"`
	Cost             string              `json:"cost"`
	Bound            string              `json:"bound"`
	GapPct           number              `json:"gap_pct"`
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
	Cautions         []string            `json:"cautions"`
}

// A seasonAgainstJSON is a plan that the season's is set against.
type seasonAgainstJSON struct {
	Cost     *string `json:"cost"` // null: there is none
	Bound    *string `json:"bound"`
	Proven   bool    `json:"proven"`
	Saved    *string `json:"saved"` // by the season's plan
	SavedPct number  `json:"saved_pct"`
	Why      string  `json:"why,omitempty"`
}

type seasonModelJSON struct {
	Model    string    `json:"model"`
	Build    int       `json:"build"`
	Sold     int       `json:"sold"`
	NeededBy *string   `json:"needed_by"`
	Kept     bool      `json:"kept"`
	Point    pointJSON `json:"point"`
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
		Proven: p.Proven, Why: p.Why, Mode: string(p.Mode), Currency: v.s.Currency, Cost: amount(p.Cost, 2), Bound: amount(p.Bound, 2), GapPct: fixed(p.GapPct(), 4),
		GoodsCost: amount(totals.goods, 2), FreightCost: amount(totals.freight, 2), StockCost: amount(totals.stock, 2),
		LayoutsFirst: againstDoc(p, v.First, v.FirstWhy), LayoutsKept: againstDoc(p, v.Kept, v.KeptWhy), OrderingDay: textIf(v.s.OrderingDay),
		FastGrownPct: fixed(sh.fast, 2), FastBoughtPct: fixed(sh.fastBought, 2), CertifiedPct: fixed(sh.cert, 2),
		Models: []seasonModelJSON{}, Orders: []seasonOrderJSON{}, Stock: []seasonStockJSON{}, Strips: []seasonStripJSON{}, LeftOut: []seasonLeftOutJSON{}, Cautions: Cautions,
	}
	if doc.LayoutsFirst != nil {
		doc.LayoutsFirstCost = doc.LayoutsFirst.Cost
	}
	for m, model := range v.s.Models {
		doc.Models = append(doc.Models, seasonModelJSON{model.Program.Model, model.Build, model.Sold, textIf(neededBy(v.s, m)), v.isKept(m), pointDoc(model.Program, p.Points[m])})
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

func againstDoc(p, other *optimize.SeasonPlan, why string) *seasonAgainstJSON {
	switch {
	case other == nil && why == "":
		return nil
	case other == nil:
		return &seasonAgainstJSON{Why: why}
	}
	cost, bound, saved := amount(other.Cost, 2), amount(other.Bound, 2), other.Cost.Sub(p.Cost)
	words := amount(saved, 2)
	return &seasonAgainstJSON{&cost, &bound, other.Proven, &words, fixed(percent(saved.InexactFloat64(), other.Cost.InexactFloat64()), 4), other.Why}
}

func (v *seasonView) lineDoc(l *seasonLine) seasonLineJSON {
	o := l.lot.Offer
	return seasonLineJSON{Wood: l.wood, File: o.File, Sheet: o.Sheet, Cell: offerCell(o), Name: o.Name, Grade: o.Grade, ThicknessMM: short(o.Plank.ThicknessMM),
		WidthMM: short(o.Plank.WidthMM), LengthMM: short(o.Plank.LengthMM), Quantity: exactly(l.quantity()), Unit: string(o.Unit), Planks: exactly(l.planks), M3: exactly(l.m3),
		Price: sheetPrice(l.unitPrice()), PriceNote: l.priceWords(), Cost: amount(l.line.Goods, 2), Freight: amount(l.line.Freight, 2), OwnCost: amount(l.own, 2),
		Certified: o.Certified, NeededBy: textIf(l.needed), OrderBy: textIf(l.orderBy), Cuts: v.cutDocs(l), LeftPlanks: exactly(l.leftPlanks())}
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
