package assess

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// optional draws nil or a value.
func optional[T any](t *rapid.T, of *rapid.Generator[T], name string) *T {
	if rapid.Bool().Draw(t, "has "+name) {
		x := of.Draw(t, name)
		return &x
	}
	return nil
}

var anySock = rapid.Custom(func(t *rapid.T) clearance.Sock {
	return clearance.Sock{Ply: rapid.IntRange(0, 7).Draw(t, "ply"), Material: rapid.SampledFrom([]string{"", "single", "blended"}).Draw(t, "material")}
})

var stationIDs = []string{"a", "b", "c", "d"}

var anyClearance = rapid.Custom(func(t *rapid.T) Clearance {
	return Clearance{
		StationID: rapid.SampledFrom(stationIDs).Draw(t, "station"),
		GapMM:     optional(t, rapid.Float64Range(0, 12), "gap"),
		Method:    rapid.SampledFrom(quantity.ClearanceMethods).Draw(t, "method"),
		Touch:     rapid.SampledFrom(append([]quantity.Touch{""}, quantity.Touches...)).Draw(t, "touch"),
		Shoe:      rapid.SampledFrom([]string{"", "boot"}).Draw(t, "shoe"),
	}
})

var anySkin = rapid.Custom(func(t *rapid.T) Skin {
	return Skin{
		Place: rapid.SampledFrom([]string{"", "shin", " Shin", "end"}).Draw(t, "place"),
		Sign:  rapid.SampledFrom([]string{"redness-fades", "rub-mark", "blister", "rash", "unheard of"}).Draw(t, "sign"),
	}
})

// visitOn draws what was seen on a day.
func visitOn(t *rapid.T, on quantity.Date) Visit {
	v := visit(on, rapid.Float64Range(-15, 15).Draw(t, "percent"), by(rapid.SampledFrom([]string{"", "K", "L"}).Draw(t, "fitter")))
	if rapid.IntRange(0, 4).Draw(t, "measured") == 0 {
		unmeasured(&v)
	}
	if rapid.Bool().Draw(t, "sound") {
		v.Sound = scaled(rapid.Float64Range(-4, 4).Draw(t, "sound percent"))
	}
	v.Fluid = rapid.SliceOfN(rapid.SampledFrom([]string{"diabetes", "recent-fall", "dialysis"}), 0, 2).Draw(t, "fluid")
	v.Residual.MinutesOff = optional(t, rapid.Float64Range(0, 40), "minutes")
	v.MinuteOfDay = optional(t, rapid.IntRange(0, 1439), "clock")
	v.SocksAsked = rapid.Bool().Draw(t, "socks asked")
	v.SocksNow = rapid.SliceOfN(anySock, 0, 4).Draw(t, "socks now")
	v.SocksMost = rapid.SliceOfN(anySock, 0, 4).Draw(t, "socks most")
	v.Comfort = optional(t, rapid.IntRange(0, 10), "comfort")
	v.WorstPain = optional(t, rapid.IntRange(0, 10), "pain")
	v.Looseness = optional(t, rapid.IntRange(-5, 5), "looseness")
	v.Clearances = rapid.SliceOfN(anyClearance, 0, 6).Draw(t, "clearances")
	v.Skin = rapid.SliceOfN(anySkin, 0, 4).Draw(t, "skin")
	v.Functions = []Function{{"swing-free", rapid.SampledFrom([]string{"yes", "no", "not-checked"}).Draw(t, "swing")}}
	v.Attachments = []AttachmentSeen{{"clip", "lower clip", rapid.SampledFrom([]string{"ok", "loose", "missing"}).Draw(t, "clip")}}
	return v
}

// anyHistory draws a history of up to five visits.
var anyHistory = rapid.Custom(func(t *rapid.T) History {
	h := legs()
	days := rapid.SliceOfNDistinct(rapid.IntRange(0, 700), 1, 5, rapid.ID[int]).Draw(t, "days")
	for _, d := range days {
		h.Visits = append(h.Visits, visitOn(t, quantity.Date("2025-01-01").AddDays(d)))
	}
	for i, id := range stationIDs {
		s := station(id, quantity.Neighbours[i])
		s.AsBuiltMM = optional(t, rapid.Float64Range(0.5, 8), "as built")
		s.AsBuiltOn = h.Visits[0].On
		if rapid.Bool().Draw(t, "own limits") {
			s.WarnMM, s.ActMM, s.LimitBy = number(4), number(2), "R. A."
			s.LimitOn = s.AsBuiltOn.AddDays(rapid.IntRange(-30, 30).Draw(t, "set on"))
		}
		h.Stations = append(h.Stations, s)
	}
	h.Events = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Event {
		return Event{
			Kind: rapid.SampledFrom([]string{"liner-changed", "realignment", "cover-trimmed", "socket-adjusted"}).Draw(t, "kind"),
			On:   quantity.Date("2025-01-01").AddDays(rapid.IntRange(0, 700).Draw(t, "day")),
		}
	}), 0, 3).Draw(t, "events")
	h.Limb.ReducedFeeling = rapid.Bool().Draw(t, "reduced feeling")
	h.Limb.StillGrowing = rapid.Bool().Draw(t, "still growing")
	h.Limb.SocketAcceptedOn = rapid.SampledFrom([]quantity.Date{"", "2025-01-01", "2025-12-01"}).Draw(t, "accepted")
	if rapid.Bool().Draw(t, "room limit") {
		h.RoomLimit = &RoomLimit{MM: rapid.Float64Range(0, 3).Draw(t, "room mm"), By: "R. A.", On: "2025-02-01"}
	}
	return h
})

func TestFindingsAreWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		newest, _ := h.Newest()
		findings := Assess(h)
		seen := map[string]bool{}
		for i, f := range findings {
			key := string(f.Rule) + "|" + f.Place
			if seen[key] {
				t.Errorf("two findings of %s", key)
			}
			seen[key] = true
			if i > 0 && slices.Index(Levels, f.Level) < slices.Index(Levels, findings[i-1].Level) {
				t.Errorf("%s stands after the less urgent %s", f.Rule, findings[i-1].Rule)
			}
			if !slices.Contains(Rules, f.Rule) || !slices.Contains(Levels, f.Level) || f.RuleVersion < 1 || f.VisitID != newest.ID {
				t.Errorf("unknown rule, level or visit in %+v", f)
			}
			if want := f.About.ClosedBy(); f.ClosedBy != want {
				t.Errorf("%s about %s is closed by %s, want %s", f.Rule, f.About, f.ClosedBy, want)
			}
			if len(f.LookFirst) == 0 {
				t.Errorf("%s says nothing to look at first", f.Rule)
			}
			for _, code := range f.LookFirst {
				if !slices.Contains(LookFirstCodes, code) {
					t.Errorf("%s: look-first code %q is not listed", f.Rule, code)
				}
			}
		}
	})
}

// A gap of the cover and anything of the limb are never in one finding.
func TestLimbAndCoverAreNeverJoined(t *testing.T) {
	coverOnly := []string{"gap", "first-gap", "drop", "readings"}
	limbOnly := []string{"change", "room", "sound-change", "thickness-now", "comfort-now", "ply", "then-volume"}
	rapid.Check(t, func(t *rapid.T) {
		for _, f := range Assess(anyHistory.Draw(t, "history")) {
			for _, v := range f.Values {
				if f.About == AboutCover && slices.Contains(limbOnly, v.Name) || f.About != AboutCover && slices.Contains(coverOnly, v.Name) {
					t.Errorf("%s about %s holds the figure %q", f.Rule, f.About, v.Name)
				}
			}
		}
	})
}

func TestOrderOfInputDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		shuffled := h
		shuffled.Visits = rapid.Permutation(h.Visits).Draw(t, "visits")
		shuffled.Stations = rapid.Permutation(h.Stations).Draw(t, "stations")
		shuffled.Events = rapid.Permutation(h.Events).Draw(t, "events")
		for i := range shuffled.Visits {
			v := &shuffled.Visits[i]
			v.Clearances = rapid.Permutation(v.Clearances).Draw(t, "clearances")
			v.Skin = rapid.Permutation(v.Skin).Draw(t, "skin")
			v.SocksNow = rapid.Permutation(v.SocksNow).Draw(t, "socks")
		}
		if got, want := Assess(shuffled), Assess(h); !reflect.DeepEqual(got, want) {
			t.Errorf("another order gives\n%+v\nwant\n%+v", got, want)
		}
	})
}

func TestFindingsReadBackEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Assess(anyHistory.Draw(t, "history"))
		text, err := json.Marshal(want)
		if err != nil {
			t.Fatal(err)
		}
		var got []Finding
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, want) && len(got)+len(want) > 0 {
			t.Errorf("read back\n%+v\nwant\n%+v", got, want)
		}
	})
}

func TestAssessDoesNotChangeItsInput(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		before := fmt.Sprintf("%#v", h)
		Assess(h)
		if after := fmt.Sprintf("%#v", h); after != before {
			t.Errorf("history changed from\n%s\nto\n%s", before, after)
		}
	})
}

func TestAssessHoldsAllOfSafety(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		findings := Assess(h)
		for _, f := range Safety(h) {
			if !slices.ContainsFunc(findings, func(g Finding) bool { return reflect.DeepEqual(f, g) }) {
				t.Errorf("Assess lacks %+v", f)
			}
		}
	})
}

