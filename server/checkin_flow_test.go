package server

import (
	"strings"
	"sync"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestCheckinWithoutScripts walks a delivery and a follow-up through every page
// as a browser without scripts does, and reads the change.
func TestCheckinWithoutScripts(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	station := "limb1.station." + client.Cover.Stations[0].ID
	other := "limb1.station." + client.Cover.Stations[1].ID

	draft := b.Start(client.Client)
	b.Get(draft+"/talk").Has(t, 200, "Rowan, M.", "K-014", "left transtibial", `value="delivery" checked`)
	b.Fill(draft, "talk", "kind", "delivery", "comfort_average", "8", "comfort_worst", "6", "weight", "71,4",
		"fluid.diabetes", "yes", "talk", "It rubs a little.").To(t, "socks")
	b.Get(draft+"/socks").Has(t, 200, `value="trainers"`, `value="silicone"`)
	b.Fill(draft, "socks", "limb1.sock.now.1.ply", "3", "limb1.sock.now.1.material", "single").To(t, "on")
	b.Get(draft+"/on").Has(t, 200, station+".gap", other+".gap")
	b.Fill(draft, "on", "limb1.check.release-free", "yes", station+".gap", "2.4", other+".touch", "no-contact",
		"limb1.attachment."+client.Cover.Attachments[0].ID, "ok").To(t, "off")
	b.Fill(draft, "off", "limb1.doffed", "10:00", "limb1.first_reading", "10:12", "limb1.skin_none", "yes", "date", "2026-01-05", "time", "10:00").To(t, "sound-1")
	b.Fill(draft, "sound-1", girthPairs("sound", 1, "35.1", "34.8", "33.9")...).To(t, "sound-2")
	b.Fill(draft, "sound-2", girthPairs("sound", 2, "35.0", "34.8", "33.8")...).To(t, "residual-1")
	first := b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33,7", "32.1")...)
	first.To(t, "residual-2")
	second := b.Get(draft + "/residual-2")
	if strings.Count(second.Body, "covered") != 3 {
		t.Errorf("the first pass is not covered on the page of the second\n%s", second.Body)
	}
	b.Fill(draft, "residual-2", girthPairs("residual", 2, "33.5", "33.6", "32.2")...).To(t, "measure-again")
	b.Fill(draft, "measure-again", "limb1.second_not_done", "gone").To(t, "again")
	b.Fill(draft, "again", "limb1.again.1.sign", "redness-fades", "limb1.again.1.place", "tibial crest").To(t, "result")
	b.Get(draft+"/result").Has(t, 200, "mL", "2.4\u202fmm", "It rubs a little.", "33.7")
	saved := b.Save(draft, "notes", "All well.")
	if saved.Status != 303 {
		t.Fatalf("save: status %d\n%s", saved.Status, saved.Body)
	}
	b.Get(saved.Location).Has(t, 200, "The check-in is saved.", "All well.", "12\u202fmin", "diabetes", "Not measured a second time: client gone.")

	b.Visit(client, "follow-up", "32.0", "32.2", "30.6")
	record, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(record) != 2 {
		t.Fatalf("%d check-ins, %v", len(record), err)
	}
	b.Get(checkinPath(client.Client.ID, record[1].ID)).Has(t, 200, "Smaller beyond measuring error", "this cover was delivered")
	got := record[0]
	if got.WeightG == nil || *got.WeightG != 71400 || got.MeasuredBy == "" || len(got.Fluid) != 1 {
		t.Errorf("the visit reads %+v", got)
	}
	if n := len(got.Limbs[0].Readings); n != 12 {
		t.Errorf("%d readings, want 12", n)
	}
	if got.Limbs[0].MinutesOff == nil || *got.Limbs[0].MinutesOff != 12 {
		t.Errorf("minutes off %v, want 12", got.Limbs[0].MinutesOff)
	}
}

// TestSentTwiceAtOnce sends the same last page twenty times at once: one record.
func TestSentTwiceAtOnce(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-015")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...)
	page := b.Get(draft + "/result")
	form := values("version", page.Version(t), "left_empty", "time", "notes", "once")
	var wg sync.WaitGroup
	answers := make([]answer, 20)
	for i := range answers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			answers[i] = b.PostForm(draft+"/save", form)
		}()
	}
	wg.Wait()
	where := map[string]bool{}
	for _, a := range answers {
		if a.Status != 303 {
			t.Fatalf("status %d, want 303\n%s", a.Status, a.Body)
		}
		where[a.Location] = true
	}
	all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(all) != 1 || len(where) != 1 {
		t.Errorf("%d records, %d addresses, %v; want one of each", len(all), len(where), err)
	}
	b.Get(draft+"/talk").To(t, "checkins/"+all[0].ID)
}

