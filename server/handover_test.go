package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// handoverBench is a client with an open flag of each kind, and a fitter.
type handoverBench struct {
	*site
	kit               *browser
	client            benchClient
	limb, skin, cover string // paths of the flags
	form              string // path of the form
	checkin           string
}

func newHandoverBench(t *testing.T) handoverBench {
	t.Helper()
	s := newSite(t)
	s.clock.Pass(-30 * 24 * time.Hour) // sessions end by the clock of the machine
	b := handoverBench{site: s, client: s.BenchClient("K-014"), kit: s.As("kit", models.Fitter)}
	b.checkin = b.kit.Visit(b.client, "delivery", "33.4", "33.7", "32.1")
	b.limb = s.raise(b.client, b.checkin, assess.VolumeChange, assess.AboutLimb)
	b.skin = s.raiseNow(b.client, b.checkin)
	b.cover = s.raise(b.client, b.checkin, assess.ReadingsDisagree, assess.AboutData)
	b.form = limbPath(b.client.Limb) + "/handovers/new"
	return b
}

// idIn is the last part of a path.
func idIn(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }

// day is a day from today at the workshop.
func (b handoverBench) day(n int) string {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		b.t.Fatal(err)
	}
	return string(quantity.DateOf(b.clock.Now().In(zone)).AddDays(n))
}

// Filled is the form as a browser would send it when one name is typed.
func (b handoverBench) Filled(pairs ...string) url.Values {
	b.t.Helper()
	a := b.kit.Get(b.form)
	a.Has(b.t, http.StatusOK)
	form := a.hidden()
	for _, field := range []string{"handed_on", "ask_again_on"} {
		form.Set(field, a.Value(b.t, field))
	}
	form.Set("means", "letter")
	form.Set("to_whom", "I. Invented")
	for _, path := range []string{b.limb, b.skin, b.cover} {
		if strings.Contains(a.Body, `name="flag.`+idIn(path)+`" value="yes" checked`) {
			form.Set("flag."+idIn(path), "yes")
		}
	}
	return with(form, pairs...)
}

// HandedOver hands over what is ticked at first and returns the path.
func (b handoverBench) HandedOver() string {
	b.t.Helper()
	a := b.kit.PostForm(strings.TrimSuffix(b.form, "/new"), b.Filled())
	a.Has(b.t, http.StatusSeeOther)
	return a.Location
}

func TestHandingOver(t *testing.T) {
	b := newHandoverBench(t)
	clientPage := "/clients/" + b.client.ID
	b.kit.Get(clientPage).Has(t, http.StatusOK, `href="`+b.form+`"`)
	form := b.Filled()
	if form.Get("flag."+idIn(b.limb)) == "" || form.Get("flag."+idIn(b.skin)) == "" || form.Get("flag."+idIn(b.cover)) != "" {
		t.Errorf("ticked at first: %v; want what is the prosthetist's", form)
	}
	if form.Get("ask_again_on") != b.day(1) {
		t.Errorf("ask again on %s, want tomorrow: a clinician is to hear of one of them today", form.Get("ask_again_on"))
	}
	b.kit.Get(b.form).Has(t, http.StatusOK, "Telephone today", `name="means" value="phone" checked`)
	path := strings.TrimSuffix(b.form, "/new")
	a := b.kit.PostForm(path, form)
	a.Has(t, http.StatusSeeOther)
	if again := b.kit.PostForm(path, form); again.Status != http.StatusSeeOther || again.Location != a.Location {
		t.Errorf("sent twice: %d to %s, want the same handover", again.Status, again.Location)
	}
	b.kit.PostForm(path, with(form, "to_whom", "O. Other")).Has(t, http.StatusUnprocessableEntity, "saved before", "O. Other")
	all, err := b.store.HandoversOf(t.Context(), b.client.ID)
	if err != nil || len(all) != 1 || len(all[0].FlagIDs) != 2 {
		t.Fatalf("got %+v, %v; want one handover of two flags", all, err)
	}
	b.kit.Get(a.Location).Has(t, http.StatusOK, "Telephone today", "Handed over to I. Invented by letter on", "awaiting an answer, ask again on", a.Location+"/letter", "Answer received")
	b.kit.Get(clientPage).Has(t, http.StatusOK, "Handed over and awaiting an answer", `href="`+a.Location+`"`)
	b.kit.Get(b.limb).Has(t, http.StatusOK, "Handed over to I. Invented by letter", "recorded by Kit")

	next := b.kit.Get(b.form)
	next.Has(t, http.StatusOK, `<option value="I. Invented">`, "Ticked, it moves to this handover")
	next.Lacks(t, "checked>\n<span><span class=\"mark now\"")

	b.clock.Pass(15 * 24 * time.Hour)
	kit := b.again("kit")
	kit.Get(a.Location).Has(t, http.StatusOK, "awaiting an answer, overdue: ask again since", `<span class="mark due">`)
	kit.Get(clientPage).Has(t, http.StatusOK, "overdue: ask again since")
}

