package server

import (
	"encoding/json"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"
)

// reportCheckPage shows all answers before they are sent.
type reportCheckPage struct {
	reportingPage
	Urgent  bool
	Numbers []phoneNumber
	Answers []reportAnswer
	Shown   string // stands for the answers (see spoken.fingerprint)
	Changed bool   // since the page was shown that was to be sent
}

// fingerprint stands for all answers: it is another one when any of them is.
func (s spoken) fingerprint() string {
	limb := ""
	if s.limb != nil {
		limb = s.limb.ID
	}
	answers, _ := json.Marshal(s.Said) // codes, numbers and text always can be
	return hashKey(limb, string(answers))
}

// reportAnswer is a question with what was answered: some words each on a line
// of its own, or nothing.
type reportAnswer struct {
	Question, Step string
	Said           []string
	Own            bool // the client's own words, shown as they were typed
}

func (s *server) showReportCheck(c *gin.Context, r reporting, said spoken) error {
	page := reportCheckPage{reportingPage: s.typingPage(c, "check", r, said, nil)}
	page.Action = page.Pages + "send"
	page.Urgent, page.Shown, page.Changed = said.urgent(), said.fingerprint(), c.Query("changed") != ""
	page.Numbers = s.inOrder(c, r.client, said.Safety)
	for _, step := range reportSteps {
		if step.name == "now" || step.asked != nil && !step.asked(r, said) {
			continue
		}
		page.Answers = append(page.Answers, reportAnswer{
			Question: s.text(c, "report.title."+step.name, "Limb", s.limbWord(c, r)), Step: step.name,
			Said: s.answersOf(c, step.name, r, said), Own: step.name == "text",
		})
	}
	return s.show(c, "report-check", page)
}

// answersOf puts the answers to one question into the words in which it was
// asked.
func (s *server) answersOf(c *gin.Context, step string, r reporting, said spoken) []string {
	say := func(words string, codes ...string) []string {
		var out []string
		for _, code := range codes {
			if code != "" {
				out = append(out, s.text(c, words+code))
			}
		}
		return out
	}
	switch step {
	case "safety":
		if len(said.Safety) == 0 {
			return say("report.safety.", "none")
		}
		signs := say("report.safety.", said.Safety...)
		if said.CannotPhone {
			signs = append(signs, s.text(c, "report.cannot-phone"))
		}
		return signs
	case "what":
		return say("report.what.", said.What...)
	case "limb":
		if said.limb != nil {
			return []string{s.limbLabel(c, *said.limb)}
		}
		return notSure(s.text(c, "report.not-sure"), r.draft.Fields["limb"])
	case "where":
		return s.placesOf(c, r, said)
	case "since":
		return say("report.since.", said.Since)
	case "bother":
		return s.pointsSaid(c, "report.points", said.Bother)
	case "wearing":
		return say("report.wearing.", said.Wearing)
	case "comfort":
		var out []string
		out = append(out, s.pointsSaid(c, "report.points-average", said.ComfortAverage)...)
		out = append(out, s.pointsSaid(c, "report.points-worst", said.ComfortWorst)...)
		out = append(out, s.pointsSaid(c, "report.points-pain", said.PainWorst)...)
		return append(out, s.pointsSaid(c, "report.points-looseness", said.Looseness)...)
	case "skin":
		signs := say("report.skin.", said.Skin...)
		if said.CannotPhone && len(said.Safety) == 0 {
			signs = append(signs, s.text(c, "report.cannot-phone"))
		}
		return signs
	}
	return notSure(said.Text, said.Text)
}

// notSure is a list of one text, or of none where nothing was answered.
func notSure(text, answered string) []string {
	if answered == "" {
		return nil
	}
	return []string{text}
}

// pointsSaid says a point of a scale.
func (s *server) pointsSaid(c *gin.Context, id string, points *int) []string {
	if points == nil {
		return nil
	}
	number := strings.Replace(strconv.Itoa(*points), "-", "−", 1)
	return []string{s.text(c, id, "Points", number)}
}

// placesOf says the places that were pointed at, a line for each segment.
func (s *server) placesOf(c *gin.Context, r reporting, said spoken) []string {
	var out []string
	for _, part := range s.bodyParts(c, r, said) {
		for _, list := range part.Segments {
			var directions []string
			for _, b := range list.Boxes {
				if b.Ticked {
					directions = append(directions, lowerFirst(b.Label))
				}
			}
			if len(directions) > 0 {
				out = append(out, s.text(c, "report.place", "Segment", list.Segment, "Directions", strings.Join(directions, ", ")))
			}
		}
	}
	return out
}
