package report

import (
	"bytes"
	"encoding/json"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"stavewright/optimize"
	"stavewright/species"
)

func written(t testing.TB, write func(*bytes.Buffer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func frontDoc(t testing.TB, r *optimize.FrontResult) []byte {
	t.Helper()
	return written(t, func(b *bytes.Buffer) error { return FrontJSON(b, r) })
}

func TestJSONGolden(t *testing.T) {
	golden(t, "report-front.json", frontDoc(t, sampleFront(t)))
	golden(t, "report-infeasible.json", frontDoc(t, sampleInfeasible(t)))
	golden(t, "report-check.json", written(t, func(b *bytes.Buffer) error { return CheckJSON(b, sampleCheck(t)) }))
}

// keys are the keys of a JSON object in the order they stand.
func keys(t *testing.T, object []byte) []string {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(object))
	if _, err := d.Token(); err != nil {
		t.Fatal(err)
	}
	var out []string
	for d.More() {
		key, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		var skip json.RawMessage
		if err := d.Decode(&skip); err != nil {
			t.Fatal(err)
		}
		out = append(out, key.(string))
	}
	return out
}

// The shape is the documented one, and in its order; further keys stand behind.
func TestJSONShape(t *testing.T) {
	begins := func(what string, object []byte, want ...string) {
		t.Helper()
		if got := keys(t, object); len(got) < len(want) || !slices.Equal(got[:len(want)], want) {
			t.Errorf("%s has keys %v, want to begin with %v", what, got, want)
		}
	}
	doc := frontDoc(t, sampleFront(t))
	begins("front", doc, "model", "complete", "resolution", "points", "solves")
	var front struct {
		Resolution json.RawMessage
		Points     []json.RawMessage
	}
	if err := json.Unmarshal(doc, &front); err != nil {
		t.Fatal(err)
	}
	begins("resolution", front.Resolution, "mass_g", "ei_nm2")
	begins("point", front.Points[0], "id", "core_mass_g", "pressed_mass_g", "ei_nm2", "flex_n_per_mm", "cost", "profile_factor", "scatter_pct",
		"fast_grown_pct", "strips", "stations")
	var point struct{ Strips, Stations []json.RawMessage }
	if err := json.Unmarshal(front.Points[0], &point); err != nil {
		t.Fatal(err)
	}
	begins("strips", point.Strips[0], "position", "wood", "per_side")
	begins("stations", point.Stations[0], "from_tip_mm", "core_width_mm", "core_thickness_mm", "ei_nm2")

	table := species.Default()
	woods := written(t, func(b *bytes.Buffer) error {
		return WoodsJSON(b, table, table, species.Conditions{MoisturePct: 12}, species.SpecificStiffness)
	})
	begins("woods", woods, "woods", "moisture_pct")
	var list struct{ Woods []json.RawMessage }
	if err := json.Unmarshal(woods, &list); err != nil {
		t.Fatal(err)
	}
	if len(list.Woods) != len(table.Woods()) {
		t.Errorf("%d woods, want %d", len(list.Woods), len(table.Woods()))
	}
	begins("wood", list.Woods[0], "id", "common_name", "latin_name", "density_kg_m3", "modulus_gpa", "bending_strength_mpa", "hardness_n",
		"rotation_years_low", "rotation_years_high", "source", "status")
}

var plainNumber = regexp.MustCompile(`^(0|-?[1-9][0-9]*|-?(0|[1-9][0-9]*)\.[0-9]*[1-9][0-9]*|(0|[1-9][0-9]*)\.0+|-[1-9][0-9]*\.0+)$`)

// Every number is plain: no exponent, no negative zero; what is not known is null, not a number.
func TestJSONNumbersArePlain(t *testing.T) {
	odd := sampleFront(t)
	pt := &odd.Points[0]
	pt.FastGrownPct, pt.CertifiedPct, pt.EINM2 = math.Copysign(0, -1), -0.001, 1e-7
	pt.Figures.Measure.CoreEINM2, pt.Figures.PressedMassKnown = math.NaN(), false
	for name, r := range map[string]*optimize.FrontResult{"sample": sampleFront(t), "odd": odd, "bare": sampleBare(t), "infeasible": sampleInfeasible(t)} {
		d := json.NewDecoder(bytes.NewReader(frontDoc(t, r)))
		d.UseNumber()
		for {
			token, err := d.Token()
			if err != nil {
				break
			}
			if n, ok := token.(json.Number); ok && !plainNumber.MatchString(n.String()) {
				t.Errorf("%s: %s is no plain number", name, n)
			}
		}
	}
	doc := string(frontDoc(t, odd))
	for _, want := range []string{`"pressed_mass_g": null`, `"core_ei_nm2": null`} {
		if !strings.Contains(doc, want) {
			t.Errorf("no %s", want)
		}
	}
	if doc := string(frontDoc(t, sampleBare(t))); !strings.Contains(doc, `"cost": null`) || !strings.Contains(doc, `"flex_n_per_mm": null`) {
		t.Error("a job without prices and span has a cost or a flex")
	}
}

// The strips fill every position, from the centre line outward.
func TestJSONStripsFillThePositions(t *testing.T) {
	r := sampleFront(t)
	var doc struct {
		Points []struct {
			Strips []struct {
				Position, Wood string
				PerSide        int `json:"per_side"`
			}
		}
	}
	if err := json.Unmarshal(frontDoc(t, r), &doc); err != nil {
		t.Fatal(err)
	}
	for i, pt := range doc.Points {
		at, left := 0, r.Program.Board.Positions[0].Strips
		for _, s := range pt.Strips {
			if left == 0 {
				at++
				left = r.Program.Board.Positions[at].Strips
			}
			if s.Position != r.Program.Board.Positions[at].Name {
				t.Errorf("point %d: %s where %s is to be filled", i+1, s.Position, r.Program.Board.Positions[at].Name)
			}
			left -= s.PerSide
		}
		if at != len(r.Program.Board.Positions)-1 || left != 0 {
			t.Errorf("point %d does not fill the positions", i+1)
		}
	}
}

func TestJSONKeepsHostileTexts(t *testing.T) {
	for _, text := range hostileTexts {
		var doc struct {
			Model   string
			LeftOut []struct{ Why string } `json:"left_out"`
		}
		if err := json.Unmarshal(frontDoc(t, sampleHostile(t, text)), &doc); err != nil {
			t.Fatal(err)
		}
		if want := strings.ToValidUTF8(text, "\ufffd"); doc.Model != want && doc.Model != strings.Repeat("\ufffd", len(text)) || doc.LeftOut[0].Why != doc.Model {
			t.Errorf("%q came back as %q", text, doc.Model)
		}
	}
}

func TestJSONIsTheSameTwice(t *testing.T) {
	if !bytes.Equal(frontDoc(t, sampleLong(t, 60)), frontDoc(t, sampleLong(t, 60))) {
		t.Error("equal results, different documents")
	}
}
