package models_test

import (
	"errors"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestDraftGrows(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		d := models.Draft{ClientID: b.client.ID, PersonID: b.fitter.ID}
		must(t, s.CreateDraft(ctx, &d))
		long := strings.Repeat("wörter <script> ", 60000) // 1 MB
		merged, err := s.MergeDraftFields(ctx, d.ID, 1, map[string]string{"talk": long, "room": "cold"})
		must(t, err)
		merged, err = s.MergeDraftFields(ctx, d.ID, merged.Version, map[string]string{"room": "", "girth": "31,2"})
		must(t, err)
		want := map[string]string{"talk": long, "room": "", "girth": "31,2"}
		got, err := s.DraftByID(ctx, d.ID)
		must(t, err)
		if !reflect.DeepEqual(got.Fields, want) || got.Version != 3 || !reflect.DeepEqual(got, merged) {
			t.Errorf("got version %d with fields of %d bytes in talk", got.Version, len(got.Fields["talk"]))
		}
		stands, err := s.MergeDraftFields(ctx, d.ID, 1, map[string]string{"room": "hot"})
		wantErr(t, err, models.ErrStale)
		if stands.Version != 3 || stands.Fields["room"] != "" {
			t.Errorf("a stale merge returned version %d, want the draft as it stands", stands.Version)
		}
		_, err = s.MergeDraftFields(ctx, "nothing", 1, nil)
		wantErr(t, err, models.ErrNotFound)
	})
}

func TestDraftIsBounded(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		d := models.Draft{ClientID: b.client.ID, PersonID: b.fitter.ID}
		must(t, s.CreateDraft(ctx, &d))
		for batch := range 5 { // many requests, each harmless by itself
			fields := map[string]string{}
			for i := range models.MostDraftFields / 5 {
				fields["limb1.skin."+strconv.Itoa(batch)+"."+strconv.Itoa(i)] = "x"
			}
			var err error
			d, err = s.MergeDraftFields(ctx, d.ID, d.Version, fields)
			must(t, err)
		}
		for name, fields := range map[string]map[string]string{
			"one field more": {"talk": "x"},
			"one long text":  {"limb1.skin.0.0": strings.Repeat("x", models.MostDraftBytes)},
		} {
			stands, err := s.MergeDraftFields(ctx, d.ID, d.Version, fields)
			wantErr(t, err, models.ErrTooLarge)
			if stands.Version != d.Version || len(stands.Fields) != models.MostDraftFields {
				t.Errorf("%s: returned version %d with %d fields, want the draft as it stands", name, stands.Version, len(stands.Fields))
			}
		}
		_, err := s.MergeDraftFields(ctx, d.ID, d.Version, map[string]string{"limb1.skin.0.0": "y"})
		must(t, err)
	})
}

func TestTwoMergesAtOnceMakeOne(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		d := models.Draft{ClientID: b.client.ID, PersonID: b.fitter.ID}
		must(t, s.CreateDraft(ctx, &d))
		const people = 8
		results := make(chan error, people)
		for range people {
			go func() {
				_, err := s.MergeDraftFields(ctx, d.ID, 1, map[string]string{"room": "cold"})
				results <- err
			}()
		}
		merged := 0
		for range people {
			if err := <-results; err == nil {
				merged++
			} else {
				wantErr(t, err, models.ErrStale)
			}
		}
		if got, err := s.DraftByID(ctx, d.ID); err != nil || merged != 1 || got.Version != 2 {
			t.Errorf("%d merges of version 1 went through to version %d, %v; want 1 to 2", merged, got.Version, err)
		}
	})
}

func TestDraftIsSavedOrThrownAway(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		other := person(t, s, "other")
		c := b.record(t, s, at(0))
		saved := models.Draft{ClientID: b.client.ID, PersonID: b.fitter.ID, CorrectsID: &c.ID}
		open := models.Draft{ClientID: b.client.ID, PersonID: other.ID}
		for _, d := range []*models.Draft{&saved, &open} {
			must(t, s.CreateDraft(ctx, d))
		}
		must(t, s.SubmitDraft(ctx, saved.ID, c.ID))
		wantErr(t, s.SubmitDraft(ctx, saved.ID, c.ID), models.ErrConflict)
		wantErr(t, s.SubmitDraft(ctx, "nothing", c.ID), models.ErrNotFound)
		wantErr(t, s.DeleteDraft(ctx, saved.ID), models.ErrConflict)
		_, err := s.MergeDraftFields(ctx, saved.ID, saved.Version, nil)
		wantErr(t, err, models.ErrConflict)
		read, err := s.DraftByID(ctx, saved.ID)
		must(t, err)
		if read.CheckinID == nil || *read.CheckinID != c.ID || *read.CorrectsID != c.ID {
			t.Errorf("got %+v, want it saved as %s", read, c.ID)
		}
		ofClient, err := s.DraftsOf(ctx, b.client.ID)
		must(t, err)
		ofFitter, err := s.OpenDrafts(ctx, b.fitter.ID)
		must(t, err)
		ofOther, err := s.OpenDrafts(ctx, other.ID)
		must(t, err)
		if len(ofClient) != 1 || ofClient[0].ID != open.ID || len(ofFitter) != 0 || len(ofOther) != 1 {
			t.Errorf("open drafts: %d of the client, %d and %d of the people; want 1, 0, 1", len(ofClient), len(ofFitter), len(ofOther))
		}
		must(t, s.DeleteDraft(ctx, open.ID))
		wantErr(t, s.DeleteDraft(ctx, open.ID), models.ErrNotFound)
	})
}

// Of many who save the same version of a draft at once, one wins and each other
// is shown the draft as the winner left it.
func TestLosersOfMergesAtOnceSeeTheWinner(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		for range 10 {
			d := models.Draft{ClientID: b.client.ID, PersonID: b.fitter.ID}
			must(t, s.CreateDraft(ctx, &d))
			var wg sync.WaitGroup
			var won atomic.Int32
			for i := range 8 {
				wg.Go(func() {
					now, err := s.MergeDraftFields(ctx, d.ID, d.Version, map[string]string{"notes": strconv.Itoa(i)})
					switch {
					case err == nil:
						won.Add(1)
					case !errors.Is(err, models.ErrStale):
						t.Errorf("merge: %v, want ErrStale", err)
					}
					if now.Version != d.Version+1 || now.Fields["notes"] == "" {
						t.Errorf("shown version %d with %v, want version %d with the winner's notes", now.Version, now.Fields, d.Version+1)
					}
				})
			}
			wg.Wait()
			if won.Load() != 1 {
				t.Errorf("%d won, want 1", won.Load())
			}
		}
	})
}
