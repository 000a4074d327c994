package book

import (
	"bytes"
	"fmt"
	"slices"
	"sort"

	"github.com/xuri/excelize/v2"

	"stavewright/species"
)

// A File is one file of the starter job.
type File struct {
	Name string
	Data []byte
}

// JobFile is the name of the starter's job book.
const JobFile = "job.xlsx"

// The starter's price files.
const (
	creekFile   = "creek.xlsx"
	holzhofFile = "holzhof.xlsx"
	legnamiFile = "legnami.xlsx"
	scierieFile = "scierie.xlsx"
)

// Starter is what stavewright new writes: a filled job book and four suppliers' price sheets, all of it invented. The
// bytes are the same every time.
func Starter() ([]File, error) {
	job, err := starterBook()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", JobFile, err)
	}
	files := []File{{JobFile, job}}
	for _, p := range priceSheets {
		data, err := p.write()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.file, err)
		}
		files = append(files, File{p.file, data})
	}
	return files, nil
}

// rowHeight is that of one line of text, in points.
const rowHeight = 15.5

// spareRows are empty rows with the look of input below the demo's.
const spareRows = 12

// listedRows is how far down the drop-down lists reach.
const listedRows = 1000

// The workbook's colours.
const (
	inkColour      = "1F3B4D"
	requiredColour = "1F5C5A" // headers that must be there and filled
	optionalColour = "7A8B99" // headers that may stay empty
	inputColour    = "FFF9E5"
	bandColour     = "F3EBD0" // every other model
	lineColour     = "D9D2BC"
)

// A bookWriter writes the starter's job book. The first error sticks.
type bookWriter struct {
	f      *excelize.File
	styles map[string]int
	err    error
}

func (w *bookWriter) do(err error) {
	if w.err == nil {
		w.err = err
	}
}

func cellName(col, row int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err) // rows and columns come from this package's own tables
	}
	return name
}

// style makes a style once and reuses it.
func (w *bookWriter) style(id string, s excelize.Style) int {
	if n, ok := w.styles[id]; ok {
		return n
	}
	n, err := w.f.NewStyle(&s)
	w.do(err)
	w.styles[id] = n
	return n
}

func starterBook() ([]byte, error) {
	w := &bookWriter{f: excelize.NewFile(), styles: map[string]int{}}
	defer w.f.Close()
	w.do(w.f.SetDefaultFont("Calibri"))
	w.do(w.f.SetSheetName("Sheet1", startSheet))
	rows := demoRows()
	for _, s := range sheets {
		_, err := w.f.NewSheet(s.Name)
		w.do(err)
	}
	_, err := w.f.NewSheet(listsSheet)
	w.do(err)
	w.start()
	for i := range sheets {
		w.sheet(&sheets[i], rows[sheets[i].Name])
	}
	w.lists(rows)
	w.f.SetActiveSheet(0)
	if w.err != nil {
		return nil, w.err
	}
	return bytesOf(w.f, "Stavewright starter job", "An invented demo job: every name, measure and price in it is made up.")
}

// bytesOf writes a workbook so that equal content is equal bytes: fixed properties, no order left to a map.
func bytesOf(f *excelize.File, title, description string) ([]byte, error) {
	const stamp = "2026-01-01T00:00:00Z"
	if err := f.SetDocProps(&excelize.DocProperties{
		Created: stamp, Modified: stamp, Creator: "Stavewright", LastModifiedBy: "Stavewright", Title: title, Description: description,
		Language: "en", Revision: "1"}); err != nil {
		return nil, err
	}
	sort.Slice(f.ContentTypes.Defaults, func(i, j int) bool {
		return f.ContentTypes.Defaults[i].Extension < f.ContentTypes.Defaults[j].Extension
	})
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// page sets how a sheet prints: landscape, as wide as the paper, the first row on every page, marked as invented.
func (w *bookWriter) page(sheet string, repeat bool) {
	landscape, one, many := "landscape", 1, 0
	if sheet == startSheet {
		landscape, many = "portrait", 1
	}
	w.do(w.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &many}))
	fit := true
	w.do(w.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
	w.do(w.f.SetHeaderFooter(sheet, &excelize.HeaderFooterOptions{OddHeader: "&L&A&RINVENTED DEMO", OddFooter: "&CPage &P of &N"}))
	if repeat {
		w.do(w.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("'%s'!$1:$1", sheet), Scope: sheet}))
	}
}

