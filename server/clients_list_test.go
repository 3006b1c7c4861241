package server

import (
	"encoding/base64"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fairlead/models"
)

func TestClientsAreFoundByPartOfNameOrCode(t *testing.T) {
	b := demoSite(t).Demo(models.Fitter)
	cases := []struct {
		name, typed string
		archived    string
		want, not   string
	}{
		{"part of a name in any case", "ROW", "", "Rowan, M.", "Alder, A."},
		{"code", "k-005", "", "Hazel, B.", "Rowan, M."},
		{"nothing typed lists all", "", "", "Alder, A.", "Holly, U."},
		{"archived on demand", "holly", "yes", "Holly, U.", "Alder, A."},
		{"archived are left out otherwise", "holly", "", "No name or code holds", ">Holly, U."},
		{"a wildcard is a character", "%", "", "No name or code holds", "Alder, A."},
		{"markup is text", "<b>", "", "&lt;b&gt;", "<b>"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a := b.Post("/clients/find", "q", c.typed, "archived", c.archived)
			a.Has(t, http.StatusOK, c.want)
			if strings.Contains(a.Body, c.not) {
				t.Errorf("the page holds %q", c.not)
			}
		})
	}
	b.Get("/clients?archived=yes").Has(t, http.StatusOK, "Holly, U.", "archived")
	b.Post("/clients/find", "q", strings.Repeat("x", longestName+1)).Has(t, http.StatusUnprocessableEntity, `id="q-problem"`)
}

var (
	nextPage = regexp.MustCompile(`<a href="([^"]+)" rel="next">`)
	nextKey  = regexp.MustCompile(`name="after" value="([^"]+)"`)
	inList   = regexp.MustCompile(`<th scope="row"><a href="[^"]+">([^<]+)</a>`)
)

// TestListsPageByKey walks through all pages of the lists: each client stands
// once, and no name in any address.
func TestListsPageByKey(t *testing.T) {
	site := newSite(t)
	b := site.As("rowan", models.Fitter)
	const n = 2*clientRows + 7
	for i := range n {
		c := models.Client{Code: fmt.Sprintf("K-%03d", i), Name: fmt.Sprintf("Whimbrel %03d", i)}
		if err := site.store.CreateClient(t.Context(), &c); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("all", func(t *testing.T) {
		seen, pages := map[string]int{}, 0
		for path := "/clients"; path != ""; pages++ {
			a := b.Get(path)
			a.Has(t, http.StatusOK)
			for _, m := range inList.FindAllStringSubmatch(a.Body, -1) {
				seen[m[1]]++
			}
			path = ""
			if m := nextPage.FindStringSubmatch(a.Body); m != nil {
				path = strings.ReplaceAll(m[1], "&amp;", "&")
			}
			if holdsName(path) {
				t.Errorf("the address %s holds a name", path)
			}
		}
		if len(seen) != n || pages != 3 {
			t.Errorf("%d clients on %d pages, want %d on 3", len(seen), pages, n)
		}
	})
	t.Run("search", func(t *testing.T) {
		first := b.Post("/clients/find", "q", "whimbrel")
		key := nextKey.FindStringSubmatch(first.Body)
		if key == nil {
			t.Fatal("a search with more results than a page has no next page")
		}
		b.Post("/clients/find", "q", "whimbrel", "after", key[1]).Has(t, http.StatusOK, fmt.Sprintf("Whimbrel %03d", clientRows))
	})
	t.Run("today", func(t *testing.T) {
		a := b.Get("/today")
		a.Has(t, http.StatusOK, fmt.Sprintf("%d more with no open flag", n))
	})
	t.Run("a key of nobody's", func(t *testing.T) {
		for _, path := range []string{"/clients?after=zz", "/today?after=zz", "/today?after=WyIxIiwiYSIsImEiXQ"} {
			b.Get(path).Has(t, http.StatusNotFound)
		}
	})
}

// holdsName tells whether an address, or a key in it, tells a name.
func holdsName(path string) bool {
	_, key, found := strings.Cut(path, "after=")
	plain, err := base64.RawURLEncoding.DecodeString(key)
	return strings.Contains(strings.ToLower(path), "whimbrel") || found && (err != nil || strings.Contains(string(plain), "whimbrel"))
}
