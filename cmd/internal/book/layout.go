package book

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
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

// ReadLayout reads the layout of one point of a document written by front --json, for the same board. The error says what
// does not fit: no such point, another model, a position or wood that this board has not, strips that do not fill it.
func ReadLayout(r io.Reader, id int, p *optimize.Program) (core.Layout, error) {
	var doc struct {
		Model  *string `json:"model"`
		Points []struct {
			ID            int      `json:"id"`
			ProfileFactor *float64 `json:"profile_factor"`
			Strips        []struct {
				Position string `json:"position"`
				Wood     string `json:"wood"`
				PerSide  int    `json:"per_side"`
			} `json:"strips"`
		} `json:"points"`
	}
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
			return nil, fmt.Errorf("the result is larger than %d MB", maxResultBytes>>20)
		}
		if unfit := (*json.UnmarshalTypeError)(nil); errors.As(err, &unfit) {
			unfit.Value = brief(unfit.Value) // of a number, all its digits
		}
		return nil, fmt.Errorf("this is no result of front --json: %w", err)
	}
	if doc.Model == nil || len(doc.Points) == 0 {
		return nil, fmt.Errorf("this is no result of front --json: it has no points")
	}
	if key(*doc.Model) != key(p.Model) {
		return nil, fmt.Errorf("the result is of model %q, not %q", brief(*doc.Model), p.Model)
	}
	at := -1
	for i, pt := range doc.Points {
		if pt.ID == id {
			if at >= 0 {
				return nil, fmt.Errorf("the result has point %d twice", id)
			}
			at = i
		}
	}
	if at < 0 {
		return nil, fmt.Errorf("the result has no point %d; its points are %s", id, idsOf(len(doc.Points), func(i int) int { return doc.Points[i].ID }))
	}
	pt := doc.Points[at]
	if pt.ProfileFactor != nil && *pt.ProfileFactor != 1 {
		return nil, fmt.Errorf("point %d has the profile of this board times %v; only points of the profile as it is can be checked", id, *pt.ProfileFactor)
	}
	runs := make([]Run, len(pt.Strips))
	for i, s := range pt.Strips {
		k := slices.IndexFunc(p.Board.Positions, func(o core.Position) bool { return key(o.Name) == key(s.Position) })
		if k < 0 {
			return nil, fmt.Errorf("point %d: model %q has no position %q", id, p.Model, brief(s.Position))
		}
		if s.PerSide < 1 {
			return nil, fmt.Errorf("point %d: position %q has a row of %d strips", id, brief(s.Position), s.PerSide)
		}
		runs[i] = Run{Position: k, Wood: s.Wood, Strips: s.PerSide}
	}
	l, err := layout(p.Board, runs, woodIndex(p.Board))
	if err != nil {
		return nil, fmt.Errorf("point %d: %w", id, err)
	}
	return l, nil
}

// brief is a name of the document as a message repeats it.
func brief(name string) string {
	if r := []rune(name); len(r) > longestName {
		return string(r[:longestName]) + "…"
	}
	return name
}

// idsOf names the ids of points shortly: all of a few, the ends of many.
func idsOf(n int, id func(int) int) string {
	ids := make([]int, n)
	for i := range ids {
		ids[i] = id(i)
	}
	if n > 12 {
		return fmt.Sprintf("%d to %d", slices.Min(ids), slices.Max(ids))
	}
	return strings.Trim(strings.Join(strings.Fields(fmt.Sprint(ids)), ", "), "[]")
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
