package assess

import (
	"math"
	"testing"

	"fairlead/analytics/clearance"
)

// Rows S1 (common practice), S2 (patient leaflet) and S3 (patient page, weak).
func TestSocks(t *testing.T) {
	first := func(ply ...int) Visit { return visit("2026-03-12", 0, wearing(ply...)) }
	second := func(ply ...int) Visit { return visit("2026-06-01", 0, wearing(ply...)) }
	now := func(ply ...int) Visit { return visit("2026-11-25", 0, wearing(ply...)) }
	most := visit("2026-11-25", 0, wearing(1), func(v *Visit) {
		v.SocksMost = []clearance.Sock{{Ply: 3}, {Ply: 3}, {Ply: 5}}
	})
	tests := []struct {
		name   string
		visits []Visit
		rule   Rule
		want   Level
	}{
		{"S1 the same", []Visit{first(1), now(1)}, SockLayers, ""},
		{"S1 one layer more, once", []Visit{first(1), second(1), now(1, 1)}, SockLayers, ""},
		{"S1 one layer more, at two visits", []Visit{first(1), second(1, 1), now(1, 1)}, SockLayers, Watch},
		{"S1 two layers more", []Visit{first(1), now(1, 1, 1)}, SockLayers, Soon},
		{"S1 a thick sock more", []Visit{first(1), now(1, 3)}, SockLayers, Soon},
		{"S1 a thick sock in place of a thin one", []Visit{first(1), now(3)}, SockLayers, Soon},
		{"S1 a layer less", []Visit{first(1, 1), second(1), now(1)}, SockLayers, ""},
		{"S1 no visit before", []Visit{now(1, 1, 1)}, SockLayers, ""},
		{"S1 nobody asked now", []Visit{first(1), visit("2026-11-25", 0)}, SockLayers, ""},
		{"S1 nobody asked then", []Visit{visit("2026-03-12", 0), now(1, 1)}, SockLayers, ""},
		{"S2 two thick socks", []Visit{now(3, 3)}, SocksThick, ""},
		{"S2 three thick socks", []Visit{now(3, 3, 3)}, SocksThick, Soon},
		{"S2 three thick socks at most today", []Visit{most}, SocksThick, Soon},
		{"S3 ten ply", []Visit{now(5, 5)}, SocksPly, ""},
		{"S3 eleven ply", []Visit{now(5, 5, 1)}, SocksPly, Soon},
		{"S3 eleven ply at most today", []Visit{most}, SocksPly, Soon},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(tt.visits...)
			findings := Assess(h)
			if level := levelOf(findings, tt.rule); level != tt.want {
				t.Errorf("%s is %q, want %q", tt.rule, level, tt.want)
			}
			for _, f := range findings {
				if f.ClosedBy != Prosthetist || f.Limit == nil || !f.Limit.Fixed {
					t.Errorf("%s: closed by %s, limit %+v; want prosthetist and a fixed value", f.Rule, f.ClosedBy, f.Limit)
				}
			}
			h.Limb.NoSocket = true
			if level := levelOf(Assess(h), tt.rule); level != "" {
				t.Errorf("%s is %q on a limb without a socket", tt.rule, level)
			}
		})
	}
}

// S1 counts from the day the socket was accepted; a new liner or socket starts
// anew.
func TestSockSeriesStartsAnew(t *testing.T) {
	tests := []struct {
		name     string
		accepted string
		events   []Event
		want     Level
		against  string
	}{
		{"since the socket was accepted", "2026-01-10", nil, Soon, "visit 2026-03-12"},
		{"accepted later", "2026-05-20", nil, "", ""},
		{"never accepted: the reference", "", nil, Soon, "visit 2026-03-12"},
		{"new liner", "2026-01-10", []Event{{"liner-changed", "2026-05-20"}}, "", ""},
		{"another event", "2026-01-10", []Event{{"illness", "2026-05-20"}}, Soon, "visit 2026-03-12"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, wearing(1)), visit("2026-06-01", 0, wearing(1, 1, 1)), visit("2026-11-25", 0, wearing(1, 1, 1)))
			h.Limb.SocketAcceptedOn = dateOf(tt.accepted)
			h.Events = tt.events
			findings := Assess(h)
			if level := levelOf(findings, SockLayers); level != tt.want {
				t.Fatalf("got %q, want %q", level, tt.want)
			}
			if tt.want == "" {
				return
			}
			f := only(t, findings, SockLayers)
			then, _ := f.Value("thickness-then")
			today, _ := f.Value("thickness-now")
			if f.AgainstVisitID != tt.against || math.Abs(then.Value-0.6) > 1e-9 || math.Abs(today.Value-1.8) > 1e-9 {
				t.Errorf("against %s, %v mm then and %v mm now; want %s, 0.6 and 1.8 (S4)", f.AgainstVisitID, then.Value, today.Value, tt.against)
			}
		})
	}
}
