package report

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

// samplePrices is an invented job: three suppliers, one of whose files cannot be read, and a yard. The
// suppliers' lines have breaks of both kinds, a currency without a rate, a plank that is too short, one that is sold out, a board
// foot with its nominal thickness and a ready strip. Two models share a blank.
func samplePrices() *Prices {
	full := sourcing.Plank{ThicknessMM: 26, WidthMM: 150, LengthMM: 3900}
	gate := func(sheet string, row int, wood, name string, p sourcing.Plank, price string) sourcing.Offer {
		return sourcing.Offer{Supplier: "Alder Gate Timber (invented)", File: "gate.xlsx", Sheet: sheet, Row: row, Col: 6, Wood: wood, Name: name,
			Plank: p, Price: money(price), Currency: "EUR", Unit: sourcing.PerM3, LeadTimeDays: 10}
	}
	ash, short, zloty, sold, ready := gate("Ash", 9, "ash-white", "Weißesche", full, "1000"),
		gate("Ash", 4, "ash-white", "Weißesche kurz", sourcing.Plank{ThicknessMM: 26, WidthMM: 150, LengthMM: 1500}, "500"),
		gate("Ash", 5, "ash-white", "Weißesche", full, "1"), gate("Other", 6, "balsa", "Balsa", full, "800"),
		gate("Other", 7, "beech-european", "Buchenleisten", sourcing.Plank{ThicknessMM: 8, WidthMM: 14, LengthMM: 1850}, "0.50")
	ash.MinQuantity, ash.PackSize, ash.Moisture, ash.Grade = money("1"), money("0.5"), "KD 8-10 %", "A"
	ash.Breaks = []sourcing.Break{{From: money("5"), Price: money("950")}, {From: money("20"), Price: money("900.50")}}
	ash.Width = sourcing.Span{LowMM: 150, HighMM: 220}
	ash.Notes = []string{"width: 150-220 mm, the lower end counts"}
	ash.ValidUntil, ash.ReadyOn = time.Date(2027, 3, 31, 0, 0, 0, 0, time.UTC), time.Date(2027, 2, 1, 0, 0, 0, 0, time.UTC)
	zloty.Currency = "PLN"
	sold.HasAvailable = true
	ready.ReadyStrip, ready.Unit = true, sourcing.PerPiece
	row := sourcing.Offer{Supplier: "Birch Row (invented)", File: "row.xlsx", Sheet: "List", Row: 2, Col: 5, Wood: "ash-white", Name: "White ash",
		Plank: full, Price: money("1050"), Currency: "USD", Unit: sourcing.PerM3, Certified: true, Incremental: true, DistanceKM: money("412.5"), HasDistance: true,
		Breaks: []sourcing.Break{{From: money("2"), Price: money("980")}}}
	bf := sourcing.Offer{Supplier: row.Supplier, File: row.File, Sheet: row.Sheet, Row: 3, Col: 5, Wood: "balsa", Name: "Balsa", Grade: "FAS",
		Plank: sourcing.Plank{ThicknessMM: 20.6375, WidthMM: 152.4, LengthMM: 2438.4}, NominalMM: 25.4, Price: money("1.35"), Currency: "USD",
		Unit: sourcing.PerBoardFoot, YieldPct: 250. / 3, MinQuantity: money("200"), HasAvailable: true, Available: money("1200")}
	return &Prices{
		Job: "job.xlsx", Model: "Park 150", Currency: "EUR", Shop: sourcing.DefaultShop(), Rates: sourcing.Rates{"EUR": money("1"), "USD": money("0.92")},
		Files: []PriceFile{
			{Supplier: ash.Supplier, File: ash.File, Offers: []sourcing.Offer{short, zloty, ash, sold, ready}, Rows: sourcing.Rows{Data: 8, Offers: 6, Findings: 2},
				Findings: sourcing.Findings{
					{File: "gate.xlsx", Sheet: "Ash", Row: 12, Col: 6, Problem: `price "on request" is no price`, Advice: "ask for it, or delete the line"},
					{File: "gate.xlsx", Sheet: "Ash", Row: 7, Col: 1, Problem: `wood "Edelholz" is not known`, Advice: "write a wood of the table"},
					{File: "gate.xlsx", Sheet: "Other", Warning: true, Problem: "the sheet is hidden, and its lines are used all the same", Advice: "delete it if it no longer holds"},
				}},
			{Supplier: row.Supplier, File: row.File, Offers: []sourcing.Offer{row, bf}, Rows: sourcing.Rows{Data: 2, Offers: 2}},
			{Supplier: "Cold Sawmill (invented)", File: "cold.xls", Unreadable: true, Findings: sourcing.Findings{{File: "cold.xls",
				Problem: "the file is an old .xls workbook", Advice: "save it as .xlsx"}}},
		},
		Stock: []sourcing.StockLine{
			{Wood: "ash-white", Plank: full, Planks: 10, ValueEach: money("14"), Currency: "EUR", File: "job.xlsx", Sheet: "Stock", Row: 2},
			{Wood: "balsa", Plank: full, Planks: 0, ValueEach: money("9"), Currency: "EUR", File: "job.xlsx", Sheet: "Stock", Row: 3},
		},
		Cuts: []Cut{
			{Models: []string{"Park 150"}, Blank: sourcing.Blank{LengthMM: 1850, ThicknessMM: 14}, StripWidthMM: 8},
			{Models: []string{"Park 150"}, Blank: sourcing.Blank{LengthMM: 1850, ThicknessMM: 14}, StripWidthMM: 12},
		},
	}
}

