package server

import (
	"encoding/json"
	"html"
	"maps"
	"net/url"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairlead/models"
)

// TestMergeOfOneField goes through all ways in which what was shown, what was
// typed and what the draft has can agree or differ.
func TestMergeOfOneField(t *testing.T) {
	tests := []struct {
		name              string
		shown, typed, now string
		old               bool // the page does not say what it showed
		version           int  // of the draft; the page has version 1
		mine, differ      bool
	}{
		{name: "nobody touched it", shown: "33.4", typed: "33.4", now: "33.4"},
		{name: "only the other did", shown: "", typed: "", now: "33.4", version: 2},
		{name: "the other cleared it", shown: "33.4", typed: "33.4", now: "", version: 2},
		{name: "only this page did", shown: "", typed: "33.4", now: "", version: 2, mine: true},
		{name: "this page cleared it", shown: "33.4", typed: "", now: "33.4", version: 2, mine: true},
		{name: "both, alike", shown: "", typed: "33.4", now: "33.4", version: 2},
		{name: "both, differently", shown: "", typed: "33.4", now: "34.3", version: 2, differ: true},
		{name: "cleared here, changed there", shown: "33.4", typed: "", now: "34.3", version: 2, differ: true},
		{name: "line ends of a browser", shown: "a\nb", typed: "a\r\nb", now: "c", version: 2},
		{name: "not told, newest version", old: true, typed: "33.4", now: "34.3", version: 1, mine: true},
		{name: "not told, older version", old: true, typed: "", now: "34.3", version: 2, differ: true},
		{name: "not told, older version, alike", old: true, typed: "34.3", now: "34.3", version: 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := sent{version: 1, typed: map[string]string{"f": tt.typed}}
			if !tt.old {
				in.shown = map[string]string{"f": tt.shown}
			}
			mine, differ := in.against(models.Draft{Version: tt.version, Fields: map[string]string{"f": tt.now}})
			if text, taken := mine["f"]; taken != tt.mine || taken && text != tt.typed || len(differ) == 1 != tt.differ {
				t.Errorf("taken %v, differ %v; want taken %v, differ %v", mine, differ, tt.mine, tt.differ)
			}
		})
	}
}

// TestTwoPeopleTypeDifferentFields keeps both without asking.
func TestTwoPeopleTypeDifferentFields(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-060")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.Start(client.Client)
	kits, lous := formOf(t, kit.Get(draft+"/residual-1")), formOf(t, lou.Get(draft+"/residual-1"))
	lous.Set("limb1.residual.0.1", "33.4")
	lou.PostForm(draft+"/residual-1", lous).Has(t, 303)
	kits.Set("limb1.residual.300.1", "33.7")
	kits.Set("limb1.posture", "standing")
	kit.PostForm(draft+"/residual-1", kits).To(t, "residual-2")
	kit.Get(draft+"/residual-1").Has(t, 200, `value="33.4"`, `value="33.7"`, `value="standing"`)
}

// TestTwoPeopleTypeTheSameField asks about that field alone and keeps the rest.
func TestTwoPeopleTypeTheSameField(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-061")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.Start(client.Client)
	kit.Fill(draft, "talk", "talk", "first words", "weight", "71").To(t, "socks")
	kits, lous := formOf(t, kit.Get(draft+"/talk")), formOf(t, lou.Get(draft+"/talk"))
	lous.Set("talk", "Lou's words")
	lous.Set("weight", "72")
	lous.Set("room", "hot")
	lou.PostForm(draft+"/talk", lous).To(t, "socks")
	kits.Set("talk", "Kit's words")
	kits.Set("weight", "") // cleared, which never wins by itself
	kits.Set("pain_worst", "3")
	clash := kit.PostForm(draft+"/talk", kits)
	clash.Has(t, 409, `value="Kit&#39;s words" checked`, `value="Lou&#39;s words"`, `value="72" checked`, "(empty)")
	for _, field := range []string{"room", "pain_worst", "comfort_average"} {
		if strings.Contains(clash.Body, `name="`+field+`"`) {
			t.Errorf("%s is asked about, which one alone or nobody typed", field)
		}
	}
	now := draftOf(t, site, draft).Fields
	if now["pain_worst"] != "3" || now["room"] != "hot" || now["talk"] != "Lou's words" {
		t.Errorf("until somebody chooses the draft holds %q", now)
	}
	kit.PostForm(draft+"/talk", formOf(t, clash)).To(t, "socks")
	now = draftOf(t, site, draft).Fields
	if now["talk"] != "Kit's words" || now["weight"] != "72" || now["pain_worst"] != "3" || now["room"] != "hot" {
		t.Errorf("the draft holds %q", now)
	}
}

