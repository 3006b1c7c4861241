package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os/exec"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// policy is the strictest that the server sends.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// bench serves one page with a check-in on it and keeps what its draft sends.
type bench struct {
	*httptest.Server
	mu      sync.Mutex
	drafts  []url.Values
	sent    []url.Values
	version int
	answer  int // instead of 200, when not 0
}

func newBench(t *testing.T, body string) *bench {
	t.Helper()
	r := onePage(t, body)
	b := &bench{version: 1}
	mux := http.NewServeMux()
	mux.Handle("GET "+StaticPath, Static())
	mux.HandleFunc("GET /", func(w http.ResponseWriter, _ *http.Request) {
		html, err := r.Render("test", "en", struct {
			testPage
			First, Second testTable
		}{testPage{Lang: "en", Title: "Check-in"}, firstPass, secondPass})
		if err != nil {
			t.Error(err)
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(html)
	})
	mux.HandleFunc("POST /draft", func(w http.ResponseWriter, r *http.Request) {
		b.mu.Lock()
		defer b.mu.Unlock()
		if err := r.ParseForm(); err != nil {
			t.Error(err)
		}
		b.drafts = append(b.drafts, r.PostForm)
		switch {
		case b.answer != 0:
			w.WriteHeader(b.answer)
			fmt.Fprint(w, `{"version": 7, "shown": "for now", "mine": "for mine"}`)
		case r.PostForm.Get("version") != strconv.Itoa(b.version):
			t.Errorf("draft came with version %s, want %d", r.PostForm.Get("version"), b.version)
		default:
			b.version++
			fmt.Fprintf(w, `{"version": %d, "saved": "10:42", "shown": "at version %[1]d"}`, b.version)
		}
	})
	mux.HandleFunc("POST /checkin", func(w http.ResponseWriter, r *http.Request) {
		b.mu.Lock()
		defer b.mu.Unlock()
		if err := r.ParseForm(); err != nil {
			t.Error(err)
		}
		b.sent = append(b.sent, r.PostForm)
		w.WriteHeader(http.StatusNoContent)
	})
	b.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		mux.ServeHTTP(w, r)
	}))
	t.Cleanup(b.Close)
	return b
}

func (b *bench) lastDraft() url.Values {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.drafts) == 0 {
		return nil
	}
	return b.drafts[len(b.drafts)-1]
}

func (b *bench) draftsSent() []url.Values {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.drafts)
}

func (b *bench) formsSent() []url.Values {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.sent
}

func (b *bench) answerWith(status int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.answer = status
}

// The tables of two passes down three levels. The second knows what was typed
// into the first, as it does on a page of its own.
var (
	firstPass = testTable{Title: "Residual limb", Pass: 1, PassName: "first pass", Rows: []testRow{
		{Name: "limb.0", Label: "0 cm", LastMM: "338.0"},
		{Name: "limb.3", Label: "3 cm", LastMM: "344.0"},
		{Name: "limb.6", Label: "6 cm"},
	}}
	secondPass = testTable{Title: "Residual limb", Pass: 2, Blind: true, PassName: "second pass", Third: true, Rows: []testRow{
		{Name: "limb.0", Label: "0 cm", First: "33,4", FirstValue: "33,4", Last: "33.8", LastMM: "338.0"},
		{Name: "limb.3", Label: "3 cm", First: "30.0", FirstValue: "30.0", Last: "34.4", LastMM: "344.0"},
		{Name: "limb.6", Label: "6 cm", First: "32.1", FirstValue: "32.1"},
	}}
)

// browser starts Chromium and fails the test on anything that a page's console
// reports: a refused style, a script error, a missing file.
func browser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal("these tests need Chromium: make test installs it")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.WindowSize(1280, 900), chromedp.Flag("disable-dev-shm-usage", true))
	ctx, cancel := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, time.Minute)
	t.Cleanup(cancel)
	chromedp.ListenTarget(ctx, func(event any) {
		switch e := event.(type) {
		case *runtime.EventExceptionThrown:
			t.Errorf("script error: %v", e.ExceptionDetails)
		case *runtime.EventConsoleAPICalled:
			t.Errorf("console: %s", e.Args[0].Value)
		case *page.EventJavascriptDialogOpening:
			// Leaving with something not kept asks first; here it leaves.
			go func() { _ = chromedp.Run(ctx, page.HandleJavaScriptDialog(true)) }()
		}
	})
	return ctx
}

