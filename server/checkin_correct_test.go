package server

import (
	"strings"
	"testing"

	"fairlead/models"
)

// TestNothingIsChosenForWhatWasLeftEmpty: why a part was left empty is asked, not
// assumed.
func TestNothingIsChosenForWhatWasLeftEmpty(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-051")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	page := b.Get(draft + "/result")
	page.Has(t, 200, "Nothing was typed for:", `name="left_empty" value="time"`)
	if strings.Contains(page.Body, `name="left_empty" value="time" checked`) {
		t.Error("a reason is chosen that nobody gave")
	}
	b.Save(draft).Has(t, 422, "parts are empty. Fill them in, or choose why they were not done.")
	b.Save(draft, "left_empty", "declined").Has(t, 303)
}

