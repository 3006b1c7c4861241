package trend

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

func parse(t testing.TB, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func mustRun(t testing.TB, visits []Visit, o Options) *Result {
	t.Helper()
	r, err := Run(visits, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const testStart = quantity.Date("2024-01-10")

// visitsOf returns visits every so many days, all with an uncertainty of 1.5 %.
func visitsOf(everyDays int, volumesML ...float64) []Visit {
	visits := make([]Visit, len(volumesML))
	for i, v := range volumesML {
		visits[i] = Visit{Date: testStart.AddDays(i * everyDays), VolumeML: v, UML: 0.015 * v}
	}
	return visits
}

// finite finds a figure in what a result says that is not a finite number.
func finite(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return !math.IsNaN(v.Float()) && !math.IsInf(v.Float(), 0)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() && !finite(v.Field(i)) {
				return false
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if !finite(v.Index(i)) {
				return false
			}
		}
	}
	return true
}

// check holds a result to what is true of every series.
func check(t interface {
	Helper()
	Fatalf(string, ...any)
}, r *Result, n int) {
	t.Helper()
	if !finite(reflect.ValueOf(*r)) {
		t.Fatalf("a figure is not finite: %+v", *r)
	}
	if len(r.Visits) != n {
		t.Fatalf("%d visits, want %d", len(r.Visits), n)
	}
	for _, p := range []float64{r.LossOver3, r.GainOver3, r.LossOver5, r.GainOver5, r.Wild, r.Step, r.Forecast.Probability} {
		if p < 0 || p > 1+1e-12 {
			t.Fatalf("a probability is %g", p)
		}
	}
	for _, v := range r.Visits {
		if v.Level.Lo > v.Level.Estimate || v.Level.Hi < v.Level.Estimate || v.Change.Lo > v.Change.Hi || v.Weight < -1e-12 || v.Weight > 1 {
			t.Fatalf("visit %+v", v)
		}
	}
	last := r.Visits[n-1]
	if math.Abs(last.Change.Estimate-r.Change.Estimate) > 1e-6*math.Max(1, math.Abs(r.Change.Estimate)) {
		t.Fatalf("the smoothed change %g at the last visit is not the filtered %g", last.Change.Estimate, r.Change.Estimate)
	}
	f := r.Forecast
	if r.Days < minDays && f.Told() {
		t.Fatalf("a forecast from %d days: %+v", r.Days, f)
	}
	if f.Told() == (r.ForecastWhy() != "" && f.Kind != ForecastPast) {
		t.Fatalf("forecast %+v, why %q", f, r.ForecastWhy())
	}
}

func TestRunRefuses(t *testing.T) {
	good := visitsOf(28, 1200, 1190, 1180)
	with := func(change func(v *Visit)) []Visit {
		visits := slices.Clone(good)
		change(&visits[1])
		return visits
	}
	for _, c := range []struct {
		name   string
		visits []Visit
	}{
		{"negative volume", with(func(v *Visit) { v.VolumeML = -1190 })},
		{"missing volume", with(func(v *Visit) { v.VolumeML = 0 })},
		{"volume that is no number", with(func(v *Visit) { v.VolumeML = math.NaN() })},
		{"endless volume", with(func(v *Visit) { v.VolumeML = math.Inf(1) })},
		{"missing uncertainty", with(func(v *Visit) { v.UML = 0 })},
		{"negative uncertainty", with(func(v *Visit) { v.UML = -1 })},
		{"uncertainty that is no number", with(func(v *Visit) { v.UML = math.NaN() })},
		{"endless uncertainty", with(func(v *Visit) { v.UML = math.Inf(1) })},
		{"uncertainty above the volume", with(func(v *Visit) { v.UML = 1191 })},
		{"no date", with(func(v *Visit) { v.Date = "" })},
		{"no such date", with(func(v *Visit) { v.Date = "2024-02-30" })},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Run(c.visits, Options{})
			var bad *ReadingError
			if r != nil || !errors.As(err, &bad) || bad.Index != 1 || bad.What == "" || bad.Do == "" {
				t.Errorf("got %v, %v; want an error about visit 1", r, err)
			}
		})
	}
	if _, err := Run(nil, Options{}); !errors.Is(err, ErrNoVisits) {
		t.Errorf("no visits: %v", err)
	}
	for _, o := range []Options{
		{LimitPercent: -100}, {LimitPercent: math.NaN()}, {LimitPercent: math.Inf(1)},
		{WeeksSinceAmputation: -1}, {WeeksSinceAmputation: math.NaN()},
	} {
		if _, err := Run(good, o); !errors.Is(err, ErrBadOptions) {
			t.Errorf("%+v: %v", o, err)
		}
	}
	bad := DefaultSettings()
	bad.FloorPercent = 0
	if _, err := Run(good, Options{Settings: &bad}); !errors.Is(err, ErrBadSettings) {
		t.Errorf("no floor: %v", err)
	}
	// The index is that of the input, whatever the order of dates.
	visits := with(func(v *Visit) { v.Date, v.VolumeML = "2020-01-01", -1 })
	var at *ReadingError
	if _, err := Run(visits, Options{}); !errors.As(err, &at) || at.Index != 1 {
		t.Errorf("unsorted: %v", err)
	}
}

