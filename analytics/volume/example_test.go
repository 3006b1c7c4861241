package volume_test

import (
	"fmt"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// visit makes two passes every 30 mm.
func visit(girthsMM ...float64) girth.Profile {
	var readings []girth.Reading
	for i, g := range girthsMM {
		level := 30 * float64(i)
		readings = append(readings, girth.Reading{LevelMM: level, Pass: 1, GirthMM: g + 1}, girth.Reading{LevelMM: level, Pass: 2, GirthMM: g - 1})
	}
	profile, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return profile
}

// The volume of a span, with the distal end on its own line.
func ExampleMeasure() {
	profile := visit(320, 335, 330, 310, 285, 250)
	e, err := volume.Measure(profile, volume.DefaultSigmas)
	if err != nil {
		fmt.Println(err)
		return
	}
	end, err := volume.Cap(quantity.SemiEllipsoid, 250, 30)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%g to %g mm: %.1f mL ± %.1f mL\n", e.FromMM, e.ToMM, e.VolumeML, e.UML)
	fmt.Printf("distal cap: %.1f mL\n", end)
	// Output:
	// 0 to 150 mm: 1147.1 mL ± 16.6 mL
	// distal cap: 99.5 mL
}

// Every girth 8 mm down, first by the same fitter, then by another.
func ExampleCompare() {
	then := volume.Visit{Profile: visit(320, 335, 330, 310, 285, 250), Fitter: "A"}
	now := volume.Visit{Profile: visit(312, 327, 322, 302, 277, 242), Fitter: "A"}
	fmt.Println(volume.Compare(then, now, volume.DefaultSigmas).Verdict)
	now.Fitter = "B"
	change := volume.Compare(then, now, volume.DefaultSigmas)
	fmt.Println(change.Verdict, change.Widened)
	fmt.Println(change.Why)
	// Output:
	// smaller
	// can't be told [fitter]
	// can't be told from measuring error: between −15.5 and +5.3 %; measure again before the client leaves
}
