package server

import (
	"encoding/csv"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// raise opens a flag of a rule with the example's evidence, from a check-in by
// its address, and returns its path.
func (s *site) raise(client benchClient, checkin string, rule assess.Rule, about assess.About) string {
	s.t.Helper()
	f := example(rule)
	f.About, f.ClosedBy = about, about.ClosedBy()
	stored, err := json.Marshal(f)
	if err != nil {
		s.t.Fatal(err)
	}
	flag, err := s.store.RaiseFlag(s.t.Context(), models.Flag{
		ClientID: client.ID, LimbID: client.Limb.ID, Rule: string(rule), About: string(about), Level: string(f.Level),
	}, models.FlagEvidence{CheckinID: new(checkin[strings.LastIndexByte(checkin, '/')+1:]), RuleVersion: 1, Level: string(f.Level), Finding: stored})
	if err != nil {
		s.t.Fatal(err)
	}
	return flagPath(flag)
}

func TestClientPage(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-014")
	b := s.As("fitter", models.Fitter)
	path := "/clients/" + client.ID
	b.Get(path).Has(t, http.StatusOK, "No check-in yet", client.Name, "K-014", "The first check-in is the one")

	b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	b.Get(path).Has(t, http.StatusOK, "One measured visit", "True to scale", "not an assessment", "One check-in so far")
	b.Get(path+"?since=nothing").Has(t, http.StatusOK, "One measured visit")
	b.Get(path+"?limb="+client.Limb.ID).Has(t, http.StatusOK, "One measured visit")
	b.Get(path+"?limb=another").Has(t, http.StatusNotFound)
}

func TestClientPageIsForTheCareTeam(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-014")
	fitter := s.As("fitter", models.Fitter)
	checkin := fitter.Visit(client, "delivery", "33.4", "33.7", "32.1")
	flag := s.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover)
	stranger, owner := s.As("stranger", models.Prosthetist), s.As("owner", models.Owner)
	limb := "/clients/" + client.ID + "/limbs/" + client.Limb.ID
	for _, path := range []string{"/clients/" + client.ID, flag, limb + "/volume.csv", limb + "/girths.csv", limb + "/clearance.csv"} {
		fitter.Get(path).Has(t, http.StatusOK)
		stranger.Get(path).Has(t, http.StatusNotFound)
		owner.Get(path).Has(t, http.StatusForbidden)
	}
	other := s.BenchClient("K-015")
	fitter.Get(strings.Replace(flag, client.ID, other.ID, 1)).Has(t, http.StatusNotFound)
	fitter.Get("/clients/"+other.ID+"/limbs/"+client.Limb.ID+"/volume.csv").Has(t, http.StatusNotFound)
}

// TestMayClose goes through every person, flag and way of closing.
func TestMayClose(t *testing.T) {
	fitter, prosthetist, owner := models.Person{IsFitter: true}, models.Person{IsProsthetist: true}, models.Person{IsOwner: true}
	type closing struct {
		who   models.Person
		about assess.About
		by    closingWay
	}
	may := map[closing]bool{
		{fitter, assess.AboutCover, byAction}: true, {fitter, assess.AboutData, byAction}: true,
		{fitter, assess.AboutLimb, byWrittenAnswer}: true, {fitter, assess.AboutSkin, byWrittenAnswer}: true,
		{prosthetist, assess.AboutLimb, bySignature}: true, {prosthetist, assess.AboutSkin, bySignature}: true,
	}
	for _, who := range []models.Person{fitter, prosthetist, owner} {
		for _, about := range []assess.About{assess.AboutCover, assess.AboutData, assess.AboutLimb, assess.AboutSkin} {
			for _, by := range []closingWay{byAction, bySignature, byWrittenAnswer} {
				if got, want := mayClose(who, models.Flag{About: string(about)}, by), may[closing{who, about, by}]; got != want {
					t.Errorf("%+v, a flag about %s, way %d: %t, want %t", who, about, by, got, want)
				}
			}
		}
	}
}