func TestRunOfFewVisits(t *testing.T) {
	one := mustRun(t, visitsOf(28, 1200), Options{})
	check(t, one, 1)
	if one.Change != (Interval{}) || one.MeasureAgain || one.HasTheilSen || one.LogLik != 0 || one.Steadiness.Verdict != SteadyOne ||
		one.Forecast.Kind != ForecastOne || one.Forecast.MissingDays != 3 || one.Forecast.FromDay != 14 {
		t.Errorf("one visit: %+v", *one)
	}
	three := mustRun(t, visitsOf(28, 1200, 1190, 1180), Options{})
	check(t, three, 3)
	if why := three.ForecastWhy(); three.Forecast.Kind != ForecastFew ||
		why != "too little to say; a forecast needs visits on 4 days over 14 days or more: 1 more visit" {
		t.Errorf("three visits: %q", why)
	}
	if why := three.SteadyWhy(); why != "it takes visits on 6 days over 56 days or more: 3 more visits" {
		t.Errorf("three visits: %q", why)
	}
	// Two passes on each of two days are two visits.
	passes := visitsOf(0, 1200, 1201)
	passes = append(passes, Visit{Date: testStart.AddDays(3), VolumeML: 1195, UML: 18}, Visit{Date: testStart.AddDays(3), VolumeML: 1199, UML: 18})
	twice := mustRun(t, passes, Options{})
	check(t, twice, 4)
	if why := twice.ForecastWhy(); twice.Days != 2 ||
		why != "too little to say; a forecast needs visits on 4 days over 14 days or more: 2 more visits, the last of them not before 2024-01-24" {
		t.Errorf("two days: %q", why)
	}
	// Many visits in few days.
	hasty := mustRun(t, visitsOf(1, 1200, 1198, 1203, 1201, 1199, 1202, 1200), Options{})
	check(t, hasty, 7)
	if hasty.Forecast.Kind != ForecastFew || hasty.Steadiness.Verdict != SteadyFew ||
		hasty.SteadyWhy() != "it takes visits on 6 days over 56 days or more: 1 more visit not before 2024-03-06" {
		t.Errorf("a week: %+v, %q", hasty.Forecast, hasty.SteadyWhy())
	}
}

