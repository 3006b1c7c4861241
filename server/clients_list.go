package server

import (
	"errors"
	"net/http"
	"net/url"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// clientRows is how many clients a page of the list shows.
const clientRows = 50

// clientsPage lists clients by name. A search is posted, so that no name stands
// in an address.
type clientsPage struct {
	Page
	MayKeep  bool
	Archived bool   // archived clients are listed as well
	Query    string // what was searched for, empty for all
	Rows     []clientsLine
	First    string
	Next     string // address of the next page of all clients
	NextKey  string // key of the next page of a search, to be posted
}

// clientsLine is one client of the list.
type clientsLine struct {
	Heading Heading
	Link    string
	Mark    string // due, overdue or empty
	NextOn  string
}

// listClients shows all clients, page by page.
func (s *server) listClients(c *gin.Context) error {
	return s.clientsPage(c, models.ClientFilter{AfterKey: c.Query("after"), IncludeArchived: c.Query("archived") == "yes"})
}

// findClients shows those whose name or code holds what was typed.
func (s *server) findClients(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.reader(c, typed)
	f := models.ClientFilter{Query: r.Text("q", longestName), AfterKey: typed["after"], IncludeArchived: r.Bool("archived")}
	if problems := r.Problems(); problems.Any() {
		page := clientsPage{Page: s.page(c, s.text(c, "layout.clients"), "clients"), Archived: f.IncludeArchived, Query: typed["q"]}
		page.Page = s.withProblems(c, page.Page, problems, s.labels(c, map[string]string{"q": "clients.find"}))
		return s.refuse(c, "clients", page)
	}
	return s.clientsPage(c, f)
}

func (s *server) clientsPage(c *gin.Context, f models.ClientFilter) error {
	who := *signedIn(c)
	if !allowed(seeClient, &who) { // an owner as such sees no names
		c.Redirect(http.StatusSeeOther, "/setup")
		return nil
	}
	ctx := c.Request.Context()
	f.CareTeamOf, f.Limit = careTeamOf(who), clientRows
	clients, next, err := s.store.Clients(ctx, f)
	if errors.Is(err, models.ErrInvalid) { // a page key that is none of ours
		return errNotFound
	}
	if err != nil {
		return err
	}
	ids := make([]string, len(clients))
	for i, client := range clients {
		ids[i] = client.ID
	}
	limbs, err := s.store.LimbsOfMany(ctx, ids)
	if err != nil {
		return err
	}
	page := clientsPage{
		Page: s.page(c, s.text(c, "layout.clients"), "clients"), MayKeep: allowed(keepRecord, &who),
		Archived: f.IncludeArchived, Query: f.Query,
	}
	y, today := s.sayer(c), s.presentDate(c)
	for _, client := range clients {
		line := clientsLine{Heading: s.heading(c, client, limbs[client.ID]...), Link: clientPath(client)}
		if client.ArchivedAt == nil {
			line.Mark, line.NextOn = string(assess.DueState(client.NextCheckinOn, today)), y.shortDate(client.NextCheckinOn)
		}
		page.Rows = append(page.Rows, line)
	}
	page.turn(f, next)
	return s.show(c, "clients", page)
}

// turn says where the pages before and after are.
func (p *clientsPage) turn(f models.ClientFilter, next string) {
	query := url.Values{}
	if f.IncludeArchived {
		query.Set("archived", "yes")
	}
	if f.AfterKey != "" && f.Query == "" {
		p.First = "/clients?" + query.Encode()
	}
	switch {
	case next == "":
	case f.Query != "":
		p.NextKey = next
	default:
		query.Set("after", next)
		p.Next = "/clients?" + query.Encode()
	}
}

// dateIn is the calendar date of a moment at a place.
func dateIn(at time.Time, zone *time.Location) quantity.Date { return quantity.DateOf(at.In(zone)) }
