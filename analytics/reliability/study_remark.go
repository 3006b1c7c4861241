package reliability

import (
	"fmt"

	"fairlead/analytics/girth"
)

// StudyRemark is something about a study that a reader must know, as a code with
// a number. String says it in English.
type StudyRemark struct {
	Code StudyCode
	N    int
}

// StudyCode names a kind of remark on a study.
type StudyCode string

// The remarks on a study.
const (
	FewLimbs       StudyCode = "few-limbs"       // N limbs
	NoPasses       StudyCode = "no-second-pass"  // reading error not seen
	OneFitter      StudyCode = "one-fitter"      // lasting bias not seen
	OneRound       StudyCode = "one-round"       // no limb was marked afresh by anyone
	LimbsLeftOut   StudyCode = "limbs-left-out"  // N without two common levels
	PlacingHidden  StudyCode = "placing-hidden"  // the study is worth less than a default about placing
	Together       StudyCode = "visit-together"  // landmark and bias moved by one factor
	LimbsOwnChange StudyCode = "limb-own-change" // rounds on different days hold the limb's own change
	PairsApart     StudyCode = "pairs-apart"     // N pairs of passes that should have been read again
)

// enoughLimbs is how many limbs a study wants before it says much (V4, advice;
// common practice).
const enoughLimbs = 10

// String returns the remark as an English sentence without a full stop.
func (m StudyRemark) String() string {
	switch m.Code {
	case FewLimbs:
		return fmt.Sprintf("%s: 10 or more are advised, and the values that held before keep their weight", counted(m.N, "limb", "limbs"))
	case NoPasses:
		return "nothing was read twice on the same marks, so the reading error stays as it was"
	case OneFitter:
		return "there is one fitter, so what lasts between fitters stays as it was"
	case OneRound:
		return "no limb was marked afresh, so placing, landmark and bias stay as they were"
	case LimbsLeftOut:
		return counted(m.N, "limb has", "limbs have") + " no two levels in common on all rounds and count for the reading error only"
	case PlacingHidden:
		return "the error of placing a level hardly shows beside that of reading, so it stays near what it was"
	case Together:
		return "finding the landmark and the tension of a visit can't be told apart on these limbs: both were moved by the same factor"
	case LimbsOwnChange:
		return "rounds were not shared by the fitters, so what a limb itself changed between them counts as error"
	case PairsApart:
		return counted(m.N, "pair of passes lies", "pairs of passes lie") + " further apart than a reading that is taken again"
	}
	return string(m.Code)
}

// remark fills Remarks.
func (e *Estimate) remark(limbs []limb, usable int, sameDay bool) {
	add := func(here bool, code StudyCode, n int) {
		if here {
			e.Remarks = append(e.Remarks, StudyRemark{Code: code, N: n})
		}
	}
	apart, rounds := 0, 0
	for _, l := range limbs {
		rounds = max(rounds, len(l.occasions))
		for _, o := range l.occasions {
			for _, at := range o.profile {
				if at.Passes == 2 && girth.NeedsReread(at.GirthMM-at.SpreadMM/2, at.GirthMM+at.SpreadMM/2) {
					apart++
				}
			}
		}
	}
	seen := e.SameFitter.OwnDF > 0
	add(len(limbs) < enoughLimbs, FewLimbs, len(limbs))
	add(e.Reading.OwnDF == 0, NoPasses, 0)
	add(e.Fitters < 2, OneFitter, 0)
	add(rounds < 2, OneRound, 0)
	add(usable < len(limbs), LimbsLeftOut, len(limbs)-usable)
	add(rounds > 1 && e.Level.OwnDF < defaultDF, PlacingHidden, 0)
	add(seen && !e.Apart, Together, 0)
	add(seen && !sameDay, LimbsOwnChange, 0)
	add(apart > 0, PairsApart, apart)
}
