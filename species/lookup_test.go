package species_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	"stavewright/species"
)

// outcome is what a lookup came to, in one word or list.
func outcome(w species.Wood, err error) string {
	var unknown *species.UnknownNameError
	var unclear *species.AmbiguousNameError
	switch {
	case err == nil:
		return w.ID
	case errors.As(err, &unclear):
		return "not clear: " + strings.Join(unclear.Candidates, " ")
	case errors.As(err, &unknown):
		return "not known: " + strings.Join(unknown.Nearest, " ")
	}
	return "another error: " + err.Error()
}

func TestEveryNameResolves(t *testing.T) {
	table := species.Default()
	spellings := func(name string) []string {
		return []string{name, strings.ToUpper(name), "  " + strings.ReplaceAll(name, " ", "\u00a0 ") + "\n", norm.NFD.String(name),
			strings.ReplaceAll(name, " ", "-"), strings.ReplaceAll(name, "-", ""), name + "*", name + " (KD 8 %)", strings.ReplaceAll(name, "'", "’")}
	}
	languages := map[string]map[string]bool{}
	for _, w := range table.Woods() {
		languages[w.ID] = map[string]bool{}
		for _, name := range []string{w.ID, w.CommonName, w.LatinName} {
			for _, s := range spellings(name) {
				if got := outcome(table.Lookup(s)); got != w.ID {
					t.Errorf("%q is %s, want %s", s, got, w.ID)
				}
			}
		}
	}
	for _, a := range species.Aliases() {
		var want string
		switch a.Meaning {
		case species.Clear:
			want = a.Woods[0]
			languages[want][a.Language] = true
		case species.Ambiguous:
			want = "not clear: " + strings.Join(a.Woods, " ")
		case species.Absent:
			want = "not known: "
		}
		for _, s := range spellings(a.Name) {
			if got := outcome(table.Lookup(s)); got != want {
				t.Errorf("%q (%s) is %s, want %s", s, a.Language, got, want)
			}
		}
	}
	for id, has := range languages {
		for _, l := range []string{"en", "de", "fr", "it", "es"} {
			if !has[l] {
				t.Errorf("%s has no name in %s", id, l)
			}
		}
	}
}

func TestLookup(t *testing.T) {
	for _, tt := range []struct{ name, want string }{
		{"ESCHE ", "ash-european"}, {"Esche (weiß)", "ash-white"}, {"Esche  weiss", "ash-white"}, {"Eschе", "not known: ash-european"},
		{"Rotbuche (gedämpft, KD 8 ± 2 %)", "beech-european"}, {"Rotbuche (Fagus sylvatica)", "beech-european"},
		{"Rotbuche (Weißesche)", "not clear: ash-white beech-european"}, {"Fagus sylvatica L.", "beech-european"},
		{"Populus × canadensis", "poplar-hybrid"}, {"Ｂａｌｓａ", "balsa"}, {"bal\u00adsa", "balsa"},
		{"poplar", "not clear: poplar-hybrid yellow-poplar"}, {"Poplar (tulip)", "yellow-poplar"}, {"Poplar (Liriodendron tulipifera)", "yellow-poplar"},
		{"Poplar (KD)", "not clear: poplar-hybrid yellow-poplar"}, {"Maple, hard", "maple-sugar"}, {"Oak, red", "oak-northern-red"},
		{"maple (soft)", "not known: "}, {"Bamboo (strand woven)", "not known: "}, {"Aspen (Populus tremula)", "not known: "},
		{"Birch (European)", "birch-silver"}, {"Balsa (Quercus)", "not known: "}, {"Ash (white or European)", "not clear: ash-european ash-white"},
		{"Birch / Alder / Aspen", "not known: "}, {"Balsa?", "not known: balsa"}, {"Balsa (light", "not known: "},
		{"aspn", "not known: aspen-quaking"}, {"Yelow poplar", "not known: yellow-poplar"}, {"", "not known: "}, {" () ", "not known: "},
		{"Aspn (KD)", "not known: aspen-quaking"}, {"Bergahorn (Ahorn)", "not known: "}, {"Birch (white-ish, KD)", "not clear: birch-silver birch-yellow birch-paper"},
		{"桐", "not known: "}, {strings.Repeat("balsa", 100), "not known: "},
	} {
		if got := outcome(species.Default().Lookup(tt.name)); got != tt.want {
			t.Errorf("%q is %s, want %s", tt.name, got, tt.want)
		}
	}
}

