package server

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

func TestSignInAndOut(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	b := site.Browser()

	b.Get("/sign-in").Has(t, http.StatusOK, "Sign in")
	b.Post("/sign-in", "name", "rill", "password", "something else entirely").
		Has(t, http.StatusUnprocessableEntity, "The sign-in name or the password is not right", `value="rill"`)
	b.Post("/sign-in", "name", "nobody", "password", testPassword).
		Has(t, http.StatusUnprocessableEntity, "The sign-in name or the password is not right")

	in := b.Post("/sign-in", "name", " Rill ", "password", testPassword, "next", "/preferences")
	if in.Status != http.StatusSeeOther || in.Location != "/preferences" {
		t.Fatalf("signed in: status %d to %q, want 303 to /preferences", in.Status, in.Location)
	}
	page := b.Get("/preferences")
	page.Has(t, http.StatusOK, "Rill", "Sign out")
	if got := page.Header.Get("Cache-Control"); got != "no-store" {
		t.Errorf("Cache-Control of a signed-in page = %q, want no-store", got)
	}

	replay := b.http.Jar.Cookies(mustURL(t, site.URL))
	out := b.Post("/sign-out")
	if out.Status != http.StatusSeeOther || !strings.Contains(out.Header.Get("Clear-Site-Data"), "cookies") {
		t.Errorf("sign-out: status %d, Clear-Site-Data %q", out.Status, out.Header.Get("Clear-Site-Data"))
	}
	b.http.Jar.SetCookies(mustURL(t, site.URL), replay)
	if a := b.Get("/preferences"); a.Status != http.StatusSeeOther {
		t.Errorf("a session replayed after sign-out: status %d, want 303 to the sign-in page", a.Status)
	}
}

func TestSignInRenewsTheToken(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	first := b.http.Jar.Cookies(mustURL(t, site.URL))[0].Value
	b.Post("/sign-in", "name", "rill", "password", testPassword)
	second := b.http.Jar.Cookies(mustURL(t, site.URL))[0].Value
	if first == second {
		t.Error("signing in again kept the token")
	}
	if len(first) < 22 {
		t.Errorf("the token has %d characters, want at least 22 of base64 (128 bits)", len(first))
	}
}

func TestSessionCookieIsLocked(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	a := site.Browser().Post("/sign-in", "name", "rill", "password", testPassword)
	cookie := a.Header.Get("Set-Cookie")
	for _, want := range []string{"__Host-", "Secure", "HttpOnly", "SameSite=Lax", "Path=/"} {
		if !strings.Contains(cookie, want) {
			t.Errorf("Set-Cookie %q lacks %s", cookie, want)
		}
	}
	if strings.Contains(cookie, "Domain") {
		t.Errorf("Set-Cookie %q names a domain", cookie)
	}
}

func TestSessionEndsWhenIdle(t *testing.T) {
	site := newSite(t)
	b := site.As("rill", models.Fitter)
	site.clock.Pass(29 * time.Minute)
	b.Get("/preferences").Has(t, http.StatusOK)
	site.clock.Pass(idleLimit + time.Minute)
	if a := b.Get("/preferences"); a.Status != http.StatusSeeOther {
		t.Errorf("after %v of nothing: status %d, want 303 to the sign-in page", idleLimit, a.Status)
	}
}

func TestRightsTakenAwayActAtOnce(t *testing.T) {
	site := newSite(t)
	owner := site.As("heath", models.Owner)
	fitter := site.As("rill", models.Fitter)
	p, err := site.store.PersonBySignIn(t.Context(), "rill")
	if err != nil {
		t.Fatal(err)
	}
	fitter.Get("/preferences").Has(t, http.StatusOK)
	owner.Post("/setup/people/"+p.ID, "name", "Rill", "sign_in", "rill", "is_fitter", "yes", "disabled", "yes", "version", version(p.Version)).
		Has(t, http.StatusSeeOther)
	if a := fitter.Get("/preferences"); a.Status != http.StatusSeeOther {
		t.Errorf("a disabled person's next request: status %d, want 303 to the sign-in page", a.Status)
	}
}

func TestGuessingIsSlowed(t *testing.T) {
	site := newSite(t)
	site.Person("rill", models.Fitter)
	b := site.Browser()
	for range 5 {
		b.Post("/sign-in", "name", "rill", "password", "wrong wrong wrong").Has(t, http.StatusUnprocessableEntity)
	}
	slowed := b.Post("/sign-in", "name", "rill", "password", testPassword)
	slowed.Has(t, http.StatusTooManyRequests, "Too many tries")
	if slowed.Header.Get("Retry-After") == "" {
		t.Error("no Retry-After")
	}
	site.clock.Pass(5 * time.Second)
	b.Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusSeeOther)
}

func TestSlownessDoublesToALimit(t *testing.T) {
	cases := []struct {
		n             int
		longest, want time.Duration
	}{
		{0, time.Hour, 4 * time.Second}, {1, time.Hour, 8 * time.Second}, {5, time.Hour, 128 * time.Second},
		{8, 15 * time.Minute, 15 * time.Minute}, {1000, 15 * time.Minute, 15 * time.Minute}, {5, time.Minute, time.Minute},
	}
	for _, c := range cases {
		if got := slowness(c.n, c.longest); got != c.want {
			t.Errorf("slowness(%d, %v) = %v, want %v", c.n, c.longest, got, c.want)
		}
	}
}

func TestPasswordHashIsRenewedAtSignIn(t *testing.T) {
	site := newSite(t)
	p := site.Person("rill", models.Fitter)
	if !strings.HasPrefix(p.PasswordHash, "$argon2id$") {
		t.Fatalf("hash %q is not argon2id", p.PasswordHash)
	}
	dearer := cheapPassword
	dearer.Iterations = 2
	handler, err := New(Deps{Store: site.store, Now: site.clock.Now, Log: discard, Password: &dearer})
	if err != nil {
		t.Fatal(err)
	}
	site.Config.Handler = handler
	site.Browser().Post("/sign-in", "name", "rill", "password", testPassword).Has(t, http.StatusSeeOther)
	after, err := site.store.PersonByID(t.Context(), p.ID)
	if err != nil {
		t.Fatal(err)
	}
	if after.PasswordHash == p.PasswordHash || !strings.Contains(after.PasswordHash, "t=2") {
		t.Errorf("the hash was not renewed to t=2: %q", after.PasswordHash)
	}
}

func TestDefaultPasswordCost(t *testing.T) {
	// The minimum of the OWASP password storage advice for argon2id is 19 MiB
	// with two passes or an equivalent, such as 46 MiB with one.
	if DefaultPassword.Memory < 47104 || DefaultPassword.Iterations < 1 {
		t.Errorf("cost %+v is below the advice", DefaultPassword)
	}
}

func TestNextLeadsToOwnPagesOnly(t *testing.T) {
	cases := []struct{ name, next, want string }{
		{"a page of ours", "/clients?q=a", "/clients?q=a"},
		{"another site", "https://elsewhere.invalid/", "/"},
		{"another site without a scheme", "//elsewhere.invalid", "/"},
		{"a backslash that browsers read as a slash", `/\elsewhere.invalid`, "/"},
		{"nothing", "", "/"},
		{"a script", "javascript:alert(1)", "/"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := ownPath(c.next); got != c.want {
				t.Errorf("ownPath(%q) = %q, want %q", c.next, got, c.want)
			}
		})
	}
}
