package models_test

import (
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

func TestCovers(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		got, err := s.CoverByID(ctx, b.cover.ID)
		must(t, err)
		if !reflect.DeepEqual(got, b.cover) {
			t.Errorf("stored\n%+v\nread\n%+v", b.cover, got)
		}
		got.RetiredOn = "2026-02-01"
		must(t, s.UpdateCover(ctx, &got))
		_, err = s.CurrentCover(ctx, b.limb.ID)
		wantErr(t, err, models.ErrNotFound)
		second := models.Cover{LimbID: b.limb.ID, State: models.InWorkshop, DeliveredOn: "2026-02-01"}
		must(t, s.CreateCover(ctx, &second))
		current, err := s.CurrentCover(ctx, b.limb.ID)
		must(t, err)
		all, err := s.CoversOf(ctx, b.limb.ID)
		must(t, err)
		if current.ID != second.ID || len(all) != 2 || all[0].ID != second.ID || len(all[1].Stations) != 3 {
			t.Errorf("current %s, all %+v", current.ID, all)
		}
		_, err = s.CoverByID(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
		twice := models.Cover{LimbID: b.limb.ID, State: models.InUse, Stations: []models.Station{
			station(60, quantity.Anterior, 0), station(60, quantity.Anterior, 1),
		}}
		wantErr(t, s.CreateCover(ctx, &twice), models.ErrConflict)
	})
}

func TestUpdateCoverParts(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		b.record(t, s, at(0)) // reads stations 0 and 1, sees attachment 0
		read, stale := b.cover, b.cover

		changed := read
		changed.Material = "other"
		changed.Stations = []models.Station{read.Stations[0], read.Stations[1], station(120, quantity.Medial, 2)}
		changed.Stations[0].WarnLimit, changed.Stations[0].LimitBy, changed.Stations[0].EveryTime = length(2), "prosthetist", false
		changed.Attachments = []models.Attachment{read.Attachments[0], {Name: "new clip", State: models.Firm, Ordinal: 2}}
		must(t, s.UpdateCover(ctx, &changed))
		got, err := s.CoverByID(ctx, read.ID)
		must(t, err)
		if !reflect.DeepEqual(got, changed) || got.Version != 2 {
			t.Errorf("stored\n%+v\nread\n%+v", changed, got)
		}
		if got.Stations[2].ID == read.Stations[2].ID {
			t.Error("a station without an id was not added anew")
		}

		removed := got
		removed.Material, removed.Stations = "third", got.Stations[1:]
		wantErr(t, s.UpdateCover(ctx, &removed), models.ErrInUse)
		if kept, err := s.CoverByID(ctx, read.ID); err != nil || !reflect.DeepEqual(kept, got) {
			t.Errorf("a refused update left %+v, %v", kept, err)
		}
		wantErr(t, s.UpdateCover(ctx, &stale), models.ErrStale)
		foreign := bench(t, s, "K-002").cover
		foreign.Stations = append(foreign.Stations, got.Stations[0]) // the id of another cover's station
		wantErr(t, s.UpdateCover(ctx, &foreign), models.ErrConflict)
	})
}

func TestSeeAttachments(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		seen := []models.AttachmentSeen{
			{AttachmentID: b.cover.Attachments[0].ID, State: models.Missing},
			{AttachmentID: b.cover.Attachments[1].ID, State: models.Firm},
		}
		for range 2 { // the second time it is no news
			must(t, s.SeeAttachments(ctx, seen))
			got, err := s.CoverByID(ctx, b.cover.ID)
			must(t, err)
			if got.Attachments[0].State != models.Missing || got.Attachments[1].State != models.Firm || got.Version != 2 {
				t.Errorf("got %+v at version %d", got.Attachments, got.Version)
			}
		}
	})
}

func TestDeliverCover(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		bare := models.Cover{LimbID: b.limb.ID, State: models.InWorkshop}
		must(t, s.CreateCover(ctx, &bare))
		for _, day := range []quantity.Date{"2026-04-01", "2026-05-01"} { // the second time there is a day already
			must(t, s.DeliverCover(ctx, bare.ID, day))
			must(t, s.DeliverCover(ctx, b.cover.ID, day))
		}
		got, err := s.CoverByID(ctx, bare.ID)
		must(t, err)
		if got.DeliveredOn != "2026-04-01" || got.Version != 2 {
			t.Errorf("got %q at version %d, want the first day at version 2", got.DeliveredOn, got.Version)
		}
		typed, err := s.CoverByID(ctx, b.cover.ID)
		must(t, err)
		if !reflect.DeepEqual(typed, b.cover) {
			t.Errorf("a day that was typed became %+v", typed)
		}
	})
}