// TestUntouchedPageChangesNothing sends every page of a check-in as it was shown,
// after somebody else has changed all that is on it.
func TestUntouchedPageChangesNothing(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-062")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	for _, filled := range []bool{false, true} {
		for _, step := range []string{"talk", "socks", "on", "off", "sound-1", "sound-2", "residual-1", "residual-2", "again", "result"} {
			draft := kit.Start(client.Client)
			if filled {
				lou.PostForm(draft+"/"+step, changed(formOf(t, lou.Get(draft+"/"+step)), "before")).Has(t, 303)
			}
			kits := formOf(t, kit.Get(draft+"/"+step))
			lou.PostForm(draft+"/"+step, changed(formOf(t, lou.Get(draft+"/"+step)), "after")).Has(t, 303)
			want := draftOf(t, site, draft).Fields
			kits.Set("go", "stay")
			kit.PostForm(draft+"/"+step, kits).Has(t, 303)
			if got := draftOf(t, site, draft).Fields; !maps.Equal(got, want) {
				t.Errorf("%s: the draft holds %q, want %q", step, got, want)
			}
		}
	}
}

// changed puts another text into every line of a form, and ticks every box or
// takes its tick away.
func changed(form url.Values, text string) url.Values {
	out := maps.Clone(form)
	for field := range form {
		_, name := splitLimb(field)
		switch last := name[strings.LastIndexByte(name, '.')+1:]; {
		case slices.Contains([]string{"touch", "material", "sign", "measured_by", "version", "shown"}, last), strings.HasSuffix(last, "_not_done"):
		case last == "method":
			out.Set(field, map[string]string{"before": "putty", "after": "witness-mark"}[text])
		case strings.HasPrefix(name, "fluid."), last == "worn", strings.HasSuffix(last, "_none"):
			out.Set(field, map[string]string{"": "yes", "yes": ""}[form.Get(field)])
		default:
			out.Set(field, text)
		}
	}
	out.Set("go", "stay")
	return out
}

// TestKeepingTheDraftWhileTwoType follows the same rule from the page's script.
func TestKeepingTheDraftWhileTwoType(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-063")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.Start(client.Client)
	kits, lous := formOf(t, kit.Get(draft+"/talk")), formOf(t, lou.Get(draft+"/talk"))
	keep := func(b *browser, form url.Values, status int) (got struct{ Shown, Mine string }) {
		t.Helper()
		a := b.PostForm(draft+"/fields", form)
		a.Has(t, status, `"version"`)
		if err := json.Unmarshal([]byte(a.Body), &got); err != nil {
			t.Fatal(err)
		}
		return got
	}
	lous.Set("talk", "Lou's words")
	lous.Set("weight", "72")
	keep(lou, lous, 200)
	kits.Set("room", "hot")
	kits.Set("shown", keep(kit, kits, 200).Shown)
	kits.Set("room", "") // taken back: the page knows that the draft has it
	kits.Set("shown", keep(kit, kits, 200).Shown)
	if now := draftOf(t, site, draft).Fields; now["room"] != "" || now["talk"] != "Lou's words" || now["weight"] != "72" {
		t.Errorf("the draft holds %q", now)
	}
	kits.Set("talk", "Kit's words")
	kits.Set("pain_worst", "3")
	answer := keep(kit, kits, 409)
	if now := draftOf(t, site, draft).Fields; now["pain_worst"] != "3" || now["talk"] != "Lou's words" {
		t.Errorf("after a clash the draft holds %q", now)
	}
	kits.Set("shown", answer.Shown)
	kits.Set("pain_worst", "")
	answer = keep(kit, kits, 409)
	kits.Set("shown", answer.Mine) // the button that keeps mine
	keep(kit, kits, 200)
	now := draftOf(t, site, draft).Fields
	if now["talk"] != "Kit's words" || now["weight"] != "72" || now["pain_worst"] != "" {
		t.Errorf("the draft holds %q", now)
	}
}

