package server

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/demo"
	"fairlead/server/followup"
)

// TestWorkingOfEveryFlagOfTheDemonstration shows the steps of every piece of
// evidence of the invented workshop, and works out each line that is keys of a
// calculator.
func TestWorkingOfEveryFlagOfTheDemonstration(t *testing.T) {
	today := time.Date(2026, 11, 25, 10, 30, 0, 0, time.UTC)
	clock := &demo.Clock{}
	clock.Set(today)
	store := modelstest.SQLiteAt(t, clock.Now)
	if err := demo.Fill(t.Context(), store, clock, today, func(string) (string, error) { return "hash", nil }); err != nil {
		t.Fatal(err)
	}
	clients, _, err := store.Clients(t.Context(), models.ClientFilter{IncludeArchived: true, Limit: 1000})
	if err != nil {
		t.Fatal(err)
	}
	y := testSayer(t)
	lines := map[assess.Rule]int{}
	for _, c := range clients {
		record, err := followup.Load(t.Context(), store, c.ID)
		if err != nil {
			t.Fatal(err)
		}
		flags, err := store.FlagsOf(t.Context(), c.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, flag := range flags {
			for _, e := range flag.Evidence {
				var f assess.Finding
				if err := json.Unmarshal(e.Finding, &f); err != nil {
					t.Fatal(err)
				}
				view := y.working(record, flag.LimbID, f, "")
				if view.Missing != "" || len(view.Steps) == 0 || view.Source == "" || strings.Contains(strings.Join(view.Steps[0].Lines, ""), "NaN") {
					t.Errorf("%s, %s: %+v", c.Code, f.Rule, view)
				}
				lines[f.Rule] += workOutLines(t, view.Steps)
				if w := record.Working(flag.LimbID, f); w.Volume != nil {
					byHand(t, view.Steps, *w.Volume)
				} else if w.Course != nil && len(w.Course.Parts) > 0 {
					addUp(t, view.Steps)
				}
			}
		}
	}
	t.Logf("lines worked out, by rule: %v", lines)
	for _, rule := range []assess.Rule{assess.VolumeChange, assess.VolumeUnresolved, assess.ClearanceBelow, assess.ClearanceUnsure, assess.SockLayers} {
		if lines[rule] == 0 {
			t.Errorf("the demonstration has nothing to work out of %s", rule)
		}
	}
}

// addUp adds up the table of the explanations of a course as it is shown: weight
// times Φ in each row, and the rows to the probability below them.
func addUp(t *testing.T, steps []workingStep) {
	t.Helper()
	for _, step := range steps {
		for _, table := range step.Tables {
			if len(table.Total) == 0 {
				continue
			}
			sum := 0.0
			for _, row := range table.Rows {
				product, _ := read(t, row[5])
				sum += product
				if row[1] == "" {
					continue
				}
				weight, _ := read(t, row[1])
				phi, _ := read(t, row[4])
				if math.Abs(weight*phi-product) > 1.6e-4 {
					t.Errorf("%s × %s is not %s", row[1], row[4], row[5])
				}
			}
			if total, _ := read(t, table.Total[5]); math.Abs(sum-total) > 1e-3 {
				t.Errorf("rows add up to %.4f, and %s is shown", sum, table.Total[5])
			}
			return
		}
	}
	t.Error("no table of explanations")
}
