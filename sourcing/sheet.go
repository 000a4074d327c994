package sourcing

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"github.com/xuri/nfp"
)

// What a price sheet may be at most. Sheets come from strangers: what would exhaust the machine is refused before it
// does. Text and cells are counted as read, since a small file can repeat one long text in every cell.
const (
	maxFileBytes   = 64 << 20
	maxUnzipBytes  = 128 << 20
	maxPartBytes   = 4 << 20   // of a part other than a sheet, its shared strings or a picture: those are held as trees many times their size
	maxRelsBytes   = 512 << 10 // of a list of relations: the spreadsheet library holds each sheet against each of them
	maxParts       = 5_000
	maxSheets      = 200
	maxRows        = 200_000
	maxColumns     = 256
	maxCells       = 2_500_000 // of the file, blanks between cells counted
	maxTextBytes   = 64 << 20  // of the file
	maxSharedTexts = 2_000_000
	maxMerges      = 50_000
	maxMergedCells = 500_000
)

// A workbook is a price file, open.
type workbook struct {
	file     *excelize.File // nil for a text file
	sheets   []sheetPart
	shared   []cell          // shared strings, as cells
	looks    map[int32]*look // of cell styles
	cells    int             // read so far
	text     int             // bytes read so far
	date1904 bool
	macros   bool
	plain    []line // of a text file, which is its only sheet
}

// A sheetPart is a sheet and where it lies in the file.
type sheetPart struct {
	name      string // printable
	raw, path string // raw: the name as the spreadsheet library knows it
	hidden    bool
}

// A look is what a cell's style says.
type look struct {
	struck  bool
	date    bool
	percent bool
	amount  amount // currency and unit in the literal text of its number format
}

// saveAs is the advice for every file that is no workbook.
const saveAs = "open it in a spreadsheet program, save it as .xlsx and name that file in the job book"

// open opens a price file. The error says what the file is, if it cannot be read, and what to do is always [saveAs].
func open(r io.Reader) (*workbook, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, err
	}
	if err := refuse(data); err != nil {
		return nil, err
	}
	w := &workbook{looks: map[int32]*look{}}
	if !bytes.HasPrefix(data, []byte("PK")) {
		w.plain, err = readCSV(data)
		if err != nil {
			return nil, err
		}
		w.sheets = []sheetPart{{}}
		return w, nil
	}
	if err := w.checkParts(data); err != nil {
		return nil, err
	}
	err = guard(func() error {
		w.file, err = excelize.OpenReader(bytes.NewReader(data), excelize.Options{
			RawCellValue: true, UnzipSizeLimit: maxUnzipBytes, UnzipXMLSizeLimit: maxUnzipBytes})
		return err
	})
	if err == nil {
		err = guard(w.readParts)
	}
	if err != nil {
		return nil, fmt.Errorf("the file cannot be opened as a workbook (%s)", oneLine(err))
	}
	return w, nil
}

// oneLine is an error of a library on one line.
func oneLine(err error) string { return tidy(err.Error()) }

