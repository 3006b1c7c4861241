package models

import (
	"cmp"
	"context"
	"slices"

	"fairlead/analytics/quantity"
	"gorm.io/gorm"
)

// CreateStudy records a study with its sheets and their readings, or its volumes.
// It fills in ids, CreatedAt and Version. ErrConflict: a study with this id is
// there, or a reading comes twice.
func (s *Store) CreateStudy(ctx context.Context, study *Study) error {
	study.ID, study.CreatedAt, study.Version = newIfEmpty(study.ID), s.clock(), 1
	if study.Levels == nil {
		study.Levels = levelsOf(*study)
	}
	if study.Measurers == nil {
		study.Measurers = []string{}
	}
	if study.Subjects == nil {
		study.Subjects = []string{}
	}
	return fold("create study", s.InTx(ctx, func(tx *Store) error {
		if err := tx.db.Create(study).Error; err != nil {
			return err
		}
		var readings []StudyReading
		for i := range study.Sheets {
			sheet := &study.Sheets[i]
			sheet.ID, sheet.StudyID, sheet.Version = NewID(), study.ID, 1
			sheet.SavedAt = storedPointer(sheet.SavedAt)
			for j := range sheet.Readings {
				sheet.Readings[j].ID, sheet.Readings[j].SheetID = NewID(), sheet.ID
			}
			readings = append(readings, sheet.Readings...)
		}
		for i := range study.Volumes {
			study.Volumes[i].ID, study.Volumes[i].StudyID = NewID(), study.ID
		}
		if err := createAll(tx.db, study.Sheets); err != nil {
			return err
		}
		if err := createAll(tx.db, readings); err != nil {
			return err
		}
		return createAll(tx.db, study.Volumes)
	}))
}

// levelsOf are the levels that a study was measured at.
func levelsOf(study Study) []quantity.Length {
	levels := []quantity.Length{}
	for _, sheet := range study.Sheets {
		for _, r := range sheet.Readings {
			levels = append(levels, r.Level)
		}
	}
	slices.Sort(levels)
	return slices.Compact(levels)
}

// StudyByID returns one study whole, or ErrNotFound.
func (s *Store) StudyByID(ctx context.Context, id string) (Study, error) {
	const operation = "study by id"
	var found []Study
	if err := s.db.WithContext(ctx).Where("id = ?", id).Find(&found).Error; err != nil {
		return Study{}, fold(operation, err)
	}
	if len(found) == 0 {
		return Study{}, fold(operation, ErrNotFound)
	}
	err := s.loadStudies(ctx, found)
	return found[0], fold(operation, err)
}

// Studies returns all studies whole, the newest first.
func (s *Store) Studies(ctx context.Context) ([]Study, error) {
	var found []Study
	err := s.db.WithContext(ctx).Order("held_on DESC, id DESC").Find(&found).Error
	if err == nil {
		err = s.loadStudies(ctx, found)
	}
	return found, fold("studies", err)
}

// loadStudies fills in what belongs to studies.
func (s *Store) loadStudies(ctx context.Context, studies []Study) error {
	place := map[string]*Study{}
	ids := make([]string, len(studies))
	for i := range studies {
		ids[i] = studies[i].ID
		place[ids[i]] = &studies[i]
	}
	sheets, err := loadIn[StudySheet](ctx, s, "study_id", ids, "id")
	if err != nil {
		return err
	}
	sheetIDs := make([]string, len(sheets))
	for i := range sheets {
		sheetIDs[i] = sheets[i].ID
	}
	readings, err := loadIn[StudyReading](ctx, s, "sheet_id", sheetIDs, "level_tenth_mm, pass")
	if err != nil {
		return err
	}
	of := byKey(readings, func(r StudyReading) string { return r.SheetID })
	for _, sheet := range sheets {
		sheet.Readings = of[sheet.ID]
		study := place[sheet.StudyID]
		study.Sheets = append(study.Sheets, sheet)
	}
	volumes, err := loadIn[StudyVolume](ctx, s, "study_id", ids, "subject, method, trial")
	if err != nil {
		return err
	}
	for _, v := range volumes {
		place[v.StudyID].Volumes = append(place[v.StudyID].Volumes, v)
	}
	uses, err := loadIn[StudyUse](ctx, s, "study_id", ids, "number DESC")
	if err != nil {
		return err
	}
	for _, u := range uses {
		place[u.StudyID].Uses = append(place[u.StudyID].Uses, u)
	}
	for i := range studies {
		studies[i].order()
	}
	return nil
}

