package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// evidenceOf opens a flag of the client whose page is open, by what it claims.
func (v *visitor) evidenceOf(claim string) {
	v.t.Helper()
	var path string
	v.do("find the flag "+claim, chromedp.Evaluate(fmt.Sprintf(
		`[...document.querySelectorAll('main a[href*="/flags/"]')].find(a => a.textContent.includes(%q))?.getAttribute('href') ?? ''`, claim), &path))
	if path == "" {
		v.t.Fatalf("%s: no flag says %q\n%s", v.address(), claim, v.pageText())
	}
	v.open(path)
}

// offers tells whether the page has a field of a name.
func (v *visitor) offers(name string) bool {
	v.t.Helper()
	var found bool
	v.do("look for "+name, chromedp.Evaluate(fmt.Sprintf(`Boolean(document.querySelector('[name=%q]'))`, name), &found))
	return found
}

// typed is what stands in a field.
func (v *visitor) typed(name string) string {
	v.t.Helper()
	var value string
	v.do("read "+name, chromedp.Evaluate(fmt.Sprintf(`document.querySelector('[name=%q]').value`, name), &value))
	return value
}

// TestFitterActsOnFlags walks the fitter's path through the demonstration: what
// nobody has seen yet, a call, a report read, a cover trimmed and its flag closed,
// and a handover whose answer is late.
func TestFitterActsOnFlags(t *testing.T) {
	h := openHouse(t)
	axe := axeSource(t)
	v := h.comes("fitter")
	t.Run("unseen", func(t *testing.T) { v.t = t; v.answersForNettle(axe) })
	t.Run("rub", func(t *testing.T) { v.t = t; v.trimsForRowan(axe) })
	t.Run("handover", func(t *testing.T) { v.t = t; v.asksAboutSallow() })
	v.t = t
	v.staysHome()
	h.ends()
}

func (v *visitor) answersForNettle(axe string) {
	v.t.Helper()
	v.open("/preferences")
	if v.unseen() != "6" {
		v.t.Errorf("%s flags of level now are unseen, want 6", v.unseen())
	}
	v.pageAfter("follow the count", chromedp.Click(`//header//a[contains(., "now, unseen")]`, chromedp.BySearch))
	v.follow("Nettle, R.")
	client := v.address()
	v.evidenceOf("Ticked by the client")
	v.sees("Nobody has said yet that they have seen this")
	v.submit("I have seen this")
	v.sees("Seen by Invented fitter", "The flag stays open")
	if v.unseen() != "5" {
		v.t.Errorf("%s flags of level now are unseen, want 5", v.unseen())
	}
	v.submit("Record the call")
	v.sees("another look")
	v.everyScreen(axe, "flag-call-wrong")
	v.choose("outcome", "message-left")
	v.fill("call_note", "asked to keep the leg off and to phone the clinic")
	v.submit("Record the call")
	v.sees("message left", "asked to keep the leg off", "The flag stays open", "closed by the prosthetist only")
	for _, field := range []string{"cover_action", "close", "reason"} {
		if v.offers(field) {
			v.t.Errorf("a flag about the skin offers the fitter the field %s", field)
		}
	}
	v.everyScreen(axe, "flag-of-skin")
	v.open(client)
	v.follow("Read")
	v.everyScreen(axe, "report-unread")
	v.submit("I have read this report")
	v.sees("Read by Invented fitter")
	if v.unseen() != "4" {
		v.t.Errorf("%s flags of level now are unseen after the report was read, want 4", v.unseen())
	}
}

func (v *visitor) trimsForRowan(axe string) {
	v.t.Helper()
	v.open("/today")
	v.follow("Rowan, M.")
	client := v.address()
	v.evidenceOf("Rubbing and noise reported by the client")
	flag := v.address()
	v.choose("cover_action", "trimmed")
	v.fill("gap_before", "1.2")
	v.fill("gap_after", "four")
	v.submit("Record what was done")
	v.sees("another look")
	if gap := v.typed("gap_after"); gap != "four" {
		v.t.Errorf("what was typed came back as %q", gap)
	}
	v.everyScreen(axe, "flag-act-wrong")
	v.fill("gap_after", "4")
	v.choose("close", "yes")
	v.fill("act_note", "trimmed behind, 3 mm over 4 cm")
	v.submit("Record what was done")
	if v.address() == flag {
		v.t.Errorf("a flag that is closed leads back to itself")
	}
	v.open(flag)
	v.sees("Trimmed", "1.2 mm before", "4.0 mm after", "Closed on", "Invented fitter", "trimmed behind, 3 mm over 4 cm")
	v.everyScreen(axe, "flag-closed")
	if v.offers("cover_action") || v.offers("reason") {
		v.t.Error("a closed flag can be closed again")
	}
	v.open(client)
	v.evidenceOf("Reported by the client: comfort")
	if v.offers("cover_action") || v.offers("reason") {
		v.t.Error("a flag about comfort in the socket offers the fitter to close it")
	}
}

func (v *visitor) asksAboutSallow() {
	v.t.Helper()
	v.open("/today")
	v.sees("overdue: ask again since")
	v.follow("Sallow, H.")
	client := v.address()
	v.pageAfter("open the handover", chromedp.Click(`main a[href*="/handovers/"]:not([href$="/new"])`, chromedp.ByQuery))
	handover := v.address()
	v.sees("overdue: ask again since")
	v.follow("Open the letter")
	v.sees("Invented outside clinic", "Limb volume", "95 %", "Your answer", "Signature")
	v.open(handover)
	v.fill("again_note", "will answer by Friday")
	v.submit("Record that I asked again")
	v.sees("Asked again once", "will answer by Friday")
	v.open("/today")
	v.lacks("overdue: ask again since")

	v.open(handover)
	letter := filepath.Join(v.t.TempDir(), "letter.pdf")
	if err := os.WriteFile(letter, []byte("%PDF-1.7\n1 0 obj <</Type /Page>> endobj\n% an invented letter\n%%EOF\n"), 0o600); err != nil {
		v.t.Fatal(err)
	}
	v.do("date the letter", chromedp.Evaluate(`document.querySelector('[name=answered_on]').value = new Date().toISOString().slice(0, 10)`, nil))
	v.fill("said", "Known to me. I have added a pad; look again in six weeks.")
	v.do("close all, and say why", chromedp.Evaluate(`document.querySelectorAll('[name^="close."]').forEach(b => b.click());
		document.querySelectorAll('[name^="reason."]').forEach(r => r.value = 'pad added')`, nil))
	v.submit("Record the answer")
	v.sees("only with its document")
	if said := v.typed("said"); said != "Known to me. I have added a pad; look again in six weeks." {
		v.t.Errorf("what was typed came back as %q", said)
	}
	v.do("attach the letter", chromedp.SetUploadFiles(`[name=document]`, []string{letter}, chromedp.ByQuery))
	v.submit("Record the answer")
	v.sees("Answer of Invented outside clinic", "closed by letter of Invented outside clinic", "letter.pdf")
	v.open(client)
	v.sees("Flag closed by the written answer of Invented outside clinic, recorded by Invented fitter")
}
