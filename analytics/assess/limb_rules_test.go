package assess

import (
	"math"
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// Rows V5–V8 of the domain notes. Two passes on series A by one fitter resolve
// a change of about 4 %, two fitters one of about 10 % (V1, V2); the limits of
// 5 and 10 % are starting values.
// TestReportMakesAChangeMoreUrgent (V7): size and what the client reported in the
// four weeks before.
func TestReportMakesAChangeMoreUrgent(t *testing.T) {
	tight, loose := 3, -2
	for _, tt := range []struct {
		name   string
		report Report
		want   Level
	}{
		{"said to be loose", Report{On: "2026-11-20", What: []string{"loose"}}, Soon},
		{"rated loose", Report{On: "2026-11-20", Looseness: &loose}, Soon},
		{"skin that was rubbed", Report{On: "2026-11-20", Skin: []string{"rub-mark"}}, Soon},
		{"on the day", Report{On: "2026-11-25", What: []string{"loose"}}, Soon},
		{"four weeks before", Report{On: "2026-10-28", What: []string{"loose"}}, Soon},
		{"longer ago", Report{On: "2026-10-27", What: []string{"loose"}}, Watch},
		{"after the visit", Report{On: "2026-11-26", What: []string{"loose"}}, Watch},
		{"a rub at the cover, which is not the limb's", Report{On: "2026-11-20", What: []string{"rub"}}, Watch},
		{"tight", Report{On: "2026-11-20", Looseness: &tight}, Watch},
		{"redness that fades", Report{On: "2026-11-20", Skin: []string{"redness-fades"}}, Watch},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0), visit("2026-11-25", -6))
			h.Reports = []Report{tt.report}
			if f := only(t, Assess(h), VolumeChange); f.Level != tt.want {
				t.Errorf("got %s, want %s", f.Level, tt.want)
			}
		})
	}
}

func TestVolumeAgainstReference(t *testing.T) {
	start := func(percent float64) *LimitUsed { return &LimitUsed{Value: percent, Unit: Percent, Starting: true} }
	loose := func(v *Visit) { n := -2; v.Looseness = &n }
	tests := []struct {
		name    string
		percent float64
		then    []func(*Visit)
		now     []func(*Visit)
		rule    Rule
		level   Level
		limit   *LimitUsed
	}{
		{"V5 nothing beyond measurement", -3, nil, nil, "", "", nil},
		{"beyond measurement, below the limit", -4.6, nil, nil, "", "", nil},
		{"V6 loss of 6 %: mention", -6, nil, nil, VolumeChange, Watch, start(5)},
		{"V7 loss of 11 %: review soon", -11, nil, nil, VolumeChange, Soon, start(10)},
		{"V7 loss of 6 % with comfort down by 2", -6, []func(*Visit){comfort(8)}, []func(*Visit){comfort(6)}, VolumeChange, Soon, start(5)},
		{"V7 loss of 6 % with comfort down by 1", -6, []func(*Visit){comfort(8)}, []func(*Visit){comfort(7)}, VolumeChange, Watch, start(5)},
		{"V7 loss of 6 % and said to be loose", -6, nil, []func(*Visit){loose}, VolumeChange, Soon, start(5)},
		{"V7 loss of 6 % with a rub mark on the limb", -6, nil, []func(*Visit){skin("shin", "rub-mark")}, VolumeChange, Soon, start(5)},
		{"V7 loss of 6 % with a blister", -6, nil, []func(*Visit){skin("shin", "blister")}, VolumeChange, Soon, start(5)},
		{"V7 loss of 6 % with redness that stays", -6, nil, []func(*Visit){skin("shin", "redness-stays")}, VolumeChange, Soon, start(5)},
		{"V7 loss of 6 % with redness that fades", -6, nil, []func(*Visit){skin("shin", "redness-fades")}, VolumeChange, Watch, start(5)},
		{"V7 loss of 6 % with a rub mark at the visit before", -6, []func(*Visit){skin("shin", "rub-mark")}, nil, VolumeChange, Watch, start(5)},
		{"V8 gain of 6 %: within the week", 6, nil, nil, VolumeChange, Soon, start(5)},
		{"V8 gain of 11 %: today", 11, nil, nil, VolumeChange, Now, start(10)},
		{"large but unresolved loss, two fitters", -8, nil, []func(*Visit){by("L")}, VolumeUnresolved, Watch, start(5)},
		{"large but unresolved gain, two fitters", 8, nil, []func(*Visit){by("L")}, VolumeUnresolved, Watch, start(5)},
		{"two fitters, small", -4, nil, []func(*Visit){by("L")}, "", "", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, tt.then...), visit("2026-11-25", tt.percent, tt.now...))
			findings := Assess(h)
			for _, rule := range []Rule{VolumeChange, VolumeUnresolved, VolumeFast} {
				if rule != tt.rule && levelOf(findings, rule) != "" {
					t.Errorf("unexpected %s: %+v", rule, findings)
				}
			}
			if tt.rule == "" {
				return
			}
			f := only(t, findings, tt.rule)
			if f.Level != tt.level || f.ClosedBy != Prosthetist || f.About != AboutLimb || !reflect.DeepEqual(f.Limit, tt.limit) {
				t.Errorf("got %s, %s, limit %+v; want %s, limb, limit %+v", f.Level, f.About, f.Limit, tt.level, tt.limit)
			}
			change, ok := f.Value("change")
			if !ok || math.Abs(change.Value-tt.percent) > 0.1 || change.U == nil || *change.Lo >= change.Value || *change.Hi <= change.Value {
				t.Errorf("figure %+v, want about %v %% with its interval", change, tt.percent)
			}
			if f.AgainstVisitID != "visit 2026-03-12" || f.Words["since"] != "2026-03-12" || f.Words["verdict"] == "" {
				t.Errorf("what it was compared with is missing: %+v", f)
			}
			if tt.rule == VolumeUnresolved && f.LookFirst[0] != LookMeasureAgain {
				t.Errorf("look first %v, want to measure again first", f.LookFirst)
			}
			if tt.level == Now && f.LookFirst[0] != LookSafetyQuestions {
				t.Errorf("look first %v, want the safety questions first", f.LookFirst)
			}
		})
	}
}

