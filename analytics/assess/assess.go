package assess

import (
	"cmp"
	"slices"
)

// Assess returns what the newest visit says against the history of the limb,
// most urgent first, one finding per rule and place. The same history gives the
// same findings in whatever order its visits, readings and events come.
func Assess(h History) []Finding {
	findings := Safety(h)
	newest, ok := h.Newest()
	if !ok {
		return nil
	}
	findings = append(findings, coverFindings(h, newest)...)
	findings = append(findings, withoutAgain(newest, volumeFindings(h, newest))...)
	findings = append(findings, sockFindings(h, newest)...)
	findings = append(findings, roomFindings(h, newest)...)
	findings = append(findings, comfortFindings(h, newest)...)
	findings = append(findings, dataFindings(h, newest)...)
	return h.named(mostUrgentFirst(findings))
}

// Volume returns those findings of Assess that are about the volume of the residual
// limb, most urgent first.
func Volume(h History) []Finding {
	newest, ok := h.Newest()
	if !ok {
		return nil
	}
	return mostUrgentFirst(withoutAgain(newest, volumeFindings(h, newest)))
}

// Safety returns the findings about skin and safety of the newest visit, most
// urgent first: function checks answered no, signs on the skin, a cover that
// touches skin, and a recent fall. It looks at no measurement, so that nothing
// missing or wrong in one can hold it up; Assess returns the same findings
// before all others of their level.
func Safety(h History) []Finding {
	newest, ok := h.Newest()
	if !ok {
		return nil
	}
	findings := functionFindings(newest)
	findings = append(findings, skinFindings(h, newest)...)
	findings = append(findings, skinContactFindings(h, newest)...)
	findings = append(findings, fallFindings(h, newest)...)
	return mostUrgentFirst(findings)
}

// mostUrgentFirst sorts by level, rule and place and keeps the most urgent
// finding of each rule and place.
func mostUrgentFirst(findings []Finding) []Finding {
	slices.SortStableFunc(findings, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(slices.Index(Levels, a.Level), slices.Index(Levels, b.Level)),
			cmp.Compare(slices.Index(Rules, a.Rule), slices.Index(Rules, b.Rule)),
			cmp.Compare(a.Place, b.Place),
		)
	})
	type key struct {
		rule  Rule
		place string
	}
	seen := map[key]bool{}
	return slices.DeleteFunc(findings, func(f Finding) bool {
		k := key{f.Rule, f.Place}
		again := seen[k]
		seen[k] = true
		return again
	})
}
