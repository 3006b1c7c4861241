package server

import (
	"net/http"
	"testing"

	"fairlead/models"
)

func TestChangesOfAProsthesisBecomeEvents(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/prosthesis"
	b.Post(path, "version", "0", "socket_type", "laminated", "shoe", "trainer", "foot", "carbon").Has(t, http.StatusSeeOther)
	b.Post(path, "version", "1", "socket_type", "laminated", "shoe", "boot", "heel_height", "3", "foot", "carbon",
		"changed_on", "2025-05-01", "done_by", "an outside prosthetist", "told_by", "the client").Has(t, http.StatusSeeOther)
	b.Post(path, "version", "2", "socket_type", "laminated", "shoe", "boots", "heel_height", "3", "foot", "carbon", "correction", "yes").Has(t, http.StatusSeeOther)
	b.Post(path, "version", "3", "no_socket", "yes", "socket_type", "laminated", "shoe", "boots", "heel_height", "3", "foot", "carbon").Has(t, http.StatusSeeOther)
	b.Get("/clients/"+client.ID+"/edit").Has(t, http.StatusOK, "what was typed about one is left out")
	events, err := site.store.EventsOf(t.Context(), limb.ID)
	if err != nil || len(events) != 1 {
		t.Fatalf("events: got %+v, %v, want the one of the shoe", events, err)
	}
	want := models.Event{Kind: models.ShoeChanged, On: "2025-05-01", What: "Shoe: trainer → boot; Heel height: nothing → 3.0 cm",
		DoneBy: "an outside prosthetist", ToldBy: "the client", RecordedBy: "Kit"}
	if got := events[0]; got.RecordedBy != want.RecordedBy || !sameEvent(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	p, err := site.store.ProsthesisOf(t.Context(), limb.ID)
	if err != nil || !p.NoSocket || p.SocketType != "" {
		t.Errorf("prosthesis: got %+v, %v", p, err)
	}
}

func TestEventSentTwiceIsOne(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/events"
	for range 2 {
		b.Post(path, "kind", "realignment", "happened_on", "2025-05-01", "what", "2° more flexion").Has(t, http.StatusSeeOther)
	}
	b.Get(path).Has(t, http.StatusOK, "not added again", "1 May 2025", "2° more flexion", "realignment")
	events, err := site.store.EventsOf(t.Context(), limb.ID)
	if err != nil || len(events) != 1 {
		t.Errorf("events: got %d, %v, want 1", len(events), err)
	}
}
