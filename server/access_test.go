package server

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// roleSets are the people of the access tests: nobody, each role, and two roles
// at once.
var roleSets = []struct {
	name  string
	roles []models.Role
}{
	{"nobody", nil},
	{"fitter", []models.Role{models.Fitter}},
	{"prosthetist", []models.Role{models.Prosthetist}},
	{"owner", []models.Role{models.Owner}},
	{"fitter and prosthetist", []models.Role{models.Fitter, models.Prosthetist}},
}

var parameter = regexp.MustCompile(`:[a-z]+`)

// TestEveryRouteForEveryRole sends a request to each route of the table as each
// kind of person. Whoever the access table refuses must get the refusal, and
// whoever it lets in must not.
func TestEveryRouteForEveryRole(t *testing.T) {
	for _, set := range roleSets {
		t.Run(set.name, func(t *testing.T) {
			site := newSite(t)
			srv, err := newServer(Deps{Store: site.store, Now: site.clock.Now, Log: discard, Password: &cheapPassword})
			if err != nil {
				t.Fatal(err)
			}
			var who *models.Person
			if set.roles != nil {
				p := site.Person("rowan", set.roles...)
				who = &p
			}
			for _, r := range srv.routes {
				b := site.Browser()
				if who != nil {
					b.Post("/sign-in", "name", "rowan", "password", testPassword)
				}
				path := parameter.ReplaceAllString(r.path, models.NewID())
				var a answer
				if r.method == http.MethodGet {
					a = b.Get(path)
				} else {
					a = b.Post(path)
				}
				refused := a.Status == http.StatusForbidden || a.Status == http.StatusUnauthorized ||
					a.Status == http.StatusSeeOther && strings.HasPrefix(a.Location, "/sign-in?next=")
				if want := !allowed(r.action, who); refused != want {
					t.Errorf("%s %s (%s): refused = %v, want %v (status %d)", r.method, r.path, r.action, refused, want, a.Status)
				}
				if a.Status == http.StatusInternalServerError {
					t.Errorf("%s %s: a fault of ours\n%s", r.method, r.path, site.log.String())
				}
			}
		})
	}
}

func TestAccessTableNamesWhoMayWhat(t *testing.T) {
	fitter, prosthetist, owner := models.Person{IsFitter: true}, models.Person{IsProsthetist: true}, models.Person{IsOwner: true}
	cases := []struct {
		name   string
		action action
		who    *models.Person
		want   bool
	}{
		{"nobody sees a client", seeClient, nil, false},
		{"an owner as such sees no client", seeClient, &owner, false},
		{"a prosthetist sees clients", seeClient, &prosthetist, true},
		{"a prosthetist does not log check-ins", logCheckin, &prosthetist, false},
		{"a fitter logs check-ins", logCheckin, &fitter, true},
		{"a fitter does not set up people", setUpWorkshop, &fitter, false},
		{"a fitter makes a study", makeStudy, &fitter, true},
		{"a prosthetist makes a study", makeStudy, &prosthetist, true},
		{"an owner as such makes none", makeStudy, &owner, false},
		{"everybody of the workshop reads studies", readStudy, &owner, true},
		{"nobody reads a study", readStudy, nil, false},
		{"a fitter does not take a study into use", useStudy, &fitter, false},
		{"a prosthetist takes a study into use", useStudy, &prosthetist, true},
		{"an owner takes a study into use", useStudy, &owner, true},
		{"an action that is not in the table", "something-new", &owner, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := allowed(c.action, c.who); got != c.want {
				t.Errorf("allowed(%s) = %v, want %v", c.action, got, c.want)
			}
		})
	}
}

func TestRouteWithoutARowStopsTheStart(t *testing.T) {
	if err := checkTable([]route{{http.MethodGet, "/new", "something-new", nil}}); err == nil {
		t.Error("a route whose action is not in the access table was accepted")
	}
}

func TestReachableClients(t *testing.T) {
	mine, others := models.Person{ID: "me"}, models.Person{ID: "other"}
	fitter, prosthetist, owner := mine, mine, mine
	fitter.IsFitter, prosthetist.IsProsthetist, owner.IsOwner = true, true, true
	deputy := mine.ID
	cases := []struct {
		name   string
		who    models.Person
		client models.Client
		want   bool
	}{
		{"a fitter reaches every client", fitter, models.Client{}, true},
		{"a prosthetist reaches the clients of their care team", prosthetist, models.Client{CareTeam: []models.Person{others, mine}}, true},
		{"a prosthetist reaches those they are deputy for", prosthetist, models.Client{DeputyID: &deputy}, true},
		{"a prosthetist reaches no other", prosthetist, models.Client{CareTeam: []models.Person{others}}, false},
		{"an owner reaches none", owner, models.Client{CareTeam: []models.Person{mine}}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := reachable(c.who, c.client); got != c.want {
				t.Errorf("reachable = %v, want %v", got, c.want)
			}
		})
	}
}

