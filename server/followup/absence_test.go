package followup_test

import (
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

func TestAbsence(t *testing.T) {
	gone := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	wren := models.Person{ID: "wren", IsProsthetist: true, AwayUntil: "2026-12-03"}
	alder := models.Person{ID: "alder", IsProsthetist: true, AwayUntil: "2026-12-01"}
	here := models.Person{ID: "here", IsProsthetist: true, AwayUntil: "2026-11-24"} // back since yesterday
	left := models.Person{ID: "left", IsProsthetist: true, DisabledAt: &gone}
	kit := models.Person{ID: "kit", IsFitter: true}
	awayToo := models.Person{ID: "too", IsFitter: true, AwayUntil: "2026-11-25"}
	people := []models.Person{wren, alder, here, left, kit, awayToo}
	tests := []struct {
		name   string
		team   []models.Person
		deputy string
		away   int
		until  quantity.Date
		stands string
	}{
		{"the only one", []models.Person{wren, kit}, "kit", 1, "2026-12-03", "kit"},
		{"nobody named", []models.Person{wren}, "", 1, "2026-12-03", ""},
		{"the deputy away as well, to the end of today", []models.Person{wren}, "too", 1, "2026-12-03", ""},
		{"the deputy left", []models.Person{wren}, "left", 1, "2026-12-03", ""},
		{"two, the first back first", []models.Person{wren, alder}, "kit", 2, "2026-12-01", "kit"},
		{"one is here", []models.Person{wren, here}, "kit", 0, "", ""},
		{"one who left does not count as here", []models.Person{wren, left}, "kit", 1, "2026-12-03", "kit"},
		{"no prosthetist", []models.Person{kit}, "kit", 0, "", ""},
		{"no team", nil, "", 0, "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			client := models.Client{CareTeam: tt.team}
			if tt.deputy != "" {
				client.DeputyID = &tt.deputy
			}
			got, ok := followup.AbsenceOf(client, people, "2026-11-25")
			if ok != (tt.away > 0) {
				t.Fatalf("away %t, want %t", ok, tt.away > 0)
			}
			if !ok {
				return
			}
			stands := ""
			if got.StandIn != nil {
				stands = got.StandIn.ID
			}
			if len(got.Away) != tt.away || got.Until != tt.until || stands != tt.stands {
				t.Errorf("got %d away until %s, %q stands in; want %d, %s, %q", len(got.Away), got.Until, stands, tt.away, tt.until, tt.stands)
			}
		})
	}
}
