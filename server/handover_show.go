package server

import (
	"cmp"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// handoverPage is one handover: what was handed over, what became of it, and the
// forms that take it on.
type handoverPage struct {
	recordPage
	ClientPath, Path string
	Status           string // where it stands, as a sentence
	Mark             string // overdue, due or empty
	Today            bool   // a letter is too late for a flag that awaits the answer
	Recorded, Note   string
	Asked            []string // when somebody asked again
	AskedSaid        string   // how often
	Flags            []flagLine
	Answers          []answerShown
	AskAgain         bool        // the form is there
	NoMoreAsked      string      // why it is not
	AskedLost        string      // what was typed into it before that
	Answer           *answerForm // nil: the form is not there
}

// answerShown is an answer in words.
type answerShown struct {
	Heading, Recorded, Said string
	Document, DocumentLabel string // address and words of the link, or empty
	Decided                 []string
	Replaced                string // whose decision has taken the place of these, or empty
	Follows                 []string
}

func (s *server) showHandover(c *gin.Context) error {
	client, h, err := s.handoverOf(c)
	if err != nil {
		return err
	}
	page, err := s.handoverPage(c, client, h, map[string]string{})
	if err != nil {
		return err
	}
	return s.show(c, "handover", page)
}

// handoverPage puts a handover into words; what is not in typed begins as it
// would on a fresh page.
func (s *server) handoverPage(c *gin.Context, client models.Client, h followup.Handover, typed map[string]string) (handoverPage, error) {
	limb, err := s.store.LimbByID(c.Request.Context(), h.LimbID)
	if err != nil {
		return handoverPage{}, err
	}
	limits, err := s.store.LimitsOfMany(c.Request.Context(), []string{h.LimbID})
	if err != nil {
		return handoverPage{}, err
	}
	people, err := s.store.People(c.Request.Context())
	if err != nil {
		return handoverPage{}, err
	}
	decided, err := followup.DecidedOf(c.Request.Context(), s.store, []string{h.LimbID}, s.zone(c))
	if err != nil {
		return handoverPage{}, err
	}
	inForce := decided[h.LimbID]
	y, zone, today := s.decidedSayer(c, people), s.zone(c), s.presentDate(c)
	p := handoverPage{
		recordPage: s.recordPage(c, y.text("handover.title", "To", h.ToWhom), s.heading(c, client, limb), typed),
		ClientPath: clientPath(client) + "?limb=" + h.LimbID, Path: handoverPath(client.ID, h.ID), Note: h.Note,
		Recorded: y.text("handover.recorded", "By", nameOf(people, h.RecordedBy), "On", y.moment(h.RecordedAt, zone)),
	}
	p.Status, p.Mark = y.handoverStatus(h, today)
	p.Today = slices.ContainsFunc(h.Awaiting(), isNow)
	asked := h.Asked()
	for _, step := range asked {
		id := "handover.asked-on"
		if step.Note != "" {
			id = "handover.asked-note"
		}
		p.Asked = append(p.Asked, y.text(id, "On", y.moment(step.MadeAt, zone), "By", nameOf(people, step.MadeBy), "Note", step.Note))
	}
	if len(asked) > 0 {
		p.AskedSaid = y.text("handover.asked", "Count", len(asked), "Number", y.count(len(asked)))
	}
	for _, f := range h.Flags {
		p.Flags = append(p.Flags, y.flagOfHandover(f, h))
	}
	for _, a := range h.Answers {
		shown := y.answerShown(a, h, limits[h.LimbID], people, zone)
		shown.Decided, shown.Replaced = y.decisions(a.Decisions), y.replaced(a, inForce)
		p.Answers = append(p.Answers, shown)
	}
	// a form that was sent is shown again, so that nothing typed is lost
	if allowed(handOver, signedIn(c)) && (client.ArchivedAt == nil || len(typed) > 0) {
		p.AskAgain = len(h.Awaiting()) > 0
		if !p.AskAgain {
			p.NoMoreAsked, p.AskedLost = y.text("handover.ask-nothing"), typed["again_note"]
		}
		p.Answer = s.answerForm(c, h, limb, limits[h.LimbID], y.boxes(typed, inForce), typed)
		if names := reviewers(client); len(names) > 0 {
			p.Answer.Reviewed = y.text("answer.reviewed", "Count", len(names), "Names", y.list(names))
		}
	}
	for field, value := range s.untypedHandover(c, h, limits[h.LimbID]) {
		if _, ok := typed[field]; !ok {
			typed[field] = value
		}
	}
	return p, nil
}

// flagOfHandover says a flag of a handover, and where it stands.
func (y sayer) flagOfHandover(f models.Flag, h followup.Handover) flagLine {
	line := flagLine{saidFinding: y.flag(f), Link: flagPath(f), LinkLabel: y.text("follow.evidence")}
	switch {
	case f.ClosedAt != nil:
		line.Rest = joinSentences(y.text("handover.flag-closed"), line.Rest)
	case h.Since[f.ID] != "":
		line.Rest = joinSentences(y.text("handover.flag-moved", "To", h.Since[f.ID]), line.Rest)
	case f.HandoverID == nil:
		line.Rest = joinSentences(y.text("handover.flag-open"), line.Rest)
	case assess.About(f.About).ClosedBy() != assess.Prosthetist:
		line.Rest = joinSentences(y.text("handover.flag-fitters"), line.Rest)
	}
	return line
}

// handoverStatus says where a handover stands, and with which mark.
func (y sayer) handoverStatus(h followup.Handover, today quantity.Date) (said, mark string) {
	args := []any{"To", h.ToWhom, "Means", y.text("flag.means." + string(h.Means)), "Of", y.date(h.HandedOn), "On", y.date(h.AskAgainOn)}
	id := "handover.status."
	if len(h.Answers) > 0 {
		id = "handover.status.further-"
	}
	switch {
	case len(h.Awaiting()) == 0 && len(h.Answers) > 0:
		return y.text("handover.status.answered", args...), ""
	case len(h.Awaiting()) == 0:
		return y.text("handover.status.nothing-awaits", args...), ""
	case h.AskAgainOn < today:
		return y.text(id+"overdue", args...), "overdue"
	case h.AskAgainOn == today:
		return y.text(id+"today", args...), "due"
	}
	return y.text(id+"later", args...), ""
}

// answerShown puts an answer into words, with what followed from it.
func (y sayer) answerShown(a models.Answer, h followup.Handover, limits []models.LimbLimits, people []models.Person, zone *time.Location) answerShown {
	by := nameOf(people, a.RecordedBy)
	shown := answerShown{
		Heading:  y.text("answer.heading", "From", a.FromWhom, "Means", y.text("flag.means."+string(a.Means)), "Of", y.date(a.AnsweredOn)),
		Recorded: y.text("handover.recorded", "By", by, "On", y.moment(a.RecordedAt, zone)), Said: a.Said,
	}
	if a.DocumentSHA256 != nil {
		shown.Document = answerPath(a) + "/document"
		shown.DocumentLabel = y.text("answer.open-document", "Name", cmp.Or(a.DocumentName, y.text("answer.unnamed")))
	}
	for _, f := range h.Flags {
		if f.ClosedAnswerID != nil && *f.ClosedAnswerID == a.ID {
			shown.Follows = append(shown.Follows, y.text("answer.closed", "Claim", y.flag(f).Claim, "From", a.FromWhom,
				"Of", y.date(a.AnsweredOn), "By", by, "Reason", fullStop(f.CloseReason)))
		}
	}
	for _, l := range limits {
		if l.AnswerID != nil && *l.AnswerID == a.ID {
			shown.Follows = append(shown.Follows, y.text("answer.limits-set", "Origin", y.limitsOrigin(l), "Figures", y.limitFigures(l)))
		}
	}
	return shown
}

// answerPath is the address below which an answer's document lies.
func answerPath(a models.Answer) string { return "/clients/" + a.ClientID + "/answers/" + a.ID }
