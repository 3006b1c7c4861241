package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var updateGirths = flag.Bool("update-girths", false, "write what girths prints into testdata/girths anew")

// program runs the program in-process.
func program(stdin string, args ...string) (out, complaint string, status int) {
	var stdout, stderr bytes.Buffer
	status = run(context.Background(), args, streams{in: strings.NewReader(stdin), out: &stdout, err: &stderr})
	return stdout.String(), stderr.String(), status
}

// golden compares with what a file of testdata/girths holds; a file that is not
// there stands for nothing printed.
func golden(t *testing.T, file, got string) {
	t.Helper()
	if *updateGirths {
		if err := os.Remove(file); err != nil && !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
		if got != "" {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	want, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	if !sameFigures(got, string(want)) {
		t.Errorf("%s: got\n%s\nwant\n%s", file, got, want)
	}
}

var figure = regexp.MustCompile(`-?\d+\.\d{6,}`)

// sameFigures compares two texts; figures of full precision in them may differ
// by 1e-12 of their size, because processors that fuse multiplication and
// addition round the last digit otherwise.
func sameFigures(a, b string) bool {
	if figure.ReplaceAllString(a, "#") != figure.ReplaceAllString(b, "#") {
		return false
	}
	inA, inB := figure.FindAllString(a, -1), figure.FindAllString(b, -1)
	for i := range inA {
		x, errX := strconv.ParseFloat(inA[i], 64)
		y, errY := strconv.ParseFloat(inB[i], 64)
		if errX != nil || errY != nil || math.Abs(x-y) > 1e-12*math.Max(math.Abs(x), math.Abs(y)) {
			return false
		}
	}
	return true
}

func TestSameFigures(t *testing.T) {
	cases := []struct {
		name, a, b string
		want       bool
	}{
		{"equal", "x 1.2345678 y", "x 1.2345678 y", true},
		{"the last digit of sixteen", "-17.96995183935008", "-17.969951839350085", true},
		{"the tenth digit", "17.96995183935008", "17.96995183835008", false},
		{"another word", "x 1.2345678", "y 1.2345678", false},
		{"a rounded figure", "1.5", "1.6", false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := sameFigures(c.a, c.b); got != c.want {
				t.Errorf("sameFigures(%q, %q) = %v, want %v", c.a, c.b, got, c.want)
			}
		})
	}
}

func TestGirthsOfSuccessiveVisits(t *testing.T) {
	const heading = "date,limb,level_mm,girth_mm\n2026-01-01,residual,0,320\n2026-01-01,residual,30,310\n"
	_, complaint, status := program(heading+"2026-02-01,residual,0,32\n2026-02-01,residual,30,31\n", "girths", "-")
	if status != exitInput || !strings.Contains(complaint, "standard input:4: these girths of the residual limb are in another unit") {
		t.Errorf("centimetres after millimetres: status %d, %q", status, complaint)
	}
	_, complaint, status = program(heading+"2026-02-01,residual,0,320\n2026-02-01,residual,30,271\n", "girths", "-")
	if status != exitDone || !strings.Contains(complaint, "standard input:4: note: the girth of the residual limb at level 30 mm differs by more than 8 %") {
		t.Errorf("a change of 12.6 %% (M6): status %d, %q", status, complaint)
	}
}

func TestSoundLimbHasNoCap(t *testing.T) {
	object := girthsObject(t, "", "../../testdata/girths/both_limbs.csv", "--cap", "cone", "--cap-depth", "30")
	for _, v := range object["visits"].([]any) {
		visit := v.(map[string]any)
		if capped := visit["cap_ml"] != nil; capped != (visit["limb"] == "residual") {
			t.Errorf("%s limb: cap_ml %v", visit["limb"], visit["cap_ml"])
		}
	}
}

func TestGirthsPrints(t *testing.T) {
	t.Chdir("../../testdata/girths")
	cases := []struct {
		name   string
		args   []string
		status int
	}{
		{"two_visits", []string{"two_visits.csv", "--cap", "semi-ellipsoid", "--cap-depth", "30"}, exitDone},
		{"decimal_comma", []string{"decimal_comma.csv"}, exitDone},
		{"inches", []string{"inches.csv"}, exitDone},
		{"other_levels", []string{"other_levels.csv"}, exitDone},
		{"both_limbs", []string{"both_limbs.csv"}, exitDone},
		{"undated", []string{"undated_first.csv", "undated_second.csv"}, exitDone},
		{"doubtful", []string{"doubtful.csv"}, exitDone},
		{"broken", []string{"broken.csv"}, exitInput},
		{"units", []string{"units.csv"}, exitInput},
		{"mixed_units", []string{"mixed_units.csv"}, exitInput},
		{"no_unit", []string{"no_unit.csv"}, exitInput},
		{"one_level", []string{"one_level.csv"}, exitInput},
		{"several_wrong", []string{"no_unit.csv", "two_visits.csv", "missing.csv", "one_level.csv"}, exitInput},
		{"dated_and_not", []string{"two_visits.csv", "undated_first.csv"}, exitInput},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program("", append([]string{"girths"}, c.args...)...)
			if status != c.status {
				t.Errorf("status %d, want %d", status, c.status)
			}
			golden(t, c.name+".txt", out)
			golden(t, c.name+".err", complaint)
			if c.status == exitDone {
				out, _, _ := program("", append([]string{"girths", "--json"}, c.args...)...)
				golden(t, c.name+".json", out)
			}
		})
	}
}

