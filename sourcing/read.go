package sourcing

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"stavewright/species"
)

// A Source is what the job book says of a supplier.
type Source struct {
	Supplier, File string
	Currency       string // counts where the sheet names none; empty: none
	Certified      bool   // counts where the sheet has no column for certificates
	LeadTimeDays   int    // counts where the sheet gives none
	HasTerms       bool   // the job book gives the supplier's minimum order or freight: titles that speak of them need no warning
	Woods          *species.Table
	Columns        []ColumnMeaning
}

// A ColumnMeaning is a row of the job book's Columns sheet: it settles what a column is, before recognition is asked.
type ColumnMeaning struct {
	Sheet   string // empty: every sheet of the file
	Header  string // the header as it stands in the price sheet, or its cell ("F1"); * for the sheet itself
	Meaning string // see [CheckMeaning]: "price EUR/m3", "width mm"; under * a value for the whole sheet, "width 120 mm", or "ignore"
}

// Rows counts the lines of price sheets below their headers. Data = Offers + Findings, always, and on every sheet.
//
// A line is a row that holds anything but dashes. Headers, their repeats and the titles above them are none, nor is a title
// within a table that was understood and used ("Rotbuche, KD" above its lines). A line with several prices can give several offers, and several
// lines can be the price steps of one offer: what is counted is the lines.
type Rows struct {
	Data     int
	Offers   int // lines that gave an offer or a price step of one
	Findings int // lines that gave neither, each answered by a finding of its own or by one of its table's or sheet's
}

// headerWithin is how many rows down the first header can stand below titles and letterheads.
const headerWithin = 60

