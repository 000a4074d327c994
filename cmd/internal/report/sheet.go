package report

import (
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"

	"github.com/xuri/excelize/v2"
)

// A workbook is a spreadsheet in the making. The first fault is kept, and nothing is written after it.
type workbook struct {
	f      *excelize.File
	err    error
	styles map[string]int
	marked []woodMark
	taken  map[string]bool // names of tables and sheets
}

func writeWorkbook(w io.Writer, title string, fill func(*workbook)) (err error) {
	b := &workbook{f: excelize.NewFile(), styles: map[string]int{}, taken: map[string]bool{}}
	defer func() { err = errors.Join(err, b.f.Close()) }()
	fill(b)
	// A file's dates and makers are the clock's and the machine's: fixed here, so that equal input gives equal bytes.
	const never = "2000-01-01T00:00:00Z"
	b.do(b.f.SetDocProps(&excelize.DocProperties{Title: title, Creator: "stavewright", LastModifiedBy: "stavewright",
		Created: never, Modified: never}))
	b.f.SetActiveSheet(0)
	// Charts fill this list in map order (seen in excelize 2.11.1).
	types := b.f.ContentTypes.Defaults
	sort.Slice(types, func(i, j int) bool { return types[i].Extension < types[j].Extension })
	if b.err != nil {
		return fmt.Errorf("results workbook: %w", b.err)
	}
	return b.f.Write(w)
}

func (b *workbook) do(err error) {
	if b.err == nil {
		b.err = err
	}
}

// sheet adds a sheet that prints one page wide, and with onePage on one page; the first takes the place of the one a new
// file has.
func (b *workbook) sheet(name string, onePage bool) {
	b.taken["sheet "+strings.ToLower(name)] = true
	if first := b.f.GetSheetName(0); first == "Sheet1" {
		b.do(b.f.SetSheetName(first, name))
	} else {
		_, err := b.f.NewSheet(name)
		b.do(err)
	}
	show := false
	b.do(b.f.SetSheetView(name, 0, &excelize.ViewOptions{ShowGridLines: &show}))
	landscape, a4, one, pages := "landscape", 9, 1, 0 // 0: as many as it takes
	if onePage {
		pages = 1
	}
	b.do(b.f.SetPageLayout(name, &excelize.PageLayoutOptions{Orientation: &landscape, Size: &a4, FitToWidth: &one, FitToHeight: &pages}))
	fit := true
	b.do(b.f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &fit}))
}

// A font that spreadsheet programs have or replace by one of the same widths.
const typeface = "Calibri"

// The looks of the workbook.
var (
	thin     = []excelize.Border{{Type: "bottom", Color: "D9D4C8", Style: 1}}
	headFill = solid("4A4238")
)

// style is the number of a look, made once.
func (b *workbook) style(key string, s *excelize.Style) int {
	if id, ok := b.styles[key]; ok {
		return id
	}
	id, err := b.f.NewStyle(s)
	b.do(err)
	b.styles[key] = id
	return id
}

func (b *workbook) titleStyle() int {
	return b.style("title", &excelize.Style{Font: &excelize.Font{Family: typeface, Bold: true, Size: 16}})
}

func (b *workbook) headingStyle() int {
	return b.style("heading", &excelize.Style{Font: &excelize.Font{Family: typeface, Bold: true, Size: 12}})
}

func (b *workbook) headStyle() int {
	return b.style("head", &excelize.Style{Font: &excelize.Font{Family: typeface, Bold: true, Color: "FFFFFF"}, Fill: headFill,
		Alignment: &excelize.Alignment{WrapText: true, Vertical: "center"}})
}

func (b *workbook) wrapStyle() int {
	return b.style("wrap", &excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
}

func (b *workbook) alertStyle() int {
	return b.style("alert", &excelize.Style{Font: &excelize.Font{Family: typeface, Bold: true, Color: "B00020"},
		Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
}

// numberStyle is that of a table's number; textStyle that of its text, set off from a number before it.
func (b *workbook) numberStyle(format string, marked bool) int {
	s := &excelize.Style{Font: &excelize.Font{Family: typeface}, Border: thin, Alignment: &excelize.Alignment{Vertical: "top"}}
	if format != "" {
		s.CustomNumFmt = &format
	}
	return b.style(fmt.Sprint("number ", format, marked), standOut(s, marked))
}

func (b *workbook) textStyle(wrap, marked bool) int {
	s := &excelize.Style{Font: &excelize.Font{Family: typeface}, Border: thin,
		Alignment: &excelize.Alignment{Vertical: "top", Horizontal: "left", Indent: 1, WrapText: wrap}}
	return b.style(fmt.Sprint("text ", wrap, marked), standOut(s, marked))
}

func standOut(s *excelize.Style, marked bool) *excelize.Style {
	if marked {
		s.Fill = solid("FBF0C9")
		s.Font.Bold = true
	}
	return s
}

// cellName is the name of a cell; row and column count from 1.
func cellName(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err) // only outside a sheet's bounds, where no result reaches
	}
	return name
}

// absolute is the name of a cell as a chart refers to it.
func absolute(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row, true)
	if err != nil {
		panic(err) // as in cellName
	}
	return name
}

// span is an absolute range of one column on a sheet.
func span(sheet string, col, from, to int) string {
	return quoted(sheet) + "!" + absolute(col, from) + ":" + absolute(col, to)
}

// words writes text as text: what a person typed is never taken for a formula, whatever it begins with.
func (b *workbook) words(sheet string, col, row int, s string, style int) {
	b.do(b.f.SetCellStr(sheet, cellName(col, row), literal(cellText(s))))
	b.do(b.f.SetCellStyle(sheet, cellName(col, row), cellName(col, row), style))
}

