package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"
)

func TestAssetAddress(t *testing.T) {
	url, err := Asset("site.css")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(url, StaticPath) || !strings.HasSuffix(url, "/site.css") {
		t.Errorf("Asset(site.css) = %q", url)
	}
	if _, err := Asset("sight.css"); err == nil {
		t.Error("a misspelt name has an address")
	}
	if _, err := Asset("vendor/README.md"); err == nil {
		t.Error("a file that is not for browsers has an address")
	}
}

func TestHashFollowsContent(t *testing.T) {
	hash := func(name, content string) string {
		a, err := readAssets(fstest.MapFS{name: {Data: []byte(content)}})
		if err != nil {
			t.Fatal(err)
		}
		return a.hash
	}
	base := hash("a.css", "x")
	if hash("a.css", "x") != base {
		t.Error("the same content gives another hash")
	}
	if hash("a.css", "y") == base || hash("b.css", "x") == base {
		t.Error("other content or another name gives the same hash")
	}
}

func TestStatic(t *testing.T) {
	css, err := Asset("site.css")
	if err != nil {
		t.Fatal(err)
	}
	font, err := Asset("vendor/source-sans-3/source-sans-3-latin-wght-normal.woff2")
	if err != nil {
		t.Fatal(err)
	}
	script, err := Asset("checkin/girths.js")
	if err != nil {
		t.Fatal(err)
	}
	old := strings.Replace(css, strings.Split(css, "/")[2], "0000000000000000", 1)
	tests := []struct {
		name, method, path, accept string
		wantStatus                 int
		wantType, wantEncoding     string
		wantCache                  string
	}{
		{"style sheet", "GET", css, "", 200, "text/css; charset=utf-8", "", "immutable"},
		{"style sheet packed", "GET", css, "br, gzip;q=0.8", 200, "text/css; charset=utf-8", "gzip", "immutable"},
		{"gzip refused", "GET", css, "gzip;q=0", 200, "text/css; charset=utf-8", "", "immutable"},
		{"script in a folder", "GET", script, "gzip", 200, "text/javascript; charset=utf-8", "gzip", "immutable"},
		{"font is not packed twice", "GET", font, "gzip", 200, "font/woff2", "", "immutable"},
		{"head", "HEAD", css, "gzip", 200, "text/css; charset=utf-8", "gzip", "immutable"},
		{"hash of another release", "GET", old, "", 404, "text/plain; charset=utf-8", "", "no-store"},
		{"unknown file", "GET", css + "x", "", 404, "text/plain; charset=utf-8", "", "no-store"},
		{"no way out of the tree", "GET", strings.TrimSuffix(css, "site.css") + "../web.go", "", 404, "text/plain; charset=utf-8", "", "no-store"},
		{"folder", "GET", strings.TrimSuffix(css, "site.css"), "", 404, "text/plain; charset=utf-8", "", "no-store"},
		{"post", "POST", css, "", 405, "text/plain; charset=utf-8", "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest(tt.method, "http://x/", nil)
			r.URL.Path = tt.path
			r.Header.Set("Accept-Encoding", tt.accept)
			w := httptest.NewRecorder()
			Static().ServeHTTP(w, r)
			got := w.Result()
			if got.StatusCode != tt.wantStatus {
				t.Fatalf("status %d, want %d", got.StatusCode, tt.wantStatus)
			}
			if got.Header.Get("Content-Type") != tt.wantType {
				t.Errorf("type %q, want %q", got.Header.Get("Content-Type"), tt.wantType)
			}
			if got.Header.Get("Content-Encoding") != tt.wantEncoding {
				t.Errorf("encoding %q, want %q", got.Header.Get("Content-Encoding"), tt.wantEncoding)
			}
			if !strings.Contains(got.Header.Get("Cache-Control"), tt.wantCache) {
				t.Errorf("cache %q, want %q", got.Header.Get("Cache-Control"), tt.wantCache)
			}
			if tt.method == http.MethodHead && w.Body.Len() != 0 {
				t.Error("HEAD has a body")
			}
		})
	}
}

func TestPackedIsTheSame(t *testing.T) {
	a, err := loaded()
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range a.files {
		if f.packed == nil {
			continue
		}
		z, err := gzip.NewReader(bytes.NewReader(f.packed))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := io.ReadAll(z)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !bytes.Equal(got, f.plain) {
			t.Errorf("%s: unpacking gives something else", name)
		}
	}
}
