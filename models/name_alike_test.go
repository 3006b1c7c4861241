package models_test

import (
	"strings"
	"testing"

	"fairlead/models"
	"pgregory.net/rapid"
)

func TestMayStandFor(t *testing.T) {
	const account = "Invented prosthetist"
	for name, tt := range map[string]struct {
		typed, account string
		want           bool
	}{
		"the very name":                 {"Invented prosthetist", account, true},
		"another case and spacing":      {" iNVENTED\u00a0 PROSTHETIST", account, true},
		"a zero-width space":            {"Invented pros\u200bthetist", account, true},
		"a soft hyphen":                 {"Inv\u00adented prosthetist", account, true},
		"a word joiner":                 {"Invented prosthe\u2060tist", account, true},
		"a byte order mark":             {"\ufeffInvented prosthetist", account, true},
		"a combining joiner":            {"Inv\u034fented prosthetist", account, true},
		"a Hangul filler":               {"Invented pros\u3164thetist", account, true},
		"a variation selector":          {"Invented\ufe0f prosthetist", account, true},
		"tag characters":                {"Invented prosthetist\U000e0061", account, true},
		"a private character":           {"Inv\ue000ented prosthetist", account, true},
		"Cyrillic letters":              {"Іnvеntеd рrоsthеtіst", account, true},
		"Cyrillic capitals":             {"INVЕNТЕD РRОSТНЕТІSТ", account, true},
		"Greek letters":                 {"Invented prοsthetist", account, true},
		"Roman numerals":                {"Ⅰnvented prosthetⅰst", account, true},
		"fullwidth letters":             {"Ｉｎｖｅｎｔｅｄ ｐｒｏｓｔｈｅｔｉｓｔ", account, true},
		"mathematical letters":          {"𝐈𝐧𝐯𝐞𝐧𝐭𝐞𝐝 𝑝𝑟𝑜𝑠𝑡ℎ𝑒𝑡𝑖𝑠𝑡", account, true},
		"an l for an I":                 {"lnvented prosthetist", account, true},
		"figures":                       {"1nvented pr0sthet1st", account, true},
		"a full stop":                   {"Invented prosthetist.", account, true},
		"an accent":                     {"Invénted prosthetist", account, true},
		"a title":                       {"Dr Invented prosthetist", account, true},
		"a title after":                 {"Invented prosthetist, CPO", account, true},
		"a clinic":                      {"Invented prosthetist, Harbour clinic", account, true},
		"a clinic before":               {"Harbour clinic: prosthetist Invented", account, true},
		"spaces within":                 {"In vented pros thetist, Harbour clinic", account, true},
		"no spaces":                     {"InventedprosthetistHarbour", account, true},
		"initials":                      {"W. Ashby", "Wren Ashby", true},
		"the last name and a clinic":    {"Ashby, Harbour clinic", "Wren Ashby", true},
		"a clinic and the first name":   {"Harbour clinic (Wren)", "Wren Ashby", true},
		"the account has a title":       {"Wren Ashby", "Dr. Wren Ashby", true},
		"an apostrophe":                 {"Wren OBrien", "Wren O’Brien", true},
		"a name in Greek":               {"ΝΊΚΟΣ ΑΝΤΩΝΊΟΥ", "Νίκος Αντωνίου", true},
		"a short name as a word":        {"Kit of Harbour", "Kit", true},
		"somebody else":                 {"Robin Miller", account, false},
		"somebody else of that calling": {"R. Miller, prosthetist", account, false},
		"a clinic's full name":          {"Harbour prosthetics clinic", "Wren Ashby", false},
		"the same last name":            {"Robin Ashby", "Wren Ashby", false},
		"another initial":               {"R. Ashby", "Wren Ashby", false},
		"a longer name":                 {"Kitty Hawk", "Kit", false},
		"initials alone":                {"W. A.", "Wren Ashby", false},
		"nothing":                       {" . ", "Wren Ashby", false},
		"an account without letters":    {"Wren Ashby", "\u200b", false},
	} {
		if got := models.MayStandFor(tt.typed, tt.account); got != tt.want {
			t.Errorf("%s: MayStandFor(%q, %q) = %v", name, tt.typed, tt.account, got)
		}
	}
}

func TestSameName(t *testing.T) {
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"Wren Ashby", "wren  ASHBY", true},
		{"Wren Ashby", "Ashby, Wren", true},
		{"Wren Ashby", "Dr Wren Ashby", true},
		{"Wren Ashby", "Wrеn Ashby", true}, // a Cyrillic е
		{"Wren Ashby", "Wren\u200b Ash\u00adby", true},
		{"Wren Ashby", "WrenAshby", true},
		{"Wren Ashby", "Wren Ashby Miller", false},
		{"Wren Ashby", "W. Ashby", false},
		{"Invented fitter", "Invented owner", false},
		{"Dr", "Prof", false},
		{"", "", false},
	} {
		if models.SameName(tt.a, tt.b) != tt.want || models.SameName(tt.b, tt.a) != tt.want {
			t.Errorf("SameName(%q, %q) = %v", tt.a, tt.b, !tt.want)
		}
	}
}

func TestMixesAlphabets(t *testing.T) {
	for name, want := range map[string]bool{
		"Wren Ashby": false, "Νίκος Antoniou": false, "Иван": false, "José Łuk": false, "山田 たろう": false, "O’Brien 2": false,
		"Wrеn": true, "Prοst": true, "Աda": true, "Wren Аshby": true,
	} {
		if got := models.MixesAlphabets(name); got != want {
			t.Errorf("MixesAlphabets(%q) = %v", name, got)
		}
	}
}

// TestWhatDoesNotShowHidesNoName holds for every name, character and place.
func TestWhatDoesNotShowHidesNoName(t *testing.T) {
	hidden := []string{"\u200b", "\u00ad", "\u2060", "\ufeff", "\u034f", "\u202e", "\u180e", "\U000e0020", "\u115f", "\ufe00", "\u0301", " ", ".", "-", "\ue000", "\u2800"}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[A-Z][a-z]{2,8} [A-Z][a-z]{2,8}`).Draw(t, "name")
		typed := []rune(name)
		for range rapid.IntRange(1, 4).Draw(t, "times") {
			at := rapid.IntRange(0, len(typed)).Draw(t, "at")
			typed = []rune(string(typed[:at]) + rapid.SampledFrom(hidden).Draw(t, "hidden") + string(typed[at:]))
		}
		if rapid.Bool().Draw(t, "with a clinic") {
			typed = append(typed, []rune(", Harbour clinic")...)
		}
		if !models.MayStandFor(string(typed), name) || !models.MayStandFor(strings.ToUpper(string(typed)), name) {
			t.Fatalf("%q hides %q", string(typed), name)
		}
	})
}
