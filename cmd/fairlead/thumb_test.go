package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// thumb is a person who holds a small phone in one hand. Its taps, the signs that
// it types and the pages that come are counted, so that the time a person needs
// can be worked out; nothing waits for it.
type thumb struct {
	*visitor
	taps, signs, pages int
}

// The pace of a thumb: to find a thing to tap and tap it, to type one sign on a
// phone's keyboard, to take in a page and wait for it. Common practice, no source.
const (
	perTap  = 1500 * time.Millisecond
	perSign = 400 * time.Millisecond
	perPage = 2 * time.Second
)

// leastTargetPX is the least height and width of whatever a thumb must hit.
const leastTargetPX = 44

// onPhone makes a visitor's window that of a small phone, with touch.
func (v *visitor) onPhone() *thumb {
	v.t.Helper()
	v.do("hold a phone", emulation.SetDeviceMetricsOverride(320, 568, 2, true), emulation.SetTouchEmulationEnabled(true))
	return &thumb{visitor: v}
}

// took is the time that a person needs for what was counted.
func (h *thumb) took() time.Duration {
	return time.Duration(h.taps)*perTap + time.Duration(h.signs)*perSign + time.Duration(h.pages)*perPage
}

// visit opens an address that was tapped elsewhere.
func (h *thumb) visit(path string) {
	h.t.Helper()
	h.open(path)
	h.pages++
}

// tap touches what bears a text, within the group of fields that a legend names
// where one is given. It fails where the text is not there, is too small to hit or
// lies under something else.
func (h *thumb) tap(group, says string) {
	h.t.Helper()
	h.do("tap "+says, h.touch(group, says))
}

// tapOn touches what leads to another page.
func (h *thumb) tapOn(says string) {
	h.t.Helper()
	h.pageAfter("tap "+says, h.touch("", says))
	h.pages++
}

func (h *thumb) touch(group, says string) chromedp.Action {
	h.t.Helper()
	h.taps++
	var at struct {
		Found, Covered      bool
		X, Y, Width, Height float64
	}
	h.do("find "+says, chromedp.Evaluate(fmt.Sprintf(`(() => {
		const text = e => e.textContent.trim().replace(/\s+/g, ' ');
		const group = %[1]q === '' ? document.body : [...document.querySelectorAll('fieldset')].findLast(f => text(f.querySelector('legend')) === %[1]q);
		const things = [...(group?.querySelectorAll('label, button, a[href], textarea, .body [data-area]') ?? [])].filter(e => e.getClientRects().length);
		const e = things.find(e => text(e) === %[2]q || e.name === %[2]q || e.dataset.area === %[2]q);
		if (!e) return {Found: false};
		e.scrollIntoView({block: 'center', behavior: 'instant'});
		const r = e.getBoundingClientRect(), X = r.x + r.width / 2, Y = r.y + r.height / 2;
		return {Found: true, Covered: !e.contains(document.elementFromPoint(X, Y)), X, Y, Width: r.width, Height: r.height};
	})()`, group, says), &at))
	switch {
	case !at.Found:
		h.t.Fatalf("%s: nothing to tap says %q in %q\n%s", h.address(), says, group, h.pageText())
	case at.Covered:
		h.t.Errorf("%s: something lies over %q", h.address(), says)
	case at.Width < leastTargetPX || at.Height < leastTargetPX:
		h.t.Errorf("%s: %q is %.0f × %.0f px, want %d or more each way", h.address(), says, at.Width, at.Height, leastTargetPX)
	}
	return chromedp.Tasks{
		input.DispatchTouchEvent(input.TouchStart, []*input.TouchPoint{{X: at.X, Y: at.Y}}),
		input.DispatchTouchEvent(input.TouchEnd, []*input.TouchPoint{}),
	}
}

// write types a text into the field of a name.
func (h *thumb) write(name, text string) {
	h.t.Helper()
	h.tap("", name)
	h.do("type into "+name, chromedp.KeyEvent(text))
	h.signs += len([]rune(text))
}

// onStep fails the test unless the browser is at a page of the client's form.
func (v *visitor) onStep(step string) {
	v.t.Helper()
	if at, _, _ := strings.Cut(v.address(), "?"); at != v.page(step) {
		v.t.Fatalf("at %s, want the page %s of a form\n%s", at, step, v.pageText())
	}
}

// page is the address of a page of the form that the browser is at.
func (v *visitor) page(step string) string {
	rest, _ := strings.CutPrefix(v.address(), "/report/")
	form, _, _ := strings.Cut(rest, "/")
	return "/report/" + form + "/" + step
}

// tabTo presses Tab until the focus is on what a selector names, and fails where
// the focus can't be seen there or never gets there.
func (v *visitor) tabTo(selector string) {
	v.t.Helper()
	for range 150 {
		v.press(kb.Tab)
		var on, seen bool
		v.do("look where the focus is", chromedp.Evaluate(fmt.Sprintf(`document.activeElement.matches(%q)`, selector), &on))
		if !on {
			continue
		}
		v.do("look at the focus", chromedp.Evaluate(`(() => {
			const drawn = e => e && getComputedStyle(e).outlineStyle !== 'none' && parseFloat(getComputedStyle(e).outlineWidth) >= 2;
			const e = document.activeElement, box = e.getBoundingClientRect();
			const over = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
			return (drawn(e) || drawn(e.closest('label'))) && Boolean(over) && (e.contains(over) || over.contains(e));
		})()`, &seen))
		if !seen {
			v.t.Errorf("%s: the focus on %s can't be seen", v.address(), selector)
		}
		return
	}
	v.t.Fatalf("%s: Tab does not get to %s\n%s", v.address(), selector, v.pageText())
}
