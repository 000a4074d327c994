package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// Widths after UAX #11 (East Asian Width: W and F take two columns, marks none) and UTS #51 (an emoji sequence is one wide character),
// counted by hand.
func TestColumnsOf(t *testing.T) {
	for _, tt := range []struct {
		text string
		want int
	}{
		{"", 0}, {"abc", 3}, {"a\nlonger\nb", 6},
		{"N·m² − 3×4 – “q”", 16}, // ambiguous width: one column, whatever the locale
		{"木の芯", 6}, {"ｆｕｌｌ", 8}, {"한글", 4},
		{"e\u0301", 1}, {"e\u0301\u0301\u0301", 1},
		{"👩\u200d🚒", 2}, {"🇨🇭", 2}, {"👍🏽", 2}, {"❤\ufe0f", 2}, {"🏴\U000e0067\U000e0062\U000e0065\U000e006e\U000e0067\U000e007f", 2},
		{"שלום", 4}, {"\u2067שלום\u2069", 4},
	} {
		if got := columnsOf(tt.text); got != tt.want {
			t.Errorf("%q takes %d columns, want %d", tt.text, got, tt.want)
		}
	}
}

func TestFolded(t *testing.T) {
	for _, tt := range []struct {
		text  string
		width int
		want  string
	}{
		{"one two three", 7, "one two|three"},
		{"one two three", 13, "one two three"},
		{"abcdefgh", 3, "abc|def|gh"},
		{"on abcdefgh", 4, "on|abcd|efgh"},
		{"木の芯", 5, "木の|芯"},
		{"木の芯", 2, "木|の|芯"},
		{"e\u0301e\u0301e\u0301", 2, "e\u0301e\u0301|e\u0301"}, // a mark stays with its letter
		{"👩\u200d🚒👩\u200d🚒👩\u200d🚒", 4, "👩\u200d🚒👩\u200d🚒|👩\u200d🚒"}, // and a sequence whole
		{"a\nb c", 80, "a|b c"},
		{"\nto", 80, "|to"},
		{"", 10, ""},
	} {
		got := folded(tt.text, tt.width)
		if s := strings.Join(got, "|"); s != tt.want {
			t.Errorf("%q in %d columns: %q, want %q", tt.text, tt.width, s, tt.want)
		}
		for _, line := range got {
			if columnsOf(line) > tt.width {
				t.Errorf("%q in %d columns: %q is wider", tt.text, tt.width, line)
			}
		}
	}
}

// Isolates stand around what is written from right to left, and nowhere else; without them a bidirectional terminal would draw the
// figures of a line to the left of such a name (UAX #9, W2 and N1).
func TestIsolated(t *testing.T) {
	for text, want := range map[string]string{
		"plain 12":       "plain 12",
		"שלום 12":        "[שלום] 12",
		"12 שלום עולם 3": "12 [שלום עולם] 3",
		"אב cd הו":       "[אב] cd [הו]",
		"مَ 1":           "[مَ] 1",
	} {
		got := strings.NewReplacer("\u2067", "[", "\u2069", "]").Replace(isolated(text))
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// Every column of a table begins where the others' cells do, whatever the cells hold.
func TestTableStaysAligned(t *testing.T) {
	names := []string{"plain", "木の芯", "e\u0301e\u0301", "👩\u200d🚒", "🇨🇭 flag", "שלום", "two\nlines"}
	marks := make([]string, len(names))
	for i := range marks {
		marks[i] = "|end"
	}
	for _, colour := range []bool{false, true} {
		tt := newTerminal(Style{Width: 80, Colour: colour})
		accent := make([]bool, len(names))
		accent[1], accent[3] = true, true
		tt.table([]column{{head: "Name", cells: names, left: true, accent: accent}, {head: "Figure", cells: names}, {head: "End", cells: marks, left: true}})
		lines := 0
		for line := range strings.Lines(tt.b.String()) {
			before, _, ok := strings.Cut(escapes.ReplaceAllString(line, ""), "|end")
			if !ok {
				continue
			}
			lines++
			if got, want := columnsOf(before), 2*columnsOf("🇨🇭 flag")+2*columnGap; got != want {
				t.Errorf("colour %v: the last column begins after %d columns, want %d: %s", colour, got, want, line)
			}
		}
		if lines != len(names) {
			t.Errorf("colour %v: %d lines end as they should, want %d", colour, lines, len(names))
		}
		if got := strings.Count(tt.b.String(), green); got != map[bool]int{false: 0, true: 2}[colour] {
			t.Errorf("colour %v: %d cells are green", colour, got)
		}
	}
}

func TestPlain(t *testing.T) {
	for text, want := range map[string]string{
		"a\nb":                   "a\nb",
		"\x1b]0;title\a\x9b2J\t": " ]0;title  2J ",
		"\u009b2J":               " 2J",
		"a\u202eb":               "a b",
		"sheet \"שלום\", cell 3": "sheet \"\u2067שלום\u2069\", cell 3",
	} {
		if got := Plain(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// A JSON document says everything as it was written, and steers no terminal on which it is shown.
func TestJSONSteersNothing(t *testing.T) {
	const name = "\x1b[2J \u009b2J \x7f \u202eabc\u2066 \t\"\\"
	var b bytes.Buffer
	if err := writeJSON(&b, map[string]string{"name": name}); err != nil {
		t.Fatal(err)
	}
	for _, r := range b.String() {
		if r != '\n' && steers(r) {
			t.Errorf("the document holds %q", r)
		}
	}
	var back map[string]string
	if err := json.Unmarshal(b.Bytes(), &back); err != nil || back["name"] != name {
		t.Errorf("read back %q, %v", back["name"], err)
	}
}
