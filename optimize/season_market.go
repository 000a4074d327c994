package optimize

import (
	"fmt"
	"math"
	"slices"

	"stavewright/optimize/mip"
)

// A market is the buying half of a season as an integer program: lots, their tiers and their suppliers, against a demand for strips. The
// other half is the models, each of which chooses one of its totals.
type market struct {
	s      *Season
	forms  []*modelForm
	lots   []lotForm
	volume float64 // of all strips, litres: every layout of a model has as much
}

// A lotForm is a lot as the program sees it.
type lotForm struct {
	wood     string
	supplier int // −1: stock
	tiers    []tierForm
	freight  float64 // per step
	planks   float64 // in a step
}

// A tierForm is a tier cut to the steps that can be bought.
type tierForm struct {
	from, to   int
	base, each float64
}

const mm3PerLitre = 1e6

func (s *Season) newMarket(forms []*modelForm) *market {
	g := &market{s: s, forms: forms}
	for i := range s.Lots {
		l := &s.Lots[i]
		f := lotForm{wood: s.wood(i), supplier: l.Supplier, freight: l.StepFreight.InexactFloat64(), planks: float64(l.StepParts) / PlankParts}
		if l.Stock {
			f.supplier = -1
		}
		for t, tier := range l.Tiers {
			to := l.MaxSteps
			if t+1 < len(l.Tiers) {
				to = min(to, l.Tiers[t+1].From-1)
			}
			if from := max(tier.From, l.MinSteps, 1); from <= to {
				f.tiers = append(f.tiers, tierForm{from, to, tier.Base.InexactFloat64(), tier.Each.InexactFloat64()})
			}
		}
		g.lots = append(g.lots, f)
	}
	for _, o := range forms {
		for gi, gr := range o.f.groups {
			for _, v := range o.f.at[gi] {
				if v >= 0 {
					k := o.kinds[o.of[v]]
					g.volume += float64(s.Kinds[k].VolumeMM3) / mm3PerLitre * float64(int64(gr.Pieces*len(gr.Strips))*o.build)
					break
				}
			}
		}
	}
	return g
}

// A master is the market with some totals of every model, as an integer program.
type master struct {
	g      *market
	m      *mip.Model
	picks  []pick  // the totals there are columns for
	chosen []int   // by pick: its column
	only   []int   // by model: its total where there is but one, else −1
	cover  []int   // by kind: row, −1 where no model takes any
	convex []int   // by model: row, −1 where one total is fixed
	steps  [][]int // by lot, by tier: column
	picked [][]int // by lot, by tier: the binary's column, −1 where there is none
	cut    [][]int // by lot, by use: column, −1
	order  []int   // by supplier: the binary's column, −1
	lacks  []int   // columns that stand for what is lacking, where there are any
}

// A pick is one of a model's totals.
type pick struct{ model, total int }

// picks puts the totals of all models in a row.
func picks(cols [][]int) []pick {
	var out []pick
	for i, list := range cols {
		for _, t := range list {
			out = append(out, pick{i, t})
		}
	}
	return out
}

// What a master is built for.
type masterOptions struct {
	wholeLayouts bool    // totals are integers; else mixed
	wholeCuts    bool    // strips cut are integers
	lacking      bool    // what cannot be had may be lacking, at a price that nothing reaches
	dearer       float64 // that price, times so much; 0: once
	onlyLacking  bool    // nothing else costs anything
	cutoff       float64 // what a plan may cost at most; 0: anything
	box          *box    // what has been decided of the market; nil: nothing
}