func TestLookupSaysWhatToWrite(t *testing.T) {
	for name, want := range map[string]string{
		"poplar": `wood "poplar" is not clear: a Populus in Europe, yellow-poplar (Liriodendron) in North America; ` +
			`write poplar-hybrid or yellow-poplar if that is meant; for any other wood, add a row with this name and the Latin name to the Woods sheet of the job book`,
		"aspn": `wood "aspn" is not known; nearest: aspen-quaking; write one of these, or add the wood to the Woods sheet of the job book`,
		"Eschе": `wood "Eschе" is not known: its letter 'е' (U+0435) is Cyrillic, not Latin; nearest: ash-european; ` +
			`write one of these, or add the wood to the Woods sheet of the job book`,
		"Bergahorn": `wood "Bergahorn" is not known: it is sycamore maple, which the table does not hold; ` +
			`write a wood of the table, or add it to the Woods sheet of the job book`,
		"": `wood "" is not known: it has no letters; type the name again`,
	} {
		if _, err := species.Default().Lookup(name); err == nil || err.Error() != want {
			t.Errorf("%q: %v\nwant %s", name, err, want)
		}
	}
}

// One wrong letter is never put right, unless it makes another name of the table.
func TestLookupNeverGuesses(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, a := range species.Aliases() {
		letters := []rune(a.Name)
		i := random.IntN(len(letters))
		if !unicode.IsLetter(letters[i]) {
			continue
		}
		letters[i] = rune('a' + random.IntN(26))
		if w, err := species.Default().Lookup(string(letters)); err == nil && !isNameOf(w, string(letters)) {
			t.Errorf("%q is taken for %s", string(letters), w.ID)
		}
	}
}

// isNameOf is a second opinion on what may be accepted: the letters of the text, or of the text without
// some last notes in brackets, are those of a name of the wood, whatever their order (a comma turns names round) and but for the L. of Linnaeus.
// Where the name outside is not clear, the brackets hold one that is.
func isNameOf(w species.Wood, text string) bool {
	letters := func(s string) string {
		var out []rune
		for _, r := range norm.NFKD.String(cases.Fold().String(norm.NFKC.String(strings.ReplaceAll(s, "×", "x")))) {
			if !unicode.IsOneOf([]*unicode.RangeTable{unicode.Mn, unicode.Cf, unicode.White_Space, unicode.Dash}, r) && !strings.ContainsRune(".,'’‘`´_*()[]{}", r) {
				out = append(out, r)
			}
		}
		slices.Sort(out)
		return string(out)
	}
	names := map[string]bool{}
	for _, n := range []string{w.ID, w.CommonName, w.LatinName} {
		names[letters(n)], names[letters(n+"L")] = true, true
	}
	for _, a := range species.Aliases() {
		if slices.Contains(a.Woods, w.ID) {
			names[letters(a.Name)], names[letters(a.Name+"L")] = true, true
		}
	}
	note := regexp.MustCompile(`[(\[{][^()\[\]{}]*[)\]}]`)
	for text = norm.NFKC.String(text); ; {
		if names[letters(text)] {
			return true
		}
		all := note.FindAllStringIndex(text, -1)
		if len(all) == 0 {
			return false
		}
		last := all[len(all)-1]
		text = text[:last[0]] + text[last[1]:]
	}
}

func FuzzLookup(f *testing.F) {
	for _, s := range []string{"", "Esche (weiß)", "Eschе", "poplar", "Poplar (Liriodendron)", "Maple, hard", "Fagus sylvatica L.", "Populus × canadensis",
		"(balsa", "balsa)", "((balsa))", "balsa\u200b", "ﬁr", "\xff\xfe", "Balsa?", "a\u0301sh", "İ", "桐", "ash,,", "(ash)(white)"} {
		f.Add(s)
	}
	table := species.Default()
	f.Fuzz(func(t *testing.T, name string) {
		w, err := table.Lookup(name)
		if err == nil {
			if _, ok := table.Wood(w.ID); !ok || !isNameOf(w, name) {
				t.Fatalf("%q is taken for %q", name, w.ID)
			}
			return
		}
		var unknown *species.UnknownNameError
		var unclear *species.AmbiguousNameError
		switch {
		case errors.As(err, &unknown):
			if unknown.Name != name || len(unknown.Nearest) > 3 {
				t.Fatalf("%q: %#v", name, unknown)
			}
		case errors.As(err, &unclear):
			if unclear.Name != name || len(unclear.Candidates) == 0 || unclear.Note == "" {
				t.Fatalf("%q: %#v", name, unclear)
			}
		default:
			t.Fatalf("%q: %v", name, err)
		}
		if again := fmt.Sprint(err); again == "" || again != outcomeText(table, name) {
			t.Fatalf("%q: two answers", name)
		}
	})
}