// TestHostileShown takes any text for what a page showed.
func TestHostileShown(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-064")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	for _, shown := range []string{"{", "[]", `{"talk": 3}`, "null", "\xff", strings.Repeat("[", 100_000)} {
		version := b.Get(draft + "/talk").Version(t)
		b.Post(draft+"/talk", "version", version, "shown", shown, "talk", shown, "go", "stay").Has(t, 303)
	}
	if _, kept := draftOf(t, site, draft).Fields["shown"]; kept {
		t.Error("what the page showed is kept as a field")
	}
}

// draftOf is the draft at an address.
func draftOf(t *testing.T, site *site, address string) models.Draft {
	t.Helper()
	d, err := site.store.DraftByID(t.Context(), path.Base(address))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var (
	formPart  = regexp.MustCompile(`(?s)<form [^>]*novalidate.*?</form>`)
	control   = regexp.MustCompile(`(?s)<(input|textarea|select)\b([^>]*)>`)
	optionTag = regexp.MustCompile(`<option value="([^"]*)"( selected)?`)
	attribute = regexp.MustCompile(`([a-z-]+)(?:="([^"]*)")?`)
)

// formOf is what a browser would send of the form on a page when nobody touches
// it, without a button.
func formOf(t *testing.T, a answer) url.Values {
	t.Helper()
	body := formPart.FindString(a.Body)
	if body == "" {
		t.Fatalf("status %d: no form on the page\n%s", a.Status, a.Body)
	}
	out := url.Values{}
	for _, at := range control.FindAllStringSubmatchIndex(body, -1) {
		tag, rest := body[at[2]:at[3]], body[at[1]:]
		attributes := map[string]string{}
		for _, m := range attribute.FindAllStringSubmatch(body[at[4]:at[5]], -1) {
			attributes[m[1]] = html.UnescapeString(m[2])
		}
		_, checked := attributes["checked"]
		name, value := attributes["name"], attributes["value"]
		switch {
		case name == "":
			continue
		case tag == "textarea":
			value, _, _ = strings.Cut(rest, "</textarea>")
			value = html.UnescapeString(value)
		case tag == "select":
			value = chosen(rest)
		case (attributes["type"] == "radio" || attributes["type"] == "checkbox") && !checked:
			continue
		}
		out[name] = []string{value}
	}
	return out
}

// chosen is the chosen option of a list, the first where none is.
func chosen(rest string) string {
	list, _, _ := strings.Cut(rest, "</select>")
	options := optionTag.FindAllStringSubmatch(list, -1)
	for _, m := range options {
		if m[2] != "" {
			return html.UnescapeString(m[1])
		}
	}
	if len(options) == 0 {
		return ""
	}
	return html.UnescapeString(options[0][1])
}

// TestFormOf reads a page as a browser does.
func TestFormOf(t *testing.T) {
	got := formOf(t, answer{Body: `<form method="post" novalidate><input type="hidden" name="a" value=""><input type="checkbox" name="a" value="yes" checked>
<input type="radio" name="b" value="1"><input type="radio" name="b" value="2" checked><textarea name="c" rows="4">&lt;x&gt;</textarea>
<select name="d"><option value="">none</option><option value="e" selected>E</option></select><input value="nameless"></form><input name="f" value="g">`})
	want := url.Values{"a": {"yes"}, "b": {"2"}, "c": {"<x>"}, "d": {"e"}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
