package book

import (
	"fmt"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// Program is one model's question: its board, the woods that may be used where and at what price, and its limits. offers
// are those of every supplier's price sheet; they count only where the book has suppliers or stock. A finding that is an error
// means that there is no program: an unknown model, or a position for which no wood can be had.
func (j *Job) Program(model string, offers []sourcing.Offer) (*optimize.Program, sourcing.Findings) {
	md, err := j.Model(model)
	if err != nil {
		return nil, sourcing.Findings{{File: j.File, Sheet: "Models", Problem: sentence(err), Advice: "name one of them"}}
	}
	b := &programBuilder{job: j, md: md, offers: offers, prices: map[priceKey]priced{}}
	b.pick()
	p := b.program()
	b.found.Sort()
	if len(b.found.Errors()) > 0 {
		return nil, b.found
	}
	return p, b.found
}

type priceKey struct {
	wood  string
	width float64
}

type priced struct {
	price *sourcing.StripPrice
	why   string // when there is none
}

// A programBuilder turns a model into a program.
type programBuilder struct {
	job     *Job
	md      *Model
	offers  []sourcing.Offer
	found   sourcing.Findings
	prices  map[priceKey]priced
	usable  [][]string // by position: ids of the woods that may be used there
	leftOut []optimize.LeftOut
}

// price is the cheapest way to a strip of a wood at this blank.
func (b *programBuilder) price(wood string, width float64) priced {
	k := priceKey{wood, width}
	if p, ok := b.prices[k]; ok {
		return p
	}
	blank := sourcing.Blank{LengthMM: b.md.BlankLengthMM, ThicknessMM: b.md.BlankThicknessMM}
	best, rejected := sourcing.Cheapest(b.offers, b.job.Stock, wood, width, blank, b.job.Shop.Shop, b.job.Shop.Rates, b.md.Limits.MinCertPct.Set)
	p := priced{price: best}
	if best == nil {
		p.why = "no offer and no stock"
		var whys []string
		for _, r := range rejected {
			whys = append(whys, fmt.Sprintf("%s: %s", offerPlace(r.Offer), r.Why))
		}
		if len(whys) > 0 {
			p.why = strings.Join(whys, "; ")
		}
	}
	b.prices[k] = p
	return p
}

// offerPlace says where an offer or a stock line stands.
func offerPlace(o *sourcing.Offer) string {
	f := sourcing.Finding{Row: o.Row, Col: o.Col}
	if o.File == "" {
		return fmt.Sprintf("%s row %s", o.Sheet, f.Cell())
	}
	return fmt.Sprintf("%s %s!%s", o.File, o.Sheet, f.Cell())
}

// considered are the woods that a position without a list of its own may take: those with an offer or in stock or of the
// Woods sheet; without prices those of the Woods sheet; when there are none, every wood of the table. In table order.
func (b *programBuilder) considered() []string {
	var ids []string
	for _, w := range b.job.Woods.Woods() {
		offered := slices.ContainsFunc(b.offers, func(o sourcing.Offer) bool { return o.Wood == w.ID }) ||
			slices.ContainsFunc(b.job.Stock, func(s sourcing.StockLine) bool { return s.Wood == w.ID })
		if slices.Contains(b.job.listed, w.ID) || b.job.HasPrices() && offered {
			ids = append(ids, w.ID)
		}
	}
	if len(ids) > 0 || b.job.HasPrices() {
		return ids
	}
	for _, w := range b.job.Woods.Woods() {
		ids = append(ids, w.ID)
	}
	return ids
}

// pick decides which woods may be used at each position, and says of the others why not.
func (b *programBuilder) pick() {
	considered := b.considered()
	b.usable = make([][]string, len(b.md.Positions))
	type out struct{ wood, why string }
	outAt := map[out][]int{} // the positions at which a wood is left out for one reason
	var order []out
	tried := map[string]int{} // how many positions consider a wood at all
	for i, p := range b.md.Positions {
		ids := p.Allowed
		if ids == nil {
			ids = considered
		}
		var whys []string
		for _, id := range ids {
			tried[id]++
			why := b.unusable(id, p.StripWidthMM)
			if why == "" {
				b.usable[i] = append(b.usable[i], id)
				continue
			}
			o := out{id, why}
			if outAt[o] == nil {
				order = append(order, o)
			}
			outAt[o] = append(outAt[o], i)
			whys = append(whys, fmt.Sprintf("%s (%s)", id, why))
		}
		if len(b.usable[i]) > 0 {
			continue
		}
		problem := fmt.Sprintf("model %q: no wood can be used at position %q", b.md.Name, p.Name)
		if len(whys) > 0 {
			problem += ": " + strings.Join(whys, ", ")
		}
		b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Positions", Row: p.row, Col: p.col, Problem: problem,
			Advice: "allow another wood there, or find an offer or stock that gives its strips"})
	}
	for _, o := range order {
		if len(outAt[o]) == tried[o.wood] {
			b.leftOut = append(b.leftOut, optimize.LeftOut{Wood: o.wood, Why: o.why})
			continue
		}
		for _, i := range outAt[o] {
			b.leftOut = append(b.leftOut, optimize.LeftOut{Wood: o.wood, Position: b.md.Positions[i].Name, Why: o.why})
		}
	}
}

