package book

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/agnivade/levenshtein"
	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/unicode/norm"

	"stavewright/optimize"
	"stavewright/sourcing"
)

// fold is how names, headers and settings are compared: case, spaces, accents' composition, hyphens and dots are no
// difference; letters, digits, % and / are.
func fold(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '%' || r == '/' {
			return unicode.ToLower(r)
		}
		return -1
	}, norm.NFKC.String(s))
}

// key compares the names people give to models, positions, fabrics and suppliers: letter case and runs of space are no
// difference, everything else is.
func key(s string) string {
	return strings.ToLower(strings.Join(strings.Fields(norm.NFKC.String(asText(s))), " "))
}

// asText is what a person wrote into a cell, without what steers a terminal or turns the order of letters about, as in
// [sourcing.Printable]; but the joiners stay that scripts and emoji are made with.
func asText(s string) string {
	const zeroWidthNonJoiner, zeroWidthJoiner, firstTag, lastTag = '\u200c', '\u200d', '\U000e0020', '\U000e007f'
	var b strings.Builder
	for _, r := range s {
		if r == zeroWidthNonJoiner || r == zeroWidthJoiner || r >= firstTag && r <= lastTag {
			b.WriteRune(r)
		} else {
			b.WriteString(sourcing.Printable(string(r)))
		}
	}
	return b.String()
}

// What is looked through for the name most like another: neither sentences nor no end of names.
const (
	longestName = 100 // bytes
	mostNames   = 1000
)

// nearest returns the name most like s, if one is like it at all.
func nearest(s string, names []string) (string, bool) {
	if len(s) > longestName {
		return "", false
	}
	names = names[:min(len(names), mostNames)]
	best, at := "", math.MaxInt
	for _, n := range names {
		if len(n) > 2*longestName {
			continue
		}
		if d := levenshtein.ComputeDistance(key(s), key(n)); d < at {
			best, at = n, d
		}
	}
	return best, at <= max(2, len([]rune(s))/3)
}

// didYouMean is advice that names the likeliest of the names, or lists them all.
func didYouMean(s string, names []string) string {
	if n, ok := nearest(s, names); ok {
		return fmt.Sprintf("write %q if that is meant", n)
	}
	if more := len(names) - 30; more > 0 {
		return fmt.Sprintf("write one of: %s and %d more", strings.Join(names[:30], ", "), more)
	}
	return "write one of: " + strings.Join(names, ", ")
}

// An entry is one cell of a record, read as its column says.
type entry struct {
	row, col int
	set      bool // it holds a good value
	bad      bool // it holds something that has been reported, or its column is missing
	isText   bool
	isDate   bool // in a column of anything: text is its day
	text     string
	value    float64
	amount   decimal.Decimal
}

// A record is one row of a sheet.
type record struct {
	t   *table
	row int
	by  []entry // by column of the schema
}

func (rec *record) at(column string) *entry {
	for i := range rec.t.schema.Columns {
		if rec.t.schema.Columns[i].Name == column {
			return &rec.by[i]
		}
	}
	panic("book: sheet " + rec.t.schema.Name + " has no column " + column)
}

func (rec *record) text(column string) string   { return rec.at(column).text }
func (rec *record) value(column string) float64 { return rec.at(column).value }

// good reports whether every one of the columns holds a good value or is rightly empty.
func (rec *record) good(columns ...string) bool {
	return !slices.ContainsFunc(columns, func(c string) bool { return rec.at(c).bad })
}

// where is a cell as limits and targets name it: Targets!C4.
func (rec *record) where(e *entry) string {
	name, err := excelize.CoordinatesToCellName(max(e.col, 1), rec.row)
	if err != nil {
		return rec.t.schema.Name
	}
	return rec.t.schema.Name + "!" + name
}

func (rec *record) limit(column string) optimize.Limit {
	e := rec.at(column)
	if !e.set {
		return optimize.Limit{}
	}
	return optimize.Limit{Set: true, Value: e.value, Where: rec.where(e)}
}

func (rec *record) moneyLimit(column string) optimize.MoneyLimit {
	e := rec.at(column)
	if !e.set {
		return optimize.MoneyLimit{}
	}
	return optimize.MoneyLimit{Set: true, Value: e.amount, Where: rec.where(e)}
}

// A table is one sheet, read by its schema.
type table struct {
	schema  *sheet
	present bool
	records []record
}

// A reader gathers findings while a book is read.
type reader struct {
	file     string
	date1904 bool
	found    sourcing.Findings
	untold   [2]int // faults and warnings beyond maxFindings
}