func TestOpenDraftIsOffered(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-016")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.Start(client.Client)
	lou.Post("/clients/"+client.Client.ID+"/checkins").Has(t, 200, "Draft by Kit", draft)
	lou.Post(draft+"/discard").To(t, "clients/"+client.Client.ID)
	kit.Get(draft+"/talk").Has(t, 404)
}

// TestTwoPeopleOneDraft changes the same field from two pages: both versions
// are shown, and the choice is kept.
func TestTwoPeopleOneDraft(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-017")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.Start(client.Client)
	version := kit.Get(draft + "/talk").Version(t)
	lou.Post(draft+"/talk", "version", version, "talk", "Lou's words", "room", "hot").To(t, "socks")
	clash := kit.Post(draft+"/talk", "version", version, "go", "next", "talk", "Kit's words", "room", "hot")
	clash.Has(t, 409, "Lou&#39;s words", "Kit&#39;s words", "What the client says")
	if strings.Contains(clash.Body, `name="room"`) {
		t.Error("a field that both typed alike is asked about")
	}
	kit.Post(draft+"/talk", "version", clash.Version(t), "go", "next", "talk", "Kit's words").To(t, "socks")
	kit.Get(draft+"/talk").Has(t, 200, "Kit&#39;s words")

	stale := kit.Post(draft+"/fields", "version", "1", "talk", "third words")
	stale.Has(t, 409, `"version"`)
	kept := kit.Post(draft+"/fields", "version", kit.Get(draft+"/talk").Version(t), "talk", "fourth words")
	kept.Has(t, 200, `"saved"`, `"version"`)
}

// TestCorrection makes a second version; the second of two corrections of the
// same version keeps what it typed.
func TestCorrection(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-018")
	b := site.As("kit", models.Fitter)
	first := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	one := strings.TrimSuffix(b.Post(first+"/correct").Location, "/result")
	two := strings.TrimSuffix(b.Post(first+"/correct").Location, "/result")
	b.Get(one+"/residual-1").Has(t, 200, `value="33.4"`, "Correction of the check-in")
	b.Save(one, "notes", "x").Has(t, 422, "This can&#39;t be left empty")
	b.Fill(one, "residual-1", "limb1.residual.0.1", "34.3").To(t, "residual-2")
	newer := b.Save(one, "reason", "transposed digits")
	if newer.Status != 303 {
		t.Fatalf("status %d\n%s", newer.Status, newer.Body)
	}
	b.Get(newer.Location).Has(t, 200, "Version 2", "transposed digits", "34.3")
	b.Get(first).Has(t, 200, "A newer version has taken this one", newer.Location)
	b.Save(two, "reason", "another reason").Has(t, 409, "Someone else corrected this check-in first", newer.Location)
	b.Get(two+"/result").Has(t, 200, "another reason")
}

// TestPlanChangedHalfWay keeps the plan that a draft was begun with until
// somebody switches; readings keep their level.
func TestPlanChangedHalfWay(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-019")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...).To(t, "residual-2")
	plan := client.Plan
	plan.ID, plan.Levels, plan.Reason = "", []quantity.Length{0, 450, 600}, "shorter"
	if err := site.store.AddPlan(t.Context(), &plan); err != nil {
		t.Fatal(err)
	}
	b.Get(draft+"/residual-1").Has(t, 200, "The measuring plan was changed", `value="33.7"`)
	look := b.Get(draft + "/plan")
	look.Has(t, 200, "0, 4.5, 6", "residual limb, 3\u202fcm, reading 1: 33.7")
	b.Post(draft+"/plan", "version", look.Version(t)).To(t, "talk")
	page := b.Get(draft + "/residual-1")
	page.Has(t, 200, "limb1.residual.450.1", `value="33.4"`)
	if strings.Contains(page.Body, `name="limb1.residual.300.1"`) {
		t.Error("the level of the older plan is still asked")
	}
}

