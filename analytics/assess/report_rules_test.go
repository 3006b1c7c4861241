package assess

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

func points(n int) *int { return &n }

// TestReports walks what a client can say and what it is flagged as.
func TestReports(t *testing.T) {
	tests := []struct {
		name  string
		h     History
		r     Report
		rule  Rule
		about About
		level Level
		place string
		words map[string]string
	}{
		{"a safety sign and nothing else known", History{}, Report{Safety: []string{"open-skin", "not-sure"}},
			ReportSafety, AboutSkin, Now, "", map[string]string{"safety": "open-skin,not-sure"}},
		{"somebody who is not sure", History{}, Report{Safety: []string{"not-sure"}},
			ReportSafety, AboutSkin, Now, "", map[string]string{"safety": "not-sure"}},
		{"somebody who can't phone", History{}, Report{Safety: []string{"broken"}, CannotPhone: true, SideUnsaid: true},
			ReportSafety, AboutSkin, Now, "", map[string]string{"cannot-phone": "yes", "side-unsaid": "yes"}},
		{"skin, soon", legs(), Report{Skin: []string{"redness-stays"}, Areas: []string{"calf.posterior"}},
			ReportSkin, AboutSkin, Soon, "calf.posterior", map[string]string{"areas": "calf.posterior", "sign": "redness-stays"}},
		{"skin, the most urgent sign counts", legs(), Report{Skin: []string{"redness-fades", "blister"}},
			ReportSkin, AboutSkin, Now, "", map[string]string{"sign": "blister", "signs": "blister,redness-fades"}},
		{"skin, with reduced feeling", History{Limb: Limb{ReducedFeeling: true}}, Report{Skin: []string{"redness-fades"}},
			ReportSkin, AboutSkin, Soon, "", map[string]string{"reduced-feeling": "yes"}},
		{"skin, with diabetes", legs(visit("2026-03-12", 0, func(v *Visit) { v.Fluid = []string{"diabetes"} })), Report{Skin: []string{"callus"}},
			ReportSkin, AboutSkin, Now, "", map[string]string{"diabetes": "yes"}},
		{"skin without a sign", legs(), Report{What: []string{"skin"}}, ReportSkin, AboutSkin, Soon, "", map[string]string{"sign": "other"}},
		{"a rub without a place", legs(), Report{What: []string{"rub"}}, ReportRub, AboutCover, Soon, "", map[string]string{"what": "rub"}},
		{"a noise", legs(), Report{What: []string{"noise", "rub"}, Areas: []string{"knee.medial"}},
			ReportRub, AboutCover, Soon, "knee.medial", map[string]string{"what": "rub,noise", "areas": "knee.medial"}},
		{"a rub all over", legs(), Report{What: []string{"rub"}, Areas: []string{"knee.medial", "calf.medial", "calf.lateral", "foot.medial", "foot.lateral"}},
			ReportRub, AboutCover, Soon, "", map[string]string{"areas": "calf.lateral,calf.medial,foot.lateral,foot.medial,knee.medial"}},
		{"catching on clothes", legs(), Report{What: []string{"catch"}, Areas: []string{"knee.medial"}},
			ReportRub, AboutCover, Soon, "knee.medial", map[string]string{"what": "catch", "areas": "knee.medial"}},
		{"heat or sweat", legs(), Report{What: []string{"heat"}}, ReportComfort, AboutLimb, Soon, "", map[string]string{"what": "heat", "low": ""}},
		{"heat and low comfort", legs(), Report{What: []string{"heat"}, Comfort: points(2)}, ReportComfort, AboutLimb, Soon, "",
			map[string]string{"what": "heat", "low": "yes"}},
		{"damage", legs(), Report{What: []string{"damage"}, Areas: []string{"foot.lateral", "calf.medial"}},
			ReportDamage, AboutCover, Soon, "", map[string]string{"areas": "calf.medial,foot.lateral"}},
		{"loose", legs(visit("2026-03-12", 0)), Report{What: []string{"loose"}}, ReportFit, AboutLimb, Watch, "", map[string]string{"fit": "loose"}},
		{"loose by the scale", legs(), Report{Looseness: points(-2)}, ReportFit, AboutLimb, Watch, "", map[string]string{"fit": "loose"}},
		{"tight by the scale", legs(), Report{Looseness: points(2)}, ReportFit, AboutLimb, Watch, "", map[string]string{"fit": "tight"}},
		// V7: symptom plus size. −6 % is beyond the 4.2 % that two passes of one fitter resolve.
		{"loose, and the limb is smaller", legs(visit("2026-03-12", 0), visit("2026-11-25", -6)), Report{What: []string{"loose"}},
			ReportFit, AboutLimb, Soon, "", map[string]string{"since": "2026-03-12", "seen-on": "2026-11-25"}},
		{"loose, and the limb is not changed beyond error", legs(visit("2026-03-12", 0), visit("2026-11-25", -2)), Report{What: []string{"loose"}},
			ReportFit, AboutLimb, Watch, "", nil},
		// P2: 4 or less of 10.
		{"low comfort", legs(), Report{Comfort: points(4)}, ReportComfort, AboutLimb, Soon, "", map[string]string{"low": "yes"}},
		// P1: two points.
		{"strong pain", legs(), Report{WorstPain: points(8)}, ReportComfort, AboutLimb, Soon, "", map[string]string{"strong": "worst-pain", "low": ""}},
		{"pain short of strong", legs(), Report{WorstPain: points(7), Bother: points(8)}, ReportOther, AboutData, Soon, "", nil},
		{"bothered strongly", legs(), Report{Bother: points(9)}, ReportComfort, AboutLimb, Soon, "", map[string]string{"strong": "bother"}},
		{"strong pain that is up by one", legs(visit("2026-11-25", 0, func(v *Visit) { v.WorstPain = points(9) })), Report{WorstPain: points(10), Bother: points(10)},
			ReportComfort, AboutLimb, Soon, "", map[string]string{"strong": "worst-pain,bother", "worst-pain-since": ""}},
		{"strong pain that is up by five", legs(visit("2026-11-25", 0, func(v *Visit) { v.WorstPain = points(5) })), Report{WorstPain: points(10)},
			ReportComfort, AboutLimb, Soon, "", map[string]string{"strong": "worst-pain", "worst-pain-since": "2026-11-25"}},
		{"comfort down by two", legs(visit("2026-03-12", 0, comfort(9)), visit("2026-11-25", 0, comfort(8))), Report{Comfort: points(6)},
			ReportComfort, AboutLimb, Watch, "", map[string]string{"comfort-since": "2026-11-25", "low": ""}},
		{"comfort down by one", legs(visit("2026-11-25", 0, comfort(8))), Report{Comfort: points(7)}, ReportOther, AboutData, Soon, "", nil},
		{"pain up by two", legs(visit("2026-11-25", 0, func(v *Visit) { v.WorstPain = points(1) })), Report{WorstPain: points(3)},
			ReportComfort, AboutLimb, Watch, "", map[string]string{"worst-pain-since": "2026-11-25"}},
		{"words alone", legs(), Report{What: []string{"other"}}, ReportOther, AboutData, Soon, "", nil},
		{"nothing at all", History{}, Report{}, ReportOther, AboutData, Soon, "", nil},
		{"a scale near the middle", legs(), Report{Looseness: points(1)}, ReportOther, AboutData, Soon, "", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.r.ID = "report"
			f := only(t, AssessReport(tt.h, tt.r), tt.rule)
			if f.About != tt.about || f.Level != tt.level || f.Place != tt.place || f.ReportID != "report" || f.VisitID != "" {
				t.Errorf("got %+v, want %s about %s at %q", f, tt.level, tt.about, tt.place)
			}
			for word, want := range tt.words {
				if f.Words[word] != want {
					t.Errorf("word %s is %q, want %q", word, f.Words[word], want)
				}
			}
		})
	}
}

