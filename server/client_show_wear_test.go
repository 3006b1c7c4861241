package server

import (
	"slices"
	"testing"

	"fairlead/models"
)

// TestSkinSignsAreNeverLost lists every sign with its moment, whether or not
// somebody looked when the prosthesis came off.
func TestSkinSignsAreNeverLost(t *testing.T) {
	off := models.SkinFinding{Moment: models.OnDoffing, Sign: "blister", Place: "shin"}
	again := models.SkinFinding{Moment: models.AfterTape, Sign: "redness-stays", Place: "shin"}
	tests := []struct {
		name string
		seen models.CheckinLimb
		want []string
	}{
		{"nothing seen", models.CheckinLimb{}, []string{"Nothing was seen on taking off."}},
		{"not looked at", models.CheckinLimb{SkinNotDone: models.Declined}, []string{"Not looked at on taking off: declined."}},
		{"not looked at, seen later", models.CheckinLimb{SkinNotDone: models.NoTime, Skin: []models.SkinFinding{again}},
			[]string{"Not looked at on taking off: no time.", "Redness that stays, shin, before putting on again."}},
		{"nothing at first, seen later", models.CheckinLimb{Skin: []models.SkinFinding{again}},
			[]string{"Nothing was seen on taking off.", "Redness that stays, shin, before putting on again."}},
		{"seen both times", models.CheckinLimb{Skin: []models.SkinFinding{off, again}},
			[]string{"Blister, shin, on taking off.", "Redness that stays, shin, before putting on again."}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := (sheetMaker{sayer: testSayer(t)}).skin(tt.seen); !slices.Equal(got, tt.want) {
				t.Errorf("got  %q\nwant %q", got, tt.want)
			}
		})
	}
}