// sampleAllPrices is the sample for every model, one of which has another blank.
func sampleAllPrices() *Prices {
	p := samplePrices()
	p.Model = ""
	p.Cuts[0].Models = []string{"Park 150", "Park 150 soft"}
	p.Cuts = append(p.Cuts, Cut{Models: []string{"Kids 130"}, Blank: sourcing.Blank{LengthMM: 1400, ThicknessMM: 10}, StripWidthMM: 8, PreferCertified: true})
	return p
}

// samplePriceList is n offers of w woods and n/4 findings.
func samplePriceList(n, w int) *Prices {
	p := samplePrices()
	f := &p.Files[1]
	f.Offers, f.Findings, p.Stock = nil, nil, nil
	p.Files[0] = PriceFile{Supplier: "None (invented)", File: "none.xlsx", Unreadable: true}
	for i := range n {
		o := sourcing.Offer{Supplier: f.Supplier, File: f.File, Sheet: "List", Row: i + 2, Col: 5, Wood: fmt.Sprintf("wood-%02d", i%w), Name: "wood",
			Plank: sourcing.Plank{ThicknessMM: 26, WidthMM: float64(120 + i%97), LengthMM: 3900}, Price: decimal.New(int64(40000+i*7919%50000), -2), Currency: "EUR",
			Unit: sourcing.PerM3}
		f.Offers = append(f.Offers, o)
	}
	for i := range n / 4 {
		f.Findings = append(f.Findings, sourcing.Finding{File: f.File, Sheet: "List", Row: n + i + 2, Col: 1, Problem: "no wood is named", Advice: "name it"})
	}
	f.Rows = sourcing.Rows{Data: n + n/4, Offers: n, Findings: n / 4}
	return p
}

func compared(t testing.TB, p *Prices) *Comparison {
	t.Helper()
	c, err := Compare(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func pricesDoc(t testing.TB, p *Prices, steps bool) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return PricesJSON(b, compared(t, p), steps) })
}

func pricesBook(t testing.TB, p *Prices) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return PricesWorkbook(b, compared(t, p)) })
}

func TestPricesGolden(t *testing.T) {
	var all bytes.Buffer
	for _, tt := range []struct {
		name  string
		p     *Prices
		style Style
		steps bool
	}{
		{"one model, 80 columns", samplePrices(), Style{}, false},
		{"one model, 100 columns, with steps", samplePrices(), Style{Width: 100}, true},
		{"every model, 80 columns", sampleAllPrices(), Style{}, false},
		{"every model, 100 columns", sampleAllPrices(), Style{Width: 100}, false},
		{"one model, 60 columns, with colour", samplePrices(), Style{Width: 60, Colour: true}, false},
		{"no suppliers, no stock", &Prices{Job: "job.xlsx", Currency: "EUR", Cuts: samplePrices().Cuts}, Style{}, false},
	} {
		fmt.Fprintf(&all, "=== %s\n", tt.name)
		if err := PricesTerminal(&all, compared(t, tt.p), tt.style, tt.steps); err != nil {
			t.Fatal(err)
		}
		all.WriteByte('\n')
	}
	golden(t, "prices-terminal.txt", all.Bytes())
	golden(t, "prices.json", pricesDoc(t, sampleAllPrices(), true))
	golden(t, "prices.xlsx.txt", dump(t, pricesBook(t, sampleAllPrices())))
}

