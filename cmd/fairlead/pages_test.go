package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// someID is the part of an address that names one record.
var someID = regexp.MustCompile(`[0-9a-f]{8}-[0-9a-f-]{27}|#.*`)

// TestEveryPageIsForEverybody walks the demonstration as each of its people:
// from Today along the links, two pages of each kind. Every page, at the width
// of a phone and of a desk, light and dark, keeps the accessibility rules, does
// not scroll sideways, asks nobody else for anything and breaks no policy.
func TestEveryPageIsForEverybody(t *testing.T) {
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	axe := axeSource(t)
	seen := map[string]int{}
	for range 3 {
		name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
		name = strings.TrimSpace(name)
		t.Run(name, func(t *testing.T) {
			v := newVisitor(t, base)
			v.open("/sign-in")
			v.checkOnce(seen, axe, "/sign-in")
			v.signIn(name, password)
			v.crawl(seen, axe)
			v.staysHome()
		})
	}
	if len(seen) < 15 {
		t.Errorf("the walk found %d kinds of page, want at least 15: %v", len(seen), seen)
	}
	p.ends()
}

// crawl follows the links from where the browser is. Pages of one kind differ in
// ids alone; two of each are looked at.
func (v *visitor) crawl(seen map[string]int, axe string) {
	v.t.Helper()
	queue := []string{v.address()}
	visited := map[string]bool{}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		kind := kindOf(path)
		if visited[path] || seen[kind] >= 2 || strings.HasSuffix(kind, ".csv") {
			continue
		}
		visited[path] = true
		v.open(path)
		v.checkOnce(seen, axe, kind)
		queue = append(queue, v.links()...)
	}
}

// kindOf is an address without the ids in it and without its query.
func kindOf(path string) string {
	path, _, _ = strings.Cut(path, "?")
	return someID.ReplaceAllString(path, "…")
}

// checkOnce looks at the first page of a kind on every screen, and at another of its
// kind on the smallest and the widest.
func (v *visitor) checkOnce(seen map[string]int, axe, kind string) {
	v.t.Helper()
	seen[kind]++
	name := fmt.Sprintf("%s-%d", strings.Trim(strings.NewReplacer("/", "_", "…", "id").Replace(kind), "_"), seen[kind])
	if seen[kind] == 1 {
		v.everyScreen(axe, name)
		return
	}
	v.onScreens(axe, name, screen{320, "light"}, screen{1280, "light"})
}
