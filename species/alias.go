package species

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"
)

//go:embed aliases.csv
var aliasesCSV []byte

// Meaning says how a trade name stands to the woods of the table.
type Meaning string

// The meanings of an alias.
const (
	Clear     Meaning = "wood"      // it means the one wood named
	Ambiguous Meaning = "ambiguous" // it is used for more than one wood, of which the table holds those named
	Absent    Meaning = "absent"    // it means a wood that the table does not hold
)

// An Alias is a trade name beside a wood's id, common and Latin name.
type Alias struct {
	Name     string
	Language string // en, de, fr, it, es; la for botanical synonyms
	Meaning  Meaning
	Woods    []string // ids
	Note     string   // why it is ambiguous, or what it means when the table does not hold it
}

// Aliases are the embedded trade names, common practice throughout.
func Aliases() []Alias { return slices.Clone(embedded().aliases) }

func loadAliases(known func(id string) bool) ([]Alias, error) {
	var out []Alias
	err := readTable("aliases.csv", aliasesCSV, []string{"alias", "language", "meaning", "woods", "note"}, func(r record) error {
		a := Alias{Name: r["alias"], Language: r["language"], Meaning: Meaning(r["meaning"]), Woods: strings.Fields(r["woods"]), Note: r["note"]}
		if !slices.Contains([]string{"en", "de", "fr", "it", "es", "la"}, a.Language) {
			return fmt.Errorf("language %q", a.Language)
		}
		ok := false
		switch a.Meaning {
		case Clear:
			ok = len(a.Woods) == 1
		case Ambiguous:
			ok = len(a.Woods) > 0 && a.Note != ""
		case Absent:
			ok = len(a.Woods) == 0 && a.Note != ""
		}
		if !ok {
			return fmt.Errorf("alias %q: meaning %q does not go with woods %q and note %q", a.Name, a.Meaning, a.Woods, a.Note)
		}
		for _, id := range a.Woods {
			if !known(id) {
				return fmt.Errorf("alias %q: wood %q is not in names.csv", a.Name, id)
			}
		}
		out = append(out, a)
		return nil
	})
	return out, err
}

// An index finds woods by name.
type index struct {
	targets map[string]target // by key
	labels  []label           // every name of a wood, for the nearest
}

// A target is what a key means.
type target struct {
	meaning Meaning
	ids     []string
	note    string
}

type label struct {
	key, id string
}

// newIndex is the index of the embedded woods. Names of the table come before aliases; that no two
// of them contradict each other is held by a test.
func newIndex(lib *library) *index {
	x := &index{targets: map[string]target{}}
	for _, e := range lib.entries {
		for _, name := range []string{e.wood.ID, e.wood.CommonName, e.wood.LatinName} {
			x.add(name, target{meaning: Clear, ids: []string{e.wood.ID}})
		}
	}
	for _, a := range lib.aliases {
		if _, taken := x.targets[key(a.Name)]; !taken {
			x.add(a.Name, target{a.Meaning, a.Woods, a.Note})
		}
	}
	return x
}

func (x *index) add(name string, t target) {
	x.targets[key(name)] = t
	if t.meaning == Clear {
		x.labels = append(x.labels, label{key(name), t.ids[0]})
	}
}

// own adds a user's wood, or a user's name for a wood. It takes the place of an alias of that name.
func (x *index) own(name string, w Wood) {
	t := target{meaning: Clear, ids: []string{w.ID}}
	x.add(visible(name), t)
	for _, also := range []string{w.ID, w.LatinName} {
		old, taken := x.targets[key(also)]
		if key(also) != "" && (!taken || old.meaning == Absent) {
			x.add(also, t)
		}
	}
}

func (x *index) clone() *index {
	return &index{targets: maps.Clone(x.targets), labels: slices.Clone(x.labels)}
}