// maxFindings is how many problems of a book are told: who has a thousand to mend has enough to do, and a file made to hurt has no end of them.
const maxFindings = 2_000

func (r *reader) fault(sheet string, row, col int, problem, advice string) {
	r.tell(sourcing.Finding{File: r.file, Sheet: sheet, Row: row, Col: col, Problem: problem, Advice: advice})
}

func (r *reader) warn(sheet string, row, col int, problem, advice string) {
	r.tell(sourcing.Finding{File: r.file, Sheet: sheet, Row: row, Col: col, Problem: problem, Advice: advice, Warning: true})
}

func (r *reader) tell(f sourcing.Finding) {
	switch {
	case !r.full():
		r.found = append(r.found, f.Printable())
	case f.Warning:
		r.untold[1]++
	default:
		r.untold[0]++
	}
}

// full reports whether nothing more is told, so that nothing more need be looked into that only serves to tell it.
func (r *reader) full() bool { return len(r.found) >= maxFindings }

// sum says how much was not told.
func (r *reader) sum() {
	if n := r.untold[0] + r.untold[1]; n > 0 {
		r.found = append(r.found, sourcing.Finding{File: r.file, Problem: fmt.Sprintf("there are %d further problems, which are not listed", n), Advice: "mend those listed first", Warning: r.untold[0] == 0})
	}
}

// faultAt reports a fault of a cell, and marks it so that nothing is reported about it twice.
func (r *reader) faultAt(rec *record, column, problem, advice string) {
	e := rec.at(column)
	e.bad, e.set = true, false
	r.fault(rec.t.schema.Name, rec.row, e.col, problem, advice)
}

// table reads a grid by its schema: headers found, cells typed and bounded, empty rows passed over.
func (r *reader) table(schema *sheet, g *grid) *table {
	t := &table{schema: schema, present: g != nil}
	if g == nil {
		return t
	}
	columns := r.headers(schema, g)
	for row := 2; row <= len(g.rows); row++ {
		if !slices.ContainsFunc(columns, func(col int) bool { return col > 0 && g.at(row, col).kind != blank }) {
			continue
		}
		rec := record{t: t, row: row, by: make([]entry, len(schema.Columns))}
		pasted := pastedRow(schema, g, row, columns)
		for i, c := range schema.Columns {
			e := &rec.by[i]
			e.row, e.col = row, columns[i]
			if columns[i] == 0 {
				e.bad = c.Required
				continue
			}
			from := g.at(row, columns[i])
			if pasted != nil {
				from = cell{kind: textual, raw: pasted[i]}
				if pasted[i] == "" {
					from.kind = blank
				}
			}
			r.read(schema, &c, e, from)
		}
		t.records = append(t.records, rec)
	}
	return t
}

