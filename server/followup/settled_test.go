package followup_test

import (
	"testing"

	"fairlead/analytics/assess"
)

// TestClosedIsRaisedByNewsAlone: after a person closed a flag, a visit that finds
// about the same raises nothing; one that finds more, or that comes after a visit
// which had the figure back inside, opens another.
func TestClosedIsRaisedByNewsAlone(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(deliveredAt340))
	for _, day := range []int{5, 10} { // so that the first can't be a slip
		b.record(b.checkin(taping{day: day, girths: girthsOf(340)}))
	}
	for _, day := range []int{30, 40} {
		b.record(b.checkin(taping{day: day, girths: girthsOf(326)}))
	}
	b.close(b.flags(assess.VolumeChange)[0])
	for _, step := range []struct {
		day   int
		girth float64
		flags int
	}{{50, 326, 1}, {60, 325, 1}, {70, 316, 1}, {80, 316, 2}} {
		b.record(b.checkin(taping{day: step.day, girths: girthsOf(step.girth)}))
		if got := b.flags(assess.VolumeChange); len(got) != step.flags {
			t.Fatalf("day %d: %d flags, want %d", step.day, len(got), step.flags)
		}
	}
	b.close(b.flags(assess.VolumeChange)[0])
	b.record(b.checkin(taping{day: 100, girths: girthsOf(316)}))
	b.record(b.checkin(taping{day: 110, girths: girthsOf(340)}))
	b.record(b.checkin(taping{day: 120, girths: girthsOf(340)}))
	if got := b.flags(assess.VolumeChange); len(got) != 2 {
		t.Fatalf("nothing new: %d flags, want 2", len(got))
	}
	b.record(b.checkin(taping{day: 140, girths: girthsOf(316)}))
	b.record(b.checkin(taping{day: 150, girths: girthsOf(316)}))
	if got := b.flags(assess.VolumeChange); len(got) != 3 {
		t.Errorf("after it had come back inside: %d flags, want 3", len(got))
	}
}

// TestGoneByMoreThanItsError: an open flag is said to be found no longer only
// once the newest figure is inside the limit by more than its uncertainty.
func TestGoneByMoreThanItsError(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(deliveredAt340))
	b.record(b.checkin(newestAt320))
	for _, step := range []struct {
		day      int
		girth    float64
		gone     bool
		evidence int
	}{{80, 322, false, 2}, {100, 340, false, 2}, {120, 340, true, 2}} {
		b.record(b.checkin(taping{day: step.day, girths: girthsOf(step.girth)}))
		flag := b.flags(assess.VolumeChange)[0]
		if basis := b.basis(assess.VolumeChange); basis.NotFound != step.gone || flag.ClosedAt != nil || len(flag.Evidence) != step.evidence {
			t.Errorf("day %d: not found %t, want %t, with %d pieces of evidence", step.day, basis.NotFound, step.gone, len(flag.Evidence))
		}
	}
}
