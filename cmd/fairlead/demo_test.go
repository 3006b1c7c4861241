package main

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"fairlead/models"
)

// seat is one person's place at a running program, without a browser.
type seat struct {
	t      *testing.T
	base   string
	cookie string
}

// sitDown signs in.
func sitDown(t *testing.T, base, name, password string) seat {
	t.Helper()
	s := seat{t: t, base: base}
	req, err := http.NewRequest(http.MethodPost, base+"/sign-in", strings.NewReader(url.Values{"name": {name}, "password": {password}}.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusSeeOther || len(res.Cookies()) == 0 {
		t.Fatalf("sign-in of %s: status %d", name, res.StatusCode)
	}
	s.cookie = res.Cookies()[0].String()
	return s
}

// get fetches a page that must be there.
func (s seat) get(path string) string {
	s.t.Helper()
	req, err := http.NewRequest(http.MethodGet, s.base+path, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	req.Header.Set("Cookie", strings.SplitN(s.cookie, ";", 2)[0])
	res, err := http.DefaultTransport.RoundTrip(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK {
		s.t.Fatalf("%s: status %d, error %v", path, res.StatusCode, err)
	}
	return string(body)
}

var clientLinks = regexp.MustCompile(`<a href="/clients/[0-9a-f-]{36}">[^<]+</a>`)

// TestDemoIsServedTwice starts the demonstration in a folder, ends it by the
// signal of the system, and starts it there again.
func TestDemoIsServedTwice(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "demo")
	var first []string
	for range 2 {
		p := start(t, "demo", "--data", folder, "--addr", "127.0.0.1:0", "--log-level", "error")
		p.says(`(is invented)`)
		base := p.says(`(http://127\.0\.0\.1:\d+)`)
		for range 3 {
			name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
			page := sitDown(t, base, strings.TrimSpace(name), password).get("/preferences")
			if !strings.Contains(page, "everything here is invented") {
				t.Errorf("the page of the %s does not say that all is invented", name)
			}
			if strings.TrimSpace(name) != "fitter" {
				continue
			}
			links := clientLinks.FindAllString(sitDown(t, base, "fitter", password).get("/clients?archived=yes"), -1)
			if len(links) < 24 {
				t.Errorf("%d clients, want 24 or more", len(links))
			}
			if first == nil {
				first = links
			}
			if strings.Join(links, " ") != strings.Join(first, " ") {
				t.Errorf("the second start serves other clients than the first")
			}
		}
		if got := p.says(`record lies in (.+)\.$`); got != folder {
			t.Errorf("the record lies in %s, want %s", got, folder)
		}
		if err := syscall.Kill(syscall.Getpid(), syscall.SIGTERM); err != nil {
			t.Fatal(err)
		}
		for range p.lines { // let it write
		}
		if status := <-p.status; status != exitDone {
			t.Errorf("after SIGTERM the status is %d, want 0", status)
		}
	}
}

func TestDemoWithoutAFolderMakesOne(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	p := start(t, "demo", "--addr", "127.0.0.1:0", "--log-level", "error")
	if page := (seat{t: t, base: strings.TrimSpace(p.says(`(http://127\.0\.0\.1:\d+)`))}).get(strings.TrimSpace(p.says(`(/r/\S+)`))); !strings.Contains(page, "Start") {
		t.Errorf("the client's link does not open the form\n%s", page)
	}
	folder := p.says(`record lies in (.+)\.$`)
	if _, err := os.Stat(filepath.Join(folder, databaseFile)); err != nil {
		t.Errorf("the folder named at the start holds no record: %v", err)
	}
	p.ends()
}

// The demonstration never touches a record that is not its own.
func TestDemoLeavesARealWorkshopAlone(t *testing.T) {
	named, started := t.TempDir(), t.TempDir()
	p := start(t, "serve", "--data", started, "--addr", "127.0.0.1:0", "--log-level", "error")
	p.says(ownersLink)
	p.ends()
	conf := serving{data: named, logFormat: "text", logLevel: "error"}
	log, err := conf.logger(io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	store, err := openStore(context.Background(), conf, log)
	if err != nil {
		t.Fatal(err)
	}
	if err := store.SaveWorkshop(context.Background(), &models.Workshop{Name: "A real one", Zone: "UTC"}); err != nil {
		t.Fatal(err)
	}
	closeStore(store, log)
	for name, folder := range map[string]string{"with a name": named, "that nobody has signed in to yet": started} {
		t.Run(name, func(t *testing.T) {
			out, complaint, status := program("", "demo", "--data", folder, "--addr", "127.0.0.1:0")
			if status != exitInput || !strings.Contains(complaint, "real workshop; give another --data") || strings.Contains(out, "http") {
				t.Errorf("status %d, printed %q, complained %q; want 2 and a refusal", status, out, complaint)
			}
		})
	}
}

func TestDemoStaysOnThisMachine(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "demo")
	_, complaint, status := program("", "demo", "--data", folder, "--addr", "0.0.0.0:8080")
	if status != exitInput || !strings.Contains(complaint, "can be reached from other machines") {
		t.Errorf("status %d, complained %q; want 2 and a refusal", status, complaint)
	}
	if _, err := os.Stat(folder); err == nil {
		t.Error("a demonstration that is refused made its folder")
	}
}

// A stop while the workshop is being made leaves no half of it behind.
func TestDemoStoppedHalfWay(t *testing.T) {
	folder := t.TempDir()
	ctx, cancel := context.WithTimeout(context.Background(), 400*time.Millisecond)
	defer cancel()
	status := run(ctx, []string{"demo", "--data", folder, "--addr", "127.0.0.1:0", "--log-level", "error"}, streams{in: strings.NewReader(""), out: io.Discard, err: io.Discard})
	if status != exitDone {
		t.Errorf("stopped half-way the status is %d, want 0", status)
	}
	p := start(t, "demo", "--data", folder, "--addr", "127.0.0.1:0", "--log-level", "error")
	p.says(`(http://127\.0\.0\.1:\d+)`)
	p.ends()
}
