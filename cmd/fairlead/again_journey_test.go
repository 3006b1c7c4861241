package main

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestMeasuresAgainNow measures a first visit twice in a real browser: the question,
// the second round by keyboard only with the first one covered, and what both come to.
// The pages are for everybody.
func TestMeasuresAgainNow(t *testing.T) {
	p := start(t, "serve", "--data", t.TempDir(), "--addr", "127.0.0.1:0")
	base, path := splitAddress(t, p.says(ownersLink))
	axe := axeSource(t)
	v := newVisitor(t, base)
	v.look(screen{1280, "light"})
	v.open(path)
	v.becomeOwner()
	client := v.makeClient()
	first, second := cone(12, 42, 1.4), cone(12, 41.7, 1.4)

	v.typesOneRound(client, "delivery", first)
	v.at("measure-again")
	v.sees("one slip should not stand as the beginning", "client gone")
	v.everyScreen(axe, "measure-again")
	v.submit("") // measure again now
	v.at("second-1")
	v.everyScreen(axe, "measure-again-second-1")
	v.look(screen{1280, "light"})
	v.open(v.address())
	if covered := v.covered(); covered != 12 {
		t.Errorf("%d levels of the first round are covered, want 12", covered)
	}
	v.onFirstGirth()
	v.typeDown(second[:1])
	v.press(kb.Enter)
	if covered := v.covered(); covered != 11 {
		t.Errorf("%d levels are covered after one was read, want 11", covered)
	}
	if asked := v.asks(); asked != "" {
		t.Errorf("a reading of another round is taken for the other of a pair: %q", asked)
	}
	v.typeDown(second[1:])
	v.enter()
	v.typePass("second", 2, second)
	v.next("again")
	v.at("result")
	v.sees("Measured twice:", "Round 2 differs by", "round 2, first pass")
	v.everyScreen(axe, "measure-again-result")
	v.choose("left_empty", "time")
	v.submit("Save")
	v.sees("Measured twice:", "Round 2 counts", "round 2, second pass")
	v.everyScreen(axe, "measure-again-saved")
	v.staysHome()
	p.ends()
}

// covered counts the levels of which earlier readings are hidden.
func (v *visitor) covered() int {
	v.t.Helper()
	var n int
	v.do("count what is covered", chromedp.Evaluate(`document.querySelectorAll('[data-level] .before.covered').length`, &n))
	return n
}

// asks is what the soft check asks about the first level.
func (v *visitor) asks() string {
	v.t.Helper()
	var text string
	v.do("read the soft check", chromedp.Evaluate(`document.querySelector('[data-say]').textContent`, &text))
	return strings.TrimSpace(text)
}
