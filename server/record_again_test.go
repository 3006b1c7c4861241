package server

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"fairlead/models"
)

// together sends the same form at the same moment, as fingers that press twice
// do, and fails the test unless every answer leads on to the same page.
func (b *browser) together(path string, form url.Values) {
	b.t.Helper()
	answers := make([]answer, 20)
	var all sync.WaitGroup
	for i := range answers {
		all.Go(func() { answers[i] = b.PostForm(path, form) })
	}
	all.Wait()
	for _, a := range answers {
		if a.Status != http.StatusSeeOther || a.Location != answers[0].Location {
			b.t.Fatalf("status %d to %q, want 303 to %q\n%s", a.Status, a.Location, answers[0].Location, a.Body)
		}
	}
}

// TestNewRecordSentTwiceAtOnceIsOne sends each form for something new twenty times at
// once, then once more.
func TestNewRecordSentTwiceAtOnceIsOne(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	ctx := t.Context()
	one := func(t *testing.T, name string, n int, err error) {
		t.Helper()
		if err != nil || n != 1 {
			t.Errorf("%s: got %d, %v, want one", name, n, err)
		}
	}
	again := func(page, path string, form url.Values) {
		t.Helper()
		a := b.PostForm(path, form)
		a.Has(t, http.StatusSeeOther)
		b.Get(page).Has(t, http.StatusOK, "saved already; nothing was added")
	}

	form := clientFields("K-001", "Rowan Example")
	form.Set("id", b.Get("/clients/new").Value(t, "id"))
	form.Set("contact-0-name", "Sister")
	b.together("/clients", form)
	again("/clients/new", "/clients", form)
	clients, _, err := site.store.Clients(ctx, models.ClientFilter{})
	one(t, "clients", len(clients), err)
	client, err := site.store.ClientByCode(ctx, "K-001")
	one(t, "contacts", len(client.Contacts), err)
	path := "/clients/" + client.ID

	form = values(transtibialFields...)
	form.Set("id", b.Get(path+"/limbs/new").Value(t, "id"))
	form.Set("do", "plan")
	page := b.PostForm(path+"/limbs", form)
	for _, field := range []string{"id", "landmark", "landmark_posture", "levels", "passes", "cap_depth"} {
		form.Set(field, page.Value(t, field))
	}
	form.Set("cap", page.Selected(t, "cap"))
	form.Set("revised_on", "2024-05-05")
	form.Set("do", "save")
	b.together(path+"/limbs", form)
	again(path+"/edit", path+"/limbs", form)
	limbs, err := site.store.LimbsOf(ctx, client.ID)
	one(t, "limbs", len(limbs), err)
	events, err := site.store.EventsOf(ctx, limbs[0].ID)
	one(t, "revisions", len(events), err)
	limb := path + "/limbs/" + limbs[0].ID

	form = values("number", "1", "landmark", "tibial plateau", "levels", "0 3 6", "passes", "3", "cap", "none", "reason", "third pass")
	form.Set("id", b.Get(limb+"/plan").Value(t, "id"))
	b.together(limb+"/plan", form)
	again(path+"/edit", limb+"/plan", form)
	plans, err := site.store.PlansOf(ctx, limbs[0].ID)
	one(t, "further plans", len(plans)-1, err)

	form = values("version", "0", "material", "PA12", "state", "in-use", "delivered_on", "2025-03-01", "attachments", "1",
		"attachment-0-name", "clip", "attachment-0-state", "ok", "stations", "1", "station-0-level", "3,0",
		"station-0-direction", "posterior", "station-0-posture", "standing", "station-0-neighbour", "socket-wall", "station-0-built", "4")
	form.Set("id", b.Get(limb+"/covers/new").Value(t, "id"))
	b.together(limb+"/covers", form)
	again(path+"/edit", limb+"/covers", form)
	covers, err := site.store.CoversOf(ctx, limbs[0].ID)
	one(t, "covers", len(covers), err)
	one(t, "stations", len(covers[0].Stations), nil)
}

// TestSavedFormTypedOverIsKept goes back to a form that was saved, and types
// something else over it: that is neither lost nor taken for the same.
func TestSavedFormTypedOverIsKept(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/covers"
	id := b.Get(path+"/new").Value(t, "id")
	b.Post(path, "id", id, "material", "first", "state", "off").Has(t, http.StatusSeeOther)
	a := b.Post(path, "id", id, "material", "second", "state", "off")
	a.Has(t, http.StatusUnprocessableEntity, "saved before", `value="second"`)
	if a.Value(t, "id") == id {
		t.Error("the form still carries the id of the first cover")
	}
	b.Post(path, "id", a.Value(t, "id"), "material", "second", "state", "off").Has(t, http.StatusSeeOther)
	covers, err := site.store.CoversOf(t.Context(), limb.ID)
	if err != nil || len(covers) != 2 {
		t.Errorf("covers: got %d, %v, want 2", len(covers), err)
	}
}