func TestVolumeLimitsOfThisLimb(t *testing.T) {
	h := legs(visit("2026-03-12", 0), visit("2026-11-25", -6))
	h.VolumeLimits = VolumeLimits{LossPercent: 7, By: "R. A.", On: "2026-03-12"}
	if level := levelOf(Assess(h), VolumeChange); level != "" {
		t.Errorf("a loss of 6 %% is %s although the limit was set to 7 %%", level)
	}
	h.VolumeLimits.LossPercent = 5.5
	want := &LimitUsed{Value: 5.5, Unit: Percent, By: "R. A.", On: "2026-03-12"}
	if f := only(t, Assess(h), VolumeChange); !reflect.DeepEqual(f.Limit, want) {
		t.Errorf("limit %+v, want %+v", f.Limit, want)
	}
	h.Visits[1] = visit("2026-11-25", -12)
	if f := only(t, Assess(h), VolumeChange); !f.Limit.Starting || f.Limit.Value != 10 {
		t.Errorf("limit %+v, want the starting value of 10 %% that nobody replaced", f.Limit)
	}
}

// Row V8: against a visit less than 14 days before, in either direction.
func TestFastChange(t *testing.T) {
	tests := []struct {
		name    string
		earlier Visit
		now     Visit
		rule    Rule
		level   Level
	}{
		{"13 days, larger", visit("2026-11-12", 0), visit("2026-11-25", 6), VolumeFast, Now},
		{"0 days, larger", visit("2026-11-25", 0, func(v *Visit) { v.ID, v.At = "in the morning", v.At-3*3600 }), visit("2026-11-25", 6), VolumeFast, Now},
		{"13 days, smaller", visit("2026-11-12", 0), visit("2026-11-25", -6), VolumeFast, Now},
		{"14 days", visit("2026-11-11", 0), visit("2026-11-25", 6), "", ""},
		{"below 5 %", visit("2026-11-12", 0), visit("2026-11-25", 4.8), "", ""},
		{"unresolved", visit("2026-11-12", 0), visit("2026-11-25", 8, by("L")), VolumeUnresolved, Watch},
		{"not measured then", visit("2026-11-12", 0, unmeasured), visit("2026-11-25", 6), "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			// The reference lies long before, at the newest volume, so that only
			// the pace can speak.
			h := legs(visit("2026-03-12", 0), tt.earlier, tt.now)
			h.Visits[0].Residual = tt.now.Residual
			findings := Assess(h)
			if tt.rule == "" {
				if len(findings) != 0 {
					t.Errorf("got %+v, want no finding", findings)
				}
				return
			}
			f := only(t, findings, tt.rule)
			days, _ := f.Value("days")
			apart, _ := tt.now.On.DaysSince(tt.earlier.On)
			if f.Level != tt.level || f.ClosedBy != Prosthetist || f.AgainstVisitID != tt.earlier.ID || days.Value != float64(apart) {
				t.Errorf("got %+v, want %s against %s over %d days", f, tt.level, tt.earlier.ID, apart)
			}
		})
	}
}

