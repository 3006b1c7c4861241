package server

import (
	"maps"
	"math"
	"slices"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
)

// limitFields are the fields of the limits of volume, in percent.
var limitFields = []string{"loss", "loss_review", "gain", "gain_today"}

// limitLabels are the ids of the words for the fields of limits, by field.
func limitLabels() map[string]string {
	named := map[string]string{"room": "review.room", "limits_reason": "review.limits_reason"}
	for _, field := range limitFields {
		named[field] = "review." + field
	}
	return named
}

// limitsNow are the limits of volume that a form begins with: those in force, or
// the starting values.
func limitsNow(l followup.LimbRecord) models.LimbLimits {
	if set := l.LimitsInForce(); set != nil {
		return *set
	}
	start := assess.StartingVolumeLimits
	return models.LimbLimits{
		LossPercent: start.LossPercent, LossReviewPercent: start.LossReviewPercent,
		GainPercent: start.GainPercent, GainTodayPercent: start.GainTodayPercent,
	}
}

// typedReview is the form of a review that nobody has typed into yet.
func (y sayer) typedReview(b followup.ReviewBasis, who models.Person) map[string]string {
	typed := map[string]string{"id": models.NewID(), "shown": b.Shown().String()}
	if b.Limb.Limb.Level.HasCone() {
		now := limitsNow(b.Limb)
		for i, percent := range []float64{now.LossPercent, now.LossReviewPercent, now.GainPercent, now.GainTodayPercent} {
			typed[limitFields[i]] = y.short(percent)
		}
		typed["room"] = typedMM(who, now.Room)
	}
	return typed
}

// ownReviewFields keeps of a form what belongs to a review, with line ends as
// one page after the other sends them. Whatever else was sent, such as who
// signs, has no say.
func ownReviewFields(typed map[string]string) map[string]string {
	known := append([]string{"id", "shown", "note", "room", "limits_confirm", "limits_reason"}, limitFields...)
	known = slices.AppendSeq(known, maps.Keys(decisionLabels()))
	own := map[string]string{}
	for field, value := range typed {
		if slices.Contains(known, field) || strings.HasPrefix(field, "flag.") || strings.HasPrefix(field, "reason.") {
			own[field] = strings.ReplaceAll(value, "\r\n", "\n")
		}
	}
	return own
}

// readReview reads the form of a review into what would be signed. mayClose
// tells which flags a signature closes.
func readReview(r *form.Reader, b followup.ReviewBasis, today quantity.Date, mayClose func(models.Flag) bool) followup.Signing {
	s := followup.Signing{
		ClientID: b.Record.Client.ID, LimbID: b.Limb.Limb.ID, On: today, Shown: followup.ParseShown(r.Typed("shown")),
		Decisions: readDecisions(r, today, "problem.review-past"), Note: r.Note("note", longestNote), MayClose: mayClose,
	}
	if b.Limb.Limb.Level.HasCone() {
		if s.Limits = readLimits(r, b.Limb); s.Limits != nil {
			s.Decisions = append(s.Decisions, models.Decision{Kind: models.LimitsConfirmed})
		}
	}
	if len(s.Decisions) == 0 && !r.Problems().Any() {
		r.Add("decisions", "problem.review-nothing", nil)
	}
	if followup.Contradictory(s.Decisions) {
		r.Add("decisions", "problem.review-contradiction", nil)
	}
	s.Close = readClosings(r, b, s.Note, mayClose)
	return s
}

// readLimits reads limits that are set anew or confirmed as they are; nil where
// neither is done.
func readLimits(r *form.Reader, l followup.LimbRecord) *models.LimbLimits {
	now, read := limitsNow(l), readLimitFigures(r)
	if read == nil {
		return nil
	}
	set := *read
	set.Reason = r.Note("limits_reason", longestNote)
	confirm, changed := r.Bool("limits_confirm"), !sameLimits(now, set)
	switch {
	case changed && confirm:
		r.Add("limits_confirm", "problem.review-not-as-they-are", nil)
	case !changed && !confirm && !r.Empty("limits_reason"):
		r.Add("limits_reason", "problem.review-limits-reason", nil)
	}
	if !changed && !confirm {
		return nil
	}
	r.Require("limits_reason")
	return &set
}

// readLimitFigures reads the figures of limits; nil where one can't be read.
func readLimitFigures(r *form.Reader) *models.LimbLimits {
	r.Require(limitFields...)
	set := models.LimbLimits{Room: r.Length("room", quantity.Millimetre, 1, mostRoom)}
	read := true
	for i, into := range []*float64{&set.LossPercent, &set.LossReviewPercent, &set.GainPercent, &set.GainTodayPercent} {
		if percent := r.Decimal(limitFields[i], 0.1, 100, "%"); percent == nil {
			read = false
		} else if *into = *percent; math.Abs(*percent*10-math.Round(*percent*10)) > 1e-9 {
			r.Add(limitFields[i], "problem.review-tenth", nil)
		}
	}
	if _, wrong := r.Problems().For("room"); wrong || !read {
		return nil
	}
	if set.LossPercent > set.LossReviewPercent {
		r.Add("loss_review", "problem.review-order", nil)
	}
	if set.GainPercent > set.GainTodayPercent {
		r.Add("gain_today", "problem.review-order", nil)
	}
	return &set
}

// mostRoom is the largest limit of a change of room that is taken: 20 mm.
const mostRoom quantity.Length = 200

// sameLimits tells whether two limits have the same figures.
func sameLimits(a, b models.LimbLimits) bool {
	sameRoom := a.Room == nil && b.Room == nil || a.Room != nil && b.Room != nil && *a.Room == *b.Room
	return sameRoom && a.LossPercent == b.LossPercent && a.LossReviewPercent == b.LossReviewPercent &&
		a.GainPercent == b.GainPercent && a.GainTodayPercent == b.GainTodayPercent
}

// readClosings reads which flags are closed and why. One of level now needs a
// reason of its own; for the others the note of the review will do.
func readClosings(r *form.Reader, b followup.ReviewBasis, note string, mayClose func(models.Flag) bool) map[string]string {
	closings := map[string]string{}
	for _, f := range b.Open() {
		if !mayClose(f) {
			continue
		}
		reason := r.Note("reason."+f.ID, longestNote)
		switch form.Choice(r, "flag."+f.ID, []string{"keep", "close"}) {
		case "close":
			if reason == "" && f.Level != string(assess.Now) {
				reason = note
			}
			if reason == "" {
				r.Add("reason."+f.ID, "problem.review-close-reason", nil)
			}
			closings[f.ID] = reason
		default:
			if reason != "" {
				r.Add("reason."+f.ID, "problem.review-kept-reason", nil)
			}
		}
	}
	return closings
}
