package followup_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/analytics/reliability"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// studyOf is an invented study of a workshop with a reading error of so many mm.
func studyOf(limbs, fitters, rounds int, errorMM float64) models.Study {
	rng := rand.New(rand.NewPCG(4, 0))
	s := models.Study{Kind: models.FittersStudy, Name: "Spring", HeldOn: "2026-02-03", Passes: 2, Rounds: rounds, MadeBy: "Kit"}
	for f := range fitters {
		s.Measurers = append(s.Measurers, string(rune('A'+f)))
	}
	for l := range limbs {
		name := fmt.Sprint("limb ", l+1)
		s.Subjects = append(s.Subjects, name)
		for _, fitter := range s.Measurers {
			for round := range rounds {
				sheet := models.StudySheet{Subject: name, Measurer: fitter, Round: round + 1}
				for i, mm := range []float64{320, 335, 330, 310, 285, 250} {
					for pass := range 2 {
						girth := quantity.FromMM(mm + 4*float64(l) + errorMM*rng.NormFloat64())
						sheet.Readings = append(sheet.Readings, models.StudyReading{Level: quantity.Length(300 * i), Pass: pass + 1, Girth: girth})
					}
				}
				s.Sheets = append(s.Sheets, sheet)
			}
		}
	}
	return s
}

func TestWhatAStudyComesTo(t *testing.T) {
	empty := studyOf(2, 2, 1, 1)
	for i := range empty.Sheets {
		empty.Sheets[i].Readings = nil
	}
	unread := studyOf(3, 2, 1, 1)
	unread.Sheets[2].Readings = nil
	apart := studyOf(2, 2, 1, 1)
	for i := range apart.Sheets[0].Readings {
		apart.Sheets[0].Readings[i].Girth *= 5
	}
	once := studyOf(3, 1, 1, 1)
	for i, sheet := range once.Sheets {
		var first []models.StudyReading
		for _, r := range sheet.Readings {
			if r.Pass == 1 {
				first = append(first, r)
			}
		}
		once.Sheets[i].Readings = first
	}
	scan := models.Study{Kind: models.ScanStudy, Volumes: []models.StudyVolume{
		{Subject: "a", Method: "tape", Trial: 1, VolumeML: 1100}, {Subject: "a", Method: "scan", Trial: 1, VolumeML: 1120},
		{Subject: "b", Method: "tape", Trial: 1, VolumeML: 900}, {Subject: "b", Method: "scan", Trial: 1, VolumeML: 925},
	}}
	for name, c := range map[string]struct {
		study  models.Study
		report bool
		notYet followup.StudyNotYet
	}{
		"whole":         {studyOf(10, 2, 2, 1), true, ""},
		"one fitter":    {studyOf(10, 1, 2, 1), true, ""},
		"nothing yet":   {empty, false, followup.StudyEmpty},
		"a page left":   {unread, true, followup.StudyUnread},
		"one limb":      {studyOf(1, 2, 2, 1), true, followup.StudyOneLimb},
		"constant":      {studyOf(4, 2, 2, 0), true, followup.StudyConstant},
		"measured once": {once, true, followup.StudyNoRepeats},
		"other limbs":   {apart, true, followup.StudyApart},
		"scan":          {scan, true, followup.StudyScan},
	} {
		r := followup.ResultOf(c.study, nil)
		if (r.Report != nil) != c.report || r.NotYet != c.notYet {
			t.Errorf("%s: report %v, not yet %q; want %v, %q", name, r.Report != nil, r.NotYet, c.report, c.notYet)
		}
	}
}

