package quantity

import (
	"fmt"
	"time"
)

// Date is a calendar date in ISO 8601 form (2026-11-25), without a time of day
// or zone. The empty Date means "not known". Dates compare as strings.
type Date string

// ParseDate reads an ISO 8601 calendar date.
func ParseDate(text string) (Date, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return "", fmt.Errorf("%q is not a date like 2026-11-25", text)
	}
	return DateOf(t), nil
}

// DateOf returns the calendar date of t in t's own zone.
func DateOf(t time.Time) Date { return Date(t.Format(time.DateOnly)) }

// Time returns midnight UTC of the date and whether the date is known.
func (d Date) Time() (time.Time, bool) {
	t, err := time.Parse(time.DateOnly, string(d))
	return t, err == nil
}

// DaysSince returns the whole days from earlier to d, and whether both dates
// are known.
func (d Date) DaysSince(earlier Date) (int, bool) {
	a, okA := earlier.Time()
	b, okB := d.Time()
	return int(b.Sub(a).Hours()) / 24, okA && okB
}

// AddDays returns the date n days later; an unknown date stays unknown.
func (d Date) AddDays(n int) Date {
	t, ok := d.Time()
	if !ok {
		return d
	}
	return DateOf(t.AddDate(0, 0, n))
}
