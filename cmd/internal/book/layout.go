package book

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
)

// layout lays runs of equal strips out on a board, position by position from the centre line outward. wood turns a
// run's wood into an index of the board's woods.
//
// A pair of strips of a centre-line block counts as two, the strip astride the centre line as one.
func layout(b *core.Board, runs []Run, wood func(id string) (int, bool)) (core.Layout, error) {
	strips := b.Strips()
	l := make(core.Layout, 0, len(strips))
	for i, p := range b.Positions {
		var mine []core.Strip
		for _, s := range strips {
			if s.Position == i {
				mine = append(mine, s)
			}
		}
		total := 0
		for _, run := range runs {
			if run.Position != i {
				continue
			}
			w, ok := wood(run.Wood)
			if !ok {
				return nil, fmt.Errorf("position %q: wood %q is not one of this board's", p.Name, brief(run.Wood))
			}
			total += run.Strips
			if total > p.Strips {
				return nil, fmt.Errorf("position %q holds %d strips, but %d are given", p.Name, p.Strips, total)
			}
			for left := run.Strips; left > 0; {
				if mine[0].PerSide > left {
					return nil, fmt.Errorf("position %q: the %d strips of %s cannot lie alike left and right", p.Name, run.Strips, run.Wood)
				}
				left -= mine[0].PerSide
				mine = mine[1:]
				l = append(l, w)
			}
		}
		if total != p.Strips {
			return nil, fmt.Errorf("position %q holds %d strips, but %d are given", p.Name, p.Strips, total)
		}
	}
	return l, nil
}

// maxResultBytes is what a result document may be at most; a front of ten thousand points stays below.
const maxResultBytes = 512 << 20

// A resultPoint is a point of a result document, as far as layouts go.
type resultPoint struct {
	ID            int      `json:"id"`
	ProfileFactor *float64 `json:"profile_factor"`
	Strips        []struct {
		Position string `json:"position"`
		Wood     string `json:"wood"`
		PerSide  int    `json:"per_side"`
	} `json:"strips"`
	Stations []struct {
		FromTipMM   float64 `json:"from_tip_mm"`
		ThicknessMM float64 `json:"core_thickness_mm"`
	} `json:"stations"`
}

// resultLayouts are the layouts of a result document by what they are asked for: the points of a front or of mixes and the one layout of a check by
// their number, the three of a match by name. A season's model has one, number 1.
type resultLayouts struct {
	Model     *string       `json:"model"`
	Points    []resultPoint `json:"points"`
	Point     *resultPoint  `json:"point"`
	Reference resultOr      `json:"reference"` // of a match; a front's is its strips alone
	Best      *resultPoint  `json:"best"`
	Trimmed   *resultPoint  `json:"trimmed"`
	Models    []struct {
		Model string       `json:"model"`
		Point *resultPoint `json:"point"`
	} `json:"models"`
}

// resultOr is a point, or nothing where there is something else in its place.
type resultOr struct{ *resultPoint }

func (r *resultOr) UnmarshalJSON(data []byte) error {
	r.resultPoint = nil // of two of the name, the last holds
	if !bytes.HasPrefix(bytes.TrimSpace(data), []byte("{")) {
		return nil
	}
	r.resultPoint = new(resultPoint)
	return json.Unmarshal(data, r.resultPoint)
}

// The names of a match's layouts.
const (
	namedReference = "reference"
	namedBest      = "best"
	namedTrimmed   = "trimmed"
)

// NamedLayouts are the names of the layouts of a match.
func NamedLayouts() []string { return []string{namedReference, namedBest, namedTrimmed} }

// ReadLayout reads one layout of a result document that --json wrote for the same board: a point of front or mixes or the layout of check or season by its
// number, one of match by its name (reference, best, trimmed). The program that it gives back is p with the profile that the layout was found for.
// The error says what does not fit: no such point, another model, a position or wood that this board has not, strips that do not fill it, a profile of
// other stations.
func ReadLayout(r io.Reader, id string, p *optimize.Program) (*optimize.Program, core.Layout, error) {
	var doc resultLayouts
	limited := &io.LimitedReader{R: r, N: maxResultBytes}
	in := json.NewDecoder(limited)
	err := in.Decode(&doc)
	if err == nil {
		if _, err = in.Token(); err == io.EOF {
			err = nil
		} else if err == nil {
			err = errors.New("there is more behind its end")
		}
	}
	if err != nil {
		if limited.N <= 0 {
			return nil, nil, fmt.Errorf("the result is larger than %d MB", maxResultBytes>>20)
		}
		if unfit := (*json.UnmarshalTypeError)(nil); errors.As(err, &unfit) {
			unfit.Value = brief(unfit.Value) // of a number, all its digits
		}
		return nil, nil, fmt.Errorf("this is no result that --json writes: %w", err)
	}
	pt, err := doc.find(id, p.Model)
	if err != nil {
		return nil, nil, err
	}
	l, err := pt.layout(p.Board)
	if err == nil {
		p, err = pt.profile(p, id == namedTrimmed)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("point %s: %w", id, err)
	}
	return p, l, nil
}

