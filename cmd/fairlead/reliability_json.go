package main

import (
	"encoding/json"
	"io"

	"fairlead/analytics/quantity"
	"fairlead/analytics/reliability"
)

// The JSON of the command reliability. Figures are in the unit of the values,
// which unit names where it is known; what is not defined is null, and why says
// it in words under the figure's key.
type (
	reliabilityJSON struct {
		Unit     *string  `json:"unit"`
		Subjects int      `json:"subjects"`
		Raters   []string `json:"raters"`
		Readings int      `json:"readings"`
		precisionJSON
		ICC        []iccJSON    `json:"icc"`
		ByRater    []raterJSON  `json:"by_rater"`
		Between    *betweenJSON `json:"between"`
		BetweenWhy string       `json:"between_why,omitempty"`
		Study      *studyJSON   `json:"study,omitempty"`
		Remarks    []string     `json:"remarks"`
	}
	precisionJSON struct {
		RepeatedSubjects int               `json:"repeated_subjects"`
		Mean             float64           `json:"mean"`
		TEM              *float64          `json:"tem"`
		TEMLo            *float64          `json:"tem_lo"`
		TEMHi            *float64          `json:"tem_hi"`
		TEMPercent       *float64          `json:"tem_percent"`
		TEMPercentLo     *float64          `json:"tem_percent_lo"`
		TEMPercentHi     *float64          `json:"tem_percent_hi"`
		Reliability      *float64          `json:"reliability"`
		SEM              *float64          `json:"sem"`
		SEMLo            *float64          `json:"sem_lo"`
		SEMHi            *float64          `json:"sem_hi"`
		SEMAgreement     *float64          `json:"sem_agreement"`
		MDC95            *float64          `json:"mdc95"`
		MDC95Lo          *float64          `json:"mdc95_lo"`
		MDC95Hi          *float64          `json:"mdc95_hi"`
		MDC95Agreement   *float64          `json:"mdc95_agreement"`
		Why              map[string]string `json:"why,omitempty"`
	}
	iccJSON struct {
		Name  string   `json:"name"`
		K     int      `json:"k"`
		Value *float64 `json:"value"`
		Lo    *float64 `json:"lo"`
		Hi    *float64 `json:"hi"`
		Why   string   `json:"why,omitempty"`
	}
	raterJSON struct {
		Rater string `json:"rater"`
		precisionJSON
		ICC []iccJSON `json:"icc"`
	}
	betweenJSON struct {
		TrialsAveraged int `json:"trials_averaged"`
		precisionJSON
		ICC  []iccJSON       `json:"icc"`
		Bias []raterBiasJSON `json:"bias"`
		// Pairs is null when there are too many raters.
		Pairs []pairJSON `json:"pairs"`
	}
	raterBiasJSON struct {
		Rater string   `json:"rater"`
		Bias  *float64 `json:"bias"`
	}
	pairJSON struct {
		A           string         `json:"a"`
		B           string         `json:"b"`
		FirstTrials agreementJSON  `json:"first_trials"`
		Means       *agreementJSON `json:"means"`
		Percent     *agreementJSON `json:"percent"`
	}
	agreementJSON struct {
		N       int         `json:"n"`
		Bias    figureJSON  `json:"bias"`
		SD      figureJSON  `json:"sd"`
		Lower   figureJSON  `json:"lower_limit"`
		Upper   figureJSON  `json:"upper_limit"`
		Slope   figureJSON  `json:"slope"`
		Growing bool        `json:"grows_with_size"`
		Outside int         `json:"outside"`
		Points  []pointJSON `json:"points"`
	}
	figureJSON struct {
		Value *float64 `json:"value"`
		Lo    *float64 `json:"lo"`
		Hi    *float64 `json:"hi"`
		Why   string   `json:"why,omitempty"`
	}
	pointJSON struct {
		Subject    string  `json:"subject"`
		Mean       float64 `json:"mean"`
		Difference float64 `json:"difference"`
	}
	studyJSON struct {
		Date       *quantity.Date  `json:"date"`
		Limbs      int             `json:"limbs"`
		Fitters    int             `json:"fitters"`
		Readings   int             `json:"readings"`
		Sigmas     sigmasJSON      `json:"sigmas"`
		Components []componentJSON `json:"components"`
		ByFitter   []fitterJSON    `json:"by_fitter"`
		Sees       seesJSON        `json:"sees"`
		Remarks    []string        `json:"remarks"`
	}
	sigmasJSON struct {
		ReadingMM      float64 `json:"reading_mm"`
		LevelMM        float64 `json:"level_mm"`
		LandmarkMM     float64 `json:"landmark_mm"`
		SamePercent    float64 `json:"bias_same_fitter_percent"`
		BetweenPercent float64 `json:"bias_between_fitters_percent"`
	}
	componentJSON struct {
		Name    string   `json:"name"`
		Unit    string   `json:"unit"`
		Before  float64  `json:"before"`
		Own     *float64 `json:"own"`
		OwnDF   float64  `json:"own_df"`
		InForce float64  `json:"in_force"`
		Lo      float64  `json:"lo"`
		Hi      float64  `json:"hi"`
		DF      float64  `json:"df"`
		Why     string   `json:"why,omitempty"`
	}
	fitterJSON struct {
		Fitter      string     `json:"fitter"`
		Readings    int        `json:"readings"`
		ReadingMM   figureJSON `json:"reading_mm"`
		BiasPercent figureJSON `json:"bias_percent"`
	}
	seesJSON struct {
		VolumeML                float64 `json:"volume_ml"`
		SameFitterML            float64 `json:"same_fitter_ml"`
		SameFitterPercent       float64 `json:"same_fitter_percent"`
		DifferentFittersML      float64 `json:"different_fitters_ml"`
		DifferentFittersPercent float64 `json:"different_fitters_percent"`
		Words                   string  `json:"words"`
	}
)

