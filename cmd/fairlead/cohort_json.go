package main

import (
	"encoding/json"
	"io"
	"math"
	"strconv"

	"fairlead/analytics/assess"
	"fairlead/analytics/trial"
)

// The JSON of the command cohort. What was not counted, as a visit that the limbs
// don't have, is null.
type (
	cohortJSON struct {
		Limbs    int            `json:"limbs"`
		Visits   int            `json:"visits"`
		Seed     uint64         `json:"seed"`
		Kind     string         `json:"kind"`
		Methods  []methodJSON   `json:"methods"`
		Flags    flagsJSON      `json:"flags"`
		Coverage coverageJSON   `json:"coverage"`
		Crossing []crossingJSON `json:"crossing"`
		Steady   steadinessJSON `json:"steady"`
	}
	methodJSON struct {
		Name             string              `json:"name"`
		Threshold        float64             `json:"threshold"`
		FalsePer100      float64             `json:"false_per_100_limb_years"`
		FoundPercent     map[string]*float64 `json:"found_percent"`
		StepFoundPercent map[string]*float64 `json:"step_found_percent"`
	}
	flagsJSON struct {
		Soon    float64 `json:"soon"`
		Watch   float64 `json:"watch"`
		Closing float64 `json:"closing"`
	}
	coverageJSON struct {
		Change95   changeCoverageJSON   `json:"change_95"`
		Forecast90 forecastCoverageJSON `json:"forecast_90"`
	}
	changeCoverageJSON struct {
		All       *float64 `json:"all"`
		Early     *float64 `json:"early"`
		Mature    *float64 `json:"mature"`
		Visits2to *float64 `json:"visits_2_5"`
	}
	forecastCoverageJSON struct {
		All       *float64 `json:"all"`
		Early     *float64 `json:"early"`
		Mature    *float64 `json:"mature"`
		Visits4to *float64 `json:"visits_4_5"`
	}
	crossingJSON struct {
		Predicted float64 `json:"predicted"`
		Observed  float64 `json:"observed"`
		N         int     `json:"n"`
	}
	steadinessJSON struct {
		RightlyPercent map[string]*float64 `json:"rightly_percent"` // of steady limbs, by visit
		WronglyPercent map[string]*float64 `json:"wrongly_percent"` // of limbs losing 1 % a month
	}
)

func writeCohortJSON(w io.Writer, r *trial.Report) error {
	object := cohortJSON{
		Limbs: r.Options.Limbs, Visits: r.Options.Visits, Seed: r.Options.Seed, Kind: string(r.Options.Setting),
		Flags: flagsOf(r),
		Coverage: coverageJSON{
			changeCoverageJSON{
				known(r.Coverage.Change95.All.Percent()), known(r.Coverage.Change95.Early.Percent()),
				known(r.Coverage.Change95.Mature.Percent()), known(r.Coverage.Change95.Visits2to5.Percent()),
			},
			forecastCoverageJSON{
				known(r.Coverage.Forecast90.All.Percent()), known(r.Coverage.Forecast90.Early.Percent()),
				known(r.Coverage.Forecast90.Mature.Percent()), known(r.Coverage.Forecast90.Visits4to5.Percent()),
			},
		},
		Crossing: []crossingJSON{},
		Steady:   steadinessJSON{map[string]*float64{}, map[string]*float64{}},
	}
	for _, m := range r.Methods {
		method := methodJSON{m.FullName(), sixDigits(m.Threshold), m.FalsePer100, map[string]*float64{}, map[string]*float64{}}
		for i, mark := range trial.Marks {
			method.FoundPercent[strconv.Itoa(mark)] = known(m.FoundPercent[i])
		}
		for after, found := range m.StepPercent {
			method.StepFoundPercent[strconv.Itoa(after)] = known(found)
		}
		object.Methods = append(object.Methods, method)
	}
	for _, c := range r.Crossing {
		object.Crossing = append(object.Crossing, crossingJSON{sixDigits(c.Predicted), c.Observed, c.N})
	}
	for i, visit := range trial.SteadyVisits {
		object.Steady.RightlyPercent[strconv.Itoa(visit)] = known(r.Steady.Rightly[i].Percent())
		object.Steady.WronglyPercent[strconv.Itoa(visit)] = known(r.Steady.Wrongly[i].Percent())
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object)
}

// flagsOf are the flags of the rules on the course, per 100 steady limb-years.
func flagsOf(r *trial.Report) flagsJSON {
	rate := func(rule assess.Rule, level assess.Level) float64 {
		return 100 * float64(r.Flags.Opened(rule, level)) / r.FlagYears
	}
	return flagsJSON{
		Soon:    rate(assess.VolumeChange, assess.Soon),
		Watch:   rate(assess.VolumeChange, assess.Watch),
		Closing: rate(assess.VolumeClosing, assess.Watch),
	}
}

// known is nil for what was not counted.
func known(percent float64) *float64 {
	if math.IsNaN(percent) {
		return nil
	}
	return &percent
}

// sixDigits rounds to six digits, beyond which machines may differ.
func sixDigits(x float64) float64 {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64) // what was written reads back
	return rounded
}
