package server

import (
	"strings"
	"testing"
	"time"

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

// TestEnteredOnAnotherDay gives the date of entry whenever it is not the day of
// measurement.
func TestEnteredOnAnotherDay(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-052")
	b := site.As("kit", models.Fitter)
	local := site.clock.Now().In(berlin(t))
	draft := b.Start(client.Client)
	b.Fill(draft, "talk", "date", local.AddDate(0, 0, -9).Format(time.DateOnly), "time", "10:00").To(t, "socks")
	where := b.Save(draft, "left_empty", "time").Location
	b.Get(where).Has(t, 200, "entered by Kit, "+local.Format("2 Jan 2006, 15:04"))

	draft = b.Start(client.Client)
	where = b.Save(draft, "left_empty", "time").Location
	b.Get(where).Has(t, 200, "entered by Kit, "+local.Format("15:04"))
}

func berlin(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

