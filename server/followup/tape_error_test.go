package followup_test

import (
	"encoding/json"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// studyInUse takes an invented study into use.
func (b *bench) studyInUse(sigmas volume.Sigmas) models.StudyUse {
	b.t.Helper()
	study := models.Study{
		Kind: models.FittersStudy, Name: "Spring", HeldOn: "2026-01-02", Passes: 2, Rounds: 2,
		Measurers: []string{"A", "B"}, Subjects: []string{"limb 1"}, MadeBy: "Kit",
	}
	b.must(b.store.CreateStudy(b.t.Context(), &study))
	uses, err := b.store.StudyUses(b.t.Context())
	b.must(err)
	use := models.StudyUse{
		StudyID: study.ID, TakenBy: "Wren", Note: "ten limbs", ReadingMM: sigmas.ReadingMM, LevelMM: sigmas.LevelMM,
		LandmarkMM: sigmas.LandmarkMM, BiasSame: sigmas.BiasSameFitter, BiasBetween: sigmas.BiasBetweenFitters,
		SourcePercent: 1.5, HeldOn: study.HeldOn, Limbs: 10, Fitters: 2,
	}
	b.must(b.store.TakeStudyIntoUse(b.t.Context(), &use, study.Version, len(uses)))
	return use
}

// TestStudyInUseJudgesFromThenOn finds with the defaults, takes a study into use
// and finds again: what is found now has the study's uncertainties, what was found
// before is worked out with those that held then.
func TestStudyInUseJudgesFromThenOn(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(deliveredAt340))
	b.record(b.checkin(newestAt320))
	flag := b.flags(assess.VolumeChange)[0]
	var before assess.Finding
	b.must(json.Unmarshal(flag.Evidence[0].Finding, &before))
	if before.SigmasID != "" {
		t.Fatalf("found with %q, want the defaults", before.SigmasID)
	}
	careful := volume.Sigmas{ReadingMM: 1, LevelMM: 1, LandmarkMM: 1, BiasSameFitter: 0.002, BiasBetweenFitters: 0.005}
	use := b.studyInUse(careful)

	record := b.load()
	l := record.Limbs[0]
	h, err := l.History("")
	b.must(err)
	if h.Sigmas != careful || h.SigmasID != use.ID || h.SourcePercent != 1.5 {
		t.Errorf("history has %+v of %q, source %g %%", h.Sigmas, h.SigmasID, h.SourcePercent)
	}
	found, err := l.Assess()
	b.must(err)
	now := found[0]
	u := func(f assess.Finding) float64 { v, _ := f.Value("change"); return *v.U }
	if now.Rule != assess.VolumeChange || now.SigmasID != use.ID || u(now) >= u(before) {
		t.Errorf("found %+v, want it with the study and a smaller error than %g", now, u(before))
	}
	if w := record.Working(b.limb.ID, now); w.Missing != "" || w.Volume.Tape.ID() != use.ID || w.Volume.Sigmas.ReadingMM != 1 {
		t.Errorf("working of what is found now: %+v", w)
	}
	if w := record.Working(b.limb.ID, before); w.Missing != "" || w.Volume.Tape.Use != nil || w.Volume.Sigmas.ReadingMM != 2 {
		t.Errorf("working of what was found before: %+v", w)
	}

	b.must(b.store.WithdrawStudy(t.Context(), use.ID, "Wren", "a fitter was new"))
	record = b.load()
	if w := record.Working(b.limb.ID, now); w.Missing != "" || w.Volume.Tape.ID() != use.ID {
		t.Errorf("working of what was found with a study withdrawn since: %+v", w)
	}
	found, err = record.Limbs[0].Assess()
	b.must(err)
	if found[0].SigmasID != "" || u(found[0]) != u(before) {
		t.Errorf("found %+v, want it as before the study", found[0])
	}
	now.SigmasID = models.NewID()
	if w := record.Working(b.limb.ID, now); w.Missing == "" {
		t.Errorf("working with uncertainties that nobody knows: %+v", w)
	}
}
