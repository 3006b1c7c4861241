package demo

import (
	"testing"

	"fairlead/server/followup"
)

// TestEveryInventedReviewIsAsSigned: the hash of each review, and of the limits
// that it set, is that of what the record holds.
func TestEveryInventedReviewIsAsSigned(t *testing.T) {
	store := filled(t, aWednesday)
	n := 0
	for _, c := range clients(t, store) {
		limbs, err := store.LimbsOf(t.Context(), c.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range limbs {
			basis, err := followup.LoadReview(t.Context(), store, c.ID, l.ID)
			if err != nil {
				t.Fatal(err)
			}
			for _, r := range basis.Reviews {
				n++
				if set, _ := basis.Limb.LimitsOf(r.ID); !followup.Unchanged(r, set) {
					t.Errorf("review %d of %s is not what was signed", r.Number, c.Name)
				}
			}
		}
	}
	if n < 5 {
		t.Errorf("%d reviews were signed, want at least 5", n)
	}
}
