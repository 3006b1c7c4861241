package server

import (
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// reportingPage is what all pages of the form share. It tells nothing of who is
// signed in at the same browser, nor of whose report it is.
type reportingPage struct {
	Page
	Action string      // where the page's form is posted
	Back   string      // the page before; "" where there is none
	Help   phoneNumber // the workshop's, in the same place on every page
	Left   int         // seconds until the report must be taken up again; 0 where nothing is typed
}

// phoneNumber is one to tap.
type phoneNumber struct {
	Label string
	Shown string // as it was set up
	Dial  string // digits, and a plus in front where there is one
	Note  string // when to call it rather than another
}

func number(label, shown string) phoneNumber {
	dial := strings.Map(func(sign rune) rune {
		if sign >= '0' && sign <= '9' || sign == '+' {
			return sign
		}
		return -1
	}, shown)
	return phoneNumber{Label: label, Shown: shown, Dial: dial}
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
	p.Action = "/report/" + step
	if back := r.before(step, said); back != "" {
		p.Back = "/report/" + back
	}
	if c.Query("from") == "check" && step != "check" {
		p.Action += "?from=check"
		p.Back = "/report/check"
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

// callsEmergency tells whether a sign is one for the emergency number first. For
// all others it is the clinic today.
func callsEmergency(safety []string) bool { return slices.Contains(safety, "breathless") }

// clientNumbers are the three numbers of a client. One that was taken away since
// the link was made is the workshop's.
type clientNumbers struct{ clinic, hours, emergency phoneNumber }

func (s *server) numbersOf(c *gin.Context, client models.Client) clientNumbers {
	w := s.workshop(c)
	or := func(own, other string) string {
		if own == "" {
			return other
		}
		return own
	}
	return clientNumbers{
		clinic:    number(s.text(c, "report.number.clinic"), or(client.ClinicPhone, w.Phone)),
		hours:     number(s.text(c, "report.number.hours"), or(client.OutOfHoursPhone, w.Phone)),
		emergency: number(s.text(c, "report.number.emergency"), or(client.EmergencyPhone, w.EmergencyPhone)),
	}
}

// inOrder are a client's numbers for what was ticked, the most urgent first, with
// when to call which.
func (s *server) inOrder(c *gin.Context, client models.Client, safety []string) []phoneNumber {
	n := s.numbersOf(c, client)
	n.hours.Note = s.text(c, "report.number.hours-note")
	if callsEmergency(safety) {
		return []phoneNumber{n.emergency, n.hours, n.clinic}
	}
	n.emergency.Note = s.text(c, "report.number.emergency-note")
	return []phoneNumber{n.clinic, n.hours, n.emergency}
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
	Reference string // joins the page with the log, where something went wrong
	Sent      bool   // the report has been sent; its number can be looked at
}

// reportSentPage confirms that a report has arrived.
type reportSentPage struct {
	reportingPage
	Number  string
	Reads   string
	Urgent  bool // a sign was ticked that should not wait
	Numbers []phoneNumber
	// Emergency and Clinic are two of the client's numbers, for the box.
	Emergency, Clinic phoneNumber
}
