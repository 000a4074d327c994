package sourcing

import (
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// A dayOrder is what 3/4/25 means.
type dayOrder uint8

const (
	orderOpen dayOrder = iota
	dayFirst
	monthFirst
)

// monthNames in English, German, French, Italian and Spanish, by their beginnings.
var monthNames = []string{"jan jän jen gen ene", "feb fév fev", "mar mär mrz maer", "apr avr abr", "may mai mag", "jun juin giu", "jul juil lug",
	"aug aoû ago", "sep set", "oct okt ott", "nov", "dec dez déc dic"}

func monthOf(word string) time.Month {
	w := fold(word)
	if len(w) < 3 {
		return 0
	}
	for i, starts := range monthNames {
		for _, s := range strings.Fields(starts) {
			if strings.HasPrefix(w, fold(s)) {
				return time.Month(i + 1)
			}
		}
	}
	return 0
}

var (
	ymd       = regexp.MustCompile(`^(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:t[\d:.]+z?)?$`)
	figures   = regexp.MustCompile(`^(\d{1,2}) ?([./-]) ?(\d{1,2}) ?[./-] ?(\d{4}|\d{2})$`)
	dayName   = regexp.MustCompile(`^(\d{1,2})(?:\.|st|nd|rd|th|er|º|°)?[ -]?(?:de |of )?([\pL]{3,10})\.?(?:[ ,-]+(?:de |del )?(\d{4}|\d{2}))?$`)
	nameDay   = regexp.MustCompile(`^([\pL]{3,10})\.? (\d{1,2})(?:st|nd|rd|th)?(?:,? (\d{4}))?$`)
	weekDate  = regexp.MustCompile(`^(?:kw|week|wk|cw|semaine|sem|s|settimana|sett|semana)\.? ?(\d{1,2})(?: ?[/. -] ?(\d{4}|\d{2}))?$`)
	looksDate = regexp.MustCompile(`^(?:\d{1,2}[./-] ?[\pL]{3,9}\.?(?:[ -]\d{2,4})?|\d{1,2}\. ?[\pL]{3,9}\.?(?: \d{2,4})?|\d{1,2}[./-]\d{1,2}[./-]\d{2,4})$`)
)

// parseDate reads a date of one of the usual forms; zero when the text is none, or does not say which figure is the month:
// then open is true. Two figures with a point between them stand in the order of the countries that write so: day, month.
func parseDate(text string, order dayOrder) (d time.Time, open bool) {
	s := strings.ToLower(tidy(text))
	if m := ymd.FindStringSubmatch(s); m != nil {
		return dateOf(m[1], m[2], m[3]), false
	}
	if m := figures.FindStringSubmatch(s); m != nil {
		first, second := m[1], m[3]
		a, _ := strconv.Atoi(first)
		b, _ := strconv.Atoi(second)
		switch {
		case m[2] == ".", a > 12, a == b, order == dayFirst:
			return dateOf(m[4], second, first), false
		case b > 12, order == monthFirst:
			return dateOf(m[4], first, second), false
		}
		return time.Time{}, true
	}
	if m := dayName.FindStringSubmatch(s); m != nil && m[3] != "" {
		if month := monthOf(m[2]); month > 0 {
			return dateOf(m[3], strconv.Itoa(int(month)), m[1]), false
		}
	}
	if m := nameDay.FindStringSubmatch(s); m != nil && m[3] != "" {
		if month := monthOf(m[1]); month > 0 {
			return dateOf(m[3], strconv.Itoa(int(month)), m[2]), false
		}
	}
	return time.Time{}, false
}

// dateOf is zero when there is no such day. A year of two figures is one of this century.
func dateOf(year, month, day string) time.Time {
	y, _ := strconv.Atoi(year)
	m, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(day)
	if y < 100 {
		y += 2000
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Day() != d || int(t.Month()) != m || y < 1990 || y > 2100 {
		return time.Time{}
	}
	return t
}

// proves is the order that a date of figures proves.
func proves(text string) dayOrder {
	m := figures.FindStringSubmatch(strings.ToLower(tidy(text)))
	if m == nil || m[2] == "." {
		return orderOpen
	}
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[3])
	switch {
	case a > 12 && b <= 12:
		return dayFirst
	case b > 12 && a <= 12:
		return monthFirst
	}
	return orderOpen
}

// parseWeek reads a calendar week (ISO 8601) as its Friday. year counts where the text names none; 0: none is known, and then
// known is true and the date zero.
func parseWeek(text string, year int) (friday time.Time, known bool) {
	m := weekDate.FindStringSubmatch(fold(tidy(text)))
	if m == nil {
		return time.Time{}, false
	}
	week, _ := strconv.Atoi(m[1])
	if m[2] != "" {
		if year, _ = strconv.Atoi(m[2]); year < 100 {
			year += 2000
		}
	}
	if year < 1990 || year > 2100 || week < 1 || week > 53 {
		return time.Time{}, true
	}
	// 4 January is in week 1.
	jan4 := time.Date(year, 1, 4, 0, 0, 0, 0, time.UTC)
	monday := jan4.AddDate(0, 0, -(int(jan4.Weekday())+6)%7+7*(week-1))
	friday = monday.AddDate(0, 0, 4)
	if y, w := friday.ISOWeek(); y != year || w != week {
		return time.Time{}, true // that year has no week 53
	}
	return friday, true
}

// dateCell reads a cell as a date: a number under a date's format, or text.
func (t *table) dateCell(c cell, order dayOrder) (d time.Time, open bool) {
	if c.is(number) {
		v, err := strconv.ParseFloat(c.text, 64)
		if err != nil || !t.book.look(c.style).date || v < 20_000 || v > 80_000 { // the serials of 1954 to 2119
			return time.Time{}, false
		}
		d, err = excelize.ExcelDateToTime(v, t.book.date1904)
		if err != nil {
			return time.Time{}, false
		}
		return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, 0, 0, time.UTC), false
	}
	return parseDate(c.text, order)
}

// order is what the dates of a column prove of their order; open when nothing, or both.
func (t *table) order(col int) dayOrder {
	if o, ok := t.orders[col]; ok {
		return o
	}
	seen := [3]bool{}
	for _, l := range t.body {
		seen[proves(l.text(col))] = true
	}
	o := orderOpen
	switch {
	case seen[dayFirst] && !seen[monthFirst]:
		o = dayFirst
	case seen[monthFirst] && !seen[dayFirst]:
		o = monthFirst
	}
	t.orders[col] = o
	return o
}
