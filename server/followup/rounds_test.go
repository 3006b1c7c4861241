package followup_test

import (
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
)

// secondRound adds a second round to a visit: girths in mm down its levels, two
// passes each.
func secondRound(v *followup.LimbVisit, girths ...float64) {
	for i, mm := range girths {
		for _, pass := range []int{4, 5} {
			v.Seen.Readings = append(v.Seen.Readings, models.Reading{
				Part: quantity.Residual, Level: quantity.FromMM(levels[i]), Pass: pass, Girth: quantity.FromMM(mm),
			})
		}
	}
}

func assessed(t *testing.T, l followup.LimbRecord) assess.Visit {
	t.Helper()
	h, err := l.History("")
	if err != nil {
		t.Fatal(err)
	}
	newest, _ := h.Newest()
	return newest
}

func TestRoundsOfAVisit(t *testing.T) {
	ten, sixteen := 10.0, 16.0
	tests := []struct {
		name          string
		change        func(*followup.LimbVisit)
		counted       float64 // mm at the first level
		first         float64 // 0: one round only
		minutes, then *float64
	}{
		{"one round", func(*followup.LimbVisit) {}, 340, 0, &ten, nil},
		{"two", func(v *followup.LimbVisit) { secondRound(v, girthsOf(336)...) }, 336, 340, &ten, &ten},
		{"two, with the time of both", func(v *followup.LimbVisit) {
			secondRound(v, girthsOf(336)...)
			v.Seen.SecondMinutesOff = &sixteen
		}, 336, 340, &sixteen, &ten},
		{"broken off", func(v *followup.LimbVisit) {
			secondRound(v, 336, 331)
			v.Seen.SecondMinutesOff = &sixteen
		}, 340, 0, &ten, nil},
		{"a plan of five passes, from before rounds", func(v *followup.LimbVisit) {
			five := "five"
			v.Seen.PlanID = &five
			secondRound(v, girthsOf(336)...)
		}, 338, 0, &ten, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := record(taping{fitter: "a", girths: girthsOf(340)})
			l.Plans = append(l.Plans, models.MeasuringPlan{ID: "five", Number: 3, Passes: 5})
			l.Visits[0].Seen.MinutesOff = &ten
			tt.change(&l.Visits[0])
			v := assessed(t, l)
			if got := v.Residual.Profile[0].GirthMM; got != tt.counted || len(v.Residual.Profile) != 4 {
				t.Errorf("%g mm counts at %d levels, want %g at 4", got, len(v.Residual.Profile), tt.counted)
			}
			if *v.Residual.MinutesOff != *tt.minutes {
				t.Errorf("off for %g min, want %g", *v.Residual.MinutesOff, *tt.minutes)
			}
			switch first := v.ResidualFirst; {
			case tt.first == 0 && len(first.Profile) != 0:
				t.Errorf("there is a first of two rounds: %+v", first.Profile)
			case tt.first != 0 && (first.Profile[0].GirthMM != tt.first || *first.MinutesOff != *tt.then || first.Series != v.Residual.Series):
				t.Errorf("the first round is %+v", first)
			}
		})
	}
}

// TestPairsWithinARound: a pair is apart, or not, within its own round (M1).
func TestPairsWithinARound(t *testing.T) {
	l := record(taping{fitter: "a", girths: girthsOf(340)})
	secondRound(&l.Visits[0], girthsOf(330)...) // 10 mm from the first, each pair equal
	v := assessed(t, l)
	if v.Residual.Profile[0].Reread || v.ResidualFirst.Profile[0].Reread {
		t.Error("readings of two rounds are taken for a pair")
	}
	readings := l.Visits[0].Seen.Readings
	readings[len(readings)-1].Girth += quantity.FromMM(9)
	if v = assessed(t, l); !v.Residual.Profile[3].Reread {
		t.Error("a pair of the second round that is apart is not found")
	}
}

// TestResultOfTwoRounds: the second counts, both are told with their difference, and
// nobody is asked for a third.
func TestResultOfTwoRounds(t *testing.T) {
	r := followup.ClientRecord{Limbs: []followup.LimbRecord{record(taping{fitter: "a", girths: girthsOf(340)})}}
	l := &r.Limbs[0]
	asked, err := r.MeasureAgain("checkin-0")
	if err != nil || asked["limb"] != assess.FirstOfSeries {
		t.Fatalf("asked %v, %v, want %s", asked, err, assess.FirstOfSeries)
	}
	secondRound(&l.Visits[0], girthsOf(336)...)
	if asked, err = r.MeasureAgain("checkin-0"); err != nil || len(asked) != 0 {
		t.Errorf("asked for a third time: %v, %v", asked, err)
	}
	results, err := r.ResultsOf("checkin-0", r)
	if err != nil || results[0].Rounds == nil {
		t.Fatalf("no rounds: %+v, %v", results, err)
	}
	rounds := results[0].Rounds
	if results[0].Volume.VolumeML != rounds.Second.VolumeML || rounds.First.VolumeML <= rounds.Second.VolumeML {
		t.Errorf("%g mL counts, of %g and %g", results[0].Volume.VolumeML, rounds.First.VolumeML, rounds.Second.VolumeML)
	}
	want := 100 * (rounds.Second.VolumeML/rounds.First.VolumeML - 1)
	if got := rounds.Change; got.Verdict == volume.NotComparable || got.ChangePercent-want > 1e-9 || want-got.ChangePercent > 1e-9 {
		t.Errorf("the second differs by %+v, want %g %%", got, want)
	}
}

// TestNotAskedOfAnOlderVisit: only of the newest visit can the limb still be there.
func TestNotAskedOfAnOlderVisit(t *testing.T) {
	r := followup.ClientRecord{Limbs: []followup.LimbRecord{record(
		taping{fitter: "a", girths: girthsOf(340)}, taping{day: 30, fitter: "a", girths: girthsOf(340)},
	)}}
	if asked, err := r.MeasureAgain("checkin-0"); err != nil || len(asked) != 0 {
		t.Errorf("asked %v, %v", asked, err)
	}
}
