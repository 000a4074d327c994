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
	"stavewright/optimize/season"
	"stavewright/sourcing"
)

// Season is purchasing's question: the boards of every model that has any to build, the kinds of strip they may be made of, and
// every offer and line of stock that gives such strips in time. A finding that is an error means that there is no season. What
// is left out, and why, is in the season.
//
// A lot is in time when its planks are there, and dry enough, on the day a model needs them, ordered on the Shop sheet's ordering day and while its
// price holds. Without an ordering day only the days that price sheets give are checked, for a model without a day of need none; findings say so.
//
// A model without targets is held to the ride of its reference.
func (j *Job) Season(offers []sourcing.Offer) (*season.Season, sourcing.Findings) {
	b := &seasonBuilder{job: j, s: &season.Season{Currency: j.Shop.Currency, OrderingDay: j.Shop.OrderingDay}}
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
	b.s.Limits = season.Limits{Budget: j.Shop.Budget, MinFastPct: j.Shop.SeasonFastPct, MinCertPct: j.Shop.SeasonCertPct, MaxSuppliers: j.Shop.MaxSuppliers}
	b.found.Sort()
	return b.s, b.found
}

type seasonBuilder struct {
	job   *Job
	s     *season.Season
	found sourcing.Findings
	most  []int // by kind: the most strips the season can need
}

// warnAt warns of a model, at a column of the Models sheet.
func (b *seasonBuilder) warnAt(md *Model, col int, problem, advice string) {
	b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Models", Row: md.row, Col: col, Problem: problem, Advice: advice, Warning: true})
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
			b.warnAt(md, 0, fmt.Sprintf("model %q has no boards to build and is not in the season", md.Name), "fill its Boards, if it is built")
			continue
		}
		p, found := b.job.Program(md.Name, offers)
		b.found = append(b.found, found...)
		if p == nil {
			continue
		}
		if md.NeededBy == "" && len(b.job.Suppliers) > 0 {
			b.warnAt(md, md.cols.neededBy, fmt.Sprintf("model %q has no day by which it is needed, so nothing checks that its lumber comes in time", md.Name), "fill its Needed by")
		}
		b.s.Models = append(b.s.Models, season.Model{Program: p, Build: b.job.boards(md.Boards), Sold: md.Boards, Recipe: md.Recipe, Ride: b.ride(md, p)})
	}
	if len(b.s.Models) == 0 && len(b.found.Errors()) == 0 {
		b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Models", Problem: "no model has boards to build", Advice: "fill the column Boards"})
	}
}

// ride holds a model without targets to the EI of its reference, as a match does, and says so. Empty: it has targets.
func (b *seasonBuilder) ride(md *Model, p *optimize.Program) string {
	switch {
	case len(md.Windows) > 0:
		return ""
	case p.Reference != nil:
		windows, within := p.EqualRide(b.job.MatchOptions(md))
		p.Limits.Windows = windows
		return fmt.Sprintf("EI held within %s %% of the reference, as the book has no targets for it", plain(within))
	}
	b.warnAt(md, md.cols.name, fmt.Sprintf("nothing holds the ride of model %q: the book has neither targets nor a reference for it", md.Name),
		"fill its rows in the sheet Targets, or Reference")
	return "not held: the book has neither targets nor a reference for it"
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
	same := func(a, c season.StripKind) int {
		return cmp.Or(cmp.Compare(order[a.Wood], order[c.Wood]), cmp.Compare(a.LengthMM, c.LengthMM), cmp.Compare(a.ThicknessMM, c.ThicknessMM),
			cmp.Compare(a.WidthMM, c.WidthMM), strings.Compare(a.NeededBy, c.NeededBy))
	}
	each := func(do func(m, position, candidate int, k season.StripKind)) {
		for m := range s.Models {
			md, p := b.model(m), s.Models[m].Program
			for i, pos := range md.Positions {
				for c, cand := range p.Candidates {
					if cand.At[i].Allowed {
						volume := math.Round(pos.StripWidthMM * md.BlankThicknessMM * md.BlankLengthMM)
						do(m, i, c, season.StripKind{Wood: p.Board.Woods[cand.Wood].ID, WidthMM: pos.StripWidthMM, ThicknessMM: md.BlankThicknessMM,
							LengthMM: md.BlankLengthMM, NeededBy: md.NeededBy, FastGrown: cand.FastGrown, VolumeMM3: int64(volume)})
					}
				}
			}
		}
	}
	each(func(_, _, _ int, k season.StripKind) { s.Kinds = append(s.Kinds, k) })
	slices.SortStableFunc(s.Kinds, same)
	s.Kinds = slices.CompactFunc(s.Kinds, func(a, c season.StripKind) bool { return same(a, c) == 0 })
	b.most = make([]int, len(s.Kinds))
	for m := range s.Models {
		s.Models[m].Kind = make([][]int, len(b.model(m).Positions))
		for i := range s.Models[m].Kind {
			s.Models[m].Kind[i] = slices.Repeat([]int{-1}, len(s.Models[m].Program.Candidates))
		}
	}
	each(func(m, i, c int, k season.StripKind) {
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
		b.s.Suppliers = append(b.s.Suppliers, season.Supplier{Name: sup.Name, Currency: sup.Currency, Rate: rate,
			Freight: sup.FreightPerOrder.Mul(rate), MinOrder: sup.MinOrderValue.Mul(rate)})
	}
	if b.s.OrderingDay == "" {
		b.found = append(b.found, sourcing.Finding{File: b.job.File, Sheet: "Shop", Warning: true,
			Problem: "no ordering day is given, so lead times and the validity of prices are not checked",
			Advice:  fmt.Sprintf("add the setting %q with the earliest day that orders are placed", orderingDay)})
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
	ready := ""
	if !o.ReadyOn.IsZero() {
		ready = o.ReadyOn.Format(time.DateOnly)
	}
	if b.s.OrderingDay == "" {
		return ready
	}
	return max(ready, daysAfter(b.s.OrderingDay, o.LeadTimeDays))
}

// daysAfter is the day so many days after another.
func daysAfter(day string, days int) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err) // the book's reader takes nothing else
	}
	return t.AddDate(0, 0, days).Format(time.DateOnly)
}

