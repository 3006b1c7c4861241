package server

import (
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestReportsSaid says what a report raised, word for word.
func TestReportsSaid(t *testing.T) {
	const unconfirmed = "Sent through the private link on 4 May 2026; who sent it is not confirmed."
	tests := []struct {
		name string
		f    assess.Finding
		want saidFinding
	}{
		{"safety", assess.Finding{Rule: assess.ReportSafety, Level: assess.Now, ClosedBy: assess.Prosthetist,
			LookFirst: []string{assess.LookReachClient, assess.LookCallToday, assess.LookCoverOff},
			Words:     map[string]string{"safety": "broken,not-sure", "cannot-phone": "yes", "side-unsaid": "yes"}}, saidFinding{
			"now", "Ticked by the client on the safety page: the leg or arm is cracked, bent, broken, loose or sharp and not sure",
			"The client says that they can't phone. The client did not say which side.",
			unconfirmed + " Reach the client today: by phone, by message, or through the people around them. " +
				"A clinician is to hear of it today; leave the prosthesis off until then where that is possible. " +
				"Cover off until the prosthetist has looked. Only the prosthetist can close this.",
		}},
		{"a rub beside a tight station", assess.Finding{Rule: assess.ReportRub, Level: assess.Soon, ClosedBy: assess.Fitter,
			LookFirst: []string{assess.LookWithinWeek, assess.LookAttachment},
			Limit:     &assess.LimitUsed{Value: 3, Unit: assess.MM, By: "R. Alder", On: "2026-03-12"},
			Words: map[string]string{"what": "rub", "areas": "calf.posterior", "direction": "posterior", "posture": "seated",
				"neighbour": "socket-wall", "walk-on": "2026-05-03", "gap-state": "below-warn", "touch": "polish-mark"},
			Values: []assess.Value{{Name: "level", Value: 90}, {Name: "gap", Value: 2.1, U: pointer(0.5)}, {Name: "bother", Value: 6}}}, saidFinding{
			"soon", "Rubbing reported by the client, calf, posterior",
			"The walk of 3 May 2026 read 2.1\u202fmm ± 1.0 (95 %) to the socket wall, posterior, 9\u202fcm level, seated. A polish mark was seen there. " +
				"Outside the limit of 3\u202fmm set by R. Alder on 12 March 2026. It bothers the client 6 of 10.",
			unconfirmed + " Check in the next seven days, whatever the gap says. Look first at the attachment. For the fitter.",
		}},
		{"low comfort", assess.Finding{Rule: assess.ReportComfort, Level: assess.Soon, ClosedBy: assess.Prosthetist,
			Limit: &assess.LimitUsed{Value: 4, Unit: assess.Points, Starting: true}, Words: map[string]string{"low": "yes"},
			Values: []assess.Value{{Name: "comfort-now", Value: 3}}}, saidFinding{
			"soon", "Reported by the client: comfort 3 of 10", "Flagged at 4 or less, a starting value, not yet confirmed.",
			unconfirmed + " Only the prosthetist can close this.",
		}},
		{"heat", assess.Finding{Rule: assess.ReportComfort, Level: assess.Soon, ClosedBy: assess.Prosthetist,
			Words: map[string]string{"what": "heat"}}, saidFinding{
			"soon", "Reported by the client: heat or sweat", "", unconfirmed + " Only the prosthetist can close this.",
		}},
		{"strong pain and bother", assess.Finding{Rule: assess.ReportComfort, Level: assess.Soon, ClosedBy: assess.Prosthetist,
			Words:  map[string]string{"strong": "worst-pain,bother"},
			Values: []assess.Value{{Name: "worst-pain-now", Value: 10}, {Name: "bother-now", Value: 9}}}, saidFinding{
			"soon", "Reported by the client: pain at worst 10 of 10 and bother 9 of 10", "", unconfirmed + " Only the prosthetist can close this.",
		}},
		{"catching", assess.Finding{Rule: assess.ReportRub, Level: assess.Soon, ClosedBy: assess.Fitter,
			Words: map[string]string{"what": "rub,catch", "areas": "knee.medial"}}, saidFinding{
			"soon", "Rubbing and catching on clothes or in bending reported by the client, knee, medial", "", unconfirmed + " For the fitter.",
		}},
		{"loose and smaller", assess.Finding{Rule: assess.ReportFit, Level: assess.Soon, ClosedBy: assess.Prosthetist,
			Words: map[string]string{"fit": "loose", "since": "2026-03-12", "seen-on": "2026-05-03"},
			Values: []assess.Value{{Name: "looseness", Value: -3},
				{Name: "change", Value: -6.1, Lo: pointer(-9), Hi: pointer(-3.2)}}}, saidFinding{
			"soon", "The client reports a fit that is loose",
			"−3 on the scale from −5, too loose, to +5, too tight. " +
				"Limb volume −6.1\u202f% from 12 March 2026 to 3 May 2026, beyond measurement; 95 % interval −9.0 to −3.2 %.",
			unconfirmed + " Only the prosthetist can close this.",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.f.Words["reported-on"] = "2026-05-04"
			if got := testSayer(t).finding(tt.f); got != tt.want {
				t.Errorf("got\n%q\nwant\n%q", got, tt.want)
			}
		})
	}
}

// TestReportsOfLittleAreSaid says what reports raise that hold one thing each and
// rest on no visit: testSayer fails for a word that is missing.
func TestReportsOfLittleAreSaid(t *testing.T) {
	y := testSayer(t)
	reports := []assess.Report{{CannotPhone: true}, {Skin: []string{"rash"}}, {Looseness: new(4)}, {Comfort: new(0)}, {}}
	for _, what := range models.ReportWhats {
		reports = append(reports, assess.Report{What: []string{what}})
	}
	for _, sign := range models.SafetySigns {
		reports = append(reports, assess.Report{Safety: []string{sign}})
	}
	for _, r := range reports {
		r.ID, r.On = "report", "2026-05-04"
		for _, f := range assess.AssessReport(assess.History{}, r) {
			if said := y.finding(f); said.Claim == "" || strings.Contains(said.Claim+said.Rest+said.Why, "NaN") || strings.Contains(said.Rest, "  ") {
				t.Errorf("%+v reads %+v", r, said)
			}
		}
	}
}

// TestEveryCodeOfAReportHasWords walks what a client can tick.
func TestEveryCodeOfAReportHasWords(t *testing.T) {
	y := testSayer(t)
	y.codes("reported.safety.", strings.Join(models.SafetySigns, ","))
	y.codes("reported.what.", strings.Join(models.ReportWhats, ","))
	for _, since := range models.ReportSinces {
		y.text("reported.since." + since)
	}
	for _, wearing := range models.Wearings {
		y.text("reported.wearing." + wearing)
	}
	for _, level := range quantity.AmputationLevels {
		for _, area := range quantity.Areas(level) {
			y.area(string(area))
		}
	}
}