// ReadOffers reads a supplier's price sheets: a workbook (.xlsx, .xlsm; no macro is run and no link followed) or a text file of fields
// (.csv). Each line below a header becomes one offer or several, or a finding says where and why not. Findings come sorted. A sheet without
// a header row is an error only when no sheet has one.
//
// Whatever is stated nearest to the price counts: currency and unit in its cell go before those of a column of their own,
// these before a title within the table, then the header, titles and notes around the table, the cell's number format; and the
// currency that the job book gives the supplier comes last. Where number format and words disagree, the line is a finding. So it is with wood,
// sizes, grade and moisture: the line's cell goes before the merged or blank cell's block, the title above the block, the titles of the sheet
// and its name.
func ReadOffers(r io.Reader, src Source) ([]Offer, Rows, Findings) {
	if src.Woods == nil {
		src.Woods = species.Default()
	}
	rd := &reader{src: src, woods: map[string]lookup{}, names: nameWords(src.Woods), named: map[string]woodCell{}, met: map[int]bool{}}
	rd.readColumns()
	w, err := open(r)
	if err != nil {
		rd.add(Finding{Problem: err.Error(), Advice: saveAs})
		return nil, Rows{}, rd.found
	}
	if w.file != nil {
		defer w.file.Close()
	}
	rd.book = w
	if w.macros {
		rd.add(Finding{Warning: true, Problem: "the file holds macros, none of which is run", Advice: "open it and save it as .xlsx, so that its figures are those that the macros leave"})
	}
	grids := make([]*grid, len(w.sheets))
	for i, s := range w.sheets {
		var err error
		if bad := guard(func() error { grids[i], err = w.grid(s); return err }); bad != nil {
			grids[i] = nil
			rd.add(Finding{Sheet: s.name, Problem: fmt.Sprintf("the sheet cannot be read: %s", oneLine(bad)),
				Advice: "delete what is no part of the price list, save the file with a spreadsheet program and read it again"})
		}
	}
	w.reckon(w.sheets, grids)
	for i, g := range grids {
		if g == nil {
			continue
		}
		if err := g.spread(); err != nil {
			rd.add(Finding{Sheet: w.sheets[i].name, Problem: fmt.Sprintf("the sheet cannot be read: %v", err),
				Advice: "undo its merged cells, save the file with a spreadsheet program and read it again"})
			continue
		}
		rd.readSheet(w.sheets[i], g)
		grids[i] = nil
	}
	for _, f := range rd.headless {
		f.Warning = f.Warning || rd.heads > 0
		rd.add(f)
	}
	if rd.rows.Data == 0 && len(rd.found.Errors()) == 0 {
		rd.add(Finding{Problem: "the file holds no line of goods", Advice: "ask the supplier for a price sheet with one line per plank size"})
	}
	for i, m := range src.Columns {
		if !rd.met[i] && rd.meanings[i].err == nil {
			rd.add(Finding{Sheet: m.Sheet, Warning: true, Problem: fmt.Sprintf("the Columns sheet of the job book speaks of a header %q, which is not in this file's header rows", shorten(m.Header)),
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

// A meant is a row of the Columns sheet, read.
type meant struct {
	column column
	fixed  said
	err    error
}

// A reader gathers what a file gives.
type reader struct {
	src      Source
	book     *workbook
	meanings []meant // of the Columns sheet
	woods    map[string]lookup
	names    map[string]bool // words of woods' names
	unknown  int             // names looked up in vain
	work     int             // see maxWork
	named    map[string]woodCell
	met      map[int]bool // rows of the Columns sheet that met their header
	heads    int          // tables with a header
	headless Findings     // one for each sheet without
	offers   []Offer
	rows     Rows
	found    Findings
}

// add keeps a finding. Texts of the file come into it by [shorten]; what comes by another way, such as a library's error, is made fit to print here.
func (rd *reader) add(f Finding) {
	f.File = rd.src.File
	rd.found = append(rd.found, f.Printable())
}

// wood looks a name up in the table.
func (rd *reader) wood(name string) (species.Wood, error) {
	l, ok := rd.woods[name]
	if !ok {
		if rd.unknown > maxUnknown {
			return species.Wood{}, &species.UnknownNameError{Name: shorten(name), Note: fmt.Sprintf("the file has more than %d names that are no wood's, and this one is not looked up", maxUnknown)}
		}
		l.wood, l.err = rd.src.Woods.Lookup(name)
		if l.err != nil {
			rd.unknown++
		}
		if len(rd.woods) < maxNames {
			rd.woods[name] = l
		}
	}
	return l.wood, l.err
}

// maxNames is how many names are kept, and maxUnknown how many unknown ones are looked up: each is held against all names there are, to find
// the nearest. A list of goods has a few dozen.
const (
	maxNames   = 20_000
	maxUnknown = 4_000
)

// nameWords are the words of which the names of woods are made: a piece of a title that has none of them is not looked up.
func nameWords(t *species.Table) map[string]bool {
	out := map[string]bool{}
	add := func(name string) {
		for _, w := range words(name) {
			out[w] = true
		}
		out[strings.Join(words(name), "")] = true
	}
	for _, w := range t.Woods() {
		add(w.ID)
		add(w.CommonName)
		add(w.LatinName)
	}
	for _, a := range species.Aliases() {
		add(a.Name)
	}
	return out
}

// readColumns reads the job book's Columns sheet.
func (rd *reader) readColumns() {
	known := func(name string) error { _, err := rd.wood(name); return err }
	for _, m := range rd.src.Columns {
		c, fixed, err := readMeaning(m.Meaning, known)
		switch isSheet := strings.TrimSpace(m.Header) == wholeSheet; {
		case err != nil:
			rd.add(Finding{Problem: "Columns sheet of the job book: " + err.Error(), Advice: "mend the Meaning of header " + strconv.Quote(m.Header)})
		case !isSheet && fixed.any():
			err = fmt.Errorf("%q gives a value, which only stands under the Header *", shorten(m.Meaning))
			rd.add(Finding{Problem: "Columns sheet of the job book: " + err.Error(), Advice: fmt.Sprintf("write * for %q if the value is the whole sheet's", shorten(m.Header))})
		case isSheet && !fixed.any() && c.meaning != isIgnored && c.meaning != isPrice:
			err = fmt.Errorf("under the Header * %q gives no value", shorten(m.Meaning))
			rd.add(Finding{Problem: "Columns sheet of the job book: " + err.Error(), Advice: `write a value such as "width 120 mm", "price EUR/m3" or "ignore"`})
		}
		rd.meanings = append(rd.meanings, meant{c, fixed, err})
	}
}

// layouter gathers what the Columns sheet says of one sheet: of its columns, and of itself.
func (rd *reader) layouter(sheet string) (lay *layouter, whole said, ignored bool) {
	lay = &layouter{sheet: sheet, wood: rd.wood, names: rd.names, work: &rd.work}
	for i, m := range rd.src.Columns {
		if rd.meanings[i].err != nil || m.Sheet != "" && !sameName(m.Sheet, sheet) {
			continue
		}
		if strings.TrimSpace(m.Header) != wholeSheet {
			lay.mapping = append(lay.mapping, mapped{fold(tidy(m.Header)), rd.meanings[i].column, i})
			continue
		}
		rd.met[i] = true
		switch c := rd.meanings[i].column; c.meaning {
		case isIgnored:
			ignored = true
		case isPrice:
			whole = said{unit: c.unit, currency: c.currency}.under(whole)
		default:
			whole = rd.meanings[i].fixed.under(whole)
		}
	}
	return lay, whole, ignored
}

// readSheet finds a sheet's tables and reads them.
func (rd *reader) readSheet(part sheetPart, g *grid) {
	lay, fixed, ignored := rd.layouter(part.name)
	if ignored {
		return
	}
	lines := slices.DeleteFunc(g.lines, line.saysNothing)
	if len(lines) == 0 {
		return
	}
	s := &sheetReader{reader: rd, lay: lay, part: part, grid: g, fixed: fixed, outcomes: map[int]int{}}
	h, at := lay.nextHead(lines, 0, headerWithin, nil)
	if at < 0 || h.score < minTurnScore {
		if t := turned(lines); t != nil {
			if th, tat := lay.nextHead(t, 0, headerWithin, nil); tat >= 0 && th.score > 1.5*h.score && th.full() {
				h, at, lines, s.turned = th, tat, t, true
			}
		}
	}
	if at < 0 {
		rd.rows.Data += len(lines)
		rd.rows.Findings += len(lines)
		rd.headless = append(rd.headless, s.headless(lines))
		return
	}
	if part.hidden {
		rd.add(Finding{Sheet: part.name, Warning: true, Problem: "the sheet is hidden, and its lines are used all the same",
			Advice: "delete it from the file if it no longer holds, or " + s.mapping(wholeSheet, "ignore")})
	}
	if looksOld(part.name) {
		rd.add(Finding{Sheet: part.name, Warning: true, Problem: "the sheet's name says that it is an old one, and its lines are used all the same",
			Advice: "delete it from the file if it no longer holds, or " + s.mapping(wholeSheet, "ignore")})
	}
	for _, l := range lines[:at] {
		for _, col := range l.filled(1, maxColumns) {
			if c := l.at(col); c.is(struck) || looksOld(c.text) && len(c.text) < maxHeader {
				s.warn(l.row, col, fmt.Sprintf("the title %q says that the list no longer holds, and its lines are used all the same", shorten(c.text)),
					"ask the supplier for the list that does, or "+s.mapping(wholeSheet, "ignore"))
			}
		}
	}
	s.around = s.describeName()
	s.readNotes(lines)
	before := len(rd.offers)
	if strips := s.lay.strips(lines); strips != nil && !s.turned {
		s.around = s.around.under(s.titlesSay(lines[:at], nil, 1, maxColumns).terms())
		for _, strip := range strips {
			part := within(lines, strip)
			h, at := lay.nextHead(part, 0, headerWithin, nil)
			s.read(part, h, at)
		}
	} else {
		s.read(lines, h, at)
	}
	s.close(before)
}

// minTurnScore: a head with less to it is tried against one down the side.
const minTurnScore = 40

func looksOld(name string) bool {
	ws := words(name)
	return len(ws) <= 12 && slices.ContainsFunc(ws, func(w string) bool { return isOld[w] || isVoid[w] })
}

// headless is the finding for a sheet without a header row.
func (s *sheetReader) headless(lines []line) Finding {
	others := map[string]bool{}
	for _, p := range s.book.sheets {
		if p.name != s.part.name {
			others[fold(tidy(p.name))] = true
		}
	}
	naming := 0
	for _, l := range lines {
		if slices.ContainsFunc(l.cells, func(c cell) bool { return c.text != "" && others[fold(c.text)] }) {
			naming++
		}
	}
	if 2*naming >= len(lines) && naming > 0 {
		return Finding{Sheet: s.part.name, Warning: true, Problem: "the sheet is an index of the others and no price list; " + notRead(len(lines))}
	}
	advice := "if it lists goods, give its columns headers such as Wood, Thickness mm, Width mm, Length mm, Price EUR/m3, or name its headers on the Columns sheet of the job book"
	if headers := likelyHeaders(lines); headers != nil {
		advice = fmt.Sprintf("if %s are headers of goods, say so of each: for the first, if it names the wood, %s", inQuotes(headers), s.mapping(headers[0], "wood"))
	}
	return Finding{Sheet: s.part.name, Problem: "no header row with wood, sizes and price is found; " + notRead(len(lines)), Advice: advice}
}

// likelyHeaders are the texts of the first line that may be a header row: three texts or more, and figures below them.
func likelyHeaders(lines []line) (out []string) {
	for i := 0; i+1 < min(len(lines), headerWithin); i++ {
		out = out[:0]
		figures := 0
		for col, c := range lines[i].cells {
			if c.text != "" && len(c.text) < 40 && !c.is(number) && !c.is(merged) {
				out = append(out, c.text)
				if _, ok := asNumber(lines[i+1].at(col + 1)); ok {
					figures++
				}
			}
		}
		if len(out) >= 3 && len(out) <= 15 && figures >= 2 {
			return out
		}
	}
	return nil
}
