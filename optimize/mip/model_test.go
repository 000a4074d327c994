package mip

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

var inf = math.Inf(1)

// A known is a model with its optimum, which is NaN where there is none.
type known struct {
	model  *Model
	status Status
	best   float64
	source string
}

// decode reads a case of testdata/published/pareto.
func decode(t testing.TB, name string, into any) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "published", "pareto", name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatal(name, err)
	}
}

// published are the single-objective cases with a published optimum.
func published(t testing.TB) (cases []known) {
	var knapsacks struct {
		Source    string
		Instances []struct {
			Name      string
			Objective []float64
			Rows      [][]float64
			Capacity  []float64
			Optimum   float64
		}
	}
	decode(t, "single-mknap1", &knapsacks)
	for _, k := range knapsacks.Instances {
		m := &Model{Name: k.Name, Maximize: true}
		for j, c := range k.Objective {
			m.Columns = append(m.Columns, Column{Name: fmt.Sprint("take ", j), High: 1, Integer: true, Objective: c})
		}
		for i, coefficients := range k.Rows {
			row := Row{Name: fmt.Sprint("capacity ", i), Low: -inf, High: k.Capacity[i]}
			for j, a := range coefficients {
				row.Terms = append(row.Terms, Term{j, a}) // zeros among them
			}
			m.Rows = append(m.Rows, row)
		}
		cases = append(cases, known{m, Optimal, k.Optimum, knapsacks.Source})
	}

	var units struct {
		Source          string
		Demand, Optimum float64
		Breaks          []float64
		Suppliers       []struct {
			UnitPrice []float64 `json:"unit_price"`
			Capacity  float64
		}
	}
	decode(t, "purchase-all-units", &units)
	p := newPurchase("purchase-all-units", units.Demand)
	for s, supplier := range units.Suppliers {
		for i, price := range supplier.UnitPrice {
			high := supplier.Capacity
			if i+1 < len(units.Breaks) {
				high = min(high, units.Breaks[i+1]-1)
			}
			p.segment(fmt.Sprint(s), units.Breaks[i], high, 0, price, true)
		}
	}
	cases = append(cases, known{p.Model, Optimal, units.Optimum, units.Source})

	var bid struct {
		Source               string
		Requirement, Optimum float64
		Segments             []struct {
			Vendor       string
			Setup, Price float64
			Low          float64 `json:"q_min"`
			High         float64 `json:"q_max"`
		}
	}
	decode(t, "purchase-bid", &bid)
	p = newPurchase("purchase-bid", bid.Requirement)
	for _, s := range bid.Segments {
		p.segment(s.Vendor, s.Low, s.High, s.Setup, s.Price, false)
	}
	return append(cases, known{p.Model, Optimal, bid.Optimum, bid.Source})
}

// A purchase buys a quantity in segments, at most one of each seller.
type purchase struct {
	*Model
	seller map[string]int // row
}

func newPurchase(name string, quantity float64) purchase {
	return purchase{&Model{Name: name, Rows: []Row{{Name: "demand", Low: quantity, High: quantity}}}, map[string]int{}}
}

func (p purchase) segment(seller string, low, high, setup, price float64, whole bool) {
	one, ok := p.seller[seller]
	if !ok {
		one = len(p.Rows)
		p.seller[seller] = one
		p.Rows = append(p.Rows, Row{Name: "one of " + seller, Low: -inf, High: 1})
	}
	y, q := len(p.Columns), len(p.Columns)+1
	p.Columns = append(p.Columns,
		Column{Name: fmt.Sprint("open ", y), High: 1, Integer: true, Objective: setup},
		Column{Name: fmt.Sprint("buy ", q), High: high, Integer: whole, Objective: price})
	p.Rows[0].Terms = append(p.Rows[0].Terms, Term{q, 1})
	p.Rows[one].Terms = append(p.Rows[one].Terms, Term{y, 1})
	p.Rows = append(p.Rows,
		Row{Name: fmt.Sprint("from ", q), Low: 0, High: inf, Terms: []Term{{q, 1}, {y, -low}}},
		Row{Name: fmt.Sprint("to ", q), Low: -inf, High: 0, Terms: []Term{{q, 1}, {y, -high}}})
}

