package server

import (
	"slices"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// parseCheckin reads everything that was typed of a check-in. What is wrong
// with it is left in the reader; the check-in is then not to be kept, but its
// sound parts can be looked at.
func parseCheckin(r *form.Reader, l checkinLayout, today quantity.Date) models.Checkin {
	c := models.Checkin{ClientID: l.Client.ID, Zone: l.Zone}
	c.Kind = form.RequiredChoice(r, "kind", models.CheckinKinds)
	c.MeasuredAt = whenMeasured(r)
	c.MeasuredBy = form.RequiredChoice(r, "measured_by", l.measurers())
	parseConditions(r, &c)
	parseTalk(r, &c)
	c.Notes = r.Note("notes", longestNote)
	c.NextOn = parseNext(r, today, l.Corrects)
	if l.Corrects != nil {
		c.ReplacesID, c.Reason = &l.Corrects.ID, r.RequiredText("reason", longestLine)
	}
	var empty []string
	for _, limb := range l.Limbs {
		seen, left := parseLimb(r, limb)
		c.Limbs = append(c.Limbs, seen)
		empty = append(empty, left...)
		checkDates(r, limb.Limb, c.MeasuredAt, l.place())
	}
	parseLeftEmpty(r, &c, empty)
	return c
}

// measurers are the ids of those who may have measured: people who fit or treat
// and can sign in, and whoever measured the check-in that is corrected.
func (l checkinLayout) measurers() []string {
	var ids []string
	for _, p := range l.People {
		works := p.DisabledAt == nil && (p.IsFitter || p.IsProsthetist)
		if works || l.Corrects != nil && p.ID == l.Corrects.MeasuredBy {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

// The choices for room and activity.
var (
	rooms      = []string{"cold", "usual", "hot"}
	activities = []string{"rest", "usual", "heavy"}
)

func parseConditions(r *form.Reader, c *models.Checkin) {
	c.Room = form.Choice(r, "room", rooms)
	c.Activity = form.Choice(r, "activity", activities)
	c.HoursWorn = r.Decimal("hours_worn", 0, 168, "h")
	c.WeightG = r.WeightG("weight")
	c.WeightWith = r.Text("weight_with", longestLine)
	c.Fluid = form.Set(r, "fluid", models.FluidConditions)
	c.DialysisHours = r.Decimal("dialysis_hours", 0, 2000, "h")
	if c.DialysisHours != nil && !slices.Contains(c.Fluid, "dialysis") {
		r.Add("dialysis_hours", "checkin.dialysis-not-ticked", nil)
	}
}

func parseTalk(r *form.Reader, c *models.Checkin) {
	c.ComfortAverage = r.Int("comfort_average", 0, 10)
	c.ComfortWorst = r.Int("comfort_worst", 0, 10)
	if c.ComfortAverage != nil && c.ComfortWorst != nil && *c.ComfortWorst > *c.ComfortAverage {
		r.Add("comfort_worst", "checkin.worst-above-average", map[string]any{"Worst": *c.ComfortWorst, "Average": *c.ComfortAverage})
	}
	c.PainWorst = r.Int("pain_worst", 0, 10)
	c.Looseness = r.Int("looseness", -5, 5)
	c.HoursPerDay = r.Decimal("hours_per_day", 0, 24, "h")
	c.Talk = r.Note("talk", longestNote)
}

// parseNext reads the date of the next check-in, which lies ahead; that of a
// check-in that is corrected stands as it was agreed then.
func parseNext(r *form.Reader, today quantity.Date, corrects *models.Checkin) quantity.Date {
	next := r.Date("next_on")
	agreed := corrects != nil && next == corrects.NextOn
	if next != "" && next < today && !agreed {
		r.Add("next_on", "checkin.next-past", map[string]any{"Typed": string(next)})
		return ""
	}
	return next
}

// checkDates finds a visit dated before the limb could be measured.
func checkDates(r *form.Reader, limb models.Limb, at time.Time, zone *time.Location) {
	if at.IsZero() || limb.AmputatedOn == "" {
		return
	}
	if quantity.DateOf(at.In(zone)) < limb.AmputatedOn {
		r.Add("date", "checkin.before-amputation", map[string]any{"Date": string(limb.AmputatedOn)})
	}
}

// parseLeftEmpty gives every part that was left empty without a reason the one
// reason that is asked for all of them at the end. Nothing is taken as done or
// as not done without somebody saying so: until then a part is unanswered.
func parseLeftEmpty(r *form.Reader, c *models.Checkin, empty []string) {
	if len(empty) == 0 {
		return
	}
	why := form.Choice(r, "left_empty", models.NotDoneReasons)
	if why == models.Done {
		r.Add("left_empty", "checkin.left-empty", map[string]any{"Count": len(empty)})
		why = unanswered
	}
	for _, field := range empty {
		no, part := splitLimb(field)
		part = strings.TrimSuffix(part, "_not_done")
		limb := &c.Limbs[no-1]
		unseen := part == "skin" || isTape(part) && len(limb.Skin) == 0
		if why == models.OpenSkin && unseen {
			r.Add("left_empty", "checkin.skin-first", nil)
			return
		}
		setNotDone(limb, part, why)
	}
}

// unanswered stands in a check-in that is still being typed for a part that
// nobody has said anything about. It is never recorded: such a check-in has a
// problem.
const unanswered models.NotDone = "unanswered"

// isTape tells whether a part is one that is taped.
func isTape(part string) bool {
	return part == string(quantity.Residual) || part == string(quantity.Sound)
}

func setNotDone(l *models.CheckinLimb, part string, why models.NotDone) {
	switch part {
	case "socks":
		l.SocksNotDone = why
	case "function":
		l.FunctionNotDone = why
	case "clearance":
		l.ClearanceNotDone = why
	case "skin":
		l.SkinNotDone = why
	case "sound":
		l.SoundNotDone = why
	case "residual":
		l.ResidualNotDone = why
	}
}
