package followup

import (
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
)

// CourseWorking is what the course of a volume rests on and what it comes to. The
// filter between the two takes a computer; a probability of its explanations can be
// added up by hand.
type CourseWorking struct {
	Volumes []CourseVolume
	Tape    TapeError     // whose uncertainties of the tape they have
	Change  trend.Moments // 100 ln of the ratio to the first visit
	Slope   trend.Interval
	// Parts are the explanations Days after the newest visit, and Beyond the
	// probability that the change is then beyond Percent, below 0 for a loss; Edge
	// is 100 ln(1 + Percent/100).
	Parts   []trend.Part
	Days    int
	Percent float64
	Edge    float64
	Beyond  float64
	// Slip and Step are the probabilities of the newest reading.
	Slip, Step float64
}

// CourseVolume is one volume of a series.
type CourseVolume struct {
	On           quantity.Date
	VisitID      string
	MeasuredBy   string // person id
	Round        int
	Rounds       int // of the visit
	VolumeML     float64
	UML          float64
	Log          float64 // 100 ln of the ratio to the first
	SlipPercent  float64 // probability that it is a slip
	LevelML      float64 // smoothed
	LevelLoML    float64
	LevelHiML    float64
	SmoothChange trend.Interval // percent
}

func workCourse(p visitPair) (Working, bool) {
	h, err := p.history()
	if err != nil {
		return Working{}, false
	}
	series, ok := h.Series()
	if !ok || series.Base.ID != p.then.Checkin.ID {
		return Working{}, false
	}
	result, err := series.Run(trend.DefaultLimitPercent)
	if err != nil {
		return Working{}, false
	}
	w := CourseWorking{Volumes: CourseVolumes(series, result), Tape: p.limb.Tape, Change: result.ChangeLog, Slope: result.Slope, Slip: result.Wild, Step: result.Step}
	wants := []expected{}
	switch p.finding.Rule {
	case assess.VolumeSlope:
		wants = append(wants, expected{"slope", w.Slope.Estimate, nil})
	case assess.MeasureAgainRule:
		wants = append(wants, expected{"probability", 100 * (w.Slip + w.Step), nil})
	case assess.VolumeClosing:
		w.closing(result, p.finding.Way()*p.finding.Limit.Value)
		wants = append(wants, expected{"probability", 100 * w.Beyond, nil})
	default:
		beyond, _ := p.finding.Value("beyond")
		w.beyond(result, 0, math.Copysign(beyond.Value, w.Change.Mean))
		wants = append(wants, expected{"change-log", w.Change.Mean, &w.Change.SD}, expected{"probability", 100 * w.Beyond, nil})
	}
	return Working{Course: &w}, p.has(wants...)
}

// beyond sets the explanations and the probability of a change so many days ahead.
func (w *CourseWorking) beyond(result *trend.Result, days int, percent float64) {
	w.Parts, w.Days, w.Percent = result.Parts(float64(days)), days, percent
	w.Edge = 100 * math.Log1p(percent/100)
	w.Beyond = 0
	for _, part := range w.Parts {
		w.Beyond += part.Weight * PartBeyond(part, w.Edge, percent < 0)
	}
}

// closing looks for the day of the horizon on which the limit is passed with the
// greatest probability.
func (w *CourseWorking) closing(result *trend.Result, percent float64) {
	var most CourseWorking
	for day := range result.Crossing(percent).HorizonDays + 1 {
		at := *w
		at.beyond(result, day, percent)
		if at.Beyond > most.Beyond {
			most = at
		}
	}
	*w = most
}

// PartBeyond is the probability of one explanation that the change is beyond an
// edge, both on the scale of the model.
func PartBeyond(p trend.Part, edge float64, below bool) float64 {
	z := (edge - p.Mean) / p.SD
	if !below {
		z = -z
	}
	return 0.5 * math.Erfc(-z/math.Sqrt2)
}

// CourseVolumes puts the volumes of a series beside what became of them.
func CourseVolumes(series assess.Series, result *trend.Result) []CourseVolume {
	first := series.Volumes[0].Volume.VolumeML
	volumes := make([]CourseVolume, len(result.Visits))
	for i, at := range result.Visits {
		of := series.Volumes[at.Index]
		rounds := 1
		if of.Of.MeasuredTwice() {
			rounds = 2
		}
		volumes[i] = CourseVolume{
			On: at.Date, VisitID: of.Of.ID, MeasuredBy: of.Of.Residual.Fitter, Round: of.Round, Rounds: rounds,
			VolumeML: at.VolumeML, UML: at.UML, Log: 100 * math.Log(at.VolumeML/first),
			SlipPercent: 100 * (1 - at.Weight),
			LevelML:     at.Level.Estimate, LevelLoML: at.Level.Lo, LevelHiML: at.Level.Hi, SmoothChange: at.Change,
		}
	}
	return volumes
}

// history is that of the limb as the finding saw it: up to its visit, counted from
// the one that it was compared with, in the versions that it names.
func (p visitPair) history() (assess.History, error) {
	h, err := p.limb.History(p.then.Checkin.ID)
	if err != nil {
		return h, err
	}
	h.Visits = slices.DeleteFunc(slices.Clone(h.Visits), func(v assess.Visit) bool {
		return v.At > p.now.Assessed.At || slices.Contains(p.others, v.ID)
	})
	for _, named := range []Visit{p.then, p.now} {
		h.Visits = slices.DeleteFunc(h.Visits, func(v assess.Visit) bool { return v.ID == named.Checkin.ID })
		h.Visits = append(h.Visits, named.Assessed)
	}
	return h, nil
}