// TestIDOfARecordIsAUUID sends ids that no form of ours carries, and one that
// belongs to another client.
func TestIDOfARecordIsAUUID(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	first := b.AddClient("K-001", "One")
	foreign := b.AddLimb(first, transtibialFields...)
	second := b.AddClient("K-002", "Two")
	for _, id := range []string{"x", "../1", strings.ToUpper(models.NewID()), "{" + models.NewID() + "}"} {
		if got := recordID(map[string]string{"id": id}); got == id || len(got) != 36 {
			t.Errorf("id %q was taken as %q", id, got)
		}
	}
	b.Post("/clients/"+second.ID+"/limbs", "id", foreign.ID, "do", "save", "side", "right", "level", "partial-foot", "origin", "amputation").
		Has(t, http.StatusUnprocessableEntity, "saved before")
	limbs, err := site.store.LimbsOf(t.Context(), first.ID)
	if err != nil || len(limbs) != 1 || limbs[0].ID != foreign.ID || limbs[0].Side != foreign.Side {
		t.Errorf("limbs of the other client: %+v, %v", limbs, err)
	}
}

// TestUnchangedFormSentTwiceIsNoConflict sends the same change twice: only what
// differs is worth a question.
func TestUnchangedFormSentTwiceIsNoConflict(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	other, deputy := site.Person("wren", models.Fitter), site.Person("robin", models.Prosthetist)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	path := "/clients/" + client.ID
	base := path + "/limbs/" + limb.ID
	b.Post(base+"/covers", "version", "0", "material", "PA12", "state", "in-use", "attachments", "1", "attachment-0-name", "clip", "attachment-0-state", "ok").Has(t, http.StatusSeeOther)
	b.Post(base+"/prosthesis", "version", "0", "socket_type", "laminated", "shoe", "boot").Has(t, http.StatusSeeOther)
	cover, err := site.store.CurrentCover(t.Context(), limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name, path string
		pairs      []string
		differ     [2]string
	}{
		{"client", path, []string{"version", "1", "code", " K-001", "name", "Rowan Changed ", "language", "EN", "phone", "030  12", "contacts", "3",
			"contact-2-name", "Sister", "team." + other.ID, "yes", "deputy", deputy.ID, "conditions", "a\r\nb"}, [2]string{"name", "Other"}},
		{"limb", base, append([]string{"version", "1", "revised_on", "5.5.2024", "inflection", "130 mm"}, transtibialFields...), [2]string{"inflection", "12"}},
		{"prosthesis", base + "/prosthesis", []string{"version", "1", "socket_type", "laminated", "shoe", "sandal", "changed_on", "2025-05-01"}, [2]string{"shoe", "boot"}},
		{"first prosthesis", base + "/prosthesis", []string{"version", "0", "socket_type", "laminated", "shoe", "sandal"}, [2]string{"shoe", "boot"}},
		{"cover", base + "/covers/" + cover.ID, []string{"version", "1", "material", "PA12", "state", "off", "attachments", "1",
			"attachment-0-id", cover.Attachments[0].ID, "attachment-0-name", "clip", "attachment-0-state", "loose", "stations", "1", "station-0-level", "3",
			"station-0-direction", "posterior", "station-0-posture", "standing", "station-0-neighbour", "socket-wall"}, [2]string{"state", "in-use"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			form := values(tt.pairs...)
			first := b.PostForm(tt.path, form)
			first.Has(t, http.StatusSeeOther)
			second := b.PostForm(tt.path, form)
			second.Has(t, http.StatusSeeOther)
			if second.Location != first.Location {
				t.Errorf("the second time led to %q, want %q", second.Location, first.Location)
			}
			b.Get(path+"/edit").Has(t, http.StatusOK, "saved already; nothing was changed")
			form.Set(tt.differ[0], tt.differ[1])
			b.PostForm(tt.path, form).Has(t, http.StatusConflict, "Someone else has saved this in between", "<td data-label=\"You typed\">")
		})
	}
	events, err := site.store.EventsOf(t.Context(), limb.ID)
	if err != nil || len(events) != 2 {
		t.Errorf("events: got %+v, %v, want the revision and the shoe, once each", events, err)
	}
}
