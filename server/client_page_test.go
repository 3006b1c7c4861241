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

func TestCloseFlag(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-014")
	b := s.As("fitter", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	cover := s.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover)
	data := s.raise(client, checkin, assess.ReadingsDisagree, assess.AboutData)
	limb := s.raise(client, checkin, assess.VolumeChange, assess.AboutLimb)

	b.Get(limb).Has(t, http.StatusOK, "closed by the prosthetist only", "How it is judged", "−7.1", "R. Alder")
	b.Post(limb+"/close", "version", "1", "reason", "trimmed").Has(t, http.StatusForbidden, "not yours to close", "prosthetist only")

	b.Get(cover).Has(t, http.StatusOK, "What was done", "1.645 u &lt; limit")
	b.Get(cover).Lacks(t, `name="reason"`)
	b.Post(cover+"/close", "version", "1", "reason", "trimmed").Has(t, http.StatusUnprocessableEntity, "closes with what was done", "<dd>trimmed</dd>")
	b.Post(data+"/close", "version", "1", "reason", " ").Has(t, http.StatusUnprocessableEntity)
	s.raise(client, checkin, assess.ReadingsDisagree, assess.AboutData) // new evidence meanwhile
	b.Post(data+"/close", "version", "1", "reason", "measured again").Has(t, http.StatusConflict, "New evidence came in", "measured again", `value="2"`)
	if a := b.Post(data+"/close", "version", "2", "reason", "measured <b>again</b>"); a.Status != http.StatusSeeOther {
		t.Fatalf("status %d, want 303\n%s", a.Status, a.Body)
	}
	b.Get(data).Has(t, http.StatusOK, "Closed on", "by Fitter, because: measured &lt;b&gt;again&lt;/b&gt;.")
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, "one closed flag", "measured &lt;b&gt;again&lt;/b&gt;")
	b.Post(data+"/close", "version", "3", "reason", "once more").Has(t, http.StatusConflict, "Somebody else closed", "<dd>once more</dd>")
}

func TestDownloads(t *testing.T) {
	s := newSite(t)
	client := s.BenchClient("K-014")
	b := s.As("=fitter", models.Fitter)
	b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	limb := "/clients/" + client.ID + "/limbs/" + client.Limb.ID

	girths := b.Get(limb + "/girths.csv")
	girths.Has(t, http.StatusOK, "date,limb,level_mm,pass,girth_mm,fitter,minutes_since_doffing,round\r\n", "'=fitter")
	if got := girths.Header.Get("Content-Disposition"); got != `attachment; filename="K-014-girths.csv"` {
		t.Errorf("Content-Disposition = %q", got)
	}
	sheet, err := girth.DecodeCSV(strings.NewReader(girths.Body), "")
	if err != nil {
		t.Fatalf("fairlead girths can't read it: %v\n%s", err, girths.Body)
	}
	if len(sheet.Visits) != 1 || passes(sheet.Visits[0].Profile) != 6 {
		t.Errorf("read back %+v, want one visit with its six readings", sheet.Visits)
	}
	for _, name := range []string{"volume", "clearance"} {
		a := b.Get(limb + "/" + name + ".csv")
		rows, err := csv.NewReader(strings.NewReader(a.Body)).ReadAll() // refuses rows of unequal length
		if err != nil || len(rows) == 0 {
			t.Errorf("%s: %v\n%s", name, err, a.Body)
		}
		if a.Header.Get("Content-Type") != "text/csv; charset=utf-8" {
			t.Errorf("%s: type %q", name, a.Header.Get("Content-Type"))
		}
	}
}

// passes counts the readings of a profile.
func passes(p girth.Profile) int {
	n := 0
	for _, at := range p {
		n += at.Passes
	}
	return n
}

// TestFormulasAreTexts keeps a spreadsheet from running what somebody typed.
func TestFormulasAreTexts(t *testing.T) {
	for typed, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@x": "'@x", "\tx": "'\tx", "\rx": "'\rx", "plain": "plain", "": "", "a=b": "a=b",
	} {
		if got := csvText(typed); got != want {
			t.Errorf("csvText(%q) = %q, want %q", typed, got, want)
		}
	}
}

// TestTwoCheckinsOfOneDay are told apart by their passes, since the file tells
// visits apart by their dates.
func TestTwoCheckinsOfOneDay(t *testing.T) {
	l := followup.LimbRecord{
		Limb: models.Limb{ID: "limb", Level: quantity.Transtibial}, Plans: []models.MeasuringPlan{{ID: "plan"}},
		Visits: []followup.LimbVisit{taped("one", 0, "a", 340, 335), taped("two", 0, "a", 341, 336)},
	}
	view, err := l.View("")
	if err != nil {
		t.Fatal(err)
	}
	var file strings.Builder
	if err := csv.NewWriter(&file).WriteAll(girthsCSV(view, nil)); err != nil {
		t.Fatal(err)
	}
	sheet, err := girth.DecodeCSV(strings.NewReader(file.String()), "")
	if err != nil {
		t.Fatal(err)
	}
	if n := passes(sheet.Visits[0].Profile); n != 8 {
		t.Errorf("%d readings, want 8\n%s", n, file.String())
	}
}
