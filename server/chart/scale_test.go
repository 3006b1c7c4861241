package chart

import (
	"testing"

	"pgregory.net/rapid"
)

func TestScales(t *testing.T) {
	for _, test := range []struct {
		name      string
		got, want scale
	}{
		{"change, nothing", changeScale(0, 0), scale{-8, 8, 4}},
		{"change within the least range", changeScale(-7.9, 3), scale{-8, 8, 4}},
		{"change, one side grows", changeScale(-9, 3), scale{-12, 8, 4}},
		{"change, one side grows to another tick", changeScale(-20, 3), scale{-24, 8, 8}},
		{"change, ends on ticks", changeScale(-9, 20), scale{-16, 24, 8}},
		{"change, unresolved", changeScale(-35, 30), scale{-40, 40, 8}},
		{"weight, one value", weightScale(81.5, 81.5), scale{80, 90, 5}},
		{"weight, wide", weightScale(60, 95), scale{60, 100, 10}},
		{"socks, none", sockScale(0), scale{0, 4, 2}},
		{"socks, many", sockScale(9), scale{0, 12, 4}},
		{"comfort", comfortScale(), scale{0, 10, 5}},
	} {
		if test.got != test.want {
			t.Errorf("%s: got %v, want %v", test.name, test.got, test.want)
		}
	}
}

func TestScalesHoldWhatTheyCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-100, 0).Draw(t, "lo")
		hi := rapid.Float64Range(0, 1000).Draw(t, "hi")
		kg := rapid.Float64Range(2, 300).Draw(t, "kg")
		more := rapid.Float64Range(0, 200).Draw(t, "more")
		for _, test := range []struct {
			s      scale
			lo, hi float64
		}{{changeScale(lo, hi), lo, hi}, {weightScale(kg, kg+more), kg, kg + more}, {sockScale(more), 0, more}} {
			ticks := test.s.ticks()
			if test.s.min > test.lo || test.s.max < test.hi {
				t.Fatalf("%v doesn't hold %v to %v", test.s, test.lo, test.hi)
			}
			if ticks[0] != test.s.min || ticks[len(ticks)-1] != test.s.max {
				t.Fatalf("%v: ticks %v don't reach both ends", test.s, ticks)
			}
		}
	})
}

func TestSignedTicks(t *testing.T) {
	for _, test := range []struct {
		v    float64
		plus bool
		want string
	}{{-8, true, "−8"}, {0, true, "0"}, {8, true, "+8"}, {80, false, "80"}} {
		if got := signed(test.v, test.plus); got != test.want {
			t.Errorf("signed(%v, %v) = %q, want %q", test.v, test.plus, got, test.want)
		}
	}
}
