package assess

import (
	"math"
	"testing"

	"fairlead/analytics/quantity"
)

func dateOf(text string) quantity.Date { return quantity.Date(text) }

func TestRoom(t *testing.T) {
	liner := func(kind string) func(*Visit) { return func(v *Visit) { v.LinerType = kind } }
	tests := []struct {
		name   string
		change func(*History)
		want   NoRoom
	}{
		{"known", func(*History) {}, ""},
		{"not measured", func(h *History) { unmeasured(&h.Visits[1]) }, NotMeasured},
		{"no cone", func(h *History) { h.Limb.Level = quantity.PartialHand }, NotMeasured},
		{"bone-anchored", func(h *History) { h.Limb.NoSocket = true }, NoSocket},
		{"not accepted", func(h *History) { h.Limb.SocketAcceptedOn = "" }, SocketNotAccepted},
		{"adjusted since", func(h *History) { h.Events = []Event{{"socket-adjusted", "2026-05-01"}} }, SocketChanged},
		{"adjusted before it was accepted", func(h *History) { h.Events = []Event{{"socket-adjusted", "2026-01-02"}} }, ""},
		{"adjusted on the day it was accepted", func(h *History) { h.Events = []Event{{"socket-adjusted", "2026-01-10"}} }, ""},
		{"accepted after the last visit", func(h *History) { h.Limb.SocketAcceptedOn = "2026-05-01" }, NoEarlierVisit},
		{"socks not asked", func(h *History) { h.Visits[0].SocksAsked = false }, SocksNotAsked},
		{"another landmark", func(h *History) { h.Visits[0].Residual.Series.Landmark = "joint line" }, LimbNotComparable},
		{"another liner", func(h *History) { liner("foam")(&h.Visits[1]) }, LinerNotKnown},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, wearing(1), liner("gel")), visit("2026-11-25", -8, wearing(1), liner("gel")))
			tt.change(&h)
			room, none := h.Room()
			if none != tt.want {
				t.Fatalf("got %q, want %q", none, tt.want)
			}
			// Series A has a mean radius of about 49 mm; 8 % of volume are
			// 4.08 % of it.
			if none == "" && (math.Abs(room.Mean.RoomMM-2.0) > 0.1 || room.Since.ID != "visit 2026-03-12") {
				t.Errorf("room %v mm since %s, want about 2.0 since 2026-03-12", room.Mean.RoomMM, room.Since.ID)
			}
		})
	}
}

// The room is judged only by a limit that a person has set.
func TestRoomLimit(t *testing.T) {
	tests := []struct {
		name    string
		percent float64
		limit   *RoomLimit
		want    Level
	}{
		{"no limit", -12, nil, ""},
		{"beyond it, more room", -8, &RoomLimit{MM: 1.5, By: "R. A.", On: "2026-03-12"}, Soon},
		{"beyond it, less room", 8, &RoomLimit{MM: 1.5, By: "R. A.", On: "2026-03-12"}, Soon},
		{"inside it", -8, &RoomLimit{MM: 2.5, By: "R. A.", On: "2026-03-12"}, ""},
		{"beyond it, inside error", -3, &RoomLimit{MM: 0.5, By: "R. A.", On: "2026-03-12"}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, wearing(1)), visit("2026-11-25", tt.percent, wearing(1)))
			h.RoomLimit = tt.limit
			findings := Assess(h)
			if level := levelOf(findings, RoomChanged); level != tt.want {
				t.Fatalf("got %q, want %q", level, tt.want)
			}
			if tt.want != "" {
				if f := only(t, findings, RoomChanged); f.Limit.By != "R. A." || f.ClosedBy != Prosthetist {
					t.Errorf("got %+v, want the limit of R. A., for the prosthetist", f)
				}
			}
		})
	}
}