// TestRubBesideATightStation puts a rub report beside the newest walk.
func TestRubBesideATightStation(t *testing.T) {
	accepted := func(s Station) Station {
		s.AsBuiltMM, s.AsBuiltBy, s.AsBuiltOn = number(4), "R. A.", "2026-03-12"
		return s
	}
	wall, joint, foot := station("s", quantity.SocketWall), station("s", quantity.MovingJoint), station("s", quantity.FootOrKeel)
	tests := []struct {
		name    string
		station Station
		area    string
		walk    func(*Visit)
		state   string   // of the gap; "" when the finding carries no station
		limit   *float64 // in mm
	}{
		{"below act at the calf", wall, "calf.posterior", gap("s", 0.5), "below-act", number(2)},
		{"below warn", wall, "calf.posterior", gap("s", 2.1), "below-warn", number(3)},
		{"unsure", wall, "calf.posterior", gap("s", 3.4), "unsure", number(3)},
		{"clear", wall, "calf.posterior", gap("s", 5), "", nil},
		{"another direction", wall, "calf.anterior", gap("s", 0.5), "", nil},
		{"another segment", wall, "knee.posterior", gap("s", 0.5), "", nil},
		{"the joint", joint, "knee.posterior", gap("s", 2), "below-act", number(4)},
		{"the foot", foot, "foot.posterior", gap("s", 3), "below-act", number(5)},
		{"the ankle is at the foot too", foot, "ankle.posterior", gap("s", 3), "below-act", number(5)},
		{"a part of the map without a direction", wall, "calf", gap("s", 0.5), "", nil},
		{"accepted as it is", accepted(wall), "calf.posterior", gap("s", 3.8), "", nil},
		{"less than accepted", accepted(wall), "calf.posterior", gap("s", 1.5), "dropped", number(4)},
		{"not walked", wall, "calf.posterior", func(*Visit) {}, "", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-11-25", -9, tt.walk), visit("2026-12-02", -9), visit("2026-03-12", 0))
			h.Stations = []Station{tt.station}
			f := only(t, AssessReport(h, Report{ID: "r", What: []string{"rub"}, Areas: []string{tt.area}}), ReportRub)
			_, read := f.Value("gap")
			if f.Words["gap-state"] != tt.state || read != (tt.state != "") || f.Level != Soon {
				t.Fatalf("got %+v, want a gap that is %q", f, tt.state)
			}
			if tt.state == "" {
				return
			}
			if f.Limit == nil || f.Limit.Value != *tt.limit {
				t.Errorf("limit %+v, want %v", f.Limit, *tt.limit)
			}
			if g, _ := f.Value("gap"); g.U == nil || f.Words["walk-on"] != "2026-11-25" || f.AgainstVisitID != "visit 2026-11-25" {
				t.Errorf("gap %+v of the walk on %s, check-in %s", g, f.Words["walk-on"], f.AgainstVisitID)
			}
		})
	}
}

