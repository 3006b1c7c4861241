package web

import (
	"io/fs"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var colourToken = regexp.MustCompile(`--([a-z0-9-]+):\s*(#[0-9a-f]{6})`)

// schemes reads the colours of site.css: those of the first :root for light,
// with those of the dark block over them for dark.
func schemes(t *testing.T) map[string]map[string]string {
	t.Helper()
	css, err := fs.ReadFile(folder("static"), "site.css")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(css), ":root {")
	light, rest, ok2 := strings.Cut(rest, "}")
	_, dark, ok3 := strings.Cut(rest, "(prefers-color-scheme: dark) { :root:not(.on-paper) {")
	dark, _, ok4 := strings.Cut(dark, "}")
	if !ok || !ok2 || !ok3 || !ok4 {
		t.Fatal("site.css no longer has its two blocks of colours where this test looks")
	}
	all := map[string]map[string]string{"light": {}, "dark": {}}
	for _, m := range colourToken.FindAllStringSubmatch(light, -1) {
		all["light"][m[1]], all["dark"][m[1]] = m[2], m[2]
	}
	for _, m := range colourToken.FindAllStringSubmatch(dark, -1) {
		if _, known := all["light"][m[1]]; !known {
			t.Errorf("--%s is dark only", m[1])
		}
		all["dark"][m[1]] = m[2]
	}
	return all
}

// contrast is the ratio of WCAG 2.2, relative luminance of the lighter colour
// plus 0.05 over that of the darker plus 0.05.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// luminance is the relative luminance of WCAG 2.2 of an sRGB colour.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	weights := []float64{0.2126, 0.7152, 0.0722}
	sum := 0.0
	for i, w := range weights {
		n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatalf("colour %q: %v", hex, err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			sum += w * c / 12.92
		} else {
			sum += w * math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return sum
}

func TestContrastFormula(t *testing.T) {
	// WCAG 2.2, definition of contrast ratio: black on white is 21:1, a colour on itself 1:1.
	if got := contrast(t, "#000000", "#ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("black on white %v, want 21", got)
	}
	if got := contrast(t, "#777777", "#777777"); got != 1 {
		t.Errorf("grey on itself %v, want 1", got)
	}
}

// TestContrast holds text to 4.5:1 (WCAG 2.2, 1.4.3 level AA) and shapes that
// mean something to 3:1 (1.4.11), on every ground that they stand on.
func TestContrast(t *testing.T) {
	const text, shape = 4.5, 3.0
	grounds := []string{"paper", "sheet", "wash"}
	tests := []struct {
		ink     string
		grounds []string
		want    float64
	}{
		{"ink", append([]string{"accent-wash", "now-wash", "soon-wash", "watch-wash", "less-1", "less-2", "less-3", "more-1", "more-2", "more-3", "limb"}, grounds...), text},
		{"soft", append([]string{"accent-wash", "soon-wash"}, grounds...), text},
		{"accent", append([]string{"accent-wash"}, grounds...), text},
		{"on-accent", []string{"accent"}, text},
		{"paper", []string{"ink"}, text},
		{"now", append([]string{"now-wash"}, grounds...), text},
		{"soon", append([]string{"soon-wash"}, grounds...), text},
		{"watch", append([]string{"watch-wash"}, grounds...), text},
		{"edge", grounds, shape},
		{"then", []string{"paper", "sheet"}, shape},
		{"limb-line", []string{"paper", "sheet", "limb"}, shape},
	}
	for scheme, colours := range schemes(t) {
		for _, tt := range tests {
			for _, ground := range tt.grounds {
				a, b := colours[tt.ink], colours[ground]
				if a == "" || b == "" {
					t.Fatalf("%s: no token --%s or --%s", scheme, tt.ink, ground)
				}
				if got := contrast(t, a, b); got < tt.want {
					t.Errorf("%s: --%s %s on --%s %s is %.2f:1, want %.1f:1", scheme, tt.ink, a, ground, b, got, tt.want)
				}
			}
		}
	}
}