// small are models whose answers can be read off, one for each thing that has gone wrong with GLPK or could.
func small() []known {
	x := func(low, high, objective float64, integer bool) Column {
		return Column{Low: low, High: high, Objective: objective, Integer: integer}
	}
	row := func(low, high float64, coefficients ...float64) Row {
		r := Row{Low: low, High: high}
		for j, a := range coefficients {
			r.Terms = append(r.Terms, Term{j, a})
		}
		return r
	}
	nan := math.NaN()
	return []known{
		{&Model{Name: "equal bounds", Columns: []Column{x(3, 3, 2, true), x(0, 9, 1, true), x(1.5, 1.5, 2, false)},
			Rows: []Row{row(8, 8, 1, 1), row(-inf, 20, 1, 1, 1)}}, Optimal, 14, "by hand: 2·3 + 5 + 2·1.5"},
		{&Model{Name: "bounds of an integer not whole", Columns: []Column{x(1.2, 3.7, 1, true), x(-3.7, -1.2, -1, true)},
			Rows: []Row{row(-9, 9, 1, 1)}}, Optimal, 4, "by hand: 2 and −2"},
		{&Model{Name: "bounds of an integer nearly whole", Columns: []Column{x(3-1e-12, 3+1e-12, 1, true), x(2.0000000001, 9, 1, true)},
			Rows: []Row{row(-9, 9, 1, 1)}}, Optimal, 5, "by hand"},
		{&Model{Name: "no whole number between bounds", Columns: []Column{x(2.2, 2.8, 1, true)}}, Infeasible, nan, "by hand"},
		{&Model{Name: "no columns", Constant: 7}, Optimal, 7, "by hand"},
		{&Model{Name: "no columns, an empty row that holds", Constant: -7, Rows: []Row{row(-1, 1)}}, Optimal, -7, "by hand"},
		{&Model{Name: "no columns, an empty row that does not", Rows: []Row{row(1, 2)}}, Infeasible, nan, "by hand"},
		{&Model{Name: "no rows", Maximize: true, Columns: []Column{x(-2, 5, 3, true), x(-2, 5, -1, false), x(0, 1, 0, true)}}, Optimal, 17, "by hand: 15 + 2"},
		{&Model{Name: "no rows, not whole", Columns: []Column{x(-2.5, 5, 3, true), x(-inf, 5, 0, false)}}, Optimal, -6, "by hand"},
		{&Model{Name: "no rows, unbounded", Columns: []Column{x(-inf, 5, 3, true)}}, Unbounded, nan, "by hand"},
		{&Model{Name: "rows that are empty or limit nothing", Columns: []Column{x(0, 5, -1, true)},
			Rows: []Row{row(-1, 0), row(-inf, inf, 1), row(-inf, 3.5, 1), row(0, 0, 0)}}, Optimal, -3, "by hand"},
		{&Model{Name: "an empty row that does not hold", Columns: []Column{x(0, 5, -1, true)},
			Rows: []Row{row(1, inf), row(-inf, 3.5, 1)}}, Infeasible, nan, "by hand"},
		{&Model{Name: "infeasible for the presolver", Columns: []Column{x(0, 1, 1, true), x(0, 1, 1, true)},
			Rows: []Row{row(3, inf, 1, 1)}}, Infeasible, nan, "1 + 1 < 3"},
		{&Model{Name: "infeasible in whole numbers", Columns: []Column{x(0, 9, 1, true), x(0, 9, 1, true)},
			Rows: []Row{row(7, 7, 2, 4)}}, Infeasible, nan, "7 is odd"},
		{&Model{Name: "relaxation unbounded, solutions", Maximize: true, Columns: []Column{x(0, inf, 1, true), x(0, 9, 0, true)},
			Rows: []Row{row(1, inf, 1, 1)}}, Unbounded, nan, "by hand"},
		{&Model{Name: "relaxation unbounded, no solution", Maximize: true, Columns: []Column{x(0, inf, 1, false), x(0, 9, 0, true), x(0, 9, 0, true)},
			Rows: []Row{row(1, inf, 1, 1), row(7, 7, 0, 2, 4)}}, Infeasible, nan, "7 is odd"},
		{&Model{Name: "neither primal nor dual feasible", Columns: []Column{x(0, inf, -1, false), x(0, inf, -1, false)},
			Rows: []Row{row(1, inf, 1, -1), row(1, inf, -1, 1)}}, Infeasible, nan, "x ≥ y + 1 and y ≥ x + 1"},
		{&Model{Name: "linear, unbounded", Columns: []Column{x(-inf, inf, 1, false), x(-inf, inf, 1, false)},
			Rows: []Row{row(-3, 3, 1, -1)}}, Unbounded, nan, "along (−1, −1)"},
		{&Model{Name: "linear, degenerate", Columns: []Column{x(0, inf, -0.75, false), x(0, inf, 150, false), x(0, inf, -0.02, false), x(0, inf, 6, false)},
			Rows: []Row{row(-inf, 0, 0.25, -60, -0.04, 9), row(-inf, 0, 0.5, -90, -0.02, 3), row(-inf, 1, 0, 0, 1)}},
			Optimal, -0.05, "E. M. L. Beale, Naval Research Logistics Quarterly 2, 1955: cycles under the textbook rule"},
		{&Model{Name: "free and negative", Columns: []Column{x(-inf, inf, 1, true), x(-inf, -2, 3, true), x(-8, inf, 1, false)},
			Rows: []Row{row(-12.5, inf, 1, 1), row(-5, 5, 0, 1), row(-20, -19.5, 1, 1, 1)}}, Optimal, -30, "by hand: x + y = −12, z = −8, y = −5"},
		{&Model{Name: "maximised with a constant", Maximize: true, Constant: 100, Columns: []Column{x(0, inf, 3, true), x(0, inf, 2, true)},
			Rows: []Row{row(-inf, 10, 2, 1), row(-inf, 9, 1, 3)}}, Optimal, 115, "by hand: 3·5; the relaxation has 115.8 at (4.2, 1.6)"},
		{&Model{Name: "nothing to gain", Columns: []Column{x(0, 4, 0, true), x(0, 4, 0, true)}, Rows: []Row{row(3, 3, 1, 1)}}, Optimal, 0, "by hand"},
	}
}

