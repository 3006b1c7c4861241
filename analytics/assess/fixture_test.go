package assess

import (
	"math"
	"slices"
	"testing"
	"time"

	"fairlead/analytics/clearance"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// seriesA are the girths of series A of the domain notes in mm, every 30 mm.
var seriesA = []float64{320, 335, 330, 310, 285, 250}

// scaled is series A with its volume changed by percent, read in two passes.
func scaled(percent float64) volume.Visit {
	k := math.Sqrt(1 + percent/100)
	var readings []girth.Reading
	for i, g := range seriesA {
		for pass := 1; pass <= 2; pass++ {
			readings = append(readings, girth.Reading{LevelMM: 30 * float64(i), Pass: pass, GirthMM: g * k})
		}
	}
	profile, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return volume.Visit{
		Profile: profile, Fitter: "K",
		Series: volume.Series{Landmark: "mid-patellar tendon", CapKind: quantity.NoCap, Device: "tape"},
	}
}

// visit makes a check-in on a day at noon, with a limb of that volume change.
func visit(on quantity.Date, percent float64, with ...func(*Visit)) Visit {
	t, ok := on.Time()
	if !ok {
		panic("not a date: " + string(on))
	}
	v := Visit{ID: "visit " + string(on), On: on, At: t.Add(12 * time.Hour).Unix(), Residual: scaled(percent), Shoe: "walking shoe"}
	for _, f := range with {
		f(&v)
	}
	return v
}

// legs is a history of a mature transtibial limb.
func legs(visits ...Visit) History {
	return History{
		Limb:   Limb{ID: "limb", Level: quantity.Transtibial, AmputatedOn: "2015-05-04", SocketAcceptedOn: "2026-01-10"},
		Visits: visits,
		Sigmas: volume.DefaultSigmas,
	}
}

// unmeasured leaves the limb without readings.
func unmeasured(v *Visit) { v.Residual.Profile = nil }

func comfort(points int) func(*Visit) { return func(v *Visit) { v.Comfort = &points } }

func by(fitter string) func(*Visit) { return func(v *Visit) { v.Residual.Fitter = fitter } }

func skin(place, sign string) func(*Visit) {
	return func(v *Visit) { v.Skin = append(v.Skin, Skin{Place: place, Sign: sign}) }
}

// wearing sets the socks, by ply from the skin outwards.
func wearing(ply ...int) func(*Visit) {
	return func(v *Visit) {
		v.SocksAsked = true
		for _, p := range ply {
			v.SocksNow = append(v.SocksNow, clearance.Sock{Ply: p})
		}
	}
}

func gap(station string, mm float64) func(*Visit) {
	return func(v *Visit) {
		v.Clearances = append(v.Clearances, Clearance{StationID: station, GapMM: &mm, Method: quantity.Feeler})
	}
}

func touch(station string, touch quantity.Touch) func(*Visit) {
	return func(v *Visit) {
		v.Clearances = append(v.Clearances, Clearance{StationID: station, Method: quantity.WitnessMark, Touch: touch})
	}
}

// station is one in the posterior direction at the 9 cm level.
func station(id string, n quantity.Neighbour) Station {
	return Station{ID: id, LevelMM: 90, Direction: quantity.Posterior, Posture: quantity.Seated, Neighbour: n}
}

func number(x float64) *float64 { return &x }

// only returns the finding of a rule and fails when there is not exactly one.
func only(t *testing.T, findings []Finding, rule Rule) Finding {
	t.Helper()
	of := slices.DeleteFunc(slices.Clone(findings), func(f Finding) bool { return f.Rule != rule })
	if len(of) != 1 {
		t.Fatalf("got %d findings of rule %q, want 1: %+v", len(of), rule, findings)
	}
	return of[0]
}

// levelOf returns the level of the most urgent finding of a rule, or nothing.
func levelOf(findings []Finding, rule Rule) Level {
	for _, f := range findings {
		if f.Rule == rule {
			return f.Level
		}
	}
	return ""
}
