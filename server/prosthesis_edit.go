package server

import (
	"errors"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// prosthesisPage is the form about what is worn on a limb.
type prosthesisPage struct {
	recordPage
	Action string
	First  bool // nothing is recorded yet, so nothing can have changed
}

func (s *server) editProsthesis(c *gin.Context) error {
	_, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	p, err := s.prosthesisOf(c, l)
	if err != nil {
		return err
	}
	return s.show(c, "prosthesis-form", s.prosthesisForm(c, l, h, p, typedProsthesis(*signedIn(c), p)))
}

// prosthesisOf is what is worn on a limb; nothing recorded is an empty one.
func (s *server) prosthesisOf(c *gin.Context, l models.Limb) (models.Prosthesis, error) {
	p, err := s.store.ProsthesisOf(c.Request.Context(), l.ID)
	if errors.Is(err, models.ErrNotFound) {
		return models.Prosthesis{LimbID: l.ID}, nil
	}
	return p, err
}

func (s *server) prosthesisForm(c *gin.Context, l models.Limb, h Heading, p models.Prosthesis, typed map[string]string) prosthesisPage {
	return prosthesisPage{
		recordPage: s.recordPage(c, s.text(c, "prosthesis.title"), h, typed),
		Action:     limbPath(l) + "/prosthesis", First: p.Version == 0,
	}
}

// saveProsthesis records what is worn now, and what changed as dated events.
func (s *server) saveProsthesis(c *gin.Context) error {
	client, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	before, err := s.prosthesisOf(c, l)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	after, ignored := readProsthesis(r, before, l)
	change := models.Event{
		LimbID: l.ID, On: r.DateNotFuture("changed_on"), DoneBy: r.Text("done_by", longestLine),
		ToldBy: r.Text("told_by", longestLine), RecordedBy: signedIn(c).Name,
	}
	if change.On == "" {
		change.On = s.presentDate(c)
	}
	if !r.Problems().Any() {
		events := s.wornEvents(c, before, after, change)
		if r.Bool("correction") {
			events = nil
		}
		err := s.storeProsthesis(c, &after, events)
		switch {
		case err == nil:
			return s.prosthesisSaved(c, client, l, len(events), ignored)
		case errors.Is(err, models.ErrStale), errors.Is(err, models.ErrConflict):
			return s.staleProsthesis(c, client, l, h, r, after, typed)
		}
		return err
	}
	page := s.prosthesisForm(c, l, h, before, typed)
	page.recordPage = s.refused(c, page.recordPage, prosthesisWording, r)
	return s.refuseRecord(c, "prosthesis-form", h, page)
}

func (s *server) storeProsthesis(c *gin.Context, p *models.Prosthesis, events []models.Event) error {
	ctx := c.Request.Context()
	return s.store.InTx(ctx, func(tx *models.Store) error {
		if err := tx.SaveProsthesis(ctx, p); err != nil {
			return err
		}
		for i := range events {
			if err := tx.AddEvent(ctx, &events[i]); err != nil {
				return err
			}
		}
		return nil
	})
}

// wornEvents puts what changed into events, one for each kind of change. like
// says when, by whom it was done and told, and who records it.
func (s *server) wornEvents(c *gin.Context, before, after models.Prosthesis, like models.Event) []models.Event {
	who := *signedIn(c)
	from, to := typedProsthesis(who, before), typedProsthesis(who, after)
	var events []models.Event
	for _, change := range wornChanges(before, after, from, to) {
		what := after.SocketType
		if change.on == "" {
			what = s.text(c, "prosthesis.changed", "Label", s.text(c, "prosthesis."+change.field),
				"From", s.worn(c, change.field, from), "To", s.worn(c, change.field, to))
		}
		if last := len(events) - 1; last >= 0 && events[last].Kind == change.kind {
			events[last].What += "; " + what
			continue
		}
		event := like
		event.Kind, event.What = change.kind, what
		if change.on != "" {
			event.On = change.on
		}
		events = append(events, event)
	}
	return events
}

// worn is one field of a prosthesis in words, with its unit.
func (s *server) worn(c *gin.Context, field string, typed map[string]string) string {
	value := typed[field]
	switch {
	case value == "":
		return s.text(c, "record.empty")
	case field == "liner_thickness":
		return value + " " + string(quantity.Millimetre)
	case field == "heel_height":
		return value + " " + string(signedIn(c).LengthUnit)
	}
	return value
}

func (s *server) prosthesisSaved(c *gin.Context, client models.Client, l models.Limb, events int, ignored bool) error {
	notice := "prosthesis.saved"
	switch {
	case ignored:
		notice = "prosthesis.saved-no-socket"
	case events > 0:
		return s.done(c, clientPath(client), "prosthesis.saved-events", "Limb", s.limbName(c, l), "Count", events)
	}
	return s.done(c, clientPath(client), notice, "Limb", s.limbName(c, l))
}

// staleProsthesis does what staleClient does, for what is worn.
func (s *server) staleProsthesis(c *gin.Context, client models.Client, l models.Limb, h Heading, r *form.Reader, sent models.Prosthesis, typed map[string]string) error {
	p, err := s.prosthesisOf(c, l)
	if err != nil {
		return err
	}
	saved := typedProsthesis(*signedIn(c), p)
	if sameForm(saved, typedProsthesis(*signedIn(c), sent)) {
		return s.done(c, clientPath(client), "record.saved-already")
	}
	r.Add("", "problem.stale-beside", nil)
	typed["version"] = saved["version"]
	page := s.prosthesisForm(c, l, h, p, typed)
	page.recordPage = s.refused(c, page.recordPage, prosthesisWording, r)
	page.Differs = s.differences(c, prosthesisWording, saved, typed)
	return s.conflict(c, "prosthesis-form", page)
}
