package reliability

import (
	"math"

	"fairlead/analytics/volume"
	"gonum.org/v1/gonum/stat/distuv"
)

// Prior is what is known about the sigmas before a study: their values, and how
// many degrees of freedom each is worth.
type Prior struct {
	Sigmas volume.Sigmas
	// Worth of the reading error, of placing a level, of finding the landmark, of
	// the bias of one fitter's visit and of what lasts between fitters.
	ReadingDF, LevelDF, LandmarkDF, BiasDF, LastingDF float64
}

// defaultDF is what a default is worth in degrees of freedom. The published
// errors of one fitter on intact limbs, 0.64, 0.82, 1.2 and 1.4 % of the volume
// (Tidhar et al. 2015; Lymphat Res Biol 2022), scatter by 36 % of themselves (SD
// of their logarithms), and a standard deviation that is known to 36 % is one
// from 1/(2 · 0.36²) ≈ 4 degrees of freedom.
const defaultDF = 4

// DefaultPrior is volume.DefaultSigmas, each worth four degrees of freedom.
func DefaultPrior() Prior {
	return Prior{Sigmas: volume.DefaultSigmas, ReadingDF: defaultDF, LevelDF: defaultDF, LandmarkDF: defaultDF, BiasDF: defaultDF, LastingDF: defaultDF}
}

// lasting returns the variance of what lasts between fitters, relative to girth:
// the bias between fitters without that of one fitter.
func (p Prior) lasting() float64 {
	same, between := p.Sigmas.BiasSameFitter, p.Sigmas.BiasBetweenFitters
	return math.Max(between*between-same*same, 0)
}

// Component is one standard uncertainty as a study leaves it.
type Component struct {
	Before  float64 // what held before the study
	Own     float64 // the study alone; counts only when DF is above 0
	OwnDF   float64 // what the study is worth
	InForce float64
	DF      float64 // what the value in force is worth
	Lo, Hi  float64 // its 95 % interval
	Why     Reason  // why the study tells nothing, when OwnDF is 0
}

// drawn joins what was known before, a standard deviation worth ν0 degrees of
// freedom, with a study's own variance s² worth ν:
//
//	σ² = (ν0 σ0² + ν s²) / (ν0 + ν)
//
// which is the scale of the scaled inverse chi-square distribution of σ² after
// the study when it had that form before (Gelman et al., Bayesian Data Analysis;
// from memory). A variance that comes out below zero, as differences of
// variances can, counts as zero with its full weight. The interval is that of
// the distribution.
func drawn(before, beforeDF, variance, df float64, why Reason) Component {
	c := Component{Before: before, DF: beforeDF + df, Why: why}
	if df > 0 {
		c.Own, c.OwnDF, c.Why = math.Sqrt(math.Max(variance, 0)), df, ""
	}
	c.InForce = math.Sqrt((beforeDF*before*before + df*c.Own*c.Own) / c.DF)
	chi := distuv.ChiSquared{K: c.DF}
	scale := c.DF * c.InForce * c.InForce
	c.Lo, c.Hi = math.Sqrt(scale/chi.Quantile(0.975)), math.Sqrt(scale/chi.Quantile(0.025))
	return c
}

// left is drawn for a variance that is left over after others were taken off.
// Its error does not shrink with it, so that the interval is at least as wide as
// the plan of the study makes it at the value that held before.
func left(before, beforeDF, variance, df float64, why Reason) Component {
	c := drawn(before, beforeDF, variance, df, why)
	if df > 0 {
		off := z95 * math.Sqrt(2/c.DF) * math.Max(before*before, c.InForce*c.InForce)
		c.Lo = math.Min(c.Lo, math.Sqrt(math.Max(c.InForce*c.InForce-off, 0)))
		c.Hi = math.Max(c.Hi, math.Sqrt(c.InForce*c.InForce+off))
	}
	return c
}