// master builds the program over the totals given by model. d bounds what may be taken at all.
func (g *market) master(cols []pick, d *demand, o masterOptions) *master {
	s := g.s
	w := &master{g: g, m: &mip.Model{Name: "season"}, only: d.only}
	most := d.most
	inf := math.Inf(1)

	rows := func(name string, low, high float64, terms ...mip.Term) int {
		w.m.Rows = append(w.m.Rows, mip.Row{Name: name, Low: low, High: high, Terms: terms})
		return len(w.m.Rows) - 1
	}
	column := func(name string, low, high, cost float64, whole bool) int {
		w.m.Columns = append(w.m.Columns, mip.Column{Name: name, Low: low, High: high, Objective: cost, Integer: whole})
		return len(w.m.Columns) - 1
	}
	term := func(row, col int, k float64) {
		w.m.Rows[row].Terms = append(w.m.Rows[row].Terms, mip.Term{Column: col, Coefficient: k})
	}

	// What is taken of each kind; one total alone is a constant.
	w.cover = make([]int, len(s.Kinds))
	fixed := make([]float64, len(s.Kinds))
	for i, f := range g.forms {
		if d.only[i] >= 0 {
			for k, n := range f.totals[d.only[i]].strips {
				fixed[f.kinds[k]] += float64(int64(n) * f.build)
			}
		}
	}
	for k := range s.Kinds {
		w.cover[k] = -1
		if most[k] > 0 {
			w.cover[k] = rows("", fixed[k], fixed[k])
		}
	}
	for i := range g.forms {
		w.convex = append(w.convex, -1)
		if d.only[i] < 0 {
			w.convex[i] = rows("", 1, 1)
		}
	}

	var budget []mip.Term
	value := make([][]mip.Term, len(s.Suppliers)) // of goods
	w.order = make([]int, len(s.Suppliers))
	for i := range s.Suppliers {
		w.order[i] = -1
		freight, least := s.Suppliers[i].Freight.InexactFloat64(), s.Suppliers[i].MinOrder.InexactFloat64()
		if freight > 0 || least > 0 {
			lo, hi := o.box.supplier(i)
			w.order[i] = column("", lo, hi, freight, true)
			budget = append(budget, mip.Term{Column: w.order[i], Coefficient: freight})
		}
	}
	var fast, cert []mip.Term
	perWood := map[string]map[int]int{} // → column of "this supplier delivers this wood"
	var woods []string
	for i := range g.lots {
		l, lot := &g.lots[i], &s.Lots[i]
		w.steps, w.picked, w.cut = append(w.steps, nil), append(w.picked, nil), append(w.cut, nil)
		plank := -1
		for _, u := range lot.Uses {
			c := -1
			if most[u.Kind] > 0 && len(l.tiers) > 0 {
				high := most[u.Kind]
				if o.lacking {
					high = inf
				}
				c = column("", 0, high, 0, o.wholeCuts)
				term(w.cover[u.Kind], c, 1)
				if plank < 0 {
					plank = rows("", math.Inf(-1), 0)
				}
				term(plank, c, float64(u.Parts)/PlankParts)
				v := float64(s.Kinds[u.Kind].VolumeMM3) / mm3PerLitre
				if s.Kinds[u.Kind].FastGrown {
					fast = append(fast, mip.Term{Column: c, Coefficient: v})
				}
				if lot.Certified {
					cert = append(cert, mip.Term{Column: c, Coefficient: v})
				}
			}
			w.cut[i] = append(w.cut[i], c)
		}
		if plank < 0 {
			w.steps[i], w.picked[i] = make([]int, len(l.tiers)), make([]int, len(l.tiers))
			for t := range l.tiers {
				w.steps[i][t], w.picked[i][t] = -1, -1
			}
			// Nothing is cut from it; but it may fill up a minimum order.
			if l.supplier < 0 || s.Suppliers[l.supplier].MinOrder.Sign() <= 0 {
				continue
			}
		}
		links := []int{}
		if l.supplier >= 0 {
			if y := w.order[l.supplier]; y >= 0 {
				links = append(links, y)
			}
			if m := s.Limits.MaxSuppliers; m.Set {
				if perWood[l.wood] == nil {
					perWood[l.wood] = map[int]int{}
					woods = append(woods, l.wood)
				}
				y, ok := perWood[l.wood][l.supplier]
				if !ok {
					y = column("", 0, 1, 0, true)
					perWood[l.wood][l.supplier] = y
				}
				links = append(links, y)
			}
		}
		useful := int(math.Ceil(d.planks[i]/l.planks - 1e-9))
		binary := len(l.tiers) != 1 || l.tiers[0].from > 1 || l.tiers[0].base != 0
		var one []mip.Term
		w.steps[i], w.picked[i] = nil, nil
		for _, t := range l.tiers {
			lo, hi := o.box.lot(g, i)
			to := min(t.to, g.mostSteps(i, t, useful))
			from := max(t.from, lo)
			if to = min(to, hi); from > to {
				to = 0 // not this tier
			}
			z := -1
			n := column("", 0, float64(to), t.each+l.freight, true)
			if lo > 0 && !binary {
				w.m.Columns[n].Low = float64(min(lo, to))
			}
			if plank >= 0 {
				term(plank, n, -l.planks)
			}
			budget = append(budget, mip.Term{Column: n, Coefficient: t.each + l.freight})
			if binary {
				z = column("", 0, min(1, float64(to)), t.base, true)
				budget = append(budget, mip.Term{Column: z, Coefficient: t.base})
				rows("", math.Inf(-1), 0, mip.Term{Column: n, Coefficient: 1}, mip.Term{Column: z, Coefficient: -float64(to)})
				rows("", 0, inf, mip.Term{Column: n, Coefficient: 1}, mip.Term{Column: z, Coefficient: -float64(from)})
				one = append(one, mip.Term{Column: z, Coefficient: 1})
			} else {
				for _, y := range links {
					rows("", math.Inf(-1), 0, mip.Term{Column: n, Coefficient: 1}, mip.Term{Column: y, Coefficient: -float64(to)})
				}
			}
			if l.supplier >= 0 {
				value[l.supplier] = append(value[l.supplier], mip.Term{Column: n, Coefficient: t.each})
				if z >= 0 && t.base != 0 {
					value[l.supplier] = append(value[l.supplier], mip.Term{Column: z, Coefficient: t.base})
				}
			}
			w.steps[i], w.picked[i] = append(w.steps[i], n), append(w.picked[i], z)
		}
		if binary && len(one) > 0 {
			low := 0.0
			if lo, _ := o.box.lot(g, i); lo > 0 {
				low = 1
			}
			rows("", low, 1, one...)
			for _, y := range links {
				rows("", math.Inf(-1), 0, append(slices.Clone(one), mip.Term{Column: y, Coefficient: -1})...)
			}
		}
	}
	for _, wood := range woods {
		r := rows("", math.Inf(-1), math.Floor(s.Limits.MaxSuppliers.Value))
		for sup := range s.Suppliers {
			if y, ok := perWood[wood][sup]; ok {
				term(r, y, 1)
			}
		}
	}
	for i := range s.Suppliers {
		if least := s.Suppliers[i].MinOrder.InexactFloat64(); least > 0 && len(value[i]) > 0 {
			rows("", 0, inf, append(value[i], mip.Term{Column: w.order[i], Coefficient: -least})...)
		}
	}
	budgetRow, fastRow, certRow := -1, -1, -1
	if b := s.Limits.Budget; b.Set {
		budgetRow = rows("", math.Inf(-1), b.Value.InexactFloat64(), budget...)
	}
	share := func(l Limit, terms []mip.Term) int {
		if !l.Set {
			return -1
		}
		return rows("", l.Value/100*g.volume*(1-1e-12), inf, terms...)
	}
	fastRow, certRow = share(s.Limits.MinFastPct, fast), share(s.Limits.MinCertPct, cert)
	if o.cutoff > 0 {
		var all []mip.Term
		for j, c := range w.m.Columns {
			if c.Objective != 0 {
				all = append(all, mip.Term{Column: j, Coefficient: c.Objective})
			}
		}
		rows("", math.Inf(-1), o.cutoff, all...)
	}
	if o.onlyLacking {
		for j := range w.m.Columns {
			w.m.Columns[j].Objective = 0
		}
	}
	if o.lacking {
		lack := func(row int, sign, cost float64) {
			if row < 0 {
				return
			}
			c := column("", 0, inf, cost, false)
			term(row, c, sign)
			w.lacks = append(w.lacks, c)
		}
		big := g.dear() * max(1, o.dearer)
		for _, r := range w.cover {
			lack(r, 1, big)
		}
		lack(budgetRow, -1, 10*max(1, o.dearer))
		lack(fastRow, 1, big*1e4)
		lack(certRow, 1, big*1e4)
	}
	// Totals come last, so that a basis is good for more of them.
	high := inf // at most 1 by the row; a bound of its own would have a price of its own
	if o.wholeLayouts {
		high = 1
	}
	for _, p := range cols {
		if d.only[p.model] >= 0 {
			continue
		}
		f := g.forms[p.model]
		c := column("", 0, high, 0, o.wholeLayouts)
		w.picks, w.chosen = append(w.picks, p), append(w.chosen, c)
		term(w.convex[p.model], c, 1)
		for k, n := range f.totals[p.total].strips {
			if n > 0 {
				term(w.cover[f.kinds[k]], c, -float64(int64(n)*f.build))
			}
		}
	}
	return w
}

