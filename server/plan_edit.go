package server

import (
	"errors"
	"slices"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// planPage shows the measuring plan of a limb and takes its next version.
type planPage struct {
	recordPage
	Action string
	Cone   bool // the limb has a length that girths can follow
	Caps   []Option
	Plans  []planRow // the newest first
}

// planRow is one version of a plan in words.
type planRow struct {
	Number                             int
	On, Landmark, Levels, Cap, Why, By string
	Passes                             int
}

func (s *server) editPlan(c *gin.Context) error {
	_, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	plans, err := s.store.PlansOf(c.Request.Context(), l.ID)
	if err != nil {
		return err
	}
	typed := s.typedCurrentPlan(c, l, plans)
	typed["id"] = models.NewID()
	return s.show(c, "plan-form", s.planForm(c, l, h, plans, typed))
}

// typedCurrentPlan is the plan in use as it stands in the form, or a proposal
// for a limb that has none.
func (s *server) typedCurrentPlan(c *gin.Context, l models.Limb, plans []models.MeasuringPlan) map[string]string {
	if len(plans) > 0 {
		return typedPlan(*signedIn(c), plans[len(plans)-1])
	}
	typed := map[string]string{}
	if l.Level.HasCone() {
		s.fillInPlan(c, l, typed)
	}
	return typed
}

func (s *server) planForm(c *gin.Context, l models.Limb, h Heading, plans []models.MeasuringPlan, typed map[string]string) planPage {
	page := planPage{
		recordPage: s.recordPage(c, s.text(c, "plan.title"), h, typed), Action: limbPath(l) + "/plan",
		Cone: l.Level.HasCone(), Caps: s.options(c, "cap", texts(quantity.CapKinds)),
	}
	who := *signedIn(c)
	zone := s.zone(c)
	for _, p := range slices.Backward(plans) {
		row := planRow{
			Number: p.Number, Landmark: p.Landmark, Passes: p.Passes, Why: p.Reason, By: p.MadeBy,
			On:     form.FormatShortDate(quantity.DateOf(p.CreatedAt.In(zone)), language),
			Levels: strings.ReplaceAll(typedPlan(who, p)["levels"], "  ", " · "), Cap: s.text(c, "cap."+string(p.CapKind)),
		}
		if p.CapDepth != nil {
			row.Cap = s.text(c, "plan.cap-with-depth", "Cap", row.Cap, "Depth", typedLength(who, p.CapDepth), "Unit", who.LengthUnit)
		}
		page.Plans = append(page.Plans, row)
	}
	return page
}

// savePlan adds the next version of a plan. Versions are never changed: each
// check-in names the one that it followed.
func (s *server) savePlan(c *gin.Context) error {
	ctx := c.Request.Context()
	client, l, h, err := s.limbOf(c)
	if err != nil {
		return err
	}
	typed, err := fields(c)
	if err != nil {
		return err
	}
	plans, err := s.store.PlansOf(ctx, l.ID)
	if err != nil {
		return err
	}
	if !l.Level.HasCone() {
		return s.refuseRecord(c, "plan-form", h, s.planForm(c, l, h, plans, typed))
	}
	r := s.recordReader(c, client, typed)
	plan := readPlan(r, l)
	plan.ID, plan.Reason, plan.MadeBy = recordID(typed), r.RequiredText("reason", longestLine), signedIn(c).Name
	if !r.Problems().Any() && planSentBefore(plans, plan) {
		return s.done(c, clientPath(client), "record.added-already")
	}
	var before models.MeasuringPlan
	if len(plans) > 0 {
		before = plans[len(plans)-1]
	}
	if !r.Problems().Any() && samePlan(before, plan) {
		r.Add("levels", "problem.plan-same", nil)
	}
	if !r.Problems().Any() {
		err := s.addPlan(c, l, &plan, typed["number"])
		switch {
		case err == nil:
			return s.done(c, clientPath(client), planNotice(before, plan), "Limb", s.limbName(c, l))
		case errors.Is(err, models.ErrStale), errors.Is(err, models.ErrConflict):
			return s.stalePlan(c, client, l, h, r, plan, typed)
		}
		return err
	}
	page := s.planForm(c, l, h, plans, typed)
	page.recordPage = s.refused(c, page.recordPage, planWording, r)
	return s.refuseRecord(c, "plan-form", h, page)
}

// planSentBefore tells whether a plan is among those of its limb already, from
// the same form.
func planSentBefore(plans []models.MeasuringPlan, plan models.MeasuringPlan) bool {
	return slices.ContainsFunc(plans, func(p models.MeasuringPlan) bool {
		return p.ID == plan.ID && samePlan(p, plan) && p.Reason == plan.Reason
	})
}

// addPlan records a plan if the one that the form began from is still in use,
// and keeps the limb's landmark in step with it.
func (s *server) addPlan(c *gin.Context, l models.Limb, plan *models.MeasuringPlan, from string) error {
	ctx := c.Request.Context()
	return s.store.InTx(ctx, func(tx *models.Store) error {
		current, err := tx.CurrentPlan(ctx, l.ID)
		if err != nil && !errors.Is(err, models.ErrNotFound) {
			return err
		}
		if from == "" {
			from = version(0)
		}
		if version(current.Number) != from {
			return models.ErrStale
		}
		if l.Landmark != plan.Landmark {
			l.Landmark = plan.Landmark
			if err := tx.UpdateLimb(ctx, &l); err != nil {
				return err
			}
		}
		return tx.AddPlan(ctx, plan)
	})
}

// stalePlan answers a form that began from a plan no longer in use: it came
// twice, or someone else made another version in between.
func (s *server) stalePlan(c *gin.Context, client models.Client, l models.Limb, h Heading, r *form.Reader, sent models.MeasuringPlan, typed map[string]string) error {
	plans, err := s.store.PlansOf(c.Request.Context(), l.ID)
	if err != nil {
		return err
	}
	if planSentBefore(plans, sent) {
		return s.done(c, clientPath(client), "record.added-already")
	}
	saved := s.typedCurrentPlan(c, l, plans)
	r.Add("", "problem.stale-beside", nil)
	typed["number"], typed["id"] = saved["number"], models.NewID()
	page := s.planForm(c, l, h, plans, typed)
	page.recordPage = s.refused(c, page.recordPage, planWording, r)
	page.Differs = s.differences(c, planWording, saved, typed)
	return s.conflict(c, "plan-form", page)
}

// samePlan tells whether two plans ask for the same measuring.
func samePlan(a, b models.MeasuringPlan) bool {
	return a.Landmark == b.Landmark && slices.Equal(a.Levels, b.Levels) && a.Passes == b.Passes && sameCap(a, b)
}

func sameCap(a, b models.MeasuringPlan) bool {
	return a.CapKind == b.CapKind && (a.CapDepth == nil) == (b.CapDepth == nil) &&
		(a.CapDepth == nil || *a.CapDepth == *b.CapDepth)
}

// planNotice is the id of what a new plan means for comparing visits.
func planNotice(before, after models.MeasuringPlan) string {
	switch {
	case before.Number == 0:
		return "plan.saved"
	case before.Landmark != after.Landmark, !sameCap(before, after):
		return "plan.saved-breaks"
	case !slices.Equal(before.Levels, after.Levels):
		return "plan.saved-levels"
	}
	return "plan.saved"
}
