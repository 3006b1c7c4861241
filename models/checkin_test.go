package models_test

import (
	"errors"
	"reflect"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
)

// rowCount counts the rows of a table.
func rowCount(t *testing.T, s *models.Store, table string) int {
	t.Helper()
	var n int
	must(t, s.Pool().QueryRow("SELECT COUNT(*) FROM "+table).Scan(&n))
	return n
}

// checkinTables are the tables that one check-in writes.
var checkinTables = []string{
	"checkins", "checkin_limbs", "readings", "clearance_readings", "function_checks", "skin_findings", "attachments_seen",
}

func TestCheckinRoundTrip(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		berlin, err := time.LoadLocation("Europe/Berlin")
		must(t, err)
		// the second 02:30 of the night in which clocks go back: only UTC tells it from the first
		c := b.visit(time.Date(2025, time.October, 26, 1, 30, 0, 123456789, time.UTC).In(berlin))
		c.DraftID = "draft"
		must(t, s.CreateCheckin(ctx, &c))
		want := time.Date(2025, time.October, 26, 1, 30, 0, 123456000, time.UTC)
		if c.MeasuredAt != want {
			t.Errorf("measured at %v, want %v in UTC to the microsecond", c.MeasuredAt, want)
		}
		byID, err := s.CheckinByID(ctx, c.ID)
		must(t, err)
		byDraft, err := s.CheckinByDraft(ctx, "draft")
		must(t, err)
		list, err := s.CheckinsOf(ctx, b.client.ID)
		must(t, err)
		if len(list) != 1 {
			t.Fatalf("got %d check-ins, want 1", len(list))
		}
		for name, got := range map[string]models.Checkin{"by id": byID, "by draft": byDraft, "list": list[0]} {
			if !reflect.DeepEqual(got, c) {
				t.Errorf("%s: stored\n%+v\nread\n%+v", name, c, got)
			}
		}
		_, err = s.CheckinByID(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
		for _, draft := range []string{"", "nothing"} {
			_, err = s.CheckinByDraft(ctx, draft)
			wantErr(t, err, models.ErrNotFound)
		}
	})
}

func TestTimesOfAnyZoneReadBackInUTC(t *testing.T) {
	zones := []*time.Location{time.UTC, time.FixedZone("odd name (x)", 5*3600+45*60), time.FixedZone("", -3*3600)}
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		for i, zone := range zones {
			c := b.record(t, s, at(i).In(zone))
			got, err := s.CheckinByID(ctx, c.ID)
			must(t, err)
			if !got.MeasuredAt.Equal(at(i)) || got.MeasuredAt.Location() != time.UTC {
				t.Errorf("zone %q: got %v, want %v", zone, got.MeasuredAt, at(i))
			}
			if !got.Limbs[0].DoffedAt.Equal(at(i).Add(-10 * time.Minute)) {
				t.Errorf("zone %q: doffed at %v", zone, got.Limbs[0].DoffedAt)
			}
		}
	})
}

func TestCheckinsComeInTheOrderOfMeasurement(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b, other := bench(t, s, "K-001"), bench(t, s, "K-002")
		const visits = 40
		for i := range visits {
			b.record(t, s, at((i*17)%visits))
		}
		other.record(t, s, at(5))
		got, err := s.CheckinsOf(ctx, b.client.ID)
		must(t, err)
		if len(got) != visits {
			t.Fatalf("got %d check-ins, want %d", len(got), visits)
		}
		for i, c := range got {
			if !c.MeasuredAt.Equal(at(i)) || len(c.Limbs) != 1 || len(c.Limbs[0].Readings) != 6 || len(c.Limbs[0].Clearances) != 2 {
				t.Errorf("place %d: measured at %v with limbs %+v", i, c.MeasuredAt, c.Limbs)
			}
		}
	})
}

func TestNextDateFollowsTheNewestCheckin(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		for _, step := range []struct {
			name string
			hour int
			next quantity.Date
			want quantity.Date
		}{
			{"first", 10, "2026-06-01", "2026-06-01"},
			{"later", 20, "2026-07-01", "2026-07-01"},
			{"from paper, measured before", 15, "2026-05-01", "2026-07-01"},
			{"newest without a next date", 30, "", ""},
		} {
			c := b.visit(at(step.hour))
			c.NextOn = step.next
			must(t, s.CreateCheckin(ctx, &c))
			client, err := s.ClientByID(ctx, b.client.ID)
			must(t, err)
			if client.NextCheckinOn != step.want {
				t.Errorf("%s: next date %q, want %q", step.name, client.NextCheckinOn, step.want)
			}
		}
	})
}

