package server

import (
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// TestArchiveNamesOpenFlags: a client with open flags that someone waits for is
// archived only by somebody who says that they know, and the page still shows
// them.
func TestArchiveNamesOpenFlags(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-051")
	b := s.As("fitter", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	path := "/clients/" + client.ID
	b.Get(path+"/edit").Has(t, http.StatusOK, "Archive this client")
	if strings.Contains(b.Get(path+"/edit").Body, "archive_flags") {
		t.Error("a tick about flags with none open")
	}
	s.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover)
	s.raise(client, checkin, assess.VolumeChange, assess.AboutLimb)

	page := b.Get(path + "/edit")
	page.Has(t, http.StatusOK, "Two open flags that need someone now or soon leave the lists with this client")
	send := []string{"version", page.Version(t), "archive_why", "moved away"}
	b.Post(path+"/archive", send...).Has(t, http.StatusUnprocessableEntity, "two open flags", `href="#archive_flags"`, `value="moved away"`)
	b.Post(path+"/archive", append(send, "archive_flags", "yes", "archive_count", "1")...).
		Has(t, http.StatusUnprocessableEntity, `href="#archive_flags"`) // another was raised while they typed
	b.Post(path+"/archive", append(send, "archive_flags", "yes", "archive_count", "2")...).Has(t, http.StatusSeeOther)
	b.Get(path).Has(t, http.StatusOK, "This client is archived", "Two flags are still open", "Clearance 2.4", "Limb volume")
}

// TestArchiveAsksThatSomebodySeesFirst: a flag of level now that nobody has seen
// does not leave the lists, whatever is ticked.
func TestArchiveAsksThatSomebodySeesFirst(t *testing.T) {
	b := newHandoverBench(t)
	path := "/clients/" + b.client.ID
	page := b.kit.Get(path + "/edit")
	page.Has(t, http.StatusOK, "Somebody has to see it first", `href="`+b.skin+`"`)
	page.Lacks(t, "leave the lists with this client")
	send := []string{"version", page.Version(t), "archive_why", "kept words", "archive_flags", "yes", "archive_count", "3"}
	b.kit.Post(path+"/archive", send...).Has(t, http.StatusUnprocessableEntity, "Somebody has to see it first", `href="`+b.skin+`"`, "kept words")
	if n, err := b.store.CountUnseenNow(t.Context(), nil); err != nil || n != 1 {
		t.Errorf("unseen: %d, %v", n, err)
	}
	b.kit.Post(b.skin+"/seen", "version", "1").Has(t, http.StatusSeeOther)
	b.kit.Post(path+"/archive", send...).Has(t, http.StatusSeeOther)
}
