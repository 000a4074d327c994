package book

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/sourcing"
)

// Season is purchasing's question: the boards of every model that has any to build, the kinds of strip they may be made of, and
// every offer and line of stock that gives such strips in time. A finding that is an error means that there is no season. What
// is left out, and why, is in the season.
//
// A lot is in time when its planks are there on the day a model needs them, ordered on the Shop sheet's ordering day and while its
// price holds. Without an ordering day neither is looked at, and a finding says so.
func (j *Job) Season(offers []sourcing.Offer) (*optimize.Season, sourcing.Findings) {
	b := &seasonBuilder{job: j, s: &optimize.Season{Currency: j.Shop.Currency, OrderingDay: j.Shop.OrderingDay}}
	if !j.HasPrices() {
		return nil, sourcing.Findings{{File: j.File, Sheet: "Suppliers", Problem: "the book has no suppliers and no stock, so there is nothing to order",
			Advice: "fill the sheet Suppliers, or Stock"}}
	}
	b.models(offers)
	if len(b.found.Errors()) > 0 {
		b.found.Sort()
		return nil, b.found
	}
	b.kinds()
	b.suppliers()
	b.lots(offers)
	b.drop()
	b.s.Limits = optimize.SeasonLimits{Budget: j.Shop.Budget, MinFastPct: j.Shop.SeasonFastPct, MinCertPct: j.Shop.SeasonCertPct, MaxSuppliers: j.Shop.MaxSuppliers}
	b.found.Sort()
	return b.s, b.found
}

type seasonBuilder struct {
	job   *Job
	s     *optimize.Season
	found sourcing.Findings
	most  []int // by kind: the most strips the season can need
}

func (b *seasonBuilder) warn(sheet string, row int, problem, advice string) {
	b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: sheet, Row: row, Problem: problem, Advice: advice, Warning: true})
}

// boards are those to build for a number sold: with scrap, rounded up to a whole board.
func (j *Job) boards(sold int) int {
	share := decimal.NewFromFloat(j.Shop.ScrapPct).Add(decimal.NewFromInt(100))
	return int(decimal.NewFromInt(int64(sold)).Mul(share).Div(decimal.NewFromInt(100)).Ceil().IntPart())
}

func (b *seasonBuilder) models(offers []sourcing.Offer) {
	for i := range b.job.Models {
		md := &b.job.Models[i]
		if md.Boards == 0 {
			b.warn("Models", md.row, fmt.Sprintf("model %q has no boards to build and is not in the season", md.Name), "fill its Boards, if it is built")
			continue
		}
		p, found := b.job.Program(md.Name, offers)
		b.found = append(b.found, found...)
		if p == nil {
			continue
		}
		b.s.Models = append(b.s.Models, optimize.SeasonModel{Program: p, Build: b.job.boards(md.Boards), Sold: md.Boards})
	}
	if len(b.s.Models) == 0 && len(b.found.Errors()) == 0 {
		b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Models", Problem: "no model has boards to build", Advice: "fill the column Boards"})
	}
}

// model is the book's model of a season's.
func (b *seasonBuilder) model(m int) *Model {
	md, err := b.job.Model(b.s.Models[m].Program.Model)
	if err != nil {
		panic(err) // the season's models come from the book's
	}
	return md
}

// kinds gathers the strips that the models may be made of; those of equal wood, size and day are one kind.
func (b *seasonBuilder) kinds() {
	s := b.s
	order := map[string]int{} // woods, as the table has them
	for i, w := range b.job.Woods.Woods() {
		order[w.ID] = i
	}
	same := func(a, c optimize.StripKind) int {
		return cmp.Or(cmp.Compare(order[a.Wood], order[c.Wood]), cmp.Compare(a.LengthMM, c.LengthMM), cmp.Compare(a.ThicknessMM, c.ThicknessMM),
			cmp.Compare(a.WidthMM, c.WidthMM), strings.Compare(a.NeededBy, c.NeededBy))
	}
	each := func(do func(m, position, candidate int, k optimize.StripKind)) {
		for m := range s.Models {
			md, p := b.model(m), s.Models[m].Program
			for i, pos := range md.Positions {
				for c, cand := range p.Candidates {
					if cand.At[i].Allowed {
						volume := math.Round(pos.StripWidthMM * md.BlankThicknessMM * md.BlankLengthMM)
						do(m, i, c, optimize.StripKind{Wood: p.Board.Woods[cand.Wood].ID, WidthMM: pos.StripWidthMM, ThicknessMM: md.BlankThicknessMM,
							LengthMM: md.BlankLengthMM, NeededBy: md.NeededBy, FastGrown: cand.FastGrown, VolumeMM3: int64(volume)})
					}
				}
			}
		}
	}
	each(func(_, _, _ int, k optimize.StripKind) { s.Kinds = append(s.Kinds, k) })
	slices.SortStableFunc(s.Kinds, same)
	s.Kinds = slices.CompactFunc(s.Kinds, func(a, c optimize.StripKind) bool { return same(a, c) == 0 })
	b.most = make([]int, len(s.Kinds))
	for m := range s.Models {
		s.Models[m].Kind = make([][]int, len(b.model(m).Positions))
		for i := range s.Models[m].Kind {
			s.Models[m].Kind[i] = slices.Repeat([]int{-1}, len(s.Models[m].Program.Candidates))
		}
	}
	each(func(m, i, c int, k optimize.StripKind) {
		at, _ := slices.BinarySearchFunc(s.Kinds, k, same)
		s.Models[m].Kind[i][c] = at
	})
	for m := range s.Models {
		for i, pos := range s.Models[m].Program.Board.Positions {
			strips := pos.Strips
			if !pos.OnCentreLine {
				strips *= 2
			}
			seen := map[int]bool{}
			for _, k := range s.Models[m].Kind[i] {
				if k >= 0 && !seen[k] {
					seen[k] = true
					b.most[k] += strips * s.Models[m].Build
				}
			}
		}
	}
}

