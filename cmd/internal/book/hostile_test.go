package book

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"stavewright/sourcing"
)

// checkFindings holds what is said of a book to what holds for any book: every finding names the file, has a problem, can be printed and is short, and
// they are not without number.
func checkFindings(t testing.TB, found sourcing.Findings) {
	t.Helper()
	if len(found) > maxFindings+maxSheets+1 {
		t.Errorf("%d findings", len(found))
	}
	for _, f := range found {
		if f.File != JobFile || f.Problem == "" || f.Row < 0 || f.Col < 0 || f.Row > 0 && f.Sheet == "" || !isPrintable(f.Problem) || !isPrintable(f.Advice) || !isPrintable(f.String()) ||
			len([]rune(f.Problem))+len([]rune(f.Advice)) > 4_000 {
			t.Errorf("a finding is not fit to print: %.400q", f)
		}
	}
}

// isPrintable reports whether a text is one line of valid UTF-8, without what steers a terminal or turns the order of letters about.
func isPrintable(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool { return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) })
}

// rezip changes parts of a workbook, and adds those it has not.
func rezip(t testing.TB, data []byte, change func(name string, part []byte) []byte, more ...string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	write := func(name string, part []byte) {
		w, err := out.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(part); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		part, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		write(f.Name, change(f.Name, part))
	}
	for i := 0; i+1 < len(more); i += 2 {
		write(more[i], []byte(more[i+1]))
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// hostileTexts are what a cell should not hold: what breaks a line, steers a terminal, turns letters about, is a formula or is too long to repeat.
var hostileTexts = []string{
	"a\nb", "a\r\nb", "a\tb", "\x1b[31mred\x1b[0m", "\u202eevil", "a\u200bb", "\u200b", "a\u2028b", "a\u2029b", "a\u0085b", "\ufeff", "\u00ad", "\U000e0041", "_x0000_", "_x001B_[2J", "_x202E_", `"`, `""" "`,
	"%s%d%!q(x)", "<script>alert(1)</script>", `=HYPERLINK("http://example.org","x")`, "@SUM(1)", "#REF!\n", "1\n2", "2027-03-15\n", "1e309", "NaN", "-0", "0x10", "ﷺ", "٢٦", "１０",
	strings.Repeat("a", 32_767), strings.Repeat(`"`, 32_767), strings.Repeat("9", 32_767), strings.Repeat("()", 16_000), strings.Repeat("balsa, ", 4_600), strings.Repeat("\n", 32_000) + "x", strings.Repeat("ﷺ", 10_000),
}

// Whatever a cell holds, wherever it stands, what is said of it is fit to print, and what is read of it is too, joiners of scripts and emoji apart.
func TestHostileTexts(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	for i, s := range hostileTexts {
		content := map[string][][]any{}
		for sheet, rows := range small() {
			for r, row := range rows {
				row = append([]any{}, row...)
				for c := range row {
					if r > 0 && (i+r+c)%3 == 0 { // some cells of every row, others of another text
						row[c] = s
					}
				}
				content[sheet] = append(content[sheet], row)
				if r > 0 {
					row = append([]any{}, row...)
					for c := range row {
						row[c] = fmt.Sprint(s, row[c])
					}
					content[sheet] = append(content[sheet], row)
				}
			}
			content[sheet][0] = append(content[sheet][0], s)
		}
		job, found := readBook(t, workbook(t, content))
		checkFindings(t, found)
		for _, m := range job.Models {
			for _, p := range m.Positions {
				if asText(p.Name) != p.Name {
					t.Errorf("a position is called %q", p.Name)
				}
			}
			if asText(m.Name) != m.Name {
				t.Errorf("a model is called %q", m.Name)
			}
		}
		for _, s := range job.Suppliers {
			if asText(s.Name) != s.Name || asText(s.PriceFile) != s.PriceFile {
				t.Errorf("a supplier is called %q, its file %q", s.Name, s.PriceFile)
			}
		}
		if t.Failed() {
			t.Fatalf("%.60q (%d bytes)", s, len(s))
		}
	}
}

// Files made to exhaust the machine are refused in few words, and take little memory: mb is the most that may be allocated, all in all.
func TestHostileFiles(t *testing.T) {
	good := workbook(t, small())
	sheetWith := func(xml string) []byte {
		return rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet2.xml" {
				return []byte(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">` + xml + `</worksheet>`)
			}
			return part
		})
	}
	partAs := func(of, xml string) []byte {
		return rezip(t, good, func(name string, part []byte) []byte {
			if name == of {
				return []byte(xml)
			}
			return part
		})
	}
	var wide, texts strings.Builder
	for i := range 200 {
		fmt.Fprintf(&wide, `<row r="%d"><c r="XFD%[1]d"/></row>`, i+1)
	}
	for i := range 2000 {
		fmt.Fprintf(&texts, `<row r="%d"><c t="s"><v>0</v></c></row>`, i+1)
	}
	sizes := func(data []byte, claimed uint32) []byte { // what the file says of its parts' sizes, in the directory at its end
		data = bytes.Clone(data)
		for i := range len(data) - 46 {
			if bytes.HasPrefix(data[i:], []byte("PK\x01\x02")) && bytes.HasPrefix(data[i+46:], []byte("xl/worksheets/sheet2")) {
				data[i+24], data[i+25], data[i+26], data[i+27] = byte(claimed), byte(claimed>>8), byte(claimed>>16), byte(claimed>>24)
			}
		}
		return data
	}
	for _, tt := range []struct {
		name string
		data []byte
		want string
		mb   uint64
	}{
		{"unpacked too large", sheetWith(strings.Repeat(" ", maxUnzipBytes)), "larger than 64 MB", 5},
		{"larger than it says", sizes(sheetWith("<sheetData>"+strings.Repeat(" ", maxUnzipBytes)+"</sheetData>"), 1000), "damaged", 50},
		{"a cell at the end of every row", sheetWith("<sheetData>" + wide.String() + "</sheetData>"), "reach over more than", 50},
		{"a cell in the last row", sheetWith(`<sheetData><row r="1048576"><c r="A1048576"><v>1</v></c></row></sheetData>`), "reach over more than", 20},
		{"no end of cells", sheetWith("<sheetData><row>" + strings.Repeat("<c/>", maxTreeCells+1) + "</row></sheetData>"), "reach over more than", 500},
		{"no end of styles", partAs("xl/styles.xml", "<styleSheet>"+strings.Repeat("<xf/>", maxPartBytes/5)+"</styleSheet>"), "larger than 4 MB", 20},
		{"no end of texts", partAs("xl/sharedStrings.xml", "<sst>"+strings.Repeat("<si/>", maxPartBytes/5)+"</sst>"), "larger than 4 MB", 500},
		{"no end of relations", partAs("xl/_rels/workbook.xml.rels", "<Relationships>"+strings.Repeat("<Relationship/>", maxRelsBytes/15)+"</Relationships>"), "larger than 512 kB", 20},
		{"one long text in every cell", rezip(t, sheetWith("<sheetData>"+texts.String()+"</sheetData>"), func(name string, part []byte) []byte {
			if name == "xl/sharedStrings.xml" {
				return []byte("<sst><si><r><t>" + strings.Repeat("x", 32_000) + "</t></r><r><t>y</t></r></si></sst>")
			}
			return part
		}), "more than 32 MB of text", 50},
		{"an entity of one's own", sheetWith(`<sheetData><row r="1"><c r="A1" t="str"><v>&a;</v></c></row></sheetData>`), "damaged", 50},
		{"entities that double", partAs("xl/worksheets/sheet2.xml", `<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&b;</v></c></row></sheetData></worksheet>`), "damaged", 50},
		{"an entity from a file", partAs("xl/worksheets/sheet2.xml", `<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><worksheet><sheetData><row r="1"><c r="A1" t="str"><v>&a;</v></c></row></sheetData></worksheet>`), "damaged", 50},
		{"cut short", rezip(t, good, func(name string, part []byte) []byte {
			if name == "xl/worksheets/sheet2.xml" {
				return part[:bytes.LastIndex(part, []byte("<row"))]
			}
			return part
		}), "damaged", 50},
		{"nested deeply", partAs("xl/worksheets/sheet2.xml", "<worksheet><sheetData>"+strings.Repeat("<row>", 200_000)+strings.Repeat("</row>", 200_000)+"</sheetData></worksheet>"), "", 500},
		{"styles nested deeply", partAs("xl/styles.xml", strings.Repeat("<a>", 200_000)+strings.Repeat("</a>", 200_000)), "", 500},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, found := readBook(t, tt.data)
			runtime.ReadMemStats(&after)
			checkFindings(t, found)
			if len(found.Errors()) == 0 || !strings.Contains(found.String(), tt.want) {
				t.Errorf("no finding says %q: %.500s", tt.want, found)
			}
			if mb := (after.TotalAlloc - before.TotalAlloc) >> 20; mb > tt.mb {
				t.Errorf("%d MB were allocated for a file of %d kB, more than %d", mb, len(tt.data)>>10, tt.mb)
			} else {
				t.Logf("%d MB", mb)
			}
		})
	}
}