// TestStudiesComeIntoForceOneAfterTheOther takes two studies of a careful workshop
// into use: each moves the uncertainties further from the defaults.
func TestStudiesComeIntoForceOneAfterTheOther(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, store *models.Store) {
		first, second := studyOf(10, 2, 2, 1), studyOf(10, 2, 2, 1)
		second.HeldOn = "2026-08-03"
		for _, s := range []*models.Study{&first, &second} {
			if err := store.CreateStudy(t.Context(), s); err != nil {
				t.Fatal(err)
			}
		}
		take := func(s models.Study) models.StudyUse {
			t.Helper()
			use, err := followup.TakeIntoUse(t.Context(), store, s.ID, s.Version, "Wren", "ten limbs")
			if err != nil {
				t.Fatal(err)
			}
			return use
		}
		a := take(first)
		b := take(second)
		usual := volume.DefaultSigmas
		if !(b.ReadingMM < a.ReadingMM && a.ReadingMM < usual.ReadingMM) || !(b.BiasBetween < a.BiasBetween && a.BiasBetween < usual.BiasBetweenFitters) {
			t.Errorf("first %+v, then %+v", a, b)
		}
		if !(a.SourcePercent > 0 && a.SourcePercent < 3.7) || a.Limbs != 10 || a.Fitters != 2 || a.ReadingMM*100 != float64(int(a.ReadingMM*100+0.5)) {
			t.Errorf("use %+v", a)
		}
		want, err := reliability.InForce([]reliability.Study{followup.Girths(first), followup.Girths(second)}, "")
		if err != nil {
			t.Fatal(err)
		}
		if d := b.ReadingMM - want.Sigmas.ReadingMM; d > 0.005 || d < -0.005 {
			t.Errorf("reading error %g mm, want %g", b.ReadingMM, want.Sigmas.ReadingMM)
		}
		if _, err := followup.TakeIntoUse(t.Context(), store, first.ID, first.Version, "Wren", "again"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("taken into use twice: %v", err)
		}
		if _, err := followup.TakeIntoUse(t.Context(), store, models.NewID(), 1, "Wren", "x"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a study that is not there: %v", err)
		}
		one := studyOf(1, 2, 2, 1)
		if err := store.CreateStudy(t.Context(), &one); err != nil {
			t.Fatal(err)
		}
		var notYet followup.ErrStudyNotYet
		if _, err := followup.TakeIntoUse(t.Context(), store, one.ID, one.Version, "Wren", "x"); !errors.As(err, &notYet) || notYet.Why != followup.StudyOneLimb {
			t.Errorf("a single limb: %v", err)
		}
	})
}

func TestOneFitterLeavesTheDifferenceBetweenFitters(t *testing.T) {
	store := modelstest.SQLite(t)
	s := studyOf(10, 1, 2, 1)
	if err := store.CreateStudy(t.Context(), &s); err != nil {
		t.Fatal(err)
	}
	use, err := followup.TakeIntoUse(t.Context(), store, s.ID, s.Version, "Wren", "ten limbs")
	if err != nil || use.SourcePercent != 0 {
		t.Errorf("use %+v, %v; want the trend's default between fitters", use, err)
	}
}

func TestImportedStudyHasItsRoundsByLimb(t *testing.T) {
	file, err := reliability.DecodeCSV(strings.NewReader(`subject,fitter,day,level_mm,pass,girth_mm
b,Kit,2026-05-11,30,1,300
b,Kit,2026-05-04,0,1,320
b,Wren,2026-05-11,0,1,321
a,Kit,2026-06-01,0,2,322
a,Kit,2026-06-01,0,1,323
`))
	if err != nil {
		t.Fatal(err)
	}
	s := followup.ImportedStudy(file, time.Unix(0, 0), "Kit")
	var got []string
	for _, sheet := range s.Sheets {
		got = append(got, fmt.Sprint(sheet.Subject, sheet.Measurer, sheet.Round, sheet.Marks, len(sheet.Readings)))
	}
	want := []string{"bKit22026-05-111", "bKit12026-05-041", "bWren22026-05-111", "aKit12026-06-012"}
	if strings.Join(got, " ") != strings.Join(want, " ") || s.Passes != 2 || s.Rounds != 2 || len(s.Levels) != 2 || s.Kind != models.FittersStudy {
		t.Errorf("got %q, want %q; %+v", got, want, s)
	}
}
