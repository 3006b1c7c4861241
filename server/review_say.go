package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// reviewContent is what is signed, in words: the same before and after the
// signature.
type reviewContent struct {
	Decisions    []string
	Note         string
	Limits       []limitChange
	LimitsHow    string // set, confirmed or left as they were
	LimitsReason string
	Closing      []reviewedFlag
	Keeping      []reviewedFlag
	Checkins     []reviewedCheckin
	Reports      []reviewedReport
}

// limitChange is one limit before and after.
type limitChange struct{ Name, Before, After string }

// reviewedFlag is a flag as it was when it was reviewed.
type reviewedFlag struct{ Level, Claim, Reason, Owner, Link string }

// reviewedCheckin is a check-in in the version that was reviewed.
type reviewedCheckin struct{ On, Kind, By, Version, Readings, Link string }

// reviewedReport is a client's report that lay there.
type reviewedReport struct{ Number, On, Link string }

// reviewSayer puts reviews of one limb into words.
type reviewSayer struct {
	sayer
	basis  followup.ReviewBasis
	people []models.Person
	zone   *time.Location
}

func (s *server) reviewSayer(c *gin.Context, b followup.ReviewBasis) (reviewSayer, error) {
	people, err := s.store.People(c.Request.Context())
	return reviewSayer{sayer: s.sayer(c), basis: b, people: people, zone: s.zone(c)}, err
}

// content puts what a review says into words; set and before are the limits that
// it set or confirmed and those in force until then, nil for none.
func (y reviewSayer) content(r models.Review, set, before *models.LimbLimits) reviewContent {
	c := reviewContent{Note: r.Note, LimitsHow: y.text("review.limits-left")}
	for _, d := range r.Decisions {
		if d.Kind != models.LimitsConfirmed {
			c.Decisions = append(c.Decisions, y.decision(d))
		}
	}
	if set != nil {
		c.LimitsHow, c.LimitsReason, c.Limits = y.limitsHow(*set, before), set.Reason, y.limitChanges(*set, before)
		c.Decisions = append(c.Decisions, c.LimitsHow)
	}
	for _, seen := range r.Saw.Flags {
		line := y.reviewedFlag(seen, r)
		if seen.Closed {
			c.Closing = append(c.Closing, line)
		} else {
			c.Keeping = append(c.Keeping, line)
		}
	}
	for _, seen := range slices.Backward(r.Saw.Checkins) {
		c.Checkins = append(c.Checkins, y.reviewedCheckin(seen))
	}
	for _, id := range r.Saw.Reports {
		for _, report := range y.basis.Reports {
			if report.ID == id {
				c.Reports = append(c.Reports, reviewedReport{Number: report.Number, On: y.date(dateIn(report.SentAt, y.zone)), Link: reportPath(report.ClientID, report.ID)})
			}
		}
	}
	return c
}

// decision is a decision as a sentence.
func (y sayer) decision(d models.Decision) string {
	id := "review.said." + string(d.Kind)
	d.Note = strings.TrimRight(d.Note, ". ") // the sentence has a full stop of its own
	switch {
	case d.Until != "" && d.Note != "":
		return y.text(id+"-on-with", "On", y.date(d.Until), "What", d.Note)
	case d.Until != "":
		return y.text(id+"-on", "On", y.date(d.Until))
	case d.Note != "":
		return y.text(id+"-with", "What", d.Note)
	}
	return y.text(id)
}

// decisions are all that was decided in sentences.
func (y sayer) decisions(all []models.Decision) []string {
	said := make([]string, len(all))
	for i, d := range all {
		said[i] = y.decision(d)
	}
	return said
}

// limitsHow tells whether limits were confirmed as they were or set anew.
func (y sayer) limitsHow(set models.LimbLimits, before *models.LimbLimits) string {
	was := limitsNow(followup.LimbRecord{})
	if before != nil {
		was = *before
	}
	if sameLimits(was, set) {
		return y.text("review.limits-confirmed")
	}
	return y.text("review.limits-set")
}

// limitChanges are the limits one by one, before and after.
func (y sayer) limitChanges(set models.LimbLimits, before *models.LimbLimits) []limitChange {
	was, origin := limitsNow(followup.LimbRecord{}), y.text("flag.limit.starting")
	if before != nil {
		was, origin = *before, y.limitsOrigin(*before)
	}
	percent := func(field string, before, after float64) limitChange {
		return limitChange{
			Name:   y.text("review." + field),
			Before: y.text("review.limit-from", "Limit", y.short(before)+narrow+"%", "Origin", origin), After: y.short(after) + narrow + "%",
		}
	}
	room := limitChange{Name: y.text("review.room"), Before: y.text("review.room-none"), After: y.text("review.room-none")}
	if was.Room != nil {
		room.Before = y.text("review.limit-from", "Limit", y.limitMM(was.Room.MM()), "Origin", origin)
	}
	if set.Room != nil {
		room.After = y.limitMM(set.Room.MM())
	}
	return []limitChange{
		percent("loss", was.LossPercent, set.LossPercent), percent("loss_review", was.LossReviewPercent, set.LossReviewPercent),
		percent("gain", was.GainPercent, set.GainPercent), percent("gain_today", was.GainTodayPercent, set.GainTodayPercent), room,
	}
}

// limitsOrigin says who set limits and when: "Wren, 3 Nov 2026".
func (y sayer) limitsOrigin(l models.LimbLimits) string {
	if l.AnswerID != nil {
		return y.text("review.origin-letter", "By", l.SetBy, "On", y.shortDate(l.SetOn))
	}
	return y.text("review.origin", "By", l.SetBy, "On", y.shortDate(l.SetOn))
}

// reviewedFlag puts a flag into the words of the evidence that it had when it was
// reviewed.
func (y reviewSayer) reviewedFlag(seen models.SawFlag, r models.Review) reviewedFlag {
	line := reviewedFlag{Level: seen.Level, Reason: seen.Reason, Claim: y.text("review.flag-gone")}
	for _, f := range y.basis.Flags {
		if f.ID != seen.ID {
			continue
		}
		f.Evidence = slices.DeleteFunc(slices.Clone(f.Evidence), func(e models.FlagEvidence) bool { return e.AddedAt.After(r.SignedAt) })
		line.Claim, line.Link = y.flag(f).Claim, flagPath(f)
		if assess.About(f.About).ClosedBy() != assess.Prosthetist {
			line.Owner = y.text("review.fitters")
		}
	}
	return line
}

func (y reviewSayer) reviewedCheckin(seen models.SawCheckin) reviewedCheckin {
	line := reviewedCheckin{
		Version: y.decimal(float64(seen.Number), 0), Readings: y.decimal(float64(seen.Readings), 0), Link: checkinPath(y.basis.Record.Client.ID, seen.ID),
	}
	if at, ok := y.basis.Record.Version(seen.ID); ok {
		line.On, line.Kind, line.By = y.date(followup.Day(at)), upperFirst(y.word("checkin-kind", string(at.Kind))), nameOf(y.people, at.MeasuredBy)
	}
	return line
}
