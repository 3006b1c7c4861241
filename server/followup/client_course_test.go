package followup_test

import (
	"math"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/server/followup"
)

// monthly is a limb that was taped every 30 days.
func monthly(firsts ...float64) followup.LimbRecord {
	var visits []taping
	for i, first := range firsts {
		visits = append(visits, taping{day: 30 * i, fitter: "a", girths: girthsOf(first)})
	}
	return record(visits...)
}

func viewOf(t *testing.T, l followup.LimbRecord) followup.LimbView {
	t.Helper()
	v, err := l.View(followup.SinceFirst)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestCourseView: the course is shown from three days on, begins without a width, goes
// on into the forecast, and is that of the list of the day.
func TestCourseView(t *testing.T) {
	if two := viewOf(t, monthly(340, 338)); two.Judged() || two.Course.Days() != nil || two.Course.Ahead() != nil {
		t.Error("two visits have a course")
	}
	if three := viewOf(t, monthly(340, 338, 337)); !three.Judged() || len(three.Course.Days()) != 3 || three.Course.Ahead() != nil {
		t.Error("three visits have no course, or a forecast")
	}
	l := monthly(340, 338, 337, 336, 335)
	v := viewOf(t, l)
	days, ahead := v.Course.Days(), v.Course.Ahead()
	if first := days[0].Change; first.Lo != 0 || first.Hi != 0 || first.Estimate != 0 {
		t.Errorf("at the reference %+v, want nothing", first)
	}
	last := days[len(days)-1].Change
	if last != v.Course.Result.Change || math.Abs(ahead[0].Within90.Estimate-last.Estimate) > 1e-9 {
		t.Errorf("the course ends at %+v and the forecast begins at %+v, want %+v", last, ahead[0].Within90, v.Course.Result.Change)
	}
	if end := ahead[len(ahead)-1].After; end != v.Course.Result.Forecast.HorizonDays || end != 120 {
		t.Errorf("the forecast ends after %d days, want 120, the time followed so far", end)
	}
	course, err := l.Course()
	if err != nil || course.Together == nil || *course.Together != last || len(course.Smooth) != len(days) {
		t.Errorf("the list of the day has %+v (%v), want %+v", course, err, last)
	}
}

// TestPointsOfBothRounds: each round of a visit is a point with its own interval,
// against the level that all visits know of the reference.
func TestPointsOfBothRounds(t *testing.T) {
	l := monthly(340, 338, 337, 336)
	seen := &l.Visits[0].Seen
	for _, r := range seen.Readings {
		r.Pass += quantity.PassesPerRound
		r.Girth = quantity.FromMM(r.Girth.MM() + 2)
		seen.Readings = append(seen.Readings, r)
	}
	v := viewOf(t, l)
	first := v.Visits[0].Points
	if len(first) != 2 || first[0].Round != 1 || first[1].Round != 2 || first[0].Rounds != 2 {
		t.Fatalf("points %+v, want two rounds", first)
	}
	if !(first[0].Percent.Estimate < first[1].Percent.Estimate && first[0].Percent.Lo < first[0].Percent.Hi) {
		t.Errorf("points %+v, want the second above, each with an interval", first)
	}
	level := v.Course.Volumes[0].LevelML
	for _, at := range v.Visits {
		for _, p := range at.Points {
			if want := 100 * (p.VolumeML - level) / level; math.Abs(p.Percent.Estimate-want) > 1e-9 || p.Smooth == nil || p.SlipPercent == nil {
				t.Errorf("%+v, want %g %% of the level at the reference", p, want)
			}
		}
	}
}

// TestPointsBesideTheReference: while two visits alone are compared, a point is their
// change with the interval of both.
func TestPointsBesideTheReference(t *testing.T) {
	v := viewOf(t, monthly(340, 330))
	reference, newest := v.Visits[0].Points[0], v.Visits[1].Points[0]
	change := v.Visits[1].Change
	if p := reference.Percent; p.Estimate != 0 || p.Lo != 0 || p.Hi != 0 {
		t.Errorf("the reference at %+v, want 0", p)
	}
	if p := newest.Percent; p.Estimate != change.ChangePercent || p.Lo != change.LoPercent || p.Hi != change.HiPercent || newest.Smooth != nil {
		t.Errorf("the newest at %+v, want %+v", newest, change)
	}
}

// TestAnotherPlanIsNoPoint: what can't be compared is not on the course, and the course
// does not judge it.
func TestAnotherPlanIsNoPoint(t *testing.T) {
	l := monthly(340, 338, 337, 336)
	other := "other"
	l.Visits[3].Seen.PlanID = &other
	v := viewOf(t, l)
	if len(v.Visits[3].Points) != 0 || v.Judged() || len(v.Course.Days()) != 3 {
		t.Errorf("%d points, judged %v, %d days", len(v.Visits[3].Points), v.Judged(), len(v.Course.Days()))
	}
	course, err := l.Course()
	if err != nil || course.Together != nil {
		t.Errorf("the list of the day has %+v, %v", course.Together, err)
	}
}
