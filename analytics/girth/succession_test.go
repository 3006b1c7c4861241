package girth

import (
	"slices"
	"testing"
)

func profileOf(t *testing.T, girthsMM ...float64) Profile {
	t.Helper()
	var readings []Reading
	for i, g := range girthsMM {
		readings = append(readings, Reading{LevelMM: 30 * float64(i), Pass: 1, GirthMM: g})
	}
	p, err := Pool(readings)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestMixedUnits(t *testing.T) {
	cases := []struct {
		name string
		a, b []float64
		want bool
	}{
		{"the same limb a year later", []float64{320, 335, 300}, []float64{290, 305, 270}, false},
		{"centimetres taken for millimetres", []float64{320, 335, 300}, []float64{32, 33.5, 30}, true},
		{"the other way round", []float64{32, 33.5, 30}, []float64{320, 335, 300}, true},
		{"inches taken for millimetres, an adult's thigh", []float64{560, 600}, []float64{22, 23.6}, true},
		{"one typing error among many", []float64{320, 335, 300}, []float64{32, 335, 300}, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := MixedUnits(profileOf(t, c.a...), profileOf(t, c.b...)); got != c.want {
				t.Errorf("MixedUnits = %v, want %v", got, c.want)
			}
		})
	}
}

// M6: more than 8 % since the last visit (common practice, no source).
func TestImplausibleLevels(t *testing.T) {
	last := profileOf(t, 320, 335, 300)
	if got := ImplausibleLevels(last, profileOf(t, 320, 293, 276)); !slices.Equal(got, []float64{30}) {
		t.Errorf("levels %v, want [30]: 335 to 293 mm is 12.5 %%, 300 to 276 mm exactly 8 %%", got)
	}
	if got := ImplausibleLevels(last, profileOf(t, 320)); got != nil {
		t.Errorf("levels %v, want none", got)
	}
}
