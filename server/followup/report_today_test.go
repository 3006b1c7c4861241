package followup_test

import (
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// What the client is told of the skin is what the workshop is told: the same day
// where the report raises a flag of the level now, and else not.
func TestSkinTodayIsTheLevelOfTheFlag(t *testing.T) {
	for _, reduced := range []bool{false, true} {
		for _, sign := range append([]string{""}, models.SkinSigns...) {
			b := newBench(t)
			b.linked()
			client, err := b.store.ClientByID(t.Context(), b.limb.ClientID)
			b.must(err)
			client.ReducedFeeling = reduced
			b.must(b.store.UpdateClient(t.Context(), &client))
			said := models.Said{Skin: []string{sign}}
			if sign == "" {
				said = models.Said{What: []string{"skin"}}
			}
			today := followup.SkinToday(t.Context(), b.store, modelstest.Start, models.Report{ClientID: client.ID, Said: said}, b.lost)
			b.report(said, &b.limb.ID)
			if flag := b.flags(assess.ReportSkin)[0]; today != (flag.Level == "now") {
				t.Errorf("%q, reduced feeling %v: the client is told today %v, the flag is %s", sign, reduced, today, flag.Level)
			}
		}
	}
}
