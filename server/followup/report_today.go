package followup

import (
	"context"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// SkinToday tells whether what a client says of the skin raises a flag of the
// level now on any limb that the report is about: by the same rules and the same
// record as ReceiveReport, sent or not. The client is told what to do by it, so
// nothing holds it up: a record that can't be read is told to lost, and the report
// judged alone.
func SkinToday(ctx context.Context, store *models.Store, now time.Time, r models.Report, lost func(error)) bool {
	if len(r.Said.Skin) == 0 && !slices.Contains(r.Said.What, "skin") {
		return false
	}
	zone := ""
	if w, err := store.Workshop(ctx); err != nil {
		lost(err)
	} else {
		zone = w.Zone
	}
	said := assessReport(r, dayIn(zone, now))
	forToday := func(findings []assess.Finding) bool {
		return slices.ContainsFunc(findings, func(f assess.Finding) bool { return f.Rule == assess.ReportSkin && f.Level == assess.Now })
	}
	if forToday(assess.AssessReport(assess.History{}, said)) {
		return true
	}
	limbs, err := limbsToJudge(ctx, store, r.ClientID, lost)
	if err != nil {
		lost(err)
		return false
	}
	return slices.ContainsFunc(limbs, func(l LimbRecord) bool {
		return (r.LimbID == nil || *r.LimbID == l.Limb.ID) && forToday(l.assessReport(said, lost))
	})
}
