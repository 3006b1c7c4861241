package clearance

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairlead/analytics/girth"
	"fairlead/analytics/volume"
)

// taped makes a visit from girths every 30 mm, two passes each.
func taped(fitter string, girthsMM ...float64) volume.Visit {
	var readings []girth.Reading
	for i, g := range girthsMM {
		for pass := 1; pass <= 2; pass++ {
			readings = append(readings, girth.Reading{LevelMM: 30 * float64(i), Pass: pass, GirthMM: g})
		}
	}
	profile, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return volume.Visit{Profile: profile, Fitter: fitter}
}

// tube is a limb of one radius in mm.
func tube(radiusMM float64) volume.Visit {
	c := 2 * math.Pi * radiusMM
	return taped("a", c, c, c)
}

func mm(x float64) *float64 { return &x }

// A tube of radius 50 mm that becomes one of 49 mm leaves 1 mm of room
// (geometry); what is worn fills it again (thickness: Sanders 2012).
func TestChangeOfRoom(t *testing.T) {
	threePly := Sock{Ply: 3, Material: "single"}
	onePly := Sock{Ply: 1, Material: "single"}
	tests := []struct {
		name          string
		accepted, now Worn
		want          float64
	}{
		{"nothing changed", Worn{Limb: tube(50)}, Worn{Limb: tube(50)}, 0},
		{"smaller limb", Worn{Limb: tube(50)}, Worn{Limb: tube(49)}, 1},
		{"larger limb", Worn{Limb: tube(50)}, Worn{Limb: tube(51)}, -1},
		{"smaller limb, a 3-ply sock more", Worn{Limb: tube(50)}, Worn{Limb: tube(49), Socks: []Sock{threePly}}, -0.2},
		{
			"a sock worn on both days cancels",
			Worn{Limb: tube(50), Socks: []Sock{onePly}}, Worn{Limb: tube(49), Socks: []Sock{threePly, onePly}}, -0.2,
		},
		{
			"thicker liner",
			Worn{Limb: tube(50), LinerType: "gel", LinerMM: mm(3)}, Worn{Limb: tube(49), LinerType: "gel", LinerMM: mm(6)}, -2,
		},
		{
			"the same liner of unknown thickness cancels",
			Worn{Limb: tube(50), LinerType: "gel"}, Worn{Limb: tube(49), LinerType: "gel"}, 1,
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			levels, mean, err := ChangeOfRoom(tt.accepted, tt.now, volume.DefaultSigmas)
			if err != nil {
				t.Fatal(err)
			}
			if len(levels) != 3 {
				t.Fatalf("got %d levels, want 3", len(levels))
			}
			for _, got := range append(levels, mean) {
				if math.Abs(got.RoomMM-tt.want) > 1e-9 {
					t.Errorf("at %v mm: %+v mm of room, want %v", got.LevelMM, got.RoomMM, tt.want)
				}
				if got.UMM <= 0 || math.Abs(got.HiMM-got.LoMM-2*1.959964*got.UMM) > 1e-9 {
					t.Errorf("at %v mm: interval %v to %v does not belong to u = %v", got.LevelMM, got.LoMM, got.HiMM, got.UMM)
				}
			}
			if mean.LevelMM != 30 {
				t.Errorf("mean stands at %v mm, want the middle of the span, 30 mm", mean.LevelMM)
			}
		})
	}
}

func TestChangeOfRoomSaysWhyNot(t *testing.T) {
	landmark := tube(50)
	landmark.Series.Landmark = "medial joint line"
	tests := []struct {
		name string
		now  Worn
		want error
		text string
	}{
		{"another landmark", Worn{Limb: landmark, LinerType: "gel"}, ErrNotComparable, "landmark"},
		{"not measured", Worn{LinerType: "gel"}, ErrNotComparable, "two levels"},
		{"liner changed, thickness unknown", Worn{Limb: tube(50), LinerType: "foam"}, ErrUnknownLiner, "enter the thickness"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, _, err := ChangeOfRoom(Worn{Limb: tube(50), LinerType: "gel"}, tt.now, volume.DefaultSigmas)
			if !errors.Is(err, tt.want) || !strings.Contains(fmt.Sprint(err), tt.text) {
				t.Errorf("got error %v, want %v with %q", err, tt.want, tt.text)
			}
		})
	}
}