// suppliers are those of the book, in its order, their terms in the job's money.
func (b *seasonBuilder) suppliers() {
	for _, sup := range b.job.Suppliers {
		rate := b.job.Shop.Rates[sup.Currency] // the book's reader wants a rate for every currency of a supplier
		b.s.Suppliers = append(b.s.Suppliers, optimize.SeasonSupplier{Name: sup.Name, Currency: sup.Currency, Rate: rate,
			Freight: sup.FreightPerOrder.Mul(rate), MinOrder: sup.MinOrderValue.Mul(rate)})
	}
	if b.s.OrderingDay == "" {
		b.warn("Shop", 0, "no ordering day is given, so lead times and the validity of prices are not looked at", fmt.Sprintf("add the setting %q with the earliest day that orders are placed", orderingDay))
	}
}

// A lotLine is an offer or a line of stock on its way to a lot.
type lotLine struct {
	offer    *sourcing.Offer
	stock    bool
	supplier int
	rate     decimal.Decimal
	perM3    decimal.Decimal // freight in the job's money
	valid    string
	ready    string
}

func (b *seasonBuilder) lots(offers []sourcing.Offer) {
	one := decimal.NewFromInt(1)
	for _, line := range b.job.Stock {
		b.lot(lotLine{offer: line.Offer(), stock: true, supplier: -1, rate: one})
	}
	for i := range b.job.Suppliers {
		sup := &b.job.Suppliers[i]
		noRate := map[string]bool{}
		for k := range offers {
			o := &offers[k]
			if o.Supplier != sup.Name {
				continue
			}
			l := lotLine{offer: o, supplier: i, perM3: sup.FreightPerM3.Mul(b.s.Suppliers[i].Rate)}
			var ok bool
			if l.rate, ok = b.job.Shop.Rates[o.Currency]; !ok || l.rate.Sign() <= 0 {
				if !noRate[o.Currency] {
					noRate[o.Currency] = true
					b.found = append(b.found, sourcing.Finding{File: o.File, Sheet: o.Sheet, Row: o.Row, Col: o.Col, Warning: true,
						Problem: fmt.Sprintf("there is no rate for %s, so prices in it are left out of the season", o.Currency),
						Advice:  fmt.Sprintf("add the setting rate %s to the Shop sheet of the job book", o.Currency)})
				}
				b.leftOut(l, false, "there is no rate for "+o.Currency)
				continue
			}
			if l.valid = sup.ValidUntil; !o.ValidUntil.IsZero() {
				l.valid = o.ValidUntil.Format(time.DateOnly)
			}
			l.ready = b.readyBy(o)
			b.lot(l)
		}
	}
}

// readyBy is the day an offer's planks are there when they are ordered on the ordering day; empty when that is not known.
func (b *seasonBuilder) readyBy(o *sourcing.Offer) string {
	day := b.s.OrderingDay
	if !o.ReadyOn.IsZero() {
		return max(o.ReadyOn.Format(time.DateOnly), day)
	}
	if day == "" {
		return ""
	}
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err) // the book's reader takes nothing else
	}
	return t.AddDate(0, 0, o.LeadTimeDays).Format(time.DateOnly)
}

func (b *seasonBuilder) leftOut(l lotLine, part bool, why string) {
	b.s.LeftOut = append(b.s.LeftOut, optimize.LeftOutLot{Offer: l.offer, Stock: l.stock, Part: part, Why: why})
}

