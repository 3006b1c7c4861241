package web

import (
	"bytes"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"path"
	"slices"
	"strings"
)

// Renderer turns page structs into HTML. It is safe for use by several
// goroutines: a set of templates is parsed for each page and language at start
// and never changed after.
type Renderer struct {
	catalogue *Catalogue
	pages     map[string]map[string]*template.Template // language → page → set
}

// ErrNoPage is returned for a page that has no template.
var ErrNoPage = errors.New("no such page")

// NewRenderer parses the embedded templates, one set per page: layouts,
// partials and the page itself, templates/pages/<name>.html. It fails when a
// named page has no template, when a template uses a partial, text or asset
// that is not there, or when a template has no name in pages; with no names
// given it takes every page there is.
func NewRenderer(pages ...string) (*Renderer, error) {
	catalogue, err := OpenCatalogue()
	if err != nil {
		return nil, err
	}
	return newRenderer(Templates, catalogue, pages)
}

func newRenderer(tree fs.FS, catalogue *Catalogue, wanted []string) (*Renderer, error) {
	files, err := fs.Glob(tree, "pages/*.html")
	if err != nil {
		return nil, err
	}
	var found []string
	for _, f := range files {
		found = append(found, strings.TrimSuffix(path.Base(f), ".html"))
	}
	if len(wanted) == 0 {
		wanted = found
	}
	for _, name := range found {
		if !slices.Contains(wanted, name) {
			return nil, fmt.Errorf("templates/pages/%s.html belongs to no declared page", name)
		}
	}
	r := &Renderer{catalogue: catalogue, pages: map[string]map[string]*template.Template{}}
	for _, lang := range catalogue.languages {
		r.pages[lang] = map[string]*template.Template{}
		for _, name := range wanted {
			if !slices.Contains(found, name) {
				return nil, fmt.Errorf("%w: templates/pages/%s.html is missing", ErrNoPage, name)
			}
			set, err := parsePage(tree, catalogue, lang, name)
			if err != nil {
				return nil, err
			}
			r.pages[lang][name] = set
		}
	}
	return r, nil
}

func parsePage(tree fs.FS, catalogue *Catalogue, lang, name string) (*template.Template, error) {
	file := name + ".html"
	set, err := template.New(file).Funcs(funcs(catalogue, lang)).
		ParseFS(tree, "layout/*.html", "partials/*.html", "pages/"+file)
	if err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	if err := complete(set, catalogue, lang); err != nil {
		return nil, fmt.Errorf("page %s: %w", name, err)
	}
	return set, nil
}

// Render returns the page as HTML, in the language of the catalogue that fits
// lang best. Nothing is returned on an error, so that half a page is never
// sent. data is the page's struct, see templates/README.md.
func (r *Renderer) Render(page, lang string, data any) ([]byte, error) {
	set, ok := r.pages[r.catalogue.Match(lang)][page]
	if !ok {
		return nil, fmt.Errorf("%w: %q", ErrNoPage, page)
	}
	var b bytes.Buffer
	if err := set.Execute(&b, data); err != nil {
		return nil, fmt.Errorf("page %s: %w", page, err)
	}
	return b.Bytes(), nil
}

// Say returns a text of the catalogue; see [Catalogue.Say].
func (r *Renderer) Say(lang, id string, args map[string]any) (string, error) {
	return r.catalogue.Say(lang, id, args)
}

// Catalogue returns the catalogue that the pages are rendered with.
func (r *Renderer) Catalogue() *Catalogue { return r.catalogue }

// funcs are the functions that every template may call:
//
//	t "id" "Key" value …     a text of the catalogue; "Count" chooses the plural
//	asset "site.css"         the address of a static file
//	minus value              a number with a real minus sign
//	dict "Key" value …       a map, for the arguments of a partial
//	list a b …               a slice
func funcs(catalogue *Catalogue, lang string) template.FuncMap {
	return template.FuncMap{
		"t": func(id string, list ...any) (string, error) {
			args, err := pairs("t "+id, list)
			if err != nil {
				return "", err
			}
			return catalogue.Say(lang, id, args)
		},
		"asset": Asset,
		"minus": minus,
		"dict":  func(list ...any) (map[string]any, error) { return pairs("dict", list) },
		"list":  func(list ...any) []any { return list },
	}
}

// minus writes a number, or the text of one, with a real minus sign (U+2212):
// a hyphen is shorter than a plus sign and may be left behind at a line's end.
func minus(v any) string {
	text := fmt.Sprint(v)
	if rest, ok := strings.CutPrefix(text, "-"); ok {
		return "−" + rest
	}
	return text
}
