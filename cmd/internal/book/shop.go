package book

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"stavewright/optimize"
	"stavewright/sourcing"
	"stavewright/species"
)

// A setting is one row that the Shop sheet can have.
type setting struct {
	Name, Unit string
	low, high  float64
	isText     bool
	isDay      bool    // a date
	isWhole    bool    // a whole number
	standard   float64 // where the sheet says nothing
	Note       string
	otherwise  string // what holds where the sheet says nothing, if neither the standard nor "no limit" says it
	set        func(job *Job, v float64)
	limit      func(job *Job) *optimize.Limit // where nothing said means no limit
}

// sawing are the allowances of the sourcing package, common practice all of them.
var sawing = sourcing.DefaultShop()

// settings are those of the Shop sheet besides money, holding reference, budget and rates.
var settings = []setting{
	{Name: "kerf", Unit: "mm", high: 50, standard: sawing.KerfMM, Note: "what the rip saw takes", set: func(j *Job, v float64) { j.Shop.KerfMM = v }},
	{Name: "planing per face", Unit: "mm", high: 20, standard: sawing.PlaningMM, Note: "off each face of a strip after ripping", set: func(j *Job, v float64) { j.Shop.PlaningMM = v }},
	{Name: "edging loss", Unit: "mm", high: 500, standard: sawing.EdgingMM, Note: "once per plank, in making an edge straight", set: func(j *Job, v float64) { j.Shop.EdgingMM = v }},
	{Name: "end trim", Unit: "mm", high: 2000, standard: sawing.EndTrimMM, Note: "per plank, both ends together", set: func(j *Job, v float64) { j.Shop.EndTrimMM = v }},
	{Name: "yield", Unit: "%", low: 1, high: 100, standard: sawing.YieldPct, Note: "good strips of all strips, where a grade gives none", set: func(j *Job, v float64) { j.Shop.YieldPct = v }},
	{Name: "moisture", Unit: "%", low: 4, high: 25, standard: species.Standard.MoisturePct, Note: "of the wood when it is glued", set: func(j *Job, v float64) { j.Conditions.MoisturePct = v }},
	{Name: "modulus raise", Unit: "%", high: 25, standard: species.Standard.ModulusRaisePct, Note: "of table moduli, to remove shear from short bending tests (Wood Handbook: 10)", set: func(j *Job, v float64) { j.Conditions.ModulusRaisePct = v }},
	{Name: "glue spread", Unit: "g/m2", high: 2000, standard: defaultGlue, Note: "per joint", set: func(j *Job, v float64) { j.Shop.GlueGM2 = v }},
	{Name: "fast-grown up to", Unit: "years", high: 500, standard: defaultYears, Note: "longest rotation of a wood that you call fast-grown", set: func(j *Job, v float64) { j.Shop.FastUpToYears = v }},
	{Name: "strip correlation", Unit: "", high: 1, Note: "between the moduli of strips: 0 independent, 1 all from one plank", set: func(j *Job, v float64) { j.Shop.Correlation = v }},
	{Name: "scrap boards", Unit: "%", high: 90, Note: "boards built beyond those sold", set: func(j *Job, v float64) { j.Shop.ScrapPct = v }},
	{Name: "profile rounding", Unit: "mm", low: 0.0001, high: 1, standard: 0.001, Note: "of the thicknesses of a trimmed profile (match)", set: func(j *Job, v float64) { j.Shop.ProfileRoundingMM = v }},
	{Name: "least thickness", Unit: "mm", high: 100, Note: "thinnest that a trimmed profile may be (match)", otherwise: "the thinnest of the profile", set: func(j *Job, v float64) { j.Shop.LeastThicknessMM = v }},
	{Name: "holding reference", Unit: "wood", isText: true, Note: "100 % of screw holding", otherwise: defaultWood},
	{Name: "money", Unit: "currency", isText: true, Note: "three letters, such as EUR", otherwise: defaultMoney},
	{Name: "budget", Unit: "job money", high: maxFigure, Note: "for all orders of the season, freight and stock used included"},
	{Name: orderingDay, Unit: "date", isDay: true, Note: "earliest day that orders of the season are placed; without it lead times and validity of prices are not checked"},
	{Name: moistureAtMost, Unit: "%", low: 4, high: 25, Note: "the most that the season's lumber may have when it is used. An offer's upper figure counts; without a figure " + typicalMoistures() + ". Lumber of unstated moisture counts as too moist, stock as dry", limit: func(j *Job) *optimize.Limit { return &j.Shop.MoistureAtMostPct }},
	{Name: conditioningDays, Unit: "days", high: 3650, isWhole: true, Note: "that lumber above \"" + moistureAtMost + "\" dries in the shop before it is used", otherwise: "such lumber is left out of the season", limit: func(j *Job) *optimize.Limit { return &j.Shop.ConditioningDays }},
	{Name: "season fast-grown", Unit: "%", high: 100, Note: "of the volume of all strips cut for the season, at least", limit: func(j *Job) *optimize.Limit { return &j.Shop.SeasonFastPct }},
	{Name: "season certified", Unit: "%", high: 100, Note: "of the volume of all strips cut for the season, at least from certified lots; stock is not certified", limit: func(j *Job) *optimize.Limit { return &j.Shop.SeasonCertPct }},
	{Name: "suppliers per wood", Unit: "suppliers", low: 1, high: 100, Note: "at most, in the season's orders; the yard does not count", limit: func(j *Job) *optimize.Limit { return &j.Shop.MaxSuppliers }},
}