// TestWhoMayJoinACareTeam: nobody makes themself the one who signs for a client of
// somebody else.
func TestWhoMayJoinACareTeam(t *testing.T) {
	both := models.Person{ID: "me", IsFitter: true, IsProsthetist: true}
	fitter, owner := models.Person{ID: "me", IsFitter: true}, both
	owner.IsOwner = true
	wren := models.Person{ID: "wren", IsProsthetist: true}
	gone := wren
	gone.DisabledAt = new(time.Unix(0, 0))
	theirs := models.Client{CareTeam: []models.Person{wren}}
	took := func(by string, change models.TeamChange) []models.CareTeamChange {
		return []models.CareTeamChange{{PersonID: "wren", Change: change, Prosthetist: true, MadeBy: by}}
	}
	mine := both.ID
	for _, tt := range []struct {
		name       string
		who, joins models.Person
		before     models.Client
		changes    []models.CareTeamChange
		want       bool
	}{
		{"a fitter-prosthetist, a client without one", both, both, models.Client{}, nil, true},
		{"a fitter-prosthetist, a client of another", both, both, theirs, nil, false},
		{"another puts them there", fitter, models.Person{ID: "rail", IsProsthetist: true}, theirs, nil, true},
		{"an owner", owner, owner, theirs, nil, true},
		{"a fitter who signs nothing", fitter, fitter, theirs, nil, true},
		{"who is there already", both, both, models.Client{CareTeam: []models.Person{wren, both}}, nil, true},
		{"who is deputy already", both, both, models.Client{CareTeam: []models.Person{wren}, DeputyID: &mine}, nil, true},
		{"the other does not sign in any more", both, both, models.Client{CareTeam: []models.Person{gone}}, nil, true},
		{"after they took the other off", both, both, models.Client{}, took("me", models.OffTeam), false},
		{"an owner after they took the other off", owner, owner, models.Client{}, took("me", models.OffTeam), true},
		{"after somebody else took the other off", both, both, models.Client{}, took("kit", models.OffTeam), true},
		{"after they put the other on, and somebody took them off", both, both, models.Client{}, took("me", models.OntoTeam), true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := mayJoin(tt.who, tt.joins, tt.before, tt.changes); got != tt.want {
				t.Errorf("mayJoin = %v, want %v", got, tt.want)
			}
		})
	}
}

// TestForeignOriginsChangeNothing sends each changing route a request as another
// site's page would. The client's form alone takes a request that names no origin,
// since old phones send no other (see letOldPhonesIn); TestOldPhonesCanStart says
// what that lets in.
func TestForeignOriginsChangeNothing(t *testing.T) {
	site := newSite(t)
	srv, err := newServer(Deps{Store: site.store, Now: site.clock.Now, Log: discard, Password: &cheapPassword})
	if err != nil {
		t.Fatal(err)
	}
	handler, err := srv.handler()
	if err != nil {
		t.Fatal(err)
	}
	from := []map[string]string{
		{"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}, {"Origin": "https://elsewhere.invalid"}, {"Origin": "null"},
	}
	for _, r := range srv.routes {
		if r.method == http.MethodGet {
			continue
		}
		for _, headers := range from {
			if r.action == sendReport && headers["Origin"] == "null" {
				continue
			}
			req := httptest.NewRequest(r.method, "https://fairlead.invalid"+parameter.ReplaceAllString(r.path, "x"), strings.NewReader(""))
			for k, v := range headers {
				req.Header.Set(k, v)
			}
			rec := httptest.NewRecorder()
			handler.ServeHTTP(rec, req)
			if rec.Code != http.StatusForbidden {
				t.Errorf("%s %s with %v: status %d, want 403", r.method, r.path, headers, rec.Code)
			}
			if !strings.Contains(rec.Body.String(), "another site") {
				t.Errorf("%s %s with %v: the refusal is not our page", r.method, r.path, headers)
			}
		}
	}
}
