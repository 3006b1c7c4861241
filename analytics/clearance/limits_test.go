package clearance

import (
	"testing"

	"fairlead/analytics/quantity"
)

// Rows K1–K5 of the domain notes: common practice, no source.
func TestStartingLimits(t *testing.T) {
	tests := []struct {
		name      string
		neighbour quantity.Neighbour
		want      Limits
	}{
		{"K1 cover to socket wall: warn below 3 mm, act below 2 mm", quantity.SocketWall, Limits{3, 2}},
		{"K2 cover to pylon, knee unit, adapters: 5 mm, 3 mm", quantity.FixedPart, Limits{5, 3}},
		{"K3 cover to moving knee parts: 6 mm, 4 mm", quantity.MovingJoint, Limits{6, 4}},
		{"K4 cover to foot or keel: 8 mm, 5 mm", quantity.FootOrKeel, Limits{8, 5}},
		{"K5 cover to skin: 10 mm, act at contact", quantity.SkinSurface, Limits{10, 0}},
		{"an unknown word is judged as a moving part", quantity.Neighbour("?"), Limits{6, 4}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := StartingLimits(tt.neighbour); got != tt.want {
				t.Errorf("StartingLimits(%q) = %v, want %v", tt.neighbour, got, tt.want)
			}
		})
	}
}

// Row K7: feeler 0.5 mm (common practice); the others are ours.
func TestGapSigma(t *testing.T) {
	want := map[quantity.ClearanceMethod]float64{
		quantity.Feeler: 0.5, quantity.Putty: 0.5, quantity.WitnessMark: 1, "": 1,
	}
	for method, sigma := range want {
		if got := GapSigmaMM(method); got != sigma {
			t.Errorf("GapSigmaMM(%q) = %v mm, want %v mm", method, got, sigma)
		}
	}
}
