package server

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// clientForm is a new client's form as it is sent when only what must be typed
// is typed.
func clientFields(code, name string) url.Values {
	return url.Values{"code": {code}, "name": {name}, "language": {"en"}, "contacts": {"2"}, "version": {"0"}}
}

// AddClient records a client through the form and returns it.
func (b *browser) AddClient(code, name string) models.Client {
	b.t.Helper()
	a := b.PostForm("/clients", clientFields(code, name))
	if a.Status != http.StatusSeeOther || !strings.HasSuffix(a.Location, "/limbs/new") {
		b.t.Fatalf("add client: status %d to %q\n%s", a.Status, a.Location, a.Body)
	}
	client, err := b.store.ClientByCode(b.t.Context(), code)
	if err != nil {
		b.t.Fatal(err)
	}
	return client
}

// AddLimb records a limb with its proposed plan through the form.
func (b *browser) AddLimb(client models.Client, pairs ...string) models.Limb {
	b.t.Helper()
	sent := url.Values{"do": {"plan"}, "version": {"0"}}
	for i := 0; i+1 < len(pairs); i += 2 {
		sent.Set(pairs[i], pairs[i+1])
	}
	path := "/clients/" + client.ID + "/limbs"
	a := b.PostForm(path, sent)
	if a.Status == http.StatusOK {
		for _, field := range []string{"landmark", "landmark_posture", "levels", "passes", "cap_depth"} {
			sent.Set(field, a.Value(b.t, field))
		}
		sent.Set("cap", a.Selected(b.t, "cap"))
		sent.Set("do", "save")
		a = b.PostForm(path, sent)
	}
	if a.Status != http.StatusSeeOther {
		b.t.Fatalf("add limb: status %d\n%s", a.Status, a.Body)
	}
	limbs, err := b.store.LimbsOf(b.t.Context(), client.ID)
	if err != nil || len(limbs) == 0 {
		b.t.Fatalf("limbs: %v, %v", limbs, err)
	}
	return limbs[len(limbs)-1]
}

var transtibialFields = []string{
	"side", "left", "level", "transtibial", "origin", "amputation", "length", "16", "distal_shape", "conical",
}

// Value is what stands in a field of the page.
func (a answer) Value(t *testing.T, field string) string {
	t.Helper()
	m := regexp.MustCompile(`name="` + field + `"[^>]*? value="([^"]*)"`).FindStringSubmatch(a.Body)
	if m == nil {
		t.Fatalf("the page has no field %q\n%s", field, a.Body)
	}
	return m[1]
}

// Selected is the chosen value of a list of the page.
func (a answer) Selected(t *testing.T, field string) string {
	t.Helper()
	_, list, found := strings.Cut(a.Body, `<select id="`+field+`"`)
	list, _, closed := strings.Cut(list, "</select>")
	m := regexp.MustCompile(`value="([^"]*)" selected`).FindStringSubmatch(list)
	if !found || !closed || m == nil {
		t.Fatalf("the page has no choice in %q\n%s", field, a.Body)
	}
	return m[1]
}

