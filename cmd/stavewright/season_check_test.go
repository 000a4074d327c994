package main

import (
	"context"
	"fmt"
	"io"
	"maps"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// The independent check of a season: everything is added up anew from the season workbook and the price sheets alone, in fractions, by arithmetic of
// its own. It knows no optimiser, no yields and no orders of this program.

// A sheetRow is a row of a table by its headings.
type sheetRow map[string]string

// tableOf reads the table below a row of headings.
func tableOf(f *excelize.File, sheet string, head int) ([]sheetRow, error) {
	rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
	if err != nil {
		return nil, err
	}
	var out []sheetRow
	for _, row := range rows[head:] {
		r := sheetRow{}
		for i, h := range rows[head-1] {
			if i < len(row) {
				r[h] = row[i]
			}
		}
		if len(row) == 0 || row[0] == "" {
			break
		}
		out = append(out, r)
	}
	return out, nil
}

// A seasonCheck gathers what does not add up.
type seasonCheck struct {
	wrong []string
}

func (c *seasonCheck) fault(format string, args ...any) {
	c.wrong = append(c.wrong, fmt.Sprintf(format, args...))
}

// n is a cell as a fraction.
func (c *seasonCheck) n(r sheetRow, head string) *big.Rat {
	v, ok := new(big.Rat).SetString(r[head])
	if !ok {
		c.fault("%s is %q in %v", head, r[head], r)
		return new(big.Rat)
	}
	return v
}

func rat(s string) *big.Rat {
	v, ok := new(big.Rat).SetString(s)
	if !ok {
		panic(s)
	}
	return v
}

func add(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func mul(of ...*big.Rat) *big.Rat {
	out := rat("1")
	for _, v := range of {
		out.Mul(out, v)
	}
	return out
}
func div(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }

// floor rounds down.
func floor(v *big.Rat) *big.Rat {
	n := new(big.Int).Div(v.Num(), v.Denom()) // Euclid's: down, for a denominator above 0
	return new(big.Rat).SetInt(n)
}

// cent rounds an amount of money, half up.
func cent(v *big.Rat) *big.Rat {
	return div(floor(add(mul(v, rat("100")), rat("1/2"))), rat("100"))
}

// same reports two figures that differ by more than a tolerance.
func (c *seasonCheck) same(what string, have, want *big.Rat, tolerance string) {
	if d := sub(have, want); d.Abs(d).Cmp(rat(tolerance)) > 0 {
		c.fault("%s is %s, and adds up to %s", what, have.FloatString(6), want.FloatString(6))
	}
}

// strip names a kind of strip by the cells that say it.
func strip(r sheetRow) string {
	return strings.Join([]string{r["Wood"], r["Strip width mm"], r["Strip thickness mm"], r["Strip length mm"], r["Needed by"]}, " ")
}

// breakFrom finds the quantity in a heading such as "ab 3 m³ €/m³".
var breakFrom = regexp.MustCompile(`(?i)^(?:from|ab|à partir de) ([\d.,]+) `)

// priced is a price sheet's line: price, break, minimum, pack.
type priced struct{ price, from, then, least, pack *big.Rat }

// priceLine reads a line of a price sheet of the demo: the row of a cell, by the headings above it.
func (c *seasonCheck) priceLine(dir string, r sheetRow) priced {
	f, err := excelize.OpenFile(filepath.Join(dir, r["File"]))
	if err != nil {
		c.fault("%v", err)
		return priced{}
	}
	defer f.Close()
	rows, err := f.GetRows(r["Sheet"], excelize.Options{RawCellValue: true})
	col, row, err2 := excelize.CellNameToCoordinates(r["Cell"])
	if err != nil || err2 != nil || row > len(rows) {
		c.fault("no cell %s in %s", r["Cell"], r["File"])
		return priced{}
	}
	head := row - 1
	for head > 0 && !strings.HasPrefix(rows[head-1][min(col, len(rows[head-1]))-1], "Pr") {
		head--
	}
	cell := func(col int) *big.Rat {
		if col > len(rows[row-1]) || rows[row-1][col-1] == "" {
			return nil
		}
		v, ok := new(big.Rat).SetString(strings.ReplaceAll(rows[row-1][col-1], ",", "."))
		if !ok {
			c.fault("%s, column %d of row %d: %q", r["File"], col, row, rows[row-1][col-1])
		}
		return v
	}
	p := priced{price: cell(col)}
	for i, h := range rows[head-1] {
		switch m := breakFrom.FindStringSubmatch(h); {
		case m != nil:
			p.from, p.then = rat(strings.ReplaceAll(m[1], ",", ".")), cell(i+1)
		case strings.HasPrefix(h, "Min"):
			p.least = cell(i + 1)
		case strings.HasPrefix(h, "Paquet"):
			p.pack = cell(i + 1)
		}
	}
	return p
}

// perPlank is how much of a unit a plank is.
func perPlank(unit string, t, w, l *big.Rat) *big.Rat {
	switch inch := rat("25.4"); unit {
	case "m³":
		return div(mul(t, w, l), rat("1e9"))
	case "bf": // at least one inch thick; the demo's boards are sold as thick as they are
		return div(mul(div(t, inch), div(w, inch), div(l, inch)), rat("144"))
	case "m":
		return div(l, rat("1000"))
	}
	return rat("1")
}

// grades are the usable parts of the NHLA grades of the demo (10/12 and 8/12 of the face); every other grade takes the shop's yield.
//
// published: usable part of FAS and No. 1 Common in a season's workbook | Hardwood Lumber Grades, American Hardwood Export Council, 16 March 2004, after the NHLA rules, "minimum yield" | read | exact: 10/12 and 8/12
var grades = map[string]string{"FAS": "10/12", "No. 1 Common": "8/12"}

// checkSeason adds a season workbook up anew. dir holds the price sheets.
func checkSeason(book, dir string) []string {
	c := &seasonCheck{}
	f, err := excelize.OpenFile(book)
	if err != nil {
		return []string{err.Error()}
	}
	defer f.Close()
	table := func(sheet string, head int) []sheetRow {
		rows, err := tableOf(f, sheet, head)
		if err != nil {
			c.fault("%v", err)
		}
		return rows
	}
	lines, cuts, layouts, orders, stock, shopRows := table("Lines", 2), table("Cuts", 2), table("Layouts", 2), table("Orders", 2), table("Stock", 2), table("Yields", 2)
	shop := map[string]*big.Rat{}
	for _, r := range shopRows {
		shop[r["Shop setting"]] = c.n(r, "Value")
	}

	// What the boards need: strips a board times boards, from the layouts.
	need := map[string]*big.Rat{}
	more := func(m map[string]*big.Rat, k string, v *big.Rat) {
		if m[k] == nil {
			m[k] = new(big.Rat)
		}
		m[k].Add(m[k], v)
	}
	for _, r := range layouts {
		n := mul(c.n(r, "Strips per board"), c.n(r, "Boards to build"))
		c.same("strips of "+r["Model"]+" at "+r["Position"], c.n(r, "Strips for all boards"), n, "0")
		more(need, strip(r), n)
	}
	for _, r := range table("Strips", 2) {
		k := strip(r)
		if need[k] == nil {
			c.fault("strips of %s that no board needs", k)
			continue
		}
		c.same("strips of "+k, c.n(r, "Strips"), need[k], "0")
	}

	// What is cut, from which line, and how much of its planks that takes.
	byLine := map[string]sheetRow{}
	for _, r := range lines {
		byLine[r["Line"]] = r
	}
	cut, used := map[string]*big.Rat{}, map[string]*big.Rat{}
	volume, fast, certified := new(big.Rat), new(big.Rat), new(big.Rat)
	firstDay := map[string]string{}
	for _, r := range cuts {
		l := byLine[r["Line"]]
		if l == nil || l["Wood"] != r["Wood"] {
			c.fault("a cut of line %q, of %s", r["Line"], r["Wood"])
			continue
		}
		strips := c.n(r, "Strips")
		more(cut, strip(r), strips)
		w, h, long := c.n(r, "Strip width mm"), c.n(r, "Strip thickness mm"), c.n(r, "Strip length mm")
		// floor((T − 2a + k)/(w + k)) × floor((W − e + k)/(h + k)) × floor((L − r)/l) × yield
		k := shop["kerf"]
		through := floor(div(add(sub(c.n(l, "Thickness mm"), mul(rat("2"), shop["planing per face"])), k), add(w, k)))
		across := floor(div(add(sub(c.n(l, "Width mm"), shop["edging loss"]), k), add(h, k)))
		along := floor(div(sub(c.n(l, "Length mm"), shop["end trim"]), long))
		share := div(shop["yield"], rat("100"))
		if g, ok := grades[l["Grade"]]; ok {
			share = rat(g)
		}
		gives := mul(through, across, along, share)
		c.same(fmt.Sprintf("strips a plank of line %s gives, %s mm wide", r["Line"], r["Strip width mm"]), c.n(r, "Strips per plank"), gives, "0.00005")
		if gives.Sign() > 0 {
			more(used, r["Line"], div(strips, gives))
		}
		v := mul(strips, w, h, long)
		volume.Add(volume, v)
		if l["Fast-grown"] == "yes" {
			fast.Add(fast, v)
		}
		if l["Certified"] == "yes" {
			certified.Add(certified, v)
		}
		if day := r["Needed by"]; day != "" && (firstDay[r["Line"]] == "" || day < firstDay[r["Line"]]) {
			firstDay[r["Line"]] = day
		}
	}
	for _, k := range slices.Sorted(maps.Keys(need)) {
		if cut[k] == nil {
			cut[k] = new(big.Rat)
		}
		c.same("strips cut of "+k, cut[k], need[k], "0")
	}
	for k := range cut {
		if need[k] == nil {
			c.fault("strips of %s are cut for nothing", k)
		}
	}

	// What is bought, what it costs, line by line.
	rate := map[string]*big.Rat{}
	for _, o := range orders {
		if o["Supplier"] != "All orders" {
			rate[o["Supplier"]] = c.n(o, "Rate EUR")
		}
	}
	goods, goodsOwn, moved, cubic := map[string]*big.Rat{}, map[string]*big.Rat{}, map[string]*big.Rat{}, map[string]*big.Rat{}
	fromStock, allM3, fastM3 := new(big.Rat), new(big.Rat), new(big.Rat)
	for _, l := range lines {
		name, yard := "line "+l["Line"], l["Supplier"] == "yard stock"
		t, w, long, quantity := c.n(l, "Thickness mm"), c.n(l, "Width mm"), c.n(l, "Length mm"), c.n(l, "Quantity")
		per := perPlank(l["Unit"], t, w, long)
		planks := div(quantity, per)
		m3 := mul(planks, perPlank("m³", t, w, long))
		c.same(name+": planks", c.n(l, "Planks"), planks, "0.0051")
		c.same(name+": m³", c.n(l, "m³"), m3, "0.000001")
		if over := sub(orZero(used[l["Line"]]), planks); over.Cmp(rat("0.001")) > 0 {
			c.fault("%s: its strips take %s planks more than are bought", name, over.FloatString(4))
		}
		c.same(name+": planks left over", c.n(l, "Planks left over"), sub(planks, orZero(used[l["Line"]])), "0.0051")
		if l["Needed by"] != firstDay[l["Line"]] {
			c.fault("%s is needed by %s, its strips by %s", name, l["Needed by"], firstDay[l["Line"]])
		}
		allM3.Add(allM3, m3)
		if l["Fast-grown"] == "yes" {
			fastM3.Add(fastM3, m3)
		}
		if yard {
			c.same(name+": value", c.n(l, "Goods EUR"), cent(mul(quantity, c.n(l, "Price per unit"))), "0")
			fromStock.Add(fromStock, c.n(l, "Goods EUR"))
			for _, s := range stock {
				if s["Row of the Stock sheet"] == l["Cell"] {
					c.same(name+": used of the stock", c.n(s, "Planks used"), quantity, "0")
				}
			}
			continue
		}
		p := c.priceLine(dir, l)
		if p.price == nil {
			continue
		}
		cost := mul(quantity, p.price)
		held := p.price
		if p.from != nil && p.then != nil && quantity.Cmp(p.from) >= 0 {
			if strings.HasPrefix(l["File"], "holzhof") { // its sheet says: for the part above only
				cost = add(mul(p.from, p.price), mul(sub(quantity, p.from), p.then))
			} else {
				cost, held = mul(quantity, p.then), p.then
			}
		}
		c.same(name+": price", c.n(l, "Price per unit"), held, "0")
		c.same(name+": goods in their currency", c.n(l, "Goods, their currency"), cent(cost), "0")
		c.same(name+": goods", c.n(l, "Goods EUR"), cent(mul(cost, rate[l["Supplier"]])), "0")
		c.same(name+": freight", c.n(l, "Freight by volume EUR"), cent(mul(m3, c.n(l, "Freight per m³, their currency"), rate[l["Supplier"]])), "0")
		step := per
		if p.pack != nil {
			step = p.pack
		}
		steps := div(quantity, step)
		if near := floor(add(steps, rat("1/2"))); sub(near, steps).Abs(sub(near, steps)).Cmp(rat("0.0001")) > 0 {
			c.fault("%s: %s is no whole number of planks or packs of %s", name, quantity.FloatString(6), step.FloatString(6))
		}
		if p.least != nil && quantity.Cmp(p.least) < 0 {
			c.fault("%s: %s is below the least quantity, %s", name, quantity.FloatString(4), p.least.FloatString(4))
		}
		more(goods, l["Supplier"], c.n(l, "Goods EUR"))
		more(goodsOwn, l["Supplier"], c.n(l, "Goods, their currency"))
		more(moved, l["Supplier"], c.n(l, "Freight by volume EUR"))
		more(cubic, l["Supplier"], m3)
	}

	// The orders, and all of them.
	all := new(big.Rat)
	for _, o := range orders {
		if o["Supplier"] == "All orders" {
			c.same("all orders", c.n(o, "Total EUR"), all, "0")
			continue
		}
		s := o["Supplier"]
		c.same("goods of "+s, c.n(o, "Goods EUR"), orZero(goods[s]), "0")
		c.same("goods of "+s+" in their currency", c.n(o, "Goods, their currency"), orZero(goodsOwn[s]), "0")
		c.same("freight by volume of "+s, c.n(o, "Freight by volume EUR"), orZero(moved[s]), "0")
		c.same("m³ of "+s, c.n(o, "m³"), orZero(cubic[s]), "0.00001")
		c.same("freight per order of "+s, c.n(o, "Freight per order EUR"), cent(mul(c.n(o, "Freight per order, their currency"), rate[s])), "0")
		total := add(add(c.n(o, "Goods EUR"), c.n(o, "Freight by volume EUR")), c.n(o, "Freight per order EUR"))
		c.same("total of "+s, c.n(o, "Total EUR"), total, "0")
		own := add(add(c.n(o, "Goods, their currency"), c.n(o, "Freight by volume, their currency")), c.n(o, "Freight per order, their currency"))
		c.same("total of "+s+" in their currency", c.n(o, "Total, their currency"), own, "0")
		if c.n(o, "Goods, their currency").Cmp(c.n(o, "Min order, their currency")) < 0 {
			c.fault("the order to %s is below its least value", s)
		}
		// One amount in two currencies, each line rounded in both.
		c.same("total of "+s+" at the rate", c.n(o, "Total EUR"), mul(own, rate[s]), "0.1")
		all.Add(all, c.n(o, "Total EUR"))
		delete(goods, s)
	}
	for s := range goods {
		c.fault("lines from %s, and no order", s)
	}

	// The summary: cost and shares.
	rows, err := f.GetRows("Summary", excelize.Options{RawCellValue: true})
	if err != nil {
		return []string{err.Error()}
	}
	figures := map[string]*big.Rat{}
	for _, r := range rows {
		if len(r) > 1 {
			if v, ok := new(big.Rat).SetString(r[1]); ok {
				figures[r[0]] = v
			}
		}
	}
	for what, want := range map[string]*big.Rat{"Cost of the season": add(all, fromStock), "Taken from the yard's stock": fromStock} {
		c.same(what, orZero(figures[what]), want, "0")
	}
	hundred := rat("100")
	for what, want := range map[string]*big.Rat{"Fast-grown, of the strips' volume": div(mul(fast, hundred), volume), "Certified, of the strips' volume": div(mul(certified, hundred), volume),
		"Fast-grown, of the lumber bought and taken from stock": div(mul(fastM3, hundred), allM3)} {
		c.same(what, orZero(figures[what]), want, "0.0001")
	}
	slices.Sort(c.wrong)
	return c.wrong
}

func orZero(v *big.Rat) *big.Rat {
	if v == nil {
		return new(big.Rat)
	}
	return v
}

// TestSeasonChecked: the demo's orders, re-added by the check above; and a workbook in which one figure is another one is always found out.
func TestSeasonChecked(t *testing.T) {
	needSeasons(t)
	dir := t.TempDir()
	if status := run(context.Background(), []string{"season", demo, "--keep", "--quiet", "--out", dir}, io.Discard, os.Stderr); status != statusDone {
		t.Fatalf("status %d", status)
	}
	book := filepath.Join(dir, "season.xlsx")
	if wrong := checkSeason(book, filepath.Dir(demo)); len(wrong) > 0 {
		t.Fatalf("the season does not add up:\n%s", strings.Join(wrong, "\n"))
	}
	for _, tt := range []struct {
		what, sheet, head string
		headRow, row      int
		change            func(v float64) float64
	}{
		{"a strip less is cut", "Cuts", "Strips", 2, 4, func(v float64) float64 { return v - 1 }},
		{"a plank gives more", "Cuts", "Strips per plank", 2, 3, func(v float64) float64 { return v + 0.5 }},
		{"a board takes more", "Layouts", "Strips per board", 2, 5, func(v float64) float64 { return v + 2 }},
		{"a board more", "Layouts", "Boards to build", 2, 3, func(v float64) float64 { return v + 1 }},
		{"a plank less is bought", "Lines", "Quantity", 2, 5, func(v float64) float64 { return v - 0.015 }},
		{"another price", "Lines", "Price per unit", 2, 5, func(v float64) float64 { return v + 0.01 }},
		{"a cent on a line", "Lines", "Goods EUR", 2, 6, func(v float64) float64 { return v + 0.01 }},
		{"a cent in their currency", "Lines", "Goods, their currency", 2, 8, func(v float64) float64 { return v + 0.01 }},
		{"a cent of freight", "Lines", "Freight by volume EUR", 2, 6, func(v float64) float64 { return v + 0.01 }},
		{"a cent on an order", "Orders", "Total EUR", 2, 3, func(v float64) float64 { return v + 0.01 }},
		{"a cent on all orders", "Orders", "Total EUR", 2, 5, func(v float64) float64 { return v + 0.01 }},
		{"another rate", "Orders", "Rate EUR", 2, 4, func(v float64) float64 { return v + 0.0001 }},
		{"a plank of stock", "Stock", "Planks used", 2, 3, func(v float64) float64 { return v - 1 }},
		{"strips nobody needs", "Strips", "Strips", 2, 3, func(v float64) float64 { return v + 1 }},
		{"another kerf", "Yields", "Value", 2, 3, func(v float64) float64 { return v + 1 }},
	} {
		f, err := excelize.OpenFile(book)
		if err != nil {
			t.Fatal(err)
		}
		rows, err := f.GetRows(tt.sheet)
		if err != nil {
			t.Fatal(err)
		}
		col := slices.Index(rows[tt.headRow-1], tt.head) + 1
		if col == 0 {
			t.Fatalf("%s: no heading %q on %s: %q", tt.what, tt.head, tt.sheet, rows[tt.headRow-1])
		}
		cell, _ := excelize.CoordinatesToCellName(col, tt.row)
		raw, err := f.GetCellValue(tt.sheet, cell, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		var v float64
		if _, err := fmt.Sscan(raw, &v); err != nil {
			t.Fatalf("%s: %s!%s holds %q", tt.what, tt.sheet, cell, raw)
		}
		if err := f.SetCellValue(tt.sheet, cell, tt.change(v)); err != nil {
			t.Fatal(err)
		}
		broken := filepath.Join(dir, "broken.xlsx")
		if err := f.SaveAs(broken); err != nil {
			t.Fatal(err)
		}
		f.Close()
		if wrong := checkSeason(broken, filepath.Dir(demo)); len(wrong) == 0 {
			t.Errorf("%s (%s!%s), and nothing is found", tt.what, tt.sheet, cell)
		}
	}
}
