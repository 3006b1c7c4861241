package models_test

import (
	"errors"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// raised is a flag of the workbench about something, with one piece of evidence.
func (b workbench) raised(t *testing.T, s *models.Store, about, rule, level string) models.Flag {
	t.Helper()
	f := b.flagOn(rule, "", level)
	f.About = about
	f, err := s.RaiseFlag(ctx, f, evidence(b.record(t, s, at(0)), level, `{}`))
	must(t, err)
	return f
}

// review signs a review of the workbench's limb that says nothing.
func (b workbench) review(t *testing.T, s *models.Store) models.Review {
	t.Helper()
	before, err := s.ReviewsOf(ctx, b.limb.ID)
	must(t, err)
	r := models.Review{
		ClientID: b.client.ID, LimbID: b.limb.ID, Number: len(before) + 1, SignedAt: at(1), SignedBy: b.fitter.ID, SignerName: "W. Wren",
		Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, ContentHash: "none",
	}
	must(t, s.CreateReview(ctx, &r))
	return r
}

// noted is what became of seeing a flag, whether it was news or not.
func noted(_ bool, err error) error { return err }

func TestSeeingAFlagTwiceIsOneStep(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "skin", "skin-sign", "now")
		if f.SeenAt != nil {
			t.Fatal("a flag is seen before anybody looked")
		}
		second := person(t, s, "second")
		for i, who := range []string{b.fitter.ID, b.fitter.ID, second.ID} {
			news, err := s.SeeFlag(ctx, f.ID, f.Version, who)
			must(t, err)
			if news != (i == 0) {
				t.Errorf("seen the %d. time: news %t", i+1, news)
			}
		}
		got, err := s.FlagByID(ctx, f.ID)
		must(t, err)
		if got.SeenAt == nil || len(got.Steps) != 1 || got.Steps[0].Kind != models.StepSeen || got.Steps[0].MadeBy != b.fitter.ID {
			t.Errorf("got seen at %v with steps %+v, want one step of the first", got.SeenAt, got.Steps)
		}
		if got.Version != f.Version {
			t.Errorf("seeing made version %d of %d", got.Version, f.Version)
		}
		wantErr(t, noted(s.SeeFlag(ctx, "nothing", 1, b.fitter.ID)), models.ErrNotFound)
	})
}

func TestAStepMarksTheFlagAsSeen(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "cover", "clearance-below", "now")
		called := at(0)
		must(t, s.AddFlagStep(ctx, &models.FlagStep{
			FlagID: f.ID, Kind: models.StepCalled, MadeBy: b.fitter.ID, CalledAt: &called, Outcome: models.MessageLeft, Note: "tomorrow again",
		}, f.Version))
		acted := models.FlagStep{
			FlagID: f.ID, Kind: models.StepActed, MadeBy: b.fitter.ID, CoverAction: models.Trimmed, GapBefore: length(2.4), GapAfter: length(4),
		}
		must(t, s.AddFlagStep(ctx, &acted, f.Version))
		must(t, noted(s.SeeFlag(ctx, f.ID, f.Version, b.fitter.ID))) // no news
		got, err := s.FlagByID(ctx, f.ID)
		must(t, err)
		if got.SeenAt == nil || len(got.Steps) != 2 || got.Steps[0].CalledAt == nil || !got.Steps[0].CalledAt.Equal(called) ||
			got.Steps[1].GapAfter == nil || *got.Steps[1].GapAfter != 40 {
			t.Errorf("got seen at %v with steps %+v", got.SeenAt, got.Steps)
		}
		wantErr(t, s.AddFlagStep(ctx, &acted, f.Version), models.ErrConflict) // the same step once more
		must(t, s.CloseFlag(ctx, f.ID, f.Version, models.Closing{By: b.fitter.ID, Reason: "trimmed"}))
		wantErr(t, noted(s.SeeFlag(ctx, f.ID, f.Version, b.fitter.ID)), models.ErrStale)
		wantErr(t, s.AddFlagStep(ctx, &models.FlagStep{FlagID: f.ID, Kind: models.StepSeen, MadeBy: b.fitter.ID}, f.Version), models.ErrStale)
	})
}

// TestNobodyHasSeenWhatCameAfter: new evidence that came while a person looked at
// the flag is not seen with it, whatever they do.
func TestNobodyHasSeenWhatCameAfter(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		read := b.raised(t, s, "skin", "skin-sign", "now")
		_, err := s.RaiseFlag(ctx, read, evidence(b.record(t, s, at(1)), "now", `{}`))
		must(t, err)
		wantErr(t, noted(s.SeeFlag(ctx, read.ID, read.Version, b.fitter.ID)), models.ErrStale)
		called := at(2)
		must(t, s.AddFlagStep(ctx, &models.FlagStep{
			FlagID: read.ID, Kind: models.StepCalled, MadeBy: b.fitter.ID, CalledAt: &called, Outcome: models.Reached,
		}, read.Version))
		if got := flag(t, s, read.ID); got.SeenAt != nil || len(got.Steps) != 1 {
			t.Errorf("seen at %v after %d steps, want the call and the flag unseen", got.SeenAt, len(got.Steps))
		}
	})
}

