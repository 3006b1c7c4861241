package models_test

import (
	"fmt"
	"reflect"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// reviewCodes reads the whole list of reviews in pages and returns need and code
// of each.
func reviewCodes(t *testing.T, s *models.Store, f models.ReviewFilter) (codes []string) {
	t.Helper()
	for {
		rows, next, err := s.ReviewList(ctx, f)
		must(t, err)
		for _, r := range rows {
			codes = append(codes, fmt.Sprintf("%d %s", r.Need, r.Client.Code))
		}
		if next == "" {
			return codes
		}
		f.AfterKey = next
	}
}

// sign records a review of the workbench's limb.
func (b workbench) sign(t *testing.T, s *models.Store, number int, lookAgainOn quantity.Date) models.Review {
	t.Helper()
	r := models.Review{
		ClientID: b.client.ID, LimbID: b.limb.ID, Number: number, SignedAt: at(0), SignedBy: b.fitter.ID, SignerName: "Wren",
		Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, LookAgainOn: lookAgainOn, ContentHash: "x",
	}
	must(t, s.CreateReview(ctx, &r))
	return r
}

// limits sets the starting values as the limits of the workbench's limb.
func (b workbench) limits(t *testing.T, s *models.Store, r models.Review) {
	t.Helper()
	must(t, s.SetLimbLimits(ctx, &models.LimbLimits{
		LimbID: b.limb.ID, LossPercent: 5, LossReviewPercent: 10, GainPercent: 5, GainTodayPercent: 10, Reason: "as they are",
		SetBy: "Wren", SetOn: "2026-03-02", ReviewID: &r.ID,
	}))
}

func TestReviewsInOrderOfNeed(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		wren, other := person(t, s, "wren"), person(t, s, "other")
		benches := map[string]workbench{}
		for _, row := range []struct {
			code, about, level, look string
			seen, confirmed          bool
		}{
			{"K-1", "limb", "watch", "", false, true},
			{"K-2", "skin", "now", "", true, true},
			{"K-3", "", "", "2026-05-01", false, true},
			{"K-4", "", "", "2026-05-02", false, true}, // not yet
			{"K-5", "limb", "now", "2026-01-01", false, true},
			{"K-6", "", "", "", false, false},
			{"K-7", "cover", "now", "", false, true}, // the fitter's
			{"K-8", "limb", "soon", "2026-01-01", false, false},
			{"K-9", "limb", "watch", "2026-04-01", false, true}, // look again comes first
		} {
			b := bench(t, s, row.code)
			b.client.CareTeam = []models.Person{wren}
			if row.code == "K-8" {
				b.client.CareTeam, b.client.DeputyID = []models.Person{other}, &wren.ID
			}
			must(t, s.UpdateClient(ctx, &b.client))
			benches[row.code] = b
			c := b.record(t, s, at(0))
			if row.level != "" {
				f := b.flagOn("a", "", row.level)
				f.About = row.about
				raised, err := s.RaiseFlag(ctx, f, evidence(c, row.level, `{}`))
				must(t, err)
				if row.seen {
					must(t, noted(s.SeeFlag(ctx, raised.ID, raised.Version, wren.ID)))
				}
			}
			if row.look != "" || row.confirmed {
				r := b.sign(t, s, 1, quantity.Date(row.look))
				if row.confirmed {
					b.limits(t, s, r)
				}
			}
		}
		gone := bench(t, s, "K-10")
		gone.client.CareTeam = []models.Person{wren}
		must(t, s.UpdateClient(ctx, &gone.client))
		must(t, s.ArchiveClient(ctx, gone.client.ID, gone.client.Version, "moved"))
		bench(t, s, "K-11") // on nobody's care team

		want := []string{"0 K-5", "1 K-2", "2 K-8", "4 K-9", "4 K-3", "5 K-1", "6 K-6"}
		for _, limit := range []int{0, 1, 3} {
			if got := reviewCodes(t, s, models.ReviewFilter{For: wren.ID, Today: "2026-05-01", Limit: limit}); !reflect.DeepEqual(got, want) {
				t.Errorf("pages of %d: got %v, want %v", limit, got, want)
			}
		}
		if got := reviewCodes(t, s, models.ReviewFilter{For: other.ID, Today: "2026-05-01"}); !reflect.DeepEqual(got, []string{"2 K-8"}) {
			t.Errorf("the one who is away: got %v, want K-8", got)
		}
		counts, err := s.CountReviews(ctx, wren.ID, "2026-05-01")
		must(t, err)
		if want := (map[models.ReviewNeed]int{0: 1, 1: 1, 2: 1, 4: 2, 5: 1, 6: 1}); !reflect.DeepEqual(counts, want) {
			t.Errorf("counts %v, want %v", counts, want)
		}

		benches["K-9"].sign(t, s, 2, "") // a later review takes the day of an earlier one away
		rows, _, err := s.ReviewList(ctx, models.ReviewFilter{For: wren.ID, Today: "2026-05-01"})
		must(t, err)
		if r := rows[2]; r.Client.CareTeam[0].ID != other.ID || r.Limb.ID != benches["K-8"].limb.ID || len(r.Flags) != 1 || r.Last == nil {
			t.Errorf("the row of K-8 is %+v", r)
		}
		if r := rows[len(rows)-2]; r.Client.Code != "K-9" || r.Need != models.OpenWatch || r.Last == nil || r.Last.Number != 2 {
			t.Errorf("after another review the row before the last is %+v", r)
		}
		for _, key := range []string{"*", "WyJ4IiwiYSIsImEiXQ", "WyIxIiwiYSIsImEiXQ"} { // not base64; a need that is no number; an unknown limb
			_, _, err := s.ReviewList(ctx, models.ReviewFilter{For: wren.ID, AfterKey: key})
			wantErr(t, err, models.ErrInvalid)
		}
	})
}

func TestLimitsOfALimbWithoutConeNeedNobody(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		wren := person(t, s, "wren")
		c := client(t, s, "K-1", "Foot")
		c.CareTeam = []models.Person{wren}
		must(t, s.UpdateClient(ctx, &c))
		must(t, s.CreateLimb(ctx, &models.Limb{
			ClientID: c.ID, Side: quantity.Left, Level: quantity.PartialFoot, Origin: models.Amputation,
		}))
		if got := reviewCodes(t, s, models.ReviewFilter{For: wren.ID, Today: "2026-05-01"}); got != nil {
			t.Errorf("got %v, want nobody", got)
		}
	})
}
