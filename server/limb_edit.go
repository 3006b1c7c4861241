package server

import (
	"errors"
	"maps"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// limbPage is the form about a limb; a new one ends with a first measuring plan.
type limbPage struct {
	recordPage
	Limb     models.Limb
	WithPlan bool // the plan is proposed and can be changed
	Sides    []Option
	Levels   []Option
	Origins  []Option
	Shapes   []Option
	Caps     []Option
}

// limbForm is the form of a limb, or of a further one beside those there are.
func (s *server) limbForm(c *gin.Context, client models.Client, l models.Limb, there []models.Limb, typed map[string]string) limbPage {
	what, h := s.text(c, "limb.new"), s.heading(c, client, there...)
	if l.ID != "" {
		what, h = s.text(c, "limb.edit"), s.heading(c, client, l)
	}
	return limbPage{
		recordPage: s.recordPage(c, what, h, typed), Limb: l,
		Sides:   s.options(c, "side", texts(quantity.Sides)),
		Levels:  s.options(c, "amputation-level", texts(quantity.AmputationLevels)),
		Origins: s.options(c, "origin", texts(models.Origins)),
		Shapes:  s.options(c, "distal-shape", texts(models.DistalShapes)),
		Caps:    s.options(c, "cap", texts(quantity.CapKinds)),
	}
}

func (s *server) newLimb(c *gin.Context) error {
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	there, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return err
	}
	typed := map[string]string{"origin": string(models.Amputation), "id": models.NewID()}
	return s.show(c, "limb-form", s.limbForm(c, client, models.Limb{}, there, typed))
}

// addLimb first proposes a plan to be looked at, then records limb and plan
// together. A level without a cone has no plan and is recorded at once.
func (s *server) addLimb(c *gin.Context) error {
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	others, err := s.store.LimbsOf(c.Request.Context(), client.ID)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	l := readLimb(r, models.Limb{ID: recordID(typed), ClientID: client.ID}, others)
	planned := l.Level.HasCone() && l.Level != ""
	_, began := typed["levels"]
	propose := planned && typed["do"] != "save"
	var plan models.MeasuringPlan
	if propose && !r.Problems().Any() {
		s.fillInPlan(c, l, typed)
	}
	if planned && !propose {
		plan = readPlan(r, l)
		l.Landmark = plan.Landmark
	}
	if !propose && !r.Problems().Any() {
		err := s.createLimb(c, &l, plan)
		if err == nil {
			return s.limbAdded(c, client, l)
		}
		again, err := s.limbSentBefore(c, r, l, plan, typed, err)
		if err != nil {
			return err
		}
		if again {
			return s.done(c, clientPath(client), "record.added-already")
		}
	}
	page := s.limbForm(c, client, models.Limb{}, others, typed)
	page.WithPlan = planned && !r.Problems().Any() || began && l.Level.HasCone()
	page.recordPage = s.refused(c, page.recordPage, limbWording, r)
	if r.Problems().Any() {
		return s.refuseRecord(c, "limb-form", page.Heading, page)
	}
	return s.show(c, "limb-form", page)
}

// limbSentBefore tells whether a limb that could not be added is there already
// with its first plan, from the same form; refusal is why it could not.
func (s *server) limbSentBefore(c *gin.Context, r *form.Reader, l models.Limb, plan models.MeasuringPlan, typed map[string]string, refusal error) (bool, error) {
	ctx := c.Request.Context()
	if !errors.Is(refusal, models.ErrConflict) {
		return false, refusal
	}
	there, err := s.store.LimbByID(ctx, l.ID)
	if errors.Is(err, models.ErrNotFound) {
		return false, refusal
	}
	if err != nil {
		return false, err
	}
	plans, err := s.store.PlansOf(ctx, there.ID)
	if err != nil {
		return false, err
	}
	who, first := *signedIn(c), models.MeasuringPlan{}
	if len(plans) > 0 {
		first = plans[0]
	}
	saved, sent := typedLimb(who, there), typedLimb(who, l)
	maps.Copy(saved, typedPlan(who, first))
	maps.Copy(sent, typedPlan(who, plan))
	saved["client"], sent["client"] = there.ClientID, l.ClientID
	return sentBefore(r, typed, saved, sent), nil
}

