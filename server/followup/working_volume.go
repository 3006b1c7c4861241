package followup

import (
	"math"

	"fairlead/analytics/girth"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// VolumeWorking is a change of volume between two visits, step by step. All of
// it is for the span that both cover.
type VolumeWorking struct {
	Then, Now   VolumeOf
	Change      volume.Change
	Sigmas      volume.Sigmas // with the bias that holds for this pair as that of one fitter
	OtherFitter bool
	Doffing     *DoffingWorking // nil where the time off the prosthesis adds nothing
}

// VolumeOf is the volume at one visit.
type VolumeOf struct {
	Visit    Visit
	Levels   []LevelWorking // that the frusta stand on
	Estimate volume.Estimate
	Measured []GradientAt // the measured levels that the volume depends on
}

// LevelWorking is the girth at one level, in mm.
type LevelWorking struct {
	LevelMM  float64
	Readings []float64 // in the order of the passes; empty where the girth was interpolated
	GirthMM  float64
}

// GradientAt is what the uncertainty takes of one measured level.
type GradientAt struct {
	LevelMM         float64
	EffectivePasses float64
	MLPerMM         float64 // ∂V/∂C, through the interpolant
	Slope           float64 // of girth along the limb, mm per mm
}

// DoffingWorking is what different times off the prosthesis add to the
// uncertainty of a change.
type DoffingWorking struct {
	ThenMinutes, NowMinutes float64
	ThenPercent, NowPercent float64 // the rise expected by then
	ML                      float64
}

// Interpolated tells whether any girth was not read at this visit.
func (v VolumeOf) Interpolated() bool {
	for _, at := range v.Levels {
		if len(at.Readings) == 0 {
			return true
		}
	}
	return false
}

func workVolume(p visitPair) (Working, bool) {
	v, ok := volumeWorking(p.then, p.now)
	if !ok {
		return Working{}, false
	}
	c := v.Change
	return Working{Volume: &v}, p.has(
		expected{"change", c.ChangePercent, &c.UPercent},
		expected{"change-volume", c.ChangeML, &c.UML},
		expected{"then-volume", c.ReferenceML, nil}, expected{"now-volume", c.NowML, nil},
		expected{"from", c.FromMM, nil}, expected{"to", c.ToMM, nil},
	)
}

// volumeWorking compares two visits as volume.Compare does and keeps the steps;
// ok is false where they can't be compared.
func volumeWorking(then, now Visit) (VolumeWorking, bool) {
	a, b := then.Assessed.Residual, now.Assessed.Residual
	w := VolumeWorking{Change: volume.Compare(a, b, tapeSigmas), OtherFitter: a.OtherFitter(b)}
	if !w.Change.Comparable {
		return w, false
	}
	w.Sigmas = tapeSigmas.Between(w.OtherFitter)
	levels, err := girth.UnionLevels(a.Profile, b.Profile)
	if err != nil {
		return w, false
	}
	var okThen, okNow bool
	w.Then, okThen = volumeOf(then, levels, w.Sigmas)
	w.Now, okNow = volumeOf(now, levels, w.Sigmas)
	w.Doffing = doffing(a.MinutesOff, b.MinutesOff, w.Change.ReferenceML)
	return w, okThen && okNow
}

func volumeOf(at Visit, levels []float64, s volume.Sigmas) (VolumeOf, bool) {
	profile := at.Assessed.Residual.Profile
	estimate, err := volume.MeasureOn(profile, levels, s)
	if err != nil {
		return VolumeOf{}, false
	}
	girths, err := profile.GirthsAt(levels)
	if err != nil {
		return VolumeOf{}, false
	}
	v := VolumeOf{Visit: at, Estimate: estimate}
	for i, level := range levels {
		v.Levels = append(v.Levels, LevelWorking{LevelMM: level, Readings: readingsAt(at.Counted, level), GirthMM: girths[i]})
	}
	slopes := profile.Slopes()
	for i, measured := range profile {
		if estimate.Gradient[i] != 0 {
			v.Measured = append(v.Measured, GradientAt{measured.LevelMM, measured.EffectivePasses, estimate.Gradient[i], slopes[i]})
		}
	}
	return v, true
}

// readingsAt are the girths in mm of the readings at a level, in the order of the
// passes in which the record keeps them.
func readingsAt(readings []models.Reading, levelMM float64) []float64 {
	var girths []float64
	for _, r := range readings {
		if math.Abs(r.Level.MM()-levelMM) <= girth.SameLevelMM {
			girths = append(girths, r.Girth.MM())
		}
	}
	return girths
}

func doffing(then, now *float64, referenceML float64) *DoffingWorking {
	if then == nil || now == nil {
		return nil
	}
	a, b := volume.ExpectedRise(*then), volume.ExpectedRise(*now)
	if a == b {
		return nil
	}
	return &DoffingWorking{ThenMinutes: *then, NowMinutes: *now, ThenPercent: 100 * a, NowPercent: 100 * b, ML: math.Abs(a-b) * referenceML}
}
