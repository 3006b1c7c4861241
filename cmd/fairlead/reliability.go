package main

import (
	"bufio"
	"errors"
	"fmt"
	"strings"

	"fairlead/analytics/reliability"
	"github.com/spf13/cobra"
)

// newReliability returns the command that turns repeated values into their
// measuring error.
func newReliability(std streams) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "reliability FILE.csv",
		Short: "Turn repeated measurements into their error and the change it lets you see",
		Long: "Turn repeated measurements into their error, by rater and between raters, and the smallest change\n" +
			"that can be told from it.\n\n" +
			"A file has one value on a row, below a heading such as\n" +
			"  subject,rater,trial,value\n" +
			"rater (a person, or a method such as tape or scan) and trial may be left out. Subjects, raters and\n" +
			"trials may be missing anywhere; what the values do not allow is said.\n\n" +
			"With girths of a workshop's study instead,\n" +
			"  subject,fitter,day,level_mm,pass,girth_mm\n" +
			"it works on the volumes of the limbs and gives the uncertainties that the study puts in the place\n" +
			"of the default ones. day names a set of marks; every set must have been made afresh. - reads\n" +
			"standard input.",
		Example: "  fairlead reliability repeated.csv\n  fairlead reliability study.csv --json",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, files []string) error {
			return runReliability(files[0], asJSON, std)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object instead of a report")
	return cmd
}

// reliabilityReport is what the command reliability works out.
type reliabilityReport struct {
	*reliability.Report                       // nil when a study has no volumes
	study               *reliability.Estimate // nil for values of anything
	sees                reliability.Sees
	unit                string // empty when not known
}

func runReliability(file string, asJSON bool, std streams) error {
	name := nameOf(file)
	content, err := readFile(file, std.in, reliability.DecodeCSV)
	if err != nil {
		return inputError{strings.Join(whyNotRead(name, err), "\n")}
	}
	for _, n := range content.Notes {
		fmt.Fprintf(std.err, "%s:%d: note: %s\n", name, n.Line, n)
	}
	report, err := newReliabilityReport(content)
	switch {
	case errors.Is(err, reliability.ErrBadReading):
		return inputError{fmt.Sprintf("%s: %v; check the typing and the units", name, err)}
	case err != nil:
		return err
	}
	out := bufio.NewWriter(std.out)
	if asJSON {
		err = report.writeJSON(out)
	} else {
		report.writeText(out)
	}
	return errors.Join(err, out.Flush())
}

// newReliabilityReport analyses the values of a file; of a study, its girths and
// then the volumes they come to.
func newReliabilityReport(content reliability.File) (reliabilityReport, error) {
	var r reliabilityReport
	values := content.Values
	if content.Girths {
		estimate, err := reliability.InForce([]reliability.Study{content.Study}, "")
		if err != nil {
			return r, err
		}
		if r.sees, err = estimate.Sees(); err != nil {
			return r, err
		}
		if values, err = content.Study.Volumes(); err != nil {
			return r, err
		}
		r.study, r.unit = &estimate, "mL"
		if len(values) == 0 {
			return r, nil
		}
	}
	report, err := reliability.Analyse(values)
	if err != nil {
		return r, err
	}
	r.Report = &report
	return r, nil
}
