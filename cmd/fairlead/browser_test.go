package main

import (
	"context"
	"fmt"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// visitor is a person at a real browser. It notes every request that leaves the
// program's own address and everything that the browser complains about.
type visitor struct {
	t       *testing.T
	ctx     context.Context
	base    string
	profile cdp.BrowserContextID // "" is the browser's own

	mu         sync.Mutex
	foreign    []string // requests to elsewhere
	tells      []string // requests that say which page they come from
	complaints []string // policy violations and script errors
}

// newVisitor starts a browser with an empty profile. Chromium is installed by
// make test; without it the test fails, because a path that nobody walked is
// not a path that works.
func newVisitor(t *testing.T, base string) *visitor {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-dev-shm-usage", true), chromedp.Flag("disable-quic", true),
		chromedp.Flag("lang", "en"))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(cancel)
	return sitDownAt(ctx, t, base)
}

func sitDownAt(ctx context.Context, t *testing.T, base string) *visitor {
	t.Helper()
	v := &visitor{t: t, ctx: ctx, base: base}
	chromedp.ListenTarget(ctx, v.notice)
	// The first run starts the browser and binds its life to the context, which
	// must therefore be that of the whole test.
	if err := chromedp.Run(ctx, network.Enable(), cdplog.Enable(), runtime.Enable()); err != nil {
		t.Fatalf("start Chromium (make test installs it): %v", err)
	}
	return v
}

// somebodyElse is another person at the same browser, who shares nothing with this
// one but the program.
func (v *visitor) somebodyElse() *visitor {
	v.t.Helper()
	var profile cdp.BrowserContextID
	err := v.inBrowser(func(ctx context.Context) (err error) {
		profile, err = target.CreateBrowserContext().WithDisposeOnDetach(true).Do(ctx)
		return err
	})
	if err != nil {
		v.t.Fatal(err)
	}
	return v.window(profile)
}

// tab is another window of the same person.
func (v *visitor) tab() *visitor {
	v.t.Helper()
	return v.window(v.profile)
}

func (v *visitor) window(profile cdp.BrowserContextID) *visitor {
	v.t.Helper()
	var id target.ID
	err := v.inBrowser(func(ctx context.Context) (err error) {
		id, err = target.CreateTarget("about:blank").WithBrowserContextID(profile).WithNewWindow(true).Do(ctx)
		return err
	})
	if err != nil {
		v.t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(v.ctx, chromedp.WithTargetID(id))
	v.t.Cleanup(cancel)
	other := sitDownAt(ctx, v.t, v.base)
	other.profile = profile
	return other
}

// inBrowser does something with the browser as a whole.
func (v *visitor) inBrowser(do func(context.Context) error) error {
	return do(cdp.WithExecutor(v.ctx, chromedp.FromContext(v.ctx).Browser))
}

func (v *visitor) notice(event any) {
	v.mu.Lock()
	defer v.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		u, err := url.Parse(e.Request.URL)
		if err != nil || u.Scheme != "data" && v.base != u.Scheme+"://"+u.Host {
			v.foreign = append(v.foreign, e.Request.URL)
		}
		v.noticeReferrer(e.Request.URL, e.Request.Headers)
	case *network.EventRequestWillBeSentExtraInfo:
		v.noticeReferrer("a request", e.Headers)
	case *cdplog.EventEntryAdded:
		// A form that comes back with its problems is a 422, which the browser
		// logs as a failed load though nothing is wrong with the page.
		// The first level of a bench page asks for the focus; where the list of
		// problems has it already, the browser remarks on that.
		if e.Entry.Level != cdplog.LevelVerbose && e.Entry.Level != cdplog.LevelInfo &&
			!strings.Contains(e.Entry.Text, "the server responded with a status of 4") {
			v.complaints = append(v.complaints, e.Entry.Text+" "+e.Entry.URL)
		}
	case *runtime.EventExceptionThrown:
		v.complaints = append(v.complaints, e.ExceptionDetails.Error())
	}
}

func (v *visitor) noticeReferrer(what string, headers network.Headers) {
	for name, value := range headers {
		if strings.EqualFold(name, "Referer") && value != "" {
			v.tells = append(v.tells, fmt.Sprintf("%s tells that it comes from %v", what, value))
		}
	}
}

// do runs steps in the browser; a step that can't be done ends the test with
// what was being tried and a picture of the page.
func (v *visitor) do(what string, steps ...chromedp.Action) {
	v.t.Helper()
	ctx, cancel := context.WithTimeout(v.ctx, 20*time.Second)
	defer cancel()
	if err := chromedp.Run(ctx, steps...); err != nil {
		v.t.Fatalf("%s: %v\nat %s\n%s", what, err, v.address(), v.pageText())
	}
}

// open goes to a path of the program.
func (v *visitor) open(path string) {
	v.t.Helper()
	v.do("open "+path, chromedp.Navigate(v.base+path), chromedp.WaitReady("body"))
}

