package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/chromedp"
)

// back goes to the page before, and forward to the one after, as the browser's own
// buttons do.
func (v *visitor) back()    { v.t.Helper(); v.inHistory("back") }
func (v *visitor) forward() { v.t.Helper(); v.inHistory("forward") }

// inHistory waits for the page that the browser fetches again: where it had kept it
// whole the page asks for itself again.
func (v *visitor) inHistory(way string) {
	v.t.Helper()
	v.pageAfter("go "+way, chromedp.Evaluate(`setTimeout(() => history.`+way+`())`, nil))
}

// comesTo waits until a page shows a text.
func (v *visitor) comesTo(text string) {
	v.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); !strings.Contains(v.pageText(), text); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			v.t.Fatalf("%s does not come to show %q\n%s", v.address(), text, v.pageText())
		}
	}
}

// followTo follows the link to an address of the program.
func (v *visitor) followTo(path string) {
	v.t.Helper()
	var found bool
	v.pageAfter("follow the link to "+path, chromedp.Evaluate(fmt.Sprintf(`(() => {
		const a = document.querySelector('a[href=%q]');
		if (a) setTimeout(() => a.click());
		return Boolean(a);
	})()`, path), &found))
	if !found {
		v.t.Fatalf("%s: no link leads to %s\n%s", v.address(), path, v.pageText())
	}
}

// begins starts a report by a link and gets past the safety page.
func (v *visitor) begins(link string) {
	v.t.Helper()
	v.open(link)
	v.submit("Start")
	v.onStep("safety")
	v.choose("safety.none", "yes")
	v.submit("Continue")
	v.onStep("what")
}

// goesBackAndForth answers with the browser's own buttons between; nothing is lost,
// and what was sent can't be sent again.
func (v *visitor) goesBackAndForth(link string) {
	v.t.Helper()
	v.begins(link)
	v.choose("what.tight", "yes")
	v.submit("Continue")
	v.choose("limb", "1")
	v.submit("Continue")
	v.onStep("where")
	v.back()
	v.back()
	v.onStep("what")
	v.choose("what.noise", "yes")
	v.submit("Continue")
	v.onStep("limb")
	v.open(v.page("text"))
	v.fill("text", words)
	v.submit("Continue")
	v.onStep("check")
	v.sees("It feels tight", "It makes a noise", "Right leg", words)
	v.back()
	v.onStep("text")
	v.back()
	v.back()
	v.forward()
	v.forward()
	v.forward()
	v.onStep("check")

	// a page changed from the check page leads back there
	v.followTo(v.page("since?from=check"))
	v.choose("since", "weeks")
	v.submit("Continue")
	v.onStep("check")
	v.sees("For a few weeks")

	v.submit("Send report")
	v.onStep("sent")
	number := v.number()
	v.do("reload", chromedp.Reload())
	if again := v.number(); again != number {
		v.t.Errorf("reloaded, the report has the number %s, and %s before", again, number)
	}
	v.back()
	v.sees("Your report has been sent")
	v.followTo(v.page("sent"))
	if again := v.number(); again != number {
		v.t.Errorf("come back to, the report has the number %s, and %s before", again, number)
	}
	v.staysHome()
}

// typesInTwoWindows types one report in two windows of a browser; it is one report,
// with what was typed in both, and either shows its number.
func (v *visitor) typesInTwoWindows(link string) {
	v.t.Helper()
	v.begins(link)
	v.choose("what.rub", "yes")
	v.submit("Continue")
	other := v.tab()
	other.open(v.page("text"))
	other.fill("text", words)
	other.submit("Continue")
	other.onStep("check")
	v.open(v.page("check"))
	v.sees("It rubs or hurts at one spot", words)
	v.submit("Send report")
	number := v.number()
	other.submit("Send report")
	if again := other.number(); again != number {
		v.t.Errorf("the second window sent report %s beside report %s", again, number)
	}
	other.open(other.page("what"))
	other.sees("Your report has been sent")
	other.staysHome()
	v.staysHome()
}

// leavesTheForm follows an address elsewhere from the form's pages; nobody there is
// told from where. That a browser does tell it, where a page lets it, is seen by the
// way on from there.
func (v *visitor) leavesTheForm(link string) {
	v.t.Helper()
	var mu sync.Mutex
	told := map[string]string{}
	elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		told[r.URL.Path] = r.Referer()
		mu.Unlock()
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(`<!doctype html><title>Elsewhere</title><a href="/further">Further</a>`))
	}))
	v.t.Cleanup(elsewhere.Close)
	away := func(path string) {
		v.t.Helper()
		v.pageAfter("leave for "+path, chromedp.Evaluate(`(() => {
			const a = document.body.appendChild(document.createElement('a'));
			a.href = '`+elsewhere.URL+`'+'`+path+`';
			setTimeout(() => a.click());
		})()`, nil))
	}
	v.open(link)
	away("/from-start")
	v.begins(link)
	away("/from-form")
	v.pageAfter("go further", chromedp.Click(`a`, chromedp.ByQuery))
	mu.Lock()
	defer mu.Unlock()
	for _, path := range []string{"/from-start", "/from-form"} {
		if from, ok := told[path]; !ok || from != "" {
			v.t.Errorf("%s was reached: %v; it was told %q", path, ok, from)
		}
	}
	if told["/further"] == "" {
		v.t.Error("this browser never tells where a request comes from, so nothing was seen")
	}
	v.open(link)
}
