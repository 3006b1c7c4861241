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

// tapeStudy is a study of one limb by two fitters.
func tapeStudy() models.Study {
	sheet := func(measurer string, round int, girths ...quantity.Length) models.StudySheet {
		s := models.StudySheet{Subject: "limb 1", Measurer: measurer, Round: round, EnteredBy: "Kit"}
		for i, g := range girths {
			s.Readings = append(s.Readings, models.StudyReading{Level: quantity.Length(300 * (i / 2)), Pass: i%2 + 1, Girth: g})
		}
		return s
	}
	return models.Study{
		Kind: models.FittersStudy, Name: "Spring", HeldOn: "2026-03-02", Levels: []quantity.Length{0, 300}, Passes: 2, Rounds: 1,
		Measurers: []string{"Wren", "Kit"}, Subjects: []string{"limb 1"}, MadeBy: "Kit",
		Sheets: []models.StudySheet{sheet("Kit", 1, 3200, 3210, 3300, 3310), sheet("Wren", 1)},
	}
}

func use(studyID string) models.StudyUse {
	return models.StudyUse{
		StudyID: studyID, TakenBy: "Wren", Note: "ten limbs", ReadingMM: 1.5, LevelMM: 2, LandmarkMM: 2, BiasSame: 0.004,
		BiasBetween: 0.01, SourcePercent: 2, HeldOn: "2026-03-02", Limbs: 10, Fitters: 2,
	}
}

func TestStudyReadsBackAsItWasRecorded(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		want := tapeStudy()
		must(t, s.CreateStudy(ctx, &want))
		want.Sheets[0], want.Sheets[1] = want.Sheets[1], want.Sheets[0] // in the order of the fitters
		got, err := s.StudyByID(ctx, want.ID)
		must(t, err)
		if !reflect.DeepEqual(got, want) {
			t.Errorf("got  %+v\nwant %+v", got, want)
		}
		if got.Entered() != 4 || got.Frozen() || got.InUse() != nil {
			t.Errorf("%d readings, frozen %v", got.Entered(), got.Frozen())
		}
		volumes := models.Study{
			Kind: models.ScanStudy, Name: "Scan", HeldOn: "2026-04-02", Passes: 1, Rounds: 1, Measurers: []string{"scan", "tape"},
			Subjects: []string{"a"}, MadeBy: "Kit",
			Volumes: []models.StudyVolume{{Subject: "a", Method: "scan", Trial: 1, VolumeML: 1140.25}, {Subject: "a", Method: "tape", Trial: 1, VolumeML: 1151}},
		}
		must(t, s.CreateStudy(ctx, &volumes))
		all, err := s.Studies(ctx)
		must(t, err)
		if len(all) != 2 || !reflect.DeepEqual(all[0], volumes) || all[1].ID != want.ID {
			t.Errorf("got %+v, want the newest first", all)
		}
		if _, err := s.StudyByID(ctx, models.NewID()); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a study that is not there: %v", err)
		}
	})
}

func TestStudyKeepsWhatCannotBeOut(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		for name, c := range map[string]struct {
			change func(*models.Study)
			want   error
		}{
			"reading twice":      {func(s *models.Study) { s.Sheets[0].Readings[1].Pass = 1 }, models.ErrConflict},
			"sheet twice":        {func(s *models.Study) { s.Sheets[1].Measurer = "Kit" }, models.ErrConflict},
			"girth of a thread":  {func(s *models.Study) { s.Sheets[0].Readings[0].Girth = 20 }, models.ErrInvalid},
			"kind of its own":    {func(s *models.Study) { s.Kind = "other" }, models.ErrInvalid},
			"no name":            {func(s *models.Study) { s.Name = "" }, models.ErrInvalid},
			"subject without it": {func(s *models.Study) { s.Sheets[0].Subject = "" }, models.ErrInvalid},
		} {
			study := tapeStudy()
			c.change(&study)
			if err := s.CreateStudy(ctx, &study); !errors.Is(err, c.want) {
				t.Errorf("%s: got %v, want %v", name, err, c.want)
			}
		}
		if all, err := s.Studies(ctx); err != nil || len(all) != 0 {
			t.Errorf("%d studies are left, %v; want none half kept", len(all), err)
		}
	})
}

