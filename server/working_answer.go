package server

import (
	"fmt"

	"fairlead/analytics/assess"
)

// comfortSteps subtract ratings.
func (y sayer) comfortSteps(f assess.Finding) []workingStep {
	step := workingStep{What: y.text("working.ratings"), Lines: y.ratingLines(f)}
	if now, ok := f.Value("comfort-now"); ok && f.Words["low"] != "" && f.Limit != nil {
		step.Lines = append(step.Lines, y.text("working.rating.low", "Now", y.decimal(now.Value, 0), "Limit", y.exact(f.Limit.Value)))
	}
	step.Lines = append(step.Lines, y.besideLines(f)...)
	return []workingStep{step}
}

// besideLines tell the change of volume or room that makes a finding more
// urgent.
func (y sayer) besideLines(f assess.Finding) []string {
	var lines []string
	for name, id := range map[string]string{"change": "working.ratings.with-change", "room": "working.ratings.with-room"} {
		if with, ok := f.Value(name); ok && with.Lo != nil && with.Hi != nil { // never both
			lines = append(lines, y.text(id, "Change", y.exact(with.Value),
				"Lo", y.decimal(*with.Lo, intervalDecimals), "Hi", y.decimal(*with.Hi, intervalDecimals)))
		}
	}
	return lines
}

// ratingLines take the better of each rating from the worse.
func (y sayer) ratingLines(f assess.Finding) []string {
	least := y.decimal(assess.WorthPoints, 0)
	var lines []string
	for _, item := range []string{"comfort", "worst-comfort", "worst-pain"} {
		then, ok := f.Value(item + "-then")
		now, both := f.Value(item + "-now")
		if !ok || !both {
			continue
		}
		high, low := then.Value, now.Value
		if item == "worst-pain" { // more is worse
			high, low = low, high
		}
		keys := fmt.Sprintf("%s − %s = %s", y.decimal(high, 0), y.decimal(low, 0), y.decimal(high-low, 0))
		lines = append(lines, y.text("working.rating."+item, "Difference", y.text("working.at-least", "Keys", keys, "Limit", least)))
	}
	return lines
}

// answerSteps are those of a rule that takes no arithmetic: the answer, and what
// made it more urgent.
func (y sayer) answerSteps(f assess.Finding) []workingStep {
	if f.Rule == assess.NotComparable {
		return []workingStep{{What: y.text("working.not-comparable"), Lines: []string{y.notComparable(f.Words["why"])}}}
	}
	step := workingStep{What: y.text("working.answer"), Lines: []string{y.finding(f).Claim + "."}}
	step.Lines = append(step.Lines, append(y.ratingLines(f), y.besideLines(f)...)...)
	return []workingStep{step}
}
