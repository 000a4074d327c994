package book

import (
	"cmp"
	"fmt"
	"slices"

	"stavewright/optimize/core"
)

// check holds the geometry of a model together and places what is wrong with it.
func (m *modelReader) check(i int) {
	md := &m.job.Models[i]
	b := &core.Board{
		Stations: md.Stations, Positions: corePositions(md), Layers: md.Layers,
		GlueGM2: m.job.Shop.GlueGM2, Correlation: m.job.Shop.Correlation,
	}
	if len(md.Stations) > 0 {
		b.MeasureAtMM = md.Stations[0].FromTipMM // span and measuring station have been checked in their own cells
	}
	problems := b.Check()
	if slices.ContainsFunc(problems, func(p core.Problem) bool { return p.Kind == core.AtStation && p.Index >= 0 }) {
		// Stations out of order hide what else is wrong: look again with the same stations in order.
		mended := *b
		mended.Stations = slices.SortedStableFunc(slices.Values(b.Stations), func(a, b core.Station) int { return cmp.Compare(a.FromTipMM, b.FromTipMM) })
		mended.Stations = slices.CompactFunc(mended.Stations, func(a, b core.Station) bool { return a.FromTipMM == b.FromTipMM })
		mended.MeasureAtMM = mended.Stations[0].FromTipMM
		problems = slices.DeleteFunc(problems, func(p core.Problem) bool { return p.Kind != core.AtStation })
		for _, p := range mended.Check() {
			if p.Kind != core.AtStation {
				problems = append(problems, p)
			}
		}
	}
	for _, p := range problems {
		m.place(i, md, p)
	}
}

// place turns a fault of the board into a finding in the cell that it comes from.
func (m *modelReader) place(i int, md *Model, p core.Problem) {
	text := fmt.Sprintf("model %q: %s", md.Name, p.Text)
	at := func(rows int, column string) {
		rec := m.used[i][rows][p.Index]
		m.fault(rec.t.schema.Name, rec.row, rec.at(column).col, text, "")
	}
	switch {
	case p.Kind == core.AtStation && p.Index >= 0:
		at(stationRows, "From tip")
	case p.Kind == core.AtStation && !m.lame[i] && m.hasRows("Stations"):
		m.fault("Stations", 0, 0, text, "add its rows")
	case p.Kind == core.AtPosition && m.broken[i]: // what is missing may be the faulty row
	case p.Kind == core.AtPosition && p.Index >= 0:
		at(positionRows, "Position")
	case p.Kind == core.AtPosition && len(m.used[i][positionRows]) > 0:
		rec := m.used[i][positionRows][len(m.used[i][positionRows])-1]
		m.fault("Positions", rec.row, rec.at("Strips per side").col, text, "add strips or make them wider")
	case p.Kind == core.AtPosition && m.hasRows("Positions"):
		m.fault("Positions", 0, 0, text, "add its rows")
	case p.Kind == core.AtLayer:
		at(layerRows, "Layer")
	}
}

// hasRows tells whether a sheet has been filled in at all; one that has not is reported as a whole.
func (m *modelReader) hasRows(sheet string) bool { return len(m.t[sheet].records) > 0 }

func corePositions(md *Model) []core.Position {
	ps := make([]core.Position, len(md.Positions))
	for i, p := range md.Positions {
		ps[i] = p.Position
	}
	return ps
}
