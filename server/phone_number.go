package server

import (
	"regexp"
	"slices"
	"strings"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// phoneNumber is one to tap, or words where there is none.
type phoneNumber struct {
	Label string
	Shown string // as it was set up
	Dial  string // digits, and a plus in front where there is one; "" where Shown is words
	Note  string // when to call it rather than another
}

// ownZero is the zero that is dialled within a country only, as it is often
// written behind the country's code: +49 (0)40.
var ownZero = regexp.MustCompile(`^((?:\+|00)[^(]*)\(\s*0\s*\)`)

// dialled is a number as it is dialled, its digits grouped by spaces as it is
// written.
func dialled(shown string) string {
	whole := ownZero.ReplaceAllString(shown, "$1 ")
	digits := strings.Join(strings.FieldsFunc(whole, func(sign rune) bool { return sign < '0' || sign > '9' }), " ")
	if strings.HasPrefix(whole, "+") {
		return "+" + digits
	}
	return digits
}

func number(label, shown string) phoneNumber {
	return phoneNumber{Label: label, Shown: shown, Dial: strings.ReplaceAll(dialled(shown), " ", "")}
}

// groups is what the number dials, to be read by a person.
func (n phoneNumber) groups() string { return dialled(n.Shown) }

// callsEmergency tells whether a sign is one for the emergency number first. For
// all others it is the clinic today.
func callsEmergency(safety []string) bool { return slices.Contains(safety, "breathless") }

// clientNumbers are the three numbers of a client.
type clientNumbers struct{ clinic, hours, emergency phoneNumber }

// numbersOf are the numbers of a client. In the place of a clinic or an emergency
// number that was taken away since the link was made stands the workshop's, under
// its own label; one out of hours has none to stand in for it. Without any
// emergency number there are words: the page is never empty.
func (s *server) numbersOf(c *gin.Context, client models.Client) clientNumbers {
	w := s.workshop(c)
	n := clientNumbers{
		clinic:    number(s.text(c, "report.number.clinic"), client.ClinicPhone),
		hours:     number(s.text(c, "report.number.hours"), client.OutOfHoursPhone),
		emergency: s.emergencyNumber(c, client.EmergencyPhone),
	}
	if client.ClinicPhone == "" {
		n.clinic = number(w.Name, w.Phone)
	}
	return n
}

// emergencyNumber is the client's own, else the workshop's, else the words for
// whichever is in force where the client is.
func (s *server) emergencyNumber(c *gin.Context, own string) phoneNumber {
	if own == "" {
		own = s.workshop(c).EmergencyPhone
	}
	if own == "" {
		return phoneNumber{Label: s.text(c, "report.number.emergency"), Shown: s.text(c, "report.number.local")}
	}
	return number(s.text(c, "report.number.emergency"), own)
}

// inOrder are a client's numbers for what was ticked, the most urgent first, with
// when to call which.
func (s *server) inOrder(c *gin.Context, client models.Client, safety []string) []phoneNumber {
	n := s.numbersOf(c, client)
	n.hours.Note = s.text(c, "report.number.hours-note")
	order := []phoneNumber{n.emergency, n.hours, n.clinic}
	if !callsEmergency(safety) {
		n.emergency.Note = s.text(c, "report.number.emergency-note")
		order = []phoneNumber{n.clinic, n.hours, n.emergency}
	}
	return slices.DeleteFunc(order, func(n phoneNumber) bool { return n.Shown == "" })
}