func TestEvidenceOfLevelNowAsksForAnotherLook(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		c := b.record(t, s, at(0))
		for _, tt := range []struct {
			first, then string
			seen        bool
		}{{"watch", "watch", true}, {"watch", "soon", true}, {"now", "soon", true}, {"soon", "now", false}, {"now", "now", false}} {
			rule := tt.first + " then " + tt.then
			f, err := s.RaiseFlag(ctx, b.flagOn(rule, "", tt.first), evidence(c, tt.first, `{}`))
			must(t, err)
			must(t, noted(s.SeeFlag(ctx, f.ID, f.Version, b.fitter.ID)))
			f, err = s.RaiseFlag(ctx, b.flagOn(rule, "", tt.then), evidence(c, tt.then, `{}`))
			must(t, err)
			if (f.SeenAt != nil) != tt.seen {
				t.Errorf("%s: seen at %v, want seen %t", rule, f.SeenAt, tt.seen)
			}
		}
	})
}

func TestOnlyAReviewOrAnAnswerClosesWhatIsTheProsthetists(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		for _, about := range []string{"limb", "skin"} {
			f := b.raised(t, s, about, "of "+about, "now")
			wantErr(t, s.CloseFlag(ctx, f.ID, f.Version, models.Closing{By: b.fitter.ID, Reason: "trimmed"}), models.ErrInvalid)
			if got, err := s.FlagByID(ctx, f.ID); err != nil || got.ClosedAt != nil {
				t.Fatalf("about %s: closed at %v, %v", about, got.ClosedAt, err)
			}
			r := b.review(t, s)
			must(t, s.CloseFlag(ctx, f.ID, f.Version, models.Closing{By: b.fitter.ID, Reason: "as decided", ReviewID: &r.ID}))
			got, err := s.FlagByID(ctx, f.ID)
			must(t, err)
			if got.ClosedAt == nil || got.ClosedReviewID == nil || *got.ClosedReviewID != r.ID || got.SeenAt == nil {
				t.Errorf("about %s: got %+v, want closed by the review, and seen", about, got)
			}
		}
		f := b.raised(t, s, "limb", "other", "soon")
		other := bench(t, s, "K-002")
		elsewhere := other.review(t, s)
		bare := b.answer(b.handed(t, s, f))
		must(t, s.RecordAnswer(ctx, bare))
		for name, c := range map[string]models.Closing{
			"a review that is not there":   {ReviewID: new(models.NewID())},
			"a review of another limb":     {ReviewID: &elsewhere.ID},
			"an answer that is not there":  {AnswerID: new(models.NewID())},
			"an answer without a document": {AnswerID: &bare.Answer.ID},
		} {
			c.By, c.Reason = b.fitter.ID, "x"
			if err := s.CloseFlag(ctx, f.ID, f.Version, c); !errors.Is(err, models.ErrInvalid) {
				t.Errorf("%s: got %v, want ErrInvalid", name, err)
			}
		}
		if got := flag(t, s, f.ID); got.ClosedAt != nil {
			t.Error("one of them closed the flag")
		}
	})
}

func TestCountOfUnseenNow(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		count := func(of *string, want int) {
			t.Helper()
			if n, err := s.CountUnseenNow(ctx, of); err != nil || n != want {
				t.Errorf("got %d, %v; want %d", n, err, want)
			}
		}
		mine, other, gone := bench(t, s, "K-001"), bench(t, s, "K-002"), bench(t, s, "K-003")
		mine.client.CareTeam = []models.Person{mine.fitter}
		must(t, s.UpdateClient(ctx, &mine.client))
		stands := person(t, s, "deputy")
		other.client.DeputyID = &stands.ID
		must(t, s.UpdateClient(ctx, &other.client))
		count(nil, 0)
		a := mine.raised(t, s, "cover", "a", "now")
		mine.raised(t, s, "cover", "b", "soon")
		b := other.raised(t, s, "skin", "a", "now")
		gone.raised(t, s, "skin", "a", "now")
		count(nil, 3)
		wantErr(t, s.ArchiveClient(ctx, gone.client.ID, gone.client.Version, "moved"), models.ErrInUse)
		count(nil, 3)
		_, err := s.Pool().Exec("UPDATE clients SET archived_at = created_at WHERE id = '" + gone.client.ID + "'") // as an older version did
		must(t, err)
		count(nil, 2)
		count(&mine.fitter.ID, 1)
		count(&stands.ID, 1)
		must(t, noted(s.SeeFlag(ctx, b.ID, b.Version, other.fitter.ID)))
		count(nil, 1)
		must(t, s.CloseFlag(ctx, a.ID, a.Version, models.Closing{By: mine.fitter.ID, Reason: "trimmed"}))
		count(nil, 0)
	})
}
