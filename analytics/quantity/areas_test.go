package quantity

import (
	"slices"
	"strings"
	"testing"
)

func TestSegments(t *testing.T) {
	tests := []struct {
		level AmputationLevel
		want  string
	}{
		{PartialFoot, "ankle foot"},
		{AnkleDisarticulation, "calf ankle foot"},
		{Transtibial, "knee calf ankle foot"},
		{KneeDisarticulation, "thigh knee calf ankle foot"},
		{Transfemoral, "hip thigh knee calf ankle foot"},
		{HipDisarticulation, "hip thigh knee calf ankle foot"},
		{Transpelvic, "hip thigh knee calf ankle foot"},
		{PartialHand, "wrist hand"},
		{WristDisarticulation, "forearm wrist hand"},
		{Transradial, "elbow forearm wrist hand"},
		{ElbowDisarticulation, "upper-arm elbow forearm wrist hand"},
		{Transhumeral, "shoulder upper-arm elbow forearm wrist hand"},
		{ShoulderDisarticulation, "shoulder upper-arm elbow forearm wrist hand"},
		{Forequarter, "shoulder upper-arm elbow forearm wrist hand"},
		{"none of them", ""},
	}
	for _, tt := range tests {
		var got []string
		for _, s := range Segments(tt.level) {
			got = append(got, string(s))
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s: got %v, want %s", tt.level, got, tt.want)
		}
	}
	if len(tests) != len(AmputationLevels)+1 {
		t.Errorf("%d levels are tested, there are %d", len(tests)-1, len(AmputationLevels))
	}
}

func TestAreas(t *testing.T) {
	got := Areas(PartialHand)
	want := []Area{
		"wrist.anterior", "wrist.lateral", "wrist.posterior", "wrist.medial",
		"hand.anterior", "hand.lateral", "hand.posterior", "hand.medial",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	for _, level := range AmputationLevels {
		areas := Areas(level)
		if n := len(Segments(level)) * 4; len(areas) != n || len(slices.Compact(slices.Sorted(slices.Values(areas)))) != n {
			t.Errorf("%s: %v are not %d different areas", level, areas, n)
		}
	}
}
