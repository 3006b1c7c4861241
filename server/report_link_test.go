package server

import (
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// ready fills in what a client's form shows: the numbers of client and workshop
// and when reports are read.
func (s *site) ready(client models.Client) {
	s.t.Helper()
	w, err := s.store.Workshop(s.t.Context())
	if err != nil {
		s.t.Fatal(err)
	}
	w.Phone, w.EmergencyPhone, w.ReadsReportsAt, w.ReadsReportsOn = "0100 1", "112", "08:00", []string{"monday", "thursday"}
	if err := s.store.SaveWorkshop(s.t.Context(), &w); err != nil {
		s.t.Fatal(err)
	}
	c, err := s.store.ClientByID(s.t.Context(), client.ID)
	if err != nil {
		s.t.Fatal(err)
	}
	c.ClinicPhone, c.OutOfHoursPhone, c.EmergencyPhone = "0100 2", "0100 3", "112"
	if err := s.store.UpdateClient(s.t.Context(), &c); err != nil {
		s.t.Fatal(err)
	}
}

var madeAddress = regexp.MustCompile(`<code>(https?://[^<]+)</code>`)

// TestLinkIsShownOnce makes a link: its address stands on the page that follows,
// and nowhere else.
func TestLinkIsShownOnce(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	site.ready(client.Client)
	b := site.As("kit", models.Fitter)
	path := "/clients/" + client.ID + "/links"
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, `href="`+path+`"`)
	list := b.Get(path)
	list.Has(t, http.StatusOK, "None has been made", `name="days" type="text" value="30"`, `name="most" type="text" value="10"`)
	id := models.NewID()
	made := b.Post(path, "id", id, "days", "7", "most", "3")
	made.Has(t, http.StatusOK, "shown this once", `<svg class="code"`, `role="img"`, "0100 1", "for 3 reports at most", "this machine alone")
	m := madeAddress.FindStringSubmatch(made.Body)
	if m == nil || !strings.HasPrefix(m[1], site.URL+"/r/") {
		t.Fatalf("the address is %v, want one below %s/r/", m, site.URL)
	}
	token := m[1][strings.LastIndexByte(m[1], '/')+1:]
	link, err := site.store.ReportLinkByHash(t.Context(), tokenHash(token))
	if err != nil || link.ClientID != client.ID || link.MostReports != 3 || link.ExpiresAt.Sub(site.clock.Now()) > 7*24*time.Hour+time.Hour {
		t.Errorf("link %+v, %v", link, err)
	}
	if len(token) != 43 {
		t.Errorf("token of %d characters, want the 43 of 32 bytes", len(token))
	}
	list = b.Get(path)
	list.Has(t, http.StatusOK, "by Kit", "0 of 3", "never", "works", link.ID+"/revoke")
	list.Lacks(t, token)
	if strings.Contains(site.log.String(), token) {
		t.Error("the log holds the token")
	}
	b.Post(path, "id", id, "days", "7", "most", "3").Has(t, http.StatusUnprocessableEntity, "has been made already", `value="7"`)
	if links, err := site.store.ReportLinksOf(t.Context(), client.ID); err != nil || len(links) != 1 {
		t.Errorf("%d links, %v; want one of a form sent twice", len(links), err)
	}
}

// TestNoLinkWithoutNumbers: a form that shows no number to call is never handed
// out, and what is missing is said with where it is filled in.
func TestNoLinkWithoutNumbers(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	path := "/clients/" + client.ID + "/links"
	for _, page := range []answer{b.Get(path), b.Post(path, "days", "12", "most", "4")} {
		for _, want := range []string{"No link can be made yet", "/edit#clinic_phone", "/edit#out_of_hours_phone", "/edit#emergency_phone",
			"The telephone of the workshop", "The owner sets it under Set-up."} {
			if !strings.Contains(page.Body, want) {
				t.Errorf("the page lacks %q\n%s", want, page.Body)
			}
		}
	}
	b.Post(path, "days", "12", "most", "4").Has(t, http.StatusUnprocessableEntity, "What you typed is kept", `value="12"`, `value="4"`)
	site.As("heath", models.Owner, models.Fitter).Get(path).Has(t, http.StatusOK, `href="/setup#phone"`, `href="/setup#reads_on"`)
	site.ready(client.Client)
	b.Post(path, "days", "91", "most", "0").Has(t, http.StatusUnprocessableEntity, `href="#days"`, `href="#most"`, `value="91"`)
	b.Post(path, "days", "", "most", "x").Has(t, http.StatusUnprocessableEntity, "can&#39;t be left empty", "is not a number")
	if links, err := site.store.ReportLinksOf(t.Context(), client.ID); err != nil || len(links) != 0 {
		t.Errorf("%d links, %v; want none", len(links), err)
	}
}

// TestLinkIsRevoked asks first, and says who did it and when.
func TestLinkIsRevoked(t *testing.T) {
	site := newSite(t)
	client, other := site.BenchClient("K-014"), site.BenchClient("K-015")
	site.ready(client.Client)
	b := site.As("kit", models.Fitter)
	path := "/clients/" + client.ID + "/links"
	b.Post(path, "days", "30", "most", "10").Has(t, http.StatusOK)
	links, err := site.store.ReportLinksOf(t.Context(), client.ID)
	if err != nil || len(links) != 1 {
		t.Fatalf("%d links, %v", len(links), err)
	}
	revoke := path + "/" + links[0].ID + "/revoke"
	b.Get(revoke).Has(t, http.StatusOK, "Revoke this link?", "0 of 10")
	b.Get("/clients/"+other.ID+"/links/"+links[0].ID+"/revoke").Has(t, http.StatusNotFound)
	b.Post("/clients/"+other.ID+"/links/"+links[0].ID+"/revoke").Has(t, http.StatusNotFound)
	b.Post(revoke).Has(t, http.StatusSeeOther)
	b.Get(path).Has(t, http.StatusOK, "The link is revoked.", "revoked by Kit, ")
	b.Post(revoke).Has(t, http.StatusSeeOther)
	b.Get(path).Has(t, http.StatusOK, "had been revoked already")
	b.Get(revoke).Lacks(t, "<button class=\"btn\" type=\"submit\">Revoke")
}

// TestStatesOfALink walks what can become of one.
func TestStatesOfALink(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	link, path := NewReportLink("client", "person", now)
	if !strings.HasPrefix(path, "/r/") || link.TokenHash != tokenHash(strings.TrimPrefix(path, "/r/")) || strings.Contains(link.TokenHash, path[3:]) {
		t.Errorf("link %+v of %s", link, path)
	}
	if again, _ := NewReportLink("client", "person", now); again.TokenHash == link.TokenHash {
		t.Error("two links have one token")
	}
	revoked := link
	revoked.RevokedAt = &now
	tests := []struct {
		link models.ReportLink
		sent int
		at   time.Time
		want linkState
	}{
		{link, 0, now, linkUsable},
		{link, 9, now.AddDate(0, 0, 29), linkUsable},
		{link, 10, now, linkUsedUp},
		{link, 0, now.AddDate(0, 0, 30), linkExpired},
		{revoked, 10, now.AddDate(0, 0, 30), linkRevoked},
	}
	for _, tt := range tests {
		if got := stateOf(tt.link, tt.sent, tt.at); got != tt.want {
			t.Errorf("%d sent at %s: %s, want %s", tt.sent, tt.at, got, tt.want)
		}
	}
}
