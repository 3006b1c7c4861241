package server

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

func TestSafetyReportInFourPages(t *testing.T) {
	r := newReporter(t)
	r.Get(r.start()).Has(t, http.StatusOK, "<h1>Tell us how", "about 2 minutes", "not watched day and night", `href="tel:112"`, `href="tel:03011"`)
	r.Post(r.start()+"/start").leads(t, "safety")
	r.Get("/report/safety").Has(t, http.StatusOK, "Is any of this true right now?", "The leg", "I&#39;m not sure", "None of these")
	r.Answer("safety", "now", "safety.open-skin", "yes")
	r.Get("/report/now").Has(t, http.StatusOK, "Phone your clinic today", `href="tel:030122"`, `href="tel:030133"`, `href="tel:112"`,
		"Open, bleeding or blistered skin", "Sit down first", "I can&#39;t phone", "Send now", "Tell us more first")
	r.Post("/report/send", "from", "now", "cannot-phone", "yes").leads(t, "sent")
	reports := r.reports()
	if len(reports) != 1 || !slices.Equal(reports[0].Said.Safety, []string{"open-skin"}) || !reports[0].Said.CannotPhone {
		t.Fatalf("reports %+v", reports)
	}
	if reports[0].LimbID == nil || *reports[0].LimbID != r.limb.ID {
		t.Error("the report is not about the client's only limb")
	}
	r.Get("/report/sent").Has(t, http.StatusOK, reports[0].Number, "Write it down", "Phone first", "We next read these reports")
}

func TestWholeReport(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transtibial, quantity.Transradial)
	r.Start()
	r.Answer("safety", "now", "safety.not-sure", "yes")
	r.Answer("now", "what")
	r.Answer("what", "limb", "what.rub", "yes", "what.loose", "yes", "what.catch", "yes", "what.heat", "yes")
	r.Get("/report/limb").Has(t, 200, "Left leg", "Right arm")
	r.Answer("limb", "where", "limb", "1")
	r.Get("/report/where").Has(t, 200, "Elbow", `name="area.hand.medial"`)
	r.Answer("where", "since", "area.elbow.lateral", "yes", "area.knee.anterior", "yes") // no knee on an arm
	r.Answer("since", "bother", "since", "days")
	r.Answer("bother", "wearing", "bother", "7")
	r.Answer("wearing", "comfort", "wearing", "less")
	r.Answer("comfort", "skin", "comfort-average", "0", "pain-worst", "10", "looseness", "-5")
	r.Answer("skin", "text", "skin.blister", "yes")
	r.Answer("text", "check", "text", "it <b>rubs</b> 🙂 مرحبا")
	r.Get("/report/check").Has(t, 200, "It rubs or hurts at one spot", "It catches on clothes, or when I bend", "It feels hot, or I sweat in it", "Right arm", "Elbow: outer side", "For a few days", "7 out of 10",
		"Less than I like to", "Worst pain: 10 out of 10", "−5", "A blister", "it &lt;b&gt;rubs&lt;/b&gt; 🙂 مرحبا", `href="/report/what?from=check"`)
	r.Post("/report/send").leads(t, "sent")
	got := r.reports()[0]
	zero, seven, ten, five := 0, 7, 10, -5
	want := models.Said{
		Safety: []string{"not-sure"}, What: []string{"rub", "loose", "catch", "heat"}, Areas: []string{"elbow.lateral"}, Since: "days", Bother: &seven,
		Wearing: "less", ComfortAverage: &zero, PainWorst: &ten, Looseness: &five, Skin: []string{"blister"}, Text: "it <b>rubs</b> 🙂 مرحبا",
	}
	if !sameSaid(got.Said, want) || got.LimbID == nil || *got.LimbID != r.limb.ID {
		t.Errorf("got %+v of %v\nwant %+v of %s", got.Said, got.LimbID, want, r.limb.ID)
	}
}

func sameSaid(a, b models.Said) bool {
	same := func(x, y *int) bool { return x == nil && y == nil || x != nil && y != nil && *x == *y }
	return slices.Equal(a.Safety, b.Safety) && a.CannotPhone == b.CannotPhone && slices.Equal(a.What, b.What) &&
		slices.Equal(a.Areas, b.Areas) && a.Since == b.Since && same(a.Bother, b.Bother) && a.Wearing == b.Wearing &&
		same(a.ComfortAverage, b.ComfortAverage) && same(a.ComfortWorst, b.ComfortWorst) && same(a.PainWorst, b.PainWorst) &&
		same(a.Looseness, b.Looseness) && slices.Equal(a.Skin, b.Skin) && a.Text == b.Text
}

