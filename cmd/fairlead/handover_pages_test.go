package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestHandoverPagesAreForEverybody hands the flags of a limb of the demonstration
// over, asks again, and records an answer with its document, by way of the pages
// and their mistakes.
func TestHandoverPagesAreForEverybody(t *testing.T) {
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
	axe := axeSource(t)
	v := newVisitor(t, base)
	v.signIn(strings.TrimSpace(name), password)

	v.open("/clients")
	v.follow("Maple, D.")
	v.everyScreen(axe, "handover-client-before")
	v.follow("Hand over to a prosthetist")
	v.everyScreen(axe, "handover-new")
	v.submit("Record the handover")
	v.sees("another look")
	v.everyScreen(axe, "handover-new-wrong")
	v.fill("to_whom", "P. Harbour, at the clinic by the harbour")
	v.submit("Record the handover")
	v.sees("awaiting an answer, ask again on")
	v.everyScreen(axe, "handover")
	handover := v.address()
	v.fill("again_note", "will write this week")
	v.submit("Record that I asked again")
	v.sees("Asked again once", "will write this week")

	v.submit("Record the answer")
	v.sees("another look")
	v.everyScreen(axe, "handover-answer-wrong")
	file := filepath.Join(t.TempDir(), "letter.pdf")
	if err := os.WriteFile(file, []byte("%PDF-1.7\n1 0 obj <</Type /Page>> endobj\n% an invented letter\n%%EOF\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	v.open(handover)
	v.do("answer today", chromedp.Evaluate(`document.querySelector('[name=answered_on]').value = new Date().toISOString().slice(0, 10)`, nil))
	v.fill("said", "As expected in the first year. Look again in a month.")
	v.do("close the first flag", chromedp.Evaluate(`document.querySelector('[name^="close."]').click()`, nil))
	v.do("say why", chromedp.SendKeys(`[name^="reason."]`, "as expected in the first year", chromedp.ByQuery))
	v.do("attach the letter", chromedp.SetUploadFiles(`[name=document]`, []string{file}, chromedp.ByQuery))
	v.submit("Record the answer")
	v.sees("Answer of P. Harbour", "closed by letter of P. Harbour", "letter.pdf")
	v.everyScreen(axe, "handover-answered")
	v.staysHome()
	p.ends()
}
