package server

import (
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"fairlead/models"
)

// Guesses that are sent at the same moment are counted as if they came one
// after the other.
func TestGuessesAtOnceAreSlowed(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	const guesses = 60
	statuses := make(chan int, guesses)
	var wg sync.WaitGroup
	for range guesses {
		wg.Go(func() {
			statuses <- site.Browser().Post("/sign-in", "name", "rill", "password", "wrong wrong wrong").Status
		})
	}
	wg.Wait()
	close(statuses)
	got := map[int]int{}
	for status := range statuses {
		got[status]++
	}
	if got[http.StatusUnprocessableEntity] != 5 || got[http.StatusTooManyRequests] != guesses-5 {
		t.Errorf("statuses %v, want 5 guesses checked and the others slowed", got)
	}
}

// Guessing from an address holds up the others who sign in there by a minute at
// most.
func TestGuessesLetOthersAtTheAddressIn(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	guess := func(n int) {
		for i := range n {
			site.Browser().Post("/sign-in", "name", fmt.Sprintf("guess-%d", i), "password", "wrong wrong wrong")
		}
	}
	guess(20)
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusSeeOther)
	guess(60)
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusTooManyRequests, "Too many tries")
	for range 10 {
		site.clock.Pass(time.Minute)
		guess(3)
	}
	site.clock.Pass(time.Minute)
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusSeeOther)
}

// Whoever signs in well is not counted, so that a workshop behind one address
// can come to work in the morning.
func TestSuccessIsNotCounted(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	for range 130 {
		site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusSeeOther)
	}
}

func TestPresentPasswordIsSlowed(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	change := func(present string) answer {
		return b.Post("/preferences/password", "present_password", present, "password", testPassword+"!", "again", testPassword+"!")
	}
	for range 5 {
		change("wrong wrong wrong").Has(t, http.StatusUnprocessableEntity, "not your present password")
	}
	slowed := change(testPassword)
	slowed.Has(t, http.StatusTooManyRequests, "Too many tries")
	if slowed.Header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	site.clock.Pass(5 * time.Second)
	change(testPassword).Has(t, http.StatusSeeOther)
}

func TestRefusedSignInNamesItsAddress(t *testing.T) {
	site := newSite(t)
	site.Browser().Post("/sign-in", "name", "somebody-here", "password", "wrong wrong wrong")
	var line string
	for l := range strings.Lines(site.log.String()) {
		if strings.Contains(l, `"sign-in refused"`) {
			line = l
		}
	}
	if !strings.Contains(line, "address=127.0.0.1") || !strings.Contains(line, "account="+hashKey("account", "somebody-here")) {
		t.Errorf("logged %q, want the address and the hash of the account", line)
	}
	if strings.Contains(site.log.String(), "somebody-here") {
		t.Error("the log holds the name that was typed")
	}
}