// sheet writes one data sheet: headers with notes and drop-down lists, the demo's rows, empty rows to go on.
func (w *bookWriter) sheet(s *sheet, rows [][]any) {
	byModel := s.Columns[0].Kind == modelName
	colour := optionalColour
	if s.Required {
		colour = requiredColour
	}
	w.do(w.f.SetSheetProps(s.Name, &excelize.SheetPropsOptions{TabColorRGB: &colour}))
	for i, c := range s.Columns {
		w.header(s, i+1, &c)
	}
	w.do(w.f.SetRowHeight(s.Name, 1, 44))
	band, last := false, ""
	for k := range len(rows) + spareRows {
		row := k + 2
		if k < len(rows) && byModel {
			if m := fmt.Sprint(rows[k][0]); m != last {
				band, last = last != "" && !band, m
			}
		} else {
			band = false
		}
		for i, c := range s.Columns {
			cell := cellName(i+1, row)
			if k < len(rows) && rows[k][i] != nil {
				w.do(w.f.SetCellValue(s.Name, cell, rows[k][i]))
			}
			w.do(w.f.SetCellStyle(s.Name, cell, cell, w.input(&c, band)))
			if list, isList := cellText(rows, k, i); isList && c.Kind == woods {
				w.do(w.f.SetRowHeight(s.Name, row, rowHeight*float64(1+(len(list)-1)/int(1.05*c.Width))))
			}
		}
	}
	split := 0
	if byModel {
		split = 1
	}
	pane := "bottomLeft"
	if split == 1 {
		pane = "bottomRight"
	}
	w.do(w.f.SetPanes(s.Name, &excelize.Panes{Freeze: true, XSplit: split, YSplit: 1, TopLeftCell: cellName(split+1, 2), ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: cellName(split+1, 2), ActiveCell: cellName(split+1, 2), Pane: pane}}}))
	w.page(s.Name, true)
}

// cellText is the text that the demo has in a cell.
func cellText(rows [][]any, k, i int) (string, bool) {
	if k >= len(rows) {
		return "", false
	}
	t, ok := rows[k][i].(string)
	return t, ok
}

func (w *bookWriter) header(s *sheet, col int, c *column) {
	colour, id := optionalColour, "optional header"
	if c.Required {
		colour, id = requiredColour, "required header"
	}
	name := cellName(col, 1)
	w.do(w.f.SetCellStr(s.Name, name, c.Header()))
	w.do(w.f.SetCellStyle(s.Name, name, name, w.style(id, excelize.Style{
		Font:      &excelize.Font{Bold: true, Color: "FFFFFF", Family: "Calibri", Size: 11},
		Fill:      excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}},
		Alignment: &excelize.Alignment{WrapText: true, Vertical: "center", Horizontal: "left"},
		Border:    []excelize.Border{{Type: "right", Color: "FFFFFF", Style: 1}},
	})))
	letter, err := excelize.ColumnNumberToName(col)
	w.do(err)
	w.do(w.f.SetColWidth(s.Name, letter, letter, c.Width))
	if note := c.note(); note != "" {
		w.do(w.f.AddComment(s.Name, excelize.Comment{Cell: name, Author: "Stavewright",
			Paragraph: []excelize.RichTextRun{{Text: note, Font: &excelize.Font{Family: "Calibri", Size: 10}}},
			Width:     260, Height: uint(36 + 16*(len(note)/38))}))
	}
	w.dropDown(s, letter, c)
}