const (
	ratePrefix       = "rate "
	rateNote         = "job money per unit: how much one USD costs; likewise for every other currency of a price"
	orderingDay      = "ordering day"
	moistureAtMost   = "moisture at most"
	conditioningDays = "conditioning days"
	defaultGlue      = 200.0 // g/m², common practice for a spread by roller
	defaultYears     = 15.0
	defaultWood      = "aspen-quaking"
	defaultMoney     = "EUR"
)

// typicalMoistures says how states without a figure count.
func typicalMoistures() string {
	var out []string
	for _, state := range []string{"KD", "AD", "green"} {
		pct, _, _ := sourcing.MostMoisturePct(state)
		out = append(out, fmt.Sprintf("%s counts as %s %%", state, plain(pct)))
	}
	return strings.Join(out, ", ") + " (common practice)"
}

// shop reads the Shop sheet over its defaults.
func (r *reader) shop(job *Job, t *table) {
	job.Shop = Shop{HoldingRef: defaultWood, Currency: defaultMoney, Rates: sourcing.Rates{}}
	for _, s := range settings {
		if s.set != nil {
			s.set(job, s.standard)
		}
	}
	seen := map[string]int{}
	rateRow := map[string]*record{}
	var conditioning *record // the row of that setting
	for i := range t.records {
		rec := &t.records[i]
		name, value := rec.at("Setting"), rec.at("Value")
		if !name.set {
			continue
		}
		k := key(name.text)
		if first, twice := seen[k]; twice {
			r.faultAt(rec, "Setting", fmt.Sprintf("setting %q is there twice, first in row %d", name.text, first), "keep one of them")
			continue
		}
		seen[k] = rec.row
		if code, ok := strings.CutPrefix(k, ratePrefix); ok {
			if r.rate(job, rec, strings.ToUpper(strings.TrimSpace(code))) {
				rateRow[strings.ToUpper(strings.TrimSpace(code))] = rec
			}
			continue
		}
		s, ok := findSetting(k)
		if !ok {
			var names []string
			for _, s := range settings {
				names = append(names, s.Name)
			}
			r.faultAt(rec, "Setting", fmt.Sprintf("setting %q is not known", name.text), didYouMean(name.text, append(names, "rate USD")))
			continue
		}
		if u := rec.at("Unit"); u.set && fold(bracketed.ReplaceAllString(u.text, "")) != fold(s.Unit) && s.Unit != "" && s.Name != "budget" {
			r.faultAt(rec, "Unit", fmt.Sprintf("%s is read in %s, not %q", s.Name, s.Unit, u.text), fmt.Sprintf("give the value in %s", s.Unit))
			continue
		}
		switch {
		case !value.set:
		case value.isDate && !s.isDay:
			r.faultAt(rec, "Value", fmt.Sprintf("%s is a date", s.Name), "write a number or a word")
		case s.isDay:
			r.daySetting(job, rec, s)
		case s.isText:
			r.textSetting(job, rec, s)
		case value.isText:
			r.numberSetting(rec, s.Name, s.Unit)
		default:
			c := column{Name: s.Name, Unit: s.Unit, Low: s.low, High: s.high}
			if s.isWhole {
				c.Kind = whole
			}
			if problem, advice := c.outside(value.value); problem != "" {
				r.faultAt(rec, "Value", problem, advice)
				continue
			}
			if s.Name == "budget" {
				job.Shop.Budget = optimize.MoneyLimit{Set: true, Value: value.amount, Where: rec.where(value)}
				continue
			}
			if s.limit != nil {
				*s.limit(job) = optimize.Limit{Set: true, Value: value.value, Where: rec.where(value)}
				if s.Name == conditioningDays {
					conditioning = rec
				}
				continue
			}
			s.set(job, value.value)
		}
	}
	if conditioning != nil && !job.Shop.MoistureAtMostPct.Set {
		r.warn("Shop", conditioning.row, conditioning.at("Setting").col, fmt.Sprintf("%q has no effect without %q", conditioningDays, moistureAtMost),
			fmt.Sprintf("add the setting %q, in %%, or delete the row", moistureAtMost))
	}
	one := decimal.NewFromInt(1)
	if rec, ok := rateRow[job.Shop.Currency]; ok && !job.Shop.Rates[job.Shop.Currency].Equal(one) {
		r.faultAt(rec, "Value", fmt.Sprintf("the job's money is %s, so its rate is 1", job.Shop.Currency), "delete the row")
	}
	job.Shop.Rates[job.Shop.Currency] = one
}

