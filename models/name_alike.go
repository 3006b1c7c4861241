package models

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// titles stand before or after a name and are none of it.
var titles = []string{
	"dr", "prof", "professor", "doctor", "mr", "mrs", "ms", "mx", "miss", "sir", "madam", "herr", "frau", "dipl", "ing",
	"bsc", "msc", "phd", "md", "cp", "cpo", "bocp", "mbapo", "jr", "sr",
}

// callings are words beside a name that tell nobody from anybody else.
var callings = []string{
	"prosthetist", "orthotist", "prosthetics", "orthotics", "fitter", "owner", "clinic", "hospital", "centre", "center",
	"practice", "workshop", "department", "partner", "physician", "surgeon", "nurse", "therapist", "physiotherapist",
}

// lookalikes are letters that look like Latin ones in most fonts, as they are in
// one case: a capital may look like another letter than its small one does. The
// letters are those of Cyrillic, Greek and further Latin that the table of
// confusables of Unicode Technical Standard 39 gives for a to z.
var lookalikes = letters(
	// Cyrillic, small and capital
	"аa", "вb", "еe", "ёe", "ԁd", "һh", "іi", "јj", "кk", "ӏi", "мm", "нh", "оo", "рp", "ԛq", "гr", "ѕs", "тt", "уy", "ѵv", "ѡw", "ԝw", "хx", "пn", "ҽe",
	"АA", "ВB", "ЕE", "ЁE", "ԌG", "НH", "ІI", "ЈJ", "КK", "ӀI", "МM", "ОO", "РP", "ԚQ", "ЅS", "ТT", "УY", "ѴV", "ԜW", "ХX", "СC", "сc", "ҮY", "үy",
	// Greek, small and capital
	"αa", "βb", "γy", "εe", "ηn", "ιi", "κk", "νv", "οo", "ρp", "σo", "τt", "υu", "χx", "ωw", "ϲc", "ϳj",
	"ΑA", "ΒB", "ΕE", "ΖZ", "ΗH", "ΙI", "ΚK", "ΜM", "ΝN", "ΟO", "ΡP", "ΤT", "ΥY", "ΧX", "ϹC", "ͿJ", "ϜF",
	// Latin that doesn't come apart into a letter and its mark
	"ɑa", "ƀb", "đd", "ɗd", "ɡg", "ħh", "ıi", "ɩi", "łl", "ŀl", "ŋn", "øo", "ɵo", "ŧt", "ʋv", "ʏy", "ƶz", "ꜱs", "ʀr", "ɴn", "ɢg", "ʜh", "ʟl",
	"ĐD", "ĦH", "ŁL", "ØO", "ŦT", "ƵZ",
)

// joined are marks that look like one another to nobody who reads in haste:
// figures and letters, and two letters that look like one. Done after the case is
// folded, so that capital I is small i.
var joined = strings.NewReplacer("0", "o", "1", "i", "l", "i", "|", "i", "rn", "m", "vv", "w", "æ", "ae", "œ", "oe")

// letters is a table of pairs: what looks like what.
func letters(pairs ...string) map[rune]rune {
	table := map[rune]rune{}
	for _, pair := range pairs {
		p := []rune(pair)
		table[p[0]] = p[1]
	}
	return table
}

// Two names are the same when a person who reads them would take them for the
// same: in any case, order and spacing, with any title, accent, punctuation and
// hidden character, and with letters of another alphabet that look alike.
func SameName(a, b string) bool {
	return eitherReading(a, b, func(a, b []string) bool {
		a, b = withoutTitles(a), withoutTitles(b)
		if len(a) == 0 || len(b) == 0 {
			return false
		}
		slices.Sort(a)
		slices.Sort(b)
		return slices.Equal(a, b)
	}) || eitherReading(a, b, func(a, b []string) bool {
		a, b = withoutTitles(a), withoutTitles(b)
		return len(a) > 0 && strings.Join(a, "") == strings.Join(b, "")
	})
}

// MayStandFor tells whether what somebody typed may stand for the person with a
// name: it holds the name, whatever is beside it, or shortens it, such as to the
// last name or to initials. In doubt it may.
func MayStandFor(typed, name string) bool {
	if SameName(typed, name) || eitherReading(typed, name, holdsName) {
		return true
	}
	for _, part := range parts(typed) {
		if eitherReading(part, name, shortensName) {
			return true
		}
	}
	return false
}

