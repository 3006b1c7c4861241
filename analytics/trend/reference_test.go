package trend

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"fairlead/analytics/quantity"
)

// example is one series of trend_examples.json, made by the reference
// implementation of the method (COMPUTED; ten digits).
type example struct {
	Name  string
	Input []struct {
		Date           quantity.Date
		VolumeML       float64 `json:"volume_ml"`
		UML            float64 `json:"u_ml"`
		Method, Fitter string
	}
	LimitPercent float64 `json:"limit_percent"`
	Derived      struct {
		Days   []float64 `json:"t_days"`
		Source []int     `json:"source_index"`
		Weeks  float64   `json:"weeks_since_amputation_at_first"`
	}
	Output struct {
		LogLik      float64 `json:"loglik"`
		Early       bool
		ChangeLog   float64            `json:"change_log"`
		ChangeLogSD float64            `json:"change_log_sd"`
		Change      float64            `json:"change_percent"`
		ChangeLo    float64            `json:"change_lo_percent"`
		ChangeHi    float64            `json:"change_hi_percent"`
		Slope       float64            `json:"slope_percent_per_month"`
		SlopeSD     float64            `json:"slope_sd"`
		SlopeLo     float64            `json:"slope_lo"`
		SlopeHi     float64            `json:"slope_hi"`
		Loss3       float64            `json:"p_loss_over_3"`
		Gain3       float64            `json:"p_gain_over_3"`
		Loss5       float64            `json:"p_loss_over_5"`
		Wild        float64            `json:"p_wild_now"`
		Step        float64            `json:"p_step_now"`
		Shape       map[string]float64 `json:"shape_probability"`
		Grid        []float64          `json:"grid_probability"`
		Visits      []struct {
			LevelLog      float64 `json:"level_log"`
			LevelLogSD    float64 `json:"level_log_sd"`
			Level         float64 `json:"level_ml"`
			LevelLo       float64 `json:"level_lo_ml"`
			LevelHi       float64 `json:"level_hi_ml"`
			Change        float64 `json:"change_percent"`
			ChangeLo      float64 `json:"change_lo_percent"`
			ChangeHi      float64 `json:"change_hi_percent"`
			Weight        float64
			FilteredLog   float64 `json:"filtered_change_log"`
			FilteredLogSD float64 `json:"filtered_change_log_sd"`
		}
		Forecast struct {
			HorizonDays   int `json:"horizon_days"`
			Probability   float64
			P05, P50, P95 *quantity.Date
			Why           string
			Change        *float64 `json:"level_at_horizon_change_log"`
			SD            *float64 `json:"level_at_horizon_sd"`
			P05Days       *int     `json:"p05_days"`
		}
		Steady   struct{ Verdict, Why string }
		TheilSen float64 `json:"theil_sen_percent_per_month"`
	}
	OneStep *struct {
		DtDays float64 `json:"dt_days"`
		F, Q   [][]float64
	} `json:"one_step"`
	AfterSecond *struct {
		Weights [][]float64   `json:"weights_grid_by_label"`
		Means   [][][]float64 `json:"means"`
	} `json:"after_second_visit"`
	Plain *struct {
		LogLik float64     `json:"loglik_given_first"`
		Mean   []float64   `json:"final_mean"`
		Cov    [][]float64 `json:"final_cov"`
	} `json:"plain_kalman_one_grid_point"`
}

func examples(t *testing.T) []example {
	t.Helper()
	content, err := os.ReadFile("../../testdata/reference/trend_examples.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Examples []example }
	if err := json.Unmarshal(content, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Examples) != 3 {
		t.Fatalf("%d examples, want 3", len(file.Examples))
	}
	return file.Examples
}

func (e example) visits() []Visit {
	visits := make([]Visit, len(e.Input))
	for i, v := range e.Input {
		visits[i] = Visit{Date: v.Date, VolumeML: v.VolumeML, UML: v.UML, Source: SourceOf(v.Method, v.Fitter, "")}
	}
	return visits
}

// The tolerances of the check values, relative to the larger of the value and 1.
const (
	filterTolerance = 1e-8
	smoothTolerance = 1e-6
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*math.Max(1, math.Abs(want))) {
		t.Errorf("%s = %.12g, want %.12g", what, got, want)
	}
}

