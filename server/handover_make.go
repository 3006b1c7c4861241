package server

import (
	"errors"
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// makeHandover records that flags were handed over to a prosthetist who does not
// sign in.
func (s *server) makeHandover(c *gin.Context) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	b, err := s.handoverBasis(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, b.client, typed)
	h, err := s.readHandover(c, r, b)
	if err != nil {
		return err
	}
	h.ID, h.RecordedBy = recordID(typed), signedIn(c).ID
	if i := slices.IndexFunc(b.before, func(there models.Handover) bool { return there.ID == h.ID }); i >= 0 {
		if sameHandover(b.before[i], h) {
			return s.done(c, handoverPath(b.client.ID, h.ID), "record.added-already")
		}
		r.Add("", "problem.saved-before", nil)
		typed["id"] = models.NewID()
	} else if typed["shown"] != b.shown() {
		return s.staleHandover(c, b, typed)
	}
	if !r.Problems().Any() {
		switch err := followup.HandOver(c.Request.Context(), s.store, &h); {
		case err == nil:
			return s.done(c, handoverPath(b.client.ID, h.ID), "handover.made")
		case errors.Is(err, models.ErrConflict): // the same form, sent twice at once
			return s.done(c, handoverPath(b.client.ID, h.ID), "record.added-already")
		case errors.Is(err, models.ErrStale):
			if b, err = s.handoverBasis(c); err != nil {
				return err
			}
			return s.staleHandover(c, b, typed)
		default:
			return err
		}
	}
	page := s.handoverNewPage(c, b, typed)
	page.recordPage = s.refused(c, page.recordPage, handoverWording, r)
	return s.refuseRecord(c, "handover-new", page.Heading, page)
}

// readHandover reads the form into a handover of the open flags that are ticked.
// Whatever else is named is none of this limb.
func (s *server) readHandover(c *gin.Context, r *form.Reader, b handoverBasis) (models.Handover, error) {
	h := models.Handover{ClientID: b.client.ID, LimbID: b.limb.ID, FlagVersions: map[string]int{}}
	for _, f := range b.open {
		if r.Bool(flagField(f)) {
			h.FlagIDs, h.FlagVersions[f.ID] = append(h.FlagIDs, f.ID), f.Version
		}
	}
	if len(h.FlagIDs) == 0 {
		r.Add("flags", "problem.handover-no-flag", nil)
	}
	var err error
	h.ToWhom, err = s.readWhom(c, r, "to_whom")
	h.Means = form.RequiredChoice(r, "means", models.AllMeans)
	r.Require("handed_on")
	h.HandedOn = r.DateNotFuture("handed_on")
	h.AskAgainOn = s.readDayToAsk(c, r, "ask_again_on", h.HandedOn)
	h.Note = r.Note("note", longestNote)
	if err == nil {
		err = s.notBeforeFlags(c, r, b, h)
	}
	return h, err
}

// notBeforeFlags refuses a handover of before what one of its flags rests on first:
// nobody can have told of that.
func (s *server) notBeforeFlags(c *gin.Context, r *form.Reader, b handoverBasis, h models.Handover) error {
	var latest models.Flag
	var day quantity.Date
	for _, f := range b.open {
		if !slices.Contains(h.FlagIDs, f.ID) {
			continue
		}
		since, err := s.flagSince(c, f)
		if err != nil {
			return err
		}
		if on := dateIn(since, s.zone(c)); on > day {
			latest, day = f, on
		}
	}
	if h.HandedOn != "" && h.HandedOn < day {
		y := s.sayer(c)
		r.Add("handed_on", "problem.handover-before-flag", map[string]any{"Claim": y.flag(latest).Claim, "Day": y.date(day)})
	}
	return nil
}

// longestToAsk is how many days from today at most somebody asks again, so that
// what is with somebody else is not lost sight of.
const longestToAsk = 90

// readDayToAsk reads the day on which to ask again. It must come after another one,
// which may be missing, and before long.
func (s *server) readDayToAsk(c *gin.Context, r *form.Reader, field string, after quantity.Date) quantity.Date {
	r.Require(field)
	on, last := r.Date(field), s.presentDate(c).AddDays(longestToAsk)
	switch {
	case on == "":
	case after != "" && on <= after:
		r.Add(field, "problem.handover-after", map[string]any{"Day": string(after)})
		return ""
	case on > last:
		r.Add(field, "problem.handover-late", map[string]any{"Day": string(last)})
		return ""
	}
	return on
}

// sameHandover tells whether two handovers say the same.
func sameHandover(a, b models.Handover) bool {
	slices.Sort(a.FlagIDs)
	slices.Sort(b.FlagIDs)
	return a.ToWhom == b.ToWhom && a.Means == b.Means && a.HandedOn == b.HandedOn && a.Note == b.Note &&
		a.RecordedBy == b.RecordedBy && (len(b.FlagIDs) == 0 || slices.Equal(a.FlagIDs, b.FlagIDs))
}

// staleHandover shows the form on the flags as they stand now, with what was
// typed: one was closed, got evidence or was handed over meanwhile.
func (s *server) staleHandover(c *gin.Context, b handoverBasis, typed map[string]string) error {
	typed["shown"] = b.shown()
	page := s.handoverNewPage(c, b, typed)
	page.Problems = append(page.Problems, Problem{Field: "flags", Label: s.text(c, "handover.flags"), Message: s.text(c, "problem.handover-stale")})
	return s.conflict(c, "handover-new", page)
}
