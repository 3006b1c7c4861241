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
	awayToo := models.Person{ID: "too", IsProsthetist: true, PasswordHash: "x", AwayUntil: "2026-11-25"}
	robin := models.Person{ID: "robin", IsProsthetist: true, IsFitter: true, PasswordHash: "x"}
	invited := models.Person{ID: "invited", IsProsthetist: true}
	people := []models.Person{wren, alder, here, left, kit, awayToo, robin, invited}
	tests := []struct {
		name   string
		team   []models.Person
		deputy string
		away   int
		until  quantity.Date
		stands followup.StandIn
	}{
		{"the only one", []models.Person{wren, kit}, "robin", 1, "2026-12-03", followup.StandsIn},
		{"nobody named", []models.Person{wren}, "", 1, "2026-12-03", followup.NobodyNamed},
		{"a fitter neither reviews nor closes", []models.Person{wren}, "kit", 1, "2026-12-03", followup.CannotReview},
		{"the deputy away as well, to the end of today", []models.Person{wren}, "too", 1, "2026-12-03", followup.DeputyAway},
		{"their own deputy", []models.Person{wren}, "wren", 1, "2026-12-03", followup.DeputyAway},
		{"the deputy left", []models.Person{wren}, "left", 1, "2026-12-03", followup.CannotReview},
		{"the deputy has chosen no password yet", []models.Person{wren}, "invited", 1, "2026-12-03", followup.DeputyNotComeIn},
		{"back since yesterday, no password", []models.Person{wren}, "here", 1, "2026-12-03", followup.DeputyNotComeIn},
		{"two, the first back first", []models.Person{wren, alder}, "robin", 2, "2026-12-01", followup.StandsIn},
		{"one is here", []models.Person{wren, here}, "robin", 0, "", 0},
		{"one who left does not count as here", []models.Person{wren, left}, "robin", 1, "2026-12-03", followup.StandsIn},
		{"no prosthetist", []models.Person{kit}, "robin", 0, "", 0},
		{"no team", nil, "", 0, "", 0},
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
			named := ""
			if got.Deputy != nil {
				named = got.Deputy.ID
			}
			if named != tt.deputy {
				t.Errorf("deputy %q, want %q", named, tt.deputy)
			}
			if len(got.Away) != tt.away || got.Until != tt.until || got.StandIn != tt.stands {
				t.Errorf("got %d away until %s, stands in: %d; want %d, %s, %d", len(got.Away), got.Until, got.StandIn, tt.away, tt.until, tt.stands)
			}
		})
	}
}
