package server

import (
	"maps"
	"slices"

	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// answerForm records what was answered to a handover.
type answerForm struct {
	Means     []Option
	Flags     []flagToClose
	Elsewhere []string    // flags that are with somebody else since
	Lost      []typedLine // reasons that were typed for flags that somebody else closed meanwhile
	Decisions decisionBoxes
	HasLimits bool
	Origin    string // who set the limits in force
	Names     []string
	Reviewed  string // who of the care team looks at what the letter closes and decides; empty: nobody signs in
}

// flagToClose is an open flag that a written answer can close.
type flagToClose struct {
	Close, Reason, Version string // names of fields
	Said                   saidFinding
}

// answerLabels are the ids of the words for fields that the form of an answer
// shares with that of a review, by field.
func answerLabels() map[string]string {
	named := decisionLabels()
	maps.Copy(named, limitLabels())
	return named
}

func closeField(f models.Flag) string       { return "close." + f.ID }
func reasonField(f models.Flag) string      { return "reason." + f.ID }
func flagVersionField(f models.Flag) string { return "version." + f.ID }

// answerForm is the form of an answer. Flags that the person may not close by it
// are not offered.
func (s *server) answerForm(c *gin.Context, h followup.Handover, limb models.Limb, limits []models.LimbLimits, decisions decisionBoxes, typed map[string]string) *answerForm {
	y := s.sayer(c)
	p := &answerForm{
		Decisions: decisions, Means: s.options(c, "handed-by", texts(models.AllMeans)), HasLimits: limb.Level.HasCone(),
		Origin: y.text("flag.limit.starting"), Names: []string{h.ToWhom},
	}
	if len(limits) > 0 {
		p.Origin = y.limitsOrigin(limits[len(limits)-1])
	}
	for _, f := range h.Flags {
		said, to := y.flag(f), h.Since[f.ID]
		if f.ClosedAt == nil && to != "" {
			p.Elsewhere = append(p.Elsewhere, y.text("answer.elsewhere", "Claim", said.Claim, "To", to))
		}
		switch {
		case f.ClosedAt == nil && to != "" && typed[reasonField(f)] == "":
		case f.ClosedAt == nil && to == "" && mayClose(*signedIn(c), f, byWrittenAnswer):
			p.Flags = append(p.Flags, flagToClose{closeField(f), reasonField(f), flagVersionField(f), said})
		case typed[reasonField(f)] != "" || typed[closeField(f)] != "":
			p.Lost = append(p.Lost, typedLine{Label: said.Claim, Value: typed[reasonField(f)]})
		}
	}
	return p
}

// untypedHandover is what stands in the forms of a handover before anybody types.
func (s *server) untypedHandover(c *gin.Context, h followup.Handover, limits []models.LimbLimits) map[string]string {
	y, today := s.sayer(c), s.presentDate(c)
	after := askAgainAfter
	if slices.ContainsFunc(h.Awaiting(), isNow) {
		after = askAgainAfterNow
	}
	later := string(today.AddDays(after))
	next := string(h.AskAgainOn) // the day in force, unless it has come: then another must be set
	if next != "" && h.AskAgainOn <= today {
		next = later
	}
	now := limitsNow(followup.LimbRecord{Limits: limits})
	untyped := map[string]string{
		"version": version(h.Version), "again_on": later, "id": models.NewID(), "from_whom": h.ToWhom,
		"answer_means": string(models.ByLetter), "next_on": next, "room": typedMM(*signedIn(c), now.Room),
		"limits_number": version(len(limits)),
	}
	for i, percent := range []float64{now.LossPercent, now.LossReviewPercent, now.GainPercent, now.GainTodayPercent} {
		untyped[limitFields[i]] = y.short(percent)
	}
	for _, f := range h.Open() {
		untyped[flagVersionField(f)] = version(f.Version)
	}
	return untyped
}

// readAnswer reads the form into an answer to a handover.
func (s *server) readAnswer(c *gin.Context, r *form.Reader, h followup.Handover, limb models.Limb, limits []models.LimbLimits, file *upload) (followup.Answered, error) {
	who := *signedIn(c)
	from, err := s.readWhom(c, r, "from_whom")
	a := followup.Answered{Zone: s.zone(c), MayClose: func(f models.Flag) bool { return mayClose(who, f, byWrittenAnswer) }}
	a.Answer = &models.Answer{
		HandoverID: h.ID, FromWhom: from, Means: form.RequiredChoice(r, "answer_means", models.AllMeans),
		RecordedBy: who.ID,
	}
	r.Require("answered_on")
	if a.Answer.AnsweredOn = r.DateNotFuture("answered_on"); a.Answer.AnsweredOn != "" && a.Answer.AnsweredOn < h.HandedOn {
		r.Add("answered_on", "problem.answer-early", map[string]any{"Day": string(h.HandedOn)})
	}
	r.Require("said")
	a.Answer.Said = r.Note("said", longestNote)
	a.HandoverVersion = readVersion(r)
	a.Closings = readAnswerClosings(r, h, a.MayClose)
	s.refuseClosingElsewhere(c, r, h)
	a.Answer.Decisions = readDecisions(r, a.Answer.AnsweredOn, "problem.answer-decision-early")
	if followup.Contradictory(a.Answer.Decisions) {
		r.Add("decisions", "problem.review-contradiction", nil)
	}
	if limb.Level.HasCone() {
		if number := r.Int("limits_number", 0, len(limits)); number != nil {
			a.LimitsNumber = *number
		}
		a.Limits = s.readLetterLimits(c, r, limits, a)
	}
	if len(a.Closings) < len(h.Here()) && !r.Empty("next_on") {
		a.AskAgainOn = s.readDayToAsk(c, r, "next_on", s.presentDate(c))
	}
	stillOpen := func(closing models.AnswerClosing) bool {
		return slices.ContainsFunc(h.Open(), func(f models.Flag) bool { return f.ID == closing.FlagID })
	}
	decides := slices.ContainsFunc(a.Closings, stillOpen) || a.Limits != nil || len(a.Answer.Decisions) > 0
	a.Document = readDocument(r, file)
	if a.Document != nil {
		a.Answer.DocumentName = file.name
	}
	switch {
	case decides && a.Answer.Means == models.ByPhone: // with a file or without one
		r.Add("answer_means", "problem.answer-not-by-phone", nil)
	case decides && file == nil:
		r.Add("document", "problem.answer-needs-document", nil)
	}
	s.refuseOldLetter(c, r, h, a)
	return a, err
}

// refuseOldLetter refuses to close flags by a letter that is older than their
// newest evidence.
func (s *server) refuseOldLetter(c *gin.Context, r *form.Reader, h followup.Handover, a followup.Answered) {
	if a.Answer.AnsweredOn == "" {
		return
	}
	for _, f := range h.Open() {
		closes := slices.ContainsFunc(a.Closings, func(closing models.AnswerClosing) bool { return closing.FlagID == f.ID })
		if !closes {
			continue
		}
		switch day := followup.NewerThanLetter(f, h.RecordedAt, a.Answer.AnsweredOn, a.Zone); {
		case day == "":
		case day > a.Answer.AnsweredOn:
			r.Add(closeField(f), "problem.answer-before-evidence", map[string]any{"Day": s.sayer(c).date(day)})
		default:
			r.Add(closeField(f), "problem.answer-unknown-evidence", map[string]any{"Day": s.sayer(c).date(day)})
		}
	}
}

// refuseClosingElsewhere refuses to close a flag that went to somebody else since
// the form was opened.
func (s *server) refuseClosingElsewhere(c *gin.Context, r *form.Reader, h followup.Handover) {
	for _, f := range h.Open() {
		if to := h.Since[f.ID]; to != "" && (r.Bool(closeField(f)) || !r.Empty(reasonField(f))) {
			r.Add("", "problem.answer-elsewhere", map[string]any{"Claim": s.sayer(c).flag(f).Claim, "To": to})
		}
	}
}

// readAnswerClosings reads which flags the answer closes, and why. What was typed for
// a flag that somebody closed since is read as well: recording it will be refused.
func readAnswerClosings(r *form.Reader, h followup.Handover, mayClose func(models.Flag) bool) []models.AnswerClosing {
	var closings []models.AnswerClosing
	for _, f := range h.Flags {
		if _, elsewhere := h.Since[f.ID]; !mayClose(f) || elsewhere && f.ClosedAt == nil {
			continue
		}
		reason, ticked := r.Note(reasonField(f), longestNote), r.Bool(closeField(f))
		if !ticked && reason != "" && f.ClosedAt == nil {
			r.Add(reasonField(f), "problem.answer-not-ticked", nil)
		}
		switch {
		case f.ClosedAt == nil && ticked:
			r.Require(reasonField(f))
		case !ticked && (f.ClosedAt == nil || reason == ""):
			continue
		}
		closing := models.AnswerClosing{FlagID: f.ID, Reason: reason}
		if v := r.Int(flagVersionField(f), 0, 1<<30); v != nil {
			closing.Version = *v
		}
		closings = append(closings, closing)
	}
	return closings
}

// readLetterLimits reads the limits that a letter sets or confirms; nil where it
// does neither. Figures that nobody touched are those that were in force when the
// form was opened. Limits that are newer than the letter stay.
func (s *server) readLetterLimits(c *gin.Context, r *form.Reader, limits []models.LimbLimits, a followup.Answered) *models.LimbLimits {
	ticked, set := r.Bool("limits_set"), readLimitFigures(r)
	reason := r.Note("limits_reason", longestNote)
	if set == nil {
		return nil
	}
	if !ticked {
		if reason != "" || !sameLimits(*set, limitsNow(followup.LimbRecord{Limits: limits[:a.LimitsNumber]})) {
			r.Add("limits_set", "problem.answer-limits-not-ticked", nil)
		}
		return nil
	}
	if newer := followup.LimitsNewerThanLetter(limits, a.Answer); newer != nil {
		r.Add("limits_set", "problem.answer-limits-newer", map[string]any{"Origin": s.sayer(c).limitsOrigin(*newer)})
	}
	if set.Reason = reason; reason == "" {
		set.Reason = s.text(c, "answer.limits-reason", "From", a.Answer.FromWhom, "Of", s.sayer(c).date(a.Answer.AnsweredOn))
	}
	return set
}

// refuseAnswer shows a handover again with what was typed and what is wrong with
// it. A file that was chosen is not kept: that is said.
func (s *server) refuseAnswer(c *gin.Context, client models.Client, h followup.Handover, typed map[string]string, r *form.Reader, file *upload) error {
	chooseAgain(r, file)
	page, err := s.handoverPage(c, client, h, typed)
	if err != nil {
		return err
	}
	page.recordPage = s.refused(c, page.recordPage, handoverWording, r)
	for i, problem := range page.Problems {
		if name := s.answerFieldLabel(c, h, problem.Field); name != "" {
			page.Problems[i].Label = name
		}
	}
	if file != nil && file.tooLarge {
		s.render(c, errTooLarge.status, "handover", page)
		return nil
	}
	return s.refuseRecord(c, "handover", page.Heading, page)
}

// answerFieldLabel names the field of a flag, or is empty.
func (s *server) answerFieldLabel(c *gin.Context, h followup.Handover, field string) string {
	i := slices.IndexFunc(h.Flags, func(f models.Flag) bool { return field == reasonField(f) || field == closeField(f) })
	if i < 0 {
		return ""
	}
	return s.sayer(c).flag(h.Flags[i]).Claim
}

// staleAnswer shows a handover as it stands now with what was typed, unless it
// stands as this very form would leave it.
func (s *server) staleAnswer(c *gin.Context, typed map[string]string, fileName string, sentTwice func(followup.Handover) (bool, error)) error {
	client, h, err := s.handoverOf(c)
	if err != nil {
		return err
	}
	twice, err := sentTwice(h)
	if err != nil {
		return err
	}
	if twice {
		return s.done(c, handoverPath(client.ID, h.ID), "record.added-already")
	}
	delete(typed, "version")
	delete(typed, "limits_number")
	if typed["limits_set"] == "" { // nobody touched them
		for _, field := range append([]string{"room"}, limitFields...) {
			delete(typed, field)
		}
	}
	for _, f := range h.Flags {
		delete(typed, flagVersionField(f))
	}
	page, err := s.handoverPage(c, client, h, typed)
	if err != nil {
		return err
	}
	page.Problems = append(page.Problems, Problem{Message: s.text(c, "problem.answer-stale")})
	if fileName != "" {
		page.Problems = append(page.Problems, Problem{
			Field: "document", Label: s.text(c, "handover.document"), Message: s.text(c, "problem.document-again", "Name", fileName),
		})
	}
	return s.conflict(c, "handover", page)
}