// conditioning is how many days an offer's lumber must dry in the shop before it is used. The error says that it cannot be used, for it is too moist or of
// unknown moisture, and the book gives no days.
func (b *seasonBuilder) conditioning(o *sourcing.Offer) (int, error) {
	most, days := b.job.Shop.MoistureAtMostPct, b.job.Shop.ConditioningDays
	if !most.Set {
		return 0, nil
	}
	pct, typical, stated := sourcing.MostMoisturePct(o.Moisture)
	if stated && pct <= most.Value {
		return 0, nil
	}
	if days.Set {
		return int(days.Value), nil
	}
	is := fmt.Sprintf("its moisture is %s", o.Moisture)
	switch {
	case !stated:
		is = "its moisture is not stated"
	case typical:
		is = fmt.Sprintf("it is %s, which counts as %s %% moisture", o.Moisture, plain(pct))
	}
	return 0, fmt.Errorf("%s; at most %s %% is allowed (%s), and no %s are set", is, plain(most.Value), most.Where, conditioningDays)
}

func (b *seasonBuilder) leftOut(l lotLine, part bool, why string) {
	b.s.LeftOut = append(b.s.LeftOut, season.LeftOutLot{Offer: l.offer, Stock: l.stock, Part: part, Why: why})
}

// lot turns a line into a lot, or says why it cannot be used.
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
	lot := season.Lot{Offer: o, Stock: l.stock, Supplier: l.supplier, Certified: o.Certified && !l.stock, StepQuantity: order.StepQuantity, StepM3: order.StepM3,
		MinSteps: order.MinSteps, StepFreight: order.StepM3.Mul(l.perM3), ReadyBy: l.ready, UsableFrom: l.ready, ValidUntil: l.valid}
	if !l.stock { // the yard is dry
		if lot.Conditioning, err = b.conditioning(o); err != nil {
			b.leftOut(l, false, sentence(err))
			return
		}
		if lot.ReadyBy != "" {
			lot.UsableFrom = daysAfter(lot.ReadyBy, lot.Conditioning)
		}
	}
	if lot.StepParts, err = order.StepParts(season.PlankParts); err != nil {
		b.leftOut(l, false, sentence(err))
		return
	}
	for _, t := range order.Tiers {
		lot.Tiers = append(lot.Tiers, season.Tier{From: t.From, Base: t.Base.Mul(l.rate), Each: t.Each.Mul(l.rate)})
	}
	var whys []string
	need := decimal.Zero // parts, if it gives everything it can
	wanted := false
	for k, kind := range s.Kinds {
		if kind.Wood != o.Wood {
			continue
		}
		wanted = true
		use, err := b.use(k, &lot)
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

// use is what a strip of a kind takes of a lot's plank. The error says that the plank is too small, or usable too late.
func (b *seasonBuilder) use(k int, lot *season.Lot) (season.KindUse, error) {
	kind := b.s.Kinds[k]
	blank := sourcing.Blank{LengthMM: kind.LengthMM, ThicknessMM: kind.ThicknessMM}
	y, err := sourcing.StripYield(lot.Offer, kind.WidthMM, blank, b.job.Shop.Shop)
	if err != nil {
		return season.KindUse{}, err
	}
	if kind.NeededBy != "" && lot.UsableFrom > kind.NeededBy {
		dry := ""
		if lot.Conditioning > 0 {
			dry = fmt.Sprintf(" and need %d days of conditioning, usable from %s", lot.Conditioning, lot.UsableFrom)
		}
		return season.KindUse{}, fmt.Errorf("its planks are there on %s%s, too late for what is needed by %s%s", lot.ReadyBy, dry, kind.NeededBy, inTime(lot, kind.NeededBy))
	}
	parts := decimal.NewFromInt(season.PlankParts).Div(y.Strips).Floor().IntPart()
	if parts < 1 {
		return season.KindUse{}, errors.New("a plank gives more strips than can be computed with")
	}
	use := season.KindUse{Kind: k, Parts: parts, Strips: y.Strips, Steps: y.Steps}
	if lot.Conditioning > 0 {
		note := fmt.Sprintf("needs %d days of conditioning", lot.Conditioning)
		if lot.UsableFrom != "" {
			note += ", usable from " + lot.UsableFrom
		}
		use.Steps = append(slices.Clip(use.Steps), note)
	}
	return use, nil
}

// inTime says by when a lot has to be ordered for a day; empty where its sheet has a day that is too late whenever it is ordered.
func inTime(lot *season.Lot, needed string) string {
	if o := lot.Offer; o.ReadyOn.IsZero() || daysAfter(o.ReadyOn.Format(time.DateOnly), lot.Conditioning) <= needed {
		return fmt.Sprintf("; ordered by %s they are in time", daysAfter(needed, -o.LeadTimeDays-lot.Conditioning))
	}
	return ""
}

// mostSteps are the most steps of a lot that can be of use: all it can give, the last price break, or the supplier's minimum order
// met by it alone. One step more could be left out, and the plan would be no dearer.
func (b *seasonBuilder) mostSteps(lot *season.Lot, need decimal.Decimal) int {
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
	var kept []season.StripKind
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
