package chart_test

import (
	"encoding/xml"
	"errors"
	"html/template"
	"io"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/server/chart"
	"fairlead/server/drawing"
)

const evil = `"><script>alert(1)</script>`

// render executes one of the drawings' templates.
func render(t *testing.T, name string, data any) string {
	t.Helper()
	set, err := template.ParseFiles("../../web/templates/partials/" + name + ".html")
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := set.ExecuteTemplate(&out, name, data); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// elements counts the elements of a well-formed fragment by name, and refuses
// what the content security policy would block.
func elements(t *testing.T, fragment string) map[string]int {
	t.Helper()
	count := map[string]int{}
	decoder := xml.NewDecoder(strings.NewReader(fragment))
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return count
		}
		if err != nil {
			t.Fatalf("not well formed: %v\n%s", err, fragment)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		count[start.Name.Local]++
		for _, a := range start.Attr {
			if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Value, "ZgotmplZ") {
				t.Errorf("<%s %s=%q> is not allowed", start.Name.Local, a.Name.Local, a.Value)
			}
		}
	}
}

func TestLimbPartial(t *testing.T) {
	p := girth.Profile{{LevelMM: 0, GirthMM: 330}, {LevelMM: 30, GirthMM: 300}, {LevelMM: 60, GirthMM: 270}}
	shape := drawing.Shape{Profile: p, Cap: quantity.SemiEllipsoid, CapDepthMM: 30}
	limb, err := drawing.DrawLimb(shape, shape, p.Levels())
	if err != nil {
		t.Fatal(err)
	}
	got := elements(t, render(t, "limb", map[string]any{"Limb": limb, "Description": evil}))
	if got["path"] != 2 || got["polyline"] != 3 || got["script"] != 0 {
		t.Errorf("elements = %v, want two outlines, three leaders, no script", got)
	}
}

func TestRingsPartial(t *testing.T) {
	gap := drawing.Gap{MM: 2.4, Known: true, Tight: true, Words: evil, Name: evil}
	section := drawing.Section{Caption: evil, Description: evil, Gaps: map[quantity.Direction]drawing.Gap{}}
	for _, d := range quantity.Directions {
		section.Gaps[d] = gap
	}
	rings, err := drawing.DrawRings([]drawing.Section{section, {}}, quantity.Left, 60)
	if err != nil {
		t.Fatal(err)
	}
	out := render(t, "rings", map[string]any{"Rings": rings, "ID": "r9"})
	got := elements(t, out)
	if got["circle"] != 2 || got["figcaption"] != 1 || got["text"] != 4 || got["script"] != 0 {
		t.Errorf("elements = %v, want two covers, one caption, four labels, no script", got)
	}
	if !strings.Contains(out, `id="r9-0"`) || !strings.Contains(out, `fill="url(#r9-0)"`) {
		t.Error("a closed section isn't hatched")
	}
}

func TestSparkPartial(t *testing.T) {
	at := time.Unix(0, 0)
	for _, test := range []struct {
		name    string
		points  []chart.SparkPoint
		polygon int
	}{
		{"one visit", []chart.SparkPoint{{At: at}}, 0},
		{"two visits", []chart.SparkPoint{{At: at}, {At: at.AddDate(0, 1, 0), Percent: -2, LoPercent: -4}}, 1},
	} {
		spark, _ := chart.Sparkline(test.points, []float64{-5, 5})
		if got := elements(t, render(t, "spark", spark)); got["polygon"] != test.polygon || got["line"] != 2 || got["circle"] != 1 {
			t.Errorf("%s: elements = %v", test.name, got)
		}
	}
}

func TestChangeMapPartial(t *testing.T) {
	m, err := drawing.DrawChangeMap([]drawing.MapLevel{{LevelMM: 0, Words: evil}, {LevelMM: 30}}, []drawing.MapVisit{
		{Words: evil, Changes: map[float64]drawing.GirthChange{0: {ChangeMM: -9, UMM: 2, Words: evil}, 30: {ChangeMM: 1, UMM: 2}}},
		{Changes: map[float64]drawing.GirthChange{30: {ChangeMM: 20, UMM: 2}}},
	})
	if err != nil {
		t.Fatal(err)
	}
	out := render(t, "changemap", map[string]any{"Map": m, "Caption": evil, "LevelHead": evil, "NotMeasured": evil})
	got := elements(t, out)
	if got["td"] != 4 || got["rect"] != 3 || got["b"] != 2 || got["script"] != 0 {
		t.Errorf("elements = %v, want four cells, three bars, two of them beyond the tape's error, no script", got)
	}
	for _, class := range []string{"smaller-2", "within", "none", "larger-3"} {
		if !strings.Contains(out, class+`"`) {
			t.Errorf("no cell of class %q", class)
		}
	}
}
