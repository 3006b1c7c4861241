package assess

import (
	"fmt"
	"testing"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

// read is a history of one station of the socket wall, limit 3 mm, with one feeler
// reading (σ = 0.5 mm, row K7) at each of several visits, a week apart.
func read(gapsMM ...float64) History {
	var visits []Visit
	for i, mm := range gapsMM {
		visits = append(visits, visit(quantity.Date("2026-05-0"+string(rune('1'+i))), 0, unmeasured, gap("s", mm)))
	}
	h := legs(visits...)
	h.Stations = []Station{station("s", quantity.SocketWall)}
	return h
}

// changed is a history of a limb with its volume changed by so many percent at
// each of several visits after the first.
func changed(percent ...float64) History {
	visits := []Visit{visit("2026-02-01", 0)}
	for i, p := range percent {
		visits = append(visits, visit(quantity.Date(fmt.Sprintf("2026-%02d-01", 3+i)), p))
	}
	return legs(visits...)
}

// upTo is the history as it was at its i-th visit, from 0 on.
func (h History) upTo(i int) History {
	h.Visits = h.Visits[:i+1]
	return h
}

// TestGone: a claim is gone only once its figure is back inside the limit by more
// than one standard uncertainty. With one feeler reading that is 0.5 mm, so above
// 3.5 mm for a limit of 3; for the drop from an accepted gap u = 0.5·√2 = 0.71 mm,
// and it is beyond error from 1.645 u = 1.16 mm on, so gone below 0.46 mm.
func TestGone(t *testing.T) {
	accepted := func(h History) History {
		h.Stations[0].AsBuiltMM, h.Stations[0].AsBuiltBy = number(4), "R. A."
		return h
	}
	loss, gain := Finding{Rule: VolumeChange}, Finding{Rule: VolumeChange}
	loss.add(measured("change", -7, 1, Percent))
	gain.add(measured("change", 7, 1, Percent))
	below, drop := Finding{Rule: ClearanceBelow, Place: "s"}, Finding{Rule: AsBuiltDrop, Place: "s"}
	touched := read(5)
	touch("s", quantity.Contact)(&touched.Visits[0])
	twoShoes := read(5)
	twoShoes.Visits[0].Clearances = append(twoShoes.Visits[0].Clearances, Clearance{StationID: "s", GapMM: number(3.2), Method: quantity.Feeler, Shoe: "sandal"})
	tests := []struct {
		name     string
		history  History
		of       Finding
		ok, gone bool
	}{
		{"gap at the limit", read(3), below, true, false},
		{"gap inside by less than u", read(3.45), below, true, false},
		{"gap inside by more than u", read(3.55), below, true, true},
		{"gap touched", touched, below, true, false},
		{"tightest of two shoes", twoShoes, below, true, false},
		{"station not read", read(), below, false, false},
		{"judged by the accepted gap", accepted(read(3.55)), below, false, false},
		{"drop inside its error", accepted(read(3.5)), drop, true, false},
		{"drop inside by more than u", accepted(read(3.6)), drop, true, true},
		{"nothing accepted", read(3.6), drop, false, false},
		{"loss near the limit", changed(-4.5), loss, true, false},
		{"loss well inside", changed(-0.5), loss, true, true},
		{"a gain is no loss", changed(8), loss, true, true},
		{"gain near the limit", changed(4.5), gain, true, false},
		{"not measured", legs(visit("2026-02-01", 0), visit("2026-03-01", 0, unmeasured)), loss, false, false},
		{"no room limit", changed(-7), Finding{Rule: RoomChanged}, false, false},
		{"no hysteresis", read(3), Finding{Rule: SkinSign, Place: "s"}, false, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o, ok := tt.history.Outlying(tt.of)
			if ok != tt.ok || ok && o.Gone() != tt.gone {
				t.Errorf("got %+v, ok %t, gone %t; want ok %t, gone %t", o, ok, o.Gone(), tt.ok, tt.gone)
			}
		})
	}
}

