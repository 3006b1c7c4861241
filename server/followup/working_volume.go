package followup

import (
	"math"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// VolumeWorking is a change of volume between two visits, step by step. All of
// it is for the span that both cover.
type VolumeWorking struct {
	Then, Now   VolumeOf
	Change      volume.Change
	Sigmas      volume.Sigmas // with the bias that holds for this pair as that of one fitter
	Tape        TapeError     // whose they are
	OtherFitter bool
	Doffing     *DoffingWorking // nil where the time off the prosthesis adds nothing
	Sound       *SoundWorking   // nil where the change stands alone
}

// SoundWorking is the change of the sound limb over the same time, step by step,
// and the difference of the two changes.
type SoundWorking struct {
	Volume  VolumeWorking
	Control volume.Control
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
	v, ok := p.limb.volumeWorking(p.then, p.now, quantity.Residual)
	if !ok || !p.besideSound(&v) {
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

// besideSound adds the working of the sound limb where the finding has its
// change, and reports false where that comes to other figures.
func (p visitPair) besideSound(v *VolumeWorking) bool {
	if _, beside := p.finding.Value("sound-change"); !beside {
		return true
	}
	sound, ok := p.limb.volumeWorking(p.then, p.now, quantity.Sound)
	if !ok {
		return false
	}
	control, ok := volume.CompareToSound(v.Change, sound.Change)
	v.Sound = &SoundWorking{sound, control}
	return ok && p.has(
		expected{"sound-change", sound.Change.ChangePercent, &sound.Change.UPercent},
		expected{"beside-sound", control.DifferencePercent, &control.UPercent},
	)
}

// taped is what the tape found of a body part at a visit.
func taped(at Visit, part quantity.BodyPart) volume.Visit {
	if part == quantity.Sound {
		return at.Assessed.Sound
	}
	return at.Assessed.Residual
}

// volumeWorking compares a body part at two visits as volume.Compare does and
// keeps the steps; ok is false where they can't be compared.
func (l LimbRecord) volumeWorking(then, now Visit, part quantity.BodyPart) (VolumeWorking, bool) {
	a, b := taped(then, part), taped(now, part)
	w := VolumeWorking{Change: volume.Compare(a, b, l.Tape.Sigmas()), Tape: l.Tape, OtherFitter: a.OtherFitter(b)}
	if !w.Change.Comparable {
		return w, false
	}
	w.Sigmas = l.Tape.Sigmas().Between(w.OtherFitter)
	levels, err := girth.UnionLevels(a.Profile, b.Profile)
	if err != nil {
		return w, false
	}
	var okThen, okNow bool
	w.Then, okThen = l.volumeOf(then, part, levels, w.Sigmas)
	w.Now, okNow = l.volumeOf(now, part, levels, w.Sigmas)
	w.Doffing = doffing(a.MinutesOff, b.MinutesOff, w.Change.ReferenceML)
	return w, okThen && okNow
}

func (l LimbRecord) volumeOf(at Visit, part quantity.BodyPart, levels []float64, s volume.Sigmas) (VolumeOf, bool) {
	profile := taped(at, part).Profile
	estimate, err := volume.MeasureOn(profile, levels, s)
	if err != nil {
		return VolumeOf{}, false
	}
	girths, err := profile.GirthsAt(levels)
	if err != nil {
		return VolumeOf{}, false
	}
	v := VolumeOf{Visit: at, Estimate: estimate}
	counted := l.Counted(at.LimbVisit, part)
	for i, level := range levels {
		v.Levels = append(v.Levels, LevelWorking{LevelMM: level, Readings: readingsAt(counted, level), GirthMM: girths[i]})
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
