package server

import (
	"errors"
	"log/slog"
	"net/http"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// An oops is an error that a person should read: a status and the catalogue id
// of a sentence that says what is wrong and what to do.
type oops struct {
	status int
	text   string // catalogue id; its .title and .say are the page's two sentences
	cause  error
}

func (o *oops) Error() string {
	if o.cause != nil {
		return o.text + ": " + o.cause.Error()
	}
	return o.text
}

func (o *oops) Unwrap() error { return o.cause }

// The errors that handlers return for a person to read.
var (
	errMalformed     = &oops{status: http.StatusBadRequest, text: "error.malformed"}
	errNotFound      = &oops{status: http.StatusNotFound, text: "error.not-found"}
	errForbidden     = &oops{status: http.StatusForbidden, text: "error.refused"}
	errMethod        = &oops{status: http.StatusMethodNotAllowed, text: "error.method"}
	errForeign       = &oops{status: http.StatusForbidden, text: "error.foreign"}
	errTooLarge      = &oops{status: http.StatusRequestEntityTooLarge, text: "error.large"}
	errLargeDocument = &oops{status: http.StatusRequestEntityTooLarge, text: "error.large-document"}
	errBusy          = &oops{status: http.StatusServiceUnavailable, text: "error.busy"}
	errFull          = &oops{status: http.StatusRequestEntityTooLarge, text: "error.full"}
	errArchived      = &oops{status: http.StatusConflict, text: "error.archived"}
	errZone          = &oops{status: http.StatusConflict, text: "error.zone"}
	errInternal      = &oops{status: http.StatusInternalServerError, text: "error.ours"}
)

// explain maps any error to the one that a person reads. Errors it doesn't know
// are internal: whole in the log, one fixed sentence on the page.
func explain(err error) *oops {
	var o *oops
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &o):
		return o
	case errors.As(err, &tooLarge):
		return errTooLarge
	case errors.Is(err, models.ErrTooLarge):
		return errFull
	case errors.Is(err, models.ErrNotFound):
		return errNotFound
	case errors.Is(err, models.ErrArchived):
		return errArchived
	case errors.Is(err, models.ErrStale):
		return &oops{status: http.StatusConflict, text: "error.stale", cause: err}
	case errors.Is(err, models.ErrConflict):
		return &oops{status: http.StatusConflict, text: "error.conflict", cause: err}
	case errors.Is(err, models.ErrInUse):
		return &oops{status: http.StatusConflict, text: "error.in-use", cause: err}
	}
	return &oops{status: errInternal.status, text: errInternal.text, cause: err}
}

// fail answers a request with the page for an error. Nothing of the cause
// reaches the page; the request's id joins page and log.
func (s *server) fail(c *gin.Context, err error) {
	if ofClientsForm(c.Request) && !errors.Is(err, errForeign) { // what comes from elsewhere is no client
		s.endReport(c, err)
		c.Abort()
		return
	}
	o := explain(err)
	s.logRefusal(c, o)
	page := errorPage{Page: s.page(c, s.text(c, o.text+".title"), ""), Sentence: s.text(c, o.text+".say"), Reference: requestID(c)}
	s.render(c, o.status, "error", page)
	c.Abort()
}

// logRefusal writes down why a request was not done.
func (s *server) logRefusal(c *gin.Context, o *oops) {
	level := slog.LevelInfo
	if o.status >= http.StatusInternalServerError {
		level = slog.LevelError
	}
	s.log.Log(c.Request.Context(), level, "request refused", "request", requestID(c), "route", c.FullPath(),
		"status", o.status, "text", o.text, "person", personID(c), "cause", causeOf(o))
}

func causeOf(o *oops) string {
	if o.cause == nil {
		return ""
	}
	return o.cause.Error()
}

// errorPage says what went wrong in one sentence.
type errorPage struct {
	Page
	Sentence  string
	Reference string // joins the page with the log
}
