package server

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// checkinLayout is what the form of one check-in asks: of which limbs, at which
// levels and stations, and what was seen last time.
type checkinLayout struct {
	Client   models.Client
	Record   followup.ClientRecord
	Limbs    []limbLayout
	Zone     string              // IANA name: the workshop's, or that of the check-in that is corrected
	Unit     quantity.LengthUnit // in which lengths are typed and shown
	Comma    bool
	People   []models.Person
	Corrects *models.Checkin // the version that a correction replaces
}

// limbLayout is the part of a check-in about one limb. Plan and cover are those
// that the draft was begun with, so that a plan that changes half-way takes
// nothing away from what has been typed.
type limbLayout struct {
	No         int // from 1, in the order of the limbs
	Limb       models.Limb
	Plan       *models.MeasuringPlan
	NewerPlan  *models.MeasuringPlan // made after the draft was begun
	Cover      *models.Cover
	Prosthesis *models.Prosthesis
	Last       *followup.LimbVisit // the visit before this one
	LastSound  *followup.LimbVisit // the last that taped the sound limb
	LastTaped  *followup.LimbVisit // the last that taped the residual limb
	Record     followup.LimbRecord
	Again      assess.AgainWhy // why a second round is asked for, empty if it is not
	Twice      bool            // the draft has a second complete round
	At         stepKind        // the page of a second round that is open, empty for none
}

// A draft keeps the unit and the decimal sign of the person who began it: read
// in another person's unit, a typed figure would say something else.
const (
	unitField  = "unit"
	commaField = "comma"
)

// place is the zone that a check-in's day and clock are said and read in. One
// that this program's tz data lacks counts as UTC.
func (l checkinLayout) place() *time.Location {
	zone, err := time.LoadLocation(l.Zone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// prefix begins the names of the limb's fields.
func (l limbLayout) prefix() string { return limbPrefix(l.No) }

func limbPrefix(no int) string { return "limb" + strconv.Itoa(no) + "." }

// splitLimb parts a field's name into the limb's number, 0 for a field of the
// whole visit, and the rest.
func splitLimb(field string) (no int, rest string) {
	head, rest, found := strings.Cut(field, ".")
	number, isLimb := strings.CutPrefix(head, "limb")
	if no, err := strconv.Atoi(number); found && isLimb && err == nil && no > 0 {
		return no, rest
	}
	return 0, field
}

// taped tells whether girths are asked of the limb.
func (l limbLayout) taped() bool { return l.Plan != nil && l.Limb.Level.HasCone() }

// passes is how many passes the plan asks for.
func (l limbLayout) passes() int {
	if !l.taped() {
		return 0
	}
	return l.Plan.Passes
}

// girthField names the field of one reading.
func (l limbLayout) girthField(part quantity.BodyPart, level quantity.Length, pass int) string {
	return girthName(l.prefix(), part, level) + "." + strconv.Itoa(pass)
}

// girthName is the part of a reading's name before its pass. The level stands in
// it in tenths of a millimetre, so that a reading keeps its level when the plan
// changes.
func girthName(prefix string, part quantity.BodyPart, level quantity.Length) string {
	return prefix + string(part) + "." + strconv.FormatInt(int64(level), 10)
}

// walk lists the stations of the clearance walk: all of them at a delivery and
// after a change, or when asked for, else those that are read every time.
func (l limbLayout) walk(typed map[string]string) []models.Station {
	if l.Cover == nil {
		return nil
	}
	if kind := models.CheckinKind(typed["kind"]); kind != models.FollowUp || typed[l.prefix()+"walk"] == walkAll {
		return l.Cover.Stations
	}
	return slices.DeleteFunc(slices.Clone(l.Cover.Stations), func(s models.Station) bool {
		return !s.EveryTime && !l.readAt(typed, s)
	})
}

// walkAll is the value of the field walk that shows every station.
const walkAll = "all"

// readAt tells whether something was typed for a station already.
func (l limbLayout) readAt(typed map[string]string, s models.Station) bool {
	name := l.prefix() + "station." + s.ID
	return typed[name+".gap"] != "" || typed[name+".touch"] != ""
}

// layout gathers what the form of a draft asks. Of the draft only the fields
// that tie it to plans and covers count, and what it corrects.
func (s *server) layout(ctx context.Context, clientID, zone string, who models.Person, d models.Draft) (checkinLayout, error) {
	record, err := followup.Load(ctx, s.store, clientID)
	if err != nil {
		return checkinLayout{}, err
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return checkinLayout{}, err
	}
	l := checkinLayout{Client: record.Client, Record: record, Zone: zone, People: people, Unit: who.LengthUnit, Comma: who.DecimalComma}
	if unit := quantity.LengthUnit(d.Fields[unitField]); slices.Contains(quantity.LengthUnits, unit) {
		l.Unit, l.Comma = unit, d.Fields[commaField] != ""
	}
	if d.CorrectsID != nil {
		corrected, err := s.store.CheckinByID(ctx, *d.CorrectsID)
		if err != nil {
			return l, err
		}
		l.Corrects, l.Zone = &corrected, corrected.Zone
	}
	for i, limb := range record.Limbs {
		part, err := s.limbLayout(ctx, i+1, limb, l.Corrects, d.Fields)
		if err != nil {
			return l, err
		}
		l.Limbs = append(l.Limbs, part)
	}
	return l, nil
}

func (s *server) limbLayout(ctx context.Context, no int, limb followup.LimbRecord, corrects *models.Checkin, typed map[string]string) (limbLayout, error) {
	l := limbLayout{No: no, Record: limb, Limb: limb.Limb, Plan: limb.Plan(), Cover: limb.Cover, Prosthesis: limb.Prosthesis}
	if id := typed[l.prefix()+"plan"]; id != "" && l.Plan != nil && l.Plan.ID != id {
		i := slices.IndexFunc(limb.Plans, func(p models.MeasuringPlan) bool { return p.ID == id })
		if i >= 0 {
			l.Plan, l.NewerPlan = &limb.Plans[i], l.Plan
		}
	}
	if corrects != nil {
		l.NewerPlan = nil // a correction keeps the plan that was followed
	}
	if id := typed[l.prefix()+"cover"]; id != "" && (l.Cover == nil || l.Cover.ID != id) {
		cover, err := s.store.CoverByID(ctx, id)
		if err != nil {
			return l, err
		}
		if cover.LimbID == limb.Limb.ID {
			l.Cover = &cover
		}
	}
	l.lookBack(earlierVisits(limb.Visits, corrects))
	return l, nil
}

// earlierVisits are the visits that came before: all, or those before the one
// that is corrected.
func earlierVisits(visits []followup.LimbVisit, corrects *models.Checkin) []followup.LimbVisit {
	if corrects == nil {
		return visits
	}
	return slices.DeleteFunc(slices.Clone(visits), func(v followup.LimbVisit) bool {
		return v.Checkin.ID == corrects.ID || !v.Checkin.MeasuredAt.Before(corrects.MeasuredAt)
	})
}

// lookBack keeps the newest of the visits, oldest first, for each purpose.
func (l *limbLayout) lookBack(visits []followup.LimbVisit) {
	for i := range visits {
		v := &visits[i]
		l.Last = v
		for _, r := range v.Seen.Readings {
			if r.Part == quantity.Residual {
				l.LastTaped = v
			} else {
				l.LastSound = v
			}
		}
	}
}
