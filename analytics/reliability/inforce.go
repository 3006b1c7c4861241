package reliability

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// InForce returns what holds on a date: the defaults, drawn by every study up to
// that date, the oldest first; what one study leaves is what the next one starts
// from. An empty date means all studies. Without any, Studies is 0.
//
// The error is that of Study.Estimate of the first study that can't be used.
func InForce(studies []Study, on quantity.Date) (Estimate, error) {
	sorted := slices.Clone(studies)
	slices.SortStableFunc(sorted, func(a, b Study) int { return cmp.Compare(a.On, b.On) })
	e := untouched(DefaultPrior())
	for _, s := range sorted {
		if on != "" && s.On > on {
			break
		}
		next, err := s.Estimate(e.Prior())
		if err != nil {
			return Estimate{}, err
		}
		next.Studies += e.Studies
		next.profiles = append(next.profiles, e.profiles...)
		e = next
	}
	return e, nil
}

// untouched is the estimate of a workshop without a study.
func untouched(p Prior) Estimate {
	return Estimate{
		Sigmas:     p.Sigmas,
		Reading:    drawn(p.Sigmas.ReadingMM, p.ReadingDF, 0, 0, NoStudy),
		Level:      drawn(p.Sigmas.LevelMM, p.LevelDF, 0, 0, NoStudy),
		Landmark:   drawn(p.Sigmas.LandmarkMM, p.LandmarkDF, 0, 0, NoStudy),
		SameFitter: drawn(p.Sigmas.BiasSameFitter, p.BiasDF, 0, 0, NoStudy),
		Lasting:    drawn(math.Sqrt(p.lasting()), p.LastingDF, 0, 0, NoStudy),
	}
}

// Sees is the smallest change of a limb's volume that two visits can tell from
// measuring error, 1.96 √2 of the uncertainty of one (MDC95, Weir 2005), by one
// fitter and by two.
type Sees struct {
	VolumeML                        float64
	SameFitterML, SameFitterPercent float64
	TwoFittersML, TwoFittersPercent float64
	SameFitterUML, TwoFittersUML    float64 // standard uncertainty of one visit
	Limbs                           int     // of which it is the middle one; 1 for a single limb
}

// Seen returns what two visits to a limb of this profile can see. Errors as
// volume.Measure.
func Seen(p girth.Profile, s volume.Sigmas) (Sees, error) {
	same, err := volume.Measure(p, s)
	if err != nil {
		return Sees{}, err
	}
	two, err := volume.Measure(p, s.Between(true))
	if err != nil {
		return Sees{}, err
	}
	const times = z95 * math.Sqrt2
	return Sees{
		VolumeML:          same.VolumeML,
		SameFitterUML:     same.UML,
		TwoFittersUML:     two.UML,
		SameFitterML:      times * same.UML,
		SameFitterPercent: 100 * times * same.UML / same.VolumeML,
		TwoFittersML:      times * two.UML,
		TwoFittersPercent: 100 * times * two.UML / two.VolumeML,
		Limbs:             1,
	}, nil
}

// typical is a transtibial limb for a workshop that has not measured any in a
// study: girths 320 to 250 mm every 30 mm (series A of the geometry's check
// values), in two passes.
func typical() girth.Profile {
	var p girth.Profile
	for i, mm := range []float64{320, 335, 330, 310, 285, 250} {
		p = append(p, girth.Pooled{LevelMM: 30 * float64(i), GirthMM: mm, Passes: usualPasses, EffectivePasses: usualPasses})
	}
	return p
}

// Sees returns what this workshop can see on a limb of its studies, taped in two
// passes: the one in the middle of them by the percentage of one fitter.
// Without studies it is that of a limb of 1147 mL, and Limbs is 0.
func (e Estimate) Sees() (Sees, error) {
	if len(e.profiles) == 0 {
		s, err := Seen(typical(), e.Sigmas)
		s.Limbs = 0
		return s, err
	}
	all := make([]Sees, len(e.profiles))
	for i, p := range e.profiles {
		var err error
		if all[i], err = Seen(p, e.Sigmas); err != nil {
			return Sees{}, err
		}
	}
	slices.SortFunc(all, func(a, b Sees) int { return cmp.Compare(a.SameFitterPercent, b.SameFitterPercent) })
	middle := all[len(all)/2]
	middle.Limbs = len(all)
	return middle, nil
}

// String says in English what can be seen.
func (s Sees) String() string {
	of := fmt.Sprintf("a limb of %.0f mL", s.VolumeML)
	if s.Limbs > 1 {
		of = fmt.Sprintf("a limb like these (the middle one of %d has %.0f mL)", s.Limbs, s.VolumeML)
	}
	return fmt.Sprintf("on %s two visits by the same fitter can tell a change of %.1f %% (%.0f mL) from measuring error, by different fitters one of %.1f %% (%.0f mL)",
		of, s.SameFitterPercent, s.SameFitterML, s.TwoFittersPercent, s.TwoFittersML)
}
