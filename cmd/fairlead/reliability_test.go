package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

func TestReliabilityPrints(t *testing.T) {
	t.Chdir("../../testdata/reliability")
	for _, c := range []struct {
		name   string
		status int
	}{
		{"shrout_fleiss", exitDone},
		{"weir", exitDone},
		{"two_meters", exitDone},
		{"study", exitDone},
		{"odd", exitDone},
		{"one_value", exitDone},
		{"all_equal", exitDone},
		{"broken", exitInput},
		{"too_far_apart", exitInput},
		{"missing", exitInput},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program("", "reliability", c.name+".csv")
			if status != c.status {
				t.Errorf("status %d, want %d", status, c.status)
			}
			golden(t, c.name+".txt", out)
			golden(t, c.name+".err", complaint)
			if c.status == exitDone {
				out, _, _ := program("", "reliability", "--json", c.name+".csv")
				golden(t, c.name+".json", out)
				if !json.Valid([]byte(out)) || strings.Contains(out, "NaN") {
					t.Errorf("not JSON: %s", out)
				}
			}
		})
	}
}

// The published figures come out at the keys that are promised.
func TestReliabilityJSON(t *testing.T) {
	object := func(file string) map[string]any {
		out, complaint, status := program("", "reliability", "--json", "../../testdata/reliability/"+file)
		if status != exitDone || complaint != "" {
			t.Fatalf("%s: status %d, %q", file, status, complaint)
		}
		var o map[string]any
		if err := json.Unmarshal([]byte(out), &o); err != nil {
			t.Fatal(err)
		}
		return o
	}
	same := func(what string, got any, want, tolerance float64) {
		t.Helper()
		if x, ok := got.(float64); !ok || math.Abs(x-want) > tolerance {
			t.Errorf("%s: got %v, want %g", what, got, want)
		}
	}
	weir := object("weir.csv")
	same("SEM of Weir 2005", weir["sem"], 7.556927, 1e-6)
	same("MDC95", weir["mdc95"], 20.946732, 1e-5)
	same("TEM", weir["tem"], 7.331439, 1e-6)
	for i, want := range []float64{.17, .29, .71, .44, .62, .91} { // as Shrout and Fleiss 1979 print them
		icc := object("shrout_fleiss.csv")["icc"].([]any)[i].(map[string]any)
		same(icc["name"].(string), icc["value"], want, 0.005)
	}
	meters := object("two_meters.csv")["between"].(map[string]any)["pairs"].([]any)[0].(map[string]any)["first_trials"].(map[string]any)
	same("bias of Bland and Altman 1986", meters["bias"].(map[string]any)["value"], -2.117647, 1e-6)
	same("SD", meters["sd"].(map[string]any)["value"], 38.765130, 1e-6)
	study := object("study.csv")
	if study["unit"] != "mL" {
		t.Errorf("unit %v, want mL", study["unit"])
	}
	sees := study["study"].(map[string]any)["sees"].(map[string]any)
	if same, other := sees["same_fitter_percent"].(float64), sees["different_fitters_percent"].(float64); !(same > 1.5 && same < 4 && other > same) {
		t.Errorf("sees %g %% by one fitter, %g %% by two", same, other)
	}
}

func TestReliabilityReadsStandardInput(t *testing.T) {
	out, _, status := program("subject;value\na;1,5\na;1,7\nb;2,5\nb;2,4\n", "reliability", "-")
	if status != exitDone || !strings.Contains(out, "4 values of 2 subjects by 1 rater") {
		t.Errorf("status %d, %q", status, out)
	}
	if _, complaint, status := program("", "reliability", "-"); status != exitInput || !strings.Contains(complaint, "standard input:1: the file is empty; start with") {
		t.Errorf("status %d, %q", status, complaint)
	}
}