// order sorts the sheets as the study lists limbs and fitters.
func (s *Study) order() {
	slices.SortStableFunc(s.Sheets, func(a, b StudySheet) int {
		return cmp.Or(
			cmp.Compare(slices.Index(s.Subjects, a.Subject), slices.Index(s.Subjects, b.Subject)),
			cmp.Compare(slices.Index(s.Measurers, a.Measurer), slices.Index(s.Measurers, b.Measurer)),
			cmp.Compare(a.Round, b.Round))
	})
}

// SaveStudySheet replaces the readings of a sheet, read at sheet.Version, and
// raises its version
// and that of the study. ErrStale: somebody saved it meanwhile. ErrConflict: the
// study has been taken into use, or a reading comes twice.
func (s *Store) SaveStudySheet(ctx context.Context, sheet *StudySheet) error {
	next := *sheet
	next.Version++
	now := s.clock()
	next.SavedAt = &now
	err := s.InTx(ctx, func(tx *Store) error {
		if err := tx.openStudyOnly(ctx, next.StudyID, "version + 1"); err != nil {
			return err
		}
		if err := tx.update(ctx, &next, next.ID, next.Version, "StudyID", "Subject", "Measurer", "Round", "Marks"); err != nil {
			return err
		}
		if err := tx.db.Where("sheet_id = ?", next.ID).Delete(&StudyReading{}).Error; err != nil {
			return err
		}
		for i := range next.Readings {
			next.Readings[i].ID, next.Readings[i].SheetID = NewID(), next.ID
		}
		return createAll(tx.db, next.Readings)
	})
	if err != nil {
		return fold("save sheet of study", err)
	}
	*sheet = next
	return nil
}

// SaveStudyVolumes replaces the volumes of a study of tape against scan, read at
// study.Version, and raises the version. Errors as SaveStudySheet.
func (s *Store) SaveStudyVolumes(ctx context.Context, study *Study) error {
	next := *study
	next.Version++
	err := s.InTx(ctx, func(tx *Store) error {
		if err := tx.openStudyOnly(ctx, next.ID, "version"); err != nil {
			return err
		}
		if err := tx.update(ctx, &next, next.ID, next.Version); err != nil {
			return err
		}
		if err := tx.db.Where("study_id = ?", next.ID).Delete(&StudyVolume{}).Error; err != nil {
			return err
		}
		for i := range next.Volumes {
			next.Volumes[i].ID, next.Volumes[i].StudyID = NewID(), next.ID
		}
		return createAll(tx.db, next.Volumes)
	})
	if err != nil {
		return fold("save volumes of study", err)
	}
	*study = next
	return nil
}

// openStudyOnly fails with ErrConflict for a study that was taken into use. Its
// version is written, so that nobody takes it into use meanwhile.
func (s *Store) openStudyOnly(ctx context.Context, id, version string) error {
	if err := s.lockStudy(ctx, id, version); err != nil {
		return err
	}
	var uses int64
	if err := s.db.WithContext(ctx).Model(&StudyUse{}).Where("study_id = ?", id).Count(&uses).Error; err != nil {
		return err
	}
	if uses > 0 {
		return ErrConflict
	}
	return nil
}

// lockStudy makes others who change the study wait for this transaction.
func (s *Store) lockStudy(ctx context.Context, id, version string) error {
	return s.db.WithContext(ctx).Model(&Study{}).Where("id = ?", id).UpdateColumn("version", gorm.Expr(version)).Error
}