// marketSplit is a hard model with easy solutions: which of n binaries split every row in half, least total miss
// (after G. Cornuéjols and M. Dawande, INFORMS Journal on Computing 11, 1999; the coefficients are our own). Its
// relaxation proves nothing: branch and bound has to visit about 2^n nodes.
func marketSplit(rows, n int) *Model {
	rnd := rand.New(rand.NewPCG(uint64(rows), uint64(n)))
	m := &Model{Name: "market split"}
	for j := range n {
		m.Columns = append(m.Columns, Column{Name: fmt.Sprint("take ", j), High: 1, Integer: true})
	}
	for i := range rows {
		r := Row{Name: fmt.Sprint("split ", i)}
		sum := 0.0
		for j := range n {
			a := float64(rnd.IntN(100))
			sum += a
			r.Terms = append(r.Terms, Term{j, a})
		}
		r.Low = math.Floor(sum / 2)
		r.High = r.Low
		for _, sign := range []float64{1, -1} {
			r.Terms = append(r.Terms, Term{len(m.Columns), sign})
			m.Columns = append(m.Columns, Column{Name: fmt.Sprint("miss ", i, " ", sign), High: inf, Objective: 1})
		}
		m.Rows = append(m.Rows, r)
	}
	return m
}

// assignment is a linear program that keeps the simplex method busy for a while: n jobs to n workers.
func assignment(n int) *Model {
	rnd := rand.New(rand.NewPCG(uint64(n), 7))
	m := &Model{Name: "assignment", Rows: make([]Row, 2*n)}
	for i := range m.Rows {
		m.Rows[i].Low, m.Rows[i].High = 1, 1
	}
	for i := range n {
		for k := range n {
			t := Term{len(m.Columns), 1}
			m.Rows[i].Terms = append(m.Rows[i].Terms, t)
			m.Rows[n+k].Terms = append(m.Rows[n+k].Terms, t)
			m.Columns = append(m.Columns, Column{High: inf, Objective: float64(1 + rnd.IntN(10000))})
		}
	}
	return m
}

