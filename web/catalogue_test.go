package web

import (
	"encoding/json"
	"errors"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func TestSay(t *testing.T) {
	c, err := readCatalogue(fstest.MapFS{
		"en/a.json": {Data: []byte(`{"a.plain": "Hello", "a.blank": "Hello {{.Name}}", "a.count": {"one": "{{.Count}} flag", "other": "{{.Count}} flags"}}`)},
		"de/a.json": {Data: []byte(`{"a.plain": "Hallo"}`)},
	})
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name, lang, id string
		args           map[string]any
		want           string
		wantErr        bool
	}{
		{"plain", "en", "a.plain", nil, "Hello", false},
		{"blank", "en", "a.blank", map[string]any{"Name": "Kit"}, "Hello Kit", false},
		{"markup stays text", "en", "a.blank", map[string]any{"Name": "<b>"}, "Hello <b>", false},
		{"one", "en", "a.count", map[string]any{"Count": 1}, "1 flag", false},
		{"many", "en", "a.count", map[string]any{"Count": 2}, "2 flags", false},
		{"none", "en", "a.count", map[string]any{"Count": 0}, "0 flags", false},
		{"other language", "de", "a.plain", nil, "Hallo", false},
		{"its dialect", "de-AT", "a.plain", nil, "Hallo", false},
		{"unknown language", "fr", "a.plain", nil, "Hello", false},
		{"missing id", "en", "a.none", nil, "", true},
		{"missing in the language", "de", "a.blank", map[string]any{"Name": "Kit"}, "", true},
		{"blank without an argument", "en", "a.blank", nil, "", true},
		{"blank with another argument", "en", "a.blank", map[string]any{"Nam": "Kit"}, "", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := c.Say(tt.lang, tt.id, tt.args)
			if (err != nil) != tt.wantErr || got != tt.want {
				t.Errorf("got %q, %v, want %q, error %v", got, err, tt.want, tt.wantErr)
			}
		})
	}
	if _, err := c.Say("en", "a.none", nil); !errors.Is(err, ErrNoText) {
		t.Errorf("got %v, want ErrNoText", err)
	}
}

func TestMatchTakesTheHeader(t *testing.T) {
	c, err := readCatalogue(fstest.MapFS{
		"en/a.json": {Data: []byte(`{"a": "a"}`)}, "de/a.json": {Data: []byte(`{"a": "a"}`)},
	})
	if err != nil {
		t.Fatal(err)
	}
	for header, want := range map[string]string{
		"de-CH,de;q=0.9,en;q=0.5": "de", "fr, en;q=0.8, de;q=0.7": "en", "": "en", "zz": "en", ";;": "en",
	} {
		if got := c.Match(header); got != want {
			t.Errorf("Match(%q) = %q, want %q", header, got, want)
		}
	}
}