// By hand, for strips of 8 and of 12 mm of a blank of 1850 × 14 mm and the shop of sourcing.DefaultShop.
func TestPricesByHand(t *testing.T) {
	c := compared(t, samplePrices())
	for _, tt := range []struct {
		place, source           string
		perM3                   string // and the breaks'
		perPlank, perUnit, cost string // 8 mm
		cost12                  string // empty: none
		marks                   string // 8 mm, 12 mm
	}{
		{"yard 2", "2 × 8 × 2 × 0.7 = 22.4; 14 ÷ (0.026 × 0.15 × 3.9 = 0.01521 m³) = 920.4471; 14 ÷ 22.4; 12 mm: 1 × 8 × 2 × 0.7 = 11.2", "920.45", "22.4", "22.4", "0.6250", "1.2500", "f f"},
		{"B E2", "1050 × 0.92 = 966, 980 × 0.92 = 901.6; 22.4 ÷ 0.01521 = 1472.7153; 15.9705 USD × 0.92 = 14.69286 ÷ 22.4", "966.00 901.60", "22.4", "1472.7153", "0.6559", "1.3119", "* *"},
		{"A Ash!F9", "15.21 ÷ 22.4 and ÷ 11.2", "1000.00 950.00 900.50", "22.4", "1472.7153", "0.6790", "1.3580", " "},
		{"A Ash!F4", "1500 mm is 400 mm short of 1850 + 50", "500.00", "", "", "", "", " "},
		{"A Ash!F5", "no rate for the zloty", "", "", "", "", "", " "},
		{"B E3", "16 × 10/12 = 13.3333 of 4 bf; 5.4 USD × 0.92 = 4.968 ÷ 13.3333; 4.968 ÷ (0.0206375 × 0.1524 × 2.4384 m³)", "647.79", "13.3333", "3.3333", "0.3726", "0.7452", "*f *f"},
		{"A Other!F6", "sold out", "800.00", "", "", "", "", " "},
		{"A Other!F7", "ready: 1 × 1 × 1; 0.5 ÷ (0.008 × 0.014 × 1.85 m³ = 0.0002072)", "2413.13", "1", "1", "0.5000", "", "*f "},
	} {
		i := slices.IndexFunc(c.lines, func(l priceLine) bool { return c.place(&l) == tt.place })
		if i < 0 {
			t.Errorf("%s is not among the lines", tt.place)
			continue
		}
		l := &c.lines[i]
		var perM3 []string
		for _, d := range l.perM3 {
			perM3 = append(perM3, amount(d, 2))
		}
		if got := strings.Join(perM3, " "); got != tt.perM3 {
			t.Errorf("%s: %s per m³, want %s (%s)", tt.place, got, tt.perM3, tt.source)
		}
		marks := func(s cutPrice) string { return strings.TrimSpace(strings.TrimLeft(stripCell(s), "-0123456789.")) }
		if got := marks(l.strips[0]) + " " + marks(l.strips[1]); got != tt.marks {
			t.Errorf("%s: marks %q, want %q", tt.place, got, tt.marks)
		}
		if s := l.strips[0]; s.ok() != (tt.cost != "") || s.ok() && (s.perPlank.String() != tt.perPlank || s.perUnit.String() != tt.perUnit || stripMoney(s.cost) != tt.cost) {
			t.Errorf("%s: %s a plank, %s a unit, %s a strip, %q; want %s, %s, %s (%s)", tt.place, s.perPlank, s.perUnit, s.cost, s.why,
				tt.perPlank, tt.perUnit, tt.cost, tt.source)
		}
		if s := l.strips[1]; s.ok() != (tt.cost12 != "") || s.ok() && stripMoney(s.cost) != tt.cost12 {
			t.Errorf("%s: %s a strip of 12 mm, %q; want %s (%s)", tt.place, s.cost, s.why, tt.cost12, tt.source)
		}
	}
	if len(c.lines) != 9 { // the eight and the yard's empty line
		t.Errorf("%d lines, want 9", len(c.lines))
	}
}

func TestCompareStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if c, err := Compare(ctx, samplePrices()); err != context.Canceled || c != nil {
		t.Errorf("an ended context gives %v, %v", c, err)
	}
}

// What is marked is what [sourcing.Cheapest] takes from all offers and stock together, equal costs and certified wood included.
func TestPricesMarkWhatCheapestTakes(t *testing.T) {
	p := samplePriceList(240, 4)
	p.Cuts[1].PreferCertified = true
	offers := p.Files[1].Offers
	for i := range offers { // few prices and sizes: many equal costs
		offers[i].Price, offers[i].Plank.WidthMM, offers[i].Certified = decimal.NewFromInt(int64(500+100*(i*7%3))), 150, i%5 == 4
	}
	p.Stock = []sourcing.StockLine{{Wood: "wood-01", Plank: offers[0].Plank, Planks: 3, ValueEach: money("7.605"), File: "job.xlsx", Sheet: "Stock", Row: 2},
		{Wood: "wood-02", Plank: offers[0].Plank, Planks: 3, ValueEach: money("20"), File: "job.xlsx", Sheet: "Stock", Row: 3}}
	c := compared(t, p)
	for k, cut := range p.Cuts {
		for w := range 4 {
			wood := fmt.Sprintf("wood-%02d", w)
			bought, _ := sourcing.Cheapest(offers, nil, wood, cut.StripWidthMM, cut.Blank, p.Shop, p.Rates, false)
			used, _ := sourcing.Cheapest(offers, p.Stock, wood, cut.StripWidthMM, cut.Blank, p.Shop, p.Rates, cut.PreferCertified)
			for i := range c.lines {
				l := &c.lines[i]
				if l.offer.Wood != wood {
					continue
				}
				if want := !l.stock && l.offer.Row == bought.Offer.Row; l.strips[k].cheapest != want {
					t.Errorf("%s, cut %d, %s: cheapest %v, want %v", wood, k+1, c.place(l), l.strips[k].cheapest, want)
				}
				if want := l.stock == used.Stock && l.offer.Row == used.Offer.Row; l.strips[k].used != want {
					t.Errorf("%s, cut %d, %s: used %v, want %v", wood, k+1, c.place(l), l.strips[k].used, want)
				}
			}
		}
	}
}

// Of a wood and a strip, one line is cheapest to buy, and none costs less; one is what a front takes, certified offers first where
// a model asks for them.
func TestPricesMarks(t *testing.T) {
	for name, p := range map[string]*Prices{"sample": sampleAllPrices(), "long": samplePriceList(300, 7)} {
		c := compared(t, p)
		for k, cut := range c.Cuts {
			byWood := map[string][]*priceLine{}
			for i := range c.lines {
				byWood[c.lines[i].offer.Wood] = append(byWood[c.lines[i].offer.Wood], &c.lines[i])
			}
			for wood, lines := range byWood {
				var cheapest, used []*priceLine
				usable := 0
				for _, l := range lines {
					if l.strips[k].cheapest {
						cheapest = append(cheapest, l)
					}
					if l.strips[k].used {
						used = append(used, l)
					}
					if l.strips[k].ok() {
						usable++
					}
				}
				if usable > 0 && len(used) != 1 || usable == 0 && len(used) != 0 || len(cheapest) > 1 {
					t.Fatalf("%s, %s, cut %d: %d usable lines, %d cheapest, %d used", name, wood, k+1, usable, len(cheapest), len(used))
				}
				for _, l := range lines {
					s := l.strips[k]
					if s.ok() && !l.stock && (len(cheapest) == 0 || s.cost.LessThan(cheapest[0].strips[k].cost)) {
						t.Errorf("%s, %s, cut %d: %s costs %s, less than the cheapest", name, wood, k+1, c.place(l), s.cost)
					}
					if s.ok() && s.cost.LessThan(used[0].strips[k].cost) && !(cut.PreferCertified && used[0].offer.Certified) {
						t.Errorf("%s, %s, cut %d: %s costs %s, less than what front takes", name, wood, k+1, c.place(l), s.cost)
					}
				}
			}
		}
	}
	c := compared(t, sampleAllPrices())
	i := slices.IndexFunc(c.lines, func(l priceLine) bool { return c.place(&l) == "B E2" })
	if !c.lines[i].strips[2].used || c.lines[i].strips[0].used {
		t.Error("the certified ash is taken where certified wood is asked for, and the yard's elsewhere")
	}
}

