package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"fairlead/analytics/reliability"
)

// writeText prints the report for reading.
func (r reliabilityReport) writeText(w io.Writer) {
	if r.study != nil {
		r.writeStudy(w)
	}
	if r.Report != nil {
		if r.study != nil {
			fmt.Fprintf(w, "volumes over the levels that all rounds of a limb have, in mL\n\n")
		}
		r.writeValues(w)
	}
	fmt.Fprintln(w, notDiagnosis)
}

// writeValues prints what any values come to.
func (r reliabilityReport) writeValues(w io.Writer) {
	fmt.Fprintf(w, "%s of %s by %s\n\n", plural(r.Values, "value"), plural(r.Subjects, "subject"), plural(len(r.Raters), "rater"))
	if len(r.Raters) == 1 {
		writePrecision(w, "one value and another of the same subject", r.All, false)
	} else {
		writePrecision(w, "one value and another of the same subject, whoever took them", r.All, true)
		for _, own := range r.ByRater {
			writePrecision(w, "rater "+printable(own.Rater)+", between trials", own.Precision, false)
		}
		r.writeBetween(w)
	}
	over := "raters"
	if r.Between == nil {
		over = "trials"
	}
	fmt.Fprintf(w, "intraclass correlation over %s (Shrout and Fleiss), 95 %% interval\n", over)
	for _, c := range r.ICC() {
		fmt.Fprintf(w, "  %-9s %s\n", c.Name(), threePlaces(c.Figure))
	}
	fmt.Fprintln(w)
	for _, m := range r.Remarks {
		fmt.Fprintf(w, "note: %s\n", m)
	}
	if len(r.Remarks) > 0 {
		fmt.Fprintln(w)
	}
}

// writePrecision prints the errors of one kind of repetition; by several raters,
// with what they differ by as a whole too.
func writePrecision(w io.Writer, title string, p reliability.Precision, several bool) {
	fmt.Fprintln(w, title)
	beyond := p.MDC95
	rows := []struct {
		name string
		f    reliability.Figure
		unit string
	}{{"TEM", p.TEM, ""}, {"TEM in %", p.TEMPercent, " %"}, {"SEM", p.SEM, ""}, {"MDC95", p.MDC95, ""}}
	if !p.TEM.Defined {
		fmt.Fprintf(w, "  not defined: %s\n\n", p.TEM.Why)
		return
	}
	for _, row := range rows {
		fmt.Fprintf(w, "  %-9s %s\n", row.name, significant(row.f, row.unit))
	}
	if several && p.SEMAgreement.Defined {
		beyond = p.MDC95Agreement
		fmt.Fprintf(w, "  with what raters differ by as a whole: SEM %s, MDC95 %s\n", short(p.SEMAgreement.Value), short(beyond.Value))
	}
	if beyond.Defined && beyond.Value > 0 {
		fmt.Fprintf(w, "  A difference of two values below %s can be measuring error alone.\n", short(beyond.Value))
	}
	fmt.Fprintln(w)
}

// writeBetween prints how raters compare.
func (r reliabilityReport) writeBetween(w io.Writer) {
	if r.Between == nil {
		fmt.Fprintf(w, "between raters\n  not defined: %s\n\n", r.BetweenWhy)
		return
	}
	writePrecision(w, "between raters", r.Between.Precision, true)
	if r.Between.Pairs == nil {
		fmt.Fprintf(w, "agreement of pairs of raters\n  left out: %s\n\n", r.Between.PairsWhy)
	}
	for _, p := range r.Between.Pairs {
		writeAgreement(w, fmt.Sprintf("%s less %s, first trials", printable(p.A), printable(p.B)), "", p.First)
		if p.Means.N > 0 {
			writeAgreement(w, fmt.Sprintf("%s less %s, means of %d trials; limits for one trial", printable(p.A), printable(p.B), p.Means.Repeated), "", p.Means)
		}
		if p.First.Growing && p.Percent.N > 0 {
			writeAgreement(w, fmt.Sprintf("%s less %s, first trials, in percent", printable(p.A), printable(p.B)), " %", p.Percent)
		}
	}
}

// writeAgreement prints bias and limits of agreement.
func writeAgreement(w io.Writer, title, unit string, a reliability.Agreement) {
	fmt.Fprintln(w, title)
	if !a.Bias.Defined {
		fmt.Fprintf(w, "  not defined: %s\n\n", a.Bias.Why)
		return
	}
	fmt.Fprintf(w, "  bias      %s\n  SD        %s\n", significant(a.Bias, unit), significant(a.SD, unit))
	fmt.Fprintf(w, "  limits    %s\n       and  %s\n", significant(a.Lower, unit), significant(a.Upper, unit))
	switch {
	case !a.Bias.Bounded:
	case a.Bias.Lo > 0:
		fmt.Fprintln(w, "  The first gives more.")
	case a.Bias.Hi < 0:
		fmt.Fprintln(w, "  The second gives more.")
	default:
		fmt.Fprintln(w, "  Neither can be said to give more.")
	}
	if a.Growing {
		fmt.Fprintln(w, "  The differences change with size, so that the limits hold for no size well.")
	}
	fmt.Fprintln(w)
}

