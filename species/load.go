package species

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// The tables as published. woods.csv, samples.csv: one value a row. The rest: one wood a row.
var (
	//go:embed names.csv
	namesCSV []byte
	//go:embed woods.csv
	woodsCSV []byte
	//go:embed samples.csv
	samplesCSV []byte
	//go:embed green.csv
	greenCSV []byte
	//go:embed intersection.csv
	intersectionCSV []byte
	//go:embed shrinkage.csv
	shrinkageCSV []byte
	//go:embed elastic.csv
	elasticCSV []byte
	//go:embed scatter.csv
	scatterCSV []byte
)

// general is the row of a table that stands for every wood without a row of its own.
const general = "general"

// A record is one row of an embedded table, by column name.
type record map[string]string

// figure is the value in the column, with the row's status and source.
func (r record) figure(column string) (Figure, error) {
	v, err := r.number(column)
	if err != nil {
		return Figure{}, err
	}
	status := Status(r["status"])
	if !slices.Contains([]Status{Read, Memory, Derived, Assumed}, status) {
		return Figure{}, fmt.Errorf("status %q is none of read, memory, derived, assumed", status)
	}
	if r["source"] == "" {
		return Figure{}, fmt.Errorf("%s has no source", column)
	}
	return Figure{v, status, r["source"]}, nil
}

// growth is how the row's wood grows; nothing where the row says nothing.
func (r record) growth() (Growth, error) {
	g := Growth{Stand(r["growth"]), Status(r["growth_status"]), r["growth_source"]}
	switch {
	case g == Growth{}:
		return g, nil
	case !slices.Contains([]Stand{Plantation, NaturalStand, Bamboo}, g.Stand):
		return g, fmt.Errorf("growth %q is none of plantation, natural stand, bamboo", g.Stand)
	case !slices.Contains([]Status{Read, Memory}, g.Status):
		return g, fmt.Errorf("status %q of growth is neither read nor memory", g.Status)
	case g.Source == "":
		return g, fmt.Errorf("growth has no source")
	}
	return g, nil
}

// number is the value in the column; anything but a finite number above 0 is an error.
func (r record) number(column string) (float64, error) {
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s %q is not a number above 0", column, r[column])
	}
	return v, nil
}

// readTable calls row for each row of an embedded table whose header must be exactly columns.
func readTable(name string, data []byte, columns []string, row func(record) error) error {
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(rows) == 0 || !slices.Equal(rows[0], columns) {
		return fmt.Errorf("%s: the header is not %q", name, columns)
	}
	for n, cells := range rows[1:] {
		r := make(record, len(columns))
		for i, c := range columns {
			r[c] = cells[i]
		}
		if err := row(r); err != nil {
			return fmt.Errorf("%s, row %d: %w", name, n+2, err)
		}
	}
	return nil
}

type property struct {
	name, label, unit string
	of                func(*Wood) *Figure
}

// properties are the figures of woods.csv and samples.csv, and where their values go.
var properties = []property{
	{"specific_gravity", "specific gravity", "", func(w *Wood) *Figure { return &w.SpecificGravity }},
	{"density_kg_m3", "density", "kg/m³", func(w *Wood) *Figure { return &w.DensityKgM3 }},
	{"modulus_gpa", "modulus", "GPa", func(w *Wood) *Figure { return &w.ModulusGPa }},
	{"bending_strength_mpa", "bending strength", "MPa", func(w *Wood) *Figure { return &w.BendingStrengthMPa }},
	{"compression_mpa", "compression strength", "MPa", func(w *Wood) *Figure { return &w.CompressionMPa }},
	{"shear_mpa", "shear strength", "MPa", func(w *Wood) *Figure { return &w.ShearMPa }},
	{"hardness_n", "hardness", "N", func(w *Wood) *Figure { return &w.HardnessN }},
	{"rotation_low_years", "shortest rotation", "years", func(w *Wood) *Figure { return &w.RotationLowYears }},
	{"rotation_high_years", "longest rotation", "years", func(w *Wood) *Figure { return &w.RotationHighYears }},
}

