package server

import (
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
)

// lastGirth is the girth at a level at an earlier visit in millimetres, 0 where
// that visit did not read this level.
func (l limbLayout) lastGirth(v *followup.LimbVisit, part quantity.BodyPart, level quantity.Length) float64 {
	if v == nil {
		return 0
	}
	var readings []girth.Reading
	for _, r := range l.Record.Counted(*v, part) {
		if r.Level == level {
			readings = append(readings, girth.Reading{LevelMM: level.MM(), Pass: r.Pass, GirthMM: r.Girth.MM()})
		}
	}
	profile, err := girth.Pool(readings)
	if err != nil || len(profile) == 0 {
		return 0
	}
	return profile[0].GirthMM
}

// checkinDay is the day of a check-in, in words.
func (s *server) checkinDay(c models.Checkin) string {
	return form.FormatDate(followup.Day(c), language)
}