// MixesAlphabets tells whether a word of a name has Latin letters beside those of
// another alphabet, which no name has and which reads like another.
func MixesAlphabets(name string) bool {
	for _, word := range strings.FieldsFunc(shown(name), notOfWord) {
		latin, other := false, false
		for _, r := range word {
			switch {
			case unicode.Is(unicode.Latin, r):
				latin = true
			case unicode.IsLetter(r) && !unicode.Is(unicode.Common, r):
				other = true
			}
		}
		if latin && other {
			return true
		}
	}
	return false
}

// parts are what stands between commas and the like: a name, a clinic.
func parts(typed string) []string {
	typed = norm.NFKC.String(typed)
	for _, between := range []string{" of ", " at ", " from ", " - ", "–", "—"} {
		typed = strings.ReplaceAll(typed, between, ",")
	}
	return strings.FieldsFunc(typed, func(r rune) bool { return strings.ContainsRune(",;:/()[]|·\n", r) })
}

// leastGlued is how many letters a name must have to be looked for amid others.
const leastGlued = 8

// holdsName tells whether all words of a name are among those typed, in any
// order, or several of these together are the name.
func holdsName(typed, name []string) bool {
	name = withoutTitles(name)
	if len(name) == 0 {
		return false
	}
	left := slices.Clone(typed)
	for _, word := range name {
		i := slices.Index(left, word)
		if i < 0 {
			return holdsGlued(typed, strings.Join(name, ""))
		}
		left = slices.Delete(left, i, i+1)
	}
	return true
}

func holdsGlued(typed []string, name string) bool {
	if len([]rune(name)) >= leastGlued && strings.Contains(strings.Join(typed, ""), name) {
		return true
	}
	for from := range typed {
		glued := ""
		for _, word := range typed[from:] {
			if glued += word; glued == name {
				return true
			}
		}
	}
	return false
}

// shortensName tells whether typed has nothing but words of a name and initials of
// them, and at least one word that tells whose name it is.
func shortensName(typed, name []string) bool {
	typed, name = withoutTitles(typed), withoutTitles(name)
	tells := false
	for _, word := range typed {
		i := slices.IndexFunc(name, func(n string) bool {
			return n == word || len([]rune(word)) == 1 && strings.HasPrefix(n, word)
		})
		if i < 0 {
			return false
		}
		tells = tells || len([]rune(word)) > 1 && !slices.Contains(readCallings, word)
		name = slices.Delete(slices.Clone(name), i, i+1)
	}
	return tells
}

// readCallings and readTitles are those words in both readings of a name.
var (
	readCallings = bothReadings(callings)
	readTitles   = bothReadings(titles)
)

func bothReadings(words []string) []string {
	all := slices.Clone(words)
	for _, word := range words {
		all = append(all, joined.Replace(word))
	}
	return all
}

// withoutTitles leaves titles out, unless there is nothing else.
func withoutTitles(words []string) []string {
	rest := slices.DeleteFunc(slices.Clone(words), func(word string) bool { return slices.Contains(readTitles, word) })
	if len(rest) == 0 {
		return slices.Clone(words)
	}
	return rest
}

// eitherReading compares two names as they are written and as they look.
func eitherReading(a, b string, compare func(a, b []string) bool) bool {
	a, b = shown(a), shown(b)
	return compare(wordsOf(caseless(a)), wordsOf(caseless(b))) || compare(wordsOf(looks(a)), wordsOf(looks(b)))
}

// shown is a name without what does not show and without accents, with the
// letters of fullwidth, mathematical and other forms as plain ones.
func shown(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf, unicode.Cc, unicode.Other_Default_Ignorable_Code_Point):
			return -1
		}
		return r
	}, norm.NFKD.String(name))
}

func caseless(name string) string { return cases.Fold().String(name) }

// looks is a name as Latin letters that look like it.
func looks(name string) string {
	name = strings.Map(func(r rune) rune {
		if latin, ok := lookalikes[r]; ok {
			return latin
		}
		return r
	}, name)
	return joined.Replace(caseless(name))
}

func wordsOf(name string) []string { return strings.FieldsFunc(name, notOfWord) }

func notOfWord(r rune) bool { return !unicode.In(r, unicode.L, unicode.N, unicode.Mc) }
