package server

import (
	"fmt"
	"net/http"
	"net/url"
	"testing"

	"fairlead/models"
)

// A draft takes no more fields than it can hold, and keeps what it has.
func TestDraftThatHoldsTooMuchIsRefused(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	client := site.BenchClient("K-001")
	draft := b.Start(client.Client)
	many := url.Values{"version": {"1"}}
	for i := range models.MostDraftFields + 1 {
		many.Set(fmt.Sprintf("limb1.skin.%d.note", i), "x")
	}
	b.PostForm(draft+"/fields", many).Has(t, http.StatusRequestEntityTooLarge, "holds more than can be kept")
	b.Get(draft+"/talk").Has(t, http.StatusOK, `name="version" value="1"`)
}