// The delivery of a second cover is the reference from then on, and is judged
// all the same: against the reference before it, or the first visit that has a
// volume.
func TestDeliveryOfASecondCoverIsJudged(t *testing.T) {
	h := legs(
		visit("2025-11-12", 10, comfort(8)), visit("2026-03-12", 0, comfort(8)), visit("2026-11-16", 0, comfort(8)),
		visit("2026-11-25", 14, comfort(3)))
	h.ReferenceID = "visit 2026-11-25"
	tests := []struct {
		name, earlier, against string
		again                  Level
	}{
		{"the reference before it", "visit 2026-03-12", "visit 2026-03-12", Soon},
		{"none before it: the first that has a volume", "", "visit 2025-11-12", Watch},
		{"one that is gone", "visit 1999", "visit 2025-11-12", Watch},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h.EarlierReferenceID = tt.earlier
			findings := Assess(h)
			if f := only(t, findings, VolumeFast); f.Level != Now || f.AgainstVisitID != "visit 2026-11-16" {
				t.Errorf("got %+v, want now against the visit 9 days before", f)
			}
			if f := only(t, findings, MeasureAgainRule); f.Level != tt.again || f.AgainstVisitID != tt.against {
				t.Errorf("got %+v, want to measure again, %s, against %s", f, tt.again, tt.against)
			}
			f := only(t, findings, ComfortDrop)
			if f.AgainstVisitID != tt.against || tt.again == Soon && f.Level != Soon {
				t.Errorf("got %+v, want comfort down against %s", f, tt.against)
			}
		})
	}
}

// A first taped visit has no volume to be compared with; comfort was asked
// before it.
func TestComfortBeforeTheFirstTape(t *testing.T) {
	h := legs(visit("2026-03-12", 0, unmeasured, comfort(8)), visit("2026-11-25", 0, comfort(5)))
	if f := only(t, Assess(h), ComfortDrop); f.Level != Watch || f.AgainstVisitID != "visit 2026-03-12" {
		t.Errorf("got %+v, want watch against the first visit", f)
	}
}

func TestFastChangeTakesTheSurestLargest(t *testing.T) {
	h := legs(visit("2026-11-14", 0), visit("2026-11-16", -1, by("L")), visit("2026-11-18", 1), visit("2026-11-25", 8))
	if f := only(t, Assess(h), VolumeFast); f.AgainstVisitID != "visit 2026-11-14" {
		t.Errorf("compared with %s, want the larger change that is resolved", f.AgainstVisitID)
	}
}

func TestSoundLimbStandsBeside(t *testing.T) {
	sound := func(percent float64) func(*Visit) { return func(v *Visit) { v.Sound = scaled(percent) } }
	h := legs(visit("2026-03-12", 0, sound(0)), visit("2026-11-25", -7, sound(-2)))
	f := only(t, Assess(h), VolumeChange)
	change, _ := f.Value("sound-change")
	beside, ok := f.Value("beside-sound")
	if !ok || math.Abs(change.Value+2) > 0.1 || math.Abs(beside.Value+5) > 0.1 {
		t.Errorf("sound limb %v %%, beside it %v %%; want −2 and −5", change.Value, beside.Value)
	}
	h.Visits[0].Sound = volume.Visit{}
	if _, ok := only(t, Assess(h), VolumeChange).Value("beside-sound"); ok {
		t.Error("a sound limb that was not measured stands beside the change")
	}
}

