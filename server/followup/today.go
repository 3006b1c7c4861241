package followup

import (
	"context"
	"fmt"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// Today is a page of the list of the day: who needs something, in the order of
// need.
type Today struct {
	Count models.TodayCount // of the whole list, not of the page
	Rows  []TodayRow
	Next  string // key of the next page, empty on the last one

	// Handovers and Answers are those of the first flags of the rows, by id.
	Handovers map[string]models.Handover
	Answers   map[string]models.Answer
}

// TodayRow is one client who needs something.
type TodayRow struct {
	Client models.Client
	Limbs  []models.Limb
	Flags  []models.Flag        // the open ones, what is needed most first; only the first has its evidence and steps
	Unsent []models.ReportDraft // with a safety answer that was not sent
	Held   []Decided            // what was decided and must be kept in sight
	Level  assess.Level         // how urgent flags and decisions are; empty without any
	Due    assess.Due
	Course *Course // of the limb that the first flag is about, or of the first with a change; nil when there is none
}

// Course is how the volume of a limb went since the reference.
type Course struct {
	Limb    models.Limb
	Since   Reference
	SinceOn quantity.Date
	Points  []CoursePoint // oldest first, only visits that can be compared
	Newest  volume.Change // of the newest taped visit, comparable or not
	// Smooth is what all visits together say, by day; none where two visits alone are
	// compared.
	Smooth []DayOnCourse
	// Together is the change by all visits together where Newest is judged by it.
	Together *trend.Interval
	TapedOn  quantity.Date // the day of that visit
	Earlier  bool          // the limb was not taped at its newest visit
	Limits   assess.VolumeLimits
}

// CoursePoint is the change at one visit since the reference.
type CoursePoint struct {
	Checkin models.Checkin
	Change  volume.Change
}

// FindToday reads a page of the list of the day. It computes changes for the
// clients of that page alone, today being the day in zone, and the number of statements does not depend on
// how many there are. A key that did not come from here gives
// models.ErrInvalid.
func FindToday(ctx context.Context, store *models.Store, careTeamOf *string, today quantity.Date, zone *time.Location, afterKey string, limit int) (Today, error) {
	var list Today
	held, err := heldBack(ctx, store, today, zone)
	if err != nil {
		return list, fmt.Errorf("find today: %w", err)
	}
	if list.Count, err = store.CountToday(ctx, careTeamOf, today, assess.DueBy(today), heldIDs(held)); err != nil {
		return list, fmt.Errorf("find today: %w", err)
	}
	found, next, err := store.Today(ctx, models.TodayFilter{
		On: today, CareTeamOf: careTeamOf, NeedBy: assess.DueBy(today), HeldBack: heldIDs(held), AfterKey: afterKey, Limit: limit,
	})
	if err != nil {
		return list, fmt.Errorf("find today: %w", err)
	}
	list.Next = next
	around, err := firstFlags(ctx, store, found)
	if err != nil {
		return list, fmt.Errorf("find today: %w", err)
	}
	list.Handovers, list.Answers = around.Handovers, around.Answers
	clients := make([]models.Client, len(found))
	for i, row := range found {
		clients[i] = row.Client
	}
	records, err := loadTape(ctx, store, clients)
	if err != nil {
		return list, fmt.Errorf("find today: %w", err)
	}
	for i, row := range found {
		course, err := records[i].course(row.Flags)
		if err != nil {
			return list, fmt.Errorf("find today: %w", err)
		}
		list.Rows = append(list.Rows, TodayRow{
			Client: row.Client, Limbs: row.Limbs, Flags: row.Flags, Unsent: row.Unsent, Level: assess.Level(row.Level),
			Held: held[row.Client.ID], Due: assess.DueState(row.Client.NextCheckinOn, today), Course: course,
		})
	}
	return list, nil
}

// firstFlags fills in the evidence and the steps of the most urgent flag of each row,
// and returns what those flags refer to.
func firstFlags(ctx context.Context, store *models.Store, rows []models.TodayRow) (models.FlagsAround, error) {
	var first []models.Flag
	for _, row := range rows {
		if len(row.Flags) > 0 {
			first = append(first, row.Flags[0])
		}
	}
	if err := store.WithEvidence(ctx, first); err != nil {
		return models.FlagsAround{}, err
	}
	if err := store.WithSteps(ctx, first); err != nil {
		return models.FlagsAround{}, err
	}
	around, err := store.AroundFlags(ctx, first)
	for _, row := range rows {
		if len(row.Flags) > 0 {
			row.Flags[0], first = first[0], first[1:]
		}
	}
	return around, err
}

// course is that of the limb that the first flag is about, or of the first limb
// that has one.
func (r ClientRecord) course(flags []models.Flag) (*Course, error) {
	limbs := r.Limbs
	if len(flags) > 0 {
		limbs = slices.DeleteFunc(slices.Clone(limbs), func(l LimbRecord) bool { return l.Limb.ID != flags[0].LimbID })
	}
	for _, l := range limbs {
		course, err := l.Course()
		if course != nil || err != nil {
			return course, err
		}
	}
	return nil, nil
}

// Course compares every taped visit since the delivery of the cover in use, or
// since the first visit, with that visit; nil when there is nothing to compare.
func (l LimbRecord) Course() (*Course, error) {
	since, referenceID := l.Choose(SinceDelivery)
	h, err := l.History(referenceID)
	if err != nil || !l.Limb.Level.HasCone() {
		return nil, err
	}
	reference, _ := h.Reference()
	course := Course{Limb: l.Limb, Since: since, SinceOn: reference.On, Limits: l.volumeLimits()}
	compared := false
	for i, v := range l.Visits {
		at := h.Visits[i]
		if at.ID == reference.ID {
			course.Points = append(course.Points, CoursePoint{Checkin: v.Checkin, Change: volume.Change{Comparable: true, Verdict: volume.NoChange}})
		}
		known := h
		known.Visits = h.Visits[:i+1]
		change, _, ok := known.VolumeChange()
		if !ok || at.At < reference.At {
			continue
		}
		compared, course.Newest, course.TapedOn, course.Earlier = true, change, at.On, i < len(l.Visits)-1
		if change.Comparable {
			course.Points = append(course.Points, CoursePoint{Checkin: v.Checkin, Change: change})
		}
	}
	if !compared {
		return nil, nil
	}
	course.together(h)
	return &course, nil
}

// together adds what all visits together say, where there are enough.
func (c *Course) together(h assess.History) {
	series, ok := h.SeriesSinceReference()
	if !ok {
		return
	}
	result, err := series.Run(trend.DefaultLimitPercent)
	if err != nil {
		return
	}
	view := CourseView{Volumes: CourseVolumes(series, result), Judges: result.Days >= assess.CourseDays}
	c.Smooth = view.Days()
	if n := len(c.Smooth); n > 0 && c.Newest.Comparable && series.Volumes[len(series.Volumes)-1].Of.On == c.TapedOn {
		c.Together = &result.Change
	}
}
