package species

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// UnknownNameError is a name that means no wood of the table.
type UnknownNameError struct {
	Name    string
	Nearest []string // ids of the woods with the most similar names, nearest first; may be empty
	Note    string   // more about the name: what it means, or what is wrong with its letters

	malformed bool // the name itself is at fault: empty, or with letters of another script
}

// Problem says what is there and why it cannot stand.
func (e *UnknownNameError) Problem() string {
	s := fmt.Sprintf("wood %q is not known", shown(e.Name))
	if e.Note != "" {
		s += ": " + e.Note
	}
	return s
}

// Advice says what to write instead.
func (e *UnknownNameError) Advice() string {
	switch {
	case len(e.Nearest) > 0:
		return "nearest: " + strings.Join(e.Nearest, ", ") + "; write one of these, or add the wood to the Woods sheet of the job book"
	case e.malformed:
		return "type the name again"
	}
	return "write a wood of the table, or add it to the Woods sheet of the job book"
}

// Error is problem and advice.
func (e *UnknownNameError) Error() string { return e.Problem() + "; " + e.Advice() }

// shown is a name as a message repeats it: not all of a long one.
func shown(name string) string {
	if r := []rune(name); len(r) > longestName {
		return string(r[:longestName]) + "…"
	}
	return name
}

// AmbiguousNameError is a name that means more than one wood, or a wood of the table and others beside it.
type AmbiguousNameError struct {
	Name       string
	Candidates []string // ids of the woods of the table that it may mean
	Note       string   // what it means where
}

// Problem says what is there and why it cannot stand.
func (e *AmbiguousNameError) Problem() string {
	return fmt.Sprintf("wood %q is not clear: %s", shown(e.Name), e.Note)
}

// Advice says what to write instead.
func (e *AmbiguousNameError) Advice() string {
	return "write " + strings.Join(e.Candidates, " or ") + " if that is meant; for any other wood, add a row with this name and " +
		"the Latin name to the Woods sheet of the job book"
}

// Error is problem and advice.
func (e *AmbiguousNameError) Error() string { return e.Problem() + "; " + e.Advice() }

// Lookup finds the wood of a name: its id, common or Latin name or an alias, in any language of the table. Case, accents,
// compatibility forms (full-width letters, ligatures), spaces, hyphens, dots, commas, apostrophes and asterisks do not
// matter; "maple, hard" is "hard maple"; a note in brackets is dropped when it does not change the wood ("Rotbuche (KD)"),
// and decides when it names one ("poplar (Liriodendron)"). Letters of other scripts that look like Latin ones are reported,
// never taken for them.
//
// The error is an [*UnknownNameError] or an [*AmbiguousNameError]. Nothing is ever guessed.
func (t *Table) Lookup(name string) (Wood, error) {
	id, err := t.names.lookup(name, dropNotes)
	if err != nil {
		return Wood{}, err
	}
	return t.woods[indexOf(t.entries, id)], nil
}

// What lookup does with notes in brackets.
const (
	dropNotes = true
	keepNotes = false
)

// lookup is [Table.Lookup] for the id alone.
func (x *index) lookup(name string, dropNotes bool) (id string, err error) {
	if len(name) > longestText {
		return "", &UnknownNameError{Name: name, Note: fmt.Sprintf("it has %d letters, more than any name", utf8.RuneCountInString(name)), malformed: true}
	}
	text := visible(norm.NFKC.String(name))
	if r, script := foreignLetter(text); r != 0 {
		if t, ok := x.targets[key(text)]; ok { // a user's own wood, as the user wrote it
			return t.settle(name)
		}
		return "", &UnknownNameError{Name: name, Nearest: x.nearest(latinised(text)), malformed: true,
			Note: fmt.Sprintf("its letter %q (U+%04X) is %s, not Latin", r, r, script)}
	}
	if key(text) == "" {
		return "", &UnknownNameError{Name: name, Note: "it has no letters", malformed: true}
	}
	t, notes, ok := x.without(text, dropNotes)
	if !ok {
		near := x.nearest(text)
		if len(near) == 0 {
			near = x.nearest(bracketed.ReplaceAllString(text, " "))
		}
		return "", &UnknownNameError{Name: name, Nearest: near}
	}
	if t.meaning == Absent {
		return t.settle(name)
	}
	for _, note := range notes {
		said, ok := x.find(note)
		switch {
		case ok && said.meaning == Absent:
			return "", &UnknownNameError{Name: name, Note: said.note}
		case ok:
			both := slices.DeleteFunc(slices.Clone(t.ids), func(id string) bool { return !slices.Contains(said.ids, id) })
			if len(both) == 0 {
				all := slices.Compact(slices.Sorted(slices.Values(slices.Concat(t.ids, said.ids))))
				return "", &AmbiguousNameError{name, all, "the note in brackets names another wood"}
			}
			if said.meaning == Clear {
				t = said
			}
		case t.meaning == Clear && qualifies(note):
			return "", &UnknownNameError{Name: name, Nearest: x.nearest(text),
				Note: fmt.Sprintf("%q in brackets may make it another wood", strings.TrimSpace(note))}
		}
	}
	return t.settle(name)
}