// V11: a change is expected within 18 months of an amputation (Sanders and
// Fatone 2011) and in a child; both are told and neither silences.
func TestExpectedChangeIsToldNotSilenced(t *testing.T) {
	tests := []struct {
		name           string
		change         func(*Limb)
		early, growing string
	}{
		{"mature", func(*Limb) {}, "", ""},
		{"a day short of 18 months", func(l *Limb) { l.AmputatedOn = "2025-05-26" }, "yes", ""},
		{"18 months", func(l *Limb) { l.AmputatedOn = "2025-05-25" }, "", ""},
		{"revised lately", func(l *Limb) { l.RevisedOn = "2026-01-05" }, "yes", ""},
		{"date not known", func(l *Limb) { l.AmputatedOn = "" }, "", ""},
		{"present at birth", func(l *Limb) { l.PresentAtBirth, l.AmputatedOn = true, "2026-01-05" }, "", ""},
		{"child", func(l *Limb) { l.StillGrowing = true }, "", "yes"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0), visit("2026-11-25", -7))
			tt.change(&h.Limb)
			f := only(t, Assess(h), VolumeChange)
			if f.Words["early-limb"] != tt.early || f.Words["still-growing"] != tt.growing || f.Level != Watch {
				t.Errorf("got %v at %s, want early %q, growing %q at watch", f.Words, f.Level, tt.early, tt.growing)
			}
		})
	}
}

func TestReference(t *testing.T) {
	visits := []Visit{visit("2026-01-01", 5, unmeasured), visit("2026-03-12", 0), visit("2026-06-01", -6), visit("2026-11-25", -6)}
	tests := []struct{ name, chosen, want string }{
		{"the first with a volume", "", "visit 2026-03-12"},
		{"the chosen one", "visit 2026-06-01", "visit 2026-06-01"},
		{"a chosen one that is gone", "visit 1999", "visit 2026-03-12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visits...)
			h.ReferenceID = tt.chosen
			if got, ok := h.Reference(); !ok || got.ID != tt.want {
				t.Errorf("reference %q, want %q", got.ID, tt.want)
			}
		})
	}
	h := legs(visits...)
	h.ReferenceID = "visit 2026-11-25"
	if _, _, ok := h.VolumeChange(); ok {
		t.Error("the reference is compared with itself")
	}
	if _, ok := legs().Reference(); ok {
		t.Error("a limb without visits has a reference")
	}
}

// A history that names no uncertainties is judged by the default ones, never
// by a tape without error.
func TestSigmasDefault(t *testing.T) {
	h := legs(visit("2026-03-12", 0), visit("2026-11-25", -6))
	want, _, _ := h.VolumeChange()
	h.Sigmas = volume.Sigmas{}
	if got, _, _ := h.VolumeChange(); got.UML != want.UML || got.UML == 0 {
		t.Errorf("u = %v mL, want that of the default sigmas, %v mL", got.UML, want.UML)
	}
}

// Comfort counts from the reference on, not from what was before it.
func TestComfortCountsFromTheReference(t *testing.T) {
	h := legs(visit("2026-03-12", 0, comfort(9)), visit("2026-06-01", 0, comfort(7)), visit("2026-11-25", 0, comfort(6)))
	if level := levelOf(Assess(h), ComfortDrop); level != Watch {
		t.Errorf("since the first visit %q, want watch", level)
	}
	h.ReferenceID = "visit 2026-06-01"
	if level := levelOf(Assess(h), ComfortDrop); level != "" {
		t.Errorf("since the chosen reference %q, want no finding", level)
	}
}

