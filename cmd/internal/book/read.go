package book

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"slices"
	"strings"

	"stavewright/optimize"
	"stavewright/optimize/core"
	"stavewright/sourcing"
	"stavewright/species"
)

// Read reads a job book and checks it as a whole. Every problem comes back at once, sorted by place; file is what the
// findings call the book. The job is usable only when the findings hold no error, and is never nil.
func Read(r io.Reader, file string) (*Job, sourcing.Findings) {
	rd := &reader{file: file}
	job := &Job{File: file}
	grids, date1904, found, err := load(r, file)
	if err != nil {
		rd.fault("", 0, 0, fmt.Sprintf("the job book cannot be read: %v", err), "save it as an XLSX workbook (stavewright new writes one)")
		return job, rd.found
	}
	rd.date1904, rd.found = date1904, found
	t := rd.tables(grids)
	rd.shop(job, t["Shop"])
	rd.woods(job, t)
	rd.suppliers(job, t["Suppliers"], t["Columns"])
	rd.stock(job, t["Stock"])
	(&modelReader{reader: rd, job: job, t: t}).read()
	rd.sum()
	rd.found.Sort()
	return job, rd.found
}

// tables reads every sheet of the job book; a sheet that is not there is an empty table.
func (r *reader) tables(grids []grid) map[string]*table {
	var names []string
	for _, s := range sheets {
		names = append(names, s.Name)
	}
	byName := map[string]*grid{}
	for i := range grids {
		g := &grids[i]
		k, known := dataSheet(g.name)
		switch {
		case fold(g.name) == fold(startSheet) || fold(g.name) == fold(listsSheet):
		case !known:
			advice := "the sheets of a job book are " + strings.Join(names, ", ")
			if n, ok := nearest(g.name, names); ok {
				advice = fmt.Sprintf("call it %q if that is meant", n)
			}
			r.warn(g.name, 0, 0, "the sheet is not known and is not read", advice)
		case byName[sheets[k].Name] != nil:
			r.fault(g.name, 0, 0, fmt.Sprintf("there is another sheet %q", sheets[k].Name), "keep one of them")
		default:
			byName[sheets[k].Name] = g
		}
	}
	t := map[string]*table{}
	for i := range sheets {
		s := &sheets[i]
		g := byName[s.Name]
		if g == nil && s.Required {
			var headers []string
			for _, c := range s.Columns {
				if c.Required {
					headers = append(headers, c.Header())
				}
			}
			r.fault(s.Name, 0, 0, "the sheet is missing", "add it, with the columns "+strings.Join(headers, ", "))
		}
		t[s.Name] = r.table(s, g)
		if g != nil && s.Required && len(t[s.Name].records) == 0 {
			r.fault(s.Name, 0, 0, "the sheet has no rows", "fill it in below the headers")
		}
	}
	return t
}

// wood finds the one wood that a cell names. What is wrong with the name is reported in the cell.
func (r *reader) wood(job *Job, rec *record, column string) (id string, ok bool) {
	e := rec.at(column)
	if !e.set {
		return "", false
	}
	w, err := r.lookup(job, e.text)
	if err != nil {
		problem, advice := nameFault(err)
		r.faultAt(rec, column, problem, advice)
		return "", false
	}
	return w.ID, true
}

// lookup finds a wood by its name. Once nothing more is told, names are not looked up any more: each unknown one is held against all there are.
func (r *reader) lookup(job *Job, name string) (species.Wood, error) {
	if r.full() {
		return species.Wood{}, errors.New("the wood is not looked up")
	}
	return job.Woods.Lookup(name)
}

// nameFault splits what is wrong with a wood's name from what to write instead.
func nameFault(err error) (problem, advice string) {
	var split interface {
		Problem() string
		Advice() string
	}
	if errors.As(err, &split) {
		return split.Problem(), split.Advice()
	}
	return sentence(err), ""
}

// sentence is an error's text as a finding's problem.
func sentence(err error) string { return strings.TrimSuffix(err.Error(), ".") }

