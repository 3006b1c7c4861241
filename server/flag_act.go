package server

import (
	"errors"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// actOnFlag records what was done about a flag of a cover and, where asked, closes
// it with that.
func (s *server) actOnFlag(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	client, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	if flag.About != string(assess.AboutCover) || !mayClose(*signedIn(c), flag, byAction) {
		return errNotYours
	}
	r := s.recordReader(c, client, typed)
	work := s.readWork(c, r)
	flag.Version = readVersion(r)
	after := flagPath(flag)
	notice := "flag.acted-notice"
	if work.Close {
		after, notice = clientPath(client)+"?limb="+flag.LimbID, "flag.closed-notice"
	}
	if there, ok := stepThere(flag, work.StepID); ok {
		if sameStep(there, models.FlagStep{
			Kind: models.StepActed, MadeBy: work.By.ID, CoverAction: work.Action, GapBefore: work.GapBefore, GapAfter: work.GapAfter, Note: work.Note,
		}) {
			return s.done(c, after, "record.added-already")
		}
		r.Add("", "problem.saved-before", nil)
		typed["act_id"] = models.NewID()
	}
	if !r.Problems().Any() {
		switch err := followup.ActOnFlag(c.Request.Context(), s.store, flag, work); {
		case err == nil:
			return s.done(c, after, notice)
		case errors.Is(err, models.ErrConflict): // the same form, sent twice at once
			return s.done(c, after, "record.added-already")
		case errors.Is(err, models.ErrStale):
			return s.staleFlag(c, client, typed, "cover_action")
		default:
			return err
		}
	}
	return s.refuseFlag(c, client, flag, typed, r)
}

// readWork reads what was done. Doing nothing wants a note that says why.
func (s *server) readWork(c *gin.Context, r *form.Reader) followup.Work {
	w := followup.Work{
		StepID: recordID(map[string]string{"id": r.Typed("act_id")}), Action: form.RequiredChoice(r, "cover_action", models.CoverActions),
		GapBefore: r.Gap("gap_before"), GapAfter: r.Gap("gap_after"), Note: r.Note("act_note", longestNote),
		By: *signedIn(c), On: s.presentDate(c), Close: r.Bool("close"),
	}
	if w.Action == models.NothingDone {
		r.Require("act_note")
	}
	if w.Action != "" {
		y := s.sayer(c)
		w.Reason = joinSentences(y.text("flag.done."+string(w.Action))+y.gaps(w.GapBefore, w.GapAfter)+".", fullStop(w.Note))
	}
	return w
}
