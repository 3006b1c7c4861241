package server

import (
	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// resultPart is the last page of a check-in: the result as if it were saved,
// what was typed by page, and what is still to be said.
type resultPart struct {
	Problems []linkedProblem
	Results  []limbResult
	Groups   []factGroup
	Empty    []string // parts left empty, in words
	Reasons  []Option
}

// linkedProblem is a problem with a field of another page.
type linkedProblem struct{ Label, Message, Href string }

// limbResult is what a check-in says about one limb, in words.
type limbResult struct {
	Limb     string
	Volume   string // figure with its unit
	VolumeU  string
	NoVolume string // why there is none
	Change   string // figure
	Interval string
	Since    string
	Sentence string
	Again    string   // why to measure again now, empty for no reason
	AgainAt  string   // the page that asks for it, empty where there is none
	Rounds   []string // of a visit with two rounds
	NoSecond string   // why it was not measured a second time
	limbID   string
	More     []string
	Flags    []resultFlag
	Late     *lateResult // nil: it decides about flags itself
}

// lateResult tells what a check-in changes that was entered after a newer one.
type lateResult struct {
	Sentence   string
	FindsTitle string
	Finds      []resultFlag
	Gone       []string
}

// resultFlag is a finding as the flag partial shows it, with a link to its flag
// where there is one.
type resultFlag struct {
	saidFinding
	Link, LinkLabel string
}

func (s *server) resultPart(c *gin.Context, o opened) (resultPart, error) {
	checkin, problems := s.parseDraft(c, o)
	part := resultPart{Reasons: s.reasons(c)}
	typed := o.draft.Fields
	steps := o.layout.steps(typed)
	part.Groups = s.facts(c, o.layout, checkin, steps)
	for _, p := range problems {
		if p.Field == "left_empty" {
			continue
		}
		if st := o.layout.stepOf(p.Field); st.Kind != resultStep {
			part.Problems = append(part.Problems, linkedProblem{
				Label: s.fieldLabel(c, o.layout, p.Field), Message: s.textArgs(c, p.Code, p.Args),
				Href: draftPath(o.draft) + "/" + st.slug() + "#" + p.Field,
			})
		}
	}
	part.Empty = s.emptyParts(c, o)
	checkin.ID = o.draft.ID // a place of its own among the others while it has no id
	var err error
	part.Results, err = s.results(c, o.layout.Record.With(checkin), checkin.ID, o.layout.Record, false)
	for i := range part.Results {
		s.askInResult(c, &part.Results[i], o)
	}
	return part, err
}

// emptyParts names what was left empty without a reason, in words.
func (s *server) emptyParts(c *gin.Context, o opened) []string {
	r := s.draftReader(c, o)
	var said []string
	for _, limb := range o.layout.Limbs {
		_, empty := parseLimb(r, limb)
		for _, field := range empty {
			said = append(said, s.fieldLabel(c, o.layout, field))
		}
	}
	return said
}

// results puts what a check-in of the record says about each limb into words;
// before is the record without it. Saved tells one that is recorded from one that
// is about to be.
func (s *server) results(c *gin.Context, record followup.ClientRecord, checkinID string, before followup.ClientRecord, saved bool) ([]limbResult, error) {
	results, err := record.ResultsOf(checkinID, before)
	if err != nil {
		return nil, err
	}
	t, err := s.resultTeller(c, record, saved)
	if err != nil {
		return nil, err
	}
	said := make([]limbResult, len(results))
	for i, r := range results {
		limb, _ := record.Limb(r.Limb.ID)
		said[i] = s.sayResult(c, limb, r)
		if err := t.sayFindings(&said[i], limb, r); err != nil {
			return nil, err
		}
	}
	return said, nil
}

func (s *server) sayResult(c *gin.Context, limb followup.LimbRecord, r followup.Result) limbResult {
	y := s.sayer(c)
	said := limbResult{Limb: s.limbName(c, r.Limb), limbID: r.Limb.ID}
	if r.NoSecond != models.Done {
		said.NoSecond = s.text(c, "checkin.no-second", "Why", s.text(c, "not-done."+string(r.NoSecond)))
	} else if r.Again == assess.LargeUnresolved {
		said.Again = s.text(c, "checkin.again-why."+string(r.Again))
	}
	if r.Rounds != nil {
		said.Rounds = s.sayRounds(c, *r.Rounds)
	}
	if r.Volume != nil {
		said.Volume = form.FormatDecimal(r.Volume.VolumeML, 0, y.comma) + narrow + "mL"
		said.VolumeU = y.plusMinus(r.Volume.UML, 0)
	} else {
		said.NoVolume = s.noVolume(c, r.Limb)
	}
	if r.Change != nil {
		s.sayChange(c, &said, limb, r)
	}
	if r.Previous != nil && r.Previous.Comparable {
		said.More = append(said.More, s.text(c, "checkin.since-previous",
			"Change", y.percentChange(r.Previous.ChangePercent), "Interval", y.interval(r.Previous.LoPercent, r.Previous.HiPercent)))
	}
	if r.Control != nil {
		said.More = append(said.More, s.text(c, "checkin.against-sound",
			"Change", y.percentChange(r.Control.DifferencePercent), "Interval", y.interval(r.Control.LoPercent, r.Control.HiPercent)))
	}
	return said
}

func (s *server) noVolume(c *gin.Context, limb models.Limb) string {
	if !limb.Level.HasCone() {
		return s.text(c, "checkin.no-cone")
	}
	return s.text(c, "checkin.no-volume")
}

// sayChange says the change against the reference, and how sure it is.
func (s *server) sayChange(c *gin.Context, said *limbResult, limb followup.LimbRecord, r followup.Result) {
	y := s.sayer(c)
	said.Since = s.text(c, "checkin.since", "Reference", s.text(c, "reference."+string(r.Since)), "Date", y.date(r.SinceOn.On))
	if laterThanAccepted(limb, r.Since, r.SinceOn.On) {
		said.Since = s.text(c, "checkin.since-after-accepted", "Date", y.date(r.SinceOn.On))
	}
	if !r.Change.Comparable {
		said.Sentence = s.text(c, "checkin.verdict.not-comparable", "Why", s.text(c, "checkin.why."+r.Change.Why.Code))
		return
	}
	said.Change = y.percentChange(r.Change.ChangePercent)
	said.Interval = y.interval95(r.Change.LoPercent, r.Change.HiPercent)
	code := verdictCodes[r.Change.Verdict]
	if r.Change.Verdict == volume.CannotTell && r.Again != assess.LargeUnresolved {
		code = "cannot-tell-then" // nobody can measure again, or somebody has
	}
	said.Sentence = s.text(c, "checkin.verdict."+code, "Interval", y.interval(r.Change.LoPercent, r.Change.HiPercent))
}

// verdictCodes are the verdicts as they stand in ids of the catalogue.
var verdictCodes = map[volume.Verdict]string{
	volume.NoChange: "no-change", volume.Smaller: "smaller", volume.Larger: "larger", volume.CannotTell: "cannot-tell",
}

// proposedNext is the date that is proposed for the next check-in: early limbs
// change fast, mature ones slowly (common practice, no source).
func proposedNext(l checkinLayout, today quantity.Date) quantity.Date {
	days := 90
	for _, limb := range l.Limbs {
		if since, known := today.DaysSince(limb.Limb.AmputatedOn); known && since < 365 {
			days = 42
		}
	}
	return today.AddDays(days)
}
