package server

import (
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// flagAt is the flag of a path as the store has it.
func (s *site) flagAt(path string) models.Flag {
	s.t.Helper()
	f, err := s.store.FlagByID(s.t.Context(), path[strings.LastIndexByte(path, '/')+1:])
	if err != nil {
		s.t.Fatal(err)
	}
	return f
}

// hiddenValue is what a hidden field of a page carries.
func (a answer) hiddenValue(t *testing.T, name string) string {
	t.Helper()
	m := regexp.MustCompile(`name="` + name + `" value="([^"]*)"`).FindStringSubmatch(a.Body)
	if m == nil {
		t.Fatalf("the page carries no %s\n%s", name, a.Body)
	}
	return m[1]
}

// raiseNow raises a flag that a person must act on today.
func (s *site) raiseNow(client benchClient, checkin string) string {
	s.t.Helper()
	f, err := s.store.RaiseFlag(s.t.Context(), models.Flag{
		ClientID: client.ID, LimbID: client.Limb.ID, Rule: string(assess.SkinSign), About: string(assess.AboutSkin), Level: "now",
	}, models.FlagEvidence{CheckinID: new(checkin[strings.LastIndexByte(checkin, '/')+1:]), RuleVersion: 1, Level: "now", Finding: []byte(`{"rule":"skin-sign","level":"now","closed_by":"prosthetist","words":{"place":"shin","sign":"blister"}}`)})
	if err != nil {
		s.t.Fatal(err)
	}
	return flagPath(f)
}

// TestSeenBecauseSomebodySaysSo: opening a flag changes no row, pressing the button
// does, once; the count on every page goes with it and comes back with new evidence.
func TestSeenBecauseSomebodySaysSo(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	kit, wren := site.As("kit", models.Fitter), site.As("wren", models.Prosthetist, models.Fitter)
	checkin := kit.Visit(client, "delivery", "33.4", "33.7", "32.1")
	flag := site.raiseNow(client, checkin)
	const count = `href="/today"><svg viewBox="0 0 10 10" aria-hidden="true"><path d="M5 0 10 9.5H0z" fill="currentColor"/></svg>1 now, unseen</a>`
	kit.Get("/clients").Has(t, http.StatusOK, count)
	before := site.flagAt(flag)
	kit.Get(flag).Has(t, http.StatusOK, "Nobody has said yet", "I have seen this", count)
	kit.Get("/clients/" + client.ID)
	if after := site.flagAt(flag); after.SeenAt != nil || len(after.Steps) != 0 || after.Version != before.Version {
		t.Fatalf("opening the page made %+v of %+v", after, before)
	}
	for i, b := range []*browser{kit, kit, wren} {
		if a := b.Post(flag+"/seen", "version", version(before.Version)); a.Status != http.StatusSeeOther || a.Location != flag {
			t.Fatalf("status %d to %q", a.Status, a.Location)
		}
		notice := "Recorded that you have seen it."
		if i > 0 {
			notice = "was recorded already, so nothing was added."
		}
		b.Get(flag).Has(t, http.StatusOK, notice)
	}
	if got := site.flagAt(flag); len(got.Steps) != 1 || got.SeenAt == nil || got.ClosedAt != nil {
		t.Errorf("got %+v, want one step and an open flag", got)
	}
	kit.Get(flag).Has(t, http.StatusOK, "Seen by Kit on "+sayDay(site.clock.Now())+" at ")
	kit.Get(flag).Lacks(t, "I have seen this", "Nobody has said yet", "now, unseen")
	site.clock.Pass(time.Minute)
	site.raiseNow(client, checkin)
	kit.Get(flag).Has(t, http.StatusOK, "Nobody has said yet", count, "New evidence on ", ", level now: ")
	// pressed on the page as it was before: what came since is not seen with it
	kit.Post(flag+"/seen", "version", version(before.Version)).Has(t, http.StatusConflict, "New evidence came in", "I have seen this", count)
}

func TestCalledAboutAFlag(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	flag := site.raiseNow(client, b.Visit(client, "delivery", "33.4", "33.7", "32.1"))
	opened := site.clock.Now()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	on, at := quantity.DateOf(opened.In(zone)), form.FormatClock(opened, zone)
	page := b.Get(flag)
	id, day := page.hiddenValue(t, "call_id"), site.clock.Now().Format(time.DateOnly)
	page.Has(t, http.StatusOK, `value="`+day+`"`)
	send := func(pairs ...string) answer {
		return b.Post(flag+"/called", append([]string{"version", "1", "call_id", id, "call_on", string(on), "call_at", at}, pairs...)...)
	}
	send("call_note", "<i>Anna</i> answered").Has(t, http.StatusUnprocessableEntity, "&lt;i&gt;Anna&lt;/i&gt; answered", `value="`+at+`"`, `href="#outcome"`)
	send("outcome", "reached", "call_at", "25:05", "call_note", "kept").Has(t, http.StatusUnprocessableEntity, "25:05", ">kept<", `value="reached" checked`)
	b.Post(flag+"/called", "call_on", site.clock.Now().AddDate(0, 0, 3).Format(time.DateOnly), "call_at", "10:00", "outcome", "reached").Has(t, http.StatusUnprocessableEntity)
	b.Post(flag+"/called", "call_on", opened.AddDate(0, 0, -1).Format(time.DateOnly), "call_at", "10:00", "outcome", "reached").Has(t, http.StatusUnprocessableEntity,
		"That is before what the flag rests on")
	for range 3 {
		send("outcome", "message-left", "call_note", "<i>Anna</i> calls back").Has(t, http.StatusSeeOther)
	}
	send("outcome", "reached", "call_note", "other words").Has(t, http.StatusUnprocessableEntity, "saved before", "other words")
	f := site.flagAt(flag)
	if len(f.Steps) != 1 || f.Steps[0].Outcome != models.MessageLeft || f.Steps[0].CalledAt == nil || f.SeenAt == nil {
		t.Fatalf("got %+v", f.Steps)
	}
	said := "Called by Kit on " + form.FormatDate(on, language) + " at " + at + ": message left. &lt;i&gt;Anna&lt;/i&gt; calls back."
	b.Get(flag).Has(t, http.StatusOK, "<li>"+said)
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, "Called by Kit: message left. &lt;i&gt;Anna&lt;/i&gt; calls back.")

	b.Post(flag+"/called", "outcome", "no-answer").Has(t, http.StatusSeeOther) // just now
	if f = site.flagAt(flag); len(f.Steps) != 2 || f.Steps[1].CalledAt.Sub(site.clock.Now()).Abs() > time.Second {
		t.Errorf("got %+v, want a call at this moment", f.Steps)
	}
}

