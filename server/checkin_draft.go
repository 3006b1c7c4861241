package server

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// typist puts recorded values back into the texts of the form, in the units of
// the person who types.
type typist struct {
	unit  quantity.LengthUnit
	comma bool
	zone  *time.Location
}

func (t typist) length(l *quantity.Length, unit quantity.LengthUnit) string {
	if l == nil {
		return ""
	}
	return form.FormatTyped(*l, unit, t.comma)
}

func (t typist) number(v *float64) string {
	if v == nil {
		return ""
	}
	_, decimals, _ := strings.Cut(strconv.FormatFloat(*v, 'f', -1, 64), ".")
	return form.FormatDecimal(*v, len(decimals), t.comma)
}

func whole(v *int) string {
	if v == nil {
		return ""
	}
	return strconv.Itoa(*v)
}

func (t typist) clock(at *time.Time) string {
	if at == nil {
		return ""
	}
	return form.FormatClock(*at, t.zone)
}

// newFields begins a draft: the kind proposed, now and here and by whom, and
// what is carried over from the last visit. Measured values are never carried
// over.
func (l checkinLayout) newFields(t typist, who models.Person, now time.Time) map[string]string {
	local := now.In(t.zone)
	fields := map[string]string{
		"kind": string(l.proposedKind()), "date": local.Format(time.DateOnly), "time": local.Format("15:04"),
		whichField:    whichOf(now, t.zone),
		"measured_by": who.ID, unitField: string(t.unit), commaField: yes(t.comma),
		"next_on": string(proposedNext(l, quantity.DateOf(local))),
	}
	for _, limb := range l.Limbs {
		limb.carryOver(t, fields)
	}
	return fields
}

// proposedKind is a delivery while a limb has a cover that no check-in has
// delivered yet.
func (l checkinLayout) proposedKind() models.CheckinKind {
	for _, limb := range l.Limbs {
		if limb.Cover != nil && (limb.Last == nil || limb.Last.Seen.CoverID == nil || *limb.Last.Seen.CoverID != limb.Cover.ID) {
			return models.Delivery
		}
	}
	return models.FollowUp
}

// carryOver fills in what a limb's form is tied to, and shoe, liner and posture
// as they were last.
func (l limbLayout) carryOver(t typist, fields map[string]string) {
	p := l.prefix()
	l.tie(fields)
	l.chooseFeeler(fields)
	fields[p+"posture"] = l.Limb.LandmarkPosture
	if l.Prosthesis != nil {
		fields[p+"shoe"], fields[p+"liner"] = l.Prosthesis.Shoe, l.Prosthesis.LinerType
		fields[p+"liner_thickness"] = t.length(l.Prosthesis.LinerThickness, quantity.Millimetre)
	}
	if l.Last == nil {
		return
	}
	seen := l.Last.Seen
	if seen.Shoe != "" {
		fields[p+"shoe"] = seen.Shoe
	}
	if seen.LinerType != "" {
		fields[p+"liner"], fields[p+"liner_thickness"] = seen.LinerType, t.length(seen.LinerThickness, quantity.Millimetre)
	}
	if l.LastTaped != nil && l.LastTaped.Seen.Posture != "" {
		fields[p+"posture"] = l.LastTaped.Seen.Posture
	}
}

// tie notes the plan and the cover that the draft is about.
func (l limbLayout) tie(fields map[string]string) {
	if l.Plan != nil {
		fields[l.prefix()+"plan"] = l.Plan.ID
	}
	if l.Cover != nil {
		fields[l.prefix()+"cover"] = l.Cover.ID
	}
}

// chooseFeeler begins every station with the method that a gap is read with as a
// rule: its list has no empty choice, and the draft holds what the page shows.
func (l limbLayout) chooseFeeler(fields map[string]string) {
	for _, st := range l.stations() {
		fields[l.prefix()+"station."+st.ID+".method"] = string(quantity.Feeler)
	}
}

