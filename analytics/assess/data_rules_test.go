package assess

import (
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// pooled reads one level of 300 mm twice or more and one of 310 mm twice.
func pooled(t *testing.T, girthsMM ...float64) girth.Profile {
	t.Helper()
	readings := []girth.Reading{{LevelMM: 30, Pass: 1, GirthMM: 310}, {LevelMM: 30, Pass: 2, GirthMM: 310}}
	for i, g := range girthsMM {
		readings = append(readings, girth.Reading{LevelMM: 0, Pass: i + 1, GirthMM: g})
	}
	p, err := girth.Pool(readings)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Row M1: a pair further apart than max(3 mm, 1.5 %) wants a third reading.
func TestReadingsDisagree(t *testing.T) {
	tests := []struct {
		name   string
		girths []float64
		want   Level
	}{
		{"4.5 mm of 300", []float64{300, 304.5}, ""},
		{"6 mm of 300", []float64{300, 306}, Watch},
		{"with a third", []float64{300, 306, 301}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, part := range []quantity.BodyPart{quantity.Residual, quantity.Sound} {
				v := visit("2026-11-25", 0)
				if part == quantity.Residual {
					v.Residual.Profile = pooled(t, tt.girths...)
				} else {
					v.Sound.Profile = pooled(t, tt.girths...)
				}
				findings := Assess(legs(v))
				if tt.want == "" {
					if len(findings) != 0 {
						t.Errorf("%s: got %+v, want no finding", part, findings)
					}
					continue
				}
				f := only(t, findings, ReadingsDisagree)
				n, _ := f.Value("levels")
				spread, _ := f.Value("spread")
				if f.Level != Watch || f.ClosedBy != Fitter || f.Place != string(part) || n.Value != 1 || spread.Value != 6 {
					t.Errorf("%s: got %+v, want one level, 6 mm apart, for the fitter", part, f)
				}
			}
		})
	}
}

func TestNotComparable(t *testing.T) {
	oneLevel := func(v *Visit) { v.Residual.Profile = v.Residual.Profile[:1] }
	tests := []struct {
		name      string
		then, now []func(*Visit)
		why       string
	}{
		{"landmark", nil, []func(*Visit){func(v *Visit) { v.Residual.Series.Landmark = "joint line" }}, volume.WhyLandmark},
		{"one level now", nil, []func(*Visit){oneLevel}, volume.WhyTooFewLevels},
		{"chosen reference not measured", []func(*Visit){unmeasured}, nil, volume.WhyTooFewLevels},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, tt.then...), visit("2026-11-25", -20, tt.now...))
			h.ReferenceID = "visit 2026-03-12"
			findings := Assess(h)
			f := only(t, findings, NotComparable)
			if len(findings) != 1 || f.Level != Watch || f.ClosedBy != Fitter || f.Words["why"] != tt.why || f.Words["since"] != "2026-03-12" {
				t.Errorf("got %+v, want only this finding with the reason %s", findings, tt.why)
			}
		})
	}
}

// Rows M2 and M3 of the domain notes and their section 4.3.
func TestConditionsDiffer(t *testing.T) {
	off := func(minutes float64) func(*Visit) { return func(v *Visit) { v.Residual.MinutesOff = &minutes } }
	clock := func(hour, minute int) func(*Visit) {
		return func(v *Visit) { m := 60*hour + minute; v.MinuteOfDay = &m }
	}
	tests := []struct {
		name  string
		level quantity.AmputationLevel
		a, b  func(*Visit)
		want  string
	}{
		{"M2 10 and 15 min", quantity.Transtibial, off(10), off(15), ""},
		{"M2 10 and 16 min", quantity.Transtibial, off(10), off(16), DifferMinutesOff},
		{"M2 transtibial, both settled", quantity.Transtibial, off(15), off(40), ""},
		{"M2 transfemoral, not settled", quantity.Transfemoral, off(15), off(40), DifferMinutesOff},
		{"M2 transfemoral, both settled", quantity.Transfemoral, off(30), off(40), ""},
		{"M2 not known", quantity.Transtibial, off(2), func(*Visit) {}, ""},
		{"M3 3 h", quantity.Transtibial, clock(9, 0), clock(12, 0), ""},
		{"M3 more than 3 h", quantity.Transtibial, clock(9, 0), clock(12, 1), DifferTimeOfDay},
		{"M3 across midnight", quantity.Transtibial, clock(23, 30), clock(1, 0), ""},
		{"fitter", quantity.Transtibial, by("K"), by("L"), DifferFitter},
		{"fitter not known", quantity.Transtibial, by("K"), by(""), ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			codes := ConditionsDiffer(tt.level, visit("2026-03-12", 0, tt.a), visit("2026-11-25", 0, tt.b))
			got := ""
			if len(codes) > 0 {
				got = codes[0]
			}
			if got != tt.want || len(codes) > 1 {
				t.Errorf("got %v, want %q", codes, tt.want)
			}
		})
	}
}

// Row M2: this limb's own delay, 10 min at a first visit.
func TestDelayMinutes(t *testing.T) {
	h := legs(visit("2026-03-12", 0), visit("2026-11-25", 0))
	if got, own := h.DelayMinutes(); got != 10 || own {
		t.Errorf("delay of a limb without one = %v min, its own: %v; want 10, not its own", got, own)
	}
	h.Visits[0].Residual.MinutesOff, h.Visits[1].Residual.MinutesOff = number(22), number(31)
	if got, own := h.DelayMinutes(); got != 22 || !own {
		t.Errorf("delay = %v min, its own: %v; want that of the reference, 22", got, own)
	}
}

func TestDueState(t *testing.T) {
	tests := []struct {
		name        string
		next, today quantity.Date
		want        Due
	}{
		{"none planned", "", "2026-11-25", NotDue},
		{"in 8 days", "2026-12-03", "2026-11-25", NotDue},
		{"in 7 days", "2026-12-02", "2026-11-25", DueSoon},
		{"today", "2026-11-25", "2026-11-25", DueSoon},
		{"yesterday", "2026-11-24", "2026-11-25", Overdue},
		{"not a date", "soon", "2026-11-25", NotDue},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := DueState(tt.next, tt.today); got != tt.want {
				t.Errorf("DueState(%q, %q) = %q, want %q", tt.next, tt.today, got, tt.want)
			}
		})
	}
}

func TestDueByIsTheLastDayThatCountsAsDue(t *testing.T) {
	const today = quantity.Date("2026-11-25")
	last := DueBy(today)
	if got := DueState(last, today); got != DueSoon {
		t.Errorf("a check-in on %s is %q today, want due", last, got)
	}
	if got := DueState(last.AddDays(1), today); got != NotDue {
		t.Errorf("a check-in the day after %s is %q today, want not due", last, got)
	}
}