func TestReferenceExamples(t *testing.T) {
	for _, e := range examples(t) {
		t.Run(e.Name, func(t *testing.T) {
			r, err := Run(e.visits(), Options{WeeksSinceAmputation: e.Derived.Weeks, LimitPercent: e.LimitPercent})
			if err != nil {
				t.Fatal(err)
			}
			compareState(t, r, e)
			compareVisits(t, r, e)
			compareForecast(t, r, e)
			if r.Early != e.Output.Early {
				t.Errorf("early %v, want %v", r.Early, e.Output.Early)
			}
			if got := string(r.Steadiness.Verdict); got != e.Output.Steady.Verdict || r.SteadyWhy() != e.Output.Steady.Why {
				t.Errorf("steady: %q, %q; want %q, %q", got, r.SteadyWhy(), e.Output.Steady.Verdict, e.Output.Steady.Why)
			}
		})
	}
}

func compareState(t *testing.T, r *Result, e example) {
	t.Helper()
	want := e.Output
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"log-likelihood", r.LogLik, want.LogLik},
		{"change", r.ChangeLog.Mean, want.ChangeLog},
		{"change SD", r.ChangeLog.SD, want.ChangeLogSD},
		{"change %", r.Change.Estimate, want.Change},
		{"change % low", r.Change.Lo, want.ChangeLo},
		{"change % high", r.Change.Hi, want.ChangeHi},
		{"slope", r.Slope.Estimate, want.Slope},
		{"slope SD", r.filter.Slope().SD, want.SlopeSD},
		{"slope low", r.Slope.Lo, want.SlopeLo},
		{"slope high", r.Slope.Hi, want.SlopeHi},
		{"P(loss > 3)", r.LossOver3, want.Loss3},
		{"P(gain > 3)", r.GainOver3, want.Gain3},
		{"P(loss > 5)", r.LossOver5, want.Loss5},
		{"P(wild)", r.Wild, want.Wild},
		{"P(step)", r.Step, want.Step},
		{"log shape", r.LogShape, want.Shape["log"]},
		{"decay shape", r.DecayShape, want.Shape["decay"]},
		{"Theil–Sen", r.TheilSen, want.TheilSen},
	} {
		near(t, c.what, c.got, c.want, filterTolerance)
	}
	if len(r.filter.points) != len(want.Grid) {
		t.Fatalf("%d points, want %d", len(r.filter.points), len(want.Grid))
	}
	for g, p := range want.Grid {
		near(t, "weight of a point", r.filter.pointWeight(g), p, filterTolerance)
	}
}

func compareVisits(t *testing.T, r *Result, e example) {
	t.Helper()
	if len(r.Visits) != len(e.Output.Visits) {
		t.Fatalf("%d visits, want %d", len(r.Visits), len(e.Output.Visits))
	}
	for i, want := range e.Output.Visits {
		v := r.Visits[i]
		near(t, "filtered change", v.Filtered.ChangeLog.Mean, want.FilteredLog, filterTolerance)
		near(t, "filtered SD", v.Filtered.ChangeLog.SD, want.FilteredLogSD, filterTolerance)
		near(t, "weight", v.Weight, want.Weight, filterTolerance)
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"level", v.Level.Estimate, want.Level}, {"level low", v.Level.Lo, want.LevelLo}, {"level high", v.Level.Hi, want.LevelHi},
			{"change", v.Change.Estimate, want.Change}, {"change low", v.Change.Lo, want.ChangeLo}, {"change high", v.Change.Hi, want.ChangeHi},
		} {
			near(t, "smoothed "+c.what, c.got, c.want, smoothTolerance)
		}
	}
}

