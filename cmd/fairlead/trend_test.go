package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

func TestTrendPrints(t *testing.T) {
	t.Chdir("../../testdata/trend")
	cases := []struct {
		name   string
		args   []string
		status int
	}{
		{"slow_loss", []string{"slow_loss.csv", "--limit-percent", "-8"}, exitDone},
		{"slip_scan_step", []string{"slip_scan_step.csv"}, exitDone},
		{"early_decay", []string{"early_decay.csv", "--amputation", "2023-10-25", "--limit-percent", "-15"}, exitDone},
		{"two_series", []string{"two_series.csv"}, exitDone},
		{"one_visit", []string{"one_visit.csv"}, exitDone},
		{"steady", []string{"steady.csv", "--limit-percent", "5"}, exitDone},
		{"broken", []string{"broken.csv"}, exitInput},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program("", append([]string{"trend"}, c.args...)...)
			if status != c.status {
				t.Errorf("status %d, want %d", status, c.status)
			}
			golden(t, c.name+".txt", out)
			golden(t, c.name+".err", complaint)
		})
	}
}

func TestTrendRefuses(t *testing.T) {
	const heading, good = "date,volume_ml,u_ml\n", "2026-03-02,1147,16.6\n"
	cases := []struct {
		name, stdin string
		args        []string
		says        string
	}{
		{"no file", "", nil, "see fairlead trend --help"},
		{"a missing file", "", []string{"missing.csv"}, "missing.csv: there is no such file; check the name"},
		{"a folder", "", []string{"."}, "can't be read"},
		{"nothing", "", []string{"-"}, "standard input:1: the file is empty; start with a heading"},
		{"a heading alone", heading, []string{"-"}, "standard input:1: there are no visits below the heading"},
		{"a negative volume", heading + good + "2026-03-03,-5,1\n", []string{"-"}, "standard input:3: the volume of -5 mL is outside"},
		{"no uncertainty", heading + "2026-03-03,1147,0\n", []string{"-"}, "standard input:2: the uncertainty of 0 mL is not above zero"},
		{"a column missing", "date,volume_ml\n", []string{"-"}, "standard input:1: there is no column u_ml"},
		{"a day to come", heading + "2999-03-03,1147,12\n", []string{"-"}, "standard input:2: the date 2999-03-03 is in the future"},
		{"weeks that disagree", "date,volume_ml,u_ml,weeks_since_amputation\n2026-01-05,1147,12,10\n2026-02-02,1147,12,20\n", []string{"-"}, "standard input:3: 20 weeks"},
		{"a limit of none", heading + good, []string{"-", "--limit-percent", "0"}, "--limit-percent is 0"},
		{"a limit beyond all", heading + good, []string{"-", "--limit-percent", "-100"}, "--limit-percent is -100"},
		{"a limit that is no number", heading + good, []string{"-", "--limit-percent", "NaN"}, "--limit-percent is NaN"},
		{"an amputation to come", heading + good, []string{"-", "--amputation", "2026-03-03"}, "--amputation 2026-03-03 is not between"},
		{"an amputation that is no date", heading + good, []string{"-", "--amputation", "spring"}, "--amputation: \"spring\" is not a date"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program(c.stdin, append([]string{"trend"}, c.args...)...)
			if status != exitInput || out != "" || !strings.Contains(complaint, c.says) {
				t.Errorf("status %d, printed %q, complained %q; want %d, nothing and %q", status, out, complaint, exitInput, c.says)
			}
		})
	}
}

// The object of --json agrees with the check values of the method to their
// tolerance, key by key.
func TestTrendJSONAgreesWithReference(t *testing.T) {
	content, err := os.ReadFile("../../testdata/reference/trend_examples.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Examples []struct {
			Name   string
			Input  []map[string]any
			Output map[string]any
			Limit  float64 `json:"limit_percent"`
			Date   string  `json:"amputation"`
		}
	}
	if err := json.Unmarshal(content, &file); err != nil {
		t.Fatal(err)
	}
	for _, e := range file.Examples {
		t.Run(e.Name, func(t *testing.T) {
			text := "date,volume_ml,u_ml,method,fitter\n"
			for _, v := range e.Input {
				cell := func(key string) any {
					if v[key] == nil {
						return ""
					}
					return v[key]
				}
				text += fmt.Sprintf("%v,%v,%v,%v,%v\n", cell("date"), cell("volume_ml"), cell("u_ml"), cell("method"), cell("fitter"))
			}
			args := []string{"trend", "-", "--json", "--limit-percent", fmt.Sprint(e.Limit)}
			if e.Date != "" {
				args = append(args, "--amputation", e.Date)
			}
			out, complaint, status := program(text, args...)
			if status != exitDone || complaint != "" {
				t.Fatalf("status %d, %q", status, complaint)
			}
			var got map[string]any
			if err := json.Unmarshal([]byte(out), &got); err != nil {
				t.Fatal(err)
			}
			agree(t, "", got, e.Output, map[string]bool{"model": true, "measure_again": true, "limit_percent": false})
		})
	}
}

// agree holds what was printed against the check values of the same key. Keys in
// ours have none.
func agree(t *testing.T, path string, got, want any, ours map[string]bool) {
	t.Helper()
	switch g := got.(type) {
	case map[string]any:
		w, _ := want.(map[string]any)
		for key, value := range g {
			if !ours[key] {
				agree(t, path+"."+key, value, w[key], nil)
			}
		}
	case []any:
		w, _ := want.([]any)
		if len(g) != len(w) {
			t.Errorf("%s has %d entries, want %d", path, len(g), len(w))
			return
		}
		for i := range g {
			agree(t, fmt.Sprintf("%s[%d]", path, i), g[i], w[i], nil)
		}
	case float64:
		w, ok := want.(float64)
		if !ok || !(math.Abs(g-w) <= 1e-8*math.Max(1, math.Abs(w))) {
			t.Errorf("%s is %v, want %v", path, got, want)
		}
	default:
		if got != want {
			t.Errorf("%s is %v, want %v", path, got, want)
		}
	}
}

// Where there is nothing to say stands null, never a made-up figure.
func TestTrendJSONOfOneVisit(t *testing.T) {
	out, _, status := program("date,volume_ml,u_ml\n2026-03-02,1147,16.6\n", "trend", "-", "--json")
	var object map[string]any
	if err := json.Unmarshal([]byte(out), &object); err != nil || status != exitDone {
		t.Fatalf("status %d, %v", status, err)
	}
	for _, key := range []string{
		"loglik", "change_lo_percent", "change_hi_percent", "slope_percent_per_month", "slope_lo", "slope_hi",
		"p_loss_over_3", "p_gain_over_3", "p_loss_over_5", "p_wild_now", "p_step_now", "theil_sen_percent_per_month",
	} {
		if v, there := object[key]; !there || v != nil {
			t.Errorf("%s is %v, want null", key, v)
		}
	}
	forecast := object["forecast"].(map[string]any)
	for _, key := range []string{"horizon_days", "probability", "p05", "p50", "p95"} {
		if v, there := forecast[key]; !there || v != nil {
			t.Errorf("forecast.%s is %v, want null", key, v)
		}
	}
	if why, _ := forecast["why"].(string); !strings.Contains(why, "one visit") || !strings.Contains(why, "3 more visits") {
		t.Errorf("forecast.why is %q", why)
	}
	if object["change_percent"] != 0.0 || object["measure_again"] != false {
		t.Errorf("change %v, measure again %v", object["change_percent"], object["measure_again"])
	}
}