// TestRecordIsSetUpWhole follows a fitter from an empty workshop to a cover with
// its walk.
func TestRecordIsSetUpWhole(t *testing.T) {
	site := newSite(t)
	site.Person("marlow", models.Prosthetist)
	b := site.As("kit", models.Fitter)
	ctx := context.Background()

	b.Get("/clients/new").Has(t, http.StatusOK, "New client", `value="K-001"`, "Marlow, Prosthetist")
	client := b.AddClient("K-001", "Rowan Example")
	b.Get("/clients/"+client.ID+"/limbs/new").Has(t, http.StatusOK, "Rowan Example", "K-001")

	limb := b.AddLimb(client, transtibialFields...)
	plan, err := site.store.CurrentPlan(ctx, limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	// M4: every 3 cm on a transtibial limb of 16 cm; the end below 15 cm is the cap.
	if want := (models.MeasuringPlan{Number: 1, Landmark: "mid-patellar tendon", Passes: 2, CapKind: quantity.SemiEllipsoid}); plan.Number != want.Number ||
		plan.Landmark != want.Landmark || plan.Passes != want.Passes || plan.CapKind != want.CapKind ||
		len(plan.Levels) != 6 || plan.Levels[5] != 1500 || *plan.CapDepth != 100 {
		t.Errorf("first plan: got %+v", plan)
	}
	if limb.Landmark != plan.Landmark || limb.LandmarkPosture == "" {
		t.Errorf("landmark of the limb: got %q, %q", limb.Landmark, limb.LandmarkPosture)
	}

	base := "/clients/" + client.ID + "/limbs/" + limb.ID
	b.Get(base+"/prosthesis").Has(t, http.StatusOK, "left transtibial")
	a := b.Post(base+"/prosthesis", "version", "0", "socket_type", "laminated", "socket_fitted_on", "2025-02-01",
		"socket_accepted_on", "2025-02-20", "shoe", "trainer", "heel_height", "1.5", "liner_thickness", "6")
	a.Has(t, http.StatusSeeOther)
	events, err := site.store.EventsOf(ctx, limb.ID)
	if err != nil || len(events) != 2 || events[0].Kind != models.SocketFitted || events[1].Kind != models.SocketAccepted {
		t.Errorf("events of a first prosthesis: got %+v, %v", events, err)
	}

	page := b.Get(base + "/covers/new")
	page.Has(t, http.StatusOK, "No station yet")
	sent := url.Values{
		"do": {"propose"}, "version": {"0"}, "stations": {"0"}, "attachments": {"3"}, "material": {"PA12"}, "wall": {"2.5"},
		"delivered_on": {"2025-03-01"}, "state": {"in-use"}, "attachment-0-name": {"upper clip"}, "attachment-0-state": {"ok"},
		"walk_upper": {page.Value(t, "walk_upper")}, "walk_lower": {page.Value(t, "walk_lower")},
		"walk_joint": {page.Value(t, "walk_joint")}, "walk_foot": {"36"},
	}
	page = b.PostForm(base+"/covers", sent)
	page.Has(t, http.StatusOK, "Station 13", "PA12")
	for _, m := range regexp.MustCompile(`name="(station-\d+-level)"`).FindAllStringSubmatch(page.Body, -1) {
		prefix := strings.TrimSuffix(m[1], "level")
		sent.Set(m[1], page.Value(t, m[1]))
		for _, field := range []string{"direction", "posture", "neighbour"} {
			sent.Set(prefix+field, page.Selected(t, prefix+field))
		}
	}
	sent.Set("stations", page.Value(t, "stations"))
	sent.Set("station-0-built", "4.2")
	sent.Set("do", "save")
	b.PostForm(base+"/covers", sent).Has(t, http.StatusSeeOther)
	cover, err := site.store.CurrentCover(ctx, limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	if len(cover.Stations) != 13 || len(cover.Attachments) != 1 || cover.Attachments[0].State != models.Firm {
		t.Errorf("cover: got %d stations, attachments %+v", len(cover.Stations), cover.Attachments)
	}
	first := cover.Stations[0]
	if first.Level != 300 || first.Direction != quantity.Anterior || first.Posture != quantity.Standing ||
		*first.AsBuilt != 42 || first.AsBuiltBy != "Kit" || first.AsBuiltOn != "2025-03-01" {
		t.Errorf("first station: got %+v", first)
	}
	b.Get(base+"/covers/"+cover.ID).Has(t, http.StatusOK, "Station 13", "Starting value, not yet confirmed: warn below 3 mm, act below 2 mm")
}

func TestRecordKeepsWhatWasTyped(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, transtibialFields...)
	base := "/clients/" + client.ID + "/limbs/" + limb.ID
	long := strings.Repeat("a", 1<<20)
	tomorrow := string(quantity.DateOf(site.clock.Now()).AddDays(2))
	tests := []struct {
		name, path string
		pairs      []string
		want       []string
	}{
		{"client without a name", "/clients", []string{"code", "K-009", "language", "en"}, []string{"can&#39;t be left empty", `value="K-009"`}},
		{"code that is taken", "/clients", []string{"code", "K-001", "name", "Other", "language", "en"}, []string{"Another client has this code", `value="Other"`}},
		{"phone of letters", "/clients/" + client.ID, []string{"code", "K-001", "name", "R", "language", "en", "phone", "call me"}, []string{"not a telephone number", `value="call me"`}},
		{"no language", "/clients/" + client.ID, []string{"code", "K-001", "name", "R", "language", "in words"}, []string{"not a language"}},
		{"contact without a name", "/clients/" + client.ID, []string{"code", "K-001", "name", "R", "language", "en", "contacts", "2", "contact-1-phone", "0123 45"}, []string{`href="#contact-1-name"`, `value="0123 45"`}},
		{"deputy who is nobody", "/clients/" + client.ID, []string{"code", "K-001", "name", "R", "language", "en", "deputy", "x"}, []string{"not one of the choices"}},
		{"1 MB of conditions", "/clients/" + client.ID, []string{"code", "K-001", "name", "R", "language", "en", "conditions", long}, []string{"This has 1048576 characters", long}},
		{"archive without a reason", "/clients/" + client.ID + "/archive", []string{"version", "1"}, []string{`href="#archive_why"`}},
		{"second left leg", "/clients/" + client.ID + "/limbs", append([]string{"do", "plan"}, transtibialFields...), []string{"has a limb on this side already"}},
		{"amputated in the future", base, []string{"side", "left", "level", "transtibial", "origin", "amputation", "amputated_on", tomorrow}, []string{"is in the future", `value="` + tomorrow + `"`}},
		{"born with it and amputated", base, []string{"side", "left", "level", "transtibial", "origin", "present-at-birth", "amputated_on", "2020-01-01"}, []string{"has no date of amputation"}},
		{"revised before the amputation", base, []string{"side", "left", "level", "transtibial", "origin", "amputation", "amputated_on", "2020-01-02", "revised_on", "2020-01-01"}, []string{"before the amputation on 2020-01-02"}},
		{"inflection beyond the end", base, []string{"side", "left", "level", "transtibial", "origin", "amputation", "length", "16", "inflection", "17"}, []string{"beyond the distal end"}},
		{"length of a text", base, []string{"side", "left", "level", "transtibial", "origin", "amputation", "length", "long"}, []string{"is not a number", `value="long"`}},
		{"levels out of order", base + "/plan", []string{"landmark", "x", "levels", "0 6 3", "passes", "2", "cap", "none", "reason", "r", "number", "1"}, []string{"comes after", `value="0 6 3"`}},
		{"a level twice", base + "/plan", []string{"landmark", "x", "levels", "0 3 3", "passes", "2", "cap", "none", "reason", "r", "number", "1"}, []string{"stands twice"}},
		{"one level", base + "/plan", []string{"landmark", "x", "levels", "3", "passes", "2", "cap", "none", "reason", "r", "number", "1"}, []string{"at least two"}},
		{"a level beyond the end", base + "/plan", []string{"landmark", "x", "levels", "0 3 160", "passes", "2", "cap", "none", "reason", "r", "number", "1"}, nil},
		{"no reason", base + "/plan", []string{"landmark", "x", "levels", "0 3 6", "passes", "2", "cap", "none", "number", "1"}, []string{`href="#reason"`}},
		{"six passes", base + "/plan", []string{"landmark", "x", "levels", "0 3 6", "passes", "6", "cap", "none", "reason", "r", "number", "1"}, []string{"outside 1 to 3"}},
		{"a cap without depth", base + "/plan", []string{"landmark", "x", "levels", "0 3 6", "passes", "2", "cap", "cone", "reason", "r", "number", "1"}, []string{`href="#cap_depth"`}},
		{"the same plan", base + "/plan", []string{"landmark", "mid-patellar tendon", "levels", "0 3 6 9 12 15", "passes", "2", "cap", "semi-ellipsoid", "cap_depth", "1", "reason", "r", "number", "1"}, []string{"This is the plan in use"}},
		{"accepted before fitted", base + "/prosthesis", []string{"socket_type", "s", "socket_fitted_on", "2025-02-02", "socket_accepted_on", "2025-02-01"}, []string{"before the socket was fitted"}},
		{"no kind of socket", base + "/prosthesis", []string{"shoe", "boot"}, []string{`href="#socket_type"`, `value="boot"`}},
		{"an event of no kind in the future", base + "/events", []string{"happened_on", tomorrow, "what", "<script>alert(1)</script>"}, []string{`href="#kind"`, "is in the future", "&lt;script&gt;alert(1)&lt;/script&gt;"}},
		{"something else, unsaid", base + "/events", []string{"kind", "other", "happened_on", "2025-01-01"}, []string{`href="#what"`}},
		{"cover of nothing", base + "/covers", []string{"state", "in-use"}, []string{`href="#material"`}},
		{"a walk nowhere", base + "/covers", []string{"do", "propose"}, []string{"at least one level"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a := b.Post(tt.path, tt.pairs...)
			if a.Status != http.StatusUnprocessableEntity {
				t.Errorf("status %d, want 422", a.Status)
			}
			for _, text := range tt.want {
				if !strings.Contains(a.Body, text) {
					t.Errorf("the page lacks %.80q", text)
				}
			}
			if strings.Contains(a.Body, "<script>alert") {
				t.Error("a script was let through")
			}
		})
	}
	plans, err := site.store.PlansOf(t.Context(), limb.ID)
	if err != nil || len(plans) != 1 {
		t.Errorf("plans after refused forms: got %d, %v, want 1", len(plans), err)
	}
}

// TestTwoPeopleSaveTheSame lets two people begin from the same state: the second
// is told, sees what differs, and can then save on purpose.
func TestTwoPeopleSaveTheSame(t *testing.T) {
	site := newSite(t)
	first, second := site.As("kit", models.Fitter), site.As("wren", models.Fitter)
	client := first.AddClient("K-001", "Rowan Example")
	limb := first.AddLimb(client, transtibialFields...)
	base := "/clients/" + client.ID + "/limbs/" + limb.ID
	cover := models.Cover{LimbID: limb.ID, Material: "PA12", State: models.InUse}
	if err := site.store.CreateCover(t.Context(), &cover); err != nil {
		t.Fatal(err)
	}
	socket := models.Prosthesis{LimbID: limb.ID, SocketType: "laminated"}
	if err := site.store.SaveProsthesis(t.Context(), &socket); err != nil {
		t.Fatal(err)
	}
	limbFields := append([]string{"version", "1", "other_side_sound", "yes"}, transtibialFields...)
	plan := []string{"number", "1", "landmark", "mid-patellar tendon", "passes", "3", "cap", "none", "reason", "third pass"}
	tests := []struct {
		name, path, versionField string
		first, second            []string
		theirs, mine, label      string
	}{
		{"client", "/clients/" + client.ID, "version",
			[]string{"version", "1", "code", "K-001", "name", "Rowan First", "language", "en"},
			[]string{"version", "1", "code", "K-001", "name", "Rowan Second", "language", "en"}, "Rowan First", "Rowan Second", "Name"},
		{"limb", base, "version", limbFields, append([]string{"revised_on", "2024-05-05"}, limbFields...), "nothing", "2024-05-05", "Last revision operation"},
		{"plan", base + "/plan", "number",
			append([]string{"levels", "0 3 6"}, plan...), append([]string{"levels", "0 4 8"}, plan...), "0  3  6", "0 4 8", "Levels"},
		{"prosthesis", base + "/prosthesis", "version",
			[]string{"version", "1", "socket_type", "laminated", "foot", "carbon"},
			[]string{"version", "1", "socket_type", "laminated", "foot", "wood"}, "carbon", "wood", "Foot or hand"},
		{"cover", base + "/covers/" + cover.ID, "version",
			[]string{"version", "1", "material", "PA12", "state", "off"},
			[]string{"version", "1", "material", "PA12", "state", "in-workshop"}, "off", "in the workshop", "Where it is"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			first.Post(tt.path, tt.first...).Has(t, http.StatusSeeOther)
			a := second.Post(tt.path, tt.second...)
			a.Has(t, http.StatusConflict, "Someone else has saved this in between", "<b>"+tt.label+"</b>", ">"+tt.theirs+"<", ">"+tt.mine+"<")
			again := append([]string{}, tt.second...)
			for i := range again {
				if again[i] == tt.versionField {
					again[i+1] = a.Value(t, tt.versionField)
				}
			}
			second.Post(tt.path, again...).Has(t, http.StatusSeeOther)
		})
	}
}

