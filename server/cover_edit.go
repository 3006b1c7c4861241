package server

import (
	"errors"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// coverPage is the form about a cover, its attachment points and the stations
// of the clearance walk.
type coverPage struct {
	recordPage
	Action      string
	Cover       models.Cover
	Arm         bool
	Attachments []formRow
	Stations    []stationRow
	States      []Option
	Firmness    []Option
	Directions  []Option
	Postures    []Option
	Neighbours  []Option
}

// stationRow is a row of the form and what stands about it in words.
type stationRow struct {
	formRow
	Open   bool   // its further fields are filled in, or something is wrong in them
	Limits string // whose limits hold
	Stored bool
}

// coverOf finds the cover of a path below its limb.
func (s *server) coverOf(c *gin.Context, l models.Limb) (models.Cover, error) {
	cover, err := s.store.CoverByID(c.Request.Context(), c.Param("cover"))
	if err == nil && cover.LimbID != l.ID {
		err = errNotFound
	}
	return cover, err
}

func (s *server) newCover(c *gin.Context) error {
	_, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	plan, err := s.store.CurrentPlan(c.Request.Context(), l.ID)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	who := *signedIn(c)
	typed := typedCover(who, models.Cover{State: models.InUse})
	typed["id"] = models.NewID()
	for field, value := range typedWalk(who, l, plan) {
		typed[field] = value
	}
	return s.show(c, "cover-form", s.coverForm(c, l, h, models.Cover{}, s.reader(c, typed), typed))
}

func (s *server) editCover(c *gin.Context) error {
	_, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	cover, err := s.coverOf(c, l)
	if err != nil {
		return err
	}
	typed := typedCover(*signedIn(c), cover)
	return s.show(c, "cover-form", s.coverForm(c, l, h, cover, s.reader(c, typed), typed))
}

func (s *server) coverForm(c *gin.Context, l models.Limb, h Heading, cover models.Cover, r *form.Reader, typed map[string]string) coverPage {
	page := coverPage{
		Action: limbPath(l) + "/covers", Cover: cover, Arm: l.Level.Arm(),
		Attachments: rows(rowCount(typed, "attachments", mostAttachments)),
		States:      s.options(c, "cover-state", texts(models.CoverStates)),
		Firmness:    s.options(c, "attachment-state", texts(models.AttachmentStates)),
		Directions:  s.options(c, "direction", texts(quantity.Directions)),
		Postures:    s.options(c, "posture", texts(quantity.PosturesOf(l.Level))),
		Neighbours:  s.options(c, "neighbour", texts(quantity.Neighbours)),
	}
	what := s.text(c, "cover.new")
	if cover.ID != "" {
		what = s.text(c, "cover.edit")
		page.Action += "/" + cover.ID
	}
	page.recordPage = s.refused(c, s.recordPage(c, what, h, typed), coverWording, r)
	for i := range rowCount(typed, "stations", mostStations) {
		page.Stations = append(page.Stations, s.stationRow(c, cover, typed, i, r.Problems()))
	}
	return page
}

func (s *server) stationRow(c *gin.Context, cover models.Cover, typed map[string]string, i int, problems form.Problems) stationRow {
	row := stationRow{formRow: formRow{i, i + 1}, Limits: s.text(c, "station.limits-later")}
	for _, field := range []string{"warn", "act", "built", "built_by", "built_on"} {
		_, wrong := problems.For(rowField("station", i, field))
		row.Open = row.Open || wrong || typed[rowField("station", i, field)] != ""
	}
	who := *signedIn(c)
	if n := typed[rowField("station", i, "neighbour")]; n != "" {
		warn, act := startingLimits(quantity.Neighbour(n))
		row.Limits = s.text(c, "station.limits-starting", "Warn", typedMM(who, &warn), "Act", typedMM(who, &act))
		if act == 0 {
			row.Limits = s.text(c, "station.limits-touch", "Warn", typedMM(who, &warn))
		}
	}
	for _, st := range cover.Stations {
		if st.ID != typed[rowField("station", i, "id")] {
			continue
		}
		row.Stored = true
		if st.LimitBy != "" {
			row.Limits = s.text(c, "station.limits-own", "By", st.LimitBy, "On", form.FormatDate(st.LimitOn, language))
		}
	}
	return row
}

func (s *server) addCover(c *gin.Context) error {
	client, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	return s.takeCover(c, client, l, h, models.Cover{})
}

func (s *server) saveCover(c *gin.Context) error {
	client, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	cover, err := s.coverOf(c, l)
	if err != nil {
		return err
	}
	return s.takeCover(c, client, l, h, cover)
}

// takeCover does what the pressed button says: more rows, the proposed walk, or
// saving.
func (s *server) takeCover(c *gin.Context, client models.Client, l models.Limb, h Heading, before models.Cover) error {
	typed, err := fields(c)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	switch typed["do"] {
	case "add_attachments":
		typed["attachments"] = version(min(rowCount(typed, "attachments", mostAttachments)+rowsAdded, mostAttachments))
	case "add_stations":
		typed["stations"] = version(min(rowCount(typed, "stations", mostStations)+rowsAdded, mostStations))
	case "propose":
		if levels := readWalk(r); !r.Problems().Any() {
			addWalk(*signedIn(c), r, typed, proposeWalk(l.Level, levels))
		}
	default:
		return s.keepCover(c, client, l, h, before, r, typed)
	}
	page := s.coverForm(c, l, h, before, r, typed)
	if r.Problems().Any() {
		return s.refuseRecord(c, "cover-form", h, page)
	}
	return s.show(c, "cover-form", page)
}

func (s *server) keepCover(c *gin.Context, client models.Client, l models.Limb, h Heading, before models.Cover, r *form.Reader, typed map[string]string) error {
	cover := readCover(r, before, l, signer{name: signedIn(c).Name, on: s.presentDate(c)})
	if !r.Problems().Any() {
		err := s.storeCover(c, &cover, before.ID == "", typed)
		again, lookErr := s.coverSentBefore(c, r, before, cover, typed, err)
		switch {
		case lookErr != nil:
			return lookErr
		case err == nil:
			return s.done(c, clientPath(client), "cover.saved", "Limb", s.limbName(c, l))
		case again:
			return s.done(c, clientPath(client), "record.added-already")
		case r.Problems().Any(): // the saved form was typed over
		case errors.Is(err, models.ErrInUse):
			r.Add("", "problem.station-read", nil)
		case errors.Is(err, models.ErrConflict):
			r.Add("", "problem.station-twice", nil)
		case errors.Is(err, errLaterCover):
			r.Add("delivered_on", "problem.later-cover", nil)
		case errors.Is(err, models.ErrStale):
			return s.staleCover(c, client, l, h, r, cover, typed)
		default:
			return err
		}
	}
	return s.refuseRecord(c, "cover-form", h, s.coverForm(c, l, h, before, r, typed))
}

// coverSentBefore tells whether a new cover that could not be added is there
// already, from the same form.
func (s *server) coverSentBefore(c *gin.Context, r *form.Reader, before, cover models.Cover, typed map[string]string, refusal error) (bool, error) {
	if refusal == nil || before.ID != "" {
		return false, nil
	}
	there, err := s.store.CoverByID(c.Request.Context(), cover.ID)
	if errors.Is(err, models.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	saved, sent := typedCover(*signedIn(c), there), typedCover(*signedIn(c), cover)
	saved["limb"], sent["limb"] = there.LimbID, cover.LimbID
	return sentBefore(r, typed, saved, sent), nil
}

var errLaterCover = errors.New("a cover with a later delivery is in use")

// storeCover records a cover, a new one under the id that its form carries. Of
// two new covers of a limb that come at the same moment both want to retire the
// one before: the loser tries again.
func (s *server) storeCover(c *gin.Context, cover *models.Cover, fresh bool, typed map[string]string) error {
	if !fresh {
		return s.tryCover(c, cover, false)
	}
	cover.ID = recordID(typed)
	err := s.tryCover(c, cover, true)
	if errors.Is(err, models.ErrStale) {
		err = s.tryCover(c, cover, true)
	}
	return err
}

// tryCover records a cover. Once it is delivered, the one before it is retired
// on that day.
func (s *server) tryCover(c *gin.Context, cover *models.Cover, fresh bool) error {
	ctx := c.Request.Context()
	return s.store.InTx(ctx, func(tx *models.Store) error {
		earlier, err := tx.CoversOf(ctx, cover.LimbID)
		if err != nil {
			return err
		}
		for _, other := range earlier {
			if other.ID == cover.ID || other.RetiredOn != "" || other.DeliveredOn == "" ||
				cover.DeliveredOn == "" || cover.RetiredOn != "" {
				continue
			}
			if other.DeliveredOn > cover.DeliveredOn {
				return errLaterCover
			}
			other.RetiredOn = cover.DeliveredOn
			if err := tx.UpdateCover(ctx, &other); err != nil {
				return err
			}
		}
		if fresh {
			return tx.CreateCover(ctx, cover)
		}
		return tx.UpdateCover(ctx, cover)
	})
}

// staleCover does what staleClient does, for a cover.
func (s *server) staleCover(c *gin.Context, client models.Client, l models.Limb, h Heading, r *form.Reader, sent models.Cover, typed map[string]string) error {
	cover, err := s.coverOf(c, l)
	if err != nil {
		return err
	}
	saved := typedCover(*signedIn(c), cover)
	if sameForm(saved, typedCover(*signedIn(c), sent)) {
		return s.done(c, clientPath(client), "record.saved-already")
	}
	r.Add("", "problem.stale-beside", nil)
	typed["version"] = saved["version"]
	page := s.coverForm(c, l, h, cover, r, typed)
	page.Differs = s.differences(c, coverWording, saved, typed)
	return s.conflict(c, "cover-form", page)
}