// The steps end in the cost, and each division in them is right as a pocket calculator sees it.
func TestPricesSteps(t *testing.T) {
	division := regexp.MustCompile(`^cost of a strip: (\S+) ÷ (\S+) = (\S+)$`)
	c := compared(t, sampleAllPrices())
	some := 0
	for i := range c.lines {
		l := &c.lines[i]
		for k, s := range l.strips {
			steps := c.steps(l, k)
			if !s.ok() {
				if steps != nil {
					t.Errorf("%s gives no strip, in steps: %v", c.place(l), steps)
				}
				continue
			}
			at := slices.IndexFunc(steps, func(s string) bool { return division.MatchString(s) })
			if at < 0 {
				t.Fatalf("%s: no cost in %q", c.place(l), steps)
			}
			m := division.FindStringSubmatch(steps[at])
			if got := money(m[1]).DivRound(money(m[2]), 4); !got.Equal(s.cost) || stripMoney(s.cost) != m[3] {
				t.Errorf("%s: %s is %s; the strip costs %s", c.place(l), steps[at], got, s.cost)
			}
			named := 0
			for _, s := range steps {
				if strings.HasPrefix(s, "not reckoned here: from ") {
					named++
				}
			}
			if named != len(l.offer.Breaks) {
				t.Errorf("%s: has %d breaks, but its steps name %d: %q", c.place(l), len(l.offer.Breaks), named, steps)
			}
			some++
		}
	}
	if some != 15 { // five lines give both widths of 14 mm but one; all those and the short plank give the one of 10 mm
		t.Errorf("%d strips reckoned, want 15", some)
	}
}

// The shape is design section 8's, in its order; further keys stand behind.
func TestPricesJSONShape(t *testing.T) {
	begins := func(what string, object []byte, want ...string) {
		t.Helper()
		if got := keys(t, object); len(got) < len(want) || !slices.Equal(got[:len(want)], want) {
			t.Errorf("%s has keys %v, want to begin with %v", what, got, want)
		}
	}
	data := pricesDoc(t, sampleAllPrices(), false)
	begins("prices", data, "offers", "findings", "rows")
	var doc struct {
		Offers, Findings []json.RawMessage
		Rows             json.RawMessage
	}
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	begins("offer", doc.Offers[0], "supplier", "file", "sheet", "cell", "wood", "grade", "thickness_mm", "width_mm", "length_mm", "price", "currency", "unit",
		"min_quantity", "price_per_m3", "currency_job", "strips_per_unit")
	begins("finding", doc.Findings[0], "file", "sheet", "cell", "problem", "advice", "warning")
	begins("rows", doc.Rows, "data", "offers", "findings")
	if len(doc.Offers) != 7 || len(doc.Findings) != 4 {
		t.Errorf("%d offers and %d findings, want 7 and 4", len(doc.Offers), len(doc.Findings))
	}
	if bytes.Contains(data, []byte(`"steps"`)) {
		t.Error("steps that nobody asked for")
	}
	empty := pricesDoc(t, &Prices{}, false)
	for _, want := range []string{`"offers": []`, `"findings": []`, `"stock": []`, `"files": []`, `"cuts": []`} {
		if !bytes.Contains(empty, []byte(want)) {
			t.Errorf("an empty job has no %s: %s", want, empty)
		}
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if n, ok := token.(json.Number); ok && !plainNumber.MatchString(n.String()) {
			t.Errorf("%s is no plain number", n)
		}
	}
}

