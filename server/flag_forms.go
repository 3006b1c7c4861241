package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// callForm records a call about a flag.
type callForm struct {
	Phone    string // a sentence
	Outcomes []Option
}

// workForm records what was done about a flag of a cover.
type workForm struct{ Actions []Option }

// typedLine is something that a person typed, under its label.
type typedLine struct{ Label, Value string }

// flagWording are the words of the forms of a flag.
var flagWording = wording{
	form: "flag", ids: map[string]string{"close": "flag.act-close"},
	kinds: map[string]string{"outcome": "flag.outcome", "cover_action": "flag.done", "close": "tick"},
}

// The fields of each form of a flag.
var (
	callFields  = []string{"call_on", "call_at", "outcome", "call_note"}
	workFields  = []string{"cover_action", "gap_before", "gap_after", "act_note", "close"}
	closeFields = []string{"reason"}
)

// offer puts the forms that a person may use about a flag on its page, and what
// was typed for one that is not offered beside them.
func (s *server) offer(c *gin.Context, p *flagPage, client models.Client, flag models.Flag, typed map[string]string) {
	who, open := *signedIn(c), flag.ClosedAt == nil && client.ArchivedAt == nil
	mayNote, mayAct := open && allowed(noteFlag, &who), open && mayClose(who, flag, byAction)
	p.Unseen = mayNote && flag.SeenAt == nil
	if mayNote {
		p.Call = &callForm{Phone: s.text(c, "flag.call-no-phone"), Outcomes: s.options(c, "flag.outcome", texts(models.CallOutcomes))}
		if client.Phone != "" {
			p.Call.Phone = s.text(c, "flag.call-phone", "Phone", strings.ReplaceAll(client.Phone, " ", "\u00a0"))
		}
	} else {
		p.NotSaved = append(p.NotSaved, s.notSaved(c, callFields, typed)...)
	}
	aboutCover := flag.About == string(assess.AboutCover)
	if mayAct && aboutCover {
		p.Work = &workForm{Actions: s.options(c, "flag.done", texts(models.CoverActions))}
	} else {
		p.NotSaved = append(p.NotSaved, s.notSaved(c, workFields, typed)...)
	}
	p.MayClose = mayAct && !aboutCover
	if !p.MayClose {
		p.NotSaved = append(p.NotSaved, s.notSaved(c, closeFields, typed)...)
	}
	if !mayAct && flag.ClosedAt == nil {
		p.Closing = s.text(c, "flag.closes."+string(assess.About(flag.About).ClosedBy()))
	}
	p.Typed = typed
	for field, value := range s.untypedFlag(c, flag) {
		if _, ok := typed[field]; !ok {
			typed[field] = value
		}
	}
}

// untypedFlag is what stands in the forms of a flag before anybody types.
func (s *server) untypedFlag(c *gin.Context, flag models.Flag) map[string]string {
	now := s.now().In(s.zone(c))
	return map[string]string{
		"version": version(flag.Version), "call_id": models.NewID(), "act_id": models.NewID(),
		"call_on": string(quantity.DateOf(now)), "call_at": form.FormatClock(now, s.zone(c)),
	}
}

// notSaved lists what was typed into some fields, as it would have been kept.
func (s *server) notSaved(c *gin.Context, names []string, typed map[string]string) []typedLine {
	var lines []typedLine
	for _, field := range names {
		if label, ok := s.labelOf(c, flagWording, field); ok && typed[field] != "" {
			lines = append(lines, typedLine{Label: label, Value: s.sayTyped(c, flagWording, field, typed[field])})
		}
	}
	return lines
}

// refuseFlag shows a flag again with what was typed and what is wrong with it.
func (s *server) refuseFlag(c *gin.Context, client models.Client, flag models.Flag, typed map[string]string, r *form.Reader) error {
	page, err := s.flagPage(c, client, flag, typed)
	if err != nil {
		return err
	}
	page.Page = s.withProblems(c, page.Page, r.Problems(), func(field string) string {
		label, _ := s.labelOf(c, flagWording, field)
		return label
	})
	return s.refuseRecord(c, "flag", page.Heading, page)
}

// staleFlag shows a flag as it now stands, with what was typed: it got new
// evidence, or somebody else closed it. Field is where that is said.
func (s *server) staleFlag(c *gin.Context, client models.Client, typed map[string]string, field string) error {
	_, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	typed["version"] = version(flag.Version)
	page, err := s.flagPage(c, client, flag, typed)
	if err != nil {
		return err
	}
	problem := Problem{Field: field, Message: s.text(c, "flag.changed")}
	if flag.ClosedAt != nil { // the form is not there any more
		problem = Problem{Message: s.text(c, "flag.closed-already")}
	}
	page.Problems = append(page.Problems, problem)
	return s.conflict(c, "flag", page)
}

// stepThere tells whether a flag has the step with an id already, as after a form
// that was sent twice.
func stepThere(flag models.Flag, id string) (models.FlagStep, bool) {
	i := slices.IndexFunc(flag.Steps, func(s models.FlagStep) bool { return s.ID == id })
	if i < 0 {
		return models.FlagStep{}, false
	}
	return flag.Steps[i], true
}

// sameStep tells whether two steps say the same, but for when they were recorded.
func sameStep(a, b models.FlagStep) bool {
	sameGap := func(x, y *quantity.Length) bool { return x == nil && y == nil || x != nil && y != nil && *x == *y }
	sameTime := func(x, y *time.Time) bool { return x == nil && y == nil || x != nil && y != nil && x.Equal(*y) }
	return a.Kind == b.Kind && a.MadeBy == b.MadeBy && a.Outcome == b.Outcome && a.CoverAction == b.CoverAction && a.Note == b.Note &&
		sameGap(a.GapBefore, b.GapBefore) && sameGap(a.GapAfter, b.GapAfter) && sameTime(a.CalledAt, b.CalledAt)
}