// studyPart is one component of a study as it is printed.
type studyPart struct {
	name, unit string
	scale      float64
	reliability.Component
}

// studyParts returns the components in the units they are printed in.
func studyParts(e reliability.Estimate) []studyPart {
	return []studyPart{
		{"reading", "mm", 1, e.Reading},
		{"placing a level", "mm", 1, e.Level},
		{"finding the landmark", "mm", 1, e.Landmark},
		{"visit of one fitter", "% of girth", 100, e.SameFitter},
		{"lasting between fitters", "% of girth", 100, e.Lasting},
	}
}

// writeStudy prints the uncertainties that a study leaves in force.
func (r reliabilityReport) writeStudy(w io.Writer) {
	e := r.study
	fmt.Fprintf(w, "study of %s by %s, %s", plural(e.Limbs, "limb"), plural(e.Fitters, "fitter"), plural(e.Readings, "reading"))
	if e.On != "" {
		fmt.Fprintf(w, ", %s", e.On)
	}
	fmt.Fprintf(w, "\n\nstandard uncertainty, drawn from what held before towards the study as far as it tells\n")
	fmt.Fprintf(w, "%-24s %-11s %8s %8s %8s %9s %18s\n", "", "unit", "before", "study", "worth", "in force", "95 % interval")
	for _, part := range studyParts(*e) {
		own, worth := "–", "–"
		if part.OwnDF > 0 {
			own, worth = fmt.Sprintf("%.2f", part.scale*part.Own), fmt.Sprintf("%.1f", part.OwnDF)
		}
		fmt.Fprintf(w, "%-24s %-11s %8.2f %8s %8s %9.2f %10.2f to %4.2f\n", part.name, part.unit,
			part.scale*part.Before, own, worth, part.scale*part.InForce, part.scale*part.Lo, part.scale*part.Hi)
	}
	fmt.Fprintf(w, "worth is in degrees of freedom; what held before is worth %.0f\n\n", reliability.DefaultPrior().ReadingDF)
	for _, f := range e.ByFitter {
		fmt.Fprintf(w, "fitter %s: reading error %s; girths against all fitters %s\n", printable(f.Fitter), significant(f.ReadingMM, " mm"), significant(f.BiasPercent, " %"))
	}
	words := r.sees.String()
	fmt.Fprintf(w, "\n%s.\n\n", strings.ToUpper(words[:1])+words[1:])
	for _, m := range e.Remarks {
		fmt.Fprintf(w, "note: %s\n", m)
	}
	if len(e.Remarks) > 0 {
		fmt.Fprintln(w)
	}
}

// significant writes a figure with its interval, or why there is none.
func significant(f reliability.Figure, unit string) string {
	switch {
	case f.Defined && f.Why == reliability.NoError:
		return short(f.Value) + unit + " (repeated values are all equal, perhaps by rounding: no interval)"
	case !f.Defined:
		return "not defined: " + f.Why.String()
	case !f.Bounded:
		text := short(f.Value) + unit
		if f.Why != reliability.ErrorUnbounded {
			text += " (" + f.Why.String() + ")"
		}
		return text
	}
	return fmt.Sprintf("%s%s (95 %% interval %s to %s%s)", short(f.Value), unit, short(f.Lo), short(f.Hi), unit)
}

// threePlaces writes a correlation.
func threePlaces(f reliability.Figure) string {
	places := func(x float64) string { return strings.Replace(fmt.Sprintf("%.3f", x), "-", "−", 1) }
	switch {
	case !f.Defined:
		return "not defined: " + f.Why.String()
	case !f.Bounded:
		return places(f.Value) + " (no interval: " + f.Why.String() + ")"
	}
	return fmt.Sprintf("%s (%s to %s)", places(f.Value), places(f.Lo), places(f.Hi))
}

// short writes a number with four figures, whole ones in full, and a real minus
// sign.
func short(x float64) string {
	if math.Abs(x) >= 1000 {
		return strings.Replace(strconv.FormatFloat(x, 'f', 0, 64), "-", "−", 1)
	}
	return strings.ReplaceAll(strconv.FormatFloat(x, 'g', 4, 64), "-", "−")
}

// plural counts things.
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