// A place named twice is one; up to four are told apart.
func TestPlacesOfAReport(t *testing.T) {
	r := Report{What: []string{"rub", "skin"}, Areas: []string{"knee.medial", "calf.medial", "calf.medial", "calf.lateral", "foot.medial"}}
	if n := len(AssessReport(legs(), r)); n != 8 {
		t.Errorf("%d findings, want a rub and a sign at each of four places", n)
	}
	r.Areas = append(r.Areas, "foot.lateral")
	if n := len(AssessReport(legs(), r)); n != 2 {
		t.Errorf("%d findings, want a rub and a sign of the whole", n)
	}
}

// A touch needs no figure, and the tightest station of several is told.
func TestRubBesideATouch(t *testing.T) {
	h := legs(visit("2026-11-25", 0, gap("s", 1), touch("t", quantity.Contact)))
	other := station("t", quantity.FixedPart)
	h.Stations = []Station{station("s", quantity.SocketWall), other}
	f := only(t, AssessReport(h, Report{What: []string{"rub"}, Areas: []string{"calf.posterior"}}), ReportRub)
	if _, read := f.Value("gap"); read || f.Words["touch"] != "contact" || f.Words["neighbour"] != "fixed-part" || f.Limit != nil {
		t.Errorf("got %+v, want the touch", f)
	}
}

var codes = func(words ...string) *rapid.Generator[[]string] {
	return rapid.SliceOfN(rapid.SampledFrom(append(words, "unheard of")), 0, 3)
}

// anyReport draws a report.
var anyReport = rapid.Custom(func(t *rapid.T) Report {
	return Report{
		ID: "report", On: "2026-12-01", SideUnsaid: rapid.Bool().Draw(t, "side"), CannotPhone: rapid.Bool().Draw(t, "phone"),
		Safety:  codes("open-skin", "gives-way", "not-sure").Draw(t, "safety"),
		What:    codes("rub", "tight", "loose", "noise", "catch", "damage", "skin", "comfort", "heat", "other").Draw(t, "what"),
		Areas:   codes("calf.posterior", "knee.posterior", "foot.posterior", "calf.medial").Draw(t, "areas"),
		Bother:  optional(t, rapid.IntRange(0, 10), "bother"),
		Comfort: optional(t, rapid.IntRange(0, 10), "comfort"), WorstComfort: optional(t, rapid.IntRange(0, 10), "worst comfort"),
		WorstPain: optional(t, rapid.IntRange(0, 10), "pain"), Looseness: optional(t, rapid.IntRange(-5, 5), "looseness"),
		Skin: codes("blister", "redness-fades", "rub-mark", "rash").Draw(t, "skin"),
	}
})