// suppliers reads the Suppliers sheet, and gives each the column meanings that the Columns sheet has for it.
func (r *reader) suppliers(job *Job, t, columns *table) {
	var names []string
	index := map[string]int{} // of the job's suppliers, by key
	for i := range t.records {
		rec := &t.records[i]
		name := rec.text("Supplier")
		if _, twice := index[key(name)]; twice {
			r.faultAt(rec, "Supplier", fmt.Sprintf("supplier %q is there twice", name), "keep one row, or tell them apart by name")
			continue
		}
		if rec.at("Supplier").set {
			names = append(names, name)
			index[key(name)] = len(job.Suppliers)
		}
		s := Supplier{
			Name: name, PriceFile: strings.ReplaceAll(rec.text("Price file"), `\`, "/"), Certified: rec.at("Chain of custody").set,
			LeadTimeDays: int(rec.value("Lead time")), FreightPerOrder: rec.at("Freight per order").amount,
			FreightPerM3: rec.at("Freight per m3").amount, MinOrderValue: rec.at("Min order value").amount,
			ValidUntil: rec.text("Valid until"), Row: rec.row, Col: rec.at("Price file").col,
		}
		if rec.at("Price file").set {
			// What kind of file it is shows when it is read: one of the wrong kind must not keep the others from being shown.
			if path.IsAbs(s.PriceFile) || len(s.PriceFile) > 1 && s.PriceFile[1] == ':' || slices.Contains(strings.Split(s.PriceFile, "/"), "..") {
				r.faultAt(rec, "Price file", fmt.Sprintf("price file %q is not beside this book", s.PriceFile),
					"put the file beside the book or in a folder below it, and write its name")
			}
		}
		s.Currency = job.Shop.Currency
		if e := rec.at("Currency"); e.set {
			code := strings.ToUpper(e.text)
			_, rated := job.Shop.Rates[code]
			switch {
			case !isCurrency(code):
				r.faultAt(rec, "Currency", fmt.Sprintf("currency %q is not a code of three letters", e.text), "write a code such as EUR")
			case code != job.Shop.Currency && !rated:
				r.faultAt(rec, "Currency", fmt.Sprintf("there is no rate for %s", code),
					fmt.Sprintf("add the setting rate %s to the Shop sheet: how many %s one %s costs", code, job.Shop.Currency, code))
			}
			s.Currency = code
		}
		job.Suppliers = append(job.Suppliers, s)
	}
	for i := range columns.records {
		rec := &columns.records[i]
		if !rec.good("Supplier", "Sheet", "Header", "Meaning") {
			continue
		}
		at, ok := index[key(rec.text("Supplier"))]
		if !ok {
			advice := "the Suppliers sheet has none; add the supplier there"
			if len(names) > 0 && !r.full() {
				advice = didYouMean(rec.text("Supplier"), names)
			}
			r.faultAt(rec, "Supplier", fmt.Sprintf("supplier %q is not on the Suppliers sheet", rec.text("Supplier")), advice)
			continue
		}
		if err := sourcing.CheckMeaning(rec.text("Meaning")); err != nil {
			r.faultAt(rec, "Meaning", sentence(err), "")
			continue
		}
		job.Suppliers[at].Columns = append(job.Suppliers[at].Columns, sourcing.ColumnMeaning{
			Sheet: rec.text("Sheet"), Header: rec.text("Header"), Meaning: rec.text("Meaning")})
	}
}

func isCurrency(code string) bool {
	return len(code) == 3 && !strings.ContainsFunc(code, func(r rune) bool { return r < 'A' || r > 'Z' })
}

func (r *reader) stock(job *Job, t *table) {
	for i := range t.records {
		rec := &t.records[i]
		id, _ := r.wood(job, rec, "Wood")
		job.Stock = append(job.Stock, sourcing.StockLine{
			Wood:   id,
			Plank:  sourcing.Plank{ThicknessMM: rec.value("Thickness"), WidthMM: rec.value("Width"), LengthMM: rec.value("Length")},
			Planks: int(rec.value("Planks")), ValueEach: rec.at("Value each").amount, Currency: job.Shop.Currency, File: job.File, Sheet: t.schema.Name, Row: rec.row,
		})
	}
}

// A modelReader reads the sheets that speak of models.
type modelReader struct {
	*reader
	job      *Job
	t        map[string]*table
	fabrics  map[string]core.Laminate // by key
	unknown  map[string]bool          // models reported as unknown, by sheet and key
	stations [][]*record              // by model: every row of Stations that has a place
	lame     []bool                   // by model: one of its rows of Stations is faulty
	broken   []bool                   // by model: one of its rows of Positions is faulty
	used     [][3][]*record           // by model: the rows behind its Stations, Positions and Layers
	index    map[string]int           // of the models, by key
	all      []int                    // the indices of all models
	places   []map[string]int         // by model: the index of each position, by key
	known    map[string]bool          // keys of the positions that any model has
	names    []string                 // of the fabrics
}

// What a book may have of models, of positions in one of them, and of rows of a sheet for one of them. Rows that speak of every model multiply.
const (
	maxModels    = 200
	maxPositions = 200
	maxModelRows = 2_000
)

func (m *modelReader) read() {
	m.models()
	m.readFabrics()
	m.readStations()
	m.readPositions()
	m.recipes()
	m.readLayers()
	m.readPads()
	m.defaults()
	m.readCounts()
	m.readShares()
	m.readReference()
	m.readTargets()
	m.readLimits()
	for i := range m.job.Models {
		m.check(i)
	}
}

func (m *modelReader) models() {
	t := m.t["Models"]
	m.unknown, m.index, m.known = map[string]bool{}, map[string]int{}, map[string]bool{}
	for i := range t.records {
		rec := &t.records[i]
		name := rec.at("Model")
		if len(m.job.Models) == maxModels {
			m.fault("Models", rec.row, 0, fmt.Sprintf("the sheet has more than %d models", maxModels), "part the book into several")
			break
		}
		if first, twice := m.index[key(name.text)]; name.set && twice {
			m.faultAt(rec, "Model", fmt.Sprintf("model %q is there twice, first in row %d", name.text, m.job.Models[first].row),
				"give it another name, or delete the row")
			continue
		}
		if !name.set {
			continue
		}
		m.index[key(name.text)] = len(m.job.Models)
		m.all = append(m.all, len(m.job.Models))
		m.places = append(m.places, map[string]int{})
		m.job.Models = append(m.job.Models, Model{
			Name: name.text, Section: core.Section(rec.text("Section")), BlankLengthMM: rec.value("Blank length"),
			BlankThicknessMM: rec.value("Blank thickness"), SpanMM: rec.value("Support span"), MeasureAtMM: rec.value("Measure at"),
			Boards: int(rec.value("Boards")), NeededBy: rec.text("Needed by"), Recipe: rec.text("Recipe"), row: rec.row,
			cols: modelColumns{name.col, rec.at("Boards").col, rec.at("Needed by").col, rec.at("Recipe").col},
		})
	}
	m.stations = make([][]*record, len(m.job.Models))
	m.lame, m.broken = make([]bool, len(m.job.Models)), make([]bool, len(m.job.Models))
	m.used = make([][3][]*record, len(m.job.Models))
}

// The sheets of modelReader.used.
const (
	stationRows = iota
	positionRows
	layerRows
)

// which are the models a row speaks of, as indices. A name that is not there is reported once a sheet.
func (m *modelReader) which(rec *record) []int {
	e := rec.at("Model")
	if e.bad || !e.set {
		if e.bad {
			return nil
		}
		return m.all
	}
	if i, ok := m.index[key(e.text)]; ok {
		return m.all[i : i+1]
	}
	sheet := rec.t.schema.Name
	if id := sheet + "\x00" + key(e.text); len(m.all) > 0 && !m.unknown[id] {
		m.unknown[id] = true
		if m.full() {
			m.fault(sheet, rec.row, e.col, fmt.Sprintf("model %q is not on the Models sheet", e.text), "")
			return nil
		}
		var names []string
		for i := range m.job.Models {
			names = append(names, m.job.Models[i].Name)
		}
		more := 0
		for i := range rec.t.records {
			if o := &rec.t.records[i]; o.row > rec.row && key(o.text("Model")) == key(e.text) {
				more++
			}
		}
		problem := fmt.Sprintf("model %q is not on the Models sheet", e.text)
		if more > 0 {
			problem += fmt.Sprintf(" (nor in %d further rows)", more)
		}
		m.fault(sheet, rec.row, e.col, problem, didYouMean(e.text, names))
	}
	return nil
}

// each calls do with every model that the rows of a sheet speak of.
func (m *modelReader) each(sheet string, do func(rec *record, i int, md *Model)) {
	t := m.t[sheet]
	rows := make([]int, len(m.job.Models))
	for k := range t.records {
		for _, i := range m.which(&t.records[k]) {
			if rows[i]++; rows[i] <= maxModelRows {
				do(&t.records[k], i, &m.job.Models[i])
			} else if rows[i] == maxModelRows+1 {
				m.fault(sheet, t.records[k].row, 0, fmt.Sprintf("more than %d rows speak of model %q", maxModelRows, m.job.Models[i].Name), "delete what is not needed")
			}
		}
	}
}

func (m *modelReader) readFabrics() {
	m.fabrics = map[string]core.Laminate{}
	plies, first, bad := map[string][]core.Ply{}, map[string]*record{}, map[string]bool{}
	var order []string
	t := m.t["Fabrics"]
	for i := range t.records {
		rec := &t.records[i]
		k := key(rec.text("Fabric"))
		if !rec.at("Fabric").set {
			continue
		}
		if first[k] == nil {
			first[k] = rec
			m.names = append(m.names, rec.text("Fabric"))
			order = append(order, k)
		}
		if !rec.good("Ply angle", "Ply thickness", "E1", "E2", "G12", "nu12", "Density") {
			bad[k] = true
			continue
		}
		plies[k] = append(plies[k], core.Ply{
			AngleDeg: rec.value("Ply angle"), ThicknessMM: rec.value("Ply thickness"), E1GPa: rec.value("E1"), E2GPa: rec.value("E2"),
			G12GPa: rec.value("G12"), Nu12: rec.value("nu12"), DensityKgM3: rec.value("Density")})
	}
	for _, k := range order {
		var l core.Laminate
		if !bad[k] {
			var err error
			if l, err = core.LaminateModulus(plies[k]); err != nil {
				m.fault("Fabrics", first[k].row, first[k].at("Fabric").col, fmt.Sprintf("fabric %q: %s", first[k].text("Fabric"), sentence(err)),
					"mend its plies")
			}
		}
		m.fabrics[k] = l // a faulty one is known all the same: its layers are not reported again
	}
}

func (m *modelReader) readStations() {
	m.each("Stations", func(rec *record, i int, md *Model) {
		if m.lame[i] = m.lame[i] || !rec.good("From tip", "Core width", "Core thickness"); rec.at("From tip").set {
			m.stations[i] = append(m.stations[i], rec)
		}
	})
	for i := range m.job.Models {
		for _, rec := range m.stations[i] {
			if rec.good("Core width", "Core thickness") {
				m.job.Models[i].Stations = append(m.job.Models[i].Stations, core.Station{
					FromTipMM: rec.value("From tip"), WidthMM: rec.value("Core width"), ThicknessMM: rec.value("Core thickness")})
				m.used[i][stationRows] = append(m.used[i][stationRows], rec)
			}
		}
	}
}

// ends are where the core of a model begins and ends by its rows, faulty widths and all.
func (m *modelReader) ends(i int) (from, to float64, ok bool) {
	for k, rec := range m.stations[i] {
		v := rec.value("From tip")
		if k == 0 {
			from, to = v, v
		}
		from, to = min(from, v), max(to, v)
	}
	return from, to, len(m.stations[i]) > 1
}

func (m *modelReader) readPositions() {
	allowed := map[*record][]string{}
	t := m.t["Positions"]
	for i := range t.records {
		allowed[&t.records[i]] = m.allowed(&t.records[i])
	}
	m.each("Positions", func(rec *record, i int, md *Model) {
		name := rec.text("Position")
		if !rec.good("Position", "Strips per side", "Strip width", "On centre line") {
			m.broken[i] = true
		}
		if !rec.at("Position").set {
			return
		}
		if len(md.Positions) == maxPositions {
			m.faultAt(rec, "Position", fmt.Sprintf("model %q has more than %d positions", md.Name, maxPositions), "put strips alike into one position")
			m.broken[i] = true
			return
		}
		if _, twice := m.places[i][key(name)]; twice {
			m.faultAt(rec, "Position", fmt.Sprintf("model %q has position %q twice", md.Name, name), "give it another name, or delete the row")
			m.broken[i] = true
			return
		}
		m.places[i][key(name)] = len(md.Positions)
		m.known[key(name)] = true
		md.Positions = append(md.Positions, Position{
			Position: core.Position{Name: name, Strips: int(rec.value("Strips per side")), StripWidthMM: rec.value("Strip width"),
				OnCentreLine: rec.at("On centre line").set, PreStrain: rec.value("Pre-strain") / 1000},
			Allowed: allowed[rec], MinHardnessN: rec.limit("Min hardness"), MinHoldingPct: rec.limit("Min screw holding"),
			row: rec.row, col: rec.at("Woods allowed").col,
		})
		m.used[i][positionRows] = append(m.used[i][positionRows], rec)
	})
}

// allowed reads a list of woods. Each name that is not understood is reported; nil means that every wood is allowed.
func (m *modelReader) allowed(rec *record) []string {
	e := rec.at("Woods allowed")
	if !e.set {
		return nil
	}
	ids := []string{}
	for _, name := range splitList(e.text) {
		if name = strings.TrimSpace(asText(name)); name == "" {
			continue
		}
		w, err := m.lookup(m.job, name)
		if err != nil {
			e.bad = true
			problem, advice := nameFault(err)
			m.fault(rec.t.schema.Name, rec.row, e.col, problem, advice)
			continue
		}
		if !slices.Contains(ids, w.ID) {
			ids = append(ids, w.ID)
		}
	}
	if len(ids) == 0 && !e.bad {
		m.faultAt(rec, "Woods allowed", fmt.Sprintf("Woods allowed is %q, which names no wood", e.text), "name a wood, or leave it empty for every wood")
	}
	if e.bad {
		return nil // what is allowed is not known: nothing is checked against it
	}
	return ids
}

// splitList splits a list at commas, semicolons and line breaks that do not stand in brackets: "obeche (ayous, wawa); balsa".
func splitList(s string) []string {
	depth := 0
	return strings.FieldsFunc(s, func(r rune) bool {
		switch r {
		case '(':
			depth++
		case ')':
			depth = max(0, depth-1)
		}
		return depth == 0 && (r == ',' || r == ';') || r == '\n'
	})
}

func (m *modelReader) readLayers() {
	t := m.t["Layers"]
	layers := make([]core.Layer, len(t.records))
	for i := range t.records {
		layers[i] = m.layer(&t.records[i])
	}
	index := map[*record]int{}
	for k := range t.records {
		index[&t.records[k]] = k
	}
	m.each("Layers", func(rec *record, i int, md *Model) {
		if !rec.good("Place", "Order", "Layer", "Modulus", "Thickness", "Width", "Let in", "Density", "From", "To") {
			return
		}
		l := layers[index[rec]]
		if from, to, ok := m.ends(i); ok {
			if l.FromMM > 0 && l.ToMM == 0 {
				l.ToMM = to
			}
			for _, e := range []struct {
				column string
				at     float64
			}{{"From", l.FromMM}, {"To", l.ToMM}} {
				if rec.at(e.column).set && (e.at < from || e.at > to) {
					m.faultAt(rec, e.column, fmt.Sprintf("layer %q reaches %s mm, outside the core of %q (%s to %s mm)", l.Name, plain(e.at), md.Name, plain(from), plain(to)),
						"keep it inside the core, or leave the cell empty for its end")
				}
			}
		}
		if rec.good("From", "To") {
			md.Layers = append(md.Layers, l)
			m.used[i][layerRows] = append(m.used[i][layerRows], rec)
		}
	})
}

func (m *modelReader) layer(rec *record) core.Layer {
	l := core.Layer{
		Name: rec.text("Layer"), Place: core.Place(rec.text("Place")), Order: int(rec.value("Order")), ModulusGPa: rec.value("Modulus"),
		ThicknessMM: rec.value("Thickness"), WidthMM: rec.value("Width"), LetInMM: rec.value("Let in"), DensityKgM3: rec.value("Density"),
		FromMM: rec.value("From"), ToMM: rec.value("To"),
	}
	if e := rec.at("Modulus"); e.set && e.isText {
		f, known := m.fabrics[key(e.text)]
		if !known {
			t := m.t["Fabrics"]
			if !t.present {
				m.noFabrics(rec, e.text)
				e.bad = true
				return l
			}
			advice := "write the modulus in GPa, or add the fabric to the Fabrics sheet"
			if len(m.names) > 0 && !m.full() {
				advice = didYouMean(e.text, m.names)
			}
			m.faultAt(rec, "Modulus", fmt.Sprintf("fabric %q is not on the Fabrics sheet", e.text), advice)
			return l
		}
		if f.ThicknessMM == 0 { // the fabric is faulty, and reported
			e.bad = true
			return l
		}
		l.ModulusGPa, l.ShearGPa = f.FreeGPa, f.ShearGPa
		if l.ThicknessMM == 0 {
			l.ThicknessMM = f.ThicknessMM
		} else if d := l.ThicknessMM/f.ThicknessMM - 1; d > 0.01 || d < -0.01 {
			m.warn(rec.t.schema.Name, rec.row, rec.at("Thickness").col,
				fmt.Sprintf("the layer is %s mm thick, the plies of %q together %s mm; the layer's thickness counts", plain(l.ThicknessMM), e.text, plain(math.Round(f.ThicknessMM*1e4)/1e4)),
				"leave the thickness empty to take the plies'")
		}
		if l.DensityKgM3 == 0 {
			l.DensityKgM3 = f.DensityKgM3
		}
	}
	if l.Place != core.Beside && l.ThicknessMM == 0 && rec.good("Place", "Thickness", "Modulus") {
		m.faultAt(rec, "Thickness", fmt.Sprintf("layer %q has no thickness", l.Name), "write it in mm; only beside the core it may be empty")
	}
	if l.Place == core.Beside && l.WidthMM == 0 && rec.good("Place", "Width") {
		m.faultAt(rec, "Width", fmt.Sprintf("layer %q beside the core has no width", l.Name), "write the width of one side in mm")
	}
	if rec.at("From").set && rec.at("To").set && l.FromMM >= l.ToMM {
		m.faultAt(rec, "To", fmt.Sprintf("layer %q ends at %s mm, before it begins at %s mm", l.Name, plain(l.ToMM), plain(l.FromMM)), "From must be below To")
	}
	return l
}

// noFabrics reports, once, that layers name fabrics but there is no sheet of them.
func (m *modelReader) noFabrics(rec *record, name string) {
	if m.unknown["Fabrics"] {
		return
	}
	m.unknown["Fabrics"] = true
	m.fault("Fabrics", 0, 0, fmt.Sprintf("the sheet is missing, but the Layers sheet names the fabric %q in row %d", name, rec.row),
		"add the sheet, or write the modulus in GPa")
}

// positionOf finds the position that a cell names on a model. A position that no model of the row has is a fault; one that only
// some lack, in a row for every model, is worth a warning.
func (m *modelReader) positionOf(rec *record, md *Model) (int, bool) {
	e := rec.at("Position")
	if !e.set {
		return -1, !e.bad
	}
	if at, ok := m.indexOf(rec, md); ok {
		return at, true
	}
	if len(md.Positions) == 0 { // reported as such
		return 0, false
	}
	sheet := rec.t.schema.Name
	var names []string
	for _, p := range md.Positions {
		names = append(names, p.Name)
	}
	somewhere := m.known[key(e.text)]
	switch {
	case !rec.at("Model").set && somewhere:
		m.warn(sheet, rec.row, e.col, fmt.Sprintf("model %q has no position %q; the row does not touch it", md.Name, e.text), "")
	case !rec.at("Model").set:
		m.faultAt(rec, "Position", fmt.Sprintf("no model has a position %q", e.text), didYouMean(e.text, names))
	default:
		m.faultAt(rec, "Position", fmt.Sprintf("model %q has no position %q", md.Name, e.text), didYouMean(e.text, names))
	}
	return 0, false
}

func (m *modelReader) readPads() {
	t := m.t["Pads"]
	ids := map[*record]string{}
	for i := range t.records {
		ids[&t.records[i]], _ = m.wood(m.job, &t.records[i], "Wood")
	}
	m.each("Pads", func(rec *record, i int, md *Model) {
		at, ok := m.positionOf(rec, md)
		if !ok || !rec.good("From", "To", "Wood") {
			return
		}
		p := Pad{Position: at, FromMM: rec.value("From"), ToMM: rec.value("To"), Wood: ids[rec]}
		if p.FromMM >= p.ToMM {
			m.faultAt(rec, "To", fmt.Sprintf("the pad ends at %s mm, before it begins at %s mm", plain(p.ToMM), plain(p.FromMM)), "From must be below To")
			return
		}
		if from, to, ok := m.ends(i); ok {
			for _, e := range []struct {
				column string
				at     float64
			}{{"From", p.FromMM}, {"To", p.ToMM}} {
				if e.at < from || e.at > to {
					m.faultAt(rec, e.column, fmt.Sprintf("the pad reaches %s mm, outside the core of %q (%s to %s mm)", plain(e.at), md.Name, plain(from), plain(to)), "keep it inside the core")
				}
			}
		}
		if !rec.good("From", "To") {
			return
		}
		if slices.ContainsFunc(md.Pads, func(o Pad) bool { return o.Position == at && o.FromMM < p.ToMM && p.FromMM < o.ToMM }) {
			m.faultAt(rec, "From", fmt.Sprintf("the pad overlaps another one at position %q of %q", md.Positions[at].Name, md.Name), "keep them apart")
			return
		}
		md.Pads = append(md.Pads, p)
	})
}

// defaults fills what the Models sheet leaves open, and checks what it says against the core.
func (m *modelReader) defaults() {
	t := m.t["Models"]
	for i := range m.job.Models {
		md := &m.job.Models[i]
		rec := &t.records[slices.IndexFunc(t.records, func(o record) bool { return o.row == md.row })]
		if md.Section == "" {
			md.Section = core.Bare
			if len(md.Layers) > 0 {
				md.Section = core.Pressed
			}
		}
		from, to, ok := m.ends(i)
		if !ok {
			continue
		}
		var thickest float64
		for _, s := range md.Stations {
			thickest = max(thickest, s.ThicknessMM)
		}
		switch {
		case !rec.at("Blank length").set:
			md.BlankLengthMM = to - from + 20
		case md.BlankLengthMM < to-from:
			m.faultAt(rec, "Blank length", fmt.Sprintf("the blank is %s mm long, the core %s mm", plain(md.BlankLengthMM), plain(to-from)),
				"the blank must be as long as the core at least")
		}
		switch {
		case !rec.at("Blank thickness").set:
			md.BlankThicknessMM = thickest + 1
		case md.BlankThicknessMM < thickest:
			m.faultAt(rec, "Blank thickness", fmt.Sprintf("the blank is %s mm thick, the core up to %s mm", plain(md.BlankThicknessMM), plain(thickest)),
				"the blank must be as thick as the core at least")
		}
		if rec.at("Support span").set && md.SpanMM > to-from {
			m.faultAt(rec, "Support span", fmt.Sprintf("the supports stand %s mm apart, but the core of %q is %s mm long", plain(md.SpanMM), md.Name, plain(to-from)),
				"the span must fit on the core")
		}
		if !rec.at("Measure at").set {
			md.MeasureAtMM = (from + to) / 2
		} else if md.MeasureAtMM < from || md.MeasureAtMM > to {
			m.faultAt(rec, "Measure at", fmt.Sprintf("the measuring station %s mm is outside the core of %q (%s to %s mm)", plain(md.MeasureAtMM), md.Name, plain(from), plain(to)),
				"choose a place on the core")
		}
	}
}

// crossed reports two bounds of which the lower is above the upper.
func (m *modelReader) crossed(rec *record, low, high string) bool {
	l, h := rec.at(low), rec.at(high)
	if !l.set || !h.set || l.value <= h.value {
		return false
	}
	m.faultAt(rec, high, fmt.Sprintf("%s is %s, below %s, which is %s", high, plain(h.value), low, plain(l.value)), "the two must not cross")
	return true
}

// crossedRows checks the bounds of every row of a sheet, once each.
func (m *modelReader) crossedRows(sheet string, pairs ...[2]string) {
	t := m.t[sheet]
	for i := range t.records {
		for _, p := range pairs {
			m.crossed(&t.records[i], p[0], p[1])
		}
	}
}

func (m *modelReader) readCounts() {
	m.crossedRows("Counts", [2]string{"Low", "High"})
	t := m.t["Counts"]
	ids := map[*record]string{}
	for i := range t.records {
		ids[&t.records[i]], _ = m.wood(m.job, &t.records[i], "Wood")
	}
	m.each("Counts", func(rec *record, i int, md *Model) {
		at, ok := m.positionOf(rec, md)
		if !ok || !rec.good("Low", "High", "Wood") {
			return
		}
		most := 0
		for k, p := range md.Positions {
			if at < 0 || at == k {
				most += p.Strips
			}
		}
		if e := rec.at("Low"); e.set && e.value > float64(most) && !m.broken[i] {
			m.faultAt(rec, "Low", fmt.Sprintf("at least %s strips are asked for, but there are %d", plain(e.value), most), "ask for no more than there are")
			return
		}
		if slices.ContainsFunc(md.Counts, func(c Count) bool { return c.Position == at && c.Wood == ids[rec] }) {
			m.faultAt(rec, "Wood", fmt.Sprintf("model %q has two rows for this wood and position", md.Name), "keep one of them")
			return
		}
		md.Counts = append(md.Counts, Count{Position: at, Wood: ids[rec], Low: rec.limit("Low"), High: rec.limit("High")})
	})
}

func (m *modelReader) readShares() {
	m.crossedRows("Shares", [2]string{"Low", "High"})
	t := m.t["Shares"]
	ids := map[*record]string{}
	for i := range t.records {
		ids[&t.records[i]], _ = m.wood(m.job, &t.records[i], "Wood")
	}
	m.each("Shares", func(rec *record, i int, md *Model) {
		if !rec.good("Low", "High", "Wood") {
			return
		}
		if slices.ContainsFunc(md.Shares, func(s Share) bool { return s.Wood == ids[rec] }) {
			m.faultAt(rec, "Wood", fmt.Sprintf("model %q has two rows for this wood", md.Name), "keep one of them")
			return
		}
		md.Shares = append(md.Shares, Share{Wood: ids[rec], Low: rec.limit("Low"), High: rec.limit("High")})
	})
}

func (m *modelReader) readTargets() {
	m.crossedRows("Targets", [2]string{"EI low", "EI high"})
	at := make([][]*record, len(m.job.Models)) // by model: the row of each window
	m.each("Targets", func(rec *record, i int, md *Model) {
		if !rec.at("From tip").set {
			return
		}
		x := rec.value("From tip")
		if from, to, ok := m.ends(i); ok && (x < from || x > to) {
			m.faultAt(rec, "From tip", fmt.Sprintf("the target at %s mm is outside the stations of %q (%s to %s mm)", plain(x), md.Name, plain(from), plain(to)),
				"choose a place on the core")
			return
		}
		if !rec.good("EI low", "EI high") {
			return
		}
		w := optimize.Window{FromTipMM: x, Low: rec.limit("EI low"), High: rec.limit("EI high")}
		if !w.Low.Set && !w.High.Set {
			m.warn("Targets", rec.row, rec.at("EI low").col, "the target has neither a low nor a high EI, and limits nothing", "fill one of them in, or clear the row")
			return
		}
		for k, o := range md.Windows {
			if o.FromTipMM != x {
				continue
			}
			switch {
			case at[i][k].at("Model").set == rec.at("Model").set:
				m.faultAt(rec, "From tip", fmt.Sprintf("model %q has a target at %s mm already, in row %d", md.Name, plain(x), at[i][k].row), "keep one of them")
				return
			case o.Low.Set && w.High.Set && o.Low.Value > w.High.Value || w.Low.Set && o.High.Set && w.Low.Value > o.High.Value:
				m.faultAt(rec, "From tip", fmt.Sprintf("the targets of %q at %s mm in rows %d and %d leave nothing between them", md.Name, plain(x), at[i][k].row, rec.row),
					"let the two overlap")
				return
			}
		}
		md.Windows = append(md.Windows, w)
		at[i] = append(at[i], rec)
	})
}

func (m *modelReader) readLimits() {
	m.crossedRows("Limits", [2]string{"Flex low", "Flex high"}, [2]string{"Profile factor low", "Profile factor high"})
	own := make([]*record, len(m.job.Models))
	var all *record
	t := m.t["Limits"]
	for k := range t.records {
		rec := &t.records[k]
		if e := rec.at("Model"); !e.set && !e.bad {
			if all != nil {
				m.fault("Limits", rec.row, e.col, fmt.Sprintf("row %d is for every model already", all.row), "keep one of them, or write a model")
				continue
			}
			all = rec
			continue
		}
		for _, i := range m.which(rec) {
			if own[i] != nil {
				m.faultAt(rec, "Model", fmt.Sprintf("model %q has a row already, row %d", m.job.Models[i].Name, own[i].row), "keep one of them")
				continue
			}
			own[i] = rec
		}
	}
	for i := range m.job.Models {
		pick := func(column string) *record {
			if own[i] != nil && (own[i].at(column).set || all == nil) {
				return own[i]
			}
			return all
		}
		limit := func(column string) optimize.Limit {
			if rec := pick(column); rec != nil {
				return rec.limit(column)
			}
			return optimize.Limit{}
		}
		l := Limits{
			EqualFlexPct: limit("Equal flex"), MaxCoreMassG: limit("Max core mass"), MaxWoods: limit("Max woods"),
			MinStrips: limit("Min strips when used"), MinFastPct: limit("Min fast-grown"), MinCertPct: limit("Min certified"),
			MaxScatterPct: limit("Max scatter"), FlexLow: limit("Flex low"), FlexHigh: limit("Flex high"),
			MaxUtilisationPct: limit("Max utilisation"), DesignLoadN: limit("Design load"), SafetyFactor: limit("Safety factor"),
			ProfileFactorLow: limit("Profile factor low"), ProfileFactorHigh: limit("Profile factor high"),
			ProfileFactorStep: limit("Profile factor step"),
		}
		if rec := pick("Max cost"); rec != nil {
			l.MaxCost = rec.moneyLimit("Max cost")
		}
		if !l.SafetyFactor.Set {
			l.SafetyFactor.Value = 2
		}
		m.job.Models[i].Limits = l
		m.matchLimits(&m.job.Models[i], pick)
	}
	if !m.job.HasPrices() {
		for k := range t.records {
			if rec := &t.records[k]; rec.at("Max cost").set {
				m.faultAt(rec, "Max cost", "there is a limit on cost, but no suppliers and no stock to reckon it by", "fill in the Suppliers or the Stock sheet, or clear the cell")
			}
		}
	}
}

// readReference reads the reference core of every model; rows of a position keep their order, which is the order in the core.
func (m *modelReader) readReference() {
	t := m.t["Reference"]
	ids := map[*record]string{}
	for i := range t.records {
		ids[&t.records[i]], _ = m.wood(m.job, &t.records[i], "Wood")
	}
	rows := make([][]*record, len(m.job.Models)) // by model: every row that speaks of it
	faulty := make([]bool, len(m.job.Models))
	m.each("Reference", func(rec *record, i int, md *Model) {
		rows[i] = append(rows[i], rec)
		at, ok := m.positionOf(rec, md)
		if !ok || at < 0 || !rec.good("Wood", "Strips per side") {
			faulty[i] = faulty[i] || !rec.good("Position", "Wood", "Strips per side")
			return
		}
		p := md.Positions[at]
		if p.Allowed != nil && !slices.Contains(p.Allowed, ids[rec]) {
			m.fault("Reference", rec.row, rec.at("Wood").col, fmt.Sprintf("the reference of %q has %s at position %q, where it is not allowed", md.Name, ids[rec], p.Name),
				fmt.Sprintf("allow it there (Positions, row %d), or put another wood into the reference", p.row))
		}
		md.Reference = append(md.Reference, Run{Position: at, Wood: ids[rec], Strips: int(rec.value("Strips per side"))})
	})
	for i := range m.job.Models {
		md := &m.job.Models[i]
		slices.SortStableFunc(md.Reference, func(a, b Run) int { return a.Position - b.Position })
		if len(rows[i]) == 0 || faulty[i] || len(md.Positions) == 0 {
			continue
		}
		for k, p := range md.Positions {
			have := 0
			last := rows[i][len(rows[i])-1]
			for _, rec := range rows[i] {
				if at, ok := m.indexOf(rec, md); ok && at == k {
					have += int(rec.value("Strips per side"))
					last = rec
				}
			}
			if have == p.Strips || p.Strips == 0 {
				continue
			}
			problem := fmt.Sprintf("the reference of %q has %d strips at position %q, which holds %d", md.Name, have, p.Name, p.Strips)
			if have == 0 {
				problem = fmt.Sprintf("the reference of %q has no strips at position %q, which holds %d", md.Name, p.Name, p.Strips)
			}
			m.fault("Reference", last.row, last.at("Strips per side").col, problem, fmt.Sprintf("let the rows of the position add up to %d", p.Strips))
			faulty[i] = true
		}
		if faulty[i] || m.broken[i] {
			md.Reference = nil
			continue
		}
		m.mirrored(md, rows[i][0])
	}
}

func (m *modelReader) indexOf(rec *record, md *Model) (int, bool) {
	k, ok := m.places[m.indexOfModel(md)][key(rec.text("Position"))]
	return k, ok
}

// mirrored checks that the reference can be laid alike left and right: only a centre-line block can fail to.
func (m *modelReader) mirrored(md *Model, first *record) {
	b := &core.Board{Positions: corePositions(md)}
	if _, err := layout(b, md.Reference, func(string) (int, bool) { return 0, true }); err != nil {
		rec := first
		t := m.t["Reference"]
		for i := range t.records {
			if at, ok := m.indexOf(&t.records[i], md); ok && at == 0 && slices.Contains(m.which(&t.records[i]), m.indexOfModel(md)) {
				rec = &t.records[i]
				break
			}
		}
		m.fault("Reference", rec.row, rec.at("Strips per side").col, fmt.Sprintf("the reference of %q: %s", md.Name, sentence(err)),
			"an odd block has one strip astride the centre line and pairs beside it; write the rows from the centre line outward")
		md.Reference = nil
	}
}

func (m *modelReader) indexOfModel(md *Model) int {
	return m.index[key(md.Name)]
}