// note is the comment of a header.
func (c *column) note() string {
	if c.Required {
		return c.Note + "\nMust be filled in every row."
	}
	return c.Note
}

// dropDown gives the cells of a column their list. Lists of names let other text pass: there may be an alias, or a position that
// the list does not have yet. Reading the book says what is not understood.
func (w *bookWriter) dropDown(s *sheet, letter string, c *column) {
	dv := excelize.NewDataValidation(true)
	dv.Sqref = fmt.Sprintf("%s2:%s%d", letter, letter, listedRows)
	list := func(column string) {
		dv.SetSqrefDropList(fmt.Sprintf("'%s'!$%s$2:$%s$%d", listsSheet, column, column, listedRows))
	}
	switch {
	case c.Kind == choice:
		w.do(dv.SetDropList(c.Choices))
		dv.SetError(excelize.DataValidationErrorStyleStop, c.Name, "Choose one of the list.")
	case c.Kind == yes:
		w.do(dv.SetDropList([]string{"yes"}))
		dv.SetError(excelize.DataValidationErrorStyleStop, c.Name, "Write yes, or leave it empty.")
	case c.Kind == modelName:
		dv.SetSqrefDropList(fmt.Sprintf("'Models'!$A$2:$A$%d", listedRows))
	case c.Kind == wood, c.Kind == woods, s.Name == "Woods" && c.Name == "Wood", s.Name == "Tests" && c.Name == "Wood":
		list(listColumn("woods"))
	case c.Kind == position:
		list(listColumn("positions"))
	case c.Kind == modulus:
		dv.SetSqrefDropList(fmt.Sprintf("'%s'!$%s$2:$%s$%d", listsSheet, listColumn("fabrics"), listColumn("fabrics"), listedRows))
	case s.Name == "Shop" && c.Name == "Setting":
		list(listColumn("settings"))
	case s.Name == "Columns" && c.Name == "Supplier":
		dv.SetSqrefDropList(fmt.Sprintf("'Suppliers'!$A$2:$A$%d", listedRows))
	default:
		return
	}
	w.do(w.f.AddDataValidation(s.Name, dv))
}

// input is the look of a cell to be filled.
func (w *bookWriter) input(c *column, band bool) int {
	format := "General"
	switch {
	case c.Kind == date:
		format = "yyyy-mm-dd"
	case c.Kind == money:
		format = "#,##0.00"
	case c.Kind == number && (c.Name == "Core thickness" || c.Name == "Ply thickness"):
		format = "0.00"
	case c.Kind == number && (c.Name == "EI low" || c.Name == "EI high"):
		format = "0.0"
	}
	fill := inputColour
	if band {
		fill = bandColour
	}
	s := excelize.Style{
		Font:      &excelize.Font{Family: "Calibri", Size: 11, Color: inkColour},
		Fill:      excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{fill}},
		Border:    []excelize.Border{{Type: "bottom", Color: lineColour, Style: 1}, {Type: "right", Color: lineColour, Style: 1}},
		Alignment: &excelize.Alignment{Vertical: "top", WrapText: c.Kind == woods},
	}
	isText := slices.Contains([]kind{text, yes, choice, modelName, position, wood, woods}, c.Kind)
	if isText { // a little air between a word and the number left of it
		s.Alignment.Horizontal, s.Alignment.Indent = "left", 1
	}
	if format != "General" {
		s.CustomNumFmt = &format
	}
	return w.style(fmt.Sprint("input ", format, fill, isText, c.Kind == woods), s)
}

// listColumns are the columns of the sheet of lists.
var listColumns = []string{"woods", "common names", "positions", "fabrics", "settings", "what a setting is, and what counts without it"}

func listColumn(name string) string {
	letter, err := excelize.ColumnNumberToName(slices.Index(listColumns, name) + 1)
	if err != nil {
		panic(err) // a list that listColumns does not have
	}
	return letter
}

