package server

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// The browser that began a report holds its key in this cookie: for a day, so
// that a report left for longer than models.ReportIdle can be taken up again by
// the link. It goes out from our own pages only; the first of them is the link's.
const (
	reportCookie    = "__Host-fairlead-report"
	reportCookieAge = 24 * time.Hour
)

// reporting is a report being typed, and whose it is.
type reporting struct {
	draft  models.ReportDraft
	client models.Client
	limbs  []models.Limb
}

// reportEnd is a page of the form that goes no further: what it says, with the
// numbers to phone.
type reportEnd struct {
	status int
	text   string // catalogue id; its .title and .say are the page's words
}

func (e *reportEnd) Error() string { return e.text }

// The ends of the form. A link that is unknown, revoked, expired or used up
// meets one and the same.
var (
	endDead  = &reportEnd{http.StatusNotFound, "report.dead"}
	endSlow  = &reportEnd{http.StatusTooManyRequests, "report.slow"}
	endMany  = &reportEnd{http.StatusTooManyRequests, "report.many"}
	endLost  = &reportEnd{http.StatusGone, "report.lost"}
	endIdle  = &reportEnd{http.StatusGone, "report.idle"}
	endSent  = &reportEnd{http.StatusGone, "report.after"}
	endOther = &reportEnd{http.StatusConflict, "report.other"}
	endNone  = &reportEnd{http.StatusNotFound, "report.nowhere"}
)

// forClients wraps the pages of the form: no search engine lists them, no cache
// keeps them, and whatever goes wrong is said in the form's own words, with a
// number to phone.
func (s *server) forClients(f func(*gin.Context) error) func(*gin.Context) error {
	return func(c *gin.Context) error {
		c.Header("X-Robots-Tag", "noindex, nofollow")
		c.Header("Cache-Control", "no-store")
		if err := f(c); err != nil {
			s.endReport(c, err)
		}
		return nil
	}
}

// ofClientsForm tells whether a request is for a page of the form, whether there is
// such a page or not.
func ofClientsForm(r *http.Request) bool {
	return strings.HasPrefix(r.URL.Path, "/r/") || strings.HasPrefix(r.URL.Path, "/report/")
}

// endReport answers with the page for an end of the form. Any other error is
// logged as on every page, and told in words for a client.
func (s *server) endReport(c *gin.Context, err error) {
	var end *reportEnd
	page := reportEndPage{reportingPage: s.reportingPage(c, "")}
	c.Header("X-Robots-Tag", "noindex, nofollow")
	if !errors.As(err, &end) {
		o := explain(err)
		s.logRefusal(c, o)
		end = &reportEnd{o.status, "report.unread"}
		switch {
		case o.status >= http.StatusInternalServerError:
			end.text = "report.ours"
		case o.status == http.StatusNotFound:
			end.text = endNone.text
		}
		page.Reference = requestID(c)
	}
	page.Title, page.Sentence = s.text(c, end.text+".title"), s.text(c, end.text+".say")
	page.Sent = end == endSent
	page.Numbers, page.Urgent = s.endNumbers(c, end)
	page.AskSkin = end == endMany && c.Param("step") == "safety" && !page.Urgent
	switch end {
	case endSlow:
		c.Header("Retry-After", "3600")
	case endMany:
		c.Header("Retry-After", "60")
	}
	s.render(c, end.status, "report-end", page)
}

// endNumbers are the numbers on a page that goes no further: the workshop's, or,
// where the browser holds a report that should not wait, those of its client as on
// the page that says what to do now. Which they are depends on the browser alone,
// never on the link that was tried.
func (s *server) endNumbers(c *gin.Context, end *reportEnd) (numbers []phoneNumber, urgent bool) {
	if end != endOther {
		if r, link, err := s.heldReport(c); err == nil {
			client := r.client
			if r.draft.SentAt != nil {
				client = shownAfter(client, link)
			}
			if _, said := s.readReport(c, r); said.urgent() {
				return s.inOrder(c, client, said.Safety), true
			}
		}
	}
	return s.inOrder(c, models.Client{}, nil), false
}

// shownAfter is the client whose numbers are shown after a report was sent: nobody,
// which gives the workshop's, once the link was revoked or the client archived. Then
// the link may be in hands that it was taken from.
func shownAfter(client models.Client, link models.ReportLink) models.Client {
	if link.RevokedAt != nil || client.ArchivedAt != nil {
		return models.Client{}
	}
	return client
}

// reportKey is the key that the browser holds, or "".
func reportKey(c *gin.Context) string {
	key, err := c.Cookie(reportCookie)
	if err != nil {
		return ""
	}
	return key
}

// heldReport finds the report that the browser has begun, in whatever state.
func (s *server) heldReport(c *gin.Context) (reporting, models.ReportLink, error) {
	var r reporting
	key := reportKey(c)
	if key == "" {
		return r, models.ReportLink{}, endLost
	}
	ctx := c.Request.Context()
	draft, link, err := s.store.ReportDraftByKey(ctx, tokenHash(key))
	if errors.Is(err, models.ErrNotFound) {
		return r, link, endLost
	}
	if err != nil {
		return r, link, err
	}
	r.draft = draft
	if r.client, err = s.store.ClientByID(ctx, link.ClientID); err != nil {
		return r, link, err
	}
	r.limbs, err = s.store.LimbsOf(ctx, link.ClientID)
	return r, link, err
}

// openReport finds the report that the browser types at. One that was sent, or
// whose link was revoked, goes no further.
func (s *server) openReport(c *gin.Context) (reporting, error) {
	r, link, err := s.heldReport(c)
	if err != nil {
		return r, err
	}
	return r, r.goesOn(link)
}

// typedReport is openReport for what a page sends, with what was typed on it. What
// comes from a page of another report than the one that the browser holds now (that
// of another link, started in another tab) belongs to nobody here.
func (s *server) typedReport(c *gin.Context) (reporting, map[string]string, error) {
	r, link, err := s.heldReport(c)
	if err != nil {
		return r, nil, err
	}
	typed, err := fields(c)
	if err != nil {
		return r, nil, err
	}
	if typed["form"] != r.draft.ID {
		return r, typed, endOther
	}
	return r, typed, r.goesOn(link)
}

// goesOn returns the end that a report has come to, or nil.
func (r reporting) goesOn(link models.ReportLink) error {
	switch {
	case r.draft.SentAt != nil:
		return endSent
	case link.RevokedAt != nil, r.client.ArchivedAt != nil:
		return endDead
	}
	return nil
}

// shownReport is openReport for a page that shows what was typed: not when the
// report was left for too long.
func (s *server) shownReport(c *gin.Context) (reporting, error) {
	r, err := s.openReport(c)
	if err == nil && r.draft.Idle(s.now()) {
		return r, endIdle
	}
	return r, err
}
