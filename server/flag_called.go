package server

import (
	"errors"
	"time"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// callAboutFlag records that somebody called about a flag, and what came of it.
func (s *server) callAboutFlag(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	client, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	step := s.readCall(r, flag)
	if err := s.notBeforeFlag(c, r, flag, *step.CalledAt); err != nil {
		return err
	}
	step.MadeBy = signedIn(c).ID
	if there, ok := stepThere(flag, step.ID); ok {
		step.CalledAt = cmpTime(step.CalledAt, there.CalledAt, r)
		if sameStep(there, step) {
			return s.done(c, flagPath(flag), "record.added-already")
		}
		r.Add("", "problem.saved-before", nil)
		typed["call_id"] = models.NewID()
	}
	if !r.Problems().Any() {
		switch err := s.store.AddFlagStep(c.Request.Context(), &step, readVersion(r)); {
		case err == nil:
			return s.done(c, flagPath(flag), "flag.called-notice")
		case errors.Is(err, models.ErrConflict): // the same form, sent twice at once
			return s.done(c, flagPath(flag), "record.added-already")
		case errors.Is(err, models.ErrStale):
			return s.staleFlag(c, client, typed, "")
		default:
			return err
		}
	}
	return s.refuseFlag(c, client, flag, typed, r)
}

// readCall reads a call. Without date and time it was just now; where the clocks
// showed its time twice it was the later one, which is nearer to its being
// recorded.
func (s *server) readCall(r *form.Reader, flag models.Flag) models.FlagStep {
	step := models.FlagStep{
		ID: recordID(map[string]string{"id": r.Typed("call_id")}), FlagID: flag.ID, Kind: models.StepCalled,
		Outcome: form.RequiredChoice(r, "outcome", models.CallOutcomes), Note: r.Note("call_note", longestNote),
	}
	at, again := r.DateTime("call_on", "call_at")
	if !again.IsZero() {
		at = again
	}
	if r.Empty("call_on") && r.Empty("call_at") {
		at = s.now()
	}
	step.CalledAt = &at
	return step
}

// notBeforeFlag refuses a call of before what the flag rests on first.
func (s *server) notBeforeFlag(c *gin.Context, r *form.Reader, flag models.Flag, called time.Time) error {
	since, err := s.flagSince(c, flag)
	if err != nil {
		return err
	}
	zone := s.zone(c)
	if !r.Problems().Any() && called.Before(since.Truncate(time.Minute)) { // a call is typed to the minute
		r.Add("call_on", "problem.call-before-flag", map[string]any{"On": form.FormatDate(dateIn(since, zone), language), "Time": form.FormatClock(since, zone)})
	}
	return nil
}

// flagSince is the time of what a flag rests on first, which may be older than the
// flag: a check-in that was entered later.
func (s *server) flagSince(c *gin.Context, flag models.Flag) (time.Time, error) {
	since := flag.OpenedAt
	if n := len(flag.Evidence); n > 0 && flag.Evidence[n-1].CheckinID != nil {
		checkin, err := s.store.CheckinByID(c.Request.Context(), *flag.Evidence[n-1].CheckinID)
		if err != nil {
			return since, err
		}
		if checkin.MeasuredAt.Before(since) {
			since = checkin.MeasuredAt
		}
	}
	return since, nil
}

// cmpTime is the time that a call that is there already was said to be, where the
// form leaves it to the moment of its being sent.
func cmpTime(now, there *time.Time, r *form.Reader) *time.Time {
	if r.Empty("call_on") && r.Empty("call_at") {
		return there
	}
	return now
}
