package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
	"fairlead/analytics/trend"
	"github.com/spf13/cobra"
)

// trendOptions are the options of the command trend as they are typed.
type trendOptions struct {
	json         bool
	amputation   string
	limitPercent float64
}

// newTrend returns the command that turns a file of dated volumes into change,
// slope, forecast and steadiness.
func newTrend(std streams) *cobra.Command {
	var o trendOptions
	cmd := &cobra.Command{
		Use:   "trend FILE.csv",
		Short: "Turn dated volumes into change, slope, forecast and steady or not",
		Long: "Turn dated volumes of one limb into its change since the first visit, its slope, a forecast and\n" +
			"whether it is steady, each with how sure that is.\n\n" +
			"A file has one visit on a row, below a heading such as\n" +
			"  date,volume_ml,u_ml,method,fitter\n" +
			"u_ml is the standard uncertainty of that visit alone, without what a fitter always does alike.\n" +
			"method and fitter may be left out; whatever differs in them may be off by a lasting amount.\n" +
			"A second pass is a second row of the same date. The column series parts what can't be compared\n" +
			"(another landmark, plan, cap, or a revision); the series measured last is reported. The column\n" +
			"weeks_since_amputation, or --amputation, is used for the first year and a half. - reads standard\n" +
			"input.",
		Example: "  fairlead trend limb.csv\n  fairlead trend limb.csv --json --limit-percent -8\n" +
			"  fairlead trend limb.csv --amputation 2025-10-25",
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, files []string) error {
			return runTrend(files[0], o, std)
		},
	}
	flags := cmd.Flags()
	flags.BoolVar(&o.json, "json", false, "print one JSON object instead of a report")
	flags.StringVar(&o.amputation, "amputation", "", "date of the amputation, such as 2025-10-25")
	flags.Float64Var(&o.limitPercent, "limit-percent", trend.DefaultLimitPercent,
		"change since the first visit to forecast, in %: below zero for a loss, above for a gain")
	return cmd
}

func runTrend(file string, o trendOptions, std streams) error {
	if o.limitPercent == 0 {
		return inputError{"fairlead: --limit-percent is 0; give a loss such as -5 or a gain such as 5"}
	}
	name, today := nameOf(file), lastDate()
	sheet, err := readFile(file, std.in, func(r io.Reader) (trend.Sheet, error) { return trend.DecodeCSV(r, today) })
	if err != nil {
		return inputError{strings.Join(whyNotRead(name, err), "\n")}
	}
	for _, n := range sheet.Notes {
		fmt.Fprintf(std.err, "%s:%d: note: %s\n", name, n.Line, n)
	}
	series := sheet.Series[len(sheet.Series)-1]
	if err := o.age(&series); err != nil {
		return err
	}
	result, err := trend.Run(series.Visits, trend.Options{
		WeeksSinceAmputation: series.WeeksSinceAmputation,
		LimitPercent:         o.limitPercent,
	})
	var bad *trend.ReadingError
	switch {
	case errors.As(err, &bad):
		return inputError{fmt.Sprintf("%s:%d: %s; %s", name, series.Lines[bad.Index], bad.What, bad.Do)}
	case errors.Is(err, trend.ErrBadOptions):
		return inputError{fmt.Sprintf("fairlead: --limit-percent is %g and must be above -100 and not above 1000; give a loss such as -5", o.limitPercent)}
	case err != nil:
		return err
	}
	report := trendReport{Result: result, series: sheet.Series}
	report.noteSeries(std.err, name)
	out := bufio.NewWriter(std.out)
	if o.json {
		err = report.writeJSON(out)
	} else {
		report.writeText(out)
	}
	return errors.Join(err, out.Flush())
}

// age sets the weeks since amputation by the date that was given, which goes
// before what the file tells.
func (o trendOptions) age(series *trend.Series) error {
	if o.amputation == "" {
		return nil
	}
	date, err := quantity.ParseDate(o.amputation)
	if err != nil {
		return inputError{fmt.Sprintf("fairlead: --amputation: %v; write year-month-day", err)}
	}
	first := series.Visits[0].Date
	days, _ := first.DaysSince(date)
	if days < 0 || date < table.EarliestDate {
		return inputError{fmt.Sprintf("fairlead: --amputation %s is not between %s and the first visit on %s; check the date", date, table.EarliestDate, first)}
	}
	series.WeeksSinceAmputation = float64(days) / 7
	return nil
}
