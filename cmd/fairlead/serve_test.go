package main

import (
	"testing"
)

const ownersLink = `(http://127\.0\.0\.1:\d+/welcome/\w+)`

// The owner of a fresh record uses the link of the first start, in a real
// browser, and finds the workshop to set up.
func TestServeLetsTheFirstOwnerIn(t *testing.T) {
	p := start(t, "serve", "--data", t.TempDir(), "--addr", "127.0.0.1:0")
	base, path := splitAddress(t, p.says(ownersLink))
	v := newVisitor(t, base)
	v.open(path)
	v.fill("name", "Heath")
	v.fill("sign_in", "heath")
	v.fill("workshop", "Invented workshop")
	v.fill("zone", "Europe/Berlin")
	v.fill("password", "four harbour lamps at dusk")
	v.fill("again", "four harbour lamps at dusk")
	v.submit("")
	v.sees("The workshop", "Heath")
	v.staysHome()
	p.ends()
}
