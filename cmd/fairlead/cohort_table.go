package main

import (
	"fmt"
	"io"
	"math"

	"fairlead/analytics/trial"
)

// writeCohortTables prints the report for reading, as Markdown tables. A failing
// writer is the affair of whoever flushes it.
func writeCohortTables(w io.Writer, r *trial.Report) {
	o := r.Options
	fmt.Fprintf(w, "%d simulated limbs of each kind, twice as many of the mix, %d visits each, kind %s, seed %d.\n", o.Limbs, o.Visits, o.Setting, o.Seed)
	writeMethods(w, r)
	writeFlags(w, r)
	writeCoverage(w, r.Coverage)
	writeCrossing(w, r.Crossing)
	writeSteady(w, r.Steady)
	fmt.Fprintln(w, "\nNobody's limb is in these figures. The trend knows beforehand what such limbs are like, which flatters it.")
}

func writeMethods(w io.Writer, r *trial.Report) {
	fmt.Fprintf(w, "\nAt %g false flags per 100 steady limb-years: limbs losing 1 %% a month found by the time they have lost 3, 5, 6\n"+
		"and 8 %%, and steps of %d %% found at the first visit after, by the next, and by the one after that, in %%.\n\n",
		float64(trial.FalseRate), -trial.StepPercent)
	fmt.Fprintf(w, "| %-48s | %9s | %5s | %5s | %5s | %5s | %5s | %5s | %5s | %5s |\n",
		"rule", "threshold", "false", "3 %", "5 %", "6 %", "8 %", "step", "≤1", "≤2")
	fmt.Fprintln(w, "|---|---:|---:|---:|---:|---:|---:|---:|---:|---:|")
	for _, m := range r.Methods {
		fmt.Fprintf(w, "| %-48s | %9.3g | %5.1f |", m.FullName(), m.Threshold, m.FalsePer100)
		for _, found := range append(m.FoundPercent[:], m.StepPercent[:]...) {
			fmt.Fprintf(w, " %5s |", whole(found))
		}
		fmt.Fprintln(w)
	}
}

func writeFlags(w io.Writer, r *trial.Report) {
	fmt.Fprint(w, "\nDefault flags of steady limbs, each assessed after every visit as on the page and read again where the check-in\n"+
		"asks for it, per 100 limb-years.\n\n")
	fmt.Fprintf(w, "| %-20s | %-22s | %6s |\n|---|---|---:|\n", "rule", "level", "opened")
	for _, kind := range r.Flags.Kinds() {
		level := string(kind.Level)
		if kind.From != "" {
			level += ", risen from " + string(kind.From)
		}
		fmt.Fprintf(w, "| %-20s | %-22s | %6.1f |\n", kind.Rule, level, 100*float64(r.Flags[kind])/r.FlagYears)
	}
	flags := flagsOf(r)
	fmt.Fprintf(w, "\nOf a change of volume: soon or more urgent %.1f, watch or more urgent %.1f; closing %.1f.\n", flags.Soon, flags.Watch, flags.Closing)
}

func writeCoverage(w io.Writer, c trial.Coverage) {
	fmt.Fprintf(w, "\nIntervals that hold the truth, in %%.\n\n| %-22s | %5s | %5s | %6s | %-16s |\n|---|---:|---:|---:|---|\n",
		"interval", "all", "early", "mature", "few visits")
	fmt.Fprintf(w, "| %-22s | %5s | %5s | %6s | %-16s |\n", "change, 95 %", tenth(c.Change95.All.Percent()), tenth(c.Change95.Early.Percent()),
		tenth(c.Change95.Mature.Percent()), "2 to 5: "+tenth(c.Change95.Visits2to5.Percent()))
	fmt.Fprintf(w, "| %-22s | %5s | %5s | %6s | %-16s |\n", "level at horizon, 90 %", tenth(c.Forecast90.All.Percent()), tenth(c.Forecast90.Early.Percent()),
		tenth(c.Forecast90.Mature.Percent()), "4 to 5: "+tenth(c.Forecast90.Visits4to5.Percent()))
}

func writeCrossing(w io.Writer, bins []trial.Crossing) {
	fmt.Fprintf(w, "\nForecasts of crossing %d %%, and the share of limbs beyond it at the horizon, where no new step fell before it.\n\n| %9s | %8s | %9s |\n|---:|---:|---:|\n",
		trial.CrossingPercent, "predicted", "happened", "forecasts")
	for _, b := range bins {
		fmt.Fprintf(w, "| %9.2f | %8.2f | %9d |\n", b.Predicted, b.Observed, b.N)
	}
}

func writeSteady(w io.Writer, s trial.Steadiness) {
	fmt.Fprintf(w, "\nMeasurements called steady, in %% of limbs.\n\n| %5s | %13s | %21s |\n|---:|---:|---:|\n", "visit", "steady limbs", "losing 1 % a month")
	for i, visit := range trial.SteadyVisits {
		fmt.Fprintf(w, "| %5d | %13s | %21s |\n", visit, whole(s.Rightly[i].Percent()), whole(s.Wrongly[i].Percent()))
	}
}

// whole and tenth write a percentage, and a dash for what was not counted.
func whole(percent float64) string { return counted("%.0f", percent) }

func tenth(percent float64) string { return counted("%.1f", percent) }

func counted(format string, percent float64) string {
	if math.IsNaN(percent) {
		return "–"
	}
	return fmt.Sprintf(format, percent)
}
