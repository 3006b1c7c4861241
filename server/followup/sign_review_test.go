package followup_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
	"pgregory.net/rapid"
)

// signing is what the bench's prosthetist would sign on what there is now.
func (b *bench) signing() followup.Signing {
	b.t.Helper()
	basis, err := followup.LoadReview(b.t.Context(), b.store, b.limb.ClientID, b.limb.ID)
	b.must(err)
	return followup.Signing{
		ClientID: b.limb.ClientID, LimbID: b.limb.ID, By: b.fitter, On: "2026-03-20", Shown: basis.Shown(),
		Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, MayClose: ofProsthetist,
	}
}

func ofProsthetist(f models.Flag) bool { return assess.About(f.About).ClosedBy() == assess.Prosthetist }

func (b *bench) sign(s followup.Signing) (models.Review, error) {
	b.t.Helper()
	return followup.SignReview(b.t.Context(), b.store, modelstest.Start, s)
}

// shrunk records a delivery and a follow-up with girths 3 % smaller, which is
// about 6 % of the volume, and returns the flag of that.
func (b *bench) shrunk() models.Flag {
	b.t.Helper()
	b.record(b.checkin(taping{day: 0, kind: models.Delivery, girths: girthsOf(334)}))
	b.record(b.checkin(taping{day: 60, girths: girthsOf(324)}))
	flags := b.flags(assess.VolumeChange)
	if len(flags) != 1 {
		b.t.Fatalf("%d flags of volume, want 1", len(flags))
	}
	return flags[0]
}

// newLimits are limits as a form gives them.
func newLimits(loss float64) *models.LimbLimits {
	return &models.LimbLimits{LossPercent: loss, LossReviewPercent: 12, GainPercent: 5, GainTodayPercent: 10, Reason: "a soft liner"}
}

func TestSignedReviewKeepsWhatItSays(t *testing.T) {
	b := newBench(t)
	flag := b.shrunk()
	s := b.signing()
	s.Decisions = []models.Decision{{Kind: models.LookAgainDecision, Until: "2026-05-01"}, {Kind: models.LimitsConfirmed}}
	s.Note, s.Limits, s.Close = "seen with the client", newLimits(8), map[string]string{flag.ID: "expected while settling"}
	review, err := b.sign(s)
	b.must(err)
	if review.Number != 1 || review.SignedBy != b.fitter.ID || review.SignerName != "Kit" || review.LookAgainOn != "2026-05-01" {
		t.Errorf("signed %+v", review)
	}
	if saw := review.Saw; len(saw.Checkins) != 2 || saw.Checkins[1].Readings != 8 || saw.Checkins[1].Number != 1 || len(saw.Flags) != 1 ||
		!saw.Flags[0].Closed || saw.Flags[0].Reason != "expected while settling" || saw.LimitsID != "" {
		t.Errorf("it saw %+v", review.Saw)
	}

	basis, err := followup.LoadReview(t.Context(), b.store, b.limb.ClientID, b.limb.ID)
	b.must(err)
	set, before := basis.Limb.LimitsOf(review.ID)
	if set == nil || before != nil || set.LossPercent != 8 || set.SetBy != "Kit" || set.SetOn != "2026-03-20" || set.Number != 1 {
		t.Fatalf("limits %+v, before %+v", set, before)
	}
	if !followup.Unchanged(*basis.Last(), set) {
		t.Error("read back, the review is not what was signed")
	}
	closed := b.flags(assess.VolumeChange)[0]
	if closed.ClosedReviewID == nil || *closed.ClosedReviewID != review.ID || closed.ClosedBy != b.fitter.ID || closed.SeenAt == nil {
		t.Errorf("the flag is %+v", closed)
	}
	if last := closed.Steps[len(closed.Steps)-1]; last.Kind != models.StepReviewed || *last.ReviewID != review.ID {
		t.Errorf("its last step is %+v", last)
	}

	// the rules use the limits that were signed
	b.record(b.checkin(taping{day: 90, girths: girthsOf(324)}))
	if n := len(b.flags(assess.VolumeChange)); n != 1 {
		t.Errorf("a change of about 6 %% opened a flag against a limit of 8 %%")
	}
	b.record(b.checkin(taping{day: 120, girths: girthsOf(316)}))
	raised := b.flags(assess.VolumeChange)
	if len(raised) != 2 || !strings.Contains(string(raised[0].Evidence[0].Finding), `"by":"Kit"`) {
		t.Errorf("a change beyond the limit of 8 %% gave %+v", raised)
	}

	again := b.signing()
	next, err := b.sign(again)
	b.must(err)
	if next.Number != 2 || next.Saw.LimitsID != set.ID || len(next.Saw.Flags) != 3 || next.Saw.Flags[0].Closed {
		t.Errorf("the next review is %+v", next)
	}
	if open := b.flags(assess.VolumeChange)[0]; open.ClosedAt != nil || open.SeenAt == nil {
		t.Errorf("the flag that was left open is %+v", open)
	}
}

