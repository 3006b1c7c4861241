package assess

import "fairlead/analytics/quantity"

// Due says how the next check-in stands against today.
type Due string

// The states of a next check-in.
const (
	NotDue  Due = ""        // none planned, or further off than a week
	DueSoon Due = "due"     // today or within 7 days
	Overdue Due = "overdue" // the day has passed
)

// dueDays is how far ahead a check-in counts as due.
const dueDays = 7

// DueBy returns the last day on which a next check-in counts as due today.
func DueBy(today quantity.Date) quantity.Date { return today.AddDays(dueDays) }

// DueState compares the date of the next check-in with today. It is a mark of
// its own: it is never part of a finding and says nothing about the limb.
func DueState(next, today quantity.Date) Due {
	days, known := next.DaysSince(today)
	switch {
	case !known || days > dueDays:
		return NotDue
	case days < 0:
		return Overdue
	}
	return DueSoon
}
