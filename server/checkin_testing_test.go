package server

import (
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// benchClient is a client with one transtibial limb that is followed whole: a
// plan of three levels, a socket, and a cover with two stations and one
// attachment point.
type benchClient struct {
	models.Client
	Limb  models.Limb
	Plan  models.MeasuringPlan
	Cover models.Cover
}

func (s *site) BenchClient(code string) benchClient {
	s.t.Helper()
	ctx := s.t.Context()
	must := func(err error) {
		s.t.Helper()
		if err != nil {
			s.t.Fatal(err)
		}
	}
	b := benchClient{Client: models.Client{Code: code, Name: "Rowan, M.", Language: "en"}}
	must(s.store.CreateClient(ctx, &b.Client))
	b.Limb = models.Limb{
		ClientID: b.Client.ID, Side: quantity.Left, Level: quantity.Transtibial, Origin: models.Amputation,
		AmputatedOn: "2020-03-01", Landmark: "mid-patellar tendon", LandmarkPosture: "seated, knee 90°", OtherSideSound: true,
	}
	must(s.store.CreateLimb(ctx, &b.Limb))
	b.Plan = models.MeasuringPlan{
		LimbID: b.Limb.ID, Landmark: b.Limb.Landmark, Levels: []quantity.Length{0, 300, 600}, Passes: 2, CapKind: quantity.NoCap,
	}
	must(s.store.AddPlan(ctx, &b.Plan))
	must(s.store.SaveProsthesis(ctx, &models.Prosthesis{LimbID: b.Limb.ID, SocketType: "total contact", LinerType: "silicone", Shoe: "trainers"}))
	b.Cover = models.Cover{
		LimbID: b.Limb.ID, Material: "printed polyamide", State: models.InUse, DeliveredOn: "2026-01-05",
		Attachments: []models.Attachment{{Name: "proximal clip", State: models.Firm}},
		Stations: []models.Station{
			{Level: 300, Direction: quantity.Anterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall, EveryTime: true},
			{Level: 300, Direction: quantity.Posterior, Posture: quantity.Seated, Neighbour: quantity.SocketWall, Ordinal: 1},
		},
	}
	must(s.store.CreateCover(ctx, &b.Cover))
	return b
}

// Start begins a check-in and returns the address of its draft.
func (b *browser) Start(client models.Client) string {
	b.t.Helper()
	a := b.Post("/clients/"+client.ID+"/checkins", "anew", "yes")
	if a.Status != 303 || !strings.HasSuffix(a.Location, "/talk") {
		b.t.Fatalf("start: status %d, to %q\n%s", a.Status, a.Location, a.Body)
	}
	return strings.TrimSuffix(a.Location, "/talk")
}

var versionField = regexp.MustCompile(`name="version" value="(\d+)"`)

// Version is the version of a draft that a page carries.
func (a answer) Version(t *testing.T) string {
	t.Helper()
	m := versionField.FindStringSubmatch(a.Body)
	if m == nil {
		t.Fatalf("the page carries no version\n%s", a.Body)
	}
	return m[1]
}

// Fill types fields into a step and presses its main button.
func (b *browser) Fill(draft, step string, pairs ...string) answer {
	b.t.Helper()
	page := b.Get(draft + "/" + step)
	if page.Status != 200 {
		b.t.Fatalf("%s: status %d\n%s", step, page.Status, page.Body)
	}
	return b.Post(draft+"/"+step, append([]string{"version", page.Version(b.t), "go", "next"}, pairs...)...)
}

// To fails the test when a step did not lead to another one.
func (a answer) To(t *testing.T, step string) {
	t.Helper()
	if a.Status != 303 || !strings.HasSuffix(a.Location, "/"+step) {
		t.Fatalf("status %d, to %q, want %q\n%s", a.Status, a.Location, step, a.Body)
	}
}

// Save presses the button of the last page.
func (b *browser) Save(draft string, pairs ...string) answer {
	b.t.Helper()
	page := b.Get(draft + "/result")
	return b.Post(draft+"/save", append([]string{"version", page.Version(b.t)}, pairs...)...)
}

// girthPairs are the fields of one pass down the plan's levels.
func girthPairs(part string, pass int, girths ...string) []string {
	var pairs []string
	for i, g := range girths {
		pairs = append(pairs, "limb1."+part+"."+strconv.Itoa(i*300)+"."+strconv.Itoa(pass), g)
	}
	return pairs
}

// Visit types a whole check-in with the given girths of the residual limb and
// returns the address that it was saved at.
func (b *browser) Visit(client benchClient, kind string, girths ...string) string {
	b.t.Helper()
	draft := b.Start(client.Client)
	b.Fill(draft, "talk", "kind", kind).To(b.t, "socks")
	b.Fill(draft, "residual-1", girthPairs("residual", 1, girths...)...).To(b.t, "residual-2")
	b.LastPass(draft, girths...)
	a := b.Save(draft, "left_empty", "time")
	if a.Status != 303 || !strings.Contains(a.Location, "/checkins/") {
		b.t.Fatalf("save: status %d, to %q\n%s", a.Status, a.Location, a.Body)
	}
	return a.Location
}

// LastPass types the second pass; a second round that is asked for is put off.
func (b *browser) LastPass(draft string, girths ...string) {
	b.t.Helper()
	a := b.Fill(draft, "residual-2", girthPairs("residual", 2, girths...)...)
	if strings.HasSuffix(a.Location, "/measure-again") {
		a = b.Fill(draft, "measure-again")
	}
	a.To(b.t, "again")
}

// values makes a form of names and values in turn.
func values(pairs ...string) url.Values {
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	return form
}
