package reliability

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// z95 is half of a 95 % interval in standard deviations, as the sources print it.
const z95 = 1.96

// Figure is a number with its 95 % interval. Value counts only when Defined, Lo
// and Hi only when Bounded; Why says what is missing. Nothing in it is ever NaN
// or infinite.
type Figure struct {
	Value, Lo, Hi    float64
	Defined, Bounded bool
	Why              Reason
}

// defined returns a figure without an interval, and why it has none.
func defined(value float64, why Reason) Figure {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return undefined(NotComputable)
	}
	return Figure{Value: value, Defined: true, Why: why}
}

// undefined returns a figure that the data do not allow.
func undefined(why Reason) Figure { return Figure{Why: why} }

// within returns a figure with its interval; without one when the bounds can't
// be computed, or leave out the value, as the approximate interval of ICC(2,1)
// can where the value is far below zero.
func within(value, lo, hi float64) Figure {
	f := defined(value, "")
	if !f.Defined {
		return f
	}
	slack := negligible * math.Max(1, math.Abs(value))
	if !(lo <= value+slack && value <= hi+slack) || math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		f.Why = NotComputable
		return f
	}
	f.Lo, f.Hi, f.Bounded = lo, hi, true
	return f
}

// scaled returns the figure times a positive factor.
func (f Figure) scaled(by float64) Figure {
	switch {
	case !f.Defined:
		return f
	case f.Bounded:
		return within(f.Value*by, f.Lo*by, f.Hi*by)
	}
	return defined(f.Value*by, f.Why)
}

// deviation returns the standard deviation behind a sum of squares with its
// interval by the chi-square distribution, √(SS/χ²): exact for normal errors.
func deviation(ss float64, df int) Figure {
	switch {
	case df < 1:
		return undefined(NoRepeats)
	case ss == 0:
		return defined(0, NoError)
	}
	chi := distuv.ChiSquared{K: float64(df)}
	return within(math.Sqrt(ss/float64(df)), math.Sqrt(ss/chi.Quantile(0.975)), math.Sqrt(ss/chi.Quantile(0.025)))
}

// t975 returns the 97.5 % quantile of Student's t.
func t975(df int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Quantile(0.975)
}

// f975 returns the 97.5 % quantile of F.
func f975(df1, df2 float64) float64 { return distuv.F{D1: df1, D2: df2}.Quantile(0.975) }

// Reason says why a figure, or a part of it, is missing; String says it in
// English.
type Reason string

// The reasons.
const (
	NoRepeats      Reason = "no-repeats"
	FewSubjects    Reason = "few-subjects"
	OneColumn      Reason = "one-column"
	NoComplete     Reason = "no-complete"
	AllEqual       Reason = "all-equal"
	NoError        Reason = "no-error"
	NotPositive    Reason = "not-positive"
	SubjectsAlike  Reason = "subjects-alike"
	OneRater       Reason = "one-rater"
	TooManyRaters  Reason = "too-many-raters"
	Disconnected   Reason = "disconnected"
	NotComputable  Reason = "not-computable"
	ErrorUnbounded Reason = "no-interval"
	FewPairs       Reason = "few-pairs"
	NoStudy        Reason = "no-study"
	NoSecondPass   Reason = "no-second-pass"
	PlacingUnseen  Reason = "placing-unseen"
	VisitsUnseen   Reason = "visits-unseen"
)

var reasonSentences = map[Reason]string{
	NoRepeats:      "no subject was measured twice",
	FewSubjects:    "it needs two subjects or more with all their values",
	OneColumn:      "it needs two values of each subject",
	NoComplete:     "fewer than two subjects have a value of every rater and trial",
	AllEqual:       "all values are equal, which tells nothing apart",
	NoError:        "repeated values are all equal: an error of zero has no interval, and the values may be rounded too far to show one",
	NotPositive:    "a percentage needs values above zero",
	SubjectsAlike:  "the subjects differ too little from one another",
	OneRater:       "there is only one rater",
	TooManyRaters:  "there are too many raters or trials for it",
	Disconnected:   "too few values are left once subjects and raters are accounted for",
	NotComputable:  "it can't be computed from these values",
	ErrorUnbounded: "no interval is known for it",
	FewPairs:       "it needs two subjects or more that both have measured",
	NoStudy:        "there is no study yet",
	NoSecondPass:   "nothing was read twice on the same marks",
	PlacingUnseen:  "no limb was marked afresh at three levels or more where its girth changes",
	VisitsUnseen:   "no limb was marked afresh",
}

// String returns the reason as an English clause without a full stop.
func (r Reason) String() string { return reasonSentences[r] }