// settle turns what a name means into a wood or the error that says why not.
func (t target) settle(name string) (string, error) {
	switch t.meaning {
	case Clear:
		return t.ids[0], nil
	case Ambiguous:
		return "", &AmbiguousNameError{name, slices.Clone(t.ids), t.note}
	}
	return "", &UnknownNameError{Name: name, Note: t.note}
}

// find is what the text means as a whole, as it stands, turned round at its comma, or without the "L." of Linnaeus.
func (x *index) find(text string) (target, bool) {
	if t, ok := x.targets[key(text)]; ok {
		return t, true
	}
	if before, after, ok := strings.Cut(text, ","); ok && !strings.Contains(after, ",") {
		if t, ok := x.targets[key(after+" "+before)]; ok {
			return t, true
		}
	}
	if latin, ok := strings.CutSuffix(strings.TrimSpace(text), " L."); ok {
		t, ok := x.targets[key(latin)]
		return t, ok
	}
	return target{}, false
}

// folded is the text in lower case without accents.
func folded(text string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(cases.Fold().String(norm.NFKC.String(text))) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == '×': // of hybrids: "Populus × canadensis" is written with an x as well
			b.WriteByte('x')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// key is what a name is found by. Signs that may change the meaning, such as a question mark or a slash, stay in it.
func key(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Dash, r) || strings.ContainsRune(".,'’‘`´_*()[]{}", r) {
			return -1
		}
		return r
	}, folded(text))
}

// visible drops what cannot be seen: soft hyphens, zero-width spaces, marks of order.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return r
	}, text)
}

// bracketed is a note in brackets without another in it.
var bracketed = regexp.MustCompile(`[(\[{][^()\[\]{}]*[)\]}]`)

// without is what the text means without as many of its last notes in brackets as it takes, and what those notes say, split at
// commas, semicolons and slashes. A note may also belong before the name: "birch (European)".
func (x *index) without(text string, dropNotes bool) (t target, notes []string, ok bool) {
	for {
		if t, ok = x.find(text); ok {
			return t, notes, true
		}
		all := bracketed.FindAllStringIndex(text, -1)
		if len(all) == 0 || !dropNotes {
			return target{}, nil, false
		}
		last := all[len(all)-1]
		note := text[last[0]+1 : last[1]-1]
		text = text[:last[0]] + " " + text[last[1]:]
		if t, ok = x.find(note + " " + text); ok {
			return t, notes, true
		}
		notes = append(notes, strings.FieldsFunc(note, func(r rune) bool { return strings.ContainsRune(",;/", r) })...)
	}
}

// qualifiers are the words that make another species of a wood's name, in the languages of the aliases, as stems of
// folded words. A note in brackets with one of them is never dropped.
var qualifiers = []string{
	"europ", "americ", "amerik", "canad", "kanad", "asia", "sibir", "siber", "japan", "japon", "giappon", "chin", "russ", "afric", "afrik",
	"north", "south", "nord", "sud", "east", "west", "orient", "occident",
	"white", "weiss", "blanc", "bianc", "red", "rot", "roug", "ross", "roj", "yellow", "gelb", "jaun", "giall", "amarill",
	"black", "schwarz", "noir", "nero", "negr", "grey", "gray", "grau", "gris", "grigi", "silver", "silber", "paper", "papier", "papyr",
	"soft", "hard", "weich", "hart", "tendre", "dur", "tener", "bland", "sugar", "zucker", "sucre", "zucchero", "azucar",
	"tulip", "hybrid", "wild", "false", "falsch", "faux", "fals", "strand", "woven", "sp", "spp", "species", "or", "oder", "ou", "o", "not", "no",
}