// propertyOf is the property of that name.
func propertyOf(name string) (property, bool) {
	i := slices.IndexFunc(properties, func(p property) bool { return p.name == name })
	if i < 0 {
		return property{}, false
	}
	return properties[i], true
}

// figureOf is the wood's figure of that name in the embedded tables, or nil.
func figureOf(w *Wood, name string) *Figure {
	if p, ok := propertyOf(name); ok {
		return p.of(w)
	}
	return nil
}

// dryingFigures are those that Eq. 5-3 moves with moisture.
var dryingFigures = []string{"modulus_gpa", "bending_strength_mpa", "compression_mpa", "shear_mpa", "hardness_n"}

// An entry is a wood with everything that its figures as used follow from.
type entry struct {
	wood            Wood // as published, and the user's own figures
	kind            string
	dryOverGreen    map[string]float64 // by figure: value at 12 % over green value; missing: not published
	intersectionPct Figure             // moisture below which drying changes strength
	volumeShrinkage Figure             // % from green to oven-dry; may be unknown
	crossRatio      Figure             // E_T/E_L
}

// A Sample is another published (or recalled) value of one figure of one wood, beside the one the table holds.
type Sample struct {
	Wood      string // id
	Figure    string // as in the table's figure names: "modulus_gpa", "bending_strength_mpa" ...
	Low, High float64
	Status    Status
	Source    string
}

// A library is everything embedded, read once.
type library struct {
	entries []entry
	// Stand-ins for woods without published values, means over hardwoods.
	meanDryOverGreen map[string]float64
	meanCrossRatio   Figure
	unheardOf        entry // what is assumed of a wood about which nothing is published
	samples          []Sample
	aliases          []Alias
}

