package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"
	"sync"
)

// StaticPath is the path under which the server mounts [Static].
const StaticPath = "/static/"

// contentTypes lists what is served, by extension. It does not ask the
// operating system, whose tables differ from machine to machine. A file with
// another extension (a licence, a README) is in the binary but has no address.
var contentTypes = map[string]string{
	".css":   "text/css; charset=utf-8",
	".js":    "text/javascript; charset=utf-8",
	".svg":   "image/svg+xml",
	".woff2": "font/woff2",
}

// file is one static file, ready to be sent.
type file struct {
	contentType string
	plain       []byte
	packed      []byte // gzip of plain; nil for what is compressed already
}

// assets is the static tree with the hash that stands in every address.
//
// There is one hash for the whole tree, not one per file: so a style sheet can
// name a font, and a script another script, by a relative address, and always
// gets the one of its own release.
type assets struct {
	hash  string
	files map[string]file
}

// loaded reads and packs the tree at its first use, which keeps commands that
// serve nothing quick.
var loaded = sync.OnceValues(func() (assets, error) { return readAssets(folder("static")) })

func readAssets(tree fs.FS) (assets, error) {
	a := assets{files: map[string]file{}}
	sum := sha256.New()
	err := fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		contentType, ok := contentTypes[path.Ext(name)]
		if !ok {
			return nil
		}
		f := file{contentType: contentType}
		if f.plain, err = fs.ReadFile(tree, name); err != nil {
			return err
		}
		if path.Ext(name) != ".woff2" {
			if f.packed, err = pack(f.plain); err != nil {
				return fmt.Errorf("packing %s: %w", name, err)
			}
		}
		a.files[name] = f
		fmt.Fprintf(sum, "%s\x00%d\x00", name, len(f.plain))
		sum.Write(f.plain)
		return nil
	})
	if err != nil {
		return assets{}, fmt.Errorf("reading the static files: %w", err)
	}
	a.hash = hex.EncodeToString(sum.Sum(nil)[:8])
	return a, nil
}

func pack(plain []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(plain); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// Asset returns the address of a static file, such as
// /static/0a1b2c3d4e5f6071/site.css for "site.css". The address changes with
// the content, so that it can be kept for ever. An unknown name is an error,
// which makes a misspelt name in a template fail at start.
func Asset(name string) (string, error) {
	a, err := loaded()
	if err != nil {
		return "", err
	}
	if _, ok := a.files[name]; !ok {
		return "", fmt.Errorf("no static file %q in web/static", name)
	}
	return StaticPath + a.hash + "/" + name, nil
}

// Static serves the static files at the addresses that [Asset] gives, packed
// where the browser takes gzip. Any other address, an old hash among them, is
// 404 and is not cached.
func Static() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a, err := loaded()
		if err != nil {
			http.Error(w, "The static files can't be read.", http.StatusInternalServerError)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "Only GET and HEAD.", http.StatusMethodNotAllowed)
			return
		}
		name, ok := strings.CutPrefix(r.URL.Path, StaticPath+a.hash+"/")
		f, known := a.files[name]
		if !ok || !known {
			w.Header().Set("Cache-Control", "no-store")
			http.NotFound(w, r)
			return
		}
		f.send(w, r)
	})
}

func (f file) send(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", f.contentType)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	body := f.plain
	if f.packed != nil {
		h.Set("Vary", "Accept-Encoding")
		if acceptsGzip(r.Header.Get("Accept-Encoding")) {
			h.Set("Content-Encoding", "gzip")
			body = f.packed
		}
	}
	h.Set("Content-Length", strconv.Itoa(len(body)))
	if r.Method == http.MethodGet {
		// A write fails only when the browser has gone away.
		_, _ = w.Write(body)
	}
}

// acceptsGzip tells whether an Accept-Encoding header names gzip and does not
// refuse it with a weight of nought.
func acceptsGzip(header string) bool {
	for part := range strings.SplitSeq(header, ",") {
		coding, weight, _ := strings.Cut(strings.TrimSpace(part), ";")
		if !strings.EqualFold(strings.TrimSpace(coding), "gzip") {
			continue
		}
		q, ok := strings.CutPrefix(strings.ReplaceAll(weight, " ", ""), "q=")
		if !ok {
			return true
		}
		value, err := strconv.ParseFloat(q, 64)
		return err == nil && value > 0
	}
	return false
}