// Links to other files, web pages and macros in a job book are neither followed nor taken over, and formulas are not reckoned: a ring of them, or one
// without a stored value, is a finding at its cell.
func TestHostileFormulas(t *testing.T) {
	good := workbook(t, small())
	data := rezip(t, good, func(name string, part []byte) []byte {
		if !strings.HasPrefix(name, "xl/worksheets/sheet") || !bytes.Contains(part, []byte(`r="C2"`)) {
			return part
		}
		i := bytes.Index(part, []byte(`<c r="C2"`))
		j := i + bytes.Index(part[i:], []byte("</c>"))
		return append(append(bytes.Clone(part[:i]), `<c r="C2"><f>[1]Sheet1!A1+C2+WEBSERVICE("http://example.org")</f>`...), part[j:]...)
	}, "xl/externalLinks/externalLink1.xml", `<externalLink><externalBook id="rId1"/></externalLink>`,
		"xl/externalLinks/_rels/externalLink1.xml.rels", `<Relationships><Relationship Id="rId1" Type="x/externalLinkPath" Target="http://example.org/x.xlsx" TargetMode="External"/></Relationships>`)
	_, found := readBook(t, data)
	checkFindings(t, found)
	if !strings.Contains(found.String(), `cell C2: the formula has no value in the file`) {
		t.Errorf("%s", found)
	}
}