// TestStaleReviewIsNotSigned: whatever comes between showing and signing, nothing
// of the signature is kept.
func TestStaleReviewIsNotSigned(t *testing.T) {
	for name, change := range map[string]func(b *bench){
		"a check-in":    func(b *bench) { b.record(b.checkin(taping{day: 90, girths: girthsOf(334)})) },
		"a correction":  func(b *bench) { b.correct(b.newest(), taping{day: 61, girths: girthsOf(325)}) },
		"a signature":   func(b *bench) { b.review(b.limb.ID) },
		"a closed flag": func(b *bench) { b.close(b.flags(assess.VolumeChange)[0]) },
		"an event": func(b *bench) {
			b.must(b.store.AddEvent(b.t.Context(), &models.Event{LimbID: b.limb.ID, Kind: models.Illness, On: "2026-03-01", RecordedBy: "Kit"}))
		},
		"the limb": func(b *bench) { b.must(b.store.UpdateLimb(b.t.Context(), &b.limb)) },
		"the prosthesis": func(b *bench) {
			b.must(b.store.SaveProsthesis(b.t.Context(), &models.Prosthesis{LimbID: b.limb.ID, SocketType: "total surface"}))
		},
		"the cover": func(b *bench) {
			worn, err := b.store.CurrentCovers(b.t.Context(), []string{b.limb.ID})
			b.must(err)
			cover := worn[b.limb.ID]
			b.must(b.store.UpdateCover(b.t.Context(), &cover))
		},
		"the plan": func(b *bench) {
			plan := b.plan
			plan.ID = ""
			b.must(b.store.AddPlan(b.t.Context(), &plan))
		},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			flag := b.shrunk()
			s := b.signing()
			s.Limits, s.Close = newLimits(8), map[string]string{flag.ID: "expected"}
			change(b)
			before := b.signing().Shown
			if _, err := b.sign(s); !errors.Is(err, models.ErrStale) {
				t.Errorf("got %v, want %v", err, models.ErrStale)
			}
			if differs := b.signing().Shown.Against(before); len(differs) > 0 {
				t.Errorf("it left %+v behind", differs)
			}
		})
	}
}

// newest is the newest check-in of the bench.
func (b *bench) newest() models.Checkin {
	b.t.Helper()
	all, err := b.store.CheckinsOf(b.t.Context(), b.limb.ClientID)
	b.must(err)
	return all[len(all)-1]
}

func TestTwoSignaturesAtOnce(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, store *models.Store) {
		b := benchIn(t, store)
		b.shrunk()
		s := b.signing()
		results := make(chan error, 8)
		for range cap(results) {
			go func() {
				_, err := followup.SignReview(t.Context(), b.store, modelstest.Start, s)
				results <- err
			}()
		}
		signed := 0
		for range cap(results) {
			switch err := <-results; {
			case err == nil:
				signed++
			case !errors.Is(err, models.ErrStale):
				t.Errorf("got %v, want %v", err, models.ErrStale)
			}
		}
		if signed != 1 {
			t.Errorf("%d of 8 were signed, want 1", signed)
		}
	})
}