func TestWhatWasDoneAboutTheCover(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	flag := site.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover)
	page := b.Get(flag)
	id := page.hiddenValue(t, "act_id")
	page.Has(t, http.StatusOK, "What was done about the cover", "And close the flag")
	page.Lacks(t, `name="reason"`)
	send := func(pairs ...string) answer {
		return b.Post(flag+"/act", append([]string{"act_id", id, "version", "1"}, pairs...)...)
	}
	send("gap_before", "2.4").Has(t, http.StatusUnprocessableEntity, `href="#cover_action"`, `value="2.4"`)
	send("cover_action", "nothing", "close", "yes").Has(t, http.StatusUnprocessableEntity, `href="#act_note"`, `id="close" name="close" value="yes" checked`)
	send("cover_action", "trimmed", "gap_before", "2.4", "gap_after", "wide").Has(t, http.StatusUnprocessableEntity, `value="wide"`)
	site.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover) // new evidence meanwhile
	send("cover_action", "trimmed", "gap_before", "2.4", "gap_after", "4", "act_note", "behind", "close", "yes").Has(t, http.StatusConflict, "New evidence came in", `name="version" value="2"`, ">behind<")
	events := func() []models.Event {
		all, err := site.store.EventsOf(t.Context(), client.Limb.ID)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	if got := site.flagAt(flag); got.ClosedAt != nil || len(got.Steps) != 0 || len(events()) != 0 {
		t.Fatalf("a refused form left %+v with %d events", got, len(events()))
	}
	for range 2 {
		send("version", "2", "cover_action", "trimmed", "gap_before", "2.4", "gap_after", "4", "act_note", "behind", "close", "yes").Has(t, http.StatusSeeOther)
	}
	got := site.flagAt(flag)
	if got.ClosedAt == nil || len(got.Steps) != 1 || len(events()) != 1 || events()[0].Kind != models.CoverTrimmed {
		t.Fatalf("got %+v with events %+v", got, events())
	}
	const done = "gap 2.4\u202fmm before, 4.0\u202fmm after"
	b.Get(flag).Has(t, http.StatusOK, "Trimmed by Kit on "+sayDay(site.clock.Now())+"; "+done+". behind.",
		"because: Trimmed; "+done+". behind.")
	b.Get(flag).Lacks(t, "What was done about the cover")
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, "Trimmed by Kit; "+done)
	b.Post(flag+"/act", "version", "3", "cover_action", "spacer", "gap_after", "3.5", "act_note", "too late").Has(t, http.StatusConflict,
		"Somebody else closed", "<dd>Spacer put in</dd>", "<dd>3.5</dd>", "<dd>too late</dd>")

	open := site.raise(client, checkin, assess.ClearanceBelow, assess.AboutCover)
	b.Post(open+"/act", "version", "1", "cover_action", "nothing", "act_note", "client declined").Has(t, http.StatusSeeOther)
	b.Get(open).Has(t, http.StatusOK, "Nothing done by Kit on ", "client declined.", "Seen by Kit", "Open since")
}

