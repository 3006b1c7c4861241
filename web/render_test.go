package web

import (
	"errors"
	"io/fs"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

// The structs below stand for the server's, see templates/README.md.
type (
	testPage struct {
		Lang, Title, Nav, Workshop, Printed, Notice string
		SignedIn                                    *testWho
		NowCount                                    int
		Invented                                    bool
		Problems                                    []testProblem
	}
	testWho struct {
		Name                             string
		IsFitter, IsProsthetist, IsOwner bool
	}
	testProblem struct{ Field, Label, Message string }
	testOption  struct {
		Value, Label string
		Chosen       bool
	}
	testSignIn struct {
		testPage
		SignIn, Next string
		DemoSignIns  []struct{ Who, SignIn, Password string }
	}
	testPassword struct {
		testPage
		Name, SignIn string
		First        bool
		Typed        map[string]string
	}
	testError struct {
		testPage
		Sentence, Reference string
	}
	testRow struct {
		Name, Label, Value, Third, First, FirstValue, Last, LastMM string
	}
	testTable struct {
		Title, PassName string
		Pass            int
		Blind           bool
		Third           bool
		Rows            []testRow
	}
)

// hostile is what a person might type into any field to break out of the page.
const hostile = `"><script>alert(1)</script>' onload=x {{.}} </title></textarea> javascript:alert(1)`

// onePage parses a page that exists only in a test, with the real layouts and
// partials around it.
func onePage(t *testing.T, body string) *Renderer {
	t.Helper()
	tree := fstest.MapFS{"pages/test.html": {Data: []byte(body)}}
	for _, dir := range []string{"layout", "partials"} {
		files, err := fs.Glob(Templates, dir+"/*.html")
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			data, err := fs.ReadFile(Templates, f)
			if err != nil {
				t.Fatal(err)
			}
			tree[f] = &fstest.MapFile{Data: data}
		}
	}
	catalogue, err := OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	r, err := newRenderer(tree, catalogue, []string{"test"})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func render(t *testing.T, r *Renderer, page string, data any) string {
	t.Helper()
	out, err := r.Render(page, "en", data)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// onAttribute finds what the content policy refuses: styles and handlers inside
// a tag, scripts inside the page.
var (
	refusedAttribute = regexp.MustCompile(`(?i)<[^>]*\s(style|on[a-z]+)=`)
	inlineScript     = regexp.MustCompile(`(?i)<script(?:\s[^>]*)?>[^<\s]`)
	quoted           = regexp.MustCompile(`"[^"]*"`)
)

func checkSafe(t *testing.T, html string) {
	t.Helper()
	if strings.Contains(html, "<script>") || strings.Contains(html, "alert(1)</script>") {
		t.Error("typed text has become a script")
	}
	bare := quoted.ReplaceAllString(html, `""`)
	if m := refusedAttribute.FindString(bare); m != "" {
		t.Errorf("the content policy refuses %q", m)
	}
	for _, m := range inlineScript.FindAllString(html, -1) {
		if !strings.Contains(m, `type="application/json"`) {
			t.Errorf("script inside the page: %q", m)
		}
	}
	if strings.Contains(html, "ZgotmplZ") || strings.Contains(html, "<no value>") || strings.Contains(html, "%!") {
		t.Error("a value was refused or missing")
	}
}

func TestPagesTakeHostileText(t *testing.T) {
	r, err := NewRenderer()
	if err != nil {
		t.Fatal(err)
	}
	problems := []testProblem{{"name", hostile, hostile}, {"password", "", hostile}, {"", "", hostile}}
	base := testPage{Lang: "en", Title: hostile, Workshop: hostile, Printed: hostile, Notice: hostile, Invented: true, Problems: problems}
	typed := map[string]string{"name": hostile, "sign_in": hostile, "is_fitter": "yes"}
	tests := []struct {
		name, page string
		data       any
		want       []string
	}{
		{"sign-in", "sign-in", testSignIn{testPage: base, SignIn: hostile, Next: hostile}, []string{`autocomplete="current-password"`, `name="next"`}},
		{"first password", "choose-password", testPassword{testPage: base, First: true, Typed: typed}, []string{`name="is_fitter" value="yes" checked`, `autocomplete="new-password"`}},
		{"another password", "choose-password", testPassword{testPage: base, Name: hostile, SignIn: hostile}, []string{`autocomplete="username"`}},
		{"error", "error", testError{testPage: base, Sentence: hostile, Reference: hostile}, []string{`href="/"`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := render(t, r, tt.page, tt.data)
			checkSafe(t, got)
			for _, want := range append(tt.want, "Error:", "3 things need another look", "everything here is invented", "It does not diagnose or treat") {
				if !strings.Contains(got, want) {
					t.Errorf("no %q in the page", want)
				}
			}
		})
	}
}

func TestLayoutByRole(t *testing.T) {
	r := onePage(t, `{{template "page" .}}{{define "main"}}<h1>Here</h1>{{end}}`)
	tests := []struct {
		name      string
		who       *testWho
		now       int
		want, not []string
	}{
		{"nobody", nil, 0, nil, []string{"<nav", "/sign-out", "/clients", "/setup"}},
		{"fitter", &testWho{Name: "Kit", IsFitter: true}, 0, []string{"/today", "/clients", "/sign-out", ">Kit<"}, []string{"/setup", "now-count", " now, unseen<"}},
		{"prosthetist", &testWho{IsProsthetist: true}, 1, []string{"/today", "1 now, unseen<"}, []string{"/setup"}},
		{"owner", &testWho{IsOwner: true}, 0, []string{"/setup"}, []string{"/today", "/clients"}},
		{"all", &testWho{IsFitter: true, IsOwner: true}, 12, []string{"/today", "/setup", "12 now, unseen<"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := render(t, r, "test", testPage{Lang: "en", Title: "T", SignedIn: tt.who, NowCount: tt.now, Nav: "today"})
			checkSafe(t, got)
			for _, w := range append(tt.want, `lang="en"`, "<title>T · Fairlead</title>", `href="#main"`, "<h1>Here</h1>") {
				if !strings.Contains(got, w) {
					t.Errorf("no %q in the page", w)
				}
			}
			for _, w := range tt.not {
				if strings.Contains(got, w) {
					t.Errorf("%q in the page", w)
				}
			}
		})
	}
}

func TestPartials(t *testing.T) {
	options := []testOption{{"left", "Left", false}, {"right", hostile, true}}
	problems := []testProblem{{"f", "Length", "Type a number"}, {"g", "", "Other"}}
	row := testRow{Name: "limb.6", Label: "6 cm", First: "33.4", FirstValue: "33.4", Last: "33.1", LastMM: "331.0"}
	done := testRow{Name: "limb.9", Label: "9 cm", First: hostile, FirstValue: hostile, Value: hostile, Third: "30", Last: "30.0", LastMM: "300.0"}
	tests := []struct {
		name, use string
		arg       any
		want      []string
	}{
		{"mark now", `{{template "mark" "now"}}`, nil, []string{`class="mark now"`, "<svg", "Now"}},
		{"mark overdue", `{{template "mark" "overdue"}}`, nil, []string{`class="mark due"`, "<svg", "Overdue"}},
		{"mark steady", `{{template "mark" "steady"}}`, nil, []string{"Steady"}},
		{"mark of nothing", `{{template "mark" ""}}`, nil, []string{"Nothing open"}},
		{"mark of a named type", `{{template "mark" .}}`, level("soon"), []string{`class="mark soon"`}},
		{"field with its problem", `{{template "field" (dict "Name" "f" "Label" "L" "Hint" "H" "Unit" "cm" "Mode" "decimal" "Problems" .)}}`, problems,
			[]string{`for="f"`, `aria-invalid="true"`, `aria-describedby="f-problem f-hint"`, `id="f-problem"`, "Type a number", `inputmode="decimal"`, `class="unit">cm<`}},
		{"field without", `{{template "field" (dict "Name" "h" "Label" "L" "Hint" "H" "Problems" .)}}`, problems, []string{`aria-describedby="h-hint"`, `value=""`}},
		{"textarea", `{{template "textarea" (dict "Name" "f" "Label" "L" "Value" . "Problems" nil)}}`, hostile, []string{"&lt;/textarea&gt;", `rows="4"`}},
		{"select", `{{template "select" (dict "Name" "s" "Label" "L" "Options" . "Value" "left" "Empty" "choose" "Problems" nil)}}`, options,
			[]string{`<option value="left" selected>Left<`, `<option value="">choose<`}},
		{"choices", `{{template "choices" (dict "Name" "s" "Label" "L" "Options" . "Value" "left" "Problems" nil)}}`, options, []string{`value="left" checked`, `type="radio"`}},
		{"many choices", `{{template "choices" (dict "Name" "s" "Label" "L" "Options" . "Many" true "Problems" nil)}}`, options, []string{`value="right" checked`, `type="checkbox"`}},
		{"pager", `{{template "pager" (dict "Next" .)}}`, "/clients?after=x&n=1", []string{`href="/clients?after=x&amp;n=1"`, `rel="next"`}},
		{"pager with nowhere to go", `[{{template "pager" (dict "Next" "")}}]`, nil, []string{"[]"}},
		{"minus", `{{minus -4.5}} {{minus "-2"}} {{minus 3}}`, nil, []string{"−4.5 −2 3"}},
		{"flag", `{{template "flag" .}}`, struct{ Level, Claim, Rest, Why, Link, LinkLabel string }{"soon", hostile, hostile, hostile, "/f", "Evidence"}, []string{`class="mark soon"`, `href="/f"`}},
		{"draft", `{{template "draft-state" (dict "Saved" "10:42" "Look" .)}}`, hostile, []string{"Saved 10:42", `role="status"`}},
		{"clock", `{{template "clock" (dict "ID" "c" "Zone" "Europe/Berlin" "OffName" "off" "FirstName" "first" "Off" . "Problems" nil)}}`, hostile, []string{`data-zone="Europe/Berlin"`, `name="first"`}},
		{"words", `{{template "checkin-words"}}`, nil, []string{`"saved": "Saved {time}"`, `"apart": "{apart} apart: once more"`}},
		{"first pass", `{{template "girth-rows" (dict "Part" . "Unit" "cm" "Problems" nil)}}`, testTable{PassName: "first pass", Pass: 1, Rows: []testRow{row}},
			[]string{`name="limb.6.1"`, `aria-label="6 cm, first pass"`, `data-pass-now="1"`}},
		{"second pass", `{{template "girth-rows" (dict "Part" . "Unit" "cm" "Problems" nil)}}`, testTable{PassName: "second pass", Pass: 2, Blind: true, Third: true, Rows: []testRow{row, done}},
			[]string{`name="limb.6.2"`, `covered" data-entered="entered"`, `name="limb.6.3"`, `data-last-mm="331.0"`, `<span data-last hidden>`, `<span data-last>`, `aria-label="6 cm, second pass"`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := onePage(t, tt.use)
			got := render(t, r, "test", tt.arg)
			checkSafe(t, got)
			for _, w := range tt.want {
				if !strings.Contains(got, w) {
					t.Errorf("no %q in\n%s", w, got)
				}
			}
		})
	}
}

type level string

func TestRendererRefuses(t *testing.T) {
	catalogue, err := OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	layout := func(page string) fstest.MapFS {
		return fstest.MapFS{
			"layout/a.html": {Data: []byte(`{{define "a"}}x{{end}}`)}, "partials/b.html": {Data: []byte(`{{define "b"}}{{if .}}{{else}}{{t "layout.today"}}{{end}}{{end}}`)},
			"pages/p.html": {Data: []byte(page)},
		}
	}
	tests := []struct {
		name, page string
		wanted     []string
	}{
		{"an unknown partial", `{{if .}}{{template "nowhere" .}}{{end}}`, []string{"p"}},
		{"an unknown text", `{{range .}}{{else}}{{t "no.such.text"}}{{end}}`, []string{"p"}},
		{"an unknown text inside an argument", `{{template "b" (dict "L" (t "no.such.text"))}}`, []string{"p"}},
		{"an unknown asset", `{{with .}}{{asset "sight.css"}}{{end}}`, []string{"p"}},
		{"an unknown function", `{{shout "x"}}`, []string{"p"}},
		{"a broken template", `{{if}}`, []string{"p"}},
		{"a page without a file", `x`, []string{"p", "q"}},
		{"a file without a page", `x`, []string{"q"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := newRenderer(layout(tt.page), catalogue, tt.wanted); err == nil {
				t.Error("it is taken")
			}
		})
	}
	r, err := newRenderer(layout(`{{template "a"}}{{.Name.Nothing}}`), catalogue, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.Render("q", "en", nil); !errors.Is(err, ErrNoPage) {
		t.Errorf("got %v, want ErrNoPage", err)
	}
	if out, err := r.Render("p", "en", struct{ Name string }{"x"}); err == nil || out != nil {
		t.Errorf("half a page is handed out: %q, %v", out, err)
	}
}

// TestTemplatesKeepThePolicy looks into every template file, those of pages
// that this package can't fill among them.
func TestTemplatesKeepThePolicy(t *testing.T) {
	err := fs.WalkDir(Templates, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, ".html") {
			return err
		}
		data, err := fs.ReadFile(Templates, name)
		if err != nil {
			return err
		}
		text := regexp.MustCompile(`\{\{.*?\}\}`).ReplaceAllString(string(data), "")
		if m := refusedAttribute.FindString(text); m != "" {
			t.Errorf("%s: the content policy refuses %q", name, m)
		}
		for _, m := range inlineScript.FindAllString(text, -1) {
			if !strings.Contains(m, `type="application/json"`) {
				t.Errorf("%s: script inside the page: %q", name, m)
			}
		}
		said := regexp.MustCompile(`<[^>]*>|[a-z-]+="[^"]*"`).ReplaceAllString(text, " ")
		if word := forbidden.FindString(said); word != "" {
			t.Errorf("%s says %q", name, word)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
