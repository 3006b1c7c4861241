package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// reportingPage is what all pages of the form share. It tells nothing of who is
// signed in at the same browser, nor of whose report it is.
type reportingPage struct {
	Page
	Pages  string      // address of the report's pages, before the name of each; "" where there is no report
	Action string      // where the page's form is posted
	Back   string      // the page before; "" where there is none
	Help   phoneNumber // the workshop's, in the same place on every page
	Left   int         // seconds until the report must be taken up again; 0 where nothing is typed
}

// reportingPage fills in what does not depend on whose report it is.
func (s *server) reportingPage(c *gin.Context, title string) reportingPage {
	w := s.workshop(c)
	p := reportingPage{Page: Page{Lang: language, Title: title, Workshop: w.Name, Invented: w.Invented}}
	if w.Phone != "" {
		p.Help = number(w.Name, w.Phone)
	}
	return p
}

// typingPage is the page of a question.
func (s *server) typingPage(c *gin.Context, step string, r reporting, said spoken, problems form.Problems) reportingPage {
	p := s.reportingPage(c, s.text(c, "report.title."+step, "Limb", s.limbWord(c, r)))
	p.Page = s.withProblems(c, p.Page, problems, func(string) string { return "" })
	p.Pages = pagesOf(r.draft)
	p.Action = p.Pages + step
	if back := r.before(step, said); back != "" {
		p.Back = p.Pages + back
	}
	if c.Query("from") == "check" && step != "check" {
		p.Action += "?from=check"
		p.Back = p.Pages + "check"
	}
	p.Left = max(int(models.ReportIdle.Seconds())-int(s.now().Sub(r.draft.TouchedAt).Seconds()), 1)
	return p
}

// limbWord is leg, arm or, where it can be either, leg or arm.
func (s *server) limbWord(c *gin.Context, r reporting) string {
	isArm := func(l models.Limb) bool { return l.Level.Arm() }
	switch arms := slices.ContainsFunc(r.limbs, isArm); {
	case len(r.limbs) == 0, arms && slices.ContainsFunc(r.limbs, func(l models.Limb) bool { return !isArm(l) }):
		return s.text(c, "report.word.either")
	case arms:
		return s.text(c, "report.word.arm")
	}
	return s.text(c, "report.word.leg")
}

// reportStartPage is what a link opens.
type reportStartPage struct {
	reportingPage
	Emergency phoneNumber
	Reads     string
}

// reportEndPage is a page that goes no further.
type reportEndPage struct {
	reportingPage
	Sentence  string
	Urgent    bool // a sign was ticked that should not wait
	Numbers   []phoneNumber
	Reference string // joins the page with the log, where something went wrong
	Sent      bool   // the report has been sent; its number can be looked at
	AskSkin   bool   // what the skin shows could still be for today
}

// reportSentPage confirms that a report has arrived.
type reportSentPage struct {
	reportingPage
	Number  string
	CutText bool // only the beginning of the client's own words was sent
	LeftOut bool // an answer that could not be read was not
	Reads   string
	Urgent  bool // a sign was ticked that should not wait
	Numbers []phoneNumber
	// Emergency and Clinic are two of the client's numbers, for the box.
	Emergency, Clinic phoneNumber
}
