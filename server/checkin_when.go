package server

import (
	"time"

	"fairlead/server/form"
)

// whichField says which moment is meant where the clocks show the time of the
// visit twice, in the night in which they are put back.
const whichField = "which_time"

// The choices of whichField.
const (
	firstTime  = "first"
	secondTime = "second"
)

var whichTimes = []string{firstTime, secondTime}

// whenMeasured reads when the visit was. Of two moments somebody has to choose
// one; until then it is the first, with a problem.
func whenMeasured(r *form.Reader) time.Time {
	r.Require("date", "time")
	if r.Empty("date") || r.Empty("time") {
		return time.Time{}
	}
	at, again := r.DateTime("date", "time")
	if again.IsZero() {
		return at
	}
	if r.Empty(whichField) {
		r.Add(whichField, "checkin.which-time", map[string]any{"Date": r.Typed("date"), "Typed": r.Typed("time")})
	}
	if form.Choice(r, whichField, whichTimes) == secondTime {
		return again
	}
	return at
}

// timeOfVisit reads a time on the day of the visit. Of two moments it is the one
// nearest to another moment of the same visit: nobody waits for an hour in
// between.
func timeOfVisit(r *form.Reader, field string, near time.Time) *time.Time {
	if r.Empty(field) || r.Empty("date") {
		return nil
	}
	at, again := r.DateTime("date", field)
	if at.IsZero() {
		return nil
	}
	if !again.IsZero() && again.Sub(near).Abs() < at.Sub(near).Abs() {
		at = again
	}
	return &at
}

// whichOf tells which of two a moment is, or "" where the clocks of the zone show
// its time once.
func whichOf(at time.Time, zone *time.Location) string {
	r := form.New(map[string]string{
		"date": at.In(zone).Format(time.DateOnly), "time": form.FormatClock(at, zone),
	}, form.Options{Now: at.Add(24 * time.Hour), Zone: zone})
	_, again := r.DateTime("date", "time")
	switch {
	case again.IsZero():
		return ""
	case at.Before(again):
		return firstTime
	}
	return secondTime
}
