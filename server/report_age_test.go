package server

import (
	"encoding/json"
	"html"
	"math"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// mostReadingAge is how old a reader of the form must at most be.
const mostReadingAge = 11

// readingAge is the age at which a text can be read: the US school grade of
// Kincaid JP, Fishburne RP, Rogers RL, Chissom BS: Derivation of new readability
// formulas for Navy enlisted personnel (Research Branch Report 8-75, 1975),
//
//	0.39 · words ÷ sentences + 11.8 · syllables ÷ words − 15.59,
//
// and 5 years, since the first US grade begins at the age of 6. That step from a
// grade to an age is common practice, not part of the source.
func readingAge(sentences []string) float64 {
	words, syllables := 0, 0
	for _, sentence := range sentences {
		for _, word := range wordsOf(sentence) {
			words++
			syllables += syllablesOf(word)
		}
	}
	grade := 0.39*float64(words)/float64(len(sentences)) + 11.8*float64(syllables)/float64(words) - 15.59
	return grade + 5
}

var (
	word        = regexp.MustCompile(`[A-Za-z]+(?:['’][A-Za-z]+)*`)
	vowels      = regexp.MustCompile(`[aeiouy]+`)
	silentE     = regexp.MustCompile(`([^aeiouyl]|[aeiouy]l)e$|[^aeiouytdscxzg]ed$|[cgsxz]ed$|([^aeiouyscxzgl]|[aeiouy]l)es$`)
	apart       = regexp.MustCompile(`i[ao]|eo|ua|uou|[eoy]ing`)
	together    = regexp.MustCompile(`tion|cial|tious|que|gua|qua`)
	sentenceEnd = regexp.MustCompile(`[.?!:]+(?:\s|$)`)
)

func wordsOf(text string) []string { return word.FindAllString(text, -1) }

// syllablesOf counts the groups of vowels of an English word, without an e that
// is silent at its end, and with two for vowels that are mostly spoken apart.
// TestSyllables says how good that is.
func syllablesOf(word string) int {
	w := strings.ToLower(strings.NewReplacer("'", "", "’", "").Replace(word))
	n := len(vowels.FindAllString(w, -1)) + len(apart.FindAllString(w, -1)) - len(together.FindAllString(w, -1))
	if silentE.MatchString(w) {
		n--
	}
	return max(n, 1)
}

// sentencesOf splits text at its ends of sentences. Lines are sentences of their
// own: headings, answers to choose, buttons.
func sentencesOf(text string) []string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		for _, sentence := range sentenceEnd.Split(line, -1) {
			if len(wordsOf(sentence)) > 0 {
				out = append(out, strings.TrimSpace(sentence))
			}
		}
	}
	return out
}

func TestReadingAgeFormula(t *testing.T) {
	// by hand: 10 words, 3 sentences, 11 syllables
	got := readingAge(sentencesOf("Sit down first. Leave it off until we phone.\nNow"))
	want := 0.39*10/3 + 11.8*11/10 - 15.59 + 5
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("got %.3f, want %.3f", got, want)
	}
}

// TestSyllables compares the count with that of a dictionary for words of the
// form and others.
func TestSyllables(t *testing.T) {
	known := map[int]string{
		1: "a the rub tight loose noise part skin leg arm like phone form use take smell white bruised changed ease worn bleed red where more one since these there hour file sore shape spread scaled itched hurts choose give place",
		2: "workshop report answer number swollen open today minute into outer inner only under ankle shoulder elbow little table before needed wanted sudden cannot again also ago being going doing lion bleeding happens injured looser",
		3: "prosthetist example another together remember area telephone tomorrow however difficult",
		4: "emergency especially information identity",
	}
	wrong, all := 0, 0
	for n, list := range known {
		for _, w := range strings.Fields(list) {
			all++
			if got := syllablesOf(w); got != n {
				wrong++
				t.Logf("%s: %d syllables, want %d", w, got, n)
			}
		}
	}
	if wrong*20 > all {
		t.Errorf("%d of %d words are counted wrongly, want at most one in 20", wrong, all)
	}
}

var (
	unseenTag = regexp.MustCompile(`(?s)<head>.*?</head>|<svg.*?</svg>|<script.*?</script>`)
	lineTag   = regexp.MustCompile(`</?(?:p|h1|h2|li|label|legend|dt|dd|button|div|ul|tr|td)\b[^>]*>|<br>`)
	anyTag    = regexp.MustCompile(`<[^>]*>`)
)

