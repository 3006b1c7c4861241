package volume

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"fairlead/analytics/girth"
)

// Why is the reason of a verdict as a code with figures, so that it can be said
// in any language. String says it in English.
type Why struct {
	Code    string
	Figures map[string]float64
}

// The codes of Why. The first four come with the figures change_percent,
// lo_percent and hi_percent; the others, which say why two visits are not
// comparable, come with none.
const (
	WhyWithin     = "within-measuring-error"
	WhySmaller    = "smaller-beyond-error"
	WhyLarger     = "larger-beyond-error"
	WhyUnresolved = "large-but-unresolved"

	WhyLandmark      = "landmark"
	WhyPlanReference = "plan-reference"
	WhyCap           = "cap"
	WhyRevision      = "revision"
	WhyDevice        = "device"
	WhyPosture       = "posture"
	WhyTooFewLevels  = "too-few-levels"
	WhyNoSharedSpan  = "no-shared-span"
	WhyBadSigmas     = "bad-uncertainty"
)

// The names of the figures of Why.
const (
	FigureChange = "change_percent"
	FigureLo     = "lo_percent"
	FigureHi     = "hi_percent"
)

var whySentences = map[string]string{
	WhyLandmark:      "the zero landmark differs between the two visits",
	WhyPlanReference: "the measuring plan starts from another reference",
	WhyCap:           "the distal cap is modelled differently",
	WhyRevision:      "the limb was operated on in between",
	WhyDevice:        "the two visits were measured with different devices",
	WhyPosture:       "the limb was held in another posture",
	WhyTooFewLevels:  "a volume needs girths at two levels or more on both visits",
	WhyNoSharedSpan:  "the two visits have no length of limb in common",
	WhyBadSigmas:     "the measuring uncertainties are not usable",
}

// String returns the reason as an English clause without a full stop.
func (w Why) String() string {
	change, lo, hi := Signed(w.Figures[FigureChange]), Signed(w.Figures[FigureLo]), Signed(w.Figures[FigureHi])
	switch w.Code {
	case WhyWithin:
		return fmt.Sprintf("the difference of %s %% is within measuring error: between %s and %s %%", change, lo, hi)
	case WhySmaller, WhyLarger:
		return fmt.Sprintf("the difference of %s %% is beyond measuring error: between %s and %s %%", change, lo, hi)
	case WhyUnresolved:
		return fmt.Sprintf("can't be told from measuring error: between %s and %s %%; measure again before the client leaves", lo, hi)
	}
	return whySentences[w.Code]
}

// Signed writes a change with one decimal, its sign and a real minus sign. What
// rounds to zero has no sign.
func Signed(change float64) string {
	if math.Abs(change) < 0.05 {
		return "0.0"
	}
	return strings.Replace(fmt.Sprintf("%+.1f", change), "-", "−", 1)
}

// changeWhy returns the reason of a comparable change.
func changeWhy(c Change) Why {
	code := map[Verdict]string{
		NoChange:   WhyWithin,
		Smaller:    WhySmaller,
		Larger:     WhyLarger,
		CannotTell: WhyUnresolved,
	}[c.Verdict]
	return Why{Code: code, Figures: map[string]float64{
		FigureChange: c.ChangePercent,
		FigureLo:     c.LoPercent,
		FigureHi:     c.HiPercent,
	}}
}

func notComparable(code string) Change {
	return Change{Verdict: NotComparable, Why: Why{Code: code}}
}

// codeOf returns the code of an error that forbids a comparison.
func codeOf(err error) string {
	switch {
	case errors.Is(err, girth.ErrTooFewLevels):
		return WhyTooFewLevels
	case errors.Is(err, girth.ErrNoSharedSpan):
		return WhyNoSharedSpan
	case errors.Is(err, ErrBadSigmas):
		return WhyBadSigmas
	}
	panic(fmt.Sprintf("volume: unexpected error of a comparison: %v", err))
}
