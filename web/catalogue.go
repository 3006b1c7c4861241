package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
)

// DefaultLanguage is the language that every text exists in.
const DefaultLanguage = "en"

// Catalogue holds everything that the program says on screen, by language and
// id. It is safe for use by several goroutines.
type Catalogue struct {
	languages  []string // the default first
	matcher    language.Matcher
	localizers map[string]*i18n.Localizer
	blanks     map[string]map[string][]string // language → id → names of the blanks in the text
}

// blank finds the names that a text wants filled in, such as Limit in
// "at most {{.Limit}}".
var blank = regexp.MustCompile(`\{\{[^}]*?\.(\w+)[^}]*\}\}`)

// OpenCatalogue reads the embedded texts, web/text/<language>/*.json. A text
// that stands in two files of a language is an error.
func OpenCatalogue() (*Catalogue, error) { return readCatalogue(folder("text")) }

func readCatalogue(tree fs.FS) (*Catalogue, error) {
	folders, err := fs.ReadDir(tree, ".")
	if err != nil {
		return nil, fmt.Errorf("reading the catalogue: %w", err)
	}
	c := &Catalogue{
		languages:  []string{DefaultLanguage},
		localizers: map[string]*i18n.Localizer{},
		blanks:     map[string]map[string][]string{},
	}
	bundle := i18n.NewBundle(language.MustParse(DefaultLanguage))
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		if err := c.addLanguage(bundle, tree, f.Name()); err != nil {
			return nil, err
		}
	}
	if len(c.blanks[DefaultLanguage]) == 0 {
		return nil, fmt.Errorf("the catalogue has no texts in %q", DefaultLanguage)
	}
	tags := make([]language.Tag, len(c.languages))
	for i, l := range c.languages {
		if tags[i], err = language.Parse(l); err != nil {
			return nil, fmt.Errorf("folder of the catalogue %q is no language: %w", l, err)
		}
		c.localizers[l] = i18n.NewLocalizer(bundle, l)
	}
	c.matcher = language.NewMatcher(tags)
	return c, nil
}

func (c *Catalogue) addLanguage(bundle *i18n.Bundle, tree fs.FS, lang string) error {
	files, err := fs.Glob(tree, path.Join(lang, "*.json"))
	if err != nil {
		return err
	}
	blanks := map[string][]string{}
	for _, name := range files {
		data, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		var texts map[string]json.RawMessage
		if err := json.Unmarshal(data, &texts); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		for id, text := range texts {
			if _, twice := blanks[id]; twice {
				return fmt.Errorf("%s: %q is in another file of %q too", name, id, lang)
			}
			blanks[id] = blanksOf(string(text))
		}
		if _, err := bundle.ParseMessageFileBytes(data, lang+".json"); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	c.blanks[lang] = blanks
	if lang != DefaultLanguage {
		c.languages = append(c.languages, lang)
	}
	return nil
}

func blanksOf(text string) []string {
	var names []string
	for _, m := range blank.FindAllStringSubmatch(text, -1) {
		if !slices.Contains(names, m[1]) {
			names = append(names, m[1])
		}
	}
	return names
}

// Match returns the language of the catalogue that fits best: wanted may be a
// tag such as "de-AT" or the text of an Accept-Language header. What fits
// nothing gives the default.
func (c *Catalogue) Match(wanted string) string {
	_, i := language.MatchStrings(c.matcher, wanted)
	return c.languages[i]
}

// Has tells whether the language has a text with the id.
func (c *Catalogue) Has(lang, id string) bool {
	_, ok := c.blanks[lang][id]
	return ok
}

// ErrNoText is returned for an id that is not in the catalogue.
var ErrNoText = errors.New("no such text in the catalogue")

// Say returns the text with the id in the language (matched as in
// [Catalogue.Match]), its blanks filled from args. The argument Count, a whole
// number, chooses between the plural forms of a text. A missing id gives
// [ErrNoText]; a blank without an argument is an error too, since half a
// sentence must not reach a page. The text is plain: escape it like any other.
func (c *Catalogue) Say(lang, id string, args map[string]any) (string, error) {
	if _, exact := c.blanks[lang]; !exact {
		lang = c.Match(lang)
	}
	blanks, ok := c.blanks[lang][id]
	if !ok {
		return "", fmt.Errorf("%w: %q in %q", ErrNoText, id, lang)
	}
	for _, b := range blanks {
		if _, given := args[b]; !given {
			return "", fmt.Errorf("text %q: nothing given for its blank %s", id, b)
		}
	}
	config := &i18n.LocalizeConfig{MessageID: id, TemplateData: args}
	if n, ok := args["Count"]; ok {
		config.PluralCount = n
	}
	text, err := c.localizers[lang].Localize(config)
	if err != nil {
		return "", fmt.Errorf("text %q: %w", id, err)
	}
	return text, nil
}

// pairs makes a map of "key", value, "key", value, ….
func pairs(of string, list []any) (map[string]any, error) {
	if len(list)%2 != 0 {
		return nil, fmt.Errorf("%s: a key without a value in %v", of, list)
	}
	m := make(map[string]any, len(list)/2)
	for i := 0; i < len(list); i += 2 {
		key, ok := list[i].(string)
		if !ok || strings.TrimSpace(key) == "" {
			return nil, fmt.Errorf("%s: key %v is not a name", of, list[i])
		}
		m[key] = list[i+1]
	}
	return m, nil
}
