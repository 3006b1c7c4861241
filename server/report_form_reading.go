package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// nextReading says when reports are read next, as the workshop has set it:
// "tomorrow, Thursday, at 8:00". It is empty where nothing is set: then nothing
// is promised.
func (s *server) nextReading(c *gin.Context) string {
	now := s.now().In(s.zone(c))
	next, ok := readsNext(s.workshop(c), now)
	if !ok {
		return ""
	}
	id := "report.reads.day"
	switch days := daysBetween(now, next); days {
	case 0:
		id = "report.reads.today"
	case 1:
		id = "report.reads.tomorrow"
	case 7:
		id = "report.reads.week"
	}
	day := s.text(c, "weekday."+strings.ToLower(next.Weekday().String()))
	return s.text(c, id, "Day", day, "Time", strings.TrimPrefix(next.Format("15:04"), "0"))
}

// readsNext is the first time after now at which the workshop reads reports, in
// the zone of now.
func readsNext(w models.Workshop, now time.Time) (time.Time, bool) {
	at, err := time.Parse("15:04", w.ReadsReportsAt)
	if err != nil {
		return time.Time{}, false
	}
	for days := range 8 {
		next := time.Date(now.Year(), now.Month(), now.Day()+days, at.Hour(), at.Minute(), 0, 0, now.Location())
		if next.After(now) && slices.Contains(w.ReadsReportsOn, strings.ToLower(next.Weekday().String())) {
			return next, true
		}
	}
	return time.Time{}, false
}

// daysBetween is how many midnights lie between two times of one zone, the
// second not before the first.
func daysBetween(from, to time.Time) int {
	a := time.Date(from.Year(), from.Month(), from.Day(), 0, 0, 0, 0, time.UTC)
	b := time.Date(to.Year(), to.Month(), to.Day(), 0, 0, 0, 0, time.UTC)
	return int(b.Sub(a).Hours() / 24)
}