const benchPage = `{{template "page" .}}
{{define "scripts"}}<script type="module" src="{{asset "checkin.js"}}"></script>{{end}}
{{define "main"}}<form class="checkin" method="post" action="/checkin" data-draft="/draft" novalidate>
<input type="hidden" name="version" value="1"><input type="hidden" name="shown" value="at first">
{{template "draft-state" (dict "Saved" "" "Look" "/")}}
{{template "clock" (dict "ID" "clock" "Zone" "Europe/Berlin" "OffName" "off" "FirstName" "first" "Problems" nil)}}
{{template "girth-rows" (dict "Part" .First "Unit" "cm" "ClockID" "clock" "Problems" nil)}}
{{template "girth-rows" (dict "Part" .Second "Unit" "cm" "Problems" nil)}}
{{template "textarea" (dict "Name" "notes" "Label" "Notes" "Problems" nil)}}
<button class="btn" type="submit">Save</button></form>
{{template "checkin-words"}}{{end}}`

// until waits for a JavaScript expression to become true.
func until(expression string) chromedp.Action {
	return chromedp.Poll(expression, nil, chromedp.WithPollingTimeout(8*time.Second), chromedp.WithPollingInterval(50*time.Millisecond))
}

// value and focus are what a field holds, and the name of the one in focus.
func value(name string) string {
	return fmt.Sprintf(`document.getElementsByName(%q)[0].value`, name)
}

func hidden(selector string) string {
	return fmt.Sprintf(`!document.querySelector(%q).checkVisibility()`, selector)
}

