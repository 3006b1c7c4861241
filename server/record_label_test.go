package server

import (
	"net/http"
	"regexp"
	"testing"

	"fairlead/models"
)

var summaryLine = regexp.MustCompile(`<li><a href="#([^"]+)">([^<]*)</a></li>`)

// TestSummaryNamesTheField sends forms with something wrong in many places: the
// list at the top says which field, and which row, each line is about.
func TestSummaryNamesTheField(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter, models.Owner)
	bench := site.BenchClient("K-001")
	path := "/clients/" + bench.Client.ID
	base := path + "/limbs/" + bench.Limb.ID
	draft := b.Start(bench.Client)
	tests := []struct {
		name, path string
		pairs      []string
		want       []string
	}{
		{"contacts", path, []string{"code", "K-001", "contacts", "3", "contact-2-phone", "x"}, []string{
			"Name: This can", "Contact 3, name of the contact: This can", "Contact 3, phone of the contact: “x”"}},
		{"stations", base + "/covers", []string{"material", "PA12", "state", "off", "attachments", "1", "attachment-0-name", "clip", "stations", "3",
			"station-2-level", "3", "station-2-direction", "posterior"}, []string{
			"Attachment point 1, state: This can", "Station 3, posture: This can", "Station 3, next to: This can"}},
		{"walk", base + "/covers", []string{"do", "propose"}, []string{"Upper level: Type at least one level"}},
		{"limb with its plan", path + "/limbs", []string{"do", "save", "side", "right", "level", "transtibial", "origin", "amputation"}, []string{
			"Zero landmark: This can", "Levels: This can", "Passes: This can", "Distal cap: This can"}},
		{"plan", base + "/plan", []string{"landmark", "x", "levels", "0 3", "passes", "2", "cap", "none"}, []string{"Reason: This can"}},
		{"prosthesis", base + "/prosthesis", []string{"done_by", "\x01a\x01"}, []string{"Kind of socket: This can", "Done by: Character 1"}},
		{"event", base + "/events", []string{"kind", "other"}, []string{"Date: This can", "In a few words: This can"}},
		{"archive", path + "/archive", []string{"version", "1"}, []string{"Why: This can"}},
		{"check-in", draft + "/talk", []string{"version", "1", "go", "next", "comfort_average", "x"}, []string{"“x”"}},
		{"find", "/clients/find", []string{"q", "a\x01"}, []string{"Name, code or reference number of a report: Character 2"}},
		{"workshop", "/setup/workshop", []string{"name", " ", "zone", "x"}, []string{"can"}},
		{"person", "/setup/people", []string{"name", "N", "sign_in", "n n"}, []string{"Sign-in name: ", "Roles: "}},
		{"password", "/preferences/password", []string{"present_password", "x", "password", "short"}, []string{"Present password: ", "New password: "}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := b.Post(tt.path, tt.pairs...)
			a.Has(t, http.StatusUnprocessableEntity, tt.want...)
			lines := summaryLine.FindAllStringSubmatch(a.Body, -1)
			if len(lines) == 0 {
				t.Fatalf("no line in the summary\n%s", a.Body)
			}
			for _, line := range lines {
				if !regexp.MustCompile(`^\pL[^:.“]+: `).MatchString(line[2]) {
					t.Errorf("the line about %s names no field: %q", line[1], line[2])
				}
			}
		})
	}
}