// qualifies reports whether a note has a word that makes another species of a name, or looks botanical.
func qualifies(note string) bool {
	words := strings.FieldsFunc(folded(note), func(r rune) bool { return !unicode.IsLetter(r) })
	for _, w := range words {
		for _, q := range qualifiers {
			if w == q || (len(q) > 3 || q == "red" || q == "rot" || q == "roj" || q == "dur") && strings.HasPrefix(w, q) {
				return true
			}
		}
		if slices.Contains(genera(), w) {
			return true
		}
	}
	return false
}

// genera are the first words of the Latin names the table knows, folded.
var genera = sync.OnceValue(func() []string {
	var out []string
	add := func(latin string) {
		genus, _, _ := strings.Cut(folded(latin), " ")
		out = append(out, genus)
	}
	for _, e := range embedded().entries {
		add(e.wood.LatinName)
	}
	for _, a := range embedded().aliases {
		if a.Language == "la" {
			add(a.Name)
		}
	}
	return out
})

// foreignLetter is the first letter of the text that is not Latin and the name of its script, or 0.
func foreignLetter(text string) (rune, string) {
	for _, r := range text {
		if !unicode.IsLetter(r) || unicode.Is(unicode.Latin, r) || unicode.Is(unicode.Lm, r) {
			continue
		}
		for _, script := range slices.Sorted(maps.Keys(unicode.Scripts)) {
			if unicode.Is(unicode.Scripts[script], r) {
				return r, script
			}
		}
		return r, "of no known script"
	}
	return 0, ""
}

// lookAlikeScripts have letters that pass for Latin ones.
var lookAlikeScripts = []*unicode.RangeTable{unicode.Cyrillic, unicode.Greek, unicode.Armenian, unicode.Cherokee, unicode.Coptic, unicode.Lisu}

// disguised reports whether a name has Latin letters and such as pass for them: a slip of the keyboard, or a trick. A name in another
// script throughout, or beside one that nobody takes for Latin, is a name.
func disguised(name string) bool {
	in := func(tables ...*unicode.RangeTable) bool {
		return strings.ContainsFunc(name, func(r rune) bool { return unicode.IsLetter(r) && unicode.In(r, tables...) })
	}
	return in(unicode.Latin) && in(lookAlikeScripts...)
}

// lookAlikes are the letters of other scripts most often met in Latin words. They serve to find the nearest names only.
var lookAlikes = strings.NewReplacer("а", "a", "в", "b", "е", "e", "һ", "h", "і", "i", "ј", "j", "к", "k", "м", "m", "н", "h", "о", "o",
	"р", "p", "с", "c", "ѕ", "s", "т", "t", "у", "y", "х", "x", "α", "a", "ε", "e", "ι", "i", "κ", "k", "ν", "v", "ο", "o", "ρ", "p", "τ", "t", "υ", "u", "χ", "x")

func latinised(text string) string { return lookAlikes.Replace(folded(text)) }

const (
	nearestShown = 3
	longestName  = 80  // runes; what is longer is a sentence, and nothing is near it
	longestOwn   = 200 // bytes of an own wood's name; its id is then short enough to be looked up
	longestText  = 500 // bytes, notes in brackets included; nothing is looked for in what is longer
)

// nearest are the ids of the woods with a name at most a third of its letters (and never more than 4) away, nearest first.
func (x *index) nearest(text string) []string {
	want := key(text)
	n := len([]rune(want))
	if n > longestName {
		return nil
	}
	reach := min(4, max(1, n/3))
	type hit struct {
		id       string
		distance int
	}
	var hits []hit
	for _, l := range x.labels {
		if d := levenshtein.ComputeDistance(want, l.key); d <= reach {
			hits = append(hits, hit{l.id, d})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return cmp.Compare(a.distance, b.distance) })
	var ids []string
	for _, h := range hits {
		if !slices.Contains(ids, h.id) && len(ids) < nearestShown {
			ids = append(ids, h.id)
		}
	}
	return ids
}