// boardLike is a model of the shape of a front's: counts of invented woods in classes of strips, at most four woods and
// two strips of each used, EI windows at nine stations, a budget, least mass (0.01 g) with the last row, EI, at least
// some figure. Whole coefficients throughout.
func boardLike(seed uint64, strips []int, woods int) *Model {
	rnd := rand.New(rand.NewPCG(seed, 1))
	m := &Model{Name: fmt.Sprint("board-like ", seed)}
	modulus, density, price := make([]float64, woods), make([]float64, woods), make([]float64, woods)
	for w := range woods {
		modulus[w] = 3.4 + 10.6*rnd.Float64()
		density[w] = (160 + 560*rnd.Float64()) * (0.6 + 0.4*modulus[w]/14)
		price[w] = math.Round(10 + 90*rnd.Float64())
	}
	used := make([]int, woods)
	for w := range woods {
		used[w] = len(m.Columns)
		m.Columns = append(m.Columns, Column{Name: fmt.Sprint("used ", w), High: 1, Integer: true})
	}
	total := 0.0
	count := make([][]int, len(strips))
	for c, n := range strips {
		total += float64(n)
		row := Row{Name: fmt.Sprint("class ", c), Low: float64(n), High: float64(n)}
		for w := range woods {
			row.Terms = append(row.Terms, Term{len(m.Columns), 1})
			count[c] = append(count[c], len(m.Columns))
			mass := math.Round(density[w] * (7 - 0.3*float64(c)))
			m.Columns = append(m.Columns, Column{Name: fmt.Sprint("n ", c, " ", w), High: float64(n), Integer: true, Objective: mass})
		}
		m.Rows = append(m.Rows, row)
	}
	for w := range woods {
		most := Row{Name: fmt.Sprint("most ", w), Low: math.Inf(-1), Terms: []Term{{used[w], -total}}}
		least := Row{Name: fmt.Sprint("least ", w), High: math.Inf(1), Terms: []Term{{used[w], -2}}}
		for c := range strips {
			most.Terms = append(most.Terms, Term{count[c][w], 1})
			least.Terms = append(least.Terms, Term{count[c][w], 1})
		}
		m.Rows = append(m.Rows, most, least)
	}
	few := Row{Name: "few", Low: math.Inf(-1), High: 4}
	for w := range woods {
		few.Terms = append(few.Terms, Term{used[w], 1})
	}
	m.Rows = append(m.Rows, few)

	// A layout of two woods makes the windows and the budget feasible.
	layout := make([]int, len(strips))
	two := [2]int{rnd.IntN(woods), rnd.IntN(woods)}
	for c := range strips {
		layout[c] = two[c%2]
	}
	linear := func(name string, of func(c, w int) float64, around float64, lower bool) Row {
		at := 0.0
		r := Row{Name: name, Low: math.Inf(-1)}
		for c, n := range strips {
			at += float64(n) * of(c, layout[c])
			for w := range woods {
				r.Terms = append(r.Terms, Term{count[c][w], of(c, w)})
			}
		}
		r.High = math.Floor(at*(1+around)) + 0.5
		if lower {
			r.Low = math.Ceil(at*(1-around)) - 0.5
		}
		return r
	}
	for s := range 9 {
		m.Rows = append(m.Rows, linear(fmt.Sprint("window ", s), func(c, w int) float64 {
			present := min(1, max(0, 1.1-0.1*float64(c)-0.03*float64(s)))
			return math.Round(100 * modulus[w] * present * (1 + 0.1*float64(s)))
		}, 0.15, true))
	}
	m.Rows = append(m.Rows, linear("budget", func(_, w int) float64 { return price[w] }, 0, false))
	ei := linear("EI", func(c, w int) float64 { return math.Round(800 * modulus[w] * (1.1 - 0.1*float64(c))) }, 0, false)
	ei.Low, ei.High = 0, math.Inf(1)
	m.Rows = append(m.Rows, ei)
	return m
}

// random is a small model in whole numbers, of integer columns within −2 … 3 and sometimes one continuous column, last.
func random(rnd *rand.Rand) *Model {
	m := &Model{Name: "random", Maximize: rnd.IntN(2) == 0, Constant: float64(rnd.IntN(21) - 10)}
	n := 1 + rnd.IntN(5)
	for range n {
		low := float64(rnd.IntN(4) - 2)
		m.Columns = append(m.Columns, Column{Low: low, High: low + float64(rnd.IntN(4)), Integer: true, Objective: float64(rnd.IntN(19) - 9)})
	}
	if rnd.IntN(2) == 0 {
		m.Columns = append(m.Columns, Column{Low: -4, High: 4, Objective: float64(rnd.IntN(19) - 9)})
	}
	for range rnd.IntN(5) {
		r := Row{Low: -inf, High: inf}
		for j := range m.Columns {
			if rnd.IntN(4) > 0 {
				r.Terms = append(r.Terms, Term{j, float64(rnd.IntN(15) - 7)})
			}
		}
		at := float64(rnd.IntN(25) - 12)
		switch rnd.IntN(5) {
		case 0:
			r.Low, r.High = at, at
		case 1:
			r.Low, r.High = at-0.5, at+float64(rnd.IntN(9))+0.5
		case 2:
			r.Low = at - 0.5
		default:
			r.High = at + 0.5
		}
		m.Rows = append(m.Rows, r)
	}
	return m
}

