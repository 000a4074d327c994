package report

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf16"
)

// Names inside a workbook: sheets, tables and headings that a spreadsheet program takes without a repair, whatever the words they
// are made from.

// sheetName is the words as the name of a sheet that this workbook does not have yet: at most 31 UTF-16 units, none of []:*?/\, no
// apostrophe at an end, not the reserved History; told apart from others regardless of letter case.
func (b *workbook) sheetName(words string) string {
	const most = 31
	words = strings.Map(func(r rune) rune {
		if strings.ContainsRune(`[]:*?/\`, r) {
			return '-'
		}
		return r
	}, clean(words))
	name := func(end string) string {
		short := []rune(words)
		for len(utf16.Encode(short))+len(end) > most {
			short = short[:len(short)-1]
		}
		s := strings.Trim(string(short), "' ") + end
		if s == "" || strings.EqualFold(s, "History") {
			s += "_"
		}
		return s
	}
	return b.once("sheet", name)
}

// tableName is the words as the name of a table that this workbook does not have yet: letters, digits and low lines, beginning with a
// letter, and nothing that reads as a cell (tables share their names with the references of formulas).
func (b *workbook) tableName(words string) string {
	const most = 60 // of 255
	words = strings.Map(func(r rune) rune {
		if r < utf8Self && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return r
		}
		return '_'
	}, clean(words))
	words = "Table_" + strings.Trim(words[:min(len(words), most)], "_")
	return b.once("table", func(end string) string { return words + strings.ReplaceAll(strings.Trim(end, " ()"), " ", "_") })
}

const utf8Self = 0x80

// once is the first of the names, without an ending or with (2), (3) and so on, that nothing of the kind has.
func (b *workbook) once(kind string, name func(end string) string) string {
	for n := 1; ; n++ {
		end := ""
		if n > 1 {
			end = fmt.Sprintf(" (%d)", n)
		}
		s := name(end)
		if key := kind + " " + strings.ToLower(s); !b.taken[key] {
			b.taken[key] = true
			return s
		}
	}
}

// headings are the headings of a table, each on one line and each different: a table's columns go by them.
func headings(fields []field) []string {
	seen := map[string]bool{}
	out := make([]string, len(fields))
	for i, f := range fields {
		head := clean(f.head)
		for n := 2; head == "" || seen[strings.ToLower(head)]; n++ {
			head = strings.TrimSpace(fmt.Sprintf("%s (%d)", clean(f.head), n))
		}
		seen[strings.ToLower(head)] = true
		out[i] = head
	}
	return out
}

// quoted is a sheet's name as a reference has it.
func quoted(sheet string) string {
	if strings.ContainsFunc(sheet, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' }) {
		return "'" + strings.ReplaceAll(sheet, "'", "''") + "'"
	}
	return sheet
}

// cellText is text for a cell, as it was written, but for what a cell cannot hold: control characters other than the tab and the
// line break become spaces, and what is longer than a cell is cut.
func cellText(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n':
			return r
		case r < ' ' || r == 0xfffe || r == 0xffff || r == unicode.ReplacementChar:
			return ' '
		}
		return r
	}, strings.ReplaceAll(s, "\r\n", "\n"))
	if u := utf16.Encode([]rune(s)); len(u) > maxCellUnits {
		s = strings.TrimRight(string(utf16.Decode(u[:maxCellUnits])), string(unicode.ReplacementChar)) // half a pair
	}
	return s
}

// maxCellUnits is the most UTF-16 units that a cell of an XLSX workbook holds.
const maxCellUnits = 32767

// literal is text in which what a workbook would take for an escaped character (ECMA-376 part 1, 22.9.2.19: _x0041_) is escaped itself.
func literal(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		if escapedCharacter.MatchString(s[i:min(i+7, len(s))]) {
			b.WriteString("_x005F")
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

var escapedCharacter = regexp.MustCompile(`^_x[0-9A-Fa-f]{4}_$`)