func TestCorrectionKeepsTheOldVersion(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		other := b.record(t, s, at(-100))
		first := b.record(t, s, at(0))
		second := b.visit(at(0))
		second.ReplacesID, second.Reason, second.NextOn = &first.ID, "two levels swapped", "2026-05-05"
		must(t, s.CreateCheckin(ctx, &second))
		third := b.visit(at(1))
		third.ReplacesID, third.Reason = &second.ID, "wrong hour"
		must(t, s.CreateCheckin(ctx, &third))

		for name, id := range map[string]string{"first": first.ID, "second": second.ID, "third": third.ID} {
			chain, err := s.CheckinVersions(ctx, id)
			must(t, err)
			if len(chain) != 3 || chain[0].ID != first.ID || chain[1].ID != second.ID || chain[2].ID != third.ID {
				t.Fatalf("from the %s: got %d versions", name, len(chain))
			}
			if chain[0].SupersededAt == nil || chain[1].SupersededAt == nil || chain[2].SupersededAt != nil || chain[2].Number != 3 {
				t.Errorf("from the %s: got %+v", name, chain)
			}
			if len(chain[0].Limbs) != 1 || len(chain[0].Limbs[0].Readings) != 6 {
				t.Errorf("from the %s: the first version lost its readings", name)
			}
		}
		old, err := s.SupersededCheckins(ctx, b.client.ID)
		must(t, err)
		if len(old) != 2 || old[0].ID != first.ID || old[1].ID != second.ID || *old[1].ReplacesID != first.ID {
			t.Errorf("got superseded %+v, want the first and the second version", old)
		}
		if len(old[0].Limbs) != 1 || len(old[0].Limbs[0].Readings) != 6 {
			t.Errorf("the superseded version lost its readings: %+v", old[0].Limbs)
		}
		list, err := s.CheckinsOf(ctx, b.client.ID)
		must(t, err)
		if len(list) != 2 || list[0].ID != other.ID || list[1].ID != third.ID {
			t.Errorf("the list holds %d check-ins, want the other one and the third version", len(list))
		}
		again := b.visit(at(0))
		again.ReplacesID, again.Reason = &first.ID, "late"
		wantErr(t, s.CreateCheckin(ctx, &again), models.ErrConflict)
		unreasoned := b.visit(at(0))
		unreasoned.ReplacesID = &third.ID
		wantErr(t, s.CreateCheckin(ctx, &unreasoned), models.ErrInvalid)
		if got, err := s.CheckinByID(ctx, third.ID); err != nil || got.SupersededAt != nil {
			t.Errorf("a refused correction superseded the version: %+v, %v", got, err)
		}
		foreign := bench(t, s, "K-002").visit(at(0))
		foreign.ReplacesID, foreign.Reason = &third.ID, "of another client"
		wantErr(t, s.CreateCheckin(ctx, &foreign), models.ErrNotFound)
		_, err = s.CheckinVersions(ctx, "nothing")
		wantErr(t, err, models.ErrNotFound)
	})
}

func TestOneDraftSavedAtOnceMakesOneCheckin(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		const submits = 20
		results := make(chan error, submits)
		for range submits {
			go func() {
				c := b.visit(at(0))
				c.DraftID = "the same draft"
				results <- s.CreateCheckin(ctx, &c)
			}()
		}
		saved := 0
		for range submits {
			switch err := <-results; {
			case err == nil:
				saved++
			case !errors.Is(err, models.ErrConflict):
				t.Errorf("got %v, want ErrConflict", err)
			}
		}
		if saved != 1 || rowCount(t, s, "checkins") != 1 || rowCount(t, s, "readings") != 6 {
			t.Errorf("%d saved, %d check-ins, %d readings; want one of 6 readings",
				saved, rowCount(t, s, "checkins"), rowCount(t, s, "readings"))
		}
	})
}

func TestTwoCorrectionsAtOnceMakeOne(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		first := b.record(t, s, at(0))
		const people = 6
		results := make(chan error, people)
		for range people {
			go func() {
				c := b.visit(at(0))
				c.ReplacesID, c.Reason = &first.ID, "typing error"
				results <- s.CreateCheckin(ctx, &c)
			}()
		}
		saved := 0
		for range people {
			if err := <-results; err == nil {
				saved++
			} else {
				wantErr(t, err, models.ErrConflict)
			}
		}
		if saved != 1 {
			t.Errorf("%d corrections of one version were saved, want 1", saved)
		}
	})
}

