package sourcing_test

import (
	"bytes"
	"fmt"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"stavewright/sourcing"
	"stavewright/species"
)

// A price sheet of two lines, one of which cannot be used, and what a strip of European beech costs from it.
func Example() {
	f := excelize.NewFile()
	defer f.Close()
	for i, row := range [][]any{
		{"Holzart", "Stärke mm", "Breite mm", "Länge m", "Preis €/m³"},
		{"Rotbuche", 26, 150, "3,9", "1.150,00"},
		{"Rotbuche", 26, "fallend", "3,9", "980,00"},
	} {
		if err := f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			panic(err)
		}
	}
	var file bytes.Buffer
	if err := f.Write(&file); err != nil {
		panic(err)
	}

	offers, rows, findings := sourcing.ReadOffers(&file, sourcing.Source{Supplier: "Nord", File: "nord.xlsx", Woods: species.Default()})
	fmt.Println(rows.Data, "lines,", rows.Offers, "offer")
	fmt.Println(findings)

	rates := sourcing.Rates{"EUR": decimal.NewFromInt(1)}
	blank := sourcing.Blank{LengthMM: 1850, ThicknessMM: 14}
	price, _ := sourcing.Cheapest(offers, nil, "beech-european", 8, blank, sourcing.DefaultShop(), rates, false)
	for _, step := range price.Steps {
		fmt.Println(step)
	}
	// Output:
	// 2 lines, 1 offer
	// nord.xlsx, sheet "Sheet1", cell C3: width "fallend" says no least figure; write a width or a range of them: 150 mm, 6", 100-180 mm, 4" +, or add to the Columns sheet of the job book: Nord | Sheet1 | * | width 120 mm
	// thickness: (26 − 2 × 0.5 planing + 3 kerf) ÷ (8 + 3 kerf), rounded down: 2
	// width: (150 − 5 edging + 3 kerf) ÷ (14 + 3 kerf), rounded down: 8
	// length: (3900 − 50 end trim) ÷ 1850, rounded down: 2
	// strips per plank: 2 × 8 × 2 = 32, × 70 % (the shop's yield) = 22.4
	// plank: 26 × 150 × 3900 mm = 0.01521 m3
	// price of a plank: 1150 EUR per m3 × 0.01521 = 17.4915 EUR
	// cost of a strip: 17.4915 ÷ 22.4 = 0.7809
}
