package assess

import (
	"math"
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
)

// The limits are rows K1 and K5 of the domain notes (common practice, no
// source), the margin 1.645·0.5 mm = 0.82 mm of row K7.
func TestGapAgainstLimits(t *testing.T) {
	socket, skinStation := station("s", quantity.SocketWall), station("s", quantity.SkinSurface)
	set := socket
	set.WarnMM, set.ActMM, set.LimitBy, set.LimitOn = number(4), number(3.5), "R. A.", "2026-03-12"
	tests := []struct {
		name    string
		station Station
		seen    []func(*Visit)
		rule    Rule
		level   Level
		limit   *LimitUsed
	}{
		{"well above", socket, []func(*Visit){gap("s", 5)}, "", "", nil},
		{"can't be shown to be above", socket, []func(*Visit){gap("s", 3.5)}, ClearanceUnsure, Watch, &LimitUsed{Value: 3, Unit: MM, Starting: true}},
		{"one reading inside the error", socket, []func(*Visit){gap("s", 2.4)}, ClearanceUnsure, Watch, &LimitUsed{Value: 3, Unit: MM, Starting: true}},
		{"two readings of the same", socket, []func(*Visit){gap("s", 2.3), gap("s", 2.5)}, ClearanceBelow, Soon, &LimitUsed{Value: 3, Unit: MM, Starting: true}},
		{"below act", socket, []func(*Visit){gap("s", 1.1)}, ClearanceBelow, Soon, &LimitUsed{Value: 2, Unit: MM, Starting: true}},
		{"limit that a person set", set, []func(*Visit){gap("s", 3.1)}, ClearanceBelow, Soon, &LimitUsed{Value: 4, Unit: MM, By: "R. A.", On: "2026-03-12"}},
		{"nothing left", socket, []func(*Visit){gap("s", 0)}, CoverContact, Soon, nil},
		{"contact seen", socket, []func(*Visit){touch("s", quantity.Contact)}, CoverContact, Soon, nil},
		{"contact beside a wide gap", socket, []func(*Visit){gap("s", 6), touch("s", quantity.Contact)}, CoverContact, Soon, nil},
		{"contact with skin", skinStation, []func(*Visit){touch("s", quantity.Contact)}, ContactSkin, Now, nil},
		{"nothing left to skin", skinStation, []func(*Visit){gap("s", 0)}, ContactSkin, Now, nil},
		{"near skin", skinStation, []func(*Visit){gap("s", 4)}, ClearanceBelow, Soon, &LimitUsed{Value: 10, Unit: MM, Starting: true}},
		{"no contact", socket, []func(*Visit){touch("s", quantity.NoContact)}, "", "", nil},
		{"polish mark", socket, []func(*Visit){touch("s", quantity.PolishMark)}, RubEvidence, Watch, nil},
		{"polish mark where skin is", skinStation, []func(*Visit){touch("s", quantity.PolishMark)}, RubEvidence, Soon, nil},
		{"not a number", socket, []func(*Visit){gap("s", math.NaN())}, "", "", nil},
		{"a station of another cover", socket, []func(*Visit){gap("elsewhere", 0)}, "", "", nil},
		{"not reachable", socket, []func(*Visit){func(v *Visit) {
			v.Clearances = []Clearance{{StationID: "s", Method: quantity.NotReachable, GapMM: number(0)}}
		}}, "", "", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-11-25", 0, tt.seen...))
			h.Stations = []Station{tt.station}
			findings := Assess(h)
			if tt.rule == "" {
				if len(findings) != 0 {
					t.Errorf("got %+v, want no finding", findings)
				}
				return
			}
			if len(findings) != 1 {
				t.Fatalf("got %+v, want one finding", findings)
			}
			f := findings[0]
			if f.Rule != tt.rule || f.Level != tt.level || f.About != AboutCover || f.ClosedBy != Fitter || f.Place != "s" {
				t.Errorf("got %s %s %s %q closed by %s; want %s %s, cover, s, fitter", f.Rule, f.Level, f.About, f.Place, f.ClosedBy, tt.rule, tt.level)
			}
			if !reflect.DeepEqual(f.Limit, tt.limit) {
				t.Errorf("limit %+v, want %+v", f.Limit, tt.limit)
			}
			if f.Words["direction"] != "posterior" || f.Words["posture"] != "seated" || len(f.LookFirst) == 0 {
				t.Errorf("where and what to look at is missing: %+v", f)
			}
		})
	}
}