func (r reliabilityReport) writeJSON(w io.Writer) error {
	object := reliabilityJSON{Raters: []string{}, ICC: []iccJSON{}, ByRater: []raterJSON{}, Remarks: []string{}}
	if r.unit != "" {
		object.Unit = &r.unit
	}
	if r.Report != nil {
		object.Subjects, object.Raters, object.Readings = r.Subjects, r.Raters, r.Values
		object.precisionJSON = precisionOf(r.All)
		object.ICC = iccsOf(r.ICC())
		for _, own := range r.ByRater {
			object.ByRater = append(object.ByRater, raterJSON{own.Rater, precisionOf(own.Precision), iccsOf(own.ICC)})
		}
		if object.BetweenWhy = r.BetweenWhy.String(); r.Between != nil {
			object.Between = betweenOf(*r.Between)
		}
		for _, m := range r.Remarks {
			object.Remarks = append(object.Remarks, m.String())
		}
	}
	if r.study != nil {
		object.Study = studyOf(*r.study, r.sees)
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object)
}

func figureOf(f reliability.Figure) figureJSON {
	j := figureJSON{Why: f.Why.String()}
	if f.Defined {
		j.Value = &f.Value
	}
	if f.Bounded {
		j.Lo, j.Hi = &f.Lo, &f.Hi
	}
	return j
}

func precisionOf(p reliability.Precision) precisionJSON {
	j := precisionJSON{RepeatedSubjects: p.Subjects, Mean: p.Mean, Why: map[string]string{}}
	set := func(key string, f reliability.Figure, value, lo, hi **float64) {
		figure := figureOf(f)
		*value = figure.Value
		if lo != nil {
			*lo, *hi = figure.Lo, figure.Hi
		}
		if figure.Why != "" && (lo != nil || !f.Defined) {
			j.Why[key] = figure.Why
		}
	}
	set("tem", p.TEM, &j.TEM, &j.TEMLo, &j.TEMHi)
	set("tem_percent", p.TEMPercent, &j.TEMPercent, &j.TEMPercentLo, &j.TEMPercentHi)
	set("reliability", p.Reliability, &j.Reliability, nil, nil)
	set("sem", p.SEM, &j.SEM, &j.SEMLo, &j.SEMHi)
	set("sem_agreement", p.SEMAgreement, &j.SEMAgreement, nil, nil)
	set("mdc95", p.MDC95, &j.MDC95, &j.MDC95Lo, &j.MDC95Hi)
	set("mdc95_agreement", p.MDC95Agreement, &j.MDC95Agreement, nil, nil)
	return j
}

