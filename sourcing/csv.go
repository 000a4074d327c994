package sourcing

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// looksBinary reports whether a file is no text: text has no zero bytes, but for UTF-16 with its mark.
func looksBinary(data []byte) bool {
	if bytes.HasPrefix(data, []byte{0xFF, 0xFE}) || bytes.HasPrefix(data, []byte{0xFE, 0xFF}) {
		return false
	}
	return bytes.IndexByte(data[:min(len(data), 64<<10)], 0) >= 0
}

// decodeText is a text file in UTF-8: UTF-8 and UTF-16 by their marks, else UTF-8 where it is valid, else Windows-1252, which any
// byte is. Windows programs write the last, with ß and é that are no UTF-8.
func decodeText(data []byte) (string, error) {
	switch {
	case bytes.HasPrefix(data, []byte("\ufeff")):
		data = data[3:]
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
		return string(out), err
	}
	if utf8.Valid(data) {
		return string(data), nil
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(data)
	return string(out), err
}

// readCSV reads a text file of lines and fields. Which mark parts the fields is what gives the best header row: a comma that parts
// decimals gives none.
func readCSV(data []byte) ([]line, error) {
	text, err := decodeText(data)
	if err != nil {
		return nil, errors.New("the file's letters cannot be read")
	}
	first, rest, _ := strings.Cut(text, "\n")
	marks := []rune{';', '\t', ',', '|'}
	if mark, ok := strings.CutPrefix(strings.ToLower(strings.TrimSpace(first)), "sep="); ok && len(mark) == 1 {
		text, marks = rest, []rune(mark) // spreadsheet programs show no row for it
	}
	var best []line
	bestScore := -1.0
	var firstErr error
	for _, mark := range marks {
		// The start is enough to tell, but for a file without a header row there.
		head, err := parseCSV(text, mark, headerWithin)
		if err != nil {
			firstErr = errors.Join(firstErr, err)
			continue
		}
		score, lay := 0.0, &layouter{}
		for i := range head {
			score = max(score, findHead(head, i, lay).score)
		}
		if score > bestScore {
			if best, err = parseCSV(text, mark, maxRows); err != nil {
				firstErr = errors.Join(firstErr, err)
				continue
			}
			bestScore = score
		}
	}
	if best == nil && firstErr != nil {
		return nil, fmt.Errorf("the file cannot be read as text with fields (%s)", oneLine(firstErr))
	}
	return best, nil
}

// parseCSV reads at most a number of lines. Rows are counted as a spreadsheet program would on opening the file.
func parseCSV(text string, mark rune, most int) (lines []line, err error) {
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes = mark, -1, true
	cells, size := 0, 0
	within := 0 // line breaks inside fields so far
	for {
		fields, err := r.Read()
		if err == io.EOF {
			return lines, nil
		}
		if err != nil {
			return nil, err
		}
		at, _ := r.FieldPos(0)
		l := line{row: at - within}
		if len(fields) > maxColumns {
			return nil, fmt.Errorf("its row %d reaches beyond %d columns", l.row, maxColumns)
		}
		for _, f := range fields {
			within += strings.Count(f, "\n")
			c := cell{}.with(f)
			l.cells = append(l.cells, c)
			size += len(c.text)
		}
		if cells += len(fields); cells > maxCells || size > maxTextBytes {
			return nil, errTooMuch
		}
		if l.row > most {
			if most < maxRows {
				return lines, nil
			}
			return nil, fmt.Errorf("it has lines below row %d", maxRows)
		}
		if len(l.filled(1, maxColumns)) > 0 {
			lines = append(lines, l)
		}
	}
}
