package server

import (
	"errors"
	"slices"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// revokePage asks before a link is revoked.
type revokePage struct {
	recordPage
	Path, Action string
	Line         linkLine
}

// reportLinkOf finds the link of a path below its client, archived or not, and
// its line in the list.
func (s *server) reportLinkOf(c *gin.Context) (models.Client, models.ReportLink, linkLine, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, models.ReportLink{}, linkLine{}, err
	}
	links, err := s.store.ReportLinksOf(c.Request.Context(), client.ID)
	if err != nil {
		return client, models.ReportLink{}, linkLine{}, err
	}
	i := slices.IndexFunc(links, func(l models.ReportLink) bool { return l.ID == c.Param("link") })
	if i < 0 {
		return client, models.ReportLink{}, linkLine{}, errNotFound
	}
	lines, err := s.linkLines(c, client)
	if err != nil {
		return client, links[i], linkLine{}, err
	}
	return client, links[i], lines[i], nil
}

func (s *server) askRevoke(c *gin.Context) error {
	client, _, line, err := s.reportLinkOf(c)
	if err != nil {
		return err
	}
	limbs, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return err
	}
	return s.show(c, "link-revoke", revokePage{
		recordPage: s.recordPage(c, s.text(c, "links.revoke-title"), s.heading(c, client, limbs...), nil),
		Path:       linksPath(client), Action: line.Revoke, Line: line,
	})
}

// revokeReportLink ends a link at once, and every report being typed by it. That
// of an archived client too: to end a way in is never refused.
func (s *server) revokeReportLink(c *gin.Context) error {
	client, link, _, err := s.reportLinkOf(c)
	if err != nil {
		return err
	}
	notice := "links.revoked"
	err = s.store.RevokeReportLink(c.Request.Context(), link.ID, signedIn(c).ID)
	if errors.Is(err, models.ErrConflict) { // somebody else has: nothing is left to do
		notice, err = "links.revoked-already", nil
	}
	if err != nil {
		return err
	}
	return s.done(c, linksPath(client), notice)
}