func load() (*library, error) {
	lib := &library{meanDryOverGreen: map[string]float64{}}
	byID := map[string]*entry{}
	find := func(id string) (*entry, error) {
		if e := byID[id]; e != nil {
			return e, nil
		}
		return nil, fmt.Errorf("wood %q is not in names.csv", id)
	}
	err := readTable("names.csv", namesCSV, []string{"id", "common_name", "latin_name", "kind", "not_to_confuse", "notes", "growth", "growth_status", "growth_source"},
		func(r record) error {
			growth, err := r.growth()
			if err != nil {
				return err
			}
			lib.entries = append(lib.entries, entry{kind: r["kind"], dryOverGreen: map[string]float64{}, wood: Wood{
				ID: r["id"], CommonName: r["common_name"], LatinName: r["latin_name"],
				NotToConfuse: r["not_to_confuse"], Notes: r["notes"], Growth: growth}})
			return nil
		})
	if err != nil {
		return nil, err
	}
	for i := range lib.entries {
		byID[lib.entries[i].wood.ID] = &lib.entries[i]
	}

	err = readTable("woods.csv", woodsCSV, []string{"id", "figure", "value", "status", "source", "note"},
		func(r record) error {
			e, err := find(r["id"])
			if err != nil {
				return err
			}
			to := figureOf(&e.wood, r["figure"])
			if to == nil {
				return fmt.Errorf("unknown figure %q", r["figure"])
			}
			if to.Known() {
				return fmt.Errorf("%s has %s twice", r["id"], r["figure"])
			}
			*to, err = r.figure("value")
			if r["note"] != "" {
				to.Source += " (" + r["note"] + ")"
			}
			return err
		})
	if err != nil {
		return nil, err
	}

	sums, n := map[string]float64{}, 0
	err = readTable("green.csv", greenCSV, append(append([]string{"id", "specific_gravity"}, dryingFigures...),
		"status", "source", "in_hardwood_mean"), func(r record) error {
		e, err := find(r["id"])
		if err != nil {
			return err
		}
		for _, name := range dryingFigures {
			green, err := r.figure(name)
			if err != nil {
				return err
			}
			dry := figureOf(&e.wood, name)
			if !dry.Known() {
				return fmt.Errorf("%s has a green %s but none at 12 %%", r["id"], name)
			}
			e.dryOverGreen[name] = dry.Value / green.Value
		}
		if r["in_hardwood_mean"] == "yes" {
			n++
			for _, name := range dryingFigures {
				sums[name] += e.dryOverGreen[name]
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, name := range dryingFigures {
		lib.meanDryOverGreen[name] = sums[name] / float64(n)
	}

	perWood := func(name string, data []byte, columns []string, column string, to func(*entry) *Figure) error {
		var rest Figure
		err := readTable(name, data, columns, func(r record) error {
			f, err := r.figure(column)
			if err != nil {
				return err
			}
			if r["id"] == general {
				rest = f
				return nil
			}
			e, err := find(r["id"])
			if err != nil {
				return err
			}
			*to(e) = f
			return nil
		})
		if rest.Known() {
			rest.Status = Assumed // a general value, read though it is, is an assumption about this wood
			rest.Source += ", general value for want of one of this wood"
			for i := range lib.entries {
				if f := to(&lib.entries[i]); !f.Known() {
					*f = rest
				}
			}
			*to(&lib.unheardOf) = rest
		}
		return err
	}
	if err := perWood("intersection.csv", intersectionCSV, []string{"id", "moisture_pct", "status", "source"},
		"moisture_pct", func(e *entry) *Figure { return &e.intersectionPct }); err != nil {
		return nil, err
	}
	if err := perWood("scatter.csv", scatterCSV, []string{"id", "modulus_cv_pct", "status", "source"},
		"modulus_cv_pct", func(e *entry) *Figure { return &e.wood.ModulusCVPct }); err != nil {
		return nil, err
	}
	if err := perWood("shrinkage.csv", shrinkageCSV, []string{"id", "radial_pct", "tangential_pct", "volume_pct", "status",
		"source", "note"}, "volume_pct", func(e *entry) *Figure { return &e.volumeShrinkage }); err != nil {
		return nil, err
	}
	elastic := []string{"id", "et_over_el", "er_over_el", "status", "source", "in_hardwood_mean", "note"}
	if err := perWood("elastic.csv", elasticCSV, elastic, "et_over_el",
		func(e *entry) *Figure { return &e.crossRatio }); err != nil {
		return nil, err
	}
	sum, n := 0.0, 0
	if err := readTable("elastic.csv", elasticCSV, elastic, func(r record) error {
		tangential, err := r.number("et_over_el")
		if err != nil {
			return err
		}
		if radial, err := r.number("er_over_el"); err != nil || radial < tangential {
			return fmt.Errorf("E_R/E_L %q is not a number above E_T/E_L", r["er_over_el"])
		}
		if r["in_hardwood_mean"] == "yes" {
			sum, n = sum+tangential, n+1
		}
		return nil
	}); err != nil {
		return nil, err
	}
	lib.meanCrossRatio = Figure{sum / float64(n), Assumed,
		fmt.Sprintf("mean of the %d hardwoods of Wood Handbook FPL-GTR-190 Table 5-1 without balsa", n)}

	err = readTable("samples.csv", samplesCSV, []string{"id", "figure", "low", "high", "status", "source"},
		func(r record) error {
			low, err := r.figure("low")
			if err != nil {
				return err
			}
			high, err := r.number("high")
			if err != nil {
				return err
			}
			e, err := find(r["id"])
			if err != nil {
				return err
			}
			if f := figureOf(&e.wood, r["figure"]); f == nil || !f.Known() || high < low.Value {
				return fmt.Errorf("%s of %s: the table has no such figure, or the range is reversed", r["figure"], r["id"])
			}
			lib.samples = append(lib.samples, Sample{r["id"], r["figure"], low.Value, high, low.Status, low.Source})
			return nil
		})
	if err != nil {
		return nil, err
	}
	lib.aliases, err = loadAliases(func(id string) bool { return byID[id] != nil })
	return lib, err
}
