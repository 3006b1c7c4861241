package server

import (
	"strings"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/form"
)

// The lengths of a limb that are taken: 1 cm to 1.2 m from the landmark to the
// distal end (common practice, no source).
const (
	shortestLimb quantity.Length = 100
	longestLimb  quantity.Length = 12000
)

var limbWording = wording{
	form: "limb",
	kinds: map[string]string{
		"side": "side", "level": "amputation-level", "origin": "origin", "distal_shape": "distal-shape",
		"other_side_sound": "tick",
	},
	ids: map[string]string{ // of the first plan, which is typed together with a new limb
		"landmark": "plan.landmark", "levels": "plan.levels", "passes": "plan.passes", "cap": "plan.cap", "cap_depth": "plan.cap_depth",
	},
}

// typedLimb is a limb as it stands in the form.
func typedLimb(who models.Person, l models.Limb) map[string]string {
	return map[string]string{
		"side": string(l.Side), "level": string(l.Level), "origin": string(l.Origin),
		"amputated_on": string(l.AmputatedOn), "revised_on": string(l.RevisedOn),
		"landmark_posture": l.LandmarkPosture, "length": typedLength(who, l.LengthMM10),
		"inflection": typedLength(who, l.InflectionMM10), "distal_shape": string(l.DistalShape),
		"other_side_sound": yes(l.OtherSideSound), "version": version(l.Version),
	}
}

// readLimb reads the form into a limb. others are the client's further limbs.
// The landmark belongs to the measuring plan and is left alone.
func readLimb(r *form.Reader, before models.Limb, others []models.Limb) models.Limb {
	l := before
	l.Side = form.RequiredChoice(r, "side", quantity.Sides)
	l.Level = form.RequiredChoice(r, "level", quantity.AmputationLevels)
	l.Origin = form.RequiredChoice(r, "origin", models.Origins)
	l.AmputatedOn, l.RevisedOn = r.DateNotFuture("amputated_on"), r.DateNotFuture("revised_on")
	if l.Origin == models.PresentAtBirth && l.AmputatedOn != "" {
		r.Add("amputated_on", "problem.birth-amputated", nil)
	}
	if l.AmputatedOn != "" && l.RevisedOn != "" && l.RevisedOn < l.AmputatedOn {
		r.Add("revised_on", "problem.revised-early", map[string]any{"Amputated": string(l.AmputatedOn)})
	}
	l.LandmarkPosture = r.Text("landmark_posture", longestLine)
	l.LengthMM10 = r.Length("length", r.Unit(), shortestLimb, longestLimb)
	l.InflectionMM10 = r.Length("inflection", r.Unit(), 0, longestLimb)
	if l.LengthMM10 != nil && l.InflectionMM10 != nil && *l.InflectionMM10 > *l.LengthMM10 {
		r.Add("inflection", "problem.inflection-beyond", nil)
	}
	l.DistalShape = form.Choice(r, "distal_shape", models.DistalShapes)
	l.OtherSideSound = r.Bool("other_side_sound")
	l.Version = readVersion(r)
	checkOtherLimbs(r, l, others)
	return l
}

// checkOtherLimbs finds what cannot be true of two limbs of one person: two
// left legs, or a sound side that is followed as a residual limb.
func checkOtherLimbs(r *form.Reader, l models.Limb, others []models.Limb) {
	for _, other := range others {
		switch {
		case other.ID == l.ID || l.Level == "" || l.Side == "" || other.Level.Arm() != l.Level.Arm():
		case other.Side == l.Side:
			r.Add("side", "problem.limb-twice", nil)
		case l.OtherSideSound:
			r.Add("other_side_sound", "problem.other-side-followed", nil)
		}
	}
}

// proposePlan is a first measuring plan from a limb's level and length (default
// M4): the levels run to the inflection level where it is known. A cap is
// proposed only where the end is rounded and its depth is known; a joint's end
// and a bulbous one have none.
func proposePlan(l models.Limb) models.MeasuringPlan {
	var lengthMM float64
	switch {
	case l.InflectionMM10 != nil && *l.InflectionMM10 > 0:
		lengthMM = l.InflectionMM10.MM()
	case l.LengthMM10 != nil:
		lengthMM = l.LengthMM10.MM()
	}
	plan := models.MeasuringPlan{Passes: 2, CapKind: quantity.NoCap}
	for _, level := range girth.ProposeLevels(l.Level, lengthMM) {
		plan.Levels = append(plan.Levels, quantity.FromMM(level))
	}
	if l.Level.Disarticulation() || l.DistalShape == models.Bulbous || l.LengthMM10 == nil || len(plan.Levels) == 0 {
		return plan
	}
	depth := *l.LengthMM10 - plan.Levels[len(plan.Levels)-1]
	if depth > 0 && depth <= quantity.FromMM(volume.MaxCapDepthMM) {
		plan.CapKind, plan.CapDepth = quantity.SemiEllipsoid, &depth
	}
	return plan
}

var planWording = wording{form: "plan", kinds: map[string]string{"cap": "cap"}}

// typedPlan is a plan as it stands in the form; the reason is asked anew.
func typedPlan(who models.Person, p models.MeasuringPlan) map[string]string {
	levels := make([]string, len(p.Levels))
	for i, l := range p.Levels {
		levels[i] = typedLevel(who, l)
	}
	return map[string]string{
		"landmark": p.Landmark, "levels": strings.Join(levels, "  "), "passes": version(p.Passes),
		"cap": string(p.CapKind), "cap_depth": typedLength(who, p.CapDepth), "number": version(p.Number),
	}
}

// readPlan reads the form into a plan of the limb.
func readPlan(r *form.Reader, l models.Limb) models.MeasuringPlan {
	plan := models.MeasuringPlan{LimbID: l.ID}
	plan.Landmark = r.RequiredText("landmark", longestLine)
	r.Require("levels", "passes")
	plan.Levels = r.Levels("levels")
	if last := len(plan.Levels) - 1; last > 0 && l.LengthMM10 != nil && plan.Levels[last] > *l.LengthMM10 {
		r.Add("levels", "problem.level-beyond", nil)
	}
	if passes := r.Int("passes", fewestPasses, mostPasses); passes != nil {
		plan.Passes = *passes
	}
	plan.CapKind = form.RequiredChoice(r, "cap", quantity.CapKinds)
	if plan.CapKind != quantity.NoCap && plan.CapKind != "" {
		r.Require("cap_depth")
		plan.CapDepth = r.Length("cap_depth", r.Unit(), 1, quantity.FromMM(volume.MaxCapDepthMM))
	}
	return plan
}
