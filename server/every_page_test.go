package server

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/demo"
)

var href = regexp.MustCompile(`href="(/[^"#]*)`)

// rawID finds the id of a text where its words should stand: a page shows it
// when the catalogue lacks the text.
var rawID = regexp.MustCompile(`>\s*[a-z]+(-[a-z]+)*\.[a-z]+[a-z.-]*\s*<`)

// TestEveryPageOfTheDemonstration reads every page that the fitter of the
// demonstration can reach by links. Each must be there, with nothing logged as a
// fault and no word missing.
func TestEveryPageOfTheDemonstration(t *testing.T) {
	site := newSite(t)
	clock := &demo.Clock{}
	now := site.clock.Now()
	clock.Set(now)
	site.store = modelstest.SQLiteAt(t, clock.Now)
	hash := func(string) (string, error) { return "$argon2id$v=19$m=64,t=1,p=1$AAAA$AAAA", nil }
	if err := demo.Fill(t.Context(), site.store, clock, now, hash); err != nil {
		t.Fatal(err)
	}
	clock.Set(now)
	site.serve()
	b := site.As("reader", models.Fitter)

	seen := map[string]bool{}
	queue := []string{"/today"}
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
		if strings.Contains(a.Header.Get("Content-Type"), "html") {
			if raw := rawID.FindString(a.Body); raw != "" {
				t.Errorf("GET %s shows an id instead of words: %s", path, raw)
			}
		}
		for _, m := range href.FindAllStringSubmatch(a.Body, -1) {
			queue = append(queue, m[1])
		}
	}
	if len(seen) < 300 {
		t.Errorf("the walk found %d pages, want at least 300", len(seen))
	}
	for line := range strings.Lines(site.log.String()) {
		if strings.Contains(line, "level=ERROR") {
			t.Error(line)
		}
	}
}
