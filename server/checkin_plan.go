package server

import (
	"slices"
	"strings"

	"fairlead/analytics/quantity"
	"github.com/gin-gonic/gin"
)

// newPlanPage shows what a newer measuring plan would do to a draft: which readings
// keep their level, and which would have no place.
type newPlanPage struct {
	Page
	Heading Heading
	Base    string
	Version int
	Limbs   []planChange
}

type planChange struct {
	Limb          string
	Levels        string   // of the newer plan
	Kept          int      // readings whose level is in it
	Lost          []string // readings whose level is not
	OtherLandmark bool
}

// showPlan shows what switching to the newer plan would do.
func (s *server) showPlan(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	h := s.heading(c, o.layout.Client, o.layout.limbs()...)
	page := newPlanPage{
		Page:    s.page(c, s.clientTitle(c, s.text(c, "checkin.plan-changed"), h), "clients"),
		Heading: h, Base: draftPath(o.draft), Version: o.draft.Version,
	}
	for _, limb := range o.layout.Limbs {
		if limb.NewerPlan != nil {
			page.Limbs = append(page.Limbs, s.planChange(c, o, limb))
		}
	}
	return s.show(c, "checkin-plan", page)
}

func (s *server) planChange(c *gin.Context, o opened, l limbLayout) planChange {
	change := planChange{Limb: s.limbName(c, l.Limb), OtherLandmark: l.NewerPlan.Landmark != l.Plan.Landmark}
	var levels []string
	for _, level := range l.NewerPlan.Levels {
		levels = append(levels, s.sayerOf(c, o.layout).bareLength(level.MM()))
	}
	change.Levels = strings.Join(levels, ", ") + narrow + string(o.layout.Unit)
	for _, level := range l.Plan.Levels {
		stays := slices.Contains(l.NewerPlan.Levels, level)
		for _, part := range []quantity.BodyPart{quantity.Residual, secondRound, quantity.Sound} {
			for pass := 1; pass <= mostOldPasses; pass++ {
				field := l.girthField(part, level, pass)
				text := strings.TrimSpace(o.draft.Fields[field])
				switch {
				case text == "":
				case stays:
					change.Kept++
				default:
					change.Lost = append(change.Lost, s.fieldLabel(c, o.layout, field)+": "+text)
				}
			}
		}
	}
	return change
}

// switchPlan ties the draft to the newest plans. Readings keep their level;
// those that the newer plan has no level for stay in the draft, and are back
// when the draft is, but are not recorded.
func (s *server) switchPlan(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	in, err := posted(c)
	if err != nil {
		return err
	}
	in.typed = map[string]string{}
	for _, limb := range o.layout.Limbs {
		if limb.NewerPlan != nil {
			in.typed[limb.prefix()+"plan"] = limb.NewerPlan.ID
		}
	}
	d, differ, err := s.merge(c, o.draft, in)
	if err != nil {
		return err
	}
	if o, err = s.withDraft(c, o, d); err != nil {
		return err
	}
	if len(differ) > 0 {
		return s.showVersions(c, o, in, differ)
	}
	return s.done(c, draftPath(d)+"/"+string(talkStep), "checkin.plan-switched")
}