// TestHandingOverWhatCanWait goes by letter, and somebody asks again in two weeks.
func TestHandingOverWhatCanWait(t *testing.T) {
	s := newSite(t)
	client, kit := s.BenchClient("K-014"), s.As("kit", models.Fitter)
	flag := s.raise(client, kit.Visit(client, "delivery", "33.4", "33.7", "32.1"), assess.VolumeChange, assess.AboutLimb)
	b := handoverBench{site: s, kit: kit, client: client, form: limbPath(client.Limb) + "/handovers/new"}
	a := kit.Get(b.form)
	a.Has(t, http.StatusOK, `name="means" value="letter" checked`)
	a.Lacks(t, "Telephone today")
	if got := a.Value(t, "ask_again_on"); got != b.day(14) {
		t.Errorf("ask again on %s, want in 14 days", got)
	}
	kit.Get(s.handOver(client, "Ash", flag)).Lacks(t, "is to hear of it today")
}

func TestHandoverFormSaysWhatIsWrong(t *testing.T) {
	b := newHandoverBench(t)
	path := strings.TrimSuffix(b.form, "/new")
	for name, tt := range map[string]struct{ field, value, want string }{
		"nobody":                {"to_whom", " ", "#to_whom"},
		"no way":                {"means", "", "#means"},
		"another way":           {"means", "owl", "#means"},
		"tomorrow":              {"handed_on", b.day(1), "in the future"},
		"no day":                {"handed_on", "", "#handed_on"},
		"ask on the day itself": {"ask_again_on", b.day(0), "must be a day after"},
		"no day to ask":         {"ask_again_on", "", "#ask_again_on"},
		"too long":              {"note", strings.Repeat("é", longestNote+1), "#note"},
	} {
		t.Run(name, func(t *testing.T) {
			b.kit.PostForm(path, b.Filled("note", "kept <b>words</b>", tt.field, tt.value)).Has(t, http.StatusUnprocessableEntity, tt.want)
		})
	}
	form := b.Filled("note", "kept <b>words</b>")
	form.Del("flag." + idIn(b.limb))
	form.Del("flag." + idIn(b.skin))
	b.kit.PostForm(path, form).Has(t, http.StatusUnprocessableEntity, "Tick at least one flag", "kept &lt;b&gt;words&lt;/b&gt;", "I. Invented")

	other := b.BenchClient("K-015")
	foreign := b.raise(other, b.kit.Visit(other, "delivery", "33.4", "33.7", "32.1"), assess.VolumeChange, assess.AboutLimb)
	b.kit.PostForm(path, with(form, "flag."+idIn(foreign), "yes")).Has(t, http.StatusUnprocessableEntity, "Tick at least one flag")
	for _, wrong := range []string{"/clients/" + other.ID + "/limbs/" + b.client.Limb.ID + "/handovers"} {
		b.kit.PostForm(wrong, b.Filled()).Has(t, http.StatusNotFound)
		b.kit.Get(wrong+"/new").Has(t, http.StatusNotFound)
	}
	if all, err := b.store.HandoversOf(t.Context(), b.client.ID); err != nil || len(all) != 0 {
		t.Errorf("got %+v, %v; want nothing recorded", all, err)
	}
}