func TestCatalogueRefuses(t *testing.T) {
	tests := map[string]fstest.MapFS{
		"an id in two files": {"en/a.json": {Data: []byte(`{"a.x": "1"}`)}, "en/b.json": {Data: []byte(`{"a.x": "2"}`)}},
		"broken json":        {"en/a.json": {Data: []byte(`{"a.x": `)}},
		"no English":         {"de/a.json": {Data: []byte(`{"a.x": "1"}`)}},
		"a folder that is no language": {
			"en/a.json": {Data: []byte(`{"a.x": "1"}`)}, "not a language/a.json": {Data: []byte(`{"a.x": "1"}`)},
		},
	}
	for name, tree := range tests {
		if _, err := readCatalogue(tree); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

// texts lists every text of a language by id, plural forms joined.
func texts(t *testing.T, lang string) map[string]string {
	t.Helper()
	files, err := fs.Glob(folder("text"), path.Join(lang, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{}
	for _, f := range files {
		data, err := fs.ReadFile(folder("text"), f)
		if err != nil {
			t.Fatal(err)
		}
		var m map[string]any
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatalf("%s: %v", f, err)
		}
		for id, v := range m {
			switch v := v.(type) {
			case string:
				all[id] = v
			case map[string]any:
				for _, form := range v {
					all[id] += form.(string) + "\n"
				}
			}
		}
	}
	return all
}

// forbidden are words that no screen says: those that blame or judge, names of
// findings that only a clinician may make, and the words that the trade has left.
var forbidden = regexp.MustCompile(`(?i)\b(stumps?|patients?|abnormal\w*|fail(s|ed|ure|ures)?|danger\w*|o?edema\w*|infect\w*|safe|normal|alerts?|detected|diagnos(is|ed)|disease[sd]?|invalid|illegal|fatal|lorem)\b`)

func TestNoForbiddenWords(t *testing.T) {
	c, err := OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range c.languages {
		for id, text := range texts(t, lang) {
			if word := forbidden.FindString(text); word != "" && !slices.Contains(allowedWords[id], strings.ToLower(word)) {
				t.Errorf("%s %q says %q: %s", lang, id, word, text)
			}
		}
	}
}

// allowedWords are the exceptions, by text, each with its reason.
var allowedWords = map[string][]string{
	// Conditions that the client names, asked once: the words of the list that a clinician gave.
	"fluid.heart-failure":    {"failure"},
	"fluid.kidney-disease":   {"disease"},
	"fluid.arterial-disease": {"disease"},
}

func TestForbiddenWordsAreFound(t *testing.T) {
	for _, text := range []string{"the stump", "Patients", "abnormally", "it failed", "Danger!", "oedema", "is it safe?"} {
		if !forbidden.MatchString(text) {
			t.Errorf("%q is let through", text)
		}
	}
	for _, text := range []string{"ask the safety questions", "normally distributed", "record-keeping aid"} {
		if forbidden.MatchString(text) {
			t.Errorf("%q is held back", text)
		}
	}
}

func TestEveryLanguageHasEveryText(t *testing.T) {
	c, err := OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	for _, lang := range c.languages {
		for id := range c.blanks[DefaultLanguage] {
			if !c.Has(lang, id) {
				t.Errorf("%s has no %q", lang, id)
			}
		}
		for id, blanks := range c.blanks[lang] {
			want := c.blanks[DefaultLanguage][id]
			for _, b := range blanks {
				if !slices.Contains(want, b) {
					t.Errorf("%s %q has a blank %s that %s has not", lang, id, b, DefaultLanguage)
				}
			}
		}
	}
}

// TestNoTextIsLeftOver looks for each id in the templates and among the strings
// of the Go code. The words of vocabularies, in vocabulary.json, are put together
// from the lists in the code and not looked for.
func TestNoTextIsLeftOver(t *testing.T) {
	c, err := OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	r, err := newRenderer(Templates, c, nil)
	if err != nil {
		t.Fatal(err)
	}
	used := goStrings(t)
	for _, set := range r.pages[DefaultLanguage] {
		for _, id := range mentionsOf(set).texts {
			used[id] = true
		}
	}
	vocabulary := idsOf(t, "text/en/vocabulary.json")
	for id := range c.blanks[DefaultLanguage] {
		base, last, dotted := cutLast(id)
		switch {
		case used[id], vocabulary[id]:
		case dotted && used[base+"."]: // put together, as "unit." and the unit
		case (last == "title" || last == "say") && used[base]: // an error's two texts
		default:
			t.Errorf("nothing uses %q", id)
		}
	}
}

// idsOf lists the ids of one file.
func idsOf(t *testing.T, name string) map[string]bool {
	t.Helper()
	data, err := fs.ReadFile(embedded, name)
	if err != nil {
		t.Fatal(err)
	}
	var m map[string]any
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatal(err)
	}
	ids := map[string]bool{}
	for id := range m {
		ids[id] = true
	}
	return ids
}

func cutLast(id string) (before, after string, ok bool) {
	i := strings.LastIndexByte(id, '.')
	if i < 0 {
		return id, "", false
	}
	return id[:i], id[i+1:], true
}