// most returns how urgent the most urgent finding is: 0 for now, 3 for none.
func most(findings []Finding) int {
	if len(findings) == 0 {
		return len(Levels)
	}
	return slices.Index(Levels, findings[0].Level)
}

func TestSmallerGapIsNeverLessUrgent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := station("s", rapid.SampledFrom(quantity.Neighbours).Draw(t, "neighbour"))
		s.AsBuiltMM, s.AsBuiltOn = optional(t, rapid.Float64Range(0.5, 8), "as built"), "2026-03-12"
		if rapid.Bool().Draw(t, "limits set since") {
			s.WarnMM, s.ActMM, s.LimitBy, s.LimitOn = number(4), number(2), "R. A.", "2026-06-01"
		}
		wide := rapid.Float64Range(0, 14).Draw(t, "wide")
		narrow := rapid.Float64Range(0, wide).Draw(t, "narrow")
		n := rapid.IntRange(1, 3).Draw(t, "readings")
		at := func(mm float64) []Finding {
			v := visit("2026-11-25", 0)
			for range n {
				gap("s", mm)(&v)
			}
			h := legs(v)
			h.Stations = []Station{s}
			return Assess(h)
		}
		if a, b := most(at(wide)), most(at(narrow)); b > a {
			t.Errorf("%v mm has urgency %d, the smaller %v mm only %d", wide, a, narrow, b)
		}
	})
}

func TestLargerLossIsNeverLessUrgent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		small := rapid.Float64Range(0, 25).Draw(t, "small")
		large := rapid.Float64Range(small, 25).Draw(t, "large")
		fitter := by(rapid.SampledFrom([]string{"K", "L"}).Draw(t, "fitter"))
		at := func(percent float64) []Finding {
			return Assess(legs(visit("2026-03-12", 0), visit("2026-11-25", sign*percent, fitter)))
		}
		if a, b := most(at(small)), most(at(large)); b > a {
			t.Errorf("%v %% has urgency %d, the larger %v %% only %d", sign*small, a, sign*large, b)
		}
	})
}

// A visit that starts the counting anew, such as the delivery of a second cover,
// is itself judged by the reference before it: it finds what it would have found
// without being one. Only that a volume can't be compared is no news then.
func TestANewReferenceSilencesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHistory.Draw(t, "history")
		before := h.ascending()
		if len(before) < 2 {
			t.Skip("one visit has none before it")
		}
		h.ReferenceID = rapid.SampledFrom(before[:len(before)-1]).Draw(t, "reference").ID
		want := slices.DeleteFunc(Assess(h), func(f Finding) bool { return f.Rule == NotComparable })
		h.ReferenceID, h.EarlierReferenceID = before[len(before)-1].ID, h.ReferenceID
		if got := Assess(h); !reflect.DeepEqual(got, want) && len(got)+len(want) > 0 {
			t.Errorf("as the reference itself\n%+v\nwant\n%+v", got, want)
		}
	})
}

// Words of a finding are codes; only these hold what a person typed.
func TestOnlyNamedWordsHoldTypedText(t *testing.T) {
	typed := "<b>typed"
	v := visit("2026-11-25", -12, skin(typed, "blister"), gap("s", 1), func(v *Visit) {
		v.Shoe = typed
		v.Attachments = []AttachmentSeen{{"a", typed, "loose"}}
	})
	h := legs(visit("2026-03-12", 0), v)
	h.Stations = []Station{station("s", quantity.SocketWall)}
	found := map[string]bool{}
	for _, f := range Assess(h) {
		for key, text := range f.Words {
			if strings.Contains(text, "typed") {
				found[key] = true
			}
		}
	}
	if want := map[string]bool{"place": true, "shoe": true, "name": true}; !reflect.DeepEqual(found, want) {
		t.Errorf("typed text in %v, want %v", found, want)
	}
}

func ExampleAssess() {
	h := legs(
		visit("2026-03-12", 0, gap("s", 4.1), wearing(1)),
		visit("2026-11-25", -6, gap("s", 2.3), gap("s", 2.5), wearing(1), skin("back of the calf", "redness-fades")),
	)
	h.Stations = []Station{station("s", quantity.SocketWall)}
	for _, f := range Assess(h) {
		fmt.Printf("%s: %s, about %s, closed by the %s\n", f.Level, f.Rule, f.About, f.ClosedBy)
	}
	// Output:
	// soon: clearance-below, about cover, closed by the fitter
	// watch: skin-sign, about skin, closed by the prosthetist
	// watch: volume-change, about limb, closed by the prosthetist
}
