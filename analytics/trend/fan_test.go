package trend

import (
	"math"
	"testing"

	"fairlead/analytics/quantity"
)

// TestFan: the fan begins where the filter is, its 90 % are those of Ahead, its 50 %
// lie inside, and both widen.
func TestFan(t *testing.T) {
	var visits []Visit
	for i := range 8 {
		visits = append(visits, Visit{Date: quantity.Date("2026-01-05").AddDays(30 * i), VolumeML: 1000 - 4*float64(i), UML: 15, Source: "tape"})
	}
	r, err := Run(visits, Options{})
	if err != nil {
		t.Fatal(err)
	}
	before := 0.0
	for days := 0; days <= r.Forecast.HorizonDays; days += 7 {
		wide, half := r.Fan(days)
		if ahead, _ := r.Ahead(days); wide != ahead {
			t.Errorf("after %d days %v, want %v", days, wide, ahead)
		}
		if half.Estimate != wide.Estimate || !(wide.Lo < half.Lo && half.Hi < wide.Hi) {
			t.Errorf("after %d days %v does not lie in %v", days, half, wide)
		}
		if width := wide.Hi - wide.Lo; width < before {
			t.Errorf("after %d days it is %v wide, before that %v", days, width, before)
		} else {
			before = width
		}
	}
	if wide, _ := r.Fan(0); math.Abs(wide.Estimate-r.Change.Estimate) > 1e-9 {
		t.Errorf("begins at %v, want %v", wide.Estimate, r.Change.Estimate)
	}
}
