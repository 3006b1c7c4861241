package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// correctGirths corrects the girths of the residual limb of a check-in and
// returns the address of the new version.
func (b *browser) correctGirths(checkin string, girths ...string) string {
	b.t.Helper()
	draft := strings.TrimSuffix(b.Post(checkin+"/correct").Location, "/result")
	b.Fill(draft, "residual-1", girthPairs("residual", 1, girths...)...).To(b.t, "residual-2")
	b.Fill(draft, "residual-2", girthPairs("residual", 2, girths...)...).To(b.t, "again")
	return b.Save(draft, "reason", "figures swapped").Location
}

// flagOf is the path of the one flag of a rule.
func (s *site) flagOf(client benchClient, rule assess.Rule) string {
	s.t.Helper()
	flags, err := s.store.FlagsOf(s.t.Context(), client.ID)
	if err != nil {
		s.t.Fatal(err)
	}
	path := ""
	for _, f := range flags {
		if f.Rule == string(rule) && path == "" {
			path = flagPath(f)
		} else if f.Rule == string(rule) {
			s.t.Fatalf("two flags of rule %s", rule)
		}
	}
	if path == "" {
		s.t.Fatalf("no flag of rule %s", rule)
	}
	return path
}

// TestFlagWhoseGroundWasCorrected stays open, and says where it is listed and on
// its own page that nothing finds it now and which check-in was corrected.
func TestFlagWhoseGroundWasCorrected(t *testing.T) {
	const notFound, corrected = "With the record as it stands now, this is no longer found.", "One of the check-ins it rests on was corrected on "
	shrunk, as := []string{"32.0", "32.2", "30.6"}, []string{"33.4", "33.7", "32.1"}
	for _, tt := range []struct {
		name      string
		reference bool // that is corrected, not the newest check-in
		girths    []string
		label     string
	}{
		{"the visit it is compared with", true, shrunk, "The corrected check-in it was compared with"},
		{"the newest visit", false, as, "The corrected check-in"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			site := newSite(t)
			client := site.BenchClient("K-083")
			b := site.As("kit", models.Fitter)
			delivery := b.Save(b.Late(client, "delivery", 30, as...), "left_empty", "time").Location
			newest := b.Visit(client, "follow-up", shrunk...)
			flag := site.flagOf(client, assess.VolumeChange)
			for _, path := range []string{flag, "/clients/" + client.ID} {
				b.Get(path).Lacks(t, notFound, corrected)
			}
			old := newest
			if tt.reference {
				old = delivery
			}
			now := b.correctGirths(old, tt.girths...)
			said := corrected + site.today() + "; see the corrected one."
			b.Get("/clients/"+client.ID).Has(t, http.StatusOK, notFound, said, "Two things to watch")
			page := b.Get(flag)
			page.Has(t, http.StatusOK, notFound, said+` <a href="`+now+`">The corrected check-in</a>`,
				`<a href="`+now+`">`+tt.label+`<span class="unseen">: Check-in of `, ", corrected since<", "Open since")
			page.Lacks(t, `href="`+old+`"`)
		})
	}
}

// TestHeadNeverHidesAFinding: whatever became of the flags of the newest visit,
// the page doesn't say that no value is outside the limits when one is.
func TestHeadNeverHidesAFinding(t *testing.T) {
	y := testSayer(t)
	none := y.text("follow.head.none")
	closed := time.Date(2026, 6, 1, 9, 0, 0, 0, time.UTC)
	rapid.Check(t, func(rt *rapid.T) {
		m := makerOf(t, drawLimb(rt), followup.SinceDelivery, y)
		flags := m.flags
		m.flags = nil
		for _, f := range flags {
			switch rapid.SampledFrom([]string{"open", "closed", "lost"}).Draw(rt, "flag") {
			case "open":
				m.flags = append(m.flags, f)
			case "closed":
				f.ClosedAt = &closed
				m.flags = append(m.flags, f)
			}
		}
		if m.finding() != none {
			return
		}
		for _, f := range m.standing {
			if f.About != assess.AboutData {
				rt.Fatalf("the page says %q, and the newest visit finds %s", none, f.Rule)
			}
		}
	})
}