// signIn signs a person in.
func (v *visitor) signIn(name, password string) {
	v.t.Helper()
	v.open("/sign-in")
	v.fill("name", name)
	v.fill("password", password)
	v.submit("")
}

// fill types into the field of a name, in place of what is there.
func (v *visitor) fill(name, text string) {
	v.t.Helper()
	field := fmt.Sprintf(`[name=%q]`, name)
	v.do("fill "+name, chromedp.Focus(field, chromedp.ByQuery), chromedp.Evaluate(fmt.Sprintf(`document.querySelector(%q).select?.()`, field), nil),
		chromedp.KeyEvent(text))
}

// choose picks a value of a select, a radio or a box to tick.
func (v *visitor) choose(name, value string) {
	v.t.Helper()
	var found bool
	v.do("choose "+name+" "+value, chromedp.Evaluate(fmt.Sprintf(`(() => {
		const select = document.querySelector('select[name=%[1]q]');
		if (select) { select.value = %[2]q; select.dispatchEvent(new Event('change', {bubbles: true})); return select.value === %[2]q; }
		const box = [...document.querySelectorAll('input[name=%[1]q]')].find(b => b.value === %[2]q);
		if (box && !box.checked) box.click();
		return Boolean(box);
	})()`, name, value), &found))
	if !found {
		v.t.Fatalf("%s: nothing offers %q for %s\n%s", v.address(), value, name, v.pageText())
	}
}

// submit presses the main button of a form, or the one that says a text, and waits for the next page.
func (v *visitor) submit(says string) {
	v.t.Helper()
	var found bool
	v.pageAfter("press "+says, chromedp.Evaluate(fmt.Sprintf(`(() => {
		const buttons = [...document.querySelectorAll('main button, main a.btn')].filter(b => b.offsetParent && b.tabIndex >= 0);
		const b = buttons.find(b => %[1]q === '' ? b.matches('.btn:not(.plain):not([type=button])') : b.textContent.trim().startsWith(%[1]q));
		if (b) setTimeout(() => b.click());
		return Boolean(b);
	})()`, says), &found))
	if !found {
		v.t.Fatalf("%s: no button says %q\n%s", v.address(), says, v.pageText())
	}
}

// press presses one key where the focus is.
func (v *visitor) press(key string) {
	v.t.Helper()
	v.do("press a key", chromedp.KeyEvent(key))
}

// enter presses Enter where it leads to another page.
func (v *visitor) enter() {
	v.t.Helper()
	v.pageAfter("press Enter", chromedp.KeyEvent(kb.Enter))
}

// pageAfter does something that leads to another page and waits until that page
// is there.
func (v *visitor) pageAfter(what string, act chromedp.Action) {
	v.t.Helper()
	loaded := make(chan struct{}, 1)
	ctx, cancel := context.WithCancel(v.ctx)
	defer cancel()
	chromedp.ListenTarget(ctx, func(event any) {
		if _, there := event.(*page.EventLoadEventFired); there {
			select {
			case loaded <- struct{}{}:
			default:
			}
		}
	})
	v.do(what, act)
	select {
	case <-loaded:
	case <-time.After(20 * time.Second):
		v.t.Fatalf("%s: no other page came\nat %s\n%s", what, v.address(), v.pageText())
	}
}

// plainSpaces makes the spaces that keep a figure and its unit together plain ones.
var plainSpaces = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

// sees fails the test unless the page shows all the texts.
func (v *visitor) sees(texts ...string) {
	v.t.Helper()
	shown := v.pageText()
	for _, text := range texts {
		if !strings.Contains(plainSpaces.Replace(shown), plainSpaces.Replace(text)) {
			v.t.Errorf("%s does not show %q\n%s", v.address(), text, shown)
		}
	}
}

func (v *visitor) pageText() string {
	var text string
	if err := chromedp.Run(v.ctx, chromedp.Evaluate(`document.body.innerText`, &text)); err != nil {
		return err.Error()
	}
	return text
}

func (v *visitor) address() string {
	var at string
	if err := chromedp.Run(v.ctx, chromedp.Location(&at)); err != nil {
		return err.Error()
	}
	return strings.TrimPrefix(at, v.base)
}

// links lists the addresses of this program that the page leads to.
func (v *visitor) links() []string {
	v.t.Helper()
	var links []string
	v.do("read the links", chromedp.Evaluate(`[...document.querySelectorAll('a[href]')].map(a => a.href)`, &links))
	var own []string
	for _, l := range links {
		if path, ok := strings.CutPrefix(l, v.base); ok {
			path, _, _ = strings.Cut(path, "#")
			own = append(own, path)
		}
	}
	return own
}

// staysHome fails the test if anything went elsewhere or the browser complained.
func (v *visitor) staysHome() {
	v.t.Helper()
	v.mu.Lock()
	defer v.mu.Unlock()
	for _, address := range v.foreign {
		v.t.Errorf("a request left the program: %s", address)
	}
	for _, told := range v.tells {
		v.t.Error(told)
	}
	for _, c := range v.complaints {
		v.t.Errorf("the browser complained: %s", c)
	}
}
