package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/geom"
	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/stl"
	"fairlead/analytics/scan"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// measureOptions are the options of the command measure as they are typed.
type measureOptions struct {
	json        bool
	until       string
	unit        string
	levels      []float64
	landmark    string
	fromEndMM   float64
	fromEnd     bool // the option was given
	axis        string
	repair      string
	landmarkAt  geom.Vec // in the file's unit
	direction   geom.Vec
	hasLandmark bool
}

// newMeasure returns the command that measures a scan.
func newMeasure(std streams) *cobra.Command {
	var o measureOptions
	cmd := &cobra.Command{
		Use:   "measure SCAN",
		Short: "Measure a scan: repairs, volume, girths and sections",
		Long: "Measure a scan in STL, PLY or OBJ: what was repaired, the volume, and sections across the limb.\n\n" +
			"The girth of a section is the perimeter of its convex hull, which is what a tape reads. Levels are\n" +
			"mm distal to the landmark, or mm from the distal end without one. - reads standard input.",
		Example: "  fairlead measure limb.stl\n  fairlead measure limb.ply --unit cm --axis 0,0,-1 --levels 20,50,80 --json\n" +
			"  fairlead measure limb.stl --until volume --repair whole.stl",
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, files []string) error {
			o.fromEnd = cmd.Flags().Changed("landmark-from-end")
			return runMeasure(files[0], o, std)
		},
	}
	o.addTo(cmd.Flags())
	return cmd
}

func (o *measureOptions) addTo(flags *pflag.FlagSet) {
	flags.BoolVar(&o.json, "json", false, "print one JSON object instead of a table")
	flags.StringVar(&o.until, "until", "sections", "stop after volume, or go on to sections")
	flags.StringVar(&o.unit, "unit", string(scan.Auto), "unit of the file: auto, mm, cm, m or in")
	flags.Float64SliceVar(&o.levels, "levels", nil, "levels of the sections in mm; every 5 mm when left out")
	flags.StringVar(&o.landmark, "landmark", "", "place of level 0 as X,Y,Z in the file's frame and unit")
	flags.Float64Var(&o.fromEndMM, "landmark-from-end", 0, "place of level 0 in mm from the distal end")
	flags.StringVar(&o.axis, "axis", "auto", "direction from proximal to distal as X,Y,Z in the file's frame, or auto")
	flags.StringVar(&o.repair, "repair", "", "write the cleaned and closed mesh, in mm, to this STL file")
}

// check completes the options; its error is for whoever typed them.
func (o *measureOptions) check() error {
	if o.until != "volume" && o.until != "sections" {
		return inputError{fmt.Sprintf("fairlead: --until is %q; give volume or sections", o.until)}
	}
	if u := scan.Unit(o.unit); u != scan.Auto && !slices.Contains(scan.Units, u) {
		return inputError{fmt.Sprintf("fairlead: --unit is %q; give auto, mm, cm, m or in", o.unit)}
	}
	for _, z := range append([]float64{o.fromEndMM}, o.levels...) {
		if !(z >= -mostLevelMM && z <= mostLevelMM) {
			return inputError{fmt.Sprintf("fairlead: a level of %g mm is no place on a limb; give mm", z)}
		}
	}
	if len(o.levels) > mostLevels {
		return inputError{fmt.Sprintf("fairlead: %d levels are too many; give up to %d", len(o.levels), mostLevels)}
	}
	o.hasLandmark = o.landmark != ""
	if o.hasLandmark && o.fromEnd {
		return inputError{"fairlead: --landmark and --landmark-from-end both place level 0; give one of them"}
	}
	var ok bool
	if o.landmarkAt, ok = vector(o.landmark); o.hasLandmark && !ok {
		return inputError{fmt.Sprintf("fairlead: --landmark is %q; give X,Y,Z such as 12.5,0,-80", o.landmark)}
	}
	if o.axis == "auto" {
		return nil
	}
	if o.direction, ok = vector(o.axis); !ok || o.direction == (geom.Vec{}) {
		return inputError{fmt.Sprintf("fairlead: --axis is %q; give auto, or X,Y,Z such as 0,0,-1", o.axis)}
	}
	return nil
}

// The bounds of levels.
const (
	mostLevelMM = 3000
	mostLevels  = 10_000
)

// vector reads X,Y,Z.
func vector(text string) (geom.Vec, bool) {
	parts := strings.Split(text, ",")
	if len(parts) != 3 {
		return geom.Vec{}, false
	}
	var v [3]float64
	for i, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || !(x >= -mesh.MaxCoordinate && x <= mesh.MaxCoordinate) {
			return geom.Vec{}, false
		}
		v[i] = x
	}
	return geom.Vec{X: v[0], Y: v[1], Z: v[2]}, true
}

func runMeasure(file string, o measureOptions, std streams) error {
	if err := o.check(); err != nil {
		return err
	}
	r, err := readScan(file, o, std)
	if err != nil {
		return inputError{whyNoScan(nameOf(file), err)}
	}
	if o.repair != "" {
		if err := writeRepaired(o.repair, r.Filled); err != nil {
			return err
		}
	}
	if o.until == "sections" {
		if err := r.measure(o); err != nil {
			return inputError{fmt.Sprintf("%s: the long axis can't be told (%v); give --axis", nameOf(file), err)}
		}
	}
	out := bufio.NewWriter(std.out)
	if o.json {
		err = r.writeJSON(out)
	} else {
		r.writeTable(out)
	}
	return errors.Join(err, out.Flush())
}

// whyNoScan tells whoever gave a file what is wrong with it.
func whyNoScan(name string, err error) string {
	var fault *mesh.Fault
	switch {
	case errors.As(err, &fault) && fault.Line > 0:
		return fmt.Sprintf("%s:%d: %s", name, fault.Line, fault)
	case errors.As(err, &fault):
		return fmt.Sprintf("%s: %s", name, fault)
	case errors.Is(err, fs.ErrNotExist):
		return name + ": there is no such file; check the name"
	}
	return fmt.Sprintf("%s: can't be read (%v); give a scan in STL, PLY or OBJ", name, err)
}

// writeRepaired writes a mesh as STL; a file that could not be written whole is
// taken away.
func writeRepaired(name string, m *mesh.Mesh) (err error) {
	name = filepath.Clean(name)
	f, err := os.CreateTemp(filepath.Dir(name), ".fairlead-*.stl")
	if err != nil {
		return inputError{fmt.Sprintf("%s: can't be written (%v); choose another place", name, err)}
	}
	defer func() {
		if err != nil {
			_ = os.Remove(f.Name()) // the first error tells more
		}
	}()
	if err := errors.Join(stl.Encode(f, m), f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}

// sized is a file that knows its size, for decoders that set memory aside.
func sized(f *os.File) (io.Reader, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		if info.IsDir() {
			return nil, errors.New("it is a folder")
		}
		return f, nil
	}
	return io.NewSectionReader(f, 0, info.Size()), nil
}