// fillInPlan puts the proposed plan into the typed form. What the person typed
// stays, unless they asked for the proposal once more.
func (s *server) fillInPlan(c *gin.Context, l models.Limb, typed map[string]string) {
	proposed := typedPlan(*signedIn(c), proposePlan(l))
	proposed["landmark"] = s.text(c, "landmark."+string(l.Level))
	proposed["landmark_posture"] = s.text(c, "landmark-posture."+string(l.Level))
	for field, value := range proposed {
		if typed[field] == "" || typed["do"] == "propose" {
			typed[field] = value
		}
	}
}

// createLimb records a limb, its first plan and a revision operation together.
func (s *server) createLimb(c *gin.Context, l *models.Limb, plan models.MeasuringPlan) error {
	ctx, who := c.Request.Context(), signedIn(c)
	return s.store.InTx(ctx, func(tx *models.Store) error {
		if err := tx.CreateLimb(ctx, l); err != nil {
			return err
		}
		if err := recordRevision(c, tx, models.Limb{}, *l); err != nil {
			return err
		}
		if len(plan.Levels) == 0 {
			return nil
		}
		plan.LimbID, plan.MadeBy, plan.Reason = l.ID, who.Name, s.text(c, "plan.first-reason")
		return tx.AddPlan(ctx, &plan)
	})
}

// recordRevision adds the event of a revision operation that has a new date.
func recordRevision(c *gin.Context, tx *models.Store, before, after models.Limb) error {
	if after.RevisedOn == "" || after.RevisedOn == before.RevisedOn {
		return nil
	}
	return tx.AddEvent(c.Request.Context(), &models.Event{
		LimbID: after.ID, Kind: models.Revision, On: after.RevisedOn, RecordedBy: signedIn(c).Name,
	})
}

func (s *server) limbAdded(c *gin.Context, client models.Client, l models.Limb) error {
	notice := "limb.added"
	if !l.Level.HasCone() {
		notice = "limb.added-no-volume"
	}
	return s.done(c, clientPath(client), notice, "Limb", s.limbName(c, l))
}

func (s *server) editLimb(c *gin.Context) error {
	client, l, _, err := s.limbOf(c)
	if err != nil {
		return err
	}
	return s.show(c, "limb-form", s.limbForm(c, client, l, nil, typedLimb(*signedIn(c), l)))
}

func (s *server) saveLimb(c *gin.Context) error {
	ctx := c.Request.Context()
	client, before, _, err := s.limbOf(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	others, err := s.store.LimbsOf(ctx, client.ID)
	if err != nil {
		return err
	}
	r := s.recordReader(c, client, typed)
	l := readLimb(r, before, others)
	if !r.Problems().Any() {
		err := s.store.InTx(ctx, func(tx *models.Store) error {
			if err := tx.UpdateLimb(ctx, &l); err != nil {
				return err
			}
			return recordRevision(c, tx, before, l)
		})
		if err == nil {
			return s.done(c, clientPath(client), "limb.saved", "Limb", s.limbName(c, l))
		}
		if !errors.Is(err, models.ErrStale) {
			return err
		}
		return s.staleLimb(c, client, r, l, typed)
	}
	page := s.limbForm(c, client, before, nil, typed)
	page.recordPage = s.refused(c, page.recordPage, limbWording, r)
	return s.refuseRecord(c, "limb-form", page.Heading, page)
}

// staleLimb does what staleClient does, for a limb.
func (s *server) staleLimb(c *gin.Context, client models.Client, r *form.Reader, sent models.Limb, typed map[string]string) error {
	l, err := s.limb(c, client)
	if err != nil {
		return err
	}
	saved := typedLimb(*signedIn(c), l)
	if sameForm(saved, typedLimb(*signedIn(c), sent)) {
		return s.done(c, clientPath(client), "record.saved-already")
	}
	r.Add("", "problem.stale-beside", nil)
	typed["version"] = saved["version"]
	page := s.limbForm(c, client, l, nil, typed)
	page.recordPage = s.refused(c, page.recordPage, limbWording, r)
	page.Differs = s.differences(c, limbWording, saved, typed)
	return s.conflict(c, "limb-form", page)
}