// TestSettled: a gap of 2.0 mm was closed on. Two readings have a combined u of
// 0.71 mm, so the next is further out below 1.29 mm.
func TestSettled(t *testing.T) {
	tests := []struct {
		name    string
		history History
		change  func(h *History, closed, now *Finding)
		want    bool
	}{
		{"the same gap", read(2, 2), nil, true},
		{"a little further out", read(2, 1.3), nil, true},
		{"further out", read(2, 1.28), nil, false},
		{"inside by less than u in between", read(2, 3.4, 2), nil, true},
		{"inside by more than u in between", read(2, 3.6, 2), nil, false},
		{"inside before it was closed", read(3.6, 2, 2), func(h *History, closed, _ *Finding) { *closed = below(*h, 1) }, true},
		{"more urgent", read(2, 2), func(_ *History, _, now *Finding) { now.Level = Now }, false},
		{"less urgent", read(2, 2), func(_ *History, _, now *Finding) { now.Level = Watch }, true},
		{"another limit", read(2, 2), func(_ *History, _, now *Finding) { now.Limit.Value = 4 }, false},
		{"the limit confirmed as it was", read(2, 2), func(h *History, _, _ *Finding) {
			h.Stations[0].WarnMM, h.Stations[0].LimitBy, h.Stations[0].LimitOn = number(3), "R. A.", "2026-05-02"
		}, true},
		{"another shoe", read(2, 2), func(_ *History, _, now *Finding) { now.Words["shoe"] = "sandal" }, false},
		{"trimmed since", read(2, 2), func(h *History, _, _ *Finding) { h.Events = []Event{{"cover-trimmed", "2026-05-01"}} }, false},
		{"trimmed before", read(2, 2), func(h *History, _, _ *Finding) { h.Events = []Event{{"cover-trimmed", "2026-04-30"}} }, true},
		{"another place", read(2, 2), func(_ *History, _, now *Finding) { now.Place = "t" }, false},
		{"no figure", read(2, 2), func(_ *History, closed, _ *Finding) { closed.Values = nil }, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := tt.history
			closed, now := below(h, 0), below(h, len(h.Visits)-1)
			if tt.change != nil {
				tt.change(&h, &closed, &now)
			}
			if got := h.Settled(closed, now); got != tt.want {
				t.Errorf("got %t, want %t", got, tt.want)
			}
		})
	}
}

// TestClosedUnderOneLimitNowBelowTheOther: a gap that was closed on below the limit
// from which it is mentioned is news below the one from which to act, even within
// measuring error; the other way round it is none, while both limits stand.
func TestClosedUnderOneLimitNowBelowTheOther(t *testing.T) {
	under := func(warnMM, actMM float64, on quantity.Date) Station {
		s := station("s", quantity.SocketWall)
		s.WarnMM, s.ActMM, s.LimitBy, s.LimitOn = &warnMM, &actMM, "R. A.", on
		return s
	}
	const before, after = "2026-04-20", "2026-05-02"
	for _, tt := range []struct {
		name      string
		was, is   float64
		then, now Station
		want      bool
	}{
		{"the same limit", 1.3, 1.2, under(2.4, 0.5, before), under(2.4, 0.5, before), true},
		{"below the one to act by", 1.3, 1.0, under(2.4, 1.9, before), under(2.4, 1.9, before), false},
		{"no more below the one to act by", 1.0, 1.3, under(2.4, 1.9, before), under(2.4, 1.9, before), true},
		{"no more, under a limit that was set since", 1.0, 1.3, under(2.4, 1.9, before), under(3, 1.9, after), false},
		{"limits set tighter, the new one of the old one's value", 1.1, 1.0, under(2, 0.5, before), under(3, 2, after), false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h := read(tt.was, tt.is)
			h.Stations = []Station{tt.then}
			closed := only(t, Assess(h.upTo(0)), ClearanceBelow)
			h.Stations = []Station{tt.now}
			if got := h.Settled(closed, only(t, Assess(h), ClearanceBelow)); got != tt.want {
				t.Errorf("got %t, want %t", got, tt.want)
			}
		})
	}
}

