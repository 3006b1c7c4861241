package followup_test

import (
	"encoding/json"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/server/followup"
)

// TestWorkingKeepsToTheVersionOfTheEvidence works the evidence of a flag out
// from the versions of the check-ins that it was found in, after both were
// corrected.
func TestWorkingKeepsToTheVersionOfTheEvidence(t *testing.T) {
	b := newBench(t)
	delivery := b.record(b.checkin(deliveredAt340))
	mistyped := b.record(b.checkin(newestAt320))
	b.correct(mistyped, taping{day: 60, girths: girthsOf(339)})
	b.correct(delivery, deliveredAt320)
	evidence := b.flags(assess.VolumeChange)[0].Evidence
	var f assess.Finding
	b.must(json.Unmarshal(evidence[len(evidence)-1].Finding, &f))
	w := b.load().Working(b.limb.ID, f)
	if w.Missing != "" || w.Volume == nil {
		t.Fatalf("working %+v", w)
	}
	then, now := w.Volume.Then, w.Volume.Now
	if then.Visit.Checkin.ID != delivery.ID || now.Visit.Checkin.ID != mistyped.ID {
		t.Errorf("worked out from %s and %s, want the versions of the evidence", then.Visit.Checkin.ID, now.Visit.Checkin.ID)
	}
	if then.Levels[0].GirthMM != 340 || now.Levels[0].GirthMM != 320 || len(now.Levels[0].Readings) != 2 {
		t.Errorf("girths %+v and %+v, want 340 and 320 mm of two readings", then.Levels[0], now.Levels[0])
	}
	change, _ := f.Value("change")
	if w.Volume.Change.ChangePercent != change.Value {
		t.Errorf("change %v %%, the evidence has %v %%", w.Volume.Change.ChangePercent, change.Value)
	}
}

// TestWorkingOfWhatIsNotThere names a check-in of another record, and a limb.
func TestWorkingOfWhatIsNotThere(t *testing.T) {
	b := newBench(t)
	visit := b.record(b.checkin(deliveredAt340))
	record := b.load()
	for name, f := range map[string]assess.Finding{
		"another check-in": {Rule: assess.VolumeChange, VisitID: "elsewhere", AgainstVisitID: visit.ID},
		"no other visit":   {Rule: assess.RoomChanged, VisitID: visit.ID, AgainstVisitID: "elsewhere"},
	} {
		if w := record.Working(b.limb.ID, f); w.Missing != followup.WorkingNotFound || w.Volume != nil {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if w := record.Working("another limb", assess.Finding{Rule: assess.SocksPly, VisitID: visit.ID}); w.Missing != followup.WorkingNotFound {
		t.Errorf("another limb: %+v", w)
	}
	if w := record.Working(b.limb.ID, assess.Finding{Rule: assess.ClearanceBelow, VisitID: visit.ID, Place: "no station"}); w.Missing != followup.WorkingDiffers {
		t.Errorf("no readings: %+v", w)
	}
	if w := record.Working(b.limb.ID, assess.Finding{Rule: assess.SkinSign, VisitID: "elsewhere"}); w.Missing != "" {
		t.Errorf("no arithmetic: %+v", w)
	}
}