// keys returns the keys of a JSON object in the order of the alphabet.
func keys(object any) []string {
	var names []string
	for name := range object.(map[string]any) {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

func girthsObject(t *testing.T, stdin string, args ...string) map[string]any {
	t.Helper()
	out, complaint, status := program(stdin, append([]string{"girths", "--json"}, args...)...)
	if status != exitDone {
		t.Fatalf("status %d: %s", status, complaint)
	}
	var object map[string]any
	if err := json.Unmarshal([]byte(out), &object); err != nil {
		t.Fatal(err)
	}
	return object
}

func TestGirthsJSONKeysAndNulls(t *testing.T) {
	object := girthsObject(t, "", "../../testdata/girths/other_levels.csv")
	if got, want := keys(object), []string{"changes", "method", "visits"}; !slices.Equal(got, want) {
		t.Errorf("keys %q, want %q", got, want)
	}
	visit := object["visits"].([]any)[0].(map[string]any)
	if got, want := keys(visit), []string{"cap_ml", "date", "limb", "segments", "span_mm", "volume_ml", "volume_u_ml"}; !slices.Equal(got, want) {
		t.Errorf("keys of a visit %q, want %q", got, want)
	}
	if got, want := keys(visit["segments"].([]any)[0]), []string{"from_mm", "to_mm", "volume_ml"}; !slices.Equal(got, want) {
		t.Errorf("keys of a segment %q, want %q", got, want)
	}
	if visit["cap_ml"] != nil || visit["date"] != "2026-01-12" || visit["limb"] != "residual" {
		t.Errorf("visit %v", visit)
	}
	want := []string{"against", "change_ml", "change_percent", "from", "interval_percent", "limb", "span_mm", "to", "verdict", "why"}
	for _, c := range object["changes"].([]any) {
		change := c.(map[string]any)
		if got := keys(change); !slices.Equal(got, want) {
			t.Errorf("keys of a change %q, want %q", got, want)
		}
		for _, key := range []string{"change_ml", "change_percent", "interval_percent"} {
			if (change[key] == nil) != (change["verdict"] == "not comparable") {
				t.Errorf("%s of %v: null exactly when not comparable", key, change)
			}
		}
	}
	undated := girthsObject(t, "level_mm,girth_mm\n0,320\n30,335\n", "-")
	if date := undated["visits"].([]any)[0].(map[string]any)["date"]; date != nil {
		t.Errorf("date %v, want null", date)
	}
	if changes := undated["changes"].([]any); len(changes) != 0 {
		t.Errorf("changes %v, want an empty list", changes)
	}
}

// Check values G05, G06 and G16 (COMPUTED from geometry) through the command,
// in full precision.
func TestGirthsAnswersTheCheckValues(t *testing.T) {
	const text = `date,level_cm,girth_cm
2026-03-02,0,32.0
2026-03-02,3,33.5
2026-03-02,6,33.0
2026-03-02,9,31.0
2026-03-02,12,28.5
2026-03-02,15,25.0
2026-06-02,0,31.5
2026-06-02,3,33.0
2026-06-02,6,32.5
2026-06-02,9,30.5
2026-06-02,12,28.0
2026-06-02,15,24.5
`
	object := girthsObject(t, text, "-", "--cap", "semi-ellipsoid", "--cap-depth", "30")
	visit := object["visits"].([]any)[0].(map[string]any)
	change := object["changes"].([]any)[0].(map[string]any)
	volume, end := visit["volume_ml"].(float64), visit["cap_ml"].(float64)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"G05", volume, 1147.069463599},
		{"G16", volume + end, 1246.541303031},
		{"G06 as a percent change", change["change_percent"].(float64), -3.189496687},
	} {
		if math.Abs(c.got-c.want) > 1e-6 {
			t.Errorf("%s: got %.9f, want %.9f", c.name, c.got, c.want)
		}
	}
}

