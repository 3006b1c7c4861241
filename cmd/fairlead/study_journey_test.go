package main

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestStudyIsForEverybody begins a study and types a page of it by keyboard, reads
// one from text with its mistakes, and takes the study of the demonstration into
// use; every page at every width.
func TestStudyIsForEverybody(t *testing.T) {
	p := start(t, "demo", "--data", t.TempDir(), "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	axe := axeSource(t)
	var people [3][2]string
	for i := range people {
		name, password, _ := strings.Cut(p.says(`sign in as (\S+ +password .+)$`), "password ")
		people[i] = [2]string{strings.TrimSpace(name), password}
	}
	v := newVisitor(t, base)
	v.signIn(people[0][0], people[0][1])
	v.open("/studies")
	v.everyScreen(axe, "studies")
	v.follow("New study")
	v.fill("subjects", "limb 1\nlimb 2")
	v.fill("levels", "0; 3; 6")
	v.submit("Begin the study")
	v.sees("another look")
	v.everyScreen(axe, "study-form-wrong")
	v.fill("name", "Two limbs")
	v.fill("others", "Ann\nBo")
	v.submit("Begin the study")
	v.sees("0 of 8 pages have readings")
	v.everyScreen(axe, "study-begun")
	v.follow("limb 1, Ann, round 1")
	v.everyScreen(axe, "study-sheet")
	for range 2 {
		v.do("begin at the first girth", chromedp.Focus(`[data-pass]`, chromedp.ByQuery))
		for i, girth := range []string{"32.1", "33.4", "31.9"} {
			if i == 2 {
				v.do("type the last girth", chromedp.SendKeys(`[data-level]:last-of-type [data-pass], [data-level]:nth-of-type(4) [data-pass]`, girth, chromedp.ByQuery))
				break
			}
			v.do("type a girth", chromedp.KeyEvent(girth), chromedp.KeyEvent("\r"))
		}
		v.do("it is kept", chromedp.WaitVisible(`//*[@data-draft-saved][contains(., "Saved")]`, chromedp.BySearch))
		v.enter()
	}
	v.sees("limb 2, first pass")
	v.do("back", chromedp.Navigate(base+"/studies"))

	v.follow("Import a study")
	v.fill("name", "From a file")
	v.fill("content", "subject,fitter,day,level_mm,pass,girth_mm\na,A,1,0,1,thirty\n")
	v.submit("Read it, and show what is in it")
	v.sees("Line 2")
	v.everyScreen(axe, "study-import-wrong")
	v.fill("content", "subject,fitter,day,level_mm,pass,girth_mm\na,A,1,0,1,320\na,A,1,0,2,321\na,A,1,30,1,310\na,A,1,30,2,311\n")
	v.submit("Read it, and show what is in it")
	v.sees("Nothing is kept yet")
	v.everyScreen(axe, "study-import-preview")
	v.submit("Keep it as a study")
	v.sees("a single limb")
	v.everyScreen(axe, "study-one-limb")

	v.open("/studies")
	v.follow("New study: tape against scan")
	v.fill("name", "Scanner")
	v.fill("subjects", "limb 1\nlimb 2")
	v.submit("Begin the study")
	v.follow("Volumes in mL")
	v.everyScreen(axe, "study-volumes")

	w := v.somebodyElse()
	w.signIn(people[1][0], people[1][1])
	w.open("/studies")
	w.follow("Ten limbs, two fitters")
	w.everyScreen(axe, "study-result")
	w.submit("Take it into use")
	w.sees("another look")
	w.fill("note", "ten limbs of all sizes")
	w.submit("Take it into use")
	w.sees("In use since")
	w.everyScreen(axe, "study-in-use")
	w.open("/studies")
	w.sees("own study of")
	w.everyScreen(axe, "studies-own")
	w.staysHome()
	v.staysHome()
	p.ends()
}
