package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestCheckinPagesAreForEverybody walks through the pages of a check-in of two
// limbs in the demonstration, empty and with mistakes, to the pages that follow.
func TestCheckinPagesAreForEverybody(t *testing.T) {
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
	axe := axeSource(t)
	v := newVisitor(t, base)
	v.signIn(strings.TrimSpace(name), password)

	v.open("/clients")
	v.follow("Juniper, L.")
	client := v.address()
	v.submit("New check-in")
	draft := strings.TrimSuffix(v.address(), "/talk")
	var steps []string
	v.do("read the steps", chromedp.Evaluate(`[...document.querySelectorAll('nav.steps button')].map(b => b.value)`, &steps))
	if len(steps) < 9 || !slices.Contains(steps, "2-residual-2") {
		t.Fatalf("the steps of a check-in of two limbs are %v", steps)
	}
	for _, step := range append([]string{"talk"}, steps...) {
		v.open(draft + "/" + step)
		v.everyScreen(axe, "checkin-"+step)
	}

	v.open(draft + "/talk")
	v.fill("comfort_average", "eleven")
	v.fill("weight", "1,234.5")
	v.submit("")
	v.sees("need another look", "eleven")
	v.everyScreen(axe, "checkin-talk-wrong")
	v.fill("comfort_average", "7")
	v.fill("weight", "")
	v.submit("")

	v.open(draft + "/residual-1")
	v.do("type a girth in the wrong unit", chromedp.SendKeys(`input[data-pass]`, "334", chromedp.ByQuery))
	v.submit("")
	v.everyScreen(axe, "checkin-girths-wrong")
	v.do("type it right", chromedp.Evaluate(`document.querySelector('input[data-pass]').select()`, nil), chromedp.KeyEvent("33.4"))
	v.submit("")

	v.open(draft + "/result")
	v.submit("Save")
	v.everyScreen(axe, "checkin-result-wrong")
	v.open(client)
	v.submit("New check-in")
	v.everyScreen(axe, "checkin-drafts")
	v.open("/nothing/here")
	v.everyScreen(axe, "error")
	v.staysHome()
	p.ends()
}

// follow clicks the link of a text.
func (v *visitor) follow(says string) {
	v.t.Helper()
	v.pageAfter("follow "+says, chromedp.Click(fmt.Sprintf(`//main//a[contains(., %q)]`, says), chromedp.BySearch))
}

// TestEmptyWorkshopIsForEverybody looks at the pages of the first day.
func TestEmptyWorkshopIsForEverybody(t *testing.T) {
	p := start(t, "serve", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base, path := splitAddress(t, p.says(ownersLink))
	axe := axeSource(t)
	v := newVisitor(t, base)
	v.open(path)
	v.everyScreen(axe, "welcome")
	v.submit("")
	v.everyScreen(axe, "welcome-wrong")
	v.becomeOwner()
	for _, page := range []string{"/today", "/clients", "/setup", "/clients/new"} {
		v.open(page)
		v.everyScreen(axe, "empty"+strings.ReplaceAll(page, "/", "-"))
	}
	v.submit("Add the client")
	v.everyScreen(axe, "client-wrong")
	client := v.makeClient()
	v.open(client)
	v.everyScreen(axe, "client-without-visits")
	v.looksAtLinks(axe, client)
	v.open("/setup")
	v.fill("reads_at", "noon")
	v.choose("reads_on.monday", "yes")
	v.submit("Save")
	v.sees("another look")
	v.everyScreen(axe, "setup-wrong")
	v.open("/setup")
	v.follow("Heath")
	v.choose("is_prosthetist", "yes")
	v.submit("Save")
	v.open("/reviews")
	v.everyScreen(axe, "empty-reviews")
	v.staysHome()
	p.ends()
}

// looksAtLinks looks at the pages of a client's private links, from the numbers that
// are missing to a link that is revoked.
func (v *visitor) looksAtLinks(axe, client string) {
	v.t.Helper()
	v.open(client + "/links")
	v.everyScreen(axe, "links-missing")
	v.giveNumbers(client)
	v.readsReports()
	v.open(client + "/links")
	v.sees("None has been made")
	v.everyScreen(axe, "links-none")
	v.fill("days", "a month")
	v.submit("Make the link")
	v.sees("another look")
	v.everyScreen(axe, "links-wrong")
	v.fill("days", "30")
	v.submit("Make the link")
	v.everyScreen(axe, "links-made")
	v.open(client + "/links")
	v.everyScreen(axe, "links")
	v.follow("Revoke")
	v.everyScreen(axe, "links-revoke")
	v.submit("Revoke the link")
	v.sees("The link is revoked")
	v.everyScreen(axe, "links-revoked")
}