func outcomeText(table *species.Table, name string) string {
	_, err := table.Lookup(name)
	return fmt.Sprint(err)
}

// An own wood's name, whatever it is, finds that wood again or is refused.
func FuzzOwnName(f *testing.F) {
	for _, s := range []string{"Mine", "Balsa (light)", "poplar", "--", "Ä Ö", "x/y", "a(b", "Eschе", "# Birch", "Rotbuche!", ", Alder/", "Tulip\x1f;", strings.Repeat("ﷺ", 30), strings.Repeat("각", 60)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		density := 400.0
		table, err := species.Default().With(species.OwnWood{Wood: name, DensityKgM3: &density})
		if err != nil {
			if rows := species.RowErrors(err); len(rows) != 1 || rows[0].Column != "Wood" || rows[0].Advice == "" {
				t.Fatalf("%q: %v", name, err)
			}
			return
		}
		w, err := table.Lookup(name)
		if err != nil || w.DensityKgM3.Value != density {
			t.Fatalf("%q is not found again: %q, %v", name, w.ID, err)
		}
		if byID, err := table.Lookup(w.ID); err != nil || byID.ID != w.ID {
			t.Fatalf("%q: its id %q finds %q, %v", name, w.ID, byID.ID, err)
		}
	})
}

func BenchmarkLookup(b *testing.B) {
	for _, name := range []string{"Rotbuche (KD)", "aspn"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				species.Default().Lookup(name)
			}
		})
	}
}

// A shop may name its own wood in its own script, and finds it again as it wrote it; letters that pass for Latin ones among Latin ones
// stay a fault, as they do where an own wood is only looked up.
func TestOwnWoodsOfAnyScript(t *testing.T) {
	for _, name := range []string{"桐", "дуб", "שלום wood", "👩\u200d🚒 木 wood", "soft\u00adhyphen \u200bwood", "tab\there"} {
		density := 330.0
		table, err := species.Default().With(species.OwnWood{Wood: name, DensityKgM3: &density})
		if err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		w, err := table.Lookup(name)
		if err != nil || w.DensityKgM3.Value != density || w.CommonName != name {
			t.Errorf("%q is %q with %v kg/m³, %v", name, w.CommonName, w.DensityKgM3.Value, err)
		}
	}
	for _, name := range []string{"Eschе", "Ωak", "👩\u200d🚒", "?"} { // the e is Cyrillic, the O Greek
		if _, err := species.Default().With(species.OwnWood{Wood: name}); err == nil {
			t.Errorf("%q was taken", name)
		}
	}
	if _, err := species.Default().Lookup("桐"); err == nil {
		t.Error("a wood of another script was found that nobody named")
	}
}

// A text far longer than any name is refused unread, in few words, whatever it holds: looking for a name in it would take a step for every bracket.
func TestLongName(t *testing.T) {
	for _, s := range []string{strings.Repeat("()", 20_000), strings.Repeat("(", 40_000), strings.Repeat("balsa ", 100), strings.Repeat("\u200b", 400), strings.Repeat("ash/", 10_000)} {
		_, err := species.Default().Lookup(s)
		var unknown *species.UnknownNameError
		if !errors.As(err, &unknown) || unknown.Name != s || len(err.Error()) > 1000 || !strings.Contains(err.Error(), "more than any name") {
			t.Errorf("%.20q… (%d bytes): %.300v", s, len(s), err)
		}
		density := 400.0
		if _, err := species.Default().With(species.OwnWood{Wood: s, DensityKgM3: &density}); len(species.RowErrors(err)) != 1 || len(err.Error()) > 1000 {
			t.Errorf("%.20q… (%d bytes) as an own wood: %.300v", s, len(s), err)
		}
	}
}