// textOf is what a reader of a page sees, a line for each block.
func textOf(body string) string {
	body = unseenTag.ReplaceAllString(body, "")
	body = strings.ReplaceAll(body, "\n", " ")
	return html.UnescapeString(anyTag.ReplaceAllString(lineTag.ReplaceAllString(body, "\n"), ""))
}

// TestReadingAgeOfTheForm reads every page of the form, in each of the ways in
// which it can look, and all of its texts together.
func TestReadingAgeOfTheForm(t *testing.T) {
	s := newSite(t)
	s.withNumbers()
	r := s.Reporter("K-001", quantity.Transfemoral, quantity.Transradial)
	pages := map[string]answer{"start": r.Get(r.start()), "dead": r.Get("/r/unknown"), "lost": r.Get("/report/check")}
	r.Start()
	pages["safety, no answer"] = r.Post("/report/safety")
	r.Answer("safety", "now", "safety.breathless", "yes")
	pages["now, emergency"] = r.Get("/report/now")
	r.Answer("safety", "now", "safety.broken", "yes")
	for _, step := range reportSteps {
		pages[step.name] = r.Get("/report/" + step.name)
	}
	pages["check"] = r.Get("/report/check")
	pages["unread"] = r.raw(r.at("/report/safety"), "safety=%zz")
	now := r.Get("/report/now")
	r.Answer("safety", "what", "safety.none", "yes")
	r.Post("/report/send").leads(t, "sent")
	pages["untold"] = r.Post("/report/send", now.hiddenFields()...)
	pages["sent"], pages["after"] = r.Get("/report/sent"), r.Get("/report/safety")
	pages["nowhere"] = r.Get("/report/nothing")
	for name, a := range endsOfTheForm(t) {
		pages[name] = a
	}
	for name, a := range pages {
		sentences := sentencesOf(textOf(a.Body))
		if age := readingAge(sentences); age > mostReadingAge {
			t.Errorf("%s: reading age %.1f, want at most %d\n%s", name, age, mostReadingAge, strings.Join(sentences, "\n"))
		} else {
			t.Logf("%s: reading age %.1f", name, age)
		}
		for _, sentence := range sentences {
			if n := len(wordsOf(sentence)); n > 25 {
				t.Errorf("%s: a sentence of %d words: %s", name, n, sentence)
			}
		}
	}
}

// TestReadingAgeOfAllTexts takes whole sentences only: short answers to choose
// from would make the form look easier than it is.
func TestReadingAgeOfAllTexts(t *testing.T) {
	data, err := os.ReadFile("../web/text/en/report.json")
	if err != nil {
		t.Fatal(err)
	}
	var texts map[string]string
	if err := json.Unmarshal(data, &texts); err != nil {
		t.Fatal(err)
	}
	blank := regexp.MustCompile(`\{\{\.(\w+)\}\}`)
	var all []string
	for id, text := range texts {
		text = blank.ReplaceAllString(text, "leg")
		if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "?") {
			continue
		}
		sentences := sentencesOf(text)
		all = append(all, sentences...)
		if age := readingAge(sentences); age > mostReadingAge {
			t.Errorf("%s: reading age %.1f alone: %s", id, age, text)
		}
	}
	slices.Sort(all)
	age := readingAge(all)
	t.Logf("%d sentences: reading age %.1f", len(all), age)
	if age > mostReadingAge {
		t.Errorf("reading age %.1f, want at most %d", age, mostReadingAge)
	}
}

// endsOfTheForm are the pages that go no further and take a while to get to.
func endsOfTheForm(t *testing.T) map[string]answer {
	t.Helper()
	ends := map[string]answer{}
	r := newReporter(t)
	r.Start()
	for range models.MostReportsADay {
		r.sendsNothing()
	}
	ends["day"] = r.Post("/report/safety", "safety.none", "yes")
	for range models.MostStartsAMinute {
		ends["many"] = r.other().Post(r.start() + "/start")
	}
	for range mostMisses + 1 {
		ends["slow"] = r.Get("/r/unknown")
	}
	r.clock.Pass(61 * time.Minute)
	ends["idle"] = r.Get("/report/safety")
	r.onceLink()
	r.Start()
	r.sendsNothing()
	ends["used"] = r.Post("/report/safety", "safety.none", "yes")
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	ends["ours"] = r.browser.Get("/report/" + models.NewID() + "/safety")
	for name, status := range map[string]int{
		"day": http.StatusTooManyRequests, "many": http.StatusTooManyRequests, "slow": http.StatusTooManyRequests, "idle": http.StatusGone, "used": http.StatusGone,
	} {
		if ends[name].Status != status {
			t.Fatalf("%s: status %d\n%s", name, ends[name].Status, ends[name].Body)
		}
	}
	return ends
}