// pastedRow is a row of the Columns sheet that was pasted into one cell as a finding of a price sheet gives it, with bars between its fields; nil for any
// other.
func pastedRow(schema *sheet, g *grid, row int, columns []int) []string {
	if schema.Name != "Columns" || slices.Contains(columns, 0) {
		return nil
	}
	text, filled := "", 0
	for _, col := range columns {
		if c := g.at(row, col); c.kind != blank {
			filled++
			if c.kind == textual {
				text = c.raw
			}
		}
	}
	fields := strings.Split(text, " | ")
	if filled != 1 || len(fields) != len(columns) {
		return nil
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	return fields
}

var bracketed = regexp.MustCompile(`\([^)]*\)|\[[^\]]*\]`)

// unitsPeopleWrite are endings of a header that mean a unit, folded. A header that names a known column in another unit
// is a fault: its numbers would be read as something else.
var unitsPeopleWrite = strings.Fields(`mm cm m dm in inch inches ft feet n kn lbf lb kg g oz kgm3 kg/m3 g/cm3 lb/ft3 t/m3 mpa gpa psi ksi msi n/mm2 pa
	nm2 nmm2 knm2 n/mm kn/mm n/m lbf/in % percent permille deg degrees rad days weeks months years year stripsperside strips m3 permilletension`)

// headers finds the columns of the schema in row 1: the grid's column, from 1, of each; 0 for one that is not there.
func (r *reader) headers(schema *sheet, g *grid) []int {
	columns := make([]int, len(schema.Columns))
	wrong := make([]bool, len(schema.Columns)) // named, but not to be read
	var width int
	for _, line := range g.rows {
		width = max(width, len(line))
	}
	for col := 1; col <= width; col++ {
		c := g.at(1, col)
		if c.kind == blank {
			if slices.ContainsFunc(g.rows, func(line []cell) bool { return len(line) >= col && line[col-1].kind != blank }) {
				r.warn(schema.Name, 1, col, "the column has cells but no header, and is not read", "give it a header, or delete it")
			}
			continue
		}
		i, problem := match(schema, c.raw)
		switch {
		case i < 0:
			var known []string
			for _, k := range schema.Columns {
				known = append(known, k.Header())
			}
			advice := "known columns: " + strings.Join(known, ", ")
			if n, ok := nearest(c.raw, known); ok {
				advice = fmt.Sprintf("write %q if that is meant", n)
			}
			r.warn(schema.Name, 1, col, fmt.Sprintf("column %q is not known and is not read", c.raw), advice)
		case problem != "":
			wrong[i] = true
			r.fault(schema.Name, 1, col, problem, fmt.Sprintf("write %q, and the figures in that unit", schema.Columns[i].Header()))
		case columns[i] > 0:
			first, _ := excelize.CoordinatesToCellName(columns[i], 1)
			r.fault(schema.Name, 1, col, fmt.Sprintf("column %q is there twice, first in %s", c.raw, first), "delete one of them")
		default:
			columns[i] = col
		}
	}
	for i, c := range schema.Columns {
		if c.Required && columns[i] == 0 && !wrong[i] {
			r.fault(schema.Name, 1, 0, fmt.Sprintf("column %q is missing", c.Header()), "write it into row 1")
		}
	}
	return columns
}

// match finds the column that a header names, −1 when none, and says what is wrong with its unit.
func match(schema *sheet, header string) (int, string) {
	forms := []string{fold(header), fold(bracketed.ReplaceAllString(header, " "))}
	for i, c := range schema.Columns {
		if slices.Contains(forms, fold(c.Header())) || slices.Contains(forms, fold(bracketed.ReplaceAllString(c.Header(), " "))) {
			return i, ""
		}
	}
	for i, c := range schema.Columns {
		if c.Unit == "" {
			continue
		}
		for _, f := range forms {
			rest, ok := strings.CutPrefix(f, fold(c.Name))
			switch {
			case ok && rest == "":
				return i, fmt.Sprintf("column %q does not say its unit", header)
			case ok && slices.Contains(unitsPeopleWrite, rest):
				return i, fmt.Sprintf("column %q is in another unit than %s", header, c.Unit)
			}
		}
	}
	return -1, ""
}

// read types one cell by its column.
func (r *reader) read(schema *sheet, c *column, e *entry, from cell) {
	bad := func(problem, advice string) {
		e.bad = true
		r.fault(schema.Name, e.row, e.col, problem, advice)
	}
	switch from.kind {
	case blank:
		if c.Required {
			bad(c.Name+" is empty", "fill it in, or clear the row")
		}
		return
	case faulty:
		bad(fmt.Sprintf("the cell holds the error %s", from.raw), "mend its formula, or write the value")
		return
	case uncached:
		bad("the formula has no value in the file", "open the book in a spreadsheet program and save it, or write the value")
		return
	}
	if c.Kind != woods { // in a list a line break parts names
		from.raw = strings.TrimSpace(asText(from.raw))
	}
	e.text, e.isText = from.raw, from.kind == textual
	switch c.Kind {
	case number, whole, money:
		r.number(c, e, from, bad)
	case modulus:
		if from.kind != textual || looksLikeNumber(from.raw) {
			r.number(c, e, from, bad)
		} else {
			e.set = true
		}
	case yes:
		switch {
		case from.kind == logical && from.raw == "0" || from.kind == logical && strings.EqualFold(from.raw, "false") || key(from.raw) == "no":
		case from.kind == logical || slices.Contains([]string{"yes", "y", "x"}, key(from.raw)):
			e.set = true
		default:
			bad(fmt.Sprintf("%s is %q", c.Name, from.raw), "write yes, or leave it empty")
		}
	case choice:
		i := slices.IndexFunc(c.Choices, func(s string) bool { return key(s) == key(from.raw) })
		if i < 0 {
			bad(fmt.Sprintf("%s is %q", c.Name, from.raw), "write "+strings.Join(c.Choices, " or "))
			return
		}
		e.text, e.set = c.Choices[i], true
	case date:
		r.day(c, e, from, bad)
	case anything:
		switch from.kind {
		case textual:
			e.set = true
		case numeric:
			e.set = true
			e.value, _ = strconv.ParseFloat(from.raw, 64)
			e.amount = amount(e.value)
		case dated:
			r.day(c, e, from, bad)
			e.isDate = e.set
		default:
			bad(fmt.Sprintf("%s is TRUE/FALSE", c.Name), "write a number, a date or a word")
		}
	default:
		if from.kind == dated {
			bad(fmt.Sprintf("%s is a date", c.Name), "format the cell as text and write the name again")
			return
		}
		if len(from.raw) > 1000 {
			bad(fmt.Sprintf("%s is longer than 1000 characters", c.Name), "shorten it")
			return
		}
		e.set = true
	}
}

// looksLikeNumber tells text that was meant as a number: 12,5 or 1 200 or 7.5 mm.
func looksLikeNumber(s string) bool {
	s = strings.TrimLeft(strings.TrimSpace(s), "+-−~ ")
	return s != "" && unicode.IsDigit([]rune(s)[0])
}

var plainNumber = regexp.MustCompile(`^[+\-−]?[0-9]+([.,][0-9]+)?`)

func (r *reader) number(c *column, e *entry, from cell, bad func(problem, advice string)) {
	switch from.kind {
	case textual:
		advice := "write a number"
		if c.Unit != "" {
			advice += ", in " + c.Unit + ", without the unit"
		}
		if n := plainNumber.FindString(from.raw); n != "" {
			n = strings.NewReplacer(",", ".", "−", "-").Replace(n)
			advice = fmt.Sprintf("if %s is meant, format the cell as a number and type it again without anything else", n)
		}
		bad(fmt.Sprintf("%s is the text %q, not a number", c.Name, from.raw), advice)
		return
	case dated:
		bad(fmt.Sprintf("%s is a date", c.Name), "format the cell as a number and type the figure again")
		return
	case logical:
		bad(fmt.Sprintf("%s is TRUE or FALSE", c.Name), "write a number")
		return
	}
	v, err := strconv.ParseFloat(from.raw, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		bad(fmt.Sprintf("%s is %q, not a number", c.Name, from.raw), "write a number")
		return
	}
	v += 0 // no −0
	if problem, advice := c.outside(v); problem != "" {
		bad(problem, advice)
		return
	}
	e.value, e.set = v, true
	if c.Kind == money {
		e.amount = amount(v)
	}
}

// amount is a cell's money. Spreadsheets store binary fractions; the shortest decimal that reads back to the same
// number is what was typed.
func amount(v float64) decimal.Decimal { return decimal.NewFromFloat(v).Round(6) }

// outside says why a value cannot stand in the column; empty when it can.
func (c *column) outside(v float64) (problem, advice string) {
	unit := ""
	if c.Unit != "" {
		unit = " " + c.Unit
	}
	got := strconv.FormatFloat(v, 'f', -1, 64)
	if math.Abs(v) >= 1e15 || v != 0 && math.Abs(v) < 1e-6 {
		got = strconv.FormatFloat(v, 'g', -1, 64)
	}
	is := fmt.Sprintf("%s is %s%s", c.Name, got, unit)
	switch {
	case c.Kind == whole && v != math.Trunc(v):
		return is + ", not a whole number", "write a whole number"
	case c.Above && v <= c.Low:
		return is, fmt.Sprintf("it must be above %s%s", plain(c.Low), unit)
	case v < c.Low:
		return is, fmt.Sprintf("it must be at least %s%s", plain(c.Low), unit)
	case v > c.High:
		return is, fmt.Sprintf("it must be at most %s%s; check the unit", plain(c.High), unit)
	}
	return "", ""
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func (r *reader) day(c *column, e *entry, from cell, bad func(problem, advice string)) {
	const advice = "write a date, or text like 2027-03-15"
	switch from.kind {
	case dated, numeric:
		v, err := strconv.ParseFloat(from.raw, 64)
		if err != nil { // an ISO date cell
			break
		}
		if from.kind == numeric || v < 1 || v > 2_958_465 { // 31 December 9999
			bad(fmt.Sprintf("%s is the number %s, not a date", c.Name, from.raw), advice)
			return
		}
		t, err := excelize.ExcelDateToTime(v, r.date1904)
		if err != nil {
			bad(fmt.Sprintf("%s is not a date (%v)", c.Name, err), advice)
			return
		}
		e.text, e.set = t.Format(time.DateOnly), true
		return
	}
	t, err := time.Parse(time.DateOnly, from.raw[:min(len(from.raw), len(time.DateOnly))])
	if err != nil || from.kind == textual && len(from.raw) != len(time.DateOnly) {
		bad(fmt.Sprintf("%s is %q, not a date", c.Name, from.raw), advice)
		return
	}
	e.text, e.set = t.Format(time.DateOnly), true
}
