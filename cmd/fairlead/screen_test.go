package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// screen is one way to look at a page.
type screen struct {
	widthPX int64
	scheme  string
}

// screens are a small phone, a phone and a desk, by day and by night. No rule of the
// style sheets lies between the two phones, so that the night is that of the first.
var screens = []screen{{320, "light"}, {360, "light"}, {1280, "light"}, {1280, "dark"}, {320, "dark"}}

// look sets the width of the window and the colour scheme.
func (v *visitor) look(s screen) {
	v.t.Helper()
	v.do("set the screen",
		emulation.SetDeviceMetricsOverride(s.widthPX, 900, 1, false),
		emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: s.scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}))
}

// The rules that every page keeps: WCAG 2.0, 2.1 and 2.2, levels A and AA. In the
// dark nothing but colours is another, so only the rules about them are held again.
const (
	axeRules       = `{type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']}`
	axeColourRules = `{type: 'rule', values: ['color-contrast', 'link-in-text-block']}`
)

// checkPage holds the page against the accessibility rules, and looks for text
// that is cut off at the side.
func (v *visitor) checkPage(axe string, s screen) {
	v.t.Helper()
	where := fmt.Sprintf("%s at %d px, %s", v.address(), s.widthPX, s.scheme)
	rules := axeRules
	if s.scheme == "dark" {
		rules = axeColourRules
	}
	var there bool
	v.do("look for axe", chromedp.Evaluate(`typeof axe === 'object'`, &there))
	if !there {
		v.do("bring axe", chromedp.Evaluate(axe, nil))
	}
	var violations string
	v.do("run axe on "+where,
		chromedp.Evaluate(`axe.run(document, {resultTypes: ['violations'], runOnly: `+rules+`}).then(r => JSON.stringify(r.violations.map(v => ({
			rule: v.id, help: v.help, nodes: v.nodes.slice(0, 3).map(n => n.html.slice(0, 200) + ' ' + n.failureSummary)}))))`,
			&violations, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
	var found []struct {
		Rule, Help string
		Nodes      []string
	}
	if err := json.Unmarshal([]byte(violations), &found); err != nil {
		v.t.Fatal(err)
	}
	for _, f := range found {
		v.t.Errorf("%s: %s (%s)\n  %s", where, f.Rule, f.Help, strings.Join(f.Nodes, "\n  "))
	}
	var wider int64
	v.do("measure "+where, chromedp.Evaluate(`document.documentElement.scrollWidth - document.documentElement.clientWidth`, &wider))
	if wider > 0 {
		v.t.Errorf("%s scrolls sideways by %d px", where, wider)
	}
}

// picture keeps a picture of the whole page in the folder that
// FAIRLEAD_PICTURES names, for whoever wants to look at the pages.
func (v *visitor) picture(name string) {
	v.t.Helper()
	folder := os.Getenv("FAIRLEAD_PICTURES")
	if folder == "" {
		return
	}
	var png []byte
	v.do("take a picture", chromedp.FullScreenshot(&png, 100))
	if err := os.MkdirAll(folder, 0o755); err != nil {
		v.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644); err != nil {
		v.t.Fatal(err)
	}
}

// everyScreen holds the page where the browser is against the rules, on every
// screen.
func (v *visitor) everyScreen(axe, name string) {
	v.t.Helper()
	v.onScreens(axe, name, screens...)
}

func (v *visitor) onScreens(axe, name string, screens ...screen) {
	v.t.Helper()
	for _, s := range screens {
		v.look(s)
		v.checkPage(axe, s)
		if s.widthPX != 360 {
			v.picture(fmt.Sprintf("%s-%d-%s", name, s.widthPX, s.scheme))
		}
	}
}

// axeSource is the accessibility checker, vendored with its licence.
func axeSource(t *testing.T) string {
	t.Helper()
	source, err := os.ReadFile(filepath.Join("..", "..", "testdata", "axe", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	return string(source)
}
