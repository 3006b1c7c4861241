package main

import (
	"fmt"
	"io"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// most is what a report may ask of a client: the pages of one that can't wait and
// of a full one, the first and the confirmation counted, and the time for the full
// one.
const (
	mostPagesUrgent = 4
	mostPagesFull   = 14
	mostTimeFull    = 2 * time.Minute
)

// words is what the client of these tests writes.
const words = "It rubs behind when I sit, and it clicks on stairs."

var reportNumber = regexp.MustCompile(`Your report has this number:\s+(\S+)`)

// number reads the number of the report that was just sent.
func (v *visitor) number() string {
	v.t.Helper()
	v.comesTo("Your report has this number")
	m := reportNumber.FindStringSubmatch(v.pageText())
	if m == nil {
		v.t.Fatalf("%s shows no number of a report\n%s", v.address(), v.pageText())
	}
	return m[1]
}

// TestClientReports walks the client's path on a small phone by touch, with the
// page's scripts and without, and by keyboard; then the fitter finds what was sent.
func TestClientReports(t *testing.T) {
	w := openWorkshop(t)
	robotLooks(t, w)
	var numbers []string
	for _, how := range []struct {
		name    string
		scripts bool
	}{{"with scripts", true}, {"without scripts", false}} {
		t.Run(how.name, func(t *testing.T) {
			v := w.fitter.somebodyElse()
			v.t = t
			phone := v.onPhone()
			v.do("set the scripts", emulation.SetScriptExecutionDisabled(!how.scripts))
			phone.reportsAtOnce(w.link)
			numbers = append(numbers, phone.number())
			phone.reportsAll(w.link, how.scripts)
			numbers = append(numbers, phone.number())
			v.keepsNothing()
			v.staysHome()
		})
	}
	t.Run("by keyboard", func(t *testing.T) {
		v := w.fitter.somebodyElse()
		v.t = t
		v.look(screen{320, "light"})
		v.reportsByKeyboard(w.link)
		numbers = append(numbers, v.number())
		v.keepsNothing()
		v.staysHome()
	})
	v := w.fitter
	v.open(w.client)
	v.sees("Five reports through private links. Five have not been read yet.")
	v.follow("Read")
	v.sees("reference number "+numbers[4], "Rubbing", words)
	v.open(w.client + "/links")
	v.sees("5 of 10")
	v.staysHome()
	second := v.makeLink(w.client)
	for name, walk := range map[string]func(*visitor, string){
		"back and forth": (*visitor).goesBackAndForth, "two windows": (*visitor).typesInTwoWindows, "leaving": (*visitor).leavesTheForm,
	} {
		t.Run(name, func(t *testing.T) {
			v := w.fitter.somebodyElse()
			v.t = t
			walk(v, second)
			v.keepsNothing()
		})
	}
	third := v.makeLink(w.client)
	t.Run("every page", func(t *testing.T) {
		v := w.fitter.somebodyElse()
		v.t = t
		v.looksAtForm(axeSource(t), third)
	})
	w.ends()
}

// robotLooks fetches a link as a program that shows what lies behind links in
// messages does; it uses nothing up and leaves no trace.
func robotLooks(t *testing.T, w workshop) {
	t.Helper()
	for range 20 {
		req, err := http.NewRequest(http.MethodGet, w.fitter.base+w.link, nil)
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("User-Agent", "InventedMessenger/1.0 (link preview)")
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.Copy(io.Discard, res.Body)
		if err := res.Body.Close(); err != nil || res.StatusCode != http.StatusOK || len(res.Cookies()) > 0 {
			t.Fatalf("a link preview gets status %d and %d cookies, %v", res.StatusCode, len(res.Cookies()), err)
		}
	}
	w.fitter.open(w.client + "/links")
	w.fitter.sees("0 of 10", "never")
}

// reportsAtOnce sends a sign of the safety page and nothing else.
func (h *thumb) reportsAtOnce(link string) {
	h.t.Helper()
	*h = thumb{visitor: h.visitor}
	h.visit(link)
	h.sees("This form is not watched day and night")
	h.tapOn("Start")
	h.onStep("safety")
	h.tap("You", "Open, bleeding or blistered skin")
	h.tapOn("Continue")
	h.onStep("now")
	h.sees("Phone your clinic today", "+49 30 5550 201", "+49 30 5550 202", "112", "Open, bleeding or blistered skin")
	h.tapOn("Send now")
	h.onStep("sent")
	h.sees("Your report has come in", "We next read these reports", "+49 30 5550 201")
	if h.pages > mostPagesUrgent {
		h.t.Errorf("a report that can't wait takes %d pages, want at most %d", h.pages, mostPagesUrgent)
	}
	h.t.Logf("a report that can't wait: %d pages, %d taps, %.0f s at the pace of a thumb", h.pages, h.taps, h.took().Seconds())
}

// reportsAll answers every question that the form can ask.
func (h *thumb) reportsAll(link string, scripts bool) {
	h.t.Helper()
	*h = thumb{visitor: h.visitor}
	h.visit(link)
	h.tapOn("Start")
	h.tap("", "I'm not sure")
	h.tapOn("Continue")
	h.tapOn("Tell us more first")
	h.onStep("what")
	h.tap("", "It rubs or hurts at one spot")
	h.tap("", "It makes a noise")
	h.tapOn("Continue")
	h.onStep("limb")
	h.tap("", "Left leg")
	h.tapOn("Continue")
	h.onStep("where")
	h.tap("", "area.calf.posterior")
	if !scripts { // the drawing led to its place in the list
		h.tap("Lower leg", "Back")
	}
	h.tapOn("Continue")
	h.onStep("since")
	h.tap("", "For about a week")
	h.tapOn("Continue")
	h.onStep("bother")
	h.tap("", "6")
	h.tapOn("Continue")
	h.onStep("wearing")
	h.tap("", "Less than I like to")
	h.tapOn("Continue")
	h.onStep("comfort")
	h.tap("How good did it feel on most days?", "6")
	h.tap("How good did it feel at its worst?", "4")
	h.tap("How bad was the worst pain?", "3")
	h.tap("Was it loose or tight?", "−2")
	h.tapOn("Continue")
	h.onStep("skin")
	h.tap("", "Red or dark marks that fade")
	h.tapOn("Continue")
	h.onStep("text")
	h.write("text", words)
	h.tapOn("Continue")
	h.onStep("check")
	h.seesAnswers()
	h.tapOn("Send report")
	h.onStep("sent")
	if h.pages > mostPagesFull {
		h.t.Errorf("a full report takes %d pages, want at most %d", h.pages, mostPagesFull)
	}
	if h.took() > mostTimeFull {
		h.t.Errorf("a full report takes %.0f s, want at most %.0f", h.took().Seconds(), mostTimeFull.Seconds())
	}
	h.t.Logf("a full report: %d pages, %d taps, %d signs, %.0f s at the pace of a thumb", h.pages, h.taps, h.signs, h.took().Seconds())
}

// seesAnswers fails the test unless the page shows all that these tests answer.
func (v *visitor) seesAnswers() {
	v.t.Helper()
	v.sees("It rubs or hurts at one spot", "Lower leg: back", "For about a week", "6 out of 10", "Less than I like to",
		"At its worst it felt 4 out of 10", "Worst pain: 3 out of 10", "Loose or tight, from −5 to 5: −2", "Red or dark marks that fade", words)
}

// reportsByKeyboard answers every question with Tab, Space, arrows and Enter.
func (v *visitor) reportsByKeyboard(link string) {
	v.t.Helper()
	tick := func(selector string) {
		v.t.Helper()
		v.tabTo(selector)
		v.press(" ")
	}
	// choose picks the nth of a row of radio buttons, which Tab enters as one.
	choose := func(name string, nth int) {
		v.t.Helper()
		tick(fmt.Sprintf("input[name=%q]", name))
		for range nth {
			v.press(kb.ArrowDown)
		}
	}
	next := func(step string) {
		v.t.Helper()
		v.tabTo("main button[type=submit]")
		v.enter()
		v.onStep(step)
	}
	v.open(link)
	next("safety")
	tick(`[name="safety.none"]`)
	next("what")
	tick(`[name="what.rub"]`)
	next("limb")
	choose("limb", 0)
	next("where")
	tick(`[name="area.calf.posterior"]`)
	next("since")
	choose("since", 2)
	next("bother")
	choose("bother", 6)
	next("wearing")
	choose("wearing", 1)
	next("comfort")
	choose("comfort-average", 6)
	choose("comfort-worst", 4)
	choose("pain-worst", 3)
	choose("looseness", 3)
	next("skin")
	tick(`[name="skin.redness-fades"]`)
	next("text")
	v.tabTo("textarea")
	v.do("type", chromedp.KeyEvent(words))
	next("check")
	v.picture("report-by-keyboard")
	v.seesAnswers()
	next("sent")
}

// keepsNothing fails the test if the form left anything in the browser but its
// cookie, which no script can read.
func (v *visitor) keepsNothing() {
	v.t.Helper()
	v.do("set the scripts", emulation.SetScriptExecutionDisabled(false))
	var kept string
	v.do("look into the browser's stores", chromedp.Evaluate(`JSON.stringify({...localStorage}) + JSON.stringify({...sessionStorage}) + document.cookie`, &kept))
	if strings.Trim(kept, "{}") != "" {
		v.t.Errorf("the browser keeps %s", kept)
	}
}
