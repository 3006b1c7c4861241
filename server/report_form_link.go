package server

import (
	"crypto/rand"
	"encoding/base64"
	"errors"
	"maps"
	"net/http"
	"slices"
	"time"

	"fairlead/models"
	"github.com/gin-gonic/gin"
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

// startReport begins a report, or takes up the one that this browser has begun by
// the same link, and leaves the token behind: the pages after it have an address
// without one.
func (s *server) startReport(c *gin.Context) error {
	drawn := make([]byte, 32)
	_, _ = rand.Read(drawn) // never fails
	key := base64.RawURLEncoding.EncodeToString(drawn)
	start := models.ReportStart{
		TokenHash: tokenHash(c.Param("token")), KeyHash: tokenHash(key), AddressHash: reportAddress(c),
	}
	held := heldReports(c)
	start.HeldHashes = hashesOf(held)
	draft, err := s.store.BeginReport(c.Request.Context(), start)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return s.missed(c)
	case errors.Is(err, models.ErrTooMany):
		return endMany
	case err != nil:
		return err
	}
	if draft.KeyHash != start.KeyHash {
		key = held[draft.ID]
	}
	holdReport(c, draft.ID, key, reportCookieAge)
	delete(held, draft.ID)
	oldest := slices.Sorted(maps.Keys(held))
	for _, form := range oldest[:max(len(oldest)+1-mostHeldReports, 0)] {
		holdReport(c, form, "", -time.Second)
	}
	c.Redirect(http.StatusSeeOther, pagesOf(draft)+"safety")
	return nil
}

// holdReport gives the browser the key of a report for so long, or, below 0, takes it
// away.
func holdReport(c *gin.Context, form, key string, age time.Duration) {
	http.SetCookie(c.Writer, &http.Cookie{
		Name: reportCookie + "-" + form, Value: key, Path: "/", MaxAge: int(age.Seconds()),
		Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

// pagesOf is the address of a report's pages, before the name of each.
func pagesOf(d models.ReportDraft) string { return "/report/" + d.ID + "/" }

// hashesOf are the hashes of the keys of held reports.
func hashesOf(held map[string]string) []string {
	var hashes []string
	for _, form := range newestForms(held) {
		hashes = append(hashes, tokenHash(held[form]))
	}
	return hashes
}

// reportLink finds the link of a request, if a report can be begun by it, or one gone
// on with that this browser holds.
func (s *server) reportLink(c *gin.Context) (models.ReportLink, error) {
	link, err := s.store.ReportLinkByHash(c.Request.Context(), tokenHash(c.Param("token")), hashesOf(heldReports(c))...)
	if errors.Is(err, models.ErrNotFound) {
		return link, s.missed(c)
	}
	return link, err
}

// showRobots asks search engines to leave alone what is opened by a link.
func (s *server) showRobots(c *gin.Context) error {
	c.String(http.StatusOK, "User-agent: *\nDisallow: /r/\nDisallow: /report/\n")
	return nil
}
