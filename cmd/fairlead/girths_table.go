package main

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"fairlead/analytics/volume"
)

// writeTable prints the report for reading. A failing writer is the affair of
// whoever flushes it.
func (r girthsReport) writeTable(w io.Writer) {
	for _, v := range r.visits {
		r.writeVisit(w, v)
	}
	for i, c := range r.changes {
		reference := c.against
		if c.against == againstBaseline && sameOccasion(r.changes[i+1].from, c.from) {
			reference = againstBaseline + " and " + againstPrevious
		}
		if c.against == againstPrevious && sameOccasion(r.changes[i-1].from, c.from) {
			continue // the second visit: what was before is the baseline
		}
		r.writeChange(w, reference, c)
	}
	fmt.Fprintln(w, notDiagnosis)
}

// writeVisit prints the girths of a visit, with the volume from each level to
// the next, and their sum.
func (r girthsReport) writeVisit(w io.Writer, v measuredVisit) {
	heading := []string{v.name()}
	if v.Fitter != "" {
		heading = append(heading, "fitter "+printable(v.Fitter))
	}
	if v.MinutesOff != nil {
		heading = append(heading, fmt.Sprintf("%g min since doffing", *v.MinutesOff))
	}
	fmt.Fprintln(w, strings.Join(heading, ", "))
	fmt.Fprintf(w, "%12s %12s %8s %12s %18s\n", "level mm", "girth mm", "passes", "spread mm", "mL to next level")
	for i, at := range v.Profile {
		segment := ""
		if i < len(v.Segments) {
			segment = fmt.Sprintf("%.1f", v.Segments[i].VolumeML)
		}
		line := fmt.Sprintf("%12s %12.1f %8d %12.1f %18s", number(at.LevelMM), at.GirthMM, at.Passes, at.SpreadMM, segment)
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
	fmt.Fprintf(w, "volume, %s to %s mm: %.1f mL ± %.1f mL (standard uncertainty, %.1f %%)\n",
		number(v.FromMM), number(v.ToMM), v.VolumeML, v.UML, 100*v.UML/v.VolumeML)
	if v.capML != nil {
		fmt.Fprintf(w, "distal cap, %s, %g mm deep: %.1f mL, not part of the volume\n", r.options.capKind, r.options.capDepthMM, *v.capML)
	}
	fmt.Fprintln(w)
}

// writeChange prints one change with its verdict and the sound limb as control.
func (r girthsReport) writeChange(w io.Writer, reference string, c measuredChange) {
	fmt.Fprintf(w, "%s against %s (%s)\n", c.to.name(), reference, c.from.when())
	if !c.Comparable {
		fmt.Fprintf(w, "  %s\n\n", c.answer())
		return
	}
	fmt.Fprintf(w, "  change, %s to %s mm: %s mL, %s %% (95 %% interval %s to %s %%)\n", number(c.FromMM), number(c.ToMM),
		volume.Signed(c.ChangeML), volume.Signed(c.ChangePercent), volume.Signed(c.LoPercent), volume.Signed(c.HiPercent))
	fmt.Fprintf(w, "  %s\n", c.answer())
	for _, code := range c.Widened {
		fmt.Fprintf(w, "  interval widened: %s\n", widenedWords[code])
	}
	if control, ok := r.control(c); ok {
		fmt.Fprintf(w, "  less the change of the sound limb: %s points (95 %% interval %s to %s): %s\n",
			volume.Signed(control.DifferencePercent), volume.Signed(control.LoPercent), volume.Signed(control.HiPercent), control.Verdict)
	}
	fmt.Fprintln(w)
}

// answer joins verdict and reason, unless the reason starts with the verdict.
func (c measuredChange) answer() string {
	why := c.Why.String()
	if strings.HasPrefix(why, string(c.Verdict)) {
		return why
	}
	return string(c.Verdict) + ": " + why
}

var widenedWords = map[string]string{
	volume.WidenedByFitter:  "measured by different fitters",
	volume.WidenedByDoffing: "measured at different times since doffing",
}

// name says which limb was measured when.
func (v measuredVisit) name() string { return string(v.Limb) + " limb, " + v.when() }

// when is the date of a visit, or the file of one without.
func (v measuredVisit) when() string {
	if v.Date != "" {
		return string(v.Date)
	}
	return printable(filepath.Base(v.file))
}

// printable drops what would steer a terminal.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, text)
}

// number writes a length to the tenth, as short as it is, with a real minus sign.
func number(x float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64), "-", "−", 1)
}
