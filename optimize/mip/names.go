package mip

import (
	"fmt"
	"regexp"
	"strings"
)

// maxFileName is how long a name in a file may be: cbc's LP reader takes 100 characters, and "_high_9999" still fits.
const maxFileName = 80

// objectiveName and constantName are taken in every file.
const (
	objectiveName = "obj"
	constantName  = "constant"
)

// reserved words of the LP format begin or end its sections, in any case of letters (GLPK 5.0 manual, appendix C; and
// what cbc refuses besides).
var reserved = map[string]bool{
	"min": true, "max": true, "minimize": true, "maximize": true, "minimise": true, "maximise": true, "minimum": true,
	"maximum": true, "subject": true, "such": true, "st": true, "to": true, "that": true, "s.t.": true, "st.": true,
	"bound": true, "bounds": true, "range": true, "ranges": true, "general": true, "generals": true, "gen": true,
	"integer": true, "integers": true, "int": true, "binary": true, "binaries": true, "bin": true, "end": true,
	"free": true, "inf": true, "infinity": true, "nan": true, "sos": true, "sos1": true, "sos2": true, "semi": true,
	"sec": true, "semis": true,
}

// exponent is what may be read as the end of a number.
var exponent = regexp.MustCompile(`^[eE]([0-9.]|$)`)

// FileNames are the names that [WriteMPS] and [WriteLP] give the columns and rows of m: the model's own where every
// reader takes them, else the nearest that is safe and used once. A row that [WriteLP] must split in two ends in
// "_low" and "_high" there.
func (m *Model) FileNames() (columns, rows []string) {
	taken := map[string]bool{constantName: true}
	for j, c := range m.Columns {
		columns = append(columns, fileName(taken, c.Name, "c", j))
	}
	taken = map[string]bool{objectiveName: true}
	for i, r := range m.Rows {
		rows = append(rows, fileName(taken, r.Name, "r", i))
	}
	return columns, rows
}

// fileName makes a name of letters, digits, points and underscores that begins with a letter or an underscore and, in
// the LP format, is neither a number's exponent nor a reserved word.
func fileName(taken map[string]bool, name, kind string, at int) string {
	var b strings.Builder
	for _, r := range name {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '_':
			b.WriteRune(r)
		default:
			b.WriteByte('_')
		}
	}
	safe := b.String()
	if len(safe) > maxFileName {
		safe = safe[:maxFileName]
	}
	switch {
	case strings.Trim(safe, "_") == "":
		safe = fmt.Sprint(kind, at+1)
	case strings.IndexByte("0123456789.", safe[0]) >= 0, exponent.MatchString(safe), reserved[strings.ToLower(safe)]:
		safe = "_" + safe
	}
	return unique(taken, safe)
}

// unique is name, with a number after it if it is taken, and takes it.
func unique(taken map[string]bool, name string) string {
	free := name
	for n := 2; taken[free]; n++ {
		free = fmt.Sprintf("%s_%d", name, n)
	}
	taken[free] = true
	return free
}