// Rows without end, and models, positions and names without end, cost no more than the limits say, and a finding names the limit.
func TestHostileRows(t *testing.T) {
	if testing.Short() {
		t.Skip("one goroutine and much text: in full runs")
	}
	content := small()
	models, stations, positions := content["Models"], content["Stations"], content["Positions"]
	suppliers := [][]any{{"Supplier", "Price file"}}
	woods := content["Woods"]
	for i := range maxModels + 10 {
		models = append(models, append([]any{fmt.Sprint("Board ", i)}, models[1][1:]...))
	}
	for i := range maxModelRows + 10 {
		stations = append(stations, append([]any{nil}, stations[1][1:]...))
		positions = append(positions, append([]any{"Plank", fmt.Sprint("Place ", i)}, positions[1][2:]...))
		suppliers = append(suppliers, []any{fmt.Sprint("Holz ", i), fmt.Sprint(i, ".xlsx")})
		woods = append(woods, []any{fmt.Sprint("wood ", i), nil, 400})
	}
	content["Models"], content["Stations"], content["Positions"], content["Suppliers"], content["Woods"] = models, stations, positions, suppliers, woods
	job, found := readBook(t, workbook(t, content))
	checkFindings(t, found)
	for _, want := range []string{fmt.Sprintf("more than %d models", maxModels), fmt.Sprintf("more than %d rows speak of", maxModelRows), fmt.Sprintf("more than %d positions", maxPositions),
		fmt.Sprintf("more than %d woods", maxOwnWoods), "further problems"} {
		if !strings.Contains(found.String(), want) {
			t.Errorf("nothing says %q", want)
		}
	}
	if len(job.Models) > maxModels || len(found.Errors()) == 0 {
		t.Errorf("%d models, %d errors", len(job.Models), len(found.Errors()))
	}
}
