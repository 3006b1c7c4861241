package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairlead/analytics/mesh"
	"fairlead/analytics/mesh/meshtest"
	"fairlead/analytics/mesh/stl"
	"fairlead/analytics/scan"
)

// coneFile writes a frustum of 36 corners, 200 mm long and 40 to 60 mm in
// radius, open at its broad end, and returns its name.
func coneFile(t *testing.T, scale float64) string {
	t.Helper()
	m := meshtest.Body(200, 40, 36, true, false, func(z, _ float64) float64 { return 40 + z/10 })
	m.Scale(scale)
	return stlFile(t, m)
}

func stlFile(t *testing.T, m *mesh.Mesh) string {
	t.Helper()
	var data bytes.Buffer
	if err := stl.Encode(&data, m); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "scan.stl")
	if err := os.WriteFile(name, data.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func measured(t *testing.T, stdin string, args ...string) measureJSON {
	t.Helper()
	out, complaint, status := program(stdin, append([]string{"measure", "--json"}, args...)...)
	if status != exitDone || complaint != "" {
		t.Fatalf("status %d: %s", status, complaint)
	}
	var got measureJSON
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	return got
}

func TestMeasure(t *testing.T) {
	const n = 36
	volume := n / 2 * math.Sin(2*math.Pi/n) * 200 / 3 * (1600 + 2400 + 3600) / 1000
	girth := func(fromEnd float64) float64 { return 2 * n * math.Sin(math.Pi/n) * (40 + fromEnd/10) }
	for unit, scale := range map[string]float64{"mm": 1, "cm": 0.1, "m": 0.001, "in": 1 / 25.4} {
		t.Run(unit, func(t *testing.T) {
			got := measured(t, "", coneFile(t, scale), "--levels", "20,50,100", "--landmark-from-end", "150")
			if got.Unit.Used != scan.Unit(unit) || got.Closed || got.Shells != 1 || len(got.Repairs.Holes) != 1 || got.Repairs.Holes[0].Kind != mesh.ProximalOpening {
				t.Errorf("got %+v", got)
			}
			if math.Abs(got.Volume/volume-1) > 1e-6 || math.Abs(got.Frame.LengthMM-200) > 1e-3 {
				t.Errorf("volume %.6f mL, want %.6f; length %.4f mm", got.Volume, volume, got.Frame.LengthMM)
			}
			for i, level := range []float64{20, 50, 100} {
				s := got.Sections[i]
				if s.LevelMM != level || s.FromEndMM != 150-level || math.Abs(s.GirthMM-girth(150-level)) > 1e-3 || !s.Complete {
					t.Errorf("level %g: %+v, want girth %.3f", level, s, girth(150-level))
				}
			}
			if got.Span.FromMM != 20 || got.Span.ToMM != 100 || math.Abs(got.Span.ShapeFactor-math.Pi*math.Pow(n*math.Sin(math.Pi/n)/math.Pi, 2)/(n/2*math.Sin(2*math.Pi/n))) > 1e-5 {
				t.Errorf("span %+v", got.Span)
			}
		})
	}
}

func TestMeasureStandardInputAndRepair(t *testing.T) {
	data, err := os.ReadFile(coneFile(t, 1))
	if err != nil {
		t.Fatal(err)
	}
	whole := filepath.Join(t.TempDir(), "whole.stl")
	first := measured(t, string(data), "-", "--until", "volume", "--repair", whole)
	if first.Frame != nil || first.Sections != nil || len(first.File.SHA256) != 64 {
		t.Errorf("got %+v", first)
	}
	again := measured(t, "", whole, "--unit", "mm", "--axis", "0,0,-1")
	if !again.Closed || math.Abs(again.Volume/first.Volume-1) > 1e-6 || len(again.Sections) != 39 {
		t.Errorf("closed %v, %.3f mL, %d sections; want the same body, closed, every 5 mm", again.Closed, again.Volume, len(again.Sections))
	}
	out, _, status := program(string(data), "measure", "-")
	if status != exitDone || !strings.Contains(out, "proximal opening of") || !strings.Contains(out, "girth mm") {
		t.Errorf("status %d: %s", status, out)
	}
}

func TestMeasureRefuses(t *testing.T) {
	cases := []struct {
		name, stdin string
		args        []string
		says        string
	}{
		{"no file", "", nil, "see fairlead measure --help"},
		{"a missing file", "", []string{"missing.stl"}, "missing.stl: there is no such file; check the name"},
		{"a folder", "", []string{"."}, "it is a folder"},
		{"nothing", "", []string{"-"}, "standard input: the file is empty; copy or export it again"},
		{"a web page", "<html>", []string{"-"}, "is a web page, not a mesh; export it as STL, PLY or OBJ"},
		{"bad text", "solid a\nfacet\nabnormal", []string{"-"}, `standard input:3: there is "abnormal" where normal should be`},
		{"another unit", "", []string{"-", "--unit", "ft"}, `--unit is "ft"; give auto`},
		{"another end", "", []string{"-", "--until", "dawn"}, `--until is "dawn"`},
		{"a landmark of two", "", []string{"-", "--landmark", "1,2"}, `--landmark is "1,2"`},
		{"two landmarks", "", []string{"-", "--landmark", "1,2,3", "--landmark-from-end", "0"}, "give one of them"},
		{"no direction", "", []string{"-", "--axis", "0,0,0"}, `--axis is "0,0,0"`},
		{"a level that is none", "", []string{"-", "--levels", "NaN"}, "a level of NaN mm"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			out, complaint, status := program(c.stdin, append([]string{"measure"}, c.args...)...)
			if status != exitInput || out != "" || !strings.Contains(complaint, c.says) {
				t.Errorf("status %d, %q; want %d, …%q…", status, complaint, exitInput, c.says)
			}
		})
	}
}
