package sourcing

import (
	"fmt"
	"io"
	"strconv"

	"stavewright/species"
)

// A Source is what the job book says of a supplier.
type Source struct {
	Supplier, File string
	Currency       string // counts where the sheet names none; empty: none
	Certified      bool   // counts where the sheet has no column for certificates
	LeadTimeDays   int    // counts where the sheet gives none
	Woods          *species.Table
	Columns        []ColumnMeaning
}

// A ColumnMeaning is a row of the job book's Columns sheet: it settles what a column is, before recognition is asked.
type ColumnMeaning struct {
	Sheet   string // empty: every sheet of the file
	Header  string // the header as it stands in the price sheet
	Meaning string // one of [Meanings], with its unit and currency where it has one: "price EUR/m3", "width mm"
}

// Rows counts the lines of price sheets below their headers. Data = Offers + Findings, always.
type Rows struct {
	Data     int
	Offers   int
	Findings int // lines that gave no offer, each answered by a finding of its own or by one of its sheet's
}

// headerWithin is how many lines down a sheet's header row can stand below its title.
const headerWithin = 60

// ReadOffers reads a supplier's price sheets, an XLSX workbook. Each sheet has one header row, perhaps under title rows; each
// line below it becomes an offer, or a finding says where and why not. Findings come sorted. A sheet without a header
// row is an error only when no sheet has one.
//
// Whatever is stated nearest to the price counts: currency and unit in its cell go before those of a column of their own,
// these before the header's, these before the cell's number format, and the currency that the job book gives the supplier
// comes last. Where number format and words disagree, the line is a finding.
func ReadOffers(r io.Reader, src Source) ([]Offer, Rows, Findings) {
	if src.Woods == nil {
		src.Woods = species.Default()
	}
	rd := &reader{src: src, woods: map[string]lookup{}, mapped: map[int]bool{}}
	for _, m := range src.Columns {
		if err := CheckMeaning(m.Meaning); err != nil {
			rd.add(Finding{Problem: "Columns sheet of the job book: " + err.Error(), Advice: "mend the Meaning of header " + strconv.Quote(m.Header)})
		}
	}
	w, err := open(r)
	if err != nil {
		rd.add(Finding{Problem: err.Error(), Advice: "save the price sheet as .xlsx with a spreadsheet program and name that file in the job book"})
		return nil, Rows{}, rd.found
	}
	defer w.file.Close()
	rd.book = w
	for _, sheet := range w.file.GetSheetList() {
		rd.readSheet(sheet)
	}
	for _, f := range rd.headless {
		f.Warning = rd.headers > 0
		rd.add(f)
	}
	if rd.rows.Data == 0 && len(rd.found.Errors()) == 0 {
		rd.add(Finding{Problem: "the file holds no line of goods", Advice: "ask the supplier for a price sheet with one line per plank size"})
	}
	for i, m := range src.Columns {
		if !rd.mapped[i] && CheckMeaning(m.Meaning) == nil {
			rd.add(Finding{Sheet: m.Sheet, Warning: true, Problem: fmt.Sprintf("the Columns sheet of the job book speaks of a header %q, which is not in this file's header rows", m.Header),
				Advice: "write the header as it stands in the price sheet"})
		}
	}
	rd.found.Sort()
	return rd.offers, rd.rows, rd.found
}

// A lookup is what a name means, kept since sheets repeat names.
type lookup struct {
	wood species.Wood
	err  error
}

// A reader gathers what a file gives.
type reader struct {
	src      Source
	book     *workbook
	woods    map[string]lookup
	mapped   map[int]bool // rows of the Columns sheet that met their header
	headers  int          // sheets with a header row
	headless Findings     // one for each sheet without
	offers   []Offer
	rows     Rows
	found    Findings
}

func (rd *reader) add(f Finding) {
	f.File = rd.src.File
	rd.found = append(rd.found, f)
}

// wood looks a name up in the table.
func (rd *reader) wood(name string) (species.Wood, error) {
	l, ok := rd.woods[name]
	if !ok {
		l.wood, l.err = rd.src.Woods.Lookup(name)
		rd.woods[name] = l
	}
	return l.wood, l.err
}

// readSheet finds a sheet's header row and reads what stands below it.
func (rd *reader) readSheet(sheet string) {
	lines, err := rd.book.lines(sheet)
	if err != nil {
		rd.add(Finding{Sheet: sheet, Problem: fmt.Sprintf("the sheet cannot be read: %v", err),
			Advice: "delete what is no part of the price list, save the file with a spreadsheet program and read it again"})
		return
	}
	if len(lines) == 0 {
		return
	}
	head, cols, best := -1, []column(nil), 0
	for i, l := range lines {
		if l.row > headerWithin {
			break
		}
		if c := recognise(l.cells, sheet, rd.src.Columns); score(c) > best {
			head, cols, best = i, c, score(c)
		}
	}
	if head < 0 {
		rd.rows.Data += len(lines)
		rd.rows.Findings += len(lines)
		rd.headless = append(rd.headless, Finding{Sheet: sheet, Problem: "no header row with wood, sizes and price is found; " + notRead(len(lines)),
			Advice: "if it lists goods, give its columns headers such as Wood, Thickness mm, Width mm, Length mm, Price EUR/m3, or name its headers on the Columns sheet of the job book"})
		return
	}
	rd.headers++
	for i, m := range rd.src.Columns {
		for _, c := range cols {
			rd.mapped[i] = rd.mapped[i] || (m.Sheet == "" || sameName(m.Sheet, sheet)) && sameName(m.Header, c.header)
		}
	}
	if visible, err := rd.book.file.GetSheetVisible(sheet); err == nil && !visible {
		rd.add(Finding{Sheet: sheet, Warning: true, Problem: "the sheet is hidden, and its lines are used all the same", Advice: "delete it from the file if it no longer holds"})
	}
	t := &table{reader: rd, sheet: sheet, head: lines[head], body: lines[head+1:], cols: cols, marks: map[int]rune{}}
	t.read()
}
