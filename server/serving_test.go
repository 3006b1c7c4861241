package server

import (
	"context"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
	"github.com/alexedwards/argon2id"
)

// site is a running program on an empty record, with a clock that a test sets.
type site struct {
	*httptest.Server
	t     *testing.T
	store *models.Store
	clock *clock
	log   *lines
	inner *server
}

// lines is a log that is read while the program still writes to it.
type lines struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

// Reset forgets what was logged.
func (l *lines) Reset() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.text.Reset()
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// clock is the time of a site.
type clock struct{ seconds atomic.Int64 }

func (c *clock) Now() time.Time { return time.Unix(c.seconds.Load(), 0).UTC() }

// Pass lets time pass.
func (c *clock) Pass(d time.Duration) { c.seconds.Add(int64(d / time.Second)) }

// testPassword is the password of every person of a site; its hashes are made
// as cheap as the library allows, to keep the tests quick.
const testPassword = "four harbour lamps at dusk"

var cheapPassword = argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}

// newSite serves an empty workshop in Berlin's zone over TLS.
func newSite(t *testing.T) *site {
	t.Helper()
	s := newFreshSite(t)
	if err := s.store.SaveWorkshop(t.Context(), &models.Workshop{ID: models.WorkshopID, Name: "Invented workshop", Zone: "Europe/Berlin"}); err != nil {
		t.Fatal(err)
	}
	return s
}

// newFreshSite serves a record that nobody has set up yet over TLS.
func newFreshSite(t *testing.T) *site {
	t.Helper()
	s := &site{t: t, clock: &clock{}, log: &lines{}}
	s.clock.seconds.Store(time.Now().Unix())
	s.store = modelstest.SQLiteAt(t, s.clock.Now)
	s.Server = httptest.NewTLSServer(http.NotFoundHandler())
	t.Cleanup(s.Close)
	s.serve()
	return s
}

// serve serves the site's record as it stands.
func (s *site) serve() {
	s.t.Helper()
	logger := slog.New(slog.NewTextHandler(s.log, nil))
	inner, err := newServer(Deps{Store: s.store, Now: s.clock.Now, Log: logger, Password: &cheapPassword})
	if err != nil {
		s.t.Fatal(err)
	}
	handler, err := inner.handler()
	if err != nil {
		s.t.Fatal(err)
	}
	s.inner, s.Config.Handler = inner, handler
}

// Person adds a person with the given roles and returns them.
func (s *site) Person(signIn string, roles ...models.Role) models.Person {
	s.t.Helper()
	hash, err := argon2id.CreateHash(testPassword, &cheapPassword)
	if err != nil {
		s.t.Fatal(err)
	}
	p := models.Person{
		ID: models.NewID(), Name: strings.ToUpper(signIn[:1]) + signIn[1:], SignIn: signIn, PasswordHash: hash,
		LengthUnit: quantity.Centimetre, CreatedAt: s.clock.Now(),
	}
	for _, r := range roles {
		switch r {
		case models.Fitter:
			p.IsFitter = true
		case models.Prosthetist:
			p.IsProsthetist = true
		case models.Owner:
			p.IsOwner = true
		}
	}
	if err := s.store.CreatePerson(context.Background(), &p); err != nil {
		s.t.Fatal(err)
	}
	return p
}

// browser is one person's browser: it keeps cookies and follows no redirect.
type browser struct {
	*site
	http *http.Client
}

// Browser returns a browser that nobody is signed in at.
func (s *site) Browser() *browser {
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	client := &http.Client{Transport: s.Client().Transport, Jar: jar,
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return &browser{site: s, http: client}
}

// As returns a browser at which a new person with the given roles is signed in.
func (s *site) As(signIn string, roles ...models.Role) *browser {
	s.t.Helper()
	s.Person(signIn, roles...)
	b := s.Browser()
	if a := b.Post("/sign-in", "name", signIn, "password", testPassword); a.Status != http.StatusSeeOther {
		s.t.Fatalf("sign-in of %s: status %d, want 303\n%s", signIn, a.Status, a.Body)
	}
	return b
}

// answer is what came back.
type answer struct {
	Status   int
	Body     string
	Header   http.Header
	Location string
}

// Get fetches a path.
func (b *browser) Get(path string) answer {
	b.t.Helper()
	req, err := http.NewRequest(http.MethodGet, b.URL+path, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	return b.do(req)
}

// Post sends a form of names and values in turn, as a browser would from our
// own page.
func (b *browser) Post(path string, pairs ...string) answer {
	b.t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Add(pairs[i], pairs[i+1])
	}
	return b.PostForm(path, form)
}

// PostForm sends a form.
func (b *browser) PostForm(path string, form url.Values) answer {
	b.t.Helper()
	req, err := http.NewRequest(http.MethodPost, b.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		b.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	return b.do(req)
}

func (b *browser) do(req *http.Request) answer {
	b.t.Helper()
	res, err := b.http.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return answer{Status: res.StatusCode, Body: string(body), Header: res.Header, Location: res.Header.Get("Location")}
}

// Has fails the test when the answer lacks a status or any of the texts.
func (a answer) Has(t *testing.T, status int, texts ...string) {
	t.Helper()
	if a.Status != status {
		t.Errorf("status %d, want %d\n%s", a.Status, status, a.Body)
	}
	for _, text := range texts {
		if !strings.Contains(a.Body, text) {
			t.Errorf("the page lacks %q\n%s", text, a.Body)
		}
	}
}
