package followup

import (
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Tape is the device of every visit that was measured by hand.
const Tape = "tape"

// History turns the record of a limb into the input of the rules, compared with
// the visit that referenceID names.
func (l LimbRecord) History(referenceID string) (assess.History, error) {
	h := assess.History{
		Limb: l.assessLimb(), Sigmas: l.Tape.Sigmas(), SigmasID: l.Tape.ID(), SourcePercent: l.Tape.SourcePercent(),
		ReferenceID: referenceID,
	}
	h.EarlierReferenceID = l.referenceBefore(referenceID)
	h.VolumeLimits, h.RoomLimit = l.limits()
	for _, v := range l.Visits {
		visit, err := l.assessVisit(v)
		if err != nil {
			return h, err
		}
		h.Visits = append(h.Visits, visit)
	}
	if l.Cover != nil {
		for _, s := range l.Cover.Stations {
			h.Stations = append(h.Stations, assessStation(s))
		}
	}
	for _, r := range l.Reports { // where a client was measured last, days begin as for them
		h.Reports = append(h.Reports, assessReport(r, dayIn(l.lastZone(), r.SentAt)))
	}
	for _, e := range l.Events {
		h.Events = append(h.Events, assess.Event{Kind: string(e.Kind), On: e.On})
	}
	return h, nil
}

// lastZone is the zone of the newest visit, or "" for UTC.
func (l LimbRecord) lastZone() string {
	if len(l.Visits) == 0 {
		return ""
	}
	return l.Visits[len(l.Visits)-1].Checkin.Zone
}

// limits are those that a prosthetist set or confirmed, for the rules.
func (l LimbRecord) limits() (assess.VolumeLimits, *assess.RoomLimit) {
	set := l.LimitsInForce()
	if set == nil {
		return assess.VolumeLimits{}, nil
	}
	volumes := assess.VolumeLimits{
		LossPercent: set.LossPercent, LossReviewPercent: set.LossReviewPercent,
		GainPercent: set.GainPercent, GainTodayPercent: set.GainTodayPercent, By: set.SetBy, On: set.SetOn,
	}
	if set.Room == nil {
		return volumes, nil
	}
	return volumes, &assess.RoomLimit{MM: set.Room.MM(), By: set.SetBy, On: set.SetOn}
}

func (l LimbRecord) assessLimb() assess.Limb {
	a := assess.Limb{
		ID: l.Limb.ID, Level: l.Limb.Level, PresentAtBirth: l.Limb.Origin == models.PresentAtBirth,
		AmputatedOn: l.Limb.AmputatedOn, StillGrowing: l.Client.StillGrowing, ReducedFeeling: l.Client.ReducedFeeling,
	}
	if n := len(l.Visits); n > 0 {
		a.RevisedOn = l.revisedBy(Day(l.Visits[n-1].Checkin))
	}
	if l.Prosthesis != nil {
		a.NoSocket, a.SocketAcceptedOn = l.Prosthesis.NoSocket, l.Prosthesis.SocketAcceptedOn
	}
	return a
}

func (l LimbRecord) assessVisit(v LimbVisit) (assess.Visit, error) {
	local, minute := localTime(v.Checkin)
	visit := assess.Visit{
		ID: v.Checkin.ID, On: quantity.DateOf(local), At: v.Checkin.MeasuredAt.Unix(), MinuteOfDay: &minute,
		Kind: string(v.Checkin.Kind), LinerType: v.Seen.LinerType, LinerMM: inMM(v.Seen.LinerThickness), Shoe: v.Seen.Shoe,
		Comfort: v.Checkin.ComfortAverage, WorstComfort: v.Checkin.ComfortWorst, WorstPain: v.Checkin.PainWorst,
		Looseness: v.Checkin.Looseness, Fluid: v.Checkin.Fluid, SocksAsked: v.Seen.SocksNotDone == models.Done,
		SocksNow: socks(v.Seen.Socks, models.SocksNow), SocksMost: socks(v.Seen.Socks, models.SocksMost),
	}
	counted, first := l.rounds(v)
	minutes := v.Seen.MinutesOff
	if first != nil && v.Seen.SecondMinutesOff != nil {
		minutes = v.Seen.SecondMinutesOff
	}
	var err error
	if visit.Residual, err = l.residual(v, visit.On, counted, minutes); err != nil {
		return visit, err
	}
	if visit.ResidualFirst, err = l.residual(v, visit.On, first, v.Seen.MinutesOff); err != nil {
		return visit, err
	}
	if visit.Sound, err = l.sound(v); err != nil {
		return visit, err
	}
	for _, c := range v.Seen.Clearances {
		visit.Clearances = append(visit.Clearances, assess.Clearance{
			StationID: c.StationID, GapMM: inMM(c.Gap), Method: c.Method, Touch: c.Touch, Shoe: c.Shoe,
		})
	}
	for _, f := range v.Seen.Functions {
		visit.Functions = append(visit.Functions, assess.Function{Check: f.Check, Answer: string(f.Answer)})
	}
	for _, s := range v.Seen.Skin {
		visit.Skin = append(visit.Skin, assess.Skin{Place: s.Place, Sign: s.Sign})
	}
	for _, a := range v.Seen.Attachments {
		visit.Attachments = append(visit.Attachments, assess.AttachmentSeen{
			ID: a.AttachmentID, Name: l.attachmentName(a.AttachmentID), State: string(a.State),
		})
	}
	return visit, nil
}

// revisedBy is the day of the last revision operation up to a day, as the limb
// and its events record them; empty for none.
func (l LimbRecord) revisedBy(day quantity.Date) quantity.Date {
	var last quantity.Date
	if l.Limb.RevisedOn <= day {
		last = l.Limb.RevisedOn
	}
	for _, e := range l.Events {
		if e.Kind == models.Revision && e.On <= day {
			last = max(last, e.On)
		}
	}
	return last
}

func (l LimbRecord) attachmentName(id string) string {
	if l.Cover == nil {
		return ""
	}
	for _, a := range l.Cover.Attachments {
		if a.ID == id {
			return a.Name
		}
	}
	return ""
}

func assessStation(s models.Station) assess.Station {
	return assess.Station{
		ID: s.ID, LevelMM: s.Level.MM(), Direction: s.Direction, Posture: s.Posture, Neighbour: s.Neighbour,
		WarnMM: inMM(s.WarnLimit), ActMM: inMM(s.ActLimit), LimitBy: s.LimitBy, LimitOn: s.LimitOn,
		AsBuiltMM: inMM(s.AsBuilt), AsBuiltBy: s.AsBuiltBy, AsBuiltOn: s.AsBuiltOn,
	}
}

func socks(all []models.Sock, occasion models.SockOccasion) []clearance.Sock {
	var stack []clearance.Sock
	for _, s := range all {
		if s.Occasion == occasion {
			stack = append(stack, clearance.Sock{Ply: s.Ply, Material: s.Material, WornThin: s.Worn})
		}
	}
	return stack
}

// localTime is when a check-in was measured by the clock of the place, and the
// minutes since its midnight. A zone that this program's tz data lacks counts
// as UTC.
func localTime(c models.Checkin) (time.Time, int) {
	zone, err := time.LoadLocation(c.Zone)
	if err != nil {
		zone = time.UTC
	}
	local := c.MeasuredAt.In(zone)
	return local, local.Hour()*60 + local.Minute()
}

// Day is the calendar date of a check-in at the place of measurement.
func Day(c models.Checkin) quantity.Date {
	local, _ := localTime(c)
	return quantity.DateOf(local)
}

func inMM(l *quantity.Length) *float64 {
	if l == nil {
		return nil
	}
	v := l.MM()
	return &v
}

func mm(l *quantity.Length) float64 {
	if l == nil {
		return 0
	}
	return l.MM()
}
