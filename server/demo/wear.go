package demo

import (
	"cmp"
	"context"
	"math"
	"slices"

	"fairlead/analytics/clearance"
	"fairlead/analytics/cohort"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// worn is a limb of a story with what is worn on it.
type worn struct {
	story      limbStory
	seed       uint64
	truth      cohort.Limb // of the first day; without a cone there is none
	sound      cohort.Limb
	limb       models.Limb
	plan       *models.MeasuringPlan
	prosthesis models.Prosthesis
	cover      models.Cover
	coverAgo   int // when the cover was delivered
	delivers   bool
}

// limb records a limb with plan, prosthesis and cover.
func (t *teller) limb(ctx context.Context, c models.Client, number, index int, l limbStory, s story) (*worn, error) {
	w := &worn{story: l, seed: uint64(number)*100000 + l.seed*10000 + uint64(index)*1000, delivers: true}
	first := 60
	if len(s.visits) > 0 {
		first = s.visits[0]
	}
	w.limb = models.Limb{
		ClientID: c.ID, Side: l.side, Level: l.level, Origin: models.PresentAtBirth, OtherSideSound: l.soundToo,
		DistalShape: models.Conical,
	}
	if l.level.Disarticulation() {
		w.limb.DistalShape = models.Bulbous
	}
	if l.months > 0 {
		w.limb.Origin = models.Amputation
		w.limb.AmputatedOn = quantity.DateOf(t.day(first).AddDate(0, -l.months, 0))
	}
	if l.level.HasCone() {
		rng := cohort.NewRand(w.seed)
		w.truth = cohort.NewLimb(rng, l.level, cmp.Or(l.size, 1))
		w.sound = w.truth.Opposite(rng)
		length, inflection := quantity.FromMM(math.Round(w.truth.LengthMM)), quantity.FromMM(math.Round(w.truth.InflectionMM))
		w.limb.LengthMM10, w.limb.InflectionMM10 = &length, &inflection
		w.limb.Landmark, w.limb.LandmarkPosture = landmark(l.level)
	}
	if err := t.store.CreateLimb(ctx, &w.limb); err != nil {
		return nil, err
	}
	if l.level.HasCone() {
		if err := t.addPlan(ctx, w, girth.ProposeLevels(w.truth.Level, w.truth.InflectionMM), "First plan"); err != nil {
			return nil, err
		}
	}
	w.prosthesis = t.prosthesisOf(l, w.limb.ID, t.dateOf(first+20), t.dateOf(first+6))
	if err := t.store.SaveProsthesis(ctx, &w.prosthesis); err != nil {
		return nil, err
	}
	return w, t.deliver(ctx, w, first)
}

// landmark is the zero of a limb and the posture in which it is found.
func landmark(a quantity.AmputationLevel) (where, posture string) {
	switch a {
	case quantity.Transtibial:
		return "mid-patellar tendon", "seated, knee at 90°"
	case quantity.AnkleDisarticulation:
		return "medial joint line of the knee", "seated, knee at 90°"
	case quantity.Transfemoral, quantity.KneeDisarticulation:
		return "perineum, the most proximal girth level", "standing, hip straight"
	case quantity.Transradial, quantity.WristDisarticulation:
		return "lateral epicondyle", "seated, elbow at 90°"
	}
	return "axilla, the most proximal girth level", "seated, arm hanging"
}

// addPlan records the plan that the limb is taped by from now on. A broad end
// has no cap.
func (t *teller) addPlan(ctx context.Context, w *worn, levelsMM []float64, reason string) error {
	plan := models.MeasuringPlan{
		LimbID: w.limb.ID, Landmark: w.limb.Landmark, Passes: 2, CapKind: quantity.NoCap, Reason: reason, MadeBy: t.fitter.ID,
	}
	for _, mm := range levelsMM {
		plan.Levels = append(plan.Levels, quantity.FromMM(mm))
	}
	if !w.story.level.Disarticulation() {
		depth := *w.limb.LengthMM10 - plan.Levels[len(plan.Levels)-1]
		plan.CapKind, plan.CapDepth = quantity.SemiEllipsoid, &depth
	}
	w.plan = &plan
	return t.store.AddPlan(ctx, &plan)
}

// prosthesisOf is what is worn on a limb.
func (t *teller) prosthesisOf(l limbStory, limbID string, fitted, accepted quantity.Date) models.Prosthesis {
	liner, heel := quantity.FromMM(3), quantity.FromMM(10)
	p := models.Prosthesis{
		LimbID: limbID, SocketType: "total surface bearing", SocketFittedOn: fitted, SocketAcceptedOn: accepted,
		Suspension: "pin lock", LinerType: "silicone", LinerThickness: &liner,
	}
	if !l.level.Arm() {
		p.Foot, p.Pylon, p.Shoe, p.HeelHeight = "carbon foot", "30 mm tube", "walking shoe", &heel
	}
	if l.level == quantity.Transfemoral || l.level == quantity.KneeDisarticulation {
		p.Knee = "four-bar knee"
	}
	if l.anchored {
		p.NoSocket, p.SocketType, p.SocketFittedOn, p.SocketAcceptedOn = true, "", "", ""
		p.Suspension, p.LinerType, p.LinerThickness = "bone-anchored", "", nil
	}
	return p
}

// deliver records a cover, which takes the place of the one before.
func (t *teller) deliver(ctx context.Context, w *worn, ago int) error {
	if w.cover.ID != "" {
		old, err := t.store.CoverByID(ctx, w.cover.ID)
		if err != nil {
			return err
		}
		old.RetiredOn, old.State = t.dateOf(ago), models.Off
		if err := t.store.UpdateCover(ctx, &old); err != nil {
			return err
		}
	}
	wall := quantity.FromMM(3)
	w.coverAgo, w.delivers = ago, true
	w.cover = models.Cover{
		LimbID: w.limb.ID, Material: "printed polyamide", Wall: &wall, DeliveredOn: t.dateOf(ago), State: models.InUse,
		Attachments: []models.Attachment{
			{Name: "proximal band", State: models.Firm, Ordinal: 1}, {Name: "distal clip", State: models.Firm, Ordinal: 2},
		},
		Stations: w.walk(),
	}
	if w.story.accepted {
		for i := range w.cover.Stations {
			s := &w.cover.Stations[i]
			built := quantity.FromMM(w.gapAt(*s).AsBuiltMM)
			s.AsBuilt, s.AsBuiltBy, s.AsBuiltOn = &built, t.prosthetist.Name, w.cover.DeliveredOn
		}
	}
	return t.store.CreateCover(ctx, &w.cover)
}

// walk is the clearance walk of the cover: four directions at two levels, and
// where something moves.
func (w *worn) walk() []models.Station {
	upper, lower := quantity.FromMM(60), quantity.FromMM(120)
	if w.plan != nil {
		upper, lower = w.plan.Levels[1], w.plan.Levels[len(w.plan.Levels)-2]
	}
	still, bent, near := quantity.Standing, quantity.Seated, quantity.SocketWall
	if w.limb.Level.Arm() {
		still, bent = quantity.Straight, quantity.FullBend
	}
	switch {
	case w.story.anchored:
		near = quantity.FixedPart
	case w.limb.Level == quantity.PartialFoot || w.limb.Level == quantity.PartialHand:
		near = quantity.SkinSurface
	}
	var stations []models.Station
	add := func(level quantity.Length, d quantity.Direction, p quantity.Posture, n quantity.Neighbour) {
		stations = append(stations, models.Station{
			Level: level, Direction: d, Posture: p, Neighbour: n, Ordinal: len(stations) + 1,
			EveryTime: d == quantity.Posterior || p != still,
		})
	}
	for _, level := range []quantity.Length{upper, lower} {
		for _, d := range quantity.Directions {
			add(level, d, still, near)
		}
	}
	add(upper, quantity.Posterior, bent, quantity.MovingJoint)
	if !w.limb.Level.Arm() {
		ankle := lower + quantity.FromMM(200)
		add(ankle, quantity.Anterior, quantity.ToeLoaded, quantity.FootOrKeel)
		add(ankle, quantity.Posterior, quantity.HeelLoaded, quantity.FootOrKeel)
	}
	return stations
}

// gapAt is the true course of the gap at a station: that of the story, or one
// that clears its limit well and stays.
func (w *worn) gapAt(s models.Station) cohort.Gap {
	if w.told(s) {
		return w.story.gaps[s.Direction]
	}
	const room = 4 // over the limit, which a feeler can tell
	return cohort.Gap{AsBuiltMM: clearance.StartingLimits(s.Neighbour).WarnMM + room}
}

// told tells whether the story's gaps are about a station: they lie at the
// lower level, and in front under the loaded toe.
func (w *worn) told(s models.Station) bool {
	if _, told := w.story.gaps[s.Direction]; !told {
		return false
	}
	if s.Direction == quantity.Anterior {
		return s.Posture == quantity.ToeLoaded
	}
	return slices.ContainsFunc(w.cover.Stations, func(o models.Station) bool {
		return o.Level < s.Level && o.Posture == s.Posture && o.Direction == s.Direction
	})
}

// What events change.

// newSocket is fitted on the day and accepted by the prosthetist.
func newSocket(ctx context.Context, t *teller, w *worn, ago int) error {
	w.prosthesis.SocketFittedOn, w.prosthesis.SocketAcceptedOn = t.dateOf(ago), t.dateOf(ago)
	return t.store.SaveProsthesis(ctx, &w.prosthesis)
}

// newCover is delivered at the check-in of the day.
func newCover(ctx context.Context, t *teller, w *worn, ago int) error { return t.deliver(ctx, w, ago) }

// newPlan follows a limb that has become longer.
func newPlan(ctx context.Context, t *teller, w *worn, ago int) error {
	levels := make([]float64, 0, len(w.plan.Levels)+1)
	for _, l := range w.plan.Levels {
		levels = append(levels, l.MM())
	}
	last := levels[len(levels)-1]
	return t.addPlan(ctx, w, append(levels, last+10), "The limb has become longer")
}

// boots are worn from now on.
func boots(ctx context.Context, t *teller, w *worn, _ int) error {
	heel := quantity.FromMM(25)
	w.prosthesis.Shoe, w.prosthesis.HeelHeight = "walking boot", &heel
	return t.store.SaveProsthesis(ctx, &w.prosthesis)
}
