package server

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/demo"
	"github.com/alexedwards/argon2id"
)

var href = regexp.MustCompile(`href="(/[^"#]*)`)

// rawID finds the id of a text where its words should stand: a page shows it
// when the catalogue lacks the text.
var rawID = regexp.MustCompile(`>\s*[a-z]+(-[a-z]+)*\.[a-z]+[a-z.-]*\s*<`)

// TestEveryPageOfTheDemonstration reads every page that each person of the
// demonstration can reach by links. Each must be there for them, with nothing logged
// as a fault and no word missing.
func TestEveryPageOfTheDemonstration(t *testing.T) {
	site := newSite(t)
	clock := &demo.Clock{}
	now := site.clock.Now()
	clock.Set(now)
	site.store = modelstest.SQLiteAt(t, clock.Now)
	hash := func(password string) (string, error) { return argon2id.CreateHash(password, &cheapPassword) }
	if err := demo.Fill(t.Context(), site.store, clock, now, hash); err != nil {
		t.Fatal(err)
	}
	clock.Set(now)
	site.serve()
	least := map[models.Role]int{models.Fitter: 300, models.Prosthetist: 200, models.Owner: 5}
	for _, who := range demo.SignIns {
		t.Run(who.SignIn, func(t *testing.T) {
			b := site.Browser()
			b.Post("/sign-in", "name", who.SignIn, "password", who.Password).Has(t, http.StatusSeeOther)
			if n := b.readEverything(t); n < least[who.Role] {
				t.Errorf("read %d pages, want at least %d", n, least[who.Role])
			}
		})
	}
	for line := range strings.Lines(site.log.String()) {
		if strings.Contains(line, "level=ERROR") {
			t.Error(line)
		}
	}
}

// readEverything follows the links from the first page on, and counts the pages.
func (b *browser) readEverything(t *testing.T) int {
	t.Helper()
	seen := map[string]bool{}
	queue := []string{"/"}
	for len(queue) > 0 {
		path := strings.ReplaceAll(queue[0], "&amp;", "&")
		queue = queue[1:]
		if seen[path] || strings.HasPrefix(path, "/static/") {
			continue
		}
		seen[path] = true
		a := b.Get(path)
		if a.Status != http.StatusOK && a.Status != http.StatusSeeOther {
			t.Errorf("GET %s: status %d", path, a.Status)
		}
		if a.Status == http.StatusSeeOther {
			queue = append(queue, a.Location)
		}
		if strings.Contains(a.Header.Get("Content-Type"), "html") {
			if raw := rawID.FindString(a.Body); raw != "" {
				t.Errorf("GET %s shows an id instead of words: %s", path, raw)
			}
		}
		for _, m := range href.FindAllStringSubmatch(a.Body, -1) {
			queue = append(queue, m[1])
		}
	}
	return len(seen)
}