// TestTwoHandOverAtOnce: who comes second is told, with all that they typed.
func TestTwoHandOverAtOnce(t *testing.T) {
	b := newHandoverBench(t)
	path := strings.TrimSuffix(b.form, "/new")
	second := b.Filled("to_whom", "O. Other", "note", "mine")
	b.HandedOver()
	a := b.again("kit").PostForm(path, second)
	a.Has(t, http.StatusConflict, "closed, opened, handed over or got new evidence since", "O. Other", "mine", "Handed over to I. Invented")
	b.kit.PostForm(path, with(second, "shown", a.hidden().Get("shown"))).Has(t, http.StatusSeeOther)
	flag, err := b.store.FlagByID(t.Context(), idIn(b.limb))
	if err != nil || len(flag.Steps) != 2 {
		t.Errorf("got %+v, %v; want it handed over twice", flag, err)
	}
}

func TestHandoverOfAnArchivedClient(t *testing.T) {
	b := newHandoverBench(t)
	form := b.Filled("note", "kept words")
	handover := b.HandedOver()
	now, err := b.store.ClientByID(t.Context(), b.client.ID)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.store.ArchiveClient(t.Context(), b.client.ID, now.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	b.kit.PostForm(strings.TrimSuffix(b.form, "/new"), with(form, "id", models.NewID())).Has(t, http.StatusConflict, "kept words")
	b.kit.Post(handover+"/ask-again", "version", "1", "again_on", b.day(3), "again_note", "kept note").Has(t, http.StatusConflict, "This client is archived", "kept note")
	b.kit.Post(handover+"/answer", "version", "1", "said", "kept answer").Has(t, http.StatusConflict, "This client is archived", "kept answer")
	b.kit.Get(handover).Has(t, http.StatusOK, "awaiting an answer")
	b.kit.Get(handover).Lacks(t, "Record the answer")
	if all, _ := b.store.AnswersOf(t.Context(), b.client.ID); len(all) != 0 {
		t.Errorf("got %+v", all)
	}
}

func TestAskingAgain(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	form := []string{"version", "1", "again_on", b.day(20), "again_note", "will write <this> week"}
	b.kit.Post(handover+"/ask-again", "version", "1", "again_on", b.day(0), "again_note", "kept").Has(t, http.StatusUnprocessableEntity, "must be a day after", "kept")
	b.kit.Post(handover+"/ask-again", form...).Has(t, http.StatusSeeOther)
	b.kit.Post(handover+"/ask-again", form...).Has(t, http.StatusSeeOther)
	b.kit.Get(handover).Has(t, http.StatusOK, "Asked again once", "will write &lt;this&gt; week")
	b.kit.Post(handover+"/ask-again", "version", "1", "again_on", b.day(21), "again_note", "another").Has(t, http.StatusConflict, "Somebody recorded something here", "another")
	h, err := b.store.HandoverByID(t.Context(), idIn(handover))
	if err != nil || string(h.AskAgainOn) != b.day(20) || h.Version != 2 {
		t.Errorf("got %+v, %v", h, err)
	}
	for _, path := range []string{b.limb, b.skin} {
		flag, err := b.store.FlagByID(t.Context(), idIn(path))
		if err != nil || len(flag.Steps) != 2 || string(flag.AskAgainOn) != b.day(20) {
			t.Errorf("got %+v, %v", flag, err)
		}
	}
}

// TestWhoMayHandOver sends everything about handovers as everybody else.
func TestWhoMayHandOver(t *testing.T) {
	b := newHandoverBench(t)
	handover := b.HandedOver()
	wren := b.As("wren", models.Prosthetist)
	wren.Get(handover).Has(t, http.StatusNotFound) // not of their care team
	person, err := b.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	b.team(b.client.Client, nil, person)
	wren.Get(handover).Has(t, http.StatusOK, "Handed over to I. Invented")
	wren.Get(handover).Lacks(t, "Record the answer", "Record that I asked again")
	wren.Get("/clients/"+b.client.ID).Lacks(t, b.form)
	for _, who := range []*browser{wren, b.As("olm", models.Owner)} {
		for _, path := range []string{strings.TrimSuffix(b.form, "/new"), handover + "/ask-again", handover + "/answer"} {
			who.Post(path).Has(t, http.StatusForbidden)
		}
		who.Get(b.form).Has(t, http.StatusForbidden)
	}
	other := b.BenchClient("K-016")
	elsewhere := "/clients/" + other.ID + "/handovers/" + idIn(handover)
	b.kit.Get(elsewhere).Has(t, http.StatusNotFound)
	for _, do := range []string{"/ask-again", "/answer"} {
		b.kit.Post(elsewhere+do, "version", "1").Has(t, http.StatusNotFound)
	}
	flag, err := b.store.FlagByID(t.Context(), idIn(b.limb))
	if err != nil || slices.ContainsFunc(flag.Steps, func(s models.FlagStep) bool { return s.Kind != models.StepHandedOver }) {
		t.Errorf("got %+v, %v", flag, err)
	}
}

// TestNothingIsHandedOverBeforeItWasFound: no day is taken before the first evidence
// of the newest flag that is ticked, and nothing typed is lost.
func TestNothingIsHandedOverBeforeItWasFound(t *testing.T) {
	b := newHandoverBench(t)
	path := strings.TrimSuffix(b.form, "/new")
	a := b.kit.PostForm(path, b.Filled("handed_on", b.day(-1), "ask_again_on", b.day(3), "note", "kept words"))
	a.Has(t, http.StatusUnprocessableEntity, "#handed_on", "rests on what was found on "+sayDay(b.clock.Now()), "kept words")
	b.clock.Pass(2 * 24 * time.Hour)
	b.kit = b.again("kit")
	b.kit.PostForm(path, b.Filled("handed_on", b.day(-2))).Has(t, http.StatusSeeOther) // entered later
}

// TestWhatStaysOpenAfterAnAnswer: where a further answer is awaited that is said; and
// where none is, Today still says that the letter is missing.
func TestWhatStaysOpenAfterAnAnswer(t *testing.T) {
	b := newHandoverBench(t)
	handover, client := b.HandedOver(), "/clients/"+b.client.ID
	b.kit.Get(client).Has(t, http.StatusOK, "Handed over and awaiting an answer", "awaiting an answer, ask again on ")
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "next_on", b.day(4))...).Has(t, http.StatusSeeOther)
	for _, path := range []string{client, handover, b.skin} {
		b.kit.Get(path).Has(t, http.StatusOK, "awaiting a further answer", "sk again on "+b.said(4))
	}
	b.kit.Get("/today").Has(t, http.StatusOK, "answered in part, ask again on "+b.said(4))
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "next_on", "")...).Has(t, http.StatusSeeOther)
	b.kit.Get("/today").Has(t, http.StatusOK, "Answered by I. Invented by telephone, the letter is missing")
	b.kit.Get(b.skin).Has(t, http.StatusOK, "the letter is missing, and no further answer is awaited")
	b.kit.Send(handover+"/answer", "a.pdf", letter, b.answerTo(handover, "next_on", "")...).Has(t, http.StatusSeeOther)
	b.kit.Get("/today").Has(t, http.StatusOK, "Answered by letter of I. Invented, which leaves it open")
}

