package followup

import (
	"slices"

	"fairlead/analytics/assess"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// TapeError says how well the workshop measures with the tape: by the newest of
// its own studies that is in use, or by the defaults of common practice.
type TapeError struct {
	Use *models.StudyUse // nil: the defaults
}

// ID names the uncertainties in the evidence of flags; empty for the defaults.
func (t TapeError) ID() string {
	if t.Use == nil {
		return ""
	}
	return t.Use.ID
}

// Sigmas are the standard uncertainties that volumes are judged by.
func (t TapeError) Sigmas() volume.Sigmas {
	if t.Use == nil {
		return volume.DefaultSigmas
	}
	return volume.Sigmas{
		ReadingMM: t.Use.ReadingMM, LevelMM: t.Use.LevelMM, LandmarkMM: t.Use.LandmarkMM,
		BiasSameFitter: t.Use.BiasSame, BiasBetweenFitters: t.Use.BiasBetween,
	}
}

// SourcePercent is what fitters differ by lastingly, in percent of a volume; 0
// where the default holds.
func (t TapeError) SourcePercent() float64 {
	if t.Use == nil {
		return 0
	}
	return t.Use.SourcePercent
}

// tapeOf is the error of the tape that the figures of a finding rest on: the one
// that held when it was found, whatever holds today. A finding that rests on none
// gets the one in force.
func (r ClientRecord) tapeOf(f assess.Finding) (TapeError, bool) {
	if !f.RestsOnSigmas() {
		return TapeError{Use: models.UseInForce(r.Uses)}, true
	}
	if f.SigmasID == "" {
		return TapeError{}, true
	}
	i := slices.IndexFunc(r.Uses, func(u models.StudyUse) bool { return u.ID == f.SigmasID })
	if i < 0 {
		return TapeError{}, false
	}
	return TapeError{Use: &r.Uses[i]}, true
}
