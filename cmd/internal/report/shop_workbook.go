package report

import (
	"fmt"
	"io"
	"strings"
)

// ShopWorkbook writes the shop sheet of a layout as an XLSX workbook in the manner of [FrontWorkbook]: strips to cut, glue-up and
// profile to mill, each a table of its own. The error is w's, or that of a job whose layout does not fit its board.
func ShopWorkbook(w io.Writer, j *ShopJob) error {
	s, err := newShopSheet(j)
	if err != nil {
		return err
	}
	return writeWorkbook(w, "Shop sheet of "+clean(j.Program.Model), func(b *workbook) {
		b.marked = s.s.marks
		b.shop(s)
		b.shopCuts(s)
		b.shopGlueUp(s)
		b.shopMill(s)
		b.cautions()
	})
}

func (b *workbook) shop(s *shopSheet) {
	const sheet = "Shop sheet"
	b.sheet(sheet, true)
	b.do(b.f.SetColWidth(sheet, "A", "H", 15))
	b.words(sheet, 1, 1, "Shop sheet: "+clean(s.Program.Model), b.titleStyle())
	intro := capital(clean(s.Of)) + ". " + s.Many()
	if s.NeededBy != "" {
		intro += " Needed by " + clean(s.NeededBy) + "."
	}
	row := b.paragraph(sheet, 3, intro, b.wrapStyle())
	for _, m := range s.Minds {
		row = b.paragraph(sheet, row, m, b.alertStyle())
	}
	rows := [][]any{
		{"Blank length", value(true, s.Blank.LengthMM), "mm"},
		{"Blank width", value(true, s.WidthMM), "mm"},
		{"Blank thickness", value(true, s.Blank.ThicknessMM), "mm"},
		{"Strips in a blank", s.Strips, ""},
		{"Moisture to have", value(true, s.MoisturePct), "%"},
		{"Glue for a blank", measured{value: value(true, s.GlueG), format: "0"}, "g"},
		{"Blank before milling, without glue", measured{value: value(true, s.BlankG), format: "0"}, "g"},
		{"Finished core", measured{value: value(true, s.Point.CoreMassG), format: "0.00"}, "g"},
		{"Cores to build", s.Cores, ""},
	}
	row = b.table(sheet, 1, row+1, []field{{head: "Figure", width: 36}, {head: "Value", width: 14, format: "0.##"}, {head: "Unit", width: 8}}, rows, nil)
	row = b.list(sheet, row+1, "From left to right, | at the centre line", []string{s.Order()})
	row = b.list(sheet, row, "Checks", s.Checks())
	b.list(sheet, row, "Before anyone rides it", Cautions)
}

func (b *workbook) shopCuts(s *shopSheet) {
	const sheet = "Strips to cut"
	b.sheet(sheet, true)
	fields := []field{{head: "Letter", width: 8}, {head: "Wood", width: 32, wrap: true}, {head: "Width mm", width: 10, format: "0.0##"},
		{head: "Rip at mm", width: 10, format: "0.0##"}, {head: "Height mm", width: 10, format: "0.0##"}, {head: "Length mm", width: 10, format: "0.##"},
		{head: "For one core", width: 10, format: "0"}, {head: "For " + s.CoresText(), width: 12, format: "0"}, {head: "Lumber priced from", width: 40, wrap: true}}
	var rows [][]any
	for _, c := range s.Cuts {
		rows = append(rows, []any{c.Mark.Letter, c.Mark.Wood.CommonName, value(true, c.WidthMM), value(true, c.RipMM), value(true, s.Blank.ThicknessMM),
			value(true, s.Blank.LengthMM), c.PerCore, c.All, strings.Join(cleanAll(c.From), ", ")})
	}
	b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 2, 1)
}

func (b *workbook) shopGlueUp(s *shopSheet) {
	const sheet = "Glue-up"
	b.sheet(sheet, true)
	fields := []field{{head: "Strips from left", width: 10}, {head: "Letter", width: 8}, {head: "Wood", width: 32, wrap: true}, {head: "Each mm", width: 10, format: "0.0##"},
		{head: "From left edge mm", width: 11, format: "0.0##"}, {head: "To mm", width: 11, format: "0.0##"}, {head: "Mirror of strips", width: 10},
		{head: "Position", width: 24, wrap: true}}
	if s.Stretch {
		fields = append(fields, field{head: "Pre-strain per mille", width: 11, format: "+0.00;-0.00;0.00"}, field{head: "Longer by mm", width: 11, format: "+0.00;-0.00;0.00"})
	}
	var rows [][]any
	for _, r := range s.Runs {
		row := []any{numbers(r.First, r.Last), r.Mark.Letter, r.Mark.Wood.CommonName, value(true, r.WidthMM), value(true, r.LeftMM), value(true, r.RightMM),
			numbers(r.MirrorFirst, r.MirrorLast), r.Position}
		if s.Stretch {
			row = append(row, value(true, 1000*r.PreStrain), value(true, r.StretchMM))
		}
		rows = append(rows, row)
	}
	row := b.table(sheet, 1, 1, fields, rows, nil)
	b.freeze(sheet, 0, 1)
	if len(s.Pads) == 0 {
		return
	}
	lines := make([]string, len(s.Pads))
	for i, p := range s.Pads {
		lines[i] = fmt.Sprintf("%s at %s, %s to %s mm from the tip, %s to %s mm from the centre line", clean(p.Mark.Wood.CommonName), clean(p.Position),
			plainMM(p.FromMM), plainMM(p.ToMM), plainMM(p.InnerMM), plainMM(p.Outer))
	}
	b.list(sheet, row+1, "Pads, wood turned across the board", lines)
}

func (b *workbook) shopMill(s *shopSheet) {
	const sheet = "Profile to mill"
	b.sheet(sheet, true)
	mm := format(s.decimals)
	fields := []field{{head: "From tip mm", width: 11, format: "0.##"}, {head: "From end of blank mm", width: 13, format: "0.##"}, {head: "Core width mm", width: 11, format: "0.0"},
		{head: "Core thickness mm", width: 12, format: mm}, {head: "Off the blank mm", width: 12, format: mm}}
	var rows [][]any
	for _, r := range s.Mill {
		rows = append(rows, []any{value(true, r.FromTipMM), value(true, r.FromEndMM), value(true, r.WidthMM), value(true, r.ThickMM), value(true, r.OffMM)})
	}
	b.table(sheet, 1, 1, fields, rows, func(i int) bool { return s.Mill[i].Measured })
	b.freeze(sheet, 0, 1)
}
