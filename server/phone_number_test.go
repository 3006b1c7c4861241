package server

import (
	"net/http"
	"slices"
	"strings"
	"testing"

	"fairlead/models"
)

// The zero in brackets is dialled within a country only: never behind its code
// (ITU-T E.123, 2001, keeps brackets out of international numbers for that reason).
func TestDial(t *testing.T) {
	tests := []struct{ shown, dial, groups string }{
		{"112", "112", "112"},
		{"030 11", "03011", "030 11"},
		{"+49 (0)40 123456", "+4940123456", "+49 40 123456"},
		{"+49(0)40-123456", "+4940123456", "+49 40 123456"},
		{"+49 ( 0 ) 40/12 34", "+49401234", "+49 40 12 34"},
		{"0049 (0)40 123456", "004940123456", "0049 40 123456"},
		{"(0)40 123456", "040123456", "0 40 123456"},
		{"(030) 11", "03011", "030 11"},
		{"+49 (040) 123456", "+49040123456", "+49 040 123456"},
		{"030 11/12", "0301112", "030 11 12"},
		{"040 1234 - 17", "040123417", "040 1234 17"},
		{"+1 (202) 555.0100", "+12025550100", "+1 202 555 0100"},
		{"", "", ""},
	}
	for _, tt := range tests {
		n := number("", tt.shown)
		if n.Dial != tt.dial || n.groups() != tt.groups || n.Shown != tt.shown {
			t.Errorf("%q dials %q, said as %q; want %q and %q", tt.shown, n.Dial, n.groups(), tt.dial, tt.groups)
		}
	}
}

// TestLinksPageSaysWhatIsDialled: a number that a telephone reads otherwise than a
// person is seen where the link is made.
func TestLinksPageSaysWhatIsDialled(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	site.ready(client.Client)
	c, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	c.ClinicPhone, c.OutOfHoursPhone = "+49 (0)40 123456", "030 11/12"
	if err := site.store.UpdateClient(t.Context(), &c); err != nil {
		t.Fatal(err)
	}
	site.As("kit", models.Fitter).Get("/clients/"+client.ID+"/links").Has(t, http.StatusOK,
		"&#43;49 (0)40 123456", "dials &#43;49 40 123456", "030 11/12", "dials 030 11 12", "dials 0100 1", "dials 112")
}

// tels are the numbers that a part of a page offers to tap.
func tels(body string) []string {
	var out []string
	for _, part := range strings.Split(body, `href="tel:`)[1:] {
		out = append(out, part[:strings.IndexByte(part, '"')])
	}
	return out
}

// TestNowPageIsNeverWithoutNumbers: whatever was taken away since the link was
// made, each number that is left stands under its own label.
func TestNowPageIsNeverWithoutNumbers(t *testing.T) {
	tests := []struct {
		name                        string
		clinic, hours, emergency    string
		workshop, workshopEmergency string
		tels                        []string
		words, lacks                string
	}{
		{"all", "0301 22", "0301 33", "113", "030 11", "112", []string{"113", "030133", "030122"}, "Out of hours", "your local emergency number"},
		{"no number out of hours", "0301 22", "", "113", "030 11", "112", []string{"113", "030122"}, "Clinic", "Out of hours"},
		{"abroad", "+49 (0)301 22", "", "113", "", "", []string{"113", "&#43;4930122"}, "Clinic", "Out of hours"},
		{"no clinic", "", "0301 33", "113", "030 11", "112", []string{"113", "030133", "03011"}, "Invented workshop</span>", "Clinic</span>"},
		{"no emergency number", "0301 22", "0301 33", "", "030 11", "112", []string{"112", "030133", "030122"}, "Emergency", "your local"},
		{"none of the client's", "", "", "", "030 11", "112", []string{"112", "03011"}, "Invented workshop</span>", "Out of hours"},
		{"none at all", "", "", "", "", "", nil, "your local emergency number", "Out of hours"},
	}
	for _, tt := range tests {
		r := newReporter(t)
		r.Start()
		r.Answer("safety", "now", "safety.breathless", "yes")
		w, err := r.store.Workshop(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		w.Phone, w.EmergencyPhone = tt.workshop, tt.workshopEmergency
		if err := r.store.SaveWorkshop(t.Context(), &w); err != nil {
			t.Fatal(err)
		}
		r.client.ClinicPhone, r.client.OutOfHoursPhone, r.client.EmergencyPhone = tt.clinic, tt.hours, tt.emergency
		if err := r.store.UpdateClient(t.Context(), &r.client); err != nil {
			t.Fatal(err)
		}
		a := r.Get("/report/now")
		a.Has(t, http.StatusOK, "Call for help now", tt.words)
		a.Lacks(t, tt.lacks)
		main := a.Body[:strings.Index(a.Body, "<footer")]
		if got := tels(main); !slices.Equal(got, tt.tels) {
			t.Errorf("%s: the page offers %v, want %v", tt.name, got, tt.tels)
		}
	}
}

// TestNumbersOfALinkStay: while a link works, what its form shows can't be emptied.
func TestNumbersOfALinkStay(t *testing.T) {
	r := newReporter(t)
	kit, owner := r.As("kit", models.Fitter), r.As("heath", models.Owner)
	path := "/clients/" + r.client.ID
	edit := func(pairs ...string) answer {
		version := kit.Get(path + "/edit").Version(t)
		return kit.Post(path, append([]string{"version", version, "code", "K-001", "name", "Typed anew", "language", "en"}, pairs...)...)
	}
	setUp := func(pairs ...string) answer {
		version := owner.Get("/setup").Version(t)
		return owner.Post("/setup/workshop", append([]string{"version", version, "name", "Named anew", "zone", "Europe/Berlin"}, pairs...)...)
	}
	edit("clinic_phone", "0301 22", "emergency_phone", " ").Has(t, http.StatusUnprocessableEntity, "Typed anew", "revoke the link first",
		`href="#out_of_hours_phone"`, `href="#emergency_phone"`)
	setUp("phone", "030 11").Has(t, http.StatusUnprocessableEntity, "Named anew", "revoke", `href="#emergency_phone"`, `href="#reads_at"`)
	edit("clinic_phone", "0301 44", "out_of_hours_phone", "0301 33", "emergency_phone", "112").Has(t, http.StatusSeeOther)
	setUp("phone", "030 12", "emergency_phone", "112", "reads_at", "9:00", "reads_on.friday", "yes").Has(t, http.StatusSeeOther)
	if err := r.store.RevokeReportLink(t.Context(), r.link.ID, r.link.MadeBy); err != nil {
		t.Fatal(err)
	}
	edit().Has(t, http.StatusSeeOther)
	setUp().Has(t, http.StatusSeeOther)
}

// TestNumbersThatWereEmptyStayOpen: a client of whom no number was kept is saved
// beside another's link.
func TestNumbersThatWereEmptyStayOpen(t *testing.T) {
	r := newReporter(t)
	kit := r.As("kit", models.Fitter)
	bare := kit.AddClient("K-077", "Bare")
	version := kit.Get("/clients/" + bare.ID + "/edit").Version(t)
	kit.Post("/clients/"+bare.ID, "version", version, "code", "K-077", "name", "Barer", "language", "en").Has(t, http.StatusSeeOther)
}