func TestWhatCannotBeSigned(t *testing.T) {
	b := newBench(t)
	flag := b.shrunk()
	for name, spoil := range map[string]func(*followup.Signing){
		"no decision": func(s *followup.Signing) { s.Decisions = nil },
		"no change beside adjust": func(s *followup.Signing) {
			s.Decisions = []models.Decision{{Kind: models.Adjust}, {Kind: models.NoChangeDecided}}
		},
		"a flag closed without a reason": func(s *followup.Signing) { s.Close = map[string]string{flag.ID: ""} },
		"a flag that is not there":       func(s *followup.Signing) { s.Close = map[string]string{"elsewhere": "seen"} },
		"a flag that isn't theirs": func(s *followup.Signing) {
			s.Close, s.MayClose = map[string]string{flag.ID: "seen"}, func(models.Flag) bool { return false }
		},
		"limits the wrong way round": func(s *followup.Signing) { s.Limits = newLimits(13) },
	} {
		t.Run(name, func(t *testing.T) {
			s := b.signing()
			spoil(&s)
			if _, err := b.sign(s); !errors.Is(err, models.ErrInvalid) {
				t.Errorf("got %v, want %v", err, models.ErrInvalid)
			}
			if basis, _ := followup.LoadReview(t.Context(), b.store, b.limb.ClientID, b.limb.ID); basis.Last() != nil || len(basis.Limb.Limits) > 0 {
				t.Error("something of it was kept")
			}
		})
	}
	other := newBench(t)
	if _, err := followup.LoadReview(t.Context(), b.store, b.limb.ClientID, other.limb.ID); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("another client's limb: got %v, want %v", err, models.ErrNotFound)
	}
}

