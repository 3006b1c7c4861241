package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"fairlead/analytics/cohort"
	"fairlead/analytics/trial"
	"github.com/spf13/cobra"
)

// cohortOptions are the options of the command cohort as they are typed.
type cohortOptions struct {
	limbs, visits int
	seed          uint64
	kind          string
	json          bool
	picture       string
}

// newCohort returns the command that measures the flags on simulated limbs.
func newCohort(std streams) *cobra.Command {
	var o cohortOptions
	cmd := &cobra.Command{
		Use:   "cohort",
		Short: "Simulate limbs whose truth is known, and measure how well the flags do",
		Long: "Simulate limbs whose truth is known, and measure how well the flags do: false flags, losses and steps\n" +
			"found, beside simple rules at the same rate of false flags; how often intervals and forecasts hold.\n\n" +
			"The kind clean has one fitter who never slips; the kind cohort has a second fitter on a quarter of the\n" +
			"limbs and 1 % wild readings. Nobody's limb is in it: all of it is invented. The same options give the\n" +
			"same figures on any number of cores.",
		Example: "  fairlead cohort\n  fairlead cohort --kind clean --seed 7 --json\n  fairlead cohort --picture cohort.svg",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return runCohort(cmd.Context(), o, std)
		},
	}
	flags := cmd.Flags()
	flags.IntVar(&o.limbs, "limbs", 5000, "limbs of the cohort, and of each kind that rules are compared on")
	flags.IntVar(&o.visits, "visits", 24, "visits of each limb")
	flags.Uint64Var(&o.seed, "seed", 1, "what all chance comes from")
	flags.StringVar(&o.kind, "kind", string(cohort.Everyday), "how limbs are measured: clean or cohort")
	flags.BoolVar(&o.json, "json", false, "print one JSON object instead of tables")
	flags.StringVar(&o.picture, "picture", "", "draw the losses found by each rule into this SVG file as well")
	return cmd
}

func runCohort(ctx context.Context, o cohortOptions, std streams) error {
	if folder, err := os.Stat(filepath.Dir(o.picture)); o.picture != "" && (err != nil || !folder.IsDir()) {
		return inputError{fmt.Sprintf("fairlead: there is no folder for %s; give another --picture", o.picture)}
	}
	progress := newProgress(std.err)
	report, err := trial.Run(ctx, trial.Options{
		Limbs: o.limbs, Visits: o.visits, Seed: o.seed, Setting: cohort.Setting(o.kind),
		Workers: runtime.GOMAXPROCS(0), Tell: progress.tell,
	})
	progress.clear()
	switch {
	case errors.Is(err, trial.ErrBadOptions):
		return inputError{fmt.Sprintf("fairlead: %v; see fairlead cohort --help", err)}
	case ctx.Err() != nil:
		return errors.New("stopped before the end; there are no figures")
	case err != nil:
		return err
	}
	out := bufio.NewWriter(std.out)
	if o.json {
		err = writeCohortJSON(out, report)
	} else {
		writeCohortTables(out, report)
	}
	if err := errors.Join(err, out.Flush()); err != nil || o.picture == "" {
		return err
	}
	if err := os.WriteFile(filepath.Clean(o.picture), drawFound(report), 0o644); err != nil {
		return inputError{fmt.Sprintf("fairlead: %v; give another --picture", err)}
	}
	return nil
}