func TestCheckinByKeyboard(t *testing.T) {
	b := newBench(t, benchPage)
	ctx := browser(t)
	type step struct {
		name string
		do   chromedp.Action
		want string // an expression that becomes true
	}
	keys := func(s string) chromedp.Action { return chromedp.KeyEvent(s) }
	focus := func(name string) chromedp.Action { return chromedp.Focus(`[name="` + name + `"]`) }
	steps := []step{
		{"last time is hidden at first", chromedp.Navigate(b.URL), hidden(`[data-last]`)},
		{"so is the third field", chromedp.Sleep(0), hidden(`[name="limb.0.3"]`)},
		{"the clock's button stamps the time", chromedp.Click(`[data-clock-now]`), `/^\d\d:\d\d$/.test(` + value("off") + `)`},
		{"and shows the minutes", chromedp.Sleep(0), `document.querySelector("[data-clock-shown]").textContent === "off for 0 min"`},
		{"a first reading stamps its own", chromedp.Tasks{focus("limb.0.1"), keys("33,4")}, `/^\d\d:\d\d$/.test(` + value("first") + `)`},
		{"Enter goes down the limb", keys(kb.Enter), `document.activeElement.name === "limb.3.1"`},
		{"Tab too", chromedp.Tasks{keys("33.7"), keys(kb.Tab)}, `document.activeElement.name === "limb.6.1"`},
		{"nothing leads the hand yet", chromedp.Sleep(0), hidden(`[data-last]`)},
		{"a forgotten point is asked about", chromedp.Tasks{keys("321"), keys(kb.Enter)}, `document.body.innerText.includes("321 cm? Did you mean 32.1 cm?")`},
		{"Enter goes on to the second pass", chromedp.Sleep(0), `document.activeElement.name === "limb.0.2"`},
		{"the first pass is covered", chromedp.Sleep(0), `document.querySelectorAll(".covered").length === 3 && !document.querySelector(".covered > span").checkVisibility({visibilityProperty: true})`},
		{"Ctrl+Z takes the typing error back", chromedp.KeyEvent("z", chromedp.KeyModifiers(2)), value("limb.6.1") + ` === "" && document.activeElement.name === "limb.6.1"`},
		{"it is typed again", chromedp.Tasks{keys("32.1"), keys(kb.Enter)}, `document.activeElement.name === "limb.0.2"`},
		{"a pair in agreement", chromedp.Tasks{keys("33.5"), keys(kb.Enter)}, `document.querySelector("[data-last]").checkVisibility() && document.querySelectorAll(".covered").length === 2`},
		{"a change of more than 8 % is asked about", chromedp.Tasks{keys("30.1"), keys(kb.Enter)}, `document.body.innerText.includes("More than 8 % from last time")`},
		{"a pair apart opens the third field", chromedp.Tasks{keys("31.2"), keys(kb.Enter)}, `document.querySelector('[name="limb.6.3"]').checkVisibility() && document.body.innerText.includes("0.9 cm apart: once more")`},
		{"and Enter goes there", chromedp.Sleep(0), `document.activeElement.name === "limb.6.3"`},
		{"Shift+Enter goes back", chromedp.KeyEvent(kb.Enter, chromedp.KeyModifiers(8)), `document.activeElement.name === "limb.6.2"`},
		{"arrows move by 1 mm", keys(kb.ArrowUp + kb.ArrowUp), value("limb.6.2") + ` === "31.4"`},
		{"so does the button", chromedp.Click(`[data-step="-1"]`), value("limb.6.2") + ` === "31.3"`},
		{"the third reading settles it", chromedp.Tasks{focus("limb.6.3"), keys("31.9"), keys(kb.Enter)}, `document.body.innerText.includes("the middle one of three counts")`},
		{"Enter leaves the table", chromedp.Sleep(0), `document.activeElement.name === "notes"`},
		{"the draft is kept", chromedp.Sleep(0), `document.querySelector("[data-draft-saved]").textContent === "Saved 10:42"`},
	}
	for _, s := range steps {
		if err := chromedp.Run(ctx, s.do, until(s.want)); err != nil {
			var at string
			_ = chromedp.Run(ctx, chromedp.Evaluate(`document.activeElement.name + "\n" + document.body.innerText`, &at))
			t.Fatalf("%s: %v\nat %s", s.name, err, at)
		}
	}
	deadline := time.Now().Add(5 * time.Second)
	for b.lastDraft().Get("limb.6.3") != "31.9" && time.Now().Before(deadline) {
		time.Sleep(50 * time.Millisecond)
	}
	if got := b.lastDraft(); got.Get("limb.6.3") != "31.9" || got.Get("limb.0.1") != "33,4" {
		t.Errorf("the draft holds %v", got)
	}
	drafts := b.draftsSent()
	if first := drafts[0].Get("shown"); first != "at first" {
		t.Errorf("the first draft was sent with %q shown", first)
	}
	for _, d := range drafts[1:] {
		if got, want := d.Get("shown"), "at version "+d.Get("version"); got != want {
			t.Errorf("a draft was sent with %q shown, want %q", got, want)
		}
	}
	if n := len(b.formsSent()); n != 0 {
		t.Errorf("Enter has sent the form %d times", n)
	}
	if err := chromedp.Run(ctx, chromedp.Click(`button[type=submit]`), chromedp.Sleep(300*time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	if sent := b.formsSent(); len(sent) != 1 || sent[0].Get("limb.6.3") != "31.9" {
		t.Errorf("the form was sent as %v", sent)
	}
}

func TestDraftThatCannotBeKept(t *testing.T) {
	b := newBench(t, benchPage)
	ctx := browser(t)
	tests := []struct {
		name   string
		answer int
		bar    string
		shown  string // by the page from then on
	}{
		{"signed out", http.StatusUnauthorized, "data-draft-signed-out", "at first"},
		{"server trouble", http.StatusBadGateway, "data-draft-offline", ""},
		{"another window", http.StatusConflict, "data-draft-conflict", "for now"},
	}
	for _, tt := range tests {
		b.answerWith(tt.answer)
		err := chromedp.Run(ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(b.URL), chromedp.Focus(`[name="notes"]`), chromedp.KeyEvent("x"),
			until(`document.querySelector("[`+tt.bar+`]").checkVisibility() && document.querySelector("[data-draft-saved]").textContent === "Not saved yet"`))
		if err != nil {
			t.Fatalf("%s: %v", tt.name, err)
		}
		if err := chromedp.Run(ctx, until(value("notes")+` === "x"`)); err != nil {
			t.Fatalf("%s: what was typed is gone: %v", tt.name, err)
		}
		if err := chromedp.Run(ctx, until(fmt.Sprintf(`%s === %q`, value("shown"), tt.shown))); err != nil {
			t.Errorf("%s: the page does not tell that it showed %q: %v", tt.name, tt.shown, err)
		}
		if tt.answer != http.StatusConflict {
			continue
		}
		b.answerWith(0)
		b.mu.Lock()
		b.version = 7 // the other window's
		b.mu.Unlock()
		err = chromedp.Run(ctx, chromedp.Click(`[data-draft-keep-mine]`), until(`document.querySelector("[data-draft-saved]").textContent === "Saved 10:42"`))
		if err != nil {
			t.Fatalf("keep mine: %v", err)
		}
		if got := b.lastDraft().Get("version"); got != "7" {
			t.Errorf("mine was kept over version %s, want 7", got)
		}
		if got := b.lastDraft().Get("shown"); got != "for mine" {
			t.Errorf("mine was kept with %q shown", got)
		}
	}
}

const chartPage = `{{template "page" .}}
{{define "scripts"}}<script src="{{asset "vendor/echarts/echarts-6.1.0.min.js"}}" defer></script>
<script type="module" src="{{asset "charts.js"}}"></script>{{end}}
{{define "main"}}<script type="application/json" id="o">{"useUTC": true, "tooltip": {"trigger": "item", "formatter": "{b}"}, "xAxis": [{"type": "time"}], "yAxis": [{"type": "value"}],
"textStyle": {"fontFamily": "--sans", "color": "--ink"},
"series": [{"type": "scatter", "itemStyle": {"color": "--accent"}, "data": [{"name": "2 Mar\n−2.1 %", "value": [1772409600000, -2.1]}, {"name": "1 Jan\n0 %", "value": [1767225600000, 0]}]},
{"type": "scatter", "data": [{"name": "2 Mar\n81 kg", "value": [1772409600000, 1]}, {"value": [1772409600000, 2]}]},
{"type": "scatter", "label": {"show": true}, "data": [{"name": "never told", "value": [1772409600000, 1]}]}]}</script>
<div class="chart" data-option="o" data-description="Two visits" data-height="300"></div>{{end}}`

func TestChart(t *testing.T) {
	b := newBench(t, chartPage)
	ctx := browser(t)
	said := `document.querySelector("[aria-live]").textContent`
	err := chromedp.Run(ctx, chromedp.Navigate(b.URL), until(`document.querySelectorAll('.chart svg path[fill="#23507a"]').length === 2`),
		until(`document.querySelector(".chart").getAttribute("aria-label") === "Two visits" && document.querySelector(".chart svg").clientHeight === 300`))
	if err != nil {
		t.Fatal("drawn in the page's own colours and size: ", err)
	}
	walk := []struct{ key, want string }{
		{kb.ArrowRight, "1 Jan, 0 %"},
		{kb.ArrowRight, "2 Mar, −2.1 %, 81 kg"},
		{kb.ArrowRight, "2 Mar, −2.1 %, 81 kg"},
		{kb.Home, "1 Jan, 0 %"},
		{kb.Escape, ""},
		{kb.ArrowLeft, "2 Mar, −2.1 %, 81 kg"},
	}
	if err := chromedp.Run(ctx, chromedp.Focus(".chart")); err != nil {
		t.Fatal(err)
	}
	for _, w := range walk {
		if err := chromedp.Run(ctx, chromedp.KeyEvent(w.key), until(said+` === "`+w.want+`"`)); err != nil {
			var got string
			_ = chromedp.Run(ctx, chromedp.Evaluate(said, &got))
			t.Fatalf("after %q it says %q, want %q: %v", w.key, got, w.want, err)
		}
	}
}