// A demand bounds what models with certain totals can take.
type demand struct {
	most   []float64 // by kind: strips
	planks []float64 // by lot: of it
	only   []int     // by model: its total where it has but one, else −1
}

// demand is what models can take that choose among the totals given; nil stands for any layout at all.
func (g *market) demand(among [][]int) *demand {
	s := g.s
	d := &demand{most: make([]float64, len(s.Kinds)), planks: make([]float64, len(g.lots)), only: make([]int, len(g.forms))}
	for i, f := range g.forms {
		if d.only[i] = -1; len(among[i]) == 1 {
			d.only[i] = among[i][0]
		}
		most := f.mostStrips(among[i])
		at := map[int]int{}
		for k, kind := range f.kinds {
			at[kind] = k
			d.most[kind] += float64(int64(most[k]) * f.build)
		}
		parts := make([]int64, len(f.kinds))
		for l := range g.lots {
			any := false
			clear(parts)
			for _, u := range s.Lots[l].Uses {
				if k, ok := at[u.Kind]; ok && most[k] > 0 {
					parts[k], any = u.Parts, true
				}
			}
			if any {
				d.planks[l] += float64(f.mostParts(among[i], parts)) / PlankParts * float64(f.build)
			}
		}
	}
	return d
}

// mostStrips is the most of each kind that one board takes.
func (o *modelForm) mostStrips(among []int) []int32 {
	most := make([]int32, len(o.kinds))
	for _, t := range among {
		for k, n := range o.totals[t].strips {
			most[k] = max(most[k], n)
		}
	}
	if among == nil {
		for gi, g := range o.f.groups {
			seen := map[int]bool{}
			for _, v := range o.f.at[gi] {
				if v >= 0 && !seen[o.of[v]] {
					seen[o.of[v]] = true
					most[o.of[v]] += int32(g.Pieces * len(g.Strips))
				}
			}
		}
	}
	return most
}

