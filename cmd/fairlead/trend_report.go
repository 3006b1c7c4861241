package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"fairlead/analytics/trend"
	"fairlead/analytics/volume"
)

// trendReport is what the command trend tells: the course of the last series.
type trendReport struct {
	*trend.Result
	series []trend.Series
}

// noteSeries says which series is reported when there are several.
func (r trendReport) noteSeries(w io.Writer, file string) {
	last := r.series[len(r.series)-1]
	if len(r.series) > 1 {
		fmt.Fprintf(w, "%s:%d: note: there are %d series; reported is %q, measured last on %s\n",
			file, last.Lines[0], len(r.series), last.Name, r.newest().Date)
	}
}

func (r trendReport) newest() trend.VisitState { return r.Visits[len(r.Visits)-1] }

// writeText prints the report for reading. A failing writer is the affair of
// whoever flushes it.
func (r trendReport) writeText(w io.Writer) {
	r.writeHeading(w)
	if r.Days == 1 {
		fmt.Fprint(w, "one visit       there is no change to tell yet")
		if len(r.Visits) == 1 {
			fmt.Fprint(w, ";\n                take a second full pass now and add it as a second row of this date")
		}
		fmt.Fprintln(w)
		if len(r.Visits) > 1 {
			fmt.Fprintf(w, "newest reading  %s\n", r.reading())
		}
		fmt.Fprintf(w, "steady          %s\n", r.SteadyWhy())
		fmt.Fprintf(w, "forecast        %s\n\n%s\n", r.ForecastWhy(), notDiagnosis)
		return
	}
	fmt.Fprintf(w, "change          %s\n", r.change())
	fmt.Fprintf(w, "                chance of a loss beyond 3 %% is %s, beyond 5 %% %s; of a gain beyond 3 %% %s\n",
		chance(r.LossOver3), chance(r.LossOver5), chance(r.GainOver3))
	fmt.Fprintf(w, "slope           %s ± %.2f %% per month now (95 %%)", signed2(r.Slope.Estimate), r.Slope.Hi-r.Slope.Estimate)
	if r.HasTheilSen {
		fmt.Fprintf(w, "; median of all pairs %s", signed2(r.TheilSen))
	}
	fmt.Fprintf(w, "\nmodel           %s\n", r.Model())
	fmt.Fprintf(w, "newest reading  %s\n", r.reading())
	fmt.Fprintf(w, "steady          %s\n", r.steady())
	fmt.Fprintf(w, "forecast        %s\n\n", r.forecast())
	r.writeVisits(w)
	fmt.Fprintf(w, "\n%s\n", notDiagnosis)
}

func (r trendReport) writeHeading(w io.Writer) {
	last := r.series[len(r.series)-1]
	if last.Name != "" {
		fmt.Fprintf(w, "series %s, ", last.Name)
	}
	first, newest := r.Visits[0].Date, r.newest().Date
	switch {
	case len(r.Visits) == 1:
		fmt.Fprintf(w, "1 row, %s", first)
	case r.Days == 1:
		fmt.Fprintf(w, "%d rows on %s", len(r.Visits), first)
	default:
		fmt.Fprintf(w, "%d rows on %d days, %s to %s", len(r.Visits), r.Days, first, newest)
	}
	if weeks := last.WeeksSinceAmputation; weeks > 0 {
		fmt.Fprintf(w, ", %.0f weeks after amputation at the first", weeks)
	}
	fmt.Fprint(w, "\n\n")
}

// change says the change since the first visit and what it comes to.
func (r trendReport) change() string {
	c := r.Change
	text := fmt.Sprintf("%s %% since the first visit (95 %% interval %s to %s %%): ",
		volume.Signed(c.Estimate), volume.Signed(c.Lo), volume.Signed(c.Hi))
	switch {
	case c.Hi < 0:
		return text + "smaller"
	case c.Lo > 0:
		return text + "larger"
	}
	return text + "no change beyond measurement"
}

// reading says what the newest reading looks like.
func (r trendReport) reading() string {
	figures := fmt.Sprintf("wild: %s; first after a step: %s", chance(r.Wild), chance(r.Step))
	if r.MeasureAgain {
		return "measure again now, before the client leaves, and add the pass as one more row of this date:\n                " + figures
	}
	return figures
}

// steady says the verdict on steadiness and what it rests on.
func (r trendReport) steady() string {
	why := r.SteadyWhy()
	switch r.Steadiness.Verdict {
	case trend.Steady:
		return "measurements are steady: " + strings.ReplaceAll(why, "-", "−")
	case trend.NotShown:
		return string(trend.NotShown) + ": " + strings.ReplaceAll(why, "-", "−")
	}
	return string(r.Steadiness.Verdict) + ": " + why // which has dates
}

// forecast says when the level may be beyond the limit.
func (r trendReport) forecast() string {
	f := r.Forecast
	if !f.Told() || f.Kind == trend.ForecastPast {
		return r.ForecastWhy()
	}
	_, level := r.Ahead(f.HorizonDays)
	var text strings.Builder
	fmt.Fprintf(&text, "by %s (%d days) beyond %s %% with a chance of %s", r.DateOf(f.HorizonDays), f.HorizonDays,
		strings.Replace(strconv.FormatFloat(f.Limit, 'f', -1, 64), "-", "−", 1), chance(f.Probability))
	for _, q := range []struct {
		words string
		day   int
	}{{"5 % reached on", f.P05}, {"50 % on", f.P50}, {"95 % on", f.P95}} {
		if q.day != trend.NoDay {
			fmt.Fprintf(&text, "; %s %s", q.words, r.DateOf(q.day))
		}
	}
	fmt.Fprintf(&text, "\n                level then %.0f mL (90 %% interval %.0f to %.0f mL), if nothing new happens", level.Estimate, level.Lo, level.Hi)
	return text.String()
}

// writeVisits prints the smoothed past.
func (r trendReport) writeVisits(w io.Writer) {
	fmt.Fprintln(w, "date         volume mL        ±    level mL        ±   change %       from         to   weight")
	for _, v := range r.Visits {
		fmt.Fprintf(w, "%-10s %11.1f %8.1f %11.1f %8.1f %s %s %s %8.2f\n",
			v.Date, v.VolumeML, volume.Normal975*v.UML, v.Level.Estimate, (v.Level.Hi-v.Level.Lo)/2,
			wide(v.Change.Estimate), wide(v.Change.Lo), wide(v.Change.Hi), v.Weight)
	}
	fmt.Fprintln(w, "± is half of a 95 % interval; level and change are smoothed over all visits; weight is the chance that a reading is not wild")
}

// wide is a change right-aligned in ten places, its minus sign counted as one.
func wide(change float64) string {
	text := volume.Signed(change)
	return strings.Repeat(" ", max(0, 10-len([]rune(text)))) + text
}

// chance is a probability in whole percent, never certainty.
func chance(p float64) string {
	switch {
	case p < 0.005:
		return "below 1 %"
	case p > 0.995:
		return "above 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// signed2 is a slope with two decimals and a real minus sign.
func signed2(slope float64) string {
	if math.Abs(slope) < 0.005 {
		return "0.00"
	}
	return strings.Replace(fmt.Sprintf("%+.2f", slope), "-", "−", 1)
}
