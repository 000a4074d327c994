package sourcing_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
)

// TestMeasure reads sizes, prices and grades of published definitions from a sheet and holds what comes out against them:
// inch, foot, quarters, board foot and the NHLA grades' minimum yields, each with its source beside it in the file.
//
// published: in lumber-measure.json
func TestMeasure(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "testdata", "published", "lumber-measure.json"))
	check(t, err)
	var cases []struct {
		Name, Source, Status                         string
		Thickness, Width, Length, Grade, Price, Unit string
		WantMM                                       [3]float64      `json:"want_mm"`
		WantPlankCost                                decimal.Decimal `json:"want_plank_cost"`
		WantPerM3                                    decimal.Decimal `json:"want_per_m3"`
		WantYieldPct                                 float64         `json:"want_yield_pct"`
	}
	check(t, json.Unmarshal(data, &cases))
	f := excelize.NewFile()
	defer f.Close()
	check(t, f.SetSheetRow("Sheet1", "A1", &[]string{"Species", "Thickness", "Width", "Length", "Grade", "Price", "Unit"}))
	for i, c := range cases {
		check(t, f.SetSheetRow("Sheet1", placeName(i+2, 1), &[]string{"White ash", c.Thickness, c.Width, c.Length, c.Grade, c.Price, c.Unit}))
	}
	var b bytes.Buffer
	check(t, f.Write(&b))
	offers, _, found := sourcing.ReadOffers(&b, sourcing.Source{Supplier: "Sample supplier", File: "measure.xlsx", Currency: "USD"})
	if len(offers) != len(cases) || len(cases) < 20 {
		t.Fatalf("%d offers of %d cases\n%s", len(offers), len(cases), found)
	}
	for i, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			if c.Source == "" || c.Status == "" {
				t.Error("the case names no source")
			}
			o := offers[i]
			if got := [3]float64{o.Plank.ThicknessMM, o.Plank.WidthMM, o.Plank.LengthMM}; got != c.WantMM {
				t.Errorf("%s × %s × %s is %v mm, want %v (%s)", c.Thickness, c.Width, c.Length, got, c.WantMM, c.Source)
			}
			if cost, err := o.PlankCost(); err != nil || !cost.Equal(c.WantPlankCost) {
				t.Errorf("a plank costs %s, %v; want %s (%s)", cost, err, c.WantPlankCost, c.Source)
			}
			if got := o.PricePerM3(); !got.Equal(c.WantPerM3) {
				t.Errorf("a m³ costs %s, want %s (%s)", got, c.WantPerM3, c.Source)
			}
			if math.Abs(o.YieldPct-c.WantYieldPct) > 1e-8 {
				t.Errorf("grade %q yields %v %%, want %v (%s)", c.Grade, o.YieldPct, c.WantYieldPct, c.Source)
			}
		})
	}
}