// mostParts is the most that one board takes of a lot, whose strips take so many parts.
func (o *modelForm) mostParts(among []int, parts []int64) int64 {
	var best int64
	for _, t := range among {
		var all int64
		for k, n := range o.totals[t].strips {
			all += parts[k] * int64(n)
		}
		best = max(best, all)
	}
	if among == nil {
		for gi, g := range o.f.groups {
			var most int64
			for _, v := range o.f.at[gi] {
				if v >= 0 {
					most = max(most, parts[o.of[v]])
				}
			}
			best += most * int64(g.Pieces*len(g.Strips))
		}
	}
	return best
}

// mostSteps bounds what is worth buying of a lot within a tier: what can be used, what the tier begins at, or what fills a minimum order
// by itself. Of anything more a step could be left out.
func (g *market) mostSteps(lot int, t tierForm, useful int) int {
	most := max(useful, t.from)
	l := &g.lots[lot]
	if l.supplier < 0 {
		return most
	}
	if least := g.s.Suppliers[l.supplier].MinOrder.InexactFloat64(); least > 0 {
		if t.each <= 0 {
			return t.to
		}
		if fill := math.Ceil((least-t.base)/t.each + 1e-9); fill > float64(most) {
			most = int(min(fill, 1e9))
		}
	}
	return most
}

// dear is a price for a strip that none costs.
func (g *market) dear() float64 {
	var most float64
	for i := range g.lots {
		l := &g.lots[i]
		for _, t := range l.tiers {
			for _, u := range g.s.Lots[i].Uses {
				most = max(most, (t.each+l.freight+t.base/float64(t.from))/l.planks*float64(u.Parts)/PlankParts)
			}
		}
	}
	return 100*most + 1
}

// A purchase is a master's answer in whole numbers.
type purchase struct {
	totals []int // by model: index into its totals
	steps  []int // by lot
	cuts   [][]Cut
}

// read rounds a master's answer. Every model must have one total, and all strips cut must be whole.
func (w *master) read(x []float64) (*purchase, error) {
	p := &purchase{}
	p.totals = slices.Clone(w.only)
	for j, k := range w.picks {
		if x[w.chosen[j]] > 0.5 {
			p.totals[k.model] = k.total
			if math.Abs(x[w.chosen[j]]-1) > 1e-6 {
				return nil, fmt.Errorf("%w: a model has part of a layout", errRound)
			}
		}
	}
	if slices.Contains(p.totals, -1) {
		return nil, fmt.Errorf("%w: a model has no layout", errRound)
	}
	p.steps = w.bought(x)
	for i := range w.g.lots {
		var cuts []Cut
		for u, c := range w.cut[i] {
			if c < 0 {
				continue
			}
			n := math.Round(x[c])
			if math.Abs(x[c]-n) > 1e-6 {
				return p, fmt.Errorf("%w: a part of a strip is cut", errRound)
			}
			if n > 0 {
				cuts = append(cuts, Cut{Kind: w.g.s.Lots[i].Uses[u].Kind, Strips: int(n)})
			}
		}
		p.cuts = append(p.cuts, cuts)
	}
	return p, nil
}

// bought is how many steps of each lot an answer buys.
func (w *master) bought(x []float64) []int {
	steps := make([]int, len(w.g.lots))
	for i := range w.g.lots {
		for _, c := range w.steps[i] {
			if c >= 0 {
				steps[i] += int(math.Round(x[c]))
			}
		}
	}
	return steps
}

// prices are the duals of a solved master: what a strip of each kind is worth, and what each model's choice costs.
func (w *master) prices(dual []float64) (strip, model []float64) {
	strip, model = make([]float64, len(w.g.s.Kinds)), make([]float64, len(w.g.forms))
	for k, r := range w.cover {
		if r >= 0 {
			strip[k] = dual[r]
		}
	}
	for i, r := range w.convex {
		if r >= 0 {
			model[i] = dual[r]
		}
	}
	return strip, model
}