// TestArchivedClientTakesNoCheckin keeps what is typed for a client who is
// archived meanwhile, and makes no check-in of it until the client is back.
func TestArchivedClientTakesNoCheckin(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-020")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Get("/today").Has(t, 200, draft)
	if err := site.store.ArchiveClient(t.Context(), client.Client.ID, client.Client.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	b.Post("/clients/"+client.Client.ID+"/checkins").Has(t, 409, "This client is archived")
	if strings.Contains(b.Get("/today").Body, draft) {
		t.Error("Today offers to go on with the check-in of an archived client")
	}
	b.Fill(draft, "talk", "talk", "rubs at the back").To(t, "socks")
	b.Get(draft+"/talk").Has(t, 200, "rubs at the back", "Archived.")
	b.Post(draft+"/fields", "version", b.Get(draft+"/talk").Version(t), "talk", "rubs behind").Has(t, 200)
	b.Save(draft, "left_empty", "time", "notes", "typed at the end").Has(t, 409, "This client is archived", "rubs behind", "typed at the end")
	if all, err := site.store.CheckinsOf(t.Context(), client.Client.ID); err != nil || len(all) != 0 {
		t.Errorf("%d check-ins, %v, want none", len(all), err)
	}
	b.Post("/clients/"+client.Client.ID+"/unarchive").Has(t, 303)
	b.Get("/today").Has(t, 200, draft)
	b.Save(draft, "left_empty", "time").Has(t, 303)
}

// TestHostileText types a script and a megabyte into every field of a page.
func TestHostileText(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-021")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	const script = `<script>alert(1)</script>`
	for _, step := range []string{"talk", "socks", "on", "off", "residual-1", "again"} {
		page := b.Get(draft + "/" + step)
		form := values("version", page.Version(t), "go", "stay")
		for _, field := range fieldNames(page.Body) {
			form.Set(field, script)
		}
		if a := b.PostForm(draft+"/"+step, form); a.Status != 303 {
			t.Errorf("%s: status %d", step, a.Status)
		}
		if body := b.Get(draft + "/" + step).Body; strings.Contains(body, script) {
			t.Errorf("%s: the script came back as markup", step)
		}
	}
	refused := b.Save(draft, "notes", script, "left_empty", "time")
	refused.Has(t, 422, "&lt;script&gt;")
	if strings.Contains(refused.Body, script) {
		t.Error("the script came back as markup")
	}

	draft = b.Start(client.Client)
	long := strings.Repeat("words ", 180_000)
	b.Fill(draft, "talk", "talk", long).Has(t, 422, "Shorten it", long)
	b.Get(draft+"/talk").Has(t, 200, long)
	if all, err := site.store.CheckinsOf(t.Context(), client.Client.ID); err != nil || len(all) != 0 {
		t.Errorf("%d check-ins, %v, want none", len(all), err)
	}
}

// fieldNames lists the fields of a page that take text.
func fieldNames(body string) []string {
	var names []string
	for _, part := range strings.Split(body, `<input id="`)[1:] {
		names = append(names, part[:strings.IndexByte(part, '"')])
	}
	for _, part := range strings.Split(body, `<textarea id="`)[1:] {
		names = append(names, part[:strings.IndexByte(part, '"')])
	}
	return names
}

// TestPaperEnteredLater keeps the real time of measurement, by the clock of the
// workshop, also where the clocks were put back that night.
func TestPaperEnteredLater(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-022")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "talk", "date", "2025-10-26", "time", "09:30").To(t, "socks")
	a := b.Save(draft, "left_empty", "declined")
	if a.Status != 303 {
		t.Fatalf("status %d\n%s", a.Status, a.Body)
	}
	all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(all) != 1 {
		t.Fatal(len(all), err)
	}
	if want := time.Date(2025, 10, 26, 8, 30, 0, 0, time.UTC); !all[0].MeasuredAt.Equal(want) {
		t.Errorf("measured at %s, want %s", all[0].MeasuredAt, want)
	}
	if all[0].Limbs[0].ResidualNotDone != models.Declined {
		t.Errorf("not done because of %q", all[0].Limbs[0].ResidualNotDone)
	}
}

// TestDraftKeepsItsUnit: a draft begun in centimetres says the same to a person
// who types inches, down to what is recorded.
func TestDraftKeepsItsUnit(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-023")
	kit := site.As("kit", models.Fitter)
	draft := kit.Start(client.Client)
	kit.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...).To(t, "residual-2")
	lou := site.As("lou", models.Fitter)
	lou.Post("/preferences", "length_unit", "in", "version", "1")
	lou.Get(draft+"/residual-1").Has(t, 200, `data-unit="cm"`, "3\u202fcm", `value="33.4"`)
	lou.Post(draft+"/fields", "version", "2", "unit", "in").Has(t, 200)
	if a := lou.Save(draft, "left_empty", "time"); a.Status != 303 {
		t.Fatalf("status %d\n%s", a.Status, a.Body)
	}
	all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(all) != 1 {
		t.Fatal(len(all), err)
	}
	if got := all[0].Limbs[0].Readings[0].Girth; got != 3340 {
		t.Errorf("girth %v mm, want 334", got.MM())
	}
}