// below is a clearance below 3 mm as it is found at the i-th visit, soon.
func below(h History, i int) Finding {
	v := h.Visits[i]
	f := newFinding(v, ClearanceBelow, AboutCover, Soon, "s")
	f.Limit = &LimitUsed{Value: 3, Unit: MM, Starting: true}
	f.add(measured("gap", *v.Clearances[0].GapMM, 0.5, MM))
	f.say("shoe", v.Shoe)
	return f
}

// TestSettledVolume: a change is judged by the course of all visits. After three at
// the same volume it is closed on at the second visit that shows it.
func TestSettledVolume(t *testing.T) {
	found := func(h History, i int) Finding { return only(t, Assess(h.upTo(i)), VolumeChange) }
	tests := []struct {
		name    string
		percent []float64 // at the visits after the third
		change  func(h *History)
		want    bool
	}{
		{"the same loss", []float64{-7, -7.3, -7}, nil, true},
		{"much further", []float64{-7, -7, -12, -12}, nil, false},
		{"a gain instead", []float64{-7, -7, 7, 7}, nil, false},
		{"told early, then beyond the limit", []float64{-4.6, -4.6, -7, -7}, nil, false},
		{"beyond the second limit", []float64{-9.3, -9.3, -11.5, -11}, nil, false},
		{"back below the second limit", []float64{-12, -12, -9, -9}, nil, true},
		{"recovered in between", []float64{-7, -7, 0, 0, -7, -7}, nil, false},
		{"another limit", []float64{-7, -7, -7}, func(h *History) { h.VolumeLimits = VolumeLimits{LossPercent: 6, By: "R. A."} }, false},
		{"another reference", []float64{-7, -7, -7}, func(h *History) { h.ReferenceID = h.Visits[1].ID }, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := changed(append([]float64{0, 0}, tt.percent...)...)
			closed := found(h, 4)
			last := len(h.Visits) - 1
			if tt.change != nil {
				tt.change(&h)
			}
			now := found(h, last)
			if got := h.Settled(closed, now); got != tt.want {
				t.Errorf("closed on %v, now %v: got %t, want %t", closed.Values[0], now.Values[0], got, tt.want)
			}
		})
	}
}

func TestRulesWithoutHysteresisAreNeverSettled(t *testing.T) {
	for _, rule := range Rules {
		f := Finding{Rule: rule, Level: Watch, Limit: &LimitUsed{Value: 3, Unit: MM, Starting: true}}
		f.add(measured("gap", 2, 0.5, MM), measured("change", -7, 1, Percent), measured("room", 2, 0.5, MM), measured("drop", 2, 0.7, MM))
		if h := read(2, 2); h.Settled(f, f) && !rule.settles() {
			t.Errorf("a finding of rule %s is held back", rule)
		}
	}
}

// What is gone is not found, what is found is not gone, and a figure that is less
// far out is settled wherever one further out is.
func TestHysteresisProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gapMM, percent := rapid.Float64Range(0.1, 6).Draw(t, "gap"), rapid.Float64Range(-15, 15).Draw(t, "percent")
		one := read(gapMM)
		o, _ := one.Outlying(Finding{Rule: ClearanceBelow, Place: "s"})
		if found := levelOf(Assess(one), ClearanceBelow) != ""; found && o.Gone() {
			t.Fatalf("a gap of %v is found and gone: %+v", gapMM, o)
		}
		limb := changed(percent)
		for _, f := range Assess(limb) {
			if o, ok := limb.Outlying(f); ok && (o.Gone() || o.By < 0) {
				t.Fatalf("a change of %v %% is found and lies inside: %+v", percent, o)
			}
		}
		closedMM := rapid.Float64Range(0.1, 3).Draw(t, "closed on")
		lessMM := rapid.Float64Range(0, 3).Draw(t, "less far out by")
		h, less := read(closedMM, gapMM), read(closedMM, gapMM+lessMM)
		if h.Settled(below(h, 0), below(h, 1)) && !less.Settled(below(less, 0), below(less, 1)) {
			t.Fatalf("closed on %v: %v is settled, %v is not", closedMM, gapMM, gapMM+lessMM)
		}
		if !h.Settled(below(h, 1), below(h, 1)) {
			t.Fatalf("what was closed on is not settled by itself at %v", gapMM)
		}
	})
}
