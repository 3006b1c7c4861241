package form

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/quantity"
)

// The years that a date can lie in.
const (
	firstYear = 1900
	lastYear  = 2199
)

// Date reads a calendar date: 2026-11-25, 2026/11/25 or 25.11.2026, and
// 25/11/2026 where only one reading of day and month exists. Two-digit years
// and dates with two readings are problems.
func (r *Reader) Date(field string) quantity.Date {
	if compact(r.values[field]) == "" {
		return ""
	}
	date, f := parseDate(r.values[field])
	if f != nil {
		r.fail(field, f)
		return ""
	}
	return date
}

// DateNotFuture reads as Date does; a date after today is a problem.
func (r *Reader) DateNotFuture(field string) quantity.Date {
	date := r.Date(field)
	if date > r.options.Today {
		r.Add(field, DateFuture, map[string]any{"Typed": shown(r.values[field]), "Today": string(r.options.Today)})
		return ""
	}
	return date
}

// parseDate reads a typed date that is not empty.
func parseDate(typed string) (quantity.Date, *fault) {
	text := compact(typed)
	wrong := &fault{NotDate, map[string]any{"Typed": shown(typed)}}
	at := strings.IndexAny(text, "-./")
	if at < 0 {
		return "", wrong
	}
	separator := text[at : at+1]
	parts := strings.Split(text, separator)
	if len(parts) != 3 {
		return "", wrong
	}
	var figures [3]int
	for i, part := range parts {
		figure, err := strconv.ParseUint(part, 10, 16)
		if err != nil || len(part) > 4 {
			return "", wrong
		}
		figures[i] = int(figure)
	}
	switch {
	case len(parts[0]) == 4 && len(parts[1]) <= 2 && len(parts[2]) <= 2:
		return calendar(typed, figures[0], figures[1], figures[2])
	case len(parts[0]) > 2 || len(parts[1]) > 2 || len(parts[2]) == 3:
		return "", wrong
	case len(parts[2]) < 4:
		return "", &fault{DateShortYear, map[string]any{"Typed": shown(typed)}}
	case separator == ".":
		return calendar(typed, figures[2], figures[1], figures[0])
	}
	return eitherOrder(typed, figures)
}

// eitherOrder reads day and month, or month and day, before the year when only
// one of the two is a date.
func eitherOrder(typed string, figures [3]int) (quantity.Date, *fault) {
	dayFirst, fault1 := calendar(typed, figures[2], figures[1], figures[0])
	monthFirst, fault2 := calendar(typed, figures[2], figures[0], figures[1])
	switch {
	case fault1 != nil:
		return monthFirst, fault2
	case fault2 == nil && dayFirst != monthFirst:
		return "", &fault{DateEither, map[string]any{
			"Typed": shown(typed), "First": string(dayFirst), "Second": string(monthFirst),
		}}
	}
	return dayFirst, nil
}

// calendar returns the date of a year, month and day, if there is such a day.
func calendar(typed string, year, month, day int) (quantity.Date, *fault) {
	date, err := quantity.ParseDate(fmt.Sprintf("%04d-%02d-%02d", year, month, day))
	if err != nil {
		return "", &fault{DateAbsent, map[string]any{"Typed": shown(typed)}}
	}
	if year < firstYear || year > lastYear {
		return "", &fault{DateYear, map[string]any{
			"Typed": shown(typed), "Min": strconv.Itoa(firstYear), "Max": strconv.Itoa(lastYear),
		}}
	}
	return date, nil
}

// slack is how far ahead of our clock a time may lie, since the clock of the
// person who stamps it may be fast.
const slack = 5 * time.Minute

// DateTime reads a date field and a time field ("9:05" or "14:30") as one
// moment at the place of measurement and returns it in UTC. Both empty give the
// zero time; one empty is a problem of that one. A time that the clocks skip
// in spring is a problem. For one that comes twice in autumn at is the first and
// again the second, so that the caller can ask which is meant; otherwise, and
// while the second lies ahead, again is the zero time. More than five minutes
// ahead is a problem.
func (r *Reader) DateTime(dateField, timeField string) (at, again time.Time) {
	noDate, noTime := compact(r.values[dateField]) == "", compact(r.values[timeField]) == ""
	switch {
	case noDate && noTime:
		return time.Time{}, time.Time{}
	case noDate:
		r.Add(dateField, DateMissing, nil)
		return time.Time{}, time.Time{}
	case noTime:
		r.Add(timeField, TimeMissing, nil)
		return time.Time{}, time.Time{}
	}
	date := r.Date(dateField)
	typed := shown(r.values[timeField])
	clock, ok := parseClock(r.values[timeField])
	if !ok {
		r.Add(timeField, NotTime, map[string]any{"Typed": typed})
	}
	day, known := date.Time()
	if !ok || !known {
		return time.Time{}, time.Time{}
	}
	moments := instants(day.Add(clock), r.options.Zone)
	if len(moments) == 0 {
		r.Add(timeField, TimeSkipped, map[string]any{"Typed": typed, "Date": string(date)})
		return time.Time{}, time.Time{}
	}
	latest := r.options.Now.Add(slack)
	if moments[0].After(latest) {
		r.Add(timeField, TimeFuture, map[string]any{
			"Typed": typed, "Date": string(date), "Now": r.options.Now.In(r.options.Zone).Format("2006-01-02 15:04"),
		})
		return time.Time{}, time.Time{}
	}
	if len(moments) > 1 && !moments[1].After(latest) {
		again = moments[1]
	}
	return moments[0], again
}

// TimeOfDay reads a time of day and returns it as 15:04; an empty field is an
// empty text.
func (r *Reader) TimeOfDay(field string) string {
	if r.Empty(field) {
		return ""
	}
	clock, ok := parseClock(r.values[field])
	if !ok {
		r.Add(field, NotTime, map[string]any{"Typed": shown(r.values[field])})
		return ""
	}
	return time.Time{}.Add(clock).Format("15:04")
}

// parseClock reads a time of day of 24 hours as the duration since midnight.
// Seconds, which some browsers send, are kept.
func parseClock(typed string) (time.Duration, bool) {
	text := strings.ReplaceAll(compact(typed), ".", ":")
	for _, layout := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(layout, text); err == nil {
			return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute +
				time.Duration(t.Second())*time.Second, true
		}
	}
	return 0, false
}

// instants returns the moments in UTC, in order, at which the clocks of the
// zone show what wall shows in UTC: none in the hour that is skipped, two in
// the hour that comes twice. It looks at the offsets a day before and after,
// so it knows one change of the clocks at a time, as zones have them. Clocks
// that are put back had the greater offset before, so the first found is the
// earlier.
func instants(wall time.Time, zone *time.Location) []time.Time {
	var found []time.Time
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, seconds := wall.Add(near).In(zone).Zone()
		moment := wall.Add(-time.Duration(seconds) * time.Second)
		if _, offset := moment.In(zone).Zone(); offset != seconds || len(found) > 0 && found[0].Equal(moment) {
			continue
		}
		found = append(found, moment)
	}
	return found
}
