package server

import (
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// TestSocksSince: whole stacks are compared, sock by sock, never plies added up; a
// sentence says no more than what was asked.
func TestSocksSince(t *testing.T) {
	stack := func(plies ...int) []clearance.Sock {
		socks := []clearance.Sock{}
		for _, p := range plies {
			socks = append(socks, clearance.Sock{Ply: p, Material: "single"})
		}
		return socks
	}
	of := func(ply int, material string, worn bool) []clearance.Sock {
		return []clearance.Sock{{Ply: ply, Material: material, WornThin: worn}}
	}
	for _, tt := range []struct {
		name      string
		then, now []clearance.Sock
		want      string
	}{
		{"the same", stack(3), stack(3), "One 3-ply sock now, as on 12 March 2026"},
		{"the same two", stack(1, 3), stack(1, 3), "Two socks (1 ply + 3 ply) now, as on 12 March 2026"},
		{"none, as before", stack(), stack(), "No sock now, as on 12 March 2026"},
		{"a thicker one in place", stack(1), stack(3), "One 3-ply sock now, one 1-ply sock on 12 March 2026"},
		{"a thinner one in place", stack(3), stack(1), "One 1-ply sock now, one 3-ply sock on 12 March 2026"},
		{"one of two thicker", stack(1, 1), stack(1, 3), "Two socks (1 ply + 3 ply) now, two socks (1 ply + 1 ply) on 12 March 2026"},
		{"a layer more", stack(3), stack(3, 1), "Two socks (1 ply + 3 ply) now, one 3-ply sock on 12 March 2026"},
		{"a layer less", stack(1, 3), stack(3), "One 3-ply sock now, two socks (1 ply + 3 ply) on 12 March 2026"},
		{"as many plies in other socks", stack(1, 3), stack(2, 2), "Two socks (2 ply + 2 ply) now, two socks (1 ply + 3 ply) on 12 March 2026"},
		{"the same two turned round", stack(1, 3), stack(3, 1), "Two socks (1 ply + 3 ply) now, as on 12 March 2026"},
		{"the first socks", stack(), stack(1), "One 1-ply sock now, no sock on 12 March 2026"},
		{"no more socks", stack(1), stack(), "No sock now, one 1-ply sock on 12 March 2026"},
		{"a sheath", stack(0), stack(1), "One 1-ply sock now, one 0-ply sock on 12 March 2026"},
		{"another material", of(3, "single", false), of(3, "blended", false),
			"One sock (3 ply, blended) now, one sock (3 ply, one material) on 12 March 2026"},
		{"a material not told", of(3, "", false), of(3, "blended", false),
			"One sock (3 ply, blended) now, one sock (3 ply, material not told) on 12 March 2026"},
		{"worn thin since", of(3, "single", false), of(3, "single", true),
			"One sock (3 ply, one material, worn thin) now, one sock (3 ply, one material) on 12 March 2026"},
		{"not asked then", nil, stack(3), "One 3-ply sock now; socks were not asked about on 12 March 2026"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := testSayer(t).socksSince(tt.then, tt.now, "2026-03-12"); got != tt.want {
				t.Errorf("got  %q\nwant %q", got, tt.want)
			}
		})
	}
}

// TestSockClaim: a flag says the same of its own two visits, and what is more.
func TestSockClaim(t *testing.T) {
	visit := func(id string, on quantity.Date, plies ...int) assess.Visit {
		days, _ := on.DaysSince("2026-01-01")
		v := assess.Visit{ID: id, On: on, At: int64(days), SocksAsked: true}
		for _, p := range plies {
			v.SocksNow = append(v.SocksNow, clearance.Sock{Ply: p})
		}
		return v
	}
	for _, tt := range []struct {
		name      string
		then, now []int
		lasting   bool
		want, old string // old: kept before findings held their stacks
	}{
		{"one thicker in place", []int{1}, []int{3}, false,
			"One 3-ply sock now, one 1-ply sock on 12 March 2026: one thick sock more", "One 3-ply sock now, one 1-ply sock on 12 March 2026: one thick sock more"},
		{"two thicker in place", []int{1, 1}, []int{3, 3}, false,
			"Two socks (3 ply + 3 ply) now, two socks (1 ply + 1 ply) on 12 March 2026: two thick socks more",
			"Two socks (6 ply in all) now, two socks (2 ply in all) on 12 March 2026: at least one thick sock more"},
		{"two layers more", []int{1}, []int{1, 1, 1}, false,
			"Three socks (1 ply + 1 ply + 1 ply) now, one 1-ply sock on 12 March 2026: two layers more",
			"Three socks (3 ply in all) now, one 1-ply sock on 12 March 2026: two layers more"},
		{"thick and fewer", []int{1, 1, 1}, []int{3}, false,
			"One 3-ply sock now, three socks (1 ply + 1 ply + 1 ply) on 12 March 2026: one thick sock more",
			"One 3-ply sock now, three socks (3 ply in all) on 12 March 2026: at least one thick sock more"},
		{"from none", nil, []int{3}, false,
			"One 3-ply sock now, no sock on 12 March 2026: one thick sock more", "One 3-ply sock now, no sock on 12 March 2026: one thick sock more"},
		{"one layer more that lasts", []int{1}, []int{1, 1}, true,
			"Two socks (1 ply + 1 ply) now, one 1-ply sock on 12 March 2026: one layer more",
			"Two socks (2 ply in all) now, one 1-ply sock on 12 March 2026: one layer more"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h := assess.History{Visits: []assess.Visit{visit("then", "2026-03-12", tt.then...)}}
			if tt.lasting {
				h.Visits = append(h.Visits, visit("between", "2026-04-12", tt.now...))
			}
			h.Visits = append(h.Visits, visit("now", "2026-05-12", tt.now...))
			y, said := testSayer(t), false
			for _, f := range assess.Assess(h) {
				if f.Rule != assess.SockLayers {
					continue
				}
				said = true
				if got := y.finding(f).Claim; got != tt.want {
					t.Errorf("got  %q\nwant %q", got, tt.want)
				}
				if why := y.finding(f).Why; strings.Contains(tt.want, "thick") != strings.Contains(why, "3 ply or more") {
					t.Errorf("thick is not said right: %q", why)
				}
				delete(f.Words, "socks-then")
				delete(f.Words, "socks-now")
				if got := y.finding(f).Claim; got != tt.old {
					t.Errorf("without stacks: got  %q\nwant %q", got, tt.old)
				}
			}
			if !said {
				t.Error("no finding about layers")
			}
		})
	}
}