func TestPricesAreTheSameTwice(t *testing.T) {
	for range 3 {
		if !bytes.Equal(pricesBook(t, sampleAllPrices()), pricesBook(t, sampleAllPrices())) {
			t.Fatal("equal prices, different workbooks")
		}
	}
	if !bytes.Equal(pricesDoc(t, samplePriceList(100, 9), true), pricesDoc(t, samplePriceList(100, 9), true)) {
		t.Error("equal prices, different documents")
	}
}

func TestPricesTerminalFitsItsWidth(t *testing.T) {
	wide := samplePrices()
	for w := 14.0; w < 40; w += 2 { // more strips than a table has room for
		k := wide.Cuts[0]
		k.StripWidthMM = w
		wide.Cuts = append(wide.Cuts, k)
	}
	for width := minWidth; width <= 130; width += 5 {
		for name, p := range map[string]*Prices{"one": samplePrices(), "all": sampleAllPrices(), "long": samplePriceList(400, 20), "wide": wide} {
			var b strings.Builder
			if err := PricesTerminal(&b, compared(t, p), Style{Width: width}, true); err != nil {
				t.Fatal(err)
			}
			checkWidth(t, name, b.String(), width)
			if name == "wide" {
				for _, k := range p.Cuts {
					if head := trimmed(k.StripWidthMM) + " mm"; !strings.Contains(b.String(), " "+head) {
						t.Errorf("%d columns: no column of %s", width, head)
					}
				}
			}
		}
	}
}

// Long lists are shown in part, and say so; what is marked is among it.
func TestLongPriceLists(t *testing.T) {
	p := samplePriceList(400, 8)
	c := compared(t, p)
	shown := c.selection()
	if len(shown) >= len(c.lines) || len(shown) < 8*somePriceLines {
		t.Errorf("%d of %d lines shown", len(shown), len(c.lines))
	}
	for i := range c.lines {
		if c.lines[i].marked(isCheapest) > 0 && !slices.Contains(shown, i) {
			t.Errorf("the cheapest line %s is not shown", c.place(&c.lines[i]))
		}
	}
	var b strings.Builder
	if err := PricesTerminal(&b, compared(t, p), Style{Width: 100}, false); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{fmt.Sprintf("%d of 400 lines are shown", len(shown)), "61 more: ", "100 lines without an offer"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("nothing says %q", want)
		}
	}
	// More yields than a sheet should hold: those that count, and the sheet says so.
	for i := range 60 {
		p.Cuts = append(p.Cuts, Cut{Models: []string{"M"}, Blank: p.Cuts[0].Blank, StripWidthMM: 5 + float64(i)/10})
	}
	f := open(t, pricesBook(t, p))
	if note, _ := f.GetCellValue("Yield", "A1"); !strings.HasPrefix(note, "Only the cheapest") {
		t.Errorf("the sheet begins with %q", note)
	}
	rows, err := f.GetRows("Yield")
	if err != nil {
		t.Fatal(err)
	}
	if want := 3 + 8*len(p.Cuts); len(rows) != want { // a note, a gap, the heading, and one line a wood and strip
		t.Errorf("%d rows, want %d", len(rows), want)
	}
	if rows, err := f.GetRows("Offers"); err != nil || len(rows) != 401 {
		t.Errorf("%d rows of offers, want 401: %v", len(rows), err)
	}
}

// hostilePrices is the sample with one text wherever a sheet's or a book's text can reach.
func hostilePrices(text string) *Prices {
	p := sampleAllPrices()
	p.Job, p.Model = text, text
	for i := range p.Files {
		f := &p.Files[i]
		f.Supplier = text
		f.File = text
		for j := range f.Offers {
			o := &f.Offers[j]
			o.Supplier, o.File, o.Sheet, o.Name, o.Grade, o.Moisture = text, text, text, text, text, text
			o.Notes = []string{text}
		}
		for j := range f.Findings {
			x := &f.Findings[j]
			x.File, x.Sheet, x.Problem, x.Advice = text, text, text, text
		}
	}
	for i := range p.Cuts {
		p.Cuts[i].Models = []string{text}
	}
	return p
}