// TestNothingOptionalBlocks walks every page after the first without an answer.
func TestNothingOptionalBlocks(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	pages := 2
	for step := "what"; step != "check"; pages++ {
		r.Get("/report/"+step).Has(t, 200, "Continue", ">Back<")
		a := r.Post("/report/" + step)
		if a.Status != 303 {
			t.Fatalf("%s: status %d\n%s", step, a.Status, a.Body)
		}
		step = strings.TrimPrefix(a.Location, "/report/")
	}
	r.Post("/report/send").leads(t, "sent")
	if pages += 2; pages > 14 {
		t.Errorf("%d pages from start to confirmation, want at most 14", pages)
	}
	if got := r.reports()[0].Said; !sameSaid(got, models.Said{}) {
		t.Errorf("got %+v, want nothing said", got)
	}
}

func TestSafetyPageWantsAnAnswer(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Get("/report/safety").Has(t, 200, "<title>Is any of this")
	for _, step := range []string{"now", "what", "where", "text", "check"} {
		r.Get("/report/"+step).leads(t, "safety")
	}
	r.Post("/report/send").leads(t, "safety?from=check")
	r.Post("/report/safety").Has(t, 422, "<title>Error:", `id="summary"`, `href="#safety"`, "tick “None of these”")
	r.Post("/report/safety", "safety.none", "yes", "safety.broken", "yes").Has(t, 422, "and a sign too", `name="safety.broken" value="yes" checked`)
	r.Get("/report/what").leads(t, "safety")
	if len(r.reports()) != 0 {
		t.Error("a report was sent without an answer on the safety page")
	}
	r.Answer("text", "safety", "text", "typed before the safety page was answered")
	r.Answer("safety", "now", "safety.broken", "yes")
	r.Get("/report/now").Has(t, 200, "Do not stand or lean on this leg")
	r.Get("/report/text").Has(t, 200, "typed before the safety page was answered")
	r.Get("/report/nothing").Has(t, 404, "030 11")
	r.Post("/report/nothing").Has(t, 404, "030 11")
}

func TestNumbersInTheOrderOfNeed(t *testing.T) {
	r := newReporter(t)
	r.Start()
	tests := []struct {
		sign, title string
		order       []string
	}{
		{"breathless", "Call for help now", []string{"tel:112", "tel:030133", "tel:030122"}},
		{"open-skin", "Phone your clinic today", []string{"tel:030122", "tel:030133", "tel:112"}},
		{"not-sure", "Phone your clinic today", []string{"tel:030122", "tel:030133", "tel:112"}},
	}
	for _, tt := range tests {
		r.Answer("safety", "now", "safety."+tt.sign, "yes")
		a := r.Get("/report/now")
		a.Has(t, 200, "<h1>"+tt.title+"</h1>")
		last := -1
		for _, tel := range tt.order {
			at := strings.Index(a.Body, tel)
			if at <= last {
				t.Errorf("%s: %s is not in its place", tt.sign, tel)
			}
			last = at
		}
	}
}

func TestChangeReturnsToTheCheckPage(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Get("/report/since?from=check").Has(t, 200, `action="/report/since?from=check"`, `class="back" href="/report/check"`)
	r.Answer("since?from=check", "check", "since", "week")
	r.Answer("safety?from=check", "check", "safety.none", "yes")
	r.Answer("safety?from=check", "now", "safety.pain-numb", "yes")
	r.Get("/report/check").Has(t, 200, "For about a week", "Phone first if you have not yet")
	r.Answer("safety?from=check", "check", "safety.none", "yes")
	r.Get("/report/now").leads(t, "what")
}

// TestTextStays checks what can be typed: it comes back as it was, as text.
func TestTextStays(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	long := strings.Repeat("ä", longestReportText+1)
	r.Post("/report/text", "text", long).Has(t, 422, "Error:", "10001 characters", long)
	r.Get("/report/text").Has(t, 200, long, "10001 characters")
	r.Post("/report/send").leads(t, "text?from=check")
	huge := strings.Repeat("ä", 200_000)
	r.Post("/report/text", "text", huge).Has(t, 422, "200000 characters", huge)
	r.Answer("text", "check", "text", long[:2*longestReportText])
	hostile := "<script>x</script>\r\n\u202eenil\u202c \u0000 {{.}} \"'"
	r.Answer("text", "check", "text", hostile)
	for _, page := range []string{"text", "check"} {
		if a := r.Get("/report/" + page); strings.Contains(a.Body, "<script>x") {
			t.Errorf("%s: what was typed became markup", page)
		}
	}
	r.Post("/report/bother", "bother", "11").Has(t, 422, "not one of the choices")
	r.Answer("bother", "wearing", "bother", "3")
	r.Post("/report/send").leads(t, "sent")
	if got, want := r.reports()[0].Said.Text, "<script>x</script>\nenil  {{.}} \"'"; got != want {
		t.Errorf("got text %q, want %q", got, want)
	}
}

