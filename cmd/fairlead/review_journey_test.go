package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestProsthetistReviews walks the prosthetist's path through the demonstration:
// from the list in order of need to a signed review, with a limit set; a page that
// went stale; and another review by keyboard only.
func TestProsthetistReviews(t *testing.T) {
	h := openHouse(t)
	axe := axeSource(t)
	v := h.comes("prosthetist")
	t.Run("list", func(t *testing.T) { v.t = t; v.seesWhoNeedsIt() })
	t.Run("review", func(t *testing.T) { v.t = t; v.reviewsMaple(axe) })
	t.Run("keyboard", func(t *testing.T) { v.t = t; v.reviewsByKeyboard() })
	v.t = t
	v.staysHome()
	h.ends()
}

// seesWhoNeedsIt fails the test unless the list is in order of need.
func (v *visitor) seesWhoNeedsIt() {
	v.t.Helper()
	v.open("/reviews")
	var marks []string
	v.do("read the list", chromedp.Evaluate(`[...document.querySelectorAll('main tbody tr td:first-child')].map(td => td.innerText.split('\n')[0].trim())`, &marks))
	order := []string{"Now", "Soon", "Watch", "Limits to confirm"}
	rank := func(mark string) int { return slices.Index(order, mark) }
	if len(marks) < 10 || rank(marks[0]) != 0 || !slices.IsSortedFunc(marks, func(a, b string) int { return rank(a) - rank(b) }) {
		v.t.Errorf("the list is in the order %v", marks)
	}
	v.sees("Nettle, R.", "Ticked by the client on the safety page")
}

func (v *visitor) reviewsMaple(axe string) {
	v.t.Helper()
	v.open("/reviews")
	v.follow("Maple, D.")
	review := v.address()
	client, _, _ := strings.Cut(review, "/limbs/")
	v.sees("What came since the last review", "by all visits together", "The estimate is outside the limit of −10 %", "a starting value, not yet confirmed")
	v.do("open the working", chromedp.Evaluate(`[...document.querySelectorAll('details')].filter(d => d.querySelector('summary').textContent.includes('Worked by hand')).forEach(d => d.open = true)`, nil))
	v.sees("100 × ln(1", "Weight", "mL")
	v.everyScreen(axe, "review-working")
	v.fill("loss", "less")
	v.submit("Check before signing")
	v.sees("another look")
	v.everyScreen(axe, "review-wrong")
	v.open(review)

	late := v.tab() // the same page, left open in another window
	late.look(screen{1280, "light"})
	late.open(review)
	late.decidesOnMaple("left open too long")
	late.submit("Check before signing")
	late.sees("Nothing is signed yet")

	v.decidesOnMaple("as expected at twenty months")
	v.submit("Check before signing")
	v.sees("Nothing is signed yet", "Limits set anew", "5 %", "8 %", "Look again by", "as expected at twenty months", "Sign as Invented prosthetist")
	v.everyScreen(axe, "review-check")
	v.fill("password", "not the password")
	v.submit("Sign as")
	v.sees("as expected at twenty months", "Sign as Invented prosthetist")
	v.everyScreen(axe, "review-wrong-password")
	v.fill("password", passwordOf("prosthetist"))
	v.submit("Sign as")
	v.sees("The review is signed", "Signed by Invented prosthetist, prosthetist, on", "Closed by this signature", "as expected at twenty months", "SHA-256")
	v.everyScreen(axe, "review-signed")
	if !strings.Contains(v.address(), "/reviews/") {
		v.t.Errorf("a signed review leads to %s", v.address())
	}
	v.open(client)
	v.sees("−8 % · Invented prosthetist, ", "Flag closed by the signed review of Invented prosthetist", "Look again by")

	late.fill("password", passwordOf("prosthetist"))
	late.submit("Sign as")
	late.sees("What is new since you opened this", "Invented prosthetist signed review 2", "Nothing was signed")
	late.everyScreen(axe, "review-stale")
	if note := late.typed("note"); note != "left open too long" {
		v.t.Errorf("what was typed came back as %q", note)
	}
	late.staysHome()
	v.open(client)
	v.lacks("left open too long")
}

// decidesOnMaple sets a limit, closes the flag and says when to look again.
func (v *visitor) decidesOnMaple(why string) {
	v.t.Helper()
	v.fill("loss", "8")
	v.fill("loss_review", "12")
	v.fill("limits_reason", "still losing in the second year")
	v.choose("decision.look-again", "yes")
	v.do("set the day", chromedp.Evaluate(`document.querySelector('[name=look_again_on]').value = new Date(Date.now() + 60 * 864e5).toISOString().slice(0, 10)`, nil))
	v.do("close the flag", chromedp.Evaluate(`document.querySelector('[name^="flag."][value=close]').click()`, nil))
	v.do("say why", chromedp.SendKeys(`[name^="reason."]`, why, chromedp.ByQuery))
	v.fill("note", why)
}

// reviewsByKeyboard signs a review with Tab, Space and Enter alone. However often
// Enter is pressed on the way, nothing is signed before the password is typed.
func (v *visitor) reviewsByKeyboard() {
	v.t.Helper()
	v.open("/reviews")
	var name string
	v.do("find the last of the list", chromedp.Evaluate(`[...document.querySelectorAll('main tbody a')].at(-1).getAttribute('href')`, &name))
	v.tabTo(fmt.Sprintf("main a[href=%q]", name))
	v.enter()
	v.sees("What you decide")
	v.tabTo(`[name="limits_confirm"]`)
	v.press(" ")
	v.tabTo(`[name="limits_reason"]`)
	v.do("type why", chromedp.KeyEvent("they suit"))
	v.tabTo(`[name="decision.no-change"]`)
	v.press(" ")
	v.tabTo(`main form button[type=submit]`)
	v.enter()
	v.sees("Nothing is signed yet")
	for range 3 {
		v.press(kb.Enter)
	}
	v.tabTo(`[name="password"]`)
	v.enter() // without a password
	v.sees("Sign as Invented prosthetist", "they suit")
	v.lacks("The review is signed")
	v.tabTo(`[name="password"]`)
	v.do("type the password", chromedp.KeyEvent(passwordOf("prosthetist")))
	v.enter()
	v.sees("The review is signed", "they suit", "Limits confirmed as they were")
}
