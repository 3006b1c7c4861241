package server

import (
	"net/http"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

func TestNewCoverRetiresTheOneBefore(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/covers"
	add := func(material, delivered string) answer {
		return b.Post(path, "material", material, "state", "in-use", "delivered_on", delivered, "version", "0")
	}
	add("first", "2024-03-01").Has(t, http.StatusSeeOther)
	add("not delivered yet", "").Has(t, http.StatusSeeOther)
	add("older", "2024-01-01").Has(t, http.StatusUnprocessableEntity, "later delivery")
	add("second", "2025-03-01").Has(t, http.StatusSeeOther)
	covers, err := site.store.CoversOf(t.Context(), limb.ID)
	if err != nil || len(covers) != 3 {
		t.Fatalf("covers: got %d, %v, want 3", len(covers), err)
	}
	retired := map[string]quantity.Date{}
	for _, c := range covers {
		retired[c.Material] = c.RetiredOn
	}
	if retired["first"] != "2025-03-01" || retired["second"] != "" || retired["not delivered yet"] != "" {
		t.Errorf("retired: got %v", retired)
	}
}

// TestStationThatWasReadStays takes away a station that a check-in has read: the
// form comes back with everything that was typed, and nothing of it is kept.
func TestStationThatWasReadStays(t *testing.T) {
	site := newSite(t)
	kit := site.Person("wren", models.Fitter)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	cover := models.Cover{LimbID: limb.ID, Material: "PA12", State: models.InUse, Stations: []models.Station{
		{Level: 300, Direction: quantity.Posterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall},
	}}
	if err := site.store.CreateCover(t.Context(), &cover); err != nil {
		t.Fatal(err)
	}
	gap := quantity.FromMM(4)
	visit := models.Checkin{
		ClientID: client.ID, Kind: models.FollowUp, MeasuredAt: site.clock.Now(), Zone: "Europe/Berlin", MeasuredBy: kit.ID, EnteredBy: kit.ID,
		Limbs: []models.CheckinLimb{{LimbID: limb.ID, CoverID: &cover.ID, Clearances: []models.ClearanceReading{
			{StationID: cover.Stations[0].ID, Posture: quantity.Standing, Method: quantity.Feeler, Gap: &gap},
		}}},
	}
	if err := site.store.CreateCheckin(t.Context(), &visit); err != nil {
		t.Fatal(err)
	}
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/covers/" + cover.ID
	station := []string{
		"version", "1", "state", "in-use", "stations", "1", "station-0-id", cover.Stations[0].ID, "station-0-level", "3",
		"station-0-direction", "posterior", "station-0-posture", "standing", "station-0-neighbour", "socket-wall",
	}
	b.Post(path, append([]string{"material", "carbon", "station-0-out", "yes"}, station...)...).
		Has(t, http.StatusUnprocessableEntity, "its readings refer to it", `value="carbon"`)
	kept, err := site.store.CoverByID(t.Context(), cover.ID)
	if err != nil || kept.Material != "PA12" || len(kept.Stations) != 1 {
		t.Errorf("cover after a refused change: %+v, %v", kept, err)
	}
	b.Post(path, append([]string{"material", "carbon"}, station...)...).Has(t, http.StatusSeeOther)
}
