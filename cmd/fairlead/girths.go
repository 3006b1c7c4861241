package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// notDiagnosis stands on everything that shows a change.
const notDiagnosis = "A record-keeping aid for fit follow-up. It does not diagnose or treat. " +
	"Socket decisions belong to the licensed prosthetist; local rules apply."

// girthsOptions are the options of the command girths as they are typed.
type girthsOptions struct {
	json               bool
	capKind            string
	capDepthMM         float64
	sigmas             volume.Sigmas
	biasPercent        float64
	biasBetweenPercent float64
}

// newGirths returns the command that turns files of tape girths into volumes
// and their changes.
func newGirths(std streams) *cobra.Command {
	var o girthsOptions
	cmd := &cobra.Command{
		Use:   "girths FILE.csv [FILE.csv…]",
		Short: "Turn tape girths into volume, its uncertainty and its change",
		Long: "Turn tape girths into the volume of a span of limb, its uncertainty and its change.\n\n" +
			"A file has one reading on a row, below a heading such as\n" +
			"  date,limb,level_mm,pass,girth_mm\n" +
			"with level_cm or level_in and girth_cm or girth_in for other units. date, limb (residual or\n" +
			"sound) and pass may be left out; the columns fitter, minutes_since_doffing and round (2 for a\n" +
			"limb measured again the same day) are used when they are there. Several dates, or several files, give changes; of files without dates the\n" +
			"first is the reference. - reads standard input.",
		Example: "  fairlead girths limb.csv\n  fairlead girths spring.csv autumn.csv --json\n" +
			"  fairlead girths limb.csv --cap semi-ellipsoid --cap-depth 30",
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			return runGirths(files, o, std)
		},
	}
	o.addTo(cmd.Flags())
	return cmd
}

func (o *girthsOptions) addTo(flags *pflag.FlagSet) {
	s := volume.DefaultSigmas
	flags.BoolVar(&o.json, "json", false, "print one JSON object instead of a table")
	flags.StringVar(&o.capKind, "cap", string(quantity.NoCap), "distal cap: none, semi-ellipsoid, paraboloid or cone")
	flags.Float64Var(&o.capDepthMM, "cap-depth", 0, "depth of the distal cap in mm")
	flags.Float64Var(&o.sigmas.ReadingMM, "sigma-reading-mm", s.ReadingMM, "uncertainty of one reading in mm")
	flags.Float64Var(&o.sigmas.LevelMM, "sigma-level-mm", s.LevelMM, "uncertainty of placing a level in mm")
	flags.Float64Var(&o.sigmas.LandmarkMM, "sigma-landmark-mm", s.LandmarkMM, "uncertainty of finding the landmark in mm")
	flags.Float64Var(&o.biasPercent, "bias-percent", percent(s.BiasSameFitter), "what all girths of a visit share, one fitter, in % of girth")
	flags.Float64Var(&o.biasBetweenPercent, "bias-between-fitters-percent", percent(s.BiasBetweenFitters), "the same between fitters, in % of girth")
}

// percent shows a fraction in percent without the digits that binary adds.
func percent(fraction float64) float64 { return math.Round(1e6*fraction) / 1e4 }

// check completes the options; its error is for whoever typed them.
func (o *girthsOptions) check() error {
	o.sigmas.BiasSameFitter = o.biasPercent / 100
	o.sigmas.BiasBetweenFitters = o.biasBetweenPercent / 100
	if err := o.sigmas.Validate(); err != nil {
		return inputError{fmt.Sprintf("fairlead: %v; see fairlead girths --help", err)}
	}
	const anyGirthMM = 300 // the options are judged before there is a limb
	if _, err := volume.Cap(o.cap(), anyGirthMM, o.capDepthMM); err != nil {
		return inputError{fmt.Sprintf("fairlead: %v; give --cap and --cap-depth together", err)}
	}
	if o.cap() == quantity.NoCap && o.capDepthMM != 0 {
		return inputError{"fairlead: --cap-depth has no meaning without --cap; add --cap semi-ellipsoid, paraboloid or cone"}
	}
	return nil
}

func (o *girthsOptions) cap() quantity.CapKind { return quantity.CapKind(o.capKind) }

func runGirths(files []string, o girthsOptions, std streams) error {
	if err := o.check(); err != nil {
		return err
	}
	visits, err := readGirths(files, lastDate(), std)
	if err != nil {
		return err
	}
	slices.SortStableFunc(visits, func(a, b fileVisit) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.order, b.order))
	})
	if err := checkSuccession(visits, std.err); err != nil {
		return err
	}
	report, err := newGirthsReport(visits, o)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(std.out)
	if o.json {
		err = report.writeJSON(out)
	} else {
		report.writeTable(out)
	}
	return errors.Join(err, out.Flush())
}

// fileVisit is a visit and where it was read.
type fileVisit struct {
	girth.Visit
	file  string // as it is named in messages
	order int    // of the file among the arguments
}

// readGirths reads all files, in which dates are either everywhere or nowhere.
// Notes go to standard error. The error holds what is wrong in every file.
func readGirths(files []string, today quantity.Date, std streams) ([]fileVisit, error) {
	var visits []fileVisit
	var wrong []string
	for order, file := range files {
		name := nameOf(file)
		sheet, err := readFile(file, std.in, func(r io.Reader) (girth.Sheet, error) { return girth.DecodeCSV(r, today) })
		if err != nil {
			wrong = append(wrong, whyNotRead(name, err)...)
		}
		for _, n := range sheet.Notes {
			fmt.Fprintf(std.err, "%s:%d: note: %s\n", name, n.Line, n)
		}
		for _, v := range sheet.Visits {
			visits = append(visits, fileVisit{Visit: v, file: name, order: order})
		}
	}
	for _, v := range visits {
		if (v.Date == "") == (visits[0].Date == "") {
			continue
		}
		dated, undated := visits[0], v
		if v.Date != "" {
			dated, undated = v, visits[0]
		}
		wrong = append(wrong, fmt.Sprintf("%s:%d: there are no dates here and there are in %s; date all visits or none",
			undated.file, undated.Line, dated.file))
		break
	}
	if len(wrong) > 0 {
		return nil, inputError{strings.Join(wrong, "\n")}
	}
	return visits, nil
}

// checkSuccession holds each visit against the one before it of the same limb:
// girths in another unit are an error, and girths that changed more than a limb
// does (M6) a note.
func checkSuccession(visits []fileVisit, complain io.Writer) error {
	last := map[quantity.BodyPart]fileVisit{}
	var wrong []string
	for _, v := range visits {
		before, known := last[v.Limb]
		last[v.Limb] = v
		if !known {
			continue
		}
		if girth.MixedUnits(before.Profile, v.Profile) {
			wrong = append(wrong, fmt.Sprintf("%s:%d: these girths of the %s limb are in another unit than those of the visit before (%s:%d); "+
				"check the units", v.file, v.Line, v.Limb, before.file, before.Line))
			continue
		}
		for _, level := range girth.ImplausibleLevels(before.Profile, v.Profile) {
			fmt.Fprintf(complain, "%s:%d: note: the girth of the %s limb at level %g mm differs by more than 8 %% from the visit before (%s:%d); "+
				"check both readings\n", v.file, v.Line, v.Limb, level, before.file, before.Line)
		}
	}
	if len(wrong) > 0 {
		return inputError{strings.Join(wrong, "\n")}
	}
	return nil
}