func TestPricesKeepHostileTexts(t *testing.T) {
	for _, text := range hostileTexts {
		p := hostilePrices(text)
		var b strings.Builder
		if err := PricesTerminal(&b, compared(t, p), Style{Width: 100}, true); err != nil {
			t.Fatal(err)
		}
		checkWidth(t, fmt.Sprintf("%.20q", text), b.String(), 100)
		var doc struct {
			Offers []struct{ Supplier, Name string }
		}
		if err := json.Unmarshal(pricesDoc(t, p, true), &doc); err != nil {
			t.Fatal(err)
		}
		if want := strings.ToValidUTF8(text, "\ufffd"); doc.Offers[0].Name != want && doc.Offers[0].Name != strings.Repeat("\ufffd", len(text)) {
			t.Errorf("%q came back as %q", text, doc.Offers[0].Name)
		}
		checkSelfContained(t, fmt.Sprintf("%.20q", text), pricesBook(t, p))
		f, found := open(t, pricesBook(t, p)), 0
		eachCell(t, f, func(sheet, at, value string, kind excelize.CellType) {
			if formula, err := f.GetCellFormula(sheet, at); err != nil || formula != "" {
				t.Errorf("%.20q: %s!%s is a formula %q, %v", text, sheet, at, formula, err)
			}
			if kind == excelize.CellTypeSharedString && clean(value) == clean(text) {
				found++
			}
		})
		if clean(text) != "" && found < 10 {
			t.Errorf("%.20q stands as it is in %d cells only", text, found)
		}
	}
}

// The headings of a table are told apart, or a spreadsheet program repairs the file.
func TestPricesHeadingsDiffer(t *testing.T) {
	p := sampleAllPrices()
	twin := p.Cuts[0]
	twin.PreferCertified = true // the same strip of a model that asks for certified wood
	p.Cuts = append(p.Cuts, twin)
	f := open(t, pricesBook(t, p))
	for _, sheet := range f.GetSheetList() {
		tables, err := f.GetTables(sheet)
		if err != nil {
			t.Fatal(err)
		}
		if len(tables) != 1 {
			t.Errorf("%s has %d tables, want 1", sheet, len(tables))
			continue
		}
		rows, err := f.GetRows(sheet)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, head := range rows[0] {
			if head == "" || seen[strings.ToLower(head)] {
				t.Errorf("%s: heading %q is empty or there twice", sheet, head)
			}
			seen[strings.ToLower(head)] = true
		}
	}
}

// A front that prices a wood by an offer with breaks says which of its prices that is.
func TestFrontSaysTheTier(t *testing.T) {
	r := sampleFront(t)
	for _, c := range r.Program.Candidates {
		for _, u := range c.At {
			if u.Price != nil {
				u.Price.Offer.Breaks = []sourcing.Break{{From: money("5"), Price: money("1.25")}}
				u.Price.Steps = append(u.Price.Steps, "not reckoned here: from 5 m3 on 1.25 EUR per m3")
			}
		}
	}
	var b strings.Builder
	if err := FrontTerminal(&b, r, Style{Width: 1000}); err != nil {
		t.Fatal(err)
	}
	const brief, long = "540.00 EUR per m³ for the smallest quantity", "not reckoned here: from 5 m3 on 1.25 EUR per m3"
	page := written(t, func(b *bytes.Buffer) error { return FrontPage(b, r) })
	for what, text := range map[string][2]string{
		"the terminal": {b.String(), brief}, "JSON": {string(frontDoc(t, r)), long}, "the workbook": {string(dump(t, frontBook(t, r))), long},
		"the page": {string(page), long},
	} {
		if !strings.Contains(text[0], text[1]) {
			t.Errorf("%s does not say %q", what, text[1])
		}
	}
}

func BenchmarkPrices(b *testing.B) {
	for _, n := range []int{100, 5000} {
		p := samplePriceList(n, 20)
		b.Run(fmt.Sprint("terminal, ", n, " offers"), func(b *testing.B) {
			for b.Loop() {
				if err := PricesTerminal(io.Discard, compared(b, p), Style{}, false); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprint("workbook, ", n, " offers"), func(b *testing.B) {
			for b.Loop() {
				if err := PricesWorkbook(io.Discard, compared(b, p)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