// TestArchivedFlagKeepsWhatWasTyped types into every form of a flag whose client
// somebody archives before it is sent.
func TestArchivedFlagKeepsWhatWasTyped(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	flag := site.raise(client, b.Visit(client, "delivery", "33.4", "33.7", "32.1"), assess.ClearanceBelow, assess.AboutCover)
	now, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := site.store.ArchiveClient(t.Context(), client.ID, now.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	b.Post(flag+"/seen").Has(t, http.StatusConflict, "This client is archived")
	b.Post(flag+"/called", "outcome", "reached", "call_note", "will come").Has(t, http.StatusConflict, "This client is archived", "<dd>will come</dd>", "<dd>reached</dd>")
	b.Post(flag+"/act", "version", "1", "cover_action", "trimmed", "gap_before", "2.4", "close", "yes").Has(t, http.StatusConflict, "This client is archived", "<dd>Trimmed</dd>", "<dd>2.4</dd>")
	if got := site.flagAt(flag); got.SeenAt != nil || got.ClosedAt != nil || len(got.Steps) != 0 {
		t.Errorf("the flag of an archived client became %+v", got)
	}
}

// TestHeldBackStillShows: what a person closed and the newest visit still finds
// stands on the client's page with who closed it, beside what is open.
func TestHeldBackStillShows(t *testing.T) {
	m := makerOf(t, shrunk(), "", testSayer(t))
	at := time.Date(2026, 5, 12, 9, 0, 0, 0, time.UTC)
	found := len(m.flags)
	for i := range m.flags {
		m.flags[i].ClosedAt, m.flags[i].ClosedBy, m.flags[i].CloseReason = &at, "a", "expected while the limb settles"
	}
	m.flags = append([]models.Flag{{ID: "open", Rule: string(assess.Attachment), Place: "clip", About: string(assess.AboutCover), Level: "soon"}}, m.flags...)
	lines := m.sheet().Standing
	if len(lines) != found || !strings.Contains(lines[0], "closed on 12 May 2026 by A, because: expected while the limb settles.") {
		t.Errorf("beside an open flag the page says %q, want %d findings that were closed", lines, found)
	}
	m.flags[1].ClosedAt = nil
	if got := m.sheet().Standing; len(got) != found-1 {
		t.Errorf("a finding that an open flag keeps stands twice: %q", got)
	}
}

// TestSentByManyAtOnceIsOneStep sends the same form many times at the same moment.
func TestSentByManyAtOnceIsOneStep(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	flag := site.raise(client, b.Visit(client, "delivery", "33.4", "33.7", "32.1"), assess.ClearanceBelow, assess.AboutCover)
	id, version := models.NewID(), "1"
	const many = 12
	got := make(chan answer, 2*many)
	for range many {
		go func() {
			got <- b.Post(flag+"/called", "call_id", id, "outcome", "reached")
		}()
		go func() {
			got <- b.Post(flag+"/act", "act_id", client.ID, "version", version, "cover_action", "spacer", "gap_after", "3", "close", "yes")
		}()
	}
	for range 2 * many {
		if a := <-got; a.Status == http.StatusInternalServerError {
			t.Errorf("a fault of ours\n%s", site.log.String())
		}
	}
	events, err := site.store.EventsOf(t.Context(), client.Limb.ID)
	if err != nil {
		t.Fatal(err)
	}
	f := site.flagAt(flag)
	var called, acted int
	for _, step := range f.Steps {
		switch step.Kind {
		case models.StepCalled:
			called++
		case models.StepActed:
			acted++
		}
	}
	if called > 1 || acted != 1 || len(events) != 1 || f.ClosedAt == nil {
		t.Errorf("%d calls, %d actions, %d events, closed at %v; want at most 1, 1, 1 and closed", called, acted, len(events), f.ClosedAt)
	}
}
