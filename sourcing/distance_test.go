package sourcing

import (
	"strings"
	"testing"

	"github.com/shopspring/decimal"
)

func TestParseDistance(t *testing.T) {
	for _, tt := range []struct {
		text string
		unit distanceUnit
		mark rune
		want string // km; empty: refused
	}{
		{"120 km", "", 0, "120"}, {"120", inKM, 0, "120"}, {"0", inKM, 0, "0"}, {"0 km", inMile, 0, "0"}, {"85,5 km", "", 0, "85.5"},
		{"1.250,5 km", "", 0, "1250.5"}, {"1.250 km", "", ',', "1250"}, {"1.250 km", "", '.', "1.25"}, {"1 250 Kilomètres", "", 0, "1250"},
		// published: a mile in km | US Federal Register 24 FR 5348, 1 July 1959: a yard is 0.9144 m, and a mile 1760 yards | derived | exact: 1.609344 is a definition
		{"1 mi", "", 0, "1.609344"}, {"75", inMile, 0, "120.7008"}, {"75 miles", inKM, 0, "120.7008"},
		{"120", "", 0, ""}, {"1.250 km", "", 0, ""}, {"-5", inKM, 0, ""}, {"60000", inKM, 0, ""}, {"120 m", inKM, 0, ""}, {"far", inKM, 0, ""},
		{"100-200 km", "", 0, ""}, {"", inKM, 0, ""}, {strings.Repeat("1", 200), inKM, 0, ""},
	} {
		got, err := parseDistance(tt.text, tt.unit, tt.mark)
		if (err == nil) != (tt.want != "") || err == nil && !got.Equal(decimal.RequireFromString(tt.want)) {
			t.Errorf("%.20q is %s km, %v; want %q", tt.text, got, err, tt.want)
		}
		if err != nil {
			continue
		}
		if back, err := parseDistance(got.String()+" km", "", '.'); err != nil || !back.Equal(got) {
			t.Errorf("%q is %s km, printed and read back %s, %v", tt.text, got, back, err)
		}
	}
}

func TestDistanceHeaders(t *testing.T) {
	for header, want := range map[string]distanceUnit{
		"Distance km": inKM, "Distance (mi)": inMile, "Transport distance, km": inKM, "Entfernung km": inKM, "Transportweg in km": inKM, "Distanz": "",
		"Distance de transport (km)": inKM, "Distanza km": inKM, "Distancia (km)": inKM, "distance": "",
	} {
		if c := readHeader(header); c.meaning != isDistance || c.distance != want || c.why != "" {
			t.Errorf("%q means %q in %q (%s), want a distance in %q", header, c.meaning, c.distance, c.why, want)
		}
	}
	if c := readHeader("Distance m3"); c.meaning != "" {
		t.Errorf("a distance in m3 is taken: %+v", c)
	}
}

// TestReadDistances: a column, a figure for the whole sheet, and what is warned of; the offers themselves stay as they are.
func TestReadDistances(t *testing.T) {
	const head = "Wood;Thickness mm;Width mm;Length mm;Price EUR/m3;"
	const goods = "European beech;26;150;2500;650;"
	for _, tt := range []struct {
		name, header, cell, mapping string
		want                        string // km; empty: none
		warned                      bool
	}{
		{"a column", "Distance km", "412.5", "", "412.5", false},
		{"miles", "Distance (mi)", "100", "", "160.9344", false},
		{"the cell's own unit", "Entfernung", "1200 km", "", "1200", false},
		{"not said", "Distance km", "-", "", "", false},
		{"no such column", "Grade", "A", "", "", false},
		{"no unit", "Distance", "120", "", "", true},
		{"not understood", "Distance km", "next door", "", "", true},
		{"for the whole sheet", "Grade", "A", "* distance 75 mi", "120.7008", false},
		{"a line goes before the whole sheet", "Distance km", "20", "* distance 75 km", "20", false},
		{"settled by the job book", "How far", "33", "How far distance km", "33", false},
	} {
		src := Source{Supplier: "Sample supplier", File: "prices.csv", Currency: "EUR"}
		if at := strings.Index(tt.mapping, " distance"); at >= 0 {
			src.Columns = []ColumnMeaning{{Header: tt.mapping[:at], Meaning: tt.mapping[at+1:]}}
		}
		offers, rows, found := ReadOffers(strings.NewReader(head+tt.header+"\n"+goods+tt.cell+"\n"), src)
		if len(offers) != 1 || rows != (Rows{Data: 1, Offers: 1}) {
			t.Errorf("%s: %d offers, %+v: %s", tt.name, len(offers), rows, found)
			continue
		}
		o := offers[0]
		if o.HasDistance != (tt.want != "") || o.HasDistance && !o.DistanceKM.Equal(decimal.RequireFromString(tt.want)) {
			t.Errorf("%s: %s km, given %v, want %q", tt.name, o.DistanceKM, o.HasDistance, tt.want)
		}
		if warned := strings.Contains(found.String(), "distance: "); warned != tt.warned || len(found.Errors()) > 0 {
			t.Errorf("%s: %s", tt.name, found)
		}
	}
}
