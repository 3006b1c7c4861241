package main

import (
	"encoding/json"
	"io"
	"strconv"

	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
)

// The JSON of the command trend. Keys carry their units; where there is nothing
// to say is null. Figures have ten digits, as exp, log and erfc may differ in
// the last bit between machines.
type (
	trendJSON struct {
		Model        string           `json:"model"`
		Early        bool             `json:"early"`
		LogLik       *figure10        `json:"loglik"`
		Change       figure10         `json:"change_percent"`
		ChangeLo     *figure10        `json:"change_lo_percent"`
		ChangeHi     *figure10        `json:"change_hi_percent"`
		Slope        *figure10        `json:"slope_percent_per_month"`
		SlopeLo      *figure10        `json:"slope_lo"`
		SlopeHi      *figure10        `json:"slope_hi"`
		LossOver3    *figure10        `json:"p_loss_over_3"`
		GainOver3    *figure10        `json:"p_gain_over_3"`
		LossOver5    *figure10        `json:"p_loss_over_5"`
		Wild         *figure10        `json:"p_wild_now"`
		Step         *figure10        `json:"p_step_now"`
		MeasureAgain bool             `json:"measure_again"`
		Visits       []trendVisitJSON `json:"visits"`
		Steady       steadyJSON       `json:"steady"`
		TheilSen     *figure10        `json:"theil_sen_percent_per_month"`
		Forecast     forecastJSON     `json:"forecast"`
	}
	trendVisitJSON struct {
		Date     quantity.Date `json:"date"`
		VolumeML figure10      `json:"volume_ml"`
		UML      figure10      `json:"u_ml"`
		Level    figure10      `json:"level_ml"`
		LevelLo  figure10      `json:"level_lo_ml"`
		LevelHi  figure10      `json:"level_hi_ml"`
		Change   figure10      `json:"change_percent"`
		ChangeLo figure10      `json:"change_lo_percent"`
		ChangeHi figure10      `json:"change_hi_percent"`
		Weight   figure10      `json:"weight"`
	}
	steadyJSON struct {
		Verdict trend.SteadyVerdict `json:"verdict"`
		Why     string              `json:"why"`
	}
	forecastJSON struct {
		HorizonDays *int           `json:"horizon_days"`
		Limit       figure10       `json:"limit_percent"`
		Probability *figure10      `json:"probability"`
		P05         *quantity.Date `json:"p05"`
		P50         *quantity.Date `json:"p50"`
		P95         *quantity.Date `json:"p95"`
		Why         string         `json:"why"`
	}
)

// figure10 is a number that is written with ten digits.
type figure10 float64

// MarshalJSON writes the number.
func (f figure10) MarshalJSON() ([]byte, error) {
	text := strconv.FormatFloat(float64(f), 'g', 10, 64)
	if text == "-0" {
		text = "0"
	}
	return []byte(text), nil
}

func (r trendReport) writeJSON(w io.Writer) error {
	told := func(v float64, is bool) *figure10 {
		if !is {
			return nil
		}
		f := figure10(v)
		return &f
	}
	known := func(v float64) *figure10 { return told(v, r.Days > 1) }
	again := func(v float64) *figure10 { return told(v, len(r.Visits) > 1) } // a second pass is enough
	object := trendJSON{
		Model: r.Model(), Early: r.Early, LogLik: again(r.LogLik),
		Change: figure10(r.Change.Estimate), ChangeLo: known(r.Change.Lo), ChangeHi: known(r.Change.Hi),
		Slope: known(r.Slope.Estimate), SlopeLo: known(r.Slope.Lo), SlopeHi: known(r.Slope.Hi),
		LossOver3: known(r.LossOver3), GainOver3: known(r.GainOver3), LossOver5: known(r.LossOver5),
		Wild: again(r.Wild), Step: again(r.Step), MeasureAgain: r.MeasureAgain,
		TheilSen: told(r.TheilSen, r.HasTheilSen),
		Steady:   steadyJSON{r.Steadiness.Verdict, r.SteadyWhy()},
		Forecast: r.forecastJSON(),
	}
	for _, v := range r.Visits {
		object.Visits = append(object.Visits, trendVisitJSON{
			Date: v.Date, VolumeML: figure10(v.VolumeML), UML: figure10(v.UML),
			Level: figure10(v.Level.Estimate), LevelLo: figure10(v.Level.Lo), LevelHi: figure10(v.Level.Hi),
			Change: figure10(v.Change.Estimate), ChangeLo: figure10(v.Change.Lo), ChangeHi: figure10(v.Change.Hi),
			Weight: figure10(v.Weight),
		})
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object)
}

func (r trendReport) forecastJSON() forecastJSON {
	f := r.Forecast
	object := forecastJSON{Limit: figure10(f.Limit), Why: r.ForecastWhy()}
	if !f.Told() {
		return object
	}
	p := figure10(f.Probability)
	object.HorizonDays, object.Probability = &f.HorizonDays, &p
	object.P05, object.P50, object.P95 = knownDate(r.DateOf(f.P05)), knownDate(r.DateOf(f.P50)), knownDate(r.DateOf(f.P95))
	return object
}
