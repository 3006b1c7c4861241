package server

import (
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// TestCorrectAfterTheNextDate: a check-in can be corrected after the day that was
// agreed for the next one has passed; another day that has passed is refused.
func TestCorrectAfterTheNextDate(t *testing.T) {
	site := newSite(t)
	site.clock.Pass(-200 * 24 * time.Hour)
	client := site.BenchClient("K-050")
	b := site.As("kit", models.Fitter)
	first := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	planned := fieldValue(t, b.Get(strings.TrimSuffix(b.Post(first+"/correct").Location, "/result")+"/result").Body, "next_on")
	if planned == "" {
		t.Fatal("no next check-in was proposed")
	}
	site.clock.Pass(200 * 24 * time.Hour)
	draft := strings.TrimSuffix(b.Post(first+"/correct").Location, "/result")
	b.Save(draft, "reason", "transposed digits", "next_on", "2026-01-06").Has(t, 422, "2026-01-06 has passed")
	b.Save(draft, "reason", "transposed digits", "next_on", planned).Has(t, 303)
}

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

// fieldValue is what a line of text on a page holds.
func fieldValue(t *testing.T, body, name string) string {
	t.Helper()
	_, rest, found := strings.Cut(body, `name="`+name+`" type="text" value="`)
	if !found {
		t.Fatalf("no field %s on the page", name)
	}
	value, _, _ := strings.Cut(rest, `"`)
	return value
}