func TestGirthsTakesTheUncertainties(t *testing.T) {
	const text = "level_mm,girth_mm\n0,320\n30,335\n60,330\n90,310\n120,285\n150,250\n"
	only := func(flag, value string) float64 {
		args := []string{"-", "--sigma-reading-mm=0", "--sigma-level-mm=0", "--sigma-landmark-mm=0", "--bias-percent=0", flag + "=" + value}
		object := girthsObject(t, text, args...)
		return object["visits"].([]any)[0].(map[string]any)["volume_u_ml"].(float64)
	}
	// G21: 3 mm independent at each level; the bias term is 2 V β (COMPUTED).
	for _, c := range []struct {
		flag, value string
		want        float64
	}{
		{"--sigma-reading-mm", "3", 9.465131},
		{"--bias-percent", "1", 0.02 * 1147.069463599},
		{"--bias-between-fitters-percent", "5", 0},
	} {
		if got := only(c.flag, c.value); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%s %s: u %.6f mL, want %.6f", c.flag, c.value, got, c.want)
		}
	}
	if narrow, wide := only("--sigma-level-mm", "1"), only("--sigma-level-mm", "3"); !(narrow > 0 && math.Abs(wide-3*narrow) < 1e-9) {
		t.Errorf("level: u %g and %g mL, want three times as much", narrow, wide)
	}
	if narrow, wide := only("--sigma-landmark-mm", "1"), only("--sigma-landmark-mm", "3"); !(narrow > 0 && math.Abs(wide-3*narrow) < 1e-9) {
		t.Errorf("landmark: u %g and %g mL, want three times as much", narrow, wide)
	}
}

func TestGirthsRefusesOptions(t *testing.T) {
	const file = "../../testdata/girths/two_visits.csv"
	cases := []struct {
		name string
		args []string
		says string
	}{
		{"no file", nil, "at least 1 arg"},
		{"unknown option", []string{file, "--csv"}, "--csv"},
		{"unknown cap", []string{file, "--cap", "sphere", "--cap-depth", "30"}, "sphere"},
		{"cap without depth", []string{file, "--cap", "cone"}, "--cap-depth"},
		{"depth without cap", []string{file, "--cap-depth", "30"}, "without --cap"},
		{"negative depth", []string{file, "--cap", "cone", "--cap-depth", "-3"}, "depth -3 mm"},
		{"negative uncertainty", []string{file, "--sigma-reading-mm", "-1"}, "-1 mm"},
		{"uncertainty that is no number", []string{file, "--sigma-level-mm", "NaN"}, "NaN"},
		{"text for a number", []string{file, "--bias-percent", "much"}, "much"},
		{"absurd bias", []string{file, "--bias-between-fitters-percent", "185"}, "185 %"},
		{"no such file", []string{"nowhere.csv"}, "nowhere.csv: there is no such file"},
		{"folder", []string{"../../testdata"}, "testdata: can't be read"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program("", append([]string{"girths"}, c.args...)...)
			if status != exitInput || out != "" || !strings.Contains(complaint, c.says) {
				t.Errorf("status %d, printed %q, complained %q; want status 2, nothing, and %q", status, out, complaint, c.says)
			}
		})
	}
}

func TestGirthsReadsStandardInput(t *testing.T) {
	_, complaint, status := program("level_mm,girth_mm\n0,x\n", "girths", "-")
	if status != exitInput || !strings.HasPrefix(complaint, "standard input:2: ") {
		t.Errorf("status %d, complained %q; want status 2 and the line of standard input", status, complaint)
	}
}

type fullDisk struct{}

var errFull = errors.New("no room")

func (fullDisk) Write([]byte) (int, error) { return 0, errFull }

func TestGirthsTellsWhenItCannotPrint(t *testing.T) {
	var stderr bytes.Buffer
	status := run(context.Background(), []string{"girths", "../../testdata/girths/inches.csv"}, streams{out: fullDisk{}, err: &stderr})
	if status != exitFailure || !strings.Contains(stderr.String(), errFull.Error()) {
		t.Errorf("status %d, complained %q; want status 1 and the reason", status, stderr.String())
	}
}

// A file can't steer the terminal, nor get a table that lies about its width.
func TestGirthsPrintsNoControlCharacters(t *testing.T) {
	out, _, status := program("level_mm,girth_mm,fitter\n0,320,\x1b[31mA\x07\n30,335,\n", "girths", "-")
	if status != exitDone || strings.ContainsAny(out, "\x1b\x07") || !strings.Contains(out, "fitter [31mA") {
		t.Errorf("status %d, printed %q; want the name without control characters", status, out)
	}
}

func TestGirthsSaysItIsNoDiagnosis(t *testing.T) {
	out, _, _ := program("", "girths", "../../testdata/girths/two_visits.csv")
	if !strings.HasSuffix(out, notDiagnosis+"\n") {
		t.Errorf("printed %q; want it to end with %q", out, notDiagnosis)
	}
}
