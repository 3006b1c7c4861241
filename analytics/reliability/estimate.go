package reliability

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// Estimate is what a workshop's studies say about its own measuring error, and
// the sigmas that hold from then on.
type Estimate struct {
	Sigmas  volume.Sigmas
	Studies int           // 0: the defaults
	On      quantity.Date // of the newest study

	// Reading is σr in mm: between passes over the same marks.
	Reading Component
	// Level is σz in mm, through the slope of girth along the limb: what levels
	// marked afresh differ by beyond the reading error, once what all levels of
	// the visit share is taken out. Where girth hardly changes along the limb it
	// does not show, and the study is worth little.
	Level Component
	// Landmark is σL in mm and SameFitter β of one fitter, a fraction of girth.
	// Both move a whole visit. Apart says that the shapes of the limbs told them
	// apart; otherwise both are moved by the factor by which the study's visits
	// differ from what was expected of them.
	Landmark, SameFitter Component
	Apart                bool
	// Lasting is what fitters differ by as a whole, a fraction of girth, beyond
	// one fitter's visits. With SameFitter it makes β between fitters.
	Lasting Component

	// What the newest study holds.
	Limbs, Fitters, Readings int
	ByFitter                 []FitterError
	Remarks                  []StudyRemark

	profiles []girth.Profile // mean of each usable limb
}

// FitterError is one fitter's part in a study.
type FitterError struct {
	Fitter   string
	Readings int
	// ReadingMM is the fitter's own reading error.
	ReadingMM Figure
	// BiasPercent is how much larger the fitter tapes girths than all fitters of
	// the study together, in percent. It has no interval.
	BiasPercent Figure
}

// Prior returns what the estimate is worth for the next study.
func (e Estimate) Prior() Prior {
	return Prior{Sigmas: e.Sigmas, ReadingDF: e.Reading.DF, LevelDF: e.Level.DF, LandmarkDF: e.Landmark.DF, BiasDF: e.SameFitter.DF, LastingDF: e.Lasting.DF}
}

// Estimate draws the prior towards what the study shows. See the fields of
// Estimate for what can be told apart and what can't.
//
// The error wraps ErrBadReading, or ErrNoValues for a study without readings.
func (s Study) Estimate(prior Prior) (Estimate, error) {
	limbs, err := s.limbs()
	if err != nil {
		return Estimate{}, err
	}
	if len(limbs) == 0 {
		return Estimate{}, ErrNoValues
	}
	e := Estimate{Studies: 1, On: s.On, Limbs: len(limbs), Readings: len(s.Readings)}
	e.readingError(limbs, prior)
	var usable []limb
	for _, l := range limbs {
		if l.usable() {
			usable = append(usable, l)
			e.profiles = append(e.profiles, l.mean())
		}
	}
	blocks, sameDay := blocksOf(usable)
	e.placingError(blocks, prior)
	visits, err := newVisits(blocks, e.Reading.InForce, e.Level.InForce, prior.Sigmas)
	if err != nil {
		return Estimate{}, tooFarApart(err)
	}
	e.visitError(blocks, visits, prior)
	e.lastingError(visits, prior)
	e.Sigmas = volume.Sigmas{
		ReadingMM:          e.Reading.InForce,
		LevelMM:            e.Level.InForce,
		LandmarkMM:         e.Landmark.InForce,
		BiasSameFitter:     e.SameFitter.InForce,
		BiasBetweenFitters: math.Hypot(e.SameFitter.InForce, e.Lasting.InForce),
	}
	e.remark(limbs, len(usable), sameDay)
	if err := e.Sigmas.Validate(); err != nil {
		return Estimate{}, tooFarApart(err)
	}
	return e, nil
}

func tooFarApart(err error) error {
	return fmt.Errorf("%w: these girths are too far apart to be of the same limbs (%w)", ErrBadReading, err)
}

// readingError pools what passes over the same marks differ by.
func (e *Estimate) readingError(limbs []limb, prior Prior) {
	type sum struct {
		ss           float64
		df, readings int
	}
	of := map[string]*sum{}
	var all sum
	for _, l := range limbs {
		for _, o := range l.occasions {
			own := of[o.fitter]
			if own == nil {
				own = &sum{}
				of[o.fitter] = own
			}
			ss, df := o.betweenPasses()
			own.ss, own.df, own.readings = own.ss+ss, own.df+df, own.readings+len(o.readings)
			all.ss, all.df = all.ss+ss, all.df+df
		}
	}
	e.Reading = drawn(prior.Sigmas.ReadingMM, prior.ReadingDF, all.ss/math.Max(float64(all.df), 1), float64(all.df), NoSecondPass)
	e.Fitters = len(of)
	for _, fitter := range slices.Sorted(maps.Keys(of)) {
		own := of[fitter]
		figure := deviation(own.ss, own.df)
		if own.df == 0 {
			figure = undefined(NoSecondPass)
		}
		e.ByFitter = append(e.ByFitter, FitterError{Fitter: fitter, Readings: own.readings, ReadingMM: figure, BiasPercent: undefined(OneRater)})
	}
}

// betweenPasses returns the sum of squares of the passes around their mean at
// each level.
func (o occasion) betweenPasses() (ss float64, df int) {
	for _, at := range o.profile {
		var girths []float64
		for _, r := range o.readings {
			if math.Abs(r.LevelMM-at.LevelMM) <= girth.SameLevelMM {
				girths = append(girths, r.GirthMM)
			}
		}
		if len(girths) > 1 {
			_, variance := meanVariance(girths)
			ss += variance * float64(len(girths)-1)
			df += len(girths) - 1
		}
	}
	return ss, df
}
