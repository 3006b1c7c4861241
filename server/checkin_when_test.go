package server

import (
	"strings"
	"testing"
	"time"

	"fairlead/models"
)

// TestHourThatComesTwice asks which of two moments is meant, only where there are
// two, and records the one that was chosen; a correction keeps it.
func TestHourThatComesTwice(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-070")
	b := site.As("kit", models.Fitter)
	for _, tt := range []struct{ which, want, said string }{
		{"first", "2025-10-26T00:30:00Z", "the first, by summer time"},
		{"second", "2025-10-26T01:30:00Z", "the second, by winter time"},
	} {
		draft := b.Start(client.Client)
		if page := b.Get(draft + "/talk"); strings.Contains(page.Body, "which_time") {
			t.Error("a time that comes once is asked about")
		}
		asked := b.Fill(draft, "talk", "date", "2025-10-26", "time", "2:30")
		asked.Has(t, 422, "2:30 on 2025-10-26 came twice", `name="which_time" value="first"`, `name="which_time" value="second"`)
		if strings.Contains(asked.Body, `name="which_time" value="first" checked`) {
			t.Error("one of the two is chosen that nobody chose")
		}
		b.Save(draft, "left_empty", "time").Has(t, 422, "came twice", draft+"/talk#which_time")
		b.Fill(draft, "talk", "which_time", tt.which).To(t, "socks")
		b.Fill(draft, "off", "limb1.doffed", "2:40", "limb1.first_reading", "2:52").To(t, "sound-1")
		b.Get(draft+"/talk").Has(t, 200, `value="`+tt.which+`" checked`)
		saved := b.Save(draft, "left_empty", "time")
		saved.Has(t, 303)
		b.Get(saved.Location).Has(t, 200, "26 October 2025, 2:30", tt.said)

		correction := strings.TrimSuffix(b.Post(saved.Location+"/correct").Location, "/result")
		b.Get(correction+"/talk").Has(t, 200, `value="`+tt.which+`" checked`)
		saved = b.Save(correction, "reason", "another look")
		saved.Has(t, 303)
		all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range all {
			if !strings.HasSuffix(saved.Location, c.ID) {
				continue
			}
			if got := c.MeasuredAt.UTC().Format(time.RFC3339); got != tt.want {
				t.Errorf("%s: measured at %s, want %s", tt.which, got, tt.want)
			}
			if off := c.Limbs[0].DoffedAt.Sub(c.MeasuredAt).Minutes(); off != 10 {
				t.Errorf("%s: off %v minutes after the visit began, want 10", tt.which, off)
			}
		}
	}
}

// TestClockOfTheNightThatIsLonger takes taking off and first reading for the
// moments nearest to the visit.
func TestClockOfTheNightThatIsLonger(t *testing.T) {
	for _, tt := range []struct {
		name, clock, which, doffed, first string
		wantOff                           string // UTC
		wantMinutes                       float64
	}{
		{"visit and taking off before, reading after", "1:50", "", "2:55", "2:05", "00:55", 10},
		{"visit the first time, taking off too", "2:30", "first", "2:50", "2:02", "00:50", 12},
		{"visit the second time", "2:30", "second", "2:40", "2:52", "01:40", 12},
		{"visit noted afterwards", "3:10", "", "2:50", "3:02", "01:50", 12},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, problems := readTyped(t, testLayout, map[string]string{
				"date": "2026-10-25", "time": tt.clock, "which_time": tt.which, "limb1.doffed": tt.doffed, "limb1.first_reading": tt.first,
			})
			if problems.Any() {
				t.Fatalf("problems: %v", problems)
			}
			if got := c.Limbs[0]; got.DoffedAt.Format("15:04") != tt.wantOff || *got.MinutesOff != tt.wantMinutes {
				t.Errorf("off at %v for %v minutes, want %s for %v", got.DoffedAt, *got.MinutesOff, tt.wantOff, tt.wantMinutes)
			}
		})
	}
}

func TestWhichOf(t *testing.T) {
	zone := berlin(t)
	for at, want := range map[string]string{
		"2026-10-25T00:30:00Z": firstTime, "2026-10-25T00:59:59Z": firstTime, "2026-10-25T01:00:00Z": secondTime,
		"2026-10-25T01:30:20Z": secondTime, "2026-10-24T23:59:00Z": "", "2026-10-25T02:00:00Z": "", "2026-07-01T00:30:00Z": "",
	} {
		moment, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if got := whichOf(moment, zone); got != want {
			t.Errorf("%s is %q, want %q", at, got, want)
		}
	}
	if got := whichOf(time.Time{}, zone); got != "" {
		t.Errorf("no moment is %q of two", got)
	}
}
