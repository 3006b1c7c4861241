package server

import (
	"slices"
	"strings"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// urgent tells whether a report says what should not wait: on the safety page, or
// of the skin.
func (s spoken) urgent() bool { return len(s.Safety) > 0 || s.today }

// steps are all questions in the order in which they are put. What to do now
// comes right behind the page that calls for it: the safety page or, where nothing
// was ticked there, the skin. Nobody is told twice.
func (s spoken) steps() []reportStep {
	steps := slices.Clone(reportSteps)
	if len(s.Safety) > 0 || !s.today {
		return steps
	}
	named := func(name string) func(reportStep) bool {
		return func(step reportStep) bool { return step.name == name }
	}
	at := slices.IndexFunc(steps, named("now"))
	now := steps[at]
	steps = slices.Delete(steps, at, at+1)
	return slices.Insert(steps, slices.IndexFunc(steps, named("skin"))+1, now)
}

// judgeToday asks whether a report is for the same day by what it says of the
// skin: by the rules that raise its flag when it is sent, beside the client's
// record. Who can't phone says so where this matters alone.
func (s *server) judgeToday(c *gin.Context, r reporting, said *spoken) {
	report := models.Report{ClientID: r.client.ID, Said: said.Said}
	if said.limb != nil {
		report.LimbID = &said.limb.ID
	}
	said.today = followup.SkinToday(c.Request.Context(), s.store, s.now(), report, s.judgedAlone(c))
	said.CannotPhone = said.CannotPhone && said.urgent()
}

// urgentFields are the boxes that were ticked of what should not wait, as the page
// that shows them sends them along.
func urgentFields(said spoken) []string {
	var fields []string
	for _, sign := range said.Safety {
		fields = append(fields, "safety."+sign)
	}
	if said.today && len(said.Skin) == 0 {
		fields = append(fields, "what.skin")
	}
	for _, sign := range said.Skin {
		if said.today {
			fields = append(fields, "skin."+string(sign))
		}
	}
	return fields
}

// tellAgain adds what a page showed as told to what is kept of it: whoever sends that
// page means what stands on it, even where another window has taken it back since.
func tellAgain(kept map[string]string, told string) {
	signs := reportSteps[0].fields(reporting{})
	offered := slices.Concat(signs, boxes("skin", models.SkinSigns)(reporting{}), []string{"what.skin"})
	for field := range strings.FieldsSeq(told) {
		if field == safetyNone || !slices.Contains(offered, field) {
			continue
		}
		kept[field] = "yes"
		if slices.Contains(signs, field) {
			kept[safetyNone] = ""
		}
	}
}

// urgentWords are what was said that should not wait, in the words in which it was
// asked.
func (s *server) urgentWords(c *gin.Context, said spoken) []string {
	var words []string
	for _, sign := range said.Safety {
		words = append(words, s.text(c, "report.safety."+sign))
	}
	if !said.today {
		return words
	}
	if len(said.Skin) == 0 {
		return append(words, s.text(c, "report.what.skin"))
	}
	for _, sign := range said.Skin {
		words = append(words, s.text(c, "report.skin."+sign))
	}
	return words
}
