package main

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestFitterFollowsAClient walks the main path as a person does, in a real
// browser on a fresh record: the owner signs in by the first link, makes a
// client with a limb of twelve levels and a cover, types a delivery check-in
// and a follow-up by keyboard only, and reads the change.
//
// The girths are invented: a cone of 12 levels, 3 cm apart in the first visit
// and smaller by 0.8 cm at each level in the second. What the page must say
// follows from the sum of frusta, h (C1² + C1 C2 + C2²) / 12π, worked out in
// the test beside the girths.
func TestFitterFollowsAClient(t *testing.T) {
	p := start(t, "serve", "--data", t.TempDir(), "--addr", "127.0.0.1:0")
	base, path := splitAddress(t, p.says(ownersLink))
	v := newVisitor(t, base)
	v.look(screen{1280, "light"})

	v.open(path)
	v.becomeOwner()
	v.sees("Nobody", "Heath")

	client := v.makeClient()
	delivery := cone(12, 42, 1.4)
	now := make([]float64, len(delivery))
	for i, c := range delivery {
		now[i] = c - 0.8
	}

	v.typeCheckin(client, "delivery", delivery)
	v.sees(fmt.Sprintf("%.0f", frustaML(delivery, 3)))
	v.picture("journey-delivery")

	v.typeCheckin(client, "follow-up", now)
	change := 100 * (frustaML(now, 3)/frustaML(delivery, 3) - 1)
	if change > -4 {
		t.Fatalf("the invented change is %.1f %%: too small to be told", change)
	}
	said := strings.ReplaceAll(fmt.Sprintf("%.1f", change), "-", "−")
	v.sees(said, "Smaller")
	v.picture("journey-result")

	v.open(client)
	v.sees(said, "Rowan, M.", "left transtibial")
	v.picture("journey-client")
	v.staysHome()
	p.ends()
}

// cone is the girths of a limb that narrows evenly, in centimetres.
func cone(levels int, firstCM, stepCM float64) []float64 {
	girths := make([]float64, levels)
	for i := range girths {
		girths[i] = firstCM - stepCM*float64(i)
	}
	return girths
}

// frustaML is the volume of the frusta between girths that are h apart, all in
// centimetres (domain notes, section 1.1; cm³ are mL).
func frustaML(girthsCM []float64, h float64) float64 {
	const pi = 3.141592653589793
	total := 0.0
	for i := range len(girthsCM) - 1 {
		a, b := girthsCM[i], girthsCM[i+1]
		total += h * (a*a + a*b + b*b) / (12 * pi)
	}
	return total
}

// becomeOwner fills in the page of the first owner, who fits as well.
func (v *visitor) becomeOwner() {
	v.t.Helper()
	v.fill("name", "Heath")
	v.fill("sign_in", "heath")
	v.fill("workshop", "Invented workshop")
	v.fill("zone", "Europe/Berlin")
	v.choose("is_fitter", "yes")
	v.fill("password", "four harbour lamps at dusk")
	v.fill("again", "four harbour lamps at dusk")
	v.submit("")
}

// makeClient makes an invented client with a limb, a plan of twelve levels, a
// prosthesis and a cover, and returns the address of their page.
func (v *visitor) makeClient() string {
	v.t.Helper()
	v.open("/clients/new")
	v.fill("name", "Rowan, M.")
	v.fill("phone", "+49 30 5550 114")
	v.submit("Add the client")
	v.choose("side", "left")
	v.choose("level", "transtibial")
	v.choose("origin", "amputation")
	v.fill("amputated_on", "2019-05-04")
	v.fill("length", "36")
	v.submit("Next: the measuring plan")
	v.fill("levels", "0 3 6 9 12 15 18 21 24 27 30 33")
	v.submit("Save limb and plan")
	client, _, _ := strings.Cut(strings.TrimPrefix(v.address(), "/clients/"), "/")
	if client == "" {
		v.t.Fatalf("no client in %s\n%s", v.address(), v.pageText())
	}
	return "/clients/" + client
}

// typeCheckin types a check-in of the given kind and girths from the client's
// page to the saved result. On the bench pages only keys are used: the first
// level has the focus, Enter goes on to the next level and, after the last, to
// the next page.
func (v *visitor) typeCheckin(client, kind string, girthsCM []float64) {
	v.t.Helper()
	v.typesOneRound(client, kind, girthsCM)
	if strings.HasSuffix(v.address(), "/measure-again") {
		v.submit("On to") // not now
	}
	v.next("again")
	v.at("result")
	v.choose("left_empty", "time") // socks and skin were not asked about
	v.submit("Save")
	if !strings.Contains(v.address(), "/checkins/") {
		v.t.Fatalf("the check-in was not saved: at %s\n%s", v.address(), v.pageText())
	}
}

// typesOneRound types the pages of a check-in up to the last pass of the residual
// limb.
func (v *visitor) typesOneRound(client, kind string, girthsCM []float64) {
	v.t.Helper()
	v.open(client)
	v.submit("New check-in")
	v.choose("kind", kind)
	v.fill("comfort_average", "7")
	v.next("talk")
	v.next("socks")
	v.next("on")
	v.next("off")
	if strings.HasSuffix(v.address(), "/sound-1") {
		v.choose("limb1.sound_not_done", "time")
		v.next("sound-1")
	}
	for pass := 1; pass <= 2; pass++ {
		v.typePass("residual", pass, girthsCM)
	}
}

// next presses the main button of a step.
func (v *visitor) next(step string) {
	v.t.Helper()
	v.at(step)
	v.submit("")
}

// at fails the test unless the browser is at a step of a check-in.
func (v *visitor) at(step string) {
	v.t.Helper()
	at, err := url.Parse(v.address())
	if err != nil || !strings.HasSuffix(at.Path, "/"+step) {
		v.t.Fatalf("at %s, want the step %s\n%s", v.address(), step, v.pageText())
	}
}

// typePass types one pass of a round down the limb by keyboard only.
func (v *visitor) typePass(round string, pass int, girthsCM []float64) {
	v.t.Helper()
	v.at(fmt.Sprintf("%s-%d", round, pass))
	v.onFirstGirth()
	v.typeDown(girthsCM)
	v.picture(fmt.Sprintf("journey-%s-%d", round, pass))
	v.enter()
}

// typeDown types girths from where the focus is on, down to the last field.
func (v *visitor) typeDown(girthsCM []float64) {
	v.t.Helper()
	for i, c := range girthsCM {
		for _, key := range fmt.Sprintf("%.1f", c) {
			v.press(string(key))
		}
		if i < len(girthsCM)-1 {
			v.press(kb.Enter)
		}
	}
}

// onFirstGirth waits until the page has put the focus on the first level.
func (v *visitor) onFirstGirth() {
	v.t.Helper()
	v.do("wait for the focus on the first level",
		chromedp.Poll(`document.activeElement === document.querySelector('[data-level] input[data-pass]:not([type=hidden])')`, nil))
}
