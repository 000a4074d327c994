package book

import (
	"fmt"
	"slices"
	"strings"

	"stavewright/species"
)

// woods makes the job's wood tables: the embedded one, overridden and extended by the Woods and Tests sheets, as
// published and as used at the shop's moisture. After a faulty row the rest goes on as well as it can, so that a fault
// of one figure does not make its wood unknown everywhere else.
func (r *reader) woods(job *Job, t map[string]*table) {
	table := species.Default()
	job.Published, job.Woods = table, table

	ownRows, own := r.ownWoods(t["Woods"])
	for range 3 { // as they are; with faulty rows reduced to their names; without those whose name is the fault
		grown, err := table.With(own...)
		if err == nil {
			table = grown
			break
		}
		var nameless []int
		for _, bad := range species.RowErrors(err) {
			r.rowError(ownRows[bad.Row], bad)
			own[bad.Row] = species.OwnWood{Wood: own[bad.Row].Wood, Latin: own[bad.Row].Latin}
			if bad.Column == "Wood" || bad.Column == "Latin name" {
				nameless = append(nameless, bad.Row)
			}
		}
		for _, i := range slices.Backward(slices.Compact(nameless)) {
			own, ownRows = slices.Delete(own, i, i+1), slices.Delete(ownRows, i, i+1)
		}
	}
	for i := range own {
		if w, err := table.Lookup(own[i].Wood); err == nil {
			job.listed = append(job.listed, w.ID)
		}
	}

	testRows, tests := bendingTests(t["Tests"])
	if len(tests) > 0 {
		tested, err := table.WithTests(tests...)
		if err != nil {
			for _, bad := range species.RowErrors(err) {
				r.rowError(testRows[bad.Row], bad)
			}
		} else {
			table = tested
		}
	}

	job.Published, job.Woods = table, table
	if used, err := table.As(job.Conditions); err == nil { // the Shop settings are bounded where they are read
		job.Woods = used
	} else {
		r.fault("Shop", 0, 0, sentence(err), "")
	}
	r.holdingReference(job, t["Shop"])
}

// rowError places a finding of the species package; its columns are called as the sheet's headers are.
func (r *reader) rowError(rec *record, bad *species.RowError) {
	for _, c := range rec.t.schema.Columns {
		if c.Header() == bad.Column {
			if e := rec.at(c.Name); !e.bad {
				e.bad = true
				r.fault(rec.t.schema.Name, rec.row, e.col, bad.Problem, bad.Advice)
			}
			return
		}
	}
	r.fault(rec.t.schema.Name, rec.row, 0, bad.Problem, bad.Advice)
}

// maxOwnWoods is more than anybody works with; each row is held against all names there are.
const maxOwnWoods = 1_000

// ownWoods are the rows of the Woods sheet; a second row for one wood is reported and left out.
func (r *reader) ownWoods(t *table) (rows []*record, own []species.OwnWood) {
	first := map[string]int{}
	for i := range t.records {
		rec := &t.records[i]
		if !rec.at("Wood").set {
			continue
		}
		if len(own) == maxOwnWoods || r.full() {
			r.fault(t.schema.Name, rec.row, 0, fmt.Sprintf("the sheet has more than %d woods", maxOwnWoods), "delete those that are not used")
			break
		}
		id := key(rec.text("Wood"))
		if w, err := species.Default().Lookup(rec.text("Wood")); err == nil {
			id = w.ID
		}
		if row, twice := first[id]; twice {
			r.faultAt(rec, "Wood", fmt.Sprintf("wood %q is there twice, first in row %d", rec.text("Wood"), row), "keep one row for a wood")
			continue
		}
		first[id] = rec.row
		figure := func(column string) *float64 {
			if e := rec.at(column); e.set {
				return &e.value
			}
			return nil
		}
		rows = append(rows, rec)
		own = append(own, species.OwnWood{
			Wood: rec.text("Wood"), Latin: rec.text("Latin name"), DensityKgM3: figure("Density"), ModulusGPa: figure("Modulus"),
			BendingStrengthMPa: figure("Bending strength"), HardnessN: figure("Hardness"), ShearMPa: figure("Shear"),
			ModulusCVPct: figure("CV of modulus"), RotationYears: figure("Rotation"), Source: rec.text("Source"),
		})
	}
	return rows, own
}

func bendingTests(t *table) (rows []*record, tests []species.BendingTest) {
	for i := range t.records {
		rec := &t.records[i]
		if !rec.at("Wood").set || !rec.good("Span", "Width", "Depth", "Slope", "Max load", "Density") {
			continue
		}
		rows = append(rows, rec)
		tests = append(tests, species.BendingTest{
			Wood: rec.text("Wood"), SpanMM: rec.value("Span"), WidthMM: rec.value("Width"), DepthMM: rec.value("Depth"),
			SlopeNPerMM: rec.value("Slope"), MaxLoadN: rec.value("Max load"), DensityKgM3: rec.value("Density"),
		})
	}
	return rows, tests
}

// holdingReference looks up the wood that is 100 % of screw holding.
func (r *reader) holdingReference(job *Job, t *table) {
	for i := range t.records {
		rec := &t.records[i]
		if !strings.EqualFold(key(rec.text("Setting")), "holding reference") || !rec.at("Value").set {
			continue
		}
		w, err := job.Woods.Lookup(rec.text("Value"))
		switch {
		case err != nil:
			problem, advice := nameFault(err)
			r.faultAt(rec, "Value", problem, advice)
			job.Shop.HoldingRef = defaultWood
		case !w.SpecificGravity.Known():
			r.faultAt(rec, "Value", "the specific gravity of "+w.ID+" is not known", "choose another wood, or give its density on the Woods sheet")
		default:
			job.Shop.HoldingRef = w.ID
		}
	}
}
