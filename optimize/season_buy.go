package optimize

import (
	"context"
	"errors"

	"github.com/shopspring/decimal"

	"stavewright/optimize/mip"
)

// cost is what a purchase costs, exactly.
func (g *market) cost(p *purchase) decimal.Decimal {
	var sum decimal.Decimal
	ordered := make([]bool, len(g.s.Suppliers))
	for i, n := range p.steps {
		if n == 0 {
			continue
		}
		goods, freight := g.s.Lots[i].Stepped(n)
		sum = sum.Add(goods).Add(freight)
		if sup := g.lots[i].supplier; sup >= 0 {
			ordered[sup] = true
		}
	}
	for i, o := range ordered {
		if o {
			sum = sum.Add(g.s.Suppliers[i].Freight)
		}
	}
	return sum
}

// finishing is how a program that is to give a plan is solved: of what was tried, only these cuts find plans at once.
var finishing = mip.Options{Presolve: true, MIRCuts: true, GomoryCuts: true}

// cutNodes is how long strips are fitted into the planks bought before more planks are thought of.
const cutNodes = 2000

// whole cuts whole strips from what is bought: nil when that cannot be done, or not soon.
func (x *seasonSearch) whole(ctx context.Context, p *purchase) (*purchase, error) {
	g := x.g
	m := &mip.Model{Name: "strips"}
	need := make([]int64, len(g.s.Kinds))
	for i, f := range g.forms {
		for k, n := range f.totals[p.totals[i]].strips {
			need[f.kinds[k]] += int64(n) * f.build
		}
	}
	rows := make([]int, len(need))
	for k, n := range need {
		rows[k] = -1
		if n > 0 {
			rows[k] = len(m.Rows)
			m.Rows = append(m.Rows, mip.Row{Low: float64(n), High: float64(n)})
		}
	}
	at := make([][]int, len(g.lots))
	for i := range g.lots {
		at[i] = make([]int, len(g.s.Lots[i].Uses))
		row := mip.Row{High: float64(p.steps[i]) * g.lots[i].planks}
		for u, use := range g.s.Lots[i].Uses {
			at[i][u] = -1
			most := min(need[use.Kind], int64(p.steps[i])*g.s.Lots[i].StepParts/use.Parts)
			if most == 0 {
				continue
			}
			at[i][u] = len(m.Columns)
			m.Columns = append(m.Columns, mip.Column{High: float64(most), Integer: true})
			row.Terms = append(row.Terms, mip.Term{Column: at[i][u], Coefficient: float64(use.Parts) / PlankParts})
			r := &m.Rows[rows[use.Kind]]
			r.Terms = append(r.Terms, mip.Term{Column: at[i][u], Coefficient: 1})
		}
		if len(row.Terms) > 1 {
			m.Rows = append(m.Rows, row)
		}
	}
	x.shareRows(m, at)
	r, err := x.engine.Solve(ctx, m, mip.Options{NodeLimit: cutNodes})
	if err != nil || r.X == nil {
		return nil, err
	}
	out := &purchase{totals: p.totals, steps: append([]int(nil), p.steps...)}
	for i := range g.lots {
		var cuts []Cut
		for u, c := range at[i] {
			if c >= 0 && r.X[c] > 0.5 {
				cuts = append(cuts, Cut{Kind: g.s.Lots[i].Uses[u].Kind, Strips: int(r.X[c] + 0.5)})
			}
		}
		out.cuts = append(out.cuts, cuts)
	}
	return out, nil
}

// shareRows holds strips cut to the season's shares.
func (x *seasonSearch) shareRows(m *mip.Model, at [][]int) {
	s := x.g.s
	for _, e := range []struct {
		Limit
		counts func(lot, kind int) bool
	}{
		{s.Limits.MinFastPct, func(_, k int) bool { return s.Kinds[k].FastGrown }},
		{s.Limits.MinCertPct, func(l, _ int) bool { return s.Lots[l].Certified }},
	} {
		if !e.Set {
			continue
		}
		row := mip.Row{Low: e.Value / 100 * x.g.volume * (1 - 1e-12), High: inf}
		for i := range at {
			for u, c := range at[i] {
				if k := s.Lots[i].Uses[u].Kind; c >= 0 && e.counts(i, k) {
					row.Terms = append(row.Terms, mip.Term{Column: c, Coefficient: float64(s.Kinds[k].VolumeMM3) / mm3PerLitre})
				}
			}
		}
		m.Rows = append(m.Rows, row)
	}
}

// A bought is what a program over some totals came to.
type bought struct {
	p       *purchase
	cost    decimal.Decimal
	optimal bool    // p is the best over those totals
	bound   float64 // proven, over those totals
	none    bool    // proven: there is none
}

// buy solves the season as an integer program over the totals given, as the options say. First strips may be cut in parts; when what is
// bought that way does not hold whole strips, whole strips are asked for.
func (x *seasonSearch) buy(ctx context.Context, cols [][]int, o masterOptions, how mip.Options) (bought, error) {
	d := x.g.demand(cols)
	b := bought{bound: -inf}
	o.wholeLayouts = true
	for _, o.wholeCuts = range []bool{false, true} {
		w := x.g.master(picks(cols), d, o)
		r, err := x.engine.Solve(ctx, w.m, how)
		if err != nil {
			return b, err
		}
		b.bound = max(b.bound, r.Bound)
		b.none = r.Status == mip.Infeasible
		if r.X == nil {
			return b, nil
		}
		p, err := w.read(r.X)
		if err != nil && p == nil {
			return b, err
		}
		if err != nil || !o.wholeCuts {
			if p, err = x.whole(ctx, p); err != nil {
				return b, err
			}
		}
		if p != nil {
			b.p, b.cost, b.optimal = p, x.g.cost(p), r.Status == mip.Optimal
			return b, nil
		}
		if ctx.Err() != nil {
			return b, nil
		}
	}
	return b, nil
}

var errInfeasibleSeason = errors.New("no plan keeps every limit of the season")