func TestSheetIsSavedOverWhatWasRead(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		study := tapeStudy()
		must(t, s.CreateStudy(ctx, &study))
		sheet, other := study.Sheets[1], study.Sheets[1]
		sheet.Readings = []models.StudyReading{{Level: 0, Pass: 1, Girth: 3205}}
		must(t, s.SaveStudySheet(ctx, &sheet))
		if err := s.SaveStudySheet(ctx, &other); !errors.Is(err, models.ErrStale) {
			t.Errorf("the second of two: %v, want stale", err)
		}
		got, err := s.StudyByID(ctx, study.ID)
		must(t, err)
		if got.Version != study.Version+1 || len(got.Sheets[0].Readings) != 1 || got.Sheets[0].Version != 2 || got.Sheets[0].SavedAt == nil {
			t.Errorf("got %+v", got)
		}
	})
}

func TestVolumesAreSavedOverWhatWasRead(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		study := models.Study{Kind: models.ScanStudy, Name: "Scan", HeldOn: "2026-04-02", Passes: 1, Rounds: 1, Measurers: []string{"tape", "scan"}, Subjects: []string{"a"}, MadeBy: "Kit"}
		must(t, s.CreateStudy(ctx, &study))
		other := study
		study.Volumes = []models.StudyVolume{{Subject: "a", Method: "tape", Trial: 1, VolumeML: 1100}}
		must(t, s.SaveStudyVolumes(ctx, &study))
		if err := s.SaveStudyVolumes(ctx, &other); !errors.Is(err, models.ErrStale) {
			t.Errorf("the second of two: %v, want stale", err)
		}
		got, err := s.StudyByID(ctx, study.ID)
		must(t, err)
		if len(got.Volumes) != 1 || got.Volumes[0].VolumeML != 1100 {
			t.Errorf("got %+v", got.Volumes)
		}
	})
}

func TestStudiesInUseStackUp(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		first, second := tapeStudy(), tapeStudy()
		must(t, s.CreateStudy(ctx, &first))
		must(t, s.CreateStudy(ctx, &second))
		a, b := use(first.ID), use(second.ID)
		must(t, s.TakeStudyIntoUse(ctx, &a, first.Version, 0))
		again := use(first.ID)
		if err := s.TakeStudyIntoUse(ctx, &again, first.Version, 1); !errors.Is(err, models.ErrConflict) {
			t.Errorf("in use already: %v", err)
		}
		if err := s.TakeStudyIntoUse(ctx, &b, second.Version, 0); !errors.Is(err, models.ErrStale) {
			t.Errorf("worked out before the first came into use: %v", err)
		}
		if err := s.TakeStudyIntoUse(ctx, &b, second.Version+1, 1); !errors.Is(err, models.ErrStale) {
			t.Errorf("changed since it was shown: %v", err)
		}
		must(t, s.TakeStudyIntoUse(ctx, &b, second.Version, 1))
		sheet := first.Sheets[0]
		if err := s.SaveStudySheet(ctx, &sheet); !errors.Is(err, models.ErrConflict) {
			t.Errorf("a study in use was changed: %v", err)
		}
		if err := s.WithdrawStudy(ctx, a.ID, "Wren", "one fitter was new"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("withdrawn from below a newer one: %v", err)
		}
		must(t, s.WithdrawStudy(ctx, b.ID, "Wren", "one fitter was new"))
		uses, err := s.StudyUses(ctx)
		must(t, err)
		if in := models.UseInForce(uses); len(uses) != 2 || in == nil || in.ID != a.ID || uses[0].WithdrawnReason == "" {
			t.Errorf("uses %+v", uses)
		}
		if err := s.WithdrawStudy(ctx, b.ID, "Wren", "again"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("withdrawn twice: %v", err)
		}
		if err := s.WithdrawStudy(ctx, models.NewID(), "Wren", "x"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a use that is not there: %v", err)
		}
		back := use(second.ID) // and taken into use once more, as a use of its own
		must(t, s.TakeStudyIntoUse(ctx, &back, second.Version, 2))
		if back.Number != 3 || back.TakenAt.Location() != time.UTC {
			t.Errorf("got %+v", back)
		}
		got, err := s.StudyByID(ctx, second.ID)
		must(t, err)
		if in := got.InUse(); !got.Frozen() || in == nil || in.ID != back.ID || len(got.Uses) != 2 {
			t.Errorf("uses %+v", got.Uses)
		}
	})
}