// A field is one column of a workbook's table. A cell is a string, a float64, an int, a measured or nil.
type field struct {
	head   string
	width  float64
	format string // of numbers
	wrap   bool
}

// A measured is a number with a format of its own; marked, it stands out from its row.
type measured struct {
	value  any
	format string
	marked bool
}

const rowPoints = 15 // points high is a row of one line

// height sets a row's height in points, within what a sheet allows.
func (b *workbook) height(sheet string, row int, points float64) {
	b.do(b.f.SetRowHeight(sheet, row, min(points, excelize.MaxRowHeight)))
}

// linesIn is how many lines text takes in a column of a width.
func linesIn(s string, width float64) int {
	return len(folded(s, max(int(width)-2, 4)))
}

// table writes a table with its heading row at col, row, and returns the row below it. Rows for which marked says so stand out.
func (b *workbook) table(sheet string, col, row int, fields []field, rows [][]any, marked func(int) bool) int {
	high, wide := 1, 0.0
	heads := headings(fields)
	for i, f := range fields {
		b.words(sheet, col+i, row, heads[i], b.headStyle())
		wide += f.width
		name, err := excelize.ColumnNumberToName(col + i)
		b.do(err)
		b.do(b.f.SetColWidth(sheet, name, name, f.width))
		high = max(high, linesIn(heads[i], f.width))
	}
	b.pages(sheet, wide)
	b.height(sheet, row, rowPoints*float64(high)+4)
	for i, values := range rows {
		high, mark := 1, marked != nil && marked(i)
		for j, v := range values {
			f, at, mark := fields[j], cellName(col+j, row+1+i), mark
			if s, ok := v.(string); ok {
				b.words(sheet, col+j, row+1+i, s, b.textStyle(f.wrap, mark))
				if f.wrap {
					high = max(high, linesIn(s, f.width))
				}
				continue
			}
			if m, ok := v.(measured); ok {
				v, f.format, mark = m.value, m.format, mark || m.marked
			}
			if v != nil {
				b.do(b.f.SetCellValue(sheet, at, v))
			}
			b.do(b.f.SetCellStyle(sheet, at, at, b.numberStyle(f.format, mark)))
		}
		if high > 1 {
			b.height(sheet, row+1+i, rowPoints*float64(high))
		}
	}
	last := row + max(len(rows), 1) // a table has a row, if an empty one
	stripes := false
	b.do(b.f.AddTable(sheet, &excelize.Table{Range: cellName(col, row) + ":" + cellName(col+len(fields)-1, last),
		Name: b.tableName(sheet), StyleName: "TableStyleLight1", ShowRowStripes: &stripes}))
	return last + 1
}

// pages prints a wide sheet on several pages side by side, where on one nobody could read it.
func (b *workbook) pages(sheet string, width float64) {
	const legible = 240 // characters across a page
	if across := int(math.Ceil(width / legible)); across > 1 {
		b.do(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{FitToWidth: &across}))
	}
}

// freeze keeps the rows above and the columns before a cell in view.
func (b *workbook) freeze(sheet string, columns, rows int) {
	pane := "bottomRight"
	if columns == 0 {
		pane = "bottomLeft"
	}
	b.do(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, XSplit: columns, YSplit: rows, TopLeftCell: cellName(columns+1, rows+1), ActivePane: pane}))
	titles := fmt.Sprintf("%s!$%d:$%d", quoted(sheet), rows, rows)
	b.do(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: sheet, RefersTo: titles}))
}

// format is the number format of fixed decimals.
func format(decimals int) string {
	if decimals == 0 {
		return "0"
	}
	return "0." + strings.Repeat("0", decimals)
}

// value is a figure for a cell: rounded well below what is shown, nothing when it is not known.
func value(ok bool, v float64) any {
	if s := known(ok, v, 9); s == "n/a" {
		return nil
	}
	return roundTo(v, 6) + 0 // + 0: no negative zero
}

func solid(colour string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
}

func marker(symbol string, size int, colour string) excelize.ChartMarker {
	return excelize.ChartMarker{Symbol: symbol, Size: size, Fill: solid(colour)}
}

// chart adds a chart at a cell, with its title and with words for those who do not see it.
func (b *workbook) chart(sheet, at, title, words string, c *excelize.Chart) {
	c.Title = excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: title, Font: &excelize.Font{Size: 13, Bold: true}}}}
	c.Format.AltText = clipped(title+". "+words, 250)
	b.do(b.f.AddChart(sheet, at, c))
}

// chartAxis is an axis with its title, from and to the ends of a scale; without one the spreadsheet program finds them.
func chartAxis(title string, scale *axis) excelize.ChartAxis {
	a := excelize.ChartAxis{MajorGridLines: true, NumFmt: excelize.ChartNumFmt{CustomNumFmt: "General"},
		Font: excelize.Font{Color: "4A4238"}}
	a.Title.Paragraph = []excelize.RichTextRun{{Text: title, Font: &excelize.Font{Size: 10}}}
	if scale != nil {
		a.Minimum, a.Maximum = &scale.low, &scale.high
	}
	return a
}

const summaryWidth = 118 // characters over the merged columns of a summary's text

// paragraph writes text over the width of a summary, as high as it needs, and returns the next row.
func (b *workbook) paragraph(sheet string, row int, s string, style int) int {
	b.words(sheet, 1, row, s, style)
	b.do(b.f.MergeCell(sheet, cellName(1, row), cellName(8, row)))
	lines := len(folded(clean(s), summaryWidth))
	b.height(sheet, row, float64(16*lines))
	return row + 1
}