func iccsOf(iccs []reliability.ICC) []iccJSON {
	list := []iccJSON{}
	for _, c := range iccs {
		f := figureOf(c.Figure)
		list = append(list, iccJSON{c.Name(), c.K, f.Value, f.Lo, f.Hi, f.Why})
	}
	return list
}

func betweenOf(b reliability.BetweenReport) *betweenJSON {
	j := &betweenJSON{TrialsAveraged: b.Trials, precisionJSON: precisionOf(b.Precision), ICC: iccsOf(b.ICC), Bias: []raterBiasJSON{}}
	for _, bias := range b.Bias {
		j.Bias = append(j.Bias, raterBiasJSON{bias.Rater, figureOf(bias.Bias).Value})
	}
	for _, p := range b.Pairs {
		pair := pairJSON{A: p.A, B: p.B, FirstTrials: *agreementOf(p.First)}
		if p.Means.N > 0 {
			pair.Means = agreementOf(p.Means)
		}
		if p.Percent.N > 0 {
			pair.Percent = agreementOf(p.Percent)
		}
		j.Pairs = append(j.Pairs, pair)
	}
	return j
}

func agreementOf(a reliability.Agreement) *agreementJSON {
	j := &agreementJSON{
		N: a.N, Bias: figureOf(a.Bias), SD: figureOf(a.SD), Lower: figureOf(a.Lower), Upper: figureOf(a.Upper),
		Slope: figureOf(a.Slope), Growing: a.Growing, Outside: a.Outside, Points: []pointJSON{},
	}
	for _, p := range a.Points {
		j.Points = append(j.Points, pointJSON(p))
	}
	return j
}

func studyOf(e reliability.Estimate, s reliability.Sees) *studyJSON {
	j := &studyJSON{
		Date: knownDate(e.On), Limbs: e.Limbs, Fitters: e.Fitters, Readings: e.Readings,
		Sigmas: sigmasJSON{
			e.Sigmas.ReadingMM, e.Sigmas.LevelMM, e.Sigmas.LandmarkMM,
			100 * e.Sigmas.BiasSameFitter, 100 * e.Sigmas.BiasBetweenFitters,
		},
		ByFitter: []fitterJSON{},
		Sees: seesJSON{
			VolumeML: s.VolumeML, SameFitterML: s.SameFitterML, SameFitterPercent: s.SameFitterPercent,
			DifferentFittersML: s.TwoFittersML, DifferentFittersPercent: s.TwoFittersPercent, Words: s.String(),
		},
		Remarks: []string{},
	}
	for _, part := range studyParts(e) {
		c := componentJSON{
			Name: part.name, Unit: part.unit, Before: part.scale * part.Before, OwnDF: part.OwnDF, InForce: part.scale * part.InForce,
			Lo: part.scale * part.Lo, Hi: part.scale * part.Hi, DF: part.DF, Why: part.Why.String(),
		}
		if part.OwnDF > 0 {
			own := part.scale * part.Own
			c.Own = &own
		}
		j.Components = append(j.Components, c)
	}
	for _, f := range e.ByFitter {
		j.ByFitter = append(j.ByFitter, fitterJSON{f.Fitter, f.Readings, figureOf(f.ReadingMM), figureOf(f.BiasPercent)})
	}
	for _, m := range e.Remarks {
		j.Remarks = append(j.Remarks, m.String())
	}
	return j
}
