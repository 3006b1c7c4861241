package server

import (
	"errors"
	"net/http"

	"fairlead/analytics/assess"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// errNotYours refuses to close a flag that is not the reader's to close.
var errNotYours = &oops{status: http.StatusForbidden, text: "error.not-yours"}

// closingWay is what a flag is closed by.
type closingWay int

// The ways of closing a flag.
const (
	byAction        closingWay = iota // what was done about it
	bySignature                       // of the person's own review
	byWrittenAnswer                   // of a prosthetist who does not sign in, with the document attached
)

// mayClose is the one place that decides who closes a flag, and how: the fitter
// those about the cover and the data, with the action taken. What is about limb,
// socket or skin is the prosthetist's: it closes by their signature, or by their
// written answer, which the fitter records. The store refuses anything else once
// more.
func mayClose(who models.Person, f models.Flag, by closingWay) bool {
	prosthetists := assess.About(f.About).ClosedBy() == assess.Prosthetist
	switch by {
	case byAction:
		return who.IsFitter && !prosthetists
	case bySignature:
		return who.IsProsthetist && prosthetists
	case byWrittenAnswer:
		return who.IsFitter && prosthetists
	}
	return false
}

// closeFlag closes a flag about the readings for a reason. One about the cover
// closes with what was done (actOnFlag).
func (s *server) closeFlag(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	client, flag, err := s.flag(c)
	if err != nil {
		return err
	}
	if !mayClose(*signedIn(c), flag, byAction) {
		return errNotYours
	}
	r := s.recordReader(c, client, typed)
	reason := r.RequiredText("reason", longestNote)
	if flag.About == string(assess.AboutCover) && flag.ClosedAt == nil {
		r.Add("cover_action", "problem.close-by-act", nil)
	}
	read := readVersion(r)
	if !r.Problems().Any() {
		switch err := s.store.CloseFlag(c.Request.Context(), flag.ID, read, models.Closing{By: signedIn(c).ID, Reason: reason}); {
		case err == nil:
			return s.done(c, clientPath(client)+"?limb="+flag.LimbID, "flag.closed-notice")
		case errors.Is(err, models.ErrStale):
			return s.staleFlag(c, client, typed, "reason")
		default:
			return err
		}
	}
	return s.refuseFlag(c, client, flag, typed, r)
}