// TestHashCoversEverySignedField: whichever field is changed, the review is no
// longer what was signed.
func TestHashCoversEverySignedField(t *testing.T) {
	room, chosen := quantity.FromMM(1.5), modelstest.Start.Add(-time.Hour)
	signed := func() (models.Review, *models.LimbLimits) {
		r := models.Review{
			ID: "r", ClientID: "c", LimbID: "l", Number: 3, SignedAt: modelstest.Start, SignedBy: "p", SignerName: "Wren",
			PasswordChosenAt: &chosen, PasswordLinkBy: "Olm",
			Decisions: []models.Decision{{Kind: models.CoverOff, Until: "2026-05-01", Note: "the clip"}}, Note: "n", LookAgainOn: "2026-06-01",
			Saw: models.Saw{
				Checkins: []models.SawCheckin{{ID: "k", Number: 1, Readings: 6}}, Reports: []string{"t"}, LimitsID: "m",
				Flags: []models.SawFlag{{ID: "f", Version: 2, Level: "soon", Closed: true, Reason: "w"}},
			},
		}
		set := newLimits(8)
		set.SetBy, set.SetOn, set.Room = "Wren", "2026-03-02", &room
		r.ContentHash = followup.ContentHash(r, set)
		return r, set
	}
	if r, set := signed(); !followup.Unchanged(r, set) || len(r.ContentHash) != 64 {
		t.Fatal("an untouched review does not verify")
	}
	if r, _ := signed(); followup.Unchanged(r, nil) {
		t.Error("limits were taken away and the review still verifies")
	}
	for name, touch := range map[string]func(r *models.Review, l *models.LimbLimits){
		"id": func(r *models.Review, _ *models.LimbLimits) { r.ID += "x" }, "client": func(r *models.Review, _ *models.LimbLimits) { r.ClientID += "x" },
		"limb": func(r *models.Review, _ *models.LimbLimits) { r.LimbID += "x" }, "number": func(r *models.Review, _ *models.LimbLimits) { r.Number++ },
		"time":        func(r *models.Review, _ *models.LimbLimits) { r.SignedAt = r.SignedAt.Add(1000) },
		"signer":      func(r *models.Review, _ *models.LimbLimits) { r.SignedBy += "x" },
		"name":        func(r *models.Review, _ *models.LimbLimits) { r.SignerName += "x" },
		"password":    func(r *models.Review, _ *models.LimbLimits) { r.PasswordChosenAt = nil },
		"chosen":      func(r *models.Review, _ *models.LimbLimits) { later := chosen.Add(1000); r.PasswordChosenAt = &later },
		"link":        func(r *models.Review, _ *models.LimbLimits) { r.PasswordLinkBy = "" },
		"kind":        func(r *models.Review, _ *models.LimbLimits) { r.Decisions[0].Kind = models.Adjust },
		"until":       func(r *models.Review, _ *models.LimbLimits) { r.Decisions[0].Until = "" },
		"what":        func(r *models.Review, _ *models.LimbLimits) { r.Decisions[0].Note = "" },
		"note":        func(r *models.Review, _ *models.LimbLimits) { r.Note = "" },
		"look again":  func(r *models.Review, _ *models.LimbLimits) { r.LookAgainOn = "" },
		"checkin":     func(r *models.Review, _ *models.LimbLimits) { r.Saw.Checkins[0].Number++ },
		"readings":    func(r *models.Review, _ *models.LimbLimits) { r.Saw.Checkins[0].Readings++ },
		"flag":        func(r *models.Review, _ *models.LimbLimits) { r.Saw.Flags[0].Version++ },
		"closed":      func(r *models.Review, _ *models.LimbLimits) { r.Saw.Flags[0].Closed = false },
		"reason":      func(r *models.Review, _ *models.LimbLimits) { r.Saw.Flags[0].Reason = "" },
		"report":      func(r *models.Review, _ *models.LimbLimits) { r.Saw.Reports = nil },
		"old limits":  func(r *models.Review, _ *models.LimbLimits) { r.Saw.LimitsID = "" },
		"loss":        func(_ *models.Review, l *models.LimbLimits) { l.LossPercent++ },
		"loss review": func(_ *models.Review, l *models.LimbLimits) { l.LossReviewPercent++ },
		"gain":        func(_ *models.Review, l *models.LimbLimits) { l.GainPercent++ },
		"gain today":  func(_ *models.Review, l *models.LimbLimits) { l.GainTodayPercent++ },
		"room":        func(_ *models.Review, l *models.LimbLimits) { l.Room = nil },
		"why":         func(_ *models.Review, l *models.LimbLimits) { l.Reason = "" },
		"set by":      func(_ *models.Review, l *models.LimbLimits) { l.SetBy = "" },
		"set on":      func(_ *models.Review, l *models.LimbLimits) { l.SetOn = "" },
	} {
		r, set := signed()
		if touch(&r, set); followup.Unchanged(r, set) {
			t.Errorf("%s was changed and the review still verifies", name)
		}
	}
}

func TestShownReadsBack(t *testing.T) {
	key := rapid.StringMatching(`[a-z]{4,8}(:[0-9a-f-]{4,36})?`)
	rapid.Check(t, func(rt *rapid.T) {
		shown := followup.Shown(rapid.MapOf(key, rapid.IntRange(0, 1000)).Draw(rt, "shown"))
		back := followup.ParseShown(shown.String())
		if differs := shown.Against(back); len(differs) > 0 {
			rt.Fatalf("read back it differs in %+v", differs)
		}
		other := followup.Shown(rapid.MapOf(key, rapid.IntRange(0, 1000)).Draw(rt, "other"))
		forth, back2 := len(shown.Against(other)), len(other.Against(shown))
		if forth != back2 {
			rt.Fatalf("%d things differ one way and %d the other", forth, back2)
		}
	})
	if differs := (followup.Shown{"limb": 1}).Against(followup.ParseShown("limb=x plan=1")); !slices.Equal(differs,
		[]followup.Thing{{Kind: "limb", New: true}, {Kind: "plan", Gone: true}}) {
		t.Errorf("got %+v", differs)
	}
}
