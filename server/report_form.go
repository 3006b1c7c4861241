package server

import (
	"errors"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// The browser that began a report holds its key in a cookie that is called after the
// report: for a day, so that a report left for longer than models.ReportIdle can be
// taken up again by the link. It goes out from our own pages only; the first of
// them is the link's. Every page has the report's id in its address, which opens
// nothing without the key: so several people can report by one phone, each window
// with its own form.
const (
	reportCookie    = "__Host-fairlead-report"
	reportCookieAge = 24 * time.Hour
	mostHeldReports = 20 // by one browser; it forgets the oldest beyond
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
// meets one and the same; only who was typing by it is told that it is used up.
var (
	endDead = &reportEnd{http.StatusNotFound, "report.dead"}
	endSlow = &reportEnd{http.StatusTooManyRequests, "report.slow"}
	endMany = &reportEnd{http.StatusTooManyRequests, "report.many"}
	endDay  = &reportEnd{http.StatusTooManyRequests, "report.day"}
	endUsed = &reportEnd{http.StatusGone, "report.used"}
	endLost = &reportEnd{http.StatusGone, "report.lost"}
	endIdle = &reportEnd{http.StatusGone, "report.idle"}
	endSent = &reportEnd{http.StatusGone, "report.after"}
	// endUntold is for a page that showed a sign as told, of a report that was sent
	// without it.
	endUntold = &reportEnd{http.StatusConflict, "report.untold"}
	endNone   = &reportEnd{http.StatusNotFound, "report.nowhere"}
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
	page.Pages = "/report/" + c.Param("form") + "/"
	page.Sent = end == endSent
	page.Numbers, page.Urgent = s.endNumbers(c)
	if end == endUntold {
		page.Numbers, page.Urgent = s.untoldNumbers(c), true
	}
	page.AskSkin = (end == endDay || end == endUsed) && c.Param("step") == "safety" && !page.Urgent
	switch end {
	case endSlow:
		c.Header("Retry-After", "3600")
	case endMany:
		c.Header("Retry-After", "60")
	case endDay:
		c.Header("Retry-After", "86400")
	}
	s.render(c, end.status, "report-end", page)
}

// endNumbers are the numbers on a page that goes no further: the workshop's, or,
// where the browser holds a report that should not wait, those of its client as on
// the page that says what to do now. A page of a report that the browser holds goes
// by that one, any other by all that it holds, the newest first: never by the link
// that was tried.
func (s *server) endNumbers(c *gin.Context) (numbers []phoneNumber, urgent bool) {
	held := heldReports(c)
	if key, ok := held[c.Param("form")]; ok {
		held = map[string]string{c.Param("form"): key}
	}
	for _, form := range newestForms(held) {
		r, link, err := s.reportByKey(c, held[form])
		if err != nil {
			continue
		}
		client := r.client
		if r.draft.SentAt != nil {
			client = shownAfter(client, link)
		}
		if _, said := s.readReport(c, r); said.urgent() {
			return s.inOrder(c, client, said.Safety), true
		}
	}
	return s.inOrder(c, models.Client{}, nil), false
}

// untoldNumbers are those for the signs of a page that were not sent.
func (s *server) untoldNumbers(c *gin.Context) []phoneNumber {
	r, link, err := s.heldReport(c)
	if err != nil {
		return s.inOrder(c, models.Client{}, nil)
	}
	var signs []string
	for field := range strings.FieldsSeq(c.Request.PostForm.Get("told")) {
		signs = append(signs, strings.TrimPrefix(field, "safety."))
	}
	return s.inOrder(c, shownAfter(r.client, link), signs)
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

// heldReports are the keys that the browser holds, by the ids of their reports,
// which are in the order of time.
func heldReports(c *gin.Context) map[string]string {
	held := map[string]string{}
	for _, cookie := range c.Request.Cookies() {
		if form, ok := strings.CutPrefix(cookie.Name, reportCookie+"-"); ok {
			held[form] = cookie.Value
		}
	}
	return held
}

// newestForms are the ids of held reports, the newest first, no more than a browser is
// let hold.
func newestForms(held map[string]string) []string {
	forms := slices.Sorted(maps.Keys(held))
	slices.Reverse(forms)
	return forms[:min(len(forms), mostHeldReports)]
}

// heldReport finds the report of the address, in whatever state, if the browser
// holds its key.
func (s *server) heldReport(c *gin.Context) (reporting, models.ReportLink, error) {
	key, ok := heldReports(c)[c.Param("form")]
	if !ok {
		return reporting{}, models.ReportLink{}, endLost
	}
	r, link, err := s.reportByKey(c, key)
	if err == nil && r.draft.ID != c.Param("form") {
		return reporting{}, models.ReportLink{}, endLost
	}
	return r, link, err
}

// reportByKey finds the report of a key, in whatever state.
func (s *server) reportByKey(c *gin.Context, key string) (reporting, models.ReportLink, error) {
	var r reporting
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

// typedReport is openReport for what a page sends, with what was typed on it. It gives
// the key to the browser again: Chromium, which keeps pages whole to go back to them,
// lets go of those that ask not to be stored once such a cookie is set. So Back never
// shows an answer as it was before it was changed or sent.
func (s *server) typedReport(c *gin.Context) (reporting, map[string]string, error) {
	r, link, err := s.heldReport(c)
	if err != nil {
		return r, nil, err
	}
	holdReport(c, r.draft.ID, heldReports(c)[r.draft.ID], reportCookieAge)
	typed, err := fields(c)
	if err != nil {
		return r, nil, err
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
