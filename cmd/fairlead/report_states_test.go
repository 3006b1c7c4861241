package main

import (
	"strings"

	"github.com/chromedp/chromedp"
)

// looksAtForm holds every page of the client's form against the rules, empty, with
// a mistake and filled in, by a link of a client of two limbs.
func (v *visitor) looksAtForm(axe, link string) {
	v.t.Helper()
	v.open(link)
	v.everyScreen(axe, "form-start")
	v.submit("Start")
	v.looksAtSafety(axe)
	for _, step := range []struct {
		name, field, value string
	}{
		{"what", "what.rub", "yes"}, {"limb", "limb", "0"}, {"where", "area.calf.posterior", "yes"}, {"since", "since", "week"}, {"bother", "bother", "6"},
		{"wearing", "wearing", "less"}, {"comfort", "looseness", "-2"}, {"skin", "skin.rub-mark", "yes"},
	} {
		v.onStep(step.name)
		v.fitsLargeText()
		v.everyScreen(axe, "form-"+step.name)
		v.choose(step.field, step.value)
		v.submit("Continue")
		after := v.address()
		v.open(v.page(step.name))
		v.everyScreen(axe, "form-"+step.name+"-filled")
		v.open(after)
	}
	v.onStep("text")
	v.fitsLargeText()
	v.everyScreen(axe, "form-text")
	v.do("write too much", chromedp.Evaluate(`document.querySelector('textarea').value = 'rubs behind '.repeat(900)`, nil))
	v.submit("Continue")
	v.sees("another look")
	v.everyScreen(axe, "form-text-wrong")
	v.do("write markup, faces and another direction", chromedp.Evaluate(`document.querySelector('textarea').value = '<b>It</b> rubs 🦿 & clicks. '
		+ '\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 ' + 'long'.repeat(60)`, nil))
	v.submit("Continue")
	v.onStep("check")
	v.sees("<b>It</b> rubs 🦿 & clicks.")
	v.fitsLargeText()
	v.everyScreen(axe, "form-check")
	v.submit("Send report")
	v.fitsLargeText()
	v.everyScreen(axe, "form-sent")
	v.open(v.page("check"))
	v.everyScreen(axe, "form-after")
	v.open("/r/" + strings.Repeat("x", 43))
	v.sees("This link does not work")
	v.everyScreen(axe, "form-dead")
}

// looksAtSafety looks at the first question and at what follows from its answers,
// most urgent first.
func (v *visitor) looksAtSafety(axe string) {
	v.t.Helper()
	v.onStep("safety")
	v.fitsLargeText()
	v.everyScreen(axe, "form-safety")
	v.submit("Continue")
	v.sees("another look")
	v.everyScreen(axe, "form-safety-wrong")
	for _, sign := range []string{"breathless", "broken", "open-skin"} {
		v.open(v.page("safety"))
		v.do("tick one sign alone", chromedp.Evaluate(`document.querySelectorAll('[type=checkbox]').forEach(b => b.checked = b.name === 'safety.`+sign+`')`, nil))
		v.submit("Continue")
		v.onStep("now")
		v.everyScreen(axe, "form-now-"+sign)
	}
	v.submit("Tell us more first")
}

// fitsLargeText fails the test where the page, with text of twice the size on a phone,
// scrolls sideways.
func (v *visitor) fitsLargeText() {
	v.t.Helper()
	v.look(screen{360, "light"})
	var wider int64
	v.do("make the text large", chromedp.Evaluate(`(() => {
		const root = document.documentElement;
		root.style.fontSize = '200%';
		const wider = root.scrollWidth - root.clientWidth;
		root.style.fontSize = '';
		return wider;
	})()`, &wider))
	if wider > 0 {
		v.t.Errorf("%s with text of twice the size scrolls sideways by %d px", v.address(), wider)
	}
}
