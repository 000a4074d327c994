package sourcing_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

// offersOf reads a workbook of the sheets given, in their order; every row under a header must be an offer.
func offersOf(t *testing.T, rows int, sheets ...lawSheet) []sourcing.Offer {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i, s := range sheets {
		if i == 0 {
			check(t, f.SetSheetName("Sheet1", s.name))
		} else {
			_, err := f.NewSheet(s.name)
			check(t, err)
		}
		for k, row := range s.rows {
			check(t, f.SetSheetRow(s.name, placeName(k+1, 1), &row))
		}
	}
	var b bytes.Buffer
	check(t, f.Write(&b))
	offers, _, found := sourcing.ReadOffers(&b, sourcing.Source{Supplier: "Sample supplier", File: "laws.xlsx", Currency: "EUR"})
	if len(offers) != rows {
		t.Fatalf("%d offers of %d rows\n%s", len(offers), rows, found)
	}
	return offers
}

type lawSheet struct {
	name string
	rows [][]any
}

// TestUnitSystemsAgree: the same planks at the same price are the same offers, whether a sheet speaks of millimetres and cubic metres, of
// quarters, inches, feet and board feet, of thousands of them, of metres and centimetres, or of pieces.
//
// published: a board foot in m³ | by the inch of 24 FR 5348, 1 July 1959, and the board foot of the Wood Handbook FPL-GTR-282 (2021), Glossary | derived | 1e-6: a price is read to six places
func TestUnitSystemsAgree(t *testing.T) {
	boardFoot := decimal.RequireFromString("0.002359737216") // 144 in³
	r := rand.New(rand.NewPCG(1, 20260406))
	header := func(unit string) []any { return []any{"Species", "Thickness", "Width", "Length", "Price", unit} }
	var metric, imperial, thousands, metres, pieces [][]any
	const n = 40
	woods := []string{"White ash", "Yellow poplar", "European beech", "Balsa"}
	for range n {
		quarters, inches, feet := 4+r.IntN(9), 4+r.IntN(9), 6+r.IntN(11)
		perM3 := decimal.New(int64(30000+r.IntN(200000)), -2)
		perFoot := perM3.Mul(boardFoot)
		wood := woods[r.IntN(len(woods))]
		mm := [3]float64{25.4 * float64(quarters) / 4, 25.4 * float64(inches), 304.8 * float64(feet)}
		boardFeet := decimal.New(int64(quarters*inches*feet), 0).Div(decimal.New(48, 0)) // quarters/4 × inches × feet/12
		price := func(d decimal.Decimal) float64 { return d.InexactFloat64() }
		metric = append(metric, []any{wood, mm[0], mm[1], mm[2], price(perM3), "m3"})
		imperial = append(imperial, []any{wood, fmt.Sprintf("%d/4", quarters), fmt.Sprintf(`%d"`, inches), fmt.Sprintf("%d'", feet), price(perFoot), "bf"})
		thousands = append(thousands, []any{wood, fmt.Sprintf("%d/4", quarters), fmt.Sprintf(`%d"`, inches), fmt.Sprintf("%d'", feet), price(perFoot.Shift(3)), "mbf"})
		metres = append(metres, []any{wood, fmt.Sprintf("%v cm", mm[0]/10), fmt.Sprintf("%v cm", mm[1]/10), fmt.Sprintf("%v m", mm[2]/1000), price(perM3), "m3"})
		pieces = append(pieces, []any{wood, mm[0], mm[1], mm[2], price(perFoot.Mul(boardFeet)), "piece"})
	}
	mmHeader := []any{"Species", "Thickness mm", "Width mm", "Length mm", "Price", "Unit"}
	want := offersOf(t, n, lawSheet{"Boards", append([][]any{mmHeader}, metric...)})
	for name, rows := range map[string][][]any{
		"board feet": append([][]any{header("Unit")}, imperial...), "thousands": append([][]any{header("Unit")}, thousands...),
		"centimetres": append([][]any{header("Unit")}, metres...), "pieces": append([][]any{mmHeader}, pieces...),
	} {
		for i, o := range offersOf(t, n, lawSheet{"Boards", rows}) {
			w := want[i]
			for k, d := range []float64{o.Plank.ThicknessMM - w.Plank.ThicknessMM, o.Plank.WidthMM - w.Plank.WidthMM, o.Plank.LengthMM - w.Plank.LengthMM} {
				if math.Abs(d) > 1e-9 {
					t.Errorf("%s, line %d: side %d differs by %v mm", name, i+1, k, d)
				}
			}
			cost, err := o.PlankCost()
			check(t, err)
			wantCost, err := w.PlankCost()
			check(t, err)
			for what, pair := range map[string][2]decimal.Decimal{"a plank": {cost, wantCost}, "a m³": {o.PricePerM3(), w.PricePerM3()}} {
				if off := pair[0].Sub(pair[1]).Abs(); off.GreaterThan(pair[1].Mul(decimal.New(1, -6)).Add(decimal.New(2, -6))) { // a price is read to six places
					t.Errorf("%s, line %d: %s costs %s, want %s", name, i+1, what, pair[0], pair[1])
				}
			}
			if o.Wood != w.Wood {
				t.Errorf("%s, line %d: %s, want %s", name, i+1, o.Wood, w.Wood)
			}
		}
	}
}

// TestOrderChangesNothing: rows, columns and sheets in any order, and sheets of any name, give the same offers; only the place differs. A blank cell may
// stand for the one above it, so here none is blank.
func TestOrderChangesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 20260406))
	header := []any{"Species", "Thickness mm", "Width mm", "Length mm", "Grade", "Price EUR/m3", "Min. quantity m3", "Lead time days"}
	var rows [][]any
	for _, wood := range []string{"White ash", "Yellow poplar", "European beech", "Balsa", "Paulownia", "Silver birch"} {
		for range 3 {
			rows = append(rows, []any{wood, 20 + r.IntN(40), 80 + r.IntN(100), 1800 + r.IntN(1500), []string{"FAS", "No. 1 Common", "No. 2A Common"}[r.IntN(3)],
				float64(30000+r.IntN(90000)) / 100, float64(r.IntN(9)) / 2, r.IntN(40)})
		}
	}
	half := len(rows) / 2
	said := func(offers []sourcing.Offer) []string {
		var out []string
		for _, o := range offers {
			o.File, o.Sheet, o.Row, o.Col = "", "", 0, 0
			out = append(out, fmt.Sprintf("%+v", o))
		}
		slices.Sort(out)
		return out
	}
	want := said(offersOf(t, len(rows), lawSheet{"One", append([][]any{header}, rows[:half]...)}, lawSheet{"Two", append([][]any{header}, rows[half:]...)}))
	for trial := range 8 {
		columns := r.Perm(len(header))
		turn := func(row []any) []any {
			out := make([]any, len(row))
			for i, k := range columns {
				out[i] = row[k]
			}
			return out
		}
		shuffled := slices.Clone(rows)
		r.Shuffle(len(shuffled), func(i, k int) { shuffled[i], shuffled[k] = shuffled[k], shuffled[i] })
		sheets := []lawSheet{{"Zwei", [][]any{turn(header)}}, {"Eins", [][]any{turn(header)}}}
		for i, row := range shuffled {
			s := &sheets[i%2]
			s.rows = append(s.rows, turn(row))
		}
		if got := said(offersOf(t, len(rows), sheets...)); !slices.Equal(got, want) {
			t.Errorf("trial %d, columns %v:\n%s\nwant\n%s", trial, columns, strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
}