// bruteForce tries every combination of the integer columns, and with each the ends of what the rows leave to the
// continuous column, if there is one.
func bruteForce(m *Model) (status Status, best float64) {
	n := len(m.Columns)
	free := n > 0 && !m.Columns[n-1].Integer
	if free {
		n--
	}
	x := make([]float64, len(m.Columns))
	status, best = Infeasible, math.NaN()
	try := func() {
		objective := m.Constant
		for j, c := range m.Columns {
			objective += c.Objective * x[j]
		}
		if status == Infeasible || (objective > best) == m.Maximize {
			status, best = Optimal, objective
		}
	}
	leaf := func() {
		low, high := 0.0, 0.0
		if free {
			low, high = m.Columns[n].Low, m.Columns[n].High
		}
		for _, r := range m.Rows {
			sum, a := 0.0, 0.0
			for _, t := range r.Terms {
				if free && t.Column == n {
					a = t.Coefficient
				} else {
					sum += t.Coefficient * x[t.Column]
				}
			}
			from, to := r.Low-sum, r.High-sum
			switch {
			case a > 0:
				low, high = max(low, from/a), min(high, to/a)
			case a < 0:
				low, high = max(low, to/a), min(high, from/a)
			case from > 0 || to < 0:
				return
			}
		}
		if low > high {
			return
		}
		if !free {
			try()
			return
		}
		for _, z := range []float64{low, high} {
			x[n] = z
			try()
		}
	}
	var fill func(j int)
	fill = func(j int) {
		if j == n {
			leaf()
			return
		}
		for v := m.Columns[j].Low; v <= m.Columns[j].High; v++ {
			x[j] = v
			fill(j + 1)
		}
	}
	fill(0)
	return status, best
}

func TestCheck(t *testing.T) {
	nan := math.NaN()
	good := func() *Model {
		return &Model{Name: "m",
			Columns: []Column{{Name: "x", High: 1}, {High: inf}, {Name: "z", Low: -inf}},
			Rows:    []Row{{Name: "r", High: 1, Terms: []Term{{0, 1}, {2, -1}}}, {Low: -inf, High: inf}}}
	}
	if err := good().Check(); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name  string
		spoil func(*Model)
		want  string
	}{
		{"constant", func(m *Model) { m.Constant = nan }, `model "m": constant NaN is not a finite number`},
		{"column bound", func(m *Model) { m.Columns[0].Low = nan }, `column "x": bounds NaN to 1: not a number`},
		{"column bounds cross", func(m *Model) { m.Columns[1].Low, m.Columns[1].High = 2, 1 }, `column "2": bounds cross: 2 to 1`},
		{"column bound at infinity", func(m *Model) { m.Columns[1].Low = inf }, `column "2": bounds +Inf to +Inf: nothing lies between`},
		{"objective", func(m *Model) { m.Columns[2].Objective = inf }, `column "z": objective coefficient +Inf is not a finite number`},
		{"column names", func(m *Model) { m.Columns[2].Name = "x" }, `column 3 has the name of 1, "x": names must differ`},
		{"row bounds cross", func(m *Model) { m.Rows[0].Low = 1.5 }, `row "r": bounds cross: 1.5 to 1`},
		{"row bound at infinity", func(m *Model) { m.Rows[1].High = -inf }, `row "2": bounds -Inf to -Inf: nothing lies between`},
		{"row names", func(m *Model) { m.Rows[1].Name = "r" }, `row 2 has the name of 1, "r": names must differ`},
		{"column below", func(m *Model) { m.Rows[0].Terms[0].Column = -1 }, `row "r": a term for column -1 of 3`},
		{"column above", func(m *Model) { m.Rows[0].Terms[0].Column = 3 }, `row "r": a term for column 3 of 3`},
		{"coefficient", func(m *Model) { m.Rows[0].Terms[1].Coefficient = nan }, `row "r": coefficient NaN of column "z" is not a finite number`},
		{"twice", func(m *Model) { m.Rows[0].Terms[1].Column = 0 }, `row "r": two terms for column "x"`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := good()
			tt.spoil(m)
			if err := m.Check(); err == nil || err.Error() != tt.want {
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
}
