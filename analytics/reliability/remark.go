package reliability

import (
	"fmt"
	"slices"
)

// Remark is something about the data that a reader must know, as a code with
// what it is about. String says it in English.
type Remark struct {
	Code  RemarkCode
	Rater string
	N, Of int
}

// RemarkCode names a kind of remark.
type RemarkCode string

// The remarks.
const (
	FewForTEM      RemarkCode = "few-for-tem"     // N subjects
	SingleValues   RemarkCode = "single-values"   // N subjects with one value
	LeftOut        RemarkCode = "left-out"        // N subjects of Of are not in the ICCs
	ConstantRater  RemarkCode = "constant-rater"  // Rater gave every subject the same
	UnequalTrials  RemarkCode = "unequal-trials"  // raters compared by the first trial
	AveragedTrials RemarkCode = "averaged-trials" // raters compared by means of N trials
)

// enoughForTEM is how many subjects a technical error wants (advice that was
// read in a derived page only; common practice).
const enoughForTEM = 20

// String returns the remark as an English sentence without a full stop.
func (m Remark) String() string {
	switch m.Code {
	case FewForTEM:
		return fmt.Sprintf("%s: the error is itself uncertain, and 20 or more are advised", counted(m.N, "subject was measured twice", "subjects were measured twice or more"))
	case SingleValues:
		return counted(m.N, "subject has", "subjects have") + " a single value and no part in the error"
	case LeftOut:
		return fmt.Sprintf("%d of %d subjects lack a value and have no part in the ICCs", m.N, m.Of)
	case ConstantRater:
		return fmt.Sprintf("rater %q gave every subject the same value and tells none apart", m.Rater)
	case UnequalTrials:
		return "raters have unequal numbers of trials, so they are compared by the first"
	case AveragedTrials:
		return fmt.Sprintf("raters are compared by the mean of their %d trials", m.N)
	}
	return string(m.Code)
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// remark fills Remarks.
func (r *Report) remark() {
	add := func(m Remark) { r.Remarks = append(r.Remarks, m) }
	if n := r.All.Subjects; n > 0 && n < enoughForTEM {
		add(Remark{Code: FewForTEM, N: n})
	}
	if n := r.Subjects - r.All.Subjects; n > 0 {
		add(Remark{Code: SingleValues, N: n})
	}
	in := r.ByRater[0].ICCSubjects
	if r.Between != nil {
		in = r.Between.ICCSubjects
	}
	if n := r.Subjects - in; n > 0 && in >= 2 {
		add(Remark{Code: LeftOut, N: n, Of: r.Subjects})
	}
	for _, own := range r.ByRater {
		if own.Constant {
			add(Remark{Code: ConstantRater, Rater: own.Rater})
		}
	}
	switch {
	case r.Between == nil || r.MostTrials < 2:
	case r.Between.Trials > 1:
		add(Remark{Code: AveragedTrials, N: r.Between.Trials})
	default:
		add(Remark{Code: UnequalTrials})
	}
}

// constant tells whether a rater gave two subjects or more the same value always.
func constant(own []Value) bool {
	other := slices.ContainsFunc(own, func(v Value) bool { return v.Value != own[0].Value })
	several := slices.ContainsFunc(own, func(v Value) bool { return v.Subject != own[0].Subject })
	return several && !other
}
