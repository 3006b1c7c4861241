package server

import (
	"crypto/rand"
	"encoding/base64"
	"errors"
	"net/http"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// Tries of links that don't work, from one address and from everywhere, in an
// hour. A token has 256 bits, so no number of tries finds one; slowing keeps the
// record and the log from being filled.
const (
	missWindow     = time.Hour
	mostMisses     = 60
	missesToWarnOf = 50
)

// showReportStart is what a link opens: what the form is for, and a button. It
// changes nothing, so that a program that looks at links in messages can't use
// one up; and it shows nothing of whose link it is.
func (s *server) showReportStart(c *gin.Context) error {
	if _, err := s.reportLink(c); err != nil {
		return err
	}
	page := reportStartPage{reportingPage: s.reportingPage(c, s.text(c, "report.start.title"))}
	page.Action = "/r/" + c.Param("token") + "/start"
	page.Emergency = s.emergencyNumber(c, "")
	page.Reads = s.nextReading(c)
	return s.show(c, "report-start", page)
}

// startReport begins a report, or takes up the one that this browser has begun,
// and leaves the token behind: the pages after it have an address without one.
func (s *server) startReport(c *gin.Context) error {
	if err := s.tooManyMisses(c); err != nil {
		return err
	}
	drawn := make([]byte, 32)
	_, _ = rand.Read(drawn) // never fails
	key := base64.RawURLEncoding.EncodeToString(drawn)
	start := models.ReportStart{
		TokenHash: tokenHash(c.Param("token")), KeyHash: tokenHash(key), AddressHash: reportAddress(c),
	}
	if held := reportKey(c); held != "" {
		start.HeldHash = tokenHash(held)
	}
	draft, err := s.store.BeginReport(c.Request.Context(), start)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return s.missed(c)
	case errors.Is(err, models.ErrTooMany):
		return endMany
	case err != nil:
		return err
	}
	if draft.KeyHash == start.HeldHash {
		key = reportKey(c)
	}
	http.SetCookie(c.Writer, &http.Cookie{
		Name: reportCookie, Value: key, Path: "/", MaxAge: int(reportCookieAge.Seconds()),
		Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
	c.Redirect(http.StatusSeeOther, "/report/safety")
	return nil
}

// reportLink finds the link of a request, if a report can be begun by it.
func (s *server) reportLink(c *gin.Context) (models.ReportLink, error) {
	if err := s.tooManyMisses(c); err != nil {
		return models.ReportLink{}, err
	}
	link, err := s.store.ReportLinkByHash(c.Request.Context(), tokenHash(c.Param("token")))
	if errors.Is(err, models.ErrNotFound) {
		return link, s.missed(c)
	}
	return link, err
}

// reportAddress is the hash of where a request comes from.
func reportAddress(c *gin.Context) string { return hashKey("report", c.ClientIP()) }

// tooManyMisses refuses an address from which too many links were tried that
// don't work, before another is looked at.
func (s *server) tooManyMisses(c *gin.Context) error {
	n, err := s.store.ReportMisses(c.Request.Context(), reportAddress(c), s.now().Add(-missWindow))
	if err == nil && n >= mostMisses {
		return endSlow
	}
	return err
}

// missed counts the try of a link that doesn't work, and warns once an hour when
// there are many.
func (s *server) missed(c *gin.Context) error {
	now := s.now()
	total, err := s.store.AddReportMiss(c.Request.Context(), reportAddress(c), now.Add(-missWindow))
	if err != nil {
		return err
	}
	if last := s.missesWarned.Load(); total > missesToWarnOf && now.Unix()-last >= int64(missWindow.Seconds()) &&
		s.missesWarned.CompareAndSwap(last, now.Unix()) {
		s.log.Warn("many links for reports that don't work were tried", "request", requestID(c), "in-an-hour", total)
	}
	return endDead
}

// showRobots asks search engines to leave alone what is opened by a link.
func (s *server) showRobots(c *gin.Context) error {
	c.String(http.StatusOK, "User-agent: *\nDisallow: /r/\nDisallow: /report/\n")
	return nil
}
