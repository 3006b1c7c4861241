package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// workshop is a fresh record with an owner who fits, ready for reports, and one
// client with a left and a right leg who has a private link.
type workshop struct {
	*running
	fitter *visitor
	client string // the address of the client's page
	link   string // the path of the private link
}

// openWorkshop makes a workshop through its pages, as a person would.
func openWorkshop(t *testing.T) workshop {
	t.Helper()
	p := start(t, "serve", "--data", t.TempDir(), "--addr", "127.0.0.1:0")
	base, path := splitAddress(t, p.says(ownersLink))
	w := workshop{running: p, fitter: newVisitor(t, base)}
	v := w.fitter
	v.look(screen{1280, "light"})
	v.open(path)
	v.becomeOwner()
	w.client = v.makeClient()
	v.addRightLeg(w.client)

	v.open(w.client + "/links")
	v.sees("No link can be made yet", "The client's clinic, by telephone", "The telephone of the workshop")
	v.giveNumbers(w.client)
	v.readsReports()
	w.link = v.makeLink(w.client)
	return w
}

// addRightLeg adds a second limb.
func (v *visitor) addRightLeg(client string) {
	v.t.Helper()
	v.open(client + "/limbs/new")
	v.choose("side", "right")
	v.choose("level", "transfemoral")
	v.choose("origin", "amputation")
	v.submit("Next: the measuring plan")
	v.fill("levels", "0 5 10 15 20")
	v.submit("Save limb and plan")
}

// giveNumbers records the three numbers that a client's form shows.
func (v *visitor) giveNumbers(client string) {
	v.t.Helper()
	v.open(client + "/edit")
	v.fill("clinic_phone", "+49 30 5550 201")
	v.fill("out_of_hours_phone", "+49 30 5550 202")
	v.fill("emergency_phone", "112")
	v.submit("Save")
}

// makeLink makes a private link and returns its path.
func (v *visitor) makeLink(client string) string {
	v.t.Helper()
	v.open(client + "/links")
	v.submit("Make the link")
	v.sees("The address is shown this once")
	var address string
	v.do("read the address", chromedp.Evaluate(`document.querySelector('.address').textContent.trim()`, &address))
	_, path := splitAddress(v.t, address)
	return path
}

// readsReports records the workshop's numbers and when it reads reports.
func (v *visitor) readsReports() {
	v.t.Helper()
	v.open("/setup")
	v.fill("phone", "+49 30 5550 900")
	v.fill("emergency_phone", "112")
	for _, day := range []string{"monday", "tuesday", "wednesday", "thursday", "friday"} {
		v.choose("reads_on."+day, "yes")
	}
	v.fill("reads_at", "8:00")
	v.submit("Save")
}
