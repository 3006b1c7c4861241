package followup_test

import (
	"slices"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
)

// TestDeliveryOfASecondCoverIsJudged: volume is about 14 % larger than 9 days
// before, comfort fell from 8 to 3, on the day that the counting starts anew.
func TestDeliveryOfASecondCoverIsJudged(t *testing.T) {
	delivery := func(day int, cover string, first float64) taping {
		return taping{day: day, kind: models.Delivery, fitter: "a", cover: cover, girths: girthsOf(first)}
	}
	followUp := func(day int, first float64) taping {
		return taping{day: day, kind: models.FollowUp, fitter: "a", girths: girthsOf(first)}
	}
	tests := []struct {
		name    string
		visits  []taping
		against string // of the change of volume
	}{
		{"against the delivery before it", []taping{followUp(0, 320), delivery(10, "old", 340), followUp(91, 340), delivery(100, "cover", 363)}, "checkin-1"},
		{"against the first with the accepted socket", []taping{followUp(0, 320), followUp(30, 340), followUp(91, 340), delivery(100, "cover", 363)}, "checkin-1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := record(tt.visits...)
			l.Prosthesis = &models.Prosthesis{SocketAcceptedOn: "2026-04-01"}
			for i := range l.Visits {
				comfort := 8
				if i == len(l.Visits)-1 {
					comfort = 3
				}
				l.Visits[i].Checkin.ComfortAverage = &comfort
			}
			findings, err := l.Assess()
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range []struct {
				rule    assess.Rule
				level   assess.Level
				against string
			}{
				{assess.VolumeFast, assess.Now, "checkin-2"},
				{assess.MeasureAgainRule, assess.Soon, tt.against},
				{assess.ComfortDrop, assess.Soon, tt.against},
			} {
				if !slices.ContainsFunc(findings, func(f assess.Finding) bool {
					return f.Rule == want.rule && f.Level == want.level && f.AgainstVisitID == want.against
				}) {
					t.Errorf("no %s at %s against %s among %+v", want.rule, want.level, want.against, findings)
				}
			}
		})
	}
}

// TestFluidReachesTheRules: a tick of the form steps signs on the skin up and
// tells of a fall.
func TestFluidReachesTheRules(t *testing.T) {
	l := record(taping{}, taping{day: 30})
	l.Visits[0].Checkin.Fluid = []string{"diabetes"}
	l.Visits[1].Checkin.Fluid = []string{"recent-fall"}
	l.Visits[1].Seen.Skin = []models.SkinFinding{{Place: "shin", Sign: "redness-stays"}}
	findings, err := l.Assess()
	if err != nil {
		t.Fatal(err)
	}
	if len(findings) != 2 || findings[0].Rule != assess.SkinSign || findings[0].Words["diabetes"] != "yes" ||
		findings[1].Rule != assess.RecentFall || findings[1].Level != assess.Now {
		t.Errorf("got %+v, want a sign stepped up and a fall, both now", findings)
	}
}

// TestDelayIsThatOfTheReference: the delay of the last visit would drift.
func TestDelayIsThatOfTheReference(t *testing.T) {
	l := record(taping{kind: models.Delivery, cover: "cover", girths: girthsOf(340)}, taping{day: 30, girths: girthsOf(340)})
	if minutes, own, err := l.DelayMinutes(); minutes != 10 || own || err != nil {
		t.Errorf("delay %v, own %v, %v; want 10, not its own", minutes, own, err)
	}
	reference, last := 12.0, 16.0
	l.Visits[0].Seen.MinutesOff, l.Visits[1].Seen.MinutesOff = &reference, &last
	if minutes, own, err := l.DelayMinutes(); minutes != 12 || !own || err != nil {
		t.Errorf("delay %v, own %v, %v; want 12, its own", minutes, own, err)
	}
	if minutes, own, err := (followup.LimbRecord{}).DelayMinutes(); minutes != 10 || own || err != nil {
		t.Errorf("delay of a limb without visits %v, own %v, %v; want 10", minutes, own, err)
	}
}