// Accepted at delivery at 2.4 mm, below the starting limit of 3 mm. A feeler
// resolves a drop of 1.645·0.5·√2 = 1.16 mm, the mean of two one of 1.01 mm, of
// four 0.92 mm.
func TestDropFromAsBuilt(t *testing.T) {
	accepted := station("s", quantity.SocketWall)
	accepted.AsBuiltMM, accepted.AsBuiltBy, accepted.AsBuiltOn = number(2.4), "K.", "2026-03-12"
	otherShoe := func(v *Visit) { v.Shoe = "boot" }
	tests := []struct {
		name  string
		seen  []func(*Visit)
		rule  Rule
		level Level
	}{
		{"as accepted", []func(*Visit){gap("s", 2.4)}, "", ""},
		{"a drop inside error", []func(*Visit){gap("s", 1.3)}, "", ""},
		{"a drop beyond error, 1 mm or more", []func(*Visit){gap("s", 1.2)}, AsBuiltDrop, Soon},
		{"a drop beyond error, less than 1 mm", []func(*Visit){gap("s", 1.45), gap("s", 1.45), gap("s", 1.45), gap("s", 1.45)}, AsBuiltDrop, Watch},
		{"contact is never waived", []func(*Visit){touch("s", quantity.Contact)}, CoverContact, Soon},
		{"accepted in another shoe: the limits hold", []func(*Visit){otherShoe, gap("s", 2.4)}, ClearanceUnsure, Watch},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, gap("s", 2.4)), visit("2026-11-25", 0, tt.seen...))
			h.Stations = []Station{accepted}
			findings := Assess(h)
			if tt.rule == "" {
				if len(findings) != 0 {
					t.Errorf("got %+v, want no finding", findings)
				}
				return
			}
			f := only(t, findings, tt.rule)
			if f.Level != tt.level {
				t.Errorf("level %s, want %s", f.Level, tt.level)
			}
			if tt.rule == AsBuiltDrop && !reflect.DeepEqual(f.Limit, &LimitUsed{Value: 2.4, Unit: MM, By: "K.", On: "2026-03-12"}) {
				t.Errorf("limit %+v, want the accepted gap and who accepted it", f.Limit)
			}
		})
	}
}

