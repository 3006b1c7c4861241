package main

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var fewLimbs = []string{"cohort", "--limbs", "30", "--visits", "12", "--seed", "3"}

// keysOf lists the keys of a JSON object, and of those within, by their path; the
// items of a list are one.
func keysOf(value any, path string) (keys []string) {
	switch v := value.(type) {
	case map[string]any:
		for key, within := range v {
			keys = append(append(keys, path+key), keysOf(within, path+key+".")...)
		}
	case []any:
		if len(v) > 0 {
			keys = keysOf(v[0], path)
		}
	}
	return keys
}

func TestCohortJSON(t *testing.T) {
	out, complaint, status := program("", append(fewLimbs, "--kind", "clean", "--json")...)
	if status != exitDone || complaint != "" {
		t.Fatalf("status %d, complaint %q", status, complaint)
	}
	var object map[string]any
	if err := json.Unmarshal([]byte(out), &object); err != nil {
		t.Fatal(err)
	}
	want := strings.Fields(`limbs visits seed kind methods methods.name methods.threshold methods.false_per_100_limb_years
		methods.found_percent methods.found_percent.3 methods.found_percent.5 methods.found_percent.6 methods.found_percent.8
		methods.step_found_percent methods.step_found_percent.0 methods.step_found_percent.1 methods.step_found_percent.2
		flags flags.soon flags.watch flags.closing coverage
		coverage.change_95 coverage.change_95.all coverage.change_95.early coverage.change_95.mature coverage.change_95.visits_2_5
		coverage.forecast_90 coverage.forecast_90.all coverage.forecast_90.early coverage.forecast_90.mature coverage.forecast_90.visits_4_5
		crossing crossing.predicted crossing.observed crossing.n
		steady steady.rightly_percent steady.rightly_percent.6 steady.rightly_percent.8 steady.rightly_percent.12
		steady.wrongly_percent steady.wrongly_percent.6 steady.wrongly_percent.8 steady.wrongly_percent.12`)
	got := keysOf(object, "")
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("keys are\n%v\nwant\n%v", got, want)
	}
	if object["limbs"] != 30.0 || object["visits"] != 12.0 || object["seed"] != 3.0 || object["kind"] != "clean" {
		t.Errorf("does not tell what was tried: %v", out[:120])
	}
	if again, _, _ := program("", append(fewLimbs, "--kind", "clean", "--json")...); again != out {
		t.Error("the same options give other figures")
	}
	few, _, _ := program("", "cohort", "--limbs", "20", "--visits", "8", "--json")
	if !strings.Contains(few, `"12": null`) || strings.Contains(few, "NaN") {
		t.Errorf("a visit that no limb has is not null:\n%s", few)
	}
}

func TestCohortTablesAndPicture(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "cohort.svg")
	out, complaint, status := program("", append(fewLimbs, "--picture", picture)...)
	if status != exitDone || complaint != "" {
		t.Fatalf("status %d, complaint %q", status, complaint)
	}
	for _, text := range []string{"P(change > 3 %)", "two-visit z", "CUSUM, mean of three visits as base", "false flags per 100 steady limb-years", "change, 95 %"} {
		if !strings.Contains(out, text) {
			t.Errorf("does not tell of %q:\n%s", text, out)
		}
	}
	svg, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	lines, texts := 0, 0
	for d := xml.NewDecoder(strings.NewReader(string(svg))); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("the picture is not XML: %v", err)
		}
		if start, ok := token.(xml.StartElement); ok {
			switch start.Name.Local {
			case "path":
				lines++
			case "text":
				texts++
			}
		}
	}
	if lines < 20 || texts < 20 || strings.Contains(string(svg), "NaN") {
		t.Errorf("the picture has %d lines and %d texts", lines, texts)
	}
}

func TestCohortRefuses(t *testing.T) {
	for name, args := range map[string][]string{
		"too few limbs":     {"--limbs", "3"},
		"too many limbs":    {"--limbs", "100000000"},
		"a number of words": {"--limbs", "many"},
		"one visit":         {"--visits", "1"},
		"an unknown kind":   {"--kind", "dirty"},
		"a seed below zero": {"--seed", "-1"},
		"an argument":       {"file.csv"},
		"a missing folder":  {"--limbs", "20", "--visits", "8", "--picture", filepath.Join(t.TempDir(), "no", "where.svg")},
	} {
		t.Run(name, func(t *testing.T) {
			out, complaint, status := program("", append([]string{"cohort"}, args...)...)
			if status != exitInput || out != "" || strings.Count(complaint, "\n") != 1 {
				t.Errorf("status %d, printed %q, complained %q", status, out, complaint)
			}
		})
	}
}

func TestCohortStopsWhenAsked(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var out, complaint strings.Builder
	status := run(ctx, []string{"cohort"}, streams{in: strings.NewReader(""), out: &out, err: &complaint})
	if status != exitFailure || out.String() != "" || !strings.Contains(complaint.String(), "stopped") {
		t.Errorf("status %d, printed %q, complained %q", status, out.String(), complaint.String())
	}
}