// lot turns a line into a lot, or says why it is none.
func (b *seasonBuilder) lot(l lotLine) {
	o, s := l.offer, b.s
	if l.valid != "" && s.OrderingDay > l.valid {
		b.leftOut(l, false, fmt.Sprintf("its price holds until %s, and orders are placed from %s", l.valid, s.OrderingDay))
		return
	}
	order, err := sourcing.NewOrder(o)
	if err != nil {
		b.leftOut(l, false, sentence(err))
		return
	}
	lot := optimize.Lot{Offer: o, Stock: l.stock, Supplier: l.supplier, Certified: o.Certified && !l.stock, StepQuantity: order.StepQuantity, StepM3: order.StepM3,
		MinSteps: order.MinSteps, StepFreight: order.StepM3.Mul(l.perM3), ReadyBy: l.ready, ValidUntil: l.valid}
	if lot.StepParts, err = order.StepParts(optimize.PlankParts); err != nil {
		b.leftOut(l, false, sentence(err))
		return
	}
	for _, t := range order.Tiers {
		lot.Tiers = append(lot.Tiers, optimize.Tier{From: t.From, Base: t.Base.Mul(l.rate), Each: t.Each.Mul(l.rate)})
	}
	var whys []string
	need := decimal.Zero // parts, if it gives everything it can
	wanted := false
	for k, kind := range s.Kinds {
		if kind.Wood != o.Wood {
			continue
		}
		wanted = true
		use, err := b.use(k, l)
		if err != nil {
			if why := sentence(err); !slices.Contains(whys, why) {
				whys = append(whys, why)
			}
			continue
		}
		lot.Uses = append(lot.Uses, use)
		need = need.Add(decimal.NewFromInt(int64(b.most[k])).Mul(decimal.NewFromInt(use.Parts)))
	}
	switch {
	case !wanted:
		b.leftOut(l, false, "no model can use this wood anywhere")
		return
	case len(lot.Uses) == 0:
		b.leftOut(l, false, strings.Join(whys, "; "))
		return
	case len(whys) > 0:
		b.leftOut(l, true, strings.Join(whys, "; "))
	}
	if lot.MaxSteps = b.mostSteps(&lot, need); order.MaxSteps >= 0 {
		lot.MaxSteps = min(lot.MaxSteps, order.MaxSteps)
	}
	s.Lots = append(s.Lots, lot)
}

// use is what a strip of a kind takes of a lot's plank. The error says that the plank is too small, or comes too late.
func (b *seasonBuilder) use(k int, l lotLine) (optimize.KindUse, error) {
	kind := b.s.Kinds[k]
	blank := sourcing.Blank{LengthMM: kind.LengthMM, ThicknessMM: kind.ThicknessMM}
	y, err := sourcing.StripYield(l.offer, kind.WidthMM, blank, b.job.Shop.Shop)
	if err != nil {
		return optimize.KindUse{}, err
	}
	if l.ready != "" && kind.NeededBy != "" && l.ready > kind.NeededBy {
		return optimize.KindUse{}, fmt.Errorf("its planks are there on %s, too late for what is needed by %s%s", l.ready, kind.NeededBy, inTime(l.offer, kind.NeededBy))
	}
	parts := decimal.NewFromInt(optimize.PlankParts).Div(y.Strips).Floor().IntPart()
	if parts < 1 {
		return optimize.KindUse{}, errors.New("a plank gives more strips than can be reckoned with")
	}
	return optimize.KindUse{Kind: k, Parts: parts, Strips: y.Strips, Steps: y.Steps}, nil
}

// inTime says by when an offer has to be ordered for a day; empty where its sheet gives a day of its own.
func inTime(o *sourcing.Offer, needed string) string {
	t, err := time.Parse(time.DateOnly, needed)
	if err != nil || !o.ReadyOn.IsZero() {
		return ""
	}
	return fmt.Sprintf("; ordered by %s they are in time", t.AddDate(0, 0, -o.LeadTimeDays).Format(time.DateOnly))
}

// mostSteps are the most steps of a lot that can be of use: all it can give, the last price break, or the supplier's minimum order
// met by it alone. One step more could be left out, and the plan would be no dearer.
func (b *seasonBuilder) mostSteps(lot *optimize.Lot, need decimal.Decimal) int {
	n := need.Div(decimal.NewFromInt(lot.StepParts)).Floor().IntPart() + 1
	last := lot.Tiers[len(lot.Tiers)-1]
	n = max(n, int64(last.From), int64(lot.MinSteps))
	if !lot.Stock {
		least := last.Each
		for _, t := range lot.Tiers {
			least = decimal.Min(least, t.Each)
		}
		if fill := b.s.Suppliers[lot.Supplier].MinOrder; fill.Sign() > 0 && least.Sign() > 0 {
			n = max(n, fill.Div(least).Floor().IntPart()+1)
		}
	}
	return int(min(n, math.MaxInt32))
}

// drop takes out the kinds that no lot gives.
func (b *seasonBuilder) drop() {
	s := b.s
	given := make([]bool, len(s.Kinds))
	for _, l := range s.Lots {
		for _, u := range l.Uses {
			given[u.Kind] = true
		}
	}
	to := make([]int, len(s.Kinds))
	var kept []optimize.StripKind
	for k := range s.Kinds {
		if to[k] = -1; given[k] {
			to[k] = len(kept)
			kept = append(kept, s.Kinds[k])
		}
	}
	s.Kinds = kept
	for i := range s.Lots {
		for u := range s.Lots[i].Uses {
			s.Lots[i].Uses[u].Kind = to[s.Lots[i].Uses[u].Kind]
		}
	}
	for m := range s.Models {
		for _, row := range s.Models[m].Kind {
			for c, k := range row {
				if k >= 0 {
					row[c] = to[k]
				}
			}
		}
	}
}