func TestFiftySendsAtOnceMakeOneReport(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	var all sync.WaitGroup
	answers := make([]answer, 50)
	for i := range answers {
		all.Go(func() { answers[i] = r.Post("/report/send") })
	}
	all.Wait()
	for _, a := range answers {
		if a.Status != 303 || a.Location != "/report/sent" {
			t.Errorf("status %d to %q", a.Status, a.Location)
		}
	}
	reports := r.reports()
	if len(reports) != 1 {
		t.Fatalf("%d reports, want 1", len(reports))
	}
	for range 2 {
		r.Get("/report/sent").Has(t, 200, reports[0].Number)
	}
}

func TestAfterSending(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Get("/report/sent").leads(t, "check")
	r.Answer("text", "check", "text", "planted words")
	r.Post("/report/send").leads(t, "sent")
	r.Post("/report/send").leads(t, "sent")
	for _, a := range []answer{
		r.Get("/report/safety"), r.Get("/report/check"), r.Get("/report/text"), r.Post("/report/text", "text", "more"), r.Post("/report/keep"),
	} {
		a.Has(t, http.StatusGone, "Your report has been sent", "030 11")
		if strings.Contains(a.Body, "planted words") {
			t.Error("the calm page shows what was typed")
		}
	}
	if strings.Contains(r.Get("/report/sent").Body, "planted words") {
		t.Error("the confirmation shows what was typed")
	}
	r.Start()
	r.Get("/report/safety").Has(t, 200)
	r.Answer("safety", "what", "safety.none", "yes")
	r.Post("/report/send").leads(t, "sent")
	if n := len(r.reports()); n != 2 {
		t.Errorf("%d reports, want 2", n)
	}
}

func TestIdleReportIsTakenUpByItsLink(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.clock.Pass(59 * time.Minute)
	if a := r.Post("/report/keep"); a.Status != http.StatusNoContent {
		t.Errorf("keep: status %d", a.Status)
	}
	r.clock.Pass(59 * time.Minute)
	r.Answer("since", "bother", "since", "week")
	r.clock.Pass(61 * time.Minute)
	r.Get("/report/since").Has(t, http.StatusGone, "All that you typed is still there")
	r.Post("/report/keep").Has(t, http.StatusGone)
	r.Post("/report/text", "text", "typed for over an hour").Has(t, http.StatusGone, "All that you typed is still there")
	r.Post("/report/send").Has(t, http.StatusGone)
	r.Start()
	r.Get("/report/text").Has(t, 200, "typed for over an hour")
	r.Get("/report/since").Has(t, 200, `value="week" checked`)
}

func TestLostCookieAndSharedLink(t *testing.T) {
	r := newReporter(t)
	r.Get("/report/safety").Has(t, http.StatusGone, "This browser has no open form", "030 11")
	r.Post("/report/send").Has(t, http.StatusGone, "Open your link again")
	r.withKey("guessed").Get("/report/safety").Has(t, http.StatusGone, "This browser has no open form")
	r.Start()
	other := r.other()
	other.Start()
	if r.key() == other.key() || len(r.key()) < 43 {
		t.Errorf("keys %q and %q", r.key(), other.key())
	}
	r.Answer("text", "safety", "text", "from one browser")
	if a := other.Get("/report/safety"); a.Status != 200 {
		t.Fatal(a.Status)
	}
	other.Answer("safety", "what", "safety.none", "yes")
	if strings.Contains(other.Get("/report/text").Body, "from one browser") {
		t.Error("another browser shows what was typed in the first")
	}
	// two tabs of one browser type at one report
	r.Post(r.start()+"/start").leads(t, "safety")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("since", "bother", "since", "week")
	r.Get("/report/text").Has(t, 200, "from one browser")
}

func TestRevokedWhileTyping(t *testing.T) {
	r := newReporter(t)
	r.Start()
	if err := r.store.RevokeReportLink(t.Context(), r.link.ID, r.link.MadeBy); err != nil {
		t.Fatal(err)
	}
	r.Get("/report/safety").Has(t, 404, "This link does not work", "030 11")
	r.Post("/report/send").Has(t, 404, "This link does not work")
}

// TestSafetyAnswerIsAFlagAtOnce: sent, it stands as a flag that nobody has seen.
func TestSafetyAnswerIsAFlagAtOnce(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "now", "safety.colour-cold", "yes")
	r.Post("/report/send", "from", "now").leads(t, "sent")
	r.As("kit", models.Fitter).Get("/today").Has(t, 200, "1 now")
}