func TestArchiveAndBack(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	path := "/clients/" + client.ID
	b.Post(path+"/archive", "version", "7", "archive_why", "moved away").Has(t, http.StatusUnprocessableEntity, "Look at what is there now", `value="moved away"`)
	b.Post(path+"/archive", "version", "1", "archive_why", "moved away").Has(t, http.StatusSeeOther)
	b.Post(path, "version", "2", "code", "K-001", "name", "R", "language", "en").Has(t, http.StatusConflict, "archived")
	b.Get(path+"/edit").Has(t, http.StatusOK, "Take out of the archive")
	b.Post(path+"/unarchive").Has(t, http.StatusSeeOther)
	got, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil || got.ArchivedAt != nil {
		t.Errorf("client after the archive: %+v, %v", got, err)
	}
}

// TestRecordBelongsToItsClient asks for a limb below another client, and as a
// prosthetist who may not write.
func TestRecordBelongsToItsClient(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	one, other := b.AddClient("K-001", "One"), b.AddClient("K-002", "Other")
	limb := b.AddLimb(one, transtibialFields...)
	for _, end := range []string{"/edit", "/plan", "/prosthesis", "/events", "/covers/new"} {
		b.Get("/clients/"+other.ID+"/limbs/"+limb.ID+end).Has(t, http.StatusNotFound)
	}
	b.Get("/clients/"+one.ID+"/limbs/"+limb.ID+"/covers/"+models.NewID()).Has(t, http.StatusNotFound)
	site.clock.Pass(time.Minute)
	site.As("marlow", models.Prosthetist).Get("/clients/"+one.ID+"/edit").Has(t, http.StatusForbidden)
}

