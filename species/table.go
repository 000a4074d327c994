package species

import (
	"errors"
	"fmt"
	"slices"
	"sync"
)

// A Table is a set of woods and the names they go by. It never changes: the methods that adjust or extend it return
// another. A Table is safe for concurrent use.
type Table struct {
	lib     *library
	entries []entry
	woods   []Wood // what the table shows: the entries' figures, as published or as used
	names   *index
	cond    *Conditions // nil: as published
}

var embedded = sync.OnceValue(func() *library {
	lib, err := load()
	if err != nil {
		panic("embedded wood table: " + err.Error()) // a fault of this program, and one its tests hold
	}
	return lib
})

var published = sync.OnceValue(func() *Table {
	lib := embedded()
	return newTable(lib, lib.entries, newIndex(lib), nil)
})

// Default is the embedded table, its figures as published: at 12 % moisture, moduli from short bending tests.
func Default() *Table { return published() }

func newTable(lib *library, entries []entry, names *index, cond *Conditions) *Table {
	t := &Table{lib: lib, entries: entries, names: names, cond: cond, woods: make([]Wood, len(entries))}
	c := Standard
	if cond != nil {
		c = *cond
	}
	for i := range entries {
		w := entries[i].wood
		if cond != nil {
			w = entries[i].asUsed(c, lib)
		}
		w.CrossGrainGPa = entries[i].crossGrain(w, cond == nil, c, lib)
		w.SpecificGravity = ownGravity(w, c)
		t.woods[i] = w
	}
	return t
}

// Woods are the table's woods, in its order: the embedded ones first, then the user's in the order they were added.
func (t *Table) Woods() []Wood { return slices.Clone(t.woods) }

// Wood is the wood of that id.
func (t *Table) Wood(id string) (Wood, bool) {
	if i := indexOf(t.entries, id); i >= 0 {
		return t.woods[i], true
	}
	return Wood{}, false
}

// indexOf is the index of the wood of that id, or -1.
func indexOf(entries []entry, id string) int {
	return slices.IndexFunc(entries, func(e entry) bool { return e.wood.ID == id })
}

// Conditions are those the table's figures stand for; used is false when they stand as published, and then the
// conditions are those of publication: 12 % and no raise.
func (t *Table) Conditions() (c Conditions, used bool) {
	if t.cond == nil {
		return Conditions{MoisturePct: tableMoisturePct}, false
	}
	return *t.cond, true
}

// As is the table with its figures as used: moved from 12 % to the shop's moisture, and moduli raised from those of short
// bending tests to true ones. It starts from the published figures whatever the table's own conditions are. The user's own figures
// are taken as they are. An error says which condition is outside its range.
func (t *Table) As(c Conditions) (*Table, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	return newTable(t.lib, t.entries, t.names, &c), nil
}

// Samples are the other values found for the wood's figures, which show how far published samples disagree. The
// user's woods have none.
func (t *Table) Samples(id string) []Sample {
	var out []Sample
	for _, s := range t.lib.samples {
		if s.Wood == id {
			out = append(out, s)
		}
	}
	return out
}

// A RowError is what is wrong with one of the rows given to [Table.With] or [Table.WithTests].
type RowError struct {
	Row     int    // index of the row
	Column  string // the job book's header of the cell at fault: "Modulus GPa"
	Problem string // what is there and why it cannot stand
	Advice  string // what to write instead
}

// Error is problem and advice.
func (e *RowError) Error() string {
	return fmt.Sprintf("row %d, %s: %s; %s", e.Row+1, e.Column, e.Problem, e.Advice)
}

// RowErrors takes apart an error of [Table.With] or [Table.WithTests], in the order of the rows.
func RowErrors(err error) []*RowError {
	var many interface{ Unwrap() []error }
	if errors.As(err, &many) {
		var out []*RowError
		for _, e := range many.Unwrap() {
			out = append(out, RowErrors(e)...)
		}
		return out
	}
	var row *RowError
	if errors.As(err, &row) {
		return []*RowError{row}
	}
	return nil
}

// joined is the error of all the rows, or nil.
func joined(rows []*RowError) error {
	errs := make([]error, len(rows))
	for i, r := range rows {
		errs[i] = r
	}
	return errors.Join(errs...)
}
