package server

import (
	"errors"
	"net"
	"strings"

	"fairlead/models"
	"fairlead/server/drawing"
	"github.com/gin-gonic/gin"
)

// linkMadePage shows the address of a new link, once.
type linkMadePage struct {
	recordPage
	Path      string
	Address   string
	Code      drawing.Code
	OnlyHere  bool   // the address opens on this machine alone
	Expires   string // with the time
	Most      int
	Workshop  string
	Phone     string
	Emergency string
}

// makeReportLink makes a link and shows its address, which is not kept: only the
// hash of its token is. A form sent twice makes one link.
func (s *server) makeReportLink(c *gin.Context) error {
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	missing, err := s.missingForLink(c, client)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	r.Require("days", "most")
	days, most := r.Int("days", 1, mostLinkDays), r.Int("most", 1, mostLinkReports)
	if len(missing) > 0 {
		r.Add("", "problem.link-missing", nil)
	}
	if !r.Problems().Any() {
		link, path := NewReportLink(client.ID, signedIn(c).ID, s.now())
		link.ID, link.ExpiresAt, link.MostReports = recordID(typed), s.now().AddDate(0, 0, *days), *most
		switch err := s.store.CreateReportLink(c.Request.Context(), &link); {
		case err == nil:
			return s.showLinkMade(c, client, link, path)
		case errors.Is(err, models.ErrConflict):
			r.Add("", "problem.link-made", nil)
			typed["id"] = models.NewID()
		default:
			return err
		}
	}
	page, err := s.linksPage(c, client, typed)
	if err != nil {
		return err
	}
	page.recordPage = s.refused(c, page.recordPage, wording{form: "links"}, r)
	return s.refuseRecord(c, "links", page.Heading, page)
}

func (s *server) showLinkMade(c *gin.Context, client models.Client, link models.ReportLink, path string) error {
	limbs, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return err
	}
	address, onlyHere := s.address(c, path)
	page := linkMadePage{
		recordPage: s.recordPage(c, s.text(c, "links.made"), s.heading(c, client, limbs...), nil),
		Path:       linksPath(client), Address: address, OnlyHere: onlyHere, Most: link.MostReports,
		Expires:  s.sayer(c).moment(link.ExpiresAt, s.zone(c)),
		Workshop: s.workshop(c).Name, Phone: s.workshop(c).Phone, Emergency: s.workshop(c).EmergencyPhone,
	}
	if page.Code, err = drawing.NewCode(address); err != nil {
		return err
	}
	return s.show(c, "link-made", page)
}

// address is a path with the name by which the person reached this program in
// front, and whether that name is of this machine alone. The program speaks TLS,
// itself or by a proxy, to everybody but this machine.
func (s *server) address(c *gin.Context, path string) (address string, onlyHere bool) {
	host := c.Request.Host
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	ip := net.ParseIP(strings.Trim(name, "[]"))
	onlyHere = name == "localhost" || ip != nil && ip.IsLoopback()
	if onlyHere && c.Request.TLS == nil {
		return "http://" + host + path, true
	}
	return "https://" + host + path, onlyHere
}