func TestLevelWithoutConeHasNoPlan(t *testing.T) {
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	client := b.AddClient("K-001", "Rowan Example")
	limb := b.AddLimb(client, "side", "right", "level", "partial-foot", "origin", "present-at-birth", "levels", "0 3 6", "landmark", "x")
	plans, err := site.store.PlansOf(t.Context(), limb.ID)
	if err != nil || len(plans) != 0 {
		t.Errorf("plans: got %d, %v, want none", len(plans), err)
	}
	path := "/clients/" + client.ID + "/limbs/" + limb.ID + "/plan"
	b.Get(path).Has(t, http.StatusOK, "Volume does not apply at this level")
	b.Post(path, "levels", "0 3 6").Has(t, http.StatusUnprocessableEntity, "Volume does not apply")
}

// TestScriptsAreOnlyText puts markup into every text field of the record and
// looks at each page that shows it.
func TestScriptsAreOnlyText(t *testing.T) {
	const script = `<script>alert("x")</script>`
	site := newSite(t)
	b := site.As("kit", models.Fitter)
	sent := clientFields("K-001", script)
	for _, field := range []string{"guardian", "conditions", "contact-0-name", "contact-0-relation"} {
		sent.Set(field, script)
	}
	b.PostForm("/clients", sent).Has(t, http.StatusSeeOther)
	client, err := site.store.ClientByCode(t.Context(), "K-001")
	if err != nil || client.Conditions != script || client.Contacts[0].Relation != script {
		t.Fatalf("client: %+v, %v", client, err)
	}
	limb := b.AddLimb(client, transtibialFields...)
	base := "/clients/" + client.ID + "/limbs/" + limb.ID
	b.Post(base+"/plan", "number", "1", "landmark", script, "levels", "0 3 6", "passes", "2", "cap", "none", "reason", script).Has(t, http.StatusSeeOther)
	worn := url.Values{"version": {"0"}}
	for _, field := range []string{"socket_type", "suspension", "adjuster", "liner_type", "sleeve", "foot", "knee", "pylon", "shoe"} {
		worn.Set(field, script)
	}
	b.PostForm(base+"/prosthesis", worn).Has(t, http.StatusSeeOther)
	b.Post(base+"/events", "kind", "other", "happened_on", "2025-01-01", "what", script, "done_by", script, "told_by", script).Has(t, http.StatusSeeOther)
	b.Post(base+"/covers", "version", "0", "material", script, "state", "off", "attachments", "1", "attachment-0-name", script, "attachment-0-state", "ok").Has(t, http.StatusSeeOther)
	cover, err := site.store.CurrentCover(t.Context(), limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/clients/" + client.ID + "/edit", base + "/edit", base + "/plan", base + "/prosthesis", base + "/events", base + "/covers/" + cover.ID} {
		a := b.Get(path)
		a.Has(t, http.StatusOK, "&lt;script&gt;")
		if strings.Contains(a.Body, "<script>alert") {
			t.Errorf("%s lets a script through", path)
		}
	}
}
