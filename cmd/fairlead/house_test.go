package main

import (
	"regexp"
	"strings"
	"testing"

	"fairlead/server/demo"
)

// house is the demonstration, running, with a browser at its door.
type house struct {
	*running
	door *visitor
	link string // the path of the private link of client K-006
}

// openHouse makes the demonstration and serves it.
func openHouse(t *testing.T) house {
	t.Helper()
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	return house{running: p, link: p.says(`(/r/\S+)`), door: newVisitor(t, base)}
}

// comes is a person of the demonstration who has signed in at a desk.
func (h house) comes(who string) *visitor {
	h.t.Helper()
	v := h.door.somebodyElse()
	v.look(screen{1280, "light"})
	v.signIn(who, passwordOf(who))
	return v
}

// passwordOf is the password of a person of the demonstration.
func passwordOf(who string) string {
	for _, s := range demo.SignIns {
		if s.SignIn == who {
			return s.Password
		}
	}
	return ""
}

var nowUnseen = regexp.MustCompile(`(\d+) now, unseen`)

// unseen is the count of flags of level now that nobody has seen, as the page tells it.
func (v *visitor) unseen() string {
	v.t.Helper()
	m := nowUnseen.FindStringSubmatch(v.pageText())
	if m == nil {
		return "none"
	}
	return m[1]
}

// lacks fails the test if the page shows any of the texts.
func (v *visitor) lacks(texts ...string) {
	v.t.Helper()
	shown := plainSpaces.Replace(v.pageText())
	for _, text := range texts {
		if strings.Contains(shown, text) {
			v.t.Errorf("%s shows %q\n%s", v.address(), text, shown)
		}
	}
}