func TestRefusedCheckinLeavesNothing(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(*models.Checkin)
		want  error
	}{
		{"state of an attachment", func(c *models.Checkin) { c.Limbs[0].Attachments[0].State = "odd" }, models.ErrInvalid},
		{"girth too small", func(c *models.Checkin) { c.Limbs[0].Readings[5].Girth = 199 }, models.ErrInvalid},
		{"girth too large", func(c *models.Checkin) { c.Limbs[0].Readings[5].Girth = 20001 }, models.ErrInvalid},
		{"pass 0", func(c *models.Checkin) { c.Limbs[0].Readings[0].Pass = 0 }, models.ErrInvalid},
		{"level and pass twice", func(c *models.Checkin) { c.Limbs[0].Readings[1].Pass = 1 }, models.ErrConflict},
		{"clearance without figure or touch", func(c *models.Checkin) { c.Limbs[0].Clearances[0].Gap = nil }, models.ErrInvalid},
		{"station that is not there", func(c *models.Checkin) { c.Limbs[0].Clearances[0].StationID = "nothing" }, models.ErrInUse},
		{"unknown sign", func(c *models.Checkin) { c.Limbs[0].Skin[0].Sign = "odd" }, models.ErrInvalid},
		{"unknown function check", func(c *models.Checkin) { c.Limbs[0].Functions[0].Check = "odd" }, models.ErrInvalid},
		{"comfort 11", func(c *models.Checkin) { c.ComfortAverage = pointer(11) }, models.ErrInvalid},
		{"looseness -6", func(c *models.Checkin) { c.Looseness = pointer(-6) }, models.ErrInvalid},
		{"next date of another form", func(c *models.Checkin) { c.NextOn = "1.6.2026" }, models.ErrInvalid},
		{"no zone", func(c *models.Checkin) { c.Zone = "" }, models.ErrInvalid},
		{"no time of measurement", func(c *models.Checkin) { c.MeasuredAt = time.Time{} }, models.ErrInvalid},
		{"nobody measured", func(c *models.Checkin) { c.MeasuredBy = "nobody" }, models.ErrInUse},
		{"limb that is not the client's", func(c *models.Checkin) { c.Limbs[0].LimbID = "another" }, models.ErrInvalid},
		{"limb twice", func(c *models.Checkin) { c.Limbs = append(c.Limbs, models.CheckinLimb{LimbID: c.Limbs[0].LimbID}) }, models.ErrConflict},
		{"client that is not there", func(c *models.Checkin) { c.ClientID = "nobody" }, models.ErrNotFound},
	}
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		for _, tt := range tests {
			c := b.visit(at(0))
			tt.spoil(&c)
			if err := s.CreateCheckin(ctx, &c); !errors.Is(err, tt.want) {
				t.Errorf("%s: got %v, want %v", tt.name, err, tt.want)
			}
			for _, table := range checkinTables {
				if n := rowCount(t, s, table); n != 0 {
					t.Fatalf("%s: %d rows are left in %s", tt.name, n, table)
				}
			}
		}
		got, err := s.ClientByID(ctx, b.client.ID)
		must(t, err)
		if got.NextCheckinOn != "" {
			t.Errorf("refused check-ins set the next date %q", got.NextCheckinOn)
		}
	})
}

func TestTransactions(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		stop := errors.New("stop")
		err := s.InTx(ctx, func(tx *models.Store) error {
			c := b.visit(at(0))
			must(t, tx.CreateCheckin(ctx, &c))
			return stop
		})
		if err != stop {
			t.Errorf("got %v, want the error of the function itself", err)
		}
		if n := rowCount(t, s, "readings"); n != 0 {
			t.Errorf("%d readings are left of a transaction that was given up", n)
		}
		must(t, s.InTx(ctx, func(tx *models.Store) error {
			c := b.visit(at(0))
			must(t, tx.CreateCheckin(ctx, &c))
			broken := b.visit(at(1))
			broken.Zone = ""
			wantErr(t, tx.CreateCheckin(ctx, &broken), models.ErrInvalid)
			return nil // the inner one was undone alone
		}))
		if n := rowCount(t, s, "checkins"); n != 1 {
			t.Errorf("%d check-ins are left, want the one that was not refused", n)
		}
	})
}

func TestInnerStepsLeaveNoSavepoint(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		refused := errors.New("refused")
		for name, step := range map[string]error{"kept": nil, "undone": refused} {
			err := s.InTx(ctx, func(tx *models.Store) error {
				if err := tx.InTx(ctx, func(*models.Store) error { return step }); err != step {
					t.Errorf("%s: got %v, want %v", name, err, step)
				}
				if err := tx.Exec("RELEASE SAVEPOINT inner_step"); err == nil {
					t.Errorf("%s: the savepoint is still there; a long transaction would slow down", name)
				}
				return refused
			})
			wantErr(t, err, refused)
		}
	})
}
