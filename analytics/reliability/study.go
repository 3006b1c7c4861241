package reliability

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// Reading is one girth of a repeatability study.
type Reading struct {
	Subject string // the limb
	Fitter  string
	// Marks names the set of marks that was taped: a day, or a round of the same
	// day. The marks of every fitter and round must have been made afresh, or the
	// error of placing them is not in the data.
	Marks   string
	LevelMM float64
	Pass    int // over the same marks, from 1
	GirthMM float64
}

// Study is a repeatability study. Ordinary visits can stand in one too, each as
// a subject of its own: they tell the reading error and nothing else.
type Study struct {
	On       quantity.Date
	Readings []Reading
}

// ErrBadReading is wrapped by the errors of a study's readings.
var ErrBadReading = errors.New("reliability: bad reading")

// levelsPerMM is how many levels a millimetre has, so that those of two
// rounds are the same: lengths are recorded to it.
const levelsPerMM = 10

func roundLevel(mm float64) float64 { return math.Round(mm*levelsPerMM) / levelsPerMM }

// occasion is one fitter's taping of one limb on one set of marks.
type occasion struct {
	subject, fitter, marks string
	readings               []girth.Reading
	profile                girth.Profile
}

// limb is what a study knows about one limb.
type limb struct {
	subject   string
	occasions []occasion
	levels    []float64 // that every occasion has
}

// limbs gathers the readings, by subject, fitter and marks in the order of the
// alphabet.
func (s Study) limbs() ([]limb, error) {
	type key struct{ subject, fitter, marks string }
	of := map[key][]girth.Reading{}
	for _, r := range s.Readings {
		k := key{r.Subject, r.Fitter, r.Marks}
		of[k] = append(of[k], girth.Reading{LevelMM: roundLevel(r.LevelMM), Pass: r.Pass, GirthMM: r.GirthMM})
	}
	keys := slices.SortedFunc(maps.Keys(of), func(a, b key) int {
		return cmp.Or(cmp.Compare(a.subject, b.subject), cmp.Compare(a.fitter, b.fitter), cmp.Compare(a.marks, b.marks))
	})
	var limbs []limb
	for _, k := range keys {
		profile, err := girth.Pool(of[k])
		if err != nil {
			return nil, fmt.Errorf("%w: limb %q, fitter %q, marks %q: %w", ErrBadReading, k.subject, k.fitter, k.marks, err)
		}
		if len(limbs) == 0 || limbs[len(limbs)-1].subject != k.subject {
			limbs = append(limbs, limb{subject: k.subject, levels: profile.Levels()})
		}
		l := &limbs[len(limbs)-1]
		l.occasions = append(l.occasions, occasion{k.subject, k.fitter, k.marks, of[k], profile})
		own := profile.Levels()
		l.levels = slices.DeleteFunc(l.levels, func(level float64) bool { return !slices.Contains(own, level) })
	}
	return limbs, nil
}

// at returns the pooled girths of an occasion at some of its levels.
func (o occasion) at(levels []float64) girth.Profile {
	var p girth.Profile
	for _, pooled := range o.profile {
		if slices.Contains(levels, pooled.LevelMM) {
			p = append(p, pooled)
		}
	}
	return p
}

// usable tells that the limb has a span that every occasion covers.
func (l limb) usable() bool { return len(l.levels) >= 2 }

// mean returns the mean profile of all occasions on the common levels, as two
// passes would give it.
func (l limb) mean() girth.Profile {
	p := make(girth.Profile, len(l.levels))
	for i, level := range l.levels {
		p[i] = girth.Pooled{LevelMM: level, Passes: usualPasses, EffectivePasses: usualPasses}
	}
	for _, o := range l.occasions {
		for i, at := range o.at(l.levels) {
			p[i].GirthMM += at.GirthMM / float64(len(l.occasions))
		}
	}
	return p
}

// usualPasses is how many passes a visit has.
const usualPasses = 2

// Volumes returns the volume in millilitres of every occasion over the levels
// that all occasions of its limb have, for Analyse: fitters are the raters, sets
// of marks the trials, numbered in the order of their names. Limbs without two
// common levels are left out.
func (s Study) Volumes() ([]Value, error) {
	limbs, err := s.limbs()
	if err != nil {
		return nil, err
	}
	var values []Value
	for _, l := range limbs {
		if !l.usable() {
			continue
		}
		trials := map[string]int{} // by fitter
		for _, o := range l.occasions {
			e, err := volume.Measure(o.at(l.levels), volume.DefaultSigmas)
			if err != nil {
				return nil, fmt.Errorf("reliability: limb %q: %w", l.subject, err)
			}
			trials[o.fitter]++
			values = append(values, Value{Subject: l.subject, Rater: o.fitter, Trial: trials[o.fitter], Value: e.VolumeML})
		}
	}
	return values, nil
}