func TestRunOfOddSeries(t *testing.T) {
	gap := append(visitsOf(28, 1200, 1190, 1180), Visit{Date: "2094-06-01", VolumeML: 900, UML: 15})
	slip := visitsOf(28, 1200, 1196, 1203, 1690, 1199, 1201, 1198)
	seven := visitsOf(28, 1200, 1240, 1160, 1190, 1220, 1170, 1230, 1210, 1180, 1195)
	for i := range seven {
		seven[i].Source = SourceOf("tape", string(rune('a'+i%9)), "")
	}
	tiny := visitsOf(28, 1200, 1e5, 1, 1200, 1201)
	for _, c := range []struct {
		name   string
		visits []Visit
	}{
		{"all equal", visitsOf(28, 1200, 1200, 1200, 1200, 1200, 1200, 1200)},
		{"all on one day", visitsOf(0, 1200, 1190, 1210, 1205)},
		{"a gap of 70 years", gap},
		{"a slip of 40 %", slip},
		{"nine fitters", seven},
		{"absurd jumps", tiny},
		{"10,000 rows", longSeries(10_000)[:10_000:10_000]},
	} {
		for _, weeks := range []float64{0, 11} {
			if c.visits[len(c.visits)-1].Date > "2100" || len(c.visits) == 10_000 {
				for i := range c.visits { // daily, as ten thousand visits are
					c.visits[i].Date = quantity.Date("1990-01-01").AddDays(i)
				}
			}
			for _, limit := range []float64{-5, 8} {
				check(t, mustRun(t, c.visits, Options{WeeksSinceAmputation: weeks, LimitPercent: limit}), len(c.visits))
			}
		}
	}
	equal := mustRun(t, visitsOf(28, 1200, 1200, 1200, 1200, 1200, 1200, 1200), Options{})
	if equal.Steadiness.Verdict != Steady || math.Abs(equal.Change.Estimate) > 1e-9 || equal.TheilSen != 0 {
		t.Errorf("all equal: %+v", *equal)
	}
	if r := mustRun(t, slip, Options{}); r.Visits[3].Weight > 1e-6 {
		t.Errorf("a slip of 40 %% weighs %g", r.Visits[3].Weight)
	}
}

// The order of the rows does not matter but on one day, where it moves the
// change by less than 0.05 %.
func TestRunSortsByDate(t *testing.T) {
	e := examples(t)[1]
	visits := e.visits()
	want := mustRun(t, visits, Options{})
	slices.Reverse(visits)
	slices.SortStableFunc(visits, func(a, b Visit) int { return 0 })
	visits[4], visits[5] = visits[5], visits[4] // the two of one day, in their order again
	got := mustRun(t, visits, Options{})
	if got.ChangeLog != want.ChangeLog || got.LogLik != want.LogLik || got.Visits[0].Index != len(visits)-1 {
		t.Errorf("reversed: %+v, want %+v", got.ChangeLog, want.ChangeLog)
	}
	visits[4], visits[5] = visits[5], visits[4]
	swapped := mustRun(t, visits, Options{})
	if d := math.Abs(swapped.Change.Estimate - want.Change.Estimate); d == 0 || d >= 0.05 {
		t.Errorf("two rows of one day swapped move the change by %g %%, want a little below 0.05", d)
	}
}

// drawn draws a series as it may be measured, slips and steps included.
func drawn(t *rapid.T) []Visit {
	n := rapid.IntRange(1, 15).Draw(t, "visits")
	visits := make([]Visit, n)
	day := 0
	for i := range visits {
		v := 1200 * math.Exp(rapid.Float64Range(-25, 25).Draw(t, "log-percent")/100)
		visits[i] = Visit{
			Date: testStart.AddDays(day), VolumeML: v, UML: v * rapid.Float64Range(0.001, 0.05).Draw(t, "u"),
			Source: rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(t, "source"),
		}
		day += rapid.IntRange(0, 120).Draw(t, "gap")
	}
	return visits
}

// Scaling all volumes and their uncertainties changes nothing.
func TestRunScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		visits := drawn(t)
		weeks := rapid.SampledFrom([]float64{0, 12}).Draw(t, "weeks")
		k := rapid.Float64Range(0.01, 10).Draw(t, "scale")
		scaled := slices.Clone(visits)
		for i := range scaled {
			scaled[i].VolumeML *= k
			scaled[i].UML *= k
		}
		a, err := Run(visits, Options{WeeksSinceAmputation: weeks})
		b, err2 := Run(scaled, Options{WeeksSinceAmputation: weeks})
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		check(t, a, len(visits))
		for _, c := range [][2]float64{
			{a.Change.Estimate, b.Change.Estimate}, {a.Change.Lo, b.Change.Lo}, {a.Slope.Hi, b.Slope.Hi}, {a.LossOver3, b.LossOver3},
			{a.LogLik, b.LogLik}, {a.Forecast.Probability, b.Forecast.Probability},
			{a.Visits[0].Level.Hi * k, b.Visits[0].Level.Hi},
		} {
			if math.Abs(c[0]-c[1]) > 1e-12*math.Max(1, 100*math.Abs(c[0])) {
				t.Fatalf("scaled by %g: %.17g, want %.17g", k, c[1], c[0])
			}
		}
	})
}