// Every report raises something, and a safety answer comes first whatever is
// known of the limb.
func TestEveryReportRaisesAFlag(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, r := anyHistory.Draw(t, "history"), anyReport.Draw(t, "report")
		before := fmt.Sprintf("%#v %#v", h, r)
		findings := AssessReport(h, r)
		if len(findings) == 0 {
			t.Fatal("nothing is raised")
		}
		seen := map[string]bool{}
		for _, f := range findings {
			key := string(f.Rule) + "|" + f.Place
			if seen[key] || f.ReportID != r.ID || f.VisitID != "" || f.ClosedBy != f.About.ClosedBy() || !slices.Contains(Rules, f.Rule) {
				t.Errorf("twice, of no report, or closed by the wrong one: %+v", f)
			}
			seen[key] = true
			for _, code := range f.LookFirst {
				if !slices.Contains(LookFirstCodes, code) {
					t.Errorf("%s: look-first code %q is not listed", f.Rule, code)
				}
			}
			for _, v := range f.Values {
				if f.About == AboutCover && v.Name == "change" || f.About != AboutCover && v.Name == "gap" {
					t.Errorf("%s about %s holds the figure %q", f.Rule, f.About, v.Name)
				}
			}
		}
		if len(r.Safety) > 0 {
			f := findings[0]
			if f.Rule != ReportSafety || f.Level != Now || f.About != AboutSkin || f.ClosedBy != Prosthetist {
				t.Errorf("first comes %+v, want the safety answer", f)
			}
			if alone := AssessReport(History{}, r)[0]; !reflect.DeepEqual(alone, f) {
				t.Errorf("the history makes a difference: %+v, without %+v", f, alone)
			}
		}
		if after := fmt.Sprintf("%#v %#v", h, r); after != before {
			t.Errorf("changed from\n%s\nto\n%s", before, after)
		}
		text, err := json.Marshal(findings)
		var back []Finding
		if err != nil || json.Unmarshal(text, &back) != nil || !reflect.DeepEqual(back, findings) {
			t.Errorf("read back\n%+v\nwant\n%+v (%v)", back, findings, err)
		}
		if !reflect.DeepEqual(AssessReport(h, r), findings) {
			t.Error("the same report gives other findings")
		}
		shuffled := h
		shuffled.Visits = rapid.Permutation(h.Visits).Draw(t, "visits")
		shuffled.Stations = rapid.Permutation(h.Stations).Draw(t, "stations")
		if got := AssessReport(shuffled, r); !reflect.DeepEqual(got, findings) {
			t.Errorf("another order gives\n%+v\nwant\n%+v", got, findings)
		}
	})
}

// Nothing that is clear is told beside a rub.
func TestOnlyTightStationsAreTold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		for _, f := range AssessReport(h, Report{What: []string{"rub"}, Areas: []string{"calf.posterior"}}) {
			if f.Words["gap-state"] == string(clearance.Clear) && f.Words["touch"] == "" {
				t.Errorf("a clear gap is told: %+v", f)
			}
		}
	})
}

// A station that is tight inside has nothing to do with what catches outside.
func TestCatchingIsNotBesideAGap(t *testing.T) {
	h := legs(visit("2026-11-25", 0, gap("s", 1)))
	h.Stations = []Station{station("s", quantity.SocketWall)}
	r := Report{What: []string{"catch"}, Areas: []string{"calf.posterior"}}
	if f := only(t, AssessReport(h, r), ReportRub); f.Words["walk-on"] != "" || f.Limit != nil {
		t.Errorf("got %+v, want no station beside catching", f)
	}
	r.What = []string{"catch", "rub"}
	if f := only(t, AssessReport(h, r), ReportRub); f.Words["walk-on"] == "" || f.Words["what"] != "rub,catch" {
		t.Errorf("got %+v, want the tight station beside the rub", f)
	}
}