// note is what the sheet of lists says of a setting.
func (s setting) note() string {
	var b strings.Builder
	if s.Unit != "" {
		fmt.Fprintf(&b, "%s: ", s.Unit)
	}
	b.WriteString(s.Note)
	switch {
	case s.otherwise != "":
		b.WriteString("; else " + s.otherwise)
	case s.limit != nil:
		b.WriteString("; else no limit")
	case s.set != nil:
		fmt.Fprintf(&b, "; else %s", plain(s.standard))
	}
	return b.String()
}

func findSetting(k string) (setting, bool) {
	for _, s := range settings {
		if fold(s.Name) == fold(k) {
			return s, true
		}
	}
	return setting{}, false
}

// numberSetting reports text where a setting takes a number.
func (r *reader) numberSetting(rec *record, name, unit string) {
	e := rec.at("Value")
	c := column{Name: name, Unit: unit}
	r.number(&c, e, cell{kind: textual, raw: e.text}, func(problem, advice string) { r.faultAt(rec, "Value", problem, advice) })
}

// rate reads a setting such as "rate USD": job money per unit of USD.
func (r *reader) rate(job *Job, rec *record, code string) bool {
	v := rec.at("Value")
	switch {
	case !isCurrency(code):
		r.faultAt(rec, "Setting", fmt.Sprintf("%q is not rate and a code of three letters", rec.text("Setting")), "write for example rate USD")
	case !v.set:
	case v.isText:
		r.numberSetting(rec, "rate "+code, "")
	case !(v.value > 0) || math.IsInf(v.value, 0) || v.value > maxFigure || v.amount.Sign() <= 0:
		r.faultAt(rec, "Value", fmt.Sprintf("the rate of %s is %s", code, plain(v.value)), "write how much job money one "+code+" costs, above 0")
	default:
		job.Shop.Rates[code] = v.amount
		return true
	}
	return false
}

// daySetting reads a day, given as a date or as text such as 2027-03-15.
func (r *reader) daySetting(job *Job, rec *record, s setting) {
	v := rec.at("Value")
	if !v.isDate {
		if _, err := time.Parse(time.DateOnly, v.text); err != nil {
			r.faultAt(rec, "Value", fmt.Sprintf("%s is %q, not a date", s.Name, v.text), "write a date, or text like 2027-01-18")
			return
		}
	}
	job.Shop.OrderingDay = v.text
}

func (r *reader) textSetting(job *Job, rec *record, s setting) {
	v := rec.at("Value")
	switch {
	case !v.isText:
		r.faultAt(rec, "Value", fmt.Sprintf("%s is the number %s", s.Name, v.text), "write a "+s.Unit)
	case s.Name == "money":
		if code := strings.ToUpper(v.text); isCurrency(code) {
			job.Shop.Currency = code
		} else {
			r.faultAt(rec, "Value", fmt.Sprintf("money %q is not a code of three letters", v.text), "write a code such as EUR")
		}
	case s.Name == "holding reference":
		job.Shop.HoldingRef = v.text // looked up once the book's own woods are known
	}
}