// fieldsOf puts a recorded check-in back into a draft, to be corrected.
func (l checkinLayout) fieldsOf(t typist, c models.Checkin) map[string]string {
	at := c.MeasuredAt
	fields := map[string]string{
		unitField: string(t.unit), commaField: yes(t.comma), "kind": string(c.Kind), "date": at.In(t.zone).Format(time.DateOnly), "time": t.clock(&at), whichField: whichOf(at, t.zone), "measured_by": c.MeasuredBy,
		"room": c.Room, "activity": c.Activity, "hours_worn": t.number(c.HoursWorn), "weight_with": c.WeightWith,
		"dialysis_hours": t.number(c.DialysisHours), "comfort_average": whole(c.ComfortAverage),
		"comfort_worst": whole(c.ComfortWorst), "pain_worst": whole(c.PainWorst), "looseness": whole(c.Looseness),
		"hours_per_day": t.number(c.HoursPerDay), "talk": c.Talk, "notes": c.Notes, "next_on": string(c.NextOn),
	}
	if c.WeightG != nil {
		kg := float64(*c.WeightG) / 1000
		fields["weight"] = t.number(&kg)
	}
	for _, f := range c.Fluid {
		fields["fluid."+f] = "yes"
	}
	for _, seen := range c.Limbs {
		i := slices.IndexFunc(l.Limbs, func(limb limbLayout) bool { return limb.Limb.ID == seen.LimbID })
		if i >= 0 {
			limbFields(t, l.Limbs[i], seen, fields)
		}
	}
	return fields
}

func limbFields(t typist, l limbLayout, seen models.CheckinLimb, fields map[string]string) {
	p := l.prefix()
	if seen.PlanID != nil {
		fields[p+"plan"] = *seen.PlanID
	}
	if seen.CoverID != nil {
		fields[p+"cover"] = *seen.CoverID
	}
	fields[p+"walk"] = walkAll
	fields[p+"shoe"], fields[p+"liner"], fields[p+"posture"] = seen.Shoe, seen.LinerType, seen.Posture
	fields[p+"liner_thickness"] = t.length(seen.LinerThickness, quantity.Millimetre)
	fields[p+"length"] = t.length(seen.LengthMM10, t.unit)
	fields[p+"doffed"], fields[p+"first_reading"] = t.clock(seen.DoffedAt), t.clock(seen.FirstReadingAt)
	for part, why := range map[string]models.NotDone{
		"socks": seen.SocksNotDone, "function": seen.FunctionNotDone, "clearance": seen.ClearanceNotDone,
		"skin": seen.SkinNotDone, "sound": seen.SoundNotDone, "residual": seen.ResidualNotDone, string(secondRound): seen.SecondNotDone,
	} {
		fields[p+part+"_not_done"] = string(why)
	}
	fields[p+"socks_none"] = yes(seen.SocksNotDone == models.Done && len(seen.Socks) == 0)
	fields[p+"skin_none"] = yes(seen.SkinNotDone == models.Done && !slices.ContainsFunc(seen.Skin, onDoffing))
	rows := map[string]int{}
	next := func(name string) string {
		rows[name]++
		return name + "." + strconv.Itoa(rows[name])
	}
	for _, s := range seen.Socks {
		row := next(p + "sock." + string(s.Occasion))
		fields[row+".ply"], fields[row+".material"], fields[row+".worn"] = strconv.Itoa(s.Ply), s.Material, yes(s.Worn)
	}
	for _, f := range seen.Functions {
		fields[p+"check."+f.Check], fields[p+"check."+f.Check+".note"] = string(f.Answer), f.Note
	}
	for _, a := range seen.Attachments {
		fields[p+"attachment."+a.AttachmentID] = string(a.State)
	}
	for _, s := range seen.Skin {
		row := next(p + skinFields[s.Moment])
		fields[row+".sign"], fields[row+".place"], fields[row+".note"] = s.Sign, s.Place, s.Note
	}
	l.chooseFeeler(fields)
	for _, c := range seen.Clearances {
		clearanceFields(t, p+"station."+c.StationID, c, fields)
	}
	girths := func(part quantity.BodyPart, readings []models.Reading, passesBefore int) {
		for _, r := range readings {
			fields[l.girthField(part, r.Level, r.Pass-passesBefore)] = form.FormatTyped(r.Girth, t.unit, t.comma)
		}
	}
	sound, _ := seen.Rounds(quantity.Sound, l.Plan)
	first, second := seen.Rounds(quantity.Residual, l.Plan)
	girths(quantity.Sound, sound, 0)
	girths(quantity.Residual, first, 0)
	girths(secondRound, second, quantity.PassesPerRound)
	fields[p+"second_reading"] = t.clock(seen.SecondReadingAt)
}

// skinFields begins the names of the rows for each moment.
var skinFields = map[models.SkinMoment]string{models.OnDoffing: "skin", models.AfterTape: "again"}

func onDoffing(s models.SkinFinding) bool { return s.Moment == models.OnDoffing }

func clearanceFields(t typist, field string, c models.ClearanceReading, fields map[string]string) {
	fields[field+".gap"] = t.length(c.Gap, quantity.Millimetre)
	if c.Method == quantity.NotReachable {
		fields[field+".touch"] = string(quantity.NotReachable)
		return
	}
	fields[field+".method"], fields[field+".touch"] = string(c.Method), string(c.Touch)
}