// find is the point of a name or number.
func (d *resultLayouts) find(id, model string) (*resultPoint, error) {
	var names []string
	points := map[string]*resultPoint{}
	add := func(name string, pt *resultPoint) error {
		if pt == nil {
			return nil
		}
		if points[name] != nil && name == id {
			return fmt.Errorf("the result has point %s twice", id)
		}
		names = append(names, name)
		points[name] = pt
		return nil
	}
	if d.Model == nil && len(d.Models) > 0 { // of a season
		var models []string
		for i := range d.Models {
			m := &d.Models[i]
			models = append(models, fmt.Sprintf("%q", brief(m.Model)))
			if key(m.Model) != key(model) || m.Point == nil {
				continue
			}
			if err := add(strconv.Itoa(m.Point.ID), m.Point); err != nil {
				return nil, err
			}
		}
		if len(names) == 0 {
			return nil, fmt.Errorf("the result is of %s, not of %q", shortList(models), model)
		}
	}
	for i := range d.Points {
		if err := add(strconv.Itoa(d.Points[i].ID), &d.Points[i]); err != nil {
			return nil, err
		}
	}
	if d.Point != nil {
		if err := add(strconv.Itoa(d.Point.ID), d.Point); err != nil {
			return nil, err
		}
	}
	for _, named := range []struct {
		name string
		pt   *resultPoint
	}{{namedReference, d.Reference.resultPoint}, {namedBest, d.Best}, {namedTrimmed, d.Trimmed}} {
		if err := add(named.name, named.pt); err != nil {
			return nil, err
		}
	}
	switch {
	case len(names) == 0 || d.Model == nil && len(d.Models) == 0:
		return nil, errors.New("this is no result that --json writes: it has no points")
	case d.Model != nil && key(*d.Model) != key(model):
		return nil, fmt.Errorf("the result is of model %q, not %q", brief(*d.Model), model)
	case points[id] == nil:
		return nil, fmt.Errorf("the result has no point %s; its points are %s", brief(id), shortList(names))
	}
	return points[id], nil
}

// layout lays the strips of a point out on a board.
func (pt *resultPoint) layout(b *core.Board) (core.Layout, error) {
	runs := make([]Run, len(pt.Strips))
	for i, s := range pt.Strips {
		k := slices.IndexFunc(b.Positions, func(o core.Position) bool { return key(o.Name) == key(s.Position) })
		if k < 0 {
			return nil, fmt.Errorf("this board has no position %q", brief(s.Position))
		}
		if s.PerSide < 1 {
			return nil, fmt.Errorf("position %q has a row of %d strips", brief(s.Position), s.PerSide)
		}
		runs[i] = Run{Position: k, Wood: s.Wood, Strips: s.PerSide}
	}
	return layout(b, runs, woodIndex(b))
}

// profile is the program with the profile that the point was found for: that of the book times a factor, or one of its own.
func (pt *resultPoint) profile(p *optimize.Program, own bool) (*optimize.Program, error) {
	factor := 1.0
	if pt.ProfileFactor != nil {
		factor = *pt.ProfileFactor
	}
	if _, err := ProfileFactors(factor, factor, 1); err != nil {
		return nil, err
	}
	if factor != 1 {
		p = p.Scaled(factor)
	}
	if !own {
		return p, nil
	}
	q, b := *p, *p.Board
	q.Board, b.Stations = &b, slices.Clone(b.Stations)
	if len(pt.Stations) != len(b.Stations) {
		return nil, fmt.Errorf("its profile has %d stations, and this board %d", len(pt.Stations), len(b.Stations))
	}
	for i, s := range pt.Stations {
		// Documents give places to a thousandth of a millimetre or finer.
		if at := b.Stations[i].FromTipMM; !(math.Abs(s.FromTipMM-at) <= 0.001) {
			return nil, fmt.Errorf("its profile has a station at %v mm where this board has one at %v mm", s.FromTipMM, at)
		}
		b.Stations[i].ThicknessMM = s.ThicknessMM
	}
	if _, err := b.Prepare(); err != nil {
		return nil, err
	}
	return &q, nil
}

// brief is a name of the document as a message repeats it.
func brief(name string) string {
	if r := []rune(name); len(r) > longestName {
		return string(r[:longestName]) + "…"
	}
	return name
}

// shortList names a few things, the ends of many.
func shortList(names []string) string {
	if n := len(names); n > 12 {
		return names[0] + " to " + names[n-1]
	}
	return strings.Join(names, ", ")
}

func woodIndex(b *core.Board) func(id string) (int, bool) {
	return func(id string) (int, bool) {
		for i := range b.Woods {
			if b.Woods[i].ID == id {
				return i, true
			}
		}
		return 0, false
	}
}
