package main

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// TestBackShowsWhatHolds walks back by the browser's own button, with the page's
// scripts and without: no page comes back as it was before its answers were changed
// or sent.
func TestBackShowsWhatHolds(t *testing.T) {
	w := openWorkshop(t)
	for _, how := range []struct {
		name    string
		scripts bool
	}{{"with scripts", true}, {"without scripts", false}} {
		t.Run(how.name, func(t *testing.T) {
			v := w.fitter.somebodyElse()
			v.t = t
			phone := v.onPhone()
			v.do("set the scripts", emulation.SetScriptExecutionDisabled(!how.scripts))
			phone.takesASignBack(w.link)
			phone.goesBackAfterSending(w.link)
		})
	}
	w.ends()
}

// takesASignBack ticks a sign, takes it back and returns to the page that showed it.
func (h *thumb) takesASignBack(link string) {
	h.t.Helper()
	h.visit(link)
	h.tapOn("Start")
	h.tap("You", "Open, bleeding or blistered skin")
	h.tapOn("Continue")
	h.onStep("now")
	h.tapOn("Back")
	h.onStep("safety")
	h.tap("You", "Open, bleeding or blistered skin")
	h.tap("", "None of these")
	h.tapOn("Continue")
	h.onStep("what")
	h.steps(-2)
	h.lacks("Send now", "You told us")
}

// goesBackAfterSending sends a report and goes back over all of its pages.
func (h *thumb) goesBackAfterSending(link string) {
	h.t.Helper()
	h.visit(link)
	h.tapOn("Start")
	if at := h.address(); !strings.HasSuffix(at, "/safety") {
		h.t.Fatalf("at %s", at)
	}
	h.do("begin with nothing ticked", chromedp.Evaluate(`document.querySelectorAll(':checked').forEach(b => b.checked = false)`, nil))
	h.tap("You", "Open, bleeding or blistered skin")
	h.tapOn("Continue")
	h.onStep("now")
	h.tapOn("Tell us more first")
	h.onStep("what")
	h.tap("", "It rubs or hurts at one spot")
	h.tapOn("Continue")
	h.onStep("limb")
	h.open(h.page("text"))
	h.write("text", words)
	h.tapOn("Continue")
	h.onStep("check")
	h.tapOn("Send report")
	h.onStep("sent")
	for range 6 { // check, text, limb, what, now, safety
		h.steps(-1)
		h.lacks(words, "It rubs or hurts", "Open, bleeding", "Send now", "Send report")
		h.sees("Your report has been sent")
	}
}

// steps goes so many pages back, below 0, or forward in the browser's history, and
// waits until the page there stays as it is.
func (h *thumb) steps(n int64) {
	h.t.Helper()
	h.do("go in the history", chromedp.ActionFunc(func(ctx context.Context) error {
		at, entries, err := page.GetNavigationHistory().Do(ctx)
		if err != nil {
			return err
		}
		return page.NavigateToHistoryEntry(entries[at+n].ID).Do(ctx)
	}))
	time.Sleep(time.Second)
}