// On a tube every term has a closed form: 3 levels, 30 mm apart, two passes.
func TestRoomUncertaintyOfTube(t *testing.T) {
	reading := volume.Sigmas{ReadingMM: 2}
	bias := volume.Sigmas{BiasSameFitter: 0.005, BiasBetweenFitters: 0.0185}
	other := tube(50)
	other.Fitter = "b"
	early, late := tube(50), tube(50)
	early.MinutesOff, late.MinutesOff = mm(0), mm(1e6)
	tests := []struct {
		name          string
		sigmas        volume.Sigmas
		accepted, now Worn
		level, mean   float64 // u of the first level and of the mean
	}{
		{
			"reading: √2·σr/√2/2π at a level; weights ¼ ½ ¼ for the mean",
			reading, Worn{Limb: tube(50)}, Worn{Limb: tube(50)}, 2 / (2 * math.Pi), 2 / (2 * math.Pi) * math.Sqrt(0.375),
		},
		{"bias, one fitter: √2·β·r", bias, Worn{Limb: tube(50)}, Worn{Limb: tube(50)}, math.Sqrt2 * 0.25, math.Sqrt2 * 0.25},
		{"bias, two fitters", bias, Worn{Limb: tube(50)}, Worn{Limb: other}, math.Sqrt2 * 0.925, math.Sqrt2 * 0.925},
		{
			"time off: the whole rise of 6 % of volume is 3 % of the radius",
			volume.Sigmas{}, Worn{Limb: early}, Worn{Limb: late}, 1.5, 1.5,
		},
		{"a sock more: its own", volume.Sigmas{}, Worn{Limb: tube(50)}, Worn{Limb: tube(50), Socks: []Sock{{Ply: 1}}}, 0.2, 0.2},
		{
			"another liner: both thicknesses",
			volume.Sigmas{},
			Worn{Limb: tube(50), LinerMM: mm(3)}, Worn{Limb: tube(50), LinerMM: mm(6)},
			0.5 * math.Sqrt2, 0.5 * math.Sqrt2,
		},
		{"a liner where there was none", volume.Sigmas{}, Worn{Limb: tube(50), LinerMM: mm(0)}, Worn{Limb: tube(50), LinerMM: mm(3)}, 0.5, 0.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			levels, mean, err := ChangeOfRoom(tt.accepted, tt.now, tt.sigmas)
			if err != nil {
				t.Fatal(err)
			}
			if got := levels[0].UMM; math.Abs(got-tt.level) > 1e-6 {
				t.Errorf("u at a level = %v mm, want %v mm", got, tt.level)
			}
			if math.Abs(mean.UMM-tt.mean) > 1e-6 {
				t.Errorf("u of the mean = %v mm, want %v mm", mean.UMM, tt.mean)
			}
		})
	}
}

// Readings drawn from the error model scatter the mean change of room as much
// as its u says, within 2 %.
func TestRoomUncertaintyAgainstMonteCarlo(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	sigmas := volume.Sigmas{ReadingMM: 2, BiasSameFitter: 0.005}
	// Series A of the domain notes, in mm.
	truth := []float64{320, 335, 330, 310, 285, 250}
	draw := func() volume.Visit {
		bias := 1 + sigmas.BiasSameFitter*rng.NormFloat64()
		var readings []girth.Reading
		for i, g := range truth {
			for pass := 1; pass <= 2; pass++ {
				readings = append(readings, girth.Reading{LevelMM: 30 * float64(i), Pass: pass, GirthMM: g*bias + sigmas.ReadingMM*rng.NormFloat64()})
			}
		}
		profile, err := girth.Pool(readings)
		if err != nil {
			t.Fatal(err)
		}
		return volume.Visit{Profile: profile}
	}
	const n = 10_000 // the standard deviation is known to 0.7 %
	var sum, squares, want float64
	for range n {
		_, mean, err := ChangeOfRoom(Worn{Limb: draw()}, Worn{Limb: draw()}, sigmas)
		if err != nil {
			t.Fatal(err)
		}
		sum += mean.RoomMM
		squares += mean.RoomMM * mean.RoomMM
		want += mean.UMM / n
	}
	got := math.Sqrt(squares/n - sum/n*sum/n)
	if math.Abs(got/want-1) > 0.02 {
		t.Errorf("drawn readings scatter by %.4f mm, u says %.4f mm", got, want)
	}
}

// The change of room turns its sign when the two days are swapped, and a limb
// that loses everywhere never leaves less room.
func TestRoomProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		then := rapid.SliceOfN(rapid.Float64Range(150, 500), 3, 8).Draw(t, "then")
		now := make([]float64, len(then))
		for i, g := range then {
			now[i] = g - rapid.Float64Range(0, 20).Draw(t, "loss")
		}
		a, b := Worn{Limb: taped("a", then...)}, Worn{Limb: taped("a", now...)}
		levels, mean, err := ChangeOfRoom(a, b, volume.DefaultSigmas)
		if err != nil {
			t.Fatal(err)
		}
		back, meanBack, err := ChangeOfRoom(b, a, volume.DefaultSigmas)
		if err != nil {
			t.Fatal(err)
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, l := range levels {
			lo, hi = math.Min(lo, l.RoomMM), math.Max(hi, l.RoomMM)
			if l.RoomMM < -1e-9 || math.Abs(l.RoomMM+back[i].RoomMM) > 1e-9 {
				t.Errorf("at %v mm: %v mm there, %v mm back", l.LevelMM, l.RoomMM, back[i].RoomMM)
			}
		}
		if math.Abs(mean.RoomMM+meanBack.RoomMM) > 1e-9 || mean.RoomMM < lo-1e-9 || mean.RoomMM > hi+1e-9 {
			t.Errorf("mean %v mm (back %v mm) is not within the levels, %v to %v mm", mean.RoomMM, meanBack.RoomMM, lo, hi)
		}
	})
}

func ExampleChangeOfRoom() {
	accepted := Worn{Limb: taped("K", 338, 344, 331, 309, 286, 262), LinerType: "gel", LinerMM: mm(6)}
	now := Worn{Limb: taped("K", 334, 337, 321, 299, 278, 257), LinerType: "gel", LinerMM: mm(6), Socks: []Sock{{Ply: 1}}}
	_, mean, err := ChangeOfRoom(accepted, now, volume.DefaultSigmas)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%+.1f mm, ± %.1f, with today's socks\n", mean.RoomMM, 1.96*mean.UMM)
	// Output: +0.7 mm, ± 1.1, with today's socks
}
