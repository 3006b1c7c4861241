package trend

import (
	"fmt"
	"strings"
)

// Model names the model in English: "level and slope", or for an early limb the
// shape that predicted better, with the weights of both.
func (r *Result) Model() string {
	switch {
	case !r.Early:
		return "level and slope"
	case r.DecayShape >= r.LogShape:
		return fmt.Sprintf("early decay (weight %.2f; log-time %.2f)", r.DecayShape, r.LogShape)
	}
	return fmt.Sprintf("early log-time (weight %.2f; decay %.2f)", r.LogShape, r.DecayShape)
}

// ForecastWhy says in English why there is no forecast, and what is missing;
// nothing when there is one.
func (r *Result) ForecastWhy() string {
	f := r.Forecast
	switch f.Kind {
	case ForecastGiven:
		return ""
	case ForecastPast:
		return fmt.Sprintf("%s, probability %.2f", f.Kind, f.Probability)
	}
	return fmt.Sprintf("%s; a forecast needs visits on %d days over %d days or more: %s",
		f.Kind, minDays, minHorizonDays, r.missing(f.MissingDays, f.FromDay))
}

// SteadyWhy says in English what the verdict on steadiness rests on, or what is
// missing.
func (r *Result) SteadyWhy() string {
	s := r.Steadiness
	slope := fmt.Sprintf("slope %.2f (%.2f to %.2f) %s", s.Slope.Estimate, s.Slope.Lo, s.Slope.Hi, r.perMonth())
	switch {
	case s.Verdict == SteadyOne || s.Verdict == SteadyFew:
		return fmt.Sprintf("it takes visits on %d days over %d days or more: %s",
			SteadyDays, SteadySpanDays, r.missing(s.MissingDays, s.FromDay))
	case s.Verdict == Steady:
		return "pairs within MDC95; " + slope
	case s.Apart:
		return "pairs outside MDC95"
	}
	return slope
}

func (r *Result) perMonth() string {
	if r.filter.settings.Linear {
		return "mm per month"
	}
	return "% per month"
}

// missing says how many visits are missing, and until when unless that day has
// passed.
func (r *Result) missing(days, fromDay int) string {
	var text strings.Builder
	if days == 1 {
		text.WriteString("1 more visit")
	} else {
		fmt.Fprintf(&text, "%d more visits", days)
	}
	if float64(fromDay) > r.filter.Span() {
		if days > 1 {
			text.WriteString(", the last of them")
		}
		fmt.Fprintf(&text, " not before %s", r.DateFrom(fromDay))
	}
	return text.String()
}
