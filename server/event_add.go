package server

import (
	"slices"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// eventsPage lists the events of a limb and takes one more.
type eventsPage struct {
	recordPage
	Action     string
	Prosthesis string // address of the form whose changes make events themselves
	Kinds      []Option
	Events     []eventRow // the newest first
}

// eventRow is one event in words.
type eventRow struct{ On, Kind, What, DoneBy, ToldBy, RecordedBy string }

func (s *server) showEvents(c *gin.Context) error {
	_, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	events, err := s.store.EventsOf(c.Request.Context(), l.ID)
	if err != nil {
		return err
	}
	return s.show(c, "events", s.eventsPage(c, l, h, events, map[string]string{}))
}

func (s *server) eventsPage(c *gin.Context, l models.Limb, h Heading, events []models.Event, typed map[string]string) eventsPage {
	page := eventsPage{
		recordPage: s.recordPage(c, s.text(c, "event.title"), h, typed), Action: limbPath(l) + "/events",
		Prosthesis: limbPath(l) + "/prosthesis", Kinds: s.options(c, "event-kind", texts(models.EventKinds)),
	}
	for _, e := range slices.Backward(events) {
		page.Events = append(page.Events, eventRow{
			On: form.FormatShortDate(e.On, language), Kind: s.text(c, "event-kind."+string(e.Kind)),
			What: e.What, DoneBy: e.DoneBy, ToldBy: e.ToldBy, RecordedBy: e.RecordedBy,
		})
	}
	return page
}

var eventWording = wording{form: "event", ids: map[string]string{"happened_on": "event.on"}}

// readEvent reads the form into an event of the limb.
func readEvent(r *form.Reader, l models.Limb) models.Event {
	e := models.Event{LimbID: l.ID, Kind: form.RequiredChoice(r, "kind", models.EventKinds)}
	r.Require("happened_on")
	e.On = r.DateNotFuture("happened_on")
	e.What = r.Text("what", longestLine)
	if e.Kind == models.OtherEvent {
		r.Require("what")
	}
	e.DoneBy, e.ToldBy = r.Text("done_by", longestLine), r.Text("told_by", longestLine)
	return e
}

func (s *server) addEvent(c *gin.Context) error {
	ctx := c.Request.Context()
	client, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	events, err := s.store.EventsOf(ctx, l.ID)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	event := readEvent(r, l)
	event.RecordedBy = signedIn(c).Name
	if !r.Problems().Any() {
		if slices.ContainsFunc(events, func(e models.Event) bool { return sameEvent(e, event) }) {
			return s.done(c, limbPath(l)+"/events", "event.there-already")
		}
		if err := s.store.AddEvent(ctx, &event); err != nil {
			return err
		}
		return s.done(c, limbPath(l)+"/events", "event.added")
	}
	page := s.eventsPage(c, l, h, events, typed)
	page.recordPage = s.refused(c, page.recordPage, eventWording, r)
	return s.refuseRecord(c, "events", h, page)
}

// sameEvent tells whether two records say the same, as when a form is sent
// twice.
func sameEvent(a, b models.Event) bool {
	return a.Kind == b.Kind && a.On == b.On && a.What == b.What && a.DoneBy == b.DoneBy && a.ToldBy == b.ToldBy
}