// An acceptance at 2.4 mm does not switch off a limit that a named person set
// later, nor any limit to skin.
func TestLimitsThatAnAcceptanceLeavesOn(t *testing.T) {
	own := func(mm float64, by string, on quantity.Date) func(*Station) {
		return func(s *Station) { s.WarnMM, s.ActMM, s.LimitBy, s.LimitOn = number(mm), number(mm-1), by, on }
	}
	wide := func(s *Station) { s.AsBuiltMM = number(9) }
	tests := []struct {
		name      string
		neighbour quantity.Neighbour
		set       []func(*Station)
		gapMM     float64
		want      map[Rule]Level
	}{
		{"set later", quantity.SocketWall, []func(*Station){own(4, "R. A.", "2026-06-01")}, 2.4, map[Rule]Level{ClearanceBelow: Soon}},
		{"set later, near", quantity.SocketWall, []func(*Station){own(3, "R. A.", "2026-06-01")}, 2.4, map[Rule]Level{ClearanceUnsure: Watch}},
		{"set the same day", quantity.SocketWall, []func(*Station){own(4, "R. A.", "2026-03-12")}, 2.4, nil},
		{"set before", quantity.SocketWall, []func(*Station){own(4, "R. A.", "2026-01-01")}, 2.4, nil},
		{"set later by nobody named", quantity.SocketWall, []func(*Station){own(4, "", "2026-06-01")}, 2.4, nil},
		{"dropped and below a limit set later: one claim", quantity.SocketWall, []func(*Station){own(4, "R. A.", "2026-06-01")}, 1.1, map[Rule]Level{ClearanceBelow: Soon}},
		{"dropped and near a limit set later", quantity.SocketWall, []func(*Station){own(1.5, "R. A.", "2026-06-01")}, 1.1, map[Rule]Level{AsBuiltDrop: Soon, ClearanceUnsure: Watch}},
		{"skin", quantity.SkinSurface, nil, 2.4, map[Rule]Level{ClearanceBelow: Soon}},
		{"skin, near", quantity.SkinSurface, []func(*Station){wide}, 9.5, map[Rule]Level{ClearanceUnsure: Watch}},
		{"skin, dropped above its limit", quantity.SkinSurface, []func(*Station){func(s *Station) { s.AsBuiltMM = number(14) }}, 11.5, map[Rule]Level{AsBuiltDrop: Soon}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := station("s", tt.neighbour)
			s.AsBuiltMM, s.AsBuiltBy, s.AsBuiltOn = number(2.4), "K.", "2026-03-12"
			for _, set := range tt.set {
				set(&s)
			}
			h := legs(visit("2026-11-25", 0, gap("s", tt.gapMM)))
			h.Stations = []Station{s}
			got := map[Rule]Level{}
			for _, f := range Assess(h) {
				got[f.Rule] = f.Level
			}
			if len(got)+len(tt.want) > 0 && !reflect.DeepEqual(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

// The first gap stands beside the newest only for the same station and shoe,
// and only since the cover was last worked on.
func TestFirstGapIsEvidence(t *testing.T) {
	boot := func(v *Visit) { v.Shoe = "boot" }
	tests := []struct {
		name    string
		visits  []Visit
		events  []Event
		want    float64
		against string
		words   string
	}{
		{"same shoe", []Visit{visit("2026-03-12", 0, gap("s", 4.1)), visit("2026-06-01", 0, gap("s", 3.9))}, nil, 4.1, "visit 2026-03-12", ""},
		{"another shoe", []Visit{visit("2026-03-12", 0, boot, gap("s", 4.1))}, nil, 0, "", ""},
		{"another station", []Visit{visit("2026-03-12", 0, gap("t", 4.1))}, nil, 0, "", ""},
		{
			"events are told", []Visit{visit("2026-03-12", 0, gap("s", 4.1))},
			[]Event{{"realignment", "2026-05-01"}, {"repair", "2026-04-01"}, {"illness", "2026-01-01"}}, 4.1, "visit 2026-03-12", "realignment,repair",
		},
		{
			"trimmed in between", []Visit{visit("2026-03-12", 0, gap("s", 4.1)), visit("2026-06-01", 0, gap("s", 3.9))},
			[]Event{{"cover-trimmed", "2026-05-01"}}, 3.9, "visit 2026-06-01", "",
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(append(tt.visits, visit("2026-11-25", 0, gap("s", 1)))...)
			h.Stations = []Station{station("s", quantity.SocketWall), station("t", quantity.SocketWall)}
			h.Events = tt.events
			f := only(t, Assess(h), ClearanceBelow)
			first, ok := f.Value("first-gap")
			if ok != (tt.want != 0) || first.Value != tt.want || f.AgainstVisitID != tt.against || f.Words["events"] != tt.words {
				t.Errorf("first gap %v against %q, events %q; want %v, %q, %q", first.Value, f.AgainstVisitID, f.Words["events"], tt.want, tt.against, tt.words)
			}
		})
	}
}

func TestAttachmentPoints(t *testing.T) {
	v := visit("2026-11-25", 0)
	v.Attachments = []AttachmentSeen{{"a", "upper strap", "ok"}, {"b", "lower clip", "loose"}, {"c", "heel pin", "missing"}}
	findings := Assess(legs(v))
	if len(findings) != 2 {
		t.Fatalf("got %+v, want two findings", findings)
	}
	for i, want := range []struct{ place, state, name string }{{"b", "loose", "lower clip"}, {"c", "missing", "heel pin"}} {
		f := findings[i]
		if f.Rule != Attachment || f.Level != Soon || f.ClosedBy != Fitter || f.Place != want.place ||
			f.Words["state"] != want.state || f.Words["name"] != want.name {
			t.Errorf("got %+v, want %+v, soon, for the fitter", f, want)
		}
	}
}

func TestGapsComeInTheOrderOfTheWalk(t *testing.T) {
	stations := []Station{station("d", quantity.SocketWall), station("c", quantity.SocketWall), station("b", quantity.SocketWall), station("a", quantity.SocketWall)}
	stations[0].Direction, stations[1].Direction, stations[3].LevelMM = quantity.Medial, quantity.Anterior, 30
	h := legs()
	h.Stations = stations
	gaps := h.Gaps(visit("2026-11-25", 0, gap("b", 3), gap("d", 4), gap("a", 5), gap("c", 6)))
	var order string
	for _, g := range gaps {
		order += g.Station.ID
	}
	if order != "acbd" {
		t.Errorf("order %q, want acbd: by level, then anterior, posterior, medial", order)
	}
}