func TestNoVolumeNoFinding(t *testing.T) {
	partial := legs(visit("2026-03-12", 0), visit("2026-11-25", -20))
	partial.Limb.Level = quantity.PartialFoot
	tests := []struct {
		name string
		h    History
	}{
		{"no visit", legs()},
		{"one visit", legs(visit("2026-11-25", -20))},
		{"not measured now", legs(visit("2026-03-12", 0), visit("2026-11-25", 0, unmeasured))},
		{"a level without a cone", partial},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Assess(tt.h); len(got) != 0 {
				t.Errorf("got %+v, want no finding", got)
			}
		})
	}
}

// Row P1: two points of a 0–10 rating.
func TestComfort(t *testing.T) {
	pain := func(n int) func(*Visit) { return func(v *Visit) { v.WorstPain = &n } }
	worst := func(n int) func(*Visit) { return func(v *Visit) { v.WorstComfort = &n } }
	room := func(percent float64) []Visit {
		return []Visit{visit("2026-03-12", 0, comfort(8), wearing(1)), visit("2026-11-25", percent, comfort(6), wearing(1, 5, 5))}
	}
	tests := []struct {
		name   string
		visits []Visit
		want   Level
		with   string
		since  string // of what stands beside it, when not the same
	}{
		{"down by 1", []Visit{visit("2026-03-12", 0, comfort(8)), visit("2026-11-25", 0, comfort(7))}, "", "", ""},
		{"down by 2 alone", []Visit{visit("2026-03-12", 0, comfort(8)), visit("2026-11-25", 0, comfort(6))}, Watch, "", ""},
		{"up", []Visit{visit("2026-03-12", 0, comfort(6)), visit("2026-11-25", 0, comfort(9))}, "", "", ""},
		{"worst comfort down", []Visit{visit("2026-03-12", 0, worst(5)), visit("2026-11-25", 0, worst(2))}, Watch, "", ""},
		{"pain up", []Visit{visit("2026-03-12", 0, pain(1)), visit("2026-11-25", 0, pain(3))}, Watch, "", ""},
		{"pain down", []Visit{visit("2026-03-12", 0, pain(3)), visit("2026-11-25", 0, pain(1))}, "", "", ""},
		{"asked first at the second visit", []Visit{visit("2026-03-12", 0), visit("2026-06-01", 0, comfort(8)), visit("2026-11-25", 0, comfort(6))}, Watch, "", ""},
		{"not asked now", []Visit{visit("2026-03-12", 0, comfort(8)), visit("2026-11-25", 0)}, "", "", ""},
		{"with a change of volume", []Visit{visit("2026-03-12", 0, comfort(8)), visit("2026-11-25", -4.6, comfort(6))}, Soon, "volume", ""},
		{"asked first at the second visit, with a change of volume since the first", []Visit{
			visit("2026-03-12", 0), visit("2026-06-01", -4.6, comfort(8)), visit("2026-11-25", -4.6, comfort(6)),
		}, Soon, "volume", "2026-03-12"},
		{"with less room, by socks", room(0), Soon, "room", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			findings := Assess(legs(tt.visits...))
			if tt.want == "" {
				if level := levelOf(findings, ComfortDrop); level != "" {
					t.Errorf("got %s, want no finding", level)
				}
				return
			}
			f := only(t, findings, ComfortDrop)
			if f.Words["with-since"] != tt.since {
				t.Errorf("what stands beside it counts from %q, want %q", f.Words["with-since"], tt.since)
			}
			if f.Level != tt.want || f.Words["with"] != tt.with || f.ClosedBy != Prosthetist || len(f.Values) < 2 {
				t.Errorf("got %+v, want %s with %q and its figures", f, tt.want, tt.with)
			}
		})
	}
}

// Each rating carries the date that it was asked on then.
func TestRatingsCarryTheirDates(t *testing.T) {
	pain := func(n int) func(*Visit) { return func(v *Visit) { v.WorstPain = &n } }
	h := legs(visit("2026-03-12", 0, comfort(8)), visit("2026-06-01", 0, pain(1)), visit("2026-11-25", 0, comfort(6), pain(4)))
	f := only(t, Assess(h), ComfortDrop)
	if f.Words["comfort-since"] != "2026-03-12" || f.Words["worst-pain-since"] != "2026-06-01" {
		t.Errorf("got %v, want comfort since 2026-03-12 and pain since 2026-06-01", f.Words)
	}
}
