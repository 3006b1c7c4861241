package server

import (
	"net/http"
	"reflect"
	"testing"

	"fairlead/models"
)

// TestArchivedMeanwhileLosesNothing types into every form of a client whom
// somebody else archives before it is sent.
func TestArchivedMeanwhileLosesNothing(t *testing.T) {
	site := newSite(t)
	bench := site.BenchClient("K-001")
	b := site.As("kit", models.Fitter)
	path := "/clients/" + bench.Client.ID
	base := path + "/limbs/" + bench.Limb.ID
	if err := site.store.ArchiveClient(t.Context(), bench.Client.ID, 1, "moved away"); err != nil {
		t.Fatal(err)
	}
	type record struct {
		client models.Client
		limbs  []models.Limb
		plans  []models.MeasuringPlan
		worn   models.Prosthesis
		events []models.Event
		covers []models.Cover
	}
	read := func() (r record) {
		var errs [6]error
		r.client, errs[0] = site.store.ClientByID(t.Context(), bench.Client.ID)
		r.limbs, errs[1] = site.store.LimbsOf(t.Context(), bench.Client.ID)
		r.plans, errs[2] = site.store.PlansOf(t.Context(), bench.Limb.ID)
		r.worn, errs[3] = site.store.ProsthesisOf(t.Context(), bench.Limb.ID)
		r.events, errs[4] = site.store.EventsOf(t.Context(), bench.Limb.ID)
		r.covers, errs[5] = site.store.CoversOf(t.Context(), bench.Limb.ID)
		if errs != [6]error{} {
			t.Fatal(errs)
		}
		return r
	}
	before := read()
	right := []string{"side", "right", "level", "transtibial", "origin", "amputation", "landmark_posture", "typed words", "levels", "0 3 6", "landmark", "x", "passes", "2", "cap", "none"}
	tests := []struct {
		name, path string
		pairs      []string
	}{
		{"client", path, []string{"version", "1", "code", "K-001", "name", "typed words", "language", "en"}},
		{"new limb", path + "/limbs", append([]string{"do", "save"}, right...)},
		{"plan of a new limb", path + "/limbs", append([]string{"do", "plan"}, right...)},
		{"limb", base, append([]string{"version", "1"}, right...)},
		{"plan", base + "/plan", []string{"number", "1", "landmark", "x", "levels", "0 3 6", "passes", "3", "cap", "none", "reason", "typed words"}},
		{"prosthesis", base + "/prosthesis", []string{"version", "1", "socket_type", "typed words"}},
		{"event", base + "/events", []string{"kind", "other", "happened_on", "2025-01-01", "what", "typed words"}},
		{"new cover", base + "/covers", []string{"do", "save", "state", "off", "material", "typed words"}},
		{"more rows of a new cover", base + "/covers", []string{"do", "add_stations", "state", "off", "material", "typed words"}},
		{"cover", base + "/covers/" + bench.Cover.ID, []string{"version", "1", "state", "off", "material", "typed words"}},
		{"archive", path + "/archive", []string{"version", "1", "archive_why", "typed words"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b.Post(tt.path, tt.pairs...).Has(t, http.StatusConflict, "This client is archived", `value="typed words"`, `id="summary"`)
			if after := read(); !reflect.DeepEqual(after, before) {
				t.Errorf("the record of an archived client changed from\n%+v\nto\n%+v", before, after)
			}
		})
	}
	a := b.Post(path+"/archive", "version", "1", "archive_why", "moved away")
	a.Has(t, http.StatusSeeOther)
	b.Get(path+"/edit").Has(t, http.StatusOK, "archived already")
}
