package server

import (
	"errors"
	"net/http"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

var errNoLimb = &oops{status: http.StatusConflict, text: "checkin.no-limb"}

// draftsPage offers the drafts of a client that are open already, so that two
// people don't type the same visit without knowing.
type draftsPage struct {
	Page
	Heading Heading
	Drafts  []openDraft
}

// openDraft is one check-in being typed.
type openDraft struct {
	Path     string
	By, When string
	Corrects bool
}

// startCheckin begins a check-in. While another one of this client is being
// typed that one is offered; anew begins one all the same.
func (s *server) startCheckin(c *gin.Context) error {
	client, err := s.client(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	if typed["anew"] == "" {
		open, err := s.store.DraftsOf(ctx, client.ID)
		if err != nil {
			return err
		}
		if len(open) > 0 {
			return s.offerDrafts(c, client, open)
		}
	}
	l, err := s.layout(ctx, client.ID, s.zone(c).String(), *signedIn(c), models.Draft{})
	if err != nil {
		return err
	}
	if len(l.Limbs) == 0 {
		return errNoLimb
	}
	who := signedIn(c)
	d := models.Draft{ClientID: client.ID, PersonID: who.ID, Fields: l.newFields(s.typist(c, l), *who, s.now())}
	if err := s.store.CreateDraft(ctx, &d); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, draftPath(d)+"/"+string(talkStep))
	return nil
}

func (s *server) offerDrafts(c *gin.Context, client models.Client, open []models.Draft) error {
	ctx := c.Request.Context()
	limbs, err := s.store.LimbsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	h := s.heading(c, client, limbs...)
	page := draftsPage{Page: s.page(c, s.clientTitle(c, s.text(c, "checkin.title"), h), "clients"), Heading: h}
	for _, d := range open {
		by, err := s.store.PersonByID(ctx, d.PersonID)
		if err != nil {
			return err
		}
		page.Drafts = append(page.Drafts, openDraft{
			Path: draftPath(d), By: by.Name, When: s.moment(c, d.UpdatedAt), Corrects: d.CorrectsID != nil,
		})
	}
	return s.show(c, "checkin-drafts", page)
}

// moment is a time at the workshop: the clock for one of today, with the date
// before it for another day.
func (s *server) moment(c *gin.Context, at time.Time) string {
	zone := s.zone(c)
	clock := form.FormatClock(at, zone)
	if day := quantity.DateOf(at.In(zone)); day != s.presentDate(c) {
		return s.dated(c, day, clock)
	}
	return clock
}

// dated is a time with its date before it.
func (s *server) dated(c *gin.Context, day quantity.Date, clock string) string {
	return s.text(c, "checkin.moment", "Date", form.FormatShortDate(day, language), "Time", clock)
}

// draftPath is the address below which the pages of a draft stand.
func draftPath(d models.Draft) string { return "/clients/" + d.ClientID + "/drafts/" + d.ID }

// checkinPath is the address of a recorded check-in.
func checkinPath(clientID, checkinID string) string {
	return "/clients/" + clientID + "/checkins/" + checkinID
}

// typist writes values of a check-in as the person who is signed in types them,
// by the clock of its place.
func (s *server) typist(c *gin.Context, l checkinLayout) typist {
	who := signedIn(c)
	return typist{unit: who.LengthUnit, comma: who.DecimalComma, zone: l.place()}
}

// errSaved tells that a draft has been saved as a check-in, where the visitor
// is then sent.
var errSaved = errors.New("draft is saved")

// opened is a draft with everything its pages need.
type opened struct {
	draft  models.Draft
	layout checkinLayout
}

// open finds the draft of a path below its client, who may be archived: what is
// typed is kept, and saveCheckin makes no check-in of it. For a draft that was
// saved it returns errSaved.
func (s *server) open(c *gin.Context) (opened, error) {
	client, err := s.reach(c)
	if err != nil {
		return opened{}, err
	}
	ctx := c.Request.Context()
	d, err := s.store.DraftByID(ctx, c.Param("draft"))
	if err == nil && d.ClientID != client.ID {
		err = errNotFound
	}
	if err != nil {
		return opened{}, err
	}
	if d.CheckinID != nil {
		return opened{draft: d}, errSaved
	}
	l, err := s.layout(ctx, client.ID, s.zone(c).String(), *signedIn(c), d)
	if err != nil {
		return opened{}, err
	}
	l.at(c.Param("step"))
	return s.withDraft(c, opened{layout: l}, d)
}

// orSaved sends the visitor of a draft that has been saved to its check-in.
func (s *server) orSaved(c *gin.Context, o opened, err error) error {
	if errors.Is(err, errSaved) {
		return s.done(c, checkinPath(o.draft.ClientID, *o.draft.CheckinID), "checkin.saved-already")
	}
	return err
}

// showDraft opens a draft at its first page.
func (s *server) showDraft(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	c.Redirect(http.StatusSeeOther, draftPath(o.draft)+"/"+string(talkStep))
	return nil
}

// discardDraft throws a draft away.
func (s *server) discardDraft(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	if err := s.store.DeleteDraft(c.Request.Context(), o.draft.ID); err != nil {
		return err
	}
	return s.done(c, "/clients/"+o.draft.ClientID, "checkin.discarded")
}