func (w *bookWriter) lists(rows map[string][][]any) {
	columns := map[string][]string{}
	put := func(list, v string) {
		if !slices.Contains(columns[list], v) {
			columns[list] = append(columns[list], v)
		}
	}
	for _, wd := range species.Default().Woods() {
		columns["woods"] = append(columns["woods"], wd.ID)
		columns["common names"] = append(columns["common names"], wd.CommonName)
	}
	for _, row := range rows["Woods"] {
		if name := row[0].(string); !slices.Contains(columns["woods"], name) {
			columns["woods"] = append(columns["woods"], name)
			columns["common names"] = append(columns["common names"], "your own, from the Woods sheet")
		}
	}
	for _, row := range rows["Positions"] {
		put("positions", row[1].(string))
	}
	for _, row := range rows["Fabrics"] {
		put("fabrics", row[0].(string))
	}
	for _, s := range settings {
		put("settings", s.Name)
		columns[listColumns[5]] = append(columns[listColumns[5]], s.note())
	}
	put("settings", ratePrefix+"USD")
	columns[listColumns[5]] = append(columns[listColumns[5]], rateNote)
	head := w.style("list header", excelize.Style{Font: &excelize.Font{Bold: true, Family: "Calibri", Size: 11, Color: inkColour}})
	for i, name := range listColumns {
		letter := listColumn(name)
		w.do(w.f.SetCellStr(listsSheet, cellName(i+1, 1), name))
		w.do(w.f.SetCellStyle(listsSheet, cellName(i+1, 1), cellName(i+1, 1), head))
		w.do(w.f.SetColWidth(listsSheet, letter, letter, []float64{26, 36, 16, 26, 20, 76}[i]))
		for k, v := range columns[name] {
			w.do(w.f.SetCellStr(listsSheet, cellName(i+1, k+2), v))
		}
	}
	w.do(w.f.SetPanes(listsSheet, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	w.page(listsSheet, true)
}

// start writes the first sheet: what the book is, what to do, what the colours mean.
func (w *bookWriter) start() {
	const s = startSheet
	white := false
	w.do(w.f.SetSheetView(s, 0, &excelize.ViewOptions{ShowGridLines: &white}))
	colour := "C8963E"
	w.do(w.f.SetSheetProps(s, &excelize.SheetPropsOptions{TabColorRGB: &colour}))
	for _, c := range []struct {
		letter string
		width  float64
	}{{"A", 3}, {"B", 19}, {"C", 88}} {
		w.do(w.f.SetColWidth(s, c.letter, c.letter, c.width))
	}
	font := func(size float64, bold bool, colour string) *excelize.Font {
		return &excelize.Font{Family: "Calibri", Size: size, Bold: bold, Color: colour}
	}
	wrap := &excelize.Alignment{WrapText: true, Vertical: "top"}
	title := w.style("title", excelize.Style{Font: font(22, true, requiredColour)})
	heading := w.style("heading", excelize.Style{Font: font(13, true, requiredColour), Border: []excelize.Border{{Type: "bottom", Color: "C8963E", Style: 2}}})
	body := w.style("body", excelize.Style{Font: font(11, false, inkColour), Alignment: wrap})
	strong := w.style("strong", excelize.Style{Font: font(11, true, inkColour), Alignment: wrap})
	link := w.style("link", excelize.Style{Font: &excelize.Font{Family: "Calibri", Size: 11, Color: "1F5C9A", Underline: "single"}, Alignment: wrap})
	warning := w.style("warning", excelize.Style{Font: font(11, true, "8A3B12"), Alignment: wrap,
		Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FBE9DD"}}})
	swatch := func(colour, text string) int {
		return w.style("swatch "+colour, excelize.Style{Font: font(11, true, text), Alignment: &excelize.Alignment{Horizontal: "center", Vertical: "center"},
			Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}})
	}
	row := 1
	put := func(left, right string, leftStyle, rightStyle int) {
		if left != "" {
			w.do(w.f.SetCellStr(s, cellName(2, row), left))
		}
		if right != "" {
			w.do(w.f.SetCellStr(s, cellName(3, row), right))
		}
		w.do(w.f.SetCellStyle(s, cellName(2, row), cellName(2, row), leftStyle))
		w.do(w.f.SetCellStyle(s, cellName(3, row), cellName(3, row), rightStyle))
		w.do(w.f.SetRowHeight(s, row, 17*float64(1+(len([]rune(right))-1)/97)))
		row++
	}
	section := func(text string) {
		row++
		put(text, "", heading, heading)
		w.do(w.f.SetRowHeight(s, row-1, 22))
	}
	put("Job book", "", title, body)
	w.do(w.f.SetRowHeight(s, 1, 34))
	for _, line := range startIntro {
		w.do(w.f.MergeCell(s, cellName(2, row), cellName(3, row)))
		style := body
		if line == startInvented {
			style = warning
		}
		put(line, "", style, style)
		w.do(w.f.SetRowHeight(s, row-1, 17*float64(1+(len(line)-1)/108)))
	}
	section("What to do")
	for i, step := range startSteps {
		put(fmt.Sprintf("%d  %s", i+1, step[0]), step[1], strong, body)
	}
	section("Colours")
	put("Header", "Dark green: the column must be there, and every row must fill it.", swatch(requiredColour, "FFFFFF"), body)
	put("Header", "Grey: the column or the cell may stay empty; then it sets no limit or takes the default that the header's note states.", swatch(optionalColour, "FFFFFF"), body)
	put("Cell", "Cream: yours to fill. A darker cream only tells one model's rows from the next.", swatch(inputColour, inkColour), body)
	section("Sheets")
	for _, sh := range sheets {
		put(sh.Name, sh.Intro, link, body)
		w.do(w.f.SetCellHyperLink(s, cellName(2, row-1), fmt.Sprintf("'%s'!A1", sh.Name), "Location"))
	}
	section("Good to know")
	for _, line := range startHints {
		put(line[0], line[1], strong, body)
	}
	section("Before anyone rides")
	w.do(w.f.MergeCell(s, cellName(2, row), cellName(3, row)))
	put(startCaution, "", warning, warning)
	w.do(w.f.SetRowHeight(s, row-1, 17*float64(1+(len(startCaution)-1)/108)))
	w.page(s, false)
}

const startInvented = "Everything in this book is an INVENTED demo: the boards, the shop, the suppliers, the prices and the dates. Replace it with yours, row by row."

var startIntro = []string{
	"This workbook says what you build, which core rides right today, and what it must keep. Stavewright reads it and finds every layout of woods that cannot be bettered: lighter at the same stiffness, stiffer at the same weight, and what each costs.",
	startInvented,
}

var startSteps = [][2]string{
	{"Look", "Run: stavewright check job.xlsx --model \"Allround 157\"  -  everything about today's core, nothing searched."},
	{"Search", "Run: stavewright front job.xlsx --model \"Allround 157\" --out results  -  weight against stiffness, proven complete."},
	{"Match", "Run: stavewright match job.xlsx --model \"Allround 157\" --out results  -  lighter at equal flex, with the profile to mill."},
	{"Season", "Run: stavewright season job.xlsx --out results  -  which layouts to build and what to order from whom, and an order sheet for each supplier."},
	{"Your boards", "Models, Stations and Positions: replace the demo's rows with one of your boards. These three sheets must be there."},
	{"Your skins", "Layers (and Fabrics, where a modulus is to be computed from plies): what is pressed with the core."},
	{"Your reference", "Reference: the core that rides right today. Targets: the stiffness window along the board that keeps it riding so."},
	{"Your lumber", "Suppliers: one row for each price file beside this book. Stock: what is in the yard. Shop: kerf, planing, yield, money, the day you order."},
	{"Your limits", "Limits, Counts and Shares: cost, mass, number of woods, fast-grown share. Empty cells limit nothing."},
}

var startHints = [][2]string{
	{"Headers", "Row 1 holds them, with units. Columns may stand in any order; point at a header to read its note."},
	{"Numbers", "Numbers are numbers: type 7.2 or 7,2 as your spreadsheet does, without a unit behind."},
	{"Every model", "A row whose Model is empty means every model. In Limits a model's own row goes first, cell by cell."},
	{"Woods", "By id (poplar-hybrid), common name, Latin name or trade name in several languages. The Lists sheet shows the ids; stavewright woods shows their figures."},
	{"Mistakes", "Every mistake is reported at once, with its sheet and cell. Nothing is computed on a faulty book."},
}

const startCaution = "A calculation is no proof of strength: press and test to destruction before anyone rides. Binding inserts are safety parts. Hardwood dust harms: mind local workplace rules. Local law and licensed practice come first."

// A priceSheet is one invented supplier's price file.
type priceSheet struct {
	file, sheet, title string
	lines              []string // between the title and the headers
	headers            []string
	formats            []string // number formats by column; empty: General
	widths             []float64
	rows               [][]any
}

func (p *priceSheet) write() ([]byte, error) {
	w := &bookWriter{f: excelize.NewFile(), styles: map[string]int{}}
	defer w.f.Close()
	w.do(w.f.SetSheetName("Sheet1", p.sheet))
	w.do(w.f.SetCellStr(p.sheet, "A1", p.title))
	w.do(w.f.SetCellStyle(p.sheet, "A1", "A1", w.style("title", excelize.Style{Font: &excelize.Font{Bold: true, Size: 15, Family: "Calibri"}})))
	row := 2
	for _, l := range p.lines {
		w.do(w.f.SetCellStr(p.sheet, cellName(1, row), l))
		row++
	}
	row++
	head := w.style("header", excelize.Style{Font: &excelize.Font{Bold: true, Family: "Calibri", Size: 11},
		Fill:   excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E4E7EA"}},
		Border: []excelize.Border{{Type: "bottom", Color: "808080", Style: 2}}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "center"}})
	for i, h := range p.headers {
		w.do(w.f.SetCellStr(p.sheet, cellName(i+1, row), h))
		w.do(w.f.SetCellStyle(p.sheet, cellName(i+1, row), cellName(i+1, row), head))
		letter, err := excelize.ColumnNumberToName(i + 1)
		w.do(err)
		w.do(w.f.SetColWidth(p.sheet, letter, letter, p.widths[i]))
	}
	w.do(w.f.SetRowHeight(p.sheet, row, 32))
	w.do(w.f.SetPanes(p.sheet, &excelize.Panes{Freeze: true, YSplit: row, TopLeftCell: cellName(1, row+1), ActivePane: "bottomLeft"}))
	for _, line := range p.rows {
		row++
		for i, v := range line {
			if v == nil {
				continue
			}
			name := cellName(i+1, row)
			w.do(w.f.SetCellValue(p.sheet, name, v))
			style := excelize.Style{Font: &excelize.Font{Family: "Calibri", Size: 11}}
			if f := p.formats[i]; f != "" {
				style.CustomNumFmt = &f
			}
			_, isText := v.(string)
			if isText {
				style.Alignment = &excelize.Alignment{Horizontal: "left", Indent: 1}
			}
			w.do(w.f.SetCellStyle(p.sheet, name, name, w.style(fmt.Sprint("cell ", p.formats[i], isText), style)))
		}
	}
	w.page(p.sheet, false)
	if w.err != nil {
		return nil, w.err
	}
	return bytesOf(w.f, p.title, "An invented price sheet: supplier and prices are made up.")
}