// refuse says what a file is that is neither a workbook nor text.
func refuse(data []byte) error {
	start := strings.ToLower(string(data[:min(len(data), 512)]))
	start = strings.TrimLeft(strings.TrimPrefix(start, "\ufeff"), " \r\n\t")
	switch {
	case len(data) == 0:
		return errors.New("the file is empty")
	case len(data) > maxFileBytes:
		return fmt.Errorf("the file is larger than %d MB", maxFileBytes>>20)
	case bytes.HasPrefix(data, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		// The names of streams stand in the file as UTF-16.
		if bytes.Contains(data, []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")) {
			return errors.New("the file is locked with a password")
		}
		return errors.New("the file is an old .xls workbook, which is not read")
	case strings.HasPrefix(start, "%pdf"):
		return errors.New("the file is a PDF, which is not read")
	case strings.HasPrefix(start, "<"):
		return errors.New("the file is a web page or XML, which is not read")
	case strings.HasPrefix(start, "{\\rtf"):
		return errors.New("the file is a text document, which is not read")
	case !bytes.HasPrefix(data, []byte("PK")) && looksBinary(data):
		return errors.New("the file is not an .xlsx workbook, and no text either")
	}
	return nil
}

// checkParts looks at the parts of a zip before anything is unpacked. The sizes it goes by are those that the parts claim;
// the unzipper holds them to it.
func (w *workbook) checkParts(data []byte) error {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fmt.Errorf("the file cannot be opened as a workbook (%s)", oneLine(err))
	}
	if len(z.File) > maxParts {
		return fmt.Errorf("the file cannot be opened as a workbook (it has more than %d parts)", maxParts)
	}
	total := uint64(0)
	for _, f := range z.File {
		name := strings.ToLower(strings.ReplaceAll(f.Name, `\`, "/"))
		total += f.UncompressedSize64
		large := strings.HasPrefix(name, "xl/worksheets/") || name == "xl/sharedstrings.xml"
		switch {
		case total > maxUnzipBytes || f.UncompressedSize64 > maxUnzipBytes:
			return fmt.Errorf("the file cannot be opened as a workbook (unpacked it is larger than %d MB)", maxUnzipBytes>>20)
		case strings.HasSuffix(name, ".rels") && f.UncompressedSize64 > maxRelsBytes:
			return fmt.Errorf("the file cannot be opened as a workbook (its part %q is larger than %d kB)", shorten(f.Name), maxRelsBytes>>10)
		case !large && (strings.HasSuffix(name, ".xml") || strings.HasSuffix(name, ".rels")) && f.UncompressedSize64 > maxPartBytes:
			return fmt.Errorf("the file cannot be opened as a workbook (its part %q is larger than %d MB)", shorten(f.Name), maxPartBytes>>20)
		case name == "mimetype" || name == "content.xml":
			return errors.New("the file is an OpenDocument (.ods) file, which is not read")
		case name == "xl/workbook.bin":
			return errors.New("the file is a binary workbook (.xlsb), which is not read")
		case name == "word/document.xml":
			return errors.New("the file is a text document, which is not read")
		case strings.HasSuffix(name, "vbaproject.bin"):
			w.macros = true
		}
	}
	for _, f := range z.File { // the spreadsheet library takes what there is of a damaged part
		r, err := f.Open()
		if err == nil {
			_, err = io.Copy(io.Discard, r)
			r.Close()
		}
		if err != nil {
			return fmt.Errorf("the file cannot be opened as a workbook (its part %q is damaged: %s)", shorten(f.Name), oneLine(err))
		}
	}
	return nil
}

// guard runs one call of the spreadsheet library. A damaged file can make it panic; to its reader that is a damaged
// file, and no fault of this program.
func guard(call func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the workbook is damaged: %v", p)
		}
	}()
	return call()
}

// readParts finds the sheets and reads the shared strings.
func (w *workbook) readParts() error {
	var book struct {
		Pr struct {
			Date1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string     `xml:"name,attr"`
			State string     `xml:"state,attr"`
			Attrs []xml.Attr `xml:",any,attr"` // the relation's id, whatever its namespace is called
		} `xml:"sheets>sheet"`
	}
	type relations struct {
		List []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
			Mode   string `xml:"TargetMode,attr"`
		} `xml:"Relationship"`
	}
	at := "xl/workbook.xml"
	var root relations
	if w.decode("_rels/.rels", &root) == nil {
		for _, rel := range root.List {
			if strings.HasSuffix(rel.Type, "/officeDocument") {
				at = strings.TrimPrefix(path.Join("/", rel.Target), "/")
			}
		}
	}
	if err := w.decode(at, &book); err != nil {
		return err
	}
	var rels relations
	if err := w.decode(path.Join(path.Dir(at), "_rels", path.Base(at)+".rels"), &rels); err != nil {
		return err
	}
	w.date1904 = book.Pr.Date1904 == "1" || book.Pr.Date1904 == "true"
	if len(book.Sheets) > maxSheets {
		return fmt.Errorf("it has %d sheets, more than %d", len(book.Sheets), maxSheets)
	}
	for _, s := range book.Sheets {
		if utf8.RuneCountInString(s.Name) > maxSheetName {
			return fmt.Errorf("a sheet's name, %q, is longer than %d letters", shorten(s.Name), maxSheetName)
		}
		part := sheetPart{name: Printable(s.Name), raw: s.Name, hidden: s.State != "" && s.State != "visible"}
		for _, a := range s.Attrs {
			for _, rel := range rels.List {
				if a.Name.Local == "id" && rel.ID == a.Value && strings.HasSuffix(rel.Type, "/worksheet") && rel.Mode != "External" {
					part.path = rel.Target
				}
			}
		}
		if part.path == "" {
			continue // a sheet of nothing but a chart
		}
		if !strings.HasPrefix(part.path, "/") {
			part.path = path.Join(path.Dir(at), part.path)
		}
		part.path = strings.TrimPrefix(path.Clean(part.path), "/")
		w.sheets = append(w.sheets, part)
	}
	return w.readShared()
}

// part is the bytes of one part of the file.
func (w *workbook) part(name string) []byte {
	if p, ok := w.file.Pkg.Load(name); ok {
		data, _ := p.([]byte)
		return data
	}
	var found []byte
	w.file.Pkg.Range(func(key, p any) bool {
		if k, ok := key.(string); ok && strings.EqualFold(k, name) {
			found, _ = p.([]byte)
		}
		return found == nil
	})
	return found
}

func (w *workbook) decode(name string, into any) error {
	data := w.part(name)
	if data == nil {
		return fmt.Errorf("it has no part %q", name)
	}
	if err := newDecoder(data).Decode(into); err != nil {
		return fmt.Errorf("its part %q is damaged: %w", name, err)
	}
	return nil
}

// look is what a cell's style says.
func (w *workbook) look(style int32) *look {
	if l, ok := w.looks[style]; ok {
		return l
	}
	l := &look{}
	w.looks[style] = l
	if w.file == nil {
		return l
	}
	err := guard(func() error {
		s, err := w.file.GetStyle(int(style))
		if err != nil {
			return err
		}
		l.struck = s.Font != nil && s.Font.Strike
		switch n := s.NumFmt; { // built-in numbers: ECMA-376 Part 1, 18.8.30. The built-in currencies are none: they show the reader's own
		case s.CustomNumFmt != nil:
			var text string
			text, l.date = shownAround(*s.CustomNumFmt)
			l.percent = strings.HasSuffix(strings.TrimSpace(*s.CustomNumFmt), "%")
			l.amount.around(words(text), nil)
		case n >= 14 && n <= 22, n >= 27 && n <= 36, n >= 45 && n <= 47, n >= 50 && n <= 58:
			l.date = true
		case n == 9 || n == 10:
			l.percent = true
		}
		return nil
	})
	if err != nil {
		*l = look{}
	}
	return l
}

// shownAround is the literal text of a number format: `#,##0.00 "€/m³"` shows €/m³ beside its figures. date is set
// when the format shows a date.
func shownAround(format string) (text string, date bool) {
	if format == "" || len(format) > 500 {
		return "", false
	}
	parser := nfp.NumberFormatParser()
	var b strings.Builder
	for i, section := range parser.Parse(format) {
		for _, t := range section.Items {
			switch t.TType {
			case nfp.TokenTypeDateTimes, nfp.TokenTypeElapsedDateTimes:
				date = true
			case nfp.TokenTypeLiteral:
				if i == 0 { // the other sections are for negative amounts, zero and text
					b.WriteString(t.TValue)
				}
			case nfp.TokenTypeCurrencyLanguage:
				for _, p := range t.Parts {
					if i == 0 && p.Token.TType == nfp.TokenSubTypeCurrencyString {
						b.WriteString(" " + p.Token.TValue + " ")
					}
				}
			}
		}
	}
	return strings.TrimSpace(b.String()), date
}

// isoDate is how a workbook can store a date other than as a number.
var isoDate = regexp.MustCompile(`^\d{4}-\d\d-\d\d(?:T[\d:.]+Z?)?$`)

func cellName(row, col int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic(err) // rows and columns come from a sheet
	}
	return name
}

// A remark is a note that hangs on a cell.
type remark struct {
	row, col int
	text     string
}

// remarks are the notes of a sheet's cells, by row and column.
func (w *workbook) remarks(sheet string) (out []remark) {
	if w.file == nil {
		return nil
	}
	_ = guard(func() error { // a file with damaged notes still holds its prices
		comments, err := w.file.GetComments(sheet)
		for _, c := range comments {
			col, row, bad := excelize.CellNameToCoordinates(c.Cell)
			if bad != nil || len(out) >= maxRemarks {
				continue
			}
			text := c.Text
			for _, p := range c.Paragraph {
				text += p.Text
			}
			if text = tidy(strings.TrimPrefix(text, c.Author+":")); text != "" {
				out = append(out, remark{row, col, shorten(text)})
			}
		}
		return err
	})
	slices.SortStableFunc(out, func(a, b remark) int {
		if a.row != b.row {
			return a.row - b.row
		}
		return a.col - b.col
	})
	return out
}

const maxRemarks = 500

// shorten is a text of a file as a message repeats it: not all of a long one, and [Printable].
func shorten(s string) string {
	const most = 120
	if len(s) > most {
		if r := []rune(s); len(r) > most {
			s = string(r[:most-1]) + "…"
		}
	}
	return Printable(s)
}