// unusable says why a wood cannot be used in strips of a width; empty when it can.
func (b *programBuilder) unusable(id string, width float64) string {
	w, ok := b.job.Woods.Wood(id)
	switch {
	case !ok:
		return "not in the wood table"
	case !w.ModulusGPa.Known():
		return "its modulus is not known"
	case !w.DensityKgM3.Known():
		return "its density is not known"
	case !b.job.HasPrices():
		return ""
	}
	return b.price(id, width).why
}

// woods are those that the board speaks of, in table order.
func (b *programBuilder) woods() []species.Wood {
	var ids []string
	for _, u := range b.usable {
		ids = append(ids, u...)
	}
	for _, r := range b.md.Reference {
		ids = append(ids, r.Wood)
	}
	for _, p := range b.md.Pads {
		ids = append(ids, p.Wood)
	}
	for _, c := range b.md.Counts {
		ids = append(ids, c.Wood)
	}
	for _, s := range b.md.Shares {
		ids = append(ids, s.Wood)
	}
	var out []species.Wood
	for _, w := range b.job.Woods.Woods() {
		if slices.Contains(ids, w.ID) {
			out = append(out, w)
		}
	}
	return out
}

func (b *programBuilder) program() *optimize.Program {
	md, shop := b.md, b.job.Shop
	board := &core.Board{
		Name: md.Name, Section: md.Section, Stations: md.Stations, Positions: corePositions(md), Layers: md.Layers, Woods: b.woods(),
		SpanMM: md.SpanMM, MeasureAtMM: md.MeasureAtMM, GlueGM2: shop.GlueGM2, Correlation: shop.Correlation,
	}
	index := woodIndex(board)
	at := func(id string) int {
		i, _ := index(id) // every id comes from woods()
		return i
	}
	for _, p := range md.Pads {
		board.Pads = append(board.Pads, core.Pad{Position: p.Position, FromMM: p.FromMM, ToMM: p.ToMM, Wood: at(p.Wood)})
	}
	for _, p := range board.Check() { // what the book's own checks could not see, such as a pad's wood without figures
		b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Models", Row: md.row, Problem: fmt.Sprintf("model %q: %s", md.Name, p.Text)})
	}
	p := &optimize.Program{Model: md.Name, Board: board, LeftOut: b.leftOut, Limits: b.limits(at), MoisturePct: b.job.Conditions.MoisturePct}
	if b.job.HasPrices() {
		p.Currency = shop.Currency
	}
	for i, w := range board.Woods {
		c := optimize.Candidate{Wood: i, At: make([]optimize.Use, len(md.Positions))}
		fast, known := w.FastGrown(shop.FastUpToYears)
		c.FastGrown = fast && known
		somewhere := false
		for k, pos := range md.Positions {
			if !slices.Contains(b.usable[k], w.ID) {
				continue
			}
			somewhere = true
			c.At[k].Allowed = true
			if b.job.HasPrices() {
				price := b.price(w.ID, pos.StripWidthMM).price
				c.At[k].Price, c.At[k].StripCost = price, price.Cost
				c.At[k].Certified = !price.Stock && price.Offer.Certified
			}
		}
		if somewhere {
			p.Candidates = append(p.Candidates, c)
		}
	}
	if len(md.Reference) > 0 {
		reference, err := layout(board, md.Reference, index)
		if err != nil {
			b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Reference", Problem: fmt.Sprintf("model %q: %s", md.Name, sentence(err))})
		}
		p.Reference = reference
	}
	return p
}

func (b *programBuilder) limits(at func(id string) int) optimize.Limits {
	md := b.md
	l := optimize.Limits{
		Windows: md.Windows, MaxCost: md.Limits.MaxCost, MaxCoreMassG: md.Limits.MaxCoreMassG, MaxWoods: md.Limits.MaxWoods,
		MinStrips: md.Limits.MinStrips, MinFastPct: md.Limits.MinFastPct, MinCertPct: md.Limits.MinCertPct,
		MaxScatterPct: md.Limits.MaxScatterPct, FlexLow: md.Limits.FlexLow, FlexHigh: md.Limits.FlexHigh,
		MaxUtilPct: md.Limits.MaxUtilisationPct, DesignLoadN: md.Limits.DesignLoadN.Value, SafetyFactor: md.Limits.SafetyFactor.Value,
		FastUpToYears: b.job.Shop.FastUpToYears,
	}
	l.HoldingRef, _ = b.job.Woods.Wood(b.job.Shop.HoldingRef)
	for _, c := range md.Counts {
		l.Counts = append(l.Counts, optimize.CountLimit{Position: c.Position, Wood: at(c.Wood), Low: c.Low, High: c.High})
	}
	for _, s := range md.Shares {
		l.Shares = append(l.Shares, optimize.ShareLimit{Wood: at(s.Wood), Low: s.Low, High: s.High})
	}
	for _, p := range md.Positions {
		if p.MinHardnessN.Set || p.MinHoldingPct.Set {
			l.Positions = make([]optimize.PositionLimit, len(md.Positions))
			break
		}
	}
	for i := range l.Positions {
		l.Positions[i] = optimize.PositionLimit{MinHardnessN: md.Positions[i].MinHardnessN, MinHoldingPct: md.Positions[i].MinHoldingPct}
	}
	return l
}