// A filter fed visit by visit says after each what a run of that much says.
func TestFilterFollowsRun(t *testing.T) {
	for _, e := range examples(t) {
		visits := e.visits()
		whole := mustRun(t, visits, Options{WeeksSinceAmputation: e.Derived.Weeks})
		for n := 1; n <= len(visits); n++ {
			part := mustRun(t, visits[:n], Options{WeeksSinceAmputation: e.Derived.Weeks})
			if part.State != whole.Visits[n-1].Filtered {
				t.Errorf("%s after %d visits: %+v, want %+v", e.Name, n, whole.Visits[n-1].Filtered, part.State)
			}
			if p := part.Beyond(-3); math.Abs(p-part.LossOver3) > 1e-12 {
				t.Errorf("%s after %d visits: P(loss > 3 %%) %g and %g", e.Name, n, p, part.LossOver3)
			}
		}
	}
}

func TestFilterAllocatesNothing(t *testing.T) {
	readings, _, err := inOrder(examples(t)[1].visits())
	if err != nil {
		t.Fatal(err)
	}
	f := mustFilter(t, DefaultSettings())
	for _, weeks := range []float64{0, 11} {
		n := testing.AllocsPerRun(10, func() {
			f.Reset(weeks)
			for _, r := range readings {
				if err := f.Add(r); err != nil {
					t.Error(err)
				}
				f.StateNow()
				f.Crossing(-5)
				f.Crossing(5)
			}
		})
		if n != 0 {
			t.Errorf("%g allocations in a series, want none", n)
		}
	}
}

// Gain and loss are mirror images of one another on the log scale.
func TestBothDirections(t *testing.T) {
	down := mustRun(t, visitsOf(28, 1200, 1185, 1170, 1150, 1140, 1120), Options{})
	mirrored := visitsOf(28, 1200, 1185, 1170, 1150, 1140, 1120)
	for i := range mirrored {
		v := 1200 * 1200 / mirrored[i].VolumeML
		mirrored[i].VolumeML, mirrored[i].UML = v, 0.015*v
	}
	up := mustRun(t, mirrored, Options{})
	mirror := func(loss float64) float64 { return 100 * (1/(1-loss/100) - 1) }
	for _, loss := range []float64{3, 5, 8} {
		if a, b := down.Beyond(-loss), up.Beyond(mirror(loss)); math.Abs(a-b) > 1e-9 {
			t.Errorf("loss of %g %%: %g down, %g up", loss, a, b)
		}
		a, b := down.Crossing(-loss), up.Crossing(mirror(loss))
		if math.Abs(a.Probability-b.Probability) > 1e-9 || a.P05 != b.P05 || a.P50 != b.P50 || a.Kind != b.Kind {
			t.Errorf("crossing %g %%: %+v down, %+v up", loss, a, b)
		}
	}
}

// A gap that closes by 0.2 mm a month, in mm throughout.
func TestClearance(t *testing.T) {
	s := ClearanceSettings()
	gaps := make([]Visit, 8)
	for i := range gaps {
		gaps[i] = Visit{Date: testStart.AddDays(30 * i), VolumeML: 2 - 0.4*float64(i), UML: 0.2}
	}
	r := mustRun(t, gaps, Options{Settings: &s, LimitPercent: -4})
	check(t, r, len(gaps))
	if r.Change.Hi > -1.5 || r.Change.Lo < -3.5 || r.Slope.Estimate > -0.1 || r.Visits[7].Level.Estimate > 0 || r.Early {
		t.Errorf("change %+v mm, slope %+v, level %+v", r.Change, r.Slope, r.Visits[7].Level)
	}
	if _, err := Run([]Visit{{Date: testStart, VolumeML: 2000, UML: 1}}, Options{Settings: &s}); err == nil {
		t.Error("a gap of two metres is taken")
	}
}
