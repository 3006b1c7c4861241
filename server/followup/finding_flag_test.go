package followup_test

import (
	"slices"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// tickingBench is a bench in whose store each moment comes after the one before.
func tickingBench(t *testing.T) *bench {
	now := modelstest.Start
	return benchIn(t, modelstest.SQLiteAt(t, func() time.Time {
		now = now.Add(time.Second)
		return now
	}))
}

// stateOf is how the change of volume that a check-in finds stands among the flags;
// ok is false where it finds none.
func (b *bench) stateOf(record followup.ClientRecord, checkinID string, saved bool) (at followup.FindingFlag, ok bool) {
	b.t.Helper()
	flags, err := b.store.FlagsOf(b.t.Context(), b.limb.ClientID)
	b.must(err)
	results, err := record.ResultsOf(checkinID, record)
	b.must(err)
	i := slices.IndexFunc(results[0].Findings, func(f assess.Finding) bool { return f.Rule == assess.VolumeChange })
	if i < 0 {
		return at, false
	}
	of := record.FlagOf
	if !saved {
		of = record.FlagOfUnsaved
	}
	at, err = of(record.Limbs[0], flags, results[0].Findings[i])
	b.must(err)
	return at, true
}

// TestFlagOfEachFinding: what is said before a check-in is saved comes about, and
// what is said after stays true however the history goes on.
func TestFlagOfEachFinding(t *testing.T) {
	b := tickingBench(t)
	b.record(b.checkin(deliveredAt340))
	type expected struct {
		checkin models.Checkin
		found   bool
		state   followup.FlagState
		flag    string
	}
	var all []expected
	for i, step := range []struct {
		girth  float64
		close  bool // what is open, before
		before followup.FlagState
		after  followup.FlagState
	}{
		{girth: 340}, // so that the delivery can't be a slip
		{girth: 340},
		{girth: 326},
		{girth: 326, before: followup.FlagOpens, after: followup.FlagThere},
		{girth: 325, before: followup.FlagJoins, after: followup.FlagThere},
		{girth: 326, close: true, before: followup.FlagSettled, after: followup.FlagSettled},
		{girth: 325, before: followup.FlagSettled, after: followup.FlagSettled},
		{girth: 316, before: followup.FlagOpens, after: followup.FlagThere},
		{girth: 316, before: followup.FlagJoins, after: followup.FlagThere},
		{girth: 316, close: true, before: followup.FlagSettled, after: followup.FlagSettled},
		{girth: 340, before: followup.FlagSettled, after: followup.FlagSettled},
		{girth: 340},
		{girth: 316, before: followup.FlagOpens, after: followup.FlagThere},
	} {
		if step.close {
			b.close(b.flags(assess.VolumeChange)[0])
		}
		c := b.checkin(taping{day: 20 + 20*i, girths: girthsOf(step.girth)})
		draft := c
		draft.ID = "draft"
		flags, evidence := len(b.flags(assess.VolumeChange)), b.evidence(assess.VolumeChange)
		before, found := b.stateOf(b.load().With(draft), "draft", false)
		if before.State != step.before {
			t.Errorf("step %d: before saving %q, want %q", i, before.State, step.before)
		}
		c = b.record(c)
		opened, added := len(b.flags(assess.VolumeChange))-flags, b.evidence(assess.VolumeChange)-evidence
		if (opened == 1) != (before.State == followup.FlagOpens) || (added == 1) != (opened == 1 || before.State == followup.FlagJoins) {
			t.Errorf("step %d: %q opened %d flags with %d pieces of evidence", i, before.State, opened, added)
		}
		after, _ := b.stateOf(b.load(), c.ID, true)
		if after.State != step.after || (after.Flag.ID == "") != (step.after == "") {
			t.Errorf("step %d: %+v, want %q", i, after, step.after)
		}
		all = append(all, expected{c, found, after.State, after.Flag.ID})
	}
	b.close(b.flags(assess.VolumeChange)[0])
	for i, want := range all {
		got, found := b.stateOf(b.load(), want.checkin.ID, true)
		if found != want.found || got.State != want.state || got.Flag.ID != want.flag {
			t.Errorf("step %d: in the end %q of flag %q, want %q of %q", i, got.State, got.Flag.ID, want.state, want.flag)
		}
	}
}

// TestFlagOfACorrection: a flag rests on a check-in whichever version of it the
// evidence names; what no flag rests on is not said to be settled.
func TestFlagOfACorrection(t *testing.T) {
	b := tickingBench(t)
	delivery := b.record(b.checkin(deliveredAt340))
	low := b.record(b.checkin(taping{day: 20, girths: girthsOf(326)}))
	b.close(b.flags(assess.VolumeChange)[0])
	corrected := b.correct(low, taping{day: 20, girths: girthsOf(327)})
	if at, _ := b.stateOf(b.load(), corrected.ID, true); at.State != followup.FlagThere || at.Flag.ClosedAt == nil {
		t.Errorf("corrected: %+v", at)
	}
	next := b.record(b.checkin(taping{day: 40, girths: girthsOf(340)}))
	b.correct(delivery, taping{kind: models.Delivery, girths: girthsOf(360)})
	at, found := b.stateOf(b.load(), next.ID, true)
	if !found || at.State == followup.FlagSettled {
		t.Errorf("found by a later correction: %t, %+v", found, at)
	}
}