// TestHistoryTellsInTheOrderOfTime: a call of before stands at its own time, and of
// one moment what came last stands first.
func TestHistoryTellsInTheOrderOfTime(t *testing.T) {
	b := newHandoverBench(t)
	b.clock.Pass(24 * time.Hour)
	b.kit = b.again("kit")
	handover := b.HandedOver()
	b.kit.Post(handover+"/ask-again", "version", "1", "again_on", b.day(3)).Has(t, http.StatusSeeOther)
	b.kit.Post(handover+"/answer", b.answerTo(handover, "answer_means", "phone", "next_on", "")...).Has(t, http.StatusSeeOther)
	b.clock.Pass(24 * time.Hour)
	b.kit = b.again("kit")
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	called := b.clock.Now().Add(-36 * time.Hour).In(zone)
	b.kit.Post(b.skin+"/called", "version", "1", "outcome", "reached", "call_on", called.Format(time.DateOnly), "call_at", called.Format("15:04")).
		Has(t, http.StatusSeeOther)
	page := b.kit.Get("/clients/" + b.client.ID).Body
	page = page[strings.Index(page, `id="history"`):]
	last := -1
	for _, said := range []string{"Answer of I. Invented", "Kit asked I. Invented again.", "Handed over to I. Invented by letter.", "Called by Kit: reached."} {
		at := strings.Index(page, said)
		if at < 0 || at < last {
			t.Errorf("%q stands at %d, after what stands at %d", said, at, last)
		}
		last = at
	}
}