func compareForecast(t *testing.T, r *Result, e example) {
	t.Helper()
	got, want := r.Forecast, e.Output.Forecast
	if got.HorizonDays != want.HorizonDays {
		t.Errorf("horizon %d days, want %d", got.HorizonDays, want.HorizonDays)
	}
	near(t, "crossing probability", got.Probability, want.Probability, filterTolerance)
	for _, q := range []struct {
		day  int
		want *quantity.Date
	}{{got.P05, want.P05}, {got.P50, want.P50}, {got.P95, want.P95}} {
		var date quantity.Date
		if q.want != nil {
			date = *q.want
		}
		if r.DateOf(q.day) != date {
			t.Errorf("crossing day %d is %q, want %q", q.day, r.DateOf(q.day), date)
		}
	}
	if why := r.ForecastWhy(); why != want.Why {
		t.Errorf("forecast why %q, want %q", why, want.Why)
	}
	if want.Change != nil {
		m := r.filter.AfterDays(float64(got.HorizonDays))
		near(t, "change at the horizon", m.Mean, *want.Change, filterTolerance)
		near(t, "SD at the horizon", m.SD, *want.SD, filterTolerance)
	}
}

// feed adds the visits of an example to a filter.
func feed(t *testing.T, f *Filter, visits []Visit) {
	t.Helper()
	readings, _, err := inOrder(visits)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range readings {
		if err := f.Add(r); err != nil {
			t.Fatal(err)
		}
	}
}

func TestReferenceComponentsAfterSecondVisit(t *testing.T) {
	e := examples(t)[0]
	f := mustFilter(t, DefaultSettings())
	feed(t, f, e.visits()[:2])
	shift := 100 * math.Log(e.Input[0].VolumeML) // our baseline is relative to the first reading
	for g, byLabel := range e.AfterSecond.Weights {
		for k, want := range byLabel {
			c := f.mixture[labels*g+k]
			near(t, "weight", c.weight, want, filterTolerance)
			for i, m := range e.AfterSecond.Means[g][k] {
				if i == baseline {
					m -= shift
				}
				near(t, "mean", c.mean[i], m, 2e-7) // of 709.x the file gives seven decimals
			}
		}
	}
}

func TestReferenceTransition(t *testing.T) {
	e := examples(t)[0]
	s := DefaultSettings()
	p := point{slopeVar: 0.8 * 0.8, driftVar: s.DriftSD * s.DriftSD, dayVar: 0.4 * 0.4}
	span := s.over(e.OneStep.DtDays)
	tr := p.over(&span, 0)
	near(t, "F01", tr.gain, e.OneStep.F[0][1], 1e-9)
	near(t, "F11", tr.keep, e.OneStep.F[1][1], 1e-9)
	near(t, "F22", tr.stay, e.OneStep.F[2][2], 1e-9)
	near(t, "Q00", tr.q00, e.OneStep.Q[0][0], 1e-9)
	near(t, "Q01", tr.q01, e.OneStep.Q[0][1], 1e-9)
	near(t, "Q11", tr.q11, e.OneStep.Q[1][1], 1e-9)
	near(t, "Q22", tr.q22, e.OneStep.Q[2][2], 1e-9)
}

// onePoint is a plain Kalman filter: one point of the grid, labels off.
func onePoint(slopeSD, driftSD, daySD float64) Settings {
	s := DefaultSettings()
	s.SlopeSDs, s.DayToDaySDs, s.DriftSD = []float64{slopeSD}, []float64{daySD}, driftSD
	s.WildPrior, s.StepRate = 0, 0
	return s
}

func mustFilter(t testing.TB, s Settings) *Filter {
	t.Helper()
	f, err := NewFilter(s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestReferencePlainKalman(t *testing.T) {
	e := examples(t)[0]
	f := mustFilter(t, onePoint(0.8, 0.1, 0.9))
	feed(t, f, e.visits())
	near(t, "log-likelihood", f.LogLik(), e.Plain.LogLik, filterTolerance)
	c := f.mixture[ordinary]
	for i, want := range e.Plain.Mean {
		if i == baseline {
			want -= 100 * math.Log(e.Input[0].VolumeML)
		}
		near(t, "mean", c.mean[i], want, 1e-7)
		for j, want := range e.Plain.Cov[i] {
			near(t, "covariance", c.cov[at(max(i, j), min(i, j))], want, filterTolerance)
		}
	}
}
