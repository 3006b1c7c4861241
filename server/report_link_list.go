package server

import (
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// linksPage lists a client's private links and makes another.
type linksPage struct {
	recordPage
	Path    string
	Missing []missingPart
	Links   []linkLine
	Numbers []dialLine
}

// dialLine is a number of the client's form, and what a telephone makes of it.
type dialLine struct{ Label, Shown, Dials string }

// dialLines are the numbers that are there, the client's first.
func (s *server) dialLines(c *gin.Context, client models.Client) []dialLine {
	w := s.workshop(c)
	var lines []dialLine
	for _, n := range []phoneNumber{
		number(s.text(c, "client.clinic_phone"), client.ClinicPhone),
		number(s.text(c, "client.out_of_hours_phone"), client.OutOfHoursPhone),
		number(s.text(c, "client.emergency_phone"), client.EmergencyPhone),
		number(s.text(c, "links.missing.workshop-phone"), w.Phone),
		number(s.text(c, "links.missing.workshop-emergency"), w.EmergencyPhone),
	} {
		if n.Dial != "" {
			lines = append(lines, dialLine{n.Label, n.Shown, s.text(c, "links.dials", "Digits", n.groups())})
		}
	}
	return lines
}

// linkLine is one link. Of its use it tells when, and nothing of who or where.
type linkLine struct {
	MadeBy, MadeOn, Expires, Sent, LastUsed string
	State, StateSaid                        string
	Revoke                                  string // where it is revoked, while it is usable
}

func (s *server) showReportLinks(c *gin.Context) error {
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	page, err := s.linksPage(c, client, typedLink())
	if err != nil {
		return err
	}
	return s.show(c, "links", page)
}

func (s *server) linksPage(c *gin.Context, client models.Client, typed map[string]string) (linksPage, error) {
	ctx := c.Request.Context()
	page := linksPage{Path: linksPath(client)}
	limbs, err := s.store.LimbsOf(ctx, client.ID)
	if err != nil {
		return page, err
	}
	page.recordPage = s.recordPage(c, s.text(c, "links.title"), s.heading(c, client, limbs...), typed)
	if page.Missing, err = s.missingForLink(c, client); err != nil {
		return page, err
	}
	page.Numbers = s.dialLines(c, client)
	page.Links, err = s.linkLines(c, client)
	return page, err
}

// linkLines puts the links of a client into words, the newest first.
func (s *server) linkLines(c *gin.Context, client models.Client) ([]linkLine, error) {
	ctx := c.Request.Context()
	links, err := s.store.ReportLinksOf(ctx, client.ID)
	if err != nil {
		return nil, err
	}
	sent, err := s.sentByLink(c, client)
	if err != nil {
		return nil, err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, err
	}
	y, zone := s.sayer(c), s.zone(c)
	lines := make([]linkLine, len(links))
	for i, l := range links {
		state := stateOf(l, sent[l.ID], s.now())
		line := linkLine{
			MadeBy: nameOf(people, l.MadeBy), MadeOn: y.moment(l.MadeAt, zone), Expires: y.moment(l.ExpiresAt, zone),
			Sent: y.text("links.sent-of", "Sent", sent[l.ID], "Most", l.MostReports), LastUsed: y.text("links.never"),
			State: string(state), StateSaid: y.text("links.state." + string(state)),
		}
		if l.LastUsedAt != nil {
			line.LastUsed = y.moment(*l.LastUsedAt, zone)
		}
		if l.RevokedAt != nil && l.RevokedBy != nil {
			line.StateSaid = y.text("links.revoked-by", "By", nameOf(people, *l.RevokedBy), "On", y.moment(*l.RevokedAt, zone))
		}
		if state == linkUsable {
			line.Revoke = linksPath(client) + "/" + l.ID + "/revoke"
		}
		lines[i] = line
	}
	return lines, nil
}

// sentByLink counts a client's reports by the link that they came through.
func (s *server) sentByLink(c *gin.Context, client models.Client) (map[string]int, error) {
	reports, err := s.store.ReportsOf(c.Request.Context(), client.ID)
	sent := map[string]int{}
	for _, r := range reports {
		sent[r.LinkID]++
	}
	return sent, err
}
